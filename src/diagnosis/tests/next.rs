//! Which test comes next, on models so small that the answer is known: entropy by hand, what is on offer, and the test that
//! parts what the readings left.

use super::made::{PLAIN, cause, model, near, visit};
use crate::diagnosis::inference::evidence::Evidence;
use crate::diagnosis::inference::isolate::{Groups, linked};
use crate::diagnosis::inference::model::Model;
use crate::diagnosis::inference::next::{NextTest, Offer, entropy, rank};
use crate::diagnosis::inference::posterior::posterior;
use crate::diagnosis::inference::safety::Danger;
use crate::diagnosis::library::standard::standard_rig;
use crate::units::inwc_to_pa;
use crate::visit::{AT_HAND, Bag, ITEMS, Id, Test, Tool, Values};

const LOW: &str = "second_screw_low";
const LINE: &str = "line_crushed";

/// One of four alike is two bits, three to one 0.8113 (textbook); what has no weight counts for nothing.
#[test]
fn entropy_is_in_bits() {
    assert!(near(entropy(&[1.0; 4]), 2.0) && near(entropy(&[5.0, 5.0]), 1.0));
    assert!(
        near(entropy(&[1.0, 3.0]), 0.811_278_124) && near(entropy(&[3.0, 0.0, 1.0]), 0.811_278_124)
    );
    assert_eq!(
        (entropy(&[7.0]), entropy(&[0.0, 0.0]), entropy(&[])),
        (0.0, 0.0, 0.0)
    );
}

/// By what is safe: all but the thermometer; without a flame what needs none; shut off what needs no gas.
#[test]
fn what_is_safe_is_on_offer() {
    let all: Vec<Test> = Test::ALL.into_iter().filter(|t| *t != Test::Air).collect();
    assert_eq!(Offer::safe(Danger::None).tests().collect::<Vec<_>>(), all);
    let shut = [Test::Fill, Test::LeakCheck, Test::NewPiping];
    assert_eq!(
        Offer::safe(Danger::ShutOff).tests().collect::<Vec<_>>(),
        shut
    );
    let unlit = [
        Test::Container,
        Test::Fill,
        Test::LeakCheck,
        Test::LockUp,
        Test::Creep,
        Test::FirstStage,
        Test::Vent,
        Test::Joints,
        Test::NewPiping,
    ];
    let mut offer = Offer::safe(Danger::NoFlame);
    assert_eq!(offer.tests().collect::<Vec<_>>(), unlit);
    assert_eq!(offer.first(), Some(Test::Container));
    assert_eq!(offer.minutes(Test::Joints), 6.0);
    assert_eq!(
        offer.items(Test::Container),
        [Id::Container, Id::SecondContainer].map(Id::index)
    );
    // What is not on offer gives nothing and takes no time.
    assert_eq!(
        (offer.minutes(Test::Flush), offer.items(Test::Flush).len()),
        (0.0, 0)
    );
    offer.retain(|t| t == Test::Vent || t == Test::Creep);
    assert_eq!(offer.tests().collect::<Vec<_>>(), [Test::Creep, Test::Vent]);
}

/// By the tools of a bag: a test wants the tool that is taken in hand for it, the pump for new piping, and a twin set for
/// the reserve side; it gives what the other tools in the bag read and takes their minutes.
#[test]
fn what_the_bag_can_do_is_on_offer() {
    let mut rig = standard_rig().rig;
    let full: Vec<Test> = Offer::with(&Bag::full(), &rig).tests().collect();
    assert!(
        full.contains(&Test::NewPiping)
            && !full.contains(&Test::Air)
            && !full.contains(&Test::Reserve)
    );
    for test in AT_HAND {
        assert_eq!(
            full.contains(&test),
            test != Test::Air && test != Test::Reserve,
            "{test:?}"
        );
    }
    let bare = Bag::new([]);
    let by_eye: Vec<Test> = Offer::with(&bare, &rig).tests().collect();
    assert!(by_eye.contains(&Test::Look) && !by_eye.contains(&Test::NewPiping));
    assert!(!by_eye.contains(&Test::FlowPressure) && !by_eye.contains(&Test::Vent));
    let with_fluid = Offer::with(&Bag::new([(Tool::LeakFluid, 2.5)]), &rig);
    assert!(with_fluid.tests().any(|t| t == Test::Vent));
    let runs = Test::Vent.minutes_with(&bare) - Test::Vent.hand_minutes(&bare);
    assert!(near(with_fluid.minutes(Test::Vent), runs + 2.5));
    assert_eq!(with_fluid.items(Test::Vent).len(), 4);
    let one = rig.containers[0];
    rig = crate::rig::Rig::standard(vec![one; 2], rig.appliances.clone());
    assert!(Offer::with(&bare, &rig).tests().any(|t| t == Test::Reserve));
}

/// Two causes that read alike but for the outlet at full load, far apart there, and a third that only a leak check shows.
fn apart() -> (Model, usize, usize) {
    let mut model = model(&[LOW, LINE], PLAIN);
    cause(&mut model, "healthy", &[]);
    let low = cause(&mut model, LOW, &[(Id::FullOutlet, inwc_to_pa(8.0))]);
    let line = cause(&mut model, LINE, &[(Id::FullOutlet, inwc_to_pa(14.0))]);
    (model, low, line)
}

fn ranked(
    model: &Model,
    groups: &Groups,
    values: &Values,
    weights: &[(usize, f64)],
) -> Vec<NextTest> {
    let mut prior = vec![0.0; model.causes.len()];
    weights.iter().for_each(|&(c, w)| prior[c] = w);
    let evidence = Evidence::new(values, &[None; ITEMS], 0.0);
    let p = posterior(model, &evidence, &prior);
    rank(
        model,
        groups,
        values,
        &evidence,
        &p,
        &Offer::safe(Danger::None),
    )
}

/// Where two causes are as likely, the one test that parts them is worth a bit, with three to one 0.81; nothing else is
/// worth anything. Once it is made it is not offered again.
#[test]
fn the_test_that_parts_them_comes_next() {
    let (model, low, line) = apart();
    let groups = Groups::apart(&model);
    let unread = [None; ITEMS];
    for (odds, bits) in [(1.0, 1.0), (3.0, 0.811_278)] {
        let next = ranked(&model, &groups, &unread, &[(low, odds), (line, 1.0)]);
        let [only] = &next[..] else {
            panic!("{next:?}");
        };
        assert_eq!((only.test, only.minutes), (Test::FullLoad, 3.0));
        assert_eq!(
            (only.words, only.caution),
            (Test::FullLoad.words(), Test::FullLoad.caution())
        );
        assert!((only.bits - bits).abs() < 1e-3, "{}", only.bits);
        let mut names = [low, line].map(|c| groups.names[groups.of[c]].clone());
        let mut parts = only.parts.clone().expect("it parts two");
        names.sort();
        parts.sort();
        assert_eq!(parts, names);
    }
    // A certain cause leaves nothing to be told, and so does a test that was made.
    assert!(ranked(&model, &groups, &unread, &[(low, 1.0)]).is_empty());
    let mut read = unread;
    read[Id::FullOutlet.index()] = visit(&[])[Id::FullOutlet.index()];
    assert!(ranked(&model, &groups, &read, &[(low, 1.0), (line, 1.0)]).is_empty());
    // Causes of one group need not be told apart.
    let together = Groups::from_members(&model, vec![vec![0], vec![low, line]]);
    assert!(ranked(&model, &together, &unread, &[(low, 1.0), (line, 1.0)]).is_empty());
}

/// Of two tests that tell the same the quicker one comes first; the two it names are those it moves apart most.
#[test]
fn bits_a_minute_put_them_in_order() {
    let mut model = model(&[LOW, LINE], PLAIN);
    // A leak check (8 minutes) parts the healthy rig from both, full load (3) and a look (1) one fault from the rest.
    cause(&mut model, "healthy", &[(Id::LeakChange, inwc_to_pa(-4.0))]);
    let low = cause(&mut model, LOW, &[]);
    let line = cause(
        &mut model,
        LINE,
        &[(Id::FullOutlet, inwc_to_pa(14.0)), (Id::Hose, 1.0)],
    );
    let groups = Groups::apart(&model);
    let all = [(0, 1.0), (low, 1.0), (line, 1.0)];
    let next = ranked(&model, &groups, &[None; ITEMS], &all);
    let tests: Vec<Test> = next.iter().map(|n| n.test).collect();
    assert_eq!(tests, [Test::Look, Test::FullLoad, Test::LeakCheck]);
    // One of three parted from two: log2 3 - 2/3 bits.
    let bits = 3.0_f64.log2() - 2.0 / 3.0;
    assert!(next.iter().all(|n| n.bits < bits + 1e-3));
    assert!(
        (next[1].bits - bits).abs() < 1e-3 && (next[2].bits - bits).abs() < 1e-3,
        "{next:?}"
    );
    let name = |c: usize| groups.names[groups.of[c]].clone();
    let parts = next[2].parts.clone().expect("two");
    assert!(parts.contains(&name(0)), "{parts:?}");
    let parts = next[1].parts.clone().expect("two");
    assert!(parts.contains(&name(line)), "{parts:?}");
}

/// Complete linkage by hand: 0 and 1 at 0.5, 1 and 2 at 0.55, 0 and 2 at 0.9 make two groups under 0.66, for 2 would be with
/// 0; where all three are near they are one; at the limit itself they are apart.
#[test]
fn groups_are_linked_only_where_every_two_are_near() {
    let of = |ab: f64, bc: f64, ac: f64| {
        linked(3, 0.66, &move |i, j| match i + j {
            1 => ab,
            3 => bc,
            _ => ac,
        })
    };
    assert_eq!(of(0.5, 0.55, 0.9), [vec![0, 1], vec![2]]);
    assert_eq!(of(0.55, 0.5, 0.9), [vec![0], vec![1, 2]]);
    assert_eq!(of(0.5, 0.55, 0.6), [vec![0, 1, 2]]);
    assert_eq!(of(0.66, 0.7, 0.9), [vec![0], vec![1], vec![2]]);
}
