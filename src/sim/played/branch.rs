//! Branches: a run that goes on from an earlier moment leaves what had come after it behind, kept whole, so that it
//! can be compared and gone back to.

use super::pair::Stand;
use super::past::Past;
use crate::sim::mark::Mark;
use crate::sim::record::Record;

/// Most branches kept beside the run; the oldest goes first.
pub(super) const MOST_KEPT: usize = 3;
/// Rows of each level that a kept branch's record keeps.
const ROWS_KEPT: usize = 16_384;

/// Name of a branch: A is the first run, then in the order in which they were begun.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct BranchName(pub u32);

impl std::fmt::Display for BranchName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let letter = char::from(b'A' + (self.0 % 26) as u8);
        match self.0 / 26 {
            0 => write!(f, "{letter}"),
            round => write!(f, "{letter}{}", round + 1),
        }
    }
}

/// The branches a run has come through, each with the time at which it left the one before \[s\].
pub(super) type Lineage = Vec<(BranchName, f64)>;

/// When two runs of one scenario have parted \[s\].
pub(super) fn parted_s(a: &Lineage, b: &Lineage) -> f64 {
    let same = a.iter().zip(b).take_while(|(x, y)| x.0 == y.0).count();
    let left = |lineage: &Lineage| lineage.get(same).map_or(f64::INFINITY, |step| step.1);
    left(a).min(left(b))
}

/// A branch beside the run, as screens see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeptBranch {
    /// Its name.
    pub name: BranchName,
    /// When it and the run have parted \[s\].
    pub parted_s: f64,
    /// How far it came \[s\].
    pub until_s: f64,
}

/// All of a branch that is kept.
pub(super) struct Kept {
    pub(super) lineage: Lineage,
    pub(super) past: Past,
    pub(super) front: Stand,
    pub(super) marks: Vec<Mark>,
}

impl Kept {
    pub(super) fn name(&self) -> BranchName {
        self.lineage.last().map(|step| step.0).unwrap_or_default()
    }
}

/// The record of the run, and those of the kept branches.
#[derive(Debug, Clone, Default)]
pub struct Records {
    /// The run.
    pub now: Record,
    /// Kept branches, in the order of [`super::Snapshot::kept`].
    pub kept: Vec<(BranchName, Record)>,
}

impl Records {
    /// Keeps what is recorded of the run so far under a name.
    pub(super) fn keep(&mut self, name: BranchName) {
        let mut record = self.now.clone();
        record.thin(ROWS_KEPT);
        self.kept.push((name, record));
    }

    /// Takes a kept record out.
    pub(super) fn take(&mut self, name: BranchName) -> Option<Record> {
        let i = self.kept.iter().position(|kept| kept.0 == name)?;
        Some(self.kept.remove(i).1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn branches_are_named_in_order_and_part_where_the_first_of_them_left() {
        assert_eq!(BranchName(0).to_string(), "A");
        assert_eq!(BranchName(27).to_string(), "B2");
        let of = |steps: &[(u32, f64)]| -> Lineage {
            steps.iter().map(|s| (BranchName(s.0), s.1)).collect()
        };
        let first = of(&[(0, 0.0)]);
        let second = of(&[(0, 0.0), (1, 60.0)]);
        let third = of(&[(0, 0.0), (1, 60.0), (2, 80.0)]);
        let fourth = of(&[(0, 0.0), (3, 30.0)]);
        assert_eq!(parted_s(&first, &third), 60.0);
        assert_eq!(parted_s(&second, &third), 80.0);
        assert_eq!(parted_s(&fourth, &third), 30.0);
    }
}
