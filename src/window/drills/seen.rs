//! The rig as the trainee sees it, in the place of the covered cutaway: from afar at first, and with the cover off once
//! somebody has looked closely. What hands do there is ordered as any act of the drill is.

use std::time::Duration;

use egui::{Rect, Sense, Ui, vec2};

use super::working::Working;
use crate::drill::attempt::act::Act;
use crate::rig::presets;
use crate::service::{Device, Fitted, Fittings, FluidAt, Kit, MOST_FITTED, Shown, TestPoint};
use crate::visit::{Act as Work, Deed, Figure, Measure, Told, Which};
use crate::window::cutaway::geometry::shape_of;
use crate::window::desk::Desk;
use crate::window::outside::{Hand, May, Scene};

/// Share of the sheet's height that the picture takes, its least and most \[points\].
const SHARE: f32 = 0.46;
const POINTS: (f32, f32) = (190.0, 430.0);

/// A gauge has long come to rest after this \[s\].
const SETTLED_S: f64 = 1e3;
/// Pressure that a gauge over its range is drawn at, of that range.
const OVER: f64 = 1.2;

/// Flames are drawn anew so often.
const FLICKER: Duration = Duration::from_millis(50);

/// Draws the picture and orders what hands are to do.
pub fn show(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working) {
    let Some(seen) = w.view.outside.outlook.clone() else {
        return;
    };
    // Whether a flame jumps is seen by its moving.
    if seen
        .appliances
        .iter()
        .any(|a| a.flame.is_some() || a.sparks)
    {
        w.picture
            .pass(f64::from(ui.input(|i| i.unstable_dt)).min(0.1));
        ui.ctx().request_repaint_after(FLICKER);
    }
    let room = ui.available_size();
    let high = (SHARE * room.y).clamp(POINTS.0, POINTS.1).min(room.y);
    let (rect, _) = ui.allocate_exact_size(vec2(room.x, high), Sense::hover());
    let mut fittings = Fittings::default();
    fittings.fluid = fluid(w);
    fittings.fitted = gauges(w, seen.changeover.map_or(0, |c| c.points_at));
    let rig = &w.rig;
    let scene = Scene {
        seen: &seen,
        rig,
        shapes: [
            shape_of(&rig.first, &presets::first_stage()),
            shape_of(&rig.second, &presets::second_stage()),
        ],
        fittings: &fittings,
        units: desk.units,
        dt_s: 0.0,
        cover: Some(!w.view.outside.looked),
        waits: None,
        may: if w.busy() { May::Nothing } else { May::Drill },
    };
    let inner = Rect::from_min_max(rect.min, rect.max - vec2(0.0, 4.0));
    let hands = w.picture.picture(ui, inner, &scene, None, desk.theme);
    for act in hands.into_iter().filter_map(act_of) {
        w.order(Act::Do(act));
    }
}

/// Leak fluid where it was put last, with what it showed.
fn fluid(w: &Working) -> Vec<FluidAt> {
    let newest = w.view.entries.last().map(|e| &e.told);
    match newest {
        Some(Told::Fluid(joint, bubbles)) => vec![FluidAt {
            joint: *joint,
            bubbles: *bubbles,
        }],
        _ => Vec::new(),
    }
}

/// The gauges that were read last, where they sit and as they stood: one that was read by itself, or all of a test.
fn gauges(w: &Working, side: usize) -> Vec<Fitted> {
    let kit = Kit::default();
    let mut out: Vec<Fitted> = Vec::new();
    match w.view.entries.last().map(|e| &e.told) {
        Some(Told::Gauge {
            point,
            gauge,
            shown,
            ..
        }) => {
            let device = Device::find(gauge, &kit).ok();
            out.extend(device.map(|d| standing(*point, d, *shown)));
        }
        Some(Told::Test { figures, .. }) => {
            for (point, value) in left_standing(figures, side) {
                let device = Device::for_pressure(value, &kit);
                out.push(standing(point, device, Shown::Value(value)));
            }
            out.truncate(MOST_FITTED);
        }
        _ => {}
    }
    out
}

/// What stands at each tap at the end of a test: what was read there last, whatever the order it is told in.
fn left_standing(figures: &[Figure], side: usize) -> Vec<(TestPoint, f64)> {
    let at = |f: &Figure| match f.measure {
        Measure::Read(item) => item
            .tap(side)
            .map(|point| (point, item.is_passing(), f.value)),
        // The outlet has come to rest there.
        Measure::LockUp => Some((TestPoint::Outlet, false, f.value)),
        _ => None,
    };
    let mut read: Vec<_> = figures.iter().filter_map(at).collect();
    // Stable: among what lasts, and among what does not, the order of the test.
    read.sort_by_key(|(_, is_passing, _)| !is_passing);
    let mut out: Vec<(TestPoint, f64)> = Vec::new();
    for (point, _, value) in read {
        out.retain(|(p, _)| *p != point);
        out.push((point, value));
    }
    out
}

/// A gauge that has come to rest on what it showed.
fn standing(point: TestPoint, mut device: Device, shown: Shown) -> Fitted {
    let stands_pa = match shown {
        Shown::Value(pa) => pa,
        Shown::OverRange => OVER * device.range_pa(),
    };
    // Once to find its error at zero, and once so that it stands where it stood.
    device.step(SETTLED_S, stands_pa);
    if shown != Shown::OverRange {
        let off_pa = device.stands_pa() - stands_pa;
        device.step(SETTLED_S, stands_pa - off_pa);
    }
    Fitted { point, device }
}

/// The act of a drill that a hand means; none where a drill has no such act.
fn act_of(hand: Hand) -> Option<Work> {
    Some(match hand {
        Hand::Look => Work::Look,
        Hand::Fluid(joint, true) => Work::Fluid(joint),
        Hand::Valve {
            container,
            open: true,
            slowly,
        } => Work::Do(Deed::OpenValve { container, slowly }),
        Hand::Valve { container, .. } => Work::Do(Deed::ShutValve { container }),
        Hand::Switch(i, true) => Work::Light(Which::One(i)),
        Hand::Switch(i, false) => Work::Off(Which::One(i)),
        Hand::Reset(i) => Work::Reset(i),
        Hand::Screw(stage, degrees) => Work::Do(Deed::TurnScrew { stage, degrees }),
        Hand::Tap => Work::Do(Deed::Tap),
        Hand::Warm => Work::Do(Deed::WarmCloth),
        Hand::ClearVents => Work::Do(Deed::ClearVents),
        Hand::Listen => Work::Listen,
        Hand::Fluid(_, false)
        | Hand::Knob(_)
        | Hand::Cover(_)
        | Hand::Fit(..)
        | Hand::TakeOff(_)
        | Hand::Refill(_)
        | Hand::Thumb(..) => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::{Figure, Measure, TestPoint, left_standing};
    use crate::visit::Id;

    /// At once 12.1, after a minute 17.0, come to rest 19.5: what hangs at the tap afterwards stands at the last.
    #[test]
    fn a_gauge_stands_where_the_test_ended() {
        let of = |measure, value| Figure { measure, value };
        let mut figures = vec![
            of(Measure::Read(Id::RestMinute), 17.0),
            of(Measure::Read(Id::RestPeak), 12.1),
            of(Measure::Read(Id::FirstRest), 10.1),
        ];
        let stands = |f: &[Figure], point| {
            let all = left_standing(f, 0);
            let at: Vec<f64> = all
                .iter()
                .filter(|(p, _)| *p == point)
                .map(|p| p.1)
                .collect();
            assert!(at.len() <= 1, "one gauge at a tap");
            at.first().copied()
        };
        assert_eq!(stands(&figures, TestPoint::Outlet), Some(17.0));
        figures.push(of(Measure::LockUp, 19.5));
        assert_eq!(stands(&figures, TestPoint::Outlet), Some(19.5));
        assert_eq!(stands(&figures, TestPoint::FirstStage), Some(10.1));
        assert_eq!(stands(&figures, TestPoint::Manifold), None);
    }
}
