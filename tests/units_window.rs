//! Units in words: whoever has chosen SI meets no unit of the US trade on any page, in any lesson or on any fault's page,
//! and nobody who has chosen the trade's units meets kPa.

mod panels;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use egui::{Shape, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::NodeT;
use twostage::drill::lesson::SHIPPED;
use twostage::fault::Fault;
use twostage::scenario::{Action, Scenario};
use twostage::sim::Command;
use twostage::window::look::show::Units;
use twostage::window::{App, Page};

/// Units that only the US trade writes.
const TRADE: [&str; 14] = [
    "in w.c.", "inwc", "psi", "psig", "Btu", "Btu/h", "kBtu/h", "°F", "ft", "ft³", "lb", "lbf",
    "thou", "oz",
];
/// Units that only SI writes.
const SI: [&str; 12] = [
    "kPa", "Pa", "kW", "°C", "kg", "mm", "µm", "N", "W/m²", "mL/s", "m³/h", "g/h",
];

/// Texts that may have a unit of the other system, and why.
const EXCUSED: [(&str, &str); 3] = [
    (
        "dial",
        "what is printed on an instrument's scale is its name",
    ),
    ("Dial", "the same"),
    ("gauge to", "an instrument's range is printed on it"),
];

/// Whether a word of a text is one of these units. What ends a sentence or stands in brackets is the unit all the same.
fn unit_in(text: &str, units: &[&str]) -> Option<String> {
    if EXCUSED.iter().any(|(words, _)| text.contains(words)) {
        return None;
    }
    let is_part = |c: char| c.is_alphanumeric() || "/°³²µ".contains(c);
    if units.contains(&"in w.c.") && text.contains("in w.c") {
        return Some("in w.c.".to_owned());
    }
    let words = text.split(|c: char| !is_part(c)).filter(|w| !w.is_empty());
    // "20lb" is a unit with its number.
    let bare = |w: &str| {
        w.trim_start_matches(|c: char| c.is_ascii_digit())
            .to_owned()
    };
    let mut before = "";
    for word in words {
        // A letter alone is a unit only behind a number: N is a key, too.
        let counted = before.ends_with(|c: char| c.is_ascii_digit());
        if units.contains(&bare(word).as_str()) && (word.len() > 1 || counted) {
            return Some(word.to_owned());
        }
        before = word;
    }
    None
}

type Driven = Harness<'static, Option<App>>;

/// Every text of this frame: what is painted, and what a screen reader is told.
fn texts(h: &Driven) -> BTreeSet<String> {
    fn of_shape(shape: &Shape, out: &mut BTreeSet<String>) {
        match shape {
            Shape::Vec(all) => all.iter().for_each(|s| of_shape(s, out)),
            Shape::Text(text) => {
                out.insert(text.galley.text().to_owned());
            }
            _ => {}
        }
    }
    let mut out = BTreeSet::new();
    for clipped in &h.output().shapes {
        of_shape(&clipped.shape, &mut out);
    }
    for node in h.root().children_recursive() {
        let node = node.accesskit_node();
        out.extend(node.label());
        out.extend(node.value());
    }
    out
}

struct Reader {
    h: Driven,
    units: Units,
    wrong: BTreeSet<String>,
    read: usize,
}

impl Reader {
    fn begin(units: Units) -> Self {
        let mut h = panels::harness(vec2(1500.0, 1400.0), |ctx| {
            App::new(ctx, Scenario::opening()).expect("the opening scenario starts")
        });
        panels::app(&mut h).look.units = units;
        h.run_steps(2);
        Self {
            h,
            units,
            wrong: BTreeSet::new(),
            read: 0,
        }
    }

    fn read(&mut self, place: &str) {
        self.h.run_steps(3);
        let strange: &[&str] = match self.units {
            Units::Si => &TRADE,
            Units::Us => &SI,
        };
        for text in texts(&self.h) {
            self.read += 1;
            if let Some(unit) = unit_in(&text, strange) {
                self.wrong.insert(format!("{place}: `{unit}` in `{text}`"));
            }
        }
    }

    fn turn_to(&mut self, page: Page) {
        panels::app(&mut self.h).look.page = page;
        self.h.run_steps(2);
    }

    fn pages(&mut self) {
        for (page, name) in Page::ALL {
            self.turn_to(page);
            self.read(name);
        }
        panels::app(&mut self.h).look.help = true;
        self.read("help");
        panels::app(&mut self.h).look.help = false;
    }

    /// Each fault's page, and the rig's pages with it in at half.
    fn faults(&mut self) {
        for fault in Fault::all() {
            self.turn_to(Page::Faults);
            let ctx = self.h.ctx.clone();
            panels::app(&mut self.h).begin(&format!("fault {}", fault.id()), &ctx);
            self.read(fault.id());
        }
        for fault in Fault::all().step_by(7) {
            let act = |action| Command::Act(action);
            panels::app(&mut self.h).send(act(Action::Inject {
                fault,
                severity: 0.5,
                over_s: 0.0,
            }));
            panels::wait(&mut self.h, "it is in", |a| !a.snapshot().faults.is_empty());
            for page in [Page::Faults, Page::Numbers] {
                self.turn_to(page);
                self.read(&format!("{} in", fault.id()));
            }
            panels::app(&mut self.h).send(act(Action::Clear { fault }));
            panels::wait(&mut self.h, "it is out", |a| a.snapshot().faults.is_empty());
        }
    }

    /// Each lesson as it asks; these also as they tell, which needs their runs.
    fn lessons(&mut self, told: &[&str]) {
        self.turn_to(Page::Lessons);
        for (id, _) in SHIPPED {
            let ctx = self.h.ctx.clone();
            panels::app(&mut self.h).begin(id, &ctx);
            self.read(&format!("lesson {id}"));
            if !told.contains(id) {
                continue;
            }
            panels::app(&mut self.h).begin(&format!("{id} answered"), &ctx);
            panels::wait(&mut self.h, "it has run", |a| !a.lessons.busy());
            self.h.run_steps(4);
            self.read(&format!("lesson {id}, told"));
        }
    }

    fn end(self) {
        assert!(self.read > 1000, "only {} texts were read", self.read);
        let wrong: Vec<String> = self.wrong.into_iter().collect();
        assert!(
            wrong.is_empty(),
            "{} texts:\n{}",
            wrong.len(),
            wrong.join("\n")
        );
    }
}

#[test]
fn a_unit_is_found_in_a_sentence() {
    for text in [
        "at 11 in w.c.",
        "(2 psig)",
        "over 12,000 Btu/h,",
        "20lb",
        "a 30 lb cylinder",
    ] {
        assert!(unit_in(text, &TRADE).is_some(), "{text}");
    }
    for text in ["a 35 in w.c. dial", "at 2.7 kPa", "often left", "thousand"] {
        assert_eq!(unit_in(text, &TRADE), None, "{text}");
    }
}

#[test]
fn pages_and_faults_in_si_know_no_unit_of_the_trade() {
    let mut r = Reader::begin(Units::Si);
    r.pages();
    r.faults();
    r.end();
}

#[test]
fn lessons_in_si_know_no_unit_of_the_trade() {
    let mut r = Reader::begin(Units::Si);
    r.lessons(&["grit", "lever"]);
    r.end();
}

/// What a lesson says is written once for both: outside of braces it has no unit of either system.
#[test]
fn a_lesson_has_its_quantities_in_braces() {
    let mut texts = 0;
    for (id, file) in SHIPPED {
        for line in file.lines() {
            let Some((key, text)) = line.split_once(" = ") else {
                continue;
            };
            if !["about", "ask", "explain", "say"].contains(&key) {
                continue;
            }
            texts += 1;
            let outside: String = text
                .split('{')
                .enumerate()
                .map(|(i, part)| match part.split_once('}') {
                    Some((_, after)) if i > 0 => after,
                    _ => part,
                })
                .collect();
            let unit = unit_in(&outside, &TRADE).or_else(|| unit_in(&outside, &SI));
            assert_eq!(unit, None, "{id}: {text}");
            assert!(!outside.contains("degrees"), "{id}: {text}");
        }
    }
    assert!(texts > 60, "only {texts} texts");
}

#[test]
fn pages_faults_and_lessons_in_the_trades_units_know_no_unit_of_si() {
    let mut r = Reader::begin(Units::Us);
    r.pages();
    r.faults();
    r.lessons(&[]);
    r.end();
}

/// Files of the window whose texts in the trade's units are not for `prose`, and why.
const TABLES: [(&str, &str); 6] = [
    ("cutaway/inset.rs", "a bar of length, one for each system"),
    (
        "cutaway/scale.rs",
        "marks of the legend, a table for each system",
    ),
    ("cutaway/touch.rs", "a hand's force, one for each system"),
    (
        "rig/gear.rs",
        "what a field is filled with, one for each system",
    ),
    ("rig/sheet.rs", "a scenario's text, as in files"),
    (
        "tour/steps.rs",
        "what is to be seen, through prose where it is told",
    ),
];

/// A sentence under the pointer is met by no walk: a file with a number and a unit of the trade in a text turns it with
/// `prose`, or has a reason not to.
#[test]
fn a_written_number_with_a_unit_of_the_trade_goes_through_prose() {
    fn walk(at: &Path, out: &mut Vec<std::path::PathBuf>) {
        for entry in fs::read_dir(at).expect("a room") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(&path, out);
            } else if path.extension().is_some_and(|e| e == "rs") {
                out.push(path);
            }
        }
    }
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/window");
    let (mut all, mut wrong) = (Vec::new(), Vec::new());
    walk(&top, &mut all);
    for path in all {
        let name = path.strip_prefix(&top).expect("under it");
        let name = name.to_string_lossy().replace('\\', "/");
        let apart = name.ends_with("tests.rs") || name.starts_with("pictures/");
        if apart || TABLES.iter().any(|(file, _)| *file == name) {
            continue;
        }
        let text = fs::read_to_string(&path).expect("readable");
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or("");
        for (n, line) in code.lines().enumerate() {
            let line = line.split("//").next().unwrap_or("");
            let Some(words) = line.split_once('"').map(|(_, w)| w) else {
                continue;
            };
            let numbered = TRADE.iter().any(|unit| {
                words.match_indices(unit).any(|(at, _)| {
                    let before = words[..at].trim_end_matches(' ');
                    let after = words[at + unit.len()..].chars().next();
                    before.ends_with(|c: char| c.is_ascii_digit())
                        && !after.is_some_and(char::is_alphanumeric)
                })
            });
            if numbered && !code.contains("prose(") {
                wrong.push(format!("{name}:{}: {}", n + 1, line.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
