//! Text from strangers at every door, changed at random: in `cargo test` the committed seeds and so many changes of them,
//! always the same; as long as one likes by `.ci/fuzz`. What it found is kept as a seed.

mod doors;
mod memory;
mod mutate;

use doors::{DOORS, Door};
use mutate::{Dice, mutated, words};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

/// Changed texts for each door in `cargo test`.
const CASES: u64 = 1500;
/// Bytes that one input may ask for in all and hold at once: so much, and so much for each of its own bytes.
const MOST_ASKED: (usize, usize) = (200 << 20, 40_000);
const MOST_HELD: (usize, usize) = (20 << 20, 2_000);

/// The seeds of a door: its corpus, and shipped files of its kind.
fn seeds(door: &Door) -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let corpus = root.join("tests/fuzz/corpus").join(door.name);
    let shipped = door.seeds.iter().map(|folder| root.join(folder));
    let mut files: Vec<_> = shipped
        .chain([corpus])
        .filter_map(|folder| std::fs::read_dir(folder).ok())
        .flatten()
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.is_file() && path.extension().is_none_or(|e| e != "rs"))
        .collect();
    files.sort();
    assert!(!files.is_empty(), "{} has no seeds", door.name);
    files
        .iter()
        .map(|path| {
            std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
        })
        .collect()
}

/// The changed text of a number.
fn case(seeds: &[String], words: &[&str], number: u64) -> String {
    let mut dice = Dice(number);
    let text = &seeds[dice.below(seeds.len())];
    let other = &seeds[dice.below(seeds.len())];
    mutated(&mut dice, text, other, words)
}

/// Feeds one text and says what was wrong with it, if anything was.
fn trouble(door: &Door, text: &str) -> (bool, Option<String>) {
    let mut let_in = Ok(false);
    let cost = memory::cost(|| let_in = catch_unwind(AssertUnwindSafe(|| (door.feed)(text))));
    let bound = |(once, each): (usize, usize)| once + each * text.len();
    if cost.asked > bound(MOST_ASKED) || cost.most > bound(MOST_HELD) {
        return (false, Some(format!("{cost:?} for {} bytes", text.len())));
    }
    match let_in {
        Ok(let_in) => (let_in, None),
        Err(panic) => {
            let why = panic.downcast_ref::<String>().cloned();
            let plain = panic.downcast_ref::<&str>().map(|s| (*s).to_owned());
            (false, Some(why.or(plain).unwrap_or_default()))
        }
    }
}

/// Changed texts from a number on, until told to stop; ends at the first that goes wrong.
/// Counts them, and those let in.
fn feed(door: &Door, from: u64, go_on: &dyn Fn(u64) -> bool) -> (u64, u64) {
    let seeds = seeds(door);
    let words = words(&seeds);
    let (mut number, mut let_in) = (from, 0);
    while go_on(number) {
        let text = case(&seeds, &words, number);
        let (was_let_in, why) = trouble(door, &text);
        if let Some(why) = why {
            panic!("{} {number}: {why}\n--- the text:\n{text}", door.name);
        }
        let_in += u64::from(was_let_in);
        number += 1;
    }
    (number - from, let_in)
}

#[test]
fn every_seed_is_sound_and_most_are_let_in() {
    for door in &DOORS {
        let seeds = seeds(door);
        let mut count = 0;
        for text in &seeds {
            let (let_in, why) = trouble(door, text);
            assert!(
                why.is_none(),
                "{}: {}\n--- the text:\n{text}",
                door.name,
                why.unwrap_or_default()
            );
            count += usize::from(let_in);
        }
        assert!(
            2 * count >= seeds.len(),
            "{}: {count} of {} seeds are let in",
            door.name,
            seeds.len()
        );
    }
}

#[test]
fn no_change_of_a_seed_breaks_a_door() {
    let (some, others) = DOORS.split_at(DOORS.len() / 2);
    let all = |doors: &[Door]| {
        doors
            .iter()
            .for_each(|door| _ = feed(door, 0, &|n| n < CASES));
    };
    std::thread::scope(|scope| {
        scope.spawn(|| all(some));
        all(others);
    });
}

/// As long as one likes: `.ci/fuzz [DOOR] [SECONDS]` says which and how long, and where to begin.
#[test]
#[ignore = "as long as one likes, see .ci/fuzz"]
fn as_long_as_one_likes() {
    let var = |name: &str| std::env::var(name).ok();
    let seconds = var("FUZZ_SECONDS")
        .and_then(|s| s.parse().ok())
        .unwrap_or(60);
    let from = var("FUZZ_FROM")
        .and_then(|s| s.parse().ok())
        .unwrap_or(CASES);
    let wanted = var("FUZZ_DOOR").unwrap_or_default();
    let chosen: Vec<&Door> = DOORS
        .iter()
        .filter(|d| wanted.is_empty() || d.name == wanted)
        .collect();
    assert!(!chosen.is_empty(), "there is no door `{wanted}`");
    let each = Duration::from_secs(seconds) / chosen.len() as u32;
    for door in chosen {
        let begun = Instant::now();
        let (count, let_in) = feed(door, from, &|_| begun.elapsed() < each);
        println!(
            "{}: {count} texts from {from} on, {let_in} let in, none broke it",
            door.name
        );
    }
}
