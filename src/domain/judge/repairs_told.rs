//! Repairs told at length, as people at a bench tell them: our own sentences, common practice, no source.

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::judge::answers::answer;
use crate::domain::judge::answers::card;
use crate::domain::judge::answers::verdict;

fn asks(act: &str, part: &str) -> Card {
    card(vec![answer(&[(act, part)])])
}

#[track_caller]
fn right(card: &Card, typed: &[&str]) {
    for typed in typed {
        let verdict = verdict(typed, card);
        assert!(verdict.fix, "{typed}: {}", verdict.note);
    }
}

#[track_caller]
fn not_right(card: &Card, typed: &[&str]) {
    for typed in typed {
        assert!(!verdict(typed, card).fix, "{typed}");
    }
}

#[test]
fn what_is_warm_innocent_or_done_by_others_is_no_second_fix() {
    let capacitor = asks("replace", "C88");
    right(
        &capacitor,
        &[
            "U31 is getting hot from feeding it. It's the cap: new C88.",
            "U31 gets warm because C88 leaks, swap C88, U31 can stay",
            "New C88. U31 was never guilty.",
            "C88 SHORTED. RENEW. U31 INNOCENT.",
            "The last shop changed U31 and it came straight back. New C88.",
            "Fit a fresh C88, U31 has nothing to do with it",
            "C88 is the leak. Replace it; U31 recovers by itself.",
            "the current jumps up and down, so replace C88",
            "nothing comes out of the standby rail. C88 renewed",
            "U31 and F1 measure fine, so a new C88",
        ],
    );
    not_right(
        &capacitor,
        &[
            "C88 is only warm, new U31",
            "C88 is innocent. Replace U31.",
            "The last shop changed C88. New U31.",
            "replace U31, C88 can stay",
            "U31 and C88 replaced",
            "the last shop replaced C88",
        ],
    );
}

#[test]
fn an_act_is_done_to_the_part_that_was_spoken_of() {
    right(
        &asks("replace", "U31"),
        &[
            "3V3_SB reads 0.4 since U31 has gone. Fit a new one.",
            "U31 is dead, somebody has been here before, put another in",
            "somebody soldered a wire across U31, the wire comes off and a new switcher goes in",
            "standby is dead. new switcher",
            "swap the switcher of the standby supply",
        ],
    );
    right(
        &card(vec![answer(&[
            ("replace", "U14"),
            ("reprogram-firmware", "U14"),
        ])]),
        &["U14: a new chip, then write the good image"],
    );
    right(
        &asks("replace", "C90"),
        &[
            "swap the output cap of the display buck",
            "the cap across the display rail is short. Fit another",
        ],
    );
}

#[test]
fn a_state_and_a_reading_are_no_acts() {
    right(
        &asks("reflow", "U31"),
        &[
            "bad soldering on the new U31. Reflow it.",
            "flexing changes it, so resolder U31",
            "U31: solder all pins new",
        ],
    );
    right(
        &asks("replace", "U14"),
        &[
            "U14 is worn out, put in a fresh one",
            "solder a new U14 in",
            "same type again for U14",
        ],
    );
    not_right(&asks("reflow", "U31"), &["solder a new U31 in"]);
    right(
        &asks("reseat", "J2"),
        &[
            "unplug J2 and re-plug it",
            "J2 is not fully home, push it home",
        ],
    );
    right(
        &asks("clean", "J2"),
        &[
            "Wash the salt off around J2",
            "J2: soft brush and isopropyl",
        ],
    );
}

#[test]
fn what_was_missed_may_be_told_on_a_caution_card() {
    let mut missed = asks("replace", "C88");
    missed.kind = CardKind::Caution;
    missed.stem = "First repair: replace U31. It looked fixed, then it came back.".to_owned();
    right(
        &missed,
        &[
            "C88 was leaky all along",
            "they changed U31 and left C88 in",
            "nobody looked at C88",
        ],
    );
    not_right(&missed, &["U31 was bad all along"]);
}
