//! A person's drill: opens the journal, plans the sitting, keeps every answer before the next card.

use std::collections::BTreeSet;
use std::collections::HashSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::face;
use crate::app::fit;
use crate::app::gaps;
use crate::app::gaps::Measurement;
use crate::app::goal;
use crate::app::goal::Sight;
use crate::app::goal::Told;
use crate::app::people;
pub use crate::app::record::Record;
pub use crate::app::record::record;
use crate::app::scope;
use crate::app::scope::Scope;
use crate::app::set_up;
use crate::app::view::DrillView;
use crate::app::view::Step;
use crate::app::withdrawn;
use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::app::workbench::chain;
use crate::domain::card::Card;
use crate::domain::forecasts::Forecasts;
use crate::domain::goal::Goal;
use crate::domain::job::Job;
use crate::domain::queue;
use crate::domain::queue::Aim;
use crate::domain::queue::Ask;
use crate::domain::queue::Today;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::shop::Person;
use crate::domain::sitting::Said;
use crate::domain::sitting::Sitting;
use crate::domain::sitting::Stage;
use crate::domain::units;
use crate::store::error::StoreError;
use crate::store::journal::Journal;
use crate::store::lock::Holder;

/// What to drill.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// Minutes of the sitting.
    pub minutes: f64,
    /// Only this deck.
    pub deck: Option<String>,
    /// Only this board.
    pub board: Option<String>,
    /// Only this circuit family.
    pub family: Option<String>,
    /// Only this many spot checks.
    pub only_spot_checks: Option<usize>,
    /// Exactly these cards, in this order, as the refresh before a board: no spot checks, no limit of
    /// new cards, also those already right today. A miss counts for memory, a right answer does not.
    pub brief: Option<Vec<String>>,
    /// Offer fixes to choose from on cards not met yet or missed the last time; see
    /// [`crate::domain::options`].
    pub options: bool,
    /// What the day aims at; none for what the person, or else the shop, says.
    pub aim: Option<Aim>,
    /// A day to be ready by, in place of the person's own.
    pub goal: Option<Goal>,
}

/// Minutes that each card of a brief may take before the sitting ends by itself.
const BRIEF_MINUTES: f64 = 3.0;

/// Minutes of a sitting unless told otherwise.
pub const MINUTES: f64 = 15.0;

impl Default for Options {
    fn default() -> Self {
        Self {
            minutes: MINUTES,
            deck: None,
            board: None,
            family: None,
            only_spot_checks: None,
            brief: None,
            options: false,
            aim: None,
            goal: None,
        }
    }
}

/// A review that is on disk (or, in a read-only drill, nowhere).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Id of the journal line; none in a read-only drill.
    pub id: Option<String>,
    /// The grade.
    pub grade: Grade,
    /// Days until the next asking; none while the card has no memory yet.
    pub next_days: Option<u32>,
}

/// Returns the cards that `person` may be asked: in use, not tagged out, inside the options.
pub fn cards_for<'w>(
    workbench: &'w Workbench,
    record: &Record,
    person: &Person,
    options: &Options,
) -> Result<Vec<&'w Card>, AppError> {
    let scope = Scope::of(workbench, options)?;
    let brief = options.brief.as_ref();
    let free = scope.is_free() && brief.is_none();
    // What a person wants to be ready for is drilled, whatever else is assigned.
    let goal = person.goal.as_ref();
    let of_goal = goal.and_then(|goal| Scope::of_goal(workbench, goal).ok());
    let of_goal = of_goal.filter(|goal| !goal.is_free());
    let assigned = &person.assigned;
    let decks = assigned.decks.iter();
    let of_assigned: Vec<HashSet<&str>> = decks.map(|d| scope::of_deck(workbench, d)).collect();
    Ok(workbench
        .cards()
        .into_iter()
        .filter(|card| {
            let id = card.id.as_str();
            // A bench rule may hold for every board and circuit; then nobody is without it.
            let for_all = card.board.is_empty() && card.family.is_empty();
            card.kind.is_asked()
                && (workbench.shop.drill_unsigned || card.is_vouched_for())
                && !record.doubtful.contains(id)
                && !record.is_not_for(id)
                && scope.holds(card)
                && brief.is_none_or(|ids| ids.contains(&card.id))
                && (!free
                    || assigned.is_usual_mix()
                    || of_goal.as_ref().is_some_and(|goal| goal.holds(card))
                    || for_all
                    || of_assigned.iter().any(|deck| deck.contains(id))
                    || assigned.boards.contains(&card.board)
                    || card
                        .boards
                        .iter()
                        .any(|on| assigned.boards.contains(&on.board))
                    || assigned.families.contains(&card.family))
        })
        .collect())
}

/// Returns what a sitting asks of `cards`, in order: exactly those of a brief, else today's plan, with
/// the share that each has of `jobs` and what a day to be ready by puts first.
pub fn asks(
    workbench: &Workbench,
    (person, record): (&Person, &Record),
    (cards, jobs): (&[&Card], &[Job]),
    (options, ahead): (&Options, Option<&Sight>),
    (seed, day): (u64, NaiveDate),
) -> Vec<Ask> {
    if let Some(ids) = &options.brief {
        return queue::exactly(cards, ids);
    }
    let shares = queue::job_shares(cards, jobs, day, &workbench.shop.incoming);
    let costs = queue::miss_costs(cards, jobs);
    let history = &record.history;
    queue::plan(&Today {
        cards,
        history,
        circuits: &workbench.circuits,
        shares: &shares,
        costs: &costs,
        prices: &workbench
            .prices
            .of(&history.weights, &history.manner.habits()),
        aim: aim(workbench, person, options),
        first: ahead.and_then(Sight::first),
        day,
        target: workbench.shop.target_recall,
        minutes: options.minutes,
        seed,
        only_spot_checks: options.only_spot_checks,
    })
}

/// Returns what the day aims at: as asked for now, else the person's own setting, else the shop's.
pub fn aim(workbench: &Workbench, person: &Person, options: &Options) -> Aim {
    let own = options.aim.or(person.aim);
    own.unwrap_or(workbench.shop.aim)
}

/// A drill under way.
#[derive(Debug)]
pub struct Practice {
    workbench: Workbench,
    person: Person,
    journal: Option<Journal>,
    read_only: Option<String>,
    sitting: Sitting,
    record: Record,
    /// When cards are expected, from the first answer of the sitting on.
    forecasts: Option<Forecasts>,
    measure: Option<Measurement>,
    ready_by: Option<Told>,
    notice: String,
    /// Scored reviews that the memory model was fitted anew to, in this sitting.
    fitted: Option<usize>,
}

/// Most scored reviews that the memory model is fitted to before the first card: a fit to more would be
/// waited for, and waits for the end of the sitting.
const FITTED_AT_START: usize = 10_000;

impl Practice {
    /// Opens a drill of `person`; where another copy of the program has the person's journal, a
    /// read-only one.
    pub fn open(
        workbench: &Workbench,
        person: &Person,
        options: &Options,
        seed: u64,
        now: DateTime<Utc>,
    ) -> Result<Self, AppError> {
        let (mut journal, read_only) = hold(workbench, person, now)?;
        let (record, archive) = workbench.beside_archive(|| record(workbench, &person.id, now));
        let mut record = record?;
        let mut fitted = None;
        if let Some(journal) = &mut journal {
            journal.begin(&workbench.tapes)?;
            // A sitting that was cut off left it undone.
            let scored = record.history.scored;
            if scored.reviews <= FITTED_AT_START {
                // It can wait: the drill comes first.
                fitted =
                    fit::by_itself(workbench, journal, &person.id, scored, now).unwrap_or(None);
            }
            if fitted.is_some() {
                record = self::record(workbench, &person.id, now)?;
            }
        }
        let cards = cards_for(workbench, &record, person, options)?;
        if workbench.decks.iter().all(|d| d.cards.is_empty()) {
            return Err(AppError::NoCards {
                why: "no deck has any".to_owned(),
            });
        }
        let archive = archive?;
        record.faults.extend(archive.unread);
        let day = workbench.day(now);
        let exactly = options.brief.as_deref();
        if exactly.is_some() && cards.is_empty() {
            return Err(AppError::NoCards {
                why: "none of the brief's cards is in use".to_owned(),
            });
        }
        let minutes = exactly.map_or(options.minutes, |ids| {
            BRIEF_MINUTES * units::count(ids.len())
        });
        let ahead = goal::look(workbench, (person, &record), (&cards, options), day);
        let asks = asks(
            workbench,
            (person, &record),
            (&cards, &archive.jobs),
            (options, ahead.as_ref()),
            (seed, day),
        );
        let corrected = corrected(&record, &cards, &asks);
        let measure = options
            .only_spot_checks
            .map(|_| gaps::measurement(workbench, &record, options, asks.len(), day));
        let mut notice = opening_notice(corrected, measure.as_ref());
        let ready_by = ahead.map(|ahead| ahead.told(&asks, options));
        if let Some(told) = &ready_by {
            put_before(&mut notice, &told.line);
            end_if_come(workbench, person, told, journal.is_some().then_some(day));
        }
        if cards.is_empty() && !workbench.shop.drill_unsigned {
            put_after(
                &mut notice,
                "This shop drills signed cards only, and none of these is signed.",
            );
        }
        let last = record.last;
        let retired = withdrawn::notice(workbench, &record.history, last, day);
        if !retired.is_empty() {
            put_before(&mut notice, &retired);
        }
        let id = sitting_id(workbench, person, &record, now);
        let sitting = Sitting::new(set_up::set_up(
            workbench,
            &record.history,
            (&cards, asks),
            (id, minutes),
            offers_fixes(options, person),
        ));
        Ok(Self {
            workbench: workbench.clone(),
            person: person.clone(),
            journal,
            read_only,
            sitting,
            record,
            forecasts: None,
            measure,
            ready_by,
            notice,
            fitted,
        })
    }

    /// Returns the sitting.
    pub fn sitting(&self) -> &Sitting {
        &self.sitting
    }

    /// Returns what a sitting of spot checks will measure; none for any other.
    pub fn measure(&self) -> Option<&Measurement> {
        self.measure.as_ref()
    }

    /// Returns what the sitting says of a day to be ready by; none without one.
    pub fn ready_by(&self) -> Option<&Told> {
        self.ready_by.as_ref()
    }

    /// Returns the person's folder name.
    pub fn person(&self) -> &str {
        &self.person.id
    }

    /// Goes back to the circuit of the card under way; nothing was kept, so nothing is taken back.
    pub fn back_within_card(&mut self) -> bool {
        self.sitting.back_within_card()
    }

    /// Returns who holds the journal, if this drill keeps nothing.
    pub fn read_only(&self) -> Option<&str> {
        self.read_only.as_deref()
    }

    /// Returns the lines that tell what is damaged in the shop.
    pub fn to_mend(&self) -> Vec<String> {
        let mut lines = self.workbench.fault_lines(&self.workbench.faults);
        lines.extend(self.workbench.fault_lines(&self.record.faults));
        lines
    }

    /// Returns the sitting as a person sees it now; a notice shows once.
    pub fn view(&mut self) -> DrillView {
        let notice = std::mem::take(&mut self.notice);
        let mut view = face::drill_view(&self.sitting, self.read_only(), &notice);
        if let Step::Over(summary) = &mut view.step {
            summary.fitted = self.fitted;
        }
        view
    }

    /// Returns how many scored reviews the memory model was fitted anew to in this sitting, if it was.
    pub fn fitted(&self) -> Option<usize> {
        self.fitted
    }

    /// Fits the memory model anew where the sitting is over and a fit is due.
    ///
    /// Everything answered is kept by then; a fit that fails is nothing that a person has to see to now.
    fn settle(&mut self, now: DateTime<Utc>) {
        if !matches!(self.sitting.stage(), Stage::Over) {
            return;
        }
        if let Some(journal) = &mut self.journal {
            let scored = self.record.history.scored;
            let fitted = fit::by_itself(&self.workbench, journal, &self.person.id, scored, now);
            self.fitted = fitted.ok().flatten().or(self.fitted);
        }
    }

    /// Takes the circuit said.
    pub fn say_circuit(&mut self, family: &str, ms: u64) {
        self.sitting.say_circuit(family, ms);
    }

    /// Takes the fix said and judges it.
    pub fn say_fix(&mut self, said: &Said, sure: Sure, ms: u64) {
        self.sitting.say_fix(said, sure, ms);
    }

    /// Turns the verdict on the fix round; false if it may not be.
    pub fn overrule(&mut self) -> bool {
        self.sitting.overrule()
    }

    /// Moves the grade; false if it may not be.
    pub fn set_grade(&mut self, grade: Grade) -> bool {
        self.sitting.set_grade(grade)
    }

    /// Keeps the answer being shown: on disk first, then on to the next card.
    ///
    /// On an error the answer was not kept and the verdict is still being shown.
    pub fn keep(&mut self, reveal_ms: u64, now: DateTime<Utc>) -> Result<Kept, AppError> {
        let Some(mut answered) = self.sitting.draft(reveal_ms) else {
            return Err(AppError::NoCards {
                why: "no verdict is being shown".to_owned(),
            });
        };
        let day = self.workbench.day(now);
        let facts = Facts::ids(&self.workbench);
        let mut after = self.record.history.only(&answered.card);
        after.apply(&Event::Answer(Box::new(answered.clone())), day, &facts);
        let target = self.workbench.shop.target_recall;
        // Where the line is not written they are gone, and counted anew at the next answer.
        let mut forecasts = self
            .forecasts
            .take()
            .filter(|forecasts| forecasts.are_from(day))
            .unwrap_or_else(|| Forecasts::of(&self.record.history, day, target));
        forecasts.leave_out(&self.record.history, &answered.card);
        let next_days = after.next_days(&answered.card, target, forecasts.load());
        answered.next_days = next_days.unwrap_or(0);
        let event = Event::Answer(Box::new(answered.clone()));
        let id = self.write(event.clone(), now)?;
        let facts = Facts::ids(&self.workbench);
        self.record.history.apply(&event, day, &facts);
        forecasts.count(&self.record.history, &answered.card);
        self.forecasts = Some(forecasts);
        let place = id.clone().unwrap_or_else(|| "read only".to_owned());
        self.sitting.kept(&place, &answered);
        self.settle(now);
        Ok(Kept {
            id,
            grade: answered.grade,
            next_days,
        })
    }

    /// Takes back the last step: an answer not kept yet, else the last line kept in this sitting;
    /// false if the sitting is at its start.
    pub fn undo(&mut self, now: DateTime<Utc>) -> Result<bool, AppError> {
        if self.sitting.back_within_card() {
            return Ok(true);
        }
        let Some(of) = self.sitting.last_event().map(str::to_owned) else {
            return Ok(false);
        };
        self.write(Event::Undo { of }, now)?;
        self.sitting.undone();
        if self.read_only.is_none() {
            self.record = record(&self.workbench, &self.person.id, now)?;
            self.forecasts = None;
        }
        Ok(true)
    }

    /// Tags the card under way out and goes on; returns the id of the line.
    pub fn tag(
        &mut self,
        reason: TagReason,
        note: &str,
        now: DateTime<Utc>,
    ) -> Result<Option<String>, AppError> {
        let Some(card) = self.sitting.card().map(|c| c.id.clone()) else {
            return Ok(None);
        };
        let event = Event::Tag {
            card,
            reason,
            note: note.to_owned(),
        };
        let id = self.write(event.clone(), now)?;
        let facts = Facts::ids(&self.workbench);
        self.record
            .history
            .apply(&event, self.workbench.day(now), &facts);
        self.sitting.tagged(id.as_deref().unwrap_or("read only"));
        self.settle(now);
        Ok(id)
    }

    /// Ends the sitting; an answer whose verdict is being shown is kept with the grade it has.
    pub fn stop(&mut self, reveal_ms: u64, now: DateTime<Utc>) -> Result<Option<Kept>, AppError> {
        let kept = match self.sitting.stage() {
            Stage::Verdict(_) => Some(self.keep(reveal_ms, now)?),
            _ => None,
        };
        self.sitting.stop();
        self.settle(now);
        Ok(kept)
    }

    fn write(&mut self, event: Event, now: DateTime<Utc>) -> Result<Option<String>, AppError> {
        let day = self.workbench.day(now);
        match &mut self.journal {
            Some(journal) => Ok(Some(journal.append(event, now, day)?.id)),
            None => Ok(None),
        }
    }
}

/// Says something before what is said already.
fn put_before(notice: &mut String, said: &str) {
    if !notice.is_empty() {
        notice.insert(0, ' ');
    }
    notice.insert_str(0, said);
}

/// Says something after what is said already.
fn put_after(notice: &mut String, said: &str) {
    if !notice.is_empty() {
        notice.push(' ');
    }
    notice.push_str(said);
}

/// Takes the person's journal to write to; where another copy of the program has it, or nothing can be
/// written, says why instead.
fn hold(
    workbench: &Workbench,
    person: &Person,
    now: DateTime<Utc>,
) -> Result<(Option<Journal>, Option<String>), AppError> {
    let holder = Holder {
        who: format!("{}, drill", person.initials),
        since: now,
    };
    let opened = Journal::hold(
        &workbench.disk,
        &workbench.folder,
        (&person.id, &workbench.bench),
        &holder,
    );
    match opened {
        Ok(journal) => Ok((Some(journal), None)),
        Err(StoreError::Busy { holder, .. }) => Ok((None, Some(holder))),
        Err(error) if error.forbids_writing() => Ok((None, Some(chain(&error)))),
        Err(error) => Err(error.into()),
    }
}

/// Tells whether fixes stand to choose from: asked for now, or always for this person's daily drill.
fn offers_fixes(options: &Options, person: &Person) -> bool {
    let daily = options.brief.is_none() && options.only_spot_checks.is_none();
    options.options || daily && person.options
}

/// Returns how many of the cards asked were corrected since the person learned them.
fn corrected(record: &Record, cards: &[&Card], asks: &[Ask]) -> usize {
    let of = |ask: &&Ask| record.history.cards.get(&cards[ask.card].id);
    let is_corrected = |ask: &&Ask| of(ask).is_some_and(|card| card.corrected);
    asks.iter().filter(is_corrected).count()
}

/// Ends a day to be ready by whose morning has come, in a sitting that keeps what happens on `day`.
fn end_if_come(workbench: &Workbench, person: &Person, told: &Told, day: Option<NaiveDate>) {
    if let Some(day) = day.filter(|_| told.has_come) {
        // It was said; where it cannot be dropped it is said again, which costs nobody anything.
        drop(people::be_ready_by(workbench, &person.id, None, day));
    }
}

/// Returns what is said once as a sitting opens: what it will measure, and which cards start again.
fn opening_notice(corrected: usize, measure: Option<&Measurement>) -> String {
    let mut said: Vec<String> = measure.map(Measurement::sentence).into_iter().collect();
    match corrected {
        0 => {}
        1 => said.push(
            "One card was corrected since you learned it: its memory starts again.".to_owned(),
        ),
        n => said.push(format!(
            "{n} cards were corrected since you learned them: their memory starts again."
        )),
    }
    said.join(" ")
}

/// Returns an id for a sitting: bench, person and moment, and a number where the clock was set so that
/// this moment comes again.
fn sitting_id(
    workbench: &Workbench,
    person: &Person,
    record: &Record,
    now: DateTime<Utc>,
) -> String {
    let moment = format!(
        "{}-{}-{}",
        workbench.bench,
        person.id,
        now.format("%Y%m%dT%H%M%S%3f")
    );
    let taken: BTreeSet<&str> = record.sittings().into_iter().collect();
    let mut id = moment.clone();
    let mut n = 1;
    while taken.contains(id.as_str()) {
        n += 1;
        id = format!("{moment}-{n}");
    }
    id
}
