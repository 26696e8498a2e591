//! How often the seats have opened: what wears a regulator, whatever makes them open (a burner, a pilot, a
//! leak, a swing). What wears by it stands in `faults`.

use crate::rig::{Flows, Seat, stage::StageFlows};

/// An opening counts once the seat has risen this far from where it stood lowest, squeeze of its rubber
/// included, and the next one after it has come as far down again \[m\] (own).
const STROKE_M: f64 = 2.5e-6;

/// Openings of both seats so far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Strokes {
    first: Stroke,
    second: Stroke,
}

/// Openings of one seat.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Stroke {
    count: u64,
    /// Whether the seat has opened and not yet come back.
    open: bool,
    /// Highest place since it opened, lowest since it came back \[m\].
    turn_m: f64,
}

impl Stroke {
    fn at(lift_m: f64) -> Self {
        Self {
            turn_m: lift_m,
            ..Self::default()
        }
    }

    fn see(&mut self, lift_m: f64) {
        let towards = if self.open { -1.0 } else { 1.0 };
        let gone = towards * (lift_m - self.turn_m);
        if gone < 0.0 {
            self.turn_m = lift_m;
        } else if gone > STROKE_M {
            self.open = !self.open;
            self.turn_m = lift_m;
            self.count += u64::from(self.open);
        }
    }
}

impl Strokes {
    /// Nothing counted, the seats standing as they do.
    pub(super) fn from_here(flows: &Flows) -> Self {
        Self {
            first: Stroke::at(place_m(&flows.first)),
            second: Stroke::at(place_m(&flows.second)),
        }
    }

    /// Takes in where the seats stand; to be called after every step.
    pub(super) fn see(&mut self, flows: &Flows) {
        self.first.see(place_m(&flows.first));
        self.second.see(place_m(&flows.second));
    }

    /// How often a seat has opened.
    pub fn of(&self, seat: Seat) -> u64 {
        match seat {
            Seat::First => self.first.count,
            Seat::Second => self.second.count,
        }
    }
}

/// Where a seat stands above touch, below it by how far its rubber is squeezed \[m\].
fn place_m(flows: &StageFlows) -> f64 {
    flows.lift_m - flows.squeeze_m
}

#[cfg(test)]
mod tests {
    use super::Stroke;

    #[test]
    fn an_opening_counts_once_and_a_tremble_not_at_all() {
        let mut stroke = Stroke::at(0.5e-6);
        for (lift_um, count) in [
            (4.0, 0),
            (1.0, 0),
            (5.9, 0),
            (6.1, 1),
            (9.0, 1),
            (5.0, 1),
            (80.0, 1),
            (76.0, 1),
            (74.9, 1),
            (79.0, 1),
            (80.0, 2),
            (0.0, 2),
            (0.0, 2),
            (5.1, 3),
        ] {
            stroke.see(0.5e-6 * lift_um);
            assert_eq!(stroke.count, count, "at {lift_um} half um");
        }
    }
}
