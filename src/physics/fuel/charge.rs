//! Filling a container and weighing it: moles from a fill level, mass from moles.

use super::species::{
    CONDENSABLE, SPECIES, Species, liquid_molar_volume_m3_per_mol, saturation_pressure_pa,
};
use super::vapour::compressibility;
use crate::physics::GAS_CONSTANT;

/// Heat capacity of liquid propane between -40 and 40 °C, J/(kg K) (published: 2.3 to 2.8e3 in
/// the reference equation of state; one value is within 10 %).
pub const LIQUID_CP_J_PER_KG_K: f64 = 2500.0;

/// Heat capacity of propane vapour near 15 °C and low pressure, J/(kg K) (published).
pub const VAPOUR_CP_J_PER_KG_K: f64 = 1630.0;

/// Moles of each species, liquid and vapour together, in a container of `volume_m3` filled to
/// the share `fill` with liquid of mole fractions `liquid` at `t_k`, with `air_pa` of air left in
/// the vapour space.
///
/// `fill` is held to 0 ... 1; air in `liquid` is ignored (it does not dissolve here). [`super::flash`] gives back
/// the same fill, liquid and pressure. Without any fuel in `liquid` the air fills the whole volume.
pub fn charge(
    volume_m3: f64,
    fill: f64,
    liquid: &[f64; SPECIES],
    t_k: f64,
    air_pa: f64,
) -> [f64; SPECIES] {
    let sum: f64 = liquid[..CONDENSABLE].iter().sum();
    let rt = GAS_CONSTANT * t_k;
    let mut moles = [0.0; SPECIES];
    if sum <= 0.0 {
        // No fuel: air fills the whole volume.
        moles[Species::Air.index()] = air_pa * volume_m3 / rt;
        return moles;
    }
    let mut molar_volume = 0.0;
    let mut condensable_pa = 0.0;
    let parts = Species::ALL.map(|s| {
        let i = s.index();
        if i >= CONDENSABLE {
            return (0.0, 0.0);
        }
        let x = liquid[i] / sum;
        let partial = x * saturation_pressure_pa(s, t_k);
        molar_volume += x * liquid_molar_volume_m3_per_mol(s, t_k);
        condensable_pa += partial;
        (x, partial)
    });
    let fill = fill.clamp(0.0, 1.0);
    let liquid_mol = fill * volume_m3 / molar_volume;
    // The same Z as the split's: only the condensable share is not ideal.
    let share = condensable_pa / (condensable_pa + air_pa);
    let z = compressibility(condensable_pa * share, t_k);
    let per_pa = (1.0 - fill) * volume_m3 / (z * rt);
    for (n, (x, partial)) in moles.iter_mut().zip(parts) {
        *n = x * liquid_mol + partial * per_pa;
    }
    moles[Species::Air.index()] = air_pa * per_pa;
    moles
}

/// Mass of a content, kg.
pub fn mass_kg(moles: &[f64; SPECIES]) -> f64 {
    Species::ALL
        .iter()
        .map(|s| moles[s.index()] * s.molar_mass_kg_per_mol())
        .sum()
}
