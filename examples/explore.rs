use twostage::analysis::{Friction, Stand, hunting};
use twostage::rig::{Kind, Rig, RigState, Site, Stage, presets};
use twostage::units::*;
fn set(s: &mut Stage, k: &str, v: f64) {
    match k {
        "k" => {
            // keep force at touch
            let d = v - s.spring_n_per_m;
            s.spring_n_per_m = v;
            s.preload_n -= d * s.touch_rise_m;
        }
        "kr" => s.rubber_n_per_m = v,
        "m" => s.mass_kg = v,
        "c" => s.damping_n_s_per_m = v,
        "L" => {
            let r = v / s.lever_ratio;
            s.lever_ratio = v;
            let old = s.touch_rise_m;
            s.touch_rise_m *= r;
            s.preload_n -= s.spring_n_per_m * (s.touch_rise_m - old);
            s.rubber_ease_m *= r;
        }
        "vent" => {
            let (l, t) = {
                let b = v;
                let (vi, de, di) = (1.8e-5, 1.2, 0.8);
                let e = 5e-3 + 0.589 * b;
                (
                    8.0 * std::f64::consts::PI * vi * e / de,
                    0.5 / (de * di * di),
                )
            };
            s.vent.area_m2 = std::f64::consts::FRAC_PI_4 * v * v;
            s.vent.laminar = l;
            s.vent.turbulent = t;
        }
        "vb" => s.case_m3 = v,
        "vc" => s.chamber_m3 = v,
        "bore" => s.bore_m = v,
        "eta" => s.rubber_loss = v,
        "sd" => s.seat_damping_s_per_m = v,
        "F0" => s.preload_n = v,
        "wall" => s.case_wall_m = v,
        "A" => {
            let r = v / s.area_m2;
            s.area_m2 = v;
            s.preload_n *= r;
        }
        "s1" => s.bristle_damping_n_s_per_m = v,
        "cd" => s.bristle_n_per_m = v,
        "ks" => s.seat_n_per_m = v,
        _ => panic!("{k}"),
    }
}
fn now_s() -> f64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|t| t.split_whitespace().next()?.parse::<f64>().ok())
        .unwrap()
        * 1e-9
}
fn main() {
    {
        use twostage::scenario::Scenario;
        use twostage::sim::*;
        use twostage::solver::Method;
        for name in ["frosty_night", "quiet_evening"] {
            let mut sc =
                Scenario::load(std::path::Path::new(&format!("scenarios/{name}.toml"))).unwrap();
            for a in std::env::args().skip(1) {
                let (k, v) = a.split_once('=').unwrap();
                let v: f64 = v.parse().unwrap();
                let (st, k) = k.split_once('.').unwrap();
                match st {
                    "1" => set(&mut sc.rig.first, k, v),
                    "2" => set(&mut sc.rig.second, k, v),
                    _ => panic!(),
                }
            }
            let sc = std::sync::Arc::new(sc);
            let mut b = (9e9, 0);
            for _ in 0..4 {
                let mut sim =
                    Simulation::start(sc.clone(), Method::Stiff, usual_tolerance(Method::Stiff))
                        .unwrap();
                let t = now_s();
                let e = sc.run.duration_s;
                sim.advance(e, Some(sc.run.sample_s), &mut |_| {}).unwrap();
                let d = now_s() - t;
                if d < b.0 {
                    b = (d, sim.work().steps)
                }
            }
            println!(
                "{name} {} states {:.0} ms {} steps",
                RigState::dim(&sc.rig),
                b.0 * 1e3,
                b.1
            );
        }
        if std::env::var("T").is_ok() {
            return;
        }
    }
    let mut free = Rig::standard(
        vec![presets::container("100 lb cylinder").unwrap()],
        vec![presets::appliance(Kind::OnDemandHeater)],
    );
    for a in std::env::args().skip(1) {
        let (k, v) = a.split_once('=').unwrap();
        let v: f64 = v.parse().unwrap();
        let (st, k) = k.split_once('.').unwrap();
        match st {
            "1" => set(&mut free.first, k, v),
            "2" => set(&mut free.second, k, v),
            _ => panic!(),
        }
    }
    println!("F0 {:.3}", free.first.preload_n);
    let rig = free.clone();
    for s in [&mut free.first, &mut free.second] {
        s.friction_n = 0.0;
    }
    for air_f in [-40.0, 35.0, 130.0] {
        let site = Site::calm((air_f - 32.0) / 1.8 + 273.15, 0.0);
        for psig in [20.0, 45.0, 93.0, 150.0, 220.0] {
            print!("{air_f:5} F {psig:5} psig:");
            let mut stand = Stand::new(&free, &site, psi_to_pa(psig));
            for kb in [0.0, 0.3, 1.0, 5.0, 10.0, 30.0, 60.0, 100.0, 120.0] {
                let m2 = stand.orifice_m2(kb * 1e3 * W_PER_BTU_PER_H);
                match hunting(&mut stand, m2) {
                    Ok(p) => print!(" {:6.3}/{:4.0}", p.damping, p.frequency_hz),
                    Err(e) => print!(" --{e}"),
                }
            }
            println!();
        }
    }
    let site = Site::calm(293.15, 0.0);
    for psig in [20.0, 45.0, 93.0, 150.0, 220.0] {
        print!("{psig:5} psig interstage/outlet/lift um:");
        let mut stand = Stand::new(&rig, &site, psi_to_pa(psig));
        for kb in [0.0, 10.0, 49.0, 102.0, 120.0] {
            let m2 = stand.orifice_m2(kb * 1e3 * W_PER_BTU_PER_H);
            match stand.settle(m2, Friction::LoadRising) {
                Ok(p) => print!(
                    " {:.2}/{:.2}/{:.0},{:.0}",
                    pa_to_psi(p.readings.first.chamber_pa),
                    pa_to_inwc(p.readings.outlet_pa),
                    p.readings.first.lift_m * 1e6,
                    p.readings.second.lift_m * 1e6
                ),
                Err(e) => print!(" --{e}"),
            }
        }
        println!();
    }
}
