//! A fault in its place: an entry of the catalogue and, where it strikes a container or its way to the
//! regulator, the side it strikes. One spelling in files and commands: `hose_kinked.right`.
//!
//! Without a side it strikes the side on service, which is the only one of a single container.

use super::{ALL, Entry};
use crate::rig::{Rig, RigState};
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
            Self::NoSide { id } => Some((*id).to_owned()),
        }
    }
}

/// A fault: an index into the catalogue, and the side it strikes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fault {
    entry: u16,
    side: Option<Side>,
}

impl Fault {
    /// All faults in the order of the catalogue, without sides.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..ALL.len()).map(|i| Self {
            entry: i as u16,
            side: None,
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
        let (id, side) = match spelled.split_once('.') {
            Some((id, side)) => (id, Some(side)),
            None => (spelled, None),
        };
        let fault = Self::all()
            .find(|f| f.id() == id)
            .ok_or_else(|| UnknownFault::Name {
                name: spelled.to_owned(),
                near: nearest(id, ALL.iter().map(|e| e.id)),
            })?;
        let Some(side) = side else {
            return Ok(fault);
        };
        let id = fault.id();
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

    /// Its name for people, with its side.
    pub fn name(self) -> String {
        match self.side {
            Some(side) => format!("{}, {} side", self.entry().name, side.word()),
            None => self.entry().name.to_owned(),
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
        Self { side: None, ..self }
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
        self.side
            .map_or(Ok(()), |side| write!(f, ".{}", side.word()))
    }
}

impl Serialize for Fault {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}
