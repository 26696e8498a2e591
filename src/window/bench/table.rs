//! The bench table under the cutaway: fitted instruments, leak fluid, what is seen and heard, and
//! at its right what the last test or deed has given.

use egui::{
    ComboBox, FontId, Rect, RichText, Role, ScrollArea, Sense, Ui, Vec2, WidgetInfo, pos2, vec2,
};

use super::{BenchPage, instruments};
use crate::report::letters::capital;
use crate::report::visit as words;
use crate::rig::Rig;
use crate::service::{
    Device, Fitted, Joint, Kit, MOST_FITTED, Place, Shown, TestPoint, flame_seen, frost_seen,
    temperature_text,
};
use crate::window::desk::Desk;
use crate::window::look::show::{Units, clock};
use crate::window::look::theme::{plain, strong};
use crate::window::look::within::within;
use crate::window::panels::burners::state_words;

/// Most and least width of one instrument \[points\].
const WIDE: f32 = 152.0;
const LEAST_WIDE: f32 = 122.0;
/// What a choice takes beside its words, and the smallest letters it may have \[points\].
const BESIDE_WORDS: f32 = 46.0;
const SMALLEST: f32 = 8.0;
/// Gap between two \[points\].
const GAP: f32 = 8.0;
/// Share of a wide table that instruments may take, and what is always left to the outcome \[points\].
const MOST_SHARE: f32 = 0.62;
const OUTCOME: f32 = 200.0;
/// Least and most height of an instrument with its choices \[points\]: in a low table they are scrolled to.
const LEAST_HIGH: f32 = 160.0;
const MOST_HIGH: f32 = 380.0;
/// Room for what is seen and heard \[points\].
const SENSES: f32 = 90.0;
/// What was heard is news for so long \[s\].
const NEWS_S: f64 = 1.0;

/// How many instruments of so many stand side by side on a table of a width, and how wide each is \[points\]: whole ones only,
/// the others are scrolled to.
fn side_by_side(fitted: usize, table: f32) -> (usize, f32) {
    let room = (table - OUTCOME).min((3.0 * WIDE).max(MOST_SHARE * table));
    let fits = ((room / LEAST_WIDE).floor() as usize).max(1);
    let shown = within(fitted, 1, fits);
    (shown, (room / shown as f32).clamp(LEAST_WIDE, WIDE))
}

impl BenchPage {
    /// Draws the table.
    pub fn table_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let all = ui.available_rect_before_wrap();
        let fitted = self.rack.seen().fitted.len();
        let (shown, wide) = side_by_side(fitted, all.width());
        let seen_width = (shown as f32 * wide).max(2.0 * LEAST_WIDE);
        let left = Rect::from_min_size(all.min, vec2(seen_width.min(all.width()), all.height()));
        let right = Rect::from_min_max(pos2(left.right() + 14.0, all.top()), all.max);
        ui.painter().vline(
            left.right() + 5.0,
            all.y_range(),
            egui::Stroke::new(1.0, desk.theme.edge),
        );
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            let high = (left.height() - SENSES).clamp(LEAST_HIGH, MOST_HIGH);
            ScrollArea::vertical()
                .id_salt("left of the table")
                .auto_shrink(false)
                .show(ui, |ui| {
                    // What lies beyond the edge has a bar that says so.
                    if fitted > shown {
                        ui.spacing_mut().scroll = egui::style::ScrollStyle::solid();
                    }
                    ScrollArea::horizontal()
                        .id_salt("instruments")
                        .max_height(high)
                        .show(ui, |ui| self.instruments_ui(ui, desk, vec2(wide, high)));
                    self.senses_ui(ui, desk);
                });
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            ScrollArea::vertical()
                .id_salt("outcome")
                .auto_shrink(false)
                .show(ui, |ui| self.outcome_ui(ui, desk));
        });
        ui.allocate_rect(all, Sense::hover());
    }

    fn instruments_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, size: Vec2) {
        let fitted = self.rack.seen().fitted;
        let shown = std::mem::replace(&mut self.shown_gauges, fitted.len());
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 0.0;
            for (i, f) in fitted.iter().enumerate() {
                let one = ui.allocate_ui(size, |ui| {
                    ui.vertical(|ui| {
                        ui.set_width(size.x - GAP);
                        self.one_ui(ui, desk, i, f, size);
                    });
                });
                ui.add_space(GAP);
                // One that has just been fitted is brought into sight.
                if fitted.len() > shown && i + 1 == fitted.len() {
                    one.response.scroll_to_me(None);
                }
            }
        });
    }

    /// One instrument: where it sits, what it is, how it looks, what it reads.
    fn one_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, i: usize, f: &Fitted, size: Vec2) {
        let (wide, high) = (size.x, size.y);
        let (t, units, rig) = (desk.theme, desk.units, &*desk.snap.rig);
        let mut next = *f;
        ui.spacing_mut().item_spacing = vec2(3.0, 3.0);
        ui.spacing_mut().interact_size.y = 20.0;
        ui.horizontal(|ui| {
            point_ui(ui, i, &mut next.point, rig, wide);
            let off = ui.small_button("×").on_hover_text("Take it off");
            off.widget_info(|| {
                WidgetInfo::labeled(
                    Role::Button,
                    true,
                    format!("Take the gauge off the {}", f.point.name(rig)),
                )
            });
            if off.clicked() {
                self.rack.take_off(i);
            }
        });
        device_ui(ui, i, &mut next.device, units, wide);
        if next != *f {
            self.rack.replace(i, next);
        }
        let (rect, response) =
            ui.allocate_exact_size(vec2(wide - 8.0, (high - 56.0).max(30.0)), Sense::hover());
        let text = instruments::reading(&f.device, units);
        response.widget_info(|| {
            WidgetInfo::labeled(
                Role::Image,
                true,
                format!(
                    "{} at the {}: {text}",
                    device_name(&f.device, units),
                    f.point.name(rig)
                ),
            )
        });
        let over = f.device.shown() == Shown::OverRange;
        let face = Rect::from_min_max(rect.min, rect.max - vec2(0.0, 20.0));
        instruments::face(ui.painter(), face, &f.device, units, t);
        let blown = over && matches!(f.device, Device::Manometer(_));
        let fill = Rect::from_center_size(face.center(), vec2(118.0_f32.min(face.width()), 24.0));
        if blown && ui.put(fill, egui::Button::new("Fill with water")).clicked() {
            self.rack.refill(i);
        }
        let words = if blown { "water blown out" } else { &text };
        instruments::words_under(
            ui.painter(),
            pos2(rect.center().x, rect.bottom() - 18.0),
            words,
            over,
            t,
        );
    }

    /// Leak fluid, flames, frost, sound.
    fn senses_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        let rig = desk.snap.rig.clone();
        let small = |text: String| RichText::new(text).font(plain(12.0)).color(t.soft);
        ui.spacing_mut().item_spacing = vec2(6.0, 3.0);
        ui.spacing_mut().interact_size.y = 20.0;
        // What hands do stands in one row that nothing seen or heard moves; what changes comes under it.
        ui.horizontal_wrapped(|ui| {
            self.fluid_ui(ui, &rig);
            let room = self.rack.seen().fitted.len() < MOST_FITTED;
            let another = egui::Button::new(RichText::new("Another gauge").font(plain(12.0)));
            let another = ui.add_enabled(room, another);
            let why = "No more than five at once: take one off first";
            if another
                .on_hover_text("Fit another instrument")
                .on_disabled_hover_text(why)
                .clicked()
            {
                let manometer = Device::Manometer(Kit::default().manometer);
                self.rack.fit(TestPoint::Manifold, manometer);
            }
            if ui
                .button(RichText::new("Listen").font(plain(12.0)))
                .on_hover_text("Half a second with the ear at the regulator")
                .clicked()
            {
                self.listen(desk);
            }
            self.thermometer_ui(ui, desk);
        });
        ui.horizontal_wrapped(|ui| {
            let r = &desk.snap.readings;
            ui.label(small(flames_words(desk)));
            ui.label(small(format!("{}.", capital(words::frost(frost_seen(r))))));
            // What comes before it in time has not been heard yet.
            if let Some((at_s, sound)) = self.heard.filter(|h| h.0 <= r.time_s) {
                let is_news = r.time_s - at_s < NEWS_S;
                let ink = if is_news { t.ink } else { t.soft };
                let text = format!("Heard at {}: {}", clock(at_s, 1), words::sound(sound));
                ui.label(RichText::new(text).font(strong(12.0)).color(ink));
            }
        });
        ui.horizontal_wrapped(|ui| {
            for f in &self.rack.seen().fluid {
                let text = format!("{}: {}", f.joint.name(&rig), words::bubbles(f.bubbles));
                let chip = ui.selectable_label(true, RichText::new(text).font(plain(12.0)));
                if chip.on_hover_text("Wipe it off").clicked() {
                    self.rack.put_fluid(f.joint, false);
                }
            }
        });
    }

    /// Leak fluid to put on a joint or to wipe off.
    fn fluid_ui(&mut self, ui: &mut Ui, rig: &Rig) {
        let fluid = self.rack.seen().fluid;
        let menu = ui.menu_button(RichText::new("Leak fluid on …").font(plain(12.0)), |ui| {
            for joint in joints(rig) {
                let on = fluid.iter().any(|f| f.joint == joint);
                let name = capital(&joint.name(rig));
                if ui.selectable_label(on, name).clicked() {
                    self.rack.put_fluid(joint, !on);
                    ui.close();
                }
            }
        });
        menu.response
            .on_hover_text("Put leak fluid on a joint or a vent, or wipe it off");
    }
}

impl BenchPage {
    /// The thermometer: where it is put, and what it shows.
    fn thermometer_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let rig = &*desk.snap.rig;
        let probe = self.rack.seen().probe;
        let mut place = probe.map(|p| p.place);
        let name = place.map_or_else(
            || "Thermometer".to_owned(),
            |p| format!("Thermometer: {}", p.name(rig)),
        );
        let combo = ComboBox::from_id_salt("thermometer")
            .selected_text(RichText::new(&name).font(plain(12.0)))
            .show_ui(ui, |ui| {
                for choice in Place::all(rig) {
                    ui.selectable_value(&mut place, Some(choice), capital(&choice.name(rig)));
                }
                ui.selectable_value(&mut place, None, "Put away");
            });
        combo
            .response
            .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, name.clone()));
        if place != probe.map(|p| p.place) {
            self.rack.put_thermometer(place);
        }
        if let Some(shown_k) = probe.and_then(|p| p.thermometer.shown_k()) {
            let text = temperature_text(shown_k, desk.units.system());
            let text = RichText::new(text).font(strong(12.5)).color(desk.theme.ink);
            ui.add(egui::Label::new(text).extend());
        }
    }
}

/// The font, smaller where a choice of a width has no room for its words.
fn fitting(ui: &Ui, words: &str, font: FontId, wide: f32) -> FontId {
    let ink = egui::Color32::PLACEHOLDER;
    let laid = ui
        .painter()
        .layout_no_wrap(words.to_owned(), font.clone(), ink);
    let share = (wide - BESIDE_WORDS) / laid.size().x.max(1.0);
    let size = font.size * share.min(1.0);
    FontId::new(size.max(SMALLEST), font.family)
}

fn point_ui(ui: &mut Ui, i: usize, point: &mut TestPoint, rig: &Rig, wide: f32) {
    let name = capital(&point.name(rig));
    let combo = ComboBox::from_id_salt(("point", i))
        .width(wide - 38.0)
        .truncate()
        .selected_text(RichText::new(&name).font(fitting(ui, &name, strong(12.5), wide - 38.0)))
        .show_ui(ui, |ui| {
            for choice in TestPoint::all(rig) {
                ui.selectable_value(point, choice, capital(&choice.name(rig)));
            }
        });
    combo.response.widget_info(|| {
        WidgetInfo::labeled(
            Role::ComboBox,
            true,
            format!("Gauge {} sits at: {name}", i + 1),
        )
    });
}

fn device_ui(ui: &mut Ui, i: usize, device: &mut Device, units: Units, wide: f32) {
    let name = device_name(device, units);
    let combo = ComboBox::from_id_salt(("device", i))
        .width(wide - 12.0)
        .truncate()
        .selected_text(RichText::new(&name).font(fitting(ui, &name, plain(11.5), wide - 12.0)))
        .show_ui(ui, |ui| {
            for choice in Device::of_kit(&Kit::default()) {
                let on = choice.range_pa() == device.range_pa();
                if ui
                    .selectable_label(on, device_name(&choice, units))
                    .clicked()
                    && !on
                {
                    *device = choice;
                }
            }
        });
    combo.response.widget_info(|| {
        WidgetInfo::labeled(Role::ComboBox, true, format!("Gauge {} is: {name}", i + 1))
    });
}

/// An instrument by its kind and range.
pub(in crate::window) fn device_name(device: &Device, units: Units) -> String {
    match device {
        Device::Manometer(_) => "Water manometer".to_owned(),
        Device::Digital(_) => "Digital manometer".to_owned(),
        Device::Dial(g) if g.range_pa < 9e3 => {
            format!(
                "Dial to {:.0} {}",
                units.low(g.range_pa).value,
                units.low(1.0).unit
            )
        }
        Device::Dial(g) => {
            format!(
                "Dial to {:.0} {}",
                units.high(g.range_pa).value,
                units.high(1.0).unit
            )
        }
    }
}

fn joints(rig: &Rig) -> Vec<Joint> {
    [
        Joint::FirstVent,
        Joint::SecondVent,
        Joint::Pigtail,
        Joint::LowSide,
    ]
    .into_iter()
    .chain((0..rig.appliances.len()).map(Joint::Burner))
    .collect()
}

/// The flames as seen: the one that stands out, or how they all are.
fn flames_words(desk: &Desk<'_>) -> String {
    let r = &desk.snap.readings;
    let odd = (0..r.appliance_count).find(|i| {
        let seen = flame_seen(r, *i);
        let words = state_words(&r.appliances[*i]);
        r.appliances[*i].heat_w > 0.0 && (seen.surging || words != "flame steady")
    });
    let lit = (0..r.appliance_count).any(|i| r.appliances[i].heat_w > 0.0);
    match odd {
        Some(i) if flame_seen(r, i).surging => "Flames jump up and down.".to_owned(),
        Some(i) => format!(
            "{}: {}.",
            capital(&desk.snap.rig.appliances[i].name),
            state_words(&r.appliances[i])
        ),
        None if lit => "Flames steady.".to_owned(),
        None => "No flame.".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No instrument is a sliver: those that stand side by side stand there whole, and the outcome keeps its room.
    #[test]
    fn instruments_stand_side_by_side_whole() {
        for table in [300.0_f32, 440.0, 520.0, 660.0, 805.0, 1100.0, 1500.0] {
            for fitted in 0..=MOST_FITTED {
                let (shown, wide) = side_by_side(fitted, table);
                assert!(shown <= fitted.max(1), "{fitted} at {table}");
                assert!((LEAST_WIDE..=WIDE).contains(&wide), "{fitted} at {table}");
                if shown > 1 {
                    let taken = shown as f32 * wide;
                    assert!(taken <= table - OUTCOME + 1e-3, "{fitted} at {table}");
                }
            }
        }
        // A window of 1400 points has a table of some 800: four stand there.
        assert_eq!(side_by_side(4, 805.0).0, 4);
    }
}
