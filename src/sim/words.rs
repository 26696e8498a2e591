//! One sentence of what is happening now, told from the readings alone.
//!
//! Each clause is a statement about numbers of the moment; no fault is named, since the words
//! must say what can be seen, not why.

use super::simulation::Mark;
use crate::rig::{Phase, Readings, Rig, StageReadings};

/// An event is news for this long in simulated time \[s\].
const NEWS_S: f64 = 4.0;
/// A diaphragm moving faster than this is seen to move \[m/s\].
const MOVING: f64 = 2e-4;
/// Gas at a vent that leak fluid would show \[m³/s\]: about 1 mL/s.
const BUBBLES: f64 = 1e-6;
/// A flow that counts as flow \[kg/s\]: a few hundred Btu/h.
const FLOWING: f64 = 1e-6;
/// A flow past a seat that is pressed shut \[kg/s\]: a tight one passes none at all.
const SLIPPING: f64 = 1e-9;

/// The sentence.
pub fn sentence(rig: &Rig, r: &Readings, last: Option<&Mark>) -> String {
    let mut text = String::new();
    if let Some(m) = last.filter(|m| (0.0..NEWS_S).contains(&(r.time_s - m.time_s))) {
        text.push_str(&capital(&m.text));
        text.push_str(": ");
        text.push_str(&body(rig, r));
    } else {
        text.push_str(&capital(&body(rig, r)));
    }
    text
}

fn capital(s: &str) -> String {
    let mut c = s.chars();
    c.next()
        .map_or_else(String::new, |f| f.to_uppercase().chain(c).collect())
}

/// The most telling thing first.
fn body(rig: &Rig, r: &Readings) -> String {
    let second = &r.second;
    let c = &r.containers[r.service_side];
    if second.relief_kg_per_s > FLOWING {
        return "the relief lets gas through the spring case to the vent, because the outlet pressure is far over its set point".to_owned();
    }
    if second.tear_kg_per_s > FLOWING || r.first.tear_kg_per_s > FLOWING {
        return "gas passes through the diaphragm into the spring case and leaves at the vent"
            .to_owned();
    }
    if r.first.liquid_share > 0.02 {
        return "liquid reaches the first seat: a small opening passes many times the mass, and it boils in the body, which turns cold".to_owned();
    }
    if r.first.ice > 0.1 {
        return format!(
            "ice covers {:.0} % of the first orifice, where the expanding gas is coldest",
            100.0 * r.first.ice
        );
    }
    if c.excess_flow_tripped {
        return "the excess-flow valve at the container has closed; only its small bleed passes"
            .to_owned();
    }
    if (0..r.appliance_count).any(|i| r.appliances[i].phase == Phase::OpenUnlit) {
        return "gas leaves a burner that does not burn".to_owned();
    }
    if second.speed_m_per_s.abs() > MOVING {
        return moving(second);
    }
    if second.flow_kg_per_s > FLOWING {
        flowing(rig, r)
    } else {
        resting(r)
    }
}

fn moving(s: &StageReadings) -> String {
    let breath = if s.vent_m3_per_s.abs() > BUBBLES {
        if s.vent_m3_per_s > 0.0 {
            ", and air leaves by the vent"
        } else {
            ", and air comes in by the vent"
        }
    } else {
        ""
    };
    if s.speed_m_per_s < 0.0 {
        format!(
            "the outlet pressure falls, the spring pushes the diaphragm down, the lever draws the seat off its nozzle{breath}"
        )
    } else {
        format!(
            "the outlet pressure rises, the diaphragm lifts against its spring, the lever pushes the seat towards its nozzle{breath}"
        )
    }
}

fn flowing(rig: &Rig, r: &Readings) -> String {
    let s = &r.second;
    let full = (s.lift_m - rig.second.held_lift_m) * rig.second.lever_ratio
        > 0.95 * rig.second.touch_rise_m;
    let starved = r.first.chamber_pa < 4.0 * r.outlet_pa.max(1.0);
    if full && starved {
        "the second seat stands wide open and still the pressure sags: too little gas comes through the first stage".to_owned()
    } else if full {
        "the second seat stands wide open: the load asks for more than the regulator can pass"
            .to_owned()
    } else {
        format!(
            "gas and spring balance with the second seat {}, the first {}: what comes in is what the burners take",
            opening(s.lift_m),
            opening(r.first.lift_m)
        )
    }
}

/// How far a seat is open, in a unit that leaves a number to read.
fn opening(lift_m: f64) -> String {
    let um = 1e6 * lift_m;
    if um < 0.5 {
        "just touching".to_owned()
    } else if um < 100.0 {
        format!("{um:.0} µm open")
    } else {
        format!("{:.2} mm open", 1e3 * lift_m)
    }
}

fn resting(r: &Readings) -> String {
    if r.outlet_pa < 100.0 {
        "no gas stands at the outlet; the spring holds the second seat wide open".to_owned()
    } else if r.second.squeeze_m > 0.0 && r.second.flow_kg_per_s > SLIPPING {
        "no burner asks, yet a little gas slips past the second seat, pressed as it is: the outlet climbs until the seat is tight or the relief gives off as much".to_owned()
    } else if r.second.squeeze_m > 0.0 {
        "no burner asks: the pressure has risen a little and presses both seats shut; the regulator is locked up".to_owned()
    } else {
        "no gas flows, and the second seat is not pressed shut".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::opening;

    #[test]
    fn a_small_opening_keeps_a_number_to_read() {
        assert_eq!(opening(1.4e-7), "just touching");
        assert_eq!(opening(4.2e-6), "4 µm open");
        assert_eq!(opening(0.31e-3), "0.31 mm open");
    }
}
