//! Go on, or call it?
//!
//! [`patterns`] finds jobs that look alike and ended alike, [`mendable`] the repairs that fit what is shown,
//! [`scene`] its places, [`reason`] what a front tells of the end; [`balance`] is the sum of going on,
//! [`question`] what is asked, and `card` writes the card.

pub mod balance;
mod card;
pub mod mendable;
pub mod patterns;
pub mod question;
pub mod reason;
pub mod scene;
