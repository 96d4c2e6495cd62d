//! Numbers with their units as typed in a query: `0.41V`, `210 ohm`, `61-118mA`, `61 to 118 mA`, `4k7`.

use crate::domain::job::FindingKind;
use crate::domain::job::FindingKind::Resistance;
use crate::domain::search::shorthand::UNITS;

/// A number with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) kinds: &'static [FindingKind],
    pub(super) in_hertz: bool,
}

/// Reads a number with its unit at chunk `i`; returns how many chunks it took.
pub(super) fn value_at(chunks: &[&str], i: usize) -> Option<(Number, usize)> {
    let first = chunks.get(i)?;
    let (number, rest) = leading(first)?;
    if let Some(range) = rest.strip_prefix(['-', '–'])
        && let Some((high, unit)) = leading(range)
    {
        return finish(number, high, unit, chunks, i + 1).map(|(v, n)| (v, n - i));
    }
    if rest.is_empty()
        && chunks.get(i + 1).is_some_and(|c| *c == "to" || *c == "-")
        && let Some((high, unit)) = chunks.get(i + 2).and_then(|c| leading(c))
    {
        return finish(number, high, unit, chunks, i + 3).map(|(v, n)| (v, n - i));
    }
    // 4k7 and 4R7 are resistances as printed; 3V3 is a rail.
    if let Some((whole, part)) = first.split_once(['k', 'R'])
        && !part.is_empty()
        && part.bytes().all(|b| b.is_ascii_digit())
        && whole.bytes().all(|b| b.is_ascii_digit())
    {
        let times = if first.contains('k') { 1e3 } else { 1.0 };
        let value: f64 = format!("{whole}.{part}").parse().ok()?;
        let number = Number {
            low: value * times,
            high: value * times,
            kinds: &[Resistance],
            in_hertz: false,
        };
        return Some((number, 1));
    }
    finish(number, number, rest, chunks, i + 1).map(|(v, n)| (v, n - i))
}

fn finish(
    low: f64,
    high: f64,
    unit: &str,
    chunks: &[&str],
    next: usize,
) -> Option<(Number, usize)> {
    let (unit, next) = if unit.is_empty() {
        (*chunks.get(next)?, next + 1)
    } else {
        (unit, next)
    };
    let (_, power, kinds, in_hertz) = UNITS.iter().find(|(name, ..)| *name == unit)?;
    let number = Number {
        low: scaled(low.min(high), *power),
        high: scaled(low.max(high), *power),
        kinds,
        in_hertz: *in_hertz,
    };
    Some((number, next))
}

/// Reads `0.3 and 0.5 V`, `0.3 V and 0.5 V` or a range at chunk `i`; returns how many chunks it took.
pub(super) fn both_at(chunks: &[&str], i: usize) -> Option<(Number, usize)> {
    if let Some((number, n)) = value_at(chunks, i)
        && number.low < number.high
    {
        return Some((number, n));
    }
    let joins = |at: &usize| matches!(chunks.get(*at), Some(&("and" | "to" | "und" | "bis" | "-")));
    let join = (i + 1..=i + 2).find(joins)?;
    if let Some((first, _)) = value_at(&chunks[..join], i) {
        let (second, n) = value_at(chunks, join + 1)?;
        let (low, high) = (first.low.min(second.low), first.high.max(second.high));
        let alike = first.kinds == second.kinds && first.in_hertz == second.in_hertz;
        return alike.then_some((Number { low, high, ..first }, join + 1 + n - i));
    }
    // The unit of the second is meant for both.
    let range = format!("{}-{}", chunks[i], chunks.get(join + 1)?);
    let mut together = vec![range.as_str()];
    together.extend(&chunks[join + 2..]);
    let (number, n) = value_at(&together, 0)?;
    (join == i + 1).then_some((number, join + 1 + n - i))
}

/// Returns `number` times ten to `power`, the nearest there is to what was typed.
fn scaled(number: f64, power: i32) -> f64 {
    if power < 0 {
        number / libm::pow(10.0, f64::from(-power))
    } else {
        number * libm::pow(10.0, f64::from(power))
    }
}

/// Splits a number off the front of a chunk.
fn leading(chunk: &str) -> Option<(f64, &str)> {
    let sign = usize::from(chunk.starts_with('-'));
    let end = chunk[sign..]
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .map_or(chunk.len(), |at| at + sign);
    let number: f64 = chunk[..end].parse().ok()?;
    number.is_finite().then_some((number, &chunk[end..]))
}
