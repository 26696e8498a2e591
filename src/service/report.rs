//! What a test gives back: plain data, serialised as it stands (`twostage service --json`).

use super::kind::TestKind;
use super::limits::Limit;
use crate::units::{Dimension, System, format};
use serde::Serialize;

/// The outcome of a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Within the limits.
    Pass,
    /// Allowed, but watch it.
    Caution,
    /// Outside the limits.
    Fail,
}

impl Verdict {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Caution => "caution",
            Self::Fail => "fail",
        }
    }

    /// The caution that goes with it.
    pub fn caution(self) -> &'static str {
        match self {
            Self::Pass => {
                "Local codes and the licensed technician decide; a simulator is no instrument"
            }
            Self::Caution => "Look again within the season, and let a qualified technician decide",
            Self::Fail => {
                "Shut the container and leave it shut until a qualified LP-gas technician has put it right"
            }
        }
    }
}

/// What kind of number a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Low-side gauge pressure \[Pa\], shown in in w.c.
    LowPressure,
    /// Gauge pressure of container or interstage \[Pa\], shown in psi.
    HighPressure,
    /// Temperature \[K\].
    Temperature,
    /// Difference of temperature \[K\].
    TemperatureChange,
    /// Time \[s\].
    Time,
    /// Heat input \[W\].
    Power,
    /// Leak fluid, from 0 for no bubbles to 3 for fluid blown away (see [`super::Bubbles`]).
    Bubbles,
}

/// One figure that was read or worked out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// Short name, stable.
    pub name: &'static str,
    /// Value in SI as read on the instrument.
    pub value: f64,
    /// What kind of number.
    pub quantity: Quantity,
}

impl Figure {
    /// The value with a unit.
    pub fn text(&self, system: System) -> String {
        let us = system == System::Us;
        match self.quantity {
            Quantity::LowPressure if us => {
                format!("{:.1} in w.c.", crate::units::pa_to_inwc(self.value))
            }
            Quantity::HighPressure if us => {
                format!("{:.1} psi", crate::units::pa_to_psi(self.value))
            }
            Quantity::LowPressure | Quantity::HighPressure => {
                format!("{:.2} kPa", 1e-3 * self.value)
            }
            Quantity::Temperature => format(self.value, Dimension::Temperature, system),
            Quantity::TemperatureChange if us => format!("{:+.1} °F", 1.8 * self.value),
            Quantity::TemperatureChange => format!("{:+.1} K", self.value),
            Quantity::Time => format!("{:.0} s", self.value),
            Quantity::Bubbles => [
                "no bubbles",
                "a bubble now and then",
                "steady bubbles",
                "fluid blown away",
            ][(self.value.max(0.0) as usize).min(3)]
            .to_owned(),
            Quantity::Power => format(self.value, Dimension::Power, system),
        }
    }
}

/// One point of the record of a test.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TracePoint {
    /// Simulated time \[s\].
    pub time_s: f64,
    /// Outlet \[Pa\].
    pub outlet_pa: f64,
    /// First stage \[Pa\].
    pub first_stage_pa: f64,
    /// Regulator inlet \[Pa\].
    pub inlet_pa: f64,
}

/// The result of one test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestResult {
    /// Which test.
    pub test: TestKind,
    /// The outcome.
    pub verdict: Verdict,
    /// What it means, in one or two sentences.
    pub words: String,
    /// What was read and worked out.
    pub figures: Vec<Figure>,
    /// The limits that decided.
    pub limits: Vec<Limit>,
    /// What was done, step by step.
    pub steps: Vec<String>,
    /// The record of the test.
    pub trace: Vec<TracePoint>,
}

impl TestResult {
    /// The value of a figure by its name.
    pub fn figure(&self, name: &str) -> Option<f64> {
        self.figures
            .iter()
            .find(|f| f.name == name)
            .map(|f| f.value)
    }
}

/// A test that the state of the rig did not allow.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotMade {
    /// Which test.
    pub test: TestKind,
    /// Why, and what to do first.
    pub why: String,
}

/// Everything a visit of the technician gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServiceReport {
    /// Version of this shape.
    pub version: u32,
    /// Title of the rig.
    pub title: String,
    /// The worst verdict; no better than caution where a test could not be made.
    pub verdict: Verdict,
    /// The tests in the order they were made.
    pub tests: Vec<TestResult>,
    /// Those that could not be made, and why.
    pub not_made: Vec<NotMade>,
    /// Simulated time it took \[s\].
    pub took_s: f64,
    /// The caution that belongs to a failed visit.
    pub caution: &'static str,
}

impl ServiceReport {
    /// Version of the shape of this report.
    pub const VERSION: u32 = 1;

    /// The report of some tests, and of some that could not be made, that took `took_s` of
    /// simulated time.
    pub fn of_tests(
        title: String,
        tests: Vec<TestResult>,
        not_made: Vec<NotMade>,
        took_s: f64,
    ) -> Self {
        let least = if not_made.is_empty() {
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
            caution: verdict.caution(),
        }
    }

    /// The result of one test, if it was made.
    pub fn test(&self, kind: TestKind) -> Option<&TestResult> {
        self.tests.iter().find(|t| t.test == kind)
    }

    /// A figure of one test.
    pub fn figure(&self, kind: TestKind, name: &str) -> Option<f64> {
        self.test(kind).and_then(|t| t.figure(name))
    }
}
