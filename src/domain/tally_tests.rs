//! Laws of the count so far: adding is counting anew, or is refused.

use proptest::prelude::*;

use chrono::Days;

use crate::domain::card::Card;
use crate::domain::gaps::spots::Lines;
use crate::domain::history::JournalLines;
use crate::domain::review::Answered;
use crate::domain::review::Entry;
use crate::domain::review::Grade;
use crate::domain::samples;
use crate::domain::samples::day;
use crate::domain::tally::*;
use crate::domain::tape::tests::Merged;
use crate::domain::tape::tests::Step;
use crate::domain::tape::tests::journals;
use crate::domain::tape::tests::steps;
use crate::domain::tape::tests::tape;

fn cards() -> Vec<Card> {
    let card = |id: &&str| samples::card(id, "standby", "U31");
    ["a", "b", "c", "d"].iter().map(card).collect()
}

fn facts(cards: &[Card]) -> Merged {
    Merged(samples::Facts::of(&cards[..3]))
}

/// Mostly days that go on; now and then one that jumps.
fn going_on() -> impl Strategy<Value = Vec<Step>> {
    (steps(), prop::collection::vec(0..24_u8, 60)).prop_map(|(mut steps, jumps)| {
        for (n, (step, jump)) in steps.iter_mut().zip(jumps).enumerate() {
            if jump > 0 {
                step.4 = i64::try_from(n / 3).expect("small");
            }
        }
        steps
    })
}

/// The lines of each journal behind those of `before`.
fn tails(before: &[JournalLines], all: &[JournalLines]) -> Vec<Tape> {
    let rest = |(before, all): (&JournalLines, &JournalLines)| {
        let entries = all.entries[before.entries.len()..].to_vec();
        tape(&JournalLines {
            entries,
            ..all.clone()
        })
    };
    before.iter().zip(all).map(rest).collect()
}

fn count(person: &str, all: &[JournalLines], facts: &dyn CardFacts) -> (Tally, Vec<Spot>) {
    let tapes: Vec<Tape> = all.iter().map(tape).collect();
    let tapes: Vec<&Tape> = tapes.iter().collect();
    Tally::of(person, &tapes, facts, day(-30), true, 2)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1_000, ..ProptestConfig::default() })]

    /// Lines added to a count give what counting all of them gives, unless adding is refused.
    #[test]
    fn adding_is_counting_anew_or_is_refused(steps in going_on(), cut in 0..60_usize) {
        let cards = cards();
        let facts = facts(&cards);
        let before = journals(&steps[..cut.min(steps.len())], &cards);
        let all = journals(&steps, &cards);
        let tails = tails(&before, &all);
        let tails: Vec<&Tape> = tails.iter().collect();
        for person in ["mk", "tl", "m", "nobody"] {
            let (tally, _) = count(person, &before, &facts);
            if let Some(added) = tally.add(&tails, &facts) {
                prop_assert_eq!(added, count(person, &all, &facts).0);
            }
        }
    }

    /// What is kept to be shown is what the lines show.
    #[test]
    fn what_is_kept_is_what_the_lines_show(steps in going_on(), days in 0..60_u32, to in -20..60_i64) {
        let cards = cards();
        let facts = facts(&cards);
        let all = journals(&steps, &cards);
        let tapes: Vec<Tape> = all.iter().map(tape).collect();
        let tapes: Vec<&Tape> = tapes.iter().collect();
        let window = Window::last(days, day(to));
        for person in ["mk", "tl"] {
            let (tally, places) = count(person, &all, &facts);
            let lines = Lines { places: &places, tapes: &tapes };
            let family_of = |id: &str| (id != "b").then(|| "standby".to_owned());
            let shown = spots::answers(lines, &facts, &family_of, window, false);
            if tally.seen.covers(window) {
                prop_assert_eq!(tally.seen.answers(&tally.history, &family_of, window), shown);
                let on = |d: NaiveDate| {
                    let answer = |s: &&Spot| matches!(tapes[s.tape].lines[s.line].what, What::Answer(_));
                    places.iter().filter(answer).filter(|s| s.day == d).count()
                };
                prop_assert_eq!(tally.seen.on(day(to)), on(day(to)));
            } else {
                prop_assert!(window.from.is_none_or(|from| from < day(-30)));
            }
        }
    }
}

fn journal(person: &str, bench: &str, from: u64, days: &[i64]) -> Tape {
    let entries = (from..).zip(days).map(|(seq, on)| {
        let answered = Answered {
            sitting: format!("s{on}"),
            ..samples::answered(&cards()[0], Grade::Named)
        };
        Entry {
            id: format!("{person}-{bench}-{seq}"),
            bench: bench.to_owned(),
            ..samples::entry(seq, *on, Event::Answer(Box::new(answered)))
        }
    });
    tape(&JournalLines {
        person: person.to_owned(),
        bench: bench.to_owned(),
        entries: entries.collect(),
    })
}

fn undo(mut tail: Tape, seq: u64, of: &str) -> Tape {
    let event = Event::Undo { of: of.to_owned() };
    let mut entry = samples::entry(seq, 12, event);
    entry.id = format!("{}{seq}", tail.prefix());
    tail.push(entry);
    tail
}

/// How many answers of mk are counted after the tail, behind ten on one bench and two on another.
#[track_caller]
fn after(tail: &Tape) -> Option<usize> {
    let cards = cards();
    let facts = facts(&cards);
    let (one, two) = (
        journal("mk", "b1", 1, &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9]),
        journal("mk", "b2", 1, &[0, 10]),
    );
    let (tally, _) = Tally::of("mk", &[&one, &two], &facts, day(-30), true, 2);
    let added = tally.add(&[tail], &facts)?;
    Some(added.seen.days.values().sum())
}

#[test]
fn a_day_like_any_other_is_added_and_what_reaches_back_is_refused() {
    assert_eq!(after(&journal("mk", "b1", 11, &[11, 11, 12])), Some(15));
    assert_eq!(after(&journal("mk", "b3", 1, &[11, 12])), Some(14));
    // Another person's lines are nobody's here, whenever they were.
    assert_eq!(after(&journal("tl", "b1", 1, &[3, 4])), Some(12));
    // Before a line of the other bench.
    assert_eq!(after(&journal("mk", "b1", 11, &[9])), None);
    // Years on; and years back.
    assert_eq!(after(&journal("mk", "b2", 3, &[4000])), Some(13));
    assert_eq!(after(&journal("mk", "b2", 3, &[-4000])), None);
    // A number again.
    assert_eq!(after(&journal("mk", "b1", 10, &[11])), None);
}

#[test]
fn an_undo_of_what_was_added_with_it_is_added_and_one_of_what_was_counted_is_not() {
    let tail = || journal("mk", "b1", 11, &[11, 11, 12]);
    assert_eq!(after(&undo(tail(), 14, "mk-b1-13")), Some(14));
    assert_eq!(after(&undo(tail(), 14, "mk-b1-10")), None);
    assert_eq!(after(&undo(tail(), 14, "mk-b2-2")), None);
    // Of a line that is nowhere yet: it never counts, whenever it comes.
    let cards = cards();
    let facts = facts(&cards);
    let (one, loose) = (
        journal("mk", "b1", 1, &[0]),
        undo(journal("mk", "b2", 1, &[0]), 2, "mk-b1-2"),
    );
    let (tally, _) = Tally::of("mk", &[&one, &loose], &facts, day(-30), true, 2);
    assert_eq!(tally.loose.len(), 1);
    assert!(
        tally
            .add(&[&journal("mk", "b1", 2, &[13])], &facts)
            .is_none()
    );
}

#[test]
fn answers_older_than_what_is_kept_are_not_covered() {
    let seen = Seen::new(day(-30));
    let to = |on: i64| Window::last(10, day(on));
    assert!(seen.covers(to(0)) && seen.covers(to(-21)));
    assert!(!seen.covers(to(-22)) && !seen.covers(Window::last(0, day(0))));
    assert_eq!(day(0) - Days::new(9), to(0).from.expect("a window of days"));
}
