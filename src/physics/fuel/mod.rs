//! The fuel: five species, their saturation, the split into liquid and vapour, the vapour that leaves.
//!
//! `species` holds data and fits, `balance` what two phases must meet, `flash` what a container holds then, `heat` what it takes to warm or boil them,
//! `vapour` the gas as the rest of the rig sees it. Not here: heat through a wall, flow.

mod balance;
mod charge;
mod cold;
mod flash;
mod heat;
mod species;
mod vapour;

pub use charge::{VAPOUR_CP_J_PER_KG_K, charge, mass_kg};
pub use cold::{COLD_K, fill_from_cold, fill_when_cold};
pub use flash::{Flash, bubble, flash, liquid_bulk_modulus_pa};
pub use species::{
    SPECIES, Species, ideal_gas_cp_j_per_mol_k, latent_heat_j_per_mol, liquid_enthalpy_j_per_mol,
    liquid_molar_volume_m3_per_mol, saturation_pressure_pa, saturation_temperature_k,
};
pub use vapour::{
    COMPRESSIBILITY_FLOOR, Vapour, compressibility, compressibility_at_density, viscosity_pa_s,
};
