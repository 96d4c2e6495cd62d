//! The mark of a unit: keyed, and not to be turned back into the serial it was made from.
//!
//! HMAC-SHA-256 (RFC 2104, FIPS 180-4) under the shop's own key, its first 64 bits as 16 hexadecimal
//! digits: among 100,000 units the chance that any two share a mark is about 3 in ten thousand
//! million. Without the key a list of likely serials cannot be tried.

use hmac::Hmac;
use hmac::KeyInit;
use hmac::Mac;
use sha2::Sha256;

/// Returns the mark of `serial` under `key` (the shop's `unit_key`, as written); none where the serial
/// has no letter or digit.
///
/// Letters count alike large or small; everything but letters and digits is passed over, because one
/// label is typed `PX 12-044` today and `px12044` tomorrow.
pub fn unit_mark(key: &str, serial: &str) -> Option<String> {
    let plain: String = serial
        .chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .collect();
    if plain.is_empty() {
        return None;
    }
    let digest = sum(key.as_bytes(), plain.as_bytes());
    let first = digest.first_chunk()?;
    Some(format!("{:016x}", u64::from_be_bytes(*first)))
}

fn sum(key: &[u8], text: &[u8]) -> [u8; 32] {
    let mut mac = Hmac::<Sha256>::new_from_slice(key).expect("a key of any length is taken");
    mac.update(text);
    mac.finalize().into_bytes().into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sums_are_those_of_the_standard() {
        // RFC 4231, test cases 1 and 2.
        let first = |sum: [u8; 32]| u128::from_be_bytes(*sum.first_chunk().unwrap());
        assert_eq!(
            first(sum(&[0x0b; 20], b"Hi There")),
            0xb034_4c61_d8db_3853_5ca8_afce_af0b_f12b
        );
        assert_eq!(
            first(sum(b"Jefe", b"what do ya want for nothing?")),
            0x5bdc_c146_bf60_754e_6a04_2426_0895_75c7
        );
    }

    #[test]
    fn one_label_typed_in_several_ways_is_one_unit() {
        let key = "000102030405060708090a0b0c0d0e0f";
        let mark = unit_mark(key, "PX 12-044");
        assert_eq!(mark.as_ref().map(String::len), Some(16));
        assert_eq!(mark, unit_mark(key, " px12044\n"));
        assert_ne!(mark, unit_mark(key, "PX 12-045"));
        assert_ne!(
            mark,
            unit_mark("0f", "PX 12-044"),
            "another shop, another mark"
        );
        assert_eq!(unit_mark(key, " -/ "), None);
    }
}
