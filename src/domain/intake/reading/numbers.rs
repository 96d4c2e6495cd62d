//! Numbers with their units, as they stand in a cell: glued, with a comma, in the notation `4R7`.
//!
//! A number keeps its digits and its power of ten apart until the unit is known, so that 61 mA is the
//! same float as 0.061 A. Units: SI prefixes; `R` for Ω and the letter in place of the decimal mark as
//! in IEC 60062 (from memory). `k` without a unit is kΩ (common practice, no source).

use crate::domain::intake::mapping::DecimalMark;
use crate::domain::job::Qualifier;

/// What a number measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    /// Not written.
    None,
    /// V.
    Volt,
    /// A.
    Amp,
    /// Ω.
    Ohm,
    /// Hz.
    Hertz,
    /// °C.
    Celsius,
    /// s.
    Second,
    /// F or H: the value of a part.
    PartValue,
    /// Something that is no reading: %, W, days, pieces.
    Other,
}

/// A number without its unit.
#[expect(
    clippy::struct_excessive_bools,
    reason = "how one number was written, each on its own"
)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    digits: f64,
    exponent: i32,
    /// A comma was read as the decimal mark without knowing that the sheet does so.
    pub(super) comma: bool,
    /// The mark may separate thousands.
    pub(super) doubtful: bool,
    /// Written with a power of ten.
    pub(super) scientific: bool,
    /// Digits only.
    pub(super) whole: bool,
}

impl Number {
    /// Returns the value, `prefix` being the power of ten of the unit's prefix.
    pub(super) fn value(&self, prefix: i32) -> f64 {
        let power = self.exponent + prefix;
        if power < 0 {
            self.digits / 10_f64.powi(-power)
        } else {
            self.digits * 10_f64.powi(power)
        }
    }
}

/// A number with its unit, or a range, as read.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Quantity {
    /// The number as written (the last of a range).
    pub(super) number: Number,
    /// What it measures.
    pub(super) unit: Unit,
    /// Power of ten of the unit's prefix.
    pub(super) prefix: i32,
    /// Written as a range: its other end, the lower or the first.
    pub(super) from: Option<f64>,
    /// Further steps, `20mA->1.1A->0`.
    pub(super) steps: Vec<f64>,
    /// What stands before it.
    pub(super) qualifier: Option<Qualifier>,
    /// A letter in place of the decimal mark: `4R7`, `2k2`, `1V8`.
    pub(super) letter_mark: bool,
    /// Only `k` or `M` was written, or `m`.
    pub(super) bare_prefix: bool,
}

impl Quantity {
    /// Returns the value in SI.
    pub(super) fn value(&self) -> f64 {
        self.number.value(self.prefix)
    }

    pub(super) fn plain(number: Number) -> Self {
        Self {
            number,
            unit: Unit::None,
            prefix: 0,
            from: None,
            steps: Vec::new(),
            qualifier: None,
            letter_mark: false,
            bare_prefix: false,
        }
    }
}

/// No meter shows more digits.
const LONGEST: usize = 15;

/// Reads the number at the start of `text`, and returns it with the bytes it takes.
pub(super) fn number(text: &str, mark: DecimalMark) -> Option<(Number, usize)> {
    let bytes = text.as_bytes();
    let is_digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    let mut len = 0;
    let (mut points, mut commas) = (0, 0);
    while let Some(b) = bytes.get(len) {
        match b {
            b'0'..=b'9' => {}
            b'.' if is_digit(len + 1) => points += 1,
            b',' if is_digit(len + 1) => commas += 1,
            _ => break,
        }
        len += 1;
    }
    let run = &text[..len];
    if len == 0 || len > LONGEST + 3 {
        return None;
    }
    let decimal = decimal_of(run, points, commas, mark)?;
    let mut read = digits(run, decimal.at)?;
    read.comma = decimal.comma;
    read.doubtful = decimal.doubtful;
    read.whole = points + commas == 0;
    if let Some((power, longer)) = power(&bytes[len..]) {
        read.exponent += power;
        read.scientific = true;
        len += longer;
    }
    let far = read.exponent.abs() > 40;
    (!far).then_some((read, len))
}

struct Decimal {
    /// Byte of the decimal mark.
    at: Option<usize>,
    comma: bool,
    doubtful: bool,
}

fn decimal_of(run: &str, points: usize, commas: usize, mark: DecimalMark) -> Option<Decimal> {
    let sure = |at: Option<usize>| Decimal {
        at,
        comma: false,
        doubtful: false,
    };
    // 1,200 may be a thousand; 0,412 and 12,34 are not.
    let thousand = |at: usize| run.len() - at == 4 && at <= 3 && at > 0 && !run.starts_with('0');
    match (points, commas) {
        (0, 0) => Some(sure(None)),
        (1, 0) => {
            let at = run.find('.')?;
            let doubtful = mark == DecimalMark::Comma && thousand(at);
            Some(Decimal {
                doubtful,
                ..sure(Some(at))
            })
        }
        (0, 1) => {
            let at = run.find(',')?;
            match mark {
                DecimalMark::Comma => Some(sure(Some(at))),
                DecimalMark::Point if thousand(at) => Some(sure(None)),
                DecimalMark::Point | DecimalMark::Unknown => Some(Decimal {
                    at: Some(at),
                    comma: true,
                    doubtful: thousand(at),
                }),
            }
        }
        (1, _) if run.find('.') > run.rfind(',') => Some(sure(run.find('.'))),
        (_, 1) if run.find(',') > run.rfind('.') => Some(sure(run.find(','))),
        _ => None,
    }
}

fn digits(run: &str, decimal: Option<usize>) -> Option<Number> {
    let (mut read, mut places, mut n) = (0_u64, 0, 0);
    for (at, b) in run.bytes().enumerate() {
        if b.is_ascii_digit() {
            read = read * 10 + u64::from(b - b'0');
            n += 1;
            places += i32::from(decimal.is_some_and(|d| d < at));
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "15 digits fit into 53 bits")]
    let digits = read as f64;
    (n <= LONGEST).then_some(Number {
        digits,
        exponent: -places,
        comma: false,
        doubtful: false,
        scientific: false,
        whole: false,
    })
}

/// Reads `E+03`, and returns the power and the bytes it takes.
fn power(bytes: &[u8]) -> Option<(i32, usize)> {
    let mut at = 1;
    if !matches!(bytes.first(), Some(b'e' | b'E')) {
        return None;
    }
    let minus = bytes.get(at) == Some(&b'-');
    if minus || bytes.get(at) == Some(&b'+') {
        at += 1;
    }
    let digits = bytes[at..]
        .iter()
        .take_while(|b| b.is_ascii_digit())
        .count();
    let power = bytes[at..at + digits]
        .iter()
        .fold(0, |n, b| (n * 10 + i32::from(b - b'0')).min(1000));
    (digits > 0).then_some((if minus { -power } else { power }, at + digits))
}

/// Reads what follows the digits of a chunk: a unit, or a letter and more digits.
pub(super) fn with_rest(mut number: Number, rest: &str) -> Option<Quantity> {
    if rest.is_empty() {
        return Some(Quantity::plain(number));
    }
    let mut chars = rest.char_indices();
    let letter = chars.next()?.1;
    if let Some((at, next)) = chars.next()
        && next.is_ascii_digit()
    {
        let (unit, prefix) = letter_unit(letter)?;
        let len = rest[at..].bytes().take_while(u8::is_ascii_digit).count();
        if !number.whole || len > 4 {
            return None;
        }
        let tail = &rest[at + len..];
        let unit_written =
            tail.is_empty() || self::unit(tail).is_some_and(|(u, p)| u == unit && p == 0);
        if !unit_written {
            return None;
        }
        for b in rest[at..at + len].bytes() {
            number.digits = number.digits * 10.0 + f64::from(b - b'0');
            number.exponent -= 1;
        }
        number.whole = false;
        return Some(Quantity {
            unit,
            prefix,
            letter_mark: true,
            ..Quantity::plain(number)
        });
    }
    if let Some(rest) = rest.strip_suffix("ish") {
        let mut about = with_rest(number, rest)?;
        about.qualifier = Some(Qualifier::About);
        return Some(about);
    }
    let (unit, prefix) = unit(rest)?;
    Some(Quantity {
        unit,
        prefix,
        bare_prefix: matches!(rest, "k" | "K" | "M" | "m"),
        ..Quantity::plain(number)
    })
}

/// Units by the letter that stands for the decimal mark.
fn letter_unit(letter: char) -> Option<(Unit, i32)> {
    Some(match letter {
        'V' | 'v' => (Unit::Volt, 0),
        'A' => (Unit::Amp, 0),
        'R' | 'r' | 'Ω' | '\u{2126}' => (Unit::Ohm, 0),
        'k' | 'K' => (Unit::Ohm, 3),
        'M' => (Unit::Ohm, 6),
        'p' | 'n' | 'u' | 'µ' | 'μ' => (Unit::PartValue, 0),
        _ => return None,
    })
}

/// Returns the unit that `text` names and the power of ten of its prefix. Case counts where `m` and
/// `M` differ.
pub(super) fn unit(text: &str) -> Option<(Unit, i32)> {
    Some(match text {
        "V" | "v" | "volt" | "volts" | "Volt" | "Volts" | "VDC" | "Vdc" | "vdc" | "VOLT"
        | "VOLTS" | "Vcc" => (Unit::Volt, 0),
        "mV" | "mv" | "MV" => (Unit::Volt, -3),
        "uV" | "µV" | "μV" => (Unit::Volt, -6),
        "kV" | "KV" | "kv" => (Unit::Volt, 3),
        "A" | "a" | "amp" | "amps" | "Amp" | "Amps" | "ampere" | "Ampere" | "AMP" | "AMPS" => {
            (Unit::Amp, 0)
        }
        "mA" | "ma" | "MA" | "Ma" | "milliamps" | "milliamp" => (Unit::Amp, -3),
        "uA" | "ua" | "µA" | "μA" | "UA" => (Unit::Amp, -6),
        "R" | "r" | "ohm" | "ohms" | "Ohm" | "Ohms" | "OHM" | "OHMS" | "Ω" | "\u{2126}" => {
            (Unit::Ohm, 0)
        }
        "mR" | "mohm" | "mOhm" | "mΩ" | "m\u{2126}" | "milliohm" | "milliohms" => (Unit::Ohm, -3),
        "k" | "K" | "kR" | "kohm" | "kOhm" | "kΩ" | "k\u{2126}" | "KΩ" | "KOhm" | "Kohm"
        | "kohms" | "KOHM" | "kOhms" | "kilohm" => (Unit::Ohm, 3),
        "M" | "MΩ" | "M\u{2126}" | "Mohm" | "MOhm" | "MOHM" | "meg" | "Meg" | "Mohms"
        | "megohm" | "MEG" => (Unit::Ohm, 6),
        "Hz" | "hz" | "HZ" => (Unit::Hertz, 0),
        "kHz" | "khz" | "KHz" | "KHZ" => (Unit::Hertz, 3),
        "MHz" | "mhz" | "Mhz" | "MHZ" | "mHz" => (Unit::Hertz, 6),
        "GHz" | "ghz" | "GHZ" => (Unit::Hertz, 9),
        "°C" | "°" | "C" | "c" | "°c" | "degC" | "degc" | "deg" | "Grad" | "grad" | "degrees"
        | "℃" | "ºC" | "º" => (Unit::Celsius, 0),
        "s" | "sec" | "secs" | "Sek" | "sek" | "seconds" | "second" | "S" | "Sekunden" => {
            (Unit::Second, 0)
        }
        "ms" | "mS" => (Unit::Second, -3),
        "m" => (Unit::None, -3),
        "F" | "nF" | "nf" | "n" | "NF" | "uF" | "uf" | "UF" | "µF" | "μF" | "u" | "µ" | "μ"
        | "pF" | "pf" | "p" | "PF" | "mF" | "uH" | "µH" | "μH" | "nH" | "mH" | "uh" | "H" => {
            (Unit::PartValue, 0)
        }
        "%" | "W" | "w" | "mW" | "kW" | "x" | "X" | "pcs" | "min" | "mins" | "Min" | "minutes"
        | "Minuten" | "h" | "hr" | "hrs" | "hours" | "hour" | "Std" | "std" | "h." | "Stunden"
        | "d" | "days" | "day" | "wk" | "wks" | "weeks" | "week" | "w." | "mo" | "months"
        | "month" | "Wochen" | "Woche" | "Monate" | "Monat" | "Monaten" | "Tage" | "Tagen"
        | "Tag" | "Stk" | "years" | "year" | "yrs" | "st" | "nd" | "rd" | "th" | "pin" | "pol"
        | "layer" | "VAC" | "Vac" | "vac" | "Ah" | "mAh" | "mm" | "cm" | "inch" | "€" | "EUR"
        | "$" | "GB" | "MB" | "kB" | "bit" | "Mbit" | "dB" | "dBm" | "mins." | "oz" | "fach"
        | "mal" | "up" | "times" | "Nm" | "bar" | "rpm" => (Unit::Other, 0),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Option<(f64, Unit)> {
        let (number, len) = number(text, DecimalMark::Unknown)?;
        let quantity = with_rest(number, &text[len..])?;
        Some((quantity.value(), quantity.unit))
    }

    #[test]
    fn glued_units_and_letters_for_the_mark_are_exact() {
        for (text, value, unit) in [
            ("61mA", 0.061, Unit::Amp),
            ("0.412", 0.412, Unit::None),
            ("3,8", 3.8, Unit::None),
            ("4R7", 4.7, Unit::Ohm),
            ("0R1", 0.1, Unit::Ohm),
            ("2k2", 2200.0, Unit::Ohm),
            ("1V8", 1.8, Unit::Volt),
            ("1M5", 1.5e6, Unit::Ohm),
            ("4n7", 4.7, Unit::PartValue),
            ("1.4kΩ", 1400.0, Unit::Ohm),
            ("40µA", 4e-5, Unit::Amp),
            ("40μA", 4e-5, Unit::Amp),
            ("25MHz", 25e6, Unit::Hertz),
            ("1.50E+03", 1500.0, Unit::None),
            ("81°C", 81.0, Unit::Celsius),
            ("1.200,5V", 1200.5, Unit::Volt),
        ] {
            assert_eq!(read(text), Some((value, unit)), "{text}");
        }
        for text in [
            "3V3_SB",
            "12abc",
            "1e999",
            "1.2.3",
            "4R7x",
            "99999999999999999999",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn a_comma_before_three_digits_is_doubtful_until_the_sheet_tells() {
        let with = |text, mark| number(text, mark).map(|(n, _)| (n.value(0), n.comma, n.doubtful));
        assert_eq!(with("1,200", DecimalMark::Unknown), Some((1.2, true, true)));
        assert_eq!(
            with("1,200", DecimalMark::Point),
            Some((1200.0, false, false))
        );
        assert_eq!(with("1,200", DecimalMark::Comma), Some((1.2, false, false)));
        assert_eq!(
            with("0,412", DecimalMark::Unknown),
            Some((0.412, true, false))
        );
        assert_eq!(with("1.200", DecimalMark::Comma), Some((1.2, false, true)));
    }
}
