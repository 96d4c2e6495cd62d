//! Everything that can happen to the screen, and everything it can ask for.

use crate::app::brief::BoardChoice;
use crate::app::brief::Brief;
use crate::app::desk;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskPage;
use crate::app::desk::view::Field;
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
use crate::domain::intake::repair::Side;
use crate::domain::intake::repair::Slot;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::tui::entry::Edit;

/// What a key means; the meaning depends on the place only, never on what is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// Enter: takes what is marked, typed or proposed.
    Take,
    /// Esc: one step back, out of here.
    Back,
    /// To the one above; a better grade.
    Up,
    /// To the one below; a worse grade.
    Down,
    /// To the one on the left.
    Left,
    /// To the one on the right.
    Right,
    /// To the next choice (Tab).
    Next,
    /// To the previous choice (Shift-Tab).
    Previous,
    /// One screenful up.
    PageUp,
    /// One screenful down.
    PageDown,
    /// An editing key.
    Edit(Edit),
    /// The keys of this place.
    Help,
    /// Someone else sits down.
    SomeoneElse,
    /// The list of circuits.
    Families,
    /// The page of the circuit at hand.
    Family,
    /// The jobs behind the card.
    Evidence,
    /// What was found damaged.
    Faults,
    /// The verdict on the fix is turned over.
    Overrule,
    /// The last kept answer is taken back.
    Undo,
    /// The card is to leave use.
    TagOut,
    /// … because it may be wrong.
    Doubtful,
    /// … because it is not for this person.
    NotForMe,
    /// The sitting was someone else's.
    NotMine,
    /// Ctrl-Z.
    Suspend,
    /// Draws everything anew.
    Redraw,
    /// Ctrl-C, or a signal: leave at once.
    Leave,
    /// What spot checks say.
    Gaps,
    /// What the coming weeks bring.
    Plan,
    /// A line for a day to be ready by.
    ReadyBy,
    /// The day to be ready by that stands is dropped.
    DropDay,
    /// Which circuit was taken for which.
    Pairs,
    /// A longer measurement of the circuit marked.
    Measure,
    /// The refresh before a board.
    BeforeBoard,
    /// The cards of the page are drilled.
    Quiz,
    /// The closed jobs.
    Archive,
    /// A line to search the jobs with.
    Search,
    /// The jobs that nobody has followed up.
    FollowUp,
    /// The repair held.
    Held,
    /// The job came back as a later one.
    CameBack,
    /// The rows of sheets that wait for a person.
    Intake,
    /// A field is said anew.
    Repair,
    /// What may be meant in a field is taken as fact.
    Suggestion,
    /// … in every field.
    AllSuggestions,
    /// The row holds two jobs; the card is to become several.
    Split,
    /// The row is a job that is in the archive.
    SameJob,
    /// The row is passed over.
    PassOver,
    /// It belongs to the first job.
    ToFirst,
    /// It belongs to the second job.
    ToSecond,
    /// It belongs to both jobs.
    ToBoth,
    /// A job is entered.
    NewJob,
    /// The job at hand is corrected.
    Correct,
    /// The form is written.
    Save,
    /// A line break in a text of several lines.
    NewLine,
    /// When something was seen, or what an act was for.
    Turn,
    /// The line at hand is taken out.
    Drop,
    /// The form is thrown away.
    ThrowAway,
    /// The jobs still on a bench.
    OpenJobs,
    /// The open job is handed on.
    HandOn,
    /// The open job is closed.
    CloseJob,
    /// The cards that want a lead.
    LeadsDesk,
    /// A lead vouches for the card.
    Sign,
    /// Something of the card is to be typed over.
    Change,
    /// … this thing.
    Over(Field),
    /// The card goes into another.
    Merge,
    /// More jobs are wanted before anyone vouches for the card.
    MoreJobs,
    /// The card returns to use.
    BringBack,
    /// The card is finished with.
    Retire,
    /// What two leads changed apart from each other is decided.
    Decide,
}

/// What a person decides about a row at the intake desk.
#[derive(Clone, Debug, PartialEq)]
pub enum Decision {
    /// It becomes a job.
    Accept,
    /// A field is said anew.
    Mend(Slot, String),
    /// What may be meant is taken as fact: in one field, or in all.
    Take(Option<Slot>),
    /// It holds two jobs.
    Split(Vec<Side>),
    /// It is the job of this number.
    SameAs(String),
    /// It is passed over, and why.
    Skip(String),
    /// The last decision is taken back.
    Undo,
}

/// One thing that happened.
#[derive(Clone, Debug, PartialEq)]
pub enum Msg {
    /// A key with a meaning.
    Act(Act),
    /// A character of text.
    Type(char),
    /// The window has a new size.
    Resize(u16, u16),
    /// The people of the shop.
    People(Vec<PersonChoice>),
    /// A person was added, or why not.
    Added(Result<String, String>),
    /// A home screen, or why not.
    Home(Result<Box<Home>, String>),
    /// A sitting was given away: the home screen to show, or why not.
    Given(Result<Box<Home>, String>),
    /// The sitting moved on, or why not.
    Drill(Result<Box<DrillView>, String>),
    /// The answer was not kept, and why.
    NotKept(String),
    /// The page of a circuit; none if the shop has none of that name.
    Family(Option<Box<Family>>),
    /// All circuits.
    Families(Vec<Family>),
    /// The jobs behind the card.
    Evidence(Vec<JobPage>),
    /// What spot checks say, or why not.
    Gaps(Result<Box<Gaps>, String>),
    /// What the coming weeks bring.
    Plan(Result<Coming, String>),
    /// A day to be ready by was set or dropped, or why not.
    ReadyBy(Result<Box<ReadySaid>, String>),
    /// The boards to choose from before a brief.
    Boards(Vec<BoardChoice>),
    /// A brief, or why not.
    Brief(Result<Box<Brief>, String>),
    /// One whole job; none if it cannot be read any more.
    WholeJob(Option<Box<JobPage>>),
    /// The closed jobs, or why not.
    Archive(Result<Listing, String>),
    /// The jobs that were found by these words, or why not.
    FoundJobs(String, Result<Vec<JobRow>, String>),
    /// One job whole, or why not.
    Job(Result<Box<WholeJob>, String>),
    /// The jobs that nobody has followed up, or why not.
    FollowUp(Result<Box<FollowUp>, String>),
    /// The later jobs of a job's unit, or why not.
    LaterJobs(String, Result<Vec<JobRow>, String>),
    /// Something was written about jobs, or why not.
    JobSaid(Result<Noted, String>),
    /// It was taken back, or why not.
    JobsTakenBack(Result<Noted, String>),
    /// The rows that wait, or why not.
    Intake(Result<List, String>),
    /// What the first rows are worth; none while it is being counted.
    IntakeWorth(Option<String>),
    /// A row to work on; none when no row waits there; or why not.
    IntakeRow(Result<Option<Box<RowPage>>, String>),
    /// A decision was kept, or why not.
    IntakeDecided(Result<Decided, String>),
    /// What words would make of a field, or why nothing.
    IntakeRead(Result<Box<FieldView>, String>),
    /// Jobs whose numbers begin as typed.
    IntakeNumbers(Vec<Candidate>),
    /// A form was opened, or why not.
    Form(Result<Box<(Begun, FormView)>, String>),
    /// What a form says now.
    FormRead(Box<FormView>),
    /// The mark of a unit, or why there is none.
    UnitMarked(Result<Option<String>, String>),
    /// What was written, or why not.
    FormSaved(Result<Box<Written>, String>),
    /// The form was closed, or why not.
    FormLeft(Result<(), String>),
    /// A form could not be kept, and why.
    DraftNotKept(String),
    /// The jobs still on a bench, or why not.
    OpenJobs(Result<Vec<OpenJob>, String>),
    /// Something was written about an open job: what, or why not.
    OpenSaid(Result<String, String>),
    /// The cards that want a lead, or why not.
    Signing(Result<DeskList, String>),
    /// A card of theirs; none if it is no card any more; or why not.
    SigningCard(Result<Option<Box<DeskPage>>, String>),
    /// What was written about a card, or why not.
    SigningDone(Result<String, String>),
    /// What was done last on the lead's desk was taken back: its card, and what is said of it.
    SigningUndone(Result<(Option<String>, String), String>),
}

/// One thing to be done outside.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Ask who there is.
    People,
    /// Add a person by initials.
    AddPerson(String),
    /// Open the home screen of a person.
    Home(String),
    /// Begin a sitting of a person.
    Begin(String),
    /// The circuit said; empty when not known.
    SayCircuit(String),
    /// The fix, typed or said aloud.
    SayFix {
        /// What was typed; none when said aloud.
        typed: Option<String>,
        /// How sure.
        sure: Sure,
    },
    /// From the fix back to the circuit.
    BackToCircuit,
    /// Turn the verdict over.
    Overrule,
    /// Move the grade.
    SetGrade(Grade),
    /// Keep the answer.
    Keep,
    /// Take the last kept answer back.
    Undo,
    /// Tag the card out.
    Tag {
        /// It may be wrong.
        doubtful: bool,
        /// In the person's words.
        note: String,
    },
    /// End the sitting.
    Stop,
    /// Give a sitting to the person it belongs to.
    GiveTo {
        /// Sitting id.
        sitting: String,
        /// Person folder.
        person: String,
    },
    /// Open the page of a circuit.
    Family(String),
    /// Open the list of circuits.
    Families,
    /// Open the jobs behind the card.
    Evidence,
    /// Give the terminal back and stop until resumed.
    Suspend,
    /// Draw everything anew.
    Redraw,
    /// Open what spot checks say about a person.
    Gaps(String),
    /// Looks at the coming weeks of a person, or how far they are simulated.
    Plan(String),
    /// Gives up a plan that is being simulated.
    LeavePlan,
    /// Sets or drops a day to be ready by.
    ReadyBy {
        /// Person folder.
        person: String,
        /// `2026-12-20 petrel-p4 10`, or `none`.
        words: String,
    },
    /// Begin a longer measurement.
    Measure {
        /// Person folder.
        person: String,
        /// Family id.
        family: String,
    },
    /// Ask which boards there are.
    Boards,
    /// Open the brief on a board.
    Brief {
        /// Board id.
        board: String,
        /// What the person sees.
        words: String,
    },
    /// Open one whole job.
    WholeJob(String),
    /// Begin a drill of exactly these cards, as before a board.
    BeginBrief {
        /// Person folder.
        person: String,
        /// Card ids.
        cards: Vec<String>,
    },
    /// List the closed jobs.
    Archive,
    /// Find jobs by words.
    FindJobs(String),
    /// Open one job.
    Job(String),
    /// List the jobs that nobody has followed up.
    FollowUp,
    /// Look for the later jobs of a job's unit.
    LaterJobs(String),
    /// Write that a repair held.
    JobHeld {
        /// Who says so.
        person: String,
        /// Which job.
        number: String,
    },
    /// Write that a job came back.
    JobReturned {
        /// Who says so.
        person: String,
        /// Which job.
        number: String,
        /// As which job.
        by: String,
        /// How.
        came: Came,
    },
    /// List the rows that wait.
    Intake(String),
    /// Ask what the first rows are worth.
    IntakeWorth,
    /// Open the row at a place of the list.
    IntakeRow(usize),
    /// Decide about a row.
    IntakeDecide {
        /// Its key.
        key: String,
        /// Its place in the list.
        at: usize,
        /// What.
        what: Decision,
    },
    /// Ask what words would make of a field.
    IntakeRead {
        /// Key of the row.
        key: String,
        /// Which field.
        slot: Slot,
        /// The words.
        words: String,
    },
    /// Ask for jobs by the beginning of their numbers.
    IntakeNumbers {
        /// Key of the row.
        key: String,
        /// What was typed.
        typed: String,
    },
    /// Close the intake desk.
    LeaveIntake,
    /// Open the form of a job.
    OpenForm {
        /// Who enters it.
        person: String,
        /// What for.
        purpose: Purpose,
    },
    /// Read what a form says, and keep it.
    ReadForm(Box<Form>),
    /// Make the mark of a unit of its serial.
    MarkUnit(String),
    /// Write what a form says.
    SaveForm(Box<Form>),
    /// Close a form: it is kept, or thrown away.
    LeaveForm {
        /// The form.
        form: Box<Form>,
        /// It is thrown away.
        throw: bool,
    },
    /// List the jobs still on a bench.
    OpenJobs,
    /// Log a line on an open job.
    LogOpen {
        /// Who says so.
        person: String,
        /// Which job.
        number: String,
        /// What was seen or done.
        words: String,
    },
    /// Hand an open job on.
    HandOpen {
        /// Who says so.
        person: String,
        /// Which job.
        number: String,
        /// To whom, or to which bench.
        to: String,
    },
    /// Take the latest correction of jobs back.
    TakeJobsBack {
        /// Who says so.
        person: String,
        /// Which jobs.
        numbers: Vec<String>,
    },
    /// List the cards that want a lead.
    Signing,
    /// Open a card of theirs.
    SigningCard(String),
    /// Do something to a card.
    SigningAct {
        /// Who does it.
        person: String,
        /// Card id.
        card: String,
        /// What.
        act: Box<desk::view::Act>,
    },
    /// Take back what this person did last on the lead's desk at this bench.
    SigningUndo(String),
    /// Open these jobs, whole.
    WholeJobs(Vec<String>),
}

/// What came of setting or dropping a day to be ready by.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadySaid {
    /// The sentence.
    pub text: String,
    /// Home as it stands from now on.
    pub home: Home,
}
