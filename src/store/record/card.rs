//! Decks and cards. The same deck always gives the same bytes: fields in one order, one card a line.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::store::fault::Weight;
use crate::store::record::finding;
use crate::store::record::finding::put_text;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// Returns the text of a deck file.
pub fn write_deck(deck: &Deck) -> String {
    let head = json!({"v": VERSION, "deck": deck.deck, "name": deck.name, "from": deck.from});
    let head = head.to_string();
    let head = head.strip_suffix('}').unwrap_or(&head);
    let cards: Vec<String> = deck
        .cards
        .iter()
        .map(|card| Value::Object(write_card(card)).to_string())
        .collect();
    if cards.is_empty() {
        format!("{head},\"cards\":[]}}\n")
    } else {
        format!("{head},\"cards\":[\n{}\n]}}\n", cards.join(",\n"))
    }
}

/// Returns a card as its deck file holds it.
pub fn to_value(card: &Card) -> Value {
    Value::Object(write_card(card))
}

/// Reads a deck file; cards that cannot be used are named and left out.
pub fn read_deck(text: &str) -> (Option<Deck>, Vec<Problem>) {
    let mut problems = Vec::new();
    let map = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => {
            let todo = "build the deck again";
            return (None, vec![Problem::damage("", problem.why, todo)]);
        }
    };
    let mut from = Reader::new(&map, &mut problems);
    if from.count("v").is_some_and(|v| v > VERSION) {
        let why = "the deck has a newer format; it is read but not rewritten";
        from.warn("v", why, "update this program");
    }
    let todo = "build the deck again";
    let deck = from.need_text("deck", todo);
    let name = from.text("name");
    let mark = from.text("from").unwrap_or_default();
    let mut cards = Vec::new();
    for (i, value) in from.list("cards").iter().enumerate() {
        let Value::Object(map) = value else {
            from.damage(&format!("cards[{i}]"), "no card", todo);
            continue;
        };
        let mut inside = Vec::new();
        let card = read_card(&mut Reader::new(map, &mut inside));
        let whole = inside.iter().all(|p| p.weight == Weight::Warning);
        for problem in inside {
            let field = format!("cards[{i}].{}", problem.field);
            from.damage(&field, problem.why, problem.todo);
        }
        cards.extend(card.filter(|_| whole));
    }
    let deck = deck.map(|deck| Deck {
        name: name.unwrap_or_else(|| deck.clone()),
        deck,
        from: mark,
        cards,
    });
    (deck, problems)
}

fn write_card(card: &Card) -> Map<String, Value> {
    let findings = |list: &[crate::domain::job::Finding]| -> Value {
        list.iter()
            .map(|f| Value::Object(finding::write(f, false)))
            .collect()
    };
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| {
        out.insert(key.to_owned(), value);
    };
    put("id", json!(card.id));
    put("kind", json!(card.kind.word()));
    if card.kind == CardKind::Fix {
        put("ask", json!("circuit-and-fix"));
    }
    put("board", json!(card.board));
    put("revs", json!(card.revs));
    put("family", json!(card.family));
    put("contributing", json!(card.contributing));
    put("complaint", json!(card.complaint));
    put("front", findings(&card.front));
    put("held_back", findings(&card.held_back));
    put("deciding", json!(card.deciding));
    put("answers", card.answers.iter().map(write_answer).collect());
    let share = &card.share;
    put(
        "share",
        json!({"k": share.k, "n": share.n, "proved": share.proved, "low": share.low, "high": share.high}),
    );
    put("others", card.others.iter().map(write_other).collect());
    put("bounced", json!(card.bounced));
    put("support", json!(card.support.word()));
    put("jobs", json!(card.jobs));
    put("last", json!(card.last.map(|day| day.to_string())));
    put("why", json!(card.why));
    put("cautions", json!(card.cautions));
    put("warn", json!(card.warn));
    put("signed", json!(card.signed));
    out
}

fn write_step(step: &Step) -> Map<String, Value> {
    let mut out = Map::new();
    out.insert("act".to_owned(), json!(step.act));
    out.insert("part".to_owned(), json!(step.part));
    put_text(&mut out, "name", step.name.as_ref());
    out
}

/// One step is written flat, several as a list.
fn write_steps(steps: &[Step]) -> Map<String, Value> {
    if let [step] = steps {
        return write_step(step);
    }
    let list: Value = steps.iter().map(|s| Value::Object(write_step(s))).collect();
    Map::from_iter([("steps".to_owned(), list)])
}

pub(crate) fn write_answer(answer: &Answer) -> Value {
    let mut out = write_steps(&answer.steps);
    if !answer.also.is_empty() {
        out.insert("also".to_owned(), json!(answer.also));
    }
    Value::Object(out)
}

fn write_other(other: &OtherFix) -> Value {
    let mut out = write_steps(&other.steps);
    out.insert("k".to_owned(), json!(other.k));
    Value::Object(out)
}

fn read_card(from: &mut Reader<'_, '_>) -> Option<Card> {
    let todo = "build the deck again";
    let id = from.need_text("id", todo);
    let kind = need(from, "kind", &CardKind::ALL, CardKind::word);
    let support = need(from, "support", &Support::ALL, Support::word);
    let board = from.need_text("board", todo);
    let family = from.need_text("family", todo);
    let front = from.each("front", finding::read_shown);
    let deciding = numbers(from, "deciding", front.len());
    let share = from.object("share", |from| {
        Some(Share {
            k: size(from, "k")?,
            n: size(from, "n")?,
            proved: size(from, "proved")?,
            low: from.number("low")?,
            high: from.number("high")?,
        })
    });
    if from.get("share").is_none() {
        from.missing("share", todo);
    }
    let bounced = size(from, "bounced");
    Some(Card {
        revs: from.texts("revs"),
        contributing: from.texts("contributing"),
        complaint: from.texts("complaint"),
        held_back: from.each("held_back", finding::read_shown),
        answers: from.each("answers", read_answer),
        others: from.each("others", |from| {
            Some(OtherFix {
                steps: read_steps(from)?,
                k: size(from, "k")?,
            })
        }),
        jobs: from.texts("jobs"),
        last: from.date("last"),
        why: from.text("why").unwrap_or_default(),
        cautions: from.texts("cautions"),
        warn: from.texts("warn"),
        signed: from.text("signed"),
        id: id?,
        kind: kind?,
        board: board?,
        family: family?,
        front,
        deciding,
        share: share?,
        bounced: bounced?,
        support: support?,
    })
}

fn need<T: Copy>(
    from: &mut Reader<'_, '_>,
    key: &str,
    all: &[T],
    word: impl Fn(T) -> &'static str,
) -> Option<T> {
    if from.get(key).is_none() {
        from.missing(key, "build the deck again");
    }
    from.meaning(key, all, word)
}

fn size(from: &mut Reader<'_, '_>, key: &str) -> Option<usize> {
    if from.get(key).is_none() {
        from.missing(key, "build the deck again");
    }
    usize::try_from(from.count(key)?).ok()
}

fn numbers(from: &mut Reader<'_, '_>, key: &str, below: usize) -> Vec<usize> {
    let mut found = Vec::new();
    for (i, value) in from.list(key).iter().enumerate() {
        let number = value.as_u64().and_then(|n| usize::try_from(n).ok());
        match number.filter(|n| *n < below) {
            Some(number) => found.push(number),
            None => from.damage(
                &format!("{key}[{i}]"),
                format!("{value} is no place in front"),
                "build the deck again",
            ),
        }
    }
    found
}

pub(crate) fn read_answer(from: &mut Reader<'_, '_>) -> Option<Answer> {
    Some(Answer {
        steps: read_steps(from)?,
        also: from.texts("also"),
    })
}

fn read_steps(from: &mut Reader<'_, '_>) -> Option<Vec<Step>> {
    if from.get("steps").is_some() {
        return Some(from.each("steps", read_step));
    }
    Some(vec![read_step(from)?])
}

fn read_step(from: &mut Reader<'_, '_>) -> Option<Step> {
    let act = from.need_text("act", "say what is done, for example replace");
    if from.get("part").is_none() {
        from.missing("part", "give the designator or the function");
    }
    let part = from.text("part");
    Some(Step {
        act: act?,
        part: part?,
        name: from.text("name"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn deck() -> Deck {
        let front = finding::tests::finding(
            r#"{"kind":"rail","where":"3V3_SB","state":"standby","expect_v":3.3,"got_v":0.41,"verdict":"low"}"#,
        );
        let step = |act: &str, part: &str| Step {
            act: act.to_owned(),
            part: part.to_owned(),
            name: Some("standby switcher".to_owned()),
        };
        let card = Card {
            id: "00c0ffee00c0ffee".to_owned(),
            kind: CardKind::Fix,
            board: "petrel-p4".to_owned(),
            revs: vec!["B".to_owned()],
            family: "standby".to_owned(),
            contributing: vec!["interconnect".to_owned()],
            complaint: vec!["no-power".to_owned()],
            front: vec![front.clone()],
            held_back: vec![front],
            deciding: vec![0],
            answers: vec![
                Answer {
                    steps: vec![step("replace", "U31")],
                    also: vec!["swap U31".to_owned()],
                },
                Answer {
                    steps: vec![step("clean", "J2"), step("replace", "U31")],
                    also: Vec::new(),
                },
            ],
            share: Share {
                k: 7,
                n: 9,
                proved: 6,
                low: 0.1 + 0.2,
                high: 0.937,
            },
            others: vec![OtherFix {
                steps: vec![step("replace", "L12")],
                k: 2,
            }],
            bounced: 1,
            support: Support::Supported,
            jobs: vec!["W-0412".to_owned()],
            last: chrono::NaiveDate::from_ymd_opt(2026, 3, 14),
            why: "the rail is loaded down".to_owned(),
            cautions: vec!["cell-first".to_owned()],
            warn: Vec::new(),
            signed: None,
        };
        Deck {
            deck: "petrel-p4".to_owned(),
            name: "Petrel".to_owned(),
            from: "1f0c22aa".to_owned(),
            cards: vec![card.clone(), card],
        }
    }

    #[test]
    fn a_deck_comes_back_as_it_was_and_gives_the_same_bytes() {
        let text = write_deck(&deck());
        let (read, problems) = read_deck(&text);
        assert_eq!(problems, []);
        assert_eq!(read.as_ref(), Some(&deck()));
        assert_eq!(write_deck(&read.unwrap()), text);
        assert_eq!(text.lines().count(), 4, "one card a line");
        assert!(text.contains(
            r#""answers":[{"act":"replace","part":"U31","name":"standby switcher","also":["swap U31"]},{"steps":[{"act":"clean""#
        ));
    }

    #[test]
    fn one_bad_card_costs_only_itself() {
        let text = write_deck(&deck()).replacen("\"k\":7", "\"k\":\"seven\"", 1);
        let (read, problems) = read_deck(&text);
        assert_eq!(read.unwrap().cards.len(), 1);
        let fields: Vec<&str> = problems.iter().map(|p| p.field.as_str()).collect();
        assert_eq!(fields, ["cards[0].share.k"]);
    }

    #[test]
    fn a_place_in_front_that_is_not_there_is_named() {
        let text = write_deck(&deck()).replacen("\"deciding\":[0]", "\"deciding\":[1]", 1);
        assert_eq!(read_deck(&text).1[0].field, "cards[0].deciding[0]");
    }
}
