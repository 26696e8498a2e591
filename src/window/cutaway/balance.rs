//! The forces on one diaphragm as a balance: what pushes towards closed in one pan, what pushes towards open in the
//! other, the beam tipped by what is left over; and every push as a bar with its number.

use egui::{Align2, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::draw;
use super::geometry::StageShape;
use crate::report::letters::capital;
use crate::rig::readings::StageReadings;
use crate::service::Filling;
use crate::window::look::pieces::tell;
use crate::window::look::show::{Units, grouped};
use crate::window::look::theme::{CORNER, NOTE, Theme, plain, strong};
use crate::window::look::within::within;

/// Height of one row \[points\].
const ROW: f32 = 11.5;
/// Width of the picture \[points\].
pub const WIDTH: f32 = 252.0;
/// Height of the beam with its pans, under the title \[points\].
const BEAM: f32 = 32.0;
/// Side of the heaviest weight \[points\].
const WEIGHT: f32 = 12.0;
/// Water lighter than this takes no row \[N\].
const WORTH_A_ROW_N: f64 = 5e-4;
/// A push left over from which the diaphragm is on its way \[N\].
const UNEVEN_N: f64 = 2e-3;
/// A push left over, as a share of the largest, that tips the beam as far as it goes.
const TIPS_SHARE: f64 = 0.03;

/// Forces under this share of the largest have a hollow bar, so many times as long; the row says so.
const SMALL: f64 = 0.04;
const MAGNIFIED: f64 = 20.0;
/// Under this share even the longer bar would not be seen.
const LEAST: f64 = 1e-3;

/// What pushes on a diaphragm.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Push {
    /// Gas in the chamber.
    GasBelow,
    /// What fills the spring case.
    Above(Filling),
    /// Adjusting spring.
    Spring,
    /// Gas from upstream on the seat disc.
    Jet,
    /// Rubber squeezed on the orifice.
    Seat,
    /// Guide and lever.
    Friction,
    /// What slows, and what ends the stroke.
    Stops,
    /// A finger.
    Finger,
    /// Water on the diaphragm.
    Water,
}

impl Push {
    /// Its name in the list.
    pub fn name(self) -> &'static str {
        match self {
            Self::GasBelow => "gas below",
            Self::Above(Filling::Air) => "air above",
            Self::Above(Filling::Gas) => "gas above",
            Self::Spring => "spring",
            Self::Jet => "jet, through lever",
            Self::Seat => "seat pushes back",
            Self::Friction => "friction",
            Self::Stops => "damping, stops",
            Self::Finger => "finger",
            Self::Water => "water on top",
        }
    }

    /// What it is.
    pub fn told(self) -> &'static str {
        match self {
            Self::GasBelow => {
                "Gas in the chamber times the diaphragm's area: it lifts the diaphragm and closes the seat"
            }
            Self::Above(Filling::Gas) => {
                "Gas in the spring case on top of the diaphragm: it comes by a tear or the relief, and leaves by the vent. It opens \
                 the seat"
            }
            Self::Above(Filling::Air) => {
                "Air in the spring case on top of the diaphragm; none to speak of while the vent is clear. Pressure there opens the \
                 seat, a partial vacuum closes it"
            }
            Self::Spring => {
                "The adjusting spring pushes the diaphragm down and the seat open. It pushes less the lower the diaphragm stands"
            }
            Self::Jet => {
                "Upstream gas comes out of the orifice as a jet and pushes the seat disc open. The lever passes that push on to the \
                 diaphragm, several times smaller"
            }
            Self::Seat => {
                "Rubber squeezed on the orifice pushes back, through the lever: nothing while the seat is open, more the harder it is \
                 shut"
            }
            Self::Friction => {
                "Rubbing in guide, lever and pin: it holds against whatever way the diaphragm goes, and keeps a little even at rest"
            }
            Self::Stops => {
                "Damping slows a moving diaphragm and is nothing at rest; a stop pushes back where the stroke ends"
            }
            Self::Finger => "A finger on the diaphragm",
            Self::Water => "The weight of water standing on the diaphragm: it opens the seat",
        }
    }
}

/// The pushes on a diaphragm \[N\], positive towards closed.
pub struct Pushes {
    gas_below_n: f64,
    above_n: f64,
    filled: Filling,
    others: [(Push, f64); 5],
    water_n: f64,
    hand_n: f64,
}

impl Pushes {
    /// Of a stage. The readings hold gas below less what is above, both against the open; here they stand apart.
    pub fn of(s: &StageReadings, shape: &StageShape) -> Self {
        let area_m2 = 0.25 * std::f64::consts::PI * shape.diaphragm_m * shape.diaphragm_m;
        let above_n = -s.case_pa * area_m2;
        let f = &s.forces;
        Self {
            gas_below_n: f.gas_n - above_n,
            above_n,
            filled: Filling::of(s),
            others: [
                (Push::Spring, f.spring_n),
                (Push::Jet, f.jet_n),
                (Push::Seat, f.seat_n),
                (Push::Friction, f.friction_n),
                (Push::Stops, f.damping_n + f.stop_n),
            ],
            water_n: f.water_n,
            hand_n: f.hand_n,
        }
    }

    /// The pushes in the order they are read; water only when it is there.
    pub fn rows(&self) -> Vec<(Push, f64)> {
        let mut rows = vec![
            (Push::GasBelow, self.gas_below_n),
            (Push::Above(self.filled), self.above_n),
        ];
        rows.extend(self.others);
        if self.hand_n != 0.0 {
            rows.push((Push::Finger, self.hand_n));
        }
        if self.water_n.abs() > WORTH_A_ROW_N {
            rows.push((Push::Water, self.water_n));
        }
        rows
    }

    /// What is left over \[N\].
    pub fn net_n(&self) -> f64 {
        self.rows().iter().map(|(_, n)| n).sum()
    }

    /// What the gas below pushes with \[N\].
    pub fn gas_below_n(&self) -> f64 {
        self.gas_below_n
    }

    /// Which pushes hold the diaphragm, for the head of a sentence: gas and spring always, a finger, and what is above
    /// where it bears.
    pub fn who_holds(&self) -> &'static str {
        let [gas, above, spring] = self.great().map(f64::abs);
        let bears = above > SMALL * gas.max(spring);
        match (self.filled, self.hand_n != 0.0) {
            (_, false) if !bears => "Gas and spring",
            (_, true) if !bears => "Gas, spring and finger",
            (Filling::Air, false) => "Gas, spring and the air above",
            (Filling::Gas, false) => "Gas, spring and the gas above",
            (Filling::Air, true) => "Gas, spring, finger and the air above",
            (Filling::Gas, true) => "Gas, spring, finger and the gas above",
        }
    }

    /// Gas below, what is above, spring: what arrows on the diaphragm show \[N\].
    pub fn great(&self) -> [f64; 3] {
        [self.gas_below_n, self.above_n, self.others[0].1]
    }
}

/// Which way what is left over pushes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tips {
    /// Nowhere to speak of.
    Even,
    /// Towards closed.
    Shut,
    /// Towards open.
    Open,
}

/// Which way what is left over pushes. It may go the other way yet: a diaphragm that comes to rest is pushed back.
pub fn tips(net_n: f64) -> Tips {
    if net_n.abs() < UNEVEN_N {
        Tips::Even
    } else if net_n > 0.0 {
        Tips::Shut
    } else {
        Tips::Open
    }
}

/// The same in words.
pub fn verdict(net_n: f64) -> &'static str {
    match tips(net_n) {
        Tips::Even => "in balance",
        Tips::Shut => "pushed shut",
        Tips::Open => "pushed open",
    }
}

/// So many rows have room at their usual height: half of one more than are always there, so that the picture is no larger for a
/// finger that comes, nothing moves under the hand, and all may stand a little closer then.
const ROWS: f32 = 7.4;

/// Height of the picture.
pub const HEIGHT: f32 = ROW * ROWS + 17.0 + BEAM;

/// Height of one of so many rows.
fn row_high(rows: usize) -> f32 {
    ROW * (ROWS / rows.max(1) as f32).min(1.0)
}

/// Where and how the picture is drawn.
pub struct Place {
    /// Top left corner.
    pub at: Pos2,
    /// So many times as large as in a small window.
    pub times: f32,
    /// Width of the picture before that.
    pub wide: f32,
}

/// Draws the picture.
pub fn draw(
    painter: &Painter,
    place: &Place,
    name: &str,
    pushes: &Pushes,
    theme: &Theme,
    units: Units,
) {
    let (at, k) = (place.at, place.times);
    let rows = pushes.rows();
    let card = Rect::from_min_size(at, k * vec2(place.wide, HEIGHT));
    painter.text(
        at,
        Align2::LEFT_TOP,
        format!("On the {name}"),
        strong(k * NOTE),
        theme.ink,
    );
    beam(painter, card, k, pushes, theme, units);
    let head = at.y + k * (BEAM + 13.0);
    // Names at the left, numbers at the right, the bars between them.
    let half = (0.5 * (place.wide - 172.0)).clamp(10.0, 40.0);
    let (zero, reach) = (card.right() - k * (74.0 + half), k * half);
    let full = rows.iter().map(|(_, n)| n.abs()).fold(1e-3, f64::max);
    let mut y = head;
    for (push, newton) in &rows {
        let bar = Bar {
            left: at.x,
            right: card.right(),
            y,
            zero,
            reach,
            times: k,
        };
        bar.draw(painter, push.name(), *newton, full, theme, units);
        y += k * row_high(rows.len());
    }
    painter.vline(zero, head..=y, Stroke::new(1.0, theme.faint));
}

/// Has every row tell what it is, under the pointer and to who walks with Tab.
pub fn answers(ui: &Ui, place: &Place, pushes: &Pushes, units: Units, t: &Theme) {
    let rows = pushes.rows();
    let full = rows.iter().map(|(_, n)| n.abs()).fold(1e-3, f64::max);
    let k = place.times;
    let high = row_high(rows.len());
    for (i, (push, newton)) in rows.into_iter().enumerate() {
        let top = place.at.y + k * (BEAM + 13.0 + high * i as f32);
        let rect = Rect::from_min_size(pos2(place.at.x, top), k * vec2(place.wide, high));
        let id = ui.scope_id().with(("push", push.name()));
        let response = ui.interact(rect, id, Sense::focusable_noninteractive());
        let longer = match magnified(newton, full) {
            times if times > 1.0 => format!(". Its faint bar is drawn {times:.0} times as long"),
            _ => String::new(),
        };
        let side = match newton {
            n if n > 0.0 => ", closes",
            n if n < 0.0 => ", opens",
            _ => "",
        };
        let words = format!(
            "{}, {}{side}. {}{longer}",
            capital(push.name()),
            units.force(newton),
            push.told()
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
        if response.hovered() || response.has_focus() {
            let ring = Stroke::new(1.0, t.accent);
            ui.painter()
                .rect_stroke(rect.expand(1.0), 2.0, ring, egui::StrokeKind::Outside);
        }
        tell(ui, response, words);
    }
}

/// The beam: pans as heavy as what pushes each way, tipped by what is left over.
fn beam(painter: &Painter, card: Rect, k: f32, pushes: &Pushes, t: &Theme, units: Units) {
    let rows = pushes.rows();
    let full = rows.iter().map(|(_, n)| n.abs()).fold(1e-3, f64::max);
    let net = pushes.net_n();
    let lean = (net / (TIPS_SHARE * full)).clamp(-1.0, 1.0) as f32;
    let lean = if lean.is_finite() { lean } else { 0.0 };
    let center = pos2(card.center().x, card.top() + k * BEAM);
    let (half, dip) = (k * 36.0, k * 6.0 * lean);
    let ends = [center + vec2(-half, -dip), center + vec2(half, dip)];
    painter.line_segment(ends, Stroke::new(3.0, t.ink));
    painter.add(Shape::convex_polygon(
        vec![
            center,
            center + k * vec2(6.0, 13.0),
            center + k * vec2(-6.0, 13.0),
        ],
        t.brass,
        Stroke::new(1.0, t.ink),
    ));
    // The pan that says "open" at the left, "closed" at the right: the heavier goes down.
    let sums = [
        rows.iter().map(|(_, n)| (-n).max(0.0)).sum::<f64>(),
        rows.iter().map(|(_, n)| n.max(0.0)).sum::<f64>(),
    ];
    let most = sums[0].max(sums[1]).max(1e-6);
    for (pan, end) in ends.into_iter().enumerate() {
        let color = if pan == 0 { t.opens } else { t.closes };
        let side = k * WEIGHT * (0.43 + 0.57 * (sums[pan] / most).sqrt() as f32).min(1.0);
        let block = Rect::from_min_max(
            end + vec2(-0.7 * side, -1.5 - 0.8 * side),
            end + vec2(0.7 * side, -1.5),
        );
        painter.rect(
            block,
            CORNER,
            color,
            Stroke::new(1.0, t.ink),
            egui::StrokeKind::Inside,
        );
        let (x, align, word) = if pan == 0 {
            (card.left(), Align2::LEFT_CENTER, "opens")
        } else {
            (card.right(), Align2::RIGHT_CENTER, "closes")
        };
        // Where the beam takes all the width the sums stand in the rows alone.
        if card.width() < k * 230.0 {
            continue;
        }
        painter.text(
            pos2(x, center.y - k * 2.0),
            align,
            {
                // Three digits: the rows have them all.
                let sum = units.force(sums[pan]);
                let decimals = if sum.value < 10.0 { 2 } else { 1 };
                format!("{word} {} {}", grouped(sum.value, decimals), sum.unit)
            },
            plain(k * (NOTE - 1.0)),
            t.soft,
        );
    }
    painter.text(
        pos2(card.right(), card.top()),
        Align2::RIGHT_TOP,
        verdict(net),
        strong(k * NOTE),
        t.ink,
    );
}

/// How many times longer than to scale a force's bar is; nothing worth a bar stays as it is.
fn magnified(newton: f64, full: f64) -> f64 {
    let small = (LEAST * full..SMALL * full).contains(&newton.abs());
    if small { MAGNIFIED } else { 1.0 }
}

/// Where a row's bar lies.
struct Bar {
    left: f32,
    right: f32,
    y: f32,
    zero: f32,
    reach: f32,
    times: f32,
}

impl Bar {
    fn draw(
        &self,
        painter: &Painter,
        label: &str,
        newton: f64,
        full: f64,
        theme: &Theme,
        units: Units,
    ) {
        let Self {
            left,
            right,
            y,
            zero,
            reach,
            times: k,
        } = *self;
        painter.text(
            pos2(left, y),
            Align2::LEFT_TOP,
            label,
            plain(k * (NOTE - 0.5)),
            theme.soft,
        );
        let times = magnified(newton, full);
        let long = within(reach * (times * newton / full) as f32, -reach, reach);
        let bar = Rect::from_two_pos(pos2(zero, y + k * 3.0), pos2(zero + long, y + k * 10.5));
        let color = if newton < 0.0 {
            theme.opens
        } else {
            theme.closes
        };
        if times > 1.0 {
            // Paler, so that nobody holds it for a bar to scale; filled, so that a short one is no figure.
            painter.rect_filled(bar, 0.0, color.gamma_multiply(0.35));
            let edge = Stroke::new(1.0, color);
            painter.rect_stroke(bar, 0.0, edge, egui::StrokeKind::Inside);
            painter.text(
                // On the side that the bar leaves free.
                pos2(zero - 4.0 * newton.signum() as f32, y + 1.0),
                if newton < 0.0 {
                    Align2::LEFT_TOP
                } else {
                    Align2::RIGHT_TOP
                },
                format!("× {MAGNIFIED:.0}"),
                plain(k * 10.0),
                theme.soft,
            );
        } else {
            painter.rect_filled(bar, 0.0, color);
        }
        painter.text(
            pos2(right, y),
            Align2::RIGHT_TOP,
            units.force(newton).to_string(),
            plain(k * (NOTE - 0.5)),
            theme.ink,
        );
    }
}

/// An arrow on a plate for a push \[N\], to one scale with the others: its head touches the plate from the side the
/// push comes from.
pub fn arrow(painter: &Painter, at: Pos2, long: f32, width: f32, color: egui::Color32) {
    draw::arrow(painter, at + vec2(0.0, long), at, width, color);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::readings::DiaphragmForces;

    #[test]
    fn small_forces_have_a_longer_bar_that_never_passes_the_scale() {
        assert_eq!(magnified(16.0, 16.0), 1.0);
        assert_eq!(magnified(-0.132, 16.0), MAGNIFIED);
        assert_eq!(magnified(0.0, 16.0), 1.0);
        const { assert!(MAGNIFIED * SMALL <= 1.0) };
    }

    /// Gas below and air above stand apart, and what is left over is the model's own sum (derived: the split adds and
    /// takes the same).
    #[test]
    fn air_above_stands_apart_and_the_net_is_the_models() {
        let mut s = StageReadings {
            case_pa: 500.0,
            forces: DiaphragmForces {
                gas_n: 15.5,
                spring_n: -15.5,
                ..DiaphragmForces::default()
            },
            ..StageReadings::default()
        };
        let shape = StageShape {
            diaphragm_m: 0.085,
            ..StageShape::default()
        };
        let pushes = Pushes::of(&s, &shape);
        assert!(pushes.above_n < -2.8 && pushes.gas_below_n > 18.3);
        assert!((pushes.net_n() - s.forces.sum_n()).abs() < 1e-12);
        assert_eq!(pushes.rows().len(), 7);
        assert_eq!(verdict(pushes.net_n()), "in balance");
        s.forces.water_n = -0.4;
        let pushes = Pushes::of(&s, &shape);
        assert_eq!(pushes.rows().len(), 8);
        // Gas that comes through a tear is no air, here as in the headline.
        let words = |s: &StageReadings| {
            let pushes = Pushes::of(s, &shape);
            let over = Filling::of(s);
            let said = crate::window::told::headline::filling_word(over);
            assert!(pushes.rows()[1].0.name().starts_with(said));
            assert!(pushes.who_holds().ends_with(&format!("{said} above")));
            over
        };
        assert_eq!(words(&s), Filling::Air);
        s.tear_kg_per_s = 1e-4;
        assert_eq!(words(&s), Filling::Gas);
        assert_eq!(verdict(pushes.net_n()), "pushed open");
    }
}
