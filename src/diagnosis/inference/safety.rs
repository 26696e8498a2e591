//! Safety first: what the readings forbid, and when to shut off and refer.

use crate::diagnosis::files::account::{Complaint, Smell};
use crate::diagnosis::files::readings::Readings;
use crate::physics::air::atmosphere_pa;
use crate::service::{LIMITS, SUN_K, forbids_flames, propane_gives_pa};
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::item::BUBBLES;
use crate::visit::{ALL, Against, Id, Item, Judged, Measure, Scale, Test, Values};
use serde::Serialize;

/// How much may still be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Danger {
    /// Every test may be offered.
    None,
    /// Nothing that lights a flame or wants gas to flow: gas may be escaping.
    NoFlame,
    /// Nothing that needs the container open.
    ShutOff,
}

impl Danger {
    /// Whether a test is safe in this state.
    pub fn allows(self, test: Test) -> bool {
        let without_gas = matches!(
            test,
            Test::Air | Test::Fill | Test::LeakCheck | Test::NewPiping
        );
        let without_flame = matches!(
            test,
            Test::Container
                | Test::Vent
                | Test::Joints
                | Test::LockUp
                | Test::Creep
                | Test::FirstStage
        );
        match self {
            Self::None => true,
            Self::NoFlame => without_gas || without_flame,
            Self::ShutOff => without_gas,
        }
    }
}

/// When a test may be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Offered {
    /// As the rig stands.
    AsItStands,
    /// The container is to stay shut, and it opens it: once what was found has been put right.
    OncePutRight,
}

impl Danger {
    /// When a test may be made in this state; none where it may not be offered at all. Of a look what needs no gas is left in any state.
    pub fn offers(self, test: Test) -> Option<Offered> {
        if test.items().any(|i| needs_no_gas(ALL[i].id)) {
            return Some(Offered::AsItStands);
        }
        let opens = self != Self::None && !Self::ShutOff.allows(test);
        let when = if opens {
            Offered::OncePutRight
        } else {
            Offered::AsItStands
        };
        self.allows(test).then_some(when)
    }

    /// Whether an item may be read: where no flame may be lit, none that a burner has to burn for, or to have burned for, just
    /// before.
    pub fn allows_item(self, item: Id) -> bool {
        let of_test =
            self.allows(item.item().test) && !(item.wants_a_flame() && self != Self::None);
        of_test || needs_no_gas(item)
    }
}

/// Looks for which neither gas nor flame is wanted, though they are made in a test that lights everything.
pub(in crate::diagnosis) fn needs_no_gas(item: Id) -> bool {
    matches!(item, Id::VentLooks | Id::Hose | Id::Valve)
}

/// Why one should stop.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// A low-side pressure over 2 psig, which the relief should hold.
    OverRelief(Id),
    /// One far over 14 in w.c.
    FarOver(Id),
    /// One over 14 in w.c.
    Over(Id),
    /// A first stage from which nothing is lit.
    FirstOver,
    /// It is past its limit at rest and climbs on, which no single reading says.
    FirstClimbing,
    /// Its gauge stands on its pin.
    FirstPegged,
    /// A container is filled too far: liquid may come to the regulator, and its own relief may open.
    Overfilled(Id),
    /// A container stands far over what propane gives in such air, beside it what that is at most \[Pa\].
    OverPropane(Id, f64),
    /// Leak fluid shows gas.
    Bubbles(Id),
    /// Gas is heard.
    Heard(Id),
    /// The leak check loses pressure.
    Loses,
    /// Gas is smelled, or was and nothing has shown since that the rig is tight.
    Smelled(Smell),
    /// It was smelled, and no leak check has been made.
    SmellTold,
    /// Carbon monoxide or soot was told of: nothing that is read of the gas's pressure shows that what burned is safe.
    MonoxideTold,
    /// Leak fluid has not been there yet, and what is likeliest would let gas out.
    Expected(Id),
    /// Gas is lost before the regulator, where an excess-flow valve may have shut off a leak, and leak fluid has not been there.
    MayHaveTripped(Id),
    /// A lock-up stands over its limit or climbs, and what is likeliest does not explain it.
    Unexplained(Id),
}

impl Reason {
    /// Whether nothing was found, and gas is only to be expected.
    pub fn is_only_expected(self) -> bool {
        matches!(self, Self::Expected(_) | Self::MayHaveTripped(_))
    }

    /// Whether it tells already that a reading is past its limit.
    pub fn tells(self, judged: &Judged) -> bool {
        let Against::Figure(measure) = judged.against else {
            return false;
        };
        let of = |kind: Scale| matches!(measure, Measure::Read(id) if id.item().kind == kind);
        match self {
            Self::OverRelief(_) | Self::FarOver(_) | Self::Over(_) => {
                of(Scale::Low) && forbids_flames(judged.value)
            }
            Self::FirstOver | Self::FirstClimbing | Self::FirstPegged => of(Scale::Middle),
            Self::Overfilled(_) => of(Scale::Fill),
            Self::Loses => measure == Measure::Read(Id::LeakChange),
            Self::OverPropane(id, _) | Self::Bubbles(id) | Self::Heard(id) => {
                measure == Measure::Read(id)
            }
            Self::Smelled(_)
            | Self::SmellTold
            | Self::MonoxideTold
            | Self::Expected(_)
            | Self::MayHaveTripped(_)
            | Self::Unexplained(_) => false,
        }
    }
}

/// A first stage that gains so much in the five minutes of a creep test is on its way to the container's pressure \[psi\] (own:
/// two divisions of its gauge).
const CLIMBS_PSI: f64 = 2.0;

/// Whether the first stage at rest is past its limit and has climbed there.
fn first_is_climbing(values: &Values) -> bool {
    let read = |id: Id| values[id.index()];
    let both = read(Id::FirstRest).zip(read(Id::FirstCreep));
    both.is_some_and(|(minute, later)| {
        LIMITS.first_rest.is_passed_by(later) && later - minute > psi_to_pa(CLIMBS_PSI)
    })
}

/// What readings demand, with what was told beside them.
pub fn of_readings(readings: &Readings) -> (Danger, Vec<Reason>) {
    let (mut danger, mut why) = demand(&readings.at_least());
    let already = why.contains(&Reason::FirstOver);
    let mut note = |level: Danger, reason: Reason| {
        danger = danger.max(level);
        why.push(reason);
    };
    if !already && first_is_climbing(&readings.values) {
        note(Danger::NoFlame, Reason::FirstClimbing);
    }
    // A gauge on its pin says how much at least: a first stage that pegs it may stand at the container's pressure.
    let pegged = |(item, over): (&Item, &bool)| *over && item.kind == Scale::Middle;
    if !already && ALL.iter().zip(&readings.over).any(pegged) {
        note(Danger::NoFlame, Reason::FirstPegged);
    }
    match readings.beside.smell {
        None | Some(Smell::Nowhere) => {}
        Some(Smell::Appliance) => note(Danger::ShutOff, Reason::Smelled(Smell::Appliance)),
        Some(place) => note(Danger::NoFlame, Reason::Smelled(place)),
    }
    let told = readings.beside.complaint == Some(Complaint::Smell);
    if told && readings.values[Id::LeakChange.index()].is_none() {
        note(Danger::NoFlame, Reason::SmellTold);
    }
    if let Some(Complaint::Monoxide | Complaint::Soot) = readings.beside.complaint {
        note(Danger::NoFlame, Reason::MonoxideTold);
    }
    (danger, why)
}

/// A container under this gives no gas to test with \[psi\] (own: a dial of 200 psi is read to one).
const NO_GAS_PSI: f64 = 1.5;

/// An outlet under this at a flow has no gas behind it \[in w.c.\] (own: a column is read to a tenth).
const NO_FLOW_INWC: f64 = 0.3;

/// Why there was no gas to read anything with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoGas {
    /// The gauge of the container that serves stands at nothing. It is empty, shut, or too cold for its fuel (propane
    /// from about -40 °F down, butane from 32).
    Container,
    /// Nothing comes out of the regulator, whatever is lit: shut, tripped or blocked before it.
    Beyond,
}

/// The hottest container that is thought of where the air was not read \[K\] (the 130 °F that the limit of its fill is derived from).
const HOTTEST_K: f64 = 327.6;

/// Where a reading before the regulator stands over the most that propane gives at the temperature of the air and of a body in the sun, and
/// what that is \[Pa\]: a gauge that errs, liquid without a bubble over it, air or another gas.
fn over_propane(values: &Values) -> Option<(Id, f64)> {
    let read = |id: Id| values[id.index()];
    let body_k = read(Id::Air).map_or(HOTTEST_K, |k| k + SUN_K);
    let most_pa = propane_gives_pa(body_k, atmosphere_pa(read(Id::Elevation).unwrap_or(0.0)));
    let before = Id::all().filter(|id| id.item().kind == Scale::High);
    let over = before.filter_map(|id| {
        let pa = read(id)?;
        (pa - 2.0 * id.item().uncertainty(pa) > most_pa).then_some((id, pa))
    });
    let highest = over.max_by(|a, b| a.1.total_cmp(&b.1));
    highest.map(|(id, _)| (id, most_pa))
}

/// Whether there was no gas to read anything with, and why.
pub fn no_gas(values: &Values) -> Option<NoGas> {
    let read = |id: &Id| values[id.index()];
    if read(&Id::Container).is_some_and(|pa| pa < psi_to_pa(NO_GAS_PSI)) {
        return Some(NoGas::Container);
    }
    let before = [
        Id::HalfInlet,
        Id::FullInlet,
        Id::FirstHalf,
        Id::FirstFull,
        Id::FirstRest,
    ];
    let behind = [
        Id::HalfOutlet,
        Id::FullOutlet,
        Id::PilotsOutlet,
        Id::RestMinute,
    ];
    let all_under = |ids: &[Id], least: f64| ids.iter().filter_map(read).all(|pa| pa < least);
    let any = behind.iter().any(|id| read(id).is_some());
    let nothing =
        all_under(&before, psi_to_pa(NO_GAS_PSI)) && all_under(&behind, inwc_to_pa(NO_FLOW_INWC));
    (any && nothing).then_some(NoGas::Beyond)
}

/// What the readings demand: how much may still be done, and why.
pub fn demand(values: &Values) -> (Danger, Vec<Reason>) {
    let mut danger = Danger::None;
    let mut why = Vec::new();
    let mut note = |level: Danger, reason: Reason| {
        danger = danger.max(level);
        why.push(reason);
    };
    let read = || {
        ALL.iter()
            .zip(values)
            .filter_map(|(i, v)| v.map(|v| (i, v)))
    };
    // The highest that stands, and the highest that only passes: the one says how it is left, the other what came through.
    let highest = |passing: bool| {
        let low = read().filter(|(i, _)| i.kind == Scale::Low && i.id.is_passing() == passing);
        low.max_by(|a, b| a.1.total_cmp(&b.1))
    };
    let mut outlets: Vec<(&Item, f64)> = [false, true].into_iter().filter_map(highest).collect();
    outlets.sort_by(|a, b| b.1.total_cmp(&a.1));
    for (item, v) in outlets {
        if LIMITS.relief.is_passed_by(v) {
            note(Danger::ShutOff, Reason::OverRelief(item.id));
        } else if LIMITS.far_over.is_passed_by(v) {
            note(Danger::ShutOff, Reason::FarOver(item.id));
        } else if forbids_flames(v) {
            note(Danger::NoFlame, Reason::Over(item.id));
        }
    }
    let first = read()
        .filter(|(i, _)| i.kind == Scale::Middle)
        .map(|(_, v)| v)
        .fold(0.0, f64::max);
    if LIMITS.first_danger.is_passed_by(first) {
        note(Danger::NoFlame, Reason::FirstOver);
    }
    if let Some((id, most_pa)) = over_propane(values) {
        note(Danger::ShutOff, Reason::OverPropane(id, most_pa));
    }
    for (item, v) in read() {
        match (item.kind, item.id) {
            (Scale::Words(words), id) if words == BUBBLES && v >= 1.0 => {
                let level = if v >= 3.0 {
                    Danger::ShutOff
                } else {
                    Danger::NoFlame
                };
                note(level, Reason::Bubbles(id));
            }
            (_, Id::SoundFlowing | Id::SoundRest) if v == 1.0 || v == 2.0 => {
                let level = if v == 2.0 {
                    Danger::ShutOff
                } else {
                    Danger::NoFlame
                };
                note(level, Reason::Heard(item.id));
            }
            (Scale::Fill, id) if LIMITS.fill_caution.is_passed_by(v) => {
                note(Danger::ShutOff, Reason::Overfilled(id));
            }
            (Scale::Change, _) if v < -2.0 * item.uncertainty(v) => {
                note(Danger::NoFlame, Reason::Loses);
            }
            _ => {}
        }
    }
    (danger, why)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pressure in the container and none behind the regulator; one outlet with gas in it says otherwise.
    #[test]
    fn a_valve_that_is_shut_is_told() {
        let mut values: Values = [None; crate::visit::ITEMS];
        assert_eq!(no_gas(&values), None);
        values[Id::Container.index()] = Some(psi_to_pa(90.0));
        assert_eq!(no_gas(&values), None);
        values[Id::HalfOutlet.index()] = Some(0.0);
        assert_eq!(no_gas(&values), Some(NoGas::Beyond));
        values[Id::RestMinute.index()] = Some(inwc_to_pa(9.0));
        assert_eq!(no_gas(&values), None);
    }

    /// A container under 1.5 psi gives nothing; what comes behind the regulator is nothing under 0.3 in w.c. The numbers
    /// themselves are still something, and where nothing behind it was read, nothing is known.
    #[test]
    fn nothing_is_what_is_under_its_number() {
        let of = |read: &[(Id, f64)]| {
            let mut values: Values = [None; crate::visit::ITEMS];
            for (id, pa) in read {
                values[id.index()] = Some(*pa);
            }
            no_gas(&values)
        };
        let (some, little) = (psi_to_pa(1.5), inwc_to_pa(0.3));
        assert_eq!(of(&[(Id::Container, 0.99 * some)]), Some(NoGas::Container));
        assert_eq!(of(&[(Id::Container, some)]), None);
        assert_eq!(of(&[(Id::FullOutlet, 0.99 * little)]), Some(NoGas::Beyond));
        assert_eq!(of(&[(Id::FullOutlet, little)]), None);
        assert_eq!(of(&[(Id::FirstHalf, 0.0)]), None);
        let both = |first_pa: f64| of(&[(Id::FirstHalf, first_pa), (Id::HalfOutlet, 0.0)]);
        assert_eq!((both(0.99 * some), both(some)), (Some(NoGas::Beyond), None));
        assert_eq!(of(&[(Id::FirstHalf, 0.0), (Id::HalfOutlet, little)]), None);
    }

    /// What takes more than 83 % at 40 °F leaves no room at 130 (derived): nothing is opened, whichever container it is.
    #[test]
    fn what_is_filled_too_far_is_left_shut() {
        for id in [Id::Fill, Id::SecondFill] {
            let mut values: Values = [None; crate::visit::ITEMS];
            values[id.index()] = Some(0.83);
            assert_eq!(demand(&values), (Danger::None, vec![]));
            values[id.index()] = Some(0.831);
            assert_eq!(
                demand(&values),
                (Danger::ShutOff, vec![Reason::Overfilled(id)])
            );
        }
    }

    /// Propane gives 92 psig at 60 °F and 237 at 122 (published: its vapour pressure): 250 at 60 °F is something else, in whatever sun, and
    /// 185 at 105 °F or 130 in the sun of a mild day are not. Where no air was read, over what it gives at 130 °F.
    #[test]
    fn a_container_over_what_propane_gives_is_left_shut() {
        let of = |air_f: Option<f64>, id: Id, psi: f64| {
            let mut values: Values = [None; crate::visit::ITEMS];
            values[Id::Air.index()] = air_f.map(|f| (f - 32.0) / 1.8 + 273.15);
            values[id.index()] = Some(psi_to_pa(psi));
            let (danger, why) = demand(&values);
            let is = matches!(why[..], [Reason::OverPropane(at, _)] if at == id);
            assert_eq!(
                (danger == Danger::ShutOff, is),
                (is, danger != Danger::None)
            );
            is
        };
        assert!(of(Some(60.0), Id::Container, 250.0) && of(Some(60.0), Id::FullInlet, 230.0));
        assert!(!of(Some(60.0), Id::Container, 130.0) && !of(Some(105.0), Id::Container, 185.0));
        assert!(!of(None, Id::Container, 250.0) && of(None, Id::Container, 280.0));
    }

    /// What a hand and an eye tell with everything shut is never forbidden, and what wants a flame in the same test is.
    #[test]
    fn a_look_that_needs_no_gas_is_left_in_every_state() {
        for danger in [Danger::None, Danger::NoFlame, Danger::ShutOff] {
            assert_eq!(danger.offers(Test::Look), Some(Offered::AsItStands));
            assert!(
                [Id::Hose, Id::Valve, Id::VentLooks]
                    .iter()
                    .all(|i| danger.allows_item(*i))
            );
            assert_eq!(danger.allows_item(Id::Flames), danger == Danger::None);
        }
    }

    /// A first stage that climbs past its limit at rest will not stop there: 13 psig and over, more than two psi gained in five
    /// minutes (own). One that stands, or climbs under its limit, is no reason to light nothing.
    #[test]
    fn a_first_stage_that_climbs_on_forbids_flames() {
        let of = |minute: f64, later: f64| {
            let mut readings = Readings::default();
            readings.values[Id::FirstRest.index()] = Some(psi_to_pa(minute));
            readings.values[Id::FirstCreep.index()] = Some(psi_to_pa(later));
            of_readings(&readings)
        };
        assert_eq!(
            of(14.0, 25.0),
            (Danger::NoFlame, vec![Reason::FirstClimbing])
        );
        assert_eq!(
            of(11.1, 13.2),
            (Danger::NoFlame, vec![Reason::FirstClimbing])
        );
        assert_eq!(of(11.3, 13.2), (Danger::None, vec![]));
        assert_eq!(of(10.0, 12.9), (Danger::None, vec![]));
        assert_eq!(of(14.0, 25.1), (Danger::NoFlame, vec![Reason::FirstOver]));
    }

    /// A peak that comes through is told beside the lock-up that stands after it, the higher first.
    #[test]
    fn what_stands_is_told_beside_what_passes() {
        let mut values: Values = [None; crate::visit::ITEMS];
        for (id, inwc) in [
            (Id::RestPeak, 15.5),
            (Id::RestMinute, 15.3),
            (Id::HalfOutlet, 11.0),
        ] {
            values[id.index()] = Some(inwc_to_pa(inwc));
        }
        let both = vec![Reason::Over(Id::RestPeak), Reason::Over(Id::RestMinute)];
        assert_eq!(demand(&values), (Danger::NoFlame, both));
        values[Id::RestMinute.index()] = Some(inwc_to_pa(12.0));
        assert_eq!(demand(&values).1, vec![Reason::Over(Id::RestPeak)]);
    }

    /// Gas that is smelled forbids by where it is; a complaint of it does until a leak check was made.
    #[test]
    fn what_is_smelled_forbids() {
        let of = |smell: Option<Smell>, complaint: Option<Complaint>, change: Option<f64>| {
            let mut readings = Readings::default();
            (readings.beside.smell, readings.beside.complaint) = (smell, complaint);
            readings.values[Id::LeakChange.index()] = change;
            of_readings(&readings)
        };
        let told = Some(Complaint::Smell);
        assert_eq!(of(None, None, None), (Danger::None, vec![]));
        assert_eq!(of(Some(Smell::Nowhere), None, None), (Danger::None, vec![]));
        assert_eq!(
            of(Some(Smell::Appliance), None, None),
            (Danger::ShutOff, vec![Reason::Smelled(Smell::Appliance)])
        );
        assert_eq!(
            of(None, told, None),
            (Danger::NoFlame, vec![Reason::SmellTold])
        );
        assert_eq!(of(None, told, Some(0.0)), (Danger::None, vec![]));
        // No reading of a pressure says that what burned makes no carbon monoxide.
        for poison in [Complaint::Monoxide, Complaint::Soot] {
            assert_eq!(
                of(None, Some(poison), Some(0.0)),
                (Danger::NoFlame, vec![Reason::MonoxideTold]),
                "{poison:?}"
            );
        }
    }
}
