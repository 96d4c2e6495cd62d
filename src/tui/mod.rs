//! The screen: keys become messages, messages change the state, the state asks for effects.
//!
//! Reading order: `desk.rs` (what the screen asks of the program), `msg.rs`, `keymap`, `state.rs`,
//! `update.rs`, `view/`, and `run.rs`, the only file that touches a terminal. What the screens show
//! is in [`crate::app::view`]; nothing here decides what is asked or how it is judged.

pub mod add;
pub mod brief;
pub mod desk;
pub mod entry;
pub mod gaps;
pub mod intake;
pub mod jobs;
pub mod keymap;
pub mod measure;
pub mod msg;
pub mod open;
pub mod perform;
pub mod plan;
pub mod ready;
pub mod run;
pub mod sheet;
pub mod signing;
pub mod state;
pub mod theme;
pub mod update;
pub mod view;

#[cfg(test)]
mod sample;
#[cfg(test)]
mod sample_intake;
#[cfg(test)]
mod sample_plan;
#[cfg(test)]
mod sample_signing;
#[cfg(test)]
mod script;
#[cfg(test)]
mod signing_tests;
#[cfg(test)]
mod update_tests;
