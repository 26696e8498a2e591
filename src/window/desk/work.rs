//! Work on a thread of its own for a page that must not wait: it tells how far it is, can be
//! stopped, and leaves its outcome to be taken.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use crate::window::platform::beside;

/// What thread and page share.
struct Shared<T> {
    share: Mutex<f64>,
    outcome: Mutex<Option<Result<T, String>>>,
    stop: AtomicBool,
}

/// Work under way. Dropping it stops it.
pub struct Work<T> {
    shared: Arc<Shared<T>>,
}

impl<T: Send + 'static> Work<T> {
    /// Begins. The work hears through its argument the share it has done, and whether to go on.
    ///
    /// # Errors
    /// That the system gives no thread.
    pub fn begin(
        wake: impl Fn() + Send + 'static,
        work: impl FnOnce(&mut dyn FnMut(f64) -> bool) -> Result<T, String> + Send + 'static,
    ) -> Result<Self, String> {
        let shared = Arc::new(Shared {
            share: Mutex::new(0.0),
            outcome: Mutex::new(None),
            stop: AtomicBool::new(false),
        });
        let theirs = shared.clone();
        beside(move || {
            let mut heard = |share: f64| {
                *theirs.share.lock().unwrap_or_else(PoisonError::into_inner) = share;
                wake();
                !theirs.stop.load(Ordering::Relaxed)
            };
            let outcome = work(&mut heard);
            *theirs
                .outcome
                .lock()
                .unwrap_or_else(PoisonError::into_inner) = Some(outcome);
            wake();
        })?;
        Ok(Self { shared })
    }

    /// Share done, 0 to 1.
    pub fn share(&self) -> f64 {
        *self
            .shared
            .share
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// The outcome, once.
    pub fn take(&self) -> Option<Result<T, String>> {
        self.shared
            .outcome
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take()
    }
}

impl<T> Drop for Work<T> {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::Work;

    #[test]
    fn work_tells_its_outcome_and_stops_when_dropped() {
        let (told, hears) = std::sync::mpsc::channel();
        let work = Work::begin(|| {}, |go_on| Ok(go_on(0.5))).expect("a thread");
        let outcome = loop {
            if let Some(outcome) = work.take() {
                break outcome;
            }
            std::thread::yield_now();
        };
        assert_eq!(outcome, Ok(true));
        assert_eq!(work.share(), 0.5);
        let endless = Work::begin(
            || {},
            move |go_on| {
                while go_on(0.1) {
                    std::thread::yield_now();
                }
                told.send(()).map_err(|e| e.to_string())
            },
        );
        drop(endless);
        let waited = hears.recv_timeout(std::time::Duration::from_secs(20));
        assert!(waited.is_ok(), "dropped work stops");
    }
}
