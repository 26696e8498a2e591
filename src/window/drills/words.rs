//! Drills in words for people: acts, minutes, how hard, and what was told in the units on show.
//! Not here: the words of the log, which `drill::act` owns.

use crate::drill::act::{Act, Answer, Left, Which, joint_name};
use crate::drill::assess::{Difficulty, cause_words};
use crate::drill::check::Check;
use crate::drill::file::ACTIONS;
use crate::drill::tool::Tool;
use crate::fault::Remedy;
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::service::TestKind;
use crate::units::{Dimension, parse};
use crate::window::show::Units;

/// A clock of minutes and seconds.
pub fn clock(time_s: f64) -> String {
    let s = time_s.max(0.0).round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

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

/// A level in a word.
pub fn level(level: u8) -> &'static str {
    match level {
        0 | 1 => "very easy",
        2 => "easy",
        3 => "middling",
        4 => "hard",
        _ => "very hard",
    }
}

/// How hard, in a line.
pub fn difficulty(d: &Difficulty) -> String {
    format!(
        "Level {}, {}: {:.1} bits to find out, {:.0} min on the best path",
        d.level(),
        level(d.level()),
        d.bits,
        d.minutes
    )
}

/// What an answer can name as the thing to do.
pub fn action(remedy: Remedy) -> &'static str {
    ACTIONS
        .iter()
        .find(|(r, _)| *r == remedy)
        .map_or("a tap", |(_, words)| words)
}

/// Minutes a test takes with its hand work, about. Those of [`Check`] are the same tests.
pub fn test_minutes(kind: TestKind, hand: f64) -> f64 {
    let running = match kind {
        TestKind::FlowPressure | TestKind::FullLoad => 1.0,
        TestKind::LoadUpDown => 2.0,
        TestKind::LockUp => 1.5,
        TestKind::LeakCheck | TestKind::Creep => 5.0,
        TestKind::Vent => 2.0,
        TestKind::FirstStage => 3.0,
        TestKind::NewPiping => 15.0,
    };
    running + hand
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
        action(a.action),
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

/// A tool's name with a capital.
pub fn tool(tool: Tool) -> String {
    crate::window::burners::capital(tool.words())
}

/// A step of a path with its minutes.
pub fn step(check: Check, bag: &crate::drill::tool::Bag) -> String {
    format!(
        "{}, {}",
        crate::window::burners::capital(check.words()),
        minutes(check.minutes(bag))
    )
}

/// A line of the log in the units on show. Logs are told in US units; a number before one of their
/// units is turned into SI where SI is asked for, everything else stays.
pub fn told(line: &str, units: Units) -> String {
    if units == Units::Us {
        return line.to_owned();
    }
    let mut out = String::with_capacity(line.len());
    let mut rest = line;
    while let Some((from, to, shown)) = next_quantity(rest) {
        out.push_str(&rest[..from]);
        out.push_str(&shown);
        rest = &rest[to..];
    }
    out + rest
}

/// The next quantity of a line: where it begins and ends, and how it reads in SI.
fn next_quantity(line: &str) -> Option<(usize, usize, String)> {
    let marks = [
        ("in w.c.", "inwc", Dimension::GaugePressure),
        ("psi", "psi", Dimension::GaugePressure),
        ("lb", "lb", Dimension::Mass),
    ];
    let (at, (words, symbol, dimension)) = marks
        .iter()
        .filter_map(|m| line.find(&format!(" {}", m.0)).map(|at| (at, *m)))
        .min_by_key(|m| m.0)?;
    let number = line[..at]
        .rsplit(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+')))
        .next()
        .unwrap_or("");
    let from = at - number.len();
    let to = at + 1 + words.len();
    let si = parse(
        &format!("{} {symbol}", number.trim_start_matches('+')),
        dimension,
    );
    let shown = match (si, dimension) {
        (Ok(pa), Dimension::GaugePressure) if words == "psi" => Units::Si.high(pa).to_string(),
        (Ok(pa), Dimension::GaugePressure) => Units::Si.low(pa).to_string(),
        (Ok(kg), _) => Units::Si.mass(kg).to_string(),
        // No number stands before it: the words stay.
        (Err(_), _) => return Some((from, to, line[from..to].to_owned())),
    };
    let plus = if number.starts_with('+') { "+" } else { "" };
    Some((from, to, format!("{plus}{shown}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_said_as_one_says_them() {
        assert_eq!(minutes(0.2), "12 s");
        assert_eq!(minutes(1.0), "1 min");
        assert_eq!(minutes(2.5), "2.5 min");
        assert_eq!(clock(777.4), "12:57");
    }

    /// 1 in w.c. is 249.089 Pa and 1 psi 6894.757 Pa (published).
    #[test]
    fn what_was_told_reads_in_si_too() {
        assert_eq!(
            told("outlet: 11.2 in w.c.", Units::Us),
            "outlet: 11.2 in w.c."
        );
        assert_eq!(told("outlet: 11.2 in w.c.", Units::Si), "outlet: 2.79 kPa");
        assert_eq!(
            told("from +1.0 in w.c. to 10.0 psi", Units::Si),
            "from +0.25 kPa to 68.9 kPa"
        );
        assert_eq!(told("over psi all", Units::Si), "over psi all");
    }
}
