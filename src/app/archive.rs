//! Decks from jobs: load, hand to the domain, save.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::Utc;

use crate::app::build_index;
use crate::app::build_index::Progress;
use crate::app::rebuild;
use crate::app::rebuild::Fresh;
use crate::app::rebuild::Rebuild;
use crate::app::shipped;
use crate::app::view::JobPage;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::caution;
use crate::domain::generate::build;
use crate::domain::generate::input;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Hazards;
use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::OnBoard;
use crate::domain::lineage::Lineage;
use crate::domain::text::clean;
use crate::domain::wording;
use crate::store::build_kept::Kept;
use crate::store::decks;
use crate::store::record::card;
use crate::store::side_by_side;
use crate::store::standing_deck::Standing;

/// The deck that is built unless another is named.
pub const DEFAULT_DECK: &str = "shop";

/// What to build.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BuildOptions {
    /// File name without ending.
    pub deck: String,
    /// Name a person reads; the shop's name if none.
    pub name: Option<String>,
    /// Only these boards; all if empty.
    pub boards: Vec<String>,
    /// Only these families; all if empty.
    pub families: Vec<String>,
    /// Write also where that changes or takes away what someone has learned.
    pub apply: bool,
    /// Who says so; the only lead if none.
    pub person: Option<String>,
}

/// What a build came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Built {
    /// Jobs read.
    pub jobs: usize,
    /// Cards made.
    pub cards: usize,
    /// The deck file was written (it differed).
    pub changed: bool,
    /// Fingerprint of the archive.
    pub from: String,
    /// Fixes without a card, and why.
    pub left_out: Vec<(String, String)>,
    /// What a lead should know of the whole deck.
    pub warn: Vec<String>,
    /// Damage found while reading.
    pub faults: Vec<String>,
    /// What changed since the deck was built before.
    pub rebuild: Rebuild,
    /// Nothing was written, because that waits for a person's word.
    pub waits: bool,
}

/// Builds a deck from the shop's jobs as of `now` and saves it if it differs.
///
/// Where someone has learned a card that would vanish or accept something else, it is saved only when
/// the options say so; what such cards accepted is then kept for those who learned it.
pub fn build(
    workbench: &Workbench,
    options: &BuildOptions,
    now: DateTime<Utc>,
) -> Result<Built, AppError> {
    build_telling(workbench, options, now, &|_, _, _| {})
}

/// Does the same and tells how far it has come.
pub fn build_telling(
    workbench: &Workbench,
    options: &BuildOptions,
    now: DateTime<Utc>,
    progress: Progress<'_>,
) -> Result<Built, AppError> {
    shipped::refuse_rules(workbench, &options.deck)?;
    for board in &options.boards {
        if !workbench.boards.iter().any(|b| b.id == *board) {
            return Err(AppError::Unknown {
                what: "board",
                id: clean(board),
                known: workbench.board_ids(),
            });
        }
    }
    for family in &options.families {
        if workbench.circuits.get(family).is_none() {
            return Err(AppError::Unknown {
                what: "circuit family",
                id: clean(family),
                known: workbench.family_ids(),
            });
        }
    }
    let made = build_index::made(workbench, now, progress)?;
    let wanted = |id: &str| options.boards.is_empty() || options.boards.iter().any(|b| b == id);
    let boards: Vec<(&str, &Kept)> = made
        .boards
        .iter()
        .map(|(id, kept)| (id.as_str(), kept))
        .filter(|(id, _)| wanted(id))
        .collect();
    let fresh = Fresh {
        deck: &options.deck,
        name: options.name.as_deref().unwrap_or(&workbench.shop.name),
        boards: &boards,
        families: &options.families,
        made: &made,
    };
    let rebuild = rebuild::compare(workbench, &fresh, now)?;
    let asks = rebuild.unread || rebuild.losses.iter().any(|loss| !loss.kept);
    let waits = !options.apply && asks;
    let changed = !waits && write(workbench, options, (&fresh, &rebuild), now)?;
    let mut faults = workbench.fault_lines(&workbench.faults);
    faults.extend(workbench.fault_lines(&made.faults));
    let skipped = boards.iter().flat_map(|(_, kept)| &kept.skipped);
    Ok(Built {
        jobs: made.jobs,
        cards: fresh.count(),
        changed,
        from: made.fingerprint.clone(),
        left_out: skipped.map(|s| (s.what.clone(), s.why.clone())).collect(),
        warn: made.warn.clone(),
        faults,
        rebuild,
        waits,
    })
}

/// Writes the corrections that people are told of, then the deck; tells whether the deck differed.
///
/// A computer that stops between the two has told nobody anything: a correction counts only once the
/// card accepts something else.
fn write(
    workbench: &Workbench,
    options: &BuildOptions,
    (fresh, rebuild): (&Fresh<'_>, &Rebuild),
    now: DateTime<Utc>,
) -> Result<bool, AppError> {
    let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
    if !rebuild.losses.is_empty() {
        let by = rebuild::signer(workbench, options.person.as_deref())?;
        rebuild::keep_corrections(workbench, &rebuild.losses, &by, now)?;
    }
    let (deck, from) = (&options.deck, &fresh.made.fingerprint);
    let head = card::deck_text(deck, fresh.name, from, &[]);
    let standing = workbench.standing.as_ref();
    let same_head = standing.map(|standing| standing.head == head);
    if same_head == Some(true) && rebuild::stands(workbench, fresh) {
        return Ok(false);
    }
    let mut give = |take: decks::Take<'_>| fresh.give(workbench, (deck, from), take);
    let (changed, whole) = if same_head == Some(false) {
        (true, decks::put_pieces(disk, folder, deck, &mut give)?)
    } else {
        decks::save_pieces(disk, folder, deck, &mut give)?
    };
    if fresh.is_whole() {
        let boards = fresh.boards.iter();
        let boards = boards.map(|(id, kept)| ((*id).to_owned(), kept.mark.clone()));
        Standing::of(deck, head, boards.collect(), whole).save(disk, folder);
    }
    Ok(changed)
}

/// Makes the cards of these jobs, as a build of the whole archive would.
pub(crate) fn made_of(workbench: &Workbench, jobs: &[Job], now: DateTime<Utc>) -> input::Built {
    with_input(workbench, jobs, now, |input| {
        build::build_on(input, side_by_side::threads(), &|_| {})
    })
}

/// Hands `make` these jobs with all that cards of theirs are made from.
pub(crate) fn with_input<T>(
    workbench: &Workbench,
    jobs: &[Job],
    now: DateTime<Utc>,
    make: impl FnOnce(&BuildInput<'_>) -> T,
) -> T {
    let named = jobs
        .iter()
        .filter_map(|job| Some((job.board.as_str(), job.family.as_deref()?)));
    let hazards = BoardHazards::of(named, &workbench.boards);
    with_hazards(workbench, (jobs, &hazards), now, make)
}

/// Does the same where what the jobs' circuits bring to their boards is known.
pub(crate) fn with_hazards<T>(
    workbench: &Workbench,
    (jobs, hazards): (&[Job], &BoardHazards),
    now: DateTime<Utc>,
    make: impl FnOnce(&BuildInput<'_>) -> T,
) -> T {
    let lineage = Lineage::standing(&workbench.edits);
    let described = |id: &str| workbench.boards.iter().find(|b| b.id == id);
    // Each board's parts are read once, not with every fix.
    let ids: BTreeSet<&str> = jobs.iter().map(|job| job.board.as_str()).collect();
    let readers = ids
        .into_iter()
        .map(|id| (id, OnBoard::of_trade(described(id))));
    let readers: BTreeMap<&str, OnBoard<'_>> = readers.collect();
    make(&BuildInput {
        jobs,
        boards: &workbench.boards,
        circuits: &workbench.circuits,
        contradictory: &BTreeSet::new(),
        as_of: workbench.day(now),
        warranty_days: workbench.shop.warranty_days,
        rate_per_hour: workbench.shop.rate_per_hour,
        minutes: &workbench.shop.minutes,
        unsafe_fix: &|fix: &Fix, job: &Job| {
            let found = match readers.get(job.board.as_str()) {
                Some(board) => board.unsafe_fix(fix, job),
                None => unsafe_acts::unsafe_fix(fix, job, described(&job.board)),
            };
            found.is_some()
        },
        cautions: &|about: &Hazards<'_>| hazards.cautions(about),
        lineage: &lineage,
    })
}

/// Hazards of whole boards: those of the board file, and what its jobs' circuits bring.
///
/// A hazard that only one circuit brings stands on every card of the board; otherwise the caution in
/// front of the question would give the circuit away.
pub(crate) struct BoardHazards {
    isolated: BTreeSet<String>,
    drive: BTreeSet<String>,
}

impl BoardHazards {
    /// Returns what `named`, boards with a circuit that one of their jobs names, and the board files bring.
    pub(crate) fn of<'a>(
        named: impl Iterator<Item = (&'a str, &'a str)>,
        boards: &'a [Board],
    ) -> Self {
        let described = boards.iter().flat_map(|board| {
            let families = board.families.iter();
            families.map(|family| (board.id.as_str(), family.as_str()))
        });
        let (mut isolated, mut drive) = (BTreeSet::new(), BTreeSet::new());
        for (board, family) in named.chain(described) {
            let list = match family {
                "isolated" => &mut isolated,
                "drive" => &mut drive,
                _ => continue,
            };
            if !list.contains(board) {
                list.insert(board.to_owned());
            }
        }
        Self { isolated, drive }
    }

    fn cautions(&self, about: &Hazards<'_>) -> Vec<String> {
        let mut safety = about.board.map_or_else(Vec::new, |b| b.safety.clone());
        let id = about.board.map_or("", |b| &b.id);
        if self.isolated.contains(id) {
            safety.extend(["mains".to_owned(), "stored-charge".to_owned()]);
        }
        if self.drive.contains(id) {
            safety.push("stored-charge".to_owned());
        }
        let acts: Vec<&str> = about.acts.iter().map(String::as_str).collect();
        caution::for_card(
            &safety,
            about.family,
            about.complaint,
            about.environment,
            &acts,
        )
    }
}

/// Returns the jobs numbered `numbers`, whole, as pages without anything a card may not show.
pub fn pages(workbench: &Workbench, numbers: &[String]) -> Result<Vec<JobPage>, AppError> {
    let archive = workbench.archive()?;
    Ok(numbers
        .iter()
        .filter_map(|number| archive.jobs.iter().find(|j| j.job == *number))
        .map(|job| page(job, &workbench.boards))
        .collect())
}

fn page(job: &Job, boards: &[Board]) -> JobPage {
    let board = boards
        .iter()
        .find(|b| b.id == job.board)
        .map_or(job.board.as_str(), |b| &b.name);
    let rev = job.rev.as_deref().map_or_else(
        || "revision not recorded".to_owned(),
        |rev| format!("rev {rev}"),
    );
    let mut lines = vec![format!(
        "Complaint: {}",
        wording::complaint_text(&job.complaint)
    )];
    for finding in &job.findings {
        let line = wording::finding_line(finding);
        lines.push(
            format!("{}: {}  {}", line.name, line.value, line.reference)
                .trim()
                .to_owned(),
        );
    }
    for action in &job.actions {
        lines.push(clean(&wording::action_text(action)));
    }
    if let Some(reason) = &job.no_fix_reason {
        lines.push(format!("No fix: {}", clean(reason)));
    }
    if let Some(family) = &job.family {
        lines.push(format!("Circuit: {}", clean(family)));
    }
    lines.push(format!("Outcome: {}", wording::outcome_text(job)));
    if let Some(proof) = &job.proof {
        lines.push(format!("Proved by: {}", clean(proof)));
    }
    JobPage {
        title: clean(&format!(
            "{}, {}, {board}, {rev}",
            job.job,
            job.closed_on.format("%-d %b %Y")
        )),
        lines,
    }
}
