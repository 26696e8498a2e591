//! What a model learns from a library that was made up by a law of round numbers: where kernels stand, how wide they are,
//! which samples show, what stands out, what is laid over each other. The numbers beside it follow from the formulas at the
//! head of `inference/model.rs` with the law put in (derived).

use super::made::{
    PLAIN, STILL, cause, fault, kernel, library, model, place, sample, stretch, visit, way,
};
use crate::diagnosis::inference::fit::usual_uncertainty;
use crate::diagnosis::inference::model::Model;
use crate::diagnosis::inference::tuning::Tuning;
use crate::diagnosis::library::collection::{Library, Sample};
use crate::diagnosis::library::random::Random;
use crate::diagnosis::library::unknowns::{AIR, Unknowns};
use crate::units::inwc_to_pa;
use crate::visit::{Id, NUMBERS};

const OUTLET: usize = Id::HalfOutlet.index();
const MANIFOLD: usize = Id::HalfManifold.index();
const FULL: usize = Id::FullOutlet.index();
/// An unknown of the parts, by which the law goes.
const SET: usize = 6;

/// A visit whose numbers stand so far from the middle of their axes, and words as they are given.
fn off(numbers: &[(Id, f64)], words: &[(Id, f64)]) -> crate::visit::Values {
    let mut values = visit(words);
    for (id, by) in numbers {
        values[id.index()] = Some(id.item().unscaled(*by));
    }
    values
}

fn draws(count: usize) -> Vec<Unknowns> {
    let mut random = Random::new(11, 3);
    (0..count)
        .map(|_| Unknowns::draw(&mut random, false))
        .collect()
}

/// Healthy rigs whose outlet goes 100 Pa with the set pressure, 50 with the air and 20 with its square, and whose manifold
/// and full load lie 40 Pa to either side by turns.
fn healthy(count: usize) -> Vec<Sample> {
    let one = |(k, z): (usize, Unknowns)| {
        let air = z.0[AIR];
        let outlet = 100.0 * z.0[SET] + 50.0 * air + 20.0 * (air * air - 1.0);
        let turn = if k % 2 == 0 { 40.0 } else { -40.0 };
        let numbers = [
            (Id::HalfOutlet, outlet),
            (Id::HalfManifold, turn),
            (Id::FullOutlet, turn),
        ];
        // Frost on the body on six of 200, on the container on ten: under and over four in a hundred.
        let frost = [
            (Id::FrostBody, f64::from(k % 33 == 32)),
            (Id::FrostContainer, f64::from(k % 20 == 19)),
        ];
        sample(None, 0.0, z, &off(&numbers, &frost))
    };
    draws(count).into_iter().enumerate().map(one).collect()
}

/// Healthy rigs that all read the same.
fn alike() -> Vec<Sample> {
    vec![sample(None, 0.0, STILL, &visit(&[])); 40]
}

fn learn(mut library: Library, samples: Vec<Sample>, tuning: Tuning) -> Model {
    library.samples = samples;
    Model::new(&library, tuning).expect("a likelihood")
}

fn about(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() <= share * b.abs()
}

#[test]
fn eight_healthy_samples_are_the_least() {
    let mut made = library(&[]);
    made.samples = vec![alike()[0]; 7];
    assert!(Model::new(&made, PLAIN).is_none());
    made.samples.push(made.samples[0]);
    assert!(Model::new(&made, PLAIN).is_some());
}

/// a² + h² = 1: with h = 0.9 a kernel keeps 0.436 of what its unknowns do and 0.19 of their square, and is as wide as 0.9 of
/// what they do: 0.81 · (100² + 50²). Of what is left over it keeps 1 - b² where it is wide, thinned by 200 samples of 220,
/// and b where it stands; what is left over of two numbers together counts half.
#[test]
fn kernels_stand_and_are_as_wide_as_the_law_says() {
    let tuning = Tuning {
        own: 0.9,
        kept: 0.6,
        ..PLAIN
    };
    let samples = healthy(200);
    let model = learn(library(&[]), samples.clone(), tuning);
    assert_eq!((model.kernels.len(), model.counts[0]), (200, 200));
    let own = &model.stretches[0];
    assert!(
        about(own.spread[(OUTLET, OUTLET)], 10_125.0, 0.05),
        "{}",
        own.spread[(OUTLET, OUTLET)]
    );
    let free = 0.64 * 200.0 / 220.0;
    // Without what the unknowns do (the fit takes a tenth of the turns for theirs).
    let bare = learn(library(&[]), samples.clone(), Tuning { own: 0.0, ..tuning });
    let own = &bare.stretches[0];
    for (i, j, share) in [
        (MANIFOLD, MANIFOLD, 1.0),
        (FULL, FULL, 1.0),
        (MANIFOLD, FULL, 0.5),
        (FULL, MANIFOLD, 0.5),
    ] {
        let wanted = 1600.0 * free * share;
        assert!(
            about(own.spread[(i, j)], wanted, 0.15),
            "{i} {j}: {} {wanted}",
            own.spread[(i, j)]
        );
    }
    let (kept, toward) = ((1.0 - free).sqrt(), 0.19_f64.sqrt());
    for (k, sample) in model.kernels.iter().zip(&samples).take(40) {
        let (z, air) = (&sample.unknowns.0, sample.unknowns.0[AIR]);
        let outlet = toward * (100.0 * z[SET] + 50.0 * air) + 0.19 * 20.0 * (air * air - 1.0);
        assert!(
            (k.centre[OUTLET] - outlet).abs() < 8.0,
            "{} {outlet}",
            k.centre[OUTLET]
        );
        let turn = if k.sample % 2 == 0 { 40.0 } else { -40.0 };
        // The fit takes a little of the turns for the unknowns' doing.
        assert!(
            (k.centre[MANIFOLD] - kept * turn).abs() < 14.0,
            "{} {}",
            k.centre[MANIFOLD],
            kept * turn
        );
        assert_eq!((k.cause, k.stretch, k.severity), (0, 0, 0.0));
    }
    let mean = |odd: usize| {
        let of = model.kernels.iter().filter(|k| k.sample % 2 == odd);
        of.map(|k| k.centre[MANIFOLD]).sum::<f64>() / 100.0
    };
    assert!(
        about(mean(0), 40.0 * kept, 0.1) && about(mean(1), -40.0 * kept, 0.1),
        "{}",
        mean(0)
    );
}

/// The floor is a tenth of the square of so many uncertainties, on every number.
#[test]
fn a_floor_keeps_kernels_wide() {
    let model = learn(
        library(&[]),
        alike(),
        Tuning {
            floor: 2.0,
            ..PLAIN
        },
    );
    for i in 0..NUMBERS {
        let wanted = 0.4 * usual_uncertainty(i).powi(2);
        assert!(
            about(model.stretches[0].spread[(i, i)], wanted, 0.01),
            "{i}"
        );
    }
    let last = model.stretches.last().expect("the wide one");
    assert!(about(
        last.spread[(OUTLET, OUTLET)],
        0.6 * usual_uncertainty(OUTLET).powi(2),
        0.01
    ));
}

/// From 11 to 24 °C the draw of the air goes from nought to one: 50 Pa straight and 20 of its square. A number stands out
/// three deviations off what the air makes of it, the rigs' 100 Pa and the instrument's 24.9 together, 309 Pa; a word
/// where under four healthy rigs in a hundred give it.
#[test]
fn what_stands_out_by_hand() {
    let model = learn(library(&[]), healthy(200), PLAIN);
    assert!((model.air_effect(284.0, 297.0)[OUTLET] - 70.0).abs() < 6.0);
    assert!((model.air_effect(297.0, 284.0)[OUTLET] + 70.0).abs() < 6.0);
    let mild = model.air_effect(284.0, 284.0);
    assert!(mild.iter().all(|v| *v == 0.0));
    let mut warm = STILL;
    warm.0[AIR] = 1.0;
    // At nought the square takes its mean of one away: 20 Pa under.
    for (unknowns, middle) in [(STILL, -20.0), (warm, 50.0)] {
        for side in [-1.0, 1.0] {
            let out = |by: f64| {
                model.stands_out(
                    &off(&[(Id::HalfOutlet, middle + side * by)], &[]),
                    &unknowns,
                )[OUTLET]
            };
            assert!(!out(285.0) && out(335.0), "{middle} {side}");
        }
    }
    // The manifold's spread is all left over: 40 Pa, less what the fit takes of it, and the instrument's 24.9 make 46.
    for side in [-1.0, 1.0] {
        let out = |by: f64| {
            let values = off(&[(Id::HalfManifold, side * by)], &[]);
            model.stands_out(&values, &STILL)[MANIFOLD]
        };
        assert!(!out(120.0) && out(155.0));
    }
    // What else is unknown is no excuse: nobody knows it.
    let mut high = STILL;
    high.0[SET] = 4.0;
    assert!(model.stands_out(&off(&[(Id::HalfOutlet, 400.0)], &[]), &high)[OUTLET]);
    let frosty = model.stands_out(
        &off(&[], &[(Id::FrostBody, 1.0), (Id::FrostContainer, 1.0)]),
        &STILL,
    );
    assert!(frosty[Id::FrostBody.index()] && !frosty[Id::FrostContainer.index()]);
    let plain = model.stands_out(&off(&[], &[]), &STILL);
    assert!(!plain[Id::FrostBody.index()] && !plain[Id::Flames.index()]);
    assert!(model.usual_words().iter().all(|w| *w == 0));
}

/// Where healthy rigs read alike a reading shows from three uncertainties on, 74.7 Pa: at 640 Pa for the worst of forty,
/// from the fifth of them. What shows in under a tenth of them is no cause; a tenth is.
#[test]
fn what_shows_is_counted_and_what_hides_is_left_out() {
    let ids = ["second_screw_low", "line_crushed", "oily_residue"];
    let made = library(&ids);
    let mut samples = alike();
    for k in (1..=40_u32).rev() {
        let severity = f64::from(k) / 40.0;
        let low = off(&[(Id::HalfOutlet, -640.0 * severity)], &[]);
        samples.push(sample(Some(fault(ids[0])), severity, STILL, &low));
        let shows = |worst: u32| if k > 40 - worst { 300.0 } else { 0.0 };
        let three = off(&[(Id::HalfManifold, shows(3))], &[]);
        samples.push(sample(Some(fault(ids[1])), severity, STILL, &three));
        let four = off(&[(Id::HalfManifold, shows(4))], &[]);
        samples.push(sample(Some(fault(ids[2])), severity, STILL, &four));
    }
    let model = learn(made, samples, PLAIN);
    let [low, three, four] = ids.map(|id| place(&model, id));
    assert_eq!(
        [low, three, four].map(|c| model.shown[c]),
        [0.9, 0.075, 0.1]
    );
    assert_eq!([low, three, four].map(|c| model.counts[c]), [36, 0, 4]);
    assert_eq!(model.shown[0], 1.0);
    for (c, id) in [(low, ids[0]), (three, ids[1]), (four, ids[2])] {
        let of = model.kernels.iter().filter(|k| k.cause == c).count();
        assert_eq!(of, model.counts[c], "{id}");
        assert_eq!(model.fit(Some(fault(id))).is_some(), of > 0, "{id}");
    }
    assert!(model.fit(None).is_some());
    // In order of severity, each on the stretch it belongs to, and where its sample stood.
    let of: Vec<_> = model.kernels.iter().filter(|k| k.cause == low).collect();
    assert!(
        of.windows(2)
            .all(|w| w[0].severity < w[1].severity && w[0].stretch <= w[1].stretch)
    );
    assert!(
        of.iter()
            .all(|k| (k.centre[OUTLET] + 640.0 * k.severity).abs() < 3.0)
    );
    assert!(of[0].stretch > 0 && of[35].stretch > of[0].stretch);
    assert!(
        of[35].stretch < model.stretches.len() - 1,
        "the wide one is nobody's"
    );
}

/// What is off only because its unknowns are does not show its fault; a word that no healthy rig gives does.
#[test]
fn a_fault_shows_by_itself() {
    let ids = ["second_screw_low"];
    let made = library(&ids);
    let mut samples = healthy(200);
    let mut high = STILL;
    high.0[SET] = 5.0;
    let outlet = [(Id::HalfOutlet, 480.0)];
    let f = Some(fault(ids[0]));
    for (k, words) in [&[][..], &[(Id::FrostBody, 1.0)], &[]]
        .into_iter()
        .enumerate()
    {
        samples.push(sample(f, 0.2 + 0.3 * k as f64, high, &off(&outlet, words)));
    }
    // The same reading with every part as it should be is the fault's doing.
    samples.push(sample(f, 1.0, STILL, &off(&outlet, &[])));
    let model = learn(made, samples, PLAIN);
    assert_eq!(model.shown[1], 0.5);
    let severities: Vec<f64> = model
        .kernels
        .iter()
        .filter(|k| k.cause == 1)
        .map(|k| k.severity)
        .collect();
    assert_eq!(severities, [0.5, 1.0]);
}

/// A cause whose outlet goes by 15 Pa from sample to sample and whose manifold by 30.
fn stepping(id: &str, tuning: Tuning) -> Model {
    let made = library(&[id]);
    let mut samples = alike();
    for k in 1..=40_u32 {
        let by = 15.0 * f64::from(k) + 200.0;
        let values = off(
            &[(Id::HalfOutlet, -by), (Id::HalfManifold, -2.0 * by)],
            &[(Id::FrostBody, 1.0)],
        );
        samples.push(sample(Some(fault(id)), f64::from(k) / 40.0, STILL, &values));
    }
    learn(made, samples, tuning)
}

/// Half the mean product of the steps between neighbours in severity, times g; of two numbers together half of that.
#[test]
fn steps_between_neighbours_make_kernels_wide() {
    let model = stepping("second_screw_low", Tuning { gap: 4.0, ..PLAIN });
    assert_eq!(model.counts[1], 40);
    let of: Vec<usize> = model
        .kernels
        .iter()
        .filter(|k| k.cause == 1)
        .map(|k| k.stretch)
        .collect();
    for s in [of[0], of[20], of[39]] {
        let spread = &model.stretches[s].spread;
        assert!(
            about(spread[(OUTLET, OUTLET)], 4.0 * 0.5 * 225.0, 0.1),
            "{}",
            spread[(OUTLET, OUTLET)]
        );
        assert!(about(spread[(MANIFOLD, MANIFOLD)], 4.0 * 0.5 * 900.0, 0.1));
        assert!(about(spread[(OUTLET, MANIFOLD)], 4.0 * 0.25 * 450.0, 0.1));
    }
    assert_eq!(
        model.stretches[0].spread[(OUTLET, OUTLET)],
        0.0,
        "a healthy rig has no severity"
    );
    let shares = &model.stretches[of[0]].shares;
    assert_eq!(shares[Id::FrostBody.index() - NUMBERS][..2], [0.0, 1.0]);
    assert_eq!(shares[Id::Flames.index() - NUMBERS][..2], [1.0, 0.0]);
}

/// By Laplace's rule the next rig is like none of forty with a chance of one in 41: so often its words are the healthy
/// rig's; and its readings may lie a third of the square of the way to the worst off, over 40².
#[test]
fn what_was_never_seen_is_left_open() {
    let open = Tuning {
        gap: 0.0,
        is_open: true,
        ..PLAIN
    };
    let model = stepping("second_screw_low", open);
    let at = model
        .kernels
        .iter()
        .find(|k| k.cause == 1)
        .expect("one")
        .stretch;
    let own = &model.stretches[at];
    let frost = &own.shares[Id::FrostBody.index() - NUMBERS];
    assert!(about(frost[0], 1.0 / 41.0, 1e-9) && about(frost[1], 40.0 / 41.0, 1e-9));
    assert!(about(own.blur, 1.0 / 41.0, 1e-9));
    assert!(
        about(own.spread[(OUTLET, OUTLET)], 800.0 * 800.0 / 4800.0, 0.05),
        "{}",
        own.spread[(OUTLET, OUTLET)]
    );
    assert!(about(
        own.spread[(OUTLET, MANIFOLD)],
        800.0 * 1600.0 / 4800.0,
        0.05
    ));
    assert_eq!(model.stretches[0].blur, 0.0);
    let shut = stepping(
        "second_screw_low",
        Tuning {
            gap: 0.0,
            blur: 0.2,
            ..PLAIN
        },
    );
    assert_eq!(shut.stretches[1].blur, 0.2);
    assert!(shut.stretches[1].spread[(OUTLET, OUTLET)].abs() < 5.0);
    assert_eq!(
        shut.stretches[1].shares[Id::FrostBody.index() - NUMBERS][0],
        0.0
    );
}

/// What hangs on the make (stiff rubber at the outlet and the manifold) may be none of it or all of it: as wide as the
/// square of how far the readings have moved. Other numbers do not.
#[test]
fn what_hangs_on_the_make_is_as_wide_as_it_moved() {
    let model = stepping("rubber_stiff", Tuning { gap: 0.0, ..PLAIN });
    let first = model
        .kernels
        .iter()
        .find(|k| k.cause == 1)
        .expect("one")
        .stretch;
    let of: Vec<f64> = model
        .kernels
        .iter()
        .filter(|k| k.stretch == first)
        .map(|k| 600.0 * k.severity + 200.0)
        .collect();
    let mean = of.iter().sum::<f64>() / of.len() as f64;
    let own = &model.stretches[first];
    assert!(own.doubtful[OUTLET] && own.doubtful[MANIFOLD] && !own.doubtful[Id::FirstRest.index()]);
    assert!(
        about(own.of_make.of(OUTLET, OUTLET), mean * mean, 0.02),
        "{} {mean}",
        own.of_make.of(OUTLET, OUTLET)
    );
    assert!(about(
        own.of_make.of(MANIFOLD, MANIFOLD),
        4.0 * mean * mean,
        0.02
    ));
    let rest = Id::FirstRest.index();
    assert_eq!(own.of_make.of(rest, rest), 0.0);
    // At one load both go that way together; at another load it is another way.
    assert!(about(
        own.of_make.of(OUTLET, MANIFOLD),
        2.0 * mean * mean,
        0.02
    ));
    assert_eq!(own.of_make.of(OUTLET, Id::FullOutlet.index()), 0.0);
    assert!(about(own.spread[(OUTLET, OUTLET)], mean * mean, 0.02));
    let sure = stepping("second_screw_low", Tuning { gap: 0.0, ..PLAIN });
    assert_eq!(sure.stretches[1].of_make.of(OUTLET, OUTLET), 0.0);
}

/// What is left over on a stretch is its own and the whole cause's, its own by n of n + 12: readings that lie 40 Pa to
/// either side in the upper two thirds of severity and not at all in the lowest.
#[test]
fn a_stretch_borrows_what_is_left_over() {
    let made = library(&["second_screw_low"]);
    let mut samples = alike();
    let count = 90_u32;
    for k in 1..=count {
        let turn = match (k > count / 3, k % 2) {
            (false, _) => 0.0,
            (true, 0) => 40.0,
            (true, _) => -40.0,
        };
        let values = off(&[(Id::HalfManifold, turn)], &[(Id::FrostBody, 1.0)]);
        samples.push(sample(
            Some(fault("second_screw_low")),
            f64::from(k) / f64::from(count),
            STILL,
            &values,
        ));
    }
    let model = learn(
        made,
        samples,
        Tuning {
            gap: 0.0,
            kept: 0.0,
            ..PLAIN
        },
    );
    let free = 90.0 / 110.0;
    let whole = 1600.0 * 2.0 / 3.0;
    let at = |k: usize| {
        model
            .kernels
            .iter()
            .filter(|x| x.cause == 1)
            .nth(k)
            .expect("ninety")
            .stretch
    };
    for (stretch, left) in [(at(0), 0.0), (at(89), 1600.0)] {
        let n = model
            .kernels
            .iter()
            .filter(|k| k.stretch == stretch)
            .count() as f64;
        let share = n / (n + 12.0);
        let wanted = free * (share * left + (1.0 - share) * whole);
        let got = model.stretches[stretch].spread[(MANIFOLD, MANIFOLD)];
        assert!(about(got, wanted, 0.1), "{got} {wanted}");
    }
}

/// Two kernels laid over each other: what both change adds up, a word that either changes is changed, and the second's
/// where both do. The stretch of a pair is as uncertain as both together.
#[test]
fn pairs_are_laid_over_each_other() {
    let ids = ["second_screw_low", "line_crushed", "oily_residue"];
    let mut model = model(&ids, PLAIN);
    cause(&mut model, "healthy", &[]);
    let a = cause(
        &mut model,
        ids[0],
        &[(Id::FrostBody, 1.0), (Id::Flames, 1.0)],
    );
    kernel(&mut model, a, 0.9, &[(Id::HalfOutlet, inwc_to_pa(9.0))]);
    let b = cause(&mut model, ids[1], &[(Id::Hose, 1.0), (Id::Flames, 4.0)]);
    let c = cause(&mut model, ids[2], &[]);
    model.kernels[1].centre[OUTLET] = -300.0;
    model.kernels[3].centre[OUTLET] = 50.0;
    let (first, second) = (model.kernels[1].stretch, model.kernels[3].stretch);
    model.stretches[first].blur = 0.3;
    model.stretches[second].of_make = way(&[(OUTLET, 7.0)]);
    model.stretches[second].doubtful[MANIFOLD] = true;
    model.stretches[first].shares[0] = [0.5, 0.5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
    (model.shown[a], model.shown[b]) = (0.8, 0.4);
    let wide = stretch(&mut model);

    let both = model.with_pairs(&[a, b]);
    assert_eq!((both.causes.len(), both.counts.len()), (5, 5));
    assert_eq!(
        both.faults(4).collect::<Vec<_>>(),
        [fault(ids[0]), fault(ids[1])]
    );
    assert_eq!((both.counts[4], both.shown[4]), (2, 0.4));
    let of: Vec<_> = both.kernels.iter().filter(|k| k.cause == 4).collect();
    assert_eq!(of.len(), 2);
    assert!(
        (of[0].centre[OUTLET] + 250.0).abs() < 1e-6,
        "{}",
        of[0].centre[OUTLET]
    );
    let word = |id: Id| of[0].words[id.index() - NUMBERS];
    assert_eq!(
        [Id::FrostBody, Id::Hose, Id::Flames, Id::OddOne].map(word),
        [1, 1, 4, 0]
    );
    let own = &both.stretches[of[0].stretch];
    assert_eq!(of[0].stretch, wide + 1);
    assert_eq!(
        own.spread[(OUTLET, OUTLET)],
        2.0 * usual_uncertainty(OUTLET).powi(2)
    );
    assert_eq!((own.of_make.of(OUTLET, OUTLET), own.blur), (49.0, 0.3));
    assert!(own.doubtful[MANIFOLD] && !own.doubtful[OUTLET]);
    assert_eq!(own.shares[0][..2], [0.75, 0.25]);
    // Three make three pairs, and one none.
    assert_eq!(model.with_pairs(&[a, b, c]).causes.len(), 7);
    assert_eq!(model.with_pairs(&[a]).causes.len(), 4);
    // Without a pair's own stretch the wide one is taken.
    let laid = model.superposed(&model.kernels[1], &model.kernels[3], &model.usual_words());
    assert_eq!((laid.stretch, laid.cause), (wide, a));
}
