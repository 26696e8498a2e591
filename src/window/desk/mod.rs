//! The desk: what every panel is handed to read and where it puts its wishes, how things are shown, and the pages by name.
//! Knows no panel.

pub(super) mod browse;
pub(super) mod keys;
pub(super) mod work;

use crate::service::Affairs;
use crate::sim::{Command, Snapshot};
use crate::window::desk::keys::Wish;
use crate::window::look::show::Units;
pub use crate::window::look::spots::Side;
use crate::window::look::theme::Theme;
use crate::window::look::type_size::TypeSize;

/// How things are shown.
#[derive(Debug, Clone, Copy, Default)]
pub struct Look {
    /// Units on show.
    pub units: Units,
    /// Whether the help sheet is open.
    pub help: bool,
    /// Whether gas dashes and flames hold still.
    pub still: bool,
    /// Page at the right.
    pub page: Page,
    /// Whether the form to build a rig takes the window.
    pub building: bool,
    /// What stands in the one column of a narrow window, or at its one side.
    pub side: Side,
    /// How large everything is drawn.
    pub size: TypeSize,
    /// What a menu asked for, to be done with the next frame's keys.
    pub wish: Option<Wish>,
    /// Whether the keyboard goes to the next area (true) or to the one before when this frame is laid out.
    pub to_area: Option<bool>,
}

/// A page of the right-hand side.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Page {
    /// What can go wrong.
    #[default]
    Faults,
    /// Instruments, tests and hands.
    Bench,
    /// From readings to causes.
    Causes,
    /// What the regulator can do.
    Curves,
    /// Every reading.
    Numbers,
    /// Hidden faults to find.
    Drills,
    /// Predict, watch, compare.
    Lessons,
}

impl Page {
    /// All pages with their names, in order.
    pub const ALL: [(Self, &'static str); 7] = [
        (Self::Faults, "Faults"),
        (Self::Bench, "Bench"),
        (Self::Causes, "Causes"),
        (Self::Curves, "Curves"),
        (Self::Numbers, "Numbers"),
        (Self::Drills, "Drills"),
        (Self::Lessons, "Lessons"),
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        let own = Self::ALL.into_iter().find(|(page, _)| *page == self);
        own.map_or("", |(_, name)| name)
    }
}

/// What a panel reads and where it puts its wishes.
pub struct Desk<'a> {
    /// The rig as it stands.
    pub snap: &'a Snapshot,
    /// Commands for the session, in order.
    pub send: &'a mut Vec<Command>,
    /// Units on show.
    pub units: Units,
    /// Colours.
    pub theme: &'a Theme,
    /// What the rig is doing and what is not right.
    pub affairs: &'a Affairs,
}

impl Desk<'_> {
    /// Whether the healthy twin has anything to show that the rig does not.
    pub fn twin_differs(&self) -> bool {
        twin_differs(self.snap)
    }
}

/// Whether rig and healthy twin can be told apart.
pub fn twin_differs(snap: &Snapshot) -> bool {
    let apart_pa = |a: f64, b: f64, most: f64| (a - b).abs() > most;
    let (r, t) = (&snap.readings, &snap.twin);
    !snap.faults.is_empty()
        || apart_pa(r.outlet_pa, t.outlet_pa, 15.0)
        || apart_pa(r.first.chamber_pa, t.first.chamber_pa, 500.0)
}
