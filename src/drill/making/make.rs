//! Drills made to order: a family, a level, how many faults, a seed. Candidates are drawn and
//! judged until one fits; only a drill that can be solved with what is at hand comes out.
//!
//! The complaint is put together from what the rig really shows with its faults in, as an owner
//! would tell it.

use super::complaint::{complaint, fits, in_words, that_fit};
use super::file::{Drill, DrillError, Hidden, Worked};
use super::hidden::SEVERITIES;
use super::seal::Stream;
use super::weights::Weights;
use crate::diagnosis::inference::walk::Way;
use crate::drill::attempt::way::{leads_astray, offer_of};
use crate::drill::reasoning::assess::{Unsolvable, assess, causes_for};
use crate::drill::reasoning::causes::{Causes, CausesError, cause_words, shown_by};
use crate::drill::reasoning::difficulty::Assessment;
use crate::drill::reasoning::noise::walks_that_find;
use crate::fault::{Family, Fault};
use crate::scenario::Scenario;
use crate::visit::{Bag, Tool};
use std::collections::BTreeMap;

/// Rigs that drills are made on: name and text.
pub const RIGS: [(&str, &str); 3] = [
    ("river", include_str!("rigs/river.toml")),
    ("pass", include_str!("rigs/pass.toml")),
    ("coast", include_str!("rigs/coast.toml")),
];

/// Candidates drawn before giving up.
const TRIES: usize = 60;
/// Severities drawn from.
const SEVERITY: (f64, f64) = (0.35, 0.88);
/// Chance that a tool is at hand.
const AT_HAND: f64 = 0.8;

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish {
    /// Family of the fault; any where none is given.
    pub family: Option<Family>,
    /// Level, 1 to 5; any where none is given.
    pub level: Option<u8>,
    /// One fault or two.
    pub faults: usize,
    /// The same seed gives the same drill.
    pub seed: u64,
}

/// A drill that could not be made.
#[derive(Debug, thiserror::Error)]
pub enum MakeError {
    /// No library.
    #[error(transparent)]
    Causes(#[from] CausesError),
    /// Nothing that fits came up.
    #[error("none of {tries} drawn drills fits: {why}")]
    NoneFits {
        /// How many were drawn.
        tries: usize,
        /// What came nearest, or why the last was refused.
        why: String,
    },
    /// What was written cannot be read back.
    #[error(transparent)]
    Drill(#[from] DrillError),
}

/// What every cause would show, for each rig once, made when first needed.
#[derive(Debug, Default)]
pub struct Shelf {
    rigs: BTreeMap<String, Causes>,
    faults: Option<Vec<Fault>>,
}

impl Shelf {
    /// A shelf of these faults only.
    pub fn of(faults: Vec<Fault>) -> Self {
        Self {
            rigs: BTreeMap::new(),
            faults: Some(faults),
        }
    }

    /// A shelf for all faults that each rig can have.
    pub fn full() -> Self {
        Self::default()
    }

    /// What every cause would show on the rig of a scenario.
    ///
    /// # Errors
    /// [`CausesError`].
    pub fn causes(
        &mut self,
        scenario: &Scenario,
        listener: &mut dyn FnMut(f64) -> bool,
    ) -> Result<&Causes, CausesError> {
        let name = scenario.to_toml(crate::units::System::Si);
        if !self.rigs.contains_key(&name) {
            // As they would come on this rig: a file read back names the side.
            let settled = |f: &Fault| f.settled(&scenario.rig, scenario.service_side);
            let faults = self.faults.as_ref();
            let faults = faults.map(|some| some.iter().map(settled).collect());
            let causes = Causes::of(scenario, faults, listener)?;
            self.rigs.insert(name.clone(), causes);
        }
        self.rigs.get(&name).ok_or(CausesError::Stopped)
    }
}

/// A drill is made only where so many of these walks with errors on every reading find its cause.
const WALKS: u64 = 24;
/// See [`WALKS`].
const MUST_FIND: u64 = 23;

/// Makes a drill.
///
/// # Errors
/// [`MakeError`].
pub fn make(
    wish: &Wish,
    shelf: &mut Shelf,
    listener: &mut dyn FnMut(f64) -> bool,
) -> Result<(Drill, Assessment), MakeError> {
    make_heard(wish, shelf, listener, &mut |_| true)
}

/// A candidate that was drawn and judged, and did not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tried {
    /// Which it was, and how many are drawn at most.
    pub n: usize,
    /// See there.
    pub of: usize,
    /// Its level, where it could be solved.
    pub level: Option<u8>,
}

/// The same; `heard` is told of every candidate that did not fit and says whether another is drawn.
///
/// # Errors
/// [`MakeError`].
pub fn make_heard(
    wish: &Wish,
    shelf: &mut Shelf,
    listener: &mut dyn FnMut(f64) -> bool,
    heard: &mut dyn FnMut(Tried) -> bool,
) -> Result<(Drill, Assessment), MakeError> {
    let mut stream = Stream(wish.seed ^ 0x7761_6C6B_6572_0001);
    // One rig a drill: its library is what costs time.
    let (_, text) = RIGS[stream.below(RIGS.len())];
    let scenario = Scenario::parse("rig", text).map_err(DrillError::from)?;
    let causes = shelf.causes(&scenario, listener)?;
    // The last that could be solved tells more than why the last of all was refused.
    let (mut near, mut refused) = (None, None);
    let mut tries = 0;
    while tries < TRIES {
        tries += 1;
        let Some(mut drill) = candidate(wish, &scenario, causes, &mut stream) else {
            continue;
        };
        // What the owner says of it may forbid a flame, and so decides about its path.
        if let Ok(values) = causes.truth(&drill.causes()) {
            (drill.complaint, drill.complains_of, drill.gas_told) =
                complaint(&drill.scenario.summary, &values);
        }
        let found = assess(causes, &drill)
            .and_then(|found| is_found(causes, &drill, wish.seed, &found).map(|()| found));
        let mut level_of = None;
        match found {
            Ok(found) => {
                let level = found.difficulty.level();
                if wish.level.is_none_or(|l| l == level) {
                    return finished(&drill, &found);
                }
                near = Some(nearer(wish.level, near, level));
                level_of = Some(level);
            }
            Err(e) => refused = Some(e),
        }
        let tried = Tried {
            n: tries,
            of: TRIES,
            level: level_of,
        };
        if !heard(tried) {
            break;
        }
    }
    let why = match (near, refused) {
        (Some(level), _) => format!("the nearest that could be solved is of level {level}"),
        (None, Some(e)) => e.to_string(),
        (None, None) => "the rig cannot have such a fault".to_owned(),
    };
    Err(MakeError::NoneFits { tries, why })
}

/// The one of two levels that is nearer to what is wanted.
fn nearer(wanted: Option<u8>, had: Option<u8>, new: u8) -> u8 {
    let off = |level: u8| wanted.map_or(0, |w| w.abs_diff(level));
    match had {
        Some(had) if off(had) <= off(new) => had,
        _ => new,
    }
}

/// That a drill is found by who works properly: with errors of instruments and eyes, and not knowing what is right.
fn is_found(
    causes: &Causes,
    drill: &Drill,
    seed: u64,
    found: &Assessment,
) -> Result<(), Unsolvable> {
    let noise = seed ^ 0x6E6F_6973_6500;
    let finds = walks_that_find(causes, drill, &found.accepts, noise, WALKS);
    let finds = finds.map_err(Unsolvable::Run)?;
    if finds < MUST_FIND {
        return Err(Unsolvable::Chancy {
            found: finds,
            walks: WALKS,
        });
    }
    let values = causes.truth(&drill.causes()).map_err(Unsolvable::Run)?;
    let causes = causes_for(causes, &offer_of(drill), &drill.cause(), &values);
    let right = found.accepts.iter().filter_map(|c| causes.find(c));
    let right: Vec<usize> = right.collect();
    if found.way == Way::Fixed {
        return Err(Unsolvable::OnlyByOrder);
    }
    match leads_astray(drill, &causes, &right).map_err(Unsolvable::Run)? {
        Some(other) => Err(Unsolvable::Misleading(cause_words(&causes.cause(other)))),
        None => Ok(()),
    }
}

fn candidate(
    wish: &Wish,
    scenario: &Scenario,
    causes: &Causes,
    stream: &mut Stream,
) -> Option<Drill> {
    let all = (0..causes.count()).map(|c| causes.cause(c));
    let known: Vec<Fault> = all.filter(|c| c.len() == 1).map(|c| c[0]).collect();
    let fits = |f: &&Fault| wish.family.is_none_or(|w| f.entry().family == w);
    let pool: Vec<&Fault> = known.iter().filter(fits).collect();
    let first = **pool.get(stream.below(pool.len()))?;
    let mut faults = vec![first];
    if wish.faults > 1 {
        // The second is of another family: two of one are hardly two complaints.
        let others: Vec<&Fault> = known
            .iter()
            .filter(|f| f.entry().family != first.entry().family)
            .collect();
        faults.push(**others.get(stream.below(others.len()))?);
    }
    let severity = |s: &mut Stream| {
        (100.0 * (SEVERITY.0 + (SEVERITY.1 - SEVERITY.0) * s.uniform())).round() / 100.0
    };
    let faults = faults
        .into_iter()
        .map(|fault| Hidden {
            fault,
            severity: severity(stream),
            at_s: 0.0,
            over_s: 0.0,
        })
        .collect();
    let tools = Tool::ALL.into_iter().filter(|t| {
        let usual = !matches!(
            t,
            Tool::AirPump | Tool::NewRegulator | Tool::NewHose | Tool::Screw
        );
        usual && (*t == Tool::Manometer || stream.uniform() < AT_HAND)
    });
    let bag = Bag::new(tools.map(|t| (t, t.usual_minutes())).collect::<Vec<_>>());
    Some(Drill {
        title: format!("{}, no. {}", scenario.title, wish.seed),
        complaint: String::new(),
        complains_of: Vec::new(),
        gas_told: false,
        scenario: scenario.clone(),
        bag,
        must_not: Vec::new(),
        limit_s: 90.0 * 60.0,
        seed: Some(wish.seed),
        weights: Weights::USUAL,
        exam: false,
        asks_why: false,
        faults,
        worked: None,
        sum: 0,
    })
}

fn finished(drill: &Drill, found: &Assessment) -> Result<(Drill, Assessment), MakeError> {
    let sealed = drill.to_sealed(&Worked::from(found));
    Ok((Drill::read("drill", &sealed, None)?, found.clone()))
}

/// Why a drill cannot be handed out as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// Why.
    pub why: Unsolvable,
    /// The severities of its faults.
    pub severities: Vec<f64>,
    /// The nearest severity at which it can be, where it has one fault and was refused for what is read of it.
    pub near: Option<f64>,
    /// The one on its other side, where it is hardly farther: this severity lies in a hole then.
    pub beyond: Option<f64>,
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let percent = |s: &f64| format!("{:.0} %", 100.0 * s);
        let at: Vec<String> = self.severities.iter().map(percent).collect();
        write!(f, "at a severity of {}: {}", at.join(" and "), self.why)?;
        match (&self.near, &self.beyond) {
            (Some(near), Some(beyond)) => {
                let (near, beyond) = (percent(near), percent(beyond));
                write!(f, "; at {near} and at {beyond} it can be solved")
            }
            (Some(near), None) => write!(f, "; at {} it can be solved", percent(near)),
            (None, _) => Ok(()),
        }
    }
}

impl std::error::Error for Refused {}

/// Severities that are tried where one is refused: in such steps, so far off.
const STEP: f64 = 0.05;
const STEPS: u32 = 6;

/// No severity near by.
const NOWHERE: (Option<f64>, Option<f64>) = (None, None);

/// Judges a drill: what was computed about it, or why it cannot be handed out.
///
/// # Errors
/// [`Refused`].
pub fn judge(
    drill: &Drill,
    shelf: &mut Shelf,
    listener: &mut dyn FnMut(f64) -> bool,
) -> Result<Assessment, Refused> {
    let refused = |why, (near, beyond)| Refused {
        why,
        severities: drill.faults.iter().map(|h| h.severity).collect(),
        near,
        beyond,
    };
    held_to(drill).map_err(|why| refused(why, NOWHERE))?;
    let causes = shelf
        .causes(&drill.scenario, listener)
        .map_err(|e| refused(e.into(), NOWHERE))?;
    let mut found = assess(causes, drill).map_err(|why| refused(why, nearest(causes, drill)))?;
    let d = &mut found.difficulty;
    d.from_min = drill.onset_s() / 60.0;
    let ends_min = drill.limit_s / 60.0;
    if d.all_minutes() > ends_min {
        let why = Unsolvable::Late {
            ends_min,
            from_min: d.from_min,
            path_min: d.minutes,
        };
        return Err(refused(why, NOWHERE));
    }
    Ok(found)
}

/// That its rig shows what the drill's complaint is said to be of.
fn held_to(drill: &Drill) -> Result<(), Unsolvable> {
    if drill.complains_of.is_empty() {
        return Ok(());
    }
    let values = shown_by(&drill.scenario, &drill.causes()).map_err(Unsolvable::Run)?;
    let mut unseen = drill.complains_of.clone();
    unseen.retain(|c| !fits(*c, &values));
    if unseen.is_empty() {
        return Ok(());
    }
    Err(Unsolvable::OtherComplaint {
        unseen: in_words(&unseen),
        fit: in_words(&that_fit(&values)),
    })
}

/// The severity nearest to that of a drill's one fault at which it can be solved, the worse one first; and the one on the other
/// side, if it is no more than a step farther.
fn nearest(causes: &Causes, drill: &Drill) -> (Option<f64>, Option<f64>) {
    let [hidden] = drill.faults[..] else {
        return (None, None);
    };
    let can_be_solved = |severity: f64| {
        let mut other = drill.clone();
        other.faults[0].severity = severity;
        assess(causes, &other).is_ok()
    };
    neighbours(hidden.severity, &can_be_solved)
}

fn neighbours(at: f64, can_be_solved: &dyn Fn(f64) -> bool) -> (Option<f64>, Option<f64>) {
    let solved = |steps: u32, sign: f64| {
        let severity = (100.0 * (at + sign * STEP * f64::from(steps))).round() / 100.0;
        let is_one = (SEVERITIES.0..=SEVERITIES.1).contains(&severity);
        (is_one && can_be_solved(severity)).then_some(severity)
    };
    for steps in 1..=STEPS {
        let (worse, milder) = (solved(steps, 1.0), solved(steps, -1.0));
        match (worse, milder) {
            (Some(worse), None) => return (Some(worse), solved(steps + 1, -1.0)),
            (None, Some(milder)) => return (Some(milder), solved(steps + 1, 1.0)),
            (Some(_), Some(_)) => return (worse, milder),
            (None, None) => {}
        }
    }
    (None, None)
}

#[cfg(test)]
mod tests {
    use super::neighbours;

    #[test]
    fn a_hole_names_both_its_sides_and_an_edge_the_one_it_has() {
        let among = |good: &'static [f64]| move |s: f64| good.iter().any(|g| (g - s).abs() < 1e-9);
        let both = neighbours(0.2, &among(&[0.1, 0.15, 0.25, 0.3]));
        assert_eq!(both, (Some(0.25), Some(0.15)));
        assert_eq!(
            neighbours(0.2, &among(&[0.1, 0.25])),
            (Some(0.25), Some(0.1))
        );
        assert_eq!(
            neighbours(0.2, &among(&[0.15, 0.3])),
            (Some(0.15), Some(0.3))
        );
        assert_eq!(neighbours(0.2, &among(&[0.4, 0.45])), (Some(0.4), None));
        assert_eq!(neighbours(0.9, &among(&[0.5, 1.0])), (None, None));
    }
}
