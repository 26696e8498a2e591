//! The file says what the scenario is, and every part of a rig can be said in it.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::parts::{BODY, CHANGEOVER, CHARGE, CONTAINER, PIPING, SITE, SIZE, SUPPLY};
use super::slot::{Measure, Slot};
use super::stage_parts::{RELIEF, STAGE, VENT};
use super::*;
use crate::rig::presets;

/// A small file that is right.
const SMALL: &str = r#"title = "Small"
[[container]]
kind = "20 lb cylinder"
[[appliance]]
kind = "furnace"
[[appliance]]
kind = "cooktop"
[run]
duration = "1 min"
"#;

/// What is told of a wrong file.
fn told(source: &str) -> String {
    match Scenario::parse("quiet.toml", source) {
        Ok(_) => "nothing wrong".to_owned(),
        Err(mistakes) => mistakes.to_string(),
    }
}

/// Every number and name within a value, by its path.
fn leaves(path: &str, value: &Value, out: &mut BTreeMap<String, Value>) {
    match value {
        Value::Object(map) => map
            .iter()
            .for_each(|(key, inner)| leaves(&format!("{path}.{key}"), inner, out)),
        Value::Array(list) => list
            .iter()
            .enumerate()
            .for_each(|(i, inner)| leaves(&format!("{path}.{i}"), inner, out)),
        leaf => {
            out.insert(path.to_owned(), leaf.clone());
        }
    }
}

fn leaves_of<T: serde::Serialize>(part: &T) -> BTreeMap<String, Value> {
    let mut out = BTreeMap::new();
    leaves(
        "",
        &serde_json::to_value(part).expect("serialises"),
        &mut out,
    );
    out
}

/// Whether two scenarios are the same to a part in 10¹¹.
pub(super) fn same(a: &Scenario, b: &Scenario) -> Result<(), String> {
    let near = |x: f64, y: f64| (x - y).abs() <= 1e-11 * x.abs().max(y.abs()).max(1e-20);
    let (la, lb) = (leaves_of(&a.rig), leaves_of(&b.rig));
    if la.keys().ne(lb.keys()) {
        return Err("the rigs have other parts".to_owned());
    }
    for (key, x) in &la {
        let y = &lb[key];
        let is_same = match (x.as_f64(), y.as_f64()) {
            (Some(x), Some(y)) => near(x, y),
            _ => x == y,
        };
        if !is_same {
            return Err(format!("rig{key}: {x} and {y}"));
        }
    }
    for slot in SITE {
        let (x, y) = ((slot.get)(&a.site), (slot.get)(&b.site));
        if !near(x, y) {
            return Err(format!("site {}: {x} and {y}", slot.key));
        }
    }
    for (i, (x, y)) in a.charges.iter().zip(&b.charges).enumerate() {
        for slot in CHARGE {
            if !near((slot.get)(x), (slot.get)(y)) {
                return Err(format!("charge {i} {}", slot.key));
            }
        }
    }
    let rest = |s: &Scenario| {
        (
            s.title.clone(),
            s.summary.clone(),
            s.valves_open.clone(),
            s.service_side,
            s.on_at_start.clone(),
            s.charges.len(),
            s.sections.len(),
        )
    };
    if rest(a) != rest(b) {
        return Err(format!("{:?} and {:?}", rest(a), rest(b)));
    }
    let events = |s: &Scenario| -> Vec<Value> {
        s.events
            .iter()
            .map(|e| serde_json::to_value((e.at_s, e.action)).expect("serialises"))
            .collect()
    };
    let (ea, eb) = (events(a), events(b));
    let (mut la, mut lb) = (BTreeMap::new(), BTreeMap::new());
    leaves("", &Value::Array(ea), &mut la);
    leaves("", &Value::Array(eb), &mut lb);
    for (key, x) in &la {
        let y = lb.get(key).ok_or_else(|| format!("event{key} is gone"))?;
        let is_same = match (x.as_f64(), y.as_f64()) {
            (Some(x), Some(y)) => near(x, y) || (x - y).abs() < 1e-12,
            _ => x == y,
        };
        if !is_same {
            return Err(format!("event{key}: {x} and {y}"));
        }
    }
    let run = |s: &Scenario| [s.run.duration_s, s.run.sample_s, s.run.settle_s];
    if la.len() != lb.len() || !run(a).iter().zip(run(b)).all(|(x, y)| near(*x, y)) {
        return Err("events or run".to_owned());
    }
    Ok(())
}

/// A value of a slot at a place between its bounds, away from the ends.
pub(super) fn inside<T>(slot: &Slot<T>, place: f64) -> f64 {
    match slot.measure {
        Measure::Flag => f64::from(u8::from(place > 0.5)),
        _ => slot.low + place * (slot.high - slot.low),
    }
}

/// The paths of a rig that change when every slot of a part is moved.
fn moved<T>(slots: &[Slot<T>], rig: &Rig, part: impl Fn(&mut Rig) -> &mut T) -> BTreeSet<String> {
    let before = leaves_of(rig);
    let mut out = BTreeSet::new();
    for slot in slots {
        for place in [0.25, 0.75] {
            let mut rig = rig.clone();
            (slot.set)(part(&mut rig), inside(slot, place));
            let after = leaves_of(&rig);
            // Moving a part may give it leaves it had not before.
            out.extend(
                after
                    .iter()
                    .filter(|(path, value)| before.get(*path) != Some(value))
                    .map(|(path, _)| path.clone()),
            );
            out.extend(
                before
                    .keys()
                    .filter(|path| !after.contains_key(*path))
                    .cloned(),
            );
        }
    }
    out
}

/// Parameters of appliances and the names of shapes have readers of their own, tested below.
#[test]
fn every_parameter_of_a_rig_has_a_key() {
    let container = presets::container("30 lb cylinder").expect("is there");
    let rig = Rig::standard(vec![container; 2], Vec::new());
    let mut reached = moved(STAGE, &rig, |rig| &mut rig.first);
    reached.extend(moved(VENT, &rig, |rig| &mut rig.first));
    reached.extend(moved(STAGE, &rig, |rig| &mut rig.second));
    reached.extend(moved(VENT, &rig, |rig| &mut rig.second));
    reached.extend(moved(RELIEF, &rig, |rig| {
        rig.second
            .relief
            .as_mut()
            .expect("the second stage has one")
    }));
    reached.extend(moved(BODY, &rig, |rig| &mut rig.body));
    reached.extend(moved(CHANGEOVER, &rig, |rig| {
        rig.changeover.as_mut().expect("two containers have one")
    }));
    reached.extend(moved(PIPING, &rig, |rig| &mut rig.piping));
    reached.extend(moved(super::read::FUEL, &rig, |rig| &mut rig.fuel));
    for i in 0..2 {
        reached.extend(moved(SIZE, &rig, |rig| &mut rig.containers[i]));
        reached.extend(moved(CONTAINER, &rig, |rig| &mut rig.containers[i]));
        reached.extend(moved(SUPPLY, &rig, |rig| &mut rig.containers[i].supply));
    }
    let missing: Vec<String> = leaves_of(&rig)
        .into_keys()
        .filter(|path| {
            !reached.contains(path)
                && !path.starts_with(".fuel.fractions")
                && path != ".first.relief"
                && path != ".body.mounted"
        })
        .collect();
    assert!(
        missing.is_empty(),
        "no key of a scenario file changes {missing:?}: give each a slot in scenario/parts.rs"
    );
}

#[test]
fn every_parameter_of_an_appliance_has_a_key() {
    use super::burner::{APPLIANCE, RATING, THERMOSTAT};
    let rig = Rig::standard(
        vec![presets::container("30 lb cylinder").expect("is there")],
        vec![presets::appliance(crate::rig::Kind::WaterHeater)],
    );
    let mut reached = moved(RATING, &rig, |rig| &mut rig.appliances[0]);
    reached.extend(moved(APPLIANCE, &rig, |rig| &mut rig.appliances[0]));
    reached.extend(moved(THERMOSTAT, &rig, |rig| {
        rig.appliances[0].thermal.as_mut().expect("it has one")
    }));
    let by_name = [".name", ".kind", ".thermal.surroundings"];
    let missing: Vec<String> = leaves_of(&rig)
        .into_keys()
        .filter_map(|path| path.strip_prefix(".appliances.0").map(str::to_owned))
        .filter(|path| {
            !reached.contains(&format!(".appliances.0{path}"))
                && !by_name.contains(&path.as_str())
                && !path.starts_with(".ignition")
        })
        .collect();
    assert!(missing.is_empty(), "no key changes {missing:?}");
}

/// A key of `[supply]` holds for every container, one of `[container.supply]` for its own.
#[test]
fn each_container_can_have_its_own_way_to_the_regulator() {
    let text = r#"title = "Two sides"
[supply]
pigtail_bore = "3 mm"
excess_flow = "1 lb/h"
[[container]]
kind = "20 lb cylinder"
[[container]]
kind = "20 lb cylinder"
[container.supply]
pigtail_bore = "2 mm"
[run]
duration = "1 min"
"#;
    let read = Scenario::parse("sides.toml", text).expect("right");
    let bores = |s: &Scenario| [0, 1].map(|i| s.rig.containers[i].supply.pigtail_bore_m);
    let [left, right] = &read.rig.containers[..] else {
        panic!("two containers")
    };
    assert_eq!(bores(&read), [3e-3, 2e-3]);
    assert_eq!(
        left.supply.excess_trip_kg_per_s,
        right.supply.excess_trip_kg_per_s
    );
    assert!(left.supply.excess_trip_kg_per_s < presets::supply().excess_trip_kg_per_s);
    let written = read.to_toml(System::Si);
    let back = Scenario::parse("back.toml", &written).expect("what is written reads back");
    assert_eq!(bores(&back), [3e-3, 2e-3], "{written}");
}

/// The keys a reader knows, from what it says to a key it does not know.
fn known(source: &str) -> BTreeSet<String> {
    let said = told(source);
    let (_, after) = said
        .split_once("unknown key `qqqqqqqqqqqq` ")
        .unwrap_or_else(|| panic!("{said}"));
    let help = after.split("try: ").nth(1).expect("help");
    let list = help.lines().next().expect("a line");
    list.trim_start_matches("one of ")
        .split(", ")
        .map(|name| name.trim_matches('`').to_owned())
        .collect()
}

#[test]
fn the_reference_names_the_keys_the_reader_knows_and_no_others() {
    let odd = "qqqqqqqqqqqq = 1\n";
    let places = [
        ("top of the file", format!("{odd}{SMALL}")),
        ("[site]", format!("{SMALL}[site]\n{odd}")),
        ("[[container]]", format!("{SMALL}[[container]]\n{odd}")),
        ("[fuel]", format!("{SMALL}[fuel]\n{odd}")),
        ("[supply]", format!("{SMALL}[supply]\n{odd}")),
        (
            "[supply.changeover]",
            // What stands under a table that is refused is not judged.
            format!("{SMALL}[[container]]\nkind = \"20 lb cylinder\"\n[supply.changeover]\n{odd}"),
        ),
        ("[regulator]", format!("{SMALL}[regulator]\n{odd}")),
        (
            "[regulator.first], [regulator.second]",
            format!("{SMALL}[regulator.first]\n{odd}"),
        ),
        (
            "[regulator.*.vent]",
            format!("{SMALL}[regulator.second.vent]\n{odd}"),
        ),
        (
            "[regulator.*.relief]",
            format!("{SMALL}[regulator.second.relief]\n{odd}"),
        ),
        (
            "[regulator.body]",
            format!("{SMALL}[regulator.body]\n{odd}"),
        ),
        ("[piping]", format!("{SMALL}[piping]\n{odd}")),
        (
            "[[piping.section]]",
            format!("{SMALL}[[piping.section]]\n{odd}"),
        ),
        ("[[appliance]]", format!("{SMALL}[[appliance]]\n{odd}")),
        (
            "[appliance.thermostat]",
            format!("{SMALL}[[appliance]]\nkind = \"oven\"\n[appliance.thermostat]\n{odd}"),
        ),
        ("[[event]]", format!("{SMALL}[[event]]\n{odd}")),
        (
            "[run]",
            format!(
                "title = \"x\"\n[[container]]\nkind = \"20 lb cylinder\"\n[run]\nduration = \"1 s\"\n{odd}"
            ),
        ),
    ];
    let mut tables = BTreeSet::new();
    for (table, source) in places {
        let told: BTreeSet<String> = keys()
            .iter()
            .filter(|key| key.table == table)
            .map(|key| key.name.to_owned())
            .collect();
        assert_eq!(known(&source), told, "{table}");
        tables.insert(table);
    }
    assert!(keys().iter().all(|key| tables.contains(key.table)));
}

#[test]
fn the_opening_scenario_is_right() {
    let opening = Scenario::opening();
    assert!(opening.events[0].at_s < 10.0, "something happens at once");
    same(
        &opening,
        &Scenario::parse("x", &opening.to_toml(System::Si)).expect("right"),
    )
    .expect("the same");
}

#[test]
fn every_mistake_is_told_with_its_place() {
    let source = r#"title = "Wrong in many ways"
[[container]]
kind = "30 lb cylindre"
fill = 1.2
[regulator.second]
bore = "-3.2 mm"
spring = "5 psi"
friction = 0.02
sprung = "2 N"
[[appliance]]
kind = "furnace"
[[appliance]]
kind = "furnace"
purge = "nan s"
[[event]]
at = "5 min"
turn_on = "furnce"
[[event]]
at = "10 s"
turn_on = "furnace"
inject = "second_vent_blocked"
[[event]]
at = "10 s"
inject = "second_vent_bloked"
severity = 2
[run]
duration = "1 min"
"#;
    let said = told(source);
    for wanted in [
        "error: `kind` knows no `30 lb cylindre`\n  quiet.toml:3:8",
        "try: \"30 lb cylinder\"",
        "error: `fill` is 1.2\n  quiet.toml:4:8",
        "error: `bore` is -3.2 mm\n  quiet.toml:6:8",
        "try: from 0.1 mm to 20 mm",
        "error: `spring`: psi is ",
        "error: `friction`: a bare number: a force needs a unit",
        "error: unknown key `sprung` in [regulator.second]\n  quiet.toml:9:1",
        "try: `spring`",
        "error: two appliances are called `furnace`\n  quiet.toml:13:8",
        "try: name = \"furnace 2\"",
        "error: `purge`: ",
        "error: the event comes after the end of the run at 60 s\n  quiet.toml:16:6",
        "error: `turn_on` knows no `furnce`",
        "try: \"furnace\"",
        "error: `turn_on` and `inject` cannot stand together",
        "error: `inject` knows no `second_vent_bloked`",
        "try: \"second_vent_blocked\"",
        "error: `severity` is 2\n",
    ] {
        assert!(said.contains(wanted), "{wanted}\nis not in\n{said}");
    }
}

#[test]
fn what_does_not_go_together_is_told() {
    let more = |text: &str| told(&format!("{SMALL}{text}"));
    let event = |text: &str| more(&format!("[[event]]\nat = \"1 s\"\n{text}"));
    for (said, wanted) in [
        (event(""), "says none of turn_on, turn_off"),
        (
            event("turn_on = \"furnace\"\nover = \"3 s\""),
            "`over` does not go with `turn_on`",
        ),
        (
            event("draw = \"cooktop\"\npower = \"1 kW\""),
            "`cooktop` keeps no heat to draw from",
        ),
        (event("open_valve = 2"), "`open_valve` is 2"),
        (event("knob = 1"), "there is no changeover knob"),
        (
            event("inject = \"hose_kinked.right\"\nseverity = 0.5"),
            "`inject` knows no `hose_kinked.right`",
        ),
        (event("warm = \"90 degC\""), "`warm` is 90 degC"),
        (
            event("turn_screw = \"second\"\nturns = \"30 turn\""),
            "`turns` is 30 turn",
        ),
        (event("air = \"90 degC\""), "`air` is 90 degC"),
        (
            more("[supply.changeover]\nset = \"6 psig\""),
            "a changeover needs two containers",
        ),
        (
            more("[site]\nsky = \"wet\"\nwall = 2"),
            "`sky` and `wall` cannot stand together",
        ),
        (
            more("[fuel]\npropane = 0.6\nn_butane = 0.3"),
            "add up to 90.00 %",
        ),
        (
            more("[regulator.second]\nset = \"11 inwc\"\npreload = \"10 N\""),
            "`set` and `preload` cannot stand together",
        ),
        (
            more("[regulator.second]\nset = \"1 inwc\""),
            "the spring would have to pull",
        ),
        (
            more("[regulator.first.relief]\npreload = \"60 N\""),
            "a relief the preset has not has no `spring`",
        ),
        (
            more("[regulator.body]\nmelt = \"3\""),
            "is no number with its unit",
        ),
        (
            more("[regulator.second.relief]\nfree = false\n[regulator.second]\nhas_relief = false"),
            "cannot stand together",
        ),
        (
            told("title = \"x\"\n[[container]]\nkind = \"upright\"\n[run]\nduration = \"1 s\""),
            "has no `diameter`",
        ),
        (
            told("title = \"x\"\n[run]\nduration = \"30 d\"\nsample = \"1 s\""),
            "the run would have 2592000 rows",
        ),
        (
            told("title = \"x\"\n[run]\nduration = \"1 s\""),
            "the file has no `container`",
        ),
    ] {
        assert!(said.contains(wanted), "{wanted}\nis not in\n{said}");
    }
}

/// Two events at one time are carried out in the order of the file.
#[test]
fn events_of_one_time_keep_their_order() {
    let text = format!(
        "{SMALL}{}",
        ["7 s|turn_on", "3 s|turn_on", "3 s|turn_off", "3 s|reset"]
            .map(|event| {
                let (at, act) = event.split_once('|').expect("written so");
                format!("[[event]]\nat = \"{at}\"\n{act} = \"cooktop\"\n")
            })
            .concat()
    );
    let events = Scenario::parse("x", &text).expect("right").events;
    let told: Vec<(f64, Action)> = events.iter().map(|e| (e.at_s, e.action)).collect();
    let switch = |on| Action::Switch { appliance: 1, on };
    assert_eq!(
        told,
        [
            (3.0, switch(true)),
            (3.0, switch(false)),
            (3.0, Action::Reset { appliance: 1 }),
            (7.0, switch(true))
        ]
    );
}

#[test]
fn a_set_pressure_is_where_the_seat_touches() {
    let text = format!("{SMALL}[regulator.second]\nset = \"12 inwc\"\nspring = \"8 lbf/in\"\n");
    let second = Scenario::parse("x", &text).expect("right").rig.second;
    let touch_pa = second.spring_force_n(second.touch_rise_m, 293.15) / second.area_m2;
    assert!((touch_pa / crate::units::inwc_to_pa(12.0) - 1.0).abs() < 1e-12);
}

#[test]
fn a_container_has_the_volume_of_its_measures() {
    let text = "title = \"x\"\n[[container]]\nkind = \"horizontal\"\ndiameter = \"16 in\"\nextent = \"40 in\"\n[run]\nduration = \"1 s\"";
    let rig = Scenario::parse("x", text).expect("right").rig;
    // Geometry: pi/4 d² l.
    let wanted = std::f64::consts::FRAC_PI_4 * (16.0 * 0.0254_f64).powi(2) * 40.0 * 0.0254;
    assert!((rig.containers[0].volume_m3 / wanted - 1.0).abs() < 1e-12);
}

/// Reads a slot's key from a file that writes it so.
fn found<T>(slot: &Slot<T>, text: &str) -> Result<f64, String> {
    let form = crate::form::Form::parse("bound.toml", &format!("{} = {text}\n", slot.key))
        .map_err(|e| e.to_string())?;
    let value = slot.find(&form.root());
    let value = form.finish(value).map_err(|e| e.to_string())?;
    value.ok_or_else(|| "nothing read".to_owned())
}

fn bounds_are_accepted<T>(slots: &[Slot<T>]) {
    for slot in slots {
        let texts = match slot.measure {
            Measure::Flag => continue,
            Measure::Number => [slot.low, slot.high].map(|v| vec![format!("{v:?}")]),
            Measure::Only(unit) => {
                [slot.low, slot.high].map(|v| vec![format!("\"{} {unit}\"", super::slot::short(v))])
            }
            Measure::Quantity(dimension) => [slot.low, slot.high].map(|bound| {
                let mut all = vec![format!(
                    "\"{}\"",
                    super::keys::told_bound(slot.measure, bound)
                )];
                for unit in crate::units::units_of(dimension) {
                    // As a message tells it: five figures.
                    let number: f64 = format!("{:.4e}", unit.from_si(bound))
                        .parse()
                        .expect("a number");
                    all.push(format!("\"{number} {}\"", unit.symbol));
                }
                all
            }),
        };
        for (texts, bound) in texts.into_iter().zip([slot.low, slot.high]) {
            for text in texts {
                let value =
                    found(slot, &text).unwrap_or_else(|e| panic!("{} = {text}: {e}", slot.key));
                assert!(
                    (slot.low..=slot.high).contains(&value)
                        && (value - bound).abs() <= 1e-4 * bound.abs(),
                    "{} = {text} is {value}, the bound {bound}",
                    slot.key
                );
            }
        }
    }
}

/// What a message or the paper gives as a bound is within bounds, in every unit it can be written in.
#[test]
fn every_bound_is_accepted_as_it_is_told() {
    bounds_are_accepted(STAGE);
    bounds_are_accepted(VENT);
    bounds_are_accepted(RELIEF);
    bounds_are_accepted(BODY);
    bounds_are_accepted(SUPPLY);
    bounds_are_accepted(CHANGEOVER);
    bounds_are_accepted(PIPING);
    bounds_are_accepted(SIZE);
    bounds_are_accepted(CONTAINER);
    bounds_are_accepted(super::parts::CHARGE);
    bounds_are_accepted(super::parts::SITE);
    bounds_are_accepted(super::read::FUEL);
    bounds_are_accepted(super::burner::RATING);
    bounds_are_accepted(super::burner::APPLIANCE);
    bounds_are_accepted(super::burner::THERMOSTAT);
}
