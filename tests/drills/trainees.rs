//! Made-up trainees: each works on a drill as such a person would, on the rig itself, through the same acts as anyone.
//! They know what is at hand and what they read. Random and guesser name a cause out of the air; a guesser who has luck
//! every time is told the cause, to see what luck is worth.
//!
//! Everybody but the reckless keeps to what was read: where gas was found, nothing is lit.

use std::borrow::Cow;
use std::sync::Arc;
use twostage::diagnosis::inference::next::Offer;
use twostage::diagnosis::inference::safety::{self, Danger};
use twostage::diagnosis::library::random::Random;
use twostage::drill::attempt::act::verdict_word;
use twostage::drill::attempt::judging::waiting;
use twostage::drill::attempt::way::{ENOUGH, May, make as make_test, offer_of};
use twostage::drill::marking::course::Course;
use twostage::drill::marking::grade::{Grade, grade};
use twostage::drill::reasoning::assess::causes_for;
use twostage::drill::reasoning::causes::{Belief, Causes, read_by};
use twostage::drill::reasoning::difficulty::Assessment;
use twostage::drill::{Act, Attempt, Drill};
use twostage::fault::{Fault, Remedy};
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::visit::{Cure, Deed, Test, Tool, cure};

/// Who.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trainee {
    /// Answers at once, any cause.
    Guesser,
    /// Answers at once, and is right.
    Lucky,
    /// Every test of the fixed order, whatever it shows, then the answer.
    Checklist,
    /// Some tests drawn at random, then any cause.
    Random,
    /// The fixed order until sure and told so once more, with each suspicion noted on the way. Thinks of one cause at a time:
    /// where the owner complains of two things, to its end.
    Careful,
    /// The best next test until sure and told so once more, each judged, suspicions noted; put right where that can be done,
    /// proved, and looked at again: what still reads wrong is another fault. Where the owner complains of two things, not sure
    /// before both are explained.
    Expert,
    /// The same expert, who puts nothing right: what a proven repair is held against.
    #[allow(dead_code, reason = "of the bench alone")]
    Unmended,
    /// As the random one, with a new part or a burst beside a flame.
    Reckless,
}

impl Trainee {
    pub const ALL: [Self; 6] = [
        Self::Expert,
        Self::Careful,
        Self::Checklist,
        Self::Random,
        Self::Guesser,
        Self::Reckless,
    ];
}

/// Causes of which the expert thinks in pairs, where the owner complains of two things.
const PAIRED: usize = 40;
/// How many tests who draws them at random makes.
const DRAWN: usize = 8;

struct Work<'a> {
    attempt: Attempt,
    sim: Simulation,
    /// What one cause each would show, and what is thought of: the same, or pairs of them too.
    single: &'a Causes,
    causes: Cow<'a, Causes>,
    offer: Offer,
    /// The cause that the readings were sure of before the last test.
    sure_of: Option<usize>,
}

/// The marks of a trainee at a drill. `causes` is what each cause would show on its rig.
pub fn marks_of(who: Trainee, drill: &Arc<Drill>, causes: &Causes, seed: u64) -> Grade {
    let attempt = attempt_of(who, drill, causes, seed);
    grade(drill, attempt.entries(), attempt.answer())
}

/// What a trainee does at a drill.
pub fn attempt_of(who: Trainee, drill: &Arc<Drill>, causes: &Causes, seed: u64) -> Attempt {
    let (attempt, sim) = Attempt::unlogged(drill.clone(), "made up", Method::Stiff)
        .unwrap_or_else(|e| panic!("{}: {e}", drill.title));
    let offer = offer_of(drill);
    let mut work = Work {
        attempt,
        sim,
        single: causes,
        causes: Cow::Borrowed(causes),
        offer,
        sure_of: None,
    };
    match who {
        Trainee::Guesser => work.guess(&mut Random::new(seed ^ 0x60E5, 0)),
        Trainee::Lucky => work.lucky(),
        Trainee::Checklist => work.checklist(),
        Trainee::Random => work.random(seed, false),
        Trainee::Reckless => work.random(seed, true),
        Trainee::Careful => work.careful(),
        Trainee::Expert => work.expert(true),
        Trainee::Unmended => work.expert(false),
    }
    work.attempt
}

impl Work<'_> {
    /// Does an act; whether the rig and what is at hand let it.
    fn does(&mut self, words: &str) -> bool {
        let act = Act::parse(words, self.sim.rig()).unwrap_or_else(|e| panic!("{words}: {e}"));
        self.attempt.act(&mut self.sim, &act, &mut |_| true).is_ok()
    }

    fn has(&self, tool: Tool) -> bool {
        self.attempt.drill().bag.has(tool)
    }

    /// Makes a test as anyone does.
    fn test(&mut self, test: Test) {
        let may_light = self.may().lights();
        make_test(&mut self.attempt, &mut self.sim, test, may_light);
    }

    /// Makes a test as who knows the work does: where gas was heard or seen to blow out, the container is shut first.
    fn sought(&mut self, test: Test) {
        self.test(test);
        if self.may().shuts_first() {
            self.does("shut");
        }
    }

    /// Makes a test and judges it by what it told.
    fn judged(&mut self, test: Test) {
        self.sought(test);
        let waits = waiting(self.attempt.entries(), self.sim.rig());
        if let Some(verdict) = waits.ok().and_then(|e| e.told.verdict()) {
            self.does(&format!("judge {}", verdict_word(verdict)));
        }
    }

    fn course(&self) -> Course<'_> {
        let mut course = Course::new(&self.causes);
        for e in self.attempt.entries() {
            if let Ok(act) = Act::parse(&e.act, self.sim.rig()) {
                course.take(&act, e);
            }
        }
        course
    }

    fn belief(&self) -> Belief {
        self.course().belief()
    }

    /// Whether one cause alone holds enough of the belief to answer, and did before the last test: one more that says
    /// the same is what keeps a person who knows the work from a hasty answer.
    fn is_sure(&mut self) -> bool {
        let ranked = self.belief().ranked();
        let now = (ranked[0].1 >= ENOUGH).then_some(ranked[0].0);
        let again = now.is_some() && now == self.sure_of;
        self.sure_of = now;
        again
    }

    fn may(&self) -> May {
        let drill = self.attempt.drill();
        May::after(
            drill,
            &self.course(),
            self.attempt.entries(),
            self.sim.rig(),
        )
    }

    /// The next test of a list, if it may be made; a leak that is reported is looked for first.
    fn in_order(&mut self, test: Test) {
        let seeks = self.may().first(test, &self.offer);
        if let Some(first) = seeks.filter(|t| *t != test) {
            self.sought(first);
        }
        if self.allows(test) {
            self.sought(test);
        }
    }

    fn allows(&self, test: Test) -> bool {
        self.may().allows(test)
    }

    fn likeliest(&self) -> Vec<Fault> {
        let ranked = self.belief().ranked();
        let sick = ranked.iter().find(|r| r.0 != 0).map_or(0, |r| r.0);
        self.causes.cause(sick)
    }

    fn note(&mut self) {
        let cause = self.likeliest();
        self.does(&format!("note {} 60 %", named(&cause)));
    }

    /// The answer with the job of each cause that is named, the first that the catalogue has.
    fn answer(&mut self, cause: &[Fault], left: &str) {
        let first = |f: &Fault| f.entry().puts_right().next();
        self.answer_by(cause, &first, left);
    }

    fn answer_by(&mut self, cause: &[Fault], job: &dyn Fn(&Fault) -> Option<Remedy>, left: &str) {
        let mut jobs: Vec<&str> = Vec::new();
        for remedy in cause.iter().filter_map(job) {
            if !jobs.contains(&remedy.id()) {
                jobs.push(remedy.id());
            }
        }
        if jobs.is_empty() {
            jobs.push(Remedy::Replace.id());
        }
        self.does(&format!(
            "answer {} {} {left}",
            named(cause),
            jobs.join("+")
        ));
    }

    /// Of the jobs that put a fault right, the one that puts right most of what the readings leave open.
    fn safest_job(&self, fault: Fault) -> Option<Remedy> {
        let belief = self.belief().ranked();
        let mended = |job: Remedy| -> f64 {
            let mends = |f: &Fault| f.entry().puts_right().any(|r| r == job);
            let by = |&(c, held): &(usize, f64)| {
                let all = self.causes.cause(c);
                let of = all.iter().filter(|f| mends(f)).count();
                held * of as f64 / all.len().max(1) as f64
            };
            belief.iter().map(by).sum()
        };
        let jobs = fault.entry().puts_right();
        jobs.max_by(|a, b| mended(*a).total_cmp(&mended(*b)))
    }

    fn lucky(&mut self) {
        let cause = self.attempt.drill().cause();
        self.answer(&cause, "shut off");
    }

    /// Any fault that the rig can have, whether the library knows it or not.
    fn any(&self, random: &mut Random) -> Vec<Fault> {
        let all: Vec<Fault> = Fault::all_in(self.sim.rig()).collect();
        vec![all[random.below(all.len())]]
    }

    fn guess(&mut self, random: &mut Random) {
        let cause = self.any(random);
        self.answer(&cause, "shut off");
    }

    fn checklist(&mut self) {
        let tests: Vec<Test> = self.offer.tests().collect();
        for test in tests {
            self.in_order(test);
        }
        self.does("off all");
        let cause = self.likeliest();
        self.answer(&cause, "shut off");
    }

    fn random(&mut self, seed: u64, reckless: bool) {
        let mut random = Random::new(seed ^ 0x5EED, 0);
        let tests: Vec<Test> = self.offer.tests().collect();
        for _ in 0..DRAWN {
            let test = tests[random.below(tests.len())];
            if reckless || self.allows(test) {
                self.test(test);
            }
        }
        if reckless {
            self.does("shut");
            self.does("open fast");
            self.does("light all");
            let _ = self.does("new regulator") || self.does("new hose") || self.does("flush");
        }
        let cause = self.any(&mut random);
        self.answer(&cause, if reckless { "in use" } else { "shut off" });
    }

    fn careful(&mut self) {
        let tests: Vec<Test> = self.offer.tests().collect();
        let mut noted = None;
        for test in tests {
            if self.is_sure_of_all() {
                break;
            }
            self.in_order(test);
            if self.belief().ranked()[0].1 > 0.3 && noted != Some(self.likeliest()) {
                self.note();
                noted = Some(self.likeliest());
            }
        }
        self.does("off all");
        let cause = self.likeliest();
        self.answer(&cause, "shut off");
    }

    fn expert(&mut self, mends: bool) {
        let mut made = Vec::new();
        self.find_out(&mut made);
        let mut mended = Vec::new();
        // What still reads wrong after a repair is another fault: looked for, and put right in its turn.
        while mends && self.put_right(&mut mended, &made) {
            self.find_out(&mut made);
        }
        self.does("off all");
        let cause = self.likeliest();
        let jobs: Vec<(Fault, Option<Remedy>)> =
            cause.iter().map(|f| (*f, self.safest_job(*f))).collect();
        let job = |f: &Fault| jobs.iter().find(|j| j.0 == *f)?.1;
        self.answer_by(&cause, &job, "shut off");
    }

    /// The best next test, each judged and with the suspicion that follows from it, until sure.
    fn find_out(&mut self, made: &mut Vec<Test>) {
        loop {
            self.think_of_pairs();
            if self.is_sure_of_all() {
                return;
            }
            let mut left = self.offer.clone();
            left.retain(|t| !made.contains(&t));
            let may = self.may();
            let two = self.next_of_two(&left).and_then(|t| may.first(t, &left));
            let next = two.or_else(|| Some(may.next(&self.causes, &self.course(), &left)?.0));
            left.retain(|t| may.allows(t));
            // Where no test promises anything and it is not clear yet, the fixed order.
            let (cause, likely) = self.belief().ranked()[0];
            let is_open = likely < ENOUGH || !self.explains_all(cause);
            let usual = || left.tests().find(|_| is_open);
            let Some(test) = next.or_else(usual) else {
                return;
            };
            self.judged(test);
            made.push(test);
            self.note();
        }
    }

    /// Of how many things the owner complains: each of the shipped drills with two faults says two.
    fn complaints(&self) -> usize {
        self.attempt.drill().cause().len()
    }

    /// Where the owner complains of two things, the best of the tests that light a flame and do not end at rest, and after what
    /// promises anything those of pressure under load: what is read at rest may forbid a flame, and with it what tells the other
    /// (common practice: flow before lock-up).
    fn next_of_two(&self, left: &Offer) -> Option<Test> {
        let mut lit = left.clone();
        let rests = |t: Test| matches!(t, Test::Warm | Test::Flush);
        lit.retain(|t| self.complaints() > 1 && !Danger::NoFlame.allows(t) && !rests(t));
        let best = self.causes.next(self.course().met(), &lit);
        let loads = [Test::FlowPressure, Test::FullLoad, Test::Along];
        let usual = || loads.into_iter().find(|t| lit.tests().any(|l| l == *t));
        best.map(|b| b.test).or_else(usual)
    }

    /// Whether sure, and of as much as the owner complains of: one cause does not explain two complaints.
    fn is_sure_of_all(&mut self) -> bool {
        let likeliest = self.belief().ranked()[0].0;
        self.is_sure() && self.explains_all(likeliest)
    }

    fn explains_all(&self, cause: usize) -> bool {
        self.causes.cause(cause).len() >= self.complaints()
    }

    /// Where the owner complains of two things: any two causes of which some test by itself makes one think.
    fn think_of_pairs(&mut self) {
        if self.complaints() < 2 {
            return;
        }
        let met = *self.course().met();
        let mut of: Vec<usize> = Vec::new();
        for rank in 0..12 {
            for test in self.offer.tests() {
                let read = read_by(&self.offer, [&test], &met);
                if read.iter().all(Option::is_none) || of.len() >= PAIRED {
                    continue;
                }
                let (cause, _) = self.single.belief(&read).ranked()[rank];
                if cause != 0 && !of.contains(&cause) {
                    of.push(cause);
                }
            }
        }
        self.causes = Cow::Owned(self.single.with_pairs(&of));
    }

    /// Puts right what is likeliest, where what is at hand does and was not done yet, and makes the tests again that told of
    /// it. Whether there was anything to be done.
    fn put_right(&mut self, mended: &mut Vec<Tool>, made: &[Test]) -> bool {
        let cause = self.likeliest();
        let deeds = [
            (Tool::ClearVents, Deed::ClearVents, "clear vents"),
            (Tool::NewHose, Deed::SwapHose, "new hose"),
            (Tool::NewRegulator, Deed::SwapRegulator, "new regulator"),
        ];
        let cures = |deed: Deed| cause.iter().any(|f| cure(deed, *f) == Cure::Yes);
        let found = deeds
            .into_iter()
            .find(|(tool, deed, _)| self.has(*tool) && !mended.contains(tool) && cures(*deed));
        let Some((tool, deed, words)) = found else {
            return false;
        };
        mended.push(tool);
        self.does("off all");
        if deed == Deed::ClearVents {
            self.does(words);
        } else {
            self.does("shut");
            self.does("bleed");
            self.does(words);
            self.does("open");
            self.does("test leak check");
            self.does("open");
        }
        for test in made {
            if safety::demand(&self.course().since()).0.allows(*test) {
                self.judged(*test);
            }
        }
        true
    }
}

fn named(cause: &[Fault]) -> String {
    if cause.is_empty() {
        return "nothing".to_owned();
    }
    cause
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("+")
}

/// What the best path promised, and what came of going it on the rig itself.
#[derive(Debug, Clone, Copy)]
pub struct Gone {
    /// Belief in what is right after its last step.
    pub promised: f64,
    /// The same by what was read.
    pub shown: f64,
    /// Minutes it should take, from the start.
    pub promised_min: f64,
    /// Minutes it took.
    pub took_min: f64,
}

/// Goes the best path of a drill.
pub fn go_the_path(drill: &Arc<Drill>, causes: &Causes, found: &Assessment) -> Gone {
    let (attempt, sim) = Attempt::unlogged(drill.clone(), "the path", Method::Stiff)
        .unwrap_or_else(|e| panic!("{}: {e}", drill.title));
    let offer = offer_of(drill);
    let values = causes
        .truth(&drill.causes())
        .unwrap_or_else(|e| panic!("{e}"));
    let causes = causes_for(causes, &offer, &drill.cause(), &values);
    let mut work = Work {
        attempt,
        sim,
        single: &causes,
        causes: Cow::Borrowed(&causes),
        offer,
        sure_of: None,
    };
    let from_s = drill.onset_s();
    if from_s > 0.0 {
        work.sim
            .advance(from_s, None, &mut |_| {})
            .unwrap_or_else(|e| panic!("{e}"));
    }
    for (test, _) in &found.path.steps {
        work.test(*test);
    }
    for o in work.attempt.entries().iter().flat_map(|e| &e.found) {
        let promised = values[o.item.index()];
        if promised.is_none_or(|p| (p - o.value).abs() > 0.02 * p.abs()) {
            println!(
                "    read {:?} {:.4}, in a visit {promised:?}",
                o.item, o.value
            );
        }
    }
    let right = found.accepts.iter().filter_map(|c| causes.find(c));
    let right: Vec<usize> = right.collect();
    Gone {
        promised: found.path.steps.last().map_or(0.0, |s| s.1),
        shown: work.belief().in_any(&right),
        promised_min: found.difficulty.all_minutes(),
        took_min: work.sim.time_s() / 60.0,
    }
}

/// What keeps marks in the order of the trainees: each better than the next, guesser and reckless both the last.
pub fn in_order(marks: &[f64; 6]) -> bool {
    marks[..4].windows(2).all(|w| w[0] > w[1]) && marks[3] > marks[4] && marks[3] > marks[5]
}

/// Everything done, in words, for looking into one.
#[allow(dead_code, reason = "for looking into one attempt")]
pub fn tell(grade: &Grade) -> String {
    let parts = grade.parts().map(|(name, p)| {
        format!(
            "{name} {:.0} ({})",
            p.given,
            twostage::report::marks::why(&p.why)
        )
    });
    format!("{:.0}: {}", grade.total(), parts.join("; "))
}
