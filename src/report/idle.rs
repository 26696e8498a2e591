//! That a fault which was put in has nothing to act on, in a sentence.

use super::letters::lower;
use crate::fault::{Fault, Idle};
use crate::physics::WATER_FREEZING_K;
use crate::rig::Rig;
use crate::scenario::{Action, Scenario};
use crate::units::{Dimension, System, ZERO_FAHRENHEIT_K, format};

/// Why a fault does nothing on a rig.
pub(super) fn does_nothing(why: Idle, system: System) -> String {
    match why {
        Idle::NoPart => "does nothing here: this rig lacks the part that it changes".to_owned(),
        Idle::TooWarm(under_k) => format!(
            "does nothing here: it needs air under {}, and it is warmer",
            format(under_k, Dimension::Temperature, system)
        ),
        Idle::TooLittle(None) => {
            "does nothing here: of so little the gas carries all past the first orifice in any cold"
                .to_owned()
        }
        Idle::TooLittle(Some(under_k)) => format!(
            "does nothing here: what there is of it freezes only in air under {}, and this is warmer",
            whole_degrees(under_k, system)
        ),
    }
}

/// A temperature in whole degrees, rounded up.
fn whole_degrees(k: f64, system: System) -> String {
    let up_k = match system {
        System::Us => (((k - ZERO_FAHRENHEIT_K) * 1.8).ceil()) / 1.8 + ZERO_FAHRENHEIT_K,
        System::Si => (k - WATER_FREEZING_K).ceil() + WATER_FREEZING_K,
    };
    format(up_k, Dimension::Temperature, system)
}

/// What is to be said of so much of a fault on a rig without it in air of this temperature \[K\]; nothing where it acts.
pub fn idle(
    (fault, severity): (Fault, f64),
    rig: &Rig,
    air_k: f64,
    system: System,
) -> Option<String> {
    let why = fault.idle_in(rig, severity, air_k)?;
    let (name, does) = (lower(&fault.name_on(rig)), does_nothing(why, system));
    let rest = match why {
        Idle::NoPart => ", and all else is as it was",
        Idle::TooWarm(_) | Idle::TooLittle(_) => "",
    };
    Some(format!("{name} {does}{rest}"))
}

/// The same of every fault of a scenario, each once.
pub fn all_idle(scenario: &Scenario, system: System) -> Vec<String> {
    let coldest_k = scenario.coldest_air_k();
    let mut out = Vec::new();
    for event in &scenario.events {
        let (Action::Inject {
            fault, severity, ..
        }
        | Action::Grow {
            fault, severity, ..
        }) = event.action
        else {
            continue;
        };
        let words =
            idle((fault, severity), &scenario.rig, coldest_k, system).filter(|_| severity > 0.0);
        out.extend(words.filter(|w| !out.contains(w)));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::library::standard::standard_rig;
    use crate::rig::Ramp;
    use crate::scenario::{Event, SiteValue};

    /// A changeover's fault on one cylinder, an iced vent over 32 °F (water freezes there): told; every fault that acts is not.
    #[test]
    fn what_has_nothing_to_act_on_is_told() {
        let rig = standard_rig().rig;
        let of = |id: &str, fahrenheit: f64| {
            let fault = Fault::named(id).expect("in the catalogue");
            idle((fault, 0.6), &rig, (fahrenheit + 459.67) / 1.8, System::Us)
        };
        let stuck = of("changeover_stuck", 60.0).expect("one cylinder has no changeover");
        assert!(stuck.contains("lacks the part"), "{stuck}");
        let iced = of("second_vent_iced", 60.0).expect("no ice at 60 °F");
        assert!(iced.contains("under 32 °F"), "{iced}");
        assert_eq!(of("second_vent_iced", 20.0), None);
        let acts = |f: &Fault| f.idle_in(&rig, 1.0, 250.0).is_none();
        let silent: Vec<&str> = Fault::all().filter(|f| !acts(f)).map(Fault::id).collect();
        assert_eq!(silent, ["changeover_stuck", "changeover_early"]);
        let mut scenario =
            standard_rig().with_faults([(Fault::named("changeover_stuck").expect("one"), 0.8)]);
        assert_eq!(all_idle(&scenario, System::Us).len(), 1);
        // An iced vent in the evening's frost acts, though the scenario begins warm.
        let mut evening =
            standard_rig().with_faults([(Fault::named("second_vent_iced").expect("one"), 0.8)]);
        evening.site.air_k = Ramp::fixed(290.0);
        assert_eq!(all_idle(&evening, System::Us).len(), 1);
        let frost = Action::Site {
            value: SiteValue::Air,
            to: 262.0,
            over_s: 3600.0,
        };
        evening.events.push(Event {
            at_s: 600.0,
            action: frost,
        });
        assert!(all_idle(&evening, System::Us).is_empty());
        scenario.events.clear();
        assert!(all_idle(&scenario, System::Us).is_empty());
    }
}
