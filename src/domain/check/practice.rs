//! What was done: acts that can hurt someone, and fixes that nothing proved.

use std::collections::HashMap;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::correct;
use crate::domain::generate::coded::tier;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::job::Fix;
use crate::domain::job::Role;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;

/// Returns the recorded acts that defeat what protects people, whatever came of them.
pub fn unsafe_acts(look: &Look<'_>) -> Vec<ToMend> {
    let mut found = Vec::new();
    let mut known: HashMap<(&str, &str, &str), Option<UnsafeAct>> = HashMap::new();
    for job in look.jobs {
        let board = look.board(&job.board);
        for (i, action) in job.actions.iter().enumerate() {
            let one = Fix::new(vec![(action.act.clone(), action.part.clone())]);
            let judge = || unsafe_acts::unsafe_fix(&one, job, board);
            // Whether leaving a part out is safe depends on what else was done; the rest does not.
            let danger = if action.act == "remove" {
                judge()
            } else {
                let key = (
                    job.board.as_str(),
                    action.act.as_str(),
                    action.part.as_str(),
                );
                known.entry(key).or_insert_with(judge).clone()
            };
            let Some(danger) = danger else {
                continue;
            };
            let left_so = matches!(action.role, Role::TheFix | Role::AlsoDone);
            found.push(ToMend {
                kind: Kind::Unsafe,
                severity: Severity::Danger,
                jobs: vec![job.job.clone()],
                field: format!("actions[{i}]"),
                what: format!("{}: {} ({})", job.job, one.key(), danger.what),
                why: danger.why,
                todo: if left_so {
                    "see to it that no unit is out there like this; it never becomes an answer"
                } else {
                    "tell whoever did it; it never becomes an answer"
                }
                .to_owned(),
                mend: None,
            });
        }
    }
    found
}

/// Returns the fixes of which no reading and no word says that they were the fix.
///
/// Guesses, and repairs that came back as a wrong diagnosis, speak for no answer with a proof either.
pub fn without_proof(look: &Look<'_>) -> Vec<ToMend> {
    look.jobs
        .iter()
        .filter(|job| !job.fix().is_empty() && !tier::is_proved(job))
        .filter(|job| !matches!(tier::tier(job, true, false), Tier::X(_)))
        .map(|job| ToMend {
            kind: Kind::Proof,
            severity: Severity::Missing,
            jobs: vec![job.job.clone()],
            field: "proof".to_owned(),
            what: format!("{}: {}", job.job, job.fix().key()),
            why: "nothing recorded says that this was the fix".to_owned(),
            todo:
                "if a reading came back, write it as `proof`; if not, leave it: it counts for less"
                    .to_owned(),
            mend: correct(&job.job),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::board;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;
    use crate::domain::job::Action;
    use crate::domain::job::BounceCause;
    use crate::domain::job::Confidence;
    use crate::domain::job::Outcome;

    #[test]
    fn a_bridged_fuse_is_named_whatever_its_role() {
        for role in Role::ALL {
            let mut jobs = [job("W-1", "U31", 1)];
            jobs[0].actions.push(Action {
                act: "bridge-or-jumper".to_owned(),
                part: "fuse F1".to_owned(),
                role,
            });
            let found = unsafe_acts(&look(&jobs, &[board()]));
            assert_eq!(found.len(), 1, "{role:?}");
            assert_eq!(found[0].kind, Kind::Unsafe);
        }
        assert_eq!(unsafe_acts(&look(&[job("W-1", "U31", 1)], &[board()])), []);
    }

    #[test]
    fn a_fix_needs_a_proof_or_someones_word_for_one() {
        let mut jobs = [job("W-1", "U31", 1)];
        assert_eq!(without_proof(&look(&jobs, &[])), []);
        jobs[0].confidence = None;
        assert_eq!(without_proof(&look(&jobs, &[])).len(), 1);
        let mut guess = jobs.clone();
        guess[0].confidence = Some(Confidence::Guessed);
        assert_eq!(without_proof(&look(&guess, &[])), []);
        let mut wrong = jobs.clone();
        wrong[0].outcome = Outcome::BouncedSameFault;
        wrong[0].bounce_cause = Some(BounceCause::Diagnosis);
        assert_eq!(without_proof(&look(&wrong, &[])), []);
        jobs[0].proof = Some("3V3_SB back at 3.31 V".to_owned());
        assert_eq!(without_proof(&look(&jobs, &[])), []);
        jobs[0].proof = Some("  ".to_owned());
        assert_eq!(without_proof(&look(&jobs, &[])).len(), 1);
        jobs[0].actions.clear();
        assert_eq!(without_proof(&look(&jobs, &[])), []);
    }
}
