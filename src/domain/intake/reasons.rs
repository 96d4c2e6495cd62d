//! Why a row needs a person, and what is only remarked on: the words of flags that come from rows and
//! columns. Those that come from the words of one cell are the parser's.

use crate::domain::intake::doubt::Doubt;
use crate::domain::job::Flag;

/// (word in files, sentence for a person, it keeps a row from being taken).
const TABLE: [(&str, &str, bool); 41] = [
    ("missing", "The row does not say it.", true),
    (
        "number-used-twice",
        "Another row has this job number and says something else.",
        true,
    ),
    (
        "sheet-formula",
        "A formula stands where the job number should be.",
        true,
    ),
    (
        "ended-in-later-row",
        "A later row says this job again, and how it ended.",
        false,
    ),
    (
        "above-source",
        "A rail reads higher than anything that feeds the board.",
        true,
    ),
    (
        "sheet-damage",
        "The sheet may have changed this into a number.",
        true,
    ),
    (
        "sheet-date-damage",
        "The sheet may have changed this into a date.",
        true,
    ),
    (
        "reference-to-neighbour-row",
        "The words are in another row.",
        true,
    ),
    ("filled-from-above", "Taken from the row above.", false),
    (
        "more-cells-than-columns",
        "The row has more cells than there are headers: a separator may stand inside a cell.",
        true,
    ),
    (
        "bounce-of-earlier-row",
        "The board came back: an earlier row is its first repair.",
        false,
    ),
    (
        "later-job-of-unit-above",
        "A later job of this unit stands above.",
        false,
    ),
    ("date-order", "Day or month first?", true),
    ("year-missing", "Which year?", true),
    ("year-not-plain", "Which century?", true),
    ("weekday-only", "Only a weekday is written.", true),
    ("impossible-date", "This day is not on the calendar.", true),
    (
        "words-beside-date",
        "There are words beside the date.",
        true,
    ),
    ("not-a-date", "This is no date.", true),
    (
        "date-from-serial",
        "The day was counted from a worksheet's number.",
        false,
    ),
    (
        "only-received-date",
        "Only the day it came in is written, not the day it was closed.",
        true,
    ),
    (
        "date-in-words",
        "A day stands in the words; is it the closing day?",
        true,
    ),
    ("in-the-future", "The closing day has not come yet.", true),
    (
        "closed-before-received",
        "It was closed before it came in.",
        true,
    ),
    (
        "board-not-listed",
        "The shop does not list this board.",
        true,
    ),
    ("not-read", "Nothing here was understood.", false),
    (
        "complaint-not-read",
        "The complaint was not understood.",
        true,
    ),
    ("outcome-not-read", "How it ended was not understood.", true),
    ("outcome-conflict", "Two cells say different ends.", true),
    ("not-closed", "The job is not closed.", true),
    (
        "not-fixed",
        "A column says that it was not fixed: how did it end?",
        true,
    ),
    (
        "fix-and-no-fix",
        "The row names a fix and says that there was none.",
        true,
    ),
    (
        "family-not-said",
        "Nothing says which circuit it was; this one is a guess.",
        true,
    ),
    (
        "family-not-listed",
        "No circuit of the shop is called so.",
        true,
    ),
    (
        "several-families",
        "The parts belong to several circuits.",
        true,
    ),
    (
        "family-differs-from-board",
        "The board's part list says another circuit.",
        false,
    ),
    (
        "act-not-said",
        "The part is named, but not what was done to it.",
        true,
    ),
    (
        "tried-or-fix",
        "It works, and only what was tried is written: was that the fix?",
        true,
    ),
    (
        "part-differs",
        "The part's column and the words name different parts.",
        true,
    ),
    (
        "where-missing",
        "It is not said where this was measured.",
        false,
    ),
    ("unsafe-act", "This act is unsafe and is never a fix.", true),
];

/// Tells whether a flag keeps its row from being taken. A reason that no table knows does.
pub fn blocks(flag: &Flag) -> bool {
    if let Some(row) = TABLE.iter().find(|row| row.0 == flag.why) {
        return row.2;
    }
    Doubt::from_word(&flag.why).is_none_or(Doubt::blocks)
}

/// Returns what a flag's word asks of a person, in plain words; none for words that are a sentence of
/// their own, such as what the reader of a file remarked.
pub fn sentence(word: &str) -> Option<&'static str> {
    let own = TABLE.iter().find(|row| row.0 == word).map(|row| row.1);
    own.or_else(|| Doubt::from_word(word).map(Doubt::sentence))
}

/// The fields of a job in the order of the form.
const FORM: [&str; 20] = [
    "row",
    "job",
    "closed_on",
    "closed_by",
    "board",
    "rev",
    "unit",
    "follows",
    "complaint",
    "findings",
    "family",
    "actions",
    "outcome",
    "no_fix_reason",
    "proof",
    "environment",
    "minutes",
    "value",
    "parts_cost",
    "note",
];

/// Puts flags into the order of the form, each once.
pub fn sort(flags: &mut Vec<Flag>) {
    let place = |flag: &Flag| {
        FORM.iter()
            .position(|f| *f == flag.field)
            .unwrap_or(FORM.len())
    };
    flags.sort_by_key(place);
    let mut kept: Vec<Flag> = Vec::with_capacity(flags.len());
    for flag in flags.drain(..) {
        if !kept.contains(&flag) {
            kept.push(flag);
        }
    }
    *flags = kept;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flag(field: &str, why: &str) -> Flag {
        Flag {
            field: field.to_owned(),
            why: why.to_owned(),
            raw: String::new(),
        }
    }

    #[test]
    fn a_reason_stands_in_both_tables_only_where_they_agree() {
        for (word, _, own) in TABLE {
            assert!(
                Doubt::from_word(word).is_none_or(|d| d.blocks() == own),
                "{word}"
            );
        }
    }

    #[test]
    fn a_reason_that_nobody_knows_keeps_the_row_back() {
        assert!(blocks(&flag("row", "unbalanced quote")));
        assert!(blocks(&flag("closed_on", "date-order")));
        assert!(!blocks(&flag("closed_on", "date-from-serial")));
        assert!(!blocks(&flag("findings", "decimal-comma")));
        assert!(blocks(&flag("actions", "cause-not-proved")));
    }

    #[test]
    fn flags_stand_in_the_order_of_the_form_and_once() {
        let mut flags = vec![
            flag("outcome", "missing"),
            flag("job", "missing"),
            flag("job", "missing"),
            flag("text", "x"),
        ];
        sort(&mut flags);
        let fields: Vec<&str> = flags.iter().map(|f| f.field.as_str()).collect();
        assert_eq!(fields, ["job", "outcome", "text"]);
    }

    #[test]
    fn every_reason_is_said_in_a_sentence_and_once() {
        for (word, said, _) in TABLE {
            assert!(said.ends_with(['.', '?']), "{word}");
            assert_eq!(sentence(word), Some(said));
        }
        assert_eq!(
            sentence("period-missing"),
            Some(Doubt::PeriodMissing.sentence())
        );
        assert_eq!(sentence("unbalanced quote"), None);
    }
}
