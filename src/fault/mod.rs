//! The catalogue of faults: what goes wrong with a part, in words, and which *parameter* of a
//! rig it changes. No fault ever changes a reading; symptoms come out of the equations.
//!
//! Knows nothing of solvers.

mod catalogue;

pub use catalogue::ALL;

use crate::rig::{Rig, RigState};
use serde::{Serialize, Serializer};

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
    /// With cold, wet or heat.
    Weather,
    /// With age and cycles.
    Wear,
}

/// What can make a fault go away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Remedy {
    /// A burst of flow carries it off.
    Flush,
    /// Warming (warm wet cloth only).
    Warm,
    /// Clearing a vent or line.
    Clear,
    /// Setting the screw, by a qualified person with a gauge.
    Adjust,
    /// Replacing the part or the regulator.
    Replace,
    /// Purging, refilling, draining by a qualified person.
    Refill,
    /// Waiting, then opening slowly.
    Wait,
    /// Repairing a line or joint.
    Repair,
    /// A tap on the body (tells something, mends nothing).
    Tap,
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
    /// What a severity means, in units.
    pub meaning: fn(f64) -> String,
    /// Changes the parameters.
    pub apply: fn(&mut Rig, f64),
    /// Changes what is in the rig at the moment it comes (an overfill, air, water), if anything.
    pub arrive: Option<fn(&Rig, &mut RigState, f64)>,
    /// How it comes on.
    pub onset: Onset,
    /// What can make it go.
    pub remedies: &'static [Remedy],
    /// Faults whose symptoms look alike, by id.
    pub look_alikes: &'static [&'static str],
    /// The test that tells it apart.
    pub told_apart: &'static str,
    /// The caution that belongs to it.
    pub caution: &'static str,
}

/// A fault: an index into the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fault(u16);

impl Fault {
    /// All faults in the order of the catalogue.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..ALL.len()).map(|i| Self(i as u16))
    }

    /// The fault of this name.
    pub fn named(id: &str) -> Option<Self> {
        ALL.iter().position(|e| e.id == id).map(|i| Self(i as u16))
    }

    /// Its entry in the catalogue.
    pub fn entry(self) -> &'static Entry {
        &ALL[usize::from(self.0)]
    }

    /// Its name in files.
    pub fn id(self) -> &'static str {
        self.entry().id
    }
}

impl Serialize for Fault {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(self.id())
    }
}
