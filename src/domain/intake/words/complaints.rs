//! Customer's words, and where a board had been.
//!
//! Common practice, no source.

use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::sense::Sense;

/// Adds the words.
pub fn add(lexicon: &mut Lexicon) {
    for (words, code) in COMPLAINTS {
        lexicon.add_all(words, &Sense::Complaint(code));
    }
    for (words, id) in ENVIRONMENT {
        lexicon.add_all(words, &Sense::Environment(id.into()));
    }
}

const COMPLAINTS: [(&str, &str); 36] = [
    (
        "no power|no pwr|no-pwr|nopower|wont power on|wont power up|wont turn on|doesnt turn on|doesnt power on|does not power on|does not turn on|not powering on|not powering up|not turning on|will not power on|will not turn on|wont switch on|doesnt switch on|no life|no signs of life|no sign of life|completely dead|totally dead|dead unit|unit dead|stone dead|dead as a doornail|no lights|no leds|dead|no reaction|no response|does nothing|won't turn on|np|no pwr on|cant power on|doesnt come on|wont come on|no power on|powers not on|nothing happens when switched on",
        "no-power",
    ),
    (
        "tot|komplett tot|völlig tot|keine funktion mehr|geht nicht an|lässt sich nicht einschalten|schaltet nicht ein|keine reaktion|ohne funktion|geht nicht mehr an|startet nicht mehr|gerät tot|mausetot|keine lebenszeichen|kein lebenszeichen|reagiert nicht|springt nicht an|nicht einschaltbar|kein strom|keine leds|tut nichts|kein power|lässt sich nicht mehr einschalten",
        "no-power",
    ),
    (
        "no charge|no charging|wont charge|doesnt charge|does not charge|not charging|will not charge|no chg|not chg|charge fault|doesnt take charge|stopped charging|charging fault|no chrg|cant charge|battery not charging",
        "no-charge",
    ),
    (
        "lädt nicht|lädt nicht mehr|kein laden|akku lädt nicht|keine ladung|ladefehler|ladung geht nicht|lädt akku nicht|lädt den akku nicht|keine ladefunktion",
        "no-charge",
    ),
    (
        "no start|wont start|wont boot|doesnt boot|doesnt start|does not boot|does not start|no boot|not booting|not starting|will not boot|will not start|stuck at logo|stuck on logo|logo loop|hangs at boot|hangs on boot|stuck in boot|no post|boot fail|fails to boot|fails to start|never boots|nobootup|freezes at logo",
        "no-start",
    ),
    (
        "startet nicht|bootet nicht|fährt nicht hoch|bleibt beim logo hängen|hängt beim booten|kein start|hängt beim start|bootet nicht mehr|läuft nicht an|bleibt beim start hängen|fährt nicht mehr hoch|hängt im logo",
        "no-start",
    ),
    (
        "starts then stops|starts then dies|starts and stops|starts and dies|shuts down|shuts off|dies after|turns off|switches off|turns itself off|switches itself off|cuts out|powers off|shuts down after a minute|turns on then off|comes on then goes off|dies after a few seconds|on then off|powers down|runs then stops|runs then dies|starts then off|goes off again|shutting down|shuts itself down|powers on then off|dies after a while",
        "starts-then-stops",
    ),
    (
        "geht an und wieder aus|geht wieder aus|schaltet ab|schaltet wieder ab|geht aus|startet und geht aus|schaltet sich ab|geht nach kurzer zeit aus|schaltet nach kurzer zeit ab|startet kurz und geht aus|geht sofort wieder aus|läuft an und geht aus|schaltet sich aus|geht kurz an|schaltet wieder aus|fällt aus|startet und schaltet ab|geht immer wieder aus",
        "starts-then-stops",
    ),
    (
        "restarts|reboots|keeps restarting|keeps rebooting|reboot loop|boot loop|bootloop|resets itself|resets|random reboots|random resets|reboots randomly|restart loop|restarting|rebooting|keeps resetting|reboots itself|boot-loop|random restarts|resetting|power cycles",
        "restarts",
    ),
    (
        "startet neu|startet ständig neu|startet immer wieder neu|bootschleife|neustarts|rebootet|startet dauernd neu|reset schleife|neustart|bootet ständig neu|ständige neustarts|resettet|macht neustart|startet laufend neu",
        "restarts",
    ),
    (
        "no display|blank screen|black screen|no picture|dark screen|no backlight|screen dark|screen black|screen blank|display dead|display dark|no image|dead display|display blank|no screen|white screen|lines on screen|screen flickers|display flickers|no disp|nothing on screen|no lcd|backlight out|no video|no touch|blank display|screen dead|flickering screen|display black|dim screen|lcd dark|no image on screen|dark display|display off|backlight dead",
        "no-display",
    ),
    (
        "kein bild|bild schwarz|display dunkel|display schwarz|bildschirm schwarz|keine anzeige|display tot|anzeige dunkel|keine hintergrundbeleuchtung|kein display|display flackert|anzeige flackert|bildschirm dunkel|anzeige tot|anzeige schwarz|keine beleuchtung|display ohne funktion|display bleibt dunkel|anzeige bleibt dunkel|bild flackert|touch ohne funktion|bildschirm bleibt schwarz|kein touch|keine displayanzeige|backlight aus|display zeigt nichts|hintergrundbeleuchtung aus|anzeige fehlt|bleibt dunkel",
        "no-display",
    ),
    (
        "no link|no comms|no communication|no can|no network|no usb|no ethernet|no data|comms fault|comms fail|comms lost|no bus|bus fault|no wifi|no wi-fi|no bluetooth|link down|not seen on bus|not seen on network|no connection|can fault|lost comms|no gps|no gnss|no rs485|no rs-485|no nmea|no com|usb dead|network dead|can dead|no lan|no signal from bus|comms dead|comms error|no rx|not detected|drops off the bus|drops off network|not recognised|not recognized|bus error|usb not recognised|can error|no fix from gps|network link down|no modbus|no serial|no link light",
        "no-link",
    ),
    (
        "keine verbindung|keine kommunikation|kein netzwerk|kein can|kein bus|busfehler|kommunikationsfehler|kein usb|wird nicht erkannt|kein wlan|kein gps|kommunikation gestört|keine daten|can bus fehler|can-fehler|kein link|verbindungsabbruch|keine busverbindung|keine datenverbindung|verbindung bricht ab|nicht erreichbar|kein lan|busausfall|usb wird nicht erkannt|kein ethernet|schnittstelle tot|kein empfang",
        "no-link",
    ),
    (
        "wrong reading|wrong readings|reads wrong|bad reading|false reading|reads low|reads high|reading off|incorrect reading|wrong value|wrong values|wrong temp|readings off|drifts off|reading drifts|erratic readings|jumpy readings|false readings|wrong depth|shows wrong|inaccurate|readings wrong|wrong display value|wrong temperature|measures wrong|readings jump|wrong speed|out of cal|reading wrong",
        "wrong-reading",
    ),
    (
        "falsche werte|falscher wert|zeigt falsch an|falsche anzeige|messwert falsch|misst falsch|zeigt falsche werte|falsche messwerte|werte springen|messwerte falsch|falsche temperatur|werte falsch|falscher messwert|ungenaue messwerte|falschanzeige|messwert springt|messwerte springen|zeigt falsche temperatur",
        "wrong-reading",
    ),
    (
        "output stuck|stuck on|stuck off|output stuck on|output stuck off|relay stuck|always on output|wont switch off|wont turn off|cant switch off|output always on|stays on|relay stuck on|output wont turn off|pump always on|pump runs on|wont stop|valve stuck|output wont switch off",
        "output-stuck",
    ),
    (
        "ausgang klemmt|ausgang hängt|relais klebt|lässt sich nicht ausschalten|geht nicht aus|ausgang dauernd an|schaltet nicht ab|ausgang immer an|pumpe läuft dauernd|relais hängt|bleibt an|dauernd an|ausgang dauerhaft an|ausgang bleibt an|läuft dauernd",
        "output-stuck",
    ),
    (
        "no output|output missing|output dead|one output dead|channel dead|one channel dead|no sound|no audio|one phase missing|no drive|motor wont run|pump dead|motor dead|fan not running|no spark|no output voltage|output not working|no motor|motor doesnt run|heater dead|no heat|no pump|lamp out|no out|no transmit|no tx|pump wont run|output fails|motor does not run|fan dead|channel out|no relay|heater not working|no speed|no steering output|output off|relay not pulling in|output not switching|motor not turning",
        "output-missing",
    ),
    (
        "kein ausgang|ausgang fehlt|ausgang tot|kein ton|kanal tot|ein kanal tot|motor läuft nicht|pumpe läuft nicht|keine ausgangsspannung|lüfter steht|phase fehlt|ausgang ohne funktion|ein kanal fehlt|kein ausgangssignal|relais zieht nicht an|lüfter läuft nicht|heizung geht nicht|heizt nicht|pumpe geht nicht|motor dreht nicht|relais schaltet nicht|ausgang schaltet nicht|kanal fehlt|kein sound|kanal ohne funktion|motor steht|ein ausgang tot",
        "output-missing",
    ),
    (
        "trips|alarm|alarms|fault code|error code|trips on start|trips breaker|overtemp alarm|false alarm|false trip|over current trip|overcurrent trip|trips on enable|fault light|fault led|error on display|trips out|trips under load|oc trip|overload trip|shows error|shows fault|gives error|error message|trips rcd|fault lamp|alarm light|trip|trips when enabled|trips the breaker|goes into fault|error light|overtemp trip|over temp trip|overheat alarm|error led|trips fuse|blows fuses|blows fuse|keeps blowing fuses|keeps blowing fuse",
        "trips-or-alarms",
    ),
    (
        "löst aus|alarm kommt|störung|fehlermeldung|fehlercode|sicherung fliegt|sicherung fliegt raus|fi fliegt|fi löst aus|überstrom|übertemperatur|zeigt fehler|störmeldung|fehleranzeige|meldet fehler|geht auf störung|löst sicherung aus|überstromfehler|übertemperaturfehler|überstromabschaltung|löst fi aus|schutzschalter löst aus|störungsmeldung|error im display|meldet störung",
        "trips-or-alarms",
    ),
    (
        "intermittent|intermittently|comes and goes|sporadic|sometimes|now and then|random fault|works sometimes|on/off fault|occasional|occasionally|loose contact|intermit|intermittent fault|interm|int fault|on and off fault|cuts in and out|works when cold|fails when warm|fails when hot|fails warm|works cold|when tapped|only when warm|only when cold",
        "intermittent",
    ),
    (
        "sporadisch|zeitweise|wackelkontakt|gelegentlich|manchmal|ab und zu|aussetzer|hat aussetzer|unregelmäßig|setzt aus|sporadische aussetzer|wackler|zeitweise ausfall|kommt und geht|hin und wieder|sporadischer ausfall|temporär|fällt sporadisch aus|wenn warm|im warmen zustand|nur im kalten zustand",
        "intermittent",
    ),
    (
        "noise|smell|smells burnt|burning smell|buzzing|whine|whining|smoke|smoked|smoking|buzz|burnt smell|hum|humming|squeal|magic smoke|smelled burnt|smells|coil whine|bang|went bang|smells of burning|clicking noise|clicking|crackling|smoke came out|loud pop|popped and smoked|smells funny|hissing|noise from psu|crackle",
        "noise-or-smell",
    ),
    (
        "geruch|brandgeruch|brummen|pfeift|pfeifen|riecht verbrannt|rauch|geraucht|knall|stinkt|verbrannter geruch|surrt|riecht|knistert|rauchentwicklung|es hat geknallt|hat geraucht|qualmt|hat gequalmt|rauch aufgestiegen|riecht verschmort|schmorgeruch|fiept|summt|rauschen|geräusch|geräusche|klackert|klickt|hat geknallt",
        "noise-or-smell",
    ),
    (
        "liquid|liquid entry|liquid damage|water damage|water entry|water ingress|got wet|wet|spill|spilled|coffee spill|flooded|flood|swam|liquid spill|water in unit|water inside|moisture|drowned|submerged|dropped in water|fell in water|rain got in|splashed|water in case|under water|went swimming|sea water ingress|salt water ingress|drink spill|coke spill|juice spill|beer spill|water got in|damp|liquid dmg|water dmg|spillage|soaked|rain ingress|was wet|sat in water|fell overboard|spilt|coffee spilt|tea spilled|tea spilt|wine spilled|coffee spilled|h2o|ingress|rained in|washed out",
        "liquid-entry",
    ),
    (
        "wasserschaden|flüssigkeitsschaden|flüssigkeit|nass geworden|nass|wasser eingedrungen|wassereinbruch|kaffee drüber|feucht|feuchtigkeit|ins wasser gefallen|wassereintritt|kaffee verschüttet|wasser drin|wasser im gehäuse|feuchtigkeitsschaden|überflutet|unter wasser|cola drüber|verschüttet|flüssigkeit eingedrungen|feuchteschaden|regen eingedrungen|war nass|feuchtigkeit eingedrungen|abgesoffen|getränk verschüttet|seewasser eingedrungen|wasserkontakt|wasser gekommen|bier drüber|salzwasser eingedrungen|in salzwasser gefallen|feuchte",
        "liquid-entry",
    ),
    (
        "dropped|drop damage|impact|fall damage|fell off|was dropped|crushed|physical damage|crash damage|impact damage|run over|shock damage|drop dmg|fell down|after a fall|after drop|after a drop|dropped on floor|dropped on deck|fell from|phys damage",
        "impact",
    ),
    (
        "gestürzt|sturz|sturzschaden|heruntergefallen|runtergefallen|stoß|schlag|mechanischer schaden|fallschaden|fallen gelassen|aufprall|mechanisch beschädigt|hingefallen|stoßschaden|nach sturz|umgefallen|runter gefallen|herunter gefallen|transportschaden|unfall|nach einem sturz",
        "impact",
    ),
    (
        "surge|lightning|miswire|miswired|reverse polarity|wrong polarity|polarity reversed|lightning strike|power surge|jump start|jump started|24v on 12v|wrong voltage|wrong adapter|wired wrong|overvoltage event|reversed polarity|reverse connected|wrong charger|wrong supply|connected backwards|hooked up backwards|nearby lightning|struck by lightning|battery reversed|reverse battery|reversed|wrong psu|thunderstorm|spike|wired backwards|supply reversed|mis-wired|load dump|after jump start",
        "surge-or-miswire",
    ),
    (
        "überspannung|blitz|blitzschlag|verpolt|verpolung|falsch angeschlossen|blitzeinschlag|falsches netzteil|falsch gepolt|überspannungsschaden|falsche spannung|gewitter|starthilfe|nach gewitter|fremdgestartet|blitzschaden|verkehrt angeschlossen|falsch verdrahtet|nach blitzschlag|nach verpolung|verkehrt gepolt|fehlverdrahtung|fremdstart|nach starthilfe",
        "surge-or-miswire",
    ),
    (
        "failed after repair|after earlier repair|repaired before|repaired elsewhere|tried to fix himself|diy repair|self repair|previous repair failed|failed after earlier repair|after previous repair|repair attempt|diy attempt|customer repair attempt|other shop tried|tried elsewhere|someone tried to repair|botched repair|bodged repair|was repaired elsewhere|customer tried|customer attempted repair|attempted repair",
        "failed-after-earlier-repair",
    ),
    (
        "nach reparatur wieder defekt|vorher repariert|schon repariert|reparaturversuch|selbst repariert|bastelversuch|war schon mal hier|eigener reparaturversuch|nach fremdreparatur|fremdrepariert|kunde hat gebastelt|reparaturversuch vom kunden|reparaturversuch kunde|selbst versucht|anderswo repariert",
        "failed-after-earlier-repair",
    ),
    (
        "unknown fault|unknown|not stated|no info|no complaint|fault unknown|unbekannt|keine angabe|k.a|fehler unbekannt|keine info|keine angaben|unbekannter fehler|fault not stated|no description|no details|ohne angabe|k a",
        "unknown",
    ),
    (
        "doesnt work|not working|does not work|broken down|inop|inoperative|no go|faulty unit|no function|u/s unit|funktioniert nicht|keine funktion|ohne funktion|no op|nonfunctional|non functional",
        "unknown",
    ),
];

const ENVIRONMENT: [(&str, &str); 12] = [
    (
        "salt water|saltwater|sea water|seawater|salt|salty|salt spray|marine|brine|salt damage|sea spray|salt residue|salt deposits|salt crust|salt corrosion|sea|bilge|bilge water|salt water damage|salt water ingress|sea water ingress|salt water entry|saltwater ingress|fell overboard|dropped overboard|overboard",
        "salt-water",
    ),
    (
        "salzwasser|seewasser|salz|salznebel|meerwasser|gischt|salzhaltig|salzkruste|salzrückstände|salzwasserschaden|seewasserschaden|salzablagerungen|salzwasser eingedrungen|in salzwasser gefallen|seewasser eingedrungen|bilge wasser|bilgenwasser",
        "salt-water",
    ),
    (
        "fresh water|freshwater|tap water|rain|rain water|rainwater|lake water|river water|condensation|condensate|washing machine|rain got in|lake|river|rain ingress|rained in|pool water",
        "fresh-water",
    ),
    (
        "süßwasser|regen|regenwasser|leitungswasser|kondenswasser|kondensat|betauung|im regen|trinkwasser|süsswasser|tauwasser|regen eingedrungen",
        "fresh-water",
    ),
    (
        "sugar|sugary|sugery|soft drink|soda|cola|coke|juice|lemonade|coffee with sugar|syrup|beer|wine|sugary drink|energy drink|sweet tea|coke spill|juice spill|beer spill|sugary residue|sugary gunk|sugery gunk|sugar residue|sugary film|orange juice|wine spilled",
        "sugar",
    ),
    (
        "zucker|limonade|limo|saft|bier|zuckerhaltig|zuckerhaltiges getränk|wein|sirup|cola drüber|bier drüber|apfelsaft|zuckerrückstände|kaffee mit zucker|energydrink",
        "sugar",
    ),
    (
        "oil|oily|hydraulic fluid|grease|diesel|fuel|oil mist|oil film|gear oil|cutting oil|engine oil|coolant oil",
        "oil",
    ),
    (
        "öl|ölig|hydrauliköl|fett|ölnebel|ölfilm|kraftstoff|fettfilm|getriebeöl|kühlschmierstoff|schneidöl|motoröl",
        "oil",
    ),
    (
        "heat damage|engine bay|hot environment|left in sun|hitze|motorraum|hitzeschaden|engine room heat|hot cabinet|near exhaust|heat exposure|hitzeeinwirkung",
        "heat",
    ),
    (
        "impact|dropped|drop damage|was dropped|fall damage|crash damage|impact damage|vibration|vibrations|dropped on floor|dropped on deck|after a fall|after a drop|drop dmg",
        "impact",
    ),
    (
        "gestürzt|sturz|sturzschaden|heruntergefallen|runtergefallen|stoß|fallschaden|aufprall|vibrationen|erschütterung|nach sturz|runter gefallen|herunter gefallen|nach einem sturz|stoßschaden",
        "impact",
    ),
    (
        "dust|dusty|conductive dust|metal dust|staub|metallstaub|verstaubt|brake dust",
        "dust",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job;

    #[test]
    fn every_code_is_in_the_vocabulary_of_jobs() {
        for (words, code) in COMPLAINTS {
            assert!(job::COMPLAINTS.contains(&code), "{words}");
        }
    }
}
