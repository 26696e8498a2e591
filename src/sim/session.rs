//! The live run on a thread of its own: commands go in, snapshots come out.
//!
//! Order of one tick: commands (which may rewind or replace the run), advance, publish.

use super::live::Live;
use super::record::Record;
use super::simulation::{ActiveFault, Mark};
use super::words;
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
    /// One sentence of what is happening now.
    pub words: String,
    /// Why time stands still, if the model could not go on.
    pub trouble: Option<String>,
    /// Grows by one with each scenario loaded.
    pub generation: u64,
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
        let snapshot = Arc::new(self.snapshot());
        *shared
            .snapshot
            .lock()
            .unwrap_or_else(PoisonError::into_inner) = snapshot;
    }

    fn carry_out(&mut self, command: Command, shared: &Shared) {
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
        }
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
            let mut record = shared
                .record
                .write()
                .unwrap_or_else(PoisonError::into_inner);
            self.go(next, &mut record);
            drop(record);
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
            words: words::sentence(sim.rig(), &readings, self.marks.last()),
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
        }
    }
}
