//! Hands on the parts of the cutaway: a finger that presses a diaphragm as far as the pointer is dragged, a thumb held on a
//! vent, and for the kept part the same and more as buttons. Each is an [`Action`] like any other.

use egui::{Painter, Rect, Response, RichText, Ui, UiBuilder, WidgetInfo, vec2};

use super::geometry::WALL;
use super::stage::Stage;
use super::{Cutaway, Scene};
use crate::fault::Fault;
use crate::rig::Readings;
use crate::scenario::{Action, WhichStage};
use crate::service::{Finger, Which};
use crate::units::N_PER_LBF;
use crate::window::look::show::Units;
use crate::window::look::theme::{NOTE, Theme, plain, strong};
use crate::window::outside::hand_on;
use crate::window::told::headline;
use crate::window::told::part::{Part, Piece};

/// What a drag of one point presses with \[N\], and the hardest press \[N\].
const PRESS_N: (f64, f64) = (0.12, 20.0);
/// Height of the row of buttons of the kept part \[points\].
const ROW: f32 = 24.0;
/// A finger follows the pointer in this time \[s\].
const FOLLOWS_S: f64 = 0.1;
/// Changes under this wait \[N\].
const LEAST_N: f64 = 0.25;
/// A pointer held so long is a thumb and no click \[s\].
const HOLD_S: f64 = 0.3;
/// A finger of a button presses or lets go within this time \[s\].
const LETS_GO_S: f64 = 0.5;
/// A pointer's hand is off within this time on any clock that shows it \[s\].
const LIFTS_S: f64 = 0.5;
/// Where a finger stands on the plate, as a share of its radius.
const AT: f32 = 0.52;
/// How bad the grain is that is dropped on a seat.
const GRAIN: f64 = 0.35;

/// Hands that are on a part now.
#[derive(Debug, Clone, Default)]
pub struct Touching {
    /// Diaphragm pressed, and with what \[N\].
    finger: Option<(WhichStage, f64)>,
    /// Vent shut.
    thumb: Option<WhichStage>,
    /// Until the last of them is off, on the clock of the window \[s\].
    lifts_until_s: f64,
}

impl Touching {
    /// Whether a pointer holds a part, or has just let go: no hand is there to stay, and nothing moves under the pointer.
    fn is_at_it(&self, now_s: f64) -> bool {
        self.finger.is_some() || self.thumb.is_some() || now_s < self.lifts_until_s
    }

    fn lifts(&mut self, ctx: &egui::Context) {
        self.lifts_until_s = ctx.input(|i| i.time) + LIFTS_S;
    }
}

/// A hand that stays on a part until it is let go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hand {
    /// A finger on a diaphragm.
    Finger(Which, Finger),
    /// A thumb on a vent.
    Thumb(Which),
}

impl Hand {
    /// What lets go of it.
    pub fn off(self) -> Action {
        match self {
            Self::Finger(which, _) => Action::Press {
                stage: stage(which),
                force_n: 0.0,
                over_s: LETS_GO_S,
            },
            Self::Thumb(which) => Action::Thumb {
                stage: stage(which),
                on: false,
            },
        }
    }

    /// What it does, in words.
    pub fn words(self, u: Units) -> String {
        match self {
            Self::Finger(which, f) => headline::finger(which, f, u),
            Self::Thumb(Which::First) => "a thumb lies on the first vent".to_owned(),
            Self::Thumb(Which::Second) => "a thumb lies on the second vent".to_owned(),
        }
    }

    /// The same where there is little room: the picture shows what is meant.
    fn lets_go_short(self) -> &'static str {
        match self {
            Self::Finger(Which::First, _) => "Let go of first",
            Self::Finger(Which::Second, _) => "Let go of second",
            Self::Thumb(Which::First) => "Thumb off first",
            Self::Thumb(Which::Second) => "Thumb off second",
        }
    }

    /// The button that lets go of it.
    pub fn lets_go(self) -> &'static str {
        match self {
            Self::Finger(Which::First, _) => "Let go of the first diaphragm",
            Self::Finger(Which::Second, _) => "Let go of the second diaphragm",
            Self::Thumb(Which::First) => "Thumb off the first vent",
            Self::Thumb(Which::Second) => "Thumb off the second vent",
        }
    }
}

/// The hands that are on parts of a rig now.
pub fn on_it(n: &Readings) -> Vec<Hand> {
    let of = |which: Which| {
        let s = which.of(n);
        let finger = Finger::on(s).map(|f| Hand::Finger(which, f));
        let thumb = (s.thumb > 0.5).then_some(Hand::Thumb(which));
        finger.into_iter().chain(thumb)
    };
    Which::BOTH.into_iter().flat_map(of).collect()
}

/// A finger on a diaphragm: on the plate from above, or under it, with what it pushes.
pub(super) fn finger(painter: &Painter, s: &Stage<'_>, finger: Option<Finger>, u: Units) {
    let Some(finger) = finger else { return };
    let (p, v, t) = (&s.plan, &s.view, s.theme);
    let (down, from) = if finger.lifts {
        (1.0, -1.9)
    } else {
        (-1.0, 2.1)
    };
    let tip = v.xy(AT * p.plate, s.plate_height() + from);
    let wide = v.len(0.12 * p.plate).max(7.0);
    hand_on::thumb(painter, tip, wide, down, 1.0, t);
    // Over the wide part of the case, where nothing else stands.
    let word = format!("finger {}", u.force(finger.newton));
    let at = v.xy(p.tower + WALL + 3.0, p.shoulder + WALL + 9.0);
    let galley = painter.layout_no_wrap(word, strong(NOTE), t.caution);
    let ground = Rect::from_min_size(at, galley.size()).expand2(vec2(2.0, 0.0));
    painter.rect_filled(ground, 2.0, t.card);
    painter.galley(at, galley, t.caution);
}

fn stage(which: Which) -> WhichStage {
    match which {
        Which::First => WhichStage::First,
        Which::Second => WhichStage::Second,
    }
}

/// What a hand on a part does, for its tag.
pub fn hint(part: Part) -> Option<&'static str> {
    match part {
        Part::Of(_, Piece::Diaphragm | Piece::Plate) => Some("Drag: a finger presses or lifts it"),
        Part::Of(_, Piece::Vent) => Some("Hold: a thumb shuts it"),
        _ => None,
    }
}

impl Cutaway {
    /// What hands have done since last asked, in order.
    pub fn take_acts(&mut self) -> Vec<Action> {
        std::mem::take(&mut self.acts)
    }

    /// A pointer on a part: dragged it presses, held it shuts.
    pub(super) fn touch(&mut self, ui: &Ui, response: &Response, part: Part) {
        match part {
            Part::Of(which, Piece::Diaphragm | Piece::Plate) => {
                self.finger(response, stage(which));
            }
            Part::Of(which, Piece::Vent) => self.thumb(ui, response, stage(which)),
            _ => {}
        }
    }

    fn finger(&mut self, response: &Response, stage: WhichStage) {
        if response.drag_stopped() {
            self.touching.finger = None;
            self.touching.lifts(&response.ctx);
            self.press(stage, 0.0);
            return;
        }
        let Some(moved) = response.total_drag_delta().filter(|_| response.dragged()) else {
            return;
        };
        let force_n = (f64::from(moved.y) * PRESS_N.0).clamp(-PRESS_N.1, PRESS_N.1);
        let was = self.touching.finger.filter(|(s, _)| *s == stage);
        if was.is_none_or(|(_, n)| (n - force_n).abs() > LEAST_N) {
            self.touching.finger = Some((stage, force_n));
            self.press(stage, force_n);
        }
    }

    fn press(&mut self, stage: WhichStage, force_n: f64) {
        self.acts.push(Action::Press {
            stage,
            force_n,
            over_s: FOLLOWS_S,
        });
    }

    fn thumb(&mut self, ui: &Ui, response: &Response, stage: WhichStage) {
        let down = response.is_pointer_button_down_on();
        let (now, since) = ui.input(|i| (i.time, i.pointer.press_start_time()));
        let on = self.touching.thumb == Some(stage);
        if down && !on {
            if since.is_some_and(|s| now - s > HOLD_S) {
                self.touching.thumb = Some(stage);
                self.acts.push(Action::Thumb { stage, on: true });
            } else {
                ui.ctx().request_repaint();
            }
        } else if !down && on {
            self.touching.thumb = None;
            self.touching.lifts(ui.ctx());
            self.acts.push(Action::Thumb { stage, on: false });
        }
    }

    /// Hands that stay where they are until somebody lets go.
    fn stays(&self, scene: &Scene<'_>, now_s: f64) -> Vec<Hand> {
        if self.touching.is_at_it(now_s) {
            return Vec::new();
        }
        on_it(scene.now)
    }

    /// Height that the buttons of the kept part take over the picture \[points\].
    pub(super) fn hands_height(&self, scene: &Scene<'_>, now_s: f64) -> f32 {
        let kept = self
            .kept
            .is_some_and(|part| !offers(part, scene.units).is_empty());
        let any = kept || !self.stays(scene, now_s).is_empty();
        if any { ROW } else { 0.0 }
    }

    /// What hands can do to the kept part, as a row of buttons over the picture.
    pub(super) fn hands_ui(&mut self, ui: &mut Ui, rect: Rect, scene: &Scene<'_>, t: &Theme) {
        let mut rows: Vec<(String, String, Action)> = Vec::new();
        // What is still on a part is let go of wherever one looks; a kept part offers its own.
        for hand in self.stays(scene, ui.input(|i| i.time)) {
            let told = hand.lets_go().to_owned();
            rows.push((hand.lets_go_short().to_owned(), told, hand.off()));
        }
        if let Some(part) = self.kept {
            for (words, action) in offers(part, scene.units) {
                let told = format!("{words}: {}", part.name());
                if !rows.iter().any(|(.., a)| *a == action) {
                    rows.push((words, told, action));
                }
            }
        }
        if rows.is_empty() {
            return;
        }
        ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
            ui.spacing_mut().item_spacing = vec2(4.0, 3.0);
            ui.spacing_mut().button_padding = vec2(6.0, 1.0);
            ui.spacing_mut().interact_size.y = 20.0;
            ui.horizontal_wrapped(|ui| {
                for (words, told, action) in rows {
                    let text = RichText::new(words).font(plain(NOTE)).color(t.ink);
                    let button = ui.button(text);
                    button.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, &told));
                    if button.clicked() {
                        self.acts.push(action);
                    }
                }
            });
        });
    }
}

fn offers(part: Part, u: Units) -> Vec<(String, Action)> {
    let Part::Of(which, piece) = part else {
        return Vec::new();
    };
    let stage = stage(which);
    let own = |words: &str, action: Action| (words.to_owned(), action);
    let press = |force_n: f64| Action::Press {
        stage,
        force_n,
        over_s: LETS_GO_S,
    };
    let turn = |turns: f64| Action::TurnScrew { stage, turns };
    let inject = |id: &str, severity: f64| {
        Fault::named(id).map(|fault| Action::Inject {
            fault,
            severity,
            over_s: 0.0,
        })
    };
    match piece {
        Piece::Diaphragm | Piece::Plate | Piece::Spring => {
            // About as hard in either system, and a round number in the one on show.
            let (newton, words) = match u {
                Units::Us => (N_PER_LBF, "1 lbf"),
                Units::Si => (4.0, "4 N"),
            };
            vec![
                (format!("Press with {words}"), press(newton)),
                (format!("Lift with {words}"), press(-newton)),
                own("Let go", press(0.0)),
            ]
        }
        Piece::Vent | Piece::Flap => vec![
            own("Thumb on", Action::Thumb { stage, on: true }),
            own("Thumb off", Action::Thumb { stage, on: false }),
        ],
        Piece::Screw => vec![
            own("A quarter in", turn(0.25)),
            own("A quarter out", turn(-0.25)),
        ],
        Piece::Disc | Piece::Nozzle => {
            let id = match which {
                Which::First => "first_seat_grit",
                Which::Second => "second_seat_grit",
            };
            let grain = inject(id, GRAIN).map(|a| own("Drop a grain on the seat", a));
            grain.into_iter().collect()
        }
        Piece::Lever | Piece::Pivot => {
            let knock = match which {
                Which::First => None,
                Which::Second => inject("lever_off", 1.0),
            };
            let mut out: Vec<_> = knock
                .map(|a| own("Knock it off its pin", a))
                .into_iter()
                .collect();
            out.push(own("Tap the body", Action::Tap));
            out
        }
        Piece::Chamber | Piece::Bonnet | Piece::Relief => vec![own("Tap the body", Action::Tap)],
    }
}
