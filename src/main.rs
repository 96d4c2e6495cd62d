//! Starts the program; everything else is in the library.
fn main() {}
