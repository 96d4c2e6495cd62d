//! What stands on the screen for a state: one file a screen, all laid out by
//! [`Sheet`](crate::tui::sheet::Sheet).
//!
//! Drawing changes nothing. Text of the view types is cleaned where it was made; what comes straight
//! from a shop's files (jobs, circuits) is cleaned again here.

mod add;
mod brief;
mod card;
mod choosing;
mod evidence;
mod family;
mod gaps;
mod greeting;
mod help;
mod home;
mod intake;
mod jobs;
#[cfg(test)]
mod kind_tests;
pub mod opening;
mod over;
mod parts;
mod plan;
pub mod screen;
#[cfg(test)]
mod screen_tests;
mod signing;
mod signing_low;
#[cfg(test)]
mod signing_tests;
mod verdict;
