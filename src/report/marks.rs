//! The marks of an attempt in words: why points were given, and what the readings said after an act.

use super::letters::capital;
use super::percent::belief;
use super::telling::minutes;
use crate::drill::attempt::act::Left;
use crate::drill::attempt::safety::Unsafe;
use crate::drill::marking::debrief::{LookAlike, Step};
use crate::drill::marking::grade::{Borne, Done, Hit, Why};
use crate::drill::marking::weigh::Tally;
use crate::drill::reasoning::causes::{Cause, cause_words};
use crate::fault::{Fault, Remedy};
use crate::units::System;
use crate::visit::{Deed, Id, Scale, Test, Told};
use std::fmt::Write as _;

/// The rule of an action for another cause, as the paper has it.
pub const NOT_NEAR: &str = "coming near counts nothing";

/// Most causes told by name.
const NAMED: usize = 4;

/// Why points were given.
pub fn why(why: &Why) -> String {
    match why {
        Why::NoAnswer => "No answer was given".to_owned(),
        Why::Cause {
            named,
            truth,
            hit,
            borne,
        } => of_cause(named, truth, *hit, *borne),
        Why::Evidence {
            borne,
            suspected,
            answered,
            seen,
            judged,
            few,
        } => {
            let mut out = of_evidence(*borne, *suspected, (*answered, *seen));
            if judged.tests > 0 {
                out = out + "; " + &judged_words(judged);
            }
            if judged.near > judged.right && judged.tests > 1 {
                out.push_str(", and one step off counts no more often than rightly");
            }
            if *few && judged.share > 0.0 {
                out.push_str(", which so few tests hardly show");
            }
            out
        }
        Why::Action {
            named,
            would,
            leaves,
            done,
            did,
            near,
            job,
            open,
            helps,
            too_much,
            whole,
            needless,
        } => {
            let mut out = match leaves {
                Some((fault, right)) => of_half(named, *fault, right),
                None if *helps && !would.is_empty() => of_help(named, would),
                None => of_action((named, *did), would, (near.max(*job), *too_much, *done)),
            };
            if leaves.is_some() && *near <= 0.0 && *done != Some(Done::Proved) {
                out.push_str(", and another cause was named for it");
            }
            out.push_str(of_repair((named, *did), would, *done));
            out.push_str(of_needless(*needless));
            if *job > 0.0 && *done != Some(Done::Proved) {
                out.push_str(if *job < 1.0 {
                    "; it counts as far as what was read asks for that job, whichever cause it is"
                } else {
                    "; what was read asks for that job, whichever cause it is"
                });
                return out;
            }
            let half = (0.0..1.0).contains(near) && *near > 0.0 && leaves.is_none() && !open;
            if half && *done != Some(Done::Proved) {
                out.push_str("; it counts for the cause that was named rightly, which is half of it");
            }
            if *open && *done != Some(Done::Proved) {
                out.push_str("; what was read leaves both causes open, and it counts as far as that");
            } else if would.is_empty() && *near > 0.0 && !whole {
                out.push_str("; it counts as far as the readings bear the cause out");
            }
            out
        }
        Why::Economy {
            worked_s,
            best_s,
            waits_s,
            ended_s,
            to_repair,
            found,
            whole,
        } => {
            let to = if *to_repair { " to the repair" } else { "" };
            let worked = minutes(worked_s / 60.0) + to;
            let best = best_s.map(|s| s / 60.0);
            let mut out = of_economy(&worked, (best, waits_s / 60.0), *found);
            if let Some(ended_s) = ended_s {
                let _ = write!(out, "; the drill had ended at {}", minutes(ended_s / 60.0));
            }
            if *found && !whole {
                out.push_str("; it counts as far as the cause does");
            }
            out
        }
        Why::Safe(left) => match left {
            Some(Left::ShutOff) => "Nothing unsafe was done, and it was left shut off",
            Some(Left::InUse) => "Nothing unsafe was done, and it was left in order",
            None => "Nothing unsafe was done",
        }
        .to_owned(),
        Why::Unlooked => {
            "Nothing unsafe was done, and nothing was looked at: escaping gas would not have been noticed".to_owned()
        }
        Why::Broke(rules) => {
            let one = |same: &[(usize, f64, Unsafe)]| {
                let (n, at) = (same[0].0, minutes(same[0].1 / 60.0));
                let rules: Vec<_> = same.iter().map(|b| super::drills::rule(&b.2)).collect();
                // Two reasons, one deed.
                format!("{} (act {n}, at {at})", rules.join(" and "))
            };
            let acts: Vec<_> = rules.chunk_by(|a, b| a.0 == b.0).map(one).collect();
            acts.join(", ")
        }
    }
}

fn of_cause(named: &Cause, truth: &Cause, hit: Hit, borne: Option<Borne>) -> String {
    let (named, truth) = (cause_words(named), cause_words(truth));
    let mut out = match hit {
        Hit::Right => format!("{named}: right"),
        Hit::AsGood => format!(
            "{named}: it is {truth}; it counts as right, since the tests on the way leave both open and the same mends both"
        ),
        Hit::Part => format!("{named}: part of it; it is {truth}"),
        Hit::Open { one_job: true } => {
            format!(
                "{named}: it is {truth}; what was read leaves both open, and the same mends both"
            )
        }
        Hit::Open { one_job: false } => format!(
            "{named}: it is {truth}; what was read leaves both open, and each is mended by something else"
        ),
        Hit::Family => format!("{named}: it is {truth}; the right family"),
        Hit::SamePart => format!("{named}: it is {truth}; the right part of the rig"),
        Hit::No => format!("{named}: it is {truth}"),
    };
    out.push_str(borne.map_or("", |borne| of_borne(borne, hit)));
    out
}

/// How far the readings bear out what was named: the whole, or what of it is right.
fn of_borne(borne: Borne, hit: Hit) -> &'static str {
    match (borne, hit) {
        (Borne::Unweighed, _) => {
            "; the drill was sealed without what evidence is weighed by: seal it anew"
        }
        (Borne::Sure, Hit::Family) => "; the readings bear out the family and tell another of it",
        (Borne::Points, Hit::Family) => "; the readings point to the family and to another of it",
        (Borne::Sure, Hit::SamePart) => {
            "; the readings bear out the part and tell another fault of it"
        }
        (Borne::Points, Hit::SamePart) => {
            "; the readings point to the part and to another fault of it"
        }
        // That they leave both open is said.
        (Borne::Sure | Borne::Points, Hit::Open { .. }) => "; it counts by how likely they make it",
        (Borne::Sure, Hit::Part) => "; the readings bear out that part and tell the rest",
        (Borne::Points, Hit::Part) => "; the readings point to that part and to more",
        (Borne::Part, _) => {
            "; the readings bear out its part of the rig and the job, and not which of the faults there"
        }
        (Borne::Stopped, _) => {
            "; gas blew out and the container was shut, so no more readings were asked for"
        }
        (Borne::Sure, _) => "; the readings bear it out",
        (Borne::Points, _) => "; the readings point to it and leave others open",
        (Borne::Little, _) => "; the readings leave much else open",
        (Borne::Not, _) => "; a guess: no reading bears it out",
    }
}

fn of_evidence(borne: Borne, suspected: f64, (answered, seen): (bool, bool)) -> String {
    let read = match borne {
        Borne::Sure => "What was read makes sure of the cause",
        Borne::Part => {
            "What was read tells the part of the rig and the job, and not which of the faults there"
        }
        Borne::Stopped => {
            "What was read tells that gas blows out, and the container was shut: more was not asked for"
        }
        Borne::Points => "What was read points to the cause",
        Borne::Little => "What was read tells a little",
        Borne::Not | Borne::Unweighed => "Nothing was read that tells the cause",
    };
    let noted = match (suspected, answered) {
        (s, _) if s >= 1.0 => "a suspicion was noted that followed from what was read by then",
        (s, _) if s > 0.0 => {
            "a suspicion was noted that followed from what was read by then, and it counts by how sure it was said"
        }
        (_, true) => {
            "no suspicion was noted that followed from what was read by then, with work after it or at once after the test that told it"
        }
        (_, false) => "no suspicion was noted so far that follows from it",
    };
    let other = if seen || matches!(borne, Borne::Not | Borne::Unweighed) {
        ""
    } else {
        ", and the answer is another"
    };
    format!("{read}{other}; {noted}")
}

/// How the tests were judged that could be: "of 5 tests 1 was judged rightly, 3 wrongly, 1 not at all".
fn judged_words(j: &Tally) -> String {
    let was = |n: usize| if n == 1 { "was" } else { "were" };
    let unjudged = j.unjudged();
    let tests = match j.tests {
        1 => "the one test",
        2 => "both tests",
        _ => "all tests",
    };
    let all = [
        (j.right, "rightly"),
        (j.near, "one step off"),
        (j.wrong, "wrongly"),
    ];
    if let Some((_, how)) = all.iter().find(|(n, _)| *n == j.tests) {
        return format!("{tests} {} judged {how}", was(j.tests));
    }
    if unjudged == j.tests {
        return match j.tests {
            1 => "the one test was not judged".to_owned(),
            n => format!("none of {n} tests was judged"),
        };
    }
    let mut parts: Vec<String> = Vec::new();
    for (n, how) in all.into_iter().filter(|(n, _)| *n > 0) {
        let judged = if parts.is_empty() {
            format!(" {} judged", was(n))
        } else {
            String::new()
        };
        parts.push(format!("{n}{judged} {how}"));
    }
    if unjudged > 0 {
        parts.push(format!("{unjudged} not at all"));
    }
    format!("of {} tests {}", j.tests, parts.join(", "))
}

/// Actions as a sentence names them.
fn doing(actions: &[Remedy], between: &str) -> String {
    let words: Vec<&str> = actions.iter().map(|r| r.doing()).collect();
    words.join(between)
}

/// Of two causes one is put right.
fn of_half(named: &[Remedy], leaves: Fault, right: &[Remedy]) -> String {
    format!(
        "{} puts only one of the two right: for {} it takes {}",
        capital(&doing(named, " and ")),
        leaves.name(),
        doing(right, " or ")
    )
}

/// What tells something and may help, and is no repair, whether or not it was done.
fn of_help(named: &[Remedy], would: &[Remedy]) -> String {
    format!(
        "{} may help once and is no repair, also where a test after it passes: {} would put it right",
        capital(&doing(named, " and ")),
        doing(would, " or ")
    )
}

fn of_action(
    (named, did): (&[Remedy], Option<Remedy>),
    would: &[Remedy],
    (near, too_much, done): (f64, bool, Option<Done>),
) -> String {
    let name = capital(&doing(named, " and "));
    let proved = done == Some(Done::Proved);
    if would.is_empty() && near <= 0.0 && !proved {
        format!("{name} would put it right, but another cause was named for it: {NOT_NEAR}")
    } else if would.is_empty() && proved && !is_other(named, did) {
        format!("{name} put it right")
    } else if would.is_empty() {
        // Named is not done: safety may have to say that it is still in the rig.
        format!("{name} would put it right")
    } else if too_much {
        format!(
            "{name} is more than it needs: {} would do",
            doing(would, " or ")
        )
    } else {
        format!(
            "{name} does not put it right; {} would",
            doing(would, " or ")
        )
    }
}

/// Whether another deed than those named may have put it right.
fn is_other(named: &[Remedy], did: Option<Remedy>) -> bool {
    did.is_some_and(|d| !named.contains(&d))
}

/// What became of a repair that what is at hand could do.
fn of_repair(
    (named, did): (&[Remedy], Option<Remedy>),
    would: &[Remedy],
    done: Option<Done>,
) -> &'static str {
    let other = is_other(named, did);
    match done {
        None => "",
        Some(Done::Proved) if would.is_empty() && !other => {
            "; it was done, and tests after it prove it"
        }
        Some(Done::Proved) => "; what was done did put it right, and tests after it prove it",
        Some(Done::Unproved) if other => {
            "; something else was done, and no test after it proves that it helped"
        }
        Some(Done::Unproved) => "; it was tried, and no test after it proves that it helped",
        Some(Done::Not) => "; what is at hand could do it and prove it",
    }
}

/// That a sound part was replaced.
fn of_needless(part: Option<Deed>) -> &'static str {
    match part {
        Some(Deed::SwapRegulator) => {
            "; a sound regulator was replaced, which nothing that is wrong asked for"
        }
        Some(Deed::SwapHose) => {
            "; a sound hose was replaced, which nothing that is wrong asked for"
        }
        _ => "",
    }
}

fn of_economy(worked: &str, (best, waits): (Option<f64>, f64), found: bool) -> String {
    match best {
        _ if !found => format!("{worked}, and the cause was not found"),
        None => worked.to_owned(),
        Some(best) if waits > 0.0 => format!(
            "{worked}; the program's own path takes {}, {} of it until the fault is there",
            minutes(best),
            minutes(waits)
        ),
        Some(best) => format!("{worked}; the program's own path takes {}", minutes(best)),
    }
}

/// What the readings said after an act: the cause they are sure of, the causes not yet told apart,
/// or how many are still open.
pub fn says(step: &Step) -> String {
    let names: Vec<String> = step.alike.iter().map(|(c, _)| cause_words(c)).collect();
    let held: f64 = step.alike.iter().map(|(_, p)| p).sum();
    match names.as_slice() {
        [one] if held >= 0.5 => format!("{one}, {}", belief(held)),
        [_, .., last] if names.len() <= NAMED && held >= 0.5 => {
            let before = names[..names.len() - 1].join(", ");
            format!(
                "{before} or {last}: not yet told apart, together {}",
                belief(held)
            )
        }
        _ => format!("about {:.0} causes still open", step.open),
    }
}

/// What would have been best after an act: what safety asks for goes before any test.
pub fn best_next(step: &Step) -> Option<String> {
    match (step.shuts, step.best_next) {
        (true, _) => Some("shut the container: gas blows out".to_owned()),
        (false, next) => next.map(|test| test.words().to_owned()),
    }
}

/// So many causes, as one says it.
fn causes_open(open: f64) -> String {
    match open.round() {
        n if n <= 1.0 => "one cause".to_owned(),
        n => format!("about {n:.0} causes"),
    }
}

/// What a look gained against what the best one could have gained then; none for what is no look.
pub fn gained(step: &Step) -> Option<String> {
    if !step.is_look {
        return None;
    }
    let (before, after) = (step.open_before, step.open);
    let (from, to) = (causes_open(before), causes_open(after));
    let told = if from == to {
        format!("It told little new, {to} open as before")
    } else if after < before {
        format!("It narrowed {from} down to {to}")
    } else {
        format!("It opened the question again, from {from} to {to}")
    };
    // What is told of the best next test then is what the step before advised.
    let beside = match step.could {
        None if before.round() <= 1.0 => "; no more was needed".to_owned(),
        None => "; nothing at hand promised much".to_owned(),
        Some((best, _)) if is_test(step, best) => "; it was the best next".to_owned(),
        Some((best, could)) if could < after && causes_open(could) != to => {
            format!(
                "; {}, the best next then, would have left {}",
                best.words(),
                causes_open(could)
            )
        }
        Some((best, _)) => format!(
            "; {}, the best next then, would have left no fewer",
            best.words()
        ),
    };
    Some(format!("{told}{beside}"))
}

/// What tells a look-alike apart: the test, what it shows here, what it would show there.
pub fn apart(l: &LookAlike, system: System) -> String {
    if let Some(why) = l.idle {
        return capital(&super::idle::does_nothing(why, system));
    }
    let Some((test, (item, here))) = l.test.zip(l.here) else {
        return "No single test at hand tells it apart".to_owned();
    };
    let value = |v: f64| super::visit::value(item, v, system);
    format!(
        "{}{}: {} {} {} here, and would be {} there{}",
        if l.already {
            "Told apart already by "
        } else {
            ""
        },
        if l.already {
            test.words().to_owned()
        } else {
            capital(test.words())
        },
        item.item().words,
        if l.read { "is" } else { "would be" },
        value(here),
        over(item, &l.there, system),
        l.from.map_or_else(String::new, |s| {
            format!(", at {:.0} % of it and more", 100.0 * s)
        })
    )
}

/// Some values of an item: numbers from the least to the most, words each once.
pub fn over(item: Id, all: &[f64], system: System) -> String {
    let are_words = matches!(item.item().kind, Scale::Words(_));
    let value = |v: f64| super::visit::value(item, v, system);
    let mut told: Vec<f64> = all.to_vec();
    told.sort_by(f64::total_cmp);
    let mut told: Vec<String> = told.into_iter().map(value).collect();
    told.dedup();
    match &told[..] {
        [least, .., most] if !are_words => format!("{least} to {most}"),
        all => all.join(" or "),
    }
}

/// Whether an act was this test.
fn is_test(step: &Step, wanted: Test) -> bool {
    matches!(&step.entry.told, Told::Test { test, .. } if *test == wanted)
}

/// From so many bits on a test parts some of the causes; under it, it tells little.
pub const PARTS_SOME: f64 = 0.25;

/// How well a test parts the causes that are left, by the bits that it is expected to tell.
pub fn parts_causes(bits: f64) -> &'static str {
    if bits >= 0.7 {
        "parts the causes well"
    } else if bits >= PARTS_SOME {
        "parts some of the causes"
    } else {
        "tells little that is new"
    }
}

/// How many causes what anyone does first leaves.
pub fn alike_at_first(look_alikes: f64) -> String {
    match look_alikes.round() {
        n if n >= 2.0 => format!("about {n:.0} causes alike after the obvious steps"),
        _ => "hardly more than one cause left after the obvious steps".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whoever judged wrongly reads that: right, near, wrong and not judged are counted, and make up all.
    #[test]
    fn judgements_are_told_by_number() {
        let of = |tests, right, near, wrong| {
            judged_words(&Tally {
                tests,
                right,
                near,
                wrong,
                share: 0.0,
            })
        };
        for (told, is) in [
            (
                of(5, 1, 0, 3),
                "of 5 tests 1 was judged rightly, 3 wrongly, 1 not at all",
            ),
            (
                of(3, 0, 1, 2),
                "of 3 tests 1 was judged one step off, 2 wrongly",
            ),
            (
                of(3, 2, 0, 0),
                "of 3 tests 2 were judged rightly, 1 not at all",
            ),
            (of(4, 4, 0, 0), "all tests were judged rightly"),
            (of(2, 0, 0, 2), "both tests were judged wrongly"),
            (of(1, 0, 0, 1), "the one test was judged wrongly"),
            (of(1, 0, 0, 0), "the one test was not judged"),
            (of(3, 0, 0, 0), "none of 3 tests was judged"),
        ] {
            assert_eq!(told, is);
        }
    }
}
