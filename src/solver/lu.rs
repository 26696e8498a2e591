//! LU factors that keep to the places that are not zero: a rig is a chain of vessels, three quarters
//! of its Newton matrix are empty. Not here: what the matrix is made of (`newton`).
//!
//! The pivot that fills the fewest places comes next, if it is large enough: zeros that happen to stand
//! in the matrix save work. A matrix with nothing where the one before had
//! nothing goes by the same pivots as long as they are large enough.

/// Largest system this solver takes: sets of rows and columns are the bits of one word.
pub(super) const MOST: usize = 64;
/// Keeps a place below [`MOST`], which it is.
const MASK: usize = MOST - 1;

/// A pivot chosen before serves again while it is at least this share of the greatest that could stand in
/// its place: threshold pivoting, 0.1 being the usual share (practice).
const PIVOT_SHARE: f64 = 0.01;
/// A pivot is chosen from those that are at least this share of the greatest in their column: a little more, so that it
/// serves for a while.
const CHOSEN_SHARE: f64 = 0.25;

/// One step of the elimination.
#[derive(Debug, Clone, Default)]
struct Step {
    row: usize,
    column: usize,
    /// Where this step's multipliers begin and end among all.
    lower: (usize, usize),
    /// Where the rest of its row does.
    upper: (usize, usize),
}

/// What takes a multiple of one number of a solution out of another; all of them one after the other solve.
#[derive(Debug, Clone, Copy, Default)]
struct Deed {
    to: u8,
    from: u8,
    multiple: f64,
}

/// Room to solve in: as wide as a byte counts, so that no place needs checking.
#[derive(Debug, Clone)]
struct Room([f64; 256]);

impl Default for Room {
    fn default() -> Self {
        Self([0.0; 256])
    }
}

/// Factors of one square matrix, and at once the plan by which the next one of the same build is factored.
#[derive(Debug, Clone, Default)]
pub(super) struct Factors {
    steps: Vec<Step>,
    /// (row, multiplier) of all steps.
    lower: Vec<(usize, f64)>,
    /// (column, value) of all steps.
    upper: Vec<(usize, f64)>,
    /// A pivot was zero or not a number.
    singular: bool,
    /// Rows with something in each column of the matrix the plan was made for.
    places: Vec<u64>,
    /// What the elimination has made of the matrix, column after column.
    values: Vec<f64>,
    left: Left,
    /// One over each step's pivot.
    per_pivot: Vec<f64>,
    /// The solution's numbers are counted by the steps of their rows and columns: forward, then divided by the
    /// pivots, then backward.
    forward: Vec<Deed>,
    backward: Vec<Deed>,
    /// Where each of `upper` stands in `backward`.
    place_backward: Vec<usize>,
    room: Room,
}

/// The rows and columns the elimination has left.
#[derive(Debug, Clone, Default)]
struct Left {
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
    /// All of a matrix of `n` rows with something at `places`.
    fn fill(&mut self, n: usize, places: &[u64]) {
        self.in_column.clear();
        self.in_column.extend_from_slice(places);
        self.in_row.clear();
        self.in_row.resize(n, 0);
        for (j, rows) in places.iter().enumerate() {
            members(*rows).for_each(|i| self.in_row[i] |= 1 << j);
        }
        self.rows = u64::MAX >> (MOST - n);
        self.columns = self.rows;
    }
}

impl Factors {
    /// Factors the matrix given by its columns, one after the other, with nothing but at `places`: for each column its
    /// rows, as bits.
    pub(super) fn factor(&mut self, places: &[u64], columns: &[f64]) {
        let n = places.len();
        if !self.follow_plan(places, columns) {
            self.steps.clear();
            self.lower.clear();
            self.upper.clear();
            self.per_pivot.clear();
            self.singular = n == 0;
            if n == 0 {
                return;
            }
            self.places.clear();
            self.places.extend_from_slice(places);
            self.values.clear();
            self.values.extend_from_slice(columns);
            self.left.fill(n, &self.places);
            while self.left.columns != 0 {
                let Some(pivot) = self.pivot(n) else {
                    self.singular = true;
                    return;
                };
                self.eliminate(n, pivot);
            }
            self.tell_deeds();
        }
        self.tell_multiples();
    }

    /// Factors by the pivots of the matrix before; `false` where that one was built differently or a pivot no
    /// longer serves.
    fn follow_plan(&mut self, places: &[u64], columns: &[f64]) -> bool {
        let n = places.len();
        if self.singular || self.steps.len() != n || self.places.len() != n {
            return false;
        }
        let mut parts = places.iter().zip(&self.places);
        if !parts.all(|(here, planned)| here & !planned == 0) {
            return false;
        }
        self.values.copy_from_slice(columns);
        for (step, per_pivot) in self.steps.iter().zip(&mut self.per_pivot) {
            let lower = &mut self.lower[step.lower.0..step.lower.1];
            let column = &self.values[step.column * n..(step.column + 1) * n];
            let pivot = column[step.row];
            *per_pivot = 1.0 / pivot;
            let mut largest = 0.0_f64;
            for (i, multiplier) in lower.iter_mut() {
                largest = largest.max(column[*i].abs());
                *multiplier = column[*i] * *per_pivot;
            }
            let size = pivot.abs();
            // Written so that a value that is not a number fails it.
            if !(size > 0.0 && size < f64::INFINITY && size >= PIVOT_SHARE * largest) {
                return false;
            }
            for (j, value) in &mut self.upper[step.upper.0..step.upper.1] {
                *value = subtract(&mut self.values[*j * n..(*j + 1) * n], step.row, lower);
            }
        }
        true
    }

    /// Writes down how a solution is found, but for the multiples.
    fn tell_deeds(&mut self) {
        let (mut of_row, mut of_column) = ([0_u8; MOST], [0_u8; MOST]);
        for (k, step) in (0_u8..).zip(&self.steps) {
            of_row[step.row & MASK] = k;
            of_column[step.column & MASK] = k;
        }
        let deed = |from, to| Deed {
            to,
            from,
            multiple: 0.0,
        };
        self.forward.clear();
        for (from, step) in (0_u8..).zip(&self.steps) {
            let lower = &self.lower[step.lower.0..step.lower.1];
            self.forward
                .extend(lower.iter().map(|(row, _)| deed(from, of_row[*row & MASK])));
        }
        // By the number that is taken out, last first: those it is taken out of do not wait for each other, as the
        // sums of one row would.
        let mut counts = [0_usize; MOST];
        for (column, _) in &self.upper {
            counts[usize::from(of_column[*column & MASK]) & MASK] += 1;
        }
        let mut next = [0_usize; MOST];
        let mut sum = 0;
        for from in (0..self.steps.len()).rev() {
            next[from & MASK] = sum;
            sum += counts[from & MASK];
        }
        self.backward.resize(self.upper.len(), Deed::default());
        self.place_backward.clear();
        for (to, step) in (0_u8..).zip(&self.steps) {
            for (column, _) in &self.upper[step.upper.0..step.upper.1] {
                let from = of_column[*column & MASK];
                let place = &mut next[usize::from(from) & MASK];
                self.backward[*place] = deed(from, to);
                self.place_backward.push(*place);
                *place += 1;
            }
        }
    }

    /// Writes the multiples of this matrix into the deeds.
    fn tell_multiples(&mut self) {
        for (deed, (_, multiplier)) in self.forward.iter_mut().zip(&self.lower) {
            deed.multiple = *multiplier;
        }
        for (step, per_pivot) in self.steps.iter().zip(&self.per_pivot) {
            let these = step.upper.0..step.upper.1;
            let values = &self.upper[these.clone()];
            for ((_, value), place) in values.iter().zip(&self.place_backward[these]) {
                self.backward[*place].multiple = value * per_pivot;
            }
        }
    }

    /// The row and column of the next pivot: of those large enough in their column the one that fills the fewest places
    /// (Markowitz 1957, published). `None` where a column is empty or holds what is not a number.
    fn pivot(&self, n: usize) -> Option<(usize, usize)> {
        let left = &self.left;
        let mut others_in_row = [0; MOST];
        for row in members(left.rows) {
            others_in_row[row & MASK] = (left.in_row[row] & left.columns)
                .count_ones()
                .saturating_sub(1);
        }
        let mut best = None;
        for column in members(left.columns) {
            let here = left.in_column[column] & left.rows;
            let values = &self.values[column * n..(column + 1) * n];
            let mut largest = 0.0_f64;
            for i in members(here) {
                if !values[i].is_finite() {
                    return None;
                }
                largest = largest.max(values[i].abs());
            }
            if largest == 0.0 {
                return None;
            }
            let others = here.count_ones() - 1;
            for row in members(here).filter(|i| values[*i].abs() >= CHOSEN_SHARE * largest) {
                let fills = others * others_in_row[row & MASK];
                if best.is_none_or(|(least, _)| fills < least) {
                    best = Some((fills, (row, column)));
                }
            }
            if best.is_some_and(|(least, _)| least == 0) {
                break;
            }
        }
        best.map(|(_, place)| place)
    }

    /// Takes the pivot's column out of all rows that are left.
    fn eliminate(&mut self, n: usize, (row, column): (usize, usize)) {
        let left = &mut self.left;
        let here = left.in_column[column] & left.rows;
        let values = &self.values[column * n..(column + 1) * n];
        let pivot = values[row];
        left.rows &= !(1 << row);
        left.columns &= !(1 << column);
        let (lower, upper) = (self.lower.len(), self.upper.len());
        let (others, rest) = (here & left.rows, left.in_row[row] & left.columns);
        self.lower
            .extend(members(others).map(|i| (i, values[i] / pivot)));
        for i in members(others) {
            left.in_row[i] |= rest;
        }
        for j in members(rest) {
            left.in_column[j] |= others;
            let target = &mut self.values[j * n..(j + 1) * n];
            let value = subtract(target, row, &self.lower[lower..]);
            self.upper.push((j, value));
        }
        self.per_pivot.push(1.0 / pivot);
        self.steps.push(Step {
            row,
            column,
            lower: (lower, self.lower.len()),
            upper: (upper, self.upper.len()),
        });
    }

    /// Overwrites the places `of` (one for each row and column of the matrix) of `b` with the solution; `false` where there
    /// is no finite one.
    pub(super) fn solve(&mut self, of: &[usize], b: &mut [f64]) -> bool {
        if self.singular || self.steps.len() != of.len() {
            return false;
        }
        let x = &mut self.room.0;
        for (x, step) in x.iter_mut().zip(&self.steps) {
            *x = b[of[step.row]];
        }
        carry_out(&self.forward, x);
        for (x, per_pivot) in x.iter_mut().zip(&self.per_pivot) {
            *x *= per_pivot;
        }
        carry_out(&self.backward, x);
        let mut noughts = 0.0;
        for (x, step) in x.iter().zip(&self.steps) {
            b[of[step.column]] = *x;
            noughts += x * 0.0;
        }
        noughts == 0.0
    }
}

fn carry_out(deeds: &[Deed], x: &mut [f64; 256]) {
    for deed in deeds {
        x[usize::from(deed.to)] -= deed.multiple * x[usize::from(deed.from)];
    }
}

/// Takes the multiples of what stands at `row` of a column out of its other rows, and gives what stands there.
fn subtract(column: &mut [f64], row: usize, multipliers: &[(usize, f64)]) -> f64 {
    let value = column[row];
    if value != 0.0 {
        for (i, multiplier) in multipliers {
            column[*i] -= multiplier * value;
        }
    }
    value
}

#[cfg(test)]
mod tests {
    use super::Factors;
    use proptest::prelude::*;

    /// Places of each column with something in them.
    fn places(n: usize, columns: &[f64]) -> Vec<u64> {
        let bit = |(i, v): (usize, &f64)| u64::from(*v != 0.0) << i;
        let filled = |column: &[f64]| column.iter().enumerate().map(bit).sum();
        columns.chunks_exact(n).map(filled).collect()
    }

    fn every(n: usize) -> Vec<usize> {
        (0..n).collect()
    }

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
            factors.factor(&places(n, matrix.as_slice()), matrix.as_slice());
            let mut x = right[..n].to_vec();
            let solved = factors.solve(&every(n), &mut x);
            if let Some(expected) = expected {
                prop_assert!(solved);
                let residual = (&matrix * nalgebra::DVector::from_vec(x.clone()) - &b).amax();
                let size = expected.amax().max(1.0);
                prop_assert!(residual <= 1e-12 * size * matrix.amax(), "{residual}");
            }
            // Another matrix of the same build goes by the pivots of this one, or is factored anew.
            let other = matrix.map_with_location(|i, j, v| v * (1.0 + 0.5 * right[i] * right[j]));
            let expected = other.clone().lu().solve(&b);
            factors.factor(&places(n, other.as_slice()), other.as_slice());
            let mut x = right[..n].to_vec();
            let solved = factors.solve(&every(n), &mut x);
            if let Some(expected) = expected {
                prop_assert!(solved);
                let residual = (&other * nalgebra::DVector::from_vec(x) - &b).amax();
                let size = expected.amax().max(1.0);
                // Threshold pivoting lets the factors grow: two digits for that.
                prop_assert!(residual <= 1e-10 * size * other.amax(), "{residual}");
            }
        }
    }

    #[test]
    fn a_singular_matrix_is_noticed() {
        let mut factors = Factors::default();
        for matrix in [[1.0, 2.0, 2.0, 4.0], [0.0; 4], [1.0, f64::NAN, 0.0, 1.0]] {
            factors.factor(&places(2, &matrix), &matrix);
            assert!(!factors.solve(&every(2), &mut [1.0, 2.0]), "{matrix:?}");
        }
    }
}
