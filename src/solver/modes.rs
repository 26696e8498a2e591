//! Linearisation of a system and its eigenvalues, for questions of stability. Not here: what a
//! mode means for a regulator (analysis).

use nalgebra::{Complex, DMatrix, Schur};

use super::System;

/// Share of a state's size by which it is moved: a spring case then moves by about a hundredth of a
/// millipascal. A step a hundred times longer made its vent 1 % less open than it is, and that took
/// a sixth of the diaphragm's stiffness away: a spring case is a stiff spring that the vent undoes.
const STEP: f64 = 1e-10;

/// Most sweeps of balancing; a few are enough.
const BALANCE_SWEEPS: usize = 50;
/// Most iterations of the eigenvalue search: some hundred times what a rig needs.
const SCHUR_STEPS: usize = 20_000;

/// Jacobian df/dy of `system` at time `t` (s) and state `y` by central differences.
///
/// Entry (i, j) has the unit of state i per second and per unit of state j. A state is moved by a
/// share `STEP` of the larger of its value and its scale: much less than the textbook cube root
/// of rounding, because flow laws bend within a pascal of zero difference and friction laws within
/// a micrometre per second of rest (the longer step reached over that and made a regulator at
/// lock-up look unstable). Rounding costs about 1e-6 of the largest term in a rate over the move.
/// Entries that are not finite are left so: [`modes`] then gives no values.
pub fn jacobian(system: &dyn System, t: f64, y: &[f64]) -> DMatrix<f64> {
    let n = system.dim();
    let mut matrix = DMatrix::zeros(n, n);
    let mut moved = y.to_vec();
    let (mut up, mut down) = (vec![0.0; n], vec![0.0; n]);
    for j in 0..n {
        let step = STEP * y[j].abs().max(system.scales()[j]);
        let (high, low) = (y[j] + step, y[j] - step);
        moved[j] = high;
        system.derivatives(t, &moved, &mut up);
        moved[j] = low;
        system.derivatives(t, &moved, &mut down);
        moved[j] = y[j];
        for i in 0..n {
            matrix[(i, j)] = (up[i] - down[i]) / (high - low);
        }
    }
    matrix
}

/// Scales rows and columns by powers of two until their sizes are alike (the eigenvalues stay), in
/// a bounded number of sweeps.
fn balance(matrix: &mut DMatrix<f64>) {
    let n = matrix.nrows();
    for _ in 0..BALANCE_SWEEPS {
        let mut still = true;
        for i in 0..n {
            let diagonal = matrix[(i, i)].abs();
            let column = matrix.column(i).iter().map(|v| v.abs()).sum::<f64>() - diagonal;
            let row = matrix.row(i).iter().map(|v| v.abs()).sum::<f64>() - diagonal;
            if column <= 0.0 || row <= 0.0 {
                continue;
            }
            let factor = (0.5 * (row / column).log2()).round().exp2();
            if factor != 1.0 && factor.is_finite() && factor > 0.0 {
                still = false;
                matrix.column_mut(i).scale_mut(factor);
                matrix.row_mut(i).scale_mut(1.0 / factor);
            }
        }
        if still {
            break;
        }
    }
}

/// Eigenvalues (1/s) of a linearised system, the slowest decaying first; empty if the matrix is
/// not square, has entries that are not finite, or the iteration finds no end.
///
/// The matrix is balanced first, so that states of very different size do not drown the slow
/// modes. A pair with positive real part grows: the system hunts at |imaginary part| / (2 pi) Hz.
pub fn modes(matrix: &DMatrix<f64>) -> Vec<Complex<f64>> {
    if !matrix.is_square() || matrix.iter().any(|v| !v.is_finite()) {
        return Vec::new();
    }
    let mut balanced = matrix.clone();
    balance(&mut balanced);
    // The iteration that finds them has no bound of its own: a little less exact, then none.
    let Some(schur) = [1.0, 1e3]
        .iter()
        .find_map(|loose| Schur::try_new(balanced.clone(), loose * f64::EPSILON, SCHUR_STEPS))
    else {
        return Vec::new();
    };
    let mut values: Vec<_> = schur.complex_eigenvalues().iter().copied().collect();
    values.sort_by(|a, b| b.re.total_cmp(&a.re).then(b.im.total_cmp(&a.im)));
    values
}
