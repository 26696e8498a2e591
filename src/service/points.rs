//! Test points: the named places of a rig where a pressure can be read.

use crate::rig::{Readings, Rig};
use crate::units::nearest;
use serde::{Deserialize, Serialize};

/// A place where a gauge can be put.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TestPoint {
    /// Vapour space of a container.
    Container(usize),
    /// The regulator's inlet, at the end of a container's pigtail.
    Inlet(usize),
    /// Between the stages.
    FirstStage,
    /// The regulator's outlet tap.
    Outlet,
    /// The manifold.
    Manifold,
    /// Inlet tap of an appliance.
    Appliance(usize),
}

/// A point that the rig lacks, or no point at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PointError {
    /// The rig has not so many.
    #[error("this rig has no {what} {number}: it has {count}")]
    Lacks {
        /// What.
        what: &'static str,
        /// Which was asked for, from 1.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The word names no test point.
    #[error("`{word}` is no test point{}", .near.map_or_else(
        || "; there are: container, inlet, first stage, outlet, manifold, or an appliance by its name".to_owned(),
        |n| format!("; did you mean `{n}`?")
    ))]
    Unknown {
        /// The word.
        word: String,
        /// The nearest name.
        near: Option<&'static str>,
    },
    /// The word names no place for a thermometer.
    #[error("`{word}` is no place for a thermometer{}", .near.map_or_else(
        || "; there are: air, body, spring case, container".to_owned(),
        |n| format!("; did you mean `{n}`?")
    ))]
    NoPlace {
        /// The word.
        word: String,
        /// The nearest name.
        near: Option<&'static str>,
    },
    /// The word names no joint.
    #[error("`{word}` is no joint{}", .near.map_or_else(
        || "; there are: first vent, second vent, pigtail, low side, or an appliance by its name".to_owned(),
        |n| format!("; did you mean `{n}`?")
    ))]
    NoJoint {
        /// The word.
        word: String,
        /// The nearest name.
        near: Option<&'static str>,
    },
    /// The word names no gauge.
    #[error("`{word}` is no gauge; there are: {}", .names.join(", "))]
    NoGauge {
        /// The word.
        word: String,
        /// Those there are.
        names: Vec<String>,
    },
}

const NAMES: [&str; 5] = ["container", "inlet", "first stage", "outlet", "manifold"];

impl TestPoint {
    /// The point of a name on a rig: "outlet", "container 2", or the name of an appliance.
    ///
    /// # Errors
    /// [`PointError`] for an unknown word or a point the rig lacks.
    pub fn find(word: &str, rig: &Rig) -> Result<Self, PointError> {
        let wanted = word.trim().to_lowercase();
        if let Some(i) = rig
            .appliances
            .iter()
            .position(|a| a.name.to_lowercase() == wanted)
        {
            return Ok(Self::Appliance(i));
        }
        let (name, number) = match wanted.rsplit_once(' ') {
            Some((name, n)) if n.parse::<usize>().is_ok() => {
                (name.to_owned(), n.parse::<usize>().unwrap_or(1))
            }
            _ => (wanted, 1),
        };
        let point = match name.as_str() {
            "container" => Self::Container(number.wrapping_sub(1)),
            "inlet" => Self::Inlet(number.wrapping_sub(1)),
            "first stage" | "interstage" => Self::FirstStage,
            "outlet" => Self::Outlet,
            "manifold" => Self::Manifold,
            _ => {
                return Err(PointError::Unknown {
                    word: word.to_owned(),
                    near: nearest(word, NAMES),
                });
            }
        };
        point.check(rig)
    }

    /// The point itself, if the rig has it.
    ///
    /// # Errors
    /// [`PointError::Lacks`].
    pub fn check(self, rig: &Rig) -> Result<Self, PointError> {
        let (what, index, count) = match self {
            Self::Container(i) => ("container", i, rig.containers.len()),
            Self::Inlet(i) => ("inlet", i, rig.containers.len()),
            Self::Appliance(i) => ("appliance", i, rig.appliances.len()),
            _ => return Ok(self),
        };
        if index < count {
            Ok(self)
        } else {
            Err(PointError::Lacks {
                what,
                number: index.wrapping_add(1),
                count,
            })
        }
    }

    /// True gauge pressure there \[Pa\]; 0 at a point the rig lacks.
    pub fn pressure_pa(self, r: &Readings) -> f64 {
        match self {
            Self::Container(i) => r.containers.get(i).map_or(0.0, |c| c.pressure_pa),
            Self::Inlet(i) => r.containers.get(i).map_or(0.0, |c| c.pigtail_pa),
            Self::FirstStage => r.first.chamber_pa,
            Self::Outlet => r.outlet_pa,
            Self::Manifold => r.manifold_pa,
            Self::Appliance(i) => r.appliances.get(i).map_or(0.0, |a| a.inlet_pa),
        }
    }

    /// Name on a rig.
    pub fn name(self, rig: &Rig) -> String {
        let numbered = |what: &str, i: usize| {
            if rig.containers.len() > 1 {
                format!("{what} {}", i + 1)
            } else {
                what.to_owned()
            }
        };
        match self {
            Self::Container(i) => numbered("container", i),
            Self::Inlet(i) => numbered("inlet", i),
            Self::FirstStage => "first stage".to_owned(),
            Self::Outlet => "outlet".to_owned(),
            Self::Manifold => "manifold".to_owned(),
            Self::Appliance(i) => rig
                .appliances
                .get(i)
                .map_or_else(|| "appliance".to_owned(), |a| a.name.clone()),
        }
    }

    /// Every point of a rig.
    pub fn all(rig: &Rig) -> Vec<Self> {
        let containers = 0..rig.containers.len();
        containers
            .clone()
            .map(Self::Container)
            .chain(containers.map(Self::Inlet))
            .chain([Self::FirstStage, Self::Outlet, Self::Manifold])
            .chain((0..rig.appliances.len()).map(Self::Appliance))
            .collect()
    }
}
