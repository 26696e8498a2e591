//! The quick-split rules of the trade, as a baseline to be measured against: lock-up wrong and
//! flow right, a seat; flow wrong and lock-up right, supply, size or cold; both alike, spring or
//! screw; direction, friction; minutes, container or ice; gas at the vent, diaphragm or relief.
//! Grade: common practice. Not used by the diagnosis itself.

use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::{Item, Values};

/// Causes by the rules, likeliest first: the family's commonest members in its order.
pub fn rank(values: &Values) -> Vec<&'static str> {
    let get = |t: &str, k: &str| Item::find(t, k).and_then(|i| values[i]);
    let inwc = |t: &str, k: &str, usual: f64| get(t, k).map_or(usual, |v| v / inwc_to_pa(1.0));
    let word = |t: &str, k: &str| get(t, k).unwrap_or(0.0) as usize;
    let half = inwc("half_load", "outlet", 11.0);
    let full = inwc("full_load", "outlet", 10.8);
    let lock_up = inwc("lock_up", "after_minute", 12.0);
    let later = inwc("lock_up", "after_creep", lock_up);
    let flushed = inwc("after_flush", "lock_up", lock_up);
    let rest_psi = get("first_stage", "at_rest").map_or(10.0, |v| v / psi_to_pa(1.0));
    let full_psi = get("first_stage", "full_load").map_or(10.0, |v| v / psi_to_pa(1.0));
    let inlet_psi = get("full_load", "inlet").map_or(90.0, |v| v / psi_to_pa(1.0));
    let container_psi = get("container", "pressure").map_or(95.0, |v| v / psi_to_pa(1.0));
    let manifold = inwc("full_load", "manifold", 10.4);
    let leak = inwc("leak_check", "change", 0.0);
    let flow_low = half < 10.5 || half - full > 1.0;
    let flow_high = half > 11.5;
    let lock_high = lock_up > 13.2;
    let lock_low = lock_up < 11.0;
    match word("seen", "odd_one") {
        1 => return vec!["spud_clogged", "gas_valve_sticks", "air_in_container"],
        2 => return vec!["spud_oversize", "overloaded", "spud_clogged"],
        3 => return vec!["igniter_dead", "flame_sensor_dead", "air_in_container"],
        4 => return vec!["flame_sensor_dead", "igniter_dead", "thermocouple_dead"],
        5 => return vec!["thermocouple_dead", "igniter_dead", "flame_sensor_dead"],
        _ => {}
    }
    if word("seen", "valve") > 0 {
        return vec!["service_valve_part_open", "hose_kinked", "hose_bored_down"];
    }
    if word("seen", "hose") > 0 {
        return vec!["hose_kinked", "hose_bored_down", "service_valve_part_open"];
    }
    if word("leak_fluid", "pigtail") > 0 {
        return vec!["pigtail_leak", "hose_kinked", "first_diaphragm_torn"];
    }
    if word("vent", "first_at_rest") > 0 || word("vent", "first_flowing") > 0 {
        return vec!["first_diaphragm_torn", "pigtail_leak", "first_seat_nick"];
    }
    if word("vent", "second_flowing") > 0 {
        return vec!["diaphragm_torn", "diaphragm_pinhole", "relief_weeping"];
    }
    if word("heard", "at_rest") >= 2 {
        return vec!["second_seat_disc_lost", "lever_off", "second_seat_grit"];
    }
    if leak < -0.2 {
        return vec!["low_side_leak", "gas_valve_leaks", "diaphragm_pinhole"];
    }
    match word("seen", "vent_looks") {
        1 => {
            return vec![
                "second_vent_blocked",
                "mounted_in_sun",
                "vent_screen_painted",
            ];
        }
        2 => return vec!["second_vent_iced", "vent_turned_up", "second_vent_blocked"],
        3 => return vec!["vent_turned_up", "second_vent_iced", "second_vent_blocked"],
        4 => {
            return vec![
                "vent_screen_painted",
                "second_vent_blocked",
                "relief_stuck_shut",
            ];
        }
        _ => {}
    }
    if rest_psi > 13.0 {
        return vec!["first_seat_grit", "first_seat_nick", "first_seat_disc_lost"];
    }
    if lock_high && !flow_low && !flow_high {
        if flushed < lock_up - 0.5 {
            return vec!["second_seat_grit", "second_seat_nick", "second_seat_set"];
        }
        return if later - lock_up > 0.2 {
            vec!["second_seat_nick", "second_seat_grit", "oily_residue"]
        } else {
            vec!["second_seat_set", "rubber_stiff", "second_seat_nick"]
        };
    }
    if flow_high && lock_high {
        return vec!["second_screw_high", "vent_sealed_below", "rubber_stiff"];
    }
    if flow_low && lock_low {
        return vec!["second_screw_low", "second_spring_weak", "lever_bent"];
    }
    if flow_low {
        return if full_psi > 8.0 {
            vec!["overloaded", "lever_bent", "lever_gummed"]
        } else if inlet_psi < 0.7 * container_psi {
            vec![
                "hose_bored_down",
                "excess_flow_tripped",
                "service_valve_part_open",
            ]
        } else if rest_psi < 8.0 {
            vec![
                "first_screw_low",
                "first_spring_weak",
                "first_spring_broken",
            ]
        } else {
            vec!["first_stage_clogged", "water_in_fuel", "container_cold"]
        };
    }
    if full - manifold > 1.0 {
        return vec!["line_crushed", "line_too_small", "low_point_liquid"];
    }
    let fill = get("container", "fill").unwrap_or(0.5);
    if fill < 0.2 {
        return vec!["container_low", "container_cold", "butane_rich"];
    }
    if fill > 0.85 {
        return vec![
            "container_overfilled",
            "liquid_carry_over",
            "first_seat_grit",
        ];
    }
    let direction = inwc("from_above", "outlet", half) - half;
    if direction.abs() > 0.3 {
        return vec!["lever_gummed", "rubber_stiff", "second_vent_blocked"];
    }
    vec!["healthy", "second_seat_set", "container_cold"]
}
