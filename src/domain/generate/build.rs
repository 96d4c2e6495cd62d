//! From closed jobs to cards; the fix cards are made here, the other kinds beside.
//!
//! The same jobs, boards and day give the same cards in any order of the jobs. A fix that gets no
//! card is listed with the reason.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyId;
use crate::domain::generate::checks;
use crate::domain::generate::contrast;
use crate::domain::generate::evidence;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Group;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::front;
use crate::domain::generate::leak;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::missed;
use crate::domain::generate::remark;
use crate::domain::generate::stop;
use crate::domain::generate::tier;
use crate::domain::generate::tier::History;
use crate::domain::generate::tier::Tier;
use crate::domain::ids;
use crate::domain::interval;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::units::count;

/// Another fix is a right answer too from this many matching jobs …
pub const ALSO_RIGHT_JOBS: usize = 3;
/// … and from this part of them.
pub const ALSO_RIGHT_SHARE: f64 = 0.2;

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
    /// Ids of job lines that contradict another line.
    pub contradictory: &'a BTreeSet<String>,
    /// Tells whether a recorded fix is unsafe in its job: it is then never an answer.
    pub unsafe_fix: &'a dyn Fn(&Fix, &Job) -> bool,
    /// Returns the hazards whose caution stands first on the card.
    pub cautions: &'a dyn Fn(&Hazards<'_>) -> Vec<String>,
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

/// Makes the cards of an archive: the fix cards, then what tells look-alikes apart, when to stop, and
/// what was missed.
pub fn build(input: &BuildInput<'_>) -> Built {
    let mut jobs: Vec<&Job> = input.jobs.iter().collect();
    jobs.sort_by(|a, b| {
        let (left, right) = ((a.closed_on, &a.id, &a.job), (b.closed_on, &b.id, &b.job));
        left.cmp(&right)
            .then_with(|| format!("{a:?}").cmp(&format!("{b:?}")))
    });
    let history = History::of(&jobs);
    let mut by_board: BTreeMap<&str, Vec<&Job>> = BTreeMap::new();
    for job in &jobs {
        by_board.entry(&job.board).or_default().push(job);
    }
    let mut built = Built::default();
    for (id, jobs) in by_board {
        let shelf = shelf(input, &history, id, &jobs);
        for group in &shelf.groups {
            match fix_card(input, &shelf, group) {
                Ok(card) => built.cards.push(card),
                Err(why) => built.skipped.push(Skipped {
                    board: id.to_owned(),
                    what: format!("{id}: {} ({})", group.fix.key(), group.variant.word()),
                    why,
                }),
            }
        }
        built.cards.extend(contrast::cards(input, &shelf));
        built.cards.extend(stop::cards(input, &shelf, &jobs));
        let (cautions, skipped) = missed::cards(input, &shelf, &jobs);
        built.cards.extend(cautions);
        built.skipped.extend(skipped);
    }
    checks::mark(input, &mut built);
    built
}

fn shelf<'a>(
    input: &BuildInput<'a>,
    history: &History<'_>,
    id: &'a str,
    jobs: &[&'a Job],
) -> Shelf<'a> {
    let board = input.boards.iter().find(|b| b.id == id);
    let cases = jobs.iter().filter_map(|job| {
        let held = history.held(job, input.as_of, input.warranty_days);
        let tier = tier::tier(job, held, input.contradictory.contains(&job.id));
        let barred = (input.unsafe_fix)(&job.fix(), job);
        evidence::case(job, board, tier, barred)
    });
    Shelf::new(id, board, cases.collect())
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
    let answers: Vec<Answer> = std::iter::once(&group.fix)
        .chain(&also)
        .map(|fix| Answer {
            steps: steps(fix, shelf.board),
            also: Vec::new(),
        })
        .collect();
    let acts = sorted(answers.iter().flat_map(|a| a.steps.iter().map(|s| &s.act)));
    let environment = sorted(jobs.iter().flat_map(|j| &j.environment));
    let mut warn = remark::warnings(shelf, group, &draft, &share, &others);
    if input.circuits.get(&family).is_none() {
        warn.push(format!("circuit unknown: the shop has no family {family}"));
    }
    let fix_key = group.fix.key();
    let kind = CardKind::Fix;
    let card = Card {
        id: ids::long_mark([kind.word(), shelf.id, &fix_key, group.variant.word()]),
        kind,
        board: shelf.id.to_owned(),
        revs: sorted(jobs.iter().filter_map(|j| j.rev.as_ref())),
        contributing: contributing(shelf, &jobs, &draft, &also, &family),
        complaint: shown.complaint.clone(),
        stem: String::new(),
        points: Vec::new(),
        source: String::new(),
        sides: Vec::new(),
        deciding: deciding(&draft, &front),
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
            .filter(|c| c.fix == group.fix && tier::bounced(c.job))
            .count(),
        jobs: cited.iter().rev().map(|j| j.job.clone()).collect(),
        last: cited.last().map(|j| j.closed_on),
        why: remark::why(shelf, group, &draft),
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
    match leak::leak(&card, shelf.board) {
        Some(what) => Err(format!("its front would give the answer away: {what}")),
        None => Ok(card),
    }
}

/// Returns the jobs a card cites, oldest first: its own, and those counted in its share that the same
/// fix mended though the part had failed otherwise.
fn cited<'a>(shelf: &Shelf<'a>, group: &Group, draft: &Draft) -> Vec<&'a Job> {
    let same_fix = |at: &&usize| shelf.cases[**at].fix == group.fix;
    let counted = draft.matching.iter().filter(same_fix);
    let all: BTreeSet<usize> = group.evidence.iter().chain(counted).copied().collect();
    all.into_iter().map(|at| shelf.cases[at].job).collect()
}

fn no_evidence(shelf: &Shelf<'_>, group: &Group) -> String {
    let own = || {
        let cases = shelf.cases.iter();
        cases.filter(|c| c.fix == group.fix && c.variant == group.variant)
    };
    if own().any(|c| c.barred) {
        return "the recorded act is unsafe and never an answer".to_owned();
    }
    let reasons: Vec<String> = own()
        .take(3)
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
    let families = jobs.iter().filter_map(|j| j.family.clone());
    remark::commonest(families).map(|(family, _)| family)
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
    let mut masked: BTreeSet<Fix> = BTreeSet::from([group.fix.clone()]);
    let mut mask = Mask::of(&masked, Some(family), shelf.board);
    loop {
        let draft = shelf
            .draft(group, &mask)
            .ok_or("nothing read before the repair may be shown")?;
        let also = also_right(shelf, group, &draft);
        masked.extend(also.iter().cloned());
        mask = Mask::of(&masked, Some(family), shelf.board);
        if shelf.looks_the_same(&draft, &mask) {
            return Ok((draft, mask, also));
        }
    }
}

/// Returns the other fixes that count as right, most frequent first.
fn also_right(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> Vec<Fix> {
    let n = draft.matching.len();
    let barred = shelf.barred();
    shelf
        .others(group, &draft.matching)
        .into_iter()
        .filter(|(_, k)| *k >= ALSO_RIGHT_JOBS && count(*k) >= ALSO_RIGHT_SHARE * count(n))
        .filter(|(fix, _)| !barred.contains(fix))
        .map(|(fix, _)| fix)
        .collect()
}

fn share_of(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> Share {
    let own = || {
        let cases = draft.matching.iter().map(|at| &shelf.cases[*at]);
        cases.filter(|c| c.fix == group.fix && c.speaks())
    };
    let (k, n) = (own().count(), draft.matching.len());
    let limits = interval::wilson(k, n);
    Share {
        k,
        n,
        proved: own().filter(|c| c.proved).count(),
        low: limits.map_or(0.0, |l| l.low),
        high: limits.map_or(1.0, |l| l.high),
    }
}

fn support(share: &Share, others: &[(Fix, usize)]) -> Support {
    let runner_up = others.first().map_or(0, |(_, k)| *k);
    if share.n <= 1 {
        Support::Single
    } else if share.n < 3 || 2 * runner_up >= share.k {
        Support::Thin
    } else {
        Support::Supported
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

/// Returns the circuits that count as right as well: those with damage in the evidence jobs, and
/// those of the other right answers.
fn contributing(
    shelf: &Shelf<'_>,
    jobs: &[&Job],
    draft: &Draft,
    also: &[Fix],
    family: &str,
) -> Vec<FamilyId> {
    let matching = draft.matching.iter().map(|at| &shelf.cases[*at]);
    let right = matching.filter(|c| also.contains(&c.fix));
    let mut families = sorted(
        jobs.iter()
            .flat_map(|j| &j.contributing)
            .chain(right.filter_map(|c| c.job.family.as_ref())),
    );
    families.retain(|f| f != family);
    families
}

/// Returns the places on the front of the two findings that speak most for the fix.
fn deciding(draft: &Draft, front: &[(usize, Finding)]) -> Vec<usize> {
    remark::weights(draft)
        .iter()
        .filter(|w| w.weight > 0.0)
        .filter_map(|w| front.iter().position(|(name, _)| *name == w.name))
        .take(2)
        .collect()
}

/// Returns the warning of an answer that rests on little; none where it rests on enough.
pub(super) fn small_evidence(k: usize, n: usize, low: f64) -> Option<String> {
    (n < 3 || low < 0.5).then(|| {
        let limits = interval::wilson(k, n);
        format!(
            "small evidence: {k} of {n}, 95 % interval {:.0} to {:.0} %",
            100.0 * limits.map_or(0.0, |l| l.low),
            100.0 * limits.map_or(1.0, |l| l.high)
        )
    })
}

/// Returns the warning of a share that was counted over few jobs; none where there were enough.
pub(super) fn small_count(n: usize) -> Option<String> {
    (n < 3).then(|| format!("small evidence: {} like this", jobs_text(n)))
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
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::generate::sample::built;
    use crate::domain::generate::sample::built_with;
    use crate::domain::job::BounceCause;
    use crate::domain::job::Confidence;
    use crate::domain::job::FindingKind;
    use crate::domain::job::Outcome;
    use crate::domain::job::Role;

    fn card<'a>(built: &'a Built, part: &str) -> &'a Card {
        let own = |c: &&Card| c.answers[0].steps[0].part == part;
        built.cards.iter().find(own).expect("a card for the part")
    }

    /// `n` jobs replacing `part`, all showing the standby rail at `verdict`.
    fn jobs(part: &str, n: u64, verdict: &str) -> Vec<Job> {
        let job = |at: u64| {
            let findings = vec![sample::rail("3V3_SB", verdict)];
            sample::job_with(&format!("{part}-{at}"), part, at, findings)
        };
        (1..=n).map(job).collect()
    }

    #[test]
    fn a_card_carries_its_evidence() {
        let mut all = jobs("U31", 7, "low");
        all.extend(jobs("L12", 2, "low"));
        all.extend(jobs("C40", 6, "in-band"));
        all[6].rev = Some("C".to_owned());
        all[6].contributing = vec!["interconnect".to_owned()];
        all[6].proof = Some("3V3_SB back at 3.31 V".to_owned());
        for job in &mut all[..2] {
            job.actions
                .push(sample::action("reflow", "L12", Role::TriedNoEffect));
        }
        let built = built(&all);
        let card = card(&built, "U31");
        assert_eq!((card.share.k, card.share.n, card.share.proved), (7, 9, 7));
        // Wilson limits of 7/9 to three places, from the formula.
        assert!((card.share.low - 0.453).abs() < 5e-4);
        assert!((card.share.high - 0.937).abs() < 5e-4);
        assert_eq!(card.support, Support::Supported);
        assert_eq!(card.others.len(), 1);
        assert_eq!(card.others[0].k, 2);
        assert_eq!(
            card.answers.len(),
            1,
            "two jobs do not make it right as well"
        );
        assert_eq!(card.revs, ["B", "C"]);
        assert_eq!(card.contributing, ["interconnect"]);
        assert_eq!(card.jobs[0], "U31-7");
        assert_eq!(card.jobs.len(), 7);
        assert_eq!(card.last, Some(all[6].closed_on));
        assert_eq!(card.family, "standby");
        assert_eq!(card.front, [sample::rail("3V3_SB", "low")]);
        assert_eq!(card.deciding, [0]);
        assert_eq!(
            card.answers[0].steps[0].name.as_deref(),
            Some("standby switcher")
        );
        assert_eq!(
            card.why,
            "3V3_SB low: 7 of 7 with this fix, 2 of 8 without; tried in vain: reflow L12 \
             (2 jobs); proof: 3V3_SB back at 3.31 V (1 job)"
        );
        assert_eq!(
            card.id,
            ids::long_mark(["fix", "petrel-p4", "replace U31", "other"])
        );
    }

    #[test]
    fn another_fix_is_right_from_a_fifth_and_three_jobs() {
        for (mine, theirs, right) in [(4, 2, false), (12, 3, true), (13, 3, false), (3, 3, true)] {
            let mut all = jobs("U31", mine, "low");
            all.extend(jobs("L12", theirs, "low"));
            let built = built(&all);
            let card = card(&built, "U31");
            assert_eq!(card.answers.len() == 2, right, "{mine} against {theirs}");
            assert_eq!(card.answers[0].steps[0].part, "U31", "its own stands first");
        }
    }

    #[test]
    fn another_right_answer_is_held_back_too() {
        let job = |part: &str, at: u64, ohms: f64| {
            let findings = vec![sample::resistance("L12", ohms)];
            sample::job_with(&format!("{part}-{at}"), part, at, findings)
        };
        let mut all: Vec<Job> = (1..=4).map(|at| job("U31", at, 0.2)).collect();
        all.extend((1..=4).map(|at| job("C40", at, 50.0)));
        let place = |all: &[Job]| card(&built(all), "U31").front[0].place.clone();
        assert_eq!(place(&all), "L12", "the reading that tells them apart");
        all.extend((1..=4).map(|at| job("L12", at, 0.2)));
        let built = built(&all);
        let card = card(&built, "U31");
        assert_eq!(card.answers.len(), 2);
        assert_eq!(card.front[0].place, "");
        assert_eq!(card.held_back[0].place, "L12");
    }

    #[test]
    fn no_card_without_proof_and_the_reason_is_said() {
        let mut all = jobs("U31", 3, "low");
        for job in &mut all {
            job.confidence = Some(Confidence::Likely);
        }
        let built = built(&all);
        assert!(built.cards.is_empty());
        assert_eq!(built.skipped[0].what, "petrel-p4: replace U31 (other)");
        assert_eq!(built.skipped[0].why, "nobody proved it in any job");
    }

    #[test]
    fn the_shown_job_is_one_whose_like_was_proved() {
        let mut all = jobs("U31", 4, "low");
        for job in &mut all {
            job.confidence = Some(Confidence::Likely);
        }
        let mut proved = jobs("U31", 1, "absent");
        proved[0].id = "P".to_owned();
        proved[0].job = "P".to_owned();
        all.extend(proved);
        let built = built(&all);
        let card = card(&built, "U31");
        assert_eq!(card.share.proved, 1);
        assert_eq!(card.front, [sample::rail("3V3_SB", "absent")]);
    }

    #[test]
    fn contradictory_jobs_speak_for_nothing() {
        let all = jobs("U31", 2, "low");
        let both = built_with(&all, &["U31-1", "U31-2"], &|_, _| false);
        assert!(both.cards.is_empty());
        assert!(both.skipped[0].why.contains("contradict"));
        let one = built_with(&all, &["U31-1"], &|_, _| false);
        assert_eq!(one.cards[0].share.n, 1);
        assert_eq!(one.cards[0].jobs, ["U31-2"]);
        assert_eq!(one.cards[0].support, Support::Single);
    }

    #[test]
    fn an_unsafe_act_is_never_an_answer() {
        let mut all = jobs("U31", 3, "low");
        let mut fuse = jobs("F1", 3, "low");
        for job in &mut fuse {
            job.actions = vec![sample::action("bridge-or-jumper", "F1", Role::TheFix)];
        }
        all.extend(fuse);
        let bridges = |fix: &Fix, _: &Job| fix.pairs()[0].0 == "bridge-or-jumper";
        let built = built_with(&all, &[], &bridges);
        assert_eq!(built.cards.len(), 1);
        let card = card(&built, "U31");
        assert_eq!(card.answers.len(), 1);
        assert!(card.others.is_empty());
        assert_eq!((card.share.k, card.share.n), (3, 6), "its jobs still count");
        assert!(card.warn.iter().any(|w| w.starts_with("unsafe: 3 jobs")));
        assert!(built.skipped[0].why.contains("unsafe"));
    }

    #[test]
    fn returns_are_counted_and_only_a_wrong_diagnosis_leaves_the_share() {
        let mut all = jobs("U31", 5, "low");
        all[0].outcome = Outcome::BouncedSameFault;
        all[0].bounce_cause = Some(BounceCause::Diagnosis);
        all[1].outcome = Outcome::BouncedSameFault;
        all[1].bounce_cause = Some(BounceCause::Workmanship);
        all[2].outcome = Outcome::BouncedSameFault;
        let built = built(&all);
        let card = card(&built, "U31");
        assert_eq!(card.bounced, 3);
        assert_eq!((card.share.k, card.share.n), (3, 3));
        let begins = |text: &str| card.warn.iter().any(|w| w.starts_with(text));
        assert!(begins("bounced: 3 of 5") && begins("doubtful: 1 job"));
    }

    /// Machine tests of a bad card: common practice, no source.
    #[test]
    fn doubtful_cards_say_so() {
        let mut all = jobs("U31", 3, "low");
        all.extend(jobs("L12", 4, "low"));
        all[0].family = Some("buck".to_owned());
        let built = built(&all);
        let card = card(&built, "U31");
        assert_eq!(card.support, Support::Thin);
        let begins = |text: &str| card.warn.iter().any(|w| w.starts_with(text));
        assert!(begins("ambiguous: 2 of the fixes"));
        assert!(begins("outnumbered: replace L12 holds 4 of the 7"));
        assert!(begins("small evidence: 3 of 7"));
        assert!(begins("circuit disputed: buck 1, standby 2"));
    }

    #[test]
    fn a_part_that_is_not_on_the_revision_is_reported() {
        let all = jobs("U31", 3, "low");
        let mut board = sample::board();
        board.parts.get_mut("U31").unwrap().revs = vec!["A".to_owned()];
        let contradictory = BTreeSet::new();
        let built = build(&BuildInput {
            jobs: &all,
            boards: &[board],
            circuits: &Circuits::with_shop(&[], false),
            as_of: sample::day_one(),
            warranty_days: 90,
            rate_per_hour: Some(60.0),
            contradictory: &contradictory,
            unsafe_fix: &|_, _| false,
            cautions: &|h: &Hazards<'_>| vec![h.family.to_owned(), h.acts.join(",")],
        });
        let warn = &built.cards[0].warn;
        assert!(warn.contains(&"revision: U31 is not on revision B, but U31-1 says so".to_owned()));
        assert!(warn.contains(&"stale: revision C has no U31".to_owned()));
        assert_eq!(built.cards[0].cautions, ["standby", "replace"]);
    }

    #[test]
    fn places_of_signs_and_heat_wait_for_the_answer() {
        let mut all = jobs("U31", 3, "low");
        for job in &mut all {
            let mut hot = Finding::new(FindingKind::Heat, "L12");
            hot.got = Some(81.0);
            hot.code = Some("hottest part L12".to_owned());
            let mut residue = sample::sign("J7", "residue");
            residue.raw = Some("green by J7".to_owned());
            job.findings = vec![hot, residue];
            job.findings
                .push(sample::test("reading with a meter", "as usual"));
        }
        all.extend(jobs("C40", 3, "low"));
        let built = built(&all);
        let card = card(&built, "U31");
        assert!(!card.front.is_empty());
        for finding in &card.front {
            let looks = matches!(finding.kind, FindingKind::Heat | FindingKind::Visual);
            assert!(!looks || finding.place.is_empty());
            assert!(finding.kind != FindingKind::Heat || finding.code.is_none());
        }
        let places: Vec<&str> = card.held_back.iter().map(|f| f.place.as_str()).collect();
        assert_eq!(places, ["L12", "J7"]);
        assert!(card.held_back.iter().all(|f| f.raw.is_none()));
    }

    #[test]
    fn a_job_with_nothing_to_show_gets_no_card() {
        let findings = vec![sample::test("U31 pressed", "starts")];
        let all = [sample::job_with("1", "U31", 1, findings)];
        let built = built(&all);
        assert!(built.cards.is_empty());
        assert_eq!(
            built.skipped[0].why,
            "nothing read before the repair may be shown"
        );
    }
}
