use std::sync::Arc;
use twostage::rig::*;
use twostage::scenario::*;
use twostage::sim::*;
use twostage::solver::*;
fn main() {
    let f = |f: f64| (f - 32.0) / 1.8 + 273.15;
    let kinds = [
        Kind::Furnace,
        Kind::WaterHeater,
        Kind::Refrigerator,
        Kind::Cooktop,
        Kind::Oven,
    ];
    let apps: Vec<_> = kinds.iter().map(|&k| presets::appliance(k)).collect();
    let mut rig = Rig::standard(vec![presets::container("30 lb cylinder").unwrap()], apps);
    if std::env::var("NOFRIC").is_ok() {
        rig.first.friction_n = 0.0;
        rig.second.friction_n = 0.0;
    }
    let sc = Scenario {
        title: "x".into(),
        summary: "x".into(),
        site: Site::calm(f(24.), 500.0),
        charges: vec![Charge {
            fill: 0.8,
            temperature_k: f(24.),
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![true, true, true, false, false],
        rig,
        events: vec![],
        run: Run {
            duration_s: 43200.0,
            sample_s: 1.0,
            settle_s: 60.0,
        },
    };
    let sc = Arc::new(sc);
    let a = |k: usize, d: f64| std::env::args().nth(k).map_or(d, |s| s.parse().unwrap());
    let tol = Tolerance {
        relative: a(1, 1e-6),
        absolute: a(2, 1e-8),
    };
    for _ in 0..3 {
        let t = std::time::Instant::now();
        let mut sim = Simulation::start(sc.clone(), Method::Stiff, tol).unwrap();
        println!("start {:?}", t.elapsed());
        let t = std::time::Instant::now();
        let mut last = 0;
        let mut hist = vec![];
        for k in 1..=432 {
            let t = f64::from(k) * 100.0;
            if let Err(e) = sim.advance(t, None, &mut |_| {}) {
                println!("ERR {e}");
                break;
            }
            let n = sim.work().steps;
            hist.push(n - last);
            last = n;
        }
        if std::env::var("HIST").is_ok() {
            println!("{hist:?}");
        }
        let r = sim.readings();
        println!(
            "{:?} marks {} bal {:.1e} {:?}",
            t.elapsed(),
            sim.marks().len(),
            r.balance_error,
            sim.work()
        );
        println!(
            "lit {} cont {:.2} fill {:.3} out {:.4}",
            sim.marks()
                .iter()
                .filter(|m| m.text.ends_with(" lit"))
                .count(),
            r.containers[0].pressure_pa / 6894.757,
            r.containers[0].fill,
            r.outlet_pa / 249.0889
        );
    }
}
