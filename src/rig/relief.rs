//! The relief in a diaphragm: the plate lifts off the head of its hollow stem, which is held down by
//! the seat it presses shut. Pure functions; what flows through the gap is the stage's affair.
//!
//! ```text
//!           relief spring F0 + k_r y      holds the plate down on the head of the stem
//!   plate   p A = F_main(x) + T           T: force that the plate passes on to the stem
//!   stem    T = (F_seat + F_jet)/L        held by the seat, or by its collar when the lever is off
//!   gap     k_r y = T - F0, never under 0
//! ```
//!
//! So it starts where `p A = F_main(x) + F0`: against main **and** relief spring together (practice).
//! A screw turned in lifts the start, a weak main spring lowers it, and a seat that yields lets the
//! plate rise, and the main spring press harder, before it starts. Assumptions: the stem has no mass
//! of its own, and the head's own area (a hundredth of the diaphragm's) is neglected. Range: any.

use crate::physics::{contact, flow};
use serde::Serialize;

/// Half width of the gap's soft start \[m\]: its rubber lets go of the rim bit by bit (own).
const ROUNDING_M: f64 = 45e-6;
/// Half width of force over which a stem dragged by more than the relief spring leaves the plate \[N\].
const DRAG_ROUNDING_N: f64 = 0.01;

/// The relief valve in a diaphragm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Relief {
    /// Force with which its spring holds the plate down on the stem, F0 \[N\].
    pub preload_n: f64,
    /// Rate of that spring, `k_r` \[N/m\].
    pub spring_n_per_m: f64,
    /// Bore of the hole in the plate \[m\].
    pub bore_m: f64,
    /// Area that never closes (a weeping relief) \[m²\].
    pub weep_m2: f64,
    /// Whether the plate can leave the stem at all (stuck shut if not).
    pub free: bool,
}

/// How plate and stem stand to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parting {
    /// Gap between plate and stem, y \[m\].
    pub gap_m: f64,
    /// Rise of the plate past the place where the gap opens \[m\], negative before.
    pub past_m: f64,
    /// Share of the plate's speed with which the stem follows: 1 while they are one.
    pub follows: f64,
}

impl Parting {
    /// Plate and stem are one.
    pub const NONE: Self = Self {
        gap_m: 0.0,
        past_m: -1.0,
        follows: 1.0,
    };
}

impl Relief {
    /// Gap at a rise of the plate over the place where the stem meets its support.
    ///
    /// * `over_m` u: that rise \[m\]; negative before the stem meets anything.
    /// * `drag_n` D: force that pulls the stem towards open wherever it stands (the jet on the seat
    ///   over the lever ratio) \[N\].
    /// * `support_n_per_m` K: stiffness of what holds the stem, as felt at the plate \[N/m\].
    ///
    /// With T = D + K (u - y) and `k_r` y = T - F0 the gap opens at u = (F0 - D)/K and grows with
    /// K/(K + `k_r`) of the plate's rise. Where D alone is more than F0 it hangs open by
    /// (D - F0)/`k_r` wherever the plate stands. C1: a parabola over the first 2 `ROUNDING_M` of rise,
    /// so that it does not tremble at its start; exactly 0 before.
    #[must_use]
    pub fn parting(&self, over_m: f64, drag_n: f64, support_n_per_m: f64) -> Parting {
        if !self.free {
            return Parting::NONE;
        }
        let dragged_n = contact::positive_part(drag_n - self.preload_n, DRAG_ROUNDING_N);
        let held_n = dragged_n - (drag_n - self.preload_n);
        let hangs_m = dragged_n / self.spring_n_per_m;
        let past_m = over_m - hangs_m - held_n / support_n_per_m;
        let share = support_n_per_m / (support_n_per_m + self.spring_n_per_m);
        let lifts_m = contact::positive_part(past_m - ROUNDING_M, ROUNDING_M);
        let slope = contact::positive_part_slope(past_m - ROUNDING_M, ROUNDING_M);
        Parting {
            gap_m: hangs_m + share * lifts_m,
            past_m,
            follows: 1.0 - share * slope,
        }
    }

    /// Open area \[m²\] at a gap: the curtain round the hole's rim and the hole in series, and what
    /// never closes.
    #[must_use]
    pub fn area_m2(&self, gap_m: f64) -> f64 {
        self.weep_m2 + flow::curtain_bore_area(self.bore_m, gap_m)
    }
}
