//! One cycle, shown: a burner is lit, time runs slowly and holds at each step of what follows, from the falling pressure
//! over diaphragm, lever and seat to the new balance. Each step points at its part and tells what the rig really did.

use crate::rig::{Phase, Readings};
use crate::scenario::Action;
use crate::service::Which;
use crate::sim::Command;
use crate::window::desk::Desk;
use crate::window::look::show::Units;
use crate::window::told::part::{Part, Piece};

/// Pace at which it is shown, simulated seconds per second.
const SLOW: f64 = 0.05;
/// A pace at which a step is still caught within a picture or two; at minutes in a second each would be minutes late.
const FASTEST: f64 = 0.2;
/// Stretch of time in the charts meanwhile \[s\].
pub const SPAN_S: f64 = 2.0;
/// A burner that was lit is shut off for so long before it is lit again \[s\].
const SHUT_S: f64 = 1.5;
/// A step that has not come by then is told as it is \[s\].
const PATIENCE_S: f64 = 1.2;
/// A diaphragm slower than this has come to rest \[m/s\].
const STILL_M_PER_S: f64 = 3e-5;

/// What is waited for and pointed at.
struct Step {
    part: Part,
    come: fn(&Readings, &Readings) -> bool,
    words: fn(&Readings, &Readings, Units) -> String,
}

const STEPS: [Step; 6] = [
    Step {
        part: Part::Outlet,
        come: |was, now| now.outlet_pa < was.outlet_pa - 5.0,
        words: |was, now, u| {
            format!(
                "The burner draws on what stands in the pipe: the outlet falls, from {} to {} so far",
                u.low_fine(was.outlet_pa),
                u.low_fine(now.outlet_pa)
            )
        },
    },
    Step {
        part: Part::Of(Which::Second, Piece::Diaphragm),
        come: |was, now| now.second.rise_m < was.second.rise_m - 5e-6,
        words: |was, now, u| {
            format!(
                "Gas pushes less than the spring: the diaphragm sinks, by {} so far, and air comes in by the vent",
                u.small_length((was.second.rise_m - now.second.rise_m).max(0.0))
            )
        },
    },
    Step {
        part: Part::Of(Which::Second, Piece::Lever),
        come: |was, now| now.second.rise_m < was.second.rise_m - 15e-6,
        words: |_, _, _| {
            "The stem presses the lever's long arm down; its short arm draws the seat disc away from the orifice"
                .to_owned()
        },
    },
    Step {
        part: Part::Of(Which::Second, Piece::Disc),
        come: |was, now| now.second.lift_m > was.second.lift_m + 4e-6,
        words: |was, now, u| {
            format!(
                "The seat opens, from {} to {}: more gas comes in from the first stage",
                u.small_length(was.second.lift_m),
                u.small_length(now.second.lift_m)
            )
        },
    },
    Step {
        part: Part::Of(Which::First, Piece::Disc),
        come: |was, now| now.first.lift_m > was.first.lift_m + 1e-6,
        words: |was, now, u| {
            format!(
                "The first stage feels its own pressure fall and does the same: its seat goes from {} to {}",
                u.small_length(was.first.lift_m),
                u.small_length(now.first.lift_m)
            )
        },
    },
    Step {
        part: Part::Of(Which::Second, Piece::Spring),
        come: |_, now| {
            let even = (now.second.flow_kg_per_s - now.burner_flow_kg_per_s).abs();
            now.second.speed_m_per_s.abs() < STILL_M_PER_S && even < 0.05 * now.second.flow_kg_per_s
        },
        words: |was, now, u| {
            format!(
                "Gas and spring balance again: {} instead of {}, with the seat open as far as this load needs",
                u.low_fine(now.outlet_pa),
                u.low_fine(was.outlet_pa)
            )
        },
    },
];

/// How far it is.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Stage {
    /// The burner is shut, to be lit from rest at this time \[s\].
    Shut(f64),
    /// Time runs towards the step; since \[s\].
    Runs(f64),
    /// Time holds and the step is told.
    Told,
}

/// A cycle that is shown.
#[derive(Debug, Clone)]
pub struct Cycle {
    appliance: usize,
    stage: Stage,
    step: usize,
    was: Box<Readings>,
    rate: f64,
    words: String,
}

impl Cycle {
    /// Begins it with a burner that lights at once, if the rig has any appliance.
    pub fn begin(desk: &mut Desk<'_>) -> Option<Self> {
        let n = &desk.snap.readings;
        let all = &desk.snap.rig.appliances;
        let plain = |i: &usize| all[*i].thermal.is_none();
        let off = |i: &usize| n.appliances[*i].phase == Phase::Off;
        let count = n.appliance_count.min(all.len());
        // The greatest there is: what it moves is seen best.
        let greatest = |fits: &dyn Fn(&usize) -> bool| {
            (0..count)
                .filter(fits)
                .max_by(|a, b| all[*a].input_w.total_cmp(&all[*b].input_w))
        };
        let appliance = greatest(&|i| plain(i) && off(i))
            .or_else(|| greatest(&plain))
            .or_else(|| greatest(&|_| true))?;
        let mut cycle = Self {
            appliance,
            stage: Stage::Shut(n.time_s),
            step: 0,
            was: Box::new(*n),
            rate: desk.snap.rate,
            words: "Waits until all is at rest, to light a burner".to_owned(),
        };
        if !off(&appliance) {
            cycle.switch(desk, false);
            cycle.stage = Stage::Shut(n.time_s + SHUT_S);
            desk.send.push(Command::Rate(1.0));
        }
        desk.send.push(Command::Play);
        Some(cycle)
    }

    fn switch(&self, desk: &mut Desk<'_>, on: bool) {
        desk.send.push(Command::Act(Action::Switch {
            appliance: self.appliance,
            on,
        }));
    }

    /// Looks at the rig once a frame, and holds time where a step has come.
    pub fn follow(&mut self, desk: &mut Desk<'_>) {
        let n = desk.snap.readings;
        match self.stage {
            Stage::Shut(at_s) if n.time_s >= at_s => {
                *self.was = n;
                self.switch(desk, true);
                desk.send.push(Command::Rate(SLOW));
                self.stage = Stage::Runs(n.time_s);
            }
            Stage::Runs(since_s) => {
                let step = &STEPS[self.step];
                let late = n.time_s > since_s + PATIENCE_S;
                if (step.come)(&self.was, &n) || late {
                    desk.send.push(Command::Pause);
                    self.words = (step.words)(&self.was, &n, desk.units);
                    self.stage = Stage::Told;
                }
            }
            Stage::Shut(_) | Stage::Told => {}
        }
    }

    /// Goes on to the next step; whether there was one.
    pub fn next(&mut self, desk: &mut Desk<'_>) -> bool {
        if self.stage != Stage::Told {
            return true;
        }
        if self.step + 1 == STEPS.len() {
            return false;
        }
        self.step += 1;
        self.stage = Stage::Runs(desk.snap.readings.time_s);
        // The pace is a person's to choose, as far as a step can still be caught at it.
        if desk.snap.rate > FASTEST {
            desk.send.push(Command::Rate(SLOW));
        }
        desk.send.push(Command::Play);
        true
    }

    /// Leaves it: time goes on at the pace it had.
    pub fn end(&self, desk: &mut Desk<'_>) {
        desk.send.push(Command::Rate(self.rate));
        desk.send.push(Command::Play);
    }

    /// The part of the step that is told or waited for.
    pub fn part(&self) -> Part {
        STEPS[self.step].part
    }

    /// What is told now.
    pub fn words(&self) -> String {
        match self.stage {
            Stage::Shut(_) => self.words.clone(),
            Stage::Runs(_) => format!("{} of {}: time runs slowly", self.step + 1, STEPS.len()),
            Stage::Told => format!("{} of {}: {}", self.step + 1, STEPS.len(), self.words),
        }
    }

    /// Word of the button that goes on, once the step is told.
    pub fn on_word(&self) -> Option<&'static str> {
        match self.stage {
            Stage::Told if self.step + 1 == STEPS.len() => Some("Done"),
            Stage::Told => Some("Next step"),
            _ => None,
        }
    }
}
