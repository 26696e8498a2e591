//! A slip of the pen: a number that makes no sense where it stands and would in another unit of the trade, or with its decimal
//! point one place further left.

use crate::units::{Dimension, Unit, inwc_to_pa, psi_to_pa};
use crate::visit::{ALL, Id, Item, Scale, Values};
use serde::Serialize;

/// A reading that was perhaps made in another unit than it is written in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Slip {
    /// Which reading.
    pub item: Id,
    /// Its number.
    pub number: f64,
    /// The unit it is written in, as a file spells it.
    pub from: &'static str,
    /// The number that would be as usual: the same, or a tenth of it.
    pub meant: f64,
    /// Its unit.
    pub to: &'static str,
}

impl Slip {
    /// Whether it is one of the decimal point.
    pub fn is_of_point(&self) -> bool {
        self.from == self.to
    }

    /// Whether other readings bear the number out: a first stage that stands near what its container gives does not shut.
    pub fn is_borne_out(&self, values: &Values) -> bool {
        let of = |id: Id| values[id.index()];
        let given = [Id::Container, Id::HalfInlet, Id::FullInlet].into_iter();
        let most_pa = given.filter_map(of).fold(0.0, f64::max);
        // One that stands near it at rest may fall under load.
        let firsts = [Id::FirstRest, Id::FirstCreep, Id::FirstHalf, Id::FirstFull].into_iter();
        let first_pa = firsts.filter_map(of).fold(0.0, f64::max);
        let is_first = matches!(ALL[self.item.index()].kind, Scale::Middle);
        is_first
            && most_pa > 0.0
            && of(self.item).is_some()
            && (NEAR..1.0 / NEAR).contains(&(first_pa / most_pa))
    }
}

/// Units that instruments of the trade show.
const SHOWN: [&str; 5] = ["inwc", "mbar", "kPa", "psig", "bar"];

/// What a reading is like on most rigs, and the least and most that a fault makes of it: under and over these a slip of
/// unit is likelier \[Pa\] (own).
fn usual(kind: Scale) -> Option<([f64; 2], [f64; 2])> {
    Some(match kind {
        Scale::Low => ([8.0, 16.0].map(inwc_to_pa), [3.0, 30.0].map(inwc_to_pa)),
        Scale::Middle => ([8.0, 13.0].map(psi_to_pa), [2.0, 25.0].map(psi_to_pa)),
        Scale::High => ([20.0, 220.0].map(psi_to_pa), [8.0, 250.0].map(psi_to_pa)),
        _ => return None,
    })
}

/// Whether the gauges of the trade for such a pressure read in a unit: whoever writes it has read it.
fn is_its_own(kind: Scale, unit: &Unit) -> bool {
    match kind {
        Scale::Low => unit.symbol == "inwc",
        _ => matches!(unit.symbol, "psig" | "psi"),
    }
}

/// So many times what a fault makes at most is read on no rig of the trade: the relief stands before it (own).
const BEYOND: f64 = 2.0;

/// A first stage over this share of what the container gives has come up to it (own).
const NEAR: f64 = 0.85;

/// The slip in a reading \[Pa\] that is written in a unit, if there may be one.
pub fn of(item: &Item, pa: f64, unit: &Unit) -> Option<Slip> {
    let ([low, high], [least, most]) = usual(item.kind)?;
    // Nothing is nothing in any unit.
    if (least..=most).contains(&pa) || pa <= 0.0 {
        return None;
    }
    let number = pa / unit.si;
    let tenth = pa / 10.0;
    if is_its_own(item.kind, unit) {
        let is_slip = pa > BEYOND * most && (low..=high).contains(&tenth);
        return is_slip.then_some(Slip {
            item: item.id,
            number,
            from: unit.symbol,
            meant: number / 10.0,
            to: unit.symbol,
        });
    }
    let others = SHOWN.iter().filter_map(|symbol| {
        let all = Dimension::GaugePressure.units();
        all.iter().find(|u| u.symbol == *symbol)
    });
    let to = others
        .filter(|u| u.symbol != unit.symbol)
        .find(|u| (low..=high).contains(&(number * u.si)))?;
    Some(Slip {
        item: item.id,
        number,
        from: unit.symbol,
        meant: number,
        to: to.symbol,
    })
}

#[cfg(test)]
mod tests {
    use super::of;
    use crate::units::{Dimension, parse_with_unit, psi_to_pa};
    use crate::visit::{ALL, ITEMS, Id};

    /// A first stage at what the container gives is what a lost first seat reads; at a tenth of it it is asked.
    #[test]
    fn a_first_stage_at_its_containers_pressure_is_no_slip() {
        let mut values = [None; ITEMS];
        let psi = |v: f64| Some(psi_to_pa(v));
        let unit = Dimension::GaugePressure
            .units()
            .iter()
            .find(|u| u.symbol == "psig");
        values[Id::FirstCreep.index()] = psi(98.0);
        let slip = of(
            &ALL[Id::FirstCreep.index()],
            psi_to_pa(98.0),
            unit.expect("a unit"),
        );
        let slip = slip.expect("asked");
        assert!(!slip.is_borne_out(&values), "no container was read");
        for (container, borne) in [(100.0, true), (110.0, true), (160.0, false), (60.0, false)] {
            values[Id::Container.index()] = psi(container);
            assert_eq!(slip.is_borne_out(&values), borne, "{container}");
        }
    }

    #[test]
    fn what_would_be_as_usual_in_another_unit_is_named() {
        let slip = |id: Id, text: &str| {
            let read = parse_with_unit(text, Dimension::GaugePressure);
            let (pa, unit) = read.unwrap_or_else(|e| panic!("{text}: {}", e.message()));
            of(&ALL[id.index()], pa, unit).map(|s| s.to)
        };
        for (id, text, to) in [
            (Id::HalfOutlet, "2.74 mbar", Some("kPa")),
            (Id::HalfOutlet, "11 kPa", Some("inwc")),
            (Id::HalfOutlet, "27.4 kPa", Some("mbar")),
            (Id::HalfOutlet, "11 psi", Some("inwc")),
            (Id::HalfOutlet, "11 inwc", None),
            (Id::HalfOutlet, "1 inwc", None),
            (Id::HalfOutlet, "0 inwc", None),
            (Id::FirstFull, "10 inwc", Some("psig")),
            (Id::FirstFull, "68 kPa", None),
            (Id::Container, "120 inwc", Some("psig")),
            (Id::Container, "8 bar", None),
            // What a gauge of the trade shows is read off it, however far it is off; but not ten times what stands there.
            (Id::RestMinute, "35 inwc", None),
            (Id::HalfOutlet, "111 inwc", Some("inwc")),
            (Id::FirstCreep, "56 psig", None),
            (Id::FirstCreep, "56 psi", None),
            (Id::FullInlet, "2 psig", None),
            (Id::FirstHalf, "101 psig", Some("psig")),
        ] {
            assert_eq!(slip(id, text), to, "{text}");
        }
    }
}
