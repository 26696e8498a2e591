//! Opening and saving scenarios: a path typed, chosen in the system's dialog or dropped on the
//! window. A wrong file is explained and nothing that runs is lost.

pub(super) mod keep;

use std::path::{Path, PathBuf};

use egui::{RichText, ScrollArea, Ui, vec2};

use crate::scenario::{SHIPPED, Scenario};
use crate::window::desk::browse::{Browse, NONE_HERE, Sought};
use crate::window::look::theme::{Theme, plain, strong, title};
use crate::window::platform::is_there;

/// Which way a file goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// From disk.
    Open,
    /// To disk.
    Save,
}

/// What the person should know about a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// One line.
    pub headline: String,
    /// Mistakes as written by the checker, with lines and carets; may be empty.
    pub details: String,
    /// Whether something went wrong.
    pub wrong: bool,
}

/// What the file panel keeps between frames.
#[derive(Default)]
pub struct Files {
    /// Panel that is open.
    pub asking: Option<Way>,
    /// What there is to say.
    pub notice: Option<Notice>,
    path: String,
    dialog: Option<(Way, Browse)>,
    /// Frames until the path field takes the keyboard: the click that opened the panel must be
    /// over by then.
    focus_in: Option<u8>,
    /// Shipped scenarios with what they tell of themselves; read when first asked for.
    shelf: Vec<Scenario>,
}

/// What the panel decided.
pub enum Decision {
    /// Nothing yet.
    Nothing,
    /// Open this file.
    Open(PathBuf),
    /// Save to this file.
    Save(PathBuf),
    /// Run this shipped scenario.
    Run(Box<Scenario>),
}

/// A path with the ending of a scenario, where none was given.
fn with_ending(path: PathBuf) -> PathBuf {
    match path.extension() {
        Some(_) => path,
        None => path.with_extension("toml"),
    }
}

impl Files {
    /// Opens the panel.
    pub fn ask(&mut self, way: Way) {
        self.asking = Some(way);
        self.focus_in = Some(2);
        self.notice = None;
    }

    /// Remembers the path in use.
    pub fn set_path(&mut self, path: &Path) {
        self.path = path.display().to_string();
    }

    /// Takes a file dropped on the window.
    pub fn dropped(ctx: &egui::Context) -> Option<PathBuf> {
        ctx.input(|i| {
            i.raw
                .dropped_files
                .first()
                .map(|f| f.path().to_path_buf())
                .filter(|p| !p.as_os_str().is_empty())
        })
    }

    /// Says what came of a file.
    pub fn say(&mut self, headline: impl Into<String>, details: impl Into<String>, wrong: bool) {
        self.notice = Some(Notice {
            headline: headline.into(),
            details: details.into(),
            wrong,
        });
    }

    /// Draws the panel while it is open, and the notice.
    pub fn show(&mut self, ui: &Ui) -> Decision {
        let mut decision = self.dialog_answer();
        // One press closes it, whether its field has the keyboard or not.
        if ui.input(|i| i.key_pressed(egui::Key::Escape)) {
            self.asking = None;
        }
        if let Some(way) = self.asking {
            let mut open = true;
            let name = match way {
                Way::Open => "Open a scenario",
                Way::Save => "Save the scenario",
            };
            egui::Window::new(title(name, 15.0))
                .id(egui::Id::unique("file panel"))
                .open(&mut open)
                .collapsible(false)
                .resizable(false)
                .anchor(egui::Align2::CENTER_TOP, vec2(0.0, 70.0))
                .show(ui.ctx(), |ui| {
                    if let Some(d) = self.panel_ui(ui, way) {
                        decision = d;
                    }
                });
            if !open {
                self.asking = None;
            }
        }
        self.notice_ui(ui);
        decision
    }

    fn panel_ui(&mut self, ui: &mut Ui, way: Way) -> Option<Decision> {
        ui.set_width(540.0_f32.min(ui.content_rect().width() - 60.0));
        let theme = Theme::of(ui);
        let label = ui.label("File");
        let field = ui
            .add(
                egui::TextEdit::singleline(&mut self.path)
                    .desired_width(f32::INFINITY)
                    .hint_text("path of a .toml scenario"),
            )
            .labelled_by(label.id);
        self.focus_in = match self.focus_in {
            Some(0) => {
                field.request_focus();
                None
            }
            Some(n) => {
                ui.ctx().request_repaint();
                Some(n - 1)
            }
            None => None,
        };
        let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
        let mut decided = false;
        ui.horizontal(|ui| {
            let replaces = way == Way::Save && is_there(&with_ending(self.path.trim().into()));
            let verb = match way {
                Way::Open => "Open",
                Way::Save if replaces => "Replace that file",
                Way::Save => "Save",
            };
            let ready = !self.path.trim().is_empty();
            decided =
                ui.add_enabled(ready, egui::Button::new(verb)).clicked() || (entered && ready);
            if ui
                .add_enabled(self.dialog.is_none(), egui::Button::new("Browse…"))
                .clicked()
            {
                self.start_dialog(ui.ctx(), way);
            }
        });
        let hint = match way {
            Way::Open => {
                "Or drop a file on the window. What runs now is kept until the file is found right"
            }
            Way::Save => {
                "Writes the rig as it stands now, its faults included, with what is still planned. It begins at rest: liquid, ice and trapped air are not kept"
            }
        };
        ui.label(RichText::new(hint).font(plain(12.0)).color(theme.soft));
        if way == Way::Open
            && let Some(scenario) = self.shelf_ui(ui, &theme)
        {
            self.asking = None;
            return Some(Decision::Run(Box::new(scenario)));
        }
        if !decided {
            return None;
        }
        let mut path = PathBuf::from(self.path.trim());
        if way == Way::Save {
            path = with_ending(path);
        }
        self.asking = None;
        Some(match way {
            Way::Open => Decision::Open(path),
            Way::Save => Decision::Save(path),
        })
    }

    /// The shipped scenarios, to run at a click.
    fn shelf_ui(&mut self, ui: &mut Ui, theme: &Theme) -> Option<Scenario> {
        if self.shelf.is_empty() {
            // A test reads every shipped file; one that cannot be read is not offered.
            self.shelf = SHIPPED
                .iter()
                .filter_map(|(name, text)| Scenario::parse(name, text).ok())
                .collect();
        }
        ui.add_space(4.0);
        ui.label(title("Shipped scenarios", 13.0));
        let room = (ui.content_rect().height() - 330.0).max(90.0);
        let mut chosen = None;
        ScrollArea::vertical().max_height(room).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            for scenario in &self.shelf {
                let name = egui::Button::new(RichText::new(&scenario.title).font(strong(13.0)))
                    .frame_when_inactive(false)
                    .wrap();
                if ui.add(name).clicked() {
                    chosen = Some(scenario.clone());
                }
                ui.horizontal(|ui| {
                    ui.add_space(10.0);
                    let summary = RichText::new(&scenario.summary)
                        .font(plain(12.0))
                        .color(theme.soft);
                    ui.add(egui::Label::new(summary).wrap());
                });
                ui.add_space(4.0);
            }
        });
        chosen
    }

    fn start_dialog(&mut self, ctx: &egui::Context, way: Way) {
        let mut browse = Browse::default();
        let sought = match way {
            Way::Open => Sought::Scenario,
            Way::Save => Sought::NewScenario,
        };
        browse.ask(ctx, sought);
        self.dialog = Some((way, browse));
    }

    fn dialog_answer(&mut self) -> Decision {
        let Some((way, browse)) = &mut self.dialog else {
            return Decision::Nothing;
        };
        let picked = browse.picked();
        if browse.is_open() {
            return Decision::Nothing;
        }
        let (way, has_none) = (*way, browse.has_none);
        self.dialog = None;
        let Some(path) = picked else {
            if has_none {
                self.say(NONE_HERE, "", true);
            }
            return Decision::Nothing;
        };
        self.asking = None;
        match way {
            Way::Open => Decision::Open(path),
            Way::Save => Decision::Save(with_ending(path)),
        }
    }

    fn notice_ui(&mut self, ui: &Ui) {
        let Some(notice) = self.notice.clone() else {
            return;
        };
        let theme = Theme::of(ui);
        let room = ui.content_rect().size();
        let mut open = true;
        let shown = egui::Window::new(title(
            if notice.wrong {
                "About that file"
            } else {
                "Done"
            },
            14.0,
        ))
        .id(egui::Id::unique("file notice"))
        .open(&mut open)
        .collapsible(false)
        .resizable(false)
        .anchor(egui::Align2::CENTER_TOP, vec2(0.0, 70.0))
        .show(ui.ctx(), |ui| {
            ui.set_max_width((room.x - 80.0).min(760.0));
            let color = if notice.wrong {
                theme.danger
            } else {
                theme.good
            };
            ui.label(RichText::new(&notice.headline).color(color));
            if !notice.details.is_empty() {
                egui::Frame::new()
                    .fill(theme.well)
                    .corner_radius(crate::window::look::theme::CORNER)
                    .inner_margin(10)
                    .show(ui, |ui| {
                        ScrollArea::both()
                            .max_height((room.y * 0.5).max(100.0))
                            .show(ui, |ui| {
                                ui.add(
                                    egui::Label::new(RichText::new(&notice.details).monospace())
                                        .extend(),
                                );
                            });
                    });
                ui.label(
                    RichText::new("What runs is untouched")
                        .font(plain(12.0))
                        .color(theme.soft),
                );
            }
            if ui.button("Close").clicked() {
                self.notice = None;
            }
        });
        // What went well need not be taken away by hand: the next click elsewhere does.
        let elsewhere = shown.is_some_and(|s| s.response.clicked_elsewhere());
        if !open || (elsewhere && !notice.wrong) {
            self.notice = None;
        }
    }
}
