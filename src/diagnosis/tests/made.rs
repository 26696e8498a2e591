//! Models and libraries made up by hand, so that a test knows the answer before the program does: a few causes, a
//! kernel or two each, round numbers. A visit takes seconds to simulate; these take none.

use crate::diagnosis::inference::evidence::Evidence;
use crate::diagnosis::inference::fit::usual_uncertainty;
use crate::diagnosis::inference::model::{Kernel, Model, OfMake, Stretch};
use crate::diagnosis::inference::tuning::Tuning;
use crate::diagnosis::library::coded::Coded;
use crate::diagnosis::library::collection::{Allowance, HEALTHY_SHARE, Library, Sample};
use crate::diagnosis::library::standard::standard_rig;
use crate::diagnosis::library::unknowns::{UNKNOWNS, Unknowns};
use crate::diagnosis::library::words::MOST_WORDS;
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, Id, NUMBERS, Values};
use nalgebra::DMatrix;

/// Evidence as it stands: no temper, normal tails, nothing of a kernel's words its stretch's.
pub(super) const PLAIN: Tuning = Tuning {
    temper: 1.0,
    sparse: f64::INFINITY,
    words: 1.0,
    tails: 1e9,
    floor: 0.0,
    blur: 0.0,
    may_be_none: false,
    ..Tuning::FEW
};

/// Nothing unknown.
pub(super) const STILL: Unknowns = Unknowns([0.0; UNKNOWNS]);

pub(super) fn fault(id: &str) -> Fault {
    Fault::find(id).unwrap_or_else(|e| panic!("{e}"))
}

/// A library of these faults, without a sample.
pub(super) fn library(ids: &[&str]) -> Library {
    let faults = Some(ids.iter().map(|id| fault(id)).collect());
    let allowance = Allowance {
        faults,
        ..Allowance::default()
    };
    Library::with(&standard_rig(), allowance)
}

/// A visit on which every number stands in the middle of its axis and every word is the first, but these.
pub(super) fn visit(changed: &[(Id, f64)]) -> Values {
    let mut values: Values = std::array::from_fn(|i| {
        let middle = if i < NUMBERS {
            ALL[i].unscaled(0.0)
        } else {
            0.0
        };
        Some(middle)
    });
    for &(id, v) in changed {
        values[id.index()] = Some(v);
    }
    values
}

/// A sample that reads so.
pub(super) fn sample(
    fault: Option<Fault>,
    severity: f64,
    unknowns: Unknowns,
    values: &Values,
) -> Sample {
    Sample {
        fault,
        severity,
        unknowns,
        coded: Coded::of(values),
    }
}

/// A model of a healthy rig and these faults, still without stretches and kernels: a test puts them in.
pub(super) fn model(ids: &[&str], tuning: Tuning) -> Model {
    let mut library = library(ids);
    let healthy = sample(None, 0.0, STILL, &visit(&[]));
    library.samples = vec![healthy; HEALTHY_SHARE];
    let mut model = Model::new(&library, tuning).expect("eight healthy rigs are enough");
    assert_eq!(
        model.causes.len(),
        ids.len() + 1,
        "all of them can be in the rig"
    );
    model.kernels.clear();
    model.stretches.clear();
    model.counts.fill(0);
    model.shown.fill(1.0);
    model
}

/// The place of a cause in a model.
pub(super) fn place(model: &Model, id: &str) -> usize {
    let cause = Some(fault(id));
    let found = model.causes.iter().position(|c| *c == cause);
    found.expect("a cause of the model")
}

/// Numbers that hang on the make, and how far each lies from the healthy rig's.
pub(super) fn way(of: &[(usize, f64)]) -> OfMake {
    let mut way = [0.0; NUMBERS];
    of.iter().for_each(|&(i, far)| way[i] = far);
    OfMake(vec![way])
}

/// Adds a stretch on which every number scatters by what its instrument does, and every word is the first; gives its place.
pub(super) fn stretch(model: &mut Model) -> usize {
    let spread = DMatrix::from_fn(NUMBERS, NUMBERS, |i, j| {
        if i == j {
            usual_uncertainty(i).powi(2)
        } else {
            0.0
        }
    });
    let mut first = [0.0; MOST_WORDS];
    first[0] = 1.0;
    model.stretches.push(Stretch {
        spread,
        of_make: OfMake::default(),
        makes: Vec::new(),
        shares: vec![first; ITEMS - NUMBERS],
        blur: model.tuning.blur,
        doubtful: [false; ITEMS],
    });
    model.stretches.len() - 1
}

/// Adds a kernel to a cause on the last stretch: every number in the middle of its axis and every word the first, but these
/// (SI, or the place of the word).
pub(super) fn kernel(model: &mut Model, cause: usize, severity: f64, changed: &[(Id, f64)]) {
    let values = visit(changed);
    model.kernels.push(Kernel {
        cause,
        stretch: model.stretches.len() - 1,
        sample: 0,
        severity,
        centre: std::array::from_fn(|i| ALL[i].scaled(values[i].unwrap_or(0.0))),
        words: std::array::from_fn(|k| values[NUMBERS + k].unwrap_or(0.0) as u8),
    });
    model.counts[cause] += 1;
}

/// A cause of one kernel on a stretch of its own; gives its place.
pub(super) fn cause(model: &mut Model, id: &str, changed: &[(Id, f64)]) -> usize {
    let at = if id == "healthy" { 0 } else { place(model, id) };
    stretch(model);
    kernel(model, at, 0.5, changed);
    at
}

/// Nothing read.
pub(super) fn nothing() -> Evidence {
    Evidence {
        numbers: Vec::new(),
        words: Vec::new(),
        over: Vec::new(),
        told: Vec::new(),
    }
}

/// Whether two numbers are one to a part in a million of their size, or of one.
pub(super) fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6 * b.abs().max(1.0)
}
