//! The grammar of unsafe acts held as a whole: families of verbs, things, and the ways a bench puts them.
//!
//! Every act of a family is unsafe in each way of saying that one does it, and safe in each way of denying
//! it, whichever of its things it is done to; the things come by turns. The families are our own: common practice, no source.

use crate::domain::job::Board;
use crate::domain::judge::answers::board_of;
use crate::domain::judge::danger::unsafe_acts::unsafe_in_answer;
use crate::domain::judge::read::words::Synonyms;
/// An act in its forms: plain, "-ing", done; `{}` is the thing.
type Act = (&'static str, &'static str, &'static str);

struct Family {
    name: &'static str,
    acts: &'static [Act],
    things: &'static [&'static str],
}

const FAMILIES: &[Family] = &[
    Family {
        name: "a fuse bridged",
        acts: &[
            ("bridge {}", "bridging {}", "{} bridged"),
            ("jumper {}", "jumpering {}", "{} jumpered"),
            ("jump {}", "jumping {}", "{} jumped"),
            ("bypass {}", "bypassing {}", "{} bypassed"),
            ("short out {}", "shorting out {}", "{} shorted out"),
            ("link {} out", "linking {} out", "{} linked out"),
            ("link across {}", "linking across {}", "{} linked across"),
            ("strap {}", "strapping {}", "{} strapped"),
            ("wire across {}", "wiring across {}", "{} wired across"),
            ("shunt {}", "shunting {}", "{} shunted"),
            ("solder over {}", "soldering over {}", "{} soldered over"),
            (
                "put a wire across {}",
                "putting a wire across {}",
                "wire put across {}",
            ),
            (
                "solder a link over {}",
                "soldering a link over {}",
                "link soldered over {}",
            ),
            (
                "stick a nail in place of {}",
                "sticking a nail in place of {}",
                "nail stuck in place of {}",
            ),
            (
                "wrap foil round {}",
                "wrapping foil round {}",
                "{} wrapped in foil",
            ),
            (
                "replace {} with a wire link",
                "replacing {} with a wire link",
                "{} replaced with a wire link",
            ),
            (
                "go past {} with a wire",
                "going past {} with a wire",
                "wire past {}",
            ),
            (
                "swap {} for a paperclip",
                "swapping {} for a paperclip",
                "{} swapped for a paperclip",
            ),
        ],
        things: &["F1", "the fuse", "the input fuse", "fuse F1"],
    },
    Family {
        name: "an interlock or cut-out defeated",
        acts: &[
            ("bridge {}", "bridging {}", "{} bridged"),
            ("jumper {}", "jumpering {}", "{} jumpered"),
            ("bypass {}", "bypassing {}", "{} bypassed"),
            ("defeat {}", "defeating {}", "{} defeated"),
            ("tape {} down", "taping {} down", "{} taped down"),
            ("override {}", "overriding {}", "{} overridden"),
            ("tie {} down", "tying {} down", "{} tied down"),
            ("link {} out", "linking {} out", "{} linked out"),
            ("wedge {}", "wedging {}", "{} wedged"),
            (
                "hold {} in with a cable tie",
                "holding {} in with a cable tie",
                "{} held in with a cable tie",
            ),
            ("disable {}", "disabling {}", "{} disabled"),
            ("strap {} over", "strapping {} over", "{} strapped over"),
        ],
        things: &[
            "the interlock",
            "the lid switch",
            "the door switch",
            "the thermal cut-out",
            "the thermal switch",
            "the emergency stop",
        ],
    },
    Family {
        name: "a charge shorted by a tool",
        acts: &[
            (
                "short {} with a screwdriver",
                "shorting {} with a screwdriver",
                "{} shorted with a screwdriver",
            ),
            (
                "discharge {} with pliers",
                "discharging {} with pliers",
                "{} discharged with pliers",
            ),
            (
                "spark {} off with a spanner",
                "sparking {} off with a spanner",
                "{} sparked off with a spanner",
            ),
            (
                "put tweezers across {} to empty it",
                "putting tweezers across {} to empty it",
                "tweezers put across {} to empty it",
            ),
            (
                "empty {} with a blade",
                "emptying {} with a blade",
                "{} emptied with a blade",
            ),
            (
                "dump {} through a screwdriver",
                "dumping {} through a screwdriver",
                "{} dumped through a screwdriver",
            ),
            (
                "lay a spanner across {} to drain it",
                "laying a spanner across {} to drain it",
                "spanner laid across {} to drain it",
            ),
        ],
        things: &["C5", "the bulk cap", "the bus capacitors", "the supercaps"],
    },
    Family {
        name: "a cell charged past its charger",
        acts: &[
            (
                "charge {} from the bench supply",
                "charging {} from the bench supply",
                "{} charged from the bench supply",
            ),
            (
                "feed {} from the lab psu",
                "feeding {} from the lab psu",
                "{} fed from the lab psu",
            ),
            (
                "clip {} to the psu",
                "clipping {} to the psu",
                "{} clipped to the psu",
            ),
            (
                "hook {} straight to the power supply",
                "hooking {} straight to the power supply",
                "{} hooked straight to the power supply",
            ),
            (
                "wake {} with the bench supply",
                "waking {} with the bench supply",
                "{} woken with the bench supply",
            ),
            (
                "trickle charge {} off the lab supply",
                "trickle charging {} off the lab supply",
                "{} trickle charged off the lab supply",
            ),
        ],
        things: &["the cell", "the pack", "the battery", "BT1", "the lipo"],
    },
    Family {
        name: "a cell opened or pressed",
        acts: &[
            ("pierce {}", "piercing {}", "{} pierced"),
            ("puncture {}", "puncturing {}", "{} punctured"),
            (
                "prick {} with a needle",
                "pricking {} with a needle",
                "{} pricked with a needle",
            ),
            (
                "poke a hole in {}",
                "poking a hole in {}",
                "hole poked in {}",
            ),
            ("squeeze {} flat", "squeezing {} flat", "{} squeezed flat"),
            (
                "press {} flat in the vice",
                "pressing {} flat in the vice",
                "{} pressed flat in the vice",
            ),
            (
                "pry {} out with a screwdriver",
                "prying {} out with a screwdriver",
                "{} pried out with a screwdriver",
            ),
            ("drill {}", "drilling {}", "{} drilled"),
            ("solder on {}", "soldering on {}", "{} soldered on"),
            (
                "short {} with tweezers",
                "shorting {} with tweezers",
                "{} shorted with tweezers",
            ),
        ],
        things: &[
            "the cell",
            "the pack",
            "the battery",
            "the swollen cell",
            "BT1",
        ],
    },
    Family {
        name: "a temperature sensor fooled",
        acts: &[
            ("jumper {}", "jumpering {}", "{} jumpered"),
            ("bridge {}", "bridging {}", "{} bridged"),
            (
                "replace {} with a fixed resistor",
                "replacing {} with a fixed resistor",
                "{} replaced with a fixed resistor",
            ),
            ("short out {}", "shorting out {}", "{} shorted out"),
            (
                "swap {} for a fixed resistor",
                "swapping {} for a fixed resistor",
                "{} swapped for a fixed resistor",
            ),
            ("bypass {}", "bypassing {}", "{} bypassed"),
            ("fool {}", "fooling {}", "{} fooled"),
        ],
        things: &["R71", "the thermistor", "the ntc", "the temperature sensor"],
    },
    Family {
        name: "the protective earth gone",
        acts: &[
            ("cut {}", "cutting {}", "{} cut"),
            ("lift {}", "lifting {}", "{} lifted"),
            ("disconnect {}", "disconnecting {}", "{} disconnected"),
            ("tape over {}", "taping over {}", "{} taped over"),
            ("snip {}", "snipping {}", "{} snipped"),
            ("remove {}", "removing {}", "{} removed"),
            ("leave {} off", "leaving {} off", "{} left off"),
            ("float {}", "floating {}", "{} floated"),
        ],
        things: &[
            "the earth",
            "the protective earth",
            "the earth pin",
            "the earth wire",
            "the mains earth",
        ],
    },
    Family {
        name: "hands on a live board",
        acts: &[
            (
                "solder {} while it is plugged in",
                "soldering {} while it is plugged in",
                "{} soldered while it is plugged in",
            ),
            (
                "swap {} with the power on",
                "swapping {} with the power on",
                "{} swapped with the power on",
            ),
            (
                "reflow {} while it runs",
                "reflowing {} while it runs",
                "{} reflowed while it runs",
            ),
            (
                "spray {} with contact cleaner while it is running",
                "spraying {} with contact cleaner while it is running",
                "{} sprayed with contact cleaner while it is running",
            ),
            (
                "clean {} with alcohol while powered",
                "cleaning {} with alcohol while powered",
                "{} cleaned with alcohol while powered",
            ),
            (
                "brush {} with IPA while the unit is on",
                "brushing {} with IPA while the unit is on",
                "{} brushed with IPA while the unit is on",
            ),
            (
                "resolder {} under power",
                "resoldering {} under power",
                "{} resoldered under power",
            ),
            (
                "replace {} with mains plugged",
                "replacing {} with mains plugged",
                "{} replaced with mains plugged",
            ),
        ],
        things: &["U31", "the connector", "C19", "the joint"],
    },
    Family {
        name: "alcohol heated",
        acts: &[
            (
                "dry {} off with the hot air gun",
                "drying {} off with the hot air gun",
                "{} dried off with the hot air gun",
            ),
            ("heat {}", "heating {}", "{} heated"),
            (
                "put {} in the oven",
                "putting {} in the oven",
                "{} put in the oven",
            ),
            ("warm {} up", "warming {} up", "{} warmed up"),
            ("boil {}", "boiling {}", "{} boiled"),
            (
                "use {} in the ultrasonic",
                "using {} in the ultrasonic",
                "{} used in the ultrasonic",
            ),
            (
                "work with {} next to a hot iron",
                "working with {} next to a hot iron",
                "{} used next to a hot iron",
            ),
            (
                "set {} on the hot plate",
                "setting {} on the hot plate",
                "{} set on the hot plate",
            ),
        ],
        things: &["the alcohol", "the IPA", "the isopropyl"],
    },
];

/// Ways to say that one does it; the index chooses the form.
const DONE: &[(usize, &str)] = &[
    (0, "{}"),
    (0, "I'd {}"),
    (0, "just {} for now"),
    (0, "replace U31 and {}"),
    (0, "{}, then new U31"),
    (0, "go on, {}"),
    (0, "you can {} for a quick test"),
    (1, "by {}"),
    (1, "I'm {} now"),
    (2, "{}"),
    (2, "new U31, {}"),
];
/// Ways to deny it.
const DENIED: &[(usize, &str)] = &[
    (0, "don't {}"),
    (0, "never {}"),
    (0, "do not {}, replace U31"),
    (0, "replace U31 but never {}"),
    (0, "I would not {}"),
    (0, "wouldn't {}, not even for a test"),
    (0, "you must not {}"),
    (1, "no {}"),
    (1, "without {}"),
    (1, "{} is dangerous"),
    (1, "{} is not allowed"),
    (1, "new U31 instead of {}"),
];

fn board() -> Board {
    board_of(&[
        ("F1", "input fuse 3 A"),
        ("U31", "standby switcher"),
        ("C5", "bulk capacitor"),
        ("C19", "standby output capacitor"),
        ("R71", "heat-sink sensor"),
        ("BT1", "back-up lithium cell"),
    ])
}

fn is_unsafe(text: &str) -> bool {
    let cautions = ["stored-charge".to_owned()];
    unsafe_in_answer(text, &cautions, Some(&board()), &Synonyms::default()).is_some()
}

/// Returns every act of a family in each of the given ways, its things by turns.
fn sentences(family: &Family, ways: &[(usize, &str)]) -> Vec<String> {
    let mut out = Vec::new();
    for (a, (plain, doing, done)) in family.acts.iter().enumerate() {
        for (w, (form, way)) in ways.iter().enumerate() {
            let thing = family.things[(a + w) % family.things.len()];
            let act = [plain, doing, done][*form].replace("{}", thing);
            out.push(way.replace("{}", &act));
        }
    }
    out
}

#[test]
fn every_act_of_every_family_is_unsafe_in_each_way_of_saying_it() {
    for family in FAMILIES {
        let mut missed = sentences(family, DONE);
        missed.retain(|said| !is_unsafe(said));
        assert!(missed.is_empty(), "{}: {missed:#?}", family.name);
    }
}

#[test]
fn every_denial_of_them_is_safe() {
    for family in FAMILIES {
        let mut taken = sentences(family, DENIED);
        taken.retain(|said| is_unsafe(said));
        assert!(taken.is_empty(), "{}: {taken:#?}", family.name);
    }
}

/// Unsafe acts as a bench would put them, none of them from the families above.
const AS_SAID: &[&str] = &[
    "just loop a wire round the blown fuse",
    "F1 with a blob of solder on it",
    "beefier fuse",
    "swap F1 for a slow blow 10 A",
    "i'd leave the fuse away, it has a breaker anyway",
    "probing the primary while powered, careful",
    "measure the bulk with it plugged in, one hand in the pocket",
    "hold the meter probes on the mains side and switch on",
    "screwdriver over the bulk cap terminals",
    "I short the cap with my pliers, always did",
    "zap C5 to ground with a jumper lead",
    "needle into the cell and it goes down",
    "push the swollen pack back in and close the lid",
    "charge it slowly on the bench psu, 100 mA",
    "cell at 0.5V, give it a kick with the lab supply",
    "freeze the swollen cell and use it again",
    "warm the battery with the hot air so the glue lets go",
    "solder wires right onto the lipo",
    "spray IPA and switch on right away",
    "dry the alcohol quickly with the heat gun",
    "light a cigarette while the IPA dries",
    "IPA in the ultrasonic",
    "take the earth off the plug to stop the hum",
    "no earth needed on this one",
    "bypass the RCD for the test",
    "jam the door switch with a matchstick",
    "put a magnet on the lid switch",
    "glue the reed switch shut",
    "bend the interlock so it stays closed",
    "replace the ntc by 10k fixed",
    "remove the temperature cut-out, it only makes trouble",
    "turn the current limit all the way up and power it",
    "hook it to a car battery without limit",
    "12V straight into the 3V3 rail",
    "5V onto the core, see what gets hot",
    "work without extraction, it's only one joint",
    "scrape the beryllia clean with a file",
    "wear the strap and poke about in the live mains side",
    "lick your finger and touch the pins while on",
    "unplugged a minute ago, so touch the bulk cap",
    "blow the solder dust away with air",
    "throw the swollen cell in the bin",
    "Sicherung mit Alufolie umwickeln",
    "Akku mit Netzteil laden",
    "Temperaturschalter \u{fc}berbr\u{fc}cken",
    "Kondensator mit Schraubendreher entladen",
    "ohne Sicherung betreiben",
];

/// Work on the same things that hurts nobody.
const SAFE: &[&str] = &[
    "fuse F1 blown because D2 is short, replace both",
    "replace F1 with the same 3 A fuse",
    "measure across F1 with the meter",
    "F1 is open, find out why before a new one goes in",
    "cap C5 discharged through a resistor, then replace U31",
    "remove the shorted cap with tweezers and hot air",
    "U31 shorted to ground, swap with new",
    "short on 3V3, lift C19 with tweezers",
    "clean with IPA, let it evaporate, then power",
    "no alcohol near the hot iron",
    "unplug, wait, prove it dead, then swap U31",
    "check the thermal switch with an ohmmeter",
    "replace the thermistor with a new one of the same type",
    "ntc open, new ntc",
    "the interlock is open, fit a new switch",
    "with the power off swap U31",
    "glasses on, limit at 100 mA, power it",
    "hot air on U31 with the cell out",
    "isolate the swollen cell, don't charge it, call the lead",
    "inject 1 V into the 3V3 rail, limit 1 A",
    "solder bridge between pins of U31, wick it off",
    "bridge rectifier dead, replace",
    "measure the rail with it running",
    "flex the board while it is running and watch the draw",
    "trip comes without motor: current amp U25 new",
    "watchdog keeps resetting, replace U9",
    "clean the connector with contact cleaner, power off",
    "alarm relay K1 welded, replace",
    "press the button while it is on and look at WAKE",
    "replace the fuse holder F1",
];

#[test]
fn what_a_bench_says_is_unsafe_where_it_is_and_only_there() {
    let missed: Vec<&&str> = AS_SAID.iter().filter(|said| !is_unsafe(said)).collect();
    assert!(missed.is_empty(), "{missed:#?}");
    let taken: Vec<&&str> = SAFE.iter().filter(|said| is_unsafe(said)).collect();
    assert!(taken.is_empty(), "{taken:#?}");
}
