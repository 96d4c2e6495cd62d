//! Designators that may be a slip of the pen: written in one job of a board alone, and one stroke away
//! from one that is common there.
//!
//! This is a question to a person (`is it U31?`) and nothing else: designators are never taken for one
//! another, here as everywhere. It is asked only where an answer is likely to be yes:
//! - the letters are the same (C31 beside U31 is another part), and of two digits or more one is wrong,
//!   missing or too many, or two neighbours are swapped (U13, U31); a single digit that differs is just
//!   another part;
//! - the common one stands in at least [`COMMON`] jobs. Below that neither is the usual one, and a
//!   guess in either direction is as good (common practice, no source);
//! - the board's list of parts, where there is one, does not have it;
//! - the job does not name the common one as well, and its fault lay in a circuit in which the common
//!   one was worked on;
//! - it is the only such one in its job: several at once are parts of their own.
//!
//! Measured on the practice shop of 704 jobs with its lists of parts taken away: 2 questions, both
//! needless; with the lists none.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::correct;
use crate::domain::check::places;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::UNLOCATED;

/// A designator is common on a board from so many jobs up.
pub const COMMON: usize = 5;

/// One designator that may be meant for another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// The job.
    pub job: String,
    /// The board.
    pub board: String,
    /// The field where it stands.
    pub field: String,
    /// What is written.
    pub written: String,
    /// What is common.
    pub common: String,
    /// Jobs of the board that name the common one.
    pub n: usize,
    /// The board has a list of parts, and it lacks the written one.
    pub unlisted: bool,
}

impl Slip {
    /// Tells whether it is about this designator of this job.
    pub fn is_of(&self, job: &str, designator: &str) -> bool {
        self.job == job && self.written == designator
    }

    /// Returns it as a thing to mend.
    pub fn to_mend(&self) -> ToMend {
        let (written, common, n) = (&self.written, &self.common, self.n);
        ToMend {
            kind: Kind::Designator,
            severity: Severity::Doubtful,
            jobs: vec![self.job.clone()],
            field: self.field.clone(),
            what: format!("{}: {written} on {}: is it {common}?", self.job, self.board),
            why: format!(
                "{common} stands in {n} jobs of this board, {written} in this one alone{}",
                if self.unlisted {
                    ", and the board's list of parts does not have it"
                } else {
                    ""
                }
            ),
            todo: format!("look at the board or the ticket; leave it if it is {written}"),
            mend: correct(&self.job),
        }
    }
}

/// Where a designator of a board stands.
#[derive(Default)]
struct Stands<'a> {
    jobs: BTreeSet<usize>,
    field: String,
    families: BTreeSet<&'a str>,
}

/// Returns the designators that may be slips, board by board.
pub fn slips(look: &Look<'_>) -> Vec<Slip> {
    let mut boards: BTreeMap<&str, BTreeMap<String, Stands<'_>>> = BTreeMap::new();
    for (at, job) in look.jobs.iter().enumerate() {
        let of_board = boards.entry(&job.board).or_default();
        for (field, token) in named(job) {
            let stands = of_board.entry(token).or_default();
            if stands.jobs.insert(at) {
                stands.field = field;
                stands.families.extend(family(job));
            }
        }
    }
    let mut found = Vec::new();
    for (id, tokens) in &boards {
        let board = look.board(id).filter(|b| !b.parts.is_empty());
        for (written, once) in tokens.iter().filter(|(_, s)| s.jobs.len() == 1) {
            if board.is_some_and(|b| places::known(b, written).is_some()) {
                continue;
            }
            let meant = |(token, common): &(&String, &Stands<'_>)| {
                COMMON <= common.jobs.len()
                    && near(written, token)
                    && common.jobs.is_disjoint(&once.jobs)
                    && (once.families.is_empty() || !once.families.is_disjoint(&common.families))
            };
            let best = tokens
                .iter()
                .filter(meant)
                .max_by_key(|(_, common)| common.jobs.len());
            if let (Some((common, stands)), Some(at)) = (best, once.jobs.first()) {
                found.push(Slip {
                    job: look.jobs[*at].job.clone(),
                    board: (*id).to_owned(),
                    field: once.field.clone(),
                    written: written.clone(),
                    common: common.clone(),
                    n: stands.jobs.len(),
                    unlisted: board.is_some(),
                });
            }
        }
    }
    let mut in_job: BTreeMap<String, usize> = BTreeMap::new();
    for slip in &found {
        *in_job.entry(slip.job.clone()).or_default() += 1;
    }
    found.retain(|slip| in_job[&slip.job] == 1);
    found
}

/// Returns the designators that a job names as parts, each with its field.
fn named(job: &Job) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for (i, action) in job.actions.iter().enumerate() {
        let field = format!("actions[{i}].part");
        let tokens = places::designators(&action.part).into_iter();
        found.extend(tokens.map(|t| (field.clone(), t)));
    }
    for (i, finding) in job.findings.iter().enumerate() {
        // Other readings are taken at nets, and a net may be called D3.
        if matches!(finding.kind, FindingKind::Visual | FindingKind::Heat) {
            let field = format!("findings[{i}].where");
            let tokens = places::designators(&finding.place).into_iter();
            found.extend(tokens.map(|t| (field.clone(), t)));
        }
    }
    found
}

fn family(job: &Job) -> Option<&str> {
    job.family.as_deref().filter(|f| *f != UNLOCATED)
}

/// Tells whether two designators differ by one stroke: the same letters, and of two digits or more one
/// other, one more, one less, or two neighbours swapped; `U3L` is one stroke from `U31`, `U3A` is not.
fn near(a: &str, b: &str) -> bool {
    let (Some(a), Some(b)) = (cut(a), cut(b)) else {
        return false;
    };
    if a.0 != b.0 {
        return false;
    }
    if a.2 != b.2 {
        let as_digit = |x: &(&str, &str, &str)| match x.2 {
            "L" | "I" => Some(format!("{}1", x.1)),
            "O" => Some(format!("{}0", x.1)),
            _ => None,
        };
        return as_digit(&a).is_some_and(|d| b.2.is_empty() && d == b.1)
            || as_digit(&b).is_some_and(|d| a.2.is_empty() && d == a.1);
    }
    2 <= a.1.len().min(b.1.len()) && one_stroke(a.1.as_bytes(), b.1.as_bytes())
}

/// Cuts a designator into letters, digits and what follows.
fn cut(token: &str) -> Option<(&str, &str, &str)> {
    let digits = token.find(|c: char| c.is_ascii_digit())?;
    let rest = token[digits..]
        .find(|c: char| !c.is_ascii_digit())
        .map_or(token.len(), |n| digits + n);
    Some((&token[..digits], &token[digits..rest], &token[rest..]))
}

fn one_stroke(a: &[u8], b: &[u8]) -> bool {
    let (short, long) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    let same = short.iter().zip(long).take_while(|(x, y)| x == y).count();
    match long.len() - short.len() {
        0 if same == short.len() => false,
        0 => {
            let other = short[same + 1..] == long[same + 1..];
            let swapped = same + 1 < short.len()
                && short[same] == long[same + 1]
                && short[same + 1] == long[same]
                && short[same + 2..] == long[same + 2..];
            other || swapped
        }
        1 => short[same..] == long[same + 1..],
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::board;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;
    use crate::domain::job::Board;
    use crate::domain::job::Finding;

    #[test]
    fn one_stroke_is_one_digit_or_two_neighbours() {
        for (a, b, is_near) in [
            ("U31", "U32", true),
            ("U31", "U13", true),
            ("U31", "U311", true),
            ("U31", "U3", false),
            ("U7", "U2", false),
            ("U31", "U3L", true),
            ("U30", "U3O", true),
            ("C114", "C141", true),
            ("U31", "U31", false),
            ("U31", "C31", false),
            ("U31", "U24", false),
            ("U31", "U31A", false),
            ("C114", "C411", false),
            ("C1234", "C2134", true),
        ] {
            assert_eq!(near(a, b), is_near, "{a} {b}");
            assert_eq!(near(b, a), is_near, "{b} {a}");
        }
    }

    fn five() -> Vec<Job> {
        (0..5)
            .map(|n| job(&format!("W-{n}"), "U31", n * 30))
            .collect()
    }

    #[track_caller]
    fn check(jobs: &[Job], boards: &[Board], wanted: &[&str]) {
        let found = slips(&look(jobs, boards));
        let told: Vec<String> = found
            .iter()
            .map(|s| format!("{} {} {}", s.job, s.written, s.common))
            .collect();
        assert_eq!(told, wanted);
    }

    #[test]
    fn a_swap_of_a_common_designator_is_asked_about_and_nothing_more() {
        let mut jobs = five();
        jobs.push(job("W-9", "U13", 200));
        check(&jobs, &[], &["W-9 U13 U31"]);
        let told = slips(&look(&jobs, &[]))[0].to_mend();
        assert_eq!(told.what, "W-9: U13 on petrel-p4: is it U31?");
        assert_eq!(told.field, "actions[0].part");
        assert_eq!(told.severity, Severity::Doubtful);
        // It may stand where something was seen, too.
        let mut seen = five();
        seen[0].findings.push(Finding {
            code: Some("residue".to_owned()),
            ..Finding::new(FindingKind::Visual, "under U37")
        });
        seen[0].actions[0].part = "L12".to_owned();
        seen.push(job("W-8", "U31", 200));
        check(&seen, &[], &["W-0 U37 U31"]);
    }

    #[test]
    fn what_is_likely_right_is_not_asked_about() {
        let mut twice = five();
        twice.push(job("W-8", "U13", 200));
        twice.push(job("W-9", "U13", 230));
        check(&twice, &[], &[]);
        let mut rare = five();
        rare.pop();
        rare.push(job("W-9", "U13", 200));
        check(&rare, &[], &[]);
        let mut elsewhere = five();
        elsewhere.push(job("W-9", "U13", 200));
        elsewhere[5].board = "skua-e6".to_owned();
        check(&elsewhere, &[], &[]);
        let mut circuit = five();
        circuit.push(job("W-9", "U13", 200));
        circuit[5].family = Some("bus".to_owned());
        check(&circuit, &[], &[]);
        let mut several = five();
        several.extend((0..5).map(|n| job(&format!("V-{n}"), "L12", n * 30)));
        several.push(job("W-9", "U13 and L21", 200));
        check(&several, &[], &[]);
        let mut both = five();
        both.push(job("W-9", "U31 and U13", 200));
        check(&both, &[], &[]);
    }

    #[test]
    fn a_part_on_the_boards_list_is_no_slip_and_one_that_is_not_is_told_once() {
        let mut jobs = five();
        jobs.push(job("W-9", "U13", 200));
        let mut listed = board();
        let part = listed.parts["U31"].clone();
        check(&jobs, &[listed.clone()], &["W-9 U13 U31"]);
        let boards = [listed.clone()];
        let all = look(&jobs, &boards);
        let found = slips(&all);
        assert!(found[0].to_mend().why.contains("list of parts"));
        assert_eq!(places::parts(&all, &found), []);
        assert_eq!(places::parts(&all, &[]).len(), 1);
        listed.parts.insert("U13".to_owned(), part);
        check(&jobs, &[listed], &[]);
    }
}
