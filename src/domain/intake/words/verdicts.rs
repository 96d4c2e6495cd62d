//! Words that judge a reading, patterns of draw, visual signs, and the cues beside numbers.
//!
//! Common practice, no source.

use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::Moment;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;

/// Adds the words.
pub fn add(lexicon: &mut Lexicon) {
    for (words, verdict) in VERDICTS {
        lexicon.add_all(words, &Sense::Verdict(verdict));
    }
    for (words, code) in DRAWS {
        lexicon.add_all(words, &Sense::Draw(code));
    }
    for (words, code) in SIGNS {
        lexicon.add_all(words, &Sense::Sign(code));
    }
    for (words, cue) in CUES {
        lexicon.add_all(words, &Sense::Cue(cue));
    }
    for (words, state) in STATES {
        lexicon.add_all(words, &Sense::State(state));
    }
    for (words, moment) in MOMENTS {
        lexicon.add_all(words, &Sense::Moment(moment));
    }
    for (words, extent) in EXTENTS {
        lexicon.add_all(words, &Sense::Extent(extent));
    }
}

const VERDICTS: [(&str, Verdict); 33] = [
    (
        "short|shorted|shorts|shrt|hard short|dead short|short to ground|short to gnd|shorted to ground|shorted to gnd|shorted to chassis|short circuit|s/c|shorting|full short",
        Verdict::Short,
    ),
    (
        "kurzschluss|kurzgeschlossen|kurzschluß|schluss|kurzschluss gegen masse|kurzschluss nach masse|schluss gegen masse|schluss nach masse|niederohmig gegen masse|ks|kurzer",
        Verdict::Short,
    ),
    (
        "low|lo|too low|sagging|sags|droops|drooping|loaded down|niedrig|zu niedrig|zu wenig|eingebrochen|bricht ein|zu klein|lw",
        Verdict::Low,
    ),
    (
        "high|hi|too high|over voltage|overvoltage|zu hoch|hoch|überspannung|zu groß",
        Verdict::High,
    ),
    (
        "absent|missing|dead|not present|not there|not coming up|not up|never comes up|doesnt come up|wont come up|does not come up|none|not starting|doesnt start|no voltage|not running|missng|mising|lost|gone missing",
        Verdict::Absent,
    ),
    (
        "fehlt|fehlend|fehlen|tot|keine spannung|nicht vorhanden|nicht da|kommt nicht|kommt nicht hoch|weg|läuft nicht an|startet nicht|schwingt nicht|nicht aktiv",
        Verdict::Absent,
    ),
    ("gone", Verdict::Gone),
    (
        "back|is back|came back up|comes up|comes back|restored|returned to normal|wieder da|wieder vorhanden|kommt wieder|kommt jetzt|steht wieder|ist wieder da|back up",
        Verdict::Back,
    ),
    (
        "ok|okay|good|gd|gud|fine|in spec|in band|as reference|as good board|normal|correct|in range|spot on|all good|passes|o.k|looks ok|looks good|reads ok|reads good|tests good|tests ok|checks out",
        Verdict::Good,
    ),
    (
        "i.o|io|in ordnung|gut|stimmt|passt|normalwert|im rahmen|unauffällig|sauber|i o|in ord",
        Verdict::Good,
    ),
    (
        "present|there|up|comes up ok|toggling|toggles|active|running ok|da|vorhanden|liegt an|aktiv|steht an",
        Verdict::Present,
    ),
    (
        "open|open circuit|o/c|offen|unterbrochen|unterbrechung|hochohmig|went open|no continuity|kein durchgang|keine verbindung|oc",
        Verdict::Open,
    ),
    (
        "ol|o.l|over range|overrange|out of range|überlauf",
        Verdict::OverRange,
    ),
    (
        "pulsing|pulses|pulsating|hiccup|hiccups|hiccuping|hiccupping|ticking|pulsiert|pulsierend|taktet",
        Verdict::Pulsing,
    ),
    (
        "noisy|ripple|ripply|rippling|verrauscht|brummt|rauscht|welligkeit",
        Verdict::Noisy,
    ),
    (
        "stuck high|stuck hi|stays up|held up|stays high|held high|always high|hängt auf high|dauernd high|stuk high|bleibt high|dauerhaft high|liegt auf high",
        Verdict::StuckHigh,
    ),
    (
        "stuck low|stuck lo|stays low|held low|held down|pulled low|stays down|always low|stuk low|hängt auf low|dauernd low|bleibt low|dauerhaft low|auf masse gezogen|liegt auf low|wird auf masse gezogen",
        Verdict::StuckLow,
    ),
    (
        "mid level|mid-level|midlevel|half level|floating|floats|undefiniert|halber pegel",
        Verdict::Mid,
    ),
    (
        "wrong frequency|off frequency|wrong freq|falsche frequenz|frequenz falsch",
        Verdict::WrongFrequency,
    ),
    (
        "leaky|leaking|leaks|leakage|leckstrom|leck|undicht|leaky to gnd",
        Verdict::Leaky,
    ),
    (
        "hot|gets hot|getting hot|runs hot|very hot|overheats|overheating|burning hot|too hot|boiling|glowing|roasting|hottest|hot spot|hotspot|lights up on the cam|lights up on cam|lights up",
        Verdict::Hot,
    ),
    (
        "heiß|wird heiß|sehr heiß|überhitzt|wird sehr heiß|glüht|hotspot an|zu heiß|kochend",
        Verdict::Hot,
    ),
    (
        "warm|gets warm|getting warm|runs warm|wird warm|lauwarm|slightly warm|very warm",
        Verdict::Warm,
    ),
    (
        "blown|popped|durchgebrannt|ausgelöst|durch|blew",
        Verdict::Blown,
    ),
    (
        "bad|faulty|defective|broken|failed|shot|fried|toast|knackered|duff|damaged|u/s|kaputt gegangen",
        Verdict::Bad,
    ),
    (
        "defekt|kaputt|def|hin|beschädigt|schadhaft|hinüber|defekte|defekter|defektes|defekten",
        Verdict::Bad,
    ),
    (
        "short gone|short cleared|short is gone|kurzschluss weg|kurzschluss behoben|no longer short|no longer shorted|short went away|schluss weg|kurzschluss ist weg",
        Verdict::Gone,
    ),
    (
        "drifted|drifts|out of tolerance|verstimmt|driftet|abgedriftet",
        Verdict::Bad,
    ),
    (
        "no osc|not oscillating|no oscillation|no clock out|schwingt nicht an",
        Verdict::Absent,
    ),
    ("stuck|stuk|hung|hängt", Verdict::Stuck),
    (
        "eaten|eaten away|corroded through|durchkorrodiert|weggefressen",
        Verdict::Open,
    ),
    ("welded|verklebt|verschweißt", Verdict::Bad),
    ("nothing|nichts|nix", Verdict::Absent),
];

const DRAWS: [(&str, &str); 26] = [
    (
        "no draw|draws nothing|no current|zero draw|zero current|not drawing|nothing drawn|pulls nothing|draw zero|dead flat|psu reads nothing|no current draw|zero amps|no amps|nothing at all",
        "zero",
    ),
    (
        "kein strom|keine stromaufnahme|zieht nichts|zieht keinen strom|stromlos|null strom|keine aufnahme|nimmt keinen strom",
        "zero",
    ),
    (
        "sits|sits at|stuck at|and sits|sits there|hangs at|stays at|steady at|stops at|sticks at|parks at|flatlines at|and stays|stays there|and stays there|and sits there|settles at|and holds",
        "stuck",
    ),
    (
        "bleibt bei|bleibt stehen|bleibt hängen|hängt bei|steht bei|bleibt auf|hängt auf|verharrt bei|konstant bei|bleibt stehen bei|bleibt konstant|bleibt konstant bei|und bleibt",
        "stuck",
    ),
    ("steady|constant|konstant|stabil|gleichbleibend", "steady"),
    (
        "up/down|up and down|up n down|up & down|updown|up / down|up-down|cycling|cycles|cycle|cycled|jumps between|jumping between|swings between|bounces between|hunting|hunts|alternates|alternating|back and forth|on and off|on off on off|swinging|going up and down|goes up and down|jumps",
        "cycling",
    ),
    (
        "auf und ab|hin und her|schwankt|pendelt|taktet|zyklisch|springt|schwankt zwischen|pendelt zwischen|springt zwischen|pumpt|wechselt zwischen|rauf und runter|rauf runter|auf/ab",
        "cycling",
    ),
    (
        "pulsing|pulses|pulsating|hiccup|hiccups|hiccuping|ticking|pulsiert",
        "cycling",
    ),
    (
        "steps up then drops|steps up then stops|steps then stops|climbs then drops|climbs then stops|steps up and stops|steps up gone|climbs then dies|steps up and drops|climbs and drops|stepped stop|climbs then drops out|steps up then dies|climbs and dies|then drops out",
        "stepped-stop",
    ),
    (
        "steigt stufenweise und bricht ab|steigt dann weg|steigt an und fällt ab|steigt und bricht ab|steigt stufenweise dann weg|geht hoch und fällt dann ab|stufenweise hoch dann aus",
        "stepped-stop",
    ),
    (
        "steps up|stepped up|stepped up to|stepping up to|steps up to|rises to then|climbed to|climbed up to|ramps up to|ramped up to|climbs to|climbs|steps to|ramps to|steigt auf|steigt bis|steigt stufenweise|geht hoch bis|geht hoch auf",
        "climbs",
    ),
    (
        "drops out|then dropped|then dropped out|and dropped|then fell|then fell back|then falls|then falls back|then stopped|then stops|dann weg|dann aus|bricht dann ab|fällt dann ab|dropped back|drops back|drops away|then drops|drops to 0|drops to zero|and drops|bricht ab|fällt ab|fällt auf 0|then dies|then off|then gone|and dies",
        "drops",
    ),
    (
        "high draw|high current|draws too much|excess current|overcurrent|too much current|draw high|current high|draws a lot|draw too high|excessive draw|current too high",
        "high",
    ),
    (
        "hohe stromaufnahme|zu hohe stromaufnahme|stromaufnahme zu hoch|zieht zu viel|zu viel strom|strom zu hoch|erhöhte stromaufnahme|hoher strom|zieht zuviel|strom erhöht|stromaufnahme erhöht",
        "high",
    ),
    (
        "hits limit|in limit|current limit|hits current limit|on the limit|at limit|psu in limit|psu limits|into limit|goes into limit|straight to limit|limiting|in current limit|psu in current limit|supply in limit|cc mode|in cc|psu cc|trips psu|psu folds|trips the psu|goes to limit|on limit|hits the limit|psu limit",
        "limit",
    ),
    (
        "strombegrenzung|in strombegrenzung|netzteil in begrenzung|netzteil begrenzt|in begrenzung|begrenzung|im limit|strombegrenzung spricht an|geht in begrenzung|geht in strombegrenzung|netzteil geht in begrenzung|netzteil geht in strombegrenzung|strombegrenzung aktiv|ins limit|netzteil im limit|geht in die strombegrenzung",
        "limit",
    ),
    (
        "normal draw|draw normal|normal current|current normal|draw ok|current ok|draw good|draws normal|draws normally|draw is normal|draw as good board|draw fine",
        "normal",
    ),
    (
        "strom normal|stromaufnahme normal|stromaufnahme ok|strom ok|normale stromaufnahme|normaler strom|stromaufnahme i.o|strom i.o|stromaufnahme in ordnung",
        "normal",
    ),
    (
        "normal draw no function|draws normal but nothing|normal draw but nothing|normal current no function|normal draw nothing usable",
        "normal-no-function",
    ),
    (
        "normaler strom keine funktion|strom normal keine funktion|normale stromaufnahme keine funktion",
        "normal-no-function",
    ),
    (
        "but nothing|but no function|nothing happens|and nothing happens|nothing else|aber keine funktion|aber nichts|sonst nichts|keine funktion|no function|nothing usable",
        "nothing",
    ),
    (
        "not measured|n/m|nicht gemessen|unmeasured|not taken|not checked|not recorded|nicht erfasst|nicht aufgenommen",
        "not-measured",
    ),
    (
        "not measured draw|draw not measured|current not measured|strom nicht gemessen",
        "not-measured",
    ),
    ("runs at|running at|idles at|laufend|im betrieb", "plain"),
    (
        "then again|and again|over and over|repeats|repeating|wiederholt sich|immer wieder",
        "again",
    ),
    ("flickering|flackert", "cycling"),
];

const SIGNS: [(&str, &str); 27] = [
    (
        "residue|residues|residu|green|grn|all grn|green stuff|corrosion|corrosn|corrosin|corrode|corroded|corr|corr'd|verdigris|white stuff|white crust|crust|crusty|salt crust|green fur|fur|fuzz|green fuzz|rust|rusty|rusted|oxidised|oxidized|oxidation|green crust|white powder|white residue|green residue|blue residue|water marks|tide marks|tide mark|salt deposits|deposits|salt residue|corrosion residue|green corrosion|white corrosion|green crud|crud",
        "residue",
    ),
    (
        "rückstand|rückstände|korrosion|korrodiert|grünspan|oxidiert|weißer belag|grüner belag|belag|verrostet|rost|salzrückstände|ablagerung|ablagerungen|weiße ablagerungen|grüne ablagerungen|oxidation|angelaufen|salzkruste|wasserrand|wasserränder|korr|salzablagerungen|korrosionsspuren|grün",
        "residue",
    ),
    (
        "sticky film|sticky|film|gunk|gunge|goo|sticky residue|sugary residue|sticky stuff|syrup|coffee residue|tacky|sticky gunk|sugary gunk|sugery gunk|sugar residue|oily|oil film|sugary film|cola|gummy|greasy",
        "sticky-film",
    ),
    (
        "klebrig|klebriger film|klebrige rückstände|verklebt|schmierfilm|ölfilm|ölig|zuckerrückstände|klebriger belag|limo|limonade|fettfilm",
        "sticky-film",
    ),
    (
        "dull joint|dull joints|dull solder|dull|dry joint|dry joints|grey joint|grey joints|matt joint|cold joint|cold joints|cold solder joint|cold solder|stumpfe lötstelle|matte lötstelle|kalte lötstelle|kalte lötstellen|matte lötstellen|graue lötstelle",
        "dull-joint",
    ),
    (
        "cracked joint|cracked joints|cracked solder|ring crack|ring cracks|cracked solder joint|cracked solder joints|broken joint|fractured joint|joint cracked|joints cracked|hairline crack in joint|cracked ball|cracked balls|lötstelle gerissen|gerissene lötstelle|lötstelle gebrochen|gerissene lötstellen|ringriss|haarriss in lötstelle|lötstellen gerissen|gebrochene lötstelle",
        "cracked-joint",
    ),
    (
        "burnt|burned|burn mark|burn marks|burnt patch|scorched|scorch|charred|black|blackened|toasted|sooty|soot|singed|burnt out|scorch mark|crispy",
        "burnt",
    ),
    (
        "verbrannt|verkohlt|verschmort|brandspur|brandspuren|schmorstelle|angekokelt|verrußt|abgebrannt|schmauchspuren|angebrannt|verfärbt durch hitze",
        "burnt",
    ),
    (
        "cracked part|cracked body|cracked|crack|chipped|split|fractured|crack in body|crack in case|hairline crack",
        "cracked-part",
    ),
    (
        "gerissen|riss|gebrochen|gesprungen|gehäuse gerissen|bauteil gerissen|angerissen|abgeplatzt",
        "cracked-part",
    ),
    (
        "bulged|bulging|domed|swollen|top domed|vented|bulge|puffed|bloated|swelled",
        "bulged",
    ),
    (
        "aufgebläht|gewölbt|ausgebeult|geplatzt|aufgequollen|beule|dicke backen|ausgelaufen|gebläht",
        "bulged",
    ),
    (
        "lifted|lifted pad|pad lifted|pads lifted|lifted pads|lifted trace|trace lifted|pad off|abgehoben|pad abgehoben|pads abgehoben|leiterbahn abgehoben|abgelöst|pad abgerissen|lifted leg|leg lifted|pin lifted|lifted pin",
        "lifted",
    ),
    (
        "knocked off|missing part|part missing|torn off|ripped off|sheared off|abgerissen|bauteil fehlt|abgebrochen|broken off|snapped off|part knocked off|came off",
        "missing",
    ),
    (
        "solder bridge|solder bridged|bridged solder|solder short|solder blob|lötbrücke|zinnbrücke|solder splash|whisker|lötspritzer|solder bridges|lötbrücken",
        "solder-bridge",
    ),
    (
        "earlier work|previous repair|prior work|prior repair|earlier repair|old flux|flux residue|flux residues|flux from before|someone was here before|been worked on|already worked on|reworked before|previous work|worked on before|signs of rework|botched|bodged before|previously repaired|mismatched part|flux everywhere",
        "earlier-work",
    ),
    (
        "vorreparatur|fremdreparatur|flussmittelreste|schon mal repariert|bereits repariert|war schon jemand dran|flussmittelrückstände|vorarbeit|altes flussmittel|schon gelötet|fremdeingriff",
        "earlier-work",
    ),
    (
        "coating damage|coating damaged|coating lifted|coating burnt|coating peeling|coating cracked|schutzlack beschädigt|lack beschädigt|schutzlack abgelöst|lack ab|coating gone|schutzlack gerissen",
        "coating-damage",
    ),
    (
        "nothing to see|looks like new|clean inside|nothing seen|nothing visible|no visible damage|looks clean|visually ok|visual ok|no signs|no damage seen|looks fine|nothing obvious|no visual|none seen|visually clean|nothing found visually|no visible faults|visual clear|visually fine|no damage",
        "none-seen",
    ),
    (
        "optisch ok|optisch i.o|optisch in ordnung|keine auffälligkeiten|nichts zu sehen|nichts auffälliges|optisch unauffällig|keine sichtbaren schäden|sieht aus wie neu|optisch einwandfrei|sieht gut aus|sichtprüfung ok|sichtprüfung i.o|keine schäden sichtbar",
        "none-seen",
    ),
    (
        "green all over|corrosion everywhere|corroded all over|korrosion überall|überall korrosion|residue everywhere|green everywhere",
        "residue",
    ),
    ("missing|fehlt", "missing"),
    (
        "lötstelle defekt|bad joint|bad joints|poor joint|poor solder joint|bad solder joint|schlechte lötstelle",
        "dull-joint",
    ),
    ("water damage visible|wasserschaden sichtbar", "residue"),
    ("pitted|eaten legs|legs eaten", "residue"),
    ("discoloured|discolored|verfärbt|browned|bräunlich", "burnt"),
    ("chafed|durchgescheuert", "coating-damage"),
];

const CUES: [(&str, Cue); 41] = [
    (
        "draw|draws|drawing|drawn|current|curr|amps|consumption|pulls|pulling|takes|psu|psu shows|psu reads|idd|supply current|current draw|input current|inrush|quiescent|drain|idle current|idle",
        Cue::Draw,
    ),
    (
        "strom|stromaufnahme|zieht|aufnahme|nimmt auf|nimmt|stromverbrauch|verbrauch|ruhestrom|netzteil|netzgerät|labornetzteil|netzteil zeigt",
        Cue::Draw,
    ),
    (
        "limit|limited to|limit set|limit set to|psu limit|current limit set to|limit at|begrenzt auf|limit auf|ilim|i limit|psu limit set to",
        Cue::Limit,
    ),
    (
        "supply|supply at|input|vin at|fed with|powered at|powered from|at supply|bench supply at|supplied with|versorgung|gespeist mit|eingang|speisung|bei einspeisung|in at",
        Cue::Supply,
    ),
    (
        "psu drops|psu drops to|drops to|collapses to|folds to|psu down to|psu collapses to|volts collapse to|pulls psu to|sags to|spannung bricht ein auf|bricht ein auf|bricht zusammen auf|einbruch auf|fällt auf|psu folds to|supply drops to|collapses|psu sags to|supply collapses to|pulls it down to|down to|spannung fällt auf",
        Cue::Collapsed,
    ),
    (
        "diode|diode mode|diode drop|diode test|diode check|diode reading|diodentest|diodenmodus|diodenmessung|im diodentest|dm|d mode|in diode mode|diodenstrecke|durchlass|diodenprüfung|vf",
        Cue::Diode,
    ),
    (
        "resistance|ohms|ohm|rtg|r to gnd|r to ground|resistance to ground|ohms to gnd|ohms to ground|r gnd|rgnd|widerstand|widerstand gegen masse|r gegen masse|r nach masse|impedance|measures|measured at|widerstand nach masse",
        Cue::Resistance,
    ),
    (
        "to gnd|to ground|to 0v|to chassis|gegen masse|nach masse|zu masse|gegen gnd|nach gnd|zu gnd|to earth|vs gnd|against gnd|against ground|masse|gnd|auf masse|to agnd|to dgnd|to pgnd|wrt gnd",
        Cue::ToGround,
    ),
    (
        "psu off|source off|power off|powered off|unpowered|cold|off power|no power applied|supply off|spannungslos|ausgeschaltet gemessen|stromlos gemessen|kalt|ohne spannung|netzteil aus|supply disconnected|disconnected|battery out|quelle aus|versorgung aus|with power off|board off",
        Cue::SourceOff,
    ),
    (
        "should be|shld be|should b|shud be|shuld be|shd be|s/b|expected|expect|exp|normally|nominal|good board|good one|good unit|known good|ref|reference|golden|vs good|should read|supposed to be|instead of|instead|on good board|on a good board|good board reads|vs|versus|was supposed to be|other board|donor reads|good brd|of good|gd one|gd board|shld read|shd read|against good|ought to be|where good is|should have|normally reads",
        Cue::Reference,
    ),
    (
        "soll|sollte|sollten|statt|anstatt|normal sind|normal ist|gutes board|gutgerät|referenz|sollwert|erwartet|gut wäre|sollte sein|sollten sein|gutboard|muss|müsste|müssten|müsste sein|vergleichsboard|gegenüber|anstelle|soll sein|richtig wäre|gute platine|auf gutem board",
        Cue::Reference,
    ),
    ("at|on|on the|at the|@|of|across|over|on pin", Cue::At),
    (
        "an|am|auf|bei|beim|an der|am anschluss|auf der|auf dem|bei der|über|von|vom|an den|in der|im",
        Cue::At,
    ),
    (
        "near|by|around|near the|by the|around the|next to|close to|beside|round|along|between|zwischen",
        Cue::Near,
    ),
    (
        "in der nähe von|neben|rund um|um|nahe|in der nähe|seitlich von|nähe|bereich|im bereich|rund um den",
        Cue::Near,
    ),
    (
        "under|underneath|beneath|below the|under the|underneath the|unter|unterhalb|unterm|unter dem|unter der|behind",
        Cue::Under,
    ),
    (
        "rail|rails|line|supply rail|schiene|spannungsschiene|leitung|versorgungsschiene|supply line|net|netz|volt rail|v rail|spannung|node|leiter",
        Cue::Rail,
    ),
    (
        "every|each|period|per|alle|takt alle|periode|pro|jede|once a|im abstand von",
        Cue::Every,
    ),
    (
        "about|approx|ca|circa|roughly|around abt|abt|etwa|ungefähr|rund|ungef|appx|approximately|ish",
        Cue::About,
    ),
    (
        "under than|less than|below|kleiner|kleiner als|unter ca|weniger als|max",
        Cue::Below,
    ),
    (
        "more than|above|greater than|größer|größer als|mehr als|over than|min",
        Cue::Above,
    ),
    ("ph|phase|phasen", Cue::Phase),
    (
        "rev|revision|rev.|hw rev|hardware rev|pcb rev|board rev",
        Cue::Revision,
    ),
    ("all|alle", Cue::All),
    (
        "red to ground|red to gnd|red lead to ground|red on gnd|red on ground|red lead on gnd|rot auf masse|rot an masse|red lead gnd|red gnd|plus an masse|rote spitze auf masse",
        Cue::RedToGround,
    ),
    (
        "black to ground|black to gnd|black lead to ground|black on gnd|black on ground|schwarz auf masse|schwarz an masse|black lead on gnd|black gnd",
        Cue::BlackToGround,
    ),
    (
        "pin|pins|leg|legs|bein|beinchen|lead|ball|anschluss",
        Cue::Pin,
    ),
    (
        "inject|injected|injecting|injection|inj|voltage injection|eingespeist|injiziert|einspeisung|injctd|stromeinspeisung|spannungseinspeisung",
        Cue::Inject,
    ),
    (
        "pri side|primary side|primary|primärseite|primärseitig|primär|mains side|hot side|pri|mains|netzseite|line side|netzseitig|netzspannung",
        Cue::Mains,
    ),
    (
        "v|ver|version|vers|fw ver|firmware version|sw",
        Cue::Version,
    ),
    ("to|bis|thru|through|till|until|up to", Cue::To),
    ("again|wieder|nochmal|erneut|once more", Cue::Again),
    (
        "rises to|goes to|jumps to|springt auf|up to about",
        Cue::Climbs,
    ),
    (
        "should be around|should be about|soll ca|soll etwa|should be abt|should be approx",
        Cue::Reference,
    ),
    ("only at|just at", Cue::At),
    ("on its|at its", Cue::At),
    ("from", Cue::At),
    ("in diode", Cue::Diode),
    ("good", Cue::Reference),
    ("input at|input volts|eingangsspannung", Cue::Supply),
    (
        "temp|temperature|temperatur|cam|camera|thermal cam|thermal camera|thermal|wärmebild|wärmebildkamera|ir cam",
        Cue::Heat,
    ),
];

const STATES: [(&str, &str); 12] = [
    (
        "in standby|in stby|on standby|at standby|standby state|im standby|in bereitschaft|standby current|standby draw|stby draw|stby current|standbystrom|im ruhezustand",
        "standby",
    ),
    (
        "switched off|when off|turned off|in off|off state|ausgeschaltet|im aus-zustand|aus zustand",
        "off",
    ),
    (
        "button pressed|on press|pressed|when pressed|after press|power pressed|on pressing power|taste gedrückt|bei tastendruck|nach tastendruck|gedrückt|pwr pressed|with button pressed|on button press|after pressing power",
        "pressed",
    ),
    (
        "running|while running|when running|in run|in operation|im betrieb|laufend|eingeschaltet|switched on|when on|turned on|on state|läuft noch",
        "running",
    ),
    (
        "under load|loaded|with load|on load|full load|unter last|mit last|bei last|belastet|unter volllast|at load|at full load",
        "loaded",
    ),
    (
        "on battery|battery only|on batt|from battery|on batt only|on battery only|nur akku|auf akku|im akkubetrieb|nur mit akku|nur batterie|running from battery",
        "battery-only",
    ),
    ("bei standby", "standby"),
    ("standby|stby|stdby|stand-by|bereitschaft", "standby"),
    ("idle state", "standby"),
    ("at idle", "running"),
    ("no load", "running"),
    ("leerlauf|im leerlauf", "running"),
];

const MOMENTS: [(&str, Moment); 9] = [
    (
        "after|now|afterwards|after that|after repair|after replacing|post repair|since|after reflow|after replacement|after fix|once replaced|is now|reads now|now reads|after swap|after the repair|afterward|after removal|after removing it|post fix|subsequently",
        Moment::After,
    ),
    (
        "danach|jetzt|nachher|nun|nach reparatur|nach tausch|nach austausch|seitdem|hinterher|anschließend|nach dem tausch|nach der reparatur|ist jetzt|nach ersatz|nach dem löten|nach dem nachlöten",
        Moment::After,
    ),
    (
        "before|was|were|beforehand|initially|originally|at first|on arrival|as received|when received|incoming|before repair|first|had been|before anything|as found|on receipt",
        Moment::Before,
    ),
    (
        "vorher|war|waren|davor|zuerst|anfangs|bei eingang|vor reparatur|ursprünglich|bei ankunft|zuvor|vor dem tausch|eingangs|im anlieferzustand",
        Moment::Before,
    ),
    (
        "before cleaning|before clean|before wash|before washing|pre-clean|pre clean|prior to cleaning|before cln|uncleaned",
        Moment::BeforeCleaning,
    ),
    (
        "vor reinigung|vor der reinigung|vor dem reinigen|vor waschen|vor dem waschen|ungereinigt",
        Moment::BeforeCleaning,
    ),
    (
        "after cleaning|after clean|after wash|after washing|post-clean|post clean|once clean|once cleaned|after cln|after the clean|after the wash|washed first|cleaned first|after ultrasonic|after usc",
        Moment::AfterCleaning,
    ),
    (
        "nach reinigung|nach der reinigung|nach dem reinigen|nach waschen|nach dem waschen|nach ultraschall|nach us-bad|nach us bad|nach reinigen",
        Moment::AfterCleaning,
    ),
    ("nach", Moment::After),
];

const EXTENTS: [(&str, &str); 5] = [
    (
        "all over|everywhere|whole board|entire board|überall|ganze platine|gesamte platine|complete board|whole pcb|flächig|komplette platine|ganzes board|auf der ganzen platine|board wide",
        "board",
    ),
    ("large area|area|bereich um|patch|großflächig", "area"),
    ("spot|point|one spot|punktuell|stelle|ein punkt", "point"),
    ("all round|all around|ringsum", "area"),
    ("under one part", "part"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job;

    #[test]
    fn every_code_is_in_the_vocabulary_of_jobs() {
        let only_here = ["steady", "climbs", "drops", "nothing", "plain", "again"];
        for (words, code) in DRAWS {
            let known = job::DRAWS.contains(&code) || only_here.contains(&code);
            assert!(known, "{words}");
        }
        for (words, code) in SIGNS {
            assert!(job::SIGNS.contains(&code), "{words}");
        }
        for (words, state) in STATES {
            assert!(job::STATES.contains(&state), "{words}");
        }
    }
}
