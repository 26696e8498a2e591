//! The answer of a small model whose every number is known: order and shares of causes, what each foretells and how far a
//! reading is off it, severity, groups, what is listed and what is hidden, what to do.

use super::made::{PLAIN, cause, fault, kernel, model, near, stretch};
use crate::diagnosis::advice::Advice;
use crate::diagnosis::answer::{Answer, Cause, Prediction, answer};
use crate::diagnosis::files::prior::Origin;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::inference::isolate::Groups;
use crate::diagnosis::inference::model::Model;
use crate::diagnosis::inference::safety::{Danger, NoGas};
use crate::diagnosis::measure::evaluate::fixed_minutes;
use crate::diagnosis::weighed::Weighed;
use crate::fault::Fault;
use crate::units::{PA_PER_INWC, System, inwc_to_pa, psi_to_pa};
use crate::visit::{Id, Test};

const LOW: &str = "second_screw_low";
const LINE: &str = "line_crushed";
const EMPTY: &str = "container_low";

/// A healthy rig; a low screw, mild or bad, that lowers outlet and manifold; a crushed line that lowers the manifold alone;
/// an empty container.
fn four() -> Model {
    let mut model = model(&[LOW, LINE, EMPTY], PLAIN);
    cause(&mut model, "healthy", &[]);
    let (manifold, outlet) = (Id::FullManifold, Id::FullOutlet);
    let eight = inwc_to_pa(8.0);
    let low = cause(&mut model, LOW, &[(manifold, eight), (outlet, eight)]);
    kernel(&mut model, low, 0.9, &[(manifold, eight), (outlet, eight)]);
    cause(&mut model, LINE, &[(manifold, eight)]);
    cause(
        &mut model,
        EMPTY,
        &[(Id::Container, psi_to_pa(5.0)), (Id::Flames, 1.0)],
    );
    model
}

fn read(of: &[(Id, f64)]) -> Readings {
    let mut readings = Readings::default();
    for (id, v) in of {
        readings.values[id.index()] = Some(*v);
    }
    readings
}

fn ask(model: &Model, groups: &Groups, readings: &Readings) -> Answer {
    let weighed = Weighed::of(model, readings);
    answer(model, groups, readings, &weighed, 64)
}

fn of<'a>(answer: &'a Answer, id: &str) -> &'a Cause {
    let found = answer.causes.iter().find(|c| c.id == id);
    found.unwrap_or_else(|| panic!("{id} is not listed"))
}

fn foretold(cause: &Cause, id: Id) -> &Prediction {
    cause
        .readings
        .iter()
        .find(|p| p.item == id.index())
        .expect("every item")
}

/// A manifold at 8 in w.c. leaves the two that lower it, three to one as before; the next test is the outlet at full load,
/// which parts them.
#[test]
fn what_is_left_is_told_in_order_with_what_parts_it() {
    let model = four();
    let mut readings = read(&[(Id::FullManifold, inwc_to_pa(8.0))]);
    readings.title = "a coach".to_owned();
    let a = ask(&model, &Groups::apart(&model), &readings);
    let ids: Vec<&str> = a.causes.iter().map(|c| c.id.as_str()).collect();
    assert_eq!(ids[..2], [LOW, LINE]);
    let (low, line) = (of(&a, LOW), of(&a, LINE));
    assert!(near(low.probability, 0.75) && near(line.probability, 0.25));
    // 40 + 3 + 1 + 6 before.
    assert!(near(low.prior, 0.06) && near(line.prior, 0.02));
    assert_eq!(
        (low.prior_grade, line.prior_grade),
        (Origin::Practice, Origin::Invented)
    );
    assert_eq!(low.faults, [fault(LOW)]);
    assert_eq!(low.name, fault(LOW).name());
    assert_eq!(
        (low.caution, low.told_apart),
        (fault(LOW).entry().caution, fault(LOW).entry().told_apart)
    );
    // Kernels at 0.5 and 0.9, as likely: 0.7, and 0.2 about it.
    let [mean, deviation] = low.severity.expect("a fault has one");
    assert!(near(mean, 0.7) && near(deviation, 0.2));
    assert_eq!(low.meaning, (fault(LOW).entry().meaning)(mean, System::Si));
    assert_eq!(
        low.worth(System::Us),
        (fault(LOW).entry().meaning)(mean, System::Us)
    );
    assert_eq!(low.action, Advice::Mend);
    let next: Vec<Test> = a.next_tests.iter().map(|n| n.test).collect();
    assert_eq!(next, [Test::FullLoad]);
    assert_eq!((a.title.as_str(), a.rounds, a.samples), ("a coach", 64, 5));
    assert_eq!((a.danger, a.no_gas, a.refer.len()), (Danger::None, None, 0));
    assert!(!a.is_first_look && a.pairs.is_empty() && a.left_over.is_none());
    assert!(near(a.misfit, 0.0) && a.none_of_these == 0.0);
    let weighed = Weighed::of(&model, &readings);
    let first = answer(&model, &Groups::apart(&model), &readings, &weighed, 15);
    assert!(first.is_first_look);
}

/// A number that was not read is foretold where the kernel stands, one deviation of rig and instrument to either side:
/// √2 of a tenth of an inch. One that was read counts for the cause against the best outside its group: the healthy rig
/// is more than any reading may count off, e^-12, and the low screw and the crushed line weigh the same.
#[test]
fn a_cause_foretells_and_a_reading_favours() {
    let model = four();
    let readings = read(&[(Id::FullManifold, inwc_to_pa(8.0))]);
    let a = ask(&model, &Groups::apart(&model), &readings);
    let (low, line, healthy) = (of(&a, LOW), of(&a, LINE), of(&a, "healthy"));
    for (cause, inwc) in [(low, 8.0), (line, 11.0), (healthy, 11.0)] {
        let outlet = foretold(cause, Id::FullOutlet);
        assert!(
            (outlet.expected - inwc_to_pa(inwc)).abs() < 1e-3,
            "{outlet:?}"
        );
        assert_eq!(
            (outlet.measured, outlet.favour, outlet.off),
            (None, 0.0, 0.0)
        );
        assert_eq!(outlet.name, "full_load.outlet");
    }
    let [least, most] = foretold(line, Id::FullOutlet).range;
    let deviation = inwc_to_pa(0.1) * std::f64::consts::SQRT_2;
    assert!(
        (least - inwc_to_pa(11.0) + deviation).abs() < 0.1
            && (most - inwc_to_pa(11.0) - deviation).abs() < 0.1
    );
    let [by_low, by_line, by_healthy] = [low, line, healthy].map(|c| foretold(c, Id::FullManifold));
    assert!(near(by_low.favour, 0.0) && near(by_line.favour, 0.0));
    assert!(near(by_low.off, 0.0) && !by_low.is_unexplained());
    // 8 in w.c. is 3 under the middle of its axis, 1.5 of its widths: asinh 1.5 = 1.19476, and the slope there 0.5547.
    let off = inwc_to_pa(2.0) * 1.194_763;
    let spread = inwc_to_pa(0.1) * (1.0 + 0.554_700_f64.powi(2)).sqrt();
    assert!(
        (by_healthy.off - off / spread).abs() < 1e-3 && by_healthy.is_unexplained(),
        "{by_healthy:?}"
    );
    // At its best a reading counts as the density there, a tenth of an inch of it.
    let best = (inwc_to_pa(0.1) / (spread * std::f64::consts::TAU.sqrt()) + (-12.0_f64).exp()).ln();
    assert!(
        (by_healthy.favour - (-12.0 - best)).abs() < 1e-3,
        "{by_healthy:?} {best}"
    );
    assert_eq!(by_healthy.measured, Some(inwc_to_pa(8.0)));
}

/// Nothing is foretold that cannot be: a share stays between nothing and all, a gauge does not go under its stop.
#[test]
fn what_is_foretold_can_be() {
    let mut model = model(&[LOW], PLAIN);
    cause(&mut model, "healthy", &[(Id::LeakChange, 0.0)]);
    cause(&mut model, LOW, &[(Id::Fill, 0.99), (Id::FullOutlet, 0.0)]);
    model.kernels[1].centre[Id::Container.index()] = -1e4 * psi_to_pa(1.0);
    let a = ask(
        &model,
        &Groups::apart(&model),
        &read(&[(Id::FullManifold, inwc_to_pa(11.0))]),
    );
    let cause = of(&a, LOW);
    let fill = foretold(cause, Id::Fill);
    assert!(
        near(fill.expected, 0.99) && near(fill.range[1], 1.0) && fill.range[0] < 0.99,
        "{fill:?}"
    );
    assert_eq!(foretold(cause, Id::FullOutlet).range[0], 0.0);
    assert_eq!(foretold(cause, Id::Container).expected, 0.0);
}

/// A word is foretold by its likeliest, favours by the odds of its rates, and is off by as many deviations as make it as
/// rare: low flames where they are normal, 0.01 · 1 / 4.1 of the looks (own rates), √(-2 ln of it).
#[test]
fn words_favour_by_their_rates() {
    let model = four();
    let readings = read(&[(Id::Flames, 1.0)]);
    let a = ask(&model, &Groups::apart(&model), &readings);
    let (empty, healthy) = (of(&a, EMPTY), of(&a, "healthy"));
    assert_eq!(a.causes[0].id, EMPTY);
    let chance = 0.01 / 4.1;
    let flames = foretold(empty, Id::Flames);
    assert!(near(flames.favour, (0.99_f64 / chance).ln()), "{flames:?}");
    assert_eq!((flames.expected, flames.range), (1.0, [1.0, 1.0]));
    assert!(near(flames.off, (-2.0 * 0.99_f64.ln()).sqrt()));
    let flames = foretold(healthy, Id::Flames);
    // The best outside is the empty container, and the healthy rig is against it.
    assert!(near(flames.favour, (chance / 0.99).ln()));
    assert_eq!((flames.expected, flames.measured), (0.0, Some(1.0)));
    assert!(near(flames.off, (-2.0 * chance.ln()).sqrt()) && flames.is_unexplained());
    let hose = foretold(healthy, Id::Hose);
    assert_eq!(
        (hose.expected, hose.measured, hose.off, hose.favour),
        (0.0, None, 0.0, 0.0)
    );
}

/// A reading over the range of its gauge is as foretold where more was foretold, and off where less was.
#[test]
fn over_the_range_is_as_foretold_where_more_was() {
    let mut model = model(&[LOW], PLAIN);
    cause(&mut model, "healthy", &[]);
    cause(&mut model, LOW, &[(Id::RestMinute, psi_to_pa(2.0))]);
    let mut readings = read(&[(Id::RestMinute, inwc_to_pa(13.5))]);
    readings.over[Id::RestMinute.index()] = true;
    let a = ask(&model, &Groups::apart(&model), &readings);
    assert!(of(&a, LOW).probability > 0.99);
    assert_eq!(foretold(of(&a, LOW), Id::RestMinute).off, 0.0);
    assert!(foretold(of(&a, "healthy"), Id::RestMinute).off > 3.0);
    readings.over[Id::RestMinute.index()] = false;
    let a = ask(&model, &Groups::apart(&model), &readings);
    assert!(foretold(of(&a, LOW), Id::RestMinute).off > 3.0);
}

/// Causes that no test parts are one group on this rig, called so, and their shares add up; what the library calls one
/// group is one anywhere.
#[test]
fn groups_add_up_and_say_whether_only_here() {
    let mut model = model(&[LOW, LINE, EMPTY], PLAIN);
    cause(&mut model, "healthy", &[]);
    let low_manifold = [(Id::FullManifold, inwc_to_pa(8.0))];
    let low = cause(&mut model, LOW, &low_manifold);
    let line = cause(&mut model, LINE, &low_manifold);
    cause(&mut model, EMPTY, &[(Id::Container, psi_to_pa(5.0))]);
    let readings = read(&low_manifold);
    let here = ask(&model, &Groups::apart(&model), &readings);
    let first = &here.groups[0];
    let mut causes = first.causes.clone();
    causes.sort();
    assert_eq!(causes, [LINE, LOW]);
    assert!(first.here && near(first.probability, 1.0), "{first:?}");
    assert_eq!(here.alike_here().count(), 1);
    assert!(here.next_tests.is_empty());
    // What they are held against is outside the group: nothing of it explains the reading.
    assert!(foretold(of(&here, LINE), Id::FullManifold).favour > 5.0);
    let known = Groups::from_ids(&model, &[vec![LOW.to_owned(), LINE.to_owned()]]);
    assert_eq!(known.of[low], known.of[line]);
    assert_eq!(known.members.len(), 3);
    let anywhere = ask(&model, &known, &readings);
    assert!(!anywhere.groups[0].here && near(anywhere.groups[0].probability, 1.0));
    assert_eq!(anywhere.alike_here().count(), 0);
    let names = [LINE, LOW].map(|id| fault(id).name());
    assert!(names.iter().all(|n| anywhere.groups[0].name.contains(n)));
}

/// Where all that is listed says the same, it is held against the likeliest outside it, though that is not listed itself;
/// a cause without weight is nobody's rival.
#[test]
fn what_is_listed_is_held_against_the_likeliest_outside() {
    let mut model = model(&[LOW, LINE, EMPTY, "oily_residue"], PLAIN);
    let low_manifold = [(Id::FullManifold, inwc_to_pa(8.0))];
    cause(&mut model, "healthy", &[]);
    for id in [LOW, LINE, EMPTY] {
        cause(&mut model, id, &low_manifold);
    }
    let group = [LOW, LINE, EMPTY].map(str::to_owned).to_vec();
    let a = ask(
        &model,
        &Groups::from_ids(&model, &[group]),
        &read(&low_manifold),
    );
    assert_eq!(a.causes.len(), 3);
    for c in &a.causes {
        assert!(foretold(c, Id::FullManifold).favour > 5.0, "{}", c.id);
    }
}

/// Of many causes as likely as each other twelve are listed, and as many groups as hold 95 parts of 100; of few likely ones
/// those over a hundredth, but three at least.
#[test]
fn lists_end_where_the_belief_does() {
    let ids: Vec<&str> = Fault::all()
        .filter(|f| f.side().is_none() && !f.strikes_a_side())
        .map(Fault::id)
        .take(19)
        .collect();
    let mut model = model(&ids, PLAIN);
    stretch(&mut model);
    kernel(&mut model, 0, 0.0, &[]);
    for c in 1..model.causes.len() {
        kernel(&mut model, c, 0.5, &[]);
    }
    let mut readings = Readings {
        priors: model.causes.iter().map(|c| (*c, 1.0)).collect(),
        ..Readings::default()
    };
    let a = ask(&model, &Groups::apart(&model), &readings);
    assert_eq!(a.causes.len(), 12);
    // The sample of those that are looked at closer is joined, which leaves the others: whatever they are, they hold it.
    let held: f64 = a.groups.iter().map(|g| g.probability).sum();
    assert!(held >= 0.95, "{held}");
    let last = a.groups.last().map_or(0.0, |g| g.probability);
    assert!(
        a.groups.len() <= 12 || held - last < 0.95,
        "{} {held}",
        a.groups.len()
    );
    readings.priors = model
        .causes
        .iter()
        .enumerate()
        .map(|(c, f)| (*f, if c == 4 { 1.0 } else { 1e-4 }))
        .collect();
    let a = ask(&model, &Groups::apart(&model), &readings);
    assert_eq!(a.causes.len(), 3);
    assert_eq!(a.groups.len(), 12);
    readings.priors[5].1 = 0.5;
    readings.priors[6].1 = 0.5;
    readings.priors[7].1 = 0.03;
    let a = ask(&model, &Groups::apart(&model), &readings);
    assert_eq!(a.causes.len(), 4);
}

/// Faults that show in less than a tenth of their severities hide; a tenth is enough to be seen.
#[test]
fn what_hardly_shows_is_called_hidden() {
    let mut model = four();
    let at = super::made::place(&model, EMPTY);
    let line = super::made::place(&model, LINE);
    (model.shown[at], model.shown[line]) = (0.099, 0.1);
    let a = ask(&model, &Groups::apart(&model), &Readings::default());
    assert_eq!(a.hidden, [EMPTY]);
}

/// The tests that show what is dangerous, as a right rig has them.
const PROVED: [(Id, f64); 3] = [
    (Id::HalfOutlet, 11.0 * PA_PER_INWC),
    (Id::RestMinute, 11.0 * PA_PER_INWC),
    (Id::LeakChange, 0.0),
];

/// Nothing is said to want mending only where that nothing is wrong is likelier than all else together, and no number has to be
/// watched or fails: else the next test is made first, or what fails is looked into.
#[test]
fn nothing_to_mend_is_said_of_what_is_more_likely_than_not() {
    let model = four();
    let groups = Groups::apart(&model);
    let of_full = |inches: f64, weight: f64| {
        let mut readings = read(&[&PROVED[..], &[(Id::FullOutlet, inwc_to_pa(inches))]].concat());
        readings.priors = vec![(None, weight)];
        let healthy = of(&ask(&model, &groups, &readings), "healthy").clone();
        assert!(!healthy.readings.iter().any(Prediction::is_unexplained));
        (healthy.probability > 0.5, healthy.action)
    };
    assert_eq!(of_full(11.0, 1e3), (true, Advice::Nothing));
    assert_eq!(of_full(11.0, 1e-3), (false, Advice::Watch));
    let at_rest = |minute: f64| {
        let mut readings = read(&[(Id::RestMinute, inwc_to_pa(minute))]);
        readings.priors = vec![(None, 1e6)];
        let a = ask(&model, &groups, &readings);
        let healthy = of(&a, "healthy");
        let explained = !healthy.readings.iter().any(Prediction::is_unexplained);
        (
            a.watched.len(),
            a.fails.len(),
            explained.then_some(healthy.action),
        )
    };
    // Whether or not a healthy rig explains it.
    let (watched, fails, action) = at_rest(13.5);
    assert_eq!((watched, fails), (1, 0));
    assert!(action.is_none_or(|a| a == Advice::Watch), "{action:?}");
    let (watched, fails, action) = at_rest(14.1);
    assert_eq!((watched, fails), (0, 1));
    assert!(action.is_none_or(|a| a == Advice::LookInto), "{action:?}");
}

/// What is done about a healthy rig: nothing; where something on it is unexplained, find out; where it is dangerous, leave
/// it shut. Of a fault what its page says, whatever the danger. A cause that is none has no severity and its own caution.
#[test]
fn what_to_do_follows_what_was_read() {
    let model = four();
    let groups = Groups::apart(&model);
    let action = |readings: &Readings| of(&ask(&model, &groups, readings), "healthy").action;
    let full = (Id::FullOutlet, inwc_to_pa(11.0));
    assert_eq!(
        action(&read(&[&PROVED[..], &[full]].concat())),
        Advice::Nothing
    );
    // Not before flow pressure, lock-up and leak check are read, each of them.
    for left_out in 0..PROVED.len() {
        let mut some = PROVED.to_vec();
        some[left_out] = full;
        assert_eq!(action(&read(&some)), Advice::Watch, "{left_out}");
    }
    assert_eq!(
        action(&read(&[(Id::LeakChange, inwc_to_pa(3.0))])),
        Advice::LookInto
    );
    let bubbles = read(&[(Id::FluidPigtail, 2.0)]);
    assert_eq!(action(&bubbles), Advice::LeaveShut);
    let a = ask(&model, &groups, &bubbles);
    assert_eq!((a.danger, a.refer.len()), (Danger::NoFlame, 1));
    assert_eq!(of(&a, EMPTY).action, Advice::Mend);
    let healthy = of(&a, "healthy");
    assert_eq!(
        (
            healthy.faults.len(),
            healthy.severity,
            healthy.meaning.as_str()
        ),
        (0, None, "")
    );
    assert_eq!(
        (healthy.name.as_str(), healthy.told_apart),
        ("nothing wrong", "")
    );
    // Beside a stop nobody thinks of the next season.
    assert!(healthy.caution.contains("nothing is lit"));
    let right = ask(
        &model,
        &groups,
        &read(&[(Id::FullOutlet, inwc_to_pa(11.0))]),
    );
    let caution = of(&right, "healthy").caution;
    assert!(caution.contains("each camping season"));
    assert_eq!(healthy.worth(System::Us), "");
    let dead = ask(&model, &groups, &read(&[(Id::Container, 0.0)]));
    assert_eq!(dead.no_gas, Some(NoGas::Container));
}

/// The whole fixed sequence by its table, the climb left out: 111 minutes.
#[test]
fn the_fixed_sequence_takes_what_its_tests_take() {
    assert_eq!(fixed_minutes(), 111.0);
}
