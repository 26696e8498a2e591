//! How long a test takes in a drill, where each is made by itself: what a screen tells beside it. Not here: the minutes by which
//! tests of a whole visit are weighed against each other, of which one finds what another has read (`visit::Test`).

use crate::visit::{Bag, Test};

/// Minutes of a test with these tools, hands and waiting.
pub fn minutes(test: Test, bag: &Bag) -> f64 {
    runs(test) + test.hand_minutes(bag)
}

/// Minutes that pass on the rig's clock beside the hands' work, on the rigs that drills are made on (derived; held by
/// `tests/drills/minutes.rs`).
fn runs(test: Test) -> f64 {
    match test {
        Test::Joints | Test::FlowPressure | Test::Pilots => 0.4,
        Test::LoadUpDown => 1.2,
        Test::Vent | Test::FirstStage | Test::Along => 1.5,
        Test::LeakCheck => 3.5,
        other => other.runs_minutes(),
    }
}
