//! How the diagnosis does where it has not learned: rigs with causes put in as raw parameters, known and unknown to the
//! catalogue, poor visits of five readings, and two faults at once. Seeds are fixed; the figures stand in
//! docs/diagnosis.md.
//!
//!     cargo bench --no-default-features --bench unfamiliar            all of it, on the standard rig and a small one
//!     cargo bench --no-default-features --bench unfamiliar -- known   one part: known, unknown, catalogue, poor, few, pairs, winter
//!     cargo bench --no-default-features --bench unfamiliar -- unknown 2/3     the second third of its cases
//!
//! The small rig is learned at the first run (some minutes) and kept in the user's cache.

mod causes;
mod winter;

use causes::{Cause, KNOWN, OUTSIDE};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Instant;
use twostage::diagnosis::answer::{Answer, Pair};
use twostage::diagnosis::files::readings::Readings;
use twostage::diagnosis::library::collection::{HEALTHY_SHARE, Library, draw_unknowns};
use twostage::diagnosis::library::random::Random;
use twostage::diagnosis::library::sample::sample_visit;
use twostage::diagnosis::library::standard::standard_rig;
use twostage::diagnosis::library::unknowns::World;
use twostage::diagnosis::measure::cases::{cases, differs, faults, read};
use twostage::diagnosis::measure::evaluate::asked;
use twostage::diagnosis::store::{Prepared, refine, stored};
use twostage::fault::Fault;
use twostage::scenario::Scenario;
use twostage::visit::{ITEMS, Id, Values};

const SEED: u64 = 77_001;
/// Distances of "none" that are tried by `-- sweep`, single causes only.
const SWEEP: [f64; 6] = [5.0, 3.0, 2.0, 1.5, 1.2, 1.0];
/// Draws of site, parts and noise of each cause.
const DRAWS: u64 = 2;
/// Tries to draw one that shows.
const TRIES: u64 = 8;

const SMALL: &str = r#"
title = "a small trailer"
[site]
air = "60 degF"
[[container]]
kind = "20 lb cylinder"
fill = "60 %"
[[appliance]]
kind = "furnace"
[[appliance]]
kind = "refrigerator"
[[appliance]]
kind = "cooktop"
[run]
duration = "30 min"
sample = "1 s"
"#;

/// Which of all cases are wanted: `2/3` is the second third.
fn is_wanted(case: usize) -> bool {
    let piece = std::env::args().find_map(|a| {
        let (piece, of) = a.split_once('/')?;
        piece.parse().ok().zip(of.parse().ok())
    });
    let (piece, of): (usize, usize) = piece.unwrap_or((1, 1));
    case % of.max(1) + 1 == piece
}

fn prepared(rig: &Scenario) -> Prepared {
    let cancel = AtomicBool::new(false);
    refine(stored(rig, &|_| {}), &cancel, &|_| {}, &mut |_| {}).expect("a library")
}

/// A visit to a rig with a cause in it, and what instruments read there.
struct Case {
    cause: &'static Cause,
    read: Values,
    /// What stands out.
    out: [bool; ITEMS],
}

/// Work on many threads, in order.
fn over<T: Send, U: Sync>(all: &[U], one: impl Fn(usize, &U) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let out: Mutex<Vec<(usize, T)>> = Mutex::new(Vec::new());
    let work = || {
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = all.get(i) else { break };
            let done = one(i, item);
            if let Ok(mut out) = out.lock() {
                out.push((i, done));
            }
        }
    };
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    std::thread::scope(|s| (0..threads).for_each(|_| drop(s.spawn(work))));
    let mut all = out.into_inner().expect("no thread panics");
    all.sort_by_key(|(i, _)| *i);
    all.into_iter().map(|(_, t)| t).collect()
}

/// Cases of a list of causes, those that show.
fn drawn(p: &Prepared, list: &'static [Cause], seed: u64) -> Vec<Case> {
    let jobs: Vec<(usize, u64)> = (0..list.len())
        .flat_map(|k| (0..DRAWS).map(move |d| (k, d)))
        .filter(|(k, _)| is_wanted(*k))
        .collect();
    let cases = over(&jobs, |_, &(k, d)| {
        (0..TRIES).find_map(|t| {
            let mut random = Random::new(seed, (k as u64) << 16 | d << 8 | t);
            let unknowns = draw_unknowns(None, &mut random);
            let mut base = p.library.base.clone();
            (list[k].change)(&mut base.rig);
            let (mut own, mut twins) = (random.clone(), random.clone());
            let world = World::NOMINAL;
            let truth = sample_visit(&base, &[], &unknowns, world, &mut own).ok()?;
            let twin = sample_visit(&p.library.base, &[], &unknowns, world, &mut twins).ok()?;
            let by_cause = differs(&truth, &twin);
            let out = p.model.stands_out(&truth, &unknowns);
            (0..ITEMS).any(|i| by_cause[i] && out[i]).then(|| Case {
                cause: &list[k],
                read: read(&truth, 1.0, &mut own),
                out,
            })
        })
    });
    cases.into_iter().flatten().collect()
}

fn readings(values: Values) -> Readings {
    Readings {
        values,
        ..Readings::default()
    }
}

fn share(count: usize, of: usize) -> f64 {
    100.0 * count as f64 / of.max(1) as f64
}

/// Jobs by their probability: a group is the right one where any of its causes is of the right job.
fn ranked(answer: &Answer, job: &[&str]) -> Vec<(f64, bool)> {
    let right = |names: &[String]| names.iter().any(|n| job.contains(&n.as_str()));
    let mut out: Vec<(f64, bool)> = Vec::new();
    // All causes of the right job are one: what is to be done is the same.
    let mut right_sum = 0.0;
    for g in &answer.groups {
        if right(&g.causes) {
            right_sum += g.probability;
        } else {
            out.push((g.probability, false));
        }
    }
    for pair in &answer.pairs {
        let names = pair.faults.map(|f| f.id().to_owned());
        if right(&names) {
            right_sum += pair.probability;
        } else {
            out.push((pair.probability, false));
        }
    }
    out.push((right_sum, true));
    out.push((answer.none_of_these, false));
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out
}

#[derive(Default)]
struct Count {
    cases: usize,
    first: usize,
    in_three: usize,
    sure_wrong: usize,
    bins: [(f64, f64); 10],
    missed: Vec<String>,
}

impl Count {
    fn take(&mut self, words: &str, answer: &Answer, job: &[&str]) {
        let ranked = ranked(answer, job);
        let (top, right) = ranked[0];
        self.cases += 1;
        self.first += usize::from(right);
        let in_three = ranked.iter().take(3).any(|r| r.1);
        self.in_three += usize::from(in_three);
        self.sure_wrong += usize::from(!right && top > 0.9);
        let bin = ((10.0 * top) as usize).min(9);
        self.bins[bin].0 += top;
        self.bins[bin].1 += f64::from(u8::from(right));
        if !right {
            let first = answer.groups.first();
            let named = first.map_or("", |g| g.name.as_str());
            self.missed.push(format!(
                "{words}: {named} {:.2}, none {:.2}{}",
                first.map_or(0.0, |g| g.probability),
                answer.none_of_these,
                if in_three { "" } else { " (not in three)" }
            ));
        }
    }

    fn say(&self, what: &str) {
        let off: f64 = self.bins.iter().map(|(p, r)| (p - r).abs()).sum();
        println!(
            "{what}: {} cases, right job first {:.0} %, in three {:.0} %, over 90 % sure and wrong {}, calibration error {:.1} %",
            self.cases,
            share(self.first, self.cases),
            share(self.in_three, self.cases),
            self.sure_wrong,
            100.0 * off / self.cases.max(1) as f64
        );
        self.missed.iter().for_each(|m| println!("    {m}"));
    }
}

fn known(p: &Prepared, name: &str) -> Vec<Case> {
    let begun = Instant::now();
    let cases = drawn(p, KNOWN, SEED);
    let mut count = Count::default();
    for (case, answer) in cases.iter().zip(answers(p, cases.iter().map(|c| c.read))) {
        count.take(case.cause.words, &answer, case.cause.job);
    }
    count.say(&format!("known, {name}"));
    println!("    {:.0} s", begun.elapsed().as_secs_f64());
    cases
}

/// Answers as a user gets them, the closer look with them.
fn answers(p: &Prepared, all: impl Iterator<Item = Values>) -> Vec<Answer> {
    looked(p, &all.map(readings).collect::<Vec<_>>())
}

fn looked(p: &Prepared, all: &[Readings]) -> Vec<Answer> {
    over(all, |_, readings| {
        p.answer_with_pairs(readings, &AtomicBool::new(false))
    })
}

/// Five readings: the three that every visit has (flow pressure, lock-up, leak check), the flames, and one more, drawn
/// among what the complaint would lead to: of those that stand out where any does.
fn poor(p: &Prepared, cases: &[Case], name: &str) {
    const ALWAYS: [Id; 4] = [Id::HalfOutlet, Id::RestMinute, Id::LeakChange, Id::Flames];
    let few: Vec<Values> = (0_u64..)
        .zip(cases)
        .map(|(k, case)| {
            let mut random = Random::new(SEED + 2, k);
            let rest = (0..ITEMS).filter(|i| case.read[*i].is_some());
            let rest = rest.filter(|i| ALWAYS.iter().all(|id| id.index() != *i));
            let (out, others): (Vec<usize>, Vec<usize>) = rest.partition(|i| case.out[*i]);
            let from = if out.is_empty() { others } else { out };
            let one = from[random.below(from.len())];
            std::array::from_fn(|i| {
                let read = i == one || ALWAYS.iter().any(|id| id.index() == i);
                case.read[i].filter(|_| read)
            })
        })
        .collect();
    let mut count = Count::default();
    for (case, answer) in cases.iter().zip(answers(p, few.into_iter())) {
        count.take(case.cause.words, &answer, case.cause.job);
    }
    count.say(&format!("poor, {name}"));
}

/// What an answer comes to: none, nothing over a half, or sure.
#[derive(Default)]
struct Called {
    cases: usize,
    none: usize,
    half: usize,
    sure: usize,
    /// A cause, or the likeliest pair, comes as near as true ones mostly do: nobody could tell from these readings.
    alike: usize,
    /// Of the others, those called none or under a half.
    told: usize,
}

/// What 19 of 20 true causes of the catalogue leave over at most, in squared deviations a reading.
const BAND: f64 = 1.5;

impl Called {
    fn take(&mut self, a: &Answer) -> String {
        let single = a.groups.first().map_or(0.0, |g| g.probability);
        let pair = a.pairs.first().map_or(0.0, |x| x.probability);
        let top = single.max(pair);
        self.cases += 1;
        self.none += usize::from(a.none_of_these >= top);
        self.half += usize::from(a.none_of_these < top && top < 0.5);
        self.sure += usize::from(top > 0.9);
        let near = |x: &Pair| x.left_over.is_some_and(|l| l < BAND);
        let alike = a.left_over.is_none_or(|l| l < BAND) || a.pairs.first().is_some_and(near);
        self.alike += usize::from(alike);
        self.told += usize::from(!alike && (a.none_of_these >= top || top < 0.5));
        let named = if pair > single {
            a.pairs.first().map_or("", |x| x.name.as_str())
        } else {
            a.groups.first().map_or("", |g| g.name.as_str())
        };
        format!(
            "{:.2} none, {top:.2} {named} | misfit {:.2}, left over {}",
            a.none_of_these,
            a.misfit,
            a.left_over
                .map_or_else(|| "-".to_owned(), |l| format!("{l:.2}"))
        )
    }

    fn say(&self, what: &str) {
        println!(
            "{what}: {} cases, {} called none, {} more under 50 % ({:.0} % together), {} named with over 90 %",
            self.cases,
            self.none,
            self.half,
            share(self.none + self.half, self.cases),
            self.sure
        );
        println!(
            "    {} as near to a cause of the catalogue as its own cases are; of the other {}, {} called none or under 50 %",
            self.alike,
            self.cases - self.alike,
            self.told
        );
    }
}

fn unknown(p: &Prepared) {
    let mut rows = drawn(p, OUTSIDE, SEED + 1);
    let mut called = Called::default();
    let all = answers(p, rows.iter().map(|c| c.read));
    for (case, a) in rows.drain(..).zip(all) {
        let row = called.take(&a);
        println!("    {row} | {}", case.cause.words);
    }
    called.say("unknown");
}

/// A library as it stood after some rounds.
fn after(full: &Library, rounds: usize) -> Prepared {
    let mut library = Library::new(&full.base);
    let mut seen: Vec<(Option<Fault>, usize)> = Vec::new();
    for s in &full.samples {
        let most = if s.fault.is_some() {
            rounds
        } else {
            rounds * HEALTHY_SHARE
        };
        let at = seen.iter().position(|c| c.0 == s.fault).unwrap_or_else(|| {
            seen.push((s.fault, 0));
            seen.len() - 1
        });
        seen[at].1 += 1;
        if seen[at].1 <= most {
            library.samples.push(*s);
        }
    }
    library.rounds = rounds;
    Prepared::from_library(library).expect("healthy visits")
}

/// First answers from few visits: how sure they are and how often right.
fn few(p: &Prepared) {
    let cases = drawn(p, KNOWN, SEED);
    for rounds in [1, 2, 4, 8, 12] {
        let p = after(&p.library, rounds);
        let mut count = Count::default();
        let mut sure = 0;
        for case in &cases {
            let answer = p.answer(&readings(case.read));
            let top = answer.groups.first().map_or(0.0, |g| g.probability);
            sure += usize::from(top > 0.95);
            count.take(case.cause.words, &answer, case.cause.job);
        }
        count.missed.clear();
        count.say(&format!(
            "{} visits, {rounds} rounds",
            p.model.kernels.len()
        ));
        println!("    over 95 % sure {sure}");
    }
}

/// Cases of the catalogue: what they are called, which must not be none.
fn catalogue(p: &Prepared) {
    let cases = cases(p, &faults(p), 0..240, SEED + 4, World::NOMINAL, &|_| {});
    let cases = cases
        .iter()
        .enumerate()
        .filter(|(k, c)| c.shows && is_wanted(*k));
    let cases: Vec<_> = cases.map(|(_, c)| c).collect();
    let (mut called, mut count) = (Called::default(), Count::default());
    let (mut misfits, mut left) = (Vec::new(), Vec::new());
    // What cases are drawn from is what is asked with: anything else would count priors as mistakes.
    let asked: Vec<_> = cases.iter().map(|c| asked(p, c.read)).collect();
    for (case, a) in cases.iter().zip(looked(p, &asked)) {
        let row = called.take(&a);
        let name = case.fault.map_or("healthy", |f| f.id());
        if a.left_over.is_some_and(|l| l > BAND) || a.none_of_these > 0.2 {
            println!("    {row} | {name} {:.3}", case.severity);
        }
        count.take(name, &a, &[name]);
        misfits.push(a.misfit);
        left.push(a.left_over.unwrap_or(0.0));
    }
    called.say("catalogue");
    count.say("catalogue");
    for (what, all) in [("misfit", &mut misfits), ("left over", &mut left)] {
        all.sort_by(f64::total_cmp);
        let at = |q: f64| all[((all.len() - 1) as f64 * q) as usize];
        let shares = [0.5, 0.75, 0.9, 0.95, 0.98, 0.99]
            .map(|q| format!("{:.0} % under {:.2}", 100.0 * q, at(q)));
        println!("    {what}: {}", shares.join(", "));
    }
}

/// What other distances of "none" would come to.
fn sweep(p: &Prepared) {
    let outside = drawn(p, OUTSIDE, SEED + 1);
    let inside = cases(p, &faults(p), 0..240, SEED + 4, World::NOMINAL, &|_| {});
    for distance in SWEEP {
        let mut p = p.clone();
        p.model.tuning.none_distance = distance;
        let (mut out, mut own) = (Called::default(), Called::default());
        outside
            .iter()
            .for_each(|c| drop(out.take(&p.answer(&readings(c.read)))));
        let shown = inside.iter().filter(|c| c.shows);
        shown.for_each(|c| drop(own.take(&p.answer(&readings(c.read)))));
        out.say(&format!("{distance}: unknown"));
        own.say(&format!("{distance}: catalogue"));
    }
    let mut misfits: Vec<f64> = inside
        .iter()
        .filter(|c| c.shows)
        .map(|c| p.answer(&readings(c.read)).misfit)
        .collect();
    misfits.sort_by(f64::total_cmp);
    for q in [0.5, 0.9, 0.95, 0.98, 0.99] {
        println!(
            "catalogue: {:.0} % under misfit {:.2}",
            100.0 * q,
            misfits[((misfits.len() - 1) as f64 * q) as usize]
        );
    }
}

fn pairs(p: &Prepared) {
    const PAIRS: u64 = 20;
    let faults: Vec<Fault> = p.model.causes.iter().copied().flatten().collect();
    let shows = |f: &Fault| {
        let at = p.model.causes.iter().position(|c| *c == Some(*f));
        at.is_some_and(|c| p.model.counts[c] > 0)
    };
    let faults: Vec<Fault> = faults.into_iter().filter(shows).collect();
    let drawn: Vec<u64> = (0..PAIRS).filter(|k| is_wanted(*k as usize)).collect();
    let all = over(&drawn, |_, &k| {
        (0..TRIES).find_map(|t| {
            let mut random = Random::new(SEED + 3, k << 8 | t);
            let a = faults[random.below(faults.len())];
            let b = faults[random.below(faults.len())];
            let severities = [random.between(0.35, 0.9), random.between(0.35, 0.9)];
            if a.id() == b.id() {
                return None;
            }
            let unknowns = draw_unknowns(None, &mut random);
            let list = [(a, severities[0]), (b, severities[1])];
            let visit = |list: &[(Fault, f64)]| {
                let mut own = random.clone();
                sample_visit(&p.library.base, list, &unknowns, World::NOMINAL, &mut own).ok()
            };
            let (both, one, other) = (visit(&list)?, visit(&list[..1])?, visit(&list[1..])?);
            // Each has to show behind the other, or nobody could tell.
            let apart = |v: &Values| differs(&both, v).iter().filter(|d| **d).count();
            (apart(&one) > 0 && apart(&other) > 0)
                .then(|| (list, read(&both, 1.0, &mut random.clone())))
        })
    });
    let all: Vec<_> = all.into_iter().flatten().collect();
    let (mut both_in_three, mut sure) = (0, 0);
    for ((list, _), a) in all.iter().zip(answers(p, all.iter().map(|c| c.1))) {
        let mut rows: Vec<(f64, Vec<String>)> = a
            .groups
            .iter()
            .map(|g| (g.probability, g.causes.clone()))
            .chain(
                a.pairs
                    .iter()
                    .map(|x| (x.probability, x.faults.map(|f| f.id().to_owned()).to_vec())),
            )
            .collect();
        rows.sort_by(|a, b| b.0.total_cmp(&a.0));
        let named = |names: &[String]| list.iter().all(|(f, _)| names.iter().any(|n| n == f.id()));
        let three: Vec<String> = rows.iter().take(3).flat_map(|r| r.1.clone()).collect();
        let found = named(&three);
        let wrong = rows[0].0 > 0.9 && !named(&rows[0].1);
        both_in_three += usize::from(found);
        sure += usize::from(wrong);
        println!(
            "    {}{} | {:?} none {:.2} | {:.2} {:?}",
            if found { "found" } else { "lacks" },
            if wrong { ", sure" } else { "" },
            list.map(|(f, s)| format!("{f} {s:.2}")),
            a.none_of_these,
            rows[0].0,
            rows[0].1
        );
    }
    println!(
        "pairs: {} drawn, both in the first three {both_in_three}, over 90 % sure and lacking one {sure}",
        all.len()
    );
}

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with('-'))
        .collect();
    let does = |part: &str| wanted.is_empty() || wanted.iter().any(|w| w == part);
    let standard = prepared(&standard_rig());
    let both = does("known") || does("poor");
    let mut rigs = vec![("standard rig", standard.clone())];
    if both && !wanted.iter().any(|w| w == "standard") {
        let small = Scenario::parse("small", SMALL).unwrap_or_else(|e| panic!("{e}"));
        rigs.push(("small rig", prepared(&small)));
    }
    for (name, p) in &rigs {
        if both {
            let cases = known(p, name);
            if does("poor") {
                poor(p, &cases, name);
            }
        }
    }
    if does("unknown") {
        unknown(&standard);
    }
    if does("catalogue") {
        catalogue(&standard);
    }
    if wanted.iter().any(|w| w == "sweep") {
        sweep(&standard);
    }
    if does("few") {
        few(&standard);
    }
    if does("winter") {
        winter::winter(&standard);
    }
    if does("pairs") {
        pairs(&standard);
    }
}
