//! What eyes and ears make of a rig: the flames, the odd burner out, frost, the vent, the pigtail, the changeover's
//! indicator, what is heard. One place for it: the trainee's acts, the bench and the runs that diagnosis learns from
//! read the rig by these functions. Thresholds are common practice (no source).

use super::item::{Id, Observation};
use crate::physics::WATER_FREEZING_K;
use crate::rig::{
    Appliance, ApplianceReadings, Flame, Ignition, MAX_APPLIANCES, Phase, Readings, Rig,
};
use crate::service::{Sound, flame_seen, frost_seen};
use crate::sim::Simulation;
use serde::{Deserialize, Serialize};

/// How one appliance looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Looks {
    /// What its controls do; nothing burns.
    Controls(Phase),
    /// Its flame by itself.
    Flame(Flame),
    /// The flame jumps and surges.
    Surging,
    /// Small beside the others.
    Small,
    /// Large beside the others.
    Large,
}

/// One appliance as seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Burner {
    /// Its place in the rig.
    pub appliance: usize,
    /// Whether it is switched on.
    pub on: bool,
    /// How it looks.
    pub looks: Looks,
}

/// A flame whose heat is under this share of its neighbours' looks small ...
const SMALL: f64 = 0.75;
/// ... over this one large (practice: a flame a quarter off its neighbours is seen) ...
pub(super) const LARGE: f64 = 1.25;
/// ... while the next to it stands within these.
const ALONE: (f64, f64) = (0.85, 1.15);
/// A bend that loses this many times a straight hose's ends is seen.
const KINK: f64 = 10.0;
/// A valve that gives under this share of its bore is felt.
const HARDLY: f64 = 0.5;
/// Water in a spring case that is deeper is seen \[m\].
const WATER_M: f64 = 1e-3;
/// A gas valve that is under this share open so long after it should be is seen to be slow \[s\].
const LATE: (f64, f64) = (0.8, 0.65);

fn is_on(r: &Readings, i: usize) -> bool {
    r.appliances[i].phase != Phase::Off
}

/// Heat against the plate, for burners that burn.
fn share(plates: &[Appliance], r: &Readings, i: usize) -> Option<f64> {
    (r.appliances[i].phase == Phase::Burning).then(|| r.appliances[i].heat_w / plates[i].input_w)
}

fn shares(plates: &[Appliance], r: &Readings) -> Vec<f64> {
    let mut out: Vec<f64> = (0..r.appliance_count)
        .filter_map(|i| share(plates, r, i))
        .collect();
    out.sort_by(f64::total_cmp);
    out
}

/// Whether one of two flames is off while the other is about as its plate says.
fn alone(share: f64, low: f64, high: f64) -> bool {
    if share <= low {
        high > ALONE.0
    } else {
        low < ALONE.1
    }
}

/// Every appliance as seen.
pub fn burners(sim: &Simulation) -> Vec<Burner> {
    let r = sim.readings();
    let plates = &sim.scenario().rig.appliances;
    let lit = shares(plates, &r);
    let beside = |i: usize| match (share(plates, &r, i), &lit[..]) {
        // Of two only the plate says which is the odd one.
        (Some(s), [low, high]) if alone(s, *low, *high) => s,
        (None, _) | (_, [] | [_] | [_, _]) => 1.0,
        (Some(s), _) => s / lit[lit.len() / 2],
    };
    let looks = |i: usize| match r.appliances[i].phase {
        Phase::Burning if flame_seen(&r, i).surging => Looks::Surging,
        Phase::Burning if beside(i) < SMALL => Looks::Small,
        Phase::Burning if beside(i) > LARGE => Looks::Large,
        Phase::Burning => Looks::Flame(r.appliances[i].flame),
        phase => Looks::Controls(phase),
    };
    let one = |i: usize| Burner {
        appliance: i,
        on: is_on(&r, i),
        looks: looks(i),
    };
    (0..r.appliance_count).map(one).collect()
}

/// How most of the flames look, a place in [`super::item::FLAMES`]; surging where one does.
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

/// What a look at the second-stage vent tells, a place in [`super::item::VENT_LOOKS`]: what bars the hole, not who put
/// it there.
pub fn vent_looks(sim: &Simulation, r: &Readings) -> usize {
    let stage = &sim.rig().second;
    let healthy = &sim.scenario().rig.second;
    if stage.water_m > WATER_M && r.case_k > WATER_FREEZING_K {
        3
    } else if r.second.vent_open < 0.5 * stage.vent.open {
        2
    } else if stage.vent.flap_m2 < 0.8 * healthy.vent.flap_m2 {
        4
    } else {
        usize::from(stage.vent.open < 0.5)
    }
}

/// A sound as a place in [`super::item::SOUND`].
pub fn sound_index(sound: Sound) -> usize {
    match sound {
        Sound::Quiet => 0,
        Sound::Hiss | Sound::Escapes(_) => 1,
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

/// The appliance of the least input.
pub(super) fn smallest(rig: &Rig) -> usize {
    let inputs = rig.appliances.iter().map(|a| a.input_w).enumerate();
    inputs
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(0, |(i, _)| i)
}

/// What was seen of the burners as they were lit.
#[derive(Debug, Clone, Copy, Default)]
pub struct Lighting {
    /// When each burner's gas valve was first seen open \[s\], and how far it was seen open last.
    opened_s: [Option<f64>; MAX_APPLIANCES],
    open: [f64; MAX_APPLIANCES],
    /// Whether each has burned.
    burned: [bool; MAX_APPLIANCES],
    /// Whether one's valve was seen half open long after it began.
    late: bool,
}

impl Lighting {
    /// Looks at the burners; `plates` are those of the healthy rig.
    pub(super) fn look(&mut self, r: &Readings, plates: &[Appliance]) {
        for (i, a) in r.appliances[..r.appliance_count].iter().enumerate() {
            if a.valve_open > 0.0 {
                let opened = *self.opened_s[i].get_or_insert(r.time_s);
                let long_s = LATE.1 + plates[i].valve_s;
                // One that shuts again is half open on its way, too.
                let opens = a.valve_open > self.open[i];
                self.late |= opens && a.valve_open < LATE.0 && r.time_s - opened > long_s;
            } else {
                self.opened_s[i] = None;
            }
            self.open[i] = a.valve_open;
            self.burned[i] |= a.flame != Flame::Out;
        }
    }

    /// Whether any burner was seen to light.
    fn was_seen(&self) -> bool {
        self.opened_s.iter().any(Option::is_some)
    }

    /// Whether one appliance differs from the rest, a place in [`super::item::ODD_ONE`]: small or large against its
    /// plate, dead, or gone out. With several, the first that differs most.
    fn odd_one(&self, r: &Readings, plates: &[Appliance]) -> usize {
        // Everything was asked to burn; one that a person could not light and shut again is out like any other. One whose
        // thermostat is satisfied is as it should be.
        let right = |i: usize| matches!(r.appliances[i].phase, Phase::Burning | Phase::Satisfied);
        let out: Vec<usize> = (0..r.appliance_count).filter(|&i| !right(i)).collect();
        let alone = out.len() == 1 && r.appliance_count == 2;
        if alone || (!out.is_empty() && r.appliance_count > 2 * out.len()) {
            let pilot = matches!(plates[out[0]].ignition, Ignition::Pilot { .. });
            return match (pilot, self.burned[out[0]]) {
                (true, _) => 5,
                (_, true) => 4,
                _ => 3,
            };
        }
        odd_size(r, plates)
    }
}

/// Whether one flame is small or large beside the rest, a place in [`super::item::ODD_ONE`].
fn odd_size(r: &Readings, plates: &[Appliance]) -> usize {
    let lit = shares(plates, r);
    let n = lit.len();
    if n < 2 {
        return 0;
    }
    // Of two only the plate says which is the odd one.
    let median = if n == 2 { 1.0 } else { lit[n / 2] };
    if lit[0] < SMALL * median && lit[1] > ALONE.0 * median {
        return 1;
    }
    if lit[n - 1] > LARGE * median && lit[n - 2] < ALONE.1 * median {
        return 2;
    }
    0
}

/// What a look at a rig with everything lit tells of one appliance that differs: of flames alone, since how one that is out came
/// to be so was not seen.
pub fn odd_flame(sim: &Simulation) -> Option<(Id, usize)> {
    let r = sim.readings();
    let burns = |a: &ApplianceReadings| matches!(a.phase, Phase::Burning | Phase::Satisfied);
    let all = r.appliances[..r.appliance_count].iter().all(burns);
    all.then(|| (Id::OddOne, odd_size(&r, &sim.scenario().rig.appliances)))
}

/// What the changeover's indicator shows, a place in [`super::item::INDICATOR`].
fn indicator(sim: &Simulation, r: &Readings) -> usize {
    sim.rig().changeover.map_or(0, |_| match r.indicator_red {
        red if red <= 0.0 => 1,
        red if red < 1.0 => 2,
        _ => 3,
    })
}

/// What a glance at a rig with everything lit tells, and with `late` one after minutes of it: items with the places of
/// their words.
pub fn glance(sim: &Simulation, late: bool) -> Vec<(Id, usize)> {
    let r = sim.readings();
    let frost = frost_seen(&r);
    if late {
        return vec![
            (Id::LongFlames, flames(&r)),
            (Id::FrostBody, usize::from(frost.body)),
            (Id::FrostContainer, usize::from(frost.container)),
        ];
    }
    vec![
        (Id::Flames, flames(&r)),
        (Id::VentLooks, vent_looks(sim, &r)),
        (Id::Indicator, indicator(sim, &r)),
    ]
}

/// What a look along the hoses and a hand on the valves tell, with or without a flame.
pub(super) fn hose_looks(sim: &Simulation) -> [(Id, usize); 2] {
    let (rig, new) = (sim.rig(), &sim.scenario().rig);
    let supplies = || {
        let both = rig.containers.iter().zip(&new.containers);
        both.map(|(c, new)| (&c.supply, &new.supply))
    };
    let kinked =
        supplies().any(|(way, new)| way.pigtail_minor_loss > KINK * new.pigtail_minor_loss);
    let hardly_open = supplies().any(|(way, new)| way.valve_m2 < HARDLY * new.valve_m2);
    [
        (Id::Hose, usize::from(kinked)),
        (Id::Valve, usize::from(hardly_open)),
    ]
}

/// What eyes make of a rig with everything lit, its burners seen as they were lit: items with the places of their words.
pub(super) fn look_round(sim: &Simulation, lighting: &Lighting) -> Vec<(Id, usize)> {
    let mut seen = glance(sim, false);
    let plates = &sim.scenario().rig.appliances;
    seen.push((Id::OddOne, lighting.odd_one(&sim.readings(), plates)));
    seen.extend(hose_looks(sim));
    if lighting.was_seen() {
        seen.push((Id::Lighting, usize::from(lighting.late)));
    }
    seen
}

/// The newest of some observations of an item.
pub fn newest(found: &[Observation], item: Id) -> Option<f64> {
    found.iter().rev().find(|o| o.item == item).map(|o| o.value)
}

#[cfg(test)]
mod tests;
