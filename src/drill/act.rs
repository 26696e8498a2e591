//! What a trainee can do, one act at a time, and the tool it takes. Its words, which are the same on
//! the command line and in the log, are read and written by `phrase`.

use super::library::Cause;
pub use super::phrase::joint_name;
use super::tool::Tool;
use crate::fault::Remedy;
use crate::scenario::WhichStage;
use crate::service::{Joint, TestKind, TestPoint};

/// Which appliances.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// One, by its place.
    One(usize),
    /// Those that make about half of the load.
    Half,
    /// All of them.
    All,
}

/// How the rig is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// In use.
    InUse,
    /// Container shut, for a qualified technician.
    ShutOff,
}

/// The final answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What is wrong.
    pub cause: Cause,
    /// What is to be done.
    pub action: Remedy,
    /// How it is left.
    pub left: Left,
}

/// One act.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// Look at flames, frost and vent.
    Look,
    /// Listen at the regulator.
    Listen,
    /// Thermometer in the air.
    Air,
    /// Read a gauge.
    Read(TestPoint),
    /// Leak fluid on a joint.
    Fluid(Joint),
    /// Container on the scales.
    Weigh(usize),
    /// One of the trade's tests.
    Test(TestKind),
    /// Light appliances; half and all shut off the others.
    Light(Which),
    /// Shut appliances off.
    Off(Which),
    /// Reset a locked-out appliance or relight its pilot.
    Reset(usize),
    /// Open a container valve.
    Open {
        /// Container.
        container: usize,
        /// Slowly, as it should be.
        slowly: bool,
    },
    /// Shut a container valve.
    Shut(usize),
    /// Tap the regulator.
    Tap,
    /// A burst of flow.
    Flush,
    /// Clear both vents.
    ClearVents,
    /// A warm wet cloth.
    Warm,
    /// Turn an adjusting screw \[degrees\], in is positive.
    Screw(WhichStage, f64),
    /// A new hose.
    NewHose,
    /// A new regulator.
    NewRegulator,
    /// Let time pass \[s\].
    Wait(f64),
    /// A hypothesis: cause and how sure, 0 to 1.
    Note(Cause, f64),
    /// The final answer.
    Answer(Answer),
}

/// Words that are no act, with what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}; {help}")]
pub struct ActError {
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
}

/// The words that acts begin with and how they go on.
pub const WORDS: [(&str, &str); 21] = [
    ("look", "flames, frost, vent"),
    ("listen", "at the regulator"),
    ("air", "thermometer in the air"),
    (
        "read POINT",
        "outlet, manifold, first stage, inlet, container, or an appliance",
    ),
    (
        "fluid JOINT",
        "first vent, second vent, hose, low side, or an appliance",
    ),
    (
        "weigh",
        "the container on the scales; `weigh 2` for the second",
    ),
    (
        "test NAME",
        "leak check, flow pressure, full load, load up and down, lock-up, creep, vent, first stage, new piping",
    ),
    ("light NAME", "an appliance, `half` or `all`"),
    ("off NAME", "an appliance or `all`"),
    ("reset NAME", "a locked-out appliance, or a pilot"),
    ("open", "the container valve, slowly; `open fast`, `open 2`"),
    ("shut", "the container valve; `shut 2`"),
    ("tap", "the regulator's body"),
    ("flush", "a burst of flow through the test tap"),
    ("clear vents", "both of them"),
    ("warm", "a warm wet cloth on the regulator, one minute"),
    ("screw STAGE DEGREES", "`screw second +90`; in is plus"),
    (
        "new hose",
        "swap the pigtail hose; `new regulator` swaps that",
    ),
    ("wait TIME", "`wait 5 min`"),
    (
        "note CAUSE HOW-SURE",
        "`note second_seat_grit 60 %`: a hypothesis",
    ),
    (
        "answer CAUSE ACTION LEFT",
        "`answer second_seat_grit replace shut off`, or `in use` at its end; two causes with `+` between",
    ),
];

impl Act {
    /// The tool it takes, if any.
    pub fn tool(&self) -> Option<Tool> {
        Some(match self {
            Self::Look => Tool::Eyes,
            Self::Listen => Tool::Ears,
            Self::Air => Tool::Thermometer,
            Self::Read(point) => match point {
                TestPoint::Container(_) | TestPoint::Inlet(_) => Tool::ContainerGauge,
                TestPoint::FirstStage => Tool::InterstageGauge,
                _ => Tool::Manometer,
            },
            Self::Fluid(_) | Self::Test(TestKind::Vent) => Tool::LeakFluid,
            Self::Weigh(_) => Tool::Scales,
            Self::Test(TestKind::NewPiping) => Tool::AirPump,
            Self::Test(TestKind::FirstStage) => Tool::InterstageGauge,
            Self::Test(_) => Tool::Manometer,
            Self::Light(_) | Self::Off(_) | Self::Reset(_) => Tool::Burners,
            Self::Open { .. } | Self::Shut(_) => Tool::Valve,
            Self::Tap => Tool::Tap,
            Self::Flush => Tool::Flush,
            Self::ClearVents => Tool::ClearVents,
            Self::Warm => Tool::WarmCloth,
            Self::Screw(..) => Tool::Screw,
            Self::NewHose => Tool::NewHose,
            Self::NewRegulator => Tool::NewRegulator,
            Self::Wait(_) | Self::Note(..) | Self::Answer(_) => return None,
        })
    }
}
