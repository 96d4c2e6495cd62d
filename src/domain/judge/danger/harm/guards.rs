//! What keeps a first power-up small: said as it is used, it weighs nothing against an answer.
//!
//! Leaves out what is said of it: a limiter that is bypassed is found elsewhere. Word lists: common practice, no
//! source.

use crate::domain::judge::read::stretches;

/// Lamps in series, by their names on a bench.
const LIMITERS: [&[&str]; 12] = [
    &["bulb", "limiter"],
    &["lamp", "limiter"],
    &["series", "lamp"],
    &["series", "bulb"],
    &["dim", "bulb"],
    &["lamp", "box"],
    &["bulb", "box"],
    &["lamp", "in", "series"],
    &["bulb", "in", "series"],
    &["light", "bulb", "limiter"],
    &["current", "limited", "supply"],
    &["limited", "supply"],
];
/// How it is put in the way.
const BY: [&str; 4] = ["on", "through", "behind", "via"];
/// For what.
const FIRST: [&[&str]; 4] = [
    &["for", "first", "power"],
    &["for", "the", "first", "power"],
    &["at", "first", "power"],
    &["first"],
];

/// Returns a text without "on a bulb limiter for first power" and its like; none where it says nothing so.
pub fn left_out(typed: &str) -> Option<String> {
    let bits = stretches::bits(typed);
    let is = |at: usize, words: &[&str]| {
        words
            .iter()
            .enumerate()
            .all(|(n, word)| bits.get(at + n).is_some_and(|bit| bit.text == *word))
    };
    let at = (0..bits.len()).find(|at| {
        BY.contains(&bits[*at].text.as_str())
            && (1..3).any(|n| LIMITERS.iter().any(|words| is(at + n, words)))
    })?;
    let name = (at + 1..at + 3).find(|i| LIMITERS.iter().any(|words| is(*i, words)))?;
    let len = LIMITERS
        .iter()
        .filter(|words| is(name, words))
        .map(|w| w.len())
        .max()?;
    let mut end = name + len;
    end += FIRST
        .iter()
        .filter(|words| is(end, words))
        .map(|w| w.len())
        .max()
        .unwrap_or(0);
    let last = bits.get(end - 1)?;
    Some(format!(
        "{}{}",
        &typed[..bits[at].at.start],
        &typed[last.at.end..]
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limiter_that_is_used_is_left_out() {
        let left = left_out("Q1 and U1, on a bulb limiter for first power");
        assert_eq!(left.as_deref(), Some("Q1 and U1, "));
        assert_eq!(left_out("bypass the bulb limiter"), None);
        assert_eq!(left_out("Q1, U1"), None);
    }
}
