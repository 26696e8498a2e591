//! What a test's readings are held against, and the one verdict that follows from all of them: no test passes beside a
//! reading that breaks a limit, whichever test the limit is known from.

use super::figure::{Figure, Measure, TracePoint};
use super::item::{ALL, Id, Values};
use super::test::Test;
use crate::physics::air::atmosphere_pa;
use crate::service::{FULL_SHARE, Joint, LIMITS, Limit, SUN_K, propane_gives_pa};
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
    /// Gas that is heard to come out.
    Escapes(Joint),
    /// Leak fluid where hoses and first stage hold next to nothing \[Pa\], which shows nothing.
    NoPressureHigh,
    /// The same of the low side.
    NoPressureLow,
    /// A look with gas flowing that could not be had, since nothing burned.
    NothingBurned,
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

impl Judged {
    /// Whether it is an outlet at rest.
    fn is_lock_up(&self) -> bool {
        let Against::Figure(measure) = self.against else {
            return false;
        };
        matches!(
            measure,
            Measure::LockUp
                | Measure::Read(
                    Id::RestMinute | Id::RestCreep | Id::FlushOutlet | Id::WarmRest | Id::ClimbRest
                )
        )
    }

    /// Whether it is a container's own pressure against what propane gives in this air.
    pub fn is_of_weather(&self) -> bool {
        matches!(
            self.against,
            Against::Figure(
                Measure::InletAtRest | Measure::Read(Id::Container | Id::SecondContainer)
            )
        )
    }

    /// Whether everything is shut off after it where it fails in a test: more than an appliance, and more than a pressure that is too low for
    /// a good flame. One rule for what a visit ends in and for what is said of readings.
    pub fn leaves_shut(&self, test: Test) -> bool {
        self.fails_the_rig()
            && (test == Test::LeakCheck || self.limit.is_none() || self.is_dangerous())
    }

    /// Whether it fails by the regulator or its supply, whether that is dangerous by itself or not.
    pub(super) fn fails_the_rig(&self) -> bool {
        self.verdict == Verdict::Fail && !matches!(self.against, Against::Unlit | Against::Plate(_))
    }

    /// Whether it is dangerous by itself, and not only a matter of poor flames: gas that is lost, a pressure that stands or climbs
    /// over its limit, a container that is too full.
    pub(super) fn is_dangerous(&self) -> bool {
        let is_over = self.limit.is_some_and(|l| l.is_passed_by(self.value));
        match self.against {
            Against::Figure(Measure::Read(Id::LeakChange)) => !is_over,
            Against::Figure(
                Measure::Fall | Measure::PipeDrop | Measure::InletFall | Measure::Band,
            ) => false,
            _ => is_over,
        }
    }
}

/// An outlet over its limit for so long is no peak of a moment \[s\].
pub(super) const MOMENT_S: f64 = 1.0;

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
    let lock_up = || match value {
        // With nothing drawn the outlet stands higher than at any flow: what is under the flow pressure then is under it at a
        // flow too.
        v if v < l.flow.low => (l.flow, Verdict::Fail),
        // Whenever it is read: that it creeps is told by its climb.
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
            match span(&l.first, None, value) {
                (_, Verdict::Pass) if l.first_weak.is_missed_by(value) => {
                    watched(&l.first_weak, value)
                }
                other => other,
            }
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

/// The verdict of one figure of a test, as it has it at the bench; none for one that is held against nothing.
pub fn of_figure(test: Test, measure: Measure, value: f64) -> Option<Verdict> {
    number(test, measure, value).map(|(_, verdict)| verdict)
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

/// A container's own pressure against what propane gives in an air: less is a cold, an empty or another container, and more is no propane.
pub(super) fn against_weather(
    measure: Measure,
    pa: f64,
    air_k: f64,
    ambient_pa: f64,
) -> Option<Judged> {
    let gives = |k: f64| propane_gives_pa(k, ambient_pa);
    let limit = Limit {
        low: (FULL_SHARE * gives(air_k)).max(0.0),
        high: gives(air_k + SUN_K),
        ..LIMITS.weather
    };
    let verdict = if limit.is_passed_by(pa) {
        Verdict::Fail
    } else {
        Verdict::Caution
    };
    (!limit.holds(pa)).then_some(Judged {
        against: Against::Figure(measure),
        value: pa,
        limit: Some(limit),
        verdict,
    })
}

/// The containers of a visit against the air that was read with them.
fn containers(values: &Values) -> Vec<(Test, Judged)> {
    let read = |id: Id| values[id.index()];
    let Some(air_k) = read(Id::Air) else {
        return Vec::new();
    };
    let ambient_pa = atmosphere_pa(read(Id::Elevation).unwrap_or(0.0));
    let both = [Id::Container, Id::SecondContainer];
    let judged = both.into_iter().filter_map(|id| {
        let judged = against_weather(Measure::Read(id), read(id)?, air_k, ambient_pa)?;
        Some((Test::Container, judged))
    });
    judged.collect()
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
    .chain(containers(values))
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

/// The numbers of a visit that come out so, with the tests that they are of, what is dangerous by itself first. A lock-up is
/// not told as allowed beside one that fails: the later reading decides, as it does at the bench's creep test.
pub fn that_come_out(verdict: Verdict, values: &Values) -> Vec<(Test, Judged)> {
    let mut all = numbers(values);
    let crept = |(_, j): &(Test, Judged)| j.is_lock_up() && j.verdict == Verdict::Fail;
    if all.iter().any(crept) {
        all.retain(|(_, j)| !j.is_lock_up() || j.verdict != Verdict::Caution);
    }
    all.retain(|(_, judged)| judged.verdict == verdict);
    all.sort_by_key(|(_, judged)| !judged.is_dangerous());
    all
}

/// What was seen and heard of a visit that fails by itself, with the tests that it is of.
pub fn looks_that_fail(values: &Values) -> Vec<(Test, Judged)> {
    let noted = ALL.iter().zip(values);
    let noted = noted.filter_map(|(item, v)| Some((item, (*v)?)));
    let failed = noted.filter(|(item, v)| word(item.id, *v) == Some(Verdict::Fail));
    failed
        .map(|(item, value)| {
            let judged = Judged {
                against: Against::Figure(Measure::Read(item.id)),
                value,
                limit: None,
                verdict: Verdict::Fail,
            };
            (item.test, judged)
        })
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
    if test == Test::Along && !idle {
        out.extend(along(figures));
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

/// What two gauges along the way tell besides the drop between outlet and manifold: an inlet that falls with the load, one that
/// has too little, a manifold at which no burner has what it was made for.
fn along(figures: &[Figure]) -> Vec<Judged> {
    let l = &LIMITS;
    let of = |id: Id| {
        figures
            .iter()
            .find(|f| f.measure == Measure::Read(id))
            .map(|f| f.value)
    };
    let held = |measure: Measure, value: Option<f64>, limit: &Limit, verdict: Verdict| {
        let value = value.filter(|v| !limit.holds(*v))?;
        let (against, limit) = (Against::Figure(measure), Some(*limit));
        Some(Judged {
            against,
            value,
            limit,
            verdict,
        })
    };
    let read =
        |id: Id, limit: &Limit, verdict: Verdict| held(Measure::Read(id), of(id), limit, verdict);
    let fell = of(Id::HalfInlet)
        .zip(of(Id::FullInlet))
        .map(|(half, full)| half - full);
    let all = [
        read(Id::HalfManifold, &l.manifold, Verdict::Fail),
        read(Id::FullManifold, &l.manifold, Verdict::Fail),
        held(Measure::InletFall, fell, &l.inlet_fall, Verdict::Caution),
        read(Id::HalfInlet, &l.inlet_least, Verdict::Caution),
        read(Id::FullInlet, &l.inlet_least, Verdict::Caution),
    ];
    all.into_iter().flatten().collect()
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
mod tests;
