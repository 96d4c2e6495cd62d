//! Limits that a query sets for a reading: `under 1 V`, `over 100 mA`, `between 1 and 2 V`, `about 3 V`.

use crate::domain::search::numbers;
use crate::domain::search::numbers::Number;
use crate::domain::search::readings::Sought;
use crate::domain::search::shorthand::BETWEEN_LIMITS;
use crate::domain::search::shorthand::LIMITS;
use crate::domain::search::shorthand::SIGNS;

/// How the number of a query bounds the readings it asks for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Bound {
    /// A reading of its band, the closer the better.
    #[default]
    About,
    /// A reading below it.
    Under,
    /// A reading above it.
    Over,
    /// A reading from its lower to its upper number.
    Within,
}

/// Reads a limit with its number at chunk `i`; returns how many chunks it took.
pub(super) fn limit_at(chunks: &[&str], i: usize) -> Option<(Bound, Number, usize)> {
    let first = chunks.get(i)?;
    if let Some((sign, bound)) = SIGNS.iter().find(|(sign, _)| first.starts_with(*sign)) {
        let rest = &first[sign.len()..];
        if rest.is_empty() {
            let (number, n) = numbers::value_at(chunks, i + 1)?;
            return Some((*bound, number, n + 1));
        }
        let mut glued = chunks.to_vec();
        glued[i] = rest;
        let (number, n) = numbers::value_at(&glued, i)?;
        return Some((*bound, number, n));
    }
    let said = |n: usize| {
        chunks
            .get(i..i + n)
            .map(|words| words.join(" ").to_lowercase())
    };
    if BETWEEN_LIMITS.contains(&said(1)?.as_str()) {
        let (number, n) = numbers::both_at(chunks, i + 1)?;
        return Some((Bound::Within, number, n + 1));
    }
    (1..=2).rev().find_map(|n| {
        let said = said(n)?;
        let (_, bound) = LIMITS.iter().find(|(words, _)| *words == said)?;
        let (number, m) = numbers::value_at(chunks, i + n)?;
        Some((*bound, number, n + m))
    })
}

impl Sought {
    /// Returns how well one reading answers: 1 for the band or the limit, up to 1.5 with a number
    /// close by. A number without a place must be within a factor of two.
    ///
    /// `span` is what was read, `implied` what its word says where there is no number.
    pub fn degree(&self, span: Option<(f64, f64)>, implied: Option<(f64, f64)>) -> Option<f64> {
        let Some((low, high)) = self.value else {
            return Some(1.0);
        };
        let kept = match (self.bound, span, implied) {
            (Bound::About, span, _) => {
                let close = span.map_or(0.0, |span| closeness((low, high), span));
                let anywhere = self.place.is_none() && self.bands.is_empty();
                return (!anywhere || close > 0.0).then_some(1.0 + close / 2.0);
            }
            (Bound::Under, Some((_, top)), _) => top < high,
            (Bound::Over, Some((bottom, _)), _) => low < bottom,
            (Bound::Under, None, Some((_, top))) => top <= high,
            (Bound::Over, None, Some((bottom, _))) => low <= bottom,
            (Bound::Within, Some(of), _) | (Bound::Within, None, Some(of)) => {
                low <= of.0 && of.1 <= high
            }
            (_, None, None) => false,
        };
        kept.then_some(1.0)
    }
}

/// Returns 1 where both ends agree, falling to 0 where one is twice the other.
fn closeness(asked: (f64, f64), got: (f64, f64)) -> f64 {
    let one = |a: f64, b: f64| {
        if a.to_bits() == b.to_bits() {
            1.0
        } else if a <= 0.0 || b <= 0.0 {
            0.0
        } else {
            (1.0 - libm::fabs(libm::log2(a / b))).max(0.0)
        }
    };
    one(asked.0, got.0).min(one(asked.1, got.1))
}
