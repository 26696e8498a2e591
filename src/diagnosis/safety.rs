//! Safety first: what the readings forbid, and when to shut off and refer.

use super::reading::{ALL, BUBBLES, Item, Kind, Test, Values};
use crate::service::LIMITS;
use crate::units::{inwc_to_pa, psi_to_pa};
use serde::Serialize;

/// How much may still be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Danger {
    /// Every test may be offered.
    None,
    /// Nothing that lights a flame or wants gas to flow: gas may be escaping.
    NoFlame,
    /// Nothing that needs the container open.
    ShutOff,
}

impl Danger {
    /// Whether a test is safe in this state.
    pub fn allows(self, test: Test) -> bool {
        let without_gas = matches!(test, Test::Air | Test::Fill | Test::LeakCheck);
        let without_flame = matches!(
            test,
            Test::Container
                | Test::Vent
                | Test::Joints
                | Test::LockUp
                | Test::Creep
                | Test::FirstStage
        );
        match self {
            Self::None => true,
            Self::NoFlame => without_gas || without_flame,
            Self::ShutOff => without_gas,
        }
    }
}

/// What the readings demand: how much may still be done, and why, in words.
pub fn demand(values: &Values) -> (Danger, Vec<String>) {
    let mut danger = Danger::None;
    let mut why = Vec::new();
    let mut note = |level: Danger, text: String| {
        danger = danger.max(level);
        why.push(text);
    };
    let outlet = ALL
        .iter()
        .zip(values)
        .filter(|(i, _)| i.kind == Kind::Low)
        .filter_map(|(i, v)| v.map(|v| (i, v)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((item, v)) = outlet {
        // One reading's uncertainty over the limit, so that a borderline reading does not refer.
        let limit = LIMITS.lock_up_caution.high + item.uncertainty(v);
        if v > LIMITS.relief.high {
            note(
                Danger::ShutOff,
                format!(
                    "{} is over 2 psig: the relief does not hold it (if inches were read, the unit is inwc)",
                    item.words
                ),
            );
        } else if v > inwc_to_pa(18.0) {
            note(
                Danger::ShutOff,
                format!("{} is far over 14 in w.c.", item.words),
            );
        } else if v > limit {
            note(
                Danger::NoFlame,
                format!("{} is over 14 in w.c.", item.words),
            );
        }
    }
    let first = ["half_load", "full_load", "at_rest", "after_creep"]
        .iter()
        .filter_map(|key| Item::find("first_stage", key).and_then(|i| values[i]))
        .fold(0.0, f64::max);
    if first > psi_to_pa(25.0) {
        note(
            Danger::NoFlame,
            "the first stage stands over 25 psig: container pressure reaches parts made for 10"
                .to_owned(),
        );
    }
    for (item, value) in ALL.iter().zip(values) {
        let Some(v) = *value else { continue };
        match item.kind {
            Kind::Words(words) if words == BUBBLES && v >= 1.0 => {
                let level = if v >= 3.0 {
                    Danger::ShutOff
                } else {
                    Danger::NoFlame
                };
                note(level, format!("leak fluid shows gas: {}", item.words));
            }
            Kind::Words(_) if item.table == "heard" && (v == 1.0 || v == 2.0) => {
                let level = if v == 2.0 {
                    Danger::ShutOff
                } else {
                    Danger::NoFlame
                };
                note(level, format!("gas is heard: {}", item.words));
            }
            Kind::Change if v < -2.0 * item.uncertainty(v) => {
                note(Danger::NoFlame, "the leak check loses pressure".to_owned());
            }
            _ => {}
        }
    }
    (danger, why)
}
