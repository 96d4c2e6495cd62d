//! Wiring tests: flags reach the code, exit codes, files on disk.
#![expect(
    clippy::disallowed_methods,
    reason = "tests look at the program's files and surroundings from outside"
)]

mod add;
mod answers;
mod backlog;
mod brief;
mod cells;
mod clocks;
mod common;
mod damage;
mod desk;
mod drill;
mod export;
mod fit;
mod fit_log;
mod fuzz_intake;
mod gaps;
mod generator;
mod held_out;
mod help;
mod import;
mod jobs;
mod jobs_check;
mod keeping;
mod kill;
mod kinds;
mod layers;
mod learning;
mod lending;
mod memory;
mod panic;
mod plan;
mod power_cut;
mod practice_shop;
mod print;
mod printer;
mod printer_jobs;
mod read_only;
mod ready_by;
mod rebuild;
mod rule_answers;
mod rule_answers_more;
mod rule_decks;
mod screen;
mod sheet_score;
mod sheets;
mod shipped;
mod shop;
#[path = "../../benches/learning/simulate/mod.rs"]
#[expect(dead_code, reason = "the bench uses the rest")]
mod simulate;
mod stored_charge;
mod suspects;
mod terminal;
mod tour;
mod weighing;
mod wire;
