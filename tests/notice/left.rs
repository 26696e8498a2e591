//! How a rig is left by who answers: shut off, or in use as whoever uses it next finds it.

use super::hands::{Work, quiet};

/// How a rig is left: the fault in it, gas escaping, the outlet over 14; shut off, none of it counts.
#[test]
fn a_rig_is_not_left_in_use_as_it_is() {
    let left = |work: &mut Work, how: &str| {
        work.does(&[
            "light cooktop",
            "off all",
            &format!("answer nothing adjust {how}"),
        ])
    };
    let fault = "left in use with the fault in it".to_owned();
    assert_eq!(left(&mut quiet(), "in use"), std::slice::from_ref(&fault));
    assert_eq!(left(&mut quiet(), "shut off"), Vec::<String>::new());
    let leaking = left(&mut Work::new("pigtail_leak", 0.9), "in use");
    assert_eq!(leaking, [fault.clone(), "left leaking".to_owned()]);
    assert_eq!(
        left(&mut Work::new("pigtail_leak", 0.9), "shut off"),
        Vec::<String>::new()
    );
    let over = left(&mut Work::new("second_screw_high", 0.9), "in use");
    assert_eq!(over, [fault.clone(), "left over the limit".to_owned()]);
    // Shut, and told that it may be used: whoever opens it has what it was left with.
    let shut = |id| Work::new(id, 0.9).does(&["shut", "answer nothing adjust in use"]);
    assert_eq!(
        shut("pigtail_leak"),
        [fault.clone(), "left leaking".to_owned()]
    );
    assert_eq!(
        shut("second_screw_high"),
        [fault, "left over the limit".to_owned()]
    );
}

/// Who reads over 14 in w.c. and leaves the rig in use fails, and not who has never read it; a look at the vents after it lights
/// nothing (no flame until it is put right, and the container shut: common practice).
#[test]
fn what_was_read_over_14_is_not_left_in_use() {
    use twostage::drill::attempt::safety::Unsafe;
    let done = |acts: &[&str]| {
        let mut work = Work::new("second_screw_high", 0.6);
        work.does(acts);
        let all = work.attempt.entries().iter();
        all.flat_map(|e| e.noticed.clone()).collect::<Vec<_>>()
    };
    let leave = "answer second_screw_high adjust in use";
    let grave = |acts: &[&str]| done(acts).iter().any(Unsafe::is_grave);
    assert!(done(&["test lock-up", leave]).contains(&Unsafe::LeftAgainstReading));
    assert!(!grave(&["wait 2 min", leave]));
    assert!(!grave(&[
        "test lock-up",
        "answer second_screw_high adjust shut off"
    ]));
    // Set right since, or at least not read since.
    assert!(!grave(&["test lock-up", "screw second -600", leave]));
    assert_eq!(done(&["test lock-up", "test vent", "test first stage"]), []);
    let mut work = Work::new("second_screw_high", 0.6);
    work.does(&["test lock-up", "off all", "test vent"]);
    let burns = |a: &twostage::rig::ApplianceMode| a.on;
    assert!(!work.sim.moment().modes.appliances.iter().any(burns));
}

/// Who reads container pressure behind the first stage, names what it is, and leaves the rig in use fails (common practice: it stays
/// shut); shut off it is safe.
#[test]
fn what_was_read_as_a_stop_is_not_left_in_use() {
    use twostage::drill::attempt::safety::Unsafe;
    use twostage::drill::marking::grade::grade;
    let left = |how: &str| {
        let mut work = Work::new("first_seat_disc_lost", 0.9);
        work.does(&[
            "look",
            "test lock-up",
            &format!("answer first_seat_disc_lost replace {how}"),
        ]);
        let (drill, entries) = (work.attempt.drill(), work.attempt.entries());
        grade(drill, entries, work.attempt.answer()).failed
    };
    assert!(matches!(left("in use"), Some(Unsafe::LeftOverStop(_))));
    assert_eq!(left("shut off"), None);
}
