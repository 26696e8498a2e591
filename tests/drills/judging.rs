//! What a trainee makes of a test: by its numbers alone, once a test, answered at once in training and at the end in an
//! exam, and never written beside the numbers.

use crate::common::{Folder, drill, go, shipped, twostage};
use std::sync::Arc;
use twostage::drill::attempt::act::{VERDICTS, verdict_word};
use twostage::drill::attempt::judging::{Judging, judgings};
use twostage::drill::attempt::safety::Unsafe;
use twostage::drill::attempt::{Attempt, log};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::grade::grade;
use twostage::drill::marking::weigh::weigh;
use twostage::drill::{Act, Drill, NotDone};
use twostage::report::marks::why;
use twostage::solver::Method;
use twostage::visit::{Test, Verdict};

fn exam() -> Drill {
    let (name, text) = shipped(1);
    let open = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
    let worked = open.worked.clone().expect("sealed");
    let sealed = Drill { exam: true, ..open }.to_sealed(&worked);
    Drill::read("exam", &sealed, None).unwrap_or_else(|e| panic!("{e}"))
}

/// A creeping seat: half load is in order, at rest the outlet climbs over what is allowed.
#[test]
fn a_judgement_is_held_against_what_the_test_told() {
    let d = drill(1);
    let (mut a, mut s) =
        Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    let refused = |a: &mut Attempt, s: &mut _| {
        let told = a.act(s, &Act::Judge(Verdict::Pass), &mut |_| true);
        match told {
            Err(NotDone::Refused(why)) => why.to_string(),
            other => panic!("{other:?}"),
        }
    };
    assert!(refused(&mut a, &mut s).contains("no test"));
    go(&mut a, &mut s, "test air temperature");
    assert!(refused(&mut a, &mut s).contains("nothing of this test"));
    go(&mut a, &mut s, "test flow pressure");
    let clock = s.time_s();
    go(&mut a, &mut s, "judge pass");
    assert_eq!(s.time_s(), clock, "thinking costs no time");
    assert!(refused(&mut a, &mut s).contains("already"));
    go(&mut a, &mut s, "off all");
    go(&mut a, &mut s, "test creep");
    let creep = a.entries().last().expect("an act").told.clone();
    assert_eq!(creep.verdict(), Some(Verdict::Fail), "{creep:?}");
    go(&mut a, &mut s, "judge pass");
    let made = judgings(a.entries(), s.rig());
    let shares: Vec<f64> = made.iter().map(Judging::share).collect();
    assert_eq!(shares, [1.0, 0.0], "{made:?}");
    assert!(made[1].by.is_some());
    // The log holds what was said and told, and no verdict.
    let judged: Vec<&str> = a.entries().iter().map(|e| e.act.as_str()).collect();
    assert_eq!(judged[2], "judge pass");
    let g = grade(&d, a.entries(), None);
    assert!(
        why(&g.evidence.why).contains("of 2 tests 1 was judged rightly, 1 wrongly"),
        "{}",
        why(&g.evidence.why)
    );
}

/// Over 14 in w.c. at rest nothing is lit any more (the limit of the trade, common practice): who calls that a pass would light it.
/// It is told with the marks, by act, and not before.
#[test]
fn a_danger_called_a_pass_is_unsafe() {
    let text = "format = 1\ntitle = \"Small\"\ncomplaint = \"A big first flame.\"\ngas_told = false\nexam = true\n\
                [[fault]]\nname = \"second_seat_nick\"\nseverity = 0.7\n[scenario]\ntitle = \"A small rig\"\n\
                [[scenario.container]]\nkind = \"30 lb cylinder\"\n[[scenario.appliance]]\nkind = \"cooktop\"\n\
                [scenario.run]\nduration = \"1 h\"\n";
    let d = Arc::new(Drill::read("small.toml", text, None).unwrap_or_else(|e| panic!("{e}")));
    let judged = |verdict: &str| {
        let (mut a, mut s) =
            Attempt::unlogged(d.clone(), "Carl", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
        for words in ["light half", "test lock-up", verdict] {
            go(&mut a, &mut s, words);
        }
        assert!(a.entries().iter().all(|e| e.noticed.is_empty()));
        go(&mut a, &mut s, "answer second_seat_nick replace shut off");
        grade(&d, a.entries(), a.answer())
    };
    let (pass, caution, fail) = (
        judged("judge pass"),
        judged("judge caution"),
        judged("judge fail"),
    );
    assert_eq!(pass.noticed, [Unsafe::CalledSafe(Test::LockUp)]);
    assert_eq!((pass.safety.given, pass.safety.of), (10.0, 20.0));
    assert!(pass.failed.is_none() && pass.judgings[0].endangers);
    for other in [&caution, &fail] {
        assert!(other.noticed.is_empty() && other.safety.given == 20.0);
        assert!(other.total() >= pass.total() + 10.0);
    }
    // Said and not done.
    assert_eq!((pass.unsafe_acts, pass.unsafe_said), (0, 1));
    // In training it is told with the judgement, in an exam with the marks.
    for (exam, told_at_once) in [(false, true), (true, false)] {
        let folder = Folder::new(if exam { "said-exam" } else { "said" });
        let text = text.replace("exam = true", &format!("exam = {exam}"));
        let file = folder.file("small.toml", &text);
        let log = folder.path("a.attempt").display().to_string();
        let input = "light half\ntest lock-up\njudge pass\nquit\n";
        let out = twostage(
            &["drill", "try", &file, "--who", "Ada", "--log", &log],
            input,
        );
        let said = String::from_utf8_lossy(&out.stdout).into_owned();
        let words = "UNSAFE, a danger judged to be a pass: ";
        assert_eq!(said.contains(words), told_at_once, "{said}");
    }
    // What is too low is out of its limit and no danger: judged wrongly, and no more.
    let low = Drill::read(
        "low.toml",
        &text.replace("second_seat_nick", "second_screw_low"),
        None,
    );
    let low = Arc::new(low.unwrap_or_else(|e| panic!("{e}")));
    let (mut a, mut s) =
        Attempt::unlogged(low, "Carl", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    for words in ["test flow pressure", "judge pass"] {
        go(&mut a, &mut s, words);
    }
    let made = judgings(a.entries(), s.rig());
    assert!(
        made[0].is == Verdict::Fail && !made[0].endangers,
        "{made:?}"
    );
}

#[test]
fn judged_rightly_an_attempt_is_never_worth_less() {
    let d = drill(1);
    let marks = |words: Option<&str>| {
        let (mut a, mut s) =
            Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
        go(&mut a, &mut s, "test creep");
        if let Some(words) = words {
            go(&mut a, &mut s, words);
        }
        grade(&d, a.entries(), None).evidence.given
    };
    let (none, wrong, near, right) = (
        marks(None),
        marks(Some("judge pass")),
        marks(Some("judge caution")),
        marks(Some("judge fail")),
    );
    assert!(
        none == wrong && wrong < near && near < right,
        "{none} {wrong} {near} {right}"
    );
    assert!((right - none - 4.0).abs() < 1e-9);
}

#[test]
fn every_verdict_has_one_word_that_is_read_back() {
    let rig = twostage::scenario::Scenario::opening().rig;
    for v in VERDICTS {
        let act = Act::Judge(v);
        assert_eq!(Act::parse(&act.words(&rig), &rig).expect("read"), act);
        assert_eq!(act.words(&rig), format!("judge {}", verdict_word(v)));
    }
    let wrong = Act::parse("judge well", &rig).expect_err("no verdict");
    assert!(wrong.help.contains("judge caution"));
}

#[test]
fn in_training_it_is_answered_at_once_and_in_an_exam_at_the_end() {
    let folder = Folder::new("judging");
    let exam = exam();
    let text = exam.to_sealed(exam.worked.as_ref().expect("sealed"));
    let files = [
        folder.file("training.toml", shipped(1).1),
        folder.file("exam.toml", &text),
    ];
    let acts = "test creep\njudge pass\nanswer second_seat_nick replace shut off\n";
    for (file, at_once) in files.iter().zip([true, false]) {
        let log = folder.path(if at_once { "t.attempt" } else { "e.attempt" });
        let log_name = log.display().to_string();
        let told = twostage(
            &["drill", "try", file, "--who", "Ada", "--log", &log_name],
            acts,
        );
        let told = String::from_utf8_lossy(&told.stdout).into_owned();
        assert_eq!(told.contains("Not so, it is a fail"), at_once, "{told}");
        assert_eq!(told.contains("told at the end"), !at_once, "{told}");
        let kept = std::fs::read_to_string(&log).expect("the log");
        assert!(!kept.contains("fail"), "the log tells a verdict: {kept}");
        let marks = twostage(&["drill", "grade", file, &log_name, "--marks"], "");
        let marks = String::from_utf8_lossy(&marks.stdout).into_owned();
        assert!(marks.contains("Not so, it is a fail"), "{marks}");
    }
    let log = log::read(&folder.path("e.attempt"))
        .expect("a log")
        .expect("a header");
    let again =
        Attempt::replay(Arc::new(exam), &log, Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(again.0.entries(), &log.entries[..]);
}

/// Water in a bonnet is no gas at a vent, a pick does not empty it, and what is not at hand is not offered: the drill told so.
#[test]
fn water_at_a_vent_is_told_as_what_it_is() {
    let folder = Folder::new("rain");
    let log = folder.path("rain.attempt").display().to_string();
    let args = [
        "drill",
        "try",
        "since_the_rain",
        "--who",
        "Ada",
        "--log",
        &log,
    ];
    let acts = "look\nclear vents\nlook\ntest vent\njudge fail\nblow at it\n";
    let told = twostage(&args, acts);
    let (said, wrong) = (
        String::from_utf8_lossy(&told.stdout).into_owned(),
        String::from_utf8_lossy(&told.stderr).into_owned(),
    );
    assert_eq!(said.matches("water in it").count(), 2, "{said}");
    assert!(
        said.contains("water in a spring case or paint on a screen stays"),
        "{said}"
    );
    assert!(
        said.contains("Not so, it is a pass: no gas came at the vents"),
        "{said}"
    );
    assert!(
        wrong.contains("`blow at it` is not something to do here"),
        "{wrong}"
    );
    assert!(
        wrong.contains("clear vents") && wrong.contains("fluid JOINT"),
        "{wrong}"
    );
    assert!(
        !wrong.contains("screw STAGE") && !wrong.contains("new PART"),
        "{wrong}"
    );
}

/// One word for everything is one step off nearly everywhere: of several tests it counts no more often than what is right.
#[test]
fn caution_for_everything_is_worth_nothing() {
    let of = DRILLS.iter().position(|d| d.0 == "since_the_rain");
    let d = drill(of.expect("a shipped drill"));
    let share = |says: [&str; 3]| {
        let (mut a, mut s) =
            Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
        for (test, says) in ["vent", "flow pressure", "lock-up"].into_iter().zip(says) {
            go(&mut a, &mut s, &format!("test {test}"));
            go(&mut a, &mut s, &format!("judge {says}"));
        }
        weigh(&d, a.entries(), None).judged
    };
    let caution = share(["caution"; 3]);
    assert_eq!((caution.right, caution.near, caution.share), (0, 3, 0.0));
    assert_eq!(share(["pass", "fail", "pass"]).share, 1.0);
    let some = share(["pass", "caution", "caution"]).share;
    assert!(
        (some - 0.5).abs() < 1e-9,
        "one right and one of two steps off: {some}"
    );
}
