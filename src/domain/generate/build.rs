//! From closed jobs to cards; the fix cards are made here, the other kinds beside.
//!
//! The same jobs, boards and day give the same cards in any order of the jobs. A fix that gets no
//! card is listed with the reason.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;

use chrono::NaiveDate;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::domain::charge;
use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyId;
use crate::domain::free_words;
use crate::domain::generate::account::Account;
use crate::domain::generate::across;
use crate::domain::generate::across::sheet::Sheet;
use crate::domain::generate::alike::Yard;
use crate::domain::generate::band;
use crate::domain::generate::checks;
use crate::domain::generate::contrast;
use crate::domain::generate::doubts;
use crate::domain::generate::evidence;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Group;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::expect;
use crate::domain::generate::front;
use crate::domain::generate::leak;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::missed;
use crate::domain::generate::next;
use crate::domain::generate::remark;
use crate::domain::generate::rival;
use crate::domain::generate::stop;
use crate::domain::generate::tier;
use crate::domain::generate::tier::History;
use crate::domain::generate::tier::Tier;
use crate::domain::generate::told;
use crate::domain::job::Action;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::is_circumstance;
use crate::domain::lineage::Lineage;
use crate::domain::side_by_side;
use crate::domain::units::count;

/// Jobs that a reason names at most.
const NAMED: usize = 3;
/// Another fix is a right answer too from this many matching jobs …
pub const ALSO_RIGHT_JOBS: usize = 3;
/// … and from this part of them.
pub const ALSO_RIGHT_SHARE: f64 = 0.2;

/// Begins the reason of a fix that is no answer any more because it was a wrong diagnosis too often.
pub const REFUTED: &str = "came back for a wrong diagnosis in ";

/// Warnings that say that something else fits the front.
const LEAVES_OPEN: [&str; 5] = [
    "ambiguous:",
    "outnumbered:",
    "look-alike:",
    "vague:",
    "not told apart:",
];

/// What a card's cautions are looked up by.
#[derive(Clone, Debug)]
pub struct Hazards<'a> {
    /// The board, where the shop describes it.
    pub board: Option<&'a Board>,
    /// The card's circuit.
    pub family: &'a str,
    /// Customer's words on the card.
    pub complaint: &'a [String],
    /// Environment words of all evidence jobs.
    pub environment: &'a [String],
    /// Acts of all right answers.
    pub acts: &'a [String],
}

/// Everything cards are made from.
pub struct BuildInput<'a> {
    /// Closed jobs, in any order.
    pub jobs: &'a [Job],
    /// Boards the shop describes; a job's board need not be among them.
    pub boards: &'a [Board],
    /// The shop's circuits: one that is not among them is reported on the card.
    pub circuits: &'a Circuits,
    /// The day it is.
    pub as_of: NaiveDate,
    /// Days after which an unknown outcome counts as held.
    pub warranty_days: u32,
    /// What an hour at the bench costs, in the money of the jobs' values.
    pub rate_per_hour: Option<f64>,
    /// Minutes that a measurement takes, by kind of finding, as the shop says.
    pub minutes: &'a BTreeMap<String, f64>,
    /// Ids of job lines that contradict another line.
    pub contradictory: &'a BTreeSet<String>,
    /// Tells whether a recorded fix is unsafe in its job: it is then never an answer. Of the job it looks
    /// at the board and the actions alone.
    pub unsafe_fix: &'a (dyn Fn(&Fix, &Job) -> bool + Sync),
    /// Returns the hazards whose caution stands first on the card.
    pub cautions: &'a (dyn Fn(&Hazards<'_>) -> Vec<String> + Sync),
    /// Which cards leads merged and split.
    pub lineage: &'a Lineage,
}

/// A fix without a card.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Skipped {
    /// Board.
    pub board: String,
    /// Board, fix and variant.
    pub what: String,
    /// Why there is no card.
    pub why: String,
}

/// Cards, and what got none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Built {
    /// By board, fix, variant.
    pub cards: Vec<Card>,
    /// In the same order.
    pub skipped: Vec<Skipped>,
    /// What a lead should know of the whole deck.
    pub warn: Vec<String>,
}

/// What the cards of one board need to know of the jobs of all boards.
pub struct Outside<'a> {
    /// Tells whether the repair is known to have held.
    pub held: &'a (dyn Fn(&Job) -> bool + Sync),
    /// The warning of an archive that holds mostly what could be mended.
    pub survivors: Option<&'a str>,
}

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
        .map(|job| evidence::group_id(id, &job.fix(), band::variant(job, board)))
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
        match fix_card(input, &shelf, group) {
            Ok(card) => {
                let expect = expect::card(&yard, group, &card);
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
    built.cards.extend(contrast::cards(input, &shelf));
    built.cards.extend(next::cards(input, &shelf));
    built.cards.extend(stop::cards(input, &shelf, jobs));
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
        evidence::case(job, board, tier, barred)
    });
    Shelf::led(id, board, cases.collect(), lineage).with_ends(jobs)
}

/// Makes the card of one fix and variant, or says why there is none.
fn fix_card(input: &BuildInput<'_>, shelf: &Shelf<'_>, group: &Group) -> Result<Card, String> {
    if group.evidence.is_empty() {
        return Err(no_evidence(shelf, group));
    }
    if !group.evidence.iter().any(|at| shelf.cases[*at].proved) {
        return Err("nobody proved it in any job".to_owned());
    }
    let jobs: Vec<&Job> = group
        .evidence
        .iter()
        .map(|at| shelf.cases[*at].job)
        .collect();
    let family = family_of(&jobs).ok_or("no job names its circuit")?;
    let (draft, mask, also) = settled(shelf, group, &family)?;
    let shown = shelf.cases[draft.shown].job;

    let cited = cited(shelf, group, &draft);

    let (front, held_back) = front::faces(shown, &draft, &mask, shelf.board);
    let others = shelf.others(group, &draft.matching);
    let share = share_of(shelf, group, &draft);
    if let Some(why) = hardly_ever(&share, &others) {
        return Err(why);
    }
    let own = own_fixes(shelf, group);
    if own.is_empty() {
        return Err("the recorded act is unsafe and never an answer".to_owned());
    }
    let answers = answers(own.iter().chain(&also), shelf.board);
    let acts = sorted(answers.iter().flat_map(|a| a.steps.iter().map(|s| &s.act)));
    let environment = sorted(jobs.iter().flat_map(|j| &j.environment));
    let runner_up = remark::runner_up(shelf, group, &draft, &also);
    let runner_up = runner_up.as_ref();
    let told = told::of(shelf, group, &draft, runner_up);
    let mut warn = remark::warnings(
        shelf,
        group,
        &draft,
        &share,
        &others,
        (&told.all, runner_up),
    );
    warn.extend(rival::warnings(shelf, group, &draft, &mask, &also));
    warn.extend(likelier(shelf, group, (&draft, &also), &warn));
    let faces = front.iter().map(|(_, finding)| finding).chain(&held_back);
    warn.extend(doubts::warnings(shelf, group, draft.shown, faces));
    if input.circuits.get(&family).is_none() {
        warn.push(format!("circuit unknown: the shop has no family {family}"));
    }
    let card = Card {
        id: group.id.clone(),
        kind: CardKind::Fix,
        board: shelf.id.to_owned(),
        revs: sorted(jobs.iter().filter_map(|j| j.rev.as_ref())),
        contributing: contributing(input, shelf, group, (&draft, &also), &family),
        complaint: shown.complaint.clone(),
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
        deciding: deciding(&told.all, &front),
        front: front.into_iter().map(|(_, finding)| finding).collect(),
        held_back,
        answers,
        support: support(&share, &others),
        share,
        others: others
            .iter()
            .map(|(fix, k)| OtherFix {
                steps: steps(fix, shelf.board),
                k: *k,
            })
            .collect(),
        bounced: shelf
            .cases
            .iter()
            .filter(|c| group.has_fix(&c.fix) && tier::bounced(c.job))
            .count(),
        jobs: cited.iter().rev().map(|j| j.job.clone()).collect(),
        last: cited.last().map(|j| j.closed_on),
        why: remark::why(shelf, group, &told, runner_up),
        cautions: (input.cautions)(&Hazards {
            board: shelf.board,
            family: &family,
            complaint: &shown.complaint,
            environment: &environment,
            acts: &acts,
        }),
        warn,
        signed: None,
        family,
    };
    leak::unless_it_leaks(card, shelf.board)
}

fn answers<'a>(fixes: impl Iterator<Item = &'a Fix>, board: Option<&Board>) -> Vec<Answer> {
    let answer = |fix: &Fix| Answer {
        steps: steps(fix, board),
        also: Vec::new(),
    };
    fixes.map(answer).collect()
}

/// Warns of a fix that fits the front better; where the front is known to leave others open, nobody needs to
/// hear it twice.
fn likelier(
    shelf: &Shelf<'_>,
    group: &Group,
    (draft, also): (&Draft, &[Fix]),
    warn: &[String],
) -> Option<String> {
    let open = |line: &String| LEAVES_OPEN.iter().any(|short| line.starts_with(short));
    if warn.iter().any(open) {
        return None;
    }
    remark::likelier(shelf, group, draft, also)
}

/// Returns the fixes that a card answers with by itself: its own, then those merged into it, most
/// frequent first. One that no job speaks for is none; a merged one is none where it was ever unsafe.
fn own_fixes(shelf: &Shelf<'_>, group: &Group) -> Vec<Fix> {
    let jobs = |fix: &Fix| {
        let own = group.evidence.iter().map(|at| &shelf.cases[*at]);
        own.filter(|c| c.fix == *fix).count()
    };
    let barred = shelf.barred();
    let mut merged: Vec<(usize, &Fix)> = group
        .joined
        .iter()
        .filter(|fix| !barred.contains(fix))
        .map(|fix| (jobs(fix), fix))
        .filter(|(n, _)| 0 < *n)
        .collect();
    merged.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let own = (0 < jobs(&group.fix)).then_some(&group.fix);
    own.into_iter()
        .chain(merged.into_iter().map(|(_, fix)| fix))
        .cloned()
        .collect()
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

/// Returns the jobs a card cites, oldest first: its own, and those counted in its share that the same
/// fix mended though the part had failed otherwise.
fn cited<'a>(shelf: &Shelf<'a>, group: &Group, draft: &Draft) -> Vec<&'a Job> {
    let rows = shelf.cited(group, draft).into_iter();
    rows.map(|at| shelf.cases[at].job).collect()
}

/// Says of a group that more of its jobs came back for a wrong diagnosis than speak for its fix.
fn refuted(shelf: &Shelf<'_>, group: &Group) -> Option<String> {
    let speak = group.members.iter().filter(|at| shelf.cases[**at].refuted);
    let speak = speak.count();
    let returned = group.returned.iter().rev().take(NAMED);
    let named: Vec<&str> = returned.map(|at| &*shelf.cases[*at].job.job).collect();
    let more = match group.returned.len() - named.len() {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    (0 < speak).then(|| {
        format!(
            "{REFUTED}{}, {speak} {} for it: {}{more}",
            jobs_text(group.returned.len()),
            if speak == 1 { "speaks" } else { "speak" },
            named.join(", ")
        )
    })
}

fn no_evidence(shelf: &Shelf<'_>, group: &Group) -> String {
    if let Some(why) = refuted(shelf, group) {
        return why;
    }
    let own = || {
        let cases = shelf.cases.iter();
        cases.filter(|c| group.has_fix(&c.fix) && c.variant == group.variant)
    };
    if own().any(|c| c.barred) {
        return "the recorded act is unsafe and never an answer".to_owned();
    }
    let reasons: Vec<String> = own()
        .take(NAMED)
        .map(|c| match c.tier {
            Tier::X(against) => format!("{} {}", c.job.job, against.words()),
            _ if tier::bounced_unexplained(c.job) => {
                format!("{} came back and nobody wrote why", c.job.job)
            }
            _ => format!("{} lacks two of proof, reading and held", c.job.job),
        })
        .collect();
    format!("no job speaks for it: {}", reasons.join("; "))
}

/// Returns the commonest circuit; ties go to the first in the alphabet.
pub(super) fn family_of(jobs: &[&Job]) -> Option<FamilyId> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for family in jobs.iter().filter_map(|j| j.family.as_deref()) {
        *counts.entry(family).or_default() += 1;
    }
    let most = counts
        .into_iter()
        .min_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    most.map(|(family, _)| family.to_owned())
}

/// Drafts the card until its right answers are all masked.
///
/// Another fix that turns out to be right as well is held back too, and the card is drafted anew;
/// the mask only grows, so this ends.
fn settled(
    shelf: &Shelf<'_>,
    group: &Group,
    family: &str,
) -> Result<(Draft, Mask, Vec<Fix>), String> {
    let mut masked: BTreeSet<Fix> = group.fixes().cloned().collect();
    let mut mask = Mask::of(&masked, Some(family), shelf.board);
    loop {
        let draft = shelf
            .draft(group, &mask)
            .ok_or("nothing read before the repair may be shown")?;
        let draft = rival::widened(shelf, group, draft, &mask);
        let also = also_right(shelf, group, &draft);
        masked.extend(also.iter().cloned());
        mask = Mask::of(&masked, Some(family), shelf.board);
        if shelf.looks_the_same(&draft, &mask) {
            return Ok((draft, mask, also));
        }
    }
}

/// Returns the other fixes that count as right, most frequent first. Counted are their jobs that share
/// what the shown complaint says is wrong, or what befell the board where it says no more: what mended
/// another complaint answers another question. Those of a fix that is no answer any more never count.
fn also_right(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> Vec<Fix> {
    let n = draft.matching.len();
    let barred = shelf.barred();
    let shown = asks(&shelf.cases[draft.shown].job.complaint);
    let same = |at: &&usize| {
        let case = &shelf.cases[**at];
        let mut own = case.job.complaint.iter();
        !case.refuted && (shown.is_empty() || own.any(|word| shown.contains(&word.as_str())))
    };
    let matching: Vec<usize> = draft.matching.iter().filter(same).copied().collect();
    shelf
        .others(group, &matching)
        .into_iter()
        .filter(|(_, k)| *k >= ALSO_RIGHT_JOBS && count(*k) >= ALSO_RIGHT_SHARE * count(n))
        .filter(|(fix, _)| !barred.contains(fix))
        .map(|(fix, _)| fix)
        .collect()
}

/// Returns the words of a complaint that ask for something: what the board does wrong; where it names
/// circumstances alone, those.
fn asks(complaint: &[String]) -> Vec<&str> {
    let words = || complaint.iter().map(String::as_str);
    let symptoms: Vec<&str> = words().filter(|w| !is_circumstance(w)).collect();
    if symptoms.is_empty() {
        words().collect()
    } else {
        symptoms
    }
}

fn share_of(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> Share {
    let own = || {
        let cases = draft.matching.iter().map(|at| &shelf.cases[*at]);
        cases.filter(|c| group.has_fix(&c.fix) && c.speaks())
    };
    let proved = own().filter(|c| c.proved).count();
    Share::counted(own().count(), draft.matching.len(), proved)
}

/// Says why a fix that few of the jobs like its own ended in is no answer to them: as another fix, it
/// would not be right as well.
fn hardly_ever(share: &Share, others: &[(Fix, usize)]) -> Option<String> {
    let (first, most) = others.first()?;
    (count(share.k) < ALSO_RIGHT_SHARE * count(share.n)).then(|| {
        format!(
            "only {} of {} like it ended in this fix; {} in {most}",
            share.k,
            jobs_text(share.n),
            remark::short_fix(first)
        )
    })
}

fn support(share: &Share, others: &[(Fix, usize)]) -> Support {
    let runner_up = others.first().map_or(0, |(_, k)| *k);
    match Support::of_jobs(share.n) {
        Support::Supported if 2 * runner_up >= share.k => Support::Thin,
        support => support,
    }
}

pub(super) fn steps(fix: &Fix, board: Option<&Board>) -> Vec<Step> {
    fix.pairs()
        .iter()
        .map(|(act, part)| Step {
            act: act.clone(),
            part: part.clone(),
            name: board
                .and_then(|b| b.parts.get(part))
                .map(|p| p.name.clone())
                .filter(|name| !name.is_empty()),
        })
        .collect()
}

/// Returns the circuits that count as right as well: those with damage in the evidence jobs, those of the
/// other right answers, and those the board's list gives the answers' parts.
fn contributing(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    group: &Group,
    (draft, also): (&Draft, &[Fix]),
    family: &str,
) -> Vec<FamilyId> {
    let fixes: Vec<&Fix> = group.fixes().chain(also).collect();
    let listed = listed(input.circuits, shelf.board, &fixes);
    let matching = draft.matching.iter().map(|at| &shelf.cases[*at]);
    let right = matching.filter(|c| also.contains(&c.fix));
    let own = || group.evidence.iter().map(|at| &shelf.cases[*at]);
    let merged = own().filter(|c| group.joined.contains(&c.fix));
    let mut families = sorted(
        own()
            .flat_map(|c| &c.job.contributing)
            .chain(right.chain(merged).filter_map(|c| c.job.family.as_ref()))
            .chain(listed),
    );
    families.retain(|f| f != family);
    families
}

/// Returns the circuits that the board's list gives the parts of some fixes: who names one of those is
/// right, whatever the jobs call it. One that the shop does not have, or that stands at most parts of the
/// board, says nothing.
pub(super) fn listed<'a>(
    circuits: &Circuits,
    board: Option<&'a Board>,
    fixes: &[&Fix],
) -> Vec<&'a FamilyId> {
    let Some(board) = board else {
        return Vec::new();
    };
    let at = |family: &FamilyId| {
        let parts = board.parts.values();
        parts.filter(|p| p.family.as_ref() == Some(family)).count()
    };
    let parts = fixes.iter().flat_map(|fix| fix.pairs());
    let families = parts.filter_map(|(_, part)| board.parts.get(part)?.family.as_ref());
    families
        .filter(|family| circuits.get(family).is_some())
        .filter(|family| board.parts.len() < 4 || 2 * at(family) <= board.parts.len())
        .collect()
}

/// Returns the places on the front of the two findings that speak most for the fix.
fn deciding(accounts: &[Account], front: &[(usize, Finding)]) -> Vec<usize> {
    let telling = accounts.iter().filter(|a| 0.0 < a.weight);
    telling
        .filter_map(|a| front.iter().position(|(name, _)| *name == a.name))
        .take(2)
        .collect()
}

/// Returns `1 job`, `2 jobs`.
pub(super) fn jobs_text(n: usize) -> String {
    if n == 1 {
        "1 job".to_owned()
    } else {
        format!("{n} jobs")
    }
}

pub(super) fn sorted<'a>(words: impl Iterator<Item = &'a String>) -> Vec<String> {
    let set: BTreeSet<&String> = words.collect();
    set.into_iter().cloned().collect()
}

#[cfg(test)]
#[path = "build_tests.rs"]
mod tests;
