//! The rules: jobs, patterns, cards, memory, queue, judging. Pure: no files, clock, terminal.

pub mod agreement;
pub mod axis;
pub mod bench_note;
pub mod bench_read;
pub mod borders;
pub mod calendar;
pub mod card;
pub mod caution;
pub mod check;
pub mod circuit;
pub mod decide;
pub mod desk;
pub mod edit;
pub mod families;
pub mod gaps;
pub mod generate;
pub mod history;
pub mod ids;
pub mod intake;
pub mod interval;
pub mod job;
pub mod job_changes;
pub mod job_row;
pub mod judge;
pub mod lend;
pub mod lint;
pub mod memory;
pub mod names;
pub mod queue;
pub mod review;
pub mod search;
pub mod shop;
pub mod sitting;
pub mod sitting_steps;
pub mod spread;
pub mod stamps;
pub mod suspects;
pub mod tape;
pub mod text;
pub mod unit_mark;
pub mod units;
pub mod wording;

#[cfg(test)]
pub(crate) mod samples;
