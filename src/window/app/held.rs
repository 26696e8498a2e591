//! Keys that have to wait. A burner's key means the burner on show: while another rig is on its way it waits for that one.
//! And after Tab nobody knows before the next frame whether a field takes the letters. Not here: what keys mean.

use egui::{Context, Event, Key};

use crate::sim::Command;
use crate::window::desk::keys::Wish;

/// So long a rig that was asked for is waited for, on the clock of the window \[s\]: one that cannot start never comes.
const WAITS_S: f64 = 3.0;

/// What waits, and for what.
#[derive(Default)]
pub(super) struct Held {
    wishes: Vec<Wish>,
    /// The run that has to give way.
    after: Option<u64>,
    /// Until when it is waited for \[s\].
    until_s: Option<f64>,
}

/// Whether the keyboard was sent on in this frame.
pub(super) fn tabbed(ctx: &Context) -> bool {
    let is_tab = |e: &Event| {
        matches!(
            e,
            Event::Key {
                key: Key::Tab,
                pressed: true,
                ..
            }
        )
    };
    ctx.input(|i| i.events.iter().any(is_tab))
}

fn brings_a_rig(command: &Command) -> bool {
    matches!(
        command,
        Command::Load(_) | Command::Lend(_) | Command::GiveBack | Command::Restart
    )
}

/// Whether it is made of what is on show, so that on another rig it is another deed.
fn is_of_the_rig_on_show(wish: Wish) -> bool {
    matches!(wish, Wish::Burner(_) | Wish::PlayPause)
}

impl Held {
    /// Hears what is sent to the run of this generation.
    pub(super) fn takes_up(&mut self, command: &Command, generation: u64) {
        if brings_a_rig(command) {
            self.after = Some(generation);
            self.until_s = None;
        }
    }

    /// What is due now.
    pub(super) fn due(&mut self, ctx: &Context, generation: u64) -> Vec<Wish> {
        let now_s = ctx.input(|i| i.time);
        let until_s = *self.until_s.get_or_insert(now_s + WAITS_S);
        if self.after != Some(generation) || now_s > until_s {
            self.after = None;
            self.until_s = None;
        }
        if self.after.is_some() {
            return Vec::new();
        }
        let typed = ctx.text_edit_focused();
        let mut due = std::mem::take(&mut self.wishes);
        due.retain(|wish| !typed || !wish.is_written());
        due
    }

    /// Whether a wish has to wait; it is kept then.
    pub(super) fn holds(&mut self, wish: Wish, sent: &[Command], tabbed: bool) -> bool {
        let other = self.after.is_some() || sent.iter().any(brings_a_rig);
        let waits = (tabbed && wish.is_written()) || (other && is_of_the_rig_on_show(wish));
        if waits {
            self.wishes.push(wish);
        }
        waits
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;

    fn lend() -> Command {
        Command::Lend(Box::new(Scenario::opening()))
    }

    /// T and 4 at once: the 4 went to the rig that was about to go, by what its burner did.
    #[test]
    fn a_burner_waits_for_the_rig_that_was_asked_for() {
        let (ctx, mut held) = (Context::default(), Held::default());
        assert!(!held.holds(Wish::Burner(3), &[], false));
        assert!(held.holds(Wish::Burner(3), &[lend()], false));
        assert!(!held.holds(Wish::Units, &[lend()], false));
        held.takes_up(&lend(), 7);
        assert!(held.due(&ctx, 7).is_empty());
        assert!(held.holds(Wish::PlayPause, &[], false));
        assert_eq!(held.due(&ctx, 8), [Wish::Burner(3), Wish::PlayPause]);
        assert!(!held.holds(Wish::Burner(3), &[], false));
        assert!(held.due(&ctx, 8).is_empty());
    }

    /// After Tab a key is known to be a wish or a letter in the next frame only.
    #[test]
    fn what_is_pressed_with_tab_waits_for_a_frame() {
        let (ctx, mut held) = (Context::default(), Held::default());
        for wish in [Wish::Burner(0), Wish::Appearance, Wish::Step] {
            assert!(held.holds(wish, &[], true), "{wish:?}");
        }
        assert!(!held.holds(Wish::Save, &[], true));
        assert_eq!(held.due(&ctx, 1).len(), 3);
    }
}
