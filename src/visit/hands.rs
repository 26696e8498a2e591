//! Deeds done: a deed changes the rig the way the hand does. Clearing a vent takes out what blocked it, a new hose takes
//! out what was wrong with the old one. Whether it helped, a test must show.

use super::bench::{Bench, VALVE_S, VisitError};
use super::deeds::{Deed, DeedDone, Effect};
use super::hindrance::{Hindrance, Valve};
use crate::fault::{Family, Fault, Remedy};
use crate::rig::Happening;
use crate::scenario::Action;
use crate::service::PointError;
use crate::sim::{Noted, Simulation};

/// Temperature of a warm wet cloth \[K\] (practice: hand-warm, 40 °C).
const CLOTH_K: f64 = 313.15;
/// Open test tap during a flush \[m²\], and how long \[s\].
const FLUSH: (f64, f64) = (60e-6, 4.0);
/// How long the test tap is left open to bleed the line \[s\].
const BLED_S: f64 = 60.0;
/// How often at most the tap is opened again: liquid in the body boils on (own).
const BLED_TIMES: usize = 10;
/// Free area of a hose's nut that is loosened by a turn \[m²\], and for how long \[s\] (own: a hose holds a gram or two).
const NUT: (f64, f64) = (1e-6, 10.0);
/// Under these a line counts as bled: low side, and what is ahead of it \[Pa\] (own: an inch, two psi).
const BLED_PA: (f64, f64) = (250.0, 14_000.0);
/// Free way out of a line that is taken apart \[m²\], and how long a hand takes to put the new part in \[s\] (own). What
/// comes out of it comes through the old regulator, as far as that lets it.
const OPENED: (f64, f64) = (60e-6, 20.0);
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

/// Whether a deed takes a fault out of a rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cure {
    /// It leaves it in.
    No,
    /// It may: a burst that carries grit off, a cloth under which ice melts, a screw.
    Maybe,
    /// It does.
    Yes,
}

/// What a deed does to a fault, whichever rig it is in.
pub fn cure(deed: Deed, fault: Fault) -> Cure {
    let remedies = fault.entry().remedies;
    let sure = match deed {
        Deed::ClearVents => cleared_at_vent(fault),
        Deed::SwapHose => HOSE.contains(&fault.id()),
        Deed::SwapRegulator => in_regulator(fault),
        Deed::NewContainers => with_container(fault),
        Deed::MendLine => in_line(fault),
        Deed::MendAppliances => in_appliance(fault),
        _ => false,
    };
    let maybe = match deed {
        Deed::Flush => fault.entry().carried_off.is_some(),
        Deed::WarmCloth => remedies.contains(&Remedy::Warm),
        Deed::TurnScrew { .. } => remedies.contains(&Remedy::Adjust),
        _ => false,
    };
    match (sure, maybe) {
        (true, _) => Cure::Yes,
        (_, true) => Cure::Maybe,
        _ => Cure::No,
    }
}

fn cleared_at_vent(fault: Fault) -> bool {
    let e = fault.entry();
    // Paint inside the screen stays, and so does rain water in the case under a vent that looks up: a pick from outside
    // does not empty it.
    matches!(e.family, Family::Vent | Family::Mounting) && e.remedies.contains(&Remedy::Clear)
}

/// Whether gas would come out where a part comes off: a container is open, or the line was not bled.
pub fn under_pressure(sim: &Simulation) -> bool {
    let r = sim.readings();
    sim.moment().modes.supply_open(sim.time_s())
        || r.outlet_pa > BLED_PA.0
        || r.first.chamber_pa > BLED_PA.1
        || hoses_hold(sim)
}

fn hoses_hold(sim: &Simulation) -> bool {
    let r = sim.readings();
    let mut hoses = r.containers[..r.container_count].iter();
    hoses.any(|c| c.pigtail_pa > BLED_PA.1)
}

/// Makes a rig safe to take parts off: containers shut, burners and pilots off, the line bled. Tells which containers
/// were open.
///
/// # Errors
/// [`VisitError`]: the run failed.
pub fn make_safe(b: &mut Bench<'_>) -> Result<Vec<usize>, VisitError> {
    let open: Vec<usize> = (0..b.sim.rig().containers.len())
        .filter(|c| b.sim.moment().modes.valves[*c].at(b.sim.time_s()) > 0.0)
        .collect();
    for &container in &open {
        perform(b, Deed::ShutValve { container })?;
    }
    for appliance in 0..b.sim.rig().appliances.len() {
        perform(b, Deed::ShutOff { appliance })?;
    }
    perform(b, Deed::BleedDown)?;
    Ok(open)
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
    b.is_safe_for(deed)?;
    let effect = b.carry_out(deed)?;
    Ok(DeedDone {
        deed,
        effect,
        caution: deed.caution(),
    })
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
            Deed::ShutValve { container } => return self.shut(container, VALVE_S),
            Deed::ShutFast { container } => return self.shut(container, 0.2),
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
            Deed::BleedDown => self.bleed_down()?,
            Deed::SwapHose => {
                let came = self.open_line()?;
                self.clear_where(|f| HOSE.contains(&f.id()));
                self.close_line()?;
                return Ok(came);
            }
            Deed::SwapRegulator => {
                let came = self.open_line()?;
                self.clear_where(in_regulator);
                self.sim.fit_new_regulator();
                self.close_line()?;
                return Ok(came);
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

    /// Lets the line out at the test tap, and at the nut of its hose what does not come that way.
    fn bleed_down(&mut self) -> Result<(), VisitError> {
        for _ in 0..BLED_TIMES {
            self.sim.act(&Action::Bleed { area_m2: FLUSH.0 });
            self.wait(BLED_S, 0.5)?;
            if !self.supply_open() && hoses_hold(self.sim) {
                self.sim.loosen_hoses(NUT.0);
                self.wait(NUT.1, 0.5)?;
                self.sim.loosen_hoses(0.0);
            }
            self.sim.act(&Action::Bleed { area_m2: 0.0 });
            self.wait(2.0, 0.5)?;
            if self.supply_open() || !under_pressure(self.sim) {
                break;
            }
        }
        Ok(())
    }

    /// Takes a part of the line off: what is in the line comes out, and the flames behind it die.
    fn open_line(&mut self) -> Result<Effect, VisitError> {
        let held = under_pressure(self.sim);
        let lit = self.flames();
        self.sim.act(&Action::Bleed { area_m2: OPENED.0 });
        self.wait(OPENED.1, 0.5)?;
        let blew = Effect::BlewOut {
            fed: self.supply_open(),
            flames: lit.saturating_sub(self.flames()),
        };
        Ok(if held { blew } else { Effect::Done })
    }

    /// How many appliances burn.
    fn flames(&self) -> usize {
        let modes = &self.sim.moment().modes;
        let count = self.sim.rig().appliances.len();
        let each = modes.appliances.iter().take(count);
        each.filter(|m| m.lit || m.pilot_lit).count()
    }

    /// Puts a new part in its place.
    fn close_line(&mut self) -> Result<(), VisitError> {
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        self.wait(10.0, 0.5)?;
        Ok(())
    }

    /// A part comes off a safe rig only: container shut, burners off, line bled.
    fn is_safe_for(&self, deed: Deed) -> Result<(), VisitError> {
        let (part, test) = match deed {
            _ if !self.refuses => return Ok(()),
            Deed::SwapHose => ("hose", "a new hose"),
            Deed::SwapRegulator => ("regulator", "a new regulator"),
            Deed::NewContainers => ("container", "full containers"),
            Deed::MendLine => ("piping", "mending the line"),
            Deed::MendAppliances => ("orifice", "mending the appliances"),
            Deed::BleedDown if let Some(open) = self.open_valve() => {
                return Err(VisitError::Forbidden {
                    test: "bleeding the line",
                    why: Hindrance::SupplyOpen(open),
                });
            }
            // Gas comes out beside a flame, or out of an open tap that nobody lights.
            Deed::Flush => return self.with_nothing_lit("a burst of flow"),
            Deed::OpenValve { .. } if !self.supply_open() => {
                return self.with_nothing_lit("opening the container");
            }
            _ => return Ok(()),
        };
        let why = if let Some(open) = self.open_valve() {
            Hindrance::OpenBehind(part, open)
        } else if self.holds_gas(deed) && self.anything_lit().is_none() {
            Hindrance::GasInLine
        } else {
            return self.with_nothing_lit(test);
        };
        Err(VisitError::Forbidden { test, why })
    }

    /// Whether there is still gas in the line; where the line itself is drained, what stands behind liquid in a sag of it comes out with
    /// that, and no tap lets it out before.
    fn holds_gas(&self, deed: Deed) -> bool {
        let r = self.sim.readings();
        let behind_pa = BLED_PA.0 + self.sim.rig().piping.low_point_pa;
        let is_behind_liquid = deed == Deed::MendLine
            && r.outlet_pa <= behind_pa
            && r.first.chamber_pa <= BLED_PA.1
            && !hoses_hold(self.sim);
        under_pressure(self.sim) && !is_behind_liquid
    }

    fn with_nothing_lit(&self, test: &'static str) -> Result<(), VisitError> {
        match self.anything_lit() {
            Some(name) => Err(VisitError::Forbidden {
                test,
                why: Hindrance::Lit(name),
            }),
            None => Ok(()),
        }
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

    fn shut(&mut self, container: usize, over_s: f64) -> Result<Effect, VisitError> {
        self.sim.act(&Action::shut(container, over_s));
        self.wait(3.0, 0.5)?;
        let of = self.sim.rig().containers.len();
        Ok(match self.open_valve() {
            _ if of < 2 => Effect::Done,
            open => Effect::Shut {
                container,
                open: open.map(|v| v.container),
            },
        })
    }

    /// The first container valve that stands open.
    fn open_valve(&self) -> Option<Valve> {
        let (valves, of) = (
            &self.sim.moment().modes.valves,
            self.sim.rig().containers.len(),
        );
        let t_s = self.sim.time_s();
        let open = |c: &usize| valves[*c].at(t_s) > 0.0;
        let container = (0..of).find(open).filter(|_| self.supply_open())?;
        Some(Valve { container, of })
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
