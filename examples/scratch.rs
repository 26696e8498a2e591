use std::sync::Arc;
use twostage::rig::*;
use twostage::scenario::*;
use twostage::sim::*;
use twostage::solver::*;
fn main() {
    let f = |f: f64| (f - 32.0) / 1.8 + 273.15;
    let temp: f64 = std::env::args().nth(1).map_or(70.0, |s| s.parse().unwrap());
    let method = match std::env::args().nth(2).as_deref() {
        Some("e") => Method::Explicit,
        _ => Method::Stiff,
    };
    let mut apps = vec![];
    for k in [
        Kind::OnDemandHeater,
        Kind::Cooktop,
        Kind::Grill,
        Kind::OnDemandHeater,
    ] {
        apps.push(presets::appliance(k));
    }
    // 42 + 7 + 11 + 42 = 102 kBtu/h
    let rig = Rig::standard(vec![presets::container("30 lb cylinder").unwrap()], apps);
    let sc = Scenario {
        title: "x".into(),
        summary: "x".into(),
        site: Site::calm(f(temp), 0.0),
        charges: vec![Charge {
            fill: 0.6,
            temperature_k: f(temp),
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![false; 4],
        rig,
        events: vec![
            Event {
                at_s: 10.0,
                action: Action::Switch {
                    appliance: 0,
                    on: true,
                },
            },
            Event {
                at_s: 10.0,
                action: Action::Switch {
                    appliance: 1,
                    on: true,
                },
            },
            Event {
                at_s: 30.0,
                action: Action::Switch {
                    appliance: 2,
                    on: true,
                },
            },
            Event {
                at_s: 30.0,
                action: Action::Switch {
                    appliance: 3,
                    on: true,
                },
            },
            Event {
                at_s: 60.0,
                action: Action::Switch {
                    appliance: 0,
                    on: false,
                },
            },
            Event {
                at_s: 60.0,
                action: Action::Switch {
                    appliance: 1,
                    on: false,
                },
            },
            Event {
                at_s: 60.0,
                action: Action::Switch {
                    appliance: 2,
                    on: false,
                },
            },
            Event {
                at_s: 60.0,
                action: Action::Switch {
                    appliance: 3,
                    on: false,
                },
            },
        ],
        run: Run {
            duration_s: 120.0,
            sample_s: 1.0,
            settle_s: 30.0,
        },
    };
    let t = std::time::Instant::now();
    let mut sim = Simulation::start(
        Arc::new(sc),
        method,
        Tolerance {
            relative: std::env::args().nth(3).map_or(1e-6, |s| s.parse().unwrap()),
            absolute: std::env::args().nth(4).map_or(1e-8, |s| s.parse().unwrap()),
        },
    )
    .unwrap();
    println!("start {:?}", t.elapsed());
    let show = |r: &Readings| {
        println!(
            "{:8.2} cont {:6.1} pig {:6.1} p1 {:6.2} out {:6.2} man {:6.2} lift1 {:.4} lift2 {:.4} x2 {:.4} flow {:8.0} body {:.1} v {:+.1e} {:+.1e} bal {:.1e}",
            r.time_s,
            r.containers[0].pressure_pa / 6894.757,
            r.containers[0].pigtail_pa / 6894.757,
            r.first.chamber_pa / 6894.757,
            r.outlet_pa / 249.0889,
            r.manifold_pa / 249.0889,
            r.first.lift_m * 1e3,
            r.second.lift_m * 1e3,
            r.second.rise_m * 1e3,
            r.flow_w / 0.293071,
            r.body_k - 273.15,
            r.first.speed_m_per_s,
            r.second.speed_m_per_s,
            r.balance_error
        );
    };
    show(&sim.readings());
    let t = std::time::Instant::now();
    match sim.advance(120.0, Some(5.0), &mut |r| show(r)) {
        Ok(()) => {}
        Err(e) => println!("ERR {e}"),
    }
    println!("{:?} {:?}", t.elapsed(), sim.work());
    for m in sim.marks() {
        println!("{:.3} {}", m.time_s, m.text);
    }
    let sys = RigSystem::new(sim.rig(), &sim.moment().modes);
    let mut y = vec![0.0; sys.dim()];
    sim.moment().state.write_to(sim.rig(), &mut y);
    let j = jacobian(&sys, sim.time_s(), &y);
    let m = modes(&j);
    println!("{:?}", m);
}
