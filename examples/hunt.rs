use twostage::analysis::*;
use twostage::rig::*;
use twostage::units::*;
fn main() {
    for vent in [1.0, 4.0] {
        for man in [2.0e-3, 0.5e-3, 0.1e-3] {
            for lever in [4.0, 1.5] {
                for bore in [1.0, 2.0] {
                    let mut rig =
                        Rig::standard(vec![presets::container("30 lb cylinder").unwrap()], vec![]);
                    rig.second.damping_n_s_per_m = 0.0;
                    rig.second.vent.area_m2 *= vent;
                    rig.piping.manifold_m3 = man;
                    rig.second.touch_rise_m *= 1.0;
                    rig.second.lever_ratio = lever;
                    rig.second.bore_m *= bore;
                    for st in [&mut rig.first, &mut rig.second] {
                        st.friction_n = 0.0;
                    }
                    print!("vent {vent} man {man} lever {lever} bore {bore}: ");
                    for k in [2.0, 10.0, 40.0, 80.0] {
                        let mut s = Stand::new(&rig, &Site::calm(290.0, 0.0), psi_to_pa(100.0));
                        let a = s.orifice_m2(k * 1e3 * W_PER_BTU_PER_H);
                        match hunting(&mut s, a) {
                            Ok(p) => print!(
                                "{:.3} {:.1} Hz ({:.1}) | ",
                                p.damping, p.frequency_hz, p.growth_per_s
                            ),
                            Err(e) => print!("{e} | "),
                        }
                    }
                    println!();
                }
            }
        }
    }
}
