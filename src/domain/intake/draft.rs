//! A job that is not whole yet: from a row of a sheet, from a line being typed, from a job still on
//! the bench.

use chrono::NaiveDate;

use crate::domain::circuit::FamilyId;
use crate::domain::job::Action;
use crate::domain::job::BounceCause;
use crate::domain::job::Confidence;
use crate::domain::job::Effort;
use crate::domain::job::Finding;
use crate::domain::job::Flag;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::UNLOCATED;
use crate::domain::job::When;

/// What is known of a job so far; the fields are those of [`Job`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draft {
    /// The shop's number.
    pub number: Option<String>,
    /// Day it was closed.
    pub closed_on: Option<NaiveDate>,
    /// Initials.
    pub closed_by: Option<String>,
    /// Board id.
    pub board: Option<String>,
    /// Revision.
    pub rev: Option<String>,
    /// Mark of the unit.
    pub unit: Option<String>,
    /// Earlier job of this unit.
    pub follows: Option<String>,
    /// Customer's words.
    pub complaint: Vec<String>,
    /// What was seen and measured.
    pub findings: Vec<Finding>,
    /// Where the proven fault was.
    pub family: Option<FamilyId>,
    /// Further circuits with damage.
    pub contributing: Vec<FamilyId>,
    /// In the order done.
    pub actions: Vec<Action>,
    /// Why there was no fix.
    pub no_fix_reason: Option<String>,
    /// How it ended.
    pub outcome: Option<Outcome>,
    /// Why it came back.
    pub bounce_cause: Option<BounceCause>,
    /// How sure.
    pub confidence: Option<Confidence>,
    /// What proved it.
    pub proof: Option<String>,
    /// Where the board had been.
    pub environment: Vec<String>,
    /// Sheet and row, or `ticket`.
    pub source: Option<String>,
    /// Time and money.
    pub effort: Effort,
    /// What else was written.
    pub note: Option<String>,
    /// Every cell as it stood: (header, words). Serials are never among them.
    pub raw: Vec<(String, String)>,
    /// What a person still has to decide.
    pub flags: Vec<Flag>,
}

/// What a row or a line says: what is sure, and what may be meant.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Suggested {
    /// What the words plainly say.
    pub facts: Draft,
    /// What they may mean; each has a flag among those of `facts`.
    pub maybe: Draft,
}

/// A required field that a draft lacks; the word is the field's name in files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Missing {
    /// `job`.
    Number,
    /// `closed_on`.
    ClosedOn,
    /// `board`.
    Board,
    /// `complaint`.
    Complaint,
    /// `findings`: none taken before the fix.
    Findings,
    /// `outcome`.
    Outcome,
    /// `family`.
    Family,
    /// `actions`: none is the fix.
    Fix,
    /// `no_fix_reason`.
    NoFixReason,
}

impl Missing {
    /// Every one.
    pub const ALL: [Self; 9] = [
        Self::Number,
        Self::ClosedOn,
        Self::Board,
        Self::Complaint,
        Self::Findings,
        Self::Outcome,
        Self::Family,
        Self::Fix,
        Self::NoFixReason,
    ];

    /// Returns the field's name in files.
    pub fn field(self) -> &'static str {
        match self {
            Self::Number => "job",
            Self::ClosedOn => "closed_on",
            Self::Board => "board",
            Self::Complaint => "complaint",
            Self::Findings => "findings",
            Self::Outcome => "outcome",
            Self::Family => "family",
            Self::Fix => "actions",
            Self::NoFixReason => "no_fix_reason",
        }
    }

    /// Returns what is missing, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Number => "no job number",
            Self::ClosedOn => "no closing day",
            Self::Board => "no board",
            Self::Complaint => "no complaint",
            Self::Findings => "nothing seen or measured before the fix",
            Self::Outcome => "no outcome",
            Self::Family => "no circuit",
            Self::Fix => "nothing named that fixed it",
            Self::NoFixReason => "no reason why there was no fix",
        }
    }
}

impl Draft {
    /// Returns the required fields that are not there, in the order of a form.
    pub fn missing(&self) -> Vec<Missing> {
        let no_fix = self.outcome == Some(Outcome::NoFix);
        let fixed = self.actions.iter().any(|a| a.role == Role::TheFix);
        let before = self.findings.iter().any(|f| f.when != When::AfterAction);
        let located = self.family.as_deref().is_some_and(|f| f != UNLOCATED);
        let lacks = |missing: Missing| match missing {
            Missing::Number => self.number.is_none(),
            Missing::ClosedOn => self.closed_on.is_none(),
            Missing::Board => self.board.is_none(),
            Missing::Complaint => self.complaint.is_empty(),
            Missing::Findings => !before,
            Missing::Outcome => self.outcome.is_none(),
            Missing::Family => !no_fix && !located,
            Missing::Fix => !no_fix && !fixed,
            Missing::NoFixReason => no_fix && self.no_fix_reason.is_none(),
        };
        Missing::ALL.into_iter().filter(|m| lacks(*m)).collect()
    }

    /// Returns the job with the record id `id`, or what it lacks.
    pub fn job(&self, id: &str) -> Result<Job, Vec<Missing>> {
        let missing = self.missing();
        let (Some(number), Some(closed_on), Some(board), Some(outcome), []) = (
            &self.number,
            self.closed_on,
            &self.board,
            self.outcome,
            missing.as_slice(),
        ) else {
            return Err(missing);
        };
        Ok(Job {
            id: id.to_owned(),
            closed_on,
            closed_by: self.closed_by.clone(),
            rev: self.rev.clone(),
            unit: self.unit.clone(),
            follows: self.follows.clone(),
            complaint: self.complaint.clone(),
            findings: self.findings.clone(),
            family: self.family.clone(),
            contributing: self.contributing.clone(),
            actions: self.actions.clone(),
            no_fix_reason: self.no_fix_reason.clone(),
            bounce_cause: self.bounce_cause,
            confidence: self.confidence,
            proof: self.proof.clone(),
            environment: self.environment.clone(),
            source: self.source.clone(),
            flags: self.flags.clone(),
            effort: self.effort,
            ..Job::empty(number, board, outcome)
        })
    }

    /// Returns what a job says, as a draft to change.
    pub fn of_job(job: &Job) -> Self {
        Self {
            number: Some(job.job.clone()),
            closed_on: Some(job.closed_on),
            closed_by: job.closed_by.clone(),
            board: Some(job.board.clone()),
            rev: job.rev.clone(),
            unit: job.unit.clone(),
            follows: job.follows.clone(),
            complaint: job.complaint.clone(),
            findings: job.findings.clone(),
            family: job.family.clone(),
            contributing: job.contributing.clone(),
            actions: job.actions.clone(),
            no_fix_reason: job.no_fix_reason.clone(),
            outcome: Some(job.outcome),
            bounce_cause: job.bounce_cause,
            confidence: job.confidence,
            proof: job.proof.clone(),
            environment: job.environment.clone(),
            source: job.source.clone(),
            effort: job.effort,
            note: None,
            raw: Vec::new(),
            flags: job.flags.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::FindingKind;

    fn whole() -> Draft {
        Draft {
            number: Some("W-1".to_owned()),
            closed_on: NaiveDate::from_ymd_opt(2026, 3, 14),
            board: Some("petrel-p4".to_owned()),
            complaint: vec!["no-power".to_owned()],
            findings: vec![Finding::new(FindingKind::Rail, "3V3_SB")],
            family: Some("standby".to_owned()),
            actions: vec![Action {
                act: "replace".to_owned(),
                part: "U31".to_owned(),
                role: Role::TheFix,
            }],
            outcome: Some(Outcome::UnknownSoFar),
            ..Draft::default()
        }
    }

    #[test]
    fn a_whole_draft_becomes_the_job_it_describes_and_back() {
        let job = whole().job("b7-1").unwrap();
        assert_eq!((job.id.as_str(), job.job.as_str()), ("b7-1", "W-1"));
        assert_eq!(Draft::of_job(&job), whole());
    }

    #[test]
    fn each_required_field_is_missed_by_its_own_name() {
        let mut draft = whole();
        draft.findings[0].when = When::AfterAction;
        draft.actions[0].role = Role::TriedNoEffect;
        draft.family = Some(UNLOCATED.to_owned());
        let missing = [Missing::Findings, Missing::Family, Missing::Fix];
        assert_eq!(draft.job("b7-1"), Err(missing.to_vec()));
        assert_eq!(
            Draft::default().missing(),
            &Missing::ALL[..8],
            "a reason is asked for only where there was no fix"
        );
    }

    #[test]
    fn a_job_without_a_fix_needs_its_reason_and_no_circuit() {
        let mut draft = whole();
        draft.outcome = Some(Outcome::NoFix);
        draft.actions.clear();
        draft.family = None;
        assert_eq!(draft.missing(), [Missing::NoFixReason]);
        draft.no_fix_reason = Some("value-exceeded".to_owned());
        assert!(draft.job("b7-1").is_ok());
    }
}
