//! Edits of cards: `edits/<bench>.jsonl`, append only, with the same numbering, check sums and lock as
//! review journals.

use std::collections::HashSet;
use std::sync::Arc;

use chrono::DateTime;
use chrono::Utc;

use crate::domain::desk::overlay;
use crate::domain::desk::overlay::Overlay;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::store::appender::Appender;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::lock::Holder;
use crate::store::paths::ShopFolder;
use crate::store::record::edit;
use crate::store::sealed;

/// The one writer of a bench's edits; holds the lock until dropped.
#[derive(Debug)]
pub struct EditJournal {
    appender: Appender,
    bench: String,
}

impl EditJournal {
    /// Opens the edits of `bench` for writing and returns what they are.
    pub fn open(
        disk: &Arc<dyn Disk>,
        shop: &ShopFolder,
        bench: &str,
        holder: &Holder,
    ) -> Result<(Self, Vec<EditEntry>, Vec<Fault>), StoreError> {
        let path = shop.edits_of(bench)?;
        let (mut appender, bytes) = Appender::open(Arc::clone(disk), shop.root(), &path, holder)?;
        let scan = sealed::scan(&bytes);
        let mut faults = Vec::new();
        let entries = read_scan(&scan, &path, &mut faults);
        appender.start(entries.iter().map(|e| e.seq).max().unwrap_or(0), &scan);
        let journal = Self {
            appender,
            bench: bench.to_owned(),
        };
        Ok((journal, entries, faults))
    }

    /// Appends one edit and returns its entry once it is on the disk; `after` names the edits that its
    /// lead had seen.
    pub fn append(
        &mut self,
        by: &str,
        card: &str,
        edit: Edit,
        (at, after): (DateTime<Utc>, Vec<String>),
    ) -> Result<EditEntry, StoreError> {
        let mut entry = EditEntry {
            id: String::new(),
            bench: self.bench.clone(),
            seq: 0,
            at: journal::to_millis(at),
            by: by.to_owned(),
            card: card.to_owned(),
            after: Some(after),
            edit,
        };
        let id = |seq: u64| format!("edit-{}-{seq}", self.bench);
        // An edit sets a value; one that was called not kept and is there all the same does no harm
        // when it is made again, so nothing takes it back.
        let seq = self
            .appender
            .append(&|seq| edit::unsealed(&entry, &id(seq), seq), &|_, _| None)?;
        entry.id = id(seq);
        entry.seq = seq;
        Ok(entry)
    }
}

/// Opens, appends one edit and closes.
///
/// `seen` names the edits of the same thing of the card that the lead had seen; without it, those that
/// stand now. What the same lead wrote, here or elsewhere, is always among them: what stands is read
/// while nobody else of this bench may write.
pub fn append_edit(
    disk: &Arc<dyn Disk>,
    shop: &ShopFolder,
    bench: &str,
    holder: &Holder,
    (by, card, edit): (&str, &str, Edit),
    (at, seen): (DateTime<Utc>, Option<&[String]>),
) -> Result<EditEntry, StoreError> {
    let (mut journal, _, _) = EditJournal::open(disk, shop, bench, holder)?;
    let (all, _) = load_edits(disk.as_ref(), shop)?;
    let overlay = Overlay::fold(all, &|_| true);
    let heads = overlay.heads(card, edit.field()).into_iter();
    let mut after: Vec<String> = heads
        .filter(|head| seen.is_none() || head.by == by)
        .map(|head| head.id.clone())
        .collect();
    after.extend(seen.into_iter().flatten().cloned());
    after.sort_unstable();
    after.dedup();
    journal.append(by, card, edit, (at, after))
}

/// Reads the edits of all benches in the order in which they took effect.
pub fn load_edits(
    disk: &dyn Disk,
    shop: &ShopFolder,
) -> Result<(Vec<EditEntry>, Vec<Fault>), StoreError> {
    let mut faults = Vec::new();
    let mut entries = Vec::new();
    let mut seen = HashSet::new();
    for path in journal::json_lines_in(disk, &shop.edits(), &mut faults)? {
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        for entry in read_scan(&sealed::scan(&bytes), &path, &mut faults) {
            if !seen.insert(entry.id.clone()) {
                let why = format!("{} stands on two lines; both are kept", entry.id);
                let todo = "two benches may share one bench id: give one of them another";
                faults.push(Fault::warning(&path, why, todo).field("id"));
            }
            entries.push(entry);
        }
    }
    let entries = overlay::merged(entries).into_iter();
    Ok((entries.map(|placed| placed.entry).collect(), faults))
}

fn read_scan(
    scan: &sealed::Scan<'_>,
    path: &std::path::Path,
    faults: &mut Vec<Fault>,
) -> Vec<EditEntry> {
    let bench = journal::stem(path);
    journal::numbered(scan, (path, &bench), edit::read, |e| e.seq, faults)
}
