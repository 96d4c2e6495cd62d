//! What holds for every text.

use std::collections::BTreeSet;

use proptest::prelude::*;

use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::parts;
use crate::domain::intake::reading::said::Known;
use crate::domain::intake::reading::said::Reading;
use crate::domain::intake::reading::said::as_findings;
use crate::domain::intake::reading::said::read;
use crate::domain::intake::reading::show_tests::read_as;
use crate::domain::intake::words::Words;

fn fields() -> Vec<Field> {
    vec![
        Field::Everything,
        Field::Findings,
        Field::Complaint,
        Field::Fix,
        Field::Tried,
        Field::Part,
        Field::Outcome,
        Field::Draw,
        Field::Rail("5V".to_owned()),
        Field::Resistance("3V3_SB".to_owned()),
        Field::Diode("SDA".to_owned()),
        Field::Proof,
        Field::Family,
    ]
}

/// Returns every range of a reading.
fn ranges(reading: &Reading) -> Vec<std::ops::Range<usize>> {
    let mut all: Vec<_> = reading.unread.clone();
    all.extend(reading.findings.iter().map(|f| f.words.clone()));
    all.extend(reading.actions.iter().map(|a| a.words.clone()));
    all.extend(reading.complaint.iter().map(|c| c.words.clone()));
    all.extend(reading.outcome.iter().map(|o| o.words.clone()));
    all.extend(reading.proof.iter().map(|o| o.words.clone()));
    all.extend(reading.environment.iter().map(|o| o.words.clone()));
    all.extend(reading.days.iter().map(|o| o.words.clone()));
    all
}

fn sound(text: &str, reading: &Reading) -> Result<(), TestCaseError> {
    for range in ranges(reading) {
        prop_assert!(text.get(range.clone()).is_some(), "{range:?} of {text:?}");
    }
    for got in &reading.findings {
        let f = &got.what;
        let numbers = [
            f.got,
            f.good,
            f.low,
            f.high,
            f.supply_v,
            f.limit_a,
            f.period_s,
            f.collapsed_v,
        ];
        prop_assert!(numbers.iter().flatten().all(|n| n.is_finite()), "{f:?}");
        prop_assert!(f.low.is_none() || f.low <= f.high, "{f:?}");
        prop_assert_eq!(f.raw.as_deref(), Some(text[got.words.clone()].trim()));
        let known = f.kind.codes();
        let code = f.code.as_deref();
        prop_assert!(
            known.is_empty() || code.is_none_or(|c| known.contains(&c)),
            "{f:?}"
        );
    }
    // Every designator stands in the text, or between the ends of a range that does.
    let upper = text.to_ascii_uppercase();
    let places = reading.findings.iter().map(|f| f.what.place.as_str());
    for place in places.chain(reading.actions.iter().map(|a| a.what.part.as_str())) {
        if let Some((letters, _)) = parts::split(place) {
            let digits = &place[letters..];
            let written = upper.contains(place) || upper.contains(digits);
            let expanded = reading.flags.iter().any(|f| f.why == "expand-range");
            prop_assert!(written || expanded, "{place} of {text:?}");
        }
    }
    // What is not sure has its flag.
    let doubts: BTreeSet<&str> = reading.flags.iter().map(|f| f.why.as_str()).collect();
    let unsure =
        reading.actions.iter().any(|a| !a.sure) || reading.findings.iter().any(|f| !f.sure);
    prop_assert!(!unsure || !doubts.is_empty(), "{text:?} {reading:?}");
    Ok(())
}

proptest! {
    #[test]
    fn any_string_is_read_without_harm(text in "\\PC{0,80}") {
        for field in fields() {
            sound(&text, &read_as(&text, &field))?;
        }
    }

    #[test]
    fn words_of_the_bench_in_any_order_are_read_soundly(
        words in prop::collection::vec(
            prop::sample::select(vec![
                "U31", "C12,13+15", "R4-R7", "3V3", "3V3_SB", "5V", "=", "0.41", "3,8", "61-118mA",
                "short", "low", "ok", "residue", "at", "under", "no", "not", "kein", "replaced",
                "getauscht", "reflow", "cleaned", ",", ".", ";", "(", ")", "?", "and", "then", "no help",
                "draw", "limit", "2A", "psu drops", "diode", "should be", "0.480", "OL", "hot", "81°C",
                "works", "came back", "scrap", "cpu", "fuse", "bypassed", "2 test", "->", "\"", "Ω",
                "1.2Ω", "to gnd", "vcore", "after", "was", "now", "r47", "100n", "4R7", "PH V", "rev C2",
                "v2.1->2.3", "12/11/24", "grün", "ß", "\u{a0}", "für", "1e999", "99999999999999999999",
                "CANH", "2.5", "60R", "pri side", "gone", "back", "stuck", "20mA->1.1A->0", "every 2s",
            ]),
            0..14,
        ),
        glue in prop::sample::select(vec![" ", ""]),
    ) {
        let text = words.join(glue);
        for field in fields() {
            sound(&text, &read_as(&text, &field))?;
        }
    }
}

#[test]
fn a_cell_of_a_million_bytes_is_read_to_its_limit_and_its_end_is_listed_as_unread() {
    // What grew with the square of a cell would take minutes here.
    for piece in [
        ",",
        "1",
        "\"",
        "(",
        "1,",
        "C1,",
        "C1 ",
        "R1-R9 ",
        "short ",
        "replaced ",
        "U1 hot ",
        "->",
        "1->",
        "no ",
        "- ",
        "3V3 and ",
        "up/down ",
        "a.",
        "ü",
        "' ",
        "12/11/24 ",
        "cleaned, ",
        "5V, ",
        "_",
        "at ",
    ] {
        let text = piece.repeat(1_000_000 / piece.len());
        let reading = read_as(&text, &Field::Everything);
        let last = reading.unread.last().expect("its end is unread");
        assert_eq!(last.end, text.len(), "{piece:?}");
        assert!(
            reading.flags.iter().any(|f| f.why == "too-long"),
            "{piece:?}"
        );
        assert!(reading.findings.len() < 200_000, "{piece:?}");
    }
}

#[test]
fn only_what_is_plain_is_a_finding_for_a_search() {
    let words = Words::default();
    let known = Known {
        words: &words,
        board: None,
        field: &Field::Everything,
        dates: DateOrder::Unknown,
        decimal: DecimalMark::Unknown,
    };
    let found = as_findings("3V3_SB 0.41, OL on L4", &known);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].place, "3V3_SB");
    assert_eq!(read("3V3_SB 0.41, OL on L4", &known).findings.len(), 2);
}
