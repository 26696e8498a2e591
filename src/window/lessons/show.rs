//! What a lesson points at in the window's own words: a part for a place, a picture, and the note over what is covered.
//! Knows nothing of the lesson that is open.

use egui::{RichText, Ui};

use crate::drill::lesson::{Place, View};
use crate::service::Which;
use crate::window::look::theme::{Theme, plain};
use crate::window::told::part::{Part, Piece};

/// What stands in the place of what is covered.
const COVERED: &str = "Covered until you have predicted: it would tell the answer";

/// What the window is asked to show, once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Show {
    /// The picture a lesson is looked at in.
    View(View),
    /// A part.
    Part(Part),
    /// No part any more.
    NoPart,
    /// The picture that was there before the lesson.
    AsBefore,
}

/// The part of the pictures that a lesson points at.
pub(super) fn part_of(place: Place) -> Part {
    let second = |piece| Part::Of(Which::Second, piece);
    match place {
        Place::Container => Part::Container,
        Place::Valve => Part::Valve,
        Place::Inlet => Part::Pigtail,
        Place::FirstChamber => Part::Of(Which::First, Piece::Chamber),
        Place::FirstSeat => Part::Of(Which::First, Piece::Disc),
        Place::Passage => Part::Between,
        Place::SecondBonnet => second(Piece::Bonnet),
        Place::SecondVent => second(Piece::Vent),
        Place::SecondSpring => second(Piece::Spring),
        Place::SecondDiaphragm => second(Piece::Diaphragm),
        Place::SecondLever => second(Piece::Lever),
        Place::SecondOrifice => second(Piece::Nozzle),
        Place::SecondSeat => second(Piece::Disc),
        Place::Outlet => Part::Outlet,
    }
}

/// The note in the place of what is covered.
pub fn covered_ui(ui: &mut Ui, t: &Theme) {
    ui.label(RichText::new(COVERED).font(plain(14.0)).color(t.soft));
}
