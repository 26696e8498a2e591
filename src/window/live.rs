pub use super::standin::*;
