//! From each container to the regulator: service valve, excess-flow limiter, pigtail; and the changeover
//! where two of them meet.

use serde::Serialize;

/// One container's way to the regulator: its own valve, limiter and pigtail.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Supply {
    /// Free area of the service valve when open \[m²\].
    pub valve_m2: f64,
    /// Flow at which the excess-flow limiter closes \[kg/s\].
    pub excess_trip_kg_per_s: f64,
    /// Bleed area left when the limiter has closed \[m²\].
    pub excess_bleed_m2: f64,
    /// Pressure difference under which the closed limiter opens again \[Pa\].
    pub excess_reset_pa: f64,
    /// Pigtail bore \[m\].
    pub pigtail_bore_m: f64,
    /// Pigtail length \[m\].
    pub pigtail_length_m: f64,
    /// Loss coefficient of the pigtail's ends, bends and kinks on its bore \[1\].
    pub pigtail_minor_loss: f64,
    /// Gas volume between valve and first seat \[m³\].
    pub pigtail_volume_m3: f64,
    /// Leak from the pigtail to the open air \[m²\].
    pub pigtail_leak_m2: f64,
}

/// An automatic changeover: the service side feeds through the first stage; the reserve side
/// feeds the same chamber through a seat of its own that is set lower.
///
/// The reserve seat is taken as quasi-static: its opening follows the interstage pressure
/// without inertia, from closed at `reserve_set_pa` to full `reserve_span_pa` below.
///
/// Where its set pressure has to lie follows from both stages (derived): under the lowest the first stage
/// falls to at full load with a container that still holds it, or both sides empty together; and so far
/// over what the second stage needs for its outlet that the sag of the reserve seat at full load still
/// leaves that. The preset's 7 psig with 3 psi of sag lies between 9 and some 2 psig.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Changeover {
    /// Interstage gauge pressure under which the reserve side begins to feed \[Pa\].
    pub reserve_set_pa: f64,
    /// Fall below that at which the reserve seat is fully open \[Pa\].
    pub reserve_span_pa: f64,
    /// Full area of the reserve seat \[m²\].
    pub reserve_m2: f64,
    /// Gauge pressure at the service side's inlet from which the indicator is all green \[Pa\].
    pub green_pa: f64,
    /// ... and down to which it is not yet all red \[Pa\].
    pub red_pa: f64,
}

impl Changeover {
    /// Area of the reserve seat at an interstage gauge pressure \[m²\].
    pub fn area_m2(&self, interstage_pa: f64) -> f64 {
        self.reserve_m2
            * ((self.reserve_set_pa - interstage_pa) / self.reserve_span_pa).clamp(0.0, 1.0)
    }

    /// How much red the indicator shows, 0 to 1: a piston that the service side's inlet pushes against a
    /// spring (practice). It knows of no flow: it tells that the service side gives no pressure, whether
    /// empty, shut or starved, and so that the reserve is what feeds.
    pub fn red(&self, service_inlet_pa: f64) -> f64 {
        ((self.green_pa - service_inlet_pa) / (self.green_pa - self.red_pa)).clamp(0.0, 1.0)
    }
}
