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
    let apps: Vec<_> = kinds.iter().map(|&k| presets::appliance(k)).collect();
    let rig = Rig::standard(vec![presets::container("100 lb cylinder").unwrap()], apps);
    let sc = Scenario {
        title: "x".into(),
        summary: "x".into(),
        site: Site::calm(f(70.), 0.0),
        charges: vec![Charge {
            fill: 0.8,
            temperature_k: f(70.),
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![false; 4],
        rig,
        events: vec![Event {
            at_s: 10.,
            action: Action::Switch {
                appliance: 0,
                on: true,
            },
        }],
        run: Run {
            duration_s: 400.0,
            sample_s: 1.0,
            settle_s: 60.0,
        },
    };
    let mut sim = Simulation::start(Arc::new(sc), Method::Stiff, Tolerance::default()).unwrap();
    for t in [5.0, 30.0] {
        sim.advance(t, None, &mut |_| {}).unwrap();
        let mut q = (**sim.rig()).clone();
        q.first.friction_n = 0.0;
        q.second.friction_n = 0.0;
        let sys = RigSystem::new(&q, &sim.moment().modes);
        let n = sys.dim();
        let mut y = vec![0.0; n];
        sim.moment().state.write_to(&q, &mut y);
        let j = jacobian(&sys, sim.time_s(), &y);
        println!("t {t}");
        for e in modes(&j) {
            if e.re.abs() > 1.0 {
                print!("({:.1} {:.1}) ", e.re, e.im);
            }
        }
        println!();
        for i in 0..n {
            for k in 0..n {
                let v = j[(i, k)];
                if v.abs() > 1e-3 && (i < 11 && k < 11) {
                    println!("{} / {} = {:.4e}", sys.state_name(i), sys.state_name(k), v);
                }
            }
        }
    }
}
