//! Boards, parts and revisions that the shop's own lists do not know.
//!
//! A designator is compared as it is written (letters of either case), never by likeness: U31 is not
//! U13. Only designators are looked up; a part given by its function needs no list.

use std::collections::BTreeMap;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::correct;
use crate::domain::check::numbers;
use crate::domain::check::slips::Slip;
use crate::domain::generate::coded::mask;
use crate::domain::job::Board;
use crate::domain::job::Job;

/// Jobs by what they have in common.
type Grouped = BTreeMap<(String, String), Vec<String>>;

fn note(groups: &mut Grouped, board: &str, what: &str, job: &Job) {
    let jobs = groups
        .entry((board.to_owned(), what.to_owned()))
        .or_default();
    if jobs.last() != Some(&job.job) {
        jobs.push(job.job.clone());
    }
}

/// Returns the command that corrects the job, where it is about one alone.
fn only(jobs: &[String]) -> Option<String> {
    match jobs {
        [one] => correct(one),
        _ => None,
    }
}

/// Returns the boards of jobs that shop.json does not list.
pub fn boards(look: &Look<'_>) -> Vec<ToMend> {
    let mut groups = Grouped::new();
    for job in look.jobs.iter().filter(|j| look.board(&j.board).is_none()) {
        note(&mut groups, &job.board, "", job);
    }
    groups
        .into_iter()
        .map(|((board, _), jobs)| ToMend {
            kind: Kind::Board,
            severity: Severity::Missing,
            field: "board".to_owned(),
            what: format!("the board {board:?} ({})", numbers(&jobs)),
            why: "without an entry it has no name, no hazards and no revisions".to_owned(),
            todo: "add it to shop.json, or correct the jobs".to_owned(),
            mend: None,
            jobs,
        })
        .collect()
}

/// Returns the designators of repairs that their board's list of parts does not have, or not on the
/// revision of the job. Those that `slips` name already are left out.
pub fn parts(look: &Look<'_>, slips: &[Slip]) -> Vec<ToMend> {
    let mut unknown = Grouped::new();
    let mut elsewhere = Grouped::new();
    for job in look.jobs {
        let Some(board) = look.board(&job.board).filter(|b| !b.parts.is_empty()) else {
            continue;
        };
        for action in &job.actions {
            for token in designators(&action.part) {
                match known(board, &token) {
                    None if slips.iter().any(|s| s.is_of(&job.job, &token)) => {}
                    None => note(&mut unknown, &board.id, &token, job),
                    Some(revs) => {
                        let rev = job.rev.as_ref();
                        if let Some(rev) = rev.filter(|r| !revs.is_empty() && !revs.contains(r)) {
                            note(
                                &mut elsewhere,
                                &board.id,
                                &format!("{token} on revision {rev}"),
                                job,
                            );
                        }
                    }
                }
            }
        }
    }
    let told = |groups: Grouped, why: &'static str| {
        groups.into_iter().map(move |((board, part), jobs)| ToMend {
            kind: Kind::Part,
            severity: Severity::Doubtful,
            field: "actions".to_owned(),
            what: format!("{board}: {part} ({})", numbers(&jobs)),
            why: why.to_owned(),
            todo: format!("correct the designator, or add it to boards/{board}.json"),
            mend: only(&jobs),
            jobs,
        })
    };
    told(unknown, "the board's list has no such part")
        .chain(told(
            elsewhere,
            "the board's list has it on other revisions only",
        ))
        .collect()
}

/// Returns the designators in a part as entered: one or two letters, digits, perhaps a letter.
pub(crate) fn designators(part: &str) -> Vec<String> {
    mask::tokens(part)
        .filter(|token| {
            let letters = token.chars().take_while(char::is_ascii_alphabetic).count();
            let rest = &token[letters..];
            let digits = rest.trim_end_matches(|c: char| c.is_ascii_alphabetic());
            (1..=2).contains(&letters)
                && !digits.is_empty()
                && digits.chars().all(|c| c.is_ascii_digit())
                && rest.len() <= digits.len() + 1
        })
        .collect()
}

/// Returns the revisions on which a board's list of parts has a designator; empty means all.
pub(crate) fn known<'a>(board: &'a Board, token: &str) -> Option<&'a [String]> {
    let part = board
        .parts
        .iter()
        .find(|(designator, _)| mask::tokens(designator).any(|t| t == token));
    if let Some((_, part)) = part {
        return Some(&part.revs);
    }
    // What a part is called may hold a designator of its own: "the driver of Q4".
    let named = board
        .parts
        .values()
        .any(|p| mask::tokens(&p.name).any(|t| t == token));
    named.then_some(&[])
}

/// Returns the revisions of jobs that their board's entry does not name.
pub fn revisions(look: &Look<'_>) -> Vec<ToMend> {
    let mut groups = Grouped::new();
    for job in look.jobs {
        let listed = look.board(&job.board).map(|b| &b.revisions);
        if let (Some(listed), Some(rev)) = (listed, &job.rev)
            && !listed.is_empty()
            && !listed.contains(rev)
        {
            note(&mut groups, &job.board, rev, job);
        }
    }
    groups
        .into_iter()
        .map(|((board, rev), jobs)| ToMend {
            kind: Kind::Revision,
            severity: Severity::Doubtful,
            field: "rev".to_owned(),
            what: format!("{board}: revision {rev:?} ({})", numbers(&jobs)),
            why: "a designator means something only with board and revision".to_owned(),
            todo: "correct the jobs, or add the revision to shop.json".to_owned(),
            mend: only(&jobs),
            jobs,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::board;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;

    #[test]
    fn a_board_without_an_entry_is_named_once_with_its_jobs() {
        let jobs = [job("W-1", "U31", 1), job("W-2", "U31", 2)];
        assert_eq!(boards(&look(&jobs, &[board()])), []);
        let found = boards(&look(&jobs, &[]));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].jobs, ["W-1", "W-2"]);
    }

    #[test]
    fn a_part_is_looked_up_as_written() {
        let of = |part: &str| parts(&look(&[job("W-1", part, 1)], &[board()]), &[]).len();
        assert_eq!(of("U31"), 0);
        assert_eq!(of("u31"), 0);
        assert_eq!(of("standby switcher"), 0);
        assert_eq!(of("lower edge"), 0);
        assert_eq!(of("3V3_SB"), 0);
        assert_eq!(of("U13"), 1, "never by likeness");
        assert_eq!(of("U31 and C9"), 1);
    }

    #[test]
    fn a_part_of_another_revision_is_named() {
        let mut jobs = [job("W-1", "U31", 1)];
        jobs[0].rev = Some("A".to_owned());
        let found = parts(&look(&jobs, &[board()]), &[]);
        assert_eq!(found.len(), 1);
        assert!(found[0].what.contains("U31 on revision A"));
        jobs[0].rev = None;
        assert_eq!(parts(&look(&jobs, &[board()]), &[]), []);
    }

    #[test]
    fn a_board_without_a_list_of_parts_is_not_looked_up() {
        let bare = Board {
            parts: BTreeMap::new(),
            ..board()
        };
        assert_eq!(parts(&look(&[job("W-1", "U13", 1)], &[bare]), &[]), []);
    }

    #[test]
    fn a_revision_that_nobody_listed_is_named() {
        let mut jobs = [job("W-1", "U31", 1)];
        assert_eq!(revisions(&look(&jobs, &[board()])), []);
        jobs[0].rev = Some("C2".to_owned());
        let found = revisions(&look(&jobs, &[board()]));
        assert_eq!(found.len(), 1);
        assert!(found[0].what.contains("C2"));
        let open = Board {
            revisions: Vec::new(),
            ..board()
        };
        assert_eq!(revisions(&look(&jobs, &[open])), []);
    }
}
