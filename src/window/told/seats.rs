//! How a seat stands, in words.

use crate::fault::grain_m;
use crate::rig::Stage;
use crate::rig::readings::StageReadings;
use crate::service::{OPEN_FROM_M, SeatState, pressed_tight};
use crate::window::look::show::Units;

/// Less than this past a pressed seat is not told beside it \[kg/s\]: leak fluid does not answer to it (0.05 mL/s).
const NOTICED_KG_PER_S: f64 = 1e-7;

/// "open 0.21 mm", "shut, pressed 18 µm". A seat that is pressed and lets gas by is none that is shut, nor one that is bad: so a
/// sound one feeds a small burner.
pub fn seat_words(s: SeatState, u: Units) -> String {
    match s {
        SeatState::Open { lift_m } => format!("open {}", u.small_length(lift_m)),
        SeatState::Slips {
            squeeze_m,
            kg_per_s,
        } if squeeze_m >= OPEN_FROM_M => {
            let pressed = u.small_length(squeeze_m);
            if kg_per_s.abs() < NOTICED_KG_PER_S {
                format!("lightly pressed {pressed}")
            } else {
                format!("lightly pressed {pressed}, gas passes")
            }
        }
        SeatState::Slips { .. } => "just touching, gas passes".to_owned(),
        SeatState::Nearly { squeeze_m } => {
            format!("nearly shut, pressed {}", u.small_length(squeeze_m))
        }
        SeatState::Pressed { squeeze_m } => format!("shut, pressed {}", u.small_length(squeeze_m)),
        SeatState::Touching => "just touching".to_owned(),
    }
}

/// The same of a stage as it stands: gas slips by only where the seat is pressed as hard as seals a sound one.
pub fn seat_told(stage: &Stage, s: &StageReadings, u: Units) -> String {
    let state = SeatState::of(s);
    match state {
        SeatState::Slips { squeeze_m, .. } if pressed_tight(stage, s) => {
            if grain_m(stage).is_some() {
                // How deep the rubber is pressed and how high the grain stands are not to be told as one.
                "pressed round a grain, gas slips by".to_owned()
            } else {
                format!("pressed {} and gas slips by", u.small_length(squeeze_m))
            }
        }
        // What the rubber, closed round a grain, leaves open is no opening that the lever makes.
        SeatState::Open { lift_m } if s.squeeze_m > 0.0 && grain_m(stage).is_some() => {
            format!("held {} open by a grain", u.small_length(lift_m))
        }
        _ => seat_words(state, u),
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
        assert!(told(0.5 * tight_m).starts_with("lightly pressed"));
        assert!(told(0.5 * tight_m).ends_with("gas passes"));
        assert!(told(0.0).ends_with("gas passes"));
        assert!(told(1.01 * tight_m).ends_with("gas slips by"));
        // However little is told to pass, the seat that lets it by is not told to be shut.
        let little = StageReadings {
            flow_kg_per_s: 5e-8,
            ..at(1.01 * tight_m)
        };
        assert!(!seat_told(stage, &little, Units::Us).contains("shut"));
    }
}
