//! What of a card that a person edited in its file no bench could show, and what nobody could answer:
//! texts and lists beyond all measure, characters that no screen shows, chances that are none.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Suspect;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::Finding;
use crate::domain::lint::Lint;
use crate::domain::text::clean;

/// The most characters of one text.
const TEXT_CHARS: usize = 4000;
/// The most entries of one list that is shown; those that a build makes have a dozen.
const ENTRIES: usize = 100;
/// What stands for a character that no screen shows.
const UNSHOWN: char = '\u{fffd}';

/// Returns what of `card` cannot be shown or answered.
pub fn bounds(card: &Card) -> Vec<Lint> {
    let mut found = Vec::new();
    let mut add = |field, why: String, todo| found.push(Lint { field, why, todo });
    for (field, text) in texts(card) {
        if TEXT_CHARS < text.chars().count() {
            let why = format!("a text of more than {TEXT_CHARS} characters");
            add(field, why, "say it in a line or two");
        }
        if clean(text).contains(UNSHOWN) && !text.contains(UNSHOWN) {
            let why = "a text holds characters that no screen shows".to_owned();
            add(field, why, "type it anew, in plain letters");
        }
    }
    for (field, entries) in lists(card) {
        if ENTRIES < entries {
            let why = format!("{entries} entries, and nobody reads more than {ENTRIES}");
            add(field, why, "leave in what decides");
        }
    }
    for word in &card.complaint {
        if !COMPLAINTS.contains(&word.as_str()) {
            let why = format!("no complaint is called {word:?}");
            add("complaint", why, "use a word of the job records");
        }
    }
    unanswerable(card, &mut add);
    found
}

/// What nobody could answer, and counts and chances that cannot be.
fn unanswerable(card: &Card, add: &mut impl FnMut(&'static str, String, &'static str)) {
    if card.kind == CardKind::Fix && card.front.is_empty() {
        let why = "the front shows nothing".to_owned();
        add("front", why, "show what was seen or measured");
    }
    if !card.tests.is_empty() && card.tests.iter().all(|test| !test.right) {
        let why = "no measurement is right".to_owned();
        add("tests", why, "build the deck again");
    }
    let of_results = card.tests.iter().flat_map(|test| &test.results);
    let told = of_results.clone().flat_map(|result| &result.points_to);
    let suspects = card
        .suspects
        .iter()
        .map(|s: &Suspect| ("suspects", s.chance));
    let results = of_results.map(|result| ("tests", result.chance));
    let told = told.map(|suspect| ("tests", suspect.chance));
    for (field, chance) in suspects.chain(results).chain(told) {
        if !(0.0..=1.0).contains(&chance) {
            let why = format!("{chance} is no chance");
            add(field, why, "a chance lies between 0 and 1");
        }
    }
    let n = card.share.n;
    if let Some(other) = card.others.iter().find(|other| 0 < n && n < other.k) {
        let why = format!("another fix in {} of {n} jobs cannot be", other.k);
        add(
            "others",
            why,
            "a card's counts come from its jobs; change those",
        );
    }
}

/// The texts of a card, by field.
fn texts<'c>(card: &'c Card) -> Vec<(&'static str, &'c str)> {
    let mut texts: Vec<(&'static str, &'c str)> = vec![
        ("stem", &card.stem),
        ("why", &card.why),
        ("source", &card.source),
    ];
    let mut of = |field, all: &mut dyn Iterator<Item = &'c String>| {
        texts.extend(all.map(|text| (field, text.as_str())));
    };
    of("complaint", &mut card.complaint.iter());
    of("revs", &mut card.revs.iter());
    of("also", &mut card.also.iter());
    of("sums", &mut card.sums.iter());
    of("points", &mut card.points.iter().map(|point| &point.say));
    of("suspects", &mut card.suspects.iter().map(|s| &s.what));
    let results = card.tests.iter().flat_map(|test| &test.results);
    let results = results.map(|result| &result.say);
    of(
        "tests",
        &mut card.tests.iter().map(|test| &test.say).chain(results),
    );
    of("front", &mut card.front.iter().flat_map(of_finding));
    of("held_back", &mut card.held_back.iter().flat_map(of_finding));
    of("answers", &mut card.answers.iter().flat_map(of_answer));
    for side in &card.sides {
        let shown = side.front.iter().chain(&side.separates);
        let said = of_answer(&side.answer).chain(&side.complaint);
        of("sides", &mut shown.flat_map(of_finding).chain(said));
    }
    texts
}

/// The words of a finding that a card shows; what was typed first (`raw`) is kept as it was.
fn of_finding(finding: &Finding) -> impl Iterator<Item = &String> {
    std::iter::once(&finding.place).chain(&finding.code)
}

fn of_answer(answer: &Answer) -> impl Iterator<Item = &String> {
    let steps = answer.steps.iter();
    let parts = steps.flat_map(|step| std::iter::once(&step.part).chain(&step.name));
    parts.chain(&answer.also)
}

/// How long the lists of a card are, by field.
fn lists(card: &Card) -> Vec<(&'static str, usize)> {
    let mut lists = vec![
        ("front", card.front.len()),
        ("held_back", card.held_back.len()),
        ("answers", card.answers.len()),
        ("also", card.also.len()),
        ("points", card.points.len()),
        ("tests", card.tests.len()),
        ("suspects", card.suspects.len()),
        ("others", card.others.len()),
        ("sums", card.sums.len()),
        ("warn", card.warn.len()),
    ];
    let of_answers = card
        .answers
        .iter()
        .flat_map(|a| [a.also.len(), a.steps.len()]);
    lists.extend(of_answers.map(|entries| ("answers", entries)));
    let of_sides = card
        .sides
        .iter()
        .flat_map(|s| [s.front.len(), s.separates.len()]);
    lists.extend(of_sides.map(|entries| ("sides", entries)));
    lists
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::OtherFix;
    use crate::domain::generate::sample;

    fn fields(card: &Card) -> Vec<&'static str> {
        bounds(card).into_iter().map(|lint| lint.field).collect()
    }

    #[test]
    fn what_no_screen_shows_is_named_by_its_field() {
        type Spoil = fn(&mut Card);
        let faults: [(&str, Spoil); 8] = [
            ("stem", |c| c.stem = "look \u{1b}[31m".to_owned()),
            ("answers", |c| c.answers[0].steps[0].part.push('\u{7}')),
            ("front", |c| c.front[0].place = "x".repeat(5000)),
            ("front", |c| c.front = vec![c.front[0].clone(); 101]),
            ("answers", |c| {
                c.answers[0].also = vec!["it".to_owned(); 101];
            }),
            ("complaint", |c| c.complaint = vec!["sad".to_owned()]),
            ("front", |c| c.front.clear()),
            ("others", |c| {
                let steps = c.answers[0].steps.clone();
                c.others = vec![OtherFix { steps, k: 50 }];
            }),
        ];
        assert_eq!(fields(&sample::card_for_u31()), [""; 0]);
        for (field, spoil) in faults {
            let mut card = sample::card_for_u31();
            spoil(&mut card);
            assert_eq!(fields(&card), [field], "{card:?}");
        }
    }

    #[test]
    fn a_chance_lies_between_nothing_and_all() {
        let mut card = sample::card_for_u31();
        for chance in [-0.1, 1.1, f64::NAN] {
            card.suspects = vec![Suspect {
                what: "Replace U31".to_owned(),
                chance,
                n: 3,
            }];
            assert_eq!(fields(&card), ["suspects"], "{chance}");
        }
    }
}
