//! That no reading and no size breaks the picture.

use super::*;
use crate::fault::Fault;
use crate::rig::presets;
use crate::rig::readings::DiaphragmForces;
use crate::rig::readings::StageReadings;

fn shapes() -> [StageShape; 2] {
    let first = StageShape {
        diaphragm_m: 0.044,
        bore_m: 0.002,
        lever_ratio: 1.0,
        stroke_m: 0.6e-3,
        vent_m: 0.0015,
        relief: false,
        linked: true,
        screw_in_m: 0.0,
        held_m: 0.1e-3,
        grain_m: Some(0.1e-3),
        nick_m2: 1e-9,
        ..StageShape::default()
    };
    let second = StageShape {
        diaphragm_m: 0.085,
        bore_m: 0.0032,
        lever_ratio: 4.0,
        stroke_m: 4e-3,
        vent_m: 0.003,
        relief: true,
        linked: true,
        screw_in_m: 0.0,
        held_m: 0.1e-3,
        grain_m: Some(0.1e-3),
        nick_m2: 1e-9,
        ..StageShape::default()
    };
    [first, second]
}

/// Readings far outside what a rig can do, repeatable.
fn wild(n: u32) -> Readings {
    let at = |k: u32, low: f64, high: f64| {
        let u = f64::from(draw::scatter(n * 64 + k));
        match k + n {
            q if q % 41 == 0 => f64::NAN,
            q if q % 37 == 0 => f64::INFINITY,
            _ => low + (high - low) * u,
        }
    };
    let stage = |k: u32| StageReadings {
        inlet_pa: at(k, -9e4, 3e6),
        chamber_pa: at(k + 1, -9e4, 3e6),
        case_pa: at(k + 2, -9e4, 1e5),
        rise_m: at(k + 3, -1e-3, 9e-3),
        touch_rise_m: at(k + 4, 0.0, 5e-3),
        lift_m: at(k + 5, 0.0, 2e-3),
        squeeze_m: at(k + 6, 0.0, 1e-3),
        flow_kg_per_s: at(k + 7, -0.1, 0.1),
        liquid_share: at(k + 8, 0.0, 1.0),
        vent_m3_per_s: at(k + 9, -1e-2, 1e-2),
        relief_kg_per_s: at(k + 10, 0.0, 0.1),
        tear_kg_per_s: at(k + 11, 0.0, 0.1),
        vent_open: at(k + 12, 0.0, 1.0),
        ice: at(k + 13, 0.0, 1.0),
        thumb: at(k + 18, 0.0, 1.0),
        speed_m_per_s: 0.0,
        forces: DiaphragmForces {
            gas_n: at(k + 14, -200.0, 200.0),
            spring_n: at(k + 15, -200.0, 200.0),
            water_n: at(k + 16, -3.0, 0.0),
            ..DiaphragmForces::default()
        },
    };
    Readings {
        time_s: at(60, 0.0, 1e5),
        first: stage(0),
        second: stage(20),
        outlet_pa: at(40, -1e4, 1e5),
        burner_flow_kg_per_s: at(41, -0.1, 0.1),
        body_k: at(42, 200.0, 330.0),
        pool_kg: at(43, 0.0, 0.2),
        flow_w: at(44, 0.0, 1e5),
        ..Readings::default()
    }
}

#[test]
fn no_reading_and_no_size_breaks_the_picture() {
    let ctx = egui::Context::default();
    crate::window::look::theme::install(&ctx);
    let mut cutaway = Cutaway::default();
    let container = crate::rig::presets::container("30 lb cylinder").expect("a preset");
    let rig = crate::rig::Rig::standard(vec![container], vec![]);
    let sizes = [
        [900.0, 430.0],
        [520.0, 250.0],
        [130.0, 120.0],
        [3.0, 3.0],
        [2400.0, 200.0],
    ];
    for n in 0..120_u32 {
        let (now, twin) = (wild(n), wild(n + 1000));
        cutaway.keep_diaphragm([None, Some(0), Some(1)][(n % 3) as usize]);
        cutaway.magnify(n % 2 == 0);
        let size = sizes[n as usize % sizes.len()];
        let input = egui::RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size.into())),
            ..Default::default()
        };
        let affairs = crate::service::state_of_affairs(&rig, &now);
        let mut output = ctx.run_ui(input, |ui| {
            let scene = Scene {
                rig: &rig,
                now: &now,
                twin: Some(&twin),
                shapes: shapes(),
                kinks: [0.7, 0.0],
                units: Units::Us,
                affairs: &affairs,
                words: "Anything may happen",
                dt_s: 0.016,
            };
            cutaway.show(ui, &scene);
        });
        let shapes = std::mem::take(&mut output.shapes);
        ctx.tessellate(shapes, output.pixels_per_point);
        output.textures_delta.clear();
    }
}

/// Where every vertex of a picture lies and what colour it has, in one number.
fn print_of(rig: &Rig, now: &Readings, fault: Option<(Fault, f64)>) -> u64 {
    use std::hash::{DefaultHasher, Hash, Hasher};
    let ctx = egui::Context::default();
    crate::window::look::theme::install(&ctx);
    let mut cutaway = Cutaway::default();
    let affairs = crate::service::state_of_affairs(rig, now);
    let container = presets::container("30 lb cylinder").expect("a preset");
    let sound = Rig::standard(vec![container], vec![]);
    let mut hasher = DefaultHasher::new();
    // Fonts are there from the second frame on.
    for frame in 0..2 {
        let input = egui::RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(860.0, 440.0))),
            ..Default::default()
        };
        let mut output = ctx.run_ui(input, |ui| {
            let scene = Scene {
                rig,
                now,
                twin: None,
                shapes: geometry::shapes_of(rig, fault),
                kinks: crate::visit::Outlook::of(rig, &sound, now).kinks(),
                units: Units::Us,
                affairs: &affairs,
                words: "",
                dt_s: 0.0,
            };
            cutaway.show(ui, &scene);
        });
        let shapes = std::mem::take(&mut output.shapes);
        let meshes = ctx.tessellate(shapes, output.pixels_per_point);
        output.textures_delta.clear();
        if frame == 0 {
            continue;
        }
        for mesh in meshes {
            if let egui::epaint::Primitive::Mesh(mesh) = mesh.primitive {
                for v in mesh.vertices {
                    (v.pos.x.to_bits(), v.pos.y.to_bits(), v.color).hash(&mut hasher);
                }
            }
        }
    }
    hasher.finish()
}

/// A rig at work that has just been given a fault, before anything has come of it: what is wrong with a part is seen at
/// every severity, and twice the severity is another picture.
#[test]
fn what_is_wrong_with_a_part_is_seen_at_every_severity() {
    let container = presets::container("30 lb cylinder").expect("a preset");
    let rig = Rig::standard(vec![container], vec![]);
    let now = {
        let stage = StageReadings {
            inlet_pa: 6e5,
            chamber_pa: 7e4,
            rise_m: 0.5e-3,
            touch_rise_m: 0.55e-3,
            lift_m: 30e-6,
            flow_kg_per_s: 3e-4,
            vent_open: 1.0,
            ..StageReadings::default()
        };
        Readings {
            first: stage,
            second: StageReadings {
                inlet_pa: 7e4,
                chamber_pa: 2_700.0,
                rise_m: 3.7e-3,
                touch_rise_m: 4e-3,
                lift_m: 75e-6,
                ..stage
            },
            outlet_pa: 2_700.0,
            burner_flow_kg_per_s: 3e-4,
            body_k: 285.0,
            air_k: 285.0,
            ..Readings::default()
        }
    };
    let healthy = print_of(&rig, &now, None);
    assert_eq!(
        healthy,
        print_of(&rig, &now, None),
        "the same rig is the same picture"
    );
    for id in [
        "diaphragm_pinhole",
        "diaphragm_torn",
        "first_diaphragm_torn",
        "second_seat_grit",
        "second_seat_nick",
        "second_seat_set",
        "second_seat_disc_lost",
        "first_seat_grit",
        "first_seat_nick",
        "first_seat_disc_lost",
        "second_vent_blocked",
        "first_vent_blocked",
        "vent_screen_painted",
        "lever_off",
        "second_screw_high",
        "first_screw_low",
        "first_spring_broken",
        "second_spring_broken",
        "hose_kinked",
    ] {
        let fault = Fault::named(id).expect("in the catalogue");
        let mut last = healthy;
        for severity in [0.1, 0.3, 0.6, 1.0] {
            let mut wrong = rig.clone();
            fault.apply(&mut wrong, severity);
            let mut seen = now;
            seen.first.vent_open = wrong.first.vent.open;
            seen.second.vent_open = wrong.second.vent.open;
            let print = print_of(&wrong, &seen, Some((fault, severity)));
            assert_ne!(print, healthy, "{id} at {severity} is not seen");
            let steps = !matches!(id, "lever_off");
            assert!(
                !steps || print != last,
                "{id} at {severity} looks as before"
            );
            last = print;
        }
    }
}

/// A flap is lifted by as much as gas leaves by it: not over a vent that is barred, whatever stands behind it, and it is shut
/// where the breather alone lets all out.
#[test]
fn the_flap_stands_as_what_leaves_by_it() {
    let vent = presets::second_stage().vent;
    let flow = |case_pa: f64, open: f64| crate::rig::Vent { open, ..vent }.flow_kg_per_s(case_pa);
    for open in [0.0, 0.3, 1.0] {
        for case_pa in [-900.0, 0.0, 200.0, 400.0, 5000.0] {
            let share = vent.flap_open(case_pa, open).expect("it has one");
            let breather = crate::rig::Vent {
                flap_m2: 0.0,
                open,
                ..vent
            };
            let by_it = flow(case_pa, open) - breather.flow_kg_per_s(case_pa);
            assert_eq!(share > 0.0, by_it > 0.0, "{case_pa} Pa, {open} open");
        }
    }
    let none = presets::first_stage().vent;
    assert_eq!(none.flap_open(5000.0, 1.0), None);
}

/// A grain lies in the rubber up to the gap that it leaves: drawn by that gap it was a speck at any severity.
#[test]
fn a_grain_is_drawn_as_large_as_it_is_told() {
    let mut rig = crate::scenario::Scenario::opening().rig;
    let fault = Fault::named("second_seat_grit").expect("the catalogue has grit");
    fault.apply(&mut rig, 1.0);
    let shape = geometry::shape_of(&rig.second, &presets::second_stage());
    let grain_m = shape.grain_m.expect("there is a grain");
    // The page of the fault tells 5.9 thou at its worst.
    assert!((grain_m - 5.9 * 25.4e-6).abs() < 2e-6, "{grain_m}");
    let sound = geometry::shape_of(&presets::second_stage(), &presets::second_stage());
    assert_eq!(sound.grain_m, None);
}
