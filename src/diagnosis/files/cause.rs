//! The names of causes.

use crate::fault::Fault;

/// The name of a cause for people.
pub fn cause_name(cause: Option<Fault>) -> String {
    cause.map_or_else(|| "nothing wrong".to_owned(), Fault::name)
}

/// The name of a cause in files.
pub fn cause_id(cause: Option<Fault>) -> String {
    cause.map_or_else(|| "healthy".to_owned(), |f| f.to_string())
}
