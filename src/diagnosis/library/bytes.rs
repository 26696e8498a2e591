//! A library as bytes: the file that is built in, and those of the user's cache. A number takes two
//! bytes, in steps of a tenth of what an instrument shows; what is cut, foreign or of another
//! model is refused.

use super::coded::Coded;
use super::collection::{Library, Sample};
use super::parallel::in_parallel;
use super::unknowns::{UNKNOWNS, Unknowns};
use super::{checked, fingerprint};
use crate::fault::Fault;
use crate::scenario::Scenario;
use crate::visit::Item;

impl Library {
    /// The library as bytes, with its digest and probes.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Vec::from(*MAGIC);
        out.extend(self.digest.to_le_bytes());
        out.extend((self.rounds as u32).to_le_bytes());
        out.extend((self.samples.len() as u32).to_le_bytes());
        let faults: Vec<Fault> = Fault::all_in(&self.base.rig).collect();
        let layout = Layout::of(&self.base, &faults);
        for probe in fingerprint::probes(&self.base) {
            let coded = probe.as_ref().map_or(Coded::NOTHING, Coded::of);
            layout.write_coded(&coded, &mut out);
        }
        for s in &self.samples {
            layout.write(s, &mut out);
        }
        let lines: Vec<String> = self.groups.iter().map(|g| g.join(" ")).collect();
        let text = lines.join("\n");
        out.extend((text.len() as u32).to_le_bytes());
        out.extend(text.bytes());
        let sum = checked::digest([out.as_slice()]);
        out.extend(sum.to_le_bytes());
        out
    }

    /// Takes in the samples of bytes written by [`Library::to_bytes`], if they are whole and belong to this
    /// rig and this program. Trusts them only after a few visits made now, or once before by this very program, agree.
    ///
    /// # Errors
    /// `Refused`; the library then stays as it was.
    pub fn take_bytes(&mut self, bytes: &[u8]) -> Result<(), Refused> {
        let (whole, sum) = bytes.split_last_chunk().ok_or(Refused::Damaged)?;
        if !bytes.starts_with(MAGIC) {
            return Err(Refused::Foreign);
        }
        if u64::from_le_bytes(*sum) != checked::digest([whole]) {
            return Err(Refused::Damaged);
        }
        let (samples, rounds, groups) = self.read(whole).ok_or(Refused::Foreign)?;
        (self.samples, self.rounds, self.groups) = (samples, rounds, groups);
        Ok(())
    }

    fn read(&self, bytes: &[u8]) -> Option<Taken> {
        let r = &mut Reader(bytes);
        if r.take(MAGIC.len())? != MAGIC || r.u64()? != self.digest {
            return None;
        }
        let (rounds, count) = (r.u32()? as usize, r.u32()? as usize);
        if count > 200_000 {
            return None;
        }
        let faults: Vec<Fault> = Fault::all_in(&self.base.rig).collect();
        let layout = Layout::of(&self.base, &faults);
        let mut stored = Vec::with_capacity(fingerprint::PROBES.len());
        for _ in fingerprint::PROBES {
            stored.push(layout.read_coded(r)?.values(&Unknowns([0.0; UNKNOWNS])));
        }
        let record = layout.record();
        let records = r.take(count * record)?;
        let chunks: Vec<&[u8]> = records.chunks(record * RECORDS).collect();
        let decoded = in_parallel(chunks.len(), |k| {
            let mut r = Reader(chunks[k]);
            let mut samples = Vec::with_capacity(RECORDS);
            while !r.0.is_empty() {
                samples.push(layout.read(&mut r)?);
            }
            Some(samples)
        });
        let mut samples = Vec::with_capacity(count);
        for chunk in decoded {
            samples.extend(chunk?);
        }
        let length = r.u32()? as usize;
        let text = std::str::from_utf8(r.take(length)?).ok()?;
        let groups = text
            .lines()
            .map(|line| line.split(' ').map(str::to_owned).collect())
            .collect();
        // The visits are the dear part: once they have agreed, this very program need not make them again.
        let stamp = checked::stamp(bytes);
        if !stamp.is_some_and(checked::is_known) {
            if !fingerprint::agree(&stored, &fingerprint::probes(&self.base)) {
                return None;
            }
            stamp.iter().for_each(|s| checked::remember(*s));
        }
        Some((samples, rounds, groups))
    }
}

/// Why stored bytes are not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// Not as they were written.
    #[error("it is not as it was written")]
    Damaged,
    /// Of another rig, another program or another model.
    #[error("it belongs to another rig or another state of this program")]
    Foreign,
}

/// What stored bytes hold: samples, rounds, groups.
type Taken = (Vec<Sample>, usize, Vec<Vec<String>>);

/// Samples that one thread reads at a time.
const RECORDS: usize = 512;

/// How samples of a rig lie in bytes: fault, severity, unknowns, then the items that are stored.
struct Layout<'f> {
    items: Vec<&'static Item>,
    faults: &'f [Fault],
}

impl<'f> Layout<'f> {
    fn of(base: &Scenario, faults: &'f [Fault]) -> Self {
        Self {
            items: fingerprint::stored(base).collect(),
            faults,
        }
    }

    /// Bytes of a sample.
    fn record(&self) -> usize {
        1 + 2 + UNKNOWNS + self.items.iter().map(|i| width(i)).sum::<usize>()
    }

    fn write(&self, s: &Sample, out: &mut Vec<u8>) {
        let index = s
            .fault
            .and_then(|f| self.faults.iter().position(|g| *g == f));
        out.push(index.map_or(0, |i| i as u8 + 1));
        out.extend(((SEVERITIES * s.severity).round() as u16).to_le_bytes());
        out.extend(
            s.unknowns
                .0
                .map(|z| ((Z_STEPS * z).round().clamp(-127.0, 127.0) as i8).to_le_bytes()[0]),
        );
        self.write_coded(&s.coded, out);
    }

    fn read(&self, r: &mut Reader<'_>) -> Option<Sample> {
        let fault = match usize::from(r.u8()?) {
            0 => None,
            i => Some(*self.faults.get(i - 1)?),
        };
        let severity = f64::from(u16::from_le_bytes(r.take(2)?.try_into().ok()?)) / SEVERITIES;
        let mut z = [0.0; UNKNOWNS];
        for v in &mut z {
            *v = f64::from(i8::from_le_bytes([r.u8()?])) / Z_STEPS;
        }
        Some(Sample {
            fault,
            severity,
            unknowns: Unknowns(z),
            coded: self.read_coded(r)?,
        })
    }

    fn write_coded(&self, coded: &Coded, out: &mut Vec<u8>) {
        for item in &self.items {
            coded.write(item.id, out);
        }
    }

    fn read_coded(&self, r: &mut Reader<'_>) -> Option<Coded> {
        let mut coded = Coded::NOTHING;
        for item in &self.items {
            coded.take(item.id, r.take(width(item))?)?;
        }
        Some(coded)
    }
}

/// Bytes of an item.
fn width(item: &Item) -> usize {
    if item.choices().is_none() { 2 } else { 1 }
}

/// Samples of some faults and of the healthy rig as bytes, without anything around them.
pub fn samples_to_bytes(samples: &[Sample], base: &Scenario, faults: &[Fault]) -> Vec<u8> {
    let layout = Layout::of(base, faults);
    let mut out = Vec::with_capacity(samples.len() * layout.record());
    for s in samples {
        layout.write(s, &mut out);
    }
    out
}

/// Samples written by [`samples_to_bytes`] for the same rig and faults; none where the bytes are something else.
pub fn samples_from_bytes(bytes: &[u8], base: &Scenario, faults: &[Fault]) -> Option<Vec<Sample>> {
    let layout = Layout::of(base, faults);
    let mut r = Reader(bytes);
    let mut out = Vec::with_capacity(bytes.len() / layout.record());
    while !r.0.is_empty() {
        out.push(layout.read(&mut r)?);
    }
    Some(out)
}

/// First bytes of a stored library; the figure is the version of the layout.
const MAGIC: &[u8; 8] = b"2stgdx06";
/// Steps of a stored severity.
const SEVERITIES: f64 = 65_535.0;
/// Steps of a stored unknown per standard deviation.
const Z_STEPS: f64 = 50.0;

struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    fn take(&mut self, n: usize) -> Option<&'a [u8]> {
        let (head, tail) = self.0.split_at_checked(n)?;
        self.0 = tail;
        Some(head)
    }

    fn u8(&mut self) -> Option<u8> {
        Some(self.take(1)?[0])
    }

    fn u32(&mut self) -> Option<u32> {
        Some(u32::from_le_bytes(self.take(4)?.try_into().ok()?))
    }

    fn u64(&mut self) -> Option<u64> {
        Some(u64::from_le_bytes(self.take(8)?.try_into().ok()?))
    }
}
