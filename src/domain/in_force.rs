//! Which parameters of the memory model count for a person: those of the person's last fit, else what
//! the fits of everyone else in the shop come to, else the published ones.
//!
//! The shop's are the mean of everyone's last fit, in the stretched numbers that a fit walks in
//! (`fit/scale.rs`), with the published parameters counted as one person more. Each fit counts alike: one
//! from few reviews lies close to what was in force before it, so it moves the mean little. A person's
//! own fits stay out of what the shop's are for that person, since a fit that starts around itself would
//! count the same reviews twice. Leaves out how fits are made, and files.

use std::collections::BTreeMap;

use crate::domain::fit::scale;
use crate::domain::memory::COUNT;
use crate::domain::memory::Weights;
use crate::domain::units;

/// A fit that took effect, as a journal line says it.
#[derive(Clone, Copy, Debug)]
pub struct Effect<'a> {
    /// Whose fit it was.
    pub person: &'a str,
    /// It is the fit of the person in question.
    pub own: bool,
    /// The 21 numbers.
    pub weights: &'a [f64; COUNT],
}

/// Whose parameters are in force.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// The person's own.
    Own,
    /// The shop's, from so many people.
    Shop(usize),
    /// The published ones.
    Published,
}

/// Returns the parameters in force for a person after the fits of everyone, `effects` in merged order.
pub fn weights<'a>(effects: impl Iterator<Item = Effect<'a>> + Clone) -> (Weights, Source) {
    let own = effects.clone().filter(|effect| effect.own);
    match own.filter_map(|e| Weights::new(*e.weights).ok()).last() {
        Some(own) => (own, Source::Own),
        None => shop(effects),
    }
}

/// Returns what the last fits of everyone else come to, `effects` in merged order.
pub fn shop<'a>(effects: impl Iterator<Item = Effect<'a>>) -> (Weights, Source) {
    let mut last: BTreeMap<&str, Weights> = BTreeMap::new();
    for effect in effects.filter(|effect| !effect.own) {
        if let Ok(weights) = Weights::new(*effect.weights) {
            last.insert(effect.person, weights);
        }
    }
    let published = Weights::published();
    if last.is_empty() {
        return (published, Source::Published);
    }
    let people = last.len();
    let mut sum = scale::stretch(published.get());
    for weights in last.values() {
        let own = scale::stretch(weights.get());
        sum = std::array::from_fn(|i| sum[i] + own[i]);
    }
    let mean = sum.map(|sum| sum / units::count(people + 1));
    (scale::shrink(&mean), Source::Shop(people))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(p0: f64) -> [f64; COUNT] {
        let mut p = *Weights::published().get();
        p[0] = p0;
        p
    }

    fn effect<'a>(person: &'a str, weights: &'a [f64; COUNT]) -> Effect<'a> {
        Effect {
            person,
            own: person == "mk",
            weights,
        }
    }

    #[test]
    fn a_persons_last_good_fit_counts_before_everything_else() {
        let (first, second, bad, other) = (with(0.4), with(0.5), with(f64::NAN), with(2.0));
        let all = [
            effect("mk", &first),
            effect("mk", &second),
            effect("tl", &other),
            effect("mk", &bad),
        ];
        let (weights, source) = weights(all.into_iter());
        assert_eq!((weights.get(), source), (&second, Source::Own));
    }

    #[test]
    fn without_a_fit_the_shops_mean_counts_and_the_published_are_one_voice_in_it() {
        let (old, low, high) = (with(90.0), with(0.1), with(3.0));
        let all = [effect("tl", &old), effect("tl", &low), effect("ab", &high)];
        let (weights, source) = weights(all.into_iter());
        assert_eq!(source, Source::Shop(2));
        // By hand: p0 lies within 0.001 to 100; z = ln((p - low) / (high - p)).
        let z = |p: f64| ((p - 0.001) / (100.0 - p)).ln();
        let mean = (z(0.212) + z(0.1) + z(3.0)) / 3.0;
        let expected = 0.001 + 99.999 / (1.0 + (-mean).exp());
        assert!((weights.get()[0] - expected).abs() < 1e-9, "{expected}");
        let rest = weights
            .get()
            .iter()
            .zip(Weights::published().get().to_owned());
        for (i, (found, published)) in rest.enumerate().skip(1) {
            // One that lies on its bound comes to lie a hair inside.
            assert!((found - published).abs() < 1e-6, "p{i}: {found}");
        }
    }

    #[test]
    fn where_nobody_has_a_fit_the_published_count_to_the_last_bit() {
        let (own, bad) = (with(0.4), with(-1.0));
        assert_eq!(
            weights([effect("tl", &bad)].into_iter()),
            (Weights::published(), Source::Published)
        );
        // What the shop's are for someone leaves out that person's own.
        let (weights, source) = shop([effect("mk", &own)].into_iter());
        assert_eq!((weights, source), (Weights::published(), Source::Published));
    }
}
