//! The examples and laws of `wording.rs`.

use super::*;

/// Builds a finding of `kind` at `place` and lets `change` fill it.
fn finding(kind: FindingKind, place: &str, change: impl Fn(&mut Finding)) -> Finding {
    let mut finding = Finding::new(kind, place);
    change(&mut finding);
    finding
}

#[track_caller]
fn check(finding: &Finding, name: &str, value: &str, reference: &str) {
    let expected = Line {
        name: name.to_owned(),
        value: value.to_owned(),
        reference: reference.to_owned(),
    };
    assert_eq!(finding_line(finding), expected);
}

fn word(text: &str) -> String {
    text.to_owned()
}

#[test]
fn a_supply_reads_draw_then_how_it_was_fed() {
    let cycling = finding(FindingKind::Current, "", |f| {
        f.code = Some(word("cycling"));
        (f.low, f.high) = (Some(0.061), Some(0.118));
        (f.supply_v, f.limit_a) = (Some(12.0), Some(1.0));
        f.state = Some(word("standby"));
    });
    check(
        &cycling,
        "Supply",
        "cycling  61 to 118 mA",
        "12.0 V in, standby, limit 1 A",
    );
    let limit = finding(FindingKind::Current, "", |f| {
        f.code = Some(word("limit"));
        f.got = Some(2.0);
        f.collapsed_v = Some(0.6);
    });
    check(
        &limit,
        "Supply",
        "in current limit  2 A, down to 0.60 V",
        "",
    );
    let wide = finding(FindingKind::Current, "", |f| {
        (f.low, f.high) = (Some(0.02), Some(1.1));
        f.period_s = Some(2.0);
    });
    check(&wide, "Supply", "20 mA to 1.1 A, every 2 s", "");
    let not = finding(FindingKind::Current, "", |f| {
        f.code = Some(word("not-measured"));
    });
    check(&not, "Supply", "not measured", "");
}

#[test]
fn electrical_readings_stand_beside_their_reference() {
    use FindingKind as K;
    let rail = |f: &mut Finding| {
        f.code = Some(word("low"));
        (f.got, f.good) = (Some(0.41), Some(3.3));
        f.state = Some(word("standby"));
    };
    check(
        &finding(K::Rail, "3V3_SB", rail),
        "3V3_SB",
        "0.41 V",
        "3.30 V on the drawing, standby",
    );
    check(
        &finding(K::Rail, "", rail),
        "A rail",
        "0.41 V",
        "3.30 V on the drawing, standby, place shown with the answer",
    );
    let pulsing = |f: &mut Finding| {
        f.code = Some(word("pulsing"));
        (f.low, f.high) = (Some(0.4), Some(2.9));
    };
    check(
        &finding(K::Rail, "5V", pulsing),
        "5V",
        "pulsing  0.40 to 2.90 V",
        "",
    );
    let ohms = |f: &mut Finding| {
        (f.got, f.good, f.source_off) = (Some(210.0), Some(1400.0), Some(true));
    };
    check(
        &finding(K::Resistance, "3V3_SB", ohms),
        "3V3_SB",
        "210 Ω to ground, off",
        "1.4 kΩ on a good board",
    );
    let short = |f: &mut Finding| f.code = Some(word("hard-short"));
    check(
        &finding(K::Resistance, "5V", short),
        "5V",
        "hard short to ground",
        "",
    );
    let drop = |f: &mut Finding| {
        (f.got, f.good) = (Some(0.02), Some(0.45));
        f.polarity = Some(word("red-to-ground"));
    };
    check(
        &finding(K::Diode, "SDA", drop),
        "SDA",
        "0.02 V diode drop, red to ground",
        "0.45 V on a good board",
    );
    let open = |f: &mut Finding| f.qualifier = Some(Qualifier::OverRange);
    check(
        &finding(K::Diode, "", open),
        "A part",
        "OL in diode mode",
        "place shown with the answer",
    );
    let gone = |f: &mut Finding| f.code = Some(word("missing"));
    check(&finding(K::Signal, "PGOOD", gone), "PGOOD", "missing", "");
    let slow = |f: &mut Finding| {
        f.code = Some(word("wrong-frequency"));
        (f.got, f.good, f.in_hertz) = (Some(8e6), Some(25e6), true);
    };
    check(
        &finding(K::Signal, "X1", slow),
        "X1",
        "wrong frequency  8 MHz",
        "25 MHz on a good board",
    );
    let proof = |f: &mut Finding| (f.got, f.when) = (Some(3.31), When::AfterAction);
    check(
        &finding(K::Rail, "3V3_SB", proof),
        "3V3_SB",
        "3.31 V",
        "after the repair",
    );
}

#[test]
fn places_are_named_or_said_to_be_held_back() {
    use FindingKind as K;
    let hot = |f: &mut Finding| f.got = Some(81.0);
    check(&finding(K::Heat, "U31", hot), "Hottest", "81 °C at U31", "");
    check(
        &finding(K::Heat, "", hot),
        "Hottest",
        "81 °C",
        "place shown with the answer",
    );
    let residue = |f: &mut Finding| {
        f.code = Some(word("residue"));
        f.when = When::BeforeCleaning;
    };
    let held = "places are shown with the answer";
    check(
        &finding(K::Visual, "", residue),
        "Looks",
        "residue before cleaning",
        held,
    );
    check(
        &finding(K::Visual, "a corner of U31", residue),
        "Looks",
        "residue at a corner of U31, before cleaning",
        "",
    );
    let none = |f: &mut Finding| f.code = Some(word("none-seen"));
    check(&finding(K::Visual, "", none), "Looks", "nothing to see", "");
    let torch = |f: &mut Finding| f.code = Some(word("picture visible"));
    check(
        &finding(K::Other, "torch test", torch),
        "Torch test",
        "picture visible",
        "",
    );
}

#[test]
fn words_of_files_never_reach_a_terminal_raw() {
    let hostile = finding(FindingKind::Other, "\u{1b}[2J", |f| {
        f.code = Some(word("a\nb\u{202e}"));
    });
    let line = finding_line(&hostile);
    let all = format!("{}{}{}", line.name, line.value, line.reference);
    assert!(!all.chars().any(char::is_control), "{all:?}");
    assert_eq!(line.value, "a b\u{fffd}");
    assert_eq!(complaint_text(&["x\u{1b}y".to_owned()]), "x\u{fffd}y");
}

fn step(act: &str, part: &str, name: Option<&str>) -> Step {
    Step {
        act: act.to_owned(),
        part: part.to_owned(),
        name: name.map(str::to_owned),
    }
}

#[test]
fn answers_read_as_instructions() {
    for (step, text) in [
        (
            step("replace", "U31", Some("standby switcher")),
            "Replace U31, the standby switcher",
        ),
        (
            step("reprogram-firmware", "U14", None),
            "Reload the firmware of U14",
        ),
        (
            step("replace-connector", "J2", None),
            "Replace connector J2",
        ),
        (
            step("rebuild-pad-or-trace", "R12", None),
            "Rebuild the pad or trace at R12",
        ),
        (step("clean", "", None), "Clean the board"),
        (step("none", "", None), "No repair"),
    ] {
        assert_eq!(step_text(&step), text);
    }
    let answer = Answer {
        steps: vec![
            step("clean", "J2", None),
            step("replace", "U31", Some("the charger")),
        ],
        also: Vec::new(),
    };
    assert_eq!(answer_text(&answer), "Clean J2; replace U31, the charger");
    let action = Action {
        act: "reflow".to_owned(),
        part: "L12".to_owned(),
        role: Role::TriedNoEffect,
    };
    assert_eq!(action_text(&action), "Reflow L12: tried, no effect");
    let words = ["no-power".to_owned(), "liquid-entry".to_owned()];
    assert_eq!(complaint_text(&words), "no power; went under, liquid");
}

#[test]
fn shares_are_counts() {
    let share = Share {
        k: 7,
        n: 9,
        proved: 6,
        low: 0.453,
        high: 0.937,
    };
    assert_eq!(share_text(&share), "7 of 9 jobs like this, 6 proved");
}

#[test]
fn a_resistance_says_nothing_of_ground_where_its_place_is_held_back() {
    let ohms = |place: &str| {
        let finding = finding(FindingKind::Resistance, place, |f| f.got = Some(0.3));
        finding_line(&finding).value
    };
    assert_eq!(ohms(""), "300 mΩ");
    assert_eq!(ohms("PHASE_A"), "300 mΩ to ground");
    assert_eq!(ohms("PHASE_A to VBUS"), "300 mΩ across it");
    assert_eq!(ohms("R33"), "300 mΩ across it");
    assert_eq!(ohms("RS485_A"), "300 mΩ to ground");
}

#[test]
fn a_clock_that_is_off_by_little_shows_by_how_much() {
    let clock = |got: f64| {
        let finding = finding(FindingKind::Signal, "TCXO", |f| {
            (f.got, f.good, f.in_hertz) = (Some(got), Some(19_200_000.0), true);
        });
        let line = finding_line(&finding);
        (line.value, line.reference)
    };
    let said = |value: &str, good: &str| (word(value), format!("{good} on a good board"));
    assert_eq!(clock(19_202_100.0), said("19.2021 MHz", "19.2000 MHz"));
    assert_eq!(clock(19_200_000.0), said("19.2 MHz", "19.2 MHz"));
    assert_eq!(clock(7_610_000.0), said("7.61 MHz", "19.2 MHz"));
}

#[test]
fn a_place_that_says_where_it_is_needs_no_at() {
    let at = |place: &str| {
        let seen = finding(FindingKind::Visual, place, |f| f.code = Some(word("burnt")));
        finding_line(&seen).value
    };
    assert_eq!(
        at("between the bus capacitors"),
        "burnt between the bus capacitors"
    );
    assert_eq!(at("U31"), "burnt at U31");
}
