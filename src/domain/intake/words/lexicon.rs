//! Looks up phrases: the longest one that starts at a word.
//!
//! Every phrase is stored under its first word; the words after it are compared in order. Words are
//! folded before (small letters, apostrophes dropped), see `reading::scan`.

use std::collections::HashMap;

use crate::domain::intake::words::sense::Sense;

/// A phrase after its first word, and what it can mean.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Phrase {
    rest: Vec<String>,
    senses: Vec<Sense>,
}

/// Phrases by their first word, longest first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lexicon {
    by_first: HashMap<String, Vec<Phrase>>,
}

impl Lexicon {
    /// Adds the phrases of `words`, separated by `|`.
    pub fn add_all(&mut self, words: &str, sense: &Sense) {
        for phrase in words.split('|') {
            self.add(phrase, sense);
        }
    }

    /// Adds the verbs of `words` in their regular forms; only a first word is inflected.
    pub fn add_verbs(&mut self, words: &str, sense: &Sense) {
        for phrase in words.split('|') {
            let (first, rest) = phrase.split_once(' ').unwrap_or((phrase, ""));
            for form in forms(first) {
                self.add(format!("{form} {rest}").trim_end(), sense);
            }
        }
    }

    /// Adds one phrase in each way to write it.
    pub fn add(&mut self, phrase: &str, sense: &Sense) {
        let folded = fold(phrase);
        for spelling in spellings(&folded) {
            let mut words = spelling.split_whitespace().map(str::to_owned);
            let Some(first) = words.next() else {
                return;
            };
            let rest: Vec<String> = words.collect();
            let phrases = self.by_first.entry(first).or_default();
            if let Some(known) = phrases.iter_mut().find(|p| p.rest == rest) {
                if !known.senses.contains(sense) {
                    known.senses.push(sense.clone());
                }
                continue;
            }
            let at = phrases.partition_point(|p| p.rest.len() >= rest.len());
            let senses = vec![sense.clone()];
            phrases.insert(at, Phrase { rest, senses });
        }
    }

    /// Returns how many words after the first the longest phrase takes, and its senses. `word(n)` is
    /// the n-th word after the first, where it follows directly.
    pub fn longest<'l, 'w>(
        &'l self,
        first: &str,
        mut word: impl FnMut(usize) -> Option<&'w str>,
    ) -> Option<(usize, &'l [Sense])> {
        let phrases = self.by_first.get(first)?;
        // Many phrases start with "no": most differ at once.
        let mut second = None;
        let mut fits = |phrase: &&Phrase| {
            let Some((next, more)) = phrase.rest.split_first() else {
                return true;
            };
            let second = *second.get_or_insert_with(|| word(0));
            let mut more = more.iter().enumerate();
            second == Some(next.as_str())
                && more.all(|(n, wanted)| word(n + 1) == Some(wanted.as_str()))
        };
        let phrase = phrases.iter().find(|p| fits(p))?;
        Some((phrase.rest.len(), &phrase.senses))
    }

    /// Tells whether it holds nothing.
    pub fn is_empty(&self) -> bool {
        self.by_first.is_empty()
    }
}

/// Returns a phrase with small letters, without apostrophes, its hyphens and slashes as spaces.
pub fn fold(phrase: &str) -> String {
    let mut folded = String::with_capacity(phrase.len());
    for c in phrase.chars().flat_map(char::to_lowercase) {
        match c {
            '\'' | '’' | '‘' | '`' | '´' => {}
            '-' | '/' => folded.push(' '),
            'μ' | 'µ' => folded.push('u'),
            c => folded.push(c),
        }
    }
    folded
}

/// Returns the word with its umlauts as written, with `e`, and with the dots left out.
fn spellings(folded: &str) -> Vec<String> {
    if !folded.contains(['ä', 'ö', 'ü', 'ß']) {
        return vec![folded.to_owned()];
    }
    let with = |a: &str, o: &str, u: &str| {
        folded
            .replace('ä', a)
            .replace('ö', o)
            .replace('ü', u)
            .replace('ß', "ss")
    };
    let mut all = vec![folded.to_owned(), folded.replace('ß', "ss")];
    // Short words become others: "Öl" the meter's OL, "Stück" stuck, "für" fur.
    let longest = folded.split(' ').map(|word| word.chars().count()).max();
    if longest.is_some_and(|n| n >= 4) {
        all.push(with("ae", "oe", "ue"));
    }
    if longest.is_some_and(|n| n >= 7) {
        all.push(with("a", "o", "u"));
    }
    all
}

/// Returns the regular forms of an English verb, and the clipped ones of the bench (`reflowd`).
fn forms(verb: &str) -> Vec<String> {
    let mut forms = vec![verb.to_owned(), format!("{verb}s")];
    if let Some(stem) = verb.strip_suffix('e') {
        forms.extend([format!("{verb}d"), format!("{stem}ing")]);
        return forms;
    }
    if let Some(stem) = verb.strip_suffix('y') {
        forms.extend([format!("{stem}ied"), format!("{stem}ies")]);
    }
    if verb.ends_with(['h', 's', 'x']) {
        forms.push(format!("{verb}es"));
    }
    forms.extend(["ed", "d", "ing"].map(|end| format!("{verb}{end}")));
    if let Some(last) = verb.chars().last().filter(char::is_ascii_alphabetic) {
        forms.extend(["ed", "ing"].map(|end| format!("{verb}{last}{end}")));
    }
    forms
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found<'a>(lexicon: &'a Lexicon, text: &str) -> Option<(usize, &'a [Sense])> {
        let words: Vec<&str> = text.split(' ').collect();
        lexicon.longest(words[0], |n| words.get(n + 1).copied())
    }

    #[test]
    fn the_longest_phrase_wins_and_a_part_of_it_is_none() {
        let mut lexicon = Lexicon::default();
        lexicon.add("no", &Sense::Not);
        lexicon.add("no help", &Sense::InVain);
        assert_eq!(found(&lexicon, "no help"), Some((1, &[Sense::InVain][..])));
        assert_eq!(found(&lexicon, "no helper"), Some((0, &[Sense::Not][..])));
        assert_eq!(found(&lexicon, "help"), None);
    }

    #[test]
    fn verbs_have_their_forms_and_umlauts_their_spellings() {
        let mut lexicon = Lexicon::default();
        lexicon.add_verbs("swap out|replace|carry", &Sense::Filler);
        lexicon.add("gelötet", &Sense::Not);
        for text in [
            "swapped out",
            "swapd out",
            "replacing",
            "replaced",
            "carried",
        ] {
            assert!(found(&lexicon, text).is_some(), "{text}");
        }
        lexicon.add("öl|für", &Sense::Filler);
        assert_eq!(found(&lexicon, "ol"), None);
        assert_eq!(found(&lexicon, "fur"), None);
        for text in ["gelötet", "geloetet", "gelotet"] {
            assert_eq!(
                found(&lexicon, text),
                Some((0, &[Sense::Not][..])),
                "{text}"
            );
        }
        assert_eq!(found(&lexicon, "swapped"), None);
    }

    #[test]
    fn a_phrase_in_two_tables_keeps_both_meanings() {
        let mut lexicon = Lexicon::default();
        lexicon.add("pulsing", &Sense::Draw("cycling"));
        lexicon.add("pulsing", &Sense::Filler);
        lexicon.add("pulsing", &Sense::Filler);
        let both = [Sense::Draw("cycling"), Sense::Filler];
        assert_eq!(found(&lexicon, "pulsing"), Some((0, &both[..])));
    }
}
