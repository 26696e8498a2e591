//! What can be found out about a rig from outside: every item with the check that gives it, its
//! uncertainty, and how it is told. Not here: how the values come about (`probe`), what they mean
//! (`library`).
//!
//! A free reading counts as evidence only in one of three standing states of the rig ([`Stand`]),
//! because only there can it be held against what other causes would have shown.
//!
//! Uncertainties are one standard deviation, common practice (no source): half to one division of
//! the instrument and the hand that reads it.

use crate::units::{inwc_to_pa, pa_to_inwc, pa_to_psi, psi_to_pa};
use serde::{Deserialize, Serialize};

/// A standing state of the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stand {
    /// Everything off for a minute, container open.
    Rest,
    /// About half of the load for half a minute.
    Half,
    /// All of the load for half a minute.
    Full,
}

impl Stand {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Rest => "at rest",
            Self::Half => "at half load",
            Self::Full => "at full load",
        }
    }
}

/// What kind of value an item has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Low-side gauge pressure \[Pa\].
    Low,
    /// Gauge pressure between the stages \[Pa\].
    Middle,
    /// Gauge pressure of container or inlet \[Pa\].
    High,
    /// Change of a low-side pressure \[Pa\].
    Change,
    /// Time \[s\].
    Time,
    /// Fuel in a container \[kg\].
    Mass,
    /// One of some words, by its place among them.
    Words(&'static [&'static str]),
}

/// Answers of leak fluid.
pub const BUBBLES: &[&str] = &[
    "no bubbles",
    "a bubble now and then",
    "steady bubbles",
    "fluid blown away",
];
/// Yes or no.
pub const YES_NO: &[&str] = &["no", "yes"];
/// What is heard.
pub const SOUNDS: &[&str] = &["quiet", "a hiss", "a roar", "a hum"];
/// How most flames look.
pub const FLAMES: &[&str] = &["normal", "low", "hard", "lifting", "out", "surging"];
/// Whether one appliance stands out.
pub const ODD_ONE: &[&str] = &[
    "none",
    "one small",
    "one large",
    "one will not burn",
    "several will not burn",
];
/// How the second-stage vent looks.
pub const VENT_LOOKS: &[&str] = &["clear", "blocked", "iced", "water in it", "painted over"];

/// One item.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    /// In words.
    pub words: &'static str,
    /// Kind of value.
    pub kind: Kind,
}

macro_rules! items {
    ($($id:ident, $words:literal, $kind:expr;)*) => {
        /// Names of the items, in the order of [`ALL`].
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, PartialOrd, Ord)]
        #[serde(rename_all = "snake_case")]
        #[allow(missing_docs, reason = "the words are in the list")]
        pub enum Id { $($id),* }

        /// Every item.
        pub static ALL: &[Item] = &[$(Item { words: $words, kind: $kind }),*];

        const NAMES: &[(&str, Id)] = &[$((stringify!($id), Id::$id)),*];
    };
}

items! {
    HalfOutlet, "outlet at half load", Kind::Low;
    HalfManifold, "manifold at half load", Kind::Low;
    HalfFirst, "first stage at half load", Kind::Middle;
    HalfInlet, "regulator inlet at half load", Kind::High;
    HalfContainer, "container at half load", Kind::High;
    FullOutlet, "outlet at full load", Kind::Low;
    FullManifold, "manifold at full load", Kind::Low;
    FullFirst, "first stage at full load", Kind::Middle;
    FullInlet, "regulator inlet at full load", Kind::High;
    FullContainer, "container at full load", Kind::High;
    RestOutlet, "outlet at rest", Kind::Low;
    RestManifold, "manifold at rest", Kind::Low;
    RestFirst, "first stage at rest", Kind::Middle;
    RestInlet, "regulator inlet at rest", Kind::High;
    RestContainer, "container at rest", Kind::High;
    LongRestOutlet, "outlet after minutes of rest", Kind::Low;
    LongRestFirst, "first stage after minutes of rest", Kind::Middle;
    Band, "half load from above less from below", Kind::Change;
    Peak, "peak after shutting off", Kind::Low;
    Settle, "time to settle at lock-up", Kind::Time;
    Climb, "climb in five minutes of rest", Kind::Change;
    LeakChange, "change in the leak check", Kind::Change;
    TapShift, "outlet moved by a tap", Kind::Change;
    FlushRest, "outlet at rest after a flush", Kind::Low;
    WarmFull, "outlet at full load after a warm cloth", Kind::Low;
    PipingDrop, "drop in the test of new piping", Kind::High;
    Fuel, "fuel in the container", Kind::Mass;
    Flames, "flames at full load", Kind::Words(FLAMES);
    OddOne, "one appliance differs", Kind::Words(ODD_ONE);
    FullSound, "sound at full load", Kind::Words(SOUNDS);
    RestSound, "sound at rest", Kind::Words(SOUNDS);
    FrostBody, "frost on the regulator", Kind::Words(YES_NO);
    FrostContainer, "frost on the container", Kind::Words(YES_NO);
    VentLooks, "look of the second-stage vent", Kind::Words(VENT_LOOKS);
    RestFirstVent, "leak fluid at the first vent at rest", Kind::Words(BUBBLES);
    FullFirstVent, "leak fluid at the first vent flowing", Kind::Words(BUBBLES);
    RestSecondVent, "leak fluid at the second vent at rest", Kind::Words(BUBBLES);
    FullSecondVent, "leak fluid at the second vent flowing", Kind::Words(BUBBLES);
    Pigtail, "leak fluid at the hose", Kind::Words(BUBBLES);
    LowSide, "leak fluid at the low side's joints", Kind::Words(BUBBLES);
    Burners, "leak fluid at unlit burners", Kind::Words(BUBBLES);
}

/// How many items there are.
pub const ITEMS: usize = ALL.len();

/// A value for every item; a word is the place of the word.
pub type Values = [f64; ITEMS];

impl Id {
    /// Its place in [`ALL`] and in [`Values`].
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The item itself.
    pub fn item(self) -> &'static Item {
        &ALL[self.index()]
    }

    /// All items.
    pub fn all() -> impl Iterator<Item = Self> {
        NAMES.iter().map(|(_, id)| *id)
    }

    /// The value as a person would tell it.
    pub fn told(self, value: f64) -> String {
        match self.item().kind {
            Kind::Low => format!("{:.1} in w.c.", pa_to_inwc(value)),
            Kind::Change => format!("{:+.1} in w.c.", pa_to_inwc(value)),
            Kind::Middle | Kind::High => format!("{:.1} psi", pa_to_psi(value)),
            Kind::Time => format!("{value:.0} s"),
            Kind::Mass => format!("{:.1} lb", value / crate::units::KG_PER_LB),
            Kind::Words(words) => words
                .get(value.max(0.0) as usize)
                .map_or_else(|| format!("{value}"), |w| (*w).to_owned()),
        }
    }
}

impl Item {
    /// Standard uncertainty of a reading of this size on the instrument that fits it, SI: the
    /// water column to 16 in w.c. (division 0.1), a dial to 35 in w.c. (0.5), dials to 15, 30 and
    /// 300 psi (0.1, 0.5, 2), the scales.
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
            Kind::Time => 2.0 + 0.2 * value.abs(),
            Kind::Mass => 0.5,
            Kind::Words(_) => 0.0,
        }
    }

    /// A value on the scale the likelihood works in: straight where the trade works, compressed
    /// far from it, so that 2 psi and 3 psi at an outlet count as nearly the same and 11 and 12 in
    /// w.c. do not.
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

    /// Width of the straight part of the scale.
    pub fn width(&self) -> f64 {
        self.centre().1
    }

    fn centre(&self) -> (f64, f64) {
        match self.kind {
            Kind::Low => (inwc_to_pa(11.0), inwc_to_pa(2.0)),
            Kind::Middle => (psi_to_pa(10.0), psi_to_pa(3.0)),
            Kind::High => (psi_to_pa(60.0), psi_to_pa(60.0)),
            Kind::Change => (0.0, inwc_to_pa(0.5)),
            Kind::Time => (0.0, 20.0),
            Kind::Mass => (5.0, 20.0),
            Kind::Words(_) => (0.0, 1.0),
        }
    }
}
