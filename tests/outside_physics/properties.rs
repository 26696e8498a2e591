//! What must hold for any numbers: conservation, sign, order, smoothness, finiteness.

use proptest::prelude::*;
use twostage::physics::contact::{positive_part, positive_part_slope, smooth_clamp, smoothstep};
use twostage::physics::flow::{
    Upstream, circle_area_m2, nozzle_kg_per_s, orifice_kg_per_s, psi, restriction_kg_per_s,
};
use twostage::physics::fuel::{
    COMPRESSIBILITY_FLOOR, SPECIES, Species, Vapour, bubble, charge, compressibility, flash,
    latent_heat_j_per_mol, liquid_molar_volume_m3_per_mol, saturation_pressure_pa,
    saturation_temperature_k,
};
use twostage::physics::heat::{Shape, joule_thomson_k_per_pa, throttle_chill_k};
use twostage::physics::{GAS_CONSTANT, air};

fn species() -> impl Strategy<Value = Species> {
    prop::sample::select(vec![
        Species::Propane,
        Species::Ethane,
        Species::NButane,
        Species::Isobutane,
    ])
}

/// Moles of a mixture in a 20-lb cylinder, from nearly nothing to overfull.
fn moles() -> impl Strategy<Value = [f64; SPECIES]> {
    (
        0.01..1.1_f64,
        [0.0..1.0_f64, 0.0..0.2_f64, 0.0..1.0_f64, 0.0..1.0_f64],
        prop_oneof![Just(0.0), 0.0..2.0_f64],
    )
        .prop_filter("something that condenses", |(_, s, _)| {
            s.iter().sum::<f64>() > 1e-3
        })
        .prop_map(|(fill, s, air)| {
            let total = 220.0 * fill / s.iter().sum::<f64>();
            [s[0] * total, s[1] * total, s[2] * total, s[3] * total, air]
        })
}

const VOLUME_M3: f64 = 21.6e-3;

fn gas(pressure_pa: f64) -> Upstream {
    Upstream {
        pressure_pa,
        temperature_k: 288.15,
        gas_constant: 188.555,
        z: 1.0,
        gamma: 1.13,
    }
}

proptest! {
    #[test]
    fn saturation_rises_and_its_inverse_is_exact(s in species(), t_k in 150.0..419.0_f64) {
        let p = saturation_pressure_pa(s, t_k);
        prop_assert!(p.is_finite() && p > 0.0);
        prop_assert!(saturation_pressure_pa(s, t_k + 1.0) > p);
        prop_assert!((saturation_temperature_k(s, p) - t_k).abs() < 1e-9);
    }

    #[test]
    fn liquid_properties_are_sane(s in species(), t_k in 150.0..419.0_f64) {
        let volume = liquid_molar_volume_m3_per_mol(s, t_k);
        prop_assert!(volume > 4e-5 && volume < 3e-4, "{volume}");
        prop_assert!(liquid_molar_volume_m3_per_mol(s, t_k + 1.0) >= volume);
        let latent = latent_heat_j_per_mol(s, t_k);
        prop_assert!(latent > 1e3 && latent < 4e4, "{latent}");
        prop_assert!(latent_heat_j_per_mol(s, t_k + 1.0) <= latent);
    }

    #[test]
    fn compressibility_falls_from_one_to_its_floor(p_pa in 0.0..5e7_f64, t_k in 150.0..420.0_f64) {
        let z = compressibility(p_pa, t_k);
        prop_assert!((COMPRESSIBILITY_FLOOR - 1e-12..=1.0).contains(&z), "{z}");
        prop_assert!(compressibility(1.01 * p_pa, t_k) <= z);
        prop_assert_eq!(compressibility(0.0, t_k), 1.0);
        // Pressure rises with density at fixed temperature: p/Z does.
        prop_assert!(1.01 * p_pa / compressibility(1.01 * p_pa, t_k) >= p_pa / z);
    }

    #[test]
    fn the_split_conserves_every_species_and_fills_the_volume(n in moles(), t_k in 200.0..360.0_f64) {
        let split = flash(&n, t_k, VOLUME_M3);
        let total: f64 = n.iter().sum();
        let vapour_mol = total - split.liquid_mol;
        for s in Species::ALL {
            let i = s.index();
            let found = split.liquid_mol * split.liquid_fractions[i]
                + vapour_mol * split.vapour_fractions[i];
            prop_assert!((found - n[i]).abs() < 1e-10 * total, "{s:?}: {found} {}", n[i]);
        }
        prop_assert!((split.liquid_fractions.iter().sum::<f64>() - 1.0).abs() < 1e-11);
        prop_assert!((split.vapour_fractions.iter().sum::<f64>() - 1.0).abs() < 1e-11);
        prop_assert!(split.pressure_pa.is_finite() && split.pressure_pa > 0.0);
        prop_assert!((0.6..=1.0).contains(&split.z));
        if split.liquid_fill < 0.99 {
            let vapour_m3 = vapour_mol * split.z * GAS_CONSTANT * t_k / split.pressure_pa;
            let filled = vapour_m3 + split.liquid_volume_m3;
            prop_assert!((filled / VOLUME_M3 - 1.0).abs() < 1e-10, "{filled}");
        }
    }

    #[test]
    fn vapour_is_in_equilibrium_with_the_liquid(n in moles(), t_k in 200.0..360.0_f64) {
        let split = flash(&n, t_k, VOLUME_M3);
        if split.liquid_mol > 0.0 && split.liquid_fill < 0.98 {
            let (_, partial_pa) = bubble(&split.liquid_fractions, t_k);
            for s in Species::ALL.into_iter().take(4) {
                let got = split.vapour_fractions[s.index()] * split.pressure_pa;
                let partial = partial_pa[s.index()];
                prop_assert!((got - partial).abs() < 1e-10 * split.pressure_pa);
            }
        }
    }

    #[test]
    fn the_split_is_deterministic_and_smooth_enough_to_difference(
        n in moles(),
        t_k in 200.0..360.0_f64,
    ) {
        let at = |t: f64| flash(&n, t, VOLUME_M3).pressure_pa;
        prop_assert_eq!(at(t_k).to_bits(), at(t_k).to_bits());
        // Second difference over 1e-5 K: curvature gives 1e-12 at most, so this is the noise of
        // the solution (not in the liquid-full corner, where a Pa is 1e-9 of the volume).
        let h = 1e-5;
        let (low, middle, high) = (at(t_k - h), at(t_k), at(t_k + h));
        if flash(&n, t_k, VOLUME_M3).liquid_fill < 0.98 {
            let first = (high - low).abs() / middle;
            let noise = (high - 2.0 * middle + low).abs() / middle;
            // A kink at dry-out shows as a second difference of the size of the first.
            prop_assert!(noise < 2e-12 || noise <= 1.1 * first, "{noise} {first}");
            prop_assert!(first < 1e-5);
        }
    }

    #[test]
    fn pressure_rises_with_temperature_and_with_propane(fill in 0.001..1.15_f64, t_k in 200.0..360.0_f64) {
        let n = 220.0 * fill;
        let at = |n: f64, t: f64| flash(&[n, 0.0, 0.0, 0.0, 0.0], t, VOLUME_M3).pressure_pa;
        prop_assert!(at(n, t_k + 0.1) > at(n, t_k));
        prop_assert!(at(n * 1.001, t_k) >= at(n, t_k) * (1.0 - 1e-12));
    }

    #[test]
    fn drying_out_is_continuous(shares in [0.1..1.0_f64, 0.0..0.1_f64, 0.0..1.0_f64, 0.0..1.0_f64], t_k in 220.0..340.0_f64) {
        let scaled = |total: f64| {
            flash(
                &[shares[0] * total, shares[1] * total, shares[2] * total, shares[3] * total, 0.0],
                t_k,
                VOLUME_M3,
            )
        };
        let (mut dry, mut wet) = (1e-4, 200.0);
        for _ in 0..60 {
            let middle = 0.5 * (dry + wet);
            if scaled(middle).liquid_mol > 0.0 { wet = middle } else { dry = middle }
        }
        let (below, above) = (scaled(dry), scaled(wet));
        prop_assert!((above.pressure_pa / below.pressure_pa - 1.0).abs() < 1e-10);
        prop_assert!((above.z - below.z).abs() < 1e-9);
        for i in 0..SPECIES {
            prop_assert!((above.vapour_fractions[i] - below.vapour_fractions[i]).abs() < 1e-9);
            prop_assert!((above.liquid_fractions[i] - below.liquid_fractions[i]).abs() < 1e-9);
        }
        prop_assert!((above.heat_capacity_j_per_k / below.heat_capacity_j_per_k - 1.0).abs() < 1e-6);
        prop_assert!((above.vapour_draw_j_per_kg / below.vapour_draw_j_per_kg - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_charged_container_splits_as_it_was_charged(
        shares in [0.1..1.0_f64, 0.0..0.1_f64, 0.0..1.0_f64, 0.0..1.0_f64],
        fill in 0.02..0.95_f64,
        air_pa in prop_oneof![Just(0.0), 0.0..2e5_f64],
        t_k in 230.0..330.0_f64,
    ) {
        let sum: f64 = shares.iter().sum();
        let liquid = [shares[0], shares[1], shares[2], shares[3], 0.0];
        let split = flash(&charge(VOLUME_M3, fill, &liquid, t_k, air_pa), t_k, VOLUME_M3);
        prop_assert!((split.liquid_fill - fill).abs() < 1e-9);
        let pressure = air_pa + bubble(&liquid, t_k).0;
        for s in Species::ALL.into_iter().take(4) {
            let share = liquid[s.index()] / sum;
            prop_assert!((split.liquid_fractions[s.index()] - share).abs() < 1e-9);
        }
        prop_assert!((split.pressure_pa / pressure - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_nozzle_flows_downhill_and_never_more_than_isentropic(
        up_pa in 1e3..2e6_f64,
        down_pa in 1e3..2e6_f64,
        area in 0.0..1e-4_f64,
        alpha in 0.0..1e-4_f64,
    ) {
        let w = nozzle_kg_per_s(area, 0.8, &gas(up_pa), down_pa, alpha);
        prop_assert!(w.is_finite());
        prop_assert!(w * (up_pa - down_pa) >= 0.0);
        // Turned round it is the same number with the other sign.
        prop_assert_eq!(nozzle_kg_per_s(area, 0.8, &gas(down_pa), up_pa, alpha), -w);
        let plain = nozzle_kg_per_s(area, 0.8, &gas(up_pa), down_pa, 0.0);
        prop_assert!(w.abs() <= plain.abs());
        prop_assert!(w.abs() >= plain.abs() - alpha * (1.0 + 1e-9));
        prop_assert!(nozzle_kg_per_s(area, 0.8, &gas(up_pa), down_pa * 0.99, alpha) >= w);
        prop_assert_eq!(nozzle_kg_per_s(0.0, 0.8, &gas(up_pa), down_pa, alpha), 0.0);
    }

    #[test]
    fn a_nozzle_is_linear_through_zero(dp in 1e-6..5e-5_f64) {
        let at = |d: f64| nozzle_kg_per_s(1e-5, 0.8, &gas(104_000.0 + d), 104_000.0, 1e-6);
        prop_assert!((at(2.0 * dp) / at(dp) - 2.0).abs() < 0.01, "{}", at(2.0 * dp) / at(dp));
        prop_assert_eq!(at(0.0), 0.0);
    }

    #[test]
    fn outflow_function_is_monotone_and_continuous(r in 0.0..1.0_f64, g in 1.05..1.6_f64) {
        prop_assert!(psi(r, g) >= psi(r + 1e-3, g));
        prop_assert!((psi(r * 0.99, g) - psi(r * 0.99 + 1e-9, g)).abs() < 1e-6);
    }

    #[test]
    fn a_restriction_solves_its_own_equation(
        dp in -1e5..1e5_f64,
        a in prop_oneof![Just(0.0), 1.0..1e9_f64],
        b in 1e3..1e14_f64,
    ) {
        let w = restriction_kg_per_s(dp, a, b);
        let back = a * w + b * w * w.abs();
        prop_assert!((back - dp).abs() <= 1e-12 * dp.abs());
        prop_assert_eq!(restriction_kg_per_s(-dp, a, b), -w);
    }

    #[test]
    fn an_orifice_is_odd_grows_with_area_and_shuts(
        dp in -2e4..2e4_f64,
        area in 0.0..1e-4_f64,
        length in 0.0..5e-3_f64,
    ) {
        let at = |dp: f64, area: f64| orifice_kg_per_s(dp, area, 0.8, 1.86, 7.9e-6, length);
        prop_assert_eq!(at(-dp, area), -at(dp, area));
        prop_assert!(at(dp.abs(), area * 1.01 + 1e-15) > at(dp.abs(), area) || dp == 0.0);
        prop_assert_eq!(at(dp, 0.0), 0.0);
        prop_assert_eq!(at(0.0, area), 0.0);
        let bernoulli = 0.8 * area * (2.0 * 1.86 * dp.abs()).sqrt();
        prop_assert!(at(dp, area).abs() <= bernoulli);
    }

    #[test]
    fn smooth_parts_reach_their_ends_exactly(x in -5.0..5.0_f64, half in 0.0..2.0_f64) {
        let y = positive_part(x, half);
        prop_assert!(y >= x.max(0.0) && y <= x.max(0.0) + half / 4.0 + 1e-15);
        if x <= -half { prop_assert_eq!(y, 0.0); }
        if x >= half { prop_assert_eq!(y, x.max(0.0)); }
        let slope = (positive_part(x + 1e-6, half) - y) / 1e-6;
        if half > 1e-3 {
            prop_assert!((slope - positive_part_slope(x, half)).abs() < 1e-6 / half);
        }
        let step = smoothstep(x, -1.0, 2.0);
        prop_assert!((0.0..=1.0).contains(&step));
        let held = smooth_clamp(x, -2.0, 3.0, 0.5);
        prop_assert!((-2.0..=3.0).contains(&held));
    }

    #[test]
    fn wetted_area_rises_to_the_whole_wall(share in 0.0..0.999_f64, diameter in 0.2..0.8_f64) {
        for shape in [
            Shape::upright_of_volume(diameter, 0.05),
            Shape::Horizontal {
                diameter_m: diameter,
                length_m: 0.05 / circle_area_m2(diameter),
            },
        ] {
            let area = |s: f64| shape.wetted_area_m2(s * shape.volume_m3());
            prop_assert!((shape.volume_m3() - 0.05).abs() < 1e-12);
            prop_assert!(area(share) >= 0.0);
            prop_assert!(area(share + 0.001) > area(share));
            prop_assert_eq!(area(0.0), 0.0);
            prop_assert!(area(share + 1e-9) - area(share) < 1e-5);
            prop_assert!(area(1.5) == area(1.0));
        }
    }

    #[test]
    fn throttling_always_chills_a_little(t_k in 150.0..420.0_f64, up in 0.0..3e6_f64, down in 0.0..3e6_f64) {
        prop_assert!(joule_thomson_k_per_pa(up, t_k) > 0.0);
        let chill = throttle_chill_k(up, t_k, down);
        prop_assert!(chill.is_finite() && chill >= 0.0);
        prop_assert!(up > down || chill == 0.0);
    }

    #[test]
    fn air_thins_with_height(elevation in -400.0..5000.0_f64) {
        prop_assert!(air::atmosphere_pa(elevation + 1.0) < air::atmosphere_pa(elevation));
    }
}

#[test]
fn odd_containers_have_an_answer() {
    // Nothing at all, air only, negative traces of a solver, one drop, cold and hot ends.
    let empty = flash(&[0.0; SPECIES], 288.0, VOLUME_M3);
    assert_eq!(empty.pressure_pa, 0.0);
    assert_eq!(empty.vapour_fractions[0], 1.0);
    let air = flash(&[0.0, 0.0, 0.0, 0.0, 0.9], 288.0, VOLUME_M3);
    assert!((air.pressure_pa - 0.9 * GAS_CONSTANT * 288.0 / VOLUME_M3).abs() < 1e-6);
    assert_eq!(air.vapour_fractions[4], 1.0);
    let trace = flash(&[100.0, -1e-9, 1e-30, 0.0, -1e-9], 288.0, VOLUME_M3);
    let plain = flash(&[100.0, 0.0, 0.0, 0.0, 0.0], 288.0, VOLUME_M3);
    assert!((trace.pressure_pa / plain.pressure_pa - 1.0).abs() < 1e-12);
    for t_k in [150.0, 420.0] {
        for n in [1e-9, 1.0, 100.0, 400.0] {
            let split = flash(&[n, 0.1 * n, 0.1 * n, 0.1 * n, 0.01], t_k, VOLUME_M3);
            assert!(split.pressure_pa.is_finite() && split.pressure_pa > 0.0);
            assert!(split.vapour_draw_j_per_kg.is_finite() && split.vapour_draw_j_per_kg > 0.0);
            assert!(split.heat_capacity_j_per_k.is_finite() && split.heat_capacity_j_per_k > 0.0);
        }
    }
    let unfilled = charge(VOLUME_M3, 0.8, &[0.0; SPECIES], 288.0, 101_325.0);
    assert!(unfilled.iter().all(|n| n.is_finite()), "{unfilled:?}");
    let nothing = Vapour::from_fractions(&[0.0; SPECIES]);
    assert_eq!(nothing, Vapour::propane());
}
