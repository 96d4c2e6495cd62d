//! Wiring tests: flags reach the code, exit codes, files on disk.

mod damage;
mod kill;
mod layers;
mod memory;
mod printer;
