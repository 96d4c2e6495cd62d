//! Whether a person's memory model is fitted anew, and whether the new fit takes effect.
//!
//! The last of the scored reviews are held out by time. A fit to those before them must foretell the held
//! ones better than the parameters in force; if it does not, those stay. If it does, what takes effect is
//! a fit to all of them: the test was of the method, and the latest reviews are the nearest to what comes.
//!
//! A fifth is held out, or fifty where a fifth is fewer, but no more than half: few reviews say little of
//! a fit. After a fit that took effect it is never more than half of what came since: that fit has seen
//! everything before, so on older reviews it would be judged on what it was made from, and the new one
//! needs some of the newer ones to know more than the old one did.
//!
//! By itself a fit is tried at fixed numbers of scored reviews: each a fifth more than the one before,
//! from the last fit on; it looks at exactly so many. A try that was refused gives the same again, so it
//! does not matter whether anybody remembers it. Shares and smallest numbers are our own.

use crate::domain::fit::histories::Histories;
use crate::domain::fit::prior::Prior;
use crate::domain::fit::score;
use crate::domain::fit::search;
use crate::domain::fit::search::FitError;
use crate::domain::history::Scored;
use crate::domain::memory::Weights;
use crate::domain::own_reviews::OwnReviews;

/// Scored reviews with which a person's first fit is tried unasked.
pub const FIRST_TRY: usize = 64;

/// Fewest scored reviews that a fit is made and tested with.
pub const FEWEST: usize = 50;

/// Fewest reviews that are held out: fewer say nothing of a fit.
const FEWEST_HELD: usize = 10;

/// One of so many scored reviews is held out.
const HELD_OF: usize = 5;

/// So many are held out where one in five is fewer, unless they were more than half.
const HELD_IF_FEW: usize = 50;

/// By how much the mean loss must fall to be better.
const BETTER: f64 = 1e-9;

/// What a fit starts from.
#[derive(Clone, Copy, Debug)]
pub struct Grounds<'a> {
    /// The parameters in force for the person.
    pub in_force: &'a Weights,
    /// What everyone else's fits come to.
    pub shop: &'a Weights,
}

/// Why there was nothing to test a fit with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Idle {
    /// The reviews do not make a fit.
    #[error(transparent)]
    NoFit(#[from] FitError),
    /// There are too few to hold some out.
    #[error("{scored} scored reviews, and a fit that is tested takes at least {FEWEST}")]
    TooFew {
        /// How many are scored.
        scored: usize,
    },
    /// There is hardly anything that the last fit has not seen.
    #[error("{new} scored reviews since the last fit, and a test takes at least {}", FEWEST_HELD * 2 - 1)]
    NothingNew {
        /// How many came since.
        new: usize,
    },
}

/// How the held-out reviews were foretold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Test {
    /// How many were held out.
    pub held: usize,
    /// Mean log loss of the parameters in force.
    pub before: f64,
    /// Mean log loss of a fit to the reviews before them.
    pub after: f64,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// The fit takes effect.
    Takes(Box<Weights>, Test),
    /// The held-out reviews were foretold no better: what is in force stays.
    NoBetter(Test),
    /// There was nothing to fit or to test: what is in force stays.
    Idle(Idle),
}

/// A fit that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Refit {
    /// Scored reviews that it looked at.
    pub scored: usize,
    /// What came of it.
    pub verdict: Verdict,
}

/// Returns the number of scored reviews at which a fit is due, none while it is not.
pub fn due(scored: Scored) -> Option<usize> {
    let fifth_more = |n: usize| (n * 6).div_ceil(5);
    let mut next = match scored.at_fit {
        Some(at_fit) => fifth_more(at_fit.max(FIRST_TRY)),
        None => FIRST_TRY,
    };
    let mut found = None;
    while next <= scored.reviews {
        found = Some(next);
        next = fifth_more(next);
    }
    found
}

/// Tries a fit to the first `count` scored reviews.
pub fn refit(own: &OwnReviews, count: usize, grounds: Grounds<'_>) -> Refit {
    let scored = count.min(own.scored.len());
    let verdict = tried(own, scored, grounds).unwrap_or_else(Verdict::Idle);
    Refit { scored, verdict }
}

fn tried(own: &OwnReviews, scored: usize, grounds: Grounds<'_>) -> Result<Verdict, Idle> {
    let at = |place: usize| i64::try_from(place).expect("a place among reviews is no such number");
    let histories = Histories::new(&own.reviews);
    let prior = Prior::around(grounds.shop);
    let until = (scored < own.scored.len()).then(|| at(own.scored[scored]));
    let held = held(scored, own.at_fit)?;
    if held == 0 {
        // Nothing is scored: the fit says why.
        search::fit(&histories, until, &prior)?;
        return Err(Idle::TooFew { scored });
    }
    let from = Some(at(own.scored[scored - held]));
    let earlier = search::fit(&histories, from, &prior)?;
    let loss = |weights: &Weights| score::log_loss(&histories, weights, from, until).log_loss;
    let test = Test {
        held,
        before: loss(grounds.in_force),
        after: loss(&earlier.weights),
    };
    if test.after < test.before - BETTER {
        let whole = search::fit(&histories, until, &prior)?;
        Ok(Verdict::Takes(Box::new(whole.weights), test))
    } else {
        Ok(Verdict::NoBetter(test))
    }
}

/// Returns how many of so many scored reviews are held out; 0 where none is scored.
fn held(scored: usize, at_fit: Option<usize>) -> Result<usize, Idle> {
    if 0 < scored && scored < FEWEST {
        return Err(Idle::TooFew { scored });
    }
    let share = (scored / HELD_OF).max(HELD_IF_FEW.min(scored / 2));
    let Some(at_fit) = at_fit else {
        return Ok(share);
    };
    let new = scored.saturating_sub(at_fit);
    let held = share.min(new.div_ceil(2));
    if held < FEWEST_HELD {
        return Err(Idle::NothingNew { new });
    }
    Ok(held)
}

#[cfg(test)]
#[path = "refit_tests.rs"]
mod tests;
