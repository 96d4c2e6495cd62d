//! The words of sheets and benches, in more than one language, and what they mean here.
//!
//! Built-in tables: common practice, no source. A shop adds its own under `sheet_words` in shop.json.

use std::collections::BTreeMap;

/// The tables as one shop has them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words {
    shop: BTreeMap<String, BTreeMap<String, String>>,
}

impl Words {
    /// Returns the built-in tables with a shop's own words before them.
    pub fn with_shop(shop: &BTreeMap<String, BTreeMap<String, String>>) -> Self {
        Self { shop: shop.clone() }
    }

    /// Returns what a shop's own table says of `word`.
    pub fn of_shop(&self, table: &str, word: &str) -> Option<&str> {
        self.shop.get(table)?.get(word).map(String::as_str)
    }
}
