//! Intake journals: `intake/<bench>.jsonl`, append only, with the same numbering, check sums and lock
//! as review journals.

use std::collections::HashSet;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

use chrono::DateTime;
use chrono::Utc;

use crate::domain::intake::backlog::RowJob;
use crate::domain::intake::decision::Entry;
use crate::domain::intake::decision::Event;
use crate::store::appender::Appender;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::jobs::Archive;
use crate::store::journal;
use crate::store::lock::Holder;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::record::decision;
use crate::store::record::job::JobRecord;
use crate::store::sealed;

/// Field of a job line that names the row it came from.
pub const ROW: &str = "row";

/// The one writer of a bench's decisions; holds the lock until dropped.
#[derive(Debug)]
pub struct IntakeJournal {
    appender: Appender,
    bench: String,
}

impl IntakeJournal {
    /// Opens the decisions of `bench` for writing.
    pub fn open(
        disk: &Arc<dyn Disk>,
        shop: &ShopFolder,
        bench: &str,
        holder: &Holder,
    ) -> Result<Self, StoreError> {
        let path = shop.intake_of(bench)?;
        let (mut appender, bytes) = Appender::open(Arc::clone(disk), shop.root(), &path, holder)?;
        let scan = sealed::scan(&bytes);
        let mut faults = Vec::new();
        let entries = read_scan(&scan, &path, &mut faults);
        appender.start(entries.iter().map(|e| e.seq).max().unwrap_or(0), &scan);
        Ok(Self {
            appender,
            bench: bench.to_owned(),
        })
    }

    /// Appends one decision and returns its entry once it is on the disk.
    ///
    /// On [`StoreError::NotKept`] it does not count; appending again is safe.
    pub fn append(
        &mut self,
        by: &str,
        event: Event,
        at: DateTime<Utc>,
    ) -> Result<Entry, StoreError> {
        let mut entry = Entry {
            id: String::new(),
            bench: self.bench.clone(),
            seq: 0,
            at: journal::to_millis(at),
            by: by.to_owned(),
            event,
        };
        let id = |seq: u64| format!("intake-{}-{seq}", self.bench);
        // A value with no place in the format would be acknowledged and then be unreadable.
        let (read, problems) = decision::read(&decision::unsealed(&entry, &id(1), 1), &self.bench);
        if read.is_none_or(|read| read.event != entry.event) {
            let why = problems
                .first()
                .map_or_else(String::new, |p| format!("{}: {}", p.field, p.why));
            return Err(StoreError::Unwritable { why });
        }
        let seq = self.appender.append(
            &|seq| decision::unsealed(&entry, &id(seq), seq),
            &|seq, stray| {
                Some(decision::unsealed_undo(
                    &entry.by,
                    entry.at,
                    &id(seq),
                    seq,
                    stray,
                ))
            },
        )?;
        entry.id = id(seq);
        entry.seq = seq;
        Ok(entry)
    }
}

/// Opens, appends one decision and closes.
pub fn append_once(
    disk: &Arc<dyn Disk>,
    shop: &ShopFolder,
    bench: &str,
    holder: &Holder,
    (by, event): (&str, Event),
    at: DateTime<Utc>,
) -> Result<Entry, StoreError> {
    IntakeJournal::open(disk, shop, bench, holder)?.append(by, event, at)
}

/// Reads the decisions of all benches.
pub fn load_entries(
    disk: &dyn Disk,
    shop: &ShopFolder,
) -> Result<(Vec<Entry>, Vec<Fault>), StoreError> {
    let mut faults = Vec::new();
    let mut found: Vec<Entry> = Vec::new();
    let mut seen = HashSet::new();
    for path in journals(disk, shop)? {
        if let Err(bad) = paths::safe_name(&journal::stem(&path)) {
            let todo = "rename it to the bench that wrote it, for example b7.jsonl";
            faults.push(Fault::damage(&path, format!("not read: {bad}"), todo));
            continue;
        }
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        for entry in read_scan(&sealed::scan(&bytes), &path, &mut faults) {
            if !seen.insert(entry.id.clone()) {
                let why = format!("{} stands on two lines; both are kept", entry.id);
                let todo = "two benches may share one bench id: give one of them another";
                faults.push(Fault::warning(&path, why, todo).field("id"));
            }
            found.push(entry);
        }
    }
    Ok((found, faults))
}

/// Returns the journals of the folder `intake/`: what ends in `.jsonl` and holds neither rows of a sheet nor open jobs.
pub fn journals(disk: &dyn Disk, shop: &ShopFolder) -> Result<Vec<PathBuf>, StoreError> {
    let mut paths = journal::list_or_empty(disk, &shop.intake())?;
    paths.retain(|path| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let others = [".rows.jsonl", crate::store::entry::open_log::ENDING];
        name.ends_with(".jsonl") && !others.iter().any(|other| name.ends_with(other))
    });
    Ok(paths)
}

fn read_scan(scan: &sealed::Scan<'_>, path: &Path, faults: &mut Vec<Fault>) -> Vec<Entry> {
    let bench = journal::stem(path);
    journal::numbered(scan, (path, &bench), decision::read, |e| e.seq, faults)
}

/// Returns the key of the row that a job line came from.
pub fn row_of(record: &JobRecord) -> Option<&str> {
    record.extra(ROW)?.as_str()
}

/// Returns the job lines that came from rows, those that stand and those that do not.
pub fn row_jobs(archive: &Archive) -> Vec<RowJob> {
    let of = |records: &[JobRecord], stands: bool| -> Vec<RowJob> {
        let from_rows = records.iter().filter_map(|r| Some((row_of(r)?, r)));
        from_rows
            .map(|(row, record)| RowJob {
                row: row.to_owned(),
                job: record.job.job.clone(),
                line: record.job.id.clone(),
                stands,
            })
            .collect()
    };
    let mut all = of(&archive.jobs, true);
    all.extend(of(&archive.disputed, true));
    all.extend(of(&archive.replaced, false));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::intake::decision::Progress;
    use crate::domain::intake::draft::Suggested;
    use crate::store::faulty::FaultyDisk;
    use crate::store::faulty::Trouble;
    use crate::store::model_disk::ModelDisk;

    fn shop() -> ShopFolder {
        ShopFolder::new("/shop")
    }

    fn holder() -> Holder {
        Holder {
            who: "mk, intake".to_owned(),
            since: noon(),
        }
    }

    fn noon() -> DateTime<Utc> {
        "2026-11-20T12:00:00Z".parse().unwrap()
    }

    fn every() -> Vec<Event> {
        let row = || "4f2a90c1".to_owned();
        let mut mended = Suggested::default();
        mended.facts.number = Some("W-7".to_owned());
        mended.maybe.rev = Some("C".to_owned());
        vec![
            Event::Accept {
                row: row(),
                job: "W-7".to_owned(),
                line: "b7-r1".to_owned(),
            },
            Event::Repair {
                row: row(),
                draft: Arc::new(mended.clone()),
            },
            Event::Split {
                row: row(),
                parts: Arc::new([mended, Suggested::default()]),
            },
            Event::SameAs {
                row: row(),
                job: "W-9".to_owned(),
                withdrew: vec!["c1-r1".to_owned()],
            },
            Event::Skip {
                row: row(),
                why: "a list of parts".to_owned(),
            },
            Event::Undo {
                of: "intake-b7-5".to_owned(),
            },
            Event::Take {
                source: "old.csv".to_owned(),
                rows: Some((20, 60)),
                until: noon().date_naive().succ_opt(),
            },
            Event::Release {
                source: "old.csv".to_owned(),
            },
            Event::AddSource {
                source: "Notebook 2019".to_owned(),
                place: "shelf 3".to_owned(),
                status: Progress::Todo,
            },
            Event::SetSource {
                source: "Notebook 2019".to_owned(),
                status: Progress::Done,
                note: "two pages gone".to_owned(),
                job: Some("W-9".to_owned()),
            },
        ]
    }

    #[test]
    fn every_decision_comes_back_as_it_was_written() {
        let disk: Arc<dyn Disk> = Arc::new(ModelDisk::new());
        let mut journal = IntakeJournal::open(&disk, &shop(), "b7", &holder()).unwrap();
        let kept: Vec<Entry> = every()
            .into_iter()
            .map(|event| journal.append("mk", event, noon()).unwrap())
            .collect();
        let (read, faults) = load_entries(disk.as_ref(), &shop()).unwrap();
        assert_eq!(faults, []);
        assert_eq!(read, kept);
        assert_eq!(read[9].id, "intake-b7-10");
    }

    #[test]
    fn rows_of_sheets_are_no_journal_and_a_stray_name_is_told() {
        let disk = ModelDisk::new();
        let folder = shop().intake();
        disk.put(&folder.join("old-1f0c.rows.jsonl"), b"x\n");
        disk.put(&folder.join("B 7.jsonl"), b"");
        disk.put(&folder.join("map.json"), b"{}");
        let (read, faults) = load_entries(&disk, &shop()).unwrap();
        assert_eq!((read.len(), faults.len()), (0, 1), "{faults:?}");
    }

    #[test]
    fn a_decision_counts_exactly_when_it_was_called_kept() {
        let mut failed = 0;
        for trouble in [Trouble::Error, Trouble::Short] {
            for nth in 1..25 {
                let model: Arc<dyn Disk> = Arc::new(ModelDisk::new());
                let faulty = FaultyDisk::new(Arc::clone(&model), nth, trouble);
                let disk: Arc<dyn Disk> = Arc::new(faulty);
                let Ok(mut journal) = IntakeJournal::open(&disk, &shop(), "b7", &holder()) else {
                    continue;
                };
                let skip = every()[4].clone();
                let kept = journal.append("mk", skip, noon()).is_ok();
                failed += usize::from(!kept);
                let accept = every()[0].clone();
                if journal.append("mk", accept.clone(), noon()).is_err() {
                    journal.append("mk", accept, noon()).unwrap();
                }
                let (read, _) = load_entries(model.as_ref(), &shop()).unwrap();
                let found = crate::domain::intake::backlog::fold(&read, &[]);
                let state = found.row("4f2a90c1").unwrap();
                assert_eq!(state.skipped.is_some(), kept, "{trouble:?} at {nth}");
                assert_eq!(state.jobs.len(), 1, "{trouble:?} at {nth}");
            }
        }
        assert!(
            2 < failed,
            "the troubles reached the journal {failed} times"
        );
    }
}
