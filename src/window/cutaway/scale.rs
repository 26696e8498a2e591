//! The legend of gas pressure: a bar of the scale with its marks, and where the rig stands on it.

use egui::{Align2, Mesh, Painter, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::window::look::show::Units;
use crate::window::look::theme::{Theme, gas_share, plain};

/// Marks in US trade units: pressure \[Pa\] and its words.
const MARKS_US: [(f64, &str); 4] = [
    (0.0, "0"),
    (2737.0, "11 in w.c."),
    (68_948.0, "10 psig"),
    (2_585_500.0, "375 psig"),
];
/// Marks in SI.
const MARKS_SI: [(f64, &str); 4] = [
    (0.0, "0"),
    (2_750.0, "2.75 kPa"),
    (70_000.0, "70"),
    (2_500_000.0, "2500 kPa"),
];

/// Height of the legend with its name over the bar, and without it \[points\].
pub const TALL: f32 = 50.0;
pub const LOW: f32 = 34.0;

/// Draws the legend into a box; `stands` are gauge pressures to point at \[Pa\].
pub fn draw(painter: &Painter, rect: Rect, units: Units, stands: &[f64], theme: &Theme) {
    const STEPS: u32 = 48;
    // A low legend stands without its name, which pointer and reader are told all the same.
    let head = if rect.height() < TALL { 8.0 } else { 24.0 };
    let bar = Rect::from_min_size(rect.min + vec2(0.0, head), vec2(rect.width(), 9.0));
    if rect.height() >= TALL {
        painter.text(
            rect.min,
            Align2::LEFT_TOP,
            "gas pressure",
            plain(11.0),
            theme.soft,
        );
    }
    // The colour at a place is found by walking the scale, so bar and gas agree by construction.
    let mut mesh = Mesh::default();
    for i in 0..=STEPS {
        let share = i as f32 / STEPS as f32;
        let color = theme.gas(pressure_at(share));
        let x = bar.left() + bar.width() * share;
        mesh.colored_vertex(pos2(x, bar.top()), color);
        mesh.colored_vertex(pos2(x, bar.bottom()), color);
        if i > 0 {
            let k = 2 * i;
            mesh.add_triangle(k - 2, k - 1, k);
            mesh.add_triangle(k - 1, k, k + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
    painter.rect_stroke(
        bar,
        0.0,
        Stroke::new(1.0, theme.ink),
        egui::StrokeKind::Middle,
    );
    let marks = match units {
        Units::Us => MARKS_US,
        Units::Si => MARKS_SI,
    };
    let last = marks.len() - 1;
    for (k, (pa, words)) in marks.into_iter().enumerate() {
        // A short bar has no room for the third mark's words, a shorter one none for the second's.
        if (k == 2 && bar.width() < 200.0) || (k == 1 && bar.width() < 115.0) {
            continue;
        }
        let x = bar.left() + bar.width() * gas_share(pa);
        painter.vline(
            x,
            bar.bottom()..=bar.bottom() + 3.0,
            Stroke::new(1.0, theme.ink),
        );
        let align = if pa == 0.0 {
            Align2::LEFT_TOP
        } else if k == last {
            Align2::RIGHT_TOP
        } else {
            Align2::CENTER_TOP
        };
        let x = if align == Align2::RIGHT_TOP {
            bar.right()
        } else {
            x
        };
        painter.text(
            pos2(x, bar.bottom() + 4.0),
            align,
            words,
            plain(10.5),
            theme.soft,
        );
    }
    for pa in stands {
        let x = bar.left() + bar.width() * gas_share(*pa);
        painter.add(Shape::convex_polygon(
            vec![
                pos2(x, bar.top() - 1.0),
                pos2(x - 3.5, bar.top() - 6.5),
                pos2(x + 3.5, bar.top() - 6.5),
            ],
            theme.ink,
            Stroke::NONE,
        ));
    }
}

/// Has the legend tell what it is, under pointer and for a reader.
pub fn answers(ui: &Ui, legend: Rect, dark: bool) {
    let words = format!(
        "The color of the gas tells its pressure: {} is higher. The scale is not even, low pressures have more of it. The marks over \
         the bar are, from left to right, the outlet, the first stage and the inlet now",
        if dark { "lighter" } else { "darker" }
    );
    let id = ui.scope_id().with("legend");
    let response = ui.interact(legend, id, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    response.on_hover_text(words);
}

/// Gauge pressure at a place of the scale \[Pa\], by bisection.
fn pressure_at(share: f32) -> f64 {
    let (mut low, mut high) = (0.0_f64, 3e6_f64);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if gas_share(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
