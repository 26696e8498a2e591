//! From likelihoods to probabilities by hand: Bayes' rule over two causes, over kernels of a cause, over "none of these";
//! and the weights before, line by line.

use super::made::{PLAIN, cause, fault, kernel, model, near, nothing};
use crate::diagnosis::files::account::{Complaint, Told};
use crate::diagnosis::files::prior::{HEALTHY, Origin, Priors, weight};
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::inference::evidence::Evidence;
use crate::diagnosis::inference::model::Model;
use crate::diagnosis::inference::posterior::{NONE_PRIOR, posterior};
use crate::diagnosis::inference::tuning::Tuning;
use crate::diagnosis::weighed::{Weighed, priors};
use crate::fault::{Fault, Side};
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::{ALL, Id};

const OUTLET: usize = Id::HalfOutlet.index();
const LOW: &str = "second_screw_low";
const LINE: &str = "line_crushed";

/// A healthy rig and two causes, each of one kernel: both lie by the same on either side of it.
fn three(tuning: Tuning) -> (Model, usize, usize) {
    let mut model = model(&[LOW, LINE], tuning);
    cause(&mut model, "healthy", &[]);
    let low = cause(&mut model, LOW, &[(Id::HalfOutlet, inwc_to_pa(10.0))]);
    let line = cause(&mut model, LINE, &[(Id::HalfOutlet, inwc_to_pa(12.0))]);
    (model, low, line)
}

/// Prior weights as they come in the order of a model's causes.
fn weights(model: &Model, of: &[(usize, f64)]) -> Vec<f64> {
    let mut out = vec![0.0; model.causes.len()];
    of.iter().for_each(|&(c, w)| out[c] = w);
    out
}

/// Where the reading speaks for neither, three to one stays three to one; where one stands d² nearer, its odds grow by
/// e^(d²/2); two kernels of a cause share its weight (derived: Bayes' rule).
#[test]
fn two_causes_by_hand() {
    let (mut model, low, line) = three(PLAIN);
    let odds = weights(&model, &[(low, 3.0), (line, 1.0)]);
    let middle = Evidence {
        numbers: vec![(OUTLET, 0.0, 100.0)],
        ..nothing()
    };
    let p = posterior(&model, &middle, &odds);
    assert!(
        near(p.causes[low], 0.75) && near(p.causes[line], 0.25),
        "{p:?}"
    );
    assert!(near(p.causes[0], 0.0) && near(p.none, 0.0), "{p:?}");

    let off = ALL[OUTLET].scaled(inwc_to_pa(12.0));
    let variance = inwc_to_pa(0.1).powi(2);
    // Twice the variance, rig's and instrument's: the far one stands at (2 off)² / (2 variance).
    let at_line = Evidence {
        numbers: vec![(OUTLET, off, 50.0 * variance)],
        ..nothing()
    };
    let far = (2.0 * off).powi(2) / (51.0 * variance);
    let p = posterior(&model, &at_line, &odds);
    let ratio = 3.0 * (-0.5 * far).exp();
    assert!(near(p.causes[low], ratio / (1.0 + ratio)), "{p:?}");
    // The sum of all of them is what the readings were worth: here the near cause's quarter and a bit.
    let density = 1.0 / (51.0 * variance).sqrt();
    let whole = 0.99 * density * 0.25 * (1.0 + ratio);
    assert!(
        near(p.evidence, whole.ln()),
        "{} {}",
        p.evidence,
        whole.ln()
    );
    assert!(near(p.nearest, 0.0));

    // A second kernel of the one, far off everything, takes half of its weight along.
    kernel(&mut model, line, 0.5, &[(Id::HalfOutlet, psi_to_pa(50.0))]);
    let p = posterior(&model, &middle, &odds);
    assert!(near(p.causes[line], 0.125 / 0.875), "{p:?}");
    assert_eq!(p.kernels.len(), 4);
    assert!(near(p.kernels.iter().sum::<f64>(), 1.0) && near(p.kernels[3], 0.0));
}

/// How far the nearest kernel stands, a number: 4 and 9 deviations squared at two of them make 6.5.
#[test]
fn the_nearest_kernel_is_told_a_number() {
    let (model, low, line) = three(PLAIN);
    let u = inwc_to_pa(0.1);
    let manifold = Id::HalfManifold.index();
    let evidence = Evidence {
        numbers: vec![(OUTLET, 2.0 * u, 0.0), (manifold, 3.0 * u, 0.0)],
        ..nothing()
    };
    let p = posterior(
        &model,
        &evidence,
        &weights(&model, &[(0, 1.0), (low, 1.0), (line, 1.0)]),
    );
    assert!(near(p.nearest, 6.5), "{}", p.nearest);
}

/// "None of these" has a hundredth before, and is as likely as a cause whose best kernel stands five deviations squared a
/// number off and of whose kernels a twentieth stand there: so at that place its odds are 0.01 · 0.05 to 0.99, with one
/// number and with two (derived from what the tuning promises).
#[test]
fn none_of_these_by_hand() {
    let tuning = Tuning {
        tails: 8.0,
        may_be_none: true,
        ..PLAIN
    };
    let (model, ..) = three(tuning);
    let only = weights(&model, &[(0, 1.0)]);
    let off = (2.0 * 5.0_f64).sqrt() * inwc_to_pa(0.1);
    let variance = inwc_to_pa(0.1).powi(2);
    let odds = NONE_PRIOR * 0.05 / (1.0 - NONE_PRIOR);
    let of = |evidence: &Evidence| {
        let p = posterior(&model, evidence, &only);
        p.none / p.causes[0]
    };
    let one = Evidence {
        numbers: vec![(OUTLET, off, variance)],
        ..nothing()
    };
    assert!((of(&one) / odds - 1.0).abs() < 1e-6, "{}", of(&one));
    let manifold = Id::HalfManifold.index();
    let two = Evidence {
        numbers: vec![(OUTLET, off, variance), (manifold, -off, variance)],
        ..nothing()
    };
    assert!((of(&two) / odds - 1.0).abs() < 1e-6, "{}", of(&two));

    // A word is any of the item's to what is not known (one in four of bubbles), and 0.997 to the cause; what lies over a
    // range is a coin to it, and so it is to the cause where the end is its middle; a smell nowhere is told with
    // 1 - (0.02 + 0.97) / 2, and by the cause with 1 - 0.02.
    let words = Evidence {
        words: vec![(Id::FluidPigtail.index(), 0)],
        ..nothing()
    };
    assert!(
        (of(&words) / odds - 0.25 / 0.997).abs() < 1e-6,
        "{}",
        of(&words)
    );
    let over = Evidence {
        over: vec![(OUTLET, 0.0, variance)],
        ..nothing()
    };
    assert!((of(&over) / odds - 1.0).abs() < 1e-6, "{}", of(&over));
    let further = Evidence {
        over: vec![(OUTLET, 0.0, variance), (manifold, 0.0, variance)],
        ..nothing()
    };
    assert!((of(&further) / odds - 1.0).abs() < 1e-6, "{}", of(&further));
    let told = Evidence {
        told: vec![Told::from(Complaint::Frost)],
        ..nothing()
    };
    assert!((of(&told) / odds - 0.3 / 0.1).abs() < 1e-6, "{}", of(&told));
}

/// Temper takes the same power of what is not known as of what is: the odds at five deviations stay what they are.
#[test]
fn none_of_these_is_tempered_alike() {
    let tuning = Tuning {
        tails: 8.0,
        may_be_none: true,
        temper: 0.5,
        words: 0.5,
        ..PLAIN
    };
    let (model, ..) = three(tuning);
    let only = weights(&model, &[(0, 1.0)]);
    let variance = inwc_to_pa(0.1).powi(2);
    let off = (2.0 * 5.0_f64).sqrt() * inwc_to_pa(0.1);
    let evidence = Evidence {
        numbers: vec![(OUTLET, off, variance)],
        words: vec![(Id::FluidPigtail.index(), 0)],
        ..nothing()
    };
    let p = posterior(&model, &evidence, &only);
    let wanted = 0.01 * 0.05 / 0.99 * (0.25_f64 / 0.997).sqrt();
    assert!((p.none / p.causes[0] / wanted - 1.0).abs() < 1e-6, "{p:?}");
}

/// Every line of the table of common practice (no source), and what has none: a rare fault counts 1, a healthy rig 40.
#[test]
fn weights_before_are_those_of_the_table() {
    let table = [
        ("container_low", 6.0),
        ("container_cold", 3.0),
        ("second_seat_grit", 4.0),
        ("second_seat_nick", 3.0),
        ("second_seat_hard", 2.0),
        ("second_vent_blocked", 3.0),
        ("second_screw_high", 2.0),
        ("second_screw_low", 3.0),
        ("low_side_leak", 4.0),
        ("spud_clogged", 4.0),
        ("excess_flow_tripped", 3.0),
        ("oily_residue", 3.0),
        ("thermocouple_dead", 3.0),
        ("flame_sensor_dead", 3.0),
        ("rubber_stiff", 2.0),
    ];
    assert_eq!(weight(None, &[]), (40.0, Origin::Invented));
    assert_eq!(HEALTHY, 40.0);
    let mut sum = 40.0;
    for f in Fault::all() {
        let wanted = match table.iter().find(|(id, _)| *id == f.id()) {
            Some((_, w)) => (*w, Origin::Practice),
            None => (1.0, Origin::Invented),
        };
        assert_eq!(weight(Some(f), &[]), wanted, "{f}");
        assert_eq!(weight(Some(f), &[(Some(f), 7.5)]), (7.5, Origin::Given));
        sum += wanted.0;
    }
    let shares = Priors::default();
    assert!((shares.share(None) - 40.0 / sum).abs() < 1e-12);
    assert!((shares.share(Some(fault("container_low"))) - 6.0 / sum).abs() < 1e-12);
    let words = [Origin::Practice, Origin::Invented, Origin::Given].map(Origin::words);
    assert_eq!(
        words,
        ["common practice", "invented", "given with the readings"]
    );
}

/// What was given replaces the table: for healthy only where healthy is meant, and for both sides where no side is named.
#[test]
fn a_given_weight_replaces_its_own_line_and_no_other() {
    let low = Some(fault("container_low"));
    let left = low.map(|f| f.on(Side::Left));
    let right = low.map(|f| f.on(Side::Right));
    let both = [(low, 9.0)];
    assert_eq!(weight(left, &both), (9.0, Origin::Given));
    assert_eq!(weight(low, &both), (9.0, Origin::Given));
    assert_eq!(weight(None, &both), (40.0, Origin::Invented));
    let one = [(left, 7.0)];
    assert_eq!(weight(left, &one), (7.0, Origin::Given));
    assert_eq!(weight(right, &one), (6.0, Origin::Practice));
    assert_eq!(weight(None, &[(None, 2.0)]), (2.0, Origin::Given));
    assert_eq!(weight(low, &[(None, 2.0)]), (6.0, Origin::Practice));
    // The side has a line of its own then, and only then.
    let plain = Priors::default();
    assert!(plain.lines().iter().all(|l| l.cause != left));
    let sided = Priors::with(&one);
    assert_eq!(sided.lines().len(), plain.lines().len() + 1);
    assert_eq!(sided.lines()[0].cause, None);
    assert_eq!(Priors::with(&both).lines().len(), plain.lines().len());
}

/// A share is a weight over the sum of all of them, worked out by hand; what is not in the table has none.
#[test]
fn shares_of_the_table_by_hand() {
    let mut table = Priors::default();
    let count = table.lines().len() as f64;
    // 15 lines of practice weigh 48 together, healthy 40, every other 1.
    let sum = 48.0 + 40.0 + (count - 16.0);
    let low = Some(fault("container_low"));
    assert!(near(table.share(low), 6.0 / sum) && near(table.share(None), 40.0 / sum));
    assert_eq!(table.share(low.map(|f| f.on(Side::Left))), 0.0);
    // Nought is a weight: never mind this cause. Less is none, and what is not in the table is not put in.
    assert!(table.set(low, 0.0) && table.share(low) == 0.0);
    assert!(!table.set(low, -1e-9) && !table.set(low, f64::INFINITY));
    assert!(!table.set(low.map(|f| f.on(Side::Left)), 1.0));
    assert_eq!(table.changed(), vec![(low, 0.0)]);
    table.reset(None);
    assert_eq!(table.changed(), vec![(low, 0.0)]);
    table.reset(low);
    assert_eq!(table, Priors::default());
}

/// A cause that shows nowhere has no weight; the others have the table's, or what came with the readings. Where what was
/// read orders everything shut off, a healthy rig keeps a ten thousandth of its own.
#[test]
fn weights_of_a_model_and_a_healthy_rig_struck_off() {
    let (mut model, low, line) = three(PLAIN);
    let mut readings = Readings::default();
    assert_eq!(
        priors(&model, &[]),
        weights(&model, &[(0, 40.0), (low, 3.0), (line, 1.0)])
    );
    readings.priors = vec![(Some(fault(LINE)), 8.0)];
    let given = weights(&model, &[(0, 40.0), (low, 3.0), (line, 8.0)]);
    assert_eq!(priors(&model, &readings.priors), given);
    assert_eq!(Weighed::of(&model, &readings).weights, given);
    // Steady bubbles forbid a flame and no more; blown away they order everything shut.
    let pigtail = Id::FluidPigtail.index();
    readings.values[pigtail] = Some(2.0);
    assert_eq!(Weighed::of(&model, &readings).weights, given);
    readings.values[pigtail] = Some(3.0);
    let weighed = Weighed::of(&model, &readings);
    assert!(near(weighed.weights[0] * 1e4, 40.0));
    assert_eq!(weighed.weights[1..], given[1..]);
    assert!(near(weighed.posterior.causes.iter().sum::<f64>(), 1.0));
    model.counts[low] = 0;
    assert_eq!(priors(&model, &[])[low], 0.0);
}

/// A fill over its limit orders everything shut too, but scales err: beside another reading that fails, whatever is no
/// overfilled container is worth the chance of that, a healthy rig no less than a screw.
#[test]
fn a_fill_strikes_nothing_off_but_what_scales_err() {
    let overfilled = "container_overfilled";
    let mut model = model(&[overfilled, LOW], PLAIN);
    cause(&mut model, "healthy", &[]);
    cause(&mut model, overfilled, &[(Id::Fill, 0.9)]);
    let low = cause(&mut model, LOW, &[(Id::HalfOutlet, inwc_to_pa(10.0))]);
    let mut readings = Readings::default();
    readings.values[Id::FluidPigtail.index()] = Some(2.0);
    let before = Weighed::of(&model, &readings).weights;
    // One deviation of the scales over 83 %: 15.87 % by a table of the normal distribution, within the hundredth of the curve that stands for it.
    let scales = Id::Fill.item().uncertainty(0.87);
    readings.values[Id::Fill.index()] = Some(0.83 + scales);
    let weighed = Weighed::of(&model, &readings);
    for c in [0, low] {
        let kept = weighed.weights[c] / before[c];
        assert!((kept - 0.1587).abs() < 0.01, "{c}: {kept}");
    }
    // Gas that is blown away strikes a healthy rig off besides.
    readings.values[Id::FluidPigtail.index()] = Some(3.0);
    let weighed = Weighed::of(&model, &readings);
    assert!(
        weighed.weights[0] < 2e-4 * before[0],
        "{:?}",
        weighed.weights
    );
}

/// What was weighed well under the limit is no overfilled container, however warm its gas is: 80 % with 4 % of error is no 95 %, and 55 %
/// none at all. What was not weighed may be.
#[test]
fn a_fill_that_was_read_weighs() {
    let over = "container_overfilled";
    let mut model = model(&[over], PLAIN);
    cause(&mut model, "healthy", &[]);
    let at = cause(&mut model, over, &[]);
    let share = |fill: Option<f64>| {
        let mut readings = Readings::default();
        readings.values[Id::RestMinute.index()] = Some(inwc_to_pa(12.2));
        readings.values[Id::Fill.index()] = fill;
        let weighed = Weighed::of(&model, &readings);
        weighed.weights[at] / weighed.weights[0]
    };
    let before = share(None);
    assert!(share(Some(0.78)) < 0.2 * before && share(Some(0.55)) < 1e-3 * before);
}

/// A gain in the leak check within what 2 °F do is the warming's, and a climb at the same rate may be; one that is far more is not, and
/// without a leak check nothing says that it warmed (law: 0.80 in w.c. for each °F).
#[test]
fn what_warms_is_known_by_so_much_less() {
    let (model, ..) = three(PLAIN);
    let of = |gain: Option<f64>| {
        let mut readings = Readings::default();
        readings.values[Id::RestCreep.index()] = Some(inwc_to_pa(13.0));
        readings.values[Id::LeakChange.index()] = gain.map(inwc_to_pa);
        let evidence = Weighed::of(&model, &readings).evidence;
        let creep = Id::RestCreep.index();
        let found = evidence.numbers.iter().find(|n| n.0 == creep);
        found.map_or(0.0, |n| n.2)
    };
    let still = of(None);
    assert!(of(Some(0.6)) > 5.0 * still);
    assert!(near(of(Some(0.0)), still) && near(of(Some(3.0)), still));
}
