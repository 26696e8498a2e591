//! Readings that forbid a flame: which they are, that who lights after a stop fails, that a look after one lights nothing, and
//! that the paper has them all.

use super::hands::{STOP, Work, quiet};

/// A gauge by itself tells as much as a test does, in whatever state of the rig; one on its pin is a stop until a larger one has
/// been on; a low side over 18 in w.c. and a container too full are stops too. A larger reading is known to nobody who read a
/// smaller one.
#[test]
fn every_reading_that_is_a_stop_fails_who_lights_after_it() {
    let lost = || Work::new("first_seat_disc_lost", 0.9);
    // Not in one of the three states in which a reading counts as evidence.
    let by_hand = [
        "light cooktop",
        "off all",
        "read first stage",
        "light cooktop",
    ];
    assert_eq!(lost().does(&by_hand), [STOP]);
    let pegged = "read first stage with dial 15 psi";
    assert_eq!(lost().does(&[pegged, "light cooktop"]), [STOP]);
    let mut work = lost();
    work.does(&[pegged]);
    let told = &work.attempt.entries()[0].told;
    let said = twostage::report::visit::told(told, work.sim.rig(), twostage::units::System::Us);
    assert!(said[0].contains("only a larger gauge tells"), "{said:?}");
    // A gauge that a stage in order would peg as well says nothing.
    let small = ["read first stage with dial 5 psi", "light cooktop"];
    assert!(lost().does(&small).is_empty());
    assert!(quiet().does(&small).is_empty());
    // Over 13 psig and under 25 the small gauge is on its pin, and a larger one tells that it is no stop.
    let some = || Work::new("first_screw_high", 0.9);
    let first_psi = {
        let mut work = some();
        work.does(&["light cooktop", "off all", "wait 2 min"]);
        work.sim.readings().first.chamber_pa / 6894.757
    };
    assert!((15.0..25.0).contains(&first_psi), "{first_psi} psig");
    let rest = ["light cooktop", "off all", "wait 2 min", pegged];
    assert_eq!(
        some().does(&[&rest[..], &["light cooktop"]].concat()),
        [STOP]
    );
    let larger = [
        &rest[..],
        &["read first stage with dial 30 psi", "light cooktop"],
    ]
    .concat();
    assert!(some().does(&larger).is_empty());
    // What stood on its pin is lit against once.
    let twice = [&rest[..], &["light cooktop", "off all", "light cooktop"]].concat();
    assert!(some().does(&twice).is_empty());
    // A low side far over 14 in w.c., and a container too full.
    let far = || Work::new("second_seat_disc_lost", 0.9);
    assert_eq!(far().does(&["read outlet", "light cooktop"]), [STOP]);
    let full = || Work::new("container_overfilled", 0.9);
    assert_eq!(full().does(&["weigh 1", "light cooktop"]), [STOP]);
    assert!(full().does(&["light cooktop"]).is_empty());
    assert!(quiet().does(&["weigh 1", "light cooktop"]).is_empty());
}

/// After a reading that is a stop a look at the vents or the first stage is made at rest, and lights nothing; the first stage
/// that is read over it by that very test is not looked at again with gas flowing.
#[test]
fn a_look_after_a_stop_lights_nothing() {
    let lit = |work: &Work| work.sim.moment().modes.appliances.iter().any(|m| m.lit);
    for (acts, burns) in [
        (&["test first stage"][..], false),
        (&["test lock-up", "test vent"], false),
        (&["test vent"], true),
    ] {
        let mut work = Work::new("first_seat_disc_lost", 0.9);
        assert!(work.does(acts).is_empty(), "{acts:?}");
        assert_eq!(lit(&work), burns, "{acts:?}");
        let told = &work.attempt.entries().last().expect("an act").told;
        assert_eq!(told.left_unlit(), !burns, "{acts:?}");
        let said = twostage::report::visit::told(told, work.sim.rig(), twostage::units::System::Us);
        let words = said.iter().any(|s| s.contains("so nothing was lit"));
        assert_eq!(words, !burns, "{said:?}");
    }
    let mut work = quiet();
    work.does(&["test first stage"]);
    assert!(lit(&work));
}

/// The table of readings that forbid a flame, in the paper, is what the code has: every reason has its row with the limit, and
/// lighting after it fails the attempt where the row says so. A new reason does not compile without a row.
#[test]
fn the_paper_has_every_reading_that_forbids_a_flame() {
    use twostage::diagnosis::inference::safety::{Danger, Reason, demand};
    use twostage::service::LIMITS;
    use twostage::units::{inwc_to_pa, pa_to_inwc, pa_to_psi, psi_to_pa};
    use twostage::visit::{ITEMS, Id};
    let inwc = |pa: f64| format!("low side over {:.0} in w.c.", pa_to_inwc(pa));
    // Row and what a flame after it is; none for what is told or thought and not read.
    let row = |why: Reason| -> Option<(String, &str)> {
        let gas = "grave as long as gas escapes";
        Some(match why {
            Reason::FirstOver => (
                format!(
                    "first stage over {:.0} psig",
                    pa_to_psi(LIMITS.first_danger.high)
                ),
                "grave",
            ),
            Reason::FirstPegged => ("first stage's gauge on its pin".to_owned(), "grave"),
            Reason::FarOver(_) => (inwc(LIMITS.far_over.high), "grave"),
            Reason::OverRelief(_) => (
                format!("low side over {:.0} psig", pa_to_psi(LIMITS.relief.high)),
                "grave",
            ),
            Reason::Overfilled(_) => (
                format!(
                    "container over {:.0} % full",
                    100.0 * LIMITS.fill_caution.high
                ),
                "grave",
            ),
            Reason::Over(_) => (inwc(LIMITS.lock_up_caution.high), "half"),
            Reason::OverPropane(..) => ("over the most that propane gives".to_owned(), "half"),
            Reason::Bubbles(
                Id::FirstVentRest
                | Id::FirstVentFlowing
                | Id::SecondVentRest
                | Id::SecondVentFlowing,
            ) => (
                "bubbles at a vent".to_owned(),
                "grave until it is looked at again and shows none",
            ),
            Reason::Bubbles(_) => ("bubbles at a joint or a burner".to_owned(), gas),
            Reason::Heard(_) => ("gas heard".to_owned(), gas),
            Reason::Loses => ("a leak check that loses".to_owned(), gas),
            Reason::Smelled(_)
            | Reason::SmellTold
            | Reason::MonoxideTold
            | Reason::FirstClimbing
            | Reason::Expected(_)
            | Reason::MayHaveTripped(_)
            | Reason::Unexplained(_) => return None,
        })
    };
    let paper = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/drills.md");
    let paper = std::fs::read_to_string(paper).expect("a paper");
    let from = paper
        .find("### Readings that forbid a flame")
        .expect("its part");
    let rows: Vec<&str> = paper[from..]
        .lines()
        .skip_while(|l| !l.starts_with("|---"))
        .skip(1)
        .take_while(|l| l.starts_with('|'))
        .collect();
    let read = [
        (Id::RestMinute, inwc_to_pa(15.0)),
        (Id::RestMinute, inwc_to_pa(20.0)),
        (Id::RestMinute, psi_to_pa(2.5)),
        (Id::FirstRest, psi_to_pa(96.0)),
        (Id::Fill, 0.9),
        (Id::Container, psi_to_pa(390.0)),
        (Id::SecondVentFlowing, 2.0),
        (Id::FluidLowSide, 2.0),
        (Id::SoundRest, 1.0),
        (Id::LeakChange, inwc_to_pa(-2.0)),
    ];
    let mut found = vec![Reason::FirstPegged];
    for (id, value) in read {
        let mut values = [None; ITEMS];
        values[id.index()] = Some(value);
        let (danger, why) = demand(&values);
        assert!(danger > Danger::None && why.len() == 1, "{id:?}: {why:?}");
        found.extend(why);
    }
    for why in &found {
        let (words, flame) = row(*why).expect("it was read");
        let has = |l: &&&str| l.contains(&words) && l.ends_with(&format!("| {flame} |"));
        assert_eq!(
            rows.iter().filter(has).count(),
            1,
            "{words}, {flame}: {rows:#?}"
        );
    }
    assert_eq!(
        rows.len(),
        found.len(),
        "a row that no reason has: {rows:#?}"
    );
}
