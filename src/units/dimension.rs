//! What kind of quantity a number is: its name in words and the units it may be written in.
//!
//! The units themselves are in `table`.

/// Which family of units a person reads. Both are always accepted when writing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum System {
    /// US trade units: in w.c., psig, °F, Btu/h.
    #[default]
    Us,
    /// SI: kPa, °C, kW.
    Si,
}

/// The kind of a quantity. The SI unit in brackets is what [`parse`](super::parse) returns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Pressure over ambient \[Pa\].
    GaugePressure,
    /// Difference of two pressures \[Pa\].
    PressureDifference,
    /// Pressure over vacuum \[Pa\].
    AbsolutePressure,
    /// Change of pressure with time \[Pa/s\].
    PressureRate,
    /// Temperature \[K\].
    Temperature,
    /// Difference of two temperatures \[K\].
    TemperatureDifference,
    /// Any length \[m\]; shown in inches or feet, or mm or m.
    Length,
    /// Lift and travel of the moving parts \[m\]; shown in mm in both systems.
    Travel,
    /// Height over the sea \[m\]; shown in whole feet or metres.
    Elevation,
    /// Area \[m²\].
    Area,
    /// Volume \[m³\].
    Volume,
    /// Mass \[kg\].
    Mass,
    /// Mass flow \[kg/s\].
    MassFlow,
    /// Volume flow \[m³/s\].
    VolumeFlow,
    /// Heat input or any other power \[W\].
    Power,
    /// Energy \[J\].
    Energy,
    /// Energy per mass, such as a latent heat or heating value \[J/kg\].
    SpecificEnergy,
    /// Power per area, such as sunshine \[W/m²\].
    HeatFlux,
    /// Heat stored per temperature \[J/K\].
    HeatCapacity,
    /// Heat transfer coefficient \[W/m²K\].
    HeatTransfer,
    /// Heat conductance of a whole body \[W/K\].
    Conductance,
    /// Duration or moment \[s\].
    Time,
    /// Frequency \[Hz\].
    Frequency,
    /// Speed \[m/s\].
    Speed,
    /// Angle \[rad\]; of an adjusting screw too.
    Angle,
    /// A share, a bare number or in percent \[1\].
    Fraction,
    /// Force \[N\].
    Force,
    /// Spring rate \[N/m\].
    Stiffness,
    /// Viscous damping \[N s/m\].
    Damping,
    /// Density \[kg/m³\].
    Density,
}

impl Dimension {
    /// Every dimension, in the order in which a unit's home is looked for.
    pub const ALL: [Self; 30] = [
        Self::GaugePressure,
        Self::PressureDifference,
        Self::AbsolutePressure,
        Self::PressureRate,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Length,
        Self::Travel,
        Self::Elevation,
        Self::Area,
        Self::Volume,
        Self::Mass,
        Self::MassFlow,
        Self::VolumeFlow,
        Self::Power,
        Self::Energy,
        Self::SpecificEnergy,
        Self::HeatFlux,
        Self::HeatCapacity,
        Self::HeatTransfer,
        Self::Conductance,
        Self::Time,
        Self::Frequency,
        Self::Speed,
        Self::Angle,
        Self::Fraction,
        Self::Force,
        Self::Stiffness,
        Self::Damping,
        Self::Density,
    ];

    /// The name with its article, as it stands in a sentence: `a pressure`.
    pub fn with_article(self) -> &'static str {
        match self {
            Self::GaugePressure => "a gauge pressure",
            Self::PressureDifference => "a pressure difference",
            Self::AbsolutePressure => "an absolute pressure",
            Self::PressureRate => "a rate of pressure",
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::Length | Self::Travel | Self::Elevation => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Mass => "a mass",
            Self::MassFlow => "a mass flow",
            Self::VolumeFlow => "a volume flow",
            Self::Power => "a power",
            Self::Energy => "an energy",
            Self::SpecificEnergy => "an energy per mass",
            Self::HeatFlux => "a power per area",
            Self::HeatCapacity => "a heat capacity",
            Self::HeatTransfer => "a heat transfer coefficient",
            Self::Conductance => "a heat conductance",
            Self::Time => "a time",
            Self::Frequency => "a frequency",
            Self::Speed => "a speed",
            Self::Angle => "an angle",
            Self::Fraction => "a share",
            Self::Force => "a force",
            Self::Stiffness => "a spring rate",
            Self::Damping => "a damping",
            Self::Density => "a density",
        }
    }

    /// Two right ways to write one, the first in US trade units and the second in SI.
    pub fn examples(self) -> [&'static str; 2] {
        match self {
            Self::GaugePressure => ["11 inwc", "2.7 kPa"],
            Self::PressureDifference => ["0.1 inwc", "25 Pa"],
            Self::AbsolutePressure => ["14.7 psia", "101.3 kPa"],
            Self::PressureRate => ["0.1 inwc/min", "25 Pa/min"],
            Self::Temperature => ["28 degF", "-2 degC"],
            Self::TemperatureDifference => ["10 degF", "6 K"],
            Self::Length => ["40 ft", "12 m"],
            Self::Travel => ["9 mil", "0.22 mm"],
            Self::Elevation => ["2400 ft", "730 m"],
            Self::Area => ["0.01 in2", "2 mm2"],
            Self::Volume => ["7 gal", "1.5 L"],
            Self::Mass => ["20 lb", "9 kg"],
            Self::MassFlow => ["4.6 lb/h", "0.6 g/s"],
            Self::VolumeFlow => ["10 ft3/h", "5 L/min"],
            Self::Power => ["30000 Btu/h", "0.8 kW"],
            Self::Energy => ["500 Btu", "500 kJ"],
            Self::SpecificEnergy => ["150 Btu/lb", "350 kJ/kg"],
            Self::HeatFlux => ["250 Btu/h-ft2", "800 W/m2"],
            Self::HeatCapacity => ["2 Btu/degF", "4 kJ/K"],
            Self::HeatTransfer => ["2 Btu/h-ft2-degF", "11 W/m2K"],
            Self::Conductance => ["7 Btu/h-degF", "3.5 W/K"],
            Self::Time => ["30 s", "5 min"],
            Self::Frequency => ["44 Hz", "600 rpm"],
            Self::Speed => ["10 mph", "4 m/s"],
            Self::Angle => ["45 deg", "0.5 turn"],
            Self::Fraction => ["0.1", "10 %"],
            Self::Force => ["2 lbf", "9 N"],
            Self::Stiffness => ["5 lbf/in", "900 N/m"],
            Self::Damping => ["0.02 lbf-s/in", "3 N s/m"],
            Self::Density => ["31 lb/ft3", "500 kg/m3"],
        }
    }

    /// The least value there can be in SI, if nature sets one.
    pub(super) fn natural_floor_si(self) -> Option<f64> {
        match self {
            Self::Temperature | Self::AbsolutePressure => Some(0.0),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::parse;
    use super::*;

    #[test]
    fn both_examples_of_every_dimension_are_right() {
        for dimension in Dimension::ALL {
            for example in dimension.examples() {
                let value = parse(example, dimension);
                assert!(value.is_ok(), "{dimension:?}: {example}: {value:?}");
            }
        }
    }

    #[test]
    fn every_dimension_has_its_si_unit() {
        for dimension in Dimension::ALL {
            assert!(dimension.si_unit().is_si_base(), "{dimension:?}");
        }
    }
}
