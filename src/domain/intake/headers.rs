//! Header words of sheets, English and German, and the field that each stands for.
//!
//! Common practice, no source. Words are compared whole, letters large or small, umlauts as written or
//! spelled out; a header of several words takes the longest phrase of the table that stands in it. A
//! shop's own words (`sheet_words.headers`: header, field word) come first.

use crate::domain::intake::mapping::Field;
use crate::domain::intake::words::Words;
use crate::domain::job::When;

/// The language of a header word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tongue {
    /// English, or the same in both.
    English,
    /// German.
    German,
}

/// What a header says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeaderWord {
    /// The field.
    pub field: Field,
    /// Whole header is a phrase of the table; otherwise only part of it.
    pub whole: bool,
    /// Length of the phrase that was found, in words.
    pub words: usize,
    /// In which language.
    pub tongue: Tongue,
}

/// English phrases by field word, each list apart by `|`.
const ENGLISH: [(&str, &str); 24] = [
    (
        "job",
        "job|job no|job nr|job number|job id|job ref|job num|jobno|w o|w o no|ticket|ticket no|ticket nr|ticket number|ticket id|wo|wo no|\
         work order|work order no|order|order no|order number|ro|rma|rma no|rma number|case|case no|case number|ref|ref no|\
         reference|repair no|repair number|repair id|repair order|no|nr|id|number|docket|docket no|job card|card no",
    ),
    (
        "closed-on",
        "closed|closed on|closed date|date closed|closing date|completed|completed on|date completed|completion date|finished|\
         finished on|date finished|date done|done on|done date|date out|out|out date|repaired on|repair date|date repaired|\
         date of repair|fixed on|date fixed|job closed|end date|signed off|signed off on|date|when|day|finish",
    ),
    (
        "received-on",
        "received|received on|date received|rcvd|recd|in|in date|date in|booked in|booked in on|arrived|arrival|intake|\
         intake date|opened|opened on|date opened|open date|start date|started|created|created on|logged|logged on|came in",
    ),
    (
        "closed-by",
        "by|closed by|tech|technician|engineer|eng|initials|init|inits|who|repaired by|done by|fixed by|worked by|bench tech|\
         worker|operator|repairer|tech initials|signed|signed by|completed by|handled by|assigned to",
    ),
    (
        "board",
        "board|boards|board type|board name|board kind|board model|pcb|pcb type|pcba|model|model no|device|device type|unit type|\
         product|equipment|item|assembly|assy|module|type|kit|machine|board id|unit|which board|card type",
    ),
    (
        "revision",
        "rev|revision|rev no|board rev|pcb rev|hw|hw rev|hw version|hardware rev|hardware revision|ver|version|board revision|rv",
    ),
    (
        "serial",
        "serial|serial no|serial nr|serial number|serial num|sn|s n|ser no|ser|unit sn|unit serial|board serial|serials|imei",
    ),
    (
        "complaint",
        "complaint|complaints|fault|faults|symptom|symptoms|issue|issues|problem|problems|whats wrong|what s wrong|what is wrong|\
         reported|reported fault|fault reported|reported problem|customer complaint|customer says|customer report|\
         customer reported|customer fault|customer symptom|customer issue|fault description|description of fault|\
         problem description|defect|reason for return|reason|return reason|why in|why is it here|trouble|failure|failure mode|\
         fault as reported|customer words|what customer said|concern|customer said|customer complains|complains of|said by customer",
    ),
    (
        "findings",
        "finding|findings|readings|reading|measurements|measurement|measured|measures|meas|diagnosis|diag|diagnostics|\
         observation|observations|observed|found|fault found|what we found|tests|test results|test readings|inspection|seen|\
         visual|visual inspection|look|what we saw|what was found|cause|root cause|cause of fault|fault cause|troubleshooting|\
         evidence|bench readings|bench findings|tech findings|initial readings|pre repair readings|before|\
         before repair|before the repair|before i started|before we started|before starting|before work|before fix",
    ),
    (
        "draw",
        "draw|current|current draw|iin|i in|amps|amp|input current|supply current|psu current|psu amps|consumption|\
         standby current|idle current|bench supply|psu draw|i supply|current in|dc draw|power draw|input amps|isup",
    ),
    (
        "family",
        "circuit|circuit family|family|area|section|block|fault area|category|fault category|fault group|subsystem|stage|\
         function block|circuit area|which circuit|fault section",
    ),
    (
        "fix",
        "fix|fixes|the fix|fixed|fixed with|repair|repairs|action|actions|action taken|actions taken|work done|work|\
         work performed|work carried out|what fixed it|solution|remedy|resolution|repair done|repair action|repair work|\
         repair performed|corrective action|done|what we did|what i did|what was done|rework|cure|repair details|repaired|did|\
         fix applied|how fixed",
    ),
    (
        "part",
        "part|parts|component|components|comp|refdes|ref des|ref designator|designator|parts replaced|part replaced|\
         parts changed|part changed|replaced parts|replaced part|replaced|parts used|part used|faulty part|faulty component|\
         bad part|location|position|loc|pos|component replaced|components replaced|failed part|culprit|part fitted|parts fitted|\
         changed|swapped",
    ),
    (
        "act",
        "act|verb|action type|repair type|repair code|type of repair|action code|operation",
    ),
    (
        "tried",
        "tried|also tried|tried first|tried no effect|tried without effect|tried before|tried in vain|no help|attempts|\
         attempted|what didnt work|what didn t work|didnt help|did not help|no effect|earlier attempts|dead ends|also done",
    ),
    (
        "outcome",
        "outcome|result|results|status|final result|final status|came back|held|bounced|bounce|back|end result|\
         job status|repair status|returned again|state|follow up|followup|verdict|result after repair|ok|repair result|\
         how it ended|comeback|ended|ending|end|how ended",
    ),
    (
        "no-fix-reason",
        "no fix reason|reason no fix|why no fix|why not fixed|why not repaired|reason not fixed|reason not repaired|\
         scrap reason|reason scrapped|unrepaired because|reason for scrap|nofix reason",
    ),
    (
        "proof",
        "proof|proved by|proven by|verified|verified by|verification|final test|test after|test after repair|after repair|\
         retest|post repair test|post repair|checked after|how proved|proof of fix|confirmation|confirmed by|post test|\
         after fix|readings after|reading after|after|and then|afterwards|after the repair|after work|after that",
    ),
    (
        "environment",
        "environment|exposure|where used|liquid|liquid damage|water damage|used in|surroundings|contamination|ingress|\
         environment notes",
    ),
    (
        "minutes",
        "minutes|mins|min|time|time spent|hours|hrs|hr|h|duration|labour|labor|bench time|time taken|labour hours|time used|\
         repair time|work time|labour time|time min",
    ),
    (
        "parts-cost",
        "parts cost|cost of parts|part cost|parts price|material cost|materials cost|component cost|cost parts",
    ),
    (
        "value",
        "value|board value|worth|unit value|device value|replacement value|new price|replacement cost",
    ),
    (
        "everything",
        "notes|note|remarks|remark|comments|comment|description|details|detail|text|history|story|work log|log|what happened|\
         job notes|bench notes|tech notes|technician notes|repair notes|repair log|free text|report|repair report|\
         engineer notes|summary|entry|narrative|job|what|job description|job details|service report|notes findings",
    ),
    (
        "kept",
        "customer|customer name|client|owner|name|address|phone|email|e mail|invoice|invoice no|shelf|bin|rack|photo|photos|\
         picture|pictures|price|charged|cost|costs|total|quote|quoted|warranty|priority|tag|bay|line|line no|row|courier|\
         tracking|tracking no|po|po no|paid|due|due date|qty|quantity|company|site|contact|shipped|shipped on|date shipped|\
         bench|page|supplier|currency|country",
    ),
];

/// German phrases by field word, umlauts spelled out.
const GERMAN: [(&str, &str); 24] = [
    (
        "job",
        "auftrag|auftragsnummer|auftragsnr|auftrags nr|auftrag nr|auftr nr|vorgang|vorgangsnummer|vorgangsnr|vorgangs nr|\
         reparaturnummer|reparaturnr|reparatur nr|rep nr|repnr|nummer|belegnummer|belegnr|beleg|beleg nr|ticketnummer|ticketnr|\
         fallnummer|fall nr|auftragsnum|werkstattnummer|werkstattnr|rep auftrag|reparaturauftrag|jobnummer|rma nr|rma nummer",
    ),
    (
        "closed-on",
        "erledigt|erledigt am|fertig|fertig am|abgeschlossen|abgeschlossen am|abschluss|abschlussdatum|datum|ausgang|\
         ausgangsdatum|repariert am|reparaturdatum|datum reparatur|fertigstellung|ausgeliefert|ausgeliefert am|ende|\
         beendet|beendet am|geschlossen|geschlossen am|fertiggestellt|fertiggestellt am|datum fertig|enddatum|tag|behoben am|\
         warenausgang",
    ),
    (
        "received-on",
        "eingang|eingegangen|eingegangen am|eingangsdatum|angenommen|angenommen am|annahme|annahmedatum|erhalten|erhalten am|\
         eroeffnet|eroeffnet am|angelegt|angelegt am|wareneingang|datum eingang|gekommen am|beginn|startdatum|eingang am",
    ),
    (
        "closed-by",
        "bearbeiter|techniker|kuerzel|kurzzeichen|kz|von|durch|wer|monteur|mitarbeiter|repariert von|sachbearbeiter|mechaniker|\
         bearb|bearbeitet von|erledigt von|zeichen|namenskuerzel|reparateur|ma",
    ),
    (
        "board",
        "platine|platinen|platinentyp|leiterplatte|geraet|geraetetyp|baugruppe|typ|modell|artikel|produkt|karte|steuerung|\
         anlage|platine typ|geraet typ|baugruppentyp|modul|platinenname|bezeichnung|geraetebezeichnung|bauart|lp",
    ),
    (
        "revision",
        "stand|revisionsstand|ausgabe|index|hw stand|hardwarestand|ausfuehrung|revision|rev stand|aenderungsstand|versionsstand|\
         rev index",
    ),
    (
        "serial",
        "seriennummer|seriennr|serien nr|serien nummer|ser nr|geraetenummer|geraetenr|geraete nr|fabriknummer|fabriknr|\
         fabr nr|snr|s nr|fertigungsnummer",
    ),
    (
        "complaint",
        "fehler|fehlerbild|beanstandung|beanstandungen|reklamation|kundenangabe|kundenangaben|defekt|stoerung|stoerungen|\
         fehlerbeschreibung|schaden|kunde sagt|angabe kunde|angaben kunde|mangel|maengel|kundenbeanstandung|meldung|\
         einsendegrund|fehler laut kunde|fehlermeldung|fehlerangabe|symptome|problembeschreibung|kundenfehler|schadensbild|\
         gemeldeter fehler|ausfall|stoerungsbild|kundenbeschreibung|was ist kaputt|kaputt",
    ),
    (
        "findings",
        "befund|befunde|messung|messungen|messwerte|messwert|diagnose|festgestellt|feststellung|feststellungen|gemessen|analyse|\
         vorher|vor reparatur|vor der reparatur|davor|\
         sichtpruefung|sichtbefund|fehlerursache|ursache|pruefung|pruefergebnis|pruefergebnisse|beobachtung|beobachtungen|\
         fehlerdiagnose|werkstattbefund|gefunden|gefundener fehler|fehleranalyse",
    ),
    (
        "draw",
        "strom|stromaufnahme|eingangsstrom|ruhestrom|aufnahme|standby strom|standbystrom|versorgungsstrom|i ein|netzteilstrom|\
         betriebsstrom|leerlaufstrom",
    ),
    (
        "family",
        "schaltung|schaltungsteil|schaltungsbereich|funktionsgruppe|bereich|kategorie|fehlergruppe|stromkreis|funktionsblock|\
         fehlerkategorie|schaltungsblock|fehlerbereich|kreis|schaltkreis",
    ),
    (
        "fix",
        "massnahme|massnahmen|reparatur|reparaturen|behebung|abhilfe|loesung|durchgefuehrte arbeiten|durchgefuehrte arbeit|\
         arbeit|arbeiten|instandsetzung|was gemacht|was wurde gemacht|behoben durch|reparaturmassnahme|taetigkeit|taetigkeiten|\
         fehlerbehebung|gemacht|repariert|ausgefuehrte arbeiten|arbeitsschritte|aktion|erledigung|korrektur",
    ),
    (
        "part",
        "bauteil|bauteile|teil|teile|ersatzteil|ersatzteile|defektes bauteil|defekte bauteile|getauscht|getauschte teile|\
         getauschtes teil|getauschtes bauteil|ersetzt|ersetzte bauteile|bauelement|bauelemente|komponente|komponenten|\
         teil position|bauteilposition|defektes teil|schuldiges bauteil|verbaute teile|gewechselt",
    ),
    (
        "act",
        "massnahmenart|art der reparatur|handlung|arbeitsart|reparaturart|art der massnahme|massnahmencode|reparaturcode",
    ),
    (
        "tried",
        "versucht|probiert|ohne erfolg|erfolglos|ohne wirkung|vergeblich|erfolglos versucht|vorher versucht|auch versucht|\
         erfolglose versuche|versuche|hat nicht geholfen|brachte nichts|ausprobiert",
    ),
    (
        "outcome",
        "ergebnis|resultat|zustand|rueckmeldung|endergebnis|reparaturergebnis|verbleib|kam zurueck|wieder da|ruecklaeufer|\
         rueckl|gehalten|hat gehalten|ergebnis reparatur|reparaturstatus|endstatus|ruecklaeufer ja nein|\
         nachverfolgung|ruecklaeufer j n",
    ),
    (
        "no-fix-reason",
        "grund keine reparatur|grund ohne reparatur|verschrottungsgrund|nicht repariert weil|warum nicht repariert|\
         grund nicht repariert|ausschussgrund|grund verschrottung|keine reparatur weil",
    ),
    (
        "proof",
        "nachweis|pruefung danach|pruefung nach reparatur|test nach reparatur|endtest|funktionstest|endpruefung|verifiziert|\
         verifikation|nachweis durch|nachpruefung|messung danach|nach reparatur|kontrollmessung|abnahme|schlusspruefung|\
         danach|nachher|nach der reparatur|hinterher",
    ),
    (
        "environment",
        "umgebung|einsatzort|umfeld|wasserschaden|fluessigkeit|umgebungsbedingung|einsatzbedingung|verschmutzung|umwelt",
    ),
    (
        "minutes",
        "zeit|dauer|minuten|arbeitszeit|stunden|aufwand|zeitaufwand|std|zeitbedarf|zeit min|bearbeitungszeit|reparaturzeit",
    ),
    (
        "parts-cost",
        "materialkosten|teilekosten|ersatzteilkosten|kosten material|kosten teile|kosten ersatzteile|materialpreis",
    ),
    (
        "value",
        "wert|geraetewert|zeitwert|warenwert|neuwert|platinenwert|wiederbeschaffungswert|neupreis",
    ),
    (
        "everything",
        "bemerkung|bemerkungen|notiz|notizen|kommentar|kommentare|beschreibung|verlauf|anmerkung|anmerkungen|protokoll|bericht|\
         reparaturbericht|hinweis|hinweise|freitext|arbeitsbericht|was war|geschichte|sonstiges|vermerk|vermerke|\
         fehler und reparatur|fehler reparatur|befund und reparatur|werkstattnotiz",
    ),
    (
        "kept",
        "kunde|kundenname|kundennummer|kundennr|anschrift|adresse|telefon|tel|rechnung|rechnungsnr|preis|kosten|betrag|firma|\
         regal|lager|foto|fotos|bild|garantie|lfd|lfd nr|lfdnr|laufnummer|laufende nummer|zeile|versand|versendet am|menge|\
         anzahl|stueck|lieferschein|ansprechpartner|filiale|gesamt|summe|prioritaet|seite|platz|fach",
    ),
];

/// Returns a header as it is compared: small letters, umlauts spelled out, marks as blanks, no unit in
/// brackets.
pub fn plain(header: &str) -> String {
    let mut out = String::with_capacity(header.len());
    let mut depth = 0_u32;
    for c in header.chars() {
        match c {
            '[' | '(' => {
                depth += 1;
                out.push(' ');
            }
            ']' | ')' => depth = depth.saturating_sub(1),
            _ if depth > 0 => {}
            'ä' | 'Ä' => out.push_str("ae"),
            'ö' | 'Ö' => out.push_str("oe"),
            'ü' | 'Ü' => out.push_str("ue"),
            'ß' => out.push_str("ss"),
            '\'' | '’' | '‘' | '`' => {}
            c if c.is_alphanumeric() => out.extend(c.to_lowercase()),
            '#' => out.push_str(" no "),
            _ => out.push(' '),
        }
    }
    let mut words = out.split_whitespace();
    let first = words.next().unwrap_or_default().to_owned();
    words.fold(first, |mut joined, word| {
        joined.push(' ');
        joined.push_str(word);
        joined
    })
}

/// Returns the unit that a header names in brackets, after a slash or at its end: `Iin [mA]`, `Zeit/min`.
pub fn unit_of(header: &str) -> Option<&str> {
    let trimmed = header.trim().trim_end_matches('.');
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some(start) = trimmed.rfind(open)
            && let Some(end) = trimmed[start..].find(close)
        {
            let inside = trimmed[start + 1..start + end].trim();
            if is_unit(inside) {
                return Some(inside);
            }
        }
    }
    let last = trimmed
        .rsplit(|c: char| c.is_whitespace() || c == '/' || c == ',')
        .next()?;
    (last.len() < trimmed.len() && is_unit(last)).then_some(last)
}

/// Tells whether `text` is a unit that sheets write over a column.
pub fn is_unit(text: &str) -> bool {
    let units = [
        "V",
        "mV",
        "A",
        "mA",
        "uA",
        "µA",
        "μA",
        "Ω",
        "\u{2126}",
        "kΩ",
        "k\u{2126}",
        "MΩ",
        "Ohm",
        "ohm",
        "ohms",
        "Ohms",
        "OHM",
        "kOhm",
        "kohm",
        "kohms",
        "R",
        "k",
        "min",
        "mins",
        "minutes",
        "Minuten",
        "h",
        "hrs",
        "hours",
        "std",
        "Std",
        "Stunden",
        "€",
        "$",
        "£",
        "EUR",
        "USD",
        "GBP",
        "CHF",
        "v",
        "ma",
        "mv",
        "a",
        "W",
        "°C",
    ];
    units.contains(&text)
}

/// Words of a header that say in which state the board was.
const STATE_WORDS: [(&str, &str); 13] = [
    ("standby", "standby"),
    ("stby", "standby"),
    ("sb", "standby"),
    ("idle", "standby"),
    ("ruhe", "standby"),
    ("bereitschaft", "standby"),
    ("running", "running"),
    ("run", "running"),
    ("betrieb", "running"),
    ("loaded", "loaded"),
    ("last", "loaded"),
    ("pressed", "pressed"),
    ("gedrueckt", "pressed"),
];

/// Returns the state of the board that a header names.
pub fn state_of(header: &str) -> Option<&'static str> {
    let plain = plain(header);
    let mut words = plain.split(' ');
    if plain.contains("standbystrom") || plain.contains("ruhestrom") {
        return Some("standby");
    }
    words.find_map(|word| {
        let known = STATE_WORDS.iter().find(|(known, _)| *known == word)?;
        Some(known.1)
    })
}

/// Returns when readings under this header were taken.
pub fn when_of(header: &str) -> When {
    let after = [
        "after",
        "afterwards",
        "post",
        "nach",
        "nachher",
        "danach",
        "hinterher",
        "then",
        "final",
    ];
    let plain = plain(header);
    if plain.split(' ').any(|word| after.contains(&word)) {
        When::AfterAction
    } else {
        When::BeforeAction
    }
}

/// Returns what `header` says, by the shop's own words first.
pub fn read(header: &str, words: &Words) -> Option<HeaderWord> {
    let text = plain(header);
    if let Some(own) = shop_word(header, &text, words) {
        return Some(HeaderWord {
            field: own,
            whole: true,
            words: text.split(' ').count(),
            tongue: Tongue::English,
        });
    }
    if header.trim().chars().count() > LONGEST {
        return None;
    }
    if let Some(place) = measured_place(header) {
        return Some(HeaderWord {
            field: place,
            whole: true,
            words: 1,
            tongue: Tongue::English,
        });
    }
    if text.is_empty() {
        return None;
    }
    phrase(&text)
}

/// Nobody writes a longer header; what is longer is a title or a cell of data.
const LONGEST: usize = 48;

fn shop_word(header: &str, text: &str, words: &Words) -> Option<Field> {
    let own = words
        .of_shop("headers", header.trim())
        .or_else(|| words.of_shop("headers", &header.trim().to_lowercase()))
        .or_else(|| words.of_shop("headers", text))?;
    Field::from_word(own)
}

fn tables() -> impl Iterator<Item = (Tongue, &'static str, &'static str)> {
    let english = ENGLISH.iter().map(|(f, p)| (Tongue::English, *f, *p));
    let german = GERMAN.iter().map(|(f, p)| (Tongue::German, *f, *p));
    english.chain(german)
}

fn phrase(text: &str) -> Option<HeaderWord> {
    let have: Vec<&str> = text.split(' ').collect();
    let data = have.iter().any(|w| is_designator(w));
    let mut best: Option<HeaderWord> = None;
    for (tongue, field, phrases) in tables() {
        for known in phrases.split('|') {
            let wanted: Vec<&str> = known.split(' ').filter(|w| !w.is_empty()).collect();
            let whole = have == wanted;
            let inside = !whole
                && !data
                && wanted.len() < have.len()
                && (wanted.len() > 1 || stands_alone(wanted[0]))
                && have.windows(wanted.len()).any(|w| w == wanted);
            let better = best
                .as_ref()
                .is_none_or(|b| (whole, wanted.len()) > (b.whole, b.words));
            if (whole || inside) && better {
                best = Field::from_word(field).map(|field| HeaderWord {
                    field,
                    whole,
                    words: wanted.len(),
                    tongue,
                });
            }
        }
    }
    best
}

/// Tells whether `word` is a letter or three and a number, as no header word is: `U31`, `tp4`.
fn is_designator(word: &str) -> bool {
    let letters = word.bytes().take_while(u8::is_ascii_alphabetic).count();
    let digits = &word[letters..];
    (1..=3).contains(&letters) && !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
}

/// Words that say something only when they are the whole header.
fn stands_alone(word: &str) -> bool {
    let weak = [
        "no",
        "nr",
        "id",
        "in",
        "out",
        "by",
        "h",
        "i",
        "ok",
        "back",
        "when",
        "day",
        "what",
        "unit",
        "item",
        "did",
        "von",
        "durch",
        "ma",
        "kz",
        "tag",
        "stand",
        "min",
        "time",
        "zeit",
        "hr",
        "date",
        "datum",
        "text",
        "name",
        "total",
        "test",
        "type",
        "typ",
        "line",
        "state",
        "done",
        "work",
        "order",
        "value",
        "wert",
        "reason",
        "log",
        "kunde",
        "customer",
        "wer",
        "who",
        "index",
        "lp",
        "ser",
        "loc",
        "pos",
        "act",
        "a",
        "section",
        "report",
        "entry",
        "held",
        "ende",
        "number",
        "nummer",
        "job",
        "bay",
        "bench",
        "before",
        "after",
        "afterwards",
        "vorher",
        "davor",
        "danach",
        "nachher",
        "hinterher",
    ];
    !weak.contains(&word) && word.len() > 2
}

/// Returns the field of a header that names a measured place: `5V`, `3V3_SB [V]`, `R to GND 5V`,
/// `Diode SDA`.
fn measured_place(header: &str) -> Option<Field> {
    let bare = without_unit(header);
    let unit = unit_of(header);
    let words: Vec<&str> = bare
        .split(|c: char| {
            c.is_whitespace() || matches!(c, '(' | ')' | '[' | ']' | '/' | ':' | ',' | '=' | '@')
        })
        .filter(|w| !w.is_empty())
        .collect();
    let small: Vec<String> = words.iter().map(|w| plain(w)).collect();
    let says = |known: &[&str]| small.iter().any(|w| known.contains(&w.as_str()));
    let ohms = unit.is_some_and(|u| {
        let u = u.to_lowercase();
        u.contains('Ω') || u.contains('ω') || u.contains("ohm") || u == "r"
    });
    let diode = says(&["diode", "diodes", "diodentest", "diodenmessung", "dm"]);
    let to_ground = says(&["gnd", "ground", "masse", "earth"]);
    let resistance = says(&["resistance", "widerstand", "ohms", "ohm"])
        || (to_ground && words.first().is_some_and(|w| *w == "R"))
        || (ohms && words.len() <= 4)
        || (words.len() == 2 && words[0] == "R" && is_rail(words[1]));
    let place = words.iter().find(|w| is_rail(w) || is_net(w));
    if diode {
        return Some(Field::Diode(
            place.map_or_else(String::new, |p| rail_name(p)),
        ));
    }
    if resistance {
        return Some(Field::Resistance(
            place.map_or_else(String::new, |p| rail_name(p)),
        ));
    }
    let extra = [
        "rail", "volts", "volt", "voltage", "spannung", "schiene", "measured", "u", "gemessen", "v",
    ];
    let rest = small
        .iter()
        .zip(&words)
        .filter(|(w, raw)| !extra.contains(&w.as_str()) && Some(*raw) != place && !is_moment(w));
    let rail = *place?;
    let net = !is_rail(rail);
    let volts = unit.is_some_and(|u| u.to_lowercase().ends_with('v')) || says(&extra);
    (rest.count() == 0 && (!net || volts || rail.contains('_') || rail.starts_with('V')))
        .then(|| Field::Rail(rail_name(rail)))
}

fn is_moment(word: &str) -> bool {
    let moments = [
        "after",
        "before",
        "post",
        "pre",
        "nach",
        "vor",
        "nachher",
        "vorher",
        "danach",
        "final",
        "repair",
        "reparatur",
        "fix",
        "standby",
        "stby",
        "running",
        "off",
        "aus",
        "on",
    ];
    moments.contains(&word)
}

fn without_unit(header: &str) -> &str {
    let trimmed = header.trim();
    let Some(unit) = unit_of(trimmed) else {
        return trimmed;
    };
    let at = trimmed.rfind(unit).unwrap_or(trimmed.len());
    trimmed[..at].trim_end_matches(['[', '(', ' ', '/', ','])
}

/// Tells whether `word` is a rail called after its volts: `5V`, `+12V`, `3V3`, `3.3V`, `3,3V`, `1V8_CPU`.
pub fn is_rail(word: &str) -> bool {
    volts_in(word).is_some()
}

/// Returns the volts that a rail's name tells.
pub fn volts_in(word: &str) -> Option<f64> {
    let word = word.trim_start_matches('+');
    let (sign, word) = word.strip_prefix('-').map_or((1.0, word), |w| (-1.0, w));
    let head = word.split('_').next().unwrap_or(word);
    let at = head.find(['V', 'v'])?;
    let (whole, rest) = (&head[..at], &head[at + 1..]);
    let digits = |s: &str| !s.is_empty() && s.len() <= 3 && s.bytes().all(|b| b.is_ascii_digit());
    let number = if digits(whole) && rest.is_empty() {
        whole.to_owned()
    } else if digits(whole) && digits(rest) {
        format!("{whole}.{rest}")
    } else if rest.is_empty() {
        let (a, b) = whole.split_once(['.', ','])?;
        if !digits(a) || !digits(b) {
            return None;
        }
        format!("{a}.{b}")
    } else {
        return None;
    };
    number.parse::<f64>().ok().map(|n| n * sign)
}

/// Tells whether `word` looks like the name of a net: large letters, digits, underscores, `VCORE`,
/// `Vcore`, `VDD_CPU`, `SDA`.
fn is_net(word: &str) -> bool {
    let known = [
        "GND", "IIN", "PCB", "HW", "SN", "RMA", "NR", "WO", "ID", "DM", "R", "I", "U", "OK", "RO",
    ];
    let large = word.len() >= 3
        && word.starts_with(|c: char| c.is_ascii_uppercase())
        && word
            .bytes()
            .all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'_');
    let supply = word.len() >= 4
        && word.starts_with('V')
        && [
            "Vcore", "Vbat", "Vbatt", "Vbus", "Vcc", "Vdd", "Vin", "Vout", "Vref", "Vsys",
        ]
        .iter()
        .any(|known| known.eq_ignore_ascii_case(word));
    (large || supply || ["Vcc", "Vdd", "Vin"].contains(&word)) && !known.contains(&word)
}

fn rail_name(word: &str) -> String {
    word.trim_start_matches('+').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn field(header: &str) -> String {
        read(header, &Words::default()).map_or_else(String::new, |h| h.field.word().into_owned())
    }

    /// Header words as they drift in sheets: common practice, no source.
    #[test]
    fn english_headers_name_their_fields() {
        for (header, expected) in [
            ("Job", "job"),
            ("Job #", "job"),
            ("W/O No.", "job"),
            ("Ticket", "job"),
            ("RMA number", "job"),
            ("Date closed", "closed-on"),
            ("Completed", "closed-on"),
            ("Date", "closed-on"),
            ("Date in", "received-on"),
            ("Tech", "closed-by"),
            ("Who", "closed-by"),
            ("PCB", "board"),
            ("Board type", "board"),
            ("Rev.", "revision"),
            ("S/N", "serial"),
            ("Serial number", "serial"),
            ("Fault", "complaint"),
            ("Symptom", "complaint"),
            ("Issue", "complaint"),
            ("What's wrong", "complaint"),
            ("What’s wrong?", "complaint"),
            ("Customer complaint", "complaint"),
            ("Customer", "kept"),
            ("Fault found", "findings"),
            ("Bench readings", "findings"),
            ("Iin [mA]", "draw"),
            ("Current draw (A)", "draw"),
            ("5V", "rail:5V"),
            ("+12V", "rail:12V"),
            ("3V3 [V]", "rail:3V3"),
            ("3.3V rail", "rail:3.3V"),
            ("VCORE", "rail:VCORE"),
            ("Vcore (V)", "rail:Vcore"),
            ("3V3_SB", "rail:3V3_SB"),
            ("5V after", "rail:5V"),
            ("R to GND (Ω)", "resistance:"),
            ("R to GND 5V", "resistance:5V"),
            ("R 3V3", "resistance:3V3"),
            ("3V3 [ohm]", "resistance:3V3"),
            ("Diode SDA", "diode:SDA"),
            ("What fixed it", "fix"),
            ("Action taken", "fix"),
            ("Part replaced", "part"),
            ("RefDes", "part"),
            ("Also tried", "tried"),
            ("Result", "outcome"),
            ("Came back?", "outcome"),
            ("Final test", "proof"),
            ("Time (min)", "minutes"),
            ("Parts cost £", "parts-cost"),
            ("Board value", "value"),
            ("Notes", "everything"),
            ("Circuit", "family"),
            ("Why not fixed", "no-fix-reason"),
        ] {
            assert_eq!(field(header), expected, "{header}");
        }
    }

    #[test]
    fn german_headers_name_their_fields() {
        for (header, expected) in [
            ("Auftrags-Nr.", "job"),
            ("Vorgangsnummer", "job"),
            ("erledigt am", "closed-on"),
            ("Datum", "closed-on"),
            ("Eingang", "received-on"),
            ("Bearbeiter", "closed-by"),
            ("Kürzel", "closed-by"),
            ("Platine", "board"),
            ("Gerät", "board"),
            ("GERAET", "board"),
            ("Seriennr.", "serial"),
            ("Fehler", "complaint"),
            ("Fehlerbild", "complaint"),
            ("Befund", "findings"),
            ("Messwerte", "findings"),
            ("Stromaufnahme [mA]", "draw"),
            ("Maßnahme", "fix"),
            ("Massnahme", "fix"),
            ("durchgeführte Arbeiten", "fix"),
            ("Bauteil", "part"),
            ("Ergebnis", "outcome"),
            ("ohne Erfolg", "tried"),
            ("Bemerkung", "everything"),
            ("Zeit [min]", "minutes"),
            ("Widerstand 5V", "resistance:5V"),
            ("Diodentest SDA", "diode:SDA"),
            ("Schaltungsteil", "family"),
            ("Kunde", "kept"),
            ("lfd. Nr.", "kept"),
        ] {
            assert_eq!(field(header), expected, "{header}");
        }
    }

    #[test]
    fn what_no_table_knows_is_not_guessed() {
        for header in [
            "",
            "Quux",
            "no power",
            "2024",
            "U31",
            "replaced U31",
            "12.03.2024",
            "W-0412",
        ] {
            assert_eq!(field(header), "", "{header}");
        }
    }

    #[test]
    fn a_shops_own_words_come_first() {
        let own = BTreeMap::from([("Fault".to_owned(), "findings".to_owned())]);
        let words = Words::with_shop(&BTreeMap::from([("headers".to_owned(), own)]));
        let found = read("Fault", &words).expect("it is in the shop's table");
        assert_eq!(found.field, Field::Findings);
    }

    #[test]
    fn every_table_names_fields_that_there_are() {
        for (_, field, phrases) in tables() {
            assert!(Field::from_word(field).is_some(), "{field}");
            for phrase in phrases.split('|') {
                assert_eq!(plain(phrase), phrase.trim(), "{field}");
            }
        }
    }

    #[test]
    fn units_states_and_moments_are_read_from_headers() {
        assert_eq!(unit_of("Iin [mA]"), Some("mA"));
        assert_eq!(unit_of("Zeit/min"), Some("min"));
        assert_eq!(unit_of("R to GND (Ω)"), Some("Ω"));
        assert_eq!(unit_of("Draw"), None);
        assert_eq!(state_of("Standby current"), Some("standby"));
        assert_eq!(when_of("5V after"), When::AfterAction);
        assert_eq!(when_of("5V"), When::BeforeAction);
        assert_eq!(volts_in("1V8_CPU"), Some(1.8));
        assert_eq!(volts_in("U5V"), None);
    }
}
