//! From closed jobs to cards: board by board, then over all boards.
//!
//! The same jobs, boards and day give the same cards in any order of the jobs. How a card of each kind is
//! made is in [`crate::domain::generate::kinds`].

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::charge;
use crate::domain::free_words;
use crate::domain::generate::checks;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::tier;
use crate::domain::generate::coded::tier::History;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Built;
use crate::domain::generate::input::Outside;
use crate::domain::generate::input::Skipped;
use crate::domain::generate::kinds::across;
use crate::domain::generate::kinds::across::sheet::Sheet;
use crate::domain::generate::kinds::contrast;
use crate::domain::generate::kinds::expect;
use crate::domain::generate::kinds::expect::alike::Yard;
use crate::domain::generate::kinds::fix;
use crate::domain::generate::kinds::missed;
use crate::domain::generate::kinds::next;
use crate::domain::generate::kinds::stop;
use crate::domain::generate::weigh::shelf;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::job::Action;
use crate::domain::job::Board;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;
use crate::domain::side_by_side;

/// Makes the cards of an archive: the fix cards, each with the card that asks the other way round, then
/// what tells look-alikes apart, when to stop, what was missed, and what holds on several boards.
pub fn build(input: &BuildInput<'_>) -> Built {
    build_on(input, 1, &|_| {})
}

/// Makes the same cards, several boards at a time; `done` is told how many jobs each board had that is
/// done.
pub fn build_on(input: &BuildInput<'_>, threads: usize, done: &(dyn Fn(usize) + Sync)) -> Built {
    let jobs: Vec<&Job> = input.jobs.iter().collect();
    let history = History::of(&jobs);
    let survivors = checks::survivors(input.jobs, None);
    let outside = Outside {
        held: &|job| history.held(job, input.as_of, input.warranty_days),
        survivors: survivors.as_deref(),
    };
    let mut by_board: BTreeMap<&str, Vec<&Job>> = BTreeMap::new();
    for job in jobs.iter().copied() {
        by_board.entry(&job.board).or_default().push(job);
    }
    // The longest work comes first, so that no thread begins it last; the order of cards is that of
    // the boards all the same.
    let mut boards: Vec<(&str, Vec<&Job>)> = by_board.into_iter().collect();
    boards.sort_by_key(|(_, jobs)| std::cmp::Reverse(jobs.len()));
    let mut made = side_by_side::map(threads, boards, |(id, jobs)| {
        let n = jobs.len();
        let made = board(input, &outside, id, jobs);
        done(n);
        (id, made)
    });
    made.sort_by_key(|(id, _)| *id);
    let mut built = Built::default();
    let mut sheets: Vec<Sheet> = Vec::new();
    for (_, (of_board, sheet)) in made {
        built.cards.extend(of_board.cards);
        built.skipped.extend(of_board.skipped);
        sheets.push(sheet);
    }
    built.cards.extend(over_boards(
        input,
        survivors.as_deref(),
        &sheets.iter().collect::<Vec<_>>(),
        threads,
    ));
    built.warn.extend(survivors);
    built
}

/// Makes the cards of what holds on several boards; of `input` no jobs are looked at.
pub fn over_boards(
    input: &BuildInput<'_>,
    survivors: Option<&str>,
    sheets: &[&Sheet],
    threads: usize,
) -> Vec<Card> {
    let mut cards = across::card::cards(input, sheets, threads);
    // They answer with no fix: no job says that one was wrong.
    checks::mark(None, &[], survivors, &mut cards);
    cards
}

/// Makes the cards of one board from all its jobs, in any order, and the sheet that patterns over several
/// boards are sought in; `warn` stays empty.
///
/// Of `input` the other boards' jobs are not looked at.
pub fn board<'a>(
    input: &BuildInput<'a>,
    outside: &Outside<'_>,
    id: &'a str,
    mut jobs: Vec<&'a Job>,
) -> (Built, Sheet) {
    jobs.sort_by(|a, b| {
        let (left, right) = ((a.closed_on, &a.id, &a.job), (b.closed_on, &b.id, &b.job));
        left.cmp(&right)
            .then_with(|| format!("{a:?}").cmp(&format!("{b:?}")))
    });
    let told: Vec<Option<Job>> = jobs
        .iter()
        .map(|j| free_words::without_numbers(j))
        .collect();
    let jobs: Vec<&Job> = jobs
        .into_iter()
        .zip(&told)
        .map(|(job, told)| told.as_ref().unwrap_or(job))
        .collect();
    let lineage = sound_lineage(input, outside, id, &jobs);
    board_led(input, outside, id, &jobs, &lineage)
}

/// Returns what leads merged and split, without what no desk allows: a fix card that a line written by
/// hand sends into a card of another kind, which would be two cards of one id, stays what it is.
fn sound_lineage<'a>(
    input: &BuildInput<'a>,
    outside: &Outside<'_>,
    id: &'a str,
    jobs: &[&'a Job],
) -> Cow<'a, Lineage> {
    if input.lineage.is_empty() {
        return Cow::Borrowed(input.lineage);
    }
    let own = own_ids(input, id, jobs);
    let beyond = input.lineage.beyond(&own);
    if beyond.is_empty() {
        return Cow::Borrowed(input.lineage);
    }
    let without = input.lineage.without_into(&beyond);
    let (plain, _) = board_led(input, outside, id, jobs, &without);
    let others = plain.cards.into_iter().filter(|c| c.kind != CardKind::Fix);
    let others: BTreeSet<String> = others.map(|c| c.id).collect();
    let wrong: BTreeSet<String> = beyond.intersection(&others).cloned().collect();
    Cow::Owned(input.lineage.without_into(&wrong))
}

/// Returns the ids that the fixes of a board's jobs have by themselves.
fn own_ids(input: &BuildInput<'_>, id: &str, jobs: &[&Job]) -> BTreeSet<String> {
    let board = input.boards.iter().find(|b| b.id == id);
    let fixed = jobs.iter().filter(|job| !job.fix().is_empty());
    fixed
        .map(|job| shelf::group_id(id, &job.fix(), band::variant(job, board)))
        .collect()
}

/// Makes the cards of one board from its jobs, oldest first, by the merges and splits of `lineage`.
fn board_led<'a>(
    input: &BuildInput<'a>,
    outside: &Outside<'_>,
    id: &'a str,
    jobs: &[&'a Job],
    lineage: &Lineage,
) -> (Built, Sheet) {
    let mut built = Built::default();
    let shelf = shelf(input, outside, (id, jobs), lineage);
    let bare = shelf.table(&Mask::default());
    let yard = Yard::of(&shelf, &bare);
    for group in &shelf.groups {
        match fix::card(input, &shelf, group) {
            Ok(card) => {
                let expect = expect::card::card(&yard, group, &card);
                built.cards.push(card);
                built.cards.extend(expect);
            }
            Err(why) => built.skipped.push(Skipped {
                board: id.to_owned(),
                what: format!("{id}: {} ({})", group.fix.key(), group.variant.word()),
                why,
            }),
        }
    }
    built.skipped.extend(unplaced(&shelf));
    built.cards.extend(contrast::pairs::cards(input, &shelf));
    built.cards.extend(next::card::cards(input, &shelf));
    built
        .cards
        .extend(stop::patterns::cards(input, &shelf, jobs));
    let (cautions, skipped) = missed::cards(input, &shelf, jobs);
    built.cards.extend(cautions);
    built.skipped.extend(skipped);
    known_revisions(shelf.board, &mut built.cards);
    charge::mark(shelf.board, &mut built.cards);
    checks::mark(shelf.board, jobs, outside.survivors, &mut built.cards);
    (built, Sheet::of(&shelf, jobs))
}

/// Leaves out revisions that the board does not have: `unknown`, `B/C` and slips of the pen are for
/// whoever mends the job, not for a front.
fn known_revisions(board: Option<&Board>, cards: &mut [Card]) {
    let Some(board) = board.filter(|b| !b.revisions.is_empty()) else {
        return;
    };
    for card in cards {
        card.revs.retain(|rev| board.revisions.contains(rev));
    }
}

fn shelf<'a>(
    input: &BuildInput<'a>,
    outside: &Outside<'_>,
    (id, jobs): (&'a str, &[&'a Job]),
    lineage: &Lineage,
) -> Shelf<'a> {
    let board = input.boards.iter().find(|b| b.id == id);
    // Whether a fix is unsafe hangs on the fix and on what else was done; most jobs did the same.
    let mut barred: HashMap<&[Action], bool> = HashMap::new();
    let cases = jobs.iter().filter_map(|job| {
        let tier = tier::tier(
            job,
            (outside.held)(job),
            input.contradictory.contains(&job.id),
        );
        let barred = barred.entry(&job.actions);
        let barred = *barred.or_insert_with(|| (input.unsafe_fix)(&job.fix(), job));
        shelf::case(job, board, tier, barred)
    });
    Shelf::led(id, board, cases.collect(), lineage).with_ends(jobs)
}

/// Says which jobs have no card because they do not say what their card was split by.
fn unplaced(shelf: &Shelf<'_>) -> Option<Skipped> {
    let numbers: Vec<&str> = shelf
        .unplaced
        .iter()
        .map(|at| shelf.cases[*at].job.job.as_str())
        .collect();
    (!numbers.is_empty()).then(|| Skipped {
        board: shelf.id.to_owned(),
        what: format!("{}: {}", shelf.id, numbers.join(", ")),
        why: "a lead split the card by something that these jobs do not say".to_owned(),
    })
}

#[cfg(test)]
#[path = "build_tests.rs"]
mod tests;
