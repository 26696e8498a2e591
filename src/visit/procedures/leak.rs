//! Leak check, and the test of new piping.

use super::{Extra, time};
use crate::scenario::Action;
use crate::service::{LIMITS, rigid_share, trapped_gas_pa_per_k};
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::bench::{Bench, VALVE_S, VisitError};
use crate::visit::figure::{Measure, Step, TracePoint};
use crate::visit::hindrance::NothingLit;
use crate::visit::item::Id;
use crate::visit::piping;

/// How often the low side is bled again before the leak check, and the wait after each \[s\].
const BLEEDS: usize = 5;
const REST_S: f64 = 5.0;
/// A gauge that stands is looked at from far, one that falls from near: how long at a time, how often \[s\].
const LOOKS: [(f64, f64); 2] = [(5.0, 0.5), (0.5, 0.02)];
/// Start of the leak check, and of the test of new piping \[Pa\].
const START_INWC: f64 = 9.0;
const AIR_PSI: f64 = 10.0;
/// A gauge that would be through in so many more looks like the last is looked at from near.
const SOON: f64 = 3.0;

impl Bench<'_> {
    /// Shuts every container valve; returns which stood open.
    fn shut_supply(&mut self) -> Vec<usize> {
        let (now_s, modes) = (self.sim.time_s(), self.sim.moment().modes);
        let open: Vec<usize> = (0..self.sim.rig().containers.len())
            .filter(|&c| modes.valves[c].at(now_s) > 0.0)
            .collect();
        for &container in &open {
            let shut = Action::shut(container, VALVE_S);
            self.act(&shut, Step::ValveShut(container));
        }
        open
    }

    /// Bleeds the low side down to a pressure, as exactly as a hand does.
    fn bleed_to(&mut self, target_pa: f64) -> Result<(), VisitError> {
        self.steps.push(Step::BledTo(target_pa));
        // Through a needle, for the pigtail has to be emptied too; again and again where a slow vent
        // lets the diaphragm push more gas out.
        for _ in 0..BLEEDS {
            self.bleed_until(0.4e-6, target_pa, 300.0)?;
            self.wait(REST_S, 1.0)?;
            if self.read_outlet() <= LIMITS.leak_start.high {
                break;
            }
        }
        Ok(())
    }

    /// Opens the tap until the outlet is down to `stop_pa` and nothing upstream holds it up.
    fn bleed_until(&mut self, area_m2: f64, stop_pa: f64, most_s: f64) -> Result<(), VisitError> {
        let end_s = self.sim.time_s() + most_s;
        self.sim.act(&Action::Bleed { area_m2 });
        let mut near = false;
        while self.sim.time_s() < end_s && self.sim.readings().outlet_pa > stop_pa {
            let from = self.sim.moment().clone();
            let kept = self.trace.len();
            let (stretch_s, sample_s) = LOOKS[usize::from(near)];
            let before_pa = self.sim.readings().outlet_pa;
            let now_pa = self.watch(stretch_s, sample_s)?.outlet_pa;
            let crossed = self.trace[kept..].iter().find(|p| p.outlet_pa <= stop_pa);
            let crossed_s = crossed.map(|p| p.time_s);
            if let Some(at_s) = crossed_s {
                // Too far: go back and look from near, or shut the tap there.
                self.sim.go_back_to(&from);
                self.trace.truncate(kept);
                if near {
                    self.watch(at_s - self.sim.time_s(), sample_s)?;
                    break;
                }
            }
            let fall_pa = (before_pa - now_pa) * LOOKS[0].0 / stretch_s;
            near = crossed_s.is_some() || now_pa - stop_pa < SOON * fall_pa;
        }
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        Ok(())
    }

    pub(in crate::visit) fn leak_check(&mut self) -> Result<Extra, VisitError> {
        self.needs_nothing_lit(NothingLit::LeakCheck)?;
        let had_pa = self.read_outlet();
        let were_open = self.shut_supply();
        self.wait(3.0, 1.0)?;
        self.bleed_to(inwc_to_pa(START_INWC))?;
        let start = self.sim.readings();
        let start_pa = self.read_outlet();
        let start_k = self.kit.thermometer.at_rest(start.air_k);
        self.steps.push(Step::Held(time::LEAK_HOLD));
        let end = self.wait(time::LEAK_HOLD, 5.0)?;
        let end_pa = self.read_outlet();
        let warmed_k = self.kit.thermometer.at_rest(end.air_k) - start_k;
        let correction_pa = trapped_gas_pa_per_k(start_pa, start.ambient_pa, start_k)
            * rigid_share(
                &self.sim.scenario().rig,
                start_pa,
                start.ambient_pa,
                start_k,
            )
            * warmed_k;
        // A line that is under the start before the watch begins has lost by itself what it had. It could not be held at the
        // start, so the loss counts from there, however little stood in it before.
        let (begins_pa, least_pa) = (inwc_to_pa(START_INWC), LIMITS.leak_start.low);
        let lost_pa = had_pa.min(begins_pa) - start_pa;
        let has_lost = start_pa < least_pa && lost_pa > begins_pa - least_pa;
        let from_pa = if has_lost { begins_pa } else { start_pa };
        self.note(Id::LeakChange, end_pa - from_pa - correction_pa);
        for container in were_open {
            self.steps.push(Step::ValveOpened(container));
            self.open_slowly(container)?;
        }
        let spoiled = !LIMITS.leak_start.holds(start_pa);
        Ok(Extra {
            spoiled,
            says_nothing: spoiled && !has_lost,
            ..Extra::of(
                has_lost
                    .then_some((Measure::From, from_pa))
                    .into_iter()
                    .chain([
                        (Measure::Start, start_pa),
                        (Measure::End, end_pa),
                        (Measure::Warmed, warmed_k),
                        (Measure::Correction, correction_pa),
                    ]),
            )
        })
    }

    pub(in crate::visit) fn new_piping(&mut self) -> Result<Extra, VisitError> {
        self.needs_nothing_lit(NothingLit::NewPiping)?;
        // Taking off, capping and coupling the pump.
        self.wait(time::COUPLING, 5.0)?;
        let (t, site, rig) = (
            self.sim.time_s(),
            self.sim.moment().modes.site,
            self.sim.rig().clone(),
        );
        let times: Vec<f64> = (1..=15)
            .map(|k| t + f64::from(k) * time::NEW_PIPING / 15.0)
            .collect();
        self.steps.push(Step::AirInPiping {
            pressure_pa: psi_to_pa(AIR_PSI),
            held_s: time::NEW_PIPING,
        });
        let record = piping::record(&rig, &site, t, psi_to_pa(AIR_PSI), &times)?;
        let (start, end) = (record[0].1, record[record.len() - 1].1);
        let (start, end) = (self.kit.high_side(start), self.kit.high_side(end));
        self.note(Id::PipingDrop, start - end);
        self.trace = record
            .iter()
            .map(|&(time_s, pa)| TracePoint {
                time_s,
                outlet_pa: pa,
                first_stage_pa: 0.0,
                inlet_pa: 0.0,
            })
            .collect();
        Ok(Extra::of([(Measure::Start, start), (Measure::End, end)]))
    }
}
