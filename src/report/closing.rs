//! What a whole visit comes to, in words: the verdict, what follows, and which appliances stay off for what reason.

use super::judged::verdict;
use crate::rig::Rig;
use crate::units::fixed;
use crate::visit::{Conclusion, Follows, Left, OffFor, StayOff, Verdict};

/// The caution that goes with what follows from a visit; that appliances stay off says which (`stay_off`).
fn caution(f: Follows) -> Option<&'static str> {
    Some(match f {
        Follows::InOrder => {
            "Local codes and the licensed technician decide; a simulator is no instrument"
        }
        Follows::NotAllMade(_) => {
            "What was tested is within its limits. What was not made decides nothing: make it before the rig is called in order"
        }
        Follows::Watch => "Look again within the season, and let a qualified technician decide",
        Follows::Refill => REFILL,
        Follows::NewHose => KINKED,
        Follows::PutRight => {
            "Have a qualified LP-gas technician find what keeps the pressure down and put it right; until then an appliance whose flame is low or yellow, or goes out, stays off"
        }
        Follows::ApplianceOff => return None,
        Follows::ShutOff => {
            "Shut the container and leave it shut until a qualified LP-gas technician has put it right"
        }
    })
}

/// What is said of a container with next to nothing in it.
const REFILL: &str = "Refill the container: what is left lasts for minutes, and an empty one is to be shut, so that no air gets in";
/// What is said of a hose that is kinked.
const KINKED: &str = "Replace the kinked hose, and do not use it on straightened: shut the container and the burners and bleed the line first, and put leak fluid on the new connections afterwards";
/// What is said of a valve that is felt to be hardly open.
const HARDLY_OPEN: &str = "A container valve is hardly open, which alone starves every burner: open it fully, slowly, and make the visit again before anything is condemned";

/// Appliances by their names.
pub(super) fn names(rig: &Rig, which: &[usize]) -> String {
    let name = |i: &usize| {
        rig.appliances
            .get(*i)
            .map_or("an appliance", |a| a.name.as_str())
    };
    which.iter().map(name).collect::<Vec<_>>().join(", ")
}

/// What a whole visit comes to, in a few words.
pub fn comes_to(c: &Conclusion) -> String {
    match c.follows {
        Follows::NotAllMade(n) => format!(
            "{} not made, what was made came out as {}",
            super::telling::count(n, "test"),
            verdict(Verdict::Pass)
        ),
        _ => verdict(c.verdict).to_owned(),
    }
}

/// Which appliances stay off, each by its name and for what; none where none does.
fn stay_off(off: &StayOff, rig: &Rig) -> Option<String> {
    let one = |(i, why): (usize, &Option<OffFor>)| {
        let name = names(rig, &[i]);
        Some(match (*why)? {
            OffFor::WouldNotBurn => format!("{name} (would not burn)"),
            OffFor::Starved { under } => format!(
                "{name} (takes up to {} % less than its rating plate says)",
                fixed(100.0 * under, 0)
            ),
            OffFor::Overfired { over } => format!(
                "{name} (takes up to {} % more than its rating plate says)",
                fixed(100.0 * over, 0)
            ),
        })
    };
    let all: Vec<String> = off.iter().enumerate().filter_map(one).collect();
    let overfired = |why: &Option<OffFor>| matches!(why, Some(OffFor::Overfired { .. }));
    let co = if off.iter().any(overfired) {
        ". What is overfired can make carbon monoxide"
    } else {
        ""
    };
    (!all.is_empty()).then(|| {
        format!(
            "Shut off and tag until a qualified technician has put it right, or what feeds it: {}{co}",
            all.join("; ")
        )
    })
}

/// What has to be said of a whole visit, line by line.
pub fn conclusion(c: &Conclusion, rig: &Rig) -> Vec<String> {
    let mut lines: Vec<String> = caution(c.follows).map(str::to_owned).into_iter().collect();
    if c.hardly_open {
        lines.insert(0, HARDLY_OPEN.to_owned());
    }
    if c.nearly_empty && c.follows != Follows::Refill {
        lines.push(REFILL.to_owned());
    }
    if c.kinked && c.follows != Follows::NewHose {
        lines.push(KINKED.to_owned());
    }
    lines.extend(stay_off(&c.stay_off, rig));
    if c.lit_beside_a_leak {
        lines.push(
            "On a real rig nothing is lit until the leak is found, mended and checked again: the tests after the leak check show what they would tell".to_owned(),
        );
    }
    if c.left == Left::ShutOff {
        lines.push("Left with the burners off and the container shut".to_owned());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Fault;
    use crate::visit::{Bench, Id, Progress, Test, VisitReport, prepare, run_all};
    use std::sync::Arc;

    fn visit(fault: &str, severity: f64) -> (VisitReport, Rig) {
        let text = include_str!("../../scenarios/quiet_evening.toml");
        let base = crate::scenario::Scenario::parse("quiet_evening", text).expect("a scenario");
        let fault = Fault::find(fault).expect("a fault");
        let rig = base.rig.clone();
        let prepared = Arc::new(prepare(&base, &[(fault, severity)]));
        let start = crate::sim::Simulation::start(
            prepared,
            crate::solver::Method::Stiff,
            crate::service::TOLERANCE,
        );
        let mut sim = start.expect("starts");
        let mut go_on = |_: &Progress| true;
        let report = run_all(&mut Bench::new(&mut sim, &mut go_on)).expect("a visit");
        (report, rig)
    }

    /// The closing order is about what was found: an overfired furnace burns, and it is the one that must not.
    #[test]
    fn the_closing_order_names_what_stays_off_and_why() {
        let (over, rig) = visit("spud_oversize", 0.5);
        assert_eq!(over.follows(), Follows::ApplianceOff);
        let why = over.stay_off()[0];
        assert!(
            matches!(why, Some(OffFor::Overfired { over }) if over > 0.5),
            "{why:?}"
        );
        let said = conclusion(&over.conclusion(), &rig);
        assert_eq!(said.len(), 1);
        assert!(said[0].contains("furnace (takes up to 7"), "{said:?}");
        assert!(!said[0].contains("would not burn"), "{said:?}");

        // Several out: their names, not that no one of them differs.
        let (air, _) = visit("air_in_container", 0.5);
        let look = air.test(Test::Look).expect("made");
        assert!(look.unlit.len() > 1, "{:?}", look.unlit);
        assert!(!look.tells(Id::OddOne, 0.0) && look.tells(Id::OddOne, 4.0));
        for i in &look.unlit {
            assert_eq!(air.stay_off()[*i], Some(OffFor::WouldNotBurn));
        }

        let (dead, rig) = visit("igniter_dead", 1.0);
        let said = conclusion(&dead.conclusion(), &rig);
        assert!(said[0].contains("furnace (would not burn)"), "{said:?}");

        let (sound, rig) = visit("spud_oversize", 0.0);
        assert_eq!(sound.stay_off(), StayOff::default());
        assert!(!conclusion(&sound.conclusion(), &rig)[0].contains("tag"));
    }
}
