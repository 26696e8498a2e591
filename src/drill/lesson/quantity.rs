//! Quantities within the texts of a lesson. A text has them as `{11 inwc}`: a number and its unit in
//! braces. They are shown in the units the reader has chosen; a unit that both systems use stays.

use crate::units::{Dimension, MINUS, System, Unit, format_in, grouped, parse_with_unit};

/// Units of the trade: their dimension, and the SI unit they are shown in.
const TRADE: [(&str, Dimension, &str); 10] = [
    ("in", Dimension::Length, "mm"),
    ("mil", Dimension::Length, "mm"),
    ("inwc", Dimension::GaugePressure, "kPa"),
    ("psi", Dimension::GaugePressure, "kPa"),
    ("psig", Dimension::GaugePressure, "kPa"),
    ("Btu/h", Dimension::Power, "kW"),
    ("degF", Dimension::Temperature, "degC"),
    ("lb", Dimension::Mass, "kg"),
    ("lbf", Dimension::Force, "N"),
    ("ft", Dimension::Elevation, "m"),
];

/// The unit of a dimension that may be written so.
pub(super) fn unit_named(dimension: Dimension, symbol: &str) -> Option<&'static Unit> {
    let found = parse_with_unit(&format!("1 {symbol}"), dimension);
    found.ok().map(|f| f.1)
}

/// How the trade writes a unit.
pub fn screen(unit: &Unit) -> &'static str {
    match unit.symbol {
        "inwc" => "in w.c.",
        "mil" => "thou",
        _ => unit.screen,
    }
}

/// What is asked for where a number of this unit is: "a number of inches".
pub fn number_in(unit: &Unit) -> String {
    match unit.symbol {
        "in" => "a number of inches".to_owned(),
        "inwc" => "a number of inches of water".to_owned(),
        _ => format!("a number in {}", screen(unit)),
    }
}

/// The unit that stands for a lesson's one in a system.
pub fn unit_on_show(unit: &'static Unit, system: System) -> &'static Unit {
    if system == System::Us {
        return unit;
    }
    let si = TRADE.iter().find(|t| t.0 == unit.symbol);
    si.and_then(|(_, dimension, si)| unit_named(*dimension, si))
        .unwrap_or(unit)
}

/// The same for this value: a seat's travel of some thousandths of an inch is told in µm, as its picture does.
fn unit_of(value: f64, unit: &'static Unit, system: System) -> &'static Unit {
    let small = unit.symbol == "mil" && unit.to_si(value).abs() < 0.995e-4;
    match system {
        System::Si if small => unit_named(Dimension::Length, "um").unwrap_or(unit),
        _ => unit_on_show(unit, system),
    }
}

/// A number in the unit on show, in the lesson's own unit.
pub fn in_own_unit(number: f64, unit: &'static Unit, system: System) -> f64 {
    unit.from_si(unit_on_show(unit, system).to_si(number))
}

/// A measured value's number with as many places as it bears.
fn number_of(value: f64, unit: &Unit) -> String {
    let places = match value.abs() {
        v if v >= 100.0 => 0,
        // Two figures: nobody measures a seat's travel finer.
        v if unit.symbol == "mil" => 2 - usize::from(v >= 1.0) - usize::from(v >= 10.0),
        v if v >= 1.0 => 1,
        v if v >= 0.1 => 2,
        // Travel of a part.
        v if v < 0.01 && unit.symbol == "in" => 4,
        _ => 3,
    };
    let number = format!("{value:.places$}");
    if number.parse() == Ok(0.0) {
        "0".to_owned()
    } else {
        number
    }
}

/// A measured value as a text has it.
pub(super) fn written(value: f64, unit: &Unit) -> String {
    format!("{{{} {}}}", number_of(value, unit), unit.symbol)
}

/// What a measured value reads: an answer follows from what is told, never from digits that nobody sees.
pub(super) fn as_read(value: f64, unit: &Unit) -> f64 {
    number_of(value, unit).parse().unwrap_or(value)
}

/// The unit of a quantity in braces and its number as written.
fn taken_apart(inside: &str) -> Option<(&str, &'static Unit)> {
    let (number, symbol) = inside.trim().split_once(' ').unwrap_or((inside, ""));
    number.parse::<f64>().ok().filter(|n| n.is_finite())?;
    // A symbol of two dimensions means the trade's.
    let of_trade = TRADE.iter().find(|t| t.0 == symbol);
    let unit = of_trade.and_then(|t| unit_named(t.1, symbol)).or_else(|| {
        let all = Dimension::ALL.into_iter().flat_map(Dimension::units);
        all.copied().find(|u| u.symbol == symbol)
    })?;
    Some((number, unit))
}

fn told(inside: &str, system: System) -> Option<String> {
    let (number, unit) = taken_apart(inside)?;
    let value: f64 = number.parse().ok()?;
    let on_show = unit_of(value, unit, system);
    if on_show.symbol != unit.symbol {
        return Some(format_in(unit.to_si(value), on_show));
    }
    // Only a large number is parted; all others stand as they were written.
    let number = if value.abs() >= 1e4 {
        grouped(value, 0)
    } else {
        number.replace('-', &MINUS.to_string())
    };
    Some(format!("{number} {}", screen(unit)).trim_end().to_owned())
}

/// A text with its quantities in the units of a system.
pub fn shown(text: &str, system: System) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        let Some((inside, tail)) = after.split_once('}') else {
            out.push('{');
            rest = after;
            continue;
        };
        match told(inside, system) {
            Some(told) => {
                // The unit's own point ends the sentence.
                let ends = told.ends_with('.') && tail.starts_with('.');
                out.push_str(if ends {
                    told.trim_end_matches('.')
                } else {
                    &told
                });
            }
            None => {
                for part in ["{", inside, "}"] {
                    out.push_str(part);
                }
            }
        }
        rest = tail;
    }
    out + rest
}

/// What stands in braces and is neither a quantity nor one of these names.
pub(super) fn unknown<'a>(text: &'a str, names: &[&str]) -> Option<&'a str> {
    text.split('{')
        .skip(1)
        .map(|after| after.split('}').next().unwrap_or(after))
        .find(|inside| !names.contains(inside) && taken_apart(inside).is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 in w.c. is 249.089 Pa, 1 psi 6894.757 Pa, 1 Btu/h 0.29307 W, 50 °F 10 °C (published).
    #[test]
    fn quantities_read_in_both_systems() {
        let text = "about {11 inwc}, {10 psi}, {79000 Btu/h} at {50 degF}; open {0.5 mm}";
        assert_eq!(
            shown(text, System::Us),
            "about 11 in w.c., 10 psig, 79,000 Btu/h at 50 °F; open 0.5 mm"
        );
        assert_eq!(
            shown(text, System::Si),
            "about 2.74 kPa, 68.9 kPa, 23.2 kW at 10.0 °C; open 0.5 mm"
        );
        assert_eq!(shown("up to {14 inwc}.", System::Us), "up to 14 in w.c.");
        assert_eq!(shown("up to {14 inwc}.", System::Si), "up to 3.49 kPa.");
        assert_eq!(shown("a {brace", System::Si), "a {brace");
        // A mil is 0.0254 mm (definition of the inch).
        assert_eq!(shown("{0.433 mil}", System::Us), "0.433 thou");
        assert_eq!(shown("{0.433 mil}", System::Si), "11.0 µm");
        assert_eq!(shown("{20 mil}", System::Si), "0.51 mm");
    }

    #[test]
    fn a_value_is_what_it_reads() {
        let (_, inwc) = parse_with_unit("1 inwc", Dimension::GaugePressure).expect("a unit");
        assert_eq!(as_read(11.436, inwc), as_read(11.41, inwc));
        assert!(as_read(11.46, inwc) > as_read(11.44, inwc));
    }

    #[test]
    fn what_is_no_quantity_is_noticed() {
        assert_eq!(unknown("{outlet} over {14 inwc}", &["outlet"]), None);
        assert_eq!(unknown("over {14 inch}", &[]), Some("14 inch"));
        assert_eq!(unknown("{outlat}", &["outlet"]), Some("outlat"));
    }

    #[test]
    fn a_number_typed_in_si_is_reckoned_in_the_lessons_unit() {
        let (_, inwc) = parse_with_unit("1 inwc", Dimension::GaugePressure).expect("a unit");
        assert_eq!(unit_on_show(inwc, System::Si).symbol, "kPa");
        assert!((in_own_unit(2.74, inwc, System::Si) - 11.0).abs() < 0.01);
        assert!((in_own_unit(11.0, inwc, System::Us) - 11.0).abs() < 1e-12);
    }

    #[test]
    fn a_number_is_asked_for_in_a_unit_that_reads() {
        let asked = |dimension, symbol| unit_named(dimension, symbol).map(number_in);
        for (dimension, symbol, told) in [
            (Dimension::Length, "in", "a number of inches"),
            (
                Dimension::GaugePressure,
                "inwc",
                "a number of inches of water",
            ),
            (Dimension::GaugePressure, "kPa", "a number in kPa"),
        ] {
            assert_eq!(asked(dimension, symbol).as_deref(), Some(told));
        }
    }
}
