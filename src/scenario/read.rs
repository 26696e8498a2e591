//! The file's tables, read into a [`Scenario`]. Every mistake goes to the form; nothing stops at
//! the first.

use super::parts::{
    BODY, CHANGEOVER, CHARGE, CONTAINER, PIPING, SITE, SIZE, STEEL_KG_PER_M3, SUPPLY, set_size,
};
use super::sky::{SKIES, count};
use super::slot::{Slot, read_all};
use super::stage_parts::{RELIEF, STAGE, VENT};
use super::{Event, Run, Scenario, burner, happen};
use crate::form::TableReader;
use crate::physics::heat::Shape;
use crate::rig::{
    Appliance, Charge, Container, Fuel, MAX_APPLIANCES, MAX_CONTAINERS, Mounting, Ramp, Relief,
    Rig, Site, Stage, Supply, presets,
};
use crate::units::{Dimension as D, System, write_quantity};

/// Most events of a file.
pub(super) const MOST_EVENTS: usize = 2000;
/// Most rows of the table of readings.
pub(super) const MOST_SAMPLES: f64 = 200_000.0;
/// Longest run \[s\].
pub(super) const LONGEST_RUN_S: f64 = 30.0 * 86_400.0;
/// Shortest time between two rows \[s\].
pub(super) const SHORTEST_SAMPLE_S: f64 = 1e-3;
/// Time to come to rest before the start, unless the file says otherwise \[s\].
pub(super) const SETTLE_S: f64 = 60.0;
/// Rows of a run that says no sample, about.
const USUAL_SAMPLES: f64 = 600.0;

/// Kinds of container whose measures the file gives.
pub(super) const OWN_SHAPES: [&str; 2] = ["upright", "horizontal"];

/// The keys of `[fuel]` that are shares of the liquid by moles, and where they stand.
pub(super) const SHARES: [(&str, usize, &str); 4] = [
    (
        "propane",
        0,
        "share of propane in the liquid by moles; the rest where it is not given",
    ),
    ("ethane", 1, "share of ethane"),
    ("n_butane", 2, "share of n-butane"),
    ("isobutane", 3, "share of isobutane"),
];

/// Other keys of `[fuel]`.
pub(super) static FUEL: &[Slot<Fuel>] = &[
    Slot {
        key: "water",
        measure: super::slot::Measure::Quantity(D::Fraction),
        low: 0.0,
        high: 0.01,
        words: "water that the vapor carries where it can hold as much, by mass",
        get: |fuel| fuel.water_share,
        set: |fuel, value| fuel.water_share = value,
    },
    Slot {
        key: "residue",
        measure: super::slot::Measure::Quantity(D::Fraction),
        low: 0.0,
        high: 0.05,
        words: "oily residue in the liquid, by mass",
        get: |fuel| fuel.residue_share,
        set: |fuel, value| fuel.residue_share = value,
    },
];

/// What a table has to hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wanted {
    /// All of a scenario.
    Scenario,
    /// A rig in its place: whether it has a title and how long it would run is left open.
    Rig,
}

/// Reads a scenario. Parts that cannot be read are stood in for, so that the rest is looked at
/// too; the form knows of every mistake.
pub(super) fn scenario(root: &TableReader<'_>, wanted: Wanted) -> Scenario {
    let title = root.text("title").not_empty().at_most_chars(100);
    let title = match wanted {
        Wanted::Scenario => title.required_or(String::new()),
        Wanted::Rig => title.or(String::new()),
    };
    let summary = root.text("summary").at_most_chars(1000).or(String::new());
    let run = run(root, wanted);
    let site = site(root);
    let supply_table = root.table("supply").optional();
    let mut line = presets::supply();
    if let Some(table) = &supply_table {
        read_all(SUPPLY, table, &mut line);
    }
    let (parts, charges, valves_open) = containers(root, site.air_k.at(0.0), &line);
    let (appliances, on_at_start) = appliances(root);
    let mut rig = Rig::standard(parts, appliances);
    fuel(root, &mut rig.fuel);
    let service_side = supply_table.map_or(0, |table| twin(&table, &mut rig));
    regulator(root, &mut rig);
    let mut sections = Vec::new();
    if let Some(piping) = root.table("piping").optional() {
        sections = super::sections::read(&piping);
        rig.piping.lay(&sections);
        read_all(PIPING, &piping, &mut rig.piping);
    }
    let events = events(root, &rig, run.duration_s);
    Scenario {
        title,
        summary,
        rig,
        sections,
        site,
        charges,
        valves_open,
        service_side,
        on_at_start,
        events,
        run,
    }
}

fn run(root: &TableReader<'_>, wanted: Wanted) -> Run {
    let stand_in = Run {
        duration_s: LONGEST_RUN_S,
        sample_s: LONGEST_RUN_S,
        settle_s: SETTLE_S,
    };
    let table = root.table("run");
    let (table, stand_in) = match wanted {
        Wanted::Scenario => (table.required(), stand_in),
        Wanted::Rig => (table.optional(), Run::MINUTE),
    };
    let Some(table) = table else {
        return stand_in;
    };
    let duration_s = table
        .quantity("duration", D::Time)
        .between(SHORTEST_SAMPLE_S..=LONGEST_RUN_S)
        .required_or(LONGEST_RUN_S);
    let sample_s = table
        .quantity("sample", D::Time)
        .between(SHORTEST_SAMPLE_S..=LONGEST_RUN_S)
        .or(usual_sample_s(duration_s));
    if duration_s / sample_s > MOST_SAMPLES {
        let message = format!(
            "the run would have {:.0} rows, more than {MOST_SAMPLES}",
            duration_s / sample_s
        );
        let least = write_quantity(
            usual_sample_s(duration_s / MOST_SAMPLES * USUAL_SAMPLES),
            D::Time,
            System::Us,
        );
        table.complain(
            "sample",
            message,
            format!("\"{least}\" or more, or a shorter run"),
        );
    }
    let settle_s = table
        .quantity("settle", D::Time)
        .between(0.0..=3600.0)
        .or(SETTLE_S);
    Run {
        duration_s,
        sample_s,
        settle_s,
    }
}

/// A round interval that gives some hundred rows \[s\].
pub(super) fn usual_sample_s(duration_s: f64) -> f64 {
    const ROUND: [f64; 18] = [
        0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0,
        300.0, 600.0, 3600.0,
    ];
    let wanted = duration_s / USUAL_SAMPLES;
    ROUND.into_iter().find(|s| *s >= wanted).unwrap_or(21_600.0)
}

fn site(root: &TableReader<'_>) -> Site {
    let mut site = Site::calm(288.15, 0.0);
    if let Some(table) = root.table("site").optional() {
        read_all(SITE, &table, &mut site);
        if let Some(sky) = table.choice("sky", &SKIES).optional() {
            if table.has("wall") {
                table.complain(
                    "sky",
                    "`sky` and `wall` cannot stand together",
                    "one of them: a sky is a wall factor by name",
                );
            }
            site.wall_factor = Ramp::fixed(sky.factor());
        }
    }
    site
}

type Containers = (Vec<Container>, Vec<Charge>, Vec<bool>);

fn containers(root: &TableReader<'_>, air_k: f64, line: &Supply) -> Containers {
    let tables = root.tables("container").count(1..=MAX_CONTAINERS);
    let mut all = (Vec::new(), Vec::new(), Vec::new());
    for table in tables.required_or(Vec::new()) {
        let (container, charge, open) = container(&table, air_k, line);
        all.0.push(container);
        all.1.push(charge);
        all.2.push(open);
    }
    if all.0.is_empty() {
        all = (vec![stand_in()], vec![usual_charge(air_k)], vec![true]);
    }
    all
}

/// Something to go on with where a container cannot be read.
fn stand_in() -> Container {
    let shape = Shape::Upright {
        diameter_m: 0.3,
        height_m: 0.5,
    };
    presets::container(presets::CONTAINERS[0]).unwrap_or(Container {
        shape,
        volume_m3: shape.volume_m3(),
        steel_j_per_k: 4e3,
        wall_w_per_m2_k: shape.surface_w_per_m2_k(),
        relief_start_pa: presets::relief_start_pa(&shape),
        relief_m2: 3e-5,
        liquid_share: 0.0,
        supply: presets::supply(),
    })
}

/// The container a kind stands for, before the file's own measures.
pub(super) fn usual_container(kind: &str) -> Option<Container> {
    let shape = match kind {
        "upright" => Shape::Upright {
            diameter_m: 0.3,
            height_m: 0.5,
        },
        "horizontal" => Shape::Horizontal {
            diameter_m: 0.35,
            length_m: 1.2,
        },
        _ => return presets::container(kind),
    };
    let mut container = stand_in();
    container.shape = shape;
    container.wall_w_per_m2_k = shape.surface_w_per_m2_k();
    container.relief_start_pa = presets::relief_start_pa(&shape);
    size_container(&mut container);
    Some(container)
}

/// Volume and usual steel of a container of one's own measures.
pub(super) fn size_container(container: &mut Container) {
    container.volume_m3 = container.shape.volume_m3();
    container.steel_j_per_k = 480.0 * STEEL_KG_PER_M3 * container.volume_m3;
}

fn container(table: &TableReader<'_>, air_k: f64, line: &Supply) -> (Container, Charge, bool) {
    let kinds: Vec<(&str, &str)> = presets::CONTAINERS
        .iter()
        .chain(&OWN_SHAPES)
        .map(|kind| (*kind, *kind))
        .collect();
    let kind = table.choice("kind", &kinds).required();
    let mut container = kind.and_then(usual_container).unwrap_or_else(stand_in);
    let sizes: Vec<Option<f64>> = SIZE.iter().map(|slot| slot.find(table)).collect();
    if kind.is_some_and(|kind| OWN_SHAPES.contains(&kind)) {
        for slot in SIZE.iter().filter(|slot| !table.has(slot.key)) {
            let message = format!("a container of its own measures has no `{}`", slot.key);
            table.complain("kind", message, format!("{} = \"14 in\"", slot.key));
        }
    }
    if sizes.iter().any(Option::is_some) {
        let (diameter_m, extent_m) = ((SIZE[0].get)(&container), (SIZE[1].get)(&container));
        set_size(
            &mut container,
            sizes[0].unwrap_or(diameter_m),
            sizes[1].unwrap_or(extent_m),
        );
        size_container(&mut container);
    }
    read_all(CONTAINER, table, &mut container);
    container.supply = *line;
    if let Some(own) = table.table("supply").optional() {
        read_all(SUPPLY, &own, &mut container.supply);
    }
    let mut charge = usual_charge(air_k);
    read_all(CHARGE, table, &mut charge);
    let open = table
        .choice("valve", &[("open", true), ("shut", false)])
        .or(true);
    (container, charge, open)
}

/// A container as the file leaves it where it says nothing.
pub(super) fn usual_charge(air_k: f64) -> Charge {
    Charge {
        fill: 0.6,
        temperature_k: air_k,
        air_pa: 0.0,
    }
}

fn appliances(root: &TableReader<'_>) -> (Vec<Appliance>, Vec<bool>) {
    let tables = root
        .tables("appliance")
        .count(0..=MAX_APPLIANCES)
        .or(Vec::new());
    let read: Vec<(Appliance, bool)> = tables.iter().map(burner::read).collect();
    let is_taken = |name: &str, among: usize| read[..among].iter().any(|(a, _)| a.name == name);
    for (i, (table, (appliance, _))) in tables.iter().zip(&read).enumerate() {
        // One of unknown kind and no name of its own has none.
        if appliance.name.is_empty() || !is_taken(&appliance.name, i) {
            continue;
        }
        let key = if table.has("name") { "name" } else { "kind" };
        let message = format!("two appliances are called `{}`", appliance.name);
        let free = (2..=MAX_APPLIANCES + 1)
            .map(|n| format!("{} {n}", appliance.name))
            .find(|name| !is_taken(name, read.len()))
            .unwrap_or_default();
        table.complain(key, message, format!("name = \"{free}\""));
    }
    read.into_iter().unzip()
}

fn fuel(root: &TableReader<'_>, fuel: &mut Fuel) {
    let Some(table) = root.table("fuel").optional() else {
        return;
    };
    read_all(FUEL, &table, fuel);
    let given = SHARES.map(|(key, _, _)| {
        table
            .quantity(key, D::Fraction)
            .between(0.0..=1.0)
            .optional()
    });
    if given.iter().all(Option::is_none) {
        return;
    }
    let others: f64 = given[1..].iter().flatten().sum();
    let propane = given[0].unwrap_or(1.0 - others);
    let sum = propane + others;
    if (sum - 1.0).abs() > 1e-6 {
        let key = SHARES
            .iter()
            .zip(&given)
            .rfind(|(_, share)| share.is_some())
            .map_or("propane", |((key, _, _), _)| key);
        let message = format!("the shares of the fuel add up to {:.2} %", 100.0 * sum);
        table.complain(
            key,
            message,
            "100 %, or leaving `propane` out to make it the rest",
        );
    }
    for ((_, index, _), share) in SHARES.iter().zip(&given) {
        fuel.fractions[*index] = share.unwrap_or(0.0);
    }
    fuel.fractions[0] = propane;
}

/// What two containers share: the changeover, and the side its knob points at.
fn twin(table: &TableReader<'_>, rig: &mut Rig) -> usize {
    if let Some(inner) = table.table("changeover").optional() {
        let mut changeover = rig.changeover.unwrap_or_else(presets::changeover);
        read_all(CHANGEOVER, &inner, &mut changeover);
        if rig.containers.len() == 2 {
            rig.changeover = Some(changeover);
        } else {
            table.complain(
                "changeover",
                "a changeover needs two containers",
                "a second [[container]], or leaving it out",
            );
        }
    }
    table
        .integer("service_side")
        .between(1..=count(rig.containers.len()))
        .or(1) as usize
        - 1
}

/// Names of the regulator presets.
pub(super) const REGULATORS: [(&str, ()); 1] = [("standard", ())];

fn regulator(root: &TableReader<'_>, rig: &mut Rig) {
    let Some(table) = root.table("regulator").optional() else {
        return;
    };
    table.choice("preset", &REGULATORS).or(());
    rig.body = table
        .choice("mounted", &Mounting::ALL)
        .or(rig.body.mounted)
        .body();
    for (key, part) in [("first", &mut rig.first), ("second", &mut rig.second)] {
        if let Some(inner) = table.table(key).optional() {
            stage(&inner, part);
        }
    }
    if let Some(inner) = table.table("body").optional() {
        read_all(BODY, &inner, &mut rig.body);
    }
}

fn stage(table: &TableReader<'_>, stage: &mut Stage) {
    read_all(STAGE, table, stage);
    if let Some(set_pa) = table
        .quantity("set", D::GaugePressure)
        .between(100.0..=1e6)
        .optional()
    {
        if table.has("preload") {
            table.complain(
                "set",
                "`set` and `preload` cannot stand together",
                "one of them: the spring follows from either",
            );
        }
        stage.preload_n = preload_n(stage, set_pa);
        if stage.preload_n < 0.0 {
            table.complain(
                "set",
                "the spring would have to pull for this pressure",
                "a higher pressure or a softer spring",
            );
        }
    }
    if let Some(inner) = table.table("vent").optional() {
        read_all(VENT, &inner, stage);
    }
    if let Some(inner) = table.table("relief").optional() {
        let mut relief = stage.relief.unwrap_or(NEW_RELIEF);
        if stage.relief.is_none() {
            for key in ["preload", "spring", "bore"] {
                if !inner.has(key) {
                    let message = format!("a relief the preset has not has no `{key}`");
                    inner.complain(key, message, format!("{key} = \"...\""));
                }
            }
        }
        read_all(RELIEF, &inner, &mut relief);
        stage.relief = Some(relief);
    }
    if let Some(false) = table.boolean("has_relief").optional() {
        if table.has("relief") {
            table.complain(
                "has_relief",
                "`has_relief = false` and a table of it cannot stand together",
                "leaving one of them out",
            );
        }
        stage.relief = None;
    }
}

/// A relief before its own numbers.
pub(super) const NEW_RELIEF: Relief = Relief {
    preload_n: 60.0,
    spring_n_per_m: 2e4,
    bore_m: 0.0,
    weep_m2: 0.0,
    free: true,
};

/// Preload with which the seat just touches at `set_pa` under the diaphragm, at 20 °C and with
/// no pressure at the inlet \[N\].
fn preload_n(stage: &Stage, set_pa: f64) -> f64 {
    let others_n = stage.spring_force_n(stage.touch_rise_m, 293.15) - stage.preload_n;
    set_pa * stage.area_m2 - others_n
}

fn events(root: &TableReader<'_>, rig: &Rig, duration_s: f64) -> Vec<Event> {
    let tables = root.tables("event").count(0..=MOST_EVENTS).or(Vec::new());
    let mut events: Vec<Event> = tables
        .iter()
        .filter_map(|table| happen::read(table, rig, duration_s))
        .collect();
    // The sort keeps the order of the file among events of one time.
    events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    events
}
