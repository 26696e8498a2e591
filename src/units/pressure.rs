//! Pressures that know their zero, and the plain converters of the two trade units.
//!
//! No text is read or written here.

use super::constants::{PA_PER_INWC, PA_PER_PSI};

/// A pressure over the ambient, Pa. A gauge on the regulator reads this.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Gauge(
    /// Pa over ambient.
    pub f64,
);

/// A pressure over vacuum, Pa. The gas laws want this.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Absolute(
    /// Pa over vacuum.
    pub f64,
);

impl Gauge {
    /// A gauge pressure from inches of water column.
    pub fn from_inwc(inwc: f64) -> Self {
        Self(inwc_to_pa(inwc))
    }

    /// A gauge pressure from psig.
    pub fn from_psig(psig: f64) -> Self {
        Self(psi_to_pa(psig))
    }

    /// In inches of water column.
    pub fn inwc(self) -> f64 {
        pa_to_inwc(self.0)
    }

    /// In psig.
    pub fn psig(self) -> f64 {
        pa_to_psi(self.0)
    }

    /// The absolute pressure, where `ambient` is what the gauge's other side feels.
    pub fn at(self, ambient: Absolute) -> Absolute {
        Absolute(self.0 + ambient.0)
    }
}

impl Absolute {
    /// What a gauge would read where the ambient pressure is `ambient`.
    pub fn over(self, ambient: Self) -> Gauge {
        Gauge(self.0 - ambient.0)
    }
}

/// Pa to inches of water column ([`PA_PER_INWC`]).
pub fn pa_to_inwc(pa: f64) -> f64 {
    pa / PA_PER_INWC
}

/// Inches of water column to Pa ([`PA_PER_INWC`]).
pub fn inwc_to_pa(inwc: f64) -> f64 {
    inwc * PA_PER_INWC
}

/// Pa to pounds-force per square inch ([`PA_PER_PSI`]).
pub fn pa_to_psi(pa: f64) -> f64 {
    pa / PA_PER_PSI
}

/// Pounds-force per square inch to Pa ([`PA_PER_PSI`]).
pub fn psi_to_pa(psi: f64) -> f64 {
    psi * PA_PER_PSI
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: standard atmosphere, 101 325 Pa = 14.6959 psi (published, ISO 2533).
    #[test]
    fn gauge_and_absolute_differ_by_the_ambient() {
        let ambient = Absolute(101_325.0);
        assert!((pa_to_psi(ambient.0) - 14.6959).abs() < 1e-4);
        let outlet = Gauge::from_inwc(11.0);
        assert_eq!(outlet.at(ambient), Absolute(101_325.0 + outlet.0));
        assert!((outlet.at(ambient).over(ambient).inwc() - 11.0).abs() < 1e-9);
        // Climbing lowers the ambient; the same absolute pressure reads higher.
        assert!(outlet.at(ambient).over(Absolute(95_000.0)) > outlet);
    }

    /// Source: 11 in w.c. = 2.74 kPa = 0.4 psi (practice, trade tables).
    #[test]
    fn the_trade_pair_agrees() {
        assert!((Gauge::from_inwc(11.0).0 - 2740.0).abs() < 1.0);
        assert!((Gauge::from_inwc(11.0).psig() - 0.4).abs() < 0.005);
        assert!((pa_to_inwc(psi_to_pa(1.0)) - 27.680).abs() < 1e-3);
    }
}
