//! What the window has of the machine under it: a clock, threads, its own small files and the system's dialogs. The only
//! file of the window that names them: on another screen this one is written anew, and nothing else. What a drill, a class
//! or a scenario keeps in files is the business of their rooms.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use crate::form::store::os_words;

/// A moment on the clock of the machine.
#[derive(Debug, Clone, Copy)]
pub struct Since(Instant);

impl Since {
    /// This one.
    pub fn now() -> Self {
        Self(Instant::now())
    }

    /// How long ago it was.
    pub fn elapsed(self) -> Duration {
        self.0.elapsed()
    }
}

impl From<Instant> for Since {
    fn from(at: Instant) -> Self {
        Self(at)
    }
}

/// Begins work beside the window.
///
/// # Errors
/// That the system gives no thread.
pub(super) fn beside(work: impl FnOnce() + Send + 'static) -> Result<(), String> {
    let thread = std::thread::Builder::new().name("twostage-page".to_owned());
    match thread.spawn(work) {
        Ok(_) => Ok(()),
        Err(e) => Err(format!("no thread for this work: {}", os_words(&e))),
    }
}

/// Lets others work for a while; never on the thread that draws.
pub(super) fn wait(a_while: Duration) {
    std::thread::sleep(a_while);
}

/// What a dialog asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sought {
    /// A folder.
    Folder,
    /// A drill file that is there.
    Drill,
    /// A place for a drill file.
    NewDrill,
    /// A scenario that is there.
    Scenario,
    /// A place for a scenario.
    NewScenario,
}

/// Opens the system's dialog beside the window; what was picked is told once, and then `wake` is called. Where nothing can
/// be told any more there was none.
pub(super) fn ask(sought: Sought, wake: impl Fn() + Send + 'static) -> Receiver<Option<PathBuf>> {
    let (tell, picked) = channel();
    // Without a thread the way to tell is dropped, which reads as no dialog.
    let _ = beside(move || {
        let dialog = rfd::FileDialog::new();
        let path = match sought {
            Sought::Folder => dialog.pick_folder(),
            Sought::Drill => dialog.add_filter("drill", &["toml"]).pick_file(),
            Sought::NewDrill => dialog
                .add_filter("drill", &["toml"])
                .set_file_name("my-drill.toml")
                .save_file(),
            Sought::Scenario => dialog.add_filter("scenario", &["toml"]).pick_file(),
            Sought::NewScenario => dialog
                .add_filter("scenario", &["toml"])
                .set_file_name("scenario.toml")
                .save_file(),
        };
        // The window may be gone by now; then nobody needs the answer.
        let _ = tell.send(path);
        wake();
    });
    picked
}

/// Whether there is such a file or folder.
pub(super) fn is_there(path: &Path) -> bool {
    path.exists()
}

/// The text of a file; none where it cannot be read.
pub(super) fn text_of(path: &Path) -> Option<String> {
    std::fs::read_to_string(path).ok()
}

/// Makes a folder with those above it.
///
/// # Errors
/// What the system says, in words.
pub(super) fn make_folder(path: &Path) -> Result<(), String> {
    std::fs::create_dir_all(path)
        .map_err(|e| format!("{} cannot be made: {}", path.display(), os_words(&e)))
}

/// Copies a file.
///
/// # Errors
/// What the system says, in words.
pub(super) fn copy(from: &Path, to: &Path) -> Result<(), String> {
    let copied = std::fs::copy(from, to).map(|_| ());
    copied.map_err(|e| format!("{} cannot be copied: {}", from.display(), os_words(&e)))
}

/// A place for a file that nobody keeps; what an earlier run of this program left there is taken away.
pub(super) fn scratch(ending: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("twostage-{}.{ending}", std::process::id()));
    // Mostly nothing is there.
    let _ = std::fs::remove_file(&path);
    path
}

/// The whole path of a file, to find it by.
pub(super) fn full(path: &Path) -> String {
    std::fs::canonicalize(path)
        .unwrap_or_else(|_| path.to_owned())
        .display()
        .to_string()
}

/// A picture as PNG.
///
/// # Errors
/// Why there is none.
pub(super) fn png(image: &egui::ColorImage) -> Result<Vec<u8>, String> {
    let [w, h] = image.size.map(|side| side as u32);
    let pixels = image.pixels.iter().flat_map(egui::Color32::to_array);
    let raw: Vec<u8> = pixels.collect();
    let mut out = std::io::Cursor::new(Vec::new());
    let (color, format) = (image::ColorType::Rgba8, image::ImageFormat::Png);
    image::write_buffer_with_format(&mut out, &raw, w, h, color, format)
        .map_err(|e| e.to_string())?;
    Ok(out.into_inner())
}
