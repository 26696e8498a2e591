use std::sync::Arc;
use twostage::fault::*;
use twostage::rig::*;
use twostage::scenario::*;
use twostage::service::*;
use twostage::sim::*;
use twostage::solver::*;
use twostage::units::*;
fn main() {
    let only = std::env::args().nth(1);
    let sev: f64 = std::env::args().nth(2).map_or(0.5, |s| s.parse().unwrap());
    let temp: f64 = std::env::args().nth(3).map_or(70.0, |s| s.parse().unwrap());
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
    let t = (temp - 32.0) / 1.8 + 273.15;
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
    println!(
        "{:24} {:>5} {:>5} {:>5} {:>5} {:>5}|{:>5} {:>5} {:>4} {:>6}|{:>5} {:>5} {:>5} {:>5}|vents r/f  leak  ms",
        "fault",
        "half",
        "full",
        "manif",
        "kBtu",
        "band",
        "lock",
        "peak",
        "setl",
        "climb",
        "p1r",
        "p1f",
        "inr",
        "inf"
    );
    let mut list: Vec<Option<Fault>> = vec![None];
    list.extend(Fault::all().map(Some));
    for f in list {
        let name = f.map_or("healthy", |f| f.id());
        if let Some(o) = &only {
            if o != "all" && !name.contains(o.as_str()) {
                continue;
            }
        }
        let extra: Vec<_> = f.iter().map(|f| (*f, sev)).collect();
        let clock = std::time::Instant::now();
        let mut sim =
            match Simulation::start(Arc::new(prepare(&base, &extra)), Method::Stiff, TOLERANCE) {
                Ok(s) => s,
                Err(e) => {
                    println!("{name} ERR {e}");
                    continue;
                }
            };
        let mut l = |_: &Progress| true;
        let mut b = Bench::new(&mut sim, &mut l);
        match run_all(&mut b) {
            Err(e) => println!("{name:24} ERR {e}"),
            Ok(r) => {
                let ms = clock.elapsed().as_secs_f64() * 1e3;
                let lo = |k, n| r.figure(k, n).map_or(f64::NAN, pa_to_inwc);
                let hi = |k, n| r.figure(k, n).map_or(f64::NAN, pa_to_psi);
                use TestKind::*;
                let v = |n| r.figure(Vent, n).unwrap_or(9.0);
                let unlit = r.test(FullLoad).unwrap().words.contains("not burn");
                println!(
                    "{:24} {:5.1} {:5.1} {:5.1} {:5.1} {:5.1}|{:5.1} {:5.1} {:4.0} {:6.2}|{:5.1} {:5.1} {:5.0} {:5.0}|{}{} {}{} {:5.1} {:4.0} {} {}",
                    name,
                    lo(FlowPressure, "outlet"),
                    lo(FullLoad, "outlet"),
                    lo(FullLoad, "manifold"),
                    r.figure(FullLoad, "load").unwrap() / W_PER_BTU_PER_H / 1e3,
                    lo(LoadUpDown, "band"),
                    lo(LockUp, "lock-up"),
                    lo(LockUp, "peak"),
                    r.figure(LockUp, "settled after").unwrap(),
                    lo(Creep, "climb"),
                    hi(FirstStage, "at rest"),
                    hi(FirstStage, "flowing"),
                    hi(FirstStage, "inlet at rest"),
                    hi(FirstStage, "inlet flowing"),
                    v("first at rest"),
                    v("first flowing"),
                    v("second at rest"),
                    v("second flowing"),
                    lo(LeakCheck, "change"),
                    ms,
                    sim.work().fallbacks,
                    if unlit { "UNLIT" } else { "" }
                );
                if only.is_some() && only.as_deref() != Some("all") {
                    for t in &r.tests {
                        println!("   {} {}: {}", t.test.words(), t.verdict.words(), t.words);
                    }
                    for m in sim.marks() {
                        println!("     {:.1} {}", m.time_s, m.text);
                    }
                    println!("{:?}", sim.work());
                    println!("{:.1e}", sim.readings().balance_error);
                }
            }
        }
    }
}
