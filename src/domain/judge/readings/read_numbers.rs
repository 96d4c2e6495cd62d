//! Which numbers of an answer were measured, and which say what should be there.
//!
//! "21 ohm where 100 belongs", "0.05 for 2.5", "16 instead of 13.8": the second is what should be. A number counts
//! with the unit of the reading, or without any. Leaves out what it comes to. Rules: common practice, no source.

use std::ops::Range;

use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::judge::read::spoken_numbers::number_at;
use crate::domain::judge::read::stretches::Bit;
use crate::domain::judge::readings::shown_words;

/// Returns the numbers that were measured: with the unit of the reading or none, and not what should be.
pub fn measured(bits: &[Bit], finding: &Finding) -> Vec<(Range<usize>, f64)> {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    let mut out = Vec::new();
    let mut at = 0;
    let mut last_end = 0;
    while at < bits.len() {
        let Some((number, len)) = number_at(bits, at) else {
            at += 1;
            continue;
        };
        let to = at + len;
        if bits[at].text == "one" && len == 1 && scale(text(to), finding, true).is_none() {
            // "a good one".
            at = to;
            continue;
        }
        let from = last_end.max(at.saturating_sub(6));
        let clause = (from..at)
            .rev()
            .find(|i| matches!(text(*i), "." | ";" | ":" | ","))
            .map_or(from, |i| i + 1);
        let good_one = (clause..at)
            .any(|i| text(i) == "good" && matches!(text(i + 1), "one" | "board" | "un" | "unit"));
        let wanted = good_one
            || (clause..at).any(|i| shown_words::is_of(shown_words::SHOULD, text(i)))
            || (at.saturating_sub(2)..at)
                .any(|i| matches!(text(i), "over" | "above" | "below" | "under"))
            || behind(bits, to).any(|i| shown_words::is_of(shown_words::BELONGS, text(i)));
        let worded = bits[at].text.chars().all(char::is_alphabetic);
        let scaled = if finding.in_hertz && !is_hertz(text(to)) {
            as_hertz(number, finding)
        } else {
            // "at one value" is no reading; "sits at sixteen" is.
            scale(text(to), finding, worded && len == 1 && number < 6.0)
        };
        if let (Some(scale), false) = (scaled, wanted) {
            out.push((at..to, number * scale));
        }
        last_end = to;
        at = to;
    }
    out
}

fn is_hertz(unit: &str) -> bool {
    matches!(unit, "hz" | "khz" | "mhz" | "meg" | "megs" | "mega")
}

/// Returns what makes hertz of a number without a unit that is near the reading in one of them.
fn as_hertz(number: f64, finding: &Finding) -> Option<f64> {
    let near = finding.good.or(finding.got)?;
    let fits = |scale: &f64| (0.5..2.0).contains(&(number * scale / near));
    [1.0, 1e3, 1e6].into_iter().find(fits)
}

/// Returns the few bits behind a number that may speak of it.
fn behind(bits: &[Bit], to: usize) -> Range<usize> {
    let last = bits.len().min(to + 4);
    let ends = |i: &usize| {
        let text = bits[*i].text.as_str();
        matches!(text, "where" | "instead" | "for" | "and")
            || bits[*i].is_joint()
            || number_at(bits, *i).is_some()
    };
    to..(to..last).find(ends).unwrap_or(last)
}

/// Returns what a number's unit makes of it; none where it is another unit than that of the reading.
fn scale(unit: &str, finding: &Finding, bare_word: bool) -> Option<f64> {
    let base = match finding.kind {
        FindingKind::Signal if finding.in_hertz => &["hz"][..],
        FindingKind::Rail | FindingKind::Diode | FindingKind::Signal => &["v", "volt", "volts"],
        FindingKind::Resistance => &["ohm", "r"],
        FindingKind::Current => &["a", "amp", "amps", "ampere", "amperes"],
        _ => return None,
    };
    if base.contains(&unit) {
        return Some(1.0);
    }
    let prefixed = |prefix: &str| {
        base.iter()
            .any(|b| unit.strip_prefix(prefix).is_some_and(|rest| rest == *b))
    };
    if prefixed("m") || prefixed("milli") {
        return Some(if finding.in_hertz { 1e6 } else { 1e-3 });
    }
    if prefixed("k") || prefixed("kilo") || finding.kind == FindingKind::Resistance && unit == "k" {
        return Some(1e3);
    }
    if finding.in_hertz && matches!(unit, "meg" | "megs" | "mega") {
        return Some(1e6);
    }
    // Without a unit: where no other unit goes with it.
    let other = [
        "s", "sec", "second", "seconds", "min", "minutes", "w", "watt", "watts", "degree",
        "degrees", "c", "percent", "times", "hz", "mhz", "khz", "v", "volt", "volts", "mv", "a",
        "amp", "amps", "ma", "ohm", "k", "uf", "mm", "pins", "pin",
    ];
    (!bare_word && !other.contains(&unit) && !finding.in_hertz).then_some(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::stretches;

    #[test]
    fn what_should_be_is_not_measured() {
        let rail = Finding::new(FindingKind::Rail, "X");
        for (text, numbers) in [
            ("16 instead of 13.8", &[16.0][..]),
            ("0.05 for 12", &[0.05]),
            ("11.7 where 28 belongs", &[11.7]),
            ("should be 5, reads 80 mV", &[0.08]),
            ("a good one gives 5", &[]),
            ("13.8 is what you want, 16 it was", &[16.0]),
            ("after 10 s", &[]),
            ("4 ohm", &[]),
            ("sits at sixteen", &[16.0]),
            ("at one value", &[]),
        ] {
            let bits = stretches::bits(text);
            let got: Vec<f64> = measured(&bits, &rail).into_iter().map(|(_, n)| n).collect();
            let same = got.len() == numbers.len()
                && got.iter().zip(numbers).all(|(a, b)| (a - b).abs() < 1e-9);
            assert!(same, "{text}: {got:?}");
        }
    }
}
