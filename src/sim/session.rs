//! The live run on a thread of its own: commands go in, snapshots come out.
//!
//! Order of one tick: commands (which may rewind or replace the run), advance, publish.

use super::faults::ActiveFault;
use super::live::Live;
use super::mark::Mark;
use super::record::Record;
use super::script::{Errand, NoWitness, Script, ScriptState, Witness};
use crate::rig::{Readings, Rig};
use crate::scenario::{Action, Scenario};
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
    /// Go back to a moment \[s\].
    RewindTo(f64),
    /// Do something to the rig now.
    Act(Action),
    /// Replace the run by a scenario.
    Load(Box<Scenario>),
    /// Load the present scenario again from its start.
    Restart,
    /// Do some work on a copy of the run, then go through the script it leaves.
    Errand(Errand),
    /// Go through the rest of the script as fast as can be.
    Hurry,
    /// Leave the script where it is.
    DropScript,
}

/// All a screen needs, at one moment.
#[derive(Debug, Clone)]
pub struct Snapshot {
    /// Readings of the rig.
    pub readings: Readings,
    /// Readings of the healthy twin under the same inputs.
    pub twin: Readings,
    /// The rig with its faults: dimensions, names, ratings.
    pub rig: Arc<Rig>,
    /// The scenario as loaded.
    pub scenario: Arc<Scenario>,
    /// Faults in the rig.
    pub faults: Vec<ActiveFault>,
    /// Whether time runs.
    pub playing: bool,
    /// Pace asked for.
    pub rate: f64,
    /// Pace reached.
    pub rate_reached: f64,
    /// What has happened.
    pub marks: Arc<Vec<Mark>>,
    /// Why time stands still, if the model could not go on.
    pub trouble: Option<String>,
    /// Grows by one with each scenario loaded.
    pub generation: u64,
    /// The script the run goes through.
    pub script: Option<ScriptState>,
    /// Number of the last errand whose script the run has gone through to its end.
    pub script_done: u64,
}

/// What thread and window share.
struct Shared {
    snapshot: Mutex<Arc<Snapshot>>,
    record: RwLock<Record>,
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
        let mut record = Record::default();
        let live = Live::start(Arc::new(scenario), &mut record).map_err(|e| e.to_string())?;
        let (commands, inbox) = channel();
        let mut worker = Worker {
            live,
            playing: true,
            rate: 1.0,
            reached: 0.0,
            trouble: None,
            generation: 0,
            marks: Arc::default(),
            witness,
            script: None,
            script_done: 0,
        };
        let shared = Arc::new(Shared {
            snapshot: Mutex::new(Arc::new(worker.snapshot())),
            record: RwLock::new(record),
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

    /// The record, held for reading; let go of it soon.
    pub fn record(&self) -> RwLockReadGuard<'_, Record> {
        self.shared
            .record
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
    playing: bool,
    rate: f64,
    reached: f64,
    trouble: Option<String>,
    generation: u64,
    marks: Arc<Vec<Mark>>,
    witness: Box<dyn Witness>,
    script: Option<Running>,
    script_done: u64,
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
                loop {
                    match inbox.try_recv() {
                        Ok(c) => self.carry_out(c, shared),
                        Err(TryRecvError::Empty) => break,
                        Err(TryRecvError::Disconnected) => return,
                    }
                }
            } else {
                match inbox.recv() {
                    Ok(c) => self.carry_out(c, shared),
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

    fn publish(&mut self, shared: &Shared) {
        self.witness.see(self.live.rig());
        let snapshot = Arc::new(self.snapshot());
        *shared
            .snapshot
            .lock()
            .unwrap_or_else(PoisonError::into_inner) = snapshot;
    }

    fn carry_out(&mut self, command: Command, shared: &Shared) {
        // A hand on the rig, or another time, makes the rest of a script meaningless.
        if matches!(
            command,
            Command::Act(_)
                | Command::RewindTo(_)
                | Command::Step(_)
                | Command::Load(_)
                | Command::Restart
                | Command::Errand(_)
                | Command::DropScript
        ) {
            self.leave_script();
        }
        if let Command::Errand(errand) = &command {
            self.go_on_errand(errand);
            return;
        }
        let mut record = shared
            .record
            .write()
            .unwrap_or_else(PoisonError::into_inner);
        match command {
            Command::Play => self.playing = self.trouble.is_none(),
            Command::Pause => {
                self.playing = false;
                self.reached = 0.0;
            }
            Command::Step(dt) => {
                self.playing = false;
                let until = self.live.rig().time_s() + dt.max(0.0);
                self.go(until, &mut record);
            }
            Command::Rate(rate) => {
                if rate.is_finite() {
                    self.rate = rate.clamp(SLOWEST, FASTEST);
                }
            }
            Command::RewindTo(t) => {
                self.trouble = None;
                if let Err(e) = self.live.rewind(t, &mut record) {
                    self.stop_for(&e);
                }
            }
            Command::Act(action) => self.live.act(&action),
            Command::Load(scenario) => self.load(Arc::new(*scenario), &mut record),
            Command::Restart => self.load(self.live.rig().scenario().clone(), &mut record),
            Command::Hurry => {
                if self.script.is_some() {
                    self.rate = FASTEST;
                    self.playing = true;
                }
            }
            Command::Errand(_) | Command::DropScript => {}
        }
    }

    /// Does an errand on a copy while the run stands still, then takes up its script.
    fn go_on_errand(&mut self, errand: &Errand) {
        let from_s = self.live.rig().time_s();
        let Some(script) = errand.run(self.live.rig().copy()) else {
            return;
        };
        if self.trouble.is_some() {
            return;
        }
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
        self.script = Some(running);
        self.follow_script();
    }

    fn leave_script(&mut self) {
        if let Some(running) = self.script.take() {
            self.rate = running.rate_before;
            self.playing = running.playing_before && self.trouble.is_none();
        }
    }

    /// Does what the script has for this moment; ends it at its end.
    fn follow_script(&mut self) {
        let now_s = self.live.rig().time_s();
        let Some(running) = &mut self.script else {
            return;
        };
        while let Some((at_s, taped)) = running.script.acts.get(running.next) {
            if *at_s > now_s {
                break;
            }
            running.next += 1;
            self.live.repeat(taped);
        }
        if now_s >= running.state.until_s {
            self.script_done = running.state.errand;
            self.leave_script();
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

    fn load(&mut self, scenario: Arc<Scenario>, record: &mut Record) {
        let mut fresh = Record::default();
        match Live::start(scenario, &mut fresh) {
            Ok(live) => {
                self.live = live;
                *record = fresh;
                self.trouble = None;
                self.generation += 1;
            }
            // The run that was there stays as it was.
            Err(e) => self.trouble = Some(format!("the scenario could not start: {e}")),
        }
    }

    fn stop_for(&mut self, e: &dyn std::fmt::Display) {
        self.leave_script();
        self.trouble = Some(format!(
            "the model stopped: {e}. Rewind, or load the scenario again"
        ));
        self.playing = false;
        self.reached = 0.0;
    }

    fn go(&mut self, until_s: f64, record: &mut Record) {
        if let Err(e) = self.live.advance(until_s, record) {
            self.stop_for(&e);
        }
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
            let mut record = shared
                .record
                .write()
                .unwrap_or_else(PoisonError::into_inner);
            self.go(next, &mut record);
            drop(record);
            let scripted = self.script.is_some();
            self.follow_script();
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
        let marks = sim.marks();
        if self.marks.len() != marks.len() || self.marks.last() != marks.last() {
            self.marks = Arc::new(marks.to_vec());
        }
        let readings = sim.readings();
        Snapshot {
            readings,
            twin: self.live.twin_readings(),
            rig: sim.rig().clone(),
            scenario: sim.scenario().clone(),
            faults: sim.moment().faults.clone(),
            playing: self.playing,
            rate: self.rate,
            rate_reached: self.reached,
            marks: self.marks.clone(),
            trouble: self.trouble.clone(),
            generation: self.generation,
            script: self.script.as_ref().map(|r| r.state),
            script_done: self.script_done,
        }
    }
}
