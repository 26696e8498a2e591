//! Everything a hand, an eye or an ear can do at a rig, one act at a time, in one grammar: `service --do`, drills and
//! their logs speak it. Not here: the doing (`follow`).

use super::deeds::Deed;
use super::test::Test;
use super::tool::Tool;
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::service::{Device, Joint, Kit, Place, PointError, TestPoint};
use crate::units::{self, Dimension, System, nearest, parse, parse_number, plain};
use serde::Serialize;

/// Which appliances.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Which {
    /// One, by its place.
    One(usize),
    /// Those that make about half of the load, and no others.
    Half,
    /// All of them.
    All,
}

/// One act.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act {
    /// One of the tests.
    Test(Test),
    /// A deed.
    Do(Deed),
    /// Light appliances and watch how they burn.
    Light(Which),
    /// Shut appliances off.
    Off(Which),
    /// Reset a locked-out appliance or relight its pilot.
    Reset(usize),
    /// A gauge at a test point; without one, the finest whose range holds the pressure.
    Read {
        /// Where.
        point: TestPoint,
        /// What.
        gauge: Option<Device>,
        /// How long it is watched once it rests \[s\]; 0 is not at all.
        watched_s: f64,
    },
    /// The thermometer somewhere, until it rests.
    Thermometer(Place),
    /// Leak fluid on a joint.
    Fluid(Joint),
    /// Flames, frost, the second-stage vent.
    Look,
    /// Ear at the regulator.
    Listen,
    /// Let time pass \[s\].
    Wait(f64),
}

/// The words of an act and what they mean.
#[derive(Debug, Clone, Copy)]
pub struct WordFor {
    /// How it is written.
    pub words: &'static str,
    /// What is done.
    pub what: &'static str,
}

const fn word(words: &'static str, what: &'static str) -> WordFor {
    WordFor { words, what }
}

/// The grammar: how every act is written.
pub const GRAMMAR: [WordFor; 22] = [
    word(
        "test NAME",
        "leak check, flow pressure, full load, load up and down, lock-up, creep, vent, first stage, new piping and more",
    ),
    word(
        "read POINT [with GAUGE] [for TIME]",
        "outlet, manifold, first stage, inlet, container, or an appliance; watched it bounces and lags",
    ),
    word("thermometer PLACE", "air, body, spring case, container"),
    word(
        "fluid JOINT",
        "leak fluid: first vent, second vent, pigtail, low side, or an appliance",
    ),
    word("look", "flames, frost, the second-stage vent"),
    word("listen", "hum, hiss or roar at the regulator"),
    word("light NAME", "an appliance, `half` or `all`"),
    word("off NAME", "an appliance or `all`"),
    word("reset NAME", "a locked-out appliance, or a pilot"),
    word("open [fast] [N]", "a container valve, slowly unless fast"),
    word("shut [fast] [N]", "a container valve"),
    word("bleed", "the line through the test tap, the container shut"),
    word("tap", "the regulator's body"),
    word("flush", "a burst of flow through the test tap"),
    word("clear vents", "both of them"),
    word("warm", "a warm wet cloth on the regulator, one minute"),
    word("screw STAGE DEGREES", "`screw second +90`; in is plus"),
    word("weigh [N]", "a container on the scales"),
    word("new PART", "hose, regulator or containers"),
    word("mend PART", "line or appliances"),
    word("wait TIME", "`wait 5 min`"),
    word(
        "visit",
        "all tests of a visit, one after the other, as far as it may go",
    ),
];

/// Words that are no act, with what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}{}", if .help.is_empty() { String::new() } else { format!("; {}", .help) })]
pub struct ActError {
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
}

impl ActError {
    /// A mistake and what to do about it.
    pub fn new(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            help: help.into(),
        }
    }
}

impl From<PointError> for ActError {
    fn from(e: PointError) -> Self {
        Self::new(e.to_string(), "")
    }
}

/// A text as it is told back: no longer than a person reads.
fn short(text: &str) -> String {
    text.chars().take(60).collect()
}

/// Longest act, characters.
const LONGEST_CHARS: usize = 200;
/// Longest wait of one act \[s\].
const LONGEST_S: f64 = 24.0 * 3600.0;
/// Longest a gauge is watched \[s\].
const WATCH_S: f64 = 600.0;
/// Most degrees of one turn of the screw.
const MOST_DEGREES: f64 = 7200.0;

impl Act {
    /// Reads acts: `visit` gives all its tests.
    ///
    /// # Errors
    /// [`ActError`] with what is wrong and what to do.
    pub fn parse(text: &str, rig: &Rig) -> Result<Vec<Self>, ActError> {
        let clean = clean(text)?;
        if clean == "visit" {
            return Ok(Test::VISIT.map(Self::Test).to_vec());
        }
        Self::one(&clean, rig).map(|act| vec![act])
    }

    /// Reads one act.
    ///
    /// # Errors
    /// As [`Act::parse`].
    pub fn parse_one(text: &str, rig: &Rig) -> Result<Self, ActError> {
        Self::one(&clean(text)?, rig)
    }

    fn one(clean: &str, rig: &Rig) -> Result<Self, ActError> {
        let (verb, rest) = clean.split_once(' ').unwrap_or((clean, ""));
        if let Some(w) = wants_a_name(verb).filter(|_| rest.is_empty()) {
            return Err(ActError::new(
                format!("`{verb}` alone says too little"),
                format!("`{}`: {}", w.words, w.what),
            ));
        }
        match (verb, rest) {
            ("look", "") => Ok(Self::Look),
            ("listen", "") => Ok(Self::Listen),
            ("air", "") => Ok(Self::Thermometer(Place::Air)),
            ("tap", "") => Ok(Self::Do(Deed::Tap)),
            ("bleed", "") => Ok(Self::Do(Deed::BleedDown)),
            ("flush", "") => Ok(Self::Do(Deed::Flush)),
            ("warm", "") => Ok(Self::Do(Deed::WarmCloth)),
            ("clear", "vents" | "vent") => Ok(Self::Do(Deed::ClearVents)),
            ("new", "hose" | "pigtail") => Ok(Self::Do(Deed::SwapHose)),
            ("new", "regulator") => Ok(Self::Do(Deed::SwapRegulator)),
            ("new", "containers" | "container") => Ok(Self::Do(Deed::NewContainers)),
            ("mend", "line") => Ok(Self::Do(Deed::MendLine)),
            ("mend", "appliances" | "appliance") => Ok(Self::Do(Deed::MendAppliances)),
            ("test", name) => test(name).map(Self::Test),
            ("read", how) => read(how, rig),
            ("thermometer", place) => Ok(Self::Thermometer(Place::find(place, rig)?)),
            ("fluid", joint) => Ok(Self::Fluid(Joint::find(joint, rig)?)),
            ("light", name) => which(name, rig).map(Self::Light),
            ("off", name) => which(name, rig).map(Self::Off),
            ("reset", name) => appliance(name, rig).map(Self::Reset),
            ("open" | "shut" | "weigh", which) => at_container(verb, which, rig),
            ("screw", how) => screw(how),
            ("wait", time) => seconds(time, LONGEST_S).map(Self::Wait),
            _ => Err(unknown(clean, &GRAMMAR)),
        }
    }

    /// The words of the act on a rig; [`Act::parse_one`] reads them back.
    pub fn words(&self, rig: &Rig) -> String {
        let appliance = |i: usize| rig.appliances.get(i).map_or("?", |a| a.name.as_str());
        let which = |w: Which| match w {
            Which::One(i) => appliance(i),
            Which::Half => "half",
            Which::All => "all",
        };
        match *self {
            Self::Look => "look".to_owned(),
            Self::Listen => "listen".to_owned(),
            Self::Thermometer(place) => format!("thermometer {}", place.name(rig)),
            Self::Read {
                point,
                gauge,
                watched_s,
            } => {
                let gauge = gauge.map_or_else(String::new, |g| format!(" with {}", g.name()));
                let watched = if watched_s > 0.0 {
                    format!(" for {watched_s} s")
                } else {
                    String::new()
                };
                format!("read {}{gauge}{watched}", point.name(rig))
            }
            Self::Fluid(joint) => format!("fluid {}", joint.name(rig)),
            Self::Test(test) => format!("test {}", test.words()),
            Self::Light(w) => format!("light {}", which(w)),
            Self::Off(w) => format!("off {}", which(w)),
            Self::Reset(i) => format!("reset {}", appliance(i)),
            Self::Wait(s) => format!("wait {s} s"),
            Self::Do(deed) => deed_words(deed, &appliance),
        }
    }

    /// Whether it lights something.
    pub fn lights(&self) -> bool {
        matches!(self, Self::Light(_) | Self::Do(Deed::Light { .. }))
    }

    /// The tool it takes, if any.
    pub fn tool(&self) -> Option<Tool> {
        Some(match self {
            Self::Look => Tool::Eyes,
            Self::Listen => Tool::Ears,
            Self::Thermometer(_) => Tool::Thermometer,
            Self::Read { point, .. } => match point {
                TestPoint::Container(_) | TestPoint::Inlet(_) => Tool::ContainerGauge,
                TestPoint::FirstStage => Tool::InterstageGauge,
                _ => Tool::Manometer,
            },
            Self::Fluid(_) => Tool::LeakFluid,
            Self::Test(test) => test.tool(),
            Self::Light(_) | Self::Off(_) | Self::Reset(_) => Tool::Burners,
            Self::Do(deed) => return deed.tool(),
            Self::Wait(_) => return None,
        })
    }
}

fn deed_words<'a>(deed: Deed, appliance: &impl Fn(usize) -> &'a str) -> String {
    match deed {
        Deed::OpenValve { container, slowly } => {
            let fast = if slowly { "" } else { "fast " };
            format!("open {fast}{}", container + 1)
        }
        Deed::ShutValve { container } => format!("shut {}", container + 1),
        Deed::ShutFast { container } => format!("shut fast {}", container + 1),
        Deed::Light { appliance: i } => format!("light {}", appliance(i)),
        Deed::ShutOff { appliance: i } => format!("off {}", appliance(i)),
        Deed::Tap => "tap".to_owned(),
        Deed::Flush => "flush".to_owned(),
        Deed::ClearVents => "clear vents".to_owned(),
        Deed::WarmCloth => "warm".to_owned(),
        Deed::TurnScrew { stage, degrees } => {
            let stage = match stage {
                WhichStage::First => "first",
                WhichStage::Second => "second",
            };
            format!("screw {stage} {degrees:+}")
        }
        Deed::BleedDown => "bleed".to_owned(),
        Deed::SwapHose => "new hose".to_owned(),
        Deed::SwapRegulator => "new regulator".to_owned(),
        Deed::NewContainers => "new containers".to_owned(),
        Deed::MendLine => "mend line".to_owned(),
        Deed::MendAppliances => "mend appliances".to_owned(),
        Deed::Weigh { container } => format!("weigh {}", container + 1),
    }
}

/// A text without needless spaces.
fn clean(text: &str) -> Result<String, ActError> {
    if text.chars().nth(LONGEST_CHARS).is_some() {
        return Err(ActError::new(
            format!("an act is at most {LONGEST_CHARS} characters long"),
            "one act a line",
        ));
    }
    let clean = plain(text);
    Ok(clean.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// The verb of an act, by its words.
fn verb_of(w: &WordFor) -> &'static str {
    w.words.split(' ').next().unwrap_or(w.words)
}

/// The act of this verb that says nothing without the name after it.
fn wants_a_name(verb: &str) -> Option<&'static WordFor> {
    let names = |w: &&WordFor| {
        let next = w.words.split(' ').nth(1);
        next.is_some_and(|n| n.starts_with(char::is_uppercase))
    };
    GRAMMAR.iter().filter(names).find(|w| verb_of(w) == verb)
}

/// Words that are none of these acts: what is near them, or all there are.
pub fn unknown(clean: &str, grammar: &[WordFor]) -> ActError {
    let verb = clean.split(' ').next().unwrap_or(clean);
    let near = nearest(verb, grammar.iter().map(verb_of));
    let how = grammar.iter().find(|w| Some(verb_of(w)) == near);
    if let Some(test) = Test::find(clean) {
        return ActError::new(
            format!("`{}` alone is not something to do here", short(clean)),
            format!("`test {}`", test.words()),
        );
    }
    let help = how.map_or_else(
        || {
            grammar
                .iter()
                .map(|w| w.words)
                .collect::<Vec<_>>()
                .join(", ")
        },
        |w| format!("`{}`: {}", w.words, w.what),
    );
    ActError::new(
        format!("`{}` is not something to do here", short(clean)),
        help,
    )
}

fn test(name: &str) -> Result<Test, ActError> {
    Test::find(name).ok_or_else(|| {
        let names = Test::ALL.map(Test::words);
        let help = nearest(name, names).map_or_else(
            || names.join(", "),
            |near| format!("did you mean `test {near}`?"),
        );
        ActError::new(format!("there is no test `{}`", short(name)), help)
    })
}

fn seconds(text: &str, most_s: f64) -> Result<f64, ActError> {
    let time_s = parse(text, Dimension::Time).map_err(|e| ActError::new(e.message(), e.help()))?;
    if time_s > 0.0 && time_s <= most_s {
        Ok(time_s)
    } else {
        let most = units::format(most_s, Dimension::Time, System::Us);
        Err(ActError::new(
            format!("a time of {}", short(text)),
            format!("over 0 and at most {most}"),
        ))
    }
}

fn read(how: &str, rig: &Rig) -> Result<Act, ActError> {
    let (how, watched_s) = match how.rsplit_once(" for ") {
        Some((how, time)) => (how, seconds(time, WATCH_S)?),
        None => (how, 0.0),
    };
    let (point, gauge) = match how.split_once(" with ") {
        Some((point, gauge)) => (point, Some(Device::find(gauge, &Kit::default())?)),
        None => (how, None),
    };
    Ok(Act::Read {
        point: TestPoint::find(point, rig)?,
        gauge,
        watched_s,
    })
}

fn appliance(name: &str, rig: &Rig) -> Result<usize, ActError> {
    let wanted = name.to_lowercase();
    let found = rig
        .appliances
        .iter()
        .position(|a| a.name.to_lowercase() == wanted);
    found.ok_or_else(|| {
        let names: Vec<&str> = rig.appliances.iter().map(|a| a.name.as_str()).collect();
        ActError::new(
            format!("this rig has no appliance `{}`", short(name)),
            format!("there are: {}", names.join(", ")),
        )
    })
}

fn which(name: &str, rig: &Rig) -> Result<Which, ActError> {
    match name {
        "all" => Ok(Which::All),
        "half" => Ok(Which::Half),
        name => appliance(name, rig).map(Which::One),
    }
}

fn at_container(verb: &str, which: &str, rig: &Rig) -> Result<Act, ActError> {
    let fast = which.split(' ').any(|w| w == "fast");
    let number: Vec<&str> = which
        .split(' ')
        .filter(|w| !matches!(*w, "fast" | "slowly" | ""))
        .collect();
    let number = number.join(" ");
    let count = rig.containers.len();
    let container = if number.is_empty() {
        Some(1)
    } else {
        number.parse::<usize>().ok()
    };
    let container = container.filter(|n| (1..=count).contains(n)).map(|n| n - 1);
    let container = container.ok_or_else(|| {
        ActError::new(
            format!("this rig has no container `{}`", short(&number)),
            format!("a number from 1 to {count}"),
        )
    })?;
    Ok(Act::Do(match (verb, fast) {
        ("open", _) => Deed::OpenValve {
            container,
            slowly: !fast,
        },
        ("shut", true) => Deed::ShutFast { container },
        ("shut", false) => Deed::ShutValve { container },
        _ => Deed::Weigh { container },
    }))
}

fn screw(how: &str) -> Result<Act, ActError> {
    let help = "`screw second +90`: the stage and the degrees, at most 7200; in is plus";
    let (stage, angle) = how.split_once(' ').unwrap_or((how, ""));
    let stage = match stage {
        "first" => WhichStage::First,
        "second" => WhichStage::Second,
        _ => return Err(ActError::new("`screw` needs a stage", help)),
    };
    let number = angle
        .trim_end_matches("degrees")
        .trim_end_matches("deg")
        .trim();
    let degrees = parse_number(number);
    match degrees.filter(|d| d.abs() <= MOST_DEGREES) {
        Some(degrees) => Ok(Act::Do(Deed::TurnScrew { stage, degrees })),
        None => Err(ActError::new("`screw` needs degrees", help)),
    }
}
