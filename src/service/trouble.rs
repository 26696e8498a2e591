//! What can be told of a rig at one instant, as values: what the regulator does, how its seats stand, and what is not as it
//! should be. Found by [`super::affairs`]; the words are made by who shows them.

use super::limits::{LIMITS, Limit};
use super::several::Several;
use crate::rig::{ContainerReadings, Flame, Readings, StageReadings};

/// Flow past a pressed seat that is told \[kg/s\]. In the preset rig's low side it is some 0.15 in w.c. in five
/// minutes, the limit of the creep test; a tight seat that has just closed passes less. Derived.
const SLIPS_KG_PER_S: f64 = 2e-8;
/// Gas on its way out that is told \[kg/s\]: leak fluid answers to about half of it (0.05 mL/s). Own choice.
pub const ESCAPES_KG_PER_S: f64 = 1e-7;
/// Flow past a pressed seat under which it is shut \[kg/s\]: a sound one comes to that within a minute. Own choice.
const SHUT_KG_PER_S: f64 = 1e-9;
/// Lift from which a seat is open \[m\]. Own choice, under what a loupe shows.
pub const OPEN_FROM_M: f64 = 0.5e-6;

/// Whether so much gas goes past the seat of a stage that it is told.
pub fn passes_gas(s: &StageReadings) -> bool {
    s.flow_kg_per_s.abs() > SLIPS_KG_PER_S
}

/// A finger that is told \[N\]. Own choice, under the least that the window's hands press with.
const FINGER_N: f64 = 0.02;

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
    /// Pressed, and next to nothing goes by: it comes tight in time, or never quite.
    Nearly {
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
        } else if passes_gas(s) {
            Self::Slips {
                kg_per_s: s.flow_kg_per_s,
                squeeze_m: s.squeeze_m,
            }
        } else if s.squeeze_m >= OPEN_FROM_M {
            let squeeze_m = s.squeeze_m;
            if s.flow_kg_per_s.abs() > SHUT_KG_PER_S {
                Self::Nearly { squeeze_m }
            } else {
                Self::Pressed { squeeze_m }
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

/// What fills a spring case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Filling {
    /// Air, as it should.
    Air,
    /// Gas that leaves by it.
    Gas,
}

impl Filling {
    /// Of a stage: gas comes over the diaphragm through a tear or the relief.
    pub fn of(s: &StageReadings) -> Self {
        if s.tear_kg_per_s.max(s.relief_kg_per_s) > ESCAPES_KG_PER_S {
            Self::Gas
        } else {
            Self::Air
        }
    }
}

/// A finger that presses a diaphragm down, or lifts it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finger {
    /// Whether it lifts.
    pub lifts: bool,
    /// With so much \[N\].
    pub newton: f64,
}

impl Finger {
    /// On the diaphragm of a stage, where there is one.
    pub fn on(s: &StageReadings) -> Option<Self> {
        let newton = s.forces.hand_n;
        (newton.abs() > FINGER_N).then_some(Self {
            lifts: newton > 0.0,
            newton: newton.abs(),
        })
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
    /// Out of appliances that do not burn it.
    Unlit(Several),
    /// Out of a joint of the pigtail of this container.
    Pigtail(usize),
    /// Out of this container's own relief.
    Container(usize),
    /// Out of a joint of the low side.
    LowSide,
}

/// Why nothing comes to the outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// Every container's valve is shut.
    ValveShut,
    /// The container has nothing more to give.
    Empty,
    /// The container stands under the air's pressure: what is open draws air in.
    UnderAir,
    /// The container has pressure and its valve is open; it is lost on the way.
    Blocked,
}

/// How much of the rated input is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Load {
    /// Nothing: the regulator has locked up.
    Rest,
    /// Up to half of it.
    UpToHalf,
    /// More.
    OverHalf,
}

/// What keeps the first stage's chamber over its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Above {
    /// Its seat lets the container's pressure in.
    Container,
    /// Its seat is shut, and liquid boils behind it.
    Boiling,
    /// Its seat is shut on gas that has come in before.
    ShutIn,
}

/// What a first stage with too little gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gives {
    /// Nothing is drawn, so nothing shows yet.
    NothingAsked,
    /// The outlet still holds.
    JustEnough,
    /// The outlet does not hold.
    TooLittle,
}

/// Why a first stage has too little.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scarce {
    /// No container that is open has more to give.
    Spent,
    /// Its own inlet has too little: it is lost before it.
    ToIt,
    /// Its inlet has enough: it is lost in the stage.
    ThroughIt,
}

/// What keeps a seat from shutting, whatever its diaphragm does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Held {
    /// The lever is off its pin: the seat hangs loose.
    Loose,
    /// Its disc is crumbled or gone.
    Disc,
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
    /// The outlet stands over a limit.
    OutletOver {
        /// Outlet, gauge \[Pa\].
        outlet_pa: f64,
        /// The limit.
        limit: &'static Limit,
        /// At which load.
        load: Load,
    },
    /// The outlet stands under what burners want while gas flows, or will want when it does.
    OutletLow {
        /// Outlet, gauge \[Pa\].
        outlet_pa: f64,
        /// The least that would do \[Pa\].
        least_pa: f64,
        /// At which load.
        load: Load,
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
        /// What keeps it there; untold where nobody is to hear what is wrong.
        from: Option<Above>,
    },
    /// The first stage has too little, with gas drawn or at rest.
    FirstLow {
        /// First stage, gauge \[Pa\].
        chamber_pa: f64,
        /// What of it reaches the burners.
        gives: Gives,
        /// Why.
        why: Scarce,
    },
    /// The first stage has little left of what is usual, and all that is asked for still comes through it.
    FirstMeagre {
        /// First stage, gauge \[Pa\].
        chamber_pa: f64,
    },
    /// A container stands far over what its liquid gives at its temperature.
    ContainerOver {
        /// Which container.
        container: usize,
        /// Its pressure, gauge \[Pa\].
        pressure_pa: f64,
        /// What propane gives at this temperature, gauge \[Pa\].
        gives_pa: f64,
        /// The liquid's temperature \[K\].
        temperature_k: f64,
    },
    /// The regulator's inlet stands far under an open container that it draws on.
    InletFalls {
        /// Which container.
        container: usize,
        /// Its pressure, gauge \[Pa\].
        container_pa: f64,
        /// Behind its hose, gauge \[Pa\].
        inlet_pa: f64,
    },
    /// The outlet holds, and too much of it is lost on the way to the burners.
    PipeDrop {
        /// Outlet, gauge \[Pa\].
        outlet_pa: f64,
        /// Where the line branches to the burners, gauge \[Pa\].
        manifold_pa: f64,
    },
    /// A seat that nothing can shut.
    NeverShuts {
        /// Whose.
        stage: Which,
        /// Why.
        why: Held,
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
        /// Its level, 0 to 1.
        fill: f64,
        /// Where that would stand at 40 °F, which is what it is judged by.
        cold: f64,
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
        /// Of which appliances.
        appliances: Several,
    },
    /// Burners take more than their rating plates say.
    OverPlate {
        /// Which appliances.
        appliances: Several,
        /// The most that one of them does, as a share over its plate.
        most: f64,
    },
    /// Burners give less than their rating plates say, though the line before them has enough.
    Starved {
        /// Which appliances.
        appliances: Several,
        /// The most that one of them lacks, as a share of its plate.
        most: f64,
    },
    /// Flames burn badly.
    Flame {
        /// Of which appliances.
        appliances: Several,
        /// How.
        flame: Flame,
    },
    /// An appliance that is on has found no flame and waits before it tries again.
    Waits {
        /// Of which appliances.
        appliances: Several,
    },
    /// A burner is open and has no flame; what gas there is is told as escaping.
    Unlit {
        /// Of which appliances.
        appliances: Several,
    },
    /// An appliance has locked out.
    LockedOut {
        /// Of which appliances.
        appliances: Several,
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
                | Self::NeverShuts { .. }
                // A gauge and a thermometer have it, and what follows from them is for the class to find.
                | Self::ContainerOver { .. }
                // Nobody reads it off a gauge: it is clocked.
                | Self::OverPlate { .. }
                | Self::Starved { .. }
        )
    }

    /// Which of two that matter alike is told first: what stands over a limit, then what the others come from.
    pub(super) fn order(&self) -> u8 {
        match self {
            Self::Escapes { .. } | Self::OutletOver { .. } | Self::FirstOver { .. } => 0,
            Self::NeverShuts { .. } => 1,
            Self::Tripped { .. } => 2,
            Self::InletFalls { .. } => 3,
            Self::FirstLow {
                why: Scarce::Spent, ..
            } => 4,
            _ => 5,
        }
    }

    /// How much it matters.
    pub fn gravity(&self) -> Gravity {
        match self {
            Self::Escapes { .. }
            | Self::Liquid { .. }
            | Self::LowSideWet { .. }
            | Self::TooFull { .. }
            // Nothing but the supply shuts the gas off: its card says to shut the container at once.
            | Self::NeverShuts {
                stage: Which::Second,
                ..
            } => Gravity::Stop,
            // Kept off until it is put right, at the bench too: a burner that is fired so far over makes carbon monoxide.
            Self::OverPlate { most, .. } if LIMITS.over_plate_caution.is_passed_by(*most) => {
                Gravity::Stop
            }
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
    /// No burner takes gas, and the second seat stands pressed home without shutting, as without its rubber.
    HeldOpen,
    /// No burner takes gas, and what still comes by a seat presses it shut.
    Closing {
        /// Air in the spring case over the diaphragm whose seat lets it by, gauge \[Pa\], where it bears beside gas and spring.
        air: Option<(Which, f64)>,
    },
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
    /// It comes in, and no burner takes any.
    Untaken,
    /// Less comes in: the pipe empties.
    Less,
    /// Nothing comes from any container: all that burns is what the lines still hold.
    LeftOver,
}

/// What a rig is doing, and what is not as it should be.
#[derive(Debug, Clone, PartialEq)]
pub struct Affairs {
    /// What the regulator does.
    pub doing: Doing,
    /// First and second seat.
    pub seats: [SeatState; 2],
    /// What fills the spring cases.
    pub cases: [Filling; 2],
    /// A finger on first and second diaphragm.
    pub fingers: [Option<Finger>; 2],
    /// What is not as it should be, the gravest first.
    pub troubles: Vec<Trouble>,
    /// Whether only what is read, seen or heard is told, and not what is wrong.
    pub effects_only: bool,
}

/// What is to be said beside a container's valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValveAdvice {
    /// Open, its excess-flow valve closed, and somebody could be hurt: it is shut and stays shut.
    TrippedAndDanger,
    /// Open, its excess-flow valve closed: it is shut, and why so much ran is found first.
    Tripped,
    /// Open, and somebody could be hurt: it is shut and stays shut.
    Shut,
    /// Shut, and what is dangerous is so all the same: it stays shut.
    StayShut,
    /// Shut: it is opened slowly, once it is known why it was shut.
    OpenSlowly,
}

impl Affairs {
    /// Whether the container is to be shut and left shut: somebody could be hurt, and not by one burner alone, which is kept off.
    pub fn orders_shut(&self) -> bool {
        let of_supply = |t: &Trouble| !matches!(t, Trouble::OverPlate { .. });
        self.tells(|t| t.gravity() == Gravity::Stop && of_supply(t))
    }

    /// What is to be said beside a container's valve; nothing where it stands open and all is well with it. Never to open it
    /// while anything orders it shut.
    pub fn valve_advice(&self, c: &ContainerReadings) -> Option<ValveAdvice> {
        let is_open = c.valve_open > 0.0;
        match (is_open, c.excess_flow_tripped, self.orders_shut()) {
            (true, true, true) => Some(ValveAdvice::TrippedAndDanger),
            (true, true, false) => Some(ValveAdvice::Tripped),
            (true, false, true) => Some(ValveAdvice::Shut),
            (false, _, true) => Some(ValveAdvice::StayShut),
            (false, _, false) => Some(ValveAdvice::OpenSlowly),
            (true, false, false) => None,
        }
    }

    /// The same without what is wrong, for a class that is to find it out: readings, flames and escaping gas stay.
    #[must_use]
    pub fn effects(mut self) -> Self {
        self.troubles.retain(|t| !t.names_the_cause());
        for t in &mut self.troubles {
            match t {
                Trouble::Escapes { by, .. } => {
                    if let Escape::Tear(which) = *by {
                        *by = Escape::Vent(which);
                    }
                }
                Trouble::FirstOver { from, .. } => *from = None,
                _ => {}
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

    fn tells(&self, what: impl Fn(&Trouble) -> bool) -> bool {
        self.troubles.iter().any(what)
    }

    /// Whether what passes a seat with every burner shut goes on to raise the pressure: it stands over a limit already, or the
    /// seat is pressed as hard as it ever is.
    pub fn climbs(&self) -> bool {
        self.tells(|t| {
            matches!(
                t,
                Trouble::Creeps { .. }
                    | Trouble::NeverShuts { .. }
                    | Trouble::OutletOver { .. }
                    | Trouble::FirstOver { .. }
            )
        })
    }

    /// Whether a seat is told to let gas by with every burner shut.
    pub fn creeps(&self) -> bool {
        self.tells(|t| matches!(t, Trouble::Creeps { .. }))
    }

    /// Whether the second diaphragm has lost its seat.
    pub fn second_hangs_loose(&self) -> bool {
        let loose = Trouble::NeverShuts {
            stage: Which::Second,
            why: Held::Loose,
        };
        self.troubles.contains(&loose)
    }

    /// Whether gas gets out.
    pub fn escapes(&self) -> bool {
        self.tells(|t| matches!(t, Trouble::Escapes { .. }))
    }

    /// Whether gas escapes that came through the regulator: what is lost before it comes by no seat.
    pub fn escapes_behind(&self) -> bool {
        let before = |by: &Escape| matches!(by, Escape::Container(_) | Escape::Pigtail(_));
        self.tells(|t| matches!(t, Trouble::Escapes { by, .. } if !before(by)))
    }
}
