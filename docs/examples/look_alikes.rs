//! What tells a fault from its look-alikes on one rig: a whole visit with each of them, and the readings that part.
//! `cargo run --example look_alikes -- second_vent_blocked`.

use twostage::prelude::*;
use twostage::report::visit::value;
use twostage::units::System;
use twostage::visit::{LeakCheck, Values, quickened, visit};

fn with(rig: &Scenario, fault: Fault, severity: f64) -> Result<Values, Box<dyn std::error::Error>> {
    let faulty = rig.with_faults([(fault, severity)]);
    Ok(visit(&Arc::new(faulty), LeakCheck::First)?)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let name = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "second_vent_blocked".to_owned());
    let (fault, rig) = (Fault::find(&name)?, quickened(&standard_rig()));
    let own = with(&rig, fault, 0.6)?;
    for other in fault.entry().look_alikes {
        let other = Fault::find(other)?;
        println!("{} against {}", fault.name(), other.name());
        let theirs = with(&rig, other, 0.6)?;
        for item in &twostage::visit::ALL {
            let (Some(a), Some(b)) = (own[item.id.index()], theirs[item.id.index()]) else {
                continue;
            };
            if (a - b).abs() > 3.0 * item.uncertainty(a).max(item.uncertainty(b)) {
                let told = |v| value(item.id, v, System::Us);
                println!("    {}: {} against {}", item.words, told(a), told(b));
            }
        }
    }
    Ok(())
}
