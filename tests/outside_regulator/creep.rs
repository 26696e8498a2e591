//! Creep: gas that slips past a seat no force closes, against the rise of what it runs into, for both stages.

use std::f64::consts::FRAC_PI_4;

use twostage::physics::{GAS_CONSTANT, WATER_FREEZING_K};
use twostage::rig::{Kind, Stage};
use twostage::scenario::Action;

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{House, INWC_PA, PSI_PA, kelvin, rig};
use crate::relief::start_pa;

const AIR_PA: f64 = 101_325.0;
/// Gas constant of propane \[J/(kg K)\].
const PROPANE: f64 = GAS_CONSTANT / 44.0956e-3;
/// Flux of propane at 10 psig and 60 °F through a choked nozzle with a coefficient of 1 \[kg/(m² s)\].
const FLUX_10_PSIG: f64 = 469.0;

/// A cylinder of pure propane, the regulator and one burner, with a channel in each seat \[m²\]. The
/// burner has run and is off, so that both seats have just closed.
fn crept(first_m2: f64, second_m2: f64, psig: f64, air_f: f64) -> House {
    let mut rig = rig("30 lb cylinder", &[Kind::Cooktop]);
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    rig.first.seal_channel_m2 = first_m2;
    rig.second.seal_channel_m2 = second_m2;
    let mut house = House::start(rig, psig, kelvin(air_f));
    close_again(&mut house);
    house
}

fn close_again(house: &mut House) {
    house.switch([0], true).wait(20.0);
    house.all_off().wait(3.0);
}

/// Rate of a pressure \[Pa/s\] over a time \[s\].
fn rate(house: &mut House, over_s: f64, pressure: fn(&House) -> f64) -> f64 {
    let before = pressure(house);
    (pressure(house.wait(over_s)) - before) / over_s
}

fn outlet_pa(house: &House) -> f64 {
    house.read().outlet_pa
}

fn interstage_pa(house: &House) -> f64 {
    house.read().first.chamber_pa
}

/// What a stage's chamber, with more behind it \[m³\], takes in gas for a pascal, as a volume \[m³\]: its
/// diaphragm gives way to spring, rubber and pressed seat.
fn volume_m3(stage: &Stage, behind_m3: f64, pressure_pa: f64, t_k: f64) -> f64 {
    let rubber = stage.rubber_n_per_m * ((WATER_FREEZING_K + 20.0 - t_k) / 55.0).exp();
    let rate = stage.spring_n_per_m + rubber + stage.seat_n_per_m / stage.lever_ratio.powi(2);
    let still = behind_m3 + stage.chamber_m3 + stage.area_m2 * stage.touch_rise_m;
    still + (AIR_PA + pressure_pa) * stage.area_m2.powi(2) / rate
}

/// Sizes of a channel \[m²\], waits before and while the outlet is watched \[s\]: some 10, 30 and 100 mL/min.
const SECOND: [(f64, f64, f64); 3] = [
    (0.85e-9, 10.0, 40.0),
    (2.6e-9, 5.0, 20.0),
    (8.5e-9, 2.0, 8.0),
];

#[test]
fn the_outlet_climbs_as_gas_slips_past_the_second_seat() {
    let t_k = kelvin(60.0);
    let (mut slips, mut climbs) = (Vec::new(), Vec::new());
    for (area_m2, before_s, watch_s) in SECOND {
        let mut house = crept(0.0, area_m2, 93.0, 60.0);
        house.wait(before_s);
        let stage = house.sim.rig().second;
        let behind = house.sim.rig().piping.manifold_m3;
        let flow = house.read().second.flow_kg_per_s;
        let ml_per_min = 6e7 * flow * PROPANE * t_k / AIR_PA;
        let before = (AIR_PA + interstage_pa(&house)) / (AIR_PA + 10.0 * PSI_PA);
        slips.push((
            format!("{area_m2:.2e} m2"),
            1e6 * 0.8 * area_m2 * FLUX_10_PSIG * before,
            1e6 * flow,
        ));
        let volume = volume_m3(&stage, behind, outlet_pa(&house), t_k);
        let expected = flow * PROPANE * t_k / volume;
        let seen = rate(&mut house, watch_s, outlet_pa);
        climbs.push((
            format!("{ml_per_min:.0} mL/min"),
            60.0 * expected / INWC_PA,
            60.0 * seen / INWC_PA,
        ));
    }
    let slip = Check {
        id: "creep.second.flow",
        what: "propane past the shut second seat with a channel in it, 60 °F",
        source: "nozzle flux of 469 kg/(m² s) at 10 psig and 60 °F (CoolProp), coefficient 0.8",
        grade: Grade::Published,
        unit: "mg/s",
        tolerance: Tolerance::Relative(0.08),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&slip, slips);
    let climb = Check {
        id: "creep.second.climb",
        what: "climb of the locked-up outlet",
        source: "q p_atm/V, V with what the diaphragm gives, p A²/(k + k_r + k_s/L²)",
        grade: Grade::Derived,
        unit: "in w.c./min",
        tolerance: Tolerance::Relative(0.03),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&climb, climbs);
}

#[test]
fn a_nick_climbs_at_the_same_rate_each_time_and_a_flush_mends_nothing() {
    let mut house = crept(0.0, SECOND[0].0, 93.0, 60.0);
    let first = rate(house.wait(10.0), 40.0, outlet_pa);
    house.sim.act(&Action::Bleed { area_m2: 60e-6 });
    house.wait(4.0);
    house.sim.act(&Action::Bleed { area_m2: 0.0 });
    house.wait(20.0);
    close_again(&mut house);
    let again = rate(house.wait(10.0), 40.0, outlet_pa);
    Check {
        id: "creep.second.each_time",
        what: "climb after a flush and another burner-off over the climb before, seat nicked",
        source: "practice: a nick creeps at much the same rate each time, a flush does not help",
        grade: Grade::Practice,
        unit: "1",
        tolerance: Tolerance::Relative(0.05),
        expected: 1.0,
        got: again / first,
    }
    .assert();
}

#[test]
fn the_climb_ends_at_the_relief() {
    let mut house = crept(0.0, SECOND[1].0, 93.0, 60.0);
    house.wait(400.0);
    let read = house.read();
    let start = start_pa(&house.sim.rig().second, kelvin(60.0), read.first.chamber_pa);
    Check {
        id: "creep.second.end",
        what: "outlet that 30 mL/min past the second seat comes to",
        source: "start of the relief: spring at that rise and relief spring over the diaphragm's area",
        grade: Grade::Derived,
        unit: "in w.c.",
        tolerance: Tolerance::Absolute(0.2),
        expected: start / INWC_PA,
        got: read.outlet_pa / INWC_PA,
    }
    .assert();
    assert!(read.second.relief_kg_per_s > 0.0);
}

/// Area of the channel in the first seat \[m²\].
const FIRST_M2: f64 = 1e-9;

#[test]
fn between_the_stages_the_climb_goes_with_the_container() {
    // Air [°F], gauge pressure of propane there [psi], flux of its saturated vapour [kg/(m² s)], watch [s]. In
    // frost the seat does not choke.
    let points = [(60.0, 93.0, 2137.0, 10.0), (120.0, 227.8, 4745.0, 5.0)].map(
        |(air_f, psig, flux, watch_s)| {
            let mut house = crept(FIRST_M2, 0.0, psig, air_f);
            let t_k = house.read().body_k;
            let stage = house.sim.rig().first;
            let volume = volume_m3(&stage, 0.0, interstage_pa(&house), t_k);
            let expected = 0.8 * FIRST_M2 * flux * PROPANE * t_k / volume;
            let got = rate(&mut house, watch_s, interstage_pa);
            (
                format!("{air_f} °F"),
                60.0 * expected / PSI_PA,
                60.0 * got / PSI_PA,
            )
        },
    );
    let check = Check {
        id: "creep.first.climb",
        what: "climb between the stages at rest with a channel of 0.001 mm² in the first seat",
        source: "nozzle flux of saturated propane vapour (CoolProp), coefficient 0.8, into the chamber's volume",
        grade: Grade::Published,
        unit: "psi/min",
        tolerance: Tolerance::Relative(0.10),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

#[test]
fn between_the_stages_it_ends_at_the_container() {
    let mut house = crept(9e-9, 0.0, 93.0, 60.0);
    house.wait(600.0);
    Check {
        id: "creep.first.end",
        what: "interstage after ten minutes at rest with a badly nicked first seat",
        source: "practice: it climbs to container pressure, nothing between the stages relieves it",
        grade: Grade::Practice,
        unit: "psig",
        tolerance: Tolerance::Relative(0.03),
        expected: house.container(),
        got: house.interstage(),
    }
    .assert();
}

/// A class VI seat of this size lets a bubble a minute by; the mildest nick that the catalogue knows of as a
/// nuisance must lie well above, and the worst under what a lost disc passes.
#[test]
fn the_scale_of_nicks_lies_between_a_good_valve_and_a_lost_disc() {
    let flow = |severity: f64| {
        let mut house = crept(0.0, 0.0, 93.0, 60.0);
        house.inject("second_seat_nick", severity);
        let flow = house.wait(0.5).read().second.flow_kg_per_s;
        6e7 * flow * PROPANE * kelvin(60.0) / AIR_PA
    };
    Check {
        id: "creep.second.scale",
        what: "gas past a second seat nicked at severity 0.1",
        source: "a class VI valve seat of up to 1 in passes 0.15 mL/min (FCI 70-2, secondary)",
        grade: Grade::Memory,
        unit: "mL/min",
        tolerance: Tolerance::AtLeast,
        expected: 0.15,
        got: flow(0.1),
    }
    .assert();
    let disc_m2 = FRAC_PI_4 * 3.2e-3_f64.powi(2);
    let open = 6e7 * 0.8 * disc_m2 * FLUX_10_PSIG * PROPANE * kelvin(60.0) / AIR_PA;
    assert!(flow(1.0) < 1e-2 * open);
}
