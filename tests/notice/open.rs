//! What an answer that is not the cause itself is worth, number by number.

use super::marks::{SURE, drill, fault, marked, weighed};
use twostage::drill::marking::weigh::Weighed;
use twostage::fault::Remedy;

/// Another cause that the readings leave open counts by how likely they leave it: three quarters of what they bear out where one
/// job puts both right, three eighths where it does not; nothing with nothing read, and never more than the true one.
#[test]
fn what_the_readings_leave_open_counts_by_their_belief_and_by_the_job() {
    let mut d = drill(true, &[]);
    d.faults[0].fault = fault("second_seat_grit");
    d.worked.as_mut().expect("worked").accepts = vec![d.cause()];
    for (named, action, most) in [
        ("diaphragm_torn", Remedy::Replace, 0.75),
        ("line_crushed", Remedy::Repair, 0.375),
    ] {
        for support in [0.0, 0.3, 0.6, 1.0] {
            for open in [0.0, 0.2, 0.5, 1.0] {
                let weight = Weighed {
                    support,
                    open,
                    ..SURE
                };
                let given = |cause: &str| {
                    let said = Some((&[cause][..], action));
                    weighed(&d, 10.0, &[], said, weight).cause.given
                };
                let want = 30.0 * most * support * open;
                assert!(
                    (given(named) - want).abs() <= 0.051,
                    "{named} {support} {open}"
                );
                assert!(given(named) < given("second_seat_grit"));
            }
        }
    }
}

/// What strikes the same part of the rig is as near as what is of the same family.
#[test]
fn the_right_part_of_the_rig_counts_as_the_right_family_does() {
    let mut d = drill(true, &[]);
    d.faults[0].fault = fault("vent_turned_up");
    d.worked.as_mut().expect("worked").accepts = vec![d.cause()];
    let given = |cause: &str| {
        marked(&d, 10.0, Some((&[cause], Remedy::Clear)))
            .cause
            .given
    };
    assert_eq!(given("vent_turned_up"), 30.0);
    assert_eq!(given("second_vent_iced"), 11.3, "water and ice in one vent");
    assert_eq!(given("mounted_in_sun"), 11.3, "of the family");
    assert_eq!(
        given("second_screw_high"),
        0.0,
        "it looks alike, and is elsewhere"
    );
}
