//! How near the cause that was answered comes to the true one, and what of the points for the cause it is worth. Three
//! things count, and the best of them: what it is (the catalogue: the fault, its family, the part of the rig that it strikes),
//! what the readings of the attempt leave open (belief at the answer, by the drill's own measuring rod), and whether one job
//! puts both right (the catalogue's remedies). No pair of faults is named here.

use super::job::{MIDDLING, strike_one_part};
use super::weigh::Weighed;
use crate::drill::attempt::act::Finding;
use crate::drill::making::file::{Drill, Worked};
use crate::drill::reasoning::assess::common_remedies;
use crate::drill::reasoning::causes::Cause;
use crate::fault::Fault;
use crate::rig::{Mounting, Rig};
use serde::Serialize;

/// How near a named cause is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Hit {
    /// It is it.
    Right,
    /// Nothing at hand tells it from what it is.
    AsGood,
    /// Part of it.
    Part,
    /// What was read leaves it open beside what it is.
    Open {
        /// Whether one job puts both right.
        one_job: bool,
    },
    /// Another of the family.
    Family,
    /// Another that strikes the same part of the rig.
    SamePart,
    /// No.
    No,
}

/// How near an answer is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// In what way.
    pub hit: Hit,
    /// The share of the cause that it names, 0 to 1: 1 for what is right.
    pub share: f64,
    /// The share of the points for the cause, by how far the readings bear it out.
    pub given: f64,
}

impl Near {
    /// No answer, or one that is nowhere near.
    pub const NOWHERE: Self = Self {
        hit: Hit::No,
        share: 0.0,
        given: 0.0,
    };
}

/// What a right answer is worth that no reading bears out (own: a guess is one of ten).
const GUESS: f64 = 0.1;
/// Share for the right family or the right part of the rig, or for a part of the right cause by its share (own).
const FAMILY: f64 = 0.375;
/// Share for what the readings leave as likely as the true cause: where one job puts both right, and where it does not (own).
/// It is less than the true one has by the same readings, however likely they make it.
const OPEN: f64 = 0.75;
const OPEN_OTHER_JOB: f64 = FAMILY;

/// What of its points an answer gets that the readings bear out this far.
pub(super) fn borne(support: f64) -> f64 {
    GUESS + (1.0 - GUESS) * support
}

/// Whether two causes are the same faults, in whatever order.
pub fn same(a: &Cause, b: &Cause) -> bool {
    a.len() == b.len() && a.iter().all(|f| b.contains(f))
}

/// How near an answer names the cause.
pub(super) fn near(drill: &Drill, answer: &Finding, weighed: &Weighed) -> Near {
    let named = drill.settled(&answer.cause);
    let (hit, share) = by_name(drill, &named);
    let given = share * borne(weighed.support);
    let by_name = Near { hit, share, given };
    if matches!(hit, Hit::Right | Hit::AsGood | Hit::Part) {
        return by_name;
    }
    let one_job = !common_remedies(&[drill.cause(), named]).is_empty();
    let most = if one_job { OPEN } else { OPEN_OTHER_JOB };
    let share = most * weighed.open;
    // With nothing read everything is open: that is worth nothing.
    let given = share * weighed.support;
    if given > by_name.given {
        let hit = Hit::Open { one_job };
        return Near { hit, share, given };
    }
    by_name
}

/// How near a cause is by the catalogue, and the share of the cause that this is.
fn by_name(drill: &Drill, named: &Cause) -> (Hit, f64) {
    let truth = drill.cause();
    if same(&truth, named) {
        return (Hit::Right, 1.0);
    }
    if counts_as_right(drill, named) {
        return (Hit::AsGood, 1.0);
    }
    matched(&drill.scenario.rig, &truth, named)
}

/// How near a named cause comes fault by fault: of each true one that is named its whole part counts, of what is left over on both sides
/// [`FAMILY`] of it where one of the family or of its part of the rig was named; all of it by as many as are true or named.
fn matched(rig: &Rig, truth: &Cause, named: &Cause) -> (Hit, f64) {
    let exact = truth.iter().filter(|t| named.contains(t)).count();
    let mut over: Vec<Fault> = named
        .iter()
        .copied()
        .filter(|n| !truth.contains(n))
        .collect();
    let mut near = Vec::new();
    for t in truth.iter().filter(|t| !named.contains(t)) {
        let family = |n: &Fault| t.entry().family == n.entry().family;
        let part = |n: &Fault| strike_one_part(rig, *t, *n);
        let found = over.iter().position(family).map(|at| (Hit::Family, at));
        let found = found.or_else(|| Some((Hit::SamePart, over.iter().position(part)?)));
        if let Some((hit, at)) = found {
            over.remove(at);
            near.push(hit);
        }
    }
    let of = truth.len().max(named.len()).max(1) as f64;
    let share = (exact as f64 + FAMILY * near.len() as f64) / of;
    let hit = match near.first() {
        _ if exact > 0 => Hit::Part,
        _ if near.contains(&Hit::Family) => Hit::Family,
        Some(hit) => *hit,
        None => Hit::No,
    };
    (hit, share)
}

/// Whether a cause counts as right beside the true one: what nothing at hand tells from it, and what the rig can have where it stands.
pub fn counts_as_right(drill: &Drill, cause: &Cause) -> bool {
    let rig = &drill.scenario.rig;
    let accepted = |w: &Worked| w.accepts.iter().any(|c| same(c, cause));
    drill.worked.as_ref().is_some_and(accepted) && !cause.iter().any(|f| is_kept_off(rig, *f))
}

/// Whether a fault works by the sun, and the regulator sits where that does not come: a cover and a compartment keep it off, and whoever
/// reads of the rig knows that.
pub fn is_kept_off(rig: &Rig, fault: Fault) -> bool {
    rig.body.mounted != Mounting::Open && by_sun(fault)
}

/// Whether a fault works by the sun on a regulator in the open.
fn by_sun(fault: Fault) -> bool {
    let mut rig = crate::scenario::Scenario::opening().rig;
    rig.body = Mounting::Open.body();
    let open = rig.body.sun_k_m2_per_w;
    fault.apply(&mut rig, MIDDLING);
    rig.body.sun_k_m2_per_w != open
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::library::standard::standard_rig;

    /// Whoever names one of two rightly and comes near the other has more than who names the one alone, and who comes near one of two
    /// less than who comes near the only one; in whatever order.
    #[test]
    fn of_two_faults_each_counts_for_itself() {
        let rig = standard_rig().rig;
        let named = |ids: &[&str]| -> Cause {
            let each = ids
                .iter()
                .map(|id| Fault::named(id).expect("in the catalogue"));
            each.collect()
        };
        let truth = named(&["second_seat_nick", "line_crushed"]);
        let by = |ids: &[&str]| matched(&rig, &truth, &named(ids));
        assert_eq!(by(&["second_seat_nick"]), (Hit::Part, 0.5));
        let both = (Hit::Part, 0.5 * (1.0 + FAMILY));
        assert_eq!(by(&["second_seat_grit", "line_crushed"]), both);
        assert_eq!(by(&["line_crushed", "second_seat_grit"]), both);
        assert_eq!(by(&["line_crushed", "spud_oversize"]), (Hit::Part, 0.5));
        assert_eq!(by(&["second_seat_grit"]), (Hit::Family, 0.5 * FAMILY));
        // One that was named comes near one true one, not two.
        let seats = named(&["second_seat_nick", "second_seat_hard"]);
        assert_eq!(
            matched(&rig, &seats, &named(&["second_seat_grit"])),
            (Hit::Family, 0.5 * FAMILY)
        );
        let one = named(&["second_seat_nick"]);
        assert_eq!(
            matched(&rig, &one, &named(&["second_seat_grit"])),
            (Hit::Family, FAMILY)
        );
        assert_eq!(
            matched(&rig, &one, &named(&["spud_oversize"])),
            (Hit::No, 0.0)
        );
    }

    /// What works by the sun is no cause in a compartment or under a cover; mud in a vent is one everywhere.
    #[test]
    fn out_of_the_sun_nothing_is_by_the_sun() {
        let named = |id| Fault::named(id).expect("in the catalogue");
        let mut rig = standard_rig().rig;
        for (name, mounted) in Mounting::ALL {
            rig.body = mounted.body();
            let off = |id| is_kept_off(&rig, named(id));
            assert_eq!(off("mounted_in_sun"), mounted != Mounting::Open, "{name}");
            assert!(!off("second_vent_blocked") && !off("vent_turned_up"));
        }
    }
}
