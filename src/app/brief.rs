//! Before a tricky board: its cautions, the closed jobs and cards that match, what a good one reads.
//!
//! Nothing of a customer's appears here: no note, unit, price or person. What the findings make of
//! the likely fix is left to a later part; [`Brief::understood`] says which findings it would get.

use std::collections::BTreeMap;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::face;
use crate::app::view::Reading;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Step;
use crate::domain::caution;
use crate::domain::charge;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::tier;
use crate::domain::generate::coded::tier::History;
use crate::domain::job::Board;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::search::index::Index;
use crate::domain::search::index::Query;
use crate::domain::search::readings;
use crate::domain::search::readings::Sought;
use crate::domain::text::clean;
use crate::domain::wording;

/// Jobs and cards that are shown unless told otherwise, each.
pub const LIMIT: usize = 8;

/// A card is left out of a brief when it matches less than this share of what the best one does.
const NEAR_ENOUGH: f64 = 0.34;

/// What stands first where nothing is known to be dangerous.
pub const NO_HAZARD: &str = "No hazard of this board is written down; that does not make it safe. Sources off before you \
     touch it. The maker's instructions, local codes and licensed people come first.";

/// A closed job that matches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobMatch {
    /// The shop's number for it.
    pub job: String,
    /// Day it was closed.
    pub closed_on: NaiveDate,
    /// `rev C`, or `revision not recorded`.
    pub rev: String,
    /// How it ended, in words: `held`, `came back, diagnosis`, `no fix: value exceeded`.
    pub mark: String,
    /// It came back, or ended without a fix: its repair is no example to follow blindly.
    pub warns: bool,
    /// What fixed it, or what was hoped to; empty without a fix.
    pub fix: String,
    /// Why the recorded repair must not be repeated.
    pub danger: Option<String>,
    /// What was tried in vain, or made it worse.
    pub tried: Vec<String>,
    /// The last good and the first bad reading, in the order they were written down.
    pub turn: Option<String>,
    /// What matched, in words.
    pub why: Vec<String>,
}

/// A card that matches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardMatch {
    /// Card id.
    pub id: String,
    /// Circuit family.
    pub family: String,
    /// Customer's words.
    pub complaint: String,
    /// What it shows first.
    pub shows: String,
    /// `7 of 9 jobs like this, 6 proved`.
    pub share: String,
    /// What matched, in words.
    pub why: Vec<String>,
}

/// The refresh before a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Brief {
    /// Board id.
    pub board: String,
    /// Name a person reads.
    pub name: String,
    /// Whole cautions, gravest first; never empty.
    pub cautions: Vec<String>,
    /// The same, one line each, for where the whole ones are out of sight.
    pub caution_lines: Vec<String>,
    /// The words as typed.
    pub words: String,
    /// The findings that were understood from the words.
    pub understood: Vec<String>,
    /// How many closed jobs match, shown or not.
    pub found: usize,
    /// The best of them, best first; without words the commonest fixes, each by its latest job.
    pub jobs: Vec<JobMatch>,
    /// Cards that match, best first.
    pub cards: Vec<CardMatch>,
    /// What a good board reads; those that the words ask about first, marked as deciding.
    pub good: Vec<Reading>,
    /// What of the shop could not be read and so is not in it: file, line, what, what to do.
    pub to_mend: Vec<String>,
}

impl Brief {
    /// Returns the ids of its cards, in their order: what the drill of it asks.
    pub fn card_ids(&self) -> Vec<String> {
        self.cards.iter().map(|c| c.id.clone()).collect()
    }

    /// Returns what stands above the jobs: how many match, and how many of them are shown.
    pub fn jobs_line(&self) -> String {
        let shown = self.jobs.len();
        let of = |one: &str, many: &str| match (self.found, shown) {
            (1, _) => format!("1 {one}"),
            (n, shown) if n == shown => format!("{n} {many}, best first"),
            (n, shown) => format!("{n} {many}; the best {shown}"),
        };
        match (self.found, self.words.is_empty()) {
            (0, true) => "No closed job of this board".to_owned(),
            (0, false) => "No closed job matches; fewer words find more".to_owned(),
            (n, true) if n == shown => "How its jobs ended, commonest first".to_owned(),
            (_, true) => format!("How its jobs ended, the {shown} commonest"),
            (_, false) => of("closed job matches", "closed jobs match"),
        }
    }

    /// Returns what stands above the cards; `asks` says what drills them.
    pub fn cards_line(&self, asks: &str) -> String {
        match self.cards.len() {
            0 => "No card matches".to_owned(),
            1 => format!("1 card about this; {asks} exactly it"),
            n => format!("{n} cards about this; {asks} exactly these"),
        }
    }
}

impl JobMatch {
    /// Returns its number, day and revision.
    pub fn heading(&self) -> String {
        let day = self.closed_on.format("%-d %b %Y");
        format!("{}, {day}, {}", self.job, self.rev)
    }

    /// Returns what is said about it under its heading, the warning first.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(danger) = &self.danger {
            lines.push(format!("UNSAFE, never repeat it: {danger}"));
        }
        if !self.fix.is_empty() {
            lines.push(self.fix.clone());
        }
        lines.extend(self.tried.iter().cloned());
        lines.extend(
            self.turn
                .iter()
                .map(|turn| format!("Rails as written down: {turn}")),
        );
        if !self.why.is_empty() {
            lines.push(format!("Why: {}", self.why.join("; ")));
        }
        lines
    }
}

/// A board to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardChoice {
    /// Board id.
    pub id: String,
    /// Name a person reads.
    pub name: String,
}

/// Returns the boards of the shop, in its order.
pub fn boards(workbench: &Workbench) -> Vec<BoardChoice> {
    workbench
        .boards
        .iter()
        .map(|b| BoardChoice {
            id: b.id.clone(),
            name: clean(&b.name),
        })
        .collect()
}

/// Tells whether `typed` (lower case) is the beginning of the id, the name, or a word of the name.
pub fn begins(id: &str, name: &str, typed: &str) -> bool {
    let (id, name) = (id.to_lowercase(), name.to_lowercase());
    let word = name
        .split(|c: char| !c.is_alphanumeric())
        .any(|word| word.starts_with(typed));
    id.starts_with(typed) || name.starts_with(typed) || word
}

/// Returns the board called `text`: by its id, or the only one whose id or name begins so.
pub fn find_board<'a>(workbench: &'a Workbench, text: &str) -> Result<&'a Board, AppError> {
    let typed = text.trim().to_lowercase();
    let exact = workbench
        .boards
        .iter()
        .find(|b| b.id.to_lowercase() == typed || b.name.to_lowercase() == typed);
    if let Some(board) = exact {
        return Ok(board);
    }
    let fits: Vec<&Board> = workbench
        .boards
        .iter()
        .filter(|b| !typed.is_empty() && begins(&b.id, &b.name, &typed))
        .collect();
    match fits.as_slice() {
        [one] => Ok(one),
        [] => Err(AppError::Unknown {
            what: "board",
            id: clean(text),
            known: workbench.board_ids(),
        }),
        several => Err(AppError::Unknown {
            what: "single board",
            id: clean(text),
            known: several.iter().map(|b| b.id.clone()).collect(),
        }),
    }
}

/// Returns the brief on `board` for `words`, with at most `limit` jobs and as many cards.
pub fn brief(
    workbench: &Workbench,
    board: &Board,
    words: &str,
    limit: usize,
    now: DateTime<Utc>,
) -> Result<Brief, AppError> {
    let archive = workbench.archive()?;
    let day = workbench.day(now);
    let everyone: Vec<&Job> = archive.jobs.iter().collect();
    let history = History::of(&everyone);
    let jobs: Vec<Job> = archive
        .jobs
        .iter()
        .filter(|j| j.board == board.id && j.closed_on <= day)
        .cloned()
        .collect();
    let cards: Vec<&Card> = workbench
        .cards()
        .into_iter()
        // A card that gives the fix asks the other way round, which is practice and no walk through a job.
        .filter(|c| c.board == board.id && c.kind.is_asked() && c.kind != CardKind::Expect)
        .collect();

    let mut understood = Vec::new();
    let mut sought = Vec::new();
    let (found, picked, of_cards) = if words.trim().is_empty() {
        let jobs = commonest(&jobs);
        (jobs.len(), jobs, commonest_cards(&cards))
    } else {
        let boards = std::slice::from_ref(board);
        let query = Query {
            words: words.to_owned(),
            ..Query::default()
        };
        let index = Index::new(&jobs, boards, &workbench.words);
        let asked = index.read(words);
        understood.extend(asked.sought.iter().map(|s| clean(&s.words)));
        let hits = index.find(&query, usize::MAX);
        let picked = hits.into_iter().map(|h| (h.at, h.why)).collect::<Vec<_>>();
        let index = Index::of_cards(&cards, boards, &workbench.words);
        let hits = index.find(&query, limit);
        let least = hits.first().map_or(0.0, |best| best.score * NEAR_ENOUGH);
        let of_cards = hits
            .into_iter()
            .filter(|h| least <= h.score)
            .map(|h| (h.at, h.why))
            .collect();
        sought = asked.sought;
        (picked.len(), picked, of_cards)
    };
    let matches = picked
        .into_iter()
        .take(limit)
        .map(|(at, why)| {
            let job = &jobs[at];
            let held = history.held(job, day, workbench.shop.warranty_days);
            job_match(job, board, held, why)
        })
        .collect();
    let cards: Vec<CardMatch> = of_cards
        .into_iter()
        .take(limit)
        .map(|(at, why): (usize, Vec<String>)| card_match(cards[at], why))
        .collect();
    let mut good: Vec<Reading> = board.good.iter().map(|f| good(f, &sought)).collect();
    good.sort_by_key(|reading| !reading.decides);
    let cautions = board_cautions(board, &jobs);
    let mut to_mend = workbench.fault_lines(&workbench.faults);
    to_mend.extend(workbench.fault_lines(&archive.faults));
    Ok(Brief {
        board: board.id.clone(),
        name: clean(&board.name),
        caution_lines: cautions.iter().map(|(line, _)| line.clone()).collect(),
        cautions: cautions.into_iter().map(|(_, text)| text).collect(),
        words: clean(words.trim()),
        understood,
        found,
        jobs: matches,
        cards,
        good,
        to_mend,
    })
}

/// Returns the cautions of a board, each as one line and whole.
pub(crate) fn board_cautions(board: &Board, jobs: &[Job]) -> Vec<(String, String)> {
    let found = caution::for_board(board, jobs);
    let mut texts: Vec<(String, String)> = caution::CAUTIONS
        .iter()
        .filter(|c| found.contains(&c.id))
        .map(|c| {
            let text = if c.id == caution::SAFETY_CRITICAL {
                format!(
                    "Safety-critical: maker-approved or licensed repair only. {}",
                    c.text
                )
            } else {
                c.text.to_owned()
            };
            (c.line.to_owned(), text)
        })
        .collect();
    // One circuit of high volts is no hazard of the whole board: one line names it.
    let charge = caution::caution(charge::STORED)
        .filter(|c| !found.contains(&c.id) && caution::holds_a_charge(board, jobs));
    texts.extend(charge.map(|c| (c.line.to_owned(), c.line.to_owned())));
    let unknown = found.iter().filter(|id| caution::caution(id).is_none());
    texts.extend(unknown.map(|id| {
        let text = format!(
            "Hazard on this board: {}. The maker's instructions, local codes and licensed people \
             come first.",
            clean(id)
        );
        (text.clone(), text)
    }));
    if texts.is_empty() {
        texts.push((NO_HAZARD.to_owned(), NO_HAZARD.to_owned()));
    }
    texts
}

/// Returns for each fix (or reason without one) its latest job, the commonest first.
fn commonest(jobs: &[Job]) -> Vec<(usize, Vec<String>)> {
    let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, job) in jobs.iter().enumerate() {
        let fix = job.fix();
        let key = if job.outcome == Outcome::NoFix || fix.is_empty() {
            "no fix".to_owned()
        } else {
            fix.key()
        };
        groups.entry(key).or_default().push(at);
    }
    let mut groups: Vec<(String, Vec<usize>)> = groups.into_iter().collect();
    groups.sort_by(|a, b| b.1.len().cmp(&a.1.len()).then_with(|| a.0.cmp(&b.0)));
    groups
        .into_iter()
        .filter_map(|(_, group)| {
            let latest = group.iter().max_by(|a, b| {
                let (a, b) = (&jobs[**a], &jobs[**b]);
                a.closed_on
                    .cmp(&b.closed_on)
                    .then_with(|| b.job.cmp(&a.job))
            })?;
            let why = match group.len() {
                1 => "the only job that ended so".to_owned(),
                n => format!("latest of {n} that ended so"),
            };
            Some((*latest, vec![why]))
        })
        .collect()
}

/// Returns the cards with the most jobs behind them first.
fn commonest_cards(cards: &[&Card]) -> Vec<(usize, Vec<String>)> {
    let mut order: Vec<usize> = (0..cards.len()).collect();
    order.sort_by(|a, b| {
        let (a, b) = (cards[*a], cards[*b]);
        b.share
            .k
            .cmp(&a.share.k)
            .then_with(|| b.last.cmp(&a.last))
            .then_with(|| a.id.cmp(&b.id))
    });
    order.into_iter().map(|at| (at, Vec::new())).collect()
}

fn job_match(job: &Job, board: &Board, held: bool, why: Vec<String>) -> JobMatch {
    let fix = job.fix();
    JobMatch {
        job: clean(&job.job),
        closed_on: job.closed_on,
        rev: job.rev.as_deref().map_or_else(
            || "revision not recorded".to_owned(),
            |rev| clean(&format!("rev {rev}")),
        ),
        mark: mark(job, held),
        warns: tier::bounced(job) || job.outcome == Outcome::NoFix,
        fix: fix_text(&fix, board),
        danger: unsafe_acts::unsafe_fix(&fix, job, Some(board)).map(|act| act.why),
        tried: job
            .actions
            .iter()
            .filter(|a| matches!(a.role, Role::TriedNoEffect | Role::MadeWorse))
            .map(|a| clean(&wording::action_text(a)))
            .collect(),
        turn: turn(job, board),
        why,
    }
}

/// Returns how a job ended, in words that need no colour.
pub fn mark(job: &Job, held: bool) -> String {
    let cause = match job.bounce_cause {
        Some(BounceCause::Diagnosis) => "diagnosis",
        Some(BounceCause::Workmanship) => "workmanship",
        Some(BounceCause::Part) => "the new part",
        Some(BounceCause::NewDamage) => "new damage",
        Some(BounceCause::Unknown) | None => "cause not known",
    };
    match job.outcome {
        Outcome::Held => "held".to_owned(),
        Outcome::BouncedSameFault => format!("came back, {cause}"),
        Outcome::BouncedOtherFault => format!("came back with another fault, {cause}"),
        Outcome::UnknownSoFar if held => "held past its warranty".to_owned(),
        Outcome::UnknownSoFar => "not known yet whether it held".to_owned(),
        Outcome::NoFix => {
            let reason = job
                .no_fix_reason
                .as_deref()
                .unwrap_or("reason not recorded");
            format!("no fix: {}", clean(&reason.replace('-', " ")))
        }
    }
}

fn fix_text(fix: &Fix, board: &Board) -> String {
    let steps: Vec<Step> = fix
        .pairs()
        .iter()
        .map(|(act, part)| Step {
            act: act.clone(),
            part: part.clone(),
            name: board.parts.get(part).map(|p| p.name.clone()),
        })
        .collect();
    if steps.is_empty() {
        return String::new();
    }
    wording::answer_text(&Answer {
        steps,
        also: Vec::new(),
    })
}

/// Returns the last good and the first bad rail or signal before the repair, where both are recorded.
fn turn(job: &Job, board: &Board) -> Option<String> {
    let taken: Vec<(&Finding, bool)> = job
        .findings
        .iter()
        .filter(|f| tier::is_before_repair(f))
        .filter(|f| matches!(f.kind, FindingKind::Rail | FindingKind::Signal))
        .filter_map(|f| {
            let band = band::band(f, Some(board))?;
            Some((f, ["in-band", "present"].contains(&band.as_str())))
        })
        .collect();
    let bad = taken.iter().position(|(_, good)| !good)?;
    let last_good = taken[..bad].iter().rfind(|(_, good)| *good)?.0;
    let said = |finding: &Finding| {
        let line = wording::finding_line(finding);
        format!("{} {}", line.name, line.value)
    };
    Some(format!(
        "last good {}, first bad {}",
        said(last_good),
        said(taken[bad].0)
    ))
}

fn card_match(card: &Card, why: Vec<String>) -> CardMatch {
    let line = |finding: &Finding| {
        let line = wording::finding_line(finding);
        format!("{} {}", line.name, line.value)
    };
    // Two look-alikes share their complaint; what stands first on each tells this card from others.
    let alike: Vec<String> = card
        .sides
        .iter()
        .filter_map(|side| side.front.first().map(line))
        .collect();
    let complaint = card.sides.first().map_or(&card.complaint, |s| &s.complaint);
    CardMatch {
        id: card.id.clone(),
        family: clean(&card.family),
        complaint: if complaint.is_empty() {
            String::new()
        } else {
            wording::complaint_text(complaint)
        },
        shows: match card.front.first() {
            Some(first) => line(first),
            None if alike.is_empty() => clean(&card.stem),
            None => format!("two look-alikes, {}", alike.join(" and ")),
        },
        share: wording::share_text(&card.share),
        why,
    }
}

fn good(finding: &Finding, sought: &[Sought]) -> Reading {
    let mut reading = face::reading(finding);
    let place = readings::place(&finding.place);
    reading.decides = sought.iter().any(|s| {
        let of_kind = |(kind, _): &(FindingKind, String)| *kind == finding.kind;
        let draw = finding.kind == FindingKind::Current && s.bands.iter().any(of_kind);
        s.place
            .as_ref()
            .map_or(draw, |asked| readings::names(&place, asked))
    });
    // The state and the polarity are part of what a good board reads; whoever compares needs both.
    for word in [&finding.state, &finding.polarity].into_iter().flatten() {
        let word = clean(&word.replace('-', " "));
        if !reading.reference.contains(&word) && !reading.value.contains(&word) {
            if !reading.reference.is_empty() {
                reading.reference.push_str(", ");
            }
            reading.reference.push_str(&word);
        }
    }
    reading
}
