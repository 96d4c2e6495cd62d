use super::*;
use crate::domain::edit::Divide;
use crate::domain::review::TagReason;
use crate::domain::samples;
use chrono::TimeDelta;
use proptest::prelude::*;

fn entry(
    bench: &str,
    seq: u64,
    minute: i64,
    card: &str,
    after: Option<&[&str]>,
    edit: Edit,
) -> EditEntry {
    EditEntry {
        id: format!("edit-{bench}-{seq}"),
        bench: bench.to_owned(),
        seq,
        at: samples::at(0) + TimeDelta::minutes(minute),
        by: bench.to_uppercase(),
        card: card.to_owned(),
        after: after.map(|ids| ids.iter().map(|id| (*id).to_owned()).collect()),
        edit,
    }
}

fn why(text: &str) -> Edit {
    Edit::Why {
        why: text.to_owned(),
    }
}

fn tag() -> Edit {
    Edit::Tag {
        reason: TagReason::Doubtful,
        note: String::new(),
    }
}

fn note<T>(make: fn(String) -> T) -> T {
    make(String::new())
}

fn untag() -> Edit {
    note(|note| Edit::Untag { note })
}

fn sign(card: &Card) -> Edit {
    Edit::Sign {
        asked: card.asked_mark(),
        accepted: card.accepted_mark(),
    }
}

fn answers(part: &str) -> Edit {
    Edit::Answers {
        answers: samples::card("x", "standby", part).answers,
    }
}

fn deck() -> Vec<Deck> {
    let card = |id: &str, part: &str| Card {
        why: "as built".to_owned(),
        ..samples::card(id, "standby", part)
    };
    vec![Deck {
        deck: "shop".to_owned(),
        name: "Shop".to_owned(),
        from: String::new(),
        cards: vec![card("a", "U31"), card("b", "L12"), card("c", "Q1")],
    }]
}

fn laid(entries: Vec<EditEntry>) -> (Overlay, Vec<Card>) {
    let mut decks = deck();
    let mut overlay = Overlay::fold(entries, &|id| "abc".contains(id));
    overlay.apply(&mut decks);
    (overlay, decks.remove(0).cards)
}

fn heads(overlay: &Overlay, card: &str, field: Field) -> Vec<String> {
    let heads = overlay.heads(card, field).into_iter();
    heads.map(|entry| entry.id.clone()).collect()
}

#[test]
fn a_card_goes_into_none_of_another_kind_or_board_whatever_a_line_says() {
    let merge = |card: &str, into: &str| {
        let into = into.to_owned();
        entry("b1", 1, 0, card, None, Edit::Merge { into })
    };
    let fits = |from: &str, into: &str| (from == "c") == (into == "c");
    let is_card = |id: &str| "abc".contains(id);
    let wrong = Overlay::fold_fitting(vec![merge("a", "c")], &is_card, &fits);
    assert!(wrong.aliases().is_empty() && wrong.moves().is_empty());
    assert_eq!(wrong.unfit().len(), 1, "and it can be named");
    let right = Overlay::fold_fitting(vec![merge("a", "b")], &is_card, &fits);
    assert_eq!(right.aliases().len(), 1);
    assert!(right.unfit().is_empty());
}

#[test]
fn an_edit_that_saw_the_one_before_takes_its_place_whatever_the_clocks_say() {
    let (overlay, cards) = laid(vec![
        entry("b1", 1, 60, "a", Some(&[]), why("one")),
        // That bench's clock is an hour behind.
        entry("c1", 1, 5, "a", Some(&["edit-b1-1"]), why("two")),
    ]);
    assert_eq!(cards[0].why, "two");
    assert_eq!(overlay.apart("a"), []);
    assert_eq!(heads(&overlay, "a", Field::Why), ["edit-c1-1"]);
}

#[test]
fn two_values_typed_apart_both_wait_and_one_edit_that_saw_both_settles_them() {
    let base = entry("b1", 1, 0, "a", Some(&[]), why("base"));
    let one = entry("b1", 2, 10, "a", Some(&["edit-b1-1"]), why("one"));
    let two = entry("c1", 1, 20, "a", Some(&["edit-b1-1"]), why("two"));
    let (overlay, cards) = laid(vec![base.clone(), one.clone(), two.clone()]);
    assert_eq!(cards[0].why, "base", "as both had found it");
    let apart = overlay.apart("a");
    assert_eq!(apart.len(), 1);
    assert_eq!(apart[0].0, Field::Why);
    let ids: Vec<&str> = apart[0].1.iter().map(|e| e.id.as_str()).collect();
    assert_eq!(ids, ["edit-b1-2", "edit-c1-1"]);
    let settled = entry(
        "b1",
        3,
        30,
        "a",
        Some(&["edit-b1-2", "edit-c1-1"]),
        why("two"),
    );
    let (overlay, cards) = laid(vec![base, one, two, settled]);
    assert_eq!(
        (cards[0].why.as_str(), overlay.apart("a").len()),
        ("two", 0)
    );
}

#[test]
fn cautions_that_two_leads_added_apart_all_stand_until_one_is_taken() {
    let added = |id: &str| Edit::Cautions {
        cautions: vec!["lithium".to_owned(), id.to_owned()],
    };
    let one = entry("b1", 1, 10, "a", Some(&[]), added("esd"));
    let two = entry("c1", 1, 20, "a", Some(&[]), added("fume"));
    let (overlay, cards) = laid(vec![one.clone(), two.clone()]);
    assert_eq!(overlay.apart("a").len(), 1, "a lead is still asked");
    for id in ["esd", "fume"] {
        assert!(cards[0].cautions.contains(&id.to_owned()), "{id}");
    }
    let saw = ["edit-b1-1", "edit-c1-1"];
    let settled = entry("b1", 2, 30, "a", Some(&saw), added("fume"));
    let (overlay, cards) = laid(vec![one, two, settled]);
    assert!(overlay.apart("a").is_empty());
    let has = |id: &str| cards[0].cautions.contains(&id.to_owned());
    assert_eq!((has("esd"), has("fume")), (false, true));
}

#[test]
fn apart_without_anything_in_common_leaves_the_card_as_built() {
    let one = entry("b1", 1, 10, "a", Some(&[]), why("one"));
    let two = entry("c1", 1, 20, "a", Some(&[]), why("two"));
    let (overlay, cards) = laid(vec![one.clone(), two]);
    assert_eq!(
        (cards[0].why.as_str(), overlay.apart("a").len()),
        ("as built", 1)
    );
    let same = entry("c1", 1, 20, "a", Some(&[]), why("one"));
    let (overlay, cards) = laid(vec![one, same]);
    assert_eq!(
        (cards[0].why.as_str(), overlay.apart("a").len()),
        ("one", 0)
    );
}

#[test]
fn a_quarrel_settled_twice_apart_goes_back_to_before_the_quarrel() {
    let (overlay, cards) = laid(vec![
        entry("b1", 1, 0, "a", Some(&[]), why("base")),
        entry("b1", 2, 1, "a", Some(&["edit-b1-1"]), why("one")),
        entry("c1", 1, 2, "a", Some(&["edit-b1-1"]), why("two")),
        entry(
            "b1",
            3,
            3,
            "a",
            Some(&["edit-b1-2", "edit-c1-1"]),
            why("one"),
        ),
        entry(
            "c1",
            2,
            4,
            "a",
            Some(&["edit-b1-2", "edit-c1-1"]),
            why("two"),
        ),
    ]);
    assert_eq!(cards[0].why, "base");
    assert_eq!(heads(&overlay, "a", Field::Why), ["edit-b1-3", "edit-c1-2"]);
}

#[test]
fn edits_of_different_things_do_not_meet() {
    let (overlay, cards) = laid(vec![
        entry("b1", 1, 0, "a", Some(&[]), why("one")),
        entry(
            "c1",
            1,
            1,
            "a",
            Some(&[]),
            Edit::Stem {
                stem: "Which?".to_owned(),
            },
        ),
        entry("d1", 1, 2, "a", Some(&[]), tag()),
    ]);
    assert_eq!(
        (cards[0].why.as_str(), cards[0].stem.as_str()),
        ("one", "Which?")
    );
    assert!(overlay.out().contains("a") && overlay.apart("a").is_empty());
}

#[test]
fn a_signature_holds_until_what_it_signed_changes() {
    let card = deck().remove(0).cards.remove(0);
    let signed = entry("b1", 1, 0, "a", Some(&[]), sign(&card));
    let (overlay, cards) = laid(vec![signed.clone()]);
    assert_eq!(cards[0].signed.as_deref(), Some("B1"));
    assert_eq!(
        overlay.signature(&cards[0]),
        Signature::Signed("B1".to_owned())
    );
    let worded = entry("b1", 2, 1, "a", Some(&[]), why("other words"));
    let (_, cards) = laid(vec![signed.clone(), worded]);
    assert_eq!(
        cards[0].signed.as_deref(),
        Some("B1"),
        "words are not the answer"
    );
    let mended = entry("b1", 2, 1, "a", Some(&[]), answers("U32"));
    let (overlay, cards) = laid(vec![signed.clone(), mended]);
    assert_eq!(cards[0].signed, None);
    assert_eq!(
        overlay.signature(&cards[0]),
        Signature::Changed("B1".to_owned())
    );
    let old = Edit::Sign {
        asked: String::new(),
        accepted: String::new(),
    };
    let old = entry("b1", 1, 0, "a", None, old);
    let (_, cards) = laid(vec![old, entry("b1", 2, 1, "a", None, answers("U32"))]);
    assert_eq!(
        cards[0].signed.as_deref(),
        Some("B1"),
        "a line that says no mark"
    );
    let both = entry("c1", 1, 1, "a", Some(&[]), sign(&card));
    let (overlay, cards) = laid(vec![signed.clone(), both]);
    assert_eq!(cards[0].signed.as_deref(), Some("B1, C1"));
    assert_eq!(overlay.apart("a"), []);
    let wants = Edit::Evidence {
        note: "two more".to_owned(),
    };
    let (overlay, cards) = laid(vec![signed, entry("c1", 1, 1, "a", Some(&[]), wants)]);
    assert_eq!(
        (cards[0].signed.as_deref(), overlay.apart("a").len()),
        (None, 1)
    );
}

#[test]
fn what_the_builder_found_dangerous_stays_and_a_lead_adds() {
    let mut decks = deck();
    decks[0].cards[0].cautions = vec!["mains".to_owned()];
    let edit = Edit::Cautions {
        cautions: vec!["esd".to_owned()],
    };
    let mut overlay = Overlay::fold(vec![entry("b1", 1, 0, "a", None, edit)], &|_| true);
    overlay.apply(&mut decks);
    assert_eq!(decks[0].cards[0].cautions, ["mains", "esd"]);
    assert_eq!(
        overlay.built("a").map(|c| c.cautions.clone()),
        Some(vec!["mains".to_owned()])
    );
}

fn wordings(also: &[&str], accepted: &str) -> Edit {
    Edit::Wording {
        also: also.iter().map(|wording| (*wording).to_owned()).collect(),
        accepted: accepted.to_owned(),
    }
}

#[test]
fn wordings_that_two_leads_accept_apart_both_stand() {
    let first = entry("b1", 1, 0, "a", Some(&[]), wordings(&["x"], ""));
    let seen: Option<&[&str]> = Some(&["edit-b1-1"]);
    let (overlay, cards) = laid(vec![
        first.clone(),
        entry("b1", 2, 1, "a", seen, wordings(&["x", "y"], "")),
        entry("c1", 1, 2, "a", seen, wordings(&["x", "z"], "")),
    ]);
    assert_eq!(cards[0].wordings(), ["x", "y", "z"]);
    assert!(overlay.apart("a").is_empty(), "nothing is to be settled");
    // One more lead, who saw both, takes one away.
    let both: Option<&[&str]> = Some(&["edit-b1-2", "edit-c1-1"]);
    let (overlay, cards) = laid(vec![
        first.clone(),
        entry("b1", 2, 1, "a", seen, wordings(&["x", "y"], "")),
        entry("c1", 1, 2, "a", seen, wordings(&["x", "z"], "")),
        entry("d1", 1, 3, "a", both, wordings(&["y", "z"], "")),
    ]);
    assert_eq!(cards[0].wordings(), ["y", "z"]);
    assert!(overlay.apart("a").is_empty());
}

#[test]
fn a_wording_that_one_lead_took_away_and_another_kept_is_shown_to_a_lead() {
    let seen: Option<&[&str]> = Some(&["edit-b1-1"]);
    let (overlay, cards) = laid(vec![
        entry("b1", 1, 0, "a", Some(&[]), wordings(&["x"], "")),
        entry("b1", 2, 1, "a", seen, wordings(&["y"], "")),
        entry("c1", 1, 2, "a", seen, wordings(&["x", "z"], "")),
    ]);
    assert_eq!(overlay.apart("a").len(), 1);
    assert_eq!(cards[0].wordings(), ["x"], "as both had found it");
}

#[test]
fn wordings_of_points_hold_for_the_answer_they_were_accepted_for() {
    let mut decks = deck();
    decks[0].cards[0] = samples::rule("a");
    let mark = decks[0].cards[0].accepted_mark();
    let edits = vec![
        entry("b1", 1, 0, "a", Some(&[]), wordings(&["now"], &mark)),
        entry(
            "c1",
            1,
            1,
            "a",
            Some(&[]),
            wordings(&["before"], "0badc0de"),
        ),
    ];
    let mut overlay = Overlay::fold(edits, &|_| true);
    overlay.apply(&mut decks);
    let card = &decks[0].cards[0];
    assert_eq!(card.also, ["now"]);
    assert_eq!(card.accepted_mark(), mark, "what was learned stays");
    assert_eq!(overlay.lapsed_wordings(card), ["before"]);
}

#[test]
fn a_typed_answer_leaves_out_what_was_counted_and_said_of_the_old_one() {
    let also = Edit::Wording {
        also: vec!["swap the switcher".to_owned()],
        accepted: String::new(),
    };
    let (_, cards) = laid(vec![
        entry("b1", 1, 0, "a", Some(&[]), also),
        entry("b1", 2, 1, "a", Some(&[]), answers("U32")),
    ]);
    let card = &cards[0];
    assert_eq!(card.answers[0].steps[0].part, "U32");
    assert_eq!(card.answers[0].also, Vec::<String>::new());
    assert_eq!((card.share.n, card.why.as_str()), (0, ""));
    assert_eq!(
        (card.others[0].steps[0].part.as_str(), card.others[0].k),
        ("U31", 5)
    );
    let (_, cards) = laid(vec![
        entry("b1", 1, 0, "a", Some(&[]), answers("U32")),
        entry("b1", 2, 1, "a", Some(&[]), why("of the new one")),
    ]);
    assert_eq!(cards[0].why, "of the new one");
}

#[test]
fn use_is_settled_for_safety_where_leads_only_differ_in_how_a_card_leaves() {
    let retire = note(|note| Edit::Retire { note });
    let (overlay, _) = laid(vec![
        entry("b1", 1, 0, "a", Some(&[]), tag()),
        entry("c1", 1, 1, "a", Some(&[]), retire),
    ]);
    assert!(overlay.out().contains("a"));
    assert_eq!(overlay.apart("a").len(), 1);
    let (overlay, _) = laid(vec![
        entry("b1", 1, 0, "a", Some(&[]), tag()),
        entry("b1", 2, 1, "a", Some(&["edit-b1-1"]), untag()),
        entry("c1", 1, 2, "a", Some(&["edit-b1-1"]), tag()),
    ]);
    assert!(overlay.out().contains("a"), "it was out before both");
    assert_eq!(
        overlay.ruled("a"),
        None,
        "a ruling that is disputed rules nothing out"
    );
}

#[test]
fn merged_cards_go_on_as_one_and_a_ring_of_merges_loses_none() {
    let merge = |into: &str| Edit::Merge {
        into: into.to_owned(),
    };
    let (overlay, _) = laid(vec![entry("b1", 1, 0, "a", Some(&[]), merge("b"))]);
    assert_eq!(overlay.aliases().get("a").map(String::as_str), Some("b"));
    assert!(overlay.out().is_empty());
    let ring = vec![
        entry("b1", 1, 0, "a", Some(&[]), merge("b")),
        entry("c1", 1, 1, "b", Some(&[]), merge("a")),
    ];
    let (overlay, _) = laid(ring.clone());
    assert!(overlay.aliases().is_empty() && overlay.out().is_empty());
    for card in ["a", "b"] {
        let apart = overlay.apart(card);
        assert_eq!((apart[0].0, apart[0].1.len()), (Field::Use, 2));
    }
    let mut settled = ring;
    settled.push(entry("b1", 2, 2, "b", Some(&["edit-c1-1"]), untag()));
    let (overlay, _) = laid(settled);
    assert_eq!(overlay.aliases().get("a").map(String::as_str), Some("b"));
    assert!(overlay.apart("a").is_empty() && overlay.apart("b").is_empty());
}

#[test]
fn a_split_waits_for_the_build_that_makes_the_parts() {
    let split = |first: &str| Edit::Split {
        by: Some(Divide::Revision),
        into: vec![first.to_owned(), "z".to_owned()],
    };
    let (overlay, _) = laid(vec![entry("b1", 1, 0, "a", Some(&[]), split("y"))]);
    assert!(overlay.aliases().is_empty() && overlay.out().is_empty());
    let (overlay, _) = laid(vec![entry("b1", 1, 0, "a", Some(&[]), split("c"))]);
    assert_eq!(overlay.aliases().get("a").map(String::as_str), Some("c"));
}

#[test]
fn what_was_done_under_an_older_name_belongs_to_the_card() {
    let alias = Edit::Alias { to: "a".to_owned() };
    let (overlay, cards) = laid(vec![
        entry("b1", 1, 0, "old", Some(&[]), why("one")),
        entry("b1", 2, 1, "old", Some(&[]), tag()),
        entry("b1", 3, 2, "old", Some(&[]), alias),
    ]);
    assert_eq!(cards[0].why, "one");
    assert!(overlay.out().contains("a"));
    assert_eq!(overlay.log("a").count(), 3);
    assert_eq!(heads(&overlay, "a", Field::Why), ["edit-b1-1"]);
}

fn undo(of: &str) -> Edit {
    Edit::Undo {
        of: vec![of.to_owned()],
    }
}

#[test]
fn what_was_taken_back_stands_as_before_and_stays_in_the_log() {
    let one = entry("b1", 1, 0, "a", Some(&[]), why("one"));
    let two = entry("b1", 2, 1, "a", Some(&["edit-b1-1"]), why("two"));
    let back = entry("b1", 3, 2, "a", Some(&[]), undo("edit-b1-2"));
    let (overlay, cards) = laid(vec![one.clone(), two.clone(), back.clone()]);
    assert_eq!(cards[0].why, "one");
    assert_eq!(heads(&overlay, "a", Field::Why), ["edit-b1-1"]);
    assert_eq!(overlay.log("a").count(), 3);
    // What another lead typed over it stays, and stands beside nothing.
    let three = entry("c1", 1, 3, "a", Some(&["edit-b1-2"]), why("three"));
    let (overlay, cards) = laid(vec![one, two, back, three]);
    assert_eq!(cards[0].why, "three");
    assert!(overlay.apart("a").is_empty());
}

#[test]
fn a_signature_a_merge_and_a_tag_are_taken_back_as_well() {
    let merge = Edit::Merge {
        into: "b".to_owned(),
    };
    for edit in [sign(&deck()[0].cards[0]), merge, tag()] {
        let (overlay, cards) = laid(vec![
            entry("b1", 1, 0, "a", Some(&[]), edit),
            entry("b1", 2, 1, "a", Some(&[]), undo("edit-b1-1")),
        ]);
        assert_eq!(cards, deck()[0].cards);
        assert!(overlay.out().is_empty() && overlay.aliases().is_empty());
        assert!(overlay.moves().is_empty());
    }
}

/// One step of benches that write apart and meet now and then.
#[derive(Clone, Debug)]
enum Step {
    Write {
        bench: usize,
        card: usize,
        what: usize,
    },
    Meet {
        from: usize,
        to: usize,
    },
}

const BENCHES: [&str; 3] = ["b1", "c1", "d1"];
/// How far each bench's clock is off, in minutes.
const CLOCKS: [i64; 3] = [0, 90, -400];

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let write = (0..3_usize, 0..2_usize, 0..8_usize).prop_map(|(bench, card, what)| Step::Write {
        bench,
        card,
        what,
    });
    let meet = (0..3_usize, 0..3_usize).prop_map(|(from, to)| Step::Meet { from, to });
    prop::collection::vec(prop_oneof![3 => write, 1 => meet], 1..40)
}

fn edit(what: usize) -> Edit {
    match what {
        0 => why("one"),
        1 => why("two"),
        2 => tag(),
        3 => untag(),
        4 => answers("U32"),
        5 => Edit::Merge {
            into: "c".to_owned(),
        },
        6 => Edit::Sign {
            asked: String::new(),
            accepted: String::new(),
        },
        _ => Edit::Evidence {
            note: String::new(),
        },
    }
}

/// What the benches wrote, and for each edit which edits its bench knew.
fn play(steps: &[Step]) -> Vec<(EditEntry, BTreeSet<String>)> {
    let mut all: Vec<(EditEntry, BTreeSet<String>)> = Vec::new();
    let mut known: Vec<BTreeSet<String>> = vec![BTreeSet::new(); BENCHES.len()];
    for (minute, step) in (0_i64..).zip(steps) {
        match step {
            Step::Meet { from, to } => {
                let more = known[*from].clone();
                known[*to].extend(more);
            }
            Step::Write { bench, card, what } => {
                let seen = &known[*bench];
                let local: Vec<EditEntry> = all
                    .iter()
                    .filter(|(entry, _)| seen.contains(&entry.id))
                    .map(|(entry, _)| entry.clone())
                    .collect();
                let card = ["a", "b"][*card];
                let edit = edit(*what);
                let overlay = Overlay::fold(local, &|_| true);
                let after = heads(&overlay, card, edit.field());
                let after: Vec<&str> = after.iter().map(String::as_str).collect();
                let name = BENCHES[*bench];
                let seq = all.iter().filter(|(e, _)| e.bench == name).count() as u64 + 1;
                let entry = entry(name, seq, minute + CLOCKS[*bench], card, Some(&after), edit);
                let id = entry.id.clone();
                all.push((entry, seen.clone()));
                known[*bench].insert(id);
            }
        }
    }
    all
}

proptest! {
    #[test]
    fn taking_an_edit_back_is_as_if_it_had_not_been_made(steps in steps(), which in any::<usize>()) {
        let entries: Vec<EditEntry> = play(&steps).into_iter().map(|(e, _)| e).collect();
        prop_assume!(!entries.is_empty());
        let gone = entries[which % entries.len()].clone();
        let mut back = entry("e1", 1, 9999, &gone.card, Some(&[]), undo(&gone.id));
        back.by = "MK".to_owned();
        let with: Vec<EditEntry> = entries.iter().cloned().chain([back]).collect();
        let mut without = entries;
        without.retain(|e| e.id != gone.id);
        for after in without.iter_mut().filter_map(|e| e.after.as_mut()) {
            if after.contains(&gone.id) {
                after.retain(|id| *id != gone.id);
                after.extend(gone.after.clone().unwrap_or_default());
            }
        }
        let ((with, shown), (without, plain)) = (laid(with), laid(without));
        prop_assert_eq!(shown, plain);
        prop_assert_eq!(with.out(), without.out());
        prop_assert_eq!(with.aliases(), without.aliases());
        let ids = |all: Vec<&EditEntry>| -> BTreeSet<String> {
            all.into_iter().map(|e| e.id.clone()).collect()
        };
        for card in ["a", "b", "c"] {
            for field in Field::ALL {
                prop_assert_eq!(ids(with.heads(card, field)), ids(without.heads(card, field)));
            }
            let fields = |of: &Overlay| -> Vec<Field> {
                of.apart(card).into_iter().map(|(field, _)| field).collect()
            };
            prop_assert_eq!(fields(&with), fields(&without));
        }
    }

    #[test]
    fn no_edit_is_lost_and_only_what_was_seen_is_behind_another(steps in steps()) {
        let all = play(&steps);
        let entries: Vec<EditEntry> = all.iter().map(|(entry, _)| entry.clone()).collect();
        let (overlay, cards) = laid(entries);
        for card in ["a", "b"] {
            for field in Field::ALL {
                let of = |e: &EditEntry| e.card == card && e.edit.field() == field;
                let free = all.iter().filter(|(entry, _)| {
                    of(entry) && !all.iter().any(|(later, knew)| of(later) && knew.contains(&entry.id))
                });
                let mut expected: Vec<String> = free.map(|(e, _)| e.id.clone()).collect();
                let mut found: Vec<String> = overlay
                    .heads(card, field)
                    .into_iter()
                    .filter(|e| of(e))
                    .map(|e| e.id.clone())
                    .collect();
                expected.sort();
                found.sort();
                prop_assert_eq!(&found, &expected);
                let values: Vec<&EditEntry> = overlay
                    .heads(card, field)
                    .into_iter()
                    .filter(|e| of(e))
                    .collect();
                let agree = values.windows(2).all(|w| w[0].edit.comes_to(&w[1].edit));
                let apart = overlay.apart(card).iter().any(|(f, _)| *f == field);
                prop_assert_eq!(apart, !agree);
                if field == Field::Why && agree && let Some(last) = values.last() {
                    let shown = cards.iter().find(|c| c.id == card).map(|c| &c.why);
                    let Edit::Why { why } = &last.edit else { unreachable!() };
                    let typed = overlay.in_force(card, Field::Answers);
                    prop_assert!(shown == Some(why) || !typed.is_empty());
                }
            }
        }
    }

    #[test]
    fn the_order_of_arrival_changes_nothing(steps in steps(), seed in any::<u64>(), plain in any::<bool>()) {
        let mut entries: Vec<EditEntry> = play(&steps).into_iter().map(|(e, _)| e).collect();
        if plain {
            // Lines of an older program do not say what they saw.
            entries.iter_mut().step_by(2).for_each(|e| e.after = None);
        }
        let whole = laid(entries.clone());
        let mut shuffled = entries.clone();
        let mut state = seed | 1;
        for i in (1..shuffled.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            shuffled.swap(i, usize::try_from(state >> 33).unwrap_or(0) % (i + 1));
        }
        prop_assert_eq!(&laid(shuffled), &whole);
        // Bench after bench, and bench by bench backwards: journals interleaved anyhow.
        let mut by_bench = entries;
        by_bench.sort_by(|a, b| a.bench.cmp(&b.bench).then(b.seq.cmp(&a.seq)));
        prop_assert_eq!(&laid(by_bench), &whole);
    }

    #[test]
    fn lines_that_do_not_say_what_they_saw_stand_as_they_did_one_after_another(
        whats in prop::collection::vec((0..3_usize, 0..4_usize), 1..25),
    ) {
        let lines: Vec<EditEntry> = (0_i64..)
            .zip(&whats)
            .map(|(minute, (bench, what))| {
                let seq = u64::try_from(minute).unwrap_or(0) + 1;
                entry(BENCHES[*bench], seq, minute, "a", None, edit(*what))
            })
            .collect();
        let (mut text, mut out) = ("as built".to_owned(), false);
        for line in &lines {
            match &line.edit {
                Edit::Why { why } => text.clone_from(why),
                Edit::Tag { .. } => out = true,
                _ => out = false,
            }
        }
        let (overlay, cards) = laid(lines);
        prop_assert_eq!(&cards[0].why, &text);
        prop_assert_eq!(overlay.out().contains("a"), out);
        prop_assert!(overlay.apart("a").is_empty());
    }
}
