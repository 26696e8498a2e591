//! What can be found out on a visit: the list of everything that can be read, seen and heard, each with its place in a
//! readings file, the test that gives it, the tool it takes and the uncertainty of its instrument.
//!
//! Bench, diagnosis and drills share this list. Not here: how a value comes about (the procedures), what it means.
//!
//! Uncertainties are one standard deviation, common practice (no source): half to one division of the instrument and
//! the hand that reads it.

use super::test::Test;
use super::tool::{Bag, Tool};
use crate::rig::Rig;
use crate::service::TestPoint;
use crate::units::{Dimension, inwc_to_pa, psi_to_pa};
use serde::{Deserialize, Serialize};

/// What kind of value an item has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Scale {
    /// Low-side gauge pressure \[Pa\].
    Low,
    /// Gauge pressure between the stages \[Pa\].
    Middle,
    /// Gauge pressure of container or inlet \[Pa\].
    High,
    /// Air temperature \[K\].
    Air,
    /// Elevation above the sea \[m\].
    Height,
    /// Share of the container filled.
    Fill,
    /// Change of a low-side pressure \[Pa\].
    Change,
    /// Drop of the air in new piping \[Pa\].
    Drop,
    /// Time \[s\].
    Time,
    /// One of some words, by its place among them.
    Words(&'static [&'static str]),
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

/// Words that people use for the word of a list, beside its own: what they say, what is meant.
const SPOKEN: [(&[&str], &str, &str); 46] = [
    (BUBBLES, "no", "none"),
    (BUBBLES, "no bubbles", "none"),
    (BUBBLES, "dry", "none"),
    (BUBBLES, "a few", "slow"),
    (BUBBLES, "now and then", "slow"),
    (BUBBLES, "yes", "steady"),
    (BUBBLES, "bubbles", "steady"),
    (BUBBLES, "blown off", "blown away"),
    (SOUND, "none", "quiet"),
    (SOUND, "no", "quiet"),
    (SOUND, "nothing", "quiet"),
    (SOUND, "silent", "quiet"),
    (SOUND, "hissing", "hiss"),
    (SOUND, "roaring", "roar"),
    (SOUND, "humming", "hum"),
    (FLAMES, "steady", "normal"),
    (FLAMES, "blue", "normal"),
    (FLAMES, "good", "normal"),
    (FLAMES, "lazy", "low"),
    (FLAMES, "soft", "low"),
    (FLAMES, "weak", "low"),
    (FLAMES, "yellow", "low"),
    (FLAMES, "roaring", "hard"),
    (FLAMES, "loud", "hard"),
    (FLAMES, "high", "hard"),
    (FLAMES, "pulsing", "surging"),
    (FLAMES, "jumping", "surging"),
    (ODD_ONE, "no", "none"),
    (VENT_LOOKS, "open", "clear"),
    (VENT_LOOKS, "wet", "water in it"),
    (VENT_LOOKS, "ice", "iced"),
    (VENT_LOOKS, "mud", "blocked"),
    (VENT_LOOKS, "dirt", "blocked"),
    (VENT_LOOKS, "nest", "blocked"),
    (VENT_LOOKS, "wasp nest", "blocked"),
    (VENT_LOOKS, "wasps' nest", "blocked"),
    (VENT_LOOKS, "wasp's nest", "blocked"),
    (VENT_LOOKS, "insects", "blocked"),
    (VENT_LOOKS, "plugged", "blocked"),
    (VENT_LOOKS, "water", "water in it"),
    (VENT_LOOKS, "paint", "painted"),
    (VENT_LOOKS, "painted over", "painted"),
    (FLAMES, "too high", "hard"),
    (FLAMES, "lifts", "lifting"),
    (FLAMES, "blowing off", "lifting"),
    (ODD_ONE, "pilot goes out", "a pilot goes out"),
];

/// One item.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    /// Its name in the program.
    pub id: Id,
    /// Table of a readings file.
    pub table: &'static str,
    /// Key in it.
    pub key: &'static str,
    /// In words.
    pub words: &'static str,
    /// Test it comes from.
    pub test: Test,
    /// Tool it takes.
    pub tool: Tool,
    /// Kind of value.
    pub kind: Scale,
}

macro_rules! items {
    ($($id:ident: $table:literal, $key:literal, $words:literal, $test:ident, $tool:ident, $kind:expr;)*) => {
        /// Names of the items, in the order of [`ALL`].
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        #[allow(missing_docs, reason = "the words are in the list")]
        pub enum Id { $($id),* }

        /// Every item, numbers first.
        pub static ALL: [Item; ITEMS] = [$(Item {
            id: Id::$id, table: $table, key: $key, words: $words, test: Test::$test, tool: Tool::$tool, kind: $kind,
        }),*];

        /// How many items there are.
        pub const ITEMS: usize = [$(Id::$id),*].len();
    };
}

use Scale::{Air, Change, Drop, Fill, Height, High, Low, Middle, Time, Words};

items! {
    Air: "site", "air", "air temperature", Air, Thermometer, Air;
    Elevation: "site", "elevation", "elevation", Air, Eyes, Height;
    Container: "container", "pressure", "container pressure", Container, ContainerGauge, High;
    Fill: "container", "fill", "container fill", Fill, Scales, Fill;
    SecondContainer: "container", "second_pressure", "pressure of the container that does not serve", Container,
        ContainerGauge, High;
    SecondFill: "container", "second_fill", "fill of the container that does not serve", Fill, Scales, Fill;
    HalfOutlet: "half_load", "outlet", "outlet at half load", FlowPressure, Manometer, Low;
    HalfManifold: "half_load", "manifold", "manifold at half load", Along, Manometer, Low;
    HalfInlet: "half_load", "inlet", "inlet at half load", Along, ContainerGauge, High;
    FullOutlet: "full_load", "outlet", "outlet at full load", FullLoad, Manometer, Low;
    FullManifold: "full_load", "manifold", "manifold at full load", Along, Manometer, Low;
    FullInlet: "full_load", "inlet", "inlet at full load", Along, ContainerGauge, High;
    LongOutlet: "long_draw", "outlet", "outlet after a long draw", LongDraw, Manometer, Low;
    LongContainer: "long_draw", "container", "container after a long draw", LongDraw, ContainerGauge, High;
    AboveOutlet: "from_above", "outlet", "outlet at half load from above", LoadUpDown, Manometer, Low;
    AboveTapped: "from_above", "after_tap", "the same after a tap", LoadUpDown, Tap, Low;
    PilotsOutlet: "pilots", "outlet", "outlet with the smallest burner", Pilots, Manometer, Low;
    RestPeak: "lock_up", "at_once", "lock-up at once", LockUp, Manometer, Low;
    RestMinute: "lock_up", "after_minute", "lock-up after a minute", LockUp, Manometer, Low;
    RestCreep: "lock_up", "after_creep", "lock-up five minutes later", Creep, Manometer, Low;
    RestSettles: "lock_up", "settles_after", "time until lock-up stands", LockUp, Manometer, Time;
    FirstHalf: "first_stage", "half_load", "first stage at half load", FirstStage, InterstageGauge, Middle;
    FirstFull: "first_stage", "full_load", "first stage at full load", FirstStage, InterstageGauge, Middle;
    FirstRest: "first_stage", "at_rest", "first stage at rest after a minute", FirstStage, InterstageGauge, Middle;
    FirstCreep: "first_stage", "after_creep", "first stage at rest five minutes later", FirstStage, InterstageGauge,
        Middle;
    LeakChange: "leak_check", "change", "change in the leak check", LeakCheck, Manometer, Change;
    FlushOutlet: "after_flush", "lock_up", "lock-up after a flush", Flush, Flush, Low;
    FlushFirst: "after_flush", "first_stage", "first stage at rest after a flush", Flush, InterstageGauge, Middle;
    WarmFull: "after_warming", "full_load", "outlet at full load after warming", Warm, WarmCloth, Low;
    WarmRest: "after_warming", "lock_up", "lock-up after warming", Warm, WarmCloth, Low;
    ClimbRest: "after_climb", "lock_up", "lock-up after a climb", Climb, Manometer, Low;
    PipingDrop: "new_piping", "drop", "drop in the test of new piping", NewPiping, AirPump, Drop;
    FirstVentRest: "vent", "first_at_rest", "first vent at rest", Vent, LeakFluid, Words(BUBBLES);
    FirstVentFlowing: "vent", "first_flowing", "first vent flowing", Vent, LeakFluid, Words(BUBBLES);
    SecondVentRest: "vent", "second_at_rest", "second vent at rest", Vent, LeakFluid, Words(BUBBLES);
    SecondVentFlowing: "vent", "second_flowing", "second vent flowing", Vent, LeakFluid, Words(BUBBLES);
    FrostBody: "seen", "frost_on_body", "frost on the regulator", LongDraw, Eyes, Words(YES_NO);
    FrostContainer: "seen", "frost_on_container", "frost on the container", LongDraw, Eyes, Words(YES_NO);
    LongFlames: "long_draw", "flames", "flames after a long draw", LongDraw, Eyes, Words(FLAMES);
    Flames: "seen", "flames", "flames", Look, Eyes, Words(FLAMES);
    OddOne: "seen", "odd_one", "one appliance differs", Look, Eyes, Words(ODD_ONE);
    VentLooks: "seen", "vent_looks", "look of the second vent", Look, Eyes, Words(VENT_LOOKS);
    SoundFlowing: "heard", "flowing", "sound with everything lit", Look, Ears, Words(SOUND);
    SoundRest: "heard", "at_rest", "sound at rest", LockUp, Ears, Words(SOUND);
    FluidPigtail: "leak_fluid", "pigtail", "leak fluid at the pigtail and its connections", Joints, LeakFluid,
        Words(BUBBLES);
    FluidLowSide: "leak_fluid", "low_side", "leak fluid at the low side's joints", Joints, LeakFluid, Words(BUBBLES);
    FluidBurner: "leak_fluid", "burner", "leak fluid at unlit burners", Joints, LeakFluid, Words(BUBBLES);
    Lighting: "seen", "lighting", "lighting the burners", Look, Eyes, Words(LIGHTING);
    Hose: "seen", "hose", "look along the pigtail", Look, Eyes, Words(HOSE);
    Valve: "seen", "valve", "hand on the container valve", Look, Eyes, Words(VALVE);
    Indicator: "seen", "indicator", "changeover's indicator with everything lit", Look, Eyes, Words(INDICATOR);
    Reserve: "seen", "reserve", "reserve side when the service side is shut", Reserve, Valve, Words(RESERVE);
}

/// How many of the items are numbers; they come first (tested).
pub const NUMBERS: usize = Id::FirstVentRest as usize;

/// A set of readings: a value in SI (or the place of a word) for each item that was found out.
pub type Values = [Option<f64>; ITEMS];

impl Id {
    /// Its place in [`ALL`] and in [`Values`].
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The item itself.
    pub fn item(self) -> &'static Item {
        &ALL[self.index()]
    }

    /// The tap at which a gauge reads it, with the container of this side in service; none where no pressure is read.
    pub fn tap(self, side: usize) -> Option<TestPoint> {
        use Id::{
            AboveOutlet, AboveTapped, ClimbRest, Container, FirstCreep, FirstFull, FirstHalf,
            FirstRest, FlushFirst, FlushOutlet, FullInlet, FullManifold, FullOutlet, HalfInlet,
            HalfManifold, HalfOutlet, LongContainer, LongOutlet, PilotsOutlet, RestCreep,
            RestMinute, RestPeak, SecondContainer, WarmFull, WarmRest,
        };
        Some(match self {
            HalfOutlet | FullOutlet | LongOutlet | AboveOutlet | AboveTapped | PilotsOutlet
            | RestPeak | RestMinute | RestCreep | FlushOutlet | WarmFull | WarmRest | ClimbRest => {
                TestPoint::Outlet
            }
            HalfManifold | FullManifold => TestPoint::Manifold,
            HalfInlet | FullInlet => TestPoint::Inlet(side),
            Container | LongContainer => TestPoint::Container(side),
            SecondContainer => TestPoint::Container(1 - side.min(1)),
            FirstHalf | FirstFull | FirstRest | FirstCreep | FlushFirst => TestPoint::FirstStage,
            _ => return None,
        })
    }

    /// Whether it is a moment of a test that goes on at the same tap afterwards.
    pub fn is_passing(self) -> bool {
        matches!(self, Self::RestPeak | Self::AboveOutlet)
    }

    /// Whether a rig can have it at all.
    pub fn is_in(self, rig: &Rig) -> bool {
        match self {
            Self::SecondContainer | Self::SecondFill => rig.containers.len() > 1,
            _ => true,
        }
    }

    /// Whether a burner has to burn for it, or to have burned just before, in a test that can be made without a flame.
    pub fn wants_a_flame(self) -> bool {
        matches!(
            self,
            Self::FirstHalf
                | Self::FirstFull
                | Self::FirstVentFlowing
                | Self::SecondVentFlowing
                | Self::RestPeak
                | Self::RestSettles
        )
    }

    /// All items.
    pub fn all() -> impl Iterator<Item = Self> {
        ALL.iter().map(|i| i.id)
    }

    /// The item of a table and key of a readings file.
    pub fn find(table: &str, key: &str) -> Option<Self> {
        ALL.iter()
            .find(|i| i.table == table && i.key == key)
            .map(|i| i.id)
    }
}

impl Item {
    /// Place of the item of a table and key.
    pub fn find(table: &str, key: &str) -> Option<usize> {
        Id::find(table, key).map(Id::index)
    }

    /// The words it may have; none for a number.
    pub fn choices(&self) -> Option<&'static [&'static str]> {
        match self.kind {
            Words(words) => Some(words),
            _ => None,
        }
    }

    /// Every word that is understood, with the place of what it means; the list's own words first.
    pub fn spoken(&self) -> Vec<(&'static str, f64)> {
        let Some(words) = self.choices() else {
            return Vec::new();
        };
        let own = words.iter().enumerate().map(|(k, w)| (*w, k as f64));
        let others = SPOKEN.iter().filter(|(list, ..)| *list == words);
        let others = others.filter_map(|(_, said, meant)| {
            let place = words.iter().position(|w| w == meant)?;
            Some((*said, place as f64))
        });
        own.chain(others).collect()
    }

    /// Dimension of a number; none for words.
    pub fn dimension(&self) -> Option<Dimension> {
        match self.kind {
            Low | Middle | High => Some(Dimension::GaugePressure),
            Change | Drop => Some(Dimension::PressureDifference),
            Air => Some(Dimension::Temperature),
            Height => Some(Dimension::Elevation),
            Fill => Some(Dimension::Fraction),
            Time => Some(Dimension::Time),
            Words(_) => None,
        }
    }

    /// What an instrument shows of a value: under nothing a gauge stands on its stop.
    pub fn shown(&self, value: f64) -> f64 {
        match self.kind {
            Low | Middle | High => value.max(0.0),
            _ => value,
        }
    }

    /// Lowest and highest value that can be meant \[SI\].
    pub fn bounds(&self) -> (f64, f64) {
        match self.kind {
            Low => (0.0, psi_to_pa(60.0)),
            Middle | High => (0.0, psi_to_pa(400.0)),
            Change => (-inwc_to_pa(15.0), inwc_to_pa(60.0)),
            Drop => (-psi_to_pa(1.0), psi_to_pa(10.5)),
            Air => (220.0, 330.0),
            // From the lowest road to the highest.
            Height => (-430.0, 6000.0),
            Fill => (0.0, 1.0),
            Time => (0.0, 3600.0),
            Words(words) => (0.0, words.len() as f64 - 1.0),
        }
    }

    /// Standard uncertainty of a reading of this size on the instrument that fits it, SI: the
    /// water column to 16 in w.c. (division 0.1), a dial to 35 in w.c. (0.5), dials to 15, 30 and
    /// 300 psi (0.1, 0.5, 2), a thermometer in moving air, a level gauge or the scales; when a
    /// column that creeps can be said to stand is known to some seconds.
    pub fn uncertainty(&self, value: f64) -> f64 {
        match self.kind {
            Low | Middle | High => match value {
                v if v <= inwc_to_pa(16.0) => inwc_to_pa(0.1),
                v if v <= inwc_to_pa(35.0) => inwc_to_pa(0.5),
                v if v <= psi_to_pa(15.0) => psi_to_pa(0.15),
                v if v <= psi_to_pa(30.0) => psi_to_pa(0.5),
                _ => psi_to_pa(2.0),
            },
            Change => inwc_to_pa(0.07),
            Drop => psi_to_pa(0.1),
            Air => 1.0,
            // Off a map or a road sign.
            Height => 60.0,
            Fill => 0.04,
            Time => 8.0 + 0.2 * value.abs(),
            Words(_) => 0.0,
        }
    }

    /// The uncertainty at the item's usual value, SI.
    pub fn usual_uncertainty(&self) -> f64 {
        match self.kind {
            Middle => psi_to_pa(0.15),
            High => psi_to_pa(2.0),
            _ => self.uncertainty(0.0),
        }
    }

    /// A value on the scale the likelihood works in (whitened units come later): straight where
    /// the trade works, compressed far from it, so that 2 psi and 3 psi at an outlet count as
    /// nearly the same and 11 and 12 in w.c. do not.
    pub fn scaled(&self, value: f64) -> f64 {
        let (centre, width) = self.centre();
        // The plain formula of asinh: half a million of them are worked out when a library is made ready, and what it loses
        // near nought (a part in 10¹⁶ of the width) no instrument shows.
        let off = (value - centre) / width;
        let size = off.abs();
        width * (size + (size * size + 1.0).sqrt()).ln().copysign(off)
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
            Low => (inwc_to_pa(11.0), inwc_to_pa(2.0)),
            Middle => (psi_to_pa(10.0), psi_to_pa(3.0)),
            High => (psi_to_pa(60.0), psi_to_pa(60.0)),
            Change => (0.0, inwc_to_pa(0.5)),
            Drop => (0.0, psi_to_pa(0.5)),
            Air => (285.0, 100.0),
            Height => (1000.0, 5000.0),
            Time => (0.0, 20.0),
            Fill | Words(_) => (0.5, 1.0),
        }
    }
}

impl Test {
    /// The items it gives.
    pub fn items(self) -> impl Iterator<Item = usize> {
        (0..ITEMS).filter(move |&i| ALL[i].test == self)
    }

    /// The items it gives with these tools.
    pub fn items_with(self, bag: &Bag) -> Vec<Id> {
        let items = self.items().map(|i| &ALL[i]);
        items.filter(|i| bag.has(i.tool)).map(|i| i.id).collect()
    }

    /// Tools it takes, the first one above all.
    pub fn tools(self) -> Vec<Tool> {
        let mut out: Vec<Tool> = Vec::new();
        for i in self.items() {
            if !out.contains(&ALL[i].tool) {
                out.push(ALL[i].tool);
            }
        }
        out
    }

    /// Minutes with this bag: hand work and the time it runs.
    pub fn minutes_with(self, bag: &Bag) -> f64 {
        self.runs_minutes() + self.hand_minutes(bag)
    }

    /// Minutes of the hands with this bag.
    pub fn hand_minutes(self, bag: &Bag) -> f64 {
        let tools = self.tools().into_iter();
        tools.filter(|t| bag.has(*t)).map(|t| bag.minutes(t)).sum()
    }
}

impl Test {
    /// The tool that is taken in hand for it.
    pub fn tool(self) -> Tool {
        match self {
            Self::NewPiping => Tool::AirPump,
            _ => self.tools().first().copied().unwrap_or(Tool::Manometer),
        }
    }
}

/// One thing that was found out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Observation {
    /// What, where, and in which state of the rig.
    pub item: Id,
    /// Value in SI as the instrument showed it, or the place of the word.
    pub value: f64,
    /// Standard uncertainty in SI where it is not the instrument's usual one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<f64>,
    /// Whether the truth lies over the value: the test was stopped there, and what was read would have gone on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub over: bool,
    /// When \[s of simulated time\].
    pub at_s: f64,
}

impl Observation {
    /// The word, where it is one.
    pub fn word(&self) -> Option<&'static str> {
        let words = self.item.item().choices()?;
        words.get(self.value.max(0.0) as usize).copied()
    }

    /// Whether the value can be one of its item's: a log comes by mail.
    pub fn is_sound(&self) -> bool {
        let (low, high) = self.item.item().bounds();
        let whole = self.item.item().choices().is_none() || self.value.fract() == 0.0;
        self.value.is_finite() && (low..=high).contains(&self.value) && whole
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_come_first_and_every_name_is_its_own() {
        for (i, item) in ALL.iter().enumerate() {
            assert_eq!(item.id.index(), i);
            assert_eq!(item.choices().is_none(), i < NUMBERS, "{}", item.words);
            assert_eq!(Id::find(item.table, item.key), Some(item.id));
            let (low, high) = item.bounds();
            assert!(low < high);
        }
    }
}
