//! `drill list`: the drills that come with the program, by the short names that other commands take.

use super::{say, tell_builds};
use crate::cli::Failure;
use crate::drill::making::shipped::easy_to_hard;
use std::fmt::Write as _;

/// Lists them from easy to hard.
pub(super) fn run() -> Result<(), Failure> {
    let all = easy_to_hard().map_err(|e| Failure::failed(e.to_string()))?;
    let mut out = String::from("Drills of the program, from easy to hard\n");
    for (id, drill) in &all {
        let level = drill
            .worked
            .as_ref()
            .map_or_else(String::new, |w| format!("level {}", w.difficulty.level()));
        let _ = writeln!(out, "  {id:<30}{level:<9}{}", drill.title);
    }
    out.push_str("`twostage drill try NAME --who YOU` tries one.\n");
    say(&out);
    tell_builds(all.iter().map(|(id, d)| (*id, d)));
    Ok(())
}
