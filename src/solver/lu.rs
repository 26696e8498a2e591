//! LU factors that keep to the places that are not zero: a rig is a chain of vessels, three quarters
//! of its Newton matrix are empty. Not here: what the matrix is made of (`stiff`).
//!
//! The emptiest column that is left comes next, its row by partial pivoting: zeros that happen to stand
//! in the matrix save work and cost nothing in stability.

use diffsol_la::error::LaError;
use diffsol_la::{
    LinearOp, LinearSolver, Matrix, MatrixCommon, NalgebraContext, NalgebraMat, NalgebraVec,
};

/// Largest system this solver takes: sets of rows and columns are the bits of one word.
pub(super) const MOST: usize = 64;

/// One step of the elimination.
#[derive(Debug, Clone, Default)]
struct Step {
    row: usize,
    column: usize,
    pivot: f64,
    /// Where this step's multipliers begin among all; they end where the next step's begin.
    lower: usize,
    /// Where the rest of its row begins among all.
    upper: usize,
}

/// Factors of one square matrix.
#[derive(Debug, Clone, Default)]
struct Factors {
    steps: Vec<Step>,
    /// (row, multiplier) of all steps.
    lower: Vec<(usize, f64)>,
    /// (column, value) of all steps.
    upper: Vec<(usize, f64)>,
    /// A pivot was zero or not a number.
    singular: bool,
    left: Left,
}

/// What the elimination has left of the matrix.
#[derive(Debug, Clone, Default)]
struct Left {
    /// Values by rows, so that the elimination walks along memory.
    values: Vec<f64>,
    /// Rows with something in each column.
    in_column: Vec<u64>,
    /// Columns with something in each row.
    in_row: Vec<u64>,
    rows: u64,
    columns: u64,
}

/// Members of a set, lowest first.
fn members(mut set: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (set != 0).then(|| {
            let lowest = set.trailing_zeros() as usize;
            set &= set - 1;
            lowest
        })
    })
}

impl Left {
    /// Takes in the `n` by `n` matrix given by its columns, one after the other.
    fn fill(&mut self, n: usize, columns: &[f64]) {
        self.values.resize(n * n, 0.0);
        self.in_column.clear();
        self.in_row.clear();
        self.in_row.resize(n, 0);
        for (j, column) in columns.chunks_exact(n).enumerate() {
            let mut rows = 0;
            for (i, v) in column.iter().enumerate() {
                self.values[i * n + j] = *v;
                let there = u64::from(*v != 0.0);
                rows |= there << i;
                self.in_row[i] |= there << j;
            }
            self.in_column.push(rows);
        }
        self.rows = u64::MAX >> (MOST - n);
        self.columns = self.rows;
    }

    /// The emptiest column that is left.
    fn emptiest(&self) -> Option<usize> {
        members(self.columns).min_by_key(|&j| (self.in_column[j] & self.rows).count_ones())
    }
}

impl Factors {
    /// Factors the `n` by `n` matrix given by its columns, one after the other.
    fn factor(&mut self, n: usize, columns: &[f64]) {
        self.steps.clear();
        self.lower.clear();
        self.upper.clear();
        self.left.fill(n, columns);
        self.singular = n == 0;
        while let Some(column) = self.left.emptiest() {
            if !self.eliminate(n, column) {
                self.singular = true;
                return;
            }
        }
    }

    /// Takes `column` out of all rows that are left; `false` where no pivot is found.
    fn eliminate(&mut self, n: usize, column: usize) -> bool {
        let left = &mut self.left;
        let here = left.in_column[column] & left.rows;
        let size = |i: usize| left.values[i * n + column].abs();
        // A value that is not a number is the greatest: it spoils the pivot, which is noticed.
        let Some(row) = members(here).max_by(|a, b| size(*a).total_cmp(&size(*b))) else {
            return false;
        };
        let pivot = left.values[row * n + column];
        if !pivot.is_finite() || pivot == 0.0 {
            return false;
        }
        left.rows &= !(1 << row);
        left.columns &= !(1 << column);
        let (lower, upper) = (self.lower.len(), self.upper.len());
        let (others, rest) = (here & left.rows, left.in_row[row] & left.columns);
        for j in members(rest) {
            self.upper.push((j, left.values[row * n + j]));
            left.in_column[j] |= others;
        }
        for i in members(others) {
            left.in_row[i] |= rest;
            let target = &mut left.values[i * n..(i + 1) * n];
            let multiplier = target[column] / pivot;
            self.lower.push((i, multiplier));
            for &(j, v) in &self.upper[upper..] {
                target[j] -= multiplier * v;
            }
        }
        self.steps.push(Step {
            row,
            column,
            pivot,
            lower,
            upper,
        });
        true
    }

    /// Overwrites `b` with the solution; `false` where there is no finite one.
    fn solve(&self, b: &mut [f64]) -> bool {
        if self.singular || self.steps.len() != b.len() {
            return false;
        }
        let ends = self.steps.iter().skip(1).map(|next| next.lower);
        let ends = ends.chain(std::iter::once(self.lower.len()));
        for (step, end) in self.steps.iter().zip(ends) {
            let known = b[step.row];
            if known != 0.0 {
                for &(row, multiplier) in &self.lower[step.lower..end] {
                    b[row] -= multiplier * known;
                }
            }
        }
        // Row by row from the last step; the right-hand side is kept by row, the solution by column.
        let mut x = [0.0; MOST];
        let mut end = self.upper.len();
        for step in self.steps.iter().rev() {
            let mut value = b[step.row];
            for &(column, v) in &self.upper[step.upper..end] {
                value -= v * x[column];
            }
            end = step.upper;
            x[step.column] = value / step.pivot;
        }
        b.copy_from_slice(&x[..b.len()]);
        b.iter().all(|x| x.is_finite())
    }
}

/// The linear solver of the stiff methods.
#[derive(Debug, Default)]
pub(super) struct SparseLu {
    matrix: Option<NalgebraMat<f64>>,
    factors: Factors,
}

impl LinearSolver<NalgebraMat<f64>> for SparseLu {
    fn set_linearisation<
        C: LinearOp<T = f64, V = NalgebraVec<f64>, M = NalgebraMat<f64>, C = NalgebraContext>,
    >(
        &mut self,
        op: &C,
    ) {
        let matrix = self.matrix.as_mut().expect("the sparsity was set before");
        op.matrix_inplace(matrix);
        let n = matrix.nrows();
        self.factors.factor(n, matrix.inner().as_slice());
    }

    fn set_sparsity<
        C: LinearOp<T = f64, V = NalgebraVec<f64>, M = NalgebraMat<f64>, C = NalgebraContext>,
    >(
        &mut self,
        op: &C,
    ) {
        let (rows, columns) = (op.nrows(), op.ncols());
        self.matrix = Some(NalgebraMat::new_from_sparsity(
            rows,
            columns,
            op.sparsity(),
            *op.context(),
        ));
    }

    fn solve_in_place(&self, b: &mut NalgebraVec<f64>) -> Result<(), LaError> {
        if self.factors.solve(b.batch_as_mut_slice(0)) {
            Ok(())
        } else {
            Err(LaError::Other("the Newton matrix is singular".to_owned()))
        }
    }

    fn solve_transpose_in_place(&self, _b: &mut NalgebraVec<f64>) -> Result<(), LaError> {
        Err(LaError::Other(
            "the transposed system is never solved here".to_owned(),
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::Factors;
    use proptest::prelude::*;

    proptest! {
        /// Against the dense LU of nalgebra, on matrices with many zeros.
        #[test]
        fn agrees_with_the_dense_factors(
            n in 1_usize..30,
            seed in prop::collection::vec((any::<bool>(), any::<bool>(), -1.0..1.0_f64), 900),
            right in prop::collection::vec(-1.0..1.0_f64, 30),
        ) {
            let mut matrix = nalgebra::DMatrix::from_fn(n, n, |i, j| {
                let (a, b, v) = seed[i * 30 + j];
                if a && b { v } else { 0.0 }
            });
            // Off the main diagonal, so that rows must be exchanged.
            for i in 0..n {
                matrix[(i, (i + 1) % n)] += 3.0;
            }
            let b = nalgebra::DVector::from_column_slice(&right[..n]);
            let expected = matrix.clone().lu().solve(&b);
            let mut factors = Factors::default();
            factors.factor(n, matrix.as_slice());
            let mut x = right[..n].to_vec();
            let solved = factors.solve(&mut x);
            if let Some(expected) = expected {
                prop_assert!(solved);
                let residual = (&matrix * nalgebra::DVector::from_vec(x.clone()) - &b).amax();
                let size = expected.amax().max(1.0);
                prop_assert!(residual <= 1e-12 * size * matrix.amax(), "{residual}");
            }
        }
    }

    #[test]
    fn a_singular_matrix_is_noticed() {
        let mut factors = Factors::default();
        for matrix in [[1.0, 2.0, 2.0, 4.0], [0.0; 4], [1.0, f64::NAN, 0.0, 1.0]] {
            factors.factor(2, &matrix);
            assert!(!factors.solve(&mut [1.0, 2.0]), "{matrix:?}");
        }
    }
}
