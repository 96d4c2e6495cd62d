//! Board names as sheets write them, and the board that each stands for.
//!
//! Compared whole, letters large or small, blanks and dashes alike; never by likeness. A revision
//! written behind the name is told apart.

use std::collections::BTreeMap;

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

#[cfg(test)]
mod tests {
    use super::*;

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
