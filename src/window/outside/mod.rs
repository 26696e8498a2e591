//! The rig from outside, as a person kneels before it: bottles, pigtails, castings with their vents, line, flames; and the
//! way from there into the cutaway and back. It draws an [`Outlook`], which holds no more than eyes have, with the
//! instruments and the leak fluid that hands have put on. Computes no physics.

mod bottle;
mod bubbles;
mod burner;
mod casting;
pub(in crate::window) mod hand_on;
mod hands;
mod hang;
mod lay;
mod line;
mod metal;
mod obey;
pub mod words;

use egui::{Painter, Rect, RichText, Role, Sense, Stroke, Ui, UiBuilder, WidgetInfo, pos2, vec2};

pub use hands::{Hand, May};

use self::lay::{Lay, UNDER_WINDOW};
use super::cutaway::{Cutaway, Scene as Inside, StageShape};
use crate::rig::Rig;
use crate::service::{Fittings, Gravity};
use crate::visit::Outlook;
use crate::window::look::show::Units;
use crate::window::look::theme::{LEAD, NOTE, Theme, plain};
use crate::window::told::headline;

/// How fast the picture goes from outside to inside \[1/s\].
const PACE: f32 = 1.6;
/// From here on the casting opens.
const OPENS: f32 = 0.62;
/// Height of the sentence over the picture, whatever it says, so that the picture holds still: three lines of body type, and four
/// in narrow rooms \[points\].
const SENTENCE: (f32, f32) = (50.0, 66.0);
/// The same before a room \[points\].
const SENTENCE_ROOM: f32 = 60.0;
/// Width of the switch between the pictures \[points\].
const SWITCH: (f32, f32) = (196.0, 116.0);

/// Where the viewer is, and what moves by itself.
#[derive(Debug, Clone)]
pub struct OutsideView {
    /// 0 outside, 1 inside; between them on the way.
    slide: f32,
    wanted: f32,
    clock_s: f64,
    /// Whether the cover is shut.
    cover_shut: bool,
}

impl Default for OutsideView {
    fn default() -> Self {
        Self {
            slide: 1.0,
            wanted: 1.0,
            clock_s: 0.0,
            cover_shut: false,
        }
    }
}

/// Everything one picture from outside needs.
pub struct Scene<'a> {
    /// What is seen.
    pub seen: &'a Outlook,
    /// The rig, for names and kinds.
    pub rig: &'a Rig,
    /// Dimensions of first and second stage.
    pub shapes: [StageShape; 2],
    /// Instruments and leak fluid.
    pub fittings: &'a Fittings,
    /// Units on show.
    pub units: Units,
    /// Seconds on the viewer's clock since the last picture; 0 when nothing should move.
    pub dt_s: f64,
    /// Whether the cover is shut, where that is not the viewer's to say.
    pub cover: Option<bool>,
    /// What stands over the picture instead of what is seen: a rig that waits for a prediction is as it was made.
    pub waits: Option<&'a str>,
    /// Which hands there are.
    pub may: May,
}

impl OutsideView {
    /// A view that stays outside, with time of its own.
    pub fn outside() -> Self {
        Self {
            slide: 0.0,
            wanted: 0.0,
            ..Self::default()
        }
    }

    /// Lets flames and gas move on.
    pub fn pass(&mut self, dt_s: f64) {
        self.clock_s += dt_s;
    }

    /// Goes to the other picture.
    pub fn turn(&mut self) {
        self.wanted = if self.wanted < 0.5 { 1.0 } else { 0.0 };
    }

    /// Stands at once where it is wanted, 0 outside to 1 inside; for pictures and tests.
    pub fn stand(&mut self, at: f32) {
        self.wanted = at.clamp(0.0, 1.0);
        self.slide = self.wanted;
    }

    /// Whether the viewer is, or is about to be, outside.
    pub fn is_outside(&self) -> bool {
        self.wanted < 0.5
    }

    /// Both pictures, the sentence over them and the switch between them; what hands are to do.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        cutaway: &mut Cutaway,
        inside: &Inside<'_>,
        outside: &Scene<'_>,
    ) -> Vec<Hand> {
        let theme = Theme::of(ui);
        self.advance(ui, outside.dt_s);
        let room = ui.available_rect_before_wrap();
        let head = self.head_ui(ui, inside, outside, &theme);
        let rect = room.with_min_y((head.bottom() + 4.0).min(room.bottom()));
        let openness = ((self.slide - OPENS) / (1.0 - OPENS)).clamp(0.0, 1.0);
        if openness > 0.0 {
            let builder = UiBuilder::new().max_rect(rect);
            ui.scope_builder(builder, |ui| cutaway.show(ui, inside));
        }
        if self.slide >= 1.0 {
            return Vec::new();
        }
        let into = cutaway.views(rect, &inside.shapes, inside.rig.changeover.is_some());
        self.picture(ui, rect, outside, Some(into), &theme)
    }

    /// Moves on towards the picture that is wanted.
    fn advance(&mut self, ui: &Ui, dt_s: f64) {
        self.pass(dt_s);
        let step = PACE * ui.input(|i| i.stable_dt).min(0.1);
        let apart = self.wanted - self.slide;
        if apart == 0.0 {
            return;
        }
        self.slide = if apart.abs() <= step {
            self.wanted
        } else {
            self.slide + step * apart.signum()
        };
        ui.ctx().request_repaint();
    }

    /// The sentence at the left, the switch at the right.
    fn head_ui(
        &mut self,
        ui: &mut Ui,
        inside: &Inside<'_>,
        outside: &Scene<'_>,
        t: &Theme,
    ) -> Rect {
        let width = ui.available_width();
        let narrow = width < 620.0;
        // A low room leaves its height to the picture.
        let high = if narrow && ui.available_height() > 260.0 {
            SENTENCE.1
        } else {
            SENTENCE.0
        };
        // Before a room, where type is large, four lines have room.
        let lead = egui::TextStyle::Heading.resolve(ui.style()).size;
        let high = if lead > LEAD {
            high.max(SENTENCE_ROOM)
        } else {
            high
        };
        let switch = if narrow { SWITCH.1 } else { SWITCH.0 };
        let room = ui.available_rect_before_wrap();
        let left = room.with_max_x((room.right() - switch - 8.0).max(room.left() + 40.0));
        let left = left.with_max_y(left.top() + high);
        let mut head = ui.new_child(UiBuilder::new().max_rect(left));
        let cut_open = self.slide >= 0.5;
        let of = match outside.waits {
            Some(words) => words::Head {
                gravity: Gravity::Well,
                shut_first: false,
                words: if cut_open { inside.words } else { words }.to_owned(),
            },
            None if cut_open => words::over_the_cutaway(outside, inside.affairs, inside.words),
            None => words::over_the_picture(outside, inside.affairs),
        };
        let shown = headline::show(&mut head, of.gravity, of.shut_first, &of.words, t);
        if cut_open {
            shown.on_hover_ui(|ui| headline::list_ui(ui, inside.affairs, inside.rig, inside.units));
        }
        let (all, _) = ui.allocate_exact_size(vec2(width, high), Sense::hover());
        let right = Rect::from_min_size(pos2(all.right() - switch, all.top()), vec2(switch, 24.0));
        let builder = UiBuilder::new()
            .max_rect(right)
            .layout(egui::Layout::right_to_left(egui::Align::Center));
        ui.scope_builder(builder, |ui| self.switch_ui(ui, !narrow));
        all
    }

    fn switch_ui(&mut self, ui: &mut Ui, with_slider: bool) {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding.x = 6.0;
        self.side_ui(ui, "Inside", 1.0);
        if !with_slider {
            self.side_ui(ui, "Outside", 0.0);
            return;
        }
        ui.spacing_mut().slider_width = 62.0;
        let mut at = self.slide;
        let slider = ui.add(egui::Slider::new(&mut at, 0.0..=1.0).show_value(false));
        slider.widget_info(|| WidgetInfo::slider(true, f64::from(at), "From outside to inside"));
        if slider.changed() {
            (self.slide, self.wanted) = (at, at);
        }
        self.side_ui(ui, "Outside", 0.0);
    }

    /// One of the two pictures to choose.
    fn side_ui(&mut self, ui: &mut Ui, name: &str, to: f32) {
        let on = (self.wanted - to).abs() < 0.5;
        let text = RichText::new(name).font(plain(NOTE + 1.0));
        let label = ui.selectable_label(on, text).on_hover_text("Key V");
        if label.clicked() {
            self.wanted = to;
        }
    }

    /// The picture from outside in a box; on the way in, it grows until its castings lie where the cutaway's are.
    pub fn picture(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        scene: &Scene<'_>,
        into: Option<[super::cutaway::geometry::View; 2]>,
        theme: &Theme,
    ) -> Vec<Hand> {
        let response = ui.allocate_rect(rect, Sense::hover());
        let cover_shut = scene.cover.unwrap_or(self.cover_shut);
        let told = words::describe(scene.seen, scene.rig, scene.fittings, cover_shut);
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &told));
        if rect.width() < 120.0 || rect.height() < 100.0 {
            return Vec::new();
        }
        let between = into.map_or(100.0, |[a, b]| (b.origin.x - a.origin.x) / a.scale.max(0.1));
        let lay = fitted(ui, rect, between.clamp(70.0, 118.0), scene);
        let openness = ((self.slide - OPENS) / (1.0 - OPENS)).clamp(0.0, 1.0);
        let mut painter = ui.painter_at(rect);
        painter.set_opacity(1.0 - openness);
        let layer = painter.layer_id();
        let next = || ui.ctx().graphics_mut(|g| g.entry(layer).next_idx().0);
        let from = next();
        paint(&painter, &lay, scene, cover_shut, self.clock_s, theme);
        let still = self.slide <= 0.0;
        hang::instruments(ui, &painter, &lay, scene, theme);
        if let (Some(into), false) = (into, still) {
            let way = way_in(&lay, into, self.slide);
            ui.ctx().graphics_mut(|g| {
                let list = g.entry(layer);
                for k in from..list.next_idx().0 {
                    // What grows out of the box is cut off.
                    list.mutate_shape(egui::layers::ShapeIdx(k), |s| {
                        s.transform(way);
                        s.clip_rect = s.clip_rect.intersect(rect);
                    });
                }
            });
            return Vec::new();
        }
        let around = hands::Around {
            rig: scene.rig,
            seen: scene.seen,
            fittings: scene.fittings,
            units: scene.units,
            theme,
            cover_shut,
            may: scene.may,
            inside: into.is_some(),
        };
        hands::answer(ui, &lay, &around)
    }
}

/// How far the picture has grown on the way in: at its end both castings lie where the cutaway has them.
fn way_in(
    lay: &Lay,
    into: [super::cutaway::geometry::View; 2],
    slide: f32,
) -> egui::emath::TSTransform {
    let u = (slide / OPENS).clamp(0.0, 1.0);
    let ease = u * u * (3.0 - 2.0 * u);
    let full = into[0].scale / lay.scale();
    let scale = full.powf(ease);
    let middle =
        |v: [super::cutaway::geometry::View; 2]| v[0].origin + (v[1].origin - v[0].origin) * 0.5;
    let (a, b) = (middle(lay.views), middle(into));
    // In step with the scale, so that what is looked at stays looked at.
    let share = if (full - 1.0).abs() > 1e-3 {
        (scale - 1.0) / (full - 1.0)
    } else {
        ease
    };
    let at = a + (b - a) * share;
    egui::emath::TSTransform::new(at.to_vec2() - scale * a.to_vec2(), scale)
}

fn paint(
    painter: &Painter,
    lay: &Lay,
    scene: &Scene<'_>,
    cover_shut: bool,
    clock_s: f64,
    t: &Theme,
) {
    let seen = scene.seen;
    wall(painter, lay, t);
    if !cover_shut {
        casting::cover(painter, lay, false, t);
    }
    line::low_side(painter, lay, &seen.line, t);
    for (b, room) in seen.bottles.iter().zip(&lay.bottles) {
        bottle::Bottle::new(b, *room).draw(painter, clock_s, t);
    }
    line::supply(painter, lay, seen, t);
    casting::draw(painter, lay, seen, clock_s, t);
    if cover_shut {
        casting::cover(painter, lay, true, t);
    }
    for (i, a) in seen.appliances.iter().enumerate() {
        let (Some(window), Some(plate)) = (lay.burners.get(i), scene.rig.appliances.get(i)) else {
            continue;
        };
        let name = crate::report::letters::capital(&plate.name);
        burner::draw(
            painter,
            (*window, lay.under),
            plate.kind,
            &name,
            a,
            clock_s,
            t,
        );
    }
    losses(painter, lay, seen, clock_s, t);
    hang::fluid(painter, lay, seen, &scene.fittings.fluid, clock_s, t);
}

/// Gas that rushes out at a pigtail or out of the line.
fn losses(painter: &Painter, lay: &Lay, seen: &Outlook, clock_s: f64, t: &Theme) {
    for (b, room) in seen.bottles.iter().zip(&lay.bottles) {
        if b.pigtail_blows > 0.0 {
            let at = bottle::Bottle::new(b, *room).outlet();
            bubbles::plume(
                painter,
                at,
                vec2(0.5, -1.0),
                b.pigtail_blows as f32,
                clock_s,
                t,
            );
        }
    }
    if seen.line.blows > 0.0 {
        let at = pos2(lay.header_x, lay.outlet().y);
        bubbles::plume(
            painter,
            at,
            vec2(-0.6, -1.0),
            seen.line.blows as f32,
            clock_s,
            t,
        );
    }
}

/// Everything in its place: where a name is long, with room for two lines under each burner's window.
fn fitted(ui: &Ui, rect: Rect, between: f32, scene: &Scene<'_>) -> Lay {
    let with = |under: f32| {
        let (bottles, burners) = (scene.seen.bottles.len(), scene.seen.appliances.len());
        Lay::fit(rect, &scene.shapes, between, bottles, burners, under)
    };
    let [one, two] = UNDER_WINDOW;
    let lay = with(one);
    let mut named = lay.burners.iter().zip(&scene.rig.appliances);
    let is_long = named.any(|(window, a)| {
        burner::takes_two_lines(
            ui.painter(),
            &crate::report::letters::capital(&a.name),
            *window,
        )
    });
    if is_long { with(two) } else { lay }
}

/// The wall of the compartment with its seams, and the floor.
fn wall(painter: &Painter, lay: &Lay, t: &Theme) {
    let rect = lay.rect;
    painter.rect_filled(rect, 3.0, t.wall);
    let seam = metal::shade(t.wall, if t.dark { -0.25 } else { -0.10 });
    let lit = metal::shade(t.wall, if t.dark { 0.10 } else { 0.6 });
    let count = (rect.width() / 150.0).max(1.0) as i32;
    for k in 1..=count {
        let x = rect.left() + rect.width() * k as f32 / (count + 1) as f32;
        painter.vline(x, rect.top()..=lay.ground, Stroke::new(1.4, seam));
        painter.vline(x + 1.4, rect.top()..=lay.ground, Stroke::new(0.8, lit));
    }
    let floor = Rect::from_min_max(pos2(rect.left(), lay.ground - 3.0), rect.max);
    painter.rect_filled(floor, 0.0, seam);
    painter.hline(
        rect.x_range(),
        floor.top(),
        Stroke::new(1.2, metal::shade(seam, -0.4)),
    );
}
