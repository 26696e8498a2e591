//! Finds zero crossings of watched quantities inside an accepted step and places them in time.
//! Not here: what a crossing means.
//!
//! A crossing is a change of side. Arriving at exactly zero counts as having crossed; a watch
//! that starts at zero, or that has just been reported, has no side until it has moved, and then
//! counts as on the side it moved to. A step that begins or ends near zero, measured by the
//! quantity's reach and its change, is looked at in its middle as well, so a quantity that goes through zero and back is
//! missed only inside half a step.

use super::{Direction, SolveError, System};

/// Width of the bracket around a crossing, as a share of the step.
const BRACKET_SHARE: f64 = 1e-9;
/// Share of the first step after which a watch without a side is asked for one.
const FIRST_LOOK: f64 = 1e-3;
/// See [`Watcher::near_zero`].
const NEAR: f64 = 4.0;
/// Iterations allowed in placing one crossing.
const SEARCH_LIMIT: usize = 200;

/// One crossing, in local time.
#[derive(Debug, Clone)]
pub(super) struct Crossing {
    pub(super) index: usize,
    /// Local time (s) at which the watch is on its new side.
    pub(super) tau: f64,
    pub(super) rising: bool,
    /// The other watches (index, rising) that cross in the same part of the step.
    pub(super) rivals: Vec<(usize, bool)>,
}

/// The solution inside a step: local time to unscaled state.
pub(super) type Dense<'d> = &'d mut dyn FnMut(f64, &mut [f64]);

/// Sides of all watches at the end of the last accepted step.
pub(super) struct Watcher {
    side: Vec<i8>,
    value: Vec<f64>,
    next: Vec<f64>,
    at_end: Vec<f64>,
    /// How far from zero each may stand at both ends of a step and still go through zero and back.
    reach: Vec<f64>,
    y: Vec<f64>,
    first: bool,
}

fn sign(value: f64) -> i8 {
    i8::from(value > 0.0) - i8::from(value < 0.0)
}

/// Whether a watch at `value` has arrived, going up or down.
fn arrived(value: f64, rising: bool) -> bool {
    if rising { value >= 0.0 } else { value <= 0.0 }
}

fn wanted(direction: Direction, rising: bool) -> bool {
    match direction {
        Direction::Rising => rising,
        Direction::Falling => !rising,
        Direction::Either => true,
    }
}

/// Values of all watches, or the error that names one that is not a number.
pub(super) fn watch_values(
    system: &dyn System,
    time_s: f64,
    y: &[f64],
    out: &mut [f64],
) -> Result<(), SolveError> {
    system.watches(time_s, y, out);
    match out.iter().position(|v| v.is_nan()) {
        None => Ok(()),
        Some(i) => Err(SolveError::NonFinite {
            time_s,
            state: format!("watched quantity {i}"),
            what: "the value",
        }),
    }
}

impl Watcher {
    /// Sides at the start of an advance; the watches in `fired` have none yet.
    pub(super) fn new(
        system: &dyn System,
        time_s: f64,
        y: &[f64],
        fired: &[usize],
    ) -> Result<Self, SolveError> {
        let count = system.watch_count();
        let mut value = vec![0.0; count];
        watch_values(system, time_s, y, &mut value)?;
        let mut side: Vec<i8> = value.iter().map(|v| sign(*v)).collect();
        for &i in fired.iter().filter(|i| **i < count) {
            side[i] = 0;
        }
        Ok(Self {
            side,
            value,
            next: vec![0.0; count],
            at_end: vec![0.0; count],
            reach: (0..count).map(|i| system.watch_reach(i)).collect(),
            y: vec![0.0; y.len()],
            first: true,
        })
    }

    /// Looks for the earliest crossing in the accepted step from local time `a` to `b`, ending in
    /// the unscaled state `end`. `probe` may be approximate, `exact` is the state that will be
    /// returned if the crossing is reported.
    pub(super) fn look(
        &mut self,
        system: &dyn System,
        start_s: f64,
        (a, b): (f64, f64),
        end: &[f64],
        probe: Dense<'_>,
        exact: Dense<'_>,
    ) -> Result<Option<Crossing>, SolveError> {
        if self.side.is_empty() {
            return Ok(None);
        }
        let undecided = self.first && self.side.contains(&0);
        self.first = false;
        let looks = [
            undecided.then_some(a + FIRST_LOOK * (b - a)),
            Some(0.5 * (a + b)),
            Some(b),
        ];
        let mut before = a;
        system.watches_nearly(start_s + b, end, &mut self.at_end);
        let near = self.near_zero();
        if !near {
            // All on the side where they were.
            self.value.copy_from_slice(&self.at_end);
            return Ok(None);
        }
        watch_values(system, start_s + b, end, &mut self.at_end)?;
        for tau in looks.into_iter().flatten() {
            if tau == b {
                self.y.copy_from_slice(end);
                self.next.copy_from_slice(&self.at_end);
            } else {
                probe(tau, &mut self.y);
                watch_values(system, start_s + tau, &self.y, &mut self.next)?;
            }
            if let Some(found) = self.compare(system, start_s, (before, tau, b), end, exact)? {
                return Ok(Some(found));
            }
            before = tau;
        }
        Ok(None)
    }

    /// Whether any watch has no side yet or comes so near zero that it could go through and back
    /// inside the step: nearer than its reach, or than [`NEAR`] times its change over the step.
    fn near_zero(&self) -> bool {
        (0..self.at_end.len()).any(|i| {
            let (from, to) = (self.value[i], self.at_end[i]);
            let reach = self.reach[i].max(NEAR * (to - from).abs());
            // Written so that a value that is not a number counts.
            let far = from.abs().min(to.abs()) > reach;
            self.side[i] == 0 || from.signum() != to.signum() || !far
        })
    }

    /// Compares the sides at `tau` with those at `before`, takes over the new ones, and gives the
    /// earliest crossing between.
    fn compare(
        &mut self,
        system: &dyn System,
        start_s: f64,
        (before, tau, b): (f64, f64, f64),
        end: &[f64],
        exact: Dense<'_>,
    ) -> Result<Option<Crossing>, SolveError> {
        let mut earliest: Option<Crossing> = None;
        let mut rivals = Vec::new();
        for i in 0..self.side.len() {
            let rising = self.side[i] < 0;
            let crossed = self.side[i] != 0 && arrived(self.next[i], rising);
            if !crossed || !wanted(system.watch_direction(i), rising) {
                continue;
            }
            let bracket = Bracket {
                system,
                start_s,
                index: i,
                rising,
                step_s: b - before,
            };
            let placed = bracket.place((before, self.value[i]), (tau, b), end, exact)?;
            let Some(tau) = placed else { continue };
            rivals.push((i, rising));
            if earliest.as_ref().is_none_or(|e| tau < e.tau) {
                earliest = Some(Crossing {
                    index: i,
                    tau,
                    rising,
                    rivals: Vec::new(),
                });
            }
        }
        if let Some(first) = &mut earliest {
            rivals.retain(|(i, _)| *i != first.index);
            first.rivals = rivals;
        }
        for (side, next) in self.side.iter_mut().zip(&self.next) {
            *side = sign(*next);
        }
        self.value.copy_from_slice(&self.next);
        Ok(earliest)
    }
}

/// Whether watch `index` is still past its crossing at `y`.
pub(super) fn still_crossed(
    system: &dyn System,
    time_s: f64,
    y: &[f64],
    (index, rising): (usize, bool),
) -> Result<bool, SolveError> {
    let mut value = vec![0.0; system.watch_count()];
    watch_values(system, time_s, y, &mut value)?;
    Ok(value.get(index).is_some_and(|v| arrived(*v, rising)))
}

/// The search for one crossing.
struct Bracket<'a> {
    system: &'a dyn System,
    start_s: f64,
    index: usize,
    rising: bool,
    step_s: f64,
}

impl Bracket<'_> {
    /// Local time just past the crossing between `low` (time, value) and `tau`; none if the exact
    /// solution does not cross by the end `b` of the step.
    fn place(
        &self,
        low: (f64, f64),
        (tau, b): (f64, f64),
        end: &[f64],
        exact: Dense<'_>,
    ) -> Result<Option<f64>, SolveError> {
        let mut y = end.to_vec();
        let mut values = vec![0.0; self.system.watch_count()];
        let mut value = |t: f64| -> Result<f64, SolveError> {
            if t == b {
                y.copy_from_slice(end);
            } else {
                exact(t, &mut y);
            }
            watch_values(self.system, self.start_s + t, &y, &mut values)?;
            Ok(values[self.index])
        };
        let mut high = (tau, value(tau)?);
        if !arrived(high.1, self.rising) {
            high = (b, value(b)?);
            if !arrived(high.1, self.rising) {
                return Ok(None);
            }
        }
        let ulp = f64::EPSILON * (self.start_s + b).abs();
        let width = (BRACKET_SHARE * self.step_s).max(4.0 * ulp);
        self.narrow(low, high, width, &mut value).map(Some)
    }

    /// Regula falsi with the Illinois correction, aimed half a bracket past the estimate so that
    /// both ends close in, and a bisection every third time.
    fn narrow(
        &self,
        mut low: (f64, f64),
        mut high: (f64, f64),
        width: f64,
        value: &mut dyn FnMut(f64) -> Result<f64, SolveError>,
    ) -> Result<f64, SolveError> {
        let mut same_end = 0_i32;
        for turn in 0..SEARCH_LIMIT {
            let gap = high.0 - low.0;
            if gap <= width {
                break;
            }
            let share = low.1 / (low.1 - high.1);
            let aim = if turn % 3 == 2 || !share.is_finite() || share <= 0.0 {
                low.0 + 0.5 * gap
            } else {
                let root = low.0 + share * gap;
                let aside = if share < 0.5 {
                    0.5 * width
                } else {
                    -0.5 * width
                };
                (root + aside).clamp(low.0 + 0.5 * width, high.0 - 0.5 * width)
            };
            if aim <= low.0 || aim >= high.0 {
                break;
            }
            let here = (aim, value(aim)?);
            if arrived(here.1, self.rising) {
                high = here;
                same_end = (same_end + 1).max(1);
                if same_end > 1 {
                    low.1 *= 0.5;
                }
            } else {
                low = here;
                same_end = (same_end - 1).min(-1);
                if same_end < -1 {
                    high.1 *= 0.5;
                }
            }
        }
        Ok(high.0)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// One state, watched as it is.
    struct Plain(Direction);

    impl System for Plain {
        fn dim(&self) -> usize {
            1
        }
        fn derivatives(&self, _t: f64, _y: &[f64], dy: &mut [f64]) {
            dy[0] = 0.0;
        }
        fn scales(&self) -> &[f64] {
            &[1.0]
        }
        fn watch_count(&self) -> usize {
            1
        }
        fn watches(&self, _t: f64, y: &[f64], out: &mut [f64]) {
            out[0] = y[0];
        }
        fn watch_direction(&self, _i: usize) -> Direction {
            self.0
        }
        fn state_name(&self, _i: usize) -> String {
            "y".to_owned()
        }
    }

    /// Looks at one step from 0 to 1 in which the state is `path`.
    fn crossing(
        direction: Direction,
        fired: &[usize],
        path: fn(f64) -> f64,
    ) -> Option<(f64, bool)> {
        let system = Plain(direction);
        let mut watcher = Watcher::new(&system, 0.0, &[path(0.0)], fired).unwrap();
        let mut dense = |t: f64, y: &mut [f64]| y[0] = path(t);
        let mut again = dense;
        let found = watcher.look(
            &system,
            0.0,
            (0.0, 1.0),
            &[path(1.0)],
            &mut dense,
            &mut again,
        );
        found.unwrap().map(|c| (c.tau, c.rising))
    }

    #[track_caller]
    fn at(found: Option<(f64, bool)>, exact: f64, rising: bool) {
        let (tau, up) = found.expect("a crossing");
        assert!(tau >= exact && tau - exact < 2e-9, "{tau} for {exact}");
        assert_eq!(up, rising);
    }

    #[test]
    fn finds_a_crossing_of_the_wanted_direction_only() {
        let up = |t: f64| t - 0.3;
        at(crossing(Direction::Rising, &[], up), 0.3, true);
        at(crossing(Direction::Either, &[], up), 0.3, true);
        assert!(crossing(Direction::Falling, &[], up).is_none());
        at(crossing(Direction::Falling, &[], |t| 0.9 - t), 0.9, false);
    }

    #[test]
    fn sees_a_visit_to_the_other_side_in_the_middle_of_a_step() {
        let visit = |t: f64| 0.09 - (t - 0.5) * (t - 0.5);
        at(crossing(Direction::Rising, &[], visit), 0.2, true);
        at(crossing(Direction::Either, &[], visit), 0.2, true);
        at(crossing(Direction::Falling, &[], visit), 0.8, false);
    }

    #[test]
    fn places_crossings_of_awkward_shape() {
        at(
            crossing(Direction::Rising, &[], |t| (t - 0.7).powi(9)),
            0.7,
            true,
        );
        at(
            crossing(Direction::Rising, &[], |t| (t - 0.7).cbrt()),
            0.7,
            true,
        );
        let jump = |t: f64| if t < 0.123 { -1e-9 } else { 1e9 };
        at(crossing(Direction::Rising, &[], jump), 0.123, true);
        let edge = |t: f64| t - 1.0;
        at(crossing(Direction::Rising, &[], edge), 1.0, true);
    }

    #[test]
    fn takes_the_side_moved_to_from_the_line_or_after_a_report() {
        assert!(crossing(Direction::Either, &[], |t| t).is_none());
        assert!(crossing(Direction::Either, &[], |t| -t).is_none());
        assert!(crossing(Direction::Either, &[], |_| 0.0).is_none());
        // Left 1e-6 short of the line by the caller after a report: no second one.
        assert!(crossing(Direction::Rising, &[0], |t| t - 1e-6).is_none());
        at(crossing(Direction::Rising, &[], |t| t - 1e-6), 1e-6, true);
        // From the line up, then down.
        at(
            crossing(Direction::Either, &[], |t| t * (0.8 - t)),
            0.8,
            false,
        );
    }
}
