//! Heat: container shapes and wetted area, surface coefficients, throttling chill, ice.
//!
//! Not here: the balance itself (the rig's).

use std::f64::consts::{PI, TAU};

use super::contact::smoothstep;
use super::flow::circle_area_m2;
use super::{REFERENCE_TEMPERATURE_K, WATER_FREEZING_K};

/// Surface coefficient of an upright cylinder in still air on its wetted wall and bottom, W/(m2 K).
///
/// Fitted to the trade's 100-lb cylinder table (practice).
pub const UPRIGHT_W_PER_M2_K: f64 = 11.1;

/// Surface coefficient of a horizontal tank in the open on its wetted shell, W/(m2 K).
///
/// Fitted to the trade's D x L x K rule (practice); heads are not counted, as in the rule.
pub const HORIZONTAL_W_PER_M2_K: f64 = 19.0;

/// Surface coefficient of steel with nothing wet behind it, still air and radiation, W/(m2 K) (practice: 5 to 8).
const DRY_W_PER_M2_K: f64 = 6.0;

/// Fill from which dry steel counts for nothing: its warmth reaches liquid along a hand's breadth of wall, which stands in
/// what was fitted to tables. Under it the steel itself is what is warmed (own).
const DRYING_FILL: f64 = 0.05;

/// Shape of a container, inside measures. Ends are flat.
///
/// A real cylinder has dished ends and a collar: use [`Shape::upright_of_volume`] so that the water capacity
/// is right.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub enum Shape {
    /// Standing cylinder.
    Upright {
        /// Inside diameter, m.
        diameter_m: f64,
        /// Height of the flat-ended cylinder of the same volume, m.
        height_m: f64,
    },
    /// Lying cylinder.
    Horizontal {
        /// Inside diameter, m.
        diameter_m: f64,
        /// Length of the flat-ended cylinder of the same volume, m.
        length_m: f64,
    },
}

/// Fill under which the wetted area goes to zero in proportion instead of jumping.
const THIN_FILL: f64 = 0.002;

impl Shape {
    /// Upright container of this diameter and water capacity.
    pub fn upright_of_volume(diameter_m: f64, volume_m3: f64) -> Self {
        Self::Upright {
            diameter_m,
            height_m: volume_m3 / circle_area_m2(diameter_m),
        }
    }

    /// Inside diameter, and height or length, m.
    fn measures_m(&self) -> (f64, f64) {
        match *self {
            Self::Upright {
                diameter_m,
                height_m: extent_m,
            }
            | Self::Horizontal {
                diameter_m,
                length_m: extent_m,
            } => (diameter_m, extent_m),
        }
    }

    /// Inside volume (water capacity), m3.
    pub fn volume_m3(&self) -> f64 {
        let (diameter_m, extent_m) = self.measures_m();
        circle_area_m2(diameter_m) * extent_m
    }

    /// Wall that liquid wets and that takes up heat, m2, for a volume of liquid (held to 0 ... full).
    ///
    /// Upright: side wall up to the level, and the bottom. Lying: shell under the level, without the heads.
    /// Continuous, 0 when empty: the last 0.2 % of fill dries in proportion.
    pub fn wetted_area_m2(&self, liquid_volume_m3: f64) -> f64 {
        let fill = (liquid_volume_m3 / self.volume_m3()).clamp(0.0, 1.0);
        match *self {
            Self::Upright {
                diameter_m,
                height_m,
            } => {
                let bottom = circle_area_m2(diameter_m) * smoothstep(fill, 0.0, THIN_FILL);
                bottom + PI * diameter_m * height_m * fill
            }
            Self::Horizontal {
                diameter_m,
                length_m,
            } => {
                let share = if fill < THIN_FILL {
                    wetted_arc(THIN_FILL) * fill / THIN_FILL
                } else {
                    wetted_arc(fill)
                };
                share * PI * diameter_m * length_m
            }
        }
    }

    /// What dry steel takes up for each K that the air is warmer, W/K, for a volume of liquid: all of it in an empty container,
    /// nothing from a twentieth of fill on.
    pub fn dry_w_per_k(&self, liquid_volume_m3: f64) -> f64 {
        let fill = liquid_volume_m3 / self.volume_m3();
        if fill >= DRYING_FILL {
            return 0.0;
        }
        let (diameter_m, extent_m) = self.measures_m();
        let all_m2 = PI * diameter_m * extent_m + 2.0 * circle_area_m2(diameter_m);
        let dry_m2 = (all_m2 - self.wetted_area_m2(liquid_volume_m3)).max(0.0);
        DRY_W_PER_M2_K * dry_m2 * (1.0 - smoothstep(fill, 0.0, DRYING_FILL))
    }

    /// Surface coefficient of this kind of container on its wetted area, dry and in its usual air, W/(m2 K).
    pub fn surface_w_per_m2_k(&self) -> f64 {
        match self {
            Self::Upright { .. } => UPRIGHT_W_PER_M2_K,
            Self::Horizontal { .. } => HORIZONTAL_W_PER_M2_K,
        }
    }
}

/// Share of a lying cylinder's circumference under the level at a share `fill` of its volume.
///
/// Solves theta - sin theta = 2 pi fill for the wetted angle theta (exact geometry) by Newton.
fn wetted_arc(fill: f64) -> f64 {
    if fill > 0.5 {
        return 1.0 - wetted_arc(1.0 - fill);
    }
    if fill <= 0.0 {
        return 0.0;
    }
    // Inverse series of theta - sin theta = theta^3/6 - theta^5/120: good to 1 % at half full.
    let c = (6.0 * TAU * fill).cbrt();
    let mut theta = c * (1.0 + c * c / 60.0);
    for _ in 0..6 {
        let step = (theta - theta.sin() - TAU * fill) / (1.0 - theta.cos());
        theta -= step;
        // Newton squares the error: what is left after such a step is rounding.
        if step.abs() < 1e-8 {
            break;
        }
    }
    theta / TAU
}

/// Factor on the surface coefficient for weather: 1 calm and dry, 0.5 frosted, up to 2 wet and windy (practice).
///
/// * `wind_m_per_s`: half the gain of wind comes by 4 m/s.
/// * `wet_share`, `frost_share`: share of the wall under a water film or frost, 0 to 1.
pub fn exposure_factor(wind_m_per_s: f64, wet_share: f64, frost_share: f64) -> f64 {
    let wind = wind_m_per_s.max(0.0);
    let windy = 1.0 + 0.6 * wind / (wind + 4.0);
    let wet = 1.0 + 0.25 * wet_share.clamp(0.0, 1.0);
    let frosted = 1.0 - 0.5 * frost_share.clamp(0.0, 1.0);
    windy * wet * frosted
}

/// Joule-Thomson coefficient of propane vapour, K/Pa (positive: throttling chills).
///
/// Fitted to the reference equation of state (published): within 7 % everywhere from -38 to 62 C up to
/// saturation, within 1 % at 1 atm.
pub fn joule_thomson_k_per_pa(p_pa: f64, t_k: f64) -> f64 {
    // The powers (T0/T)^3.092 and (T0/T)^1.671 of the fit as their binomial series about T0: within 1e-4
    // from -40 to 80 C, and a fraction of the time, which is spent in every evaluation.
    let y = REFERENCE_TEMPERATURE_K / t_k - 1.0;
    let cold = 1.0 + y * (3.091_988 + y * (3.234_201 + y * (1.177_236 + y * 0.027_073)));
    let dense = 1.0 + y * (1.671_444 + y * (0.561_141 + y * -0.061_455));
    1.819_209e-5 * cold * (1.0 + 3.283_556e-7 * p_pa.max(0.0) * dense)
}

/// Chill of propane vapour throttled from `p_up_pa` at `t_k` to `p_down_pa`, K.
///
/// The coefficient is taken half way (explicit midpoint): 12.8 K from saturated 60 F to 10 psig. No
/// chill for `p_down_pa` >= `p_up_pa`.
pub fn throttle_chill_k(p_up_pa: f64, t_k: f64, p_down_pa: f64) -> f64 {
    let drop_pa = (p_up_pa - p_down_pa).max(0.0);
    let half_k = 0.5 * drop_pa * joule_thomson_k_per_pa(p_up_pa, t_k);
    // Never past half the absolute temperature, whatever is asked.
    let middle_k = (t_k - half_k).max(0.5 * t_k);
    drop_pa * joule_thomson_k_per_pa(p_up_pa - 0.5 * drop_pa, middle_k)
}

/// Share of the water in a stream that freezes out on a surface at `surface_k`: 0 at 0 C and above, 1
/// from `span_k` below it, C1 (our own law; use a span of a few K).
pub fn freezing_share(surface_k: f64, span_k: f64) -> f64 {
    smoothstep(WATER_FREEZING_K - surface_k, 0.0, span_k)
}

/// How far the dew point of open air lies under its temperature \[K\] (practice: 70 % humidity).
const DEW_POINT_BELOW_AIR_K: f64 = 5.0;

/// How far a surface is below what frosts over in open air, K; 0 where no frost grows. It must be
/// below 0 C and below the air's dew point, which at 70 % humidity lies 5 K under the air (derived from
/// the Magnus formula: 5.6 K at 20 C, 4.8 K at 0 C).
pub fn frost_depth_k(surface_k: f64, air_k: f64) -> f64 {
    (WATER_FREEZING_K.min(air_k - DEW_POINT_BELOW_AIR_K) - surface_k).max(0.0)
}
