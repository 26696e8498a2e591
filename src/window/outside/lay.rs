//! Where everything of the outside view goes once the room is known. Draws nothing.

use egui::{Pos2, Rect, pos2, vec2};

use crate::window::cutaway::StageShape;
use crate::window::cutaway::geometry::{Plan, View, WALL};
use crate::window::look::within::within;

/// Share of the width for one container and for two, and its least and most \[points\].
const SUPPLY: [f32; 2] = [0.17, 0.25];
const SUPPLY_POINTS: (f32, f32) = (92.0, 280.0);
/// Share of the width for the burners, and its least and most \[points\].
const BURNERS: f32 = 0.30;
const BURNERS_POINTS: (f32, f32) = (160.0, 400.0);
/// Height of the row of instruments \[points\].
const INSTRUMENTS: (f32, f32) = (104.0, 168.0);
/// A lower picture has no such row: the castings have its height, one instrument stands in a column beside them, and the others read
/// at their taps. Its width, and the least width of a container there \[points\].
const LOW: f32 = 190.0;
const INSTRUMENT: f32 = 88.0;
const LOW_SUPPLY: f32 = 70.0;
/// Least height of a fire for which names keep their columns \[points\].
const LEAST_FIRE: f32 = 24.0;
/// Best shape of a burner's window, width over height.
const WINDOW: f32 = 1.15;
/// What is kept under it for its name and pipe, with a name of one line and with one of two \[points\].
pub const UNDER_WINDOW: [f32; 2] = [30.0, 38.0];
/// Narrowest column of burners, and that in a picture too low for them: names are small there \[points\].
const COLUMN: f32 = 72.0;
const LEAST_COLUMN: f32 = 53.0;
/// Share of the width that the line has to itself, so that a dent in it is seen.
const LINE: f32 = 0.065;
/// What is kept over the castings for the cover, under them for the vents \[mm\].
const OVER: f32 = 17.0;
const UNDER: f32 = 9.0;

/// Where everything goes.
pub struct Lay {
    /// All the room.
    pub rect: Rect,
    /// Height on which things stand.
    pub ground: f32,
    /// The castings.
    pub views: [View; 2],
    /// Their plans.
    pub plans: [Plan; 2],
    /// Room for each container.
    pub bottles: Vec<Rect>,
    /// The window of each burner.
    pub burners: Vec<Rect>,
    /// Where the line goes up and down before the burners.
    pub header_x: f32,
    /// What each window keeps under its fire for name and pipe \[points\].
    pub under: f32,
    /// Rows of burners: where each row's pipe lies.
    pub rows: Vec<f32>,
    /// Room for instruments.
    pub instruments: Rect,
    /// Whether they stand in front of the line, in a picture that is too low for a row of them.
    pub low: bool,
}

impl Lay {
    /// Fits a rig into a box; `between` is the way from axis to axis \[mm\].
    pub fn fit(
        rect: Rect,
        shapes: &[StageShape; 2],
        between: f32,
        bottles: usize,
        burners: usize,
        under: f32,
    ) -> Self {
        let ground = rect.bottom() - 6.0;
        let plans = [Plan::of(&shapes[0], 1.0), Plan::of(&shapes[1], 1.0)];
        let low_room = rect.height() < LOW;
        let supply = (SUPPLY[bottles.clamp(1, 2) - 1] * rect.width())
            .clamp(SUPPLY_POINTS.0, SUPPLY_POINTS.1)
            .min(0.34 * rect.width());
        let supply = if low_room {
            (0.7 * supply).max(LOW_SUPPLY)
        } else {
            supply
        };
        let fire = (BURNERS * rect.width())
            .clamp(BURNERS_POINTS.0, BURNERS_POINTS.1)
            .min(0.36 * rect.width());
        let row = if low_room {
            0.0
        } else {
            (0.40 * rect.height()).clamp(INSTRUMENTS.0, INSTRUMENTS.1)
        };
        let column = if low_room { INSTRUMENT } else { 0.0 };
        let body = Rect::from_min_max(
            pos2(
                rect.left() + supply + 0.028 * rect.width() + 8.0,
                rect.top() + 4.0,
            ),
            pos2(
                rect.right() - fire - LINE * rect.width() - 8.0 - column,
                ground - row - 4.0,
            ),
        );
        let extents = [plans[0].extent(), plans[1].extent()];
        let low = extents[0].min.y.min(extents[1].min.y) - UNDER;
        let high = extents[0].max.y.max(extents[1].max.y) + OVER;
        let width = between - extents[0].min.x + extents[1].max.x + 12.0;
        let scale = (body.width() / width)
            .min(body.height() / (high - low))
            .max(0.15);
        let axis = body.center().y + 0.5 * (high + low) * scale;
        let spare = body.width() - width * scale;
        let first = body.left() + 0.5 * spare + (8.0 - extents[0].min.x) * scale;
        let views = [first, first + between * scale].map(|x| View {
            origin: pos2(x, axis),
            scale,
        });
        let instruments = if low_room {
            let high = (rect.height() - 8.0).min(INSTRUMENTS.1);
            let corner = pos2(body.right() + 0.5 * LINE * rect.width(), ground - high);
            Rect::from_min_size(corner, vec2(column, high))
        } else {
            Rect::from_min_max(
                pos2(body.left() - 4.0, ground - row),
                pos2(body.right() + 0.7 * LINE * rect.width(), ground),
            )
        };
        let (windows, rows, header_x) = windows(rect, fire, ground, burners, under);
        Self {
            rect,
            ground,
            views,
            plans,
            bottles: stand(rect, supply, ground, bottles),
            burners: windows,
            header_x,
            under,
            rows,
            instruments,
            low: low_room,
        }
    }

    /// Points per millimetre of the castings.
    pub fn scale(&self) -> f32 {
        self.views[0].scale
    }

    /// Width of the line \[points\].
    pub fn pipe(&self) -> f32 {
        (5.2 * self.scale()).clamp(4.0, 12.0)
    }

    /// Where gas enters the first casting and leaves the second.
    pub fn inlet(&self) -> Pos2 {
        self.views[0].xy(-self.plans[0].clamp - 13.0, 0.0)
    }

    /// The outlet's tap.
    pub fn outlet(&self) -> Pos2 {
        self.views[1].xy(self.plans[1].clamp + 16.0, 0.0)
    }

    /// The plug between the stages.
    pub fn between(&self) -> Pos2 {
        let a = self.views[0].xy(self.plans[0].clamp, 0.0).x;
        let b = self.views[1].xy(-self.plans[1].clamp, 0.0).x;
        pos2(0.5 * (a + b), self.views[0].origin.y)
    }

    /// Where a vent's mouth is.
    pub fn vent(&self, i: usize, looks_up: bool) -> Pos2 {
        let (p, v) = (&self.plans[i], &self.views[i]);
        let mouth = p.vent_mouth();
        if looks_up {
            v.xy(mouth.x, p.shoulder + 11.0)
        } else {
            v.xy(mouth.x, mouth.y - 3.0)
        }
    }

    /// The tube of a vent: where it leaves the casting, its bend, its mouth.
    pub fn vent_tube(&self, i: usize, looks_up: bool) -> [Pos2; 3] {
        let (p, v) = (&self.plans[i], &self.views[i]);
        let level = 0.5 * (p.rest + 3.2 + p.shoulder) + 1.0;
        let root = v.xy(p.clamp + WALL - 1.0, level);
        let mouth = self.vent(i, looks_up);
        [root, pos2(mouth.x, root.y), mouth]
    }

    /// Its width \[points\].
    pub fn vent_wide(&self, i: usize) -> f32 {
        let bore = 2.0 * self.plans[i].vent.max(1.5);
        self.views[i].len(bore + 3.4).max(5.0)
    }

    /// The burner of a window: where its flame stands.
    pub fn port(&self, i: usize) -> Pos2 {
        self.burners.get(i).map_or(self.rect.center(), |w| {
            pos2(
                w.center().x,
                w.bottom() - 0.16 * w.height() - self.under + 14.0,
            )
        })
    }
}

/// Room for containers, side by side on the ground.
fn stand(rect: Rect, supply: f32, ground: f32, count: usize) -> Vec<Rect> {
    let count = count.max(1);
    let each = supply / count as f32;
    (0..count)
        .map(|i| {
            let left = rect.left() + 2.0 + each * i as f32;
            Rect::from_min_max(
                pos2(left, rect.top() + 10.0),
                pos2(left + each - 4.0, ground),
            )
        })
        .collect()
}

/// The burners' windows in rows, their pipes, and the header before them.
fn windows(
    rect: Rect,
    fire: f32,
    ground: f32,
    count: usize,
    under: f32,
) -> (Vec<Rect>, Vec<f32>, f32) {
    let room = Rect::from_min_max(
        pos2(rect.right() - fire, rect.top() + 4.0),
        pos2(rect.right() - 2.0, ground),
    );
    let header_x = room.left() + 2.0;
    let room = room.with_min_x(room.left() + 13.0);
    let count = count.max(1);
    let shape = |columns: usize| {
        let rows = count.div_ceil(columns);
        let size = vec2(room.width() / columns as f32, room.height() / rows as f32);
        // The larger the smaller side of the window is, the better.
        (size.x / WINDOW).min(size.y - under)
    };
    // Names need a column to stand in.
    let most = within((room.width() / COLUMN) as usize, 1, count);
    let best = (1..=most).map(shape).fold(0.0, f32::max);
    let fits = most < 3 && room.width() / (most + 1) as f32 >= LEAST_COLUMN;
    let most = if best < LEAST_FIRE && fits {
        (most + 1).min(count)
    } else {
        most
    };
    let columns = (1..=most)
        .max_by(|a, b| shape(*a).total_cmp(&shape(*b)))
        .unwrap_or(1);
    let rows = count.div_ceil(columns);
    let size = vec2(
        room.width() / columns as f32,
        (room.height() / rows as f32).min(room.width() / columns as f32 / 0.72),
    );
    let top = room.bottom() - size.y * rows as f32;
    let out = (0..count)
        .map(|i| {
            let at = vec2((i % columns) as f32 * size.x, (i / columns) as f32 * size.y);
            Rect::from_min_size(pos2(room.left(), top) + at, size).shrink2(vec2(3.0, 2.0))
        })
        .collect();
    let pipes = (0..rows)
        .map(|k| top + (k + 1) as f32 * size.y - under + 10.0)
        .collect();
    (out, pipes, header_x)
}
