//! Hands on a regulator: a finger on the diaphragm, a thumb on the vent.

use super::{AIR_F, CONTAINER_PSIG, House, burners, kelvin};
use twostage::scenario::{Action, WhichStage};

const STAGE: WhichStage = WhichStage::Second;

fn house() -> House {
    House::start(burners(), CONTAINER_PSIG, kelvin(AIR_F))
}

fn press(force_n: f64) -> Action {
    Action::Press {
        stage: STAGE,
        force_n,
        over_s: 0.5,
    }
}

/// A finger is a force like any other: a locked-up stage that is pressed with F stands higher by F/A, less what friction
/// takes (derived from the balance; A is the effective area). Let go, it stays there, for nothing draws the gas away.
#[test]
fn a_finger_lifts_the_outlet_by_force_over_area() {
    let mut house = house();
    let before = house.wait(20.0).sim.readings().outlet_pa;
    house.sim.act(&press(2.0));
    let r = house.wait(20.0).sim.readings();
    let expected = 2.0 / house.sim.rig().second.area_m2;
    let rise = r.outlet_pa - before;
    assert!((r.second.forces.hand_n + 2.0).abs() < 1e-9);
    assert!(
        (0.8 * expected..1.1 * expected).contains(&rise),
        "{rise} Pa for {expected} Pa"
    );
    house.sim.act(&press(0.0));
    let kept = house.wait(5.0).sim.readings().outlet_pa - before;
    assert!(kept > 0.8 * rise, "{kept} Pa of {rise} Pa");
}

/// A thumb on the vent is a vent blocked: the air above a diaphragm that sinks is drawn thin, and comes in when the
/// thumb goes.
#[test]
fn a_thumb_shuts_the_vent_and_leaves_it_as_it_was() {
    let mut house = house();
    let thumb = |on| Action::Thumb { stage: STAGE, on };
    house.wait(5.0).sim.act(&thumb(true));
    let r = house.wait(1.0).switch([1], true).wait(2.0).sim.readings();
    assert_eq!((r.second.vent_open, r.second.vent_m3_per_s), (0.0, 0.0));
    assert!(r.second.case_pa < -50.0, "{} Pa", r.second.case_pa);
    house.sim.act(&thumb(false));
    let r = house.wait(10.0).sim.readings();
    assert_eq!(r.second.vent_open, 1.0);
    assert!(r.second.case_pa.abs() < 5.0, "{} Pa", r.second.case_pa);
}
