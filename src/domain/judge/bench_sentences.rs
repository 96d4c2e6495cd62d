//! Unsafe acts that come up at bench rules, each with its denied or cautious neighbour.
//!
//! The sentences are our own: common practice, no source.

use crate::domain::judge::danger::unsafe_acts::unsafe_in_text;
use crate::domain::judge::read::words::Synonyms;
use proptest::prelude::*;

/// (unsafe, its caution, safe).
const PAIRS: &[(&str, &str, &str)] = &[
    // Fuses and other protection.
    (
        "bridge the fuse just for the test",
        "protection",
        "never bridge the fuse, not even for a test",
    ),
    (
        "a bit of wire in the fuse holder",
        "protection",
        "no wire in the fuse holder",
    ),
    (
        "fit a stronger fuse",
        "protection",
        "don't fit a stronger fuse",
    ),
    (
        "tape the lid switch down while I measure",
        "protection",
        "never tape the lid switch down",
    ),
    (
        "defeat the interlock",
        "protection",
        "leave the interlock alone, ask the maker",
    ),
    (
        "go on, and short the interlock",
        "protection",
        "the interlock is shorted, replace it",
    ),
    (
        "link the door switch to try the motor",
        "protection",
        "door switch shorted, fit a new one",
    ),
    (
        "short the thermostat",
        "protection",
        "shorted thermostat, replace it",
    ),
    (
        "proceed, parallel the fuse with a wire",
        "protection",
        "the parallel fuse is open, replace it",
    ),
    (
        "go on, fit a 10 A fuse for the 2 A",
        "protection",
        "swap the 10 A fuse for the 2 A one",
    ),
    (
        "go on and probe the mains side while it is on",
        "mains",
        "do not probe the mains side while it is on",
    ),
    (
        "go on with the cover off on mains",
        "mains",
        "do not go on with the cover off on mains",
    ),
    (
        "run it without the cover on mains",
        "mains",
        "unplug the mains, wait, then take the cover off",
    ),
    (
        "go on and lick the 9 V terminals",
        "lead",
        "do not lick the terminals",
    ),
    (
        "jam the door switch with a screwdriver",
        "protection",
        "the door switch must not be jammed",
    ),
    (
        "hold the safety switch in with tape",
        "protection",
        "do not hold the safety switch in",
    ),
    (
        "remove the bleeder",
        "stored-charge",
        "don't remove the bleeder",
    ),
    (
        "cut the bleeder resistor out, it only gets warm",
        "stored-charge",
        "replace the bleeder resistor",
    ),
    (
        "leave the bleeder off",
        "stored-charge",
        "never leave the bleeder off",
    ),
    (
        "disconnect the bleeder so it keeps its charge",
        "stored-charge",
        "check the bleeder",
    ),
    // Alcohol.
    (
        "fill the ultrasonic tank with alcohol",
        "alcohol-vapour",
        "never fill the ultrasonic tank with alcohol",
    ),
    (
        "pour IPA in the ultrasonic",
        "alcohol-vapour",
        "no IPA in the ultrasonic, water-based fluid only",
    ),
    (
        "heat the alcohol a little so it cleans better",
        "alcohol-vapour",
        "never heat alcohol",
    ),
    (
        "bake the board while it is wet with alcohol",
        "alcohol-vapour",
        "don't bake it wet with alcohol, let it evaporate",
    ),
    (
        "straight into the oven with the alcohol still on it",
        "alcohol-vapour",
        "not into the oven until the alcohol has evaporated",
    ),
    (
        "blow hot air at it until the alcohol is gone",
        "alcohol-vapour",
        "let the alcohol evaporate in moving air",
    ),
    (
        "solder while the alcohol is still wet",
        "alcohol-vapour",
        "don't solder while the alcohol is wet",
    ),
    (
        "rinse with alcohol while it is powered",
        "alcohol-vapour",
        "power off, then rinse with alcohol",
    ),
    // Cells.
    (
        "charge the swollen cell at low current",
        "lithium",
        "never charge a swollen cell",
    ),
    (
        "charge the cell that was wet, it is dry now",
        "lithium",
        "don't charge a cell that was wet",
    ),
    (
        "press the swollen cell flat with a wooden block",
        "lithium",
        "never press a swollen cell",
    ),
    (
        "push the bulging pouch flat",
        "lithium",
        "don't push on the bulging pouch",
    ),
    (
        "puncture the pouch to let the gas out",
        "lithium",
        "never puncture the pouch",
    ),
    ("prick the cell", "lithium", "do not prick the cell"),
    (
        "put the swollen cell back in",
        "lithium",
        "don't put the swollen cell back in",
    ),
    (
        "wake the deeply discharged pack with the bench supply",
        "lithium",
        "don't wake a deeply discharged pack",
    ),
    (
        "throw the swollen cell in the bin",
        "lithium",
        "don't throw the swollen cell in the bin",
    ),
    // Wet boards.
    (
        "power the wet board to see if it works",
        "liquid",
        "don't power a wet board to see",
    ),
    (
        "switch the wet tablet on",
        "liquid",
        "never switch a wet tablet on",
    ),
    (
        "try the power key while it is wet",
        "liquid",
        "don't try the power key while it is wet",
    ),
    ("plug it in wet", "liquid", "never plug it in wet"),
    // Stored charge and mains.
    (
        "discharge the bulk capacitor with a screwdriver",
        "stored-charge",
        "never discharge the bulk capacitor with a screwdriver",
    ),
    (
        "screwdriver across the capacitor pins",
        "stored-charge",
        "no screwdriver across the capacitor pins",
    ),
    (
        "put a screwdriver across the pins of the capacitor",
        "stored-charge",
        "don't put a screwdriver across the pins of the capacitor",
    ),
    (
        "short it with a screwdriver",
        "stored-charge",
        "don't short it with a screwdriver, use the discharge tool",
    ),
    (
        "touch the capacitor to feel if it is charged",
        "mains",
        "don't touch the capacitor, measure it",
    ),
    (
        "keep the wrist strap on while working on live mains",
        "mains",
        "no wrist strap while working on live mains",
    ),
    (
        "wear the strap on the live primary side",
        "mains",
        "don't wear the strap on the live primary side",
    ),
    (
        "strap on, the mains side is live",
        "mains",
        "strap off, the mains side is live",
    ),
    (
        "measure on live mains with one hand in the pocket",
        "mains",
        "leave live mains to a qualified person",
    ),
    (
        "plug the repaired mains supply straight into the wall",
        "mains",
        "never plug the repaired mains supply straight into the wall",
    ),
    (
        "first power-up of the mains supply without glasses",
        "mains",
        "not without glasses: first power-up of the mains supply on a limited source",
    ),
    (
        "power the repaired mains part without a current limit",
        "mains",
        "don't power the repaired mains part without a current limit",
    ),
    // Injection and first power.
    (
        "inject above the rail's nominal",
        "stored-charge",
        "never inject above the rail's nominal",
    ),
    (
        "inject 5 V into the 1V8 rail",
        "stored-charge",
        "inject 1.8 V into the 1V8 rail, limit 1 A",
    ),
    (
        "inject as much voltage as it takes",
        "stored-charge",
        "don't inject as much voltage as it takes",
    ),
    (
        "power up without glasses",
        "first-power",
        "no power up without glasses",
    ),
    // Lead, old parts.
    (
        "blow the dross out with compressed air",
        "lead",
        "never blow the dross out",
    ),
    (
        "blow the lead dust away",
        "lead",
        "wipe the lead dust up damp",
    ),
    (
        "brush the dross out dry",
        "lead",
        "don't brush the dross out dry",
    ),
    (
        "drink coffee at the bench",
        "lead",
        "no coffee at the bench",
    ),
    (
        "file the beryllia flat",
        "legacy-parts",
        "never file beryllia",
    ),
    (
        "sand the white ceramic base",
        "legacy-parts",
        "don't sand the white ceramic base",
    ),
    (
        "open the oil-filled capacitor",
        "legacy-parts",
        "don't open the oil-filled capacitor",
    ),
];

#[test]
fn each_unsafe_act_is_named_and_its_cautious_neighbour_is_not() {
    let words = Synonyms::default();
    let mut bad = Vec::new();
    for (act, caution, safe) in PAIRS {
        let found = unsafe_in_text(act, None, &words);
        if found.as_ref().map(|f| f.caution) != Some(*caution) {
            bad.push(format!("{act}: {:?}", found.map(|f| f.what)));
        }
        if let Some(found) = unsafe_in_text(safe, None, &words) {
            bad.push(format!("  safe {safe}: {}", found.what));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

proptest! {
    #[test]
    fn neither_case_nor_a_harmless_clause_hides_an_act(
        at in 0..PAIRS.len(),
        upper in any::<bool>(),
        front in any::<bool>(),
    ) {
        let (act, ..) = PAIRS[at];
        let typed = if front { format!("Take photos first; {act}") } else { format!("{act}; take photos") };
        let typed = if upper { typed.to_uppercase() } else { typed };
        prop_assert!(unsafe_in_text(&typed, None, &Synonyms::default()).is_some(), "{}", typed);
    }
}
