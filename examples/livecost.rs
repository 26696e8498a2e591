use std::sync::Arc;
use twostage::scenario::*;
use twostage::sim::*;
fn main() {
    let sc = Arc::new(Scenario::opening());
    let mut rec = Record::default();
    let mut live = Live::start(sc, &mut rec).unwrap();
    for tick in [1.6e-5, 1.6e-4, 1.6e-3, 0.016, 0.16, 1.6, 16.0] {
        let t0 = live.rig().time_s();
        let c = std::time::Instant::now();
        let n = 300;
        for k in 1..=n {
            live.advance(t0 + tick * f64::from(k), &mut rec).unwrap();
        }
        println!(
            "tick {tick}: {:.3} ms of 16 ms",
            c.elapsed().as_secs_f64() * 1e3 / f64::from(n)
        );
    }
}
