use std::sync::Arc;
use twostage::rig::*;
use twostage::scenario::*;
use twostage::sim::*;
use twostage::solver::*;
fn main() {
    let f = |f: f64| (f - 32.0) / 1.8 + 273.15;
    let kinds = [
        Kind::OnDemandHeater,
        Kind::Cooktop,
        Kind::Grill,
        Kind::OnDemandHeater,
    ];
    for air in [-40.0, 0.0, 70.0, 130.0] {
        for liquid in [-5.0, 20.0, 50.0, 90.0, 118.0] {
            let apps: Vec<_> = kinds.iter().map(|&k| presets::appliance(k)).collect();
            let mut rig = Rig::standard(vec![presets::container("100 lb cylinder").unwrap()], apps);
            rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
            let on = |at: f64, i: usize, on: bool| Event {
                at_s: at,
                action: Action::Switch { appliance: i, on },
            };
            let sc = Scenario {
                title: "x".into(),
                summary: "x".into(),
                site: Site::calm(f(air), 0.0),
                charges: vec![Charge {
                    fill: 0.8,
                    temperature_k: f(liquid),
                    air_pa: 0.0,
                }],
                valves_open: vec![true],
                service_side: 0,
                on_at_start: vec![false; 4],
                rig,
                events: vec![
                    on(10., 0, true),
                    on(10., 1, true),
                    on(30., 2, true),
                    on(30., 3, true),
                    on(60., 0, false),
                    on(60., 1, false),
                    on(60., 2, false),
                    on(60., 3, false),
                ],
                run: Run {
                    duration_s: 400.0,
                    sample_s: 1.0,
                    settle_s: 60.0,
                },
            };
            let mut sim =
                Simulation::start(Arc::new(sc), Method::Stiff, Tolerance::default()).unwrap();
            let mut out = vec![];
            let mut worst = f64::MIN;
            let mut hz = 0.0;
            let mut minzeta: f64 = 1.0;
            for t in [10.0, 15.0, 29.0, 35.0, 59.0, 61.0, 65.0, 90.0, 390.0] {
                if let Err(e) = sim.advance(t, None, &mut |_| {}) {
                    println!("ERR {e}");
                    break;
                }
                let r = sim.readings();
                out.push((r.outlet_pa / 249.0889, r.first.chamber_pa / 6894.757));
                let mut q = (**sim.rig()).clone();
                q.first.friction_n = 0.0;
                q.second.friction_n = 0.0;
                let sys = RigSystem::new(&q, &sim.moment().modes);
                let mut y = vec![0.0; sys.dim()];
                sim.moment().state.write_to(&q, &mut y);
                let j = jacobian(&sys, sim.time_s(), &y);
                for e in modes(&j) {
                    if e.im > 1.0 {
                        let z = -e.re / (e.re * e.re + e.im * e.im).sqrt();
                        if z < minzeta {
                            minzeta = z;
                            hz = e.im / 6.283;
                        }
                    }
                    if e.re > worst && e.re.abs() > 1e-6 {
                        worst = e.re;
                    }
                }
            }
            let r = sim.readings();
            println!(
                "air {air:5} cont {:6.1} | lock {:.2} half {:.2} full {:.2} lock {:.2} {:.2} {:.2} {:.2} | p1 {:.2} {:.2} {:.2} {:.2} | worst {:.1e} zeta {:.3} at {:.0} Hz",
                r.containers[0].pressure_pa / 6894.757,
                out[0].0,
                out[2].0,
                out[4].0,
                out[5].0,
                out[6].0,
                out[7].0,
                out[8].0,
                out[0].1,
                out[2].1,
                out[4].1,
                out[8].1,
                worst,
                minzeta,
                hz
            );
        }
    }
}
