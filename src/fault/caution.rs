//! Cautions that several faults share: one danger has one sentence, whichever fault brings it.

/// Gas inside, or somewhere: what whoever smells it does.
pub const SMELL: &str = "Smell of gas: no switch, no flame, no phone inside. Everyone out, shut the container, call from a distance";

/// Gas that comes out of a vent.
pub const AT_THE_VENT: &str = "Gas comes out of the vent: no switch, no flame near by, shut the container, everyone away from it, and never cap the vent to stop it. A qualified technician replaces the regulator";

/// The whole of the container's pressure behind the first seat.
pub(super) const PAST_THE_FIRST: &str =
    "Container pressure reaches parts made for 10 psig: shut the container";
