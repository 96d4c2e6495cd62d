//! By which letters, numbers and places the two sides of a card are called: A and B, first and second, left and right,
//! 1 and 2.
//!
//! Leaves out what separates the sides, and what belongs to each. Word lists: common practice, no source.

use crate::domain::generate::words::say;
use crate::domain::judge::read::stretches;
use crate::domain::judge::read::stretches::Bit;
use crate::domain::judge::read::stretches::Mark;

/// Finds what stands for the first and the second.
pub(super) fn order(bits: &[Bit]) -> Vec<Mark> {
    const PAIRS: [[&str; 2]; 12] = [
        ["first", "second"],
        ["1st", "2nd"],
        ["left", "right"],
        ["side one", "side two"],
        ["side 1", "side 2"],
        ["board one", "board two"],
        ["board 1", "board 2"],
        ["number one", "number two"],
        ["number 1", "number 2"],
        ["case one", "case two"],
        ["case 1", "case 2"],
        ["upper", "lower"],
    ];
    let of = |pair: &[&str; 2]| {
        let phrases: Vec<_> = pair
            .iter()
            .enumerate()
            .map(|(i, w)| (i, (*w).to_owned()))
            .collect();
        stretches::found(bits, &phrases)
    };
    let both = |marks: &Vec<Mark>| (0..2).all(|side| marks.iter().any(|m| m.of == side));
    let numbered = numbered(bits);
    let pairs = PAIRS.iter().map(of).chain([numbered]);
    pairs.clone().find(both).unwrap_or_else(|| of(&PAIRS[0]))
}

/// Finds "1:" and "2:" where a clause begins.
fn numbered(bits: &[Bit]) -> Vec<Mark> {
    let begins = |at: usize| at == 0 || bits[at - 1].is_joint();
    let stands = |at: &usize| {
        let next = bits.get(at + 1);
        let sign = next.is_some_and(|next| {
            matches!(
                next.text.as_str(),
                ":" | ")" | "=" | "-" | "is" | "gets" | "got" | "had"
            )
        });
        matches!(bits[*at].text.as_str(), "1" | "2") && begins(*at) && sign
    };
    (0..bits.len())
        .filter(stands)
        .map(|at| Mark {
            of: usize::from(bits[at].text == "2"),
            bits: at..at + 1,
        })
        .collect()
}

/// Finds the letters A and B, and not the article "a".
pub(super) fn letters(bits: &[Bit], is_part: &dyn Fn(&Bit) -> bool) -> Vec<Mark> {
    const AFTER: [&str; 10] = [
        "is", "was", "has", "had", "gets", "got", "needs", "needed", "wants", "takes",
    ];
    let capital = |letter: &str| bits.iter().any(|b| b.text == letter && b.capital);
    let both = capital("a") && capital("b");
    let verb = |bit: &Bit| {
        let acts = ["replace", "reflow", "reball", "remove", "clean", "reseat"];
        let more = [
            "bridge-or-jumper",
            "reprogram-firmware",
            "rebuild-pad-or-trace",
        ];
        let words = acts.iter().chain(&more).flat_map(|act| say::act_words(act));
        words.into_iter().any(|w| w != "new" && w == bit.text)
    };
    let named = |at: usize| match bits[at].text.as_str() {
        "b" => true,
        "a" if both && bits[at].capital => true,
        "a" => bits.get(at + 1).is_none_or(|next| {
            next.is_joint()
                || AFTER.contains(&next.text.as_str())
                || is_part(next) && next.text.chars().any(|c| c.is_ascii_digit())
                || verb(next)
        }),
        _ => false,
    };
    (0..bits.len())
        .filter(|at| named(*at))
        .map(|at| Mark {
            of: usize::from(bits[at].text == "b"),
            bits: at..at + 1,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_sides_are_found_by_either_way_of_counting() {
        for text in [
            "left: new U31, right: new C88",
            "1: new U31, 2: new C88",
            "side one U31, side two C88",
            "the first U31, the second C88",
        ] {
            let bits = stretches::bits(text);
            let of: Vec<usize> = order(&bits).iter().map(|mark| mark.of).collect();
            assert_eq!(of, [0, 1], "{text}");
        }
        for text in ["1 ohm, 2 ohm", "the right one", "U1 and U2", ""] {
            let bits = stretches::bits(text);
            assert!(order(&bits).is_empty(), "{text}");
        }
    }
}
