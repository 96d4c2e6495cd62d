//! Caution cards: it looked fixed, it came back. What was missed?
//!
//! From a job that came back with the same fault (wrong diagnosis, workmanship, or nobody wrote why)
//! and the job of that unit that mended it. The front is what was known the first time. Where the
//! second repair was another, it is the answer, judged as any repair; where the same thing had to be
//! done once more, properly, the answer is in words. What the archive calls unsafe is never one.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::domain::generate::backs::remark;
use crate::domain::generate::backs::why;
use crate::domain::generate::coded::circuits;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::tier;
use crate::domain::generate::fronts::front;
use crate::domain::generate::fronts::leak;
use crate::domain::generate::fronts::rival;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::input::Skipped;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::generate::words::say;
use crate::domain::ids;
use crate::domain::job::BounceCause;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::wording;

/// Findings on the front at most.
pub const FINDINGS: usize = 5;

/// A repair that did not hold, and the one that did.
struct Pair<'a> {
    first: &'a Job,
    then: &'a Job,
}

/// Makes the caution cards of one board; `jobs` are sorted, oldest first.
pub fn cards(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    jobs: &[&Job],
) -> (Vec<Card>, Vec<Skipped>) {
    let mut kinds: BTreeMap<(Fix, Fix), Vec<Pair<'_>>> = BTreeMap::new();
    let returned = jobs
        .iter()
        .filter(|j| missed_something(j) && !j.fix().is_empty());
    for first in returned {
        let mended = shelf.cases.iter().find(|case| {
            let follows = case.job.follows.as_deref();
            follows.is_some_and(|f| f == first.job || f == first.id) && case.speaks()
        });
        if let Some(case) = mended {
            let then = case.job;
            kinds
                .entry((first.fix(), then.fix()))
                .or_default()
                .push(Pair { first, then });
        }
    }
    let (mut cards, mut skipped) = (Vec::new(), Vec::new());
    for ((first, then), pairs) in &kinds {
        let all: usize = kinds
            .iter()
            .filter(|((other, _), _)| other == first)
            .map(|(_, pairs)| pairs.len())
            .sum();
        match card(input, shelf, (first, then), pairs, all) {
            Ok(card) => cards.push(card),
            Err(why) => skipped.push(Skipped {
                board: shelf.id.to_owned(),
                what: format!("{}: {} did not hold", shelf.id, first.key()),
                why,
            }),
        }
    }
    (cards, skipped)
}

/// Tells whether a return speaks of something missed: not a failed part, and no new damage.
fn missed_something(job: &Job) -> bool {
    job.outcome == Outcome::BouncedSameFault
        && matches!(
            job.bounce_cause,
            None | Some(BounceCause::Diagnosis | BounceCause::Workmanship | BounceCause::Unknown)
        )
}

/// Returns what the first repair left undone; all of the second where it left nothing out.
fn left_out(first: &Fix, then: &Fix) -> Fix {
    let pairs = then.pairs().iter();
    let new: Vec<(String, String)> = pairs
        .filter(|p| !first.pairs().contains(p))
        .cloned()
        .collect();
    if new.is_empty() {
        then.clone()
    } else {
        Fix::new(new)
    }
}

/// Returns the question: what was done the first time, said as fully as does not tell the answer:
/// with what the parts do, by designator alone, or without the part.
fn stem(first: &Fix, mask: &Mask, shelf: &Shelf<'_>) -> String {
    let pairs = first.pairs().iter();
    let full = wording::answer_text(&Answer {
        steps: phrases::steps(first, shelf.board),
        also: Vec::new(),
    });
    let bare: Vec<String> = pairs
        .clone()
        .map(|(act, part)| wording::done_to(act, part))
        .collect();
    let many = if first.pairs().len() == 1 {
        "a part that is"
    } else {
        "parts that are"
    };
    let acts: BTreeSet<&str> = pairs.map(|(act, _)| wording::act_verb(act)).collect();
    let acts: Vec<&str> = acts.into_iter().collect();
    let done = [full, bare.join("; ")]
        .into_iter()
        .find(|text| !mask.tells(text))
        .unwrap_or_else(|| format!("{} {many} named with the answer", acts.join(" and ")));
    let done = wording::lower_first(&done);
    format!("First repair: {done}. It looked fixed, then it came back. What was missed?")
}

/// Returns the points where the same thing had to be done once more, properly.
fn once_more(steps: &[Step]) -> Vec<KeyPoint> {
    vec![
        say::fix("once more, and properly: ", steps),
        say::one_of(
            "the work itself was the fault, not the diagnosis",
            &[
                "properly",
                "workmanship",
                "joint",
                "solder",
                "again",
                "redo",
                "work",
                "once more",
                "clean",
                "pad",
                "poor",
                "badly",
            ],
            true,
        ),
    ]
}

/// Counts the returns of these causes.
fn caused(pairs: &[Pair<'_>], causes: &[Option<BounceCause>]) -> usize {
    let of = |p: &&Pair<'_>| causes.contains(&p.first.bounce_cause);
    pairs.iter().filter(of).count()
}

/// Returns what came back and why, what was tried in vain before it was mended, and what proved that.
fn why(first: &Fix, pairs: &[Pair<'_>]) -> String {
    let causes = [
        (
            "wrong diagnosis",
            caused(pairs, &[Some(BounceCause::Diagnosis)]),
        ),
        (
            "workmanship",
            caused(pairs, &[Some(BounceCause::Workmanship)]),
        ),
        (
            "nobody wrote why",
            caused(pairs, &[None, Some(BounceCause::Unknown)]),
        ),
    ];
    let causes: Vec<String> = causes
        .iter()
        .filter(|(_, n)| 0 < *n)
        .map(|(cause, n)| format!("{cause} in {n}"))
        .collect();
    let then: Vec<&Job> = pairs.iter().map(|p| p.then).collect();
    let which: Vec<&str> = pairs.iter().map(|p| p.first.job.as_str()).take(3).collect();
    let more = if which.len() < pairs.len() {
        " and more"
    } else {
        ""
    };
    let mut lines = vec![
        format!(
            "{} came back after: {} ({}{more})",
            phrases::jobs_text(pairs.len()),
            phrases::short_fix(first),
            which.join(", "),
        ),
        causes.join(", "),
    ];
    lines.extend(why::in_vain(&then));
    lines.extend(why::proof(&then));
    phrases::joined(&lines)
}

/// Returns what the latest repair that did not hold had shown, the most telling of it, with the group of
/// the repair that held.
fn drafted<'a>(
    shelf: &'a Shelf<'_>,
    (first, then): (&Fix, &Fix),
    pairs: &[Pair<'_>],
    mask: &Mask,
) -> Result<(Draft, &'a Group), String> {
    let row = |job: &Job| shelf.cases.iter().position(|c| std::ptr::eq(c.job, job));
    let latest = pairs.last().ok_or("no job")?;
    let mended = row(latest.then).ok_or("no job")?;
    let group = shelf.groups.iter().find(|g| g.members.contains(&mended));
    let group = group.ok_or_else(|| format!("{} has no card of its own", then.key()))?;
    let mut sides = shelf.sides(group);
    for row in pairs.iter().filter_map(|pair| row(pair.first)) {
        sides[row] = Side::Apart;
    }
    let shown = row(latest.first).ok_or_else(|| format!("no job with {}", first.key()))?;
    let mut draft = Draft {
        table: shelf.table(mask),
        sides,
        names: Vec::new(),
        shown,
        matching: Vec::new(),
    };
    draft.names = rival::telling(shelf, group, &draft, mask, FINDINGS);
    Ok((draft, group))
}

fn card(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    (first, then): (&Fix, &Fix),
    pairs: &[Pair<'_>],
    all: usize,
) -> Result<Card, String> {
    let latest = pairs.last().ok_or("no job")?;
    let family = latest
        .then
        .family
        .clone()
        .ok_or("no job names its circuit")?;
    let missed = left_out(first, then);
    let mask = Mask::of([&missed], Some(&family), shelf.board);
    let (draft, group) = drafted(shelf, (first, then), pairs, &mask)?;
    let (front, held_back) = front::faces(latest.first, &draft, &mask, shelf.board);
    if front.is_empty() {
        return Err("nothing read before the repair may be shown".to_owned());
    }
    let same = first == then;
    if same && caused(pairs, &[Some(BounceCause::Workmanship)]) == 0 {
        return Err("the same repair again, and nobody wrote why it came back".to_owned());
    }
    let stem = stem(first, &mask, shelf);
    if mask.tells(&stem) {
        return Err("what was done the first time would give the answer away".to_owned());
    }
    let steps = phrases::steps(&missed, shelf.board);
    let points = if same { once_more(&steps) } else { Vec::new() };
    let answers = vec![Answer {
        steps,
        also: Vec::new(),
    }];
    let proved = pairs.iter().filter(|p| tier::is_proved(p.then)).count();
    let share = Share::counted(pairs.len(), all, proved);
    let cited: Vec<&Job> = pairs.iter().flat_map(|p| [p.first, p.then]).collect();
    let acts = phrases::sorted(then.pairs().iter().map(|(act, _)| act));
    let environment = phrases::sorted(cited.iter().flat_map(|j| &j.environment));
    let kind = CardKind::Caution;
    let listed = circuits::listed(input.circuits, shelf.board, &[&missed]);
    let mut contributing = phrases::sorted(latest.then.contributing.iter().chain(listed));
    contributing.retain(|f| *f != family);
    let mut warn: Vec<String> = remark::small_evidence(&share).into_iter().collect();
    let unknown = caused(pairs, &[None, Some(BounceCause::Unknown)]);
    if 0 < unknown {
        warn.push(format!(
            "doubtful: of {unknown} nobody wrote why it came back"
        ));
    }
    warn.extend(rival::warnings(
        shelf,
        group,
        &draft,
        &mask,
        std::slice::from_ref(first),
    ));
    let card = Card {
        id: ids::long_mark([
            kind.word(),
            shelf.id,
            &format!("{} -> {}", first.key(), then.key()),
            "",
        ]),
        board: shelf.id.to_owned(),
        revs: phrases::sorted(cited.iter().filter_map(|j| j.rev.as_ref())),
        contributing,
        complaint: latest.first.complaint.clone(),
        stem,
        points,
        front: front.into_iter().map(|(_, finding)| finding).collect(),
        held_back,
        answers,
        share,
        bounced: all,
        support: Support::of_jobs(all),
        jobs: cited.iter().rev().map(|j| j.job.clone()).collect(),
        last: cited.iter().map(|j| j.closed_on).max(),
        why: why(first, pairs),
        cautions: (input.cautions)(&Hazards {
            board: shelf.board,
            family: &family,
            complaint: &latest.first.complaint,
            environment: &environment,
            acts: &acts,
        }),
        warn,
        family,
        ..Card::blank(kind)
    };
    leak::unless_it_leaks(card, shelf.board)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::job::Role;

    /// `first` was replaced and came back; then `act` on `then` mended it.
    fn returned(first: &str, act: &str, then: &str, cause: Option<BounceCause>) -> Vec<Job> {
        let mut one = sample::job("W-1", first, 1);
        one.outcome = Outcome::BouncedSameFault;
        one.bounce_cause = cause;
        let mut two = sample::job("W-2", then, 20);
        two.follows = Some("W-1".to_owned());
        two.actions = vec![sample::action(act, then, Role::TheFix)];
        vec![one, two]
    }

    fn cautions(jobs: &[Job]) -> Vec<Card> {
        let built = sample::built(jobs);
        let kind = |c: &Card| c.kind == CardKind::Caution;
        built.cards.into_iter().filter(kind).collect()
    }

    #[test]
    fn the_repair_that_held_is_the_answer_and_the_circuit_is_asked() {
        let cards = cautions(&returned(
            "L12",
            "replace",
            "U31",
            Some(BounceCause::Diagnosis),
        ));
        assert_eq!(cards.len(), 1);
        let card = &cards[0];
        assert_eq!(card.answers[0].steps[0].part, "U31");
        assert!(card.points.is_empty() && card.kind.asks_circuit());
        assert_eq!(
            card.stem,
            "First repair: replace L12, the system coil. It looked fixed, then it came back. What \
             was missed?"
        );
        assert_eq!(card.jobs, ["W-2", "W-1"]);
        assert_eq!(card.front, [sample::rail("3V3_SB", "low")]);
    }

    #[test]
    fn the_stem_does_not_name_the_part_that_is_asked_for() {
        let cause = Some(BounceCause::Workmanship);
        let cards = cautions(&returned("U31", "reflow", "U31", cause));
        assert!(!cards[0].stem.contains("U31"), "{}", cards[0].stem);
        let unexplained = returned("U31", "replace", "U31", None);
        assert!(cautions(&unexplained).is_empty(), "nobody wrote why");
        let same = cautions(&returned("U31", "replace", "U31", cause));
        assert_eq!(
            same[0].points.len(),
            2,
            "done again, properly: said in words"
        );
        assert!(!same[0].stem.contains("U31"), "{}", same[0].stem);
    }

    #[test]
    fn what_was_done_the_first_time_is_not_asked_for_again() {
        let mut jobs = returned("U31", "replace", "U31", Some(BounceCause::Diagnosis));
        jobs[1]
            .actions
            .push(sample::action("replace", "L12", Role::TheFix));
        let cards = cautions(&jobs);
        let parts: Vec<&str> = cards[0].answers[0]
            .steps
            .iter()
            .map(|s| s.part.as_str())
            .collect();
        assert_eq!(parts, ["L12"]);
        assert!(cards[0].stem.contains("replace U31"), "{}", cards[0].stem);
        assert!(
            cards[0].why.ends_with("wrong diagnosis in 1"),
            "{}",
            cards[0].why
        );
    }

    #[test]
    fn a_failed_part_or_new_damage_missed_nothing() {
        for cause in [BounceCause::Part, BounceCause::NewDamage] {
            assert!(cautions(&returned("L12", "replace", "U31", Some(cause))).is_empty());
        }
        let mut jobs = returned("L12", "replace", "U31", None);
        assert_eq!(cautions(&jobs).len(), 1, "nobody wrote why");
        jobs[1].follows = None;
        assert!(cautions(&jobs).is_empty(), "nothing says what mended it");
    }

    #[test]
    fn of_many_findings_those_that_tell_are_shown() {
        let mut jobs = returned("L12", "replace", "U31", Some(BounceCause::Diagnosis));
        let healthy = ["1V2", "1V8", "2V5", "3V0", "3V3"];
        let mut findings: Vec<_> = healthy.map(|r| sample::rail(r, "in-band")).to_vec();
        findings.push(sample::rail("VSYS", "absent"));
        for job in &mut jobs {
            job.findings.clone_from(&findings);
        }
        jobs.extend((1..=4).map(|at| {
            let findings = healthy.map(|r| sample::rail(r, "in-band")).to_vec();
            sample::job_with(&format!("W-C{at}"), "C40", at, findings)
        }));
        let front = &cautions(&jobs)[0].front;
        assert_eq!(front.len(), FINDINGS);
        assert!(front.contains(&sample::rail("VSYS", "absent")), "{front:?}");
    }
}
