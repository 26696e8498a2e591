//! What a technician does at the bench besides testing, each with the caution that belongs to it.
//!
//! A deed changes the rig the way the hand does: clearing a vent takes out what blocked it,
//! a new hose takes out what was wrong with the old one. Whether it helped, a test must show.

use super::bench::{Bench, ServiceError};
use crate::fault::{Family, Fault, Remedy};
use crate::scenario::{Action, WhichStage};
use crate::units::{self, Dimension, System};
use serde::Serialize;

/// One deed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Deed {
    /// Open a container valve, slowly (8 s) or fast (0.2 s).
    OpenValve {
        /// Index of the container.
        container: usize,
        /// Slowly, as it should be.
        slowly: bool,
    },
    /// Shut a container valve.
    ShutValve {
        /// Index of the container.
        container: usize,
    },
    /// Shut a container valve with a jerk (0.2 s).
    ShutFast {
        /// Index of the container.
        container: usize,
    },
    /// Light an appliance.
    Light {
        /// Index of the appliance.
        appliance: usize,
    },
    /// Shut an appliance off.
    ShutOff {
        /// Index of the appliance.
        appliance: usize,
    },
    /// Tap the regulator's body.
    Tap,
    /// A burst of flow through a wide-open test tap, outdoors.
    Flush,
    /// Clear both vents of dirt, ice and water.
    ClearVents,
    /// A warm wet cloth on the regulator.
    WarmCloth,
    /// Turn an adjusting screw; positive is in, which raises the pressure.
    TurnScrew {
        /// Which stage.
        stage: WhichStage,
        /// Angle in degrees.
        degrees: f64,
    },
    /// A new pigtail hose.
    SwapHose,
    /// A new regulator.
    SwapRegulator,
    /// Full containers, purged and dry, with their valves.
    NewContainers,
    /// Line, joints and hoses put right.
    MendLine,
    /// Spuds, valves and safeties of the appliances cleaned or renewed.
    MendAppliances,
    /// Put a container on the scales.
    Weigh {
        /// Index of the container.
        container: usize,
    },
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    /// What was done or seen.
    pub words: String,
    /// The caution that belongs to the act.
    pub caution: &'static str,
}

/// Temperature of a warm wet cloth \[K\] (practice: hand-warm, 40 °C).
const CLOTH_K: f64 = 313.15;
/// Open test tap during a flush \[m²\], and how long \[s\].
const FLUSH: (f64, f64) = (60e-6, 4.0);
/// Faults that go with the hose.
const HOSE: [&str; 3] = ["hose_bored_down", "hose_kinked", "pigtail_leak"];
/// Faults outside the regulator's own families that go with it.
const INSIDE: [&str; 4] = [
    "oily_residue",
    "first_stage_clogged",
    "changeover_stuck",
    "changeover_early",
];
/// Division of the scales \[kg\].
const SCALES_KG: f64 = 0.1;

fn in_regulator(fault: Fault) -> bool {
    let family = fault.entry().family;
    let own = [
        Family::Vent,
        Family::Seat,
        Family::Spring,
        Family::Diaphragm,
        Family::Lever,
        Family::Relief,
        Family::Mounting,
    ];
    own.contains(&family) || INSIDE.contains(&fault.id())
}

fn with_container(fault: Fault) -> bool {
    let e = fault.entry();
    e.family == Family::Fuel && e.id != "oily_residue"
        || e.family == Family::Supply && !in_regulator(fault) && !HOSE.contains(&e.id)
}

fn in_line(fault: Fault) -> bool {
    let e = fault.entry();
    e.family == Family::Piping || e.remedies.contains(&Remedy::Repair)
}

fn in_appliance(fault: Fault) -> bool {
    fault.entry().family == Family::Appliance
}

fn cleared_at_vent(fault: Fault) -> bool {
    let e = fault.entry();
    // Paint inside the screen stays.
    matches!(e.family, Family::Vent | Family::Mounting) && e.id != "vent_screen_painted"
}

impl Bench<'_> {
    fn clear_where(&mut self, goes: fn(Fault) -> bool) {
        let faults: Vec<Fault> = self.sim.moment().faults.iter().map(|f| f.fault).collect();
        for fault in faults.into_iter().filter(|f| goes(*f)) {
            self.sim.act(&Action::Clear { fault });
        }
    }

    fn check_index(what: &'static str, index: usize, count: usize) -> Result<(), ServiceError> {
        if index < count {
            return Ok(());
        }
        let number = index.wrapping_add(1);
        Err(super::PointError::Lacks {
            what,
            number,
            count,
        }
        .into())
    }
}

/// Does a deed.
///
/// # Errors
/// [`ServiceError`]: the rig has no such part, or the run failed.
pub fn perform(b: &mut Bench<'_>, deed: Deed) -> Result<Outcome, ServiceError> {
    let containers = b.sim.rig().containers.len();
    let appliances = b.sim.rig().appliances.len();
    match deed {
        Deed::OpenValve { container, .. }
        | Deed::ShutValve { container }
        | Deed::ShutFast { container }
        | Deed::Weigh { container } => {
            Bench::check_index("container", container, containers)?;
        }
        Deed::Light { appliance } | Deed::ShutOff { appliance } => {
            Bench::check_index("appliance", appliance, appliances)?;
        }
        _ => {}
    }
    let (words, caution) = match deed {
        Deed::OpenValve { container, slowly } => {
            let marks = b.sim.marks().len();
            if slowly {
                b.open_slowly(container)?;
            } else {
                let (open, over_s) = (1.0, 0.2);
                b.sim.act(&Action::Valve {
                    container,
                    open,
                    over_s,
                });
                b.wait(3.0, 0.5)?;
            }
            let tripped = marked(b, marks, "excess-flow valve");
            let words = if b.sim.moment().modes.excess_flow[container].is_shut() {
                "Opened; the excess-flow valve tripped and stays shut"
            } else if tripped {
                "Opened; the excess-flow valve tripped and has reset"
            } else {
                "Opened"
            };
            (
                words.to_owned(),
                "Open a container valve slowly: fast trips the excess-flow valve and kicks the regulator",
            )
        }
        Deed::ShutValve { container } | Deed::ShutFast { container } => {
            let fast = matches!(deed, Deed::ShutFast { .. });
            b.sim.act(&Action::Valve {
                container,
                open: 0.0,
                over_s: if fast { 0.2 } else { 2.0 },
            });
            b.wait(3.0, 0.5)?;
            (
                "Shut".to_owned(),
                "Pilots go out: relight and prove each when gas is back",
            )
        }
        Deed::Light { appliance } => {
            b.sim.act(&Action::Switch {
                appliance,
                on: true,
            });
            (
                "Asked to light".to_owned(),
                "No smell of gas before lighting; a few tries, then air and stop",
            )
        }
        Deed::ShutOff { appliance } => {
            b.sim.act(&Action::Switch {
                appliance,
                on: false,
            });
            ("Shut off".to_owned(), "")
        }
        Deed::Tap => {
            let before = b.sim.readings().outlet_pa;
            b.sim.act(&Action::Tap);
            let after = b.wait(2.0, 0.2)?.outlet_pa;
            // No minus before a nought.
            let moved = (10.0 * units::pa_to_inwc(after - before)).round() / 10.0 + 0.0;
            (
                format!("The outlet moved by {moved:+.1} in w.c."),
                "A tap tells something and mends nothing",
            )
        }
        Deed::Flush => flush(b)?,
        Deed::ClearVents => {
            b.clear_where(cleared_at_vent);
            b.wait(5.0, 0.5)?;
            (
                "Both vents cleared".to_owned(),
                "Clear a vent from outside with a soft pick; never push into it",
            )
        }
        Deed::WarmCloth => {
            b.sim.act(&Action::Warm { to_k: CLOTH_K });
            b.wait(60.0, 1.0)?;
            (
                "Warmed for a minute".to_owned(),
                "A warm wet cloth only: no flame, no boiling water, no heat gun",
            )
        }
        Deed::TurnScrew { stage, degrees } => {
            let turns = degrees / 360.0;
            b.sim.act(&Action::TurnScrew { stage, turns });
            b.wait(5.0, 0.5)?;
            (
                format!("Turned {degrees:+.0} degrees"),
                "Only a qualified technician with a gauge on the tap; never to cure a weak flame",
            )
        }
        Deed::SwapHose => {
            b.clear_where(|f| HOSE.contains(&f.id()));
            (
                "New hose".to_owned(),
                "Leak-test the new connections with leak fluid, never with a flame",
            )
        }
        Deed::SwapRegulator => {
            b.clear_where(in_regulator);
            b.sim.fit_new_regulator();
            b.wait(10.0, 0.5)?;
            (
                "New regulator, vent down".to_owned(),
                "A qualified technician replaces it, then leak check, flow pressure, lock-up and creep before use",
            )
        }
        Deed::NewContainers => {
            b.clear_where(with_container);
            b.sim.fit_new_containers();
            b.wait(10.0, 0.5)?;
            (
                "Full containers, purged and dry".to_owned(),
                "A supplier fills, purges and dries; never above 80 %; leak fluid at the new connections",
            )
        }
        Deed::MendLine => {
            b.clear_where(in_line);
            b.wait(10.0, 0.5)?;
            (
                "Line, joints and hoses put right".to_owned(),
                "Repaired piping is leak-tested before gas is used, with fluid, never with a flame",
            )
        }
        Deed::MendAppliances => {
            b.clear_where(in_appliance);
            b.wait(1.0, 0.5)?;
            (
                "Orifices, valves and safeties as the maker has them".to_owned(),
                "An orifice is never drilled, a safety never bridged; prove each safety after lighting",
            )
        }
        Deed::Weigh { container } => weigh(b, container),
    };
    Ok(Outcome { words, caution })
}

fn flush(b: &mut Bench<'_>) -> Result<(String, &'static str), ServiceError> {
    let marks = b.sim.marks().len();
    b.sim.act(&Action::Bleed { area_m2: FLUSH.0 });
    b.wait(FLUSH.1, 0.1)?;
    b.sim.act(&Action::Bleed { area_m2: 0.0 });
    b.wait(10.0, 0.5)?;
    let carried = marked(b, marks, "carried off");
    let words = if carried {
        "Flushed; something went with the gas"
    } else {
        "Flushed; nothing seen to go"
    };
    Ok((
        words.to_owned(),
        "Only outdoors, burners off, no flame or switch near by, by a qualified technician",
    ))
}

/// Whether something was noted since there were `from` marks.
fn marked(b: &Bench<'_>, from: usize, words: &str) -> bool {
    b.sim.marks()[from..].iter().any(|m| m.text.contains(words))
}

fn weigh(b: &Bench<'_>, container: usize) -> (String, &'static str) {
    let rig = b.sim.rig();
    let r = b.sim.readings().containers[container];
    let c = &rig.containers[container];
    let (net, water_kg) = (r.fuel_kg, c.volume_m3 * 1000.0);
    let shown = (net / SCALES_KG).round() * SCALES_KG;
    let mass = units::format(shown, Dimension::Mass, System::Us);
    let limit = units::format(0.42 * water_kg, Dimension::Mass, System::Us);
    (
        format!("{mass} of fuel; the fill limit by weight is about {limit}"),
        "Never above 80 % of the volume",
    )
}
