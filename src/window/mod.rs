//! The desktop window: looks and the desk below, one folder a page, the application on top. It reads snapshots and sends
//! commands; no physics here, and no law of a file.

pub mod app;
pub mod bench;
mod causes;
mod charts;
mod class;
mod curves;
mod cutaway;
mod desk;
pub mod drills;
mod faults;
mod files;
pub mod lessons;
pub mod look;
pub mod outside;
mod panels;
#[cfg(test)]
mod pictures;
mod platform;
mod present;
mod rig;
mod time;
mod told;
pub mod tour;

use std::panic::AssertUnwindSafe;
use std::path::PathBuf;

use app::camera::Camera;
use app::settings;

pub use app::App;
pub use app::camera::{Shot, Tray};
pub use desk::{Page, Side};
pub use platform::Since;

use crate::scenario::Scenario;

/// Smallest size the panels are made for \[points\].
const SMALLEST: [f32; 2] = [1000.0, 680.0];
/// Size of the first window \[points\]: with its frame it fits a screen of 1440 by 900.
const COMFORTABLE: [f32; 2] = [1400.0, 820.0];

/// Why there is no window.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// The system offers no display, or lacks a library.
    #[error(
        "the window cannot be opened: {0}. On a machine without a display use `twostage run FILE`"
    )]
    NoDisplay(String),
    /// A library that the window system needs is missing.
    #[error("the window cannot be opened: {0} is missing. Install it, or use `twostage run FILE`")]
    MissingLibrary(String),
    /// The scenario cannot be brought to rest.
    #[error("the scenario cannot start: {0}")]
    Scenario(String),
    /// The window was closed before its picture was taken, or it could not be made.
    #[error("no picture was taken: {0}")]
    NoPicture(String),
}

/// What the window is started with.
pub struct Start {
    /// Scenario that runs.
    pub scenario: Scenario,
    /// File it came from, if any.
    pub file: Option<PathBuf>,
    /// A picture to take.
    pub shot: Option<Shot>,
}

/// Opens the window and returns when it is closed: with the PNG of the picture that was asked for.
///
/// # Errors
/// When there is no display, a library of the window system is missing, the scenario cannot
/// be brought to rest, or no picture was taken.
pub fn run(start: Start) -> Result<Option<Vec<u8>>, WindowError> {
    quiet_about_libraries();
    let tray = start.shot.as_ref().map(|shot| shot.tray.clone());
    // The keyboard library is loaded late and panics where it is missing.
    match std::panic::catch_unwind(AssertUnwindSafe(|| run_toolkit(start))) {
        Ok(result) => result.and_then(|()| picture_in(tray)),
        Err(payload) => match library_of(payload.as_ref()) {
            Some(library) => Err(WindowError::MissingLibrary(library)),
            None => std::panic::resume_unwind(payload),
        },
    }
}

fn picture_in(tray: Option<Tray>) -> Result<Option<Vec<u8>>, WindowError> {
    let Some(tray) = tray else {
        return Ok(None);
    };
    let closed = || Err("the window was closed before".to_owned());
    let taken = tray.take().unwrap_or_else(closed);
    taken.map(Some).map_err(WindowError::NoPicture)
}

fn run_toolkit(start: Start) -> Result<(), WindowError> {
    // A picture is taken of a window as it is made, not as somebody has left it.
    let place = settings::usual_place().filter(|_| start.shot.is_none());
    let kept = place.map(|path| (settings::Settings::read(&path), path));
    let size = match (&start.shot, &kept) {
        (Some(shot), _) => shot.size,
        (None, Some((settings, _))) => settings.size,
        (None, None) => None,
    };
    let size = size.unwrap_or(COMFORTABLE);
    if no_display() {
        let why = "neither DISPLAY nor WAYLAND_DISPLAY is set, so there is no screen";
        return Err(WindowError::NoDisplay(why.to_owned()));
    }
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
        Box::new(move |cc| Ok(Box::new(Windowed::new(&cc.egui_ctx, start, kept)?))),
    )
    .map_err(|e| match e {
        eframe::Error::AppCreation(cause) => WindowError::Scenario(cause.to_string()),
        other => WindowError::NoDisplay(no_screen(&other)),
    })
}

/// What kept a screen from being used, in our own words: the toolkit's name its parts and not what to do.
fn no_screen(error: &eframe::Error) -> String {
    let why = match error {
        eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_) => "the screen does not answer",
        _ => "the screen offers no OpenGL 2.1 or better",
    };
    let value = |name| std::env::var(name).unwrap_or_default();
    let names = ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"];
    screens(&names.map(|name| (name, value(name))), why)
}

/// Whether the system says by its variables that it has no screen.
fn no_display() -> bool {
    let unset = |name| std::env::var_os(name).is_none_or(|v: std::ffi::OsString| v.is_empty());
    cfg!(all(unix, not(target_os = "macos")))
        && ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"]
            .into_iter()
            .all(unset)
}

/// A missing library is told once, by the error; its panic need not be printed too.
fn quiet_about_libraries() {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        if library_of(info.payload()).is_none() {
            usual(info);
        }
    }));
}

/// The screens that the system's variables name, as it is told of one that cannot be used.
fn screens(named: &[(&str, String)], why: &str) -> String {
    let named: Vec<String> = named
        .iter()
        .filter(|(_, screen)| !screen.is_empty())
        .map(|(name, screen)| format!("{name} is `{}`", crate::units::plain(screen)))
        .collect();
    if named.is_empty() {
        why.to_owned()
    } else {
        format!("{why} ({})", named.join(", "))
    }
}

/// The library a panic complains about, if it is one of the keyboard's.
fn library_of(payload: &(dyn std::any::Any + Send)) -> Option<String> {
    let text = payload
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| payload.downcast_ref::<&str>().copied())?;
    text.split_whitespace()
        .find(|word| word.contains("libxkbcommon"))
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()).to_owned())
}

/// The application with its picture-taker.
struct Windowed {
    app: App,
    camera: Option<Camera>,
    keeper: Option<settings::Keeper>,
}

impl Windowed {
    fn new(
        ctx: &egui::Context,
        start: Start,
        kept: Option<(settings::Settings, PathBuf)>,
    ) -> Result<Self, String> {
        let mut app = App::new(ctx, start.scenario)?;
        if let Some(file) = &start.file {
            app.remember_file(file);
        }
        let keeper =
            kept.map(|(settings, path)| settings::Keeper::begin(path, settings, &mut app, ctx));
        let camera = start.shot.map(|shot| Camera::new(shot, ctx, &mut app));
        Ok(Self {
            app,
            camera,
            keeper,
        })
    }
}

impl eframe::App for Windowed {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.app.ui_all(ui);
        if let Some(keeper) = &mut self.keeper {
            keeper.after_frame(&self.app, ui.ctx());
        }
        if let Some(camera) = &mut self.camera {
            camera.after_frame(ui.ctx(), &mut self.app);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_screen_that_is_not_there_is_told_by_what_names_it() {
        let named = [
            ("DISPLAY", ":77".to_owned()),
            ("WAYLAND_DISPLAY", String::new()),
        ];
        assert_eq!(
            screens(&named, "the screen does not answer"),
            "the screen does not answer (DISPLAY is `:77`)"
        );
        assert_eq!(screens(&[], "no"), "no");
    }

    #[test]
    fn a_missing_keyboard_library_is_told_by_name() {
        let payload: Box<dyn std::any::Any + Send> =
            Box::new("Library libxkbcommon-x11.so could not be loaded.".to_owned());
        assert_eq!(
            library_of(payload.as_ref()).as_deref(),
            Some("libxkbcommon-x11.so")
        );
        let other: Box<dyn std::any::Any + Send> = Box::new("index out of bounds");
        assert!(library_of(other.as_ref()).is_none());
    }
}
