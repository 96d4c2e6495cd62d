//! What the cards over several boards must be, on invented boards and jobs.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::patterns;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::circuit::Circuits;
use crate::domain::generate::build;
use crate::domain::generate::coded::mask;
use crate::domain::generate::fronts::leak;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::sample;
use crate::domain::job::Board;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Part;
use crate::domain::lineage::Lineage;

/// Three invented boards whose nets and designators have nothing in common, and a fourth.
const BOARDS: [(&str, &str, &str); 4] = [
    ("petrel-p4", "3V3_SB", "U31"),
    ("tern-h3", "3V0_AO", "U5"),
    ("skua-e6", "5V_STBY", "Q9"),
    ("fulmar-g5", "VAUX", "U77"),
];

fn board(at: usize) -> Board {
    let (id, rail, part) = BOARDS[at];
    let mut board = sample::board();
    id.clone_into(&mut board.id);
    board.name = format!("Board {id}");
    board.kind = format!("kind of {id}");
    let entry = |name: &str, rail: &str, family: &str| Part {
        name: name.to_owned(),
        rail: Some(rail.to_owned()),
        family: Some(family.to_owned()),
        revs: Vec::new(),
    };
    board.parts = [
        (part.to_owned(), entry("small switcher", rail, "standby")),
        (format!("L{at}"), entry("system inductor", "VSYS", "buck")),
    ]
    .into();
    board
}

/// A job of the always-on supply: the draw cycles, there is residue, its own rail is low.
fn standby(at: usize, n: usize) -> Job {
    let (id, rail, part) = BOARDS[at];
    let mut draw = Finding::new(FindingKind::Current, "");
    draw.code = Some("cycling".to_owned());
    draw.state = Some("standby".to_owned());
    let findings = vec![
        draw,
        sample::sign(part, "residue"),
        sample::rail(rail, "low"),
    ];
    let mut job = sample::job_with(&format!("{id}-s{n}"), part, 10 + n as u64, findings);
    id.clone_into(&mut job.board);
    job
}

/// A job of a main rail: the draw stands still, its rail is absent.
fn buck(at: usize, n: usize) -> Job {
    let id = BOARDS[at].0;
    let mut draw = Finding::new(FindingKind::Current, "");
    draw.code = Some("stuck".to_owned());
    draw.state = Some("standby".to_owned());
    let findings = vec![
        draw,
        sample::sign("C7", "none-seen"),
        sample::rail("VSYS", "absent"),
    ];
    let part = format!("L{at}");
    let mut job = sample::job_with(&format!("{id}-b{n}"), &part, 10 + n as u64, findings);
    id.clone_into(&mut job.board);
    job.family = Some("buck".to_owned());
    job
}

fn archive(boards: usize, each: usize) -> Vec<Job> {
    let jobs =
        (0..boards).flat_map(|at| (0..each).flat_map(move |n| [standby(at, n), buck(at, n)]));
    jobs.collect()
}

fn across(jobs: &[Job]) -> Vec<Card> {
    across_where(jobs, "skua-e6")
}

/// Builds with one board on mains.
fn across_where(jobs: &[Job], on_mains: &str) -> Vec<Card> {
    let boards: Vec<Board> = (0..BOARDS.len()).map(board).collect();
    let hazards = |about: &Hazards<'_>| {
        let mains = about.board.is_some_and(|b| b.id == on_mains);
        mains.then(|| "mains".to_owned()).into_iter().collect()
    };
    let built = build::build(&BuildInput {
        jobs,
        boards: &boards,
        circuits: &Circuits::with_shop(&[], false),
        as_of: sample::day_one(),
        warranty_days: 90,
        rate_per_hour: Some(60.0),
        minutes: &BTreeMap::new(),
        lineage: &Lineage::default(),
        contradictory: &BTreeSet::new(),
        unsafe_fix: &|_, _| false,
        cautions: &hazards,
    });
    built.cards.into_iter().filter(Card::is_across).collect()
}

fn of<'a>(cards: &'a [Card], family: &str) -> Vec<&'a Card> {
    cards.iter().filter(|c| c.family == family).collect()
}

/// The board is not known: it may be one that no job of the pattern names.
#[test]
fn a_card_over_boards_warns_of_what_the_circuit_is_on_any_board_of_the_shop() {
    let last = BOARDS[BOARDS.len() - 1].0;
    let of_mains = |on_mains: &str| {
        let cards = across_where(&archive(3, 4), on_mains);
        let card = of(&cards, "standby").first().copied().cloned();
        let card = card.expect("a card of the always-on supply");
        assert!(card.boards.iter().all(|b| b.board != last));
        card.cautions
    };
    assert_eq!(of_mains(last), ["mains"]);
    assert_eq!(of_mains("of no shop"), [""; 0]);
}

#[test]
fn a_pattern_of_three_boards_asks_the_circuit_and_the_first_measurement() {
    let cards = across(&archive(3, 4));
    let standby = of(&cards, "standby");
    let card = standby.first().expect("a card of the always-on supply");
    assert_eq!(card.kind, CardKind::Next);
    assert!(card.board.is_empty() && card.answers.is_empty() && card.asks_circuit());
    assert!(card.points[0].needed && card.points[0].say.starts_with("The always-on rail"));
    assert_eq!((card.share.k, card.share.n), (12, 12));
    let standing: Vec<(&str, usize, usize)> = card
        .boards
        .iter()
        .map(|b| (b.board.as_str(), b.k, b.n))
        .collect();
    assert_eq!(
        standing,
        [("petrel-p4", 4, 4), ("skua-e6", 4, 4), ("tern-h3", 4, 4)]
    );
    // Each board stands on the back once, with its counts; a share in the why-line has its jobs too.
    let says = "standby: all 3 boards bear it out; of all 24 jobs counted 12 ended";
    assert!(card.why.starts_with(says), "{}", card.why);
    assert!(!card.why.contains("skua-e6"), "{}", card.why);
    // One of the boards is on mains, and nobody knows which it is.
    assert_eq!(card.cautions, ["mains"]);
}

#[test]
fn two_boards_or_one_job_on_the_third_make_no_card() {
    assert!(across(&archive(2, 9)).is_empty());
    let mut jobs = archive(2, 9);
    jobs.extend([standby(2, 0), buck(2, 0)]);
    assert!(across(&jobs).is_empty());
    jobs.extend([standby(2, 1), buck(2, 1)]);
    assert!(!across(&jobs).is_empty());
}

#[test]
fn a_board_that_says_otherwise_is_named_and_bears_nothing_out() {
    let mut jobs = archive(3, 6);
    // On the fourth board the same signs come from a main rail.
    jobs.extend((0..4).map(|n| {
        let mut job = standby(3, n);
        job.family = Some("buck".to_owned());
        job
    }));
    let cards = across(&jobs);
    let card = of(&cards, "standby")[0];
    let other = card.boards.iter().find(|b| b.board == "fulmar-g5");
    assert_eq!(other.map(|b| (b.k, b.n)), Some((0, 4)));
    assert!(
        card.warn
            .iter()
            .any(|w| w.contains("Board fulmar-g5: 0 of 4")),
        "{:?}",
        card.warn
    );
    let says = "3 of the 4 boards bear it out";
    assert!(card.why.contains(says), "{}", card.why);
}

#[test]
fn what_came_back_for_its_diagnosis_bears_nothing_out() {
    let mut jobs = archive(3, 2);
    for job in jobs.iter_mut().filter(|j| j.board == "skua-e6") {
        job.outcome = Outcome::BouncedSameFault;
        job.bounce_cause = Some(BounceCause::Diagnosis);
    }
    assert!(across(&jobs).is_empty());
}

#[test]
fn jobs_of_a_fix_that_was_wrong_too_often_are_counted_for_no_circuit_and_called_unsafe_by_none() {
    let cards = across(&archive(4, 4));
    let plain = of(&cards, "standby")[0];
    for (wrong, counted) in [(2, 2), (3, 0)] {
        let mut jobs = archive(4, 4);
        jobs.extend((10..12 + wrong).map(|n| {
            let mut job = standby(2, n);
            "reflow".clone_into(&mut job.actions[0].act);
            if n < 10 + wrong {
                job.outcome = Outcome::BouncedSameFault;
                job.bounce_cause = Some(BounceCause::Diagnosis);
            }
            job
        }));
        let cards = across(&jobs);
        let card = cards.iter().find(|c| c.id == plain.id);
        let card = card.expect("the pattern holds as before");
        let (k, n) = (plain.share.k + counted, plain.share.n + counted);
        assert_eq!((card.share.k, card.share.n), (k, n), "{wrong} wrong");
        assert!(!card.why.contains("unsafe"), "{}", card.why);
    }
}

#[test]
fn a_board_added_changes_the_counts_and_no_id() {
    let ids = |cards: &[Card]| -> Vec<String> { cards.iter().map(|c| c.id.clone()).collect() };
    let before = across(&archive(3, 4));
    let after = across(&archive(4, 4));
    assert_eq!(ids(&before), ids(&after));
    for (b, a) in before.iter().zip(&after) {
        assert_eq!(b.front, a.front);
        assert_eq!((a.share.k, a.share.n), (b.share.k + 4, b.share.n + 4));
        assert_eq!(a.boards.len(), b.boards.len() + 1);
        assert_eq!(
            (b.asked_mark(), b.accepted_mark()),
            (a.asked_mark(), a.accepted_mark())
        );
    }
}

#[test]
fn the_order_of_jobs_does_not_matter() {
    let mut jobs = archive(4, 4);
    let forward = across(&jobs);
    assert!(!forward.is_empty());
    jobs.reverse();
    assert_eq!(across(&jobs), forward);
    jobs.rotate_left(7);
    assert_eq!(across(&jobs), forward);
}

#[test]
fn no_front_names_a_part_a_net_a_number_or_its_own_circuit() {
    let cards = across(&archive(4, 6));
    assert!(!cards.is_empty());
    let circuits = Circuits::with_shop(&[], false);
    for card in &cards {
        let family = circuits.get(&card.family).expect("built in");
        assert_eq!(leak::leak_across(card, family), None);
        for finding in &card.front {
            // Apart from the check above: nothing of a board's own words is left.
            assert!(finding.got.is_none() && finding.raw.is_none() && finding.good.is_none());
            let words: Vec<String> = mask::tokens(&finding.place).collect();
            for (_, rail, part) in BOARDS {
                assert!(!words.iter().any(|w| w == rail || w == part), "{finding:?}");
            }
            assert_ne!(
                finding.place,
                if card.family == "buck" {
                    "Main rail"
                } else {
                    "Always-on rail"
                }
            );
        }
    }
}

#[test]
fn a_front_that_was_tampered_with_is_caught() {
    let cards = across(&archive(3, 4));
    let circuits = Circuits::with_shop(&[], false);
    let card = of(&cards, "standby")[0];
    let family = circuits.get("standby").expect("built in");
    let mut number = sample::rail("A rail", "low");
    number.got = Some(0.4);
    for bad in [
        sample::rail("3V3_SB", "low"),
        sample::rail("Always-on rail", "low"),
        sample::rail("Wake line", "low"),
        sample::sign("U31", "residue"),
        sample::test("press", "C7 reacts"),
        number,
    ] {
        let mut card = card.clone();
        card.front = vec![bad.clone()];
        assert!(leak::leak_across(&card, family).is_some(), "{bad:?}");
    }
    for fine in [
        sample::sign("a small switcher", "residue"),
        sample::rail("Core rail", "in-band"),
    ] {
        let mut card = card.clone();
        card.front = vec![fine.clone()];
        assert_eq!(leak::leak_across(&card, family), None, "{fine:?}");
    }
}

/// A job of the reference whose net the board file does not know: it is low, and low to ground.
fn reference(at: usize, n: usize) -> Job {
    let id = BOARDS[at].0;
    let findings = vec![
        sample::rail("VREF_Q", "low"),
        sample::resistance("VREF_Q", 0.3),
    ];
    let mut job = sample::job_with(&format!("{id}-r{n}"), "C60", 10 + n as u64, findings);
    id.clone_into(&mut job.board);
    job.family = Some("sensing".to_owned());
    job
}

/// The counts of what the always-on rail's jobs show, "a rail low and shorted to ground", beside
/// references; none where no card says so.
fn low_and_shorted(references: &[Job]) -> Option<(usize, usize)> {
    let jobs = (0..3).flat_map(|at| {
        (0..8).flat_map(move |n| {
            let mut job = standby(at, n);
            let rail = BOARDS[at].1;
            job.findings = vec![sample::rail(rail, "low"), sample::resistance(rail, 0.3)];
            [job, buck(at, n)]
        })
    });
    let mut jobs: Vec<Job> = jobs.chain(references.iter().cloned()).collect();
    for job in &mut jobs {
        job.complaint.clear();
    }
    let cards = across(&jobs);
    let card = of(&cards, "standby").into_iter().next()?;
    let is_ohms = |f: &&Finding| f.kind == FindingKind::Resistance;
    let ohms = card.front.iter().find(is_ohms)?;
    assert_eq!(
        (ohms.place.as_str(), ohms.code.as_deref()),
        ("A rail", Some("hard-short"))
    );
    Some((card.share.k, card.share.n))
}

#[test]
fn a_rail_that_no_file_names_counts_against_what_is_said_of_rails() {
    assert_eq!(low_and_shorted(&[]), Some((24, 24)));
    let references: Vec<Job> = (0..2).map(|n| reference(0, n)).collect();
    assert_eq!(low_and_shorted(&references), Some((24, 26)));
}

#[test]
fn what_the_customer_said_makes_no_card_alone() {
    let said = |with_draw: bool| {
        let mut jobs = archive(3, 6);
        for job in &mut jobs {
            let standby = job.family.as_deref() == Some("standby");
            let words: &[&str] = if standby {
                &["impact", "no-start"]
            } else {
                &["overheats"]
            };
            job.complaint = words.iter().map(|w| (*w).to_owned()).collect();
            job.findings.retain(|f| {
                f.kind == FindingKind::Rail || with_draw && f.kind == FindingKind::Current
            });
        }
        across(&jobs)
    };
    let alone = said(false);
    let of_standby = of(&alone, "standby");
    assert!(
        of_standby.iter().all(|c| !c.front.is_empty()),
        "{of_standby:?}"
    );
    let cards = said(true);
    let seen = of(&cards, "standby");
    let with_words = |c: &&Card| !c.complaint.is_empty() && !c.front.is_empty();
    assert!(!seen.is_empty() && cards.iter().all(|c| !c.front.is_empty()));
    assert!(seen.iter().any(with_words), "the words may stand beside it");
}

#[test]
fn an_archive_without_jobs_gives_none() {
    assert!(patterns::find(&[], 1).is_empty());
    assert!(across(&[]).is_empty());
}
