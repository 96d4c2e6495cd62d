//! Benchlore: closed repair jobs become drill cards, a published memory model decides what each
//! person reviews today.
//!
//! The layers, in reading order (imports run one way, a test holds them to it):
//! - [`domain`]: the rules of the trade and of memory; values in, values out.
//! - [`store`]: the shop folder on disk; every file call of the program is here.
//! - [`report`]: values to text for paper; touches no file.
//! - [`app`]: one function a job: load, ask the domain, append.
//! - [`tui`]: keys to messages to state to effects.
//! - [`cli`]: parses, calls `app`, prints.

pub mod app;
pub mod cli;
pub mod domain;
pub mod report;
pub mod store;
pub mod tui;
