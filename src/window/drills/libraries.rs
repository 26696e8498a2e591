//! The libraries of visits that drills are made and judged by: grown once, used by one at a time.

use std::sync::{Arc, Mutex, TryLockError};
use std::time::Duration;

use crate::drill::making::make;
use crate::window::platform::wait;

/// What every cause would show, for each rig once: shared by all that needs it.
pub(super) type Libraries = Arc<Mutex<make::Shelf>>;

/// Works with the libraries as soon as nobody else does; `heard` says whether to go on waiting.
pub(super) fn with_libraries<T>(
    libraries: &Libraries,
    heard: &mut dyn FnMut(f64) -> bool,
    work: impl FnOnce(&mut make::Shelf, &mut dyn FnMut(f64) -> bool) -> Result<T, String>,
) -> Result<T, String> {
    loop {
        match libraries.try_lock() {
            Ok(mut shelf) => return work(&mut shelf, heard),
            Err(TryLockError::Poisoned(p)) => return work(&mut p.into_inner(), heard),
            Err(TryLockError::WouldBlock) => {
                if !heard(0.0) {
                    return Err("stopped".to_owned());
                }
                wait(Duration::from_millis(30));
            }
        }
    }
}
