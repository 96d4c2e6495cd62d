//! Texts by number: a text that comes again and again is kept once.
//!
//! Numbers are given in the order in which texts first come, so the same texts in the same order get
//! the same numbers everywhere.

/// No text has this number.
const FREE: u32 = u32::MAX;

/// Texts, each with its number from 0.
#[derive(Clone, Debug, Default)]
pub struct Names {
    texts: String,
    ends: Vec<usize>,
    /// Number and mark of each text, in a table with free places in it that is looked through from where
    /// the mark points to. So a table is widened without a look at the texts.
    slots: Vec<(u32, u32)>,
}

impl Names {
    /// Returns none yet, with room for so many texts of so many bytes together.
    pub(crate) fn with_room(texts: usize, bytes: usize) -> Self {
        let slots = (texts * 2 + 1).next_power_of_two().max(64);
        Self {
            texts: String::with_capacity(bytes),
            ends: Vec::with_capacity(texts),
            slots: vec![(FREE, 0); slots],
        }
    }

    /// Returns how many texts there are.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Tells whether there are none.
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// Returns the text numbered `number`; empty where there is none.
    pub fn get(&self, number: u32) -> &str {
        let at = number as usize;
        let Some(&end) = self.ends.get(at) else {
            return "";
        };
        let start = at.checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.texts[start..end]
    }

    /// Returns the number of `text`, a new one where it has none yet.
    pub fn number(&mut self, text: &str) -> u32 {
        if self.slots.len() <= self.ends.len() * 2 {
            self.widen();
        }
        let mark = mark(text);
        let at = self.place(text, mark);
        if self.slots[at].0 != FREE {
            return self.slots[at].0;
        }
        let number = u32::try_from(self.ends.len()).unwrap_or(FREE);
        self.texts.push_str(text);
        self.ends.push(self.texts.len());
        self.slots[at] = (number, mark);
        number
    }

    /// Returns the number of `text` where it has one.
    pub fn find(&self, text: &str) -> Option<u32> {
        if self.slots.is_empty() {
            return None;
        }
        let (number, _) = self.slots[self.place(text, mark(text))];
        (number != FREE).then_some(number)
    }

    /// Looks where these texts should be, and makes nothing of it: a processor waits for many places of
    /// its memory at once, and then finds each text fast.
    pub(crate) fn look_ahead<'a>(&self, texts: impl Iterator<Item = &'a str>) {
        if self.slots.is_empty() {
            return;
        }
        let last = self.slots.len() - 1;
        let seen = texts.fold(0_u8, |seen, text| {
            let (number, _) = self.slots[mark(text) as usize & last];
            let end = self.ends.get(number as usize).copied().unwrap_or(0);
            let byte = self.texts.as_bytes().get(end).copied();
            seen ^ byte.unwrap_or(0)
        });
        std::hint::black_box(seen);
    }

    /// Returns where `text` stands in the table, or the free place where it belongs.
    fn place(&self, text: &str, mark: u32) -> usize {
        let last = self.slots.len() - 1;
        let mut at = mark as usize & last;
        loop {
            let (number, other) = self.slots[at];
            if number == FREE || (other == mark && self.get(number) == text) {
                return at;
            }
            at = (at + 1) & last;
        }
    }

    fn widen(&mut self) {
        let wanted = (self.slots.len() * 2).max(64);
        let last = wanted - 1;
        let mut slots = vec![(FREE, 0); wanted];
        for &(number, mark) in self.slots.iter().filter(|slot| slot.0 != FREE) {
            let mut at = mark as usize & last;
            while slots[at].0 != FREE {
                at = (at + 1) & last;
            }
            slots[at] = (number, mark);
        }
        self.slots = slots;
    }
}

impl PartialEq for Names {
    fn eq(&self, other: &Self) -> bool {
        self.texts == other.texts && self.ends == other.ends
    }
}

/// Mixes the bytes of a text, eight at a time.
fn mark(text: &str) -> u32 {
    const ODD: u64 = 0x9e37_79b9_7f4a_7c15;
    let mut mixed = 0_u64;
    let (words, rest) = text.as_bytes().as_chunks::<8>();
    for word in words {
        mixed = (mixed.rotate_left(5) ^ u64::from_le_bytes(*word)).wrapping_mul(ODD);
    }
    let mut last = [0; 8];
    last[..rest.len()].copy_from_slice(rest);
    mixed = (mixed.rotate_left(5) ^ u64::from_le_bytes(last)).wrapping_mul(ODD);
    mixed ^= mixed >> 29;
    let [a, b, c, d, ..] = mixed.wrapping_mul(ODD).to_be_bytes();
    u32::from_be_bytes([a, b, c, d])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::HashMap;

    proptest! {
        /// A text keeps its number, and the number gives the text.
        #[test]
        fn numbers_are_given_in_order_and_kept(texts in prop::collection::vec("[a-c]{0,9}", 0..200)) {
            let mut names = Names::default();
            let mut plain: HashMap<String, u32> = HashMap::new();
            for text in texts {
                let next = u32::try_from(plain.len()).unwrap();
                names.look_ahead([text.as_str(), "none"].into_iter());
                prop_assert_eq!(names.find(&text), plain.get(&text).copied());
                let expected = *plain.entry(text.clone()).or_insert(next);
                prop_assert_eq!(names.number(&text), expected);
                prop_assert_eq!(names.get(expected), text.as_str());
            }
            prop_assert_eq!(names.len(), plain.len());
        }
    }
}
