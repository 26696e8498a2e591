//! What a bench's tests have found out, as readings of a diagnosis: each observation under its own item, with its
//! instrument's uncertainty where that is not the usual one.

use super::readings::Readings;
use crate::service::Kit;
use crate::visit::{Id, Observation, Scale, TestResult, VisitReport};

/// An instrument whose division is within these shares of an item's usual uncertainty is the usual one.
const USUAL: (f64, f64) = (0.5, 1.6);

impl Readings {
    /// Takes one observation in; the newest of an item counts.
    pub fn note(&mut self, o: &Observation) {
        let item = o.item.item();
        let low = match item.kind {
            Scale::Low | Scale::Change => Some(true),
            Scale::Middle | Scale::High => Some(false),
            _ => None,
        };
        let division = low.map(|low| Kit::default().division_pa(low, o.value.abs()));
        let usual = item.uncertainty(o.value);
        let odd = division.filter(|d| !(USUAL.0..=USUAL.1).contains(&(usual / d)));
        self.values[o.item.index()] = Some(o.value);
        self.uncertainties[o.item.index()] = o.uncertainty.or(odd);
        self.over[o.item.index()] = o.over;
    }

    /// What a visit has found out.
    pub fn of_visit(report: &VisitReport) -> Self {
        let mut out = Self::default();
        report.tests.iter().for_each(|t| out.note_test(t));
        out
    }

    /// Takes in what a test has found out. A flush may have carried off what lay on a seat: what is read at rest after it
    /// is of another rig, and is left out; the flush has a reading of its own.
    pub fn note_test(&mut self, result: &TestResult) {
        let is_flushed = self.values[Id::FlushOutlet.index()].is_some();
        for o in &result.observations {
            if !(is_flushed && of_the_seats(o.item)) {
                self.note(o);
            }
        }
    }
}

/// Whether an item tells how the seats hold as the rig was met.
fn of_the_seats(item: Id) -> bool {
    matches!(
        item,
        Id::RestPeak
            | Id::RestMinute
            | Id::RestCreep
            | Id::RestSettles
            | Id::FirstRest
            | Id::FirstCreep
            | Id::FirstVentRest
            | Id::SecondVentRest
            | Id::SoundRest
    )
}
