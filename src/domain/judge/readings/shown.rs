//! What is said of a reading in any words, and by any number: "nailed to the floor", "16.4 where 13.8 belongs",
//! "hopping up and down", "as a good one".
//!
//! A word is a sense (nothing there, too low, moving ...), and a sense is one of several bands, by the kind of
//! reading: a line at ground is stuck low to one person and missing to the next. A number is put in its band by
//! the same function that reads a job. A number that says what should be there (`instead of`, `where .. belongs`)
//! is left out. A denied word says nothing. Leaves out where it was read. Tables: common practice, no source.

use std::ops::Range;
use std::ops::RangeInclusive;

use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::judge::read::stretches::Bit;
use crate::domain::judge::readings::read_numbers;
use crate::domain::judge::readings::shown_words;
use crate::domain::judge::readings::shown_words::PHRASES;
use crate::domain::judge::readings::shown_words::Sense;
use crate::domain::judge::readings::shown_words::is_of;

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
    let numbers: Vec<f64> = read_numbers::measured(bits, finding)
        .into_iter()
        .map(|(_, number)| number)
        .collect();
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
    let senses = senses(bits).into_iter().map(|(_, sense)| sense);
    let senses = senses.chain(moves.then_some(Sense::Moving));
    let lies = lies(finding, board);
    let worded: Vec<bool> = senses
        .filter_map(|sense| fits(finding.kind, sense, lies, &wanted))
        .collect();
    if number == Said::Agrees || worded.contains(&true) {
        Said::Agrees
    } else if worded.is_empty() {
        Said::Nothing
    } else {
        Said::Differs
    }
}

/// Returns the bits that say what a finding showed.
pub fn spots(bits: &[Bit], finding: &Finding, board: Option<&Board>) -> Vec<Range<usize>> {
    let Some(wanted) = band::band(finding, board) else {
        return Vec::new();
    };
    let lies = lies(finding, board);
    let worded = senses(bits).into_iter();
    let worded =
        worded.filter(|(_, sense)| fits(finding.kind, *sense, lies, &wanted) == Some(true));
    let agrees = |number: &f64| by_number(&[*number], finding, &wanted, board) == Said::Agrees;
    let numbers = read_numbers::measured(bits, finding).into_iter();
    let numbers = numbers.filter(|(_, number)| agrees(number));
    worded
        .map(|(at, _)| at)
        .chain(numbers.map(|(at, _)| at))
        .collect()
}

/// Tells whether a sense may mean a band; none where it says nothing of this kind of reading.
fn fits(kind: FindingKind, sense: Sense, lies: Lies, wanted: &str) -> Option<bool> {
    let bands = bands(kind, sense, lies);
    let plain = wanted.split(' ').next().unwrap_or_default();
    let low = kind == FindingKind::Resistance && bands.contains(&plain);
    (!bands.is_empty()).then_some(low || bands.contains(&wanted))
}

/// Returns the ohms of a part of a band: "low 1 to 50 Ω", "low over 50 Ω".
fn part_of_band(known_as: &str) -> Option<RangeInclusive<f64>> {
    let words: Vec<&str> = known_as.split(' ').collect();
    match words.as_slice() {
        [.., from, "to", to, "Ω"] => Some(from.parse().ok()?..=to.parse().ok()?),
        [.., "over", from, "Ω"] => Some(from.parse().ok()?..=f64::MAX),
        [.., "under", to, "Ω"] => Some(0.0..=to.parse().ok()?),
        _ => None,
    }
}

/// Where a line was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lies {
    AtGround,
    AtTop,
    Elsewhere,
}

/// Tells where a line was read; one that rests at its supply is high where nothing holds it.
fn lies(finding: &Finding, board: Option<&Board>) -> Lies {
    /// Volts from which a logic line that rests high is called so; common practice, no source.
    const LOGIC: f64 = 3.0;
    let good = band::good_value(finding, board);
    match (finding.got, good) {
        _ if is_at_ground(finding, board) => Lies::AtGround,
        (Some(got), Some(good)) if !finding.in_hertz && LOGIC <= good && 0.9 * good <= got => {
            Lies::AtTop
        }
        _ => Lies::Elsewhere,
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

/// Returns the bands that a sense may mean.
fn bands(kind: FindingKind, sense: Sense, lies: Lies) -> &'static [&'static str] {
    match kind {
        FindingKind::Rail => of_rail(sense),
        FindingKind::Signal => of_signal(sense, lies),
        FindingKind::Current => of_draw(sense),
        FindingKind::Resistance => of_ohms(sense),
        FindingKind::Diode => of_drop(sense),
        FindingKind::Heat | FindingKind::Visual | FindingKind::Other => &[],
    }
}

fn of_rail(sense: Sense) -> &'static [&'static str] {
    match sense {
        Sense::Zero => &["absent"],
        Sense::HeldLow => &["absent", "low"],
        Sense::Low => &["low"],
        Sense::High | Sense::HeldHigh => &["high"],
        Sense::Moving => &["pulsing"],
        Sense::Noisy => &["noisy"],
        Sense::Good => &["in-band"],
        _ => &[],
    }
}

fn of_signal(sense: Sense, lies: Lies) -> &'static [&'static str] {
    match (sense, lies) {
        (Sense::Zero | Sense::Low | Sense::HeldLow | Sense::Short, Lies::AtGround) => {
            &["stuck-low", "missing"]
        }
        (Sense::Zero, _) => &["missing"],
        (Sense::Low | Sense::HeldLow | Sense::Short, _) => &["stuck-low"],
        (Sense::High | Sense::HeldHigh, Lies::AtTop) => &["stuck-high", "present"],
        (Sense::High | Sense::HeldHigh, _) => &["stuck-high"],
        (Sense::Middle, _) => &["mid-level"],
        (Sense::OffFrequency, _) => &["wrong-frequency"],
        (Sense::Good | Sense::Moving, _) => &["present"],
        _ => &[],
    }
}

fn of_draw(sense: Sense) -> &'static [&'static str] {
    match sense {
        Sense::Zero => &["zero"],
        Sense::Still => &["stuck"],
        Sense::Moving => &["cycling"],
        Sense::Steps => &["stepped-stop"],
        Sense::High => &["high"],
        Sense::Good => &["normal", "normal-no-function"],
        Sense::Short => &["limit"],
        _ => &[],
    }
}

fn of_ohms(sense: Sense) -> &'static [&'static str] {
    match sense {
        Sense::Short => &["hard-short"],
        Sense::Low => &["low"],
        Sense::Good => &["as-reference"],
        Sense::Open => &["open"],
        Sense::High => &["high"],
        _ => &[],
    }
}

fn of_drop(sense: Sense) -> &'static [&'static str] {
    match sense {
        Sense::Short | Sense::Zero => &["short"],
        Sense::Low => &["low"],
        Sense::Good => &["as-reference"],
        Sense::Open => &["OL"],
        Sense::High => &["high"],
        _ => &[],
    }
}

/// Returns what the words say, and where; of two phrases in one place the longer counts.
fn senses(bits: &[Bit]) -> Vec<(Range<usize>, Sense)> {
    let joined = joined(bits);
    let words: Vec<&str> = joined.iter().map(|(_, word)| word.as_str()).collect();
    let mut found = phrases_in(&words);
    let has = |list: &'static str| words.iter().any(|w| is_of(list, w));
    if has(shown_words::CLIMBING) && has(shown_words::STOPPING) {
        found.push((0..words.len(), Sense::Steps));
    }
    found.retain(|(at, sense)| *sense != Sense::High || !is_particle(&words, at.start));
    let denied = |at: usize| {
        let mut before = at.saturating_sub(3)..at;
        before.any(|i| is_of(shown_words::DENYING, words[i]))
    };
    let inside = |one: &(Range<usize>, Sense)| {
        let longer = |other: &(Range<usize>, Sense)| {
            let around = other.0.start <= one.0.start && one.0.end <= other.0.end;
            let to_ground = (one.1, other.1) == (Sense::Short, Sense::HeldLow);
            around && one.0.len() < other.0.len() && other.1 != Sense::Steps && !to_ground
        };
        found.iter().any(longer)
    };
    let meant = found
        .iter()
        .filter(|one| !inside(one) && !denied(one.0.start));
    meant
        .map(|(at, sense)| (joined[at.start].0.start..joined[at.end - 1].0.end, *sense))
        .collect()
}

/// Finds the phrases of all senses, and what is held somewhere.
fn phrases_in(words: &[&str]) -> Vec<(Range<usize>, Sense)> {
    let mut found = Vec::new();
    for (sense, phrases) in &PHRASES {
        for phrase in shown_words::of(phrases) {
            let phrase: Vec<&str> = phrase.split(' ').collect();
            for at in 0..(words.len() + 1).saturating_sub(phrase.len()) {
                if words[at..at + phrase.len()] == phrase[..] {
                    found.push((at..at + phrase.len(), *sense));
                }
            }
        }
    }
    for at in (0..words.len()).filter(|at| shown_words::holds(words[*at])) {
        let near = at + 1..words.len().min(at + 5);
        let to = |list: &'static str| near.clone().find(|i| is_of(list, words[*i]));
        if let Some(to) = to(shown_words::DOWN) {
            found.push((at..to + 1, Sense::HeldLow));
        } else if let Some(to) = to(shown_words::UP) {
            found.push((at..to + 1, Sense::HeldHigh));
        }
    }
    found
}

/// "power up", "wakes up": no more than the verb before it.
fn is_particle(words: &[&str], at: usize) -> bool {
    words[at] == "up"
        && at
            .checked_sub(1)
            .is_some_and(|i| is_of(shown_words::WITH_UP, words[i]))
}

/// Returns the words of `bits` and the bits they take, "wasn't" as one and hyphens left out.
fn joined(bits: &[Bit]) -> Vec<(Range<usize>, String)> {
    let mut out: Vec<(Range<usize>, String)> = Vec::new();
    let mut glue = false;
    for (at, bit) in bits.iter().enumerate().filter(|(_, bit)| bit.text != "-") {
        match out.last_mut() {
            Some((span, last)) if glue || bit.text == "'" => {
                span.end = at + 1;
                last.push_str(&bit.text);
            }
            _ => out.push((at..at + 1, bit.text.clone())),
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
    // A clock is off by far less than a meter's reading of a rail.
    let tolerance = if finding.in_hertz { 0.01 } else { 0.1 };
    let close = |number: &f64| {
        finding
            .got
            .is_some_and(|got| (number - got).abs() <= tolerance * got.abs().max(number.abs()))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::stretches;

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
