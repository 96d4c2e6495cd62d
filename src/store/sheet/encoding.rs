//! Which encoding a text file is in, and its text.
//!
//! A byte order mark decides; without one, NUL bytes at every other place mean UTF-16, and whether the
//! bytes are valid decides between UTF-8 and Windows-1252. Bytes that are no text become U+FFFD, and the
//! rows that hold one say so. Source of the tables and decoders: the WHATWG Encoding Standard, through
//! the `encoding_rs` crate. Other encodings are not guessed.

use encoding_rs::CoderResult;
use encoding_rs::Encoding;
use encoding_rs::UTF_8;
use encoding_rs::UTF_16BE;
use encoding_rs::UTF_16LE;
use encoding_rs::WINDOWS_1252;

use crate::store::sheet::error::SheetProblem;

/// Raw bytes and decoded text together may not be larger than this, since both are held for a moment.
const MOST_HELD: usize = 230_000_000;
/// How many bytes are looked at to tell UTF-16 without a mark.
const LOOK: usize = 4096;

/// A text and where it came from.
#[derive(Debug)]
pub(crate) struct Decoded {
    /// The text, without a byte order mark.
    pub(crate) text: String,
    /// The encoding in words.
    pub(crate) told: String,
}

/// Returns the text of `bytes`.
pub(crate) fn decode(bytes: Vec<u8>) -> Result<Decoded, SheetProblem> {
    if bytes.starts_with(b"\xff\xfe\0\0") || bytes.starts_with(b"\0\0\xfe\xff") {
        return Err(SheetProblem::Encoding("UTF-32"));
    }
    if let Some((encoding, mark)) = Encoding::for_bom(&bytes) {
        if encoding == UTF_8 {
            return utf8(bytes, "UTF-8 with a byte order mark");
        }
        let told = if encoding == UTF_16LE {
            "UTF-16, little-endian"
        } else {
            "UTF-16, big-endian"
        };
        return with(encoding, &bytes[mark..], told);
    }
    if let Some(encoding) = unmarked_utf16(&bytes) {
        let told = if encoding == UTF_16LE {
            "UTF-16, little-endian, without a byte order mark"
        } else {
            "UTF-16, big-endian, without a byte order mark"
        };
        return with(encoding, &bytes, told);
    }
    if is_rather_utf8(&bytes) {
        return utf8(bytes, "UTF-8");
    }
    with(WINDOWS_1252, &bytes, "Windows-1252")
}

/// Tells UTF-16 by the zero half of plain letters: at least four in ten units of the beginning have it
/// on one side, and hardly any on the other.
fn unmarked_utf16(bytes: &[u8]) -> Option<&'static Encoding> {
    let (units, _) = bytes[..bytes.len().min(LOOK)].as_chunks::<2>();
    let low_zero = units.iter().filter(|[a, b]| *a == 0 && *b != 0).count();
    let high_zero = units.iter().filter(|[a, b]| *a != 0 && *b == 0).count();
    let enough = |zero: usize| 2 <= units.len() && units.len() * 4 <= zero * 10;
    let hardly = |zero: usize| zero * 50 <= units.len();
    if enough(high_zero) && hardly(low_zero) {
        Some(UTF_16LE)
    } else if enough(low_zero) && hardly(high_zero) {
        Some(UTF_16BE)
    } else {
        None
    }
}

/// Tells whether `bytes` are UTF-8, or UTF-8 with a few damaged places rather than Windows-1252.
fn is_rather_utf8(bytes: &[u8]) -> bool {
    if std::str::from_utf8(bytes).is_ok() {
        return true;
    }
    let (mut good, mut bad) = (0_usize, 0_usize);
    for chunk in bytes.utf8_chunks() {
        good += chunk.valid().bytes().filter(|b| 0xc0 <= *b).count();
        bad += usize::from(!chunk.invalid().is_empty());
    }
    bad < good
}

fn utf8(mut bytes: Vec<u8>, told: &str) -> Result<Decoded, SheetProblem> {
    if bytes.starts_with(b"\xef\xbb\xbf") {
        bytes.drain(..3);
    }
    let told = told.to_owned();
    match String::from_utf8(bytes) {
        Ok(text) => Ok(Decoded { text, told }),
        Err(error) => {
            let bytes = error.into_bytes();
            let damaged = bytes.utf8_chunks().filter(|c| !c.invalid().is_empty());
            fits(bytes.len(), bytes.len() + 3 * damaged.count())?;
            let text = String::from_utf8_lossy(&bytes).into_owned();
            let told = format!("{told}, with bytes that are no text");
            Ok(Decoded { text, told })
        }
    }
}

fn with(encoding: &'static Encoding, bytes: &[u8], told: &str) -> Result<Decoded, SheetProblem> {
    let grown = if encoding == WINDOWS_1252 {
        // Upper letters take two bytes, the few signs from 0x80 to 0x9f up to three.
        let two = bytes.iter().filter(|b| 0x80 <= **b).count();
        let three = bytes.iter().filter(|b| (0x80..0xa0).contains(*b)).count();
        bytes.len() + two + three
    } else {
        let (units, rest) = bytes.as_chunks::<2>();
        let unit = |pair: &[u8; 2]| {
            if encoding == UTF_16LE {
                u16::from_le_bytes(*pair)
            } else {
                u16::from_be_bytes(*pair)
            }
        };
        // Half of a pair counts as three like a lone one, so this is never too little.
        let width = |pair| match unit(pair) {
            0..0x80 => 1,
            0x80..0x800 => 2,
            _ => 3,
        };
        units.iter().map(width).sum::<usize>() + 3 * rest.len()
    };
    fits(bytes.len(), grown)?;
    // Room for all of it from the start: growing would hold the text twice.
    let mut text = String::with_capacity(grown + 64);
    let mut decoder = encoding.new_decoder_without_bom_handling();
    let (mut damaged, mut at) = (false, 0);
    loop {
        let (result, read, odd) = decoder.decode_to_string(&bytes[at..], &mut text, true);
        at += read;
        damaged |= odd;
        if result == CoderResult::InputEmpty {
            break;
        }
        text.reserve(64 + bytes.len() - at);
    }
    let mut told = told.to_owned();
    if damaged {
        told.push_str(", with bytes that are no text");
    }
    Ok(Decoded { text, told })
}

fn fits(raw: usize, decoded: usize) -> Result<(), SheetProblem> {
    if raw + decoded <= MOST_HELD {
        return Ok(());
    }
    let millions = |n: usize| (n / 1_000_000) as u64;
    Err(SheetProblem::TooLarge {
        has: millions(raw),
        most: millions(raw * (MOST_HELD / 1000) / ((raw + decoded) / 1000)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(bytes: &[u8], text: &str, told: &str) {
        let found = decode(bytes.to_vec()).unwrap();
        assert_eq!((found.text.as_str(), found.told.as_str()), (text, told));
    }

    fn utf16(text: &str, big: bool) -> Vec<u8> {
        let order = |unit: u16| {
            if big {
                unit.to_be_bytes()
            } else {
                unit.to_le_bytes()
            }
        };
        text.encode_utf16().flat_map(order).collect()
    }

    #[test]
    fn a_mark_decides() {
        check(
            b"\xef\xbb\xbfa;\xc2\xb5",
            "a;µ",
            "UTF-8 with a byte order mark",
        );
        check(b"\xff\xfea\0\xb5\0", "aµ", "UTF-16, little-endian");
        check(b"\xfe\xff\0a\0\xb5", "aµ", "UTF-16, big-endian");
    }

    #[test]
    fn utf16_is_told_without_a_mark() {
        let text = "Datum;Gerät;Befund\r\n14.03.2026;Petrel;3V3 fehlt, 0,41 Ω → €\r\n";
        check(
            &utf16(text, false),
            text,
            "UTF-16, little-endian, without a byte order mark",
        );
        check(
            &utf16(text, true),
            text,
            "UTF-16, big-endian, without a byte order mark",
        );
    }

    #[test]
    fn validity_decides_between_utf8_and_windows_1252() {
        check("a;Gerät;10 µF".as_bytes(), "a;Gerät;10 µF", "UTF-8");
        // WHATWG Encoding Standard, index windows-1252: 0x80 is U+20AC, 0x96 U+2013, 0xB5 U+00B5.
        check(
            b"Ger\xe4t \x80 5\x966 10 \xb5F",
            "Gerät € 5–6 10 µF",
            "Windows-1252",
        );
    }

    #[test]
    fn a_damaged_place_does_not_turn_utf8_into_windows_1252() {
        check(
            b"Ger\xc3\xa4t, K\xc3\xbchlung \xc3",
            "Gerät, Kühlung \u{fffd}",
            "UTF-8, with bytes that are no text",
        );
    }

    #[test]
    fn stray_nul_bytes_are_not_utf16() {
        check(b"a;b\0;c\nd;e;f\n", "a;b\0;c\nd;e;f\n", "UTF-8");
    }

    #[test]
    fn half_a_unit_and_a_lone_surrogate_are_damage() {
        let found = decode(b"\xff\xfea\0\x00\xd8b\0c".to_vec()).unwrap();
        assert_eq!(found.text, "a\u{fffd}b\u{fffd}");
        assert_eq!(
            found.told,
            "UTF-16, little-endian, with bytes that are no text"
        );
    }

    #[test]
    fn utf32_is_refused() {
        for bytes in [b"\xff\xfe\0\0a\0\0\0", b"\0\0\xfe\xff\0\0\0a"] {
            assert!(matches!(
                decode(bytes.to_vec()),
                Err(SheetProblem::Encoding("UTF-32"))
            ));
        }
    }

    #[test]
    fn what_does_not_fit_is_refused_before_it_is_decoded() {
        assert!(fits(100_000_000, 120_000_000).is_ok());
        assert!(matches!(
            fits(100_000_000, 300_000_000),
            Err(SheetProblem::TooLarge { has: 100, most: 57 })
        ));
    }
}
