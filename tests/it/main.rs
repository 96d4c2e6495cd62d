//! Wiring tests: flags reach the code, exit codes, files on disk.

mod layers;
mod memory;
