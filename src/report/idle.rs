//! What a scenario says that is likely not meant, in a sentence each: a fault that has nothing to act on, a stage set where none is set.

use super::letters::lower;
use crate::fault::{Fault, Idle};
use crate::physics::WATER_FREEZING_K;
use crate::rig::{Rig, Stage};
use crate::scenario::{Action, Scenario, SiteValue};
use crate::service::LIMITS;
use crate::units::{
    Dimension, System, ZERO_FAHRENHEIT_K, fixed, format, inwc_to_pa, pa_to_inwc, pa_to_psi,
    psi_to_pa,
};

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

/// What is to be said of a fault that does nothing on a rig.
pub fn idle(fault: Fault, why: Idle, rig: &Rig, system: System) -> String {
    let (name, does) = (lower(&fault.name_on(rig)), does_nothing(why, system));
    let rest = match why {
        Idle::NoPart => ", and all else is as it was",
        Idle::TooWarm(_) | Idle::TooLittle(_) => "",
    };
    format!("{name} {does}{rest}")
}

/// The same of every fault of a scenario that does nothing in its air, each once.
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
        let why = fault.idle_in(&scenario.rig, severity, coldest_k);
        let words = why
            .filter(|_| severity > 0.0)
            .map(|why| idle(fault, why, &scenario.rig, system));
        out.extend(words.filter(|w| !out.contains(w)));
    }
    out
}

/// Whether the sun shines on a scenario's case at any time.
fn has_sun(scenario: &Scenario) -> bool {
    let later = scenario
        .events
        .iter()
        .any(|e| matches!(e.action, Action::Site { value: SiteValue::Sun, to, .. } if to > 0.0));
    later || scenario.site.sun_w_per_m2.at(0.0) > 0.0
}

/// What is to be said of the faults of a scenario that need a sun which never shines in it, each once.
fn all_without_sun(scenario: &Scenario) -> Vec<String> {
    if has_sun(scenario) {
        return Vec::new();
    }
    let faults = scenario.events.iter().filter_map(|e| match e.action {
        Action::Inject { fault, .. } | Action::Grow { fault, .. } => Some(fault),
        _ => None,
    });
    let mut out = Vec::new();
    for fault in faults {
        let words = fault.entry().by_sun.map(|by_sun| {
            let name = lower(&fault.name_on(&scenario.rig));
            format!("{name}: {}", lower(by_sun))
        });
        out.extend(words.filter(|w| !out.contains(w)));
    }
    out
}

/// Where a stage may be set without a question \[Pa\]: a first one from what the code asks to where container pressure is feared
/// for, a second one about its 11 in w.c., to where the container would be shut (limits of the bench).
fn usual_sets() -> [[f64; 2]; 2] {
    let l = &LIMITS;
    let second = [inwc_to_pa(5.0), l.far_over.high];
    [[l.first.low, l.first_danger.high], second]
}

/// Where the seat touches with nothing at the inlet, at 20 °C \[Pa\].
fn set_pa(stage: &Stage) -> f64 {
    stage.spring_force_n(stage.touch_rise_m, 293.15) / stage.area_m2
}

/// A stage that is set where none is set in use, with the pressure that was probably meant: the same number in the other unit of
/// the trade, where that would be usual.
pub fn odd_sets(rig: &Rig) -> Vec<String> {
    let low = |pa: f64| fixed(pa_to_inwc(pa), 1) + " in w.c.";
    let high = |pa: f64| fixed(pa_to_psi(pa), 1) + " psig";
    let [first, second] = usual_sets();
    let stages = [
        ("first", &rig.first, first, "about 10 psig"),
        ("second", &rig.second, second, "about 11 in w.c."),
    ];
    let odd = stages
        .into_iter()
        .filter_map(|(key, stage, [least, most], usual)| {
            let pa = set_pa(stage);
            if (least..=most).contains(&pa) {
                return None;
            }
            let is_second = key == "second";
            let (meant_pa, written) = if is_second {
                (inwc_to_pa(pa_to_psi(pa)), fixed(pa_to_psi(pa), 1) + " inwc")
            } else {
                (
                    psi_to_pa(pa_to_inwc(pa)),
                    fixed(pa_to_inwc(pa), 1) + " psig",
                )
            };
            let meant = if (least..=most).contains(&meant_pa) {
                format!(": was `set = \"{written}\"` meant?")
            } else {
                String::new()
            };
            Some(format!(
                "the {key} stage is set to {}, {}; in use it is set to {usual}{meant}",
                low(pa),
                high(pa)
            ))
        });
    odd.collect()
}

/// All that is to be said of a scenario before it is used.
pub fn notes(scenario: &Scenario, system: System) -> Vec<String> {
    let mut out = odd_sets(&scenario.rig);
    out.extend(all_idle(scenario, system));
    out.extend(all_without_sun(scenario));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::library::standard::standard_rig;
    use crate::rig::Ramp;
    use crate::scenario::Event;

    /// 11 psig for 11 in w.c. on the second stage: told with what was meant. What a customer's
    /// regulator may have been set to is not.
    #[test]
    fn a_stage_set_in_the_other_unit_is_told() {
        let of = |key: &str, set: &str| {
            let text = format!(
                "title = \"x\"\n[[container]]\nkind = \"30 lb cylinder\"\n[[appliance]]\nkind = \"furnace\"\n\
                 [regulator.{key}]\nset = \"{set}\"\n[run]\nduration = \"1 s\"\n"
            );
            odd_sets(&Scenario::parse("x", &text).expect("right").rig)
        };
        let second = of("second", "11 psig");
        assert_eq!(second.len(), 1);
        assert!(
            second[0].contains("`set = \"11.0 inwc\"` meant"),
            "{second:?}"
        );
        let first = of("first", "40 psig");
        assert!(first[0].ends_with("about 10 psig"), "{first:?}");
        for (key, set) in [
            ("second", "9 inwc"),
            ("second", "14 inwc"),
            ("first", "8 psig"),
            ("first", "15 psig"),
        ] {
            assert_eq!(of(key, set), Vec::<String>::new(), "{key} {set}");
        }
        assert_eq!(odd_sets(&standard_rig().rig), Vec::<String>::new());
    }

    /// A dark case without sun says what it waits for; in the sun it does not, and no other fault does.
    #[test]
    fn what_needs_the_sun_says_so_without_it() {
        for fault in Fault::all() {
            let mut scenario = standard_rig().with_faults([(fault, 0.8)]);
            scenario.site.sun_w_per_m2 = Ramp::fixed(0.0);
            let told = all_without_sun(&scenario);
            assert_eq!(told.len(), usize::from(fault.id() == "mounted_in_sun"));
            scenario.site.sun_w_per_m2 = Ramp::fixed(700.0);
            assert!(all_without_sun(&scenario).is_empty());
        }
    }

    /// A changeover's fault on one cylinder, an iced vent over 32 °F (water freezes there): told; every fault that acts is not.
    #[test]
    fn what_has_nothing_to_act_on_is_told() {
        let rig = standard_rig().rig;
        let of = |id: &str, fahrenheit: f64| {
            let fault = Fault::named(id).expect("in the catalogue");
            let why = fault.idle_in(&rig, 0.6, (fahrenheit + 459.67) / 1.8);
            why.map(|why| idle(fault, why, &rig, System::Us))
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
