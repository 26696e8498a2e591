//! The limits the trade works to, each with the grade of its source, and the one correction that
//! trapped gas needs.

pub use crate::fault::Grade;
use crate::physics::fuel::{Species, saturation_pressure_pa};
use crate::rig::Rig;
use serde::Serialize;

/// One limit: a band that a reading is held against.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limit {
    /// What is limited.
    pub what: &'static str,
    /// Lowest value that passes, SI.
    pub low: f64,
    /// Highest value that passes, SI.
    pub high: f64,
    /// Grade of the source.
    pub grade: Grade,
    /// The source in words.
    pub source: &'static str,
}

/// All limits used by the tests.
pub struct Limits {
    /// Flow pressure at about half load \[Pa\].
    pub flow: Limit,
    /// Fall from half to full load: pass \[Pa\].
    pub fall: Limit,
    /// ... caution.
    pub fall_caution: Limit,
    /// Lock-up: pass \[Pa\].
    pub lock_up: Limit,
    /// ... caution.
    pub lock_up_caution: Limit,
    /// Rise from flow to lock-up in a healthy regulator \[Pa\].
    pub rise: Limit,
    /// Climb of a lock-up after its first minute \[Pa\].
    pub creep: Limit,
    /// Outlet under any load \[Pa\].
    pub under_load: Limit,
    /// From the outlet to the manifold at full load: pass \[Pa\].
    pub pipe_drop: Limit,
    /// ... caution.
    pub pipe_drop_caution: Limit,
    /// What a burner takes over its rating plate, or under it: pass \[share\].
    pub over_plate: Limit,
    /// ... caution, over it.
    pub over_plate_caution: Limit,
    /// Difference of the same load from above and from below \[Pa\].
    pub band: Limit,
    /// Change during the leak check, corrected for temperature \[Pa\].
    pub leak: Limit,
    /// Pressure to bleed to before it \[Pa\].
    pub leak_start: Limit,
    /// First stage at rest and under load \[Pa\].
    pub first: Limit,
    /// First stage with gas flowing: under it it is watched \[Pa\].
    pub first_weak: Limit,
    /// Manifold under load \[Pa\].
    pub manifold: Limit,
    /// Inlet of the regulator with gas flowing: under it it is watched \[Pa\].
    pub inlet_least: Limit,
    /// Container's own pressure: the ends are of the day ([`propane_gives_pa`]).
    pub weather: Limit,
    /// Container's own pressure at its own temperature: the end is of the moment ([`propane_gives_at_most_pa`]).
    pub own_warmth: Limit,
    /// What a burner takes under its rating plate: so much less fails \[share\].
    pub under_plate: Limit,
    /// First stage at rest: above it the seat leaks \[Pa\].
    pub first_rest: Limit,
    /// Fall of the regulator's inlet from rest to flow \[Pa\].
    pub inlet_fall: Limit,
    /// First stage: above it nothing is lit \[Pa\].
    pub first_danger: Limit,
    /// Most the relief may let the outlet rise to \[Pa\].
    pub relief: Limit,
    /// Low side: above it nothing that needs gas is done any more \[Pa\].
    pub far_over: Limit,
    /// Fill of a container, its liquid at 40 °F: pass.
    pub fill: Limit,
    /// ... caution: more leaves no room on the hottest day.
    pub fill_caution: Limit,
    /// ... and so little is watched.
    pub fill_least: Limit,
    /// Drop in the test of new piping \[Pa\].
    pub new_piping: Limit,
}

const fn limit(
    what: &'static str,
    low: f64,
    high: f64,
    grade: Grade,
    source: &'static str,
) -> Limit {
    Limit {
        what,
        low,
        high,
        grade,
        source,
    }
}

/// One in w.c. in Pa, for constants.
const INWC: f64 = crate::units::PA_PER_INWC;
/// One psi in Pa, for constants.
const PSI: f64 = crate::units::PA_PER_PSI;

/// The limits.
pub static LIMITS: Limits = Limits {
    flow: limit(
        "flow pressure at about half load",
        10.5 * INWC,
        11.5 * INWC,
        Grade::Practice,
        "11.0 ± 0.5 in w.c.",
    ),
    fall: limit(
        "fall from half to full load",
        f64::NEG_INFINITY,
        0.5 * INWC,
        Grade::Practice,
        "no more than 0.5 to 1 in w.c.",
    ),
    fall_caution: limit(
        "fall from half to full load",
        f64::NEG_INFINITY,
        INWC,
        Grade::Practice,
        "no more than 0.5 to 1 in w.c.",
    ),
    lock_up: limit(
        "lock-up",
        0.0,
        13.2 * INWC,
        Grade::Practice,
        "120 % of the set pressure",
    ),
    lock_up_caution: limit(
        "lock-up",
        0.0,
        14.0 * INWC,
        Grade::Code,
        "UL 144-2002 and, for manufactured homes, 24 CFR 3280.704: never above 14.0 in w.c. into the piping; recreational vehicles \
         come under NFPA 1192 (from memory), and the trade keeps the same number on them",
    ),
    rise: limit(
        "rise from flow pressure to lock-up",
        0.0,
        1.5 * INWC,
        Grade::Practice,
        "a healthy regulator locks up 0.5 to 1.5 in w.c. above flow pressure",
    ),
    creep: limit(
        "climb of a lock-up after its first minute",
        f64::NEG_INFINITY,
        0.15 * INWC,
        Grade::Practice,
        "no steady climb; one division of the manometer and a half",
    ),
    under_load: limit(
        "outlet under load",
        9.5 * INWC,
        14.0 * INWC,
        Grade::Derived,
        "the least flow pressure less the largest fall, and never above 14.0 in w.c. into a vehicle's piping",
    ),
    pipe_drop: limit(
        "drop from outlet to manifold at full load",
        f64::NEG_INFINITY,
        0.5 * INWC,
        Grade::Code,
        "2018 IFGC 402.4, the code of buildings, whose number the trade keeps on vehicles: low-pressure piping is sized for a drop of \
         0.5 in w.c.",
    ),
    pipe_drop_caution: limit(
        "drop from outlet to manifold at full load",
        f64::NEG_INFINITY,
        INWC,
        Grade::Practice,
        "twice what the piping is sized for is looked into",
    ),
    over_plate: limit(
        "input against the rating plate",
        -0.1,
        0.05,
        Grade::Practice,
        "a burner is not fired over its plate, and a twentieth is what clocking it leaves open; one that takes \
         a tenth less is starved",
    ),
    over_plate_caution: limit(
        "input over the rating plate",
        f64::NEG_INFINITY,
        0.1,
        Grade::Practice,
        "an input a tenth over the plate is put right before the burner is used",
    ),
    band: limit(
        "difference of the same load from above and from below",
        -0.3 * INWC,
        0.3 * INWC,
        Grade::Practice,
        "a clean regulator comes back to the same pressure",
    ),
    leak: limit(
        "change in the leak check",
        -0.1 * INWC,
        0.1 * INWC,
        Grade::Code,
        "La. Admin. Code 55 IX-175: no gain, no loss in 3 min; one division of the manometer",
    ),
    leak_start: limit(
        "pressure at the start of the leak check",
        8.5 * INWC,
        9.5 * INWC,
        Grade::Code,
        "La. Admin. Code 55 IX-175: 9 ± 0.5 in w.c. (8 in w.c. on vehicles by common practice)",
    ),
    first: limit(
        "first-stage pressure",
        2.0 * PSI,
        13.0 * PSI,
        Grade::Practice,
        "about 10 psig in use, over 13 psig it is set too high or its seat leaks; never under 2 psig (UL 144-2021)",
    ),
    first_weak: limit(
        "first-stage pressure with gas flowing",
        7.0 * PSI,
        f64::INFINITY,
        Grade::Practice,
        "about 10 psig in use; one that stands under 7 is set too low, worn, starved or icing, and is looked into",
    ),
    manifold: limit(
        "manifold under load",
        9.0 * INWC,
        14.0 * INWC,
        Grade::Derived,
        "the least outlet under load less the drop that piping is sized for, and never above 14.0 in w.c. into a vehicle's piping",
    ),
    inlet_least: limit(
        "inlet with gas flowing",
        15.0 * PSI,
        f64::INFINITY,
        Grade::Practice,
        "a regulator of two stages needs its first stage's 10 psi and what its seat and screen take",
    ),
    weather: limit(
        "pressure of a container at rest",
        0.0,
        0.0,
        Grade::Derived,
        "what propane gives at the temperature of this air, from three quarters of it up to what it gives in a container that the sun \
         has warmed by 45 °F: under it the container is colder than the air, nearly empty or filled with another fuel, over it with air or \
         another fuel",
    ),
    own_warmth: limit(
        "pressure of a container at its own temperature",
        0.0,
        0.0,
        Grade::Memory,
        "commercial propane gives no more than 208 psig at 100 °F (ASTM D1835, from memory), 18 % over pure propane; the same share at the \
         temperature of the container, and what a gauge and a thermometer err by: over it there is air or another fuel in it, or a gauge errs",
    ),
    under_plate: limit(
        "input under the rating plate",
        -0.3,
        f64::INFINITY,
        Grade::Practice,
        "a burner that takes a third less burns back or goes out, and is put right before it is used",
    ),
    first_rest: limit(
        "first-stage pressure at rest",
        2.0 * PSI,
        13.0 * PSI,
        Grade::Practice,
        "over 13 psig soon after gas was drawn the first seat leaks. Gas that stays shut in reads more by itself as it warms, or as \
         the vehicle climbs, and then says nothing of the seat: bleed a little, let it lock up again, read again",
    ),
    inlet_fall: limit(
        "fall of the inlet from rest",
        f64::NEG_INFINITY,
        10.0 * PSI,
        Grade::Practice,
        "an open supply hardly falls; over 10 psi something is in the way before the regulator",
    ),
    first_danger: limit(
        "first-stage pressure",
        f64::NEG_INFINITY,
        25.0 * PSI,
        Grade::Practice,
        "over 25 psig container pressure reaches parts made for 10, and nothing is lit",
    ),
    relief: limit(
        "outlet with the relief discharging",
        0.0,
        2.0 * PSI,
        Grade::Code,
        "UL 144-2021 6.9, type II: at or under 2 psig",
    ),
    fill: limit(
        "fill of the container",
        0.0,
        0.80,
        Grade::Code,
        "NFPA 58 (memory): no more propane than 42 % of the water capacity by weight, which is 80 % of the volume with the liquid at 40 °F",
    ),
    fill_least: limit(
        "fill of the container",
        0.05,
        f64::INFINITY,
        Grade::Practice,
        "under a twentieth there is little gas left: under load it holds for minutes only, and an empty one lets air in",
    ),
    fill_caution: limit(
        "fill of the container",
        0.0,
        0.83,
        Grade::Derived,
        "what takes 83 % of the volume at 40 °F leaves no room for gas at 130 °F",
    ),
    far_over: limit(
        "pressure of the low side",
        f64::NEG_INFINITY,
        18.0 * INWC,
        Grade::Practice,
        "far over 14.0 in w.c. the container is shut before anything else is done",
    ),
    new_piping: limit(
        "drop in 15 min from 10 psi of air",
        -0.1 * PSI,
        0.1 * PSI,
        Grade::Code,
        "WAC 296-150V-1450: no drop; one division of the gauge",
    ),
};

/// A container that gives less than this share of what propane gives at the air's temperature is colder than the air, nearly
/// empty or filled with another fuel (own).
pub const FULL_SHARE: f64 = 0.75;
/// By how much the sun warms a container over the air at most \[K\] (own: a dark wall on a still day).
pub const SUN_K: f64 = 25.0;

/// What commercial propane gives at most beside pure propane, both absolute (208 psig at 100 °F by ASTM D1835, from memory, against the
/// 174 that pure propane gives there by its published vapour pressure).
pub const COMMERCIAL_SHARE: f64 = 1.18;

/// What the propane that is sold gives at most at a temperature \[Pa, gauge\].
pub fn propane_gives_at_most_pa(temperature_k: f64, ambient_pa: f64) -> f64 {
    COMMERCIAL_SHARE * saturation_pressure_pa(Species::Propane, temperature_k) - ambient_pa
}

/// Whether a low side that reads so forbids every flame: one rule for the bench, which lights nothing then, and for what is offered after
/// readings. What the gauge shows decides, and nothing is taken off for what it may err by: it may err to either side.
pub fn forbids_flames(low_side_pa: f64) -> bool {
    LIMITS.lock_up_caution.is_passed_by(low_side_pa)
}

/// What propane gives at a temperature \[Pa, gauge\].
pub fn propane_gives_pa(temperature_k: f64, ambient_pa: f64) -> f64 {
    saturation_pressure_pa(Species::Propane, temperature_k) - ambient_pa
}

/// Gauge pressure gained per kelvin by gas trapped in a rigid space \[Pa/K\]: dp/dT = p/T.
///
/// Derived from the gas law at constant volume and amount. At 9 in w.c., sea level and 60 °F it is
/// 0.80 in w.c. per °F: a leak check in changing weather must be corrected by it.
pub fn trapped_gas_pa_per_k(gauge_pa: f64, ambient_pa: f64, temperature_k: f64) -> f64 {
    (gauge_pa + ambient_pa) / temperature_k
}

/// Share of the correction that is left when the second diaphragm floats between its stops and
/// takes up the change, 0 to 1; 1 when it lies on its stop and the space is rigid.
///
/// Derived: a diaphragm of area A on springs k gives A²/k of volume per pressure, as much as
/// p A²/k of pipe more: V/(V + p A²/k), V all gas from the shut container valve to the burners.
pub fn rigid_share(rig: &Rig, gauge_pa: f64, ambient_pa: f64, temperature_k: f64) -> f64 {
    let stage = &rig.second;
    let push_n = gauge_pa * stage.area_m2;
    let free = push_n > stage.spring_force_n(0.0, temperature_k)
        && push_n < stage.spring_force_n(stage.touch_rise_m, temperature_k);
    if !free {
        return 1.0;
    }
    let rate = stage.spring_n_per_m + stage.rubber_rate_n_per_m(temperature_k);
    let gives_m3 = (gauge_pa + ambient_pa) * stage.area_m2 * stage.area_m2 / rate;
    // With every container shut the gauge stands far under the set of either side's seat: all are open.
    let pigtails_m3: f64 = rig
        .containers
        .iter()
        .map(|c| c.supply.pigtail_volume_m3)
        .sum();
    let pipe_m3 = rig.piping.manifold_m3 + stage.chamber_m3 + rig.first.chamber_m3 + pigtails_m3;
    pipe_m3 / (pipe_m3 + gives_m3)
}

/// A difference of two readings is off by less than this for what their sum is kept in \[SI\]: a drop from 12.7 to 12.2 is 0.5.
const SUMS: f64 = 1e-6;

impl Limit {
    /// Whether a value passes. The numbers themselves do: a limit is the last value that is still right (own: no instrument
    /// shows the difference, and the trade says "up to" and "over").
    pub fn holds(&self, value: f64) -> bool {
        (self.low - SUMS..=self.high + SUMS).contains(&value)
    }

    /// Whether a value is under it; the number itself is not, as for `holds`.
    pub fn is_missed_by(&self, value: f64) -> bool {
        value < self.low - SUMS
    }

    /// Whether a value is over it; the number itself is not, as for `holds`.
    pub fn is_passed_by(&self, value: f64) -> bool {
        value > self.high + SUMS
    }
}
