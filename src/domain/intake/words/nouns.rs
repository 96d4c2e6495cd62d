//! Parts, nets and places by their function, and the circuit families that words name.
//!
//! Common practice, no source. A noun is its plain English name; a designator is never looked up here.

use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::sense::Sense;

/// Adds the words.
pub fn add(lexicon: &mut Lexicon) {
    for (words, name) in NOUNS {
        lexicon.add_all(words, &Sense::Noun(name));
    }
    for (words, name) in SIGNALS {
        lexicon.add_all(words, &Sense::Signal(name));
    }
    for (words, name) in RAILS {
        lexicon.add_all(words, &Sense::Rail(name));
    }
    for (words, name) in SPOTS {
        lexicon.add_all(words, &Sense::Spot(name));
    }
    for (words, id) in FAMILIES {
        lexicon.add_all(words, &Sense::Family(id.into()));
    }
}

/// Returns the circuit family that the name of a part or place names by itself.
pub fn family_of(place: &str) -> Option<&'static str> {
    let names = |list: &[&str]| {
        list.iter()
            .any(|wanted| place == *wanted || place.split(' ').any(|word| word == *wanted))
    };
    OF_PLACE
        .iter()
        .find(|(list, _)| names(list))
        .map(|(_, family)| *family)
}

const NOUNS: [(&str, &str); 64] = [
    (
        "capacitor|capacitors|cap|caps|kondensator|kondensatoren|kond|elko|elkos|electrolytic|electrolytics|mlcc|tantalum|tantal|ceramic|kerko|kerkos|bulk cap|elec cap|keramikkondensator",
        "capacitor",
    ),
    (
        "resistor|resistors|res|widerstände|wid|vorwiderstand",
        "resistor",
    ),
    (
        "inductor|inductors|coil|spule|drossel|choke|induktivität|ind",
        "inductor",
    ),
    ("ferrite|ferrite bead|bead|ferrit|ferritperle", "ferrite"),
    (
        "diode bridge|rectifier|bridge rectifier|gleichrichter|brückengleichrichter",
        "rectifier",
    ),
    ("diodes|dioden|schottky|zener", "diode"),
    ("transistor|transistors|transistoren", "transistor"),
    ("fet|fets|mosfet|mosfets|fet pair", "fet"),
    ("igbt|igbts", "igbt"),
    ("tvs|suppressor|tvs diode|transil|suppressordiode", "tvs"),
    ("varistor|mov|varistoren", "varistor"),
    (
        "fuse|fuses|sicherung|sicherungen|schmelzsicherung|feinsicherung|sich",
        "fuse",
    ),
    ("polyfuse|ptc|polyswitch|resettable fuse", "polyfuse"),
    (
        "connector|connectors|conn|plug|socket|jack|stecker|buchse|steckverbinder|header|port|steckverbindung|terminal|klemme|kontakt|kontakte|stiftleiste|usb port|anschlussbuchse|ladebuchse|charge port|charging port|netzbuchse|dc jack|power jack",
        "connector",
    ),
    (
        "flex|flex cable|ribbon|fpc|ffc|flexkabel|flachbandkabel|ribbon cable|folienkabel",
        "flex",
    ),
    (
        "cable|kabel|wire|lead wire|wiring|leitungen|kabelbaum|harness|litze",
        "cable",
    ),
    ("relay|relays|relais|rly", "relay"),
    ("crystal|xtal|quarz|quartz|schwingquarz", "crystal"),
    (
        "oscillator|oszillator|tcxo|taktgeber|clock generator|taktgenerator",
        "oscillator",
    ),
    (
        "regulator|regulators|reg|regs|vreg|regler|spannungsregler|linearregler|v-reg|voltage regulator|festspannungsregler",
        "regulator",
    ),
    ("ldo|ldos", "ldo"),
    (
        "switcher|smps|dcdc|dc-dc|converter|schaltregler|wandler|dc/dc|dc/dc converter|dc/dc wandler|spannungswandler|switching regulator|step-down|stepdown|dcdc converter|dcdc wandler",
        "switcher",
    ),
    ("buck|buck converter", "buck"),
    (
        "boost|boost converter|step-up|stepup|hochsetzsteller",
        "boost",
    ),
    (
        "charger|charger ic|chgr|lade-ic|ladechip|laderegler|charge ic|charge chip|chg ic|charging ic|ladecontroller|charger chip",
        "charger",
    ),
    (
        "pmic|power management|power management ic|pm chip|management chip|pmu",
        "pmic",
    ),
    (
        "controller|ctrl|steuer-ic|ansteuer-ic|controller ic|pwm|pwm controller|pwm ic|pwm-controller",
        "controller",
    ),
    (
        "processor|cpu|prozessor|soc|big chip|main chip|hauptprozessor|main processor|apu",
        "processor",
    ),
    (
        "microcontroller|mcu|micro|uc|mikrocontroller|controllerbaustein|μc|host controller",
        "microcontroller",
    ),
    ("fpga|cpld", "fpga"),
    (
        "ram|memory|speicher|ddr|dram|sram|speicherchip|ram chip",
        "ram",
    ),
    (
        "flash chip|flash ic|nand|emmc|spi flash|boot flash|flash memory|flashspeicher|nor flash",
        "flash",
    ),
    ("eeprom|eprom|eeproms", "eeprom"),
    (
        "transceiver|trx|xcvr|transceivers|can transceiver|can trx|can chip|can-transceiver|bustreiber|rs485 driver|rs485 transceiver|rs-485 driver|rs-485 transceiver|line driver|can driver|can-treiber|phy|ethernet phy",
        "transceiver",
    ),
    (
        "esd array|esd diode|esd diodes|esd|esd protection|esd-diode",
        "esd array",
    ),
    ("isolator|digital isolator|optoisolator", "isolator"),
    (
        "optocoupler|opto|optos|optokoppler|photocoupler|opto coupler|opto-coupler|optocouplers",
        "optocoupler",
    ),
    (
        "transformer|trafo|transformator|übertrager|xfmr",
        "transformer",
    ),
    (
        "opamp|op-amp|op amp|opv|operationsverstärker|opamps|op",
        "opamp",
    ),
    (
        "amplifier|amp|verstärker|audio amp|endstufe|pa stage",
        "amplifier",
    ),
    ("codec|audio codec", "codec"),
    (
        "reference ic|vref ic|referenzspannung|voltage reference|spannungsreferenz|referenz-ic",
        "reference",
    ),
    ("sensor|sensors|fühler|geber|sensoren", "sensor"),
    (
        "thermistor|ntc|thermistors|temperatursensor|temp sensor|temperature sensor|temperaturfühler|temp-sensor",
        "thermistor",
    ),
    (
        "shunt|sense resistor|current sense resistor|current sense|shuntwiderstand|strommesswiderstand|messwiderstand|shunt resistor|sense-widerstand",
        "shunt",
    ),
    (
        "driver|drivers|drv|treiber|driver ic|treiber-ic|treiberbaustein|driver chip|ledtreiber|treiberstufe",
        "driver",
    ),
    (
        "gate driver|gate drv|gate-driver|gatetreiber|gate-treiber|gate drive|gate drivers",
        "gate driver",
    ),
    (
        "backlight|bl|back light|hintergrundbeleuchtung|backlite|backlight driver|bl driver|backlight boost|backlight-treiber|backlight driver ic",
        "backlight",
    ),
    (
        "display|lcd|screen|panel|anzeige|bildschirm|tft|oled|touch|touchscreen|touch panel|displays",
        "display",
    ),
    (
        "battery|batt|akku|pack|cell|batterie|accu|battery pack|akkupack|zelle",
        "battery",
    ),
    (
        "coin cell|rtc battery|backup battery|knopfzelle|cmos battery|pufferbatterie|stützbatterie|backup cell",
        "coin cell",
    ),
    (
        "button|btn|switch|key|taste|taster|schalter|power button|ein-taster|powerbutton|einschalter|tasten|switches|buttons|keypad",
        "button",
    ),
    ("fan|lüfter", "fan"),
    (
        "pump|pumpe|motor|motors|solenoid|ventil|valve|magnetventil",
        "motor",
    ),
    (
        "speaker|loudspeaker|lautsprecher|buzzer|summer|piezo",
        "speaker",
    ),
    (
        "antenna|ant|aerial|antenne|coax|antennenbuchse|antenna connector|antenna socket",
        "antenna",
    ),
    ("trace|track|traces|tracks|leiterbahn|leiterbahnen", "trace"),
    ("pad|pads|lötpad|lötauge", "pad"),
    ("via|vias|durchkontaktierung", "via"),
    (
        "joint|joints|solder joint|lötstelle|lötstellen|solder joints|solder",
        "joint",
    ),
    ("led|leds", "led"),
    ("ic|chip|chips|ics|baustein", "ic"),
    (
        "supervisor|watchdog|wdt|reset ic|reset chip|wdog|reset-ic|reset supervisor|voltage supervisor",
        "supervisor",
    ),
    (
        "pull-up|pullup|pull-up resistor|pullup resistor|pull up|pu resistor|pullups|pull-ups",
        "pullup",
    ),
];

const SIGNALS: [(&str, &str); 12] = [
    ("clock|clk|takt|clock signal|taktsignal", "clock"),
    ("reset|rst|reset line|resetleitung", "reset"),
    ("enable|enable line|en line|freigabe", "enable"),
    ("power good|pgood|powergood|power-good|pg", "PGOOD"),
    (
        "wake|wake line|wake-up|wakeup|ignition sense|weckleitung",
        "wake",
    ),
    ("sda", "SDA"),
    ("scl", "SCL"),
    ("i2c|i2c bus|i²c", "I2C"),
    ("canh|can h|can-h|can hi", "CANH"),
    ("canl|can l|can-l|can lo", "CANL"),
    (
        "rs485 a/b|rs485 ab|rs485|rs-485|rs-485 a/b|rs485 bus",
        "RS485",
    ),
    ("can|can bus|canbus|can-bus|can line|can lines", "CAN"),
];

const RAILS: [(&str, &str); 8] = [
    (
        "vcore|core|core rail|cpu core|core voltage|kernspannung|v core|core supply|corespannung",
        "VCORE",
    ),
    (
        "standby rail|stby rail|sb rail|standby supply|always-on rail|always on rail|aon rail|always-on|always on|standby-schiene|standby-spannung|standbyspannung|bereitschaftsspannung|dauerplus",
        "standby",
    ),
    (
        "gate supply|gate drv supply|gate drive supply|gatespannung|gate-versorgung|gate driver supply",
        "gate supply",
    ),
    (
        "battery volts|batt volts|battery voltage|akkuspannung|batteriespannung|pack voltage|batt voltage|pack volts",
        "battery",
    ),
    (
        "bulk|bulk cap volts|zwischenkreis|bus voltage|dc bus|dc link|zwischenkreisspannung|bulk voltage|dc-link",
        "bulk",
    ),
    (
        "main rail|main supply|system rail|hauptspannung|systemspannung|main rails",
        "main rail",
    ),
    (
        "backlight supply|backlight volts|backlight voltage|led supply|led volts",
        "backlight supply",
    ),
    (
        "rails|all rails|alle spannungen|all voltages|other rails|spannungen|rest of rails|andere spannungen",
        "rails",
    ),
];

const SPOTS: [(&str, &str); 14] = [
    (
        "shield|shields|shielding|can lid|schirm|abschirmung|shield can|abschirmblech|schirmblech",
        "shield",
    ),
    ("corner|ecke|edge|rand|kante", "corner"),
    (
        "bottom|underside|unterseite|bottom side|solder side|lötseite|back side|rückseite|b side|bot",
        "bottom",
    ),
    (
        "top|top side|oberseite|component side|bestückungsseite|a side",
        "top",
    ),
    (
        "bottom r|bottom right|unten rechts|lower right|btm right|btm r",
        "bottom right",
    ),
    (
        "bottom l|bottom left|unten links|lower left|btm left|btm l",
        "bottom left",
    ),
    ("top r|top right|oben rechts|upper right", "top right"),
    ("top l|top left|oben links|upper left", "top left"),
    ("heat sink|heatsink|kühlkörper", "heat sink"),
    (
        "whole board|entire board|ganze platine|gesamte platine|complete board|whole pcb|komplette platine|gesamtes board",
        "whole board",
    ),
    (
        "power corner|power section|netzteilbereich|netzteilteil|power stage|leistungsteil|leistungsstufe|power area",
        "power section",
    ),
    (
        "input stage|input section|eingangsstufe|eingangsbereich|eingangsteil|input circuit",
        "input stage",
    ),
    ("output stage|ausgangsstufe|output section", "output stage"),
    ("housing|case|gehäuse|enclosure", "case"),
];

/// Names that a family's own word in a sheet uses; ids themselves are families too.
const FAMILIES: [(&str, &str); 16] = [
    (
        "inlet|power inlet|input protection|power inlet and protection|eingang und schutz|eingangsschutz|power input",
        "inlet",
    ),
    (
        "isolated|mains converter|isolated converter|mains & isolated converter|mains and isolated converter|netzteil primär|isolierter wandler|netzwandler|primary side converter",
        "isolated",
    ),
    (
        "battery & charge path|battery and charge path|charge path|charging circuit|ladepfad|ladeschaltung|akku und laden|battery/charge|charging|ladekreis|ladepfad akku",
        "battery",
    ),
    (
        "always-on supply|always-on supply and wake|always-on supply & wake logic|wake logic|always-on supply and wake logic|standby supply circuit|standbyversorgung|standby-versorgung|dauerversorgung|standby",
        "standby",
    ),
    (
        "main dc-dc rails|main rails|dc-dc rails|main dcdc|buck|dc/dc|abwärtswandler|hauptschienen|dcdc",
        "buck",
    ),
    (
        "low-voltage high-current rails|core rails|core supply|core|kernversorgung|vcore",
        "core",
    ),
    (
        "sequence|sequencing|enables and reset|reset and supervision|power sequencing|einschaltfolge|sequenz|einschaltsequenz|enables, power-good, reset, supervision",
        "sequence",
    ),
    (
        "clock|clocks|clocks & timing|clocks and timing|timing|takt|takterzeugung",
        "clock",
    ),
    (
        "firmware|firmware & non-volatile storage|firmware and non-volatile storage|software|fw|bios",
        "firmware",
    ),
    (
        "processor|processor and memory|cpu|memory|prozessor|bga|processor, memory & array-package joints",
        "processor",
    ),
    (
        "bus|data link|data links|on-board & external data links|links|communication|schnittstelle|comms|kommunikation|datenbus|interface|schnittstellen",
        "bus",
    ),
    (
        "display|backlight|display, backlight & operator panel|operator panel|anzeige|hintergrundbeleuchtung|bedienfeld",
        "display",
    ),
    (
        "sensing|sensing, analogue & references|analogue|analog|sensors|sensorik|messung|messtechnik|sensor",
        "sensing",
    ),
    (
        "drive|drives & power outputs|drives and power outputs|power outputs|outputs|endstufe|leistungsstufe|power stage|output stage|antrieb|motor drive",
        "drive",
    ),
    (
        "signal|radio & audio paths|radio and audio paths|audio|radio|rf|hf|funk|ton",
        "signal",
    ),
    (
        "interconnect|board, joints & interconnect|joints|connectors|connector|board and joints|verbindung|leiterplatte|steckverbinder|lötstellen",
        "interconnect",
    ),
];

/// (words of a part or place, the family they name by themselves).
const OF_PLACE: [(&[&str], &str); 13] = [
    (&["backlight", "display"], "display"),
    (&["gate driver", "gate supply", "igbt"], "drive"),
    (&["charger", "battery"], "battery"),
    (&["standby"], "standby"),
    (&["VCORE"], "core"),
    (&["crystal", "oscillator", "clock"], "clock"),
    (&["flash", "eeprom", "firmware"], "firmware"),
    (
        &["processor", "microcontroller", "fpga", "ram"],
        "processor",
    ),
    (&["transceiver", "CANH", "CANL", "RS485", "CAN"], "bus"),
    (&["thermistor", "shunt", "sensor"], "sensing"),
    (&["rectifier", "optocoupler"], "isolated"),
    (&["codec", "antenna"], "signal"),
    (&["trace", "via"], "interconnect"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::families;

    #[test]
    fn every_family_named_is_built_in() {
        let known: Vec<String> = families::built_in().into_iter().map(|f| f.id).collect();
        let named = FAMILIES.iter().map(|(_, id)| *id);
        for id in named.chain(OF_PLACE.iter().map(|(_, id)| *id)) {
            assert!(known.iter().any(|k| k == id), "{id}");
        }
    }

    #[test]
    fn a_part_names_its_circuit_only_by_a_whole_word() {
        assert_eq!(family_of("backlight fuse"), Some("display"));
        assert_eq!(family_of("gate driver"), Some("drive"));
        assert_eq!(family_of("U31"), None);
        assert_eq!(family_of("displayed"), None);
    }
}
