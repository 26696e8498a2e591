//! What can be wrong with a written quantity, said with what would be right.

use super::dimension::Dimension;

/// A quantity that could not be read. `Display` gives what is wrong and what to do in one line;
/// [`UnitError::message`] and [`UnitError::help`] give the two halves.
#[derive(Debug, Clone, PartialEq)]
pub enum UnitError {
    /// Nothing is written.
    Empty {
        /// What was wanted.
        wanted: Dimension,
    },
    /// It does not begin with a number.
    NoNumber {
        /// What stands there.
        text: String,
        /// What was wanted.
        wanted: Dimension,
    },
    /// From one number to another, where one is wanted.
    Range {
        /// What stands there.
        text: String,
        /// Its middle, with its unit.
        middle: String,
    },
    /// A number with a word or sign before it that says it is roughly so.
    Roughly {
        /// What stands there.
        text: String,
        /// The number and its unit.
        number: String,
    },
    /// It begins like a number and is none.
    BadNumber {
        /// The part that looks like a number.
        number: String,
        /// The likely right number, if there is one.
        likely: Option<String>,
        /// What was wanted.
        wanted: Dimension,
    },
    /// Not a number, infinite, or too large to compute with.
    NotFinite {
        /// What stands there.
        text: String,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A number without its unit.
    Bare {
        /// The number.
        number: String,
        /// What was wanted.
        wanted: Dimension,
    },
    /// No unit of any kind is spelt so.
    UnknownUnit {
        /// What stands there.
        unit: String,
        /// The accepted spelling nearest to it.
        nearest: Option<&'static str>,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A unit, but of another kind of quantity.
    OtherDimension {
        /// The unit.
        unit: String,
        /// What it measures.
        found: Dimension,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A unit two trades read differently.
    TwoMeanings {
        /// The unit.
        unit: String,
        /// What to write instead.
        instead: &'static str,
    },
    /// Under the least there can be, such as absolute zero.
    UnderFloor {
        /// What stands there.
        text: String,
        /// What was wanted.
        wanted: Dimension,
    },
}

impl UnitError {
    /// What is wrong, without a full stop.
    pub fn message(&self) -> String {
        match self {
            Self::Empty { wanted } => {
                format!("nothing is written; {} is wanted", wanted.with_article())
            }
            Self::NoNumber { text, wanted } => {
                format!(
                    "`{text}` does not begin with a number; {} is wanted",
                    wanted.with_article()
                )
            }
            Self::Range { text, .. } => format!("`{text}` is a range, and one value is wanted"),
            Self::Roughly { text, .. } => format!("`{text}` does not begin with a number"),
            Self::BadNumber { number, .. } => format!("`{number}` is no number"),
            Self::NotFinite { text, .. } => format!("`{text}` is no number to compute with"),
            Self::Bare { wanted, .. } => {
                format!("a bare number: {} needs a unit", wanted.with_article())
            }
            Self::UnknownUnit { unit, wanted, .. } => {
                format!("`{unit}` is no unit of {}", wanted.with_article())
            }
            Self::OtherDimension {
                unit,
                found,
                wanted,
            } => format!(
                "{unit} is {}; {} is wanted",
                found.with_article(),
                wanted.with_article()
            ),
            Self::TwoMeanings { unit, .. } => {
                format!("`{unit}` is a thousand to some and a million to others")
            }
            Self::UnderFloor { text, wanted } => match wanted {
                Dimension::Temperature => format!("`{text}` is under absolute zero"),
                _ => format!("`{text}` is under vacuum"),
            },
        }
    }

    /// What would be right, as it goes on from the word "try".
    pub fn help(&self) -> String {
        match self {
            Self::Range { middle, .. } => format!("its middle, `{middle}`"),
            Self::Roughly { number, .. } => format!("`{number}`"),
            Self::BadNumber {
                likely: Some(likely),
                ..
            } => format!("`{likely}`"),
            Self::Bare { number, wanted } => match wanted.units() {
                [first, second, third, ..] => format!(
                    "\"{number} {}\", \"{number} {}\" or \"{number} {}\", whichever is meant",
                    first.symbol, second.symbol, third.symbol
                ),
                _ => examples(*wanted),
            },
            Self::UnknownUnit {
                nearest: Some(nearest),
                ..
            } => format!("`{nearest}`"),
            Self::UnknownUnit { wanted, .. } => {
                let all = wanted.units().iter().map(|unit| unit.symbol);
                let (named, alone): (Vec<&str>, Vec<&str>) = all.partition(|s| !s.is_empty());
                let one_of = if named.len() > 1 { "one of " } else { "" };
                let or = if alone.is_empty() {
                    ""
                } else {
                    ", or a number alone"
                };
                format!("{one_of}{}{or}", named.join(", "))
            }
            Self::TwoMeanings { instead, .. } => format!("`{instead}`"),
            Self::Empty { wanted }
            | Self::NoNumber { wanted, .. }
            | Self::BadNumber { wanted, .. }
            | Self::NotFinite { wanted, .. }
            | Self::OtherDimension { wanted, .. }
            | Self::UnderFloor { wanted, .. } => examples(*wanted),
        }
    }
}

fn examples(wanted: Dimension) -> String {
    let [us, si] = wanted.examples();
    format!("\"{us}\" or \"{si}\"")
}

impl std::fmt::Display for UnitError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; try {}", self.message(), self.help())
    }
}

impl std::error::Error for UnitError {}
