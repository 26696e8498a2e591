//! Any faults, any weather, any hands: no panic, no number that cannot be, no failure that is not
//! told, and every gram accounted for.

mod case;
mod structure;

use case::{BALANCE, Went, run};

/// Cases in `cargo test`; `cargo bench --bench soak -- 20000` runs as many as wanted.
const CASES: u64 = 240;

#[test]
fn random_cases_keep_the_laws() {
    let threads = std::thread::available_parallelism().map_or(1, usize::from) as u64;
    let problems: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|k| {
                scope.spawn(move || {
                    (k..CASES)
                        .step_by(threads as usize)
                        .filter_map(|seed| match run(seed) {
                            Went::Well(balance) if balance <= BALANCE => None,
                            Went::Well(balance) => Some(format!("case {seed}: {balance:e}")),
                            Went::Ended(what) | Went::Wrong(what) => Some(what),
                        })
                        .collect::<Vec<_>>()
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|w| w.join().expect("no case panics"))
            .collect()
    });
    assert!(problems.is_empty(), "\n{}", problems.join("\n"));
}
