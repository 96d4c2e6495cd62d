//! What asking a card today is worth: the price index.
//!
//! Fifteen minutes a day buy readiness: the chance that the person knows the fix of the job that comes
//! in. Asking one card costs seconds and changes the whole future of its memory, so it is priced by
//! that future and not by recall at some fixed day: for a price `mu` of drill time, a card is best
//! asked again after the gap at which the recall-days still to come, less `mu` times the time they
//! take, are most. The index of a card is the highest price at which asking it today is already
//! right. Whoever asks by the largest (job share x index) until the minutes are out pays the same
//! price for every card, and needs to know nothing of the other cards.
//!
//! Symbols: `S`, `D`, `R` as in `memory.rs`; `mu` price, in discounted recall-days per answer; `V`
//! value of a card right after a review, discounted recall-days less what its askings cost; a day
//! ahead counts `exp(-1/60)` of today.
//!
//! Source: a restless-bandit index after P. Whittle, *Restless bandits: activity allocation in a
//! changing world*, J. Appl. Prob. 25A (1988), 287-298 (from memory, unchecked). The discount of 60 days, the
//! grid and the ladder of prices are our own choice; `checks.rs` holds them to plain enumeration.
//!
//! Leaves out job shares, what a miss costs and how fast the person is (`domain/queue`), and any
//! proof that the index is the best order: that is measured on simulated people, not derived.

mod grid;
mod ladder;
mod table;

#[cfg(test)]
mod checks;

pub use table::Cell;
pub use table::Habits;
pub use table::Prices;
