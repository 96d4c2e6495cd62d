//! Solvents that burn: heated, on a powered board, or under power before they are gone.
//!
//! Rules and word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::situations;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

/// Solvents that burn.
pub const ALCOHOL: &[&str] = &[
    "alcohol",
    "ipa",
    "isopropyl",
    "isopropanol",
    "propanol",
    "meths",
    "spirit",
    "spirits",
    "ethanol",
    "acetone",
    "solvent",
    "thinner",
    "methylated",
    "contact cleaner",
    "brake cleaner",
    "lighter fluid",
    "petrol",
    "gasoline",
    "benzine",
    "naphtha",
];

const HEAT: &[&str] = &[
    "heat",
    "boil",
    "warm",
    "bake",
    "cook",
    "oven",
    "torch",
    "flame",
    "hairdryer",
    "ultrasonic",
    "sonicate",
    "simmer",
    "preheat",
    "hotplate",
    "microwave",
    "ignite",
    "heater",
    "lighter",
    "cigarette",
];

const HEAT_PAIRS: &[&str] = &[
    "hot air",
    "heat gun",
    "hot plate",
    "hot bath",
    "warm bath",
    "hair dryer",
    "hot alcohol",
    "hot ipa",
];

const BAKING: &[&str] = &["bake", "oven", "boil", "microwave", "hotplate", "heater"];

fn heat_in(scene: &Scene<'_>, s: Segment) -> Option<usize> {
    (s.from..s.to).find(|i| {
        let text = scene.tokens[*i].text.as_str();
        let hot = HEAT.iter().any(|h| words::inflected(text, h))
            || scene.within(*i, s.to.min(i + 2), HEAT_PAIRS)
                && HEAT_PAIRS.iter().any(|h| h.split(' ').next() == Some(text));
        let apart = (i.saturating_sub(3).max(s.from)..*i).any(|j| {
            // "dry it off with hot air" is no "heat off".
            let goes_on = scene.tokens[j].is("off")
                && scene.tokens[j + 1].is_any(&["with", "in", "by", "using", "on", "under"]);
            !goes_on && scene.tokens[j].is_any(&["off", "away", "from", "before", "after", "prior"])
        });
        hot && !apart && !scene.off[*i] && !scene.condemned(*i)
    })
}

/// Tells whether the text lets the solvent go before token `at`, or within its segment.
fn evaporated(scene: &Scene<'_>, segment: Segment) -> bool {
    (0..segment.to).any(|i| {
        let gone = scene.tokens[i].text.starts_with("evaporat")
            || scene.tokens[i].is_any(&["flashed", "gone", "unheated"])
            || scene.within(i, scene.tokens.len().min(i + 2), &["air dry", "air dried"])
            || scene.within(i, scene.tokens.len().min(i + 3), &["let it dry", "let dry"]);
        let own = i >= segment.from;
        let not_yet = (i.saturating_sub(5)..i).any(|j| {
            scene.tokens[j].is_any(&["before", "hasnt", "while", "havent", "still", "to"])
                || own && scene.tokens[j].is("until")
        });
        gone && !not_yet && !scene.off[i]
    })
}

/// Tells whether alcohol is heated, or a board still wet with it.
pub fn heats_alcohol(scene: &Scene<'_>) -> bool {
    let alcohol = |s: Segment| scene.within(s.from, s.to, ALCOHOL);
    let rated = |s: Segment| {
        scene.says(&["rated"])
            && scene.tokens[s.from..s.to]
                .iter()
                .any(|t| t.is("tank") || t.text.starts_with("ultrasonic"))
    };
    scene.segments.iter().enumerate().any(|(n, s)| {
        let Some(heat) = heat_in(scene, *s) else {
            return false;
        };
        if evaporated(scene, *s) || rated(*s) {
            return false;
        }
        let pronoun = scene.tokens[s.from..s.to]
            .iter()
            .any(|t| t.is_any(&["it", "this"]));
        let text = scene.tokens[heat].text.as_str();
        let baking = BAKING.iter().any(|b| words::inflected(text, b))
            || scene.tokens[s.from..s.to]
                .iter()
                .any(|t| words::inflected(&t.text, "dry"));
        let before = n
            .checked_sub(1)
            .and_then(|m| scene.segments.get(m))
            .is_some_and(|b| alcohol(*b));
        let only_heat = (s.from..s.to).all(|i| {
            let text = &scene.tokens[i].text;
            scene.tokens[i].is_any(&[
                "hot", "air", "gun", "the", "with", "a", "hair", "dryer", "under", "in", "into",
            ]) || HEAT.iter().any(|h| words::inflected(text, h))
        });
        alcohol(*s)
            || before && only_heat
            || baking && scene.segments[..n].iter().any(|b| alcohol(*b))
            || before
                && pronoun
                && !scene.tokens[s.from..s.to]
                    .iter()
                    .any(|t| t.kind == Kind::Part)
    })
}

/// Tells whether alcohol goes on a powered board.
pub fn alcohol_on_power(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let applies = (s.from..s.to).any(|i| {
            !scene.off[i]
                && [
                    "spray", "pour", "flood", "soak", "dip", "clean", "wash", "brush", "rinse",
                    "wipe", "splash",
                ]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
                && !scene.condemned(i)
        });
        applies && scene.within(s.from, s.to, ALCOHOL) && situations::is_powered(scene, *s)
    }) || situations::sentences(scene).into_iter().any(|s| {
        let part = (s.from..s.to).any(|i| scene.tokens[i].kind == Kind::Part);
        let condemned = (s.from..s.to).any(|i| scene.condemned(i));
        part && scene.within(s.from, s.to, ALCOHOL)
            && situations::is_powered(scene, s)
            && !condemned
    })
}

/// "spray IPA and switch on right away": power before the solvent is gone.
pub fn alcohol_then_power(scene: &Scene<'_>) -> bool {
    let all = scene.tokens.len();
    let wet = (0..all).find(|i| scene.within(*i, all.min(i + 2), ALCOHOL));
    wet.is_some_and(|wet| {
        scene.segments.iter().any(|s| {
            let at = situations::powers(scene, *s).filter(|at| wet < *at);
            at.is_some_and(|_| {
                scene.within(
                    s.from,
                    s.to,
                    &[
                        "right away",
                        "straight away",
                        "at once",
                        "immediately",
                        "while wet",
                        "still wet",
                        "directly after",
                    ],
                )
            })
        })
    })
}
