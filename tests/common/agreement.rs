//! Both engines on a shipped scenario, side by side: an explicit method of its own package against the stiff one.
//!
//! What must agree: the pressures of the summary; and, where a thermostat's deed falls milliseconds apart after
//! many cycles, the value that the other engine passes within [`LATE_S`]. No mark may be missing. How far apart
//! the outlet and the pressure in the piping are at the same instant is told besides.
//! Not here: which scenarios, and for how long (`engines`, and the bench `agreement`).

#[path = "shipped.rs"]
pub mod shipped;

use std::cell::RefCell;
use std::collections::VecDeque;
use std::sync::Arc;

use twostage::report::Watcher;
use twostage::rig::Readings;
use twostage::scenario::Scenario;
use twostage::sim::{Simulation, usual_tolerance};
use twostage::solver::Method;
use twostage::units::pa_to_inwc;

/// Most that two ways to the same reading may differ \[in w.c.\].
pub const AGREE_INWC: f64 = 0.01;
/// Most that the same pressure may come apart in time \[s\], after hours of thermostats.
const LATE_S: f64 = 0.5;
/// Seconds advanced at a time: the explicit engine has a cap on the steps of one advance.
const CHUNK_S: f64 = 10.0;
/// Seconds between the explicit engine's readings.
const FINE_S: f64 = 0.005;

/// The engines' simulations of a scenario, both at the same state.
pub struct Pair {
    name: String,
    pub stiff: Simulation,
    pub explicit: Simulation,
}

impl Pair {
    pub fn start(name: &str, scenario: &Scenario) -> Self {
        let begin = |scenario: Scenario, method| {
            Simulation::start(Arc::new(scenario), method, usual_tolerance(method))
                .unwrap_or_else(|e| panic!("{name}: {e}"))
        };
        let stiff = begin(scenario.clone(), Method::Stiff);
        // Without time to come to rest: it is brought to the other's start.
        let mut cold = scenario.clone();
        cold.run.settle_s = 0.0;
        let mut explicit = begin(cold, Method::Explicit);
        explicit.go_back_to(stiff.moment());
        Self {
            name: name.to_owned(),
            stiff,
            explicit,
        }
    }

    /// Compares from where both stand to `end_s`, at every `sample_s` of the stiff engine.
    pub fn compare(&mut self, end_s: f64, sample_s: f64) -> Apart {
        let mut apart = Apart::default();
        let from_s = self.stiff.moment().t_s;
        let rig = self.stiff.rig().clone();
        let starts = [self.stiff.readings(), self.explicit.readings()];
        let (rows, fine) = (RefCell::new(Vec::new()), RefCell::new(VecDeque::new()));
        fine.borrow_mut().push_back(Pressures::of(&starts[1]));
        let mut row = |r: &Readings| rows.borrow_mut().push(Pressures::of(r));
        let mut fine_row = |r: &Readings| fine.borrow_mut().push_back(Pressures::of(r));
        let [mut still, mut still_too] = [|_: f64| {}, |_: f64| {}];
        let mut watchers = (
            Watcher::new(&rig, &starts[0], &mut row, &mut still),
            Watcher::new(&rig, &starts[1], &mut fine_row, &mut still_too),
        );
        let mut to_s = from_s;
        while to_s < end_s {
            to_s = (to_s + CHUNK_S).min(end_s);
            advance(&mut self.stiff, to_s, sample_s, &mut watchers.0);
            let ahead_s = (to_s + LATE_S).min(end_s);
            advance(&mut self.explicit, ahead_s, FINE_S, &mut watchers.1);
            let mut fine = fine.borrow_mut();
            for row in rows.borrow_mut().drain(..) {
                let is_past = |f: &Pressures| f.t_s < row.t_s - LATE_S - FINE_S;
                while fine.front().is_some_and(is_past) {
                    fine.pop_front();
                }
                apart.take(&row, &fine);
            }
            if to_s % 3600.0 == 0.0 {
                self.tell(&apart, to_s);
            }
        }
        let [a, b] = [
            watchers.0.finish(&self.stiff.readings()),
            watchers.1.finish(&self.explicit.readings()),
        ]
        .map(|summary| shipped::summary_inwc(&summary));
        assert_eq!(a.len(), b.len(), "{}", self.name);
        for ((what, a), (same, b)) in a.iter().zip(&b) {
            assert_eq!(what, same);
            if (a - b).abs() > apart.summary.0 {
                apart.summary = ((a - b).abs(), what);
            }
        }
        self.compare_marks(from_s, &mut apart);
        self.tell(&apart, end_s);
        apart
    }

    fn tell(&self, apart: &Apart, to_s: f64) {
        println!(
            "{:16} {:6} readings to {to_s} s: summary {:.4} in w.c. apart ({}); at the same instant {:.4} at {} s, \
             {} over {AGREE_INWC}; within {LATE_S} s {:.4} at {} s; marks {:.4} s apart at {:.1} s",
            self.name,
            apart.count,
            apart.summary.0,
            apart.summary.1,
            apart.at_once.worst,
            apart.at_once.at_s,
            apart.over,
            apart.in_passing.worst,
            apart.in_passing.at_s,
            apart.shift.worst,
            apart.shift.at_s,
        );
    }

    /// Every mark must have its twin; how late is noted.
    fn compare_marks(&self, from_s: f64, apart: &mut Apart) {
        let [a, b] = [&self.stiff, &self.explicit].map(|sim| {
            let marks = sim.marks().iter().filter(|m| m.time_s > from_s);
            marks.collect::<Vec<_>>()
        });
        assert_eq!(a.len(), b.len(), "{}: as many marks", self.name);
        for mark in &a {
            // Two deeds within milliseconds may change places.
            let twin = b
                .iter()
                .filter(|other| other.text == mark.text)
                .map(|other| (other.time_s - mark.time_s).abs())
                .fold(f64::INFINITY, f64::min);
            apart.shift.take(twin, mark.time_s);
        }
    }
}

fn advance(sim: &mut Simulation, to_s: f64, sample_s: f64, watcher: &mut Watcher<'_>) {
    sim.advance_watched(to_s, Some(sample_s), watcher)
        .unwrap_or_else(|e| panic!("at {to_s} s: {e}"));
}

/// What is compared of a reading \[in w.c.\].
#[derive(Clone, Copy)]
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
    /// A reading against the range the other engine passes within [`LATE_S`] \[in w.c.\].
    in_passing: Worst,
    /// The same mark \[s\].
    shift: Worst,
    /// Pressures of the summary \[in w.c.\].
    summary: (f64, &'static str),
}

impl Apart {
    fn take(&mut self, row: &Pressures, fine: &VecDeque<Pressures>) {
        let near = fine
            .iter()
            .min_by(|a, b| (a.t_s - row.t_s).abs().total_cmp(&(b.t_s - row.t_s).abs()))
            .expect("readings of the other engine");
        assert!(
            (near.t_s - row.t_s).abs() < 1e-6,
            "{} s and {} s",
            near.t_s,
            row.t_s
        );
        self.count += 1;
        let mut at_once = 0.0_f64;
        let mut in_passing = 0.0_f64;
        for (k, here) in row.inwc.iter().enumerate() {
            at_once = at_once.max((near.inwc[k] - here).abs());
            let (low, high) = fine
                .iter()
                .filter(|f| (f.t_s - row.t_s).abs() <= LATE_S)
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), f| {
                    (low.min(f.inwc[k]), high.max(f.inwc[k]))
                });
            in_passing = in_passing.max(low - here).max(here - high);
        }
        self.at_once.take(at_once, row.t_s);
        self.over += usize::from(at_once > AGREE_INWC);
        self.in_passing.take(in_passing, row.t_s);
    }

    /// Which limit is not kept, but for that of the same instant.
    pub fn beyond(&self) -> Option<String> {
        let (summary, what) = self.summary;
        let passing = self.in_passing.worst;
        let said = [(summary, what), (passing, "the pressure passed")];
        said.into_iter()
            .find(|(apart, _)| *apart > AGREE_INWC)
            .map(|(apart, what)| format!("{what}: {apart} in w.c. apart"))
    }
}

/// Compares a shipped scenario from its start to its end.
pub fn whole(name: &str) -> Apart {
    let scenario = shipped::scenario(name);
    let run = scenario.run;
    Pair::start(name, &scenario).compare(run.duration_s, run.sample_s.min(1.0))
}
