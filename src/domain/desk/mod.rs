//! The lead's desk as rules: what edits add up to, who doubts a card, which cards want a look.

pub mod answers;
pub mod divide;
pub mod doubts;
pub mod heads;
pub mod missed;
pub mod overlay;
pub mod pattern;
pub mod undo;
pub mod whole;
