//! An attempt on a thread of its own, for a screen that must not wait: orders go in, what came of
//! them comes out, and the rig runs on at a pace in between.
//!
//! A screen calls [`Runner::order`] on a button, [`Runner::poll`] and [`Runner::view`] every frame.
//! Nothing blocks. An act is on the disk before its entry appears in a view.

use super::act::Act;
use super::log::Entry;
use super::person::{Attempt, AttemptError, NotDone, Outside};
use crate::drill::making::file::Drill;
use crate::form::store::os_words;
use crate::sim::Simulation;
use crate::visit::Progress;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// What a screen can ask for.
#[derive(Debug, Clone, PartialEq)]
pub enum Order {
    /// Do an act.
    Act(Act),
    /// Pace between acts, simulated seconds a second; 0 lets the rig rest.
    Pace(f64),
}

/// Something to tell once.
#[derive(Debug, Clone, PartialEq)]
pub enum News {
    /// An act was not done, and why.
    Refused(String),
    /// The attempt cannot go on: the log or the rig failed.
    Broken(String),
}

/// What a screen shows; the outside only.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// Clock, burners, valves.
    pub outside: Outside,
    /// Acts so far.
    pub entries: Arc<Vec<Entry>>,
    /// How far the act now going on is, 0 to 1; the acts so far done again before it has begun.
    pub busy: Option<f64>,
    /// Whether the attempt stands ready: the rig is up and the acts of its log are done again.
    pub begun: bool,
    /// How many of the acts ordered have been dealt with, done or refused.
    pub dealt_with: u64,
}

struct Shared {
    view: Mutex<Arc<View>>,
    news: Mutex<Vec<News>>,
    stop: AtomicBool,
    cancel: AtomicBool,
}

/// A running attempt. Dropping it ends the thread; the log holds all that was done.
pub struct Runner {
    shared: Arc<Shared>,
    orders: Option<Sender<Order>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

/// Longest look away from the orders while the rig runs on.
const TICK: Duration = Duration::from_millis(30);
/// The same while the rig rests.
const IDLE: Duration = Duration::from_secs(5);
/// Fastest pace: a minute a second.
pub const FASTEST: f64 = 60.0;

impl Runner {
    /// Begins or goes on with an attempt. What keeps it from beginning is told as
    /// [`News::Broken`]; until it has begun there is no view.
    ///
    /// # Errors
    /// What keeps a thread from starting, in words.
    pub fn start(
        drill: Arc<Drill>,
        who: &str,
        log: &Path,
        wake: impl Fn() + Send + 'static,
    ) -> Result<Self, String> {
        let first = View {
            outside: Outside {
                clock_s: 0.0,
                limit_s: drill.limit_s,
                burners: Vec::new(),
                valves: Vec::new(),
                answered: false,
                outlook: None,
                looked: false,
            },
            entries: Arc::default(),
            busy: Some(0.0),
            begun: false,
            dealt_with: 0,
        };
        let shared = Arc::new(Shared {
            view: Mutex::new(Arc::new(first)),
            news: Mutex::default(),
            stop: AtomicBool::new(false),
            cancel: AtomicBool::new(false),
        });
        let (orders, inbox) = channel();
        let (theirs, who, log): (_, String, PathBuf) =
            (shared.clone(), who.to_owned(), log.to_owned());
        let thread = std::thread::Builder::new()
            .name("twostage-drill".to_owned())
            .spawn(move || match opened(&theirs, drill, &who, &log, &wake) {
                Ok((attempt, sim)) => Worker {
                    attempt,
                    sim,
                    pace: 0.0,
                    dealt_with: 0,
                    shared: theirs,
                    wake: &wake,
                }
                .run(&inbox),
                Err(AttemptError::Stopped) => {}
                Err(e) => {
                    tell(&theirs, News::Broken(e.to_string()));
                    wake();
                }
            })
            .map_err(|e| format!("no thread for the drill: {}", os_words(&e)))?;
        Ok(Self {
            shared,
            orders: Some(orders),
            thread: Some(thread),
        })
    }

    /// Sends an order; the next views show what came of it.
    pub fn order(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // A thread that has ended has told why.
            let _ = orders.send(order);
        }
    }

    /// Gives up the act that is going on: the rig goes back to where it was, nothing is noted.
    /// Without one it does nothing.
    pub fn cancel(&self) {
        self.shared.cancel.store(true, Ordering::Relaxed);
    }

    /// The newest view.
    pub fn view(&self) -> Arc<View> {
        self.shared
            .view
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// What is new since the last call.
    pub fn poll(&self) -> Vec<News> {
        std::mem::take(
            &mut *self
                .shared
                .news
                .lock()
                .unwrap_or_else(PoisonError::into_inner),
        )
    }
}

impl Drop for Runner {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::Relaxed);
        self.orders = None;
        if let Some(t) = self.thread.take() {
            let _ = t.join();
        }
    }
}

fn tell(shared: &Shared, news: News) {
    shared
        .news
        .lock()
        .unwrap_or_else(PoisonError::into_inner)
        .push(news);
}

/// Begins or goes on with an attempt, and shows how far it is with the acts so far.
fn opened(
    shared: &Shared,
    drill: Arc<Drill>,
    who: &str,
    log: &Path,
    wake: &dyn Fn(),
) -> Result<(Attempt, Simulation), AttemptError> {
    Attempt::open_heard(drill, who, log, &mut |share| {
        let mut view = shared.view.lock().unwrap_or_else(PoisonError::into_inner);
        *view = Arc::new(View {
            busy: Some(share),
            ..View::clone(&view)
        });
        drop(view);
        wake();
        !shared.stop.load(Ordering::Relaxed)
    })
}

struct Worker<'a> {
    attempt: Attempt,
    sim: Simulation,
    pace: f64,
    dealt_with: u64,
    shared: Arc<Shared>,
    wake: &'a dyn Fn(),
}

impl Worker<'_> {
    fn run(&mut self, inbox: &Receiver<Order>) {
        self.publish(None);
        let mut last = Instant::now();
        loop {
            // A rig at rest needs no looking after.
            let look_away = if self.pace > 0.0 { TICK } else { IDLE };
            match inbox.recv_timeout(look_away) {
                Ok(Order::Pace(pace)) if pace.is_finite() => self.pace = pace.clamp(0.0, FASTEST),
                Ok(Order::Pace(_)) | Err(RecvTimeoutError::Timeout) => {}
                Ok(Order::Act(act)) => {
                    if !self.act(&act) {
                        return;
                    }
                    last = Instant::now();
                }
                Err(RecvTimeoutError::Disconnected) => return,
            }
            let elapsed_s = last.elapsed().as_secs_f64().min(0.1);
            last = Instant::now();
            if !self.pass(self.pace * elapsed_s) {
                return;
            }
        }
    }

    /// Whether the attempt can go on.
    fn act(&mut self, act: &Act) -> bool {
        let shared = self.shared.clone();
        let before = self.view(Some(0.0));
        shared.cancel.store(false, Ordering::Relaxed);
        let wake = self.wake;
        let mut listener = |p: &Progress| {
            let view = View {
                busy: Some(p.share),
                ..before.clone()
            };
            *shared.view.lock().unwrap_or_else(PoisonError::into_inner) = Arc::new(view);
            wake();
            !shared.stop.load(Ordering::Relaxed) && !shared.cancel.load(Ordering::Relaxed)
        };
        let failed = match self.attempt.act(&mut self.sim, act, &mut listener) {
            Ok(_) => None,
            Err(NotDone::Log(e)) => Some(News::Broken(e.to_string())),
            Err(e) => Some(News::Refused(e.to_string())),
        };
        self.dealt_with += 1;
        let goes_on = !matches!(failed, Some(News::Broken(_)));
        if let Some(news) = failed {
            tell(&self.shared, news);
        }
        self.publish(None);
        goes_on
    }

    /// Lets the rig run on; whether it could.
    fn pass(&mut self, seconds: f64) -> bool {
        if seconds <= 0.0 || self.attempt.answer().is_some() || self.attempt.time_is_up(&self.sim) {
            return true;
        }
        let until_s = self.sim.time_s() + seconds;
        if let Err(e) = self.sim.advance(until_s, None, &mut |_| {}) {
            tell(
                &self.shared,
                News::Broken(format!("the model stopped: {e}")),
            );
            (self.wake)();
            return false;
        }
        self.publish(None);
        true
    }

    fn view(&self, busy: Option<f64>) -> View {
        let old = self
            .shared
            .view
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        let entries = if old.entries.len() == self.attempt.entries().len() {
            old.entries.clone()
        } else {
            Arc::new(self.attempt.entries().to_vec())
        };
        View {
            outside: self.attempt.outside(&self.sim),
            entries,
            busy,
            begun: true,
            dealt_with: self.dealt_with,
        }
    }

    fn publish(&mut self, busy: Option<f64>) {
        let view = Arc::new(self.view(busy));
        *self
            .shared
            .view
            .lock()
            .unwrap_or_else(PoisonError::into_inner) = view;
        (self.wake)();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::attempt::folder::gather;
    use crate::drill::making::shipped::DRILLS;

    /// An act by its words.
    fn act(words: &str) -> Order {
        let rig = crate::drill::attempt::rig_of(&drill()).rig;
        Order::Act(Act::parse(words, &rig).unwrap_or_else(|e| panic!("{words}: {e}")))
    }

    /// Longest wait for the thread.
    const PATIENCE: Duration = Duration::from_secs(60);

    fn drill() -> Arc<Drill> {
        let (name, text) = DRILLS[1];
        Arc::new(Drill::read(name, text, None).expect("a shipped drill"))
    }

    /// A log in a folder of its own, gone with the test.
    struct Place(PathBuf);

    impl Place {
        fn new(name: &str) -> Self {
            let folder = format!("twostage-runner-{name}-{}", std::process::id());
            let path = std::env::temp_dir().join(folder);
            std::fs::create_dir_all(&path).expect("a folder");
            Self(path)
        }

        fn log(&self) -> PathBuf {
            self.0.join("one.attempt")
        }
    }

    impl Drop for Place {
        fn drop(&mut self) {
            // A temporary folder; one left behind does no harm.
            let _ = std::fs::remove_dir_all(&self.0);
        }
    }

    fn start(place: &Place) -> Runner {
        Runner::start(drill(), "Ada", &place.log(), || {}).expect("a thread")
    }

    fn wait(runner: &Runner, what: &str, done: impl Fn(&View) -> bool) -> Arc<View> {
        let begun = Instant::now();
        loop {
            let view = runner.view();
            if done(&view) {
                return view;
            }
            assert!(begun.elapsed() < PATIENCE, "waited in vain until {what}");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    #[test]
    fn acts_are_done_in_order_and_stand_in_the_log_before_they_are_seen() {
        let place = Place::new("order");
        let runner = start(&place);
        assert!(!runner.view().outside.answered);
        runner.order(act("look"));
        runner.order(act("read outlet"));
        let view = wait(&runner, "both are done", |v| v.entries.len() == 2);
        let found = gather(&place.0, None).expect("a folder");
        assert_eq!(found.found[0].contents.entries, *view.entries);
        assert!(view.begun && view.dealt_with == 2);
        // A look and a fitted gauge take a minute each on the drill's clock; nothing else does.
        assert!((view.outside.clock_s - 120.0).abs() < 1.0);
        assert!(view.outside.burners.iter().all(|b| !b.on));
    }

    #[test]
    fn what_is_not_at_hand_is_refused_and_costs_nothing() {
        let place = Place::new("refused");
        let runner = start(&place);
        runner.order(act("new regulator"));
        let view = wait(&runner, "it is dealt with", |v| v.dealt_with == 1);
        assert!(view.entries.is_empty() && view.outside.clock_s == 0.0);
        let told = runner.poll();
        assert!(
            matches!(&told[..], [News::Refused(why)] if why.contains("not at hand")),
            "{told:?}"
        );
    }

    #[test]
    fn a_long_act_that_is_given_up_leaves_no_trace() {
        let place = Place::new("given-up");
        let runner = start(&place);
        wait(&runner, "it has begun", |v| v.begun);
        runner.order(act("wait 60 min"));
        wait(&runner, "it is on its way", |v| {
            v.busy.is_some() || v.dealt_with == 1
        });
        runner.cancel();
        let view = wait(&runner, "it is dealt with", |v| v.dealt_with == 1);
        // Either it was given up and left no trace, or it was through before it was given up.
        if view.entries.is_empty() {
            assert_eq!(view.outside.clock_s, 0.0);
            assert_eq!(runner.poll(), [News::Refused("stopped".to_owned())]);
        }
        // The next act is not given up with it.
        runner.order(act("look"));
        let view = wait(&runner, "the next is done", |v| v.dealt_with == 2);
        assert_eq!(view.entries.last().expect("an act").act, "look");
    }

    #[test]
    fn an_attempt_goes_on_where_it_was_left_and_tells_who_else_has_it() {
        let place = Place::new("resumed");
        let runner = start(&place);
        runner.order(act("test flow pressure"));
        let before = wait(&runner, "it is done", |v| v.entries.len() == 1);
        let second = start(&place);
        let begun = Instant::now();
        let told = loop {
            let told = second.poll();
            if !told.is_empty() {
                break told;
            }
            assert!(begun.elapsed() < PATIENCE);
            std::thread::sleep(Duration::from_millis(2));
        };
        assert!(matches!(&told[..], [News::Broken(why)] if why.contains("another program")));
        drop((runner, second));
        let again = start(&place);
        let view = wait(&again, "it goes on", |v| v.begun);
        assert_eq!(view.entries, before.entries);
        assert_eq!(view.outside, before.outside);
    }

    #[test]
    fn at_a_pace_the_rig_runs_on_and_without_one_it_rests() {
        let place = Place::new("pace");
        let runner = start(&place);
        let first = wait(&runner, "it has begun", |v| v.begun);
        assert_eq!(first.outside.clock_s, 0.0);
        runner.order(Order::Pace(f64::NAN));
        runner.order(Order::Pace(FASTEST));
        wait(&runner, "time runs", |v| v.outside.clock_s > 5.0);
        runner.order(Order::Pace(0.0));
        runner.order(act("look"));
        let rests = wait(&runner, "it rests", |v| v.dealt_with == 1);
        std::thread::sleep(3 * TICK);
        assert_eq!(runner.view().outside.clock_s, rests.outside.clock_s);
        // Done again from the log, the same clock comes out.
        drop(runner);
        let again = wait(&start(&place), "it goes on", |v| v.begun);
        assert!((again.outside.clock_s - rests.outside.clock_s).abs() < 1e-6);
    }
}
