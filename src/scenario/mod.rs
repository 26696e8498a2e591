//! A scenario: a rig, a place, how all stands at the start, and what happens when.
//!
//! The struct here is what the simulation takes; the text form is read and written by the files
//! beside it. Knows nothing of solvers.

pub mod action;
mod burner;
mod draft;
mod happen;
mod keys;
mod parts;
mod read;
#[cfg(test)]
mod round_trip;
mod sections;
mod sky;
mod slot;
mod stage_parts;
mod talk;
#[cfg(test)]
mod tests;
pub mod unusual;
mod write;

pub use action::{Action, Comes, Growth, SiteValue, WhichStage};
pub use draft::{Draft, Written, Wrong};
pub use happen::LONGEST_OVER_S;
pub use keys::{Key, keys};
pub use talk::{Talk, TalkStop, TalkView};

use crate::fault::Fault;
use crate::form::{Form, FormError, Mistakes, TableReader};
use crate::rig::{Charge, Rig, Section, Site};
use crate::units::System;
use std::path::Path;

/// Something that happens at a set time.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// When \[s\] after the start.
    pub at_s: f64,
    /// What.
    pub action: Action,
}

/// How long to run and how often to note the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Length \[s\].
    pub duration_s: f64,
    /// Interval of the table of readings \[s\].
    pub sample_s: f64,
    /// Time before zero in which the rig comes to rest \[s\].
    pub settle_s: f64,
}

impl Run {
    /// A minute, read every second.
    const MINUTE: Self = Self {
        duration_s: 60.0,
        sample_s: 1.0,
        settle_s: 30.0,
    };
}

/// A whole scenario, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// Title.
    pub title: String,
    /// One or two sentences.
    pub summary: String,
    /// Parameters of the healthy rig.
    pub rig: Rig,
    /// The main line as it is laid, from which that of the rig follows; empty where it is told as one pipe.
    pub sections: Vec<Section>,
    /// Site at the start.
    pub site: Site,
    /// How each container is charged.
    pub charges: Vec<Charge>,
    /// Whether each service valve is open at the start.
    pub valves_open: Vec<bool>,
    /// Container the changeover knob points at.
    pub service_side: usize,
    /// Which appliances are in use at the start.
    pub on_at_start: Vec<bool>,
    /// What happens, in order of time.
    pub events: Vec<Event>,
    /// Length and sampling.
    pub run: Run,
}

/// The scenario the window opens with when no file is named.
const OPENING: &str = include_str!("../../scenarios/opening.toml");

/// The shipped scenarios: name of the file and its text, quietest first.
pub const SHIPPED: [(&str, &str); 13] = [
    ("opening.toml", OPENING),
    (
        "quiet_evening.toml",
        include_str!("../../scenarios/quiet_evening.toml"),
    ),
    (
        "light_off.toml",
        include_str!("../../scenarios/light_off.toml"),
    ),
    (
        "frosty_night.toml",
        include_str!("../../scenarios/frosty_night.toml"),
    ),
    (
        "changeover.toml",
        include_str!("../../scenarios/changeover.toml"),
    ),
    ("climb.toml", include_str!("../../scenarios/climb.toml")),
    (
        "hot_afternoon.toml",
        include_str!("../../scenarios/hot_afternoon.toml"),
    ),
    (
        "opened_too_fast.toml",
        include_str!("../../scenarios/opened_too_fast.toml"),
    ),
    (
        "sealed_at_dusk.toml",
        include_str!("../../scenarios/sealed_at_dusk.toml"),
    ),
    (
        "overfilled.toml",
        include_str!("../../scenarios/overfilled.toml"),
    ),
    (
        "wet_fuel.toml",
        include_str!("../../scenarios/wet_fuel.toml"),
    ),
    (
        "bunkhouse_trailer.toml",
        include_str!("../../scenarios/bunkhouse_trailer.toml"),
    ),
    (
        "compartment_motorhome.toml",
        include_str!("../../scenarios/compartment_motorhome.toml"),
    ),
];

impl Scenario {
    /// A rig at rest in a place: every container open and filled to `fill` (share of its volume) with
    /// liquid at `liquid_k`, free of air, nothing burning, nothing planned; a minute long.
    pub fn at_rest(title: &str, rig: Rig, site: Site, fill: f64, liquid_k: f64) -> Self {
        let charge = Charge {
            fill,
            temperature_k: liquid_k,
            air_pa: 0.0,
        };
        Self {
            title: title.to_owned(),
            summary: String::new(),
            site,
            charges: vec![charge; rig.containers.len()],
            valves_open: vec![true; rig.containers.len()],
            service_side: 0,
            on_at_start: vec![false; rig.appliances.len()],
            rig,
            sections: Vec::new(),
            events: Vec::new(),
            run: Run::MINUTE,
        }
    }

    /// The coldest air that it has or that its weather brings \[K\].
    pub fn coldest_air_k(&self) -> f64 {
        let air = self.site.air_k;
        let brought = self.events.iter().filter_map(|e| match e.action {
            Action::Site {
                value: SiteValue::Air,
                to,
                ..
            } => Some(to),
            _ => None,
        });
        brought.fold(air.from.min(air.to), f64::min)
    }

    /// Reads a file.
    ///
    /// # Errors
    /// That the file cannot be read, or every mistake in it with its place.
    pub fn load(path: &Path) -> Result<Self, FormError> {
        let form = Form::load(path)?;
        Ok(Self::from_form(&form)?)
    }

    /// Reads the text of a file; `name` is what messages call it.
    ///
    /// # Errors
    /// Every mistake with its place.
    pub fn parse(name: &str, text: &str) -> Result<Self, Mistakes> {
        Self::from_form(&Form::parse(name, text)?)
    }

    fn from_form(form: &Form) -> Result<Self, Mistakes> {
        form.finish(Self::from_table(&form.root()))
    }

    /// Reads a scenario out of a table of a larger file. What it gives is good only if the
    /// form's [`finish`](Form::finish) finds no mistake: until then parts that could not be read
    /// are stood in for.
    pub fn from_table(table: &TableReader<'_>) -> Self {
        read::scenario(table, read::Wanted::Scenario)
    }

    /// Reads an event that is to happen on this rig from a table of another file.
    pub fn event_from_table(&self, table: &TableReader<'_>) -> Option<Event> {
        happen::read(table, &self.rig, self.run.duration_s)
    }

    /// The same where only the rig and its place are wanted: title and run may be left out.
    pub fn rig_from_table(table: &TableReader<'_>) -> Self {
        read::scenario(table, read::Wanted::Rig)
    }

    /// The shortest run \[s\].
    pub const SHORTEST_S: f64 = read::SHORTEST_SAMPLE_S;

    /// The longest a run with a row every `sample_s` may be \[s\].
    pub fn longest_s(sample_s: f64) -> f64 {
        (read::MOST_SAMPLES * sample_s).min(read::LONGEST_RUN_S)
    }

    /// The text of a file that reads back as this scenario.
    pub fn to_toml(&self, system: System) -> String {
        write::scenario(self, system)
    }

    /// The same as a table of a larger file, as [`from_table`](Self::from_table) reads it.
    pub fn to_toml_within(&self, table: &str, system: System) -> String {
        write::within(table, &self.to_toml(system))
    }

    /// The same rig with these faults in it from the start, and nothing else that happens.
    #[must_use]
    pub fn with_faults(&self, faults: impl IntoIterator<Item = (Fault, f64)>) -> Self {
        let put_in = |(fault, severity)| Event {
            at_s: 0.0,
            action: Action::Inject {
                fault,
                severity,
                over_s: 0.0,
            },
        };
        Self {
            events: faults.into_iter().map(put_in).collect(),
            ..self.clone()
        }
    }

    /// The scenario the window opens with when no file is named.
    ///
    /// # Panics
    /// Never: a test reads the file that is built in.
    pub fn opening() -> Self {
        Self::parse("opening.toml", OPENING).expect("a test reads the built-in file")
    }
}
