//! What a technician does at the bench besides testing, each with the caution that belongs to it.
//!
//! A deed changes the rig the way the hand does: clearing a vent takes out what blocked it,
//! a new hose takes out what was wrong with the old one. Whether it helped, a test must show.

use super::bench::{Bench, VisitError};
use crate::fault::{Family, Fault, Remedy};
use crate::rig::Happening;
use crate::scenario::{Action, WhichStage};
use crate::service::PointError;
use crate::sim::Noted;
use serde::{Deserialize, Serialize};

/// One deed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
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

/// What came of a deed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Effect {
    /// Nothing to be told but that it was done.
    Done,
    /// A container valve opened; whether the excess-flow valve tripped, and whether it stays shut.
    Opened {
        /// It tripped.
        tripped: bool,
        /// It is shut.
        shut: bool,
    },
    /// The outlet moved by so much \[Pa\].
    Moved(f64),
    /// Flushed; whether something went with the gas.
    Flushed {
        /// Something was carried off.
        carried: bool,
    },
    /// Fuel on the scales, and the fill limit by weight \[kg\].
    Weighed {
        /// Fuel.
        fuel_kg: f64,
        /// Limit.
        limit_kg: f64,
    },
}

/// A deed that was done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DeedDone {
    /// Which.
    pub deed: Deed,
    /// What came of it.
    pub effect: Effect,
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
/// Fill by weight: this share of what the container holds of water (practice), and the density of water \[kg/m³\].
const FILL_BY_WEIGHT: f64 = 0.42;
const WATER_KG_PER_M3: f64 = 1000.0;
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

    fn check_index(what: &'static str, index: usize, count: usize) -> Result<(), VisitError> {
        if index < count {
            return Ok(());
        }
        let number = index.wrapping_add(1);
        Err(PointError::Lacks {
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
/// [`VisitError`]: the rig has no such part, or the run failed.
pub fn perform(b: &mut Bench<'_>, deed: Deed) -> Result<DeedDone, VisitError> {
    b.has_part(deed)?;
    let effect = b.carry_out(deed)?;
    Ok(DeedDone {
        deed,
        effect,
        caution: deed.caution(),
    })
}

impl Deed {
    /// The caution that belongs to the act.
    pub fn caution(self) -> &'static str {
        match self {
            Self::OpenValve { .. } => {
                "Open a container valve slowly: fast trips the excess-flow valve and kicks the regulator"
            }
            Self::ShutValve { .. } | Self::ShutFast { .. } => {
                "Pilots go out: relight and prove each when gas is back"
            }
            Self::Light { .. } => "No smell of gas before lighting; a few tries, then air and stop",
            Self::ShutOff { .. } => "",
            Self::Tap => "A tap tells something and mends nothing",
            Self::Flush => {
                "Only outdoors, burners off, no flame or switch near by, by a qualified technician"
            }
            Self::ClearVents => "Clear a vent from outside with a soft pick; never push into it",
            Self::WarmCloth => "A warm wet cloth only: no flame, no boiling water, no heat gun",
            Self::TurnScrew { .. } => {
                "Only a qualified technician with a gauge on the tap; never to cure a weak flame"
            }
            Self::SwapHose => "Leak-test the new connections with leak fluid, never with a flame",
            Self::SwapRegulator => {
                "A qualified technician replaces it, then leak check, flow pressure, lock-up and creep before use"
            }
            Self::NewContainers => {
                "A supplier fills, purges and dries; never above 80 %; leak fluid at the new connections"
            }
            Self::MendLine => {
                "Repaired piping is leak-tested before gas is used, with fluid, never with a flame"
            }
            Self::MendAppliances => {
                "An orifice is never drilled, a safety never bridged; prove each safety after lighting"
            }
            Self::Weigh { .. } => "Never above 80 % of the volume",
        }
    }

    /// Whether it leaves another rig than it found.
    pub fn changes_the_rig(self) -> bool {
        !matches!(
            self,
            Self::OpenValve { .. }
                | Self::ShutValve { .. }
                | Self::ShutFast { .. }
                | Self::Light { .. }
                | Self::ShutOff { .. }
                | Self::Weigh { .. }
        )
    }
}

impl Bench<'_> {
    fn has_part(&self, deed: Deed) -> Result<(), VisitError> {
        let rig = self.sim.rig();
        match deed {
            Deed::OpenValve { container, .. }
            | Deed::ShutValve { container }
            | Deed::ShutFast { container }
            | Deed::Weigh { container } => {
                Self::check_index("container", container, rig.containers.len())
            }
            Deed::Light { appliance } | Deed::ShutOff { appliance } => {
                Self::check_index("appliance", appliance, rig.appliances.len())
            }
            _ => Ok(()),
        }
    }

    fn carry_out(&mut self, deed: Deed) -> Result<Effect, VisitError> {
        match deed {
            Deed::OpenValve { container, slowly } => return self.open(container, slowly),
            Deed::ShutValve { container } => self.shut(container, 2.0)?,
            Deed::ShutFast { container } => self.shut(container, 0.2)?,
            Deed::Light { appliance } | Deed::ShutOff { appliance } => {
                let on = matches!(deed, Deed::Light { .. });
                self.sim.act(&Action::Switch { appliance, on });
            }
            Deed::Tap => {
                let before = self.sim.readings().outlet_pa;
                self.sim.act(&Action::Tap);
                let after = self.wait(2.0, 0.2)?.outlet_pa;
                return Ok(Effect::Moved(after - before));
            }
            Deed::Flush => return self.burst(),
            Deed::ClearVents => {
                self.clear_where(cleared_at_vent);
                self.wait(5.0, 0.5)?;
            }
            Deed::WarmCloth => {
                self.sim.act(&Action::Warm { to_k: CLOTH_K });
                self.wait(60.0, 1.0)?;
            }
            Deed::TurnScrew { stage, degrees } => {
                let turns = degrees / 360.0;
                self.sim.act(&Action::TurnScrew { stage, turns });
                self.wait(5.0, 0.5)?;
            }
            Deed::SwapHose => self.clear_where(|f| HOSE.contains(&f.id())),
            Deed::SwapRegulator => {
                self.clear_where(in_regulator);
                self.sim.fit_new_regulator();
                self.wait(10.0, 0.5)?;
            }
            Deed::NewContainers => {
                self.clear_where(with_container);
                self.sim.fit_new_containers();
                self.wait(10.0, 0.5)?;
            }
            Deed::MendLine => {
                self.clear_where(in_line);
                self.wait(10.0, 0.5)?;
            }
            Deed::MendAppliances => {
                self.clear_where(in_appliance);
                self.wait(1.0, 0.5)?;
            }
            Deed::Weigh { container } => return Ok(self.weigh(container)),
        }
        Ok(Effect::Done)
    }

    fn open(&mut self, container: usize, slowly: bool) -> Result<Effect, VisitError> {
        let marks = self.sim.marks().len();
        if slowly {
            self.open_slowly(container)?;
        } else {
            let (open, over_s) = (1.0, 0.2);
            self.sim.act(&Action::Valve {
                container,
                open,
                over_s,
            });
            self.wait(3.0, 0.5)?;
        }
        Ok(Effect::Opened {
            tripped: self.noted_since(marks, |h| matches!(h, Happening::ExcessFlowTrips(_))),
            shut: self.sim.moment().modes.excess_flow[container].is_shut(),
        })
    }

    fn shut(&mut self, container: usize, over_s: f64) -> Result<(), VisitError> {
        self.sim.act(&Action::Valve {
            container,
            open: 0.0,
            over_s,
        });
        self.wait(3.0, 0.5)?;
        Ok(())
    }

    /// A burst of flow through the test tap.
    fn burst(&mut self) -> Result<Effect, VisitError> {
        let marks = self.sim.marks().len();
        self.sim.act(&Action::Bleed { area_m2: FLUSH.0 });
        self.wait(FLUSH.1, 0.1)?;
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        self.wait(10.0, 0.5)?;
        Ok(Effect::Flushed {
            carried: self.noted_since(marks, |h| matches!(h, Happening::GritCarriedOff(_))),
        })
    }

    /// Whether something has happened since there were `from` marks.
    fn noted_since(&self, from: usize, what: impl Fn(Happening) -> bool) -> bool {
        let since = self.sim.marks()[from..].iter();
        let mut happened = since.filter_map(|m| match m.what {
            Noted::Happened(h) => Some(h),
            _ => None,
        });
        happened.any(what)
    }

    fn weigh(&self, container: usize) -> Effect {
        let c = &self.sim.rig().containers[container];
        let net_kg = self.sim.readings().containers[container].fuel_kg;
        Effect::Weighed {
            fuel_kg: (net_kg / SCALES_KG).round() * SCALES_KG,
            limit_kg: FILL_BY_WEIGHT * c.volume_m3 * WATER_KG_PER_M3,
        }
    }
}
