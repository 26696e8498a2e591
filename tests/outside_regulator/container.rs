//! The container as the rig has it: self-cooling under a constant draw, and the trade's tables.

use twostage::physics::fuel::mass_kg;
use twostage::rig::{
    Charge, Container, Modes, Ramp, Rig, RigState, Site, evaluate, presets, rates,
};
use twostage::solver::{Engine, Method, System, Tolerance as Step};

use crate::common::{Check, Grade, Tolerance, assert_worst, table};
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

const DRAWN: &str = include_str!("../reference/container_drawn.csv");
const COOLING: &str = include_str!("../reference/container_cooling.csv");

/// Reference, in words.
const REFERENCE: &str =
    "energy balance of the open container by the reference equation of state, CoolProp 8.0.0";

/// A container that gives a constant flow and takes heat in proportion, whatever its level. The rates are the
/// rig's own, with the case's draw and heat in their places.
struct Drawn {
    rig: Rig,
    modes: Modes,
    rest: RigState,
    scales: Vec<f64>,
    vapour_kg_per_s: f64,
    liquid_kg_per_s: f64,
    exchange_w_per_k: f64,
}

impl Drawn {
    /// A 20-lb cylinder of the volume of the tables, of pure propane.
    fn new(fill: f64, start_k: f64, steel_j_per_k: f64) -> Self {
        let cylinder = presets::container("20 lb cylinder").expect("a preset");
        let container = Container {
            steel_j_per_k,
            volume_m3: 21.6e-3,
            ..cylinder
        };
        let mut rig = Rig::standard(vec![container], vec![]);
        rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
        let (modes, rest) = charged(&rig, fill, start_k, start_k);
        Self {
            scales: RigState::scales(&rig),
            rig,
            modes,
            rest,
            vapour_kg_per_s: 0.0,
            liquid_kg_per_s: 0.0,
            exchange_w_per_k: 0.0,
        }
    }

    fn mass_kg(&self) -> f64 {
        mass_kg(&self.rest.containers[0].moles)
    }

    /// Temperature at times \[K\].
    fn temperatures_k(&self, times: &[f64]) -> Vec<f64> {
        let mut y = vec![0.0; self.dim()];
        self.rest.write_to(&self.rig, &mut y);
        let mut got = Vec::new();
        let last = times[times.len() - 1];
        Engine::new(Method::Stiff, Step::default())
            .advance(self, 0.0, last, &mut y, times, &mut |_, y| {
                let state = RigState::read_from(&self.rig, y);
                got.push(state.containers[0].temperature_k);
            })
            .expect("the run ends");
        got
    }
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
        container.vapour_kg_per_s = self.vapour_kg_per_s;
        container.liquid_kg_per_s = self.liquid_kg_per_s;
        let start_k = self.rest.containers[0].temperature_k;
        container.heat_w = self.exchange_w_per_k * (start_k - state.containers[0].temperature_k);
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

/// A check of temperatures against the energy balance, within some kelvin.
fn balanced<'a>(id: &'a str, what: &'a str, within_k: f64) -> Check<'a> {
    Check {
        id,
        what,
        source: REFERENCE,
        grade: Grade::Published,
        unit: "K",
        tolerance: Tolerance::Absolute(within_k),
        expected: 0.0,
        got: 0.0,
    }
}

/// What leaves takes the heat with which it boiled, what stays boils into its place, and the container's own heat counts
/// both: a tenth of the fuel drawn without heat from outside, at four fills.
#[test]
fn a_tenth_of_the_fuel_drawn_cools_the_rest() {
    let mut as_liquid = Vec::new();
    for (_, row) in table(DRAWN) {
        let mut system = Drawn::new(row[0], row[1], 0.0);
        let flow = 1e-4 * system.mass_kg();
        system.vapour_kg_per_s = flow;
        let id = format!("container.drawn_{:.0}_percent_full", 100.0 * row[0]);
        Check {
            expected: row[2],
            got: system.temperatures_k(&[1000.0])[0],
            ..balanced(
                &id,
                "a tenth of the fuel drawn as vapour from 60 F, no heat from outside",
                0.2,
            )
        }
        .assert();
        (system.vapour_kg_per_s, system.liquid_kg_per_s) = (0.0, flow);
        let got = system.temperatures_k(&[1000.0])[0];
        as_liquid.push((format!("{} full", row[0]), row[1] - row[3], row[1] - got));
    }
    let what = "chill when a tenth of the fuel is drawn as liquid from 60 F";
    assert_worst(
        &balanced("container.drawn_as_liquid", what, 0.02),
        as_liquid,
    );
}

/// Steel, heat from the air and a draw together. This replaces a case that counted all fuel as liquid and nothing for what
/// boils or condenses, as the rig did then: a tenth full it cooled a third too much.
#[test]
fn self_cooling_under_a_constant_draw() {
    let rows: Vec<_> = table(COOLING).into_iter().map(|(_, row)| row).collect();
    for fill in [0.12, 0.4, 0.8] {
        let of_fill: Vec<_> = rows.iter().filter(|row| row[0] == fill).collect();
        let mut system = Drawn::new(fill, 293.15, 4000.0);
        system.vapour_kg_per_s = 2.3387e-4;
        system.exchange_w_per_k = 3.5;
        let times: Vec<f64> = of_fill.iter().map(|row| row[1]).collect();
        let got = system.temperatures_k(&times);
        let points = of_fill.iter().zip(got);
        let id = format!("container.self_cooling_{:.0}_percent_full", 100.0 * fill);
        let check = balanced(
            &id,
            "20-lb cylinder, 0.23387 g/s of vapour drawn, 3.5 W/K from air at 20 C, 4 kJ/K of steel",
            0.25,
        );
        assert_worst(
            &check,
            points.map(|(row, got)| (format!("{} s", row[1]), row[2], got)),
        );
    }
}

/// Heat that the rig's container takes in, as continuous draw of pure propane \[Btu/h\].
fn draw_btu_per_h(container: &str, fill: f64, air_f: f64, liquid_f: f64) -> f64 {
    let container = presets::container(container).expect("a preset");
    let mut rig = Rig::standard(vec![container], vec![]);
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    let (modes, state) = charged(&rig, fill, kelvin(liquid_f), kelvin(air_f));
    let flows = evaluate(&rig, &modes, 0.0, &state);
    let c = &flows.containers[0];
    c.heat_w / c.flash.vapour_draw_j_per_kg * flows.gas.heating_value_j_per_kg / BTU_PER_H_W
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
        source: "trade table of continuous draw (practice), to which the surface's 11.1 W/m2K is fitted",
        grade: Grade::Fitted,
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
        source: "trade rule D x L x K (practice), to which the surface's 19 W/m2K is fitted",
        unit: "Btu/h",
        tolerance: Tolerance::Relative(0.06),
        ..upright
    };
    assert_worst(&lying, points);
}
