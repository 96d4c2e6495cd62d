//! The command line: parses, calls `app`, prints.

pub mod trace;
