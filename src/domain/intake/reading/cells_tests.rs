//! The forty messy cells of the trade's list (invented; the readings are common practice, no source).

use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::show_tests::check;

#[test]
fn the_messy_cells_are_read_as_the_trade_reads_them() {
    check(&Field::Everything, &CELLS);
}

const CELLS: [(&str, &str); 40] = [
    ("5v rail low", "rail 5V low good=5 [no-number]"),
    ("5V = 3,8", "rail 5V low 3.8 good=5 [decimal-comma]"),
    (
        "3v3 0.00, stby ok",
        "rail 3V3 absent 0 good=3.3; rail standby in-band [two-observations]",
    ),
    (
        "draw 0.02-0.18 up n down",
        "current cycling low=0.02 high=0.18 [unit-assumed, period-missing]",
    ),
    ("pulls 40ma and sits", "current stuck 0.04"),
    ("0A", "current zero 0"),
    (
        "hits limit (2A) psu drops 0.6",
        "current limit limit=2 collapsed=0.6",
    ),
    (
        "Amps: .45 steady but nothing",
        "current 0.45; current normal-no-function 0.45? [ambiguous]",
    ),
    (
        "20mA->1.1A->0 then again",
        "current cycling low=0.02 high=1.1? [ask: cycling or stepped-stop, period-missing]",
    ),
    (
        "C114/C115/C118 short, pulled 115, gone",
        "resistance C114 hard-short; resistance C115 hard-short; resistance C118 hard-short; +remove C115 the-fix; =unknown-so-far; *gone*",
    ),
    (
        "R20-R24 all grn",
        "visual R20 residue; visual R21 residue; visual R22 residue; visual R23 residue; visual R24 residue [expand-range]",
    ),
    ("U7 &/or Q3", "[cause-not-proved]"),
    (
        "1.2ohm to gnd on vcore (normal?)",
        "resistance VCORE 1.2; @core? [needs-reference, circuit-from-words]",
    ),
    (
        "diode 0.412 should b .480",
        "diode low 0.412 good=0.48 [polarity-missing]",
    ),
    ("OL on L4", "resistance L4 open OL? [mode-missing]"),
    ("4R7 open", "resistance 4R7 open? [value-not-refdes]"),
    ("r47 changed", "+replace R47 the-fix? [ambiguous]"),
    ("100n leaky", "resistance 100n low? [refdes-missing]"),
    (
        "replaced reg, all gd",
        "+replace regulator the-fix; =unknown-so-far [which-regulator]",
    ),
    (
        "clnd & dried, works!",
        "+clean whole board the-fix?; =unknown-so-far [cause-not-proved, no-measurement]",
    ),
    (
        "reflow big chip - came back 3wks",
        "+reflow big chip the-fix; =bounced-same-fault; @processor [tier-X]",
    ),
    ("BNC'D", "=bounced-same-fault? [tier-X, what-fault]"),
    ("NFF", "[map-explicitly]"),
    ("BER", "=no-fix; #value-exceeded"),
    ("scrap, cpu", "=no-fix; #processor-or-memory-dead? [proof?]"),
    ("see above", "[reference-to-neighbour-row]"),
    ("\"", "[reference-to-neighbour-row]"),
    (
        "salt, green all over bottom R by plug",
        "visual bottom R by plug residue extent=area; ~salt-water [side/corner free text]",
    ),
    (
        "sugery gunk under shield, no green",
        "visual under shield sticky-film; ~sugar [spelling, side/corner free text]",
    ),
    (
        "XTAL dead/no osc",
        "signal XTAL missing; @clock? [ambiguous, circuit-from-words]",
    ),
    (
        "CANH 2.5 CANL 2.5 60R",
        "signal CANH present 2.5; signal CANL present 2.5; resistance CANH-CANL as-reference 60 good=60 [three-observations]",
    ),
    (
        "RS485 A/B stuk 0.2v",
        "signal RS485 A/B stuck-low 0.2; @bus? [spelling, circuit-from-words]",
    ),
    (
        "PH V missing, gate drv 3v shld be 15",
        "signal PH V missing; rail gate drv low 3 good=15; @drive? [token-collision, circuit-from-words, two-observations]",
    ),
    (
        "opto+2 caps on pri side",
        "+replace opto the-fix?; +replace 2 caps the-fix?; @isolated? [act-not-said, safety-mains, circuit-from-words]",
    ),
    (
        "bypassed fuse 2 test - FORGOT",
        "+bridge-or-jumper fuse also-done?; _FORGOT_ [unsafe-action-open]",
    ),
    (
        "fw reflashd v2.1->2.3",
        "+reprogram-firmware firmware the-fix; @firmware [spelling, versions-not-volts]",
    ),
    (
        "12/11/24 fixed 14/11",
        "=unknown-so-far; d2024-11-12?; d2024-11-14? [date-order, year-missing]",
    ),
    ("1.50E+03", "_1.50E+03_ [sheet-damage]"),
    ("MAR-04", "_MAR-04_ [sheet-date-damage]"),
    ("rev C2?? (sticker says D)", "^C2? [conflict-keep-both]"),
];
