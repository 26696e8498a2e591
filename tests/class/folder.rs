//! The folder of a class under kills, a pulled stick, a full one, two places at once and wrong clocks.

use super::common::{DRILLS, Folder, begun_elsewhere, class, command, twostage, well};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use twostage::class::name::AttemptName;
use twostage::class::tries::names_in;
use twostage::class::{ClassFolder, Try};
use twostage::diagnosis::library::random::Random;

/// What a trainee does, over and over: quick acts, so that kills fall between and within them.
const ACTS: [&str; 6] = [
    "look",
    "listen",
    "note second_vent_blocked 40 %",
    "read outlet",
    "wait 1 min",
    "note second_screw_high 60 %",
];

/// An acknowledged act: whose, at which drill, its number, its words.
type Acknowledged = (usize, &'static str, usize, String);

/// One process at work until it is killed; what it told as done.
fn work_and_be_killed(
    place: &str,
    who: usize,
    drill: &'static str,
    random: &mut Random,
) -> Vec<Acknowledged> {
    let mut child = command(&[
        "class",
        "try",
        place,
        "--who",
        &who.to_string(),
        "--drill",
        drill,
    ])
    .spawn()
    .expect("the binary runs");
    let mut input = child.stdin.take().expect("its input");
    let output = child.stdout.take().expect("its output");
    let reader = std::thread::spawn(move || {
        let mut told = Vec::new();
        for line in BufReader::new(output).lines().map_while(Result::ok) {
            // `[3] 4:10 read outlet`
            if let Some((n, rest)) = line.strip_prefix('[').and_then(|l| l.split_once("] "))
                && let Some((_, act)) = rest.split_once(' ')
            {
                told.push((n.parse::<usize>().expect("a number"), act.to_owned()));
            }
        }
        told
    });
    let acts = 2 + random.below(8);
    for _ in 0..acts {
        // The process may have found no folder and ended.
        let _ = writeln!(input, "{}", ACTS[random.below(ACTS.len())]);
    }
    std::thread::sleep(Duration::from_millis(60 + random.below(900) as u64));
    let _ = child.kill();
    drop(input);
    let _ = child.wait();
    let told = reader.join().expect("a reader");
    told.into_iter()
        .map(|(n, act)| (who, drill, n, act))
        .collect()
}

/// All acts of an attempt's files, each file's by number.
fn acts_of(t: &Try) -> BTreeSet<(usize, String)> {
    let files = std::iter::once(&t.found).chain(&t.branches);
    let entries = files.flat_map(|f| &f.contents.entries);
    entries.map(|e| (e.n, e.act.clone())).collect()
}

/// Number, drill, place in the log and words of a row of the report.
fn row(line: &str) -> (&str, &str, &str, &str) {
    let parts: Vec<&str> = line.split('"').collect();
    let n = parts[2].split(',').nth(4).expect("a number");
    (parts[0].trim_end_matches(','), parts[1], n, parts[3])
}

#[test]
fn twelve_trainees_on_six_processes_lose_nothing_that_was_acknowledged() {
    let folder = Folder::new("twelve");
    let place = class(&folder, 12);
    let done = AtomicBool::new(false);
    let until = Instant::now() + Duration::from_secs(14);
    let told: Vec<Acknowledged> = std::thread::scope(|scope| {
        let pulled = scope.spawn(|| {
            // The stick is pulled for a third of a second, and put back.
            let (here, away) = (Path::new(&place), folder.path("away"));
            let mut times = 0;
            while !done.load(Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(1100));
                fs::rename(here, &away).expect("it was there");
                std::thread::sleep(Duration::from_millis(350));
                fs::rename(&away, here).expect("it was away");
                times += 1;
            }
            times
        });
        let workers: Vec<_> = (0..6)
            .map(|w| {
                let place = &place;
                scope.spawn(move || {
                    let mut random = Random::new(15, w as u64);
                    let mut told = Vec::new();
                    while Instant::now() < until {
                        let who = 1 + 2 * w + random.below(2);
                        let drill = DRILLS[random.below(2)];
                        told.extend(work_and_be_killed(place, who, drill, &mut random));
                    }
                    told
                })
            })
            .collect();
        let told = workers
            .into_iter()
            .flat_map(|w| w.join().expect("a worker"))
            .collect();
        done.store(true, Ordering::Relaxed);
        assert!(
            pulled.join().expect("the puller") >= 5,
            "the stick was pulled"
        );
        told
    });
    assert!(
        told.len() > 60,
        "only {} acts were acknowledged",
        told.len()
    );

    let class = ClassFolder::open(Path::new(&place)).expect("a class");
    let tries = class.tries(None).expect("readable");
    let mut held: BTreeMap<(String, String), BTreeSet<(usize, String)>> = BTreeMap::new();
    for t in &tries.all {
        assert_eq!(
            t.ordinal, 1,
            "each goes on with the attempt that was not ended"
        );
        let key = (t.name.trainee.clone(), t.name.drill.clone());
        held.entry(key).or_default().extend(acts_of(t));
    }
    well(&["class", "report", &place], "");
    let reported = fs::read_to_string(Path::new(&place).join("reports/acts.csv")).expect("written");
    let rows: BTreeSet<(&str, &str, &str, &str)> = reported.lines().skip(1).map(row).collect();
    let mut people = BTreeSet::new();
    for (who, drill, n, act) in &told {
        people.insert(*who);
        let person = class.list.find(&who.to_string()).expect("on the list");
        let key = (person.id.clone(), (*drill).to_owned());
        let is_there = held
            .get(&key)
            .is_some_and(|acts| acts.contains(&(*n, act.clone())));
        assert!(
            is_there,
            "act {n} of trainee {who} at {drill} was acknowledged and is lost: {act}"
        );
        let title = class.drill(drill).expect("a drill").title.clone();
        let (number, n) = (who.to_string(), n.to_string());
        assert!(
            rows.contains(&(&number, &title, &n, act)),
            "act {n} of trainee {who} at {drill} is not in the report: {act}"
        );
    }
    assert_eq!(people.len(), 12, "everyone did something");
    let damaged: Vec<&String> = tries
        .left_out
        .iter()
        .filter(|l| !l.ends_with("nothing was done"))
        .collect();
    assert!(damaged.is_empty(), "{damaged:?}");
}

#[test]
fn two_places_at_once_keep_both_and_a_retry_is_marked() {
    let folder = Folder::new("places");
    let place = class(&folder, 2);
    let call = [
        "class",
        "try",
        &place,
        "--who",
        "Trainee 2",
        "--drill",
        DRILLS[0],
    ];
    well(&call, "look\n");
    // Two processes go on with it at the same time: each copies what was done and writes its own file.
    let mut one = command(&call).spawn().expect("it runs");
    let mut out = BufReader::new(one.stdout.take().expect("its output"));
    let mut input = one.stdin.take().expect("its input");
    writeln!(input, "listen").expect("it listens");
    let mut line = String::new();
    while !line.starts_with("[2]") {
        line.clear();
        assert!(out.read_line(&mut line).expect("readable") > 0, "it ended");
    }
    // This one sees the longer file and goes on after it, though the other still has it open.
    well(&call, "read outlet\n");
    writeln!(
        input,
        "wait 1 min\nanswer second_vent_blocked clear shut off"
    )
    .expect("it listens");
    drop(input);
    let mut rest = String::new();
    std::io::Read::read_to_string(&mut out, &mut rest).expect("readable");
    assert!(one.wait().expect("it ends").success());
    assert!(rest.contains("when the instructor releases it"), "{rest}");

    let class = ClassFolder::open(Path::new(&place)).expect("a class");
    let tries = class.tries(None).expect("readable");
    assert_eq!(tries.all.len(), 1, "one attempt");
    let t = &tries.all[0];
    assert!(
        t.answer.is_some() && t.branches.len() == 1,
        "ended in one place, and acts in another"
    );
    assert!(
        acts_of(t)
            .iter()
            .any(|(n, act)| *n == 3 && act.starts_with("read outlet"))
    );
    let list = well(&["class", "list", &place], "");
    assert!(list.contains("worked on in two places at once"), "{list}");

    // Ended: its marks are not told before it is released, and the next one is a retry.
    let mine = |who: &str| well(&["class", "mine", &place, "--who", who], "");
    assert!(mine("2").contains("ended") && !mine("2").contains("of 100"));
    let again = well(&call, "look\n");
    assert!(again.contains("retry 1"), "{again}");
    // Somebody is at work on the retry, so it takes a word.
    let release = ["class", "release", &place, "--force"];
    assert!(well(&release, "").starts_with("1 attempt "));
    assert!(mine("2").contains("of 100") && mine("2").contains("(retry 1)"));
    // Nobody else sees any of it.
    assert!(mine("1").contains("0 attempts"));
}

#[test]
fn a_full_stick_acknowledges_nothing_and_loses_nothing() {
    let folder = Folder::new("full");
    let place = class(&folder, 1);
    let call = format!(
        "trap '' XFSZ; ulimit -f 1; exec {} class try {place} --who 1 --drill {}",
        env!("CARGO_BIN_EXE_twostage"),
        DRILLS[0]
    );
    let acts = "look\nlisten\nread outlet\nlook\nlisten\nread manifold\n";
    fs::write(folder.path("acts"), acts).expect("room");
    let out = Command::new("sh")
        .args(["-c", &call])
        .stdin(fs::File::open(folder.path("acts")).expect("written"))
        .output()
        .expect("a shell");
    let told = String::from_utf8_lossy(&out.stdout).into_owned();
    let acknowledged = told.lines().filter(|l| l.starts_with('[')).count();
    assert!(
        !out.status.success() && acknowledged < 6,
        "the stick was full: {told}"
    );
    // With room again it goes on after what was acknowledged.
    let again = well(
        &["class", "try", &place, "--who", "1", "--drill", DRILLS[0]],
        "look\n",
    );
    let next = format!("[{}] ", acknowledged + 1);
    assert!(again.contains(&next), "{acknowledged}: {again}");
}

/// Whatever name a copy of an attempt's file is given, it is no further attempt, and it is told; a file of the same attempt
/// that another computer wrote is none.
#[test]
fn a_copy_under_another_name_is_no_retry() {
    let folder = Folder::new("copied");
    let place = class(&folder, 1);
    let call = ["class", "try", &place, "--who", "1", "--drill", DRILLS[0]];
    well(&call, "look\nanswer second_vent_blocked clear shut off\n");
    let mut open = ClassFolder::open(Path::new(&place)).expect("a class");
    let attempts = Path::new(&place).join("attempts");
    let (name, file) = names_in(&attempts).expect("readable").0.remove(0);
    let of = |order: u64, attempt: &str, process: &str| {
        let attempt = attempt.to_owned();
        let process = process.to_owned();
        AttemptName {
            order,
            attempt,
            process,
            ..name.clone()
        }
        .file()
    };
    let copies = [
        of(name.order + 1, &name.attempt, &name.process),
        of(name.order + 1, "another", &name.process),
        of(name.order, "another", "x"),
    ];
    for copy in &copies {
        fs::copy(&file, attempts.join(copy)).expect("room");
    }
    fs::copy(&file, attempts.join(of(name.order, &name.attempt, "x"))).expect("room");
    let tries = open.tries(None).expect("readable");
    assert_eq!(tries.all.len(), 1, "{:?}", tries.left_out);
    assert_eq!(tries.all[0].name.attempt, name.attempt);
    for copy in &copies {
        let is_of = |told: &&String| told.contains(copy) && told.contains("copied or renamed");
        assert_eq!(tries.left_out.iter().filter(is_of).count(), 1, "{copy}");
    }
    // What is begun now is the second attempt, and a retry.
    let person = open.list.find("1").expect("there").clone();
    assert_eq!(open.begin(&person, DRILLS[0]).expect("begun").ordinal, 2);
}

#[test]
fn another_stick_a_missing_part_and_a_renamed_file_are_told() {
    let folder = Folder::new("wrong");
    let place = class(&folder, 2);
    let call = ["class", "try", &place, "--who", "1", "--drill", DRILLS[0]];
    well(&call, "look\n");
    let mut open = ClassFolder::open(Path::new(&place)).expect("a class");

    // Another class comes to lie at the same place.
    let list = Path::new(&place).join("class.toml");
    let was = fs::read_to_string(&list).expect("readable");
    let id = &open.list.id;
    fs::write(&list, was.replace(id.as_str(), "another")).expect("room");
    let person = open.list.find("1").expect("there").clone();
    let told = open
        .begin(&person, DRILLS[0])
        .expect_err("another class")
        .to_string();
    assert!(told.contains("another class is at"), "{told}");
    fs::write(&list, &was).expect("room");

    // A part that is gone is not made anew.
    let attempts = Path::new(&place).join("attempts");
    fs::rename(&attempts, folder.path("kept")).expect("there");
    let out = twostage(&call, "look\n");
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(
        !out.status.success() && told.contains("try: the stick"),
        "{told}"
    );
    assert!(!attempts.exists());
    fs::rename(folder.path("kept"), &attempts).expect("there");

    // A file that somebody renamed to another person's is not taken for theirs.
    let file = fs::read_dir(&attempts)
        .expect("there")
        .next()
        .expect("one")
        .expect("readable")
        .path();
    let two = open.list.find("2").expect("there").id.clone();
    let name = file
        .file_name()
        .expect("a name")
        .to_string_lossy()
        .replace(&person.id, &two);
    fs::copy(&file, attempts.join(name)).expect("room");
    fs::copy(&file, attempts.join("copy of it.attempt")).expect("room");
    // A clock that was set back.
    let late = file
        .file_name()
        .expect("a name")
        .to_string_lossy()
        .replace(".00001.2", ".00000.9");
    begun_elsewhere(&file, &attempts.join(late));
    let tries = open.tries(None).expect("readable");
    assert!(
        tries.all.iter().all(|t| t.name.trainee == person.id),
        "nothing is mixed up"
    );
    assert_eq!(tries.left_out.len(), 2, "{:?}", tries.left_out);
    assert_eq!(tries.all.len(), 2);
    assert!(tries.clock_is_wrong);

    // Nothing is put over a folder with something in it.
    let out = twostage(&["class", "new", &place, "--name", "B"], "");
    assert_eq!(out.status.code(), Some(2));
    assert_eq!(fs::read_to_string(&list).expect("there"), was);
}
