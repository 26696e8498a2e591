//! The help sheet: keys, how to read the picture, and the cautions that always hold.

use egui::{Key, Modifiers, RichText, ScrollArea, Ui, vec2};

use crate::report::causes::SMELL;
use crate::window::desk::keys;
use crate::window::look::show::{TRADE_UNITS, Units};
use crate::window::look::theme::{Theme, plain, strong, title};

/// Cautions that hold everywhere.
const ALWAYS: [&str; 5] = [
    SMELL,
    "Only a qualified LP-gas technician opens, sets or replaces a regulator. Owners look, switch off and report",
    "A regulator that saw liquid, water or fire, or fails lock-up, is replaced",
    "Keep gas and CO alarms in date. After an outage, relight and prove every flame safety",
    "This is a model for learning. It is no permit and no instrument; local codes decide",
];

/// How to read the cutaway.
const READING: [&str; 9] = [
    "The further gas stands out from the ground and the denser its dots, the higher its pressure; the scale is beside the second stage, and every number stands beside its part",
    "Drag on the ruler under the charts, or click in a chart, to look at another moment: the whole picture follows and nothing is lost. Going on from there, or any act there, begins a branch; the other one is kept and drawn dashed with its letter",
    "Dashes run at the pace of the true flow, and stand still when none flows",
    "Bores, diaphragms and levers are in true proportion; travel is drawn larger, by one factor for both stages that is told in the picture, such as × 50: M and N change it",
    "The round magnifiers show both seats to one scale, with a bar for length; a part that has moved out of one is told beside it",
    "Faint dashed lines in the picture, and the thin grey line in the charts, are the healthy twin under the same inputs",
    "Point at a part, or walk to it with Tab (F6 goes to the next area of the window): it says its name, what it reads, what it does and what goes wrong with it. A click or Enter keeps it, with its history in the charts and its faults at the right; Esc lets go",
    "The beam tips to the side that pushes harder: gas below closes, air above, spring and jet open",
    "While a drill runs the rig is covered, and the keys that touch it rest until you answer or leave",
];

/// What a press of an arrow scrolls \[points\].
const LINE: f32 = 40.0;

/// Draws the sheet while it is open, before everything else: a click beside it closes it, and what lies behind has no ring. The
/// keys that go through a text go through it.
pub fn show(ui: &Ui, open: &mut bool, units: Units) {
    if !*open {
        return;
    }
    let theme = Theme::of(ui);
    let room = ui.content_rect().size();
    let wide = 640.0_f32.min(room.x - 40.0);
    let high = (room.y - 120.0).max(120.0);
    let id = egui::Id::unique("help sheet");
    let area = egui::Modal::default_area(id).default_size(vec2(wide, room.y));
    let modal = egui::Modal::new(id).area(area).show(ui.ctx(), |ui| {
        ui.set_width(wide);
        let closed = ui
            .horizontal(|ui| {
                ui.label(title("Keys and how to read the picture", 15.0));
                let right = egui::Layout::right_to_left(egui::Align::Center);
                ui.with_layout(right, |ui| {
                    ui.button("Close").on_hover_text("Esc or F1").clicked()
                })
                .inner
            })
            .inner;
        ui.add_space(4.0);
        let by = scrolled(ui, high);
        ScrollArea::vertical()
            .max_height(high)
            .auto_shrink([false, true])
            .show(ui, |ui| {
                if by != 0.0 {
                    ui.scroll_with_delta(vec2(0.0, by));
                }
                sheet(ui, &theme, units);
            });
        closed
    });
    if modal.inner || modal.should_close() {
        *open = false;
    }
}

/// So far do this frame's keys take the sheet, down negative \[points\].
fn scrolled(ui: &Ui, page: f32) -> f32 {
    let ways = [
        (Key::ArrowDown, -LINE),
        (Key::ArrowUp, LINE),
        (Key::PageDown, -0.9 * page),
        (Key::PageUp, 0.9 * page),
        (Key::End, -1e5),
        (Key::Home, 1e5),
    ];
    ui.input_mut(|input| {
        let by = |(key, by)| {
            let times = input.count_and_consume_key(Modifiers::NONE, key);
            times as f32 * by
        };
        ways.map(by).iter().sum()
    })
}

fn sheet(ui: &mut Ui, theme: &Theme, units: Units) {
    ui.spacing_mut().interact_size.y = 18.0;
    ui.spacing_mut().item_spacing.y = 4.0;
    egui::Grid::new("keys")
        .num_columns(4)
        .spacing([14.0, 4.0])
        .show(ui, |ui| {
            let mut rows: Vec<(&str, &str)> = vec![("1 to 9", "light or shut off a burner")];
            rows.extend(keys::TABLE.iter().map(|(_, _, _, key, does)| (*key, *does)));
            rows.dedup_by(|b, a| a.1 == b.1);
            let half = rows.len().div_ceil(2);
            for i in 0..half {
                for row in [rows.get(i), rows.get(i + half)].into_iter().flatten() {
                    ui.label(RichText::new(row.0).font(strong(12.5)).color(theme.accent));
                    ui.label(RichText::new(row.1).font(plain(12.5)));
                }
                ui.end_row();
            }
        });
    ui.add_space(4.0);
    ui.label(
        RichText::new(
            "Tab walks through everything as it is read. Space and Enter press what has the ring; without a ring Space plays and pauses. Esc takes the ring away, then closes what lies on top. Ctrl + and Ctrl - change the text size",
        )
        .font(plain(12.5))
        .color(theme.soft),
    );
    let trade = (units == Units::Us).then_some(("Units", &TRADE_UNITS[..]));
    let sections = [("The picture", &READING[..])]
        .into_iter()
        .chain(trade)
        .chain([("Always", &ALWAYS[..])]);
    for (heading, lines) in sections {
        ui.add_space(8.0);
        ui.label(title(heading, 13.0));
        for line in lines {
            ui.label(RichText::new(*line).font(plain(12.5)));
        }
    }
}
