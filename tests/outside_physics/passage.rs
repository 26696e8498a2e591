//! Passages at container pressure against Fanno flow integrated here, IEC 60534, Jobson's holes and the trade's bleed.

use super::common::{Check, Grade, Tolerance, assert_worst};
use super::{ATMOSPHERE_PA, PSI_PA, kelvin};
use twostage::physics::AIR_GAS_CONSTANT;
use twostage::physics::flow::psi;
use twostage::physics::passage::{Gas, PIPE_ENDS, Passage, series_kg_per_s};
use twostage::rig::presets;

/// Ratio of heats of propane vapour.
const GAMMA: f64 = 1.13;

/// Gas of pressure 1 and density 1 without viscosity: a flow is then a share of A sqrt(rho p).
const UNIT: Gas = Gas {
    pressure_pa: 1.0,
    density_kg_per_m3: 1.0,
    viscosity_pa_s: 0.0,
};

fn down(ratio: f64) -> Gas {
    Gas {
        pressure_pa: ratio,
        density_kg_per_m3: ratio,
        viscosity_pa_s: 0.0,
    }
}

/// The root of a falling function.
fn falling_root(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..45 {
        let middle = 0.5 * (low + high);
        if f(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Fanno's f L/D from Mach number `m` to the choked end.
fn to_choked(m: f64, g: f64) -> f64 {
    let square = m * m;
    (1.0 - square) / (g * square)
        + (g + 1.0) / (2.0 * g) * ((g + 1.0) * square / (2.0 + (g - 1.0) * square)).ln()
}

/// Static pressure at the entrance, as a share of the vessel's, that lost half a velocity head.
fn entrance(m: f64, g: f64) -> f64 {
    let t = 1.0 + 0.5 * (g - 1.0) * m * m;
    1.0 / (t.powf(g / (g - 1.0)) + 0.25 * g * m * m)
}

/// Flux and end pressure of a pipe of f L/D `k` whose entrance has Mach number `m`, in units of the vessel.
fn fanno(m: f64, k: f64, g: f64) -> (f64, f64) {
    let left = to_choked(m, g) - k;
    let end = if left <= 0.0 {
        1.0
    } else {
        falling_root(|m| to_choked(m, g) - left, 1e-6, 1.0)
    };
    let p = |m: f64| ((g + 1.0) / (2.0 + (g - 1.0) * m * m)).sqrt() / m;
    let t = 1.0 + 0.5 * (g - 1.0) * m * m;
    (
        entrance(m, g) * m * (g * t).sqrt(),
        entrance(m, g) * p(end) / p(m),
    )
}

/// Entrance Mach number at which the end chokes.
fn choked_at(k: f64, g: f64) -> f64 {
    falling_root(|m| to_choked(m, g) - k, 1e-6, 1.0)
}

/// Flux of a pipe to a back pressure, both in units of the vessel.
fn fanno_to(ratio: f64, k: f64, g: f64) -> f64 {
    let most = choked_at(k, g);
    let m = falling_root(|m| fanno(m, k, g).1 - ratio, 1e-6, most);
    fanno(m, k, g).0
}

/// Friction factor of drawn tube, roughness 1.5 micrometres (Haaland 1983).
fn drawn_tube(bore_m: f64, flux_kg_per_s_m2: f64) -> f64 {
    let reynolds = flux_kg_per_s_m2 * bore_m / 8e-6;
    let inverse = -1.8 * ((1.5e-6 / bore_m / 3.7).powf(1.11) + 6.9 / reynolds).log10();
    1.0 / (inverse * inverse)
}

/// A pipe of f L/D `k` with an area of 1.
fn pipe(k: f64, g: f64) -> Passage {
    let bore = (4.0 / std::f64::consts::PI).sqrt();
    Passage::pipe(bore, bore, k, PIPE_ENDS, g)
}

fn check<'a>(id: &'a str, what: &'a str, source: &'a str) -> Check<'a> {
    Check {
        id,
        what,
        source,
        grade: Grade::Derived,
        unit: "1",
        tolerance: Tolerance::Relative(0.0),
        expected: 0.0,
        got: 0.0,
    }
}

#[test]
fn pipes_choke_as_fanno_has_them() {
    for (id, bore, length, expected) in [
        ("passage.choked.2x10", 2e-3, 0.01, 0.84),
        ("passage.choked.2x50", 2e-3, 0.05, 0.78),
        ("passage.choked.3.2x500", 3.2e-3, 0.5, 0.60),
        ("passage.choked.6.4x3000", 6.4e-3, 3.0, 0.45),
    ] {
        // Saturated propane at 60 F: 2137 kg/m2s through an ideal nozzle.
        let k = drawn_tube(bore, expected * 2137.0) * length / bore;
        Check {
            tolerance: Tolerance::Relative(0.03),
            expected,
            got: pipe(k, GAMMA).kg_per_s(&UNIT, 0.0) / psi(0.0, GAMMA),
            ..check(
                id,
                "choked flow of a pipe (bore x length in mm, drawn tube) over that of an ideal nozzle",
                "adiabatic pipe flow with friction, entrance 0.5, by the package fluids",
            )
        }
        .assert();
    }
}

#[test]
fn the_law_follows_fanno_between_no_drop_and_choking() {
    let mut points = Vec::new();
    for g in [1.07, GAMMA, 1.4] {
        for k in [0.05, 0.3, 1.0, 3.0, 10.0, 40.0, 200.0] {
            for share in [0.05, 0.2, 0.4, 0.6, 0.8, 0.95, 1.0] {
                let (flux, ratio) = fanno(choked_at(k, g) * share, k, g);
                points.push((
                    format!("K {k}, g {g}, p2/p1 {ratio:.2}"),
                    flux,
                    pipe(k, g).kg_per_s(&UNIT, ratio),
                ));
            }
        }
    }
    assert_worst(
        &Check {
            tolerance: Tolerance::Relative(0.015),
            ..check(
                "passage.fanno",
                "flow of a pipe, f L/D 0.05 to 200, from a small drop to choked",
                "adiabatic flow with friction integrated in the test",
            )
        },
        points,
    );
}

#[test]
fn valves_choke_as_iec_60534_has_them() {
    let limit = GAMMA / 1.4 * 0.7;
    let iec = |x: f64| {
        let x = x.min(limit);
        (1.0 - x / (3.0 * limit)) * (2.0 * x).sqrt()
    };
    let valve = Passage::valve(1.0, GAMMA);
    let points = (1..=20).map(|i| {
        let x = 0.05 * f64::from(i);
        (
            format!("x {x:.2}"),
            0.7 * iec(x),
            valve.kg_per_s(&UNIT, 1.0 - x),
        )
    });
    assert_worst(
        &Check {
            grade: Grade::Published,
            tolerance: Tolerance::Relative(0.025),
            ..check(
                "passage.valve",
                "valve, x_T 0.7, flow over area x root of density x pressure",
                "IEC 60534, expansion factor (x_T of a globe valve from memory)",
            )
        },
        points,
    );
}

#[test]
fn thin_holes_pass_more_below_the_critical_ratio() {
    let hole = Passage::sharp_hole(1.0);
    let points = [
        (0.9, 0.63),
        (0.7, 0.69),
        (0.58, 0.75),
        (0.4, 0.82),
        (0.2, 0.86),
    ]
    .map(|(r, cd)| {
        (
            format!("p2/p1 {r}"),
            cd,
            hole.kg_per_s(&UNIT, r) / psi(r, GAMMA),
        )
    });
    assert_worst(
        &Check {
            grade: Grade::Memory,
            tolerance: Tolerance::Relative(0.02),
            ..check(
                "passage.sharp_hole",
                "discharge coefficient of a thin sharp hole on the isentropic flow",
                "Jobson 1955",
            )
        },
        points,
    );
}

#[test]
fn a_valve_and_a_hose_in_series_share_the_drop() {
    let limit = GAMMA / 1.4 * 0.7;
    let iec = |up: f64, down: f64| {
        let x = (1.0 - down / up).min(limit);
        0.7 * up * (1.0 - x / (3.0 * limit)) * (2.0 * x).sqrt()
    };
    let mut points = Vec::new();
    for area in [0.03, 0.1, 0.2, 0.5, 1.0, 2.0, 10.0] {
        for k in [0.3, 3.0, 30.0] {
            for ratio in [0.98, 0.8, 0.6, 0.4, 0.2, 0.05] {
                // The pressure between at which both pass alike; density goes with pressure.
                let between = falling_root(
                    |pm| area * iec(1.0, pm) - pm * fanno_to(ratio / pm, k, GAMMA),
                    ratio,
                    1.0,
                );
                let valve = Passage::valve(area, GAMMA);
                points.push((
                    format!("area {area}, K {k}, p2/p1 {ratio}"),
                    area * iec(1.0, between),
                    series_kg_per_s(&valve, &pipe(k, GAMMA), &UNIT, &down(ratio)),
                ));
            }
        }
    }
    assert_worst(
        &Check {
            tolerance: Tolerance::Relative(0.025),
            ..check(
                "passage.series",
                "a valve and a pipe behind it, valve area 0.03 to 10 of the pipe's, f L/D 0.3 to 30",
                "pressure between them by bisection, IEC 60534 and Fanno",
            )
        },
        points,
    );
}

#[test]
fn the_bleed_is_the_trades() {
    // 10 ft3/h of air of 60 F and one atmosphere, at 100 psig.
    let air = Gas {
        pressure_pa: ATMOSPHERE_PA + 100.0 * PSI_PA,
        density_kg_per_m3: (ATMOSPHERE_PA + 100.0 * PSI_PA) / (AIR_GAS_CONSTANT * kelvin(60.0)),
        viscosity_pa_s: 1.8e-5,
    };
    let bleed = Passage::valve(presets::supply().excess_bleed_m2, 1.4);
    let standard = ATMOSPHERE_PA / (AIR_GAS_CONSTANT * kelvin(60.0));
    Check {
        grade: Grade::Memory,
        unit: "ft3/h",
        tolerance: Tolerance::Relative(0.15),
        expected: 10.0,
        got: bleed.kg_per_s(&air, ATMOSPHERE_PA) / standard / 0.028_316_846_592 * 3600.0,
        ..check(
            "passage.bleed",
            "bleed of a shut excess-flow valve, air at 100 psig",
            "leak-by of cylinder connectors",
        )
    }
    .assert();
}

/// The flow and its slope go on without a jump over every branch of the law, forward and back, and it is the
/// incompressible law at small differences.
#[test]
fn the_law_has_no_corner() {
    let propane = |pressure_pa: f64| Gas {
        pressure_pa,
        density_kg_per_m3: pressure_pa / 46_700.0,
        viscosity_pa_s: 8e-6,
    };
    for area in [1e-9, 3e-7, 3e-6, 3e-5] {
        let (valve, hose) = (
            Passage::valve(area, GAMMA),
            Passage::pipe(4e-3, 0.5, 0.024, PIPE_ENDS, GAMMA),
        );
        let flow = |x: f64| {
            let (up, down) = (propane(740e3), propane(740e3 * (1.0 - x)));
            series_kg_per_s(&valve, &hose, &up, &down)
        };
        let largest = flow(1.0);
        assert!(flow(0.0) == 0.0 && flow(-0.1) < 0.0);
        let h = 1e-5;
        let slope = |x: f64| (flow(x + h) - flow(x - h)) / (2.0 * h);
        let mut last = slope(0.01);
        for i in 1_000..100_000 {
            let x = 1e-5 * f64::from(i);
            let now = slope(x);
            assert!(now >= -1e-6 * largest, "falls at {x}");
            // No jump: the slope is of the order of flow/x and changes over a distance of that order.
            let allowed = 20.0 * 1e-5 / x * largest / x + 1e-7 * largest;
            assert!(
                (now - last).abs() < allowed,
                "area {area}, x {x}: {last} to {now}"
            );
            last = now;
        }
    }
    let hose = Passage::pipe(4e-3, 0.5, 0.024, PIPE_ENDS, GAMMA);
    // Poiseuille and a constant friction factor.
    let area = 0.25 * std::f64::consts::PI * 4e-3_f64.powi(2);
    let a = 8.0 * std::f64::consts::PI * 8e-6 * 0.5 / (15.0 * area * area);
    let b = (0.024 * 0.5 / 4e-3 + PIPE_ENDS) / (2.0 * 15.0 * area * area);
    for dp in [0.1, 10.0, 1000.0] {
        let up = Gas {
            pressure_pa: 700e3,
            density_kg_per_m3: 15.0,
            viscosity_pa_s: 8e-6,
        };
        let expected = twostage::physics::flow::restriction_kg_per_s(dp, a, b);
        assert!((hose.kg_per_s(&up, 700e3 - dp) / expected - 1.0).abs() < 1e-3);
    }
}
