//! The program's own way through a drill, gone on the rig itself by a trainee's acts: its readings are those that anyone
//! gets who goes it, and its minutes are those of the rig's clock. So what a drill promises is what its debrief shows.
//! Not here: what is equally right, which follows from a whole visit (`reasoning::assess`).

use super::act::Act;
use super::known::{Known, wants_no_gas};
use super::log::Entry;
use super::person::{Attempt, rig_of};
use super::read::Read;

use crate::diagnosis::inference::next::Offer;
use crate::diagnosis::inference::safety::{self, Danger};
use crate::diagnosis::inference::walk::Way;
use crate::drill::making::file::Drill;
use crate::drill::marking::course::Course;
use crate::drill::reasoning::causes::{Belief, Cause, Causes, Gone, SURE};
use crate::rig::{Phase, Rig};
use crate::sim::Simulation;
use crate::solver::Method;
use crate::visit::{Burner, Id, Looks, Test, Tool};
use std::sync::Arc;

/// What is on offer in a drill: what is at hand and not forbidden.
pub fn offer_of(drill: &Drill) -> Offer {
    let mut offer = Offer::with(&drill.bag, &rig_of(drill).rig);
    let allowed = |tool: Tool| drill.must_not.iter().all(|f| f.tool != tool);
    offer.retain(|t| allowed(t.tool()));
    offer
}

/// Makes a test as a person does: a burner that stands open without a flame is shut first, lock-up comes from half load
/// where something may be lit, and what keeps a test from being made (something burns) is put right. Whether it was made.
pub fn make(attempt: &mut Attempt, sim: &mut Simulation, test: Test, may_light: bool) -> bool {
    let burners = attempt.burners(sim);
    let mut does = |attempt: &mut Attempt, words: &str| {
        let act = Act::parse(words, sim.rig());
        act.is_ok_and(|a| attempt.act(sim, &a, &mut |_| true).is_ok())
    };
    let unlit = |b: &Burner| b.on && b.looks == Looks::Controls(Phase::OpenUnlit);
    let words = format!("test {}", test.words());
    if burners.iter().any(unlit) {
        does(attempt, "off all");
    }
    if test == Test::LockUp && may_light && !burners.iter().any(|b| b.on) {
        does(attempt, "light half");
    }
    if attempt.drill().asks_why {
        does(attempt, "why the next of the program's own way");
    }
    does(attempt, &words) || (does(attempt, "off all") && does(attempt, &words))
}

/// What may still be done after some acts.
#[derive(Debug, Clone, Copy)]
pub struct May {
    danger: Danger,
    known: Known,
    /// Whether gas was found at a joint or a burner behind the regulator, and no leak check has told yet how much is lost.
    leak_found: bool,
}

/// Why a test comes next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reason {
    /// It parts these two, the likeliest that it does, by this item most.
    Parts([Cause; 2], Id),
    /// It promises most, of many causes none of which stands out yet.
    Promises,
    /// Another promises more before it is made; as seen afterwards this one tells in fewer minutes.
    Afterwards,
    /// A leak is reported, and nothing is lit before it was looked for.
    Reported,
    /// Gas was found at a joint or a burner: the container is shut, and what the low side loses is next.
    Found,
}

impl May {
    /// After some acts at a drill: what diagnosis forbids by all that counts as evidence, and no flame where what was read or told
    /// forbids it, evidence or not, or where gas was found or is reported and not looked for yet, by the one rule that marks go by.
    pub fn after(drill: &Drill, course: &Course<'_>, entries: &[Entry], rig: &Rig) -> Self {
        let mut known = Known::of(drill);
        for e in entries {
            if let Ok(act) = Act::parse(&e.act, rig) {
                let read: Vec<_> = e.observations().copied().collect();
                known.learn(&act, &e.told, (&read, e.end_s));
            }
        }
        let told = if known.blows_out() {
            Danger::ShutOff
        } else if known.knows_of_gas() || Read::of(entries, rig).forbids_a_flame() {
            Danger::NoFlame
        } else {
            Danger::None
        };
        let newest = course.newest();
        let bubbles = |id: Id| newest[id.index()].is_some_and(|word| word >= 1.0);
        let joints = bubbles(Id::FluidLowSide) || bubbles(Id::FluidBurner);
        Self {
            danger: safety::demand(&newest).0.max(told),
            known,
            leak_found: joints && newest[Id::LeakChange.index()].is_none(),
        }
    }

    /// Whether a test may be made.
    pub fn allows(self, test: Test) -> bool {
        self.danger.allows(test) && !self.known.forbids(test)
    }

    /// Whether a test would be refused as the container stands: it was shut, and the test wants gas.
    pub fn refuses(self, test: Test) -> bool {
        self.known.is_shut() && !wants_no_gas(test) && test != Test::LeakCheck
    }

    /// Whether the container is shut before anything else is done, and is not yet.
    pub fn shuts_first(self) -> bool {
        self.known.must_shut()
    }

    /// Whether anything may be lit.
    pub fn lights(self) -> bool {
        self.allows(Test::FlowPressure)
    }

    /// What is done of some tests, of which `wanted` is the one that is wanted most: where that lights something before a leak
    /// that is reported was looked for, the leak is looked for first.
    pub fn first(self, wanted: Test, left: &Offer) -> Option<Test> {
        if self.allows(wanted) {
            return Some(wanted);
        }
        let seeks = [Test::Joints, Test::LeakCheck].into_iter();
        let mut on_offer = seeks.filter(|t| self.allows(*t) && left.tests().any(|l| l == *t));
        on_offer.next().filter(|_| self.known.is_unsought())
    }

    /// The first of some tests that is left and may be made.
    fn listed(self, tests: &[Test], left: &Offer) -> Option<Test> {
        let is_left = |t: &&Test| left.tests().any(|l| l == **t) && self.allows(**t);
        tests.iter().find(is_left).copied()
    }

    /// A test of a path, with its reason.
    fn told(
        self,
        test: Test,
        causes: &Causes,
        course: &Course<'_>,
        left: &Offer,
    ) -> (Test, Option<Reason>) {
        let best = self.next(causes, course, left);
        if let Some(same) = best.filter(|b| b.0 == test) {
            return same;
        }
        let belief = causes.belief(course.met());
        let two = causes.parted(&belief, left.items(test));
        let why = two.map_or(Reason::Afterwards, |(two, by)| Reason::Parts(two, by));
        (test, Some(why))
    }

    /// What is best next for whoever has a path before them: what of it was not made yet, as long as nothing was found that asks for
    /// something else; then what promises most.
    pub fn next_on(
        self,
        path: &[Test],
        causes: &Causes,
        course: &Course<'_>,
        left: &Offer,
    ) -> Option<Test> {
        let by_path = || self.listed(path, left).filter(|_| !self.leak_found);
        by_path().or_else(|| self.next(causes, course, left).map(|n| n.0))
    }

    /// What will never be allowed again goes; what waits for a leak to be looked for stays.
    fn drop_forbidden(self, left: &mut Offer) {
        let waits = self.known.is_unsought() && !self.known.knows_of_gas();
        left.retain(|t| self.danger.allows(t) && (waits || !self.known.forbids(t)));
    }

    /// The best test after these readings that may be made, and why; a leak that is reported is looked for before it where it
    /// lights something. Beside a leak that was found no lock-up is asked for: the container is shut, and the low side holds or
    /// it does not (common practice).
    pub fn next(
        self,
        causes: &Causes,
        course: &Course<'_>,
        left: &Offer,
    ) -> Option<(Test, Option<Reason>)> {
        let mut wanted = left.clone();
        self.drop_forbidden(&mut wanted);
        if self.leak_found && wanted.tests().any(|t| t == Test::LeakCheck) {
            return Some((Test::LeakCheck, Some(Reason::Found)));
        }
        let belief = causes.belief(course.met());
        let parts = |test: Test| {
            let two = causes.parted(&belief, left.items(test));
            Some(two.map_or(Reason::Promises, |(two, by)| Reason::Parts(two, by)))
        };
        let best = causes.next(course.met(), &wanted)?;
        if let Some(test) = self.first(best.test, &wanted) {
            let is_it = test == best.test;
            let why = if is_it {
                parts(test)
            } else {
                Some(Reason::Reported)
            };
            return Some((test, why));
        }
        wanted.retain(|t| self.allows(t));
        let best = causes.next(course.met(), &wanted)?;
        Some((best.test, parts(best.test)))
    }
}

/// A step of a way as it is made.
#[derive(Debug)]
pub struct Step<'a> {
    /// The test.
    pub test: Test,
    /// Why that one, where it promised something.
    pub why: Option<Reason>,
    /// The acts, the test last.
    pub entries: &'a [Entry],
    /// What is believed after it.
    pub belief: &'a Belief,
}

/// By what the next test is chosen.
#[derive(Debug, Clone, Copy)]
pub(super) enum Route<'a> {
    /// As a way has it.
    Way(Way),
    /// These and no others, each as soon as it may be made.
    Tests(&'a [Test]),
}

/// Goes a way from when the last fault is fully there, until `right` holds [`SURE`] of the belief or nothing that may be
/// done is left. Every step is heard of.
pub(super) fn go(
    drill: &Drill,
    causes: &Causes,
    right: &[usize],
    route: Route<'_>,
    hear: &mut dyn FnMut(&Step<'_>),
) -> Result<Gone, String> {
    // However long it takes: whether the drill ends before is judged by its minutes.
    let endless = Drill {
        limit_s: f64::INFINITY,
        ..drill.clone()
    };
    let (mut attempt, mut sim) = Attempt::unlogged(Arc::new(endless), "the program", Method::Stiff)
        .map_err(|e| e.to_string())?;
    let onset_s = drill.onset_s();
    if onset_s > sim.time_s() {
        sim.advance(onset_s, None, &mut |_| {})
            .map_err(|e| e.to_string())?;
    }
    let mut course = Course::new(causes);
    let mut left = offer_of(drill);
    let mut danger = Danger::None;
    let mut gone = Gone::begun(course.belief());
    let mut from_s = sim.time_s();
    loop {
        let mut may = May::after(drill, &course, attempt.entries(), sim.rig());
        danger = danger.max(may.danger);
        may.danger = danger;
        may.drop_forbidden(&mut left);
        let best = match route {
            Route::Way(Way::Best) => may.next(causes, &course, &left),
            Route::Way(Way::Fixed) => None,
            Route::Tests(tests) => match may.listed(tests, &left) {
                Some(test) => Some(may.told(test, causes, &course, &left)),
                None => break,
            },
        };
        let (promised, why) = best.unzip();
        let why = why.flatten();
        let usual = || {
            let first = left.first()?;
            let allowed = left.tests().find(|t| may.allows(*t));
            may.first(first, &left).or(allowed)
        };
        let Some(test) = promised.or_else(usual) else {
            break;
        };
        left.retain(|t| t != test);
        let done = attempt.entries().len();
        if !make(&mut attempt, &mut sim, test, may.lights()) {
            continue;
        }
        for entry in &attempt.entries()[done..] {
            if let Ok(act) = Act::parse(&entry.act, sim.rig()) {
                course.take(&act, entry);
            }
        }
        gone.take(
            test,
            (sim.time_s() - from_s) / 60.0,
            course.belief(),
            *course.met(),
        );
        from_s = sim.time_s();
        hear(&Step {
            test,
            why,
            entries: &attempt.entries()[done..],
            belief: gone.end(),
        });
        if gone.end().in_any(right) >= SURE {
            break;
        }
    }
    Ok(gone)
}

/// Both ways gone on a rig.
#[derive(Debug, Clone)]
pub struct Ways {
    /// Always the test that promises most a minute.
    pub best: Gone,
    /// The fixed order of a visit.
    pub fixed: Gone,
}

impl Ways {
    /// Goes both until they come to what is right.
    ///
    /// # Errors
    /// What stopped the run of the rig.
    pub fn of(drill: &Drill, causes: &Causes, right: &[usize]) -> Result<Self, String> {
        Self::heard(drill, causes, right, &mut |_, _| {})
    }

    /// The same, and every step of both is heard of.
    ///
    /// # Errors
    /// As [`Ways::of`].
    pub fn heard(
        drill: &Drill,
        causes: &Causes,
        right: &[usize],
        hear: &mut dyn FnMut(Way, &Step<'_>),
    ) -> Result<Self, String> {
        let mut going = |way: Way| {
            go(drill, causes, right, Route::Way(way), &mut |step| {
                hear(way, step);
            })
        };
        Ok(Self {
            best: going(Way::Best)?,
            fixed: going(Way::Fixed)?,
        })
    }

    /// The better of the two. The fixed order is gone only where the best next test does not come to what is right: what
    /// nobody asks for is not gone.
    ///
    /// # Errors
    /// As [`Ways::of`].
    pub fn better(drill: &Drill, causes: &Causes, right: &[usize]) -> Result<Gone, String> {
        let best = go(drill, causes, right, Route::Way(Way::Best), &mut |_| {})?;
        if best.until_sure(right).solved {
            return Ok(best);
        }
        let fixed = go(drill, causes, right, Route::Way(Way::Fixed), &mut |_| {})?;
        Ok(Self { best, fixed }.chosen(right))
    }

    /// What a way makes sure of that is not right, where one does: whoever goes it is misled.
    pub fn misleads(&self, right: &[usize]) -> Option<usize> {
        let other = |gone: &Gone| {
            let (cause, held) = gone.end().ranked()[0];
            (!right.contains(&cause) && held >= SURE).then_some(cause)
        };
        other(&self.best).or_else(|| other(&self.fixed))
    }

    /// Which of the two is the better: the best, unless only the fixed order comes to what is right, for what is read first
    /// may forbid what would tell.
    pub fn which(&self, right: &[usize]) -> Way {
        let solves = |gone: &Gone| gone.until_sure(right).solved;
        if !solves(&self.best) && solves(&self.fixed) {
            Way::Fixed
        } else {
            Way::Best
        }
    }

    /// The better of the two.
    pub fn chosen(self, right: &[usize]) -> Gone {
        match self.which(right) {
            Way::Best => self.best,
            Way::Fixed => self.fixed,
        }
    }
}

/// How sure who does not know what is right wants to be, by two tests in a row, before they stop (own).
pub const ENOUGH: f64 = 0.95;

/// The cause at which who does not know what is right stops: the likeliest after each of two tests in a row, and surely.
pub fn stops_at(named: &[(usize, f64)]) -> Option<usize> {
    let is_sure = |w: &&[(usize, f64)]| w[0].0 == w[1].0 && w.iter().all(|n| n.1 >= ENOUGH);
    named.windows(2).find(is_sure).map(|w| w[1].0)
}

/// What somebody comes to that is not right who goes one of the two ways properly and does not know what is right:
/// on the way, by two tests in a row, or by all that is read at its end, where another must not even be likelier.
///
/// # Errors
/// As [`Ways::of`].
pub fn leads_astray(
    drill: &Drill,
    causes: &Causes,
    right: &[usize],
) -> Result<Option<usize>, String> {
    for way in [Way::Best, Way::Fixed] {
        // Nothing is known to be right, so nothing ends it before all is read.
        let gone = go(drill, causes, &[], Route::Way(way), &mut |_| {})?;
        let named: Vec<(usize, f64)> = gone.stands().map(|(_, b)| b.ranked()[0]).collect();
        let stopped = stops_at(&named);
        // Who goes by the best next test stops there; who goes through a list, at its end.
        let reads_all = way == Way::Fixed || stopped.is_none();
        let end = named.last().filter(|_| reads_all);
        let mut all = stopped.into_iter().chain(end.map(|n| n.0));
        if let Some(other) = all.find(|c| !right.contains(c)) {
            return Ok(Some(other));
        }
    }
    Ok(None)
}
