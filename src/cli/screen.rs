//! Opens the screen: the desk behind it is the open shop, with the computer's clock.

use std::io::Write;
use std::sync::Arc;

use crate::app::archive;
use crate::app::brief;
use crate::app::brief::BoardChoice;
use crate::app::brief::Brief;
use crate::app::desk;
use crate::app::desk::list;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskPage;
use crate::app::entry::look;
use crate::app::entry::look::FormView;
use crate::app::entry::open;
use crate::app::entry::save;
use crate::app::entry::save::Written;
use crate::app::entry::session;
use crate::app::entry::session::Begun;
use crate::app::entry::session::Session;
use crate::app::gaps;
use crate::app::gaps::Gaps;
use crate::app::goal;
use crate::app::home;
use crate::app::intake::List;
use crate::app::intake::decide::Decided;
use crate::app::intake::page::Candidate;
use crate::app::intake::page::FieldView;
use crate::app::intake::page::RowPage;
use crate::app::jobs;
use crate::app::jobs::FollowUp;
use crate::app::jobs::JobRow;
use crate::app::jobs::Listing;
use crate::app::jobs::page;
use crate::app::jobs::page::WholeJob;
use crate::app::jobs::word;
use crate::app::jobs::word::Came;
use crate::app::jobs::word::Noted;
use crate::app::people;
use crate::app::plan;
use crate::app::plan::Coming;
use crate::app::practice::Options;
use crate::app::practice::Practice;
use crate::app::view::DrillView;
use crate::app::view::Home;
use crate::app::view::JobPage;
use crate::app::view::PersonChoice;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::app::workbench::chain;
use crate::cli::clock::Clock;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::intake::Intake;
use crate::cli::planning::Planning;
use crate::domain::card::Card;
use crate::domain::circuit::Family;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::open_job::OpenJob;
use crate::domain::intake::repair::Slot;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::shop::Person;
use crate::domain::shop::Post;
use crate::domain::sitting::Said;
use crate::domain::text::clean;
use crate::tui::desk::Desk;
use crate::tui::msg::Decision;
use crate::tui::msg::Effect;
use crate::tui::msg::ReadySaid;

/// `benchlore` without a command: the home screen, or its lines where nothing can be drawn.
pub fn run(around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    if around.environment.output_is_terminal {
        return open_at(|_| Ok(None), Options::default(), around);
    }
    let workbench = around.workbench_for_drill()?;
    let now = around.clock.now();
    writeln!(
        out,
        "Shop: {}",
        crate::domain::text::clean(&workbench.shop.name)
    )?;
    for person in workbench.people()? {
        let home = home::home(&workbench, &person, &Options::default(), around.seed(), now)?;
        let (met, cards) = home
            .families
            .iter()
            .fold((0, 0), |(met, all), f| (met + f.met, all + f.cards));
        writeln!(
            out,
            "{}: today {:.0} minutes, {} cards, {} not met yet; met {met} of {cards}",
            home.initials, home.minutes, home.planned, home.planned_new
        )?;
        if !home.ready_by.is_empty() {
            writeln!(out, "{}: {}", home.initials, home.ready_by)?;
        }
    }
    writeln!(out, "Drill with: benchlore drill --person PERSON --plain")?;
    Ok(Exit::Done)
}

/// Opens the screen at a person's home, or at the greeting.
pub fn open(
    workbench: Workbench,
    person: Option<&Person>,
    around: &Around<'_>,
) -> Result<Exit, Failure> {
    show(workbench, person, Options::default(), around)
}

/// Opens the screen for one person's drill.
pub fn drill(
    workbench: Workbench,
    person: &Person,
    options: Options,
    around: &Around<'_>,
) -> Result<Exit, Failure> {
    show(workbench, Some(person), options, around)
}

fn show(
    workbench: Workbench,
    person: Option<&Person>,
    options: Options,
    around: &Around<'_>,
) -> Result<Exit, Failure> {
    let mut counter = Counter::new(workbench, options, around);
    crate::tui::run::run(&mut counter, person.map(|p| p.id.as_str()))?;
    Ok(Exit::Done)
}

/// Opens the screen with a form.
pub fn form(person: Option<&str>, purpose: Purpose, around: &Around<'_>) -> Result<Exit, Failure> {
    let workbench = around.workbench_for_drill()?;
    let person = workbench.person(person)?;
    let mut counter = Counter::new(workbench, Options::default(), around);
    counter.opens_with = Some(Effect::OpenForm {
        person: person.id.clone(),
        purpose,
    });
    crate::tui::run::run(&mut counter, Some(&person.id))?;
    Ok(Exit::Done)
}

/// Opens the screen at the lead's desk.
pub fn desk(person: &str, around: &Around<'_>) -> Result<Exit, Failure> {
    let workbench = around.workbench_for_drill()?;
    let person = workbench.person(Some(person))?;
    let mut counter = Counter::new(workbench, Options::default(), around);
    counter.opens_with = Some(Effect::Signing);
    crate::tui::run::run(&mut counter, Some(&person.id))?;
    Ok(Exit::Done)
}

/// Opens the screen first and the shop behind it, then the home of the person that `who` names, or the
/// greeting.
pub fn open_at(
    who: impl FnOnce(&Workbench) -> Result<Option<Person>, AppError> + Send + 'static,
    options: Options,
    around: &Around<'_>,
) -> Result<Exit, Failure> {
    let opening = around.opening()?;
    let tapes = Arc::clone(&opening.tapes);
    let open = move || {
        let workbench = opening.open()?;
        let person = who(&workbench)?;
        Ok::<_, Failure>((workbench, person))
    };
    let seat = |(workbench, person): (Workbench, Option<Person>)| {
        let counter = Counter::new(workbench, options, around);
        (counter, person.map(|person| person.id))
    };
    crate::tui::run::run_opening(open, &|| tapes.progress(), seat)??;
    Ok(Exit::Done)
}

/// The open shop as the screen's desk.
struct Counter {
    workbench: Workbench,
    options: Options,
    clock: Clock,
    seed: Option<u64>,
    practice: Option<Practice>,
    intake: Intake,
    planning: Planning,
    entering: Option<Session>,
    unsaved: Option<Form>,
    opens_with: Option<Effect>,
}

type Answer<T> = Result<T, String>;

/// Jobs that a search on the screen shows at most.
const FOUND_AT_MOST: usize = 500;
/// Jobs that are offered by the beginning of their numbers.
const NUMBERS_AT_MOST: usize = 4;

impl Counter {
    fn new(workbench: Workbench, options: Options, around: &Around<'_>) -> Self {
        Self {
            workbench,
            options,
            clock: around.clock,
            seed: around.given_seed(),
            practice: None,
            intake: Intake::default(),
            planning: Planning::default(),
            entering: None,
            unsaved: None,
            opens_with: None,
        }
    }

    fn entering(&self) -> Answer<&Session> {
        let session = self.entering.as_ref();
        session.ok_or_else(|| "no job is being entered".to_owned())
    }

    fn seed(&self) -> u64 {
        self.seed
            .unwrap_or_else(|| crate::domain::ids::seed([self.clock.now().to_rfc3339().as_str()]))
    }

    /// Begins a sitting with these options.
    fn begin_with(&mut self, person: &str, options: &Options) -> Answer<DrillView> {
        self.practice = None;
        let person = self
            .workbench
            .person(Some(person))
            .map_err(|error| sentence(&error))?;
        let seed = self.seed();
        let mut practice =
            Practice::open(&self.workbench, &person, options, seed, self.clock.now())
                .map_err(|error| sentence(&error))?;
        let view = practice.view();
        self.practice = Some(practice);
        Ok(view)
    }

    fn practice(&mut self) -> Answer<&mut Practice> {
        self.practice
            .as_mut()
            .ok_or_else(|| "no sitting is under way".to_owned())
    }

    /// Does something to the sitting and returns what is then to be seen.
    fn then(
        &mut self,
        act: impl FnOnce(&mut Practice, chrono::DateTime<chrono::Utc>) -> Result<(), AppError>,
    ) -> Answer<DrillView> {
        let now = self.clock.now();
        let practice = self.practice()?;
        act(practice, now).map_err(|error| sentence(&error))?;
        Ok(practice.view())
    }
}

/// Returns an error about a row or a card without its name, which the screen shows already.
fn told(error: &AppError) -> String {
    match error {
        AppError::NotOfCard { why, todo, .. } => {
            format!("{}; {todo}", why.trim_end_matches('.'))
        }
        AppError::NotOfRow { why, todo, .. } if !todo.is_empty() => format!("{why}; {todo}"),
        AppError::NotOfRow { why, .. } => why.clone(),
        error => sentence(error),
    }
}

fn sentence(error: &AppError) -> String {
    chain(error)
}

impl Desk for Counter {
    fn people(&self) -> Vec<PersonChoice> {
        people::list(&self.workbench).unwrap_or_default()
    }

    fn add_person(&mut self, initials: &str) -> Answer<String> {
        people::add(&self.workbench, initials, Post::Trainee).map_err(|error| sentence(&error))
    }

    fn home(&mut self, person: &str) -> Answer<Home> {
        let person = self
            .workbench
            .person(Some(person))
            .map_err(|error| sentence(&error))?;
        home::home(
            &self.workbench,
            &person,
            &self.options,
            self.seed(),
            self.clock.now(),
        )
        .map_err(|error| sentence(&error))
    }

    fn begin(&mut self, person: &str) -> Answer<DrillView> {
        let options = self.options.clone();
        self.begin_with(person, &options)
    }
    fn say_circuit(&mut self, family: &str, ms: u64) -> Answer<DrillView> {
        self.then(|practice, _| {
            practice.say_circuit(family, ms);
            Ok(())
        })
    }

    fn say_fix(&mut self, typed: Option<&str>, sure: Sure, ms: u64) -> Answer<DrillView> {
        let said = typed.map_or(Said::Aloud, |words| Said::Typed(words.to_owned()));
        self.then(|practice, _| {
            practice.say_fix(&said, sure, ms);
            Ok(())
        })
    }

    fn back(&mut self) -> Answer<DrillView> {
        self.then(|practice, _| {
            practice.back_within_card();
            Ok(())
        })
    }

    fn overrule(&mut self) -> Answer<DrillView> {
        self.then(|practice, _| {
            practice.overrule();
            Ok(())
        })
    }

    fn set_grade(&mut self, grade: Grade) -> Answer<DrillView> {
        self.then(|practice, _| {
            practice.set_grade(grade);
            Ok(())
        })
    }

    fn keep(&mut self, ms: u64) -> Answer<DrillView> {
        self.then(|practice, now| practice.keep(ms, now).map(drop))
    }

    fn undo(&mut self) -> Answer<DrillView> {
        self.then(|practice, now| practice.undo(now).map(drop))
    }

    fn tag(&mut self, doubtful: bool, note: &str) -> Answer<DrillView> {
        let reason = if doubtful {
            TagReason::Doubtful
        } else {
            TagReason::NotForMe
        };
        self.then(|practice, now| practice.tag(reason, note, now).map(drop))
    }

    fn stop(&mut self) -> Answer<DrillView> {
        self.then(|practice, now| practice.stop(0, now).map(drop))
    }

    fn give_sitting_to(&mut self, sitting: &str, person: &str) -> Answer<Home> {
        let from = self.practice()?.person().to_owned();
        // The journal's lock is let go before the line is written under it.
        self.practice = None;
        people::give_sitting(&self.workbench, sitting, &from, person, self.clock.now())
            .map_err(|error| sentence(&error))?;
        self.home(person)
    }

    fn family(&self, id: &str) -> Option<Family> {
        self.workbench.circuits.get(id).cloned()
    }

    fn families(&self) -> Vec<Family> {
        self.workbench.circuits.all().to_vec()
    }

    fn evidence(&self) -> Vec<JobPage> {
        let numbers = self
            .practice
            .as_ref()
            .and_then(|p| p.sitting().card())
            .map_or_else(Vec::new, |card| card.jobs.clone());
        archive::pages(&self.workbench, &numbers).unwrap_or_default()
    }

    fn leave(&mut self) {
        self.practice = None;
        self.intake.leave();
        // Whoever leaves at once finds the form again.
        self.rest();
        self.entering = None;
    }

    fn intake(&mut self, person: &str) -> Answer<List> {
        let now = self.clock.now();
        let who = self.workbench.person(Some(person));
        who.and_then(|person| self.intake.list(&self.workbench, &person, now))
            .map_err(|error| sentence(&error))
    }

    fn intake_worth(&mut self) -> Option<String> {
        self.intake.worth()
    }

    fn intake_row(&mut self, at: usize) -> Answer<Option<RowPage>> {
        self.intake.row(at).map_err(|error| told(&error))
    }

    fn intake_decide(&mut self, key: &str, at: usize, what: &Decision) -> Answer<Decided> {
        let now = self.clock.now();
        let decided = self.intake.decide(key, at, what, now);
        decided.map_err(|error| told(&error))
    }

    fn intake_read(&mut self, key: &str, slot: Slot, words: &str) -> Answer<FieldView> {
        let session = self.intake.session().map_err(|error| told(&error))?;
        let read = session.preview(key, slot, words);
        read.map_err(|error| match error {
            AppError::NotOfRow { todo, .. } => todo,
            error => sentence(&error),
        })
    }

    fn intake_numbers(&mut self, key: &str, typed: &str) -> Vec<Candidate> {
        let session = self.intake.session();
        session.map_or_else(
            |_| Vec::new(),
            |s| s.candidates(key, typed, NUMBERS_AT_MOST),
        )
    }

    fn leave_intake(&mut self) {
        self.intake.leave();
    }

    fn open_form(&mut self, person: &str, purpose: &Purpose) -> Answer<(Begun, FormView)> {
        self.entering = None;
        let now = self.clock.now();
        let person = self.workbench.person(Some(person));
        let opened =
            person.and_then(|who| Session::open(&self.workbench, &who, purpose.clone(), now));
        let (session, begun) = opened.map_err(|error| sentence(&error))?;
        let view = look::view(&self.workbench, &session, &begun.form);
        self.entering = Some(session);
        self.unsaved = None;
        Ok((begun, view))
    }

    fn read_form(&mut self, form: &Form) -> FormView {
        self.unsaved = Some(form.clone());
        let session = self.entering.as_ref();
        session.map_or_else(FormView::default, |s| look::view(&self.workbench, s, form))
    }

    fn mark_unit(&mut self, serial: &str) -> Answer<Option<String>> {
        let person = self.entering()?.person.clone();
        let drawn = environment::draw_key(self.seed).map_err(|failure| failure.to_string())?;
        let now = self.clock.now();
        session::mark_unit(&mut self.workbench, &person, serial, &drawn, now)
            .map_err(|error| sentence(&error))
    }

    fn save_form(&mut self, form: &Form) -> Answer<Written> {
        let now = self.clock.now();
        let written = save::write(&self.workbench, self.entering()?, form, now)
            .map_err(|error| sentence(&error))?;
        self.unsaved = None;
        self.entering = None;
        Ok(written)
    }

    fn leave_form(&mut self, form: &Form, throw: bool) -> Answer<()> {
        let session = self.entering()?;
        let done = if throw {
            session.throw_away(&self.workbench)
        } else {
            session.keep(&self.workbench, form)
        };
        done.map_err(|error| sentence(&error))?;
        self.unsaved = None;
        self.entering = None;
        Ok(())
    }

    fn open_jobs(&mut self) -> Answer<Vec<OpenJob>> {
        open::list(&self.workbench).map_err(|error| sentence(&error))
    }

    fn log_open(&mut self, person: &str, number: &str, words: &str) -> Answer<String> {
        let now = self.clock.now();
        let log = |who| open::log(&self.workbench, &who, number, words, now);
        let who = self.workbench.person(Some(person));
        let job = who.and_then(log).map_err(|error| sentence(&error))?;
        Ok(clean(&format!("Logged on {}.", job.number)))
    }

    fn hand_open(&mut self, person: &str, number: &str, to: &str) -> Answer<String> {
        let now = self.clock.now();
        let hand = |who| open::hand(&self.workbench, &who, number, to, now);
        let who = self.workbench.person(Some(person));
        let job = who.and_then(hand).map_err(|error| sentence(&error))?;
        Ok(clean(&format!("{} is with {} now.", job.number, job.with)))
    }

    fn signing(&mut self) -> Answer<DeskList> {
        list::list(&self.workbench, self.clock.now()).map_err(|error| sentence(&error))
    }

    fn signing_card(&mut self, card: &str) -> Answer<Option<DeskPage>> {
        let stands = |one: &&Card| one.id == card;
        if !self.workbench.all_cards().iter().any(stands) {
            return Ok(None);
        }
        let page = desk::page::page(&self.workbench, card, self.clock.now());
        page.map(Some).map_err(|error| told(&error))
    }

    fn signing_act(&mut self, person: &str, card: &str, act: &desk::view::Act) -> Answer<String> {
        let now = self.clock.now();
        let person = self.workbench.person(Some(person));
        let done =
            person.and_then(|who| desk::act::act(&self.workbench, &who, card, act.clone(), now));
        let done = done.map_err(|error| told(&error))?;
        self.workbench = done.workbench;
        Ok(done.said)
    }

    fn signing_undo(&mut self, person: &str) -> Answer<(Option<String>, String)> {
        let now = self.clock.now();
        let person = self.workbench.person(Some(person));
        let undone = person.and_then(|who| desk::undo::undo(&self.workbench, &who, now));
        let undone = undone.map_err(|error| told(&error))?;
        self.workbench = undone.done.workbench;
        Ok((undone.card, undone.done.said))
    }

    fn whole_jobs(&self, numbers: &[String]) -> Vec<JobPage> {
        archive::pages(&self.workbench, numbers).unwrap_or_default()
    }

    fn rest(&mut self) -> Option<String> {
        let form = self.unsaved.take()?;
        let kept = self.entering.as_ref()?.keep(&self.workbench, &form);
        kept.err().map(|error| sentence(&error))
    }

    fn opens_with(&mut self) -> Option<Effect> {
        self.opens_with.take()
    }

    fn plan(&mut self, person: &str) -> Answer<Coming> {
        let now = self.clock.now();
        let ask = plan::Ask {
            options: self.options.clone(),
            days: plan::DAYS,
            target: None,
            seed: self.seed,
        };
        self.planning
            .look(&self.workbench, person, &ask, now)
            .map_err(|error| sentence(&error))
    }

    fn leave_plan(&mut self) {
        self.planning.leave();
    }

    fn be_ready_by(&mut self, person: &str, words: &str) -> Answer<ReadySaid> {
        let goal = goal::from_words(&self.workbench, words).map_err(|error| sentence(&error))?;
        let text = match &goal {
            Some(goal) => format!(
                "Kept: ready by {}, {}. The next sitting begins with it.",
                goal.date,
                clean(&goal.scope())
            ),
            None => "No day to be ready by any more: the usual order has every sitting.".to_owned(),
        };
        let today = self.workbench.day(self.clock.now());
        people::be_ready_by(&self.workbench, person, goal, today)
            .map_err(|error| sentence(&error))?;
        let home = self.home(person)?;
        Ok(ReadySaid { text, home })
    }

    fn gaps(&mut self, person: &str) -> Answer<Gaps> {
        self.workbench
            .person(Some(person))
            .and_then(|person| {
                let now = self.clock.now();
                gaps::gaps(&self.workbench, &person, gaps::DAYS, None, now)
            })
            .map_err(|error| sentence(&error))
    }

    fn measure(&mut self, person: &str, family: &str) -> Answer<DrillView> {
        let options = Options {
            family: Some(family.to_owned()),
            only_spot_checks: Some(gaps::MEASURE),
            ..Options::default()
        };
        self.begin_with(person, &options)
    }

    fn boards(&self) -> Vec<BoardChoice> {
        brief::boards(&self.workbench)
    }

    fn brief(&mut self, board: &str, words: &str) -> Answer<Brief> {
        let now = self.clock.now();
        brief::find_board(&self.workbench, board)
            .and_then(|board| brief::brief(&self.workbench, board, words, brief::LIMIT, now))
            .map_err(|error| sentence(&error))
    }

    fn whole_job(&self, number: &str) -> Option<JobPage> {
        archive::pages(&self.workbench, &[number.to_owned()])
            .ok()?
            .pop()
    }

    fn begin_brief(&mut self, person: &str, cards: &[String]) -> Answer<DrillView> {
        let usual = self.options.clone();
        self.options.brief = Some(cards.to_vec());
        let begun = self.begin(person);
        self.options = usual;
        begun
    }

    fn jobs(&mut self) -> Answer<Listing> {
        let all = jobs::ListOptions::default();
        jobs::list(&self.workbench, &all, self.clock.now()).map_err(|error| sentence(&error))
    }

    fn find_jobs(&mut self, words: &str) -> Answer<Vec<JobRow>> {
        let options = jobs::FindOptions {
            words: words.to_owned(),
            limit: FOUND_AT_MOST,
            ..jobs::FindOptions::default()
        };
        let now = self.clock.now();
        let search = jobs::find_jobs(&self.workbench, &options, now, &mut |_, _| {});
        search
            .map(|search| search.found.into_iter().map(|f| f.row).collect())
            .map_err(|error| sentence(&error))
    }

    fn job(&mut self, number: &str) -> Answer<WholeJob> {
        page::page(&self.workbench, number, self.clock.now()).map_err(|error| sentence(&error))
    }

    fn follow_up(&mut self) -> Answer<FollowUp> {
        jobs::follow_up(&self.workbench, self.clock.now()).map_err(|error| sentence(&error))
    }

    fn later_jobs(&mut self, number: &str) -> Answer<Vec<JobRow>> {
        jobs::later_jobs(&self.workbench, number, self.clock.now())
            .map_err(|error| sentence(&error))
    }

    fn job_held(&mut self, person: &str, number: &str) -> Answer<Noted> {
        let held = |person| word::held(&self.workbench, number, &person, self.clock.now());
        let who = self.workbench.person(Some(person));
        who.and_then(held).map_err(|error| sentence(&error))
    }

    fn job_returned(&mut self, person: &str, number: &str, by: &str, came: &Came) -> Answer<Noted> {
        let now = self.clock.now();
        let back = |person| word::returned(&self.workbench, number, by, came, &person, now);
        let who = self.workbench.person(Some(person));
        who.and_then(back).map_err(|error| sentence(&error))
    }

    fn take_jobs_back(&mut self, person: &str, numbers: &[String]) -> Answer<Noted> {
        let now = self.clock.now();
        let back = |person| word::take_back(&self.workbench, numbers, &person, now);
        let who = self.workbench.person(Some(person));
        who.and_then(back).map_err(|error| sentence(&error))
    }
}
