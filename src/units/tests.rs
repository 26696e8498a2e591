//! Reading and writing quantities, against conversions from outside and over any text.

use proptest::prelude::*;

use super::*;

fn read(text: &str, dimension: Dimension) -> f64 {
    parse(text, dimension).unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn complaint(text: &str, dimension: Dimension) -> String {
    parse(text, dimension)
        .map(|value| format!("read as {value}"))
        .expect_err("a complaint")
        .to_string()
}

/// Conversion factors as NIST SP 811 (2008) appendix B.8 prints them, to 7 figures, so right within
/// 5 parts in 10 million (grade: memory of a published table; the inch of water is its
/// conventional one).
#[test]
fn sizes_are_those_of_the_published_table() {
    use Dimension as D;
    let printed = [
        ("1 inwc", D::GaugePressure, 249.0889),
        ("1 psi", D::GaugePressure, 6894.757),
        ("1 inHg", D::AbsolutePressure, 3386.389),
        ("1 atm", D::AbsolutePressure, 101_325.0),
        ("1 mmwc", D::GaugePressure, 9.806_65),
        ("1 Btu/h", D::Power, 0.293_071_1),
        ("1 Btu", D::Energy, 1055.056),
        ("1 Btu/lb", D::SpecificEnergy, 2326.0),
        ("1 Btu/degF", D::HeatCapacity, 1899.101),
        ("1 Btu/h-ft2-degF", D::HeatTransfer, 5.678_263),
        ("1 Btu/h-ft2", D::HeatFlux, 3.154_591),
        ("1 gal", D::Volume, 3.785_412e-3),
        ("1 in3", D::Volume, 1.638_706e-5),
        ("1 ft3", D::Volume, 2.831_685e-2),
        ("1 lbf", D::Force, 4.448_222),
        ("1 lbf/in", D::Stiffness, 175.1268),
        ("1 lb/ft3", D::Density, 16.018_46),
        ("1 lb/gal", D::Density, 119.8264),
        ("1 lb/h", D::MassFlow, 1.259_979e-4),
        ("1 oz", D::Mass, 2.834_952e-2),
        ("1 mph", D::Speed, 0.447_04),
        ("1 ft/min", D::Speed, 5.08e-3),
        ("1 ft3/min", D::VolumeFlow, 4.719_474e-4),
        ("1 mil", D::Length, 2.54e-5),
        ("1 in2", D::Area, 6.4516e-4),
        ("32 degF", D::Temperature, 273.15),
        ("212 degF", D::Temperature, 373.15),
        ("9 degF", D::TemperatureDifference, 5.0),
        ("90 deg", D::Angle, std::f64::consts::FRAC_PI_2),
    ];
    for (text, dimension, want) in printed {
        let got = read(text, dimension);
        assert!((got / want - 1.0).abs() < 5e-7, "{text}: {got}, not {want}");
    }
}

#[test]
fn a_unit_may_be_spelt_in_the_ways_the_trade_does() {
    use Dimension as D;
    let eleven = read("11 inwc", D::GaugePressure);
    for text in [
        "11 in w.c.",
        "11in.w.c.",
        "11 IN WC",
        "11\" w.c.",
        "11 inches w.c.",
        "11.0 inH2O",
    ] {
        assert_eq!(read(text, D::GaugePressure), eleven, "{text}");
    }
    let furnace = read("30000 Btu/h", D::Power);
    for text in [
        "30,000 Btu/h",
        "30 kBtu/h",
        "30 MBH",
        "30000 BTU/hr",
        "3e4 btuh",
    ] {
        assert!(
            (read(text, D::Power) / furnace - 1.0).abs() < 1e-12,
            "{text}"
        );
    }
    for text in ["28 F", "28 degF", "28 °F", "28 deg F", "28°f"] {
        assert_eq!(
            read(text, D::Temperature),
            read("28 degF", D::Temperature),
            "{text}"
        );
    }
    assert_eq!(read("3/8 in", D::Length), 0.375 * 0.0254);
    assert_eq!(read("1 1/2 in", D::Length), 1.5 * 0.0254);
    assert_eq!(read("1/2\"", D::Length), 0.5 * 0.0254);
    assert_eq!(read("5 1/s", D::Frequency), 5.0);
    assert_eq!(read("20 µm", D::Travel), read("20 um", D::Travel));
    assert_eq!(read("10 %", D::Fraction), 0.1);
    assert_eq!(read("0.1", D::Fraction), 0.1);
    assert_eq!(
        read("−2 degC", D::Temperature),
        read("-2 degC", D::Temperature)
    );
    assert_eq!(read("3 N s/m", D::Damping), read("3 N·s/m", D::Damping));
    assert_eq!(read("150 ms", D::Time), 0.15);
    assert_eq!(read("0 K", D::Temperature), 0.0);
    assert!(read("-459.67 degF", D::Temperature).abs() < 1e-9);
}

#[test]
fn no_spelling_means_two_things_in_one_dimension() {
    for dimension in Dimension::ALL {
        for unit in dimension.units() {
            for name in unit.spellings.iter().chain([&unit.symbol]) {
                let value = parse(&format!("1 {name}"), dimension);
                assert_eq!(value, Ok(unit.to_si(1.0)), "{dimension:?} {name}");
            }
            // The screen's own spelling is read too.
            let shown = format!("1 {}", unit.screen);
            let angle = unit.screen == "°";
            assert!(
                parse(&shown, dimension) == Ok(unit.to_si(1.0)) || angle,
                "{shown}"
            );
        }
    }
    assert_eq!(
        parse("45°", Dimension::Angle),
        parse("45 deg", Dimension::Angle)
    );
}

#[test]
fn errors_say_what_is_wrong_and_what_would_be_right() {
    use Dimension as D;
    let said = [
        (
            "11",
            D::GaugePressure,
            "a bare number: a gauge pressure needs a unit; try \"11 inwc\", \"11 psig\" or \"11 kPa\", whichever is meant",
        ),
        (
            "11 mm",
            D::GaugePressure,
            "mm is a length; a gauge pressure is wanted; try \"11 inwc\" or \"2.7 kPa\"",
        ),
        (
            "15 psia",
            D::GaugePressure,
            "psia is an absolute pressure; a gauge pressure is wanted; try \"11 inwc\" or \"2.7 kPa\"",
        ),
        (
            "15 psig",
            D::AbsolutePressure,
            "psig is a gauge pressure; an absolute pressure is wanted; try \"14.7 psia\" or \"101.3 kPa\"",
        ),
        (
            "11 inwcc",
            D::GaugePressure,
            "`inwcc` is no unit of a gauge pressure; try `inwc`",
        ),
        (
            "11 furlong",
            D::Temperature,
            "`furlong` is no unit of a temperature; try one of degF, degC, K, degR",
        ),
        (
            "9x5",
            D::Fraction,
            "`x5` is no unit of a share; try %, or a number alone",
        ),
        ("2,7 kPa", D::GaugePressure, "`2,7` is no number; try `2.7`"),
        (
            "",
            D::Time,
            "nothing is written; a time is wanted; try \"30 s\" or \"5 min\"",
        ),
        (
            "soon",
            D::Time,
            "`soon` does not begin with a number; a time is wanted; try \"30 s\" or \"5 min\"",
        ),
        (
            "105-110 psi",
            D::GaugePressure,
            "`105-110 psi` is a range, and one value is wanted; try its middle, `107.5 psi`",
        ),
        (
            "11.0 inwc to 11.3 inwc",
            D::GaugePressure,
            "`11.0 inwc to 11.3 inwc` is a range, and one value is wanted; try its middle, `11.15 inwc`",
        ),
        (
            "8 – 9",
            D::GaugePressure,
            "`8 – 9` is a range, and one value is wanted; try its middle, `8.5`",
        ),
        (
            "~10.5 inwc",
            D::GaugePressure,
            "`~10.5 inwc` does not begin with a number; try `10.5 inwc`",
        ),
        (
            "About 60 degF",
            D::Temperature,
            "`About 60 degF` does not begin with a number; try `60 degF`",
        ),
        (
            "nan s",
            D::Time,
            "`nan s` is no number to compute with; try \"30 s\" or \"5 min\"",
        ),
        (
            "1e999 s",
            D::Time,
            "`1e999` is no number to compute with; try \"30 s\" or \"5 min\"",
        ),
        (
            "-500 F",
            D::Temperature,
            "`-500 F` is under absolute zero; try \"28 degF\" or \"-2 degC\"",
        ),
        (
            "5 mPa",
            D::GaugePressure,
            "`mPa` is no unit of a gauge pressure; try `MPa`",
        ),
        (
            "30 MBtu/h",
            D::Power,
            "`MBtu/h` is a thousand to some and a million to others; try `kBtu/h`",
        ),
    ];
    for (text, dimension, want) in said {
        assert_eq!(complaint(text, dimension), want, "{text}");
    }
    for text in [
        "-inf psi",
        "+Infinity",
        "1/0 in",
        "1.2.3 psi",
        "1,00 psi",
        "- 5 psi",
        "--5 psi",
    ] {
        assert!(parse(text, D::GaugePressure).is_err(), "{text}");
    }
}

#[test]
fn a_screen_shows_what_the_trade_reads() {
    use Dimension as D;
    use System::{Si, Us};
    let shown = [
        ("10.9 inwc", D::GaugePressure, Us, "10.9 inwc"),
        ("93.2 psi", D::GaugePressure, Us, "93 psig"),
        ("10 psi", D::GaugePressure, Us, "10.0 psig"),
        ("11 inwc", D::GaugePressure, Si, "2.74 kPa"),
        ("93 psi", D::GaugePressure, Si, "641 kPa"),
        ("28 degF", D::Temperature, Us, "28 °F"),
        ("-40 degF", D::Temperature, Us, "−40 °F"),
        ("-0.2 degF", D::Temperature, Us, "0 °F"),
        ("28 degF", D::Temperature, Si, "−2.2 °C"),
        ("0.22 mm", D::Travel, Us, "0.22 mm"),
        ("0.22 mm", D::Travel, Si, "0.22 mm"),
        ("20 um", D::Length, Si, "20 µm"),
        ("3.2 mm", D::Length, Us, "0.126 in"),
        ("2400 ft", D::Elevation, Us, "2400 ft"),
        ("30000 Btu/h", D::Power, Us, "30,000 Btu/h"),
        ("30000 Btu/h", D::Power, Si, "8.79 kW"),
        ("0.585 g/s", D::MassFlow, Us, "4.64 lb/h"),
        ("150 ms", D::Time, Us, "150 ms"),
        ("30 s", D::Time, Us, "30.0 s"),
        ("12 h", D::Time, Si, "12.0 h"),
        ("45 deg", D::Angle, Us, "45°"),
        ("0.8", D::Fraction, Us, "80.0 %"),
    ];
    for (text, dimension, system, want) in shown {
        assert_eq!(
            format(read(text, dimension), dimension, system),
            want,
            "{text}"
        );
    }
    assert_eq!(format(f64::NAN, D::GaugePressure, Us), "not a number");
    assert_eq!(format(f64::INFINITY, D::Time, Si), "infinite");
    assert_eq!(
        format_in(read("10 psi", D::GaugePressure), &INWC),
        "277 inwc"
    );
}

#[test]
fn a_file_gets_the_number_a_person_would_write() {
    use Dimension as D;
    for text in [
        "11 inwc",
        "93 psig",
        "28 degF",
        "30000 Btu/h",
        "2400 ft",
        "7.75 in",
    ] {
        let dimension = match text.split(' ').nth(1).expect("a unit") {
            "degF" => D::Temperature,
            "Btu/h" => D::Power,
            "ft" => D::Elevation,
            "in" => D::Length,
            _ => D::GaugePressure,
        };
        assert_eq!(
            write_quantity(read(text, dimension), dimension, System::Us),
            text
        );
    }
    assert_eq!(
        write_quantity(271.15, D::Temperature, System::Si),
        "-2 degC"
    );
    assert_eq!(write_quantity(0.1, D::Fraction, System::Si), "10 %");
    assert_eq!(write_quantity(0.0, D::Time, System::Si), "0 s");
    assert!(parse(&write_quantity(f64::NAN, D::Time, System::Si), D::Time).is_err());
}

fn any_dimension() -> impl Strategy<Value = Dimension> {
    prop::sample::select(Dimension::ALL.to_vec())
}

/// Texts for people have one minus, a file has a hyphen, and nothing is told with a sign.
#[test]
fn people_read_one_minus() {
    use Dimension as D;
    use System::Us;
    assert_eq!(MINUS, '\u{2212}');
    assert_eq!(fixed(-2.0, 1), "−2.0");
    assert_eq!(fixed(-0.04, 1), "0.0");
    assert_eq!(fixed(-12_345.0, 0), "−12345");
    assert_eq!(grouped(-12_345.6, 1), "−12,345.6");
    assert_eq!(grouped(-0.0, 0), "0");
    assert_eq!(signed(0.25, 1), "+0.2");
    assert_eq!(signed(-0.3, 1), "−0.3");
    assert_eq!(signed(-0.04, 1), "+0.0");
    let pa = read("-3 inwc", D::GaugePressure);
    assert_eq!(format(pa, D::GaugePressure, Us), "−3.0 inwc");
    assert_eq!(write_quantity(pa, D::GaugePressure, Us), "-3 inwc");
}

/// A number that a field shows stays one when somebody leaves the field as it is.
#[test]
fn what_is_shown_can_be_typed() {
    use Dimension as D;
    use System::{Si, Us};
    for n in [-12_345.0, -2.5, 0.0, 3.0, 9999.0, 62_100.0, 1_234_567.5] {
        for shown in [fixed(n, 1), grouped(n, 1), signed(n, 1)] {
            assert_eq!(parse_number(&shown), Some(n), "{shown}");
        }
        assert_eq!(parse_number(&n.to_string()), Some(n));
    }
    assert_eq!(parse_number(" 3/8 "), Some(0.375));
    for none in [
        "", "-", "inf", "nan", "1e999", "1,5", "12,34", "3 inwc", "1/0", "three",
    ] {
        assert_eq!(parse_number(none), None, "{none}");
    }
    let numbers: [(&str, D); 3] = [
        ("-40 degF", D::Temperature),
        ("-12000 inwc", D::PressureDifference),
        ("62100 Btu/h", D::Power),
    ];
    for (text, dimension) in numbers {
        for system in [Us, Si] {
            let shown = format(read(text, dimension), dimension, system);
            assert!(
                (read(&shown, dimension) - read(text, dimension)).abs()
                    < 1e-2 * read(text, dimension).abs(),
                "{shown}"
            );
        }
    }
}

proptest! {
    #[test]
    fn any_text_is_answered(text in any::<String>(), dimension in any_dimension()) {
        if let Ok(value) = parse(&text, dimension) {
            prop_assert!(value.is_finite());
        }
    }

    /// Text made of the pieces quantities are made of goes deeper into the reader.
    #[test]
    fn any_text_like_a_quantity_is_answered(
        pieces in prop::collection::vec(prop::sample::select(vec![
            "1", "9", "0", "/", ".", ",", "-", "−", "+", "e", "E", " ", "in", "w.c.", "°", "F",
            "psi", "nan", "inf", "%", "µ", "m", "M", "\"", "\u{1F525}",
        ]), 0..12),
        dimension in any_dimension(),
    ) {
        match parse(&pieces.concat(), dimension) {
            Ok(value) => prop_assert!(value.is_finite()),
            Err(error) => prop_assert!(!error.message().is_empty() && !error.help().is_empty()),
        }
    }

    #[test]
    fn what_is_written_is_read_back(
        figure in -1.0..1.0_f64,
        power in -12..12_i32,
        dimension in any_dimension(),
        is_si in any::<bool>(),
    ) {
        let mut value = figure * 10_f64.powi(power);
        if dimension.natural_floor_si().is_some() {
            value = value.abs();
        }
        let system = if is_si { System::Si } else { System::Us };
        let text = write_quantity(value, dimension, system);
        let back = read(&text, dimension);
        prop_assert!((back - value).abs() <= 1e-12 * value.abs(), "{value} {text} {back}");
    }

    /// On the low-pressure side a screen shows what was meant within half a tenth of an inch.
    #[test]
    fn what_is_shown_is_near(inwc in 0.5..50.0_f64, is_si in any::<bool>()) {
        let pa = inwc_to_pa(inwc);
        let system = if is_si { System::Si } else { System::Us };
        let shown = read(&format(pa, Dimension::GaugePressure, system), Dimension::GaugePressure);
        prop_assert!((shown - pa).abs() <= inwc_to_pa(0.05) + 1e-9);
    }
}
