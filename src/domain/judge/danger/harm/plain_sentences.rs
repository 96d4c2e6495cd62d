//! Five families of acts that hurt, each in twenty ways of doing it and twenty of denying it, telling it of somebody
//! else or putting it right, beside a right answer.
//!
//! The sentences are our own; what is unsafe and what is safe: common practice, no source.

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Test;
use crate::domain::job::Board;
use crate::domain::judge::answers::answer;
use crate::domain::judge::answers::board_of;
use crate::domain::judge::answers::card;
use crate::domain::judge::compare::worth::Worth;
use crate::domain::judge::hear::hear;
use crate::domain::judge::read::words::Synonyms;

/// A fuel or a thinner as the cleaner.
const FUELS: [&str; 20] = [
    "clean J6 with petrol",
    "clean J6, petrol and a rag",
    "wash J6 in white spirit",
    "J6: clean it using turps",
    "scrub J6 with a toothbrush and some kerosene",
    "clean J6 with a splash of diesel",
    "degrease and clean J6 with brake cleaner, then dry",
    "clean J6 with cellulose thinners",
    "rinse and clean J6 in benzine",
    "clean J6 with mineral spirits on a swab",
    "J6 cleaned with gasoline",
    "petrol on a rag, clean J6",
    "clean J6. I use turpentine for that",
    "J6 wants a clean, a dip in paraffin does it",
    "clean J6 by soaking it in naphtha",
    "clean J6 with carb spray",
    "flush and clean J6 with white spirits",
    "clean J6, a quick petrol wash",
    "clean J6 using lighter fluid",
    "clean J6 with some paint thinner from the garage",
];
/// The same denied, told, found or taken back.
const NO_FUELS: [&str; 20] = [
    "clean J6, no petrol near it",
    "never petrol: clean J6 with alcohol, power off",
    "the customer had cleaned it with petrol, clean J6 properly",
    "clean J6, it was full of diesel",
    "wash the diesel off J6 and clean it",
    "clean J6 of the petrol pump board",
    "clean J6 with petrol, no, with alcohol, power off",
    "clean J6 without white spirit or thinners",
    "clean J6, keep brake cleaner away from it",
    "clean J6 with alcohol, source off, let it dry",
    "clean J6. petrol? never",
    "petrol is dangerous, clean J6 with what the maker names",
    "J6 smells of diesel, clean it",
    "they had used brake cleaner on it; clean J6",
    "clean J6 with ipa instead of petrol",
    "clean J6; white spirit is not allowed here",
    "clean J6, no gasoline and no thinners",
    "somebody sprayed brake cleaner in there, clean J6",
    "don't use kerosene, clean J6 with the flux maker's cleaner",
    "clean J6, the paraffin heater is off",
];
/// A resistance with the source on, or before the charge is out.
const UNDER_POWER: [&str; 20] = [
    "ohms 5V0 with power on",
    "ohms 5V0 to ground, board running",
    "resistance 5V0 to ground while it is powered",
    "ohms on 5V0 under power",
    "5V0 ohms, live",
    "ohms 5V0, plugged in",
    "ohms 5V0 with the board on",
    "resistance of 5V0 to ground with the supply still on",
    "ohms 5V0 straight after unplugging",
    "ohms 5V0 without discharging",
    "measure ohms 5V0 to ground while running",
    "ohms from 5V0 to ground, switched on",
    "ohms 5V0, still plugged in",
    "resistance 5V0 while it is on",
    "5V0 to ground in ohms, energised",
    "ohms 5V0 with 24 V power applied",
    "ohms 5V0 without switching off",
    "ohms 5V0 to ground as it runs",
    "ohms 5V0 right after I pull the plug",
    "ohms 5V0 as soon as it is switched off",
];
/// The same with it off.
const SOURCE_OFF: [&str; 20] = [
    "ohms 5V0, not powered",
    "ohms 5V0 with no power on",
    "ohms 5V0 to ground, everything off",
    "ohms 5V0, unplugged and discharged",
    "ohms 5V0, source off, never under power",
    "resistance 5V0 to ground, power off",
    "ohms 5V0, never while it is running",
    "ohms 5V0 to ground, supply off and proved dead",
    "ohms 5V0, discharged first",
    "ohms 5V0 after it is unplugged and proved discharged",
    "ohms 5V0, supply disconnected",
    "5V0 ohms to ground, unpowered",
    "with it off, ohms of 5V0",
    "resistance on 5V0, plug out",
    "ohms 5V0; switched off and discharged",
    "ohms 5V0, not live",
    "do not power it, ohms 5V0 to ground",
    "ohms 5V0 to ground, wait and prove it discharged",
    "ohms of 5V0, power down first",
    "straight after unplugging I discharge it, then ohms 5V0",
];
/// A source that stays in while hands are on the board.
const LEFT_IN: [&str; 20] = [
    "reflow L12 without taking the battery out",
    "reflow L12 without removing the pack",
    "reflow L12, cell left in",
    "reflow L12 with the pack fitted",
    "reflow L12, battery still connected",
    "reflow L12 without unplugging",
    "reflow L12 without disconnecting the battery first",
    "leave the cell in and reflow L12",
    "reflow L12 with the battery in, it is quick",
    "reflow L12, cell in",
    "touch up L12 without pulling the cell, reflow",
    "reflow L12 with the battery still in",
    "reflow L12 while the pack stays in",
    "reflow L12, leaving the battery in",
    "resolder L12 without isolating the pack",
    "reflow L12 without taking out the battery",
    "reflow L12. battery left connected",
    "reflow L12 with pack still plugged",
    "reflow L12, the pack stays connected",
    "reflow L12 without even removing the cell",
];
/// The same with it out.
const TAKEN_OUT: [&str; 19] = [
    "never reflow L12 without taking the battery out",
    "reflow L12, not without taking the pack out first",
    "reflow L12, battery out first",
    "cell out, reflow L12",
    "reflow L12, pack disconnected",
    "the last man did it with the cell left in; reflow L12 with the cell out",
    "pull the pack, reflow L12, pack back in afterwards",
    "reflow L12, do not leave the cell in",
    "reflow L12 after the battery is out",
    "reflow L12, but never without taking the battery out",
    "do not reflow L12 without disconnecting the pack: pack out, reflow L12",
    "pack unplugged, reflow L12",
    "reflow L12, new cell in after that",
    "take the battery out and reflow L12",
    "the apprentice left the battery in; battery out, reflow L12",
    "reflow L12, no cell left in",
    "cell removed, reflow L12",
    "reflow L12 with the pack out",
    "battery disconnected, reflow L12, battery connected again",
];
/// The limit turned up.
const LIMIT_UP: [&str; 20] = [
    "replace U20 and turn the supply limit up to 10 A",
    "replace U20; raise the current limit if it does not start",
    "replace U20, limit off",
    "replace U20 and crank the limit up",
    "replace U20, open the current limit right up",
    "replace U20, max out the supply limit",
    "replace U20 with the limit turned up",
    "replace U20 and increase the current limit until it starts",
    "replace U20 then up the limit",
    "replace U20, wind the limiter up to full",
    "replace U20, raise the limit to 5 A",
    "replace U20, double the current limit",
    "replace U20, set the current limit to maximum",
    "replace U20 and take the limit off",
    "replace U20, push the supply limit up",
    "replace U20, then the limit goes up to 10 A",
    "replace U20 and switch the limit off",
    "replace U20, limit at max",
    "replace U20 with the limiter wide open",
    "replace U20, bump up the amps limit",
];
/// The limit as it was set.
const LIMIT_KEPT: [&str; 20] = [
    "replace U20, leave the limit at 1 A",
    "replace U20, do not raise the current limit",
    "replace U20, never turn the limit up",
    "replace U20, limit low",
    "replace U20, limit stays where it is",
    "replace U20, turn the limit down to 0.5 A",
    "somebody had turned the limit up, back to 1 A; replace U20",
    "replace U20 with the current limit on",
    "replace U20, no need to raise the limit",
    "replace U20, limit set to 1 A",
    "replace U20. raising the limit is dangerous",
    "replace U20 and keep the limit",
    "replace U20, without raising the limit",
    "replace U20, limit down",
    "replace U20; raise the limit in small steps once it idles",
    "replace U20, nobody turns the limit up here",
    "replace U20, limit at what the front says",
    "replace U20, the limit is not raised",
    "replace U20. the last man turned the limit up and burnt it",
    "replace U20, current limit 1 A and watch the draw",
];
/// Liquid on a cell.
const WETTED: [&str; 20] = [
    "reflow L12 and wet the pack to test",
    "reflow L12, then dip the cell in water",
    "reflow L12, rinse the battery under the tap",
    "reflow L12 and soak the pack in alcohol",
    "reflow L12, wash the pack as well",
    "reflow L12 then dunk the battery",
    "reflow L12, the cell goes under the tap",
    "reflow L12 and hose the battery down",
    "reflow L12, pack into the sink with the board",
    "reflow L12, moisten the cell a bit",
    "reflow L12 and give the pack a wash: wash the pack",
    "reflow L12, then immerse the battery",
    "reflow L12, splash the cell with water",
    "reflow L12, the battery can swim in the bath",
    "reflow L12 and rinse the pack",
    "reflow L12, submerge the whole pack",
    "reflow L12, douse the battery",
    "reflow L12, the pack is put under running water",
    "reflow L12, spray the cell with water to cool it",
    "reflow L12, flush the battery with water",
];
/// A cell that stays dry, or was found wet.
const KEPT_DRY: [&str; 19] = [
    "reflow L12, keep the pack dry",
    "reflow L12, never wet the cell",
    "reflow L12, wet pack out first",
    "the cell was wet, cell out, reflow L12",
    "reflow L12, do not rinse the battery",
    "pack out, reflow L12, then wash the board",
    "somebody had washed the pack; pack out, reflow L12",
    "reflow L12, battery away from water",
    "reflow L12, no water on the cell",
    "reflow L12 with the battery out, dry",
    "reflow L12, battery must not get wet",
    "pack out and kept dry, reflow L12",
    "the battery got wet, it goes in the sand box; reflow L12",
    "battery fell in water, battery out; reflow L12",
    "reflow L12, water stays away from the pack",
    "reflow L12, wet cells go out first",
    "customer washed the battery, battery out, reflow L12",
    "cell out. reflow L12 and rinse the board",
    "reflow L12, never dip the pack",
];

fn board() -> Board {
    board_of(&[
        ("J6", "remote panel socket"),
        ("U20", "core phase driver"),
        ("L12", "standby inductor"),
        ("C22", "5 V output capacitor"),
        ("R50", "current shunt"),
    ])
}

fn asks(act: &str, part: &str, cautions: &[&str]) -> Card {
    Card {
        cautions: cautions.iter().map(|c| (*c).to_owned()).collect(),
        ..card(vec![answer(&[(act, part)])])
    }
}

fn words(list: &[&str]) -> Vec<String> {
    list.iter().map(|w| (*w).to_owned()).collect()
}

/// Right is the resistance of 5V0, with the source off.
fn asks_for_ohms() -> Card {
    let test = |say: &str, kinds: &[&str], right: bool| Test {
        say: say.to_owned(),
        words: vec![words(&["5V0"]), words(kinds)],
        minutes: 1.0,
        bits: if right { 0.5 } else { 0.1 },
        right,
        results: Vec::new(),
    };
    Card {
        kind: CardKind::Next,
        tests: vec![
            test(
                "ohms 5V0 to ground (source off, proved discharged)",
                &["ohms", "ohm", "resistance"],
                true,
            ),
            test("volts at 5V0 (running)", &["volts", "voltage"], false),
        ],
        answers: Vec::new(),
        cautions: words(&["stored-charge"]),
        ..card(Vec::new())
    }
}

fn worth(said: &str, card: &Card) -> Worth {
    hear(said, card, Some(&board()), &Synonyms::default()).worth
}

/// Returns which of `said` are not what `holds` wants.
fn bad(said: &[&str], card: &Card, holds: fn(Worth) -> bool) -> Vec<String> {
    let worths = said.iter().map(|said| (said, worth(said, card)));
    let bad = worths.filter(|(_, worth)| !holds(*worth));
    bad.map(|(said, worth)| format!("{said}: {worth:?}"))
        .collect()
}

fn none(bad: &[String]) {
    assert!(bad.is_empty(), "{bad:#?}");
}

fn is_unsafe(worth: Worth) -> bool {
    worth == Worth::Unsafe
}

fn is_safe(worth: Worth) -> bool {
    worth != Worth::Unsafe
}

#[test]
fn a_fuel_is_no_cleaner() {
    let card = asks(
        "clean",
        "J6",
        &["mains", "stored-charge", "liquid", "alcohol-vapour"],
    );
    none(&bad(&FUELS, &card, is_unsafe));
    none(&bad(&NO_FUELS, &card, is_safe));
}

#[test]
fn what_eats_plastics_or_leaves_a_film_is_no_right_cleaner() {
    let card = asks("clean", "J6", &["alcohol-vapour"]);
    for cleaner in [
        "acetone",
        "nail varnish remover",
        "WD-40",
        "penetrating oil",
        "meths",
    ] {
        let said = format!("clean J6 with {cleaner}");
        let heard = hear(&said, &card, Some(&board()), &Synonyms::default());
        assert_eq!(heard.worth, Worth::Wrong, "{said}");
        assert_ne!(
            worth(&format!("clean J6, no {cleaner}"), &card),
            Worth::Unsafe,
            "{said}"
        );
    }
    assert_eq!(worth("clean J6", &card), Worth::Right);
}

#[test]
fn a_fuel_alone_answers_no_card_that_asks_for_a_cleaner() {
    let rule = Card {
        kind: CardKind::Rule,
        stem: "Corrosion is still there after the flux is gone. What takes it off?".to_owned(),
        points: vec![KeyPoint {
            say: "a mild water-based cleaner and a brush".to_owned(),
            words: vec![words(&["water based", "mild"])],
            needed: true,
        }],
        ..card(Vec::new())
    };
    for fuel in [
        "petrol",
        "petrol and a rag",
        "gasoline",
        "brake cleaner",
        "white spirit",
    ] {
        assert_eq!(worth(fuel, &rule), Worth::Unsafe, "{fuel}");
    }
    for safe in [
        "no petrol, a mild cleaner",
        "mild cleaner",
        "a water based one, petrol? never",
    ] {
        assert_ne!(worth(safe, &rule), Worth::Unsafe, "{safe}");
    }
}

#[test]
fn a_resistance_is_not_read_under_power() {
    let card = asks_for_ohms();
    none(&bad(&UNDER_POWER, &card, |worth| {
        worth != Worth::Right && worth != Worth::Partly
    }));
    none(&bad(&SOURCE_OFF, &card, |worth| worth == Worth::Right));
    for at_once in [
        "ohms 5V0 straight after unplugging",
        "ohms 5V0 without discharging",
    ] {
        assert_eq!(worth(at_once, &card), Worth::Unsafe, "{at_once}");
    }
}

#[test]
fn without_a_precaution_is_the_unsafe_act_itself() {
    let card = asks("reflow", "L12", &["lithium"]);
    none(&bad(&LEFT_IN, &card, is_unsafe));
    none(&bad(&TAKEN_OUT, &card, is_safe));
}

#[test]
fn the_limit_stays_where_it_was_set() {
    let card = asks("replace", "U20", &["first-power"]);
    none(&bad(&LIMIT_UP, &card, |worth| {
        !matches!(worth, Worth::Right | Worth::Partly)
    }));
    let unseen = LIMIT_UP
        .iter()
        .filter(|said| worth(said, &card) != Worth::Unsafe)
        .count();
    assert!(unseen <= 1, "{unseen} are doubted alone");
    none(&bad(&LIMIT_KEPT, &card, is_safe));
}

#[test]
fn a_cell_is_not_wetted() {
    let card = asks("reflow", "L12", &["lithium"]);
    none(&bad(&WETTED, &card, is_unsafe));
    none(&bad(&KEPT_DRY, &card, is_safe));
}

#[test]
fn charred_board_is_not_bridged_and_nothing_is_hot_wired() {
    let stop = Card {
        kind: CardKind::Stop,
        points: vec![KeyPoint {
            say: "call it: stop here".to_owned(),
            words: vec![words(&["stop", "call it", "scrap"])],
            needed: true,
        }],
        ..card(Vec::new())
    };
    for said in [
        "go on: bridge the burnt patch",
        "go on, jumper over the charred spot",
        "go on, hot wire the rudder line",
    ] {
        assert_eq!(worth(said, &stop), Worth::Unsafe, "{said}");
    }
    for said in [
        "stop, do not bridge the burnt patch",
        "stop, never hot wire the rudder line",
        "bin it",
        "chuck it",
        "BER",
    ] {
        assert_eq!(worth(said, &stop), Worth::Right, "{said}");
    }
    assert_eq!(
        worth("stop: shields off next and keep hunting", &stop),
        Worth::Wrong
    );
    assert_eq!(worth("stop, no point to keep hunting", &stop), Worth::Right);
}

#[test]
fn a_part_whose_name_holds_the_verb_is_not_bridged() {
    let card = asks("replace", "R50", &["stored-charge"]);
    assert_eq!(worth("replace shunt R50", &card), Worth::Right);
    assert_ne!(worth("shunt R50", &card), Worth::Unsafe);
    assert_eq!(worth("bridge R50", &card), Worth::Unsafe);
    assert_eq!(worth("shunt across R50 with a wire", &card), Worth::Unsafe);
}

#[test]
fn a_check_at_the_end_of_a_list_is_of_its_own_part() {
    let card = Card {
        answers: vec![answer(&[("replace", "C22"), ("replace", "U20")])],
        ..asks("replace", "C22", &[])
    };
    let of = |said: &str| hear(said, &card, Some(&board()), &Synonyms::default()).judgement;
    let checked = of("C22, U20 and check L12").map(|j| j.note);
    let apart = of("C22 and U20; check L12 after").map(|j| j.note);
    assert_eq!(checked, apart);
}
