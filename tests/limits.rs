//! What decides about safety, held at both sides of every limit: a limit, a threshold of sight or a rule that moves
//! fails here. The numbers are the trade's, written down a second time on purpose; their sources stand beside the
//! limits themselves.

use std::sync::Arc;
use twostage::diagnosis::inference::safety::{Danger, demand};
use twostage::diagnosis::library::standard::standard_rig;
use twostage::fault::Fault;
use twostage::service::{Bubbles, LIMITS, Limit, TOLERANCE};
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::units::{inwc_to_pa, psi_to_pa};
use twostage::visit::{
    ALL, Against, Bench, Follows, ITEMS, Item, Progress, Test, Values, Verdict, VisitReport,
    prepare, run_all,
};

/// A step that no gauge shows \[Pa\].
const HAIR_PA: f64 = 0.01;

#[test]
fn every_limit_holds_to_its_number_and_not_beyond() {
    let inwc = |low: f64, high: f64| (inwc_to_pa(low), inwc_to_pa(high));
    let psi = |low: f64, high: f64| (psi_to_pa(low), psi_to_pa(high));
    let none = f64::NEG_INFINITY;
    let all: [(&Limit, (f64, f64)); 19] = [
        (&LIMITS.flow, inwc(10.5, 11.5)),
        (&LIMITS.fall, (none, inwc_to_pa(0.5))),
        (&LIMITS.fall_caution, (none, inwc_to_pa(1.0))),
        (&LIMITS.lock_up, inwc(0.0, 13.2)),
        (&LIMITS.lock_up_caution, inwc(0.0, 14.0)),
        (&LIMITS.rise, inwc(0.0, 1.5)),
        (&LIMITS.creep, (none, inwc_to_pa(0.15))),
        (&LIMITS.under_load, inwc(9.5, 14.0)),
        (&LIMITS.pipe_drop, (none, inwc_to_pa(0.5))),
        (&LIMITS.pipe_drop_caution, (none, inwc_to_pa(1.0))),
        (&LIMITS.band, inwc(-0.3, 0.3)),
        (&LIMITS.leak, inwc(-0.1, 0.1)),
        (&LIMITS.leak_start, inwc(8.5, 9.5)),
        (&LIMITS.first, psi(2.0, 13.0)),
        (&LIMITS.first_rest, psi(2.0, 13.0)),
        (&LIMITS.first_danger, (none, psi_to_pa(25.0))),
        (&LIMITS.relief, psi(0.0, 2.0)),
        (&LIMITS.far_over, (none, inwc_to_pa(18.0))),
        (&LIMITS.new_piping, psi(-0.1, 0.1)),
    ];
    for (limit, (low, high)) in all {
        assert!(
            limit.holds(high - HAIR_PA),
            "{} just under {high}",
            limit.what
        );
        assert!(
            !limit.holds(high + HAIR_PA),
            "{} just over {high}",
            limit.what
        );
        if low > none {
            assert!(limit.holds(low + HAIR_PA), "{} just over {low}", limit.what);
            assert!(
                !limit.holds(low - HAIR_PA),
                "{} just under {low}",
                limit.what
            );
        } else {
            assert!(limit.holds(-1e6), "{} has no lower end", limit.what);
        }
    }
}

#[test]
fn leak_fluid_answers_at_its_thresholds() {
    let at = |ml_per_s: f64| Bubbles::of_flow(1e-6 * ml_per_s);
    for (below, above, under, over) in [
        (0.0099, 0.0101, Bubbles::None, Bubbles::Slow),
        (0.499, 0.501, Bubbles::Slow, Bubbles::Steady),
        (49.9, 50.1, Bubbles::Steady, Bubbles::BlownOff),
    ] {
        assert_eq!(at(below), under, "{below} mL/s");
        assert_eq!(at(above), over, "{above} mL/s");
    }
    assert_eq!(at(-1.0), Bubbles::None, "air drawn in shows nothing");
}

fn read(table: &str, key: &str, value: f64) -> Values {
    let mut values = [None; ITEMS];
    values[Item::find(table, key).expect("an item")] = Some(value);
    values
}

/// Each rule of safety just under and just over its limit.
#[test]
fn every_rule_of_safety_speaks_just_over_its_limit_only() {
    let inwc = |v: f64| inwc_to_pa(v);
    let psi = |v: f64| psi_to_pa(v);
    // What the gauge shows decides, as on the bench: it may err to either side.
    for (table, key, below, above, under, over) in [
        (
            "lock_up",
            "after_minute",
            inwc(13.99),
            inwc(14.01),
            Danger::None,
            Danger::NoFlame,
        ),
        (
            "half_load",
            "outlet",
            inwc(13.99),
            inwc(14.01),
            Danger::None,
            Danger::NoFlame,
        ),
        (
            "lock_up",
            "after_creep",
            inwc(17.9),
            inwc(18.1),
            Danger::NoFlame,
            Danger::ShutOff,
        ),
        (
            "lock_up",
            "at_once",
            psi(1.99),
            psi(2.01),
            Danger::ShutOff,
            Danger::ShutOff,
        ),
        (
            "first_stage",
            "at_rest",
            psi(24.9),
            psi(25.1),
            Danger::None,
            Danger::NoFlame,
        ),
        (
            "first_stage",
            "after_creep",
            psi(24.9),
            psi(25.1),
            Danger::None,
            Danger::NoFlame,
        ),
        (
            "first_stage",
            "half_load",
            psi(24.9),
            psi(25.1),
            Danger::None,
            Danger::NoFlame,
        ),
        (
            "first_stage",
            "full_load",
            psi(24.9),
            psi(25.1),
            Danger::None,
            Danger::NoFlame,
        ),
        // Two uncertainties of a change (0.07).
        (
            "leak_check",
            "change",
            -inwc(0.139),
            -inwc(0.141),
            Danger::None,
            Danger::NoFlame,
        ),
    ] {
        for (value, wanted) in [(below, under), (above, over)] {
            let (danger, why) = demand(&read(table, key, value));
            assert_eq!(danger, wanted, "{table}.{key} at {value} Pa: {why:?}");
            assert_eq!(why.is_empty(), danger == Danger::None, "{why:?}");
        }
    }
    let over_relief = demand(&read("lock_up", "at_once", psi(2.01))).1;
    let under_relief = demand(&read("lock_up", "at_once", psi(1.99))).1;
    assert_ne!(
        over_relief, under_relief,
        "over 2 psig has words of its own"
    );
}

#[test]
fn gas_that_is_seen_or_heard_stops_what_would_light_it() {
    for item in ALL
        .iter()
        .filter(|i| i.table == "vent" || i.table == "leak_fluid")
    {
        if item.key.starts_with("second_")
            || item.key.starts_with("first_")
            || item.table == "leak_fluid"
        {
            let level = |word: f64| demand(&read(item.table, item.key, word)).0;
            assert_eq!(level(0.0), Danger::None, "{}", item.words);
            assert_eq!(
                level(1.0),
                Danger::NoFlame,
                "{}: a bubble now and then",
                item.words
            );
            assert_eq!(level(2.0), Danger::NoFlame, "{}: steady", item.words);
            assert_eq!(level(3.0), Danger::ShutOff, "{}: blown away", item.words);
        }
    }
    for key in ["flowing", "at_rest"] {
        let level = |word: f64| demand(&read("heard", key, word)).0;
        assert_eq!(level(0.0), Danger::None);
        assert_eq!(level(1.0), Danger::NoFlame, "a hiss");
        assert_eq!(level(2.0), Danger::ShutOff, "a roar");
        assert_eq!(level(3.0), Danger::None, "a hum is no gas");
    }
    // What may still be done.
    for test in [Test::Air, Test::Fill, Test::LeakCheck] {
        assert!(Danger::ShutOff.allows(test));
    }
    for test in [
        Test::Container,
        Test::Vent,
        Test::Joints,
        Test::LockUp,
        Test::Creep,
        Test::FirstStage,
    ] {
        assert!(
            Danger::NoFlame.allows(test) && !Danger::ShutOff.allows(test),
            "{test:?}"
        );
    }
    for test in [
        Test::FlowPressure,
        Test::FullLoad,
        Test::Along,
        Test::LongDraw,
        Test::Flush,
        Test::Look,
    ] {
        assert!(
            Danger::None.allows(test) && !Danger::NoFlame.allows(test),
            "{test:?}"
        );
    }
}

/// The number of a limit is still right: what the trade says of "over" begins behind it.
#[test]
fn the_number_itself_is_not_over() {
    for limit in [&LIMITS.relief, &LIMITS.far_over, &LIMITS.first_danger] {
        assert!(limit.holds(limit.high) && !limit.is_passed_by(limit.high));
        assert!(limit.is_passed_by(limit.high + HAIR_PA));
    }
    let of = |table: &str, key: &str, pa: f64| demand(&read(table, key, pa));
    let lock_up = |pa: f64| of("lock_up", "at_once", pa).1;
    let (far, far_more) = (lock_up(inwc_to_pa(18.0)), lock_up(inwc_to_pa(18.01)));
    let (most, more) = (lock_up(psi_to_pa(2.0)), lock_up(psi_to_pa(2.0) + HAIR_PA));
    assert_eq!(far_more, most, "far over");
    assert_ne!(far, far_more, "18 in w.c. is only over");
    assert_ne!(most, more, "2 psig is what the relief should hold");
    let first = |pa: f64| of("first_stage", "at_rest", pa).0;
    assert_eq!(first(psi_to_pa(25.0)), Danger::None);
    assert_eq!(first(psi_to_pa(25.0) + HAIR_PA), Danger::NoFlame);
    // Two uncertainties of a change, 0.07 in w.c. each.
    let twice = -2.0 * inwc_to_pa(0.07);
    assert_eq!(of("leak_check", "change", twice).0, Danger::None);
    assert_eq!(
        of("leak_check", "change", twice - HAIR_PA).0,
        Danger::NoFlame
    );
    // A rise is no loss, and a word of another list is no bubble.
    assert_eq!(
        of("leak_check", "change", inwc_to_pa(0.2)),
        (Danger::None, vec![])
    );
    let flames = of("seen", "flames", 3.0);
    assert_eq!(flames, (Danger::None, vec![]));
}

/// A burner a twentieth over its plate is looked into, a tenth over it is kept off (common practice); nothing else of the rig is
/// shut for it.
#[test]
fn a_burner_over_its_plate_is_kept_off() {
    assert!(LIMITS.over_plate.holds(0.05) && !LIMITS.over_plate.holds(0.0501));
    assert!(LIMITS.over_plate_caution.holds(0.1) && !LIMITS.over_plate_caution.holds(0.1001));
    let visit = |severity: f64| {
        let fault = Fault::named("spud_oversize").expect("in the catalogue");
        let rig = Arc::new(prepare(&standard_rig(), &[(fault, severity)]));
        let mut sim = Simulation::start(rig, Method::Stiff, TOLERANCE).expect("starts");
        let mut listener = |_: &Progress| true;
        run_all(&mut Bench::new(&mut sim, &mut listener)).expect("a visit")
    };
    let plate = |report: &VisitReport| {
        let tests = report.tests.iter().flat_map(|t| &t.judged);
        let of_plate = tests.filter(|j| matches!(j.against, Against::Plate(_)));
        of_plate.map(|j| j.verdict).max().expect("judged")
    };
    let sound = visit(0.0);
    assert_eq!(
        (plate(&sound), sound.verdict),
        (Verdict::Pass, Verdict::Pass)
    );
    let over = visit(0.3);
    assert_eq!(plate(&over), Verdict::Fail);
    assert_eq!(over.follows(), Follows::ApplianceOff);
}

/// A container filled to 89 % fails the visit, though every pressure is right (code: 80 %, and what a gauge leaves open).
#[test]
fn an_overfilled_container_fails_the_visit() {
    let mut base = standard_rig();
    base.charges[0].fill = 0.89;
    let mut sim =
        Simulation::start(Arc::new(prepare(&base, &[])), Method::Stiff, TOLERANCE).expect("starts");
    let mut listener = |_: &Progress| true;
    let report = run_all(&mut Bench::new(&mut sim, &mut listener)).expect("a visit");
    assert_eq!(
        report.test(Test::Fill).expect("made").verdict,
        Verdict::Fail
    );
    assert_eq!(report.follows(), Follows::ShutOff);
}

/// What may be in a container is a weight: 80 % on a cold day is too much, 83 % of liquid at 60 °F and 88 at 100 °F are not
/// (memory: NFPA 58, 42 % of the water capacity, 80 % of the volume at 40 °F).
#[test]
fn a_fill_is_judged_by_what_it_weighs() {
    for (air_f, fill, verdict) in [
        (0.0, 0.80, Verdict::Fail),
        (0.0, 0.775, Verdict::Caution),
        (20.0, 0.80, Verdict::Caution),
        (0.0, 0.75, Verdict::Pass),
        (60.0, 0.824, Verdict::Pass),
        (100.0, 0.88, Verdict::Pass),
        (100.0, 0.93, Verdict::Fail),
    ] {
        let mut base = standard_rig();
        base.site.air_k = twostage::rig::Ramp::fixed((air_f + 459.67) / 1.8);
        base.charges[0].fill = fill;
        base.charges[0].temperature_k = (air_f + 459.67) / 1.8;
        let mut sim = Simulation::start(Arc::new(prepare(&base, &[])), Method::Stiff, TOLERANCE)
            .expect("starts");
        let mut listener = |_: &Progress| true;
        let test = twostage::visit::run(&mut Bench::new(&mut sim, &mut listener), Test::Fill)
            .expect("runs");
        assert_eq!(test.verdict, verdict, "{air_f} °F, {fill}");
    }
}
