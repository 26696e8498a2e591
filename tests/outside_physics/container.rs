//! Container surfaces against the trade's capacity tables.

use super::common::{Check, Grade, Tolerance, assert_worst};
use super::{BTU_J, INCH_M, kelvin};
use twostage::physics::fuel::{Species, Vapour, latent_heat_j_per_mol};
use twostage::physics::heat::{Shape, exposure_factor, freezing_share, frost_depth_k};

/// Draw in Btu/h that the air's heat can boil off for ever, at this wetted area.
fn draw_btu_per_h(shape: &Shape, liquid_share: f64, air_f: f64, liquid_f: f64) -> f64 {
    let heat_w = shape.surface_w_per_m2_k()
        * shape.wetted_area_m2(liquid_share * shape.volume_m3())
        * (kelvin(air_f) - kelvin(liquid_f));
    let latent = latent_heat_j_per_mol(Species::Propane, kelvin(liquid_f))
        / Species::Propane.molar_mass_kg_per_mol();
    heat_w / latent * Vapour::propane().heating_value_j_per_kg / BTU_J * 3600.0
}

/// The 100-lb cylinder: 15 in diameter, 239 lb water.
fn hundred_pound() -> Shape {
    Shape::upright_of_volume(15.0 * INCH_M, 239.0 * 0.453_592_37 / 999.0)
}

#[test]
fn upright_cylinder_table() {
    // Practice: 100-lb cylinder, continuous draw in thousand Btu/h at 0 / 20 / 40 / 60 / 70 F air; the liquid near
    // -43 F. "Full" is filled to 80 %, "half" to 40 %.
    let shape = hundred_pound();
    let mut points = Vec::new();
    for (share, row) in [
        (0.8, [113.0, 167.0, 214.0, 277.0, 300.0]),
        (0.4, [64.0, 94.0, 125.0, 154.0, 167.0]),
    ] {
        for (air_f, expected) in [0.0, 20.0, 40.0, 60.0, 70.0].into_iter().zip(row) {
            let got = draw_btu_per_h(&shape, share, air_f, -43.0) / 1e3;
            points.push((format!("{share} full, {air_f} F"), expected, got));
        }
    }
    let mean = points
        .iter()
        .map(|(_, expected, got)| (got / expected - 1.0).abs())
        .sum::<f64>()
        / points.len() as f64;
    let template = Check {
        id: "container.upright.mean_error",
        what: "mean error over the ten entries of the 100-lb cylinder table, U = 11.1 W/m2K",
        source: "trade table of continuous draw (practice), to which the surface's 11.1 W/m2K is fitted",
        grade: Grade::Fitted,
        unit: "1",
        tolerance: Tolerance::Absolute(0.05),
        expected: 0.0,
        got: mean,
    };
    template.assert();
    let each = Check {
        id: "container.upright.draw",
        what: "100-lb cylinder, continuous draw",
        unit: "kBtu/h",
        tolerance: Tolerance::Relative(0.08),
        ..template
    };
    assert_worst(&each, points);
}

#[test]
fn horizontal_tank_rule() {
    // Practice: at 0 F air and -20 F liquid a tank gives D x L x K Btu/h (inches), K by percent full.
    let (diameter, length) = (24.0, 60.0);
    let shape = Shape::Horizontal {
        diameter_m: diameter * INCH_M,
        length_m: length * INCH_M,
    };
    let points = [
        (0.6, 100.0),
        (0.5, 90.0),
        (0.4, 80.0),
        (0.3, 70.0),
        (0.2, 60.0),
        (0.1, 45.0),
    ]
    .into_iter()
    .map(|(share, k)| {
        let got = draw_btu_per_h(&shape, share, 0.0, -20.0);
        (format!("{share} full"), diameter * length * k, got)
    });
    let check = Check {
        id: "container.horizontal.draw",
        what: "horizontal tank, continuous draw at 0 F, U = 19 W/m2K",
        source: "trade rule D x L x K (practice), to which the surface's 19 W/m2K is fitted",
        grade: Grade::Fitted,
        unit: "Btu/h",
        tolerance: Tolerance::Relative(0.05),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

#[test]
fn wetted_arc_is_exact_geometry() {
    // Derived: segment of a circle at quarter height has angle 2 acos(0.5) = 2 pi/3.
    let shape = Shape::Horizontal {
        diameter_m: 2.0,
        length_m: 1.0,
    };
    let theta = 2.0 * std::f64::consts::PI / 3.0;
    let volume = (theta - theta.sin()) / 2.0;
    assert!((shape.wetted_area_m2(volume) - theta).abs() < 1e-12);
    let other = shape.volume_m3() - volume;
    assert!((shape.wetted_area_m2(other) - (std::f64::consts::TAU - theta)).abs() < 1e-12);
}

#[test]
fn weather_and_ice() {
    // Practice: weather changes the surface by half to twice.
    assert_eq!(exposure_factor(0.0, 0.0, 0.0), 1.0);
    assert_eq!(exposure_factor(0.0, 0.0, 1.0), 0.5);
    let stormy = exposure_factor(40.0, 1.0, 0.0);
    assert!((1.8..=2.0).contains(&stormy), "{stormy}");
    assert_eq!(freezing_share(273.15, 3.0), 0.0);
    assert_eq!(freezing_share(270.0, 3.0), 1.0);
    assert!((freezing_share(271.65, 3.0) - 0.5).abs() < 1e-12);
}

/// Frost grows where a surface is under both the dew point and 0 °C. Dew point at 70 % humidity by the
/// Magnus formula with 17.62 and 243.12 °C (published, World Meteorological Organization guide).
#[test]
fn frost_needs_a_surface_under_the_dew_point_and_under_freezing() {
    for air_c in [-10.0, 0.0, 4.0] {
        let gamma = 0.7_f64.ln() + 17.62 * air_c / (243.12 + air_c);
        let dew_k = 273.15 + 243.12 * gamma / (17.62 - gamma);
        let air_k = 273.15 + air_c;
        assert_eq!(frost_depth_k(dew_k + 1.0, air_k), 0.0, "{air_c} C");
        assert!(frost_depth_k(dew_k - 1.0, air_k) > 0.0, "{air_c} C");
    }
    // In mild air it is the freezing point that counts.
    assert_eq!(frost_depth_k(273.5, 295.0), 0.0);
    assert!((frost_depth_k(270.15, 295.0) - 3.0).abs() < 1e-9);
    // A surface as cold as the air does not frost.
    assert_eq!(frost_depth_k(250.0, 250.0), 0.0);
}

#[test]
fn an_empty_cylinder_follows_the_air() {
    // Practice: 5 to 8 W/m2K between dry steel and still air, radiation included; a 20-lb cylinder has 0.43 m2 and 8 kg of
    // steel (480 J/kg K), so that it comes to the air with a time constant of 19 to 30 minutes.
    let shape = Shape::upright_of_volume(12.2 * INCH_M, 47.6 * 0.453_592_37 / 999.0);
    let tau_min = 8.0 * 480.0 / shape.dry_w_per_k(0.0) / 60.0;
    assert!((19.0..30.0).contains(&tau_min), "{tau_min}");
    // What was fitted to tables is left alone from a twentieth on, and what comes in fades without a step.
    let dry = |fill: f64| shape.dry_w_per_k(fill * shape.volume_m3());
    assert_eq!(dry(0.05), 0.0);
    for k in 0..50 {
        let fill = 0.001 * f64::from(k);
        let step = dry(fill) - dry(fill + 0.001);
        assert!(step > 0.0 && step < 0.12 * dry(0.0), "{fill}");
    }
}
