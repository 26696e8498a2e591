//! How large everything is drawn: the text size a person chose, and a growth with windows larger than a usual screen, so
//! that nothing is tiny on one of four thousand points a row.

use egui::{Context, Vec2};

/// Text sizes that are believed.
pub const RANGE: [f32; 2] = [0.7, 2.0];
/// A window larger than this grows what it shows \[points\].
const USUAL: Vec2 = Vec2::new(1920.0, 1080.0);
/// Most that a window grows what it shows.
const MOST: f32 = 2.0;
/// Steps of growth, so that letters are not drawn anew for every point of a window that is pulled larger.
const STEP: f32 = 0.25;

/// The size that is wanted and the one that was set.
#[derive(Debug, Clone, Copy)]
pub struct TypeSize {
    /// Chosen text size, 1 is the usual one.
    pub text: f32,
    /// What the window was set to last, chosen size and growth.
    set: Option<[f32; 2]>,
}

impl Default for TypeSize {
    fn default() -> Self {
        Self {
            text: 1.0,
            set: None,
        }
    }
}

impl TypeSize {
    /// Sets the window to what is wanted; a size that keys of the toolkit have set counts as chosen.
    pub fn follow(&mut self, ctx: &Context) {
        let now = ctx.zoom_factor();
        if let Some([text, growth]) = self.set
            && (now - text * growth).abs() > 1e-3
        {
            self.text = now / growth;
        }
        self.text = self.text.clamp(RANGE[0], RANGE[1]);
        let growth = growth(ctx.content_rect().size() * now);
        self.set = Some([self.text, growth]);
        if (now - self.text * growth).abs() > 1e-3 {
            ctx.set_zoom_factor(self.text * growth);
        }
    }

    /// Forgets what was set: somebody else sets sizes for a while.
    pub fn rest(&mut self) {
        self.set = None;
    }
}

/// What a window of this size makes of everything in it.
fn growth(window: Vec2) -> f32 {
    let times = (window.x / USUAL.x).min(window.y / USUAL.y);
    ((times / STEP).floor() * STEP).clamp(1.0, MOST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_large_window_grows_what_it_shows_and_a_usual_one_does_not() {
        for (window, times) in [
            ([1000.0, 680.0], 1.0),
            ([1920.0, 1080.0], 1.0),
            ([2560.0, 1440.0], 1.25),
            ([3840.0, 2160.0], 2.0),
            ([3840.0, 1080.0], 1.0),
            ([9000.0, 9000.0], 2.0),
        ] {
            assert_eq!(growth(window.into()), times, "{window:?}");
        }
    }
}
