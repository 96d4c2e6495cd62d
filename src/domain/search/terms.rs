//! Text becomes terms that are compared for equality.
//!
//! Designators (`U31`), nets (`3V3_SB`) and values (`3.3v`) stay whole. Words go through the shop's
//! and the trade's synonyms, verbs of repair become the act ("swapped" is `replace`), and simple
//! endings fall off. A net in a document also gives its pieces, so that "standby" finds `3V3_SB`; a
//! net in a query gives only itself, so that `3V3_SB` never finds `3V3` or `5V0_SB`.

use std::collections::HashMap;

use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::job::Outcome;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Known;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;

/// Words too common to tell anything.
const COMMON: [&str; 24] = [
    "a", "an", "the", "at", "on", "of", "in", "is", "was", "it", "its", "to", "with", "for",
    "from", "this", "that", "be", "are", "by", "as", "has", "had", "pin",
];

/// Beginnings of words that the cutting of text looks at together with what stands beside them.
const NEIGHBOURS: [&str; 25] = [
    "rev",
    "version",
    "pin",
    "ball",
    "and",
    "plus",
    "nor",
    "but",
    "then",
    "except",
    "anything",
    "everything",
    "all",
    "thru",
    "through",
    "pad",
    "trace",
    "track",
    "via",
    "land",
    "volt",
    "amp",
    "ohm",
    "cap",
    "not",
];

/// What a search knows of words and of the boards' parts.
#[derive(Clone, Debug, Default)]
pub struct Vocabulary {
    known: Known,
    words: Synonyms,
}

impl Vocabulary {
    /// Returns a vocabulary with the shop's words and what is known of its boards.
    pub fn new(words: &Synonyms, known: Known) -> Self {
        Self {
            known,
            words: words.clone(),
        }
    }

    /// Returns the vocabulary of a shop with these boards and words.
    pub fn of_shop(boards: &[Board], words: &Synonyms) -> Self {
        let mut known = Known::default();
        for board in boards {
            known.add_name(&board.name);
            for designator in board.parts.keys() {
                known.add_part(designator);
            }
        }
        Self::new(words, known)
    }

    /// Returns the terms of a document's text, in order.
    pub fn of_document(&self, text: &str) -> Vec<String> {
        let mut out: Vec<String> = nets(text).map(str::to_uppercase).collect();
        for net in out.clone() {
            if let Some((head, _)) = net.split_once('_') {
                let head = tokens::lex(head, &self.known);
                out.extend(
                    head.into_iter()
                        .filter(|t| t.kind == Kind::Part)
                        .map(|t| t.text),
                );
            }
        }
        let plain = self.plain(text);
        out.extend(plain.into_iter().filter(|t| !t.contains('_')));
        out
    }

    /// Returns the terms of a query, in order, each with its weight: a general word ("regulator")
    /// asks for the special ones ("switcher") as well, at half weight.
    pub fn of_query(&self, text: &str) -> Vec<(String, f64)> {
        let mut out: Vec<(String, f64)> = nets(text).map(|net| (net.to_uppercase(), 1.0)).collect();
        let mut rest = text.to_owned();
        for net in nets(text) {
            rest = rest.replace(net, " ");
        }
        for term in self.plain(&rest) {
            let special = words::CLASSES
                .iter()
                .filter(|class| **class != term && words::covers(&term, class));
            let special: Vec<(String, f64)> = special.map(|c| (ending_off(c), 0.5)).collect();
            out.push((term, 1.0));
            out.extend(special);
        }
        out
    }

    /// Cuts a text into pieces that give the same terms one by one as all together; `loose`
    /// remembers which words may stand alone.
    pub fn pieces<'a>(&self, text: &'a str, loose: &mut HashMap<String, bool>) -> Vec<&'a str> {
        let lower = text.to_lowercase();
        // A wire from R4 to R7 is two places, and the wire may stand anywhere in the text.
        if ["jumper", "wire", "link", "bridge"]
            .iter()
            .any(|w| lower.contains(w))
        {
            return vec![text];
        }
        let mut pieces = Vec::new();
        let mut run: Option<(usize, usize)> = None;
        let mut after_number = false;
        let mut words = places_of_words(text).peekable();
        while let Some((from, to)) = words.next() {
            let word = &text[from..to];
            // `LED 5` may be the part LED5, and after `C12, 13` a word makes 13 a number.
            let numbered = words.peek().is_some_and(|(next, _)| {
                let next = text.as_bytes().get(*next);
                next.is_some_and(|c| c.is_ascii_digit() || *c == b'-')
            });
            let alone = !(numbered || after_number) && self.remembers_alone(word, loose);
            after_number = word.bytes().any(|b| b.is_ascii_digit());
            if alone {
                pieces.extend(run.take().map(|(from, to)| &text[from..to]));
                pieces.push(word);
            } else {
                run = Some((run.map_or(from, |(from, _)| from), to));
            }
        }
        pieces.extend(run.map(|(from, to)| &text[from..to]));
        pieces
    }

    fn remembers_alone(&self, word: &str, loose: &mut HashMap<String, bool>) -> bool {
        if let Some(alone) = loose.get(word) {
            return *alone;
        }
        let alone = self.stands_alone(word);
        loose.insert(word.to_owned(), alone);
        alone
    }

    /// Tells whether nothing before or after the word changes what it means: letters only, of no
    /// phrase, and none of the words that the cutting of text looks at.
    fn stands_alone(&self, word: &str) -> bool {
        let lower = word.to_lowercase();
        lower.len() > 2
            && lower.bytes().all(|b| b.is_ascii_lowercase())
            && !NEIGHBOURS.iter().any(|n| lower.starts_with(n))
            && !self.words.in_a_phrase(&lower)
            && !acts::in_a_phrase(&lower)
    }

    fn plain(&self, text: &str) -> Vec<String> {
        let read = self.words.apply(&tokens::lex(text, &self.known));
        let mut out = Vec::with_capacity(read.len());
        let mut i = 0;
        while i < read.len() {
            let verb = (read[i].kind == Kind::Word)
                .then(|| acts::verb_at(&read, i))
                .flatten();
            // A lifted pad was not removed by anybody.
            let verb = verb
                .filter(|v| !v.weak && v.act != acts::CHECK && !read[i].text.starts_with("lift"));
            if let Some(verb) = verb {
                out.push(verb.act.to_owned());
                i += verb.len;
                continue;
            }
            out.extend(term(&read[i]));
            i += 1;
        }
        out
    }
}

/// Returns the term of a job's number or a card's id.
pub fn number_term(number: &str) -> String {
    format!("no. {}", number.to_uppercase())
}

/// Returns the term that finds the documents of a board; no text has it.
pub fn board_term(board: &str) -> String {
    format!("\u{1} board {board}")
}

/// Returns the term that finds the documents of a circuit family; no text has it.
pub fn family_term(family: &str) -> String {
    format!("\u{1} family {family}")
}

/// Returns the term that finds the jobs that ended so; no text has it.
pub fn outcome_term(outcome: Outcome) -> String {
    format!("\u{1} outcome {}", outcome.word())
}

/// Returns the term that finds the documents with a finding of the kind; no text has it.
pub fn kind_term(kind: FindingKind) -> String {
    format!("\u{1} kind {}", kind.word())
}

/// Returns where each word between blanks begins and ends.
fn places_of_words(text: &str) -> impl Iterator<Item = (usize, usize)> {
    let mut at = 0;
    text.split_inclusive(char::is_whitespace)
        .map(move |chunk| {
            let from = at;
            at += chunk.len();
            (from, from + chunk.trim_end().len())
        })
        .filter(|(from, to)| from < to)
}

fn term(token: &Token) -> Option<String> {
    match token.kind {
        Kind::Word if token.is_any(&COMMON) => None,
        // The class of a part stays as the synonyms write it, to be found by its general word.
        Kind::Word => Some(ending_off(&token.text)),
        Kind::Part | Kind::Volts | Kind::Value | Kind::Number => Some(token.text.clone()),
        Kind::And | Kind::Or | Kind::Comma | Kind::Stop | Kind::Dash { .. } => None,
    }
}

/// Returns a word without its regular ending: "cycling", "cycles" and "cycle" are one.
///
/// Words of letters only; a word with a digit in it is a name.
pub fn ending_off(word: &str) -> String {
    if word.len() < 4 || !word.bytes().all(|b| b.is_ascii_lowercase()) {
        return word.to_owned();
    }
    if words::CLASSES.contains(&word) || matches!(word, "does" | "goes") {
        return word.to_owned();
    }
    let long = |stem: &&str| stem.len() >= 3 && stem.contains(['a', 'e', 'i', 'o', 'u', 'y']);
    let cut = |end: &str| word.strip_suffix(end).filter(long);
    if let Some(stem) = cut("ies").or_else(|| cut("ied")) {
        return format!("{stem}y");
    }
    let stem = cut("ing").or_else(|| cut("ed"));
    if let Some(stem) = stem {
        return undoubled(stem.strip_suffix('e').unwrap_or(stem)).to_owned();
    }
    let single = match word.strip_suffix('s').filter(long) {
        Some(stem) if !stem.ends_with(['s', 'u', 'i']) => stem,
        _ => word,
    };
    if words::CLASSES.contains(&single) {
        return single.to_owned();
    }
    single
        .strip_suffix('e')
        .filter(long)
        .unwrap_or(single)
        .to_owned()
}

fn undoubled(stem: &str) -> &str {
    let mut back = stem.chars().rev();
    match (back.next(), back.next()) {
        (Some(a), Some(b)) if a == b && !"aeiouls".contains(a) => &stem[..stem.len() - 1],
        _ => stem,
    }
}

/// Returns the runs of letters, digits and underscores that hold an underscore between two others.
fn nets(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_'))
        .map(|run| run.trim_matches('_'))
        .filter(|run| run.contains('_'))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use proptest::prelude::*;

    fn vocabulary() -> Vocabulary {
        let mut known = Known::default();
        known.add_part("U31");
        known.add_part("LED5");
        known.add_name("Petrel P4 helm display");
        Vocabulary::new(&Synonyms::default(), known)
    }

    fn document(text: &str) -> String {
        vocabulary().of_document(text).join(" ")
    }

    fn query(text: &str) -> String {
        let terms = vocabulary().of_query(text);
        let full: Vec<String> = terms
            .into_iter()
            .filter(|(_, weight)| *weight > 0.9)
            .map(|(term, _)| term)
            .collect();
        full.join(" ")
    }

    #[test]
    fn a_net_is_exact_when_asked_for_and_found_by_its_pieces() {
        assert_eq!(document("3V3_SB"), "3V3_SB 3.3v standby");
        assert_eq!(query("3v3_sb"), "3V3_SB");
        assert_eq!(query("3V3 stby"), "3.3v standby");
        assert_eq!(document("U31_VIN"), "U31_VIN U31");
        assert_eq!(query("U31_VIN"), "U31_VIN");
    }

    #[test]
    fn designators_and_values_stay_whole() {
        assert_eq!(query("u31 U13 U311 U31A"), "U31 U13 U311 U31A");
        assert_eq!(query("3V3 3V0 1V8"), "3.3v 3v 1.8v");
        assert_eq!(query("Petrel P4"), "petrel p4");
    }

    #[test]
    fn words_meet_in_their_forms_and_synonyms() {
        for (a, b) in [
            ("cycles", "cycling"),
            ("cycle", "cycled"),
            ("caps", "capacitor"),
            ("swapped the xtal", "replace crystal"),
            ("stby", "always on"),
            ("corroded", "corrode"),
            ("dripping", "drips"),
            ("batteries", "battery"),
            ("regulators", "reg"),
            ("no-power", "no power"),
        ] {
            assert_eq!(document(a), query(b), "{a} against {b}");
        }
        for (a, b) in [("glass", "glas"), ("lifted", "removed"), ("bus", "bu")] {
            assert_ne!(document(a), query(b), "{a} against {b}");
        }
    }

    proptest! {
        /// A text cut in pieces gives the same terms as the whole text.
        #[test]
        fn pieces_say_what_the_whole_says(
            words in prop::collection::vec(
                prop::sample::select(vec![
                    "rev", "C2", "U31", "U", "31", "and", "R4-R7", "R4", "to", "R7", "jumper",
                    "wired", "3.3", "volts", "caps", "swapped", "the", "took", "off", "green,",
                    "residue", "low", "standby", "stand", "by", "power", "good", "op", "amp",
                    "fit", "a", "new", "C12,", "13", "pin", "A5", "cycling", "61-118mA", "reg.",
                    "always", "on", "lifted", "Petrel", "P4", "then", "pull", "up", "no", "osc",
                    "housekeeper", "night", "watch", "fuse", "T6.3", "A", "LED", "5", "-",
                ]),
                0..9,
            ),
        ) {
            let shop = BTreeMap::from([
                ("night watch".to_owned(), "always-on reg".to_owned()),
                ("housekeeper".to_owned(), "standby regulator".to_owned()),
            ]);
            let words_of_shop = Vocabulary { words: Synonyms::with_shop(&shop), ..vocabulary() };
            let text = words.join(" ");
            let mut whole = words_of_shop.of_document(&text);
            let mut cut: Vec<String> = words_of_shop
                .pieces(&text, &mut HashMap::new())
                .into_iter()
                .flat_map(|piece| words_of_shop.of_document(piece))
                .collect();
            whole.sort();
            cut.sort();
            prop_assert_eq!(cut, whole, "{}", text);
        }
    }

    #[test]
    fn a_general_word_asks_for_the_special_ones_at_half_weight() {
        let terms = vocabulary().of_query("reg");
        assert_eq!(terms[0], ("regulator".to_owned(), 1.0));
        assert!(terms.contains(&("switcher".to_owned(), 0.5)));
        assert_eq!(vocabulary().of_query("ldo").len(), 1);
    }
}
