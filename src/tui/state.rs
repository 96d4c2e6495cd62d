//! What the screen knows: plain values, no handles.
//!
//! A base (greeting, home, drill) carries pages laid over it (help, a circuit, the jobs). What the
//! person may do depends on the top one, which [`State::place`] names.

use crate::app::entry::save::Written;
use crate::app::gaps::GapLine;
use crate::app::gaps::Gaps;
use crate::app::jobs::page::WholeJob;
use crate::app::plan::Plan;
use crate::app::view::Choice;
use crate::app::view::DrillView;
use crate::app::view::FamilyMeter;
use crate::app::view::Home;
use crate::app::view::JobPage;
use crate::app::view::PersonChoice;
use crate::app::view::Step;
use crate::domain::circuit::Family;
use crate::domain::gaps::row::Confusion;
use crate::domain::review::Sure;
use crate::tui::add::FormPage;
use crate::tui::brief::Before;
use crate::tui::entry::Entry;
use crate::tui::intake::IntakeList;
use crate::tui::intake::RowWork;
use crate::tui::jobs::ArchiveList;
use crate::tui::jobs::FollowList;
use crate::tui::jobs::ReturnForm;
use crate::tui::open::OpenList;
use crate::tui::signing::CardWork;
use crate::tui::signing::SigningList;

/// Letters of initials that the greeting takes.
pub const INITIALS: usize = 4;
/// Characters of a typed fix or reason.
pub const LINE: usize = 200;
/// What stands for not knowing the circuit.
pub const DONT_KNOW: &str = "don't know";

/// Where the person is: decides which keys mean what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Who sits down?
    Greeting,
    /// The home screen.
    Home,
    /// Which circuit?
    Circuit,
    /// Name the fix.
    Fix,
    /// The verdict and the grade.
    Verdict,
    /// Why tag the card out?
    Tag,
    /// The same in words.
    Reason,
    /// The sitting is over.
    Over,
    /// The list of circuits.
    Families,
    /// Whose sitting was it?
    GiveTo,
    /// A page to read.
    Reading,
    /// What spot checks say, circuit by circuit.
    Gaps,
    /// Which board is coming?
    BriefBoard,
    /// What do you see on it?
    BriefWords,
    /// What the shop knows about it.
    Brief,
    /// The closed jobs.
    Archive,
    /// The same, with a line to search them.
    ArchiveSearch,
    /// One job whole.
    Job,
    /// The jobs that nobody has followed up.
    FollowUp,
    /// As which job did it come back?
    ReturnedAs,
    /// Which fault, and why?
    ReturnCause,
    /// The rows that wait for a person.
    Intake,
    /// One row.
    IntakeRow,
    /// A field of it in free words.
    IntakeMend,
    /// Which job is it the same as?
    IntakeSame,
    /// Why is it passed over?
    IntakeSkip,
    /// What belongs to which of two jobs?
    IntakeSplit,
    /// A job being entered.
    Form,
    /// What was written of it.
    Written,
    /// The jobs still on a bench.
    OpenJobs,
    /// The same, with a line about one of them.
    OpenLine,
    /// The cards that want a lead.
    Signing,
    /// One of them.
    SigningCard,
    /// Which thing of it is typed over?
    SigningField,
    /// A line about it.
    SigningLine,
    /// Which other card, or by what is it split?
    SigningPick,
    /// Which of the values that two leads edited apart?
    SigningApart,
    /// What the coming weeks bring.
    Plan,
    /// A line for a day to be ready by.
    ReadyBy,
}

impl Place {
    /// Tells whether letters are text here.
    pub fn takes_text(self) -> bool {
        matches!(
            self,
            Self::Greeting
                | Self::Circuit
                | Self::Fix
                | Self::Reason
                | Self::BriefBoard
                | Self::BriefWords
                | Self::ArchiveSearch
                | Self::ReturnedAs
                | Self::IntakeMend
                | Self::IntakeSame
                | Self::IntakeSkip
                | Self::Form
                | Self::OpenLine
                | Self::SigningLine
                | Self::ReadyBy
        )
    }
}

/// The greeting: initials, or someone known.
#[derive(Clone, Debug, PartialEq)]
pub struct Greeting {
    /// Initials being typed.
    pub entry: Entry,
    /// Which known person Enter takes.
    pub mark: Option<usize>,
}

/// How far tagging out has come.
#[derive(Clone, Debug, PartialEq)]
pub enum Tagging {
    /// Doubtful, or not for me?
    Asking,
    /// Why, in words; may stay empty.
    Reason {
        /// It may be wrong.
        doubtful: bool,
        /// The words.
        entry: Entry,
    },
}

/// A sitting on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    /// What the program says.
    pub view: DrillView,
    /// Letters of the circuit, or the fix.
    pub entry: Entry,
    /// Which of [`Drill::picks`] Enter takes.
    pub mark: Option<usize>,
    /// How sure.
    pub sure: Sure,
    /// Tagging out, if begun.
    pub tagging: Option<Tagging>,
}

impl Drill {
    /// Returns a sitting as it comes from the program.
    pub fn new(view: DrillView) -> Self {
        Self {
            view,
            entry: Entry::new(LINE),
            mark: None,
            sure: Sure::default(),
            tagging: None,
        }
    }

    /// Tells whether an answer is waited for that no question about a circuit goes before.
    pub fn is_only_question(&self) -> bool {
        matches!(self.view.step, Step::Fix { circuit: None, .. })
    }

    /// Returns the circuits that the letters typed so far leave, best first; ids, names.
    ///
    /// An id that is typed whole comes first, then ids that begin so, then names one of whose words
    /// begins so; not knowing comes last.
    pub fn picks(&self) -> Vec<Choice> {
        let Step::Circuit { choices } = &self.view.step else {
            return Vec::new();
        };
        let typed = self.entry.text().trim().to_lowercase();
        let mut ranked: Vec<(u8, Choice)> = choices
            .iter()
            .filter_map(|choice| Some((rank(choice, &typed)?, choice.clone())))
            .collect();
        ranked.sort_by_key(|(rank, _)| *rank);
        let mut picks: Vec<Choice> = ranked.into_iter().map(|(_, choice)| choice).collect();
        if DONT_KNOW.starts_with(&typed) || "dont know".starts_with(&typed) {
            picks.push(Choice {
                id: String::new(),
                name: "the verdict will tell".to_owned(),
            });
        }
        picks
    }
}

fn rank(choice: &Choice, typed: &str) -> Option<u8> {
    let id = choice.id.to_lowercase();
    let name = choice.name.to_lowercase();
    if id == typed {
        return Some(0);
    }
    if id.starts_with(typed) {
        return Some(1);
    }
    let word_begins = name
        .split(|c: char| !c.is_alphanumeric())
        .any(|word| word.starts_with(typed));
    (name.starts_with(typed) || word_begins).then_some(2)
}

/// What stands under the pages.
#[derive(Clone, Debug, PartialEq)]
pub enum Base {
    /// Who sits down?
    Greeting(Greeting),
    /// The home screen, with the circuit that is marked.
    Home(usize),
    /// A sitting.
    Drill(Box<Drill>),
    /// Before a board.
    Brief(Box<Before>),
}

/// A page laid over the base.
#[derive(Clone, Debug, PartialEq)]
pub enum Page {
    /// The keys of the place below.
    Help(Place),
    /// The list of circuits, with the one marked.
    Families(Vec<Family>, usize),
    /// One circuit.
    Family(Box<Family>),
    /// The jobs behind the card.
    Evidence(Vec<JobPage>),
    /// What was found damaged.
    Faults,
    /// Whose sitting was it? The person marked among [`State::others`].
    GiveTo(usize),
    /// What spot checks say, with the circuit marked.
    Gaps(Box<Gaps>, usize),
    /// Everything known of one circuit, and the cards behind it.
    GapCards(Box<GapLine>),
    /// What the coming weeks bring.
    Plan(Box<Plan>),
    /// They are being simulated: runs done, of how many; 0 while the shop is still being read.
    Planning(u64, u64),
    /// A line for a day to be ready by, over the plan.
    ReadyBy(Box<Entry>),
    /// Which circuit was taken for which.
    GapPairs(Vec<Confusion>),
    /// One whole job.
    WholeJob(Box<JobPage>),
    /// The closed jobs.
    Archive(Box<ArchiveList>),
    /// One job whole.
    Job(Box<WholeJob>),
    /// The jobs that nobody has followed up.
    FollowUp(Box<FollowList>),
    /// How a job came back.
    Returned(Box<ReturnForm>),
    /// The rows that wait for a person.
    Intake(Box<IntakeList>),
    /// One of them.
    IntakeRow(Box<RowWork>),
    /// A job being entered.
    Form(Box<FormPage>),
    /// What was written of it.
    Written(Box<Written>),
    /// The jobs still on a bench.
    OpenJobs(Box<OpenList>),
    /// The cards that want a lead.
    Signing(Box<SigningList>),
    /// One of them.
    SigningCard(Box<CardWork>),
}

/// A line that the program says until the next key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The sentence.
    pub text: String,
    /// Something was not done that should have been.
    pub grave: bool,
}

/// A page and how far it is scrolled; none means where it opens.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// The page.
    pub page: Page,
    /// First line shown.
    pub scroll: Option<usize>,
}

/// Everything the screen knows.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Columns and rows.
    pub size: (u16, u16),
    /// What stands under the pages.
    pub base: Base,
    /// How far the base is scrolled; none means where it opens.
    pub scroll: Option<usize>,
    /// Pages laid over the base, the top one last.
    pub layers: Vec<Layer>,
    /// People of the shop.
    pub people: Vec<PersonChoice>,
    /// Person folder of whoever sits here; empty before anyone does.
    pub person: String,
    /// Home screen of that person.
    pub home: Option<Home>,
    /// A line to show until the next key.
    pub notice: Option<Notice>,
    /// The screen is to close.
    pub ended: bool,
}

impl State {
    /// Returns the screen as it opens: the greeting.
    pub fn new(columns: u16, rows: u16) -> Self {
        Self {
            size: (columns, rows),
            base: Base::Greeting(Greeting {
                entry: Entry::new(INITIALS),
                mark: None,
            }),
            scroll: None,
            layers: Vec::new(),
            people: Vec::new(),
            person: String::new(),
            home: None,
            notice: None,
            ended: false,
        }
    }

    /// Returns where the person is.
    pub fn place(&self) -> Place {
        match self.layers.last().map(|layer| &layer.page) {
            Some(Page::Families(..)) => return Place::Families,
            Some(Page::GiveTo(_)) => return Place::GiveTo,
            Some(Page::Gaps(..)) => return Place::Gaps,
            Some(Page::Plan(_)) => return Place::Plan,
            Some(Page::ReadyBy(_)) => return Place::ReadyBy,
            Some(Page::Archive(list)) => return list.place(),
            Some(Page::Job(_)) => return Place::Job,
            Some(Page::FollowUp(_)) => return Place::FollowUp,
            Some(Page::Returned(form)) => return form.place(),
            Some(Page::Intake(_)) => return Place::Intake,
            Some(Page::IntakeRow(work)) => return work.place(),
            Some(Page::Form(_)) => return Place::Form,
            Some(Page::Written(_)) => return Place::Written,
            Some(Page::OpenJobs(list)) => return list.place(),
            Some(Page::Signing(_)) => return Place::Signing,
            Some(Page::SigningCard(work)) => return work.place(),
            Some(_) => return Place::Reading,
            None => {}
        }
        match &self.base {
            Base::Greeting(_) => Place::Greeting,
            Base::Home(_) => Place::Home,
            Base::Drill(drill) => match (&drill.tagging, &drill.view.step) {
                (Some(Tagging::Asking), _) => Place::Tag,
                (Some(Tagging::Reason { .. }), _) => Place::Reason,
                (None, Step::Circuit { .. }) => Place::Circuit,
                (None, Step::Fix { .. }) => Place::Fix,
                (None, Step::Verdict { .. }) => Place::Verdict,
                (None, Step::Over(_)) => Place::Over,
            },
            Base::Brief(before) => before.place(),
        }
    }

    /// Returns the sitting, if one is on.
    pub fn drill(&self) -> Option<&Drill> {
        match &self.base {
            Base::Drill(drill) => Some(drill),
            _ => None,
        }
    }

    /// Returns the sitting to change, if one is on.
    pub fn drill_mut(&mut self) -> Option<&mut Drill> {
        match &mut self.base {
            Base::Drill(drill) => Some(drill),
            _ => None,
        }
    }

    /// Returns the people other than the one who sits here.
    pub fn others(&self) -> Vec<&PersonChoice> {
        self.people.iter().filter(|p| p.id != self.person).collect()
    }

    /// Returns the circuits with cards, as the home screen lists them.
    pub fn meters(&self) -> &[FamilyMeter] {
        self.home.as_ref().map_or(&[], |home| &home.families)
    }

    /// Returns the id of the circuit that a page can be opened of, if there is one.
    ///
    /// Before the verdict that is the one marked or said, never the one asked for.
    pub fn circuit_at_hand(&self) -> Option<String> {
        let id = match &self.base {
            Base::Greeting(_) | Base::Brief(_) => return None,
            Base::Home(mark) => self.meters().get(*mark)?.id.clone(),
            Base::Drill(drill) => match &drill.view.step {
                Step::Circuit { .. } => drill.picks().get(drill.mark?)?.id.clone(),
                Step::Fix { circuit, .. } => circuit.clone()?,
                Step::Verdict { .. } => drill.view.family.clone(),
                Step::Over(_) => return None,
            },
        };
        (!id.is_empty()).then_some(id)
    }
}
