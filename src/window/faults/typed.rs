//! Words typed beside the search field. A letter alone is a key of the window; letters that follow each other as a hand
//! types them are a word that was meant for the field, and no deeds. Not here: the search itself (`search`).

use egui::{Context, Event};

use crate::window::desk::keys::Wish;

/// Letters of one word come within this of each other \[s\].
const WORD_S: f64 = 0.4;

/// What has been typed with no field to take it.
#[derive(Debug, Clone, Default)]
pub struct Typed {
    letters: String,
    last_s: f64,
    /// Whether they are a word already, which may go on after a space.
    in_word: bool,
    /// What the last letter has done already.
    did: Option<Wish>,
    /// What it will do if no other letter follows.
    waits: Vec<Wish>,
}

/// What comes of the keys of a frame.
#[derive(Debug, Default)]
pub struct Meant {
    /// Deeds to be done now.
    pub wishes: Vec<Wish>,
    /// A word for the search field.
    pub word: Option<String>,
    /// A deed of the word's first letter that is to be taken back.
    pub take_back: Option<Wish>,
}

impl Typed {
    /// Sorts the keys of a frame while the list of faults is open and no field has the keyboard.
    pub fn follow(&mut self, ctx: &Context, wishes: Vec<Wish>) -> Meant {
        let (now_s, typed) = ctx.input(|i| {
            let text = i.events.iter().filter_map(|e| match e {
                Event::Text(text) => Some(text.as_str()),
                _ => None,
            });
            (i.time, text.collect::<String>())
        });
        let mut meant = Meant::default();
        let (mut goes_on, mut spaced) = (false, false);
        for c in typed.chars().filter(|c| c.is_alphabetic() || *c == ' ') {
            let in_time = !self.letters.is_empty() && now_s - self.last_s < WORD_S;
            self.in_word &= in_time;
            if c == ' ' && !self.in_word {
                continue;
            }
            // One letter again and again is a key pressed again.
            if in_time && (self.in_word || !self.letters.ends_with(c)) {
                (self.in_word, goes_on) = (true, true);
            } else {
                self.letters.clear();
            }
            spaced |= c == ' ';
            self.letters.push(c);
            self.last_s = now_s;
        }
        if goes_on {
            self.waits.clear();
            meant.take_back = self.did.take();
            meant.word = Some(self.letters.clone());
            let typed = |w: &Wish| w.is_a_letter() || spaced && *w == Wish::PlayPause;
            meant.wishes = wishes.into_iter().filter(|w| !typed(w)).collect();
            return meant;
        }
        for wish in wishes {
            let by_letter = !typed.is_empty() && wish.is_a_letter();
            if by_letter && wish.is_large() {
                self.waits.push(wish);
                continue;
            }
            if by_letter {
                self.did = Some(wish);
            }
            meant.wishes.push(wish);
        }
        if now_s - self.last_s >= WORD_S {
            self.did = None;
            meant.wishes.append(&mut self.waits);
        } else if !self.waits.is_empty() {
            ctx.request_repaint_after(std::time::Duration::from_secs_f64(WORD_S));
        }
        meant
    }

    /// Forgets what was typed; gives what still waits.
    pub fn rest(&mut self) -> Vec<Wish> {
        std::mem::take(self).waits
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A frame at a time with these letters typed and these keys asked for.
    fn frame(ctx: &Context, typed: &mut Typed, at_s: f64, text: &[&str], wishes: &[Wish]) -> Meant {
        let input = egui::RawInput {
            time: Some(at_s),
            events: text.iter().map(|t| Event::Text((*t).to_owned())).collect(),
            ..egui::RawInput::default()
        };
        let mut meant = Meant::default();
        let mut out = ctx.run_ui(input, |ui| meant = typed.follow(ui.ctx(), wishes.to_vec()));
        out.textures_delta.clear();
        meant
    }

    #[test]
    fn a_word_is_no_row_of_deeds_and_a_letter_alone_is_a_key() {
        let (ctx, mut typed) = (Context::default(), Typed::default());
        // Alone: a small deed at once, a large one as soon as no other letter follows.
        let meant = frame(&ctx, &mut typed, 1.0, &["v"], &[Wish::Turn]);
        assert_eq!(meant.wishes, [Wish::Turn]);
        let meant = frame(&ctx, &mut typed, 2.0, &["t"], &[Wish::Tour]);
        assert!(meant.wishes.is_empty() && meant.word.is_none());
        let meant = frame(&ctx, &mut typed, 2.5, &[], &[]);
        assert_eq!(meant.wishes, [Wish::Tour]);
        // A word: what its first letter did is taken back, the others do nothing.
        let meant = frame(&ctx, &mut typed, 4.0, &["v"], &[Wish::Turn]);
        assert_eq!(meant.wishes, [Wish::Turn]);
        let meant = frame(&ctx, &mut typed, 4.1, &["e", "n"], &[Wish::MotionLess]);
        assert_eq!(meant.word.as_deref(), Some("ven"));
        assert_eq!(meant.take_back, Some(Wish::Turn));
        assert!(meant.wishes.is_empty());
        // It goes on after a space, which pauses nothing, until the field has the keyboard.
        let meant = frame(&ctx, &mut typed, 4.2, &["t", " ", "b"], &[Wish::PlayPause]);
        assert_eq!(meant.word.as_deref(), Some("vent b"));
        assert!(meant.wishes.is_empty());
        let meant = frame(&ctx, &mut typed, 5.0, &[" "], &[Wish::PlayPause]);
        assert_eq!((meant.wishes.len(), meant.word), (1, None));
        // One that begins with a large one: it is not done at all, on however slow a frame.
        let meant = frame(&ctx, &mut typed, 6.0, &["t", "o"], &[Wish::Tour]);
        assert_eq!(meant.word.as_deref(), Some("to"));
        assert!(meant.wishes.is_empty() && meant.take_back.is_none());
        let meant = frame(&ctx, &mut typed, 7.0, &[], &[]);
        assert!(meant.wishes.is_empty());
        // A key pressed again and again is no word.
        for at_s in [8.0, 8.1, 8.2] {
            let meant = frame(&ctx, &mut typed, at_s, &["m"], &[Wish::MotionMore]);
            assert_eq!((meant.wishes.len(), meant.word), (1, None));
        }
    }
}
