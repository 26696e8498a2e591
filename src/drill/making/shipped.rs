//! The drills that come with the program. How hard each is, and so its place on a list, is what was
//! sealed into it.

use super::file::{Drill, DrillError};

macro_rules! drills {
    ($($id:literal),* $(,)?) => {
        /// Short name and text of each.
        pub const DRILLS: &[(&str, &str)] =
            &[$(($id, include_str!(concat!("../../../scenarios/drills/", $id, ".toml")))),*];
    };
}

drills! {
    "all_of_it_low_up_here",
    "it_pops_on_lighting",
    "high_in_the_morning",
    "all_of_it_a_little_hard",
    "it_stays_where_it_was",
    "since_the_rain",
    "after_the_painting",
    "frost_on_the_bottle",
    "after_the_ford",
    "one_burner_too_large",
    "the_roar_by_the_wheel",
    "a_faint_smell_in_the_morning",
    "a_little_soap_tells",
    "high_at_rest_weak_at_the_back",
    "weak_when_it_counts",
    "weak_at_the_far_end",
    "bubbles_for_no_reason",
    "two_complaints_in_one",
    "the_new_bottle",
    "a_hiss_at_night",
    "a_smell_at_the_tongue",
    "a_smell_and_weak_flames",
}

/// A drill by its short name: this name and its text.
pub fn named(name: &str) -> Option<(&'static str, &'static str)> {
    DRILLS.iter().find(|(id, _)| *id == name).copied()
}

/// What to do where there is no drill of this name: the nearest, and where all names are told.
pub fn near(name: &str) -> String {
    const ALL: &str = "`twostage drill list` tells the names of all that come with the program";
    match crate::units::nearest(name, DRILLS.iter().map(|(id, _)| *id)) {
        Some(near) => format!("`{near}`; {ALL}"),
        None => format!("the name as the folder lists it; {ALL}"),
    }
}

/// The drills with their short names, from easy to hard. The numbers that people see are places on
/// this list.
///
/// # Errors
/// [`DrillError`] of a drill that this program cannot read.
pub fn easy_to_hard() -> Result<Vec<(&'static str, Drill)>, DrillError> {
    let mut out = DRILLS
        .iter()
        .map(|&(id, text)| Drill::read(id, text, None).map(|d| (id, d)))
        .collect::<Result<Vec<_>, _>>()?;
    let score = |d: &Drill| d.worked.as_ref().map_or(0.0, |w| w.difficulty.score());
    // What is equally hard stands as on the list above.
    out.sort_by(|a, b| score(&a.1).total_cmp(&score(&b.1)));
    Ok(out)
}
