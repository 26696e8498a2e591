//! Readings that were taken at another place, from another start or in other air than their item's, brought to the
//! item: pressure at an appliance, a leak check that did not begin at 9 in w.c., a reading in air of its own, fuel on
//! the scales, a container's level, a long draw of another length. What bringing adds in doubt goes into the uncertainty.
//!
//! Assumptions: an appliance burns as built (its branch takes what its orifice passes at that pressure); a loss in the
//! leak check goes with the pressure that drives it; the air acts on a reading as on a healthy rig, and so does the time of a draw.

use super::model::Model;
use crate::diagnosis::files::beside::Beside;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::library::random::Random;
use crate::diagnosis::library::unknowns::{AIR, UNKNOWNS, Unknowns, World};
use crate::physics::air::atmosphere_pa;
use crate::physics::flow::series_area_m2;
use crate::physics::fuel::{COLD_K, Vapour, charge, fill_when_cold, mass_kg, viscosity_pa_s};
use crate::rig::Appliance;
use crate::scenario::{Action, Scenario};
use crate::service::{LIMITS, TOLERANCE};
use crate::sim::Simulation;
use crate::solver::Method;
use crate::units::inwc_to_pa;
use crate::visit::{ALL, Id, NUMBERS};
use std::sync::Arc;

/// Air where none was read \[K\] (60 °F).
const MILD_K: f64 = 288.7;
/// Where a leak check of the library begins \[in w.c.\].
const LEAK_START_INWC: f64 = 9.0;
/// From this start on seats are shut, and what lies behind them is not tested \[in w.c.\] (practice: under the working
/// pressure every seat stands open).
const SEATS_SHUT_INWC: f64 = 10.5;
/// How long everything has burned at the end of the library's long draw \[s\].
const DRAWN_S: f64 = 200.0;
/// How long everything is off when a lock-up is read after a minute, and when one that climbs all the while is read last: a
/// lock-up that moves is watched for five minutes, and creep for five more \[s\].
const MINUTE_S: f64 = 60.0;
const CLIMBED_S: f64 = 600.0;
/// Share of what was added to a reading that stands for its doubt (own).
const DOUBT: f64 = 0.5;
/// What a spring scale and a stamped tare leave open \[kg\] (practice).
const SCALES_KG: f64 = 0.3;

/// Readings with everything brought to the items, for a rig and its likelihood.
pub fn brought(readings: &Readings, base: &Scenario, model: &Model) -> Readings {
    let mut out = readings.clone();
    let beside = &readings.beside;
    for item in Id::all().filter(|id| !id.is_in(&base.rig)) {
        out.values[item.index()] = None;
    }
    out.bring_air(beside, model);
    out.bring_appliances(beside, base);
    out.bring_contents(beside, base);
    out.bring_leak_check(beside);
    out.bring_draw(beside, base);
    out.bring_climb(beside);
    out
}

impl Readings {
    fn widen(&mut self, item: usize, doubt: f64) {
        let Some(value) = self.values[item] else {
            return;
        };
        let own = self.uncertainties[item].unwrap_or_else(|| ALL[item].uncertainty(value));
        self.uncertainties[item] = Some(own.hypot(doubt));
    }

    /// What is read in another air than the visit's: moved by what the air does to a healthy rig.
    fn bring_air(&mut self, beside: &Beside, model: &Model) {
        let Some((_, first_k)) = beside.air_k.first() else {
            return;
        };
        let visit_k = *self.values[Id::Air.index()].get_or_insert(*first_k);
        for (table, air_k) in &beside.air_k {
            let moved = model.air_effect(*air_k, visit_k);
            for (i, item) in ALL[..NUMBERS].iter().enumerate() {
                let here = item.table == *table && item.id != Id::Air;
                let Some(value) = self.values[i].filter(|_| here && !self.over[i]) else {
                    continue;
                };
                let there = item.unscaled(item.scaled(value) + moved[i]);
                self.values[i] = Some(item.shown(there));
                self.widen(i, DOUBT * (there - value).abs());
            }
        }
    }

    /// Pressure at an appliance stands for the manifold's where that was not read.
    fn bring_appliances(&mut self, beside: &Beside, base: &Scenario) {
        let air_k = self.values[Id::Air.index()].unwrap_or(MILD_K);
        let ambient_pa = atmosphere_pa(base.site.elevation_m.at(0.0));
        for at in &beside.appliances {
            let i = at.manifold.index();
            let Some(appliance) = at.at(&base.rig).filter(|_| self.values[i].is_none()) else {
                continue;
            };
            let drop_pa = branch_drop_pa(appliance, at.inlet_pa, air_k, ambient_pa);
            self.values[i] = Some(at.inlet_pa + drop_pa);
            self.widen(i, DOUBT * drop_pa);
        }
    }

    /// Fuel on the scales as the share of the container that its liquid fills at 40 °F, and a level as that of the same liquid
    /// then. Liquid may be colder than the air, so warm air excuses a level no further than mild air does.
    fn bring_contents(&mut self, beside: &Beside, base: &Scenario) {
        if let Some(air_k) = self.values[Id::Air.index()] {
            for item in [Id::Fill, Id::SecondFill] {
                let level = &mut self.values[item.index()];
                *level = level.map(|fill| fill_when_cold(fill, air_k.min(MILD_K)));
            }
        }
        let other = 1 - base.service_side.min(1);
        for (item, container, kg) in [
            (Id::Fill, base.service_side, beside.contents_kg[0]),
            (Id::SecondFill, other, beside.contents_kg[1]),
        ] {
            let i = item.index();
            let Some(kg) = kg.filter(|_| self.values[i].is_none()) else {
                continue;
            };
            let Some(volume_m3) = base.rig.containers.get(container).map(|c| c.volume_m3) else {
                continue;
            };
            // What a fill weighs goes straight from the gas alone to liquid alone.
            let of = |fill| {
                mass_kg(&charge(
                    volume_m3,
                    fill,
                    &base.rig.fuel.fractions,
                    COLD_K,
                    0.0,
                ))
            };
            let (empty_kg, full_kg) = (of(0.0), of(1.0));
            let span_kg = (full_kg - empty_kg).max(f64::MIN_POSITIVE);
            self.values[i] = Some(((kg - empty_kg) / span_kg).clamp(0.0, 1.0));
            self.uncertainties[i] = Some(SCALES_KG / span_kg);
        }
    }

    /// A loss from another start, as from the usual one. From where the seats are shut, no loss says nothing of
    /// what lies behind them.
    fn bring_leak_check(&mut self, beside: &Beside) {
        let i = Id::LeakChange.index();
        let (Some(start_pa), Some(change)) = (beside.leak_start_pa, self.values[i]) else {
            return;
        };
        let loses = change < -2.0 * ALL[i].uncertainty(change);
        if start_pa > inwc_to_pa(SEATS_SHUT_INWC) && !loses {
            self.values[i] = None;
            return;
        }
        let usual = inwc_to_pa(LEAK_START_INWC) / start_pa.max(inwc_to_pa(1.0));
        self.values[i] = Some(change * usual);
        self.widen(i, DOUBT * (change * usual - change).abs());
    }

    /// A climb that was watched for another time than the bench's: along the straight line that a seat's channel makes of it, no
    /// further than to where the relief opens, or to the container's pressure.
    fn bring_climb(&mut self, beside: &Beside) {
        let Some(watched_s) = beside.watched_s else {
            return;
        };
        let container_pa = self.values[Id::Container.index()].unwrap_or(f64::INFINITY);
        for (minute, creep, most_pa) in [
            (Id::RestMinute, Id::RestCreep, LIMITS.far_over.high),
            (Id::FirstRest, Id::FirstCreep, container_pa),
        ] {
            let of = |id: Id| self.values[id.index()];
            let Some((early_pa, late_pa)) = of(minute).zip(of(creep)) else {
                continue;
            };
            let per_s = (late_pa - early_pa).max(0.0) / (watched_s - MINUTE_S);
            let there_pa = late_pa + per_s * (CLIMBED_S - watched_s);
            let there_pa = there_pa.clamp(early_pa.min(late_pa), most_pa.max(late_pa));
            self.values[creep.index()] = Some(there_pa);
            self.widen(creep.index(), DOUBT * (there_pa - late_pa).abs());
        }
    }

    /// A draw of another length than the library's: moved by what lies between the two on a healthy rig. Flames that are
    /// right after a longer draw were right before, and wrong ones after a shorter draw are wrong later; else they say
    /// nothing.
    fn bring_draw(&mut self, beside: &Beside, base: &Scenario) {
        let items = [Id::LongOutlet, Id::LongContainer].map(Id::index);
        let flames = Id::LongFlames.index();
        let Some(lasted_s) = beside.drawn_s else {
            return;
        };
        let right = self.values[flames].is_some_and(|word| word == 0.0);
        if right != (lasted_s > DRAWN_S) {
            self.values[flames] = None;
        }
        if items.iter().all(|i| self.values[*i].is_none()) {
            return;
        }
        let air_k = self.values[Id::Air.index()];
        let Some([usual, here]) = drawn(base, air_k, [DRAWN_S, lasted_s]) else {
            // Nothing tells what the time does: then the reading counts for nothing.
            items.iter().for_each(|i| self.values[*i] = None);
            return;
        };
        for (k, i) in items.into_iter().enumerate() {
            let moved = usual[k] - here[k];
            self.values[i] = self.values[i].map(|v| v + moved);
            self.widen(i, DOUBT * moved.abs());
        }
    }
}

/// Outlet and container of a healthy rig after two lengths of a draw on everything \[Pa\]; none where it cannot be run.
fn drawn(base: &Scenario, air_k: Option<f64>, after_s: [f64; 2]) -> Option<[[f64; 2]; 2]> {
    let mut scenario = base.clone();
    let mut z = Unknowns([0.0; UNKNOWNS]);
    z.0[AIR] = air_k.map_or(0.0, Unknowns::of_air);
    z.apply(&mut scenario, World::NOMINAL, &mut Random::new(1, 1));
    let mut sim = Simulation::start(Arc::new(scenario), Method::Stiff, TOLERANCE).ok()?;
    for appliance in 0..sim.rig().appliances.len() {
        sim.act(&Action::Switch {
            appliance,
            on: true,
        });
    }
    let start_s = sim.readings().time_s;
    let mut out = [[0.0; 2]; 2];
    let mut order = [0, 1];
    order.sort_by(|a, b| after_s[*a].total_cmp(&after_s[*b]));
    for k in order {
        sim.advance(start_s + after_s[k], None, &mut |_| {}).ok()?;
        let r = sim.readings();
        out[k] = [r.outlet_pa, r.containers[r.service_side].pressure_pa];
    }
    Some(out)
}

/// What the branch of an appliance takes at its inlet pressure \[Pa\]: the flow is what valve and orifice pass there.
fn branch_drop_pa(a: &Appliance, inlet_pa: f64, air_k: f64, ambient_pa: f64) -> f64 {
    let density = Vapour::propane().density_kg_per_m3(ambient_pa + inlet_pa, air_k, 1.0);
    let area_m2 = series_area_m2(a.valve_m2, a.spud_m2) + a.pilot_m2;
    let flow = area_m2 * (2.0 * density * inlet_pa.max(0.0)).sqrt();
    let branch = a.branch.loss(density, viscosity_pa_s(air_k));
    let (mut low, mut high) = (0.0, inlet_pa.max(inwc_to_pa(1.0)));
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if branch.flow_kg_per_s(middle, 0.0) < flow {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
