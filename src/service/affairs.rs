//! The state of affairs: what a rig is doing at one instant and which limits are broken, as values. One pure
//! function of the rig and its readings; the words are made by who shows them.
//!
//! Nothing here knows which faults are in: it tells what is, not why. A trouble is a limit of [`LIMITS`] that is
//! broken, gas on its way out, or something that keeps gas from the burners. What an instant cannot show (a slow
//! climb, a swing) is told from what the readings keep of it, a seat that lets gas by and flames that jump.

use super::fitted::{Fittings, OpenTube};
use super::limits::{LIMITS, Limit};
use crate::rig::{Flame, Phase, Readings, Rig, Stage, StageReadings};

/// A flow that counts as flow \[kg/s\]: a few hundred Btu/h. Own choice.
const FLOWING_KG_PER_S: f64 = 1e-6;
/// Gas on its way out that is told \[kg/s\]: leak fluid answers to about half of it (0.05 mL/s). Own choice.
const ESCAPES_KG_PER_S: f64 = 1e-7;
/// Flow past a pressed seat that is told \[kg/s\]. In the preset rig's low side it is some 0.15 in w.c. in five
/// minutes, the limit of the creep test; a tight seat that has just closed passes less. Derived.
const SLIPS_KG_PER_S: f64 = 2e-8;
/// Lift from which a seat is open \[m\]. Own choice, under what a loupe shows.
pub const OPEN_FROM_M: f64 = 0.5e-6;
/// A diaphragm faster than this is on its way \[m/s\]. Own choice: the whole stroke in a quarter of a minute.
const MOVING_M_PER_S: f64 = 2e-4;
/// Flow at a vent that is told with it \[m³/s\]: about 1 mL/s.
const BREATH_M3_PER_S: f64 = 1e-6;
/// An outlet under this has no pressure to speak of \[Pa\]: one in w.c.
const NOTHING_PA: f64 = 250.0;
/// Fill that no container may exceed (code: 80 % at 60 °F, NFPA 58).
const FILL_LIMIT: f64 = 0.80;
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
/// Air over a diaphragm bears from this share of the gas under it on. Own choice: the picture of the forces draws less with
/// a longer bar.
const AIR_BEARS: f64 = 0.04;
/// Share of the flow by which what comes in and what burns may differ at rest.
const EVEN_SHARE: f64 = 0.03;

/// How a seat stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SeatState {
    /// Off its nozzle.
    Open {
        /// By so much \[m\].
        lift_m: f64,
    },
    /// On its nozzle, and gas goes by.
    Slips {
        /// Flow \[kg/s\].
        kg_per_s: f64,
        /// The nozzle is so deep in the rubber \[m\].
        squeeze_m: f64,
    },
    /// Pressed shut.
    Pressed {
        /// The nozzle is so deep in the rubber \[m\].
        squeeze_m: f64,
    },
    /// On its nozzle, hardly pressed, and tight.
    Touching,
}

impl SeatState {
    /// How the seat of a stage stands.
    pub fn of(s: &StageReadings) -> Self {
        if s.lift_m > OPEN_FROM_M {
            Self::Open { lift_m: s.lift_m }
        } else if s.flow_kg_per_s.abs() > SLIPS_KG_PER_S {
            Self::Slips {
                kg_per_s: s.flow_kg_per_s,
                squeeze_m: s.squeeze_m,
            }
        } else if s.squeeze_m >= OPEN_FROM_M {
            Self::Pressed {
                squeeze_m: s.squeeze_m,
            }
        } else {
            Self::Touching
        }
    }
}

/// Which of the two stages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Which {
    /// The first, at the container's pressure.
    First,
    /// The second, before the burners.
    Second,
}

impl Which {
    /// Both, in the order of the gas.
    pub const BOTH: [Self; 2] = [Self::First, Self::Second];

    /// Its readings.
    pub fn of(self, r: &Readings) -> &StageReadings {
        match self {
            Self::First => &r.first,
            Self::Second => &r.second,
        }
    }
}

/// Which way gas gets out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Escape {
    /// Through the relief into the spring case, and out of the vent.
    Relief,
    /// Through a torn diaphragm into the spring case, and out of the vent.
    Tear(Which),
    /// Out of a vent, whatever lets it get there.
    Vent(Which),
    /// Out of an appliance that does not burn it.
    Unlit(usize),
    /// Out of a joint, or a container's own relief.
    Joint,
}

/// Why nothing comes to the outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// Every container's valve is shut.
    ValveShut,
    /// The container has nothing more to give.
    Empty,
    /// The container has pressure and its valve is open; it is lost on the way.
    Blocked,
}

/// How much a trouble matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gravity {
    /// All is as it should be.
    Well,
    /// Something is not as it should be.
    Care,
    /// Somebody could be hurt.
    Stop,
}

/// Something that is not as it should be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Trouble {
    /// Gas leaves unburned.
    Escapes {
        /// The way.
        by: Escape,
        /// How much \[kg/s\].
        kg_per_s: f64,
    },
    /// A manometer has lost its water, and its tube is an open end of the line.
    OpenTube(OpenTube),
    /// The outlet stands over a limit.
    OutletOver {
        /// Outlet, gauge \[Pa\].
        outlet_pa: f64,
        /// The limit.
        limit: &'static Limit,
    },
    /// The outlet stands under what burners want while gas flows.
    OutletLow {
        /// Outlet, gauge \[Pa\].
        outlet_pa: f64,
        /// The least that would do \[Pa\].
        least_pa: f64,
    },
    /// Nothing comes to the outlet.
    NoGas {
        /// Why.
        why: Missing,
    },
    /// The first stage stands over a limit.
    FirstOver {
        /// First stage, gauge \[Pa\].
        chamber_pa: f64,
        /// The limit.
        limit: &'static Limit,
    },
    /// The first stage gives too little while gas flows.
    FirstLow {
        /// First stage, gauge \[Pa\].
        chamber_pa: f64,
    },
    /// Liquid comes to the first seat.
    Liquid {
        /// Share by mass.
        share: f64,
    },
    /// Liquid stands on the low side.
    LowSideWet {
        /// How much \[kg\].
        kg: f64,
    },
    /// A container is too full.
    TooFull {
        /// Which.
        container: usize,
        /// Its fill, 0 to 1.
        fill: f64,
    },
    /// An excess-flow valve has closed.
    Tripped {
        /// Of which container.
        container: usize,
    },
    /// Ice on an orifice.
    Ice {
        /// Whose.
        stage: Which,
        /// Share of the orifice.
        share: f64,
    },
    /// A vent that cannot breathe.
    Vent {
        /// Whose.
        stage: Which,
        /// Share still open.
        open: f64,
    },
    /// Water stands on a diaphragm.
    Water {
        /// On which.
        stage: Which,
        /// Its weight \[N\].
        newton: f64,
    },
    /// A seat lets gas by though it is pressed as hard as seals a sound one: the pressure behind it climbs.
    Creeps {
        /// Whose.
        stage: Which,
        /// How much \[kg/s\].
        kg_per_s: f64,
    },
    /// Flames jump.
    Surges {
        /// Of which appliance.
        appliance: usize,
    },
    /// A flame burns badly.
    Flame {
        /// Of which appliance.
        appliance: usize,
        /// How.
        flame: Flame,
    },
    /// An appliance has locked out.
    LockedOut {
        /// Which.
        appliance: usize,
    },
}

impl Trouble {
    /// Whether it names what is wrong inside, and not what an instrument, an eye or an ear has of it.
    pub fn names_the_cause(&self) -> bool {
        matches!(
            self,
            Self::Liquid { .. }
                | Self::LowSideWet { .. }
                | Self::TooFull { .. }
                | Self::Tripped { .. }
                | Self::Ice { .. }
                | Self::Vent { .. }
                | Self::Water { .. }
                | Self::Creeps { .. }
        )
    }

    /// How much it matters.
    pub fn gravity(&self) -> Gravity {
        match self {
            Self::Escapes { .. }
            | Self::OpenTube(_)
            | Self::Liquid { .. }
            | Self::LowSideWet { .. }
            | Self::TooFull { .. } => Gravity::Stop,
            Self::OutletOver { limit, .. } if **limit == LIMITS.lock_up_caution => Gravity::Stop,
            Self::FirstOver { limit, .. } if **limit == LIMITS.first_danger => Gravity::Stop,
            _ => Gravity::Care,
        }
    }
}

/// What the regulator does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Doing {
    /// The second diaphragm is on its way.
    Moving {
        /// Towards open, else towards closed.
        opens: bool,
        /// Flow out of the vent with it \[m³/s\]; none worth a word.
        breath_m3_per_s: Option<f64>,
    },
    /// The second seat stands at its stop and the load asks for more.
    WideOpen,
    /// Gas and spring balance at an opening, and gas flows.
    Holding {
        /// How what comes in compares with what the burners take.
        comes_in: Compared,
        /// Air over the second diaphragm, gauge \[Pa\], where it bears beside gas and spring.
        air_pa: Option<f64>,
    },
    /// No burner takes gas, and what still comes by a seat presses it shut.
    Closing,
    /// No gas flows and both seats are pressed shut.
    LockedUp,
    /// No gas flows and a seat is not pressed shut.
    AtRest,
}

/// What comes in against what the burners take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compared {
    /// The same.
    Even,
    /// More comes in: it fills the pipe, or gets out.
    More,
    /// Less comes in: the pipe empties.
    Less,
}

/// What a rig is doing, and what is not as it should be.
#[derive(Debug, Clone, PartialEq)]
pub struct Affairs {
    /// What the regulator does.
    pub doing: Doing,
    /// First and second seat.
    pub seats: [SeatState; 2],
    /// What is not as it should be, the gravest first.
    pub troubles: Vec<Trouble>,
    /// Whether only what is read, seen or heard is told, and not what is wrong.
    pub effects_only: bool,
}

impl Affairs {
    /// The same without what is wrong, for a class that is to find it out: readings, flames and escaping gas stay.
    #[must_use]
    pub fn effects(mut self) -> Self {
        self.troubles.retain(|t| !t.names_the_cause());
        for t in &mut self.troubles {
            if let Trouble::Escapes { by, .. } = t
                && let Escape::Tear(which) = *by
            {
                *by = Escape::Vent(which);
            }
        }
        self.effects_only = true;
        self
    }

    /// How the gravest trouble matters.
    pub fn gravity(&self) -> Gravity {
        let gravities = self.troubles.iter().map(Trouble::gravity);
        gravities.max().unwrap_or(Gravity::Well)
    }

    /// Whether gas gets out.
    pub fn escapes(&self) -> bool {
        let out = |t: &Trouble| matches!(t, Trouble::Escapes { .. } | Trouble::OpenTube(_));
        self.troubles.iter().any(out)
    }

    /// The same with what the instruments tell that hands have fitted: every view of a rig says it alike.
    #[must_use]
    pub fn with_fittings(mut self, fittings: &Fittings) -> Self {
        let open = fittings.open_tubes().map(Trouble::OpenTube);
        self.troubles.splice(0..0, open);
        self
    }
}

/// What a rig is doing, from its readings and the limits.
pub fn state_of_affairs(rig: &Rig, r: &Readings) -> Affairs {
    let mut troubles = Vec::new();
    escapes(r, &mut troubles);
    pressures(rig, r, &mut troubles);
    supply(r, &mut troubles);
    regulator(rig, r, &mut troubles);
    appliances(r, &mut troubles);
    // Stable: within one gravity the order above stays.
    troubles.sort_by_key(|t| std::cmp::Reverse(t.gravity()));
    Affairs {
        doing: doing(rig, r),
        seats: [SeatState::of(&r.first), SeatState::of(&r.second)],
        troubles,
        effects_only: false,
    }
}

fn escapes(r: &Readings, out: &mut Vec<Trouble>) {
    let mut tell = |by: Escape, kg_per_s: f64| {
        if kg_per_s > ESCAPES_KG_PER_S {
            out.push(Trouble::Escapes { by, kg_per_s });
        }
        kg_per_s.max(0.0)
    };
    let mut known = tell(
        Escape::Relief,
        r.second.relief_kg_per_s + r.first.relief_kg_per_s,
    );
    for which in Which::BOTH {
        known += tell(Escape::Tear(which), which.of(r).tear_kg_per_s);
    }
    let mut lighting = 0.0;
    for (i, a) in r.appliances[..r.appliance_count].iter().enumerate() {
        // A spark has some seconds to light what flows, and a valve that has lost its flame some tenths to close.
        let closes = a.valve_open > 0.0 && !matches!(a.phase, Phase::OpenUnlit | Phase::Burning);
        if a.phase == Phase::Trial || closes {
            lighting += a.flow_kg_per_s;
        } else if a.heat_w <= 0.0 && !a.pilot_lit {
            known += tell(Escape::Unlit(i), a.flow_kg_per_s);
        }
    }
    tell(Escape::Joint, r.loss_kg_per_s - known - lighting);
}

/// Rated input of all appliances \[W\].
fn rated_w(rig: &Rig) -> f64 {
    rig.appliances.iter().map(|a| a.input_w).sum()
}

fn pressures(rig: &Rig, r: &Readings, out: &mut Vec<Trouble>) {
    let over = |limit: &'static Limit| Trouble::OutletOver {
        outlet_pa: r.outlet_pa,
        limit,
    };
    let share = r.flow_w / rated_w(rig).max(1.0);
    let flows = r.burner_flow_kg_per_s > FLOWING_KG_PER_S;
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
        });
    }
    if r.outlet_pa < NOTHING_PA {
        out.push(Trouble::NoGas { why: missing(r) });
        return;
    }
    let fall_pa = if share > 0.5 {
        LIMITS.fall_caution.high
    } else {
        0.0
    };
    let least_pa = LIMITS.flow.low - fall_pa;
    if (flows || r.demand_w > 0.0) && r.outlet_pa < least_pa {
        out.push(Trouble::OutletLow {
            outlet_pa: r.outlet_pa,
            least_pa,
        });
    }
    if flows && r.first.chamber_pa < LIMITS.first.low {
        out.push(Trouble::FirstLow {
            chamber_pa: r.first.chamber_pa,
        });
    }
}

fn missing(r: &Readings) -> Missing {
    let containers = &r.containers[..r.container_count];
    if containers.iter().all(|c| c.valve_open <= 0.0) {
        Missing::ValveShut
    } else if containers
        .iter()
        .filter(|c| c.valve_open > 0.0)
        .all(|c| c.pressure_pa < LIMITS.first.low)
    {
        Missing::Empty
    } else {
        Missing::Blocked
    }
}

fn supply(r: &Readings, out: &mut Vec<Trouble>) {
    for (i, c) in r.containers[..r.container_count].iter().enumerate() {
        if c.fill > FILL_LIMIT + FILL_DOUBT {
            out.push(Trouble::TooFull {
                container: i,
                fill: c.fill,
            });
        }
        if c.excess_flow_tripped {
            out.push(Trouble::Tripped { container: i });
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
    for stage in Which::BOTH {
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
                && pressed_tight(of, stage.of(r))
            {
                out.push(Trouble::Creeps { stage, kg_per_s });
            }
        }
    }
}

fn appliances(r: &Readings, out: &mut Vec<Trouble>) {
    for (appliance, a) in r.appliances[..r.appliance_count].iter().enumerate() {
        if a.phase == Phase::LockedOut {
            out.push(Trouble::LockedOut { appliance });
        } else if a.surges {
            out.push(Trouble::Surges { appliance });
        } else if a.phase == Phase::Burning && a.flame != Flame::Normal {
            out.push(Trouble::Flame {
                appliance,
                flame: a.flame,
            });
        }
    }
}

fn doing(rig: &Rig, r: &Readings) -> Doing {
    let s = &r.second;
    if s.speed_m_per_s.abs() > MOVING_M_PER_S {
        return Doing::Moving {
            opens: s.speed_m_per_s < 0.0,
            breath_m3_per_s: Some(s.vent_m3_per_s).filter(|q| q.abs() > BREATH_M3_PER_S),
        };
    }
    let slips = |s: &StageReadings| matches!(SeatState::of(s), SeatState::Slips { .. });
    if r.burner_flow_kg_per_s < FLOWING_KG_PER_S && (slips(s) || slips(&r.first)) {
        return Doing::Closing;
    }
    if s.flow_kg_per_s > FLOWING_KG_PER_S {
        let stroke_m = rig.second.touch_rise_m;
        let lever_m = (s.lift_m - rig.second.held_lift_m) * rig.second.lever_ratio;
        if rig.second.linked && lever_m > 0.95 * stroke_m {
            return Doing::WideOpen;
        }
        let apart = s.flow_kg_per_s - r.burner_flow_kg_per_s;
        let even = EVEN_SHARE * s.flow_kg_per_s + ESCAPES_KG_PER_S;
        return Doing::Holding {
            comes_in: if apart > even {
                Compared::More
            } else if apart < -even {
                Compared::Less
            } else {
                Compared::Even
            },
            air_pa: Some(s.case_pa).filter(|air| air.abs() > AIR_BEARS * s.chamber_pa.abs()),
        };
    }
    let pressed = |s: &StageReadings| matches!(SeatState::of(s), SeatState::Pressed { .. });
    if pressed(&r.first) && pressed(s) {
        Doing::LockedUp
    } else {
        Doing::AtRest
    }
}
