//! The catalogue of faults: what goes wrong with a part, in words, and which *parameter* of a
//! rig it changes. No fault ever changes a reading; symptoms come out of the equations.
//!
//! One file a family; [`ALL`] is the whole catalogue. Every change is a pure function of a
//! severity from 0 (nothing: the rig is exactly as it was) to 1 (as bad as it gets), and what a
//! severity is worth in mm², N or percent the entry says itself. What strikes a container or its way
//! to the regulator strikes one side of a twin set (`placed`). Knows nothing of solvers.

mod appliance;
pub mod caution;
mod diaphragm;
mod fuel;
mod grade;
mod idle;
mod lever;
mod mounting;
mod piping;
mod placed;
mod relief;
mod remedy;
mod scale;
mod seat;
mod spoken;
mod spring;
mod supply;
#[cfg(test)]
mod tests;
pub mod trade;
mod vent;

use crate::rig::{Appliance, Container, ContainerState, Rig, RigState, Seat};
use crate::units::System;
use serde::Serialize;
use std::sync::LazyLock;

pub use grade::Grade;
pub use idle::{Acts, Idle};
pub use placed::{Fault, Side, UnknownFault};
pub use remedy::Remedy;
pub use seat::grain_m;
pub use spoken::spoken;

/// The whole catalogue, family by family.
pub static ALL: LazyLock<Vec<&'static Entry>> = LazyLock::new(|| {
    let families: [&'static [Entry]; 11] = [
        &vent::FAULTS,
        &seat::FAULTS,
        &spring::FAULTS,
        &diaphragm::FAULTS,
        &lever::FAULTS,
        &relief::FAULTS,
        &fuel::FAULTS,
        &supply::FAULTS,
        &piping::FAULTS,
        &appliance::FAULTS,
        &mounting::FAULTS,
    ];
    families.into_iter().flatten().collect()
});

/// Where a fault sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Vents of the spring cases.
    Vent,
    /// Seats and nozzles.
    Seat,
    /// Springs and adjusting screws.
    Spring,
    /// Diaphragms.
    Diaphragm,
    /// Lever and guides.
    Lever,
    /// Relief valve.
    Relief,
    /// What comes with the gas.
    Fuel,
    /// Container, valve, hose.
    Supply,
    /// Low-pressure piping.
    Piping,
    /// One appliance.
    Appliance,
    /// How the regulator is mounted.
    Mounting,
}

impl Family {
    /// All families in the order they are shown.
    pub const ALL: [Self; 11] = [
        Self::Vent,
        Self::Seat,
        Self::Spring,
        Self::Diaphragm,
        Self::Lever,
        Self::Relief,
        Self::Fuel,
        Self::Supply,
        Self::Piping,
        Self::Appliance,
        Self::Mounting,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Vent => "vents",
            Self::Seat => "seats",
            Self::Spring => "springs and screw",
            Self::Diaphragm => "diaphragms",
            Self::Lever => "lever and guide",
            Self::Relief => "relief",
            Self::Fuel => "fuel",
            Self::Supply => "container and supply",
            Self::Piping => "piping",
            Self::Appliance => "appliances",
            Self::Mounting => "mounting",
        }
    }
}

/// How a fault comes on in the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Onset {
    /// All at once.
    Sudden,
    /// Over minutes or hours.
    Gradual,
    /// With temperature and wet: the law that waits for the cold is in the rig.
    Weather,
    /// With the number of cycles, and with age.
    Wear,
}

/// A fault of one appliance: which of them can have it, and what it changes there.
pub struct AtBurner {
    /// Whether an appliance has the part.
    pub has: fn(&Appliance) -> bool,
    /// Changes its parameters.
    pub apply: fn(&mut Appliance, f64),
}

/// One fault of the catalogue.
pub struct Entry {
    /// Name in files, short and stable.
    pub id: &'static str,
    /// Name for people.
    pub name: &'static str,
    /// What has happened, in plain words.
    pub words: &'static str,
    /// Family.
    pub family: Family,
    /// Whether it is there or is not, with nothing between: any severity over 0 is all of it.
    pub whole: bool,
    /// What a severity means, in a person's units.
    pub meaning: fn(f64, System) -> String,
    /// Changes the parameters.
    pub apply: fn(&mut Rig, f64),
    /// Changes what is in the rig at the moment it comes (oil, water), if anything: called
    /// with the severity before and after, so that worse adds the difference and 0 takes it back.
    pub arrive: Option<fn(&Rig, &mut RigState, f64, f64)>,
    /// Changes the parameters of one container or of its way to the regulator. A fault that does this, or
    /// [`Entry::fills`], strikes a side.
    pub strikes: Option<fn(&mut Container, f64)>,
    /// Changes the parameters of one appliance.
    pub at_burner: Option<AtBurner>,
    /// As [`Entry::arrive`], in one container (an overfill, air).
    pub fills: Option<fn(&Container, &mut ContainerState, f64, f64)>,
    /// The seat whose burst of flow carries it off (see [`crate::rig::Stage::loose_at_kg_per_s`]).
    pub carried_off: Option<Seat>,
    /// The seat with whose openings it grows, where it grows with use.
    pub worn_by: Seat,
    /// Whether the adjusting spring of that stage is in pieces, and not only weak: whoever opens it sees that.
    pub snaps: bool,
    /// How it comes on.
    pub onset: Onset,
    /// In air that is warmer it does nothing \[K\].
    pub under_k: f64,
    /// What is to be said of it where no sun shines, if it needs some to show in full.
    pub by_sun: Option<&'static str>,
    /// The air under which so much of it freezes in a rig \[K\], where that depends on how much there is; none where it does in
    /// no air.
    pub freezes_under: Option<fn(&Rig, f64) -> Option<f64>>,
    /// What can make it go.
    pub remedies: &'static [Remedy],
    /// Faults whose symptoms look alike, by id.
    pub look_alikes: &'static [&'static str],
    /// The test that tells it apart.
    pub told_apart: &'static str,
    /// The caution that belongs to it.
    pub caution: &'static str,
}

impl Entry {
    /// An entry with nothing in it, for the families to fill.
    const BLANK: Self = Self {
        id: "",
        name: "",
        words: "",
        family: Family::Vent,
        whole: false,
        meaning: |_, _| String::new(),
        apply: |_, _| {},
        arrive: None,
        strikes: None,
        at_burner: None,
        fills: None,
        carried_off: None,
        worn_by: Seat::Second,
        snaps: false,
        onset: Onset::Sudden,
        under_k: f64::INFINITY,
        by_sun: None,
        freezes_under: None,
        remedies: &[],
        look_alikes: &[],
        told_apart: "",
        caution: "",
    };

    /// What the trade says of it.
    pub fn page(&self) -> &'static trade::Page {
        trade::page(self.id)
    }

    /// What puts it right.
    pub fn puts_right(&self) -> impl Iterator<Item = Remedy> + use<> {
        self.remedies.iter().copied().filter(|r| r.puts_right())
    }
}
