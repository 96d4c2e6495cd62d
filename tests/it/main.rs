//! Wiring tests: flags reach the code, exit codes, files on disk.

mod common;
mod damage;
mod drill;
mod kill;
mod layers;
mod memory;
mod printer;
mod screen;
mod shop;
