//! Lessons: held against their own run, kept in the user's file.

use crate::common::{Folder, refused, twostage};
use std::path::Path;
use twostage::drill::lesson::{Answers, Lesson, Observed, Prediction, Progress, file_of, shown};
use twostage::units::System;

#[test]
fn every_lesson_runs_and_has_one_answer_to_each_question() {
    let lessons = Lesson::shipped().unwrap_or_else(|e| panic!("{e}"));
    assert!(lessons.len() >= 10);
    let (mut first, mut choices_asked) = (0, 0);
    for l in &lessons {
        let seen = l
            .observe(&mut |_| true)
            .unwrap_or_else(|e| panic!("{}: {e}", l.id));
        for (i, q) in l.questions.iter().enumerate() {
            let right = match &q.answers {
                Answers::Choices(choices) => (0..choices.len())
                    .filter(|c| {
                        let o = l.check(i, &seen, Prediction::Choice(*c));
                        o.unwrap_or_else(|e| panic!("{}, {i}: {e}", l.id)).right
                    })
                    .count(),
                Answers::Number { .. } => {
                    let o = l.check(i, &seen, Prediction::Number(-1e6));
                    let o = o.unwrap_or_else(|e| panic!("{}, {i}: {e}", l.id));
                    assert!(!o.right && !o.answer.is_empty());
                    1
                }
            };
            assert_eq!(right, 1, "{}, question {i}", l.id);
            if matches!(q.answers, Answers::Choices(_)) {
                let o = l.check(i, &seen, Prediction::Choice(0));
                first += usize::from(o.is_ok_and(|o| o.right));
                choices_asked += 1;
            }
            let said = match q.answers {
                Answers::Choices(_) => Prediction::Choice(0),
                Answers::Number { .. } => Prediction::Number(0.0),
            };
            let o = l
                .check(i, &seen, said)
                .unwrap_or_else(|e| panic!("{}, {i}: {e}", l.id));
            assert_a_moment(l, i, &seen);
            for text in [&o.explain, &o.answer, &q.ask, &l.about] {
                in_both_systems(&l.id, text);
            }
        }
        for (m, line) in l.measures.iter().zip(&seen.lines) {
            in_both_systems(&l.id, line);
            // What was measured is told by what it is and when, never by the name that the lesson's expressions have.
            let told =
                line.starts_with(m.of.words) && (line.contains(" at ") || line.contains(" from "));
            assert!(told, "{}: {line}", l.id);
            assert!(!line.contains('_'), "{}: {line}", l.id);
        }
        let told: std::collections::BTreeSet<_> = seen.lines.iter().collect();
        assert_eq!(told.len(), seen.lines.len(), "{}: {:?}", l.id, seen.lines);
    }
    assert!(
        first > 0 && 2 * first < choices_asked,
        "the place of an answer tells that it is right: the first is in {first} of {choices_asked}"
    );
}

/// The moments that a text names: "at 5 min", "from 10 min on", "until 60 s".
fn moments(text: &str) -> Vec<f64> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let named = |w: &[&str]| {
        let unit = match w[2].trim_matches(|c: char| !c.is_alphabetic()) {
            "s" => 1.0,
            "min" => 60.0,
            "h" => 3600.0,
            _ => return None,
        };
        let is_when = matches!(w[0].to_lowercase().as_str(), "at" | "from" | "until");
        w[1].parse::<f64>()
            .ok()
            .filter(|_| is_when)
            .map(|n| n * unit)
    };
    words.windows(3).filter_map(named).collect()
}

/// A lesson tells of its own run: at every moment that its text or a question names something happens in its file, and who is
/// told that nothing burns sees nothing burn.
#[test]
fn what_a_lesson_says_of_its_run_is_in_its_file() {
    let mut named = 0;
    for l in Lesson::shipped().unwrap_or_else(|e| panic!("{e}")) {
        let asked = l.questions.iter().map(|q| &q.ask);
        for text in std::iter::once(&l.about).chain(asked) {
            for at_s in moments(text) {
                named += 1;
                let happens = l
                    .scenario
                    .events
                    .iter()
                    .any(|e| (e.at_s - at_s).abs() < 1e-6);
                assert!(happens, "{}: nothing happens at {at_s} s: {text}", l.id);
            }
            let nothing = text.to_lowercase().contains("nothing burns");
            let lit = l.scenario.on_at_start.contains(&true);
            assert!(!(nothing && lit), "{}: {text}", l.id);
        }
    }
    assert!(named >= 10, "{named} moments are named");
}

/// Lessons without a fault of the catalogue that show a limit broken, which is what they are about.
const MEANT: [(&str, &str); 2] = [
    (
        "liquid",
        "the container is filled to 93 %, and liquid holds the first seat open",
    ),
    (
        "open_slowly",
        "the valve is opened in an instant, and the excess-flow valve closes",
    ),
];

/// A lesson that puts no fault in shows a healthy rig as one: no limit is broken when it begins, nor where it is measured, so that
/// nobody learns an alarm for what is as it should be.
#[test]
fn a_healthy_lesson_begins_and_is_measured_without_an_alarm() {
    use std::sync::Arc;
    use twostage::scenario::Action;
    use twostage::service::{TOLERANCE, Trouble, state_of_affairs};
    use twostage::sim::Simulation;
    use twostage::solver::Method;
    let (mut wrong, mut seen, mut meant) = (Vec::new(), 0, std::collections::BTreeSet::new());
    for l in Lesson::shipped().unwrap_or_else(|e| panic!("{e}")) {
        let puts_in = |a: &Action| matches!(a, Action::Inject { .. } | Action::Grow { .. });
        if l.scenario.events.iter().any(|e| puts_in(&e.action)) {
            continue;
        }
        seen += 1;
        let scenario = Arc::new(l.scenario.clone());
        let sim = Simulation::start(scenario, Method::Auto, TOLERANCE);
        let mut sim = sim.unwrap_or_else(|e| panic!("{}: {e}", l.id));
        let mut times: Vec<f64> = vec![0.0];
        times.extend(l.measures.iter().flat_map(|m| [m.from_s, m.to_s]));
        times.sort_by(f64::total_cmp);
        for t_s in times {
            let went = sim.advance(t_s, None, &mut |_| {});
            went.unwrap_or_else(|e| panic!("{}: {e}", l.id));
            let affairs = state_of_affairs(sim.rig(), &sim.readings());
            for t in &affairs.troubles {
                let of_a_limit = matches!(
                    t,
                    Trouble::OutletOver { .. }
                        | Trouble::OutletLow { .. }
                        | Trouble::FirstOver { .. }
                        | Trouble::FirstLow { .. }
                        | Trouble::TooFull { .. }
                );
                if of_a_limit && MEANT.iter().any(|(id, _)| *id == l.id) {
                    meant.insert(l.id.clone());
                } else if of_a_limit {
                    wrong.push(format!("{} at {t_s} s: {t:?}", l.id));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(seen > MEANT.len(), "{seen} lessons without a fault");
    assert_eq!(
        meant.len(),
        MEANT.len(),
        "{meant:?}: the others are no exception any more"
    );
}

/// Which answer is right follows from the numbers that are told: two readings that read the same are the same. (A water
/// manometer is read to a tenth of an inch, common practice.)
#[test]
fn no_answer_rests_on_digits_that_nobody_reads() {
    let text = include_str!("../../scenarios/lessons/seat_and_diaphragm.toml");
    let told = |text: &str| {
        let l = Lesson::read("two", "two", text).unwrap_or_else(|e| panic!("{e}"));
        let seen = l.observe(&mut |_| true).unwrap_or_else(|e| panic!("{e}"));
        for (m, line) in l.measures.iter().zip(&seen.lines) {
            let read = line.split_once('{').and_then(|(_, l)| l.split_once(' '));
            let read: f64 = read.map_or(f64::NAN, |(n, _)| n.parse().unwrap_or(f64::NAN));
            assert_eq!(seen.names[&m.name], read, "{line}");
        }
        let o = l.check(1, &seen, Prediction::Choice(0));
        let answer = o.unwrap_or_else(|e| panic!("{e}")).answer;
        (seen.names["outlet_one"] - seen.names["outlet_two"], answer)
    };
    // As it is shipped the fall can be read.
    let (fall, answer) = told(text);
    assert!(fall > 0.09, "{fall}");
    assert_eq!(answer, "It is a little lower");
    // With a grill for the second burner it cannot: then it is the same.
    let small = text
        .replace(
            "kind = \"furnace\"\ncycles = false\npurge = \"1 s\"",
            "kind = \"grill\"",
        )
        .replace("= \"furnace\"", "= \"grill\"");
    let (fall, answer) = told(&small);
    assert!(fall.abs() < 0.05, "{fall}");
    assert_eq!(answer, "It is the same");
}

/// Every text is filled in, and whoever has chosen SI reads no unit of the trade.
fn in_both_systems(id: &str, text: &str) {
    for system in [System::Us, System::Si] {
        let shown = shown(text, system);
        assert!(!shown.contains(['{', '}']), "{id}: not filled in: {shown}");
    }
    let si = shown(text, System::Si);
    for unit in [" in w.c.", "inwc", " psi", " Btu", "°F", " lb", "inch"] {
        assert!(!si.contains(unit), "{id}: `{unit}` in: {si}");
    }
}

#[test]
fn a_lesson_is_held_against_its_own_run() {
    // The same lesson on a healthier rig has another right answer: nothing is kept in the file.
    let text = include_str!("../../scenarios/lessons/grit.toml");
    let right = |text: &str| {
        let l = Lesson::read("grit", "grit", text).unwrap_or_else(|e| panic!("{e}"));
        let seen = l.observe(&mut |_| true).unwrap_or_else(|e| panic!("{e}"));
        l.check(1, &seen, Prediction::Choice(0))
            .unwrap_or_else(|e| panic!("{e}"))
            .answer
    };
    assert_ne!(
        right(text),
        right(&text.replace("severity = 0.35", "severity = 0.0"))
    );
}

#[test]
fn lessons_are_kept_and_wrong_ones_explained() {
    let folder = Folder::new("lessons");
    let progress = folder.path("kept/p.toml").display().to_string();
    let out = twostage(
        &["lesson", "run", "lock_up", "--progress", &progress],
        "7\n1\n2\n",
    );
    assert_eq!(
        out.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    assert!(String::from_utf8_lossy(&out.stdout).contains("2 of 2 right"));
    let kept = Progress::load(Path::new(&progress)).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(
        (kept.lessons["lock_up"].best, kept.lessons["lock_up"].times),
        (2, 1)
    );
    let out = twostage(&["lesson", "list", "--progress", &progress], "");
    assert!(String::from_utf8_lossy(&out.stdout).contains("done, 2 of 2"));
    refused(
        &["lesson", "run", "lockup", "--progress", &progress],
        2,
        &["lock_up"],
    );
    let text = include_str!("../../scenarios/lessons/lock_up.toml");
    let bad = folder.file(
        "bad.toml",
        &text.replace("later > lock_up + 0.15", "lator > lock_up +"),
    );
    refused(
        &["lesson", "run", &bad, "--progress", &progress],
        2,
        &["ends too early"],
    );
    let bad = folder.file(
        "bad2.toml",
        &text.replace("later > lock_up + 0.15", "lator > lock_up"),
    );
    refused(
        &["lesson", "run", &bad, "--progress", &progress],
        2,
        &["lator"],
    );
    let bad = folder.file("p2.toml", "[lock_up]\ntimes = -3\nbest = 1\nof = 2\n");
    refused(&["lesson", "list", "--progress", &bad], 2, &["times"]);
}

/// Whoever misses a lesson gets it back after three others, and nobody else does.
#[test]
fn progress_is_a_persons_own_and_what_was_missed_comes_back() {
    let nobodys = Path::new("/data/lessons.toml");
    assert_eq!(file_of(nobodys, "  "), nobodys);
    let names = ["Ada L.", "Ada L", "ada l.", "Bo", "Åse"];
    let mut files: Vec<_> = names.iter().map(|n| file_of(nobodys, n)).collect();
    assert!(
        files
            .iter()
            .all(|f| f.starts_with("/data/lessons") && f != nobodys)
    );
    files.sort();
    files.dedup();
    assert_eq!(files.len(), names.len(), "a file for each name");

    let ids = ["a", "b", "c", "d", "e"];
    let mut p = Progress::default();
    assert_eq!(p.next(&ids.into_iter()), Some("a"));
    p.note("a", 1, 2);
    assert!(!p.comes_back("a"), "not while the answer is in the ear");
    assert_eq!(p.next(&ids.into_iter()), Some("b"));
    for id in ["b", "c", "d"] {
        assert!(!p.comes_back("a"));
        p.note(id, 2, 2);
    }
    assert!(p.comes_back("a"));
    assert_eq!(p.next(&ids.into_iter()), Some("a"));
    p.note("a", 2, 2);
    assert!(!p.comes_back("a"), "put right");
    assert_eq!(p.next(&ids.into_iter()), Some("e"));
    // A file of an earlier program tells the best time only.
    let folder = Folder::new("progress");
    let old = folder.file("p.toml", "[lock_up]\ntimes = 4\nbest = 1\nof = 2\n");
    let old = Progress::load(Path::new(&old)).unwrap_or_else(|e| panic!("{e}"));
    assert!(old.comes_back("lock_up"));
    let kept = folder.path("kept.toml");
    p.save(&kept).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(Progress::load(&kept).unwrap_or_else(|e| panic!("{e}")), p);
}

/// A question is answered at a moment of its run: at the measure that its answer is reckoned from, and where that is a highest
/// or lowest value when it was reached.
fn assert_a_moment(l: &Lesson, i: usize, seen: &Observed) {
    let q = &l.questions[i];
    let (m, at_s) = (&l.measures[q.key], seen.at_s[q.key]);
    assert!(
        q.answers.names().contains(&m.name),
        "{}, {i}: {}",
        l.id,
        m.name
    );
    assert!((m.from_s..=m.to_s).contains(&at_s), "{}, {i}: {at_s}", l.id);
}

/// What a lesson has to try changes its run in the way that it says, and its text names the moment.
#[test]
fn every_lesson_has_something_to_try_and_it_does_what_is_told() {
    for l in Lesson::shipped().unwrap_or_else(|e| panic!("{e}")) {
        let twist = l.twist.as_ref().unwrap_or_else(|| panic!("{}", l.id));
        let run = |l: &Lesson| {
            let seen = l.observe(&mut |_| true);
            seen.unwrap_or_else(|e| panic!("{}: {e}", l.id))
        };
        let (plain, tried) = (run(&l), run(&l.twisted().expect("a twist")));
        let holds = |seen: &Observed| twist.holds.truth(&seen.names);
        assert_eq!(holds(&plain), Ok(false), "{}: nothing changes", l.id);
        assert_eq!(holds(&tried), Ok(true), "{}: {:?}", l.id, tried.lines);
        let named = moments(&twist.say.replace("After ", "at ").replace(" hours", " h"));
        assert_eq!(named, [twist.event.at_s], "{}: {}", l.id, twist.say);
        // Line by line beside what was: something is another, and beside itself nothing is.
        let differs = |lines: &[String]| lines.iter().any(|t| t.contains(" instead of "));
        let beside = l.beside(&tried, &plain);
        assert_eq!(beside.len(), l.measures.len(), "{}", l.id);
        assert!(differs(&beside), "{}: {beside:?}", l.id);
        assert!(!differs(&l.beside(&plain, &plain)), "{}", l.id);
        for text in [&twist.say, &twist.watch] {
            in_both_systems(&l.id, text);
        }
    }
}

/// Where a manometer hangs to be read, neither the run nor what there is to try puts more on it than it holds: a tube that has
/// lost its water shows nothing.
#[test]
fn the_manometer_of_a_lesson_keeps_its_water() {
    use std::sync::Arc;
    use twostage::drill::lesson::View;
    use twostage::service::{Kit, TOLERANCE};
    use twostage::sim::Simulation;
    use twostage::solver::Method;
    let holds_pa = Kit::default().manometer.range_pa;
    let mut seen = 0;
    for l in Lesson::shipped().unwrap_or_else(|e| panic!("{e}")) {
        if l.view != View::Outside {
            continue;
        }
        seen += 1;
        for run in [l.clone(), l.twisted().expect("a twist")] {
            let scenario = Arc::new(run.scenario.clone());
            let mut sim = Simulation::start(scenario, Method::Auto, TOLERANCE)
                .unwrap_or_else(|e| panic!("{}: {e}", l.id));
            while sim.time_s() < run.scenario.run.duration_s {
                let to_s = sim.time_s() + 0.5;
                sim.advance(to_s, None, &mut |_| {})
                    .unwrap_or_else(|e| panic!("{}: {e}", l.id));
                let outlet_pa = sim.readings().outlet_pa;
                assert!(outlet_pa < holds_pa, "{} at {to_s} s: {outlet_pa}", l.id);
            }
        }
    }
    assert!(seen > 0);
}

/// Before the prediction nothing that gas does can be read: valves are shut and lines hold air. A manometer on such a line stands
/// level (derived: the same air on both legs); 2.5 Pa are a hundredth of an inch of water, finer than any instrument here shows.
#[test]
fn a_rig_that_waits_for_a_prediction_shows_no_answer() {
    use std::sync::Arc;
    use twostage::service::TOLERANCE;
    use twostage::sim::Simulation;
    use twostage::solver::Method;
    let mut covered = Vec::new();
    for l in Lesson::shipped().unwrap_or_else(|e| panic!("{e}")) {
        let sim = Simulation::start(Arc::new(l.ready()), Method::Auto, TOLERANCE);
        let r = sim.unwrap_or_else(|e| panic!("{}: {e}", l.id)).readings();
        for pa in [r.outlet_pa, r.manifold_pa, r.first.chamber_pa] {
            assert!(pa.abs() < 2.5, "{}: {pa}", l.id);
        }
        assert_eq!(r.flow_w, 0.0, "{}", l.id);
        if l.asks_for_what_stands() {
            covered.push(l.id);
        }
    }
    assert_eq!(covered, ["two_stages", "cold_container", "liquid"]);
}

#[test]
fn moments_parts_and_twists_are_checked_as_they_are_read() {
    let text = include_str!("../../scenarios/lessons/lever.toml");
    let wrong = |from: &str, to: &str, told: &str| {
        assert!(text.contains(from), "{from}");
        let e = Lesson::read("l", "l", &text.replace(from, to)).expect_err(to);
        assert!(e.to_string().contains(told), "{to}: {e}");
    };
    wrong("key = \"gas\"", "key = \"gass\"", "gas");
    wrong(
        "part = \"second_lever\"",
        "part = \"second_leaver\"",
        "second_lever",
    );
    wrong(
        "turn_off = \"furnace\"\n",
        "turn_off = \"oven\"\n",
        "furnace",
    );
    wrong("at = \"20 s\"", "at = \"200 s\"", "200 s");
    wrong("holds = \"seat_travel", "holds = \"seat_way", "seat_way");
    wrong(
        "title = \"What",
        "view = \"above\"\ntitle = \"What",
        "outside",
    );
}

/// A word that is not known is one mistake: the unit beside it, and what is asked of the measure, are none.
#[test]
fn a_wrong_measure_brings_no_other_mistake_with_it() {
    let text = text_of("answer = \"a\"\nwithin = 0.3\nunit = \"inwc\"\n");
    for (from, to) in [
        ("of = \"outlet\"", "of = \"outlett\""),
        ("of = \"outlet\"\n", ""),
        ("at = \"2 s\"", "at = \"200 s\""),
        ("unit = \"inwc\"", "unit = \"inwcc\""),
    ] {
        let e = Lesson::read("t", "t", &text.replacen(from, to, 1)).expect_err(to);
        let said = e.to_string();
        assert_eq!(said.matches("error:").count(), 1, "{from} as {to}: {said}");
    }
}

fn lesson(question: &str) -> Lesson {
    let text = text_of(question);
    Lesson::read("t", "t", &text).unwrap_or_else(|e| panic!("{e}"))
}

fn text_of(question: &str) -> String {
    format!(
        "format = 1\ntitle = \"t\"\nabout = \"a\"\n[scenario]\ntitle = \"s\"\n\
         [[scenario.container]]\nkind = \"30 lb cylinder\"\n[[scenario.appliance]]\nkind = \"cooktop\"\n[scenario.run]\nduration = \"10 s\"\n\
         [[measure]]\nname = \"a\"\nof = \"outlet\"\nat = \"2 s\"\nunit = \"inwc\"\n\
         [[measure]]\nname = \"b\"\nof = \"outlet\"\nat = \"8 s\"\nunit = \"inwc\"\n\
         [[question]]\nask = \"q\"\nexplain = \"e\"\n{question}"
    )
}

fn seen(a: f64, b: f64) -> Observed {
    Observed {
        names: [("a".to_owned(), a), ("b".to_owned(), b)].into(),
        lines: Vec::new(),
        at_s: vec![2.0, 8.0],
    }
}

const PA: f64 = 249.089; // An inch of water (published).

#[test]
fn a_number_is_drawn_where_what_was_measured_would_have_given_it() {
    // A fall of 2 from 11 would have stood at 9.
    let l = lesson("answer = \"a - b\"\nwithin = 0.5\nunit = \"inwc\"\n");
    assert_eq!(l.questions[0].key, 1, "the last that is measured");
    let held = l.held(0, &seen(11.0, 10.8), Prediction::Number(2.0));
    let held = held.expect("held");
    assert_eq!(held.at_s, 8.0);
    assert!(!held.is_as_said, "it is reckoned from what was said");
    assert_eq!(held.told, "{10.8 inwc}");
    assert!((held.measured / PA - 10.8).abs() < 1e-3);
    let said = held.number.expect("a number") / PA;
    assert!((said - 9.0).abs() < 1e-3, "{said}");
    assert_eq!(held.said.len(), 1);
    let [from, to] = held.said[0].map(|x| x / PA);
    assert!(
        (from - 8.5).abs() < 1e-3 && (to - 9.5).abs() < 1e-3,
        "{from} {to}"
    );
    // What is far off is found as well.
    let held = l.held(0, &seen(11.0, 10.8), Prediction::Number(-300.0));
    let said = held.and_then(|h| h.number).expect("a number") / PA;
    assert!((said - 311.0).abs() < 1e-2, "{said}");
}

#[test]
fn a_choice_is_drawn_as_the_values_it_holds_for() {
    let l = lesson(
        "[[question.choice]]\nsay = \"up\"\nwhen = \"b > a + 0.1\"\n\
         [[question.choice]]\nsay = \"same\"\nwhen = \"abs(b - a) <= 0.1\"\n\
         [[question.choice]]\nsay = \"down\"\nwhen = \"b < a - 0.1\"\n",
    );
    let Answers::Choices(choices) = &l.questions[0].answers else {
        panic!("choices");
    };
    for (i, (say, _)) in choices.iter().enumerate() {
        let held = l.held(0, &seen(11.0, 12.0), Prediction::Choice(i));
        let said = held.expect("held").said;
        let near = |x: f64, y: f64| (x / PA - y).abs() < 1e-3;
        let [from, to] = said[0];
        assert_eq!(said.len(), 1, "{say}");
        match say.as_str() {
            "up" => assert!(near(from, 11.1) && to == f64::INFINITY),
            "down" => assert!(from == f64::NEG_INFINITY && near(to, 10.9)),
            _ => assert!(near(from, 10.9) && near(to, 11.1)),
        }
    }
}
