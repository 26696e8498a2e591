//! Whether the regulator was given too little to work with when its outlet was read: what it then loses says nothing of the regulator
//! itself. It follows from the readings alone, whatever cause is thought of.

use crate::physics::air::atmosphere_pa;
use crate::service::{FULL_SHARE, LIMITS, propane_gives_pa};
use crate::visit::{Id, Values};
use serde::Serialize;

/// What the regulator had before it, and why it is too little.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Starved {
    /// Which reading.
    pub at: Id,
    /// How much it was \[Pa\].
    pub pa: f64,
    /// Where it is lost.
    pub by: Taker,
}

/// Where a supply is lost.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Taker {
    /// The container gives no more. Beside it what propane gives at the temperature of the air \[Pa\], where that was read and is
    /// a good deal more.
    Container(Option<f64>),
    /// Between the container, which has so much \[Pa\], and the regulator.
    Between(f64),
    /// One of the two: the container was not read.
    Unknown,
}

impl Starved {
    /// Of some readings, where an outlet under load is too low and what stands before the regulator is too little for it.
    pub(super) fn of(values: &Values) -> Option<Self> {
        let read = |id: Id| values[id.index()];
        let lowest = |ids: &[Id]| {
            let read = ids.iter().filter_map(|id| Some((*id, read(*id)?)));
            read.min_by(|a, b| a.1.total_cmp(&b.1))
        };
        let (_, outlet_pa) = lowest(&[Id::HalfOutlet, Id::FullOutlet, Id::LongOutlet])?;
        if outlet_pa >= LIMITS.flow.low {
            return None;
        }
        let too_little = |one: &(Id, f64)| LIMITS.inlet_least.is_missed_by(one.1);
        if let Some((at, pa)) = lowest(&[Id::Container, Id::LongContainer]).filter(too_little) {
            let by =
                Taker::Container(propane_would_give(values).filter(|full| pa < FULL_SHARE * full));
            return Some(Self { at, pa, by });
        }
        let (at, pa) = lowest(&[Id::HalfInlet, Id::FullInlet]).filter(too_little)?;
        let by = match read(Id::Container) {
            Some(container) if LIMITS.inlet_fall.is_passed_by(container - pa) => {
                Taker::Between(container)
            }
            _ => Taker::Unknown,
        };
        Some(Self { at, pa, by })
    }
}

/// Outlets and manifolds under load.
const UNDER_LOAD: [Id; 9] = [
    Id::HalfOutlet,
    Id::HalfManifold,
    Id::FullOutlet,
    Id::FullManifold,
    Id::LongOutlet,
    Id::AboveOutlet,
    Id::AboveTapped,
    Id::WarmFull,
    Id::PilotsOutlet,
];

/// What is not known of a regulator's readings that was given too little: it dies away with what comes, and no two visits read it at the
/// same moment of that. So what it has lost from its flow pressure is known by half \[Pa\], as all that is worked out.
pub(super) fn left_open(values: &Values) -> Vec<(Id, f64)> {
    if Starved::of(values).is_none() {
        return Vec::new();
    }
    let usual_pa = 0.5 * (LIMITS.flow.low + LIMITS.flow.high);
    let lost = |id: Id| {
        let pa = values[id.index()].filter(|pa| *pa < LIMITS.flow.low)?;
        Some((id, 0.5 * (usual_pa - pa)))
    };
    UNDER_LOAD.into_iter().filter_map(lost).collect()
}

/// What propane gives at the temperature of the air that was read \[Pa, gauge\].
fn propane_would_give(values: &Values) -> Option<f64> {
    let air_k = values[Id::Air.index()]?;
    let elevation_m = values[Id::Elevation.index()].unwrap_or(0.0);
    Some(propane_gives_pa(air_k, atmosphere_pa(elevation_m)))
}

/// Whether the container gives a good deal less than propane does in the air that was read, and what that would be \[Pa\]: chilled by what
/// was drawn, nearly empty, or another fuel.
pub(super) fn weak_container(values: &Values) -> Option<f64> {
    let pa = values[Id::Container.index()]?;
    propane_would_give(values).filter(|full| pa < FULL_SHARE * full)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{inwc_to_pa, psi_to_pa};

    fn of(read: &[(Id, f64)]) -> Option<Starved> {
        let mut values: Values = [None; crate::visit::ITEMS];
        for (id, value) in read {
            values[id.index()] = Some(*value);
        }
        Starved::of(&values)
    }

    /// A container at 12 psi in air of 10 °F, where propane gives some 31 (published: its vapour pressure), and an outlet that falls.
    #[test]
    fn a_container_that_gives_too_little_is_told() {
        let (low, cold_k) = (inwc_to_pa(9.8), 260.93);
        let weak = (Id::Container, psi_to_pa(12.0));
        let Some(Starved {
            by: Taker::Container(Some(full)),
            ..
        }) = of(&[(Id::Air, cold_k), weak, (Id::HalfOutlet, low)])
        else {
            panic!("it is the container");
        };
        assert!((full / psi_to_pa(1.0) - 31.0).abs() < 2.0, "{full}");
        let told = of(&[weak, (Id::HalfOutlet, low)]).map(|s| s.by);
        assert_eq!(told, Some(Taker::Container(None)), "no air was read");
        // An outlet that holds is not starved, and a container with enough starves none.
        assert_eq!(of(&[weak, (Id::HalfOutlet, inwc_to_pa(10.5))]), None);
        let enough = (Id::LongContainer, psi_to_pa(15.0));
        assert_eq!(of(&[enough, (Id::LongOutlet, low)]), None);
        // Near what the air gives it is just cold.
        let very_cold_k = 245.0;
        let near = of(&[(Id::Air, very_cold_k), weak, (Id::FullOutlet, low)]);
        assert_eq!(near.map(|s| s.by), Some(Taker::Container(None)));
    }

    /// An inlet that falls while the container stays full is lost between them; without the container it is either.
    #[test]
    fn what_is_lost_before_the_regulator_is_told() {
        let (low, inlet) = (
            (Id::FullOutlet, inwc_to_pa(6.0)),
            (Id::FullInlet, psi_to_pa(5.0)),
        );
        let full = psi_to_pa(110.0);
        let between = of(&[(Id::Container, full), inlet, low]);
        assert_eq!(between.map(|s| s.by), Some(Taker::Between(full)));
        assert_eq!(
            of(&[inlet, low]).map(|s| (s.at, s.by)),
            Some((Id::FullInlet, Taker::Unknown))
        );
        assert_eq!(of(&[(Id::FullInlet, psi_to_pa(15.0)), low]), None);
    }
}
