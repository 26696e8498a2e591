//! What is told of a rig besides what a visit reads: the customer's complaint, and where gas is smelled. Each is a word
//! of a closed list, and weighs causes by what their visits show: a complaint by the signs that go with it, a smell by
//! the leaks that would give it. So neither needs a column of its own in a library, and a cause nobody has thought of
//! is weighed like any other.
//!
//! Softly: a customer tells of other days than the visit's, and noses differ. Which signs go with a complaint is common
//! practice (no source); the chances are our own.

use crate::diagnosis::library::words::MOST_WORDS;
use crate::visit::item::BUBBLES;
use crate::visit::{ALL, Id, NUMBERS};
use serde::Serialize;

/// What a customer complains of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Complaint {
    /// Weak flames, slow to heat.
    Weak,
    /// Flames too high, loud, lifting.
    Hard,
    /// Flames that jump or surge.
    Surging,
    /// An appliance goes out.
    GoesOut,
    /// An appliance will not light.
    WillNotLight,
    /// A smell of gas.
    Smell,
    /// A noise at the regulator.
    Noise,
    /// Frost or ice.
    Frost,
    /// A carbon monoxide alarm, or people who feel sick inside.
    Monoxide,
    /// Soot at an appliance.
    Soot,
    /// Nothing: the season's check.
    Season,
}

/// Where gas is smelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Smell {
    /// Nowhere.
    Nowhere,
    /// At a container or its pigtail.
    Container,
    /// At the regulator.
    Regulator,
    /// Along the piping.
    Piping,
    /// At an appliance, or inside.
    Appliance,
}

/// An item with the words of it that are a sign.
type Sign = (Id, &'static [usize]);

const ANY_BUBBLES: &[usize] = &[1, 2, 3];
const LEAKS: [Sign; 7] = [
    (Id::FluidPigtail, ANY_BUBBLES),
    (Id::FluidLowSide, ANY_BUBBLES),
    (Id::FluidBurner, ANY_BUBBLES),
    (Id::FirstVentRest, ANY_BUBBLES),
    (Id::FirstVentFlowing, ANY_BUBBLES),
    (Id::SecondVentRest, ANY_BUBBLES),
    (Id::SecondVentFlowing, ANY_BUBBLES),
];
const WEAK: [Sign; 3] = [
    (Id::Flames, &[1, 4]),
    (Id::LongFlames, &[1, 4, 5]),
    (Id::OddOne, &[1]),
];
const HARD: [Sign; 2] = [(Id::Flames, &[2, 3]), (Id::OddOne, &[2])];
const SURGING: [Sign; 2] = [(Id::Flames, &[5]), (Id::LongFlames, &[5])];
const GOES_OUT: [Sign; 3] = [
    (Id::Flames, &[4, 5]),
    (Id::LongFlames, &[4, 5]),
    (Id::OddOne, &[4, 5]),
];
const WILL_NOT_LIGHT: [Sign; 3] = [
    (Id::Flames, &[4]),
    (Id::OddOne, &[3, 5]),
    (Id::Lighting, &[1]),
];
const NOISE: [Sign; 2] = [
    (Id::SoundFlowing, ANY_BUBBLES),
    (Id::SoundRest, ANY_BUBBLES),
];
const FROST: [Sign; 3] = [
    (Id::FrostBody, &[1]),
    (Id::FrostContainer, &[1]),
    (Id::VentLooks, &[2]),
];

/// What burns with too little air for its gas makes soot and carbon monoxide: overfired, or too soft to draw its air; what
/// lifts makes carbon monoxide alone (common practice).
const SOOT: [Sign; 3] = [
    (Id::Flames, &[1, 2]),
    (Id::LongFlames, &[1, 2]),
    (Id::OddOne, &[2]),
];
const MONOXIDE: [Sign; 3] = [
    (Id::Flames, &[1, 2, 3]),
    (Id::LongFlames, &[1, 2, 3]),
    (Id::OddOne, &[2]),
];

/// Chance that a complaint is made of a rig that shows one of its signs on the visit, and of one that shows none (own).
const SAID: f64 = 0.5;
const SAID_OTHERWISE: f64 = 0.1;
/// Chance that gas is smelled where leak fluid shows none, slow, steady bubbles or is blown away (own).
const SMELLED: [f64; 4] = [0.02, 0.3, 0.8, 0.97];

impl Complaint {
    /// All of them with their words.
    pub const ALL: [(&'static str, Self); 11] = [
        ("weak flames", Self::Weak),
        ("flames too high", Self::Hard),
        ("flames that surge", Self::Surging),
        ("an appliance goes out", Self::GoesOut),
        ("an appliance will not light", Self::WillNotLight),
        ("smell of gas", Self::Smell),
        ("noise at the regulator", Self::Noise),
        ("frost or ice", Self::Frost),
        ("carbon monoxide alarm or headaches", Self::Monoxide),
        ("soot", Self::Soot),
        ("none, a season's check", Self::Season),
    ];

    /// Words that people use for them besides.
    pub(in crate::diagnosis) const SPOKEN: [(&'static str, Self); 72] = [
        ("low flames", Self::Weak),
        ("low flame", Self::Weak),
        ("weak flame", Self::Weak),
        ("lazy flames", Self::Weak),
        ("yellow flames", Self::Weak),
        ("high flames", Self::Hard),
        ("flames lift", Self::Hard),
        ("flames roar", Self::Hard),
        ("surging flames", Self::Surging),
        ("flames surge", Self::Surging),
        ("jumping flames", Self::Surging),
        ("flames jump", Self::Surging),
        ("pulsing flames", Self::Surging),
        ("flames pulse", Self::Surging),
        ("goes out", Self::GoesOut),
        ("drops out", Self::GoesOut),
        ("furnace goes out", Self::GoesOut),
        ("the furnace goes out", Self::GoesOut),
        ("water heater goes out", Self::GoesOut),
        ("refrigerator goes out", Self::GoesOut),
        ("flames go out", Self::GoesOut),
        ("pilot goes out", Self::GoesOut),
        ("the pilot goes out", Self::GoesOut),
        ("a pilot goes out", Self::GoesOut),
        ("pilot out", Self::GoesOut),
        ("pilot will not stay lit", Self::GoesOut),
        ("cooktop goes out", Self::GoesOut),
        ("will not light", Self::WillNotLight),
        ("nothing lights", Self::WillNotLight),
        ("nothing will light", Self::WillNotLight),
        ("nothing burns", Self::WillNotLight),
        ("no flame", Self::WillNotLight),
        ("no gas", Self::WillNotLight),
        ("burners will not light", Self::WillNotLight),
        ("furnace will not light", Self::WillNotLight),
        ("does not light", Self::WillNotLight),
        ("no heat", Self::WillNotLight),
        ("locks out", Self::WillNotLight),
        ("pilot will not light", Self::WillNotLight),
        ("water heater will not light", Self::WillNotLight),
        ("refrigerator will not light", Self::WillNotLight),
        ("smells of gas", Self::Smell),
        ("gas smell", Self::Smell),
        ("hiss", Self::Noise),
        ("hum", Self::Noise),
        ("frost", Self::Frost),
        ("ice", Self::Frost),
        ("headache", Self::Monoxide),
        ("headaches", Self::Monoxide),
        ("carbon monoxide", Self::Monoxide),
        ("carbon monoxide alarm", Self::Monoxide),
        ("co", Self::Monoxide),
        ("co alarm", Self::Monoxide),
        ("co alarm goes off", Self::Monoxide),
        ("alarm goes off", Self::Monoxide),
        ("sick", Self::Monoxide),
        ("feel sick", Self::Monoxide),
        ("feels sick", Self::Monoxide),
        ("people sick", Self::Monoxide),
        ("people feel sick", Self::Monoxide),
        ("dizzy", Self::Monoxide),
        ("dizziness", Self::Monoxide),
        ("nausea", Self::Monoxide),
        ("sooty", Self::Soot),
        ("sooting", Self::Soot),
        ("soot at the furnace", Self::Soot),
        ("soot at an appliance", Self::Soot),
        ("black soot", Self::Soot),
        ("sooty flames", Self::Soot),
        ("soot on the pots", Self::Soot),
        ("none", Self::Season),
        ("season's check", Self::Season),
    ];

    /// The items with the words of each that are a sign of it.
    pub fn signs(self) -> Vec<Sign> {
        match self {
            Self::Weak => WEAK.to_vec(),
            Self::Hard => HARD.to_vec(),
            Self::Surging => SURGING.to_vec(),
            Self::GoesOut => GOES_OUT.to_vec(),
            Self::WillNotLight => WILL_NOT_LIGHT.to_vec(),
            Self::Smell => LEAKS.to_vec(),
            Self::Noise => NOISE.to_vec(),
            Self::Frost => FROST.to_vec(),
            Self::Monoxide => MONOXIDE.to_vec(),
            Self::Soot => SOOT.to_vec(),
            Self::Season => [
                &LEAKS[..],
                &WEAK,
                &HARD,
                &SURGING,
                &GOES_OUT,
                &WILL_NOT_LIGHT,
                &NOISE,
            ]
            .concat(),
        }
    }
}

impl Smell {
    /// All of them with their words.
    pub const ALL: [(&'static str, Self); 5] = [
        ("nowhere", Self::Nowhere),
        ("at the container", Self::Container),
        ("at the regulator", Self::Regulator),
        ("along the piping", Self::Piping),
        ("at an appliance or inside", Self::Appliance),
    ];

    /// Words that people use for them besides.
    pub(in crate::diagnosis) const SPOKEN: [(&'static str, Self); 19] = [
        ("none", Self::Nowhere),
        ("no", Self::Nowhere),
        ("outside", Self::Container),
        ("at the cylinder", Self::Container),
        ("at the tank", Self::Container),
        ("at the bottle", Self::Container),
        ("at the vent", Self::Regulator),
        ("under the vehicle", Self::Piping),
        ("inside", Self::Appliance),
        ("indoors", Self::Appliance),
        ("in the kitchen", Self::Appliance),
        ("at the stove", Self::Appliance),
        ("at the cooktop", Self::Appliance),
        ("at the oven", Self::Appliance),
        ("at the furnace", Self::Appliance),
        ("at the heater", Self::Appliance),
        ("at the water heater", Self::Appliance),
        ("at the refrigerator", Self::Appliance),
        ("at an appliance", Self::Appliance),
    ];

    fn leaks(self) -> &'static [Sign] {
        match self {
            Self::Nowhere => &LEAKS,
            Self::Container => &LEAKS[..1],
            Self::Piping => &LEAKS[1..2],
            Self::Appliance => &LEAKS[1..3],
            Self::Regulator => &LEAKS[3..],
        }
    }
}

/// The words of a value of one of the lists.
pub fn words<T: PartialEq>(list: &[(&'static str, T)], value: &T) -> &'static str {
    let found = list.iter().find(|(_, v)| v == value);
    found.map_or("", |(words, _)| words)
}

/// Something told, as a likelihood weighs it.
#[derive(Debug, Clone)]
pub(in crate::diagnosis) struct Told {
    /// Chance that it is told by the word that each item has; the greatest counts.
    by: Vec<(usize, [f64; MOST_WORDS])>,
    /// Whether what is told is that it is not so.
    absent: bool,
}

impl From<Complaint> for Told {
    fn from(complaint: Complaint) -> Self {
        let chances = |(id, signs): Sign| {
            let chance = |w| {
                if signs.contains(&w) {
                    SAID
                } else {
                    SAID_OTHERWISE
                }
            };
            (id.index() - NUMBERS, std::array::from_fn(chance))
        };
        Self {
            by: complaint.signs().into_iter().map(chances).collect(),
            absent: complaint == Complaint::Season,
        }
    }
}

impl From<Smell> for Told {
    fn from(smell: Smell) -> Self {
        debug_assert_eq!(SMELLED.len(), BUBBLES.len());
        let chance = |w: usize| SMELLED[w.min(SMELLED.len() - 1)];
        let leaks = smell.leaks().iter();
        Self {
            by: leaks
                .map(|(id, _)| (id.index() - NUMBERS, std::array::from_fn(chance)))
                .collect(),
            absent: smell == Smell::Nowhere,
        }
    }
}

impl Told {
    /// Logarithm of its chance where a visit shows these words.
    pub(in crate::diagnosis) fn log(&self, words: &[u8]) -> f64 {
        let chances = self
            .by
            .iter()
            .map(|(k, by)| by[usize::from(words[*k]).min(MOST_WORDS - 1)]);
        let told = chances.fold(0.0, f64::max);
        let chance: f64 = if self.absent { 1.0 - told } else { told };
        chance.max(1e-6).ln()
    }

    /// The same where nothing is known of the words: the middle of what it can be.
    pub(in crate::diagnosis) fn log_of_unknown(&self) -> f64 {
        let all = self.by.iter().flat_map(|(k, by)| {
            let words = ALL[NUMBERS + k].choices().map_or(0, <[_]>::len);
            by[..words.min(MOST_WORDS)].to_vec()
        });
        let (low, high) = all.fold((1.0_f64, 0.0_f64), |(l, h), c| (l.min(c), h.max(c)));
        let middle = 0.5 * (low + high);
        (if self.absent { 1.0 - middle } else { middle }).ln()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sign_makes_what_is_told_likelier_and_no_more_than_softly() {
        let quiet = [0_u8; crate::visit::ITEMS - NUMBERS];
        for (_, complaint) in Complaint::ALL {
            let told = Told::from(complaint);
            for (id, signs) in complaint.signs() {
                let mut shown = quiet;
                shown[id.index() - NUMBERS] = signs[0] as u8;
                let weighs = told.log(&shown) - told.log(&quiet);
                let weighs = if complaint == Complaint::Season {
                    -weighs
                } else {
                    weighs
                };
                assert!(weighs > 0.4 && weighs < 2.0, "{complaint:?} {weighs}");
            }
        }
        for (_, smell) in Smell::ALL {
            let told = Told::from(smell);
            let mut leaks = quiet;
            leaks[smell.leaks()[0].0.index() - NUMBERS] = 2;
            let weighs = told.log(&leaks) - told.log(&quiet);
            assert_eq!(weighs > 0.0, smell != Smell::Nowhere, "{smell:?}");
            assert!(told.log_of_unknown().is_finite());
        }
    }
}
