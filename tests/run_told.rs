//! What `run` says of a run, for every fault: no reading passes beside one that breaks a limit, a flame that is out or gas that
//! gets out unburned. The limits stand here a second time on purpose.

use std::fmt::Write as _;
use std::sync::Arc;

use twostage::fault::Fault;
use twostage::report::{Summary, Watcher};
use twostage::scenario::Scenario;
use twostage::sim::{Simulation, usual_tolerance};
use twostage::solver::Method;
use twostage::visit::Verdict;

const INWC: f64 = 249.089;
const PSI: f64 = 6_894.757;

/// Five burners from the start, three of them off at 40 s, all at 70 s.
fn summary(fault: Option<(&str, f64)>) -> Summary {
    let mut text =
        "title = \"Run\"\n[site]\nair = \"46 degF\"\n[[container]]\nkind = \"30 lb cylinder\"\n"
            .to_owned();
    for kind in ["furnace", "water heater", "refrigerator", "cooktop"] {
        let _ = write!(text, "[[appliance]]\nkind = \"{kind}\"\non = true\n");
        if kind == "furnace" {
            text += "[appliance.thermostat]\nset = \"75 degF\"\nstart = \"60 degF\"\n";
        }
    }
    text += "[run]\nduration = \"110 s\"\nsample = \"1 s\"\n";
    if let Some((id, severity)) = fault {
        let _ = write!(
            text,
            "[[event]]\nat = \"10 s\"\ninject = \"{id}\"\nseverity = {severity}\n"
        );
    }
    for (at, name) in [
        ("40 s", "water heater"),
        ("40 s", "refrigerator"),
        ("70 s", "furnace"),
        ("70 s", "cooktop"),
    ] {
        let _ = write!(text, "[[event]]\nat = \"{at}\"\nturn_off = \"{name}\"\n");
    }
    let scenario = Scenario::parse("run.toml", &text).unwrap_or_else(|e| panic!("{e}"));
    let method = Method::Stiff;
    let mut sim =
        Simulation::start(Arc::new(scenario), method, usual_tolerance(method)).expect("at rest");
    let rig = sim.rig().clone();
    let start = sim.readings();
    let (mut rows, mut moved) = (|_: &_| {}, |_: f64| {});
    let mut watcher = Watcher::new(&rig, &start, &mut rows, &mut moved);
    sim.advance_watched(110.0, Some(1.0), &mut watcher)
        .expect("runs");
    watcher.finish(&sim.readings())
}

#[test]
fn a_healthy_rig_passes_all() {
    let s = summary(None);
    for verdict in [
        s.verdicts.full_load,
        s.verdicts.lock_up,
        s.verdicts.first_stage,
        s.verdicts.fill,
        s.verdicts.highest,
    ] {
        assert_eq!(verdict, Some(Verdict::Pass), "{:?}", s.verdicts);
    }
}

#[test]
fn nothing_passes_beside_what_is_not_right() {
    let (mut told, mut unlit, mut lost) = (0, 0, 0);
    for fault in Fault::all() {
        let id = fault.entry().id;
        for severity in [0.3, 0.6, 1.0] {
            let s = summary(Some((id, severity)));
            let at = format!("{id} {severity}: {s:?}");
            for (steady, verdict, is_at_rest) in [
                (s.half_load, s.verdicts.half_load, false),
                (s.full_load, s.verdicts.full_load, false),
                (s.lock_up, s.verdicts.lock_up, true),
            ] {
                let Some(x) = steady else { continue };
                if verdict != Some(Verdict::Pass) {
                    told += 1;
                    unlit += usize::from(x.unlit > 0);
                    lost += usize::from(x.escapes_kg_per_s > 0.0);
                    continue;
                }
                assert!(x.escapes_kg_per_s < 2e-7, "{at}");
                assert!(is_at_rest || x.unlit == 0, "{at}");
                assert!(x.first_high_pa < 13.01 * PSI, "{at}");
                assert!(x.first_low_pa > 1.99 * PSI, "{at}");
                // No regulator locks up under its flow pressure.
                let (least, most) = if is_at_rest {
                    (10.5, 13.2)
                } else {
                    (9.5, 14.0)
                };
                assert!(x.low_pa > (least - 0.01) * INWC, "{at}");
                assert!(x.high_pa < (most + 0.01) * INWC, "{at}");
            }
            let all = [s.flow, s.lock_up].into_iter().flatten();
            for x in all {
                let holds = x.first_high_pa < 13.01 * PSI && x.first_low_pa > 1.99 * PSI;
                assert!(
                    holds || s.verdicts.first_stage == Some(Verdict::Fail),
                    "{at}"
                );
            }
            // However short it stood there, and whatever heat makes of a lawful fill.
            let first = s.first_stage_pa.high < 25.01 * PSI;
            assert!(
                first || s.verdicts.first_stage == Some(Verdict::Fail),
                "{at}"
            );
            let filled = s.containers.iter().map(|c| c.fill_cold.high);
            let filled = filled.fold(0.0, f64::max);
            assert!(
                filled < 0.801 || s.verdicts.fill > Some(Verdict::Pass),
                "{at}"
            );
            // "Something always burned" is said of nothing else.
            if s.always_burned {
                assert!(s.lock_up.is_none(), "{at}");
                let burned = s.burners.iter().map(|b| b.burned_s).sum::<f64>();
                assert!(burned > 0.99 * s.time_s, "{at}");
            }
        }
    }
    assert!(told > 40 && unlit > 5 && lost > 10, "{told} {unlit} {lost}");
}

/// Gas that runs to a burner which is off is no draw: what is read then is a lock-up, and none that passes.
#[test]
fn a_leaking_gas_valve_leaves_no_lock_up_that_passes() {
    let s = summary(Some(("gas_valve_leaks", 0.9)));
    assert!(
        s.lock_up.is_some_and(|x| x.escapes_kg_per_s > 1e-6),
        "{s:?}"
    );
    assert_eq!(s.verdicts.lock_up, Some(Verdict::Fail));
    assert!(!s.always_burned);
}
