//! Curves and the map on the command line: tables, pictures, and every option does what it says or is refused.

use super::{Folder, SMALL, refused, said, told, twostage};
use std::fs;

#[test]
fn curves_and_the_map_are_tables_and_pictures() {
    let folder = Folder::new("curves");
    let file = folder.file("small.toml", SMALL);
    let svg = folder.path("curve.svg");
    let curve = twostage(&["curve", &file, "--points", "4", "--csv", "-", "--svg", &svg]);
    assert_eq!(curve.status.code(), Some(0), "{}", told(&curve));
    assert_eq!(said(&curve).lines().count(), 1 + 5 * 4);
    assert!(
        fs::read_to_string(&svg)
            .expect("a picture")
            .starts_with("<svg")
    );
    // One line of lock-up, two of the relief's, five airs of endurance.
    for (what, lines) in [("lock-up", 1), ("relief", 1), ("endurance", 5)] {
        for points in [2, 3] {
            let count = points.to_string();
            let output = twostage(&["curve", &file, "--what", what, "--points", &count]);
            assert_eq!(output.status.code(), Some(0), "{what}: {}", told(&output));
            let rows = said(&output).lines().count() - 1;
            assert_eq!(rows, lines * points, "{what} at {points} points");
        }
    }
    let map = twostage(&["stability", &file, "--points", "3"]);
    assert_eq!(said(&map).lines().count(), 1 + 5 * 3);
}

#[test]
fn a_load_is_drawn_or_refused_and_never_left_aside() {
    let folder = Folder::new("loads");
    let file = folder.file("small.toml", SMALL);
    refused(&["curve", &file, "--to", "9 psi"], 2, &["--to"]);
    for what in ["lock-up", "relief"] {
        let args = ["curve", &file, "--what", what, "--to", "20 kBtu/h"];
        refused(&args, 2, &["--to", "try: leave it out"]);
    }
    refused(
        &["stability", &file, "--points", "101"],
        2,
        &["--points", "at most 100"],
    );
    let drawn = |load: &str| {
        let args = [
            "curve",
            &file,
            "--what",
            "endurance",
            "--points",
            "2",
            "--to",
            load,
        ];
        said(&twostage(&args))
            .lines()
            .nth(1)
            .expect("a row")
            .to_owned()
    };
    assert!(drawn("20 kBtu/h").starts_with("20000,"));
    assert!(drawn("30 kBtu/h").starts_with("30000,"));
}
