//! "Stop: shields off next and keep hunting": an answer that calls it and then goes on calls nothing.
//!
//! Leaves out what is denied, asked or told of another job. Word lists: common practice, no source.

use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::read::speech;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Known;

/// Ways to go on, each as its words stand.
const GOING_ON: [&str; 24] = [
    "keep hunting",
    "keep looking",
    "keep searching",
    "keep digging",
    "keep trying",
    "keep going",
    "keep at it",
    "keep probing",
    "keep measuring",
    "keep testing",
    "keep on",
    "carry on",
    "go on",
    "continue",
    "press on",
    "push on",
    "crack on",
    "hunt on",
    "look further",
    "search on",
    "try again",
    "have another go",
    "one more go",
    "go further",
];
/// Small words between a joint and what is then done.
const BEFORE: [&str; 18] = [
    "i", "id", "ill", "we", "then", "just", "still", "lets", "would", "will", "but", "and", "to",
    "also", "instead", "rather", "after", "now",
];
/// What is said of going on where nobody does: "carry on is pointless", "go on costs 20".
const OF_IT: [&str; 14] = [
    "is", "would", "means", "costs", "cost", "will", "makes", "brings", "only", "if", "when",
    "was", "gives", "until",
];
/// Other work that is gone on with.
const OTHER: [&str; 11] = [
    "next", "other", "tomorrow", "working", "holiday", "with", "using", "board", "job", "unit",
    "ticket",
];
/// Why going on is not meant.
const HELD: [&str; 12] = [
    "point", "sense", "worth", "pays", "pay", "tempting", "could", "than", "wanted", "wants",
    "said", "told",
];

/// Tells whether an answer that stops goes on in a later clause.
pub fn goes_on_after_all(typed: &str) -> bool {
    let scene = Scene::new(
        speech::translated(&tokens::lex(typed, &Known::default())),
        None,
    );
    let tokens = &scene.tokens;
    (1..tokens.len()).any(|i| {
        let said = GOING_ON.iter().find(|phrase| {
            let words = phrase.split(' ').count();
            let end = tokens.len().min(i + words);
            tokens[i..end]
                .iter()
                .map(|t| t.text.as_str())
                .eq(phrase.split(' '))
        });
        let Some(len) = said.map(|phrase| phrase.split(' ').count()) else {
            return false;
        };
        let clause = (0..i).rev().take_while(|j| !tokens[*j].is_joint());
        let begins = clause.clone().all(|j| tokens[j].is_any(&BEFORE)) && clause.count() < i;
        let after: Vec<_> = tokens[i + len..]
            .iter()
            .take_while(|t| !t.is_joint())
            .take(4)
            .collect();
        let of_it = after.first().is_some_and(|t| t.is_any(&OF_IT));
        let other = after.iter().any(|t| t.is_any(&OTHER));
        let held = tokens[..i].iter().rev().take(6).any(|t| t.is_any(&HELD));
        begins && !of_it && !other && !held && !scene.off[i] && !scene.condemned(i)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_stops_and_then_goes_on_goes_on() {
        for (text, goes) in [
            ("stop: shields off next and keep hunting", true),
            ("call it, then carry on for another hour", true),
            ("stop here. I would go on", true),
            ("stop, but keep looking", true),
            ("stop, don't keep hunting", false),
            ("stop here, no point to carry on", false),
            ("call it, go on is not worth it", false),
            ("stop and go on with the next board", false),
            ("stop, to go on costs more than it brings", false),
            ("go on, replace U20", false),
        ] {
            assert_eq!(goes_on_after_all(text), goes, "{text}");
        }
    }
}
