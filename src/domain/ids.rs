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
    fn parts_are_kept_apart() {
        assert_ne!(long_mark(["ab", "c"]), long_mark(["a", "bc"]));
        assert_eq!(short_mark(["x"]).len(), 8);
        assert_eq!(long_mark(["x"]).len(), 16);
        assert_eq!(long_mark(["x"])[..8], short_mark(["x"]));
        assert_eq!(format!("{:016x}", seed(["x"])), long_mark(["x"]));
    }
}
