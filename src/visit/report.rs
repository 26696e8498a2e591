//! What a test gives back: plain data, serialised as it stands (`twostage service --json`). Words and units are made
//! where it is shown.

use super::figure::{Figure, Measure, Step, TracePoint};
use super::hindrance::Hindrance;
use super::item::{Id, Observation, Scale};
use super::test::Test;
use super::verdict::{Against, Judged, Verdict};
use crate::rig::MAX_APPLIANCES;
use crate::service::{LIMITS, Limit};
use crate::units::PA_PER_INWC;
use serde::Serialize;

/// Where the second seat stood in a leak check: it proves the way up to the container valve only while every seat is open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Seats {
    /// Nobody has read a lock-up.
    Untold,
    /// Open: the regulator locks up well over where it began.
    Open,
    /// Shut, or as good as: the low side alone was held. With the lock-up \[Pa\].
    Shut {
        /// Lock-up \[Pa\].
        lock_up_pa: f64,
    },
}

/// A seat stands open where lock-up is so far over the start of a leak check (own: half of what bleeding by hand leaves open).
const OPENS_PA: f64 = 0.5 * PA_PER_INWC;

/// What thin air takes from a burner that is made for sea level, as shares.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ThinAir {
    /// Fuel that its orifice passes less (derived: the mass goes as the root of the gas's density).
    pub less_fuel: f64,
    /// Air that it has less, by volume drawn in (derived: as the ambient pressure).
    pub less_air: f64,
}

/// The result of one test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestResult {
    /// Which test.
    pub test: Test,
    /// The outcome.
    pub verdict: Verdict,
    /// What was found out; nothing where no gas flowed that was to flow, or a check began over its start.
    pub observations: Vec<Observation>,
    /// What was read and worked out.
    pub figures: Vec<Figure>,
    /// What the readings were held against.
    pub judged: Vec<Judged>,
    /// Appliances that would not burn.
    pub unlit: Vec<usize>,
    /// The air that burners burned in, where it is thin.
    pub thin_air: Option<ThinAir>,
    /// Whether the pressure had not come to rest when it was read.
    pub still_moving: bool,
    /// Whether the test could not begin as it must.
    pub spoiled: bool,
    /// What stopped it in its middle.
    pub halted: Option<Hindrance>,
    /// Appliances that were kept off in it, since one before had found them to take far too much.
    pub left_off: Vec<usize>,
    /// How far a leak check reached.
    pub seats: Seats,
    /// What was done, step by step.
    pub steps: Vec<Step>,
    /// The record of the test.
    pub trace: Vec<TracePoint>,
}

impl TestResult {
    /// The value of a figure.
    pub fn figure(&self, measure: Measure) -> Option<f64> {
        self.figures
            .iter()
            .find(|f| f.measure == measure)
            .map(|f| f.value)
    }

    /// The value of an item that was read.
    pub fn read(&self, item: Id) -> Option<f64> {
        self.figure(Measure::Read(item))
    }

    /// Whether an item is worth telling of it: that no one appliance differs says nothing where several are out, which are told
    /// by their names.
    pub fn tells(&self, item: Id, value: f64) -> bool {
        item != Id::OddOne || value > 0.0 || self.unlit.is_empty()
    }

    /// Appliances that have to stay off after it, and why.
    fn stay_off(&self) -> impl Iterator<Item = (usize, OffFor)> {
        let over = |j: &Judged| match j.against {
            Against::Plate(i) if j.verdict == Verdict::Fail => Some((
                i,
                if j.value > 0.0 {
                    OffFor::Overfired { over: j.value }
                } else {
                    OffFor::Starved { under: -j.value }
                },
            )),
            _ => None,
        };
        let unlit = self.unlit.iter().map(|i| (*i, OffFor::WouldNotBurn));
        unlit.chain(self.judged.iter().filter_map(over))
    }

    /// Whether everything is shut off after it: it was stopped, or failed in more than an appliance and by more than a pressure that is too
    /// low for a good flame.
    pub fn leaves_shut(&self) -> bool {
        self.halted.is_some() || self.judged.iter().any(|j| j.leaves_shut(self.test))
    }

    /// Whether a look at the valves felt one hardly open.
    fn valve_is_hardly_open(&self) -> bool {
        self.read(Id::Valve).is_some_and(|word| word >= 1.0)
    }

    /// Whether the container that serves holds next to nothing.
    fn is_nearly_empty(&self) -> bool {
        let fill = self.read(Id::Fill);
        fill.is_some_and(|fill| LIMITS.fill_least.is_missed_by(fill))
    }

    /// Whether a look along the hoses met one that is kinked.
    fn has_a_kinked_hose(&self) -> bool {
        self.read(Id::Hose).is_some_and(|word| word >= 1.0)
    }

    /// Whether nothing but this did not pass.
    fn stands_out_only_by(&self, what: impl Fn(&Judged) -> bool) -> bool {
        let mut judged = self.judged.iter().filter(|j| j.verdict > Verdict::Pass);
        judged.all(what)
    }

    /// Whether it is a leak check that lost gas.
    pub(super) fn lost_gas(&self) -> bool {
        let loses = |change_pa: f64| LIMITS.leak.is_missed_by(change_pa);
        self.test == Test::LeakCheck && self.read(Id::LeakChange).is_some_and(loses)
    }

    /// What it read that ends a visit or leaves nothing to be lit; none where it goes on.
    pub(super) fn stops(&self) -> Option<Hindrance> {
        let over = |limit: &Limit, of: &dyn Fn(Measure) -> bool| {
            let mut figures = self.figures.iter();
            figures.any(|f| of(f.measure) && limit.is_passed_by(f.value))
        };
        let kind = |m: Measure| match m {
            Measure::Read(id) => Some(id.item().kind),
            Measure::FirstPeak | Measure::FirstAtRest | Measure::FirstFlowing => {
                Some(Scale::Middle)
            }
            _ => None,
        };
        let low = |m: Measure| match m {
            Measure::Read(Id::RestPeak | Id::FullManifold | Id::HalfManifold) => false,
            Measure::LockUp => true,
            m => kind(m) == Some(Scale::Low),
        };
        // Of a joint, not of a vent: a vent breathes, and what it lets out is told by the vent's own test.
        let at_joint = |j: &Judged| {
            use Measure::Read;
            let fluid = [Id::FluidPigtail, Id::FluidLowSide, Id::FluidBurner];
            match j.against {
                Against::Escapes(_) => true,
                Against::Figure(Read(id)) => fluid.contains(&id) && j.verdict == Verdict::Fail,
                _ => false,
            }
        };
        let weather = |j: &Judged| {
            let limit = j.limit.filter(|_| j.is_of_weather());
            j.verdict == Verdict::Fail && limit.is_some_and(|l| l.is_passed_by(j.value))
        };
        let l = &LIMITS;
        if let Some(why) = &self.halted {
            Some(why.clone())
        } else if self.lost_gas() {
            Some(Hindrance::GasLost)
        } else if self.judged.iter().any(at_joint) {
            Some(Hindrance::GasEscapes)
        } else if self.judged.iter().any(weather) {
            Some(Hindrance::ContainerOver)
        } else if over(&l.far_over, &low) {
            Some(Hindrance::FarOver)
        } else if over(&l.lock_up_caution, &low) {
            Some(Hindrance::OverAtRest)
        } else if over(&l.fill_caution, &|m| kind(m) == Some(Scale::Fill)) {
            Some(Hindrance::Overfilled)
        } else if over(&l.first_danger, &|m| kind(m) == Some(Scale::Middle)) {
            Some(Hindrance::FirstOver)
        } else {
            None
        }
    }

    /// Whether nothing burned in a test for flowing gas: what its gauges show then is no flow pressure.
    fn is_idle(&self) -> bool {
        self.spoiled && self.test != Test::LeakCheck
    }

    /// Whether a figure is one of flowing gas, which says nothing where none flowed.
    fn is_of_flow(m: Measure) -> bool {
        match m {
            Measure::Read(id) => id.item().kind == Scale::Low,
            Measure::Load
            | Measure::Fall
            | Measure::PipeDrop
            | Measure::FromBelow
            | Measure::Band => true,
            _ => false,
        }
    }

    /// Where the outlet stood in a test in which nothing burned \[Pa\].
    pub fn stood_idle(&self) -> Option<f64> {
        let low =
            |f: &&Figure| matches!(f.measure, Measure::Read(id) if id.item().kind == Scale::Low);
        let found = self.figures.iter().find(low).filter(|_| self.is_idle());
        found.map(|f| f.value)
    }

    /// A leak check beside the lock-up that was read later: held with the second seat shut it has proved the low side alone,
    /// and passes nothing more.
    fn held_against(&mut self, lock_up_pa: f64) {
        let Some(start_pa) = self.figure(Measure::Start).filter(|_| !self.spoiled) else {
            return;
        };
        if lock_up_pa - start_pa >= OPENS_PA {
            self.seats = Seats::Open;
            return;
        }
        self.seats = Seats::Shut { lock_up_pa };
        self.judged.push(Judged {
            against: Against::Seats,
            value: lock_up_pa,
            limit: None,
            verdict: Verdict::Caution,
        });
        self.verdict = self.verdict.max(Verdict::Caution);
    }

    /// Its figures as a person would write them down.
    pub fn shown(&self) -> impl Iterator<Item = &Figure> {
        let figures = self.figures.iter();
        figures.filter(|f| match f.measure {
            Measure::Read(item) if !self.tells(item, f.value) => false,
            of if self.is_idle() && Self::is_of_flow(of) => false,
            _ => f.is_shown(self.still_moving),
        })
    }

    /// What decided: the first reading of those that are worst, none where all passed.
    pub fn decided(&self) -> Option<&Judged> {
        let worst = |h: &&Judged| h.verdict == self.verdict && h.verdict > Verdict::Pass;
        self.judged.iter().find(worst)
    }
}

/// A test that the state of the rig did not allow.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotMade {
    /// Which test.
    pub test: Test,
    /// Why, and what to do first.
    pub why: Hindrance,
}

/// What follows from a visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Follows {
    /// Nothing.
    InOrder,
    /// What was tested passed; so many tests were not made, and decide nothing.
    NotAllMade(usize),
    /// Another look.
    Watch,
    /// Nothing but gas in the container.
    Refill,
    /// Nothing but a new hose for one that is kinked.
    NewHose,
    /// A pressure that is too low for good flames is put right; nothing that was read is dangerous by itself.
    PutRight,
    /// Appliances stay off, those that would not burn and those that burn too much; nothing else is wrong.
    ApplianceOff,
    /// Everything is shut off.
    ShutOff,
}

/// Why an appliance stays off; the worst last.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OffFor {
    /// It would not burn.
    WouldNotBurn,
    /// It takes far less than its rating plate says.
    Starved {
        /// How much at most, as a share of the plate.
        under: f64,
    },
    /// It takes more than its rating plate allows.
    Overfired {
        /// How much at most, as a share of the plate.
        over: f64,
    },
}

/// Appliances that stay off, each in the rig's place of it, with the worst reason.
pub type StayOff = [Option<OffFor>; MAX_APPLIANCES];

/// How a visit leaves the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Left {
    /// As the last test left it.
    AsItStands,
    /// Burners off and every container shut.
    ShutOff,
}

/// What a whole visit comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conclusion {
    /// The worst verdict.
    pub verdict: Verdict,
    /// What follows.
    pub follows: Follows,
    /// Which appliances stay off, and why.
    pub stay_off: StayOff,
    /// How the rig was left.
    pub left: Left,
    /// Whether a container valve was felt to be hardly open.
    pub hardly_open: bool,
    /// Whether the container that serves holds next to nothing.
    pub nearly_empty: bool,
    /// Whether a hose was seen to be kinked.
    pub kinked: bool,
    /// Whether burners were lit though a leak check before had lost pressure.
    pub lit_beside_a_leak: bool,
}

/// Everything a visit of the technician gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VisitReport {
    /// Version of this shape.
    pub version: u32,
    /// Title of the rig.
    pub title: String,
    /// The worst verdict; no better than caution where a test could not be made or was spoiled.
    pub verdict: Verdict,
    /// The tests in the order they were made.
    pub tests: Vec<TestResult>,
    /// Those that could not be made, and why.
    pub not_made: Vec<NotMade>,
    /// Simulated time it took \[s\].
    pub took_s: f64,
    /// How the rig was left.
    pub left: Left,
}

impl VisitReport {
    /// Version of the shape of this report.
    pub const VERSION: u32 = 3;

    /// The report of some tests, and of some that could not be made, that took `took_s` of
    /// simulated time.
    pub fn of_tests(
        title: String,
        mut tests: Vec<TestResult>,
        not_made: Vec<NotMade>,
        took_s: f64,
    ) -> Self {
        let lock_up = tests.iter().find_map(|t| t.figure(Measure::LockUp));
        if let Some(lock_up_pa) = lock_up {
            let checks = tests.iter_mut().filter(|t| t.test == Test::LeakCheck);
            checks.for_each(|t| t.held_against(lock_up_pa));
        }
        let whole = not_made.is_empty() && !tests.iter().any(|t| t.spoiled);
        let least = if whole {
            Verdict::Pass
        } else {
            Verdict::Caution
        };
        let verdict = tests.iter().map(|t| t.verdict).fold(least, Verdict::max);
        Self {
            version: Self::VERSION,
            title,
            verdict,
            tests,
            not_made,
            took_s,
            left: Left::AsItStands,
        }
    }

    /// What follows from it.
    pub fn follows(&self) -> Follows {
        match self.verdict {
            Verdict::Pass => Follows::InOrder,
            // The worst of what was made: what was not made is no finding.
            Verdict::Caution if !self.not_made.is_empty() && self.all_made_passed() => {
                Follows::NotAllMade(self.not_made.len())
            }
            Verdict::Caution if self.asks_only_for_gas() => Follows::Refill,
            Verdict::Caution if self.asks_only_for_a_hose() => Follows::NewHose,
            Verdict::Caution => Follows::Watch,
            Verdict::Fail if self.tests.iter().any(TestResult::leaves_shut) => Follows::ShutOff,
            Verdict::Fail if self.fails_the_rig() => Follows::PutRight,
            Verdict::Fail => Follows::ApplianceOff,
        }
    }

    fn all_made_passed(&self) -> bool {
        let passed = |t: &TestResult| t.verdict == Verdict::Pass && !t.spoiled;
        self.tests.iter().all(passed)
    }

    /// Whether the regulator or its supply failed, dangerous by itself or not.
    fn fails_the_rig(&self) -> bool {
        let mut judged = self.tests.iter().flat_map(|t| &t.judged);
        judged.any(Judged::fails_the_rig)
    }

    fn asks_only_for_gas(&self) -> bool {
        let is_fill = |j: &Judged| {
            let fill = j.against == Against::Figure(Measure::Read(Id::Fill));
            fill && LIMITS.fill_least.is_missed_by(j.value)
        };
        self.asks_only_for(TestResult::is_nearly_empty, is_fill)
    }

    fn asks_only_for_a_hose(&self) -> bool {
        let is_hose = |j: &Judged| j.against == Against::Figure(Measure::Read(Id::Hose));
        self.asks_only_for(TestResult::has_a_kinked_hose, is_hose)
    }

    /// Whether one thing was found, and nothing else stands out in all that was made.
    fn asks_only_for(&self, found: fn(&TestResult) -> bool, what: fn(&Judged) -> bool) -> bool {
        self.not_made.is_empty()
            && self.tests.iter().any(found)
            && self.tests.iter().all(|t| t.stands_out_only_by(what))
    }

    /// Whether burners were lit though a leak check before had lost pressure: the program may, to show what the other tests
    /// would tell; a person may not.
    fn lit_beside_a_leak(&self) -> bool {
        let lit = |t: &TestResult| t.steps.iter().any(|s| matches!(s, Step::Lit(_)));
        let mut after = self.tests.iter().skip_while(|t| !t.lost_gas());
        after.any(lit)
    }

    /// Which appliances stay off after it, and why.
    pub fn stay_off(&self) -> StayOff {
        let mut out = StayOff::default();
        for (i, why) in self.tests.iter().flat_map(TestResult::stay_off) {
            if let Some(at) = out.get_mut(i)
                && at.is_none_or(|was| was < why)
            {
                *at = Some(why);
            }
        }
        out
    }

    /// What it comes to.
    pub fn conclusion(&self) -> Conclusion {
        Conclusion {
            verdict: self.verdict,
            follows: self.follows(),
            stay_off: self.stay_off(),
            left: self.left,
            hardly_open: self.tests.iter().any(TestResult::valve_is_hardly_open),
            nearly_empty: self.tests.iter().any(TestResult::is_nearly_empty),
            kinked: self.tests.iter().any(TestResult::has_a_kinked_hose),
            lit_beside_a_leak: self.lit_beside_a_leak(),
        }
    }

    /// The result of one test, if it was made.
    pub fn test(&self, kind: Test) -> Option<&TestResult> {
        self.tests.iter().find(|t| t.test == kind)
    }

    /// A figure of one test.
    pub fn figure(&self, kind: Test, measure: Measure) -> Option<f64> {
        self.test(kind).and_then(|t| t.figure(measure))
    }
}
