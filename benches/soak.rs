//! The long run of random cases: `cargo bench --no-default-features --bench soak -- 20000 [first seed]`.
//!
//! Prints how many kept every law and each that did not, by its seed, so that it can be run again
//! alone. The exit code tells whether all did. Without a number it runs a few, for `cargo bench`.

#[path = "../tests/properties/case.rs"]
mod case;

use case::{Went, run};
use std::process::ExitCode;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

/// Cases without a number.
const A_FEW: u64 = 200;

fn main() -> ExitCode {
    // cargo bench adds a flag of its own.
    let numbers: Result<Vec<u64>, _> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with("--"))
        .map(|a| a.parse::<u64>())
        .collect();
    let Ok(numbers) = numbers else {
        eprintln!(
            "error: how many cases, and from which seed\n  try: cargo bench --bench soak -- 20000 0"
        );
        return ExitCode::from(2);
    };
    let count = numbers.first().copied().unwrap_or(A_FEW);
    let first = numbers.get(1).copied().unwrap_or(0);
    let started = Instant::now();
    let next = AtomicU64::new(first);
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let results: Vec<(f64, Vec<String>, Vec<String>)> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                scope.spawn(|| {
                    let (mut worst, mut ended, mut wrong) = (0.0_f64, Vec::new(), Vec::new());
                    loop {
                        let seed = next.fetch_add(1, Ordering::Relaxed);
                        if seed >= first + count {
                            return (worst, ended, wrong);
                        }
                        match run(seed) {
                            Went::Well(balance) => worst = worst.max(balance),
                            Went::Ended(what) => ended.push(what),
                            Went::Wrong(what) => wrong.push(what),
                        }
                    }
                })
            })
            .collect();
        workers
            .into_iter()
            .map(|w| w.join().expect("no case panics"))
            .collect()
    });
    let worst = results.iter().map(|r| r.0).fold(0.0, f64::max);
    let ended: Vec<&String> = results.iter().flat_map(|r| &r.1).collect();
    let wrong: Vec<&String> = results.iter().flat_map(|r| &r.2).collect();
    for what in ended.iter().chain(&wrong) {
        println!("{what}");
    }
    println!(
        "{count} cases from seed {first}: {} kept every law, {} ended with a told error, {} gave a number that cannot be; worst mass balance {worst:.1e}; {:.0} s",
        count as usize - ended.len() - wrong.len(),
        ended.len(),
        wrong.len(),
        started.elapsed().as_secs_f64()
    );
    ExitCode::from(u8::from(!(ended.is_empty() && wrong.is_empty())))
}
