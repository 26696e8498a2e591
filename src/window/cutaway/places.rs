//! Where everything of the cutaway goes once the room is known: both stages side by side, spare
//! width in the pipes, loupes and forces below. Draws nothing.

use egui::{Pos2, Rect, Vec2, pos2, vec2};

use super::geometry::{PIPE, Plan, StageShape, View, WALL};
use super::{balance, crossing};
use crate::window::look::within::within;

/// Height kept under the stages for loupes and forces, as a share of the whole, and its ends \[points\].
const LOUPE_SHARE: f32 = 0.31;
const LOUPE_ROW: [f32; 2] = [88.0, 190.0];
/// Height of the row that the force balance takes beside the loupes: it begins a little over them \[points\].
const DOCKED_ROW: f32 = balance::HEIGHT - 2.5;
/// Width from which the force balance has a place of its own beside the loupes \[points\].
const DOCKED_FROM: f32 = 620.0;
/// Height from which it does not reach into the picture above \[points\].
const DOCKED_FROM_HEIGHT: f32 = 255.0;
/// Height of the picture from which it has loupes, and what is kept under the stages without them \[points\].
const LOUPES_FROM_HEIGHT: f32 = 190.0;
const UNDER: f32 = 8.0;
/// Width of a low picture from which its loupes stand in a column at its right, and what they take: with their words,
/// and in a narrower one without \[points\].
const BESIDE_FROM: [f32; 2] = [560.0, 420.0];
const BESIDE: [f32; 2] = [190.0, 60.0];
/// Height of the word under a loupe that has none beside it \[points\].
const WORD: f32 = 12.0;
/// Largest loupe there \[points\].
const BESIDE_RADIUS: f32 = 36.0;
/// Room for a pressure beside its pipe \[points\].
const NUMBER: f32 = 72.0;
/// Room for a stage's name beside its tower \[points\].
const NAME: f32 = 95.0;
/// Points per millimetre from which words that only help have room.
const ROOMY: f32 = 2.4;

/// Where everything goes, once the room is known.
pub struct Places {
    /// The stages on the screen.
    pub views: [View; 2],
    /// Their parts.
    pub plans: [Plan; 2],
    /// Left edge, and where the inlet pipe begins: there, or behind a changeover.
    pub left: f32,
    inlet: f32,
    /// Right edge.
    pub right: f32,
    /// Top of the row of loupes.
    pub loupe_y: f32,
    /// Its height.
    pub loupe_row: f32,
    /// Whether words that only help have room.
    pub roomy: bool,
    /// Whether the force balance has a place of its own.
    pub docks: bool,
    /// Where the loupes are.
    loupes: Loupes,
}

/// Where the loupes are: under the stages, in a column at the right of a picture too low for that, or nowhere.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Loupes {
    Below,
    Beside(Rect),
    Nowhere,
}

impl Loupes {
    fn of(rect: Rect) -> Self {
        if rect.height() >= LOUPES_FROM_HEIGHT {
            return Self::Below;
        }
        match BESIDE_FROM.iter().position(|from| rect.width() >= *from) {
            Some(i) => Self::Beside(rect.with_min_x(rect.right() - BESIDE[i])),
            None => Self::Nowhere,
        }
    }
}

impl Places {
    /// Fits both stages and their pipes into `rect`, loupes below or beside, and beside those the forces on a diaphragm; travel
    /// drawn `enlarged` times. It hangs on nothing that comes and goes: the picture stays where it is.
    pub fn fit(rect: Rect, shapes: &[StageShape; 2], enlarged: f32, twin: bool) -> Self {
        let loupes = Loupes::of(rect);
        let rect = match loupes {
            Loupes::Beside(column) => rect.with_max_x(column.left() - 10.0),
            Loupes::Below | Loupes::Nowhere => rect,
        };
        let plans = [
            Plan::of(&shapes[0], enlarged),
            Plan::of(&shapes[1], enlarged),
        ];
        let extents = [plans[0].extent(), plans[1].extent()];
        let between = 9.0;
        let lead = 20.0;
        let width = lead + extents[0].width() + between + extents[1].width() + lead * 0.8;
        let under = if twin { crossing::UNDER } else { 0.0 };
        let low = (extents[0].min.y - under).min(extents[1].min.y);
        let high = extents[0].max.y.max(extents[1].max.y);
        let docks = rect.width() >= DOCKED_FROM && rect.height() >= DOCKED_FROM_HEIGHT;
        let least = if docks { DOCKED_ROW } else { LOUPE_ROW[0] };
        // A low picture keeps the stages.
        let loupe_row = if loupes == Loupes::Below {
            within(LOUPE_SHARE * rect.height(), least, LOUPE_ROW[1].max(least))
        } else {
            UNDER
        };
        let room = Rect::from_min_max(
            rect.min + vec2(0.0, 4.0),
            pos2(
                rect.right(),
                (rect.bottom() - loupe_row - 8.0).max(rect.top() + 40.0),
            ),
        );
        let bare = extents[0].width() + between + extents[1].width();
        let scale = (room.width() / width)
            .min((room.width() - NUMBER - if twin { crossing::RUN } else { NUMBER }) / bare)
            .min(room.height() / (high - low))
            .max(0.2);
        let spare = room.width() - width * scale;
        // Spare width goes to the three pipes; the outer two have room for their numbers in any case.
        let share = spare * 0.30;
        let least = if twin { crossing::RUN } else { NUMBER };
        let before = (lead * scale + share).max(least);
        let after = (lead * 0.8 * scale + share).max(NUMBER);
        let middle = (room.width() - bare * scale - before - after).max(0.0);
        // The number between the stages comes before longer outer pipes.
        let more = [before - least, after - NUMBER];
        let lack = within(NUMBER - between * scale - middle, 0.0, more[0] + more[1]);
        let kept = 1.0 - lack / (more[0] + more[1]).max(f32::EPSILON);
        let (before, middle) = (least + kept * more[0], middle + lack);
        let axis = room.center().y + 0.5 * (high + low) * scale;
        let first_x = rect.left() + before - extents[0].min.x * scale;
        let second_x = first_x + (extents[0].max.x + between - extents[1].min.x) * scale + middle;
        let mut places = Self {
            views: [first_x, second_x].map(|x| View {
                origin: pos2(x, axis),
                scale,
            }),
            plans,
            left: rect.left(),
            inlet: rect.left(),
            right: rect.right(),
            loupe_y: rect.bottom() - loupe_row,
            loupe_row,
            roomy: scale > ROOMY,
            docks,
            loupes,
        };
        if twin {
            places.inlet = places.changeover().block.right();
        }
        places
    }

    /// Where that begins which stands at the right of a stage: the wide part of the second case, or the picture's edge.
    pub fn right_of(&self, i: usize) -> f32 {
        if i == 0 {
            self.views[1].xy(self.plans[1].extent().min.x, 0.0).x
        } else {
            self.right
        }
    }

    /// Whether the top left corner is free of stages and their names.
    pub fn leaves_corner(&self, rect: Rect, size: Vec2) -> bool {
        let top = self.views[0].xy(0.0, self.plans[0].extent().max.y).y;
        top > rect.top() + size.y && rect.left() + size.x < self.second_name_x()
    }

    /// Where the name of the second stage begins, left of its tower.
    pub fn second_name_x(&self) -> f32 {
        self.views[1].xy(-self.plans[1].tower, 0.0).x - NAME
    }

    /// Where it lies, about.
    pub fn second_name(&self) -> Rect {
        let top = self.views[1].xy(0.0, self.plans[1].top).y;
        Rect::from_min_size(pos2(self.second_name_x(), top), vec2(NAME, 16.0))
    }

    /// So many times as large as in a small window are loupes, forces and their words.
    pub fn times(&self) -> f32 {
        (self.loupe_row / DOCKED_ROW).clamp(1.0, 1.5)
    }

    /// Where the forces on a diaphragm stand beside the loupes, if they do.
    pub fn balance(&self) -> Option<Rect> {
        let size = self.times() * vec2(balance::WIDTH, balance::HEIGHT);
        let corner = pos2(self.right, self.loupe_y + self.loupe_row);
        self.docks
            .then(|| Rect::from_min_max(corner - size, corner))
    }

    /// Where the number of the outlet stands with its words.
    pub fn outlet_number(&self) -> Rect {
        let pipe = self.pipes()[2];
        Rect::from_min_max(
            pos2(self.right - 1.2 * NUMBER, pipe.bottom()),
            pos2(self.right, pipe.bottom() + 40.0),
        )
    }

    /// Middle and radius of a stage's loupe, and the room that it and its words have; none where there are no loupes.
    pub fn loupe(&self, i: usize) -> Option<(Pos2, f32, Vec2)> {
        let (corner, row, column) = match self.loupes {
            Loupes::Nowhere => return None,
            Loupes::Beside(column) => {
                let row = 0.5 * column.height();
                let top = column.top() + row * i as f32;
                (pos2(column.left(), top), row, column.width())
            }
            Loupes::Below => {
                let docked = if self.docks {
                    self.times() * balance::WIDTH + 22.0
                } else {
                    0.0
                };
                let column = (self.right - self.left - docked) * 0.5;
                let left = self.left + column * i as f32;
                (pos2(left, self.loupe_y), self.loupe_row, column)
            }
        };
        // The words beside a loupe need the larger half of its column.
        let largest = match self.loupes {
            Loupes::Beside(_) => BESIDE_RADIUS.min(0.5 * column - 4.0),
            Loupes::Below | Loupes::Nowhere => 0.22 * column,
        };
        // Without words beside it one stands under it.
        let is_bare = self.loupes_beside() && column < BESIDE[0];
        let under = if is_bare { WORD } else { 0.0 };
        let radius = ((row - under) * 0.5 - 4.0).min(largest);
        let center = corner + vec2(radius + 2.0, radius + 2.0);
        Some((center, radius, vec2(column, row)))
    }

    /// Whether a seat and its loupe are far apart: a line from one to the other would cross the picture.
    pub fn loupes_beside(&self) -> bool {
        matches!(self.loupes, Loupes::Beside(_))
    }

    /// Down to where words may stand under the stages.
    pub fn free_under(&self) -> f32 {
        match self.loupes {
            Loupes::Below => self.loupe_y,
            Loupes::Beside(_) | Loupes::Nowhere => self.loupe_y + self.loupe_row,
        }
    }

    /// Box of the tower of a stage with its cap.
    pub fn tower(&self, i: usize) -> Rect {
        let (p, v) = (&self.plans[i], &self.views[i]);
        let half = p.tower + WALL + 1.5;
        v.rect(pos2(-half, p.shoulder), pos2(half, p.top + 6.5))
    }

    /// Where the changeover of two containers lies.
    pub fn changeover(&self) -> crossing::Lie {
        crossing::lie(&self.plans[0], &self.views[0], self.left)
    }

    /// The three pipes as screen boxes of their bores: inlet, between, outlet.
    pub fn pipes(&self) -> [Rect; 3] {
        let [a, b] = &self.views;
        let [p, q] = &self.plans;
        let half = PIPE * a.scale;
        let y = a.origin.y - half..=a.origin.y + half;
        [
            (self.inlet, a.xy(-p.clamp, 0.0).x),
            (a.xy(p.clamp, 0.0).x, b.xy(-q.clamp, 0.0).x),
            (b.xy(q.clamp, 0.0).x, self.right),
        ]
        .map(|(from, to)| Rect::from_x_y_ranges(from..=to.max(from), y.clone()))
    }
}

/// The point of a stage's seat on the screen.
pub fn seat_at(places: &Places, i: usize) -> Pos2 {
    places.views[i].xy(places.plans[i].nozzle_tip(), 0.0)
}
