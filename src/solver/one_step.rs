//! The one-step methods of the stiff engine: diagonally implicit Runge-Kutta methods whose first stage is explicit and
//! whose last stage is the new state. They keep their order at a corner and damp what a multistep method follows. Not
//! here: Newton's iterations (`newton`), what an accepted step sets off (`run`).

use super::hermite::Hermite;
use super::newton::Newton;
use super::run::{Halt, Run, Turn};
use super::stiff::{Guard, first_step, smallest_step_s};

/// A method by its coefficients.
pub(super) struct Tableau {
    name: &'static str,
    order: i32,
    /// Share of the step on the diagonal, from the second stage on.
    gamma: f64,
    /// Time of each stage but the first, as a share of the step.
    at: &'static [f64],
    /// Shares of the earlier stages' rates in each stage but the first.
    shares: &'static [&'static [f64]],
    /// Shares of the stages' rates in the error of the step.
    error: &'static [f64],
}

/// sqrt 2.
const ROOT: f64 = std::f64::consts::SQRT_2;

/// ESDIRK34: third order (Joergensen, Kristensen and Thomsen 2018, "A family of ESDIRK integration methods",
/// arXiv:1803.01613, published).
pub(super) static ESDIRK34: Tableau = Tableau {
    name: "ESDIRK34",
    order: 3,
    gamma: 0.435_866_521_508_459,
    at: &[0.871_733_043_016_918, 0.468_238_744_851_844_4, 1.0],
    shares: &[
        &[0.435_866_521_508_459],
        &[0.140_737_774_724_706_2, -0.108_365_551_381_320_8],
        &[
            0.102_399_400_619_911,
            -0.376_878_452_255_556_1,
            0.838_612_530_127_186_1,
        ],
    ],
    error: &[
        -0.054_625_497_240_413_94,
        -0.494_208_893_625_994_96,
        0.221_934_499_735_064_66,
        0.326_899_891_131_344_27,
    ],
};

/// TR-BDF2: second order, the most forgiving at corners (Hosea and Shampine 1996, "Analysis and implementation of
/// TR-BDF2", Appl. Numer. Math. 20, published).
pub(super) static TR_BDF2: Tableau = Tableau {
    name: "TR-BDF2",
    order: 2,
    gamma: 1.0 - ROOT / 2.0,
    at: &[2.0 - ROOT, 1.0],
    shares: &[&[1.0 - ROOT / 2.0], &[ROOT / 4.0, ROOT / 4.0]],
    error: &[
        ROOT / 4.0 - (1.0 - ROOT / 4.0) / 3.0,
        ROOT / 4.0 - (0.75 * ROOT + 1.0) / 3.0,
        (1.0 - ROOT / 2.0) * 2.0 / 3.0,
    ],
};

/// Aim of a new step, as a share of the step whose error is just allowed.
const SAFETY: f64 = 0.9;
/// Least and greatest change of the step at once.
const LEAST: f64 = 0.2;
/// See [`LEAST`].
const GREATEST: f64 = 10.0;
/// A step is kept unless it may grow by this.
const WORTH: f64 = 1.2;
/// Change of the step where Newton's iterations do not converge.
const NOT_CONVERGED: f64 = 0.3;
/// Steps refused in a row after which the method gives up.
const ALL_FAIL: u32 = 60;

/// Integrates from the last accepted state of `run` to the end of its span, remembering the step in `step_hint`.
pub(super) fn advance(
    run: &mut Run<'_>,
    method: &Tableau,
    step_hint: &mut Option<f64>,
    step_limit: u64,
) -> Result<Turn, Halt> {
    let n = run.z.len();
    let mut newton = Newton::new(n);
    newton.prepare(run);
    let mut rates = vec![vec![0.0; n]; method.error.len()];
    rates[0] = run.rates_here()?;
    let mut step_s = step_hint.unwrap_or_else(|| first_step(run, &rates[0], &newton));
    let mut guard = Guard::new(run, method.name, false);
    let (mut d, mut failed) = (vec![0.0; n], 0);
    loop {
        let from = run.tau;
        let rest = run.span_s - from;
        let cut = step_s >= rest;
        let h = if cut { rest } else { step_s };
        let error = attempt(run, method, &mut newton, h, &mut rates, &mut d);
        let factor = error.map_or(NOT_CONVERGED, |error| {
            let power = -1.0 / (f64::from(method.order) + 1.0);
            (SAFETY * error.powf(power)).clamp(LEAST, GREATEST)
        });
        if error.is_none_or(|error| error > 1.0) {
            run.work.rejected_steps += 1;
            failed += 1;
            step_s = factor * h;
            *step_hint = Some(step_s);
            if step_s < smallest_step_s(run) || failed >= ALL_FAIL {
                return Err(Halt::GaveUp(format!(
                    "{}: step size too small",
                    method.name
                )));
            }
            continue;
        }
        failed = 0;
        let tau = if cut { run.span_s } else { from + h };
        let before = run.z.clone();
        let after: Vec<f64> = before.iter().zip(&d).map(|(z, d)| z + d).collect();
        let cubic = Hermite {
            from,
            step: h,
            before: &before,
            after: &after,
            slope_before: &rates[0],
            slope_after: &rates[rates.len() - 1],
        };
        let inside = |t: f64, out: &mut [f64]| cubic.at(t.clamp(from, tau), out);
        let (mut probe, mut exact) = (inside, inside);
        let event = run.accept(tau, &after, &mut probe, &mut exact)?;
        // A step that was cut to end on time says nothing against the step it was cut from.
        if factor >= WORTH {
            step_s = if cut {
                step_s.max(factor * h)
            } else {
                factor * h
            };
        }
        *step_hint = Some(step_s);
        if event.is_some() || cut {
            return Ok(event.map_or(Turn::Done, Turn::Event));
        }
        let last = rates.len() - 1;
        rates.swap(0, last);
        newton.weigh(&run.z);
        guard.look(run, step_limit)?;
    }
}

/// Tries a step of `h` (s): leaves its change in `d` and gives its error in units of the allowed one, none where
/// Newton's iterations do not converge.
fn attempt(
    run: &mut Run<'_>,
    method: &Tableau,
    newton: &mut Newton,
    h: f64,
    rates: &mut [Vec<f64>],
    d: &mut [f64],
) -> Option<f64> {
    let (n, c) = (d.len(), method.gamma * h);
    let base = run.z.clone();
    let mut psi = vec![0.0; n];
    for (stage, (at, shares)) in method.at.iter().zip(method.shares).enumerate() {
        psi.fill(0.0);
        for (share, rate) in shares.iter().zip(&*rates) {
            for (psi, rate) in psi.iter_mut().zip(rate) {
                *psi += h * share * rate;
            }
        }
        for (d, rate) in d.iter_mut().zip(&rates[0]) {
            *d = at * h * rate;
        }
        if !newton.solve(run, run.tau + at * h, c, &base, &psi, d) {
            return None;
        }
        let rate = &mut rates[stage + 1];
        for ((rate, d), psi) in rate.iter_mut().zip(&*d).zip(&psi) {
            *rate = (d - psi) / c;
        }
    }
    psi.fill(0.0);
    for (share, rate) in method.error.iter().zip(&*rates) {
        for (psi, rate) in psi.iter_mut().zip(rate) {
            *psi += h * share * rate;
        }
    }
    newton.damp(&mut psi).then(|| newton.norm(&psi))
}
