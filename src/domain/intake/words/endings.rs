//! How a job ended, what had no effect, denials, and the words between.
//!
//! Common practice, no source. "Works" on the bench is no proof that it held: only words of time past
//! or of no return say that.

use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Remark;
use crate::domain::intake::words::sense::Sense;

/// Adds the words.
pub fn add(lexicon: &mut Lexicon) {
    for (words, end) in ENDS {
        lexicon.add_all(words, &Sense::End(end));
    }
    for (words, reason) in NO_FIX {
        lexicon.add_all(words, &Sense::NoFix(reason));
    }
    for (words, remark) in REMARKS {
        lexicon.add_all(words, &Sense::Remark(remark));
    }
    for (words, sense) in PLAIN {
        lexicon.add_all(words, &sense);
    }
}

const ENDS: [(&str, End); 12] = [
    (
        "works|working|works now|works again|working again|fixed|all good|all ok|ok now|now ok|all gd|all fine|running again|runs again|repaired ok|boots|boots now|boots again|powers on|powers up|powers up ok|alive|alive again|good now|runs fine|runs ok|fully working|tested ok|tested good|bench ok|bench tested ok|passes test|passed test|passed tests|passed|function ok|functional|charging again|charges again|charges now|charges ok|unit ok|unit works|board ok|board works|test ok|works fine|works ok|sorted|cured|fault cleared|cleared|runs now|starts now|starts again|boots fine|boots ok|now boots|now works|now working|now charges|display ok|display back|picture back|back to life|is fine now|all back|comes up fine|full function|fault gone|unit running|passed burn-in|burn-in ok|burn in ok|soak test ok|back working|final test ok|fine now|function test ok|comms back|link back|picture ok|works well|charging ok|comes on|turns on|now runs|tests fine|works as it should|all functions ok|bench passed|problem gone|image back",
        End::Good,
    ),
    (
        "läuft|läuft wieder|geht wieder|funktioniert|funktioniert wieder|alles ok|alles gut|repariert ok|jetzt ok|wieder ok|startet wieder|bootet wieder|geht jetzt|funktion ok|getestet ok|test ok|alles i.o|funktionstest ok|funktionstest i.o|wieder i.o|jetzt i.o|lädt wieder|läuft jetzt|behoben|fehler behoben|geht|wieder in ordnung|alles in ordnung|prüfung ok|läuft einwandfrei|bild wieder da|einwandfrei|voll funktionsfähig|funktionsfähig|startet jetzt|bootet jetzt|lädt jetzt|test bestanden|bestanden|dauertest ok|dauerlauf ok|dauertest i.o|test i.o|funktion i.o|funktion gegeben|läuft stabil|getestet i.o|dauerlauf i.o|alles wieder ok|probelauf ok|endtest ok|wieder funktionsfähig|geprüft ok|geprüft i.o|fehler weg|bild da",
        End::Good,
    ),
    (
        "held|still ok|still working|no return|no comeback|no comebacks|not returned|never came back|still fine|still good|still running|held so far|holding|no returns|stayed fixed|did not come back|didnt come back|has not come back|hasnt come back|no issues since|ok after warranty|warranty over no return|no further issues|still going|holding up|no recurrence|not been back|no bounce",
        End::Held,
    ),
    (
        "hält|gehalten|keine rückläufer|nicht wiedergekommen|läuft immer noch|hat gehalten|kein rückläufer|keine rückmeldung|keine reklamation|kam nicht wieder|bisher keine reklamation|nicht zurückgekommen|immer noch ok|keine beanstandung|reklamationsfrei|garantiezeit ohne reklamation",
        End::Held,
    ),
    (
        "came back same|same fault again|back same fault|returned same fault|bounced same fault|same again|back again same fault|same fault|same problem again|came back same fault|back with same fault|returned with same fault|same issue again|bounced same|back w same fault|failed again|fails again|same symptom again|back with the same fault|came back with same fault|same problem|same issue|same complaint again|same symptom|returned same",
        End::SameFault,
    ),
    (
        "gleicher fehler|gleicher fehler wieder|kam zurück gleicher fehler|selber fehler|derselbe fehler|rückläufer gleicher fehler|wieder gleicher fehler|fehler wieder da|wieder ausgefallen|erneut ausgefallen|wieder derselbe fehler|fehler wieder aufgetreten|fehler erneut aufgetreten|mit gleichem fehler zurück|gleiches fehlerbild|zurück mit gleichem fehler|wieder defekt|reklamation gleicher fehler",
        End::SameFault,
    ),
    (
        "came back other fault|other fault|different fault|back other fault|returned other fault|new fault|back w other fault|back with other fault|back with different fault|came back different fault|bounced other fault|unrelated fault|came back with other fault|came back with a different fault|another fault|back with another fault|other problem|different problem|returned with different fault|different issue|bounced other|returned with other fault|came back different",
        End::OtherFault,
    ),
    (
        "anderer fehler|kam zurück anderer fehler|rückläufer anderer fehler|neuer fehler|anderes fehlerbild|kam zurück mit anderem fehler|zurück mit anderem fehler|mit anderem fehler zurück|reklamation anderer fehler",
        End::OtherFault,
    ),
    (
        "came back|bounced|bncd|bounce|bnc|returned|warranty return|comeback|came back in|back again|rtn|back after|rtnd|back in|back on bench|returned under warranty|was back",
        End::Returned,
    ),
    (
        "rückläufer|kam zurück|zurückgekommen|wieder da gewesen|reklamation|garantiefall|wiederkehrer|kam wieder|zurück nach|kam wieder zurück|reklamiert|wieder zurück|kam nach",
        End::Returned,
    ),
    (
        "no fix|not fixed|unrepairable|not repairable|not repaired|no repair|beyond repair|scrap|scrapped|binned|written off|write off|unfixable|cannot repair|cant repair|couldnt repair|cant be repaired|gave up|given up|rtc unrepaired|returned unrepaired|not economical|junk|irreparable|could not be repaired|parts donor|for parts|donor|nofix|cnr|unrepaired|abandoned|nff/no fix",
        End::NoFix,
    ),
    (
        "nicht reparabel|irreparabel|schrott|verschrottet|totalschaden|nicht repariert|unrepariert|unrepariert zurück|keine reparatur|aufgegeben|entsorgt|nicht zu reparieren|nicht reparierbar|reparatur nicht möglich|ohne reparatur|ohne reparatur zurück|ersatzteilspender|ausgeschlachtet|keine reparatur möglich|abgebrochen",
        End::NoFix,
    ),
];

const NO_FIX: [(&str, &str); 16] = [
    (
        "ber|beyond economic repair|beyond economical repair|too expensive|not worth it|uneconomic|uneconomical|not economic|not worth repairing|costs more than board|not economical|costs too much|too costly|repair cost exceeds value|exceeds value|not worth the time|not worth repair|not viable|value exceeded",
        "value-exceeded",
    ),
    (
        "wirtschaftlicher totalschaden|unwirtschaftlich|lohnt nicht|lohnt sich nicht|zu teuer|nicht wirtschaftlich|kosten zu hoch|rep unwirtschaftlich|reparatur unwirtschaftlich|reparatur lohnt nicht|kosten übersteigen wert",
        "value-exceeded",
    ),
    (
        "no parts|part not available|parts not available|unobtainable|part obsolete|no spare|obsolete part|no spares|cant get part|cannot get part|part unobtainable|no part available|no part|parts unavailable|part unavailable|no donor|eol part|no replacement available|cant source part|cant source|no stock anywhere|ic not available|chip not available|part discontinued",
        "part-unobtainable",
    ),
    (
        "teil nicht lieferbar|ersatzteil nicht lieferbar|keine ersatzteile|abgekündigt|teil nicht beschaffbar|nicht lieferbar|bauteil nicht lieferbar|nicht beschaffbar|nicht mehr lieferbar|kein ersatzteil|ersatzteil nicht verfügbar|teil abgekündigt|nicht mehr erhältlich|ic nicht lieferbar",
        "part-unobtainable",
    ),
    (
        "cpu dead|dead cpu|processor dead|soc dead|dead soc|memory dead|ram dead|dead processor|cpu shorted|cpu short|cpu gone|mcu dead|dead mcu|cpu fried|nand dead|dead ram|dead memory|soc shorted|cpu burnt|dead fpga|fpga dead|processor gone|dead nand|soc gone|emmc dead|cpu knackered|processor shorted|main processor dead|dead die",
        "processor-or-memory-dead",
    ),
    (
        "cpu defekt|cpu tot|prozessor defekt|prozessor tot|speicher defekt|soc defekt|ram defekt|mcu defekt|hauptprozessor defekt|soc tot|mikrocontroller defekt|prozessor kurzschluss|speicher tot|cpu hin|rechenkern defekt|fpga defekt",
        "processor-or-memory-dead",
    ),
    (
        "laminate destroyed|board destroyed|burnt through|hole in board|hole burnt|laminate burnt|layers burnt|board delaminated|delaminated|inner layer burnt|inner layers gone|carbonised board|carbonized board|pcb destroyed|board carbonised|inner layers burnt|laminate carbonised|hole in pcb|pcb burnt through|burnt hole|charred through|inner layer damage|inner layers destroyed|board burnt through|board too far gone|pcb delaminated|laminate gone",
        "laminate-destroyed",
    ),
    (
        "platine durchgebrannt|platine zerstört|leiterplatte zerstört|platine verkohlt|loch in der platine|delaminiert|innenlagen zerstört|platine delaminiert|leiterplatte verkohlt|innenlagen verbrannt|leiterplatte durchgebrannt|loch in platine|loch in leiterplatte|platine zersetzt|innenlage durchgebrannt|basismaterial verkohlt",
        "laminate-destroyed",
    ),
    (
        "customer declined|declined|quote declined|customer doesnt want|customer said no|cust declined|quote refused|estimate declined|customer refused|cust said no|quote rejected|no go from customer|customer didnt want|customer cancelled|cust cancelled|customer wants it back|estimate refused|customer not interested|cust refused|rejected quote|declined quote|declined by customer",
        "customer-declined",
    ),
    (
        "kunde lehnt ab|kv abgelehnt|kostenvoranschlag abgelehnt|kunde abgelehnt|abgelehnt|kunde will nicht|auf kundenwunsch nicht|kunde möchte nicht|angebot abgelehnt|kunde hat abgelehnt|kunde verzichtet|ablehnung kunde|kunde storniert|kundenwunsch unrepariert|kunde wünscht keine reparatur|reparatur abgelehnt|vom kunden abgelehnt",
        "customer-declined",
    ),
    (
        "unsafe|unsafe to repair|safety critical|safety-critical|not safe|not safe to repair|safety part|maker only|manufacturer only|brake unit not repaired|safety relevant",
        "unsafe-or-safety-critical",
    ),
    (
        "sicherheitsrelevant|sicherheitskritisch|unsicher|aus sicherheitsgründen|nur hersteller|nicht sicher|sicherheitsbauteil|nur durch hersteller|aus sicherheitsgründen nicht repariert|nicht sicher reparierbar",
        "unsafe-or-safety-critical",
    ),
    (
        "data only|data recovered|data recovery only|only data|only data recovered|data saved only|data off only|data only recovered|data retrieved only|recovered data only|got data off|data off",
        "data-only-recovered",
    ),
    (
        "nur daten|daten gerettet|nur datenrettung|datenrettung|nur daten gerettet|daten gesichert|nur daten gesichert",
        "data-only-recovered",
    ),
    (
        "not located|cant find it|couldnt find|could not find|not found|cannot find fault|fault not found|out of time|time box|timebox|gave up after 2h|unlocated|couldnt locate|time up|ran out of time|cant find fault|cannot locate|could not locate|fault not located|no idea|never found|never found it|time limit reached|didnt find it|time boxed out|not traced|couldnt find it|exceeded time box|cant find|not found in time",
        "not-located-in-time-box",
    ),
    (
        "fehler nicht gefunden|nicht gefunden|zeitlimit|fehler nicht lokalisiert|ursache nicht gefunden|zeit abgelaufen|zeitlimit erreicht|nicht lokalisiert|fehlerursache nicht gefunden|nicht lokalisierbar|zeitrahmen überschritten|fehler nicht lokalisierbar|zu lange gesucht|ursache unklar|fehler nicht auffindbar",
        "not-located-in-time-box",
    ),
];

const REMARKS: [(&str, Remark); 3] = [
    (
        "see above|as above|same as above|ditto|dito|siehe oben|s.o|wie oben|see prev|see previous|same as prev|as previous|same as previous|idem|see row above|s o|wie vor|wie vorher|as prev|dto|dto.|id.|same as last|same as last one|like above|see last|wie voriger",
        Remark::Above,
    ),
    (
        "nff|no fault found|ntf|no trouble found|kein fehler gefunden|kff|kein fehler|fehler nicht reproduzierbar|cnd|could not duplicate|ohne befund|o.b|kein fehler feststellbar|no fault|cant reproduce|could not reproduce|cannot reproduce|cannot duplicate|fault not reproduced|no fault seen|nicht reproduzierbar|kein befund|fehler nicht nachvollziehbar|couldnt reproduce|unable to reproduce|npf",
        Remark::NoFaultFound,
    ),
    (
        "n/a|na|nil|entfällt|k.a.|tbd|tbc|xxx|not applicable|n.a|n a",
        Remark::Nothing,
    ),
];

const PLAIN: [(&str, Sense); 14] = [
    (
        "no|not|without|never|isnt|wasnt|didnt|doesnt|dont|cant|arent|werent|wont|neither|couldnt|w/o|havent|hasnt",
        Sense::Not,
    ),
    (
        "kein|keine|keinen|keinem|keiner|nicht|ohne|nie|niemals|keinerlei|weder",
        Sense::Not,
    ),
    (
        "no help|no effect|no change|didnt help|did not help|no difference|no joy|no good|no improvement|no luck|without effect|without success|to no effect|in vain|made no difference|didnt fix it|did not fix it|not it|wasnt it|no better|still dead|still no power|still same|still the same|same as before|still short|still shorted|still low|still not working|still faulty|still no start|still no display|still bad|still nothing|no result|doesnt help|didnt work|did not work|not the cause|not the fault|no diff|no cure|no use|unsuccessful|unchanged|didnt cure it|did nothing|still no charge|still no boot|still no link|still no picture|still cycling|still no good|still no output|wasnt the cause|was not it|was not the cause|didnt change anything|no effect at all|without result|no chnge|no chg in fault|not fixed by that|didnt do it|still missing|still stuck|didnt fix|did not cure|fault remains|problem remains|fault persists|still there|still present|fault still there|still hot|still dark|no diffrence|still in limit",
        Sense::InVain,
    ),
    (
        "ohne erfolg|ohne wirkung|keine änderung|keine besserung|erfolglos|half nicht|hat nicht geholfen|brachte nichts|keine veränderung|keine verbesserung|unverändert|immer noch tot|immer noch|ohne ergebnis|hilft nicht|nicht geholfen|vergeblich|bringt nichts|nichts gebracht|keine wirkung|kein effekt|kein erfolg|weiterhin tot|weiterhin|nach wie vor|fehler bleibt|bringt keine änderung|ohne effekt|o.e|brachte keine änderung|brachte keine besserung|hat nichts gebracht|bleibt gleich|fehler besteht weiter|ohne veränderung|nutzlos|war es nicht|nicht die ursache|wars nicht|keine abhilfe|noch immer tot|fehler unverändert|fehler weiterhin vorhanden|noch immer",
        Sense::InVain,
    ),
    (
        "tried|try|trying|attempted|versucht|probiert|ausprobiert|versuchsweise|versuch|tried to|had a go at|tried with",
        Sense::Tried,
    ),
    (
        "helped|did it|that did it|fixed it|fixed the fault|cured it|was it|that was it|was the cause|was the fault|was the culprit|cured|solved|solved it|was the problem|is the fix|= fix|was the one|fix was|root cause|that fixed it|did the trick|cures it|fixes it|war es|hat geholfen|war die ursache|war der fehler|ursache war|brachte abhilfe|abhilfe|führte zum erfolg|erfolgreich|successful|successfully|das wars|wars|half|cured the fault|cleared the fault|that cured it|brachte erfolg|mit erfolg|war ursache|culprit|war schuld|hat den fehler behoben|cleared it",
        Sense::Helped,
    ),
    (
        "made worse|made it worse|got worse|worse|worse now|now worse|schlimmer|verschlechtert|schlimmer geworden|noch schlimmer|danach schlimmer|jetzt schlimmer|made things worse|worse than before",
        Sense::Worse,
    ),
    (
        "then|but|however|dann|aber|jedoch|anschliessend|daraufhin|so|hence|therefore|because|weil|daher|deshalb|though|while|although|sondern|which|followed by|next|finally|zuletzt|schließlich|eventually|until found|allerdings",
        Sense::Break,
    ),
    (
        "and|und|plus|n|as well as|sowie|also|along with|together with|as well|u|auch|both|with",
        Sense::And,
    ),
    (
        "or|oder|and/or|bzw|nor|either|noch|&/or|od|und/oder|beziehungsweise",
        Sense::Or,
    ),
    (
        "the|a|an|is|are|it|its|this|that|has|have|had|be|been|to be|in|out|off|done|only|just|still|very|quite|some|any|one|two|both|there is|there are|we|he|they|unit|device|module|pcb|board|old|customer|cust|says|said|reports|reported|complains|of the|for the|from the|reading|readings|reads|read|value|values|voltage|volts|seen|found to be|visible|too|also|ok then|please|pls|yes|done by|via|using|used|when|if|as|job|repair|part|parts|component|components|shows|showing|showed|got|gets|get|getting|what|where|them|these|those|my|our|other|same|like|light|slight|slightly|bit|little|lot|lots|much|heavy|heavily|badly|small|big|side|inside|outside|checked ok|fault|problem|issue|symptom|cause|finding|findings|diagnosis|fix|result|results|remarks|note|notes|does|do|did|after|replacing it|being|kept|goes|went|remains|signal|signals|came|comes|turned|seems|looks|appears|due to|caused by|per|each|rest|others|cold|always|once|again|signs of|sign of|traces of|some of|measured|reported as|now|brand new|original|from donor|from stock|carefully|properly|fully|good one|known good|genuine|aftermarket|with flux|with hot air|hot air|iron|with iron|completely|pair of|a pair of|couple of|set of|single|left|right|up|set|level",
        Sense::Filler,
    ),
    (
        "der|die|das|ein|eine|einen|einem|einer|eines|ist|sind|hat|haben|wurde|wurden|worden|es|sich|mit|zu|zum|zur|im|in|aus|nur|noch|sehr|auch|den|dem|des|gerät|platine|baugruppe|leiterplatte|kunde|sagt|meldet|laut kunde|laut|alt|alte|alten|alter|altes|wert|werte|messung|gemessene|gemessener|liegt|liegt bei|beträgt|zeigt|sichtbar|gesehen|leicht|leichte|leichter|stark|starke|starker|etwas|viel|dort|hier|da|dabei|beide|beiden|beider|alle|allen|fehler|befund|diagnose|maßnahme|reparatur|ergebnis|bemerkung|ursache|nach|durch|wegen|per|bauteil|bauteile|teil|teile|wird|werden|komplett|ganz|wohl|dadurch|von|vom|für|er|sie|wir|ich|man|wenn|als|wie|so|dass|daß|weiter|gegen|neue|neuem|erfolgt|durchgeführt|gemacht|festgestellt|vorgefunden|an|am|auf|bei|spuren von|original|mit heißluft|heißluft|vorsichtig|fachgerecht|vollständig|links|rechts|oben|unten|seite|jeweils|stück|stk|st|wieder|defektes|und zwar|sowie|eben|gleich|zwei|drei|paar|rest|sonst|nun",
        Sense::Filler,
    ),
    ("fault|dry|trocken|available|anderem", Sense::Filler),
    (
        "maybe|probably|perhaps|possibly|suspected|suspect|might be|may be|likely|seems to be|looks like|guess|vermutlich|wahrscheinlich|vielleicht|evtl|eventuell|womöglich|vermutet|verdacht|verdacht auf|scheint|could be|not sure",
        Sense::Hedge,
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::NO_FIX_REASONS;

    #[test]
    fn every_reason_is_in_the_vocabulary_of_jobs() {
        for (words, reason) in NO_FIX {
            assert!(NO_FIX_REASONS.contains(&reason), "{words}");
        }
    }
}
