//! A statement about what a fault shows, as data: which reading of a visit, which way, against what, and after which act.
//! `tests/signatures` runs every one; the pages say it in words. Not here: the statements themselves.

use crate::fault::Grade;

/// What is read, heard or seen on a visit (leak check, half load, full load, half load again, lock-up, creep, vents,
/// gauges at the inlet and between the stages).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Figure {
    /// Outlet at about half of the connected load.
    HalfLoad,
    /// Outlet at full load.
    FullLoad,
    /// Fall of the outlet from half to full load.
    Fall,
    /// Rise of the outlet from half load to lock-up.
    Rise,
    /// Pressure at the far end of the main line at full load.
    Manifold,
    /// Half load coming from full load, less the same coming from rest.
    Band,
    /// Outlet with everything off.
    LockUp,
    /// Highest outlet as the burners go off.
    Peak,
    /// Time until the outlet stands still.
    Settling,
    /// Climb of the outlet in five minutes more.
    Climb,
    /// Pressure between the stages with everything off.
    FirstAtRest,
    /// The same at full load.
    FirstFlowing,
    /// Pressure at the regulator's inlet with everything off.
    InletAtRest,
    /// The same at full load.
    InletFlowing,
    /// Heat that all burners together take.
    Input,
    /// Burners that do not stay lit.
    BurnersOut,
    /// Leak fluid at the first stage's vent.
    FirstVent,
    /// Leak fluid at the second stage's vent, at rest or flowing.
    SecondVent,
    /// The same while gas flows.
    SecondVentFlowing,
    /// Whether the leak check fails.
    LeakCheck,
    /// Fuel left, by weight or gauge.
    Fill,
}

/// Which way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// More than there.
    Higher,
    /// Less than there.
    Lower,
    /// No different, as far as the trade's instruments tell.
    Same,
    /// Where the relief holds it, 18.7 in w.c. and more.
    AtRelief,
    /// Hardly anything.
    NearZero,
}

/// What was done before the visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Act {
    /// Nothing, at 70 °F.
    AsFound,
    /// Nothing, at 20 °F.
    InFrost,
    /// A burst of flow through the test tap.
    AfterFlush,
    /// The vents cleared.
    AfterClearing,
    /// A new pigtail.
    AfterNewHose,
    /// Nothing, on a twin set with both container valves open.
    OnTwin,
    /// The service side of a twin set shut, so that the reserve alone feeds.
    OnReserve,
}

/// One statement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Claim {
    /// What is read.
    pub figure: Figure,
    /// Which way.
    pub way: Way,
    /// Against which other fault; `None` is a healthy rig.
    pub versus: Option<&'static str>,
    /// After which act, the same on both rigs.
    pub under: Act,
    /// How bad the fault, and what it is held against, is: what holds of a vent that is nearly shut need not hold of one
    /// that is sealed.
    pub severity: f64,
    /// Grade of the statement.
    pub grade: Grade,
}

/// Severity of a statement that names no other, and of the pages.
pub const MIDDLING: f64 = 0.5;

/// Against a healthy rig, as the trade has it.
pub(super) const fn shows(figure: Figure, way: Way) -> Claim {
    Claim {
        figure,
        way,
        versus: None,
        under: Act::AsFound,
        severity: MIDDLING,
        grade: Grade::Practice,
    }
}

/// Against another fault.
pub(super) const fn apart(versus: &'static str, figure: Figure, way: Way) -> Claim {
    Claim {
        versus: Some(versus),
        ..shows(figure, way)
    }
}

impl Claim {
    /// The same after an act.
    pub(super) const fn under(self, under: Act) -> Self {
        Self { under, ..self }
    }

    /// The same of the worst there is.
    pub(super) const fn at_worst(self) -> Self {
        Self {
            severity: 1.0,
            ..self
        }
    }

    /// The same as a matter of physics.
    pub(super) const fn derived(self) -> Self {
        Self {
            grade: Grade::Derived,
            ..self
        }
    }

    /// In words, without what it is held against.
    pub fn words(&self) -> String {
        let (what, more, less, same) = self.figure.phrases();
        let way = match self.way {
            Way::Higher => more,
            Way::Lower => less,
            Way::Same => same,
            Way::AtRelief => "where the relief holds it",
            Way::NearZero => "near nothing",
        };
        let after = match self.under {
            Act::AsFound => "",
            Act::InFrost => " in frost",
            Act::AfterFlush => " after a flush",
            Act::AfterClearing => " once the vents are clear",
            Act::AfterNewHose => " with a new hose",
            Act::OnTwin => " on a twin set",
            Act::OnReserve => " on the reserve alone",
        };
        format!("{what} {way}{after}")
    }
}

impl Figure {
    /// Name, and more, less and the same of it.
    fn phrases(self) -> (&'static str, &'static str, &'static str, &'static str) {
        let pressure = |what| (what, "high", "low", "as usual");
        let size = |what| (what, "large", "small", "as usual");
        let gas = |what| (what, "bubbles", "bubbles less", "as usual");
        match self {
            Self::HalfLoad => pressure("flow pressure at half load"),
            Self::FullLoad => pressure("outlet at full load"),
            Self::Fall => size("fall to full load"),
            Self::Rise => size("rise from flow to lock-up"),
            Self::Manifold => pressure("pressure at the far end of the line"),
            Self::Band => (
                "half load from above against from below",
                "higher",
                "lower",
                "the same",
            ),
            Self::LockUp => pressure("lock-up"),
            Self::Peak => pressure("peak as burners go off"),
            Self::Settling => ("lock-up settles", "late", "early", "as usual"),
            Self::Climb => ("lock-up", "climbs", "sinks", "holds"),
            Self::FirstAtRest => pressure("first stage at rest"),
            Self::FirstFlowing => pressure("first stage flowing"),
            Self::InletAtRest => pressure("inlet at rest"),
            Self::InletFlowing => pressure("inlet at full load"),
            Self::Input => size("input of all burners"),
            Self::BurnersOut => ("burners", "drop out", "stay lit", "stay lit"),
            Self::FirstVent => gas("first vent"),
            Self::SecondVent => gas("second vent"),
            Self::SecondVentFlowing => gas("second vent with gas flowing"),
            Self::LeakCheck => ("leak check", "fails", "holds", "as usual"),
            Self::Fill => size("fuel by weight or gauge"),
        }
    }
}
