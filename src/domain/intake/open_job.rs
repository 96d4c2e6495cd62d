//! Jobs still on the bench: begun, logged line by line, handed on, and closed or called off.
//!
//! Each event is signed and stamped. The state is a fold over the events of all benches, so that a job
//! can be handed from one bench to another: the same events give the same jobs, whatever their order of
//! arrival. Words are kept as they were said; what they mean is read when the job is closed.

use std::collections::BTreeMap;

use chrono::DateTime;
use chrono::Utc;

/// What happened to an open job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// It came onto a bench.
    Begin {
        /// Board id.
        board: String,
        /// Revision.
        rev: Option<String>,
        /// Customer's words, as said.
        complaint: String,
        /// Mark of the unit.
        unit: Option<String>,
    },
    /// Something was seen or done.
    Log {
        /// As said.
        words: String,
    },
    /// Someone else goes on with it.
    Hand {
        /// A person's initials, or a bench.
        to: String,
    },
    /// It became the closed job of this number.
    Close {
        /// Number in the archive.
        job: String,
    },
    /// It is no job after all.
    CallOff {
        /// Why.
        why: String,
    },
}

/// One event with who said it and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Id of the line.
    pub id: String,
    /// Bench that wrote it.
    pub bench: String,
    /// Number within that bench's file.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// Initials.
    pub by: String,
    /// Number of the job.
    pub job: String,
    /// What happened.
    pub event: Event,
}

/// One line of what was seen and done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Logged {
    /// When.
    pub at: DateTime<Utc>,
    /// Initials.
    pub by: String,
    /// Bench.
    pub bench: String,
    /// As said.
    pub words: String,
}

/// A job still on a bench.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenJob {
    /// Its number.
    pub number: String,
    /// Board id.
    pub board: String,
    /// Revision.
    pub rev: Option<String>,
    /// Customer's words, as said.
    pub complaint: String,
    /// Mark of the unit.
    pub unit: Option<String>,
    /// When it was begun.
    pub since: DateTime<Utc>,
    /// Who has it: initials, or a bench.
    pub with: String,
    /// What was seen and done, in order.
    pub log: Vec<Logged>,
}

impl OpenJob {
    /// Returns what was said of it as one text, complaint first: one line an entry.
    pub fn words(&self) -> String {
        let mut lines = vec![self.complaint.clone()];
        lines.extend(self.log.iter().map(|l| l.words.clone()));
        lines.retain(|l| !l.trim().is_empty());
        lines.join("\n")
    }
}

/// What the events of all benches come to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpenJobs {
    /// Jobs still open, the oldest first.
    pub open: Vec<OpenJob>,
    /// Numbers that were closed or called off.
    pub over: Vec<String>,
    /// Events that fit no open job, by id: said after it was closed, or of a job that nobody began.
    pub stray: Vec<String>,
}

/// Folds the events of all benches: by the running maximum of time within each bench's file, then
/// bench, then number. An event that stands twice counts once.
///
/// Of two benches that begin one number the earlier counts; what the later one said goes on in the log.
pub fn fold(entries: &[Entry]) -> OpenJobs {
    let mut files: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
    for entry in entries {
        let file = files.entry(&entry.bench).or_default();
        if !file.contains(&entry) {
            file.push(entry);
        }
    }
    let mut timed: Vec<(DateTime<Utc>, &Entry)> = Vec::new();
    for file in files.values_mut() {
        file.sort_by_key(|e| (e.seq, &e.id, e.at));
        let mut latest = DateTime::<Utc>::MIN_UTC;
        for entry in file {
            latest = latest.max(entry.at);
            timed.push((latest, entry));
        }
    }
    timed.sort_by_key(|(at, e)| (*at, &e.bench, e.seq, &e.id));
    let mut jobs: BTreeMap<String, Vec<(DateTime<Utc>, &Entry)>> = BTreeMap::new();
    for (at, entry) in timed {
        let events = jobs.entry(entry.job.to_uppercase()).or_default();
        events.push((at, entry));
    }
    let mut all = OpenJobs::default();
    for (number, events) in jobs {
        one(number, &events, &mut all);
    }
    let order = |a: &OpenJob, b: &OpenJob| (a.since, &a.number).cmp(&(b.since, &b.number));
    all.open.sort_by(order);
    all.stray.sort();
    all
}

/// Puts the events of one job together. The clocks of two benches may differ, so a line stamped before
/// the job was begun belongs to it all the same.
fn one(number: String, events: &[(DateTime<Utc>, &Entry)], all: &mut OpenJobs) {
    let first = events
        .iter()
        .enumerate()
        .find_map(|(i, (at, entry))| Some((i, begun(entry, *at)?)));
    let Some((first, mut job)) = first else {
        all.stray.extend(events.iter().map(|(_, e)| e.id.clone()));
        return;
    };
    let mut ended: Option<DateTime<Utc>> = None;
    for (i, (at, entry)) in events.iter().enumerate() {
        if ended.is_some_and(|end| end < *at) {
            all.stray.push(entry.id.clone());
            continue;
        }
        match &entry.event {
            Event::Begin { .. } if i == first => {}
            Event::Begin {
                complaint: words, ..
            }
            | Event::Log { words } => job.log.push(Logged {
                at: *at,
                by: entry.by.clone(),
                bench: entry.bench.clone(),
                words: words.clone(),
            }),
            Event::Hand { to } => job.with.clone_from(to),
            Event::Close { .. } | Event::CallOff { .. } => ended = Some(*at),
        }
    }
    if ended.is_some() {
        all.over.push(number);
    } else {
        all.open.push(job);
    }
}

fn begun(entry: &Entry, at: DateTime<Utc>) -> Option<OpenJob> {
    let Event::Begin {
        board,
        rev,
        complaint,
        unit,
    } = &entry.event
    else {
        return None;
    };
    Some(OpenJob {
        number: entry.job.clone(),
        board: board.clone(),
        rev: rev.clone(),
        complaint: complaint.clone(),
        unit: unit.clone(),
        since: at,
        with: entry.by.clone(),
        log: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeDelta;
    use proptest::prelude::*;

    fn at(minutes: i64) -> DateTime<Utc> {
        DateTime::<Utc>::UNIX_EPOCH + TimeDelta::minutes(minutes)
    }

    fn entry(bench: &str, seq: u64, minutes: i64, event: Event) -> Entry {
        Entry {
            id: format!("open-{bench}-{seq}"),
            bench: bench.to_owned(),
            seq,
            at: at(minutes),
            by: "mk".to_owned(),
            job: "W-1".to_owned(),
            event,
        }
    }

    fn begin() -> Event {
        Event::Begin {
            board: "petrel-p4".to_owned(),
            rev: None,
            complaint: "no power".to_owned(),
            unit: None,
        }
    }

    fn log(words: &str) -> Event {
        Event::Log {
            words: words.to_owned(),
        }
    }

    #[test]
    fn a_job_handed_to_another_bench_goes_on_there_in_order() {
        let to = "b9".to_owned();
        let entries = [
            entry("b7", 1, 0, begin()),
            entry("b7", 2, 5, log("3V3_SB 0.41")),
            entry("b7", 3, 9, Event::Hand { to }),
            entry("b9", 1, 20, log("replaced U31")),
        ];
        let all = fold(&entries);
        assert_eq!(all.open.len(), 1);
        assert_eq!(all.open[0].with, "b9");
        assert_eq!(all.open[0].words(), "no power\n3V3_SB 0.41\nreplaced U31");
        let mut closed = entries.to_vec();
        closed.push(entry(
            "b9",
            2,
            30,
            Event::Close {
                job: "W-1".to_owned(),
            },
        ));
        closed.push(entry("b9", 3, 31, log("too late")));
        let all = fold(&closed);
        assert_eq!(
            (all.open.len(), all.over.as_slice()),
            (0, &["W-1".to_owned()][..])
        );
        assert_eq!(all.stray, ["open-b9-3"]);
    }

    fn some_event() -> impl Strategy<Value = Event> {
        prop_oneof![
            Just(begin()),
            "[a-c]{1,2}".prop_map(|words| log(&words)),
            Just(Event::Hand {
                to: "b9".to_owned()
            }),
            Just(Event::Close {
                job: "W-1".to_owned()
            }),
            Just(Event::CallOff {
                why: "gone".to_owned()
            }),
        ]
    }

    fn some_entries() -> impl Strategy<Value = Vec<Entry>> {
        let one = (0..3usize, 0..3usize, 0..40i64, some_event());
        prop::collection::vec(one, 0..14).prop_map(|drawn| {
            let mut next = [0_u64; 3];
            drawn
                .into_iter()
                .map(|(bench, job, minutes, event)| {
                    next[bench] += 1;
                    let mut made = entry(["b1", "b7", "b9"][bench], next[bench], minutes, event);
                    made.job = format!("W-{job}");
                    made
                })
                .collect()
        })
    }

    proptest! {
        #[test]
        fn the_order_of_arrival_and_lines_that_come_twice_change_nothing(
            (entries, shuffled) in some_entries()
                .prop_flat_map(|e| (Just(e.clone()), Just([e.clone(), e].concat()).prop_shuffle()))
        ) {
            prop_assert_eq!(fold(&entries), fold(&shuffled));
        }

        #[test]
        fn every_line_is_in_a_log_or_told(entries in some_entries()) {
            let all = fold(&entries);
            let logged: usize = all.open.iter().map(|j| j.log.len()).sum();
            let words = entries.iter().filter(|e| matches!(e.event, Event::Log { .. })).count();
            // Lines of jobs that are over went with them.
            let any_over = !all.over.is_empty();
            let strays = all.stray.len();
            let begun = entries.iter().filter(|e| matches!(e.event, Event::Begin { .. })).count();
            prop_assert!(logged + strays <= entries.len());
            prop_assert!(any_over || words <= logged + strays);
            prop_assert!(any_over || all.open.len() <= begun);
        }
    }
}
