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
    for st in [&mut s.rig.first, &mut s.rig.second] {
        st.friction_n = 0.0;
    }
    let a = s.orifice_m2(10e3);
    let p = s.settle(a, Friction::None).unwrap();
    let sys = RigSystem::new(&s.rig, &s.modes);
    let mut y = vec![0.0; sys.dim()];
    p.state.write_to(&s.rig, &mut y);
    let j = jacobian(&sys, 0.0, &y);
    println!("{:?}", modes(&j).iter().take(3).collect::<Vec<_>>());
    let e = j.clone().symmetric_part();
    let _ = e;
    // power iteration on exp? solve (J - 500 I) v = r
    let m = modes(&j)[0].re;
    let n = sys.dim();
    let sc = RigState::scales(&s.rig);
    let mut a = j.clone();
    for i in 0..n {
        a[(i, i)] -= m + 1e-3;
    }
    for i in 0..n {
        for k in 0..n {
            a[(i, k)] *= sc[k] / sc[i];
        }
    }
    let lu = a.lu();
    let mut v = nalgebra::DVector::from_element(n, 1.0);
    for _ in 0..3 {
        if let Some(x) = lu.solve(&v) {
            v = x.normalize();
        }
    }
    for i in 0..n {
        if v[i].abs() > 1e-3 {
            println!("{} {:.4}", RigState::name(&s.rig, i), v[i]);
        }
    }
}
