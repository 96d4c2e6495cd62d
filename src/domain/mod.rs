//! The rules: jobs, patterns, cards, memory, queue, judging. Pure: no files, clock, terminal.

pub mod card;
pub mod circuit;
pub mod families;
pub mod history;
pub mod ids;
pub mod job;
pub mod judge;
pub mod queue;
pub mod review;
pub mod sitting;
pub mod text;
pub mod units;
