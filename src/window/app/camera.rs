//! Pictures the window takes of itself, for the papers: runs to a moment, holds time, waits until
//! all has settled, hands out a PNG and closes. Where it is written is for whoever asked.

use std::sync::{Arc, Mutex, PoisonError};

use crate::sim::Command;
use crate::window::app::App;
use crate::window::desk::Page;
use crate::window::platform::{Since, png};

/// Frames after which sizes and fonts have settled.
const SETTLED_FRAMES: u32 = 8;
/// The pace is such that the moment would be reached in this many seconds.
const WAIT_S: f64 = 1.0;

/// A PNG, or why there is none.
type Png = Result<Vec<u8>, String>;

/// Where a picture lies when it was taken.
#[derive(Debug, Clone, Default)]
pub struct Tray(Arc<Mutex<Option<Png>>>);

impl Tray {
    fn lay(&self, picture: Png) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(picture);
    }

    /// What lies in it; nothing where no picture was taken.
    pub fn take(&self) -> Option<Png> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}

/// What picture to take.
#[derive(Debug, Clone, Default)]
pub struct Shot {
    /// Where the picture lies then.
    pub tray: Tray,
    /// Simulated time at which it is taken \[s\].
    pub at_s: f64,
    /// Stretch of time in the charts \[s\]; by itself if none.
    pub span_s: Option<f64>,
    /// Stage (0 or 1) whose forces are shown.
    pub balance: Option<usize>,
    /// Page at the right.
    pub page: Page,
    /// What the page does before the picture: the name of a test, for one.
    pub begin: Option<String>,
    /// When the program began, to tell when the first frame was shown.
    pub begun: Option<Since>,
    /// From outside, 0, to inside, 1; inside if none.
    pub view: Option<f32>,
    /// SI units.
    pub si: bool,
    /// Dark appearance.
    pub dark: bool,
    /// Text size; the usual one if none.
    pub text: Option<f32>,
    /// Size of the window \[points\].
    pub size: Option<[f32; 2]>,
}

/// How far the picture has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// Time runs towards the moment.
    Running,
    /// The page is at work.
    Working,
    /// Time holds; frames until the picture.
    Settling(u32),
    /// Taken.
    Done,
}

/// Takes one picture.
pub struct Camera {
    shot: Shot,
    stage: Stage,
    frames: u32,
}

impl Camera {
    /// Sets the window up for the picture.
    pub fn new(shot: Shot, ctx: &egui::Context, app: &mut App) -> Self {
        ctx.set_theme(if shot.dark {
            egui::Theme::Dark
        } else {
            egui::Theme::Light
        });
        app.look.size.text = shot.text.unwrap_or(1.0);
        app.pose(&shot);
        Self {
            shot,
            stage: Stage::Running,
            frames: 0,
        }
    }

    /// Looks after each frame whether the moment has come.
    pub fn after_frame(&mut self, ctx: &egui::Context, app: &mut App) {
        self.frames += 1;
        // The second frame begins when the first has been handed to the screen.
        if let (2, Some(begun)) = (self.frames, self.shot.begun) {
            let ms = begun.elapsed().as_secs_f64() * 1e3;
            eprintln!("first frame shown {ms:.0} ms after the start");
        }
        match self.stage {
            Stage::Running => {
                let snap = app.snapshot();
                let left_s = self.shot.at_s - snap.readings.time_s;
                if left_s <= 0.0 || snap.trouble.is_some() {
                    app.send(Command::Rate(1.0));
                    app.send(Command::Pause);
                    self.stage = Stage::Working;
                    if let Some(what) = &self.shot.begin {
                        app.begin(what, ctx);
                    }
                } else {
                    // Slower towards the end, so that the moment is met and not passed.
                    app.send(Command::Rate((left_s / WAIT_S).max(1.0)));
                }
                ctx.request_repaint();
            }
            Stage::Working => {
                if !app.busy() {
                    self.stage = Stage::Settling(SETTLED_FRAMES);
                }
                ctx.request_repaint();
            }
            Stage::Settling(0) => {
                self.stage = Stage::Done;
                self.take(ctx);
            }
            Stage::Settling(n) => {
                self.stage = Stage::Settling(n - 1);
                ctx.request_repaint();
            }
            Stage::Done => {}
        }
    }

    fn take(&self, ctx: &egui::Context) {
        let tray = self.shot.tray.clone();
        let close = ctx.clone();
        ctx.request_screenshot(move |image| {
            tray.lay(png(&image));
            close.send_viewport_cmd(egui::ViewportCommand::Close);
            close.request_repaint();
        });
        ctx.request_repaint();
    }
}
