//! Decks from jobs: load, hand to the domain, save.

use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::Utc;

use crate::app::rebuild;
use crate::app::rebuild::MadeFrom;
use crate::app::rebuild::Rebuild;
use crate::app::shipped;
use crate::app::view::JobPage;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Deck;
use crate::domain::caution;
use crate::domain::generate::build;
use crate::domain::generate::build::BuildInput;
use crate::domain::generate::build::Hazards;
use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::judge::unsafe_acts;
use crate::domain::lineage::Lineage;
use crate::domain::text::clean;
use crate::domain::wording;
use crate::store::error::StoreError;
use crate::store::side_by_side;

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
    let archive = workbench.archive()?;
    // Cards made from half the archive would take the place of good ones.
    if !archive.unread.is_empty() {
        return Err(AppError::Store(StoreError::Damaged {
            path: workbench.folder.jobs(),
            faults: archive.unread,
        }));
    }
    let built = made_of(workbench, &archive.jobs, now);
    let cards: Vec<_> = built
        .cards
        .into_iter()
        .filter(|c| options.boards.is_empty() || options.boards.contains(&c.board))
        .filter(|c| options.families.is_empty() || options.families.contains(&c.family))
        .collect();
    let from = archive.fingerprint;
    let deck = Deck {
        deck: options.deck.clone(),
        name: options
            .name
            .clone()
            .unwrap_or_else(|| workbench.shop.name.clone()),
        from: from.clone(),
        cards,
    };
    let made_from = MadeFrom {
        jobs: &archive.jobs,
        skipped: &built.skipped,
    };
    let rebuild = rebuild::compare(workbench, &deck, made_from, now)?;
    let waits = !options.apply && rebuild.losses.iter().any(|loss| !loss.kept);
    let changed = !waits && write(workbench, options, (&deck, &rebuild), now)?;
    let mut faults = workbench.fault_lines(&workbench.faults);
    faults.extend(workbench.fault_lines(&archive.faults));
    Ok(Built {
        jobs: archive.jobs.len(),
        cards: deck.cards.len(),
        changed,
        from,
        left_out: built
            .skipped
            .into_iter()
            .filter(|s| options.boards.is_empty() || options.boards.contains(&s.board))
            .map(|s| (s.what, s.why))
            .collect(),
        warn: built.warn,
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
    (deck, rebuild): (&Deck, &Rebuild),
    now: DateTime<Utc>,
) -> Result<bool, AppError> {
    let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
    if !rebuild.losses.is_empty() {
        let by = rebuild::signer(workbench, options.person.as_deref())?;
        rebuild::keep_corrections(workbench, &rebuild.losses, &by, now)?;
    }
    Ok(crate::store::decks::save_deck(disk, folder, deck)?)
}

/// Makes the cards of these jobs, as a build of the whole archive would.
pub(crate) fn made_of(workbench: &Workbench, jobs: &[Job], now: DateTime<Utc>) -> build::Built {
    let hazards = BoardHazards::of(jobs, &workbench.boards);
    let lineage = Lineage::standing(&workbench.edits);
    let input = BuildInput {
        jobs,
        boards: &workbench.boards,
        circuits: &workbench.circuits,
        contradictory: &BTreeSet::new(),
        as_of: workbench.day(now),
        warranty_days: workbench.shop.warranty_days,
        rate_per_hour: workbench.shop.rate_per_hour,
        minutes: &workbench.shop.minutes,
        unsafe_fix: &|fix: &Fix, job: &Job| {
            let board = workbench.boards.iter().find(|b| b.id == job.board);
            unsafe_acts::unsafe_fix(fix, job, board).is_some()
        },
        cautions: &|about: &Hazards<'_>| hazards.cautions(about),
        lineage: &lineage,
    };
    build::build_on(&input, side_by_side::threads(), &|_| {})
}

/// Hazards of whole boards: those of the board file, and what its jobs' circuits bring.
///
/// A hazard that only one circuit brings stands on every card of the board; otherwise the caution in
/// front of the question would give the circuit away.
struct BoardHazards {
    isolated: BTreeSet<String>,
    drive: BTreeSet<String>,
}

impl BoardHazards {
    fn of(jobs: &[Job], boards: &[Board]) -> Self {
        let with = |family: &str| {
            let of_jobs = jobs.iter().filter(|j| j.family.as_deref() == Some(family));
            let of_boards = boards
                .iter()
                .filter(|b| b.families.iter().any(|f| f == family));
            of_jobs
                .map(|j| j.board.clone())
                .chain(of_boards.map(|b| b.id.clone()))
                .collect()
        };
        Self {
            isolated: with("isolated"),
            drive: with("drive"),
        }
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
