//! The drills that come with the program, from easy to hard.

/// File name and text of each.
pub const DRILLS: &[(&str, &str)] = &[];
