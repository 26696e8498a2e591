//! Wet fuel in the whole rig: what the vapour brings to the first seat, and how soon that starves it.

use twostage::rig::{Kind, evaluate};

use crate::common::{Check, Grade, Tolerance, assert_worst, table};
use crate::house::{House, INWC_PA, PSI_PA, kelvin, rig};

const WATER: &str = include_str!("../reference/water.csv");

/// A rig of propane in air of a temperature, its container as warm, with this much water.
fn wet(air_k: f64, propane_pa: f64, water_share: f64) -> House {
    let kinds = [
        Kind::OnDemandHeater,
        Kind::Cooktop,
        Kind::OnDemandHeater,
        Kind::Grill,
    ];
    let mut rig = rig("100 lb cylinder", &kinds);
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    rig.fuel.water_share = water_share;
    House::start(rig, (propane_pa - 101_325.0) / PSI_PA, air_k)
}

#[test]
fn the_container_lets_go_only_what_its_vapour_holds() {
    let points = table(WATER).into_iter().map(|(_, row)| {
        let house = wet(row[0], row[1], 5e-3);
        let moment = house.sim.moment();
        let flows = evaluate(house.sim.rig(), &moment.modes, 0.0, &moment.state);
        (
            format!("{:.1} K", row[0]),
            1e6 * row[3],
            1e6 * flows.water_share,
        )
    });
    let check = Check {
        id: "water.rig_carried",
        what: "water that the rig's vapour brings over much free water, -20 to 100 F",
        source: "IAPWS over ice, reference equations of state, CoolProp 8.0.0",
        grade: Grade::Published,
        unit: "ppm by mass",
        tolerance: Tolerance::Relative(0.02),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

/// Minutes until all burners together have lost an inch, if within an hour.
fn starved_min(fahrenheit: f64, propane_pa: f64) -> Option<f64> {
    let mut house = wet(kelvin(fahrenheit), propane_pa, 480e-6);
    house.switch(0..4, true).wait(20.0);
    let before = house.outlet();
    let until = house.sim.time_s() + 3600.0;
    let mut fell_s = None;
    house
        .sim
        .advance(until, Some(10.0), &mut |r| {
            // By ice, not by a cold container.
            if fell_s.is_none() && r.outlet_pa / INWC_PA < before - 1.0 && r.first.ice > 0.3 {
                fell_s = Some(r.time_s);
            }
        })
        .expect("the run goes on");
    fell_s.map(|s| s / 60.0)
}

#[test]
fn wet_fuel_starves_soonest_near_freezing() {
    // 480 ppm offered. What settles is what the vapour brings less what it still holds at the nozzle: little where the
    // vapour can bring little, and nothing where the nozzle stays over the hydrate's temperature.
    let minutes = [
        (-10.0, 216_489.0),
        (20.0, 384_961.0),
        (40.0, 542_174.0),
        (70.0, 861_209.0),
    ]
    .map(|(fahrenheit, pa)| starved_min(fahrenheit, pa));
    let [deep, cold, cool, warm] = minutes;
    let (cold, cool) = (
        cold.expect("it freezes at 20 F"),
        cool.expect("it freezes at 40 F"),
    );
    let deep = deep.unwrap_or(60.0);
    assert!(
        (1.0..60.0).contains(&cold) && (1.0..60.0).contains(&cool),
        "{minutes:?}"
    );
    assert_eq!(warm, None, "{minutes:?}");
    // What settles at -10 F is under a third of that at 20 F: 140 against 370 ppm brought, and throttled by 2 K against 5.
    Check {
        id: "water.rig_starves_later_in_deep_cold",
        what: "time until 480 ppm starve the rig at full load at -10 F, over that at 20 F",
        source: "water in saturated propane vapour, less what it holds at the nozzle",
        grade: Grade::Derived,
        unit: "1",
        tolerance: Tolerance::AtLeast,
        expected: 2.0,
        got: deep / cold,
    }
    .assert();
}
