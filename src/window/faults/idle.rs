//! That so much of a fault does nothing on the rig on show in this air. In which air it acts is worked out once for a rig.

use egui::{RichText, Ui};

use crate::fault::{Acts, Fault};
use crate::report::idle::idle;
use crate::report::letters::capital;
use crate::rig::Rig;
use crate::window::desk::Desk;
use crate::window::look::theme::{NOTE, plain};

/// How many answers are kept: a fault on its way passes many severities.
const KEPT: usize = 64;

/// What is known of faults on a rig.
#[derive(Debug, Clone, Default)]
pub struct WhereTheyAct {
    rig: Option<Rig>,
    known: Vec<(Fault, f64, Acts)>,
}

impl WhereTheyAct {
    fn of(&mut self, fault: Fault, severity: f64, rig: &Rig) -> Acts {
        if self.rig.as_ref() != Some(rig) {
            self.rig = Some(rig.clone());
            self.known.clear();
        }
        let severity = (1000.0 * severity).round() / 1000.0;
        let known = |k: &&(Fault, f64, Acts)| (k.0, k.1) == (fault, severity);
        if let Some((.., acts)) = self.known.iter().find(known) {
            return *acts;
        }
        let acts = fault.acts_where(rig, severity);
        self.known.truncate(KEPT - 1);
        self.known.insert(0, (fault, severity, acts));
        acts
    }

    /// Tells it, and why. It is held against the rig without its faults: what is in already has changed the other.
    pub fn ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, fault: Fault, severity: f64) {
        let rig = &desk.snap.scenario.rig;
        let acts = self.of(fault, severity, rig);
        if let Some(why) = acts.idle_in(desk.snap.readings.air_k) {
            let words = capital(&idle(fault, why, rig, desk.units.system()));
            let text = RichText::new(words).font(plain(NOTE));
            ui.add(egui::Label::new(text.color(desk.theme.ink)).wrap());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;

    #[test]
    fn what_is_known_is_what_would_be_worked_out_and_another_rig_is_asked_anew() {
        let mut known = WhereTheyAct::default();
        let mut rig = Scenario::opening().rig;
        let faults: Vec<Fault> = Fault::all().collect();
        for _ in 0..2 {
            for fault in &faults {
                assert_eq!(known.of(*fault, 0.5, &rig), fault.acts_where(&rig, 0.5));
            }
        }
        assert!(known.known.len() <= KEPT);
        let wet = Fault::named("water_in_fuel").expect("a fault");
        let dry = known.of(wet, 0.3, &rig);
        rig.fuel.water_share += 1e-3;
        assert_ne!(
            known.of(wet, 0.3, &rig),
            dry,
            "with more water in it already"
        );
    }
}
