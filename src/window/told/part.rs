//! The parts of the rig by name: one identity of each for every picture of it, with what it does, what goes wrong with
//! it, what it reads now, the history that tells of it and the faults that strike it. Not here: where it is drawn.

use crate::fault::Fault;
use crate::report::percent::percent;
use crate::report::visit::indicator;
use crate::rig::readings::{Readings, StageReadings};
use crate::rig::{Rig, Stage};
use crate::service::Which;
use crate::sim::Channel;
use crate::window::look::show::{Shown, Units};
use crate::window::told::seats::{moves, seat_told, stands};

/// A part of one stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Piece {
    /// Room under the diaphragm.
    Chamber,
    /// Air over it, in the bonnet.
    Bonnet,
    /// Breather to the open.
    Vent,
    /// Flap beside the breather.
    Flap,
    /// Adjusting screw.
    Screw,
    /// Adjusting spring.
    Spring,
    /// The rubber.
    Diaphragm,
    /// Plate on the rubber.
    Plate,
    /// Relief in the plate.
    Relief,
    /// Lever from plate to seat.
    Lever,
    /// Its pin.
    Pivot,
    /// Orifice.
    Nozzle,
    /// Seat disc.
    Disc,
}

/// A part of the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// Container on service.
    Container,
    /// Its valve.
    Valve,
    /// Hose to the regulator, and the inlet it ends in.
    Pigtail,
    /// What joins two containers.
    Changeover,
    /// The seat through which the other container feeds.
    Reserve,
    /// A part of a stage.
    Of(Which, Piece),
    /// Passage between the stages.
    Between,
    /// Line to the burners.
    Outlet,
}

/// What is told of a kind of part.
struct Told {
    name: &'static str,
    does: &'static str,
    wrong: &'static str,
}

const fn told(name: &'static str, does: &'static str, wrong: &'static str) -> Told {
    Told { name, does, wrong }
}

impl Piece {
    /// All, the large before the small that lie on them.
    pub const ALL: [Self; 13] = [
        Self::Chamber,
        Self::Bonnet,
        Self::Vent,
        Self::Flap,
        Self::Screw,
        Self::Spring,
        Self::Diaphragm,
        Self::Plate,
        Self::Relief,
        Self::Lever,
        Self::Nozzle,
        Self::Pivot,
        Self::Disc,
    ];

    fn told(self) -> Told {
        match self {
            Self::Chamber => told(
                "chamber",
                "Holds what has passed the seat; its pressure is what the diaphragm feels",
                "Liquid in it boils and chills the body; oily residue gums the guide",
            ),
            Self::Bonnet => told(
                "spring case",
                "Room over the diaphragm: air, or gas where some gets in, has to come and go by the vent as the diaphragm moves",
                "Shut in, it pushes back: the pressure runs up as burners shut off, and drifts with sun and height",
            ),
            Self::Vent => told(
                "vent",
                "Lets the spring case breathe; gas that gets past the diaphragm comes out here",
                "Mud, ice or paint shut it: load steps overshoot and the relief cannot blow. Never block or cap it",
            ),
            Self::Flap => told(
                "vent flap",
                "Lifts when much has to leave at once, as when the relief blows",
                "Painted or stuck, it dams up what the relief lets through",
            ),
            Self::Screw => told(
                "adjusting screw",
                "Presses the spring together, and so sets the pressure that the stage holds",
                "Turned in, everything downstream runs high; turned out, it runs low. Only a technician turns it, with a manometer",
            ),
            Self::Spring => told(
                "spring",
                "Pushes the diaphragm down and the seat open until the gas below pushes as hard",
                "Weak or broken it gives way too early: the pressure is too low at every load",
            ),
            Self::Diaphragm => told(
                "diaphragm",
                "Feels the gas below against spring and air above, and moves the lever",
                "A tear lets gas into the spring case and out of the vent; stiff rubber makes it slow",
            ),
            Self::Plate => told(
                "diaphragm plate",
                "Spreads the push of the spring over the rubber",
                "Water that stands on it weighs on it, and holds it fast when it freezes",
            ),
            Self::Relief => told(
                "relief",
                "Lets gas through the plate into the spring case when the outlet stands far too high",
                "Weeping it leaks at all times; stuck shut, nothing limits a failed seat",
            ),
            Self::Lever => told(
                "lever",
                "Makes the diaphragm's long, soft travel a short, strong one of the seat",
                "Sticking, it hangs and hunts; bent it locks up wrong; off its pin the seat stands open",
            ),
            Self::Pivot => told(
                "lever pin",
                "What the lever turns on",
                "Residue makes it drag, and the pressure hangs behind the load",
            ),
            Self::Nozzle => told(
                "orifice",
                "Its bore bounds what can pass; its lip has to be smooth and clean",
                "Ice or dirt narrow it; the jet out of it pushes on the seat",
            ),
            Self::Disc => told(
                "seat disc",
                "Rubber that meets the orifice: how near it comes decides what passes",
                "Grit, a nick or crumbled rubber let gas by at rest: lock-up climbs",
            ),
        }
    }
}

impl Part {
    /// All parts that a rig has, in the order of the gas.
    pub fn all(rig: &Rig) -> Vec<Self> {
        let mut out = vec![Self::Container, Self::Valve, Self::Pigtail];
        if rig.changeover.is_some() {
            out.extend([Self::Changeover, Self::Reserve]);
        }
        for which in Which::BOTH {
            let stage = stage_of(rig, which);
            let has = |p: &Piece| match p {
                Piece::Relief => stage.relief.is_some(),
                Piece::Flap => stage.vent.flap_m2 > 0.0,
                _ => true,
            };
            out.extend(
                Piece::ALL
                    .into_iter()
                    .filter(has)
                    .map(|p| Self::Of(which, p)),
            );
            out.push(match which {
                Which::First => Self::Between,
                Which::Second => Self::Outlet,
            });
        }
        out
    }

    fn told(self) -> Told {
        match self {
            Self::Container => told(
                "container",
                "Holds fuel that boils as gas is drawn; its pressure follows the liquid's temperature",
                "Cold, low or filled with the wrong blend it gives too little; filled over 80 % it sends liquid",
            ),
            Self::Valve => told(
                "service valve",
                "Opens the way out; behind it the excess-flow valve closes on a rush of gas",
                "Opened too fast it trips the excess-flow valve; half open it starves the load",
            ),
            Self::Pigtail => told(
                "pigtail and inlet",
                "Carries container gas to the first orifice",
                "Kinked, perished inside or leaking it starves the first stage under load",
            ),
            Self::Changeover => told(
                "changeover",
                "Sends the container that its knob points at to the first stage, the other to the reserve seat; its \
                 indicator turns red when the side in service gives out",
                "Stuck, the reserve is never drawn on and the burners go out with the first container",
            ),
            Self::Reserve => told(
                "reserve seat",
                "Set lower than the first stage: it opens by itself once the first-stage pressure has fallen so far",
                "Set too near to the first stage, both containers empty together and nothing is left in reserve",
            ),
            Self::Of(_, piece) => piece.told(),
            Self::Between => told(
                "passage between the stages",
                "Carries first-stage gas, some 10 psig, to the second orifice",
                "Over 13 psig soon after gas was drawn the first seat lets gas by. Gas that stays shut in there reads more by itself as it warms, or as the vehicle climbs: then it says nothing of the seat",
            ),
            Self::Outlet => told(
                "outlet and line",
                "The low side to the burners: about 11 in w.c. while they burn, a little more at rest",
                "Crushed, too small or with liquid in its low point it takes pressure away under load; a joint may leak",
            ),
        }
    }

    /// "First-stage spring".
    pub fn name(self) -> String {
        match self {
            Self::Of(which, piece) => {
                let stage = match which {
                    Which::First => "First-stage",
                    Which::Second => "Second-stage",
                };
                format!("{stage} {}", piece.told().name)
            }
            other => crate::report::letters::capital(other.told().name),
        }
    }

    /// What it does.
    pub fn does(self) -> &'static str {
        self.told().does
    }

    /// What goes wrong with it.
    pub fn wrong(self) -> &'static str {
        self.told().wrong
    }

    /// What of it is read, felt or seen moving, and nothing of its condition: for a class that is to find that out.
    fn effect(self, rig: &Rig, n: &Readings, u: Units) -> Option<String> {
        match self {
            Self::Valve => Some(valve_value(n.containers[n.service_side].valve_open)),
            Self::Of(which, piece) => {
                let s = which.of(n);
                match piece {
                    Piece::Chamber => Some(chamber(which, s.chamber_pa, u).to_string()),
                    Piece::Vent => Some(way_of(s, u)),
                    Piece::Nozzle => {
                        Some(format!("bore {}", u.travel(stage_of(rig, which).bore_m)))
                    }
                    Piece::Disc => Some(seat_moves(s, u)),
                    Piece::Screw | Piece::Lever | Piece::Pivot => None,
                    _ => Some(piece_value(which, piece, rig, n, u)),
                }
            }
            other => Some(other.condition(rig, n, u)),
        }
    }

    /// What it reads now; with `effects_only` nothing that tells its condition.
    pub fn value(self, rig: &Rig, n: &Readings, u: Units, effects_only: bool) -> String {
        if effects_only {
            let effect = self.effect(rig, n, u);
            effect.unwrap_or_else(|| "nothing to read from here".to_owned())
        } else {
            self.condition(rig, n, u)
        }
    }

    fn condition(self, rig: &Rig, n: &Readings, u: Units) -> String {
        let c = &n.containers[n.service_side];
        match self {
            Self::Container => format!(
                "{}, liquid at {}, {} full",
                u.high(c.pressure_pa),
                u.temperature(c.temperature_k),
                percent(c.fill)
            ),
            Self::Valve if c.excess_flow_tripped => "excess-flow valve closed".to_owned(),
            Self::Valve => valve_value(c.valve_open),
            Self::Pigtail => format!(
                "{} at the inlet, {} flows",
                u.high(n.first.inlet_pa),
                u.mass_flow(n.first.flow_kg_per_s)
            ),
            Self::Changeover => format!(
                "{} in service, indicator {}",
                ["left", "right"][n.service_side.min(1)],
                indicator(n.indicator_red)
            ),
            Self::Reserve => match rig.changeover {
                Some(change) if n.first.chamber_pa < change.reserve_set_pa => format!(
                    "open: {} is under its {}, {} passes",
                    u.high(n.first.chamber_pa),
                    u.high(change.reserve_set_pa),
                    u.mass_flow(n.containers[1 - n.service_side.min(1)].flow_kg_per_s)
                ),
                Some(change) => format!("shut: opens under {}", u.high(change.reserve_set_pa)),
                None => "none".to_owned(),
            },
            Self::Of(which, piece) => piece_value(which, piece, rig, n, u),
            Self::Between => format!(
                "{}, {} flows on",
                u.high(n.first.chamber_pa),
                u.mass_flow(n.second.flow_kg_per_s)
            ),
            Self::Outlet => format!(
                "{}, {} of gas flows to the burners",
                u.low(n.outlet_pa),
                u.heat(n.flow_w)
            ),
        }
    }

    /// All of it in words, for those who hear it.
    pub fn words(self, rig: &Rig, n: &Readings, u: Units, effects_only: bool) -> String {
        format!(
            "{}: {}. {}. {}",
            self.name(),
            self.value(rig, n, u, effects_only),
            u.prose(self.does()),
            u.prose(self.wrong())
        )
    }

    /// What of the record tells of it.
    pub fn history(self) -> Channel {
        use Which::{First, Second};
        match self {
            Self::Container | Self::Valve => Channel::Container,
            Self::Pigtail | Self::Changeover => Channel::Inlet,
            Self::Reserve | Self::Between | Self::Of(First, Piece::Chamber) => Channel::FirstStage,
            // The outlet has a chart of its own: what is left of it at the far end tells of the line.
            Self::Outlet => Channel::Manifold,
            Self::Of(Second, Piece::Chamber) => Channel::Outlet,
            Self::Of(First, Piece::Bonnet) => Channel::FirstCase,
            Self::Of(Second, Piece::Bonnet | Piece::Flap) => Channel::SecondCase,
            Self::Of(First, Piece::Vent | Piece::Flap) => Channel::FirstVent,
            Self::Of(Second, Piece::Vent) => Channel::SecondVent,
            Self::Of(First, Piece::Relief) => Channel::FirstRelief,
            Self::Of(Second, Piece::Relief) => Channel::SecondRelief,
            Self::Of(First, Piece::Disc | Piece::Nozzle) => Channel::FirstLift,
            Self::Of(Second, Piece::Disc | Piece::Nozzle) => Channel::SecondLift,
            Self::Of(First, _) => Channel::FirstRise,
            Self::Of(Second, _) => Channel::SecondRise,
        }
    }

    /// The faults that strike it, by their names in the catalogue.
    pub fn faults(self) -> Vec<Fault> {
        self.fault_ids()
            .iter()
            .filter_map(|id| Fault::named(id))
            .collect()
    }

    fn fault_ids(self) -> &'static [&'static str] {
        use Which::{First, Second};
        match self {
            Self::Container => &[
                "container_cold",
                "container_low",
                "container_overfilled",
                "butane_rich",
                "air_in_container",
                "water_in_fuel",
            ],
            Self::Changeover => &["changeover_stuck", "changeover_early"],
            Self::Reserve => &["changeover_early", "changeover_stuck"],
            Self::Valve => &["service_valve_part_open", "excess_flow_tripped"],
            Self::Pigtail => &[
                "hose_bored_down",
                "hose_kinked",
                "pigtail_leak",
                "liquid_carry_over",
            ],
            Self::Of(First, Piece::Chamber) => &["liquid_carry_over", "oily_residue"],
            Self::Of(First, Piece::Bonnet | Piece::Vent | Piece::Flap) => &["first_vent_blocked"],
            Self::Of(First, Piece::Screw) => &["first_screw_high", "first_screw_low"],
            Self::Of(First, Piece::Spring) => &["first_spring_weak", "first_spring_broken"],
            Self::Of(First, Piece::Diaphragm | Piece::Plate | Piece::Relief) => {
                &["first_diaphragm_torn"]
            }
            Self::Of(First, Piece::Lever | Piece::Pivot) => &["first_guide_gummed"],
            Self::Of(First, Piece::Nozzle) => &["first_stage_clogged", "water_in_fuel"],
            Self::Of(First, Piece::Disc) => &[
                "first_seat_grit",
                "first_seat_nick",
                "first_seat_hard",
                "first_seat_disc_lost",
            ],
            Self::Between => &["first_seat_nick", "first_stage_clogged"],
            Self::Of(Second, Piece::Chamber) => &["low_point_liquid", "oily_residue"],
            Self::Of(Second, Piece::Bonnet) => {
                &["vent_sealed_below", "mounted_in_sun", "second_vent_blocked"]
            }
            Self::Of(Second, Piece::Vent) => &[
                "second_vent_blocked",
                "second_vent_iced",
                "vent_sealed_below",
                "vent_screen_painted",
                "vent_turned_up",
            ],
            Self::Of(Second, Piece::Flap) => &["vent_screen_painted"],
            Self::Of(Second, Piece::Screw) => &["second_screw_high", "second_screw_low"],
            Self::Of(Second, Piece::Spring) => &["second_spring_weak", "second_spring_broken"],
            Self::Of(Second, Piece::Diaphragm) => {
                &["diaphragm_pinhole", "diaphragm_torn", "rubber_stiff"]
            }
            Self::Of(Second, Piece::Plate) => &["vent_turned_up", "diaphragm_torn"],
            Self::Of(Second, Piece::Relief) => {
                &["relief_weeping", "relief_stuck_shut", "relief_set_low"]
            }
            Self::Of(Second, Piece::Lever) => &["lever_off", "lever_bent", "lever_gummed"],
            Self::Of(Second, Piece::Pivot) => &["lever_gummed", "oily_residue"],
            Self::Of(Second, Piece::Nozzle) => &["second_seat_grit", "lever_off"],
            Self::Of(Second, Piece::Disc) => &[
                "second_seat_grit",
                "second_seat_nick",
                "second_seat_set",
                "second_seat_hard",
                "second_seat_disc_lost",
            ],
            Self::Outlet => &[
                "line_crushed",
                "line_too_small",
                "low_point_liquid",
                "low_side_leak",
            ],
        }
    }
}

fn stage_of(rig: &Rig, which: Which) -> &Stage {
    match which {
        Which::First => &rig.first,
        Which::Second => &rig.second,
    }
}

fn valve_value(open: f64) -> String {
    match open {
        v if v <= 0.0 => "shut".to_owned(),
        v if v >= 0.999 => "open".to_owned(),
        v => format!("{} open", percent(v)),
    }
}

fn way_of(s: &StageReadings, u: Units) -> String {
    match breathes(s) {
        None => "nothing flows through it".to_owned(),
        Some(Breath::Out) => format!("{} out", u.breath(s.vent_m3_per_s)),
        Some(Breath::In) => format!("{} in", u.breath(-s.vent_m3_per_s)),
    }
}

/// A pressure of a stage's chamber: one gas has one unit in every place, whatever its size.
pub fn chamber(which: Which, pa: f64, u: Units) -> Shown {
    match which {
        Which::First => u.high(pa),
        Which::Second => u.low(pa),
    }
}

/// Liquid in the first chamber, where there is any to tell: "0.12 oz liquid", "a trace of liquid".
pub fn liquid(kg: f64, u: Units) -> Option<String> {
    let shown = u.small_mass(kg);
    let is_trace = shown.number() == u.small_mass(0.0).number();
    match kg {
        none if none <= 0.0 => None,
        _ if is_trace => Some("a trace of liquid".to_owned()),
        _ => Some(format!("{shown} of liquid")),
    }
}

fn piece_value(which: Which, piece: Piece, rig: &Rig, n: &Readings, u: Units) -> String {
    let (stage, s) = (stage_of(rig, which), which.of(n));
    match piece {
        Piece::Chamber => {
            let stands = chamber(which, s.chamber_pa, u);
            let pool_kg = if which == Which::First {
                n.pool_kg
            } else {
                0.0
            };
            match liquid(pool_kg, u) {
                Some(liquid) => format!("{stands}, {liquid}"),
                None => stands.to_string(),
            }
        }
        Piece::Bonnet => u.low(s.case_pa).to_string(),
        Piece::Vent => format!("{} open, {}", percent(s.vent_open), way_of(s, u)),
        Piece::Flap => match stage.vent.flap_open(s.case_pa, s.vent_open) {
            Some(open) if open > 0.0 => format!("{} up", percent(open)),
            _ => "down".to_owned(),
        },
        // Two numbers of one spring, each with where the diaphragm stands: one alone looks like a contradiction of the forces.
        Piece::Screw => format!(
            "spring set to {} with the diaphragm all the way down; {} now",
            u.force(stage.preload_n),
            u.force(s.forces.spring_n.abs())
        ),
        Piece::Spring => format!("pushes with {}", u.force(s.forces.spring_n.abs())),
        Piece::Diaphragm => format!("{}, net push {}", stands(s, u), u.force(s.forces.sum_n())),
        Piece::Plate => format!("{}, {}", stands(s, u), moves(s)),
        Piece::Relief if s.relief_kg_per_s > 1e-9 => {
            format!("blows {}", u.mass_flow(s.relief_kg_per_s))
        }
        Piece::Relief => "shut".to_owned(),
        Piece::Lever if !stage.linked => "off its pin".to_owned(),
        Piece::Lever => format!(
            "{:.1} of diaphragm travel to 1 of the seat",
            stage.lever_ratio
        ),
        Piece::Pivot => format!("drags with {}", u.force(s.forces.friction_n.abs())),
        Piece::Nozzle if s.ice > 0.003 => format!(
            "bore {}, {} of it iced",
            u.travel(stage.bore_m),
            percent(s.ice)
        ),
        Piece::Nozzle => format!(
            "bore {}, {} passes",
            u.travel(stage.bore_m),
            u.mass_flow(s.flow_kg_per_s)
        ),
        Piece::Disc => seat_told(stage, s, u),
    }
}

/// How far a seat stands open, and no word of how it lies on its lip or of what slips by.
pub fn seat_moves(s: &StageReadings, u: Units) -> String {
    if s.lift_m > 0.0 {
        format!("{} open", u.small_length(s.lift_m))
    } else {
        "on its lip".to_owned()
    }
}

/// Which way a vent breathes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breath {
    /// Air comes in.
    In,
    /// Air or gas leaves.
    Out,
}

/// Breath below this is still air \[m³/s\].
const STILL_M3_PER_S: f64 = 2e-8;

/// Which way the vent of a stage breathes, where it does: the picture's arrow and every word of it.
pub fn breathes(s: &StageReadings) -> Option<Breath> {
    match s.vent_m3_per_s {
        q if q > STILL_M3_PER_S => Some(Breath::Out),
        q if q < -STILL_M3_PER_S => Some(Breath::In),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::presets;

    #[test]
    fn every_part_is_told_and_its_faults_are_in_the_catalogue() {
        let container = presets::container("30 lb cylinder").expect("a preset");
        let rig = Rig::standard(vec![container; 2], vec![]);
        assert!(Part::all(&rig).contains(&Part::Changeover));
        let parts = Part::all(&rig);
        let mut names: Vec<String> = parts.iter().map(|p| p.name()).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), parts.len(), "each has a name of its own");
        for part in parts {
            let ids = part.fault_ids();
            assert_eq!(part.faults().len(), ids.len(), "{ids:?}");
            assert!(!ids.is_empty(), "{} has no fault to offer", part.name());
            for u in [Units::Us, Units::Si] {
                for effects_only in [false, true] {
                    let n = Readings::default();
                    assert!(!part.value(&rig, &n, u, effects_only).is_empty());
                }
            }
        }
    }

    /// A class that is to find it out reads no condition of a part: a vent that is half shut, ice in a nozzle, a tripped valve.
    #[test]
    fn with_effects_only_no_condition_is_told() {
        let container = presets::container("30 lb cylinder").expect("a preset");
        let rig = Rig::standard(vec![container], vec![]);
        let mut n = Readings::default();
        n.containers[0].excess_flow_tripped = true;
        n.pool_kg = 1e-3;
        for s in [&mut n.first, &mut n.second] {
            (s.vent_open, s.ice) = (0.35, 0.4);
            (s.squeeze_m, s.flow_kg_per_s) = (2e-6, 1e-6);
        }
        for part in Part::all(&rig) {
            let told = part.value(&rig, &n, Units::Us, true);
            for word in [
                "35 %", "40 %", "iced", "excess", "liquid", "tight", "slips", "pressed",
            ] {
                let of_supply = part == Part::Container;
                assert!(of_supply || !told.contains(word), "{part:?}: {told}");
            }
        }
        let vent = Part::Of(Which::Second, Piece::Vent);
        assert!(vent.value(&rig, &n, Units::Us, false).contains("35 % open"));
    }
}
