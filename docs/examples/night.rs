//! A rig of one's own, run for a night, its outlet and its container told each hour: `cargo run --example night`.

use twostage::prelude::*;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let cylinder = presets::container("20 lb cylinder").ok_or("no such container")?;
    let appliances = [Kind::Furnace, Kind::Refrigerator].map(presets::appliance);
    let rig = Rig::standard(vec![cylinder; 2], appliances.to_vec());
    let air_k = 271.0;
    let mut scenario = Scenario::at_rest(
        "a night of one's own",
        rig,
        Site::calm(air_k, 300.0),
        0.7,
        air_k,
    );
    scenario.on_at_start = vec![true, true];
    scenario.valves_open = vec![true, true];
    let mut sim = Simulation::start(Arc::new(scenario), Method::Stiff, TOLERANCE)?;
    for hour in 1..=10 {
        sim.advance(3600.0 * f64::from(hour), None, &mut |_| {})?;
        let r = sim.readings();
        println!(
            "{hour:>2} h  outlet {:5.1} in w.c.  container {:5.1} psig  {:.0} % full",
            pa_to_inwc(r.outlet_pa),
            pa_to_psi(r.containers[r.service_side].pressure_pa),
            100.0 * r.containers[r.service_side].fill
        );
    }
    Ok(())
}
