//! Which questions are in the builder's own words, and which a person wrote.
//!
//! Whoever gives a deck away reads what people wrote; the builder's sentences would hide it.

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::generate::kinds::across;
use crate::domain::generate::kinds::contrast;
use crate::domain::generate::kinds::expect;
use crate::domain::generate::kinds::next;
use crate::domain::generate::kinds::stop::question;

/// Tells whether the builder would ask so, word for word.
pub fn is_made(card: &Card) -> bool {
    let stem = card.stem.as_str();
    match card.kind {
        CardKind::Fix | CardKind::Look => stem.is_empty(),
        CardKind::Contrast => [
            contrast::pairs::STEM,
            contrast::pairs::STEM_GIVEN,
            contrast::pairs::STEM_GIVEN_MORE,
        ]
        .contains(&stem),
        CardKind::Next if card.is_across() => stem == across::card::STEM,
        CardKind::Next => (2..=5).any(|n| stem == next::card::stem(n)),
        CardKind::Expect => expect::card::asks(card),
        CardKind::Stop => question::asks(stem),
        // What was done the first time stands in a caution's question, in the words of its job.
        CardKind::Caution | CardKind::Rule => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[test]
    fn what_the_builder_asks_is_known_and_a_word_more_is_not() {
        let job = |part: &str, n: u64, own: &str| {
            let findings = vec![sample::rail("3V3_SB", own), sample::rail("VSYS", "in-band")];
            sample::job_with(&format!("{part}-{n}"), part, n, findings)
        };
        let mut jobs: Vec<_> = (1..=4).map(|n| job("U31", n, "low")).collect();
        jobs.extend((1..=4).map(|n| job("L12", n, "absent")));
        for n in 5..=6 {
            let mut lost = job("C5", n, "high");
            lost.outcome = crate::domain::job::Outcome::NoFix;
            lost.no_fix_reason = Some("value-exceeded".to_owned());
            lost.actions.clear();
            lost.effort.minutes = Some(100.0);
            jobs.push(lost);
        }
        let mut cards = sample::built(&jobs).cards;
        cards.extend([
            crate::domain::samples::next("n"),
            crate::domain::samples::across("x", &["a", "b", "c"]),
        ]);
        for kind in [CardKind::Expect, CardKind::Stop, CardKind::Next] {
            assert!(cards.iter().any(|c| c.kind == kind), "{}", kind.word());
        }
        for mut card in cards {
            assert!(is_made(&card), "{}", card.stem);
            card.stem.push_str(" As for Mrs Brandt.");
            assert!(!is_made(&card), "{}", card.stem);
        }
    }
}
