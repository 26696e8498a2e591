//! Liquid that has passed the first seat: where it stands, how it boils, who pays for it, and how it gets
//! past the second seat in slugs.
//!
//! ```text
//! seat 1 -> flashes to T_sat(p1) -> pool in the first body --slug--> seat 2 -> flashes to T_b
//!        -> pool on the second chamber's floor -> spreads into the line
//! x     = (h_l(T) - h_l(T_sat))/h_fg       share that flashes at once, out of the liquid's own heat
//! w_b   = U_p s(m/m_wet) (T_body - T_sat)/h_fg     boiled by the body, U_p as the chamber's floor is wide
//! w_l   = U_l A_l s(m_2) (T_air - T_sat)/h_fg      boiled by the line, which the air warms
//! ```
//!
//! What does not boil stays liquid and goes on to the next place. Liquid in the first body has the body's
//! temperature (both are one heat store), liquid on the low side the boiling point at one atmosphere.
//! Everything is carried as pure propane. Left out: vapour that condenses on a colder body, frost on the
//! line, liquid that reaches a burner. Here are the laws; what a store gains is in [`super::rates()`].

use super::state::RigState;
use super::{Body, Rig};
use crate::physics::contact::{positive_part, smoothstep};
use crate::physics::fuel::{self, Species};
use std::f64::consts::PI;

/// Boiling point of propane at one atmosphere \[K\] (published): of all liquid on the low side.
pub const LOW_SIDE_K: f64 = 231.04;
/// A slug has left the body when the pool has sunk to this share of where it began (own).
const SLUG_LEAVES: f64 = 0.7;
/// Time in which a slug forms and breaks up \[s\] (derived: some 4 cm of passage of 3 mm at the 1.5 m/s of
/// 6 g/s of liquid).
const SLUG_S: f64 = 0.03;
/// How sharply it does, as a share of the fall of the pool's level in between.
const SLUG_ROUNDING: f64 = 0.2;
/// Share of the passage that must be bridged before liquid is at the second seat, and at which it is
/// there as much as ever.
const BRIDGED: (f64, f64) = (0.3, 0.9);
/// Liquid by volume in a slug (own: froth, not clear liquid).
const IN_A_SLUG: f64 = 0.8;
/// Liquid on the second chamber's floor that begins to run into the line, and further liquid that wets all
/// of it: a film of a fifth of a millimetre \[kg\] (own).
const LINE_KG: (f64, f64) = (5e-3, 60e-3);
/// Heat from the air to a wet line on its inner wall \[W/(m² K)\] (practice: still air and radiation).
const LINE_W_PER_M2_K: f64 = 10.0;
/// Over which temperature differences are smoothed to exactly zero \[K\], and enthalpies \[J/kg\].
const ROUNDING_K: f64 = 0.5;
const ROUNDING_J_PER_KG: f64 = 1e3;

/// Liquid past the first seat at one instant: what boils where, and what that takes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Wet {
    /// Vapour made in the first chamber \[kg/s\].
    pub first_kg_per_s: f64,
    /// ... in the second chamber \[kg/s\].
    pub second_kg_per_s: f64,
    /// ... in the line \[kg/s\].
    pub line_kg_per_s: f64,
    /// Heat that this takes from body and pool \[W\].
    pub body_w: f64,
    /// Heat that it takes from the air through the line \[W\].
    pub line_w: f64,
    /// Enthalpy that leaves with the vapour, liquid at 0 °C counted as 0 \[W\].
    pub carried_w: f64,
}

/// Enthalpy of liquid propane, counted from 0 °C \[J/kg\].
pub fn liquid_j_per_kg(t_k: f64) -> f64 {
    fuel::liquid_enthalpy_j_per_mol(Species::Propane, t_k).0
        / Species::Propane.molar_mass_kg_per_mol()
}

/// Its rise with temperature \[J/(kg K)\].
pub fn liquid_j_per_kg_k(t_k: f64) -> f64 {
    fuel::liquid_enthalpy_j_per_mol(Species::Propane, t_k).1
        / Species::Propane.molar_mass_kg_per_mol()
}

/// Heat to boil a kilogram of propane \[J/kg\].
fn latent_j_per_kg(t_k: f64) -> f64 {
    fuel::latent_heat_j_per_mol(Species::Propane, t_k) / Species::Propane.molar_mass_kg_per_mol()
}

/// Share of liquid by volume that a slug brings to the second seat, by how far it bridges the passage.
pub fn at_the_second_seat(slug: f64) -> f64 {
    IN_A_SLUG * smoothstep(slug, BRIDGED.0, BRIDGED.1)
}

/// Rate at which the passage between the stages is bridged \[1/s\]: a slug begins when the pool stands at the
/// passage and lasts until the gas blows through under it,
///
/// `s' = (S(u) - s)/tau`, `u = (m - m_on)/(m_on - m_off) + s`, S from 0 at u = 0 to 1 a little later (own).
///
/// One place of rest below `m_on`, one above `m_off`, none that a slug could settle half-way at: what
/// happens in any low point of a line (slug flow behind a low point: published, the two-level form is ours).
pub fn slug_rate(body: &Body, pool_kg: f64, slug: f64) -> f64 {
    let fall_kg = (1.0 - SLUG_LEAVES) * body.pool_overflow_kg;
    let level = (pool_kg - body.pool_overflow_kg) / fall_kg + slug;
    (smoothstep(level, 0.0, SLUG_ROUNDING) - slug) / SLUG_S
}

/// Heat from the air to the whole line when it is wet inside \[W/K\].
fn line_w_per_k(rig: &Rig) -> f64 {
    let pipes = rig.appliances.iter().map(|a| &a.branch);
    let metres = pipes.chain([&rig.piping.main]);
    LINE_W_PER_M2_K * metres.map(|p| PI * p.bore_m * p.length_m).sum::<f64>()
}

impl Wet {
    /// What boils in the first chamber, of `liquid_kg_per_s` that comes at `liquid_k` and of the pool.
    pub fn in_the_first(
        &mut self,
        body: &Body,
        s: &RigState,
        liquid_kg_per_s: f64,
        liquid_k: f64,
        chamber_pa: f64,
    ) {
        *self = Self::default();
        let coming = liquid_kg_per_s.max(0.0);
        if coming <= 0.0 && s.pool_kg <= 0.0 {
            return;
        }
        let boiling_k = fuel::saturation_temperature_k(Species::Propane, chamber_pa);
        let latent = latent_j_per_kg(boiling_k);
        let vapour_j = liquid_j_per_kg(boiling_k) + latent;
        let brought = liquid_j_per_kg(liquid_k);
        let spare = positive_part(brought - liquid_j_per_kg(boiling_k), ROUNDING_J_PER_KG);
        let flash = coming * (spare / latent).min(1.0);
        let wetted = smoothstep(s.pool_kg, 0.0, body.pool_wet_kg);
        let over_k = positive_part(s.body_k - boiling_k, ROUNDING_K);
        // What the pool holds above its boiling point it brings along itself.
        let each = (vapour_j - liquid_j_per_kg(s.body_k)).max(0.2 * latent);
        self.first_kg_per_s = flash + body.pool_w_per_k * wetted * over_k / each;
        self.carried_w = self.first_kg_per_s * vapour_j;
        self.body_w = self.first_kg_per_s * (vapour_j - liquid_j_per_kg(s.body_k))
            - coming * (brought - liquid_j_per_kg(s.body_k));
    }

    /// What boils on the low side, of `slug_kg_per_s` that comes past the second seat and of what stands there.
    pub fn on_the_low_side(
        &mut self,
        rig: &Rig,
        s: &RigState,
        slug_kg_per_s: f64,
        outlet_pa: f64,
        air_k: f64,
    ) {
        let coming = slug_kg_per_s.max(0.0);
        if coming <= 0.0 && s.low_pool_kg <= 0.0 {
            return;
        }
        let (body, latent) = (&rig.body, latent_j_per_kg(LOW_SIDE_K));
        let brought = liquid_j_per_kg(s.body_k) - liquid_j_per_kg(LOW_SIDE_K);
        let flash = coming * (positive_part(brought, ROUNDING_J_PER_KG) / latent).min(1.0);
        let boiling_k = fuel::saturation_temperature_k(Species::Propane, outlet_pa);
        let over = |k: f64| positive_part(k - boiling_k, ROUNDING_K);
        let wetted = smoothstep(s.low_pool_kg, 0.0, body.pool_wet_kg);
        // The wider chamber gives the more.
        let wider = rig.second.area_m2 / rig.first.area_m2;
        let boiled_w = wider * body.pool_w_per_k * wetted * over(s.body_k);
        let spread = smoothstep(s.low_pool_kg, LINE_KG.0, LINE_KG.0 + LINE_KG.1);
        if spread > 0.0 {
            self.line_w = line_w_per_k(rig) * spread * over(air_k);
        }
        self.second_kg_per_s = flash + boiled_w / latent;
        self.line_kg_per_s = self.line_w / latent;
        self.body_w += self.second_kg_per_s * latent - coming * brought;
        self.carried_w +=
            (self.second_kg_per_s + self.line_kg_per_s) * (liquid_j_per_kg(LOW_SIDE_K) + latent);
    }
}
