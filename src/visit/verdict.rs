//! What a test's readings are held against, and the one verdict that follows from all of them: no test passes beside a
//! reading that breaks a limit, whichever test the limit is known from.

use super::figure::{Figure, Measure, TracePoint};
use super::item::{ALL, Id, Values};
use super::test::Test;
use crate::service::{LIMITS, Limit};
use serde::Serialize;

/// The outcome of a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Within the limits.
    Pass,
    /// Allowed, but watch it.
    Caution,
    /// Outside the limits.
    Fail,
}

/// What was held against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// A figure.
    Figure(Measure),
    /// How many appliances would not burn.
    Unlit,
    /// The outlet over the whole test.
    Record,
    /// That a pressure which should have come to rest had not.
    Moving,
    /// The lock-up that a leak check was held under, or was not.
    Seats,
    /// What this burner takes over its rating plate, as a share; under nothing where it takes less.
    Plate(usize),
}

/// One reading and what it was held against.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Judged {
    /// Which reading.
    pub against: Against,
    /// Its value, SI, or the place of a word.
    pub value: f64,
    /// The limit, for a number.
    pub limit: Option<Limit>,
    /// What follows.
    pub verdict: Verdict,
}

/// An outlet over its limit for so long is no peak of a moment \[s\].
const MOMENT_S: f64 = 1.0;

/// A number against one limit that passes, and one that is allowed, where the trade gives a span; with the limit that it
/// breaks.
pub(crate) fn span(pass: &Limit, caution: Option<&Limit>, value: f64) -> (Limit, Verdict) {
    match caution {
        _ if pass.holds(value) => (*pass, Verdict::Pass),
        Some(c) if c.holds(value) => (*pass, Verdict::Caution),
        Some(c) => (*c, Verdict::Fail),
        None => (*pass, Verdict::Fail),
    }
}

/// A limit beyond which a thing is watched and not yet failed.
fn watched(limit: &Limit, value: f64) -> (Limit, Verdict) {
    let verdict = if limit.holds(value) {
        Verdict::Pass
    } else {
        Verdict::Caution
    };
    (*limit, verdict)
}

fn number(test: Test, measure: Measure, value: f64) -> Option<(Limit, Verdict)> {
    let l = &LIMITS;
    let lock_up = || match test {
        // With nothing drawn the outlet stands higher than at any flow: what is under the flow pressure then is under it at a
        // flow too.
        _ if value < l.flow.low => (l.flow, Verdict::Fail),
        // What is over the limit has crept, whatever it does within these five minutes.
        Test::Creep => span(&l.lock_up, None, value),
        _ => span(&l.lock_up, Some(&l.lock_up_caution), value),
    };
    Some(match measure {
        Measure::Read(Id::HalfOutlet) | Measure::FromBelow => span(&l.flow, None, value),
        Measure::Read(
            Id::FullOutlet
            | Id::LongOutlet
            | Id::WarmFull
            | Id::AboveOutlet
            | Id::AboveTapped
            | Id::PilotsOutlet,
        ) => span(&l.under_load, None, value),
        Measure::Fall => span(&l.fall, Some(&l.fall_caution), value),
        Measure::PipeDrop => span(&l.pipe_drop, Some(&l.pipe_drop_caution), value),
        Measure::Band => watched(&l.band, value),
        Measure::LockUp
        | Measure::Read(
            Id::RestMinute | Id::RestCreep | Id::FlushOutlet | Id::WarmRest | Id::ClimbRest,
        ) => lock_up(),
        Measure::Rise => watched(&l.rise, value),
        Measure::InletFall => watched(&l.inlet_fall, value),
        Measure::Climb => span(&l.creep, None, value),
        Measure::Read(Id::FirstHalf | Id::FirstFull) | Measure::FirstFlowing => {
            span(&l.first, None, value)
        }
        Measure::Read(Id::FirstRest | Id::FirstCreep | Id::FlushFirst) | Measure::FirstAtRest => {
            span(&l.first_rest, None, value)
        }
        Measure::Read(Id::LeakChange) => span(&l.leak, None, value),
        Measure::Read(Id::Fill | Id::SecondFill) if l.fill_least.is_missed_by(value) => {
            watched(&l.fill_least, value)
        }
        // The number that is broken is the code's, also where what heat does to a lawful fill is allowed for and passed.
        Measure::Read(Id::Fill | Id::SecondFill) => {
            (l.fill, span(&l.fill, Some(&l.fill_caution), value).1)
        }
        Measure::Read(Id::PipingDrop) => span(&l.new_piping, None, value),
        Measure::Start if test == Test::LeakCheck => span(&l.leak_start, None, value),
        _ => return None,
    })
}

/// What a word that was noted means; none for one that decides nothing.
fn word(item: Id, word: f64) -> Option<Verdict> {
    let usual = word < 1.0;
    Some(match item {
        Id::FirstVentRest
        | Id::FirstVentFlowing
        | Id::SecondVentRest
        | Id::SecondVentFlowing
        | Id::FluidPigtail
        | Id::FluidLowSide
        | Id::FluidBurner
        | Id::Flames
        | Id::LongFlames
        | Id::VentLooks => {
            if usual {
                Verdict::Pass
            } else {
                Verdict::Fail
            }
        }
        Id::SoundFlowing | Id::SoundRest => match word {
            w if w < 1.0 => Verdict::Pass,
            w if w < 3.0 => Verdict::Fail,
            _ => Verdict::Caution,
        },
        Id::Reserve => {
            if word < 2.0 {
                Verdict::Pass
            } else {
                Verdict::Fail
            }
        }
        // A reserve that serves: the service side has run empty, or something stands in its way.
        Id::Indicator => {
            if word < 2.0 {
                Verdict::Pass
            } else {
                Verdict::Caution
            }
        }
        Id::OddOne | Id::Hose | Id::Valve | Id::Lighting => {
            if usual {
                Verdict::Pass
            } else {
                Verdict::Caution
            }
        }
        _ => return None,
    })
}

/// The numbers of a visit, and the differences that are held against a limit, each with its verdict.
fn numbers(values: &Values) -> Vec<(Test, Judged)> {
    let read = |id: Id| values[id.index()];
    let between = |a: Id, b: Id| read(a).zip(read(b)).map(|(a, b)| a - b);
    let inlets = [Id::HalfInlet, Id::FullInlet].into_iter();
    let inlet_fell = inlets
        .filter_map(|inlet| between(Id::Container, inlet))
        .reduce(f64::max);
    let (half, full, rest) = (Id::HalfOutlet, Id::FullOutlet, Id::RestMinute);
    let differences = [
        (Test::LockUp, Measure::Rise, between(rest, half)),
        (Test::FullLoad, Measure::Fall, between(half, full)),
        (
            Test::FullLoad,
            Measure::PipeDrop,
            between(full, Id::FullManifold),
        ),
        (Test::Creep, Measure::Climb, between(Id::RestCreep, rest)),
        (Test::FirstStage, Measure::InletFall, inlet_fell),
    ];
    let items = ALL.iter().zip(values);
    let items = items.map(|(item, v)| (item.test, Measure::Read(item.id), *v));
    let all = differences.into_iter().chain(items);
    all.filter_map(|(test, measure, value)| {
        let (limit, verdict) = number(test, measure, value?)?;
        let judged = Judged {
            against: Against::Figure(measure),
            value: value?,
            limit: Some(limit),
            verdict,
        };
        Some((test, judged))
    })
    .collect()
}

/// The worst that follows from the readings of a visit, each against its limit, and from what was seen; `None` where the
/// readings that matter most (a flow pressure and a lock-up) were not made.
pub fn of_readings(values: &Values) -> Option<Verdict> {
    let read = |id: Id| values[id.index()];
    read(Id::HalfOutlet).and(read(Id::RestMinute))?;
    let words = ALL
        .iter()
        .zip(values)
        .filter_map(|(item, v)| word(item.id, (*v)?));
    let limits = numbers(values)
        .into_iter()
        .map(|(_, judged)| judged.verdict);
    limits.chain(words).max()
}

/// The numbers of a visit that come out so, with the tests that they are of.
pub fn that_come_out(verdict: Verdict, values: &Values) -> Vec<(Test, Judged)> {
    let all = numbers(values).into_iter();
    all.filter(|(_, judged)| judged.verdict == verdict)
        .collect()
}

/// Longest stretch \[s\] of a record in which the outlet stood over the limit, and the highest it stood then \[Pa\].
fn over(trace: &[TracePoint], limit: &Limit) -> (f64, f64) {
    let (mut longest, mut highest) = (0.0_f64, 0.0_f64);
    let mut since: Option<f64> = None;
    for p in trace {
        if limit.is_passed_by(p.outlet_pa) {
            let from = *since.get_or_insert(p.time_s);
            longest = longest.max(p.time_s - from);
            highest = highest.max(p.outlet_pa);
        } else {
            since = None;
        }
    }
    (longest, highest)
}

/// Everything that was read in a test, held against what it must keep to. In one for flowing gas that is `idle`, since
/// nothing would burn, the pressures are no flow pressures and pass nothing; but what is too low with nothing drawn is too low.
pub(super) fn judge(
    test: Test,
    figures: &[Figure],
    unlit: &[usize],
    idle: bool,
    still_moving: bool,
    trace: &[TracePoint],
) -> Vec<Judged> {
    let mut out = Vec::new();
    for f in figures {
        let against = Against::Figure(f.measure);
        let counts = |limit: &Limit| !idle || (limit.low > 0.0 && f.value < limit.low);
        if let Some((limit, verdict)) = number(test, f.measure, f.value).filter(|n| counts(&n.0)) {
            out.push(Judged {
                against,
                value: f.value,
                limit: Some(limit),
                verdict,
            });
        }
        if let Measure::Read(item) = f.measure
            && !idle
            && let Some(verdict) = word(item, f.value)
        {
            out.push(Judged {
                against,
                value: f.value,
                limit: None,
                verdict,
            });
        }
    }
    if !unlit.is_empty() {
        out.push(Judged {
            against: Against::Unlit,
            value: unlit.len() as f64,
            limit: None,
            verdict: Verdict::Fail,
        });
    }
    if still_moving {
        out.push(moving(figures));
    }
    // The record of new piping is of air at 10 psi.
    let (longest_s, highest_pa) = match test {
        Test::NewPiping => (0.0, 0.0),
        _ => over(trace, &LIMITS.lock_up_caution),
    };
    if longest_s >= MOMENT_S {
        out.push(Judged {
            against: Against::Record,
            value: highest_pa,
            limit: Some(LIMITS.lock_up_caution),
            verdict: Verdict::Fail,
        });
    }
    out
}

/// A pressure that has not come to rest. What climbs on is no lock-up yet: the creep test tells. But what has climbed past
/// its limit already does not lock up: the span from there to what the code allows is one for a pressure that stands (common practice).
fn moving(figures: &[Figure]) -> Judged {
    let of = |m: Measure| figures.iter().find(|f| f.measure == m).map(|f| f.value);
    let (minute, end) = (of(Measure::Read(Id::RestMinute)), of(Measure::LockUp));
    let climbed = end.filter(|end| minute.is_none_or(|minute| *end > minute));
    let past = climbed.filter(|end| LIMITS.lock_up.is_passed_by(*end));
    Judged {
        against: Against::Moving,
        value: end.unwrap_or(0.0),
        limit: past.map(|_| LIMITS.lock_up),
        verdict: if past.is_some() {
            Verdict::Fail
        } else {
            Verdict::Caution
        },
    }
}

/// The verdict of all of them.
pub(super) fn of(held: &[Judged]) -> Verdict {
    held.iter()
        .map(|h| h.verdict)
        .fold(Verdict::Pass, Verdict::max)
}

#[cfg(test)]
mod tests {
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
            FromBelow, InletAtRest, InletFall, InletFlowing, Load, LockUp, Peak, PipeDrop, Read,
            Rise, Start, Warmed,
        };
        let inches: [Row; 13] = [
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
            // What is over it within these five minutes has crept.
            (
                Test::Creep,
                &[Read(RestCreep), LockUp],
                10.5,
                13.2,
                13.2,
                Fail,
            ),
            (Test::LockUp, &[Rise], 0.0, 1.5, 1.5, Caution),
            (Test::Creep, &[Climb], NONE, 0.15, 0.15, Fail),
            (Test::LeakCheck, &[Read(LeakChange)], -0.1, 0.1, 0.1, Fail),
            (Test::LeakCheck, &[Start], 8.5, 9.5, 9.5, Fail),
            (
                Test::FirstStage,
                &[Read(FirstHalf), Read(FirstFull), FirstFlowing],
                2.0,
                13.0,
                13.0,
                Fail,
            ),
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
        // A container is no fuller than 80 %, and on the hottest day no fuller than 86 (derived).
        for (fill, verdict) in [
            (0.80, Pass),
            (0.801, Caution),
            (0.86, Caution),
            (0.861, Fail),
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
}
