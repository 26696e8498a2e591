//! Whether a drill can be solved with what is at hand, and how hard it is. All of it is computed
//! from what every cause would show on its rig and one visit with its hidden faults in.

use super::causes::{
    Belief, Cause, Causes, CausesError, Gone, SURE, cause_words, not_told_apart, read_by,
};
use super::difficulty::{Assessment, Difficulty};
use super::effort::{Effort, effort};
use super::rod::Rod;
use super::twin::{are_one_group, reads_alike};
use crate::diagnosis::inference::next::Offer;
use crate::drill::attempt::path::shortened;
use crate::drill::attempt::way::{Ways, offer_of};
use crate::drill::making::complaint::that_fit;
use crate::drill::making::file::Drill;
use crate::fault::{Fault, Remedy};
use crate::visit::Values;

/// Why a drill cannot be handed out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unsolvable {
    /// The rig with its faults does not run.
    #[error("the rig does not run with its faults in: {0}")]
    Run(String),
    /// No library.
    #[error(transparent)]
    Causes(#[from] CausesError),
    /// Nothing shows.
    #[error("with what is at hand nothing tells it from a rig without a fault")]
    Invisible,
    /// Of two faults nothing shows of one.
    #[error("with what is at hand nothing tells {hidden} beside {told}, which is told")]
    OneInvisible {
        /// The one that nothing tells.
        hidden: String,
        /// The other.
        told: String,
    },
    /// Something else explains the readings better.
    #[error("with what is at hand the readings say {0} instead")]
    Misleading(String),
    /// The rig shows no sign of what the owner complains of.
    #[error(
        "the rig shows no sign of what the complaint is of: {unseen}; what it shows fits {fit}"
    )]
    OtherComplaint {
        /// What it shows no sign of, in the words of a file.
        unseen: String,
        /// What would fit, in the same words.
        fit: String,
    },
    /// Too many causes stay open.
    #[error("with what is at hand {0} causes look alike to the end")]
    Alike(usize),
    /// Causes that look alike call for different actions.
    #[error("what looks alike to the end calls for different actions: {0}")]
    Actions(String),
    /// It ends before the cause can be found.
    #[error(
        "it ends at {ends_min:.0} min: the fault is there from {from_min:.0} min on, and the best path takes {path_min:.0} min"
    )]
    Late {
        /// When the drill ends \[min\].
        ends_min: f64,
        /// When the last fault is fully there \[min\].
        from_min: f64,
        /// Minutes of the best path.
        path_min: f64,
    },
    /// It is found with exact readings only.
    #[error("with the errors of instruments and eyes only {found} of {walks} ways find the cause")]
    Chancy {
        /// Ways that find it.
        found: u64,
        /// Of so many.
        walks: u64,
    },
    /// What the most telling tests read forbids those that would tell.
    #[error(
        "going by the most telling test does not come to it, only the fixed order of a visit does"
    )]
    OnlyByOrder,
    /// Too little is at hand to be sure.
    #[error(
        "what is at hand does not make anyone sure of the cause: at the end it holds {:.0} % of the belief, {other} {:.0} %",
        100.0 * held, 100.0 * other_held
    )]
    Unsure {
        /// Belief at the end in what counts as right.
        held: f64,
        /// What holds most of the rest.
        other: String,
        /// So much of it.
        other_held: f64,
    },
}

/// Most causes that may look alike to the end.
const MOST_ALIKE: usize = 4;
/// Causes of which pairs are made for a drill with two faults.
const PAIRED: usize = 22;

/// The causes that a drill with these faults is judged by: pairs come in where there are two.
pub fn causes_for(causes: &Causes, offer: &Offer, faults: &[Fault], truth: &Values) -> Causes {
    if faults.len() < 2 {
        return causes.clone();
    }
    let mut of: Vec<usize> = faults.iter().filter_map(|f| causes.find(&[*f])).collect();
    // Whatever some test by itself would make one think of.
    let ranked: Vec<Vec<(usize, f64)>> = offer
        .tests()
        .map(|t| causes.belief(&read_by(offer, [&t], truth)).ranked())
        .collect();
    for rank in 0..6 {
        for ranked in &ranked {
            if let Some(&(cause, _)) = ranked.get(rank)
                && cause != 0
                && !of.contains(&cause)
                && of.len() < PAIRED
            {
                of.push(cause);
            }
        }
    }
    causes.with_pairs(&of)
}

/// Judges what is wrong from when it is there. What is equally right follows from a whole visit gone to its end; the
/// path is gone on the rig itself until it is sure of that.
///
/// # Errors
/// [`Unsolvable`], with the reason.
pub fn assess(causes: &Causes, drill: &Drill) -> Result<Assessment, Unsolvable> {
    assess_all(causes, drill).map_err(|why| match (&drill.cause()[..], &why) {
        (&[one, other], Unsolvable::Invisible) => of_two(causes, drill, [one, other]),
        (&[one, other], Unsolvable::Misleading(said)) if *said == one.name() => {
            hidden_beside(other, one)
        }
        (&[one, other], Unsolvable::Misleading(said)) if *said == other.name() => {
            hidden_beside(one, other)
        }
        _ => why,
    })
}

fn hidden_beside(hidden: Fault, told: Fault) -> Unsolvable {
    Unsolvable::OneInvisible {
        hidden: hidden.name(),
        told: told.name(),
    }
}

/// Which of two faults is not told, where not both are: the one that shows nothing by itself, or is believed in less by all
/// that the rig would show with both.
fn of_two(causes: &Causes, drill: &Drill, both: [Fault; 2]) -> Unsolvable {
    let believed = |values: &Values| {
        let belief = causes.belief(values);
        both.map(|f| causes.find(&[f]).map_or(0.0, |c| belief.0[c]))
    };
    match causes.truth(&drill.causes()).map(|v| believed(&v)) {
        Ok([one, other]) if one.max(other) <= 0.0 => Unsolvable::Invisible,
        Ok([one, other]) if one < other => hidden_beside(both[0], both[1]),
        Ok(_) => hidden_beside(both[1], both[0]),
        Err(why) => Unsolvable::Run(why),
    }
}

fn assess_all(causes: &Causes, drill: &Drill) -> Result<Assessment, Unsolvable> {
    let offer = offer_of(drill);
    let values = causes.truth(&drill.causes()).map_err(Unsolvable::Run)?;
    let names = drill.cause();
    let causes = causes_for(causes, &offer, &names, &values);
    let cause = causes.find(&names).ok_or(Unsolvable::Invisible)?;
    let effort = effort(&causes, &offer, &drill.causes(), cause)
        .ok_or_else(|| Unsolvable::Run("at no severity around it".to_owned()))?;
    let is_twin = |other: usize| match (&names[..], &causes.cause(other)[..]) {
        (&[own], &[fault]) => {
            let both = [names.clone(), vec![fault]];
            !common_remedies(&both).is_empty()
                && (are_one_group(own, fault) || reads_alike(&causes, &offer, &values, fault))
        }
        _ => false,
    };
    let mut members = group(&causes, cause, &effort, &is_twin)?;
    let ways = Ways::of(drill, &causes, &members).map_err(Unsolvable::Run)?;
    while let Some(other) = ways.misleads(&members) {
        if !is_twin(other) {
            return Err(told_as(&causes, other));
        }
        members.push(other);
    }
    let members = acceptable(&causes, members)?;
    let members = by_the_ways(&causes, &ways, members);
    let fixed = ways.fixed.until_sure(&members);
    let way = ways.which(&members);
    let chosen = ways.chosen(&members);
    let chosen = shortened(drill, &causes, &members, (chosen, &values)).map_err(Unsolvable::Run)?;
    let path = chosen.until_sure(&members);
    if !path.solved {
        return Err(unsure(&causes, &members, chosen.end()));
    }
    let difficulty = Difficulty {
        from_min: 0.0,
        bits: effort.bits,
        look_alikes: effort.open_bits.exp2(),
        effort_min: effort.minutes,
        minutes: path.minutes,
        steps: path.steps.len(),
    };
    let accepts: Vec<Cause> = members.iter().map(|m| causes.cause(*m)).collect();
    Ok(Assessment {
        rod: Rod::of(&causes, &offer, &accepts, &values),
        accepts,
        fit: that_fit(&values),
        way,
        fixed,
        path,
        difficulty,
    })
}

/// The causes that whoever has done everything does not tell from the true one, which comes first.
fn group(
    causes: &Causes,
    cause: usize,
    effort: &Effort,
    is_twin: &dyn Fn(usize) -> bool,
) -> Result<Vec<usize>, Unsolvable> {
    let (ranked, own) = (effort.end.ranked(), effort.own_end.ranked());
    let mut members: Vec<usize> = not_told_apart(&ranked).iter().map(|a| a.0).collect();
    // Less than what is there may be enough at a milder severity; it counts only where it is at this one.
    let is_less = |m: usize| causes.cause(m).len() < causes.cause(cause).len();
    members.retain(|m| !is_less(*m) || not_told_apart(&own).iter().any(|o| o.0 == *m));
    // Another that is believed in instead misleads nobody where it is the same rig.
    let other = if members.contains(&cause) || is_twin(ranked[0].0) {
        members.iter().find(|m| is_less(**m)).copied()
    } else {
        Some(ranked[0].0)
    };
    if let Some(other) = other {
        return Err(told_as(causes, other));
    }
    members.retain(|m| *m != cause);
    members.insert(0, cause);
    // What this severity alone is taken for, where that is the same rig.
    if !members.contains(&own[0].0) && is_twin(own[0].0) {
        members.push(own[0].0);
    }
    let members = acceptable(causes, members)?;
    let members = with_alike(causes, &members, &effort.own_end).unwrap_or(members);
    if effort.own_end.in_any(&members) >= SURE {
        Ok(members)
    } else {
        Err(unsure(causes, &members, &effort.own_end))
    }
}

/// What counts as right by the ways too. Whoever keeps to what the readings forbid may never part causes that call for one
/// action: nothing is lit beside escaping gas for that.
fn by_the_ways(causes: &Causes, ways: &Ways, members: Vec<usize>) -> Vec<usize> {
    let by = |way: &Gone| {
        let wider = with_alike(causes, &members, way.end())?;
        way.until_sure(&wider).solved.then_some(wider)
    };
    by(&ways.best)
        .or_else(|| by(&ways.fixed))
        .unwrap_or(members)
}

/// What counts as right where a way ends without being sure of it: what its end does not tell from the true cause counts
/// too, since nobody who has done everything could know better. None where that cannot count as right together.
fn with_alike(causes: &Causes, members: &[usize], end: &Belief) -> Option<Vec<usize>> {
    let ranked = end.ranked();
    let alike = not_told_apart(&ranked);
    let holds = |m: usize| alike.iter().any(|a| a.0 == m);
    // No fault is no cause that could be right, and less than what is there is not enough.
    let is_less = |m: usize| causes.cause(m).len() < causes.cause(members[0]).len();
    if end.in_any(members) >= SURE {
        return Some(members.to_vec());
    }
    if !holds(members[0]) || alike.iter().any(|a| is_less(a.0)) {
        return None;
    }
    let others = alike.iter().map(|a| a.0).filter(|m| !members.contains(m));
    acceptable(causes, members.iter().copied().chain(others).collect()).ok()
}

/// Causes that may count as right together: few, and with an action that is right for all.
fn acceptable(causes: &Causes, members: Vec<usize>) -> Result<Vec<usize>, Unsolvable> {
    if members.len() > MOST_ALIKE {
        return Err(Unsolvable::Alike(members.len()));
    }
    let accepts: Vec<Cause> = members.iter().map(|m| causes.cause(*m)).collect();
    if common_remedies(&accepts).is_empty() {
        let words: Vec<String> = accepts.iter().map(cause_words).collect();
        return Err(Unsolvable::Actions(words.join("; ")));
    }
    Ok(members)
}

/// The readings say something else.
fn told_as(causes: &Causes, other: usize) -> Unsolvable {
    match causes.cause(other) {
        none if none.is_empty() => Unsolvable::Invisible,
        other => Unsolvable::Misleading(cause_words(&other)),
    }
}

/// Why the end of a way leaves nobody sure of what is right.
fn unsure(causes: &Causes, right: &[usize], end: &Belief) -> Unsolvable {
    let ranked = end.ranked();
    let alike = not_told_apart(&ranked);
    let (other, other_held) = *ranked
        .iter()
        .find(|r| !right.contains(&r.0))
        .unwrap_or(&ranked[0]);
    if alike.iter().any(|a| a.0 == 0) {
        Unsolvable::Invisible
    } else if other_held >= SURE {
        told_as(causes, other)
    } else if alike.len() > MOST_ALIKE {
        Unsolvable::Alike(alike.len())
    } else {
        Unsolvable::Unsure {
            held: end.in_any(right),
            other: cause_words(&causes.cause(other)),
            other_held,
        }
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
