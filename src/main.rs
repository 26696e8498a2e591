//! The thin binary.
fn main() {}
