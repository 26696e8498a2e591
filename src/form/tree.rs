//! The file as a tree of values that know their place, and the bounds on what is taken in.

use std::cell::{Cell, RefCell};
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Bounds on a file, because files come by mail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Longest text, bytes.
    pub bytes: u64,
    /// Most values, tables and lists together.
    pub values: usize,
    /// Most keys in one table.
    pub keys: usize,
    /// Deepest table or list within another.
    pub depth: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: 1_000_000,
            values: 20_000,
            keys: 500,
            depth: 12,
        }
    }
}

/// A value and its bytes in the source.
#[derive(Debug)]
pub(super) struct Value {
    pub span: Range<usize>,
    pub kind: Kind,
}

/// What a value is.
#[derive(Debug)]
pub(super) enum Kind {
    Text(String),
    Integer(i64),
    Number(f64),
    Boolean(bool),
    Date,
    List(Vec<Value>),
    Table(Table),
}

/// A table: its entries, and what a reader has asked of it.
#[derive(Debug, Default)]
pub(super) struct Table {
    /// How it is named in a message: `[regulator]`; empty for the file itself.
    pub title: String,
    /// Where its header stands; empty for the file itself.
    pub header: Range<usize>,
    /// In the order of the file.
    pub entries: Vec<Entry>,
    /// Names asked for, whether they are there or not.
    pub known: RefCell<Vec<String>>,
    /// Whether anyone read it; only then are its unknown keys its own mistake.
    pub is_opened: Cell<bool>,
    /// Whether a word in it was refused that decides what else is asked of it: then what nobody asked for is no mistake.
    pub is_left: Cell<bool>,
}

/// A key and its value.
#[derive(Debug)]
pub(super) struct Entry {
    pub name: String,
    pub name_span: Range<usize>,
    pub value: Value,
}

/// A file too deep or too full, and where that shows.
#[derive(Debug)]
pub(super) struct Excess {
    pub span: Range<usize>,
    pub message: String,
}

impl Kind {
    /// What it is, with its article.
    pub fn with_article(&self) -> &'static str {
        match self {
            Self::Text(_) => "a text",
            Self::Integer(_) => "a whole number",
            Self::Number(_) => "a number",
            Self::Boolean(_) => "true or false",
            Self::Date => "a date",
            Self::List(items) if items.iter().any(|item| matches!(item.kind, Kind::Table(_))) => {
                "a list of tables"
            }
            Self::List(_) => "a list",
            Self::Table(_) => "a table",
        }
    }
}

/// Copies the parsed tables into a tree within the limits.
pub(super) fn build(root: &DeTable<'_>, limits: Limits) -> Result<Table, Excess> {
    let mut builder = Builder { limits, count: 0 };
    builder.table(root, String::new(), 0..0, "", 0)
}

struct Builder {
    limits: Limits,
    count: usize,
}

impl Builder {
    fn table(
        &mut self,
        from: &DeTable<'_>,
        title: String,
        header: Range<usize>,
        path: &str,
        depth: usize,
    ) -> Result<Table, Excess> {
        if from.len() > self.limits.keys {
            let message = format!("a table holds more than {} keys", self.limits.keys);
            let span = header;
            return Err(Excess { span, message });
        }
        let mut entries = Vec::new();
        for (name, value) in from {
            let path = if path.is_empty() {
                name.get_ref().to_string()
            } else {
                format!("{path}.{}", name.get_ref())
            };
            entries.push(Entry {
                name: name.get_ref().to_string(),
                name_span: name.span(),
                value: self.value(value, &path, None, depth + 1)?,
            });
        }
        entries.sort_by_key(|entry| entry.name_span.start);
        Ok(Table {
            title,
            header,
            entries,
            ..Table::default()
        })
    }

    /// `number` is the place in a list, from 1.
    fn value(
        &mut self,
        from: &Spanned<DeValue<'_>>,
        path: &str,
        number: Option<usize>,
        depth: usize,
    ) -> Result<Value, Excess> {
        let span = from.span();
        self.count += 1;
        if self.count > self.limits.values {
            let message = format!("the file holds more than {} values", self.limits.values);
            return Err(Excess { span, message });
        }
        if depth > self.limits.depth {
            let message = format!(
                "tables or lists within each other over {} deep",
                self.limits.depth
            );
            return Err(Excess { span, message });
        }
        let kind = match from.get_ref() {
            DeValue::String(text) => Kind::Text(text.to_string()),
            DeValue::Integer(digits) => i64::from_str_radix(digits.as_str(), digits.radix())
                .map_or(Kind::Number(f64::INFINITY), Kind::Integer),
            DeValue::Float(digits) => Kind::Number(digits.as_str().parse().unwrap_or(f64::NAN)),
            DeValue::Boolean(is_true) => Kind::Boolean(*is_true),
            DeValue::Datetime(_) => Kind::Date,
            DeValue::Array(items) => {
                let mut list = Vec::new();
                for (index, item) in items.iter().enumerate() {
                    list.push(self.value(item, path, Some(index + 1), depth + 1)?);
                }
                Kind::List(list)
            }
            DeValue::Table(table) => {
                let title = match number {
                    Some(number) => format!("[[{path}]] no. {number}"),
                    None => format!("[{path}]"),
                };
                Kind::Table(self.table(table, title, span.clone(), path, depth)?)
            }
        };
        Ok(Value { span, kind })
    }
}
