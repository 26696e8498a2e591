//! The cutaway: both stages of the regulator, living. Reads [`Readings`] and two
//! [`StageShape`]s, draws, and lets every part answer; computes no physics.

pub(in crate::window) mod balance;
mod changeover;
mod crossing;
pub(in crate::window) mod draw;
mod flow;
pub(in crate::window) mod geometry;
mod inset;
mod parts;
mod places;
mod ports;
mod scale;
mod scene;
mod spring;
mod stage;
#[cfg(test)]
mod tests;
pub(in crate::window) mod touch;
mod vent;
mod weather;
mod words;

use egui::{Painter, Pos2, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};

pub use self::geometry::StageShape;
pub use self::scene::Scene;

use self::draw::Path;
use self::flow::{Phases, Stream};
use self::geometry::WALL;
use self::places::Places;
use self::ports::{draw_pipes, open_ports};
use self::scene::stage_readings;
use self::stage::Stage;
use self::words::{describe, labels, loupe_words, runs_off};
use super::outside::hand_on;
use crate::physics::heat::frost_depth_k;
use crate::rig::readings::Readings;
use crate::rig::{Rig, presets};
use crate::scenario::Action;
use crate::service::Which;
use crate::window::cutaway::geometry::shape_of;
use crate::window::look::show::Units;
use crate::window::look::theme::{BODY, NOTE, Theme, plain, strong};
use crate::window::told::part::{Part, Piece};

/// Names of the stages.
const NAMES: [&str; 2] = ["first diaphragm", "second diaphragm"];

/// Stops of the magnifier.
const MAGNIFIERS: [f32; 8] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
/// The stop a window opens with: lighting one burner is seen, and a full load still fits.
const USUAL_MAGNIFIER: usize = 4;

/// Size of the button to the forces \[points\].
const FORCES: Vec2 = vec2(70.0, 22.0);
/// Width that the buttons of a kept part take \[points\].
const HANDS: f32 = 300.0;
/// Least width of the words beside a loupe \[points\]: without them they are told under the pointer.
const LOUPE_WORDS: f32 = 60.0;
/// The stop at which the swing of one burner is seen.
pub const CLOSE_MAGNIFIER: usize = 6;

/// What the cutaway keeps between frames: how far the dashes ran, which part is kept, how motion is drawn.
#[derive(Debug, Clone)]
pub struct Cutaway {
    /// The part that a click has kept.
    pub kept: Option<Part>,
    /// The part that is pointed at.
    lit: Option<Part>,
    /// The part that a pointer over the picture means.
    meant: Option<Part>,
    phases: Phases,
    magnifier: usize,
    /// Hands that are on a part.
    touching: touch::Touching,
    /// What they have done, not yet taken.
    acts: Vec<Action>,
    /// Whether the forces had a place of their own in the last picture.
    docks: bool,
    /// Whether they were asked for where only the page has a place for them.
    asks_for_page: bool,
}

impl Default for Cutaway {
    fn default() -> Self {
        Self {
            kept: None,
            lit: None,
            meant: None,
            phases: Phases::default(),
            magnifier: USUAL_MAGNIFIER,
            touching: touch::Touching::default(),
            acts: Vec::new(),
            docks: true,
            asks_for_page: false,
        }
    }
}

/// What a picture is painted on.
struct Ground<'a> {
    painter: &'a Painter,
    places: &'a Places,
    stages: &'a [Stage<'a>; 2],
    theme: &'a Theme,
}

impl Cutaway {
    /// Where the stages lie in a box.
    pub fn views(&self, rect: Rect, shapes: &[StageShape; 2], twin: bool) -> [geometry::View; 2] {
        Places::fit(rect, shapes, self.magnifier(), twin).views
    }

    /// Draws the scene into all the room there is.
    pub fn show(&mut self, ui: &mut Ui, scene: &Scene<'_>) {
        let theme = Theme::of(ui);
        let size = ui.available_size().max(vec2(1.0, 1.0));
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let told = describe(scene);
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &told));
        if rect.width() < 80.0 || rect.height() < 80.0 {
            return;
        }
        let painter = ui.painter_at(rect);
        self.phases.advance(
            scene.dt_s,
            scene.now.first.flow_kg_per_s,
            scene.now.second.flow_kg_per_s,
            scene.now.burner_flow_kg_per_s,
        );
        self.phases.advance_leaks(scene.dt_s, scene.now);
        // Buttons of the kept part cover nothing: the picture makes room where it leaves none by itself.
        let hands = self.hands_height(scene, ui.input(|i| i.time));
        let twin = scene.rig.changeover.is_some();
        let mut places = Places::fit(rect, &scene.shapes, self.magnifier(), twin);
        let in_corner = places.leaves_corner(rect, vec2(HANDS, hands));
        if hands > 0.0 && !in_corner {
            let below = rect.with_min_y(rect.top() + hands);
            places = Places::fit(below, &scene.shapes, self.magnifier(), twin);
        }
        self.docks = places.docks;
        let full = rect;
        let rect = rect.with_max_x(places.right);
        let stages = [0, 1].map(|i| Stage {
            plan: places.plans[i],
            view: places.views[i],
            now: stage_readings(scene.now, i),
            twin: scene.twin.map(|t| stage_readings(t, i)),
            shape: scene.shapes[i],
            theme: &theme,
            quiet: scene.affairs.effects_only,
        });
        let ground = Ground {
            painter: &painter,
            places: &places,
            stages: &stages,
            theme: &theme,
        };
        self.paint(&ground, scene);
        let legend = Self::draw_legend(&painter, rect, scene, &places, &theme);
        scale::answers(ui, legend, theme.dark);
        self.draw_balance(ui, &painter, rect, scene, &places, &theme);
        let vent_y = places.views[1].xy(0.0, places.plans[1].shoulder + 4.0).y;
        let further = runs_off(&stages);
        let corner = pos2(rect.left(), vent_y);
        // Where the hands of a kept part take the row it is told under the pointer too.
        let name = if hands > 0.0 {
            Rect::EVERYTHING
        } else {
            places.second_name().union(places.tower(1))
        };
        let beside = (name, further);
        let mut magnifier = self.magnifier_ui(ui, legend, corner, beside, &theme);
        if !places.docks {
            let lies_under = magnifier.left() > legend.left() - 1.0;
            let at = if lies_under {
                pos2(corner.x, legend.top())
            } else {
                magnifier.right_top() + vec2(8.0, 0.0)
            };
            // On the first tower it would hide what it shows: there the key and a click on the diaphragm do.
            let lies = Rect::from_min_size(at, FORCES);
            let named = lies.intersects(places.second_name());
            if lies_under || !(named || [0, 1].iter().any(|i| lies.intersects(places.tower(*i)))) {
                let forces = self.forces_ui(ui, at, &theme);
                magnifier = if lies_under {
                    forces
                } else {
                    magnifier.union(forces)
                };
            }
        }
        let from = if magnifier.top() < rect.top() + hands {
            magnifier.right() + 8.0
        } else {
            rect.left() + 2.0
        };
        // At the left, where the first stage leaves the corner free: on the second they would hide what they are for. Where the
        // picture has made room for them the row reaches to the legend.
        let to = if in_corner {
            places.second_name_x()
        } else {
            legend.left()
        };
        let row = Rect::from_min_max(
            pos2(from, rect.top() + 2.0),
            pos2((to - 8.0).max(from + 40.0), rect.top() + hands),
        );
        // No tag lies under the buttons.
        let tags = rect.with_min_y(rect.top() + hands);
        self.parts_ui(ui, [full, tags], scene, &places, &stages, &theme);
        self.hands_ui(ui, row, scene, &theme);
    }

    fn paint(&self, ground: &Ground<'_>, scene: &Scene<'_>) {
        let Ground {
            painter,
            places,
            stages,
            theme,
            ..
        } = *ground;
        draw_pipes(painter, scene, places, theme);
        let changeover = changeover::Now::of(scene, &self.phases);
        if let Some(now) = &changeover {
            changeover::draw(painter, places, now, theme);
        }
        for s in stages {
            s.draw(painter);
        }
        open_ports(painter, scene, places, theme);
        let seconds = scene.now.time_s;
        let frost_k = frost_depth_k(scene.now.body_k, scene.now.air_k);
        weather::residue(painter, &stages[0], scene.now.residue_kg);
        weather::pool(painter, &stages[0], scene.now.pool_kg, seconds);
        weather::pool(painter, &stages[1], scene.now.low_pool_kg, seconds);
        for s in stages {
            weather::water(painter, s);
            if scene.now.cloth {
                hand_on::cloth(painter, &s.plan, &s.view, 0.45, theme);
            }
            weather::frost(painter, s, frost_k);
        }
        self.draw_streams(painter, scene, places, stages, theme);
        for (i, s) in stages.iter().enumerate() {
            s.draw_push(painter);
            self::touch::finger(painter, s, scene.affairs.fingers[i], scene.units);
        }
        for (i, s) in stages.iter().enumerate() {
            flow::leaks(painter, s, &self.phases, i);
            flow::breath(painter, s, &self.phases, places.right_of(i));
        }
        let mm = places.views[0].scale;
        let drawn = (scene.now, places.roomy.then_some(scene.units));
        flow::losses(painter, places.pipes(), &self.phases, drawn, mm, theme);
        labels(painter, scene, places, stages, theme);
        if let Some(now) = &changeover {
            changeover::labels(painter, scene, places, now, theme);
        }
        Self::draw_loupes(painter, scene, places, theme);
    }

    fn draw_streams(
        &self,
        painter: &Painter,
        scene: &Scene<'_>,
        places: &Places,
        stages: &[Stage<'_>; 2],
        theme: &Theme,
    ) {
        let n = scene.now;
        let [a, b] = &places.views;
        let tips = [0, 1].map(|i| places.views[i].xy(places.plans[i].nozzle_tip(), 0.0));
        let scale = a.scale;
        let go = |points: Vec<Pos2>, phase_mm: f64, flow: f64, over_pa: f64, liquid: f64| {
            Stream {
                path: Path::new(points),
                phase_mm,
                flow_kg_per_s: flow,
                color: theme.ink_on_gas(over_pa),
                liquid_share: liquid,
            }
            .draw(painter, scale, theme);
        };
        let [p1, p2] = [self.phases.first_mm, self.phases.second_mm];
        go(
            vec![places.pipes()[0].left_center(), tips[0]],
            p1,
            n.first.flow_kg_per_s,
            n.first.inlet_pa,
            n.first.liquid_share,
        );
        go(
            vec![a.xy(places.plans[0].clamp, 0.0), tips[1]],
            p2,
            n.second.flow_kg_per_s,
            n.second.inlet_pa,
            n.second.liquid_share,
        );
        go(
            vec![
                b.xy(places.plans[1].clamp, 0.0),
                pos2(places.right, b.origin.y),
            ],
            self.phases.outlet_mm,
            n.burner_flow_kg_per_s,
            n.outlet_pa,
            0.0,
        );
        // Through a chamber goes on what leaves it; what crosses the diaphragm is drawn where it crosses.
        let leaves = [n.second.flow_kg_per_s, n.burner_flow_kg_per_s];
        for lane in [1.0, -1.0] {
            for (i, phase) in [p2, self.phases.outlet_mm].into_iter().enumerate() {
                let s = &stages[i];
                go(
                    flow::chamber_way(s, lane),
                    phase + f64::from(lane) * 2.1,
                    leaves[i],
                    s.now.chamber_pa,
                    s.now.liquid_share * 0.7,
                );
            }
        }
    }

    fn draw_loupes(painter: &Painter, scene: &Scene<'_>, places: &Places, theme: &Theme) {
        for i in 0..2 {
            let Some((center, radius, cell)) = places.loupe(i) else {
                return;
            };
            let s = stage_readings(scene.now, i);
            // A hair line from the seat to its loupe.
            let seat = places::seat_at(places, i);
            let toward = (seat - center).normalized();
            if !places.loupes_beside() {
                painter.line_segment(
                    [seat + vec2(0.0, 4.0), center + toward * radius],
                    Stroke::new(1.0, theme.ink.gamma_multiply(0.45)),
                );
            }
            painter.circle_stroke(
                seat,
                places.views[i].len(places.plans[i].bore + 1.6).max(6.0),
                Stroke::new(1.0, theme.ink.gamma_multiply(0.55)),
            );
            inset::Loupe {
                center,
                radius,
                stage: s,
                shape: &scene.shapes[i],
                units: scene.units,
                theme,
            }
            .draw(painter);
            let up = (38.0 * places.times()).min(0.5 * cell.y - 2.0);
            let at = pos2(center.x + radius + 10.0, center.y - up);
            let bottom = center.y - radius - 2.0 + cell.y;
            let room = vec2(cell.x - 2.0 * radius - 20.0, bottom - at.y);
            if room.x >= LOUPE_WORDS {
                loupe_words(
                    painter,
                    at,
                    room,
                    i,
                    s,
                    scene,
                    [places.times(), radius],
                    theme,
                );
            } else if places.loupes_beside() {
                words::loupe_word(painter, center + vec2(0.0, radius + 1.0), s, scene, theme);
            }
        }
    }

    /// The legend of gas pressure; its place.
    fn draw_legend(
        painter: &Painter,
        rect: Rect,
        scene: &Scene<'_>,
        places: &Places,
        theme: &Theme,
    ) -> Rect {
        let tower = places.plans[1].tower + WALL + 4.0;
        let room = rect.right() - places.views[1].xy(tower, 0.0).x - 12.0;
        let margin = if room > 190.0 { 26.0 } else { 2.0 };
        let width = (room - margin).clamp(80.0, 210.0);
        let top = rect.top() + 2.0;
        // Where the second vent stands under it.
        let vent_y = places.views[1].xy(0.0, places.plans[1].shoulder + 6.0).y;
        let high = if top + scale::TALL > vent_y {
            scale::LOW
        } else {
            scale::TALL
        };
        let legend =
            Rect::from_min_size(pos2(rect.right() - margin - width, top), vec2(width, high));
        let n = scene.now;
        scale::draw(
            painter,
            legend,
            scene.units,
            &[n.first.inlet_pa, n.second.inlet_pa, n.outlet_pa],
            theme,
        );
        legend
    }

    /// Shows the other diaphragm's forces, or lets go of what is kept.
    pub fn next_balance(&mut self) {
        use Which::{First, Second};
        self.kept = match self.kept {
            Some(Part::Of(First, _)) => Some(Part::Of(Second, Piece::Diaphragm)),
            Some(_) => None,
            None => Some(Part::Of(First, Piece::Diaphragm)),
        };
        self.asks_for_page = !self.docks && self.kept.is_some();
    }

    /// Whether the forces were asked for and stand on the page at the right, which may be away. Asks once.
    pub fn wants_the_page(&mut self) -> bool {
        std::mem::take(&mut self.asks_for_page)
    }

    /// The way to the forces, where the picture has no room for them.
    fn forces_ui(&mut self, ui: &mut Ui, at: Pos2, theme: &Theme) -> Rect {
        let builder = egui::UiBuilder::new()
            .max_rect(Rect::from_min_size(at, FORCES))
            .layout(egui::Layout::left_to_right(egui::Align::Center));
        let shown = ui.scope_builder(builder, |ui| {
            ui.spacing_mut().button_padding = vec2(6.0, 1.0);
            ui.spacing_mut().interact_size.y = 20.0;
            let text = egui::RichText::new("Forces")
                .font(plain(NOTE))
                .color(theme.ink);
            let why =
                "What pushes on the first diaphragm, then on the second, at the right (key F)";
            let button = egui::Button::new(text).selected(self.kept.is_some());
            if ui.add(button).on_hover_text(why).clicked() {
                self.next_balance();
            }
        });
        shown.response.rect
    }

    /// Keeps the diaphragm of a stage, 0 or 1.
    pub fn keep_diaphragm(&mut self, stage: Option<usize>) {
        self.kept = stage.map(|i| Part::Of(Which::BOTH[i.min(1)], Piece::Diaphragm));
    }

    /// How many times travel is drawn.
    pub fn magnifier(&self) -> f32 {
        MAGNIFIERS[self.magnifier.min(MAGNIFIERS.len() - 1)]
    }

    /// Another stop of the magnifier, where it was before.
    pub fn set_magnifier(&mut self, stop: usize) -> usize {
        std::mem::replace(&mut self.magnifier, stop.min(MAGNIFIERS.len() - 1))
    }

    /// One stop more or less of the magnifier.
    pub fn magnify(&mut self, more: bool) {
        self.magnifier = if more {
            (self.magnifier + 1).min(MAGNIFIERS.len() - 1)
        } else {
            self.magnifier.saturating_sub(1)
        };
    }

    /// The forces on a diaphragm: of the stage whose part is kept or pointed at, else of the second; beside the loupes
    /// where there is room, else on a plate of their own once a part is kept.
    fn draw_balance(
        &self,
        ui: &Ui,
        painter: &Painter,
        rect: Rect,
        scene: &Scene<'_>,
        places: &Places,
        theme: &Theme,
    ) {
        let of = |part: Option<Part>| match part {
            Some(Part::Of(which, _)) => Some(which),
            _ => None,
        };
        let kept = of(self.kept);
        // Where the picture has no room the page at the right shows them.
        let Some(lies) = places.balance() else {
            return;
        };
        let which = kept.or(of(self.lit)).unwrap_or(Which::Second);
        let i = usize::from(which == Which::Second);
        let s = which.of(scene.now);
        let pushes = balance::Pushes::of(s, &scene.shapes[i]);
        let place = balance::Place {
            at: lies.min,
            times: places.times(),
            wide: balance::WIDTH,
        };
        balance::draw(painter, &place, NAMES[i], &pushes, theme, scene.units);
        balance::answers(ui, &place, &pushes, scene.units, theme);
        painter.vline(
            place.at.x - 12.0,
            places.loupe_y + 4.0..=rect.bottom() - 2.0,
            Stroke::new(1.0, theme.edge),
        );
    }

    /// The forces on a page, where the picture had no room for them and a part of a stage is kept.
    pub fn balance_on_page(&self, ui: &mut Ui, rig: &Rig, now: &Readings, units: Units) {
        let Some(Part::Of(which, _)) = self.kept.filter(|_| !self.docks) else {
            return;
        };
        let i = usize::from(which == Which::Second);
        let shape = match which {
            Which::First => shape_of(&rig.first, &presets::first_stage()),
            Which::Second => shape_of(&rig.second, &presets::second_stage()),
        };
        let pushes = balance::Pushes::of(which.of(now), &shape);
        let wide = ui.available_width().clamp(180.0, balance::WIDTH);
        let size = vec2(wide, balance::HEIGHT + 4.0);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let told = format!(
            "Forces on the {}: {}",
            NAMES[i],
            balance::verdict(pushes.net_n())
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &told));
        let place = balance::Place {
            at: rect.min,
            times: 1.0,
            wide,
        };
        let theme = Theme::of(ui);
        balance::draw(ui.painter(), &place, NAMES[i], &pushes, &theme, units);
        balance::answers(ui, &place, &pushes, units, &theme);
    }

    /// The magnifier under the legend: one setting for both stages, always told. What would lie on the second stage's
    /// name is told under the pointer.
    fn magnifier_ui(
        &mut self,
        ui: &mut Ui,
        under: Rect,
        corner: Pos2,
        (name, further): (Rect, Option<&'static str>),
        theme: &Theme,
    ) -> Rect {
        // Where the vent stands close under the legend, the other corner has room.
        let is_under = under.width() > 130.0 && corner.y > under.bottom() + 34.0;
        let at = if is_under {
            under.left_bottom() + vec2(0.0, 6.0)
        } else {
            pos2(corner.x, under.top())
        };
        let right = ui.max_rect().right();
        let rect = Rect::from_min_size(at, vec2(under.width(), 22.0));
        let mut told = rect.with_max_x(rect.left());
        let builder = egui::UiBuilder::new()
            .max_rect(rect)
            .layout(egui::Layout::left_to_right(egui::Align::Center));
        let shown = ui.scope_builder(builder, |ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            ui.spacing_mut().button_padding = vec2(6.0, 1.0);
            ui.spacing_mut().interact_size.y = 20.0;
            if rect.width() > 150.0 {
                ui.label(
                    egui::RichText::new("motion")
                        .font(plain(NOTE))
                        .color(theme.soft),
                );
            }
            let less = ui.add_enabled(self.magnifier > 0, egui::Button::new("−"));
            less.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Draw motion smaller"));
            if less.on_hover_text("Key N").clicked() {
                self.magnify(false);
            }
            let times = format!("× {}", self.magnifier());
            let times = ui.label(
                egui::RichText::new(times)
                    .font(strong(BODY))
                    .color(theme.ink),
            );
            let most = self.magnifier + 1 >= MAGNIFIERS.len();
            let more = ui.add_enabled(!most, egui::Button::new("+"));
            more.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Draw motion larger"));
            if more.on_hover_text("Key M").clicked() {
                self.magnify(true);
            }
            if let Some(words) = further {
                let font = plain(NOTE);
                let long = ui
                    .painter()
                    .layout_no_wrap(words.to_owned(), font, theme.soft);
                let size = long.size();
                let beside = pos2(ui.cursor().left(), rect.center().y - 0.5 * size.y);
                let below = pos2(rect.left(), rect.bottom() + 1.0);
                let fits = |from: Pos2| {
                    // Letters do not fill their line.
                    let lie = Rect::from_min_size(from, size).shrink2(vec2(0.0, 2.0));
                    lie.right() <= right && !lie.intersects(name)
                };
                // Under the legend there is a second line down to the vent.
                let second = is_under && below.y + size.y + 14.0 < corner.y;
                let places = [Some(beside), Some(below).filter(|_| second)];
                let Some(from) = places.into_iter().flatten().find(|from| fits(*from)) else {
                    times.on_hover_text(words);
                    return;
                };
                let text = egui::RichText::new(words)
                    .font(plain(NOTE))
                    .color(theme.soft);
                let label = egui::Label::new(text).extend();
                let lie = Rect::from_min_size(from, size);
                ui.put(lie, label);
                told = lie;
            }
        });
        shown.response.rect.union(told)
    }
}
