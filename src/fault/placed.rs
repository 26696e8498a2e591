//! A fault in its place: an entry of the catalogue and, where it strikes a container or its way to the
//! regulator, the side it strikes, or the appliance. One spelling in files and commands: `hose_kinked.right`, and
//! `spud_clogged.3` for the third appliance.
//!
//! Without a side it strikes the side on service, which is the only one of a single container; without an appliance the
//! first that has the part.

use super::{ALL, Entry};
use crate::rig::{MAX_APPLIANCES, Rig, RigState};
use crate::units::nearest;
use serde::{Serialize, Serializer};
use std::fmt;

/// A side of a twin set; the first container of a file stands left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The first container.
    Left,
    /// The second container.
    Right,
}

impl Side {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Left, Self::Right];

    /// The side of a container.
    pub fn of(container: usize) -> Self {
        if container == 0 {
            Self::Left
        } else {
            Self::Right
        }
    }

    /// Place of its container in the rig.
    pub fn container(self) -> usize {
        self as usize
    }

    /// In words and in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// No fault has this name, or none has it on a side.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UnknownFault {
    /// It is not in the catalogue.
    #[error("there is no fault `{name}` in the catalogue{}", .near.map_or_else(
        || "; list the names with `twostage faults`".to_owned(),
        |n| format!("; did you mean `{n}`?")
    ))]
    Name {
        /// What was asked for.
        name: String,
        /// The nearest name there is, if one is near.
        near: Option<&'static str>,
    },
    /// It is neither on the left nor on the right.
    #[error("`{name}` names no side; did you mean `{id}.left` or `{id}.right`?")]
    Side {
        /// What was asked for.
        name: String,
        /// The fault.
        id: &'static str,
    },
    /// It names no appliance that a rig can have.
    #[error("`{name}` names no appliance; did you mean `{id}.1`, for the first?")]
    Burner {
        /// What was asked for.
        name: String,
        /// The fault.
        id: &'static str,
    },
    /// It strikes no side.
    #[error("`{id}` strikes no side of a twin set; did you mean `{id}`?")]
    NoSide {
        /// The fault.
        id: &'static str,
    },
}

impl UnknownFault {
    /// What might have been meant.
    pub fn near(&self) -> Option<String> {
        match self {
            Self::Name { near, .. } => near.map(str::to_owned),
            Self::Side { id, .. } => Some(format!("{id}.left")),
            Self::Burner { id, .. } => Some(format!("{id}.1")),
            Self::NoSide { id } => Some((*id).to_owned()),
        }
    }
}

/// The name that was probably meant. A stage or a side too many before a whole name is taken off: letter by letter another
/// stage's part would be nearer.
fn near(id: &str) -> Option<&'static str> {
    let rest = id.split_once('_').map_or("", |(_, rest)| rest);
    let ids = || ALL.iter().map(|e| e.id);
    ids()
        .find(|known| *known == rest)
        .or_else(|| nearest(id, ids()))
}

/// A fault: an index into the catalogue, and what it strikes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fault {
    entry: u16,
    side: Option<Side>,
    /// Place of the appliance in the rig.
    burner: Option<u8>,
}

impl Fault {
    /// All faults in the order of the catalogue, without sides.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..ALL.len()).map(|i| Self {
            entry: i as u16,
            side: None,
            burner: None,
        })
    }

    /// All faults as a rig can have them: what strikes a side once for each of two.
    pub fn all_in(rig: &Rig) -> impl Iterator<Item = Self> + use<> {
        Self::all_of(rig.containers.len() > 1)
    }

    /// As [`Fault::all_in`], for a rig that is a twin set or not.
    pub fn all_of(is_twin: bool) -> impl Iterator<Item = Self> {
        Self::all().flat_map(move |fault| {
            let placed = if is_twin && fault.strikes_a_side() {
                Side::ALL.map(|side| Some(fault.on(side)))
            } else {
                [Some(fault), None]
            };
            placed.into_iter().flatten()
        })
    }

    /// The fault of this spelling.
    pub fn named(spelled: &str) -> Option<Self> {
        Self::find(spelled).ok()
    }

    /// The fault of this spelling.
    ///
    /// # Errors
    /// [`UnknownFault`], with the nearest name there is.
    pub fn find(spelled: &str) -> Result<Self, UnknownFault> {
        let (id, place) = match spelled.split_once('.') {
            Some((id, side)) => (id, Some(side)),
            None => (spelled, None),
        };
        let fault = Self::all()
            .find(|f| f.id() == id)
            .ok_or_else(|| UnknownFault::Name {
                name: spelled.to_owned(),
                near: near(id),
            })?;
        let Some(side) = place else {
            return Ok(fault);
        };
        let id = fault.id();
        if fault.entry().at_burner.is_some() {
            // One spelling: no sign and no nought before the number.
            let number = (1..=MAX_APPLIANCES).find(|n| n.to_string() == side);
            return number
                .map(|n| fault.at_burner(n - 1))
                .ok_or_else(|| UnknownFault::Burner {
                    name: spelled.to_owned(),
                    id,
                });
        }
        if !fault.strikes_a_side() {
            return Err(UnknownFault::NoSide { id });
        }
        let side = Side::ALL.into_iter().find(|s| s.word() == side);
        side.map(|side| fault.on(side))
            .ok_or_else(|| UnknownFault::Side {
                name: spelled.to_owned(),
                id,
            })
    }

    /// Its entry in the catalogue.
    pub fn entry(self) -> &'static Entry {
        ALL[usize::from(self.entry)]
    }

    /// The name of its entry in files, without a side.
    pub fn id(self) -> &'static str {
        self.entry().id
    }

    /// The stage whose adjusting spring it breaks.
    pub fn breaks_a_spring(self) -> Option<crate::rig::Seat> {
        let entry = self.entry();
        entry.snaps.then_some(entry.worn_by)
    }

    /// Its name for people, with its side or the number of its appliance.
    pub fn name(self) -> String {
        let name = self.entry().name;
        match (self.side, self.burner) {
            (Some(side), _) => format!("{name}, {} side", side.word()),
            (None, Some(i)) => format!("{name}, appliance {}", i + 1),
            (None, None) => name.to_owned(),
        }
    }

    /// Its name for people on a rig: with the name of the appliance that it strikes there.
    pub fn name_on(self, rig: &Rig) -> String {
        match self.strikes_appliance(rig) {
            Some(i) => format!("{}, {}", self.entry().name, rig.appliances[i].name),
            None => self.name(),
        }
    }

    /// The appliance it is said to strike.
    pub fn burner(self) -> Option<usize> {
        self.burner.map(usize::from)
    }

    /// The same fault of one appliance, if it is one of an appliance.
    #[must_use]
    pub fn at_burner(self, i: usize) -> Self {
        let place = u8::try_from(i).ok();
        Self {
            burner: place.filter(|_| self.entry().at_burner.is_some()),
            ..self
        }
    }

    /// The appliances of a rig that can have it, none for what is no fault of one appliance.
    pub fn burners(self, rig: &Rig) -> Vec<usize> {
        let Some(at) = &self.entry().at_burner else {
            return Vec::new();
        };
        let all = rig.appliances.iter().enumerate();
        all.filter(|(_, a)| (at.has)(a)).map(|(i, _)| i).collect()
    }

    /// The one appliance of a rig that it strikes.
    pub fn strikes_appliance(self, rig: &Rig) -> Option<usize> {
        let can = self.burners(rig);
        match self.burner() {
            Some(i) => can.contains(&i).then_some(i),
            None => can.first().copied(),
        }
    }

    /// The side it is said to strike.
    pub fn side(self) -> Option<Side> {
        self.side
    }

    /// Whether it strikes a container or its way to the regulator.
    pub fn strikes_a_side(self) -> bool {
        let entry = self.entry();
        entry.strikes.is_some() || entry.fills.is_some()
    }

    /// The same fault on a side, if it strikes one.
    #[must_use]
    pub fn on(self, side: Side) -> Self {
        Self {
            side: self.strikes_a_side().then_some(side),
            ..self
        }
    }

    /// The same fault wherever it strikes.
    #[must_use]
    pub fn anywhere(self) -> Self {
        Self {
            side: None,
            burner: None,
            ..self
        }
    }

    /// Whether this names the other: it is the same fault, on its side or without one.
    pub fn names(self, other: Self) -> bool {
        self == other || self == other.anywhere()
    }

    /// The fault where it comes in a rig: without a side it comes on the container on service, and where
    /// there is one container there are no sides to tell.
    #[must_use]
    pub fn settled(self, rig: &Rig, service_side: usize) -> Self {
        match self.side {
            // The first that has the part is the one that is meant where none is named.
            None if self.burner.is_some()
                && self.burner() == self.burners(rig).first().copied() =>
            {
                self.anywhere()
            }
            None if rig.containers.len() > 1 => self.on(Side::of(service_side)),
            Some(Side::Left) if rig.containers.len() < 2 => self.anywhere(),
            _ => self,
        }
    }

    fn container(self) -> usize {
        self.side.map_or(0, Side::container)
    }

    /// Changes the parameters of a rig; one that lacks the side stays as it is.
    pub fn apply(self, rig: &mut Rig, severity: f64) {
        let entry = self.entry();
        (entry.apply)(rig, severity);
        if let (Some(at), Some(i)) = (&entry.at_burner, self.strikes_appliance(rig)) {
            (at.apply)(&mut rig.appliances[i], severity);
        }
        if let (Some(strike), Some(c)) = (entry.strikes, rig.containers.get_mut(self.container())) {
            strike(c, severity);
        }
    }

    /// Whether it does anything to a rig of this build: a changeover's fault does nothing to one container.
    pub fn acts_on(self, rig: &Rig) -> bool {
        let mut with = rig.clone();
        self.apply(&mut with, 1.0);
        self.arrives() || with != *rig
    }

    /// Whether something comes into the rig with it, see [`Fault::arrive`].
    pub fn arrives(self) -> bool {
        self.entry().arrive.is_some() || self.entry().fills.is_some()
    }

    /// Changes what is in the rig from one severity to another (see [`Entry::arrive`]).
    pub fn arrive(self, rig: &Rig, state: &mut RigState, from: f64, to: f64) {
        let entry = self.entry();
        if let Some(arrive) = entry.arrive {
            arrive(rig, state, from, to);
        }
        let i = self.container();
        if let (Some(fill), Some(c)) = (entry.fills, rig.containers.get(i)) {
            fill(c, &mut state.containers[i], from, to);
        }
    }
}

/// As it is spelled in files and commands.
impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())?;
        match (self.side, self.burner) {
            (Some(side), _) => write!(f, ".{}", side.word()),
            (None, Some(i)) => write!(f, ".{}", i + 1),
            (None, None) => Ok(()),
        }
    }
}

impl Serialize for Fault {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}
