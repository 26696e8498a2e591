//! The system's dialog for a folder or a file, also as a button. It blocks, so it runs on a thread of its own; what was
//! picked comes back with a later frame.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError};
use std::time::Duration;

use egui::{Button, Context, Role, Ui, WidgetInfo};

pub(in crate::window) use crate::window::platform::Sought;
use crate::window::platform::{Since, ask};

/// A dialog that answers nothing within this time was not there at all.
const NO_DIALOG: Duration = Duration::from_millis(150);

/// What is told where the system has no such dialog.
pub const NONE_HERE: &str = "This system offers no file dialog: type the path instead";

/// The button and its dialog.
#[derive(Default)]
pub struct Browse {
    open: Option<(Since, Receiver<Option<PathBuf>>)>,
    /// Whether the system had no dialog to offer.
    pub has_none: bool,
}

impl Browse {
    /// The button; what was picked, once it was. `what` is its spoken name.
    pub fn ui(&mut self, ui: &mut Ui, sought: Sought, what: &str) -> Option<PathBuf> {
        let idle = !self.is_open();
        let button = ui.add_enabled(idle, Button::new("Browse…"));
        button.widget_info(|| WidgetInfo::labeled(Role::Button, idle, format!("Browse: {what}")));
        if button.clicked() {
            self.ask(ui.ctx(), sought);
        }
        self.picked()
    }

    /// Opens the dialog.
    pub fn ask(&mut self, ctx: &Context, sought: Sought) {
        let wake = ctx.clone();
        self.open = Some((Since::now(), ask(sought, move || wake.request_repaint())));
    }

    /// Whether it lies open.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// What was picked, once it was.
    pub fn picked(&mut self) -> Option<PathBuf> {
        let (since, answer) = self.open.as_ref()?;
        let picked = match answer.try_recv() {
            Err(TryRecvError::Empty) => return None,
            Ok(picked) => picked,
            Err(TryRecvError::Disconnected) => None,
        };
        self.has_none = picked.is_none() && since.elapsed() < NO_DIALOG;
        self.open = None;
        picked
    }
}
