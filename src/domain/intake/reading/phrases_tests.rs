//! Phrases of the bench, English and German, invented; the readings are common practice, no source.
//!
//! Each reading is written as `show_tests::show` writes it.

use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::show_tests::check;

#[test]
fn free_words_are_read() {
    check(&Field::Everything, FREE);
}

#[test]
fn a_column_tells_what_its_words_are() {
    check(&Field::Draw, DRAW);
    check(&Field::Rail("5V".to_owned()), RAIL);
    check(&Field::Resistance("3V3_SB".to_owned()), OHMS);
    check(&Field::Diode("SDA".to_owned()), DIODE);
    check(&Field::Complaint, COMPLAINT);
    check(&Field::Fix, FIX);
    check(&Field::Tried, TRIED);
    check(&Field::Part, PART);
    check(&Field::Outcome, OUTCOME);
    check(&Field::Family, FAMILY);
}

const FREE: &[(&str, &str)] = &[
    ("3V3 under 1V", "rail 3V3 < 1 good=3.3"),
    ("draws about 40mA", "current ~ 0.04"),
    ("unter 1 Ohm an C114", "resistance C114 hard-short < 1"),
    (
        "AI1 0.04 diode mode, good 0.62",
        "diode AI1 short 0.04 good=0.62 [polarity-missing]",
    ),
    ("RLY_DRV stays up 23.8V", "signal RLY_DRV stuck-high 23.8"),
    (
        "white crust, under both shields",
        "visual under both shields residue [side/corner free text]",
    ),
    (
        "black at phase A corner",
        "visual phase A corner burnt [side/corner free text, token-collision]",
    ),
    (
        "No power. 3V3_SB missing. Replaced U31, ok now",
        "rail 3V3_SB absent good=3.3; +replace U31 the-fix; !no-power; =unknown-so-far",
    ),
    (
        "U31 getauscht, läuft wieder",
        "+replace U31 the-fix; =unknown-so-far",
    ),
    (
        "C12 Kurzschluss, ersetzt, geht wieder",
        "resistance C12 hard-short; +replace C12 the-fix; =unknown-so-far",
    ),
    (
        "3V3 210R to gnd, good board 1.4k",
        "resistance 3V3 low 210 good=1400",
    ),
    (
        "3V3_SB 1.4k, good one 1.4k",
        "resistance 3V3_SB as-reference 1400 good=1400",
    ),
    (
        "PHASE_A 0.1R, good one 12k",
        "resistance PHASE_A hard-short 0.1 good=12000",
    ),
    (
        "diode PHASE_A 0 shld be 0.46",
        "diode PHASE_A short 0 good=0.46 [polarity-missing]",
    ),
    (
        "CANH 0.01 diode mode, good 0.6",
        "diode CANH short 0.01 good=0.6; @bus? [polarity-missing, circuit-from-words]",
    ),
    ("13.8 on VOUT", "rail VOUT 13.8"),
    ("305R to gnd on 3V3", "resistance 3V3 305"),
    ("0.8R to gnd on BULK", "resistance BULK hard-short 0.8"),
    (
        "vcore 2.2R psu off",
        "resistance VCORE 2.2 source-off; @core? [needs-reference, circuit-from-words]",
    ),
    ("3v3_sb = 3.31", "rail 3V3_SB in-band 3.31 good=3.3"),
    ("RESET_N ok 3.3V", "signal RESET_N present 3.3"),
    ("FAULT_N stuck lo 0.1V", "signal FAULT_N stuck-low 0.1"),
    ("CLK25 missing", "signal CLK25 missing"),
    ("CLK25 present 25MHz", "signal CLK25 present 25000000 Hz"),
    ("EN_CORE low", "signal EN_CORE stuck-low"),
    ("no 3V3", "rail 3V3 absent good=3.3"),
    (
        "no clock at Y1",
        "signal Y1 missing; @clock? [circuit-from-words]",
    ),
    (
        "5V fehlt, U7 heiß",
        "rail 5V absent good=5; heat U7 hot [two-observations]",
    ),
    (
        "5V = 0,02 V, Kurzschluss gegen Masse an C114",
        "rail 5V absent 0.02 good=5; resistance C114 hard-short [decimal-comma, two-observations]",
    ),
    ("U6 hot, 61 deg", "heat U6 hot 61"),
    ("cam 83C at U31", "heat U31 83"),
    ("heat sink hot, 24 deg", "heat heat sink hot 24"),
    ("VIN_F not there (0.01)", "rail VIN_F absent 0.01"),
    (
        "stby missing, .5ish",
        "rail standby absent ~ 0.5; @standby? [circuit-from-words]",
    ),
    (
        "primary sense open, OL",
        "resistance open OL?; @isolated?; _sense open_ [mode-missing, safety-mains, circuit-from-words]",
    ),
    ("climbs to 200mA then drops out", "current stepped-stop 0.2"),
    ("steps up, 210mA, gone", "current stepped-stop 0.21"),
    ("sits at 280mA", "current stuck 0.28"),
    ("320mA stuck", "current stuck 0.32"),
    ("820mA running", "current 0.82 in running"),
    ("draw ok 195mA", "current normal 0.195"),
    ("psu reads nothing", "current zero 0"),
    ("no draw", "current zero 0"),
    ("zieht 40 mA und bleibt", "current stuck 0.04"),
    (
        "Stromaufnahme schwankt zwischen 60 und 120 mA",
        "current cycling low=0.06 high=0.12 [period-missing]",
    ),
    ("Netzteil in Begrenzung", "current limit"),
    (
        "in limit at 1A, 12V collapses to 0.6V",
        "current limit supply=12 limit=1 collapsed=0.6",
    ),
    ("draws 45mA at 12V", "current 0.045 supply=12"),
    ("12V 0.3A steady", "current stuck 0.3 supply=12"),
    ("white crust at SW1", "visual SW1 residue"),
    (
        "green all over, whole board",
        "visual whole board residue extent=board",
    ),
    (
        "burnt at mains fuse",
        "visual mains fuse burnt; @isolated? [safety-mains, circuit-from-words]",
    ),
    ("black at D2", "visual D2 burnt"),
    ("ring crack at J9", "visual J9 cracked-joint"),
    ("dull joint at U14", "visual U14 dull-joint"),
    (
        "sticky film at button flex",
        "visual button flex sticky-film",
    ),
    (
        "looks like new",
        "visual whole board none-seen extent=board",
    ),
    ("no residue at U31", "visual U31 none-seen"),
    ("no residue", ""),
    ("C12 not short", ""),
    ("kein Kurzschluss auf 3V3", ""),
    (
        "Rückstände unter U31, gereinigt, danach 3V3 ok",
        "visual U31 residue; rail 3V3 in-band good=3.3 after-action; +clean whole board the-fix; *3V3 ok*",
    ),
    (
        "cleaned, still dead, replaced U31, 3V3 back",
        "rail 3V3 in-band good=3.3 after-action; +clean whole board tried-no-effect; +replace U31 the-fix; *3V3 back*",
    ),
    (
        "tried reflow U5, no change. replaced U5, boots",
        "+reflow U5 tried-no-effect; +replace U5 the-fix; =unknown-so-far",
    ),
    (
        "replaced U31 and C12, works",
        "+replace U31 the-fix; +replace C12 the-fix; =unknown-so-far",
    ),
    (
        "replaced U31, reflowed L12, works",
        "+replace U31 also-done?; +reflow L12 the-fix?; =unknown-so-far [cause-not-proved]",
    ),
    ("gone after removing C115", "+remove C115 the-fix; *gone*"),
    (
        "3V3 short, removed C115, short gone",
        "resistance 3V3 hard-short; +remove C115 the-fix; =unknown-so-far; *short gone*",
    ),
    (
        "U31 replaced L12 reflowed",
        "+replace U31 also-done?; +reflow L12 the-fix? [cause-not-proved]",
    ),
    (
        "swapped the 3V3 regulator, 3V3 3.31 after",
        "rail 3V3 in-band 3.31 good=3.3 after-action; +replace 3V3 regulator the-fix; *3V3 3.31*",
    ),
    ("jumper from R4 to R7", "+bridge-or-jumper R4 to R7 the-fix"),
    (
        "bridged F2",
        "+bridge-or-jumper F2 also-done? [unsafe-action-open]",
    ),
    (
        "Sicherung überbrückt",
        "+bridge-or-jumper Sicherung also-done? [unsafe-action-open]",
    ),
    ("replaced connector J5", "+replace-connector J5 the-fix"),
    ("Stecker J5 getauscht", "+replace-connector J5 the-fix"),
    ("customer declined", "=no-fix; #customer-declined"),
    (
        "Kunde lehnt ab, unrepariert zurück",
        "=no-fix; #customer-declined",
    ),
    (
        "came back same fault after 2 weeks",
        "=bounced-same-fault [tier-X]",
    ),
    (
        "came back with different fault",
        "=bounced-other-fault [tier-X]",
    ),
    ("held, no return in 6 months", "=held"),
    (
        "salt water damage, corroded J1",
        "visual J1 residue; ~salt-water",
    ),
    (
        "dropped, Y1 cracked, replaced, works",
        "visual Y1 cracked-part; +replace Y1 the-fix; !impact; =unknown-so-far; ~impact",
    ),
    (
        "lightning, U7 dead, replaced U7, comms back",
        "+replace U7 the-fix; !surge-or-miswire; =unknown-so-far",
    ),
    (
        "wet inside, cleaned",
        "+clean whole board the-fix?; !liquid-entry [cause-not-proved, no-measurement]",
    ),
    (
        "reballed U1, no change, scrap",
        "+reball U1 tried-no-effect; =no-fix",
    ),
    (
        "fuse F1 open, replaced, held",
        "resistance F1 open; +replace F1 the-fix; =held",
    ),
    (
        "bulged C31, replaced C31 and C32",
        "visual C31 bulged; +replace C31 the-fix; +replace C32 the-fix",
    ),
    (
        "nachgelötet U14, ohne Erfolg; U14 ersetzt, jetzt ok",
        "+reflow U14 tried-no-effect; +replace U14 the-fix; =unknown-so-far",
    ),
    (
        "U12 wird heiß, 5V niederohmig gegen Masse",
        "heat U12 hot; resistance 5V hard-short [two-observations]",
    ),
    (
        "SDA 0.02 diode, red to ground, should be 0.45",
        "diode SDA short 0.02 good=0.45 red-to-ground",
    ),
    (
        "lifted pad at R12, rebuilt pad",
        "visual R12 lifted; +rebuild-pad-or-trace R12 the-fix",
    ),
    ("coin cell dead, replaced", "+replace coin cell the-fix"),
    (
        "fw neu aufgespielt, bootet wieder",
        "+reprogram-firmware firmware the-fix; =unknown-so-far; @firmware",
    ),
    ("R12 open", "resistance R12 open"),
    ("C13 leaky 300R", "resistance C13 low 300"),
    (
        "Q1 shorted D-S, replaced Q1",
        "resistance Q1 hard-short; +replace Q1 the-fix; _D-S_",
    ),
    (
        "R4-R7 replaced",
        "+replace R4 the-fix; +replace R5 the-fix; +replace R6 the-fix; +replace R7 the-fix [expand-range]",
    ),
    (
        "12V ok, 5V ok, 3V3 missing",
        "rail 12V in-band good=12; rail 5V in-band good=5; rail 3V3 absent good=3.3 [three-observations]",
    ),
    (
        "12V, 5V and 3V3 present, VCORE 0",
        "rail 12V in-band good=12; rail 5V in-band good=5; rail 3V3 in-band good=3.3; rail VCORE absent 0; @core? [circuit-from-words]",
    ),
    ("VBAT 3.1V instead of 3.7V", "rail VBAT low 3.1 good=3.7"),
    ("U31 pin 4 3.3V", "signal U31 pin 4 3.3"),
    (
        "5V rail 4.2V under load",
        "rail 5V low 4.2 good=5 in loaded",
    ),
    ("3V3 pulsing", "rail 3V3 pulsing good=3.3"),
    (
        "draw pulsing 20-80mA every 2s",
        "current cycling low=0.02 high=0.08 period=2",
    ),
    ("< 1 ohm to ground on 5V0", "resistance 5V0 hard-short < 1"),
    ("~40 mA", "current ~ 0.04"),
    ("replaced U31", "+replace U31 the-fix"),
    ("no fault found", "[map-explicitly]"),
    ("no effect", ""),
    (
        "5V0 hard short, C88 hot with 1V 2A injected, removed C88, 5V0 back",
        "resistance 5V0 hard-short; heat C88 hot; rail 5V0 in-band good=5 after-action; +remove C88 the-fix; *5V0 back*",
    ),
    ("inj 0.8V 2A, C72 lights up", "heat C72 hot"),
    ("no volts on 3V3", "rail 3V3 absent good=3.3"),
    ("C12 (100n) short", "resistance C12 hard-short"),
    ("replaced C12 100n", "+replace C12 the-fix"),
    (
        "Elko C31 aufgebläht, getauscht",
        "visual C31 bulged; +replace C31 the-fix",
    ),
    (
        "R12 hochohmig, ersetzt",
        "resistance R12 open; +replace R12 the-fix",
    ),
    (
        "Lötstelle an L12 gerissen, nachgelötet",
        "visual L12 cracked-joint; +reflow L12 the-fix",
    ),
    (
        "Q3 durchlegiert, ersetzt",
        "+replace Q3 the-fix; _durchlegiert_",
    ),
    (
        "Akku lädt nicht, Ladebuchse korrodiert",
        "visual Ladebuchse residue; !no-charge",
    ),
    ("geht nicht an, 0A", "current zero 0; !no-power"),
    ("3,3V fehlt", "rail 3.3V absent good=3.3 [decimal-comma]"),
    ("3.3V rail missing", "rail 3.3V absent good=3.3"),
    ("5V rail 0.2V", "rail 5V absent 0.2 good=5"),
    ("12V rail low", "rail 12V low good=12 [no-number]"),
    ("VCC 4.8V", "rail VCC 4.8"),
    (
        "VIN 12V ok, 3V3 0V",
        "rail VIN in-band 12; rail 3V3 absent 0 good=3.3 [two-observations]",
    ),
    ("PG low", "signal PG stuck-low"),
    ("RESET held low", "signal RESET stuck-low"),
    (
        "no backlight, LED_A 0V",
        "rail LED_A absent 0?; !no-display [ambiguous]",
    ),
    ("lamp out", "!output-missing"),
    (
        "U4 gets hot, replaced, fine now",
        "heat U4 hot; +replace U4 the-fix; =unknown-so-far",
    ),
    (
        "U31, L12 reflowed",
        "+reflow U31 the-fix; +reflow L12 the-fix",
    ),
    (
        "touched up U31 joints, no effect",
        "+reflow U31 tried-no-effect",
    ),
    (
        "washed board",
        "+clean whole board the-fix? [cause-not-proved, no-measurement]",
    ),
    (
        "ultrasonic clean, works",
        "+clean whole board the-fix?; =unknown-so-far [cause-not-proved, no-measurement]",
    ),
    (
        "replaced U5. Still dead. Replaced U6, works",
        "+replace U5 tried-no-effect; +replace U6 the-fix; =unknown-so-far",
    ),
    ("tried new U5, no joy", "+replace U5 tried-no-effect"),
    (
        "new U5 fitted, no change; new Q2 fitted, fixed",
        "+replace U5 tried-no-effect; +replace Q2 the-fix; =unknown-so-far",
    ),
    (
        "swapped Q1 and gate driver, drives ok",
        "+replace Q1 the-fix; +replace gate driver the-fix; =unknown-so-far; _drives_",
    ),
    (
        "fuse blown, replaced fuse, blew again",
        "resistance fuse open; +replace fuse the-fix; _blew_",
    ),
    ("F1 blown", "resistance F1 open"),
    ("burnt R12 and R13", "visual R12 burnt; visual R13 burnt"),
    ("R12, R13 burnt", "visual R12 burnt; visual R13 burnt"),
    ("J1 pins corroded", "visual J1 residue"),
    ("corrosion under U7", "visual U7 residue"),
    ("no corrosion", ""),
    ("kein Grünspan", ""),
    ("trocken, keine Rückstände", ""),
    (
        "liquid damage, residue around U31 and L12",
        "visual U31 residue; visual L12 residue; !liquid-entry",
    ),
    ("sugar under shield", "~sugar"),
    ("coffee spill", "!liquid-entry"),
    ("water got in", "!liquid-entry"),
    (
        "white residue bottom side",
        "visual bottom side residue [side/corner free text]",
    ),
    ("cracked J3", "visual J3 cracked-part"),
    ("lifted pads on U9", "visual U9 lifted"),
    ("solder bridge at U7 pins", "visual U7 solder-bridge"),
    ("earlier repair visible", "visual earlier-work"),
    (
        "previous repair, flux everywhere",
        "visual earlier-work; visual whole board earlier-work extent=board",
    ),
    ("lines on screen", "!no-display"),
    ("won't charge, stays at 5V", "!no-charge; _stays at 5V_"),
    (
        "CAN dead, replaced transceiver, ok",
        "+replace transceiver the-fix; !no-link; =unknown-so-far; @bus",
    ),
    (
        "CANH-CANL 60R",
        "resistance CANH-CANL as-reference 60 good=60",
    ),
    ("termination 120 ohm", "_termination 120 ohm_"),
    ("SDA stuck low", "signal SDA stuck-low"),
    ("SCL 0V", "signal SCL 0"),
    (
        "XTAL not oscillating",
        "signal XTAL missing; @clock? [ambiguous, circuit-from-words]",
    ),
    (
        "Y1 no osc, replaced Y1, boots",
        "signal Y1 missing; +replace Y1 the-fix; =unknown-so-far; @clock? [circuit-from-words]",
    ),
    ("RTC loses time", "!wrong-reading; _RTC_"),
    (
        "clock 32.7kHz missing",
        "signal clock missing good=32700 Hz; @clock? [circuit-from-words]",
    ),
    ("25MHz missing", "_25MHz missing_"),
    (
        "diode mode VCORE 0.012",
        "diode VCORE 0.012; @core? [polarity-missing, circuit-from-words]",
    ),
    (
        "Diodentest SDA 0,02 soll 0,45",
        "diode SDA short 0.02 good=0.45 [decimal-comma, polarity-missing]",
    ),
    ("OL", "resistance open OL? [mode-missing]"),
    ("C5 0.2 ohm", "resistance C5 hard-short 0.2"),
    ("0.2 ohm across C5", "resistance C5 hard-short 0.2"),
    ("short on VBUS", "resistance VBUS hard-short"),
    ("VBUS shorted to ground", "resistance VBUS hard-short"),
    ("12V to ground 3 ohm", "resistance 12V 3"),
    ("draw 20mA then limit", "current 0.02"),
    ("pulls 1.2A straight away", "current 1.2; _straight away_"),
    ("high current draw", "current high"),
    ("draws too much", "current high"),
    ("current normal", "current normal"),
    (
        "Strom normal aber keine Funktion",
        "current normal-no-function",
    ),
    ("40mA", "current 0.04"),
    ("draw 40", "current 0.04? [unit-assumed]"),
    ("0.45A steady", "current stuck 0.45"),
    ("idle 80mA", "current 0.08"),
    ("draw 0.3A, should be 0.1A", "current 0.3 good=0.1"),
    ("stuck at 40 mA, no boot", "current stuck 0.04; !no-start"),
    (
        "cycling 20 to 80 mA",
        "current cycling low=0.02 high=0.08 [period-missing]",
    ),
    (
        "cycles between 20mA and 80mA",
        "current cycling low=0.02 high=0.08 [period-missing]",
    ),
    ("PSU in limit (1A)", "current limit limit=1"),
    ("zu hohe Stromaufnahme", "current high"),
    ("kein Strom", "current zero 0"),
    ("keine Stromaufnahme", "current zero 0"),
    ("U31 was replaced before", "+replace U31 the-fix"),
    (
        "3V3 was 0.4, now 3.31",
        "rail 3V3 low 0.4 good=3.3; rail 3V3 in-band 3.31 good=3.3 after-action",
    ),
    ("before: 0.41 on 3V3_SB", "rail 3V3_SB low 0.41 good=3.3"),
    (
        "3V3_SB after cleaning 2.9V",
        "rail 3V3_SB low 2.9 good=3.3 after-cleaning",
    ),
    (
        "after cleaning 3V3 ok",
        "rail 3V3 in-band good=3.3 after-cleaning",
    ),
    (
        "nach Reinigung 3V3 3,31 V",
        "rail 3V3 in-band 3.31 good=3.3 after-cleaning [decimal-comma]",
    ),
    (
        "vor Reinigung Rückstände an U31",
        "visual U31 residue before-cleaning",
    ),
    (
        "came back after 3 weeks",
        "=bounced-same-fault? [tier-X, what-fault]",
    ),
    ("bounced", "=bounced-same-fault? [tier-X, what-fault]"),
    (
        "Rückläufer, gleicher Fehler",
        "=bounced-same-fault [tier-X]",
    ),
    (
        "kam zurück mit anderem Fehler",
        "=bounced-other-fault [tier-X]",
    ),
    ("held 90 days", "=held"),
    ("scrap", "=no-fix"),
    ("Totalschaden", "=no-fix"),
    ("Schrott, CPU defekt", "=no-fix; #processor-or-memory-dead"),
    ("no parts available", "=no-fix; #part-unobtainable"),
    ("Ersatzteil nicht lieferbar", "=no-fix; #part-unobtainable"),
    ("data recovered only", "=no-fix; #data-only-recovered"),
    (
        "could not find it, time box",
        "=no-fix; #not-located-in-time-box",
    ),
    ("Fehler nicht gefunden", "=no-fix; #not-located-in-time-box"),
    ("kein Fehler gefunden", "[map-explicitly]"),
    ("n/a", ""),
    ("rev B", "^B"),
    ("Rev. C, U31 replaced", "+replace U31 the-fix; ^C"),
    ("fixed 14.11.2024", "=unknown-so-far; d2024-11-14"),
    ("closed 2024-11-14", "d2024-11-14; _closed_"),
    ("replaced U31 with new one", "+replace U31 the-fix"),
    ("replaced U31 from donor board", "+replace U31 the-fix"),
    (
        "U31 and Q3 replaced",
        "+replace U31 the-fix; +replace Q3 the-fix",
    ),
    (
        "U31/Q3 getauscht",
        "+replace U31 the-fix; +replace Q3 the-fix",
    ),
    (
        "replaced 2 caps",
        "+replace 2 caps the-fix [refdes-missing]",
    ),
    (
        "replaced the standby regulator",
        "+replace standby regulator the-fix; @standby",
    ),
    (
        "backlight driver replaced",
        "+replace backlight driver the-fix; @display",
    ),
    ("replaced charger IC U7", "+replace U7 the-fix; @battery"),
    (
        "reprogrammed EEPROM U11",
        "+reprogram-firmware U11 the-fix; @firmware",
    ),
    (
        "EEPROM neu programmiert",
        "+reprogram-firmware EEPROM the-fix; @firmware",
    ),
    ("reseated J7", "+reseat J7 the-fix"),
    ("J7 neu gesteckt", "+reseat J7 the-fix"),
    ("recalibrated", "+recalibrate board the-fix"),
    ("Abgleich", "+recalibrate board the-fix"),
    (
        "jumper wire from TP3 to TP4",
        "+bridge-or-jumper TP3 to TP4 the-fix",
    ),
    ("rebuilt trace to U5", "+rebuild-pad-or-trace U5 the-fix"),
    ("removed C115", "+remove C115 the-fix"),
    ("C115 entfernt", "+remove C115 the-fix"),
    (
        "took off C115, short gone",
        "+remove C115 the-fix; =unknown-so-far; *short gone*",
    ),
    ("did not replace U31", ""),
    ("U31 nicht getauscht", ""),
    ("nothing found", "_nothing_"),
    ("not tested", ""),
    ("U31 or L12", "[cause-not-proved]"),
    ("either U31 or L12 bad", "[cause-not-proved]"),
    ("probably U31", ""),
    ("maybe C12 leaky", "resistance C12 low? [ambiguous]"),
    ("3V3 ok?", "rail 3V3 in-band good=3.3? [ambiguous]"),
    ("replaced U31?", "+replace U31 the-fix? [cause-not-proved]"),
    (
        "U31 replaced, 3V3 still missing",
        "+replace U31 tried-no-effect",
    ),
    ("replaced U31 no help", "+replace U31 tried-no-effect"),
    (
        "U31 getauscht, keine Änderung",
        "+replace U31 tried-no-effect",
    ),
    (
        "reflow half nicht",
        "+reflow  tried-no-effect? [which-part]",
    ),
    (
        "C12 replaced => works",
        "+replace C12 the-fix; =unknown-so-far",
    ),
    (
        "C12 -> short, replaced",
        "resistance C12 hard-short; +replace C12 the-fix",
    ),
    ("3V3: 0.41V", "rail 3V3 low 0.41 good=3.3"),
    ("VCORE=0.9V", "rail VCORE 0.9; @core? [circuit-from-words]"),
    ("3V3 @ 0.4V", "rail 3V3 low 0.4 good=3.3"),
    ("3V3 at 0.4V", "rail 3V3 low 0.4 good=3.3"),
    ("3V3 only 0.4V", "rail 3V3 low 0.4 good=3.3"),
    ("3V3 down to 1.2V", "rail 3V3 low 1.2 good=3.3"),
    ("3V3 should be 3.3 reads 1.2", "rail 3V3 low 1.2 good=3.3"),
    ("reads 1.2V on 3V3", "rail 3V3 low 1.2 good=3.3"),
    ("got 2.1V at U31 pin 4", "signal U31 pin 4 2.1"),
    ("2.1V on U31 pin 4", "signal U31 pin 4 2.1"),
    ("U31 pin 4: 2.1V", "signal U31 pin 4 2.1"),
    ("TP4 1.8V", "rail TP4 1.8? [ambiguous]"),
    (
        "1V8 ok 3V3 ok 5V low",
        "rail 1V8 in-band good=1.8; rail 3V3 in-band good=3.3; rail 5V low good=5 [no-number, three-observations]",
    ),
    ("all rails ok", "rail all rails in-band"),
    (
        "all rails ok, no clock",
        "rail all rails in-band; signal clock missing; @clock? [circuit-from-words, two-observations]",
    ),
    (
        "rails good, reset low",
        "rail rails in-band; signal reset stuck-low [two-observations]",
    ),
    (
        "gate supply 9V should be 15V",
        "rail gate supply low 9 good=15; @drive? [circuit-from-words]",
    ),
    ("phase U missing", "signal phase U missing"),
    (
        "motor phase W short to DC+",
        "resistance phase W hard-short; _DC_",
    ),
    (
        "IGBT short",
        "resistance IGBT hard-short; @drive? [circuit-from-words]",
    ),
    ("bulk 325V ok", "rail bulk in-band 325"),
    (
        "primary side fuse blown",
        "resistance fuse open; @isolated? [safety-mains, circuit-from-words]",
    ),
    ("opto replaced", "+replace opto the-fix; @isolated"),
    (
        "mains fuse F1 open",
        "resistance F1 open; @isolated? [safety-mains, circuit-from-words]",
    ),
    (
        "bridged fuse to test",
        "+bridge-or-jumper fuse also-done? [unsafe-action-open]",
    ),
    (
        "fuse bridged with wire",
        "+bridge-or-jumper fuse also-done? [unsafe-action-open]",
    ),
    ("R5 wired across", "+bridge-or-jumper R5 the-fix"),
    (
        "pump won't stop, relay K1 welded, replaced",
        "+replace K1 the-fix; !output-stuck",
    ),
    (
        "no sound, amp U9 replaced",
        "+replace U9 the-fix; !output-missing",
    ),
    (
        "temp reading wrong, NTC open",
        "resistance NTC open; !wrong-reading; @sensing? [circuit-from-words]",
    ),
    (
        "thermistor open",
        "resistance thermistor open; @sensing? [circuit-from-words]",
    ),
    ("\"No power\" – U31 „defekt“", "!no-power"),
    ("3V3 0,41 V", "rail 3V3 low 0.41 good=3.3 [decimal-comma]"),
    (
        "60 Ω CANH-CANL",
        "resistance CANH-CANL as-reference 60 good=60",
    ),
    ("10 kΩ to GND on EN", "resistance EN 10000"),
    ("470µA standby", "current 0.00047 in standby"),
    ("0.47mA in standby", "current 0.00047 in standby"),
    ("standby current 12mA", "current 0.012 in standby"),
    ("in standby 12mA", "current 0.012 in standby"),
    (
        "5mA standby, 200mA running",
        "current 0.005 in standby; current 0.2 in running [two-observations]",
    ),
    (
        "UNIT DEAD. REPLACED U31. WORKS",
        "+replace U31 the-fix; !no-power; =unknown-so-far",
    ),
    (
        "REPLACED C12, C13. OK",
        "+replace C12 the-fix; +replace C13 the-fix; =unknown-so-far",
    ),
];

const DRAW: &[(&str, &str)] = &[
    ("0.45", "current 0.45"),
    ("0,45", "current 0.45 [decimal-comma]"),
    ("61-118mA", "current range low=0.061 high=0.118"),
    (
        "61-118 mA up/down",
        "current cycling low=0.061 high=0.118 [period-missing]",
    ),
    ("40mA", "current 0.04"),
    ("0", "current zero 0"),
    ("zero", "current zero"),
    ("cycling", "current cycling"),
    ("limit", "current limit"),
    ("0.02-0.18", "current range low=0.02 high=0.18"),
    ("450", "current 0.45? [unit-assumed]"),
    ("n/m", "current not-measured"),
    ("ok", "current normal"),
    ("normal", "current normal"),
    ("high", "current high"),
    ("2A limit", "current limit limit=2"),
    ("Strombegrenzung", "current limit"),
    ("stuck 40mA", "current stuck 0.04"),
    ("~0.1", "current ~ 0.1"),
    ("<1mA", "current < 0.001"),
    (
        "20/80mA cycling",
        "current cycling low=0.02 high=0.08 [period-missing]",
    ),
    ("-", ""),
    ("keine", ""),
];

const RAIL: &[(&str, &str)] = &[
    ("3,8", "rail 5V low 3.8 good=5 [decimal-comma]"),
    ("5.02", "rail 5V in-band 5.02 good=5"),
    ("0", "rail 5V absent 0 good=5"),
    ("ok", "rail 5V in-band good=5"),
    ("low", "rail 5V low good=5 [no-number]"),
    ("missing", "rail 5V absent good=5"),
    ("fehlt", "rail 5V absent good=5"),
    ("pulsing", "rail 5V pulsing good=5"),
    ("short", "resistance 5V hard-short"),
    ("4.9V", "rail 5V in-band 4.9 good=5"),
    ("~4.8", "rail 5V ~ 4.8 good=5"),
    ("0.41 V", "rail 5V low 0.41 good=5"),
    ("-", ""),
    ("n/a", ""),
    ("OL", "resistance 5V open OL? [mode-missing]"),
    ("5", "rail 5V in-band 5 good=5"),
    ("4.2V under load", "rail 5V low 4.2 good=5 in loaded"),
];

const OHMS: &[(&str, &str)] = &[
    ("210", "resistance 3V3_SB 210"),
    ("210R", "resistance 3V3_SB 210"),
    ("1.4k", "resistance 3V3_SB 1400"),
    ("0.3", "resistance 3V3_SB hard-short 0.3"),
    ("short", "resistance 3V3_SB hard-short"),
    ("OL", "resistance 3V3_SB open OL"),
    ("open", "resistance 3V3_SB open"),
    ("ok", "resistance 3V3_SB as-reference"),
    ("0L", "_0L_"),
    ("210 (1400)", "resistance 3V3_SB 210; _1400_"),
    ("210, good 1400", "resistance 3V3_SB low 210 good=1400"),
    ("2k2", "resistance 3V3_SB 2200"),
    ("1M", "resistance 3V3_SB 1000000"),
    ("low", "resistance 3V3_SB low"),
    (
        "0,3 Ohm",
        "resistance 3V3_SB hard-short 0.3 [decimal-comma]",
    ),
];

const DIODE: &[(&str, &str)] = &[
    ("0.45", "diode SDA 0.45 [polarity-missing]"),
    ("OL", "diode SDA OL OL"),
    ("0,02", "diode SDA 0.02 [decimal-comma, polarity-missing]"),
    (
        "0.412 should be 0.48",
        "diode SDA low 0.412 good=0.48 [polarity-missing]",
    ),
    ("short", "diode SDA short"),
    (".45V", "diode SDA 0.45 [polarity-missing]"),
];

const COMPLAINT: &[(&str, &str)] = &[
    ("no power", "!no-power"),
    ("dead", "!no-power"),
    ("Gerät tot", "!no-power"),
    ("won't charge, wet", "!no-charge; !liquid-entry"),
    ("kein Bild nach Sturz", "!no-display; !impact; ~impact"),
    ("dropped, screen black", "!impact; !no-display; ~impact"),
    ("No display / no sound", "!no-display; !output-missing"),
    ("doesn't boot", "!no-start"),
    ("customer says no power since storm", "!no-power; _storm_"),
    ("lädt nicht", "!no-charge"),
    ("water damage", "!liquid-entry"),
    ("intermittent", "!intermittent"),
    (
        "tot, Wasserschaden Salzwasser",
        "!no-power; !liquid-entry; ~salt-water",
    ),
    ("not charging", "!no-charge"),
    ("no-power", "!no-power"),
    ("works sometimes", "!intermittent"),
    ("needs new screen", "_needs new screen_"),
    ("unknown", "!unknown"),
    (
        "no power, replaced battery himself",
        "!no-power; _replaced battery himself_",
    ),
    ("Sicherung fliegt", "!trips-or-alarms"),
];

const FIX: &[(&str, &str)] = &[
    ("replaced U31", "+replace U31 the-fix"),
    ("U31", "+other U31 the-fix? [act-not-said]"),
    (
        "U31 replaced, cleaned",
        "+replace U31 the-fix; +clean whole board also-done",
    ),
    (
        "reflow U31, L12",
        "+reflow U31 the-fix; +reflow L12 the-fix",
    ),
    ("C12 getauscht", "+replace C12 the-fix"),
    ("new U31", "+replace U31 the-fix"),
    ("repl. U31", "+replace U31 the-fix"),
    ("cleaned", "+clean whole board the-fix"),
    ("cleaned J5", "+clean J5 the-fix"),
    (
        "U31 getauscht, J1 gereinigt",
        "+replace U31 the-fix; +clean J1 also-done",
    ),
    ("none", ""),
    ("nichts gemacht", "+none  also-done"),
    (
        "replaced U31 and reflowed L12",
        "+replace U31 the-fix; +reflow L12 the-fix",
    ),
    (
        "swap C114,115",
        "+replace C114 the-fix; +replace C115 the-fix",
    ),
    (
        "R4-R7 ersetzt",
        "+replace R4 the-fix; +replace R5 the-fix; +replace R6 the-fix; +replace R7 the-fix [expand-range]",
    ),
    ("reflash", "+reprogram-firmware firmware the-fix; @firmware"),
    ("removed C115", "+remove C115 the-fix"),
    (
        "bypassed fuse",
        "+bridge-or-jumper fuse also-done? [unsafe-action-open]",
    ),
    ("replaced fuse F1", "+replace F1 the-fix"),
    ("tried U5, then replaced U31", "+replace U31 the-fix"),
    (
        "replaced U5 (no help), replaced U31",
        "+replace U5 tried-no-effect; +replace U31 the-fix",
    ),
];

const TRIED: &[(&str, &str)] = &[
    ("reflow L12", "+reflow L12 tried-no-effect"),
    (
        "replaced U5, reflowed L12",
        "+replace U5 tried-no-effect; +reflow L12 tried-no-effect",
    ),
    ("cleaned", "+clean whole board tried-no-effect"),
    ("none", ""),
    ("-", ""),
    ("U5 getauscht", "+replace U5 tried-no-effect"),
    ("reflow U31, no change", "+reflow U31 tried-no-effect"),
    ("L12 nachgelötet ohne Erfolg", "+reflow L12 tried-no-effect"),
];

const PART: &[(&str, &str)] = &[
    ("U31", "+other U31 the-fix? [act-not-said]"),
    (
        "U31, C12",
        "+other U31 the-fix?; +other C12 the-fix? [act-not-said]",
    ),
    (
        "R4-R7",
        "+other R4 the-fix?; +other R5 the-fix?; +other R6 the-fix?; +other R7 the-fix? [act-not-said, expand-range]",
    ),
    ("regulator", "+other regulator the-fix? [act-not-said]"),
    (
        "U7 or Q3",
        "+other U7 the-fix?; +other Q3 the-fix? [cause-not-proved, act-not-said]",
    ),
    (
        "C12,13+15",
        "+other C12 the-fix?; +other C13 the-fix?; +other C15 the-fix? [act-not-said]",
    ),
    ("Stecker J5", "+other J5 the-fix? [act-not-said]"),
    ("?", "[ambiguous]"),
];

const OUTCOME: &[(&str, &str)] = &[
    ("ok", "=unknown-so-far"),
    ("held", "=held"),
    ("bounced", "=bounced-same-fault? [tier-X, what-fault]"),
    ("came back same fault", "=bounced-same-fault [tier-X]"),
    ("works", "=unknown-so-far"),
    ("OK, tested", "=unknown-so-far"),
    ("nicht reparabel", "=no-fix"),
    ("no fix", "=no-fix"),
    ("Rückläufer gleicher Fehler", "=bounced-same-fault [tier-X]"),
    ("scrap", "=no-fix"),
    ("unknown", "=unknown-so-far"),
    ("?", "[ambiguous]"),
    ("ok so far", "=unknown-so-far; _far_"),
    ("hält", "=held"),
    ("BER", "=no-fix; #value-exceeded"),
    ("still ok after 6 months", "=held"),
    ("returned different fault", "=bounced-other-fault [tier-X]"),
];

const FAMILY: &[(&str, &str)] = &[
    ("standby", "@standby"),
    ("Always-on supply", "@standby"),
    ("buck", "@buck"),
    ("Ladeschaltung", "@battery"),
    ("display", "@display"),
    ("clock", "@clock"),
    ("data link", "@bus"),
    ("something", "_something_"),
];
