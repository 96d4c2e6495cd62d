//! The cards of a shop, made anew only for the boards whose jobs, description or settings have changed.
//!
//! With or without the index, on one thread or several, the cards are the same to the byte.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::io;
use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::archive;
use crate::app::archive::BoardHazards;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::generate::build;
use crate::domain::generate::checks;
use crate::domain::generate::coded::tier;
use crate::domain::generate::input::Outside;
use crate::domain::generate::kinds::across::sheet::Sheet;
use crate::domain::ids;
use crate::domain::job::Board;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;
use crate::domain::side_by_side::map;
use crate::store::build_index;
use crate::store::build_index::BoardJobs;
use crate::store::build_index::BuildIndex;
use crate::store::build_index::Found;
use crate::store::build_kept::Kept;
use crate::store::build_kept::Lines;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::record::card;
use crate::store::record::job::JobRules;
use crate::store::side_by_side;

/// Is told what is being done, and how much of how much is done.
pub type Progress<'a> = &'a (dyn Fn(&str, u64, u64) + Sync);

/// Under what name the cards over several boards lie in the index; no board is called so.
const OVER: &str = "\0over boards";

/// All cards of a shop, board by board.
pub struct Made {
    /// The boards that have jobs, in order, with their cards; last, under no name, those over several
    /// boards.
    pub boards: Vec<(String, Kept)>,
    /// Boards whose cards were made anew.
    pub anew: BTreeSet<String>,
    /// Jobs that count.
    pub jobs: usize,
    /// Mark of those jobs.
    pub fingerprint: String,
    /// What a lead should know of all cards.
    pub warn: Vec<String>,
    /// Damage found in the job files.
    pub faults: Vec<Fault>,
    index: BuildIndex,
    /// The cards that stood in the index in place of those made anew.
    before: BTreeMap<String, Kept>,
    of_board: BTreeMap<String, BoardJobs>,
    read: BTreeMap<String, Arc<Found>>,
}

/// The jobs of so many boards made anew are kept for what is asked of them next; those of more would fill
/// the memory.
const FEW: usize = 4;
/// Reading is told in these, so that a person can read the figures.
const MEGABYTE: u64 = 1_000_000;
/// What is told of the jobs of boards whose cards are made.
const MAKING: &str = "jobs made into cards";

impl Made {
    /// Returns the jobs of a board that count.
    pub fn jobs_of(&self, workbench: &Workbench, board: &str) -> Result<Arc<Found>, AppError> {
        if let Some(found) = self.read.get(board) {
            return Ok(Arc::clone(found));
        }
        let Some(jobs) = self.of_board.get(board) else {
            return Ok(Arc::default());
        };
        Ok(Arc::new(read(workbench, &self.index, jobs)?))
    }

    /// Returns the cards of a board as they were before this build, if they were made from what `mark`
    /// stands for.
    pub fn before(&self, board: &str, mark: &str) -> Option<&Kept> {
        let key = if board.is_empty() { OVER } else { board };
        let now = || self.boards.iter().find(|(id, _)| id == board);
        let found = self.before.get(key).or_else(|| now().map(|(_, kept)| kept));
        let found = found.or_else(|| self.index.kept_of(key));
        found.filter(|kept| kept.mark == mark)
    }

    /// Returns the text of some of its cards.
    pub fn text<'a>(&self, workbench: &Workbench, kept: &'a Kept) -> io::Result<Cow<'a, str>> {
        let index = build_index::path(&workbench.folder);
        kept.cards.text(workbench.disk.as_ref(), &index)
    }

    /// Returns those of `numbers` that belong to a job that counts, with its board.
    pub fn counting<'a>(&self, numbers: &BTreeSet<&'a str>) -> BTreeMap<&'a str, String> {
        self.index.counting(numbers)
    }
}

fn read(workbench: &Workbench, index: &BuildIndex, jobs: &BoardJobs) -> Result<Found, StoreError> {
    let boards = workbench.shop.boards.iter().map(|b| b.id.clone()).collect();
    let rules = JobRules {
        circuits: &workbench.circuits,
        boards: &boards,
    };
    index.jobs_of(workbench.disk.as_ref(), jobs, rules)
}

/// Makes the cards of all jobs as of `now`.
pub fn made(
    workbench: &Workbench,
    now: DateTime<Utc>,
    progress: Progress<'_>,
) -> Result<Made, AppError> {
    let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
    let reading = |n: u64, all: u64| {
        progress(
            "MB of jobs read",
            n.div_ceil(MEGABYTE),
            all.div_ceil(MEGABYTE),
        );
    };
    let (shop, circuits) = (&workbench.shop, &workbench.circuits);
    let mut index = BuildIndex::open(disk, folder, shop, circuits, &reading)?;
    // Cards made from half the archive would take the place of good ones.
    if !index.unread().is_empty() {
        return Err(AppError::Store(StoreError::Damaged {
            path: folder.jobs(),
            faults: index.unread().to_vec(),
        }));
    }
    let (jobs, unfixed) = index.counts();
    let survivors = checks::survivors_of(jobs, unfixed, None);
    let (as_of, warranty) = (workbench.day(now), shop.warranty_days);
    let of_board = index.by_board(as_of, warranty);
    let marks = marks(workbench, &of_board, survivors.as_deref());
    let mut todo: Vec<(&String, &BoardJobs)> = of_board
        .iter()
        .filter(|(id, _)| index.kept(id, &marks[*id]).is_none())
        .collect();
    // The longest work comes first, so that no thread begins it last.
    todo.sort_by_key(|(_, jobs)| std::cmp::Reverse(jobs.len()));
    let all: u64 = todo.iter().map(|(_, jobs)| jobs.len() as u64).sum();
    let done = AtomicU64::new(0);
    // The first board may take long: the bar says at once that the reading is over.
    if 0 < all {
        progress(MAKING, 0, all);
    }
    let few = todo.len() <= FEW;
    let anew = map(
        side_by_side::threads(),
        todo,
        |(id, jobs): (&String, &BoardJobs)| {
            let n = jobs.len() as u64;
            let outside = (survivors.as_deref(), as_of, warranty);
            let found = read(workbench, &index, jobs)?;
            let kept = board(workbench, (id, &marks[id]), &found, outside, now);
            progress(MAKING, done.fetch_add(n, Ordering::Relaxed) + n, all);
            Ok::<_, StoreError>((id.clone(), kept, few.then(|| Arc::new(found))))
        },
    );
    let (mut names, mut jobs_of) = (BTreeSet::new(), BTreeMap::new());
    let mut before = BTreeMap::new();
    for one in anew {
        let (id, kept, found): (String, Kept, Option<Arc<Found>>) = one?;
        before.extend(index.keep(&id, kept).map(|old| (id.clone(), old)));
        jobs_of.extend(found.map(|found| (id.clone(), found)));
        names.insert(id);
    }
    let mark = over_mark(workbench, &marks);
    if index.kept(OVER, &mark).is_none() {
        let kept = over_boards(workbench, &index, &marks, survivors.as_deref(), now);
        let old = index.keep(OVER, Kept { mark, ..kept });
        before.extend(old.map(|old| (OVER.to_owned(), old)));
    }
    index.let_go();
    index.bring_in(disk, folder, before.values_mut())?;
    index.save(disk, folder);
    let mut boards: Vec<(String, Kept)> = of_board
        .keys()
        .filter_map(|id| Some((id.clone(), index.take(id)?)))
        .collect();
    boards.extend(index.take(OVER).map(|kept| (String::new(), kept)));
    Ok(Made {
        boards,
        anew: names,
        jobs,
        fingerprint: index.fingerprint(),
        warn: survivors.into_iter().collect(),
        faults: index.faults(),
        index,
        before,
        of_board,
        read: jobs_of,
    })
}

/// Returns a mark of each board: of its jobs, of what the shop says of it, and of all else that its cards
/// are made from.
fn marks(
    workbench: &Workbench,
    of_board: &BTreeMap<String, BoardJobs>,
    survivors: Option<&str>,
) -> BTreeMap<String, String> {
    let (shop, circuits) = (&workbench.shop, &workbench.circuits);
    let settings = format!(
        "{circuits:?} {:?} {:?} {survivors:?} {:?}",
        shop.rate_per_hour,
        shop.minutes,
        Lineage::standing(&workbench.edits)
    );
    let described: HashMap<&str, &Board> = workbench
        .boards
        .iter()
        .rev()
        .map(|board| (board.id.as_str(), board))
        .collect();
    let settings = format!("{:032x}", ids::wide_mark([settings.as_str()]));
    let marks = of_board.iter().map(|(id, jobs)| {
        let board = format!("{:?}", described.get(id.as_str()));
        let parts = [jobs.mark(), board, settings.clone()];
        let mark = ids::wide_mark(parts.iter().map(String::as_str));
        (id.clone(), format!("{mark:032x}"))
    });
    marks.collect()
}

/// Returns a mark of what the cards over several boards are made from.
fn over_mark(workbench: &Workbench, marks: &BTreeMap<String, String>) -> String {
    let names = workbench.boards.iter().map(|board| board.name.as_str());
    let parts = marks.iter().flat_map(|(id, mark)| [id.as_str(), mark]);
    format!("{:032x}", ids::wide_mark(parts.chain(names)))
}

/// Makes the cards over several boards from the sheets that the index keeps.
fn over_boards(
    workbench: &Workbench,
    index: &BuildIndex,
    marks: &BTreeMap<String, String>,
    survivors: Option<&str>,
    now: DateTime<Utc>,
) -> Kept {
    let kept = || {
        let kept = marks.iter();
        kept.filter_map(|(id, mark)| Some((id.as_str(), index.kept(id, mark)?)))
    };
    let named = kept().flat_map(|(id, kept)| kept.circuits.iter().map(move |c| (id, c.as_str())));
    let hazards = BoardHazards::of(named, &workbench.boards);
    let sheets: Vec<&Sheet> = kept().map(|(_, kept)| &kept.sheet).collect();
    let cards = archive::with_hazards(workbench, (&[], &hazards), now, |input| {
        build::over_boards(input, survivors, &sheets, side_by_side::threads())
    });
    Kept {
        cards: lines(&cards, side_by_side::threads()),
        ..Kept::default()
    }
}

/// Makes the cards of one board.
fn board(
    workbench: &Workbench,
    (id, mark): (&str, &str),
    found: &Found,
    (survivors, as_of, warranty): (Option<&str>, NaiveDate, u32),
    now: DateTime<Utc>,
) -> Kept {
    let jobs = &found.jobs;
    let held = |job: &Job| {
        let stayed_away = || job.unit.is_some() && !found.came_again.contains(&job.job);
        tier::held(job.outcome, job.closed_on, stayed_away, as_of, warranty)
    };
    let outside = Outside {
        held: &held,
        survivors,
    };
    let (built, sheet) = archive::with_input(workbench, jobs, now, |input| {
        build::board(input, &outside, id, jobs.iter().collect())
    });
    let circuits: BTreeSet<&String> = jobs.iter().filter_map(|j| j.family.as_ref()).collect();
    Kept {
        mark: mark.to_owned(),
        cards: lines(&built.cards, 1),
        skipped: built.skipped,
        circuits: circuits.into_iter().cloned().collect(),
        sheet,
    }
}

fn lines(cards: &[Card], threads: usize) -> Lines {
    let line = |card: &Card| (card.family.clone(), card::card_line(card));
    Lines::of(map(threads, cards.iter().collect(), line))
}

#[cfg(test)]
#[path = "build_index_tests.rs"]
mod tests;
