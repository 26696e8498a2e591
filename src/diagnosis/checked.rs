//! Which stored libraries this very program has checked already by making their visits again: a
//! line for each in the user's cache. A program built anew is another file, and checks again.

use std::path::PathBuf;
use std::time::UNIX_EPOCH;

/// Stamps kept, the newest last.
const KEPT: usize = 32;

/// Where the user's cache of this program is, if there is one.
pub(super) fn cache_folder() -> Option<PathBuf> {
    let from = |name: &str| std::env::var_os(name).map(PathBuf::from);
    let folder = from("XDG_CACHE_HOME")
        .or_else(|| from("LOCALAPPDATA"))
        .or_else(|| from("HOME").map(|h| h.join(".cache")))?;
    Some(folder.join("twostage"))
}

fn file() -> Option<PathBuf> {
    Some(cache_folder()?.join("checked"))
}

/// Digest (FNV-1a by eight bytes) of a library and of the program that asks: its place, length and
/// time. `None` where the system does not tell them, and then nothing is taken on trust.
pub(super) fn stamp(library: &[u8]) -> Option<u64> {
    let program = std::env::current_exe().ok()?;
    let about = program.metadata().ok()?;
    let made = about.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
    let text = format!("{} {} {}", program.display(), about.len(), made.as_nanos());
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    for part in [text.as_bytes(), library] {
        for eight in part.chunks(8) {
            let mut word = [0; 8];
            word[..eight.len()].copy_from_slice(eight);
            hash = (hash ^ u64::from_le_bytes(word)).wrapping_mul(0x0000_0100_0000_01b3);
            // Multiplying only carries upwards.
            hash ^= hash >> 32;
        }
    }
    Some(hash)
}

fn lines() -> Vec<String> {
    let text = file().and_then(|path| std::fs::read_to_string(path).ok());
    text.unwrap_or_default()
        .lines()
        .map(str::to_owned)
        .collect()
}

/// Whether this library has agreed with this program before.
pub(super) fn is_known(stamp: u64) -> bool {
    lines().contains(&format!("{stamp:016x}"))
}

/// Remembers that it has; where that cannot be written the visits are made again next time.
pub(super) fn remember(stamp: u64) {
    let Some(path) = file() else { return };
    let Some(folder) = path.parent() else { return };
    let mut all = lines();
    all.push(format!("{stamp:016x}"));
    let text = all[all.len().saturating_sub(KEPT)..].join("\n") + "\n";
    let part = path.with_extension(format!("part{}", std::process::id()));
    let kept = std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(&part, text))
        .and_then(|()| std::fs::rename(&part, &path));
    if kept.is_err() {
        // Nothing half written may stay behind.
        let _ = std::fs::remove_file(&part);
    }
}
