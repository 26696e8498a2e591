//! The standard rig, and which rig readings were taken on.

use super::collection::Library;
use crate::scenario::Scenario;
use crate::units::System;

/// The standard rig of a diagnosis, where the readings bring none.
const STANDARD: &str = r#"
title = "standard rig"
summary = "A 30-lb cylinder, an integral two-stage regulator, five appliances"
[site]
air = "60 degF"
[[container]]
kind = "30 lb cylinder"
fill = "60 %"
[[appliance]]
kind = "furnace"
[[appliance]]
kind = "water heater"
[[appliance]]
kind = "refrigerator"
[[appliance]]
kind = "cooktop"
[[appliance]]
kind = "on-demand heater"
[run]
duration = "30 min"
sample = "1 s"
"#;

/// The standard rig.
///
/// # Panics
/// Never: a test reads it.
pub fn standard_rig() -> Scenario {
    Scenario::parse("standard rig", STANDARD).expect("a test reads the built-in rig")
}

/// What a rig is called in readings that were taken on it: a title may tell what is wrong.
pub(in crate::diagnosis) const RIG_TITLE: &str = "the rig of these readings";

/// The rig of readings that were taken on a scenario's, as it was built: without faults, without
/// words that may tell them. None where it is the standard one.
pub fn rig_of(scenario: &Scenario) -> Option<Scenario> {
    let same = Library::new(scenario).digest == Library::new(&standard_rig()).digest;
    (!same).then(|| {
        let mut out = without_events(scenario);
        RIG_TITLE.clone_into(&mut out.title);
        out.summary.clear();
        // As it reads back from its file.
        Scenario::parse("rig", &out.to_toml(System::Us)).unwrap_or(out)
    })
}

/// A scenario without what its file makes happen, its faults among it.
pub(in crate::diagnosis) fn without_events(scenario: &Scenario) -> Scenario {
    let mut out = scenario.clone();
    out.events.clear();
    out
}
