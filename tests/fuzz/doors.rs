//! Every door through which text comes in from outside, as a function of the text, with what must hold of any: no panic; an
//! error says what is wrong, where, and what to do; what is accepted writes back to the same.

use std::fmt::Debug;
use std::sync::LazyLock;

use twostage::class::ClassList;
use twostage::class::name::AttemptName;
use twostage::cli::inject::inject;
use twostage::diagnosis::files::readings::Readings;
use twostage::drill::attempt::folder::{answer_of, check_acts};
use twostage::drill::attempt::log::{self, Contents};
use twostage::drill::lesson::{Expression, Lesson, Progress};
use twostage::drill::making::seal;
use twostage::drill::marking::grade::grade;
use twostage::drill::{Act, Drill};
use twostage::scenario::{Scenario, Talk};
use twostage::units::{self, Dimension, System, plain, plain_lines};

/// A door.
pub struct Door {
    /// Its name; seeds lie in `corpus/` under it.
    pub name: &'static str,
    /// Folders of the project whose files are seeds too.
    pub seeds: &'static [&'static str],
    /// What goes through it; whether it was let in.
    pub feed: fn(&str) -> bool,
}

const fn door(name: &'static str, seeds: &'static [&'static str], feed: fn(&str) -> bool) -> Door {
    Door { name, seeds, feed }
}

/// All of them.
pub const DOORS: [Door; 16] = [
    door("scenario", &["scenarios"], scenario),
    door("readings", &["tests/readings"], readings),
    door("drill", &["scenarios/drills", "tests/doors"], drill),
    door("sealed", &[], sealed),
    door("attempt", &[], attempt),
    door("entries", &[], entries),
    door("lesson", &["scenarios/lessons"], lesson),
    door("talk", &[], talk),
    door("expression", &[], expression),
    door("progress", &[], progress),
    door("units", &[], quantity),
    door("acts", &[], acts),
    door("inject", &[], injected),
    door("shown", &[], shown),
    door("class", &[], class_list),
    door("names", &[], attempt_name),
];

/// What any error message is held to: what, where, what to do; short, and harmless in a terminal.
fn voice(message: &str, place: &str) -> bool {
    assert!(
        message.starts_with("error: "),
        "it says what is wrong: {message}"
    );
    assert!(message.contains(place), "it says where: {message}");
    assert!(message.contains("  try: "), "it says what to do: {message}");
    assert!(
        !message.contains("os error"),
        "it speaks no numbers of the system: {message}"
    );
    assert!(
        message.len() < 40_000,
        "it is short: {} bytes",
        message.len()
    );
    let calm = |c: char| !c.is_control() || c == '\n';
    assert!(
        message.chars().all(calm),
        "it steers no terminal: {message:?}"
    );
    false
}

/// Numbers that were written and read back differ by no more than this share.
const KEPT: f64 = 1e-9;

/// That two values are the same, told by all their fields.
fn same(before: &impl Debug, after: &impl Debug, text: &str) {
    let (before, after) = (format!("{before:?}"), format!("{after:?}"));
    let between = |c: char| ",(){}[] ".contains(c);
    let mut pairs = before.split(between).zip(after.split(between));
    let alike = |(a, b): (&str, &str)| {
        a == b
            || match (a.parse::<f64>(), b.parse::<f64>()) {
                (Ok(a), Ok(b)) => (a - b).abs() <= KEPT * a.abs().max(b.abs()),
                _ => false,
            }
    };
    let unlike = pairs.find(|pair| !alike(*pair));
    assert!(unlike.is_none(), "{unlike:?} after writing:\n{text}");
}

fn both(write: impl Fn(System) -> String, read: impl Fn(&str)) {
    for system in [System::Us, System::Si] {
        read(&write(system));
    }
}

fn scenario(text: &str) -> bool {
    match Scenario::parse("strange.toml", text) {
        Err(e) => voice(&e.to_string(), "strange.toml"),
        Ok(read) => {
            both(
                |system| read.to_toml(system),
                |text| match Scenario::parse("back.toml", text) {
                    Ok(back) => same(&read, &back, text),
                    Err(e) => panic!("what was accepted is refused when written:\n{e}\n\n{text}"),
                },
            );
            true
        }
    }
}

fn readings(text: &str) -> bool {
    match Readings::parse("strange.toml", text) {
        Err(e) => voice(&e.to_string(), "strange.toml"),
        Ok(read) => {
            both(
                |system| read.to_toml(system),
                |text| match Readings::parse("back.toml", text) {
                    Ok(back) => same(&read, &back, text),
                    Err(e) => panic!("what was accepted is refused when written:\n{e}\n\n{text}"),
                },
            );
            true
        }
    }
}

fn drill(text: &str) -> bool {
    match Drill::read("strange.toml", text, None) {
        Err(e) => voice(&e.to_string(), "strange.toml"),
        Ok(read) => {
            let text = read.to_open();
            let mut back =
                Drill::read("back.toml", &text, None).unwrap_or_else(|e| panic!("{e}\n\n{text}"));
            // In the open file stands nothing that was computed, and another text has another sum.
            (back.worked, back.sum) = (read.worked.clone(), read.sum);
            same(&read, &back, &text);
            if let Some(worked) = &read.worked {
                let text = read.to_sealed(worked);
                let mut back = Drill::read("back.toml", &text, None)
                    .unwrap_or_else(|e| panic!("{e}\n\n{text}"));
                back.sum = read.sum;
                same(&read, &back, &text);
            }
            true
        }
    }
}

/// The open part of a small drill.
const OPEN: &str = "format = 1\ntitle = \"a\"\ncomplaint = \"b\"\ngas_told = false\n";
/// Its rig.
const RIG: &str = "[scenario]\ntitle = \"c\"\n[[scenario.container]]\nkind = \"20 lb cylinder\"\n\
    [[scenario.appliance]]\nkind = \"cooktop\"\n[[scenario.appliance]]\nkind = \"furnace\"\n[scenario.run]\nduration = \"60 min\"\nsample = \"1 s\"\n";

/// A text as the sealed part of a drill, under a seal that is right.
fn sealed(text: &str) -> bool {
    let open = format!("{OPEN}{RIG}");
    let seal = seal::seal(&seal::open_text(&open), text);
    drill(&format!("{OPEN}sealed = \"\"\"\n{seal}\"\"\"\n{RIG}"))
}

fn attempt(text: &str) -> bool {
    match log::contents("strange.attempt", text.as_bytes()) {
        Err(e) => voice(&e.to_string(), "strange.attempt"),
        Ok(None) => false,
        Ok(Some(log)) => of_log(&log),
    }
}

static DRILL: LazyLock<Drill> = LazyLock::new(|| {
    let text = format!("{OPEN}{RIG}[[fault]]\nname = \"second_seat_grit\"\nseverity = 0.5\n");
    Drill::read("small.toml", &text, None).unwrap_or_else(|e| panic!("{e}"))
});

/// What is done with a log that was let in: it is written anew, its acts looked at and marked.
fn of_log(log: &Contents) -> bool {
    let mut text = line_of(&serde_json::to_string(&log.header).expect("plain data"));
    for entry in &log.entries {
        text += &line_of(&serde_json::to_string(entry).expect("plain data"));
    }
    let back =
        log::contents("back.attempt", text.as_bytes()).unwrap_or_else(|e| panic!("{e}\n{text}"));
    let back = back.expect("a whole header");
    same(&log.header, &back.header, &text);
    same(&log.entries, &back.entries, &text);
    if check_acts(&DRILL, log).is_err() {
        return false;
    }
    let marks = grade(&DRILL, &log.entries, answer_of(&DRILL, log).as_ref());
    assert!(
        (0.0..=100.0).contains(&marks.total()),
        "{} marks",
        marks.total()
    );
    true
}

fn line_of(entry: &str) -> String {
    let sum = twostage::form::fnv1a(entry.as_bytes());
    format!("{{\"entry\":{entry},\"sum\":\"{sum:016x}\"}}\n")
}

/// Lines as the entries of a log, each with a sum that is right.
fn entries(text: &str) -> bool {
    let log: String = text.lines().map(line_of).collect();
    attempt(&log)
}

fn lesson(text: &str) -> bool {
    match Lesson::read("strange", "strange.toml", text) {
        Err(e) => voice(&e.to_string(), "strange.toml"),
        Ok(_) => true,
    }
}

fn talk(text: &str) -> bool {
    match Talk::parse("strange.toml", text) {
        Err(e) => voice(&e.to_string(), "strange.toml"),
        Ok(read) => {
            let text = read.to_toml();
            let back = Talk::parse("back.toml", &text).unwrap_or_else(|e| panic!("{e}\n\n{text}"));
            same(&read, &back, &text);
            true
        }
    }
}

fn expression(text: &str) -> bool {
    match Expression::parse(text) {
        Err(why) => {
            assert!(!why.is_empty());
            false
        }
        Ok(read) => {
            let mut names = Vec::new();
            read.names(&mut names);
            let values = names
                .into_iter()
                .enumerate()
                .map(|(i, name)| (name, i as f64 - 1.0))
                .collect();
            if let Ok(value) = read.number(&values) {
                assert!(value.is_finite(), "{text} is {value}");
            }
            true
        }
    }
}

fn class_list(text: &str) -> bool {
    match ClassList::read("class.toml", text) {
        Err(e) => voice(&e.to_string(), "class.toml"),
        Ok(list) => {
            let back =
                ClassList::read("class.toml", &list.to_toml()).unwrap_or_else(|e| panic!("{e}"));
            same(&list, &back, text);
            for t in &list.trainees {
                assert_eq!(list.of_id(&t.id), Some(t), "a pseudonym is one person's");
            }
            true
        }
    }
}

/// The name of a file that somebody put among the attempts.
fn attempt_name(text: &str) -> bool {
    let name = AttemptName::of(std::path::Path::new(text));
    if let Some(name) = &name {
        let again = AttemptName::of(std::path::Path::new(&name.file()));
        assert_eq!(again.as_ref(), Some(name));
    }
    name.is_some()
}

fn progress(text: &str) -> bool {
    let name = format!(
        "twostage-fuzz-{}-{:?}.toml",
        std::process::id(),
        std::thread::current().id()
    );
    let file = std::env::temp_dir().join(name);
    std::fs::write(&file, text).expect("room for a scratch file");
    let read = Progress::load(&file);
    let let_in = match &read {
        Err(e) => voice(&e.to_string(), "twostage-fuzz"),
        Ok(read) => {
            read.save(&file).unwrap_or_else(|e| panic!("{e}"));
            let back = Progress::load(&file).unwrap_or_else(|e| panic!("{e}"));
            same(read, &back, text);
            true
        }
    };
    std::fs::remove_file(&file).expect("it was written");
    let_in
}

fn quantity(text: &str) -> bool {
    let mut read_once = false;
    for wanted in Dimension::ALL {
        match units::parse(text, wanted) {
            Ok(value) => {
                assert!(value.is_finite(), "{text} is {value}");
                both(
                    |system| units::write_quantity(value, wanted, system),
                    |written| {
                        same(
                            &value,
                            &units::parse(written, wanted).expect("what was written"),
                            written,
                        );
                    },
                );
                assert!(!units::format(value, wanted, System::Us).is_empty());
                read_once = true;
            }
            Err(e) => {
                assert!(!e.message().is_empty() && !e.help().is_empty(), "{e:?}");
                assert!(e.to_string().len() < 2000, "{e}");
            }
        }
    }
    read_once
}

static BENCH: LazyLock<Scenario> = LazyLock::new(Scenario::opening);

/// Acts of a drill and orders of the bench.
fn acts(text: &str) -> bool {
    let rig = &BENCH.rig;
    let order = twostage::visit::Act::parse(text, rig);
    if let Err(e) = &order {
        assert!(e.to_string().len() < 2000 && !e.message.is_empty(), "{e}");
    }
    let act = Act::parse(text, rig);
    match &act {
        Err(e) => assert!(
            !e.message.is_empty() && !e.help.is_empty() && e.to_string().len() < 2000,
            "{e}"
        ),
        Ok(act) => {
            let words = act.words(rig);
            match Act::parse(&words, rig) {
                Ok(back) => same(act, &back, &words),
                Err(e) => panic!("`{text}` is written `{words}`: {e}"),
            }
        }
    }
    order.is_ok() || act.is_ok()
}

fn injected(text: &str) -> bool {
    let mut scenario = BENCH.clone();
    match inject(&mut scenario, text) {
        Err(e) => voice(e.text(), "--inject"),
        Ok(()) => self::scenario(&scenario.to_toml(System::Si)),
    }
}

/// Names and titles on their way to a terminal and a table.
fn shown(text: &str) -> bool {
    let turns = |c: char| matches!(c, '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
    assert!(
        !plain(text).contains(|c: char| c.is_control() || turns(c)),
        "{text:?}"
    );
    let lines = plain_lines(text);
    assert!(
        !lines.contains(|c: char| (c.is_control() && !"\n\t".contains(c)) || turns(c)),
        "{text:?}"
    );
    let field = units::csv_field(text);
    let inner = field
        .strip_prefix('"')
        .and_then(|f| f.strip_suffix('"'))
        .expect("in quotes");
    assert!(
        !inner.replace("\"\"", "").contains('"'),
        "it stays in its field: {field}"
    );
    assert!(
        !inner.trim_start().starts_with(['=', '+', '-', '@']),
        "no formula: {field}"
    );
    assert_eq!(plain(text).chars().count(), text.chars().count());
    true
}
