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
    let tol: f64 = std::env::args().nth(3).map_or(1e-6, |s| s.parse().unwrap());
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
    let mut w = Work::default();
    let mut clock = std::time::Instant::now();
    let mut sim = Simulation::start(
        Arc::new(prepare(&base, &extra)),
        Method::Stiff,
        Tolerance {
            relative: tol,
            absolute: tol * 1e-2,
        },
    )
    .unwrap();
    let mut show = |what: &str, sim: &Simulation| {
        let n = sim.work();
        println!(
            "{what:16} {:7.1} ms steps {:6} rej {:5} deriv {:6} jac {:5} fact {:5} t {:.1}",
            clock.elapsed().as_secs_f64() * 1e3,
            n.steps - w.steps,
            n.rejected_steps - w.rejected_steps,
            n.derivative_calls - w.derivative_calls,
            n.jacobians - w.jacobians,
            n.factorizations - w.factorizations,
            sim.time_s()
        );
        w = *n;
        clock = std::time::Instant::now();
    };
    show("start", &sim);
    if std::env::args().nth(4).is_some() {
        sim.act(&Action::Valve {
            container: 0,
            open: 0.0,
            over_s: 2.0,
        });
        for _ in 0..40 {
            let u = sim.time_s() + 5.0;
            sim.advance(u, None, &mut |_| {}).unwrap();
            show("wait 5", &sim);
            let r = sim.readings();
            println!(
                "{:?} p1 {:.1} p2 {:.2} man {:.2} pig {:.1} x1 {:.4e} x2 {:.4e} v {:.1e} {:.1e} case {:.3} {:.3}",
                r.time_s,
                r.first.chamber_pa,
                r.outlet_pa,
                r.manifold_pa,
                r.containers[0].pigtail_pa,
                r.first.rise_m,
                r.second.rise_m,
                r.first.speed_m_per_s,
                r.second.speed_m_per_s,
                r.first.case_pa,
                r.second.case_pa
            );
        }
        return;
    }
    let mut l = |_: &Progress| true;
    let mut b = Bench::new(&mut sim, &mut l);
    for k in TestKind::VISIT {
        let _ = run(&mut b, k);
        show(k.words(), b.sim);
        if k == TestKind::LoadUpDown {
            for a in 0..4 {
                let _ = perform(&mut b, Deed::ShutOff { appliance: a });
            }
        }
    }
}
