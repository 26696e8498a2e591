//! What a lesson wants shown beside its own column: which picture, the part that is pointed at, the prediction in the
//! charts, and what is covered until it is made. Not here: the column itself.

use super::show::Show;
use super::{LessonsPage, Open, Stage};
use crate::drill::lesson::{Answers, Place, View, shown};
use crate::sim::Snapshot;
use crate::units::System;
use crate::window::charts::{Told, has_a_chart};
use crate::window::look::show::Units;

/// The headline while a rig stands shut until it is predicted what it does.
const STANDS_SHUT: &str =
    "The rig stands shut and empty until you have predicted. “Run the rig” opens it";

impl Open {
    /// Whether the prediction is still to be made, with its rig on show.
    pub(super) fn waits(&self, snap: &Snapshot) -> bool {
        matches!(self.stage, Stage::Predicting) && snap.scenario.title == self.lesson.scenario.title
    }

    /// The prediction of the question whose moment is on show.
    fn told(&self, system: System) -> Option<Told> {
        // Beside the run with the twist the prediction of the other one says nothing.
        let Stage::Told {
            observed,
            at: i,
            twisted: false,
            ..
        } = &self.stage
        else {
            return None;
        };
        let said = *self.predictions()?.get(*i)?;
        let held = self.lesson.held(*i, observed, said)?;
        let words = match &self.lesson.questions[*i].answers {
            Answers::Choices(choices) => {
                let chosen = self.chosen[*i].and_then(|k| choices.get(k));
                chosen.map(|c| shown(&c.0, system))
            }
            Answers::Number { .. } => None,
        };
        Some(Told {
            channel: held.of.recorded.filter(|c| has_a_chart(*c))?,
            at_s: held.at_s,
            measured: held.measured,
            reads: shown(&held.told, system),
            is_as_said: held.is_as_said,
            said: held.said,
            number: held.number,
            words,
        })
    }
}

impl LessonsPage {
    /// What it wants shown, once.
    pub fn take_show(&mut self) -> Vec<Show> {
        std::mem::take(&mut self.shows)
    }

    /// The prediction for the charts.
    pub fn told(&self, snap: &Snapshot, units: Units) -> Option<Told> {
        let open = self.open.as_ref()?;
        let own = snap.scenario.title == open.lesson.scenario.title;
        open.told(units.system()).filter(|_| own)
    }

    /// Whether a part that is pointed at is read on the instrument outside.
    pub fn points_at_the_instrument(&self) -> bool {
        self.open.as_ref().is_some_and(|o| {
            let at = match &o.stage {
                Stage::Predicting => o.lesson.view == View::Outside,
                Stage::Running { .. } => false,
                Stage::Told { at, twisted, .. } => {
                    *twisted || o.lesson.questions[*at].part == Place::Outlet
                }
            };
            at && o.lesson.view == View::Outside
        })
    }

    /// The headline, where the rig waits for a prediction.
    pub fn headline(&self, snap: &Snapshot) -> Option<&'static str> {
        let waits = self.open.as_ref().is_some_and(|o| o.waits(snap));
        waits.then_some(STANDS_SHUT)
    }

    /// Whether pictures, charts, panels and other pages are covered: what is asked for could be read on a rig that is shut.
    pub fn covers(&self, snap: &Snapshot) -> bool {
        let open = self.open.as_ref();
        open.is_some_and(|o| o.waits(snap) && o.lesson.asks_for_what_stands())
    }
}
