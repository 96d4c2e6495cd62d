//! Reading text in a layout that is known byte for byte, from left to right.
//!
//! Every step gives nothing where the text is not exactly as expected: the caller then leaves it to a
//! reader that takes any JSON and says what is wrong.

/// What is left of a line.
pub(crate) struct Rest<'a>(&'a str);

impl<'a> Rest<'a> {
    /// Starts at the beginning of `text`.
    pub(crate) fn new(text: &'a str) -> Self {
        Self(text)
    }

    /// Tells whether nothing is left.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Takes `expected`, if it comes next.
    #[inline]
    pub(crate) fn take(&mut self, expected: &str) -> Option<()> {
        self.0 = self.0.strip_prefix(expected)?;
        Some(())
    }

    /// Takes so many bytes.
    #[inline]
    pub(crate) fn bytes(&mut self, n: usize) -> Option<&'a str> {
        let (taken, rest) = self.0.split_at_checked(n)?;
        self.0 = rest;
        Some(taken)
    }

    /// A text without escapes, up to its closing quote, which is taken too.
    #[inline]
    pub(crate) fn text(&mut self) -> Option<&'a str> {
        let bytes = self.0.as_bytes();
        let end = first_special(bytes)?;
        if bytes[end] != b'"' {
            return None;
        }
        let text = &self.0[..end];
        self.0 = &self.0[end + 1..];
        Some(text)
    }

    /// The digits of a whole number, without a leading zero.
    #[inline]
    pub(crate) fn number(&mut self) -> Option<&'a str> {
        let bytes = self.0.as_bytes();
        let end = bytes
            .iter()
            .position(|b| !b.is_ascii_digit())
            .unwrap_or(bytes.len());
        if end == 0 || (end > 1 && bytes[0] == b'0') {
            return None;
        }
        // A number goes on after its digits where a point or an exponent follows; the text that is
        // expected next does not fit then.
        self.bytes(end)
    }

    /// Takes `true` or `false`.
    #[inline]
    pub(crate) fn flag(&mut self) -> Option<bool> {
        if self.take("true").is_some() {
            Some(true)
        } else {
            self.take("false").map(|()| false)
        }
    }

    /// Takes a number as JSON writes it.
    pub(crate) fn real(&mut self) -> Option<f64> {
        let bytes = self.0.as_bytes();
        let digits = |from: usize| {
            let rest = bytes.get(from..).unwrap_or(&[]);
            from + rest.iter().take_while(|b| b.is_ascii_digit()).count()
        };
        let start = usize::from(bytes.first() == Some(&b'-'));
        let mut end = digits(start);
        if end == start || (end > start + 1 && bytes[start] == b'0') {
            return None;
        }
        if bytes.get(end) == Some(&b'.') {
            let after = digits(end + 1);
            if after == end + 1 {
                return None;
            }
            end = after;
        }
        if matches!(bytes.get(end), Some(b'e' | b'E')) {
            let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
            let after = digits(end + 1 + sign);
            if after == end + 1 + sign {
                return None;
            }
            end = after;
        }
        let number: f64 = self.bytes(end)?.parse().ok()?;
        number.is_finite().then_some(number)
    }

    /// Takes the items of a list whose opening bracket was taken, with its closing one.
    pub(crate) fn list<T>(
        &mut self,
        mut item: impl FnMut(&mut Self) -> Option<T>,
    ) -> Option<Vec<T>> {
        let mut found = Vec::new();
        if self.take("]").is_some() {
            return Some(found);
        }
        loop {
            found.push(item(self)?);
            if self.take("]").is_some() {
                return Some(found);
            }
            self.take(",")?;
        }
    }
}

/// Returns where the first quote, backslash or control character stands; eight bytes are looked at a time.
fn first_special(bytes: &[u8]) -> Option<usize> {
    const ONES: u64 = 0x0101_0101_0101_0101;
    const TOPS: u64 = ONES << 7;
    // The top bit of each byte that is zero, and perhaps of some above the first of them.
    let zeros = |word: u64| word.wrapping_sub(ONES) & !word;
    let (words, rest) = bytes.as_chunks::<8>();
    for (n, word) in words.iter().enumerate() {
        let word = u64::from_le_bytes(*word);
        let quotes = zeros(word ^ (ONES * u64::from(b'"')));
        let slashes = zeros(word ^ (ONES * u64::from(b'\\')));
        let controls = word.wrapping_sub(ONES * 0x20) & !word;
        let found = (quotes | slashes | controls) & TOPS;
        if found != 0 {
            return Some(n * 8 + found.trailing_zeros() as usize / 8);
        }
    }
    let special = |b: &u8| *b == b'"' || *b == b'\\' || *b < 0x20;
    let at = rest.iter().position(special)?;
    Some(bytes.len() - rest.len() + at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Eight bytes at a time or one by one, the same is found.
        #[test]
        fn the_first_special_byte_is_found_wherever_it_stands(
            bytes in prop::collection::vec(prop_oneof![8 => 0x20..=0xff_u8, 1 => any::<u8>()], 0..40),
        ) {
            let plain = bytes.iter().position(|b| *b == b'"' || *b == b'\\' || *b < 0x20);
            prop_assert_eq!(first_special(&bytes), plain);
        }
    }
}
