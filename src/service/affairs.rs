//! The state of affairs: what a rig is doing at one instant and which limits are broken, as values. One pure
//! function of the rig and its readings; the words are made by who shows them.
//!
//! Nothing here knows which faults are in: it tells what is, not why. A trouble is a limit of [`LIMITS`] that is
//! broken, gas on its way out, or something that keeps gas from the burners. What an instant cannot show (a slow
//! climb, a swing) is told from what the readings keep of it, a seat that lets gas by and flames that jump.

use super::limits::{LIMITS, Limit, propane_gives_pa};
use super::plate::over_plate;
use super::several::Several;
use super::trouble::{
    Above, Affairs, Compared, Doing, ESCAPES_KG_PER_S, Escape, Filling, Finger, Gives, Held, Load,
    Missing, OPEN_FROM_M, Scarce, SeatState, Trouble, Which,
};
use crate::fault::grain_m;
use crate::physics::fuel::fill_when_cold;
use crate::rig::{
    ApplianceReadings, ContainerReadings, Flame, Phase, Readings, Rig, Stage, StageReadings,
};
use crate::units::psi_to_pa;

/// A flow that counts as flow \[kg/s\]: a few hundred Btu/h. Own choice.
const FLOWING_KG_PER_S: f64 = 1e-6;
/// A diaphragm faster than this is on its way \[m/s\]. Own choice: the whole stroke in a quarter of a minute.
const MOVING_M_PER_S: f64 = 2e-4;
/// Flow at a vent that is told with it \[m³/s\]: about 1 mL/s.
const BREATH_M3_PER_S: f64 = 1e-6;
/// An outlet under this has no pressure to speak of \[Pa\]: one in w.c.
const NOTHING_PA: f64 = 250.0;
/// What a gauge of the fill is good for.
const FILL_DOUBT: f64 = 0.005;
/// Share of liquid in the flow that is told.
const WET_SHARE: f64 = 0.02;
/// Ice on the orifice that is told, and under which it does nothing yet.
const ICED_SHARE: f64 = 0.1;
/// Share of a vent that must be open for its case to breathe as it should. Own choice.
const VENT_SHARE: f64 = 0.9;
/// Weight of water on a diaphragm that is told \[N\].
const WATER_N: f64 = 5e-3;
/// A seat that pushes back with this share of what the gas under the diaphragm lifts is pressed home. Own choice, as of air.
const BEARS: f64 = 0.04;
/// Air over a diaphragm bears from this share of the gas under it on. Own choice: the picture of the forces draws less with
/// a longer bar.
const AIR_BEARS: f64 = 0.04;
/// Share by which what leaves the containers may be more than what goes through the first seat: more of it fills a hose, where a
/// difference of pressure is no loss. Own choice.
const FILLS_SHARE: f64 = 0.25;
/// A hose with an open way fills faster than this, while its ends are as far apart as counts as a loss \[kg/s\] (own: in some three
/// seconds).
const FILLS_KG_PER_S: f64 = 2e-4;
/// Share of the flow by which what comes in and what burns may differ at rest.
const EVEN_SHARE: f64 = 0.03;

/// A container so much over what propane gives at its temperature is told (own: more than fuel with some ethane gives, and more
/// than thermometer and gauge may err by together).
const OVER_LIQUID_PSI: f64 = 20.0;
/// A gas valve is open from here on: what a burner takes while its valve moves says nothing.
const VALVE_OPEN: f64 = 0.999;

/// What a rig is doing, from its readings and the limits.
pub fn state_of_affairs(rig: &Rig, r: &Readings) -> Affairs {
    let mut troubles = Vec::new();
    let ways = escapes(r).into_iter();
    troubles.extend(ways.map(|(by, kg_per_s)| Trouble::Escapes { by, kg_per_s }));
    pressures(rig, r, &mut troubles);
    supply(r, &mut troubles);
    regulator(rig, r, &mut troubles);
    appliances(rig, r, &mut troubles);
    // Stable: what matters alike and comes from nothing else told keeps the order above.
    troubles.sort_by_key(|t| (std::cmp::Reverse(t.gravity()), t.order()));
    Affairs {
        doing: doing(rig, r),
        seats: [SeatState::of(&r.first), SeatState::of(&r.second)],
        cases: [Filling::of(&r.first), Filling::of(&r.second)],
        fingers: [Finger::on(&r.first), Finger::on(&r.second)],
        troubles,
        effects_only: false,
    }
}

/// Whether what an appliance lets through gets out: it neither burns nor is about to be lit. A spark has some seconds to light what
/// flows, and a valve that has lost its flame some tenths to close.
fn lets_out(a: &ApplianceReadings) -> bool {
    let closes = a.valve_open > 0.0 && !matches!(a.phase, Phase::OpenUnlit | Phase::Burning);
    let is_lit = a.heat_w > 0.0 || a.pilot_lit;
    !is_lit && a.phase != Phase::Trial && !closes && a.flow_kg_per_s > ESCAPES_KG_PER_S
}

/// Every way by which gas gets out unburned, and how much \[kg/s\].
pub fn escapes(r: &Readings) -> Vec<(Escape, f64)> {
    let relief = r.second.relief_kg_per_s + r.first.relief_kg_per_s;
    let mut ways = vec![(Escape::Relief, relief)];
    ways.extend(Which::BOTH.map(|which| (Escape::Tear(which), which.of(r).tear_kg_per_s)));
    let appliances = r.appliances[..r.appliance_count].iter().enumerate();
    let (mut unlit, mut unlit_kg_per_s) = (Several::default(), 0.0);
    for (i, a) in appliances.filter(|(_, a)| lets_out(a)) {
        unlit.add(i);
        unlit_kg_per_s += a.flow_kg_per_s;
    }
    ways.push((Escape::Unlit(unlit), unlit_kg_per_s));
    for (i, c) in r.containers[..r.container_count].iter().enumerate() {
        ways.push((Escape::Container(i), c.relief_kg_per_s));
        ways.push((Escape::Pigtail(i), c.leak_kg_per_s));
    }
    ways.push((Escape::LowSide, r.line_leak_kg_per_s));
    ways.retain(|(_, kg_per_s)| *kg_per_s > ESCAPES_KG_PER_S);
    ways
}

/// Rated input of all appliances \[W\].
fn rated_w(rig: &Rig) -> f64 {
    rig.appliances.iter().map(|a| a.input_w).sum()
}

fn pressures(rig: &Rig, r: &Readings, out: &mut Vec<Trouble>) {
    let share = r.flow_w / rated_w(rig).max(1.0);
    let flows = r.burner_flow_kg_per_s > FLOWING_KG_PER_S;
    let over = |limit: &'static Limit| Trouble::OutletOver {
        outlet_pa: r.outlet_pa,
        limit,
        load: match share {
            _ if !flows => Load::Rest,
            over if over > 0.5 => Load::OverHalf,
            _ => Load::UpToHalf,
        },
    };
    // From half load on the band of flow pressure holds; under it the outlet may stand up to lock-up.
    let most = if flows && share >= 0.5 {
        &LIMITS.flow
    } else {
        &LIMITS.lock_up
    };
    if r.outlet_pa > LIMITS.lock_up_caution.high {
        out.push(over(&LIMITS.lock_up_caution));
    } else if r.outlet_pa > most.high {
        out.push(over(most));
    }
    // The gravest limit that is passed.
    let first = [&LIMITS.first_danger, &LIMITS.first_rest];
    if let Some(limit) = first.into_iter().find(|l| r.first.chamber_pa > l.high) {
        out.push(Trouble::FirstOver {
            chamber_pa: r.first.chamber_pa,
            limit,
            from: Some(above(r)),
        });
    }
    // What still comes to a low side that it does not fill is too little, and no nothing.
    if r.outlet_pa < NOTHING_PA && r.second.flow_kg_per_s < FLOWING_KG_PER_S {
        out.push(Trouble::NoGas { why: missing(r) });
        return;
    }
    too_low(r, share, out);
}

/// What stands too low to feed the burners, or will as soon as one is lit.
fn too_low(r: &Readings, share: f64, out: &mut Vec<Trouble>) {
    let flows = r.burner_flow_kg_per_s > FLOWING_KG_PER_S;
    let is_asked = flows || r.demand_w > 0.0;
    // With the container shut a low pressure is what was left in the pipe, as in a leak check; and one that gas still comes
    // to is on its way up.
    let is_fed = open_containers(r).next().is_some();
    let has_come_to_rest = r.second.flow_kg_per_s < FLOWING_KG_PER_S;
    if !(is_asked || is_fed && has_come_to_rest) {
        return;
    }
    // With nothing drawn the outlet stands higher than at any flow: what is under the flow pressure then is under it at a flow.
    let (load, fall_pa) = match share {
        _ if !is_asked => (Load::Rest, 0.0),
        over if over > 0.5 => (Load::OverHalf, LIMITS.fall_caution.high),
        _ => (Load::UpToHalf, 0.0),
    };
    let least_pa = LIMITS.flow.low - fall_pa;
    let is_low = r.outlet_pa < least_pa;
    if is_low {
        out.push(Trouble::OutletLow {
            outlet_pa: r.outlet_pa,
            least_pa,
            load,
        });
    }
    if (flows || !is_asked) && r.first.chamber_pa < LIMITS.first.low {
        out.push(Trouble::FirstLow {
            chamber_pa: r.first.chamber_pa,
            gives: match load {
                Load::Rest => Gives::NothingAsked,
                _ if is_low => Gives::TooLittle,
                _ => Gives::JustEnough,
            },
            why: match missing(r) {
                Missing::Empty => Scarce::Spent,
                _ if r.first.inlet_pa < LIMITS.first.low => Scarce::ToIt,
                _ => Scarce::ThroughIt,
            },
        });
    }
    if (flows || !is_asked)
        && !is_low
        && r.first.chamber_pa >= LIMITS.first.low
        && LIMITS.first_weak.is_missed_by(r.first.chamber_pa)
    {
        out.push(Trouble::FirstMeagre {
            chamber_pa: r.first.chamber_pa,
        });
    }
    // Judged where the burners are: what the outlet holds and the line loses does not come to them.
    if flows && !is_low && r.outlet_pa - r.manifold_pa > LIMITS.pipe_drop.high {
        out.push(Trouble::PipeDrop {
            outlet_pa: r.outlet_pa,
            manifold_pa: r.manifold_pa,
        });
    }
}

/// What keeps the first chamber over its limit.
fn above(r: &Readings) -> Above {
    match SeatState::of(&r.first) {
        SeatState::Open { .. } | SeatState::Slips { .. } | SeatState::Nearly { .. } => {
            Above::Container
        }
        _ if r.pool_kg > 0.0 => Above::Boiling,
        _ => Above::ShutIn,
    }
}

fn open_containers(r: &Readings) -> impl Iterator<Item = &ContainerReadings> {
    let containers = &r.containers[..r.container_count];
    containers.iter().filter(|c| c.valve_open > 0.0)
}

fn missing(r: &Readings) -> Missing {
    if open_containers(r).next().is_none() {
        Missing::ValveShut
    } else if open_containers(r).all(|c| c.pressure_pa < 0.0) {
        Missing::UnderAir
    } else if open_containers(r).all(|c| c.pressure_pa < LIMITS.first.low) {
        Missing::Empty
    } else {
        Missing::Blocked
    }
}

/// Whether a container whose liquid at `t_k` fills this share of it holds more than any may, by more than a gauge of it may err.
pub fn is_too_full(fill: f64, t_k: f64) -> bool {
    fill_when_cold(fill, t_k) > LIMITS.fill.high + FILL_DOUBT
}

fn supply(r: &Readings, out: &mut Vec<Trouble>) {
    let containers = &r.containers[..r.container_count];
    let drawn: f64 = containers.iter().map(|c| c.flow_kg_per_s.max(0.0)).sum();
    let fills = drawn > (1.0 + FILLS_SHARE) * r.first.flow_kg_per_s;
    for (i, c) in containers.iter().enumerate() {
        if is_too_full(c.fill, c.temperature_k) {
            out.push(Trouble::TooFull {
                container: i,
                fill: c.fill,
                cold: fill_when_cold(c.fill, c.temperature_k),
            });
        }
        let gives_pa = propane_gives_pa(c.temperature_k, r.ambient_pa);
        if c.fill > 0.0 && c.pressure_pa - gives_pa.max(0.0) > psi_to_pa(OVER_LIQUID_PSI) {
            out.push(Trouble::ContainerOver {
                container: i,
                pressure_pa: c.pressure_pa,
                gives_pa,
                temperature_k: c.temperature_k,
            });
        }
        if c.excess_flow_tripped {
            out.push(Trouble::Tripped { container: i });
        }
        // The bench holds the inlet under load against the inlet at rest. Here it is held against the container as that stands
        // now, by the same number (own rule): cold and a long draw lower both alike, and are no loss on the way.
        let lost = LIMITS.inlet_fall.is_passed_by(c.pressure_pa - c.pigtail_pa);
        let is_open = c.valve_open > 0.0 && !c.excess_flow_tripped;
        // A sound hose fills at once; one that takes minutes is held up.
        let fills = fills && c.flow_kg_per_s > FILLS_KG_PER_S;
        if lost && is_open && !fills && c.flow_kg_per_s > FLOWING_KG_PER_S {
            out.push(Trouble::InletFalls {
                container: i,
                container_pa: c.pressure_pa,
                inlet_pa: c.pigtail_pa,
            });
        }
    }
}

/// Whether a seat is pressed as hard as seals a sound one.
pub fn pressed_tight(stage: &Stage, s: &StageReadings) -> bool {
    s.squeeze_m * stage.seat_n_per_m >= stage.seal_force_n
}

fn regulator(rig: &Rig, r: &Readings, out: &mut Vec<Trouble>) {
    if r.first.liquid_share > WET_SHARE && r.first.flow_kg_per_s > FLOWING_KG_PER_S {
        out.push(Trouble::Liquid {
            share: r.first.liquid_share,
        });
    }
    if r.low_pool_kg > 1e-5 {
        out.push(Trouble::LowSideWet { kg: r.low_pool_kg });
    }
    for (stage, of) in Which::BOTH.into_iter().zip([&rig.first, &rig.second]) {
        if let Some(why) = held(of) {
            out.push(Trouble::NeverShuts { stage, why });
        }
        let s = stage.of(r);
        if s.ice > ICED_SHARE {
            out.push(Trouble::Ice {
                stage,
                share: s.ice,
            });
        }
        if s.vent_open < VENT_SHARE {
            out.push(Trouble::Vent {
                stage,
                open: s.vent_open,
            });
        }
        if s.forces.water_n.abs() > WATER_N {
            out.push(Trouble::Water {
                stage,
                newton: s.forces.water_n.abs(),
            });
        }
    }
    if r.burner_flow_kg_per_s < FLOWING_KG_PER_S {
        for (stage, of) in Which::BOTH.into_iter().zip([&rig.first, &rig.second]) {
            let seat = SeatState::of(stage.of(r));
            if let SeatState::Slips { kg_per_s, .. } = seat
                && (pressed_tight(of, stage.of(r)) || grain_m(of).is_some())
            {
                out.push(Trouble::Creeps { stage, kg_per_s });
            }
        }
    }
}

/// What keeps a seat from shutting, whatever its diaphragm does. A grain is none: the rubber closes round a small one, and what
/// it lets by is told as what it is.
fn held(stage: &Stage) -> Option<Held> {
    if !stage.linked {
        Some(Held::Loose)
    } else if stage.held_lift_m > OPEN_FROM_M && grain_m(stage).is_none() {
        Some(Held::Disc)
    } else {
        None
    }
}

/// What is not right with the appliances: each trouble once, with all that have it.
fn appliances(rig: &Rig, r: &Readings, out: &mut Vec<Trouble>) {
    let all = || r.appliances[..r.appliance_count].iter().enumerate();
    let those = |is_so: &dyn Fn(&ApplianceReadings) -> bool| {
        let mut several = Several::default();
        all()
            .filter(|(_, a)| is_so(a))
            .for_each(|(i, _)| several.add(i));
        several
    };
    let burns = |a: &ApplianceReadings| a.phase == Phase::Burning && a.flame != Flame::Out;
    off_plate(rig, r, out);
    let phase = |phase: Phase| those(&|a| a.phase == phase);
    let locked_out = phase(Phase::LockedOut);
    let waits = phase(Phase::Waiting);
    // One whose gas gets out is told there.
    let unlit = those(&|a| a.phase == Phase::OpenUnlit && !lets_out(a));
    let surges = those(&|a| a.surges && burns(a));
    let told = [
        (
            locked_out,
            Trouble::LockedOut {
                appliances: locked_out,
            },
        ),
        (waits, Trouble::Waits { appliances: waits }),
        (unlit, Trouble::Unlit { appliances: unlit }),
        (surges, Trouble::Surges { appliances: surges }),
    ];
    out.extend(
        told.into_iter()
            .filter(|(who, _)| !who.is_empty())
            .map(|(_, t)| t),
    );
    for flame in [Flame::Out, Flame::Low, Flame::Hard, Flame::Lifting] {
        let appliances =
            those(&|a| a.phase == Phase::Burning && a.flame == flame && !(a.surges && burns(a)));
        if !appliances.is_empty() {
            out.push(Trouble::Flame { appliances, flame });
        }
    }
}

/// Burners that take more than their plates say; and those that give less, where the line before them has enough.
fn off_plate(rig: &Rig, r: &Readings, out: &mut Vec<Trouble>) {
    let (mut over, mut most) = (Several::default(), 0.0_f64);
    let (mut starved, mut lacks) = (Several::default(), 0.0_f64);
    let has_enough = r.manifold_pa >= LIMITS.under_load.low;
    for (i, (a, made)) in r.appliances.iter().zip(&rig.appliances).enumerate() {
        let Some(share) = over_plate(made, a, r).filter(|_| a.valve_open > VALVE_OPEN) else {
            continue;
        };
        // Where the outlet stands over its limit every burner takes more, and that is told there: what is left is the burner's own.
        let own = if LIMITS.under_load.is_passed_by(r.outlet_pa) {
            (1.0 + share) * (made.rated_pa / a.inlet_pa).sqrt().min(1.0) - 1.0
        } else {
            share
        };
        if LIMITS.over_plate.is_passed_by(own) {
            over.add(i);
            most = most.max(share);
        } else if LIMITS.over_plate.is_missed_by(share) && has_enough && a.flame == Flame::Normal {
            starved.add(i);
            lacks = lacks.max(-share);
        }
    }
    if !over.is_empty() {
        out.push(Trouble::OverPlate {
            appliances: over,
            most,
        });
    }
    if !starved.is_empty() {
        out.push(Trouble::Starved {
            appliances: starved,
            most: lacks,
        });
    }
}

/// Air in a spring case that bears beside gas and spring \[Pa\].
fn bears(s: &StageReadings) -> Option<f64> {
    Some(s.case_pa).filter(|air| air.abs() > AIR_BEARS * s.chamber_pa.abs())
}

fn doing(rig: &Rig, r: &Readings) -> Doing {
    let s = &r.second;
    if s.speed_m_per_s.abs() > MOVING_M_PER_S {
        return Doing::Moving {
            opens: s.speed_m_per_s < 0.0,
            breath_m3_per_s: Some(s.vent_m3_per_s).filter(|q| q.abs() > BREATH_M3_PER_S),
        };
    }
    let slips = |s: &StageReadings| {
        let state = SeatState::of(s);
        matches!(state, SeatState::Slips { .. } | SeatState::Nearly { .. })
    };
    if r.burner_flow_kg_per_s < FLOWING_KG_PER_S && (slips(s) || slips(&r.first)) {
        let held = Which::BOTH.into_iter().rev().filter(|w| slips(w.of(r)));
        let air = |w: Which| bears(w.of(r)).filter(|pa| *pa > 0.0).map(|pa| (w, pa));
        return Doing::Closing {
            air: held.into_iter().find_map(air),
        };
    }
    if s.flow_kg_per_s > FLOWING_KG_PER_S {
        if r.burner_flow_kg_per_s < FLOWING_KG_PER_S
            && s.forces.seat_n.abs() > BEARS * s.forces.gas_n.abs()
        {
            return Doing::HeldOpen;
        }
        let stroke_m = rig.second.touch_rise_m;
        let lever_m = (s.lift_m - rig.second.held_lift_m) * rig.second.lever_ratio;
        if rig.second.linked && lever_m > 0.95 * stroke_m {
            return Doing::WideOpen;
        }
        let apart = s.flow_kg_per_s - r.burner_flow_kg_per_s;
        let even = EVEN_SHARE * s.flow_kg_per_s + ESCAPES_KG_PER_S;
        return Doing::Holding {
            comes_in: if open_containers(r).next().is_none() && r.container_count > 0 {
                Compared::LeftOver
            } else if r.burner_flow_kg_per_s < FLOWING_KG_PER_S {
                Compared::Untaken
            } else if apart > even {
                Compared::More
            } else if apart < -even {
                Compared::Less
            } else {
                Compared::Even
            },
            air_pa: bears(s),
        };
    }
    let pressed = |s: &StageReadings| matches!(SeatState::of(s), SeatState::Pressed { .. });
    if pressed(&r.first) && pressed(s) {
        Doing::LockedUp
    } else {
        Doing::AtRest
    }
}
