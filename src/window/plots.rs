//! Plots of one quantity against another, in the looks of the window. What they show was worked
//! out elsewhere.

use egui::{Color32, Stroke, Ui};
use egui_plot::{GridMark, HoverPosition, Line, Plot, PlotPoints, uniform_grid_spacer};

use super::app::Desk;
use super::show::grouped;
use super::theme::{Theme, strong};
use crate::visit::{Test, TestResult};

/// Height of the record of a test \[points\].
const RECORD_HEIGHT: f32 = 110.0;

/// Ink of pressure lines.
pub fn pressure_ink(t: &Theme) -> Color32 {
    t.gas(if t.dark { 400_000.0 } else { 600_000.0 })
}

/// A plot without the ways of a drawing program: no box zoom, no drag.
pub fn still(name: &str, height: f32) -> Plot<'_> {
    Plot::new(name)
        .height(height)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .show_background(false)
        .show_grid([true, true])
        // Strong lines stay lighter than the curves.
        .grid_spacing(egui::Rangef::new(26.0, 1600.0))
        .x_grid_spacer(uniform_grid_spacer(|i| steps(i.base_step_size)))
        .y_grid_spacer(uniform_grid_spacer(|i| steps(i.base_step_size)))
        .set_margin_fraction(egui::vec2(0.02, 0.12))
        .show_crosshair(false)
        .label_formatter(under_pointer)
        .x_axis_formatter(tick)
        .y_axis_formatter(tick)
}

/// What the pointer reads: the line and its values where it is near one, and nothing between.
fn under_pointer(at: &HoverPosition<'_>) -> Option<String> {
    let HoverPosition::NearDataPoint {
        plot_name,
        position,
        ..
    } = at
    else {
        return None;
    };
    let digits = |v: f64| grouped(v, if v.abs() < 10.0 { 2 } else { 1 });
    let values = format!("{} at {}", digits(position.y), digits(position.x));
    Some(if plot_name.is_empty() {
        values
    } else {
        format!("{plot_name}: {values}")
    })
}

/// A tick's number, with as many decimals as all of its axis: tenths where a few units are in view.
fn tick(mark: GridMark, range: &std::ops::RangeInclusive<f64>) -> String {
    let span = (range.end() - range.start()).abs().max(1e-9);
    let decimals = (1.0 - (span / 0.9).log10().floor()).clamp(0.0, 6.0) as usize;
    grouped(mark.value, decimals)
}

/// Steps of a grid whose closest lines are at least `least` apart: ones, twos and tens, or fives.
fn steps(least: f64) -> [f64; 3] {
    let ten = 10f64.powf(least.max(1e-9).log10().ceil());
    if least <= 0.2 * ten {
        [0.2 * ten, ten, 10.0 * ten]
    } else if least <= 0.5 * ten {
        [0.5 * ten, ten, 10.0 * ten]
    } else {
        [ten, 2.0 * ten, 10.0 * ten]
    }
}

/// The record of a test: the outlet over time, or the first stage for its own test.
pub fn record_ui(ui: &mut Ui, desk: &Desk<'_>, result: &TestResult) {
    let Some(first) = result.trace.first() else {
        return;
    };
    let begun_s = first.time_s;
    let units = desk.units;
    let first_stage = result.test == Test::FirstStage;
    let points: PlotPoints<'_> = result
        .trace
        .iter()
        .map(|p| {
            let value = if first_stage {
                units.high(p.first_stage_pa).value
            } else if result.test == Test::NewPiping {
                units.high(p.outlet_pa).value
            } else {
                units.low(p.outlet_pa).value
            };
            [p.time_s - begun_s, value]
        })
        .collect();
    let unit = if first_stage || result.test == Test::NewPiping {
        units.high(1e5).unit
    } else {
        units.low(1e3).unit
    };
    let name = if first_stage { "first stage" } else { "outlet" };
    calm(ui, desk.theme);
    still("record", RECORD_HEIGHT)
        .x_axis_label("s from its start")
        .y_axis_label(format!("{name}, {unit}"))
        .show(ui, |plot| {
            plot.line(Line::new(name, points).stroke(Stroke::new(1.6, pressure_ink(desk.theme))));
        });
}

/// A plot that fills its sheet, to be read with the pointer in these units of its axes.
pub fn wide(name: &str, height: f32, across: String, up: String) -> Plot<'_> {
    still(name, height)
        .set_margin_fraction(egui::vec2(0.02, 0.06))
        .label_formatter(move |at: &HoverPosition<'_>| {
            let position = match at {
                HoverPosition::NearDataPoint { position, .. }
                | HoverPosition::Elsewhere { position } => position,
            };
            let values = format!(
                "{} {up} at {} {across}",
                grouped(position.y, if position.y.abs() < 100.0 { 2 } else { 1 }),
                grouped(position.x, 1)
            );
            Some(match at {
                HoverPosition::NearDataPoint { plot_name, .. } if !plot_name.is_empty() => {
                    format!("{plot_name}: {values}")
                }
                _ => values,
            })
        })
}

/// The present point of the rig among curves: a ring with its word.
pub fn present_point(p: &mut egui_plot::PlotUi<'_>, t: &Theme, at: [f64; 2]) {
    for (radius, ink) in [(7.0, t.ink), (5.0, t.brass)] {
        p.points(
            egui_plot::Points::new("", vec![at])
                .radius(radius)
                .color(ink),
        );
    }
    let words = egui::RichText::new("now").font(strong(13.0));
    let place = egui_plot::PlotPoint::new(at[0], at[1]);
    p.text(
        egui_plot::Text::new("", place, words)
            .color(t.ink)
            .anchor(egui::Align2::LEFT_BOTTOM),
    );
}

/// Grid and labels stand back behind the lines.
pub fn calm(ui: &mut Ui, t: &Theme) {
    let v = ui.visuals_mut();
    v.widgets.noninteractive.fg_stroke.color = t.soft;
    v.extreme_bg_color = t.card;
    // No box around a legend, and none around what the pointer reads.
    v.window_stroke = Stroke::NONE;
    v.selection.stroke.color = t.accent;
}

#[cfg(test)]
mod tests {
    use super::{steps, tick};
    use egui_plot::GridMark;

    /// An axis is read as one: 11.0 stands beside 11.2.
    #[test]
    fn all_numbers_of_an_axis_have_the_same_decimals() {
        let mark = |value, step_size| GridMark { value, step_size };
        assert_eq!(tick(mark(11.0, 1.0), &(9.0..=12.0)), "11.0");
        assert_eq!(tick(mark(11.2, 0.2), &(9.0..=12.0)), "11.2");
        assert_eq!(tick(mark(20.0, 10.0), &(0.0..=150.0)), "20");
        assert_eq!(tick(mark(0.05, 0.05), &(0.0..=0.4)), "0.05");
    }

    #[test]
    fn grid_steps_are_round_and_wide_enough() {
        assert_eq!(steps(5.2), [10.0, 20.0, 100.0]);
        assert_eq!(steps(0.13), [0.2, 1.0, 10.0]);
        assert_eq!(steps(31.0), [50.0, 100.0, 1000.0]);
    }
}
