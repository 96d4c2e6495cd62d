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
    /// A table with free places in it, looked through from where the mark of a text points to.
    slots: Vec<u32>,
}

impl Names {
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
        let at = self.place(text);
        if self.slots[at] != FREE {
            return self.slots[at];
        }
        let number = u32::try_from(self.ends.len()).expect("fewer texts than memory holds");
        self.texts.push_str(text);
        self.ends.push(self.texts.len());
        self.slots[at] = number;
        number
    }

    /// Returns the number of `text` where it has one.
    pub fn find(&self, text: &str) -> Option<u32> {
        if self.slots.is_empty() {
            return None;
        }
        let number = self.slots[self.place(text)];
        (number != FREE).then_some(number)
    }

    /// Returns where `text` stands in the table, or the free place where it belongs.
    fn place(&self, text: &str) -> usize {
        let last = self.slots.len() - 1;
        let mut at = mark(text) & last;
        while self.slots[at] != FREE && self.get(self.slots[at]) != text {
            at = (at + 1) & last;
        }
        at
    }

    fn widen(&mut self) {
        let wanted = (self.slots.len() * 2).max(64);
        self.slots = vec![FREE; wanted];
        for number in 0..self.ends.len() {
            let number = u32::try_from(number).expect("it was given as one");
            let at = self.place(self.get(number));
            self.slots[at] = number;
        }
    }
}

impl PartialEq for Names {
    fn eq(&self, other: &Self) -> bool {
        self.texts == other.texts && self.ends == other.ends
    }
}

/// Mixes the bytes of a text, eight at a time.
fn mark(text: &str) -> usize {
    const ODD: u64 = 0x9e37_79b9_7f4a_7c15;
    let mut mixed = 0_u64;
    for bytes in text.as_bytes().chunks(8) {
        let mut word = [0; 8];
        word[..bytes.len()].copy_from_slice(bytes);
        mixed = (mixed.rotate_left(5) ^ u64::from_le_bytes(word)).wrapping_mul(ODD);
    }
    // The upper half is the better mixed one.
    usize::try_from(mixed >> 32).unwrap_or(0)
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
                prop_assert_eq!(names.find(&text), plain.get(&text).copied());
                let expected = *plain.entry(text.clone()).or_insert(next);
                prop_assert_eq!(names.number(&text), expected);
                prop_assert_eq!(names.get(expected), text.as_str());
            }
            prop_assert_eq!(names.len(), plain.len());
        }
    }
}
