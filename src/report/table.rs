//! The table of readings: its columns, and rows as CSV.
//!
//! Every column's name ends in its unit. The first ten are fixed; those after them depend on how
//! many containers and which appliances the rig has.

use crate::rig::{Flame, MAX_CONTAINERS, Readings, Rig};
use crate::units::{
    DEG_F, FOOT, FT3_PER_H, KG_PER_LB, Unit, W_PER_BTU_PER_H, pa_to_inwc, pa_to_psi,
};
use std::fmt::Write as _;

/// One column.
pub struct Column {
    /// Its name, the unit last.
    pub name: String,
    /// Decimals it is written with.
    pub decimals: usize,
    /// Container or appliance it is about.
    index: usize,
    value: fn(&Readings, usize) -> f64,
}

impl Column {
    /// Its value, rounded as it is written.
    pub fn value(&self, r: &Readings) -> f64 {
        let scale = 10_f64.powi(i32::try_from(self.decimals).unwrap_or(0));
        let rounded = ((self.value)(r, self.index) * scale).round() / scale;
        // A zero has no sign.
        rounded + 0.0
    }
}

/// The columns of a rig.
pub struct Table {
    /// In order.
    pub columns: Vec<Column>,
}

/// A column before it knows what it is about: name, decimals, value.
type Pattern = (&'static str, usize, fn(&Readings, usize) -> f64);

fn inwc(pa: f64) -> f64 {
    pa_to_inwc(pa)
}

fn btuh(w: f64) -> f64 {
    w / W_PER_BTU_PER_H
}

fn in_unit(si: f64, unit: &Unit) -> f64 {
    unit.from_si(si)
}

/// Columns every rig has. The service side stands for the container.
const COMMON: [Pattern; 27] = [
    ("time_s", 4, |r, _| r.time_s),
    ("container_psig", 3, |r, _| pa_to_psi(side(r).pressure_pa)),
    ("first_stage_psig", 4, |r, _| pa_to_psi(r.first.chamber_pa)),
    ("outlet_inwc", 4, |r, _| inwc(r.outlet_pa)),
    ("manifold_inwc", 4, |r, _| inwc(r.manifold_pa)),
    ("second_bonnet_inwc", 4, |r, _| inwc(r.second.case_pa)),
    ("first_lift_mm", 6, |r, _| 1e3 * r.first.lift_m),
    ("second_lift_mm", 6, |r, _| 1e3 * r.second.lift_m),
    ("demand_btuh", 1, |r, _| btuh(r.demand_w)),
    ("flow_btuh", 1, |r, _| btuh(r.flow_w)),
    ("first_bonnet_inwc", 4, |r, _| inwc(r.first.case_pa)),
    ("inlet_psig", 3, |r, _| pa_to_psi(side(r).pigtail_pa)),
    ("body_f", 3, |r, _| in_unit(r.body_k, &DEG_F)),
    ("spring_case_f", 3, |r, _| in_unit(r.case_k, &DEG_F)),
    ("air_f", 3, |r, _| in_unit(r.air_k, &DEG_F)),
    ("sun_w_per_m2", 2, |r, _| r.sun_w_per_m2),
    ("elevation_ft", 2, |r, _| in_unit(r.elevation_m, &FOOT)),
    ("second_vent_ft3h", 4, |r, _| {
        in_unit(r.second.vent_m3_per_s, &FT3_PER_H)
    }),
    ("relief_lb_per_h", 5, |r, _| {
        3600.0 * r.second.relief_kg_per_s / KG_PER_LB
    }),
    ("ice_percent", 3, |r, _| 100.0 * r.first.ice),
    ("liquid_percent", 3, |r, _| 100.0 * r.first.liquid_share),
    ("pool_g", 4, |r, _| 1e3 * r.pool_kg),
    ("low_pool_g", 4, |r, _| 1e3 * r.low_pool_kg),
    ("burned_lb", 6, |r, _| r.burned_kg / KG_PER_LB),
    ("lost_lb", 6, |r, _| r.lost_kg / KG_PER_LB),
    ("reserve_feeding", 0, |r, _| {
        f64::from(u8::from(r.reserve_feeding))
    }),
    ("indicator_red_percent", 1, |r, _| 100.0 * r.indicator_red),
];

/// Columns of each container; `container_1_psig` and so on.
const CONTAINER: [Pattern; 5] = [
    ("psig", 3, |r, i| pa_to_psi(r.containers[i].pressure_pa)),
    ("f", 3, |r, i| {
        in_unit(r.containers[i].temperature_k, &DEG_F)
    }),
    ("fill_percent", 4, |r, i| 100.0 * r.containers[i].fill),
    ("fuel_lb", 5, |r, i| r.containers[i].fuel_kg / KG_PER_LB),
    ("inlet_psig", 3, |r, i| {
        pa_to_psi(r.containers[i].pigtail_pa)
    }),
];

/// Columns of each appliance; the flame is 0 out, 1 low, 2 normal, 3 hard, 4 lifting.
const APPLIANCE: [Pattern; 3] = [
    ("inwc", 4, |r, i| inwc(r.appliances[i].inlet_pa)),
    ("btuh", 1, |r, i| btuh(r.appliances[i].heat_w)),
    ("flame", 0, |r, i| match r.appliances[i].flame {
        Flame::Out => 0.0,
        Flame::Low => 1.0,
        Flame::Normal => 2.0,
        Flame::Hard => 3.0,
        Flame::Lifting => 4.0,
    }),
];

/// Column of an appliance with a thermostat.
const HEATED: Pattern = ("f", 3, |r, i| {
    r.appliances[i]
        .temperature_k
        .map_or(0.0, |k| in_unit(k, &DEG_F))
});

/// The container on service duty.
fn side(r: &Readings) -> &crate::rig::ContainerReadings {
    &r.containers[r.service_side.min(MAX_CONTAINERS - 1)]
}

/// A name that can be a column's: lower case letters, digits and underscores.
fn plain(name: &str) -> String {
    let text: String = name
        .to_lowercase()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
        .collect();
    let text = text.trim_matches('_');
    if text.is_empty() {
        "appliance".to_owned()
    } else {
        text.to_owned()
    }
}

impl Table {
    /// The columns of this rig.
    pub fn new(rig: &Rig) -> Self {
        let mut columns = Vec::new();
        let mut add = |prefix: &str, pattern: &Pattern, index: usize| {
            let (name, decimals, value) = *pattern;
            columns.push(Column {
                name: format!("{prefix}{name}"),
                decimals,
                index,
                value,
            });
        };
        for pattern in &COMMON {
            add("", pattern, 0);
        }
        for i in 0..rig.containers.len() {
            for pattern in &CONTAINER {
                add(&format!("container_{}_", i + 1), pattern, i);
            }
        }
        let names: Vec<String> = rig.appliances.iter().map(|a| plain(&a.name)).collect();
        for (i, appliance) in rig.appliances.iter().enumerate() {
            let is_shared = names.iter().filter(|name| **name == names[i]).count() > 1;
            let prefix = if is_shared {
                format!("{}_no_{}_", names[i], i + 1)
            } else {
                format!("{}_", names[i])
            };
            for pattern in &APPLIANCE {
                add(&prefix, pattern, i);
            }
            if appliance.thermal.is_some() {
                add(&prefix, &HEATED, i);
            }
        }
        Self { columns }
    }

    /// First line of the CSV.
    pub fn header(&self) -> String {
        let names: Vec<&str> = self.columns.iter().map(|c| c.name.as_str()).collect();
        names.join(",") + "\n"
    }

    /// Adds a row to the CSV.
    pub fn add_row(&self, r: &Readings, out: &mut String) {
        for (i, column) in self.columns.iter().enumerate() {
            if i > 0 {
                out.push(',');
            }
            let _ = write!(out, "{:.*}", column.decimals, column.value(r));
        }
        out.push('\n');
    }
}
