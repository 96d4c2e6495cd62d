//! What became of the backlog: a fold over the decisions of all benches and the jobs made of rows.
//!
//! The same entries and jobs give the same state in whatever order they arrive. A row is accepted
//! when a job of it stands in the archive, whether or not its entry got written; where the entry is
//! here and the job is not (its file has not arrived yet) it counts too, unless that job was withdrawn.
//! Two decisions about one row are both kept and named: which of them is right is a person's to say.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::intake::decision::Entry;
use crate::domain::intake::decision::Event;
use crate::domain::intake::decision::Progress;
use crate::domain::intake::decision::part_key;
use crate::domain::intake::draft::Suggested;

/// A job line that came from a row.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct RowJob {
    /// Key of the row.
    pub row: String,
    /// The job's number.
    pub job: String,
    /// Id of the line.
    pub line: String,
    /// It stands in the archive; otherwise it was withdrawn or replaced.
    pub stands: bool,
}

/// What became of one row or part of a row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RowState {
    /// What is known of it since it was last mended.
    pub draft: Option<Arc<Suggested>>,
    /// Its two parts, where it was split.
    pub parts: Option<Arc<[Suggested; 2]>>,
    /// Jobs made of it: number and line.
    pub jobs: BTreeSet<(String, String)>,
    /// Jobs that it is the same as.
    pub same_as: BTreeSet<String>,
    /// Why it was passed over.
    pub skipped: Option<String>,
    /// Who decided, the latest last.
    pub by: Vec<String>,
}

impl RowState {
    /// Tells whether nobody has decided about it; what was split waits in its parts.
    pub fn waits(&self) -> bool {
        self.jobs.is_empty()
            && self.same_as.is_empty()
            && self.skipped.is_none()
            && self.parts.is_none()
    }

    /// Returns the decisions that contradict each other, in words; none where there is one at most.
    fn clash(&self) -> Option<String> {
        let numbers: BTreeSet<&str> = self.jobs.iter().map(|(n, _)| n.as_str()).collect();
        let others: BTreeSet<&str> = self
            .same_as
            .iter()
            .map(String::as_str)
            .filter(|n| !numbers.contains(n))
            .collect();
        let mut said: Vec<String> = Vec::new();
        if 1 < self.jobs.len() {
            let all: Vec<&str> = self.jobs.iter().map(|(n, _)| n.as_str()).collect();
            said.push(format!("entered twice: {}; merge them", all.join(" and ")));
        } else if let Some((number, _)) = self.jobs.first() {
            said.push(format!("entered as {number}"));
        }
        said.extend(others.iter().map(|n| format!("called the same as {n}")));
        if let Some(why) = &self.skipped {
            said.push(format!("passed over: {why}"));
        }
        if self.parts.is_some() {
            said.push("split into two jobs".to_owned());
        }
        let decided = said.len() + usize::from(1 < self.jobs.len());
        (1 < decided).then(|| said.join(", and "))
    }
}

/// A stretch that someone works through.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The sheet or source.
    pub source: String,
    /// First and last row; all of it without.
    pub rows: Option<(u64, u64)>,
    /// Last day of it.
    pub until: Option<NaiveDate>,
    /// Who has it.
    pub by: String,
}

impl Stretch {
    /// Tells whether a row lies in it.
    pub fn holds(&self, sheet: &str, row: Option<u64>) -> bool {
        self.source == sheet
            && match (self.rows, row) {
                (None, _) => true,
                (Some((from, to)), Some(row)) => (from..=to).contains(&row),
                (Some(_), None) => false,
            }
    }

    /// Tells whether it still holds on a day.
    pub fn is_on(&self, day: NaiveDate) -> bool {
        self.until.is_none_or(|until| day <= until)
    }

    /// Returns it in words: `tl has rows 20 to 60 until 2026-12-01`.
    pub fn words(&self) -> String {
        let rows = match self.rows {
            Some((from, to)) if from == to => format!("row {from}"),
            Some((from, to)) => format!("rows {from} to {to}"),
            None => "all of it".to_owned(),
        };
        let until = self
            .until
            .map_or_else(String::new, |day| format!(" until {day}"));
        format!("{} has {rows}{until}", self.by)
    }
}

/// A source of the backlog that is no sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Source {
    /// Where it is.
    pub place: String,
    /// How far it has come.
    pub status: Progress,
    /// In the words of whoever said so last.
    pub note: String,
    /// Jobs that were said to be entered from it.
    pub jobs: BTreeSet<String>,
    /// Who said something about it last.
    pub by: String,
}

/// Everything decided so far.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Backlog {
    /// Rows and parts that something was decided about, by key.
    pub rows: BTreeMap<String, RowState>,
    /// Stretches that nobody has let go of, in the order of taking.
    pub stretches: Vec<Stretch>,
    /// Sources by title.
    pub sources: BTreeMap<String, Source>,
    /// Ids of decisions that count, in the order of time, with who made them.
    pub standing: Vec<(String, String)>,
}

impl Backlog {
    /// Returns what was decided about a key.
    pub fn row(&self, key: &str) -> Option<&RowState> {
        self.rows.get(key)
    }

    /// Returns which decisions about a row and its parts contradict each other, in words.
    pub fn clash(&self, row: &str) -> Option<String> {
        let state = self.rows.get(row)?;
        let mut whole = state.clone();
        if state.parts.is_some() && !state.jobs.is_empty() {
            for part in 0..2 {
                if let Some(part) = self.rows.get(&part_key(row, part)) {
                    whole.jobs.extend(part.jobs.iter().cloned());
                }
            }
        }
        whole.clash()
    }

    /// Returns the last decision of a person that counts, as its id.
    pub fn last_of(&self, person: &str) -> Option<&str> {
        let mut own = self.standing.iter().rev();
        own.find(|(_, by)| by == person).map(|(id, _)| id.as_str())
    }
}

/// Returns the entries in the order in which they count: by the running maximum of their stamps
/// within each journal, then bench, then number; each once.
pub fn in_order(entries: &[Entry]) -> Vec<&Entry> {
    let mut by_bench: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
    for entry in entries {
        by_bench.entry(&entry.bench).or_default().push(entry);
    }
    let mut timed: Vec<(DateTime<Utc>, &Entry)> = Vec::new();
    for mut own in by_bench.into_values() {
        // Two different lines with one number are named when read; here only their order must not
        // depend on the order of arrival.
        own.sort_by(|a, b| {
            (a.seq, &a.id, a.at)
                .cmp(&(b.seq, &b.id, b.at))
                .then_with(|| format!("{a:?}").cmp(&format!("{b:?}")))
        });
        own.dedup();
        let mut latest = DateTime::<Utc>::MIN_UTC;
        for entry in own {
            latest = latest.max(entry.at);
            timed.push((latest, entry));
        }
    }
    timed.sort_by(|(a_at, a), (b_at, b)| (a_at, &a.bench, a.seq).cmp(&(b_at, &b.bench, b.seq)));
    timed.into_iter().map(|(_, entry)| entry).collect()
}

/// Folds the entries of all benches over the jobs that came from rows.
pub fn fold(entries: &[Entry], jobs: &[RowJob]) -> Backlog {
    let entries = in_order(entries);
    let undone: BTreeSet<&str> = entries
        .iter()
        .filter_map(|e| match &e.event {
            Event::Undo { of } => Some(of.as_str()),
            _ => None,
        })
        .collect();
    let mut found = Backlog::default();
    for job in jobs.iter().filter(|job| job.stands) {
        let state = found.rows.entry(job.row.clone()).or_default();
        state.jobs.insert((job.job.clone(), job.line.clone()));
    }
    let known: BTreeSet<&str> = jobs.iter().map(|job| job.line.as_str()).collect();
    for entry in entries.iter().filter(|e| !undone.contains(e.id.as_str())) {
        found.take(entry, &known);
    }
    found
}

impl Backlog {
    /// Takes one decision that counts; `known` are the lines of rows that are here, standing or not.
    fn take(&mut self, entry: &Entry, known: &BTreeSet<&str>) {
        let by = entry.by.clone();
        if !matches!(entry.event, Event::Undo { .. }) {
            self.standing.push((entry.id.clone(), by.clone()));
        }
        if let Some(row) = entry.event.row() {
            let state = self.rows.entry(row.to_owned()).or_default();
            state.by.push(by);
            return decide(state, &entry.event, known);
        }
        match &entry.event {
            Event::Take {
                source,
                rows,
                until,
            } => self.stretches.push(Stretch {
                source: source.clone(),
                rows: *rows,
                until: *until,
                by,
            }),
            Event::Release { source } => {
                self.stretches.retain(|s| s.by != by || s.source != *source);
            }
            Event::AddSource {
                source,
                place,
                status,
            } => {
                let known = self
                    .sources
                    .entry(source.clone())
                    .or_insert_with(|| Source {
                        status: *status,
                        by,
                        ..Source::default()
                    });
                if known.place.is_empty() {
                    known.place.clone_from(place);
                }
            }
            Event::SetSource {
                source,
                status,
                note,
                job,
            } => {
                let known = self.sources.entry(source.clone()).or_default();
                known.status = *status;
                known.jobs.extend(job.clone());
                known.by = by;
                if !note.is_empty() {
                    known.note.clone_from(note);
                }
            }
            _ => {}
        }
    }
}

fn decide(state: &mut RowState, event: &Event, known: &BTreeSet<&str>) {
    match event {
        // A job that is here counts by itself, or was withdrawn; only one that is not is taken on trust.
        Event::Accept { job, line, .. } if !known.contains(line.as_str()) => {
            state.jobs.insert((job.clone(), line.clone()));
        }
        Event::Repair { draft, .. } => state.draft = Some(Arc::clone(draft)),
        Event::Split { parts, .. } => state.parts = Some(Arc::clone(parts)),
        Event::SameAs { job, .. } => {
            state.same_as.insert(job.clone());
        }
        Event::Skip { why, .. } => state.skipped = Some(why.clone()),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn entry(bench: &str, seq: u64, minute: i64, event: Event) -> Entry {
        let noon: DateTime<Utc> = "2026-11-20T12:00:00Z".parse().unwrap();
        Entry {
            id: format!("intake-{bench}-{seq}"),
            bench: bench.to_owned(),
            seq,
            at: noon + chrono::TimeDelta::minutes(minute),
            by: if bench == "b7" { "mk" } else { "tl" }.to_owned(),
            event,
        }
    }

    fn accept(row: &str, job: &str, line: &str) -> Event {
        Event::Accept {
            row: row.to_owned(),
            job: job.to_owned(),
            line: line.to_owned(),
        }
    }

    fn skip(row: &str) -> Event {
        Event::Skip {
            row: row.to_owned(),
            why: "no job".to_owned(),
        }
    }

    fn job(row: &str, job: &str, line: &str, stands: bool) -> RowJob {
        RowJob {
            row: row.to_owned(),
            job: job.to_owned(),
            line: line.to_owned(),
            stands,
        }
    }

    #[test]
    fn a_job_without_its_entry_counts_and_so_does_an_entry_without_its_job() {
        let crash = fold(&[], &[job("r1", "W-1", "a", true)]);
        assert!(!crash.row("r1").unwrap().waits());
        let away = fold(&[entry("c1", 1, 0, accept("r1", "W-1", "a"))], &[]);
        assert!(!away.row("r1").unwrap().waits());
        assert_eq!(away.clash("r1"), None);
    }

    #[test]
    fn a_withdrawn_job_waits_again_whatever_its_entry_says() {
        let taken = entry("b7", 1, 0, accept("r1", "W-1", "a"));
        let back = fold(&[taken], &[job("r1", "W-1", "a", false)]);
        assert!(back.row("r1").unwrap().waits());
    }

    #[test]
    fn one_row_entered_on_two_benches_is_named_and_a_merge_ends_it() {
        let mut entries = vec![
            entry("b7", 1, 0, accept("r1", "W-12", "a")),
            entry("c1", 1, 1, accept("r1", "W-40", "b")),
        ];
        let jobs = [job("r1", "W-12", "a", true), job("r1", "W-40", "b", true)];
        let clash = fold(&entries, &jobs).clash("r1");
        assert_eq!(
            clash.as_deref(),
            Some("entered twice: W-12 and W-40; merge them")
        );
        entries.push(entry(
            "b7",
            2,
            2,
            Event::SameAs {
                row: "r1".to_owned(),
                job: "W-12".to_owned(),
                withdrew: vec!["b".to_owned()],
            },
        ));
        let jobs = [job("r1", "W-12", "a", true), job("r1", "W-40", "b", false)];
        assert_eq!(fold(&entries, &jobs).clash("r1"), None);
    }

    #[test]
    fn two_benches_that_disagree_are_named_and_two_that_agree_are_not() {
        let entries = [
            entry("b7", 1, 0, skip("r1")),
            entry("c1", 1, 1, accept("r1", "W-40", "b")),
        ];
        let found = fold(&entries, &[job("r1", "W-40", "b", true)]);
        let clash = found.clash("r1");
        assert_eq!(
            clash.as_deref(),
            Some("entered as W-40, and passed over: no job")
        );
        let both = [entry("b7", 1, 0, skip("r1")), entry("c1", 1, 1, skip("r1"))];
        assert_eq!(fold(&both, &[]).clash("r1"), None);
    }

    #[test]
    fn an_undone_decision_leaves_no_trace_but_its_entries() {
        let entries = [
            entry("b7", 1, 0, skip("r1")),
            entry(
                "c1",
                1,
                5,
                Event::Undo {
                    of: "intake-b7-1".to_owned(),
                },
            ),
        ];
        let found = fold(&entries, &[]);
        assert!(found.row("r1").is_none_or(RowState::waits));
        assert_eq!(found.last_of("mk"), None);
    }

    #[test]
    fn a_stretch_is_let_go_only_by_whoever_has_it() {
        let take = |rows| Event::Take {
            source: "old.csv".to_owned(),
            rows,
            until: None,
        };
        let release = Event::Release {
            source: "old.csv".to_owned(),
        };
        let mut entries = vec![
            entry("b7", 1, 0, take(Some((1, 20)))),
            entry("c1", 1, 1, take(Some((21, 60)))),
            entry("b7", 2, 2, release),
        ];
        let found = fold(&entries, &[]);
        let [left] = found.stretches.as_slice() else {
            panic!("{:?}", found.stretches);
        };
        assert_eq!(left.words(), "tl has rows 21 to 60");
        assert!(left.holds("old.csv", Some(21)) && !left.holds("old.csv", Some(20)));
        entries.push(entry("b7", 3, 3, take(None)));
        assert_eq!(fold(&entries, &[]).stretches.len(), 2);
    }

    #[test]
    fn a_source_listed_on_two_benches_is_one_source() {
        let add = |place: &str| Event::AddSource {
            source: "Notebook 2019".to_owned(),
            place: place.to_owned(),
            status: Progress::Todo,
        };
        let done = Event::SetSource {
            source: "Notebook 2019".to_owned(),
            status: Progress::Done,
            note: String::new(),
            job: Some("W-12".to_owned()),
        };
        let entries = [
            entry("b7", 1, 0, add("")),
            entry("c1", 1, 1, add("shelf 3")),
            entry("c1", 2, 2, done),
        ];
        let found = fold(&entries, &[]);
        let source = &found.sources["Notebook 2019"];
        assert_eq!(
            (source.place.as_str(), source.status),
            ("shelf 3", Progress::Done)
        );
        assert_eq!(source.jobs.len(), 1);
    }

    fn events() -> impl Strategy<Value = Event> {
        let row = prop::sample::select(vec!["r1", "r2", "r2/1"]);
        let n = 0..6_usize;
        (0..9_usize, row, n).prop_map(|(kind, row, n)| {
            let (row, line, of) = (row.to_owned(), format!("l{n}"), format!("intake-b7-{n}"));
            let source = format!("s{}", n % 2);
            match kind {
                0 => accept(&row, &format!("W-{n}"), &line),
                1 => Event::Repair {
                    row,
                    draft: Arc::default(),
                },
                2 => Event::Split {
                    row,
                    parts: Arc::default(),
                },
                3 => Event::SameAs {
                    row,
                    job: format!("W-{n}"),
                    withdrew: Vec::new(),
                },
                4 => skip(&row),
                5 => Event::Undo { of },
                6 => Event::Take {
                    source,
                    rows: Some((1, n as u64)),
                    until: None,
                },
                7 => Event::Release { source },
                _ => Event::SetSource {
                    source,
                    status: Progress::ALL[n % 3],
                    note: String::new(),
                    job: None,
                },
            }
        })
    }

    proptest! {
        /// Union is the merge: entries in any order, some of them twice, give the same state.
        #[test]
        fn the_order_of_arrival_says_nothing(
            made in prop::collection::vec((events(), 0..40_i64, prop::bool::ANY), 0..30),
            shuffle in any::<u64>(),
        ) {
            let (mut b7, mut c1) = (0, 0);
            let entries: Vec<Entry> = made.into_iter().map(|(event, minute, own)| {
                let (bench, seq) = if own { b7 += 1; ("b7", b7) } else { c1 += 1; ("c1", c1) };
                entry(bench, seq, minute, event)
            }).collect();
            let jobs = [job("r1", "W-1", "l1", true), job("r2", "W-2", "l2", false)];
            let mut other = entries.clone();
            other.extend(entries.iter().take(3).cloned());
            other.sort_by_key(|e| crate::domain::ids::seed([&e.id, shuffle.to_string().as_str()]));
            let mut turned = jobs.to_vec();
            turned.reverse();
            prop_assert_eq!(fold(&entries, &jobs), fold(&other, &turned));
        }

        /// Taking the last decision back gives the state before it, but for what no longer stands.
        #[test]
        fn undo_gives_what_was_before(made in prop::collection::vec(events(), 1..20)) {
            let made: Vec<Event> =
                made.into_iter().filter(|e| !matches!(e, Event::Undo { .. })).collect();
            prop_assume!(!made.is_empty());
            let entries: Vec<Entry> =
                (1..).zip(made).map(|(seq, event)| entry("b7", seq, 0, event)).collect();
            let last = entries.last().unwrap();
            let undo = Event::Undo { of: last.id.clone() };
            let mut more = entries.clone();
            more.push(entry("b7", last.seq + 1, 0, undo));
            prop_assert_eq!(fold(&more, &[]), fold(&entries[..entries.len() - 1], &[]));
        }
    }
}
