//! Whether a drill can be solved with what is at hand, and how hard it is. All of it is computed
//! from the library of its rig and one visit with its hidden faults in.

use super::belief::{Belief, Path, Reading, best_path, fixed_path, group, readings_of};
use super::check::Check;
use super::item::Values;
use super::library::{Cause, Library, LibraryError};
use super::probe::visit;
use super::tool::Bag;
use crate::fault::{Fault, Remedy};
use std::sync::Arc;

/// How hard a drill is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difficulty {
    /// What has to be found out: entropy of the causes before anything is read, less what stays
    /// open when everything at hand has been done \[bit\].
    pub bits: f64,
    /// Causes still in play after the obvious steps: two to the entropy then left.
    pub look_alikes: f64,
    /// Minutes of the best path.
    pub minutes: f64,
    /// Steps of the best path.
    pub steps: usize,
}

impl Difficulty {
    /// One number to order drills by: minutes of the best path, made longer by what there is to
    /// find out and by what still looks alike after the obvious steps.
    /// `score = minutes + 3 (bits + log2(look-alikes))`; three minutes a bit is a choice of ours,
    /// near the weight that goes best with the minutes of a fixed order.
    pub fn score(&self) -> f64 {
        self.minutes + 3.0 * (self.bits + self.look_alikes.max(1.0).log2())
    }

    /// From 1, easy, to 5. The bounds are the fifths of 300 made drills.
    pub fn level(&self) -> u8 {
        let bounds = LEVELS;
        1 + bounds.iter().filter(|b| self.score() >= **b).count() as u8
    }
}

/// Scores from which the next level starts.
const LEVELS: [f64; 4] = [22.5, 25.0, 30.5, 42.0];

/// What was computed about a drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// Causes that what is at hand cannot tell from the true one; the true one comes first. Naming
    /// any of them is right.
    pub accepts: Vec<Cause>,
    /// The best path.
    pub path: Path,
    /// The path of the fixed order of a visit.
    pub fixed: Path,
    /// How hard it is.
    pub difficulty: Difficulty,
}

/// Why a drill cannot be handed out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unsolvable {
    /// The rig with its faults does not run.
    #[error("the rig does not run with its faults in: {0}")]
    Run(String),
    /// No library.
    #[error(transparent)]
    Library(#[from] LibraryError),
    /// Nothing shows.
    #[error("with what is at hand nothing tells it from a rig without a fault")]
    Invisible,
    /// Something else explains the readings better.
    #[error("with what is at hand the readings say {0} instead")]
    Misleading(String),
    /// Too many causes stay open.
    #[error("with what is at hand {0} causes look alike to the end")]
    Alike(usize),
    /// Causes that look alike call for different actions.
    #[error("what looks alike to the end calls for different actions: {0}")]
    Actions(String),
    /// Too little is at hand to be sure.
    #[error("what is at hand does not make anyone sure of the cause")]
    Unsure,
}

/// Most causes that may look alike to the end.
const MOST_ALIKE: usize = 4;
/// Causes of which pairs are made for a drill with two faults.
const PAIRED: usize = 22;

/// Names of a cause.
pub fn cause_words(cause: &Cause) -> String {
    if cause.is_empty() {
        return "no fault at all".to_owned();
    }
    let names: Vec<String> = cause.iter().map(|f| f.name()).collect();
    names.join(" and ")
}

/// The library that a drill with these faults is judged by: pairs come in where there are two.
pub fn library_for(library: &Library, bag: &Bag, faults: &[Fault], truth: &Values) -> Library {
    if faults.len() < 2 {
        return library.clone();
    }
    let mut of: Vec<usize> = faults.iter().filter_map(|f| library.find(&[*f])).collect();
    let prior = Belief::prior(library);
    // Whatever some step by itself would make one think of.
    for rank in 0..6 {
        for check in Check::offered(bag) {
            let ranked = prior
                .after(library, &readings_of(check, truth))
                .ranked(library);
            if let Some(&(cause, _)) = ranked.get(rank)
                && cause != 0
                && !of.contains(&cause)
                && of.len() < PAIRED
            {
                of.push(cause);
            }
        }
    }
    library.with_pairs(&of)
}

/// The true values of a drill's rig with these faults.
///
/// # Errors
/// What stopped the run.
pub fn truth(library: &Library, faults: &[(Fault, f64)]) -> Result<Values, Unsolvable> {
    let scenario = super::library::with_faults(&library.scenario, faults);
    visit(&scenario).map_err(Unsolvable::Run)
}

/// Judges a drill.
///
/// # Errors
/// [`Unsolvable`], with the reason.
pub fn assess(
    library: &Library,
    bag: &Bag,
    faults: &[(Fault, f64)],
) -> Result<Assessment, Unsolvable> {
    let values = truth(library, faults)?;
    let names: Cause = faults.iter().map(|f| f.0).collect();
    let library = Arc::new(library_for(library, bag, &names, &values));
    let cause = library.find(&names).ok_or_else(|| {
        let failed = names
            .iter()
            .find_map(|f| library.left_out.iter().find(|l| l.0 == *f));
        Unsolvable::Run(failed.map_or_else(|| "a visit failed".to_owned(), |l| l.1.clone()))
    })?;
    let alike = group(&library, bag, &values);
    let mut members: Vec<usize> = alike.iter().map(|a| a.0).collect();
    if members.contains(&0) {
        return Err(Unsolvable::Invisible);
    }
    if !members.contains(&cause) {
        let best = cause_words(&library.causes[members[0]]);
        return Err(Unsolvable::Misleading(best));
    }
    if let Some(less) = members
        .iter()
        .find(|m| library.causes[**m].len() < names.len())
    {
        return Err(Unsolvable::Misleading(cause_words(&library.causes[*less])));
    }
    if members.len() > MOST_ALIKE {
        return Err(Unsolvable::Alike(members.len()));
    }
    members.retain(|m| *m != cause);
    members.insert(0, cause);
    let accepts: Vec<Cause> = members.iter().map(|m| library.causes[*m].clone()).collect();
    if common_remedies(&accepts).is_empty() {
        let words: Vec<String> = accepts.iter().map(cause_words).collect();
        return Err(Unsolvable::Actions(words.join("; ")));
    }
    let path = best_path(&library, bag, &values, &members);
    if !path.solved {
        return Err(Unsolvable::Unsure);
    }
    let fixed = fixed_path(&library, bag, &values, &members);
    let difficulty = difficulty(&library, bag, &values, &path);
    Ok(Assessment {
        accepts,
        path,
        fixed,
        difficulty,
    })
}

fn difficulty(library: &Library, bag: &Bag, values: &Values, path: &Path) -> Difficulty {
    let prior = Belief::prior(library);
    let gather = |checks: &[Check]| -> Vec<Reading> {
        checks
            .iter()
            .filter(|c| c.is_offered(bag))
            .flat_map(|c| readings_of(*c, values))
            .collect()
    };
    let all = prior.after(library, &gather(&Check::ALL));
    let obvious = prior.after(library, &gather(&Check::OBVIOUS));
    Difficulty {
        bits: prior.bits(library) - all.bits(library),
        look_alikes: obvious.bits(library).exp2(),
        minutes: path.minutes,
        steps: path.steps.len(),
    }
}

/// Actions that are right whichever of these causes it is: for each cause, what puts one of its
/// faults right.
pub fn common_remedies(causes: &[Cause]) -> Vec<Remedy> {
    let of = |cause: &Cause| -> Vec<Remedy> {
        cause.iter().flat_map(|f| f.entry().puts_right()).collect()
    };
    let Some(first) = causes.first() else {
        return Vec::new();
    };
    let mut out: Vec<Remedy> = of(first)
        .into_iter()
        .filter(|r| causes.iter().all(|c| of(c).contains(r)))
        .collect();
    out.dedup();
    out
}
