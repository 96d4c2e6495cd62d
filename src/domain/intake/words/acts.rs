//! Verbs of repair, English and German, with the abbreviations of the bench.
//!
//! Common practice, no source. The list of `judge::acts` serves what a person types in a drill, where
//! a verb is a wish; here it is a deed, so participles and nouns count and German is read too.

use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::Sense;

/// Adds the words.
pub fn add(lexicon: &mut Lexicon) {
    for (verbs, act) in VERBS {
        lexicon.add_verbs(verbs, &Sense::Act(act));
    }
    for (words, act) in WORDS {
        lexicon.add_all(words, &Sense::Act(act));
    }
    for (words, act) in WEAK {
        lexicon.add_all(words, &Sense::WeakAct(act));
    }
    lexicon.add_all(TEST_ONLY, &Sense::Cue(Cue::OnlyToTest));
    lexicon.add_all(CHECKS, &Sense::Filler);
    lexicon.add_verbs(CHECK_VERBS, &Sense::Filler);
}

/// English verbs, in all their forms.
const VERBS: [(&str, &str); 10] = [
    (
        "replace|replc|rplc|rplce|repl|rpl|renew|swap|swap out|swop|exchange|substitute|change|change out|chg out",
        "replace",
    ),
    (
        "reflow|re-flow|resolder|re-solder|retouch|touch up|rework|re-work|rflw|rflow|refl",
        "reflow",
    ),
    ("reball|re-ball", "reball"),
    (
        "bridge|jumper|bypass|strap|bodge|link out|wire across|hardwire",
        "bridge-or-jumper",
    ),
    (
        "remove|desolder|unsolder|depopulate|omit|pull off|pull out|lift off|rem",
        "remove",
    ),
    (
        "clean|clean up|clean off|wash|scrub|rinse|decontaminate|ultrasonic|brush|brush off|deoxidize|degrease",
        "clean",
    ),
    ("reseat|re-seat|replug|re-plug|remate|re-mate", "reseat"),
    (
        "reflash|re-flash|reprogram|re-program|reprogramm|flash|reload firmware|reload fw|rewrite|restore firmware|update firmware|update fw|reinstall firmware",
        "reprogram-firmware",
    ),
    (
        "recalibrate|re-calibrate|recal|re-cal|calibrate",
        "recalibrate",
    ),
    (
        "rebuild pad|rebuild pads|rebuild trace|rebuild|repair trace|repair pad|repair via|repair track|repair traces|repair the trace|repair the pad|restore trace|restore pad|rebuild the pad|mend trace|mend track",
        "rebuild-pad-or-trace",
    ),
];

/// Whole words: clipped, irregular, German.
const WORDS: [(&str, &str); 22] = [
    (
        "replacement|rplcd|rpld|repld|repd|replcd|rplacd|swpd|swp|swaped|swapt|chngd|chgd|fitted new|fit new|fitted a new|fit a new|new one fitted|installed new|installed a new|put in new|put in a new|put a new|put new|replaces|r/r|r&r",
        "replace",
    ),
    (
        "getauscht|ausgetauscht|ersetzt|erneuert|gewechselt|ausgewechselt|tausch|austausch|ersatz|tauschen|ersetzen|erneuern|wechsel|neu eingelötet|neu bestückt|getausch|getauscht gegen neu|neu eingebaut|neu eingesetzt|gegen neu getauscht|gegen neuen getauscht|gegen neue getauscht|ausget|getsch|ers",
        "replace",
    ),
    (
        "rflwd|rflwed|rfld|reflo|reflwd|re flowed|resldrd|resoldr",
        "reflow",
    ),
    (
        "nachgelötet|nachlöten|nachgel|neu verlötet|neu gelötet|nachgelotet|aufgeschmolzen|reflowt|gereflowt|umgeschmolzen|lötstelle erneuert|lötstellen erneuert|lötstellen nachgelötet|lötstelle nachgelötet|verlötet",
        "reflow",
    ),
    ("rebld|rbld|neu gekugelt|rebal|gereballt|reballt", "reball"),
    (
        "wire link|bodge wire|jumper wire|patch wire|ran a wire|ran wire|wired across|linked across|linked out|jmpr|jmprd|jumperd|brücke gelegt|überbrückt|gebrückt|drahtbrücke|brücke eingelötet|fädeldraht|fädeldraht gelegt|überbrücken|kurzgeschlossen mit draht",
        "bridge-or-jumper",
    ),
    (
        "took off|taken off|took out|taken out|rmvd|rmd|remvd|rmved|pulled|lifted off|left out|taken away|off the board",
        "remove",
    ),
    (
        "entfernt|ausgelötet|ausgebaut|abgelötet|entlötet|weggelassen|rausgenommen|herausgenommen|ausgel|runtergelötet|entfernen|ausgelotet",
        "remove",
    ),
    (
        "clnd|cln|clned|cleand|cleaning|scrubbed|ipa|ipa clean|ipa cleaned|ipad|usc|us bath|ultrasonic clean|ultrasonic bath|ultrasonic cleaned|cleaned and dried|clnd & dried|cleaned & dried|clnd and dried|ultrasonicd",
        "clean",
    ),
    (
        "gereinigt|reinigung|gewaschen|geputzt|gesäubert|gerein|reinigen|im ultraschall|ultraschall|ultraschallbad|us-bad|abgewaschen|gebürstet|ger",
        "clean",
    ),
    (
        "refitted|reseatd|rstd|plugged back|re seated|reconnected",
        "reseat",
    ),
    (
        "neu gesteckt|nachgesteckt|neu eingesteckt|wieder eingesteckt|umgesteckt|wieder aufgesteckt|neu aufgesteckt|neu kontaktiert",
        "reseat",
    ),
    (
        "reflashd|rflsh|rflshd|fw reflashd|fw reflashed|fw reflash|fw reflashing|fw flashed|fw flash|firmware flashed|firmware reflashed|fw update|fw updated|firmware update|firmware updated|fw reloaded|firmware reloaded|bios flashed|bios reflashed|bios reprogrammed|reprogd|reprog|reprogrammed|prog'd|image restored|image rewritten|fw reprogrammed|firmware reprogrammed|new firmware|new fw",
        "reprogram-firmware",
    ),
    (
        "neu geflasht|geflasht|neu programmiert|firmware neu|firmware aufgespielt|fw aufgespielt|fw neu|fw neu aufgespielt|firmware neu aufgespielt|neu aufgespielt|umprogrammiert|firmware geflasht|fw geflasht|bios geflasht|bios neu geflasht|neu bespielt|fw neu geflasht|firmware neu geflasht",
        "reprogram-firmware",
    ),
    (
        "recald|re-cald|recal'd|recalibr|cal'd|neu kalibriert|kalibriert|kalibrierung|neu abgeglichen|abgeglichen|abgleich|nachkalibriert|justiert",
        "recalibrate",
    ),
    (
        "rebuilt pad|rebuilt pads|rebuilt trace|rebuilt the pad|rebuilt the trace|rebuilt|trace repaired|trace repair|track repaired|track repair|pad repaired|pad repair|pad rebuilt|pads rebuilt|trace rebuilt|traces repaired|via repaired|via repair|repaired trace|repaired pad|repaired track|repaired via",
        "rebuild-pad-or-trace",
    ),
    (
        "leiterbahn repariert|leiterbahn geflickt|leiterbahn erneuert|pad repariert|pad erneuert|pads erneuert|leiterbahn wiederhergestellt|lötauge erneuert|durchkontaktierung repariert|leiterbahn ausgebessert|lötpad erneuert",
        "rebuild-pad-or-trace",
    ),
    (
        "new connector|new plug|new socket|new jack|connector replaced|stecker neu|stecker erneuert|stecker getauscht|buchse getauscht|buchse erneuert|buchse neu|stecker ersetzt|buchse ersetzt|new conn",
        "replace-connector",
    ),
    (
        "conn replaced|conn repl|plug replaced|socket replaced|jack replaced",
        "replace-connector",
    ),
    (
        "nothing done|no action|no repair done|nichts gemacht|nichts unternommen",
        "none",
    ),
    ("dried|getrocknet|trocknen|drying", "other"),
    (
        "tightened|festgezogen|glued|geklebt|straightened|gerichtet|trimmed|adjusted|eingestellt",
        "other",
    ),
];

/// Count only where something is named that they were done to.
const WEAK: [(&str, &str); 6] = [
    ("new|neu|neue|neuer|neues|neuen|nw", "replace"),
    (
        "fit|fitted|install|installed|eingebaut|eingesetzt|eingelötet|bestückt",
        "replace",
    ),
    ("soldered|solder|gelötet", "reflow"),
    ("lift|lifted|took|pull", "remove"),
    ("repaired|repair|mended|repariert|instandgesetzt", "other"),
    ("shorted out", "bridge-or-jumper"),
];

/// Only to see what happens.
const TEST_ONLY: &str = "2 test|to test|for test|for testing|test only|only to test|zum test|zum testen|testweise|as a test|temporarily|provisorisch|vorübergehend";

/// Looking is no repair.
const CHECK_VERBS: &str = "check|chk|measure|meas|test|retest|re-test|inspect|verify|probe|confirm|recheck|monitor|look|compare|found|find|trace";

/// Looking is no repair: German, clipped.
const CHECKS: &str = "measured|gemessen|geprüft|prüfung|getestet|messung|kontrolliert|gefunden|gesehen|gesucht|tested|chkd|msrd|mess";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::ACTS;

    #[test]
    fn every_act_is_in_the_vocabulary_of_jobs() {
        let all = VERBS.iter().chain(&WORDS).chain(&WEAK);
        for (words, act) in all {
            assert!(ACTS.contains(act), "{words}");
        }
    }
}
