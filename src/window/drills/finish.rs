//! The forms of an attempt: a suspicion to note at any time, and the answer that ends it.

use egui::{RichText, Slider, Ui};

use super::working::{Column, Working};
use crate::drill::attempt::act::{Act, Left};
use crate::drill::reasoning::causes::cause_words;
use crate::fault::Remedy;
use crate::report::letters::capital;
use crate::window::desk::Desk;
use crate::window::faults::caution;
use crate::window::look::pieces::radio;
use crate::window::look::theme::{Theme, plain, strong, title};

/// A button for the one thing a panel is for.
pub fn primary(ui: &mut Ui, t: &Theme, ready: bool, words: &str) -> egui::Response {
    let text = RichText::new(words).font(strong(13.0));
    let button = if ready {
        egui::Button::new(text.color(t.on_accent)).fill(t.brass)
    } else {
        egui::Button::new(text)
    };
    ui.add_enabled(ready, button)
}

/// A suspicion.
pub fn suspect_ui(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working) {
    let t = desk.theme;
    ui.label(title("What do you suspect?", 14.0));
    ui.label(
        RichText::new(
            "Costs no time. Afterwards your suspicion is held against what the readings said",
        )
        .font(plain(11.5))
        .color(t.soft),
    );
    ui.add_space(4.0);
    // Beneath it: how sure, and the button.
    w.suspicion.tall = Some((ui.available_height() - 160.0).clamp(160.0, 480.0));
    w.suspicion.fit(w.rig.containers.len());
    w.suspicion.ui(ui, t, "suspicion");
    ui.add_space(4.0);
    let label = ui.label("How sure");
    ui.spacing_mut().slider_width = (ui.available_width() - 70.0).max(60.0);
    let slider = Slider::new(&mut w.sure, 5.0..=100.0)
        .step_by(5.0)
        .fixed_decimals(0)
        .suffix(" %");
    ui.add(slider).labelled_by(label.id);
    ui.add_space(4.0);
    let cause = w.suspicion.cause();
    let ready = cause.is_some() && !w.busy();
    if primary(ui, t, ready, "Note it").clicked()
        && let Some(cause) = cause
    {
        w.order(Act::Note(cause, w.sure / 100.0));
        w.column = Column::Do;
    }
}

/// The answer.
pub fn answer_ui(ui: &mut Ui, desk: &Desk<'_>, w: &mut Working) {
    let t = desk.theme;
    ui.label(title("1  What is wrong?", 14.0));
    if w.answer.cause().is_none()
        && let Some(cause) = w.suspicion.cause()
    {
        let words = format!("What I suspected: {}", cause_words(&cause));
        let button = egui::Button::new(RichText::new(words).font(plain(12.5))).wrap();
        if ui.add(button).clicked() {
            w.answer.set(&cause);
        }
    }
    w.answer.fit(w.rig.containers.len());
    w.answer.ui(ui, t, "answer");
    ui.add_space(6.0);
    ui.label(title("2  What is to be done?", 14.0));
    let two = w.answer.cause().is_some_and(|c| c.len() > 1);
    if two {
        ui.label(
            RichText::new("Of two causes both: an action for each, or one that puts both right")
                .font(plain(11.5))
                .color(t.soft),
        );
    } else {
        w.actions.truncate(1);
    }
    ui.spacing_mut().item_spacing.y = 2.0;
    ui.spacing_mut().interact_size.y = 20.0;
    for remedy in Remedy::ANSWERS {
        let text = RichText::new(capital(remedy.order())).font(plain(12.5));
        if two {
            action_ui(ui, t, &mut w.actions, remedy, text);
        } else {
            let mut action = w.actions.first().copied();
            radio(ui, t, &mut action, Some(remedy), text);
            w.actions = action.into_iter().collect();
        }
    }
    ui.spacing_mut().item_spacing.y = 6.0;
    ui.add_space(6.0);
    ui.label(title("3  How do you leave it?", 14.0));
    for (left, what) in [
        (
            Left::ShutOff,
            "Shut off at the container, for a qualified technician",
        ),
        (Left::InUse, "In use"),
    ] {
        let text = RichText::new(what).font(plain(12.5));
        radio(ui, t, &mut w.left, Some(left), text);
    }
    if w.left == Some(Left::InUse) {
        caution(
            ui,
            desk,
            "In use only if it is put right: no leak, lock-up within its limit. Otherwise shut it off",
        );
    }
    ui.add_space(6.0);
    let answer = w.written_answer();
    let ready = answer.is_some() && !w.busy();
    if primary(ui, t, ready, "Give the answer").clicked()
        && let Some(answer) = answer
    {
        w.order(Act::Answer(answer));
    }
    let hint = if w.written_answer().is_some() && w.of_class {
        "It ends the drill: cause and marks are told when the instructor releases them"
    } else if w.written_answer().is_some() {
        "It ends the drill: the cover comes off and the marks are told"
    } else {
        "Cause, action and how it is left are all needed"
    };
    ui.label(RichText::new(hint).font(plain(11.5)).color(t.soft));
}

/// One of two actions; a third takes the place of the one that was named first.
fn action_ui(ui: &mut Ui, t: &Theme, actions: &mut Vec<Remedy>, remedy: Remedy, text: RichText) {
    let mut is_named = actions.contains(&remedy);
    if ui.checkbox(&mut is_named, text.color(t.ink)).changed() {
        actions.retain(|a| *a != remedy);
        if is_named {
            actions.push(remedy);
        }
        if actions.len() > 2 {
            actions.remove(0);
        }
    }
}

/// The last suspicion noted, in a line.
pub fn suspected(w: &Working) -> Option<&str> {
    let note = w.lines.iter().rev().find(|l| l.is_note)?;
    Some(&note.words)
}

/// What went wrong, with its lines kept.
pub fn said_ui(ui: &mut Ui, t: &Theme, said: &str) {
    let several = said.contains('\n');
    let text = RichText::new(said).color(t.danger);
    let text = if several {
        text.monospace()
    } else {
        text.font(plain(12.5))
    };
    ui.add(egui::Label::new(text).wrap());
}
