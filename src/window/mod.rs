//! The desktop window: one file a panel. It reads snapshots and sends commands; no physics here,
//! and no file format.

pub mod app;
mod burners;
mod charts;
mod cutaway;
mod faults;
mod files;
mod hands;
mod help;
mod keys;
mod numbers;
pub mod show;
mod site;
mod supply;
pub mod theme;
mod time_bar;
mod top;

use std::path::PathBuf;

pub use app::App;
pub use files::Doors;

use crate::scenario::Scenario;

/// Smallest size the panels are made for \[points\].
const SMALLEST: [f32; 2] = [1000.0, 680.0];
/// Size of the first window \[points\].
const COMFORTABLE: [f32; 2] = [1400.0, 900.0];
/// Frames after which sizes and fonts have settled for a picture.
const SETTLED_FRAMES: u32 = 6;

/// Why there is no window.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// The system offers no display, or lacks a library.
    #[error("the window cannot be opened: {0}. On a machine without a display use `twostage run FILE`")]
    NoDisplay(String),
    /// A library that the window system needs is missing.
    #[error("the window cannot be opened: {0} is missing. Install it, or use `twostage run FILE`")]
    MissingLibrary(String),
    /// The scenario cannot be brought to rest.
    #[error("the scenario cannot start: {0}")]
    Scenario(String),
}

/// A picture to take by itself, for the papers.
#[derive(Debug, Clone, Default)]
pub struct Shot {
    /// Where it goes.
    pub path: PathBuf,
    /// Simulated time at which it is taken \[s\].
    pub at_s: f64,
    /// Stage whose force balance is open.
    pub balance: Option<usize>,
    /// Dark appearance.
    pub dark: bool,
    /// Size of the window \[points\].
    pub size: Option<[f32; 2]>,
}

/// What the window is started with.
pub struct Start {
    /// Scenario that runs.
    pub scenario: Scenario,
    /// How files are read and written.
    pub doors: Doors,
    /// Something to tell about the file that was asked for.
    pub notice: Option<String>,
    /// A picture to take.
    pub shot: Option<Shot>,
}

/// Opens the window and returns when it is closed.
///
/// # Errors
/// When there is no display or a library of the window system is missing.
pub fn run(start: Start) -> Result<(), WindowError> {
    let size = start.shot.as_ref().and_then(|s| s.size).unwrap_or(COMFORTABLE);
    let options = eframe::NativeOptions {
        renderer: eframe::Renderer::Glow,
        viewport: egui::ViewportBuilder::default()
            .with_title("twostage")
            .with_inner_size(size)
            .with_min_inner_size(SMALLEST),
        ..Default::default()
    };
    eframe::run_native(
        "twostage",
        options,
        Box::new(move |cc| Ok(Box::new(Windowed::new(&cc.egui_ctx, start)?))),
    )
    .map_err(|e| match e {
        eframe::Error::AppCreation(cause) => WindowError::Scenario(cause.to_string()),
        other => WindowError::NoDisplay(other.to_string()),
    })
}

/// The application with its picture-taker.
struct Windowed {
    app: App,
    shot: Option<Shot>,
    frames: u32,
}

impl Windowed {
    fn new(ctx: &egui::Context, start: Start) -> Result<Self, String> {
        let mut app = App::new(ctx, start.scenario, start.doors)?;
        if let Some(notice) = start.notice {
            app.tell(&notice);
        }
        if let Some(shot) = &start.shot {
            ctx.set_theme(if shot.dark { egui::Theme::Dark } else { egui::Theme::Light });
            if let Some(stage) = shot.balance {
                app.open_balance(stage);
            }
        }
        Ok(Self {
            app,
            shot: start.shot,
            frames: 0,
        })
    }

    fn take_shot(&mut self, ctx: &egui::Context) {
        let ready = self.frames > SETTLED_FRAMES
            && self
                .shot
                .as_ref()
                .is_some_and(|s| self.app.snapshot().readings.time_s >= s.at_s);
        self.frames += 1;
        if !ready {
            if self.shot.is_some() {
                ctx.request_repaint();
            }
            return;
        }
        let Some(shot) = self.shot.take() else { return };
        let close = ctx.clone();
        ctx.request_screenshot(move |image| {
            let [w, h] = image.size;
            let raw: Vec<u8> = image.pixels.iter().flat_map(|c| c.to_array()).collect();
            let saved = image::save_buffer(&shot.path, &raw, w as u32, h as u32, image::ColorType::Rgba8);
            if let Err(error) = saved {
                eprintln!("the picture could not be written to {}: {error}", shot.path.display());
            }
            close.send_viewport_cmd(egui::ViewportCommand::Close);
            close.request_repaint();
        });
    }
}

impl eframe::App for Windowed {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.app.ui_all(ui);
        self.take_shot(&ui.ctx().clone());
    }
}
