//! Numbers as a meter shows them: millionths in whole numbers, rounded to the meter's steps.

use serde_json::Value;
use serde_json::json;

/// A quantity in millionths of its SI unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Fixed(pub(crate) i64);

/// Millionths in one.
pub(crate) const ONE: i64 = 1_000_000;

impl Fixed {
    /// Reads a plain decimal number.
    pub(crate) fn read(text: &str) -> Option<Self> {
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        if part.len() > 6 || whole.is_empty() && part.is_empty() {
            return None;
        }
        let whole: i64 = if whole.is_empty() {
            0
        } else {
            whole.parse().ok()?
        };
        let padded = format!("{part:0<6}");
        Some(Self(whole * ONE + padded.parse::<i64>().ok()?))
    }

    /// Returns the product of two.
    pub(crate) fn times(self, other: Self) -> Self {
        let product = i128::from(self.0) * i128::from(other.0) / i128::from(ONE);
        Self(i64::try_from(product).expect("bench quantities are small"))
    }

    /// Returns the nearest multiple of `step`.
    pub(crate) fn rounded(self, step: i64) -> Self {
        Self((self.0 + step / 2) / step * step)
    }

    /// Returns the decimal text, without zeros at its end.
    pub(crate) fn text(self) -> String {
        let (whole, part) = (self.0 / ONE, self.0 % ONE);
        if part == 0 {
            return whole.to_string();
        }
        let part = format!("{part:06}");
        format!("{whole}.{}", part.trim_end_matches('0'))
    }

    /// Returns the number for a job line.
    pub(crate) fn value(self) -> Value {
        if self.0 % ONE == 0 {
            return json!(self.0 / ONE);
        }
        let number: f64 = self.text().parse().expect("it is a decimal number");
        json!(number)
    }
}

/// Step of a voltmeter at `volts`.
pub(crate) fn step_v(volts: Fixed) -> i64 {
    match volts.0 / ONE {
        0..10 => 10_000,
        10..100 => 100_000,
        _ => ONE,
    }
}

/// Step of an ammeter at `amperes`.
pub(crate) fn step_a(amperes: Fixed) -> i64 {
    match amperes.0 {
        ..1_000 => 100,
        1_000..200_000 => 1_000,
        200_000..ONE => 5_000,
        _ => 10_000,
    }
}

/// Step of an ohmmeter at `ohms`.
pub(crate) fn step_ohm(ohms: Fixed) -> i64 {
    match ohms.0 / ONE {
        0 if ohms.0 < 100_000 => 10_000,
        0..10 => 100_000,
        10..200 => ONE,
        200..1_000 => 5 * ONE,
        1_000..10_000 => 50 * ONE,
        10_000..100_000 => 100 * ONE,
        _ => 1_000 * ONE,
    }
}

/// Step of a counter at `hertz`.
pub(crate) fn step_hz(hertz: Fixed) -> i64 {
    if hertz.0 < 1_000_000 * ONE {
        ONE
    } else {
        100 * ONE
    }
}
