//! What is kept between starts: appearance, units, text size, size of the window, own drills. One small file among the
//! user's data; one that cannot be read counts as none, and the next change writes it anew.

use std::path::{Path, PathBuf};

use egui::Context;
use serde::{Deserialize, Serialize};

use crate::form::store::{user_data, write_file};
use crate::window::app::App;
use crate::window::look::show::Units;
use crate::window::look::type_size::RANGE as TEXT;
use crate::window::platform;

/// Most own drills that are remembered.
const MOST_DRILLS: usize = 50;
/// Sides of a window that are believed \[points\].
const SIDES: [f32; 2] = [400.0, 10_000.0];

/// What is kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Appearance, where one was chosen.
    dark: Option<bool>,
    /// Whether SI units are on show.
    si: bool,
    /// Text size, 1 is the usual one.
    text: f32,
    /// Whether dashes and flames hold still.
    still: bool,
    /// Whether the tour is known and need not be offered.
    tour_known: bool,
    /// Size of the window on the screen \[points\].
    pub size: Option<[f32; 2]>,
    /// Files of own drills, the first on the list first.
    drills: Vec<PathBuf>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            dark: None,
            si: false,
            text: 1.0,
            still: false,
            tour_known: false,
            size: None,
            drills: Vec::new(),
        }
    }
}

/// Where they are kept. `None` where the system names no place.
pub fn usual_place() -> Option<PathBuf> {
    Some(user_data()?.join("window.toml"))
}

impl Settings {
    /// Those of a file, or the usual ones; nothing of it is believed that no window can have.
    pub fn read(path: &Path) -> Self {
        let text = platform::text_of(path).unwrap_or_default();
        let mut read: Self = toml::from_str(&text).unwrap_or_default();
        if !read.text.is_finite() {
            read.text = 1.0;
        }
        read.text = read.text.clamp(TEXT[0], TEXT[1]);
        let fits = |side: &f32| (SIDES[0]..=SIDES[1]).contains(side);
        read.size = read.size.filter(|size| size.iter().all(fits));
        read.drills.truncate(MOST_DRILLS);
        read
    }

    /// Writes them; one who cannot have them kept works on without.
    pub fn write(&self, path: &Path) {
        if let Some(folder) = path.parent() {
            let _ = platform::make_folder(folder);
        }
        if let Ok(text) = toml::to_string(self) {
            let _ = write_file(path, text.as_bytes());
        }
    }

    /// Sets the window up as it was left.
    pub fn apply(&self, app: &mut App, ctx: &Context) {
        if let Some(dark) = self.dark {
            ctx.set_theme(if dark {
                egui::Theme::Dark
            } else {
                egui::Theme::Light
            });
        }
        app.look.units = if self.si { Units::Si } else { Units::Us };
        app.look.still = self.still;
        app.look.size.text = self.text;
        app.tour.known = self.tour_known;
        if !self.tour_known {
            app.tour.offer();
        }
        // Opening puts a drill at the head of the list. A file that is gone is no news at a start.
        for path in self
            .drills
            .iter()
            .rev()
            .filter(|path| platform::is_there(path))
        {
            app.drills.open(path);
        }
    }

    /// As the window stands now.
    pub fn of(app: &App, ctx: &Context, before: &Self) -> Self {
        // Not within the closure: the context is locked there.
        let zoom = ctx.zoom_factor();
        let size = ctx.input(|i| {
            let viewport = i.viewport();
            let is_own = viewport.maximized != Some(true) && viewport.fullscreen != Some(true);
            viewport
                .inner_rect
                .filter(|_| is_own)
                .map(|rect| [rect.width() * zoom, rect.height() * zoom])
        });
        let chosen = ctx.options(|o| o.theme_preference);
        Self {
            dark: match chosen {
                egui::ThemePreference::Dark => Some(true),
                egui::ThemePreference::Light => Some(false),
                egui::ThemePreference::System => None,
            },
            si: app.look.units == Units::Si,
            text: app.look.size.text,
            still: app.look.still,
            tour_known: app.tour.known,
            size: size.or(before.size),
            drills: app.drills.own_drills(),
        }
    }
}

/// Keeps the settings of a window that a person opened.
pub struct Keeper {
    path: PathBuf,
    settings: Settings,
}

impl Keeper {
    /// Begins with what was kept.
    pub fn begin(path: PathBuf, settings: Settings, app: &mut App, ctx: &Context) -> Self {
        settings.apply(app, ctx);
        Self { path, settings }
    }

    /// Looks after each frame whether something was changed. The size of the window is not worth a write of its own.
    pub fn after_frame(&mut self, app: &App, ctx: &Context) {
        let now = Settings::of(app, ctx, &self.settings);
        let same_but_size = Settings {
            size: self.settings.size,
            ..now.clone()
        };
        let is_worth_it = same_but_size != self.settings;
        self.settings = now;
        if is_worth_it {
            self.settings.write(&self.path);
        }
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        self.settings.write(&self.path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_read_as_written_and_nonsense_is_not_believed() {
        let folder = std::env::temp_dir().join(format!("twostage-settings-{}", std::process::id()));
        let path = folder.join("deep").join("window.toml");
        assert_eq!(Settings::read(&path), Settings::default());
        let kept = Settings {
            dark: Some(true),
            si: true,
            text: 1.3,
            size: Some([1300.0, 800.0]),
            drills: vec!["a/b.toml".into()],
            ..Settings::default()
        };
        kept.write(&path);
        assert_eq!(Settings::read(&path), kept);
        std::fs::write(&path, "text = 1e30\nsize = [3.0, nan]\nunknown = 4\n").expect("written");
        let read = Settings::read(&path);
        assert_eq!((read.text, read.size), (TEXT[1], None));
        std::fs::write(&path, "no settings at all").expect("written");
        assert_eq!(Settings::read(&path), Settings::default());
        std::fs::remove_dir_all(&folder).expect("removed");
    }
}
