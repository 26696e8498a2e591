//! Which stored libraries this very program has checked already by making their visits again: a
//! line for each in the user's cache. A program built anew is another file, and checks again.

use crate::form::read_file;
use crate::form::store::{user_cache, write_file};
use std::path::PathBuf;
use std::time::UNIX_EPOCH;

/// Longest file of stamps that is read.
const MOST_BYTES: u64 = 64 * 1024;
/// Stamps kept, the newest last.
const KEPT: usize = 32;

fn file() -> Option<PathBuf> {
    Some(user_cache()?.join("checked"))
}

/// Digest (FNV-1a by eight bytes) of texts one after the other.
pub(in crate::diagnosis) fn digest<'a>(parts: impl IntoIterator<Item = &'a [u8]>) -> u64 {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    for part in parts {
        for eight in part.chunks(8) {
            let mut word = [0; 8];
            word[..eight.len()].copy_from_slice(eight);
            hash = (hash ^ u64::from_le_bytes(word)).wrapping_mul(0x0000_0100_0000_01b3);
            // Multiplying only carries upwards.
            hash ^= hash >> 32;
        }
    }
    hash
}

/// Digest of a library and of the program that asks: its place, length and time. `None` where the system does not
/// tell them, and then nothing is taken on trust.
pub(in crate::diagnosis) fn stamp(library: &[u8]) -> Option<u64> {
    let program = std::env::current_exe().ok()?;
    let about = program.metadata().ok()?;
    let made = about.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
    let text = format!("{} {} {}", program.display(), about.len(), made.as_nanos());
    Some(digest([text.as_bytes(), library]))
}

fn lines() -> Vec<String> {
    let text = file().and_then(|path| read_file(&path, MOST_BYTES).ok());
    text.unwrap_or_default()
        .lines()
        .map(str::to_owned)
        .collect()
}

/// Whether this library has agreed with this program before.
pub(in crate::diagnosis) fn is_known(stamp: u64) -> bool {
    lines().contains(&format!("{stamp:016x}"))
}

/// Remembers that it has; where that cannot be written the visits are made again next time.
pub(in crate::diagnosis) fn remember(stamp: u64) {
    let Some(path) = file() else { return };
    let Some(folder) = path.parent() else { return };
    let mut all = lines();
    all.push(format!("{stamp:016x}"));
    let text = all[all.len().saturating_sub(KEPT)..].join("\n") + "\n";
    // Where that cannot be written the visits are made again next time.
    let _ = std::fs::create_dir_all(folder).and_then(|()| write_file(&path, text.as_bytes()));
}
