//! How seat and diaphragm of a stage stand, in words.

use crate::fault::grain_m;
use crate::rig::Stage;
use crate::rig::readings::StageReadings;
use crate::service::{Finger, OPEN_FROM_M, SeatState, pressed_tight};
use crate::window::look::show::Units;

/// "open 0.21 mm", "shut, pressed 18 µm". A seat that is pressed and lets gas by is none that is shut, nor one that is bad: so a
/// sound one feeds a small burner.
pub fn seat_words(s: SeatState, u: Units) -> String {
    match s {
        SeatState::Open { lift_m } => format!("open {}", u.small_length(lift_m)),
        SeatState::Slips {
            squeeze_m,
            kg_per_s,
        } => {
            let by = u.mass_flow(kg_per_s.abs());
            if squeeze_m >= OPEN_FROM_M {
                let pressed = u.small_length(squeeze_m);
                format!("not quite shut: pressed {pressed}, lets {by} by")
            } else {
                format!("open by a hair, lets {by} by")
            }
        }
        SeatState::Nearly { squeeze_m } => {
            format!(
                "shut but for a trace, pressed {}",
                u.small_length(squeeze_m)
            )
        }
        SeatState::Pressed { squeeze_m } => format!("shut, pressed {}", u.small_length(squeeze_m)),
        SeatState::Touching => "just touching, nothing passes".to_owned(),
    }
}

/// The same of a stage as it stands: gas slips by only where the seat is pressed as hard as seals a sound one.
pub fn seat_told(stage: &Stage, s: &StageReadings, u: Units) -> String {
    let state = SeatState::of(s);
    match state {
        SeatState::Slips {
            squeeze_m,
            kg_per_s,
        } if pressed_tight(stage, s) => {
            if grain_m(stage).is_some() {
                // How deep the rubber is pressed and how high the grain stands are not to be told as one.
                "pressed round a grain, gas slips by".to_owned()
            } else {
                format!(
                    "pressed {}, as hard as seals a sound one, and {} slips by",
                    u.small_length(squeeze_m),
                    u.mass_flow(kg_per_s.abs())
                )
            }
        }
        // What the rubber, closed round a grain, leaves open is no opening that the lever makes.
        SeatState::Open { lift_m } if s.squeeze_m > 0.0 && grain_m(stage).is_some() => {
            format!("held {} open by a grain", u.small_length(lift_m))
        }
        _ => seat_words(state, u),
    }
}

/// Where a diaphragm stands: over the stop with the seat all the way open, on it, or pressed into it.
pub fn stands(s: &StageReadings, u: Units) -> String {
    let shown = u.travel(s.rise_m.abs());
    if shown.number() == u.travel(0.0).number() {
        "on its open stop".to_owned()
    } else if s.rise_m < 0.0 {
        format!("pressed {shown} into its open stop")
    } else {
        format!("{shown} above its open stop")
    }
}

/// What the plate does, and whether a finger makes it.
pub fn moves(s: &StageReadings) -> String {
    let moves = match s.speed_m_per_s {
        v if v.abs() < 1e-5 => "still",
        v if v > 0.0 => "rising",
        _ => "sinking",
    };
    match Finger::on(s) {
        Some(f) if f.lifts => format!("{moves}, lifted by a finger"),
        Some(_) => format!("{moves}, pressed by a finger"),
        None => moves.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::Rig;

    #[test]
    fn a_small_opening_keeps_a_number_to_read() {
        let open = |lift_m| seat_words(SeatState::Open { lift_m }, Units::Si);
        assert_eq!(open(4.2e-6), "open 4 µm");
        assert_eq!(open(0.31e-3), "open 0.31 mm");
        let pressed = seat_words(SeatState::Pressed { squeeze_m: 393e-6 }, Units::Si);
        assert_eq!(pressed, "shut, pressed 0.39 mm");
    }

    /// A sound seat on its way to tight is not told like one that creeps; one that is pressed as hard as seals it is.
    #[test]
    fn a_seat_that_closes_is_no_bad_seat() {
        let rig = Rig::standard(vec![], vec![]);
        let stage = &rig.second;
        let tight_m = stage.seal_force_n / stage.seat_n_per_m;
        let at = |squeeze_m| StageReadings {
            squeeze_m,
            flow_kg_per_s: 1e-6,
            ..StageReadings::default()
        };
        let told = |squeeze_m| seat_told(stage, &at(squeeze_m), Units::Us);
        // How much it lets by is told, whether it is pressed or not.
        assert!(told(0.5 * tight_m).starts_with("not quite shut: pressed"));
        assert!(told(0.5 * tight_m).ends_with("lb/h by"));
        assert!(told(0.0).starts_with("open by a hair"));
        assert!(told(0.0).ends_with("lb/h by"));
        assert!(told(1.01 * tight_m).ends_with("lb/h slips by"));
        // However little is told to pass, the seat that lets it by is not told to be shut.
        let little = StageReadings {
            flow_kg_per_s: 5e-8,
            ..at(1.01 * tight_m)
        };
        assert!(!seat_told(stage, &little, Units::Us).contains("shut"));
    }

    /// No diaphragm is told to stand a negative height over its stop, nor to rest while a finger presses it.
    #[test]
    fn a_diaphragm_stands_over_its_stop_or_in_it() {
        let mut s = StageReadings {
            rise_m: -94e-6,
            ..StageReadings::default()
        };
        assert_eq!(stands(&s, Units::Us), "pressed 3.7 thou into its open stop");
        s.rise_m = 0.0;
        assert_eq!(stands(&s, Units::Us), "on its open stop");
        s.rise_m = 1e-3;
        assert_eq!(stands(&s, Units::Si), "1.00 mm above its open stop");
        assert_eq!(moves(&s), "still");
        s.forces.hand_n = -4.0;
        assert_eq!(moves(&s), "still, pressed by a finger");
        s.forces.hand_n = 4.0;
        assert_eq!(moves(&s), "still, lifted by a finger");
    }
}
