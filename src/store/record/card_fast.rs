//! Decks read in the very layout in which this program writes them: one card a line, fields in order.
//!
//! A card whose line differs (another kind, an escape in a text) is read by the tolerant reader alone;
//! where that finds anything wrong, or the file as a whole is laid out otherwise, the whole deck is left
//! to [`card::read_deck`], which says what is wrong and where. So the deck and its problems are always
//! those of the tolerant reader; laws at the end say so.

use chrono::NaiveDate;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;
use crate::domain::job::STATES;
use crate::domain::job::When;
use crate::store::record::card;
use crate::store::record::finding;
use crate::store::record::problem::Problem;
use crate::store::record::reader;
use crate::store::record::reader::Reader;
use crate::store::record::rest::Rest;
use crate::store::record::strict;
use crate::store::side_by_side;

/// Reads a deck file; cards that cannot be used are named and left out.
pub(crate) fn read_deck(text: &str) -> (Option<Deck>, Vec<Problem>) {
    match as_written(text) {
        Some(deck) => (Some(deck), Vec::new()),
        None => card::read_deck(text),
    }
}

/// Returns the deck where the file is laid out as written and nothing is wrong with it.
fn as_written(text: &str) -> Option<Deck> {
    let (head, rest) = text.split_once('\n')?;
    let head = head.strip_suffix(",\"cards\":[")?;
    let lines = rest.strip_suffix("\n]}\n")?;
    // The head is a deck without cards.
    let (deck, problems) = card::read_deck(&format!("{head},\"cards\":[]}}\n"));
    if !problems.is_empty() {
        return None;
    }
    let pieces = side_by_side::map(side_by_side::cut(lines.as_bytes()), |piece| {
        let last = piece.last() != Some(&b'\n');
        cards_of(std::str::from_utf8(piece).ok()?, last)
    });
    let mut cards = Vec::new();
    for piece in pieces {
        cards.append(&mut piece?);
    }
    Some(Deck { cards, ..deck? })
}

/// Reads one card a line, each but the `last` with a comma behind it.
fn cards_of(text: &str, last: bool) -> Option<Vec<Card>> {
    let mut cards = Vec::new();
    let mut lines = text.split('\n').peekable();
    while let Some(line) = lines.next() {
        if lines.peek().is_some() {
            cards.push(card_of(line.strip_suffix(',')?)?);
        } else if last {
            cards.push(card_of(line)?);
        } else if !line.is_empty() {
            return None;
        }
    }
    Some(cards)
}

/// Reads one card; none where anything at all is wrong with it.
fn card_of(line: &str) -> Option<Card> {
    let mut rest = Rest::new(line);
    if let Some(card) = fix_card(&mut rest)
        && rest.is_empty()
    {
        return Some(card);
    }
    let map = strict::object(line).ok()?;
    let mut problems = Vec::new();
    let card = card::read_card(&mut Reader::new(&map, &mut problems))?;
    problems.is_empty().then_some(card)
}

/// Reads a card that rests on jobs and asks nothing but what its kind asks.
fn fix_card(rest: &mut Rest<'_>) -> Option<Card> {
    rest.take("{\"id\":\"")?;
    let id = needed(rest)?;
    rest.take(",\"kind\":\"")?;
    let kind = CardKind::from_word(rest.text()?).filter(|kind| *kind != CardKind::Rule)?;
    rest.take(",\"ask\":\"")?;
    rest.text()?;
    rest.take(",\"board\":\"")?;
    let board = needed(rest)?;
    let revs = texts(rest, ",\"revs\":[")?;
    rest.take(",\"family\":\"")?;
    let family = needed(rest)?;
    let contributing = texts(rest, ",\"contributing\":[")?;
    let complaint = texts(rest, ",\"complaint\":[")?;
    rest.take(",\"front\":[")?;
    let front = rest.list(shown)?;
    rest.take(",\"held_back\":[")?;
    let held_back = rest.list(shown)?;
    rest.take(",\"deciding\":[")?;
    let deciding = rest.list(count)?;
    if deciding.iter().any(|at| front.len() <= *at) {
        return None;
    }
    rest.take(",\"answers\":[")?;
    let answers = rest.list(answer)?;
    rest.take(",\"share\":{\"k\":")?;
    let k = count(rest)?;
    rest.take(",\"n\":")?;
    let n = count(rest)?;
    rest.take(",\"proved\":")?;
    let proved = count(rest)?;
    rest.take(",\"low\":")?;
    let low = rest.real().filter(|low| 0.0 <= *low)?;
    rest.take(",\"high\":")?;
    let high = rest.real().filter(|high| 0.0 <= *high)?;
    rest.take("},\"others\":[")?;
    let others = rest.list(other)?;
    rest.take(",\"bounced\":")?;
    let bounced = count(rest)?;
    rest.take(",\"support\":\"")?;
    let support = Support::from_word(rest.text()?)?;
    let jobs = texts(rest, ",\"jobs\":[")?;
    rest.take(",\"last\":")?;
    let last = if rest.take("null").is_some() {
        None
    } else {
        rest.take("\"")?;
        Some(date(rest.text()?)?)
    };
    rest.take(",\"why\":\"")?;
    let why = rest.text()?.to_owned();
    let cautions = texts(rest, ",\"cautions\":[")?;
    let warn = texts(rest, ",\"warn\":[")?;
    rest.take(",\"signed\":")?;
    let signed = if rest.take("null").is_some() {
        None
    } else {
        rest.take("\"")?;
        Some(rest.text()?.to_owned())
    };
    rest.take("}")?;
    Some(Card {
        id,
        kind,
        board,
        revs,
        family,
        contributing,
        complaint,
        stem: String::new(),
        points: Vec::new(),
        source: String::new(),
        sides: Vec::new(),
        given: false,
        tests: Vec::new(),
        suspects: Vec::new(),
        boards: Vec::new(),
        sums: Vec::new(),
        also: Vec::new(),
        front,
        held_back,
        deciding,
        answers,
        share: Share {
            k,
            n,
            proved,
            low,
            high,
        },
        others,
        bounced,
        support,
        jobs,
        last,
        why,
        cautions,
        warn,
        signed,
    })
}

/// A text that says something.
fn needed(rest: &mut Rest<'_>) -> Option<String> {
    let text = rest.text()?;
    (!text.trim().is_empty()).then(|| text.to_owned())
}

fn texts(rest: &mut Rest<'_>, key: &str) -> Option<Vec<String>> {
    rest.take(key)?;
    rest.list(|rest| {
        rest.take("\"")?;
        rest.text().map(str::to_owned)
    })
}

fn count(rest: &mut Rest<'_>) -> Option<usize> {
    rest.number()?.parse().ok()
}

/// A day written year-month-day with four, two and two digits.
pub(crate) fn date(text: &str) -> Option<NaiveDate> {
    let plain = text.len() == 10
        && text.bytes().enumerate().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    plain.then(|| text.parse().ok()).flatten()
}

fn step(rest: &mut Rest<'_>) -> Option<Step> {
    rest.take("\"act\":\"")?;
    let act = needed(rest)?;
    rest.take(",\"part\":\"")?;
    let part = rest.text()?.to_owned();
    let name = if rest.take(",\"name\":\"").is_some() {
        Some(rest.text()?.to_owned())
    } else {
        None
    };
    Some(Step { act, part, name })
}

/// One step is written flat, several as a list.
fn steps(rest: &mut Rest<'_>) -> Option<Vec<Step>> {
    rest.take("{")?;
    if rest.take("\"steps\":[").is_none() {
        return Some(vec![step(rest)?]);
    }
    rest.list(|rest| {
        rest.take("{")?;
        let step = step(rest)?;
        rest.take("}")?;
        Some(step)
    })
}

fn answer(rest: &mut Rest<'_>) -> Option<Answer> {
    let steps = steps(rest)?;
    let also = if rest.take("}").is_some() {
        Vec::new()
    } else {
        let also = texts(rest, ",\"also\":[")?;
        rest.take("}")?;
        also
    };
    Some(Answer { steps, also })
}

fn other(rest: &mut Rest<'_>) -> Option<OtherFix> {
    let steps = steps(rest)?;
    rest.take(",\"k\":")?;
    let k = count(rest)?;
    rest.take("}")?;
    Some(OtherFix { steps, k })
}

/// A value in a finding.
enum Told<'a> {
    Text(&'a str),
    Number(f64),
    Flag(bool),
}

/// A finding has no more fields than this.
const FIELDS: usize = 20;

/// Reads a finding; its fields may stand in any order, but each must be one that its kind has.
pub(crate) fn shown(rest: &mut Rest<'_>) -> Option<Finding> {
    rest.take("{\"kind\":\"")?;
    let kind = FindingKind::from_word(rest.text()?)?;
    let mut fields: [Option<(&str, Told<'_>)>; FIELDS] = [const { None }; FIELDS];
    let mut used = 0;
    while rest.take("}").is_none() {
        rest.take(",\"")?;
        let key = rest.text()?;
        rest.take(":")?;
        let told = if rest.take("\"").is_some() {
            Told::Text(rest.text()?)
        } else if let Some(flag) = rest.flag() {
            Told::Flag(flag)
        } else {
            Told::Number(rest.real()?)
        };
        let twice = fields[..used]
            .iter()
            .flatten()
            .any(|(other, _)| *other == key);
        if twice || used == FIELDS {
            return None;
        }
        fields[used] = Some((key, told));
        used += 1;
    }
    let fields = &fields[..used];
    let in_hertz =
        kind == FindingKind::Signal && fields.iter().flatten().any(|(key, _)| key.ends_with("_hz"));
    let name = finding::names(kind, in_hertz);
    let mut found = Finding::new(kind, "");
    found.in_hertz = in_hertz;
    for (key, told) in fields.iter().flatten() {
        let number = |told: &Told<'_>| match told {
            Told::Number(number) if reader::lowest(key).0 <= *number => Some(*number),
            _ => None,
        };
        match (*key, told) {
            ("", _) => return None,
            (key, Told::Text(text)) if key == name.place => (*text).clone_into(&mut found.place),
            ("state", Told::Text(text)) => found.state = word(text, &STATES),
            ("when", Told::Text(text)) => {
                found.when = When::ALL.into_iter().find(|when| when.word() == *text)?;
            }
            (key, Told::Text(text)) if key == name.code => found.code = word(text, kind.codes()),
            ("q", Told::Text(text)) => {
                let all = Qualifier::ALL.into_iter();
                found.qualifier = Some(all.into_iter().find(|q| q.word() == *text)?);
            }
            ("polarity", Told::Text(text))
                if matches!(kind, FindingKind::Resistance | FindingKind::Diode) =>
            {
                found.polarity = word(text, &finding::POLARITIES);
            }
            ("extent", Told::Text(text)) if kind == FindingKind::Visual => {
                found.extent = word(text, &finding::EXTENTS);
            }
            ("raw", Told::Text(text)) => found.raw = Some((*text).to_owned()),
            ("source_off", Told::Flag(flag)) if kind == FindingKind::Resistance => {
                found.source_off = Some(*flag);
            }
            (key, told) if key == name.got => found.got = Some(number(told)?),
            (key, told) if key == name.good => found.good = Some(number(told)?),
            (key, told) if key == name.low => found.low = Some(number(told)?),
            (key, told) if key == name.high => found.high = Some(number(told)?),
            ("supply_v", told) if kind == FindingKind::Current => {
                found.supply_v = Some(number(told)?);
            }
            ("limit_a", told) if kind == FindingKind::Current => {
                found.limit_a = Some(number(told)?);
            }
            ("period_s", told) if kind == FindingKind::Current => {
                found.period_s = Some(number(told)?);
            }
            ("collapsed_v", told) if kind == FindingKind::Current => {
                found.collapsed_v = Some(number(told)?);
            }
            // What no kind of finding has is nothing to any reader.
            (key, _) if !finding::FIELDS.contains(&key) && !key.ends_with("_hz") => {}
            _ => return None,
        }
    }
    let has = |key: &str| fields.iter().flatten().any(|(found, _)| *found == key);
    let known = |key: &str, value: &Option<String>| has(key) == value.is_some();
    let whole = known("state", &found.state)
        && known("polarity", &found.polarity)
        && known("extent", &found.extent)
        && (name.code.is_empty() || known(name.code, &found.code));
    (whole && in_order(&found, &name)).then_some(found)
}

/// Returns a word of `vocabulary`; an empty vocabulary takes any.
fn word(text: &str, vocabulary: &[&str]) -> Option<String> {
    (vocabulary.is_empty() || vocabulary.contains(&text)).then(|| text.to_owned())
}

/// Tells whether the tolerant reader would find nothing to say about a finding.
fn in_order(finding: &Finding, name: &finding::Names) -> bool {
    let range = finding.qualifier != Some(Qualifier::Range)
        || (finding.low.is_some() && finding.high.is_some());
    let rising = !matches!((finding.low, finding.high), (Some(low), Some(high)) if high < low);
    let code = match finding.kind {
        FindingKind::Visual => finding.code.is_some(),
        FindingKind::Other => finding
            .code
            .as_ref()
            .is_some_and(|code| !code.trim().is_empty()),
        _ => true,
    };
    let silent = finding.code.is_none()
        && finding.got.is_none()
        && finding.low.is_none()
        && finding.high.is_none()
        && finding.qualifier != Some(Qualifier::OverRange)
        && !name.got.is_empty();
    range && rising && code && !silent
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;
    use crate::store::record::laws;
    use proptest::prelude::*;
    use proptest::sample::Index;
    use proptest::sample::select;

    fn text() -> impl Strategy<Value = String> {
        prop_oneof![9 => "[A-Za-z0-9 _-]{1,9}", 1 => Just("4,7 µF \"X7R\"".to_owned())]
    }

    fn list() -> impl Strategy<Value = Vec<String>> {
        prop::collection::vec(text(), 0..3)
    }

    fn step() -> impl Strategy<Value = Step> {
        (text(), text(), prop::option::of(text())).prop_map(|(act, part, name)| Step {
            act,
            part,
            name,
        })
    }

    fn all_steps() -> impl Strategy<Value = Vec<Step>> {
        prop::collection::vec(step(), 1..3)
    }

    prop_compose! {
        fn card()(
            [id, board, family, why] in prop::array::uniform4(text()),
            [revs, contributing, complaint, jobs] in prop::array::uniform4(list()),
            [cautions, warn, also] in prop::array::uniform3(list()),
            (front, held_back) in (
                prop::collection::vec(laws::finding(), 1..4),
                prop::collection::vec(laws::finding(), 0..2),
            ),
            answers in prop::collection::vec(all_steps(), 1..3),
            others in prop::collection::vec((all_steps(), 0..9_usize), 0..3),
            (k, n, low) in (0..99_usize, 0..99_usize, 0.0..1.0_f64),
            (kind, support) in (
                select(vec![CardKind::Fix, CardKind::Fix, CardKind::Next, CardKind::Rule]),
                select(Support::ALL.to_vec()),
            ),
            (last, signed) in (prop::option::of(0..9_999_i64), prop::option::of(text())),
        ) -> Card {
            Card {
                kind, board, revs, family, contributing, complaint, held_back,
                deciding: vec![front.len() - 1],
                front,
                answers: answers
                    .into_iter()
                    .map(|steps| Answer { steps, also: also.clone() })
                    .collect(),
                share: Share { k, n, proved: k, low, high: 1.0 },
                others: others.into_iter().map(|(steps, k)| OtherFix { steps, k }).collect(),
                bounced: k, support, jobs, why, cautions, warn, signed,
                last: last.map(samples::day),
                ..samples::card(&id, "standby", "U31")
            }
        }
    }

    fn deck() -> impl Strategy<Value = Deck> {
        (text(), text(), prop::collection::vec(card(), 0..4)).prop_map(|(deck, name, cards)| Deck {
            deck,
            name,
            from: "9a76e7f48bda4e6d".to_owned(),
            cards,
        })
    }

    proptest! {
        /// Whatever is written comes back as the tolerant reader reads it.
        #[test]
        fn a_deck_is_read_as_the_tolerant_reader_reads_it(deck in deck()) {
            let text = card::write_deck(&deck);
            prop_assert_eq!(read_deck(&text), card::read_deck(&text));
        }

        /// A file that was changed by hand or by chance gives the same deck and the same problems.
        #[test]
        fn a_changed_deck_is_read_as_the_tolerant_reader_reads_it(
            deck in deck(),
            cuts in prop::collection::vec((any::<Index>(), 0..5_u8, 0..24_usize), 1..4),
        ) {
            let mut bytes = card::write_deck(&deck).into_bytes();
            for (at, how, n) in cuts {
                let at = at.index(bytes.len());
                let new = b"0123456789\"\\,:{}[e.-ntf\n"[n];
                laws::mangle(&mut bytes, (at, how, n), new);
                if bytes.is_empty() { return Ok(()) }
            }
            let Ok(text) = String::from_utf8(bytes) else { return Ok(()) };
            prop_assert_eq!(read_deck(&text), card::read_deck(&text));
        }

        /// A finding whose fields, words and numbers were mixed up is read alike or left alone.
        #[test]
        fn an_odd_finding_is_read_as_the_tolerant_reader_reads_it(
            kind in select(FindingKind::ALL.to_vec()),
            fields in prop::collection::vec((select(&KEYS[..]), select(&VALUES[..])), 0..6),
        ) {
            let mut text = format!("{{\"kind\":\"{}\"", kind.word());
            for (key, value) in fields {
                text.push_str(&[",\"", key, "\":", value].concat());
            }
            text.push('}');
            let mut rest = Rest::new(&text);
            if let Some(quick) = shown(&mut rest).filter(|_| rest.is_empty()) {
                let map = strict::object(&text).expect("an object");
                let mut problems = Vec::new();
                let slow = finding::read_shown(&mut Reader::new(&map, &mut problems));
                prop_assert_eq!((Some(quick), Vec::new()), (slow, problems), "{}", text);
            }
        }
    }

    const KEYS: [&str; 28] = [
        "resolution_a",
        "span_hz",
        "where",
        "name",
        "state",
        "when",
        "draw",
        "verdict",
        "sign",
        "value",
        "got_v",
        "got_a",
        "got_ohm",
        "got_hz",
        "got_c",
        "expect_v",
        "good_v",
        "good_hz",
        "low_v",
        "high_v",
        "low_a",
        "high_a",
        "supply_v",
        "limit_a",
        "polarity",
        "source_off",
        "extent",
        "q",
    ];
    const VALUES: [&str; 24] = [
        "\"U31\"",
        "\"standby\"",
        "\"low\"",
        "\"missing\"",
        "\"residue\"",
        "\"zero\"",
        "\"OL\"",
        "\"range\"",
        "\"<\"",
        "\"=\"",
        "\"after-action\"",
        "\"before-action\"",
        "\"part\"",
        "\"red-to-ground\"",
        "\"\"",
        "true",
        "null",
        "0",
        "-0",
        "-3",
        "1e3",
        "0.125",
        "18446744073709551616",
        "01",
    ];

    #[test]
    fn the_fixes_of_the_shipped_deck_need_no_tolerant_reader() {
        let text = include_str!("../../../decks/shop.json");
        let lines: Vec<&str> = text
            .lines()
            .filter(|line| line.contains("\"kind\":\"fix\""))
            .collect();
        assert!(lines.len() > 50, "{}", lines.len());
        for line in lines {
            let mut rest = Rest::new(line.trim_end_matches(','));
            assert!(fix_card(&mut rest).is_some() && rest.is_empty(), "{line}");
        }
        assert_eq!(read_deck(text), card::read_deck(text));
    }
}
