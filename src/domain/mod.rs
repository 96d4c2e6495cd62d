//! The rules: jobs, patterns, cards, memory, queue, judging. Pure: no files, clock, terminal.

pub mod calendar;
pub mod borders;
pub mod card;
pub mod caution;
pub mod circuit;
pub mod families;
pub mod history;
pub mod ids;
pub mod interval;
pub mod job;
pub mod judge;
pub mod queue;
pub mod review;
pub mod sitting;
pub mod memory;
pub mod review;
pub mod spread;
pub mod text;
pub mod units;
