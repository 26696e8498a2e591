//! The mathematics of the likelihood against the plain formulas (derived: dense linear algebra),
//! and the small promises of the tables.

mod answered;
mod learned;
mod likelihood;
mod made;
mod next;
mod together;
mod weighed;
mod winter;

use super::files::prior::Priors;
use super::inference::evidence::{cholesky, forward};
use super::inference::fit::{self, Fit, Point};
use super::library::coded::Coded;
use super::library::random::Random;
use super::library::standard::standard_rig;
use super::library::words;
use super::library::{collection, fingerprint, unknowns};
use crate::fault::Fault;
use crate::rig::Rig;
use crate::visit::{ALL, ITEMS, Id, Item, NUMBERS, Scale, Test, Values};
use nalgebra::{DMatrix, DVector};

fn covariance(n: usize, random: &mut Random) -> DMatrix<f64> {
    let a = DMatrix::from_fn(n, n, |_, _| random.normal());
    &a * a.transpose() + DMatrix::identity(n, n)
}

/// x' C⁻¹ x by our own factor equals that of a dense inverse (derived).
#[test]
fn whitened_distance_is_mahalanobis() {
    let mut random = Random::new(3, 1);
    let n = 7;
    let c = covariance(n, &mut random);
    let x = DVector::from_fn(n, |_, _| random.normal());
    let flat: Vec<f64> = (0..n * n).map(|k| c[(k / n, k % n)]).collect();
    let l = cholesky(&flat, n);
    let mut w: Vec<f64> = x.iter().copied().collect();
    forward(&l, n, &mut w);
    let ours: f64 = w.iter().map(|v| v * v).sum();
    let dense = (x.transpose() * c.clone().try_inverse().expect("regular") * &x)[(0, 0)];
    assert!((ours - dense).abs() < 1e-9 * dense);
    let log_det: f64 = (0..n).map(|i| l[i * n + i].ln()).sum();
    assert!((2.0 * log_det - c.determinant().ln()).abs() < 1e-9);
}

/// Each reading foretold from the others is what it is foretold as where it was not taken (derived: leaving one out by the
/// inverse of the covariance is conditioning on the others). The two variances differ by the instrument's own.
#[test]
fn a_reading_is_foretold_alike_whether_it_was_taken_or_not() {
    use super::inference::conditional::Conditional;
    use super::inference::evidence::Evidence;
    use super::inference::fit::usual_uncertainty;
    let library = super::store::built_in(&standard_rig()).expect("a library of this model");
    let model = super::store::Prepared::from_library(library)
        .expect("a likelihood")
        .model;
    let mut values: Values = [None; ITEMS];
    for (i, v) in [
        (0, 2750.0),
        (1, 2700.0),
        (3, 2650.0),
        (5, 68_000.0),
        (8, 3000.0),
    ] {
        values[i] = Some(v);
    }
    let floor = model.tuning.floor;
    let all = Evidence::new(&values, &[None; ITEMS], floor);
    let kernel = &model.kernels[0];
    for (at, &(item, _, own)) in all.numbers.iter().enumerate() {
        let mut less = all.clone();
        less.numbers.remove(at);
        let with = Conditional::new(&model, &all, 0).foretell(kernel)[item];
        let without = Conditional::new(&model, &less, 0).foretell(kernel)[item];
        assert!(
            (with.mean - without.mean).abs() < 1e-6,
            "{item}: {with:?} {without:?}"
        );
        let usual = usual_uncertainty(item).powi(2) * (1.0 + floor * floor);
        let (a, b) = (with.variance - own, without.variance - usual);
        assert!(
            (a - b).abs() < 1e-6 * (a.abs() + own),
            "{item}: {a} and {b}"
        );
    }
}

/// Chances of words sum to one over what can be seen.
#[test]
fn word_chances_sum_to_one() {
    for (i, item) in ALL.iter().enumerate().skip(NUMBERS) {
        let Scale::Words(words) = item.kind else {
            panic!("{} comes after the numbers", item.key);
        };
        for truly in 0..words.len() {
            let sum: f64 = (0..words.len()).map(|s| words::chance(i, s, truly)).sum();
            assert!((sum - 1.0).abs() < 1e-12, "{}: {sum}", item.key);
        }
    }
}

#[test]
fn items_have_their_place_once_and_scales_invert() {
    for (i, item) in ALL.iter().enumerate() {
        assert_eq!(Item::find(item.table, item.key), Some(i));
        assert!(Test::ALL.contains(&item.test));
        if i < NUMBERS {
            for v in [0.0, 2700.0, 70_000.0, 600_000.0] {
                let back = item.unscaled(item.scaled(v));
                assert!((back - v).abs() < 1e-6 * v.abs().max(1.0), "{}", item.key);
                assert!(item.slope(v) > 0.0 && item.uncertainty(v) > 0.0);
            }
        }
    }
    for test in Test::ALL {
        assert!(test.items().count() > 0, "{test:?}");
        assert!(test.minutes() > 0.0);
    }
}

#[test]
fn a_library_is_stored_and_taken_back_whole() {
    let mut library = collection::Library::new(&standard_rig());
    let mut random = Random::new(5, 5);
    let unknowns = unknowns::Unknowns::draw(&mut random, false);
    let values = super::library::sample::sample_visit(
        &library.base,
        &[],
        &unknowns,
        unknowns::World::NOMINAL,
        &mut random,
    )
    .expect("a visit");
    // The standard rig has one container; whatever it can have, a visit finds out.
    let missing = Id::all().filter(|id| values[id.index()].is_none());
    let odd: Vec<Id> = missing.filter(|id| id.is_in(&library.base.rig)).collect();
    assert!(odd.is_empty(), "{odd:?}");
    library.samples.push(collection::Sample {
        fault: None,
        severity: 0.0,
        unknowns,
        coded: Coded::of(&values),
    });
    library.rounds = 1;
    library.groups = vec![vec!["a".to_owned(), "b".to_owned()], vec!["c".to_owned()]];
    let bytes = library.to_bytes();
    let mut back = collection::Library::new(&standard_rig());
    assert_eq!(back.take_bytes(&bytes), Ok(()));
    assert_eq!((back.samples.len(), back.rounds), (1, 1));
    assert_eq!(back.groups, library.groups);
    for (i, (a, b)) in values.iter().zip(&back.samples[0].values()).enumerate() {
        let (a, b) = (a.unwrap_or(0.0), b.unwrap_or(0.0));
        let one = ALL[i].uncertainty(a).max(1e-9);
        assert!((a - b).abs() <= 0.2 * one, "{}: {a} {b}", ALL[i].key);
    }
    // Every cut and every other rig is refused.
    for cut in [0, 7, 12, 40, bytes.len() - 1] {
        assert!(back.take_bytes(&bytes[..cut]).is_err(), "cut at {cut}");
    }
    // So is every damage, to any single bit.
    for at in 0..bytes.len() {
        let mut damaged = bytes.clone();
        damaged[at] ^= 1 << (at % 8);
        assert!(back.take_bytes(&damaged).is_err(), "a bit of byte {at}");
    }
    let mut other = standard_rig();
    other.rig.second.bore_m *= 1.01;
    assert!(collection::Library::new(&other).take_bytes(&bytes).is_err());
}

/// The generator is even and normal to the accuracy of its sample (derived).
#[test]
fn random_numbers_have_their_moments() {
    let mut random = Random::new(9, 9);
    let n = 20_000;
    let draws: Vec<f64> = (0..n).map(|_| random.normal()).collect();
    let mean = draws.iter().sum::<f64>() / f64::from(n);
    let square = draws.iter().map(|v| v * v).sum::<f64>() / f64::from(n);
    assert!(mean.abs() < 0.03 && (square - 1.0).abs() < 0.04);
}

/// Looks come as often as their chance says (derived: the spread of a count).
#[test]
fn looks_come_as_often_as_their_chance() {
    let mut random = Random::new(6, 6);
    let find = |table, key| Item::find(table, key).expect("an item");
    let (fluid, flames) = (find("leak_fluid", "pigtail"), find("seen", "flames"));
    let n = 40_000;
    // Strong bubbles, flames that are hard, and such as some call hard and some normal.
    for (item, truly) in [(fluid, 2), (flames, 2), (flames, 7)] {
        let mut counts = [0; words::MOST_WORDS];
        for _ in 0..n {
            counts[words::look(item, truly, 1.0, &mut random)] += 1;
        }
        for (seen, count) in counts.into_iter().enumerate() {
            let chance = words::chance(item, seen, truly);
            let deviation = (f64::from(n) * chance).sqrt();
            let off = f64::from(count) - f64::from(n) * chance;
            assert!(off.abs() <= 4.0 * deviation, "{truly} as {seen}: {count}");
        }
    }
}

/// A flame that is hard is more of what a lifting one is: the one is called the other about once in ten times (own), and
/// either is as seldom called anything else as other flames are.
#[test]
fn hard_and_lifting_are_near_each_other() {
    let item = Item::find("seen", "flames").expect("an item");
    let (normal, hard, lifting) = (0, 2, 3);
    for (truly, other) in [(hard, lifting), (lifting, hard)] {
        let near = words::chance(item, other, truly);
        let rest = 1.0 - words::chance(item, truly, truly) - near;
        assert!((0.08..0.1).contains(&near), "{near}");
        assert!((0.005..0.02).contains(&rest), "{rest}");
    }
    assert!(words::chance(item, lifting, normal) < 0.003);
}

/// A law that is straight in severity and in the unknowns, and bent with the air, is found again
/// (derived: the law itself) where there are samples enough for the ridge to count for little.
#[test]
fn a_fit_finds_the_law_it_was_drawn_from() {
    let mut random = Random::new(8, 8);
    let law = |s: f64, z: &unknowns::Unknowns| -> [f64; NUMBERS] {
        std::array::from_fn(|i| {
            let i = i as f64;
            100.0 * i + 40.0 * s + (3.0 + i + 5.0 * (s - 0.5)) * z.0[6] - 2.0 * z.0[3]
                + 1.5 * (z.0[unknowns::AIR].powi(2) - 1.0)
        })
    };
    let mut point = |severity: f64| {
        let unknowns = unknowns::Unknowns::draw(&mut random, false);
        Point {
            severity,
            unknowns,
            numbers: law(severity, &unknowns),
        }
    };
    let healthy: Vec<Point> = (0..400).map(|_| point(0.5)).collect();
    let healthy = Fit::new(&healthy, None);
    let points: Vec<Point> = (0..400).map(|k| point(f64::from(k) / 399.0)).collect();
    let fit = Fit::new(&points, Some((&healthy, fit::Borrowed::default())));
    for p in points.iter().step_by(40) {
        let (mean, truth) = (fit.mean(p.severity, &p.unknowns), p.numbers);
        for i in 0..NUMBERS {
            assert!(
                (mean[i] - truth[i]).abs() < 1.0,
                "{i}: {} {}",
                mean[i],
                truth[i]
            );
        }
    }
}

#[test]
fn the_digest_sees_rig_and_faults_and_probes_see_the_rest() {
    let base = collection::Library::new(&standard_rig()).base;
    let plain = fingerprint::digest(&base, &fingerprint::effect);
    assert_eq!(plain, fingerprint::digest(&base, &fingerprint::effect));
    // One fault that does a little more than it did.
    let changed = |base: &crate::scenario::Scenario, fault: Fault| {
        let more = if fault.id() == "second_seat_nick" {
            " more"
        } else {
            ""
        };
        fingerprint::effect(base, fault) + more
    };
    assert_ne!(plain, fingerprint::digest(&base, &changed));
    let mut other = base.clone();
    other.rig.second.spring_n_per_m *= 1.001;
    assert_ne!(plain, fingerprint::digest(&other, &fingerprint::effect));
    // What a fault does differs between faults, so that the digest has something to see.
    let mut effects: Vec<String> = Fault::all()
        .map(|f| fingerprint::effect(&base, f).replace(f.id(), ""))
        .collect();
    let all = effects.len();
    effects.sort();
    effects.dedup();
    assert!(effects.len() * 10 > all * 8, "{} of {all}", effects.len());

    for (id, _) in fingerprint::PROBES.iter().skip(1) {
        assert!(Fault::named(id).is_some(), "{id}");
    }
    let now = fingerprint::probes(&base);
    let mut stored: Vec<Values> = now.iter().map(|v| v.expect("a visit")).collect();
    assert!(fingerprint::agree(&stored, &now));
    // A physics in which healthy rigs lock up one uncertainty higher is another physics.
    let item = Item::find("lock_up", "after_minute").expect("an item");
    let was = stored[0][item].expect("a reading");
    stored[0][item] = Some(was + ALL[item].uncertainty(was));
    assert!(!fingerprint::agree(&stored, &now));
}

/// A twin set has the faults of its supply on each side, and what tells them and the changeover's own apart.
#[test]
fn a_twin_set_knows_its_sides_and_its_changeover() {
    let standard = standard_rig();
    let mut twin = standard.clone();
    let one = standard.rig.containers[0];
    twin.rig = Rig::standard(vec![one; 2], standard.rig.appliances.clone());
    twin.charges = vec![standard.charges[0]; 2];
    twin.valves_open = vec![true; 2];
    let causes = |scenario| -> Vec<String> {
        let known = collection::Library::new(scenario).causes();
        known.into_iter().flatten().map(|f| f.to_string()).collect()
    };
    let (single, both) = (causes(&standard), causes(&twin));
    for id in ["hose_kinked", "container_low", "butane_rich"] {
        assert!(single.contains(&id.to_owned()), "{single:?}");
        for side in ["left", "right"] {
            assert!(both.contains(&format!("{id}.{side}")), "{both:?}");
        }
    }
    for id in ["changeover_stuck", "changeover_early"] {
        assert!(both.contains(&id.to_owned()) && !single.contains(&id.to_owned()));
    }
    let base = collection::Library::new(&twin).base;
    let seen = |spelled: &str| {
        let faults: Vec<(Fault, f64)> = Fault::named(spelled)
            .map(|f| (f, 0.9))
            .into_iter()
            .collect();
        let mut random = Random::new(1, 1);
        let nothing = unknowns::Unknowns([0.0; unknowns::UNKNOWNS]);
        let world = unknowns::World::NOMINAL;
        let values =
            super::library::sample::sample_visit(&base, &faults, &nothing, world, &mut random);
        let values = values.expect("a visit");
        ["indicator", "reserve"].map(|key| {
            let item = Item::find("seen", key).expect("an item");
            let Scale::Words(words) = ALL[item].kind else {
                unreachable!("a word")
            };
            words[values[item].expect("seen") as usize]
        })
    };
    assert_eq!(seen(""), ["green", "takes over"]);
    assert_eq!(seen("changeover_stuck"), ["green", "gives out"]);
    assert_eq!(seen("changeover_early"), ["green", "takes over"]);
    assert_eq!(seen("hose_kinked.left"), ["red", "takes over"]);
    assert_eq!(seen("hose_kinked.right"), ["green", "gives out"]);
}

#[test]
fn priors_are_a_table_to_edit() {
    let mut table = Priors::default();
    assert_eq!(table.lines().len(), Fault::all().count() + 1);
    let sum: f64 = table.lines().iter().map(|l| table.share(l.cause)).sum();
    assert!((sum - 1.0).abs() < 1e-12);
    let oily = Fault::named("oily_residue");
    let before = table.share(oily);
    assert!(table.changed().is_empty() && table.set(oily, 30.0));
    assert!(table.share(oily) > before);
    assert_eq!(table.changed(), vec![(oily, 30.0)]);
    assert_eq!(Priors::with(&table.changed()), table);
    assert!(!table.set(oily, -1.0) && !table.set(oily, f64::NAN));
    table.reset(oily);
    assert_eq!(table, Priors::default());
}
