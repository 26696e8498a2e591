//! What the form edits: a scenario on its way, with what was there before to go back to, and what its reader says of it.
//! Draws nothing.

use std::sync::Arc;

use crate::rig::presets;
use crate::scenario::{Draft, Scenario, Written, Wrong};
use crate::units::{Dimension, System, write_quantity};

/// Steps back that are kept.
const STEPS: usize = 300;

/// A rig to begin with: one cylinder as it leaves the filler, a line, nothing on it.
const BARE: &str = "title = \"A new rig\"\n[[container]]\nkind = \"20 lb cylinder\"\nfill = \"80 %\"\n[run]\nduration = \"30 min\"\n";

/// The keys by which an event names an appliance.
const BY_NAME: [&str; 4] = ["turn_on", "turn_off", "reset", "draw"];
/// The keys by which an event names a container, counted from 1.
const BY_NUMBER: [&str; 3] = ["open_valve", "close_valve", "knob"];

/// The sheet under the form.
pub struct Sheet {
    /// What is written.
    pub draft: Draft,
    past: Vec<Draft>,
    future: Vec<Draft>,
    /// Where the last change was: more letters there are the same change.
    last: String,
    /// The field that has the keyboard, and its letters as they are typed.
    typing: Option<(String, String)>,
    /// What the reader says is wrong.
    pub wrong: Vec<Wrong>,
    /// The rig as it last was right.
    pub good: Arc<Scenario>,
}

impl Sheet {
    /// A sheet with a scenario on it.
    pub fn of(scenario: &Scenario, system: System) -> Self {
        let mut sheet = Self {
            draft: filled_in(scenario, system),
            past: Vec::new(),
            future: Vec::new(),
            last: String::new(),
            typing: None,
            wrong: Vec::new(),
            good: Arc::new(scenario.clone()),
        };
        sheet.check();
        sheet
    }

    /// The rig to begin with.
    ///
    /// # Panics
    /// Never: a test reads it.
    pub fn bare() -> Scenario {
        Scenario::parse("a new rig", BARE).expect("a test reads it")
    }

    /// Puts another scenario on it; what was there is one step back.
    pub fn replace(&mut self, scenario: &Scenario, system: System) {
        let draft = filled_in(scenario, system);
        self.change("", |d| *d = draft);
    }

    /// Changes something. Further changes at the same place are one step back together; an empty place stands alone.
    pub fn change(&mut self, at: &str, make: impl FnOnce(&mut Draft)) {
        let before = self.draft.clone();
        make(&mut self.draft);
        if self.draft == before {
            return;
        }
        self.future.clear();
        if at.is_empty() || self.last != at {
            self.past.push(before);
            if self.past.len() > STEPS {
                self.past.remove(0);
            }
        }
        at.clone_into(&mut self.last);
        self.check();
    }

    /// Writes a text at a place, or clears it.
    pub fn write(&mut self, at: &str, text: &str) {
        self.change(at, |d| match text {
            "" => d.clear(at),
            text => d.put(at, Written::Text(text.to_owned())),
        });
    }

    /// Whether there is a step back, and one forward again.
    pub fn steps(&self) -> [bool; 2] {
        [!self.past.is_empty(), !self.future.is_empty()]
    }

    /// One step back.
    pub fn undo(&mut self) {
        if let Some(draft) = self.past.pop() {
            self.future.push(std::mem::replace(&mut self.draft, draft));
            self.stepped();
        }
    }

    /// One step forward again.
    pub fn redo(&mut self) {
        if let Some(draft) = self.future.pop() {
            self.past.push(std::mem::replace(&mut self.draft, draft));
            self.stepped();
        }
    }

    fn stepped(&mut self) {
        self.last.clear();
        self.typing = None;
        self.check();
    }

    /// Reads the sheet as a file is read.
    fn check(&mut self) {
        match self.draft.check() {
            Ok(scenario) => {
                self.wrong.clear();
                self.good = Arc::new(scenario);
            }
            Err(wrong) => self.wrong = wrong,
        }
    }

    /// Whether nothing is wrong.
    pub fn is_right(&self) -> bool {
        self.wrong.is_empty()
    }

    /// What is wrong at a place, or at one of its keys.
    pub fn wrong_under<'a>(&'a self, at: &'a str) -> impl Iterator<Item = &'a Wrong> {
        let is_under = move |w: &&Wrong| {
            let rest = w.at.strip_prefix(at);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        };
        self.wrong.iter().filter(is_under)
    }

    /// What a field shows: the letters being typed, else what is written.
    pub fn letters(&self, at: &str) -> String {
        match &self.typing {
            Some((place, text)) if place == at => text.clone(),
            _ => self.draft.get(at).unwrap_or_default(),
        }
    }

    /// Whether this field is being typed in.
    pub fn is_typed(&self, at: &str) -> bool {
        self.typing.as_ref().is_some_and(|(place, _)| place == at)
    }

    /// Notes what is being typed in the field that has the keyboard.
    pub fn typing(&mut self, at: &str, text: &str) {
        self.typing = Some((at.to_owned(), text.to_owned()));
    }

    /// The field no longer has the keyboard.
    pub fn typed(&mut self, at: &str) {
        if self.typing.as_ref().is_some_and(|(place, _)| place == at) {
            self.typing = None;
            self.last.clear();
        }
    }

    /// Adds an appliance of a kind with its usual plate, under a name of its own.
    pub fn add_appliance(&mut self, kind: &str, system: System) {
        let taken: Vec<String> = self.names();
        let name = (1..=taken.len() + 1)
            .map(|n| match n {
                1 => kind.to_owned(),
                n => format!("{kind} {n}"),
            })
            .find(|name| !taken.contains(name))
            .unwrap_or_default();
        let rating = usual_rating(kind, system);
        self.change("", |d| {
            d.add(
                "appliance",
                &[("kind", kind), ("name", &name), ("rating", &rating)],
            );
        });
    }

    /// Names of the appliances.
    fn names(&self) -> Vec<String> {
        (0..self.draft.count("appliance"))
            .filter_map(|i| self.draft.get(&format!("appliance.{i}.name")))
            .collect()
    }

    /// Makes another kind of an appliance: its plate is that of the kind, its name stays if it had one of its own.
    pub fn other_kind(&mut self, i: usize, kind: &str, system: System) {
        let at = |key: &str| format!("appliance.{i}.{key}");
        let was = self.draft.get(&at("kind")).unwrap_or_default();
        let name = self.draft.get(&at("name")).unwrap_or_default();
        let on = self.draft.get(&at("on")).as_deref() == Some("true");
        let rating = usual_rating(kind, system);
        self.change("", |d| {
            let kept: Vec<String> = (0..d.count("appliance"))
                .filter(|k| *k != i)
                .filter_map(|k| d.get(&format!("appliance.{k}.name")))
                .collect();
            let new = if name.starts_with(&was) && !kept.iter().any(|k| k == kind) {
                kind.to_owned()
            } else {
                name.clone()
            };
            d.reset(&format!("appliance.{i}"));
            for (key, text) in [("kind", kind), ("name", &new), ("rating", &rating)] {
                d.put(&at(key), Written::Text(text.to_owned()));
            }
            if on {
                d.put(&at("on"), Written::Flag(true));
            }
            rename(d, &name, &new);
        });
    }

    /// Gives an appliance another name; the events that name it follow.
    pub fn rename(&mut self, i: usize, name: &str) {
        let at = format!("appliance.{i}.name");
        let was = self.draft.get(&at).unwrap_or_default();
        self.change(&at, |d| {
            d.put(&at, Written::Text(name.to_owned()));
            rename(d, &was, name);
        });
    }

    /// Takes an appliance out, and what events there are about it.
    pub fn remove_appliance(&mut self, i: usize) {
        let name = self.draft.get(&format!("appliance.{i}.name"));
        self.change("", |d| {
            d.remove("appliance", i);
            forget(d, |d, event| {
                BY_NAME
                    .iter()
                    .any(|key| d.get(&format!("{event}.{key}")) == name && name.is_some())
            });
        });
    }

    /// One container or two; what was said of a second goes with it.
    pub fn containers(&mut self, kinds: &[&str]) {
        self.change("", |d| {
            for (i, kind) in kinds.iter().enumerate() {
                let at = format!("container.{i}");
                if i >= d.count("container") {
                    d.add("container", &[("kind", kind), ("fill", "80 %")]);
                } else if d.get(&format!("{at}.kind")).as_deref() != Some(*kind) {
                    take_kind(d, &at, kind);
                }
            }
            while d.count("container") > kinds.len() {
                d.remove("container", d.count("container") - 1);
            }
            if kinds.len() < 2 {
                d.clear("supply.service_side");
                d.clear("supply.changeover");
                forget(d, |d, event| {
                    let says =
                        |key: &&str| d.get(&format!("{event}.{key}")).as_deref() == Some("2");
                    BY_NUMBER.iter().any(says) || d.get(&format!("{event}.knob")).is_some()
                });
                one_side(d);
            }
        });
    }

    /// Another kind of container; measures of its own go with the old one.
    pub fn container_kind(&mut self, i: usize, kind: &str) {
        self.change("", |d| take_kind(d, &format!("container.{i}"), kind));
    }
}

/// A scenario as its file, with what a plate says written out also where it is what is usual.
fn filled_in(scenario: &Scenario, system: System) -> Draft {
    let mut draft = Draft::of(scenario, system);
    for (i, appliance) in scenario.rig.appliances.iter().enumerate() {
        for (key, text) in [
            ("name", appliance.name.clone()),
            (
                "rating",
                write_quantity(appliance.input_w, Dimension::Power, system),
            ),
        ] {
            let at = format!("appliance.{i}.{key}");
            if draft.get(&at).is_none() {
                draft.put(&at, Written::Text(text));
            }
        }
    }
    draft
}

fn usual_rating(kind: &str, system: System) -> String {
    let found = presets::APPLIANCES.iter().find(|(name, _)| *name == kind);
    found.map_or_else(String::new, |(_, kind)| {
        write_quantity(presets::appliance(*kind).input_w, Dimension::Power, system)
    })
}

fn take_kind(d: &mut Draft, at: &str, kind: &str) {
    for key in [
        "diameter",
        "extent",
        "steel",
        "surface",
        "relief_start",
        "relief_bore",
    ] {
        d.clear(&format!("{at}.{key}"));
    }
    d.put(&format!("{at}.kind"), Written::Text(kind.to_owned()));
    if ["upright", "horizontal"].contains(&kind) {
        for (key, text) in [("diameter", "14 in"), ("extent", "46 in")] {
            d.put(&format!("{at}.{key}"), Written::Text(text.to_owned()));
        }
    }
}

fn rename(d: &mut Draft, was: &str, new: &str) {
    for i in 0..d.count("event") {
        for key in BY_NAME {
            let at = format!("event.{i}.{key}");
            if d.get(&at).as_deref() == Some(was) {
                d.put(&at, Written::Text(new.to_owned()));
            }
        }
    }
}

/// Takes out the events that are about what is gone.
fn forget(d: &mut Draft, is_about: impl Fn(&Draft, &str) -> bool) {
    for i in (0..d.count("event")).rev() {
        if is_about(d, &format!("event.{i}")) {
            d.remove("event", i);
        }
    }
}

/// Faults of the left side strike the only one; those of the right are gone.
fn one_side(d: &mut Draft) {
    for i in (0..d.count("event")).rev() {
        for key in ["inject", "clear"] {
            let at = format!("event.{i}.{key}");
            let fault = d.get(&at).unwrap_or_default();
            match fault.split_once('.') {
                Some((_, "right")) => {
                    d.remove("event", i);
                    break;
                }
                Some((anywhere, "left")) => d.put(&at, Written::Text(anywhere.to_owned())),
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn opening() -> Sheet {
        Sheet::of(&Scenario::opening(), System::Us)
    }

    #[test]
    fn the_rig_to_begin_with_is_right() {
        assert!(Sheet::of(&Sheet::bare(), System::Si).is_right());
    }

    #[test]
    fn letters_at_one_place_are_one_step_back() {
        let mut s = opening();
        let before = s.draft.clone();
        for text in ["5", "52", "52 degF"] {
            s.write("site.air", text);
        }
        s.add_appliance("grill", System::Us);
        assert_eq!(s.steps(), [true, false]);
        s.undo();
        assert_eq!(s.draft.get("site.air").as_deref(), Some("52 degF"));
        s.undo();
        assert_eq!(s.draft, before);
        assert_eq!(s.steps(), [false, true]);
        s.redo();
        s.redo();
        assert_eq!(s.good.rig.appliances.len(), 6);
        s.undo();
        s.write("title", "Another");
        assert_eq!(
            s.steps(),
            [true, false],
            "a new deed ends what could be redone"
        );
    }

    #[test]
    fn events_follow_a_name_and_go_with_what_they_are_about() {
        let mut s = opening();
        let count = s.good.events.len();
        s.rename(3, "camp burner");
        assert!(s.is_right(), "{:?}", s.wrong);
        assert_eq!(s.good.events.len(), count);
        s.remove_appliance(3);
        assert!(s.is_right(), "{:?}", s.wrong);
        assert_eq!(s.good.events.len(), count - 2);
        s.other_kind(3, "oven", System::Us);
        assert!(s.is_right(), "{:?}", s.wrong);
    }

    #[test]
    fn a_second_container_comes_and_goes_with_all_that_is_said_of_it() {
        let text = include_str!("../../../scenarios/changeover.toml");
        let scenario = Scenario::parse("changeover.toml", text).expect("right");
        let mut s = Sheet::of(&scenario, System::Us);
        s.change("", |d| {
            d.put("supply.service_side", Written::Number("2".to_owned()));
            let at = d.add(
                "event",
                &[
                    ("at", "0 s"),
                    ("inject", "hose_kinked.right"),
                    ("severity", "20 %"),
                ],
            );
            assert_eq!(at, "event.4");
        });
        s.containers(&["horizontal tank"]);
        assert!(s.is_right(), "{:?}", s.wrong);
        assert_eq!(s.good.rig.containers.len(), 1);
        s.containers(&["20 lb cylinder", "20 lb cylinder"]);
        assert!(s.is_right(), "{:?}", s.wrong);
        s.container_kind(1, "upright");
        assert!(s.is_right(), "{:?}", s.wrong);
    }
}
