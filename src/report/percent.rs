//! Shares and beliefs in percent that are not rounded away: what is a little is not told as nothing, and what is nearly all
//! not as all.

use crate::units::fixed;

/// Shares that a single decimal still tells from nothing and from all \[%\].
const FINE: f64 = 0.05;
/// Under this much, and so near to all, a decimal is worth reading \[%\].
const NEAR: f64 = 1.95;

/// "60 %", "0.8 %", "99.7 %", "under 0.1 %".
pub fn percent(share: f64) -> String {
    format!("{} %", number(share))
}

/// The same without its sign, for a field or a table that has it in its head.
pub fn number(share: f64) -> String {
    let value = 100.0 * share;
    let left = 100.0 - value;
    if value <= 0.0 || left <= 0.0 || !value.is_finite() {
        return fixed(if value.is_finite() { value } else { 0.0 }, 0);
    }
    if value < FINE {
        return "under 0.1".to_owned();
    }
    if left < FINE {
        return "over 99.9".to_owned();
    }
    let decimals = usize::from(value < NEAR || left < 0.5);
    format!("{value:.decimals$}")
}

/// A belief in percent, for terminal and window alike. Nothing is wholly sure, and nothing wholly out of the question.
pub fn belief(probability: f64) -> String {
    match 100.0 * probability {
        p if p >= 99.5 => "over 99 %".to_owned(),
        p if p < 0.5 => "under 1 %".to_owned(),
        p => format!("{p:.0} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neither_a_little_nor_nearly_all_is_rounded_away() {
        for (share, told) in [
            (0.0, "0 %"),
            (0.0002, "under 0.1 %"),
            (0.0075, "0.8 %"),
            (0.0194, "1.9 %"),
            (0.0196, "2 %"),
            (0.6, "60 %"),
            (0.996, "99.6 %"),
            (0.9999, "over 99.9 %"),
            (1.0, "100 %"),
            (1.2, "120 %"),
            (-0.1, "−10 %"),
            (-0.0001, "0 %"),
        ] {
            assert_eq!(percent(share), told);
        }
        assert_eq!(percent(f64::NAN), "0 %");
    }

    #[test]
    fn no_belief_is_wholly_sure() {
        let told = [0.0, 0.004, 0.006, 0.5, 0.994, 0.996, 1.0].map(belief);
        let right = [
            "under 1 %",
            "under 1 %",
            "1 %",
            "50 %",
            "99 %",
            "over 99 %",
            "over 99 %",
        ];
        assert_eq!(told, right);
    }
}
