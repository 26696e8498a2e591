//! The left-hand panel of an attempt: what anyone sees from outside, and the hands on burners and
//! container valves. Nothing of the inside.

use egui::{Align, Layout, ProgressBar, RichText, Ui, vec2};

use super::words;
use super::working::Working;
use crate::drill::attempt::act::Act;
use crate::report::letters::capital;
use crate::report::visit::looks;
use crate::rig::Phase;
use crate::visit::{Act as Work, Deed, Looks, Tool, Which};
use crate::window::desk::Desk;
use crate::window::look::theme::{Theme, plain, strong, title};

/// Seconds a lit burner is given to burn steadily, as the acts have it.
const SETTLE_S: u32 = 45;

/// Draws the panel.
pub fn show(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working) {
    let t = desk.theme;
    clock_ui(ui, t, w);
    ui.add_space(8.0);
    valves_ui(ui, t, w);
    ui.add_space(8.0);
    burners_ui(ui, t, w);
}

fn clock_ui(ui: &mut Ui, t: &Theme, w: &Working) {
    let outside = &w.view.outside;
    ui.label(title("Minutes used", 14.0));
    ui.horizontal(|ui| {
        ui.label(
            RichText::new(words::clock(outside.clock_s))
                .font(strong(24.0))
                .color(t.ink),
        );
        ui.label(
            RichText::new(format!("of {}", words::minutes(outside.limit_s / 60.0)))
                .font(plain(12.5))
                .color(t.soft),
        );
    });
    let share = (outside.clock_s / outside.limit_s.max(1.0)).clamp(0.0, 1.0) as f32;
    let bar = ProgressBar::new(share).desired_height(6.0).fill(t.brass);
    ui.add(bar).widget_info(|| {
        egui::WidgetInfo::labeled(
            egui::Role::ProgressIndicator,
            true,
            format!("{:.0} % of the time used", 100.0 * share),
        )
    });
    let words = if w.time_is_up() {
        "The time is up: only the answer is left"
    } else {
        "The clock runs while you work, not while you think"
    };
    ui.label(RichText::new(words).font(plain(11.5)).color(t.soft));
}

fn valves_ui(ui: &mut Ui, t: &Theme, w: &mut Working) {
    ui.label(title("Supply", 14.0));
    let valves = w.view.outside.valves.clone();
    let free = !w.busy();
    for (i, open) in valves.iter().enumerate() {
        let name = if valves.len() > 1 {
            format!("Container {}", i + 1)
        } else {
            "Container".to_owned()
        };
        let is_open = *open > 0.0;
        ui.label(format!("{name}: {}", if is_open { "open" } else { "shut" }));
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            if is_open {
                if act_button(ui, free, "Shut it", &format!("Shut {name}")) {
                    w.order(Act::Do(Work::Do(Deed::ShutValve { container: i })));
                }
                return;
            }
            for (slowly, words) in [(true, "Open slowly"), (false, "Open fast")] {
                if act_button(ui, free, words, &format!("{words}: {name}")) {
                    let container = i;
                    w.order(Act::Do(Work::Do(Deed::OpenValve { container, slowly })));
                }
            }
        });
    }
    if valves.iter().any(|v| *v <= 0.0) {
        let words =
            "Open slowly: fast, the excess-flow valve trips and the regulator takes the blow";
        ui.label(RichText::new(words).font(plain(11.5)).color(t.caution));
    }
}

fn burners_ui(ui: &mut Ui, t: &Theme, w: &mut Working) {
    ui.label(title("Burners", 14.0));
    let free = !w.busy();
    ui.spacing_mut().item_spacing.y = 4.0;
    let burners = w.view.outside.burners.clone();
    for b in &burners {
        let i = b.appliance;
        let name = w.rig.appliances[i].name.clone();
        let (words, act) = if b.looks == Looks::Controls(Phase::LockedOut) {
            ("Reset", Work::Reset(i))
        } else if b.on {
            ("Shut off", Work::Off(Which::One(i)))
        } else {
            ("Light", Work::Light(Which::One(i)))
        };
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.spacing_mut().interact_size.x = 64.0;
                if act_button(ui, free, words, &format!("{words}: {name}")) {
                    w.order(Act::Do(act));
                }
                ui.with_layout(Layout::top_down(Align::LEFT), |ui| {
                    ui.spacing_mut().item_spacing.y = 0.0;
                    ui.label(RichText::new(capital(&name)).font(strong(12.5)));
                    // A flame is judged in the picture; what controls do is read off them.
                    let words = match b.looks {
                        Looks::Controls(_) => looks(b.looks),
                        _ => "lit",
                    };
                    let looks = RichText::new(words).font(plain(11.5)).color(t.soft);
                    ui.add(egui::Label::new(looks).wrap());
                });
            });
        });
    }
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
        for (words, act) in [
            ("Light half", Work::Light(Which::Half)),
            ("Light all", Work::Light(Which::All)),
            ("All off", Work::Off(Which::All)),
        ] {
            if act_button(ui, free, words, words) {
                w.order(Act::Do(act));
            }
        }
    });
    let cost = words::minutes(w.drill.bag.minutes(Tool::Burners));
    ui.label(
        RichText::new(format!(
            "{cost} of hand work, and {SETTLE_S} s until a flame is steady. No smell of gas before lighting"
        ))
        .font(plain(11.5))
        .color(t.soft),
    );
}

/// A button with a name of its own for who cannot see where it stands.
pub fn act_button(ui: &mut Ui, free: bool, words: &str, name: &str) -> bool {
    let text = RichText::new(words).font(plain(12.5));
    let least = vec2(ui.spacing().interact_size.x, 0.0);
    let response = ui.add_enabled(free, egui::Button::new(text).min_size(least));
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, free, name));
    response.clicked()
}
