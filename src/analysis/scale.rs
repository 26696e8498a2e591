//! What tables and pictures of this room are written in: one scale for each kind of quantity in either system, with the
//! name it has in a column and the one it has on an axis.

use crate::units::{KG_PER_LB, System, W_PER_BTU_PER_H, ZERO_CELSIUS_K, pa_to_inwc, pa_to_psi};

/// A scale.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    /// Ending of a column's name.
    pub column: &'static str,
    /// Unit as people read it.
    pub unit: &'static str,
    /// From SI.
    pub of: fn(f64) -> f64,
    /// Decimals more than the trade's unit needs.
    more: usize,
}

impl Scale {
    const fn new(
        column: &'static str,
        unit: &'static str,
        more: usize,
        of: fn(f64) -> f64,
    ) -> Self {
        Self {
            column,
            unit,
            of,
            more,
        }
    }

    /// A value in a table.
    pub(super) fn cell(&self, si: f64, decimals: usize) -> String {
        format!("{:.*}", decimals + self.more, (self.of)(si))
    }
}

fn kpa(pa: f64) -> f64 {
    1e-3 * pa
}

fn kilo(value: f64) -> f64 {
    1e-3 * value
}

/// Container and first stage: gauge pressure \[Pa\].
pub(super) fn high(system: System) -> Scale {
    match system {
        System::Us => Scale::new("psig", "psig", 0, pa_to_psi),
        System::Si => Scale::new("kpa", "kPa", 0, kpa),
    }
}

/// Outlet: gauge pressure \[Pa\].
pub(super) fn low(system: System) -> Scale {
    match system {
        System::Us => Scale::new("inwc", "in w.c.", 0, pa_to_inwc),
        System::Si => Scale::new("kpa", "kPa", 1, kpa),
    }
}

/// Load \[W\].
pub(super) fn load(system: System) -> Scale {
    match system {
        System::Us => Scale::new("btuh", "Btu/h", 0, |w| w / W_PER_BTU_PER_H),
        System::Si => Scale::new("kw", "kW", 3, kilo),
    }
}

/// Load \[W\] along an axis.
pub(super) fn load_axis(system: System) -> Scale {
    match system {
        System::Us => Scale::new("", "thousand Btu/h", 0, |w| 1e-3 * w / W_PER_BTU_PER_H),
        System::Si => load(system),
    }
}

/// Air \[K\].
pub(super) fn air(system: System) -> Scale {
    match system {
        System::Us => Scale::new("f", "°F", 0, |k| 1.8 * (k - ZERO_CELSIUS_K) + 32.0),
        System::Si => Scale::new("c", "°C", 0, |k| k - ZERO_CELSIUS_K),
    }
}

/// Fuel \[kg\].
pub(super) fn mass(system: System) -> Scale {
    match system {
        System::Us => Scale::new("lb", "lb", 0, |kg| kg / KG_PER_LB),
        System::Si => Scale::new("kg", "kg", 0, |kg| kg),
    }
}

/// Discharge \[kg/s\].
pub(super) fn discharge(system: System) -> Scale {
    match system {
        System::Us => Scale::new("lb_per_h", "lb/h", 0, |f| 3600.0 * f / KG_PER_LB),
        System::Si => Scale::new("kg_per_h", "kg/h", 0, |f| 3600.0 * f),
    }
}
