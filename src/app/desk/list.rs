//! The queue of the desk: which cards want a look, and why.

use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::desk::gather::Gathered;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskRow;
use crate::app::desk::view::Reason;
use crate::app::desk::words;
use crate::app::rebuild;
use crate::app::record;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::desk::overlay::Signature;
use crate::domain::edit::Edit;
use crate::domain::edit::Field;
use crate::domain::generate::coded::tier;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::text::clean;
use crate::domain::text::number_of;

/// Newer jobs contradict a card from this many that ended otherwise and were proved …
///
/// Common practice, no source; the same holds for the next.
const AGAINST: usize = 2;
/// … if they are at least one in this many of the newer jobs like it.
const AGAINST_OF: usize = 3;

/// Returns the cards that want a look, the most worth it first.
pub fn list(workbench: &Workbench, now: DateTime<Utc>) -> Result<DeskList, AppError> {
    let cards = workbench.all_cards();
    let gathered = Gathered::of(workbench, &cards, now)?;
    let mut rows: Vec<DeskRow> = Vec::new();
    let mut signed = 0;
    let mut in_use = 0;
    for card in &cards {
        let row = row(workbench, &gathered, card);
        if !row.out {
            in_use += 1;
            signed += usize::from(!row.signed.is_empty());
        }
        if !row.reasons.is_empty() {
            rows.push(row);
        }
    }
    rows.sort_by(|a, b| {
        let first = |row: &DeskRow| row.reasons.first().copied();
        first(a)
            .cmp(&first(b))
            .then_with(|| b.people.cmp(&a.people))
            .then_with(|| b.jobs.cmp(&a.jobs))
            .then_with(|| a.board.cmp(&b.board))
            .then_with(|| a.title.cmp(&b.title))
            .then_with(|| a.card.cmp(&b.card))
    });
    let mut faults = workbench.fault_lines(&workbench.faults);
    faults.extend(workbench.fault_lines(&gathered.faults));
    Ok(DeskList {
        rows,
        signed,
        cards: in_use,
        faults,
    })
}

/// Returns the cards that are out of use for everyone: tagged out or retired by a lead, or held for doubtful
/// by so many that nobody is asked them.
pub fn out_of_use(workbench: &Workbench) -> Result<BTreeSet<String>, AppError> {
    let mut out = record::doubted_by_all(workbench)?;
    out.extend(workbench.edits.out().iter().cloned());
    Ok(out)
}

/// Returns the line of one card; its reasons are empty where nothing is to be done about it.
pub(crate) fn row(workbench: &Workbench, gathered: &Gathered, card: &Card) -> DeskRow {
    let jobs = gathered.jobs_like(workbench, card);
    let people = gathered.asked.get(&card.id).map_or(0, BTreeSet::len);
    let signature = workbench.edits.signature(card);
    let mut found: Vec<(Reason, String)> = Vec::new();
    let out = workbench.edits.out().contains(&card.id);
    found.extend(doubted(workbench, gathered, card));
    let apart = workbench.edits.apart(&card.id);
    if !apart.is_empty() {
        let fields = apart.iter();
        let fields: Vec<String> = fields.map(|(field, of)| words::apart(*field, of)).collect();
        let said = format!("edited apart: {}", fields.join(", "));
        found.push((Reason::EditedApart, said));
    }
    if !is_retired(workbench, card) {
        let signed_on = workbench.edits.signed_at(card).map(|at| workbench.day(at));
        // Only a fix card says that its pattern means its answer; of a first repair that failed, every
        // job like it ended in another one.
        if card.kind == CardKind::Fix {
            found.extend(contradicted(gathered, card, signed_on, &jobs));
            // A rebuild shows another job where the one shown came back; the return still counts.
            let signed = workbench.edits.last_signed(&card.id);
            let signed = signed.map(|at| workbench.day(at));
            found.extend(signed.and_then(|day| {
                let misled = gathered.misled(workbench, card).iter();
                let all: BTreeSet<usize> = jobs.iter().chain(misled).copied().collect();
                bounced(gathered, card, day, &all)
            }));
            if signed.is_none() {
                found.extend(mostly_wrong(gathered, card, &jobs));
            }
            name_units(workbench, gathered, card, &mut found);
        }
        if let Some(missing) = gathered.missing.get(&card.id)
            && missing.is_surprising()
        {
            found.push((Reason::MissedMore, missing.words()));
        }
        if !out {
            found.extend(unsigned(&signature, people));
        }
    }
    found.sort_by_key(|(reason, _)| *reason);
    let board = workbench.boards.iter().find(|b| b.id == card.board);
    DeskRow {
        card: card.id.clone(),
        board: if card.is_across() {
            "several boards".to_owned()
        } else {
            clean(board.map_or(card.board.as_str(), |b| &b.name))
        },
        title: words::title(card),
        kind: card.kind.word().to_owned(),
        reasons: found.iter().map(|(reason, _)| *reason).collect(),
        said: found.into_iter().map(|(_, said)| said).collect(),
        people,
        jobs: gathered.met_lately(&jobs),
        out: out || gathered.out.contains(&card.id),
        signed: match signature {
            Signature::Signed(by) => clean(&by),
            _ => String::new(),
        },
    }
}

fn is_retired(workbench: &Workbench, card: &Card) -> bool {
    let force = workbench.edits.in_force(&card.id, Field::Use);
    force
        .iter()
        .any(|entry| matches!(entry.edit, Edit::Retire { .. }))
}

/// Doubts of people, and a lead's own tag.
fn doubted(workbench: &Workbench, gathered: &Gathered, card: &Card) -> Option<(Reason, String)> {
    let force = workbench.edits.in_force(&card.id, Field::Use);
    let tagged = force
        .iter()
        .find(|entry| matches!(entry.edit, Edit::Tag { .. }));
    let doubts = gathered.doubts.get(&card.id);
    let said = match (tagged, doubts) {
        _ if is_retired(workbench, card) => return None,
        (Some(entry), _) => {
            let by = format!("tagged out by {}", clean(&entry.by));
            match &entry.edit {
                Edit::Tag { note, .. } if !note.trim().is_empty() => {
                    format!("{by}: {}", clean(note.trim()))
                }
                _ => by,
            }
        }
        (None, Some(doubts)) => {
            let who: Vec<String> = doubts.iter().map(|d| gathered.who(&d.person)).collect();
            format!("doubted by {}", who.join(", "))
        }
        (None, None) => return None,
    };
    Some((Reason::Doubted, said))
}

/// Jobs closed since the signature, or since the last evidence, that ended in another fix.
fn contradicted(
    gathered: &Gathered,
    card: &Card,
    signed_on: Option<NaiveDate>,
    jobs: &[usize],
) -> Option<(Reason, String)> {
    let since = signed_on.or(card.last)?;
    let of = |at: &usize| &gathered.archive.jobs[*at];
    let newer: Vec<&Job> = jobs
        .iter()
        .map(of)
        .filter(|job| since < job.closed_on && job.closed_on <= gathered.day)
        .filter(|job| !job.fix().pairs().is_empty())
        .collect();
    let proved = |against: &dyn Fn(&Job) -> bool| {
        let found = newer
            .iter()
            .filter(|job| tier::is_proved(job) && against(job));
        found.count()
    };
    let otherwise = proved(&|job| !is_answer(card, job));
    let of = number_of(newer.len(), "newer job");
    let day = since.format("%-d %b %Y");
    if AGAINST <= otherwise && newer.len() <= AGAINST_OF * otherwise {
        let said = format!("{otherwise} of {of} like it ended in another fix since {day}");
        return Some((Reason::Contradicted, said));
    }
    // Another fix that is right as well may have become the usual one.
    let own = |job: &Job| own_answers(card).any(|a| ends_in(a, job));
    let elsewhere = proved(&|job| !own(job));
    let more_own = newer.iter().filter(|job| own(job)).count();
    let outnumbered =
        AGAINST.max(card.share.k) <= elsewhere && AGAINST_OF * more_own <= newer.len();
    outnumbered.then(|| {
        let said = format!(
            "{elsewhere} of {of} like it ended in another fix than its first since {day}; that one has {}",
            card.share.k
        );
        (Reason::Contradicted, said)
    })
}

/// Jobs like a card that nobody signed, of its answers, that came back for their diagnosis.
fn mostly_wrong(gathered: &Gathered, card: &Card, jobs: &[usize]) -> Option<(Reason, String)> {
    let all = jobs.iter().map(|at| &gathered.archive.jobs[*at]);
    let own: Vec<&Job> = all.filter(|job| is_answer(card, job)).collect();
    let wrong = own.iter().filter(|job| tier::misdiagnosed(job)).count();
    (AGAINST <= wrong && own.len() <= AGAINST_OF * wrong).then(|| {
        let of = number_of(own.len(), "job");
        let said = format!("{wrong} of {of} like it came back, wrong diagnosis");
        (Reason::Contradicted, said)
    })
}

/// Says at a reason that speaks against the answer which units are still under warranty.
fn name_units(
    workbench: &Workbench,
    gathered: &Gathered,
    card: &Card,
    found: &mut [(Reason, String)],
) {
    let against = |reason: &Reason| {
        let of_jobs = [Reason::Contradicted, Reason::BouncedSinceSigned];
        of_jobs.contains(reason)
    };
    let Some((_, said)) = found.iter_mut().find(|(reason, _)| against(reason)) else {
        return;
    };
    let jobs = &gathered.archive.jobs;
    // What else the card accepts may be the very fix that holds.
    let own: Vec<Fix> = own_answers(card).map(Answer::fix).collect();
    let again = |job: &Job| gathered.came_again(job);
    let units = rebuild::of_fixes(workbench, card, &own, (jobs, &again), gathered.day);
    if let Some(line) = words::under_warranty(&units) {
        *said = format!("{said}. {line}");
    }
}

/// Jobs behind the card that came back for their diagnosis after it was signed.
fn bounced(
    gathered: &Gathered,
    card: &Card,
    signed_on: NaiveDate,
    jobs: &BTreeSet<usize>,
) -> Option<(Reason, String)> {
    let all = &gathered.archive.jobs;
    let came_back = |job: &Job| {
        let returns = all.iter().filter(|later| {
            later.follows.as_deref() == Some(&job.job)
                || (later.unit.is_some()
                    && later.unit == job.unit
                    && job.closed_on < later.closed_on)
        });
        let first = returns.map(|later| later.closed_on).min();
        first.unwrap_or(job.closed_on)
    };
    let wrong: Vec<&str> = jobs
        .iter()
        .map(|at| &all[*at])
        .filter(|job| tier::misdiagnosed(job) && is_answer(card, job))
        .filter(|job| signed_on < came_back(job))
        .map(|job| job.job.as_str())
        .collect();
    (!wrong.is_empty()).then(|| {
        let said = format!(
            "{} came back, wrong diagnosis, after it was signed",
            clean(&wrong.join(", "))
        );
        (Reason::BouncedSinceSigned, said)
    })
}

/// Returns a card's own answer, and those of cards that leads let go into it: its counts are of all of
/// them, and none stands among the other fixes.
fn own_answers(card: &Card) -> impl Iterator<Item = &Answer> {
    let other = |answer: &Answer| card.others.iter().any(|o| o.steps == answer.steps);
    let answers = card.answers.iter().enumerate();
    answers
        .filter(move |(at, answer)| *at == 0 || !other(answer))
        .map(|(_, answer)| answer)
}

/// Tells whether a job ended in a right answer of the card.
fn is_answer(card: &Card, job: &Job) -> bool {
    let sides = card.sides.iter().map(|side| &side.answer);
    let mut answers = card.answers.iter().chain(sides);
    answers.any(|answer| ends_in(answer, job))
}

fn ends_in(answer: &Answer, job: &Job) -> bool {
    answer.fix() == job.fix()
}

fn unsigned(signature: &Signature, people: usize) -> Option<(Reason, String)> {
    let asked = match people {
        0 => "nobody was asked it yet".to_owned(),
        1 => "1 person was asked it".to_owned(),
        n => format!("{n} people were asked it"),
    };
    match signature {
        Signature::Signed(_) => None,
        Signature::Changed(by) => Some((
            Reason::ChangedSinceSigned,
            format!("changed since {} signed it", clean(by)),
        )),
        Signature::Waits(by, note) => {
            let note = match note.trim() {
                "" => String::new(),
                note => format!(": {note}"),
            };
            let said = format!("{} wants more jobs{note}", clean(by));
            Some((Reason::Waits, clean(&said)))
        }
        Signature::Nobody if 0 < people => Some((Reason::Seen, format!("not signed; {asked}"))),
        Signature::Nobody => Some((Reason::New, format!("not signed; {asked}"))),
    }
}
