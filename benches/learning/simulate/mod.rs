//! Simulated apprentices who drill a simulated shop's cards, under this scheduler and under others.
//!
//! Reading order: `shop` (cards, jobs), `minds` (how people remember; they do not follow the
//! scheduler's model), `person` (speed, grades, days missed), `drill` (180 days of one person under
//! one schedule), `ours` (the real queue), `published` (what others do), `oracle` (the upper mark).
//!
//! Leaves out: mixing of families, contrast of look-alikes side by side, the circuit question apart
//! from the fix. No study says how large those are for board repair, so nothing here decides them.
//! People are invented: levels depend on our constants, only differences on the same people say
//! something, and how real apprentices fare no simulation tells.

pub(crate) mod chance;
pub(crate) mod drill;
pub(crate) mod minds;
pub(crate) mod oracle;
pub(crate) mod ours;
pub(crate) mod person;
pub(crate) mod published;
pub(crate) mod shop;
