//! Numbers as people read them: US trade units or SI, with the digits an instrument would give.
//! Knows no panel and no physics; the factors come from the units room.

use crate::units::{
    KG_PER_LB, M_PER_FT, PA_PER_INWC, PA_PER_PSI, System, W_PER_BTU_PER_H, ZERO_CELSIUS_K,
};

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

    /// Low gauge pressure \[Pa\]: in w.c. or kPa.
    pub fn low(self, pa: f64) -> Shown {
        match self {
            Self::Us => shown(pa / PA_PER_INWC, "in w.c.", 1),
            Self::Si => shown(pa / 1e3, "kPa", 2),
        }
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

    /// Small travel \[m\]: always in mm, as gauges for it are.
    pub fn travel(self, metre: f64) -> Shown {
        shown(metre * 1e3, "mm", 2)
    }
}

fn shown(value: f64, unit: &'static str, decimals: usize) -> Shown {
    Shown {
        value,
        unit,
        decimals,
    }
}

/// A number with a thousands comma and no negative zero.
pub fn grouped(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let text = format!("{value:.decimals$}");
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) if rest.chars().any(|c| c.is_ascii_digit() && c != '0') => (true, rest),
        Some(rest) => (false, rest),
        None => (false, text.as_str()),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let mut out = String::from(if negative { "−" } else { "" });
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// Simulated time as a clock: h:mm:ss with as many decimals as the pace makes worth reading.
pub fn clock(time_s: f64, decimals: usize) -> String {
    let sign = if time_s < 0.0 { "−" } else { "" };
    let ticks = 10f64.powf(decimals as f64);
    let t = (time_s.abs() * ticks).floor() / ticks;
    let hours = (t / 3600.0).floor();
    let minutes = ((t - hours * 3600.0) / 60.0).floor();
    let seconds = t - hours * 3600.0 - minutes * 60.0;
    let width = if decimals == 0 { 2 } else { decimals + 3 };
    format!("{sign}{hours:.0}:{minutes:02.0}:{seconds:0width$.decimals$}")
}

/// A pace in words: "real time", "1/50 of real time", "10 min in a second".
pub fn pace(rate: f64) -> String {
    if (rate - 1.0).abs() < 1e-6 {
        "real time".to_owned()
    } else if rate < 1.0 {
        format!("1/{:.0} of real time", 1.0 / rate)
    } else if rate < 60.0 {
        format!("{rate:.0} s in a second")
    } else if rate < 3600.0 {
        format!("{:.0} min in a second", rate / 60.0)
    } else {
        format!("{:.0} h in a second", rate / 3600.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_grouped_and_never_minus_zero() {
        assert_eq!(grouped(62_100.0, 0), "62,100");
        assert_eq!(grouped(-0.001, 1), "0.0");
        assert_eq!(grouped(-1234.5, 1), "−1,234.5");
        assert_eq!(grouped(f64::NAN, 1), "–");
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
        assert_eq!(pace(36_000.0), "10 h in a second");
    }
}
