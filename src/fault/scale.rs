//! Severity scales that several faults share, and what they are worth in words. Each scale gives exactly
//! "nothing" at severity 0.

use crate::physics::flow::{self, Upstream};
use crate::physics::fuel::{self, SPECIES, Vapour};
use crate::physics::passage::{Gas, Passage};
use crate::rig::{evaluate, stage};
use crate::units::{
    KG_PER_LB, M_PER_FT, M_PER_IN, N_PER_LBF, System, W_PER_BTU_PER_H, inwc_to_pa, psi_to_pa,
    with_commas,
};

/// Share left when each unit of severity takes `decades` powers of ten: areas and passages, whose
/// flow goes by ratios, so that equal steps of severity are equal ratios.
pub(super) fn decades(severity: f64, decades: f64) -> f64 {
    10_f64.powf(-decades * severity)
}

/// Share of the worst for leaks and tears, whose sizes in the field lie powers of ten apart: 0 at 0, 1 at 1,
/// and between them (10^(D s) - 1)/(10^D - 1), nearly 10^(-D/2) at 0.5, the middling case.
pub(super) fn rising(severity: f64, decades: f64) -> f64 {
    (10_f64.powf(decades * severity) - 1.0) / (10_f64.powf(decades) - 1.0)
}

/// Air pressure \[Pa\] and temperature (60 °F) \[K\] at which gas is measured.
const AIR_PA: f64 = 101_325.0;
/// See [`AIR_PA`].
const MEASURED_K: f64 = 288.71;

fn propane() -> Vapour {
    let mut pure = [0.0; SPECIES];
    pure[0] = 1.0;
    Vapour::from_fractions(&pure)
}

/// A flow of gas as a meter has it.
fn gas_words(kg_per_s: f64, units: System) -> String {
    let gas = propane();
    let m3_per_s = kg_per_s * gas.gas_constant_j_per_kg_k * MEASURED_K / AIR_PA;
    let ml_per_min = 6e7 * m3_per_s;
    let watt = kg_per_s * gas.heating_value_j_per_kg;
    let volume = match units {
        System::Us => format!("{} ft³/h", figures(3600.0 * m3_per_s / M_PER_FT.powi(3))),
        System::Si if ml_per_min < 1000.0 => format!("{} mL/min", figures(ml_per_min)),
        System::Si => format!("{} L/min", figures(1e-3 * ml_per_min)),
    };
    let heat = match units {
        System::Us => format!("{} Btu/h", figures(watt / W_PER_BTU_PER_H)),
        System::Si if watt < 1000.0 => format!("{} W", figures(watt)),
        System::Si => format!("{} kW", figures(1e-3 * watt)),
    };
    format!("{volume}, {heat}")
}

/// An area and what passes it.
fn opening(area_m2: f64, kg_per_s: f64, units: System) -> String {
    let (area, gas) = (area(area_m2, units), gas_words(kg_per_s, units));
    format!("{area}: {gas}")
}

/// A hole with so many psig of propane before it and the open air behind.
pub(super) fn hole_at_psig(area_m2: f64, discharge: f64, psig: f64, units: System) -> String {
    let flow = hole_kg_per_s(area_m2, discharge, psi_to_pa(psig));
    format!(
        "{} at {}",
        opening(area_m2, flow, units),
        gauge(psig, units)
    )
}

/// A thin sharp hole with so many psig of propane before it and the open air behind.
pub(super) fn sharp_hole_at_psig(area_m2: f64, psig: f64, units: System) -> String {
    let (gas, pressure_pa) = (propane(), AIR_PA + psi_to_pa(psig));
    let z = fuel::compressibility(pressure_pa, MEASURED_K);
    let up = Gas {
        pressure_pa,
        density_kg_per_m3: gas.density_kg_per_m3(pressure_pa, MEASURED_K, z),
        viscosity_pa_s: fuel::viscosity_pa_s(MEASURED_K),
    };
    let flow = Passage::sharp_hole(area_m2).kg_per_s(&up, AIR_PA);
    format!(
        "{} at {}",
        opening(area_m2, flow, units),
        gauge(psig, units)
    )
}

/// A hole with the outlet's pressure before it.
pub(super) fn hole_at_11_inwc(area_m2: f64, units: System) -> String {
    let flow = hole_kg_per_s(area_m2, stage::HOLE, inwc_to_pa(11.0));
    format!("{} at {}", opening(area_m2, flow, units), at_outlet(units))
}

fn hole_kg_per_s(area_m2: f64, discharge: f64, gauge_pa: f64) -> f64 {
    let gas = propane();
    let up = Upstream {
        pressure_pa: AIR_PA + gauge_pa,
        temperature_k: MEASURED_K,
        gas_constant: gas.gas_constant_j_per_kg_k,
        z: 1.0,
        gamma: gas.gamma,
    };
    stage::hole_kg_per_s(area_m2, discharge, &up, AIR_PA)
}

/// A leak in the low side's wall.
pub(super) fn joint_at_11_inwc(area_m2: f64, units: System) -> String {
    let (high_pa, density) = outlet();
    let flow = flow::orifice_kg_per_s(
        high_pa,
        area_m2,
        stage::HOLE,
        density,
        fuel::viscosity_pa_s(MEASURED_K),
        evaluate::WALL_M,
    );
    format!("{} at {}", opening(area_m2, flow, units), at_outlet(units))
}

/// A gas valve that does not close, its area counted as that of a spud.
pub(super) fn valve_at_11_inwc(area_m2: f64, units: System) -> String {
    let (high_pa, density) = outlet();
    let flow = area_m2 * (2.0 * density * high_pa).sqrt();
    format!("{} at {}", opening(area_m2, flow, units), at_outlet(units))
}

/// The outlet's gauge pressure \[Pa\] and the density of propane there \[kg/m³\].
fn outlet() -> (f64, f64) {
    let high_pa = inwc_to_pa(11.0);
    let r = propane().gas_constant_j_per_kg_k;
    (high_pa, (AIR_PA + high_pa) / (r * MEASURED_K))
}

/// Share of a vent still open: three decades on the way to shut, sealed at 1.
pub(super) fn vent_open(severity: f64) -> f64 {
    if severity >= 1.0 {
        0.0
    } else {
        decades(severity, 3.0)
    }
}

/// The vent scale in words.
pub(super) fn vent_meaning(severity: f64) -> String {
    match vent_open(severity) {
        0.0 => "sealed".to_owned(),
        open => format!("{} % of the vent still open", percent(open)),
    }
}

/// A high gauge pressure by its round number of psig.
fn gauge(psig: f64, units: System) -> String {
    match units {
        System::Us => format!("{psig:.0} psig"),
        System::Si => format!("{:.0} kPa", 1e-3 * psi_to_pa(psig)),
    }
}

/// The outlet's flow pressure.
fn at_outlet(units: System) -> &'static str {
    match units {
        System::Us => "11 in w.c.",
        System::Si => "2.74 kPa",
    }
}

/// A difference of high pressures given in psi.
pub(super) fn psi(psi: f64, units: System) -> String {
    match units {
        System::Us => format!("{} psi", figures(psi)),
        System::Si => format!("{} kPa", figures(1e-3 * psi_to_pa(psi))),
    }
}

/// A height: whole feet or metres.
pub(super) fn height(m: f64, units: System) -> String {
    match units {
        System::Us => format!("{:.0} ft", m / M_PER_FT),
        System::Si => format!("{m:.0} m"),
    }
}

/// A value of SI in one of two units, how many make one of SI beside each.
fn one_of(value: f64, units: System, us: (f64, &str), si: (f64, &str)) -> String {
    let (scale, unit) = match units {
        System::Us => us,
        System::Si => si,
    };
    format!("{} {unit}", figures(value * scale))
}

/// Thousandths of an inch in a metre.
const THOU_PER_M: f64 = 1000.0 / M_PER_IN;

/// An opening: mm², or how wide a round hole of that area is, as drills are told.
pub(super) fn area(m2: f64, units: System) -> String {
    match units {
        System::Us => {
            let wide_m = (4.0 * m2.max(0.0) / std::f64::consts::PI).sqrt();
            format!("{} across", travel(wide_m, units))
        }
        System::Si => format!("{} mm²", figures(1e6 * m2)),
    }
}

/// Travel or bore of a part: mm, or thousandths of an inch.
pub(super) fn travel(m: f64, units: System) -> String {
    one_of(m, units, (THOU_PER_M, "thou"), (1e3, "mm"))
}

/// What of a disc is missing: mm to a hundredth, or thousandths of an inch.
pub(super) fn missing(m: f64, units: System) -> String {
    match units {
        System::Us => travel(m, units),
        System::Si => format!("{:.2} mm", 1e3 * m),
    }
}

/// A grain or a mark in rubber: whole µm, or thousandths of an inch.
pub(super) fn speck(m: f64, units: System) -> String {
    match units {
        System::Us => travel(m, units),
        System::Si => format!("{:.0} µm", 1e6 * m),
    }
}

/// Depth of a liquid: whole mm, or inches.
pub(super) fn depth(m: f64, units: System) -> String {
    match units {
        System::Us => format!("{} in", figures(m / M_PER_IN)),
        System::Si => format!("{:.0} mm", 1e3 * m),
    }
}

/// A force: N, or pounds.
pub(super) fn force(newton: f64, units: System) -> String {
    one_of(newton, units, (1.0 / N_PER_LBF, "lbf"), (1.0, "N"))
}

/// A mass of some grams: g, or ounces.
pub(super) fn small_mass(kg: f64, units: System) -> String {
    one_of(kg, units, (16.0 / KG_PER_LB, "oz"), (1e3, "g"))
}

/// A difference of temperature: whole K, or °F.
pub(super) fn colder(kelvin: f64, units: System) -> String {
    match units {
        System::Us => format!("{:.0} °F", 1.8 * kelvin),
        System::Si => format!("{kelvin:.0} K"),
    }
}

/// A share as percent with two figures that count.
pub(super) fn percent(share: f64) -> String {
    figures(100.0 * share)
}

/// A number with two figures that count, from a hundred on three, its thousands parted, and no tail of decimals: nobody
/// knows a wear better than that.
pub(super) fn figures(value: f64) -> String {
    let size = value.abs();
    if size >= 1000.0 {
        let step = 10_f64.powf(size.log10().floor() - 2.0);
        let whole = with_commas(&format!("{:.0}", (size / step).round() * step));
        return format!("{}{whole}", if value < 0.0 { "-" } else { "" });
    }
    let decimals = match size {
        _ if size == 0.0 || size >= 10.0 => 0,
        _ if size >= 1.0 => 1,
        _ if size >= 0.1 => 2,
        _ if size >= 0.01 => 3,
        _ if size >= 0.001 => 4,
        _ if size >= 0.0001 => 5,
        _ => 6,
    };
    format!("{value:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::figures;

    #[test]
    fn large_numbers_have_three_figures_and_their_thousands_parted() {
        let shown = [3_824_070.0, 28_392.0, 1234.0, 238.0, 9.14, 0.0].map(figures);
        assert_eq!(shown, ["3,820,000", "28,400", "1230", "238", "9.1", "0"]);
    }

    #[test]
    fn what_is_under_a_hundred_has_two_figures() {
        let shown = [0.003_85, 0.0386, 0.385, 0.46, 1.585, 3.849, 15.85, 63.1].map(figures);
        let wanted = ["0.0039", "0.039", "0.39", "0.46", "1.6", "3.8", "16", "63"];
        assert_eq!(shown, wanted);
    }
}
