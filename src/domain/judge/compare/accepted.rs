//! Whole answers that a lead accepts on a card where no repair is asked, as someone typed them once.
//!
//! Only the same words count: case, blanks and marks at the end of a word are no difference, anything
//! else is. Left out: repairs, whose other wordings are read with their answer ([`super::keypoints`]),
//! and what would hurt somebody, which is looked for in every answer before this is asked.

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::judge::compare::sides;
use crate::domain::judge::read::words::Synonyms;

/// Marks that say nothing at the end of a word.
const AT_THE_END: [char; 6] = ['.', ',', ';', ':', '!', '?'];

/// Returns the words of an answer without what makes no difference.
fn folded(text: &str) -> Vec<String> {
    let words = text.split_whitespace();
    let words = words.map(|word| word.trim_end_matches(AT_THE_END).to_lowercase());
    words.filter(|word| !word.is_empty()).collect()
}

/// Tells whether a lead accepts exactly this as a whole answer.
pub fn says_so(typed: &str, card: &Card) -> bool {
    if card.also.is_empty() || card.asks_a_repair() {
        return false;
    }
    let typed = folded(typed);
    !typed.is_empty() && card.also.iter().any(|also| folded(also) == typed)
}

/// Returns why a wording is no whole answer to a card of two sides, where it is none.
pub fn wrong_of_sides(
    wording: &str,
    card: &Card,
    board: Option<&Board>,
    words: &Synonyms,
) -> Option<&'static str> {
    if card.sides.is_empty() {
        return None;
    }
    let said = folded(wording);
    let both = |one: &str, other: &str| {
        let has = |word: &str| said.iter().any(|w| w == word);
        has(one) && has(other)
    };
    if card.given && !both("a", "b") && !both("first", "second") {
        return Some("it does not say which fix is A's and which is B's");
    }
    let swapped = card.given && sides::judge_sides(wording, card, board, words).swapped;
    (swapped || sides::swaps_readings(wording, card, board, words)).then_some(sides::SWAPPED)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::compare::worth::Worth;
    use crate::domain::judge::hear::hear;
    use crate::domain::samples;

    fn accepts(also: &str, typed: &str) -> bool {
        let card = Card {
            also: vec![also.to_owned()],
            ..samples::rule("r")
        };
        says_so(typed, &card)
    }

    #[test]
    fn only_the_same_words_are_the_accepted_answer() {
        assert!(accepts("cell out, then look", "Cell out  then look."));
        assert!(accepts("3V3_SB at 0.4 V", "3v3_sb at 0.4 v"));
        for (also, typed) in [
            ("look at U31", "look at U13"),
            ("3V3_SB at 0.4 V", "3V3_SB at 4 V"),
            ("3V3_SB at -5 V", "3V3_SB at 5 V"),
            ("below .5 V", "below 5 V"),
            ("cell out, then look", "cell out"),
            ("cell out", "cell out, then look"),
            ("cell out", "never the cell out"),
            ("...", ""),
            ("...", "!"),
        ] {
            assert!(!accepts(also, typed), "{also}: {typed}");
        }
    }

    #[test]
    fn an_accepted_answer_is_heard_as_right_and_an_unsafe_one_never() {
        let card = Card {
            also: vec![
                "nothing before the jar".to_owned(),
                "bridge the fuse with wire".to_owned(),
            ],
            ..samples::rule("r")
        };
        let heard = |typed: &str| hear(typed, &card, None, &Synonyms::default());
        let right = heard("Nothing before the jar.");
        assert!(right.right && right.worth == Worth::Right, "{right:?}");
        let needed = card.points.iter().zip(&right.hits);
        assert!(
            needed
                .filter(|(point, _)| point.needed)
                .all(|(_, hit)| *hit)
        );
        assert!(!heard("nothing after the jar").right);
        let harm = heard("bridge the fuse with wire");
        assert!(!harm.right && harm.danger.is_some(), "{harm:?}");
    }

    #[test]
    fn a_repair_keeps_its_own_way() {
        let mut card = samples::card("a", "standby", "U31");
        card.also = vec!["it".to_owned()];
        assert!(!says_so("it", &card));
    }
}
