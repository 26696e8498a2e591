//! Where the rig stands: air, sun, elevation, wetness of the container's wall.

use super::Ramp;
use crate::physics::air;
use serde::Serialize;

/// Site values; each may move while the rig runs (weather, a road that climbs).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Site {
    /// Air temperature \[K\].
    pub air_k: Ramp,
    /// Sun falling on the regulator's spring case \[W/m²\].
    pub sun_w_per_m2: Ramp,
    /// Elevation above sea level \[m\].
    pub elevation_m: Ramp,
    /// Factor on the wall's heat transfer: 1 dry and calm, under 1 frosted, up to 2 wet or windy.
    pub wall_factor: Ramp,
}

impl Site {
    /// A dry, calm, shaded place at `air_k` \[K\] and `elevation_m` \[m\].
    pub fn calm(air_k: f64, elevation_m: f64) -> Self {
        Self {
            air_k: Ramp::fixed(air_k),
            sun_w_per_m2: Ramp::fixed(0.0),
            elevation_m: Ramp::fixed(elevation_m),
            wall_factor: Ramp::fixed(1.0),
        }
    }

    /// Ambient absolute pressure at time `t_s` \[Pa\] (standard atmosphere).
    pub fn ambient_pa(&self, t_s: f64) -> f64 {
        air::atmosphere_pa(self.elevation_m.at(t_s))
    }

    /// The next corner of any site value strictly after `t_s` \[s\].
    pub fn next_corner_s(&self, t_s: f64) -> Option<f64> {
        [
            self.air_k,
            self.sun_w_per_m2,
            self.elevation_m,
            self.wall_factor,
        ]
        .iter()
        .filter_map(|r| r.next_corner_s(t_s))
        .reduce(f64::min)
    }
}
