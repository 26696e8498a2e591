//! Instruments as they are in the hand: a water manometer that bounces, dial gauges with range,
//! division, bias and lag, a thermometer.
//!
//! An instrument is told the true value and the time that has passed, and shows what a person
//! would read. The steps are exact for a value that stays over the step.

use crate::units::{System, fixed, inwc_to_pa, psi_to_pa};
use serde::{Deserialize, Serialize};

/// What an instrument shows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Shown {
    /// A value, SI.
    Value(f64),
    /// Over its range (the water blown out, the pointer on its pin).
    OverRange,
}

impl Shown {
    /// The value, if there is one.
    pub fn value(self) -> Option<f64> {
        match self {
            Self::Value(v) => Some(v),
            Self::OverRange => None,
        }
    }
}

/// To the nearest division; an instrument without divisions shows the value itself.
fn rounded(value: f64, division: f64) -> f64 {
    if division > 0.0 {
        (value / division).round() * division
    } else {
        value
    }
}

/// A U-tube with water: z'' = w² (p - z) - 2 d w z', w = sqrt(2 g/L) (derived: a column of length L
/// swinging between two open legs; d the damping of the wall, practice).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Manometer {
    /// Highest reading before water is blown out \[Pa\].
    pub range_pa: f64,
    /// Smallest difference read at the meniscus \[Pa\].
    pub division_pa: f64,
    /// Length of the water column \[m\].
    pub column_m: f64,
    /// Damping ratio.
    pub damping: f64,
    level_pa: f64,
    rate_pa_per_s: f64,
    blown_out: bool,
    /// Whether its water went on a swing, under a pressure that the tube holds.
    swung_over: bool,
    /// When its water went in the run that is on show \[s\], and whether on a swing.
    #[serde(skip)]
    went: Option<(f64, bool)>,
}

impl Default for Manometer {
    fn default() -> Self {
        Self {
            range_pa: inwc_to_pa(16.0),
            division_pa: inwc_to_pa(0.1),
            column_m: 0.8,
            damping: 0.12,
            level_pa: 0.0,
            rate_pa_per_s: 0.0,
            blown_out: false,
            swung_over: false,
            went: None,
        }
    }
}

impl Manometer {
    /// Frequency of the bounce \[Hz\].
    pub fn bounce_hz(&self) -> f64 {
        self.omega() / std::f64::consts::TAU
    }

    fn omega(&self) -> f64 {
        (2.0 * crate::physics::GRAVITY_M_PER_S2 / self.column_m).sqrt()
    }

    /// Lets `dt_s` pass with `pressure_pa` on the tube.
    pub fn step(&mut self, dt_s: f64, pressure_pa: f64) {
        let w = self.omega();
        let d = self.damping.clamp(0.01, 0.99);
        let (a, wd) = (d * w, w * (1.0 - d * d).sqrt());
        let y0 = self.level_pa - pressure_pa;
        let v0 = self.rate_pa_per_s;
        let fade = (-a * dt_s).exp();
        let (sin, cos) = (wd * dt_s).sin_cos();
        let c = (v0 + a * y0) / wd;
        let y = fade * (y0 * cos + c * sin);
        self.rate_pa_per_s = fade * ((c * wd - a * y0) * cos - (y0 * wd + a * c) * sin);
        self.level_pa = pressure_pa + y;
        if !self.blown_out && self.level_pa > self.range_pa {
            self.blown_out = true;
            self.swung_over = pressure_pa <= self.range_pa;
        }
    }

    /// Whether its water is gone because it swung over, and not because the pressure was more than the tube holds.
    pub fn swung_over(&self) -> bool {
        self.blown_out && self.swung_over
    }

    /// Fills it again with water after it was blown out.
    pub fn refill(&mut self) {
        (self.blown_out, self.went) = (false, None);
    }

    /// Stands at another moment of a run: without its water from when that went on, with it before, and why it went is as it
    /// was then.
    pub fn stand_at(&mut self, time_s: f64) {
        let went = self.went.filter(|(at_s, _)| *at_s <= time_s);
        self.blown_out = went.is_some();
        self.swung_over = went.is_some_and(|(_, swung)| swung);
    }

    /// Notes when and why its water goes, at the end of a run; one that has come past that time with the water in has another
    /// past.
    pub fn note(&mut self, time_s: f64) {
        if self.blown_out {
            self.went = self.went.or(Some((time_s, self.swung_over)));
        } else {
            self.went = None;
        }
    }

    /// Where the water stands, as pressure \[Pa\]; bounces.
    pub fn level_pa(&self) -> f64 {
        self.level_pa
    }

    /// What is read at the meniscus.
    pub fn shown(&self) -> Shown {
        if self.blown_out {
            Shown::OverRange
        } else {
            Shown::Value(rounded(self.level_pa, self.division_pa))
        }
    }

    /// What is read when it has come to rest at a pressure.
    pub fn at_rest(&self, pressure_pa: f64) -> Shown {
        if pressure_pa > self.range_pa {
            Shown::OverRange
        } else {
            Shown::Value(rounded(pressure_pa, self.division_pa))
        }
    }
}

/// A dial gauge: first-order lag, a bias of its own, a pin at the end of its range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DialGauge {
    /// Full scale \[Pa\].
    pub range_pa: f64,
    /// Smallest difference read on the dial \[Pa\].
    pub division_pa: f64,
    /// Error at zero, carried over the scale \[Pa\].
    pub bias_pa: f64,
    /// Time constant of the pointer \[s\].
    pub lag_s: f64,
    pointer_pa: f64,
}

impl DialGauge {
    /// A gauge of a range and division, without bias.
    pub fn new(range_pa: f64, division_pa: f64) -> Self {
        Self {
            range_pa,
            division_pa,
            bias_pa: 0.0,
            lag_s: 0.2,
            pointer_pa: 0.0,
        }
    }

    /// Lets `dt_s` pass with `pressure_pa` on the gauge.
    pub fn step(&mut self, dt_s: f64, pressure_pa: f64) {
        let share = -(-dt_s / self.lag_s).exp_m1();
        self.pointer_pa += (pressure_pa - self.pointer_pa) * share;
    }

    /// Where the pointer stands \[Pa\], between its pins.
    pub fn pointer_pa(&self) -> f64 {
        (self.pointer_pa + self.bias_pa).clamp(0.0, self.range_pa)
    }

    /// What the pointer shows.
    pub fn shown(&self) -> Shown {
        self.at_rest(self.pointer_pa)
    }

    /// What it shows when the pointer has come to rest at a pressure.
    pub fn at_rest(&self, pressure_pa: f64) -> Shown {
        let value = pressure_pa + self.bias_pa;
        if value > self.range_pa {
            Shown::OverRange
        } else {
            Shown::Value(rounded(value.max(0.0), self.division_pa))
        }
    }
}

/// A digital manometer: a quick sensor, and numbers to its resolution that are shown anew a few times a second. Too much
/// pressure does it no harm; it tells that it is over its range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DigitalManometer {
    /// Highest reading \[Pa\].
    pub range_pa: f64,
    /// Last place of its numbers \[Pa\].
    pub resolution_pa: f64,
    /// Time constant of its sensor \[s\].
    pub lag_s: f64,
    /// Its numbers change so often \[s\].
    pub renews_s: f64,
    sensor_pa: f64,
    held_pa: f64,
    held_s: f64,
}

impl Default for DigitalManometer {
    /// 28 in w.c. to a hundredth, twice a second (memory: what the trade carries for gas pressure reads to 0.01 in w.c.
    /// and up to between one and two psi).
    fn default() -> Self {
        Self {
            range_pa: inwc_to_pa(28.0),
            resolution_pa: inwc_to_pa(0.01),
            lag_s: 0.1,
            renews_s: 0.5,
            sensor_pa: 0.0,
            held_pa: 0.0,
            held_s: 0.0,
        }
    }
}

impl DigitalManometer {
    /// Lets `dt_s` pass with `pressure_pa` on it.
    pub fn step(&mut self, dt_s: f64, pressure_pa: f64) {
        let share = -(-dt_s / self.lag_s).exp_m1();
        self.sensor_pa += (pressure_pa - self.sensor_pa) * share;
        self.held_s += dt_s;
        if self.held_s >= self.renews_s {
            (self.held_pa, self.held_s) = (self.sensor_pa, 0.0);
        }
    }

    /// The pressure its numbers are of \[Pa\].
    pub fn held_pa(&self) -> f64 {
        self.held_pa
    }

    /// What it shows.
    pub fn shown(&self) -> Shown {
        if self.held_pa > self.range_pa {
            Shown::OverRange
        } else {
            Shown::Value(rounded(self.held_pa, self.resolution_pa))
        }
    }
}

/// A thermometer on a wall or in the air: first-order lag, a bias of its own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Thermometer {
    /// Smallest difference read \[K\].
    pub division_k: f64,
    /// Error \[K\].
    pub bias_k: f64,
    /// Time constant of its tip \[s\].
    pub lag_s: f64,
    tip_k: Option<f64>,
}

impl Default for Thermometer {
    fn default() -> Self {
        Self {
            division_k: 0.1,
            bias_k: 0.0,
            lag_s: 8.0,
            tip_k: None,
        }
    }
}

impl Thermometer {
    /// Lets `dt_s` pass at a place of a temperature \[K\]; one just taken up is as warm as the air.
    pub fn step(&mut self, dt_s: f64, temperature_k: f64, air_k: f64) {
        let tip_k = self.tip_k.unwrap_or(air_k);
        let share = -(-dt_s / self.lag_s).exp_m1();
        self.tip_k = Some(tip_k + (temperature_k - tip_k) * share);
    }

    /// What it shows \[K\]; nothing before it was put anywhere.
    pub fn shown_k(&self) -> Option<f64> {
        self.tip_k.map(|k| self.at_rest(k))
    }

    /// What it shows when it has come to a temperature \[K\].
    pub fn at_rest(&self, temperature_k: f64) -> f64 {
        rounded(temperature_k - 273.15 + self.bias_k, self.division_k) + 273.15
    }
}

/// A temperature \[K\] to a tenth of a degree, as a thermometer is read.
pub fn temperature_text(kelvin: f64, system: System) -> String {
    match system {
        System::Us => fixed((kelvin - 273.15) * 1.8 + 32.0, 1) + " °F",
        System::Si => fixed(kelvin - 273.15, 1) + " °C",
    }
}

/// What a technician carries.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Kit {
    /// Water manometer for the low side.
    pub manometer: Manometer,
    /// Digital one for the same, taken where it is asked for.
    pub digital: DigitalManometer,
    /// Gauges from fine to coarse: 0 to 35 in w.c., 0 to 5, 15, 30 and 300 psi.
    pub gauges: [DialGauge; 5],
    /// Thermometer.
    pub thermometer: Thermometer,
}

impl Default for Kit {
    fn default() -> Self {
        Self {
            manometer: Manometer::default(),
            digital: DigitalManometer::default(),
            gauges: [
                DialGauge::new(inwc_to_pa(35.0), inwc_to_pa(0.5)),
                DialGauge::new(psi_to_pa(5.0), psi_to_pa(0.1)),
                DialGauge::new(psi_to_pa(15.0), psi_to_pa(0.1)),
                DialGauge::new(psi_to_pa(30.0), psi_to_pa(0.5)),
                DialGauge::new(psi_to_pa(300.0), psi_to_pa(2.0)),
            ],
            thermometer: Thermometer::default(),
        }
    }
}

impl Kit {
    /// Instruments without range, division or bias, for what is worked out and not read.
    pub fn exact() -> Self {
        let mut kit = Self::default();
        (kit.manometer.range_pa, kit.manometer.division_pa) = (f64::MAX, 0.0);
        kit.thermometer.division_k = 0.0;
        for gauge in &mut kit.gauges {
            (gauge.range_pa, gauge.division_pa) = (f64::MAX, 0.0);
        }
        kit
    }

    /// Division of the instrument that shows a pressure \[Pa\], on the low side the water column's where it reaches.
    pub fn division_pa(&self, low_side: bool, shown_pa: f64) -> f64 {
        if low_side && shown_pa <= self.manometer.range_pa {
            return self.manometer.division_pa;
        }
        let coarsest = &self.gauges[self.gauges.len() - 1];
        let fits = self.gauges.iter().find(|g| shown_pa <= g.range_pa);
        fits.unwrap_or(coarsest).division_pa
    }

    /// A steady low-side pressure \[Pa\] on the finest instrument whose range holds it.
    pub fn low_side(&self, pressure_pa: f64) -> f64 {
        self.manometer
            .at_rest(pressure_pa)
            .value()
            .unwrap_or_else(|| self.high_side(pressure_pa))
    }

    /// A steady pressure \[Pa\] on the finest dial whose range holds it; the end of the coarsest
    /// dial if none does.
    pub fn high_side(&self, pressure_pa: f64) -> f64 {
        let fitting = self
            .gauges
            .iter()
            .find_map(|g| g.at_rest(pressure_pa).value());
        fitting.unwrap_or(self.gauges[self.gauges.len() - 1].range_pa)
    }
}
