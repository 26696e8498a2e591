//! The keys of the window: one table, from which both the handling and the help sheet come.

use egui::{Context, Key, KeyboardShortcut, Modifiers};

/// What a key asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Play or pause.
    PlayPause,
    /// One small step.
    Step,
    /// Go back a little.
    Back,
    /// Go to the start.
    ToStart,
    /// Go to the end of the run.
    ToEnd,
    /// Go to what happened before.
    MarkBefore,
    /// Go to what happened next.
    MarkAfter,
    /// Go to just before the fault.
    BeforeFault,
    /// Go on from the moment that is looked at.
    GoOnFromHere,
    /// Back to the run that was set aside.
    WhatRan,
    /// One stop slower.
    Slower,
    /// One stop faster.
    Faster,
    /// Toggle a burner, counted from 0.
    Burner(usize),
    /// Follow the present in the charts.
    Follow,
    /// Charts: earlier.
    PanBack,
    /// Charts: later.
    PanOn,
    /// Charts: closer.
    ZoomIn,
    /// Charts: wider.
    ZoomOut,
    /// Next force balance.
    Forces,
    /// One cycle of a burner, step by step.
    Cycle,
    /// Motion drawn larger.
    MotionMore,
    /// Motion drawn smaller.
    MotionLess,
    /// From inside to outside and back.
    Turn,
    /// US or SI.
    Units,
    /// Light or dark.
    Appearance,
    /// Open a file.
    Open,
    /// Save to a file.
    Save,
    /// Present on or off.
    Present,
    /// Keep the moment on show for a talk.
    KeepMoment,
    /// The tour.
    Tour,
    /// The keyboard to the next area of the window.
    NextArea,
    /// ... and to the one before.
    AreaBefore,
    /// The sheet of keys.
    Help,
    /// Close what lies on top.
    Close,
}

impl Wish {
    /// Whether a letter alone asks for it.
    pub fn is_a_letter(self) -> bool {
        TABLE.iter().any(|(_, modifiers, wish, name, _)| {
            let is_letter = name.len() == 1 && name.starts_with(char::is_alphabetic);
            *wish == self && *modifiers == Modifiers::NONE && is_letter
        })
    }

    /// Whether a field would have taken its key for writing.
    pub fn is_written(self) -> bool {
        let by_a_sign = TABLE.iter().any(|(_, modifiers, wish, name, _)| {
            *wish == self && *modifiers == Modifiers::NONE && name.chars().count() == 1
        });
        by_a_sign || matches!(self, Self::Burner(_) | Self::PlayPause)
    }

    /// Whether it goes elsewhere, or does something that the same key does not take back.
    pub fn is_large(self) -> bool {
        matches!(
            self,
            Self::BeforeFault | Self::GoOnFromHere | Self::Cycle | Self::KeepMoment | Self::Tour
        )
    }

    /// Whether it does something to the rig on show or opens another one; such keys rest while a
    /// drill has the rig covered.
    pub fn touches_the_rig(self) -> bool {
        !matches!(
            self,
            Self::Units
                | Self::Appearance
                | Self::NextArea
                | Self::AreaBefore
                | Self::Help
                | Self::Close
        )
    }
}

/// Key, modifiers, wish, name of the key and what it does. Burners are apart: 1 to 9.
pub const TABLE: [(Key, Modifiers, Wish, &str, &str); 34] = [
    (
        Key::Space,
        Modifiers::NONE,
        Wish::PlayPause,
        "Space",
        "play or pause",
    ),
    (
        Key::Period,
        Modifiers::NONE,
        Wish::Step,
        ".",
        "one small step",
    ),
    (
        Key::Backspace,
        Modifiers::NONE,
        Wish::Back,
        "Backspace",
        "go back a little",
    ),
    (
        Key::Home,
        Modifiers::NONE,
        Wish::ToStart,
        "Home",
        "go to the start",
    ),
    (
        Key::End,
        Modifiers::NONE,
        Wish::ToEnd,
        "End",
        "go to the end of the run",
    ),
    (
        Key::PageUp,
        Modifiers::NONE,
        Wish::MarkBefore,
        "Page up",
        "go to what happened before",
    ),
    (
        Key::PageDown,
        Modifiers::NONE,
        Wish::MarkAfter,
        "Page down",
        "go to what happened next",
    ),
    (
        Key::J,
        Modifiers::NONE,
        Wish::BeforeFault,
        "J",
        "go to just before the fault",
    ),
    (
        Key::G,
        Modifiers::NONE,
        Wish::GoOnFromHere,
        "G",
        "go on from the moment looked at",
    ),
    (
        Key::OpenBracket,
        Modifiers::NONE,
        Wish::Slower,
        "[",
        "slower",
    ),
    (
        Key::CloseBracket,
        Modifiers::NONE,
        Wish::Faster,
        "]",
        "faster",
    ),
    (
        Key::ArrowLeft,
        Modifiers::NONE,
        Wish::PanBack,
        "Left arrow",
        "charts: earlier",
    ),
    (
        Key::ArrowRight,
        Modifiers::NONE,
        Wish::PanOn,
        "Right arrow",
        "charts: later",
    ),
    (
        Key::Equals,
        Modifiers::NONE,
        Wish::ZoomIn,
        "=",
        "charts: closer",
    ),
    (
        Key::Plus,
        Modifiers::NONE,
        Wish::ZoomIn,
        "+",
        "charts: closer",
    ),
    (
        Key::Minus,
        Modifiers::NONE,
        Wish::ZoomOut,
        "-",
        "charts: wider",
    ),
    (
        Key::L,
        Modifiers::NONE,
        Wish::Follow,
        "L",
        "charts: follow the present",
    ),
    (
        Key::F,
        Modifiers::NONE,
        Wish::Forces,
        "F",
        "forces on a diaphragm",
    ),
    (
        Key::C,
        Modifiers::NONE,
        Wish::Cycle,
        "C",
        "one cycle, step by step",
    ),
    (
        Key::M,
        Modifiers::NONE,
        Wish::MotionMore,
        "M",
        "motion drawn larger",
    ),
    (
        Key::N,
        Modifiers::NONE,
        Wish::MotionLess,
        "N",
        "motion drawn smaller",
    ),
    (
        Key::V,
        Modifiers::NONE,
        Wish::Turn,
        "V",
        "from inside to outside",
    ),
    (Key::U, Modifiers::NONE, Wish::Units, "U", "US or SI units"),
    (
        Key::D,
        Modifiers::NONE,
        Wish::Appearance,
        "D",
        "light or dark",
    ),
    (
        Key::O,
        Modifiers::COMMAND,
        Wish::Open,
        "Ctrl O",
        "open a scenario",
    ),
    (
        Key::S,
        Modifiers::COMMAND,
        Wish::Save,
        "Ctrl S",
        "save the scenario",
    ),
    (
        Key::F11,
        Modifiers::NONE,
        Wish::Present,
        "F11",
        "present: large type, nothing else",
    ),
    (
        Key::K,
        Modifiers::NONE,
        Wish::KeepMoment,
        "K",
        "keep this moment for a talk",
    ),
    (
        Key::T,
        Modifiers::NONE,
        Wish::Tour,
        "T",
        "the tour of five minutes, away from it and back",
    ),
    // With Shift first: without it the same key means the other way.
    (
        Key::F6,
        Modifiers::SHIFT,
        Wish::AreaBefore,
        "Shift F6",
        "keyboard: to the area before",
    ),
    (
        Key::F6,
        Modifiers::NONE,
        Wish::NextArea,
        "F6",
        "keyboard: to the next area",
    ),
    (Key::F1, Modifiers::NONE, Wish::Help, "F1", "this sheet"),
    (
        Key::Questionmark,
        Modifiers::SHIFT,
        Wish::Help,
        "?",
        "this sheet",
    ),
    (
        Key::Escape,
        Modifiers::NONE,
        Wish::Close,
        "Esc",
        "close what lies on top",
    ),
];

const DIGITS: [Key; 9] = [
    Key::Num1,
    Key::Num2,
    Key::Num3,
    Key::Num4,
    Key::Num5,
    Key::Num6,
    Key::Num7,
    Key::Num8,
    Key::Num9,
];

/// Whether the ring was there until this frame: the toolkit has then taken it away at Esc already.
fn ring_gone(ctx: &Context, focused: bool) -> bool {
    let id = egui::Id::unique("the keyboard had a ring");
    let before: bool = ctx.data(|d| d.get_temp(id)).unwrap_or(false);
    ctx.data_mut(|d| d.insert_temp(id, focused));
    before && !focused
}

/// Wishes of this frame while a sheet lies over the window: what closes it, and its own units; all other keys rest.
pub fn wishes_under_a_sheet(ctx: &Context) -> Vec<Wish> {
    let closes = |wish: Wish| matches!(wish, Wish::Help | Wish::Close | Wish::Units);
    let mut out = Vec::new();
    ctx.input_mut(|input| {
        for (key, modifiers, wish, ..) in TABLE.into_iter().filter(|row| closes(row.2)) {
            if input.consume_shortcut(&KeyboardShortcut::new(modifiers, key)) {
                out.push(wish);
            }
        }
    });
    out
}

/// Wishes of this frame. While a text field has the keyboard only keys count that write nothing: those with Ctrl, F1, F6 and F11; while any other widget has it,
/// the arrows are left to it, and so is Space, which presses what has the ring as it does everywhere. Without a ring Space
/// pauses; Esc takes the ring away before it closes anything. A menu that lies open closes itself at Esc.
pub fn wishes(ctx: &Context) -> Vec<Wish> {
    let typing = ctx.text_edit_focused();
    let focused = ctx.egui_wants_keyboard_input();
    let menu = egui::Popup::is_any_open(ctx);
    let rings = ring_gone(ctx, focused);
    let mut out = Vec::new();
    ctx.input_mut(|input| {
        for (key, modifiers, wish, ..) in TABLE {
            let own = matches!(key, Key::ArrowLeft | Key::ArrowRight | Key::Space);
            let writes =
                modifiers != Modifiers::COMMAND && !matches!(key, Key::F1 | Key::F6 | Key::F11);
            if (typing && writes) || (focused && own) || ((menu || rings) && wish == Wish::Close) {
                continue;
            }
            if input.consume_shortcut(&KeyboardShortcut::new(modifiers, key)) {
                out.push(wish);
            }
        }
        if !typing {
            for (i, key) in DIGITS.into_iter().enumerate() {
                if input.consume_key(Modifiers::NONE, key) {
                    out.push(Wish::Burner(i));
                }
            }
        }
    });
    out
}
