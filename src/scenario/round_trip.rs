//! What is written reads back as what it was: scenarios of every sort, by chance.

use proptest::prelude::*;

use super::action::{Growth, SiteValue, WhichStage};
use super::parts::{BODY, CHARGE, CONTAINER, PIPING, SITE, SIZE, SUPPLY};
use super::slot::Slot;
use super::stage_parts::{RELIEF, STAGE, VENT};
use super::tests::{inside, same};
use super::*;
use crate::fault::Fault;
use crate::rig::presets;

/// Acts of every sort for a rig with the small file's appliances and two containers.
fn any_action() -> impl Strategy<Value = Action> {
    let fault = any::<prop::sample::Index>().prop_map(|i| {
        Fault::all_of(true)
            .nth(i.index(Fault::all_of(true).count()))
            .expect("one")
    });
    let over = prop_oneof![Just(0.0), 0.001..1e5_f64];
    prop_oneof![
        (0..2_usize, any::<bool>()).prop_map(|(appliance, on)| Action::Switch { appliance, on }),
        (0..2_usize).prop_map(|appliance| Action::Reset { appliance }),
        (0.0..1e5_f64, over.clone()).prop_map(|(power_w, over_s)| Action::Draw {
            appliance: 0,
            power_w,
            over_s
        }),
        (0..2_usize, 0.0..=1.0_f64, over.clone()).prop_map(|(container, open, over_s)| {
            Action::Valve {
                container,
                open,
                over_s,
            }
        }),
        (0..2_usize).prop_map(|side| Action::Knob { side }),
        (0..4_usize, 0.01..=0.99_f64, over.clone()).prop_map(|(i, place, over_s)| Action::Site {
            value: [
                SiteValue::Air,
                SiteValue::Sun,
                SiteValue::Elevation,
                SiteValue::Wall
            ][i],
            to: inside(&SITE[i], place),
            over_s
        }),
        (fault.clone(), 0.0..=1.0_f64, over).prop_map(|(fault, severity, over_s)| {
            Action::Inject {
                fault,
                severity,
                over_s,
            }
        }),
        (fault.clone(), 0.0..=1.0_f64, 1..1_000_000_u32).prop_map(|(fault, severity, count)| {
            let by = Growth::Cycles { count };
            Action::Grow {
                fault,
                severity,
                by,
            }
        }),
        (
            0.0..=1.0_f64,
            223.5..280.0_f64,
            1.0..40.0_f64,
            any::<bool>()
        )
            .prop_map(|(severity, low_k, wide_k, cold)| {
                let ends = (low_k, low_k + wide_k);
                let (none_k, all_k) = if cold { (ends.1, ends.0) } else { ends };
                Action::Grow {
                    fault: Fault::named("rubber_stiff").expect("in the catalogue"),
                    severity,
                    by: Growth::Temperature { none_k, all_k },
                }
            }),
        fault.prop_map(|fault| Action::Clear { fault }),
        (any::<bool>(), -19.0..19.0_f64).prop_map(|(first, turns)| Action::TurnScrew {
            stage: if first {
                WhichStage::First
            } else {
                WhichStage::Second
            },
            turns
        }),
        (any::<bool>(), -49.0..49.0_f64, 0.0..60.0_f64).prop_map(|(first, force_n, over_s)| {
            Action::Press {
                stage: WhichStage::BOTH[usize::from(!first)],
                force_n,
                over_s,
            }
        }),
        any::<(bool, bool)>().prop_map(|(first, on)| Action::Thumb {
            stage: WhichStage::BOTH[usize::from(!first)],
            on
        }),
        Just(Action::Tap),
        (274.0..333.0_f64).prop_map(|to_k| Action::Warm { to_k }),
        (0.0..1.9e-5_f64).prop_map(|area_m2| Action::Bleed { area_m2 }),
    ]
}

/// Moves one slot of a list.
fn disturb<T>(slots: &[Slot<T>], part: &mut T, which: prop::sample::Index, place: f64) {
    let slot = &slots[which.index(slots.len())];
    (slot.set)(part, inside(slot, place));
}

prop_compose! {
    fn any_scenario()(
        which in prop::collection::vec((0..12_usize, any::<prop::sample::Index>(), 0.01..=0.99_f64), 0..20),
        kinds in prop::collection::vec(0..5_usize, 2),
        ignition in 0..3_usize,
        actions in prop::collection::vec((0.0..5999.0_f64, any_action()), 0..6),
        shares in prop::collection::vec(0.0..0.3_f64, 3),
        title in "[ -~äß]{0,30}",
        flags in prop::collection::vec(any::<bool>(), 7),
        laid in prop::collection::vec((0..3_usize, any::<prop::sample::Index>(), 0.05..20.0_f64), 0..4),
        mounted in 0..3_usize,
    ) -> Scenario {
        use super::burner::{APPLIANCE, RATING, THERMOSTAT};
        use crate::rig::{Appliance, Charge, Kind, Site};
        let containers = kinds
            .iter()
            .map(|i| presets::container(presets::CONTAINERS[*i]).expect("is there"))
            .collect();
        let mut furnace: Appliance = presets::appliance(Kind::Furnace);
        "odd \"name\"\\".clone_into(&mut furnace.name);
        let mut cooktop = presets::appliance(Kind::Cooktop);
        cooktop.thermal = flags[0].then_some(super::burner::USUAL_LOAD);
        cooktop.ignition = [
            presets::appliance(Kind::Oven).ignition,
            presets::appliance(Kind::WaterHeater).ignition,
            presets::appliance(Kind::Refrigerator).ignition,
        ][ignition];
        let mut rig = Rig::standard(containers, vec![furnace, cooktop]);
        rig.body = crate::rig::Mounting::ALL[mounted].1.body();
        let mut site = Site::calm(290.0, 100.0);
        let mut charges = vec![Charge { fill: 0.5, temperature_k: 280.0, air_pa: 0.0 }; 2];
        if flags[1] {
            rig.fuel.fractions = [1.0 - shares.iter().sum::<f64>(), shares[0], shares[1], shares[2], 0.0];
        }
        if flags[2] {
            rig.second.relief = None;
        }
        if flags[6] {
            rig.first.relief = Some(super::read::NEW_RELIEF);
        }
        for (part, slot, place) in which {
            match part {
                0 => disturb(STAGE, &mut rig.first, slot, place),
                1 => disturb(STAGE, &mut rig.second, slot, place),
                2 => disturb(VENT, &mut rig.second, slot, place),
                3 => if let Some(relief) = &mut rig.second.relief {
                    disturb(RELIEF, relief, slot, place);
                },
                4 => disturb(BODY, &mut rig.body, slot, place),
                5 => disturb(SUPPLY, &mut rig.containers[usize::from(flags[5])].supply, slot, place),
                6 => disturb(PIPING, &mut rig.piping, slot, place),
                7 => disturb(if flags[3] { SIZE } else { CONTAINER }, &mut rig.containers[0], slot, place),
                8 => disturb(CHARGE, &mut charges[1], slot, place),
                9 => disturb(SITE, &mut site, slot, place),
                10 => disturb(if flags[4] { RATING } else { APPLIANCE }, &mut rig.appliances[1], slot, place),
                _ => if let Some(load) = &mut rig.appliances[0].thermal {
                    disturb(THERMOSTAT, load, slot, place);
                },
            }
        }
        let sections: Vec<Section> = laid
            .into_iter()
            .map(|(material, size, length_m)| {
                let material = crate::rig::Material::ALL[material].1;
                Section::new(material, size.index(material.sizes().len()), length_m)
            })
            .collect();
        if !sections.is_empty() {
            rig.piping.lay(&sections);
        }
        let mut events: Vec<Event> = actions
            .into_iter()
            .map(|(at_s, action)| Event { at_s, action })
            .collect();
        events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        Scenario {
            title: format!("t{title}"),
            summary: title,
            rig,
            sections,
            site,
            charges,
            valves_open: vec![flags[3], true],
            service_side: usize::from(flags[4]),
            on_at_start: vec![flags[5], false],
            events,
            run: Run { duration_s: 6000.0, sample_s: 0.5, settle_s: 12.5 },
        }
    }
}

proptest! {
    /// Writing and reading back gives the same scenario, in either system of units.
    #[test]
    fn what_is_written_reads_back(scenario in any_scenario(), si in any::<bool>()) {
        let system = if si { System::Si } else { System::Us };
        let text = scenario.to_toml(system);
        let back = Scenario::parse("written.toml", &text);
        let back = match back {
            Ok(back) => back,
            Err(mistakes) => return Err(TestCaseError::fail(format!("{mistakes}\n\n{text}"))),
        };
        if let Err(what) = same(&scenario, &back) {
            return Err(TestCaseError::fail(format!("{what}\n\n{text}")));
        }
    }

    /// The model can begin with whatever a file may say: every value and rate is a number.
    #[test]
    fn every_rig_a_file_can_say_has_finite_rates(scenario in any_scenario()) {
        let mut modes = crate::rig::Modes::shut(scenario.site);
        modes.valves = [crate::rig::Ramp::fixed(1.0); 2];
        let state = scenario.rig.at_rest(&modes, &scenario.charges);
        let flows = crate::rig::evaluate(&scenario.rig, &modes, 0.0, &state);
        let rates = crate::rig::rates(&scenario.rig, &modes, &state, &flows);
        let mut values = vec![0.0; crate::rig::RigState::dim(&scenario.rig)];
        for part in [&state, &rates] {
            part.write_to(&scenario.rig, &mut values);
            prop_assert!(values.iter().all(|v| v.is_finite()), "{:?}\n{}", values, scenario.to_toml(System::Us));
        }
    }
}
