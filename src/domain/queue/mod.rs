//! What to drill today: which cards fit the minutes, and in which order they stand.
//!
//! Read `today.rs` first. The order itself is numbers alone (`order.rs`), so that a plan of months and
//! the bench of simulated people ask by the very same one.

pub mod aim;
mod arrange;
pub(crate) mod choice;
mod glance;
pub mod order;
pub mod shares;
mod spots;
pub mod today;
pub(crate) mod waiting;

pub use aim::Aim;
pub use shares::job_shares;
pub use shares::miss_costs;
pub use today::Ask;
pub use today::First;
pub use today::Today;
pub use today::exactly;
pub use today::plan;

#[cfg(test)]
mod tests;
