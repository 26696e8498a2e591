//! Places where a thermometer is put.

use super::points::PointError;
use crate::rig::{Readings, Rig};
use crate::units::nearest;
use serde::{Deserialize, Serialize};

/// Where a thermometer can be put.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// In the air, in the shade.
    Air,
    /// On the regulator's body.
    Body,
    /// On the second spring case.
    SpringCase,
    /// On a container's wall where liquid wets it.
    Container(usize),
}

const NAMES: [&str; 4] = ["air", "body", "spring case", "container"];

impl Place {
    /// The place of a name on a rig: "air", "container 2".
    ///
    /// # Errors
    /// [`PointError`] for an unknown word or a container the rig lacks.
    pub fn find(word: &str, rig: &Rig) -> Result<Self, PointError> {
        let wanted = word.trim().to_lowercase();
        let (name, number) = match wanted.rsplit_once(' ') {
            Some((name, n)) if n.parse::<usize>().is_ok() => {
                (name.to_owned(), n.parse::<usize>().unwrap_or(1))
            }
            _ => (wanted, 1),
        };
        match name.as_str() {
            "air" => Ok(Self::Air),
            "body" | "regulator" => Ok(Self::Body),
            "spring case" => Ok(Self::SpringCase),
            "container" => Self::Container(number.wrapping_sub(1)).check(rig),
            _ => Err(PointError::NoPlace {
                word: word.trim().to_owned(),
                near: nearest(word, NAMES),
            }),
        }
    }

    /// The place itself, if the rig has it.
    ///
    /// # Errors
    /// [`PointError::Lacks`].
    pub fn check(self, rig: &Rig) -> Result<Self, PointError> {
        match self {
            Self::Container(i) if i >= rig.containers.len() => Err(PointError::Lacks {
                what: "container",
                number: i.wrapping_add(1),
                count: rig.containers.len(),
            }),
            place => Ok(place),
        }
    }

    /// True temperature there \[K\]; that of the air at a container the rig lacks.
    pub fn temperature_k(self, r: &Readings) -> f64 {
        match self {
            Self::Air => r.air_k,
            Self::Body => r.body_k,
            Self::SpringCase => r.case_k,
            Self::Container(i) => r.containers.get(i).map_or(r.air_k, |c| c.temperature_k),
        }
    }

    /// Name on a rig.
    pub fn name(self, rig: &Rig) -> String {
        match self {
            Self::Air => "air".to_owned(),
            Self::Body => "body".to_owned(),
            Self::SpringCase => "spring case".to_owned(),
            Self::Container(i) if rig.containers.len() > 1 => format!("container {}", i + 1),
            Self::Container(_) => "container".to_owned(),
        }
    }

    /// Every place of a rig.
    pub fn all(rig: &Rig) -> Vec<Self> {
        let containers = (0..rig.containers.len()).map(Self::Container);
        [Self::Air, Self::Body, Self::SpringCase]
            .into_iter()
            .chain(containers)
            .collect()
    }
}
