//! The form and its tables: getters by type, each noting what is wrong.

use std::ops::Range;
use std::path::Path;

use toml::de::DeTable;

use super::field::{Field, Owner, Reading};
use super::file::{FormError, read_file};
use super::mistake::{Mistake, Mistakes, Notes, Place};
use super::rows;
use super::syntax;
use super::tree::{Entry, Kind, Limits, Table, Value, build};
use super::words::{few, is_none, meant, once};
use crate::units::{Dimension, Unit, echoed, nearest, parse_with_unit};

/// Longest text a key may hold unless the reader says otherwise.
const TEXT_CHARS: usize = 4000;

/// What to do with a file that says nothing, where its kind is not known.
const SHIPPED: &str = "one of the shipped files as a start";

/// A file being read, with the mistakes found so far.
#[derive(Debug)]
pub struct Form {
    pub(super) file_name: String,
    pub(super) notes: Notes,
    pub(super) root: Table,
}

impl Form {
    /// Takes in the text of a file within the default [`Limits`].
    ///
    /// # Errors
    /// The mistakes of an empty, too large or ill-formed text. What the keys hold is told by
    /// [`Form::finish`].
    pub fn parse(file_name: &str, source: &str) -> Result<Self, Mistakes> {
        Self::parse_within(file_name, source, Limits::default())
    }

    /// As [`Form::parse`], within other limits.
    ///
    /// # Errors
    /// As [`Form::parse`].
    pub fn parse_within(file_name: &str, source: &str, limits: Limits) -> Result<Self, Mistakes> {
        Self::parse_like(file_name, source, limits, SHIPPED)
    }

    /// As [`Form::parse_within`]; `shortest` is what a shortest file of its kind holds, told where nothing stands in it.
    fn parse_like(
        file_name: &str,
        source: &str,
        limits: Limits,
        shortest: &str,
    ) -> Result<Self, Mistakes> {
        let whole = |message: String, help: &str| {
            let mistake = Mistake {
                place: None,
                message,
                help: help.to_owned(),
            };
            Mistakes::new(file_name, "", vec![mistake])
        };
        if source.len() as u64 > limits.bytes {
            let message = format!("the file is longer than {} bytes", limits.bytes);
            return Err(whole(message, "a shorter file"));
        }
        let is_blank = |line: &str| line.trim().is_empty() || line.trim_start().starts_with('#');
        if source.trim_start_matches('\u{FEFF}').lines().all(is_blank) {
            return Err(whole("the file says nothing".to_owned(), shortest));
        }
        if let Some(mistake) = rows::instead(source) {
            return Err(Mistakes::new(file_name, "", vec![mistake]));
        }
        let (parsed, errors) = DeTable::parse_recoverable(source);
        if !errors.is_empty() {
            return Err(Mistakes::new(
                file_name,
                source,
                syntax::mistakes(source, &errors),
            ));
        }
        let root = build(parsed.get_ref(), limits).map_err(|excess| {
            let place = Some(Place::new(source, excess.span));
            let help = "a simpler file".to_owned();
            Mistakes::new(
                file_name,
                source,
                vec![Mistake {
                    place,
                    message: excess.message,
                    help,
                }],
            )
        })?;
        Ok(Self {
            file_name: file_name.to_owned(),
            notes: Notes::new(source),
            root,
        })
    }

    /// Reads and takes in a file. It is named by its path in what is told.
    ///
    /// # Errors
    /// As [`read_file`] and [`Form::parse`].
    pub fn load(path: &Path) -> Result<Self, FormError> {
        Self::load_like(path, SHIPPED)
    }

    /// As [`Form::load`]; `shortest` is what a shortest file of its kind holds, told where nothing stands in it.
    ///
    /// # Errors
    /// As [`Form::load`].
    pub fn load_like(path: &Path, shortest: &str) -> Result<Self, FormError> {
        let limits = Limits::default();
        let name = path.display().to_string();
        let source = match read_file(path, limits.bytes) {
            // What was recorded over an evening is long, and no shorter for being shortened.
            Err(too_long @ FormError::TooLong { .. }) => {
                let known = rows::begins_as(path);
                return Err(known.map_or(too_long, |m| Mistakes::new(&name, "", vec![m]).into()));
            }
            read => read?,
        };
        Ok(Self::parse_like(&name, &source, limits, shortest)?)
    }

    /// The file's own table.
    pub fn root(&self) -> TableReader<'_> {
        TableReader::open(self, &self.root)
    }

    /// The name given to it.
    pub fn file_name(&self) -> &str {
        &self.file_name
    }

    /// The text of the file.
    pub fn source(&self) -> &str {
        &self.notes.source
    }

    /// `value`, if nothing was wrong and every key of the tables read was asked for.
    ///
    /// # Errors
    /// Every mistake noted, and the keys nobody asked for.
    pub fn finish<T>(&self, value: T) -> Result<T, Mistakes> {
        let mut list = self.notes.noted();
        if let Some(other) = self.is_another_kind() {
            list = vec![other];
        } else {
            let refused = self.notes.refused();
            self.unknown_keys(&self.root, &refused, &mut list);
        }
        if list.is_empty() {
            Ok(value)
        } else {
            Err(Mistakes::new(&self.file_name, &self.notes.source, list))
        }
    }
}

/// One table of a form. Copies share what is known of the table.
#[derive(Debug, Clone, Copy)]
pub struct TableReader<'f> {
    form: &'f Form,
    table: &'f Table,
}

impl<'f> TableReader<'f> {
    fn open(form: &'f Form, table: &'f Table) -> Self {
        table.is_opened.set(true);
        Self { form, table }
    }

    /// How messages name it: `[regulator]`, `[[appliance]] no. 2`; empty for the file itself.
    pub fn title(&self) -> &'f str {
        &self.table.title
    }

    /// The names that stand in the table, in order; all of them count as known from now on. For
    /// tables whose names are the writer's own.
    pub fn names(&self) -> Vec<&'f str> {
        let entries = &self.table.entries;
        for entry in entries {
            self.know(&entry.name);
        }
        entries.iter().map(|entry| entry.name.as_str()).collect()
    }

    /// Whether the key is there. It counts as known from now on.
    pub fn has(&self, key: &str) -> bool {
        self.find(key).is_some()
    }

    /// The one key of several that is there. None or more than one is a mistake.
    pub fn one_of<'k>(&self, keys: &[&'k str]) -> Option<&'k str> {
        let here: Vec<&'k str> = keys.iter().copied().filter(|key| self.has(key)).collect();
        match here[..] {
            [key] => Some(key),
            [] => {
                let message = format!("{} says none of {}", self.spoken(), keys.join(", "));
                let header = self.table.header.clone();
                let help = "one of them".to_owned();
                self.form.notes.note_lack(header, message, help);
                None
            }
            [first, second, ..] => {
                self.table.is_left.set(true);
                let message = format!("`{first}` and `{second}` cannot stand together");
                self.complain(second, message, "two tables, one for each");
                None
            }
        }
    }

    /// Notes a mistake about a key, for checks that look at more than one value. `help` goes on
    /// from "try:".
    pub fn complain(&self, key: &str, message: impl Into<String>, help: impl Into<String>) {
        let entry = self.table.entries.iter().find(|entry| entry.name == key);
        let span = entry.map_or(self.table.header.clone(), |entry| match entry.value.kind {
            Kind::Table(_) | Kind::List(_) => entry.name_span.clone(),
            _ => entry.value.span.clone(),
        });
        self.form.notes.note(span, message.into(), help.into());
    }

    /// A text. Control characters other than line ends and tabs are refused.
    pub fn text(&self, key: &str) -> Field<'f, String> {
        self.long_text(key, TEXT_CHARS)
    }

    /// A text that may be longer than one that people read: up to `most` characters.
    pub fn long_text(&self, key: &str, most: usize) -> Field<'f, String> {
        self.read(key, format!("{key} = \"...\""), |value| match &value.kind {
            Kind::Text(text) => self.clean(key, &value.span, text),
            other => self.is_not(key, value, other, "a text", &format!("{key} = \"...\"")),
        })
        .at_most_chars(most)
    }

    /// A quantity with its unit, in SI.
    pub fn quantity(&self, key: &str, wanted: Dimension) -> Field<'f, f64> {
        let mut unit = wanted.si_unit();
        let field = self.read(key, example(key, wanted), |value| {
            let (number, written) = self.one_quantity(key, value, wanted)?;
            unit = written;
            Some(number)
        });
        field.in_unit(unit)
    }

    /// A list of quantities, each with its unit, in SI.
    pub fn quantities(&self, key: &str, wanted: Dimension) -> Field<'f, Vec<f64>> {
        let [us, si] = wanted.examples();
        let right = format!("{key} = [\"{us}\", \"{si}\"]");
        self.list(key, &right, |value| {
            Some(self.one_quantity(key, value, wanted)?.0)
        })
    }

    /// A list of texts.
    pub fn texts(&self, key: &str) -> Field<'f, Vec<String>> {
        let right = format!("{key} = [\"...\", \"...\"]");
        self.list(key, &right, |value| match &value.kind {
            Kind::Text(text) => self.clean(key, &value.span, text),
            other => self.is_not(key, value, other, "a text", &right),
        })
    }

    /// A number without a unit. Infinite ones are refused.
    pub fn number(&self, key: &str) -> Field<'f, f64> {
        let right = format!("{key} = 1.5");
        self.read(key, right.clone(), |value| match value.kind {
            Kind::Number(number) if number.is_finite() => Some(number),
            Kind::Integer(number) => Some(number as f64),
            Kind::Number(_) => {
                let message = format!("`{key}` is no number to compute with");
                self.form
                    .notes
                    .note(value.span.clone(), message, right.clone());
                None
            }
            ref other => self.is_not(key, value, other, "a number", &right),
        })
    }

    /// A whole number.
    pub fn integer(&self, key: &str) -> Field<'f, i64> {
        let right = format!("{key} = 3");
        self.read(key, right.clone(), |value| match value.kind {
            Kind::Integer(number) => Some(number),
            ref other => self.is_not(key, value, other, "a whole number", &right),
        })
    }

    /// True or false.
    pub fn boolean(&self, key: &str) -> Field<'f, bool> {
        let right = format!("{key} = true");
        self.read(key, right, |value| match &value.kind {
            Kind::Boolean(is_true) => Some(*is_true),
            other => {
                let help = match other {
                    Kind::Text(text) => meant(text).map(|is_true| format!("{key} = {is_true}")),
                    _ => None,
                };
                let help = help.unwrap_or_else(|| format!("{key} = true, or {key} = false"));
                self.is_not(key, value, other, "true or false", &help)
            }
        })
    }

    /// One of several named things.
    pub fn choice<T: Clone>(&self, key: &str, choices: &[(&str, T)]) -> Field<'f, T> {
        let first = choices.first().map_or("...", |(name, _)| name);
        let right = format!("{key} = \"{first}\"");
        self.read(key, right, |value| match &value.kind {
            Kind::Text(text) => self.chosen(key, &value.span, text, choices),
            // Whoever answers yes or no may write true or false.
            Kind::Boolean(is_true) if choices.iter().any(|(name, _)| *name == "yes") => {
                let word = if *is_true { "yes" } else { "no" };
                self.chosen(key, &value.span, word, choices)
            }
            other => {
                self.table.is_left.set(true);
                let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
                let help = match names[..] {
                    [] => "leaving it out: there is none to name".to_owned(),
                    [one] => format!("{key} = \"{one}\""),
                    _ => format!("one of {}", few("", &once(&names))),
                };
                self.is_not(key, value, other, "a name", &help)
            }
        })
    }

    /// A quantity as it was read on an instrument: once, or several times as a list, of which the mean counts; over the
    /// instrument's range, `"> 16 inwc"`, each time then; or, of a difference, that there was none.
    pub fn reading(&self, key: &str, wanted: Dimension) -> Field<'f, Reading> {
        self.read(key, example(key, wanted), |value| {
            let Kind::List(items) = &value.kind else {
                return self.one_reading(key, value, wanted);
            };
            let all: Option<Vec<Reading>> = items
                .iter()
                .map(|item| self.one_reading(key, item, wanted))
                .collect();
            let all = all?;
            let Some(first) = all.first() else {
                return self.one_reading(key, value, wanted);
            };
            let over = all.iter().filter(|r| r.is_over).count();
            let of =
                |pick: fn(f64, f64) -> f64| all.iter().map(|r| r.value).fold(first.value, pick);
            let (least, most) = (of(f64::min), of(f64::max));
            if over == all.len() {
                // What lies over each of their ranges lies over the widest.
                return Some(Reading {
                    value: most,
                    ..*first
                });
            }
            if over > 0 {
                let message = format!("`{key}` was read within the range of a gauge and over it");
                let help =
                    "the one of the state that the table means: something changed in between";
                self.complain(key, message, help);
                return None;
            }
            Some(Reading {
                value: all.iter().map(|r| r.value).sum::<f64>() / all.len() as f64,
                unit: None,
                times: all.len(),
                apart: most - least,
                is_over: false,
            })
        })
    }

    fn one_reading(&self, key: &str, value: &Value, wanted: Dimension) -> Option<Reading> {
        let once = |value: f64, unit: Option<&'static Unit>, is_over: bool| Reading {
            value,
            unit,
            times: 1,
            apart: 0.0,
            is_over,
        };
        let Kind::Text(text) = &value.kind else {
            let (value, unit) = self.one_quantity(key, value, wanted)?;
            return Some(once(value, Some(unit), false));
        };
        if wanted == Dimension::PressureDifference && is_none(text) {
            return Some(once(0.0, None, false));
        }
        let over = text.trim().strip_prefix(['>', '≥']);
        let over = over.or_else(|| text.trim().strip_prefix("over "));
        let bare = Value {
            kind: Kind::Text(over.unwrap_or(text).to_owned()),
            span: value.span.clone(),
        };
        let (value, unit) = self.one_quantity(key, &bare, wanted)?;
        Some(once(value, Some(unit), over.is_some()))
    }

    /// A table within this one.
    pub fn table(&self, key: &str) -> Field<'f, TableReader<'f>> {
        let right = format!("a table [{}]", self.path_to(key));
        self.read(key, right.clone(), |value| match &value.kind {
            Kind::Table(table) => Some(Self::open(self.form, table)),
            other => self.is_not(key, value, other, "a table", &right),
        })
    }

    /// The tables of a name that may stand several times, `[[appliance]]`.
    pub fn tables(&self, key: &str) -> Field<'f, Vec<TableReader<'f>>> {
        let path = self.path_to(key);
        let right = format!("a table [[{path}]]");
        self.read(key, right.clone(), |value| match &value.kind {
            Kind::List(items) => items
                .iter()
                .map(|item| match &item.kind {
                    Kind::Table(table) => Some(Self::open(self.form, table)),
                    other => self.is_not(key, item, other, "a table", &right),
                })
                .collect(),
            Kind::Table(_) => {
                let message = format!("`{key}` may stand several times, so it has double brackets");
                self.complain(key, message, format!("[[{path}]]"));
                None
            }
            other => self.is_not(key, value, other, "a list of tables", &right),
        })
    }

    /// How a key of this table stands between brackets of its own, `rig.run`.
    fn path_to(&self, key: &str) -> String {
        let title = self.table.title.trim_start_matches('[');
        match title.split(']').next() {
            None | Some("") => key.to_owned(),
            Some(path) => format!("{path}.{key}"),
        }
    }

    /// The table's name at the start of a sentence.
    fn spoken(&self) -> &'f str {
        if self.table.title.is_empty() {
            "the file"
        } else {
            &self.table.title
        }
    }

    fn know(&self, key: &str) {
        let mut known = self.table.known.borrow_mut();
        if !known.iter().any(|name| name == key) {
            known.push(key.to_owned());
        }
    }

    fn find(&self, key: &str) -> Option<&'f Entry> {
        self.know(key);
        self.table.entries.iter().find(|entry| entry.name == key)
    }

    /// A field from the key's value; `take` notes its own mistakes and then gives nothing.
    fn read<T>(
        &self,
        key: &str,
        right: String,
        take: impl FnOnce(&'f Value) -> Option<T>,
    ) -> Field<'f, T> {
        let found = self.find(key).map(|entry| {
            let is_long = matches!(entry.value.kind, Kind::Table(_) | Kind::List(_));
            let span = if is_long {
                &entry.name_span
            } else {
                &entry.value.span
            };
            (span.clone(), take(&entry.value))
        });
        let owner = Owner {
            notes: &self.form.notes,
            spoken: self.spoken(),
            header: &self.table.header,
        };
        Field::new(owner, key, right, found)
    }

    fn list<T>(
        &self,
        key: &str,
        right: &str,
        take: impl Fn(&'f Value) -> Option<T>,
    ) -> Field<'f, Vec<T>> {
        self.read(key, right.to_owned(), |value| match &value.kind {
            // Every item is looked at, so that every mistake is told.
            Kind::List(items) => {
                let taken: Vec<Option<T>> = items.iter().map(take).collect();
                taken.into_iter().collect()
            }
            other => self.is_not(key, value, other, "a list", right),
        })
    }

    fn one_quantity(
        &self,
        key: &str,
        value: &Value,
        wanted: Dimension,
    ) -> Option<(f64, &'static Unit)> {
        let text = match &value.kind {
            Kind::Text(text) => text.clone(),
            // A bare number: a share may be one, anything else is told its unit is missing.
            Kind::Integer(number) => number.to_string(),
            Kind::Number(number) => echoed(*number),
            other => {
                return self.is_not(
                    key,
                    value,
                    other,
                    wanted.with_article(),
                    &example(key, wanted),
                );
            }
        };
        parse_with_unit(&text, wanted)
            .map_err(|error| {
                let message = format!("`{key}`: {}", error.message());
                self.form
                    .notes
                    .note(value.span.clone(), message, error.help());
            })
            .ok()
    }

    fn clean(&self, key: &str, span: &Range<usize>, text: &str) -> Option<String> {
        if text
            .chars()
            .any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
        {
            let message = format!("`{key}` holds a control character");
            self.form
                .notes
                .note(span.clone(), message, "the text without it".to_owned());
            return None;
        }
        Some(text.to_owned())
    }

    fn chosen<T: Clone>(
        &self,
        key: &str,
        span: &Range<usize>,
        text: &str,
        choices: &[(&str, T)],
    ) -> Option<T> {
        let same = |name: &str| name.eq_ignore_ascii_case(text.trim());
        if let Some((_, value)) = choices.iter().find(|(name, _)| same(name)) {
            return Some(value.clone());
        }
        self.table.is_left.set(true);
        let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
        let help = match nearest(text, names.iter().copied()) {
            // A "no" is one letter from "on", and means the opposite.
            Some(near) if meant(text).is_none() || meant(text) == meant(near) => {
                format!("\"{near}\"")
            }
            _ if choices.is_empty() => "leaving it out: there is none to name".to_owned(),
            _ => format!("one of {}", few(text, &once(&names))),
        };
        let short: String = text.chars().take(40).collect();
        let message = format!("`{key}` knows no `{short}`");
        self.form.notes.note(span.clone(), message, help);
        None
    }

    /// Notes that a value is of another kind than wanted.
    fn is_not<T>(
        &self,
        key: &str,
        value: &Value,
        found: &Kind,
        wanted: &str,
        right: &str,
    ) -> Option<T> {
        let message = format!("`{key}` is {}; {wanted} is wanted", found.with_article());
        self.form
            .notes
            .note(value.span.clone(), message, right.to_owned());
        None
    }
}

fn example(key: &str, wanted: Dimension) -> String {
    let [us, si] = wanted.examples();
    format!("{key} = \"{us}\" or \"{si}\"")
}
