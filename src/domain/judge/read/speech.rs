//! Bench words of a second language, turned into those that the other tables know.
//!
//! A person who thinks in German types German words among English ones. Words of doing, of
//! denying and the plainest things of a bench are known; everything else stays as typed. Word list: common practice, no source.

use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

/// (how a German word contains it, the word it stands for); the first that fits counts.
const STEMS: [(&str, &str); 85] = [
    ("br\u{fc}ck", "bridge"),
    ("brueck", "bridge"),
    ("kurzschlie", "short"),
    ("kurzgeschlossen", "shorted"),
    ("umgehen", "bypass"),
    ("umgangen", "bypassed"),
    ("sicherung", "fuse"),
    ("austausch", "replace"),
    ("ausgetauscht", "replaced"),
    ("tauschen", "replace"),
    ("getauscht", "replaced"),
    ("ersetz", "replace"),
    ("erneuer", "replace"),
    ("wechseln", "replace"),
    ("gewechselt", "replaced"),
    ("nachl\u{f6}t", "reflow"),
    ("nachgel\u{f6}t", "reflowed"),
    ("nachloet", "reflow"),
    ("anl\u{f6}t", "solder"),
    ("reinig", "clean"),
    ("putzen", "clean"),
    ("s\u{e4}uber", "clean"),
    ("gr\u{f6}\u{df}er", "bigger"),
    ("groesser", "bigger"),
    ("st\u{e4}rker", "stronger"),
    ("staerker", "stronger"),
    ("verbunden", "linked"),
    ("verbinden", "link"),
    ("anstech", "pierce"),
    ("angestochen", "pierced"),
    ("aufstech", "pierce"),
    ("durchstech", "pierce"),
    ("aufladen", "charge"),
    ("aufgebl\u{e4}ht", "swollen"),
    ("aufgequollen", "swollen"),
    ("geschwollen", "swollen"),
    ("kondensator", "capacitor"),
    ("entladen", "discharge"),
    ("entlade", "discharge"),
    ("schraubendreher", "screwdriver"),
    ("schraubenzieher", "screwdriver"),
    ("pinzette", "tweezers"),
    ("widerstand", "resistor"),
    ("deckelschalter", "lid switch"),
    ("t\u{fc}rschalter", "door switch"),
    ("klebeband", "tape"),
    ("umwickel", "wrap"),
    ("alufolie", "foil"),
    ("\u{fc}berspannungsschutz", "tvs"),
    ("flicken", "mend"),
    ("netzteil", "power supply"),
    ("temperaturschalter", "thermal switch"),
    ("thermoschalter", "thermal switch"),
    ("betreib", "run"),
    ("f\u{f6}hn", "hairdryer"),
    ("entsorg", "dispose"),
    ("weitermachen", "continue"),
    ("aufh\u{f6}ren", "stop"),
    ("abbrechen", "stop"),
    ("ausstecken", "unplug"),
    ("eingesteckt", "plugged in"),
    ("eingeschaltet", "switched on"),
    ("schutzleiter", "earth"),
    ("l\u{fc}fter", "fan"),
    ("stecker", "plug"),
    ("buchse", "socket"),
    ("drossel", "inductor"),
    ("uhrenquarz", "clock crystal"),
    ("quarz", "crystal"),
    ("messen", "measure"),
    ("pr\u{fc}fen", "check"),
    ("\u{fc}berlist", "fool"),
    ("ueberlist", "fool"),
    ("magnetic", "magnetics"),
    ("magnet", "magnet"),
    ("abklemm", "disconnect"),
    ("weglass", "leave out"),
    ("weggelass", "left out"),
    ("l\u{f6}tzinn", "solder"),
    ("b\u{fc}roklammer", "paperclip"),
    ("schutzbrille", "glasses"),
    ("strippe", "wire"),
    ("glimm", "glow"),
    ("qualm", "smoke"),
    ("\u{fc}berlast", "overload"),
];

/// (a whole German word, the words it stands for).
///
/// What is an English word as well stays out, whatever it means in the other language.
const WHOLE: [(&str, &str); 89] = [
    ("ohne", "without"),
    ("statt", "instead of"),
    ("anstatt", "instead of"),
    ("anstelle", "instead of"),
    ("nicht", "not"),
    ("kein", "no"),
    ("keine", "no"),
    ("keinen", "no"),
    ("keiner", "no"),
    ("nie", "never"),
    ("niemals", "never"),
    ("nein", "no"),
    ("und", "and"),
    ("oder", "or"),
    ("aber", "but"),
    ("dann", "then"),
    ("mit", "with"),
    ("auf", "on"),
    ("\u{fc}ber", "over"),
    ("durch", "by"),
    ("bei", "at"),
    ("nur", "only"),
    ("neu", "new"),
    ("neue", "new"),
    ("neuer", "new"),
    ("neuen", "new"),
    ("neues", "new"),
    ("raus", "out"),
    ("weg", "off"),
    ("rein", "in"),
    ("kaputt", "dead"),
    ("defekt", "dead"),
    ("draht", "wire"),
    ("direkt", "direct"),
    ("akku", "pack"),
    ("batterie", "battery"),
    ("zelle", "cell"),
    ("elko", "capacitor"),
    ("elkos", "capacitors"),
    ("nadel", "needle"),
    ("zange", "pliers"),
    ("laden", "charge"),
    ("l\u{f6}ten", "solder"),
    ("netz", "mains"),
    ("netzspannung", "mains"),
    ("spannung", "voltage"),
    ("alkohol", "alcohol"),
    ("ofen", "oven"),
    ("hei\u{df}", "hot"),
    ("heizen", "heat"),
    ("foto", "photo"),
    ("fotos", "photos"),
    ("beide", "both"),
    ("beiden", "both"),
    ("seiten", "sides"),
    ("seite", "side"),
    ("erst", "first"),
    ("zuerst", "first"),
    ("weiter", "continue"),
    ("taste", "button"),
    ("taster", "button"),
    ("schalter", "switch"),
    ("l\u{f6}tstelle", "joint"),
    ("spiritus", "spirit"),
    ("dran", "connected"),
    ("bleibt", "stays"),
    ("bleiben", "stay"),
    ("kann", "can"),
    ("darf", "can"),
    ("ich", "i"),
    ("wenn", "if"),
    ("bis", "until"),
    ("montag", "monday"),
    ("nehmen", "use"),
    ("nehme", "use"),
    ("st\u{fc}ck", "piece"),
    ("folie", "foil"),
    ("nagel", "nail"),
    ("m\u{fc}nze", "coin"),
    ("lampe", "lamp"),
    ("brille", "glasses"),
    ("deckel", "lid"),
    ("strom", "power"),
    ("reicht", "enough"),
    ("minuten", "minutes"),
    ("lassen", "leave"),
    ("lass", "leave"),
    ("benzin", "petrol"),
    ("geht", "fine"),
];

/// Plain words as they are said and not written: (said, meant).
const CASUAL: [(&str, &str); 22] = [
    ("nope", "no"),
    ("nah", "no"),
    ("naw", "no"),
    ("nay", "no"),
    ("aint", "isnt"),
    ("til", "until"),
    ("till", "until"),
    ("cos", "because"),
    ("cuz", "because"),
    ("coz", "because"),
    ("nowt", "nothing"),
    ("owt", "anything"),
    ("summat", "something"),
    ("meself", "myself"),
    ("em", "them"),
    ("gonna", "going to"),
    ("accu", "battery"),
    ("accus", "batteries"),
    ("werent", "arent"),
    ("noone", "nobody"),
    ("elektriker", "electrician"),
    ("elektrikerin", "electrician"),
];

/// Returns `tokens` with the known words of the second language put into English.
pub fn translated(tokens: &[Token]) -> Vec<Token> {
    let mut out = Vec::with_capacity(tokens.len());
    for token in tokens {
        let whole = WHOLE.iter().find(|(word, _)| token.is(word));
        let word = whole.or_else(|| {
            STEMS
                .iter()
                .find(|(stem, _)| token.kind == Kind::Word && token.text.contains(stem))
        });
        match word {
            Some((_, "and")) => out.push(Token::new(Kind::And, "and")),
            Some((_, "or")) => out.push(Token::new(Kind::Or, "or")),
            Some((_, "but" | "then")) => out.push(Token::new(Kind::Stop, ";")),
            Some((_, to)) => out.extend(to.split(' ').map(|to| Token::new(Kind::Word, to))),
            None => out.push(token.clone()),
        }
    }
    out
}

/// Returns `tokens` with words that are said and not written as they are meant.
pub fn spoken(tokens: &[Token]) -> Vec<Token> {
    let mut out = Vec::with_capacity(tokens.len());
    for token in tokens {
        match CASUAL.iter().find(|(word, _)| token.is(word)) {
            Some((_, to)) => out.extend(to.split(' ').map(|to| Token::new(Kind::Word, to))),
            None => out.push(token.clone()),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::tokens;
    use crate::domain::judge::read::tokens::Known;

    #[test]
    fn words_of_doing_are_put_into_english_and_the_rest_stands() {
        let read = |text: &str| tokens::normal(&translated(&tokens::lex(text, &Known::default())));
        assert_eq!(read("F3 \u{fc}berbr\u{fc}cken"), "F3 bridge");
        assert_eq!(read("U31 austauschen"), "U31 replace");
        assert_eq!(read("die Sicherung"), "die fuse");
        assert_eq!(read("bridge U31"), "bridge U31");
    }
}
