//! The container as the rig has it: self-cooling under a constant draw, and the trade's tables.

use twostage::rig::{
    Charge, Container, Modes, Ramp, Rig, RigState, Site, evaluate, presets, rates,
};
use twostage::solver::{Engine, Method, System, Tolerance as Step};

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{BTU_PER_H_W, kelvin};

fn charged(rig: &Rig, fill: f64, liquid_k: f64, air_k: f64) -> (Modes, RigState) {
    let mut modes = Modes::shut(Site::calm(air_k, 0.0));
    modes.valves[0] = Ramp::fixed(1.0);
    let charge = Charge {
        fill,
        temperature_k: liquid_k,
        air_pa: 0.0,
    };
    let state = rig.at_rest(&modes, &[charge]);
    (modes, state)
}

/// Draw of the case \[kg/s\].
const DRAW: f64 = 2.3387e-4;
/// Its latent heat, which it holds constant \[J/kg\].
const LATENT: f64 = 350e3;
/// Its heat exchange with the air, also constant \[W/K\].
const EXCHANGE: f64 = 3.5;
/// Its air and its start \[K\].
const START_K: f64 = 293.15;

/// A container that gives a constant flow of vapour. The rates are the rig's own, with the case's
/// draw and the case's heat put in their places: the rig would let the wetted wall shrink with the
/// level and the latent heat grow in the cold.
struct Drawn {
    rig: Rig,
    modes: Modes,
    rest: RigState,
    scales: Vec<f64>,
}

impl System for Drawn {
    fn dim(&self) -> usize {
        RigState::dim(&self.rig)
    }

    fn derivatives(&self, t: f64, y: &[f64], dy: &mut [f64]) {
        let mut state = self.rest;
        state.containers = RigState::read_from(&self.rig, y).containers;
        let mut flows = evaluate(&self.rig, &self.modes, t, &state);
        let container = &mut flows.containers[0];
        container.vapour_kg_per_s = DRAW;
        let temperature_k = state.containers[0].temperature_k;
        container.heat_w = EXCHANGE * (START_K - temperature_k)
            + DRAW * (container.flash.latent_heat_j_per_kg - LATENT);
        let all = rates(&self.rig, &self.modes, &state, &flows);
        let kept = RigState {
            containers: all.containers,
            ..RigState::default()
        };
        kept.write_to(&self.rig, dy);
        // The pigtail is not asked.
        let pigtail = dy.len() - 1;
        dy[pigtail] = 0.0;
    }

    fn scales(&self) -> &[f64] {
        &self.scales
    }

    fn state_name(&self, i: usize) -> String {
        RigState::name(&self.rig, i)
    }
}

#[test]
fn self_cooling_under_a_constant_draw() {
    let cylinder = presets::container("20 lb cylinder").expect("a preset");
    let mut rig = Rig::standard(
        vec![Container {
            steel_j_per_k: 4000.0,
            ..cylinder
        }],
        vec![],
    );
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    // The fill that holds 9 kg of liquid.
    let (modes, at_half) = charged(&rig, 0.5, START_K, START_K);
    let per_fill = 2.0
        * rig.containers[0]
            .flash(&at_half.containers[0])
            .liquid_mass_kg;
    let (_, rest) = charged(&rig, 9.0 / per_fill, START_K, START_K);
    let scales = RigState::scales(&rig);
    let system = Drawn {
        rig,
        modes,
        rest,
        scales,
    };
    let mut y = vec![0.0; system.dim()];
    rest.write_to(&system.rig, &mut y);
    let cases = [(1800.0, 288.1124), (3600.0, 284.0131), (14_400.0, 272.1348)];
    let times = cases.map(|(t, _)| t);
    let mut got = Vec::new();
    Engine::new(Method::Stiff, Step::default())
        .advance(&system, 0.0, 14_400.0, &mut y, &times, &mut |_, y| {
            let state = RigState::read_from(&system.rig, y);
            got.push(state.containers[0].temperature_k);
        })
        .expect("the run ends");
    let points = cases
        .into_iter()
        .zip(got)
        .map(|((t, expected), got)| (format!("{t} s"), expected, got));
    let check = Check {
        id: "container.self_cooling",
        what: "9 kg of propane, 0.23387 g/s drawn, 3.5 W/K, constant latent heat; \
               the case counts all fuel as liquid, the rig has some of it as vapour",
        source: "integral of the heat balance",
        grade: Grade::Derived,
        unit: "K",
        tolerance: Tolerance::Absolute(0.15),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

/// Heat that the rig's container takes in, as continuous draw of pure propane \[Btu/h\].
fn draw_btu_per_h(container: &str, fill: f64, air_f: f64, liquid_f: f64) -> f64 {
    let container = presets::container(container).expect("a preset");
    let mut rig = Rig::standard(vec![container], vec![]);
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    let (modes, state) = charged(&rig, fill, kelvin(liquid_f), kelvin(air_f));
    let flows = evaluate(&rig, &modes, 0.0, &state);
    let c = &flows.containers[0];
    c.heat_w / c.flash.latent_heat_j_per_kg * flows.gas.heating_value_j_per_kg / BTU_PER_H_W
}

#[test]
fn trade_tables_of_continuous_draw() {
    let mut points = Vec::new();
    for (fill, row) in [
        (0.8, [113.0, 167.0, 214.0, 277.0, 300.0]),
        (0.4, [64.0, 94.0, 125.0, 154.0, 167.0]),
    ] {
        for (air_f, expected) in [0.0, 20.0, 40.0, 60.0, 70.0].into_iter().zip(row) {
            let got = draw_btu_per_h("100 lb cylinder", fill, air_f, -43.0) / 1e3;
            points.push((format!("{fill} full, {air_f} F"), expected, got));
        }
    }
    let upright = Check {
        id: "container.rig_upright",
        what: "the rig's 100-lb cylinder, continuous draw, liquid at -43 F",
        source: "trade table of continuous draw",
        grade: Grade::Practice,
        unit: "kBtu/h",
        tolerance: Tolerance::Relative(0.09),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&upright, points);
    let (diameter, length) = (14.0, 46.0);
    let points = [
        (0.6, 100.0),
        (0.5, 90.0),
        (0.4, 80.0),
        (0.3, 70.0),
        (0.2, 60.0),
    ]
    .map(|(fill, k)| {
        let got = draw_btu_per_h("horizontal tank", fill, 0.0, -20.0);
        (format!("{fill} full"), diameter * length * k, got)
    });
    let lying = Check {
        id: "container.rig_horizontal",
        what: "the rig's horizontal tank, continuous draw at 0 F air, -20 F liquid",
        source: "trade rule D x L x K",
        unit: "Btu/h",
        tolerance: Tolerance::Relative(0.06),
        ..upright
    };
    assert_worst(&lying, points);
}
