//! The drills that come with the program, from easy to hard.

macro_rules! drills {
    ($($id:literal),* $(,)?) => {
        /// Short name and text of each.
        pub const DRILLS: &[(&str, &str)] =
            &[$(($id, include_str!(concat!("../../scenarios/drills/", $id, ".toml")))),*];
    };
}

drills! {
    "01_all_of_it_low_up_here",
    "02_it_pops_on_lighting",
    "03_high_in_the_morning",
    "04_all_of_it_a_little_hard",
    "05_it_stays_where_it_was",
    "06_since_the_rain",
    "07_after_the_painting",
    "08_frost_on_the_bottle",
    "09_after_the_ford",
    "10_one_weak_burner",
    "11_the_roar_by_the_wheel",
    "12_a_faint_smell_in_the_morning",
    "13_a_little_soap_tells",
    "14_high_at_rest_weak_at_the_back",
    "15_weak_when_it_counts",
    "16_weak_at_the_far_end",
    "17_bubbles_for_no_reason",
    "18_two_complaints_in_one",
    "19_the_new_bottle",
    "20_a_hiss_at_night",
    "21_a_smell_at_the_tongue",
    "22_a_smell_and_one_burner_weak",
}
