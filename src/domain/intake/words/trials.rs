//! Tests done by hand that no number tells of: torch, flex, freeze spray.
//!
//! Common practice, no source. The name of a test is kept as it was written; so is what it showed.

use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::sense::Sense;

/// Adds the words.
pub fn add(lexicon: &mut Lexicon) {
    for words in TRIALS {
        lexicon.add_all(words, &Sense::Trial);
    }
}

const TRIALS: [&str; 4] = [
    "torch test|flashlight test|flash light test|light test|flex test|twist test|bend test|press test|pressure test|squeeze test|push test|tap test|knock test|wiggle test|shake test|pull test|freeze spray|freezer spray|freeze test|freezer test|cold spray|cold test|freezing spray|hot air test|heat gun test|heat test|hair dryer test|hairdryer test|warm-up test",
    "load test|dummy load test|loopback test|loop-back test|loop back test|self test|self-test|memory test|ram test|lamp test|touch test|audio test|sound test|substitution test|donor test|swap test|battery test|cable test|leak test|vibration test|esr test|insulation test|isolation test|magnet test|smoke test|rosin test|alcohol test|ipa test|finger test|range test|ping test|display test|keypad test|sensor test|signal injection",
    "taschenlampentest|lampentest|taschenlampe|biegetest|verwindungstest|drucktest|klopftest|wackeltest|rütteltest|zugtest|kältespray|eisspray|kältetest|wärmetest|heißlufttest|föhntest|fön test|föhn test",
    "lasttest|belastungstest|schleifentest|selbsttest|speichertest|ram-test|tontest|tauschtest|quertausch|akkutest|kabeltest|isolationstest|esr-test|vibrationstest|fingertest|displaytest|tastentest|sensortest|pingtest|kolofoniumtest|alkoholtest",
];
