//! What to do about a cause, by what was read and how likely the cause is. Not here: the words (`report::causes`), which a
//! fault's page has.

use super::inference::safety::Danger;
use crate::fault::Fault;
use crate::visit::Verdict;
use serde::Serialize;

/// What to do about a cause.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Advice {
    /// Nothing is to be mended by these readings.
    Nothing,
    /// Something was seen that is not so on a rig with nothing wrong: find out what makes it first.
    LookInto,
    /// Leave it shut off and refer: what was read is not safe.
    LeaveShut,
    /// Nothing yet: of a fault where all that was read holds its limits; of a healthy rig where something wrong is as likely, or a
    /// reading has to be watched. Test again.
    Watch,
    /// What the fault's page says, by somebody qualified.
    Mend,
}

/// Nothing is said to want mending only where that is likelier than all else together, or stands first and all holds its limits; from
/// a first look only the former.
pub(super) const LIKELY: f64 = 0.5;

/// What an answer knows where it says what to do.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    /// How much may still be done.
    pub danger: Danger,
    /// Whether flow pressure and lock-up were read, and all that was read holds its limits.
    pub holds: bool,
    /// The worst that any number came out with.
    pub worst: Verdict,
}

/// What to do about a cause that is likelier than all others together, or is not, and leaves something unexplained, or does not.
pub(super) fn action(
    fault: Option<Fault>,
    known: Known,
    is_likely: bool,
    is_unexplained: bool,
) -> Advice {
    match (fault, known.danger) {
        (Some(_), Danger::None) if known.holds => Advice::Watch,
        (Some(_), _) => Advice::Mend,
        (None, Danger::None) if is_unexplained || known.worst == Verdict::Fail => Advice::LookInto,
        (None, Danger::None) if is_likely && known.worst == Verdict::Pass => Advice::Nothing,
        (None, Danger::None) => Advice::Watch,
        (None, _) => Advice::LeaveShut,
    }
}

/// The caution that goes with nothing wrong: beside a stop the next season is not what is thought of.
pub(super) fn of_healthy(danger: Danger) -> &'static str {
    match danger {
        Danger::None => "Test again at least once each camping season",
        _ => {
            "What was found or told stands, whatever the readings are like: nothing is lit before it has been put right"
        }
    }
}
