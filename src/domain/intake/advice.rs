//! What a person should hear before a job is saved. Nothing here forbids anything.
//!
//! Told are: what was seen only after cleaning, a fix without a proof, a fix that came back on this
//! board before, a job that looks like this one, a designator that this board never had, and acts that
//! can hurt someone. The unsafe acts are those of [`crate::domain::judge::danger::unsafe_acts`]; how alike two
//! jobs must be is [`crate::domain::check::twins`]' business. Common practice, no source.

use crate::domain::check::twins;
use crate::domain::generate::coded::tier;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::draft::Draft;
use crate::domain::job::Action;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::When;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::units::count;
use crate::domain::wording;

/// Most jobs that one remark names.
const NAMED: usize = 3;
/// Days within which a job like this one may be the same.
const DAYS: i64 = twins::DAYS;

/// What a remark is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum About {
    /// An act that can hurt someone: it can never be taken for the fix.
    Danger,
    /// A job like this one is in the archive.
    Same,
    /// The number is taken.
    Number,
    /// This fix came back before.
    Bounced,
    /// Something was seen only after cleaning.
    Cleaned,
    /// Nothing proves the fix.
    Proof,
    /// A designator that this board never had.
    Place,
}

impl About {
    /// Returns the word used in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Danger => "danger",
            Self::Same => "same",
            Self::Number => "number",
            Self::Bounced => "bounced",
            Self::Cleaned => "cleaned",
            Self::Proof => "proof",
            Self::Place => "place",
        }
    }
}

/// One thing to say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// What it is about.
    pub about: About,
    /// The sentence.
    pub text: String,
    /// Jobs that it names.
    pub jobs: Vec<String>,
}

/// What advice looks at beside the job itself.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// The board, where it is known.
    pub board: Option<&'a Board>,
    /// What is known of it.
    pub facts: Option<&'a BoardFacts>,
    /// Jobs that count, without the one that is being corrected.
    pub jobs: &'a [Job],
    /// The shop's words.
    pub words: &'a Synonyms,
    /// Acts that the words only may mean: a danger among them is told all the same.
    pub proposed: &'a [Action],
    /// What was typed as one text, with where the same text stands already.
    pub text: &'a str,
    /// Number of the job that was entered with the same text.
    pub same_text: Option<&'a str>,
}

/// Returns everything there is to say, gravest first.
pub fn remarks(draft: &Draft, beside: &Beside<'_>) -> Vec<Remark> {
    let mut found = dangers(draft, beside);
    found.extend(taken(draft, beside));
    found.extend(same(draft, beside));
    found.extend(bounced(draft, beside));
    found.extend(cleaned(draft));
    found.extend(unproved(draft));
    found.extend(strange(draft, beside));
    found
}

/// Returns why the act at `at` must never stand as the fix.
pub fn unsafe_act(draft: &Draft, at: usize, board: Option<&Board>) -> Option<UnsafeAct> {
    let action = draft.actions.get(at)?;
    let one = Fix::new(vec![(action.act.clone(), action.part.clone())]);
    unsafe_acts::unsafe_fix(&one, &whole(draft), board)
}

/// Takes the role of the fix from every act that can hurt someone: it was done, and that is all.
pub fn never_the_fix(draft: &mut Draft, board: Option<&Board>) {
    let unsafe_ones: Vec<usize> = (0..draft.actions.len())
        .filter(|at| draft.actions[*at].role == Role::TheFix)
        .filter(|at| unsafe_act(draft, *at, board).is_some())
        .collect();
    for at in unsafe_ones {
        draft.actions[at].role = Role::AlsoDone;
    }
}

/// The draft as a job; what is not there yet is as neutral as can be.
fn whole(draft: &Draft) -> Job {
    let empty = Job::empty(
        draft.number.as_deref().unwrap_or_default(),
        draft.board.as_deref().unwrap_or_default(),
        draft.outcome.unwrap_or(Outcome::UnknownSoFar),
    );
    Job {
        closed_on: draft.closed_on.unwrap_or_default(),
        rev: draft.rev.clone(),
        unit: draft.unit.clone(),
        follows: draft.follows.clone(),
        complaint: draft.complaint.clone(),
        findings: draft.findings.clone(),
        family: draft.family.clone(),
        actions: draft.actions.clone(),
        confidence: draft.confidence,
        proof: draft.proof.clone(),
        ..empty
    }
}

fn remark(about: About, text: String, jobs: &[&Job]) -> Remark {
    Remark {
        about,
        text,
        jobs: jobs.iter().map(|j| j.job.clone()).collect(),
    }
}

fn dangers(draft: &Draft, beside: &Beside<'_>) -> Vec<Remark> {
    let mut with_proposed = draft.clone();
    with_proposed.actions.extend_from_slice(beside.proposed);
    let mut found: Vec<UnsafeAct> = (0..with_proposed.actions.len())
        .filter_map(|at| unsafe_act(&with_proposed, at, beside.board))
        .collect();
    found.extend(unsafe_acts::unsafe_in_text(
        beside.text,
        beside.board,
        beside.words,
    ));
    let mut told: Vec<Remark> = Vec::new();
    for danger in found {
        let text = format!(
            "Unsafe: {}. {} It can be recorded as done, never as the fix; the maker's \
             instructions, local codes and licensed people decide.",
            danger.what.trim_start_matches("unsafe: "),
            danger.why
        );
        if told.iter().all(|r| r.text != text) {
            told.push(remark(About::Danger, text, &[]));
        }
    }
    told
}

fn taken(draft: &Draft, beside: &Beside<'_>) -> Option<Remark> {
    let number = draft.number.as_deref()?;
    let job = beside
        .jobs
        .iter()
        .find(|j| j.job.eq_ignore_ascii_case(number))?;
    let text = format!("The number {} is taken by another job.", job.job);
    Some(remark(About::Number, text, &[job]))
}

fn same(draft: &Draft, beside: &Beside<'_>) -> Option<Remark> {
    let this = whole(draft);
    let text_twin = beside
        .same_text
        .and_then(|number| beside.jobs.iter().find(|j| j.job == number));
    let near = |job: &&Job| {
        job.board == this.board
            && (job.closed_on - this.closed_on).num_days().abs() <= DAYS
            && !this.fix().is_empty()
            && job.fix() == this.fix()
    };
    let alike = || {
        let mut found: Vec<(f64, &Job)> = beside
            .jobs
            .iter()
            .filter(near)
            .filter_map(|job| Some((twins::likeness(&this, job)?, job)))
            .collect();
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        found.first().map(|(_, job)| *job)
    };
    let (job, why) = match text_twin {
        Some(job) => (job, "the same words were entered"),
        None => (alike()?, "the same board, fix and readings"),
    };
    let text = format!(
        "Same as {}? {why}, closed {}.",
        job.job,
        job.closed_on.format("%-d %b %Y")
    );
    Some(remark(About::Same, text, &[job]))
}

fn bounced(draft: &Draft, beside: &Beside<'_>) -> Option<Remark> {
    let fix = whole(draft).fix();
    if fix.is_empty() {
        return None;
    }
    let here = |job: &&Job| Some(&job.board) == draft.board.as_ref() && job.fix() == fix;
    let all: Vec<&Job> = beside.jobs.iter().filter(here).collect();
    let came_back: Vec<&Job> = all.iter().copied().filter(|j| tier::bounced(j)).collect();
    let first = came_back.first()?;
    let named: Vec<String> = came_back
        .iter()
        .rev()
        .take(NAMED)
        .map(|job| format!("{}: {}", job.job, wording::outcome_text(job)))
        .collect();
    let done: Vec<String> = first
        .actions
        .iter()
        .filter(|a| a.role == Role::TheFix)
        .map(|a| wording::done_to(&a.act, &a.part))
        .collect();
    let text = format!(
        "This fix came back here before, {} of {} times: {} ({}).",
        came_back.len(),
        all.len(),
        done.join(", "),
        named.join("; ")
    );
    Some(remark(About::Bounced, text, &came_back))
}

fn cleaned(draft: &Draft) -> Option<Remark> {
    let late = |f: &&Finding| f.kind == FindingKind::Visual && f.when == When::AfterCleaning;
    let found: Vec<String> = draft
        .findings
        .iter()
        .filter(late)
        .map(|f| wording::finding_line(f).value)
        .collect();
    if found.is_empty() {
        return None;
    }
    let text = format!(
        "Seen only after cleaning: {}. Cleaning takes such evidence away; say so if it was seen before.",
        found.join("; ")
    );
    Some(remark(About::Cleaned, text, &[]))
}

fn unproved(draft: &Draft) -> Option<Remark> {
    let job = whole(draft);
    if job.fix().is_empty() || tier::is_proved(&job) {
        return None;
    }
    let text = "Nothing says that this was the fix: which reading came back?".to_owned();
    Some(remark(About::Proof, text, &[]))
}

/// Designators that neither the part list nor any job of this board names, where enough is known of it.
fn strange(draft: &Draft, beside: &Beside<'_>) -> Option<Remark> {
    let facts = beside.facts.filter(|facts| !facts.parts.is_empty())?;
    let known = |part: &str| {
        let mut all = facts.parts.keys().chain(&facts.places);
        all.any(|name| name.eq_ignore_ascii_case(part))
    };
    let mut odd: Vec<&str> = draft
        .actions
        .iter()
        .map(|a| a.part.trim())
        .filter(|part| is_designator(part) && !known(part))
        .collect();
    odd.dedup();
    let first = odd.first()?;
    let text = format!(
        "{first} was never named on this board, whose list has {} parts: look at it once more.",
        count(facts.parts.len())
    );
    Some(remark(About::Place, text, &[]))
}

fn is_designator(part: &str) -> bool {
    let letters = part.chars().take_while(char::is_ascii_alphabetic).count();
    let rest = &part[letters..];
    (1..=3).contains(&letters) && !rest.is_empty() && rest.chars().all(|c| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::board;
    use crate::domain::check::example::job;
    use crate::domain::job::Action;
    use crate::domain::job::BounceCause;

    fn beside<'a>(jobs: &'a [Job], words: &'a Synonyms) -> Beside<'a> {
        Beside {
            board: None,
            facts: None,
            jobs,
            words,
            proposed: &[],
            text: "",
            same_text: None,
        }
    }

    fn about(draft: &Draft, jobs: &[Job]) -> Vec<About> {
        let words = Synonyms::default();
        let found = remarks(draft, &beside(jobs, &words));
        found.into_iter().map(|r| r.about).collect()
    }

    fn draft() -> Draft {
        let mut draft = Draft::of_job(&job("W-9", "U31", 3));
        draft.proof = Some("3V3_SB back".to_owned());
        draft
    }

    #[test]
    fn the_same_case_is_asked_about_and_another_is_not() {
        assert_eq!(about(&draft(), &[job("W-1", "U31", 1)]), [About::Same]);
        assert_eq!(about(&draft(), &[job("W-1", "L12", 1)]), []);
        let words = Synonyms::default();
        let jobs = [job("W-1", "L12", 1)];
        let beside = Beside {
            same_text: Some("W-1"),
            ..beside(&jobs, &words)
        };
        let found = remarks(&draft(), &beside);
        assert_eq!(found[0].jobs, ["W-1"]);
        assert!(found[0].text.starts_with("Same as W-1? the same words"));
    }

    #[test]
    fn a_fix_that_came_back_is_told_with_its_jobs() {
        let mut old = job("W-1", "U31", 1);
        old.closed_on = old.closed_on - chrono::Days::new(200);
        old.outcome = Outcome::BouncedSameFault;
        old.bounce_cause = Some(BounceCause::Diagnosis);
        let words = Synonyms::default();
        let found = remarks(&draft(), &beside(&[old], &words));
        assert_eq!(found.len(), 1);
        assert_eq!(
            found[0].text,
            "This fix came back here before, 1 of 1 times: replace U31 (W-1: came back with the same \
             fault (diagnosis))."
        );
    }

    #[test]
    fn cleaning_first_and_missing_proof_are_told() {
        let mut draft = draft();
        draft.proof = None;
        draft.confidence = None;
        draft.findings.push(Finding {
            when: When::AfterCleaning,
            code: Some("residue".to_owned()),
            ..Finding::new(FindingKind::Visual, "U31")
        });
        assert_eq!(about(&draft, &[]), [About::Cleaned, About::Proof]);
    }

    #[test]
    fn an_unsafe_act_is_never_the_fix() {
        let mut draft = draft();
        draft.actions.push(Action {
            act: "bridge-or-jumper".to_owned(),
            part: "fuse F1".to_owned(),
            role: Role::TheFix,
        });
        assert_eq!(about(&draft, &[]), [About::Danger]);
        never_the_fix(&mut draft, None);
        let roles: Vec<Role> = draft.actions.iter().map(|a| a.role).collect();
        assert_eq!(roles.last(), Some(&Role::AlsoDone));
        assert_eq!(roles.first(), Some(&Role::TheFix), "the other fix stays");
    }

    #[test]
    fn a_danger_is_told_while_the_words_only_may_mean_it() {
        let words = Synonyms::default();
        let bridged = [Action {
            act: "bridge-or-jumper".to_owned(),
            part: "F1".to_owned(),
            role: Role::AlsoDone,
        }];
        let beside = Beside {
            proposed: &bridged,
            ..beside(&[], &words)
        };
        let found = remarks(&draft(), &beside);
        assert_eq!(found.first().map(|r| r.about), Some(About::Danger));
        assert_eq!(found[0].text.to_lowercase().matches("unsafe").count(), 1);
    }

    #[test]
    fn a_part_that_the_board_never_had_is_asked_about() {
        let board = board();
        let facts = BoardFacts::of(&board);
        assert!(!facts.parts.is_empty(), "else nothing here is shown");
        let words = Synonyms::default();
        let beside = Beside {
            facts: Some(&facts),
            ..beside(&[], &words)
        };
        let mut draft = draft();
        draft.actions[0].part = "U987".to_owned();
        let found = remarks(&draft, &beside);
        assert_eq!(found[0].about, About::Place);
        draft.actions[0].part = facts.parts.keys().next().unwrap().to_lowercase();
        assert_eq!(remarks(&draft, &beside), []);
    }
}
