//! Liquids that clean nothing safely: fuels and thinners on a board, water on a cell.
//!
//! A fuel is the dirt as often as the cleaner ("wash the diesel off", "the petrol pump's board"): it is the means
//! where it is cleaned with, in or by it, where it stands on a rag, or where it is all that is said to a card
//! that asks for a cleaner. Alcohol that is heated or meets power is in
//! [`crate::domain::judge::danger::solvents`]. Word lists and rules: common practice, no source; that a fuel's
//! vapour burns: its safety data sheet.

use crate::domain::card::CardKind;
use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::harm::classes::Class;
use crate::domain::judge::danger::harm::reading::Reading;
use crate::domain::judge::danger::harm::said;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::read::words;

/// What is said of a right repair that is cleaned with something that its board does not stand.
pub const NOT_A_CLEANER: &str =
    "right as far as read; but that is no cleaner for a board: the flux or coating maker names it";

/// Fuels, thinners and degreasers: their vapour burns, and most of them poison.
const FUELS: Class = Class::Words(&[
    "petrol",
    "gasoline",
    "gasolene",
    "benzine",
    "benzene",
    "naphtha",
    "turpentine",
    "turps",
    "white spirit",
    "white spirits",
    "mineral spirit",
    "mineral spirits",
    "petroleum spirit",
    "petroleum ether",
    "thinner",
    "thinners",
    "kerosene",
    "kerosine",
    "paraffin",
    "paraffin oil",
    "lamp oil",
    "diesel",
    "diesel oil",
    "brake cleaner",
    "brake clean",
    "brake cleaning spray",
    "brake spray",
    "parts cleaner",
    "carb cleaner",
    "carb spray",
    "carburettor cleaner",
    "carburetor cleaner",
    "start spray",
    "starting fluid",
    "ether",
    "toluene",
    "xylene",
    "lighter fluid",
    "lighter petrol",
    "barbecue lighter",
    "jet fuel",
    "avgas",
]);
/// Cleaners that eat plastics and lacquer or leave a film.
const UNFIT: Class = Class::Words(&[
    "acetone",
    "nail varnish remover",
    "nail polish remover",
    "varnish remover",
    "wd40",
    "wd 40",
    "wd-40",
    "penetrating oil",
    "penetrating spray",
    "rust remover",
    "meths",
    "methylated spirit",
    "methylated spirits",
    "bleach",
    "oven cleaner",
    "paint stripper",
]);
/// What a fuel is said of where nobody cleans with it.
const OF_FUEL: [&str; 22] = [
    "pump",
    "engine",
    "tank",
    "generator",
    "heater",
    "can",
    "station",
    "sensor",
    "injector",
    "ecu",
    "board",
    "residue",
    "smell",
    "stain",
    "stains",
    "film",
    "spill",
    "off",
    "motor",
    "gauge",
    "level",
    "wax",
];
const CLEANING: Class = Class::Doing(&[
    "clean", "wash", "rinse", "scrub", "wipe", "soak", "degrease", "dip", "dunk", "flush", "bathe",
    "brush", "swab", "dab", "spray", "flood", "hose", "dissolve", "shift", "give", "go over",
    "remove", "take off", "get off",
]);
const BY_MEANS: [&str; 14] = [
    "with", "in", "using", "by", "of", "use", "some", "via", "into", "through", "take", "try",
    "from", "little",
];
/// What a liquid is brought on with.
const ON_RAG: Class = Class::Words(&[
    "and a rag",
    "and a brush",
    "and a cloth",
    "and a toothbrush",
    "and a swab",
    "and an old toothbrush",
    "and an old rag",
    "and cotton",
    "and rag",
    "and brush",
    "on a rag",
    "on a brush",
    "on a cloth",
    "on a swab",
    "on a toothbrush",
    "on a cotton bud",
    "on cotton",
    "on the rag",
    "on the brush",
    "wash",
    "bath",
    "rinse",
    "wipe",
    "dip",
    "soak",
    "scrub",
    "takes it off",
    "shifts it",
    "cleans",
    "does it",
    "dissolves",
]);
/// Where a cell gets wet.
const UNDER_WATER: Class = Class::Words(&[
    "under the tap",
    "under a tap",
    "under water",
    "under running water",
    "in water",
    "in the water",
    "in the sink",
    "in the bath",
    "in the ultrasonic",
    "in salt water",
    "into water",
    "into the water",
    "into the sink",
    "into the bath",
    "in alcohol",
    "into the ultrasonic",
]);
const WETTING: Class = Class::Doing(&[
    "wet", "dip", "soak", "dunk", "drown", "submerge", "immerse", "rinse", "wash", "hose", "bathe",
    "swim", "moisten", "sprinkle", "flush", "douse", "splash", "spray",
]);
/// How it was found.
const FOUND: [&str; 18] = [
    "is", "was", "were", "been", "got", "gets", "a", "the", "has", "had", "soaking", "if", "when",
    "damp", "this", "that", "after", "are",
];

/// Tells whether someone cleans with a fuel.
pub fn cleans_with_fuel(reading: &Reading<'_>) -> bool {
    is_means(reading, &FUELS)
}

/// Tells whether someone cleans with what a board does not stand.
pub fn cleans_unfitly(reading: &Reading<'_>) -> bool {
    is_means(reading, &UNFIT)
}

fn is_means(reading: &Reading<'_>, class: &Class) -> bool {
    let tokens = &reading.scene.tokens;
    let sentences = reading.sentences();
    sentences.into_iter().any(|s| {
        (s.from..s.to).any(|i| {
            let Some(len) = reading.at(i, class).filter(|_| reading.meant(i)) else {
                return false;
            };
            let after = i + len;
            let of_fuel = tokens.get(after).is_some_and(|t| t.is_any(&OF_FUEL));
            !of_fuel
                && !said::is_put_right(reading, after)
                && (asks_for_a_cleaner(reading) && stands_alone(reading, i, s)
                    || is_brought(reading, i, after, s))
        })
    })
}

/// "clean J6 with petrol", "scrub it: petrol and a rag".
fn is_brought(reading: &Reading<'_>, at: usize, after: usize, s: Segment) -> bool {
    let tokens = &reading.scene.tokens;
    let near = at.saturating_sub(10).max(s.from);
    let cleaned = (near..at).any(|j| reading.is_at(j, &CLEANING));
    let start = at == s.from || tokens[at - 1].is_joint();
    let by = start
        || (at.saturating_sub(4).max(s.from)..at)
            .rev()
            .take_while(|j| !tokens[*j].is_joint() && !tokens[*j].is("the"))
            .any(|j| tokens[j].is_any(&BY_MEANS));
    let lain = (near..at)
        .any(|j| tokens[j].is_any(&["full", "smells", "stinks", "spilt", "dropped", "fell"]));
    let rag = reading.at(after, &ON_RAG).is_some();
    let used = (at.saturating_sub(4).max(s.from)..at)
        .any(|j| tokens[j].is_any(&["use", "used", "using", "take", "try"]));
    // "clean J6. I use turpentine for that".
    let cleaned = cleaned || used && (0..at).any(|j| reading.is_at(j, &CLEANING));
    (cleaned && by || rag && !tokens.get(after).is_some_and(|t| t.text.ends_with("ed"))) && !lain
}

/// The liquid begins a clause, or only small words stand before it.
fn stands_alone(reading: &Reading<'_>, at: usize, s: Segment) -> bool {
    let tokens = &reading.scene.tokens;
    (s.from..at)
        .rev()
        .take_while(|j| !tokens[*j].is_joint())
        .all(|j| words::is_filler(&tokens[j].text) || tokens[j].is_any(&BY_MEANS))
}

/// Tells whether the card asks what to clean with.
fn asks_for_a_cleaner(reading: &Reading<'_>) -> bool {
    const ASKED: [&str; 9] = [
        "clean",
        "rinse",
        "wash",
        "flux",
        "takes it off",
        "solvent",
        "residue",
        "liquid",
        "tank",
    ];
    let stem = reading.card.stem.to_lowercase();
    reading.card.kind == CardKind::Rule && ASKED.iter().any(|word| stem.contains(word))
}

/// Tells whether someone wets a cell.
pub fn wets_a_cell(reading: &Reading<'_>) -> bool {
    let scene = reading.scene;
    let cell = |i: usize| scene.thing_at(i, &things::CELL) && reading.meant(i);
    scene.segments.iter().any(|s| {
        let out =
            (s.from..s.to).any(|j| scene.tokens[j].is_any(&["out", "without", "away", "removed"]));
        (s.from..s.to).any(|i| {
            let Some(len) = reading.at(i, &WETTING).filter(|_| reading.meant(i)) else {
                return false;
            };
            // "wet pack is out": how it is.
            let is_state = scene.tokens[i].is("wet")
                && scene
                    .tokens
                    .get(i + 1)
                    .is_some_and(|t| !words::is_filler(&t.text));
            let found = i > s.from && scene.tokens[i - 1].is_any(&FOUND) || is_state;
            let what = (i + len..s.to.min(i + len + 5)).find(|j| {
                !words::is_filler(&scene.tokens[*j].text)
                    && !scene.tokens[*j].is_any(&["whole", "lot", "bare", "open", "swollen", "hot"])
            });
            !found && what.is_some_and(cell) && !said::is_put_right(reading, i)
        }) || !out
            && (s.from..s.to).any(|i| {
                let wet = reading.at(i, &UNDER_WATER).is_some() && reading.meant(i);
                let lain = (s.from..i).any(|j| {
                    scene.tokens[j].is_any(&["was", "fell", "been", "dropped", "lay", "stood"])
                });
                wet && !lain
                    && (i.saturating_sub(8).max(s.from)..i).any(cell)
                    && !said::is_put_right(reading, i)
            })
    })
}
