//! Filling a container and weighing it: moles from a fill level, mass from moles.

use super::flash::bubble;
use super::species::{CONDENSABLE, SPECIES, Species, liquid_molar_volume_m3_per_mol};
use super::vapour::compressibility;
use crate::physics::GAS_CONSTANT;

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
    let x = liquid.map(|share| share / sum);
    let molar_volume: f64 = Species::ALL
        .into_iter()
        .map(|s| x[s.index()] * liquid_molar_volume_m3_per_mol(s, t_k))
        .sum();
    let (condensable_pa, partial_pa) = bubble(liquid, t_k);
    let fill = fill.clamp(0.0, 1.0);
    let liquid_mol = fill * volume_m3 / molar_volume;
    // The same Z as the split's: only the condensable share is not ideal.
    let share = condensable_pa / (condensable_pa + air_pa);
    let z = compressibility(condensable_pa * share, t_k);
    let per_pa = (1.0 - fill) * volume_m3 / (z * rt);
    for i in 0..CONDENSABLE {
        moles[i] = x[i] * liquid_mol + partial_pa[i] * per_pa;
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
