//! The coded part of a drill file: what is hidden is not readable at a glance, and a file that was
//! changed after it was sealed is noticed.
//!
//! This is no secrecy. Whoever has the program has all it takes to open the seal; it only keeps an
//! eye that skims the file from reading the answer.
//!
//! Shape, format 2: `twostage-sealed 2 <sum> <signs>`, blanks and line ends anywhere between. The
//! sum is the 64-bit FNV-1a hash (published: Fowler, Noll, Vo) of the open text, a line end, and
//! the hidden text; the signs are the hidden text's UTF-8 bytes exclusive-or a `SplitMix64` stream
//! started by the sum, three bytes in four signs (base 64, published: RFC 4648, without its padding).
//! Format 1, in hex, is still read. The open text is the file without its seal, every line trimmed at its end
//! and empty lines left out, so that mail which changes line ends does no harm.

use crate::diagnosis::library::random::split_mix;
use crate::form::fnv1a;

/// Version written.
pub const VERSION: u32 = 2;
/// Version that was written in hex.
const HEX: u32 = 1;
/// First word of a seal.
const NAME: &str = "twostage-sealed";
/// Key of the seal in a drill file.
pub const KEY: &str = "sealed";
/// Most signs of a seal.
pub const MOST_SIGNS: usize = 60_000;
/// Length of a line of signs.
const LINE: usize = 76;

/// Why a seal does not open.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SealError {
    /// Not a seal at all.
    #[error("the sealed part is damaged: {0}")]
    Damaged(&'static str),
    /// Made by a later program.
    #[error("the sealed part has version {0}; this program reads version {VERSION}")]
    Newer(u32),
    /// The sum does not fit.
    #[error("the file was changed after it was sealed")]
    Changed,
}

/// `SplitMix64` (published: Steele, Lea, Flood 2014). For coding and for the generator's choices;
/// not for secrets.
#[derive(Debug, Clone)]
pub struct Stream(pub u64);

impl Stream {
    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        split_mix(&mut self.0)
    }

    /// Even over 0 to 1.
    pub fn uniform(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number under `count`; 0 where there is none.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.uniform() * count as f64) as usize).min(count.saturating_sub(1))
    }
}

/// The open text of a file: what is summed.
pub fn open_text(source: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for line in source.lines() {
        let trimmed = line.trim_end();
        if inside {
            inside = !trimmed.ends_with("\"\"\"");
            continue;
        }
        if let Some(rest) = trimmed.strip_prefix(KEY)
            && rest.trim_start().starts_with('=')
        {
            inside = rest.matches("\"\"\"").count() == 1;
            continue;
        }
        if !trimmed.is_empty() {
            out.push_str(trimmed);
            out.push('\n');
        }
    }
    out
}

fn sum(open: &str, hidden: &str) -> u64 {
    fnv1a(format!("{open}\n{hidden}").as_bytes())
}

fn mixed(bytes: &[u8], sum: u64) -> Vec<u8> {
    let mut stream = Stream(sum);
    let keys = std::iter::repeat_with(|| stream.bits().to_le_bytes()).flatten();
    bytes.iter().zip(keys).map(|(b, k)| b ^ k).collect()
}

/// The signs of base 64 in their order.
const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Bytes as signs, three in four.
pub fn signs_of(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |i: usize| u32::from(three.get(i).copied().unwrap_or(0));
        let all = byte(0) << 16 | byte(1) << 8 | byte(2);
        for i in 0..=three.len() {
            out.push(char::from(SIGNS[(all >> (18 - 6 * i) & 63) as usize]));
        }
    }
    out
}

/// The bytes of signs; none where a sign is not one, or some are missing.
pub fn bytes_of(signs: &str) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(signs.len() / 4 * 3);
    for four in signs.as_bytes().chunks(4) {
        let mut all = 0;
        for (i, sign) in four.iter().enumerate() {
            let place = match sign {
                b'A'..=b'Z' => sign - b'A',
                b'a'..=b'z' => sign - b'a' + 26,
                b'0'..=b'9' => sign - b'0' + 52,
                b'+' => 62,
                b'/' => 63,
                _ => return None,
            };
            all |= u32::from(place) << (18 - 6 * i);
        }
        if four.len() == 1 {
            return None;
        }
        out.extend(&all.to_be_bytes()[1..four.len()]);
    }
    Some(out)
}

fn bytes_of_hex(hex: &str) -> Option<Vec<u8>> {
    let digits: Option<Vec<u8>> = hex
        .chars()
        .map(|c| c.to_digit(16).map(|d| d as u8))
        .collect();
    let digits = digits.filter(|d| d.len() % 2 == 0)?;
    Some(digits.chunks(2).map(|d| d[0] << 4 | d[1]).collect())
}

/// The seal over a hidden text, in lines.
pub fn seal(open: &str, hidden: &str) -> String {
    let sum = sum(open, hidden);
    let mut out = format!("{NAME} {VERSION} {sum:016x}\n");
    let signs = signs_of(&mixed(hidden.as_bytes(), sum));
    for line in signs.as_bytes().chunks(LINE) {
        out.push_str(&String::from_utf8_lossy(line));
        out.push('\n');
    }
    out
}

/// The hidden text under a seal.
///
/// # Errors
/// [`SealError`]: damaged, from a later program, or not of this open text.
pub fn unseal(open: &str, sealed: &str) -> Result<String, SealError> {
    let mut words = sealed.split_whitespace();
    if words.next() != Some(NAME) {
        return Err(SealError::Damaged("it does not start as a seal does"));
    }
    let version = words.next().and_then(|w| w.parse::<u32>().ok());
    match version {
        Some(VERSION | HEX) => {}
        Some(version) => return Err(SealError::Newer(version)),
        None => return Err(SealError::Damaged("it has no version")),
    }
    let sum_word = words.next().filter(|w| w.len() == 16);
    let told = sum_word.and_then(|w| u64::from_str_radix(w, 16).ok());
    let told = told.ok_or(SealError::Damaged("it has no sum"))?;
    let signs: String = words.collect();
    let bytes = match version {
        Some(HEX) => bytes_of_hex(&signs),
        _ => bytes_of(&signs),
    };
    let bytes = bytes.ok_or(SealError::Damaged("it is cut off or holds other signs"))?;
    let hidden = String::from_utf8(mixed(&bytes, told)).map_err(|_| SealError::Changed)?;
    if sum(open, &hidden) == told {
        Ok(hidden)
    } else {
        Err(SealError::Changed)
    }
}
