//! `[[appliance]]`: its keys, reading and writing. An appliance starts from the preset of its
//! kind; the rating sizes its spuds, and what is written more closely comes after.

use super::slot::{Measure, Slot, flag, lines, read_all, slot};
use crate::form::TableReader;
use crate::rig::presets;
use crate::rig::{Appliance, Ignition, Kind, Surroundings, ThermalLoad};
use crate::units::{Dimension as D, System};

const fn quantity(dimension: D) -> Measure {
    Measure::Quantity(dimension)
}

/// Longest name \[characters\].
pub(super) const NAME_CHARS: usize = 40;

/// Rating keys, which size the spuds.
pub(super) static RATING: &[Slot<Appliance>] = &[
    Slot {
        key: "rating",
        measure: quantity(D::Power),
        low: 30.0,
        high: 1e6,
        words: "rated input of its main burner",
        get: |a| a.input_w,
        set: |a, value| a.set_rating(value, a.rated_pa),
    },
    Slot {
        key: "rated_pressure",
        measure: quantity(D::GaugePressure),
        low: 500.0,
        high: 2e4,
        words: "inlet pressure at which it is rated",
        get: |a| a.rated_pa,
        set: |a, value| a.set_rating(a.input_w, value),
    },
];

/// Keys that come after the rating.
pub(super) static APPLIANCE: &[Slot<Appliance>] = &[
    slot!(
        "branch_bore",
        quantity(D::Length),
        1e-3,
        0.1,
        branch.bore_m,
        "bore of its branch from the manifold"
    ),
    slot!(
        "branch_length",
        quantity(D::Length),
        0.01,
        200.0,
        branch.length_m,
        "length of its branch"
    ),
    slot!(
        "branch_loss",
        Measure::Number,
        0.0,
        1000.0,
        branch.minor_loss,
        "loss coefficients of bends and fittings, summed"
    ),
    slot!(
        "valve_time",
        quantity(D::Time),
        1e-3,
        30.0,
        valve_s,
        "time its gas valve takes from shut to open"
    ),
    slot!(
        "spud",
        quantity(D::Area),
        0.0,
        1e-3,
        spud_m2,
        "effective area of the main spud"
    ),
    slot!(
        "pilot_spud",
        quantity(D::Area),
        0.0,
        1e-4,
        pilot_m2,
        "effective area of the pilot spud"
    ),
    slot!(
        "valve",
        quantity(D::Area),
        1e-9,
        1e-2,
        valve_m2,
        "effective area of its open gas valve"
    ),
    slot!(
        "valve_leak",
        quantity(D::Area),
        0.0,
        1e-4,
        valve_leak_m2,
        "leak through its shut gas valve"
    ),
    slot!(
        "drop_out",
        quantity(D::GaugePressure),
        0.0,
        2e4,
        drop_out_pa,
        "inlet pressure under which its flame is no longer seen, or goes out where nothing watches it"
    ),
    slot!(
        "lights_from",
        quantity(D::GaugePressure),
        0.0,
        2e4,
        light_pa,
        "inlet pressure from which it lights and is seen; under `drop_out` that one counts"
    ),
    flag!("igniter_works", igniter_works, "whether the igniter works"),
    flag!(
        "flame_sensor_works",
        flame_sensor_works,
        "whether flame sensor or thermocouple works"
    ),
];

/// Numbers of the `thermostat` table.
pub(super) static THERMOSTAT: &[Slot<ThermalLoad>] = &[
    slot!(
        "set",
        quantity(D::Temperature),
        223.15,
        600.0,
        set_k,
        "thermostat setting"
    ),
    slot!(
        "band",
        quantity(D::TemperatureDifference),
        0.05,
        100.0,
        band_k,
        "full width of its hysteresis"
    ),
    slot!(
        "start",
        quantity(D::Temperature),
        223.15,
        600.0,
        start_k,
        "temperature at the start"
    ),
    slot!(
        "heat",
        quantity(D::HeatCapacity),
        100.0,
        1e9,
        heat_j_per_k,
        "heat capacity of what it heats or cools"
    ),
    slot!(
        "loss",
        quantity(D::Conductance),
        0.0,
        1e5,
        loss_w_per_k,
        "heat exchanged with the surroundings"
    ),
    slot!(
        "efficiency",
        Measure::Number,
        -2.0,
        1.0,
        efficiency,
        "share of the burner's heat that gets there; negative where it cools"
    ),
];

/// Where the heat of a thermostat's load goes.
pub(super) const SURROUNDINGS: [(&str, Surroundings); 2] = [
    ("outside", Surroundings::Outside),
    ("cabin", Surroundings::Cabin),
];

/// How it is lit.
pub(super) const IGNITION: [&str; 3] = ["spark", "pilot", "hand"];

/// Numbers of one way of being lit: key, what it is, bounds, words.
pub(super) struct LightKey {
    pub key: &'static str,
    pub ignition: &'static str,
    pub measure: Measure,
    pub low: f64,
    pub high: f64,
    pub usual: f64,
    pub words: &'static str,
}

/// Keys that go with one way of being lit only.
pub(super) static LIGHT: [LightKey; 8] = [
    light(
        "purge",
        "spark",
        quantity(D::Time),
        0.0,
        600.0,
        1.0,
        "time its fan clears the chamber before gas is let in",
    ),
    light(
        "trial",
        "spark",
        quantity(D::Time),
        0.5,
        600.0,
        7.0,
        "time allowed to prove a flame",
    ),
    light(
        "pause",
        "spark",
        quantity(D::Time),
        0.1,
        3600.0,
        20.0,
        "pause between two tries",
    ),
    light(
        "tries",
        "spark",
        Measure::Number,
        1.0,
        20.0,
        3.0,
        "tries in one call for heat before it locks out; a flame lost counts as one",
    ),
    light(
        "sense",
        "spark",
        quantity(D::Time),
        0.05,
        60.0,
        0.8,
        "time in which flame sensing shuts the gas when it sees no flame",
    ),
    light(
        "pilot",
        "pilot",
        quantity(D::Power),
        10.0,
        2000.0,
        600.0 * 0.293_071,
        "input of its standing pilot",
    ),
    light(
        "hold",
        "pilot",
        quantity(D::Time),
        0.5,
        600.0,
        40.0,
        "time the thermocouple holds when the pilot no longer heats it",
    ),
    light(
        "flame_failure",
        "hand",
        Measure::Flag,
        0.0,
        1.0,
        0.0,
        "whether a thermocouple shuts the gas when it is blown out",
    ),
];

const fn light(
    key: &'static str,
    ignition: &'static str,
    measure: Measure,
    low: f64,
    high: f64,
    usual: f64,
    words: &'static str,
) -> LightKey {
    LightKey {
        key,
        ignition,
        measure,
        low,
        high,
        usual,
        words,
    }
}

impl LightKey {
    /// As a slot of a bare number, for reading and writing.
    pub fn slot(&self) -> Slot<f64> {
        Slot {
            key: self.key,
            measure: self.measure,
            low: self.low,
            high: self.high,
            words: self.words,
            get: |value| *value,
            set: |part, value| *part = value,
        }
    }
}

/// The kind of ignition and its numbers in the order of [`LIGHT`].
fn light_of(ignition: Ignition) -> (&'static str, Vec<f64>) {
    match ignition {
        Ignition::Spark {
            purge_s,
            trial_s,
            pause_s,
            tries,
            sense_s,
        } => (
            "spark",
            vec![purge_s, trial_s, pause_s, f64::from(tries), sense_s],
        ),
        Ignition::Pilot { pilot_w, hold_s } => ("pilot", vec![pilot_w, hold_s]),
        Ignition::Hand { flame_failure } => ("hand", vec![f64::from(u8::from(flame_failure))]),
    }
}

fn ignition_of(name: &str, numbers: &[f64]) -> Ignition {
    match name {
        "spark" => Ignition::Spark {
            purge_s: numbers[0],
            trial_s: numbers[1],
            pause_s: numbers[2],
            tries: numbers[3] as u8,
            sense_s: numbers[4],
        },
        "pilot" => Ignition::Pilot {
            pilot_w: numbers[0],
            hold_s: numbers[1],
        },
        _ => Ignition::Hand {
            flame_failure: numbers[0] != 0.0,
        },
    }
}

/// The keys of one way of being lit.
fn light_keys(ignition: &str) -> impl Iterator<Item = &'static LightKey> {
    LIGHT.iter().filter(move |key| key.ignition == ignition)
}

/// One `[[appliance]]` and whether it is on at the start. One of unknown kind has an empty name
/// unless the file names it.
pub(super) fn read(table: &TableReader<'_>) -> (Appliance, bool) {
    let kind = table.choice("kind", &presets::APPLIANCES).required();
    // The other keys are looked at with any kind, so that their mistakes are told too.
    let mut a = presets::appliance(kind.unwrap_or(Kind::Cooktop));
    if kind.is_none() {
        a.name.clear();
    }
    if let Some(name) = table
        .text("name")
        .not_empty()
        .at_most_chars(NAME_CHARS)
        .optional()
    {
        a.name = name;
    }
    read_all(RATING, table, &mut a);
    read_ignition(table, &mut a);
    read_all(APPLIANCE, table, &mut a);
    read_thermostat(table, &mut a);
    let on = table.boolean("on").or(false);
    (a, on)
}

fn read_ignition(table: &TableReader<'_>, a: &mut Appliance) {
    let choices = IGNITION.map(|name| (name, name));
    let (usual, usual_numbers) = light_of(a.ignition);
    let name = table.choice("ignition", &choices).or(usual);
    let mut numbers: Vec<f64> = if name == usual {
        usual_numbers
    } else {
        light_keys(name).map(|key| key.usual).collect()
    };
    for (key, number) in light_keys(name).zip(&mut numbers) {
        key.slot().read(table, number);
        if key.key == "tries" && number.fract() != 0.0 {
            table.complain("tries", "`tries` is no whole number", "tries = 3");
        }
    }
    for key in LIGHT.iter().filter(|key| key.ignition != name) {
        if table.has(key.key) {
            let message = format!("`{}` does not go with `{name}` ignition", key.key);
            let help = format!("leaving it out, or ignition = \"{}\"", key.ignition);
            table.complain(key.key, message, help);
        }
    }
    a.set_ignition(ignition_of(name, &numbers));
}

/// A load of one's own for an appliance whose preset has no thermostat.
pub(super) const USUAL_LOAD: ThermalLoad = ThermalLoad {
    heat_j_per_k: 1e5,
    loss_w_per_k: 5.0,
    surroundings: Surroundings::Outside,
    efficiency: 0.7,
    set_k: 333.15,
    band_k: 5.0,
    start_k: 323.15,
};

fn read_thermostat(table: &TableReader<'_>, a: &mut Appliance) {
    let inner = table.table("thermostat").optional();
    let cycles = table.boolean("cycles").optional();
    if cycles == Some(false) {
        if table.has("thermostat") {
            table.complain(
                "cycles",
                "`cycles = false` and a thermostat cannot stand together",
                "leaving one of them out",
            );
        }
        a.thermal = None;
    } else if cycles == Some(true) && a.thermal.is_none() && inner.is_none() {
        table.complain(
            "cycles",
            "this kind has no thermostat to cycle by",
            "a table [appliance.thermostat]",
        );
    }
    if let Some(inner) = inner {
        let mut load = a.thermal.unwrap_or(USUAL_LOAD);
        read_all(THERMOSTAT, &inner, &mut load);
        load.surroundings = inner
            .choice("surroundings", &SURROUNDINGS)
            .or(load.surroundings);
        if load.efficiency == 0.0 {
            inner.complain(
                "efficiency",
                "`efficiency` is 0",
                "over 0, or under 0 where it cools",
            );
        }
        a.thermal = Some(load);
    }
}

/// The lines of one `[[appliance]]`, its thermostat's table last.
pub(super) fn write(a: &Appliance, on: bool, system: System) -> Vec<String> {
    let kind = presets::APPLIANCES
        .iter()
        .find(|(_, kind)| *kind == a.kind)
        .map_or("cooktop", |(name, _)| name);
    let mut usual = presets::appliance(a.kind);
    let mut out = vec![format!("kind = \"{kind}\"")];
    if a.name != usual.name {
        out.push(format!("name = {}", super::write::quoted(&a.name)));
    }
    out.extend(lines(RATING, a, &usual, system));
    usual.set_rating(a.input_w, a.rated_pa);
    let (usual_name, usual_numbers) = light_of(usual.ignition);
    let (name, numbers) = light_of(a.ignition);
    if name != usual_name {
        out.push(format!("ignition = \"{name}\""));
    }
    for (i, (key, number)) in light_keys(name).zip(&numbers).enumerate() {
        let base = if name == usual_name {
            usual_numbers[i]
        } else {
            key.usual
        };
        if key.measure == Measure::Number && *number != base {
            out.push(format!("{} = {number:.0}", key.key));
        } else {
            out.extend(key.slot().line(number, &base, system));
        }
    }
    usual.set_ignition(a.ignition);
    out.extend(lines(APPLIANCE, a, &usual, system));
    if on {
        out.push("on = true".to_owned());
    }
    match (&a.thermal, usual.thermal) {
        (None, Some(_)) => out.push("cycles = false".to_owned()),
        (Some(load), had) => {
            let base = had.unwrap_or(USUAL_LOAD);
            let mut inner = lines(THERMOSTAT, load, &base, system);
            if load.surroundings != base.surroundings {
                let name = SURROUNDINGS
                    .iter()
                    .find(|(_, around)| *around == load.surroundings)
                    .map_or("outside", |(name, _)| name);
                inner.push(format!("surroundings = \"{name}\""));
            }
            if had.is_none() || !inner.is_empty() {
                out.push("[appliance.thermostat]".to_owned());
                out.extend(inner);
            }
        }
        (None, None) => {}
    }
    out
}
