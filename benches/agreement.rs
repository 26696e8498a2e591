//! How far both engines are apart over whole scenarios, an hour and a half of explicit steps for all of them:
//! `cargo bench --no-default-features --bench agreement -- all`, or the names of some.
//!
//! With `tight` before the names the stiff engine is held against itself at three thousandths of its tolerance instead: all of
//! them in a minute.
//!
//! Prints a line for each. The exit code tells whether all kept the limits. Without a name it runs a short one, for
//! `cargo bench`.

#[path = "../tests/common/agreement.rs"]
mod agreement;

use agreement::{Peer, shipped, whole};
use std::process::ExitCode;

fn main() -> ExitCode {
    // cargo bench adds a flag of its own.
    let mut names: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with("--"))
        .collect();
    let tight = names.first().is_some_and(|n| n == "tight");
    let peer = if tight { Peer::Tight } else { Peer::Explicit };
    names.drain(..usize::from(tight));
    let all: Vec<String> = shipped::scenarios().into_keys().collect();
    if names.is_empty() {
        names.push("opened_too_fast".to_owned());
    } else if names == ["all"] {
        names.clone_from(&all);
    }
    if let Some(unknown) = names.iter().find(|n| !all.contains(n)) {
        eprintln!(
            "error: no shipped scenario {unknown}\n  try: all, tight all, or some of {}",
            all.join(" ")
        );
        return ExitCode::from(2);
    }
    let mut kept = true;
    for name in &names {
        let apart = whole(name, peer);
        if let Some(broken) = apart.beyond() {
            println!("{name}: {broken}");
            kept = false;
        }
    }
    ExitCode::from(u8::from(!kept))
}
