//! The trade's view of a rig: the limits a technician judges by, each with the grade of its
//! source. Local codes and the licensed technician decide; these are to teach.

mod limits;

pub use limits::{
    FLOW_PRESSURE, FULL_LOAD_FALL, Grade, HIGHEST_IN_PIPING, LOCK_UP, LOCK_UP_CAUTION, Limit,
    Verdict,
};
