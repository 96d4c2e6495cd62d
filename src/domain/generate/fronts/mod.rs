//! What stands on a front, and what else would look like it.
//!
//! [`front`] lays out what is shown, [`look`] asks what else would look like it, [`rival`] adds what tells it
//! apart, [`third`] finds fixes that fit a card and are not named on it; [`leak`] looks a second time at the
//! finished front. What a stop card shows besides is with its kind.

pub mod front;
pub mod leak;
pub mod look;
pub mod rival;
pub mod third;
