//! Low-pressure piping: the main line, the manifold volume, leaks, a low point that holds liquid.

use crate::physics::flow::{PipeLoss, circle_area_m2};
use serde::Serialize;

/// One run of tube.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pipe {
    /// Inside diameter \[m\].
    pub bore_m: f64,
    /// Length \[m\].
    pub length_m: f64,
    /// Sum of loss coefficients of bends, tees and entry.
    pub minor_loss: f64,
}

impl Pipe {
    /// Gas volume \[m³\].
    pub fn volume_m3(&self) -> f64 {
        circle_area_m2(self.bore_m) * self.length_m
    }

    /// What it takes from a pressure, for gas of this density \[kg/m³\] and viscosity \[Pa s\].
    pub fn loss(&self, density_kg_per_m3: f64, viscosity_pa_s: f64) -> PipeLoss {
        PipeLoss::new(
            self.bore_m,
            self.length_m,
            self.minor_loss,
            density_kg_per_m3,
            viscosity_pa_s,
        )
    }
}

/// The low side of the system, downstream of the regulator.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Piping {
    /// From the regulator to the manifold.
    pub main: Pipe,
    /// Gas volume of main, manifold and branches together \[m³\].
    pub manifold_m3: f64,
    /// Leak from the manifold to the open air \[m²\].
    pub leak_m2: f64,
    /// Head of liquid standing in a low point that gas must bubble through \[Pa\].
    pub low_point_pa: f64,
}
