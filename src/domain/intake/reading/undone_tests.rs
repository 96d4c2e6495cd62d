//! Words that take an act or a number away, in words of their own; common practice, no source.

use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::show_tests::check;
use crate::domain::intake::reading::show_tests::read_as;

#[test]
fn what_is_planned_or_denied_is_no_act() {
    for text in [
        "U9 should be replaced next time; wiggled J2 and it works",
        "U9 needs replacing",
        "U9 muss getauscht werden",
        "U9 sollte getauscht werden",
        "replacement for U9 ordered",
        "should be cleaned and U9 replaced",
        "did not replace U9",
        "U9 nicht getauscht, sondern C3 entfernt",
    ] {
        let reading = read_as(text, &Field::Everything);
        let acts = &reading.actions;
        assert!(acts.iter().all(|a| a.what.part != "U9"), "{text}: {acts:?}");
    }
    for text in [
        "3V3 should be 3.3, replaced U9",
        "3V3 should be 3.3 replaced U9",
        "would not start, replaced U9",
        "will not power up replaced U9",
        "ordered and replaced U9",
    ] {
        let reading = read_as(text, &Field::Everything);
        assert_eq!(reading.actions[0].what.part, "U9", "{text}");
    }
}

#[test]
fn ohms_that_differ_from_what_they_should_be_are_not_as_the_reference() {
    check(
        &Field::Everything,
        &[
            (
                "CAN 120 ohm statt 60",
                "resistance CAN high 120 good=60; @bus? [circuit-from-words]",
            ),
            (
                "CAN 118 ohm across, should be 60",
                "resistance CAN high 118 good=60; @bus? [circuit-from-words]",
            ),
            (
                "CAN 118 ohm soll 60",
                "resistance CAN high 118 good=60; @bus? [circuit-from-words]",
            ),
        ],
    );
}

#[test]
fn after_a_time_or_behind_a_part_is_not_after_the_repair() {
    check(
        &Field::Everything,
        &[
            ("3V3 0.2 V after F1", "rail 3V3 low 0.2 good=3.3"),
            ("nach 10 min 3V3 0.2 V", "rail 3V3 low 0.2 good=3.3"),
        ],
    );
}

#[test]
fn what_the_customer_measured_is_no_reading() {
    check(
        &Field::Everything,
        &[
            ("customer says battery 12.6 V", "_12.6 V_ [ambiguous]"),
            (
                "Kunde sagt 3V3 3.3 V; 3V3 0.1 V",
                "rail 3V3 absent 0.1 good=3.3; _3V3 3.3 V_ [ambiguous]",
            ),
        ],
    );
}

#[test]
fn the_value_of_a_new_part_is_no_reading() {
    check(
        &Field::Everything,
        &[
            ("R5 replaced with 2R2", "+replace R5 the-fix"),
            ("C5 durch 100n ersetzt", "+replace C5 the-fix"),
        ],
    );
}

#[test]
fn a_bare_draw_of_many_units_is_suggested_in_milliamps() {
    for text in ["57-118 up/down", "17 and sits"] {
        let reading = read_as(text, &Field::Draw);
        assert!(!reading.flags.is_empty(), "{text}");
        for got in &reading.findings {
            let most = got.what.high.or(got.what.got).unwrap_or(0.0);
            assert!(most < 20.0 && !got.sure, "{text}: {got:?}");
        }
    }
}

#[test]
fn a_job_that_came_back_may_have_been_repaired_before() {
    check(
        &Field::Complaint,
        &[
            ("came back, same fault", "!failed-after-earlier-repair?"),
            ("will not switch on", "!no-power"),
            ("Bild dunkel", "!no-display"),
            ("dark", "!no-display?"),
            ("flickers", "!no-display?"),
        ],
    );
}

#[test]
fn two_readings_with_no_act_between_are_both_before_it() {
    check(
        &Field::Everything,
        &[
            (
                "5V0 4.9 before / 0.2 now",
                "rail 5V0 in-band 4.9 good=5; rail 5V0 absent 0.2 good=5 [two-observations]",
            ),
            (
                "5V0 0.2 V after 10 min, 5.0 V cold",
                "rail 5V0 absent 0.2 good=5; rail 5V0 in-band 5 good=5 [two-observations]",
            ),
        ],
    );
}

#[test]
fn the_same_act_on_the_same_part_counts_once() {
    check(
        &Field::Everything,
        &[
            ("replaced U31 again", "+replace U31 the-fix"),
            ("replaced U31, replaced U31 again", "+replace U31 the-fix"),
            (
                "replaced U31, no help. replaced U31 again, ok",
                "+replace U31 the-fix; =unknown-so-far",
            ),
        ],
    );
}

#[test]
fn each_pin_of_a_part_has_its_own_reading() {
    check(
        &Field::Findings,
        &[(
            "U7 pin 5 = 5.0 V pin 3 = 0 V",
            "signal U7 pin 5 5; signal U7 pin 3 0 [two-observations]",
        )],
    );
}
