//! Drills in words, in either system of units: what was told, what was unsafe.

use super::letters::capital;
use super::prose::prose;
use super::telling::count;
use super::visit::{decided, high, low, verdict};
use crate::drill::attempt::judging::Judging;
use crate::drill::attempt::safety::{Stop, Unsafe};
use crate::drill::marking::grade::{Grade, Why};
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::service::{Joint, LIMITS};
use crate::units::System;
use crate::visit::Test;

/// All marks in a line: how many, or that the attempt failed and by what.
pub fn total(g: &Grade) -> String {
    match &g.failed {
        Some(grave) => format!("failed: {}", rule(grave)),
        None if g.cause.why == Why::NoAnswer => format!(
            "unfinished, {:.0} of 100 so far: the answer is missing (cause, action, how the rig is left)",
            g.total()
        ),
        None if g.is_capped() => format!(
            "{:.0} of 100, no more where a danger was judged to be a pass",
            g.total()
        ),
        None => format!("{:.0} of 100", g.total()),
    }
}

/// What a judgement is worth, with what decides: "Right" or "Not so".
pub fn judged(j: &Judging, system: System) -> String {
    let lead = if j.said == j.is { "Right" } else { "Not so" };
    let is = verdict(j.is);
    let by = j.by.map(|by| decided(&by, j.test, system));
    match by.filter(|b| !b.is_empty()) {
        Some(by) => format!("{lead}, it is a {is}: {by}"),
        None if j.by.is_some() => format!("{lead}, it is a {is}: something would not burn"),
        None => format!("{lead}, it is a {is}: {}", within(j.test)),
    }
}

/// Why a test passes. One that is made with leak fluid alone is of gas, and says nothing of how a thing looks.
fn within(test: Test) -> &'static str {
    match test {
        Test::Vent => {
            "no gas came at the vents, which is all that it asks; how a vent looks is another matter"
        }
        Test::Joints => "no gas came at the joints",
        _ => "all that this test read is within its limits",
    }
}

/// Short name of a rule, stable.
pub fn rule(u: &Unsafe) -> &'static str {
    match u {
        Unsafe::OpenedFast => "opened fast",
        Unsafe::FlushedBesideFlame(_) => "flushed beside a flame",
        Unsafe::ScrewWithoutGauge => "screw without a gauge",
        Unsafe::SetOverTheLimit(_) => "set over the limit",
        Unsafe::OpenedUnderPressure => "opened under pressure",
        Unsafe::OpenedBesideFlame(_) => "opened beside a flame",
        Unsafe::LitWhereGasHadGathered => "lit where gas had gathered",
        Unsafe::LitWhileGasEscaped => "lit while gas escaped",
        Unsafe::LitBesideToldGas => "lit before a reported leak was looked for, and gas escaped",
        Unsafe::LitUnsought => "lit before a reported leak was looked for",
        Unsafe::LitHalfSought { escaped: true, .. } => {
            "lit before a reported leak was looked for everywhere, and gas escaped"
        }
        Unsafe::LitHalfSought { .. } => "lit before a reported leak was looked for everywhere",
        Unsafe::NewPartUntested => "new part not looked at for leaks",
        Unsafe::GasAtUnlitBurner => "gas at an unlit burner",
        Unsafe::LeftBlowing => "gas left to blow out",
        Unsafe::LeftLeaking => "left leaking",
        Unsafe::LeftOverTheLimit(_) => "left over the limit",
        Unsafe::LeftWithTheFault => "left in use with the fault in it",
        Unsafe::LeftAgainstTest(_) => "left in use after a test that failed",
        Unsafe::LitOverBubbles => "lit after bubbles at a vent",
        Unsafe::WaitedUnsought => "waited beside a reported leak with the gas on",
        Unsafe::TurnedSound(_) => "a sound stage turned off its setting",
        Unsafe::LeftAfterBurst => "left in use with a regulator that only a burst of flow helped",
        Unsafe::LitAgainstReading => "lit against a reading",
        Unsafe::LitOverStop(_) => "lit after a reading that is a stop",
        Unsafe::LeftOverStop(_) => "left in use after a reading that is a stop",
        Unsafe::LeftAgainstReading => "left in use after a reading that forbids a flame",
        Unsafe::Forbidden(_) => "forbidden in this drill",
        Unsafe::CalledSafe(_) => "a danger judged to be a pass",
    }
}

/// How much was unsafe, in words: what was done apart from what was said; nothing where nothing was.
pub fn unsafe_counts(g: &Grade) -> Option<String> {
    both_counts(g.unsafe_acts, g.unsafe_said)
}

/// The same of counts.
pub fn both_counts(done: usize, said: usize) -> Option<String> {
    let done = (done > 0).then(|| count(done, "unsafe act"));
    let said = (said > 0).then(|| format!("{} called a pass", count(said, "danger")));
    match (done, said) {
        (Some(done), Some(said)) => Some(format!("{done}, {said}")),
        (done, said) => done.or(said),
    }
}

/// The same in a cell of a table: "1 done", "2 said".
pub fn done_and_said(g: &Grade) -> String {
    match (g.unsafe_acts, g.unsafe_said) {
        (0, 0) => "0".to_owned(),
        (done, 0) => format!("{done} done"),
        (0, said) => format!("{said} said"),
        (done, said) => format!("{done} done, {said} said"),
    }
}

/// When a thing is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// While an attempt goes on, in training.
    Training,
    /// While an exam goes on.
    Exam,
    /// With the marks.
    Ended,
}

impl When {
    /// While an attempt goes on.
    pub fn yet(exam: bool) -> Self {
        if exam { Self::Exam } else { Self::Training }
    }
}

/// What is told of an unsafe act then: its rule, and why. While an attempt goes on that is what was done and not what the rig has:
/// whether gas escapes is for a look to find. In an exam why a thing is forbidden waits for its end, since it often tells what is
/// wrong.
pub fn unsafe_words(u: &Unsafe, rig: &Rig, system: System, when: When) -> (&'static str, String) {
    let told = match u {
        _ if when == When::Ended => u.clone(),
        Unsafe::LitBesideToldGas => Unsafe::LitUnsought,
        Unsafe::LitHalfSought { left_out, .. } => Unsafe::LitHalfSought {
            escaped: false,
            left_out: left_out.clone(),
        },
        u => u.clone(),
    };
    let why = match &told {
        Unsafe::Forbidden(_) if when == When::Exam => "Why is told at the end".to_owned(),
        Unsafe::SetOverTheLimit(_) if when == When::Exam => format!(
            "The screw brought the outlet over {}, which never goes into a vehicle's piping",
            limit(system)
        ),
        u => why_unsafe(u, rig, system),
    };
    (rule(&told), why)
}

/// What was done and why it is unsafe.
pub fn why_unsafe(u: &Unsafe, rig: &Rig, system: System) -> String {
    let name = |i: &usize| {
        let found = rig.appliances.get(*i);
        found.map_or("an appliance", |a| a.name.as_str())
    };
    match u {
        Unsafe::OpenedFast => {
            "A container valve is opened slowly: fast, the excess-flow valve trips and the regulator takes the blow"
                .to_owned()
        }
        Unsafe::FlushedBesideFlame(i) => {
            format!("Gas was let out of the test tap while {} burned", name(i))
        }
        Unsafe::ScrewWithoutGauge => {
            "The screw was turned without a reading of the outlet: it is set by a gauge, never by the flame".to_owned()
        }
        Unsafe::SetOverTheLimit(pa) => format!(
            "The screw brought the outlet to {}; never above {} into a vehicle's piping",
            low(*pa, system),
            limit(system)
        ),
        Unsafe::OpenedUnderPressure => {
            "A hose or a regulator was taken off with gas in the line: container shut, burners off and the line bled first"
                .to_owned()
        }
        Unsafe::OpenedBesideFlame(i) => format!("A gas line was opened while {} burned", name(i)),
        Unsafe::LitWhereGasHadGathered => {
            "Gas had come out unburned, at a burner without a flame or from an open line, and something was lit: air first".to_owned()
        }
        Unsafe::LitWhileGasEscaped => {
            "Escaping gas had been found and was not put right when a burner was lit".to_owned()
        }
        Unsafe::LitBesideToldGas => format!("The owner reports escaping gas, it does escape from this rig, and a burner was lit before it was looked for with leak fluid or a leak check. {SOUGHT}"),
        Unsafe::LitUnsought => format!("The owner reports escaping gas, and a burner was lit before it was looked for with leak fluid or a leak check. {SOUGHT}"),
        Unsafe::LitHalfSought { escaped, left_out } => {
            let does = if *escaped { ", it does escape from this rig" } else { "" };
            let places: Vec<String> = left_out.iter().map(|j| place(*j, rig)).collect();
            format!(
                "The owner reports escaping gas{does}, and a burner was lit before {} looked at with leak fluid. {SOUGHT}",
                match &places[..] {
                    [one] => format!("{one} was"),
                    all => format!("{} were", all.join(" and ")),
                }
            )
        }
        Unsafe::NewPartUntested => {
            "Gas was used through a new part before its connections were looked at for leaks".to_owned()
        }
        Unsafe::GasAtUnlitBurner => {
            "Gas flows out of a burner that does not burn: it gathers until something lights it".to_owned()
        }
        Unsafe::LeftBlowing => {
            "Gas was known to blow out, and the container was left open beyond a look at where: shut it first, and test nothing that wants gas"
                .to_owned()
        }
        Unsafe::LeftLeaking => "Gas escapes, and the rig was left in use".to_owned(),
        Unsafe::LeftOverTheLimit(pa) => format!(
            "The outlet stands at {}, and the rig was left in use; never above {}",
            low(*pa, system),
            limit(system)
        ),
        Unsafe::LeftWithTheFault => {
            "What is wrong is still in the rig: shut the container and leave it to a qualified technician".to_owned()
        }
        Unsafe::LeftAgainstTest(test) => format!(
            "{} had failed, what is wrong is still in the rig, and it was left in use: shut the container and leave it to a qualified technician",
            capital(test.words())
        ),
        Unsafe::LitOverBubbles => {
            "Bubbles had been read at a vent, and something was lit before it was looked at again: until it shows none they are gas".to_owned()
        }
        Unsafe::WaitedUnsought => {
            "The owner reports escaping gas, and the container stood open for minutes before anybody looked: shut it first, or look at once with leak fluid".to_owned()
        }
        Unsafe::TurnedSound(stage) => format!(
            "The {} had been read right under load, and its screw was turned away from that: a screw is never turned to cure what is wrong elsewhere",
            match stage {
                WhichStage::First => "first stage",
                WhichStage::Second => "outlet",
            }
        ),
        Unsafe::LeftAfterBurst => {
            "A regulator that let gas by at rest is replaced, even if a burst of flow helped once: shut the container and leave it to a qualified technician"
                .to_owned()
        }
        Unsafe::LitAgainstReading => {
            "What had been read forbids a flame until it is put right, and something was lit".to_owned()
        }
        Unsafe::LitOverStop(stop) => format!(
            "{}: burners off, shut the container and leave it to a qualified technician. Something was lit instead",
            stop_words(*stop, system)
        ),
        Unsafe::LeftOverStop(stop) => format!(
            "{}: the container is shut and stays shut until a qualified technician has put it right. The rig was left in use",
            stop_words(*stop, system)
        ),
        Unsafe::LeftAgainstReading => {
            "What had been read forbids a flame until it is put right, and the rig was left in use: shut the container and leave it to a qualified technician".to_owned()
        }
        Unsafe::Forbidden(because) => because.clone(),
        Unsafe::CalledSafe(test) => format!(
            "What {} read forbids a flame, and it was judged to be a pass",
            test.words()
        ),
    }
}

/// What was read that is a stop.
fn stop_words(stop: Stop, system: System) -> String {
    match stop {
        Stop::First(pa) => format!(
            "The first stage had been read at {}, over {}: container pressure behind parts made for {}",
            high(pa, system),
            high(LIMITS.first_danger.high, system),
            prose("10 psi", system)
        ),
        Stop::FirstPegged(pa) => format!(
            "The first stage's gauge had stood on its pin, over {}, and no larger one has told how much it is: it may be the container's pressure",
            high(pa, system)
        ),
        Stop::LowSide(pa) => format!(
            "The low side had been read at {}, far over {}",
            low(pa, system),
            limit(system)
        ),
        Stop::Overfilled(share) => format!(
            "A container had been found {:.0} % full, and liquid may come to the regulator",
            100.0 * share
        ),
    }
}

/// When a leak that is reported counts as looked for.
const SOUGHT: &str = "First comes leak fluid on the hose's connections and the joints of the low side, the test of the joints, or a leak check";

/// A joint in a sentence.
fn place(joint: Joint, rig: &Rig) -> String {
    match joint {
        Joint::Pigtail => "the connections of the hose".to_owned(),
        Joint::LowSide => "the joints of the low side".to_owned(),
        other => format!("the {}", other.name(rig)),
    }
}

fn limit(system: System) -> String {
    low(LIMITS.lock_up_caution.high, system)
}
