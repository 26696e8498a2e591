//! The live run on a thread of its own: commands go in, snapshots come out.
//!
//! Order of one tick: commands (which may look back, branch or replace the run), advance, publish.

use super::branch::{BranchName, KeptBranch, Records};
use super::live::Live;
use super::script::{Errand, NoWitness, Script, ScriptState, Witness};
use super::snapshot::{Snapshot, Waiting};
use crate::scenario::{Action, Scenario};
use crate::sim::error::SimError;
use crate::sim::mark::Mark;
use crate::sim::tape::Taped;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, TryRecvError, channel};
use std::sync::{Arc, Mutex, PoisonError, RwLock, RwLockReadGuard};
use std::time::{Duration, Instant};

/// Slowest pace: simulated seconds per second.
pub const SLOWEST: f64 = 1e-3;
/// Fastest pace: ten hours a second.
pub const FASTEST: f64 = 36_000.0;
/// Length of a tick.
const TICK: Duration = Duration::from_millis(16);
/// Share of a tick that may be spent computing before the pace gives way.
const BUDGET: Duration = Duration::from_millis(12);
/// A script is recorded at least this finely: eight rows a slice \[s\].
const SCRIPT_SLICE_S: f64 = 4.0;

/// What the window can ask for.
#[derive(Debug, Clone)]
pub enum Command {
    /// Let time run.
    Play,
    /// Hold time.
    Pause,
    /// Advance by the given simulated time and hold \[s\].
    Step(f64),
    /// Pace in simulated seconds per second.
    Rate(f64),
    /// Look at a moment of the run \[s\]; infinity is its end.
    LookAt(f64),
    /// Go on from the moment that is looked at; what came after is kept as a branch.
    GoOnFromHere,
    /// Go on with a kept branch, at its end.
    SwitchTo(BranchName),
    /// Do something to the rig now; in the past that begins a branch.
    Act(Action),
    /// Replace the run by a scenario, and end what was set aside.
    Load(Box<Scenario>),
    /// Show a scenario for a while. The run that was there is set aside whole; one that is itself shown for a while ends.
    Lend(Box<Scenario>),
    /// Go back to the run that was set aside, as it was left.
    GiveBack,
    /// Load the present scenario again from its start.
    Restart,
    /// Do some work on a copy of the run, then go through the script it leaves.
    Errand(Errand),
    /// Go through the rest of the script as fast as can be.
    Hurry,
    /// Leave the script where it is.
    DropScript,
}

/// What thread and window share.
struct Shared {
    snapshot: Mutex<Arc<Snapshot>>,
    records: RwLock<Records>,
}

/// A live run on its own thread; dropping it ends the thread.
pub struct Session {
    shared: Arc<Shared>,
    commands: Sender<Command>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Session {
    /// Starts a scenario. `wake` is called after each new snapshot.
    ///
    /// # Errors
    /// What kept the rig from coming to rest, in words.
    pub fn start(scenario: Scenario, wake: impl Fn() + Send + 'static) -> Result<Self, String> {
        Self::start_before(scenario, Box::new(NoWitness), wake)
    }

    /// Starts a scenario before a witness, who sees the run ahead of each snapshot.
    ///
    /// # Errors
    /// As [`Session::start`].
    pub fn start_before(
        scenario: Scenario,
        witness: Box<dyn Witness>,
        wake: impl Fn() + Send + 'static,
    ) -> Result<Self, String> {
        let mut records = Records::default();
        let live = Live::start(Arc::new(scenario), &mut records).map_err(|e| e.to_string())?;
        let (commands, inbox) = channel();
        let mut worker = Worker {
            live,
            touched: false,
            playing: true,
            rate: 1.0,
            reached: 0.0,
            trouble: None,
            generation: 0,
            marks: Arc::default(),
            kept: Arc::default(),
            acts: Arc::default(),
            witness,
            script: None,
            script_done: 0,
            aside: None,
        };
        let shared = Arc::new(Shared {
            snapshot: Mutex::new(Arc::new(worker.snapshot())),
            records: RwLock::new(records),
        });
        let theirs = shared.clone();
        let thread = std::thread::Builder::new()
            .name("twostage-sim".to_owned())
            .spawn(move || worker.run(&inbox, &theirs, &wake))
            .map_err(|e| format!("no thread for the simulation: {e}"))?;
        Ok(Self {
            shared,
            commands,
            thread: Some(thread),
        })
    }

    /// Sends a command; the next snapshot shows what came of it.
    pub fn send(&self, command: Command) {
        // The thread only ends with the session, so a lost command has no one to miss it.
        let _ = self.commands.send(command);
    }

    /// The newest snapshot.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        self.shared
            .snapshot
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// The records of the run and the kept branches, held for reading; let go of them soon.
    pub fn records(&self) -> RwLockReadGuard<'_, Records> {
        self.shared
            .records
            .read()
            .unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        let (closed, _) = channel();
        self.commands = closed;
        if let Some(t) = self.thread.take() {
            let _ = t.join();
        }
    }
}

struct Worker {
    live: Live,
    touched: bool,
    playing: bool,
    rate: f64,
    reached: f64,
    trouble: Option<String>,
    generation: u64,
    marks: Arc<Vec<Mark>>,
    kept: Arc<Vec<KeptBranch>>,
    acts: Arc<Vec<(f64, Taped)>>,
    witness: Box<dyn Witness>,
    script: Option<Running>,
    script_done: u64,
    aside: Option<Aside>,
}

/// A run that waits while another is shown, with what was recorded of it.
struct Aside {
    live: Live,
    records: Records,
    touched: bool,
    playing: bool,
    rate: f64,
    trouble: Option<String>,
}

impl Aside {
    fn waiting(&self) -> Waiting {
        let rig = self.live.rig();
        Waiting {
            scenario: rig.scenario().clone(),
            at_s: rig.time_s(),
            touched: self.touched,
        }
    }
}

/// A script the run goes through, and how time went before it.
struct Running {
    script: Script,
    state: ScriptState,
    next: usize,
    playing_before: bool,
    rate_before: f64,
}

impl Worker {
    fn run(&mut self, inbox: &Receiver<Command>, shared: &Shared, wake: &dyn Fn()) {
        let mut last = Instant::now();
        loop {
            if self.playing {
                if !self.carry_out_all(None, inbox, shared) {
                    return;
                }
            } else {
                match inbox.recv() {
                    Ok(c) => {
                        if !self.carry_out_all(Some(c), inbox, shared) {
                            return;
                        }
                    }
                    Err(_) => return,
                }
                last = Instant::now();
            }
            if self.playing {
                let now = Instant::now();
                // A stall (a laptop that slept) must not become a jump.
                let elapsed = (now - last).as_secs_f64().min(0.1);
                last = now;
                self.advance(elapsed, shared);
            }
            self.publish(shared);
            wake();
            if self.playing {
                match inbox.recv_timeout(TICK.saturating_sub(last.elapsed())) {
                    Ok(c) => {
                        self.carry_out(c, shared);
                        // Once time holds, the loop waits for the next command: show this first.
                        self.publish(shared);
                        wake();
                    }
                    Err(RecvTimeoutError::Timeout) => {}
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
        }
    }

    /// Carries out what has come in; false once nobody is there to send. Of several moments to look at in a row
    /// only the last counts, so that the picture keeps up with a hand on the ruler.
    fn carry_out_all(
        &mut self,
        first: Option<Command>,
        inbox: &Receiver<Command>,
        shared: &Shared,
    ) -> bool {
        let mut next = first;
        loop {
            let following = match inbox.try_recv() {
                Ok(c) => Some(c),
                Err(TryRecvError::Empty) => None,
                Err(TryRecvError::Disconnected) => return false,
            };
            let passed_over = matches!(
                (&next, &following),
                (Some(Command::LookAt(_)), Some(Command::LookAt(_)))
            );
            let is_last = following.is_none();
            if let Some(command) = std::mem::replace(&mut next, following)
                && !passed_over
            {
                self.carry_out(command, shared);
            }
            if is_last {
                return true;
            }
        }
    }

    fn publish(&mut self, shared: &Shared) {
        let sim = self.live.rig();
        let back = sim.readings().time_s < self.live.front_s();
        self.witness.see(sim, back);
        let snapshot = Arc::new(self.snapshot());
        *shared
            .snapshot
            .lock()
            .unwrap_or_else(PoisonError::into_inner) = snapshot;
    }

    fn carry_out(&mut self, command: Command, shared: &Shared) {
        let mut records = shared
            .records
            .write()
            .unwrap_or_else(PoisonError::into_inner);
        // A hand on the rig, or another time, makes the rest of a script meaningless.
        if matches!(
            command,
            Command::Act(_)
                | Command::LookAt(_)
                | Command::GoOnFromHere
                | Command::SwitchTo(_)
                | Command::Step(_)
                | Command::Load(_)
                | Command::Lend(_)
                | Command::GiveBack
                | Command::Restart
                | Command::Errand(_)
                | Command::DropScript
        ) {
            self.leave_script(&mut records);
        }
        match command {
            Command::Play => self.playing = self.trouble.is_none(),
            Command::Pause => {
                self.playing = false;
                self.reached = 0.0;
            }
            Command::Step(dt) => {
                self.playing = false;
                let until = self.live.rig().time_s() + dt.max(0.0);
                self.go(until, &mut records);
            }
            Command::Rate(rate) => {
                if rate.is_finite() {
                    self.rate = rate.clamp(SLOWEST, FASTEST);
                }
            }
            Command::LookAt(t) => {
                self.trouble = None;
                let looked = self.live.look_at(t);
                self.stop_if(looked, &mut records);
            }
            Command::GoOnFromHere => {
                self.trouble = None;
                let branched = self.live.branch_off(&mut records);
                self.stop_if(branched, &mut records);
            }
            Command::SwitchTo(name) => {
                self.trouble = None;
                self.live.switch_to(name, &mut records);
            }
            Command::Act(action) => {
                self.touched = true;
                let acted = self.live.act(&action, &mut records);
                self.stop_if(acted, &mut records);
            }
            Command::Load(scenario) => {
                if self.replace(Arc::new(*scenario), &mut records).is_some() {
                    self.aside = None;
                }
            }
            Command::Lend(scenario) => {
                let was = self.replace(Arc::new(*scenario), &mut records);
                self.aside = self.aside.take().or(was);
            }
            Command::GiveBack => self.give_back(&mut records),
            Command::Restart => {
                self.replace(self.live.rig().scenario().clone(), &mut records);
            }
            Command::Errand(errand) => self.go_on_errand(&errand, &mut records),
            Command::Hurry => {
                if self.script.is_some() {
                    self.rate = FASTEST;
                    self.playing = true;
                }
            }
            Command::DropScript => {}
        }
    }

    /// Does an errand on a copy while the run stands still, then takes up its script.
    fn go_on_errand(&mut self, errand: &Errand, records: &mut Records) {
        let from_s = self.live.rig().time_s();
        let Some(script) = errand.run(self.live.rig().copy()) else {
            return;
        };
        if self.trouble.is_some() {
            return;
        }
        // A test in the past is a hand on the rig as any other.
        let branched = self.live.branch_off(records);
        self.stop_if(branched, records);
        let running = Running {
            state: ScriptState {
                errand: errand.number,
                from_s,
                until_s: script.until_s,
            },
            next: 0,
            playing_before: self.playing,
            rate_before: self.rate,
            script,
        };
        let length_s = running.state.until_s - from_s;
        self.rate = if running.script.watched_s > 0.0 {
            (length_s / running.script.watched_s).clamp(1.0, FASTEST)
        } else {
            FASTEST
        };
        self.playing = true;
        self.touched = true;
        self.script = Some(running);
        self.follow_script(records);
    }

    /// Leaves the script where it is; what was put off for the rest of it comes as much sooner again.
    fn leave_script(&mut self, records: &mut Records) {
        if let Some(running) = self.script.take() {
            let rest_s = running.state.until_s - self.live.rig().time_s();
            let put_off = |act: &(f64, Taped)| matches!(act.1, Taped::PutOff(_));
            if rest_s > 0.0 && running.script.acts[..running.next].iter().any(put_off) {
                // At its end the run has no past to be brought back to, so that nothing can fail.
                let _ = self.live.repeat(&Taped::PutOff(-rest_s), records);
            }
            self.rate = running.rate_before;
            self.playing = running.playing_before && self.trouble.is_none();
        }
    }

    /// Does what the script has for this moment; ends it at its end.
    fn follow_script(&mut self, records: &mut Records) {
        let now_s = self.live.rig().time_s();
        let Some(running) = &mut self.script else {
            return;
        };
        while let Some((at_s, taped)) = running.script.acts.get(running.next) {
            if *at_s > now_s {
                break;
            }
            running.next += 1;
            if let Err(e) = self.live.repeat(taped, records) {
                self.stop_for(&e, records);
                return;
            }
        }
        if now_s >= running.state.until_s {
            self.script_done = running.state.errand;
            self.leave_script(records);
        }
    }

    /// Where a script stops the run on the way to `until_s`, and how long a slice may be.
    fn script_stop_s(&self, until_s: f64) -> f64 {
        self.script.as_ref().map_or(until_s, |r| {
            let next = r.script.acts.get(r.next).map_or(r.state.until_s, |a| a.0);
            until_s
                .min(next)
                .min(self.live.rig().time_s() + SCRIPT_SLICE_S)
        })
    }

    /// Shows another scenario from its start; the run that was there. One that cannot start leaves it as it was.
    fn replace(&mut self, scenario: Arc<Scenario>, records: &mut Records) -> Option<Aside> {
        let mut fresh = Records::default();
        match Live::start(scenario, &mut fresh) {
            Ok(live) => Some(self.put_on_show(live, fresh, records)),
            Err(e) => {
                self.trouble = Some(format!("the scenario could not start: {e}"));
                None
            }
        }
    }

    fn put_on_show(&mut self, live: Live, fresh: Records, records: &mut Records) -> Aside {
        self.generation += 1;
        self.witness.meet_another();
        // What is shown of another run is not told from this one by its length.
        (self.marks, self.kept, self.acts) = Default::default();
        Aside {
            live: std::mem::replace(&mut self.live, live),
            records: std::mem::replace(records, fresh),
            touched: std::mem::take(&mut self.touched),
            playing: self.playing,
            rate: self.rate,
            trouble: self.trouble.take(),
        }
    }

    fn give_back(&mut self, records: &mut Records) {
        let Some(aside) = self.aside.take() else {
            return;
        };
        self.put_on_show(aside.live, aside.records, records);
        self.touched = aside.touched;
        self.playing = aside.playing;
        self.rate = aside.rate;
        self.trouble = aside.trouble;
    }

    fn stop_for(&mut self, e: &dyn std::fmt::Display, records: &mut Records) {
        self.leave_script(records);
        self.trouble = Some(format!(
            "the model stopped: {e}. Go back to an earlier moment, or load the scenario again"
        ));
        self.playing = false;
        self.reached = 0.0;
    }

    fn stop_if(&mut self, outcome: Result<(), SimError>, records: &mut Records) {
        if let Err(e) = outcome {
            self.stop_for(&e, records);
        }
    }

    fn go(&mut self, until_s: f64, records: &mut Records) {
        let gone = self.live.advance(until_s, records);
        self.stop_if(gone, records);
    }

    /// Advances by `elapsed` times the pace, in slices, until the budget of the tick is spent.
    fn advance(&mut self, elapsed: f64, shared: &Shared) {
        let begun = Instant::now();
        let from = self.live.rig().time_s();
        let until = from + elapsed * self.rate;
        let slices = if self.rate > 100.0 { 12.0 } else { 1.0 };
        let slice = (until - from) / slices;
        while self.playing && self.live.rig().time_s() < until {
            let next = (self.live.rig().time_s() + slice).min(until);
            let next = if until - next < 0.5 * slice {
                until
            } else {
                next
            };
            let next = self.script_stop_s(next);
            let mut records = shared
                .records
                .write()
                .unwrap_or_else(PoisonError::into_inner);
            self.go(next, &mut records);
            let scripted = self.script.is_some();
            self.follow_script(&mut records);
            drop(records);
            if scripted && self.script.is_none() {
                break;
            }
            if begun.elapsed() > BUDGET {
                break;
            }
        }
        if elapsed > 0.0 {
            let now = (self.live.rig().time_s() - from) / elapsed;
            self.reached += 0.1 * (now - self.reached);
        }
    }

    fn snapshot(&mut self) -> Snapshot {
        let sim = self.live.rig();
        let marks = self.live.marks();
        if self.marks.len() != marks.len() || self.marks.last() != marks.last() {
            self.marks = Arc::new(marks.to_vec());
        }
        let acts = self.live.acts();
        if self.acts.len() != acts.len() || self.acts.last() != acts.last() {
            self.acts = Arc::new(acts.to_vec());
        }
        let kept = self.live.kept();
        if *self.kept != kept {
            self.kept = Arc::new(kept);
        }
        let readings = sim.readings();
        Snapshot {
            readings,
            twin: self.live.twin_readings(),
            rig: sim.rig().clone(),
            scenario: sim.scenario().clone(),
            moment: sim.moment().clone(),
            touched: self.touched,
            faults: sim.moment().faults.clone(),
            playing: self.playing,
            rate: self.rate,
            rate_reached: self.reached,
            marks: self.marks.clone(),
            acts: self.acts.clone(),
            front_s: self.live.front_s(),
            branch: self.live.branch(),
            kept: self.kept.clone(),
            trouble: self.trouble.clone(),
            generation: self.generation,
            script: self.script.as_ref().map(|r| r.state),
            script_done: self.script_done,
            aside: self.aside.as_ref().map(Aside::waiting),
        }
    }
}
