//! The right-hand column of the bench: the tests to run and what hands do, each with the caution
//! that belongs to it beside it.

use egui::{Align, DragValue, Layout, RichText, Role, Ui, WidgetInfo, vec2};

use super::{BenchPage, tests::verdict_color};
use crate::diagnosis::files::readings::Readings;
use crate::report::letters::capital;
use crate::report::visit as words;
use crate::scenario::{Action, Event, Growth, WhichStage};
use crate::sim::{ActiveFault, Command};
use crate::visit::{ALL, AT_HAND, Deed, Outbound, Test, prepare};
use crate::window::desk::Desk;
use crate::window::faults::caution;
use crate::window::look::theme::{plain, quiet, strong, title};

/// A column of this height has room to say how each test is made \[points\].
const ROOMY: f32 = 640.0;
/// A test tap held open a little \[m²\].
const BLEED_M2: f64 = 0.3e-6;

impl BenchPage {
    /// Draws the column: tests or hands, so that either fits without scrolling far.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        ui.spacing_mut().item_spacing.y = 3.0;
        ui.horizontal(|ui| {
            for (hands, words) in [(false, "Tests"), (true, "Hands")] {
                let on = self.hands == hands;
                let font = if on { strong(13.0) } else { plain(13.0) };
                let label = ui.selectable_label(on, RichText::new(words).font(font));
                let label = label.on_hover_text(if hands {
                    "Valves, vents, screw, new parts"
                } else {
                    "The trade's tests, step by step"
                });
                if label.clicked() {
                    self.hands = hands;
                }
            }
        });
        ui.add_space(2.0);
        if self.hands {
            self.supply_ui(ui, desk);
            ui.add_space(5.0);
            self.body_ui(ui, desk);
            ui.add_space(5.0);
            self.screw_ui(ui, desk);
            ui.add_space(5.0);
            self.replace_ui(ui, desk);
        } else {
            self.tests_ui(ui, desk);
        }
        ui.add_space(5.0);
        ui.horizontal(|ui| self.pace_ui(ui, desk));
    }

    /// Whether the person watches or not.
    fn pace_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let text = RichText::new("Shown").font(plain(11.5));
        ui.label(text.color(desk.theme.soft));
        for (at_once, words) in [(false, "to watch"), (true, "at once")] {
            let text = RichText::new(words).font(plain(11.5));
            let label = ui.selectable_label(self.at_once == at_once, text);
            let label = label.on_hover_text(if at_once {
                "The rig goes through it as fast as it can"
            } else {
                "The rig goes through it in front of you, in a few seconds"
            });
            if label.clicked() {
                self.at_once = at_once;
            }
        }
    }

    fn tests_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        let busy = self.busy();
        let roomy = ui.clip_rect().height() > ROOMY;
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.spacing_mut().button_padding = vec2(6.0, 2.0);
        let rest = AT_HAND.into_iter().chain([Test::NewPiping]);
        let rest = rest.filter(|t| !Test::VISIT.contains(t));
        let tests: Vec<Test> = if self.more {
            Test::VISIT.into_iter().chain(rest).collect()
        } else {
            Test::VISIT.to_vec()
        };
        for test in tests {
            ui.horizontal(|ui| {
                let button = egui::Button::new(capital(test.words()))
                    .frame_when_inactive(false)
                    .min_size(vec2(ui.available_width() - 58.0, 22.0));
                let size = vec2(ui.available_width() - 58.0, 22.0);
                let left = Layout::top_down_justified(Align::LEFT);
                let run = ui
                    .allocate_ui_with_layout(size, left, |ui| ui.add_enabled(!busy, button))
                    .inner
                    .on_hover_text(desk.units.prose(test.how()));
                if run.clicked() {
                    self.send(Outbound::Test(test), desk.send);
                }
                if let Some(v) = self.verdict(test) {
                    ui.label(
                        RichText::new(words::verdict(v))
                            .font(strong(11.5))
                            .color(verdict_color(v, &t)),
                    );
                }
            });
            if roomy && !self.more {
                let how = RichText::new(desk.units.prose(test.how()))
                    .font(plain(11.0))
                    .color(t.soft);
                let margin = egui::Margin {
                    left: 6,
                    bottom: 3,
                    ..egui::Margin::ZERO
                };
                egui::Frame::new()
                    .inner_margin(margin)
                    .show(ui, |ui| ui.label(how));
            }
        }
        let more = if self.more {
            "Fewer tests"
        } else {
            "More tests"
        };
        if ui.add(quiet(more)).clicked() {
            self.more = !self.more;
        }
        // Buttons in rows of their own do not touch.
        ui.spacing_mut().item_spacing.y = 5.0;
        ui.horizontal_wrapped(|ui| {
            let visit = egui::Button::new(
                RichText::new("Whole visit")
                    .font(strong(13.0))
                    .color(t.on_accent),
            )
            .fill(t.brass);
            let visit = ui.add_enabled(!busy, visit);
            if visit
                .on_hover_text("Leak check to first stage, one after the other")
                .clicked()
            {
                self.send(Outbound::Visit, desk.send);
            }
            if ui
                .button("Make ready")
                .on_hover_text(
                    "The same rig with its faults, from the start: burners off, thermostats turned up, container open",
                )
                .clicked()
            {
                make_ready(desk);
            }
        });
        self.hand_over_ui(ui, desk);
    }

    /// What the tests have read goes to the causes.
    fn hand_over_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let (numbers, words) = self.noted.count();
        if numbers + words == 0 {
            return;
        }
        let take = ui.add_enabled(!self.busy(), egui::Button::new("Take readings to Causes"));
        let hint = "Fills in there what these tests have read, nothing else";
        if take.on_hover_text(hint).clicked() {
            self.wants_causes = true;
        }
        let text = match numbers + words {
            1 => "1 reading that Causes can weigh".to_owned(),
            n => format!("{n} readings that Causes can weigh"),
        };
        let text = RichText::new(text).font(plain(11.5)).color(desk.theme.soft);
        // A test shows more figures than these: what is worked out from others is weighed once.
        ui.label(text).on_hover_text(names(&self.noted));
    }

    fn supply_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        ui.label(title("At the container", 13.0));
        let count = desk.snap.rig.containers.len();
        for container in 0..count {
            if count > 1 {
                ui.label(
                    RichText::new(format!("Container {}", container + 1))
                        .font(plain(11.5))
                        .color(desk.theme.soft),
                );
            }
            let deeds = [
                (
                    "Open slowly",
                    Deed::OpenValve {
                        container,
                        slowly: true,
                    },
                ),
                (
                    "Open fast",
                    Deed::OpenValve {
                        container,
                        slowly: false,
                    },
                ),
                ("Shut", Deed::ShutValve { container }),
                ("Shut fast", Deed::ShutFast { container }),
                ("Weigh", Deed::Weigh { container }),
            ];
            self.buttons(ui, desk, &deeds);
        }
        caution(
            ui,
            desk,
            "Open slowly: fast trips the excess-flow valve and kicks the regulator. Never above 80 % full",
        );
    }

    fn buttons(&mut self, ui: &mut Ui, desk: &mut Desk<'_>, deeds: &[(&str, Deed)]) {
        let busy = self.busy();
        ui.spacing_mut().button_padding = vec2(8.0, 3.0);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
            for (words, deed) in deeds {
                if ui.add_enabled(!busy, egui::Button::new(*words)).clicked() {
                    self.deed(*deed, desk);
                }
            }
        });
    }

    fn body_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        ui.label(title("At the regulator", 13.0));
        let deeds = [
            ("Tap it", Deed::Tap),
            ("Warm wet cloth", Deed::WarmCloth),
            ("Clear the vents", Deed::ClearVents),
            ("Flush", Deed::Flush),
            ("Bleed the line", Deed::BleedDown),
        ];
        self.buttons(ui, desk, &deeds);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
            for (area_m2, name) in [(BLEED_M2, "Bleed a little"), (0.0, "Shut the tap")] {
                if ui.button(name).clicked() {
                    desk.send.push(Command::Act(Action::Bleed { area_m2 }));
                }
            }
        });
        caution(
            ui,
            desk,
            "Flush and bleed outdoors only, burners off, no flame or switch near. Thaw with a warm wet cloth, \
             never a flame. Clear a vent from outside; never block or cap it",
        );
    }

    fn screw_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        ui.label(title("Adjusting screw", 13.0));
        let busy = self.busy();
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
            for (stage, name) in [
                (WhichStage::First, "First stage"),
                (WhichStage::Second, "Second stage"),
            ] {
                let text = RichText::new(name).font(plain(12.0));
                if ui.selectable_label(self.stage == stage, text).clicked() {
                    self.stage = stage;
                }
            }
        });
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
            let angle = DragValue::new(&mut self.degrees)
                .range(1.0..=1080.0)
                .speed(5.0)
                .suffix("°");
            let angle = ui.add(angle);
            angle.widget_info(|| {
                WidgetInfo::labeled(
                    Role::SpinButton,
                    true,
                    "Angle to turn the screw by, degrees",
                )
            });
            for (sign, words) in [(1.0, "Turn in"), (-1.0, "Turn out")] {
                let button = ui.add_enabled(!busy, egui::Button::new(words));
                if button
                    .on_hover_text(if sign > 0.0 {
                        "In raises the pressure"
                    } else {
                        "Out lowers it"
                    })
                    .clicked()
                {
                    let deed = Deed::TurnScrew {
                        stage: self.stage,
                        degrees: sign * self.degrees,
                    };
                    self.deed(deed, desk);
                }
            }
        });
        caution(
            ui,
            desk,
            "Only a qualified LP-gas technician sets a regulator, with a gauge at the tap and half the load lit. \
             Never cure a weak flame with the screw",
        );
    }

    fn replace_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        ui.label(title("Replace and mend", 13.0));
        let deeds = [
            ("New hose", Deed::SwapHose),
            ("New regulator", Deed::SwapRegulator),
            ("New containers", Deed::NewContainers),
            ("Mend the line", Deed::MendLine),
            ("Mend appliances", Deed::MendAppliances),
        ];
        self.buttons(ui, desk, &deeds);
        caution(
            ui,
            desk,
            "A qualified technician replaces it. Then leak check, flow pressure and lock-up before use; \
             a leak is sought with fluid, never with a flame",
        );
    }
}

/// The same rig with its faults from the start, ready for a visit.
pub fn make_ready(desk: &mut Desk<'_>) {
    let now_s = desk.snap.readings.time_s;
    let action = |f: &ActiveFault| match f.growing {
        // What waits for cold or heat goes on waiting.
        Some(g) if matches!(g.by, Growth::Temperature { .. }) => Action::Grow {
            fault: f.fault,
            severity: g.to,
            by: g.by,
        },
        _ => Action::Inject {
            fault: f.fault,
            severity: f.severity_soon(now_s),
            over_s: 0.0,
        },
    };
    let mut ready = prepare(&desk.snap.scenario, &[]);
    ready.events = desk
        .snap
        .faults
        .iter()
        .map(|f| Event {
            at_s: 0.0,
            action: action(f),
        })
        .collect();
    desk.send.push(Command::Lend(Box::new(ready)));
}

/// What the readings are of, in words.
fn names(noted: &Readings) -> String {
    let taken = ALL.iter().zip(&noted.values).filter(|(_, v)| v.is_some());
    let words: Vec<&str> = taken.map(|(item, _)| item.words).collect();
    words.join("\n")
}
