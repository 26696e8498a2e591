//! Severity scales that several faults share. Each gives exactly "nothing" at severity 0.

/// Share left when each unit of severity takes `decades` powers of ten: areas and passages, whose
/// flow goes by ratios, so that equal steps of severity are equal ratios.
pub(super) fn decades(severity: f64, decades: f64) -> f64 {
    10_f64.powf(-decades * severity)
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

/// A share as percent with two figures that count.
pub(super) fn percent(share: f64) -> String {
    figures(100.0 * share)
}

/// A number with at least two figures that count, and no tail of zeros.
pub(super) fn figures(value: f64) -> String {
    let size = value.abs();
    let decimals = match size {
        _ if size == 0.0 || size >= 20.0 => 0,
        _ if size >= 2.0 => 1,
        _ if size >= 0.2 => 2,
        _ if size >= 0.02 => 3,
        _ => 4,
    };
    format!("{value:.decimals$}")
}
