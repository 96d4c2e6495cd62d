//! German nouns written as one word with what stands before them: Eingangssicherung, Netzteilelko.
//!
//! Not likeness: the word must end in exactly one of these nouns, and the whole word stays the name.
//! Common practice, no source.

use crate::domain::intake::words::sense::Sense;

/// Returns what a folded word means by the noun that it ends in.
pub fn noun_of(word: &str) -> Option<&'static [Sense]> {
    ENDINGS
        .iter()
        .find(|(noun, _)| word.len() >= noun.len() + SHORTEST && word.ends_with(noun))
        .map(|(_, senses)| *senses)
}

/// Bytes of what stands before the noun.
const SHORTEST: usize = 3;

/// (ending, its meaning); of two that fit the longer stands first.
const ENDINGS: [(&str, &[Sense]); 38] = [
    ("spannungsregler", &[Sense::Noun("regulator")]),
    ("schaltregler", &[Sense::Noun("switcher")]),
    ("regler", &[Sense::Noun("regulator")]),
    ("sicherung", &[Sense::Noun("fuse")]),
    ("sicherungen", &[Sense::Noun("fuse")]),
    ("diode", &[Sense::Noun("diode")]),
    ("dioden", &[Sense::Noun("diode")]),
    ("buchse", &[Sense::Noun("connector")]),
    ("buchsen", &[Sense::Noun("connector")]),
    ("stecker", &[Sense::Noun("connector")]),
    ("klemme", &[Sense::Noun("connector")]),
    ("elko", &[Sense::Noun("capacitor")]),
    ("elkos", &[Sense::Noun("capacitor")]),
    ("kondensator", &[Sense::Noun("capacitor")]),
    ("kondensatoren", &[Sense::Noun("capacitor")]),
    ("drossel", &[Sense::Noun("inductor")]),
    ("spule", &[Sense::Noun("inductor")]),
    ("widerstand", &[Sense::Noun("resistor")]),
    ("widerstände", &[Sense::Noun("resistor")]),
    ("widerstaende", &[Sense::Noun("resistor")]),
    ("relais", &[Sense::Noun("relay")]),
    ("treiber", &[Sense::Noun("driver")]),
    ("wandler", &[Sense::Noun("switcher")]),
    ("transistor", &[Sense::Noun("transistor")]),
    ("transistoren", &[Sense::Noun("transistor")]),
    ("mosfet", &[Sense::Noun("fet")]),
    ("mosfets", &[Sense::Noun("fet")]),
    ("quarz", &[Sense::Noun("crystal")]),
    ("kabel", &[Sense::Noun("cable")]),
    ("sensor", &[Sense::Noun("sensor")]),
    ("fühler", &[Sense::Noun("sensor")]),
    ("schalter", &[Sense::Noun("button")]),
    ("taster", &[Sense::Noun("button")]),
    ("lüfter", &[Sense::Noun("fan")]),
    ("trafo", &[Sense::Noun("transformer")]),
    ("gleichrichter", &[Sense::Noun("rectifier")]),
    ("verstärker", &[Sense::Noun("amplifier")]),
    ("baustein", &[Sense::Noun("ic")]),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_compound_means_what_its_last_noun_means() {
        let noun = |word| noun_of(word).and_then(|s| s.first());
        assert_eq!(noun("eingangssicherung"), Some(&Sense::Noun("fuse")));
        assert_eq!(
            noun("hilfsspannungsregler"),
            Some(&Sense::Noun("regulator"))
        );
        for word in ["elko", "unregler", "sicherungsfach", "kabelig"] {
            assert_eq!(noun(word), None, "{word}");
        }
    }
}
