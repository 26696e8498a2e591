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
    /// Nothing wrong is not shown yet: something wrong is as likely, a reading has to be watched, or a test is missing that would show it.
    Watch,
    /// Of a fault where all that was read holds its limits: nothing shows it yet. The next test comes before what its page says.
    Prove,
    /// The same of one that would let gas out where leak fluid has not been: that comes before anything is lit.
    Seek,
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
    /// Whether flow pressure, lock-up and leak check were read, and nothing likely would let gas out where nobody has looked.
    pub is_proved: bool,
}

/// What to do about a cause that is likelier than all others together, or is not, leaves something unexplained, or does not, and lets gas out
/// where nobody has looked, or does not.
pub(super) fn action(
    fault: Option<Fault>,
    known: Known,
    is_likely: bool,
    is_unexplained: bool,
    escapes: bool,
) -> Advice {
    match (fault, known.danger) {
        (Some(_), Danger::None) if known.holds && escapes => Advice::Seek,
        (Some(_), Danger::None) if known.holds => Advice::Prove,
        (Some(_), _) => Advice::Mend,
        (None, Danger::None) if is_unexplained || known.worst == Verdict::Fail => Advice::LookInto,
        (None, Danger::None) if is_likely && known.is_proved && known.worst == Verdict::Pass => {
            Advice::Nothing
        }
        (None, Danger::None) => Advice::Watch,
        (None, _) => Advice::LeaveShut,
    }
}

/// The caution that goes with a cause: beside a stop neither the next season is thought of nor what is lit when gas comes back.
pub(super) fn caution(fault: Option<Fault>, danger: Danger) -> &'static str {
    match (fault, danger) {
        (None, Danger::None) => "Test again at least once each camping season",
        (Some(fault), Danger::None) => fault.entry().caution,
        (Some(fault), _) if !fault.entry().page().relights => fault.entry().caution,
        _ => {
            "What was found or told stands, whatever the readings are like: nothing is lit before it has been put right"
        }
    }
}
