//! Acts in words, as the command line and the log have them, and back: what `act` names, spoken. Not
//! here: acts in words for people, which `telling` has.

use super::act::{Act, ActError, Answer, Left, WORDS, Which};
use super::library::Cause;
use crate::fault::{Fault, Remedy};
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::service::{Joint, TestKind, TestPoint};
use crate::units::plain;
use crate::units::{Dimension, nearest, parse as parse_quantity};

/// Longest act, characters.
const LONGEST_CHARS: usize = 400;

fn wrong(message: impl Into<String>, help: impl Into<String>) -> ActError {
    ActError {
        message: message.into(),
        help: help.into(),
    }
}

impl Act {
    /// The words of the act on a rig; [`Act::parse`] reads them back.
    pub fn words(&self, rig: &Rig) -> String {
        let appliance = |i: usize| {
            rig.appliances
                .get(i)
                .map_or("?", |a| a.name.as_str())
                .to_owned()
        };
        let which = |w: &Which| match w {
            Which::One(i) => appliance(*i),
            Which::Half => "half".to_owned(),
            Which::All => "all".to_owned(),
        };
        match self {
            Self::Look => "look".to_owned(),
            Self::Listen => "listen".to_owned(),
            Self::Air => "air".to_owned(),
            Self::Read(point) => format!("read {}", point.name(rig)),
            Self::Fluid(joint) => format!("fluid {}", joint_name(*joint, rig)),
            Self::Weigh(i) => format!("weigh {}", i + 1),
            Self::Test(kind) => format!("test {}", kind.words()),
            Self::Light(w) => format!("light {}", which(w)),
            Self::Off(w) => format!("off {}", which(w)),
            Self::Reset(i) => format!("reset {}", appliance(*i)),
            Self::Open { container, slowly } => {
                format!(
                    "open {}{}",
                    container + 1,
                    if *slowly { "" } else { " fast" }
                )
            }
            Self::Shut(i) => format!("shut {}", i + 1),
            Self::Tap => "tap".to_owned(),
            Self::Flush => "flush".to_owned(),
            Self::ClearVents => "clear vents".to_owned(),
            Self::Warm => "warm".to_owned(),
            Self::Screw(stage, degrees) => format!("screw {} {degrees:+}", stage_name(*stage)),
            Self::NewHose => "new hose".to_owned(),
            Self::NewRegulator => "new regulator".to_owned(),
            Self::Wait(s) => format!("wait {s} s"),
            Self::Note(cause, sure) => format!("note {} {}", cause_ids(cause), sure),
            Self::Answer(a) => format!(
                "answer {} {} {}",
                cause_ids(&a.cause),
                a.action.id(),
                left_words(a.left)
            ),
        }
    }

    /// Reads the words of an act.
    ///
    /// # Errors
    /// [`ActError`] with what is wrong and what to do.
    pub fn parse(text: &str, rig: &Rig) -> Result<Self, ActError> {
        if text.chars().nth(LONGEST_CHARS).is_some() {
            return Err(wrong(
                format!("an act is at most {LONGEST_CHARS} characters long"),
                "one act a line",
            ));
        }
        let clean = plain(text);
        let clean = clean.split_whitespace().collect::<Vec<_>>().join(" ");
        let (verb, rest) = clean.split_once(' ').unwrap_or((&clean, ""));
        let rest = rest.trim();
        match (verb, rest) {
            ("look", "") => Ok(Self::Look),
            ("listen", "") => Ok(Self::Listen),
            ("air", "") => Ok(Self::Air),
            ("tap", "") => Ok(Self::Tap),
            ("flush", "") => Ok(Self::Flush),
            ("warm", "") => Ok(Self::Warm),
            ("clear", "vents" | "vent") => Ok(Self::ClearVents),
            ("new", "hose") => Ok(Self::NewHose),
            ("new", "regulator") => Ok(Self::NewRegulator),
            ("read", point) => TestPoint::find(point, rig)
                .and_then(|p| p.check(rig))
                .map(Self::Read)
                .map_err(|e| wrong(e.to_string(), "`read outlet`")),
            ("fluid", joint) => find_joint(joint, rig).map(Self::Fluid),
            ("weigh", which) => container(which, rig).map(Self::Weigh),
            ("test", name) => find_test(name).map(Self::Test),
            ("light", name) => which(name, rig).map(Self::Light),
            ("off", name) => which(name, rig).map(Self::Off),
            ("reset", name) => appliance(name, rig).map(Self::Reset),
            ("open", how) => open(how, rig),
            ("shut", which) => container(which, rig).map(Self::Shut),
            ("screw", how) => screw(how),
            ("wait", time) => wait(time),
            ("note", note) => find_note(note),
            ("answer", answer) => find_answer(answer),
            _ => {
                let verbs = WORDS.map(|(w, _)| w.split(' ').next().unwrap_or(w));
                let help = nearest(verb, verbs).map_or_else(
                    || "`help` for all there are".to_owned(),
                    |n| format!("did you mean `{n}`?"),
                );
                let short: String = clean.chars().take(60).collect();
                Err(wrong(format!("`{short}` is no act"), help))
            }
        }
    }
}

/// Name of a stage.
fn stage_name(stage: WhichStage) -> &'static str {
    match stage {
        WhichStage::First => "first",
        WhichStage::Second => "second",
    }
}

fn left_words(left: Left) -> &'static str {
    match left {
        Left::InUse => "in use",
        Left::ShutOff => "shut off",
    }
}

fn cause_ids(cause: &Cause) -> String {
    if cause.is_empty() {
        return "nothing".to_owned();
    }
    cause
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("+")
}

/// Name of a joint on a rig.
pub fn joint_name(joint: Joint, rig: &Rig) -> String {
    match joint {
        Joint::FirstVent => "first vent".to_owned(),
        Joint::SecondVent => "second vent".to_owned(),
        Joint::Pigtail => "hose".to_owned(),
        Joint::LowSide => "low side".to_owned(),
        Joint::Burner(i) => rig
            .appliances
            .get(i)
            .map_or_else(|| "?".to_owned(), |a| a.name.clone()),
    }
}

fn find_joint(name: &str, rig: &Rig) -> Result<Joint, ActError> {
    match name {
        "first vent" => return Ok(Joint::FirstVent),
        "second vent" => return Ok(Joint::SecondVent),
        "hose" | "pigtail" => return Ok(Joint::Pigtail),
        "low side" => return Ok(Joint::LowSide),
        _ => {}
    }
    appliance(name, rig).map(Joint::Burner).map_err(|_| {
        let short: String = name.chars().take(40).collect();
        wrong(
            format!("`{short}` is no joint"),
            "first vent, second vent, hose, low side, or an appliance by its name",
        )
    })
}

fn find_test(name: &str) -> Result<TestKind, ActError> {
    let plain = |s: &str| s.replace(['-', '_'], " ");
    let wanted = plain(name);
    TestKind::ALL
        .into_iter()
        .find(|t| plain(t.words()) == wanted)
        .ok_or_else(|| {
            let names = TestKind::ALL.map(TestKind::words);
            let help = nearest(name, names)
                .map_or_else(|| names.join(", "), |n| format!("did you mean `test {n}`?"));
            let short: String = name.chars().take(40).collect();
            wrong(format!("`{short}` is no test"), help)
        })
}

fn appliance(name: &str, rig: &Rig) -> Result<usize, ActError> {
    let wanted = name.to_lowercase();
    rig.appliances
        .iter()
        .position(|a| a.name.to_lowercase() == wanted)
        .ok_or_else(|| {
            let names: Vec<&str> = rig.appliances.iter().map(|a| a.name.as_str()).collect();
            let short: String = name.chars().take(40).collect();
            wrong(format!("there is no appliance `{short}`"), names.join(", "))
        })
}

fn which(name: &str, rig: &Rig) -> Result<Which, ActError> {
    match name {
        "all" | "" => Ok(Which::All),
        "half" => Ok(Which::Half),
        name => appliance(name, rig).map(Which::One),
    }
}

fn container(which: &str, rig: &Rig) -> Result<usize, ActError> {
    let number = if which.is_empty() {
        Some(1)
    } else {
        which.parse::<usize>().ok()
    };
    let count = rig.containers.len();
    number
        .filter(|n| (1..=count).contains(n))
        .map(|n| n - 1)
        .ok_or_else(|| {
            wrong(
                format!("there is no container `{which}`"),
                format!("a number from 1 to {count}"),
            )
        })
}

fn open(how: &str, rig: &Rig) -> Result<Act, ActError> {
    let slowly = !how.split(' ').any(|w| w == "fast");
    let rest: Vec<&str> = how
        .split(' ')
        .filter(|w| !matches!(*w, "fast" | "slowly" | ""))
        .collect();
    let container = container(&rest.join(" "), rig)?;
    Ok(Act::Open { container, slowly })
}

fn screw(how: &str) -> Result<Act, ActError> {
    let help = "`screw second +90`: the stage and the degrees, at most 720, in is plus";
    let (stage, degrees) = how.split_once(' ').unwrap_or((how, ""));
    let stage = match stage {
        "first" => WhichStage::First,
        "second" => WhichStage::Second,
        _ => return Err(wrong("`screw` needs a stage", help)),
    };
    let degrees = degrees
        .trim_end_matches("degrees")
        .trim()
        .parse::<f64>()
        .ok();
    match degrees.filter(|d| d.abs() <= 720.0) {
        Some(degrees) => Ok(Act::Screw(stage, degrees)),
        None => Err(wrong("`screw` needs degrees", help)),
    }
}

/// Longest wait in one act \[s\].
const LONGEST_WAIT_S: f64 = 3600.0;

fn wait(time: &str) -> Result<Act, ActError> {
    let seconds =
        parse_quantity(time, Dimension::Time).map_err(|e| wrong(e.message(), e.help()))?;
    if seconds > 0.0 && seconds <= LONGEST_WAIT_S {
        Ok(Act::Wait(seconds))
    } else {
        Err(wrong(
            "a wait of no time or of hours",
            "over 0 and at most 60 min",
        ))
    }
}

fn find_cause(text: &str) -> Result<Cause, ActError> {
    if matches!(text, "nothing" | "none") {
        return Ok(Vec::new());
    }
    let mut out = Vec::new();
    for id in text.split('+').map(str::trim) {
        let fault = Fault::find(id).map_err(|e| {
            let help = e.near().map_or_else(
                || "`faults` lists them".to_owned(),
                |n| format!("did you mean `{n}`?"),
            );
            let short: String = id.chars().take(40).collect();
            wrong(format!("there is no cause `{short}`"), help)
        })?;
        if !out.contains(&fault) {
            out.push(fault);
        }
    }
    Ok(out)
}

fn find_note(text: &str) -> Result<Act, ActError> {
    let (cause, sure) = text.split_once(' ').unwrap_or((text, "50 %"));
    let cause = find_cause(cause)?;
    let sure =
        parse_quantity(sure, Dimension::Fraction).map_err(|e| wrong(e.message(), e.help()))?;
    if (0.0..=1.0).contains(&sure) {
        Ok(Act::Note(cause, sure))
    } else {
        Err(wrong(
            "how sure is from 0 to 100 %",
            "`note second_seat_grit 60 %`",
        ))
    }
}

fn find_answer(text: &str) -> Result<Act, ActError> {
    let help = "`answer second_seat_grit replace shut off`, or `in use` at its end";
    let mut words = text.split(' ');
    let cause = find_cause(words.next().unwrap_or(""))?;
    let action = words.next().unwrap_or("");
    let actions = Remedy::ANSWERS.map(Remedy::id);
    let place = actions.iter().position(|a| *a == action).ok_or_else(|| {
        wrong(
            format!("`{action}` is no action"),
            format!("one of {}", actions.join(", ")),
        )
    })?;
    let left = match words.collect::<Vec<_>>().join(" ").as_str() {
        "in use" => Left::InUse,
        "shut off" | "shut" => Left::ShutOff,
        _ => return Err(wrong("the answer does not say how it was left", help)),
    };
    Ok(Act::Answer(Answer {
        cause,
        action: Remedy::ANSWERS[place],
        left,
    }))
}
