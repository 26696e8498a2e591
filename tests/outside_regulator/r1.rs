//! Case R1: a single stage whose equilibrium, droop, modes and load step are known exactly.
//!
//! Derived: an independent script worked the case out from the equations; it describes no real
//! unit. The stage below is a [`Stage`] of the rig, evaluated by the rig's own function, so the case
//! checks pressures, forces, spring case, vent and nozzle as the program has them. Two things of
//! the program that the case leaves out are taken off by the law [`Law::Case`]: the bore in series
//! with the curtain (0.2 % of the area at 0.5 g/s, 4 % at 2 g/s), the laminar part of the seat (0.2 % of the
//! flow); the checks marked "as the program has it" keep them.
//!
//! The states here are amounts of gas in volumes that move with the diaphragm; the case holds its
//! volumes constant. At rest the two linearise alike when the volumes are set for the operating
//! point; in the time run the volumes move by 0.1 % (chamber) and 0.3 % (spring case).

use twostage::physics::GAS_CONSTANT;
use twostage::physics::flow::{self, Upstream};
use twostage::rig::stage::{Around, StageFlows};
use twostage::rig::state::StageState;
use twostage::rig::{Stage, Vent, presets};
use twostage::solver::{Engine, Method, System, Tolerance as Step, jacobian, modes};

use crate::common::{Check, Grade, Tolerance, assert_worst};

const SOURCE: &str = "case R1, worked out by an independent script";
const GAS: f64 = 188.555;
const WARM_K: f64 = 288.15;
const AMBIENT_PA: f64 = 101_325.0;
const UPSTREAM_PA: f64 = 170_273.0;
const LOAD_M2: f64 = 6.209_595_2e-6;
const DISCHARGE: f64 = 0.8;
/// Rise at touch in our coordinate; the case counts its rise from touch.
const TOUCH_M: f64 = 4e-3;
/// Vent conductance in the middle of the stable window \[kg/s/Pa\].
const QUIET_VENT: f64 = 1e-6;

/// Whose seat flow is used.
#[derive(Clone, Copy, PartialEq)]
enum Law {
    /// The case's: curtain area alone, isentropic.
    Case,
    /// The program's.
    Program,
}

/// The stage with what surrounds it, as a system of five states.
struct R1 {
    stage: Stage,
    around: Around,
    load_m2: f64,
    /// A given outflow instead of the load orifice: at the start and its slope \[kg/s, kg/s²\].
    drawn: Option<(f64, f64)>,
    law: Law,
    scales: [f64; 5],
}

impl R1 {
    fn new(vent: f64, law: Law) -> Self {
        let stage = Stage {
            area_m2: 6e-3,
            mass_kg: 0.06,
            preload_n: 16.321_562 - 600.0 * TOUCH_M,
            spring_n_per_m: 600.0,
            rubber_n_per_m: 0.0,
            damping_n_s_per_m: 0.5,
            friction_n: 0.0,
            lever_ratio: 4.0,
            bore_m: 5e-3,
            discharge: DISCHARGE,
            touch_rise_m: TOUCH_M,
            seal_leak_m2: 0.0,
            chamber_m3: 1e-3,
            case_m3: 0.3e-3,
            // The case's spring case is isothermal.
            case_wall_m: 0.0,
            vent: Vent {
                area_m2: 1.0,
                laminar: 1.0 / vent,
                turbulent: 0.0,
                flap_m2: 0.0,
                ..presets::second_stage().vent
            },
            relief: None,
            ..presets::second_stage()
        };
        let around = Around {
            upstream: Upstream {
                pressure_pa: UPSTREAM_PA,
                temperature_k: WARM_K,
                gas_constant: GAS,
                z: 1.0,
                gamma: 1.13,
            },
            liquid_kg_per_m3: 500.0,
            liquid_share: 0.0,
            gas_j_per_kg_k: GAS,
            gas_k: WARM_K,
            case_k: WARM_K,
            ambient_pa: AMBIENT_PA,
            ice: 0.0,
            residue_factor: 1.0,
            press_n: 0.0,
            thumb: 0.0,
        };
        let mut r1 = Self {
            stage,
            around,
            load_m2: LOAD_M2,
            drawn: None,
            law,
            scales: [1e-3, 1e-1, 1e-4, 1e-3, 1e-2],
        };
        // Volumes that are 1 L and 0.3 L at the operating point.
        let rise = r1.rest(2740.0).rise_m;
        r1.stage.chamber_m3 -= r1.stage.area_m2 * rise;
        r1.stage.case_m3 += r1.stage.area_m2 * rise;
        r1
    }

    fn state(y: &[f64]) -> StageState {
        StageState {
            rise_m: y[0],
            speed_m_per_s: y[1],
            bristle_m: y[2],
            gas_kg: y[3],
            case_mol: y[4],
            case_settled: 0.0,
        }
    }

    fn vector(s: &StageState) -> [f64; 5] {
        [s.rise_m, s.speed_m_per_s, s.bristle_m, s.gas_kg, s.case_mol]
    }

    fn outlet_pa(&self, s: &StageState) -> f64 {
        self.stage.chamber_pa(s, GAS, WARM_K) - AMBIENT_PA
    }

    fn seat_kg_per_s(&self, f: &StageFlows) -> f64 {
        match self.law {
            Law::Program => f.seat_kg_per_s(),
            Law::Case => {
                let curtain = std::f64::consts::PI * self.stage.bore_m * f.lift_m;
                flow::nozzle_kg_per_s(curtain, DISCHARGE, &self.around.upstream, f.chamber_pa, 0.0)
            }
        }
    }

    fn load_kg_per_s(&self, t: f64, chamber_pa: f64) -> f64 {
        if let Some((start, slope)) = self.drawn {
            return start + slope * t;
        }
        let gas = Upstream {
            pressure_pa: chamber_pa,
            ..self.around.upstream
        };
        flow::nozzle_kg_per_s(self.load_m2, DISCHARGE, &gas, AMBIENT_PA, 0.0)
    }

    /// The balanced state at an outlet pressure \[Pa gauge\]: the rise at which the forces that the
    /// stage reports sum to nothing, the spring case at ambient.
    fn rest(&self, outlet_pa: f64) -> StageState {
        let at = |rise_m: f64| {
            let gas = (AMBIENT_PA + outlet_pa) / (GAS * WARM_K);
            StageState {
                rise_m,
                speed_m_per_s: 0.0,
                bristle_m: 0.0,
                gas_kg: gas * self.stage.chamber_volume_m3(rise_m),
                case_mol: AMBIENT_PA * self.stage.case_volume_m3(rise_m) / (GAS_CONSTANT * WARM_K),
                case_settled: 0.0,
            }
        };
        let (mut low, mut high) = (0.0, TOUCH_M);
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            let sum = self
                .stage
                .evaluate(&at(middle), &self.around)
                .forces
                .sum_n();
            if sum > 0.0 {
                low = middle; // pushed up, towards closed: the balance lies higher
            } else {
                high = middle;
            }
        }
        at(0.5 * (low + high))
    }

    /// Outlet pressure \[Pa gauge\] at which the stage passes a flow \[kg/s\].
    fn outlet_at(&self, flow_kg_per_s: f64) -> f64 {
        let (mut low, mut high) = (2000.0, 2900.0);
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            let passed = self.seat_kg_per_s(&self.stage.evaluate(&self.rest(middle), &self.around));
            if passed > flow_kg_per_s {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Outlet pressure \[Pa gauge\] at which the seat just touches, not squeezed.
    fn lock_up(&self) -> f64 {
        let (mut low, mut high) = (2000.0, 2900.0);
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            // Half a nanometre short of touch: the balance is found to rounding only.
            if self.rest(middle).rise_m < TOUCH_M - 5e-10 {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Outlet pressure at which the stage passes what the load orifice takes \[Pa gauge\].
    fn outlet_loaded(&self) -> f64 {
        let (mut low, mut high) = (2000.0, 2900.0);
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            let f = self.stage.evaluate(&self.rest(middle), &self.around);
            if self.seat_kg_per_s(&f) > self.load_kg_per_s(0.0, f.chamber_pa) {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Eigenvalues at the loaded operating point with an oscillating part: (re, im), by frequency.
    fn oscillating(&self) -> Vec<(f64, f64)> {
        let y = Self::vector(&self.rest(self.outlet_loaded()));
        let mut out: Vec<(f64, f64)> = modes(&jacobian(self, 0.0, &y))
            .iter()
            .filter(|e| e.im > 1.0)
            .map(|e| (e.re, e.im))
            .collect();
        out.sort_by(|a, b| a.1.total_cmp(&b.1));
        out
    }

    /// Fastest growth of an oscillation at the operating point \[1/s\] and its frequency \[Hz\].
    fn growth(vent: f64) -> (f64, f64) {
        Self::new(vent, Law::Case)
            .oscillating()
            .iter()
            .map(|(re, im)| (*re, im / std::f64::consts::TAU))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .expect("an oscillation")
    }
}

impl System for R1 {
    fn dim(&self) -> usize {
        5
    }

    fn derivatives(&self, t: f64, y: &[f64], dy: &mut [f64]) {
        let s = Self::state(y);
        let f = self.stage.evaluate(&s, &self.around);
        dy[0] = s.speed_m_per_s;
        dy[1] = f.forces.sum_n() / self.stage.mass_kg;
        dy[2] = f.bristle_rate;
        dy[3] = self.seat_kg_per_s(&f) - self.load_kg_per_s(t, f.chamber_pa);
        dy[4] = Stage::case_rate_mol_per_s(&f, GAS_CONSTANT / GAS);
    }

    fn scales(&self) -> &[f64] {
        &self.scales
    }

    fn state_name(&self, i: usize) -> String {
        ["rise", "speed", "bristle", "gas", "spring-case air"][i].to_owned()
    }
}

fn check<'a>(id: &'a str, what: &'a str, unit: &'a str, tolerance: Tolerance) -> Check<'a> {
    Check {
        id,
        what,
        source: SOURCE,
        grade: Grade::Derived,
        unit,
        tolerance,
        expected: 0.0,
        got: 0.0,
    }
}

#[test]
fn droop() {
    let flows = [
        (0.0, 2774.399),
        (5e-4, 2740.000),
        (1e-3, 2705.604),
        (2e-3, 2636.818),
    ];
    for (law, id, within) in [
        (Law::Case, "r1.droop", 0.01),
        (Law::Program, "r1.droop_as_the_program_has_it", 6.0),
    ] {
        let r1 = R1::new(QUIET_VENT, law);
        let points = flows.map(|(flow, expected)| {
            let got = if flow > 0.0 {
                r1.outlet_at(flow)
            } else {
                r1.lock_up()
            };
            (format!("{flow} kg/s"), expected, got)
        });
        let what = "outlet against flow, lock-up to 2 g/s";
        assert_worst(&check(id, what, "Pa", Tolerance::Absolute(within)), points);
    }
}

#[test]
fn inlet_pressure_effect() {
    let points = [(5.0, 2698.525), (10.0, 2740.000), (15.0, 2774.049)].map(|(psig, expected)| {
        let mut r1 = R1::new(QUIET_VENT, Law::Case);
        // The case's 10 psig is 170 273 Pa; 5 and 15 by the exact pound.
        r1.around.upstream.pressure_pa = AMBIENT_PA + psig * 6_894.757_293;
        (format!("{psig} psig"), expected, r1.outlet_at(5e-4))
    });
    let what = "outlet at 0.5 g/s against upstream pressure";
    assert_worst(
        &check("r1.inlet_effect", what, "Pa", Tolerance::Absolute(0.02)),
        points,
    );
}

#[test]
fn eigenvalues() {
    let modes = R1::new(1e-6, Law::Case).oscillating();
    assert_eq!(modes.len(), 2, "{modes:?}");
    let fast = R1::new(1e-4, Law::Case).oscillating();
    let worst = fast.last().expect("a mode");
    let pairs = [
        ("vent 1e-6, slow, real", -54.648_623, modes[0].0),
        ("vent 1e-6, slow, imaginary", 75.906_629, modes[0].1),
        ("vent 1e-6, fast, real", -89.844_264, modes[1].0),
        ("vent 1e-6, fast, imaginary", 492.322_434, modes[1].1),
        ("vent 1e-4, real", 39.159_260, worst.0),
        ("vent 1e-4, imaginary", 280.718_255, worst.1),
    ]
    .map(|(at, expected, got)| (at.to_owned(), expected, got));
    let what = "eigenvalues at 0.5 g/s";
    assert_worst(
        &check("r1.eigenvalues", what, "1/s", Tolerance::Absolute(0.02)),
        pairs.clone(),
    );
    let modes = R1::new(1e-6, Law::Program).oscillating();
    let fast = R1::new(1e-4, Law::Program).oscillating();
    let worst = fast.last().expect("a mode");
    let got = [
        modes[0].0, modes[0].1, modes[1].0, modes[1].1, worst.0, worst.1,
    ];
    let points = pairs
        .into_iter()
        .zip(got)
        .map(|((at, expected, _), got)| (at, expected, got));
    assert_worst(
        &check(
            "r1.eigenvalues_as_the_program_has_it",
            what,
            "1/s",
            Tolerance::Relative(0.02),
        ),
        points,
    );
}

#[test]
fn the_stable_window_of_the_vent() {
    // By bisection on the conductance, in logarithms.
    let edge = |quiet: f64, hunting: f64| {
        let (mut quiet, mut hunting) = (f64::ln(quiet), f64::ln(hunting));
        for _ in 0..50 {
            let middle = 0.5 * (quiet + hunting);
            if R1::growth(middle.exp()).0 < 0.0 {
                quiet = middle;
            } else {
                hunting = middle;
            }
        }
        let vent = (0.5 * (quiet + hunting)).exp();
        (vent, R1::growth(vent).1)
    };
    let (small, small_hz) = edge(1e-6, 1e-8);
    let (large, large_hz) = edge(1e-6, 1e-4);
    let what = "vent conductance at the edges of the stable window";
    assert_worst(
        &check("r1.window", what, "kg/s/Pa", Tolerance::Relative(5e-4)),
        [
            ("the small edge".to_owned(), 9.5064e-8, small),
            ("the large edge".to_owned(), 7.9265e-6, large),
        ],
    );
    let what = "hunting frequency at the edges of the stable window";
    assert_worst(
        &check("r1.window_frequency", what, "Hz", Tolerance::Absolute(0.02)),
        [
            ("the small edge".to_owned(), 83.43, small_hz),
            ("the large edge".to_owned(), 43.92, large_hz),
        ],
    );
    // The time run must agree: a small push dies away inside the window and grows outside.
    for (vent, grows) in [
        (0.5 * small, true),
        (2.0 * small, false),
        (0.5 * large, false),
        (2.0 * large, true),
    ] {
        let r1 = R1::new(vent, Law::Case);
        let mut y = R1::vector(&r1.rest(r1.outlet_loaded()));
        let rest = y[0];
        y[0] += 1e-7;
        let mut engine = Engine::new(Method::Explicit, Step::default());
        let samples: Vec<f64> = (1..=1000).map(|k| f64::from(k) * 1e-3).collect();
        let (mut early, mut late) = (0.0_f64, 0.0_f64);
        engine
            .advance(&r1, 0.0, 1.0, &mut y, &samples, &mut |t, y| {
                let swing = (y[0] - rest).abs();
                if t < 0.1 {
                    early = early.max(swing);
                } else if t > 0.9 {
                    late = late.max(swing);
                }
            })
            .expect("the run ends");
        assert_eq!(
            late > early,
            grows,
            "vent {vent:e}: {early:e} then {late:e}"
        );
    }
}

#[test]
fn load_step() {
    for (method, name) in [(Method::Explicit, "explicit"), (Method::Stiff, "stiff")] {
        let mut r1 = R1::new(QUIET_VENT, Law::Case);
        let mut y = R1::vector(&r1.rest(r1.outlet_loaded()));
        r1.load_m2 *= 1.5;
        let end = r1.outlet_loaded();
        let mut engine = Engine::new(method, Step::default());
        let samples: Vec<f64> = (0..=5000).map(|k| f64::from(k) * 1e-4).collect();
        let mut run = Vec::new();
        engine
            .advance(&r1, 0.0, 0.5, &mut y, &samples, &mut |t, y| {
                run.push((t, r1.outlet_pa(&R1::state(y))));
            })
            .expect("the run ends");
        let start = 2740.0;
        let lowest = run
            .iter()
            .copied()
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .expect("samples");
        let outside = |p: f64| (p - end).abs() > 0.02 * (start - end).abs();
        let settled = run
            .iter()
            .rev()
            .find(|(_, p)| outside(*p))
            .expect("a swing")
            .0;
        let last = run.last().expect("samples").1;
        let id = |what: &str| format!("r1.step.{what}.{name}");
        for (key, what, unit, within, expected, got) in [
            ("minimum", "lowest outlet", "Pa", 0.1, 2671.475, lowest.1),
            (
                "minimum_at",
                "time of the lowest outlet",
                "ms",
                0.15,
                15.4,
                1e3 * lowest.0,
            ),
            (
                "end",
                "outlet half a second later",
                "Pa",
                0.02,
                2722.961,
                last,
            ),
            ("settling", "2 % settling time", "s", 0.002, 0.107, settled),
        ] {
            let what = format!("load orifice x 1.5, {name} engine: {what}");
            Check {
                expected,
                got,
                ..check(&id(key), &what, unit, Tolerance::Absolute(within))
            }
            .assert();
        }
    }
}

#[test]
fn hysteresis_of_a_slow_load_up_and_down() {
    // Derived: friction F on either side of the balance of forces gives a band 2 F/(A + A_s/L).
    let mut r1 = R1::new(QUIET_VENT, Law::Case);
    r1.stage.friction_n = 0.1;
    r1.stage.static_ratio = 1.0;
    r1.stage.bristle_n_per_m = 1e5;
    let (low, high, over_s) = (3e-4, 9e-4, 60.0);
    let slope = (high - low) / over_s;
    let mut y = R1::vector(&r1.rest(r1.outlet_at(low)));
    let mut engine = Engine::new(Method::Stiff, Step::default());
    let mut half = |r1: &R1, y: &mut [f64]| {
        let mut middle = f64::NAN;
        engine.restart();
        engine
            .advance(r1, 0.0, over_s, y, &[0.5 * over_s], &mut |_, y| {
                middle = r1.outlet_pa(&R1::state(y));
            })
            .expect("the run ends");
        middle
    };
    r1.drawn = Some((low, slope));
    let rising = half(&r1, &mut y);
    r1.drawn = Some((high, -slope));
    let falling = half(&r1, &mut y);
    let seat_m2 = r1.stage.bore_m2() / r1.stage.lever_ratio;
    Check {
        source: "balance of forces: 2 F/(A + A_s/L)",
        expected: 2.0 * r1.stage.friction_n / (r1.stage.area_m2 + seat_m2),
        got: falling - rising,
        ..check(
            "statics.hysteresis",
            "outlet at 0.6 g/s, load falling less load rising, friction 0.1 N",
            "Pa",
            Tolerance::Relative(0.02),
        )
    }
    .assert();
}
