//! The supply of the whole rig: each narrow place chokes, starves gradually, and the excess-flow valve trips by flow
//! that lasts and resets by its bleed.

use std::f64::consts::PI;

use twostage::rig::{Rig, Supply};
use twostage::scenario::Action;

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{BTU_PER_H_W, House, PSI_PA, kelvin, loaded_rig};

/// Choked flux of saturated propane vapour at 60 °F (93.0 psig) through an ideal nozzle \[kg/m² s\].
const FLUX: f64 = 2137.0;
/// Absolute pressure it belongs to \[psi\].
const FLUX_PSIA: f64 = 107.7;
/// Heat of combustion of propane, gross \[J/kg\].
const HEAT: f64 = 50.33e6;
/// Nozzle's share of A sqrt(rho p) at g = 1.13.
const NOZZLE: f64 = 0.634_575;

fn house(change: impl Fn(&mut Rig)) -> House {
    let mut rig = loaded_rig("30 lb cylinder");
    change(&mut rig);
    House::start(rig, 93.0, kelvin(60.0))
}

fn narrowed(change: impl Fn(&mut Supply)) -> House {
    house(|rig| change(&mut rig.containers[0].supply))
}

/// Flow into an open line, as it would be at 107.7 psia \[1000 Btu/h\]: the container cools a little meanwhile.
fn starved(mut house: House) -> f64 {
    // An open line of the size of all burners: they themselves would go out.
    house.sim.act(&Action::Bleed { area_m2: 12e-6 });
    house.wait(20.0);
    let r = house.read();
    let psia = (r.containers[0].pressure_pa + r.ambient_pa) / PSI_PA;
    r.containers[0].flow_kg_per_s * HEAT / BTU_PER_H_W / 1000.0 * FLUX_PSIA / psia
}

fn kbtu(area_m2: f64, share: f64) -> f64 {
    area_m2 * share * FLUX * HEAT / BTU_PER_H_W / 1000.0
}

fn circle(d_m: f64) -> f64 {
    0.25 * PI * d_m * d_m
}

/// Share of an ideal nozzle that IEC 60534 gives a valve of coefficient 0.7, `x_T` 0.7.
fn valve_share() -> f64 {
    0.7 * 2.0 / 3.0 * (2.0_f64 * 1.13 / 1.4 * 0.7).sqrt() / NOZZLE
}

fn check<'a>(id: &'a str, what: &'a str, source: &'a str) -> Check<'a> {
    Check {
        id,
        what,
        source,
        grade: Grade::Derived,
        unit: "1000 Btu/h",
        tolerance: Tolerance::Relative(0.05),
        expected: 0.0,
        got: 0.0,
    }
}

const REFERENCE: &str =
    "reference equation of state (CoolProp) for the flux of a nozzle; share of it by ";

#[test]
fn a_valve_chokes_on_the_rig() {
    let source = format!("{REFERENCE}IEC 60534");
    Check {
        expected: kbtu(circle(0.5e-3), valve_share()),
        got: starved(narrowed(|s| s.valve_m2 = circle(0.5e-3))),
        ..check(
            "supply.valve",
            "an open line through a valve of 0.5 mm bore",
            &source,
        )
    }
    .assert();
    Check {
        expected: kbtu(0.2e-6, valve_share()),
        got: starved(narrowed(|s| {
            // A gap of 0.2 mm2, coefficient 0.7, in a bore of 4 mm.
            let heads = (circle(4e-3) / (0.7 * 0.2e-6)).powi(2);
            s.pigtail_minor_loss = 1.5 + heads;
        })),
        ..check(
            "supply.kink",
            "an open line through a kink that leaves 0.2 mm2",
            &source,
        )
    }
    .assert();
}

#[test]
fn a_hose_chokes_on_the_rig() {
    // Fanno, g 1.13, entrance 0.5, f 0.0301 (the rig's friction law at high Re): f L/D of 17.7 and 21.5; choked flow over A sqrt(rho p)
    // from an independent script: 0.2084 and 0.1926.
    let source = format!("{REFERENCE}adiabatic flow with friction, f 0.0301");
    let points = [(0.85e-3, 0.2084), (0.7e-3, 0.1926)].map(|(bore, share)| {
        (
            format!("{} mm", 1e3 * bore),
            kbtu(circle(bore), share / NOZZLE),
            starved(narrowed(|s| s.pigtail_bore_m = bore)),
        )
    });
    let what = "an open line through half a metre of hose bored down";
    assert_worst(&check("supply.hose", what, &source), points);
}

#[test]
fn a_clogged_inlet_chokes_on_the_rig() {
    let source = format!("{REFERENCE}its area and coefficient");
    Check {
        tolerance: Tolerance::AtMost,
        expected: kbtu(circle(2e-3), 0.08),
        got: starved(house(|rig| rig.first.discharge = 0.08)),
        ..check(
            "supply.filter",
            "an open line through a first nozzle clogged to a tenth",
            &source,
        )
    }
    .assert();
}

/// Inlet pressure falls under load as the expansion factor says, not off a knee.
#[test]
fn a_starved_valve_sags_gradually() {
    let limit = 1.13 / 1.4 * 0.7;
    let choked = |x: f64| {
        let x = f64::min(x, limit);
        (1.0 - x / (3.0 * limit)) * (2.0 * x).sqrt() / (2.0 / 3.0 * (2.0 * limit).sqrt())
    };
    let mut house = narrowed(|s| s.valve_m2 = 0.33e-6);
    let mut points = Vec::new();
    for burner in [0, 1, 2] {
        house.switch([burner], true).wait(20.0);
        let r = house.read();
        let (up, down) = (
            r.containers[0].pressure_pa + r.ambient_pa,
            r.containers[0].pigtail_pa + r.ambient_pa,
        );
        let most = kbtu(0.33e-6, valve_share()) * up / PSI_PA / FLUX_PSIA;
        let share = r.containers[0].flow_kg_per_s * HEAT / BTU_PER_H_W / 1000.0 / most;
        let (mut low, mut high) = (0.0, limit);
        for _ in 0..60 {
            let x = 0.5 * (low + high);
            if choked(x) < share {
                low = x;
            } else {
                high = x;
            }
        }
        points.push((
            format!("{:.0} % of the choked flow", 100.0 * share),
            low * up / PSI_PA,
            (up - down) / PSI_PA,
        ));
    }
    assert!(
        points.windows(2).all(|w| w[1].2 > w[0].2 + 1.0),
        "{points:?}"
    );
    let source = format!("{REFERENCE}IEC 60534");
    let template = Check {
        unit: "psi",
        tolerance: Tolerance::Relative(0.12),
        ..check(
            "supply.sag",
            "fall of the inlet behind a valve of 0.33 mm2 as burners come on",
            &source,
        )
    };
    assert_worst(&template, points);
}

#[test]
fn a_tripped_excess_flow_valve_bleeds_a_trickle_and_takes_its_time_to_reset() {
    // The load trips it; a litre stands behind it.
    let mut house = narrowed(|s| {
        s.excess_trip_kg_per_s = 0.2e-3;
        s.excess_reset_pa *= (0.2_f64 / 1.6).powi(2);
        s.pigtail_volume_m3 = 1e-3;
    });
    let tripped = |h: &House| h.read().containers[0].excess_flow_tripped;
    house.switch(0..4, true);
    for _ in 0..120 {
        house.wait(1.0);
        if house.read().containers[0].pigtail_pa < 8.0 * PSI_PA {
            break;
        }
    }
    assert!(tripped(&house));
    let r = house.read();
    let psia = (r.containers[0].pressure_pa + r.ambient_pa) / PSI_PA;
    Check {
        grade: Grade::Memory,
        tolerance: Tolerance::Relative(0.15),
        expected: 18.7,
        got: r.containers[0].flow_kg_per_s * HEAT / BTU_PER_H_W / 1000.0 * FLUX_PSIA / psia,
        ..check(
            "supply.bleed",
            "all on behind a tripped excess-flow valve",
            "leak-by of connectors of 10 ft3/h of air, as propane at 60 °F",
        )
    }
    .assert();
    let pigtail_psig = r.containers[0].pigtail_pa / PSI_PA;
    assert!(pigtail_psig < 10.0, "{pigtail_psig}");
    house.all_off();
    let mut waited = 0.0;
    while tripped(&house) && waited < 600.0 {
        house.wait(1.0);
        waited += 1.0;
    }
    // It has a little less than all of the litre to fill: what stands there already is left out.
    let share = 1.0 - pigtail_psig / 93.0;
    Check {
        unit: "s",
        tolerance: Tolerance::AtLeast,
        expected: 132.0 * share,
        got: waited,
        ..check(
            "supply.reset",
            "a litre behind a tripped excess-flow valve, all off: until it opens",
            "contents of a litre over the choked bleed of 10 ft3/h of air",
        )
    }
    .assert();
    assert!(waited < 400.0, "{waited} s");
    house.switch([1], true).wait(30.0);
    assert!(!tripped(&house) && house.outlet() > 10.5);
}

/// Derived: a limit that falls below the flow that runs is a crossing like any other; a rush that is over within the
/// poppet's travel is none.
#[test]
fn it_trips_by_flow_that_runs_and_by_nothing_at_rest() {
    let tripped = |h: &House| h.read().containers[0].excess_flow_tripped;
    let mut house = house(|_| ());
    house.inject("excess_flow_tripped", 0.9).wait(60.0);
    assert!(!tripped(&house), "at rest");
    house.clear("excess_flow_tripped");
    house.switch(0..4, true).wait(60.0);
    assert!(!tripped(&house), "a sound one passes the full load");
    house.inject("excess_flow_tripped", 0.9).wait(2.0);
    assert!(tripped(&house), "by the flow that runs");
    // Shut and opened again slowly, with less on it.
    house.all_off().wait(120.0);
    assert!(!tripped(&house), "even pressures open it");
    house.switch([1], true).wait(30.0);
    assert!(!tripped(&house) && house.outlet() > 10.5);
}

/// A container that has given all it can stands at the air's pressure, and never under it: nothing draws on it but burners.
#[test]
fn a_spent_container_stands_at_the_airs_pressure() {
    for (id, severity) in [
        ("supply.spent_cylinder", 1.0),
        ("supply.nearly_spent_cylinder", 0.9),
    ] {
        let mut house = House::start(loaded_rig("30 lb cylinder"), 93.0, kelvin(60.0));
        house.switch(0..4, true).wait(60.0);
        house.inject("container_low", severity);
        let mut lowest = f64::INFINITY;
        for _ in 0..60 {
            house.wait(10.0);
            lowest = lowest.min(house.container());
        }
        assert!(lowest > -0.01, "{lowest} psig");
        Check {
            id,
            what: &format!("container ten minutes after it is nearly empty, severity {severity}"),
            source: "what is in it flows out until it stands at the pressure of the air",
            grade: Grade::Derived,
            unit: "psig",
            tolerance: Tolerance::Absolute(0.05),
            expected: 0.0,
            got: house.container(),
        }
        .assert();
    }
}
