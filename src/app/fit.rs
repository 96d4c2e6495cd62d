//! A person's memory model fitted to that person's reviews: when asked for, and by itself as a sitting
//! opens or ends. Whether a fit takes effect is [`refit`]'s business; here it is journalled.

use std::sync::Arc;

use chrono::DateTime;
use chrono::Utc;

use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::history;
use crate::domain::history::Scored;
use crate::domain::in_force;
use crate::domain::in_force::Source;
use crate::domain::memory::Weights;
use crate::domain::own_reviews;
use crate::domain::own_reviews::OwnReviews;
use crate::domain::refit;
use crate::domain::refit::Grounds;
use crate::domain::refit::Refit;
use crate::domain::refit::Verdict;
use crate::domain::review::Event;
use crate::domain::shop::Person;
use crate::domain::tape;
use crate::domain::tape::Spot;
use crate::domain::tape::Tape;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::fit_note;
use crate::store::journal::Journal;
use crate::store::journal_read::JournalRead;
use crate::store::lock::Holder;

/// A fit of one person that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// Person folder.
    pub person: String,
    /// Initials.
    pub initials: String,
    /// What was tried and what came of it.
    pub refit: Refit,
    /// The parameters in force now.
    pub weights: Weights,
    /// Whose they are.
    pub source: Source,
    /// Id of the journal line, where the fit took effect.
    pub kept: Option<String>,
    /// What is damaged in the person's journals.
    pub faults: Vec<Fault>,
}

/// Everyone's journals, and which of their lines are one person's.
pub(crate) struct Lines {
    journals: Vec<Arc<JournalRead>>,
    spots: Vec<Spot>,
    own: OwnReviews,
    faults: Vec<Fault>,
}

impl Lines {
    /// Reads them.
    pub(crate) fn of(workbench: &Workbench, person: &str) -> Result<Self, AppError> {
        let disk = workbench.disk.as_ref();
        let mut faults = Vec::new();
        let mut journals = Vec::new();
        for read in workbench.tapes.read_people(disk, &workbench.folder)? {
            if read.person == person {
                faults.extend(read.faults);
            }
            journals.extend(read.journals);
        }
        let tapes: Vec<&Tape> = journals.iter().map(|read| &read.tape).collect();
        let (spots, odd) = tape::lines_of(person, &tapes);
        let own = history::runs(&odd).into_iter();
        for (warning, numbers) in own.filter(|(warning, _)| warning.person == person) {
            let journal = workbench.folder.journal(&warning.person, &warning.bench);
            faults.push(Fault::warning(
                &journal.map_err(StoreError::from)?,
                format!("seq {numbers}: {}", warning.why),
                "look at that computer's clock",
            ));
        }
        let own = own_reviews::of(&spots, &tapes, &Facts::ids(workbench));
        Ok(Self {
            journals,
            spots,
            own,
            faults,
        })
    }

    /// Returns the lines in merged order, and the journals they stand in.
    pub(crate) fn merged(&self) -> (&[Spot], Vec<&Tape>) {
        let tapes = self.journals.iter().map(|read| &read.tape);
        (&self.spots, tapes.collect())
    }

    /// Returns the parameters in force, and whose they are.
    pub(crate) fn in_force(&self) -> (Weights, Source) {
        let (spots, tapes) = self.merged();
        in_force::weights(tape::effects(spots, &tapes))
    }

    /// Returns what is damaged in the person's journals.
    pub(crate) fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// Tries a fit to all scored reviews.
    pub(crate) fn refit(&self) -> Refit {
        self.tried(self.own.scored.len(), &self.spots)
    }

    /// Tries a fit to the first `count` scored reviews, on what was known of others then.
    fn refit_to(&self, count: usize) -> Refit {
        let last = count.checked_sub(1).and_then(|n| self.own.lines.get(n));
        let known = last.map_or(self.spots.as_slice(), |line| &self.spots[..=*line]);
        self.tried(count, known)
    }

    fn tried(&self, count: usize, known: &[Spot]) -> Refit {
        let (_, tapes) = self.merged();
        let (in_force, _) = in_force::weights(tape::effects(known, &tapes));
        let (shop, _) = in_force::shop(tape::effects(known, &tapes));
        let grounds = Grounds {
            in_force: &in_force,
            shop: &shop,
        };
        refit::refit(&self.own, count, grounds)
    }
}

/// Fits the memory model of one person; a fit that takes effect is in the person's journal of this bench
/// when this returns.
pub fn fit(workbench: &Workbench, person: &Person, now: DateTime<Utc>) -> Result<Fitted, AppError> {
    let holder = Holder {
        who: format!("{}, fit", person.initials),
        since: now,
    };
    let mut journal = Journal::hold(
        &workbench.disk,
        &workbench.folder,
        (&person.id, &workbench.bench),
        &holder,
    )?;
    journal.begin(&workbench.tapes)?;
    let lines = Lines::of(workbench, &person.id)?;
    let refit = lines.refit();
    let (mut weights, mut source) = lines.in_force();
    let mut kept = None;
    if let Verdict::Takes(fitted, _) = &refit.verdict {
        kept = Some(take_effect(workbench, &mut journal, fitted, now)?);
        (weights, source) = (fitted.as_ref().clone(), Source::Own);
    }
    Ok(Fitted {
        person: person.id.clone(),
        initials: person.initials.clone(),
        refit,
        weights,
        source,
        kept,
        faults: lines.faults,
    })
}

/// Tries a fit without being asked, where one is due; returns the number of scored reviews it was made
/// from where it took effect.
///
/// What is tried is noted first, so that nothing that goes wrong can come again at every sitting.
pub(crate) fn by_itself(
    workbench: &Workbench,
    journal: &mut Journal,
    person: &str,
    scored: Scored,
    now: DateTime<Utc>,
) -> Result<Option<usize>, AppError> {
    let Some(count) = refit::due(scored) else {
        return Ok(None);
    };
    let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
    if count <= fit_note::tried(disk, folder, person) {
        return Ok(None);
    }
    fit_note::note(disk, folder, person, count)?;
    let refit = Lines::of(workbench, person)?.refit_to(count);
    if let Verdict::Takes(fitted, _) = &refit.verdict {
        take_effect(workbench, journal, fitted, now)?;
        return Ok(Some(refit.scored));
    }
    Ok(None)
}

fn take_effect(
    workbench: &Workbench,
    journal: &mut Journal,
    fitted: &Weights,
    now: DateTime<Utc>,
) -> Result<String, AppError> {
    let weights = Box::new(*fitted.get());
    let event = Event::Weights { weights };
    Ok(journal.append(event, now, workbench.day(now))?.id)
}
