//! Names of attempts' files: `TRAINEE.DRILL.ORDER.DATE.ATTEMPT.PROCESS.attempt`.
//!
//! `ATTEMPT` and `PROCESS` are random, so that two computers never choose the same name. `ORDER` is one more than the
//! greatest that was in the folder when the attempt was begun (a logical clock after Lamport 1978, published): what a
//! person began after having seen something else stands after it, whatever the clocks say. `DATE` is that computer's clock
//! in UTC, for people only.

use crate::drill::attempt::folder::ENDING;
use std::hash::BuildHasher as _;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

/// Longest short name of a drill, characters.
pub const DRILL_CHARS: usize = 80;

/// A moment by a computer's clock, to the second, in UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    /// Seconds since 1970, without leap seconds.
    pub seconds: u64,
}

/// The last second of the year 9999, the last that four digits can say.
const LAST: u64 = 253_402_300_799;

impl Date {
    /// Now, by this computer's clock; 1970 where that is set to before.
    pub fn now() -> Self {
        let since = SystemTime::now().duration_since(UNIX_EPOCH);
        Self {
            seconds: since.map_or(0, |d| d.as_secs()).min(LAST),
        }
    }

    /// Year, month, day, hour, minute, second. Days to a date of the Gregorian calendar after Hinnant 2013 (published).
    pub fn civil(self) -> [u64; 6] {
        let (days, second) = (self.seconds / 86_400, self.seconds % 86_400);
        let shifted = days + 719_468;
        let era = shifted / 146_097;
        let of_era = shifted % 146_097;
        let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let march = (5 * of_year + 2) / 153;
        let day = of_year - (153 * march + 2) / 5 + 1;
        let month = if march < 10 { march + 3 } else { march - 9 };
        let year = 400 * era + year_of_era + u64::from(month <= 2);
        [
            year,
            month,
            day,
            second / 3600,
            second / 60 % 60,
            second % 60,
        ]
    }

    /// As it stands in names of files: `20261127T081500`.
    pub fn compact(self) -> String {
        let [y, mo, d, h, mi, s] = self.civil();
        format!("{y:04}{mo:02}{d:02}T{h:02}{mi:02}{s:02}")
    }

    /// As people read it: `2026-11-27 08:15`.
    pub fn words(self) -> String {
        let [y, mo, d, h, mi, _] = self.civil();
        format!("{y:04}-{mo:02}-{d:02} {h:02}:{mi:02}")
    }

    /// As RFC 3339 (published) writes it: `2026-11-27T08:15:00Z`.
    pub fn rfc3339(self) -> String {
        let [y, mo, d, h, mi, s] = self.civil();
        format!("{y:04}-{mo:02}-{d:02}T{h:02}:{mi:02}:{s:02}Z")
    }

    /// Reads what [`Date::compact`] wrote.
    pub fn parse(text: &str) -> Option<Self> {
        let (day, time) = text.split_once('T')?;
        let digits = |t: &str, n: usize| t.len() == n && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(day, 8) || !digits(time, 6) {
            return None;
        }
        let number = |t: &str| t.parse::<u64>().ok();
        let (y, mo, d) = (number(&day[..4])?, number(&day[4..6])?, number(&day[6..])?);
        let (h, mi, s) = (
            number(&time[..2])?,
            number(&time[2..4])?,
            number(&time[4..])?,
        );
        if !(1970..=9999).contains(&y) || !(1..=12).contains(&mo) || !(1..=31).contains(&d) {
            return None;
        }
        let year = if mo <= 2 { y - 1 } else { y };
        let (era, of_era) = (year / 400, year % 400);
        let of_year = (153 * (if mo > 2 { mo - 3 } else { mo + 9 }) + 2) / 5 + d - 1;
        let days = 146_097 * era + 365 * of_era + of_era / 4 - of_era / 100 + of_year;
        let seconds = days.checked_sub(719_468)? * 86_400 + 3600 * h + 60 * mi + s;
        let out = Self { seconds };
        // A thirty-first of February is none.
        (out.compact() == text).then_some(out)
    }
}

/// 64 random bits of the system's, as the standard library draws them for its hash tables.
pub fn random_bits() -> u64 {
    let pid = std::process::id();
    std::hash::RandomState::new().hash_one((pid, Date::now().seconds))
}

/// Twelve random letters and digits.
pub fn random_word() -> String {
    format!("{:012x}", random_bits() & 0xffff_ffff_ffff)
}

/// Whether a text can be a part of such a name.
pub fn is_word(text: &str) -> bool {
    (1..=32).contains(&text.len())
        && text
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit())
}

/// What the name of an attempt's file tells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AttemptName {
    /// Pseudonym of whose it is.
    pub trainee: String,
    /// Short name of the drill.
    pub drill: String,
    /// Place in the order of beginning.
    pub order: u64,
    /// When it was begun by that computer's clock.
    pub date: Date,
    /// The attempt.
    pub attempt: String,
    /// The process that writes this file.
    pub process: String,
}

impl AttemptName {
    /// The name of the file.
    pub fn file(&self) -> String {
        format!(
            "{}.{}.{:05}.{}.{}.{}.{ENDING}",
            self.trainee,
            self.drill,
            self.order,
            self.date.compact(),
            self.attempt,
            self.process
        )
    }

    /// Reads the name of a file.
    pub fn of(path: &Path) -> Option<Self> {
        let file = path.file_name()?.to_str()?;
        let stem = file.strip_suffix(ENDING)?.strip_suffix('.')?;
        let (trainee, rest) = stem.split_once('.')?;
        let mut back = rest.rsplitn(5, '.');
        let (process, attempt) = (back.next()?, back.next()?);
        let (date, order, drill) = (back.next()?, back.next()?, back.next()?);
        let sound = [trainee, attempt, process].into_iter().all(is_word);
        let digits = order.len() >= 5 && order.bytes().all(|b| b.is_ascii_digit());
        (sound && digits && !drill.is_empty()).then_some(())?;
        Some(Self {
            trainee: trainee.to_owned(),
            drill: drill.to_owned(),
            order: order.parse().ok()?,
            date: Date::parse(date)?,
            attempt: attempt.to_owned(),
            process: process.to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_read_back_whatever_the_drill_is_called() {
        for drill in ["the_new_bottle", "friday.v2", "x"] {
            let name = AttemptName {
                trainee: "t1".to_owned(),
                drill: drill.to_owned(),
                order: 123_456,
                date: Date::now(),
                attempt: random_word(),
                process: random_word(),
            };
            assert_eq!(AttemptName::of(Path::new(&name.file())), Some(name));
        }
        for none in [
            "Ada.attempt",
            "t.d.00001.20260230T000000.a.b.attempt",
            "t.d.1.x.a.b.attempt",
            "",
        ] {
            assert_eq!(AttemptName::of(Path::new(none)), None, "{none}");
        }
    }

    #[test]
    fn dates_are_those_of_the_calendar() {
        // Worked out by hand from the lengths of the months.
        for (seconds, compact) in [
            (0, "19700101T000000"),
            (951_827_696, "20000229T123456"),
            (1_767_225_599, "20251231T235959"),
            (LAST, "99991231T235959"),
        ] {
            let date = Date { seconds };
            assert_eq!(date.compact(), compact);
            assert_eq!(Date::parse(compact), Some(date));
        }
        assert_eq!(
            Date {
                seconds: 951_827_696
            }
            .rfc3339(),
            "2000-02-29T12:34:56Z"
        );
    }

    #[test]
    fn random_words_differ() {
        let words: std::collections::BTreeSet<String> = (0..1000).map(|_| random_word()).collect();
        assert_eq!(words.len(), 1000);
        assert!(words.iter().all(|w| is_word(w)));
    }
}
