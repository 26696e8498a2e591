//! Every key of a file with unit, default, bounds and meaning, for the reference.
//!
//! Keys that are slots of a part come from the same lists that the reader uses; the others stand
//! here in words. A test compares both with what the reader knows.

mod words;

pub use words::Key;
#[cfg(test)]
pub(in crate::scenario) use words::told as told_bound;

use super::burner::{APPLIANCE, LIGHT, RATING, THERMOSTAT, USUAL_LOAD};
use super::happen::{ACTS, BESIDE};
use super::parts::{BODY, CHANGEOVER, CHARGE, CONTAINER, PIPING, SITE, SIZE, SUPPLY};
use super::read::{FUEL, MOST_SAMPLES, SHARES, usual_charge};
use super::sections::SECTION;
use super::sky::SKIES;
use super::slot::{Measure, Slot};
use super::stage_parts::{RELIEF, STAGE, VENT};
use crate::rig::{Charge, Material, Mounting, Section, Site, presets};
use crate::units::Dimension as D;
use words::{
    bounds, by_kind, dash, example, names, of, of_both, quantity, slots, told, value, word,
};

/// Every key of a scenario file, in the order of the reference.
pub fn keys() -> Vec<Key> {
    let mut out = Vec::new();
    top(&mut out);
    site(&mut out);
    container(&mut out);
    fuel(&mut out);
    supply(&mut out);
    regulator(&mut out);
    piping(&mut out);
    appliance(&mut out);
    event(&mut out);
    run(&mut out);
    out
}

fn top(out: &mut Vec<Key>) {
    const TABLE: &str = "top of the file";
    out.push(word(
        TABLE,
        "title",
        "a text",
        "-",
        "1 to 100 characters",
        "its name",
    ));
    out.push(word(
        TABLE,
        "summary",
        "a text",
        "nothing",
        "to 1000 characters",
        "what it tells, in a few sentences",
    ));
    for (name, words) in [
        ("site", "the place: table `[site]`"),
        ("fuel", "what is in the containers: table `[fuel]`"),
        ("supply", "from container to regulator: table `[supply]`"),
        ("regulator", "the regulator: table `[regulator]`"),
        ("piping", "the low side: table `[piping]`"),
    ] {
        out.push(word(
            TABLE,
            name,
            "a table",
            "as the tables below",
            "",
            words,
        ));
    }
    out.push(word(
        TABLE,
        "container",
        "tables",
        "-",
        "1 or 2",
        "the containers: tables `[[container]]`",
    ));
    out.push(word(
        TABLE,
        "appliance",
        "tables",
        "none",
        "to 12",
        "the appliances: tables `[[appliance]]`",
    ));
    out.push(word(
        TABLE,
        "event",
        "tables",
        "none",
        "to 2000",
        "what happens: tables `[[event]]`",
    ));
    out.push(word(
        TABLE,
        "run",
        "a table",
        "-",
        "",
        "how long: table `[run]`",
    ));
}

fn site(out: &mut Vec<Key>) {
    slots(out, "[site]", SITE, &of(Site::calm(288.15, 0.0)));
    let skies = names(SKIES.iter().map(|(name, _)| *name));
    out.push(word(
        "[site]",
        "sky",
        skies,
        "`\"calm\"`",
        "",
        "a wall factor by name; not beside `wall`",
    ));
}

fn container(out: &mut Vec<Key>) {
    const TABLE: &str = "[[container]]";
    let kinds = names(
        presets::CONTAINERS
            .into_iter()
            .chain(super::read::OWN_SHAPES),
    );
    out.push(word(
        TABLE,
        "kind",
        kinds,
        "-",
        "",
        "a ready-made container, or a shape whose `diameter` and `extent` must be given",
    ));
    slots(out, TABLE, SIZE, &by_kind);
    slots(out, TABLE, CONTAINER, &by_kind);
    let charge = |slot: &Slot<Charge>| match slot.key {
        "temperature" => ("as the air".to_owned(), None),
        _ => of(usual_charge(288.15))(slot),
    };
    slots(out, TABLE, CHARGE, &charge);
    out.push(word(
        TABLE,
        "valve",
        "`\"open\"`, `\"shut\"`",
        "`\"open\"`",
        "",
        "its service valve at the start",
    ));
    out.push(word(
        TABLE,
        "supply",
        "a table",
        "as `[supply]`",
        "",
        "its own way to the regulator, where the two differ: table `[container.supply]` with keys of `[supply]`",
    ));
}

fn fuel(out: &mut Vec<Key>) {
    for (name, index, words) in SHARES {
        let usual = told(
            Measure::Quantity(D::Fraction),
            presets::fuel().fractions[index],
        );
        out.push(word(
            "[fuel]",
            name,
            quantity(D::Fraction),
            &usual,
            "0 % to 100 %",
            words,
        ));
    }
    slots(out, "[fuel]", FUEL, &of(presets::fuel()));
}

fn supply(out: &mut Vec<Key>) {
    const TABLE: &str = "[supply]";
    slots(out, TABLE, SUPPLY, &of(presets::supply()));
    out.push(word(
        TABLE,
        "service_side",
        "`1`, `2`",
        "1",
        "",
        "container the changeover knob points at",
    ));
    out.push(word(
        TABLE,
        "changeover",
        "a table",
        "as below",
        "two containers",
        "the changeover: table `[supply.changeover]`",
    ));
    slots(
        out,
        "[supply.changeover]",
        CHANGEOVER,
        &of(presets::changeover()),
    );
}

fn regulator(out: &mut Vec<Key>) {
    const STAGES: &str = "[regulator.first], [regulator.second]";
    out.push(word(
        "[regulator]",
        "preset",
        "`\"standard\"`",
        "`\"standard\"`",
        "",
        "the regulator that all other keys change",
    ));
    out.push(word(
        "[regulator]",
        "mounted",
        names(Mounting::ALL.iter().map(|(name, _)| *name)),
        "`\"in the open\"`",
        "",
        "where it sits: `loss` and `sun_rise` of the body follow; a cover keeps the sun off, a compartment the wind too",
    ));
    for (name, words) in [
        ("first", "the first stage: table `[regulator.first]`"),
        ("second", "the second stage: table `[regulator.second]`"),
        ("body", "the body: table `[regulator.body]`"),
    ] {
        out.push(word("[regulator]", name, "a table", "as below", "", words));
    }
    let (first, second) = (presets::first_stage(), presets::second_stage());
    slots(out, STAGES, STAGE, &of_both(first, second));
    let set = bounds(Measure::Quantity(D::GaugePressure), 100.0, 1e6);
    out.push(word(STAGES, "set", quantity(D::GaugePressure), "-", &set, "instead of `preload`: pressure under the diaphragm at which the seat just touches, at 68 degF and with no pressure at the inlet"));
    out.push(word(
        STAGES,
        "has_relief",
        "`true`, `false`",
        "false; true",
        "",
        "`false` takes the relief out",
    ));
    out.push(word(
        STAGES,
        "vent",
        "a table",
        "as below",
        "",
        "the vent: `[regulator.second.vent]`",
    ));
    out.push(word(STAGES, "relief", "a table", "none; as below", "", "the relief: `[regulator.second.relief]`; one in the first stage needs `preload`, `spring` and `bore`"));
    slots(out, "[regulator.*.vent]", VENT, &of_both(first, second));
    match second.relief {
        Some(relief) => slots(out, "[regulator.*.relief]", RELIEF, &of(relief)),
        None => slots(out, "[regulator.*.relief]", RELIEF, &dash),
    }
    slots(out, "[regulator.body]", BODY, &of(presets::body()));
}

fn piping(out: &mut Vec<Key>) {
    const TABLE: &str = "[[piping.section]]";
    slots(out, "[piping]", PIPING, &of(presets::piping()));
    let words = "the main line in sections, instead of `bore`, `length` and `minor_loss`: tables `[[piping.section]]`";
    out.push(word("[piping]", "section", "tables", "none", "to 8", words));
    let materials = names(Material::ALL.iter().map(|(name, _)| *name));
    out.push(word(
        TABLE,
        "material",
        materials,
        "-",
        "",
        "what it is made of",
    ));
    let size = "its trade size: the outside of copper tube, the name of an iron pipe, the inside of a hose";
    out.push(word(
        TABLE,
        "size",
        "`\"1/2 in\"`",
        "-",
        "one of the table below",
        size,
    ));
    slots(out, TABLE, SECTION, &|slot| match slot.key {
        "length" => ("-".to_owned(), Some(2.4)),
        _ => of(Section::new(Material::Copper, 1, 1.0))(slot),
    });
}

fn appliance(out: &mut Vec<Key>) {
    const TABLE: &str = "[[appliance]]";
    let kinds = names(presets::APPLIANCES.iter().map(|(name, _)| *name));
    out.push(word(
        TABLE,
        "kind",
        kinds,
        "-",
        "",
        "a ready-made appliance that all other keys change",
    ));
    out.push(word(
        TABLE,
        "name",
        "a text",
        "its kind",
        "to 40 characters",
        "what it is called, each name once; events name it by this",
    ));
    slots(out, TABLE, RATING, &by_kind);
    out.push(word(
        TABLE,
        "ignition",
        names(super::burner::IGNITION.into_iter()),
        "as its kind",
        "",
        "how it is lit",
    ));
    for key in &LIGHT {
        out.push(Key {
            table: TABLE,
            name: key.key,
            value: example(key.measure, Some(key.usual), key.low, key.high),
            usual: "as its kind".to_owned(),
            bounds: bounds(key.measure, key.low, key.high),
            words: format!("with `{}` ignition: {}", key.ignition, key.words),
        });
    }
    slots(out, TABLE, APPLIANCE, &by_kind);
    out.push(word(
        TABLE,
        "on",
        "`true`, `false`",
        "false",
        "",
        "whether it is in use at the start, in the middle of its duty",
    ));
    out.push(word(
        TABLE,
        "cycles",
        "`true`, `false`",
        "as its kind",
        "",
        "`false` takes the thermostat away: it burns as long as it is on",
    ));
    out.push(word(
        TABLE,
        "thermostat",
        "a table",
        "as its kind",
        "",
        "table `[appliance.thermostat]`",
    ));
    slots(out, "[appliance.thermostat]", THERMOSTAT, &|slot| {
        let usual = (slot.get)(&USUAL_LOAD);
        let words = format!("as its kind, else {}", told(slot.measure, usual));
        (words, Some(usual))
    });
    out.push(word(
        "[appliance.thermostat]",
        "surroundings",
        names(super::burner::SURROUNDINGS.iter().map(|(name, _)| *name)),
        "as its kind",
        "",
        "what it exchanges heat with; the cabin is what the first furnace heats",
    ));
}

/// What an act's key holds, and what it does.
fn act(name: &str) -> (String, String, &'static str) {
    let none = String::new;
    match name {
        "turn_on" => ("an appliance".into(), none(), "a person switches it on"),
        "turn_off" => ("an appliance".into(), none(), "a person switches it off"),
        "reset" => (
            "an appliance".into(),
            none(),
            "off and on again, after a lock-out",
        ),
        "draw" => (
            "an appliance".into(),
            none(),
            "`power` is drawn from what it heats: a hot tap, an open door",
        ),
        "open_valve" => (
            "a container's number".into(),
            none(),
            "its service valve is opened, all the way or to `opening`",
        ),
        "close_valve" => (
            "a container's number".into(),
            none(),
            "its service valve is shut",
        ),
        "knob" => (
            "a container's number".into(),
            none(),
            "the changeover knob is turned to it",
        ),
        "air" | "sun" | "elevation" | "wall" => {
            let slot = SITE.iter().find(|slot| slot.key == name);
            let (value, bounds) = slot.map_or((none(), none()), |slot| {
                (
                    value(slot.measure),
                    bounds(slot.measure, slot.low, slot.high),
                )
            });
            (value, bounds, "this value of the site goes there")
        }
        "sky" => (
            names(SKIES.iter().map(|(name, _)| *name)),
            none(),
            "the wall factor goes to that of this sky",
        ),
        "inject" => (
            "a fault".into(),
            none(),
            "the fault comes, or changes its `severity`",
        ),
        "clear" => ("a fault".into(), none(), "the fault is gone"),
        "turn_screw" => (
            "`\"first\"`, `\"second\"`".into(),
            none(),
            "the adjusting screw is turned by `turns`; for qualified people with a gauge",
        ),
        "press" => (
            "`\"first\"`, `\"second\"`".into(),
            none(),
            "a finger presses the diaphragm with `force`, and stays until the next press",
        ),
        "thumb_on" | "thumb_off" => (
            "`\"first\"`, `\"second\"`".into(),
            none(),
            "a thumb on the vent, or off it: to see what a shut vent does; never leave one shut",
        ),
        "tap" => (
            "`\"regulator\"`".into(),
            none(),
            "a tap on the body frees what only friction holds",
        ),
        "warm" => (
            quantity(D::Temperature),
            "32 degF to 140 degF".into(),
            "a warm wet cloth of this temperature, for a minute; never anything hotter",
        ),
        _ => (
            quantity(D::Travel),
            "0 mil to 0.1969 in".into(),
            "a test tap of this bore is opened; 0 shuts it",
        ),
    }
}

fn event(out: &mut Vec<Key>) {
    const TABLE: &str = "[[event]]";
    out.push(word(
        TABLE,
        "at",
        quantity(D::Time),
        "-",
        "0 s to the end of the run",
        "when",
    ));
    for name in ACTS {
        let (value, bounds, words) = act(name);
        out.push(word(TABLE, name, value, "-", &bounds, words));
    }
    for beside in &BESIDE {
        let (value, usual, bounds, words) = match beside.key {
            "over" => (quantity(D::Time), "0 s", "to 30 days", "time the act takes"),
            "power" => (
                quantity(D::Power),
                "-",
                "0 to 682,400 Btu/h",
                "heat drawn; 0 ends it",
            ),
            "opening" => (
                quantity(D::Fraction),
                "100 %",
                "0 % to 100 %",
                "how far the valve is opened",
            ),
            "severity" => (quantity(D::Fraction), "-", "0 to 1", "how bad the fault is"),
            "cycles" => (
                "a number".to_owned(),
                "-",
                "1 to 1000000",
                "it grows with use, and is all there after so many openings of its stage's seat (of the second where it is in neither stage)",
            ),
            "none_at" => (
                quantity(D::Temperature),
                "-",
                "-58 degF to 140 degF",
                "it grows with the temperature of the regulator's body: nothing of it here",
            ),
            "all_at" => (
                quantity(D::Temperature),
                "-",
                "-58 degF to 140 degF",
                "all of it here, in proportion between; it goes back as the body does",
            ),
            "force" => (
                quantity(D::Force),
                "-",
                "-11.24 lbf to 11.24 lbf",
                "how hard; down is positive and opens the seat, 0 lets go",
            ),
            _ => (
                "`\"0.5 turn\"`, `\"-90 deg\"`".to_owned(),
                "-",
                "-20 to 20 turns",
                "how far the screw is turned; inwards is positive and raises the pressure",
            ),
        };
        let words = format!("with {}: {words}", beside.acts.join(", "));
        out.push(word(TABLE, beside.key, value, usual, bounds, &words));
    }
}

fn run(out: &mut Vec<Key>) {
    const TABLE: &str = "[run]";
    let rows = format!("0.001 s to 30 days; at most {MOST_SAMPLES} rows in a run");
    out.push(word(
        TABLE,
        "duration",
        quantity(D::Time),
        "-",
        "0.001 s to 30 days",
        "length of the run",
    ));
    out.push(word(
        TABLE,
        "sample",
        quantity(D::Time),
        "for 300 to 600 rows",
        &rows,
        "interval of the table of readings",
    ));
    out.push(word(
        TABLE,
        "settle",
        quantity(D::Time),
        "60 s",
        "0 s to 60 min",
        "time before 0 in which the rig comes to rest",
    ));
}
