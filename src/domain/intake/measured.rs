//! Cells of measured columns: draw, rails, ohms, diode mode. The header says what and where, the cell
//! only how much.
//!
//! Verdicts of a rail by its share of the nominal volts: under 5 % absent, under 95 % low, over 105 %
//! high (common practice, no source; a board's own tolerance decides).

use std::borrow::Cow;

use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::figures;
use crate::domain::intake::figures::Figure;
use crate::domain::intake::figures::Measure;
use crate::domain::intake::headers;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;

/// What a measured cell says.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The finding.
    pub finding: Finding,
    /// Nothing about it is assumed.
    pub sure: bool,
    /// Words of flags.
    pub why: Vec<&'static str>,
}

/// Reads a cell of a measured column that is a figure or one of a few words; none where it is more.
pub fn read(
    field: &Field,
    header: &str,
    text: &str,
    mark: DecimalMark,
    board: Option<&BoardFacts>,
) -> Option<Measured> {
    let (kind, place, measure) = match field {
        Field::Draw => (FindingKind::Current, "", Measure::Amperes),
        Field::Rail(place) => (FindingKind::Rail, place.as_str(), Measure::Volts),
        Field::Resistance(place) => (FindingKind::Resistance, place.as_str(), Measure::Ohms),
        Field::Diode(place) => (FindingKind::Diode, place.as_str(), Measure::Volts),
        _ => return None,
    };
    let mut finding = Finding::new(kind, place);
    finding.raw = Some(text.trim().to_owned());
    finding.state = headers::state_of(header).map(str::to_owned);
    finding.when = headers::when_of(header);
    if kind == FindingKind::Rail {
        finding.good = nominal(place, board);
    }
    let mut made = Measured {
        finding,
        sure: !(place.is_empty() && kind != FindingKind::Current),
        why: Vec::new(),
    };
    if !made.sure {
        made.why.push("where-missing");
    }
    if let Some(code) = word(kind, text) {
        if code == "OL" {
            made.finding.qualifier = Some(Qualifier::OverRange);
        }
        let open = code == "OL" && kind == FindingKind::Resistance;
        made.finding.code = Some(if open { "open" } else { code }.to_owned());
        return Some(made);
    }
    let figure = figures::figure(text, mark)?;
    apply(&mut made, figure, measure, header)?;
    Some(made)
}

/// Returns the words of a draw with the header's unit behind their first figure or range, where they
/// write none: `57-118 up/down` under `Draw (mA)` is `57-118mA up/down`.
pub fn with_unit<'t>(header: &str, text: &'t str) -> Cow<'t, str> {
    let amperes = |unit: &str| figures::unit(unit).is_some_and(|u| u.0 == Measure::Amperes);
    let Some(unit) = headers::unit_of(header).filter(|u| amperes(u)) else {
        return Cow::Borrowed(text);
    };
    let own = text
        .split(|c: char| !c.is_alphabetic() && c != 'µ' && c != 'μ')
        .any(amperes);
    let Some(start) = text.find(|c: char| c.is_ascii_digit()) else {
        return Cow::Borrowed(text);
    };
    let in_word = text[..start].ends_with(|c: char| c.is_alphanumeric() || c == '_');
    let number = |from: usize| {
        let rest = &text[from..];
        let fits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
        let end = rest.find(|c: char| !fits(c)).unwrap_or(rest.len());
        from + rest[..end].trim_end_matches(['.', ',']).len()
    };
    let mut end = number(start);
    let after = text[end..].trim_start();
    for dash in ["-", "–", "..", "to ", "bis "] {
        let Some(high) = after.strip_prefix(dash).map(str::trim_start) else {
            continue;
        };
        if high.starts_with(|c: char| c.is_ascii_digit()) {
            end = number(text.len() - high.len());
        }
        break;
    }
    let goes_on = text[end..].starts_with(|c: char| c.is_alphanumeric() || c == '%');
    if own || in_word || goes_on {
        return Cow::Borrowed(text);
    }
    Cow::Owned(format!("{}{unit}{}", &text[..end], &text[end..]))
}

/// Returns the volts that a rail should have: by the board's drawing, else by its name.
fn nominal(place: &str, board: Option<&BoardFacts>) -> Option<f64> {
    let drawn = board.and_then(|b| {
        let same = |name: &String| name.eq_ignore_ascii_case(place);
        b.nominal_v
            .iter()
            .find(|(name, _)| same(name))
            .map(|(_, v)| *v)
    });
    drawn.or_else(|| headers::volts_in(place))
}

/// Words that stand alone in measured columns, and the code of each.
fn word(kind: FindingKind, text: &str) -> Option<&'static str> {
    let small = text.trim().trim_end_matches(['.', '!']).to_lowercase();
    let good = [
        "ok",
        "good",
        "gd",
        "fine",
        "i.o",
        "io",
        "gut",
        "in ordnung",
        "passt",
        "present",
        "da",
    ];
    let low = ["low", "niedrig", "zu niedrig", "tief"];
    let high = ["high", "hoch", "zu hoch"];
    let is = |list: &[&str]| list.contains(&small.as_str());
    match kind {
        FindingKind::Rail if is(&good) => Some("in-band"),
        FindingKind::Resistance | FindingKind::Diode if is(&good) => Some("as-reference"),
        FindingKind::Rail
            if is(&[
                "absent", "missing", "dead", "none", "fehlt", "tot", "weg", "nicht da", "gone",
            ]) =>
        {
            Some("absent")
        }
        FindingKind::Rail if is(&["pulsing", "pulses", "pulsiert", "pulst"]) => Some("pulsing"),
        FindingKind::Rail if is(&["noisy", "rauscht", "ripple"]) => Some("noisy"),
        FindingKind::Rail | FindingKind::Resistance | FindingKind::Diode if is(&low) => Some("low"),
        FindingKind::Rail | FindingKind::Resistance | FindingKind::Diode if is(&high) => {
            Some("high")
        }
        FindingKind::Current if is(&high) => Some("high"),
        FindingKind::Resistance | FindingKind::Diode
            if is(&["ol", "o.l", "open", "offen", "inf", "∞"]) =>
        {
            Some(if kind == FindingKind::Resistance {
                "open"
            } else {
                "OL"
            })
        }
        FindingKind::Resistance
            if is(&["short", "shorted", "kurzschluss", "kurz", "hard short"]) =>
        {
            Some("hard-short")
        }
        FindingKind::Diode if is(&["short", "shorted", "kurzschluss", "kurz"]) => Some("short"),
        FindingKind::Current if is(&["normal", "ok", "gut", "in ordnung"]) => Some("normal"),
        FindingKind::Current if is(&["zero", "none", "nothing", "null", "kein"]) => Some("zero"),
        FindingKind::Current if is(&["cycling", "pulsing", "pulsiert", "pumpt", "taktet"]) => {
            Some("cycling")
        }
        FindingKind::Current if is(&["limit", "in limit", "cc", "strombegrenzung"]) => {
            Some("limit")
        }
        _ => None,
    }
}

fn apply(made: &mut Measured, figure: Figure, measure: Measure, header: &str) -> Option<()> {
    let by_header = headers::unit_of(header)
        .and_then(figures::unit)
        .filter(|u| u.0 == measure);
    let factor = match (figure.measure, by_header) {
        (Some(own), _) if own == measure => 1.0,
        (Some(_), _) => return None,
        (None, Some((_, factor))) => factor,
        (None, None) => {
            let small = figure.high.unwrap_or(figure.value).abs();
            // A rail is read in volts and a resistance in ohms; a bare draw may be in amperes or in
            // thousandths, and so may a drop.
            let doubtful = match made.finding.kind {
                FindingKind::Current => figure.value != 0.0,
                FindingKind::Diode => 3.0 < small,
                FindingKind::Rail => 1000.0 <= small,
                _ => false,
            };
            if doubtful {
                made.why.push("unit-assumed");
                made.sure = false;
            }
            let thousandth = match made.finding.kind {
                FindingKind::Current => 10.0 <= small,
                FindingKind::Diode | FindingKind::Rail => doubtful,
                _ => false,
            };
            if thousandth { 1e-3 } else { 1.0 }
        }
    };
    if figure.comma {
        made.why.push("decimal-comma");
    }
    let finding = &mut made.finding;
    let value = scaled(figure.value, factor);
    finding.qualifier = figure.qualifier;
    if let Some(high) = figure.high {
        finding.low = Some(value);
        finding.high = Some(scaled(high, factor));
        return Some(());
    }
    finding.got = Some(value);
    finding.code = verdict(finding, value).map(str::to_owned);
    Some(())
}

/// Applies a factor so that `61` thousandths are 0.061 and not 0.061000000000000006.
fn scaled(value: f64, factor: f64) -> f64 {
    let inverse = (1.0 / factor).round();
    if factor < 1.0 && (inverse * factor - 1.0).abs() < 1e-9 {
        value / inverse
    } else {
        value * factor
    }
}

fn verdict(finding: &Finding, value: f64) -> Option<&'static str> {
    if matches!(finding.qualifier, Some(Qualifier::Below | Qualifier::Above)) {
        return None;
    }
    match finding.kind {
        FindingKind::Rail => {
            let share = value / finding.good.filter(|good| *good != 0.0)?;
            Some(if share < 0.05 {
                "absent"
            } else if share < 0.95 {
                "low"
            } else if share <= 1.05 {
                "in-band"
            } else {
                "high"
            })
        }
        FindingKind::Current => (value == 0.0).then_some("zero"),
        FindingKind::Resistance => {
            let core = finding.place.to_lowercase().contains("core");
            (value < 1.0 && !core && !finding.place.is_empty()).then_some("hard-short")
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn got(field: &Field, header: &str, text: &str) -> Option<Measured> {
        read(field, header, text, DecimalMark::Point, None)
    }

    #[test]
    fn the_headers_unit_goes_to_bare_numbers() {
        let draw = got(&Field::Draw, "Iin [mA]", "61").expect("a figure");
        assert_eq!((draw.finding.got, draw.sure), (Some(0.061), true));
        let range = got(&Field::Draw, "Iin [mA]", "61-118").expect("a range");
        assert_eq!(
            (range.finding.low, range.finding.high),
            (Some(0.061), Some(0.118))
        );
        let ohms = got(&Field::Resistance("5V".to_owned()), "R 5V [kΩ]", "1.4").expect("a figure");
        assert_eq!(ohms.finding.got, Some(1400.0));
        let own = got(&Field::Draw, "Iin [mA]", "1.2A").expect("its own unit");
        assert_eq!(own.finding.got, Some(1.2));
    }

    #[test]
    fn a_bare_draw_without_any_unit_is_only_a_suggestion() {
        let draw = got(&Field::Draw, "Draw", "40").expect("a figure");
        assert_eq!(
            (draw.finding.got, draw.sure, draw.why.as_slice()),
            (Some(0.04), false, &["unit-assumed"][..])
        );
        let zero = got(&Field::Draw, "Draw", "0").expect("a figure");
        assert_eq!(
            (zero.finding.code.as_deref(), zero.sure),
            (Some("zero"), true)
        );
    }

    #[test]
    fn rails_get_their_verdict_from_their_name() {
        for (text, code) in [
            ("0.00", "absent"),
            ("3.8", "low"),
            ("5.02", "in-band"),
            ("5.6", "high"),
            ("ok", "in-band"),
            ("missing", "absent"),
        ] {
            let rail = got(&Field::Rail("5V".to_owned()), "5V", text).expect(text);
            assert_eq!(rail.finding.code.as_deref(), Some(code), "{text}");
            assert_eq!(rail.finding.good, Some(5.0));
        }
    }

    #[test]
    fn what_is_measured_elsewhere_or_is_more_than_a_figure_is_left() {
        for text in ["3.3 then drops", "40 mA", "?", "C12 short"] {
            assert_eq!(
                got(&Field::Rail("5V".to_owned()), "5V", text),
                None,
                "{text}"
            );
        }
        let nowhere = got(&Field::Resistance(String::new()), "R to GND", "210").expect("a figure");
        assert_eq!(
            (nowhere.sure, nowhere.why.as_slice()),
            (false, &["where-missing"][..])
        );
    }
}
