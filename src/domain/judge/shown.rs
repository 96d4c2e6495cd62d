//! What is said of a reading in any words, and by any number: "nailed to the floor", "16.4 where 13.8 belongs",
//! "hopping up and down", "as a good one".
//!
//! A word is a sense (nothing there, too low, moving ...), and a sense is one of several bands, by the kind of
//! reading: a line at ground is stuck low to one person and missing to the next. A number is put in its band by
//! the same function that reads a job. A number that says what should be there (`instead of`, `where .. belongs`)
//! is left out. A denied word says nothing. Leaves out where it was read. Tables: common practice, no source.

use crate::domain::generate::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::judge::shown_words;
use crate::domain::judge::shown_words::PHRASES;
use crate::domain::judge::shown_words::Sense;
use crate::domain::judge::spoken_numbers::number_at;
use crate::domain::judge::stretches::Bit;

/// How what is said of a place compares with what was read there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// The value, in words or as a number.
    Agrees,
    /// Another value.
    Differs,
    /// No value.
    Nothing,
}

/// Compares what `bits` say with what a finding showed; `known_as` is the card's phrase for it, which may part
/// its band further ("low, 1 to 50 Ω").
pub fn of(bits: &[Bit], finding: &Finding, known_as: &str, board: Option<&Board>) -> Said {
    let Some(wanted) = band::band(finding, board) else {
        return Said::Nothing;
    };
    let numbers = measured(bits, finding);
    let at_ground = is_at_ground(finding, board);
    let number = match part_of_band(known_as) {
        Some(range) if numbers.iter().any(|n| range.contains(n)) => {
            by_number(&numbers, finding, &wanted, board)
        }
        Some(_) if !numbers.is_empty() => Said::Differs,
        _ => by_number(&numbers, finding, &wanted, board),
    };
    if number == Said::Differs {
        return Said::Differs;
    }
    let moves = finding.kind == FindingKind::Current && is_range(&numbers);
    let mut senses = senses(bits);
    senses.extend(moves.then_some(Sense::Moving));
    let of: Vec<Vec<&str>> = senses
        .iter()
        .map(|sense| bands(finding.kind, *sense, at_ground))
        .filter(|bands| !bands.is_empty())
        .collect();
    let plain = wanted.split(' ').next().unwrap_or_default();
    let fits = |bands: &Vec<&str>| {
        bands.contains(&wanted.as_str())
            || finding.kind == FindingKind::Resistance && bands.contains(&plain)
    };
    if number == Said::Agrees || of.iter().any(fits) {
        Said::Agrees
    } else if of.is_empty() {
        Said::Nothing
    } else {
        Said::Differs
    }
}

/// Returns the ohms of a part of a band: "low 1 to 50 Ω", "low over 50 Ω".
fn part_of_band(known_as: &str) -> Option<std::ops::RangeInclusive<f64>> {
    let words: Vec<&str> = known_as.split(' ').collect();
    match words.as_slice() {
        [.., from, "to", to, "Ω"] => Some(from.parse().ok()?..=to.parse().ok()?),
        [.., "over", from, "Ω"] => Some(from.parse().ok()?..=f64::MAX),
        [.., "under", to, "Ω"] => Some(0.0..=to.parse().ok()?),
        _ => None,
    }
}

/// Tells whether a line that is called missing or stuck was read near ground: a meter shows both alike.
fn is_at_ground(finding: &Finding, board: Option<&Board>) -> bool {
    let good = band::good_value(finding, board);
    match (finding.got, good) {
        (Some(got), Some(good)) => got.abs() <= 0.1 * good.abs(),
        (Some(got), None) => got.abs() < 0.1,
        (None, _) => false,
    }
}

fn is_of(list: &'static str, word: &str) -> bool {
    shown_words::of(list).any(|w| w == word)
}

/// Returns the bands that a sense may mean.
fn bands(kind: FindingKind, sense: Sense, at_ground: bool) -> Vec<&'static str> {
    use FindingKind as K;
    use Sense as S;
    match (kind, sense) {
        (K::Rail, S::Zero | S::HeldLow) => vec!["absent"],
        (K::Rail, S::Low) => vec!["low"],
        (K::Rail, S::High | S::HeldHigh) => vec!["high"],
        (K::Rail, S::Moving) => vec!["pulsing"],
        (K::Rail, S::Noisy) => vec!["noisy"],
        (K::Rail, S::Good) => vec!["in-band"],
        (K::Signal, S::Zero) if at_ground => vec!["missing", "stuck-low"],
        (K::Signal, S::Zero) => vec!["missing"],
        (K::Signal, S::Low | S::HeldLow) if at_ground => vec!["stuck-low", "missing"],
        (K::Signal, S::Low | S::HeldLow) => vec!["stuck-low"],
        (K::Signal, S::High | S::HeldHigh) => vec!["stuck-high"],
        (K::Signal, S::Middle) => vec!["mid-level"],
        (K::Signal, S::OffFrequency) => vec!["wrong-frequency"],
        (K::Signal, S::Good | S::Moving) => vec!["present"],
        (K::Current, S::Zero) => vec!["zero"],
        (K::Current, S::Still) => vec!["stuck"],
        (K::Current, S::Moving) => vec!["cycling"],
        (K::Current, S::Steps) => vec!["stepped-stop"],
        (K::Current, S::High) => vec!["high"],
        (K::Current, S::Good) => vec!["normal", "normal-no-function"],
        (K::Current, S::Short) => vec!["limit"],
        (K::Resistance, S::Short) => vec!["hard-short"],
        (K::Resistance, S::Low) => vec!["low"],
        (K::Resistance, S::Good) => vec!["as-reference"],
        (K::Resistance, S::Open) => vec!["open"],
        (K::Resistance | K::Diode, S::High) => vec!["high"],
        (K::Diode, S::Short | S::Zero) => vec!["short"],
        (K::Diode, S::Low) => vec!["low"],
        (K::Diode, S::Good) => vec!["as-reference"],
        (K::Diode, S::Open) => vec!["OL"],
        _ => Vec::new(),
    }
}

/// Returns what the words say; of two phrases in one place the longer counts.
fn senses(bits: &[Bit]) -> Vec<Sense> {
    let joined = joined(bits);
    let words: Vec<&str> = joined.iter().map(String::as_str).collect();
    let mut found: Vec<(usize, usize, Sense)> = Vec::new();
    for (sense, phrases) in &PHRASES {
        for phrase in shown_words::of(phrases) {
            let phrase: Vec<&str> = phrase.split(' ').collect();
            for at in 0..(words.len() + 1).saturating_sub(phrase.len()) {
                if words[at..at + phrase.len()] == phrase[..] {
                    found.push((at, at + phrase.len(), *sense));
                }
            }
        }
    }
    for at in 0..words.len() {
        if is_of(shown_words::HOLDING, words[at]) {
            let near = at + 1..words.len().min(at + 5);
            let to = |list: &'static str| near.clone().find(|i| is_of(list, words[*i]));
            if let Some(to) = to(shown_words::DOWN) {
                found.push((at, to + 1, Sense::HeldLow));
            } else if let Some(to) = to(shown_words::UP) {
                found.push((at, to + 1, Sense::HeldHigh));
            }
        }
    }
    let has = |list: &'static str| words.iter().any(|w| is_of(list, w));
    if has(shown_words::CLIMBING) && has(shown_words::STOPPING) {
        found.push((0, words.len(), Sense::Steps));
    }
    found.retain(|(at, _, sense)| *sense != Sense::High || !is_particle(&words, *at));
    let denied = |at: usize| {
        let before = at.saturating_sub(3)..at;
        before
            .into_iter()
            .any(|i| is_of(shown_words::DENYING, words[i]))
    };
    let inside = |one: &(usize, usize, Sense)| {
        let longer = |other: &(usize, usize, Sense)| {
            let wider = other.0 <= one.0 && one.1 <= other.1 && one.1 - one.0 < other.1 - other.0;
            let to_ground = (one.2, other.2) == (Sense::Short, Sense::HeldLow);
            wider && other.2 != Sense::Steps && !to_ground
        };
        found.iter().any(longer)
    };
    found
        .iter()
        .filter(|one| !inside(one) && !denied(one.0))
        .map(|(_, _, sense)| *sense)
        .collect()
}

/// "power up", "wakes up": no more than the verb before it.
fn is_particle(words: &[&str], at: usize) -> bool {
    words[at] == "up"
        && at
            .checked_sub(1)
            .is_some_and(|i| is_of(shown_words::WITH_UP, words[i]))
}

/// Returns the words of `bits`, "wasn't" as one and hyphens left out.
fn joined(bits: &[Bit]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut glue = false;
    for bit in bits.iter().filter(|bit| bit.text != "-") {
        match out.last_mut() {
            Some(last) if glue || bit.text == "'" => last.push_str(&bit.text),
            _ => out.push(bit.text.clone()),
        }
        glue = bit.text == "'";
    }
    out
}

/// Compares numbers with what was read.
fn by_number(numbers: &[f64], finding: &Finding, wanted: &str, board: Option<&Board>) -> Said {
    const LEVELS: [&str; 11] = [
        "open",
        "OL",
        "stuck-high",
        "absent",
        "low",
        "in-band",
        "high",
        "hard-short",
        "as-reference",
        "short",
        "stuck-low",
    ];
    if numbers.is_empty() {
        return Said::Nothing;
    }
    let close = |number: &f64| {
        finding
            .got
            .is_some_and(|got| (number - got).abs() <= 0.1 * got.abs().max(number.abs()))
    };
    let ground = is_at_ground(finding, board) && finding.kind == FindingKind::Signal;
    let good = band::good_value(finding, board);
    if let (true, "wrong-frequency", Some(got), Some(good)) =
        (finding.in_hertz, wanted, finding.got, good)
    {
        let off = |n: &&f64| 0.5 * (got - good).abs() <= (*n - good).abs();
        let near = |n: &&f64| (0.5..2.0).contains(&(*n / good));
        return match numbers.iter().find(near) {
            Some(n) if off(&n) => Said::Agrees,
            Some(_) => Said::Differs,
            None => Said::Nothing,
        };
    }
    let in_band = |number: &f64| {
        if ground && good.is_some_and(|good| number.abs() <= 0.1 * good.abs()) {
            return true;
        }
        let read = Finding {
            got: Some(*number),
            low: None,
            high: None,
            code: None,
            qualifier: None,
            ..finding.clone()
        };
        finding.kind != FindingKind::Current && band::band(&read, board).as_deref() == Some(wanted)
    };
    if numbers.iter().any(|n| close(n) || in_band(n)) {
        Said::Agrees
    } else if ground
        || finding.kind != FindingKind::Current
            && LEVELS.iter().any(|level| wanted.starts_with(level))
    {
        Said::Differs
    } else {
        Said::Nothing
    }
}

/// Tells whether two levels are named.
fn is_range(numbers: &[f64]) -> bool {
    let pair = |pair: &[f64]| pair[0] > 0.0 && pair[1] > 1.15 * pair[0];
    numbers.windows(2).any(pair)
}

/// Returns the numbers that were measured: with the unit of the reading or none, and not what should be.
fn measured(bits: &[Bit], finding: &Finding) -> Vec<f64> {
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
        let from = last_end.max(at.saturating_sub(6));
        let clause = (from..at)
            .rev()
            .find(|i| matches!(text(*i), "." | ";" | ":"))
            .map_or(from, |i| i + 1);
        let good_one = (clause..at)
            .any(|i| text(i) == "good" && matches!(text(i + 1), "one" | "board" | "un" | "unit"));
        let wanted = good_one
            || (clause..at).any(|i| is_of(shown_words::SHOULD, text(i)))
            || (at.saturating_sub(2)..at)
                .any(|i| matches!(text(i), "over" | "above" | "below" | "under"))
            || behind(bits, to).any(|i| is_of(shown_words::BELONGS, text(i)));
        let worded = bits[at].text.chars().all(char::is_alphabetic);
        let scaled = if finding.in_hertz && !is_hertz(text(to)) {
            as_hertz(number, finding)
        } else {
            scale(text(to), finding, worded && len == 1)
        };
        if let (Some(scale), false) = (scaled, wanted) {
            out.push(number * scale);
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
fn behind(bits: &[Bit], to: usize) -> std::ops::Range<usize> {
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
    // Without a unit: of a number in figures, where no other word goes with it.
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
    use crate::domain::judge::stretches;

    fn finding(kind: FindingKind, band: &str, got: f64, good: f64) -> Finding {
        Finding {
            code: Some(band.to_owned()),
            got: Some(got),
            good: Some(good),
            ..Finding::new(kind, "X")
        }
    }

    #[track_caller]
    fn check(finding: &Finding, said: Said, texts: &[&str]) {
        for text in texts {
            let bits = stretches::bits(text);
            assert_eq!(
                of(&bits, finding, "", None),
                said,
                "{text:?}: {:?}",
                senses(&bits)
            );
        }
    }

    #[test]
    fn a_line_at_ground_is_stuck_low_or_missing() {
        let texts = [
            "lying on the floor",
            "jammed at zero",
            "nailed to the floor",
            "0.05, should idle at 2.5",
            "lies at 0.05 where 2.5 belongs",
            "three hundredths where it ought to idle at two and a half",
            "clamped hard down",
            "pulled down to ground the whole time, it must be about 2 and half volt",
            "never let go",
            "not there",
            "0.03 V",
        ];
        let differs = [
            "2.5 like a good one",
            "swinging good",
            "2.5 V",
            "stuck high",
        ];
        for band in ["stuck-low", "missing"] {
            let line = finding(FindingKind::Signal, band, 0.04, 2.5);
            check(&line, Said::Agrees, &texts);
            check(&line, Said::Differs, &differs);
            check(
                &line,
                Said::Nothing,
                &["measured", "with it running", "should be 2.5", "not low"],
            );
        }
    }

    #[test]
    fn a_number_counts_by_its_band_unless_it_is_what_should_be() {
        let ohms = finding(FindingKind::Resistance, "low", 21.0, 100.0);
        check(
            &ohms,
            Said::Agrees,
            &[
                "21 ohm where 100 belongs",
                "21",
                "some twenty ohm instead of the hundred",
                "too small",
            ],
        );
        check(
            &ohms,
            Said::Differs,
            &[
                "98 ohm",
                "open, OL",
                "100 like a good one",
                "98 ohm, a bit low",
            ],
        );
        check(&ohms, Said::Nothing, &["for 10 s", "after 3 minutes"]);
        let rail = finding(FindingKind::Rail, "high", 16.4, 13.8);
        check(
            &rail,
            Said::Agrees,
            &[
                "16 and a bit, sailing over the 13.8",
                "way over the top",
                "16.4 for 13.8",
            ],
        );
        check(
            &rail,
            Said::Differs,
            &["13.8 on the nose", "low", "12.1 V, too high"],
        );
    }

    #[test]
    fn a_draw_that_moves_is_no_steady_one() {
        let moving = finding(FindingKind::Current, "cycling", 0.1, 0.1);
        check(
            &moving,
            Said::Agrees,
            &[
                "see-sawing",
                "hunting .12 to .18",
                "60/119",
                "never steady",
                "hopping up and down",
            ],
        );
        check(
            &moving,
            Said::Differs,
            &["still at one value", "constant", "zero"],
        );
        let stuck = finding(FindingKind::Current, "stuck", 0.004, 0.1);
        check(
            &stuck,
            Said::Agrees,
            &[
                "four milliamps and stays there",
                "4 mA",
                "stands still",
                "dont go higher",
            ],
        );
        check(&stuck, Said::Differs, &["pumping", "nothing at all"]);
        check(&stuck, Said::Nothing, &["while running", ""]);
    }
}
