//! Every law of our own in docs/physics.md carries a line on what would change if it were wrong by a factor of two.

use std::collections::BTreeMap;

fn paper(name: &str) -> String {
    let docs = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs");
    std::fs::read_to_string(docs.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// The number behind each mark of a law of our own, where there is one.
fn marks(text: &str) -> Vec<Option<&str>> {
    let behind = text.split("**own**").skip(1);
    let numbers = behind.map(|rest| {
        let word = rest.strip_prefix(' ')?;
        let end = word.find(|c: char| !c.is_ascii_alphanumeric())?;
        let digits = word[..end].strip_prefix('O')?;
        digits.parse::<u32>().is_ok().then_some(&word[..end])
    });
    numbers.collect()
}

#[test]
fn every_law_of_our_own_says_what_a_factor_of_two_would_change() {
    let text = paper("physics.md");
    let (_, laws) = text
        .split_once("## State")
        .expect("grades are told before the state");
    let table: BTreeMap<&str, &str> = laws
        .lines()
        .filter_map(|line| {
            let (law, change) = line.strip_prefix("| O")?.split_once(" | ")?;
            let number = &line[2..3 + law.split(' ').next()?.len()];
            Some((number, change.trim_end_matches(" |")))
        })
        .collect();
    let mut said = Vec::new();
    for mark in marks(laws) {
        let number = mark.expect("a law of our own without its number");
        let change = table
            .get(number)
            .unwrap_or_else(|| panic!("no line on {number}"));
        assert!(change.len() > 30, "{number}: {change}");
        said.push(number);
    }
    for number in table.keys() {
        assert!(said.contains(number), "{number} stands by no law");
    }
    assert!(said.len() > 15, "{said:?}");
}

/// What the lines name in the table of sensitivity is there.
#[test]
fn what_is_said_to_be_in_the_table_of_sensitivity_is_there() {
    let (text, sensitivity) = (paper("physics.md"), paper("sensitivity.md"));
    for line in text.lines().filter(|line| line.starts_with("| O")) {
        for name in line.split('`').skip(1).step_by(2) {
            let row = format!("| {name} | ");
            assert!(sensitivity.contains(&row), "{name}");
        }
    }
}
