//! Which jobs may speak for an answer.
//!
//! Three things are asked of a job: the fix was proved, something electrical was read before any
//! action, and the repair held. Tier A has all three, B lacks one, C lacks two (it counts, but no
//! answer stands on it), X speaks for no answer at all. Source: common practice, no source.
//!
//! A named test (`other`) counts as an electrical reading: some archives know nothing else.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::job::BounceCause;
use crate::domain::job::Confidence;
use crate::domain::job::Finding;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::When;

/// The one thing that a tier B job lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Missing {
    /// Nothing proved the fix.
    Proof,
    /// Nothing electrical was read before the repair.
    Reading,
    /// The repair is not known to have held.
    Held,
}

impl Missing {
    /// Returns the words for a person.
    pub fn words(self) -> &'static str {
        match self {
            Self::Proof => "no proof",
            Self::Reading => "no reading before the repair",
            Self::Held => "not known to have held",
        }
    }
}

/// Why a job speaks for no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Against {
    /// It came back because the diagnosis was wrong.
    Diagnosis,
    /// The diagnosis was a guess.
    Guessed,
    /// Two records contradict each other about this job.
    Contradictory,
}

impl Against {
    /// Returns the words for a person.
    pub fn words(self) -> &'static str {
        match self {
            Self::Diagnosis => "came back, the diagnosis was wrong",
            Self::Guessed => "guessed",
            Self::Contradictory => "two records contradict each other",
        }
    }
}

/// What a job is worth as evidence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tier {
    /// Proved, read before, held.
    A,
    /// One of them is missing.
    B(Missing),
    /// Two or three are missing, or it came back and nobody knows why.
    C,
    /// Speaks for no answer.
    X(Against),
    /// Ended without a fix: no answer to speak for.
    NoFix,
}

impl Tier {
    /// Tells whether the job may stand as evidence for an answer.
    pub fn is_evidence(self) -> bool {
        matches!(self, Self::A | Self::B(_))
    }

    /// Tells whether the job enters counts of findings by fix.
    pub fn counts(self) -> bool {
        matches!(self, Self::A | Self::B(_) | Self::C)
    }
}

/// When each unit was in the shop.
#[derive(Clone, Debug, Default)]
pub struct History<'a> {
    by_unit: BTreeMap<&'a str, Vec<&'a Job>>,
}

impl<'a> History<'a> {
    /// Collects the jobs that name their unit.
    pub fn of(jobs: &[&'a Job]) -> Self {
        let mut by_unit: BTreeMap<&str, Vec<&Job>> = BTreeMap::new();
        for job in jobs {
            if let Some(unit) = &job.unit {
                by_unit.entry(unit).or_default().push(job);
            }
        }
        Self { by_unit }
    }

    /// Tells whether the unit of `job` was in the shop again later.
    pub fn came_again(&self, job: &Job) -> bool {
        let Some(unit) = &job.unit else { return false };
        self.by_unit.get(unit.as_str()).is_some_and(|jobs| {
            jobs.iter().any(|other| {
                let later = (
                    other.job.as_str(),
                    other.closed_on,
                    other.follows.as_deref(),
                );
                is_later((&job.job, job.closed_on), later)
            })
        })
    }

    /// Tells whether the repair is known to have held, as of a day.
    ///
    /// An outcome still unknown counts as held once the warranty days have passed and the unit has
    /// not come again; a job that does not name its unit stays unknown.
    pub fn held(&self, job: &Job, as_of: NaiveDate, warranty_days: u32) -> bool {
        let stayed_away = || job.unit.is_some() && !self.came_again(job);
        held(
            job.outcome,
            job.closed_on,
            stayed_away,
            as_of,
            warranty_days,
        )
    }
}

/// Tells whether a job of the same unit came after one of this number and day: `other` is its number, its
/// day and what it follows. The rule of [`History::came_again`], for whoever keeps these few values alone.
pub fn is_later(job: (&str, NaiveDate), other: (&str, NaiveDate, Option<&str>)) -> bool {
    let (number, closed_on, follows) = other;
    number != job.0 && (closed_on > job.1 || follows == Some(job.0))
}

/// Tells whether a repair is known to have held, as of a day: `stayed_away` says that its unit is known
/// and has not come again. The rule of [`History::held`], for whoever keeps these few values alone.
pub fn held(
    outcome: Outcome,
    closed_on: NaiveDate,
    stayed_away: impl FnOnce() -> bool,
    as_of: NaiveDate,
    warranty_days: u32,
) -> bool {
    match outcome {
        Outcome::Held => true,
        Outcome::UnknownSoFar => {
            let passed = (as_of - closed_on).num_days() >= i64::from(warranty_days);
            passed && stayed_away()
        }
        Outcome::BouncedSameFault | Outcome::BouncedOtherFault | Outcome::NoFix => false,
    }
}

/// Tells whether a reading, or a person's words for one, proved the fix.
pub fn is_proved(job: &Job) -> bool {
    let words = job.proof.as_deref().is_some_and(|p| !p.trim().is_empty());
    words || job.confidence == Some(Confidence::Proved)
}

/// Tells whether the finding was taken before any repair.
pub fn is_before_repair(finding: &Finding) -> bool {
    finding.when != When::AfterAction
}

/// Tells whether the job came back, whatever the cause.
pub fn bounced(job: &Job) -> bool {
    matches!(
        job.outcome,
        Outcome::BouncedSameFault | Outcome::BouncedOtherFault
    )
}

/// Tells whether the job came back because what it had found was wrong.
pub fn misdiagnosed(job: &Job) -> bool {
    job.outcome == Outcome::BouncedSameFault && job.bounce_cause == Some(BounceCause::Diagnosis)
}

/// Tells whether the job came back and nobody knows why.
///
/// With the same fault, a cause left out counts as unknown; with another fault, only one that was
/// written down as unknown does.
pub fn bounced_unexplained(job: &Job) -> bool {
    match job.outcome {
        Outcome::BouncedSameFault => {
            matches!(job.bounce_cause, None | Some(BounceCause::Unknown))
        }
        Outcome::BouncedOtherFault => job.bounce_cause == Some(BounceCause::Unknown),
        Outcome::Held | Outcome::UnknownSoFar | Outcome::NoFix => false,
    }
}

/// Returns the tier of a job, given whether it held and whether its records contradict each other.
pub fn tier(job: &Job, held: bool, contradictory: bool) -> Tier {
    if contradictory {
        return Tier::X(Against::Contradictory);
    }
    if job.outcome == Outcome::NoFix || job.fix().is_empty() {
        return Tier::NoFix;
    }
    if bounced(job) && job.bounce_cause == Some(BounceCause::Diagnosis) {
        return Tier::X(Against::Diagnosis);
    }
    if job.confidence == Some(Confidence::Guessed) {
        return Tier::X(Against::Guessed);
    }
    if bounced_unexplained(job) {
        return Tier::C;
    }
    let read = job
        .findings
        .iter()
        .any(|f| f.is_electrical() && is_before_repair(f));
    match (is_proved(job), read, held) {
        (true, true, true) => Tier::A,
        (false, true, true) => Tier::B(Missing::Proof),
        (true, false, true) => Tier::B(Missing::Reading),
        (true, true, false) => Tier::B(Missing::Held),
        _ => Tier::C,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::job::FindingKind;

    /// Tier rules: common practice, no source.
    #[test]
    fn each_missing_thing_costs_a_tier() {
        let good = sample::job("W-1", "U31", 1);
        assert_eq!(tier(&good, true, false), Tier::A);
        assert_eq!(tier(&good, false, false), Tier::B(Missing::Held));
        assert_eq!(tier(&good, true, true), Tier::X(Against::Contradictory));

        let mut unproved = good.clone();
        unproved.confidence = Some(Confidence::Likely);
        assert_eq!(tier(&unproved, true, false), Tier::B(Missing::Proof));
        assert_eq!(tier(&unproved, false, false), Tier::C);
        unproved.proof = Some("rail back".to_owned());
        assert_eq!(tier(&unproved, true, false), Tier::A);
        unproved.confidence = Some(Confidence::Guessed);
        assert_eq!(tier(&unproved, true, false), Tier::X(Against::Guessed));

        let mut unread = good.clone();
        unread.findings = vec![Finding::new(FindingKind::Visual, "U31")];
        assert_eq!(tier(&unread, true, false), Tier::B(Missing::Reading));
        let mut late = Finding::new(FindingKind::Rail, "3V3_SB");
        late.when = When::AfterAction;
        unread.findings.push(late);
        assert_eq!(tier(&unread, true, false), Tier::B(Missing::Reading));
        unread
            .findings
            .push(Finding::new(FindingKind::Other, "torch test"));
        assert_eq!(tier(&unread, true, false), Tier::A);

        let mut unfixed = good;
        unfixed.outcome = Outcome::NoFix;
        unfixed.actions.clear();
        assert_eq!(tier(&unfixed, false, false), Tier::NoFix);
    }

    #[test]
    fn only_a_wrong_diagnosis_speaks_against_the_answer() {
        let mut job = sample::job("W-1", "U31", 1);
        job.outcome = Outcome::BouncedSameFault;
        for (cause, expected) in [
            (Some(BounceCause::Diagnosis), Tier::X(Against::Diagnosis)),
            (Some(BounceCause::Workmanship), Tier::B(Missing::Held)),
            (Some(BounceCause::Part), Tier::B(Missing::Held)),
            (Some(BounceCause::NewDamage), Tier::B(Missing::Held)),
            (Some(BounceCause::Unknown), Tier::C),
            (None, Tier::C),
        ] {
            job.bounce_cause = cause;
            assert_eq!(tier(&job, false, false), expected, "{cause:?}");
        }
        job.outcome = Outcome::BouncedOtherFault;
        job.bounce_cause = None;
        assert_eq!(tier(&job, false, false), Tier::B(Missing::Held));
    }

    #[test]
    fn an_unknown_outcome_is_held_when_warranty_passes_without_a_return() {
        let mut first = sample::job("W-1", "U31", 1);
        first.outcome = Outcome::UnknownSoFar;
        let after = |days: u64| first.closed_on + chrono::Days::new(days);
        let (day_89, day_90) = (after(89), after(90));
        let alone = History::default();
        assert!(!alone.held(&first, day_90, 90), "no unit, stays unknown");

        first.unit = Some("5f2a90c1".to_owned());
        let history = History::of(&[&first]);
        assert!(!history.held(&first, day_89, 90));
        assert!(history.held(&first, day_90, 90));

        let mut second = sample::job("W-2", "U31", 1);
        second.unit.clone_from(&first.unit);
        second.closed_on = first.closed_on;
        assert!(History::of(&[&first, &second]).held(&first, day_90, 90));
        second.follows = Some("W-1".to_owned());
        assert!(!History::of(&[&first, &second]).held(&first, day_90, 90));
        second.follows = None;
        second.closed_on = day_89;
        assert!(!History::of(&[&first, &second]).held(&first, day_90, 90));
    }
}
