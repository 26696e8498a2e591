//! A rig from a file, a burner by name, a gauge watched, a whole visit: `cargo run --example bench -- scenarios/opening.toml`.

use std::path::Path;
use twostage::prelude::*;
use twostage::report::visit as words;
use twostage::units::System;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let scenario = match std::env::args().nth(1) {
        Some(path) => Scenario::load(Path::new(&path))?,
        None => Scenario::opening(),
    };
    let mut sim = Simulation::start(Arc::new(prepare(&scenario, &[])), Method::Stiff, TOLERANCE)?;
    let mut bench = Bench::on(&mut sim);
    for act in [
        "light half",
        "read outlet with manometer for 5 s",
        "look",
        "listen",
        "off all",
    ] {
        let reply = bench.follow(act)?;
        println!(
            "{act}: {}",
            words::reply(&reply, bench.sim.rig(), System::Us)
        );
    }
    let visit = run_all(&mut bench)?;
    for test in &visit.tests {
        let told = words::test(test, bench.sim.rig(), System::Us);
        println!("{}: {}. {told}", test.test.words(), words::outcome(test));
    }
    println!("together: {}", words::verdict(visit.verdict));
    Ok(())
}
