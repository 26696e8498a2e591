//! Every unit that may be written: its spellings, its size in SI and how many digits it is shown
//! with.
//!
//! The sizes are built from the definitions in `constants`.

use super::constants::{
    J_PER_BTU, K_PER_FAHRENHEIT_DEGREE, KG_PER_LB, M_PER_FT, M_PER_IN, M2_PER_FT2, M3_PER_FT3,
    M3_PER_GAL, N_PER_LBF, PA_PER_ATM, PA_PER_INHG, PA_PER_INWC, PA_PER_PSI,
    STANDARD_GRAVITY_M_PER_S2, W_PER_BTU_PER_H, ZERO_CELSIUS_K, ZERO_FAHRENHEIT_K,
};
use super::dimension::Dimension;

/// One unit: `value_si = zero_si + value * si`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// How it is written in a file, ASCII: `degF`.
    pub symbol: &'static str,
    /// How it is shown on a screen: `°F`.
    pub screen: &'static str,
    /// Size of one of it in SI.
    pub si: f64,
    /// Where its zero lies in SI; other than 0 only for temperatures.
    pub zero_si: f64,
    /// Other spellings, as [`parse`](super::parse) folds them (no spaces, dots or dashes).
    pub(super) spellings: &'static [&'static str],
    /// Decimals by size: the first pair whose limit is over the value gives them, else none.
    pub(super) digits: &'static [(f64, usize)],
}

impl Unit {
    /// The SI value of `value` of this unit.
    pub fn to_si(&self, value: f64) -> f64 {
        self.zero_si + value * self.si
    }

    /// The number of this unit that `value_si` is.
    pub fn from_si(&self, value_si: f64) -> f64 {
        (value_si - self.zero_si) / self.si
    }

    /// Decimals it is shown with at this size.
    pub(super) fn decimals(&self, value: f64) -> usize {
        let size = value.abs();
        let step = self.digits.iter().find(|(limit, _)| size < *limit);
        step.map_or(0, |(_, decimals)| *decimals)
    }

    pub(super) fn is_si_base(&self) -> bool {
        self.si == 1.0 && self.zero_si == 0.0
    }

    /// Shown with these decimals.
    const fn with_digits(self, digits: &'static [(f64, usize)]) -> Self {
        Self { digits, ..self }
    }

    const fn shown(self, screen: &'static str) -> Self {
        Self { screen, ..self }
    }

    const fn with_zero(self, zero_si: f64) -> Self {
        Self { zero_si, ..self }
    }
}

impl Dimension {
    /// Every unit this quantity may be written in.
    pub fn units(self) -> &'static [&'static Unit] {
        units_of(self)
    }

    /// The SI unit of the value inside the program.
    pub fn si_unit(self) -> &'static Unit {
        let units = self.units();
        let base = units.iter().find(|unit| unit.is_si_base());
        base.copied().unwrap_or(units[0])
    }
}

/// Three figures for most sizes.
const THREE_FIGURES: &[(f64, usize)] = &[(0.1, 4), (1.0, 3), (10.0, 2), (100.0, 1)];
const HUNDREDTHS: &[(f64, usize)] = &[(10.0, 2), (100.0, 1)];
/// In kPa: as fine as tenths of an inch of water as long as a regulator outlet is read.
const LIKE_TENTHS_OF_INWC: &[(f64, usize)] = &[(20.0, 2), (200.0, 1)];
const TENTHS: &[(f64, usize)] = &[(100.0, 1)];
const TENTHS_TO_TWENTY: &[(f64, usize)] = &[(20.0, 1)];
const WHOLE: &[(f64, usize)] = &[];

const fn unit(symbol: &'static str, si: f64, spellings: &'static [&'static str]) -> Unit {
    Unit {
        symbol,
        screen: symbol,
        si,
        zero_si: 0.0,
        spellings,
        digits: THREE_FIGURES,
    }
}

/// Writes one documented constant a unit.
macro_rules! units {
    ($($(#[$doc:meta])* $name:ident = $value:expr;)*) => {
        $($(#[$doc])* pub const $name: Unit = $value;)*
    };
}

units! {
    /// Inches of water column, [`PA_PER_INWC`].
    INWC = unit("inwc", PA_PER_INWC, &["inH2O", "inchwc", "incheswc", "inchH2O",
        "incheswatercolumn", "inwatercolumn", "\"wc", "\"H2O", "iwc", "wc", "in", "inch", "inches",
        "\""])
        .with_digits(TENTHS);
    /// Ounces-force per square inch: as some gauges of the trade are marked.
    OSI = unit("osi", PA_PER_PSI / 16.0, &["oz", "ozs", "ounce", "ounces", "oz/in2", "ozsi"]).with_digits(TENTHS);
    /// Pounds-force per square inch over ambient.
    PSIG = unit("psig", PA_PER_PSI, &["psi", "lbf/in2", "lb/in2"]).with_digits(TENTHS_TO_TWENTY);
    /// Pounds-force per square inch between two places.
    PSI = unit("psi", PA_PER_PSI, &["psid", "lbf/in2", "lb/in2"]).with_digits(HUNDREDTHS);
    /// Pounds-force per square inch over vacuum.
    PSIA = unit("psia", PA_PER_PSI, &[]).with_digits(HUNDREDTHS);
    /// Pascals.
    PA = unit("Pa", 1.0, &["pascal", "pascals"]).with_digits(TENTHS);
    /// Hectopascals, as weather reports have them.
    HPA = unit("hPa", 100.0, &[]).with_digits(TENTHS);
    /// Kilopascals.
    KPA = unit("kPa", 1e3, &["kilopascal", "kilopascals"]).with_digits(LIKE_TENTHS_OF_INWC);
    /// Megapascals.
    MPA = unit("MPa", 1e6, &[]);
    /// Millibars.
    MBAR = unit("mbar", 100.0, &["millibar", "millibars"]).with_digits(TENTHS);
    /// Bars.
    BAR = unit("bar", 1e5, &["bars"]).with_digits(HUNDREDTHS);
    /// Kilopascals over ambient, spelt out.
    KPAG = unit("kPag", 1e3, &["kPagauge"]).with_digits(HUNDREDTHS);
    /// Bars over ambient, spelt out.
    BARG = unit("barg", 1e5, &["bargauge"]).with_digits(HUNDREDTHS);
    /// Kilopascals over vacuum, spelt out.
    KPAA = unit("kPaa", 1e3, &["kPaabs"]).with_digits(HUNDREDTHS);
    /// Bars over vacuum, spelt out.
    BARA = unit("bara", 1e5, &["barabs"]).with_digits(HUNDREDTHS);
    /// Millimetres of water column, 1000 kg/m³.
    MMWC = unit("mmwc", STANDARD_GRAVITY_M_PER_S2, &["mmH2O"]).with_digits(TENTHS);
    /// Inches of mercury, conventional.
    INHG = unit("inHg", PA_PER_INHG, &["inchHg"]).with_digits(HUNDREDTHS);
    /// Standard atmospheres.
    ATM = unit("atm", PA_PER_ATM, &[]);

    /// Inches of water column in a minute.
    INWC_PER_MIN = unit("inwc/min", PA_PER_INWC / 60.0, &["inH2O/min"]).with_digits(HUNDREDTHS);
    /// Inches of water column in an hour.
    INWC_PER_H = unit("inwc/h", PA_PER_INWC / 3600.0, &["inwc/hr", "inH2O/h"]).with_digits(HUNDREDTHS);
    /// Inches of water column in a second.
    INWC_PER_S = unit("inwc/s", PA_PER_INWC, &["inH2O/s"]).with_digits(HUNDREDTHS);
    /// Psi in a minute.
    PSI_PER_MIN = unit("psi/min", PA_PER_PSI / 60.0, &[]);
    /// Pascals in a second.
    PA_PER_S = unit("Pa/s", 1.0, &[]);
    /// Pascals in a minute.
    PA_PER_MIN = unit("Pa/min", 1.0 / 60.0, &[]).with_digits(TENTHS);
    /// Kilopascals in a minute.
    KPA_PER_MIN = unit("kPa/min", 1e3 / 60.0, &[]);
    /// Millibars in a minute.
    MBAR_PER_MIN = unit("mbar/min", 100.0 / 60.0, &[]);

    /// Degrees Fahrenheit.
    DEG_F = unit("degF", K_PER_FAHRENHEIT_DEGREE, &["F", "fahrenheit", "degreesF"])
        .with_zero(ZERO_FAHRENHEIT_K).shown("°F").with_digits(WHOLE);
    /// Degrees Celsius.
    DEG_C = unit("degC", 1.0, &["C", "celsius", "degreesC"])
        .with_zero(ZERO_CELSIUS_K).shown("°C").with_digits(TENTHS);
    /// Kelvins.
    KELVIN = unit("K", 1.0, &["kelvin", "degK"]).with_digits(&[(1000.0, 1)]);
    /// Degrees Rankine.
    DEG_R = unit("degR", K_PER_FAHRENHEIT_DEGREE, &["rankine"]).shown("°R").with_digits(WHOLE);
    /// Fahrenheit degrees between two temperatures.
    DELTA_F = unit("degF", K_PER_FAHRENHEIT_DEGREE, &["F", "fahrenheit", "degreesF", "degR"])
        .shown("°F").with_digits(TENTHS);
    /// Celsius degrees between two temperatures.
    DELTA_C = unit("degC", 1.0, &["C", "celsius", "degreesC"]).shown("°C").with_digits(TENTHS);

    /// Metres.
    METRE = unit("m", 1.0, &["metre", "metres", "meter", "meters"]).with_digits(HUNDREDTHS);
    /// Kilometres.
    KILOMETRE = unit("km", 1e3, &[]).with_digits(HUNDREDTHS);
    /// Centimetres.
    CENTIMETRE = unit("cm", 1e-2, &[]);
    /// Millimetres.
    MILLIMETRE = unit("mm", 1e-3, &["millimetre", "millimetres", "millimeter", "millimeters"])
        .with_digits(HUNDREDTHS);
    /// Micrometres.
    MICROMETRE = unit("um", 1e-6, &["micron", "microns", "micrometre", "micrometres"])
        .shown("µm").with_digits(TENTHS_TO_TWENTY);
    /// Inches.
    INCH = unit("in", M_PER_IN, &["inch", "inches", "\""]).with_digits(&[(1.0, 3), (10.0, 2), (100.0, 1)]);
    /// Thousandths of an inch.
    MIL = unit("mil", M_PER_IN / 1e3, &["mils", "thou"]).with_digits(HUNDREDTHS);
    /// Feet.
    FOOT = unit("ft", M_PER_FT, &["foot", "feet", "'"]).with_digits(TENTHS);
    /// Statute miles.
    MILE = unit("mi", 5280.0 * M_PER_FT, &["mile", "miles"]).with_digits(TENTHS);

    /// Square metres.
    M2 = unit("m2", 1.0, &["sqm"]).shown("m²");
    /// Square centimetres.
    CM2 = unit("cm2", 1e-4, &["sqcm"]).shown("cm²");
    /// Square millimetres.
    MM2 = unit("mm2", 1e-6, &["sqmm"]).shown("mm²");
    /// Square inches.
    IN2 = unit("in2", M_PER_IN * M_PER_IN, &["sqin"]).shown("in²");
    /// Square feet.
    FT2 = unit("ft2", M2_PER_FT2, &["sqft"]).shown("ft²");

    /// Cubic metres.
    M3 = unit("m3", 1.0, &["cum"]).shown("m³");
    /// Litres.
    LITRE = unit("L", 1e-3, &["litre", "litres", "liter", "liters", "dm3"]);
    /// Millilitres.
    MILLILITRE = unit("mL", 1e-6, &["cm3", "cc"]).with_digits(TENTHS);
    /// Cubic inches.
    IN3 = unit("in3", M_PER_IN * M_PER_IN * M_PER_IN, &["cuin"]).shown("in³").with_digits(HUNDREDTHS);
    /// Cubic feet.
    FT3 = unit("ft3", M3_PER_FT3, &["cuft", "cf"]).shown("ft³");
    /// US gallons.
    GALLON = unit("gal", M3_PER_GAL, &["gallon", "gallons", "USgal"]).with_digits(TENTHS);

    /// Kilograms.
    KILOGRAM = unit("kg", 1.0, &["kilogram", "kilograms"]).with_digits(HUNDREDTHS);
    /// Grams.
    GRAM = unit("g", 1e-3, &["gram", "grams"]).with_digits(TENTHS);
    /// Milligrams.
    MILLIGRAM = unit("mg", 1e-6, &[]).with_digits(TENTHS);
    /// Avoirdupois pounds.
    POUND = unit("lb", KG_PER_LB, &["lbs", "lbm", "pound", "pounds"]).with_digits(TENTHS);
    /// Avoirdupois ounces.
    OUNCE = unit("oz", KG_PER_LB / 16.0, &["ounce", "ounces"]).with_digits(HUNDREDTHS);

    /// Kilograms in a second.
    KG_PER_S = unit("kg/s", 1.0, &[]);
    /// Grams in a second.
    G_PER_S = unit("g/s", 1e-3, &[]);
    /// Kilograms in an hour.
    KG_PER_H = unit("kg/h", 1.0 / 3600.0, &["kg/hr"]);
    /// Grams in an hour.
    G_PER_H = unit("g/h", 1e-3 / 3600.0, &["g/hr"]);
    /// Pounds in an hour.
    LB_PER_H = unit("lb/h", KG_PER_LB / 3600.0, &["lb/hr", "lbs/h", "lbs/hr", "pph"]);

    /// Cubic metres in a second.
    M3_PER_S = unit("m3/s", 1.0, &[]).shown("m³/s");
    /// Cubic metres in an hour.
    M3_PER_H = unit("m3/h", 1.0 / 3600.0, &["m3/hr"]).shown("m³/h");
    /// Litres in a second.
    L_PER_S = unit("L/s", 1e-3, &[]);
    /// Litres in a minute.
    L_PER_MIN = unit("L/min", 1e-3 / 60.0, &["lpm"]);
    /// Cubic feet in an hour.
    FT3_PER_H = unit("ft3/h", M3_PER_FT3 / 3600.0, &["cfh", "ft3/hr", "cuft/h", "cuft/hr"]).shown("ft³/h");
    /// Cubic feet in a minute.
    FT3_PER_MIN = unit("ft3/min", M3_PER_FT3 / 60.0, &["cfm", "cuft/min"]).shown("ft³/min");

    /// Watts.
    WATT = unit("W", 1.0, &["watt", "watts"]).with_digits(TENTHS_TO_TWENTY);
    /// Kilowatts.
    KILOWATT = unit("kW", 1e3, &["kilowatt", "kilowatts"]).with_digits(HUNDREDTHS);
    /// Megawatts.
    MEGAWATT = unit("MW", 1e6, &[]).with_digits(HUNDREDTHS);
    /// Btu in an hour; a rating plate may leave the hour out.
    BTU_PER_H = unit("Btu/h", W_PER_BTU_PER_H, &["Btu/hr", "Btuh", "Btu/hour", "Btu", "Btus"])
        .with_digits(TENTHS_TO_TWENTY);
    /// Thousand Btu in an hour.
    KBTU_PER_H = unit("kBtu/h", 1e3 * W_PER_BTU_PER_H, &["kBtu/hr", "kBtuh", "kBtu", "MBH"]).with_digits(TENTHS);

    /// Joules.
    JOULE = unit("J", 1.0, &["joule", "joules"]);
    /// Kilojoules.
    KILOJOULE = unit("kJ", 1e3, &[]);
    /// Megajoules.
    MEGAJOULE = unit("MJ", 1e6, &[]);
    /// Watt hours.
    WATT_HOUR = unit("Wh", 3600.0, &[]);
    /// Kilowatt hours.
    KILOWATT_HOUR = unit("kWh", 3.6e6, &[]);
    /// British thermal units.
    BTU = unit("Btu", J_PER_BTU, &[]).with_digits(TENTHS_TO_TWENTY);
    /// Thousand British thermal units.
    KBTU = unit("kBtu", 1e3 * J_PER_BTU, &[]);

    /// Joules per kilogram.
    J_PER_KG = unit("J/kg", 1.0, &[]);
    /// Kilojoules per kilogram.
    KJ_PER_KG = unit("kJ/kg", 1e3, &["J/g"]);
    /// Megajoules per kilogram.
    MJ_PER_KG = unit("MJ/kg", 1e6, &[]);
    /// Btu per pound.
    BTU_PER_LB = unit("Btu/lb", J_PER_BTU / KG_PER_LB, &[]);

    /// Watts per square metre.
    W_PER_M2 = unit("W/m2", 1.0, &[]).shown("W/m²").with_digits(TENTHS);
    /// Kilowatts per square metre.
    KW_PER_M2 = unit("kW/m2", 1e3, &[]).shown("kW/m²");
    /// Btu per hour and square foot.
    BTU_PER_H_FT2 = unit("Btu/h-ft2", W_PER_BTU_PER_H / M2_PER_FT2, &["Btu/hrft2", "Btu/h/ft2"])
        .shown("Btu/h·ft²").with_digits(TENTHS);

    /// Joules per kelvin.
    J_PER_K = unit("J/K", 1.0, &["J/degC", "J/C"]);
    /// Kilojoules per kelvin.
    KJ_PER_K = unit("kJ/K", 1e3, &["kJ/degC", "kJ/C"]);
    /// Btu per Fahrenheit degree.
    BTU_PER_F = unit("Btu/degF", J_PER_BTU / K_PER_FAHRENHEIT_DEGREE, &["Btu/F"]).shown("Btu/°F");

    /// Watts per square metre and kelvin.
    W_PER_M2_K = unit("W/m2K", 1.0, &["W/m2degC", "W/m2C", "W/m2/K", "W/Km2"]).shown("W/m²K");
    /// Btu per hour, square foot and Fahrenheit degree.
    BTU_PER_H_FT2_F = unit("Btu/h-ft2-degF",
        W_PER_BTU_PER_H / M2_PER_FT2 / K_PER_FAHRENHEIT_DEGREE,
        &["Btu/hft2F", "Btu/hrft2F", "Btu/hrft2degF", "Btu/h/ft2/F"]).shown("Btu/h·ft²·°F");

    /// Watts per kelvin.
    W_PER_K = unit("W/K", 1.0, &["W/degC", "W/C"]);
    /// Btu per hour and Fahrenheit degree.
    BTU_PER_H_F = unit("Btu/h-degF", W_PER_BTU_PER_H / K_PER_FAHRENHEIT_DEGREE,
        &["Btu/hF", "Btu/hrF", "Btu/hrdegF", "Btu/h/F"]).shown("Btu/h·°F");

    /// Seconds.
    SECOND = unit("s", 1.0, &["sec", "secs", "second", "seconds"]).with_digits(HUNDREDTHS);
    /// Milliseconds.
    MILLISECOND = unit("ms", 1e-3, &["msec", "millisecond", "milliseconds"]).with_digits(TENTHS);
    /// Microseconds.
    MICROSECOND = unit("us", 1e-6, &["usec", "microsecond", "microseconds"]).shown("µs").with_digits(TENTHS);
    /// Minutes.
    MINUTE = unit("min", 60.0, &["mins", "minute", "minutes"]).with_digits(TENTHS);
    /// Hours.
    HOUR = unit("h", 3600.0, &["hr", "hrs", "hour", "hours"]).with_digits(TENTHS);
    /// Days.
    DAY = unit("d", 86_400.0, &["day", "days"]).with_digits(TENTHS);

    /// Hertz.
    HERTZ = unit("Hz", 1.0, &["1/s"]);
    /// Kilohertz.
    KILOHERTZ = unit("kHz", 1e3, &[]);
    /// Turns in a minute.
    RPM = unit("rpm", 1.0 / 60.0, &["1/min"]);

    /// Metres in a second.
    M_PER_S = unit("m/s", 1.0, &["mps"]);
    /// Millimetres in a second.
    MM_PER_S = unit("mm/s", 1e-3, &[]);
    /// Kilometres in an hour.
    KM_PER_H = unit("km/h", 1.0 / 3.6, &["kph", "kmh", "km/hr"]).with_digits(TENTHS);
    /// Miles in an hour.
    MPH = unit("mph", 5280.0 * M_PER_FT / 3600.0, &["mi/h", "mi/hr"]).with_digits(TENTHS);
    /// Feet in a second.
    FT_PER_S = unit("ft/s", M_PER_FT, &["fps"]);
    /// Feet in a minute.
    FT_PER_MIN = unit("ft/min", M_PER_FT / 60.0, &["fpm"]).with_digits(TENTHS);
    /// Feet in an hour.
    FT_PER_H = unit("ft/h", M_PER_FT / 3600.0, &["ft/hr"]).with_digits(TENTHS);
    /// Inches in a second.
    IN_PER_S = unit("in/s", M_PER_IN, &["ips"]);

    /// Radians.
    RADIAN = unit("rad", 1.0, &["radian", "radians"]);
    /// Degrees of angle.
    DEGREE = unit("deg", std::f64::consts::PI / 180.0, &["degree", "degrees"]).shown("°").with_digits(TENTHS_TO_TWENTY);
    /// Full turns, as of an adjusting screw.
    TURN = unit("turn", std::f64::consts::TAU, &["turns", "rev", "revs"]).with_digits(HUNDREDTHS);

    /// A bare number.
    ONE = unit("", 1.0, &[]);
    /// Hundredths.
    PERCENT = unit("%", 0.01, &["percent", "pct"]).with_digits(TENTHS);

    /// Newtons.
    NEWTON = unit("N", 1.0, &["newton", "newtons"]);
    /// Millinewtons.
    MILLINEWTON = unit("mN", 1e-3, &[]);
    /// Kilonewtons.
    KILONEWTON = unit("kN", 1e3, &[]);
    /// Pounds-force.
    POUND_FORCE = unit("lbf", N_PER_LBF, &["lbsf"]);
    /// Ounces-force.
    OUNCE_FORCE = unit("ozf", N_PER_LBF / 16.0, &[]);

    /// Newtons per metre.
    N_PER_M = unit("N/m", 1.0, &[]);
    /// Newtons per millimetre.
    N_PER_MM = unit("N/mm", 1e3, &["kN/m"]);
    /// Pounds-force per inch, as spring makers have it.
    LBF_PER_IN = unit("lbf/in", N_PER_LBF / M_PER_IN, &["lb/in", "lbs/in", "ppi"]);

    /// Newton seconds per metre.
    N_S_PER_M = unit("N s/m", 1.0, &["kg/s"]);
    /// Pound-force seconds per inch.
    LBF_S_PER_IN = unit("lbf-s/in", N_PER_LBF / M_PER_IN, &["lbsec/in"]);

    /// Kilograms per cubic metre.
    KG_PER_M3 = unit("kg/m3", 1.0, &["g/L"]).shown("kg/m³");
    /// Kilograms per litre.
    KG_PER_L = unit("kg/L", 1e3, &["g/mL", "g/cm3", "g/cc"]);
    /// Pounds per cubic foot.
    LB_PER_FT3 = unit("lb/ft3", KG_PER_LB / M3_PER_FT3, &["lbs/ft3", "pcf"]).shown("lb/ft³");
    /// Pounds per US gallon.
    LB_PER_GAL = unit("lb/gal", KG_PER_LB / M3_PER_GAL, &["lbs/gal"]);
}

/// The units a dimension may be written in.
pub(crate) fn units_of(dimension: Dimension) -> &'static [&'static Unit] {
    use Dimension as D;
    match dimension {
        D::GaugePressure => &[
            &INWC, &PSIG, &KPA, &MBAR, &PA, &HPA, &BAR, &MPA, &KPAG, &BARG, &MMWC, &OSI,
        ],
        D::PressureDifference => &[&INWC, &PSI, &KPA, &MBAR, &PA, &HPA, &BAR, &MPA, &MMWC, &OSI],
        D::AbsolutePressure => &[
            &PSIA, &KPA, &INHG, &MBAR, &PA, &HPA, &BAR, &MPA, &KPAA, &BARA, &ATM,
        ],
        D::PressureRate => &[
            &INWC_PER_MIN,
            &PA_PER_MIN,
            &INWC_PER_H,
            &INWC_PER_S,
            &PSI_PER_MIN,
            &PA_PER_S,
            &KPA_PER_MIN,
            &MBAR_PER_MIN,
        ],
        D::Temperature => &[&DEG_F, &DEG_C, &KELVIN, &DEG_R],
        D::TemperatureDifference => &[&DELTA_F, &KELVIN, &DELTA_C],
        D::Length | D::Travel | D::Elevation => &[
            &INCH,
            &FOOT,
            &MILLIMETRE,
            &METRE,
            &MIL,
            &MICROMETRE,
            &CENTIMETRE,
            &KILOMETRE,
            &MILE,
        ],
        D::Area => &[&IN2, &MM2, &FT2, &M2, &CM2],
        D::Volume => &[&GALLON, &LITRE, &IN3, &MILLILITRE, &FT3, &M3],
        D::Mass => &[&POUND, &KILOGRAM, &GRAM, &OUNCE, &MILLIGRAM],
        D::MassFlow => &[&LB_PER_H, &KG_PER_H, &G_PER_S, &KG_PER_S, &G_PER_H],
        D::VolumeFlow => &[
            &FT3_PER_H,
            &L_PER_MIN,
            &FT3_PER_MIN,
            &M3_PER_H,
            &L_PER_S,
            &M3_PER_S,
        ],
        D::Power => &[&BTU_PER_H, &KILOWATT, &KBTU_PER_H, &WATT, &MEGAWATT],
        D::Energy => &[
            &BTU,
            &KILOJOULE,
            &KILOWATT_HOUR,
            &JOULE,
            &MEGAJOULE,
            &WATT_HOUR,
            &KBTU,
        ],
        D::SpecificEnergy => &[&BTU_PER_LB, &KJ_PER_KG, &MJ_PER_KG, &J_PER_KG],
        D::HeatFlux => &[&BTU_PER_H_FT2, &W_PER_M2, &KW_PER_M2],
        D::HeatCapacity => &[&BTU_PER_F, &KJ_PER_K, &J_PER_K],
        D::HeatTransfer => &[&BTU_PER_H_FT2_F, &W_PER_M2_K],
        D::Conductance => &[&BTU_PER_H_F, &W_PER_K],
        D::Time => &[&SECOND, &MINUTE, &HOUR, &MILLISECOND, &MICROSECOND, &DAY],
        D::Frequency => &[&HERTZ, &RPM, &KILOHERTZ],
        D::Speed => &[
            &MPH,
            &M_PER_S,
            &FT_PER_MIN,
            &FT_PER_S,
            &FT_PER_H,
            &IN_PER_S,
            &MM_PER_S,
            &KM_PER_H,
        ],
        D::Angle => &[&DEGREE, &TURN, &RADIAN],
        D::Fraction => &[&PERCENT, &ONE],
        D::Force => &[
            &POUND_FORCE,
            &NEWTON,
            &OUNCE_FORCE,
            &MILLINEWTON,
            &KILONEWTON,
        ],
        D::Stiffness => &[&LBF_PER_IN, &N_PER_M, &N_PER_MM],
        D::Damping => &[&LBF_S_PER_IN, &N_S_PER_M],
        D::Density => &[&LB_PER_FT3, &KG_PER_M3, &KG_PER_L, &LB_PER_GAL],
    }
}
