//! What in a file nobody asked for: keys that no reader knows, or a file of another kind.

use std::collections::HashSet;

use super::kind;
use super::mistake::{KEPT, Mistake, Place};
use super::reader::Form;
use super::tree::{Entry, Kind, Table};
use crate::units::nearest;

/// Bytes of the source at which a mistake was noted.
pub(super) type Refused = HashSet<(usize, usize)>;

impl Form {
    /// That the whole file is of another kind than the one read.
    pub(super) fn is_another_kind(&self) -> Option<Mistake> {
        let known = self.root.known.borrow();
        let keys: Vec<&str> = self.root.entries.iter().map(|e| e.name.as_str()).collect();
        let (name, read_by) = kind::other(&keys, &known)?;
        Some(Mistake {
            place: None,
            message: format!("this is {name}"),
            help: format!("{read_by}, which reads it"),
        })
    }

    /// Keys that nobody asked for. What stands under a refused table, or beside a refused word that decides what else is
    /// asked, was not asked for because of that: it is not judged.
    pub(super) fn unknown_keys(&self, table: &Table, refused: &Refused, list: &mut Vec<Mistake>) {
        if !table.is_opened.get() || list.len() >= KEPT {
            return;
        }
        let known = table.known.borrow();
        for entry in &table.entries {
            if !known.contains(&entry.name) && list.len() < KEPT {
                let unknown = self.unknown_key(table, entry, &known);
                // A slip of the pen is one whatever the word would have asked.
                if !table.is_left.get() || unknown.1 {
                    list.push(unknown.0);
                }
                continue;
            }
            if refused.contains(&(entry.name_span.start, entry.name_span.end)) {
                continue;
            }
            match &entry.value.kind {
                Kind::Table(inner) => self.unknown_keys(inner, refused, list),
                Kind::List(items) => items.iter().for_each(|item| {
                    if let Kind::Table(inner) = &item.kind {
                        self.unknown_keys(inner, refused, list);
                    }
                }),
                _ => {}
            }
        }
    }

    /// The mistake, and whether it is near a key that was asked for.
    fn unknown_key(&self, table: &Table, entry: &Entry, known: &[String]) -> (Mistake, bool) {
        let wanted = || known.iter().map(String::as_str);
        let near = nearest(&entry.name, wanted());
        let is_near = near.is_some();
        let help = match near {
            Some(near) => format!("`{near}`"),
            None if known.is_empty() => "leaving it out".to_owned(),
            None => format!("one of {}", wanted().collect::<Vec<_>>().join(", ")),
        };
        let message = match table.title.as_str() {
            "" => format!("unknown key `{}` at the top of the file", entry.name),
            title => format!("unknown key `{}` in {title}", entry.name),
        };
        let place = Some(Place::new(&self.notes.source, entry.name_span.clone()));
        let mistake = Mistake {
            place,
            message,
            help,
        };
        (mistake, is_near)
    }
}
