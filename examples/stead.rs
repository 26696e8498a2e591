use twostage::analysis::*;
use twostage::rig::*;
use twostage::sim::*;
use twostage::solver::*;
use twostage::units::*;
fn main() {
    let rig = Rig::standard(vec![presets::container("30 lb cylinder").unwrap()], vec![]);
    let site = Site::calm(290.0, 0.0);
    let clock = std::time::Instant::now();
    for psi in [25.0, 50.0, 100.0, 150.0, 200.0] {
        let mut s = Stand::new(&rig, &site, psi_to_pa(psi));
        let mut n = 0;
        for k in 0..60 {
            let w = 40e3 * (k as f64 / 59.0).max(1e-5);
            let a = s.orifice_m2(w);
            match s.settle(a, Friction::LoadRising) {
                Ok(p) => {
                    n += 1;
                    if k % 15 == 0 || k == 59 {
                        println!(
                            "{psi} {:.1} kBtu out {:.2} p1 {:.2} x1 {:.3e} x2 {:.3e} pig {:.1}",
                            p.load_w / 293.07,
                            pa_to_inwc(p.readings.outlet_pa),
                            pa_to_psi(p.readings.first.chamber_pa),
                            p.state.first.rise_m,
                            p.state.second.rise_m,
                            pa_to_psi(p.readings.containers[0].pigtail_pa)
                        );
                    }
                }
                Err(e) => println!("{psi} {:.1} ERR {e}", w / 293.07),
            }
        }
        println!("{n} {:?}", clock.elapsed());
    }
    let mut s = Stand::new(&rig, &site, psi_to_pa(100.0));
    let area: f64 = std::env::args().nth(1).map_or(1.0, |s| s.parse().unwrap());
    for st in [&mut s.rig.first, &mut s.rig.second] {
        st.friction_n = 0.0;
    }
    s.rig.second.damping_n_s_per_m = 0.0;
    s.rig.second.vent.area_m2 *= area;
    let a = s.orifice_m2(3e3);
    let p = s.settle(a, Friction::None).unwrap();
    let sys = RigSystem::new(&s.rig, &s.modes);
    let mut y = vec![0.0; sys.dim()];
    p.state.write_to(&s.rig, &mut y);
    let j = jacobian(&sys, 0.0, &y);
    println!("{:?}", modes(&j).iter().take(3).collect::<Vec<_>>());
    let e = j.clone().symmetric_part();
    let _ = e;

    for (k, i) in [(5usize, "x"), (6, "v"), (8, "gas"), (9, "case")] {
        print!("{i}: ");
        for c in [5usize, 6, 8, 9, 10] {
            print!("{:.4e} ", j[(k, c)]);
        }
        println!();
    }
    println!(
        "state x {:.6e} case {:.6e} dp {:.3e} p2 {:.3}",
        p.state.second.rise_m,
        p.state.second.case_mol,
        p.readings.second.case_pa,
        p.readings.outlet_pa
    );
}
