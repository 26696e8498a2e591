//! Physical causes put in as raw parameters of the rig, not from the catalogue: those that some fault of it means, with
//! the faults whose mending is the right job; and those that no fault of it changes, or changes so.
//!
//! Sizes are invented: what shows on a visit and could be met.

use twostage::rig::Rig;

/// One cause.
pub struct Cause {
    /// In words.
    pub words: &'static str,
    /// Faults of the catalogue whose mending is the right job; none where nothing in it is.
    pub job: &'static [&'static str],
    /// What it changes.
    pub change: fn(&mut Rig),
}

macro_rules! causes {
    ($($words:literal, $job:expr, |$rig:ident| $change:expr;)*) => {
        &[$(Cause { words: $words, job: $job, change: |$rig: &mut Rig| { $change; } }),*]
    };
}

const SEAT: &[&str] = &[
    "second_seat_grit",
    "second_seat_nick",
    "second_seat_set",
    "second_seat_disc_lost",
    "oily_residue",
];
const FIRST_SEAT: &[&str] = &["first_seat_grit", "first_seat_nick", "first_seat_disc_lost"];
const LOW: &[&str] = &[
    "second_screw_low",
    "second_spring_weak",
    "second_spring_broken",
    "lever_bent",
];
const HIGH: &[&str] = &["second_screw_high"];
const FIRST_LOW: &[&str] = &[
    "first_screw_low",
    "first_spring_weak",
    "first_spring_broken",
];
const FIRST_HIGH: &[&str] = &["first_screw_high"];
const DIAPHRAGM: &[&str] = &["diaphragm_pinhole", "diaphragm_torn", "relief_weeping"];
const VENT: &[&str] = &[
    "second_vent_blocked",
    "vent_screen_painted",
    "mounted_in_sun",
    "vent_sealed_below",
    "second_vent_iced",
];
const STICKS: &[&str] = &["lever_gummed", "rubber_stiff"];
const SUPPLY: &[&str] = &[
    "hose_kinked",
    "hose_bored_down",
    "service_valve_part_open",
    "excess_flow_tripped",
];
const LINE: &[&str] = &["line_crushed", "line_too_small", "low_point_liquid"];

/// What some fault of the catalogue means.
pub static KNOWN: &[Cause] = causes! {
    "dirt holds the second seat 8 µm open", SEAT, |r| r.second.held_lift_m += 8e-6;
    "dirt holds the second seat 40 µm open", SEAT, |r| r.second.held_lift_m += 40e-6;
    "a scratch of 0.002 mm² across the second seat", SEAT, |r| r.second.seal_channel_m2 += 2e-9;
    "a scratch of 0.02 mm² across the second seat", SEAT, |r| r.second.seal_channel_m2 += 20e-9;
    "the second seat wants six times the force", SEAT, |r| r.second.seal_force_n *= 6.0;
    "a scratch of 0.01 mm² across the first seat", FIRST_SEAT, |r| r.first.seal_channel_m2 += 10e-9;
    "dirt holds the first seat 3 µm open", FIRST_SEAT, |r| r.first.held_lift_m += 3e-6;
    "second spring's force 15 % low", LOW, |r| r.second.preload_n *= 0.85;
    "second spring's force 30 % low", LOW, |r| r.second.preload_n *= 0.70;
    "second spring's force 12 % high", HIGH, |r| r.second.preload_n *= 1.12;
    "first spring's force 35 % low", FIRST_LOW, |r| r.first.preload_n *= 0.65;
    "first spring's force 25 % high", FIRST_HIGH, |r| r.first.preload_n *= 1.25;
    "a hole of 0.03 mm² in the second diaphragm", DIAPHRAGM, |r| r.second.tear_m2 += 30e-9;
    "a slit of 0.5 mm² in the second diaphragm", DIAPHRAGM, |r| r.second.tear_m2 += 500e-9;
    "a hole of 0.2 mm² in the first diaphragm", &["first_diaphragm_torn"], |r| r.first.tear_m2 += 200e-9;
    "second vent 1.5 % open", VENT, |r| r.second.vent.open *= 0.015;
    "second vent 0.3 % open", VENT, |r| r.second.vent.open *= 3e-3;
    "the lever drags with 0.5 N", STICKS, |r| drag(r, 0.5);
    "the lever drags with 1.2 N", STICKS, |r| drag(r, 1.2);
    "first orifice passes a twentieth", &["first_stage_clogged"], |r| r.first.discharge *= 0.05;
    "pigtail of a third of its bore", SUPPLY, |r| r.containers.iter_mut().for_each(|c| c.supply.pigtail_bore_m *= 0.33);
    "container valve a fortieth open", SUPPLY, |r| r.containers.iter_mut().for_each(|c| c.supply.valve_m2 /= 40.0);
    "a leak of 0.05 mm² at the pigtail", &["pigtail_leak"], |r| r.containers.iter_mut().for_each(|c| c.supply.pigtail_leak_m2 += 50e-9);
    "main line six times as long", LINE, |r| r.piping.main.length_m *= 6.0;
    "main line of six tenths of its bore", LINE, |r| r.piping.main.bore_m *= 0.6;
    "liquid 60 Pa deep in the line", LINE, |r| r.piping.low_point_pa += 60.0;
    "a leak of 0.01 mm² in the piping", &["low_side_leak"], |r| r.piping.leak_m2 += 10e-9;
    "a leak of 0.1 mm² in the piping", &["low_side_leak"], |r| r.piping.leak_m2 += 100e-9;
    "orifice of the first appliance halved", &["spud_clogged", "gas_valve_sticks"], |r| r.appliances[0].spud_m2 *= 0.5;
    "orifice of the first appliance 1.8 times", &["spud_oversize"], |r| { r.appliances[0].spud_m2 *= 1.8; r.appliances[0].valve_m2 *= 1.8 };
};

fn drag(r: &mut Rig, more_n: f64) {
    let ratio = 1.0 + more_n / r.second.friction_n.max(1e-3);
    r.second.friction_n += more_n;
    r.second.bristle_n_per_m *= ratio;
}

/// What no fault of the catalogue changes, or changes so.
pub static OUTSIDE: &[Cause] = causes! {
    "second orifice 1.6 times as wide", &[], |r| r.second.bore_m *= 1.6;
    "second orifice 1.3 times as wide", &[], |r| r.second.bore_m *= 1.3;
    "second orifice of half the width", &[], |r| r.second.bore_m *= 0.5;
    "first orifice twice as wide", &[], |r| r.first.bore_m *= 2.0;
    "first orifice 0.4 of its width", &[], |r| r.first.bore_m *= 0.4;
    "second spring three times as stiff, set again", &[], |r| swap(&mut r.second, 3.0, 1.0);
    "second spring a third as stiff, set again", &[], |r| swap(&mut r.second, 0.33, 1.0);
    "second spring twice as stiff, screw as it was", &[], |r| r.second.spring_n_per_m *= 2.0;
    "first spring three times as stiff, set again", &[], |r| swap(&mut r.first, 3.0, 1.0);
    "first spring a quarter as stiff, screw as it was", &[], |r| r.first.spring_n_per_m *= 0.25;
    "another spring: stiffer and set high", &[], |r| swap(&mut r.second, 2.5, 1.15);
    "a second diaphragm 15 % larger", &[], |r| r.second.area_m2 *= 1.15;
    "a second diaphragm 15 % smaller", &[], |r| r.second.area_m2 *= 0.85;
    "a first diaphragm 25 % smaller", &[], |r| r.first.area_m2 *= 0.75;
    "a first diaphragm 30 % larger", &[], |r| r.first.area_m2 *= 1.3;
    "a lever of 1.5 times the ratio", &[], |r| r.second.lever_ratio *= 1.5;
    "a lever of 0.6 of the ratio", &[], |r| r.second.lever_ratio *= 0.6;
    "all orifices bored to 1.5 times", &[], |r| spuds(r, 1.5, 1.0);
    "all orifices of another gas: 0.55", &[], |r| spuds(r, 0.55, 1.0);
    "all gas valves pass a quarter", &[], |r| spuds(r, 1.0, 0.25);
    "two orifices clogged", &[], |r| r.appliances.iter_mut().take(2).for_each(|a| a.spud_m2 *= 0.4);
    "every second orifice bored to twice", &[], |r| r.appliances.iter_mut().step_by(2).for_each(|a| { a.spud_m2 *= 2.0; a.valve_m2 *= 2.0 });
    "all branches of half their bore", &[], |r| r.appliances.iter_mut().for_each(|a| a.branch.bore_m *= 0.5);
    "the last branch crushed", &[], |r| if let Some(a) = r.appliances.last_mut() { a.branch.bore_m *= 0.3 };
    "a fifth of ethane in the fuel", &[], |r| { r.fuel.fractions[0] -= 0.2; r.fuel.fractions[1] += 0.2 };
    "half ethane", &[], |r| { r.fuel.fractions[0] -= 0.5; r.fuel.fractions[1] += 0.5 };
    "water 30 mm deep in the first bonnet", &[], |r| r.first.water_m += 0.03;
    "a head of 150 Pa in the wet second vent, and a scratched seat", &[], |r| { r.second.vent.water_seal_pa += 150.0; r.second.seal_channel_m2 += 10e-9 };
    "second discharge a third: residue in its orifice", &[], |r| r.second.discharge *= 0.33;
    "second discharge an eighth", &[], |r| r.second.discharge *= 0.12;
    "drag in both stages", &[], |r| { drag(r, 0.8); r.first.friction_n += 25.0; r.first.bristle_n_per_m *= 8.0 };
    "the moulded rubber pulls from 2 mm off", &[], |r| r.second.rubber_ease_m += 2e-3;
    "the second seat touches a third later", &[], |r| r.second.touch_rise_m *= 1.35;
    "first orifice three times as wide", &[], |r| r.first.bore_m *= 3.0;
    "a lever of twice the ratio", &[], |r| r.second.lever_ratio *= 2.0;
    "a third of ethane in the fuel", &[], |r| { r.fuel.fractions[0] -= 0.33; r.fuel.fractions[1] += 0.33 };
    "first spring twice as stiff, screw as it was", &[], |r| r.first.spring_n_per_m *= 2.0;
    "all orifices of 0.75 of their area", &[], |r| spuds(r, 0.75, 1.0);
    "two gas valves pass a fifth", &[], |r| r.appliances.iter_mut().take(2).for_each(|a| a.valve_m2 *= 0.2);
    "a second diaphragm 30 % larger", &[], |r| r.second.area_m2 *= 1.3;
    "all thermocouples weak", &[], |r| r.appliances.iter_mut().for_each(|a| { a.drop_out_pa *= 2.2; a.light_pa *= 2.2 });
    "an excess-flow valve for a fifth of the flow", &[], |r| r.containers.iter_mut().for_each(|c| c.supply.excess_trip_kg_per_s *= 0.2);
};

/// Another spring, the screw set again so that its force at the working place is `set` of what it was.
fn swap(stage: &mut twostage::rig::Stage, rate: f64, set: f64) {
    let rise_m = 0.8 * stage.touch_rise_m;
    let was_n = stage.preload_n + stage.spring_n_per_m * rise_m;
    stage.spring_n_per_m *= rate;
    stage.preload_n = (set * was_n - stage.spring_n_per_m * rise_m).max(0.0);
}

fn spuds(r: &mut Rig, spud: f64, valve: f64) {
    for a in &mut r.appliances {
        a.spud_m2 *= spud;
        a.valve_m2 *= valve * spud.max(1.0);
    }
}
