//! Board names as sheets write them, and the board that each stands for.
//!
//! Compared whole, letters large or small, blanks and dashes alike; never by likeness. A revision
//! written behind the name is told apart.

use std::collections::BTreeMap;

use crate::domain::job::Board;

/// A board found by its name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its id.
    pub board: String,
    /// The revision behind the name.
    pub rev: Option<String>,
}

/// Returns a name with single blanks, without blanks around it.
pub fn tidy(text: &str) -> String {
    let mut words = text.split_whitespace();
    let first = words.next().unwrap_or_default().to_owned();
    words.fold(first, |joined, word| joined + " " + word)
}

/// Returns the board that `text` names; `known` holds ids by names and ids in small letters.
pub fn find(text: &str, known: &BTreeMap<String, String>) -> Option<Found> {
    let small = tidy(text).to_lowercase();
    if small.is_empty() {
        return None;
    }
    let look = |name: &str| {
        let dashed = name.replace([' ', '_'], "-");
        let spaced = name.replace(['-', '_'], " ");
        [name, dashed.as_str(), spaced.as_str()]
            .iter()
            .find_map(|n| known.get(*n))
            .cloned()
    };
    if let Some(board) = look(&small) {
        return Some(Found { board, rev: None });
    }
    let (name, rev) = split_revision(text)?;
    let board = look(&name.to_lowercase())?;
    Some(Found {
        board,
        rev: Some(rev),
    })
}

/// Returns the name and the revision of `Petrel P4 rev C`.
pub fn split_revision(text: &str) -> Option<(String, String)> {
    let text = tidy(text);
    let words: Vec<&str> = text.split(' ').collect();
    let is_word = |w: &str| {
        let small = w.to_lowercase();
        matches!(
            small.trim_matches(['.', '(', ',', ':']),
            "rev" | "revision" | "stand" | "index" | "ver"
        )
    };
    let [name @ .., last] = words.as_slice() else {
        return None;
    };
    let (name, rev) = match name {
        [name @ .., word] if is_word(word) => (name, *last),
        // `(RevC`, `rev.C`: glued.
        _ => {
            let small = last.to_lowercase();
            let glued = small.trim_start_matches('(').strip_prefix("rev")?;
            let rev = glued.trim_start_matches(['.', '-', ':']);
            let from = last
                .len()
                .checked_sub(rev.len())
                .filter(|at| last.is_char_boundary(*at))?;
            (name, &last[from..])
        }
    };
    let rev = rev.trim_matches([')', '(', ',', '.']);
    let name = name.join(" ");
    let name = name.trim_end_matches([',', ' ', '-', '(']);
    let fits = !rev.is_empty()
        && rev.len() <= 6
        && rev.chars().all(|c| c.is_ascii_alphanumeric() || c == '.');
    (fits && !name.is_empty()).then(|| (name.to_owned(), rev.to_owned()))
}

/// A board that free words name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// By its whole id, blanks or dashes between: `petrel p4`.
    Whole(String),
    /// By the word that its id alone begins with, or by an id that could be any word.
    Maybe(String),
    /// Several boards are named: nobody can tell which is meant.
    Several,
}

fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// Returns the board that is named somewhere in `text`, if any is.
pub fn named_in(text: &str, boards: &[Board]) -> Option<Named> {
    let said = words(text);
    let ids: Vec<(&Board, Vec<String>)> = boards.iter().map(|b| (b, words(&b.id))).collect();
    let has = |run: &[String]| !run.is_empty() && said.windows(run.len()).any(|w| w == run);
    let whole: Vec<_> = ids.iter().filter(|(_, id)| has(id)).collect();
    let first = |id: &[String]| {
        let word = id.first().filter(|w| w.chars().count() > 3);
        let of_all = |w: &&String| ids.iter().filter(|(_, id)| id.first() == Some(w)).count();
        word.is_some_and(|w| said.contains(w) && of_all(&w) == 1)
    };
    let begun: Vec<_> = ids.iter().filter(|(_, id)| first(id)).collect();
    match (whole.as_slice(), begun.as_slice()) {
        ([], []) => None,
        ([(one, id)], []) if id.len() > 1 => Some(Named::Whole(one.id.clone())),
        ([(one, id)], [(other, _)]) if one.id == other.id && id.len() > 1 => {
            Some(Named::Whole(one.id.clone()))
        }
        ([(one, _)], []) | ([], [(one, _)]) => Some(Named::Maybe(one.id.clone())),
        ([(one, _)], [(other, _)]) if one.id == other.id => Some(Named::Maybe(one.id.clone())),
        _ => Some(Named::Several),
    }
}

/// Tells whether every word of `text` is part of the board's id or name.
pub fn is_of(text: &str, board: &Board) -> bool {
    let own: Vec<String> = [words(&board.id), words(&board.name)].concat();
    words(text).iter().all(|word| own.contains(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_board_is_told_in_free_words_by_its_id_and_never_by_likeness() {
        let of = |id: &str| Board {
            id: id.to_owned(),
            ..crate::domain::check::example::board()
        };
        let boards = ["petrel-p4", "skua-e6", "tern-h3", "tern-h5", "main"].map(of);
        let whole = |id: &str| Some(Named::Whole(id.to_owned()));
        let maybe = |id: &str| Some(Named::Maybe(id.to_owned()));
        for (text, expected) in [
            ("Petrel P4, no power", whole("petrel-p4")),
            ("no power on a PETREL-P4", whole("petrel-p4")),
            ("tern h5 dead", whole("tern-h5")),
            ("petrel cycling", maybe("petrel-p4")),
            ("main rail low", maybe("main")),
            ("Petrel P4, display off a Skua E6", Some(Named::Several)),
            ("petrel p4 beside a skua", Some(Named::Several)),
            ("tern dead", None),
            ("petrl p4 dead", None),
            ("P4 loose", None),
            ("", None),
        ] {
            assert_eq!(named_in(text, &boards), expected, "{text}");
        }
    }

    #[test]
    fn boards_are_found_by_their_whole_names_only() {
        let known: BTreeMap<String, String> = [
            ("petrel-p4", "petrel-p4"),
            ("petrel p4 helm display", "petrel-p4"),
            ("skua-e6", "skua-e6"),
        ]
        .map(|(a, b)| (a.to_owned(), b.to_owned()))
        .into();
        for (text, board, rev) in [
            ("Petrel P4", "petrel-p4", None),
            (" PETREL-P4 ", "petrel-p4", None),
            ("Petrel  P4 helm display", "petrel-p4", None),
            ("Petrel P4 rev C", "petrel-p4", Some("C")),
            ("Petrel P4 (Rev. C)", "petrel-p4", Some("C")),
            ("skua_e6, Stand 2", "skua-e6", Some("2")),
            ("skua-e6 revB", "skua-e6", Some("B")),
        ] {
            let found = find(text, &known).expect(text);
            assert_eq!(
                (found.board.as_str(), found.rev.as_deref()),
                (board, rev),
                "{text}"
            );
        }
        for other in [
            "",
            "Petrel",
            "Petrel P5",
            "Petrel P44",
            "rev C",
            "petrel p4 dead",
        ] {
            assert_eq!(find(other, &known), None, "{other}");
        }
    }
}
