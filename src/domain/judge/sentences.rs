//! The sentences that hold the reading of unsafe acts: our own, common practice, no source.

use crate::domain::job::Action;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::judge::answers::part;
use crate::domain::judge::danger::unsafe_acts::unsafe_fix;
use crate::domain::judge::danger::unsafe_acts::unsafe_in_text;
use crate::domain::judge::read::words::Synonyms;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// An invented board.
fn board() -> Board {
    let mut core = Finding::new(FindingKind::Rail, "VCPU");
    core.good = Some(0.9);
    Board {
        id: "petrel-p4".to_owned(),
        name: "Petrel P4 helm display".to_owned(),
        kind: "display".to_owned(),
        revisions: Vec::new(),
        safety: Vec::new(),
        families: Vec::new(),
        parts: BTreeMap::from([
            ("F1".to_owned(), part("inlet fuse")),
            ("PS3".to_owned(), part("resettable polyfuse")),
            ("D1".to_owned(), part("inlet TVS")),
            ("U7".to_owned(), part("feedback optocoupler")),
            ("TH2".to_owned(), part("heatsink thermistor")),
            ("C5".to_owned(), part("bulk capacitor")),
            ("BAT1".to_owned(), part("lithium cell")),
            ("J5".to_owned(), part("battery connector")),
            ("S4".to_owned(), part("thermal cut-out")),
            ("R12".to_owned(), part("wake pull-up")),
        ]),
        good: vec![core],
    }
}

const UNSAFE: &[(&str, &str)] = &[
    // Fuses and other protection.
    ("bridge the fuse", "protection"),
    ("BRIDGE F1", "protection"),
    ("jumper across F1", "protection"),
    ("a jumper across the fuse", "protection"),
    ("fuse bridged", "protection"),
    ("bridge the fuse to test", "protection"),
    ("bypassed fuse 2 test - FORGOT", "protection"),
    ("don't forget to bridge the fuse", "protection"),
    ("never hesitate to bypass the polyfuse", "protection"),
    ("do not fail to jumper F1", "protection"),
    ("F1 is open, bridge it", "protection"),
    ("fuse blown: jumper it", "protection"),
    ("F1: put a jumper across", "protection"),
    ("don't replace the fuse, bridge it", "protection"),
    ("don't replace the fuse just bridge it", "protection"),
    ("don't replace the fuse and bridge it instead", "protection"),
    ("not a new fuse but a wire link across F1", "protection"),
    ("no, bridge the fuse", "protection"),
    ("check F1 and bridge it", "protection"),
    ("replace U31 and bridge F1", "protection"),
    ("bridge R12 and F1", "protection"),
    ("short out the fuse", "protection"),
    ("short F1 with solder", "protection"),
    ("solder across the fuse", "protection"),
    ("wrap the fuse in foil", "protection"),
    ("foil in the fuse holder", "protection"),
    ("link out PS3", "protection"),
    ("jumper PS3", "protection"),
    ("bridge XF1", "protection"),
    ("fit a jumper instead of the fuse", "protection"),
    ("wire in place of F1", "protection"),
    ("replace F1 with 0R", "protection"),
    ("replace F1 with a wire", "protection"),
    ("replace the fuse by a zero ohm resistor", "protection"),
    ("remove the fuse and bridge", "protection"),
    ("don't remove the bridge across the fuse", "protection"),
    ("never bridge the fuse except to test", "protection"),
    ("F1 bridged and U31 replaced", "protection"),
    ("why not bridge the fuse", "protection"),
    ("replace F1 with a bigger fuse", "protection"),
    ("fit a larger fuse", "protection"),
    ("uprate the fuse", "protection"),
    ("replace F1, use a bigger one", "protection"),
    ("replace the 5 A fuse with a 10 A one", "protection"),
    ("fit a 10A fuse instead of the 5A", "protection"),
    ("remove the TVS", "protection"),
    ("remove D1", "protection"),
    ("leave out the varistor RV1", "protection"),
    ("run it without the fuse", "protection"),
    ("bypass the interlock", "protection"),
    ("tape the interlock down", "protection"),
    ("bridge S4", "protection"),
    ("bridge the thermal cut-out", "protection"),
    ("disable the over-temperature protection", "protection"),
    ("jumper TH2", "protection"),
    ("replace the thermistor with a fixed resistor", "protection"),
    ("defeat the battery protection", "protection"),
    // Mains and stored charge.
    ("lift the earth", "mains"),
    ("cut the earth pin off the plug", "mains"),
    ("disconnect protective earth to stop the hum", "mains"),
    ("leave out the insulating washer", "mains"),
    ("jumper across the optocoupler", "mains"),
    ("bridge U7", "mains"),
    ("bridge the isolation slot", "mains"),
    ("connect primary ground to secondary ground", "mains"),
    ("replace the Y capacitor with an ordinary ceramic", "mains"),
    ("swap the Y2 cap for any ceramic", "mains"),
    ("measure the bulk voltage live on the mains side", "mains"),
    ("work on the primary side with power on", "mains"),
    ("probe the primary while powered", "mains"),
    ("put the scope earth clip on the primary side", "mains"),
    ("scope the mains side gate", "mains"),
    ("float the scope", "mains"),
    (
        "discharge the bulk capacitor with a screwdriver",
        "stored-charge",
    ),
    ("short C5 with tweezers", "stored-charge"),
    ("short the bulk cap", "stored-charge"),
    (
        "discharge it with a screwdriver, then replace C5",
        "stored-charge",
    ),
    ("trust the bleeder", "stored-charge"),
    ("the bleeder will discharge it", "stored-charge"),
    ("reflow U31 while powered", "stored-charge"),
    ("replace Q5 without unplugging", "stored-charge"),
    ("inject 12 V into the 3V3 rail", "stored-charge"),
    ("inject 5V on 3V3_SB", "stored-charge"),
    ("inject 1.8 V into VCPU", "stored-charge"),
    ("inject more than the rail voltage", "stored-charge"),
    ("raise the current until it smokes", "stored-charge"),
    // Alcohol.
    ("heat the alcohol", "alcohol-vapour"),
    ("warm IPA and scrub", "alcohol-vapour"),
    ("ultrasonic in IPA", "alcohol-vapour"),
    ("run isopropyl in the heated tank", "alcohol-vapour"),
    ("bake in the oven while wet with alcohol", "alcohol-vapour"),
    ("wash in IPA and bake it", "alcohol-vapour"),
    ("clean with IPA, dry with a heat gun", "alcohol-vapour"),
    ("heat until the alcohol has evaporated", "alcohol-vapour"),
    ("oven before the IPA has evaporated", "alcohol-vapour"),
    ("spray alcohol on the powered board", "alcohol-vapour"),
    // Cells.
    ("charge the swollen cell", "lithium"),
    ("swollen cell, charge it slowly", "lithium"),
    ("charge a cell that was wet", "lithium"),
    ("revive the deeply discharged lithium cell", "lithium"),
    ("jump start the punctured battery", "lithium"),
    ("refit the swollen battery", "lithium"),
    ("puncture the swollen cell to let the gas out", "lithium"),
    ("press the swollen cell flat", "lithium"),
    ("solder directly to the lithium cell", "lithium"),
    ("solder wires to BAT1", "lithium"),
    ("heat the battery", "lithium"),
    ("short the battery terminals", "lithium"),
    // Wet boards, food.
    ("power the wet board to see", "liquid"),
    ("board is wet, power it up to see", "liquid"),
    ("switch on before it is dry", "liquid"),
    ("power up without drying", "liquid"),
    ("eat at the bench", "lead"),
];

const SAFE: &[&str] = &[
    "",
    "replace the fuse",
    "replace fuse F1 with the same rating",
    "replace F1",
    "fit the right fuse",
    "new fuse F1, 5 A",
    "don't bridge the fuse",
    "do not bridge the fuse",
    "do not, ever, bridge the fuse",
    "never bridge a fuse",
    "never ever bridge a fuse",
    "avoid bridging the fuse",
    "fuse not bridged",
    "fuse must not be bypassed",
    "no bridging of fuses",
    "bridging the fuse is dangerous",
    "bridging a fuse is not allowed",
    "it is not safe to bridge the fuse",
    "don't bridge the fuse or the TVS",
    "replace the fuse instead of bridging it",
    "fit a fuse rather than jumper F1",
    "replace F1 without bridging it",
    "bridge R12 pad with a jumper",
    "bridge R12",
    "bridge R12 next to the fuse",
    "bridge R12 instead of the fuse",
    "jumper wire from F1 to L12",
    "bridge R12 after checking F1",
    "check F1 then bridge R12",
    "check F1 and bridge R12",
    "replace the fuse and bridge R12",
    "bridge R12 and replace F1",
    "jumper the open trace to U31",
    "remove the bridge across the fuse and fit the right one",
    "remove the jumper from F1",
    "solder bridge on F1, clean it",
    "check the fuse is not bypassed",
    "check whether the fuse was bridged",
    "replace the bridged fuse",
    "fuse was bridged, fit a new one",
    "F1 bridged by the owner, so replace F1",
    "replace the bridge rectifier and the fuse",
    "H bridge driver and fuse F1 replaced",
    "the fuse is open, replace U31",
    "the TVS is shorted, replace it",
    "D1 shorted, replace D1",
    "remove and replace the TVS",
    "remove the shorted TVS and fit a new one",
    "replace D1",
    "replace F1, not a bigger one",
    "replace the oversized fuse with the right one",
    "replace the 10 A fuse with a 5 A one",
    "replace the fuse and fit a bigger capacitor",
    "don't run it without the fuse",
    "reprogram the fuse bits",
    "renew the thermistor",
    "replace the thermal cut-out",
    "reflow TH2",
    "replace the optocoupler",
    "replace the Y capacitor with the same class",
    "reflow U7",
    "refit the earth strap",
    "check the earth is connected",
    "disconnect the earth clip",
    "discharge the bulk capacitor through the tool and prove it with a meter",
    "unplug, wait, prove it discharged at the capacitor",
    "don't trust the bleeder",
    "never discharge it with a screwdriver",
    "replace C5",
    "C5 is short, replace it",
    "only a qualified person works on the live mains side",
    "inject 1 V into 3V3_SB and look for heat",
    "inject 3.3 V into the 3V3 rail, limit 1 A",
    "inject 0.8 V into VCPU",
    "never inject above the rail voltage",
    "never heat alcohol",
    "alcohol must never be heated",
    "keep alcohol away from heat",
    "clean with IPA then reflow U31",
    "clean with IPA, reflow U31 with hot air",
    "wipe with IPA, let it evaporate, then into the oven",
    "ultrasonic with water-based fluid, then rinse with IPA",
    "ultrasonic in alcohol only in a tank rated for flammable solvent",
    "don't run alcohol in the ultrasonic",
    "don't charge the swollen cell",
    "replace the swollen cell",
    "swollen cell: stop and isolate",
    "cell out first, then clean J2",
    "remove the cell before soldering",
    "replace battery connector J5",
    "reflow J5",
    "reflow the battery charger U3",
    "the charge circuit is wet, clean it",
    "never solder to a cell",
    "replace the swollen battery and charge the new one",
    "dry the wet board then power up",
    "clean, dry, power up",
    "don't power the wet board",
    "disconnect power while wet",
    "don't power it until it is dry",
    "replace U31, check C88 before power",
    "reflow L12, power on and test",
    "reseat J2",
    "reload firmware",
    "clean J2 and replace U31",
    "stop: value exceeded",
];

/// Further unsafe sentences, whichever caution they get.
const FURTHER_UNSAFE: &[&str] = &[
    "put a bit of wire over the blown fuse",
    "temporarily short the fuse and see if it starts",
    "link F1",
    "use a paperclip for the fuse",
    "fuse: wire it across",
    "I would bypass F1 for now",
    "just solder over F1",
    "F1 jumpered with 30awg",
    "replace blown F1 with jumper",
    "fit 10A in F1 instead of 5A",
    "go up one size on the fuse",
    "put a higher rated fuse in",
    "the fuse keeps blowing so fit a stronger one",
    "remove the varistor and run",
    "snip out the TVS",
    "leave the TVS off",
    "hold the interlock in with a cable tie",
    "bypass the thermal fuse",
    "short out the thermistor",
    "disable OVP",
    "disconnect the earth wire",
    "run it without earth",
    "lift the mains earth on the scope",
    "bleed the bulk cap with pliers",
    "short the main caps with a screwdriver blade",
    "screwdriver across the bulk cap",
    "touch the bulk cap to see if charged",
    "work on it with the mains on",
    "solder it live",
    "reflow U31 with the power still on",
    "measure across the bulk cap with the scope",
    "clip the scope ground to the primary",
    "apply 5V to the 1V8 rail",
    "feed 12v into 5v rail",
    "crank the injection up to 10V on 3V3",
    "turn the current up until something smokes",
    "warm the isopropyl to speed it up",
    "hot air on the board while still wet with IPA",
    "put IPA in the ultrasonic cleaner",
    "soak in alcohol then straight in the oven",
    "boil it in alcohol",
    "use a heat gun to dry off the alcohol",
    "try charging the wet battery",
    "charge the puffy lipo at low current",
    "poke a hole in the swollen cell",
    "stab the battery",
    "squash the swollen pack back flat",
    "solder tabs straight onto the cell",
    "reheat the battery with hot air",
    "jump the battery terminals together",
    "boost charge the dead deeply discharged cell",
    "power it up while it is still damp",
    "plug it in wet to see what happens",
    "switch it on before drying",
    "don't bother drying, power it",
    "you could bridge the fuse",
    "bridging F1 is fine for a test",
    "bridge the fuse, it's not dangerous",
    "no harm in bridging the fuse",
    "nothing wrong with bypassing F1",
    "not unsafe to bridge the fuse",
    "it's ok to bridge the fuse",
    "forget the fuse, bridge it",
    "don't remove the jumper from the fuse",
    "leave the fuse bridged",
    "keep the fuse bypassed",
    "replace U31 and leave the TVS out",
    "replace U31; short F1",
    "strap across the breaker",
    "bridge the input protection fuse pads",
    "cut the ground prong off",
    "bypass opto U7",
    "link primary and secondary grounds",
    "use a normal cap for the Y cap",
    "replace C9 Y-cap with any 2n2",
    "skip discharging, bleeder takes care of it",
    "rely on the bleeder resistor",
    "override the temperature trip",
    "fuse bypass",
    "bridge fuse?",
    "maybe jumper F1",
    "replace f1 with solder blob",
    "fit nail instead of fuse",
    "swap the 3.15A fuse for 6.3A",
    "don't hesitate, bridge the fuse",
    "never mind the fuse rating, fit a bigger one",
];

/// Further safe sentences.
const FURTHER_SAFE: &[&str] = &[
    "swap F1 like for like",
    "fit new 5A fuse",
    "change the blown fuse, find the short first",
    "fuse open: check for a short, then replace the fuse",
    "F1 open because Q5 is shorted, replace Q5 and F1",
    "do not under any circumstances bridge the fuse",
    "you should not bridge the fuse",
    "I'd never bypass F1",
    "bridging the fuse would be unsafe",
    "can't bridge a fuse, replace it",
    "replace F1; don't fit a bigger one",
    "no larger fuse",
    "check fuse F1 for continuity",
    "reflow F1",
    "clean the fuse holder",
    "replace the fuse holder",
    "remove the foil from the fuse holder",
    "undo the link across F1",
    "take off the wire across the fuse, fit a 5 A fuse",
    "someone bridged the fuse: remove the bridge and fit the proper fuse",
    "look for a bridged fuse",
    "replace TVS D1",
    "D1 leaky, remove it and fit a new one",
    "lift D1 to test, then fit a new D1",
    "replace varistor",
    "replace the interlock switch",
    "clean the interlock contacts",
    "reconnect the earth",
    "replace the earth strap",
    "tighten the earth screw",
    "replace the insulator",
    "remove the board and replace the insulating pad",
    "replace U7",
    "replace optocoupler and caps on primary side",
    "replace bulk capacitor",
    "replace C5 and Q5 on the primary",
    "discharge C5 with the discharge tool",
    "discharge through a resistor",
    "prove it discharged, do not trust the bleeder",
    "measure 3V3 with the scope",
    "probe the clock with the scope",
    "use a differential probe on the primary",
    "inject 1V at 3A into 3V3_SB",
    "inject no more than 3.3 V",
    "never more than the rail voltage",
    "power off, replace U31",
    "disconnect power and reflow U31",
    "unplug, reflow U31",
    "reflow L12 then power up",
    "clean with alcohol",
    "wash with IPA and let it evaporate",
    "rinse in IPA, air dry, then bake",
    "heat U31 with hot air",
    "warm the board and reflow U31",
    "ultrasonic clean",
    "ultrasonic then IPA rinse",
    "bake the board",
    "no heat near alcohol",
    "replace the battery",
    "disconnect the battery then reflow U31",
    "take the cell out, then clean",
    "replace the charger IC",
    "charger not charging, replace U3",
    "charge the battery",
    "replace the cell holder",
    "reflow battery FET Q2",
    "isolate the swollen cell",
    "don't puncture the cell",
    "battery is swollen, replace it",
    "wet battery: dispose of it and fit a new one",
    "press the connector home",
    "reseat battery connector",
    "dry it before powering",
    "don't switch on until dry",
    "rinse, dry, then power on",
    "board was wet, clean and dry, replace U31",
    "water damage under U31, replace U31",
    "short on 3V3, remove C115",
    "remove shorted C115",
    "bridge the broken trace to the fuse",
    "jumper from F1 pad to L12 to replace the open track",
    "pull-up R12 open, bridge with wire to test pad",
    "replace the backlight fuse F2",
    "jumper the broken trace",
    "replace inlet fuse and TVS",
    "reball U1",
    "bypass capacitor C12 shorted, remove C12",
    "replace bypass cap",
    "replace the earth fault relay",
    "over-current shunt open, replace R5",
    "replace hot swap controller",
    "overvoltage killed U9, replace U9",
    "surge: replace F1, D1 and RV1",
    "replace the temperature sensor",
    "link down, replace PHY",
    "the wire to the fuse is broken, resolder it",
    "fuse fine, bridge R12",
    "fuse is good, so jumper the open via",
    "check fuse, reflow L12",
    "power board up on a limited supply",
    "replace U31, then test under power",
    "short to ground on fuse side, replace C3",
    "replace bridge driver",
    "no",
    "F1",
];

#[test]
fn unsafe_acts_are_named_with_their_caution() {
    let words = Synonyms::default();
    let mut bad = Vec::new();
    for (text, caution) in UNSAFE {
        let found = unsafe_in_text(text, Some(&board()), &words);
        if found.as_ref().map(|f| f.caution) != Some(*caution) {
            bad.push(format!("{text}: {:?}", found.map(|f| f.what)));
        }
    }
    for text in FURTHER_UNSAFE {
        if unsafe_in_text(text, Some(&board()), &words).is_none() {
            bad.push((*text).to_owned());
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn safe_acts_and_denied_ones_pass() {
    let words = Synonyms::default();
    let mut bad = Vec::new();
    for text in SAFE.iter().chain(FURTHER_SAFE) {
        if let Some(found) = unsafe_in_text(text, Some(&board()), &words) {
            bad.push(format!("{text}: {}", found.what));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn a_shop_word_can_add_an_unsafe_reading_but_not_hide_one() {
    let words = Synonyms::with_shop(&BTreeMap::from([
        ("glass".to_owned(), "fuse".to_owned()),
        ("bridge".to_owned(), "replace".to_owned()),
    ]));
    assert!(unsafe_in_text("jumper the glass", None, &words).is_some());
    assert!(unsafe_in_text("bridge the fuse", None, &words).is_some());
    assert!(unsafe_in_text("replace the glass", None, &words).is_none());
}

fn job(actions: &[(&str, &str, Role)]) -> Job {
    let actions = actions
        .iter()
        .map(|(act, part, role)| Action {
            act: (*act).to_owned(),
            part: (*part).to_owned(),
            role: *role,
        })
        .collect();
    Job {
        actions,
        ..Job::empty("W-1", "petrel-p4", Outcome::Held)
    }
}

#[test]
fn a_recorded_fix_that_defeats_protection_is_never_taught() {
    let fixed = |actions: &[(&str, &str, Role)]| {
        let job = job(actions);
        let fix: Fix = job.fix();
        unsafe_fix(&fix, &job, Some(&board())).map(|f| f.caution)
    };
    let fix = Role::TheFix;
    for (act, part, caution) in [
        ("bridge-or-jumper", "F1", "protection"),
        ("bridge-or-jumper", "PS3", "protection"),
        ("bridge-or-jumper", "fuse", "protection"),
        ("bridge-or-jumper", "S4", "protection"),
        ("bridge-or-jumper", "TH2", "protection"),
        ("bridge-or-jumper", "U7", "mains"),
        ("remove", "D1", "protection"),
        ("remove", "RV1", "protection"),
        ("remove", "F1", "protection"),
        ("remove", "S4", "protection"),
        ("reflow", "BAT1", "lithium"),
    ] {
        assert_eq!(fixed(&[(act, part, fix)]), Some(caution), "{act} {part}");
    }
    for (act, part) in [
        ("replace", "F1"),
        ("replace", "D1"),
        ("bridge-or-jumper", "R12"),
        ("remove", "C88"),
        ("reflow", "J5"),
        ("clean", "F1"),
        ("replace", "BAT1"),
        ("reprogram-firmware", "U14"),
    ] {
        assert_eq!(fixed(&[(act, part, fix)]), None, "{act} {part}");
    }
    assert_eq!(
        fixed(&[("remove", "D1", fix), ("replace", "D1", Role::AlsoDone)]),
        None
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn unsafe_stays_unsafe_behind_other_words(
        n in 0..UNSAFE.len(),
        before in "((please|quickly|now|the|board|U31|replace|clean|J2|and) ){0,4}",
    ) {
        let (text, _) = UNSAFE[n];
        let said = format!("{before}; {text}");
        let found = unsafe_in_text(&said, Some(&board()), &Synonyms::default());
        prop_assert!(found.is_some(), "{}", said);
    }

    #[test]
    fn letters_large_or_small_say_the_same(n in 0..UNSAFE.len(), m in 0..SAFE.len()) {
        let words = Synonyms::default();
        for text in [UNSAFE[n].0, SAFE[m]] {
            prop_assert_eq!(
                unsafe_in_text(text, Some(&board()), &words),
                unsafe_in_text(&text.to_uppercase(), Some(&board()), &words)
            );
        }
    }

    #[test]
    fn no_text_makes_the_reader_fall_over(
        text in "\\PC*|((not|never|the|bridge|fuse|F1|it|,|\\.|and|without|IPA|heat|short|5A|3V3|cell|instead|of|wet|power) ?){0,16}"
    ) {
        let found = unsafe_in_text(&text, Some(&board()), &Synonyms::default());
        prop_assert!(found.is_none_or(|f| f.what.starts_with("unsafe: ") && !f.why.is_empty()));
    }
}
