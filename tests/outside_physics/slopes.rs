//! Laws that stand in another's slope, by difference quotients (derived: central differences), and laws of passing importance by
//! their formulas.

use twostage::physics::damping::gas_relaxation_s;
use twostage::physics::fuel::{
    Species, Vapour, compressibility, compressibility_at_density, flash, latent_heat_j_per_mol,
    liquid_enthalpy_j_per_mol, mass_kg,
};
use twostage::physics::passage::{Gas, Passage};

/// J/(mol K), exact by definition of the SI (published).
const GAS_CONSTANT: f64 = 8.314_462_618;

fn near(got: f64, wanted: f64, within: f64, what: &str) {
    assert!(
        (got / wanted - 1.0).abs() <= within,
        "{what}: {got}, not {wanted}"
    );
}

/// A warmer content holds as much more as its heat capacity says, be it vapour alone, wet, or of four fuels and air.
#[test]
fn heat_capacity_is_the_slope_of_inner_energy() {
    let volume_m3 = 0.02;
    for (moles, what) in [
        ([1.5, 0.0, 0.0, 0.0, 0.0], "dry propane"),
        ([12.0, 0.0, 0.0, 0.0, 0.0], "dense dry propane"),
        ([150.0, 0.0, 0.0, 0.0, 0.0], "wet propane"),
        ([2.0, 0.3, 0.4, 0.2, 0.5], "dry mixture"),
        ([90.0, 5.0, 40.0, 20.0, 1.0], "wet mixture"),
    ] {
        let kg = mass_kg(&moles);
        let held = |t_k: f64| flash(&moles, t_k, volume_m3).inner_energy_j(kg, volume_m3);
        for t_k in [263.0, 283.0, 310.0] {
            let step_k = 0.01;
            let slope = (held(t_k + step_k) - held(t_k - step_k)) / (2.0 * step_k);
            let capacity = flash(&moles, t_k, volume_m3).heat_capacity_j_per_k;
            near(capacity, slope, 2e-4, &format!("{what} at {t_k} K"));
        }
    }
}

/// Enthalpy of a liquid is nothing at 0 °C and rises as it says.
#[test]
fn enthalpy_of_a_liquid_rises_by_its_heat() {
    for species in [Species::Propane, Species::NButane, Species::Isobutane] {
        let at = |t_k: f64| liquid_enthalpy_j_per_mol(species, t_k);
        assert!(at(273.15).0.abs() < 1e-6, "{species:?}");
        for t_k in [200.0, 250.0, 300.0, 340.0] {
            let slope = (at(t_k + 0.01).0 - at(t_k - 0.01).0) / 0.02;
            near(at(t_k).1, slope, 1e-5, &format!("{species:?} at {t_k} K"));
        }
    }
}

/// Latent heat falls to nothing at the critical point as (1 - T/Tc)^0.38 (Watson 1943: published, good to some per cent).
#[test]
fn latent_heat_falls_as_watson_has_it() {
    // Critical temperatures (published).
    for (species, critical_k) in [
        (Species::Propane, 369.83),
        (Species::NButane, 425.12),
        (Species::Isobutane, 407.81),
    ] {
        let at = |t_k: f64| latent_heat_j_per_mol(species, t_k);
        for t_k in [190.0, 220.0, 300.0, 340.0] {
            let share: f64 = (1.0 - t_k / critical_k) / (1.0 - 260.0 / critical_k);
            let wanted = at(260.0) * share.powf(0.38);
            near(at(t_k), wanted, 0.025, &format!("{species:?} at {t_k} K"));
        }
    }
}

/// Compressibility at a density is that at the pressure which goes with it, p = Z rho R T, near saturation and past it.
#[test]
fn compressibility_is_the_same_at_a_pressure_and_its_density() {
    for t_k in [270.0, 300.0, 330.0] {
        for mol_per_m3 in [20.0, 200.0, 500.0, 800.0, 1200.0] {
            let z = compressibility_at_density(mol_per_m3, t_k);
            let pressure_pa = z * mol_per_m3 * GAS_CONSTANT * t_k;
            near(z, compressibility(pressure_pa, t_k), 1e-9, "Z");
        }
    }
}

/// Propane vapour at one atmosphere and 15 °C: M p/(R T), 1.86 kg/m³ without its compressibility.
#[test]
fn density_is_that_of_the_gas_law() {
    let of = |z: f64| Vapour::propane().density_kg_per_m3(101_325.0, 288.15, z);
    let ideal = 0.044_095_6 * 101_325.0 / (GAS_CONSTANT * 288.15);
    near(of(1.0), ideal, 1e-4, "ideal");
    near(of(0.98), ideal / 0.98, 1e-4, "real");
}

/// Air between walls 1 cm from its middle takes their warmth in L²/(3 gamma alpha), alpha of air at 20 °C 2.1e-5 m²/s (published):
/// 1.1 s, and a quarter of it at half the distance.
#[test]
fn air_between_walls_takes_their_warmth_by_the_square_of_their_distance() {
    let s = gas_relaxation_s(0.01);
    near(s, 1e-4 / (3.0 * 1.4 * 2.1e-5), 0.05, "1 cm");
    near(gas_relaxation_s(0.005), 0.25 * s, 1e-12, "half of it");
}

/// A bend in a pipe takes velocity heads as its ends do.
#[test]
fn heads_lost_beside_a_pipe_are_heads_lost_at_its_ends() {
    let up = Gas {
        pressure_pa: 5e5,
        density_kg_per_m3: 9.0,
        viscosity_pa_s: 0.0,
    };
    let bore_m = 6e-3;
    let area_m2 = std::f64::consts::FRAC_PI_4 * bore_m * bore_m;
    let of = |ends: f64| Passage::pipe(bore_m, 0.5, 0.03, ends, 1.13);
    for heads in [0.0, 1.0, 5.0] {
        let flow = of(1.5).with_loss(heads, area_m2).kg_per_s(&up, 4.99e5);
        near(flow, of(1.5 + heads).kg_per_s(&up, 4.99e5), 1e-9, "flow");
    }
}
