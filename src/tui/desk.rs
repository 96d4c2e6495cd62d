//! What the screen asks of the program behind it.
//!
//! One call, one answer; every `Err` is a sentence that may stand on the screen as it is.

use crate::app::brief::BoardChoice;
use crate::app::brief::Brief;
use crate::app::desk::view::Act;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskPage;
use crate::app::entry::look::FormView;
use crate::app::entry::save::Written;
use crate::app::entry::session::Begun;
use crate::app::gaps::Gaps;
use crate::app::intake::List;
use crate::app::intake::decide::Decided;
use crate::app::intake::page::Candidate;
use crate::app::intake::page::FieldView;
use crate::app::intake::page::RowPage;
use crate::app::jobs::FollowUp;
use crate::app::jobs::JobRow;
use crate::app::jobs::Listing;
use crate::app::jobs::page::WholeJob;
use crate::app::jobs::word::Came;
use crate::app::jobs::word::Noted;
use crate::app::plan::Coming;
use crate::app::view::DrillView;
use crate::app::view::Home;
use crate::app::view::JobPage;
use crate::app::view::PersonChoice;
use crate::domain::circuit::Family;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::open_job::OpenJob;
use crate::domain::intake::repair::Slot;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::tui::msg::Decision;
use crate::tui::msg::Effect;
use crate::tui::msg::ReadySaid;

/// What a desk says at which no jobs are entered.
const NO_ENTRY: &str = "no jobs are entered here";
/// What a desk says at which no cards are signed.
const NO_SIGNING: &str = "no cards are signed here";

/// The program as the screen sees it; every answer comes back as a message.
pub trait Desk {
    /// Returns the people of the shop.
    fn people(&self) -> Vec<PersonChoice>;

    /// Adds a person known only by initials and returns the folder name.
    fn add_person(&mut self, initials: &str) -> Result<String, String>;

    /// Returns the home screen of one person.
    fn home(&mut self, person: &str) -> Result<Home, String>;

    /// Begins a sitting.
    fn begin(&mut self, person: &str) -> Result<DrillView, String>;

    /// Takes the circuit said; empty when the person does not know.
    fn say_circuit(&mut self, family: &str, ms: u64) -> Result<DrillView, String>;

    /// Takes the fix: typed, or `None` when it was said aloud.
    fn say_fix(&mut self, typed: Option<&str>, sure: Sure, ms: u64) -> Result<DrillView, String>;

    /// Goes back from the fix to the circuit; nothing was kept, so nothing is taken back.
    fn back(&mut self) -> Result<DrillView, String>;

    /// Turns the verdict on the fix over.
    fn overrule(&mut self) -> Result<DrillView, String>;

    /// Moves the grade that would be kept.
    fn set_grade(&mut self, grade: Grade) -> Result<DrillView, String>;

    /// Keeps the answer; an error means that it was not kept and the card stays.
    fn keep(&mut self, ms: u64) -> Result<DrillView, String>;

    /// Takes back what was kept last in this sitting.
    fn undo(&mut self) -> Result<DrillView, String>;

    /// Takes the card out of use, as doubtful or as not for this person.
    fn tag(&mut self, doubtful: bool, note: &str) -> Result<DrillView, String>;

    /// Ends the sitting.
    fn stop(&mut self) -> Result<DrillView, String>;

    /// Moves a whole sitting to the person it belongs to and returns the home screen to show.
    fn give_sitting_to(&mut self, sitting: &str, person: &str) -> Result<Home, String>;

    /// Returns one circuit family.
    fn family(&self, id: &str) -> Option<Family>;

    /// Returns all circuit families in their printed order.
    fn families(&self) -> Vec<Family>;

    /// Returns the jobs behind the card that is shown.
    fn evidence(&self) -> Vec<JobPage>;

    /// Says that the screen is about to close.
    fn leave(&mut self);

    /// Returns what spot checks say about a person.
    fn gaps(&mut self, person: &str) -> Result<Gaps, String>;

    /// Returns what the coming weeks bring a person, or how far it is simulated; asked again, how far it
    /// is by then.
    fn plan(&mut self, person: &str) -> Result<Coming, String>;

    /// Gives up a plan that is being simulated.
    fn leave_plan(&mut self) {}

    /// Sets the day that a person wants to be ready by, as typed, or drops it.
    fn be_ready_by(&mut self, person: &str, words: &str) -> Result<ReadySaid, String>;

    /// Begins a longer measurement of one family; its first view says what it will buy.
    fn measure(&mut self, person: &str, family: &str) -> Result<DrillView, String>;

    /// Returns the boards of the shop.
    fn boards(&self) -> Vec<BoardChoice>;

    /// Returns the brief on a board for what the person sees.
    fn brief(&mut self, board: &str, words: &str) -> Result<Brief, String>;

    /// Returns one whole job.
    fn whole_job(&self, number: &str) -> Option<JobPage>;

    /// Begins a drill of exactly these cards, as the refresh before a board.
    fn begin_brief(&mut self, person: &str, cards: &[String]) -> Result<DrillView, String>;

    /// Returns all closed jobs, newest first.
    fn jobs(&mut self) -> Result<Listing, String>;

    /// Returns the jobs that words and readings find, best first.
    fn find_jobs(&mut self, words: &str) -> Result<Vec<JobRow>, String>;

    /// Returns one job whole.
    fn job(&mut self, number: &str) -> Result<WholeJob, String>;

    /// Returns the jobs that nobody has followed up.
    fn follow_up(&mut self) -> Result<FollowUp, String>;

    /// Returns the later jobs of the unit of a job.
    fn later_jobs(&mut self, number: &str) -> Result<Vec<JobRow>, String>;

    /// Writes that a repair held.
    fn job_held(&mut self, person: &str, number: &str) -> Result<Noted, String>;

    /// Writes that a job came back as a later one.
    fn job_returned(
        &mut self,
        person: &str,
        number: &str,
        by: &str,
        came: &Came,
    ) -> Result<Noted, String>;

    /// Opens the intake desk anew and returns the rows that wait.
    fn intake(&mut self, person: &str) -> Result<List, String>;

    /// Returns what the first rows are worth; none while it is still being counted.
    fn intake_worth(&mut self) -> Option<String>;

    /// Returns a row to work on, by its place in the list; none past the end.
    fn intake_row(&mut self, at: usize) -> Result<Option<RowPage>, String>;

    /// Decides about the row that has this key; `at` is its place in the list.
    fn intake_decide(&mut self, key: &str, at: usize, what: &Decision) -> Result<Decided, String>;

    /// Returns what words would make of a field; nothing is written.
    fn intake_read(&mut self, key: &str, slot: Slot, words: &str) -> Result<FieldView, String>;

    /// Returns the jobs whose numbers begin as typed.
    fn intake_numbers(&mut self, key: &str, typed: &str) -> Vec<Candidate>;

    /// Closes the intake desk: others may decide on this bench.
    fn leave_intake(&mut self);

    /// Opens the form of a job: what was left unfinished, or a new one.
    fn open_form(&mut self, person: &str, purpose: &Purpose) -> Result<(Begun, FormView), String> {
        let _ = (person, purpose);
        Err(NO_ENTRY.to_owned())
    }

    /// Returns what a form says; it is kept at the next rest.
    fn read_form(&mut self, form: &Form) -> FormView {
        let _ = form;
        FormView::default()
    }

    /// Returns the mark of a unit; none where the serial holds no letter and no digit.
    fn mark_unit(&mut self, serial: &str) -> Result<Option<String>, String> {
        let _ = serial;
        Err(NO_ENTRY.to_owned())
    }

    /// Writes what a form says.
    fn save_form(&mut self, form: &Form) -> Result<Written, String> {
        let _ = form;
        Err(NO_ENTRY.to_owned())
    }

    /// Closes a form: it is kept, or thrown away.
    fn leave_form(&mut self, form: &Form, throw: bool) -> Result<(), String> {
        let _ = (form, throw);
        Err(NO_ENTRY.to_owned())
    }

    /// Returns the jobs still on a bench.
    fn open_jobs(&mut self) -> Result<Vec<OpenJob>, String> {
        Err(NO_ENTRY.to_owned())
    }

    /// Logs a line on an open job and says so.
    fn log_open(&mut self, person: &str, number: &str, words: &str) -> Result<String, String> {
        let _ = (person, number, words);
        Err(NO_ENTRY.to_owned())
    }

    /// Hands an open job on and says so.
    fn hand_open(&mut self, person: &str, number: &str, to: &str) -> Result<String, String> {
        let _ = (person, number, to);
        Err(NO_ENTRY.to_owned())
    }

    /// Returns the cards that want a lead, the most worth it first.
    fn signing(&mut self) -> Result<DeskList, String> {
        Err(NO_SIGNING.to_owned())
    }

    /// Returns a card as it lies on the lead's desk; none if it is no card any more.
    fn signing_card(&mut self, card: &str) -> Result<Option<DeskPage>, String> {
        let _ = card;
        Err(NO_SIGNING.to_owned())
    }

    /// Does something to a card and says what was written; an error means that nothing was.
    fn signing_act(&mut self, person: &str, card: &str, act: &Act) -> Result<String, String> {
        let _ = (person, card, act);
        Err(NO_SIGNING.to_owned())
    }

    /// Takes back what a lead did last at this bench; returns the card, if there was anything, and what
    /// is said of it.
    fn signing_undo(&mut self, person: &str) -> Result<(Option<String>, String), String> {
        let _ = person;
        Err(NO_SIGNING.to_owned())
    }

    /// Returns these jobs whole, in their order.
    fn whole_jobs(&self, numbers: &[String]) -> Vec<JobPage> {
        numbers.iter().filter_map(|n| self.whole_job(n)).collect()
    }

    /// Does what can wait until no key waits: keeps a form that changed. Says what went wrong, once.
    fn rest(&mut self) -> Option<String> {
        None
    }

    /// Returns what the screen opens with once the person's home stands.
    fn opens_with(&mut self) -> Option<Effect> {
        None
    }

    /// Takes the latest correction of jobs back.
    fn take_jobs_back(&mut self, person: &str, numbers: &[String]) -> Result<Noted, String>;
}
