//! A second look at a finished front: does it give its answer away?
//!
//! Written apart from [`crate::domain::generate::coded::mask`], on purpose: it scans the finished texts for
//! the answer's words instead of comparing tokens, so that a fault in one is caught by the other.

use crate::domain::card::Card;
use crate::domain::circuit::Family;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::When;

/// Returns what on the front gives the answer away; none when nothing does.
pub fn leak(card: &Card, board: Option<&Board>) -> Option<String> {
    let needles = needles(card, board);
    card.front.iter().find_map(|finding| {
        if finding.when == When::AfterAction {
            return Some("a finding taken after the repair".to_owned());
        }
        if finding.raw.is_some() {
            return Some("words as entered".to_owned());
        }
        let looks = matches!(finding.kind, FindingKind::Visual | FindingKind::Heat);
        if looks && !finding.place.is_empty() {
            return Some(format!("the place of what was seen, {}", finding.place));
        }
        let texts = texts(finding);
        needles
            .iter()
            .find(|needle| texts.iter().any(|text| holds(text, needle)))
            .map(|needle| format!("{needle} on the front"))
    })
}

/// Returns what on the sides of a contrast card gives one of their answers away.
pub fn leak_of_sides(card: &Card, board: Option<&Board>) -> Option<String> {
    let answers: Vec<_> = card.sides.iter().map(|s| s.answer.clone()).collect();
    let asked: Vec<_> = card.sides.iter().flat_map(|s| &s.separates).collect();
    card.sides.iter().find_map(|side| {
        let shown = side.front.iter().find(|f| asked.contains(f));
        if let Some(shown) = shown.filter(|_| !card.given) {
            return Some(format!("{} on the front is what is asked for", shown.place));
        }
        card.sides.iter().find_map(|other| {
            let faced = Card {
                family: other.family.clone(),
                front: side.shown(card.given),
                answers: answers.clone(),
                ..card.clone()
            };
            leak(&faced, board)
        })
    })
}

/// Returns what in `text`, words that stand with the question, gives the answer of `card` away.
///
/// The circuit's own name does so only where the circuit is asked for.
pub fn leak_of_text(text: &str, card: &Card, board: Option<&Board>) -> Option<String> {
    let faced = Card {
        family: if card.asks_circuit() {
            card.family.clone()
        } else {
            String::new()
        },
        answers: card
            .answers
            .iter()
            .chain(card.sides.iter().map(|side| &side.answer))
            .cloned()
            .collect(),
        ..card.clone()
    };
    let mut needles = needles(&faced, board).into_iter();
    let found = needles.find(|needle| holds(text, needle))?;
    Some(format!("{found} in the question"))
}

/// Returns what on a front without a board gives its circuit away, or means something on one board
/// alone; none when nothing does.
pub fn leak_across(card: &Card, family: &Family) -> Option<String> {
    let own = format!("{} {}", family.id, family.name);
    let own: Vec<&str> = own
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !mask::is_generic(w))
        .collect();
    card.front.iter().find_map(|finding| {
        if finding.when == When::AfterAction || finding.raw.is_some() {
            return Some("what was taken after the repair, or words as entered".to_owned());
        }
        if finding.got.is_some() || finding.low.is_some() || finding.good.is_some() {
            return Some("a number of one board".to_owned());
        }
        let texts = texts(finding);
        let named = |word: &&str| {
            let alone = mask::is_designator(word) || band::voltage_token(word).is_some();
            alone || word.contains('_')
        };
        let words = texts
            .iter()
            .flat_map(|t| t.split([' ', '.', ',', '/', '-']));
        if let Some(name) = words.into_iter().find(named) {
            return Some(format!("{name} is of one board"));
        }
        own.iter()
            .find(|word| texts.iter().any(|text| holds(text, word)))
            .map(|word| format!("{word} on the front"))
    })
}

/// Returns the texts of a finding that are free words; verdicts and states may stand.
fn texts(finding: &Finding) -> Vec<&str> {
    let code = finding.code.as_deref();
    let free = code.filter(|c| !finding.kind.codes().contains(c));
    let free = free.filter(|c| *c != band::NOTED && !band::HEAT.contains(c));
    let mut texts = vec![finding.place.as_str()];
    texts.extend(free);
    texts.extend(finding.extent.as_deref());
    texts.extend(finding.polarity.as_deref());
    texts
}

fn needles(card: &Card, board: Option<&Board>) -> Vec<String> {
    let mut needles = vec![card.family.replace(['-', '_'], " ")];
    for step in card.answers.iter().flat_map(|a| &a.steps) {
        needles.push(step.part.clone());
        let mut words = vec![step.part.as_str()];
        words.extend(step.name.as_deref());
        if let Some(part) = board.and_then(|b| b.parts.get(&step.part)) {
            words.push(&part.name);
        }
        for word in words
            .into_iter()
            .flat_map(|w| w.split(|c: char| !c.is_alphanumeric()))
        {
            if mask::is_designator(word) || !mask::is_generic(word) {
                needles.push(word.to_owned());
            }
        }
    }
    needles.retain(|n| !n.trim().is_empty());
    needles
}

/// Tells whether `needle` stands in `text` with no letter or digit beside it.
fn holds(text: &str, needle: &str) -> bool {
    let text = text.to_lowercase().replace(['-', '_'], " ");
    let needle = needle.trim().to_lowercase().replace(['-', '_'], " ");
    text.match_indices(&needle).any(|(at, found)| {
        let before = text[..at].chars().next_back();
        let after = text[at + found.len()..].chars().next();
        !before.is_some_and(char::is_alphanumeric) && !after.is_some_and(char::is_alphanumeric)
    })
}

/// Returns the card, or why it may not be one: its front would give its answer away.
pub fn unless_it_leaks(card: Card, board: Option<&Board>) -> Result<Card, String> {
    match leak(&card, board) {
        Some(what) => Err(format!("its front would give the answer away: {what}")),
        None => Ok(card),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[test]
    fn a_word_is_found_whole_only() {
        assert!(holds("pin of U31_VIN", "u31"));
        assert!(holds("page_setup", "page setup"));
        assert!(!holds("U311", "U31"));
        assert!(!holds("XU31", "U31"));
        assert!(!holds("U13", "U31"));
        assert!(holds("U311, U31", "U31"), "a later place counts as well");
    }
    fn card() -> Card {
        let jobs = [sample::job("1", "U31", 1), sample::job("2", "L12", 2)];
        let built = sample::built(&jobs);
        let own = |c: &Card| c.answers[0].steps[0].part == "U31";
        built.cards.into_iter().find(own).expect("a card for U31")
    }

    #[test]
    fn a_front_that_was_tampered_with_is_caught() {
        let good = card();
        let board = sample::board();
        assert_eq!(leak(&good, Some(&board)), None);
        let mut late = sample::rail("3V3_SB", "in-band");
        late.when = When::AfterAction;
        let mut raw = sample::rail("3V3_SB", "low");
        raw.raw = Some("stby low".to_owned());
        let mut reach = sample::sign("", "residue");
        reach.extent = Some("under U31".to_owned());
        let mut words = Finding::new(FindingKind::Heat, "");
        words.code = Some("hottest: switcher".to_owned());
        for bad in [
            sample::rail("U31", "low"),
            sample::rail("u31.4", "low"),
            sample::rail("3V3_STANDBY", "low"),
            sample::rail("switcher output", "low"),
            sample::sign("J7", "residue"),
            sample::test("press", "U31 reacts"),
            late,
            raw,
            reach,
            words,
        ] {
            let mut card = good.clone();
            card.front = vec![bad.clone()];
            assert!(leak(&card, Some(&board)).is_some(), "{bad:?}");
        }
        for fine in [
            sample::rail("U13", "low"),
            sample::rail("L12", "low"),
            sample::test("press", "starts"),
        ] {
            let mut card = good.clone();
            card.front = vec![fine.clone()];
            assert_eq!(leak(&card, Some(&board)), None, "{fine:?}");
        }
    }
}
