//! The bench on the command line: a visit, single orders, faults that come as they are told to.

use super::{Folder, SMALL, refused, said, told, twostage, with};
use ::twostage::visit::Test;

#[test]
fn a_visit_is_told_and_its_json_says_the_same() {
    let folder = Folder::new("visit");
    let file = folder.file("small.toml", SMALL);
    let healthy = twostage(&["service", &file]);
    assert_eq!(healthy.status.code(), Some(0), "{}", told(&healthy));
    assert!(said(&healthy).contains("lock-up            pass"));
    let json = twostage(&["service", &file, "--inject", "second_seat_grit=1", "--json"]);
    let report: serde_json::Value = serde_json::from_str(&said(&json)).expect("JSON");
    assert_eq!(report["version"], 3);
    assert_eq!(report["verdict"], "fail");
    let tests = report["tests"].as_array().expect("the tests");
    // Far over 14 in w.c. at rest nothing is lit, and what is left out is told.
    let not_made = report["not_made"].as_array().expect("what was left out");
    // A visit on site reads the container's pressure first.
    assert_eq!(tests.len() + not_made.len(), 1 + Test::VISIT.len());
    // It is stopped where the gauge passes: as the container is opened again after the leak check.
    let stopped = tests.iter().find(|t| !t["halted"].is_null()).expect("it");
    assert_eq!(stopped["verdict"], "fail");
    let judged = stopped["judged"].as_array().expect("what decided");
    let graded = |j: &serde_json::Value| j["limit"]["grade"] == "practice";
    assert!(judged.iter().any(graded), "{judged:?}");
    refused(
        &["service", &file, "--inject", "second_seat_gritt=1"],
        2,
        &[
            "there is no fault `second_seat_gritt`",
            "`second_seat_grit`",
        ],
    );
    refused(
        &["service", &file, "--inject", "lever_off=1.5"],
        2,
        &["a severity of 1.5"],
    );
}

#[test]
fn orders_to_the_bench_are_followed_one_by_one() {
    let file = with("[run]", "");
    let folder = Folder::new("orders");
    let file = folder.file("orders.toml", &file);
    let done = twostage(&[
        "service",
        &file,
        "--do",
        "read outlet with manometer for 1 s",
        "--do",
        "thermometer body",
        "--do",
        "fluid second vent",
        "--do",
        "screw second +90",
        "--do",
        "test lock-up",
    ]);
    let text = said(&done);
    assert_eq!(done.status.code(), Some(0), "{}", told(&done));
    for words in [
        "on the manometer, moved between",
        "body: ",
        "second vent: no bubbles",
        "Turned +90 degrees",
        "Only a qualified technician",
        "limit on the lock-up",
    ] {
        assert!(text.contains(words), "{words}:\n{text}");
    }
    let json = twostage(&["service", &file, "--do", "weigh", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert!(
        json["orders"][0]["words"]
            .as_str()
            .expect("words")
            .contains("of fuel")
    );
    refused(
        &["service", &file, "--do", "read manifolt"],
        2,
        &["did you mean `manifold`"],
    );
    refused(
        &["service", &file, "--do", "read container 2"],
        2,
        &["it has 1"],
    );
    // What was done before is told, then why the next cannot be.
    for (first, next, words) in [
        ("light all", "test lock-up", "burns gas"),
        (
            "shut",
            "test full load",
            "the container valve is shut; open it slowly",
        ),
    ] {
        let output = twostage(&["service", &file, "--do", first, "--do", next]);
        let text = told(&output);
        assert_eq!(output.status.code(), Some(1), "{text}");
        assert!(text.contains("must wait"), "{text}");
        assert!(text.contains(words), "{text}");
        assert!(said(&output).starts_with(first));
    }
}

#[test]
fn a_fault_comes_as_the_command_line_says() {
    let folder = Folder::new("onsets");
    let file = folder.file("onsets.toml", &with("[run]", ""));
    for onset in [
        "second_seat_nick=0.5 over 10 s",
        "second_seat_nick=0.5@1 s over 20 cycles",
        "rubber_stiff=0.5 from 50 degF to 10 degF",
    ] {
        let ran = twostage(&["run", &file, "--inject", onset]);
        assert_eq!(ran.status.code(), Some(0), "{onset}: {}", told(&ran));
    }
    for (onset, words) in [
        ("second_seat_nick=0.5 over 0 cycles", "no number of cycles"),
        ("second_seat_nick=0.5 over never", "a time is wanted"),
        ("rubber_stiff=0.5 from 50 degF", "has no end"),
        ("rubber_stiff=0.5 from 50 degF to 50 degF", "the same"),
        ("rubber_stiff=0.5 from 50 degF to 900 degF", "a body at"),
        (
            "butane_rich=0.5 from 50 degF to 10 degF",
            "the body's temperature brings no more of it",
        ),
    ] {
        refused(&["run", &file, "--inject", onset], 2, &["--inject", words]);
    }
}

/// Beside a leak the visit stops where a person would; the rest is told with its reason, and only a simulator goes on.
#[test]
fn a_visit_beside_a_leak_lights_nothing_unless_it_is_told_to() {
    let folder = Folder::new("leak");
    let file = folder.file("leak.toml", SMALL);
    let leak = ["service", &file, "--inject", "diaphragm_torn=0.6"];
    let stopped = said(&twostage(&leak));
    for words in [
        "flow pressure      not made  gas was lost in the leak check",
        "joints ",
        "Left with the burners off and the container shut",
    ] {
        assert!(stopped.contains(words), "{words}:\n{stopped}");
    }
    assert!(!stopped.contains("On a real rig nothing is lit"));
    let through = said(&twostage(&[&leak[..], &["--go-on"]].concat()));
    for words in ["flow pressure      ", "On a real rig nothing is lit"] {
        assert!(through.contains(words), "{words}:\n{through}");
    }
    assert!(!through.contains("not made"));
    refused(
        &["service", &file, "--go-on", "--test", "lock-up"],
        2,
        &["--go-on"],
    );
}
