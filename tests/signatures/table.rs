//! The trade's fault table as rows of what a visit shows.

/// Against the healthy rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    Low,
    Normal,
    High,
}

/// One thing seen on the visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sees {
    LockUp(Way),
    /// Flow pressure at half load.
    Flow(Way),
    /// Lock-up less flow pressure at half load.
    Rise(Way),
    /// Fall from half to full load.
    Fall(Way),
    /// Manifold at full load.
    Manifold(Way),
    FirstAtRest(Way),
    FirstFlowing(Way),
    InletAtRest(Way),
    InletFlowing(Way),
    /// Heat input at full load.
    Load(Way),
    /// Lock-up is where the relief holds it.
    AtRelief,
    NearZero,
    Creeps,
    Holds,
    /// Another pressure from above than from below.
    TwoLines,
    OneLine,
    /// Higher just after the burners went off than healthy.
    Overshoots,
    GasAtSecondVent,
    GasAtSecondVentFlowing,
    GasAtFirstVent,
    DryVents,
    LeakCheckFails,
    LeakCheckHolds,
    BurnerOut,
}

/// A fault and what is seen.
pub struct Row {
    pub fault: &'static str,
    pub severity: f64,
    pub air_f: f64,
    pub sees: &'static [Sees],
}

use Sees::*;
use Way::{High, Low, Normal};

const fn row(fault: &'static str, sees: &'static [Sees]) -> Row {
    Row {
        fault,
        severity: 0.5,
        air_f: 70.0,
        sees,
    }
}

const fn in_frost(fault: &'static str, sees: &'static [Sees]) -> Row {
    Row {
        air_f: 20.0,
        ..row(fault, sees)
    }
}

pub static ROWS: [Row; 49] = [
    // Vents. Trade: vent restricted overshoots, normal when steady.
    row("second_vent_blocked", &[Overshoots, Flow(Normal), DryVents]),
    row("vent_screen_painted", &[Overshoots, Flow(Normal), DryVents]),
    in_frost("second_vent_iced", &[Overshoots, Flow(Normal)]),
    // Trade: a sealed vent is wrong by the trapped air; physics adds that its relief stays shut.
    row("vent_sealed_below", &[LockUp(High), Flow(High), DryVents]),
    // Seats. Trade: lock-up wrong, flow right.
    row(
        "second_seat_grit",
        &[
            LockUp(High),
            Creeps,
            AtRelief,
            Flow(Normal),
            GasAtSecondVent,
        ],
    ),
    row(
        "second_seat_nick",
        &[LockUp(High), Rise(High), Creeps, Flow(Normal)],
    ),
    row(
        "second_seat_set",
        &[LockUp(High), Rise(High), Holds, Flow(Normal)],
    ),
    row(
        "second_seat_disc_lost",
        &[AtRelief, Flow(High), GasAtSecondVentFlowing],
    ),
    row(
        "first_seat_grit",
        &[
            LockUp(High),
            FirstAtRest(High),
            FirstFlowing(Normal),
            Flow(Normal),
        ],
    ),
    row(
        "first_seat_nick",
        &[FirstAtRest(High), FirstFlowing(Normal), Flow(Normal)],
    ),
    row(
        "first_seat_disc_lost",
        &[LockUp(High), FirstAtRest(High), FirstFlowing(High)],
    ),
    // Springs and screws. Trade: both shift alike.
    row(
        "second_spring_weak",
        &[LockUp(Low), Flow(Low), Rise(Normal), Holds, OneLine],
    ),
    row("second_spring_broken", &[NearZero, Flow(Low), BurnerOut]),
    row(
        "second_screw_high",
        &[LockUp(High), Flow(High), Rise(Normal), Holds],
    ),
    row(
        // Four turns out also put out what watches its flame, so flow and rise are those of what is left.
        "second_screw_low",
        &[LockUp(Low), Flow(Low), Holds, BurnerOut],
    ),
    row(
        "first_spring_weak",
        &[LockUp(Normal), FirstAtRest(Low), FirstFlowing(Low)],
    ),
    row(
        "first_spring_broken",
        &[
            FirstAtRest(Low),
            FirstFlowing(Low),
            Fall(High),
            InletFlowing(Normal),
        ],
    ),
    row(
        "first_screw_high",
        &[FirstAtRest(High), FirstFlowing(High), Flow(Normal)],
    ),
    row(
        "first_screw_low",
        &[FirstAtRest(Low), FirstFlowing(Low), LockUp(Normal)],
    ),
    // Diaphragms.
    row(
        "diaphragm_pinhole",
        &[Flow(Normal), GasAtSecondVentFlowing, LeakCheckFails],
    ),
    row(
        "diaphragm_torn",
        &[Flow(High), GasAtSecondVentFlowing, LeakCheckFails],
    ),
    row("first_diaphragm_torn", &[GasAtFirstVent, Flow(Normal)]),
    row("rubber_stiff", &[LockUp(High), Fall(High), TwoLines]),
    // Lever and guides. Trade: stays where it was, lags, steps.
    row("lever_gummed", &[LockUp(High), Flow(Low), TwoLines]),
    row("lever_off", &[AtRelief, Flow(High), GasAtSecondVentFlowing]),
    row("lever_bent", &[LockUp(Low), Flow(Low), Holds]),
    row("first_guide_gummed", &[FirstAtRest(High), Flow(Normal)]),
    // Relief.
    row(
        "relief_weeping",
        &[Flow(Normal), GasAtSecondVentFlowing, LeakCheckFails],
    ),
    row("relief_set_low", &[Flow(Normal), GasAtSecondVent]),
    row(
        "relief_stuck_shut",
        &[LockUp(Normal), Flow(Normal), DryVents],
    ),
    // Fuel.
    row(
        "liquid_carry_over",
        &[LockUp(High), FirstAtRest(High), Flow(Normal)],
    ),
    row(
        "container_overfilled",
        &[LockUp(High), FirstAtRest(High), Flow(Normal)],
    ),
    row("oily_residue", &[LockUp(High), Creeps, Flow(Normal)]),
    row(
        "air_in_container",
        // Watched flames, weakened by air, are not seen.
        &[InletAtRest(High), Load(Low), BurnerOut],
    ),
    // Supply. Trade: lock-up normal, flow wrong.
    row(
        "service_valve_part_open",
        &[LockUp(Normal), InletFlowing(Low), InletAtRest(Normal)],
    ),
    row(
        "excess_flow_tripped",
        &[LockUp(Normal), Flow(Low), FirstFlowing(Low), BurnerOut],
    ),
    row(
        "hose_bored_down",
        &[
            LockUp(Normal),
            Flow(Low),
            InletFlowing(Low),
            InletAtRest(Normal),
        ],
    ),
    row(
        "hose_kinked",
        // With everything on the burners drop out, and then the inlet is up again.
        &[LockUp(Normal), BurnerOut, Load(Low)],
    ),
    row(
        "first_stage_clogged",
        &[
            LockUp(Normal),
            BurnerOut,
            FirstFlowing(Low),
            InletFlowing(Normal),
        ],
    ),
    row(
        "pigtail_leak",
        &[LockUp(Normal), Flow(Normal), DryVents, LeakCheckFails],
    ),
    // Piping. Trade: normal at the regulator, low at the appliance.
    row(
        "line_crushed",
        &[LockUp(Normal), Flow(Normal), Manifold(Low)],
    ),
    row(
        "line_too_small",
        &[LockUp(Normal), Flow(Normal), Manifold(Low)],
    ),
    row("low_point_liquid", &[Flow(Normal), Manifold(Low)]),
    row("low_side_leak", &[Flow(Normal), LeakCheckFails, DryVents]),
    // Appliances.
    row(
        "spud_clogged",
        &[LockUp(Normal), Flow(Normal), Load(Low), LeakCheckHolds],
    ),
    row("spud_oversize", &[LockUp(Normal), Flow(Normal), Load(High)]),
    row("gas_valve_leaks", &[Flow(Normal), LeakCheckFails, DryVents]),
    row(
        "gas_valve_sticks",
        &[LockUp(Normal), Flow(Normal), Load(Low)],
    ),
    row(
        "overloaded",
        // A big burner starves at its own inlet and drops out with everything on, so the regulator sees no fall.
        &[LockUp(Normal), Manifold(Low), Load(High)],
    ),
];
