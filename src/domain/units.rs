//! Numbers as a person at the bench reads and writes them.
//!
//! Everything inside the program is SI (V, A, Ω, Hz, °C, s); this file turns a value into text with
//! a prefix and back into nothing else. It parses no free text.

/// Turns a count into a float; exact below 2^53, far above any count here.
#[expect(clippy::cast_precision_loss, reason = "counts here are far below 2^53")]
#[inline]
pub fn count(n: usize) -> f64 {
    n as f64
}

/// Returns `value` with an SI prefix and `unit`, three significant digits: `0.061, "A"` is `61 mA`.
pub fn si(value: f64, unit: &str) -> String {
    let (scale, prefix) = scale(value.abs(), unit);
    format!("{} {prefix}{unit}", digits(value * scale))
}

/// Returns the same with so many decimals, for two values that differ by less than the usual digits
/// show: `19.2021 MHz`.
pub fn si_to(value: f64, unit: &str, decimals: usize) -> String {
    let (scale, prefix) = scale(value.abs(), unit);
    format!("{:.decimals$} {prefix}{unit}", value * scale)
}

fn scale(size: f64, unit: &str) -> (f64, &'static str) {
    if size == 0.0 {
        (1.0, "")
    } else if size < 1e-6 {
        (1e9, "n")
    } else if size < 1e-3 {
        (1e6, "µ")
    } else if size < 1.0 && unit != "V" && unit != "°C" {
        (1e3, "m")
    } else if size < 1e3 {
        (1.0, "")
    } else if size < 1e6 {
        (1e-3, "k")
    } else {
        (1e-6, "M")
    }
}

/// Returns volts with two decimals from 0.01 V up, else in millivolts: `0.41 V`, `3.30 V`, `4 mV`.
pub fn volts(value: f64) -> String {
    if value != 0.0 && value.abs() < 0.01 {
        return format!("{} mV", digits(value * 1e3));
    }
    if value.abs() >= LONGEST {
        return format!("{value:.2e} V");
    }
    if value.abs() < 10.0 {
        format!("{value:.2} V")
    } else {
        format!("{value:.1} V")
    }
}

/// From here up a number is written with its power of ten: no meter shows so many places, and a
/// mistyped one must not fill the line.
const LONGEST: f64 = 1e6;

fn digits(value: f64) -> String {
    let size = value.abs();
    let text = if size == 0.0 {
        return "0".to_owned();
    } else if size >= LONGEST {
        return format!("{value:.2e}");
    } else if size < 10.0 {
        format!("{value:.2}")
    } else if size < 100.0 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    };
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_read_as_on_a_meter() {
        for (value, unit, text) in [
            (0.061, "A", "61 mA"),
            (0.118, "A", "118 mA"),
            (1.0, "A", "1 A"),
            (210.0, "Ω", "210 Ω"),
            (1400.0, "Ω", "1.4 kΩ"),
            (0.4, "Ω", "400 mΩ"),
            (32768.0, "Hz", "32.8 kHz"),
            (25e6, "Hz", "25 MHz"),
            (81.0, "°C", "81 °C"),
            (0.0, "A", "0 A"),
        ] {
            assert_eq!(si(value, unit), text);
        }
        assert_eq!(volts(0.41), "0.41 V");
        assert_eq!(volts(12.0), "12.0 V");
        assert_eq!(volts(0.004), "4 mV");
    }

    #[test]
    fn an_absurd_value_stays_short() {
        assert_eq!(volts(1e308), "1.00e308 V");
        assert_eq!(volts(-1e308), "-1.00e308 V");
        assert_eq!(volts(40_000.0), "40000.0 V");
        assert_eq!(si(1e308, "Ω"), "1.00e302 MΩ");
        assert_eq!(si(22e6, "Ω"), "22 MΩ");
    }
}
