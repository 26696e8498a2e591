//! What a person at the rig sees, hears and reads: the flames, the odd burner out, the frost, the
//! look of the vent, and the state the rig stands in. The same functions serve the trainee's acts
//! and the runs of `probe`, so that both are held against each other fairly.

use super::item::Stand;
use crate::physics::WATER_FREEZING_K;
use crate::rig::{Flame, Phase, Readings, Rig};
use crate::service::{Sound, flame_seen, frost_seen};
use crate::sim::Simulation;

/// How one appliance looks.
#[derive(Debug, Clone, PartialEq)]
pub struct Burner {
    /// Its name.
    pub name: String,
    /// Whether it is switched on.
    pub on: bool,
    /// How it looks, in words.
    pub looks: &'static str,
}

/// What eyes see.
#[derive(Debug, Clone, PartialEq)]
pub struct Sight {
    /// Every appliance.
    pub burners: Vec<Burner>,
    /// How most flames look, a place in [`super::item::FLAMES`].
    pub flames: usize,
    /// The odd one, a place in [`super::item::ODD_ONE`].
    pub odd_one: usize,
    /// Frost on the regulator.
    pub frost_body: bool,
    /// Frost on a container.
    pub frost_container: bool,
    /// Look of the second vent, a place in [`super::item::VENT_LOOKS`].
    pub vent: usize,
}

/// Looks at everything.
pub fn look(sim: &Simulation) -> Sight {
    let r = sim.readings();
    let frost = frost_seen(&r);
    Sight {
        burners: burners(sim, &r),
        flames: flames(&r),
        odd_one: odd_one(sim, &r),
        frost_body: frost.body,
        frost_container: frost.container,
        vent: vent_looks(sim, &r),
    }
}

fn is_on(r: &Readings, i: usize) -> bool {
    r.appliances[i].phase != Phase::Off
}

/// Heat against the plate, for burners that burn.
fn share(sim: &Simulation, r: &Readings, i: usize) -> Option<f64> {
    let plate_w = sim.scenario().rig.appliances[i].input_w;
    (r.appliances[i].phase == Phase::Burning).then(|| r.appliances[i].heat_w / plate_w)
}

fn median_share(sim: &Simulation, r: &Readings) -> Option<f64> {
    let mut shares: Vec<f64> = (0..r.appliance_count)
        .filter_map(|i| share(sim, r, i))
        .collect();
    shares.sort_by(f64::total_cmp);
    shares.get(shares.len() / 2).copied()
}

/// A flame whose heat is under this share of its neighbours' looks small ...
const SMALL: f64 = 0.75;
/// ... over this one large (practice: a flame a quarter off its neighbours is seen).
const LARGE: f64 = 1.25;

fn burners(sim: &Simulation, r: &Readings) -> Vec<Burner> {
    let median = median_share(sim, r);
    let burning = (0..r.appliance_count)
        .filter(|&i| share(sim, r, i).is_some())
        .count();
    let one = |i: usize| {
        let a = &r.appliances[i];
        let beside = match (share(sim, r, i), median) {
            (Some(s), Some(m)) if burning >= 3 => s / m,
            _ => 1.0,
        };
        match a.phase {
            Phase::Off => "off",
            Phase::Satisfied => "its thermostat is satisfied",
            Phase::Purge => "its fan runs, no gas yet",
            Phase::Trial => "trying to light",
            Phase::Waiting => "waiting to try again",
            Phase::LockedOut => "locked out",
            Phase::OpenUnlit => "gas on, no flame",
            Phase::Burning if flame_seen(r, i).surging => "flame jumps and surges",
            Phase::Burning if beside < SMALL => "flame small beside the others",
            Phase::Burning if beside > LARGE => "flame large beside the others",
            Phase::Burning => match a.flame {
                Flame::Normal => "normal flame",
                Flame::Low => "soft, low flame",
                Flame::Hard => "loud, hard flame",
                Flame::Lifting => "flame lifts off the ports",
                Flame::Out => "no flame",
            },
        }
    };
    let names = &sim.rig().appliances;
    (0..r.appliance_count)
        .map(|i| Burner {
            name: names[i].name.clone(),
            on: is_on(r, i),
            looks: one(i),
        })
        .collect()
}

/// How most of the lit flames look; surging where one does.
fn flames(r: &Readings) -> usize {
    if (0..r.appliance_count).any(|i| flame_seen(r, i).surging) {
        return 5;
    }
    let mut votes = [0; 5];
    for i in (0..r.appliance_count).filter(|&i| is_on(r, i)) {
        let look = match r.appliances[i].flame {
            Flame::Normal => 0,
            Flame::Low => 1,
            Flame::Hard => 2,
            Flame::Lifting => 3,
            Flame::Out => 4,
        };
        votes[look] += 1;
    }
    (0..5).rev().max_by_key(|&i| votes[i]).unwrap_or(0)
}

/// Whether one appliance differs from the rest.
fn odd_one(sim: &Simulation, r: &Readings) -> usize {
    let on: Vec<usize> = (0..r.appliance_count).filter(|&i| is_on(r, i)).collect();
    let out = on
        .iter()
        .filter(|&&i| r.appliances[i].phase != Phase::Burning)
        .count();
    if out > 0 {
        return if out == 1 && on.len() > 1 { 3 } else { 4 };
    }
    let mut shares: Vec<f64> = on.iter().filter_map(|&i| share(sim, r, i)).collect();
    if shares.len() < 3 {
        return 0;
    }
    shares.sort_by(f64::total_cmp);
    let (n, median) = (shares.len(), shares[shares.len() / 2]);
    if shares[0] < SMALL * median && shares[1] > 0.85 * median {
        return 1;
    }
    if shares[n - 1] > LARGE * median && shares[n - 2] < 1.15 * median {
        return 2;
    }
    0
}

/// What a look at the second-stage vent tells: what bars the hole, not who put it there.
fn vent_looks(sim: &Simulation, r: &Readings) -> usize {
    let stage = &sim.rig().second;
    let healthy = &sim.scenario().rig.second;
    if stage.water_m > 1e-3 && r.case_k > WATER_FREEZING_K {
        3
    } else if r.second.vent_open < 0.5 * stage.vent.open {
        2
    } else if stage.vent.flap_m2 < 0.8 * healthy.vent.flap_m2 {
        4
    } else {
        usize::from(stage.vent.open < 0.5)
    }
}

/// A sound as a place in [`super::item::SOUNDS`].
pub fn sound_index(sound: Sound) -> usize {
    match sound {
        Sound::Quiet => 0,
        Sound::Hiss => 1,
        Sound::Roar => 2,
        Sound::Hum { .. } => 3,
    }
}

/// The appliances whose inputs add up nearest to half of all.
pub fn half_load(rig: &Rig) -> Vec<usize> {
    let inputs: Vec<f64> = rig.appliances.iter().map(|a| a.input_w).collect();
    let half = 0.5 * inputs.iter().sum::<f64>();
    let load = |set: u32| -> f64 {
        (0..inputs.len())
            .filter(|i| set >> i & 1 == 1)
            .map(|i| inputs[i])
            .sum()
    };
    let best = (1..1_u32 << inputs.len())
        .min_by(|a, b| (load(*a) - half).abs().total_cmp(&(load(*b) - half).abs()))
        .unwrap_or(0);
    (0..inputs.len()).filter(|i| best >> i & 1 == 1).collect()
}

/// How long the burners and valves must have been as they are for a reading to count \[s\].
const STILL_S: f64 = 20.0;
/// Longest time a loaded state counts \[s\]: later the container is colder than in the runs.
const LOADED_S: f64 = 900.0;

/// The standing state of the rig `still_s` after burners and valves were last touched, if it is
/// one in which readings count.
pub fn stand(sim: &Simulation, still_s: f64) -> Option<Stand> {
    let modes = &sim.moment().modes;
    let open = modes.valves[modes.service_side].at(sim.time_s()) > 0.9;
    if !open || still_s < STILL_S {
        return None;
    }
    let count = sim.rig().appliances.len();
    let on: Vec<usize> = (0..count).filter(|&i| modes.appliances[i].on).collect();
    if on.is_empty() {
        return (still_s >= 2.0 * STILL_S).then_some(Stand::Rest);
    }
    if still_s > LOADED_S {
        None
    } else if on.len() == count {
        Some(Stand::Full)
    } else {
        (on == half_load(sim.rig())).then_some(Stand::Half)
    }
}
