use std::sync::Arc;
use twostage::fault::*;
use twostage::rig::*;
use twostage::scenario::*;
use twostage::service::*;
use twostage::sim::*;
use twostage::solver::*;
fn main() {
    let name = std::env::args().nth(1).unwrap();
    let sev: f64 = std::env::args().nth(2).map_or(0.5, |s| s.parse().unwrap());
    let dt: f64 = std::env::args().nth(3).map_or(0.01, |s| s.parse().unwrap());
    let tol: f64 = std::env::args().nth(4).map_or(1e-6, |s| s.parse().unwrap());
    let kinds = [
        Kind::Furnace,
        Kind::WaterHeater,
        Kind::Cooktop,
        Kind::OnDemandHeater,
    ];
    let rig = Rig::standard(
        vec![presets::container("30 lb cylinder").unwrap()],
        kinds.map(presets::appliance).to_vec(),
    );
    let t = 294.26;
    let base = Scenario {
        title: "bench".into(),
        summary: "".into(),
        site: Site::calm(t, 0.0),
        charges: vec![Charge {
            fill: 0.6,
            temperature_k: t,
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![false; 4],
        rig,
        events: vec![],
        run: Run {
            duration_s: 60.0,
            sample_s: 1.0,
            settle_s: 30.0,
        },
    };
    let extra: Vec<_> = Fault::named(&name).map(|f| (f, sev)).into_iter().collect();
    let mut sim = Simulation::start(
        Arc::new(prepare(&base, &extra)),
        Method::Stiff,
        Tolerance {
            relative: tol,
            absolute: tol * 1e-2,
        },
    )
    .unwrap();
    sim.advance(20.0, None, &mut |_| {}).unwrap();
    let w = *sim.work();
    sim.advance(20.0+dt*60.0,Some(dt),&mut |r| println!("{:.4} p1 {:.2} p2 {:.4} x1 {:.5e} v1 {:+.2e} lift1 {:.3e} x2 {:.5e} v2 {:+.2e} lift2 {:.3e} sq {:.2e} fr {:+.3} {:+.4} w1 {:.3e} w2 {:.3e} bp {:.3}", r.time_s, r.first.chamber_pa, r.outlet_pa, r.first.rise_m, r.first.speed_m_per_s, r.first.lift_m, r.second.rise_m, r.second.speed_m_per_s, r.second.lift_m, r.second.squeeze_m, r.first.forces.friction_n, r.second.forces.friction_n, r.first.flow_kg_per_s, r.second.flow_kg_per_s, r.second.case_pa)).unwrap();
    let n = sim.work();
    println!(
        "steps {} rej {} jac {}",
        n.steps - w.steps,
        n.rejected_steps - w.rejected_steps,
        n.jacobians - w.jacobians
    );
    let sys = RigSystem::new(sim.rig(), &sim.moment().modes);
    let mut y = vec![0.0; sys.dim()];
    sim.moment().state.write_to(sim.rig(), &mut y);
    for m in modes(&jacobian(&sys, sim.time_s(), &y)) {
        print!("{:.3}{:+.3}i ", m.re, m.im);
    }
    println!();
}
