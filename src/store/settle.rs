//! Which of several lines about one job counts.
//!
//! A line with `corrects` replaces the line it names; one with `withdrawn` takes it out. Two lines of one job (or with one id) and no
//! such link are named, and neither counts.

use std::collections::BTreeMap;
use std::collections::HashMap;
use std::collections::HashSet;
use std::path::PathBuf;

use crate::store::fault::Fault;
use crate::store::record::job::JobRecord;

/// A job and where it stands.
#[derive(Clone, Debug)]
pub(crate) struct Placed {
    pub(crate) record: JobRecord,
    pub(crate) path: PathBuf,
    pub(crate) line: u64,
    pub(crate) text: String,
}

/// The lines sorted out.
#[derive(Debug, Default)]
pub(crate) struct Settled {
    pub(crate) live: Vec<Placed>,
    pub(crate) disputed: Vec<Placed>,
    pub(crate) replaced: Vec<Placed>,
    pub(crate) faults: Vec<Fault>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Standing {
    Live,
    Replaced,
    Disputed,
}

impl Placed {
    fn place(&self) -> String {
        let name = self.path.file_name().unwrap_or_default();
        format!("{}:{}", name.to_string_lossy(), self.line)
    }

    fn damage(&self, field: &str, why: String, todo: &str) -> Fault {
        Fault::damage(&self.path, why, todo)
            .at(self.line)
            .field(field)
    }

    fn warning(&self, field: &str, why: String, todo: &str) -> Fault {
        Fault::warning(&self.path, why, todo)
            .at(self.line)
            .field(field)
    }
}

/// Sorts lines into those that count, those in dispute, and those replaced.
pub(crate) fn settle(lines: Vec<Placed>) -> Settled {
    let mut found = Settled::default();
    let lines = once_each(lines, &mut found.faults);
    let mut standing = vec![Standing::Live; lines.len()];
    let mut group: Vec<usize> = (0..lines.len()).collect();
    replace(&lines, &mut standing, &mut group, &mut found.faults);
    dispute_corrections(&lines, &mut standing, &group, &mut found.faults);
    dispute_doubles(&lines, &mut standing, &mut found.faults);
    check_follows(&lines, &mut found.faults);
    for (line, standing) in lines.into_iter().zip(standing) {
        match standing {
            Standing::Live if !line.record.job.withdrawn => found.live.push(line),
            Standing::Live | Standing::Replaced => found.replaced.push(line),
            Standing::Disputed => found.disputed.push(line),
        }
    }
    found
}

fn once_each(lines: Vec<Placed>, faults: &mut Vec<Fault>) -> Vec<Placed> {
    let mut first: HashMap<String, String> = HashMap::new();
    let mut kept = Vec::new();
    for line in lines {
        if let Some(place) = first.get(&line.text) {
            let why = format!("the same line stands at {place} already; it counts once");
            faults.push(Fault::warning(&line.path, why, "take one of them out").at(line.line));
        } else {
            first.insert(line.text.clone(), line.place());
            kept.push(line);
        }
    }
    kept
}

/// Marks what corrections replace; `group` ends with one number for all lines linked that way.
fn replace(
    lines: &[Placed],
    standing: &mut [Standing],
    group: &mut [usize],
    faults: &mut Vec<Fault>,
) {
    let mut by_id: HashMap<&str, Vec<usize>> = HashMap::new();
    for (i, line) in lines.iter().enumerate() {
        by_id.entry(&line.record.job.id).or_default().push(i);
    }
    for (i, line) in lines.iter().enumerate() {
        let Some(named) = line.record.job.corrects.as_deref() else {
            continue;
        };
        // Corrections that took over the number of the line they correct are not meant themselves.
        let mut targets: Vec<usize> = by_id.get(named).cloned().unwrap_or_default();
        targets.retain(|t| *t != i && lines[*t].record.job.corrects.as_deref() != Some(named));
        if targets.len() > 1 {
            targets.retain(|t| lines[*t].record.job.job == line.record.job.job);
        }
        if targets.is_empty() {
            let why = format!("it corrects {named:?}, which is not here");
            let todo = "look for a damaged or missing line; this one counts";
            faults.push(line.warning("corrects", why, todo));
        }
        for target in targets {
            standing[target] = Standing::Replaced;
            let (from, to) = (group[target], group[i]);
            for g in group.iter_mut().filter(|g| **g == from) {
                *g = to;
            }
        }
    }
}

/// Lines linked by corrections must end in one that counts.
fn dispute_corrections(
    lines: &[Placed],
    standing: &mut [Standing],
    group: &[usize],
    faults: &mut Vec<Fault>,
) {
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, g) in group.iter().enumerate() {
        groups.entry(*g).or_default().push(i);
    }
    for members in groups.into_values().filter(|m| m.len() > 1) {
        let live: Vec<usize> = members
            .iter()
            .copied()
            .filter(|i| standing[*i] == Standing::Live)
            .collect();
        let (among, why) = match live.len() {
            1 => continue,
            0 => (members, "these lines correct each other in a circle"),
            _ => (live, "several lines correct the same one"),
        };
        let todo = "write a line that corrects the wrong ones; none counts until then";
        for i in &among {
            standing[*i] = Standing::Disputed;
            let why = format!("{why}: {}", places(lines, &among));
            faults.push(lines[*i].damage("corrects", why, todo));
        }
    }
}

/// Two lines of one job, or with one id, contradict each other.
fn dispute_doubles(lines: &[Placed], standing: &mut [Standing], faults: &mut Vec<Fault>) {
    let live: Vec<usize> = (0..lines.len())
        // A withdrawn line says nothing of its job: another may take its number.
        .filter(|i| standing[*i] == Standing::Live && !lines[*i].record.job.withdrawn)
        .collect();
    let mut by_job: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut by_id: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for i in live {
        let job = &lines[i].record.job;
        by_job.entry(&job.job).or_default().push(i);
        by_id.entry(&job.id).or_default().push(i);
    }
    let mut name = |field: &str, all: BTreeMap<&str, Vec<usize>>| {
        for (value, among) in all.into_iter().filter(|(_, among)| among.len() > 1) {
            for i in &among {
                if standing[*i] == Standing::Live {
                    standing[*i] = Standing::Disputed;
                    let why = format!(
                        "{value:?} stands on several lines and none corrects another: {}",
                        places(lines, &among)
                    );
                    let todo = "add \"corrects\":\"<id>\" to the right one; none counts until then";
                    faults.push(lines[*i].damage(field, why, todo));
                }
            }
        }
    };
    name("job", by_job);
    name("id", by_id);
}

fn places(lines: &[Placed], among: &[usize]) -> String {
    let places: Vec<String> = among.iter().map(|i| lines[*i].place()).collect();
    places.join(", ")
}

fn check_follows(lines: &[Placed], faults: &mut Vec<Fault>) {
    let jobs = lines.iter().map(|line| &line.record.job);
    let here: HashSet<&str> = jobs.flat_map(|j| [j.job.as_str(), j.id.as_str()]).collect();
    for line in lines {
        if let Some(earlier) = &line.record.job.follows
            && !here.contains(earlier.as_str())
        {
            let why = format!("it follows {earlier:?}, which is not here");
            faults.push(line.warning("follows", why, "correct the number, or add the earlier job"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::Job;
    use crate::domain::job::Outcome;

    /// (id, job, corrects) a line.
    #[track_caller]
    fn check(script: &[(&str, &str, &str)], live: &[usize], disputed: &[usize], n_faults: usize) {
        let lines = script.iter().enumerate().map(|(i, (id, job, corrects))| {
            let job = Job {
                id: (*id).to_owned(),
                job: (*job).to_owned(),
                closed_on: chrono::NaiveDate::MIN,
                corrects: (!corrects.is_empty()).then(|| (*corrects).to_owned()),
                ..Job::empty("", "", Outcome::Held)
            };
            Placed {
                text: format!("{i}"),
                record: JobRecord::new(job),
                path: PathBuf::from("jobs/a.jsonl"),
                line: i as u64,
            }
        });
        let settled = settle(lines.collect());
        let at = |lines: &[Placed]| {
            lines
                .iter()
                .map(|l| usize::try_from(l.line).unwrap())
                .collect::<Vec<_>>()
        };
        assert_eq!(at(&settled.live), live, "{:?}", settled.faults);
        assert_eq!(at(&settled.disputed), disputed, "{:?}", settled.faults);
        assert_eq!(settled.faults.len(), n_faults, "{:?}", settled.faults);
    }

    #[test]
    fn two_lines_of_one_job_both_stand_aside_until_a_correction_says() {
        check(&[("a", "1", ""), ("b", "2", "")], &[0, 1], &[], 0);
        check(&[("a", "1", ""), ("b", "1", "")], &[], &[0, 1], 2);
        check(&[("a", "1", ""), ("b", "1", "a")], &[1], &[], 0);
        check(
            &[("a", "1", ""), ("b", "1", "a"), ("c", "1", "b")],
            &[2],
            &[],
            0,
        );
        check(
            &[("1", "1", ""), ("1", "1", ""), ("c", "1", "1")],
            &[2],
            &[],
            0,
        );
    }

    #[test]
    fn a_correction_without_its_own_id_replaces_the_line_of_that_number() {
        check(&[("1", "1", ""), ("1", "1", "1")], &[1], &[], 0);
        check(
            &[("1", "1", ""), ("1", "1", "1"), ("1", "1", "1")],
            &[],
            &[1, 2],
            2,
        );
    }

    #[test]
    fn a_correction_may_change_the_number() {
        check(&[("a", "1", ""), ("b", "2", "a")], &[1], &[], 0);
        check(
            &[("a", "1", ""), ("b", "2", "a"), ("c", "3", "a")],
            &[],
            &[1, 2],
            2,
        );
    }

    #[test]
    fn a_withdrawn_job_is_gone_and_nothing_takes_its_place() {
        let line = |id: &str, corrects: Option<&str>| {
            let job = Job {
                id: id.to_owned(),
                corrects: corrects.map(str::to_owned),
                withdrawn: corrects.is_some(),
                ..Job::empty("1", "", Outcome::Held)
            };
            Placed {
                text: id.to_owned(),
                record: JobRecord::new(job),
                path: PathBuf::from("jobs/a.jsonl"),
                line: 1,
            }
        };
        let settled = settle(vec![line("a", None), line("b", Some("a"))]);
        assert_eq!((settled.live.len(), settled.replaced.len()), (0, 2));
        assert_eq!(settled.faults, []);
        // The number is free again: who takes it next stands alone.
        let lines = vec![line("a", None), line("b", Some("a")), line("c", None)];
        let settled = settle(lines);
        assert_eq!((settled.live.len(), settled.disputed.len()), (1, 0));
        assert_eq!(settled.faults, []);
    }

    #[test]
    fn circles_clashing_ids_and_lost_targets_are_named() {
        check(&[("a", "1", "b"), ("b", "1", "a")], &[], &[0, 1], 2);
        check(&[("a", "1", ""), ("a", "2", "")], &[], &[0, 1], 2);
        check(&[("a", "1", "gone")], &[0], &[], 1);
        check(
            &[("a", "1", ""), ("a", "2", ""), ("c", "2", "a")],
            &[0, 2],
            &[],
            0,
        );
    }
}
