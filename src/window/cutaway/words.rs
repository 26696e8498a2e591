//! The words and numbers in the cutaway: names and pressures beside the parts, what the seats do,
//! and the whole picture told for those who hear it.

use egui::{Align2, Painter, Pos2, pos2, vec2};

use super::geometry::{FLANGE, PIPE, WALL};
use super::stage::Stage;
use super::{Places, Scene, inset};
use crate::physics::heat::frost_depth_k;
use crate::rig::readings::StageReadings;
use crate::window::show::grouped;
use crate::window::theme::{Theme, plain, strong};

/// Flow past a touching seat that is worth a word \[kg/s\].
const SLIPS_BY_KG_PER_S: f64 = 5e-8;

/// Pressures and names beside the parts.
pub(super) fn labels(
    painter: &Painter,
    scene: &Scene<'_>,
    places: &Places,
    stages: &[Stage<'_>; 2],
    theme: &Theme,
) {
    let (n, u) = (scene.now, scene.units);
    let big = if places.roomy { 15.0 } else { 13.0 };
    for (i, s) in stages.iter().enumerate() {
        let (p, v) = (&s.plan, &s.view);
        let ink = theme.ink_on_gas(s.now.chamber_pa);
        let text = if i == 0 {
            u.high(s.now.chamber_pa)
        } else {
            u.pressure(s.now.chamber_pa)
        };
        // In a small picture the first stage's number stands over the pipe that leaves it, and
        // the second's is left to the outlet.
        if places.roomy {
            let at = v.xy(p.clamp * 0.94, p.floor + 1.2);
            painter.text(at, Align2::RIGHT_BOTTOM, text.to_string(), strong(big), ink);
        } else if i == 0 {
            let at = v.xy(p.vent_mouth().x + 6.0, PIPE + 3.0);
            painter.text(
                at,
                Align2::LEFT_BOTTOM,
                text.to_string(),
                strong(big),
                theme.ink,
            );
        }
        let name_at = v.xy(-p.tower - WALL - 2.0, p.top);
        let name = if i == 0 {
            "First stage"
        } else {
            "Second stage"
        };
        painter.text(name_at, Align2::RIGHT_TOP, name, strong(13.0), theme.ink);
        let case = format!("case {}", u.pressure(s.now.case_pa));
        let mut lines = vec![case];
        if places.roomy {
            lines.push(format!("motion {:.0} ×", p.enlarged));
        }
        if i == 0 && n.pool_kg > 2e-5 {
            lines.push(format!("{:.0} g liquid", n.pool_kg * 1e3));
        }
        for (k, line) in lines.into_iter().enumerate() {
            painter.text(
                name_at + vec2(0.0, 18.0 + 15.0 * k as f32),
                Align2::RIGHT_TOP,
                line,
                plain(11.5),
                theme.soft,
            );
        }
    }
    let [a, _] = &places.views;
    let above = a.len(PIPE + 1.7) + 5.0;
    let under = a.origin.y + above - 3.0;
    for (x, align, value, words) in [
        (
            places.left + 1.0,
            Align2::LEFT_TOP,
            u.high(n.first.inlet_pa),
            "from container",
        ),
        (
            places.right - 1.0,
            Align2::RIGHT_TOP,
            u.low(n.outlet_pa),
            "to burners",
        ),
    ] {
        let number = value.to_string();
        let r = painter.text(pos2(x, under), align, number, strong(big), theme.ink);
        if places.roomy {
            painter.text(
                pos2(x, r.bottom() - 1.0),
                align,
                words,
                plain(11.5),
                theme.soft,
            );
        }
    }
    if frost_depth_k(n.body_k, n.air_k) > 0.0 && places.roomy {
        let v = &places.views[0];
        painter.text(
            v.xy(-places.plans[0].clamp - FLANGE, places.plans[0].rest + 6.0),
            Align2::RIGHT_BOTTOM,
            format!("frost, body {}", u.temperature(n.body_k)),
            plain(11.5),
            theme.ink,
        );
    }
}

/// The numbers beside a loupe.
pub(super) fn loupe_words(
    painter: &Painter,
    at: Pos2,
    room: f32,
    i: usize,
    s: &StageReadings,
    scene: &Scene<'_>,
    theme: &Theme,
) {
    let state = seat_words(s);
    painter.text(
        at,
        Align2::LEFT_TOP,
        if i == 0 {
            "First-stage seat"
        } else {
            "Second-stage seat"
        },
        plain(11.5),
        theme.soft,
    );
    painter.text(
        at + vec2(0.0, 16.0),
        Align2::LEFT_TOP,
        state,
        strong(14.0),
        theme.ink,
    );
    let newton = grouped((s.forces.jet_n * scene.shapes[i].lever_ratio).abs(), 2);
    let mut lines = vec![if room > 165.0 {
        format!("jet pushes {newton} N on the seat")
    } else {
        format!("jet {newton} N")
    }];
    if s.ice > 0.003 {
        lines.push(format!("ice on {:.0} % of the bore", s.ice * 100.0));
    } else if i == 1 {
        lines.push(format!("{} passes", scene.units.heat(scene.now.flow_w)));
    }
    for (k, line) in lines.iter().enumerate() {
        painter.text(
            at + vec2(0.0, 37.0 + 15.0 * k as f32),
            Align2::LEFT_TOP,
            line,
            plain(11.5),
            theme.soft,
        );
    }
}

/// "open 0.21 mm", "pressed shut 18 µm".
pub(super) fn seat_words(s: &StageReadings) -> String {
    if s.lift_m > inset::OPEN_FROM_M {
        if s.lift_m < 0.1e-3 {
            format!("open {:.0} µm", s.lift_m * 1e6)
        } else {
            format!("open {:.2} mm", s.lift_m * 1e3)
        }
    } else if s.flow_kg_per_s > SLIPS_BY_KG_PER_S {
        "touching, gas slips by".to_owned()
    } else if s.squeeze_m >= 0.5e-6 {
        format!("shut, pressed {:.0} µm", s.squeeze_m * 1e6)
    } else {
        "just touching".to_owned()
    }
}

/// The whole picture in words, for those who hear it.
pub(super) fn describe(scene: &Scene<'_>) -> String {
    let (n, u) = (scene.now, scene.units);
    format!(
        "Cutaway of the regulator. Inlet {}, first stage {}, outlet {}. First seat {}, second seat {}. {}",
        u.high(n.first.inlet_pa),
        u.high(n.first.chamber_pa),
        u.low(n.outlet_pa),
        seat_words(&n.first),
        seat_words(&n.second),
        scene.words
    )
}
