//! Burners as the rig has them: gas for a rating, and input against pressure.

use twostage::rig::{Kind, Modes, Ramp, Rig, RigState, Site, evaluate, presets};

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{BTU_PER_H_W, INWC_PA, kelvin};

/// A burner of 100,000 Btu/h at 11 in w.c. on a branch too wide to matter, its valve open and lit.
fn torch() -> (Rig, Modes) {
    let mut burner = presets::appliance(Kind::Grill);
    burner.set_rating(1e5 * BTU_PER_H_W, 11.0 * INWC_PA);
    burner.branch.bore_m = 0.1;
    let container = presets::container("100 lb cylinder").expect("a preset");
    let mut rig = Rig::standard(vec![container], vec![burner]);
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    let mut modes = Modes::shut(Site::calm(kelvin(60.0), 0.0));
    modes.appliances[0].valve = Ramp::fixed(1.0);
    modes.appliances[0].lit = true;
    (rig, modes)
}

/// Flow \[kg/s\] of the torch with a pressure \[in w.c.\] in the manifold.
fn flow_at(inwc: f64) -> f64 {
    let (rig, modes) = torch();
    let charge = twostage::rig::Charge {
        fill: 0.8,
        temperature_k: kelvin(60.0),
        air_pa: 0.0,
    };
    let mut state: RigState = rig.at_rest(&modes, &[charge]);
    let gas = evaluate(&rig, &modes, 0.0, &state)
        .gas
        .gas_constant_j_per_kg_k;
    let pressure = modes.site.ambient_pa(0.0) + inwc * INWC_PA;
    state.manifold_kg = pressure * rig.piping.manifold_m3 / (gas * kelvin(60.0));
    evaluate(&rig, &modes, 0.0, &state).appliances[0].main_kg_per_s
}

#[test]
fn gas_for_a_hundred_thousand() {
    Check {
        id: "burner.rated_flow",
        what: "propane to a burner rated 100,000 Btu/h at 11 in w.c.",
        source: "trade rating of propane, gross; the burner's orifice is drilled from its rating, so this is the heating value once more",
        grade: Grade::Fitted,
        unit: "g/s",
        tolerance: Tolerance::Relative(0.01),
        expected: 0.585,
        got: 1e3 * flow_at(11.0),
    }
    .assert();
}

#[test]
fn input_goes_with_the_square_root_of_pressure() {
    let rated = flow_at(11.0);
    let points = [(8.0, 0.85), (10.0, 0.95), (14.0, 1.13), (33.0, 1.73)]
        .map(|(inwc, expected)| (format!("{inwc} in w.c."), expected, flow_at(inwc) / rated));
    let check = Check {
        id: "burner.square_root",
        what: "input as a share of that at 11 in w.c. (denser gas at the higher pressures adds 2.5 % at 33)",
        source: "trade rule: input goes with the square root of pressure",
        grade: Grade::Practice,
        unit: "1",
        tolerance: Tolerance::Relative(0.03),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}
