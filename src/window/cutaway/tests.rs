//! That no reading and no size breaks the picture.

use super::*;
use crate::rig::readings::DiaphragmForces;

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
        grain: true,
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
        grain: true,
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
    crate::window::theme::install(&ctx);
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
