//! Bare figures of a column: a number, its unit where the cell writes one, a range, what stands before it.
//!
//! Only what is nothing but a figure is read here; words are for [`crate::domain::intake::reading`].

use crate::domain::intake::mapping::DecimalMark;
use crate::domain::job::Qualifier;

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Volts.
    Volts,
    /// Amperes.
    Amperes,
    /// Ohms.
    Ohms,
    /// Minutes.
    Minutes,
    /// Money of any kind.
    Money,
}

/// A figure as written, its unit applied.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// The number, in the base unit where one was written (V, A, Ω, minutes).
    pub value: f64,
    /// Upper end of a range, same unit.
    pub high: Option<f64>,
    /// What stands before it.
    pub qualifier: Option<Qualifier>,
    /// What the written unit measures.
    pub measure: Option<Measure>,
    /// A comma was read as the decimal mark although nothing says that it is one.
    pub comma: bool,
}

/// Units as sheets write them: (small letters, what they measure, factor to the base unit). Prefixes that
/// differ in case are told apart before: `m` and `M`.
const UNITS: [(&str, Measure, f64); 43] = [
    ("v", Measure::Volts, 1.0),
    ("vdc", Measure::Volts, 1.0),
    ("volt", Measure::Volts, 1.0),
    ("volts", Measure::Volts, 1.0),
    ("mv", Measure::Volts, 1e-3),
    ("a", Measure::Amperes, 1.0),
    ("amp", Measure::Amperes, 1.0),
    ("amps", Measure::Amperes, 1.0),
    ("ma", Measure::Amperes, 1e-3),
    ("ua", Measure::Amperes, 1e-6),
    ("µa", Measure::Amperes, 1e-6),
    ("μa", Measure::Amperes, 1e-6),
    ("ω", Measure::Ohms, 1.0),
    ("ohm", Measure::Ohms, 1.0),
    ("ohms", Measure::Ohms, 1.0),
    ("r", Measure::Ohms, 1.0),
    ("k", Measure::Ohms, 1e3),
    ("kω", Measure::Ohms, 1e3),
    ("kohm", Measure::Ohms, 1e3),
    ("kohms", Measure::Ohms, 1e3),
    ("kr", Measure::Ohms, 1e3),
    ("min", Measure::Minutes, 1.0),
    ("mins", Measure::Minutes, 1.0),
    ("minute", Measure::Minutes, 1.0),
    ("minutes", Measure::Minutes, 1.0),
    ("minuten", Measure::Minutes, 1.0),
    ("h", Measure::Minutes, 60.0),
    ("hr", Measure::Minutes, 60.0),
    ("hrs", Measure::Minutes, 60.0),
    ("hour", Measure::Minutes, 60.0),
    ("hours", Measure::Minutes, 60.0),
    ("std", Measure::Minutes, 60.0),
    ("stunde", Measure::Minutes, 60.0),
    ("stunden", Measure::Minutes, 60.0),
    ("€", Measure::Money, 1.0),
    ("$", Measure::Money, 1.0),
    ("£", Measure::Money, 1.0),
    ("eur", Measure::Money, 1.0),
    ("euro", Measure::Money, 1.0),
    ("usd", Measure::Money, 1.0),
    ("gbp", Measure::Money, 1.0),
    ("chf", Measure::Money, 1.0),
    ("fr", Measure::Money, 1.0),
];

/// Returns what `unit` measures and its factor; `MΩ` is not `mΩ`.
pub fn unit(unit: &str) -> Option<(Measure, f64)> {
    let unit = unit.trim().trim_end_matches('.');
    if let Some(rest) = unit.strip_prefix('M')
        && matches!(rest, "" | "Ω" | "\u{2126}" | "ohm" | "Ohm" | "ohms" | "R")
    {
        return Some((Measure::Ohms, 1e6));
    }
    if let Some(rest) = unit.strip_prefix('m')
        && matches!(rest, "Ω" | "\u{2126}" | "ohm" | "Ohm" | "ohms" | "R")
    {
        return Some((Measure::Ohms, 1e-3));
    }
    let small = unit.to_lowercase();
    let found = UNITS.iter().find(|(name, ..)| *name == small)?;
    Some((found.1, found.2))
}

/// Reads a cell that is nothing but a figure.
pub fn figure(text: &str, mark: DecimalMark) -> Option<Figure> {
    let mut rest = text.trim();
    if 40 < rest.len() || !rest.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    let mut qualifier = None;
    for (sign, meaning) in [
        ("<", Qualifier::Below),
        (">", Qualifier::Above),
        ("~", Qualifier::About),
        ("≈", Qualifier::About),
        ("approx", Qualifier::About),
        ("about", Qualifier::About),
        ("ca", Qualifier::About),
    ] {
        if let Some(after) = rest.strip_prefix(sign) {
            qualifier = Some(meaning);
            rest = after.trim_start_matches(['.', ' ', '=']);
            break;
        }
    }
    let mut money = None;
    if let Some(after) = rest.strip_prefix(['€', '$', '£']) {
        money = Some((Measure::Money, 1.0));
        rest = after.trim_start();
    }
    let (low, low_unit, after) = with_unit(rest, mark)?;
    let mut made = Figure {
        value: low.value,
        high: None,
        qualifier,
        measure: None,
        comma: low.comma,
    };
    let mut used = low_unit.or(money);
    let after = after.trim_start();
    if !after.is_empty() {
        let second = ["-", "–", "—", "..", "…", "to ", "bis ", "/"]
            .iter()
            .find_map(|dash| after.strip_prefix(dash))?;
        let (high, high_unit, end) = with_unit(second.trim_start_matches('.').trim_start(), mark)?;
        if !end.trim().is_empty() || qualifier.is_some() {
            return None;
        }
        let high_factor = high_unit.or(used).map_or(1.0, |u| u.1);
        let low_factor = used.or(high_unit).map_or(1.0, |u| u.1);
        if let (Some(a), Some(b)) = (used, high_unit)
            && a.0 != b.0
        {
            return None;
        }
        let (a, b) = (low.value * low_factor, high.value * high_factor);
        made.value = a.min(b);
        made.high = Some(a.max(b));
        made.qualifier = Some(Qualifier::Range);
        made.comma |= high.comma;
        used = used.or(high_unit);
    } else if let Some((_, factor)) = used {
        made.value *= factor;
    }
    made.measure = used.map(|u| u.0);
    made.value.is_finite().then_some(made)
}

/// A number without its unit.
#[derive(Clone, Copy)]
struct Plain {
    value: f64,
    comma: bool,
}

/// Factor of a unit and what it measures.
type Scale = (Measure, f64);

/// Reads a number and a unit glued to it or after one blank; `4k7` and `4R7` too.
fn with_unit(text: &str, mark: DecimalMark) -> Option<(Plain, Option<Scale>, &str)> {
    let (plain, rest) = number(text, mark)?;
    let glued = rest.trim_start_matches(['\u{a0}', ' ', '\u{202f}']);
    let end = glued
        .find(|c: char| !(c.is_alphabetic() || matches!(c, '€' | '$' | '£' | 'Ω' | '°')))
        .unwrap_or(glued.len());
    let word = &glued[..end];
    if word.is_empty() || matches!(word, "to" | "bis") {
        return Some((plain, None, rest));
    }
    let scale = unit(word)?;
    let after = &glued[end..];
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    if digits == 0 || rest.len() != glued.len() {
        return Some((plain, Some(scale), after.strip_prefix('.').unwrap_or(after)));
    }
    // 4k7, 4R7: the letter stands where the decimal mark would.
    if scale.0 != Measure::Ohms
        || !matches!(word, "k" | "K" | "R" | "r" | "M")
        || plain.value.fract() != 0.0
    {
        return None;
    }
    let fraction: f64 = format!("0.{}", &after[..digits]).parse().ok()?;
    let joined = Plain {
        value: plain.value + fraction,
        comma: false,
    };
    Some((joined, Some(scale), &after[digits..]))
}

/// Reads a number: `3.3`, `3,3`, `1.250,00`, `1,250.00`, `.45`, `-5`.
fn number(text: &str, mark: DecimalMark) -> Option<(Plain, &str)> {
    let signed = text.strip_prefix(['+', '-']).unwrap_or(text);
    let negative = text.starts_with('-');
    let end = signed
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
        .unwrap_or(signed.len());
    // A mark at the end belongs to what follows: `12.` and `1..3`.
    let run = signed[..end].trim_end_matches(['.', ',']);
    let run = run.find("..").map_or(run, |at| &run[..at]);
    if !run.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    let rest = &signed[run.len()..];
    let rest = if rest == "." || rest == "," { "" } else { rest };
    let points = run.matches('.').count();
    let commas = run.matches(',').count();
    let groups = |sep: char| {
        let mut parts = run.split(sep);
        let head = parts.next().unwrap_or_default();
        (1..=3).contains(&head.len()) && head != "0" && parts.all(|p| p.len() == 3)
    };
    let (plain, comma) = match (points, commas) {
        (1, 0) if mark == DecimalMark::Comma && groups('.') => (run.replace('.', ""), false),
        (0 | 1, 0) => (run.to_owned(), false),
        (0, 1) if mark == DecimalMark::Point && groups(',') => (run.replace(',', ""), false),
        (0, 1) => (run.replace(',', "."), mark != DecimalMark::Comma),
        (1, _) if run.rfind(',') < run.rfind('.') => (run.replace(',', ""), false),
        (_, 1) if run.rfind('.') < run.rfind(',') => {
            (run.replace('.', "").replace(',', "."), false)
        }
        (_, 0) if groups('.') => (run.replace('.', ""), false),
        (0, _) if groups(',') => (run.replace(',', ""), false),
        _ => return None,
    };
    let value: f64 = plain.parse().ok().filter(|v: &f64| v.is_finite())?;
    let value = if negative { -value } else { value };
    Some((Plain { value, comma }, rest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[track_caller]
    fn check(text: &str, mark: DecimalMark, value: f64, measure: Option<Measure>) {
        let got = figure(text, mark).expect(text);
        assert!(
            (got.value - value).abs() <= value.abs() * 1e-12,
            "{text}: {}",
            got.value
        );
        assert_eq!(got.measure, measure, "{text}");
    }

    #[test]
    fn figures_are_read_with_their_units_and_marks() {
        let point = DecimalMark::Point;
        let comma = DecimalMark::Comma;
        check("3.31", point, 3.31, None);
        check("3,31", comma, 3.31, None);
        check("0,41 V", comma, 0.41, Some(Measure::Volts));
        check("61mA", point, 0.061, Some(Measure::Amperes));
        check("1.4k", point, 1400.0, Some(Measure::Ohms));
        check("1.4 kΩ", point, 1400.0, Some(Measure::Ohms));
        check("4R7", point, 4.7, Some(Measure::Ohms));
        check("4k7", point, 4700.0, Some(Measure::Ohms));
        check("1M", point, 1e6, Some(Measure::Ohms));
        check("1.250,00 €", comma, 1250.0, Some(Measure::Money));
        check("$1,250.00", point, 1250.0, Some(Measure::Money));
        check("1,250", point, 1250.0, None);
        check("1.250", comma, 1250.0, None);
        check("0.450", comma, 0.45, None);
        check(".45", point, 0.45, None);
        check("-5", point, -5.0, None);
        check("1.5 h", point, 90.0, Some(Measure::Minutes));
        check("45 Min.", point, 45.0, Some(Measure::Minutes));
    }

    #[test]
    fn ranges_and_signs_stay_what_they_are() {
        let range = figure("61-118 mA", DecimalMark::Point).expect("a range");
        assert!((range.value - 0.061).abs() < 1e-12);
        assert!((range.high.expect("two ends") - 0.118).abs() < 1e-12);
        assert_eq!(range.qualifier, Some(Qualifier::Range));
        let below = figure("< 1", DecimalMark::Point).expect("a bound");
        assert_eq!(below.qualifier, Some(Qualifier::Below));
        assert!(figure("3,3", DecimalMark::Unknown).expect("a number").comma);
    }

    #[test]
    fn words_versions_and_damage_are_no_figures() {
        for text in [
            "",
            "-",
            "low",
            "1.2.3",
            "1.50E+03",
            "1e999",
            "U31",
            "5V low",
            "3.3 / ok",
            "12 mA 3 V",
            "4R7x",
        ] {
            assert_eq!(figure(text, DecimalMark::Point), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_a_panic(text in "\\PC{0,30}|[0-9.,kRmMV Ω-]{0,15}") {
            for mark in DecimalMark::ALL {
                if let Some(got) = figure(&text, mark) {
                    prop_assert!(got.value.is_finite());
                    prop_assert!(got.high.is_none_or(|high| got.value <= high));
                }
            }
        }
    }
}
