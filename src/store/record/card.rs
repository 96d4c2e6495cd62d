//! Decks and cards. The same deck always gives the same bytes: fields in one order, one card a line.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::card::KeyPoint;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Side;
use crate::domain::card::Standing;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::domain::card::Suspect;
use crate::domain::card::Test;
use crate::domain::card::TestResult;
use crate::domain::job::Finding;
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
    let cards: Vec<String> = deck.cards.iter().map(card_line).collect();
    let cards: Vec<&str> = cards.iter().map(String::as_str).collect();
    deck_text(&deck.deck, &deck.name, &deck.from, &cards)
}

/// Returns a card as the one line of its deck file.
pub fn card_line(card: &Card) -> String {
    Value::Object(write_card(card)).to_string()
}

/// Returns the text of a deck file whose cards are these lines.
pub fn deck_text(deck: &str, name: &str, from: &str, cards: &[&str]) -> String {
    let (mut text, end) = deck_ends(deck, name, from, cards.len());
    // A big deck is many megabytes: it is put together once, without growing.
    let lines: usize = cards.iter().map(|line| line.len() + 2).sum();
    text.reserve_exact(lines + end.len());
    for (at, line) in cards.iter().enumerate() {
        if 0 < at {
            text.push_str(",\n");
        }
        text.push_str(line);
    }
    text.push_str(end);
    text
}

/// Returns what stands in a deck file before and after so many cards, which stand a line each with a
/// comma between.
pub fn deck_ends(deck: &str, name: &str, from: &str, cards: usize) -> (String, &'static str) {
    let head = json!({"v": VERSION, "deck": deck, "name": name, "from": from});
    let head = head.to_string();
    let head = head.strip_suffix('}').unwrap_or(&head);
    if cards == 0 {
        (format!("{head},\"cards\":["), "]}\n")
    } else {
        (format!("{head},\"cards\":[\n"), "\n]}\n")
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
    let cards = read_cards(&mut from, todo);
    let deck = deck.map(|deck| Deck {
        name: name.unwrap_or_else(|| deck.clone()),
        deck,
        from: mark,
        cards,
    });
    (deck, problems)
}

/// Reads the list `cards`; those that cannot be used are named and left out.
pub(crate) fn read_cards(from: &mut Reader<'_, '_>, todo: &str) -> Vec<Card> {
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
    cards
}

fn write_card(card: &Card) -> Map<String, Value> {
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| {
        out.insert(key.to_owned(), value);
    };
    put("id", json!(card.id));
    put("kind", json!(card.kind.word()));
    let ask = if card.asks_circuit() {
        "circuit-and-fix"
    } else {
        "answer"
    };
    put("ask", json!(ask));
    put("board", json!(card.board));
    put("revs", json!(card.revs));
    put("family", json!(card.family));
    put("contributing", json!(card.contributing));
    put("complaint", json!(card.complaint));
    if !card.stem.is_empty() {
        put("stem", json!(card.stem));
    }
    if !card.points.is_empty() {
        put("points", card.points.iter().map(write_point).collect());
    }
    if !card.source.is_empty() {
        put("source", json!(card.source));
    }
    if !card.sides.is_empty() {
        put("sides", card.sides.iter().map(write_side).collect());
    }
    if card.given {
        put("given", json!(true));
    }
    if !card.tests.is_empty() {
        put("tests", card.tests.iter().map(write_test).collect());
    }
    if !card.suspects.is_empty() {
        put(
            "suspects",
            card.suspects.iter().map(write_suspect).collect(),
        );
    }
    if !card.boards.is_empty() {
        put("boards", card.boards.iter().map(write_standing).collect());
    }
    if !card.sums.is_empty() {
        put("sums", json!(card.sums));
    }
    put("front", write_findings(&card.front));
    put("held_back", write_findings(&card.held_back));
    put("deciding", json!(card.deciding));
    put("answers", card.answers.iter().map(write_answer).collect());
    if !card.also.is_empty() {
        put("also", json!(card.also));
    }
    // A bench rule is not counted from jobs.
    if card.kind != CardKind::Rule {
        let share = &card.share;
        put(
            "share",
            json!({"k": share.k, "n": share.n, "proved": share.proved, "low": share.low, "high": share.high}),
        );
        put("others", card.others.iter().map(write_other).collect());
        put("bounced", json!(card.bounced));
        put("support", json!(card.support.word()));
    }
    put("jobs", json!(card.jobs));
    put("last", json!(card.last.map(|day| day.to_string())));
    put("why", json!(card.why));
    put("cautions", json!(card.cautions));
    put("warn", json!(card.warn));
    put("signed", json!(card.signed));
    out
}

fn write_findings(list: &[Finding]) -> Value {
    list.iter()
        .map(|f| Value::Object(finding::write(f, false)))
        .collect()
}

fn write_point(point: &KeyPoint) -> Value {
    let mut out = json!({"say": point.say, "words": point.words});
    if !point.needed {
        out["needed"] = json!(false);
    }
    out
}

fn write_side(side: &Side) -> Value {
    json!({
        "family": side.family, "complaint": side.complaint,
        "front": write_findings(&side.front), "separates": write_findings(&side.separates),
        "answer": write_answer(&side.answer), "jobs": side.jobs,
    })
}

fn write_suspect(suspect: &Suspect) -> Value {
    json!({"what": suspect.what, "chance": suspect.chance, "n": suspect.n})
}

fn write_test(test: &Test) -> Value {
    let results: Value = test
        .results
        .iter()
        .map(|r| {
            let points_to: Value = r.points_to.iter().map(write_suspect).collect();
            json!({"say": r.say, "chance": r.chance, "points_to": points_to})
        })
        .collect();
    json!({
        "say": test.say, "words": test.words, "minutes": test.minutes, "bits": test.bits,
        "right": test.right, "results": results,
    })
}

fn write_standing(standing: &Standing) -> Value {
    json!({"board": standing.board, "k": standing.k, "n": standing.n})
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

pub(crate) fn read_card(from: &mut Reader<'_, '_>) -> Option<Card> {
    let todo = "build the deck again";
    let id = from.need_text("id", todo);
    let kind = need(from, "kind", &CardKind::ALL, CardKind::word);
    let evidence = if kind == Some(CardKind::Rule) {
        Some(Evidence::of_a_rule())
    } else {
        Evidence::read(from)
    };
    // A bench rule may hold for every board and every circuit; a pattern over several boards names
    // them elsewhere.
    let (board, family) = if kind == Some(CardKind::Next) && from.get("boards").is_some() {
        (
            Some(from.text("board").unwrap_or_default()),
            from.need_text("family", todo),
        )
    } else if kind == Some(CardKind::Rule) {
        let text = |from: &mut Reader<'_, '_>, key| Some(from.text(key).unwrap_or_default());
        (text(from, "board"), text(from, "family"))
    } else {
        (
            from.need_text("board", todo),
            from.need_text("family", todo),
        )
    };
    let front = from.each("front", finding::read_shown);
    let deciding = numbers(from, "deciding", front.len());
    let evidence = evidence?;
    Some(Card {
        revs: from.texts("revs"),
        contributing: from.texts("contributing"),
        complaint: from.texts("complaint"),
        stem: from.text("stem").unwrap_or_default(),
        points: from.each("points", read_point),
        source: from.text("source").unwrap_or_default(),
        sides: from.each("sides", read_side),
        given: from.flag("given").unwrap_or(false),
        tests: from.each("tests", read_test),
        suspects: from.each("suspects", read_suspect),
        boards: from.each("boards", read_standing),
        sums: from.texts("sums"),
        held_back: from.each("held_back", finding::read_shown),
        answers: from.each("answers", read_answer),
        also: from.texts("also"),
        others: evidence.others,
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
        share: evidence.share,
        bounced: evidence.bounced,
        support: evidence.support,
    })
}

/// What the archive says for a card.
struct Evidence {
    share: Share,
    others: Vec<OtherFix>,
    bounced: usize,
    support: Support,
}

impl Evidence {
    /// Returns what stands in for evidence on a rule, which rests on its source instead.
    fn of_a_rule() -> Self {
        Self {
            share: Share::counted(0, 0, 0),
            others: Vec::new(),
            bounced: 0,
            support: Support::Supported,
        }
    }

    fn read(from: &mut Reader<'_, '_>) -> Option<Self> {
        let support = need(from, "support", &Support::ALL, Support::word);
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
            from.missing("share", "build the deck again");
        }
        let bounced = size(from, "bounced");
        let others = from.each("others", |from| {
            Some(OtherFix {
                steps: read_steps(from)?,
                k: size(from, "k")?,
            })
        });
        Some(Self {
            share: share?,
            others,
            bounced: bounced?,
            support: support?,
        })
    }
}

fn read_point(from: &mut Reader<'_, '_>) -> Option<KeyPoint> {
    let todo = "write lists of words, such as [[\"look\",\"inspect\"],[\"before\"]]";
    let say = from.need_text("say", "write the point as a person reads it");
    let words = read_words(from, todo);
    Some(KeyPoint {
        say: say?,
        words,
        needed: from.flag("needed").unwrap_or(true),
    })
}

/// Reads groups of words by which something is known; there must be some.
fn read_words(from: &mut Reader<'_, '_>, todo: &str) -> Vec<Vec<String>> {
    let mut words = Vec::new();
    for (i, group) in from.list("words").iter().enumerate() {
        let group: Option<Vec<String>> = group.as_array().and_then(|group| {
            let texts = group.iter().map(|word| word.as_str().map(str::to_owned));
            texts.collect()
        });
        match group.filter(|group| !group.is_empty()) {
            Some(group) => words.push(group),
            None => from.damage(&format!("words[{i}]"), "no list of words", todo),
        }
    }
    if words.is_empty() {
        from.damage("words", "no words to know the point by", todo);
    }
    words
}

fn read_test(from: &mut Reader<'_, '_>) -> Option<Test> {
    let todo = "build the deck again";
    let say = from.need_text("say", todo);
    Some(Test {
        words: read_words(from, todo),
        minutes: from.number("minutes")?,
        bits: from.number("bits")?,
        right: from.flag("right").unwrap_or(false),
        results: from.each("results", |from| {
            let say = from.need_text("say", todo);
            Some(TestResult {
                chance: from.number("chance")?,
                points_to: from.each("points_to", read_suspect),
                say: say?,
            })
        }),
        say: say?,
    })
}

fn read_suspect(from: &mut Reader<'_, '_>) -> Option<Suspect> {
    let what = from.need_text("what", "build the deck again");
    Some(Suspect {
        chance: from.number("chance")?,
        n: size(from, "n")?,
        what: what?,
    })
}

fn read_standing(from: &mut Reader<'_, '_>) -> Option<Standing> {
    let board = from.need_text("board", "build the deck again");
    Some(Standing {
        k: size(from, "k")?,
        n: size(from, "n")?,
        board: board?,
    })
}

fn read_side(from: &mut Reader<'_, '_>) -> Option<Side> {
    let family = from.need_text("family", "build the deck again");
    let answer = from.object("answer", read_answer);
    if from.get("answer").is_none() {
        from.missing("answer", "build the deck again");
    }
    Some(Side {
        complaint: from.texts("complaint"),
        front: from.each("front", finding::read_shown),
        separates: from.each("separates", finding::read_shown),
        jobs: from.texts("jobs"),
        family: family?,
        answer: answer?,
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
            ..Card::blank(CardKind::Fix)
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

    /// Returns a deck with one card of each kind that has fields of its own.
    fn other_kinds() -> Deck {
        let mut deck = deck();
        let mut contrast = deck.cards[0].clone();
        contrast.kind = CardKind::Contrast;
        "Which one measurement tells them apart?".clone_into(&mut contrast.stem);
        let side = Side {
            family: "standby".to_owned(),
            complaint: vec!["no-power".to_owned()],
            front: contrast.front.clone(),
            separates: contrast.front.clone(),
            answer: contrast.answers[1].clone(),
            jobs: vec!["W-0412".to_owned()],
        };
        contrast.sides = vec![side.clone(), side];
        let mut rule = deck.cards[1].clone();
        rule.kind = CardKind::Rule;
        rule.board.clear();
        rule.family.clear();
        "What comes before cleaning?".clone_into(&mut rule.stem);
        "common practice".clone_into(&mut rule.source);
        let point = |say: &str, needed| KeyPoint {
            say: say.to_owned(),
            words: vec![vec!["look".to_owned(), "inspect".to_owned()]],
            needed,
        };
        rule.points = vec![point("look first", true), point("take photos", false)];
        let mut next = deck.cards[0].clone();
        next.kind = CardKind::Next;
        next.board.clear();
        next.given = true;
        let suspect = |chance| Suspect {
            what: "Replace U31".to_owned(),
            chance,
            n: 3,
        };
        next.suspects = vec![suspect(0.75), suspect(0.1 + 0.2)];
        next.tests = vec![Test {
            say: "3V3_SB to ground".to_owned(),
            words: vec![vec!["3V3_SB".to_owned()], vec!["ohms".to_owned()]],
            minutes: 1.5,
            bits: 0.358_480_63,
            right: true,
            results: vec![TestResult {
                say: "low".to_owned(),
                chance: 0.57,
                points_to: vec![suspect(0.789)],
            }],
        }];
        next.boards = vec![Standing {
            board: "petrel-p4".to_owned(),
            k: 3,
            n: 4,
        }];
        next.sums = vec!["going on costs more than the board".to_owned()];
        let evidence = Evidence::of_a_rule();
        (rule.share, rule.others) = (evidence.share, evidence.others);
        (rule.bounced, rule.support) = (evidence.bounced, evidence.support);
        deck.cards = vec![contrast, rule, next];
        deck
    }

    #[test]
    fn cards_of_the_other_kinds_come_back_as_they_were() {
        let text = write_deck(&other_kinds());
        let (read, problems) = read_deck(&text);
        assert_eq!(problems, []);
        assert_eq!(read.as_ref(), Some(&other_kinds()));
        assert_eq!(write_deck(&read.unwrap()), text);
        let rule = text.lines().nth(2).expect("the second card");
        assert!(
            !rule.contains("share") && !rule.contains("support"),
            "{rule}"
        );
    }

    #[test]
    fn a_key_point_without_words_is_named() {
        for bad in ["[]", "[[]]", "[7]", "\"look\""] {
            let text = write_deck(&other_kinds()).replacen(r#"[["look","inspect"]]"#, bad, 1);
            let (read, problems) = read_deck(&text);
            assert_eq!(read.unwrap().cards.len(), 2, "{bad}");
            let field = &problems[0].field;
            assert!(field.starts_with("cards[1].points[0].words"), "{field}");
        }
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
