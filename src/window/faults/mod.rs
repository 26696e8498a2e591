//! The faults page: what is wrong now, the whole catalogue to choose from, and for each fault
//! what its severity means, what it looks like, how it is told apart, and the caution.

mod comes;
mod idle;
mod now;
pub(super) mod search;
pub(super) mod typed;

use egui::{Frame, Margin, RichText, Sense, Slider, Ui, vec2};

use crate::fault::{Entry, Family, Fault, Onset, Side};
use crate::report::percent::percent;
use crate::rig::Rig;
use crate::scenario::Action;
use crate::sim::{ActiveFault, Command};
use crate::units::parse_number;
use crate::window::desk::Desk;
use crate::window::faults::comes::ONSETS;
use crate::window::faults::idle::WhereTheyAct;
use crate::window::faults::now::{affairs_ui, part_ui, recorded_ui, shows_yet};
use crate::window::faults::search::{Hit, hit, is_electric, strikes_named};
use crate::window::look::pieces::hint_above;
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{CORNER, NOTE, Theme, main_button, plain, quiet, strong, title};
use crate::window::time::jumps;
use crate::window::told::part::Part;

/// What the scale of severity is.
const SEVERITY: &str = "From nothing to the worst of this fault, and no share of the part: what it comes to stands below";

/// What the page keeps between frames.
#[derive(Debug, Clone)]
pub struct FaultsPage {
    search: String,
    chosen: Option<Fault>,
    severity: f64,
    onset: usize,
    part: Option<Part>,
    /// Whether the page of a fault was opened from the keyboard, which then goes on there.
    by_key: bool,
    /// Whether the list was on show in the last frame, and letters typed beside its field belong to it.
    listed: bool,
    /// Whether the field takes the keyboard, with all of its text before the cursor.
    to_the_field: bool,
    /// In which air faults act on the rig on show.
    acts: WhereTheyAct,
}

impl Default for FaultsPage {
    fn default() -> Self {
        Self {
            search: String::new(),
            chosen: None,
            severity: 0.5,
            onset: 0,
            part: None,
            by_key: false,
            listed: false,
            to_the_field: false,
            acts: WhereTheyAct::default(),
        }
    }
}

impl FaultsPage {
    /// Draws the page.
    pub fn show(&mut self, ui: &mut Ui, desk: &mut Desk<'_>, kept: &mut Option<Part>) {
        if self.part != *kept {
            // Another part was taken in hand: its faults, not the one that was read before.
            self.part = *kept;
            self.chosen = None;
        }
        if let Some(part) = *kept {
            part_ui(ui, desk, part, kept);
        }
        recorded_ui(ui, desk);
        // What a press changes stands under what was pressed, so that nothing moves away from the pointer.
        if let Some(fault) = self.chosen {
            let fault = here(fault, desk);
            self.detail_ui(ui, desk, fault);
            ui.add_space(8.0);
            self.active_ui(ui, desk);
        } else {
            self.active_ui(ui, desk);
            self.list_ui(ui, desk);
        }
    }

    /// Whether the list and its field are on show; asked once a frame, before it is drawn.
    pub fn was_listed(&mut self) -> bool {
        std::mem::take(&mut self.listed)
    }

    /// A word that was typed beside the field.
    pub fn search_for(&mut self, word: &str) {
        self.search.clear();
        self.search.push_str(word);
        self.to_the_field = true;
    }

    /// Goes back to the whole list.
    pub fn show_all(&mut self) {
        self.search.clear();
        self.chosen = None;
    }

    /// What is wrong now.
    fn active_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        affairs_ui(ui, desk);
        now::hands_ui(ui, desk);
        if desk.snap.faults.is_empty() {
            ui.label(RichText::new("No fault is put in").color(t.soft));
            ui.add_space(4.0);
            return;
        }
        if !shows_yet(desk) {
            let words = "Nothing of it is to be seen, heard or read yet";
            ui.label(RichText::new(words).font(plain(12.0)).color(t.soft));
        }
        let active = desk.snap.faults.clone();
        for a in &active {
            let entry = a.fault.entry();
            Frame::new()
                .fill(t.accent_wash)
                .corner_radius(crate::window::look::theme::CORNER)
                .inner_margin(Margin::symmetric(9, 6))
                .show(ui, |ui| {
                    ui.set_width(ui.available_width());
                    let called = a.fault.name_on(&desk.snap.rig);
                    let name = called.as_str();
                    let name = egui::Button::new(RichText::new(name).font(strong(12.5)))
                        .frame(false)
                        .wrap();
                    if ui.add(name).on_hover_text("Show this fault").clicked() {
                        self.choose(a.fault, a.comes_to());
                    }
                    ui.horizontal(|ui| {
                        let clear = ui.add(quiet("Clear"));
                        clear.widget_info(|| {
                            egui::WidgetInfo::labeled(
                                egui::Role::Button,
                                true,
                                format!("Clear {called}"),
                            )
                        });
                        if clear.clicked() {
                            desk.send
                                .push(Command::Act(Action::Clear { fault: a.fault }));
                        }
                        if let Some(at_s) = jumps::before_this(desk.snap, a.fault) {
                            let back = ui.add(quiet("Just before"));
                            let why =
                                "Look at the moment just before this fault (J); nothing is lost";
                            if back.on_hover_text(why).clicked() {
                                jumps::look_at(desk, at_s);
                            }
                        }
                    });
                    // Under the buttons: beside them a narrow page leaves a word no room.
                    let meaning = |severity| (entry.meaning)(severity, desk.units.system());
                    let now_s = desk.snap.readings.time_s;
                    let words = match on_its_way(a, now_s) {
                        Some((now, to)) => {
                            format!("now {}, comes to {}", meaning(now), meaning(to))
                        }
                        None => meaning(a.severity.at(now_s)),
                    };
                    let text = RichText::new(words).font(plain(11.5)).color(t.soft);
                    ui.add(egui::Label::new(text).wrap());
                    let waits = entry
                        .by_sun
                        .filter(|_| desk.snap.readings.sun_w_per_m2 <= 0.0);
                    if let Some(words) = waits {
                        let text = RichText::new(words).font(plain(11.5)).color(t.caution);
                        ui.add(egui::Label::new(text).wrap());
                    }
                    self.acts.ui(ui, desk, a.fault, a.severity_soon(now_s));
                });
        }
        ui.add_space(4.0);
    }

    /// Opens the page of a fault by its name, for pictures and tests.
    pub fn show_named(&mut self, id: &str) {
        if let Some(fault) = Fault::named(id) {
            self.choose(fault, 0.5);
        }
    }

    fn choose(&mut self, fault: Fault, severity: f64) {
        self.chosen = Some(fault);
        self.severity = severity;
    }

    /// The catalogue by family.
    fn list_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        let label = ui.label(title("Put a fault in", 13.0));
        let field = ui
            .add(
                egui::TextEdit::singleline(&mut self.search)
                    .hint_text("search, e.g. vent, ice, furnace")
                    .desired_width(f32::INFINITY),
            )
            .labelled_by(label.id);
        self.listed = true;
        if std::mem::take(&mut self.to_the_field) {
            take_the_keyboard(ui, &field, &self.search);
        }
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
        let wanted = self.search.to_lowercase();
        let of_part = self.part.map(Part::faults);
        // Who asks for a word asks of all parts.
        let asked = !wanted.trim().is_empty();
        let strikes = |f: &Fault| asked || of_part.as_ref().is_none_or(|p| p.contains(f));
        let groups = groups_of(&wanted, &desk.snap.rig, strikes);
        if enter {
            // The nearest is opened; with nothing found, or asked for, the keyboard stays where it is.
            let nearest = groups.first().and_then(|(_, faults)| faults.first());
            match nearest.filter(|_| asked) {
                Some(fault) => {
                    self.choose(*fault, 0.5);
                    self.by_key = true;
                }
                None => field.request_focus(),
            }
        }
        for (heading, faults) in &groups {
            ui.add_space(3.0);
            ui.label(RichText::new(heading).font(plain(11.5)).color(t.soft));
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 22.0;
            ui.spacing_mut().button_padding = vec2(6.0, 3.0);
            for fault in faults {
                if row_ui(ui, desk, *fault) {
                    self.choose(*fault, 0.5);
                }
            }
        }
        if groups.is_empty() {
            let words = if is_electric(&wanted) {
                "Not in this catalogue, which ends where the gas does: fan, sail switch, limit switch, control board, \
                 wiring and battery are the appliance's electric side. A furnace whose fan runs and that never tries a spark \
                 is looked for there, with its own manual (practice)"
            } else {
                "No fault of that name. Try a part or a symptom: seat, spring, frost"
            };
            ui.label(RichText::new(words).color(t.soft));
        }
    }

    /// One fault in full.
    fn detail_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>, fault: Fault) {
        let t = desk.theme.clone();
        let entry = fault.entry();
        let all = ui.add(quiet("← All faults"));
        spots::mark(ui, Spot::AllFaults, all.rect);
        if all.clicked() {
            self.chosen = None;
            // Who came back by the keyboard goes on in the field.
            self.to_the_field = all.has_focus();
            return;
        }
        ui.add_space(2.0);
        // It takes the keyboard that opened the page and does nothing with it: Enter once more changes nothing.
        let name = ui.label(title(entry.name, 15.0));
        let name = ui.interact(
            name.rect,
            name.id.with("name"),
            Sense::focusable_noninteractive(),
        );
        name.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, entry.name));
        if std::mem::take(&mut self.by_key) {
            name.request_focus();
        }
        if name.has_focus() {
            let ring = egui::Stroke::new(1.0, t.accent);
            ui.painter().rect_stroke(
                name.rect.expand(2.0),
                CORNER,
                ring,
                egui::StrokeKind::Outside,
            );
        }
        ui.label(RichText::new(desk.units.prose(entry.words)).color(t.soft));
        self.also_in_ui(ui, desk, fault);
        ui.add_space(4.0);
        self.side_ui(ui, desk, fault);
        self.burner_ui(ui, desk, fault);
        let active = desk.snap.faults.iter().find(|a| a.fault == fault).copied();
        self.severity_ui(ui, desk, fault, active);
        if !comes::fits(ONSETS[self.onset].0, fault) {
            self.onset = 0;
        }
        let way = ONSETS[self.onset].0;
        ui.horizontal(|ui| {
            if active.is_some() {
                if ui.button("Clear it").clicked() {
                    desk.send.push(Command::Act(Action::Clear { fault }));
                }
            } else {
                let put = ui.add(main_button(&t, "Put it in"));
                spots::mark(ui, Spot::PutIn(fault.id()), put.rect);
                if put.clicked() {
                    desk.send
                        .push(Command::Act(way.action(fault, self.severity)));
                }
            }
        });
        caution(ui, desk, entry.caution);
        section(ui, desk, "Told apart by", entry.told_apart);
        section(ui, desk, "Comes on", onset_words(entry.onset));
        section(
            ui,
            desk,
            "A qualified technician",
            &entry.page().all_advice(),
        );
        self.look_alikes_ui(ui, desk, entry);
    }

    /// What else is in: whoever reads this page takes the rig for one with this fault alone.
    fn also_in_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, fault: Fault) {
        let others = desk.snap.faults.iter().filter(|a| a.fault != fault);
        let others: Vec<ActiveFault> = others.copied().collect();
        if others.is_empty() {
            return;
        }
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            ui.label(
                RichText::new("Also in:")
                    .font(strong(12.0))
                    .color(desk.theme.ink),
            );
            for other in others {
                let name = RichText::new(other.fault.name_on(&desk.snap.rig)).font(plain(12.0));
                if ui.link(name).on_hover_text("Show this fault").clicked() {
                    self.choose(other.fault, other.comes_to());
                }
            }
        });
    }

    /// Which side of a twin set it strikes.
    fn side_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, fault: Fault) {
        if fault.side().is_none() {
            return;
        }
        ui.horizontal(|ui| {
            let soft = desk.theme.soft;
            ui.label(
                RichText::new("Strikes the side")
                    .font(plain(11.5))
                    .color(soft),
            );
            for side in Side::ALL {
                let chosen = fault.side() == Some(side);
                if ui.selectable_label(chosen, side.word()).clicked() {
                    self.chosen = Some(fault.on(side));
                }
            }
        });
    }

    /// Which appliance it strikes, where one has the part.
    fn burner_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, fault: Fault) {
        let rig = &desk.snap.rig;
        let Some(struck) = fault.strikes_appliance(rig) else {
            return;
        };
        let soft = |words: String| {
            let text = RichText::new(words).font(plain(11.5));
            text.color(desk.theme.soft)
        };
        let can = fault.burners(rig);
        if can.len() == 1 {
            let words = format!("Strikes the {}", rig.appliances[struck].name);
            ui.label(soft(words));
            return;
        }
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            ui.label(soft("Strikes the".to_owned()));
            for i in can {
                let name = RichText::new(&rig.appliances[i].name).font(plain(11.5));
                if ui.selectable_label(i == struck, name).clicked() {
                    self.chosen = Some(fault.at_burner(i));
                }
            }
        });
    }

    fn severity_ui(
        &mut self,
        ui: &mut Ui,
        desk: &mut Desk<'_>,
        fault: Fault,
        active: Option<ActiveFault>,
    ) {
        let t = desk.theme.clone();
        let entry = fault.entry();
        if entry.whole {
            // It is there or it is not: nothing to slide, and putting it in is the switch.
            self.severity = 1.0;
        }
        let mut moved = false;
        if !entry.whole {
            moved = self.slider_ui(ui, &t, fault);
        }
        let meaning = |severity| (entry.meaning)(severity, desk.units.system());
        let bold = |words: String| RichText::new(words).font(strong(12.5)).color(t.ink);
        let now_s = desk.snap.readings.time_s;
        match active.and_then(|a| on_its_way(&a, now_s)) {
            Some((now, to)) => {
                ui.label(bold(format!("Now at {}: {}", percent(now), meaning(now))));
                let text = RichText::new(format!("Comes to {}: {}", percent(to), meaning(to)));
                ui.label(text.font(plain(NOTE)).color(t.soft));
            }
            None => {
                ui.label(bold(meaning(self.severity)));
            }
        }
        // Of one that is in it is told where that is said.
        if active.is_none() {
            self.acts.ui(ui, desk, fault, self.severity);
        }
        if entry.whole {
            // Nor does it come bit by bit.
            self.onset = 0;
        } else {
            self.onset_ui(ui, desk, fault);
        }
        if active.is_some() && moved {
            desk.send.push(Command::Act(Action::Inject {
                fault,
                severity: self.severity,
                over_s: 0.0,
            }));
        }
    }

    /// How bad it is to be; whether that was changed.
    fn slider_ui(&mut self, ui: &mut Ui, t: &Theme, fault: Fault) -> bool {
        let label = ui.label(RichText::new("Severity").font(plain(11.5)).color(t.soft));
        hint_above(&label, SEVERITY);
        ui.spacing_mut().slider_width = (ui.available_width() - 76.0).max(60.0);
        let slider = Slider::new(&mut self.severity, 0.0..=1.0)
            .custom_formatter(|v, _| format!("{:.0} %", v * 100.0))
            .custom_parser(|s| parse_number(s.trim().trim_end_matches('%')).map(|v| v / 100.0));
        let response = ui.add(slider).labelled_by(label.id);
        if self.severity < 1.0 {
            spots::mark(ui, Spot::Severity(fault.id()), response.rect);
        }
        hint_above(&response, SEVERITY);
        response.changed()
    }

    /// How it is to come.
    fn onset_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, fault: Fault) {
        let t = desk.theme;
        // On a line of its own: before the first row it would leave the others ragged.
        ui.label(RichText::new("Comes").font(plain(11.5)).color(t.soft));
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(4.0, 2.0);
            for (i, (way, words)) in ONSETS.iter().enumerate() {
                if !comes::fits(*way, fault) {
                    continue;
                }
                let text = RichText::new(*words).font(plain(11.5));
                let label = ui.selectable_label(self.onset == i, text);
                if label.on_hover_text(comes::how(*way, desk.units)).clicked() {
                    self.onset = i;
                }
            }
        });
    }

    fn look_alikes_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, entry: &Entry) {
        let others: Vec<Fault> = entry
            .look_alikes
            .iter()
            .filter_map(|id| Fault::named(id))
            .collect();
        if others.is_empty() {
            return;
        }
        ui.add_space(4.0);
        ui.label(
            RichText::new("Looks like")
                .font(plain(11.5))
                .color(desk.theme.soft),
        );
        for other in others {
            if ui.link(other.entry().name).clicked() {
                self.choose(other, self.severity);
            }
        }
    }
}

/// Gives a field the keyboard, its cursor behind what stands in it.
fn take_the_keyboard(ui: &Ui, field: &egui::Response, text: &str) {
    use egui::text::{CCursor, CCursorRange};
    let mut state = egui::text_edit::TextEditState::load(ui.ctx(), field.id).unwrap_or_default();
    let end = CCursorRange::one(CCursor::new(text.chars().count()));
    state.cursor.set_char_range(Some(end));
    state.store(ui.ctx(), field.id);
    field.request_focus();
}

/// Severity now and the one that is come to, of a fault that is still on its way.
pub fn on_its_way(a: &ActiveFault, now_s: f64) -> Option<(f64, f64)> {
    let now = a.severity.at(now_s);
    let to = a.comes_to();
    // What comes at once is there.
    let apart = (a.severity_soon(now_s) - to).abs() > 1e-3;
    apart.then_some((now, to))
}

/// A fault as the rig on show can have it.
fn here(fault: Fault, desk: &Desk<'_>) -> Fault {
    match desk.snap.rig.containers.len() {
        1 if fault.side().is_some() => fault.anywhere(),
        _ => fault.settled(&desk.snap.rig, desk.snap.readings.service_side),
    }
}

fn onset_words(onset: Onset) -> &'static str {
    match onset {
        Onset::Sudden => "all at once",
        Onset::Gradual => "over minutes or hours",
        Onset::Weather => "with cold, wet or heat",
        Onset::Wear => "with age and use",
    }
}

/// A heading with a line of text.
fn section(ui: &mut Ui, desk: &Desk<'_>, heading: &str, text: &str) {
    ui.add_space(4.0);
    ui.label(
        RichText::new(heading)
            .font(plain(11.5))
            .color(desk.theme.soft),
    );
    ui.label(desk.units.prose(text));
}

/// A caution, where the act is.
pub fn caution(ui: &mut Ui, desk: &Desk<'_>, text: &str) {
    let t = desk.theme;
    Frame::new()
        .fill(t.caution_wash)
        .corner_radius(crate::window::look::theme::CORNER)
        .inner_margin(Margin::symmetric(9, 6))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            let text = RichText::new(desk.units.prose(text));
            ui.label(text.font(plain(12.0)).color(t.caution));
        });
}

/// The faults to choose from under their headings: by family, or, where something is asked for, the nearest hits first.
fn groups_of(
    wanted: &str,
    rig: &Rig,
    strikes: impl Fn(&Fault) -> bool,
) -> Vec<(String, Vec<Fault>)> {
    let wanted = wanted.trim();
    let near = |f: &Fault| {
        let named = strikes_named(f.entry(), wanted, rig).then_some(Hit::Strikes);
        let hit = hit(f.entry(), wanted);
        hit.into_iter().chain(named).min()
    };
    let mut all: Vec<(Hit, Fault)> = Fault::all()
        .filter(&strikes)
        .filter_map(|f| Some((near(&f)?, f)))
        .collect();
    let heading = |(hit, f): &(Hit, Fault)| {
        if wanted.is_empty() {
            crate::report::letters::capital(f.entry().family.words())
        } else {
            hit.words().to_owned()
        }
    };
    if wanted.is_empty() {
        let place = |f: &Fault| Family::ALL.iter().position(|x| *x == f.entry().family);
        all.sort_by_key(|(_, f)| place(f));
    } else {
        all.sort_by_key(|(hit, _)| *hit);
    }
    let groups = all.chunk_by(|a, b| heading(a) == heading(b));
    groups
        .map(|g| (heading(&g[0]), g.iter().map(|(_, f)| *f).collect()))
        .collect()
}

/// A fault to choose; whether it was.
fn row_ui(ui: &mut Ui, desk: &Desk<'_>, fault: Fault) -> bool {
    let on = desk.snap.faults.iter().any(|a| fault.names(a.fault));
    let text = if on {
        format!("{} (in)", fault.entry().name)
    } else {
        fault.entry().name.to_owned()
    };
    let button = egui::Button::new(text)
        .frame_when_inactive(false)
        .wrap()
        .min_size(vec2(ui.available_width(), 0.0));
    let left = egui::Layout::top_down_justified(egui::Align::LEFT);
    let row = ui.with_layout(left, |ui| ui.add(button)).inner;
    spots::mark(ui, Spot::Fault(fault.id()), row.rect);
    row.clicked()
}
