//! Chance that belongs to a place: the same run, card and turn always draw the same number.
//!
//! Runs may then be shared out over threads as one likes, and two budgets are compared on the same
//! luck: the third answer to a card falls the same way in both as far as its recall allows.
//!
//! The mixing is the finaliser of SplitMix64: G. L. Steele, D. Lea, C. H. Flood, *Fast Splittable
//! Pseudorandom Number Generators* (OOPSLA 2014), doi 10.1145/2660193.2660195, as in the public domain
//! code of S. Vigna (constants from memory; the test below holds them to its printed first numbers).

/// Step from one state to the next: 2^64 divided by the golden ratio, odd.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

/// What a number is drawn for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Draw {
    /// Whether the day is sat; turn: the day.
    Sits,
    /// An answer to a card; turn: how many answers of the card came before.
    Answer,
    /// The answer when a missed card comes again the same day; turn as above.
    Again,
    /// Which family, or which card of it, is spot-checked; turn: the day.
    Spot,
    /// The days to which a forecast may move; turn: how many answers the card has by then.
    Forecast,
}

/// Mixes a state into a number.
const fn mixed(state: u64) -> u64 {
    let z = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// The chance of one run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chance(u64);

impl Chance {
    /// Returns the chance of run `run` under `seed`.
    pub fn of_run(seed: u64, run: u64) -> Self {
        Self(mixed(
            mixed(seed.wrapping_add(STEP)) ^ run.wrapping_mul(STEP),
        ))
    }

    fn bits(self, what: Draw, card: u32, turn: u32) -> u64 {
        let place = u64::from(card) << 32 | u64::from(turn);
        let kind = (what as u64 + 1).wrapping_mul(STEP);
        mixed(mixed(self.0.wrapping_add(kind)) ^ place.wrapping_mul(STEP))
    }

    /// Returns two whole numbers from 0 up to but not including `n`, which is at least 1.
    pub fn two(self, what: Draw, card: u32, turn: u32, n: u32) -> (u32, u32) {
        let bits = self.bits(what, card, turn);
        // Of the product with a share in 2^32, the whole part.
        let place = |share: u64| ((share * u64::from(n)) >> 32) as u32;
        (place(bits >> 32), place(bits & 0xffff_ffff))
    }

    /// Returns a number from 0 up to but not including 1.
    pub fn draw(self, what: Draw, card: u32, turn: u32) -> f64 {
        let bits = self.bits(what, card, turn) >> 11;
        #[expect(
            clippy::cast_precision_loss,
            reason = "53 bits, as many as a float holds"
        )]
        let share = bits as f64;
        share * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Returns a place in a list of `n`, each with equal chance; `n` is at least 1.
    pub fn place(self, what: Draw, card: u32, turn: u32, n: usize) -> usize {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 0 to below n"
        )]
        let place = (self.draw(what, card, turn) * crate::domain::units::count(n)) as usize;
        place.min(n - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mixing_gives_the_published_generators_first_numbers() {
        // SplitMix64 from state 0: its first outputs as printed in many ports (Rosetta Code's task
        // "Pseudo-random numbers/Splitmix64" prints those of seed 1234567, used here; from memory).
        let first = |seed: u64, n: u64| mixed(seed.wrapping_add(STEP.wrapping_mul(n)));
        assert_eq!(first(1_234_567, 1), 6_457_827_717_110_365_317);
        assert_eq!(first(1_234_567, 2), 3_203_168_211_198_807_973);
        assert_eq!(first(0, 1), 0xe220_a839_7b1d_cdaf);
    }

    #[test]
    fn draws_are_even_and_do_not_follow_each_other() {
        // 40,000 numbers: the mean of a fair draw strays by 1/sqrt(12 n) = 0.0014, their covariance
        // with the next by 1/(12 sqrt n) = 0.0004; five times that is allowed.
        let chance = Chance::of_run(3, 7);
        let drawn: Vec<f64> = (0..200)
            .flat_map(|card| (0..200).map(move |turn| (card, turn)))
            .map(|(card, turn)| chance.draw(Draw::Answer, card, turn))
            .collect();
        let n = crate::domain::units::count(drawn.len());
        let mean = drawn.iter().sum::<f64>() / n;
        let with_next = drawn.windows(2).map(|w| (w[0] - 0.5) * (w[1] - 0.5));
        let covariance = with_next.sum::<f64>() / n;
        assert!((mean - 0.5).abs() < 0.0072, "{mean}");
        assert!(covariance.abs() < 0.0021, "{covariance}");
        assert!(drawn.iter().all(|u| (0.0..1.0).contains(u)));
    }

    #[test]
    fn runs_kinds_and_places_draw_apart() {
        let a = Chance::of_run(1, 0);
        let draws = [
            a.draw(Draw::Answer, 0, 0),
            a.draw(Draw::Answer, 0, 1),
            a.draw(Draw::Answer, 1, 0),
            a.draw(Draw::Again, 0, 0),
            Chance::of_run(1, 1).draw(Draw::Answer, 0, 0),
            Chance::of_run(2, 0).draw(Draw::Answer, 0, 0),
        ];
        for (i, one) in draws.iter().enumerate() {
            assert!(draws[..i].iter().all(|other| (one - other).abs() > 1e-9));
        }
        assert!((0..100).all(|turn| a.place(Draw::Spot, 0, turn, 3) < 3));
    }

    #[test]
    fn two_at_once_are_even_and_apart() {
        // 9,000 pairs of three places: 1,000 of each are expected, give or take 5 standard deviations.
        let chance = Chance::of_run(5, 1);
        let mut seen = [0u32; 9];
        for turn in 0..9_000 {
            let (one, other) = chance.two(Draw::Forecast, 1, turn, 3);
            seen[(one * 3 + other) as usize] += 1;
        }
        assert!(seen.iter().all(|n| n.abs_diff(1_000) < 150), "{seen:?}");
        assert_eq!(chance.two(Draw::Forecast, 1, 0, 1), (0, 0));
    }
}
