//! What the likelihood is set to, by how many visits it rests on. Not here: the likelihood (`model`).

use super::fit::Borrowed;

/// Samples of each fault from which a library is known well enough to call readings unexplained.
pub const KNOWN_ROUNDS: usize = 16;
/// Rounds from which evidence counts for half of what it does in the end: until then a cause is known by visits that
/// may lie far from the one read (own, by the calibration of first answers in `benches/unfamiliar`).
const HALF_ROUNDS: f64 = 4.0;

/// Tunables, found on validation cases of other seeds than the figures of the documentation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tuning {
    /// h: share of the unknowns' spread that is the kernel's own.
    pub own: f64,
    /// b: share of what the fit leaves over that stays where the sample is.
    pub kept: f64,
    /// g: weight of the steps to the neighbours.
    pub gap: f64,
    /// Degrees of freedom of the tails.
    pub tails: f64,
    /// Floor in units of an instrument's uncertainty.
    pub floor: f64,
    /// Share of a kernel's words that is its stretch's and not its sample's.
    pub blur: f64,
    /// Power of the likelihood of numbers: under 1 where evidence is worth less than it seems.
    pub temper: f64,
    /// Numbers read from which that power is half as large: the more of them, the further apart kernels stand, and the
    /// less is known of how often a cause reads about so.
    pub sparse: f64,
    /// Power of that of words: how often each is mistaken stands in a table, and nothing else makes it uncertain.
    pub words: f64,
    /// How much a cause of few samples borrows from the healthy rig.
    pub borrowed: Borrowed,
    /// "None of these" is as likely as a cause whose best kernel stands this far off, in standard deviations per
    /// number measured, squared. Set so that under one in a hundred true cases of the library is called unexplained.
    pub none_distance: f64,
    /// Whether a cause is taken to show more than its few samples do: what the next one shows is widely open.
    pub is_open: bool,
    /// Whether a healthy rig may be of any make: not where what is asked stands on a rig of the make that was simulated, as in a drill.
    pub any_make: bool,
    /// Whether there may be something else at all: from too few visits nobody can say.
    pub may_be_none: bool,
}

impl Tuning {
    /// For a library with so many samples of each fault.
    pub fn of_rounds(rounds: usize) -> Self {
        if rounds >= KNOWN_ROUNDS {
            return Self::default();
        }
        let rounds = rounds.max(1) as f64;
        Self {
            may_be_none: false,
            is_open: true,
            any_make: true,
            temper: Self::FEW.temper * rounds / (rounds + HALF_ROUNDS),
            words: Self::FEW.words * rounds / (rounds + HALF_ROUNDS),
            ..Self::FEW
        }
    }

    /// Power of the likelihood of so many numbers.
    pub fn power(&self, numbers: usize) -> f64 {
        self.temper / (1.0 + numbers as f64 / self.sparse)
    }

    /// For a library of few samples of each cause, on a rig that one stands before: the effect of the unknowns is the
    /// healthy rig's, and the gaps between the severities that were run are wide.
    pub const FEW: Self = Self {
        own: 0.9,
        kept: 1.0,
        gap: 0.25,
        tails: 6.0,
        floor: 0.5,
        blur: 0.2,
        temper: 0.75,
        sparse: f64::INFINITY,
        words: 0.75,
        borrowed: Borrowed {
            ridge: (100.0, 100.0),
            knot_samples: 2,
        },
        none_distance: 5.0,
        is_open: false,
        any_make: false,
        may_be_none: true,
    };
}

impl Default for Tuning {
    fn default() -> Self {
        Self {
            own: 0.9,
            kept: 1.0,
            gap: 0.05,
            tails: 8.0,
            floor: 0.3,
            blur: 0.2,
            temper: 1.0,
            sparse: 27.0,
            words: 1.0,
            borrowed: Borrowed::default(),
            none_distance: 5.0,
            is_open: false,
            any_make: true,
            may_be_none: true,
        }
    }
}
