//! Columns whose header asks a question and whose cells answer yes or no: `Fixed?`, `erledigt?`,
//! `Came back?`. They say how it ended and never what was done.
//!
//! Common practice, no source. Whole words only; a cell that says more than an answer is read as words.

use crate::domain::intake::headers;

/// What a header asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::domain::intake) enum Question {
    /// Was it fixed?
    Fixed,
    /// Did it come back?
    CameBack,
}

const FIXED: &str = "fixed|fix|repair|repaired|ok|works|working|done|finished|solved|resolved|completed|cured|\
    passed|success|successful|repariert|reparatur|erledigt|behoben|fertig|geht|laeuft|funktioniert|geloest|\
    abgeschlossen|bestanden|erfolgreich|gefixt";

/// Words beside them that change nothing.
const BESIDE: &str = "is|it|was|the|now|board|job|all|y|n|yes|or|ja|nein|oder|j|again|wieder|ist|war|es|alles|jetzt|\
    platine|geraet|unit";

const CAME_BACK: [&str; 11] = [
    "came back",
    "come back",
    "comeback",
    "comes back",
    "bounced",
    "bounce",
    "kam zurueck",
    "zurueckgekommen",
    "wieder da",
    "ruecklaeufer",
    "returned again",
];

/// Returns what a header asks, if it asks.
pub(in crate::domain::intake) fn question(header: &str) -> Option<Question> {
    let plain = headers::plain(header);
    let padded = format!(" {plain} ");
    if CAME_BACK.iter().any(|w| padded.contains(&format!(" {w} "))) {
        return Some(Question::CameBack);
    }
    let is = |list: &str, word: &str| list.split('|').any(|w| w == word);
    let mut words = plain.split(' ');
    let all = plain.split(' ').all(|w| is(FIXED, w) || is(BESIDE, w));
    (all && words.any(|w| is(FIXED, w))).then_some(Question::Fixed)
}

/// Returns yes or no where a cell is nothing but one of them.
pub(in crate::domain::intake) fn answer(text: &str) -> Option<bool> {
    let small = text.trim().trim_end_matches(['.', '!']).to_lowercase();
    let yes = ["yes", "y", "true", "ja", "j", "x", "✓", "✔", "wahr", "1"];
    let no = [
        "no",
        "n",
        "false",
        "nein",
        "falsch",
        "0",
        "✗",
        "✘",
        "nope",
        "not",
        "nicht",
        "not yet",
        "noch nicht",
    ];
    if yes.contains(&small.as_str()) {
        Some(true)
    } else if no.contains(&small.as_str()) {
        Some(false)
    } else {
        None
    }
}

/// Returns the words for an end that an answer to "came back?" stands for; none where it did not.
pub(in crate::domain::intake) fn came_back(text: &str) -> Option<String> {
    let small = text.trim().to_lowercase();
    let mut words = small
        .split(|c: char| !c.is_alphanumeric() && !matches!(c, '✓' | '✔' | '✗' | '✘'))
        .filter(|w| !w.is_empty());
    match words.next().and_then(answer) {
        Some(false) => None,
        Some(true) => {
            let rest: Vec<&str> = words.collect();
            let says = |list: &[&str]| rest.iter().any(|w| list.contains(w));
            let other = [
                "other",
                "different",
                "another",
                "new",
                "anderer",
                "andere",
                "anderes",
                "neuer",
            ];
            let same = [
                "same", "gleicher", "gleiche", "gleiches", "selbe", "derselbe", "dasselbe",
                "selber",
            ];
            Some(match (says(&same), says(&other)) {
                (true, false) => "came back, same fault".to_owned(),
                (false, true) => "came back, different fault".to_owned(),
                _ => "came back".to_owned(),
            })
        }
        None => Some(text.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_that_asks_is_told_from_one_that_names() {
        for header in [
            "Fixed?",
            "OK?",
            "erledigt?",
            "Is it repaired",
            "Läuft wieder?",
        ] {
            assert_eq!(question(header), Some(Question::Fixed), "{header}");
        }
        for header in ["Came back?", "Rückläufer j/n"] {
            assert_eq!(question(header), Some(Question::CameBack), "{header}");
        }
        for header in [
            "Not fixed",
            "Fixed by",
            "Date done",
            "What fixed it",
            "",
            "Board",
        ] {
            assert_eq!(question(header), None, "{header}");
        }
    }

    #[test]
    fn only_a_bare_yes_or_no_is_an_answer() {
        assert_eq!(answer(" TRUE"), Some(true));
        assert_eq!(answer("Nein."), Some(false));
        assert_eq!(answer("replaced U4"), None);
        assert_eq!(came_back("no"), None);
        assert_eq!(
            came_back("ja, gleicher Fehler").as_deref(),
            Some("came back, same fault")
        );
        assert_eq!(came_back("x").as_deref(), Some("came back"));
        assert_eq!(came_back("held").as_deref(), Some("held"));
    }
}
