//! A rig built in the window: a form with the picture of what it says beside it. It edits a scenario as its file has it and
//! asks the same reader; it sends nothing to what runs until the rig is started.

mod fields;
mod gear;
mod picture;
mod plates;
mod sheet;
mod supply;

use egui::{
    Align, Context, Key, KeyboardShortcut, Layout, Modifiers, RichText, Role, ScrollArea, Ui,
    WidgetInfo, vec2,
};

use self::fields::{Pen, wrong_ui};
use self::sheet::Sheet;
use crate::report::letters;
use crate::scenario::Scenario;
use crate::sim::{Snapshot, comes_to_rest};
use crate::window::desk::work::Work;
use crate::window::look::pieces::card_of_height;
use crate::window::look::show::Units;
use crate::window::look::theme::{LEAD, Theme, main_button, plain, strong, title};

/// Least width of the form, which its widest table takes, and of the picture beside it \[points\].
const FORM: f32 = 640.0;
const PICTURE: f32 = 270.0;
/// A head narrower than this stands in two rows \[points\].
const ONE_ROW: f32 = 880.0;

/// A page of the form.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
enum Part {
    #[default]
    Supply,
    Gear,
    Plates,
    Story,
}

/// The pages with their names, and the tables of the file they show.
const PARTS: [(Part, &str, &[&str]); 4] = [
    (Part::Supply, "Supply", &["container", "fuel", "supply"]),
    (Part::Gear, "Regulator and pipe", &["regulator", "piping"]),
    (Part::Plates, "Appliances", &["appliance"]),
    (
        Part::Story,
        "Place and faults",
        &["site", "title", "summary", "run", "event"],
    ),
];

/// What the form asks of the window.
pub enum Wish {
    /// Run this rig.
    Start(Box<Scenario>),
    /// Go back to what runs.
    Leave,
    /// Open a file into the form.
    Open,
    /// Save what the form says.
    Save,
    /// A rig of its own stands on it now: no file is its file.
    Begin,
}

/// The form, which keeps what is on it while the window shows something else.
#[derive(Default)]
pub struct RigForm {
    sheet: Option<Sheet>,
    part: Part,
    /// A rig on trial, and what is tried.
    trial: Option<(Work<()>, Box<Scenario>)>,
    /// What came of the last trial, if it did not come to rest.
    unrest: Option<String>,
    /// Whether time ran when the form was opened.
    pub ran: bool,
}

/// Why a rig on trial did not come to rest.
fn unrest_ui(ui: &mut Ui, t: &Theme, units: Units, why: &str) {
    let words = letters::capital(&units.prose(&letters::bare(why)));
    ui.label(RichText::new(words).color(t.danger));
}

impl RigForm {
    /// What the form says, if nothing is wrong with it.
    pub fn scenario(&self) -> Option<&Scenario> {
        let sheet = self.sheet.as_ref()?;
        sheet.is_right().then_some(&*sheet.good)
    }

    /// What is wrong, in the reader's words.
    pub fn wrong(&self) -> String {
        let told = |w: &crate::scenario::Wrong| format!("{}: {}; try {}", w.at, w.message, w.help);
        let sheet = self.sheet.iter().flat_map(|s| &s.wrong);
        sheet.map(told).collect::<Vec<_>>().join("\n")
    }

    /// Whether a rig is on trial.
    pub fn busy(&self) -> bool {
        self.trial.is_some()
    }

    /// Puts a scenario on the form.
    pub fn take(&mut self, scenario: &Scenario, units: Units) {
        let system = units.system();
        self.unrest = None;
        match &mut self.sheet {
            Some(sheet) => sheet.replace(scenario, system),
            None => self.sheet = Some(Sheet::of(scenario, system)),
        }
    }

    /// Opens a page by a word of its name, for pictures.
    pub fn begin_named(&mut self, what: &str, snap: &Snapshot, units: Units) {
        if self.sheet.is_none() {
            self.take(&snap.as_it_stands(), units);
        }
        let found = PARTS
            .iter()
            .find(|(_, name, _)| name.to_lowercase().contains(what));
        self.part = found.map_or(self.part, |(part, ..)| *part);
    }

    /// Draws the form and says what it asks for.
    pub fn show(&mut self, ui: &mut Ui, snap: &Snapshot, units: Units, t: &Theme) -> Option<Wish> {
        if self.sheet.is_none() {
            self.take(&snap.as_it_stands(), units);
        }
        let mut wish = self.trial_ended();
        self.keys(ui.ctx());
        let head = self.head_ui(ui, snap, units, t);
        wish = wish.or(head);
        ui.add_space(6.0);
        let (full, gap) = (ui.available_size(), 10.0);
        // The widest table has to fit; where no picture fits beside it the form has the window to itself.
        let beside = full.x >= FORM + PICTURE;
        let wide = if beside {
            (0.56 * full.x).clamp(FORM, 760.0)
        } else {
            full.x
        };
        let column = |ui: &mut Ui, wide: f32, add: &mut dyn FnMut(&mut Ui)| {
            let size = vec2(wide, full.y);
            ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                card_of_height(ui, t, full.y, |ui| add(ui));
            });
        };
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = gap;
            column(ui, wide, &mut |ui| {
                ui.spacing_mut().item_spacing.x = 8.0;
                self.form_ui(ui, units, t, beside);
            });
            if beside {
                column(ui, full.x - wide - gap, &mut |ui| {
                    self.beside_ui(ui, units, t);
                });
            }
        });
        wish
    }

    /// Back and forward again by the keys that everyone knows.
    fn keys(&mut self, ctx: &Context) {
        let pressed = |modifiers, key| {
            ctx.input_mut(|i| i.consume_shortcut(&KeyboardShortcut::new(modifiers, key)))
        };
        let Some(sheet) = &mut self.sheet else {
            return;
        };
        if pressed(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z)
            || pressed(Modifiers::COMMAND, Key::Y)
        {
            sheet.redo();
        } else if pressed(Modifiers::COMMAND, Key::Z) {
            sheet.undo();
        }
    }

    fn head_ui(&mut self, ui: &mut Ui, snap: &Snapshot, units: Units, t: &Theme) -> Option<Wish> {
        let mut wish = None;
        let one_row = ui.available_width() >= ONE_ROW;
        ui.horizontal(|ui| {
            ui.label(title("Build a rig", LEAD));
            if one_row {
                let asked = self.sources_ui(ui, snap, units);
                wish = wish.take().or(asked);
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if ui
                    .button("Back to what runs")
                    .on_hover_text("Esc. The form keeps what is on it")
                    .clicked()
                {
                    wish = Some(Wish::Leave);
                }
                self.start_ui(ui, t);
            });
        });
        if !one_row {
            ui.horizontal_wrapped(|ui| {
                let asked = self.sources_ui(ui, snap, units);
                wish = wish.take().or(asked);
            });
        }
        wish
    }

    /// To and fro, and where a rig for the form comes from and goes.
    fn sources_ui(&mut self, ui: &mut Ui, snap: &Snapshot, units: Units) -> Option<Wish> {
        self.steps_ui(ui);
        ui.add_space(6.0);
        let new = ui
            .button("New rig")
            .on_hover_text("One cylinder and a line, nothing on it");
        if new.clicked() {
            self.take(&Sheet::bare(), units);
            self.part = Part::Supply;
            return Some(Wish::Begin);
        }
        let of_show = ui
            .button("Rig on show")
            .on_hover_text("As it stands now, its faults included");
        if of_show.clicked() {
            self.take(&snap.as_it_stands(), units);
        }
        let mut wish = None;
        for (words, asked) in [("Open…", Wish::Open), ("Save…", Wish::Save)] {
            let button = ui.button(words);
            let label = format!("{} the rig of the form", words.trim_end_matches('…'));
            button.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
            if button.clicked() {
                wish = Some(asked);
            }
        }
        wish
    }

    fn steps_ui(&mut self, ui: &mut Ui) {
        let Some(sheet) = &mut self.sheet else {
            return;
        };
        let [back, on] = sheet.steps();
        if ui
            .add_enabled(back, egui::Button::new("Undo"))
            .on_hover_text("Ctrl Z")
            .clicked()
        {
            sheet.undo();
        }
        if ui
            .add_enabled(on, egui::Button::new("Redo"))
            .on_hover_text("Ctrl Y")
            .clicked()
        {
            sheet.redo();
        }
    }

    /// Brings the rig to rest on a thread of its own, then has it run.
    fn start_ui(&mut self, ui: &mut Ui, t: &Theme) {
        if self.trial.is_some() {
            ui.label("Coming to rest…");
            return;
        }
        let Some(sheet) = &self.sheet else {
            return;
        };
        let button = ui.add_enabled(sheet.is_right(), main_button(t, "Start this rig"));
        let button = button.on_disabled_hover_text(
            "Something on the form is wrong yet; it is told beside its field",
        );
        if !button.clicked() {
            return;
        }
        let scenario = Box::new(Scenario::clone(&sheet.good));
        let (tried, wake) = (scenario.clone(), ui.ctx().clone());
        let work = Work::begin(
            move || wake.request_repaint(),
            move |_| comes_to_rest(&tried).map_err(|why| why.to_string()),
        );
        self.unrest = None;
        match work {
            Ok(work) => self.trial = Some((work, scenario)),
            Err(why) => self.unrest = Some(why),
        }
    }

    fn trial_ended(&mut self) -> Option<Wish> {
        let outcome = self.trial.as_ref()?.0.take()?;
        let (_, scenario) = self.trial.take()?;
        match outcome {
            Ok(()) => Some(Wish::Start(scenario)),
            Err(why) => {
                self.unrest = Some(why);
                None
            }
        }
    }

    fn form_ui(&mut self, ui: &mut Ui, units: Units, theme: &Theme, beside: bool) {
        let Some(sheet) = &mut self.sheet else {
            return;
        };
        if let Some(why) = self.unrest.as_ref().filter(|_| !beside) {
            unrest_ui(ui, theme, units, why);
        }
        ui.horizontal_wrapped(|ui| {
            for (part, name, tables) in PARTS {
                let wrong: usize = tables.iter().map(|at| sheet.wrong_under(at).count()).sum();
                let words = match wrong {
                    0 => name.to_owned(),
                    n => format!("{name} ({n} wrong)"),
                };
                let on = self.part == part;
                let font = if on { strong(13.0) } else { plain(13.0) };
                let ink = if wrong > 0 { theme.danger } else { theme.ink };
                let label = ui.selectable_label(on, RichText::new(&words).font(font).color(ink));
                label.widget_info(|| WidgetInfo::selected(Role::Tab, true, on, &words));
                if label.clicked() {
                    self.part = part;
                }
            }
        });
        ui.separator();
        let mut pen = Pen {
            sheet,
            units,
            theme,
        };
        // Where its widest table does not fit, the form goes to the side as well.
        let fits = ui.available_width() >= FORM - 40.0;
        ScrollArea::new([!fits, true])
            .id_salt(("rig", self.part as usize))
            .auto_shrink(false)
            .show(ui, |ui| match self.part {
                Part::Supply => supply::show(ui, &mut pen),
                Part::Gear => gear::show(ui, &mut pen),
                Part::Plates => plates::show(ui, &mut pen),
                Part::Story => {
                    gear::site_ui(ui, &mut pen);
                    ui.add_space(8.0);
                    plates::story_ui(ui, &mut pen);
                }
            });
    }

    /// The picture, and what stands in the way of a start.
    fn beside_ui(&mut self, ui: &mut Ui, units: Units, t: &Theme) {
        let Some(sheet) = &self.sheet else {
            return;
        };
        let good = &sheet.good;
        let room = ui.available_height();
        let notes = if sheet.is_right() && self.unrest.is_none() {
            64.0
        } else {
            0.34 * room
        };
        ui.label(title(&good.title, 14.0));
        picture::show(
            ui,
            t,
            good,
            units,
            (room - notes - 56.0).clamp(220.0, 560.0),
        );
        ui.separator();
        ScrollArea::vertical()
            .id_salt("rig told")
            .auto_shrink(false)
            .show(ui, |ui| {
                if let Some(why) = &self.unrest {
                    unrest_ui(ui, t, units, why);
                }
                if sheet.is_right() {
                    let words = letters::capital(&picture::told(good, units));
                    ui.label(RichText::new(words).font(plain(12.0)).color(t.soft));
                    return;
                }
                let count = sheet.wrong.len();
                let words = if count == 1 {
                    "One thing is".to_owned()
                } else {
                    format!("{count} things are")
                };
                let words =
                    format!("{words} wrong yet. The picture shows the rig as it last was right");
                ui.label(RichText::new(words).font(plain(12.0)).color(t.soft));
                for wrong in &sheet.wrong {
                    wrong_ui(ui, t, wrong);
                }
            });
    }
}
