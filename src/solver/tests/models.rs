//! Model systems that carry their own solution or published reference values.

use crate::solver::{Direction, System};

/// A right-hand side: time, state, rates.
pub type Rhs = Box<dyn Fn(f64, &[f64], &mut [f64])>;
/// Watched quantities: time, state, values.
pub type Watch = Box<dyn Fn(f64, &[f64], &mut [f64])>;

/// A system put together from closures.
pub struct Model {
    pub name: &'static str,
    pub start: Vec<f64>,
    pub scales: Vec<f64>,
    pub rhs: Rhs,
    pub directions: Vec<Direction>,
    pub watch: Watch,
}

impl Model {
    pub fn new(name: &'static str, start: &[f64], scales: &[f64], rhs: Rhs) -> Self {
        Self {
            name,
            start: start.to_vec(),
            scales: scales.to_vec(),
            rhs,
            directions: Vec::new(),
            watch: Box::new(|_, _, _| {}),
        }
    }

    pub fn watching(mut self, directions: &[Direction], watch: Watch) -> Self {
        self.directions = directions.to_vec();
        self.watch = watch;
        self
    }
}

impl System for Model {
    fn dim(&self) -> usize {
        self.start.len()
    }
    fn derivatives(&self, t: f64, y: &[f64], dy: &mut [f64]) {
        (self.rhs)(t, y, dy);
    }
    fn scales(&self) -> &[f64] {
        &self.scales
    }
    fn watch_count(&self) -> usize {
        self.directions.len()
    }
    fn watches(&self, t: f64, y: &[f64], out: &mut [f64]) {
        (self.watch)(t, y, out);
    }
    fn watch_direction(&self, i: usize) -> Direction {
        self.directions[i]
    }
    fn state_name(&self, i: usize) -> String {
        format!("{} state {i}", self.name)
    }
}

/// A model with points of its solution and what may be asked of each engine.
pub struct Known {
    pub model: Model,
    /// Times (s) and states there.
    pub points: Vec<(f64, Vec<f64>)>,
    /// Whether the explicit method can run it in reasonable time.
    pub explicit: bool,
}

/// Points of an exact solution.
fn points(times: &[f64], exact: impl Fn(f64) -> Vec<f64>) -> Vec<(f64, Vec<f64>)> {
    times.iter().map(|t| (*t, exact(*t))).collect()
}

/// y' = -2 y. Solution exp(-2 t) (derived).
pub fn decay() -> Known {
    Known {
        model: Model::new(
            "decay",
            &[1.0],
            &[1.0],
            Box::new(|_, y, dy| dy[0] = -2.0 * y[0]),
        ),
        points: points(&[0.3, 1.0, 2.5], |t| vec![(-2.0 * t).exp()]),
        explicit: true,
    }
}

/// y'' = -2500 y from y = 1. Solution cos 50 t (derived).
pub fn oscillator() -> Known {
    Known {
        model: Model::new(
            "oscillator",
            &[1.0, 0.0],
            &[1.0, 50.0],
            Box::new(|_, y, dy| {
                dy[0] = y[1];
                dy[1] = -2500.0 * y[0];
            }),
        ),
        points: points(&[0.0123, 0.1, 0.25], |t| {
            vec![(50.0 * t).cos(), -50.0 * (50.0 * t).sin()]
        }),
        explicit: true,
    }
}

/// A fast and a slow mode, rates 1e5 and 1 per s, mixed; driven states a + b and a - b with
/// a = exp(-t), b = exp(-1e5 t) (derived).
pub fn stiff_pair() -> Known {
    let (fast, slow) = (1e5, 1.0);
    Known {
        model: Model::new(
            "stiff pair",
            &[2.0, 0.0],
            &[1.0, 1.0],
            Box::new(move |_, y, dy| {
                let (a, b) = (0.5 * (y[0] + y[1]), 0.5 * (y[0] - y[1]));
                dy[0] = -slow * a - fast * b;
                dy[1] = -slow * a + fast * b;
            }),
        ),
        points: points(&[1e-5, 1e-3, 0.1], |t| {
            let (a, b) = ((-slow * t).exp(), (-fast * t).exp());
            vec![a + b, a - b]
        }),
        explicit: true,
    }
}

/// y' = r(t), a ramp with a kink at 0.1 s that is not announced: r = 0 before, 10 (t - 0.1)
/// after. Solution 5 (t - 0.1)^2 (derived).
pub fn ramp_kink() -> Known {
    Known {
        model: Model::new(
            "ramp kink",
            &[0.0, 1.0],
            &[1.0, 1.0],
            Box::new(|t, y, dy| {
                dy[0] = 10.0 * (t - 0.1_f64).max(0.0);
                dy[1] = -y[1];
            }),
        ),
        points: points(&[0.05, 0.1, 0.2, 0.5], |t| {
            vec![5.0 * (t - 0.1_f64).max(0.0).powi(2), (-t).exp()]
        }),
        explicit: true,
    }
}

/// Robertson's chemical kinetics. Reference at 40 s and 4e5 s: the example of the CVODE user
/// documentation (`cvRoberts_dns`), which prints these values (published, 4-5 digits).
pub fn robertson() -> Known {
    Known {
        model: Model::new(
            "Robertson",
            &[1.0, 0.0, 0.0],
            &[1.0, 1e-4, 1.0],
            Box::new(|_, y, dy| {
                let first = 0.04 * y[0];
                let second = 1e4 * y[1] * y[2];
                let third = 3e7 * y[1] * y[1];
                dy[0] = -first + second;
                dy[1] = first - second - third;
                dy[2] = third;
            }),
        ),
        points: vec![
            (0.4, vec![9.8517e-1, 3.3864e-5, 1.4794e-2]),
            (40.0, vec![7.1582e-1, 9.1851e-6, 2.8417e-1]),
            (4e5, vec![4.9382e-3, 1.9850e-8, 9.9506e-1]),
        ],
        explicit: false,
    }
}

/// Van der Pol's equation with mu = 1000 from (2, 0). Reference at t = 2000: the Test Set for IVP
/// Solvers, problem VDPOL, gives 1.706167732170469 and -8.928097010248125e-4 at that time in the
/// form y'' = mu (1 - y^2) y' - y (published).
pub fn van_der_pol() -> Known {
    Known {
        model: Model::new(
            "van der Pol",
            &[2.0, 0.0],
            &[1.0, 1.0],
            Box::new(|_, y, dy| {
                dy[0] = y[1];
                dy[1] = 1000.0 * (1.0 - y[0] * y[0]) * y[1] - y[0];
            }),
        ),
        points: vec![(
            2000.0,
            vec![1.706_167_732_170_469, -8.928_097_010_248_125e-4],
        )],
        explicit: false,
    }
}

/// All of them.
pub fn all() -> Vec<Known> {
    vec![
        decay(),
        oscillator(),
        stiff_pair(),
        ramp_kink(),
        robertson(),
        van_der_pol(),
    ]
}

/// Twenty-five states with the shape of a rig: five spring-mass pairs (the stiffest 1.6 kHz), a
/// chain of small gas volumes with time constants from 1e-5 s up, slow thermal states with time
/// constants up to hours. Amount of gas moves from volume to volume without loss.
pub struct Chain {
    scales: Vec<f64>,
    /// Opening of the last restriction, what an event changes.
    pub demand: f64,
}

/// Index of the first volume of [`Chain`].
pub const FIRST_VOLUME: usize = 10;
/// Number of volumes of [`Chain`].
pub const VOLUMES: usize = 10;

impl Chain {
    pub fn new(demand: f64) -> Self {
        let mut scales = vec![1e-3; 5];
        scales.extend([0.1; 5]);
        scales.extend([1.0; VOLUMES]);
        scales.extend([10.0; 5]);
        Self { scales, demand }
    }

    pub fn start() -> Vec<f64> {
        let mut y = vec![0.0; 25];
        for (i, volume) in y[FIRST_VOLUME..FIRST_VOLUME + VOLUMES]
            .iter_mut()
            .enumerate()
        {
            *volume = 8.0 - 0.5 * i as f64;
        }
        y[20..25].fill(290.0);
        y
    }
}

impl System for Chain {
    fn dim(&self) -> usize {
        25
    }
    fn derivatives(&self, _t: f64, y: &[f64], dy: &mut [f64]) {
        for i in 0..5 {
            let (x, v) = (y[i], y[5 + i]);
            let stiffness = [1e4, 1e5, 1e6, 1e7, 1e8][i];
            let push = (y[FIRST_VOLUME + 2 * i] - 5.0) * stiffness * 1e-4;
            dy[i] = v;
            dy[5 + i] = push - stiffness * x - 1.2 * stiffness.sqrt() * v;
        }
        for i in 0..VOLUMES {
            dy[FIRST_VOLUME + i] = 0.0;
        }
        // Flow between neighbours, square-root law with a laminar part near zero.
        for i in 0..VOLUMES - 1 {
            let drop = y[FIRST_VOLUME + i] - y[FIRST_VOLUME + i + 1];
            let open = 1.0 + 0.2 * (y[i % 5] * 1e3).tanh();
            let conductance = [1e4, 2.0, 3e3, 0.5, 1e2, 20.0, 5e3, 1.0, 30.0][i];
            let flow = open * conductance * drop / (1.0 + drop.abs()).sqrt();
            dy[FIRST_VOLUME + i] -= flow;
            dy[FIRST_VOLUME + i + 1] += flow;
        }
        // The last volume burns gas, the first is fed from a large store.
        let last = FIRST_VOLUME + VOLUMES - 1;
        dy[last] -= self.demand * y[last].max(0.0).sqrt();
        dy[FIRST_VOLUME] += 2.0 * (8.0 - y[FIRST_VOLUME]);
        for i in 0..5 {
            let slow = [20.0, 80.0, 320.0, 1280.0, 5120.0][i];
            let load = self.demand * 5.0 / (1.0 + i as f64);
            dy[20 + i] = (290.0 - load - y[20 + i]) / slow;
        }
    }
    fn scales(&self) -> &[f64] {
        &self.scales
    }
    fn state_name(&self, i: usize) -> String {
        format!("chain state {i}")
    }
}
