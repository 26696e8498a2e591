//! One act carried out on the running rig: the hand work runs on the rig's own clock, then the
//! act of a visit is followed. What comes back is what the trainee is told, and what of it counts
//! as evidence. Not here: whether the act was safe (`safety`), the log (`log`).

use super::act::{Act, Left};
use super::evidence::{Hands, Stood, counted, remember};
use crate::sim::Simulation;
use crate::visit::{
    self, Bag, Bench, Deed, Observation, Progress, Reply, Test, Told, VisitError,
    perform as do_deed, run_from_load,
};

/// What the trainee is told, and what counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// What is told.
    pub told: Told,
    /// What counts as evidence of the rig as it was met.
    pub found: Vec<Observation>,
    /// What was found after something was changed that may have been what is wrong.
    pub after: Vec<Observation>,
}

impl Outcome {
    const NOTHING: Self = Self {
        told: Told::Nothing,
        found: Vec::new(),
        after: Vec::new(),
    };
}

/// An act that was not done.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// The tool is not at hand.
    #[error("not at hand in this drill: {0}")]
    NotAtHand(&'static str),
    /// A drill has no such act.
    #[error("a drill is worked on where the rig stands, with what is at hand")]
    NotHere,
    /// The drill asks for a reason first.
    #[error("this drill asks why before each test: one line first, `why ...`")]
    NoReason,
    /// No test waits to be judged.
    #[error("{0}")]
    NoTest(&'static str),
    /// The state of the rig forbids it.
    #[error("{0}")]
    Forbidden(String),
    /// The listener stopped it.
    #[error("stopped")]
    Stopped,
    /// The run failed.
    #[error("the model stopped: {0}")]
    Failed(String),
}

impl From<VisitError> for Refusal {
    fn from(e: VisitError) -> Self {
        match e {
            VisitError::Cancelled => Self::Stopped,
            VisitError::Sim(e) => Self::Failed(e.to_string()),
            other => Self::Forbidden(other.to_string()),
        }
    }
}

/// A rig with someone at it.
pub struct Scene<'a> {
    /// The rig.
    pub sim: &'a mut Simulation,
    /// What is at hand.
    pub bag: &'a Bag,
    /// What the hands remember.
    pub hands: &'a mut Hands,
    /// Whether a test that can be made without a flame may light one: not after a reading that forbids it.
    pub lights: bool,
    /// Hears the progress and says whether to go on.
    pub listener: &'a mut dyn FnMut(&Progress) -> bool,
}

/// Carries out an act.
///
/// # Errors
/// [`Refusal`]: nothing was done, or the run failed on the way.
pub fn perform(scene: &mut Scene<'_>, act: &Act) -> Result<Outcome, Refusal> {
    if !act.is_of_a_drill() {
        return Err(Refusal::NotHere);
    }
    if let Some(tool) = act.tool().filter(|t| !scene.bag.has(*t)) {
        return Err(Refusal::NotAtHand(tool.words()));
    }
    match act {
        Act::Do(act) => scene.work(act),
        Act::Answer(answer) if answer.left == Left::ShutOff => scene.shut_all(),
        Act::Note(..) | Act::Why(_) | Act::Judge(_) | Act::Answer(_) => Ok(Outcome::NOTHING),
    }
}

impl Scene<'_> {
    fn work(&mut self, act: &visit::Act) -> Result<Outcome, Refusal> {
        self.wait(hands_s(act, self.bag))?;
        if let visit::Act::Wait(s) = act {
            self.wait(*s)?;
            return Ok(Outcome::NOTHING);
        }
        let before = Stood::look(self.sim, *self.hands);
        if matches!(
            act,
            visit::Act::Light(_) | visit::Act::Off(_) | visit::Act::Reset(_)
        ) {
            self.hands.touched_s = self.sim.time_s();
        }
        let mut bench = Bench::new(self.sim, self.listener);
        // A drill counts what must not be done, and lets the rig answer.
        bench.refuses = !matches!(act, visit::Act::Do(deed) if deed.is_answered());
        bench.lights = self.lights;
        let reply = match act {
            visit::Act::Test(test @ Test::LockUp) => {
                Reply::Test(Box::new(run_from_load(&mut bench, *test)?))
            }
            act => act.follow(&mut bench)?,
        };
        if is_test(act) {
            bench.shut_unlit();
        }
        let mut found = counted(act, &reply, &before, self.sim);
        found.retain(|o| self.bag.has(o.item.item().tool) || !is_test(act));
        self.hands.take(&found);
        let altered = self.hands.altered;
        *self.hands = remember(act, &found, *self.hands, &before, self.sim.time_s());
        let (found, after) = if altered {
            (Vec::new(), found)
        } else {
            (found, Vec::new())
        };
        Ok(Outcome {
            told: reply.told().with(self.bag),
            found,
            after,
        })
    }

    fn wait(&mut self, duration_s: f64) -> Result<(), Refusal> {
        if duration_s > 0.0 {
            // How far it is is told by the time of this wait, whatever a bench expects of a visit.
            let listener = &mut *self.listener;
            let mut heard = |p: &Progress| {
                listener(&Progress {
                    share: (p.elapsed_s / duration_s).min(1.0),
                    ..*p
                })
            };
            // A sample at the end is enough: the trace of a wait is nobody's.
            Bench::new(self.sim, &mut heard).wait(duration_s, duration_s.max(1.0))?;
        }
        Ok(())
    }

    /// Leaving it shut off means that every container is shut.
    fn shut_all(&mut self) -> Result<Outcome, Refusal> {
        for container in 0..self.sim.rig().containers.len() {
            let valve = self.sim.moment().modes.valves[container];
            if valve.at(self.sim.time_s()) > 0.0 {
                let mut bench = Bench::new(self.sim, self.listener);
                do_deed(&mut bench, Deed::ShutValve { container })?;
                self.hands.touched_s = self.sim.time_s();
            }
        }
        Ok(Outcome::NOTHING)
    }
}

/// How long the hands are at work for an act before anything is read \[s\].
fn hands_s(act: &visit::Act, bag: &Bag) -> f64 {
    60.0 * match act {
        visit::Act::Test(test) => test.hand_minutes(bag),
        _ => act.tool().map_or(0.0, |t| bag.minutes(t)),
    }
}

/// How long an act takes at the least with what is at hand \[s\].
pub fn least_s(act: &Act, bag: &Bag) -> f64 {
    match act {
        Act::Do(visit::Act::Wait(s)) => *s,
        Act::Do(act) => hands_s(act, bag),
        Act::Note(..) | Act::Why(_) | Act::Judge(_) | Act::Answer(_) => 0.0,
    }
}

fn is_test(act: &visit::Act) -> bool {
    matches!(act, visit::Act::Test(_))
}
