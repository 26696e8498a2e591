//! The cutaway: both stages of the regulator, living. Reads [`Readings`] and two
//! [`StageShape`]s, draws, and answers a click on a diaphragm; computes no physics.

mod balance;
mod draw;
mod flow;
mod geometry;
mod inset;
mod scale;
mod stage;
#[cfg(test)]
mod tests;
mod weather;
mod words;

use egui::{Painter, Pos2, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

pub use geometry::StageShape;

use self::draw::Path;
use self::flow::{Phases, Stream};
use self::geometry::{PIPE, Plan, View, WALL};
use self::inset::Loupe;
use self::stage::Stage;
use self::words::{describe, labels, loupe_words};
use super::show::Units;
use super::theme::{Theme, plain};
use crate::physics::heat::frost_depth_k;
use crate::rig::readings::{Readings, StageReadings};

/// Height kept under the stages for loupes and forces \[points\].
const LOUPE_ROW: f32 = 114.0;
/// The same in a low window.
const LOUPE_ROW_LOW: f32 = 84.0;
/// Width from which the force balance has a place of its own beside the loupes \[points\].
const DOCKED_FROM: f32 = 700.0;
/// Height from which it does not reach into the picture above \[points\].
const DOCKED_FROM_HEIGHT: f32 = 340.0;
/// Height kept for the sentence over the picture \[points\].
const SENTENCE: f32 = 40.0;
/// Names of the stages.
const NAMES: [&str; 2] = ["first-stage", "second-stage"];

/// What the cutaway keeps between frames: how far the dashes ran, which balance is open.
#[derive(Debug, Clone, Default)]
pub struct Cutaway {
    /// Stage whose force balance is open.
    pub balance: Option<usize>,
    phases: Phases,
    loupes: [Loupe; 2],
}

/// Everything one picture needs.
pub struct Scene<'a> {
    /// The rig now.
    pub now: &'a Readings,
    /// The healthy twin, if one runs.
    pub twin: Option<&'a Readings>,
    /// Dimensions of first and second stage.
    pub shapes: [StageShape; 2],
    /// Units on show.
    pub units: Units,
    /// What happens now, in one sentence.
    pub words: &'a str,
    /// Seconds on the viewer's clock since the last picture; 0 when nothing should move.
    pub dt_s: f64,
}

/// Where everything goes, once the room is known.
struct Places {
    views: [View; 2],
    plans: [Plan; 2],
    left: f32,
    right: f32,
    loupe_y: f32,
    loupe_row: f32,
    roomy: bool,
}

impl Cutaway {
    /// Draws the scene into all the room there is.
    pub fn show(&mut self, ui: &mut Ui, scene: &Scene<'_>) {
        let theme = Theme::of(ui);
        // Room for two lines whatever is said, so that the picture below stands still.
        let width = ui.available_width();
        ui.allocate_ui(vec2(width, SENTENCE), |ui| {
            ui.set_min_size(vec2(width, SENTENCE));
            ui.label(
                egui::RichText::new(scene.words)
                    .font(plain(14.5))
                    .color(theme.ink),
            );
        });
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
        let places = Places::fit(rect, &scene.shapes);
        self.paint(&painter, rect, scene, &places, &theme);
        self.diaphragm_buttons(ui, scene, &places, &theme);
        self.draw_balance(&painter, rect, scene, &places, &theme);
    }

    fn paint(
        &mut self,
        painter: &Painter,
        rect: Rect,
        scene: &Scene<'_>,
        places: &Places,
        theme: &Theme,
    ) {
        let stages = [0, 1].map(|i| Stage {
            plan: places.plans[i],
            view: places.views[i],
            now: stage_readings(scene.now, i),
            twin: scene.twin.map(|t| stage_readings(t, i)),
            shape: scene.shapes[i],
            theme,
        });
        draw_pipes(painter, scene, places, theme);
        for s in &stages {
            s.draw(painter);
        }
        open_ports(painter, scene, places, theme);
        let seconds = scene.now.time_s;
        let frost_k = frost_depth_k(scene.now.body_k, scene.now.air_k);
        weather::pool(painter, &stages[0], scene.now.pool_kg, seconds);
        for s in &stages {
            weather::water(painter, s);
            weather::frost(painter, s, frost_k);
        }
        self.draw_streams(painter, scene, places, &stages, theme);
        stages[self.balance.unwrap_or(1)].draw_push(painter);
        for s in &stages {
            flow::leaks(painter, s, &self.phases);
            flow::breath(painter, s, places.roomy);
        }
        labels(painter, scene, places, &stages, theme);
        self.draw_loupes(painter, rect, scene, places, theme);
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
            vec![pos2(places.left, a.origin.y), tips[0]],
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
        for lane in [1.0, -1.0] {
            for (i, phase) in [p1, p2].into_iter().enumerate() {
                let s = &stages[i];
                go(
                    flow::chamber_way(s, lane),
                    phase + f64::from(lane) * 2.1,
                    s.now.flow_kg_per_s,
                    s.now.chamber_pa,
                    s.now.liquid_share * 0.7,
                );
            }
        }
    }

    fn draw_loupes(
        &mut self,
        painter: &Painter,
        rect: Rect,
        scene: &Scene<'_>,
        places: &Places,
        theme: &Theme,
    ) {
        let radius = places.loupe_row * 0.5 - 6.0;
        let docked = if docks(rect) {
            balance::WIDTH + 24.0
        } else {
            0.0
        };
        let columns = [rect.left(), rect.left() + (rect.width() - docked) * 0.5];
        for i in 0..2 {
            let s = stage_readings(scene.now, i);
            self.loupes[i].follow(s);
            let center = pos2(columns[i] + radius + 2.0, places.loupe_y + radius);
            // A hair line from the seat to its loupe.
            let seat = places.views[i].xy(places.plans[i].nozzle_tip(), 0.0);
            let toward = (seat - center).normalized();
            painter.line_segment(
                [seat + vec2(0.0, 4.0), center + toward * radius],
                Stroke::new(1.0, theme.ink.gamma_multiply(0.45)),
            );
            painter.circle_stroke(
                seat,
                places.views[i].len(places.plans[i].bore + 1.6).max(6.0),
                Stroke::new(1.0, theme.ink.gamma_multiply(0.55)),
            );
            self.loupes[i].draw(
                painter,
                center,
                radius,
                s,
                held_m(s, &scene.shapes[i]),
                theme,
            );
            let at = pos2(center.x + radius + 10.0, center.y - 38.0);
            let room = columns[1] - columns[0] - 2.0 * radius - 20.0;
            loupe_words(painter, at, room, i, s, scene, theme);
        }
        let tower = places.plans[1].tower + WALL + 4.0;
        let room = rect.right() - places.views[1].xy(tower, 0.0).x - 12.0;
        let margin = if room > 190.0 { 26.0 } else { 2.0 };
        let width = (room - margin).clamp(80.0, 210.0);
        let legend = Rect::from_min_size(
            pos2(rect.right() - margin - width, rect.top() + 2.0),
            vec2(width, 50.0),
        );
        let n = scene.now;
        scale::draw(
            painter,
            legend,
            scene.units,
            &[n.first.inlet_pa, n.second.inlet_pa, n.outlet_pa],
            theme,
        );
    }

    /// Shows the other diaphragm's forces, or closes the card where it floats.
    pub fn next_balance(&mut self) {
        self.balance = match self.balance {
            None => Some(0),
            Some(0) => Some(1),
            Some(_) => None,
        };
    }

    /// The forces on the chosen diaphragm: beside the loupes where there is room, else on a card
    /// of their own once asked for.
    fn draw_balance(
        &self,
        painter: &Painter,
        rect: Rect,
        scene: &Scene<'_>,
        places: &Places,
        theme: &Theme,
    ) {
        let docked = docks(rect);
        let chosen = if docked {
            self.balance.or(Some(1))
        } else {
            self.balance
        };
        let Some(i) = chosen else { return };
        let forces = &stage_readings(scene.now, i).forces;
        let name = NAMES[i].replace("-stage", " diaphragm");
        let rows = balance::rows(forces).len();
        let at = if docked {
            let top = rect.bottom() - balance::height(rows);
            pos2(rect.right() - balance::WIDTH, top)
        } else {
            rect.min + vec2(10.0, 12.0)
        };
        balance::draw(painter, at, &name, forces, theme, !docked);
        if docked {
            let top = places.loupe_y + 4.0;
            painter.vline(
                at.x - 14.0,
                top..=rect.bottom() - 2.0,
                Stroke::new(1.0, theme.edge),
            );
        }
    }

    /// The diaphragms as buttons that open and close their force balance.
    fn diaphragm_buttons(
        &mut self,
        ui: &mut Ui,
        scene: &Scene<'_>,
        places: &Places,
        theme: &Theme,
    ) {
        for (i, name) in NAMES.into_iter().enumerate() {
            let stage = Stage {
                plan: places.plans[i],
                view: places.views[i],
                now: stage_readings(scene.now, i),
                twin: None,
                shape: scene.shapes[i],
                theme,
            };
            let hit = stage.diaphragm_rect().expand(4.0);
            let id = ui.scope_id().with(("diaphragm", i));
            let response = ui.interact(hit, id, Sense::click());
            let open = self.balance == Some(i);
            response.widget_info(|| {
                WidgetInfo::selected(
                    Role::Button,
                    true,
                    open,
                    format!("Forces on the {name} diaphragm"),
                )
            });
            if response.clicked() {
                self.balance = if open { None } else { Some(i) };
            }
            ring(ui, &response, hit, theme);
            response.on_hover_text("Show the forces on this diaphragm");
        }
    }
}

/// Whether the force balance has a place of its own.
fn docks(rect: Rect) -> bool {
    rect.width() >= DOCKED_FROM && rect.height() >= DOCKED_FROM_HEIGHT
}

impl Places {
    /// Fits both stages and their pipes into `rect`, loupes below.
    fn fit(rect: Rect, shapes: &[StageShape; 2]) -> Self {
        let plans = [Plan::of(&shapes[0]), Plan::of(&shapes[1])];
        let extents = [plans[0].extent(), plans[1].extent()];
        let between = 9.0;
        let lead = 20.0;
        let width = lead + extents[0].width() + between + extents[1].width() + lead * 0.8;
        let low = extents[0].min.y.min(extents[1].min.y);
        let high = extents[0].max.y.max(extents[1].max.y);
        let loupe_row = (0.32 * rect.height()).clamp(LOUPE_ROW_LOW, LOUPE_ROW);
        let room = Rect::from_min_max(
            rect.min + vec2(0.0, 4.0),
            pos2(
                rect.right(),
                (rect.bottom() - loupe_row - 8.0).max(rect.top() + 60.0),
            ),
        );
        let scale = (room.width() / width)
            .min(room.height() / (high - low))
            .max(0.2);
        let spare = room.width() - width * scale;
        // Spare width goes to the three pipes.
        let share = spare * 0.30;
        let axis = room.center().y + 0.5 * (high + low) * scale;
        let first_x = rect.left() + share + (lead - extents[0].min.x) * scale;
        let second_x =
            first_x + (extents[0].max.x + between - extents[1].min.x) * scale + spare * 0.40;
        Self {
            views: [first_x, second_x].map(|x| View {
                origin: pos2(x, axis),
                scale,
            }),
            plans,
            left: rect.left(),
            right: rect.right(),
            loupe_y: rect.bottom() - loupe_row,
            loupe_row,
            roomy: scale > 2.6,
        }
    }
}

fn stage_readings(readings: &Readings, i: usize) -> &StageReadings {
    if i == 0 {
        &readings.first
    } else {
        &readings.second
    }
}

/// How far the seat stands open beyond what the lever says \[m\]: grit under it, or rubber gone.
fn held_m(s: &StageReadings, shape: &StageShape) -> f64 {
    if !shape.linked {
        return 0.0;
    }
    let lever_m = ((s.touch_rise_m - s.rise_m) / shape.lever_ratio).max(0.0);
    let held = s.lift_m - lever_m;
    if held > inset::HELD_FROM_M { held } else { 0.0 }
}

/// Inlet, middle and outlet pipes.
fn draw_pipes(painter: &Painter, scene: &Scene<'_>, places: &Places, theme: &Theme) {
    let n = scene.now;
    let [a, b] = &places.views;
    let [p1, p2] = &places.plans;
    let pipes = [
        (places.left, a.xy(-p1.clamp, 0.0).x, n.first.inlet_pa),
        (
            a.xy(p1.clamp, 0.0).x,
            b.xy(-p2.clamp, 0.0).x,
            n.second.inlet_pa,
        ),
        (b.xy(p2.clamp, 0.0).x, places.right, n.outlet_pa),
    ];
    for (from, to, pa) in pipes {
        stage::pipe(
            painter,
            theme,
            a.scale,
            pos2(from, a.origin.y),
            to,
            theme.gas(pa),
        );
    }
}

/// Opens the bodies' walls where pipes enter and leave.
fn open_ports(painter: &Painter, scene: &Scene<'_>, places: &Places, theme: &Theme) {
    for i in 0..2 {
        let (p, v) = (&places.plans[i], &places.views[i]);
        let s = stage_readings(scene.now, i);
        for (x0, x1, pa) in [
            (p.clamp - 0.7, p.clamp + WALL + 0.8, s.chamber_pa),
            (-p.clamp - WALL - 0.8, -p.clamp - 0.2, s.inlet_pa),
        ] {
            painter.rect_filled(v.rect(pos2(x0, -PIPE), pos2(x1, PIPE)), 0.0, theme.gas(pa));
            for y in [-PIPE, PIPE] {
                painter.line_segment(
                    [v.xy(x0 + 0.7, y), v.xy(x1, y)],
                    Stroke::new(1.1, theme.ink),
                );
            }
        }
        // The inlet narrows to the bore at the wall.
        let x = -p.clamp - 0.2;
        for side in [-1.0, 1.0] {
            painter.line_segment(
                [v.xy(x, side * PIPE), v.xy(x, side * p.bore)],
                Stroke::new(1.1, theme.ink),
            );
        }
        painter.rect_filled(
            v.rect(pos2(x - 0.6, -p.bore), pos2(x + 0.8, p.bore)),
            0.0,
            theme.gas(s.inlet_pa),
        );
    }
}

/// A ring around what has the keyboard.
fn ring(ui: &Ui, response: &Response, rect: Rect, theme: &Theme) {
    if response.has_focus() || response.hovered() {
        let alpha = if response.has_focus() { 1.0 } else { 0.5 };
        ui.painter().rect_stroke(
            rect,
            5.0,
            Stroke::new(1.5, theme.accent.gamma_multiply(alpha)),
            egui::StrokeKind::Outside,
        );
    }
}
