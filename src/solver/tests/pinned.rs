//! Pins behaviour of the integrator crates that this room works around or relies on, so that an
//! upgrade that changes it is noticed.

use std::cell::RefCell;

use ode_solvers::dopri5::Dopri5;
use ode_solvers::{DVector, OutputType, System as OdeSystem};

struct Oscillator;

impl OdeSystem<f64, DVector<f64>> for Oscillator {
    fn system(&self, _x: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
        dy[0] = y[1];
        dy[1] = -2500.0 * y[0];
    }
}

/// Last point of cos 50 t, run to 1 s with an output every 1 s.
fn last_point(kind: OutputType) -> (f64, f64) {
    let start = DVector::from_vec(vec![1.0, 0.0]);
    let mut solver = Dopri5::new(Oscillator, 0.0, 1.0, 1.0, start, 1e-8, 1e-8);
    solver.set_output(kind);
    solver.integrate().unwrap();
    (
        *solver.x_out().last().unwrap(),
        solver.y_out().last().unwrap()[0],
    )
}

#[test]
fn sparse_output_of_the_explicit_crate_ends_where_it_should() {
    let (t, y) = last_point(OutputType::Sparse);
    assert_eq!(t, 1.0);
    assert!((y - 50_f64.cos()).abs() < 1e-5);
}

/// The reason for `Sparse`: the end point is extrapolated from the first step that finds it next
/// in line. When this fails, the crate has been mended and `Dense` may be used.
#[test]
fn dense_output_of_the_explicit_crate_has_a_wrong_end() {
    let (t, y) = last_point(OutputType::Dense);
    assert_eq!(t, 1.0);
    assert!((y - 50_f64.cos()).abs() > 1.0);
}

struct Counting<'c>(&'c RefCell<Vec<f64>>);

impl OdeSystem<f64, DVector<f64>> for Counting<'_> {
    fn system(&self, _x: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
        dy[0] = -y[0];
    }
    fn solout(&mut self, x: f64, y: &DVector<f64>, dy: &DVector<f64>) -> bool {
        assert_eq!(dy[0], -y[0], "slope at the end of the step");
        self.0.borrow_mut().push(x);
        x > 0.5
    }
}

#[test]
fn the_explicit_crate_shows_each_accepted_step_once_and_stops_when_told() {
    let seen = RefCell::new(Vec::new());
    let start = DVector::from_vec(vec![1.0]);
    let mut solver = Dopri5::new(Counting(&seen), 0.0, 10.0, 1.0, start, 1e-8, 1e-8);
    solver.set_output(OutputType::Sparse);
    let steps = solver.integrate().unwrap().accepted_steps;
    let seen = seen.borrow();
    assert_eq!(seen.len(), steps as usize);
    assert!(seen.windows(2).all(|w| w[0] < w[1]));
    assert!(*seen.last().unwrap() > 0.5 && seen[seen.len() - 2] <= 0.5);
}
