//! The window's panels driven without a display: what every test of the window shares.

use std::time::{Duration, Instant};

use egui::Vec2;
use egui_kittest::Harness;
use twostage::window::App;

/// A harness that starts the application with its first frame.
pub fn harness(
    size: Vec2,
    mut start: impl FnMut(&egui::Context) -> App + 'static,
) -> Harness<'static, Option<App>> {
    let mut harness = Harness::builder()
        .with_size(size)
        .with_theme(egui::Theme::Light)
        .with_step_dt(1.0 / 60.0)
        .build_ui_state(
            move |ui: &mut egui::Ui, state: &mut Option<App>| {
                if let Some(app) = state {
                    app.ui_all(ui);
                } else {
                    *state = Some(start(ui.ctx()));
                    // Fonts set now are there from the next frame on.
                    ui.ctx().request_repaint();
                }
            },
            None,
        );
    harness.run_steps(3);
    harness
}

/// The application of a harness.
pub fn app<'a>(harness: &'a mut Harness<'static, Option<App>>) -> &'a mut App {
    harness.state_mut().as_mut().expect("the app is up")
}

/// Longest wait for a thread at work: only what hangs meets it, also on a machine with much beside.
pub const PATIENCE: Duration = Duration::from_secs(300);

/// Steps until a thread at work has done what is waited for.
pub fn wait(
    harness: &mut Harness<'static, Option<App>>,
    what: &str,
    mut done: impl FnMut(&mut App) -> bool,
) {
    let begun = Instant::now();
    while !done(app(harness)) {
        assert!(begun.elapsed() < PATIENCE, "waited in vain until {what}");
        std::thread::sleep(Duration::from_millis(5));
        harness.run_steps(1);
    }
    harness.run_steps(2);
}
