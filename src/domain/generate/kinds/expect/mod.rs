//! A fix is given: which readings would have told of it?
//!
//! [`card`] writes the card, [`shown`] says what the jobs of a fix agree to have read, [`alike`] which of it
//! tells the fix from its look-alikes and must be named.

pub mod alike;
pub mod card;
pub mod shown;
