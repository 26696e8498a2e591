//! What the catalogue says mends a fault does mend it: each named remedy is done by the bench's own
//! deeds, and the next visit finds the rig as a healthy one on which the same was done (derived: a
//! part put right is as it was made).

use super::do_all;
use super::rig::{Signature, look, scenario, start};
use twostage::fault::{Family, Fault, Onset, Remedy};
use twostage::scenario::{Action, WhichStage};
use twostage::sim::Simulation;
use twostage::units::{System, pa_to_inwc, pa_to_psi};
use twostage::visit::Deed;

/// Severity of the faults.
const SEVERITY: f64 = 0.5;

/// Turns of the screw faults at [`SEVERITY`], from the catalogue's own words.
fn turns(fault: Fault) -> f64 {
    let words = (fault.entry().meaning)(SEVERITY, System::Us);
    let number: f64 = words
        .split(' ')
        .next()
        .expect("a number")
        .parse()
        .expect("turns");
    if words.ends_with("in") {
        number
    } else {
        -number
    }
}

fn stage(fault: Fault) -> WhichStage {
    if fault.id().starts_with("first") {
        WhichStage::First
    } else {
        WhichStage::Second
    }
}

/// What hands do for a remedy; nothing where it is not for hands (waiting, a tap, warmth).
fn deeds(fault: Fault, remedy: Remedy) -> Vec<Deed> {
    let e = fault.entry();
    let hose = ["hose_bored_down", "hose_kinked", "pigtail_leak"].contains(&e.id);
    match (remedy, e.family) {
        (Remedy::Tap | Remedy::Wait | Remedy::Warm, _) => vec![],
        (Remedy::Flush, _) => vec![Deed::Flush],
        (Remedy::Adjust, _) => vec![Deed::TurnScrew {
            stage: stage(fault),
            degrees: -360.0 * turns(fault),
        }],
        (Remedy::Clear, Family::Vent | Family::Mounting) => vec![Deed::ClearVents],
        (Remedy::Clear | Remedy::Repair, Family::Piping) | (Remedy::Repair, _) => {
            vec![Deed::MendLine]
        }
        (_, Family::Appliance) => vec![Deed::MendAppliances],
        (Remedy::Replace, _) if hose => vec![Deed::SwapHose],
        (Remedy::Refill, _) => vec![Deed::NewContainers],
        // What sent the liquid goes with the container, what it has spoilt with the regulator.
        (Remedy::Replace, Family::Fuel)
            if ["liquid_carry_over", "container_overfilled"].contains(&e.id) =>
        {
            vec![Deed::NewContainers, Deed::SwapRegulator]
        }
        (Remedy::Replace, Family::Supply) if e.id == "excess_flow_tripped" => {
            vec![Deed::NewContainers]
        }
        _ => vec![Deed::SwapRegulator],
    }
}

/// What differs from a healthy rig by more than an instrument shows.
fn differences(s: &Signature, healthy: &Signature) -> Vec<String> {
    let low = 0.15;
    let psi = 0.4;
    let mut wrong: Vec<String> = [
        ("flow", s.half, healthy.half, low),
        ("fall", s.fall, healthy.fall, low),
        ("manifold", s.manifold, healthy.manifold, low),
        ("band", s.band, healthy.band, low),
        ("lock-up", s.lock_up, healthy.lock_up, low),
        ("peak", s.peak, healthy.peak, 2.0 * low),
        ("climb", s.climb, healthy.climb, low),
        ("first at rest", s.first_rest, healthy.first_rest, psi),
        ("first flowing", s.first_flow, healthy.first_flow, psi),
        ("inlet at rest", s.inlet_rest, healthy.inlet_rest, 6.0),
        ("inlet flowing", s.inlet_flow, healthy.inlet_flow, 6.0),
        ("leak check", s.leak, healthy.leak, low),
        ("load", s.load, healthy.load, 0.02 * healthy.load),
    ]
    .into_iter()
    .filter(|(_, is, should, off)| (is - should).abs() > *off)
    .map(|(what, is, should, _)| format!("{what} {is:.2} against {should:.2}"))
    .collect();
    if s.vents != healthy.vents {
        wrong.push(format!("vents {:?}", s.vents));
    }
    if s.unlit != healthy.unlit {
        wrong.push(format!("`{}`", s.unlit));
    }
    wrong
}

fn air_f(fault: Fault) -> f64 {
    if fault.entry().onset == Onset::Weather {
        20.0
    } else {
        70.0
    }
}

/// A remedied rig on the visit, against the healthy one.
fn mends(fault: Fault, remedy: Remedy) -> Vec<String> {
    let deeds = deeds(fault, remedy);
    let mut sim = start(&scenario(air_f(fault), 1), &[(fault.id(), SEVERITY)]);
    do_all(&mut sim, &deeds);
    let mut healthy = start(&scenario(air_f(fault), 1), &[]);
    if remedy != Remedy::Adjust {
        do_all(&mut healthy, &deeds);
    }
    differences(&look(&mut sim), &look(&mut healthy))
        .into_iter()
        .map(|what| format!("{} after {remedy:?}: {what}", fault.id()))
        .collect()
}

#[test]
fn every_remedy_of_the_catalogue_mends_its_fault() {
    // A twin set's faults have their own test below.
    let cases: Vec<(Fault, Remedy)> = Fault::all()
        .filter(|f| !["changeover_stuck", "changeover_early"].contains(&f.id()))
        .flat_map(|f| f.entry().remedies.iter().map(move |r| (f, *r)))
        .filter(|(f, r)| !deeds(*f, *r).is_empty())
        .collect();
    assert!(cases.len() > 55, "only {} remedies", cases.len());
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let wrong: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|k| {
                let cases = &cases;
                scope.spawn(move || {
                    let mine = cases.iter().skip(k).step_by(threads);
                    mine.flat_map(|(f, r)| mends(*f, *r)).collect::<Vec<_>>()
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|w| w.join().expect("a visit ran"))
            .collect()
    });
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Outlet \[in w.c.\] and interstage \[psi\] of a twin set whose service side is shut off under load.
fn on_the_reserve(faults: &[(&str, f64)], deeds: &[Deed]) -> (f64, f64) {
    let mut sim = start(&scenario(70.0, 2), faults);
    do_all(&mut sim, deeds);
    for appliance in 0..sim.rig().appliances.len() {
        sim.act(&Action::Switch {
            appliance,
            on: true,
        });
    }
    let mut wait = |s: f64| {
        let until = sim.time_s() + s;
        sim.advance(until, None, &mut |_| {}).expect("runs");
        let r = sim.readings();
        sim.act(&Action::Valve {
            container: 0,
            open: 0.0,
            over_s: 5.0,
        });
        r
    };
    wait(40.0);
    let r = wait(60.0);
    (pa_to_inwc(r.outlet_pa), pa_to_psi(r.first.chamber_pa))
}

#[test]
fn a_twin_set_is_mended_too() {
    for (fault, deed) in [
        ("container_low.right", Deed::NewContainers),
        ("changeover_stuck", Deed::SwapRegulator),
    ] {
        let healthy = on_the_reserve(&[], &[deed]);
        let broken = on_the_reserve(&[(fault, 1.0)], &[]);
        let mended = on_the_reserve(&[(fault, 1.0)], &[deed]);
        assert!(healthy.0 > 10.0 && healthy.1 > 5.0, "{healthy:?}");
        assert!(broken.1 < healthy.1 - 2.0, "{fault}: {broken:?}");
        assert!((mended.0 - healthy.0).abs() < 0.1, "{fault}: {mended:?}");
        assert!((mended.1 - healthy.1).abs() < 0.2, "{fault}: {mended:?}");
    }
}

/// Outlet \[in w.c.\] 2 s after a load comes and 2 s after it goes.
fn after_steps(sim: &mut Simulation) -> [f64; 2] {
    [true, false].map(|on| {
        sim.act(&Action::Switch { appliance: 2, on });
        let until = sim.time_s() + 2.0;
        sim.advance(until, None, &mut |_| {}).expect("runs");
        pa_to_inwc(sim.readings().outlet_pa)
    })
}

/// Warmth is no repair: the fault stays in the rig, and while the body is warm it does not show, or
/// shows less.
#[test]
fn a_warm_cloth_heals_while_it_is_warm() {
    let mut warmed = 0;
    for fault in Fault::all().filter(|f| f.entry().remedies.contains(&Remedy::Warm)) {
        warmed += 1;
        let off = |deeds: &[Deed]| {
            let mut sick = start(&scenario(20.0, 1), &[(fault.id(), 1.0)]);
            let mut healthy = start(&scenario(20.0, 1), &[]);
            // Under flow for a while first: wet fuel needs it to freeze.
            for sim in [&mut sick, &mut healthy] {
                for on in [true, false] {
                    sim.act(&Action::Switch { appliance: 3, on });
                    let until = sim.time_s() + if on { 1200.0 } else { 20.0 };
                    sim.advance(until, None, &mut |_| {}).expect("runs");
                }
                do_all(sim, deeds);
            }
            assert_eq!(sick.moment().faults.len(), 1, "{}", fault.id());
            let (a, b) = (after_steps(&mut sick), after_steps(&mut healthy));
            (a[0] - b[0]).abs().max((a[1] - b[1]).abs())
        };
        let (cold, warm) = (off(&[]), off(&[Deed::WarmCloth]));
        // Rubber that age has hardened gets better with warmth, not well.
        let most = if fault.id() == "rubber_stiff" {
            0.8
        } else {
            0.15
        };
        assert!(
            warm < most * cold,
            "{}: {cold:.2} cold, {warm:.2} warm",
            fault.id()
        );
    }
    assert_eq!(warmed, 3);
}
