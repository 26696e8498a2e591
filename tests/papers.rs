//! That docs/scenarios.md and docs/output.md say what the program does.
//!
//! The tables of keys are made from the reader's own lists: run this test with
//! `TWOSTAGE_WRITE_PAPERS=1` to have them written.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;

use twostage::physics::heat::Shape;
use twostage::report::{Table, Watcher};
use twostage::rig::{Ignition, Material, Readings, presets};
use twostage::scenario::{Scenario, keys};
use twostage::sim::{Simulation, usual_tolerance};
use twostage::solver::Method;
use twostage::units::{DEG_F, W_PER_BTU_PER_H, pa_to_inwc};

fn paper(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("docs")
        .join(name)
}

/// The rows of one block: the keys of a table of the file, or what the kinds are.
fn rows(table: &str) -> String {
    match table {
        "kinds of container" => return container_kinds(),
        "kinds of appliance" => return appliance_kinds(),
        "sizes of pipe" => return pipe_sizes(),
        _ => {}
    }
    let mut out = String::from(
        "| key | written | where left out | bounds | meaning |\n|---|---|---|---|---|\n",
    );
    for key in keys().iter().filter(|key| key.table == table) {
        let _ = writeln!(
            out,
            "| `{}` | {} | {} | {} | {} |",
            key.name, key.value, key.usual, key.bounds, key.words
        );
    }
    out
}

/// What each kind of container is.
fn container_kinds() -> String {
    let mut out = String::from(
        "| kind | inside diameter | inside height or length | water capacity | steel |\n|---|---|---|---|---|\n",
    );
    for kind in presets::CONTAINERS {
        let c = presets::container(kind).expect("a preset");
        let (Shape::Upright {
            diameter_m,
            height_m: extent_m,
        }
        | Shape::Horizontal {
            diameter_m,
            length_m: extent_m,
        }) = c.shape;
        let _ = writeln!(
            out,
            "| {kind} | {:.1} in | {:.1} in | {:.1} L | {:.1} kg |",
            diameter_m / 0.0254,
            extent_m / 0.0254,
            1e3 * c.volume_m3,
            c.steel_j_per_k / 480.0
        );
    }
    out
}

/// The bore of each trade size.
fn pipe_sizes() -> String {
    let mut out = String::from("| material | size | bore |\n|---|---|---|\n");
    for (word, material) in Material::ALL {
        for (size, bore_m) in material.sizes() {
            let inch = bore_m / 0.0254;
            let _ = writeln!(
                out,
                "| {word} | {size} | {inch:.3} in, {:.2} mm |",
                1e3 * bore_m
            );
        }
    }
    out
}

/// What each kind of appliance is.
fn appliance_kinds() -> String {
    let mut out = String::from(
        "| kind | rating | valve | ignition | drops out, lights from | thermostat: set, band | heat, loss | efficiency |\n|---|---|---|---|---|---|---|---|\n",
    );
    for (name, kind) in presets::APPLIANCES {
        let a = presets::appliance(kind);
        let ignition = match a.ignition {
            Ignition::Spark {
                purge_s,
                trial_s,
                pause_s,
                tries,
                sense_s,
            } => format!(
                "spark: purge {purge_s} s, trial {trial_s} s, pause {pause_s} s, {tries} tries, sense {sense_s} s"
            ),
            Ignition::Pilot { pilot_w, hold_s } => {
                format!(
                    "pilot: {:.0} Btu/h, hold {hold_s} s",
                    pilot_w / W_PER_BTU_PER_H
                )
            }
            Ignition::Hand {
                flame_failure: true,
            } => "hand, with flame failure device".to_owned(),
            Ignition::Hand { .. } => "hand".to_owned(),
        };
        let thermal = a.thermal.map_or_else(
            || "none | - | -".to_owned(),
            |t| {
                format!(
                    "{:.0} degF, {:.1} degF | {:.0} kJ/K, {:.1} W/K | {}",
                    DEG_F.from_si(t.set_k),
                    1.8 * t.band_k,
                    1e-3 * t.heat_j_per_k,
                    t.loss_w_per_k,
                    t.efficiency
                )
            },
        );
        let _ = writeln!(
            out,
            "| {name} | {:.0} Btu/h | {} s | {ignition} | {:.1}, {:.1} in w.c. | {thermal} |",
            a.input_w / W_PER_BTU_PER_H,
            a.valve_s,
            pa_to_inwc(a.drop_out_pa),
            pa_to_inwc(a.light_pa),
        );
    }
    out
}

/// The paper with every block's table as it should be.
fn renewed(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("<!-- keys: ") {
        let (table, after) = after.split_once(" -->\n").expect("a table's name");
        let (block, after) = after.split_once("<!-- end -->").expect("an end");
        // The prose of a block stays; its table is made anew.
        let prose: Vec<&str> = block
            .lines()
            .filter(|line| !line.starts_with('|'))
            .collect();
        let _ = write!(
            out,
            "{before}<!-- keys: {table} -->\n{}\n\n{}<!-- end -->",
            prose.join("\n").trim_end(),
            rows(table)
        );
        rest = after;
    }
    out + rest
}

#[test]
fn every_key_is_in_the_paper_as_it_is_read() {
    let path = paper("scenarios.md");
    let text = std::fs::read_to_string(&path).expect("the paper");
    let wanted = renewed(&text);
    if std::env::var_os("TWOSTAGE_WRITE_PAPERS").is_some() {
        std::fs::write(&path, &wanted).expect("a paper that can be written");
    }
    let text = std::fs::read_to_string(&path).expect("the paper");
    assert!(
        text == wanted,
        "docs/scenarios.md is not what the reader knows: run TWOSTAGE_WRITE_PAPERS=1 cargo test --test papers"
    );
    for key in keys() {
        assert!(
            text.contains(&format!("<!-- keys: {} -->", key.table)),
            "{} has no place in the paper",
            key.table
        );
    }
}

#[test]
fn the_paper_s_own_scenario_is_right_and_names_every_shipped_one() {
    let text = std::fs::read_to_string(paper("scenarios.md")).expect("the paper");
    let (_, after) = text.split_once("```toml\n").expect("an example");
    let (example, _) = after.split_once("```").expect("its end");
    Scenario::parse("example.toml", example).unwrap_or_else(|e| panic!("{e}"));
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    for entry in std::fs::read_dir(folder).expect("the folder") {
        let entry = entry.expect("an entry");
        if entry.path().is_dir() {
            continue; // drills and lessons have a paper of their own
        }
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(text.contains(&format!("`scenarios/{name}`")), "{name}");
    }
}

#[test]
fn every_column_and_key_of_the_output_is_in_its_paper() {
    let text = std::fs::read_to_string(paper("output.md")).expect("the paper");
    let source = "title = \"x\"\n[[container]]\nkind = \"20 lb cylinder\"\n[[appliance]]\nkind = \"furnace\"\n[run]\nduration = \"1 s\"\nsettle = \"1 s\"";
    let scenario = Arc::new(Scenario::parse("x", source).expect("right"));
    let table = Table::new(&scenario.rig);
    for column in &table.columns {
        assert!(
            text.contains(&format!("`{}`", column.name)),
            "{}",
            column.name
        );
    }
    let sim = Simulation::start(
        scenario.clone(),
        Method::Stiff,
        usual_tolerance(Method::Stiff),
    )
    .expect("starts");
    let (mut row, mut moved) = (|_: &Readings| {}, |_: f64| {});
    let start = sim.readings();
    let summary = Watcher::new(&scenario.rig, &start, &mut row, &mut moved).finish(&start);
    let value = serde_json::to_value(&summary).expect("serialises");
    for key in value.as_object().expect("an object").keys() {
        assert!(text.contains(&format!("`{key}`")), "summary.{key}");
    }
}
