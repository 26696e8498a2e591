//! Values of a visit with their units, as the trade reads them, and the names of figures.

use crate::units::{Dimension, System, fixed, format, pa_to_inwc, pa_to_psi, signed};
use crate::visit::{Figure, Id, Measure, Scale, Test};

/// A low-side pressure \[Pa\].
pub fn low(pa: f64, system: System) -> String {
    match system {
        System::Us => fixed(pa_to_inwc(pa), 1) + " in w.c.",
        System::Si => fixed(1e-3 * pa, 2) + " kPa",
    }
}

/// A gauge pressure of container or interstage \[Pa\]: told in psig, as the pictures and the gauges tell it.
pub fn high(pa: f64, system: System) -> String {
    match system {
        System::Us => fixed(pa_to_psi(pa), 1) + " psig",
        System::Si => fixed(1e-3 * pa, 0) + " kPa",
    }
}

/// A difference of two pressures of container or interstage \[Pa\]: psi, since it stands over no ambient.
fn high_difference(pa: f64, system: System) -> String {
    match system {
        System::Us => fixed(pa_to_psi(pa), 1) + " psi",
        System::Si => fixed(1e-3 * pa, 1) + " kPa",
    }
}

/// A change of a low-side pressure \[Pa\], with its sign.
pub fn change(pa: f64, system: System) -> String {
    match system {
        System::Us => signed(pa_to_inwc(pa), 1) + " in w.c.",
        System::Si => signed(1e-3 * pa, 2) + " kPa",
    }
}

/// A low-side pressure that ran away is told in psig: from about 5 psi, past every relief, so that what is read and what
/// is expected of a climb stand in one unit.
const LOW_INWC: f64 = 140.0;

/// The value of an item as the trade reads it.
pub fn value(item: Id, value: f64, system: System) -> String {
    match item.item().kind {
        Scale::Low if pa_to_inwc(value) < LOW_INWC => low(value, system),
        Scale::Low | Scale::Middle | Scale::High => high(value, system),
        Scale::Change => change(value, system),
        Scale::Drop => high_difference(value, system),
        Scale::Air => format(value, Dimension::Temperature, system),
        Scale::Height => format(value, Dimension::Elevation, system),
        Scale::Fill => super::percent::percent(value),
        Scale::Time => fixed(value, 0) + " s",
        Scale::Words(words) => words
            .get(value.max(0.0) as usize)
            .map_or("", |w| w)
            .to_owned(),
    }
}

/// The bounds of an item, the unit said once where both have the same.
pub fn band(item: Id, [from, to]: [f64; 2], system: System) -> String {
    let [from, to] = [from, to].map(|v| value(item, v, system));
    if from == to {
        return from;
    }
    if matches!(item.item().kind, Scale::Words(_)) {
        return format!("{from} or {to}");
    }
    let unit = to.find(' ').map_or("", |at| &to[at..]);
    format!("{} to {to}", from.strip_suffix(unit).unwrap_or(&from))
}

/// The name of a figure.
pub fn measure(m: Measure) -> &'static str {
    match m {
        // One that differs from the most is told apart (`Id::OddOne`, or by its plate).
        Measure::Read(Id::Flames) => "most flames",
        Measure::Read(Id::LongFlames) => "most flames after a long draw",
        Measure::Read(item) => item.item().words,
        Measure::Load => "load",
        Measure::Fall => "fall from half load",
        Measure::PipeDrop => "drop to the manifold",
        Measure::FromBelow => "half load from below",
        Measure::Band => "from above less from below",
        Measure::LockUp => "lock-up",
        Measure::Rise => "rise from half load",
        Measure::Peak => "highest outlet",
        Measure::FirstPeak => "highest first stage",
        Measure::Start => "at the start",
        Measure::End => "at the end",
        Measure::From => "to count from, before it got away",
        Measure::Climb => "climb at rest",
        Measure::FirstClimb => "first-stage climb at rest",
        Measure::FirstAtRest => "first stage at rest",
        Measure::FirstFlowing => "first stage flowing",
        Measure::InletAtRest => "inlet at rest",
        Measure::InletFlowing => "inlet flowing",
        Measure::InletFall => "fall of the inlet",
        Measure::Warmed => "air warmed by",
        Measure::Correction => "corrected by",
    }
}

/// A difference that went the other way by its own name, without a sign that says it a second time.
pub fn named(f: &Figure) -> (&'static str, Figure) {
    let back = match f.measure {
        Measure::InletFall => "rise of the inlet",
        Measure::FirstClimb => "first-stage fall at rest",
        Measure::Climb => "fall at rest",
        Measure::Fall => "rise from half to full load",
        Measure::PipeDrop => "rise to the manifold",
        Measure::Rise => "fall from half load to lock-up",
        _ => return (measure(f.measure), *f),
    };
    // What is told as nothing went neither way.
    let nothing = Figure { value: 0.0, ..*f };
    let is_told = figure(Test::LockUp, f, System::Us) != figure(Test::LockUp, &nothing, System::Us);
    if f.value < 0.0 && is_told {
        let value = -f.value;
        (back, Figure { value, ..*f })
    } else {
        (measure(f.measure), *f)
    }
}

/// The value of a figure with its unit; `test` tells whether a start is one of air at 10 psi.
pub fn figure(test: Test, f: &Figure, system: System) -> String {
    match f.measure {
        Measure::Read(item) => value(item, f.value, system),
        Measure::Load => format(f.value, Dimension::Power, system),
        Measure::Start | Measure::End if test == Test::NewPiping => high(f.value, system),
        Measure::FromBelow
        | Measure::LockUp
        | Measure::Peak
        | Measure::Start
        | Measure::End
        | Measure::From => low(f.value, system),
        Measure::FirstClimb | Measure::InletFall => high_difference(f.value, system),
        Measure::FirstPeak
        | Measure::FirstAtRest
        | Measure::FirstFlowing
        | Measure::InletAtRest
        | Measure::InletFlowing => high(f.value, system),
        Measure::Warmed => match system {
            System::Us => signed(1.8 * f.value, 1) + " °F",
            System::Si => signed(f.value, 1) + " K",
        },
        // All others are changes (`Measure::is_change`).
        _ => change(f.value, system),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One reading has one name for its unit: a gauge pressure is psig in a verdict as it is over the picture, a difference psi.
    #[test]
    fn a_gauge_pressure_is_psig_and_a_difference_psi() {
        for item in Id::all() {
            let told = value(item, 20_000.0, System::Us);
            match item.item().kind {
                Scale::Middle | Scale::High => assert!(told.ends_with(" psig"), "{item:?}: {told}"),
                Scale::Drop => assert!(told.ends_with(" psi"), "{item:?}: {told}"),
                _ => {}
            }
        }
        let shown = |measure| {
            let f = Figure {
                measure,
                value: 70_000.0,
            };
            figure(Test::Creep, &f, System::Us)
        };
        assert_eq!(shown(Measure::FirstPeak), "10.2 psig");
        assert_eq!(shown(Measure::FirstClimb), "10.2 psi");
    }

    /// A fall of less than nothing is a rise, and a column that came back is no climb.
    #[test]
    fn what_went_the_other_way_has_its_own_name() {
        let told = |measure, psi: f64| {
            let f = Figure {
                measure,
                value: crate::units::psi_to_pa(psi),
            };
            let (name, f) = named(&f);
            format!("{name} {}", figure(Test::FirstStage, &f, System::Us))
        };
        assert_eq!(told(Measure::InletFall, 12.0), "fall of the inlet 12.0 psi");
        assert_eq!(told(Measure::InletFall, -2.0), "rise of the inlet 2.0 psi");
        assert_eq!(told(Measure::InletFall, -0.01), "fall of the inlet 0.0 psi");
        assert_eq!(
            told(Measure::FirstClimb, -0.1),
            "first-stage fall at rest 0.1 psi"
        );
        assert_eq!(told(Measure::Climb, -0.01), "fall at rest +0.3 in w.c.");
        assert_eq!(told(Measure::Climb, 0.01), "climb at rest +0.3 in w.c.");
    }

    #[test]
    fn nothing_is_told_as_less_than_nothing() {
        for system in [System::Us, System::Si] {
            for item in Id::all().filter(|i| i.item().choices().is_none()) {
                for v in [-1e-9, -0.0, 0.0] {
                    let told = value(item, v, system);
                    assert!(
                        !told.starts_with("−0") && !told.starts_with('-'),
                        "{item:?}: {told}"
                    );
                }
            }
        }
    }
}
