//! What can be read, seen and heard on a visit: the list of all items, each with its place in a
//! readings file, its instrument's uncertainty, and the test it comes from.
//!
//! Uncertainties are one standard deviation, common practice (no source): half to one division of
//! the instrument and the hand that reads it.

use crate::units::{Dimension, inwc_to_pa, psi_to_pa};
use serde::Serialize;

pub use super::testing::Test;

/// How many items there are.
pub const ITEMS: usize = ALL.len();

/// What kind of value an item has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Low-side gauge pressure.
    Low,
    /// Gauge pressure between the stages.
    Middle,
    /// Gauge pressure of container or inlet.
    High,
    /// Air temperature.
    Air,
    /// Share of the container filled.
    Fill,
    /// Change of a low-side pressure.
    Change,
    /// One of some words.
    Words(&'static [&'static str]),
}

/// One item.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    /// Table of a readings file.
    pub table: &'static str,
    /// Key in it.
    pub key: &'static str,
    /// In words.
    pub words: &'static str,
    /// Test it comes from.
    pub test: Test,
    /// Kind of value.
    pub kind: Kind,
}

/// Answers of leak fluid.
pub const BUBBLES: &[&str] = &["none", "slow", "steady", "blown away"];
/// Yes or no.
pub const YES_NO: &[&str] = &["no", "yes"];
/// What is heard.
pub const SOUND: &[&str] = &["quiet", "hiss", "roar", "hum"];
/// How the flames look.
pub const FLAMES: &[&str] = &["normal", "low", "hard", "lifting", "out", "surging"];
/// Whether one appliance stands out.
pub const ODD_ONE: &[&str] = &[
    "none",
    "one small",
    "one large",
    "one will not light",
    "one goes out",
    "a pilot goes out",
];
/// How the second-stage vent looks.
pub const VENT_LOOKS: &[&str] = &["clear", "blocked", "iced", "water in it", "painted"];

/// How the burners light.
pub const LIGHTING: &[&str] = &["prompt", "late"];
/// How the hose looks.
pub const HOSE: &[&str] = &["straight", "kinked"];
/// How the container's valve turns.
pub const VALVE: &[&str] = &["opens fully", "hardly open"];

/// What the changeover's indicator shows.
pub const INDICATOR: &[&str] = &["none there", "green", "partly red", "red"];
/// What the reserve side does when the service side is shut under load.
pub const RESERVE: &[&str] = &["none there", "takes over", "gives out"];

macro_rules! item {
    ($table:literal, $key:literal, $words:literal, $test:ident, $kind:expr) => {
        Item {
            table: $table,
            key: $key,
            words: $words,
            test: Test::$test,
            kind: $kind,
        }
    };
}

/// Every item, numbers first.
pub static ALL: [Item; 44] = [
    item!("site", "air", "air temperature", Air, Kind::Air),
    item!(
        "container",
        "pressure",
        "container pressure",
        Container,
        Kind::High
    ),
    item!("container", "fill", "container fill", Fill, Kind::Fill),
    item!(
        "half_load",
        "outlet",
        "outlet at half load",
        HalfLoad,
        Kind::Low
    ),
    item!(
        "full_load",
        "outlet",
        "outlet at full load",
        FullLoad,
        Kind::Low
    ),
    item!(
        "full_load",
        "manifold",
        "manifold at full load",
        Along,
        Kind::Low
    ),
    item!(
        "full_load",
        "inlet",
        "inlet at full load",
        Along,
        Kind::High
    ),
    item!(
        "long_draw",
        "outlet",
        "outlet after a long draw",
        LongDraw,
        Kind::Low
    ),
    item!(
        "long_draw",
        "container",
        "container after a long draw",
        LongDraw,
        Kind::High
    ),
    item!(
        "from_above",
        "outlet",
        "outlet at half load from above",
        UpDown,
        Kind::Low
    ),
    item!(
        "from_above",
        "after_tap",
        "the same after a tap",
        UpDown,
        Kind::Low
    ),
    item!(
        "pilots",
        "outlet",
        "outlet with the smallest burner",
        Pilots,
        Kind::Low
    ),
    item!("lock_up", "at_once", "lock-up at once", LockUp, Kind::Low),
    item!(
        "lock_up",
        "after_minute",
        "lock-up after a minute",
        LockUp,
        Kind::Low
    ),
    item!(
        "lock_up",
        "after_creep",
        "lock-up five minutes later",
        Creep,
        Kind::Low
    ),
    item!(
        "first_stage",
        "half_load",
        "first stage at half load",
        FirstStage,
        Kind::Middle
    ),
    item!(
        "first_stage",
        "full_load",
        "first stage at full load",
        FirstStage,
        Kind::Middle
    ),
    item!(
        "first_stage",
        "at_rest",
        "first stage at rest after a minute",
        FirstStage,
        Kind::Middle
    ),
    item!(
        "first_stage",
        "after_creep",
        "first stage at rest five minutes later",
        FirstStage,
        Kind::Middle
    ),
    item!(
        "leak_check",
        "change",
        "change in the leak check",
        LeakCheck,
        Kind::Change
    ),
    item!(
        "after_flush",
        "lock_up",
        "lock-up after a flush",
        Flush,
        Kind::Low
    ),
    item!(
        "after_flush",
        "first_stage",
        "first stage at rest after a flush",
        Flush,
        Kind::Middle
    ),
    item!(
        "after_warming",
        "full_load",
        "outlet at full load after warming",
        Warm,
        Kind::Low
    ),
    item!(
        "after_warming",
        "lock_up",
        "lock-up after warming",
        Warm,
        Kind::Low
    ),
    item!(
        "after_climb",
        "lock_up",
        "lock-up after a climb",
        Climb,
        Kind::Low
    ),
    item!(
        "vent",
        "first_at_rest",
        "first vent at rest",
        Vent,
        Kind::Words(BUBBLES)
    ),
    item!(
        "vent",
        "first_flowing",
        "first vent flowing",
        Vent,
        Kind::Words(BUBBLES)
    ),
    item!(
        "vent",
        "second_at_rest",
        "second vent at rest",
        Vent,
        Kind::Words(BUBBLES)
    ),
    item!(
        "vent",
        "second_flowing",
        "second vent flowing",
        Vent,
        Kind::Words(BUBBLES)
    ),
    item!(
        "seen",
        "frost_on_body",
        "frost on the regulator",
        Look,
        Kind::Words(YES_NO)
    ),
    item!(
        "seen",
        "frost_on_container",
        "frost on the container",
        Look,
        Kind::Words(YES_NO)
    ),
    item!("seen", "flames", "flames", Look, Kind::Words(FLAMES)),
    item!(
        "seen",
        "odd_one",
        "one appliance differs",
        Look,
        Kind::Words(ODD_ONE)
    ),
    item!(
        "seen",
        "vent_looks",
        "look of the second vent",
        Look,
        Kind::Words(VENT_LOOKS)
    ),
    item!(
        "heard",
        "flowing",
        "sound with everything lit",
        Look,
        Kind::Words(SOUND)
    ),
    item!(
        "heard",
        "at_rest",
        "sound at rest",
        LockUp,
        Kind::Words(SOUND)
    ),
    item!(
        "leak_fluid",
        "pigtail",
        "leak fluid at hose and connections",
        Joints,
        Kind::Words(BUBBLES)
    ),
    item!(
        "leak_fluid",
        "low_side",
        "leak fluid at the low side's joints",
        Joints,
        Kind::Words(BUBBLES)
    ),
    item!(
        "leak_fluid",
        "burner",
        "leak fluid at unlit burners",
        Joints,
        Kind::Words(BUBBLES)
    ),
    item!(
        "seen",
        "lighting",
        "lighting the burners",
        Look,
        Kind::Words(LIGHTING)
    ),
    item!(
        "seen",
        "hose",
        "look along the hose",
        Look,
        Kind::Words(HOSE)
    ),
    item!(
        "seen",
        "valve",
        "hand on the container valve",
        Look,
        Kind::Words(VALVE)
    ),
    item!(
        "seen",
        "indicator",
        "changeover's indicator with everything lit",
        Look,
        Kind::Words(INDICATOR)
    ),
    item!(
        "seen",
        "reserve",
        "reserve side when the service side is shut",
        Reserve,
        Kind::Words(RESERVE)
    ),
];

/// How many of the items are numbers; they come first.
pub const NUMBERS: usize = 25;

impl Item {
    /// The item of a table and key.
    pub fn find(table: &str, key: &str) -> Option<usize> {
        ALL.iter().position(|i| i.table == table && i.key == key)
    }

    /// Index of an item that this room names itself.
    ///
    /// # Panics
    /// Never: a test looks up every name used.
    pub(super) fn at(table: &str, key: &str) -> usize {
        Self::find(table, key).expect("an item of the list")
    }

    /// Dimension of a number; none for words.
    pub fn dimension(&self) -> Option<Dimension> {
        match self.kind {
            Kind::Low | Kind::Middle | Kind::High => Some(Dimension::GaugePressure),
            Kind::Change => Some(Dimension::PressureDifference),
            Kind::Air => Some(Dimension::Temperature),
            Kind::Fill => Some(Dimension::Fraction),
            Kind::Words(_) => None,
        }
    }

    /// What a gauge shows of a value: under nothing it stands on its stop.
    pub fn shown(&self, value: f64) -> f64 {
        match self.kind {
            Kind::Low | Kind::Middle | Kind::High => value.max(0.0),
            Kind::Air | Kind::Fill | Kind::Change | Kind::Words(_) => value,
        }
    }

    /// Standard uncertainty of a reading of this size on the instrument that fits it, SI: the
    /// water column to 16 in w.c. (division 0.1), a dial to 35 in w.c. (0.5), dials to 15, 30 and
    /// 300 psi (0.1, 0.5, 2), a thermometer in moving air, a level gauge.
    pub fn uncertainty(&self, value: f64) -> f64 {
        match self.kind {
            Kind::Low | Kind::Middle | Kind::High => match value {
                v if v <= inwc_to_pa(16.0) => inwc_to_pa(0.1),
                v if v <= inwc_to_pa(35.0) => inwc_to_pa(0.5),
                v if v <= psi_to_pa(15.0) => psi_to_pa(0.15),
                v if v <= psi_to_pa(30.0) => psi_to_pa(0.5),
                _ => psi_to_pa(2.0),
            },
            Kind::Change => inwc_to_pa(0.07),
            Kind::Air => 1.0,
            Kind::Fill => 0.04,
            Kind::Words(_) => 0.0,
        }
    }

    /// A value on the scale the likelihood works in (whitened units come later): straight where
    /// the trade works, compressed far from it, so that 2 psi and 3 psi at an outlet count as
    /// nearly the same and 11 and 12 in w.c. do not.
    pub fn scaled(&self, value: f64) -> f64 {
        let (centre, width) = self.centre();
        width * ((value - centre) / width).asinh()
    }

    /// Slope of [`Item::scaled`].
    pub fn slope(&self, value: f64) -> f64 {
        let (centre, width) = self.centre();
        1.0 / (1.0 + ((value - centre) / width).powi(2)).sqrt()
    }

    /// Back from [`Item::scaled`].
    pub fn unscaled(&self, scaled: f64) -> f64 {
        let (centre, width) = self.centre();
        centre + width * (scaled / width).sinh()
    }

    fn centre(&self) -> (f64, f64) {
        match self.kind {
            Kind::Low => (inwc_to_pa(11.0), inwc_to_pa(2.0)),
            Kind::Middle => (psi_to_pa(10.0), psi_to_pa(3.0)),
            Kind::High => (psi_to_pa(60.0), psi_to_pa(60.0)),
            Kind::Change => (0.0, inwc_to_pa(0.5)),
            Kind::Air => (285.0, 100.0),
            Kind::Fill | Kind::Words(_) => (0.5, 1.0),
        }
    }
}

/// A set of readings: a value in SI (or the index of a word) for each item that was measured.
pub type Values = [Option<f64>; ITEMS];
