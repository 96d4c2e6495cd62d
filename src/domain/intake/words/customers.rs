//! Further ways in which customers and counters say what is wrong, English and German.
//!
//! Common practice, no source. Some are built from a thing and what it does not do, so that "the pump
//! wont start" and "Pumpe läuft nicht an" need no line each.

use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::sense::Sense;

/// Adds the words.
pub fn add(lexicon: &mut Lexicon) {
    for (words, code) in COMPLAINTS {
        lexicon.add_all(words, &Sense::Complaint(code));
    }
    for (things, faults, code) in BUILT {
        for thing in things.split('|') {
            for fault in faults.split('|') {
                lexicon.add(&format!("{thing} {fault}"), &Sense::Complaint(code));
            }
        }
    }
}

const COMPLAINTS: [(&str, &str); 35] = [
    (
        "will not switch on|will not turn on|will not come on|powers up no more|not starting up at all|nothing at all when plugged in|no power at all|no power up|wont power|will not power up|does not power up|doesnt power up|never powers up|dead on arrival|doa|dead after storage|power button does nothing|power button dead|no reaction to power button|no reaction to button|no response to power button|not responding to power button|unresponsive|bricked|pwr dead|no standby light|no sign of power|not coming on|no longer turns on|no longer powers on|no longer switches on|stopped working|stopped dead|went dead|just died|died suddenly|died overnight|has died|gone dead|packed up|kaput",
        "no-power",
    ),
    (
        "keinerlei funktion|ohne lebenszeichen|zeigt keine reaktion|keine reaktion auf taster|keine reaktion auf ein-taster|taster ohne reaktion|lässt sich nicht starten|lässt sich nicht mehr starten|schaltet nicht mehr ein|schaltet sich nicht ein|schaltet nicht an|einschalten nicht möglich|nicht mehr einschaltbar|geht gar nicht an|geht gar nicht mehr|geht überhaupt nicht an|geht nimmer|geht nicht mehr|macht nichts mehr|macht nichts|macht keinen mucks|kein mucks|gibt keinen mucks|gerät ist tot|komplett ausgefallen|komplettausfall|totalausfall|plötzlich tot|plötzlich aus|nach lagerung tot|keine spannung am gerät|keine standby-led|keine led leuchtet|led bleibt aus|leds bleiben aus|keine lampe leuchtet|läuft nicht mehr an|springt nicht mehr an",
        "no-power",
    ),
    (
        "battery doesnt charge|battery wont charge|battery does not charge|charges slowly|charges very slowly|slow charge|slow charging|charge stops|stops charging|charging stops|charges only when off|charging light off|no charge light|no charging light|charge led off|not taking charge|does not take charge|wont take a charge|battery stays empty|battery drains|drains battery|flat battery again|battery flat again|charges then stops|charge error|only runs on mains|runs only on mains|battery not detected|no battery detected|battery not seen",
        "no-charge",
    ),
    (
        "akku wird nicht geladen|wird nicht geladen|akku lädt nicht mehr|lädt nur langsam|lädt sehr langsam|lädt langsam|laden bricht ab|ladevorgang bricht ab|lädt kurz und hört auf|keine ladeanzeige|lade-led aus|ladelampe aus|akku bleibt leer|akku immer leer|akku entlädt sich|läuft nur am netz|läuft nur mit netzteil|akku wird nicht erkannt|akku nicht erkannt|laden nicht möglich|lässt sich nicht laden|lässt sich nicht mehr laden|ladefunktion defekt|lädt kaum",
        "no-charge",
    ),
    (
        "hangs|hangs at start|hangs on start|hangs on startup|hangs at startup|freezes|freezes at start|freezes on boot|frozen|locks up|locked up|stuck at boot|stuck booting|stuck on boot screen|stuck at splash|stuck on splash screen|stuck in bootloader|stuck in recovery|does not get past logo|never gets past logo|boots to black|no bios|no bootup|no boot up|fails self test|fails to initialise|fails to initialize|no init|wont initialise|wont come up|logo then nothing|crashes on boot|crashes at start|boot error|no boot device|wont wake|wont wake up|doesnt wake up|no wake up",
        "no-start",
    ),
    (
        "bleibt hängen|hängt sich auf|friert ein|friert beim start ein|hängt beim hochfahren|bleibt beim hochfahren hängen|bleibt im logo hängen|kommt nicht übers logo|kommt nicht über logo hinaus|nur logo|startet nicht durch|fährt nicht durch|bootet nicht durch|hängt im bootloader|hängt im bootmenü|startvorgang bricht ab|start bricht ab|initialisierung schlägt fehl|initialisiert nicht|selbsttest schlägt fehl|wacht nicht auf|startet nur manchmal nicht|kommt nicht hoch|stürzt beim start ab",
        "no-start",
    ),
    (
        "runs a few seconds|runs for a few seconds|runs for a minute then stops|works for a while then stops|works for a bit then dies|works for a few minutes|stops after a while|stops after warm up|stops after a few minutes|quits after|cuts out after|switches off after|turns off after a few seconds|turns off by itself|switches off by itself|shuts down by itself|shuts off by itself|shuts off under load|cuts out under load|dies under load|dies when warm|powers up then dies|powers up then off|flashes on then off|blips on then off|comes on for a second|on for a second then off|trips off after",
        "starts-then-stops",
    ),
    (
        "geht nach einiger zeit aus|geht nach ein paar minuten aus|geht nach einer weile aus|geht nach sekunden aus|geht unter last aus|schaltet unter last ab|schaltet nach minuten ab|schaltet nach einiger zeit ab|schaltet sich selbst ab|schaltet sich von selbst aus|geht von selbst aus|geht von alleine aus|geht einfach aus|geht plötzlich aus|läuft kurz und geht aus|läuft kurz dann aus|läuft nur kurz|läuft nur wenige sekunden|bleibt nach kurzer zeit stehen|stirbt nach kurzer zeit|geht kurz an und wieder aus|geht kurz an dann aus|blitzt kurz auf|schaltet sofort wieder ab|schaltet sofort ab|geht sofort aus",
        "starts-then-stops",
    ),
    (
        "restarts by itself|restarts on its own|restarts under load|restarts constantly|restarts all the time|restarts when warm|restarts at random|reboots on its own|reboots under load|reboots constantly|reboots all the time|constant reboots|constantly rebooting|constantly restarting|continuous reboot|endless reboot|endless loop|boots over and over|stuck in loop|in a loop|resets all the time|resets on its own|resets under load|resets randomly|watchdog resets|keeps booting|spontaneous restarts|crashes and restarts|crashes and reboots",
        "restarts",
    ),
    (
        "startet von selbst neu|startet von alleine neu|startet unter last neu|startet sporadisch neu|startet zwischendurch neu|macht ständig neustarts|macht einen neustart|macht dauernd neustart|bootet immer wieder|bootet dauernd neu|bootschlaufe|hängt in bootschleife|in bootschleife|dauerbootschleife|endlosschleife|dauernde neustarts|dauernde resets|ständige resets|macht resets|resettet ständig|resettet sich|resettet dauernd|rebootet ständig|rebootet dauernd|fährt immer wieder hoch|unerwartete neustarts|watchdog schlägt zu|startet permanent neu|permanente neustarts",
        "restarts",
    ),
    (
        "screen stays dark|screen stays black|display stays dark|display stays black|stays dark|dim display|dim backlight|very dim|half the screen|half screen|lines on display|lines across screen|stripes on screen|garbled screen|garbled display|garbage on screen|garbage on display|segments missing|missing segments|missing pixels|pixels missing|dead pixels|frozen screen|only backlight|backlight only|no lcd image|lcd blank|lcd dead|oled dead|touch dead|touch not working|touch doesnt work|touch does not work|touchscreen dead|touchscreen not working|no touch response|faint picture|faint image|pink screen|green screen|blue screen|picture flickers|image flickers|flickering display|flickering backlight|no display output|no hdmi|no signal on monitor",
        "no-display",
    ),
    (
        "bild dunkel|bild zu dunkel|streifen im bild|streifen im display|streifen auf display|linien im display|linien im bild|segmente fehlen|fehlende segmente|pixelfehler|pixel fehlen|zeichensalat|wirre anzeige|nur hintergrundbeleuchtung|nur beleuchtung|bild sehr dunkel|anzeige sehr dunkel|display sehr dunkel|anzeige sehr schwach|bild weg|anzeige weg|display weg|kein lcd|lcd tot|lcd bleibt leer|anzeige leer|display leer|bildschirm leer|bildschirm tot|bildschirm bleibt dunkel|display bleibt schwarz|display bleibt aus|anzeige bleibt aus|anzeige aus|display aus|touch geht nicht|touch tot|touch reagiert nicht|touchscreen geht nicht|beleuchtung flackert|beleuchtung defekt|beleuchtung aus|beleuchtung fehlt|kein hdmi|bild verzerrt|halbes bild|bild friert ein",
        "no-display",
    ),
    (
        "not communicating|does not communicate|doesnt communicate|wont communicate|no longer communicates|communication lost|communication fault|communication error|loses connection|loses link|loses comms|drops connection|drops link|keeps disconnecting|disconnects|wont connect|doesnt connect|does not connect|cannot connect|cant connect|not connecting|no reply on bus|no answer on bus|offline|goes offline|shows offline|not found on network|not on network|no ip|no ip address|no ethernet link|bus off|bus-off|node missing|missing on bus|slave not found|slave missing|timeout on bus|bus timeout|comms timeout|pairing fails|wont pair|no wifi signal|no lte|no gsm|no sim|sim not detected|no radio link|usb not working|usb not detected|not seen by pc|not seen by laptop",
        "no-link",
    ),
    (
        "kommuniziert nicht|keine antwort am bus|antwortet nicht|keine antwort|verliert verbindung|verliert die verbindung|verbindung weg|verbindung verloren|verbindet nicht|verbindet sich nicht|kann nicht verbinden|offline|nicht im netz|nicht im netzwerk|nicht gefunden im netz|teilnehmer fehlt|teilnehmer nicht gefunden|busteilnehmer fehlt|bus-off|timeout am bus|bus-timeout|zeitüberschreitung|keine ip|keine ip-adresse|kein bluetooth|kein gsm|keine sim|sim wird nicht erkannt|kein funk|funk tot|kopplung schlägt fehl|koppelt nicht|usb geht nicht|usb tot|netzwerk tot|netzwerk geht nicht|wird vom pc nicht erkannt|pc erkennt gerät nicht|schnittstelle defekt|bus gestört|bus-störung|busstörung|fällt vom bus|datenübertragung gestört|übertragungsfehler",
        "no-link",
    ),
    (
        "reading wanders|readings wander|wandering reading|unstable reading|unstable readings|reading unstable|reading jumps|jumps about|way off|miles off|out of calibration|calibration off|wont calibrate|cannot calibrate|cant calibrate|reads backwards|shows wrong value|shows wrong temperature|shows wrong weight|shows wrong level|temperature wrong|temp wrong|level wrong|pressure wrong|weight wrong|speed wrong|clock wrong|time wrong|loses time|clock loses time|wrong time|nonsense readings|silly readings|gauge wrong",
        "wrong-reading",
    ),
    (
        "zeigt immer null|zeigt maximalwert|zeigt zu viel|zeigt zu wenig|zeigt zu hoch|zeigt zu niedrig|misst zu hoch|misst zu niedrig|misst nichts|misst nicht|messung falsch|messung springt|messwert schwankt|messwerte schwanken|anzeige springt|anzeige schwankt|anzeige driftet|messwert driftet|werte driften|werte schwanken|werte unplausibel|unplausible werte|unplausibler wert|fantasiewerte|phantasiewerte|temperatur falsch|druck falsch|gewicht falsch|füllstand falsch|drehzahl falsch|uhrzeit falsch|uhr geht falsch|uhr geht nach|lässt sich nicht kalibrieren|lässt sich nicht abgleichen|kalibrierung falsch|wiegt falsch",
        "wrong-reading",
    ),
    (
        "runs all the time|on all the time|output on all the time|never switches off|does not switch off|doesnt switch off|wont go off|wont turn itself off|always running|runs nonstop|runs continuously|relay welded|contacts welded|relay sticks|sticking relay|output latched|output stays on|output stays high|output stays low|lock on all the time|lamp stays on|motor runs on|motor keeps running|fan runs all the time|heater stays on|heats all the time|valve stays open|valve wont close|wont release|does not release",
        "output-stuck",
    ),
    (
        "läuft ständig|läuft immer|läuft durch|läuft dauerhaft|läuft nach|hört nicht auf|schaltet nicht mehr ab|schaltet nicht mehr aus|lässt sich nicht abschalten|lässt sich nicht mehr ausschalten|relais verschweißt|kontakte verschweißt|relais bleibt angezogen|relais fällt nicht ab|ausgang bleibt high|ausgang bleibt gesetzt|ausgang ständig an|ausgang ständig ein|ausgang dauernd ein|dauernd ein|immer an|ständig an|bleibt eingeschaltet|heizt ständig|heizt dauernd|motor läuft weiter|motor läuft dauernd|ventil schließt nicht|ventil bleibt offen|lampe bleibt an",
        "output-stuck",
    ),
    (
        "weak output|one channel out|one channel missing|one output missing|channel not working|channel missing|left channel dead|right channel dead|sound gone|audio dead|no mic|mic dead|no heating|does not heat|doesnt heat|wont heat|no cooling|does not cool|doesnt cool|does not pump|doesnt pump|no torque|no movement|does not move|doesnt move|wont move|does not drive|no lamp|lamp dead|light does not work|no light|no light output|relay does not click|relay doesnt click|relay does not pull in|one phase dead|phase dead|motor jerks|motor stutters|motor judders|does not fire|no ignition",
        "output-missing",
    ),
    (
        "ausgang schwach|ausgang gibt nichts|gibt nichts aus|keine ausgabe|ausgang defekt|ein ausgang defekt|ein ausgang fehlt|kanal defekt|ein kanal defekt|linker kanal tot|rechter kanal tot|ton weg|ton fehlt|mikrofon tot|heizt nicht mehr|kühlt nicht|kühlt nicht mehr|pumpt nicht|pumpt nicht mehr|fördert nicht|bewegt sich nicht|fährt nicht|dreht nicht|dreht sich nicht|motor ruckelt|motor stottert|motor brummt nur|licht geht nicht|leuchtet nicht|lampe leuchtet nicht|relais klackt nicht|eine phase fehlt|eine phase tot|kein drehmoment|zündet nicht|schaltet ausgang nicht",
        "output-missing",
    ),
    (
        "beeps|beeping|keeps beeping|bleeps|red light|red led|red lamp|led flashes red|blinks red|flashing red|error blinks|blink code|flash code|error flashes|fault flashes|displays error|display shows error|error on screen|gives fault|gives alarm|shows alarm|in alarm|alarm on|goes into alarm|goes to fault|goes into protection|protection mode|in protection|trips immediately|trips at once|trips at start|trips at power on|trips when loaded|trips on load|trips overcurrent|overcurrent fault|overload fault|overvoltage fault|undervoltage fault|undervoltage alarm|earth fault|ground fault|blows the fuse|blew fuse|pops fuses|pops the fuse|fuse keeps blowing|fuse blows|takes out the breaker|limp mode|check light on",
        "trips-or-alarms",
    ),
    (
        "piept|piepst|piepst dauernd|piept dauernd|piept ständig|rote led|rote lampe|rote led blinkt|blinkt rot|led blinkt rot|blinkcode|blinkt fehler|fehler im display|fehler auf display|zeigt fehlercode|zeigt error|meldet alarm|gibt alarm|alarm steht an|alarm geht an|geht in alarm|geht auf fehler|geht in fehler|geht in störung|auf störung|steht auf störung|störung steht an|störlampe|störlampe an|geht in schutz|schutzabschaltung|schutzschaltung spricht an|löst sofort aus|löst beim einschalten aus|löst unter last aus|löst überstrom aus|überlast|überlastfehler|unterspannungsfehler|erdschluss|erdschlussfehler|haut sicherung raus|haut die sicherung raus|haut fi raus|wirft fi raus|wirft sicherung|sicherung kommt|sicherung löst aus|sicherung brennt durch|sicherung brennt ständig durch|notlauf|geht in notlauf",
        "trips-or-alarms",
    ),
    (
        "works off and on|off and on|on and off|some days|every now and then|once in a while|from time to time|at times|only sometimes|sometimes works|works now and then|works when pressed|works if pressed|works when tapped|works if tapped|works when twisted|works when cold only|fails when hot only|cuts in and out|drops in and out|comes back after a knock|goes away when tapped|only after warm up|after warming up|after an hour|after some time|not always|random faults|random failures|sporadically|erratic|erratically|unreliable|temperamental|glitches|glitchy",
        "intermittent",
    ),
    (
        "mal geht es mal nicht|geht mal mal nicht|mal ja mal nein|nur manchmal|nicht immer|von zeit zu zeit|immer mal wieder|gelegentliche ausfälle|gelegentlicher ausfall|sporadische ausfälle|sporadische fehler|sporadischer fehler|zeitweilig|zeitweise ausfälle|zeitweiliger ausfall|wackelig|wackelkontakt vermutet|auf klopfen|beim klopfen|reagiert auf klopfen|klopfempfindlich|wärmeempfindlich|kälteempfindlich|nach warmlauf|nach erwärmung|nach einer stunde|unzuverlässig|fällt manchmal aus|fällt ab und zu aus|fällt zeitweise aus|setzt manchmal aus|setzt ab und zu aus|kurze aussetzer|aussetzer bei wärme",
        "intermittent",
    ),
    (
        "whines|coil noise|squeals|squealing|squeak|squeaks|squeaking|hums|hums loudly|buzzes|buzzing noise|hisses|clicks only|just clicks|clicks repeatedly|ticking noise|ticking sound|rattles|rattling|crackles|crackling noise|chirps|chirping|popping|popping noise|loud bang|big bang|exploded|explosion|sparks|sparked|sparking|arcing|arced|caught fire|burnt smell|burned smell|smells burned|smells of burnt|smell of burning|smells hot|hot smell|fishy smell|smells fishy|smells of fish|stinks|smoke from|let the smoke out|puff of smoke|noisy psu|noisy fan|fan noise|bearing noise|grinding|grinding noise|loud noise|strange noise|high pitched noise",
        "noise-or-smell",
    ),
    (
        "pfeifgeräusch|pfeifton|spulenpfeifen|fiepen|fiepton|quietscht|surren|brummt laut|brummgeräusch|knackt|knacken|klackern|tickt|ticken|rattert|klappert|zischt|zischen|knallt|knallgeräusch|lauter knall|geknallt|explodiert|funken|funkt|funkenschlag|lichtbogen|flamme|flammen|feuer|abgeraucht|raucht|raucht ab|rauch gesehen|rauchzeichen|rauchwolke|riecht nach fisch|riecht komisch|riecht streng|riecht verkohlt|riecht nach verbranntem|nach verbranntem|verschmorter geruch|schmort|schmorgestank|gestank|lüftergeräusch|lüfter laut|lagergeräusch|schleifgeräusch|seltsame geräusche|lautes geräusch|macht geräusche|sirrt",
        "noise-or-smell",
    ),
    (
        "water spill|water spilled|water spilt|milk spilled|milk spilt|soup spilled|cocktail spilled|tea over it|coffee over it|water over it|beer over it|juice over it|drink over it|coke over it|liquid inside|liquid in unit|liquid got in|liquid contact|water contact|contact with water|rain damage|rain water inside|left in the rain|left out in rain|stood in water|stood under water|fell in the sea|fell in sea|fell in the pool|fell in pool|fell in toilet|pressure washed|jet washed|hosed down|went through the wash|condensation inside|condensation damage|wet inside|moisture damage|leaked in|water leak|roof leak|pipe burst|battery leaked|battery acid|flood damage",
        "liquid-entry",
    ),
    (
        "wasser abbekommen|wasser reingelaufen|wasser hineingelaufen|wasser eingelaufen|wasser ins gerät|wasser im gerät|wasser in gehäuse|wasser gezogen|hat wasser gezogen|feucht geworden|feuchtigkeit im gerät|feuchtigkeit drin|im regen gestanden|stand im regen|stand im wasser|stand unter wasser|lag im wasser|baden gegangen|ins klo gefallen|in pool gefallen|ins meer gefallen|in der waschmaschine|mitgewaschen|hochdruckreiniger|abgespritzt|kaffee reingelaufen|kaffee über gerät|tee verschüttet|tee drüber|wein drüber|wasser drüber|saft drüber|milch verschüttet|cola verschüttet|bier verschüttet|saft verschüttet|getränk drüber|flüssigkeit verschüttet|flüssigkeitskontakt|flüssigkeit ins gerät|hochwasser|hochwasserschaden|rohrbruch|kondenswasser im gerät|akku ausgelaufen|batterie ausgelaufen|batteriesäure",
        "liquid-entry",
    ),
    (
        "fell off desk|fell off table|fell off a ladder|fell off truck|fell down stairs|dropped from height|dropped once|dropped by customer|dropped it|hit by forklift|hit something|hit hard|knocked over|knocked off table|driven over|drove over it|stepped on|sat on|bent in transport|damaged in transport|transport damage|shipping damage|damaged in shipping|damaged in post|cracked case|housing cracked|case smashed|smashed|shaken|after a crash|after crash|accident|after accident|after impact|after a knock|took a knock|mechanical damage",
        "impact",
    ),
    (
        "vom tisch gefallen|von leiter gefallen|von der leiter gefallen|auf boden gefallen|auf den boden gefallen|ist gefallen|ist heruntergefallen|ist runtergefallen|fiel runter|fiel herunter|fallengelassen|wurde fallen gelassen|überfahren|drübergefahren|draufgetreten|stapler|vom stapler angefahren|angefahren|gehäuse gebrochen|gehäuse gerissen|gehäuse kaputt|beim transport beschädigt|transportbeschädigung|versandschaden|beim versand beschädigt|nach unfall|unfallschaden|nach aufprall|nach schlag|mechanische beschädigung|mechanische einwirkung|sturzfolge",
        "impact",
    ),
    (
        "after thunderstorm|after a thunderstorm|after storm|after lightning|lightning damage|lightning nearby|surge damage|after a surge|after power surge|after power cut|after a power cut|after power failure|after power outage|power outage|after mains fault|lost neutral|400v on 230v|mains on output|mains on input|24 v on 12 v|wrong polarity connected|polarity swapped|swapped polarity|leads swapped|wires swapped|swapped wires|wires crossed|crossed wires|plus and minus swapped|connected wrong|wrongly connected|wrongly wired|wrong plug|wrong power supply|wrong power brick|wrong battery|battery backwards|battery in backwards|battery wrong way round|connected the wrong way round|wrong way round|jump leads|after jump starting|after battery change|alternator failure|after welding|welding on vehicle|static discharge|esd damage|shorted by customer|shorted output",
        "surge-or-miswire",
    ),
    (
        "nach blitz|nach blitzeinschlag|blitzeinschlag in der nähe|blitz in der nähe|überspannungsschaden nach gewitter|nach überspannung|nach stromausfall|stromausfall|nach netzausfall|nach spannungsspitze|spannungsspitze|nullleiter verloren|nulleiter verloren|400v statt 230v|netzspannung auf ausgang|netzspannung am eingang|24v statt 12v|plus und minus vertauscht|vertauscht angeschlossen|leitungen vertauscht|adern vertauscht|falsch herum angeschlossen|falsch rum angeschlossen|verpolt angeschlossen|batterie verpolt|akku verpolt|akku falsch herum|batterie falsch herum|falsches ladegerät|falscher stecker|falsche batterie|falscher akku|fehlanschluss|anschlussfehler|kurzschluss durch kunde|kurzschluss am ausgang|nach batteriewechsel|nach schweißarbeiten|geschweißt am fahrzeug|lichtmaschine defekt|esd-schaden|elektrostatische entladung|nach fremdstart",
        "surge-or-miswire",
    ),
    (
        "been repaired before|had been repaired|already repaired|repaired already|repaired last year|repaired by others|repaired by another shop|another shop had it|other shop had it|other shop gave up|second opinion|worked on by others|has been opened|been opened|opened by customer|opened before|opened already|owner tried to repair|owner had a go|had a go himself|tried himself|soldered by customer|customer soldered|customer replaced|customer changed|customer swapped|after screen replacement|after display replacement|after battery replacement|after repair elsewhere|faulty since repair|since repair|since last repair|stopped after repair|not working after repair|3rd time here|second time here|here before|was here before",
        "failed-after-earlier-repair",
    ),
    (
        "nach letzter reparatur|seit letzter reparatur|seit der reparatur|seit reparatur|nach reparatur defekt|nach displaytausch|nach akkutausch|nach eigenreparatur|eigenreparatur|vom kunden geöffnet|wurde geöffnet|war schon offen|schon geöffnet|kunde hat geöffnet|kunde hat gelötet|kunde hat getauscht|kunde hat selbst|selbst gelötet|selbst geöffnet|andere werkstatt|war in anderer werkstatt|andere werkstatt hat aufgegeben|war bereits in reparatur|schon mal in reparatur|bereits in reparatur gewesen|schon mal hier|war schon hier|zum zweiten mal hier|zum dritten mal hier|vorschaden|verbastelt|bastelschaden|fremdgelötet",
        "failed-after-earlier-repair",
    ),
    (
        "geht nicht|does not do anything useful|wont work|wont run|does not run|doesnt run|malfunction|malfunctions|playing up|plays up|acting up|misbehaves|reported faulty|cust says broken|just broken|gerät defekt|gerät kaputt|platine defekt|baugruppe defekt|fehlfunktion|spinnt|spinnt rum|macht probleme|arbeitet nicht|arbeitet nicht mehr|funktioniert nicht mehr|funktioniert nicht richtig|geht nicht richtig|tut nicht|tut es nicht",
        "unknown",
    ),
];

/// (things, what is wrong with them, code)
const BUILT: [(&str, &str, &str); 8] = [
    (
        "fan|fans|blower|motor|motors|pump|pumps|compressor|heater|lamp|lamps|siren|buzzer|valve|solenoid|actuator|winch|wiper|drive|spindle|speaker|relay|output|channel|printer|horn|stepper",
        "does not run|doesnt run|wont run|not running|does not start|doesnt start|wont start|does not turn|doesnt turn|wont turn|not turning|does not spin|doesnt spin|wont spin|not spinning|does not work|doesnt work|wont work|not working|no longer works|no longer runs|no longer turns|stopped working|does not move|doesnt move|wont move|not moving|does nothing|does not switch|doesnt switch|wont switch|does not react|doesnt react|never starts|never runs",
        "output-missing",
    ),
    (
        "lüfter|gebläse|motor|pumpe|kompressor|verdichter|heizung|lampe|sirene|summer|ventil|magnetventil|stellmotor|antrieb|spindel|lautsprecher|relais|ausgang|kanal|drucker|hupe|wischer|winde|schrittmotor",
        "läuft nicht|läuft nicht an|läuft nicht mehr|läuft nicht mehr an|dreht nicht|dreht sich nicht|dreht nicht mehr|dreht sich nicht mehr|geht nicht|geht nicht an|geht nicht mehr|startet nicht|startet nicht mehr|schaltet nicht|schaltet nicht mehr|schaltet nicht ein|funktioniert nicht|funktioniert nicht mehr|ohne funktion|reagiert nicht|bewegt sich nicht|tut nichts|arbeitet nicht|zieht nicht an|steht still",
        "output-missing",
    ),
    (
        "display|screen|lcd|oled|backlight|panel|monitor",
        "does not work|doesnt work|wont work|not working|no longer works|stopped working|does not come on|doesnt come on|wont come on|does not light|doesnt light|wont light|not lighting|stays off|shows nothing|goes dark|goes black|goes blank|went dark|went black|went blank|flickering|is dead|is dark|is black|is blank",
        "no-display",
    ),
    (
        "display|bildschirm|anzeige|lcd|hintergrundbeleuchtung|beleuchtung|monitor|bild",
        "geht nicht|geht nicht an|geht nicht mehr|funktioniert nicht|funktioniert nicht mehr|kommt nicht|fehlt|defekt|kaputt|bleibt dunkel|bleibt schwarz|bleibt leer|zeigt nichts|zeigt nichts an|wird dunkel|wird schwarz|flackert|fällt aus|ist dunkel|ist schwarz|leuchtet nicht",
        "no-display",
    ),
    (
        "usb|ethernet|lan|network|wifi|wlan|bluetooth|can|can bus|rs485|rs232|modbus|nmea|gps|gsm|radio|link|comms|bus|data link|serial|serial port",
        "does not work|doesnt work|wont work|not working|no longer works|stopped working|not responding|does not respond|doesnt respond|does not connect|doesnt connect|wont connect|not connecting|is dead|is down|drops out|keeps dropping|times out|timeout|lost|offline|not detected|not recognised|not recognized",
        "no-link",
    ),
    (
        "usb|ethernet|lan|netzwerk|wlan|bluetooth|can|can bus|rs485|rs232|modbus|gps|gsm|funk|schnittstelle|verbindung|bus|feldbus|profibus|serielle schnittstelle",
        "geht nicht|geht nicht mehr|funktioniert nicht|funktioniert nicht mehr|antwortet nicht|reagiert nicht|verbindet nicht|fällt aus|fällt sporadisch aus|bricht ab|ohne funktion|gestört|offline|wird nicht erkannt|nicht erreichbar",
        "no-link",
    ),
    (
        "battery|batt|pack|unit|phone|tablet|laptop|handheld",
        "does not charge|doesnt charge|wont charge|will not charge|not charging|no longer charges|stopped charging|charges slowly|does not take charge",
        "no-charge",
    ),
    (
        "akku|batterie|gerät|handgerät|handy|tablet",
        "lädt nicht|lädt nicht mehr|lädt nur langsam|lädt langsam|wird nicht geladen|wird nicht mehr geladen",
        "no-charge",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job;

    #[test]
    fn every_code_is_in_the_vocabulary_of_jobs() {
        let built = BUILT.iter().map(|(_, words, code)| (words, code));
        for (words, code) in COMPLAINTS.iter().map(|(w, c)| (w, c)).chain(built) {
            assert!(job::COMPLAINTS.contains(code), "{words}");
        }
    }
}
