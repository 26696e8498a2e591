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
    ("tests/doors/main.rs", "a row for each command"),
    ("tests/window.rs", "one window by its keys and labels"),
    (
        "src/scenario/parts.rs",
        "one short function for each table of the scenario file",
    ),
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

/// Most files that lie flat in one folder: more of them are rooms within the room.
const MOST_FLAT: usize = 20;

#[test]
fn no_folder_is_crowded() {
    let mut flat = std::collections::BTreeMap::<String, usize>::new();
    for name in files("src", &["rs"]) {
        let (folder, _) = name.rsplit_once('/').expect("a file in a folder");
        *flat.entry(folder.to_owned()).or_default() += 1;
    }
    flat.retain(|_, count| *count > MOST_FLAT);
    assert!(flat.is_empty(), "over {MOST_FLAT} files: {flat:?}");
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

/// A module's path from its file: `visit/item`, `visit` for `visit/mod.rs`.
fn module_of(name: &str) -> String {
    let inside = name.strip_prefix("src/").unwrap_or(name);
    let plain = inside.strip_suffix(".rs").unwrap_or(inside);
    plain.strip_suffix("/mod").unwrap_or(plain).to_owned()
}

/// The paths that a `use` line names, groups in braces spread out.
fn spread(path: &str) -> Vec<String> {
    let Some(open) = path.find('{') else {
        let plain = path.split(" as ").next().unwrap_or(path);
        return vec![plain.trim().to_owned()];
    };
    let (mut depth, mut close) = (0, path.len());
    for (at, c) in path.char_indices().skip(open) {
        depth += i32::from(c == '{') - i32::from(c == '}');
        if depth == 0 {
            close = at;
            break;
        }
    }
    let (mut parts, mut part) = (Vec::new(), String::new());
    for c in path[open + 1..close].chars() {
        depth += i32::from(c == '{') - i32::from(c == '}');
        if c == ',' && depth == 0 {
            parts.push(std::mem::take(&mut part));
        } else {
            part.push(c);
        }
    }
    parts.push(part);
    let parts = parts.iter().map(|p| p.trim()).filter(|p| !p.is_empty());
    parts
        .flat_map(|p| spread(&format!("{}{p}", &path[..open])))
        .collect()
}

/// What a file uses: module, name in it, and whether it is handed on.
fn uses(
    module: &str,
    text: &str,
    modules: &std::collections::BTreeSet<String>,
) -> Vec<(String, String, bool)> {
    let code = code_of(
        text.split("#[cfg(test)]\nmod tests {")
            .next()
            .unwrap_or(text),
    );
    let mut out = Vec::new();
    for statement in code.split(';') {
        let Some(at) = statement.rfind("use ").filter(|at| {
            let before = statement[..*at].rsplit('\n').next().unwrap_or("");
            before.trim().is_empty() || before.trim().starts_with("pub")
        }) else {
            continue;
        };
        let is_public = statement[..at].trim_end().ends_with("pub");
        for path in spread(&statement[at + 4..].replace('\n', " ")) {
            let mut parts: Vec<&str> = path.split("::").map(str::trim).collect();
            let mut place: Vec<&str> = match parts[0] {
                "crate" => Vec::new(),
                "super" | "self" => module.split('/').collect(),
                _ => continue,
            };
            while parts.first() == Some(&"super") {
                place.pop();
                parts.remove(0);
            }
            if matches!(parts.first(), Some(&"crate" | &"self")) {
                parts.remove(0);
            }
            while let Some(next) = parts.first() {
                let deeper = [&place[..], &[*next]].concat().join("/");
                if !modules.contains(&deeper) {
                    break;
                }
                place.push(parts.remove(0));
            }
            let name = parts.first().map_or("", |n| *n).to_owned();
            out.push((place.join("/"), name, is_public));
        }
    }
    out
}

/// Files of a room stand in an order as rooms do: none uses one that uses it.
#[test]
fn no_circle_of_files_inside_a_room() {
    use std::collections::{BTreeMap, BTreeSet};
    let names = files("src", &[".rs", "rs"]);
    let modules: BTreeSet<String> = names.iter().map(|n| module_of(n)).collect();
    let all: BTreeMap<String, Vec<(String, String, bool)>> = names
        .iter()
        .map(|n| {
            let module = module_of(n);
            let used = uses(&module, &read(n), &modules);
            (module, used)
        })
        .collect();
    // What a module hands on belongs to the file it comes from.
    let source = |module: &str, name: &str| {
        let mut at = module.to_owned();
        for _ in 0..5 {
            let handed = all.get(&at).into_iter().flatten();
            match handed.clone().find(|(_, n, public)| *public && n == name) {
                Some((from, ..)) if *from != at => at.clone_from(from),
                _ => break,
            }
        }
        at
    };
    let room = |m: &str| m.split('/').next().unwrap_or(m).to_owned();
    let edges: BTreeMap<&String, BTreeSet<String>> = all
        .iter()
        .map(|(module, used)| {
            let to = used.iter().filter_map(|(place, name, public)| {
                let to = source(place, name);
                let hands_on = *public && to.starts_with(module.as_str());
                (to != *module && room(&to) == room(module) && !hands_on).then_some(to)
            });
            (module, to.collect())
        })
        .collect();
    let reaches = |from: &String, to: &String| {
        let (mut seen, mut open) = (BTreeSet::new(), vec![from.clone()]);
        while let Some(at) = open.pop() {
            for next in edges.get(&at).into_iter().flatten() {
                if next == to {
                    return true;
                }
                if seen.insert(next.clone()) {
                    open.push(next.clone());
                }
            }
        }
        false
    };
    let round: Vec<&String> = all.keys().filter(|m| reaches(m, m)).collect();
    assert!(
        all.len() > 150 && edges.values().map(BTreeSet::len).sum::<usize>() > 300,
        "the files were read"
    );
    assert!(
        round.is_empty(),
        "files that use each other in a circle: {round:?}"
    );
}

/// Rooms below the faces, where facts are values.
const BELOW_THE_FACES: [&str; 9] = [
    "physics",
    "rig",
    "fault",
    "solver",
    "sim",
    "service",
    "visit",
    "analysis",
    "diagnosis",
];

/// No logic looks into a sentence: below the faces nothing asks whether a text holds some words. What reads files
/// (`form`, `scenario`, the drill's file) reads texts because that is what they are.
#[test]
fn no_logic_looks_into_a_sentence() {
    let mut wrong = Vec::new();
    for name in files("src", &["rs"]) {
        let is_below = room_of(&name).is_some_and(|r| BELOW_THE_FACES.contains(&r));
        let is_drill = name.starts_with("src/drill/") && !name.starts_with("src/drill/making/");
        let is_test = name.ends_with("tests.rs") || name.contains("/tests/");
        // The grammar of acts, and a reading's table of words.
        let reads_texts = ["src/visit/act.rs"].contains(&name.as_str());
        if is_test || reads_texts || !(is_below || is_drill) {
            continue;
        }
        let text = read(&name);
        let text = text
            .split("#[cfg(test)]\nmod tests {")
            .next()
            .unwrap_or(&text);
        for (n, line) in text.lines().enumerate() {
            let code = line.split("//").next().unwrap_or("");
            let asks = [
                ".contains(\"",
                ".starts_with(\"",
                ".ends_with(\"",
                ".split_once(\"",
            ];
            if asks.iter().any(|a| code.contains(a)) {
                wrong.push(format!("{name}:{}: {}", n + 1, code.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Rooms whose facts are values and no sentences, but for what reads texts and says what is wrong with them.
const WITHOUT_SENTENCES: [&str; 6] = [
    "physics",
    "rig",
    "service",
    "visit",
    "analysis",
    "diagnosis",
];

/// No sentence is put together below the faces: `format!` with three words in a row is one. Names stand in tables.
#[test]
fn no_sentence_is_made_below_the_faces() {
    let mut wrong = Vec::new();
    for name in files("src", &["rs"]) {
        let is_below = room_of(&name).is_some_and(|r| WITHOUT_SENTENCES.contains(&r));
        let is_test = name.ends_with("tests.rs") || name.contains("/tests/");
        // What reads files and acts, and what is told of a file.
        let reads_texts = [
            "src/visit/act.rs",
            "src/service/points.rs",
            "src/diagnosis/files/readings.rs",
            "src/diagnosis/files/beside.rs",
            "src/diagnosis/store.rs",
        ];
        if is_test || reads_texts.contains(&name.as_str()) || !is_below {
            continue;
        }
        let text = read(&name);
        let code = text
            .split("#[cfg(test)]\nmod tests {")
            .next()
            .unwrap_or(&text);
        for piece in code.split("format!(").skip(1) {
            let literal = piece.split('"').nth(1).unwrap_or("");
            let words = literal.split_whitespace();
            let words = words.filter(|w| w.chars().all(char::is_alphabetic));
            if words.count() >= 3 {
                wrong.push(format!("{name}: {literal}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The one file of the window that knows the machine.
const PLATFORM: &str = "src/window/platform.rs";
/// What of the machine it is asked for: clocks, files, threads, dialogs, in every form they are named or called.
const OF_THE_MACHINE: [&str; 15] = [
    "Instant",
    "SystemTime",
    "std::fs",
    "fs::",
    "File::",
    "std::thread",
    "thread::",
    "rfd",
    "temp_dir",
    "save_buffer",
    ".exists()",
    ".try_exists()",
    ".is_file()",
    ".is_dir()",
    ".canonicalize()",
];

/// Code of a file of the window without its tests; nothing of a file or folder that is there for tests.
fn without_tests(name: &str) -> String {
    let for_tests = |(at, _)| {
        let parent = format!("{}/mod.rs", &name[..at]);
        let own = name[at + 1..].split(['/', '.']).next().unwrap_or_default();
        root().join(&parent).exists()
            && read(&parent).contains(&format!("#[cfg(test)]\nmod {own};"))
    };
    if name.match_indices('/').any(for_tests) {
        return String::new();
    }
    let text = read(name);
    code_of(text.split("#[cfg(test)]\nmod tests {").next().unwrap_or(""))
}

/// The window asks one small file for clock, threads, files and dialogs; on another screen that one is written anew.
#[test]
fn the_window_knows_its_machine_by_one_file() {
    let is_letter = |c: char| c.is_alphanumeric() || c == '_';
    let (mut wrong, mut seen) = (Vec::new(), 0);
    for name in files("src/window", &["rs"]) {
        let code = without_tests(&name);
        // `offs::` is another word than `fs::`, and so is `Instantly`.
        let named = |word: &&str| {
            let parted = |a: Option<char>, b: Option<char>| {
                !(a.is_some_and(is_letter) && b.is_some_and(is_letter))
            };
            code.match_indices(*word).any(|(at, _)| {
                parted(code[..at].chars().next_back(), word.chars().next())
                    && parted(
                        word.chars().next_back(),
                        code[at + word.len()..].chars().next(),
                    )
            })
        };
        let all: Vec<&str> = OF_THE_MACHINE.into_iter().filter(named).collect();
        if name == PLATFORM {
            seen = all.len();
        } else {
            wrong.extend(all.iter().map(|word| format!("{name} names `{word}`")));
        }
    }
    assert!(seen > 6, "{PLATFORM} names only {seen} of them");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let lines = read(PLATFORM).lines().count();
    assert!(lines < 200, "it is to stay small: {lines} lines");
}
