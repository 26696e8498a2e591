//! Tests and deeds as errands of a living run: the work is done on a copy while the run stands
//! still, its progress and outcome lie in a [`Job`], and the run then goes through the same acts
//! at the same times in front of the person.

use super::bench::{Bench, Progress, VisitError};
use super::deeds::{Deed, DeedDone};
use super::hands::perform;
use super::procedures::{run, run_all};
use super::report::{TestResult, VisitReport};
use super::test::Test;
use crate::service::Sound;
use crate::sim::{Errand, Script, Simulation, Taped};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outbound {
    /// One test.
    Test(Test),
    /// All tests of a visit.
    Visit,
    /// A deed.
    Deed(Deed),
    /// Listen at the regulator.
    Listen,
}

/// How far a job is.
#[derive(Debug, Clone)]
pub enum JobState {
    /// Being worked at.
    Working(Option<Progress>),
    /// A test is through.
    Test(Arc<TestResult>),
    /// A visit is through.
    Visit(Arc<VisitReport>),
    /// A deed is done.
    Done(DeedDone),
    /// What was heard.
    Heard(Sound),
    /// It could not be done, or was stopped; the rig is as it was.
    NotDone(VisitError),
}

/// A job that was sent.
#[derive(Debug, Clone)]
pub struct Job {
    /// Number of its errand.
    pub number: u64,
    /// What was asked for.
    pub what: Outbound,
    state: Arc<Mutex<JobState>>,
    stop: Arc<AtomicBool>,
}

impl Job {
    /// How far it is.
    pub fn state(&self) -> JobState {
        self.state
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Asks it to stop.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    fn say(&self, state: JobState) {
        *self.state.lock().unwrap_or_else(PoisonError::into_inner) = state;
    }

    fn heard(&self, progress: &Progress) -> bool {
        self.say(JobState::Working(Some(*progress)));
        !self.stop.load(Ordering::Relaxed)
    }
}

/// An errand for a session, and the job by which to follow it. `watched_s` is how long the person
/// wants to watch the run go through it \[s\]; 0 is at once.
pub fn send(number: u64, what: Outbound, watched_s: f64) -> (Errand, Job) {
    let job = Job {
        number,
        what,
        state: Arc::new(Mutex::new(JobState::Working(None))),
        stop: Arc::default(),
    };
    let theirs = job.clone();
    let errand = Errand::new(number, move |copy| work(&theirs, copy, watched_s));
    (errand, job)
}

/// The acts of some work that took so long \[s\], with what the file has to come put off by as much.
fn put_off(tape: &[(f64, Taped)], took_s: f64) -> Vec<(f64, Taped)> {
    let act = |(at_s, taped): &(f64, Taped)| match taped {
        Taped::PutOff(_) => (*at_s, Taped::PutOff(took_s)),
        other => (*at_s, *other),
    };
    tape.iter().map(act).collect()
}

/// What the file has to come (burners that somebody switches, valves that somebody turns) waits until the work is through, and
/// comes as much later: nobody else has a hand on a rig while a technician tests it, or a test would tell of that hand. So it reads what
/// `twostage service` reads, which leaves such events out.
fn work(job: &Job, mut copy: Simulation, watched_s: f64) -> Option<Script> {
    let from_s = copy.time_s();
    copy.put_off(f64::INFINITY);
    match done(job, &mut copy) {
        Ok(state) => {
            let heard = matches!(state, JobState::Heard(_));
            job.say(state);
            // Listening changes nothing; the run goes on by itself.
            (!heard).then(|| Script {
                acts: put_off(copy.tape(), copy.time_s() - from_s),
                until_s: copy.time_s(),
                watched_s,
            })
        }
        Err(error) => {
            job.say(JobState::NotDone(error));
            None
        }
    }
}

fn done(job: &Job, copy: &mut Simulation) -> Result<JobState, VisitError> {
    let mut listener = |p: &Progress| job.heard(p);
    let what = job.what;
    let mut bench = Bench::new(copy, &mut listener);
    bench.on_site = true;
    Ok(match what {
        Outbound::Test(kind) => JobState::Test(Arc::new(run(&mut bench, kind)?)),
        Outbound::Visit => JobState::Visit(Arc::new(run_all(&mut bench)?)),
        Outbound::Deed(deed) => JobState::Done(perform(&mut bench, deed)?),
        Outbound::Listen => JobState::Heard(bench.listens()?),
    })
}
