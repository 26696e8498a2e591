//! The likelihood of a few readings under one kernel, held against the textbook's formulas worked out by hand: the normal
//! and Student's density, two readings that hang together, readings over a range, words that are mistaken, what hangs on
//! the make, what was told.

use super::made::{PLAIN, kernel, model, near, nothing, stretch, way};
use crate::diagnosis::files::account::{Complaint, Told};
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::inference::evidence::{Evidence, upper_tail};
use crate::diagnosis::inference::fit::usual_uncertainty;
use crate::diagnosis::inference::model::Model;
use crate::diagnosis::inference::score::Score;
use crate::diagnosis::inference::tuning::Tuning;
use crate::visit::{Id, NUMBERS};
use nalgebra::DMatrix;

const OUTLET: usize = Id::HalfOutlet.index();
const MANIFOLD: usize = Id::HalfManifold.index();

/// A healthy rig with one kernel in the middle of every axis, and variances of 9 Pa² at every number.
fn one(tuning: Tuning) -> Model {
    let mut model = model(&[], tuning);
    stretch(&mut model);
    model.stretches[0].spread = DMatrix::identity(NUMBERS, NUMBERS) * 9.0;
    kernel(&mut model, 0, 0.0, &[]);
    model
}

fn score(model: &Model, evidence: &Evidence) -> Score {
    model.scores(evidence)[0]
}

fn numbers(of: &[(usize, f64, f64)]) -> Evidence {
    Evidence {
        numbers: of.to_vec(),
        ..nothing()
    }
}

/// Variances of rig and instrument add up: 9 and 16 make a deviation of 5, and 10 is two of them. The normal density is
/// then -ln 5 - 2; Student's with 8 degrees of freedom -ln 5 - 4.5 ln 1.5, and with two readings of the kind
/// -2 ln 5 - 5 ln 2 (derived).
#[test]
fn one_number_is_normal_or_students() {
    let normal = one(PLAIN);
    let off = numbers(&[(OUTLET, 10.0, 16.0)]);
    let at = score(&normal, &off);
    assert!(
        near(at.distance, 4.0) && near(at.log, -5.0_f64.ln() - 2.0),
        "{at:?}"
    );
    assert!(near(at.words, 0.0));
    let students = one(Tuning {
        tails: 8.0,
        ..PLAIN
    });
    let at = score(&students, &off);
    assert!(near(at.log, -5.0_f64.ln() - 4.5 * 1.5_f64.ln()), "{at:?}");
    let two = numbers(&[(OUTLET, 10.0, 16.0), (MANIFOLD, -10.0, 16.0)]);
    let at = score(&students, &two);
    assert!(near(at.distance, 8.0), "{at:?}");
    assert!(
        near(at.log, -2.0 * 5.0_f64.ln() - 5.0 * 2.0_f64.ln()),
        "{at:?}"
    );
}

/// Two readings that hang together: covariance 25, 15, 15, 25 has the determinant 400; both 5 off lie along its long axis of
/// variance 40 (distance 1.25), one up and one down along its short one of 10 (distance 5) (derived).
#[test]
fn two_numbers_that_hang_together_are_weighed_together() {
    let mut model = one(PLAIN);
    model.stretches[0].spread[(OUTLET, MANIFOLD)] = 15.0;
    model.stretches[0].spread[(MANIFOLD, OUTLET)] = 15.0;
    for (down, distance) in [(5.0, 1.25), (-5.0, 5.0)] {
        let at = score(
            &model,
            &numbers(&[(OUTLET, 5.0, 16.0), (MANIFOLD, down, 16.0)]),
        );
        assert!(near(at.distance, distance), "{at:?}");
        assert!(
            near(at.log, -0.5 * 400.0_f64.ln() - 0.5 * distance),
            "{at:?}"
        );
    }
    let half_log_det = model.log_det(&numbers(&[(OUTLET, 0.0, 16.0), (MANIFOLD, 0.0, 16.0)]));
    assert!(near(half_log_det, 20.0_f64.ln()));
}

/// The chance to lie over a range is the tail of the normal distribution (published tables: 0.5, 0.3085, 0.1587, 0.0228,
/// 0.8413), to a hundredth.
#[test]
fn a_reading_over_its_range_counts_as_the_tail() {
    for (z, tail) in [
        (0.0, 0.5),
        (0.5, 0.3085),
        (1.0, 0.1587),
        (2.0, 0.0228),
        (-1.0, 0.8413),
    ] {
        assert!((upper_tail(z) - tail).abs() < 0.01, "{z}");
    }
    let model = one(PLAIN);
    // Deviation 5 again: an end of range 5, and then -5, from the middle.
    for (end, tail) in [(5.0, 0.1587), (-5.0, 0.8413)] {
        let over = Evidence {
            over: vec![(OUTLET, end, 16.0)],
            ..nothing()
        };
        let at = score(&model, &over);
        assert!((at.log.exp() - tail).abs() < 0.01, "{at:?}");
        assert!(near(at.distance, 0.0));
    }
    // However far: no more than one in a million against it.
    let far = Evidence {
        over: vec![(OUTLET, 1e4, 16.0)],
        ..nothing()
    };
    assert!(near(score(&model, &far).log, 1e-6_f64.ln()));
}

/// A judged look is wrong once in a hundred; where a fifth of a kernel's words is its stretch's, half and half there,
/// the first word is seen with 0.8 · 0.99 + 0.2 · 0.5 and the other with 0.8 · 0.01 + 0.2 · 0.5 (derived).
#[test]
fn a_word_is_as_likely_as_its_rates_say() {
    let mut model = one(PLAIN);
    let frost = Id::FrostBody.index();
    model.stretches[0].blur = 0.2;
    model.stretches[0].shares[frost - NUMBERS][..2].fill(0.5);
    for (seen, chance) in [(0, 0.892), (1, 0.108)] {
        let evidence = Evidence {
            words: vec![(frost, seen)],
            ..nothing()
        };
        let at = score(&model, &evidence);
        assert!(
            near(at.log, f64::ln(chance)) && near(at.words, at.log),
            "{at:?}"
        );
        let kernel = &model.kernels[0];
        assert!(near(model.word(kernel, frost, seen), chance));
        assert!(near(model.word_logs_of(kernel, frost)[seen], chance.ln()));
    }
    // What an item has no word for is never quite impossible.
    assert!(near(
        model.word_logs_of(&model.kernels[0], frost)[2],
        1e-12_f64.ln()
    ));
}

/// Temper is a power of the likelihood of numbers, of what lies over a range and of what was told; words have their own.
#[test]
fn temper_is_a_power() {
    let (plain, tempered) = (
        one(PLAIN),
        one(Tuning {
            temper: 0.5,
            words: 0.25,
            ..PLAIN
        }),
    );
    let readings = [
        numbers(&[(OUTLET, 10.0, 16.0)]),
        Evidence {
            over: vec![(OUTLET, 5.0, 16.0)],
            ..nothing()
        },
        Evidence {
            told: vec![Told::from(Complaint::Frost)],
            ..nothing()
        },
    ];
    for evidence in readings {
        let (a, b) = (
            score(&plain, &evidence).log,
            score(&tempered, &evidence).log,
        );
        assert!(a < -0.1 && near(b, 0.5 * a), "{a} {b}");
    }
    let words = Evidence {
        words: vec![(Id::FrostBody.index(), 1)],
        ..nothing()
    };
    let (a, b) = (score(&plain, &words).log, score(&tempered, &words).log);
    assert!(near(a, 0.01_f64.ln()) && near(b, 0.25 * a), "{a} {b}");
}

/// Half of all who have frost to show complain of frost, a tenth of the others (the table's own rates); a season's check
/// is told where nothing shows: 1 - 0.1. A sign that shows makes it rarer: 1 - 0.5.
#[test]
fn what_was_told_counts_by_its_rates() {
    let mut model = one(PLAIN);
    kernel(
        &mut model,
        0,
        0.0,
        &[(Id::FrostBody, 1.0), (Id::FluidPigtail, 2.0)],
    );
    for (complaint, [quiet, shown]) in [
        (Complaint::Frost, [0.1_f64, 0.5]),
        (Complaint::Season, [0.9, 0.5]),
    ] {
        let evidence = Evidence {
            told: vec![Told::from(complaint)],
            ..nothing()
        };
        let all = model.scores(&evidence);
        assert!(
            near(all[0].log, quiet.ln()) && near(all[1].log, shown.ln()),
            "{all:?}"
        );
    }
}

/// What hangs on the make is open: with even chances the rig is of the make that was simulated, where the variance is 25
/// without the 75 that the make adds, or of any, where it is 100. At 10 off that is (e^-2 / 5 + e^-0.5 / 10) / 2 (derived).
/// Where nothing that was read hangs on it, no such coin is thrown.
#[test]
fn what_hangs_on_the_make_is_a_coin() {
    let mut model = one(PLAIN);
    let s = &mut model.stretches[0];
    s.spread[(OUTLET, OUTLET)] = 84.0;
    s.of_make = way(&[(OUTLET, 75.0_f64.sqrt())]);
    s.doubtful[OUTLET] = true;
    let read = numbers(&[(OUTLET, 10.0, 16.0)]);
    let both = 0.5 * ((-2.0_f64).exp() / 5.0 + (-0.5_f64).exp() / 10.0);
    assert!(near(score(&model, &read).log, both.ln()));
    let elsewhere = numbers(&[(MANIFOLD, 10.0, 16.0)]);
    assert!(near(score(&model, &elsewhere).log, -5.0_f64.ln() - 2.0));
    // Over a range alike: 10 is two deviations of the one make and one of the other.
    let over = Evidence {
        over: vec![(OUTLET, 10.0, 16.0)],
        ..nothing()
    };
    let tails = 0.5 * (0.0228 + 0.1587);
    assert!((score(&model, &over).log.exp() - tails).abs() < 0.01);
}

/// A doubtful word is half the healthy rig's: frost that the fault shows and no healthy rig does, 0.5 · 0.99 + 0.5 · 0.01,
/// and with even chances as the simulated make shows it, 0.99 (derived).
#[test]
fn a_doubtful_word_is_half_the_healthy_rigs() {
    let mut model = model(&["rubber_stiff"], PLAIN);
    stretch(&mut model);
    kernel(&mut model, 0, 0.0, &[]);
    stretch(&mut model);
    kernel(&mut model, 1, 0.5, &[(Id::FrostBody, 1.0)]);
    let frost = Id::FrostBody.index();
    model.stretches[1].shares[frost - NUMBERS] = [0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
    let seen = Evidence {
        words: vec![(frost, 1)],
        ..nothing()
    };
    assert!(near(model.scores(&seen)[1].log, 0.99_f64.ln()));
    model.stretches[1].doubtful[frost] = true;
    let doubtful = model.scores(&seen)[1].log;
    assert!(near(doubtful, (0.5 * (0.5 + 0.99_f64)).ln()), "{doubtful}");
    assert!(near(model.word(&model.kernels[1], frost, 1), 0.5));
    assert!(near(model.scores(&seen)[0].log, 0.01_f64.ln()));
}

/// A number stands on its scaled axis with the variance of its instrument there, as given or as usual, and the floor's;
/// a word by its place.
#[test]
fn evidence_is_what_was_read_and_how_well() {
    let mut readings = Readings::default();
    let inwc = |v: f64| crate::units::inwc_to_pa(v);
    // 11 in w.c. is the middle of its axis, where slopes are 1; 2 in w.c. more the slope is 1/√2 and the place asinh 1.
    readings.values[OUTLET] = Some(inwc(11.0));
    readings.values[MANIFOLD] = Some(inwc(13.0));
    readings.uncertainties[MANIFOLD] = Some(inwc(0.2));
    // Four of the axis' widths off the slope is 0.24, and the floor keeps 0.3 of its own.
    readings.values[Id::FullOutlet.index()] = Some(inwc(19.0));
    readings.over[Id::FullOutlet.index()] = true;
    readings.values[Id::Flames.index()] = Some(2.0);
    readings.beside.complaint = Some(Complaint::Weak);
    let got = Evidence::of(&readings, 0.5);
    let square = |v: f64| v * v;
    let usual = inwc(0.1);
    assert!(near(usual_uncertainty(OUTLET), usual));
    let wanted = [
        (OUTLET, 0.0, square(usual) * 1.25),
        (
            MANIFOLD,
            inwc(2.0) * 0.881_374,
            0.5 * (square(inwc(0.2)) + square(0.5 * usual)),
        ),
    ];
    assert_eq!(got.numbers.len(), 2);
    for (a, b) in got.numbers.iter().zip(wanted) {
        assert!(
            a.0 == b.0 && (a.1 - b.1).abs() < 1e-3 && near(a.2, b.2),
            "{a:?} {b:?}"
        );
    }
    assert_eq!(got.words, vec![(Id::Flames.index(), 2)]);
    assert_eq!(got.told.len(), 1);
    let [(item, _, variance)] = got.over[..] else {
        panic!("{:?}", got.over);
    };
    // The dial to 35 in w.c. is good to half an inch.
    let slope = 1.0 / 17.0_f64.sqrt();
    let floor = 0.5 * usual * 0.3;
    assert_eq!(item, Id::FullOutlet.index());
    assert!(near(variance, square(inwc(0.5) * slope) + square(floor)));
}
