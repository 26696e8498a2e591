//! Both engines on a shipped scenario, side by side: an explicit method of its own package against the stiff one. Or, in
//! seconds instead of an hour, the stiff one against itself at three thousandths of its tolerance.
//!
//! What must agree: the pressures of the summary, and outlet and pressure in the piping at the same instant, each
//! second or finer. No mark may be missing; how far apart in time they fall is told besides.
//! Not here: which scenarios, and for how long (`engines`, and the bench `agreement`).

#[path = "shipped.rs"]
pub mod shipped;

use std::sync::Arc;

use twostage::report::Watcher;
use twostage::rig::Readings;
use twostage::scenario::Scenario;
use twostage::sim::{Simulation, usual_tolerance};
use twostage::solver::{Method, Tolerance};
use twostage::units::pa_to_inwc;

/// Most that two ways to the same reading may differ \[in w.c.\].
pub const AGREE_INWC: f64 = 0.01;

/// What the stiff engine is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Peer {
    /// The explicit engine.
    Explicit,
    /// Itself at a small share of its tolerance: no independent witness, but quick.
    Tight,
}

impl Peer {
    fn engine(self) -> (Method, Tolerance) {
        const SHARE: f64 = 0.003;
        let usual = usual_tolerance(Method::Stiff);
        match self {
            Self::Explicit => (Method::Explicit, usual_tolerance(Method::Explicit)),
            Self::Tight => (
                Method::Stiff,
                Tolerance {
                    relative: SHARE * usual.relative,
                    absolute: SHARE * usual.absolute,
                },
            ),
        }
    }
}

/// Two simulations of a scenario, both at the same state.
pub struct Pair {
    name: String,
    pub stiff: Simulation,
    pub peer: Simulation,
}

impl Pair {
    pub fn start(name: &str, scenario: &Scenario, peer: Peer) -> Self {
        let begin = |scenario: Scenario, (method, tolerance)| {
            Simulation::start(Arc::new(scenario), method, tolerance)
                .unwrap_or_else(|e| panic!("{name}: {e}"))
        };
        let usual = (Method::Stiff, usual_tolerance(Method::Stiff));
        let stiff = begin(scenario.clone(), usual);
        // Without time to come to rest: it is brought to the other's start.
        let mut cold = scenario.clone();
        cold.run.settle_s = 0.0;
        let mut peer = begin(cold, peer.engine());
        peer.go_back_to(stiff.moment());
        Self {
            name: name.to_owned(),
            stiff,
            peer,
        }
    }

    /// Compares from where both stand to `end_s`, every `sample_s`.
    pub fn compare(&mut self, end_s: f64, sample_s: f64) -> Apart {
        let from_s = self.stiff.moment().t_s;
        let (rows, summary) = readings(&mut self.stiff, end_s, sample_s);
        let (others, other) = readings(&mut self.peer, end_s, sample_s);
        let mut apart = Apart::default();
        assert_eq!(rows.len(), others.len(), "{}", self.name);
        for (a, b) in rows.iter().zip(&others) {
            assert!((a.t_s - b.t_s).abs() < 1e-6, "{} s, {} s", a.t_s, b.t_s);
            let pairs = a.inwc.iter().zip(&b.inwc);
            let worst = pairs.fold(0.0_f64, |worst, (a, b)| worst.max((a - b).abs()));
            apart.count += 1;
            apart.over += usize::from(worst > AGREE_INWC);
            apart.at_once.take(worst, a.t_s);
        }
        assert_eq!(summary.len(), other.len(), "{}", self.name);
        for ((what, a), (same, b)) in summary.iter().zip(&other) {
            assert_eq!(what, same);
            if (a - b).abs() > apart.summary.0 {
                apart.summary = ((a - b).abs(), what);
            }
        }
        self.compare_marks(from_s, &mut apart);
        apart
    }

    /// Every mark must have its twin; how late is noted.
    fn compare_marks(&self, from_s: f64, apart: &mut Apart) {
        let [a, b] = [&self.stiff, &self.peer].map(|sim| {
            let marks = sim.marks().iter().filter(|m| m.time_s > from_s);
            marks.collect::<Vec<_>>()
        });
        assert_eq!(a.len(), b.len(), "{}: as many marks", self.name);
        for mark in &a {
            // Two deeds within milliseconds may change places.
            let twin = b
                .iter()
                .filter(|other| other.what == mark.what)
                .map(|other| (other.time_s - mark.time_s).abs())
                .fold(f64::INFINITY, f64::min);
            apart.shift.take(twin, mark.time_s);
        }
    }
}

/// Advances to `end_s` and gives the readings every `sample_s` and the pressures of the summary.
fn readings(
    sim: &mut Simulation,
    end_s: f64,
    sample_s: f64,
) -> (Vec<Pressures>, Vec<(&'static str, f64)>) {
    let rig = sim.rig().clone();
    let mut rows = Vec::new();
    let mut row = |r: &Readings| rows.push(Pressures::of(r));
    let mut still = |_: f64| {};
    let mut watcher = Watcher::new(&rig, &sim.readings(), &mut row, &mut still);
    sim.advance_watched(end_s, Some(sample_s), &mut watcher)
        .unwrap_or_else(|e| panic!("to {end_s} s: {e}"));
    let summary = watcher.finish(&sim.readings());
    (rows, shipped::summary_inwc(&summary))
}

/// What is compared of a reading \[in w.c.\].
struct Pressures {
    t_s: f64,
    inwc: [f64; 2],
}

impl Pressures {
    fn of(r: &Readings) -> Self {
        Self {
            t_s: r.time_s,
            inwc: [r.outlet_pa, r.manifold_pa].map(pa_to_inwc),
        }
    }
}

/// The largest of many numbers and when it was.
#[derive(Default)]
pub struct Worst {
    pub worst: f64,
    at_s: f64,
}

impl Worst {
    fn take(&mut self, value: f64, at_s: f64) {
        if value > self.worst {
            (self.worst, self.at_s) = (value, at_s);
        }
    }
}

/// How far the engines are apart.
#[derive(Default)]
pub struct Apart {
    count: usize,
    /// Readings of the same instant \[in w.c.\], and how many are over the limit.
    pub at_once: Worst,
    over: usize,
    /// The same mark \[s\].
    shift: Worst,
    /// Pressures of the summary \[in w.c.\].
    summary: (f64, &'static str),
}

impl Apart {
    /// Which limit is not kept.
    pub fn beyond(&self) -> Option<String> {
        let (summary, what) = self.summary;
        let at_once = (self.at_once.worst, "the same instant");
        [(summary, what), at_once]
            .into_iter()
            .find(|(apart, _)| *apart > AGREE_INWC)
            .map(|(apart, what)| format!("{what}: {apart} in w.c. apart"))
    }
}

impl std::fmt::Display for Apart {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:6} readings: at the same instant {:.4} in w.c. apart at {} s, {} over {AGREE_INWC}; summary {:.4} ({}); \
             marks {:.4} s apart at {:.1} s",
            self.count,
            self.at_once.worst,
            self.at_once.at_s,
            self.over,
            self.summary.0,
            self.summary.1,
            self.shift.worst,
            self.shift.at_s,
        )
    }
}

/// Compares a shipped scenario from its start to its end.
pub fn whole(name: &str, peer: Peer) -> Apart {
    let scenario = shipped::scenario(name);
    let run = scenario.run;
    let apart = Pair::start(name, &scenario, peer).compare(run.duration_s, run.sample_s.min(1.0));
    println!("{name:16} {apart}");
    apart
}
