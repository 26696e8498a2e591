//! The record of a live run: what each gauge showed, kept so that any stretch of time can be
//! drawn quickly.
//!
//! Contract of the pyramid: level 0 holds the noted values; an entry of level k + 1 covers
//! [`FOLD`] entries of level k with their least and greatest value, so no peak is ever lost.
//! When a level reaches [`KEEP`] rows its older quarter is dropped; the levels above keep it. So the record never
//! takes more than some tens of MB, and what is long ago is kept more coarsely.

use crate::rig::Readings;

/// Entries of one level folded into one of the next.
pub const FOLD: usize = 8;
/// Most rows kept in a level.
const KEEP: usize = 65_536;

/// What is recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Channel {
    /// Outlet, gauge \[Pa\].
    Outlet,
    /// Outlet of the healthy twin, gauge \[Pa\].
    OutletTwin,
    /// Manifold, gauge \[Pa\].
    Manifold,
    /// First-stage chamber, gauge \[Pa\].
    FirstStage,
    /// First-stage chamber of the healthy twin, gauge \[Pa\].
    FirstStageTwin,
    /// First spring case, gauge \[Pa\].
    FirstCase,
    /// Second spring case, gauge \[Pa\].
    SecondCase,
    /// First seat lift \[m\].
    FirstLift,
    /// Second seat lift \[m\].
    SecondLift,
    /// Container on service duty, gauge \[Pa\].
    Container,
    /// Container liquid temperature \[K\].
    ContainerTemperature,
    /// Inlet of the regulator, gauge \[Pa\].
    Inlet,
    /// Rated input asked for \[W\].
    Demand,
    /// Heat value of the gas flow \[W\].
    Flow,
    /// Body temperature \[K\].
    Body,
    /// Flow out of the second vent \[m³/s\].
    SecondVent,
    /// Flow out of the first vent \[m³/s\].
    FirstVent,
    /// Rise of the first diaphragm \[m\].
    FirstRise,
    /// Rise of the second diaphragm \[m\].
    SecondRise,
    /// Gas through the relief of the first stage, where it has one \[kg/s\].
    FirstRelief,
    /// Gas through the relief of the second stage \[kg/s\].
    SecondRelief,
}

impl Channel {
    /// All channels, in the order of a row.
    pub const ALL: [Self; 21] = [
        Self::Outlet,
        Self::OutletTwin,
        Self::Manifold,
        Self::FirstStage,
        Self::FirstStageTwin,
        Self::FirstCase,
        Self::SecondCase,
        Self::FirstLift,
        Self::SecondLift,
        Self::Container,
        Self::ContainerTemperature,
        Self::Inlet,
        Self::Demand,
        Self::Flow,
        Self::Body,
        Self::SecondVent,
        Self::FirstVent,
        Self::FirstRise,
        Self::SecondRise,
        Self::FirstRelief,
        Self::SecondRelief,
    ];

    fn index(self) -> usize {
        self as usize
    }

    /// The value of this channel in the readings of rig and twin.
    pub fn value(self, r: &Readings, twin: &Readings) -> f64 {
        let c = &r.containers[r.service_side];
        match self {
            Self::Outlet => r.outlet_pa,
            Self::OutletTwin => twin.outlet_pa,
            Self::Manifold => r.manifold_pa,
            Self::FirstStage => r.first.chamber_pa,
            Self::FirstStageTwin => twin.first.chamber_pa,
            Self::FirstCase => r.first.case_pa,
            Self::SecondCase => r.second.case_pa,
            Self::FirstLift => r.first.lift_m,
            Self::SecondLift => r.second.lift_m,
            Self::Container => c.pressure_pa,
            Self::ContainerTemperature => c.temperature_k,
            Self::Inlet => c.pigtail_pa,
            Self::Demand => r.demand_w,
            Self::Flow => r.flow_w,
            Self::Body => r.body_k,
            Self::SecondVent => r.second.vent_m3_per_s,
            Self::FirstVent => r.first.vent_m3_per_s,
            Self::FirstRise => r.first.rise_m,
            Self::SecondRise => r.second.rise_m,
            Self::FirstRelief => r.first.relief_kg_per_s,
            Self::SecondRelief => r.second.relief_kg_per_s,
        }
    }
}

const WIDTH: usize = Channel::ALL.len();

/// A stretch of time with the least and greatest value in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bucket {
    /// Time of the first value \[s\].
    pub from_s: f64,
    /// Time of the last value \[s\].
    pub to_s: f64,
    /// Least value, SI.
    pub min: f64,
    /// Greatest value, SI.
    pub max: f64,
}

/// One level: parallel rows, in order of time. Level 0 has single values, which are `min` and `max` in one.
#[derive(Debug, Clone, Default)]
struct Level {
    from_s: Vec<f64>,
    to_s: Vec<f64>,
    min: Vec<[f32; WIDTH]>,
    max: Vec<[f32; WIDTH]>,
    /// Rows already folded into the next level.
    folded: usize,
}

impl Level {
    fn push(&mut self, from_s: f64, to_s: f64, min: [f32; WIDTH], max: Option<[f32; WIDTH]>) {
        self.from_s.push(from_s);
        self.to_s.push(to_s);
        self.min.push(min);
        self.max.extend(max);
    }

    fn max(&self, i: usize) -> &[f32; WIDTH] {
        self.max.get(i).unwrap_or(&self.min[i])
    }

    fn bucket(&self, i: usize, channel: usize) -> Bucket {
        Bucket {
            from_s: self.from_s[i],
            to_s: self.to_s[i],
            min: f64::from(self.min[i][channel]),
            max: f64::from(self.max(i)[channel]),
        }
    }

    fn truncate(&mut self, n: usize) {
        self.from_s.truncate(n);
        self.to_s.truncate(n);
        self.min.truncate(n);
        self.max.truncate(n);
        self.folded = self.folded.min(n / FOLD * FOLD);
    }

    /// Drops the oldest rows down to `keep`, of those that the level above has.
    fn drop_to(&mut self, keep: usize) {
        let n = self.from_s.len().saturating_sub(keep).min(self.folded) / FOLD * FOLD;
        self.from_s.drain(..n);
        self.to_s.drain(..n);
        self.min.drain(..n);
        self.max.drain(..n.min(self.max.len()));
        self.folded -= n;
    }

    /// Rows that touch [t0, t1], with one more on each side so that lines reach the edges.
    fn rows(&self, t0: f64, t1: f64) -> std::ops::Range<usize> {
        let first = self.to_s.partition_point(|&t| t < t0).saturating_sub(1);
        let last = (self.from_s.partition_point(|&t| t <= t1) + 1).min(self.from_s.len());
        first.min(last)..last
    }
}

/// The record.
#[derive(Debug, Clone, Default)]
pub struct Record {
    levels: Vec<Level>,
}

impl Record {
    /// Notes one row; rows not later than the last are ignored.
    pub fn note(&mut self, r: &Readings, twin: &Readings) {
        if self.levels.is_empty() {
            self.levels.push(Level::default());
        }
        if self.end_s().is_some_and(|end| r.time_s <= end) {
            return;
        }
        let row = Channel::ALL.map(|c| c.value(r, twin) as f32);
        self.levels[0].push(r.time_s, r.time_s, row, None);
        self.fold();
    }

    /// Drops all but the newest rows of each level.
    pub(super) fn thin(&mut self, keep: usize) {
        for level in &mut self.levels {
            level.drop_to(keep);
            level.from_s.shrink_to_fit();
            level.to_s.shrink_to_fit();
            level.min.shrink_to_fit();
            level.max.shrink_to_fit();
        }
    }

    fn fold(&mut self) {
        let mut k = 0;
        while self.levels[k].from_s.len() >= self.levels[k].folded + FOLD {
            let level = &mut self.levels[k];
            let rows = level.folded..level.folded + FOLD;
            let (mut min, mut max) = (level.min[rows.start], *level.max(rows.start));
            for i in rows.clone() {
                for c in 0..WIDTH {
                    min[c] = min[c].min(level.min[i][c]);
                    max[c] = max[c].max(level.max(i)[c]);
                }
            }
            let (from_s, to_s) = (level.from_s[rows.start], level.to_s[rows.end - 1]);
            level.folded = rows.end;
            if level.from_s.len() >= KEEP {
                level.drop_to(KEEP - KEEP / 4);
            }
            if self.levels.len() == k + 1 {
                self.levels.push(Level::default());
            }
            self.levels[k + 1].push(from_s, to_s, min, Some(max));
            k += 1;
        }
    }

    /// Time of the first row \[s\].
    pub fn start_s(&self) -> Option<f64> {
        self.levels
            .iter()
            .filter_map(|l| l.from_s.first().copied())
            .reduce(f64::min)
    }

    /// Time of the last row \[s\].
    pub fn end_s(&self) -> Option<f64> {
        self.levels.first()?.to_s.last().copied()
    }

    /// Forgets everything after `t_s`.
    pub fn forget_after(&mut self, t_s: f64) {
        for level in &mut self.levels {
            let n = level.to_s.partition_point(|&t| t <= t_s);
            level.truncate(n);
        }
        // Rows that a longer entry above covered may need folding again.
        for k in 1..self.levels.len() {
            self.levels[k - 1].folded = self.levels[k - 1].folded.min(
                self.levels[k - 1]
                    .to_s
                    .partition_point(|&t| self.levels[k].to_s.last().is_some_and(|&end| t <= end)),
            );
        }
    }

    /// The values of a channel over [t0, t1] in about `buckets` entries, never losing a peak: of the levels that
    /// reach back that far, the coarsest that still has at least that many, or the finest.
    pub fn series(&self, channel: Channel, t0_s: f64, t1_s: f64, buckets: usize) -> Vec<Bucket> {
        let c = channel.index();
        let from_s = t0_s.max(self.start_s().unwrap_or(t0_s));
        let reaches = |l: &&Level| l.from_s.first().is_some_and(|&f| f <= from_s);
        let level = self
            .levels
            .iter()
            .rev()
            .filter(reaches)
            .find(|l| l.rows(t0_s, t1_s).len() >= buckets)
            .or_else(|| self.levels.iter().find(reaches));
        let Some(level) = level else {
            return Vec::new();
        };
        let rows = level.rows(t0_s, t1_s);
        let is_last = rows.end == level.from_s.len();
        let mut out: Vec<Bucket> = rows.map(|i| level.bucket(i, c)).collect();
        // The newest rows may not be folded up to this level yet.
        if let (Some(raw), Some(last)) = (self.levels.first(), out.last().map(|b| b.to_s)) {
            let from = raw.to_s.partition_point(|&t| t <= last);
            let tail = raw.rows(t0_s, t1_s);
            if is_last {
                out.extend((from.max(tail.start)..tail.end).map(|i| raw.bucket(i, c)));
            }
        }
        out
    }

    /// The value of a channel at a time, by straight line between the noted rows.
    pub fn value_at(&self, channel: Channel, t_s: f64) -> Option<f64> {
        let c = channel.index();
        self.levels.iter().find_map(|l| {
            let after = l.from_s.partition_point(|&t| t < t_s);
            let before = after.checked_sub(1)?;
            let mid = |i: usize| 0.5 * (f64::from(l.min[i][c]) + f64::from(l.max(i)[c]));
            if after == l.from_s.len() {
                return Some(mid(before));
            }
            let span = l.from_s[after] - l.from_s[before];
            let share = if span > 0.0 {
                (t_s - l.from_s[before]) / span
            } else {
                0.0
            };
            Some(mid(before) + (mid(after) - mid(before)) * share)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(t: f64, outlet: f64) -> Readings {
        Readings {
            time_s: t,
            outlet_pa: outlet,
            ..Readings::default()
        }
    }

    /// A week at the finest: bytes are bounded, and no stretch of it is blank.
    #[test]
    fn a_long_record_stays_small_and_whole() {
        let mut rec = Record::default();
        let twin = Readings::default();
        let n = 1_000_000;
        for i in 0..n {
            rec.note(&row(f64::from(i), f64::from(i % 5)), &twin);
        }
        let held: usize = rec
            .levels
            .iter()
            .map(|l| l.min.capacity() + l.max.capacity())
            .sum();
        let bytes = held * size_of::<[f32; WIDTH]>();
        assert!(bytes < 30_000_000, "{bytes}");
        for (t0, t1) in [(0.0, 1e6), (0.0, 5e3), (3e5, 3.01e5), (9.99e5, 1e6)] {
            let s = rec.series(Channel::Outlet, t0, t1, 400);
            assert!(s.first().is_some_and(|b| b.from_s <= t0 + 1e-9), "{t0}");
            assert!(
                s.last().is_some_and(|b| b.to_s >= t1 - 1.0),
                "{t0} {t1} {:?}",
                s.last()
            );
            assert!(s.windows(2).all(|w| w[0].to_s < w[1].from_s));
        }
        rec.thin(1000);
        let s = rec.series(Channel::Outlet, 0.0, 1e6, 400);
        assert_eq!(s.first().map(|b| b.from_s), Some(0.0));
    }

    #[test]
    fn no_level_loses_a_peak_and_forgetting_goes_on_cleanly() {
        let mut rec = Record::default();
        let twin = Readings::default();
        let note = |rec: &mut Record, range: std::ops::Range<u32>| {
            for i in range {
                let v = if i == 3_333 { 99.0 } else { f64::from(i % 7) };
                rec.note(&row(f64::from(i), v), &twin);
            }
        };
        note(&mut rec, 0..10_000);
        for buckets in [10, 100, 1000, 20_000] {
            let s = rec.series(Channel::Outlet, 0.0, 1e4, buckets);
            let peak = s.iter().map(|b| b.max).fold(f64::MIN, f64::max);
            assert_eq!(peak, 99.0, "{buckets}");
            assert!(s.windows(2).all(|w| w[0].to_s < w[1].from_s));
            assert_eq!(s.last().map(|b| b.to_s), Some(9_999.0));
        }
        rec.forget_after(5_000.5);
        assert_eq!(rec.end_s(), Some(5_000.0));
        note(&mut rec, 5_001..10_000);
        let s = rec.series(Channel::Outlet, 0.0, 1e4, 50);
        assert!(s.windows(2).all(|w| w[0].to_s < w[1].from_s));
        assert_eq!(s.first().map(|b| b.from_s), Some(0.0));
        assert_eq!(s.last().map(|b| b.to_s), Some(9_999.0));
        assert_eq!(rec.value_at(Channel::Outlet, 14.5), Some(0.5));
    }
}
