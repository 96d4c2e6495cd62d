//! Short, stable marks made from content.
//!
//! A mark is the head of a SHA-256 over the parts, each followed by a byte that no text contains, so
//! that ("ab", "c") and ("a", "bc") differ. Not a secret and not a signature.

use sha2::Digest;
use sha2::Sha256;

/// Returns the first 16 hexadecimal digits of the mark of `parts` (card ids).
pub fn long_mark<'a>(parts: impl IntoIterator<Item = &'a str>) -> String {
    format!("{:016x}", seed(parts))
}

/// Returns the first 8 hexadecimal digits of the mark of `parts` (what a front or an answer was).
pub fn short_mark<'a>(parts: impl IntoIterator<Item = &'a str>) -> String {
    format!("{:08x}", seed(parts) >> 32)
}

/// Returns a 64-bit number made from `parts`, to draw seeded chance from.
pub fn seed<'a>(parts: impl IntoIterator<Item = &'a str>) -> u64 {
    digest(parts)
        .iter()
        .take(8)
        .fold(0, |sum, byte| (sum << 8) | u64::from(*byte))
}

/// Returns a 128-bit number made from `parts`, for telling texts apart by it alone.
pub fn wide_mark<'a>(parts: impl IntoIterator<Item = &'a str>) -> u128 {
    digest(parts)
        .iter()
        .take(16)
        .fold(0, |sum, byte| (sum << 8) | u128::from(*byte))
}

/// Returns `text` as an id or a part of a file name: small letters and digits with hyphens between, at
/// most 40; letters with marks lose them, and where nothing is left it is empty.
pub fn slug(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        match plain(c) {
            Some(plain) => out.push_str(plain),
            None if c.is_ascii_alphanumeric() => out.push(c),
            None if !out.is_empty() && !out.ends_with('-') => out.push('-'),
            None => {}
        }
        if out.len() >= 40 {
            break;
        }
    }
    out.truncate(40);
    out.trim_end_matches('-').to_owned()
}

/// Returns how a letter with a mark is spelled without it.
fn plain(c: char) -> Option<&'static str> {
    Some(match c {
        'ä' | 'æ' => "ae",
        'ö' | 'ø' | 'œ' => "oe",
        'ü' => "ue",
        'ß' => "ss",
        'à' | 'á' | 'â' | 'ã' | 'å' => "a",
        'ç' => "c",
        'è' | 'é' | 'ê' | 'ë' => "e",
        'ì' | 'í' | 'î' | 'ï' => "i",
        'ñ' => "n",
        'ò' | 'ó' | 'ô' | 'õ' => "o",
        'ù' | 'ú' | 'û' => "u",
        _ => return None,
    })
}

fn digest<'a>(parts: impl IntoIterator<Item = &'a str>) -> Vec<u8> {
    let mut hasher = Sha256::new();
    for part in parts {
        hasher.update(part.as_bytes());
        hasher.update([0xff]);
    }
    hasher.finalize().to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slug_holds_nothing_but_letters_digits_and_hyphens() {
        for (text, slug_of_it) in [
            ("Petrel P4", "petrel-p4"),
            ("../../etc/Über Liste.csv", "etc-ueber-liste-csv"),
            ("..", ""),
            ("old jobs 2019.xlsx#Bay 1", "old-jobs-2019-xlsx-bay-1"),
        ] {
            assert_eq!(slug(text), slug_of_it);
        }
        assert!(slug(&"ab ".repeat(40)).len() <= 40);
    }

    #[test]
    fn parts_are_kept_apart() {
        assert_ne!(long_mark(["ab", "c"]), long_mark(["a", "bc"]));
        assert_eq!(short_mark(["x"]).len(), 8);
        assert_eq!(long_mark(["x"]).len(), 16);
        assert_eq!(long_mark(["x"])[..8], short_mark(["x"]));
        assert_eq!(format!("{:016x}", seed(["x"])), long_mark(["x"]));
    }
}
