//! Drills made to order: a family, a level, how many faults, a seed. Candidates are drawn and
//! judged until one fits; only a drill that can be solved with what is at hand comes out.
//!
//! The complaint is put together from what the rig really shows with its faults in, as an owner
//! would tell it.

use super::file::{Drill, DrillError, Hidden, Worked};
use super::hidden::SEVERITIES;
use super::seal::Stream;
use super::weights::Weights;
use crate::diagnosis::inference::walk::Way;
use crate::drill::attempt::way::{leads_astray, offer_of};
use crate::drill::reasoning::assess::{Unsolvable, assess, causes_for};
use crate::drill::reasoning::causes::{Causes, CausesError, cause_words};
use crate::drill::reasoning::difficulty::Assessment;
use crate::drill::reasoning::noise::walks_that_find;
use crate::fault::{Family, Fault};
use crate::scenario::Scenario;
use crate::units::inwc_to_pa;
use crate::visit::{Bag, Id, Tool, Values};
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
    let mut stream = Stream(wish.seed ^ 0x7761_6C6B_6572_0001);
    // One rig a drill: its library is what costs time.
    let (_, text) = RIGS[stream.below(RIGS.len())];
    let scenario = Scenario::parse("rig", text).map_err(DrillError::from)?;
    let causes = shelf.causes(&scenario, listener)?;
    // The last that could be solved tells more than why the last of all was refused.
    let (mut near, mut refused) = (None, None);
    for _ in 0..TRIES {
        let Some(mut drill) = candidate(wish, &scenario, causes, &mut stream) else {
            continue;
        };
        // What the owner says of it may forbid a flame, and so decides about its path.
        if let Ok(values) = causes.truth(&drill.causes()) {
            (drill.complaint, drill.gas_told) = complaint(&drill.scenario.summary, &values);
        }
        let found = assess(causes, &drill)
            .and_then(|found| is_found(causes, &drill, wish.seed, &found).map(|()| found));
        match found {
            Ok(found) => {
                let level = found.difficulty.level();
                if wish.level.is_none_or(|l| l == level) {
                    return finished(&drill, &found);
                }
                near = Some(level);
            }
            Err(e) => refused = Some(e),
        }
    }
    let why = match (near, refused) {
        (Some(level), _) => format!("one of level {level} was the last that could be solved"),
        (None, Some(e)) => e.to_string(),
        (None, None) => "the rig cannot have such a fault".to_owned(),
    };
    Err(MakeError::NoneFits { tries: TRIES, why })
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

/// Something an owner notices, how they say it, and whether they report escaping gas with it.
type Symptom = (fn(&Values) -> bool, &'static str, bool);

fn at(values: &Values, id: Id) -> f64 {
    values[id.index()].unwrap_or(0.0)
}

/// Symptoms, the most telling first.
const SYMPTOMS: [Symptom; 15] = [
    (
        |v| at(v, Id::SoundFlowing) == 2.0,
        "Something outside roars whenever I light up, and I have shut it all off.",
        // What is heard there is gas that leaves a vent.
        true,
    ),
    (
        |v| at(v, Id::Flames) == 5.0,
        "The flames jump and flare up by themselves.",
        false,
    ),
    (
        |v| at(v, Id::Flames) == 4.0,
        "Hardly anything will stay lit any more.",
        false,
    ),
    (
        |v| at(v, Id::OddOne) == 5.0,
        "A pilot goes out on me, and I light it again and again.",
        false,
    ),
    (
        |v| at(v, Id::OddOne) == 4.0,
        "One of the appliances lights and goes out again.",
        false,
    ),
    (
        |v| at(v, Id::Lighting) == 1.0,
        "It takes its time to light, and then it goes off with a pop.",
        false,
    ),
    (
        |v| at(v, Id::OddOne) == 3.0,
        "One of the appliances will not light, the others do.",
        false,
    ),
    (
        |v| at(v, Id::OddOne) == 1.0,
        "One burner is weaker than it used to be.",
        false,
    ),
    (
        |v| at(v, Id::OddOne) == 2.0,
        "One burner burns bigger than it ever did, and it is not clean.",
        false,
    ),
    (
        |v| at(v, Id::Flames) == 2.0 || at(v, Id::Flames) == 3.0,
        "The flames are loud and sharp, and they lift.",
        false,
    ),
    (
        |v| at(v, Id::Flames) == 1.0,
        "Everything burns low, the kettle takes for ever.",
        false,
    ),
    (
        |v| {
            at(v, Id::SecondVentRest) >= 2.0
                || at(v, Id::FirstVentRest) >= 2.0
                || at(v, Id::FluidPigtail) >= 2.0
        },
        "There is a smell of gas out by the regulator.",
        true,
    ),
    (
        |v| at(v, Id::FluidLowSide) >= 2.0 || at(v, Id::FluidBurner) >= 2.0,
        "There is a faint smell of gas inside in the morning.",
        true,
    ),
    (
        |v| at(v, Id::RestMinute) > inwc_to_pa(13.0) || at(v, Id::RestCreep) > inwc_to_pa(13.0),
        "The first burner I light pops and flares, then it settles.",
        false,
    ),
    (
        |v| at(v, Id::FullManifold) < inwc_to_pa(10.2),
        "It is all right with one burner, but weak when everything is on.",
        false,
    ),
];

/// What the owner says of a rig with these values, and whether escaping gas is in it.
fn complaint(summary: &str, values: &Values) -> (String, bool) {
    let noticed = SYMPTOMS.iter().filter(|(shows, ..)| shows(values)).take(2);
    let (lines, gas): (Vec<&str>, Vec<bool>) = noticed.map(|s| (s.1, s.2)).unzip();
    let said = if lines.is_empty() {
        "Nothing I could name, but something is not as it was. Please look it over.".to_owned()
    } else {
        lines.join(" ")
    };
    (format!("{summary} {said}"), gas.contains(&true))
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
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let percent = |s: &f64| format!("{:.0} %", 100.0 * s);
        let at: Vec<String> = self.severities.iter().map(percent).collect();
        write!(f, "at a severity of {}: {}", at.join(" and "), self.why)?;
        match &self.near {
            Some(near) => write!(f, "; at {} it can be solved", percent(near)),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Refused {}

/// Severities that are tried where one is refused: in such steps, so far off.
const STEP: f64 = 0.05;
const STEPS: u32 = 6;

/// Judges a drill: what was computed about it, or why it cannot be handed out.
///
/// # Errors
/// [`Refused`].
pub fn judge(
    drill: &Drill,
    shelf: &mut Shelf,
    listener: &mut dyn FnMut(f64) -> bool,
) -> Result<Assessment, Refused> {
    let refused = |why, near| Refused {
        why,
        severities: drill.faults.iter().map(|h| h.severity).collect(),
        near,
    };
    let causes = shelf
        .causes(&drill.scenario, listener)
        .map_err(|e| refused(e.into(), None))?;
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
        return Err(refused(why, None));
    }
    Ok(found)
}

/// The severity nearest to that of a drill's one fault at which it can be solved, the worse one first.
fn nearest(causes: &Causes, drill: &Drill) -> Option<f64> {
    let [hidden] = drill.faults[..] else {
        return None;
    };
    let steps = (1..=STEPS).flat_map(|n| {
        let off = STEP * f64::from(n);
        [hidden.severity + off, hidden.severity - off]
    });
    let rounded = steps.map(|s| (100.0 * s).round() / 100.0);
    let mut some = rounded.filter(|s| (SEVERITIES.0..=SEVERITIES.1).contains(s));
    some.find(|s| {
        let mut other = drill.clone();
        other.faults[0].severity = *s;
        assess(causes, &other).is_ok()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Who noticed these things.
    fn owner(seen: &[(Id, f64)]) -> (String, bool) {
        let mut values: Values = [None; crate::visit::ITEMS];
        for (id, value) in seen {
            values[id.index()] = Some(*value);
        }
        complaint("Three burners.", &values)
    }

    #[test]
    fn gas_is_told_where_bubbles_would_stand_and_nowhere_else() {
        for leak in [
            Id::SecondVentRest,
            Id::FirstVentRest,
            Id::FluidPigtail,
            Id::FluidLowSide,
            Id::FluidBurner,
        ] {
            assert!(owner(&[(leak, 2.0)]).1, "{leak:?}");
            assert!(!owner(&[(leak, 1.0)]).1, "{leak:?}");
        }
        // A roar is gas that leaves a vent, as `Sound::Roar` has it; a hum is none.
        assert!(owner(&[(Id::SoundFlowing, f64::from(2_u8))]).1);
        assert!(!owner(&[(Id::SoundFlowing, 3.0)]).1);
        // What comes before it in what an owner tells may leave no room for it.
        let (words, gas) = owner(&[
            (Id::Flames, 1.0),
            (Id::OddOne, 1.0),
            (Id::FluidLowSide, 2.0),
        ]);
        assert!(!gas, "{words}");
        assert!(!owner(&[(Id::Flames, 1.0)]).1);
        assert!(!owner(&[]).1);
    }
}
