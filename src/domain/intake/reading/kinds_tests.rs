//! Kinds of cells that were once read wrongly, in words of their own; common practice, no source.

use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::show_tests::check;
use crate::domain::intake::reading::show_tests::read_as;
use crate::domain::intake::reading::show_tests::show;

#[test]
fn a_test_by_hand_is_a_finding_with_its_name_and_what_it_showed() {
    check(
        &Field::Findings,
        &[
            (
                "Flashlight test: faint image",
                "other Flashlight test faint image",
            ),
            ("tap test ok", "other tap test ok"),
            (
                "Kältespray an U4: startet",
                "other Kältespray an U4 startet",
            ),
            ("squirrel test: no change", "other squirrel test no change"),
        ],
    );
}

#[test]
fn a_rail_back_at_its_volts_is_not_ohms() {
    check(
        &Field::Everything,
        &[(
            "1V8 4R to gnd, swapped C9, 1V8 1.79",
            "resistance 1V8 4; rail 1V8 in-band 1.79 good=1.8 after-action; +replace C9 the-fix; *1V8 1.79*",
        )],
    );
    check(
        &Field::Resistance("3V3".to_owned()),
        &[("3.3", "resistance 3V3 3.3")],
    );
}

#[test]
fn degrees_that_stand_apart_are_heat_at_the_part() {
    check(
        &Field::Findings,
        &[
            ("U5 88 °C", "heat U5 88"),
            (
                "U5 61 C, L2 40 C",
                "heat U5 61; heat L2 40 [two-observations]",
            ),
        ],
    );
}

#[test]
fn a_clock_is_missing_at_the_crystal_that_was_named() {
    check(
        &Field::Findings,
        &[
            (
                "X2 no clk",
                "signal X2 missing; @clock? [circuit-from-words]",
            ),
            (
                "Y7 ohne Takt",
                "signal Y7 missing; @clock? [circuit-from-words]",
            ),
            (
                "Y3 schwingt nicht",
                "signal Y3 missing; @clock? [circuit-from-words]",
            ),
            (
                "clk missing on Y4",
                "signal Y4 missing; @clock? [circuit-from-words]",
            ),
            (
                "8 MHz missing at X1",
                "signal X1 missing good=8000000 Hz; @clock? [circuit-from-words]",
            ),
        ],
    );
}

#[test]
fn a_draw_climbs_and_stops_and_a_rail_follows_it() {
    check(
        &Field::Draw,
        &[
            ("not taken", "current not-measured"),
            ("climbed to 1.3 A then fell", "current stepped-stop 1.3"),
        ],
    );
    check(
        &Field::Findings,
        &[(
            "draws 12 mA, 12V 0.2",
            "current 0.012; rail 12V absent 0.2 good=12 [two-observations]",
        )],
    );
}

#[test]
fn the_value_of_a_resistor_is_no_reading_of_it() {
    check(
        &Field::Findings,
        &[
            ("R12 (4k7) burnt", "visual R12 burnt"),
            ("R90 2k2 open", "resistance R90 open"),
            ("R90 2200 ohm", "resistance R90 2200"),
            ("R55 lifted", "visual R55 lifted"),
            ("R9 OL, ohms", "resistance R9 open OL"),
        ],
    );
}

#[test]
fn german_nouns_keep_what_stands_before_them() {
    check(
        &Field::Fix,
        &[
            (
                "Display-Stecker ersetzt",
                "+replace-connector Display-Stecker the-fix; @display",
            ),
            (
                "Eingangssicherung getauscht",
                "+replace Eingangssicherung the-fix",
            ),
            (
                "bridged F2 with wire",
                "+bridge-or-jumper F2 also-done? [unsafe-action-open]",
            ),
        ],
    );
}

#[test]
fn things_that_do_not_run_and_noises_are_complaints() {
    check(
        &Field::Complaint,
        &[
            ("blower wont spin", "!output-missing"),
            ("Pumpe läuft nicht an", "!output-missing"),
            ("squeals", "!noise-or-smell"),
            ("Bildschirm bleibt schwarz", "!no-display"),
            ("WLAN bricht ab", "!no-link"),
            ("macht keinen Mucks", "!no-power"),
        ],
    );
}

#[test]
fn why_there_was_no_fix_is_plain() {
    check(
        &Field::Outcome,
        &[
            ("Kunde lehnt KV ab", "=no-fix; #customer-declined"),
            ("cheaper to buy new", "=no-fix; #value-exceeded"),
            ("U6 no longer made", "=no-fix; #part-unobtainable"),
            ("SoC kaputt", "=no-fix; #processor-or-memory-dead"),
            ("hole burned", "=no-fix; #laminate-destroyed"),
            ("fire risk, returned", "=no-fix; #unsafe-or-safety-critical"),
            ("nur Datensicherung", "=no-fix; #data-only-recovered"),
            (
                "Fehlersuche abgebrochen",
                "=no-fix; #not-located-in-time-box",
            ),
            ("no news yet", "=unknown-so-far"),
        ],
    );
}

#[test]
fn what_was_dead_and_then_replaced_is_no_plain_reason() {
    let reading = read_as("RAM dead, replaced U6", &Field::Everything);
    let shown = show("RAM dead, replaced U6", &reading);
    assert!(reading.outcome.is_none_or(|o| !o.sure), "{shown}");
    let drawing = read_as(
        "schematic not available, U6 replaced, ok",
        &Field::Everything,
    );
    assert_eq!(drawing.no_fix_reason, None);
}

#[test]
fn what_was_not_understood_is_given_to_no_other_place() {
    check(
        &Field::Everything,
        &[
            (
                "R7 open, zork short, R7, R7 replaced",
                "resistance R7 open; +replace R7 the-fix; _zork short_",
            ),
            (
                "draws 50mA, EN stays low 0.2V",
                "current 0.05; signal EN stuck-low 0.2 [two-observations]",
            ),
        ],
    );
    let both = read_as("D1 short, D2 open, both replaced", &Field::Everything);
    assert!(both.actions.iter().all(|a| !a.sure));
}
