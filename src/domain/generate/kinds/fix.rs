//! Fix cards: what is shown, which fix was it?
//!
//! One for each fix and variant of a board, unless leads merged or split cards, that somebody proved. Other
//! fixes that the jobs like the shown one ended in often enough count as right too. A fix that gets no card
//! is listed with the reason. Which jobs stand together and what a front shows is decided before
//! ([`crate::domain::generate::weigh`], [`crate::domain::generate::fronts`]).

use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::circuit::FamilyId;
use crate::domain::generate::backs::doubts;
use crate::domain::generate::backs::remark;
use crate::domain::generate::backs::runner_up;
use crate::domain::generate::backs::told;
use crate::domain::generate::backs::why;
use crate::domain::generate::coded::circuits;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::tier;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::generate::fronts::front;
use crate::domain::generate::fronts::leak;
use crate::domain::generate::fronts::rival;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::weigh::account::Account;
use crate::domain::generate::weigh::agreed::ALSO_RIGHT_JOBS;
use crate::domain::generate::weigh::agreed::ALSO_RIGHT_SHARE;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::is_circumstance;
use crate::domain::units::count;

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

/// Makes the card of one fix and variant, or says why there is none.
pub(in crate::domain::generate) fn card(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    group: &Group,
) -> Result<Card, String> {
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
    let family = circuits::family_of(&jobs).ok_or("no job names its circuit")?;
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
    let acts = phrases::sorted(answers.iter().flat_map(|a| a.steps.iter().map(|s| &s.act)));
    let environment = phrases::sorted(jobs.iter().flat_map(|j| &j.environment));
    let runner_up = runner_up::runner_up(shelf, group, &draft, &also);
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
        board: shelf.id.to_owned(),
        revs: phrases::sorted(jobs.iter().filter_map(|j| j.rev.as_ref())),
        contributing: contributing(input, shelf, group, (&draft, &also), &family),
        complaint: shown.complaint.clone(),
        deciding: deciding(&told.all, &front),
        front: front.into_iter().map(|(_, finding)| finding).collect(),
        held_back,
        answers,
        support: support(&share, &others),
        share,
        others: others
            .iter()
            .map(|(fix, k)| OtherFix {
                steps: phrases::steps(fix, shelf.board),
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
        why: why::why(shelf, group, &told, runner_up),
        cautions: (input.cautions)(&Hazards {
            board: shelf.board,
            family: &family,
            complaint: &shown.complaint,
            environment: &environment,
            acts: &acts,
        }),
        warn,
        family,
        ..Card::blank(CardKind::Fix)
    };
    leak::unless_it_leaks(card, shelf.board)
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
    runner_up::likelier(shelf, group, draft, also)
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

/// Returns the jobs a card cites, oldest first: its own, and those counted in its share that the same
/// fix mended though the part had failed otherwise.
fn cited<'a>(shelf: &Shelf<'a>, group: &Group, draft: &Draft) -> Vec<&'a Job> {
    let rows = shelf.cited(group, draft).into_iter();
    rows.map(|at| shelf.cases[at].job).collect()
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
            phrases::jobs_text(share.n),
            phrases::short_fix(first)
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
    let listed = circuits::listed(input.circuits, shelf.board, &fixes);
    let matching = draft.matching.iter().map(|at| &shelf.cases[*at]);
    let right = matching.filter(|c| also.contains(&c.fix));
    let own = || group.evidence.iter().map(|at| &shelf.cases[*at]);
    let merged = own().filter(|c| group.joined.contains(&c.fix));
    let mut families = phrases::sorted(
        own()
            .flat_map(|c| &c.job.contributing)
            .chain(right.chain(merged).filter_map(|c| c.job.family.as_ref()))
            .chain(listed),
    );
    families.retain(|f| f != family);
    families
}

/// Returns the places on the front of the two findings that speak most for the fix.
fn deciding(accounts: &[Account], front: &[(usize, Finding)]) -> Vec<usize> {
    let telling = accounts.iter().filter(|a| 0.0 < a.weight);
    telling
        .filter_map(|a| front.iter().position(|(name, _)| *name == a.name))
        .take(2)
        .collect()
}

fn answers<'a>(fixes: impl Iterator<Item = &'a Fix>, board: Option<&Board>) -> Vec<Answer> {
    let answer = |fix: &Fix| Answer {
        steps: phrases::steps(fix, board),
        also: Vec::new(),
    };
    fixes.map(answer).collect()
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
            phrases::jobs_text(group.returned.len()),
            if speak == 1 { "speaks" } else { "speak" },
            named.join(", ")
        )
    })
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

/// Jobs that a reason names at most.
const NAMED: usize = 3;
