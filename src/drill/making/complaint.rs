//! What an owner complains of, held against what the rig shows: by the signs of each complaint and by what owners notice of it.
//! What an owner says is never read: whoever writes a drill tells what it is of, and one made to order has its words from
//! what its rig shows.

use crate::diagnosis::files::account::{Complaint, words};
use crate::units::inwc_to_pa;
use crate::visit::{Id, Values};

/// Something an owner notices.
struct Symptom {
    /// Whether a rig of these values shows it.
    shows: fn(&Values) -> bool,
    /// What it is a complaint of.
    of: Complaint,
    /// How they say it.
    said: &'static str,
    /// Whether they report escaping gas with it; a roar is gas that leaves a vent.
    is_gas: bool,
}

/// What was read; what was not is no word, and over and under nothing.
fn at(values: &Values, id: Id) -> f64 {
    values[id.index()].unwrap_or(f64::NAN)
}

/// Under so much with everything lit all is weak: a twentieth of the heat, which somebody notices who waits for a kettle (own; less is
/// seen by no eye, and a gauge that reads it passes).
const WEAK_INWC: f64 = 10.0;

/// Symptoms, the most telling first.
const SYMPTOMS: [Symptom; 15] = [
    Symptom {
        shows: |v| at(v, Id::SoundFlowing) == 2.0,
        of: Complaint::Noise,
        said: "Something outside roars whenever I light up, and I have shut it all off.",
        is_gas: true,
    },
    Symptom {
        shows: |v| at(v, Id::Flames) == 5.0,
        of: Complaint::Surging,
        said: "The flames jump and flare up by themselves.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::Flames) == 4.0,
        of: Complaint::GoesOut,
        said: "Hardly anything will stay lit any more.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::OddOne) == 5.0,
        of: Complaint::GoesOut,
        said: "A pilot goes out on me, and I light it again and again.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::OddOne) == 4.0,
        of: Complaint::GoesOut,
        said: "One of the appliances lights and goes out again.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::Lighting) == 1.0,
        of: Complaint::WillNotLight,
        said: "It takes its time to light, and then it goes off with a pop.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::OddOne) == 3.0,
        of: Complaint::WillNotLight,
        said: "One of the appliances will not light, the others do.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::OddOne) == 1.0,
        of: Complaint::Weak,
        said: "One burner is weaker than it used to be.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::OddOne) == 2.0,
        of: Complaint::Hard,
        said: "One burner burns bigger than it ever did, and it is not clean.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::Flames) == 2.0 || at(v, Id::Flames) == 3.0,
        of: Complaint::Hard,
        said: "The flames are loud and sharp, and they lift.",
        is_gas: false,
    },
    Symptom {
        shows: |v| at(v, Id::Flames) == 1.0,
        of: Complaint::Weak,
        said: "Everything burns low, the kettle takes for ever.",
        is_gas: false,
    },
    Symptom {
        shows: |v| {
            at(v, Id::SecondVentRest) >= 2.0
                || at(v, Id::FirstVentRest) >= 2.0
                || at(v, Id::FluidPigtail) >= 2.0
        },
        of: Complaint::Smell,
        said: "There is a smell of gas out by the regulator.",
        is_gas: true,
    },
    Symptom {
        shows: |v| at(v, Id::FluidLowSide) >= 2.0 || at(v, Id::FluidBurner) >= 2.0,
        of: Complaint::Smell,
        said: "There is a faint smell of gas inside in the morning.",
        is_gas: true,
    },
    Symptom {
        shows: |v| {
            at(v, Id::RestMinute) > inwc_to_pa(13.0) || at(v, Id::RestCreep) > inwc_to_pa(13.0)
        },
        of: Complaint::Hard,
        said: "The first burner I light pops and flares, then it settles.",
        is_gas: false,
    },
    Symptom {
        shows: |v| v[Id::FullManifold.index()].is_some_and(|pa| pa < inwc_to_pa(WEAK_INWC)),
        of: Complaint::Weak,
        said: "It is all right with one burner, but weak when everything is on.",
        is_gas: false,
    },
];

/// What the owner says of a rig with these values, what it is a complaint of, and whether escaping gas is in it.
pub(super) fn complaint(summary: &str, values: &Values) -> (String, Vec<Complaint>, bool) {
    let noticed = SYMPTOMS.iter().filter(|s| (s.shows)(values)).take(2);
    let noticed: Vec<&Symptom> = noticed.collect();
    let lines: Vec<&str> = noticed.iter().map(|s| s.said).collect();
    let mut of: Vec<Complaint> = noticed.iter().map(|s| s.of).collect();
    of.dedup();
    let said = if lines.is_empty() {
        "Nothing I could name, but something is not as it was. Please look it over.".to_owned()
    } else {
        lines.join(" ")
    };
    let gas = noticed.iter().any(|s| s.is_gas);
    (format!("{summary} {said}"), of, gas)
}

/// Whether a rig of these values shows a sign of a complaint; of none, whether it shows no sign of any.
pub fn fits(complaint: Complaint, values: &Values) -> bool {
    if complaint == Complaint::Season {
        let mut others = Complaint::ALL.into_iter().filter(|c| c.1 != complaint);
        return !others.any(|c| fits(c.1, values));
    }
    let sign = |(id, words): &(Id, &[usize])| {
        values[id.index()].is_some_and(|word| words.contains(&(word as usize)))
    };
    let noticed = |s: &Symptom| s.of == complaint && (s.shows)(values);
    complaint.signs().iter().any(sign) || SYMPTOMS.iter().any(noticed)
}

/// The complaints that a rig of these values shows a sign of.
pub fn that_fit(values: &Values) -> Vec<Complaint> {
    let all = Complaint::ALL.into_iter().map(|c| c.1);
    all.filter(|c| fits(*c, values)).collect()
}

/// Some complaints in the words of a file.
pub fn in_words(complaints: &[Complaint]) -> String {
    let quoted = |c: &Complaint| format!("\"{}\"", words(&Complaint::ALL, c));
    let all: Vec<String> = complaints.iter().map(quoted).collect();
    all.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Who noticed these things.
    fn owner(seen: &[(Id, f64)]) -> (String, bool) {
        let mut values: Values = [None; crate::visit::ITEMS];
        for (id, value) in seen {
            values[id.index()] = Some(*value);
        }
        let (words, of, gas) = complaint("Three burners.", &values);
        // What is said is said of what shows.
        assert!(of.iter().all(|c| fits(*c, &values)), "{words}: {of:?}");
        (words, gas)
    }

    #[test]
    fn gas_is_told_where_bubbles_would_stand_and_nowhere_else() {
        for leak in [
            Id::SecondVentRest,
            Id::FirstVentRest,
            Id::FluidPigtail,
            Id::FluidLowSide,
            Id::FluidBurner,
        ] {
            assert!(owner(&[(leak, 2.0)]).1, "{leak:?}");
            assert!(!owner(&[(leak, 1.0)]).1, "{leak:?}");
        }
        // A roar is gas that leaves a vent, as `Sound::Roar` has it; a hum is none.
        assert!(owner(&[(Id::SoundFlowing, f64::from(2_u8))]).1);
        assert!(!owner(&[(Id::SoundFlowing, 3.0)]).1);
        // What comes before it in what an owner tells may leave no room for it.
        let (words, gas) = owner(&[
            (Id::Flames, 1.0),
            (Id::OddOne, 1.0),
            (Id::FluidLowSide, 2.0),
        ]);
        assert!(!gas, "{words}");
        assert!(!owner(&[(Id::Flames, 1.0)]).1);
        assert!(!owner(&[]).1);
    }

    #[test]
    fn a_complaint_fits_where_its_sign_is_there_and_none_where_no_sign_is() {
        let of = |id: Id, word: f64| {
            let mut values: Values = [None; crate::visit::ITEMS];
            values[id.index()] = Some(word);
            that_fit(&values)
        };
        assert_eq!(
            of(Id::Flames, 0.0),
            [Complaint::Season],
            "they burn as they should"
        );
        // A flame that does not burn as it should is one of carbon monoxide and soot too.
        let with = |c| [c, Complaint::Monoxide, Complaint::Soot];
        assert_eq!(of(Id::Flames, 1.0), with(Complaint::Weak));
        assert_eq!(of(Id::Flames, 2.0), with(Complaint::Hard));
        assert_eq!(of(Id::SecondVentRest, 2.0), [Complaint::Smell]);
        assert_eq!(of(Id::FrostBody, 1.0), [Complaint::Frost]);
        assert_eq!(of(Id::FullManifold, inwc_to_pa(9.9)), [Complaint::Weak]);
        assert_eq!(of(Id::FullManifold, inwc_to_pa(10.1)), [Complaint::Season]);
        assert_eq!(of(Id::RestMinute, inwc_to_pa(13.5)), [Complaint::Hard]);
        assert_eq!(in_words(&of(Id::SecondVentRest, 2.0)), "\"smell of gas\"");
    }
}
