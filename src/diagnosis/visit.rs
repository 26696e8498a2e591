//! A whole visit in the simulation, made cheap: the same acts as the bench's tests, in one order,
//! reading every item of [`super::reading::ALL`] once and without instruments' errors.
//!
//! It costs one run of about half an hour of simulated time. Not here: errors of instruments,
//! probabilities.

use super::reading::{ALL, INDICATOR, ITEMS, Item, Values};
use crate::rig::{Flame, Ignition, MAX_APPLIANCES, Phase, Readings, Stage, StageReadings};
use crate::scenario::{Action, Scenario, SiteValue};
use crate::service::{
    Bubbles, Joint, Sound, TOLERANCE, bubbles_at, flame_seen, frost_seen, prepare,
};
use crate::sim::{SimError, Simulation};
use crate::solver::Method;
use crate::units::{M_PER_FT, inwc_to_pa};
use std::sync::Arc;

/// Climb of the last test \[m\] and how long the road takes \[s\].
const CLIMB: (f64, f64) = (1000.0 * M_PER_FT, 600.0);
/// Temperature of a warm wet cloth \[K\] (practice: hand-warm, 40 °C).
const CLOTH_K: f64 = 313.15;

struct Visit {
    sim: Simulation,
    values: Values,
    half: Vec<usize>,
    smallest: usize,
}

fn word(count: usize) -> f64 {
    count as f64
}

impl Visit {
    fn set(&mut self, table: &str, key: &str, value: f64) {
        let i = Item::at(table, key);
        self.values[i] = Some(ALL[i].shown(value));
    }

    /// Lets time pass. A rig that hunts costs steps without end and is watched for less long: what
    /// it does after seconds it does after minutes.
    fn wait(&mut self, duration_s: f64) -> Result<Readings, SimError> {
        let (start_s, steps) = (self.sim.time_s(), self.sim.work().steps);
        for share in [duration_s.min(2.0), duration_s.min(20.0), duration_s] {
            let until = start_s + share;
            if until > self.sim.time_s() {
                self.sim.advance(until, None, &mut |_| {})?;
            }
            if self.sim.work().steps - steps > MOST_STEPS {
                break;
            }
        }
        Ok(self.sim.readings())
    }

    fn light(&mut self, wanted: &[usize]) {
        for i in 0..self.sim.rig().appliances.len() {
            let on = wanted.contains(&i);
            if self.sim.moment().modes.appliances[i].on != on {
                self.sim.act(&Action::Switch { appliance: i, on });
            }
        }
    }

    fn all(&self) -> Vec<usize> {
        (0..self.sim.rig().appliances.len()).collect()
    }

    /// Turns every container's valve: a leak check with a reserve that can feed is none.
    fn valves(&mut self, open: f64, over_s: f64) {
        for container in 0..self.sim.rig().containers.len() {
            self.sim.act(&Action::Valve {
                container,
                open,
                over_s,
            });
        }
    }

    /// Leak fluid at a vent, as gas makes it: air that breathes is told from gas by its coming and
    /// going, and the loose tolerance of these runs breathes by itself.
    fn vent_bubbles(stage: &StageReadings) -> f64 {
        let gas_m3_per_s = (stage.tear_kg_per_s + stage.relief_kg_per_s) / VAPOUR_KG_PER_M3;
        word(Bubbles::of_flow(gas_m3_per_s.min(stage.vent_m3_per_s)) as usize)
    }

    fn bubbles(&self, joint: Joint) -> f64 {
        word(bubbles_at(joint, &self.sim) as usize)
    }

    /// Waits while burners light, noting how each of them does.
    fn watch_lighting(&mut self, duration_s: f64, seen: &mut Lighting) -> Result<(), SimError> {
        let until = self.sim.time_s() + duration_s;
        self.sim
            .advance(until, Some(LOOK_EVERY_S), &mut |r| seen.look(r))
    }

    fn flowing(&mut self) -> Result<(), SimError> {
        let mut seen = Lighting::default();
        self.light(&self.half.clone());
        self.watch_lighting(24.0, &mut seen)?;
        let r = self.wait(12.0)?;
        self.set("half_load", "outlet", r.outlet_pa);
        self.set("first_stage", "half_load", r.first.chamber_pa);
        self.light(&self.all());
        self.watch_lighting(24.0, &mut seen)?;
        let r = self.wait(12.0)?;
        self.set("full_load", "outlet", r.outlet_pa);
        self.set("full_load", "manifold", r.manifold_pa);
        self.set("full_load", "inlet", pigtail_pa(&r));
        self.set("first_stage", "full_load", r.first.chamber_pa);
        self.set("vent", "first_flowing", Self::vent_bubbles(&r.first));
        self.set("vent", "second_flowing", Self::vent_bubbles(&r.second));
        self.set("heard", "flowing", sound(&r));
        self.set("seen", "flames", flames(&r));
        self.set("seen", "odd_one", seen.odd_one(&r, &self.sim));
        self.set("seen", "lighting", word(usize::from(seen.late)));
        self.look_about(&r);
        self.reserve()?;
        let r = self.wait(180.0)?;
        // Who sees them jump while it draws will say so.
        if surging(&r) {
            self.set("seen", "flames", flames(&r));
        }
        self.set("long_draw", "outlet", r.outlet_pa);
        let container = r.containers[r.service_side].pressure_pa;
        self.set("long_draw", "container", container);
        let frost = frost_seen(&r);
        self.set("seen", "frost_on_body", word(usize::from(frost.body)));
        self.set(
            "seen",
            "frost_on_container",
            word(usize::from(frost.container)),
        );
        Ok(())
    }

    /// At full load, the service side shut; the run then goes back.
    fn reserve(&mut self) -> Result<(), SimError> {
        if self.sim.rig().changeover.is_none() {
            self.set("seen", "reserve", word(0));
            return Ok(());
        }
        let before = self.sim.moment().clone();
        self.sim.act(&Action::Valve {
            container: before.modes.service_side,
            open: 0.0,
            over_s: 2.0,
        });
        let r = self.wait(60.0)?;
        let gives_out = r.outlet_pa < inwc_to_pa(GIVES_OUT_INWC);
        self.set("seen", "reserve", word(1 + usize::from(gives_out)));
        self.sim.go_back_to(&before);
        Ok(())
    }

    fn up_and_down(&mut self) -> Result<(), SimError> {
        self.light(&self.half.clone());
        let r = self.wait(20.0)?;
        self.set("from_above", "outlet", r.outlet_pa);
        self.sim.act(&Action::Tap);
        let r = self.wait(3.0)?;
        self.set("from_above", "after_tap", r.outlet_pa);
        Ok(())
    }

    fn at_rest(&mut self) -> Result<(), SimError> {
        self.light(&[]);
        let mut peak_pa: f64 = 0.0;
        let until = self.sim.time_s() + 5.0;
        self.sim.advance(until, Some(0.5), &mut |r| {
            peak_pa = peak_pa.max(r.outlet_pa);
        })?;
        self.set("lock_up", "at_once", peak_pa);
        let r = self.wait(55.0)?;
        self.set("lock_up", "after_minute", r.outlet_pa);
        self.set("first_stage", "at_rest", r.first.chamber_pa);
        let r = self.wait(300.0)?;
        self.set("lock_up", "after_creep", r.outlet_pa);
        self.set("first_stage", "after_creep", r.first.chamber_pa);
        self.set("vent", "first_at_rest", Self::vent_bubbles(&r.first));
        self.set("vent", "second_at_rest", Self::vent_bubbles(&r.second));
        self.set("heard", "at_rest", sound(&r));
        self.set("leak_fluid", "pigtail", self.bubbles(Joint::Pigtail));
        self.set("leak_fluid", "low_side", self.bubbles(Joint::LowSide));
        let worst = self
            .all()
            .into_iter()
            .map(|i| self.bubbles(Joint::Burner(i)))
            .fold(0.0, f64::max);
        self.set("leak_fluid", "burner", worst);
        Ok(())
    }

    fn leak_check(&mut self) -> Result<(), SimError> {
        self.valves(0.0, 2.0);
        self.wait(3.0)?;
        self.bleed_to(inwc_to_pa(9.0))?;
        let start_pa = self.sim.readings().outlet_pa;
        let end_pa = self.wait(185.0)?.outlet_pa;
        self.set("leak_check", "change", end_pa - start_pa);
        Ok(())
    }

    /// Bleeds the low side down to a pressure: once to see when it is there, once to stop then.
    fn bleed_to(&mut self, target_pa: f64) -> Result<(), SimError> {
        let from = self.sim.moment().clone();
        let t = self.sim.time_s();
        let mut before = (t, f64::MAX);
        let mut at_s = None;
        self.sim.act(&Action::Bleed { area_m2: BLEED_M2 });
        while at_s.is_none() && self.sim.time_s() < t + 40.0 {
            let until = self.sim.time_s() + 8.0;
            self.sim.advance(until, Some(0.05), &mut |r| {
                if at_s.is_none() && r.outlet_pa <= target_pa {
                    let share = (before.1 - target_pa) / (before.1 - r.outlet_pa).max(1.0);
                    at_s = Some(before.0 + (r.time_s - before.0) * share.clamp(0.0, 1.0));
                }
                before = (r.time_s, r.outlet_pa);
            })?;
        }
        if let Some(at_s) = at_s {
            self.sim.go_back_to(&from);
            self.sim.act(&Action::Bleed { area_m2: BLEED_M2 });
            self.wait(at_s - t)?;
        }
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        Ok(())
    }

    /// A flush, from rest; the run then goes back. Where nothing is loose on a seat, a burst of
    /// flow changes nothing, and the lock-up of a minute before stands for the one after.
    fn after_flush(&mut self) -> Result<(), SimError> {
        let before = self.sim.moment().clone();
        let rig = self.sim.rig().clone();
        let loose = |s: &Stage| s.loose_at_kg_per_s.is_some();
        let (lock_up, first) = if loose(&rig.first) || loose(&rig.second) {
            self.sim.act(&Action::Bleed { area_m2: FLUSH_M2 });
            self.wait(4.0)?;
            self.sim.act(&Action::Bleed { area_m2: 0.0 });
            let r = self.wait(60.0)?;
            (r.outlet_pa, r.first.chamber_pa)
        } else {
            let same = |table, key| self.values[Item::at(table, key)].unwrap_or(0.0);
            (
                same("lock_up", "after_minute"),
                same("first_stage", "at_rest"),
            )
        };
        self.set("after_flush", "lock_up", lock_up);
        self.set("after_flush", "first_stage", first);
        self.sim.go_back_to(&before);
        Ok(())
    }

    /// From full load; the run then goes back to before the cloth.
    fn after_warming(&mut self) -> Result<(), SimError> {
        let cold = self.sim.moment().clone();
        self.sim.act(&Action::Warm { to_k: CLOTH_K });
        let r = self.wait(60.0)?;
        self.set("after_warming", "full_load", r.outlet_pa);
        self.light(&[]);
        let r = self.wait(60.0)?;
        self.set("after_warming", "lock_up", r.outlet_pa);
        self.sim.go_back_to(&cold);
        Ok(())
    }

    fn after_climb(&mut self) -> Result<(), SimError> {
        self.light(&[self.smallest]);
        let r = self.wait(20.0)?;
        self.set("pilots", "outlet", r.outlet_pa);
        let site = self.sim.moment().modes.site;
        let to = site.elevation_m.at(self.sim.time_s()) + CLIMB.0;
        // The smallest burner lets out what the climb would trap in the low side.
        let (value, over_s) = (SiteValue::Elevation, CLIMB.1);
        self.sim.act(&Action::Site { value, to, over_s });
        self.wait(CLIMB.1 + 1.0)?;
        self.light(&[]);
        let r = self.wait(60.0)?;
        self.set("after_climb", "lock_up", r.outlet_pa);
        Ok(())
    }

    fn look_about(&mut self, r: &Readings) {
        let stage = &self.sim.rig().second;
        let healthy = &self.sim.scenario().rig.second;
        // What a look tells is what bars the hole, not who put it there.
        let looks = if stage.water_m > 1e-3 && r.case_k > ICE_K {
            3
        } else if r.second.vent_open < 0.5 * stage.vent.open {
            2
        } else if stage.vent.flap_m2 < 0.8 * healthy.vent.flap_m2 {
            4
        } else {
            usize::from(stage.vent.open < 0.5)
        };
        self.set("seen", "vent_looks", word(looks));
        let new = &self.sim.scenario().rig.containers;
        let mut ways = self
            .sim
            .rig()
            .containers
            .iter()
            .zip(new)
            .map(|(c, new)| (&c.supply, &new.supply));
        let kinked = ways
            .clone()
            .any(|(way, new)| way.pigtail_minor_loss > KINK * new.pigtail_minor_loss);
        let hardly_open = ways.any(|(way, new)| way.valve_m2 < 0.5 * new.valve_m2);
        let shows = (self.sim.rig().changeover).and_then(|_| {
            let shown = r.indicator();
            INDICATOR.iter().position(|words| *words == shown)
        });
        self.set("seen", "indicator", word(shows.unwrap_or(0)));
        self.set("seen", "hose", word(usize::from(kinked)));
        self.set("seen", "valve", word(usize::from(hardly_open)));
    }
}

/// More steps than this in a wait are hunting; a step is a few hundredths of a period.
const MOST_STEPS: u64 = 700;
/// Open test tap of the leak check \[m²\].
const BLEED_M2: f64 = 1.5e-6;
/// Open test tap of a flush \[m²\].
const FLUSH_M2: f64 = 60e-6;
/// Density of propane vapour near ambient \[kg/m³\] (derived: 1 atm, 15 °C).
const VAPOUR_KG_PER_M3: f64 = 1.86;
/// An outlet under this at full load on the reserve is one that gives out \[in w.c.\].
const GIVES_OUT_INWC: f64 = 8.0;
/// A bend that loses this many times a straight hose's ends is seen.
const KINK: f64 = 10.0;
/// Freezing point of water \[K\].
const ICE_K: f64 = crate::physics::WATER_FREEZING_K;
/// How often the burners are looked at while they light \[s\].
const LOOK_EVERY_S: f64 = 0.5;

/// What was seen of the burners as they were lit.
#[derive(Default)]
struct Lighting {
    /// When each burner's gas valve was first seen open \[s\].
    opened_s: [Option<f64>; MAX_APPLIANCES],
    /// Whether each has burned.
    burned: [bool; MAX_APPLIANCES],
    /// Whether one's valve was seen half open long after it began.
    late: bool,
}

impl Lighting {
    fn look(&mut self, r: &Readings) {
        for (i, a) in r.appliances[..r.appliance_count].iter().enumerate() {
            if a.valve_open > 0.0 {
                let opened = *self.opened_s[i].get_or_insert(r.time_s);
                self.late |= a.valve_open < 0.8 && r.time_s - opened > 0.9;
            }
            self.burned[i] |= a.flame != Flame::Out;
        }
    }

    /// Whether one appliance differs from the rest: small or large against its plate, dead, or
    /// gone out. With several, the first that differs most.
    fn odd_one(&self, r: &Readings, sim: &Simulation) -> f64 {
        let rig = sim.rig();
        let plates = &sim.scenario().rig.appliances;
        let now = &r.appliances[..r.appliance_count];
        let share = |i: usize| now[i].heat_w / plates[i].input_w;
        let lit: Vec<usize> = (0..now.len())
            .filter(|&i| now[i].phase == Phase::Burning)
            .collect();
        let out: Vec<usize> = (0..now.len()).filter(|i| !lit.contains(i)).collect();
        if !out.is_empty() && lit.len() > out.len() {
            let pilot = matches!(plates[out[0]].ignition, Ignition::Pilot { .. });
            return match (pilot, self.burned[out[0]]) {
                (true, _) => 5.0,
                (_, true) => 4.0,
                _ => 3.0,
            };
        }
        if lit.len() < 3 || rig.appliances.len() < 3 {
            return 0.0;
        }
        let mut shares: Vec<f64> = lit.iter().map(|&i| share(i)).collect();
        shares.sort_by(f64::total_cmp);
        let median = shares[shares.len() / 2];
        if shares[0] < 0.75 * median && shares[1] > 0.85 * median {
            return 1.0;
        }
        let n = shares.len();
        if shares[n - 1] > 1.25 * median && shares[n - 2] < 1.15 * median {
            return 2.0;
        }
        0.0
    }
}

/// Whether a flame jumps up and down.
fn surging(r: &Readings) -> bool {
    (0..r.appliance_count).any(|i| flame_seen(r, i).surging)
}

fn pigtail_pa(r: &Readings) -> f64 {
    r.containers[r.service_side].pigtail_pa
}

/// What is heard of the vents, a place in [`super::reading::SOUND`].
fn sound(r: &Readings) -> f64 {
    match Sound::of_vents(r) {
        Sound::Roar => 2.0,
        Sound::Hiss => 1.0,
        _ => 0.0,
    }
}

/// How most flames look; surging where one does.
fn flames(r: &Readings) -> f64 {
    if surging(r) {
        return 5.0;
    }
    let mut votes = [0; 5];
    for a in &r.appliances[..r.appliance_count] {
        let look = match a.flame {
            Flame::Normal => 0,
            Flame::Low => 1,
            Flame::Hard => 2,
            Flame::Lifting => 3,
            Flame::Out => 4,
        };
        votes[look] += 1;
    }
    let most = (0..5).rev().max_by_key(|&i| votes[i]).unwrap_or(0);
    word(most)
}

/// The appliances whose inputs add up nearest to half of all, and the smallest one.
fn loads(scenario: &Scenario) -> (Vec<usize>, usize) {
    let inputs: Vec<f64> = scenario.rig.appliances.iter().map(|a| a.input_w).collect();
    let half = 0.5 * inputs.iter().sum::<f64>();
    let sum = |set: u32| -> f64 {
        (0..inputs.len())
            .filter(|i| set >> i & 1 == 1)
            .map(|i| inputs[i])
            .sum()
    };
    let best = (1..1_u32 << inputs.len())
        .min_by(|a, b| (sum(*a) - half).abs().total_cmp(&(sum(*b) - half).abs()))
        .unwrap_or(0);
    let smallest = (0..inputs.len())
        .min_by(|&a, &b| inputs[a].total_cmp(&inputs[b]))
        .unwrap_or(0);
    let set = (0..inputs.len()).filter(|i| best >> i & 1 == 1).collect();
    (set, smallest)
}

/// Time that every spark control purges, and that every gas valve takes, in these runs \[s\].
const QUICK: (f64, f64) = (1.0, 0.25);

/// A scenario made ready for [`visit`]: as [`crate::service::prepare`] makes it, without
/// thermostats (every burner burns when asked), and with all controls of one pace, so that the
/// burners of a rig light together and the run has few corners.
#[must_use]
pub fn quickened(scenario: &Scenario) -> Scenario {
    let mut out = prepare(scenario, &[]);
    for a in &mut out.rig.appliances {
        a.thermal = None;
        a.valve_s = QUICK.1;
        if let Ignition::Spark {
            purge_s, pause_s, ..
        } = &mut a.ignition
        {
            (*purge_s, *pause_s) = (QUICK.0, 3.0);
        }
    }
    out.run.settle_s = 10.0;
    out
}

/// Makes the whole visit to a prepared scenario (see [`crate::service::prepare`]), its faults in
/// it from the start, and gives the true value of every item.
///
/// # Errors
/// [`SimError`] if the run fails.
pub fn visit(scenario: &Arc<Scenario>) -> Result<Values, SimError> {
    let sim = Simulation::start(scenario.clone(), Method::Stiff, TOLERANCE)?;
    let (half, smallest) = loads(scenario);
    let mut v = Visit {
        sim,
        values: [None; ITEMS],
        half,
        smallest,
    };
    let r = v.wait(10.0)?;
    v.set("site", "air", r.air_k);
    let c = r.containers[r.service_side];
    v.set("container", "pressure", c.pressure_pa);
    v.set("container", "fill", c.fill);
    v.flowing()?;
    v.after_warming()?;
    v.up_and_down()?;
    v.at_rest()?;
    v.after_flush()?;
    v.after_climb()?;
    v.leak_check()?;
    Ok(v.values)
}
