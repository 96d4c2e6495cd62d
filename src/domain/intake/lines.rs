//! Rows that are no job, and marks that stand for the row above.
//!
//! Words in English and German: common practice, no source.

use crate::domain::intake::headers;
use crate::domain::intake::mapping::Mapping;
use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;

/// A mark that stands for the words above.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ditto {
    /// `"`, `-"-`, `dto`, `ditto`.
    Mark,
    /// `see above`, `siehe oben`.
    Words,
}

/// Returns which mark for the words above a cell holds, and nothing else.
pub fn ditto(text: &str) -> Option<Ditto> {
    let text = text.trim();
    if text.is_empty() || 24 < text.len() {
        return None;
    }
    let marks = [
        '"', '\'', '“', '”', '„', '‟', '〃', '″', '‘', '’', '`', '´', '-', ' ', ',', ';', '.',
    ];
    let quotes = ['"', '“', '”', '„', '‟', '〃', '″'];
    let doubled = ["''", "’’", "``", "´´", ",,"];
    if text.chars().all(|c| marks.contains(&c))
        && (text.contains(quotes) || doubled.iter().any(|d| text.contains(d)))
    {
        return Some(Ditto::Mark);
    }
    let small = text.to_lowercase();
    let plain = small.trim_matches(['.', '(', ')', '!', ' ', '*', '<', '^']);
    match plain {
        "dto" | "ditto" | "dito" | "do" | "dtto" | "idem" | "id" | "dgl" | "desgl" => {
            Some(Ditto::Mark)
        }
        "see above" | "as above" | "same as above" | "same" | "above" | "s.o" | "s. o"
        | "siehe oben" | "wie oben" | "w.o" | "w. o" | "wie vor" | "wie zuvor" | "gleich"
        | "same again" | "as before" | "see prev" | "see previous" | "as previous"
        | "wie vorher" | "siehe vorher" => Some(Ditto::Words),
        _ => None,
    }
}

/// Tells whether a cell says that there is nothing to say: `-`, `n/a`, `not measured`.
pub fn says_nothing(text: &str) -> bool {
    let small = text.trim().to_lowercase();
    matches!(
        small.trim_end_matches('.'),
        "" | "-"
            | "--"
            | "---"
            | "–"
            | "—"
            | "/"
            | "."
            | "n/a"
            | "na"
            | "n.a"
            | "none"
            | "nil"
            | "n/m"
            | "n.m"
            | "nm"
            | "not measured"
            | "not taken"
            | "nicht gemessen"
            | "keine"
            | "keiner"
            | "kein"
            | "entfällt"
            | "entf"
            | "k.a"
            | "k. a"
            | "keine angabe"
            | "x"
            | "null"
            | "tbd"
    )
}

/// Tells whether a cell says that nobody knows: `?`, `unbekannt`.
pub fn says_unknown(text: &str) -> bool {
    let small = text.trim().to_lowercase();
    matches!(
        small.trim_end_matches(['.', '!']),
        "?" | "??"
            | "???"
            | "unknown"
            | "unk"
            | "not known"
            | "unbekannt"
            | "unbek"
            | "unklar"
            | "not stated"
            | "nicht bekannt"
    )
}

/// Tells whether a row is a line drawn with signs: `-----`, `====`.
pub fn is_rule(row: &Row) -> bool {
    let mut long = false;
    let drawn = row.cells.iter().filter(|c| !c.is_blank()).all(|c| {
        let text = c.text();
        let text = text.trim();
        long |= 3 <= text.len();
        text.chars().all(|c| {
            matches!(
                c,
                '-' | '=' | '_' | '*' | '#' | '~' | '.' | '–' | '—' | '+' | '|'
            )
        })
    });
    let several = row.cells.iter().filter(|c| !c.is_blank()).count() >= 3;
    drawn && (long || several)
}

/// First words of a row that adds up.
const TOTALS: [&str; 22] = [
    "total",
    "totals",
    "sum",
    "sums",
    "subtotal",
    "sub-total",
    "grand",
    "average",
    "avg",
    "mean",
    "count",
    "summe",
    "summen",
    "gesamt",
    "gesamtsumme",
    "zwischensumme",
    "durchschnitt",
    "mittelwert",
    "anzahl",
    "übertrag",
    "schnitt",
    "insgesamt",
];

/// Tells whether a row adds up the others: a word for it first, and nothing but figures beside it.
pub fn is_totals(row: &Row) -> bool {
    let mut filled = row.cells.iter().filter(|c| !c.is_blank());
    let Some(Cell::Text(first)) = filled.next() else {
        return false;
    };
    let small = first.trim().to_lowercase();
    let small = small.trim_start_matches(['Σ', 'ø', '∑', 'σ', ' ']);
    let word = small
        .split(|c: char| c.is_whitespace() || matches!(c, ':' | '=' | '(' | '.' | ','))
        .next();
    let symbol =
        first.trim_start().starts_with(['Σ', '∑', 'Ø', 'ø']) && first.trim().chars().count() <= 20;
    if !symbol && !word.is_some_and(|w| TOTALS.contains(&w)) {
        return false;
    }
    let words = small.split_whitespace().count();
    let figures = |cell: &Cell| match cell {
        Cell::Number(_) => true,
        Cell::Text(text) => {
            let letters = text.chars().filter(|c| c.is_alphabetic()).count();
            text.bytes().any(|b| b.is_ascii_digit()) && letters <= 4 && text.len() <= 24
        }
        Cell::Empty | Cell::Date(_) => false,
    };
    let rest: Vec<&Cell> = filled.collect();
    let all_figures = rest.iter().all(|c| figures(c) || is_sum_word(c));
    all_figures && (!rest.is_empty() || words <= 5)
}

fn is_sum_word(cell: &Cell) -> bool {
    let text = cell.text();
    let small = text.trim().trim_end_matches([':', '.']).to_lowercase();
    // "14 jobs" counts as "14" and "jobs" do.
    let small = match small.split_once(' ') {
        Some((n, what)) if n.bytes().all(|b| b.is_ascii_digit()) => what.trim().to_owned(),
        _ => small,
    };
    TOTALS.contains(&small.as_str())
        || matches!(
            small.as_str(),
            "jobs"
                | "rows"
                | "boards"
                | "repairs"
                | "units"
                | "pieces"
                | "aufträge"
                | "zeilen"
                | "platinen"
                | "reparaturen"
                | "geräte"
                | "stück"
                | "minuten"
                | "stunden"
                | "min"
                | "h"
                | "-"
        )
}

/// Bytes by which one header may be longer than the same header spelled otherwise.
const SPELLED: usize = 8;

/// Tells whether words may be a header, or its beginning or end, by their first and last letters alone.
fn may_be_header(text: &str, header: &str) -> bool {
    let ends = |text: &str| {
        let mut letters = text.chars().filter(|c| c.is_alphanumeric());
        let first = letters.next();
        (first, letters.next_back().or(first))
    };
    let alike = |a: Option<char>, b: Option<char>| match (a, b) {
        (Some(a), Some(b)) if a.is_ascii() && b.is_ascii() => a.eq_ignore_ascii_case(&b),
        // An umlaut may be spelled with two letters.
        _ => true,
    };
    // Units in brackets are no part of a header's words.
    let words = header.split(['(', '[']).next().unwrap_or(header);
    let ((first, last), (own_first, own_last)) = (
        ends(words),
        ends(text.split(['(', '[']).next().unwrap_or(text)),
    );
    alike(first, own_first) || alike(last, own_last)
}

/// Tells whether a row repeats the headers.
pub fn is_header_again(row: &Row, mapping: &Mapping) -> bool {
    let filled = row.cells.iter().filter(|c| !c.is_blank()).count();
    let mut same = 0_usize;
    let mut other = 0_usize;
    for (at, cell) in row.cells.iter().enumerate().filter(|(_, c)| !c.is_blank()) {
        // Nearly every row stops here at once: too much of it is no header.
        if filled * 2 < other * 5 {
            return false;
        }
        other += 1;
        let Some(column) = mapping.columns.get(at).filter(|c| !c.header.is_empty()) else {
            continue;
        };
        let Cell::Text(text) = cell else { continue };
        if 60 < text.len() {
            return false;
        }
        if column.header.len() + SPELLED < text.len() || !may_be_header(text, &column.header) {
            continue;
        }
        let (own, header) = (headers::plain(text), headers::plain(&column.header));
        let part = !own.is_empty()
            && header.len() > own.len()
            && (header.starts_with(&format!("{own} ")) || header.ends_with(&format!(" {own}")));
        if !own.is_empty() && own == header || part {
            same += 1;
            other -= 1;
        }
    }
    let needed = if mapping.columns.len() <= 1 { 1 } else { 2 };
    needed <= same && filled * 3 <= same * 5
}

/// Words that say a board came back after its repair.
const CAME_BACK: [&str; 22] = [
    "came back",
    "back again",
    "comes back",
    "bounce",
    "bnc",
    "returned",
    "return visit",
    "again",
    "rückläufer",
    "ruecklaeufer",
    "rücklaeufer",
    "wieder da",
    "kam zurück",
    "kam wieder",
    "kommt zurück",
    "erneut",
    "nochmal",
    "zurück vom kunden",
    "reklamation",
    "wieder defekt",
    "same fault",
    "nacharbeit",
];

/// Tells whether the row's own words say that the board came back.
pub fn came_back(row: &Row) -> bool {
    row.cells.iter().any(|cell| {
        let Cell::Text(text) = cell else { return false };
        let small = text.to_lowercase();
        CAME_BACK.iter().any(|word| small.contains(word))
            && !small.contains("not return")
            && !small.contains("no return")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::intake::mapping::Column;
    use crate::domain::intake::mapping::Field;

    fn row(cells: &[&str]) -> Row {
        Row {
            number: 1,
            cells: cells.iter().map(|c| Cell::Text((*c).to_owned())).collect(),
            remarks: Vec::new(),
        }
    }

    #[test]
    fn marks_for_the_row_above_are_known() {
        for mark in [
            "\"", "''", "-\"-", "- \" -", "„", "dto.", "dto", "do.", "Ditto", "dito", "〃", "\" \"",
        ] {
            assert_eq!(ditto(mark), Some(Ditto::Mark), "{mark}");
        }
        for words in [
            "see above",
            "s.o.",
            "siehe oben",
            "(as above)",
            "wie oben",
            "same",
        ] {
            assert_eq!(ditto(words), Some(Ditto::Words), "{words}");
        }
        for other in [
            "",
            "-",
            "--",
            "'",
            ".",
            "no power",
            "do not power",
            "12\" panel",
            "?",
        ] {
            assert_eq!(ditto(other), None, "{other}");
        }
    }

    #[test]
    fn rows_that_add_up_are_known() {
        for cells in [
            &["Total", "", "", "45", "120,50 €"][..],
            &["", "Summe:", "", "812"],
            &["Zwischensumme März", "12"],
            &["Durchschnitt", "", "38 min"],
            &["Total: 45 jobs"],
            &["Σ", "12"],
            &["Subtotal", "", "=SUM", "3"][..2],
            &["Gesamt", "9 Reparaturen", "", "6 Stunden"],
            &["Sum", "", "21 boards"],
        ] {
            assert!(is_totals(&row(cells)), "{cells:?}");
        }
        for cells in [
            &["Total failure", "no power", "replaced U31"][..],
            &["W-0412", "Total", "12"],
            &["sum of all fears", "U31 dead", "replaced"],
            &["count sensor dead", "W-1", "replaced U3"],
            &["", ""],
        ] {
            assert!(!is_totals(&row(cells)), "{cells:?}");
        }
    }

    #[test]
    fn drawn_lines_are_known() {
        assert!(is_rule(&row(&["-----", "", "----"])));
        assert!(is_rule(&row(&["==", "==", "=="])));
        assert!(!is_rule(&row(&["-", "", "W-1"])));
        assert!(!is_rule(&row(&["-", "", ""])));
        assert!(!is_rule(&row(&["\"", "\"", "\""])));
    }

    #[test]
    fn headers_are_known_again() {
        let column = |header: &str| Column {
            header: header.to_owned(),
            field: Field::Kept,
            fill_down: false,
        };
        let mapping = Mapping {
            columns: vec![column("Job No"), column("Fault"), column("Readings 5V")],
            ..Mapping::default()
        };
        assert!(is_header_again(&row(&["job no.", "FAULT", "5V"]), &mapping));
        assert!(is_header_again(&row(&["Job No", "Fault"]), &mapping));
        assert!(!is_header_again(&row(&["W-1", "Fault", "3.3"]), &mapping));
        assert!(!is_header_again(&row(&["", "fault", ""]), &mapping));
    }

    #[test]
    fn words_of_a_return_are_known() {
        assert!(came_back(&row(&["W-1", "Came back, same as before"])));
        assert!(came_back(&row(&["W-1", "Rückläufer!"])));
        assert!(!came_back(&row(&["W-1", "no return in a year"])));
        assert!(!came_back(&row(&["W-1", "no power"])));
    }
}
