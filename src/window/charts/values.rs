//! The numbers of the charts: what a value reads, which entries of the record fall together, and
//! which stretch of time and values is in view. Draws nothing.

use super::frame::{Chart, Quantity, SPANS_S, Trace};
use crate::sim::{Bucket, Channel};
use crate::units::PA_PER_INWC;
use crate::window::look::show::Units;

/// Shortest stretch for a run that has just begun \[s\].
const YOUNG_S: f64 = 20.0;
/// Smallest stretch of values in a close look, as a share of the usual one.
const CLOSE_SHARE: f64 = 0.02;
/// Seconds of viewing that fit in the charts when the stretch is chosen by itself.
const VIEWED_S: f64 = 40.0;

/// Quantity of a channel, and the smallest stretch of it in view, SI.
pub(super) fn quantity_of(channel: Channel) -> (Quantity, f64) {
    use Channel as C;
    match channel {
        C::Container | C::Inlet | C::FirstStage | C::FirstStageTwin => (Quantity::High, 20e3),
        C::FirstLift | C::SecondLift | C::FirstRise | C::SecondRise => (Quantity::Travel, 0.2e-3),
        C::FirstVent | C::SecondVent => (Quantity::Breath, 2e-6),
        C::FirstRelief | C::SecondRelief => (Quantity::Mass, 1e-6),
        _ => (Quantity::Low, 2.0 * PA_PER_INWC),
    }
}

/// What a channel tells of a part.
pub(super) fn history_words(channel: Channel) -> &'static str {
    use Channel as C;
    match channel {
        C::FirstLift | C::SecondLift => "seat lift",
        C::FirstRise | C::SecondRise => "diaphragm rise",
        C::FirstVent | C::SecondVent => "flow out of the vent",
        C::FirstRelief | C::SecondRelief => "flow through it",
        C::Manifold => "pressure at its far end",
        _ => "pressure",
    }
}

/// Number and unit of a value, SI.
pub(super) fn shown(quantity: Quantity, units: Units, value: f64) -> (String, &'static str) {
    let s = match quantity {
        Quantity::Low => units.low(value),
        Quantity::High => units.high(value),
        Quantity::Travel => units.travel(value),
        Quantity::Breath => units.breath(value),
        Quantity::Mass => units.mass_flow(value),
    };
    (s.number(), s.unit)
}

/// A bucket's value, or its two ends when they read differently.
pub(super) fn words_of(quantity: Quantity, units: Units, bucket: Bucket) -> String {
    let low = shown(quantity, units, bucket.min).0;
    let high = shown(quantity, units, bucket.max).0;
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// A stretch of time that suits the pace, and no longer than a young run can fill \[s\].
pub(super) fn fitting_span_s(rate: f64, time_s: f64) -> f64 {
    let by_pace = (VIEWED_S * rate).clamp(SPANS_S[0], 86_400.0);
    by_pace.min((1.08 * time_s).max(YOUNG_S))
}

/// Neighbours closer than `apart_s` made one, with the least and greatest of both.
pub(super) fn folded(buckets: &[Bucket], apart_s: f64) -> Vec<Bucket> {
    let mut out: Vec<Bucket> = Vec::with_capacity(buckets.len().min(2048));
    for b in buckets {
        match out.last_mut() {
            Some(last) if b.to_s - last.from_s < apart_s => {
                last.to_s = b.to_s;
                last.min = last.min.min(b.min);
                last.max = last.max.max(b.max);
            }
            _ => out.push(*b),
        }
    }
    out
}

/// The values at a time; none before the first and after the last.
pub(super) fn bucket_at(buckets: &[Bucket], time: f64) -> Option<Bucket> {
    let i = buckets.partition_point(|b| b.from_s <= time);
    let found = buckets.get(i.checked_sub(1)?).copied()?;
    let is_last = i == buckets.len();
    (!is_last || time <= found.to_s).then_some(found)
}

/// The values in view, held still while the data stay inside and not too small.
pub(super) fn settled_range(
    old: Option<[f64; 2]>,
    chart: &Chart,
    series: &[(&Trace, Vec<Bucket>)],
    branches: &[&[Bucket]],
    close: bool,
) -> [f64; 2] {
    let mut low = f64::MAX;
    let mut high = f64::MIN;
    // Looked at closely it is this run that fills the chart; what others did may lie outside.
    let of_branches = branches.iter().filter(|_| !close).copied().flatten();
    for b in series.iter().flat_map(|(_, s)| s).chain(of_branches) {
        low = low.min(b.min);
        high = high.max(b.max);
    }
    if close && low <= high {
        let middle = 0.5 * (low + high);
        let half = 0.6 * (high - low).max(CLOSE_SHARE * chart.least);
        return keep(old, [middle - half, middle + half], low, high);
    }
    if chart.title == "Outlet" {
        low = low.min(9.0 * PA_PER_INWC);
        high = high.max(14.4 * PA_PER_INWC);
        // Room for the ring on a line over the limit.
        if high > 14.4 * PA_PER_INWC {
            high += 0.06 * (high - low);
        }
    }
    if chart.quantity == Quantity::Travel {
        low = low.min(0.0);
    }
    if low > high {
        return old.unwrap_or([0.0, chart.least]);
    }
    let middle = 0.5 * (low + high);
    let mut half = 0.5 * (high - low).max(chart.least);
    if chart.quantity == Quantity::Travel {
        // Room for the ring under the head.
        half *= 1.18;
        return keep(old, [0.0 - 0.06 * half, 2.0 * half], low, high);
    }
    half *= 1.06;
    keep(old, [middle - half, middle + half], low, high)
}

/// Keeps the old range unless data leave it or fill less than a third of it.
pub(super) fn keep(old: Option<[f64; 2]>, new: [f64; 2], low: f64, high: f64) -> [f64; 2] {
    match old {
        Some([a, b])
            if low >= a - 1e-12 && high <= b + 1e-12 && (new[1] - new[0]) > 0.55 * (b - a) =>
        {
            [a, b]
        }
        _ => new,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_holds_still_while_data_stay_inside() {
        let old = Some([0.0, 10.0]);
        assert_eq!(keep(old, [1.0, 9.0], 1.5, 8.5), [0.0, 10.0]);
        assert_eq!(keep(old, [1.0, 12.0], 1.5, 11.5), [1.0, 12.0]);
        assert_eq!(keep(old, [4.0, 6.0], 4.5, 5.5), [4.0, 6.0]);
    }

    #[test]
    fn folding_loses_no_peak() {
        let b = |t: f64, v: f64| Bucket {
            from_s: t,
            to_s: t,
            min: v,
            max: v,
        };
        let many: Vec<Bucket> = (0..1000)
            .map(|i| b(f64::from(i) * 0.01, if i == 517 { 9.0 } else { 1.0 }))
            .collect();
        let few = folded(&many, 0.1);
        assert!(few.len() <= 110, "{}", few.len());
        assert_eq!(few.iter().map(|b| b.max).fold(0.0, f64::max), 9.0);
        assert_eq!(few.last().map(|b| b.to_s), Some(9.99));
    }

    #[test]
    fn the_bucket_under_the_cursor_is_the_one_before_it() {
        let b = |t| Bucket {
            from_s: t,
            to_s: t,
            min: t,
            max: t,
        };
        let s = [b(0.0), b(1.0), b(2.0)];
        assert_eq!(bucket_at(&s, 1.5).map(|x| x.from_s), Some(1.0));
        assert!(bucket_at(&s, -1.0).is_none());
        assert!(bucket_at(&s, 2.5).is_none());
    }
}
