//! The examples and laws of `history.rs`.

use super::*;
use crate::domain::samples;
use crate::domain::samples::Facts;
use crate::domain::samples::day;
use proptest::prelude::*;

fn journal(person: &str, bench: &str, entries: Vec<Entry>) -> JournalLines {
    JournalLines {
        person: person.to_owned(),
        bench: bench.to_owned(),
        entries,
    }
}

fn answer(seq: u64, on: i64, card: &Card, grade: Grade) -> Entry {
    samples::entry(
        seq,
        on,
        Event::Answer(Box::new(samples::answered(card, grade))),
    )
}

fn history(cards: &[Card], entries: Vec<Entry>) -> History {
    let (lines, _) = lines_of("mk", &[journal("mk", "b7", entries)]);
    History::fold(&lines, &Facts::of(cards))
}

#[test]
fn a_wrong_first_guess_stays_out_of_memory() {
    let card = samples::card("a", "standby", "U31");
    let cards = [card.clone()];
    let guessed = history(&cards, vec![answer(1, 0, &card, Grade::Missed)]);
    assert_eq!(guessed.cards["a"].memory, None);
    assert!(guessed.cards["a"].guessed_wrong);
    let later = history(
        &cards,
        vec![
            answer(1, 0, &card, Grade::Missed),
            answer(2, 3, &card, Grade::Named),
        ],
    );
    let fresh = history(&cards, vec![answer(1, 3, &card, Grade::Named)]);
    assert_eq!(later.cards["a"].memory, fresh.cards["a"].memory);
    assert_eq!(later.cards["a"].reviews, 1);
}

#[test]
fn a_right_answer_in_a_brief_does_not_count_and_a_miss_does() {
    let card = samples::card("a", "standby", "U31");
    let brief = |seq, on, grade| {
        let answered = Answered {
            mode: Mode::Brief,
            ..samples::answered(&card, grade)
        };
        samples::entry(seq, on, Event::Answer(Box::new(answered)))
    };
    let cards = [card.clone()];
    let start = answer(1, 0, &card, Grade::Named);
    let base = history(&cards, vec![start.clone()]);
    let right = history(&cards, vec![start.clone(), brief(2, 5, Grade::OnSight)]);
    assert_eq!(right.cards["a"].memory, base.cards["a"].memory);
    let wrong = history(&cards, vec![start, brief(2, 5, Grade::Missed)]);
    assert!(
        wrong.cards["a"].memory.expect("reviewed").stability
            < base.cards["a"].memory.expect("reviewed").stability
    );
}

#[test]
fn an_undo_takes_back_and_an_undone_undo_does_not() {
    let card = samples::card("a", "standby", "U31");
    let undo = |seq, of: &str| samples::entry(seq, 0, Event::Undo { of: of.to_owned() });
    let cards = [card.clone()];
    let first = answer(1, 0, &card, Grade::Named);
    assert!(
        history(&cards, vec![first.clone(), undo(2, "mk-b7-1")])
            .cards
            .is_empty()
    );
    let kept = history(&cards, vec![first, undo(2, "mk-b7-1"), undo(3, "mk-b7-2")]);
    assert_eq!(kept.cards["a"].reviews, 1);
}

#[test]
fn a_moved_sitting_counts_for_the_person_it_was_moved_to() {
    let card = samples::card("a", "standby", "U31");
    let moved = Event::Move {
        sitting: "b7-1".to_owned(),
        to: "tl".to_owned(),
    };
    let all = [
        journal(
            "mk",
            "b7",
            vec![
                answer(1, 0, &card, Grade::Named),
                samples::entry(2, 0, moved),
            ],
        ),
        journal("tl", "b7", Vec::new()),
    ];
    let facts = Facts::of(&[card]);
    let of = |person| History::fold(&lines_of(person, &all).0, &facts);
    assert!(of("mk").cards.is_empty());
    assert_eq!(of("tl").cards["a"].reviews, 1);
}

#[test]
fn a_corrected_card_starts_again_and_is_named() {
    let old = samples::card("a", "standby", "U31");
    let now = samples::card("a", "standby", "U9");
    let history = history(
        std::slice::from_ref(&now),
        vec![answer(1, 0, &old, Grade::Named)],
    );
    assert_eq!(history.cards["a"].memory, None);
    assert!(history.cards["a"].corrected);
    assert_eq!(history.cards["a"].met_on, Some(day(0)));
}

#[test]
fn a_synonym_is_no_correction() {
    let card = samples::card("a", "standby", "U31");
    let mut reworded = card.clone();
    reworded.answers[0]
        .also
        .push("swap the standby chip".to_owned());
    let history = history(&[reworded], vec![answer(1, 0, &card, Grade::Named)]);
    assert!(!history.cards["a"].corrected);
    assert_eq!(history.cards["a"].reviews, 1);
}

#[test]
fn a_stamp_from_the_future_takes_its_predecessors_time_and_is_named() {
    let card = samples::card("a", "standby", "U31");
    let mut ahead = answer(2, 1, &card, Grade::Named);
    ahead.at += chrono::TimeDelta::days(400);
    ahead.day = day(401);
    let all = [journal(
        "mk",
        "b7",
        vec![
            answer(1, 0, &card, Grade::Named),
            ahead,
            answer(3, 2, &card, Grade::Named),
        ],
    )];
    let (lines, warnings) = lines_of("mk", &all);
    assert_eq!(
        lines.iter().map(|l| l.day).collect::<Vec<_>>(),
        [day(0), day(0), day(2)]
    );
    assert_eq!(warnings.iter().map(|w| w.seq).collect::<Vec<_>>(), [2]);
}

#[test]
fn one_stamp_from_the_past_does_not_drag_the_others_back() {
    let card = samples::card("a", "standby", "U31");
    let mut reset = answer(4, 3, &card, Grade::Named);
    reset.at = samples::at(-2000);
    reset.day = day(-2000);
    let mut entries: Vec<Entry> = (1..=3)
        .map(|n| answer(n, i64::try_from(n).unwrap(), &card, Grade::Named))
        .collect();
    entries.push(reset);
    entries.push(answer(5, 6, &card, Grade::Named));
    let (lines, warnings) = lines_of("mk", &[journal("mk", "b7", entries)]);
    let days: Vec<_> = lines.iter().map(|l| l.day).collect();
    assert_eq!(days, [day(1), day(2), day(3), day(3), day(6)]);
    assert_eq!(warnings.len(), 1);
}

#[test]
fn a_card_left_lying_for_hours_is_not_a_persons_pace() {
    let card = samples::card("a", "standby", "U31");
    let mut answered = samples::answered(&card, Grade::Named);
    answered.ms.reveal = u64::MAX;
    let lines = vec![samples::entry(1, 0, Event::Answer(Box::new(answered)))];
    let pace = history(std::slice::from_ref(&card), lines).pace;
    // Ten minutes, blended with four cards of half a minute.
    assert!((pace.seconds() - 144.0).abs() < 1e-9, "{}", pace.seconds());
}

#[test]
fn time_enters_a_pace_only_after_twenty_right_answers() {
    let card = samples::card("a", "standby", "U31");
    let lines = |n: u64| (1..=n).map(|s| answer(s, 0, &card, Grade::Named)).collect();
    assert_eq!(
        history(std::slice::from_ref(&card), lines(19))
            .pace
            .median_right(),
        None
    );
    assert_eq!(
        history(std::slice::from_ref(&card), lines(20))
            .pace
            .median_right(),
        Some(7000)
    );
}

proptest! {
    /// Journals of several benches add up to the same state in whatever order they arrive, and
    /// folding in two pieces equals folding at once.
    #[test]
    fn the_order_of_arrival_does_not_matter(
        steps in prop::collection::vec((0..3usize, 0..4usize, 1..5u8, -2..40i64), 1..40),
        turn in 0..3usize,
    ) {
        let cards: Vec<Card> =
            ["a", "b", "c", "d"].iter().map(|id| samples::card(id, "standby", "U31")).collect();
        let facts = Facts::of(&cards);
        let mut journals: Vec<JournalLines> =
            ["b1", "b2", "b3"].iter().map(|b| journal("mk", b, Vec::new())).collect();
        for (bench, card, grade, on) in steps {
            let lines = &mut journals[bench];
            let seq = u64::try_from(lines.entries.len()).unwrap() + 1;
            let grade = Grade::from_number(grade).unwrap();
            let mut entry = answer(seq, on, &cards[card], grade);
            entry.bench.clone_from(&lines.bench);
            entry.id = format!("mk-{}-{seq}", lines.bench);
            lines.entries.push(entry);
        }
        let (lines, _) = lines_of("mk", &journals);
        let once = History::fold(&lines, &facts);
        journals.rotate_left(turn);
        prop_assert_eq!(&History::fold(&lines_of("mk", &journals).0, &facts), &once);
        let cut = lines.len() / 2;
        let mut pieces = History::fold(&lines[..cut], &facts);
        for line in &lines[cut..] {
            pieces.apply(&line.entry.event, line.day, &facts);
        }
        prop_assert_eq!(&pieces, &once);
    }
}

#[test]
fn a_clock_wrong_over_many_lines_is_one_warning() {
    let at = DateTime::<Utc>::UNIX_EPOCH;
    let warn = |bench: &str, seq| ClockWarning::of("mk", bench, seq, at, Some(at));
    let warnings = [
        warn("b7", 4),
        warn("b7", 5),
        warn("b7", 6),
        warn("b7", 9),
        warn("c1", 10),
    ];
    let numbers: Vec<String> = runs(&warnings).into_iter().map(|(_, n)| n).collect();
    assert_eq!(numbers, ["4 to 6, the first", "9", "10"]);
}
