//! Acts in words for people, as a timeline or a report has them. Not here: the words of the log and
//! of the command line, which `act` owns and reads back.

use super::act::{Act, Answer, Left, Which, joint_name};
use super::assess::cause_words;
use super::grade::Step;
use crate::rig::Rig;
use crate::scenario::WhichStage;

/// Minutes as one says them.
pub fn minutes(minutes: f64) -> String {
    let seconds = 60.0 * minutes;
    if seconds < 59.5 {
        format!("{seconds:.0} s")
    } else if (minutes - minutes.round()).abs() < 0.05 {
        format!("{minutes:.0} min")
    } else {
        format!("{minutes:.1} min")
    }
}

/// A belief in percent. Nothing is wholly sure, and nothing wholly out of the question.
pub fn percent(belief: f64) -> String {
    match 100.0 * belief {
        p if p >= 99.5 => "over 99 %".to_owned(),
        p if p < 0.5 => "under 1 %".to_owned(),
        p => format!("{p:.0} %"),
    }
}

/// Most causes told by name.
const NAMED: usize = 4;

/// What the readings said after an act: the cause they are sure of, the causes not yet told apart,
/// or how many are still open.
pub fn says(step: &Step) -> String {
    let names: Vec<String> = step.alike.iter().map(|(c, _)| cause_words(c)).collect();
    let held: f64 = step.alike.iter().map(|(_, p)| p).sum();
    match names.as_slice() {
        [one] if held >= 0.5 => format!("{one}, {}", percent(held)),
        [_, .., last] if names.len() <= NAMED && held >= 0.5 => {
            let before = names[..names.len() - 1].join(", ");
            format!(
                "{before} or {last}: not yet told apart, together {}",
                percent(held)
            )
        }
        _ => format!("about {:.0} causes still open", step.open),
    }
}

/// So many of a thing: "1 act", "2 acts".
pub fn count(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

fn which(which: Which, rig: &Rig) -> String {
    match which {
        Which::One(i) => rig
            .appliances
            .get(i)
            .map_or_else(|| "?".to_owned(), |a| a.name.clone()),
        Which::Half => "about half of the load".to_owned(),
        Which::All => "everything".to_owned(),
    }
}

fn left(left: Left) -> &'static str {
    match left {
        Left::InUse => "left in use",
        Left::ShutOff => "left shut off",
    }
}

fn answer(a: &Answer) -> String {
    format!(
        "Answer: {}; {}; {}",
        cause_words(&a.cause),
        a.action.order(),
        left(a.left)
    )
}

/// An act as it stands in the timeline.
pub fn act(act: &Act, rig: &Rig) -> String {
    let container = |i: usize| {
        if rig.containers.len() > 1 {
            format!("container {}", i + 1)
        } else {
            "the container".to_owned()
        }
    };
    match act {
        Act::Look => "Look at flames, frost and vent".to_owned(),
        Act::Listen => "Listen at the regulator".to_owned(),
        Act::Air => "Thermometer in the air".to_owned(),
        Act::Read(point) => format!("Gauge: {}", point.name(rig)),
        Act::Fluid(joint) => format!("Leak fluid: {}", joint_name(*joint, rig)),
        Act::Weigh(i) => format!("Weigh {}", container(*i)),
        Act::Test(kind) => format!("Test: {}", kind.words()),
        Act::Light(w) => format!("Light {}", which(*w, rig)),
        Act::Off(w) => format!("Shut off {}", which(*w, rig)),
        Act::Reset(i) => format!("Reset {}", which(Which::One(*i), rig)),
        Act::Open {
            container: i,
            slowly,
        } => format!(
            "Open {} {}",
            container(*i),
            if *slowly { "slowly" } else { "fast" }
        ),
        Act::Shut(i) => format!("Shut {}", container(*i)),
        Act::Tap => "Tap the regulator".to_owned(),
        Act::Flush => "A burst of flow through the test tap".to_owned(),
        Act::ClearVents => "Clear both vents".to_owned(),
        Act::Warm => "Warm wet cloth on the regulator".to_owned(),
        Act::Screw(stage, degrees) => format!(
            "Turn the {} screw {:.0}° {}",
            match stage {
                WhichStage::First => "first-stage",
                WhichStage::Second => "second-stage",
            },
            degrees.abs(),
            if *degrees < 0.0 { "out" } else { "in" }
        ),
        Act::NewHose => "Fit a new hose".to_owned(),
        Act::NewRegulator => "Fit a new regulator".to_owned(),
        Act::Wait(s) => format!("Wait {}", minutes(s / 60.0)),
        Act::Note(cause, sure) => {
            format!(
                "Suspicion: {}, {:.0} % sure",
                cause_words(cause),
                100.0 * sure
            )
        }
        Act::Answer(a) => answer(a),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;

    #[test]
    fn minutes_are_said_as_one_says_them() {
        assert_eq!(minutes(0.2), "12 s");
        assert_eq!(minutes(1.0), "1 min");
        assert_eq!(minutes(2.5), "2.5 min");
    }

    #[test]
    fn what_the_log_holds_is_told_without_its_code_words() {
        let rig = Scenario::opening().rig;
        let told = |words: &str| act(&Act::parse(words, &rig).expect("an act"), &rig);
        assert_eq!(told("read outlet"), "Gauge: outlet");
        assert_eq!(told("open fast"), "Open the container fast");
        assert_eq!(
            told("screw second -90"),
            "Turn the second-stage screw 90° out"
        );
        let answer = told("answer second_seat_grit replace shut off");
        assert!(
            !answer.contains('_') && answer.ends_with("left shut off"),
            "{answer}"
        );
    }
}
