//! A drill's acts in words for people, as a timeline or a report has them, and minutes, shares and counts. Not here: the
//! words of the log and of the command line, which `drill::attempt::act` owns and reads back.

use crate::drill::Drill;
use crate::drill::attempt::act::{Act, Finding, Left, verdict_word};
use crate::drill::making::file::Forbidden;
use crate::drill::reasoning::causes::cause_words;
use crate::drill::reasoning::difficulty::Difficulty;
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::visit::{self, Deed, Test, Which};

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

/// So many of a thing: "1 act", "2 acts".
pub fn count(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

/// What a trainee is told of a fault that comes later.
pub const INTERMITTENT: &str = "An intermittent complaint: it may not show at once. What was read before it shows says nothing of it.";

/// How the rig of a drill stands at its start, whatever its owner says of it.
pub const STANDS: &str =
    "It stands with its burners off and gas on: nobody has shut the container.";

/// What a trainee is told of a drill that asks for reasons.
pub const ASKS_WHY: &str =
    "Before each test you say why that one, in a line; you see it again afterwards.";

/// The appliances of a rig by name, in a sentence.
pub fn appliances(rig: &Rig) -> String {
    let names: Vec<&str> = rig.appliances.iter().map(|a| a.name.as_str()).collect();
    format!("Appliances: {}.", names.join(", "))
}

/// What the drill forbids, a line each. Why often tells what is wrong, whatever was looked at so far: so it is told at the end, and
/// in training with the act itself.
pub fn not_here(drill: &Drill, ended: bool) -> Vec<String> {
    let line = |f: &Forbidden| {
        let why = match (ended, drill.exam) {
            (true, _) => &f.because,
            (false, true) => "Why is told at the end",
            (false, false) => "Why is told at the end, or if it is done",
        };
        format!("Must not be done: {}. {why}", f.tool.words())
    };
    drill.must_not.iter().map(line).collect()
}

/// A step of a path. Lock-up tells all it can where something burned until then, and nothing is lit for it where gas was found.
pub fn step(test: Test) -> String {
    match test {
        Test::LockUp => format!("{}, from half load unless gas was found", test.words()),
        _ => test.words().to_owned(),
    }
}

/// That there is no shorter path, where an attempt was as sure in less.
pub fn no_shorter((act, took): (usize, f64)) -> String {
    format!(
        "None is shorter than yours: by act {act}, after {}, your readings made as sure",
        minutes(took)
    )
}

/// How long it takes to work out what every cause would show.
pub const WORKING_OUT: &str = "a minute or so";

/// How long the best path takes, and from when.
pub fn path_takes(d: &Difficulty) -> String {
    let path = format!("{} in {}", minutes(d.minutes), count(d.steps, "step"));
    if d.from_min > 0.0 {
        format!("{path} from when it is there, at {}", minutes(d.from_min))
    } else {
        path
    }
}

/// That a drill gives its fault away by what a trainee reads first.
pub fn tells_its_fault(drill: &Drill) -> Option<String> {
    let fault = drill.names_its_fault()?;
    Some(format!(
        "Its title or complaint names the fault ({}), and every trainee reads both",
        fault.name()
    ))
}

/// Which of these drills another build worked out, where one was: they can be tried and marked all the same.
pub fn of_another_build<'a>(
    drills: impl IntoIterator<Item = (&'a str, &'a Drill)>,
) -> Option<String> {
    let is_old = |d: &Drill| d.worked.as_ref().is_some_and(|w| !w.is_of_now());
    let old = drills.into_iter().filter(|(_, d)| is_old(d));
    let names: Vec<&str> = old.map(|(name, _)| name).collect();
    (!names.is_empty()).then(|| {
        format!(
            "worked out by another build of the program, so that level, best path and what marks are weighed by may not be those of \
             now: {}. `twostage drill reseal FILE` works them out anew, and attempts stay with their drill",
            names.join(", ")
        )
    })
}

/// Why a drill is hard whose best path is short, where it is so: both are told together.
pub fn short_and_hard(d: &Difficulty) -> Option<String> {
    let at_once = Difficulty {
        from_min: 0.0,
        ..*d
    };
    if at_once.level() < d.level() {
        return Some(format!(
            "It is the wait until the fault is there that makes it level {}: without that it would be level {}",
            d.level(),
            at_once.level()
        ));
    }
    (d.steps <= SHORT && d.level() >= HARD).then(|| {
        "The path is that of who makes the telling test first. The level counts what the usual first tests leave alike, and instruments that err".to_owned()
    })
}

/// So few steps are a short path, and from this level on a drill is no easy one.
const SHORT: usize = 2;
const HARD: u8 = 3;

/// How a drill deals with what is judged.
pub fn judging(exam: bool) -> &'static str {
    if exam {
        "An exam: tests tell numbers, you judge each of them; how right that is you hear at the end. What you do that is unsafe you hear at once, as the rig would tell it."
    } else {
        "Training: tests tell numbers, you judge each of them and hear at once how right that is."
    }
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

fn answer(a: &Finding) -> String {
    let actions: Vec<&str> = a.actions.iter().map(|r| r.order()).collect();
    format!(
        "Answer: {}; {}; {}",
        cause_words(&a.cause),
        actions.join(", and "),
        left(a.left)
    )
}

/// An act as it stands in the timeline.
pub fn act(act: &Act, rig: &Rig) -> String {
    match act {
        Act::Do(act) => of_visit(act, rig),
        Act::Note(cause, sure) => {
            format!(
                "Suspicion: {}, {:.0} % sure",
                cause_words(cause),
                100.0 * sure
            )
        }
        Act::Why(reason) => format!("Why: {reason}"),
        Act::Judge(verdict) => format!("Judged: {}", verdict_word(*verdict)),
        Act::Answer(a) => answer(a),
    }
}

/// An act of a visit.
fn of_visit(act: &visit::Act, rig: &Rig) -> String {
    match act {
        visit::Act::Look => "Look at flames, frost and vent".to_owned(),
        visit::Act::Listen => "Listen at the regulator".to_owned(),
        visit::Act::Thermometer(place) => format!("Thermometer: {}", place.name(rig)),
        visit::Act::Read { point, .. } => format!("Gauge: {}", point.name(rig)),
        visit::Act::Fluid(joint) => format!("Leak fluid: {}", joint.name(rig)),
        visit::Act::Test(test) => format!("Test: {}", test.words()),
        visit::Act::Light(w) => format!("Light {}", which(*w, rig)),
        visit::Act::Off(w) => format!("Shut off {}", which(*w, rig)),
        visit::Act::Reset(i) => format!("Reset {}", which(Which::One(*i), rig)),
        visit::Act::Wait(s) => format!("Wait {}", minutes(s / 60.0)),
        visit::Act::Do(deed) => of_deed(*deed, rig),
    }
}

fn of_deed(deed: Deed, rig: &Rig) -> String {
    let container = |i: usize| {
        if rig.containers.len() > 1 {
            format!("container {}", i + 1)
        } else {
            "the container".to_owned()
        }
    };
    match deed {
        Deed::Weigh { container: i } => format!("Weigh {}", container(i)),
        Deed::OpenValve {
            container: i,
            slowly,
        } => format!(
            "Open {} {}",
            container(i),
            if slowly { "slowly" } else { "fast" }
        ),
        Deed::ShutValve { container: i } => format!("Shut {}", container(i)),
        Deed::ShutFast { container: i } => format!("Shut {} fast", container(i)),
        Deed::Light { appliance } => format!("Light {}", which(Which::One(appliance), rig)),
        Deed::ShutOff { appliance } => format!("Shut off {}", which(Which::One(appliance), rig)),
        Deed::Tap => "Tap the regulator".to_owned(),
        Deed::Flush => "A burst of flow through the test tap".to_owned(),
        Deed::ClearVents => "Clear both vents".to_owned(),
        Deed::WarmCloth => "Warm wet cloth on the regulator".to_owned(),
        Deed::TurnScrew { stage, degrees } => format!(
            "Turn the {} screw {:.0}° {}",
            match stage {
                WhichStage::First => "first-stage",
                WhichStage::Second => "second-stage",
            },
            degrees.abs(),
            if degrees < 0.0 { "out" } else { "in" }
        ),
        Deed::BleedDown => "Bleed the line".to_owned(),
        Deed::SwapHose => "Fit a new hose".to_owned(),
        Deed::SwapRegulator => "Fit a new regulator".to_owned(),
        Deed::NewContainers => "Fit full containers".to_owned(),
        Deed::MendLine => "Put the line right".to_owned(),
        Deed::MendAppliances => "Put the appliances right".to_owned(),
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
