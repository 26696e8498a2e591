//! A scenario on its way: every key of a file with what is written for it, right or wrong. A form edits this and nothing
//! else, so what a form knows and what a file knows cannot part; what a form does not show is kept.
//!
//! A place is told by its keys with dots between, members of lists by their number: `container.0.fill`.

use super::Scenario;
use super::write::quoted;
use crate::form::Mistakes;
use crate::units::{System, parse_number};
use std::fmt::Write as _;
use toml::{Table, Value};

/// A whole number from here on is none that anything is counted by.
const MOST_COUNTED: f64 = 1e15;

/// What is written for a key.
#[derive(Debug, Clone, PartialEq)]
pub enum Written {
    /// A text: a name, a choice, a quantity with its unit.
    Text(String),
    /// A bare number, as typed; what is none is written as a text and told as a file's would be.
    Number(String),
    /// True or false.
    Flag(bool),
}

/// A mistake, and the place it stands at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong {
    /// Where; empty where it concerns the whole.
    pub at: String,
    /// What is wrong.
    pub message: String,
    /// What would be right; may be empty.
    pub help: String,
}

/// A scenario on its way.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Draft {
    root: Table,
}

/// A table or a list within a value.
fn within<'a>(value: &'a Value, key: &str) -> Option<&'a Value> {
    match value {
        Value::Table(table) => table.get(key),
        Value::Array(list) => list.get(key.parse::<usize>().ok()?),
        _ => None,
    }
}

/// The last key of a place, and what comes before it.
fn last(at: &str) -> (&str, &str) {
    at.rsplit_once('.').unwrap_or(("", at))
}

impl Draft {
    /// A scenario as its file would be written.
    pub fn of(scenario: &Scenario, system: System) -> Self {
        Self {
            root: scenario.to_toml(system).parse().unwrap_or_default(),
        }
    }

    fn find(&self, at: &str) -> Option<&Value> {
        let mut keys = at.split('.');
        let first = self.root.get(keys.next()?)?;
        keys.try_fold(first, within)
    }

    /// The table at a place, made where there is none; none where something else stands on the way.
    fn table(&mut self, at: &str) -> Option<&mut Table> {
        let mut table = &mut self.root;
        let mut keys = at.split('.').filter(|key| !key.is_empty()).peekable();
        while let Some(key) = keys.next() {
            let number = keys.peek().and_then(|next| next.parse::<usize>().ok());
            let inner = match number {
                Some(number) => {
                    keys.next();
                    table.get_mut(key)?.as_array_mut()?.get_mut(number)?
                }
                None => table
                    .entry(key)
                    .or_insert_with(|| Value::Table(Table::new())),
            };
            table = inner.as_table_mut()?;
        }
        Some(table)
    }

    /// What is written there.
    pub fn get(&self, at: &str) -> Option<String> {
        match self.find(at)? {
            Value::String(text) => Some(text.clone()),
            Value::Table(_) | Value::Array(_) => None,
            other => Some(other.to_string()),
        }
    }

    /// Writes there.
    pub fn put(&mut self, at: &str, written: Written) {
        let value = match written {
            Written::Text(text) => Value::String(text),
            Written::Flag(is) => Value::Boolean(is),
            Written::Number(text) => {
                let is_count = text.trim().chars().all(|c| c.is_ascii_digit() || c == ',');
                match parse_number(&text) {
                    Some(whole) if is_count && whole < MOST_COUNTED => Value::Integer(whole as i64),
                    Some(number) => Value::Float(number),
                    None => Value::String(text),
                }
            }
        };
        let (table, key) = last(at);
        if let Some(table) = self.table(table) {
            table.insert(key.to_owned(), value);
        }
    }

    /// Takes away what stands there, and a table that nothing is left in.
    pub fn clear(&mut self, at: &str) {
        let (table, key) = last(at);
        if self.find(at).is_none() {
            return;
        }
        let Some(inner) = self.table(table) else {
            return;
        };
        inner.remove(key);
        let is_member = table
            .rsplit('.')
            .next()
            .is_some_and(|k| k.parse::<usize>().is_ok());
        if inner.is_empty() && !table.is_empty() && !is_member {
            self.clear(table);
        }
    }

    /// Empties a table that stays.
    pub fn reset(&mut self, at: &str) {
        if let Some(table) = self.table(at) {
            table.clear();
        }
    }

    /// How many tables a list has.
    pub fn count(&self, list: &str) -> usize {
        self.find(list)
            .and_then(Value::as_array)
            .map_or(0, Vec::len)
    }

    /// Adds a table to a list; gives its place.
    pub fn add(&mut self, list: &str, keys: &[(&str, &str)]) -> String {
        let new: Table = keys
            .iter()
            .map(|(key, text)| ((*key).to_owned(), Value::String((*text).to_owned())))
            .collect();
        let (table, key) = last(list);
        let mut count = 0;
        if let Some(table) = self.table(table) {
            let tables = table.entry(key).or_insert_with(|| Value::Array(Vec::new()));
            if let Value::Array(tables) = tables {
                tables.push(Value::Table(new));
                count = tables.len();
            }
        }
        format!("{list}.{}", count.saturating_sub(1))
    }

    /// Takes a table out of a list.
    pub fn remove(&mut self, list: &str, number: usize) {
        let (table, key) = last(list);
        let Some(inner) = self.table(table) else {
            return;
        };
        let tables = inner.get_mut(key).and_then(Value::as_array_mut);
        let Some(tables) = tables.filter(|tables| number < tables.len()) else {
            return;
        };
        tables.remove(number);
        if tables.is_empty() {
            self.clear(list);
        }
    }

    /// The text of the file, and for each of its lines the place it tells.
    fn text(&self) -> (String, Vec<String>) {
        let (mut out, mut places) = (String::new(), Vec::new());
        lines(&self.root, "", "", &mut out, &mut places);
        (out, places)
    }

    /// Reads it as a file is read.
    ///
    /// # Errors
    /// Every mistake with the place it stands at.
    pub fn check(&self) -> Result<Scenario, Vec<Wrong>> {
        let (text, places) = self.text();
        Scenario::parse("the rig", &text).map_err(|mistakes| placed(mistakes, &places))
    }
}

fn placed(mistakes: Mistakes, places: &[String]) -> Vec<Wrong> {
    let at = |line: usize| places.get(line - 1).cloned().unwrap_or_default();
    mistakes
        .list
        .into_iter()
        .map(|mistake| Wrong {
            at: mistake.place.map_or_else(String::new, |p| at(p.line)),
            message: mistake.message,
            help: mistake.help,
        })
        .collect()
}

/// The lines of a table: what it holds itself, then its tables. `title` stands between brackets, `at` tells the place.
fn lines(table: &Table, title: &str, at: &str, out: &mut String, places: &mut Vec<String>) {
    let inner = |outer: &str, key: &str| match outer {
        "" => key.to_owned(),
        outer => format!("{outer}.{key}"),
    };
    let is_list = |value: &Value| {
        value
            .as_array()
            .is_some_and(|list| !list.is_empty() && list.iter().all(Value::is_table))
    };
    let line = |out: &mut String, places: &mut Vec<String>, text: String, at: String| {
        let _ = writeln!(out, "{text}");
        places.push(at);
    };
    let own = |value: &&Value| !value.is_table() && !is_list(value);
    for (key, value) in table.iter().filter(|(_, value)| own(value)) {
        let text = match value {
            Value::String(text) => quoted(text),
            other => other.to_string(),
        };
        line(out, places, format!("{key} = {text}"), inner(at, key));
    }
    for (key, value) in table {
        let (title, at) = (inner(title, key), inner(at, key));
        match value {
            Value::Table(table) => {
                line(out, places, format!("[{title}]"), at.clone());
                lines(table, &title, &at, out, places);
            }
            Value::Array(list) if is_list(value) => {
                for (i, table) in list.iter().filter_map(Value::as_table).enumerate() {
                    let at = format!("{at}.{i}");
                    line(out, places, format!("[[{title}]]"), at.clone());
                    lines(table, &title, &at, out, places);
                }
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::SHIPPED;

    /// What a form holds of a file says the same as the file, in either system.
    #[test]
    fn a_draft_says_what_its_scenario_says() {
        for (name, text) in SHIPPED {
            let scenario = Scenario::parse(name, text).unwrap_or_else(|e| panic!("{e}"));
            for system in [System::Us, System::Si] {
                let draft = Draft::of(&scenario, system);
                let again = draft.check().unwrap_or_else(|e| panic!("{name}: {e:?}"));
                crate::scenario::tests::same(&scenario, &again)
                    .unwrap_or_else(|e| panic!("{name}: {e}"));
            }
        }
    }

    #[test]
    fn a_mistake_is_told_at_its_place() {
        let mut draft = Draft::of(&Scenario::opening(), System::Us);
        draft.put("container.0.fill", Written::Text("120 %".to_owned()));
        draft.put("appliance.1.rating", Written::Text("many".to_owned()));
        draft.put("site.air", Written::Text("60".to_owned()));
        draft.put("regulator.second.vent.open", Written::Text("2".to_owned()));
        draft.clear("run.duration");
        let wrong = draft.check().expect_err("wrong in five places");
        let places: Vec<&str> = wrong.iter().map(|w| w.at.as_str()).collect();
        for at in [
            "container.0.fill",
            "appliance.1.rating",
            "site.air",
            "regulator.second.vent.open",
            "run",
        ] {
            assert!(places.contains(&at), "{at}: {wrong:?}");
        }
    }

    #[test]
    fn lists_grow_and_shrink_and_nothing_empty_stays() {
        let before = Draft::of(&Scenario::opening(), System::Us);
        let mut draft = before.clone();
        let at = draft.add(
            "piping.section",
            &[("material", "hose"), ("size", "3/8 in")],
        );
        assert_eq!(at, "piping.section.0");
        draft.put("piping.section.0.length", Written::Text("2 ft".to_owned()));
        draft.put(
            "piping.section.0.minor_loss",
            Written::Number("0.5".to_owned()),
        );
        let laid = draft.check().expect("right");
        assert_eq!(laid.sections.len(), 1);
        assert_eq!(
            draft.get("piping.section.0.minor_loss").as_deref(),
            Some("0.5")
        );
        draft.remove("piping.section", 0);
        assert_eq!(draft, before);
        draft.put("container.0.fill", Written::Number("x".to_owned()));
        assert!(draft.check().is_err());
        // Nothing there is nothing done.
        draft.remove("piping.section", 3);
        draft.clear("site.wind");
        draft.put("appliance.99.rating", Written::Flag(true));
        assert_eq!(draft.count("appliance"), before.count("appliance"));
    }
}
