//! Cards whose answer came back as a wrong diagnosis.
//!
//! A repair that came back because the diagnosis was wrong speaks against its answer. A deck that was
//! built before anybody said so still has the job among its evidence: built again, the card goes or
//! loses that job. A card that stands on other jobs stays, rightly; it is told as doubtful where the
//! returns are at least half as many as its jobs, and as a note where they are outweighed.

use std::collections::BTreeMap;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::command;
use crate::domain::check::numbers;
use crate::domain::generate::coded::tier;
use crate::domain::job::BounceCause;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::text::number_of;

/// Returns the cards whose answer came back as a wrong diagnosis.
pub fn cards(look: &Look<'_>) -> Vec<ToMend> {
    let mut back: BTreeMap<(&str, Fix), Vec<&Job>> = BTreeMap::new();
    for job in look.jobs {
        let wrong = tier::bounced(job) && job.bounce_cause == Some(BounceCause::Diagnosis);
        if wrong && !job.fix().is_empty() {
            back.entry((&job.board, job.fix())).or_default().push(job);
        }
    }
    let fixes = look.cards.iter().filter(|c| c.kind == CardKind::Fix);
    fixes
        .filter_map(|card| told(card, back.get(&(&*card.board, answer(card)?))?))
        .collect()
}

fn answer(card: &Card) -> Option<Fix> {
    card.answers.first().map(Answer::fix)
}

fn told(card: &Card, back: &[&Job]) -> Option<ToMend> {
    let stands_on = |job: &&&Job| card.jobs.contains(&job.job);
    let old: Vec<&&Job> = back.iter().filter(stands_on).collect();
    let (severity, jobs) = if old.is_empty() {
        let outweighed = 2 * back.len() < card.share.k;
        let severity = if outweighed {
            Severity::Note
        } else {
            Severity::Doubtful
        };
        (severity, back.iter().map(|j| j.job.clone()).collect())
    } else {
        let jobs: Vec<String> = old.iter().map(|j| j.job.clone()).collect();
        (Severity::Wrong, jobs)
    };
    let fix = answer(card)?.key();
    let (k, n) = (card.share.k, card.share.n);
    let (why, todo, mend) = match severity {
        Severity::Wrong => (
            "the deck was built before it was known that the diagnosis was wrong".to_owned(),
            "build the deck again",
            command("deck build", &[]),
        ),
        Severity::Note => (
            format!(
                "{k} of {n} jobs that look like it ended in this fix; the card says that it came back"
            ),
            "nothing, unless you know better",
            None,
        ),
        _ => (
            format!(
                "only {} of {n} that look like it ended in this fix",
                number_of(k, "job")
            ),
            "look at the card in the drill, and tag it out if it teaches the wrong thing",
            None,
        ),
    };
    Some(ToMend {
        kind: Kind::Card,
        severity,
        what: format!(
            "the card {} {fix:?} stands, and {} came back: wrong diagnosis",
            card.board,
            numbers(&jobs)
        ),
        why,
        todo: todo.to_owned(),
        mend,
        field: "bounce_cause".to_owned(),
        jobs,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::Share;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;
    use crate::domain::job::Outcome;
    use crate::domain::samples;

    fn card(part: &str, k: usize, jobs: &[&str]) -> Card {
        Card {
            kind: CardKind::Fix,
            board: "petrel-p4".to_owned(),
            share: Share::counted(k, k, k),
            jobs: jobs.iter().map(|j| (*j).to_owned()).collect(),
            ..samples::card("a", "standby", part)
        }
    }

    fn back(cause: BounceCause) -> Job {
        Job {
            outcome: Outcome::BouncedSameFault,
            bounce_cause: Some(cause),
            ..job("W-1", "U31", 1)
        }
    }

    fn severities(jobs: &[Job], card: &Card) -> Vec<Severity> {
        let shown = [card];
        let look = Look {
            cards: &shown,
            ..look(jobs, &[])
        };
        cards(&look).into_iter().map(|t| t.severity).collect()
    }

    #[test]
    fn a_card_built_before_the_return_was_known_wants_a_build() {
        let jobs = [back(BounceCause::Diagnosis)];
        let card = card("U31", 7, &["W-1", "W-2"]);
        let shown = [&card];
        let look = Look {
            cards: &shown,
            ..look(&jobs, &[])
        };
        let found = cards(&look);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].severity, Severity::Wrong);
        assert_eq!(found[0].jobs, ["W-1"]);
        assert_eq!(found[0].mend.as_deref(), Some("benchlore deck build"));
    }

    #[test]
    fn a_return_weighs_by_the_jobs_that_held() {
        let jobs = [back(BounceCause::Diagnosis)];
        let of = |k: usize| severities(&jobs, &card("U31", k, &["W-2"]));
        assert_eq!(of(1), [Severity::Doubtful]);
        assert_eq!(of(2), [Severity::Doubtful]);
        assert_eq!(of(3), [Severity::Note]);
    }

    #[test]
    fn another_cause_another_part_and_another_board_say_nothing() {
        let one = card("U31", 1, &["W-1"]);
        assert!(severities(&[back(BounceCause::Workmanship)], &one).is_empty());
        assert!(severities(&[job("W-1", "U31", 1)], &one).is_empty());
        let jobs = [back(BounceCause::Diagnosis)];
        assert!(severities(&jobs, &card("U13", 1, &["W-1"])).is_empty());
        let mut elsewhere = one;
        elsewhere.board = "skua-e6".to_owned();
        assert!(severities(&jobs, &elsewhere).is_empty());
    }
}
