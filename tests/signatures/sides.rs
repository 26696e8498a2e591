//! Two cylinders and a changeover: what strikes one side shows on that side only, and each way of
//! the changeover itself to fail.

use super::rig::{scenario, start};
use twostage::fault::{Fault, Side};
use twostage::rig::Readings;
use twostage::scenario::Action;
use twostage::sim::Simulation;
use twostage::units::pa_to_inwc;

/// Faults that starve a side under load, and how bad.
const STARVES: [(&str, f64); 5] = [
    ("hose_kinked", 0.8),
    ("hose_bored_down", 0.8),
    ("service_valve_part_open", 0.8),
    ("excess_flow_tripped", 0.9),
    ("container_low", 1.0),
];

/// All burners lit on a twin set, two minutes later; the knob points at a side.
fn loaded(faults: &[(&str, f64)], side: usize) -> (Simulation, Readings) {
    let mut sim = start(&scenario(50.0, 2), faults);
    sim.act(&Action::Knob { side });
    for appliance in 0..sim.rig().appliances.len() {
        sim.act(&Action::Switch {
            appliance,
            on: true,
        });
    }
    let until = sim.time_s() + 120.0;
    sim.advance(until, None, &mut |_| {}).expect("runs");
    let r = sim.readings();
    (sim, r)
}

fn outlet(r: &Readings) -> f64 {
    pa_to_inwc(r.outlet_pa)
}

/// The side on service starves and the reserve feeds in its stead; the appliances hardly notice.
#[test]
fn a_starved_side_is_made_up_for_by_the_other() {
    let healthy = outlet(&loaded(&[], 0).1);
    for (id, severity) in STARVES {
        for side in Side::ALL {
            let fault = format!("{id}.{}", side.word());
            let (_, r) = loaded(&[(&fault, severity)], side.container());
            assert!(r.reserve_feeding, "{fault}: the reserve does not feed");
            assert!(r.indicator_red > 0.5, "{fault}: {:.2}", r.indicator_red);
            let now = outlet(&r);
            assert!(
                (now - healthy).abs() < 0.7,
                "{fault}: {now:.2}, {healthy:.2}"
            );
        }
    }
}

/// The same faults on the side in reserve show nowhere until it is asked.
#[test]
fn a_bad_reserve_shows_only_when_it_is_asked() {
    let healthy = outlet(&loaded(&[], 0).1);
    for (id, severity) in STARVES {
        let fault = format!("{id}.right");
        let (mut sim, r) = loaded(&[(&fault, severity)], 0);
        assert!(!r.reserve_feeding && r.indicator_red == 0.0, "{fault}");
        assert!(
            (outlet(&r) - healthy).abs() < 0.02,
            "{fault}: {:.2}",
            outlet(&r)
        );
        sim.act(&Action::Valve {
            container: 0,
            open: 0.0,
            over_s: 2.0,
        });
        let until = sim.time_s() + 120.0;
        sim.advance(until, None, &mut |_| {}).expect("runs");
        // By heat: burners that a low pressure has put out leave the others a right one.
        let asked = sim.readings().flow_w / r.flow_w;
        assert!(
            asked < 0.9,
            "{fault}: {asked:.2} of the heat on the reserve"
        );
    }
}

/// Without a side a fault comes on the container on service, and goes from both.
#[test]
fn a_fault_without_a_side_comes_on_the_side_on_service() {
    let sides = |sim: &Simulation| -> Vec<_> {
        let active = sim.moment().faults.iter();
        active.map(|f| f.fault.side()).collect()
    };
    let mut sim = start(&scenario(50.0, 2), &[("hose_kinked", 0.5)]);
    assert_eq!(sides(&sim), [Some(Side::Left)]);
    let fault = Fault::find("hose_kinked").expect("in the catalogue");
    sim.act(&Action::Knob { side: 1 });
    let put = Action::Inject {
        fault,
        severity: 0.8,
        over_s: 0.0,
    };
    sim.act(&put);
    assert_eq!(sides(&sim), [Some(Side::Left), Some(Side::Right)]);
    // What comes at once takes a moment to come.
    let until = sim.time_s() + 5.0;
    sim.advance(until, None, &mut |_| {}).expect("runs");
    let losses = [0, 1].map(|i| sim.rig().containers[i].supply.pigtail_minor_loss);
    assert!(
        losses[1] > 10.0 * losses[0] && losses[0] > 10.0,
        "{losses:?}"
    );
    sim.act(&Action::Clear {
        fault: fault.on(Side::Left),
    });
    assert_eq!(sides(&sim), [Some(Side::Right)]);
    sim.act(&put);
    sim.act(&Action::Clear { fault });
    assert!(sides(&sim).is_empty());
    // Where there is one container there are no sides to tell.
    let single = start(&scenario(50.0, 1), &[("hose_kinked.left", 0.5)]);
    assert_eq!(sides(&single), [None]);
}

/// Butane, air or too much liquid in the reserve is none of the burners' business before it feeds.
#[test]
fn what_is_in_the_reserve_comes_only_with_it() {
    let heat = |faults: &[(&str, f64)], side| loaded(faults, side).1.flow_w;
    let healthy = heat(&[], 0);
    for fault in ["butane_rich.right", "air_in_container.right"] {
        let waiting = heat(&[(fault, 0.8)], 0);
        assert!((waiting / healthy - 1.0).abs() < 1e-4, "{fault}: {waiting}");
        let serving = heat(&[(fault, 0.8)], 1);
        assert!((serving / healthy - 1.0).abs() > 5e-3, "{fault}: {serving}");
    }
}

/// Trade: with the service side good, an indicator that is green and a reserve that empties all the same
/// is a changeover that comes in too early; a starved side turns it red under load.
#[test]
fn too_early_is_told_from_a_starved_side_by_the_indicator() {
    let (_, early) = loaded(&[("changeover_early", 0.8)], 0);
    assert!(early.reserve_feeding && early.indicator_red == 0.0);
    let (_, starved) = loaded(&[("hose_kinked.left", 0.8)], 0);
    assert!(starved.reserve_feeding && starved.indicator_red > 0.5);
}
