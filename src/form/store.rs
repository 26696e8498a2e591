//! Writing files whole, and the folders in which a program keeps its own.
//!
//! A file is written under another name beside its place and then takes it: a failure or a power cut leaves the
//! old one as it was. Not here: what is in them.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Writes a file whole or not at all, and waits until it is on the disk.
///
/// # Errors
/// What the system says; an old file then stays as it was.
pub fn write_file(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let part = part_of(path);
    let written = write_part(&part, bytes).and_then(|()| fs::rename(&part, path));
    if written.is_err() {
        // It may not be there; then there is nothing to take away.
        let _ = fs::remove_file(&part);
    }
    written?;
    sync_folder_of(path);
    Ok(())
}

/// What the system says of a file, without the number it has for it.
pub fn os_words(why: &std::io::Error) -> String {
    let said = why.to_string();
    let number = why.raw_os_error().map(|n| format!(" (os error {n})"));
    let bare = number.and_then(|n| Some(said.strip_suffix(&n)?.to_owned()));
    bare.unwrap_or(said)
}

/// The name beside a file under which it is written.
pub fn part_of(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.{}.part", std::process::id()))
}

/// Writes a new file and waits until it is on the disk.
///
/// # Errors
/// What the system says.
pub fn write_part(part: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = File::create(part)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// After a power cut a new name must still be there: the folder is written as well, where the system can.
pub fn sync_folder_of(path: &Path) {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if let Ok(folder) = File::open(folder) {
        // Some systems cannot; the file itself is safe.
        let _ = folder.sync_all();
    }
}

/// The folder of this program among a user's data. `None` where the system names none.
pub fn user_data() -> Option<PathBuf> {
    first_whole(
        ["XDG_DATA_HOME", "APPDATA"],
        &[".local", "share"],
        &|name| std::env::var_os(name),
    )
}

/// The folder of this program among what may be made again. `None` where the system names none.
pub fn user_cache() -> Option<PathBuf> {
    first_whole(["XDG_CACHE_HOME", "LOCALAPPDATA"], &[".cache"], &|name| {
        std::env::var_os(name)
    })
}

/// The first of two variables that names a folder from its root on, else a place in the home. An empty or relative
/// name counts as none, as the XDG base directory specification (published) says.
fn first_whole(
    names: [&str; 2],
    in_home: &[&str],
    variable: &dyn Fn(&str) -> Option<OsString>,
) -> Option<PathBuf> {
    let whole = |name: &str| {
        variable(name)
            .map(PathBuf::from)
            .filter(|p| p.is_absolute())
    };
    let home = || whole("HOME").map(|home| in_home.iter().fold(home, |at, part| at.join(part)));
    let folder = names.into_iter().find_map(whole).or_else(home)?;
    Some(folder.join("twostage"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_never_the_one_a_person_stands_in() {
        let set = |home: &'static str, cache: &'static str| {
            move |name: &str| match name {
                "HOME" => Some(OsString::from(home)),
                "XDG_CACHE_HOME" => Some(OsString::from(cache)),
                _ => None,
            }
        };
        let names = ["XDG_CACHE_HOME", "LOCALAPPDATA"];
        let found = |home, cache| first_whole(names, &[".cache"], &set(home, cache));
        for none in ["", ".", "cache", "../cache"] {
            assert_eq!(
                found("/houses/ada", none),
                Some("/houses/ada/.cache/twostage".into())
            );
            assert_eq!(found(none, none), None);
        }
        assert_eq!(
            found("/houses/ada", "/var/tmp"),
            Some("/var/tmp/twostage".into())
        );
    }

    #[test]
    fn a_file_is_written_whole_or_stays_as_it_was() {
        let folder = std::env::temp_dir().join(format!("twostage-whole-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder for the test");
        let path = folder.join("a.txt");
        write_file(&path, b"one").expect("written");
        write_file(&path, b"two").expect("written again");
        assert_eq!(fs::read(&path).expect("readable"), b"two");
        assert!(write_file(&folder.join("none").join("b"), b"x").is_err());
        let left: Vec<_> = fs::read_dir(&folder).expect("readable").collect();
        assert_eq!(left.len(), 1, "nothing half written stays");
        fs::remove_dir_all(&folder).expect("it was there");
    }
}
