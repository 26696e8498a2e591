//! Which flames surge: the pressure before a burner rises and falls so far and so often that an eye sees its
//! flame jump, whatever makes it do so.

use crate::rig::{Flows, MAX_APPLIANCES, Readings};

/// Share of its pressure by which a flame must rise or fall to be seen to move (own: a jump of a twentieth
/// shows where a slow drift by as much does not).
const SEEN: f64 = 0.05;
/// Turns that make a surging flame of one that was turned up or down ...
const TURNS: usize = 4;
/// ... when they come within so long \[s\] (own: what one looks on for).
const WATCHED_S: f64 = 60.0;

/// How the flames have moved of late.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Flicker {
    flames: [Swing; MAX_APPLIANCES],
}

/// Rises and falls of one flame's pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Swing {
    /// Furthest it has come since it last turned \[Pa\]; 0 where nothing burns.
    furthest_pa: f64,
    rising: bool,
    /// When it last turned, the latest first \[s\].
    turns_s: [f64; TURNS],
}

impl Default for Swing {
    fn default() -> Self {
        Self {
            furthest_pa: 0.0,
            rising: false,
            turns_s: [f64::NEG_INFINITY; TURNS],
        }
    }
}

impl Swing {
    fn see(&mut self, t_s: f64, pressure_pa: f64) {
        let towards = if self.rising { 1.0 } else { -1.0 };
        let gone_pa = towards * (pressure_pa - self.furthest_pa);
        if self.furthest_pa <= 0.0 || gone_pa > 0.0 {
            self.furthest_pa = pressure_pa;
        } else if -gone_pa > SEEN * pressure_pa.max(self.furthest_pa) {
            self.rising = !self.rising;
            self.furthest_pa = pressure_pa;
            self.turns_s.rotate_right(1);
            self.turns_s[0] = t_s;
        }
    }

    fn surges(&self, t_s: f64) -> bool {
        t_s - self.turns_s[TURNS - 1] < WATCHED_S
    }
}

impl Flicker {
    /// Takes in what each flame gets; to be called after every step.
    pub(super) fn see(&mut self, t_s: f64, flows: &Flows) {
        for (swing, a) in self.flames.iter_mut().zip(&flows.appliances) {
            if a.heat_w > 0.0 {
                swing.see(t_s, a.inlet_pa);
            } else if swing.furthest_pa != 0.0 {
                *swing = Swing::default();
            }
        }
    }

    /// Says of each burner whether its flame surges.
    pub(super) fn tell(&self, readings: &mut Readings) {
        let t_s = readings.time_s;
        for (a, swing) in readings.appliances.iter_mut().zip(&self.flames) {
            a.surges = swing.surges(t_s);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Swing;

    #[test]
    fn a_flame_surges_that_moves_far_enough_and_often_enough() {
        let seen = |swing: f64, period_s: f64| {
            let mut flame = Swing::default();
            for k in 0..1000 {
                let t_s = 0.1 * f64::from(k);
                let turn = std::f64::consts::TAU * t_s / period_s;
                flame.see(t_s, 2700.0 * (1.0 + swing * turn.sin()));
            }
            flame.surges(100.0)
        };
        assert!(seen(0.1, 10.0), "a tenth up and down every ten seconds");
        assert!(!seen(0.02, 10.0), "four hundredths in all");
        assert!(!seen(0.3, 60.0), "up and down once a minute");
    }
}
