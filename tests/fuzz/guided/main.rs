//! One door, named by `FUZZ_DOOR`, under libFuzzer: it keeps what reaches new code and changes that on.

#![no_main]

#[path = "../doors.rs"]
mod doors;

use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

static FEED: LazyLock<fn(&str) -> bool> = LazyLock::new(|| {
    let wanted = std::env::var("FUZZ_DOOR").unwrap_or_default();
    let door = doors::DOORS.iter().find(|d| d.name == wanted);
    door.unwrap_or_else(|| panic!("there is no door `{wanted}`")).feed
});

fuzz_target!(|text: &[u8]| {
    if let Ok(text) = std::str::from_utf8(text) {
        FEED(text);
    }
});
