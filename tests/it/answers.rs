//! The judge of typed answers held against the verdicts that a trainer gave before it was measured;
//! see tests/data/answers/README.md. Verdicts: common practice, no source.

#![expect(
    clippy::print_stdout,
    reason = "the figures of the judge are printed with --nocapture"
)]

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::sync::LazyLock;

use benchlore::app::workbench::Workbench;
use benchlore::domain::agreement::Table;
use benchlore::domain::card::Card;
use benchlore::domain::card::CardKind;
use benchlore::domain::judge::hear::hear;
use benchlore::domain::units;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;
use benchlore::store::record::card::read_deck;
use serde_json::Value;

use crate::common::Bench;
use crate::common::answer_words;
use crate::rule_answers::ANSWERS;
use crate::weighing::rows;

const TOGETHER: &str = "together";
// The floors are what was measured, less a little.
/// Tables by which the judge may be mended, and which its weights of words are fitted to.
const IN_SIGHT: [(&str, f64); 10] = [
    ("within", 0.90),
    ("apart-open", 0.97),
    ("second-open", 0.98),
    ("third-open", 0.95),
    ("fourth-open", 0.91),
    ("fifth-open", 0.94),
    ("sixth-open", 0.93),
    ("seventh-open", 0.84),
    ("ninth-open", 0.87),
    ("eleventh-open", 0.90),
];
/// Tables that are only counted.
const KEPT: [(&str, f64); 7] = [
    ("apart-kept", 0.81),
    ("second-kept", 0.87),
    ("third-kept", 0.81),
    ("fourth-kept", 0.72),
    ("fifth-kept", 0.82),
    ("eighth-kept", 0.83),
    ("tenth-kept", 0.84),
];
const FLOOR_TOGETHER: f64 = 0.88;
/// Of the unsafe answers of all tables, so many at least are seen to be unsafe.
const LEAST_UNSAFE_SEEN: usize = 2_280;
/// Of the safe answers in sight, at most so many are called unsafe.
const MOST_TAKEN_IN_SIGHT: usize = 105;
/// Of the 1,790 safe answers of the kept tables, at most so many are called unsafe.
const MOST_TAKEN_KEPT: usize = 33;
/// Of the 406 unsafe answers of the kept tables, at most so many are judged right: the words of some of
/// them nobody had thought of. In sight there is none.
const MOST_UNSAFE_RIGHT_KEPT: usize = 13;
/// Of those at most so many come without a sentence that is shown as not judged.
const MOST_SILENT_KEPT: usize = 6;
/// Of the right answers of the kept tables that are judged right, at most such a share shows one.
const MOST_SHOWN_KEPT: f64 = 0.22;
const ORDER: [&str; 4] = ["right", "partly", "wrong", "unsafe"];

/// One typed answer.
#[derive(Clone)]
struct Answer {
    card: String,
    typed: String,
    trainer: String,
    judge: &'static str,
    /// Right, with a sentence shown as one that was not judged.
    unjudged: bool,
    /// Names a designator that is none of the card's answers.
    strange: bool,
}

/// Tells whether the answer names a designator that none of the card's answers has.
fn names_a_strange_part(typed: &str, card: &Card) -> bool {
    let parts: Vec<String> = card
        .answers
        .iter()
        .flat_map(|answer| &answer.steps)
        .map(|step| step.part.to_uppercase())
        .collect();
    typed
        .to_uppercase()
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| {
            let letters = word.chars().take_while(char::is_ascii_uppercase).count();
            let digits = &word[letters..];
            (1..=3).contains(&letters)
                && !digits.is_empty()
                && digits.chars().all(|c| c.is_ascii_digit())
        })
        .any(|word| !parts.iter().any(|part| part == word))
}

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/answers")
}

/// Judges every answer of a table as a sitting does.
fn judged(table: &str, shop: &Workbench, cards: &BTreeMap<String, Card>) -> Vec<Answer> {
    let text = std::fs::read_to_string(folder().join(table)).expect("a table");
    let text_of = |value: &Value, key: &str| value[key].as_str().expect("a text").to_owned();
    text.lines()
        .map(|line| {
            let value: Value = serde_json::from_str(line).expect("a JSON line");
            let (id, typed) = (text_of(&value, "card"), text_of(&value, "typed"));
            let card = cards.get(&id).expect("a card of these decks");
            let board = shop.boards.iter().find(|b| b.id == card.board);
            let heard = hear(&typed, card, board, &shop.words);
            Answer {
                strange: card.points.is_empty() && names_a_strange_part(&typed, card),
                card: id,
                typed,
                trainer: text_of(&value, "verdict"),
                judge: heard.worth.word(),
                unjudged: heard.unjudged.is_some(),
            }
        })
        .collect()
}

/// Prints where judge and trainer differ and returns the counts, the trainer in the rows.
fn compared(name: &str, answers: &[Answer]) -> Table {
    let pairs: Vec<(&str, &str)> = answers
        .iter()
        .map(|a| (a.trainer.as_str(), a.judge))
        .collect();
    let table = Table::of(&pairs, &ORDER);
    println!("{name}: {} of {} alike", table.agreed(), table.n());
    // What is kept apart is counted, not shown: nobody is to mend the judge by it.
    let shown = answers
        .iter()
        .filter(|a| IN_SIGHT.iter().any(|t| t.0 == name) && a.trainer != a.judge);
    for answer in shown {
        println!(
            "  {} {:?}: trainer {}, judge {}",
            &answer.card[..6],
            answer.typed,
            answer.trainer,
            answer.judge
        );
    }
    println!(
        "{:?}\n{:?}\n{:?}",
        table.categories,
        table.counts,
        table.kappa()
    );
    table
}

fn shop(bench: &Bench) -> Workbench {
    let folder = ShopFolder::new(bench.shop());
    Workbench::open(Arc::new(RealDisk), folder, "b7".to_owned()).expect("the shop opens")
}

/// The answers of every table, judged once for all tests, the tables side by side.
static JUDGED: LazyLock<BTreeMap<&str, Vec<Answer>>> = LazyLock::new(|| {
    let bench = Bench::without_people();
    let cards = rows::cards(Path::new(env!("CARGO_MANIFEST_DIR")));
    let shop = shop(&bench);
    std::thread::scope(|scope| {
        let names = IN_SIGHT.iter().chain(&KEPT).map(|(name, _)| *name);
        let judging: Vec<_> = names
            .map(|name| {
                let (shop, cards) = (&shop, &cards);
                let table = move || judged(&format!("{name}.jsonl"), shop, cards);
                (name, scope.spawn(table))
            })
            .collect();
        let done = judging.into_iter();
        done.map(|(name, table)| (name, table.join().expect("a table is judged")))
            .collect()
    })
});

/// Returns the judged answers of the tables of `floors`, each held to its floor.
fn held_to(floors: &[(&str, f64)]) -> Vec<Answer> {
    let mut whole: Vec<Answer> = Vec::new();
    for (name, floor) in floors {
        let answers = &JUDGED[name];
        let kappa = compared(name, answers).kappa().expect("four verdicts");
        assert!(*floor <= kappa.kappa, "{name}: {kappa:?}");
        whole.extend(answers.iter().cloned());
    }
    whole
}

/// Returns how many answers of which a trainer says one thing were given another verdict, or any where
/// that is empty.
fn judged_so(answers: &[Answer], trainer: &dyn Fn(&str) -> bool, judge: &str) -> usize {
    let of = |a: &&Answer| trainer(&a.trainer) && (judge.is_empty() || a.judge == judge);
    answers.iter().filter(of).count()
}

/// Asserts that no more of what is unsafe than `most` and no wrong designator was judged right; returns how
/// many of the unsafe answers were seen to be unsafe.
fn nothing_dangerous_is_right(answers: &[Answer], most: usize) -> usize {
    let unsafe_right = judged_so(answers, &|t| t == "unsafe", "right");
    println!("unsafe judged right: {unsafe_right}");
    assert!(
        unsafe_right <= most,
        "{unsafe_right} unsafe answers judged right"
    );
    no_wrong_designator_is_right(answers);
    let seen = judged_so(answers, &|t| t == "unsafe", "unsafe");
    let all = judged_so(answers, &|t| t == "unsafe", "");
    println!("unsafe seen as unsafe: {seen} of {all}");
    seen
}

fn no_wrong_designator_is_right(answers: &[Answer]) {
    let right = |wanted: &dyn Fn(&Answer) -> bool| {
        let of = |a: &&Answer| a.judge == "right" && wanted(a);
        answers.iter().filter(of).count()
    };
    let strange = |a: &Answer| a.strange && ["wrong", "partly"].contains(&a.trainer.as_str());
    assert!(
        answers.iter().any(strange),
        "there are wrong designators to be judged"
    );
    assert_eq!(right(&strange), 0, "wrong designators judged right");
}

/// Of the unsafe answers that come out right, all but so many show a sentence that was not judged; of the right
/// ones not many do.
fn what_was_not_judged_is_said(answers: &[Answer], most_silent: usize, most_shown: f64) {
    let right: Vec<&Answer> = answers.iter().filter(|a| a.judge == "right").collect();
    let unsafe_ones = right.iter().filter(|a| a.trainer == "unsafe");
    let silent = unsafe_ones.filter(|a| !a.unjudged).count();
    let safe: Vec<&&Answer> = right.iter().filter(|a| a.trainer == "right").collect();
    let shown = safe.iter().filter(|a| a.unjudged).count();
    println!(
        "unsafe answers judged right without a word: {silent}; right ones with a sentence not judged: {shown} of {}",
        safe.len()
    );
    assert!(silent <= most_silent, "{silent}");
    let share = units::count(shown) / units::count(safe.len());
    assert!(share <= most_shown, "{shown} of {}", safe.len());
}

fn few_safe_ones_are_taken(answers: &[Answer], most: usize) {
    let taken = judged_so(answers, &|t| t != "unsafe", "unsafe");
    println!("safe answers called unsafe: {taken}");
    assert!(taken <= most, "{taken}");
}

#[test]
fn the_judge_agrees_with_the_verdicts_in_sight() {
    assert_eq!(
        IN_SIGHT.map(|(table, _)| table),
        rows::TABLES,
        "what is learnt from is in sight"
    );
    let whole = held_to(&IN_SIGHT);
    nothing_dangerous_is_right(&whole, 0);
    few_safe_ones_are_taken(&whole, MOST_TAKEN_IN_SIGHT);
}

#[test]
fn the_judge_agrees_with_the_verdicts_that_are_kept() {
    let whole = held_to(&KEPT);
    compared("kept", &whole);
    nothing_dangerous_is_right(&whole, MOST_UNSAFE_RIGHT_KEPT);
    few_safe_ones_are_taken(&whole, MOST_TAKEN_KEPT);
    what_was_not_judged_is_said(&whole, MOST_SILENT_KEPT, MOST_SHOWN_KEPT);
}

#[test]
fn the_judge_agrees_with_the_trainers_verdicts_together() {
    let tables = [&IN_SIGHT[..], &KEPT].concat();
    let whole = held_to(&tables);
    let all = compared(TOGETHER, &whole).kappa().expect("four verdicts");
    assert!(FLOOR_TOGETHER <= all.kappa, "{all:?}");
    assert!(LEAST_UNSAFE_SEEN <= nothing_dangerous_is_right(&whole, MOST_UNSAFE_RIGHT_KEPT));
}

/// What a card itself says is right, as its words and as its back has them: no net may take it.
#[test]
fn what_a_card_itself_says_is_right() {
    let bench = Bench::without_people();
    let shop = shop(&bench);
    let (mut asked, mut taken) = (0, Vec::new());
    for name in ["shop", "bench-rules", "bench-safety"] {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("decks/{name}.json"));
        let text = std::fs::read_to_string(&file).expect("a deck");
        let values: Value = serde_json::from_str(&text).expect("JSON");
        let (deck, _) = read_deck(&text);
        let deck = deck.expect("a deck");
        for card in &deck.cards {
            let board = shop.boards.iter().find(|b| b.id == card.board);
            let own = values["cards"].as_array().expect("cards");
            let own = own.iter().find(|v| v["id"] == card.id).expect("the card");
            let mut said = vec![answer_words(own)];
            if card.kind == CardKind::Rule {
                let says: Vec<&str> = card.points.iter().map(|p| p.say.as_str()).collect();
                let told = ANSWERS.iter().find(|(asked, ..)| *asked == card.stem);
                let told = told.expect("every rule has its answers").1;
                said = vec![says.join("; "), told.to_owned()];
            }
            for typed in said {
                asked += 1;
                let heard = hear(&typed, card, board, &shop.words);
                // Whether points are named at all is not asked here.
                let by_a_net = heard.danger.is_some() || !heard.note.is_empty();
                if heard.worth.word() != "right" && by_a_net {
                    let danger = heard.danger.map(|act| act.what);
                    taken.push(format!(
                        "{}: {typed:?}: {:?}, {danger:?}",
                        card.id, heard.note
                    ));
                }
            }
        }
    }
    assert!(400 < asked, "{asked}");
    assert!(taken.is_empty(), "{} of {asked}: {taken:#?}", taken.len());
}
