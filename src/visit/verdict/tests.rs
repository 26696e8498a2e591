//! Verdicts against the numbers of the trade, given here a second time.

use super::*;
use crate::units::{inwc_to_pa, psi_to_pa};
use Verdict::{Caution, Fail, Pass};

/// A step that no gauge shows \[Pa\].
const HAIR_PA: f64 = 0.01;
const NONE: f64 = f64::NEG_INFINITY;
/// A test and its figures, the lowest and the highest number, the highest that is still allowed, what lies beyond.
type Row = (Test, &'static [Measure], f64, f64, f64, Verdict);

/// Every number of the trade at both its ends, and a hair beyond them (common practice and codes, as the limits have them;
/// here a second time).
#[test]
fn every_figure_is_held_against_the_number_of_its_kind() {
    use Id::{
        AboveOutlet, AboveTapped, ClimbRest, FirstCreep, FirstFull, FirstHalf, FirstRest,
        FlushFirst, FlushOutlet, FullOutlet, HalfOutlet, LeakChange, LongOutlet, PilotsOutlet,
        PipingDrop, RestCreep, RestMinute, WarmFull, WarmRest,
    };
    use Measure::{
        Band, Climb, Correction, End, Fall, FirstAtRest, FirstClimb, FirstFlowing, FirstPeak,
        FromBelow, InletAtRest, InletFall, InletFlowing, Load, LockUp, Peak, PipeDrop, Read, Rise,
        Start, Warmed,
    };
    let inches: [Row; 12] = [
        (
            Test::FlowPressure,
            &[Read(HalfOutlet), FromBelow],
            10.5,
            11.5,
            11.5,
            Fail,
        ),
        (
            Test::FullLoad,
            &[
                Read(FullOutlet),
                Read(LongOutlet),
                Read(WarmFull),
                Read(AboveOutlet),
                Read(AboveTapped),
                Read(PilotsOutlet),
            ],
            9.5,
            14.0,
            14.0,
            Fail,
        ),
        (Test::FullLoad, &[Fall, PipeDrop], NONE, 0.5, 1.0, Fail),
        (Test::LoadUpDown, &[Band], -0.3, 0.3, 0.3, Caution),
        (
            Test::LockUp,
            &[
                LockUp,
                Read(RestMinute),
                Read(RestCreep),
                Read(FlushOutlet),
                Read(WarmRest),
                Read(ClimbRest),
            ],
            10.5,
            13.2,
            14.0,
            Fail,
        ),
        // One number has one verdict, whichever test reads it: what stands at 13.5 has not crept, what climbs fails by its climb.
        (
            Test::Creep,
            &[Read(RestCreep), LockUp],
            10.5,
            13.2,
            14.0,
            Fail,
        ),
        (Test::LockUp, &[Rise], 0.0, 1.5, 1.5, Caution),
        (Test::Creep, &[Climb], NONE, 0.15, 0.15, Fail),
        (Test::LeakCheck, &[Read(LeakChange)], -0.1, 0.1, 0.1, Fail),
        (Test::LeakCheck, &[Start], 8.5, 9.5, 9.5, Fail),
        (
            Test::FirstStage,
            &[
                Read(FirstRest),
                Read(FirstCreep),
                Read(FlushFirst),
                FirstAtRest,
            ],
            2.0,
            13.0,
            13.0,
            Fail,
        ),
        (Test::FirstStage, &[InletFall], NONE, 10.0, 10.0, Caution),
    ];
    // A first stage that gives little while gas flows is watched before it fails, and only over its own end no more.
    for measure in [Read(FirstHalf), Read(FirstFull), FirstFlowing] {
        let of = |psi: f64, hair: f64| {
            let told = number(Test::FirstStage, measure, psi_to_pa(psi) + hair);
            told.expect("a number of the trade").1
        };
        let weak = 7.0;
        assert_eq!((of(2.0, -HAIR_PA), of(2.0, 0.0)), (Fail, Caution));
        assert_eq!((of(weak, -HAIR_PA), of(weak, 0.0)), (Caution, Pass));
        assert_eq!((of(13.0, 0.0), of(13.0, HAIR_PA)), (Pass, Fail));
    }
    let piping: Row = (Test::NewPiping, &[Read(PipingDrop)], -0.1, 0.1, 0.1, Fail);
    for (test, measures, low, high, allowed, beyond) in inches.into_iter().chain([piping]) {
        let in_psi = matches!(test, Test::FirstStage | Test::NewPiping);
        let pa = |v: f64| if in_psi { psi_to_pa(v) } else { inwc_to_pa(v) };
        for &measure in measures {
            let of = |pa: f64| number(test, measure, pa).expect("a number of the trade").1;
            let (low_pa, high_pa, allowed_pa) = (pa(low), pa(high), pa(allowed));
            let what = format!("{test:?} {measure:?}");
            assert_eq!(of(high_pa), Pass, "{what}");
            assert_eq!(of(allowed_pa + HAIR_PA), beyond, "{what}");
            if allowed > high {
                assert_eq!(
                    (of(high_pa + HAIR_PA), of(allowed_pa)),
                    (Caution, Caution),
                    "{what}"
                );
            }
            if low == NONE {
                assert_eq!(of(-1e6), Pass, "{what}");
            } else {
                assert_eq!((of(low_pa), of(low_pa - HAIR_PA)), (Pass, beyond), "{what}");
            }
            // The limit told is the one that is broken, the tighter one where it is kept or watched.
            let told = |pa: f64| number(test, measure, pa).expect("a number").0.high;
            assert_eq!(told(high_pa), high_pa, "{what}");
            assert_eq!(told(allowed_pa + HAIR_PA), allowed_pa, "{what}");
        }
    }
    for measure in [
        Correction,
        End,
        FirstClimb,
        FirstPeak,
        InletAtRest,
        InletFlowing,
        Load,
        Peak,
        Warmed,
    ] {
        assert!(number(Test::LockUp, measure, 1e9).is_none(), "{measure:?}");
    }
    assert!(number(Test::Creep, Start, 1e9).is_none());
    // A container is no fuller than 80 % at 40 °F, and more than 83 leaves no room on the hottest day (derived).
    for (fill, verdict) in [
        (0.80, Pass),
        (0.801, Caution),
        (0.83, Caution),
        (0.831, Fail),
    ] {
        for item in [Id::Fill, Id::SecondFill] {
            let told = number(Test::Fill, Read(item), fill).expect("a number of the code");
            assert_eq!((told.1, told.0.high), (verdict, 0.80), "{fill}");
        }
    }
    // What is as good as empty does not pass unsaid (common practice).
    for (fill, verdict) in [(0.05, Pass), (0.049, Caution), (0.0, Caution)] {
        let told = number(Test::Fill, Read(Id::Fill), fill).expect("a number of practice");
        assert_eq!(told.1, verdict, "{fill}");
    }
    assert!(number(Test::Container, Read(Id::Container), 1e9).is_none());
}

/// Every word of every list: gas and flames that are not as they should be fail, a hum, an empty service side and what one
/// appliance does are looked into, frost and what a gauge reads are no words of a verdict.
#[test]
fn every_word_means_what_it_means() {
    for item in Id::all() {
        let Some(words) = item.item().choices() else {
            assert_eq!(word(item, 1.0), None, "{item:?}");
            continue;
        };
        for (k, name) in words.iter().enumerate() {
            let wanted = match (item, *name) {
                (Id::FrostBody | Id::FrostContainer, _) => None,
                (_, "hum" | "partly red" | "red") => {
                    Some(if item == Id::Indicator || *name == "hum" {
                        Caution
                    } else {
                        Fail
                    })
                }
                (Id::OddOne | Id::Hose | Id::Valve | Id::Lighting, _) if k > 0 => Some(Caution),
                (Id::Indicator, _) | (Id::Reserve, "none there" | "takes over") => Some(Pass),
                _ if k == 0 => Some(Pass),
                _ => Some(Fail),
            };
            assert_eq!(word(item, k as f64), wanted, "{item:?} {name}");
        }
    }
}

fn record(of: &[(f64, f64)]) -> Vec<TracePoint> {
    let point = |&(time_s, inches): &(f64, f64)| TracePoint {
        time_s,
        outlet_pa: inwc_to_pa(inches),
        first_stage_pa: 0.0,
        inlet_pa: 0.0,
    };
    of.iter().map(point).collect()
}

/// Two stretches over 14 in w.c., of 0.5 and 2 s: the longest counts, with the highest of them all; 14 itself is not over.
#[test]
fn the_longest_stretch_over_the_limit_counts() {
    let limit = &LIMITS.lock_up_caution;
    let two = record(&[
        (0.0, 13.0),
        (1.0, 15.0),
        (1.5, 17.0),
        (2.0, 14.0),
        (3.0, 14.5),
        (5.0, 14.2),
        (6.0, 12.0),
    ]);
    let (longest_s, highest_pa) = over(&two, limit);
    assert!((longest_s - 2.0).abs() < 1e-12 && (highest_pa - inwc_to_pa(17.0)).abs() < 1e-9);
    assert_eq!(
        over(&record(&[(0.0, 14.0), (9.0, 14.0)]), limit),
        (0.0, 0.0)
    );
    // Over for a second fails the test, for less it is a peak of a moment; air in new piping is at 10 psi anyway.
    let judged = |test, to_s: f64| {
        let trace = record(&[(10.0, 20.0), (10.0 + to_s, 19.0), (12.0, 11.0)]);
        judge(test, &[], &[], false, false, &trace)
    };
    assert!(judged(Test::LockUp, 0.99).is_empty() && judged(Test::NewPiping, 1.5).is_empty());
    let [only] = judged(Test::LockUp, 1.0)[..] else {
        panic!("one thing is wrong");
    };
    assert_eq!((only.against, only.verdict), (Against::Record, Fail));
    assert!((only.value - inwc_to_pa(20.0)).abs() < 1e-9);
    assert_eq!(only.limit, Some(LIMITS.lock_up_caution));
}

/// The worst of all that was held; of what nothing burned in, only that.
#[test]
fn a_verdict_is_the_worst_of_its_test() {
    let figure = |measure, inches: f64| Figure {
        measure,
        value: inwc_to_pa(inches),
    };
    let hum = Figure {
        measure: Measure::Read(Id::SoundRest),
        value: 3.0,
    };
    let figures = [
        figure(Measure::LockUp, 12.0),
        hum,
        figure(Measure::Load, 3.0),
    ];
    let judged = judge(Test::LockUp, &figures, &[], false, false, &[]);
    let against: Vec<Against> = judged.iter().map(|j| j.against).collect();
    assert_eq!(
        against,
        [
            Against::Figure(Measure::LockUp),
            Against::Figure(Measure::Read(Id::SoundRest))
        ]
    );
    assert_eq!(
        (of(&judged), of(&judged[..1]), of(&[])),
        (Caution, Pass, Pass)
    );
    assert_eq!(
        (judged[0].limit, judged[1].limit),
        (Some(LIMITS.lock_up), None)
    );
    let idle = judge(Test::LockUp, &figures, &[2, 3], true, false, &[]);
    assert_eq!(idle.len(), 1);
    assert_eq!(
        (idle[0].against, idle[0].value, of(&idle)),
        (Against::Unlit, 2.0, Fail)
    );
    // What is too low with nothing drawn is too low: 6.3 in w.c. where nothing would burn, and at rest. 12 where nothing
    // burns is no flow pressure, and passes nothing.
    for (inches, count) in [(6.3, 2), (10.49, 2), (10.5, 1), (12.0, 1)] {
        let low = [figure(Measure::Read(Id::HalfOutlet), inches)];
        let judged = judge(Test::FlowPressure, &low, &[0, 1], true, false, &[]);
        assert_eq!(judged.len(), count, "{inches}");
        assert_eq!((judged[0].verdict, of(&judged)), (Fail, Fail));
    }
    let rest = judge(
        Test::LockUp,
        &[figure(Measure::LockUp, 6.2)],
        &[],
        false,
        false,
        &[],
    );
    assert_eq!((rest[0].limit, of(&rest)), (Some(LIMITS.flow), Fail));
    // What holds its limit and climbs on is no lock-up that passes.
    let creeps = |moving| {
        let high = [figure(Measure::LockUp, 12.3)];
        of(&judge(Test::LockUp, &high, &[], false, moving, &[]))
    };
    assert_eq!((creeps(false), creeps(true)), (Pass, Caution));
}

/// What of a visit is read holds its limits only where nothing climbs and nothing falls: a climb of 0.15 in w.c. in five
/// minutes, an inlet that falls by 10 psi from rest (the limits' own, common practice).
#[test]
fn readings_hold_their_limits_only_together() {
    let of = |later: f64, container: f64, inlet: f64| {
        let mut values: Values = [None; crate::visit::ITEMS];
        for (id, pa) in [
            (Id::HalfOutlet, inwc_to_pa(11.1)),
            (Id::RestMinute, inwc_to_pa(12.0)),
            (Id::RestCreep, inwc_to_pa(later)),
            (Id::Container, psi_to_pa(container)),
            (Id::FullInlet, psi_to_pa(inlet)),
        ] {
            values[id.index()] = Some(pa);
        }
        of_readings(&values)
    };
    assert_eq!(of(12.1, 100.0, 95.0), Some(Pass));
    assert_eq!(of(12.6, 100.0, 95.0), Some(Fail));
    assert_eq!(of(12.1, 100.0, 89.0), Some(Caution));
}
