//! Numbers below a hundred that are one word: "seven", "nineteen", "forty".
//!
//! Leaves out how such words stand together: that differs with what is read
//! ([`phrases`](crate::domain::judge::compare::phrases), [`said_volts`](crate::domain::judge::read::said_volts),
//! [`spoken_numbers`](crate::domain::judge::read::spoken_numbers)).

/// From zero on.
const ONES: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
/// From twenty on, in tens.
const TENS: [&str; 8] = [
    "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
];

/// Returns the number that a word is.
pub fn value(word: &str) -> Option<u32> {
    let ones = (0..).zip(ONES);
    let tens = (20..).step_by(10).zip(TENS);
    let mut all = ones.chain(tens);
    all.find(|(_, said)| *said == word).map(|(n, _)| n)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_its_number_or_none() {
        for (word, number) in [
            ("zero", Some(0)),
            ("one", Some(1)),
            ("nineteen", Some(19)),
            ("twenty", Some(20)),
            ("ninety", Some(90)),
            ("hundred", None),
            ("20", None),
            ("", None),
        ] {
            assert_eq!(value(word), number, "{word}");
        }
    }
}
