//! What the bench's tests have read, as readings of a diagnosis: only what an instrument showed or
//! fluid told, each under the item it was read for; what was not read stays out.

use super::file::Readings;
use super::reading::Item;
use crate::service::{Kit, LIMITS, Quantity, TestKind, TestResult};

/// When the lock-up of a minute is read after the burners are off \[s\].
const MINUTE_S: f64 = 60.0;
/// An instrument whose division is within these shares of an item's usual uncertainty is the usual one.
const USUAL: (f64, f64) = (0.5, 1.6);

/// Figures of tests with the items they are read for.
const FIGURES: [(TestKind, &str, &str, &str); 13] = [
    (TestKind::FlowPressure, "outlet", "half_load", "outlet"),
    (TestKind::FullLoad, "outlet", "full_load", "outlet"),
    (TestKind::FullLoad, "manifold", "full_load", "manifold"),
    (TestKind::FullLoad, "inlet", "full_load", "inlet"),
    (
        TestKind::FullLoad,
        "first stage",
        "first_stage",
        "full_load",
    ),
    (TestKind::LoadUpDown, "from below", "half_load", "outlet"),
    (TestKind::LoadUpDown, "from above", "from_above", "outlet"),
    (TestKind::Creep, "end", "lock_up", "after_creep"),
    (TestKind::LeakCheck, "change", "leak_check", "change"),
    (TestKind::Vent, "first at rest", "vent", "first_at_rest"),
    (TestKind::Vent, "first flowing", "vent", "first_flowing"),
    (TestKind::Vent, "second at rest", "vent", "second_at_rest"),
    (TestKind::Vent, "second flowing", "vent", "second_flowing"),
];

/// Division of the instrument of a kit that showed a pressure \[Pa\].
fn division_pa(kit: &Kit, quantity: Quantity, shown_pa: f64) -> f64 {
    if quantity == Quantity::LowPressure && shown_pa <= kit.manometer.range_pa {
        return kit.manometer.division_pa;
    }
    let coarsest = &kit.gauges[kit.gauges.len() - 1];
    let fits = kit.gauges.iter().find(|g| shown_pa <= g.range_pa);
    fits.unwrap_or(coarsest).division_pa
}

impl Readings {
    /// Takes the value of an item as it was shown, with its instrument's uncertainty where that is
    /// not the usual one.
    fn note(&mut self, (table, key): (&str, &str), value: f64, quantity: Quantity) {
        let Some(i) = Item::find(table, key) else {
            return;
        };
        self.values[i] = Some(value);
        self.uncertainties[i] = None;
        if quantity == Quantity::Bubbles {
            return;
        }
        let division = division_pa(&Kit::default(), quantity, value.abs());
        let usual = super::reading::ALL[i].uncertainty(value);
        if !(USUAL.0..=USUAL.1).contains(&(usual / division)) {
            self.uncertainties[i] = Some(division);
        }
    }

    /// Takes what a test has read. `visit` are the tests of the same visit, this one among them:
    /// alone, the first stage is read a minute after the burners are off and at half load; in a
    /// visit it is what creep and full load left to be read.
    pub fn note_test(&mut self, result: &TestResult, visit: &[TestResult]) {
        let unsteady = result.test == TestKind::LeakCheck
            && !result
                .figure("start")
                .is_some_and(|pa| LIMITS.leak_start.holds(pa));
        for &(test, name, table, key) in FIGURES.iter().filter(|_| !unsteady) {
            let figure = result.figures.iter().find(|f| f.name == name);
            if let Some(f) = figure.filter(|_| test == result.test) {
                self.note((table, key), f.value, f.quantity);
            }
        }
        match result.test {
            TestKind::LockUp => self.note_lock_up(result),
            TestKind::FirstStage => self.note_first_stage(result, visit),
            _ => {}
        }
    }

    /// The gauge as the record has it a minute after the burners went off: the test itself watches
    /// on while the pressure moves.
    fn note_lock_up(&mut self, result: &TestResult) {
        let Some(begun_s) = result.trace.first().map(|p| p.time_s) else {
            return;
        };
        let point = result
            .trace
            .iter()
            .find(|p| p.time_s >= begun_s + MINUTE_S - 0.5);
        if let Some(p) = point {
            let shown = Kit::default().low_side(p.outlet_pa);
            self.note(("lock_up", "after_minute"), shown, Quantity::LowPressure);
        }
    }

    fn note_first_stage(&mut self, result: &TestResult, visit: &[TestResult]) {
        let of = |kind: TestKind| visit.iter().find(|t| t.test == kind);
        let high = Quantity::HighPressure;
        if let Some(rest) = result.figure("at rest") {
            match of(TestKind::Creep).and_then(|t| t.figure("first-stage climb")) {
                Some(climb) => {
                    self.note(("first_stage", "after_creep"), rest, high);
                    self.note(("first_stage", "at_rest"), rest - climb, high);
                }
                None => self.note(("first_stage", "at_rest"), rest, high),
            }
        }
        if let Some(flowing) = result.figure("flowing") {
            let key = match of(TestKind::FullLoad) {
                Some(_) => "full_load",
                None => "half_load",
            };
            self.note(("first_stage", key), flowing, high);
        }
    }
}
