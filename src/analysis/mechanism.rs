//! What damps a regulator: each mechanism by itself, and a rig without it. Not here: the map
//! ([`super::stability`]).

use crate::rig::{Rig, Stage, Vent};
use serde::Serialize;

/// Resistance left of a hole or line whose damping is taken away.
const LEFT: f64 = 1e-3;

/// Something that takes energy out of a swing. Dry friction is none of them: maps leave it out altogether.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Mechanism {
    /// Air forced through the first stage's breathing hole.
    FirstBreather,
    /// Air forced through the second stage's breathing hole.
    SecondBreather,
    /// Hysteresis of both diaphragms' rubber.
    DiaphragmRubber,
    /// Hysteresis of both seats' rubber.
    SeatRubber,
    /// Heat that the bonnets' air gives to its walls and takes back, and the stiffness it has from being late.
    BonnetAir,
    /// Gas forced through the main line to the low side's volume.
    MainLine,
    /// What a rig has been given beyond these (`damping`).
    Viscous,
}

impl Mechanism {
    /// All of them, in the order of a table's columns.
    pub const ALL: [Self; 7] = [
        Self::FirstBreather,
        Self::SecondBreather,
        Self::DiaphragmRubber,
        Self::SeatRubber,
        Self::BonnetAir,
        Self::MainLine,
        Self::Viscous,
    ];

    /// Its name in tables.
    pub fn word(self) -> &'static str {
        match self {
            Self::FirstBreather => "first_breather",
            Self::SecondBreather => "second_breather",
            Self::DiaphragmRubber => "diaphragm_rubber",
            Self::SeatRubber => "seat_rubber",
            Self::BonnetAir => "bonnet_air",
            Self::MainLine => "main_line",
            Self::Viscous => "viscous",
        }
    }

    /// Its name in a cell of a map.
    pub fn label(self) -> &'static str {
        match self {
            Self::FirstBreather => "1st hole",
            Self::SecondBreather => "2nd hole",
            Self::DiaphragmRubber => "rubber",
            Self::SeatRubber => "seat",
            Self::BonnetAir => "case air",
            Self::MainLine => "line",
            Self::Viscous => "damping",
        }
    }

    /// The rig without it.
    #[must_use]
    pub fn removed_from(self, rig: &Rig) -> Rig {
        let mut rig = rig.clone();
        let both = |rig: &mut Rig, change: fn(&mut Stage)| {
            change(&mut rig.first);
            change(&mut rig.second);
        };
        let easy = |vent: &mut Vent| {
            vent.laminar *= LEFT;
            vent.turbulent *= LEFT;
        };
        match self {
            Self::FirstBreather => easy(&mut rig.first.vent),
            Self::SecondBreather => easy(&mut rig.second.vent),
            Self::DiaphragmRubber => both(&mut rig, |s| s.rubber_loss = 0.0),
            Self::SeatRubber => both(&mut rig, |s| s.seat_damping_s_per_m = 0.0),
            Self::BonnetAir => both(&mut rig, |s| s.case_wall_m = 0.0),
            Self::MainLine => {
                rig.piping.main.length_m *= LEFT;
                rig.piping.main.minor_loss *= LEFT;
            }
            Self::Viscous => both(&mut rig, |s| s.damping_n_s_per_m = 0.0),
        }
        rig
    }
}
