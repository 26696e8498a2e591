//! What of an act's outcome counts as evidence, and as which item: only what can be held against the visits that the
//! library is made of. A free reading counts in one of three standing states of the rig. Not here: the act itself.

use crate::physics::fuel::fill_when_cold;
use crate::service::{Bubbles, Joint, Place, Shown, Sound, TestPoint};
use crate::sim::Simulation;
use crate::visit::{
    Act, Deed, Id, Observation, Reply, Test, Told, glance, half_load, odd_flame, sound_index,
};

/// A standing state of the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stand {
    /// Everything off for a while, container open.
    Rest,
    /// About half of the load for half a minute.
    Half,
    /// All of the load for half a minute.
    Full,
}

/// Burners and valves must not have been touched for so long \[s\].
const STILL_S: f64 = 20.0;
/// With everything off, so long \[s\].
const REST_S: f64 = 2.0 * STILL_S;
/// Longest time a loaded state counts \[s\]: later the container is colder than in the visits.
const LOADED_S: f64 = 900.0;
/// Rest longer than this is a long one, and so is a draw \[s\].
const LATE_S: f64 = 200.0;
/// After a burst of flow the outlet tells something of its own from and until \[s\]; after a cloth until \[s\].
const AFTER_FLUSH_S: (f64, f64) = (40.0, 400.0);
const AFTER_CLOTH_S: f64 = 300.0;

/// What the hands remember between acts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hands {
    /// When burners or valves were last touched \[s\].
    pub touched_s: f64,
    /// Whether something was done that may have changed what is wrong: later readings are kept apart, for they speak
    /// of the rig as it is then.
    pub altered: bool,
    /// Time of a burst of flow not yet followed by a reading \[s\].
    pub flushed_s: Option<f64>,
    /// Time of a warm cloth not yet followed by a reading \[s\].
    pub warmed_s: Option<f64>,
}

impl Default for Hands {
    /// Before the first act the rig has stood as it stands; not so long that a fault could have crept.
    fn default() -> Self {
        Self {
            touched_s: -REST_S,
            altered: false,
            flushed_s: None,
            warmed_s: None,
        }
    }
}

impl Hands {
    /// A burst or a cloth may have carried off what was wrong: whatever counts next, beyond what tells of its effect, is
    /// read of a rig that may be another.
    pub(super) fn take(&mut self, counted: &[Observation]) {
        let waits = self.flushed_s.is_some() || self.warmed_s.is_some();
        let effect = [Id::FlushOutlet, Id::FlushFirst, Id::WarmFull];
        if waits && counted.iter().any(|o| !effect.contains(&o.item)) {
            self.alter();
        }
    }

    /// What is read from now on is read of a rig that may be another.
    fn alter(&mut self) {
        (self.altered, self.flushed_s, self.warmed_s) = (true, None, None);
    }
}

/// The rig as it stood before an act.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stood {
    stand: Option<Stand>,
    still_s: f64,
    hands: Hands,
}

impl Stood {
    pub(super) fn look(sim: &Simulation, hands: Hands) -> Self {
        let still_s = sim.time_s() - hands.touched_s;
        Self {
            stand: stand(sim, still_s),
            still_s,
            hands,
        }
    }

    fn is_late(&self) -> bool {
        self.still_s > LATE_S
    }
}

/// The standing state of the rig `still_s` after burners and valves were last touched, if it is one in which readings
/// count.
pub fn stand(sim: &Simulation, still_s: f64) -> Option<Stand> {
    let modes = &sim.moment().modes;
    let open = modes.valves[modes.service_side].at(sim.time_s()) > 0.9;
    if !open || still_s < STILL_S {
        return None;
    }
    let count = sim.rig().appliances.len();
    let on: Vec<usize> = (0..count).filter(|&i| modes.appliances[i].on).collect();
    if on.is_empty() {
        return (still_s >= REST_S).then_some(Stand::Rest);
    }
    if still_s > LOADED_S {
        None
    } else if on.len() == count {
        Some(Stand::Full)
    } else {
        (on == half_load(sim.rig())).then_some(Stand::Half)
    }
}

/// What of a reply counts; `sim` stands as after the act.
pub(super) fn counted(
    act: &Act,
    reply: &Reply,
    before: &Stood,
    sim: &Simulation,
) -> Vec<Observation> {
    let note = |item: Id, value: f64| Observation {
        item,
        value,
        uncertainty: None,
        over: false,
        at_s: sim.time_s(),
    };
    let told = match reply {
        Reply::Test(result) => {
            let all = result.observations.iter();
            return all
                .map(|o| Observation {
                    item: timed(result.test, o.item, before),
                    ..*o
                })
                .collect();
        }
        Reply::Told(told) => told,
    };
    match (act, told) {
        (
            Act::Read { .. },
            Told::Gauge {
                point,
                shown: Shown::Value(pa),
                ..
            },
        ) => {
            let item = gauge_item(*point, before, sim);
            item.map(|i| note(i, *pa)).into_iter().collect()
        }
        (_, Told::Warmth(Place::Air, kelvin)) => vec![note(Id::Air, *kelvin)],
        (_, told @ Told::Fluid(joint, bubbles)) => {
            // The rig stands while the fluid is put on and watched.
            let stands = stand(sim, sim.time_s() - before.hands.touched_s);
            let read = fluid_item(*joint, *bubbles, before.stand.or(stands));
            // What is known as a leak from then on is a reading too.
            let found = || leak_item(*joint, sim).filter(|_| told.gas_escapes(false));
            let item = read.or_else(found);
            let value = f64::from(*bubbles as u8);
            item.map(|i| note(i, value)).into_iter().collect()
        }
        (_, Told::Sight { vent, .. }) => match before.stand {
            Some(Stand::Full) => glance(sim, before.is_late())
                .into_iter()
                .chain(odd_flame(sim))
                .map(|(item, word)| note(item, word as f64))
                .collect(),
            _ => vec![note(Id::VentLooks, *vent as f64)],
        },
        (_, Told::Heard(sound)) => heard_item(*sound, before.stand)
            .map(|(item, word)| note(item, word))
            .into_iter()
            .collect(),
        (Act::Do(Deed::Weigh { container }), _) => {
            let r = sim.readings();
            let own = *container == r.service_side;
            let c = &r.containers[*container];
            own.then(|| note(Id::Fill, fill_when_cold(c.fill, c.temperature_k)))
                .into_iter()
                .collect()
        }
        _ => Vec::new(),
    }
}

/// A test that finds the rig long at rest reads what minutes of rest have left.
fn timed(test: Test, item: Id, before: &Stood) -> Id {
    let long = before.stand == Some(Stand::Rest) && before.is_late();
    match item {
        Id::RestMinute if long && test == Test::LockUp => Id::RestCreep,
        Id::FirstRest if long => Id::FirstCreep,
        _ => item,
    }
}

fn gauge_item(point: TestPoint, before: &Stood, sim: &Simulation) -> Option<Id> {
    let (stand, late) = (before.stand?, before.is_late());
    let since = |at: Option<f64>| at.map(|at_s| sim.time_s() - at_s);
    if let Some(since_s) = since(before.hands.flushed_s) {
        let in_time = (AFTER_FLUSH_S.0..AFTER_FLUSH_S.1).contains(&since_s);
        return match (point, stand) {
            (TestPoint::Outlet, Stand::Rest) if in_time => Some(Id::FlushOutlet),
            (TestPoint::FirstStage, Stand::Rest) if in_time => Some(Id::FlushFirst),
            _ => None,
        };
    }
    if let Some(since_s) = since(before.hands.warmed_s) {
        let in_time = since_s < AFTER_CLOTH_S;
        return match (point, stand) {
            (TestPoint::Outlet, Stand::Full) if in_time => Some(Id::WarmFull),
            _ => None,
        };
    }
    let side = sim.readings().service_side;
    Some(match (point, stand) {
        (TestPoint::Outlet, Stand::Half) => Id::HalfOutlet,
        (TestPoint::Outlet, Stand::Full) if late => Id::LongOutlet,
        (TestPoint::Outlet, Stand::Full) => Id::FullOutlet,
        (TestPoint::Outlet, Stand::Rest) if late => Id::RestCreep,
        (TestPoint::Outlet, Stand::Rest) => Id::RestMinute,
        (TestPoint::Manifold, Stand::Half) => Id::HalfManifold,
        (TestPoint::Manifold, Stand::Full) => Id::FullManifold,
        (TestPoint::FirstStage, Stand::Half) => Id::FirstHalf,
        (TestPoint::FirstStage, Stand::Full) => Id::FirstFull,
        (TestPoint::FirstStage, Stand::Rest) if late => Id::FirstCreep,
        (TestPoint::FirstStage, Stand::Rest) => Id::FirstRest,
        (TestPoint::Inlet(i), Stand::Half) if i == side => Id::HalfInlet,
        (TestPoint::Inlet(i), Stand::Full) if i == side => Id::FullInlet,
        (TestPoint::Container(i), Stand::Full) if i == side && late => Id::LongContainer,
        (TestPoint::Container(i), Stand::Rest) if i == side => Id::Container,
        _ => return None,
    })
}

/// What gas at a joint is evidence of in a state of the rig that is none of the standing ones: a joint holds or it does not,
/// and a vent is met at rest or with gas flowing. Gas at a burner that is open is none of a leak.
fn leak_item(joint: Joint, sim: &Simulation) -> Option<Id> {
    let appliances = &sim.moment().modes.appliances[..sim.rig().appliances.len()];
    let flows = appliances.iter().any(|m| m.on);
    Some(match joint {
        Joint::Pigtail => Id::FluidPigtail,
        Joint::LowSide => Id::FluidLowSide,
        Joint::Burner(i) if appliances.get(i).is_some_and(|m| !m.on) => Id::FluidBurner,
        Joint::Burner(_) => return None,
        Joint::FirstVent if flows => Id::FirstVentFlowing,
        Joint::FirstVent => Id::FirstVentRest,
        Joint::SecondVent if flows => Id::SecondVentFlowing,
        Joint::SecondVent => Id::SecondVentRest,
    })
}

fn fluid_item(joint: Joint, bubbles: Bubbles, stand: Option<Stand>) -> Option<Id> {
    Some(match (joint, stand?) {
        (Joint::FirstVent, Stand::Rest) => Id::FirstVentRest,
        // As the test of the vents, which lights about half where nothing burned before it.
        (Joint::FirstVent, Stand::Half | Stand::Full) => Id::FirstVentFlowing,
        (Joint::SecondVent, Stand::Rest) => Id::SecondVentRest,
        (Joint::SecondVent, Stand::Half | Stand::Full) => Id::SecondVentFlowing,
        // The hose stands at container pressure whatever burns.
        (Joint::Pigtail, _) => Id::FluidPigtail,
        (Joint::LowSide, Stand::Rest) => Id::FluidLowSide,
        // Which burner leaks is not known beforehand: one that does speaks, one that does not
        // says nothing of the others.
        (Joint::Burner(_), Stand::Rest) if bubbles > Bubbles::None => Id::FluidBurner,
        _ => return None,
    })
}

fn heard_item(sound: Sound, stand: Option<Stand>) -> Option<(Id, f64)> {
    let item = match stand? {
        Stand::Full => Id::SoundFlowing,
        Stand::Rest => Id::SoundRest,
        Stand::Half => return None,
    };
    Some((item, sound_index(sound) as f64))
}

/// What the hands remember after an act, of which something counted or nothing did.
pub(super) fn remember(
    act: &Act,
    counted: &[Observation],
    hands: Hands,
    before: &Stood,
    now_s: f64,
) -> Hands {
    let mut hands = hands;
    let items = |of: &[Id]| counted.iter().any(|o| of.contains(&o.item));
    match act {
        Act::Do(Deed::Flush) => hands.flushed_s = Some(now_s),
        Act::Do(Deed::WarmCloth) => hands.warmed_s = Some(now_s),
        Act::Do(Deed::Tap | Deed::Weigh { .. }) => {}
        Act::Do(
            Deed::OpenValve { .. }
            | Deed::ShutValve { .. }
            | Deed::ShutFast { .. }
            | Deed::BleedDown,
        ) => {
            hands.touched_s = now_s;
        }
        // A burst or a cloth may have carried off what was wrong; once its effect is read, that is told.
        Act::Do(_) | Act::Test(Test::Flush | Test::Warm) => hands.alter(),
        Act::Read { .. } if items(&[Id::FlushOutlet, Id::WarmFull]) => hands.alter(),
        // Lock-up where everything is off touches nothing.
        Act::Test(Test::LockUp) if before.stand == Some(Stand::Rest) => {}
        Act::Test(test) => {
            if let Some(ago_s) = touched_ago_s(*test) {
                hands.touched_s = now_s - ago_s;
            }
        }
        _ => {}
    }
    hands
}

/// Tests that switch burners or valves leave them as of some time ago \[s\].
fn touched_ago_s(test: Test) -> Option<f64> {
    match test {
        Test::Air | Test::Fill | Test::Creep | Test::NewPiping => None,
        Test::LockUp => Some(90.0),
        Test::LongDraw => Some(LATE_S),
        Test::LeakCheck | Test::Reserve => Some(0.0),
        _ => Some(STILL_S),
    }
}
