//! The two decks of bench rules that ship: they load, every card can be answered, and none answers itself.
//!
//! Figures that the cards state are computed here from their formulas once more; values of published
//! sources are written down beside the name of the source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;

use benchlore::domain::card::Card;
use benchlore::domain::card::CardKind;
use benchlore::domain::card::Deck;
use benchlore::domain::caution;
use benchlore::domain::circuit::Circuits;
use benchlore::domain::ids;
use benchlore::domain::judge::compare::points::PointsVerdict;
use benchlore::domain::judge::compare::points::judge_points;
use benchlore::domain::judge::danger::unsafe_acts::unsafe_in_text;
use benchlore::domain::judge::read::words::Synonyms;
use benchlore::store::record::card::read_deck;
use benchlore::store::record::card::write_deck;

use crate::rule_answers::ANSWERS;
use crate::rule_answers::FURTHER;
use crate::rule_answers::TRAPS;
use crate::rule_answers_more::NOT_TAKEN;
use crate::rule_answers_more::TAKEN;

const DECKS: [&str; 2] = ["bench-rules", "bench-safety"];

fn text_of(deck: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("decks");
    std::fs::read_to_string(folder.join(format!("{deck}.json"))).expect("it ships")
}

fn deck(name: &str) -> Deck {
    let (deck, problems) = read_deck(&text_of(name));
    assert!(problems.is_empty(), "{name}: {problems:?}");
    deck.expect("a deck")
}

fn cards() -> Vec<Card> {
    DECKS.iter().flat_map(|name| deck(name).cards).collect()
}

fn judged(typed: &str, card: &Card) -> PointsVerdict {
    judge_points(typed, &card.points, None, &Synonyms::default())
}

#[test]
fn both_load_without_a_problem_and_are_written_as_they_are() {
    for name in DECKS {
        let deck = deck(name);
        assert_eq!(deck.deck, name);
        assert_eq!(write_deck(&deck), text_of(name), "{name}");
    }
    let n = cards().len();
    assert!((60..=100).contains(&n), "{n} cards");
}

#[test]
fn every_card_is_a_whole_rule() {
    let circuits = Circuits::with_shop(&[], false);
    for card in cards() {
        let stem = &card.stem;
        assert_eq!(card.kind, CardKind::Rule, "{stem}");
        assert!(stem.ends_with('?') && stem.len() <= 200, "{stem}");
        assert!(!card.source.is_empty(), "{stem}");
        assert!(card.why.ends_with('.') && card.why.len() <= 240, "{stem}");
        assert!((1..=4).contains(&card.points.len()), "{stem}");
        assert!(card.points.iter().any(|p| p.needed), "{stem}");
        for point in &card.points {
            let whole = !point.say.is_empty() && point.words.iter().all(|g| !g.is_empty());
            assert!(whole && !point.words.is_empty(), "{stem}: {}", point.say);
        }
        let known = card.family.is_empty() || circuits.get(&card.family).is_some();
        assert!(known, "{stem}: no circuit {}", card.family);
        assert!(card.answers.is_empty() && card.jobs.is_empty(), "{stem}");
    }
}

/// The id is the mark of (kind, no board, question): it changes with the question and with nothing else.
#[test]
fn ids_follow_from_the_question_and_are_unique_over_all_shipped_decks() {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    let (built, _) = read_deck(&text_of("shop"));
    for card in built.expect("a deck").cards {
        seen.insert(card.id, "built from jobs".to_owned());
    }
    for card in cards() {
        let expected = ids::long_mark(["rule", "", card.stem.as_str()]);
        assert_eq!(card.id, expected, "{}", card.stem);
        let other = seen.insert(card.id.clone(), card.stem.clone());
        assert_eq!(other, None, "{}", card.stem);
    }
}

#[test]
fn each_question_is_told_right_from_wrong() {
    let cards = cards();
    let stems: Vec<&str> = cards.iter().map(|c| c.stem.as_str()).collect();
    let asked: Vec<&str> = ANSWERS.iter().map(|(stem, ..)| *stem).collect();
    assert_eq!(
        asked, stems,
        "every card has its answers, in the order of the decks"
    );
    let mut bad = Vec::new();
    for (card, (stem, right, wrong)) in cards.iter().zip(ANSWERS) {
        let verdict = judged(right, card);
        if !verdict.right {
            bad.push(format!("{stem}\n  right: {right}\n  {}", verdict.note));
        }
        let verdict = judged(wrong, card);
        if verdict.right {
            bad.push(format!("{stem}\n  wrong: {wrong}\n  judged right"));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn further_answers_are_judged_as_a_trainer_would() {
    let cards = cards();
    assert_eq!(FURTHER.len(), cards.len(), "every card has further answers");
    let mut bad = Vec::new();
    for (card, (stem, right, wrong)) in cards.iter().zip(FURTHER) {
        assert!(card.stem.starts_with(stem), "{stem}");
        for typed in *right {
            let verdict = judged(typed, card);
            if !verdict.right {
                bad.push(format!("{stem}\n  right: {typed}\n  {}", verdict.note));
            }
        }
        for typed in *wrong {
            if judged(typed, card).right {
                bad.push(format!("{stem}\n  wrong: {typed}\n  judged right"));
            }
        }
    }
    assert!(bad.is_empty(), "{}:\n{}", bad.len(), bad.join("\n"));
}

#[test]
fn the_same_in_other_words_is_taken_and_what_comes_near_is_not() {
    let cards = cards();
    let told = TAKEN.iter().map(|answer| (answer, true));
    let told = told.chain(NOT_TAKEN.iter().map(|answer| (answer, false)));
    let mut bad = Vec::new();
    for ((stem, typed), right) in told {
        let mut asked = cards.iter().filter(|c| c.stem.starts_with(stem));
        let card = asked.next().expect("a card");
        assert!(asked.next().is_none(), "{stem}: one card");
        if judged(typed, card).right != right {
            bad.push(format!("{stem}: {typed}"));
        }
    }
    assert!(bad.is_empty(), "{}:\n{}", bad.len(), bad.join("\n"));
}

#[test]
fn every_point_is_reached_by_its_own_words() {
    let mut bad = Vec::new();
    for card in cards() {
        for (i, point) in card.points.iter().enumerate() {
            let verdict = judged(&point.say, &card);
            if !verdict.hits[i] {
                bad.push(format!("{}: {}", card.stem, point.say));
            }
            if let Some(act) = verdict.unsafe_answer {
                bad.push(format!("{}: {}: {}", card.stem, point.say, act.what));
            }
        }
        let all: Vec<&str> = card.points.iter().map(|p| p.say.as_str()).collect();
        if !judged(&all.join(". "), &card).right {
            bad.push(format!("{}: all its points are not right", card.stem));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// Returns an alternative with each of its choices once, beside the first choices of its other words.
fn readings(alternative: &str) -> Vec<String> {
    let slots: Vec<Vec<&str>> = alternative
        .split(' ')
        .map(|slot| slot.split('|').collect())
        .collect();
    let mut out = Vec::new();
    for (i, slot) in slots.iter().enumerate() {
        for choice in slot {
            let words = slots.iter().enumerate();
            let words = words.map(|(j, other)| if i == j { choice } else { &other[0] });
            let said: Vec<String> = words
                .map(|word| word.replace('_', " ").replace('=', ""))
                .collect();
            if !out.contains(&said.join(" ")) {
                out.push(said.join(" "));
            }
        }
    }
    out
}

/// With any one alternative of each group, an answer of nothing but these words names the point.
#[test]
fn no_alternative_is_out_of_reach() {
    let mut bad = Vec::new();
    for card in cards() {
        for point in &card.points {
            for group in &point.words {
                for word in group {
                    let alone = [benchlore::domain::card::KeyPoint {
                        words: vec![vec![word.clone()]],
                        ..point.clone()
                    }];
                    for said in readings(word) {
                        // A bare "unknown" would be no answer at all.
                        let typed = format!("say: {said}");
                        let verdict = judge_points(&typed, &alone, None, &Synonyms::default());
                        if !verdict.hits[0] {
                            bad.push(format!("{}: {said:?} of {word:?}", card.stem));
                        }
                    }
                }
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn no_question_answers_itself() {
    let mut bad = Vec::new();
    for card in cards() {
        if judged(&card.stem, &card).right {
            bad.push(card.stem.clone());
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn what_a_card_teaches_is_safe() {
    let words = Synonyms::default();
    let mut bad = Vec::new();
    for card in cards() {
        if let Some(act) = unsafe_in_text(&card.why, None, &words) {
            bad.push(format!("{}: {}: {}", card.stem, card.why, act.what));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// Which words name a hazard, and which cautions answer it: common practice, no source.
const HAZARDS: [(&[&str], &[&str]); 10] = [
    (&["alcohol", "isopropyl"], &["alcohol-vapour"]),
    (&["mains"], &["mains"]),
    (
        &["swollen", "pouch", "lithium", "bulging"],
        &["lithium", "cell-first"],
    ),
    (&["bulk", "bleeder", "470 µf"], &["stored-charge"]),
    (&["inject"], &["stored-charge", "first-power"]),
    (&["preheater", "hot air", "wheeze"], &["fume"]),
    (&["dross", "leaded"], &["lead"]),
    (&["wrist"], &["esd"]),
    (&["fuse"], &["fuse", "mains"]),
    (&["wet", "sea"], &["liquid", "cell-first", "lithium"]),
];

#[test]
fn a_card_about_a_hazard_shows_its_caution() {
    let mut met = BTreeSet::new();
    let mut bad = Vec::new();
    for card in cards() {
        assert!(
            card.cautions.len() <= caution::MOST_ON_A_CARD,
            "{}",
            card.stem
        );
        for id in &card.cautions {
            assert!(caution::caution(id).is_some(), "{}: {id}", card.stem);
            met.insert(id.clone());
        }
        let stem = card.stem.to_lowercase();
        let said = |word: &str| {
            let mut words = stem.split(|c: char| !c.is_alphanumeric());
            if word.contains(' ') {
                stem.contains(word)
            } else {
                words.any(|w| w.starts_with(word))
            }
        };
        for (hazard, cautions) in HAZARDS {
            if hazard.iter().any(|word| said(word)) {
                let shown = card.cautions.iter().any(|c| cautions.contains(&c.as_str()));
                if !shown {
                    bad.push(format!("{}: {cautions:?}", card.stem));
                }
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    for known in caution::CAUTIONS {
        assert!(met.contains(known.id), "no card about {}", known.id);
    }
    for card in deck("bench-safety").cards {
        assert!(!card.cautions.is_empty(), "{}", card.stem);
    }
}

fn why(beginning: &str) -> (String, String) {
    let card = cards().into_iter().find(|c| c.stem.starts_with(beginning));
    let card = card.expect("the card is there");
    (card.why, card.source)
}

/// Vapour pressure 33 mmHg, limits 2.0 % and 12.7 % (at 200 °F), flash point 53 °F: NIOSH Pocket
/// Guide, entry 0359.
#[test]
fn alcohol_vapour_at_room_temperature_lies_within_its_limits() {
    let (why, source) = why("A bowl of isopropyl");
    assert!(source.contains("NIOSH Pocket Guide, entry 0359"));
    let vapour = 33.0_f64 / 760.0 * 100.0;
    assert!(2.0 < vapour && vapour < 12.7);
    assert!(why.contains(&format!("{vapour:.1} %")), "{why}");
    assert!(why.contains("2.0 to 12.7 %"), "{why}");
    let celsius = |f: f64| (f - 32.0) / 1.8;
    assert!(why.contains(&format!("{:.1} °C", celsius(53.0))), "{why}");
    assert!(why.contains(&format!("{:.0} °C", celsius(200.0))), "{why}");
}

/// E = C·V²/2 and t = R·C·ln(V0/V).
#[test]
fn stored_energy_and_discharge_time_follow_from_their_formulas() {
    let energy = 470e-6_f64 * 325.0 * 325.0 / 2.0;
    let (energy_why, _) = why("About how much energy");
    assert!(
        energy_why.contains(&format!("{energy:.1} J")),
        "{energy_why}"
    );
    let time = 220e3_f64 * 470e-6 * (325.0_f64 / 60.0).ln();
    let (time_why, _) = why("470 µF, charged");
    assert!(time_why.contains(&format!("{time:.0} s")), "{time_why}");
    let minutes = time / 60.0;
    assert!(
        (2.5..3.5).contains(&minutes),
        "about three minutes: {minutes}"
    );
}

/// Action level 30 µg/m³, permissible limit 50 µg/m³: 29 CFR 1910.1025. 100 V HBM, 200 V CDM, isolated
/// conductors under 35 V: scope of ANSI/ESD S20.20-2021.
#[test]
fn published_limits_are_given_as_published() {
    let (lead, source) = why("Which two airborne levels");
    assert!(
        lead.contains("Action level 30, permissible limit 50 µg/m³"),
        "{lead}"
    );
    assert_eq!(source, "29 CFR 1910.1025");
    let (esd, source) = why("Down to which volts");
    assert!(
        esd.contains("100 V HBM and 200 V CDM; isolated conductors stay under 35 V"),
        "{esd}"
    );
    assert_eq!(source, "ANSI/ESD S20.20-2021");
}

/// Stop where the cost is above value times chance: common practice, no source.
#[test]
fn the_example_of_when_to_stop_adds_up() {
    let (why, _) = why("The board is worth 60");
    let worth = 60.0_f64 * 0.25;
    assert!(
        worth < 20.0 && why.contains(&format!("is {worth:.0}, less than the 20")),
        "{why}"
    );
}

/// The old figure for salt is obsolete (IPC-WP-019B, abstract) and alone no ground to accept
/// (J-STD-001G-Am1).
#[test]
fn no_card_gives_the_old_cleanliness_figure_as_a_limit() {
    for card in cards() {
        let says: Vec<&str> = card.points.iter().map(|p| p.say.as_str()).collect();
        let taught = format!("{} {}", card.why, says.join(" "));
        assert!(!taught.contains("1.56"), "{taught}");
        if card.stem.contains("1.56") {
            assert!(card.source.contains("IPC-WP-019B") && card.source.contains("J-STD-001G-Am1"));
            assert!(taught.contains("historic"), "{taught}");
        }
    }
}
#[test]
fn the_right_words_in_a_wrong_answer_do_not_make_it_right() {
    let cards = cards();
    let mut bad = Vec::new();
    for (stem, typed) in TRAPS {
        let card = cards
            .iter()
            .find(|c| c.stem.starts_with(stem))
            .expect("a card");
        if judged(typed, card).right {
            bad.push(format!("{stem}: {typed}"));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}
