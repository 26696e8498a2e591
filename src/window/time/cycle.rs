//! One cycle, shown: a burner is lit, time runs slowly and holds at each step of what follows, from the falling pressure
//! over diaphragm, lever and seat to the new balance. Each step points at its part and tells what the rig really did.

use crate::rig::presets;
use crate::rig::{Phase, Readings};
use crate::rig::{Rig, Stage as OfRig};
use crate::scenario::Action;
use crate::service::Which;
use crate::sim::Command;
use crate::window::cutaway::StageShape;
use crate::window::cutaway::balance::{self, Pushes, Tips};
use crate::window::cutaway::geometry::shape_of;
use crate::window::desk::Desk;
use crate::window::look::show::Units;
use crate::window::told::part::{Breath, Part, Piece, breathes};
use crate::window::told::seats::seat_told;

/// How a step is shown.
struct Pace {
    /// Simulated seconds per second.
    rate: f64,
    /// A step that has not come by then is told as it is \[s\].
    patience_s: f64,
    /// Stretch of time in the charts meanwhile \[s\].
    span_s: f64,
}

/// The swing: it is over in hundredths of a second, and each of its steps is to be seen in a moment of its own.
const SWING: Pace = Pace {
    rate: 0.005,
    patience_s: 0.06,
    span_s: 0.2,
};
/// A seat that is waited for: one that has locked up opens tenths of a second after its diaphragm begins to sink.
const SEAT: Pace = Pace {
    rate: 0.02,
    patience_s: 0.5,
    span_s: 0.2,
};
/// An appliance that takes its time before it opens its gas, and the last step, the way to rest.
const BRISK: Pace = Pace {
    rate: 0.05,
    patience_s: 1.2,
    span_s: 2.0,
};
/// Paces at which a step is still caught within a picture or two, as a multiple of its own.
const FASTEST: f64 = 4.0;
/// A burner that was lit is shut off for so long before it is lit again \[s\].
const SHUT_S: f64 = 1.5;
/// A diaphragm slower than this has come to rest \[m/s\].
const STILL_M_PER_S: f64 = 3e-5;
/// Input from which a burner moves things as far as the steps ask \[W\]; a smaller one moves them less, and is asked for less.
const WHOLE_W: f64 = 1500.0;
/// The least share of that which is asked for: what moves less is not seen.
const LEAST_SHARE: f64 = 0.2;

/// The rig before the burner was lit and as it stands, and whether the step has come or time alone has passed.
struct Told<'a> {
    rig: &'a Rig,
    was: &'a Readings,
    now: &'a Readings,
    shape: StageShape,
    came: bool,
    units: Units,
}

impl Told<'_> {
    /// The outlet before and now. What reads the same is no change.
    fn outlet(&self) -> [String; 2] {
        [self.was, self.now].map(|n| self.units.low_fine(n.outlet_pa).to_string())
    }

    /// Pushes on the second diaphragm before and now: the ones whose bars stand beside the sentence.
    fn pushes(&self) -> [Pushes; 2] {
        [self.was, self.now].map(|n| Pushes::of(&n.second, &self.shape))
    }

    fn sunk(&self) -> String {
        let sunk_m = (self.was.second.rise_m - self.now.second.rise_m).max(0.0);
        self.units.small_length(sunk_m).to_string()
    }
}

/// What is waited for and pointed at.
struct Step {
    part: Part,
    /// What to look at until it comes.
    watch: &'static str,
    come: fn(&Since<'_>) -> bool,
    words: fn(&Told<'_>) -> String,
}

/// What a step is judged by: how far things have gone on since the step before it, so that each is seen to move and stands at a
/// moment of its own.
struct Since<'a> {
    /// As the step before was told; at the first one before the burner came on.
    from: &'a Readings,
    now: &'a Readings,
    /// How much of what a usual burner moves this one does.
    share: f64,
}

impl Since<'_> {
    /// Whether something has gone on by so much of a usual burner's swing.
    fn by(&self, least: f64, of: fn(&Readings) -> f64) -> bool {
        of(self.now) - of(self.from) > self.share * least
    }
}

const STEPS: [Step; 6] = [
    Step {
        part: Part::Outlet,
        watch: "the outlet, which the burner draws on",
        come: |s| s.by(2.6, |n| -n.outlet_pa),
        words: outlet_falls,
    },
    Step {
        part: Part::Of(Which::Second, Piece::Diaphragm),
        watch: "the second diaphragm and the forces on it",
        come: |s| s.by(5e-6, |n| -n.second.rise_m),
        words: diaphragm_sinks,
    },
    Step {
        part: Part::Of(Which::Second, Piece::Lever),
        watch: "the lever under the second diaphragm",
        come: |s| s.by(5e-6, |n| -n.second.rise_m),
        words: lever_turns,
    },
    Step {
        part: Part::Of(Which::Second, Piece::Disc),
        watch: "the second seat in its magnifier",
        come: |s| s.by(1.2e-6, |n| n.second.lift_m),
        words: |told| {
            seat_opens(
                told,
                Which::Second,
                "The seat opens",
                "more gas comes in from the first stage",
            )
        },
    },
    Step {
        part: Part::Of(Which::First, Piece::Disc),
        watch: "the first seat in its magnifier",
        come: |s| s.by(0.4e-6, |n| n.first.lift_m),
        words: |told| {
            seat_opens(
                told,
                Which::First,
                "The first stage feels its own pressure fall and opens its seat",
                "gas from the container replaces what has flowed on",
            )
        },
    },
    Step {
        part: Part::Of(Which::Second, Piece::Spring),
        watch: "the second diaphragm come to rest",
        come: |s| {
            let now = s.now;
            let even = (now.second.flow_kg_per_s - now.burner_flow_kg_per_s).abs();
            now.second.speed_m_per_s.abs() < STILL_M_PER_S && even < 0.05 * now.second.flow_kg_per_s
        },
        words: balance_again,
    },
];

fn outlet_falls(told: &Told<'_>) -> String {
    let [was, now] = told.outlet();
    if !told.came || was == now {
        return format!(
            "The burner draws down the gas in the line, and the outlet still stands at {now}"
        );
    }
    format!(
        "The burner draws down the gas in the line: the outlet falls, from {was} to {now} so far"
    )
}

/// A diaphragm weighs so little that it is never far from balance: it goes where the pushes are even. So what wins is
/// told only as far as the forces beside the sentence show it.
fn diaphragm_sinks(told: &Told<'_>) -> String {
    if !told.came {
        return format!("The diaphragm has hardly moved: {}", told.sunk());
    }
    let pushes = told.pushes();
    let net_n = pushes[1].net_n();
    let [was, now] = pushes.map(|p| told.units.force_fine(p.gas_below_n()).to_string());
    let gas = if was == now {
        format!("Gas pushes with {now}, as before")
    } else {
        format!("Gas pushes with {now} instead of {was}")
    };
    let how = match balance::tips(net_n) {
        Tips::Even => "the diaphragm sinks until the forces balance again".to_owned(),
        Tips::Open => format!(
            "what pushes open wins by {}, and the diaphragm sinks",
            told.units.force(net_n.abs())
        ),
        Tips::Shut => "the diaphragm has sunk and is pushed back".to_owned(),
    };
    let air = match breathes(&told.now.second) {
        Some(Breath::In) => ", and air comes in by the vent",
        _ => "",
    };
    format!("{gas}: {how}, by {} so far{air}", told.sunk())
}

fn lever_turns(told: &Told<'_>) -> String {
    if told.came {
        "The stem presses the lever's long arm down; its short arm draws the seat disc away from the orifice".to_owned()
    } else {
        format!(
            "The diaphragm has sunk by {} only: the lever has hardly turned",
            told.sunk()
        )
    }
}

fn seat_opens(told: &Told<'_>, which: Which, deed: &str, then: &str) -> String {
    let stage: &OfRig = match which {
        Which::First => &told.rig.first,
        Which::Second => &told.rig.second,
    };
    let [was, now] = [told.was, told.now].map(|n| seat_told(stage, which.of(n), told.units));
    if told.came {
        let lift = told.units.small_length(which.of(told.now).lift_m);
        format!("{deed} to {lift} (before: {was}); {then}")
    } else {
        format!("The seat has not opened further yet: {now}")
    }
}

fn balance_again(told: &Told<'_>) -> String {
    let [was, now] = told.outlet();
    let than = if was == now {
        format!("{now} as before")
    } else {
        format!("{now} instead of {was}")
    };
    if !told.came {
        return format!("All is not at rest yet: {than} so far");
    }
    let air = match breathes(&told.now.second) {
        Some(Breath::In) => ". The last air still comes in by the vent",
        Some(Breath::Out) => ". Some air still leaves by the vent",
        None => "",
    };
    let who = told.pushes()[1].who_holds();
    format!("{who} balance again: {than}, with the seat open as far as this load needs{air}")
}

/// How far it is.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Stage {
    /// The burner is shut, to be lit from rest at this time \[s\].
    Shut(f64),
    /// Time runs towards the step; since \[s\].
    Runs(f64),
    /// The step is told as it came, and time comes to a stand; whether it came before patience ended.
    Halts(bool),
    /// Time holds and the step is told.
    Told,
}

/// A cycle that is shown.
#[derive(Debug, Clone)]
pub struct Cycle {
    appliance: usize,
    stage: Stage,
    step: usize,
    /// Before the burner came on, and as the last step was told.
    was: Box<Readings>,
    from: Box<Readings>,
    /// See [`Since`].
    share: f64,
    /// Whether the appliance opens its gas as soon as it is switched on.
    opens_at_once: bool,
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
            from: Box::new(*n),
            share: (all[appliance].input_w / WHOLE_W).clamp(LEAST_SHARE, 1.0),
            opens_at_once: plain(&appliance),
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
                *self.from = n;
                self.switch(desk, true);
                desk.send.push(Command::Rate(self.pace().rate));
                self.stage = Stage::Runs(n.time_s);
            }
            Stage::Runs(since_s) => {
                let step = &STEPS[self.step];
                let late = n.time_s > since_s + self.pace().patience_s;
                let came = (step.come)(&Since {
                    from: &self.from,
                    now: &n,
                    share: self.share,
                });
                if came || late {
                    desk.send.push(Command::Pause);
                    self.tell(desk, came);
                    self.stage = Stage::Halts(came);
                }
            }
            // Time has run a little on until it stood: the words are of the moment that the picture shows.
            Stage::Halts(came) if !desk.snap.playing => {
                self.tell(desk, came);
                *self.from = n;
                self.stage = Stage::Told;
            }
            Stage::Shut(_) | Stage::Halts(_) | Stage::Told => {}
        }
    }

    /// Words the step from the readings on show.
    fn tell(&mut self, desk: &Desk<'_>, came: bool) {
        self.words = (STEPS[self.step].words)(&Told {
            rig: &desk.snap.rig,
            was: &self.was,
            now: &desk.snap.readings,
            shape: shape_of(&desk.snap.rig.second, &presets::second_stage()),
            came,
            units: desk.units,
        });
    }

    /// Goes on to the next step; whether there was one.
    pub fn next(&mut self, desk: &mut Desk<'_>) -> bool {
        if self.stage != Stage::Told {
            return true;
        }
        if self.is_last() {
            return false;
        }
        // The pace is a person's to choose, as far as a step can still be caught at it.
        let rate = desk.snap.rate;
        let is_chosen = (rate / self.pace().rate - 1.0).abs() > 1e-6;
        self.step += 1;
        self.stage = Stage::Runs(desk.snap.readings.time_s);
        let own = self.pace().rate;
        if self.is_last() || !is_chosen || rate > FASTEST * own {
            desk.send.push(Command::Rate(own));
        }
        desk.send.push(Command::Play);
        true
    }

    fn is_last(&self) -> bool {
        self.step + 1 == STEPS.len()
    }

    /// The pace of the step that is waited for.
    fn pace(&self) -> &'static Pace {
        let waits_for_gas = self.step == 0 && !self.opens_at_once;
        if waits_for_gas || self.is_last() {
            &BRISK
        } else if matches!(STEPS[self.step].part, Part::Of(_, Piece::Disc)) {
            &SEAT
        } else {
            &SWING
        }
    }

    /// Stretch of time in the charts meanwhile \[s\].
    pub fn span_s(&self) -> f64 {
        self.pace().span_s
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
            Stage::Runs(_) => format!(
                "Cycle, step {} of {}: time runs slowly. Watch {}",
                self.step + 1,
                STEPS.len(),
                STEPS[self.step].watch
            ),
            Stage::Halts(_) | Stage::Told => {
                format!(
                    "Cycle, step {} of {}: {}",
                    self.step + 1,
                    STEPS.len(),
                    self.words
                )
            }
        }
    }

    /// Word of the button that goes on, once the step is told.
    pub fn on_word(&self) -> Option<&'static str> {
        match self.stage {
            Stage::Told if self.is_last() => Some("Done"),
            Stage::Told => Some("Next step"),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::cutaway::balance::verdict;

    /// At rest, and a moment after a burner came on: gas under the diaphragm has lost some, and so much is left over \[N\].
    fn moments(left_n: f64) -> [Readings; 2] {
        let mut was = Readings {
            outlet_pa: 2950.0,
            ..Readings::default()
        };
        was.second.rise_m = 4.05e-3;
        was.second.forces.gas_n = 16.77;
        was.second.forces.spring_n = -16.77;
        let mut now = was;
        now.outlet_pa = 2930.0;
        now.second.rise_m -= 15e-6;
        now.second.forces.gas_n = 16.70;
        now.second.forces.spring_n = -16.70 + left_n;
        [was, now]
    }

    fn told(step: usize, [was, now]: &[Readings; 2], came: bool) -> String {
        let shape = StageShape {
            diaphragm_m: 0.085,
            ..StageShape::default()
        };
        (STEPS[step].words)(&Told {
            rig: &Rig::standard(vec![], vec![]),
            was,
            now,
            shape,
            came,
            units: Units::Us,
        })
    }

    /// What a step says follows from the forces that stand beside it.
    #[test]
    fn who_wins_is_told_as_the_balance_shows_it() {
        // 16.77 N are 3.770 lbf, 16.70 N 3.754 (published: 4.448222 N each).
        for (left_n, shown, words) in [
            (0.0, "in balance", "balance again"),
            (-0.05, "pushed open", "what pushes open wins by 0.011 lbf"),
            (0.05, "pushed shut", "is pushed back"),
        ] {
            let at = moments(left_n);
            assert_eq!(verdict(at[1].second.forces.sum_n()), shown);
            let told = told(1, &at, true);
            assert!(told.contains("3.754 lbf instead of 3.770 lbf"), "{told}");
            assert!(told.contains(words), "{told}");
            assert!(told.contains("by 0.59 thou"), "{told}");
            assert!(!told.contains("air comes in"), "none does: {told}");
        }
    }

    /// A step that has not come says so and claims nothing of it.
    #[test]
    fn what_has_not_come_is_not_told_as_come() {
        let [was, _] = moments(0.0);
        let still = [was, was];
        for (step, claim) in [
            "falls",
            "sinks",
            "presses",
            "opens",
            "opens",
            "balance again",
        ]
        .into_iter()
        .enumerate()
        {
            let told = told(step, &still, false);
            assert!(!told.contains(claim), "{told}");
        }
    }

    /// "In balance again" says of air that is still on its way, and of air that bears.
    #[test]
    fn the_last_step_tells_of_air() {
        let mut at = moments(0.0);
        let plain = told(5, &at, true);
        assert!(plain.starts_with("Gas and spring balance again"), "{plain}");
        assert!(!plain.contains("vent"), "{plain}");
        at[1].second.vent_m3_per_s = -1e-7;
        assert!(told(5, &at, true).contains("air still comes in"));
        at[1].second.case_pa = 500.0;
        assert!(told(5, &at, true).starts_with("Gas, spring and the air above"));
    }
}
