//! The house rules that a compiler does not check: rooms import downwards only, toolkits are named
//! by one room each, files stay short, and what the papers point to exists.
//!
//! Reads the project's own files. Not here: what any room does.

use std::fs;
use std::path::{Path, PathBuf};

/// Longest a source file may be without a reason, in lines.
const LONGEST_FILE: usize = 650;

/// Files that are longer, and why.
const LONG_FILES: [(&str, &str); 3] = [
    (
        "src/scenario/parts.rs",
        "one short function for each table of the scenario file",
    ),
    ("src/window/charts.rs", "one panel with its own axes"),
    ("src/window/cutaway/mod.rs", "one picture"),
];

/// Crates that only one room may name.
const TOOLKITS: [(&str, &[&str]); 2] = [
    (
        "window",
        &[
            "egui",
            "eframe",
            "egui_plot",
            "egui_kittest",
            "rfd",
            "image",
        ],
    ),
    ("solver", &["ode_solvers"]),
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// All files under a place of the project with one of these endings, as paths from the top.
fn files(place: &str, endings: &[&str]) -> Vec<String> {
    fn walk(directory: &Path, endings: &[&str], out: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(directory).expect("a readable directory") {
            let path = entry.expect("a readable entry").path();
            if path.is_dir() {
                walk(&path, endings, out);
            } else if path
                .extension()
                .is_some_and(|e| endings.contains(&e.to_string_lossy().as_ref()))
            {
                out.push(path);
            }
        }
    }
    let mut out = Vec::new();
    walk(&root().join(place), endings, &mut out);
    let mut names: Vec<String> = out
        .iter()
        .map(|path| {
            let inside = path.strip_prefix(root()).expect("under the top");
            inside.to_string_lossy().replace('\\', "/")
        })
        .collect();
    names.sort();
    assert!(!names.is_empty(), "nothing to read under {place}");
    names
}

fn read(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A source text without its comments, so that a link in the documentation is no import.
fn code_of(text: &str) -> String {
    text.lines()
        .map(|line| line.split("//").next().unwrap_or_default())
        .collect::<Vec<_>>()
        .join("\n")
}

/// The rooms in their order: the public modules of the library.
fn rooms() -> Vec<String> {
    read("src/lib.rs")
        .lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect()
}

/// The room a source file belongs to; none for `main.rs` and `lib.rs`.
fn room_of(name: &str) -> Option<&str> {
    let inside = name.strip_prefix("src/")?;
    let (room, _) = inside.split_once('/')?;
    Some(room)
}

fn identifier(text: &str) -> &str {
    let end = text
        .find(|c: char| !(c.is_alphanumeric() || c == '_'))
        .unwrap_or(text.len());
    &text[..end]
}

/// First names behind `crate::`, those of a group in braces included.
fn crate_names(code: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (at, found) in code.match_indices("crate::") {
        let rest = &code[at + found.len()..];
        if let Some(group) = rest.strip_prefix('{') {
            let mut depth = 1;
            let mut name = String::new();
            for c in group.chars() {
                match c {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    _ => {}
                }
                if depth == 0 || (depth == 1 && c == ',') {
                    out.push(identifier(name.trim()).to_owned());
                    name.clear();
                } else {
                    name.push(c);
                }
                if depth == 0 {
                    break;
                }
            }
        } else {
            out.push(identifier(rest).to_owned());
        }
    }
    out.retain(|name| !name.is_empty());
    out
}

#[test]
fn imports_are_read_in_every_form() {
    let code =
        code_of("use crate::rig::Rig; // crate::window\nuse crate::{units, sim::{Live, a}};");
    assert_eq!(crate_names(&code), ["rig", "units", "sim"]);
}

#[test]
fn a_room_imports_only_from_rooms_below_it() {
    let rooms = rooms();
    assert!(rooms.len() >= 10, "rooms of src/lib.rs: {rooms:?}");
    let place = |room: &str| rooms.iter().position(|r| r == room);
    let mut wrong = Vec::new();
    let mut seen = 0;
    for name in files("src", &["rs"]) {
        let Some(room) = room_of(&name) else {
            continue;
        };
        let own = place(room).unwrap_or_else(|| panic!("{name}: no room `{room}` in src/lib.rs"));
        for used in crate_names(&code_of(&read(&name))) {
            let Some(other) = place(&used) else {
                continue; // a macro or an item at the top
            };
            seen += 1;
            if other > own {
                wrong.push(format!("{name} reaches up to `{used}`"));
            }
        }
    }
    assert!(seen > 50, "only {seen} imports found: the reading is wrong");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_faces_do_not_know_each_other() {
    for name in files("src/window", &["rs"]) {
        let used = crate_names(&code_of(&read(&name)));
        assert!(!used.contains(&"cli".to_owned()), "{name} names `cli`");
    }
}

#[test]
fn each_toolkit_is_named_by_one_room() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for name in files("src", &["rs"]) {
        let code = code_of(&read(&name));
        for (room, crates) in TOOLKITS {
            let named = |word: &&&str| {
                code.match_indices(&format!("{word}::")).any(|(at, _)| {
                    // `::image::` and `self.image` are no crate; a letter before is another word.
                    let before = code[..at].chars().next_back();
                    !before.is_some_and(|c| c.is_alphanumeric() || "_:.".contains(c))
                })
            };
            for word in crates.iter().filter(named) {
                seen += 1;
                if room_of(&name) != Some(room) {
                    wrong.push(format!("{name} names `{word}`, which belongs to {room}/"));
                }
            }
        }
    }
    assert!(
        seen > 10,
        "only {seen} mentions found: the reading is wrong"
    );
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_file_is_long_without_a_reason() {
    let mut wrong = Vec::new();
    for place in ["src", "tests", "benches"] {
        for name in files(place, &["rs"]) {
            let lines = read(&name).lines().count();
            let excused = LONG_FILES.iter().any(|(file, _)| *file == name);
            if lines > LONGEST_FILE && !excused {
                wrong.push(format!("{name} has {lines} lines"));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "over {LONGEST_FILE}: {}",
        wrong.join(", ")
    );
}

#[test]
fn every_file_says_what_lives_in_it() {
    for place in ["src", "tests", "benches"] {
        for name in files(place, &["rs"]) {
            assert!(read(&name).starts_with("//!"), "{name} has no head");
        }
    }
}

/// The papers of the project.
fn papers() -> Vec<String> {
    let mut out = files("docs", &["md"]);
    out.extend(["README.md", "DEVELOPERS.md"].map(str::to_owned));
    out
}

/// Words of a paper that are meant as paths of the project: in back-ticks or as a link.
fn paths_in(text: &str) -> Vec<String> {
    const TOPS: [&str; 6] = ["src/", "tests/", "docs/", "scenarios/", "benches/", ".ci/"];
    const FILES: [&str; 5] = [
        "Cargo.toml",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
    ];
    text.split(|c: char| c.is_whitespace() || "`()[]<>,;|\"".contains(c))
        .map(|word| word.trim_end_matches(['.', ':', '?', '!']))
        .map(|word| word.split('#').next().unwrap_or_default())
        .filter(|word| TOPS.iter().any(|top| word.starts_with(top)) || FILES.contains(word))
        .filter(|word| !word.contains(['*', '…', '{']))
        .map(str::to_owned)
        .collect()
}

#[test]
fn paths_named_in_the_papers_exist() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for paper in papers() {
        for path in paths_in(&read(&paper)) {
            seen += 1;
            if !root().join(&path).exists() {
                wrong.push(format!("{paper} names {path}"));
            }
        }
    }
    assert!(seen > 10, "only {seen} paths found: the reading is wrong");
    assert!(wrong.is_empty(), "not there: {}", wrong.join(", "));
}

#[test]
fn links_between_the_papers_lead_somewhere() {
    for paper in papers() {
        let text = read(&paper);
        let home = root().join(&paper);
        let home = home.parent().expect("a file stands in a directory");
        for (at, _) in text.match_indices("](") {
            let target = text[at + 2..].split(')').next().unwrap_or_default();
            let file = target.split('#').next().unwrap_or_default();
            if file.is_empty() || file.contains("://") {
                continue;
            }
            assert!(home.join(file).exists(), "{paper} links to {target}");
        }
    }
}

#[test]
fn nothing_names_a_path_of_someones_machine() {
    // Taken apart so that this file does not name them.
    let places = ["wo rk/", "tm p/", "ho me/", "ro ot/", "Us ers/"]
        .map(|p| format!("/{}", p.replace(' ', "")));
    let mut names = papers();
    for place in ["src", "tests", "benches", "scenarios"] {
        names.extend(files(place, &["rs", "toml", "py", "csv"]));
    }
    names.extend([".ci/run", ".ci/window", "docs/validation.sh"].map(str::to_owned));
    for name in names {
        let text = read(&name);
        for place in &places {
            for (at, _) in text.match_indices(place.as_str()) {
                let before = text[..at].chars().next_back();
                let inside_a_path =
                    before.is_some_and(|c| c.is_alphanumeric() || "._-*}".contains(c));
                assert!(inside_a_path, "{name} names a place under {place}");
            }
        }
        assert!(
            !text.contains(&format!("../{}", "shared")),
            "{name} points outside the project"
        );
    }
}
