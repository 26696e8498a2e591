//! Where a changeover lies beside the first stage. Draws nothing.

use egui::{Pos2, Rect, pos2};

use super::geometry::{PIPE, Plan, View, WALL};

/// Depth that it takes under the first body \[mm\].
pub const UNDER: f32 = 12.5;
/// Least width of the run before the first body where there is one \[points\].
pub const RUN: f32 = 158.0;
/// Width of its block, and the way from there to the first body \[mm\].
pub(super) const BLOCK: f32 = 13.0;
pub(super) const AFTER: f32 = 5.0;
/// Height of the block over the pipe: the indicator's window \[mm\].
pub(super) const CROWN: f32 = 8.5;
/// Half of its ways, and of the room round its seat \[mm\].
pub(super) const WAY: f32 = 2.6;
pub(super) const ROOM: f32 = 4.6;

/// Where its parts lie.
pub struct Lie {
    /// The block.
    pub block: Rect,
    /// The room of the reserve seat.
    pub seat: Rect,
    /// The pipe of each container before the block.
    pub stubs: [Rect; 2],
    /// Where both ways leave the block: to the first stage, to the reserve seat.
    pub outs: [Pos2; 2],
    /// Where the reserve's pipe meets the passage.
    pub riser: Pos2,
}

/// Height of the reserve's pipe \[mm\].
pub fn level(plan: &Plan) -> f32 {
    plan.floor - WALL - 1.6 - ROOM
}

/// Lays it out beside the first stage; the pipes come from the left edge of the picture.
pub fn lie(p: &Plan, v: &View, from: f32) -> Lie {
    let right = -p.clamp - WALL - AFTER;
    let left = right - BLOCK;
    let low = level(p);
    let block = v.rect(pos2(left, low - WAY - 2.4), pos2(right, PIPE + CROWN));
    let stub = |y: f32| {
        Rect::from_min_max(
            pos2(from, v.xy(0.0, y + WAY).y),
            pos2(block.left(), v.xy(0.0, y - WAY).y),
        )
    };
    Lie {
        block,
        seat: v.rect(
            pos2(-0.30 * p.clamp, low - ROOM),
            pos2(0.62 * p.clamp, low + ROOM),
        ),
        stubs: [stub(0.0), stub(low)],
        outs: [v.xy(right, 0.0), v.xy(right, low)],
        riser: v.xy(p.clamp + WALL + 5.5, -PIPE),
    }
}
