//! Numbers as people read them: US trade units or SI, with the digits an instrument would give.
//! Knows no panel and no physics; the factors come from the units room.

use crate::units::{
    self, KG_PER_LB, M_PER_FT, M_PER_IN, MINUS, N_PER_LBF, PA_PER_INWC, PA_PER_PSI, System,
    W_PER_BTU_PER_H, ZERO_CELSIUS_K,
};

/// A unit that not everybody knows.
pub const THOU: &str = "A thou is a thousandth of an inch";
/// The units of the trade, for who has just come to it.
pub const TRADE_UNITS: [&str; 4] = [
    "in w.c., inches of water column: the pressure that lifts water so far in a tube; for the low side. 27.7 of them are 1 psi",
    "psig, pounds per square inch, gauge: how far a pressure stands over the air outside; for container and first stage",
    "thou: a thousandth of an inch; for how far a part moves. lbf, pound-force: what a mass of one pound weighs; for the pushes on a diaphragm",
    "Btu/h: heat in an hour; a burner's size, and the gas that flows told as the heat it gives. A pound of propane in an hour is about 21,600",
];

/// Which units are on show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// US trade units.
    #[default]
    Us,
    /// SI.
    Si,
}

/// A quantity's number in the units on show, and the unit's name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The number.
    pub value: f64,
    /// The unit.
    pub unit: &'static str,
    /// Decimals worth reading.
    pub decimals: usize,
}

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.number(), self.unit)
    }
}

impl Shown {
    /// The number alone.
    pub fn number(&self) -> String {
        grouped(self.value, self.decimals)
    }
}

impl Units {
    /// The same system for texts that other rooms make.
    pub fn system(self) -> System {
        match self {
            Self::Us => System::Us,
            Self::Si => System::Si,
        }
    }

    /// A written sentence in these units.
    pub fn prose(self, text: &str) -> std::borrow::Cow<'_, str> {
        crate::report::prose::prose(text, self.system())
    }

    /// Low gauge pressure \[Pa\]: in w.c. or kPa.
    pub fn low(self, pa: f64) -> Shown {
        match self {
            Self::Us => shown(pa / PA_PER_INWC, "in w.c.", 1),
            Self::Si => shown(pa / 1e3, "kPa", 2),
        }
    }

    /// Low gauge pressure \[Pa\] to ten times as fine, for a change that a manometer would not show.
    pub fn low_fine(self, pa: f64) -> Shown {
        let mut shown = self.low(pa);
        shown.decimals += 1;
        shown
    }

    /// High gauge pressure \[Pa\]: psig or kPa.
    pub fn high(self, pa: f64) -> Shown {
        match self {
            Self::Us => {
                let psi = pa / PA_PER_PSI;
                shown(psi, "psig", usize::from(psi.abs() < 99.95))
            }
            Self::Si => shown(pa / 1e3, "kPa", usize::from(pa.abs() < 99_950.0)),
        }
    }

    /// Gauge pressure \[Pa\] in whichever of the two suits its size.
    pub fn pressure(self, pa: f64) -> Shown {
        if pa.abs() < 1.2 * PA_PER_PSI {
            self.low(pa)
        } else {
            self.high(pa)
        }
    }

    /// Temperature \[K\].
    pub fn temperature(self, kelvin: f64) -> Shown {
        match self {
            Self::Us => shown((kelvin - ZERO_CELSIUS_K) * 1.8 + 32.0, "°F", 0),
            Self::Si => shown(kelvin - ZERO_CELSIUS_K, "°C", 1),
        }
    }

    /// Kelvin of a temperature typed in these units.
    pub fn kelvin(self, typed: f64) -> f64 {
        match self {
            Self::Us => (typed - 32.0) / 1.8 + ZERO_CELSIUS_K,
            Self::Si => typed + ZERO_CELSIUS_K,
        }
    }

    /// Heat rate \[W\].
    pub fn heat(self, watt: f64) -> Shown {
        match self {
            Self::Us => shown(watt / W_PER_BTU_PER_H, "Btu/h", 0),
            Self::Si => shown(watt / 1e3, "kW", 2),
        }
    }

    /// Elevation \[m\].
    pub fn elevation(self, metre: f64) -> Shown {
        match self {
            Self::Us => shown(metre / M_PER_FT, "ft", 0),
            Self::Si => shown(metre, "m", 0),
        }
    }

    /// Length of a pipe \[m\].
    pub fn length(self, metre: f64) -> Shown {
        match self {
            Self::Us => shown(metre / M_PER_FT, "ft", 1),
            Self::Si => shown(metre, "m", 2),
        }
    }

    /// Bore of a pipe \[m\].
    pub fn bore(self, metre: f64) -> Shown {
        match self {
            Self::Us => shown(metre / M_PER_IN, "in", 2),
            Self::Si => shown(metre * 1e3, "mm", 1),
        }
    }

    /// Metres of an elevation typed in these units.
    pub fn metres(self, typed: f64) -> f64 {
        match self {
            Self::Us => typed * M_PER_FT,
            Self::Si => typed,
        }
    }

    /// Mass \[kg\].
    pub fn mass(self, kg: f64) -> Shown {
        match self {
            Self::Us => shown(kg / KG_PER_LB, "lb", 1),
            Self::Si => shown(kg, "kg", 2),
        }
    }

    /// Travel of a part \[m\]: thousandths of an inch or mm, as gauges for it are; one digit more of a seat that has just opened.
    pub fn travel(self, metre: f64) -> Shown {
        let (value, unit, decimals) = match self {
            Self::Us => (metre / M_PER_THOU, "thou", 1),
            Self::Si => (metre * 1e3, "mm", 2),
        };
        let small = (0.5e-8..0.5 * M_PER_THOU).contains(&metre.abs());
        shown(value, unit, decimals + usize::from(small))
    }

    /// A small length \[m\] with digits left to read: thousandths of an inch, or µm up to a tenth of a mm.
    pub fn small_length(self, metre: f64) -> Shown {
        match self {
            Self::Us => shown(
                metre / M_PER_THOU,
                "thou",
                digits(metre / M_PER_THOU).min(2),
            ),
            Self::Si if metre.abs() < 0.995e-4 => shown(metre * 1e6, "µm", 0),
            Self::Si => shown(metre * 1e3, "mm", 2),
        }
    }

    /// Force \[N\].
    pub fn force(self, newton: f64) -> Shown {
        match self {
            Self::Us => shown(newton / N_PER_LBF, "lbf", digits(newton / N_PER_LBF).min(3)),
            Self::Si => shown(newton, "N", digits(newton).min(3)),
        }
    }

    /// Force \[N\] to ten times as fine, for a change of one that is large.
    pub fn force_fine(self, newton: f64) -> Shown {
        let mut shown = self.force(newton);
        shown.decimals = (shown.decimals + 1).min(3);
        shown
    }

    /// Flow of gas by mass \[kg/s\].
    pub fn mass_flow(self, kg_per_s: f64) -> Shown {
        match self {
            Self::Us => {
                let lb_per_h = kg_per_s * 3600.0 / KG_PER_LB;
                shown(lb_per_h, "lb/h", digits(lb_per_h))
            }
            Self::Si => shown(kg_per_s * 3.6e6, "g/h", digits(kg_per_s * 3.6e6)),
        }
    }

    /// Flow of air or gas at a vent \[m³/s\].
    pub fn breath(self, m3_per_s: f64) -> Shown {
        match self {
            Self::Us => {
                let ft3_per_h = m3_per_s * 3600.0 / M_PER_FT.powi(3);
                shown(ft3_per_h, "ft³/h", digits(ft3_per_h))
            }
            Self::Si => shown(m3_per_s * 1e6, "mL/s", digits(m3_per_s * 1e6)),
        }
    }

    /// A mass of some grams \[kg\].
    pub fn small_mass(self, kg: f64) -> Shown {
        match self {
            Self::Us => shown(16.0 * kg / KG_PER_LB, "oz", 2),
            Self::Si => shown(kg * 1e3, "g", 1),
        }
    }

    /// Sun on a face \[W/m²\].
    pub fn sun(self, w_per_m2: f64) -> Shown {
        match self {
            Self::Us => shown(w_per_m2 * SUN_US, "Btu/h ft²", 0),
            Self::Si => shown(w_per_m2, "W/m²", 0),
        }
    }

    /// W/m² of a sun typed in these units.
    pub fn sun_w_per_m2(self, typed: f64) -> f64 {
        match self {
            Self::Us => typed / SUN_US,
            Self::Si => typed,
        }
    }
}

/// A thousandth of an inch \[m\].
const M_PER_THOU: f64 = M_PER_IN / 1000.0;
/// Btu/(h ft²) of one W/m².
const SUN_US: f64 = M_PER_FT * M_PER_FT / W_PER_BTU_PER_H;

/// Decimals that leave about three digits of a small number.
fn digits(value: f64) -> usize {
    let v = value.abs();
    // What four decimals would show as nought is nought.
    if v < 0.5e-4 || !v.is_finite() {
        return 1;
    }
    // What rounds up to the next ten has the next ten's decimals: 0.99995 is 1.00.
    (2.0 - (v * 1.0005).log10().floor()).clamp(0.0, 4.0) as usize
}

fn shown(value: f64, unit: &'static str, decimals: usize) -> Shown {
    Shown {
        value,
        unit,
        decimals,
    }
}

/// A number as all rooms tell it ([`units::grouped`]); a dash where there is none.
pub fn grouped(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    units::grouped(value, decimals)
}

/// Simulated time as a clock: h:mm:ss with as many decimals as the pace makes worth reading.
pub fn clock(time_s: f64, decimals: usize) -> String {
    let sign = if time_s < 0.0 {
        MINUS.to_string()
    } else {
        String::new()
    };
    let ticks = 10f64.powf(decimals as f64);
    let t = (time_s.abs() * ticks).floor() / ticks;
    let hours = (t / 3600.0).floor();
    let minutes = ((t - hours * 3600.0) / 60.0).floor();
    let seconds = t - hours * 3600.0 - minutes * 60.0;
    let width = if decimals == 0 { 2 } else { decimals + 3 };
    format!("{sign}{hours:.0}:{minutes:02.0}:{seconds:0width$.decimals$}")
}

/// A pace in words: "real time", "1/50 of real time", "5 times real time", "10 min per second".
pub fn pace(rate: f64) -> String {
    if (rate - 1.0).abs() < 1e-6 {
        "real time".to_owned()
    } else if rate < 1.0 {
        format!("1/{:.0} of real time", 1.0 / rate)
    } else if rate < 60.0 {
        format!("{rate:.0} times real time")
    } else if rate < 3600.0 {
        format!("{:.0} min per second", rate / 60.0)
    } else {
        format!("{:.0} h per second", rate / 3600.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_grouped_and_never_minus_zero() {
        assert_eq!(grouped(62_100.0, 0), "62,100");
        assert_eq!(grouped(-0.001, 1), "0.0");
        assert_eq!(grouped(-1234.5, 1), "−1234.5");
        assert_eq!(grouped(f64::NAN, 1), "–");
    }

    #[test]
    fn small_things_are_told_in_the_units_on_show() {
        let (us, si) = (Units::Us, Units::Si);
        assert_eq!(us.small_length(83e-6).to_string(), "3.27 thou");
        assert_eq!(si.small_length(83e-6).to_string(), "83 µm");
        assert_eq!(si.small_length(393e-6).to_string(), "0.39 mm");
        assert_eq!(us.force(15.72).to_string(), "3.53 lbf");
        assert_eq!(us.force_fine(15.72).to_string(), "3.534 lbf");
        assert_eq!(si.force(15.72).to_string(), "15.7 N");
        assert_eq!(us.small_length(1.01e-6).to_string(), "0.04 thou");
        assert_eq!(us.sun(1000.0).to_string(), "317 Btu/h ft²");
        assert!((us.sun_w_per_m2(us.sun(800.0).value) - 800.0).abs() < 1e-9);
        assert_eq!(us.mass_flow(1e-6).to_string(), "0.0079 lb/h");
        assert_eq!(us.mass_flow(1e-10).to_string(), "0.0 lb/h");
        assert_eq!(us.travel(1.05e-6).to_string(), "0.04 thou");
        assert_eq!(us.travel(4.05e-3).to_string(), "159.4 thou");
        assert_eq!(si.travel(1.05e-6).to_string(), "0.001 mm");
    }

    #[test]
    fn clock_reads_like_a_clock() {
        assert_eq!(clock(872.44, 1), "0:14:32.4");
        assert_eq!(clock(59.999, 0), "0:00:59");
        assert_eq!(clock(43_200.0, 0), "12:00:00");
    }

    #[test]
    fn pace_is_said_in_words() {
        assert_eq!(pace(0.001), "1/1000 of real time");
        assert_eq!(pace(1.0), "real time");
        assert_eq!(pace(36_000.0), "10 h per second");
    }
}
