//! One pressure-reducing stage: diaphragm, spring, lever, seat, spring case, vent, relief.
//!
//! Pure functions of parameters, a stage's state and its surroundings. Signs: `rise_m` is 0 at
//! the full-open stop and grows upwards, towards closed; forces are positive towards closed.
//!
//! ```text
//! m x'' = (p - p_b) A - F0 - k x - c x' - (F_seat + F_jet)/L - F_friction + F_stops - F_water - F_hand
//! h     = (x_c - x)/L        seat lift, x_c = rise at touch, L = lever ratio
//! F_jet = (p_up - p) A_bore  upstream gas pushes the seat off its nozzle
//! ```
//!
//! Assumptions: one degree of freedom a stage, uniform pressure in each volume, gas at the
//! body's temperature, air at the spring case's. Range: any pressures from vacuum to 20 bar.

use super::readings::{DiaphragmForces, StageReadings};
use super::relief::{Parting, Relief};
use super::state::StageState;
use crate::physics::contact;
use crate::physics::damping::{self, AIR_GAMMA, Cold};
use crate::physics::flow::{self, Upstream};
use crate::physics::heat;
use crate::physics::{AIR_GAS_CONSTANT, AIR_MOLAR_MASS_KG_PER_MOL, GAS_CONSTANT, GRAVITY_M_PER_S2};
use serde::Serialize;

/// Discharge coefficient of tears and of the relief.
pub const HOLE: f64 = 0.7;
/// Speed over which break-away falls to sliding friction \[m/s\].
const STRIBECK_M_PER_S: f64 = 2e-3;
/// Below 0 °C water in and above a spring case is all ice after this many kelvin \[K\].
const ICING_SPAN_K: f64 = 2.0;
/// Density of water \[kg/m³\].
const WATER: f64 = 1000.0;
/// Speed at which guide friction lets go at rest \[m/s\]: with the bend of a healthy guide (20 µm)
/// friction fades over half an hour.
const CREEP_M_PER_S: f64 = 1e-8;
/// Half width over which seat lift is smoothed to exactly zero \[m\].
const LIFT_SMOOTHING_M: f64 = 2e-6;
/// Smallest gas volume a spring case is allowed, as a share of its nominal one.
const CASE_FLOOR: f64 = 0.05;
/// With the lever off, the stem rises to a collar so much seat travel beyond touch \[m\].
const COLLAR_M: f64 = 0.5e-3;
/// No spring presses a diaphragm deeper into its stop \[m\]; and how often its place there is halved.
const DEEPEST_M: f64 = 1e-3;
const HALVES: usize = 60;
/// Damping of the mechanical stops \[s/m\].
const STOP_DAMPING_S_PER_M: f64 = 5.0;
/// Laminar flow per square root of seat area \[kg/s/m\]: Reynolds number about 100 in a round hole.
const SEAT_LAMINAR: f64 = 7e-4;

/// A breather or vent hole: `dp = a w + b w|w|` with a = `laminar`/A², b = `turbulent`/A².
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Vent {
    /// Area of the free hole \[m²\].
    pub area_m2: f64,
    /// Share of it that is open, 0 (sealed) to 1.
    pub open: f64,
    /// Laminar coefficient \[Pa s m⁴/kg\].
    pub laminar: f64,
    /// Turbulent coefficient \[m⁴ Pa s²/kg²\], 1/(2 rho Cd²).
    pub turbulent: f64,
    /// Outflow flap beside the breather hole, which opens for large flows.
    pub flap_m2: f64,
    /// Pressure inside at which the flap lifts \[Pa\].
    pub flap_start_pa: f64,
    /// Further pressure to open it fully \[Pa\].
    pub flap_span_pa: f64,
    /// Head of water that air must bubble through (a wet vent) \[Pa\].
    pub water_seal_pa: f64,
    /// Share of the open area that the water in it would close by freezing, 0 (dry) to 1.
    pub freezing_share: f64,
}

impl Vent {
    /// The vent as it stands at the spring case's temperature \[K\]: wet below 0 °C it is iced, with
    /// the ice complete 2 K lower ([`heat::freezing_share`]; an equilibrium law, so warmth heals it).
    #[must_use]
    pub fn at(&self, case_k: f64) -> Self {
        let ice = self.freezing_share * heat::freezing_share(case_k, ICING_SPAN_K);
        Self {
            open: self.open * (1.0 - ice),
            ..*self
        }
    }

    /// How far the flap is lifted, 0 to 1, by a pressure difference inside less outside \[Pa\].
    fn flap_lifted(&self, dp_pa: f64) -> f64 {
        ((dp_pa - self.flap_start_pa) / self.flap_span_pa).clamp(0.0, 1.0)
    }

    /// Share of the flap's area by which gas leaves, 0 to 1, with so much of the vent open: what bars the vent bars the flap
    /// too. Nothing where there is no flap.
    pub fn flap_open(&self, case_pa: f64, vent_open: f64) -> Option<f64> {
        let open = self.flap_lifted(case_pa) * vent_open.clamp(0.0, 1.0);
        (self.flap_m2 > 0.0).then_some(if open.is_finite() { open } else { 0.0 })
    }

    /// Flow out of the spring case \[kg/s\] at a pressure difference inside less outside \[Pa\].
    pub fn flow_kg_per_s(&self, dp_pa: f64) -> f64 {
        let flap = self.flap_m2 * self.flap_lifted(dp_pa);
        let area = (self.area_m2 + flap) * self.open;
        let driving = dp_pa - dp_pa.clamp(-self.water_seal_pa, self.water_seal_pa);
        if area <= 0.0 {
            return 0.0;
        }
        let square = area * area;
        flow::restriction_kg_per_s(driving, self.laminar / square, self.turbulent / square)
    }
}

/// Parameters of one stage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stage {
    /// Effective diaphragm area \[m²\].
    pub area_m2: f64,
    /// Moving mass \[kg\].
    pub mass_kg: f64,
    /// Spring force at the open stop: the adjusting screw \[N\].
    pub preload_n: f64,
    /// Rate of the adjusting spring \[N/m\].
    pub spring_n_per_m: f64,
    /// Travel of the adjusting screw per turn \[m\].
    pub screw_pitch_m: f64,
    /// Rate of the diaphragm's rubber at 20 °C \[N/m\].
    pub rubber_n_per_m: f64,
    /// Rise at which the rubber is at ease: it is moulded so that it pulls neither way near its
    /// working place \[m\].
    pub rubber_ease_m: f64,
    /// Hardening of the rubber by age or fuel, 1 when new.
    pub rubber_factor: f64,
    /// Loss factor of the rubber at 20 °C.
    pub rubber_loss: f64,
    /// Viscous damping beyond what rubber, air and gas do \[N s/m\].
    pub damping_n_s_per_m: f64,
    /// Guide and lever friction \[N\].
    pub friction_n: f64,
    /// Break-away over sliding friction, 1 for none.
    pub static_ratio: f64,
    /// Stiffness of the friction bristles \[N/m\].
    pub bristle_n_per_m: f64,
    /// Damping of the friction bristles while they bend, before they slide \[N s/m\].
    pub bristle_damping_n_s_per_m: f64,
    /// Diaphragm travel per seat travel.
    pub lever_ratio: f64,
    /// Whether the lever still holds the seat.
    pub linked: bool,
    /// Nozzle bore \[m\].
    pub bore_m: f64,
    /// Discharge coefficient of the nozzle.
    pub discharge: f64,
    /// Rise at which the seat just touches \[m\].
    pub touch_rise_m: f64,
    /// Stiffness of the seat rubber \[N/m\].
    pub seat_n_per_m: f64,
    /// Hunt-Crossley damping of the seat \[s/m\].
    pub seat_damping_s_per_m: f64,
    /// Leak area of the seat at touch \[m²\].
    pub seal_leak_m2: f64,
    /// Force that seals it \[N\].
    pub seal_force_n: f64,
    /// Leak area that no force closes: a channel across the rubber, deeper than it fills \[m²\].
    pub seal_channel_m2: f64,
    /// Lift that dirt or a lost disc leaves whatever the diaphragm does \[m\].
    pub held_lift_m: f64,
    /// Flow through the seat that carries off what holds it open \[kg/s\]; `None` when nothing is loose.
    pub loose_at_kg_per_s: Option<f64>,
    /// Chamber volume at the open stop \[m³\].
    pub chamber_m3: f64,
    /// Spring-case volume at the open stop \[m³\].
    pub case_m3: f64,
    /// Its volume over the area of its walls, which its air has its warmth from \[m\]; 0 if at once.
    pub case_wall_m: f64,
    /// Breather.
    pub vent: Vent,
    /// Relief, where the stage has one.
    pub relief: Option<Relief>,
    /// Tear or pinhole in the diaphragm \[m²\].
    pub tear_m2: f64,
    /// Depth of water standing on the diaphragm \[m\].
    pub water_m: f64,
    /// Friction that this water adds when frozen to plate and case, per depth \[N/m\].
    pub ice_bond_n_per_m: f64,
    /// Stiffness of the mechanical stops \[N/m\].
    pub stop_n_per_m: f64,
}

/// What surrounds a stage at one instant.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Around {
    /// Gas upstream of the seat.
    pub upstream: Upstream,
    /// Density of liquid upstream \[kg/m³\].
    pub liquid_kg_per_m3: f64,
    /// Share of liquid by volume upstream.
    pub liquid_share: f64,
    /// Gas constant of the fuel vapour \[J/kg K\].
    pub gas_j_per_kg_k: f64,
    /// Gas temperature in the chamber \[K\].
    pub gas_k: f64,
    /// Spring-case temperature \[K\].
    pub case_k: f64,
    /// Ambient absolute pressure \[Pa\].
    pub ambient_pa: f64,
    /// Share of the nozzle covered by ice.
    pub ice: f64,
    /// Friction multiplier from residue, 1 when clean.
    pub residue_factor: f64,
    /// Force of a finger that presses the diaphragm down \[N\].
    pub press_n: f64,
    /// Share of the vent that a thumb shuts.
    pub thumb: f64,
}

/// Everything one evaluation of a stage yields.
#[derive(Debug, Clone, Copy, Default)]
pub struct StageFlows {
    /// Absolute chamber pressure \[Pa\].
    pub chamber_pa: f64,
    /// Absolute spring-case pressure \[Pa\].
    pub case_pa: f64,
    /// Seat lift \[m\].
    pub lift_m: f64,
    /// Seat squeeze \[m\].
    pub squeeze_m: f64,
    /// Vapour through the seat \[kg/s\].
    pub seat_vapour_kg_per_s: f64,
    /// Liquid through the seat \[kg/s\].
    pub seat_liquid_kg_per_s: f64,
    /// Gas from chamber to spring case through a tear \[kg/s\].
    pub tear_kg_per_s: f64,
    /// Gas from chamber to spring case through the relief \[kg/s\].
    pub relief_kg_per_s: f64,
    /// Rise of the plate past the place where the relief opens \[m\], negative before.
    pub relief_past_m: f64,
    /// Out of the vent \[kg/s of air-like gas\].
    pub vent_kg_per_s: f64,
    /// Rate of change of the friction bristle \[m/s\].
    pub bristle_rate: f64,
    /// Rate of change of the density that the spring case's air has settled to \[mol/m³/s\].
    pub settling_rate: f64,
    /// Forces.
    pub forces: DiaphragmForces,
}

impl StageFlows {
    /// Vapour and liquid through the seat \[kg/s\].
    pub fn seat_kg_per_s(&self) -> f64 {
        self.seat_vapour_kg_per_s + self.seat_liquid_kg_per_s
    }
}

/// Flow through a seat, a tear or any such hole in a wall \[kg/s\].
pub fn hole_kg_per_s(area_m2: f64, discharge: f64, up: &Upstream, down_pa: f64) -> f64 {
    flow::nozzle_kg_per_s(
        area_m2,
        discharge,
        up,
        down_pa,
        SEAT_LAMINAR * area_m2.sqrt(),
    )
}

impl Stage {
    /// Rate of the rubber at a body temperature \[N/m\].
    pub fn rubber_rate_n_per_m(&self, temperature_k: f64) -> f64 {
        self.rubber_in_n_per_m(&damping::rubber(temperature_k))
    }

    fn rubber_in_n_per_m(&self, cold: &Cold) -> f64 {
        self.rubber_n_per_m * cold.stiffening * self.rubber_factor
    }

    /// Force of spring and rubber towards open at a rise \[N\].
    pub fn spring_force_n(&self, rise_m: f64, temperature_k: f64) -> f64 {
        self.spring_in_n(rise_m, self.rubber_rate_n_per_m(temperature_k))
    }

    fn spring_in_n(&self, rise_m: f64, rubber_n_per_m: f64) -> f64 {
        self.preload_n
            + self.spring_n_per_m * rise_m
            + rubber_n_per_m * (rise_m - self.rubber_ease_m)
    }

    /// Friction law of guide and lever, thickened by residue; ice above the diaphragm adds its bond.
    fn guide(&self, around: &Around) -> contact::Bristle {
        let bond = self.ice_bond_n_per_m * self.water_m;
        let ice = bond * heat::freezing_share(around.case_k, ICING_SPAN_K);
        let coulomb_n = self.friction_n * around.residue_factor + ice;
        // What sticks harder gives as little before it slides: the bend at which it does stays.
        let harder = if self.friction_n > 0.0 {
            coulomb_n / self.friction_n
        } else {
            1.0
        };
        contact::Bristle {
            coulomb_n,
            static_ratio: self.static_ratio,
            stribeck_m_per_s: STRIBECK_M_PER_S,
            stiffness_n_per_m: self.bristle_n_per_m * harder,
            damping_n_s_per_m: self.bristle_damping_n_s_per_m,
            creep_m_per_s: CREEP_M_PER_S,
        }
    }

    /// Area of the nozzle bore \[m²\].
    pub fn bore_m2(&self) -> f64 {
        flow::circle_area_m2(self.bore_m)
    }

    /// Chamber volume at a rise \[m³\].
    pub fn chamber_volume_m3(&self, rise_m: f64) -> f64 {
        (self.chamber_m3 + self.area_m2 * rise_m).max(self.chamber_m3 * CASE_FLOOR)
    }

    /// Air volume of the spring case at a rise \[m³\].
    pub fn case_volume_m3(&self, rise_m: f64) -> f64 {
        let water = self.water_m * self.area_m2;
        (self.case_m3 - water - self.area_m2 * rise_m).max(self.case_m3 * CASE_FLOOR)
    }

    /// Absolute pressure in the chamber holding `gas_kg` \[Pa\].
    pub fn chamber_pa(&self, state: &StageState, gas_j_per_kg_k: f64, gas_k: f64) -> f64 {
        state.gas_kg * gas_j_per_kg_k * gas_k / self.chamber_volume_m3(state.rise_m)
    }

    /// Absolute pressure in the spring case \[Pa\], its air warmed or cooled by being pressed together or let out faster
    /// than its walls take it up.
    pub fn case_pa(&self, state: &StageState, case_k: f64) -> f64 {
        let density = state.case_mol / self.case_volume_m3(state.rise_m);
        let warmth = if self.case_wall_m > 0.0 && state.case_settled > 0.0 {
            damping::warmed_by(density / state.case_settled)
        } else {
            1.0
        };
        density * GAS_CONSTANT * case_k * warmth
    }

    /// Rate of change of the density to which the spring case's air has settled \[mol/m³/s\].
    fn settling_rate(&self, state: &StageState) -> f64 {
        if self.case_wall_m <= 0.0 {
            return 0.0;
        }
        let density = state.case_mol / self.case_volume_m3(state.rise_m);
        (density - state.case_settled) / damping::gas_relaxation_s(self.case_wall_m)
    }

    /// Viscous damping of the moving parts \[N s/m\]: the rubber's hysteresis at the frequency of the stage on all its
    /// springs, those of gas shut in, where it is least.
    fn damping_n_s_per_m(&self, rise_m: f64, chamber_pa: f64, case_pa: f64, cold: &Cold) -> f64 {
        let rubber = self.rubber_in_n_per_m(cold);
        let loss = self.rubber_loss * cold.loss_growth;
        let gas = chamber_pa / self.chamber_volume_m3(rise_m)
            + AIR_GAMMA * case_pa / self.case_volume_m3(rise_m);
        let stiffness = self.spring_n_per_m + rubber + self.area_m2 * self.area_m2 * gas;
        let omega = (stiffness / self.mass_kg).max(0.0).sqrt();
        self.damping_n_s_per_m + damping::viscous_n_s_per_m(loss, rubber, omega)
    }

    /// Takes out what a burst of flow carries off the seat, if anything is loose there.
    pub fn flush(&mut self) {
        if self.loose_at_kg_per_s.take().is_some() {
            self.held_lift_m = 0.0;
        }
    }

    /// Makes a stage of the same build that no use has worn, torn, wetted or dirtied.
    pub fn renew(&mut self) {
        self.flush();
        (self.held_lift_m, self.seal_channel_m2) = (0.0, 0.0);
        (self.tear_m2, self.water_m) = (0.0, 0.0);
        if let Some(relief) = &mut self.relief {
            relief.weep_m2 = 0.0;
        }
    }

    /// Force of a mechanical stop on the moving parts \[N\]: one-sided, with dying bounce.
    fn stop_n(&self, rise_m: f64, speed_m_per_s: f64) -> f64 {
        // The upper stop stands one seat thickness (1.2 mm of seat travel) beyond touch.
        let top = self.touch_rise_m + 1.2e-3 * self.lever_ratio;
        self.stopped_n(-rise_m, -speed_m_per_s) - self.stopped_n(rise_m - top, speed_m_per_s)
    }

    /// Force of a stop on what has gone into it by a depth \[N\].
    fn stopped_n(&self, depth_m: f64, speed_m_per_s: f64) -> f64 {
        contact::contact_force_n(
            depth_m,
            speed_m_per_s,
            self.stop_n_per_m,
            STOP_DAMPING_S_PER_M,
        )
    }

    /// Where the diaphragm lies with the same air on both sides of it \[m\]: as deep in the open stop as its spring presses it.
    pub fn idle_rise_m(&self, temperature_k: f64) -> f64 {
        let open_n =
            |rise_m: f64| self.spring_force_n(rise_m, temperature_k) - self.stop_n(rise_m, 0.0);
        // The spring pushes more the higher it stands, and the stop the deeper: between them one place of rest.
        let (mut low, mut high) = (-DEEPEST_M, self.touch_rise_m);
        for _ in 0..HALVES {
            let middle = 0.5 * (low + high);
            if open_n(middle) > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }

    /// Rise of the stem over its collar \[m\]: what holds it when the lever is off.
    fn over_collar_m(&self, stem_m: f64) -> f64 {
        stem_m - self.touch_rise_m - COLLAR_M * self.lever_ratio
    }

    /// Where the plate stands off its stem, the relief between them: held down by the seat through
    /// the lever, or with the lever off by its collar.
    fn parting(&self, rise_m: f64, jet_n: f64) -> Parting {
        let Some(relief) = &self.relief else {
            return Parting::NONE;
        };
        if self.linked {
            let seat_n_per_m = self.seat_n_per_m / (self.lever_ratio * self.lever_ratio);
            relief.parting(
                rise_m - self.touch_rise_m,
                jet_n / self.lever_ratio,
                seat_n_per_m,
            )
        } else {
            relief.parting(self.over_collar_m(rise_m), 0.0, self.stop_n_per_m)
        }
    }

    /// Seat lift and squeeze \[m\] at a rise of the stem.
    fn seat_position(&self, stem_m: f64) -> (f64, f64) {
        if !self.linked {
            // The disc hangs loose: gas blows it clear of the nozzle.
            return (self.bore_m, 0.0);
        }
        let gap = (self.touch_rise_m - stem_m) / self.lever_ratio;
        (
            contact::positive_part(gap, LIFT_SMOOTHING_M),
            (-gap).max(0.0),
        )
    }

    /// The vent as ice and a thumb leave it.
    fn vent_at(&self, around: &Around) -> Vent {
        let vent = self.vent.at(around.case_k);
        Vent {
            open: vent.open * (1.0 - around.thumb),
            ..vent
        }
    }

    /// Evaluates the stage: pressures, flows and forces.
    pub fn evaluate(&self, s: &StageState, around: &Around) -> StageFlows {
        let chamber_pa = self.chamber_pa(s, around.gas_j_per_kg_k, around.gas_k);
        let case_pa = self.case_pa(s, around.case_k);
        let across_pa = chamber_pa - case_pa;
        let jet_n = if self.linked {
            (around.upstream.pressure_pa - chamber_pa) * self.bore_m2()
        } else {
            0.0
        };
        let parting = self.parting(s.rise_m, jet_n);
        let stem_m = s.rise_m - parting.gap_m;
        let stem_m_per_s = s.speed_m_per_s * parting.follows;
        let (lift_m, squeeze_m) = self.seat_position(stem_m);
        let (seat_n, collar_n) = if self.linked {
            let seat_n = contact::contact_force_n(
                squeeze_m,
                stem_m_per_s / self.lever_ratio,
                self.seat_n_per_m,
                self.seat_damping_s_per_m,
            );
            (seat_n, 0.0)
        } else {
            let over_m = self.over_collar_m(stem_m);
            (0.0, self.stopped_n(over_m, stem_m_per_s))
        };
        let cold = damping::rubber(around.gas_k);
        let guide = self.guide(around);
        let bristle_rate = contact::bristle_rate(&guide, s.bristle_m, s.speed_m_per_s);
        let friction_n = contact::friction_force_n(&guide, s.bristle_m, bristle_rate);
        let forces = DiaphragmForces {
            gas_n: across_pa * self.area_m2,
            spring_n: -self.spring_in_n(s.rise_m, self.rubber_in_n_per_m(&cold)),
            jet_n: -jet_n / self.lever_ratio,
            seat_n: -seat_n / self.lever_ratio,
            friction_n: -friction_n,
            damping_n: -s.speed_m_per_s
                * self.damping_n_s_per_m(s.rise_m, chamber_pa, case_pa, &cold),
            stop_n: self.stop_n(s.rise_m, s.speed_m_per_s) - collar_n,
            water_n: -self.water_m * WATER * GRAVITY_M_PER_S2 * self.area_m2,
            hand_n: -around.press_n,
        };

        let seal_m2 = if self.linked && lift_m <= LIFT_SMOOTHING_M {
            contact::seal_leak_area(seat_n, self.seal_force_n, self.seal_leak_m2)
        } else {
            self.seal_leak_m2
        };
        let passage_m2 = flow::curtain_bore_area(self.bore_m, lift_m + self.held_lift_m);
        let area_m2 = (passage_m2 + seal_m2 + self.seal_channel_m2) * (1.0 - around.ice);
        let dry = hole_kg_per_s(area_m2, self.discharge, &around.upstream, chamber_pa);
        let (seat_vapour_kg_per_s, seat_liquid_kg_per_s) = flow::wet_flow_kg_per_s(
            dry,
            around.liquid_share,
            around.upstream.density_kg_per_m3(),
            around.liquid_kg_per_m3,
        );

        let relief_m2 = self.relief.map_or(0.0, |r| r.area_m2(parting.gap_m));
        let gas = Upstream {
            pressure_pa: chamber_pa,
            temperature_k: around.gas_k,
            z: 1.0,
            ..around.upstream
        };
        StageFlows {
            chamber_pa,
            case_pa,
            lift_m: lift_m + self.held_lift_m,
            squeeze_m,
            seat_vapour_kg_per_s,
            seat_liquid_kg_per_s,
            tear_kg_per_s: hole_kg_per_s(self.tear_m2, HOLE, &gas, case_pa),
            relief_kg_per_s: hole_kg_per_s(relief_m2, HOLE, &gas, case_pa),
            relief_past_m: parting.past_m,
            vent_kg_per_s: self
                .vent_at(around)
                .flow_kg_per_s(case_pa - around.ambient_pa),
            bristle_rate,
            settling_rate: self.settling_rate(s),
            forces,
        }
    }

    /// Rate of change of the spring case's contents \[mol/s\].
    pub fn case_rate_mol_per_s(f: &StageFlows, fuel_molar_kg_per_mol: f64) -> f64 {
        (f.tear_kg_per_s + f.relief_kg_per_s) / fuel_molar_kg_per_mol
            - f.vent_kg_per_s / AIR_MOLAR_MASS_KG_PER_MOL
    }

    /// The stage as read on gauges.
    pub fn readings(&self, s: &StageState, f: &StageFlows, around: &Around) -> StageReadings {
        let flow = f.seat_kg_per_s();
        StageReadings {
            inlet_pa: around.upstream.pressure_pa - around.ambient_pa,
            chamber_pa: f.chamber_pa - around.ambient_pa,
            case_pa: f.case_pa - around.ambient_pa,
            rise_m: s.rise_m,
            touch_rise_m: self.touch_rise_m,
            speed_m_per_s: s.speed_m_per_s,
            lift_m: f.lift_m,
            squeeze_m: f.squeeze_m,
            flow_kg_per_s: flow,
            liquid_share: if flow > 0.0 {
                f.seat_liquid_kg_per_s / flow
            } else {
                0.0
            },
            forces: f.forces,
            vent_m3_per_s: f.vent_kg_per_s * AIR_GAS_CONSTANT * around.case_k / around.ambient_pa,
            relief_kg_per_s: f.relief_kg_per_s,
            tear_kg_per_s: f.tear_kg_per_s,
            vent_open: self.vent_at(around).open,
            ice: around.ice,
            thumb: around.thumb,
        }
    }
}
