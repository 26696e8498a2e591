//! The time bar between cutaway and charts: clock, play and pause, one step, back, and the pace.

use egui::{Ui, vec2};

use crate::sim::Command;
use crate::window::charts::Charts;
use crate::window::desk::Desk;
use crate::window::look::show::{clock, pace};
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{BODY, main_button, plain, strong};
use crate::window::time::cycle::Cycle;
use crate::window::time::jumps;

/// Paces that the slider and the keys stop at: simulated seconds per second.
pub const PACES: [f64; 23] = [
    0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 120.0,
    300.0, 600.0, 1_800.0, 3_600.0, 7_200.0, 18_000.0, 36_000.0,
];
/// Seconds of viewing that one press of "back" takes away.
const BACK_VIEWED_S: f64 = 5.0;

/// Less room than this behind the buttons leaves out what can be had elsewhere \[points\].
const NARROW: f32 = 400.0;
/// A bar narrower than this has the steps to and fro in the menu of places, and one word for going on \[points\].
const SLIM: f32 = 470.0;

/// Narrowest and widest slider of the pace \[points\]; with less the keys and the menu do.
const SLIDER: (f32, f32) = (44.0, 150.0);

/// What its ends mean.
const SLOWER: &str = "slower";
/// See [`SLOWER`].
const FASTER: &str = "faster";

/// Seconds of viewing that one step shows.
const STEP_VIEWED_S: f64 = 0.02;

/// Draws the bar; whether the cycle is to begin or go on. `rested` of a cycle that has just ended, whose last button the next
/// click may still mean.
pub fn show(
    ui: &mut Ui,
    desk: &mut Desk<'_>,
    charts: &mut Charts,
    cycle: Option<&Cycle>,
    rested: bool,
) -> bool {
    let snap = desk.snap;
    let t = desk.theme.clone();
    let mut asked = false;
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let play = if snap.playing { "Pause" } else { "Play" };
        let button = main_button(&t, play).min_size(vec2(64.0, 28.0));
        if ui.add(button).on_hover_text("Space").clicked() {
            desk.send.push(play_command(snap.playing));
        }
        let slim = ui.max_rect().width() < SLIM;
        if !slim {
            steps_ui(ui, desk);
        }
        let places = ui.menu_button("Go to", |ui| {
            if slim {
                steps_ui(ui, desk);
                ui.separator();
            }
            jumps::menu_ui(ui, desk);
        });
        spots::mark(ui, Spot::GoTo, places.response.rect);
        let narrow = ui.available_width() < NARROW;
        if snap.looks_back() {
            past_ui(ui, desk, narrow, slim);
        } else {
            asked = cycle_ui(ui, desk, cycle, rested);
        }
        ui.add_space(8.0);
        ui.label(
            egui::RichText::new(clock(snap.readings.time_s, clock_decimals(snap.rate)))
                .font(strong(18.0))
                .color(t.ink),
        );
        let (words, roomy) = fitting_words(ui, desk, charts.follow);
        if !words.is_empty() {
            ui.label(egui::RichText::new(words).font(plain(12.5)).color(t.soft));
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if !charts.follow
                && ui
                    .button("Follow")
                    .on_hover_text("Charts follow the present again (L)")
                    .clicked()
            {
                charts.follow_live();
            }
            // Where the past takes the room the keys and the menu do for the pace.
            let room = ui.available_width() - 6.0;
            if !(narrow && snap.looks_back()) && room > SLIDER.0 {
                pace_ui(ui, desk, roomy, room);
            }
        });
    });
    asked
}

/// A little back, and a little on.
fn steps_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
    let back = ui.button("Back");
    let why = "Look back a little (Backspace); or drag on the time ruler";
    if back.on_hover_text(why).clicked() {
        desk.send.push(back_command(desk));
    }
    let step = ui.button("Step");
    if step.on_hover_text("One small step (key .)").clicked() {
        desk.send.push(step_command(desk.snap.rate));
    }
}

/// While the past is looked at: go on from there, or back to the end of the run.
fn past_ui(ui: &mut Ui, desk: &mut Desk<'_>, narrow: bool, slim: bool) {
    let why = "The run goes on from this moment (key G). What came after is kept as a branch, to compare with";
    let name = "Go on from here";
    let words = if slim { "Go on" } else { name };
    let go_on = ui.add(main_button(desk.theme, words));
    go_on.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name));
    let go_on = go_on.on_hover_text(why);
    spots::mark(ui, Spot::GoOn, go_on.rect);
    if go_on.clicked() {
        jumps::go_on_from_here(desk);
    }
    if narrow {
        // It stands under "Go to" as well.
        return;
    }
    let why = "To the end of the run, where it goes on as if nobody had looked back (End)";
    if ui.button("To the end").on_hover_text(why).clicked() {
        desk.send.push(Command::LookAt(f64::INFINITY));
    }
}

/// The button of the cycle: begins it, or goes on with the step that is told.
fn cycle_ui(ui: &mut Ui, desk: &Desk<'_>, cycle: Option<&Cycle>, rested: bool) -> bool {
    let why = "A burner comes on in slow motion, step by step (key C; Esc leaves)";
    match cycle {
        None => {
            let button = ui.add_enabled(rested, egui::Button::new("One cycle"));
            let button = button.on_hover_text(why);
            spots::mark(ui, Spot::Cycle, button.rect);
            button.clicked()
        }
        Some(cycle) => cycle.on_word().is_some_and(|word| {
            let button = ui.add(main_button(desk.theme, word));
            spots::mark(ui, Spot::Cycle, button.rect);
            button.clicked()
        }),
    }
}

/// The slider over the stops.
fn pace_ui(ui: &mut Ui, desk: &mut Desk<'_>, roomy: bool, room: f32) {
    let mut stop = nearest_stop(desk.snap.rate);
    let soft = desk.theme.soft;
    let small = |text: &str| egui::RichText::new(text).font(plain(11.5)).color(soft);
    if roomy {
        ui.label(small(FASTER));
    }
    let left = ui.available_width();
    ui.spacing_mut().slider_width = if roomy {
        let ends = (room - left) + 2.0 * ui.spacing().item_spacing.x;
        (left - ends).clamp(SLIDER.0, SLIDER.1)
    } else {
        room.min(96.0)
    };
    let slider = egui::Slider::new(&mut stop, 0..=PACES.len() - 1)
        .show_value(false)
        .trailing_fill(false);
    let response = ui.add(slider);
    let rate = PACES[stop.min(PACES.len() - 1)];
    response.widget_info(|| {
        egui::WidgetInfo::slider(true, stop as f64, format!("Pace of time: {}", pace(rate)))
    });
    if response.changed() {
        desk.send.push(Command::Rate(rate));
    }
    response.on_hover_text(format!("{} (keys [ and ])", pace(rate)));
    if roomy {
        ui.label(small(SLOWER));
    }
}

/// The stop nearest to a pace.
fn nearest_stop(rate: f64) -> usize {
    let distance = |p: f64| (p / rate.max(1e-9)).ln().abs();
    (0..PACES.len())
        .min_by(|a, b| distance(PACES[*a]).total_cmp(&distance(PACES[*b])))
        .unwrap_or(9)
}

/// One stop slower or faster.
pub fn other_pace(rate: f64, faster: bool) -> Command {
    let stop = nearest_stop(rate);
    let next = if faster {
        (stop + 1).min(PACES.len() - 1)
    } else {
        stop.saturating_sub(1)
    };
    Command::Rate(PACES[next])
}

/// A step that is small at the present pace.
pub fn step_command(rate: f64) -> Command {
    Command::Step((STEP_VIEWED_S * rate).clamp(1e-4, 60.0))
}

/// Play when paused, pause when playing.
pub fn play_command(playing: bool) -> Command {
    if playing {
        Command::Pause
    } else {
        Command::Play
    }
}

/// Back by a few seconds of viewing.
pub fn back_command(desk: &Desk<'_>) -> Command {
    let snap = desk.snap;
    Command::LookAt((snap.readings.time_s - BACK_VIEWED_S * snap.rate).max(0.0))
}

/// Decimals of the clock that the pace makes worth reading.
fn clock_decimals(rate: f64) -> usize {
    match rate {
        r if r < 0.05 => 3,
        r if r < 1.5 => 1,
        _ => 0,
    }
}

/// What is said beside the clock, as much as fits, and whether the slider has its full length and its words then. The
/// words are measured: a bar that holds by a rule of thumb has them under the slider's when they grow.
fn fitting_words(ui: &Ui, desk: &Desk<'_>, follows: bool) -> (String, bool) {
    let wide = |text: &str, size: f32| {
        let ink = desk.theme.soft;
        let galley = ui
            .painter()
            .layout_no_wrap(text.to_owned(), plain(size), ink);
        galley.size().x
    };
    let gap = ui.spacing().item_spacing.x;
    let button = |text: &str| wide(text, BODY) + 2.0 * ui.spacing().button_padding.x + gap;
    let follow = if follows { 0.0 } else { button("Follow") };
    let room = ui.available_width() - follow - 2.0 * gap;
    let full = SLIDER.1 + wide(SLOWER, 11.5) + wide(FASTER, 11.5) + 3.0 * gap;
    choice_of_words(
        &[state_words(desk), short_words(desk)],
        room,
        full,
        |words| wide(words, 12.5) + gap,
    )
}

/// The longest words that fit beside the slider, full if that is possible, else short.
fn choice_of_words(
    words: &[String],
    room: f32,
    full: f32,
    wide: impl Fn(&str) -> f32,
) -> (String, bool) {
    // Its ends are told as long as there is room for them: a slider without is a guess.
    let least = full - SLIDER.1 + SLIDER.0;
    for slider in [full, least, SLIDER.0] {
        if let Some(words) = words.iter().find(|w| wide(w) + slider <= room) {
            return (words.clone(), slider > SLIDER.0);
        }
    }
    (String::new(), room >= least)
}

/// The same in few words.
fn short_words(desk: &Desk<'_>) -> String {
    if desk.snap.playing || desk.snap.looks_back() {
        pace(desk.snap.rate)
    } else {
        "paused".to_owned()
    }
}

/// "paused", "at real time", "reaches 40 min in a second".
fn state_words(desk: &Desk<'_>) -> String {
    let snap = desk.snap;
    if snap.looks_back() {
        let ago = clock(snap.front_s - snap.readings.time_s, 0);
        let how = if snap.playing { "again, " } else { "" };
        return format!("{how}{ago} before the end");
    }
    if !snap.playing {
        return format!("paused, would run at {}", pace(snap.rate));
    }
    // The worker says what it reaches; it counts as short when it falls clearly behind.
    if snap.rate_reached > 0.0 && snap.rate_reached < 0.7 * snap.rate {
        return format!(
            "{}, reaches {:.2} of it",
            pace(snap.rate),
            snap.rate_reached / snap.rate
        );
    }
    pace(snap.rate)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// "paused, would run at real time" lay under "slower" in the middle of a cycle.
    #[test]
    fn what_is_said_beside_the_clock_never_lies_under_the_slider() {
        let words = ["paused, would run at 1/20 of real time", "paused"].map(str::to_owned);
        let wide = |w: &str| 6.0 * w.len() as f32;
        let full = 230.0;
        for room in 0..600 {
            let room = room as f32;
            let (said, roomy) = choice_of_words(&words, room, full, wide);
            // With its ends told it takes what is left, down to its least.
            let ends = full - SLIDER.1;
            let slider = SLIDER.0 + if roomy { ends } else { 0.0 };
            assert!(said.is_empty() || wide(&said) + slider <= room, "{room}");
            let needed = SLIDER.0 + ends + wide(&words[1]);
            assert_eq!(roomy, room >= needed, "its ends are told in {room}");
        }
        assert_eq!(choice_of_words(&words, 600.0, full, wide).0, words[0]);
        assert_eq!(choice_of_words(&words, 300.0, full, wide).0, words[1]);
    }

    #[test]
    fn stops_rise_and_the_keys_walk_them() {
        assert!(PACES.is_sorted());
        let Command::Rate(r) = other_pace(1.0, true) else {
            panic!("a rate was expected")
        };
        assert_eq!(r, 2.0);
        let Command::Rate(r) = other_pace(0.001, false) else {
            panic!("a rate was expected")
        };
        assert_eq!(r, 0.001);
    }
}
