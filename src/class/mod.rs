//! A class: one folder on a stick or a shared drive that holds the list of its people, drills, attempts and reports. No
//! server and no account.
//!
//! * [`list`] is `class.toml`: who is in the class under which pseudonym, which drills in which order.
//! * [`name`] tells from the name of an attempt's file whose it is and in which order it was begun.
//! * [`folder`] opens such a folder, begins attempts in it and goes on with them, releases them.
//! * [`tries`] reads all attempts of a class and says which are retries, which were worked on in two places.
//!
//! How nothing is lost: every process writes a file of its own that only grows ([`crate::drill::attempt::log`]); whoever
//! goes on with an attempt copies what was acknowledged into a new file; files are told apart by random names and put in
//! order by a counter, never by a clock. Everything else is worked out from the files whenever it is asked for.

pub mod folder;
pub mod habits;
pub mod list;
pub mod name;
pub mod next;
pub mod rating;
pub mod standing;
pub mod tries;

pub use folder::{ClassError, ClassFolder};
pub use list::{ClassList, Trainee};
pub use tries::{Tries, Try};
