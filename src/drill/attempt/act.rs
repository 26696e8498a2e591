//! What a trainee can do: any act of a visit, and four of a drill's own, a note, a reason, a judgement and the answer. The words of the former
//! are those of the visit's grammar.

use crate::diagnosis::inference::next::Offer;
use crate::drill::reasoning::causes::Cause;
use crate::fault::{Remedy, spoken};
use crate::rig::Rig;
use crate::units::{Dimension, nearest, parse as parse_quantity, parse_number, plain};
use crate::visit::{self, ActError, Bag, Deed, Test, Tool, Verdict, WordFor};
use serde::Serialize;

/// How the rig is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Left {
    /// In use.
    InUse,
    /// Container shut, for a qualified technician.
    ShutOff,
}

/// The final answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What is wrong.
    pub cause: Cause,
    /// What is to be done: one for each cause, or one that puts both right.
    pub actions: Vec<Remedy>,
    /// How it is left.
    pub left: Left,
}

/// One act.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// Something done at the rig.
    Do(visit::Act),
    /// A hypothesis: cause and how sure, 0 to 1.
    Note(Cause, f64),
    /// Why the test that follows, in one line.
    Why(String),
    /// What the newest test comes to, by one's own reading.
    Judge(Verdict),
    /// The final answer.
    Answer(Finding),
}

/// Verdicts that a test can be judged to have, from good to bad.
pub const VERDICTS: [Verdict; 3] = [Verdict::Pass, Verdict::Caution, Verdict::Fail];

/// The word of a verdict in an act.
pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Caution => "caution",
        Verdict::Fail => "fail",
    }
}

/// Acts of a drill's own.
pub const OWN: [WordFor; 4] = [
    WordFor {
        words: "note CAUSE HOW-SURE",
        what: "`note second_seat_grit 60 %`: a hypothesis",
    },
    WordFor {
        words: "why REASON",
        what: "`why to see whether it creeps`: why the test that follows, in one line",
    },
    WordFor {
        words: "judge VERDICT",
        what: "`judge pass`, `judge caution` or `judge fail`: what the test just made comes to, by its numbers",
    },
    WordFor {
        words: "answer CAUSE ACTION LEFT",
        what: "`answer second_seat_grit replace shut off`, or `in use` at its end; two causes with `+` between, and an action for each: `repair+adjust`",
    },
];

/// How acts are written: those of a visit that a drill has, and its own.
pub fn grammar() -> Vec<WordFor> {
    let of_visit = visit::GRAMMAR.into_iter().filter_map(|w| match w.words {
        // What cannot be at hand is not offered either ([`Act::is_of_a_drill`]).
        "visit" | "mend PART" => None,
        "new PART" => Some(WordFor {
            what: "hose or regulator",
            ..w
        }),
        _ => Some(w),
    });
    of_visit.chain(OWN).collect()
}

/// The same, as far as they can be done with what is at hand.
pub fn grammar_at(bag: &Bag) -> Vec<WordFor> {
    let parts = match (bag.has(Tool::NewHose), bag.has(Tool::NewRegulator)) {
        (true, false) => "hose",
        (false, true) => "regulator",
        _ => "hose or regulator",
    };
    let can = |w: &WordFor| {
        let tools = takes(w);
        tools.is_empty() || tools.iter().any(|t| bag.has(*t))
    };
    let told = |w: WordFor| match w.words {
        "new PART" => WordFor { what: parts, ..w },
        _ => w,
    };
    grammar().into_iter().filter(can).map(told).collect()
}

/// The tools of which an act takes one; none where it takes what is always at hand, or which follows from the words after it.
fn takes(w: &WordFor) -> &'static [Tool] {
    match w.words.split(' ').next().unwrap_or_default() {
        "thermometer" => &[Tool::Thermometer],
        "fluid" => &[Tool::LeakFluid],
        "tap" => &[Tool::Tap],
        "flush" => &[Tool::Flush],
        "clear" => &[Tool::ClearVents],
        "warm" => &[Tool::WarmCloth],
        "screw" => &[Tool::Screw],
        "weigh" => &[Tool::Scales],
        "new" => &[Tool::NewHose, Tool::NewRegulator],
        _ => &[],
    }
}

/// Longest wait in one act \[s\], and most degrees of one turn of a screw.
const LONGEST_WAIT_S: f64 = 3600.0;
const MOST_DEGREES: f64 = 720.0;

impl Act {
    /// The tool it takes, if any.
    pub fn tool(&self) -> Option<Tool> {
        match self {
            Self::Do(act) => act.tool(),
            Self::Note(..) | Self::Why(_) | Self::Judge(_) | Self::Answer(_) => None,
        }
    }

    /// Whether a drill has it at all: nobody drives off with the rig, and what cannot be at hand is not.
    pub fn is_of_a_drill(&self) -> bool {
        let Self::Do(act) = self else { return true };
        !matches!(
            act,
            visit::Act::Test(Test::Climb)
                | visit::Act::Do(Deed::NewContainers | Deed::MendLine | Deed::MendAppliances)
        )
    }

    /// Whether it opens or shuts a container.
    pub fn turns_a_container(&self) -> bool {
        let Self::Do(visit::Act::Do(deed)) = self else {
            return false;
        };
        matches!(
            deed,
            Deed::OpenValve { .. } | Deed::ShutValve { .. } | Deed::ShutFast { .. }
        )
    }

    /// Whether it looks at the rig: eyes, ears, a gauge, leak fluid or a test.
    pub fn is_a_look(&self) -> bool {
        let Self::Do(act) = self else { return false };
        matches!(
            act,
            visit::Act::Look
                | visit::Act::Listen
                | visit::Act::Read { .. }
                | visit::Act::Fluid(_)
                | visit::Act::Test(_)
        )
    }

    /// The words of the act on a rig; [`Act::parse`] reads them back.
    pub fn words(&self, rig: &Rig) -> String {
        match self {
            Self::Do(act) => act.words(rig),
            Self::Note(cause, sure) => format!("note {} {} %", cause_ids(cause), in_percent(*sure)),
            Self::Why(reason) => format!("why {reason}"),
            Self::Judge(verdict) => format!("judge {}", verdict_word(*verdict)),
            Self::Answer(a) => {
                let left = match a.left {
                    Left::InUse => "in use",
                    Left::ShutOff => "shut off",
                };
                let actions: Vec<&str> = a.actions.iter().map(|r| r.id()).collect();
                let actions = actions.join("+");
                let of = [&*cause_ids(&a.cause), &*actions, left];
                let said: Vec<&str> = of.into_iter().filter(|w| !w.is_empty()).collect();
                format!("answer {}", said.join(" "))
            }
        }
    }

    /// Reads the words of an act.
    ///
    /// # Errors
    /// [`ActError`] with what is wrong and what to do.
    pub fn parse(text: &str, rig: &Rig) -> Result<Self, ActError> {
        Self::parse_of(text, rig, &grammar(), &Bag::full())
    }

    /// Reads the words of an act where this is at hand: a mistake offers nothing else.
    ///
    /// # Errors
    /// As [`Act::parse`].
    pub fn parse_at(text: &str, rig: &Rig, bag: &Bag) -> Result<Self, ActError> {
        let act = Self::parse_of(text, rig, &grammar_at(bag), bag)?;
        match &act {
            Self::Answer(a) if a.cause.is_empty() && !a.actions.is_empty() => Err(ActError::new(
                "an answer of no fault at all, and something to be done beside it",
                "`answer nothing in use` or `answer nothing shut off`, or the cause that it is done for",
            )),
            _ => Ok(act),
        }
    }

    fn parse_of(text: &str, rig: &Rig, grammar: &[WordFor], bag: &Bag) -> Result<Self, ActError> {
        let short: String = text.chars().take(200).collect();
        let clean = plain(&short);
        let clean = clean.split_whitespace().collect::<Vec<_>>().join(" ");
        match clean.split_once(' ').unwrap_or((&clean, "")) {
            ("note", note) => find_note(note),
            ("why", "") => Err(ActError::new(
                "the reason is missing",
                "`why to see whether it creeps`",
            )),
            ("why", reason) => Ok(Self::Why(reason.to_owned())),
            ("judge", verdict) => find_verdict(verdict),
            ("answer", answer) => find_answer(answer),
            _ => {
                let act = visit::Act::parse_one(&clean, rig)
                    .map_err(|e| with_help(e, &clean, grammar, || tests_at(bag, rig)))?;
                check(&act)?;
                Ok(Self::Do(act))
            }
        }
    }
}

/// The tests that can be made with what is at hand, in the fixed order of a visit.
pub fn tests_at(bag: &Bag, rig: &Rig) -> Vec<Test> {
    Offer::with(bag, rig).tests().collect()
}

/// The names of some tests, the nearest to a word first, however it parts them; then those that have it for one of their words;
/// the rest keeps its order.
fn nearest_first(word: &str, tests: Vec<Test>) -> Vec<&'static str> {
    let whole = |name: &str| name.replace([' ', '-', '_'], "");
    let mut left: Vec<(String, &'static str)> = tests
        .into_iter()
        .map(|t| (whole(t.words()), t.words()))
        .collect();
    let mut out = Vec::new();
    while let Some(near) = nearest(&whole(word), left.iter().map(|t| t.0.as_str())) {
        let near = near.to_owned();
        out.extend(left.iter().filter(|t| t.0 == near).map(|t| t.1));
        left.retain(|t| t.0 != near);
    }
    let has_word = |t: &&'static str| t.split([' ', '-']).any(|w| nearest(word, [w]).is_some());
    let left = left.into_iter().map(|t| t.1);
    let (named, others): (Vec<_>, Vec<_>) = left.partition(has_word);
    out.extend(named.into_iter().chain(others));
    out
}

/// A mistake that tells what to do in a drill.
fn with_help(
    e: ActError,
    clean: &str,
    grammar: &[WordFor],
    tests: impl Fn() -> Vec<Test>,
) -> ActError {
    // What is not at hand is not offered, among tests as among acts.
    if let Some(name) = clean.strip_prefix("test ")
        && Test::find(name).is_none()
    {
        let names = nearest_first(name, tests());
        let help = match &names[..] {
            [] => "`help` for all there are".to_owned(),
            names => format!(
                "`test NAME` with one of those at hand: {}",
                names.join(", ")
            ),
        };
        return ActError::new(e.message, help);
    }
    if e == visit::unknown_act(clean, &visit::GRAMMAR) {
        return visit::unknown_act(clean, grammar);
    }
    if e.help.is_empty() {
        return ActError::new(e.message, "`help` for all there are");
    }
    e
}

/// That an act is not larger than a drill has them.
fn check(act: &visit::Act) -> Result<(), ActError> {
    match act {
        visit::Act::Wait(s) if *s > LONGEST_WAIT_S => Err(ActError::new(
            "one wait is at most 60 min",
            "`wait 60 min`, and again for the rest",
        )),
        visit::Act::Do(Deed::TurnScrew { degrees, .. }) if degrees.abs() > MOST_DEGREES => {
            Err(ActError::new(
                "the screw has no more than two turns",
                "at most 720 degrees",
            ))
        }
        _ => Ok(()),
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

/// What somebody calls a rig that they take for sound.
const HEALTHY: [&str; 6] = [
    "healthy",
    "ok",
    "sound",
    "all well",
    "no fault found",
    "nothing is wrong",
];

fn find_cause(text: &str) -> Result<Cause, ActError> {
    if matches!(text, "nothing" | "none" | "no fault") {
        return Ok(Vec::new());
    }
    let mut out = Vec::new();
    for words in text.split('+').map(str::trim) {
        if HEALTHY.contains(&words) {
            return Err(ActError::new(
                "every drill has a fault, also one that does not show yet or not with what was tested",
                "test on, or wait and test again; `answer nothing shut off` ends it without a cause",
            ));
        }
        let fault = spoken(words).map_err(|near| {
            let short: String = words.chars().take(60).collect();
            let ids: Vec<String> = near.iter().map(|f| format!("`{f}`")).collect();
            let help = match &ids[..] {
                [] => "`faults` lists them, by family".to_owned(),
                ids => format!("did you mean {}? `faults` lists all", ids.join(" or ")),
            };
            ActError::new(format!("there is no cause `{short}`"), help)
        })?;
        if !out.contains(&fault) {
            out.push(fault);
        }
    }
    Ok(out)
}

/// A share in percent, without the last digits that its binary form leaves.
fn in_percent(share: f64) -> f64 {
    const DIGITS: f64 = 1e9;
    (100.0 * share * DIGITS).round() / DIGITS
}

fn find_note(text: &str) -> Result<Act, ActError> {
    const HELP: &str = "`note second_seat_grit 60 %`: the cause, and how sure";
    if text.is_empty() {
        return Err(ActError::new("the suspicion is missing", HELP));
    }
    // The cause may have many words; how sure begins with a figure.
    let figure = text.match_indices(' ').find(|(at, _)| {
        text[at + 1..].starts_with(|c: char| c.is_ascii_digit() || "+-−.".contains(c))
    });
    let (cause, sure) = figure.map_or((text, "50 %"), |(at, _)| (&text[..at], &text[at + 1..]));
    let cause = find_cause(cause)?;
    // A bare number over 1 can only be percent.
    let sure = match parse_number(sure) {
        Some(percent) if percent > 1.0 => percent / 100.0,
        _ => parse_quantity(sure, Dimension::Fraction)
            .map_err(|e| ActError::new(e.message(), e.help()))?,
    };
    if (0.0..=1.0).contains(&sure) {
        Ok(Act::Note(cause, sure))
    } else {
        Err(ActError::new(
            "how sure is from 0 to 100 %",
            "`note second_seat_grit 60 %`",
        ))
    }
}

fn find_verdict(text: &str) -> Result<Act, ActError> {
    let found = VERDICTS.into_iter().find(|v| verdict_word(*v) == text);
    found.map(Act::Judge).ok_or_else(|| {
        ActError::new(
            "a test is judged by one of three words",
            "`judge pass`, `judge caution` or `judge fail`",
        )
    })
}

fn find_answer(text: &str) -> Result<Act, ActError> {
    const HELP: &str = "`answer second_seat_grit replace shut off`, or `in use` at its end";
    const LEFT: [(&str, Left); 3] = [
        ("in use", Left::InUse),
        ("shut off", Left::ShutOff),
        ("shut", Left::ShutOff),
    ];
    if text.is_empty() {
        return Err(ActError::new(
            "an answer tells the cause, what to do, and how it is left",
            HELP,
        ));
    }
    // From its end, since a cause may have many words.
    let cut = |words| {
        text.strip_suffix(words)
            .filter(|r: &&str| r.is_empty() || r.ends_with(' '))
    };
    let left = LEFT
        .iter()
        .find_map(|(w, left)| Some((cut(*w)?.trim_end(), *left)));
    let rest = left.map_or(text, |l| l.0);
    // Where nothing is wrong nothing is done.
    if let (Some((_, left)), Ok([])) = (left, find_cause(rest).as_deref()) {
        return Ok(Act::Answer(Finding {
            cause: Vec::new(),
            actions: Vec::new(),
            left,
        }));
    }
    let (cause, action) = rest.rsplit_once(' ').unwrap_or((rest, ""));
    let Some(actions) = find_actions(action) else {
        // Whether the last word is of the cause, or meant for an action, is told by whether the rest is a cause.
        let (cause, action) = if find_cause(rest).is_ok() {
            (rest, "")
        } else {
            (cause, action)
        };
        find_cause(cause)?;
        let message = match action {
            "" => "the answer does not say what to do".to_owned(),
            action => format!("`{action}` is no action"),
        };
        let all = Remedy::ANSWERS.map(Remedy::id).join(", ");
        return Err(ActError::new(message, format!("one of {all}; {HELP}")));
    };
    let cause = find_cause(cause)?;
    let Some((_, left)) = left else {
        return Err(ActError::new(
            "the answer does not say how it was left",
            HELP,
        ));
    };
    if actions.len() > cause.len().max(1) {
        return Err(ActError::new(
            "there are more actions than causes",
            "one for each cause, `repair+adjust` for two, or one that puts both right",
        ));
    }
    Ok(Act::Answer(Finding {
        cause,
        actions,
        left,
    }))
}

/// Actions with `+` between, none twice.
fn find_actions(text: &str) -> Option<Vec<Remedy>> {
    let mut out = Vec::new();
    for id in text.split('+') {
        let action = Remedy::ANSWERS.into_iter().find(|a| a.id() == id)?;
        if !out.contains(&action) {
            out.push(action);
        }
    }
    Some(out)
}
