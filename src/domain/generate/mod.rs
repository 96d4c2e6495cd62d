//! Cards from closed jobs.
//!
//! Reading order: [`tier`] says which jobs may speak for an answer, [`band`] turns numbers into
//! words ([`bands`]: by the board's own readings, where there is nothing to compare with), [`mask`]
//! says what would give an answer away, [`table`] codes a board's jobs under a mask,
//! [`pattern`] chooses the finding names that tell a fix from the others, [`evidence`] finds the
//! typical job and the jobs like it, [`front`] lays out what is shown, [`look`] asks what else would
//! look like it ([`ends`]: also what ended without a fix), [`rival`] adds what tells it apart,
//! [`account`] weighs what is shown, [`told`] chooses what is said of it, [`remark`] writes the reason and what a lead should look at,
//! `doubts` what a lead should doubt though the front tells it,
//! [`leak`] looks a second time at the finished front, and [`build`] puts it all together.
//!
//! Beside the fix cards: [`expect`] asks what a fix shows ([`shown`]: what
//! its jobs agree on, [`alike`]: which of it must be named), [`contrast`] tells look-alikes apart
//! (`look_alike` is its cards), [`next`] asks which measurement now
//! ([`field`] holds its suspects, [`measure`] what can be measured), [`stop`] when to call it
//! ([`balance`] is its sum, [`mendable`] the repairs that fit what it shows, [`reason`] what the front
//! tells of the end, [`scene`] its places), [`missed`] what a repair that came back had missed, [`across`] what
//! holds on several boards; [`say`] words their points,
//! [`third`] finds fixes that fit and are not named, `pointer` what points to a side, [`standing`] says how a named one stands. [`checks`] looks
//! for the faults that make a card bad.
//!
//! Of what leads did to cards only merges and splits enter here, since they change whose jobs stand
//! together. Left out on purpose: shop synonyms, all
//! other edits, tags (they are laid over the cards later).

pub mod account;
pub mod across;
pub mod alike;
pub mod balance;
pub mod band;
pub mod bands;
pub mod build;
pub mod checks;
pub mod contrast;
mod doubts;
pub mod ends;
pub mod evidence;
pub mod expect;
pub mod field;
pub mod front;
#[cfg(test)]
mod laws;
pub mod leak;
#[cfg(test)]
mod led_tests;
pub mod look;
mod look_alike;
pub mod mask;
pub mod measure;
pub mod mendable;
pub mod missed;
pub mod next;
pub mod pattern;
mod pointer;
pub mod reason;
pub mod remark;
pub mod rival;
#[cfg(test)]
pub(crate) mod sample;
pub mod say;
pub mod scene;
pub mod shown;
pub mod standing;
pub mod stems;
pub mod stop;
pub mod table;
pub mod third;
pub mod tier;
pub mod told;
