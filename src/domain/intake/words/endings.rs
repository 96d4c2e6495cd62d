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
    lexicon.add_all(NEEDS_ITS_PART, &Sense::NoFix("part-unobtainable"));
    for (words, remark) in REMARKS {
        lexicon.add_all(words, &Sense::Remark(remark));
    }
    for (words, sense) in PLAIN {
        lexicon.add_all(words, &sense);
    }
}

const ENDS: [(&str, End); 19] = [
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
        "hält|gehalten|keine rückläufer|nicht wiedergekommen|läuft immer noch|hat gehalten|kein rückläufer|keine reklamation|kam nicht wieder|bisher keine reklamation|nicht zurückgekommen|immer noch ok|keine beanstandung|reklamationsfrei|garantiezeit ohne reklamation",
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
    (
        "no feedback|no feedback yet|no news|no news yet|not heard back|nothing heard|waiting to hear|too early to say|to be seen|time will tell|still to be confirmed|unconfirmed|keine rückmeldung|noch keine rückmeldung|nichts mehr gehört|nichts gehört|noch offen|muss sich zeigen|bleibt abzuwarten|abwarten",
        End::Unknown,
    ),
    (
        "up and running|runs|all working|works a treat|works perfectly|works like new|works great|all functions work|all functions working|all functions good|functions ok|function good|test passed|tests passed|passes all tests|passed all tests|passed qc|qc ok|qc pass|qc passed|ok on test|ok on bench|ok on soak|good on bench|good on test|soak ok|soaked ok|soaked overnight ok|ran overnight ok|overnight test ok|24h test ok|load tested ok|tested under load|tested under load ok|operates ok|operates normally|operating normally|normal operation|normal again|back to normal|healthy|recovered|fault cured|fault fixed|repaired and tested|fixed and tested|tested and working|all tested|boots to desktop|boots to menu|starts ok|starts fine|starts up ok|starts up now|powers up fine|powers on ok|powers up now|comes up ok now|links up|link up|links ok|charges fine|charging fine|takes charge now|picture ok now|picture now|display back|display works|display fine|sound back|reads ok now|reads right now|calibrates ok|no more resets|no more restarts|no more trips|resolved|issue resolved|job done|happy now|ready to ship|ready for collection|collected|returned to customer working|delivered ok",
        End::Good,
    ),
    (
        "läuft gut|läuft problemlos|läuft fehlerfrei|läuft normal|läuft wieder einwandfrei|läuft ohne fehler|läuft durch test|arbeitet wieder|arbeitet normal|arbeitet einwandfrei|wieder funktionstüchtig|funktionstüchtig|betriebsbereit|einsatzbereit|wieder einsatzbereit|alles läuft|alles funktioniert|alle funktionen ok|alle funktionen i.o|funktionen ok|funktionsprüfung ok|funktionsprüfung i.o|funktionsprüfung bestanden|funktionstest bestanden|alle tests bestanden|prüfung bestanden|endprüfung ok|endprüfung i.o|endkontrolle ok|endkontrolle i.o|qs ok|probelauf i.o|lasttest i.o|unter last ok|unter last getestet|unter last i.o|über nacht ok|über nacht gelaufen|über nacht getestet|nachttest ok|24h test i.o|dauerbetrieb ok|repariert und getestet|geprüft und ok|geprüft und i.o|alles geprüft|startet normal|startet einwandfrei|startet sauber|bootet durch|bootet sauber|fährt wieder hoch|fährt jetzt hoch|lädt normal|lädt einwandfrei|lädt ok|bild ok|bild wieder ok|anzeige ok|anzeige wieder da|anzeige wieder ok|display wieder da|ton wieder da|ton ok|verbindung ok|verbindung wieder da|kommunikation ok|kommunikation wieder da|misst wieder richtig|gelöst|problem gelöst|problem behoben|problem weg|erledigt|fertig|abgeholt|ausgeliefert|repariert zurück|störung weg|störung behoben|keine störung mehr|kein fehler mehr|keine neustarts mehr|wieder heil|tut wieder|tut jetzt|tuts wieder|springt wieder an|geht einwandfrei|geht wieder normal|geht wieder an",
        End::Good,
    ),
    (
        "held up|held up fine|holds up|still holding|still ok after|still fine after|still works after|still working after|no trouble since|no problems since|no problem since|no fault since|not seen since|not seen again|never seen again|never returned|has not returned|hasnt returned|did not return|didnt return|not back since|fine since|no complaints since|customer happy after|checked after 3 months ok|still in service|in service since|in use since",
        End::Held,
    ),
    (
        "hält seit|hält weiter|hält bis heute|läuft seit|läuft bis heute|seither ok|seither i.o|seither keine störung|seither kein fehler|seitdem ok|seitdem i.o|seitdem keine störung|seitdem kein fehler|seitdem keine probleme|seither keine probleme|keine probleme mehr seit|nie wiedergekommen|nie wieder gekommen|nicht wieder aufgetreten|fehler nicht wieder aufgetreten|kein wiederauftreten|nicht mehr aufgetreten|bisher ok|bislang ok|bisher kein rückläufer|bislang keine reklamation|kam nie zurück|kam nicht zurück|immer noch i.o|weiterhin ok|weiter in betrieb|noch in betrieb",
        End::Held,
    ),
    (
        "not worth fixing at all|not fixable|cannot be fixed|cant be fixed|could not fix|couldnt fix|unable to repair|unable to fix|no repair possible|repair not possible|repair impossible|impossible to repair|repair failed|repair unsuccessful|repair abandoned|repair aborted|work stopped|stopped work|stopped here|job stopped|no further work|returned not repaired|returned as is|returned unfixed|sent back unrepaired|went back unrepaired|back unrepaired|condemned|dumped|recycled|disposed|disposed of|weee|to scrap|scrap it|board scrapped|unit scrapped|for spares|spares only|spares or repair|kept for spares|kept for parts|parts only|broken for parts|toasted beyond repair|past saving|beyond saving|lost cause|hopeless|dead loss|total loss|write-off",
        End::NoFix,
    ),
    (
        "nicht instandsetzbar|instandsetzung nicht möglich|nicht machbar|nicht mehr zu retten|nicht zu retten|nicht mehr reparabel|nicht mehr zu reparieren|keine instandsetzung|reparatur abgebrochen|reparatur aufgegeben|reparatur erfolglos|reparatur gescheitert|reparaturversuch gescheitert|arbeit abgebrochen|arbeit eingestellt|unrepariert abgeholt|unrepariert retour|unrepariert zurückgegeben|nicht repariert zurück|defekt zurück|defekt zurückgegeben|ohne reparatur zurückgegeben|zurück ohne reparatur|zum schrott|auf den schrott|wird verschrottet|wird entsorgt|zur entsorgung|zur verschrottung|ausgesondert|als ersatzteilspender|teilespender|nur noch ersatzteile|für ersatzteile|hoffnungslos|hoffnungsloser fall|nix zu machen|nichts zu machen|nicht zu machen",
        End::NoFix,
    ),
];

const NO_FIX: [(&str, &str); 32] = [
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
    (
        "no longer economical|no longer economic|not economically viable|not economically repairable|uneconomical to repair|uneconomic to repair|uneconomical repair|not economical to repair|not economic to repair|repair not economical|repair uneconomic|repair uneconomical|repair not worth it|repair too expensive|repair too costly|too dear|cost too high|costs too high|quote too high|cheaper to replace|cheaper to buy new|cheaper new|new one cheaper|new board cheaper|replacement cheaper|not worth the money|not worth fixing|not worth the effort|worth less than repair|cost exceeds value|costs exceed value|repair exceeds value|exceeds board value|over budget|over limit price|economic write-off|economic total loss|economical total loss|constructive total loss",
        "value-exceeded",
    ),
    (
        "nicht mehr wirtschaftlich|wirtschaftlich nicht sinnvoll|wirtschaftlich nicht vertretbar|nicht rentabel|unrentabel|reparatur zu teuer|reparatur nicht wirtschaftlich|reparatur lohnt sich nicht|lohnt sich nicht mehr|lohnt nicht mehr|lohnt den aufwand nicht|aufwand zu hoch|aufwand zu groß|zu hoher aufwand|zu aufwendig|zu aufwändig|reparaturkosten zu hoch|kosten über wert|kosten höher als wert|kosten übersteigen zeitwert|übersteigt zeitwert|übersteigt den wert|zeitwert überschritten|über zeitwert|wert überschritten|neu ist billiger|neu billiger|neugerät billiger|neukauf günstiger|ersatz billiger|austauschgerät günstiger|wirtschaftlicher ts|wts",
        "value-exceeded",
    ),
    (
        "no spare part|no spare parts|spare not available|spares not available|spare part not available|spare part unavailable|spare unavailable|cannot get parts|cant get parts|cant get the part|cannot get the part|could not get part|couldnt get part|part cannot be sourced|cannot source part|cannot source|unable to source|unable to source part|part not obtainable|parts not obtainable|parts unobtainable|chip unobtainable|ic unobtainable|ic obsolete|chip obsolete|parts obsolete|end of life part|part is eol|ic eol|custom ic|custom chip|custom part not available|asic not available|unobtanium|no source for part|no source for ic|no supplier|lead time too long|52 weeks lead time|no donor board|no donor available|ic not obtainable|part discontinued no stock|part out of production|no longer manufactured",
        "part-unobtainable",
    ),
    (
        "ersatzteil nicht mehr lieferbar|ersatzteil nicht mehr erhältlich|ersatzteil nicht mehr verfügbar|ersatzteil nicht beschaffbar|ersatzteil nicht zu bekommen|ersatzteil fehlt|ersatzteile nicht lieferbar|ersatzteile nicht verfügbar|ersatzteile nicht mehr lieferbar|keine ersatzteile mehr|keine ersatzteile verfügbar|kein ersatz|kein ersatz lieferbar|kein ersatz verfügbar|kein ersatz erhältlich|kein teil zu bekommen|keine teile zu bekommen|keine teile mehr|teil nicht mehr lieferbar|teil nicht erhältlich|teil nicht mehr erhältlich|teil nicht verfügbar|teil nicht zu bekommen|teile nicht lieferbar|teile nicht verfügbar|bauteil nicht mehr lieferbar|bauteil nicht erhältlich|bauteil nicht verfügbar|bauteil nicht beschaffbar|bauteil abgekündigt|bauteile abgekündigt|ic abgekündigt|ic nicht mehr lieferbar|ic nicht erhältlich|ic nicht verfügbar|ic nicht beschaffbar|chip nicht lieferbar|chip nicht erhältlich|chip abgekündigt|kunden-ic|sonderbauteil nicht lieferbar|nicht lieferbares bauteil|kein spenderboard|kein spender|lieferzeit zu lang|kein lieferant|nicht erhältlich",
        "part-unobtainable",
    ),
    (
        "cpu defective|cpu faulty|cpu bad|bad cpu|cpu failed|cpu blown|cpu cooked|cpu internal short|cpu internally shorted|cpu damaged|cpu short circuit|processor defective|processor faulty|processor bad|processor failed|processor damaged|processor blown|processor internally shorted|soc defective|soc faulty|soc bad|bad soc|soc failed|soc damaged|mcu defective|mcu faulty|mcu bad|mcu gone|mcu failed|mcu fried|mcu shorted|mcu blown|micro dead|micro gone|micro fried|microcontroller dead|microcontroller defective|main chip dead|main chip shorted|ram defective|ram faulty|ram bad|bad ram|memory defective|memory faulty|memory bad|bad memory|nand defective|nand faulty|nand bad|bad nand|emmc defective|emmc faulty|emmc bad|bad emmc|emmc worn out|flash worn out|fpga defective|fpga shorted|fpga gone|gpu dead|dead gpu|gpu defective|gpu faulty|gpu shorted",
        "processor-or-memory-dead",
    ),
    (
        "cpu kaputt|cpu durch|cpu kurzschluss|cpu durchgebrannt|cpu intern kurzgeschlossen|cpu hat kurzschluss|cpu verbrannt|cpu gestorben|prozessor kaputt|prozessor durch|prozessor durchgebrannt|prozessor hin|prozessor verbrannt|prozessor hat kurzschluss|prozessor intern kurzgeschlossen|hauptprozessor tot|hauptprozessor kaputt|soc kaputt|soc kurzschluss|soc durch|soc hin|mcu tot|mcu kaputt|mcu hin|mcu durch|mcu kurzschluss|controller tot|mikrocontroller tot|mikrocontroller kaputt|mikrocontroller hin|speicher kaputt|speicher hin|speicherchip defekt|ram kaputt|ram tot|ram hin|emmc defekt|emmc tot|emmc kaputt|nand defekt|nand tot|nand kaputt|flash defekt|flash tot|fpga tot|fpga kaputt|fpga hin|gpu defekt|gpu tot|gpu kaputt|rechner-ic defekt",
        "processor-or-memory-dead",
    ),
    (
        "board burned through|board burnt out|board carbonised through|board charred beyond repair|board holed|board cracked through|board snapped|board broken in two|board in two pieces|pcb snapped|pcb cracked through|pcb carbonised|pcb carbonized|pcb burned through|pcb destroyed by heat|burned through|burnt a hole|hole burned|burnt hole in board|hole in the board|hole in the pcb|inner layers gone open|too many pads gone|pads all gone|pads torn off|all pads lifted|too many lifted pads|traces eaten away everywhere|laminate charred|laminate burned|laminate delaminated|layers delaminated|layers separated|substrate burnt|copper gone|board rotted|board rotten|corroded beyond repair|too corroded|corroded through everywhere",
        "laminate-destroyed",
    ),
    (
        "platine durchgeschmort|platine verschmort|platine gebrochen|platine durchgebrochen|platine zerbrochen|platine nicht mehr zu retten|platine hinüber|platine durchkorrodiert|platine zerfressen|platine weggefressen|leiterplatte durchgeschmort|leiterplatte verschmort|leiterplatte gebrochen|leiterplatte delaminiert|leiterplatte zerfressen|board durchgebrannt|board verkohlt|board zerstört|board gebrochen|loch gebrannt|loch eingebrannt|durchgebrannt bis innenlage|innenlage zerstört|innenlage verbrannt|innenlagen durchgebrannt|lagen verbrannt|lagen getrennt|delamination|laminat zerstört|laminat verbrannt|laminat verkohlt|zu stark korrodiert|korrosion zu stark|zu stark beschädigt|zu viele pads abgerissen|pads abgerissen nicht rettbar",
        "laminate-destroyed",
    ),
    (
        "customer declines|customer declines repair|customer declined repair|customer declined quote|customer does not want repair|customer does not want|customer doesnt want repair|customer did not want|customer decided against|customer decided not to|decided against repair|customer said dont|customer turned down|turned down quote|quote turned down|quote not accepted|estimate rejected|estimate not accepted|estimate turned down|offer declined|offer rejected|offer refused|repair declined|repair refused|repair rejected|repair not wanted|repair not authorised|repair not authorized|not authorised|not authorized|not approved|quote not approved|no approval|no go ahead|no go-ahead|customer withdrew|customer withdrew job|withdrawn by customer|cancelled by customer|canceled by customer|job cancelled|order cancelled|customer wants unit back|customer wants it back unrepaired|wants it back|customer bought new|customer bought a new one|bought a new one|customer replaced unit|customer not willing|customer unwilling|too expensive for customer|client declined|client refused|client said no|owner declined|owner said no|owner refused",
        "customer-declined",
    ),
    (
        "kunde lehnt reparatur ab|kunde lehnt die reparatur ab|kunde lehnt kv ab|kunde lehnt kva ab|kunde lehnt kostenvoranschlag ab|kunde lehnt angebot ab|lehnt ab|lehnt reparatur ab|lehnt kv ab|lehnt kva ab|lehnt angebot ab|kunde lehnte ab|kunde lehnte reparatur ab|kunde will keine reparatur|kunde will nicht reparieren|kunde will nicht reparieren lassen|kunde will gerät zurück|kunde will unrepariert zurück|kunde möchte keine reparatur|kunde möchte gerät zurück|kunde möchte nicht reparieren|kunde nicht einverstanden|kunde nicht bereit|kunde hat storniert|kunde zieht zurück|kunde zieht auftrag zurück|kunde verzichtet auf reparatur|kunde kauft neu|kunde hat neu gekauft|kunde hat neugerät|kunde hat abgesagt|kunde zu teuer|dem kunden zu teuer|kunden zu teuer|für kunden zu teuer|kva abgelehnt|kv nicht angenommen|kva nicht angenommen|kv nicht freigegeben|kva nicht freigegeben|nicht freigegeben|keine freigabe|keine freigabe vom kunden|freigabe nicht erteilt|kostenvoranschlag nicht angenommen|angebot nicht angenommen|auftrag storniert|auftrag zurückgezogen|storno|storno kunde|vom kunden storniert|auf wunsch unrepariert|auf kundenwunsch unrepariert|auf kundenwunsch zurück|auf kundenwunsch abgebrochen|reparatur nicht gewünscht|reparatur nicht beauftragt|reparatur vom kunden abgelehnt",
        "customer-declined",
    ),
    (
        "unsafe to continue|unsafe to return|unsafe to power|unsafe to work on|not safe to return|not safe to power|not safe to work on|cannot be made safe|cant be made safe|could not be made safe|safety risk|safety hazard|fire risk|fire hazard|hazardous|dangerous|too dangerous|swollen pack unsafe|pack unsafe|battery unsafe|pack swollen not repaired|manufacturer repair only|maker repair only|makers only|return to maker|return to manufacturer|sent to manufacturer|refer to manufacturer|referred to manufacturer|referred to maker|certified repair only|approved repairer only|medical device not repaired|life safety device|safety device not repaired|safety relay not repaired|safety unit not repaired|brake controller not repaired|airbag unit not repaired|insulation failed|failed insulation test|failed safety test|failed electrical safety test|fails safety test|atex not repaired",
        "unsafe-or-safety-critical",
    ),
    (
        "sicherheitsrisiko|brandgefahr|brandrisiko|gefährlich|zu gefährlich|lebensgefährlich|nicht sicher zu reparieren|nicht sicher reparabel|nicht betriebssicher|nicht mehr betriebssicher|betriebssicherheit nicht gegeben|sicherheit nicht gewährleistet|sicherheit nicht gegeben|darf nicht repariert werden|sicherheitsbaugruppe|sicherheitsbauteil nicht repariert|sicherheitsgerät|sicherheitsgerichtet|nur vom hersteller|nur durch den hersteller|herstellerreparatur|an hersteller verwiesen|an den hersteller verwiesen|an hersteller weitergeleitet|zum hersteller geschickt|an hersteller|nur fachbetrieb|akku gefährlich|akku aufgebläht nicht repariert|isolationsfehler nicht behebbar|isolationsprüfung nicht bestanden|sicherheitsprüfung nicht bestanden|vde-prüfung nicht bestanden|vde prüfung nicht bestanden|ex-gerät nicht repariert",
        "unsafe-or-safety-critical",
    ),
    (
        "data saved|data rescued|data rescued only|data retrieved|data extracted|data extracted only|data backed up only|only data saved|only data rescued|only data wanted|only wanted data|customer only wanted data|customer wanted data only|customer only wanted the data|data copied off|data copied only|data recovery done only|pulled data only|data pulled only|data dumped only|data out only|photos recovered only|files recovered only",
        "data-only-recovered",
    ),
    (
        "nur die daten|nur daten gewünscht|nur daten gewollt|kunde wollte nur daten|kunde wollte nur die daten|nur daten ausgelesen|daten ausgelesen nicht repariert|nur datensicherung|datensicherung|nur daten kopiert|daten kopiert|daten gerettet nicht repariert|nur datenrettung gewünscht|datenrettung erfolgreich|nur daten wiederhergestellt|daten wiederhergestellt|nur bilder gerettet",
        "data-only-recovered",
    ),
    (
        "no cause found|cause not found|no root cause|root cause not found|fault not traced|fault never found|could not trace|couldnt trace|cannot trace|unable to trace|unable to locate|unable to find|unable to find fault|unable to find cause|could not find cause|couldnt find the fault|could not find the fault|couldnt find cause|nothing found in time|gave up looking|gave up after|gave up searching|search abandoned|search stopped|time box used up|time box exceeded|timebox exceeded|timebox used up|time budget used up|time budget exceeded|time allowance used up|time allowed used up|time expired|budget used up|hours used up|too long to find|took too long|would take too long|spent too long|stopped after 2h|stopped searching|fault elusive|cannot pin down|couldnt pin down|not pinned down|could not narrow down|not narrowed down",
        "not-located-in-time-box",
    ),
    (
        "fehler nicht zu finden|fehler nicht gefunden in|fehler nicht eingrenzbar|nicht eingrenzbar|fehler nicht einzugrenzen|nicht einzugrenzen|ursache nicht feststellbar|ursache nicht zu finden|ursache nicht ermittelbar|ursache nicht ermittelt|ursache unbekannt abgebrochen|keine ursache gefunden|fehlerursache unklar|fehlerursache nicht ermittelt|fehlersuche abgebrochen|fehlersuche eingestellt|fehlersuche aufgegeben|fehlersuche erfolglos|suche abgebrochen|suche aufgegeben|suche eingestellt|suche erfolglos|nach 2h aufgegeben|nach 2 h aufgegeben|zeitbudget aufgebraucht|zeitbudget überschritten|zeitlimit überschritten|zeitvorgabe überschritten|zeitvorgabe erreicht|zeit um|zeitrahmen erreicht|zeitrahmen ausgeschöpft|stundenlimit erreicht|dauert zu lange|dauerte zu lange|zu zeitaufwendig|nicht lokalisiert in der zeit|fehler nicht auffindbar abgebrochen",
        "not-located-in-time-box",
    ),
];

/// Say that a part cannot be had, where a part is named before them or the column is for endings.
pub const NEEDS_ITS_PART: &str = "not available|not available any more|not available anymore|no longer available|no longer made|no longer stocked|out of stock|out of production|on back order|nla|nicht verfügbar|nicht mehr verfügbar|nicht zu bekommen|nicht mehr zu bekommen|nicht zu beschaffen|nicht mehr beschaffbar|wird nicht mehr hergestellt|ausverkauft";

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
