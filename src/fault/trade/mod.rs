//! What the trade says of each fault: what a qualified technician does about it, how far each statement can be
//! trusted, and what a visit shows, as claims that a test runs. Not here: what a fault changes in a rig.

mod claim;
mod gas;
mod house;
mod regulator;

pub use claim::{Act, Claim, Figure, MIDDLING, Way};

use super::Grade;
use std::sync::LazyLock;

/// Grades of a page's sentences.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Graded {
    /// Of what tells it apart.
    pub told_apart: Grade,
    /// Of what to do.
    pub advice: Grade,
    /// Of the caution.
    pub caution: Grade,
}

/// Practice, all of it.
const PRACTICE: Graded = Graded {
    told_apart: Grade::Practice,
    advice: Grade::Practice,
    caution: Grade::Practice,
};
/// What tells it apart follows from physics.
const TOLD_DERIVED: Graded = Graded {
    told_apart: Grade::Derived,
    ..PRACTICE
};
/// What to do has a number in it that is recalled.
const ADVICE_MEMORY: Graded = Graded {
    advice: Grade::Memory,
    ..PRACTICE
};
/// The caution is recalled from a standard.
const CAUTION_MEMORY: Graded = Graded {
    caution: Grade::Memory,
    ..PRACTICE
};

/// What the trade says of one fault.
#[derive(Debug)]
pub struct Page {
    /// The fault, by id.
    pub fault: &'static str,
    /// What a qualified technician does.
    pub advice: &'static str,
    /// Whether everything is lit again and proved after it: never beside a stop.
    pub relights: bool,
    /// How far its sentences can be trusted.
    pub graded: Graded,
    /// What a visit shows of it, each at its severity.
    pub claims: &'static [Claim],
    /// Look-alikes against which no statement of one [`Figure`] is made, since how bad either is, and on which part, decides
    /// it: they are told apart by eye, by leak fluid on the joints, by a longer draw, in a workshop.
    pub otherwise: &'static [&'static str],
}

impl Page {
    /// The same, after which everything is lit again.
    const fn relighting(mut self) -> Self {
        self.relights = true;
        self
    }

    /// What a qualified technician does, to the end.
    pub fn all_advice(&self) -> String {
        if self.relights {
            format!("{}; {RELIGHT}", self.advice)
        } else {
            self.advice.to_owned()
        }
    }
}

/// What ends the work on what left the burners without gas.
const RELIGHT: &str = "relight and prove every appliance";

/// A page in its parts.
const fn page_of(
    fault: &'static str,
    advice: &'static str,
    graded: Graded,
    claims: &'static [Claim],
    otherwise: &'static [&'static str],
) -> Page {
    Page {
        fault,
        advice,
        relights: false,
        graded,
        claims,
        otherwise,
    }
}

/// All pages.
pub static PAGES: LazyLock<Vec<&'static Page>> = LazyLock::new(|| {
    let parts: [&'static [Page]; 3] = [&regulator::PAGES, &gas::PAGES, &house::PAGES];
    parts.into_iter().flatten().collect()
});

/// A page with nothing on it, of a fault that is not in the catalogue.
static NONE: Page = page_of("", "", PRACTICE, &[], &[]);

/// The page of a fault.
pub fn page(fault: &str) -> &'static Page {
    PAGES.iter().find(|p| p.fault == fault).unwrap_or(&&NONE)
}
