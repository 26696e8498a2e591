//! Spots of the window by name, where they lie in this frame, and the ring that points at one. A panel marks its spots as
//! it draws them; whoever guides a person asks for one.

use egui::{Color32, Id, LayerId, Order, Rect, Stroke, StrokeKind, Ui};

use crate::window::look::theme::Theme;

/// A place of the window that can be pointed at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// The row of a burner.
    Burner(usize),
    /// The chart of the outlet.
    OutletChart,
    /// The ruler under the charts.
    Ruler,
    /// The button of the cycle.
    Cycle,
    /// The button of the places in time.
    GoTo,
    /// The button that goes on from the past.
    GoOn,
    /// The tab of the faults.
    FaultsTab,
    /// A fault in the list, by its id.
    Fault(&'static str),
    /// The slider of a fault's severity, while it is not at its end.
    Severity(&'static str),
    /// The button that puts a fault in.
    PutIn(&'static str),
    /// The way from the page of a fault back to all of them.
    AllFaults,
    /// The tab of a part of a narrow window.
    SideTab(Side),
    /// The tabs of lessons and drills.
    LessonsTab,
    /// The instrument at the outlet, from outside.
    OutletInstrument,
}

type Marked = Vec<(Spot, Rect)>;

fn id() -> Id {
    Id::unique("spots of the frame")
}

/// Forgets the spots of the last frame.
pub fn begin(ctx: &egui::Context) {
    ctx.data_mut(|d| d.get_temp_mut_or_default::<Marked>(id()).clear());
}

/// Says where a spot lies, if it is in view.
pub fn mark(ui: &Ui, spot: Spot, rect: Rect) {
    if ui.clip_rect().contains(rect.center()) {
        ui.data_mut(|d| {
            d.get_temp_mut_or_default::<Marked>(id()).push((spot, rect));
        });
    }
}

/// What a narrow window shows of what a wide one has side by side.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Side {
    /// What stands in the middle of a wide window.
    #[default]
    Middle,
    /// The charts, where they do not fit under the picture.
    Charts,
    /// Supply and burners.
    Supply,
    /// The page.
    Page,
}

impl Spot {
    /// Under which tabs of a narrow window it may lie; the first that there is.
    fn sides(self) -> &'static [Side] {
        match self {
            Self::Burner(_) => &[Side::Supply],
            Self::OutletChart | Self::Ruler => &[Side::Charts, Side::Middle],
            Self::Cycle | Self::GoTo | Self::GoOn | Self::OutletInstrument => &[Side::Middle],
            Self::FaultsTab
            | Self::Fault(_)
            | Self::Severity(_)
            | Self::PutIn(_)
            | Self::AllFaults
            | Self::SideTab(_)
            | Self::LessonsTab => &[],
        }
    }
}

/// The tab under which the first of some spots lies that are not in view; none where one of them is.
pub fn lies_under(ctx: &egui::Context, wanted: &[Spot]) -> Option<Side> {
    let marked: Marked = ctx.data(|d| d.get_temp(id())).unwrap_or_default();
    let is_there = |spot: Spot| marked.iter().any(|m| m.0 == spot);
    if wanted.iter().any(|spot| is_there(*spot)) {
        return None;
    }
    let sides = wanted.first()?.sides().iter().copied();
    sides.into_iter().find(|s| is_there(Spot::SideTab(*s)))
}

/// Points at the first of some spots that is in view.
pub fn point_at(ctx: &egui::Context, wanted: &[Spot], t: &Theme) {
    let marked: Marked = ctx.data(|d| d.get_temp(id())).unwrap_or_default();
    let place = |spot: &Spot| marked.iter().find(|m| m.0 == *spot).map(|m| m.1);
    let Some(rect) = wanted.iter().find_map(place) else {
        return;
    };
    let painter = ctx.layer_painter(LayerId::new(Order::Foreground, Id::unique("spot ring")));
    let ring = |by: f32, width: f32, ink: Color32| {
        let rect = rect.expand(by).intersect(ctx.content_rect().shrink(2.0));
        painter.rect_stroke(rect, 4.0, Stroke::new(width, ink), StrokeKind::Middle);
    };
    // Close around it: buttons stand six points apart.
    ring(2.0, 5.0, t.ink);
    ring(2.0, 3.0, t.brass);
}
