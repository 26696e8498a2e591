//! What to do about a cause, by what was read and how likely the cause is. Not here: the words (`report::causes`), which a
//! fault's page has.

use super::inference::safety::Danger;
use crate::fault::Fault;
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
    /// Nothing yet: all that was read holds its limits, or something wrong is as likely as that nothing is. Test again.
    Watch,
    /// What the fault's page says, by somebody qualified.
    Mend,
}

/// Nothing is said to want mending only where that is likelier than all else together.
pub(super) const LIKELY: f64 = 0.5;

/// What to do about a cause that is likelier than all others together, or is not, and leaves something unexplained, or does not.
pub(super) fn action(
    (fault, likely): (Option<Fault>, bool),
    danger: Danger,
    holds: bool,
    is_unexplained: bool,
) -> Advice {
    match (fault, danger) {
        (Some(_), Danger::None) if holds => Advice::Watch,
        (Some(_), _) => Advice::Mend,
        (None, Danger::None) if is_unexplained => Advice::LookInto,
        (None, Danger::None) if likely => Advice::Nothing,
        (None, Danger::None) => Advice::Watch,
        (None, _) => Advice::LeaveShut,
    }
}
