//! What the lead's desk shows, as plain values: the screen and the command draw from these.

use crate::app::view::Back;
use crate::app::view::Front;
use crate::domain::edit::Divide;
pub use crate::domain::edit::Field;

/// The cards that want a look, the most worth it first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DeskList {
    /// The cards.
    pub rows: Vec<DeskRow>,
    /// Cards in use that a lead has signed as they stand.
    pub signed: usize,
    /// Cards in use.
    pub cards: usize,
    /// Damage and warnings found while reading the shop.
    pub faults: Vec<String>,
}

/// Why a card lies on the desk; the order is the order of the desk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// Someone holds it for doubtful.
    Doubted,
    /// Two leads changed one thing of it apart from each other.
    EditedApart,
    /// Newer jobs speak against its answer.
    Contradicted,
    /// A job behind it came back for its diagnosis after it was signed.
    BouncedSinceSigned,
    /// People miss it more than the memory model expects.
    MissedMore,
    /// It changed since it was signed.
    ChangedSinceSigned,
    /// Nobody signed it, and people are asked it.
    Seen,
    /// Nobody signed it and nobody was asked it yet.
    New,
    /// A lead wants more jobs before signing it.
    Waits,
}

impl Reason {
    /// Returns the word used in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Doubted => "doubted",
            Self::EditedApart => "edited-apart",
            Self::Contradicted => "contradicted",
            Self::BouncedSinceSigned => "bounced-since-signed",
            Self::MissedMore => "missed-more",
            Self::ChangedSinceSigned => "changed-since-signed",
            Self::Seen => "seen",
            Self::New => "new",
            Self::Waits => "waits",
        }
    }
}

/// One card on the desk.
#[derive(Clone, Debug, PartialEq)]
pub struct DeskRow {
    /// Card id.
    pub card: String,
    /// Name of its board, or `several boards`; empty for a bench rule.
    pub board: String,
    /// `Replace U31, the standby switcher`.
    pub title: String,
    /// Word of its kind.
    pub kind: String,
    /// Why it lies here, the weightiest reason first; never empty.
    pub reasons: Vec<Reason>,
    /// The reasons in words: `doubted by 2`, `missed 5 of 8, 2 expected`.
    pub said: Vec<String>,
    /// People who were asked it.
    pub people: usize,
    /// Jobs of the last 24 months that show its pattern.
    pub jobs: usize,
    /// It is out of use for everyone.
    pub out: bool,
    /// Who signed it as it stands; empty if nobody.
    pub signed: String,
}

/// A card opened on the desk.
#[derive(Clone, Debug, PartialEq)]
pub struct DeskPage {
    /// Its line in the list.
    pub row: DeskRow,
    /// The front, as a trainee sees it before answering.
    pub front: Front,
    /// What is asked below the front, one question after the other.
    pub asks: Vec<&'static str>,
    /// The front as it stands above the answer: deciding readings marked, every caution.
    pub above: Front,
    /// The back, as a trainee sees it after answering.
    pub back: Back,
    /// Numbers of the jobs behind it, latest first.
    pub jobs: Vec<String>,
    /// What the program found to mind about it.
    pub warnings: Vec<String>,
    /// Who missed it, and what they said, latest first.
    pub missed: Vec<Missed>,
    /// Who doubts it and why.
    pub doubts: Vec<Doubt>,
    /// What leads did to it, latest first.
    pub history: Vec<String>,
    /// Things of it that two leads changed apart from each other; until one is taken it stands as it
    /// stood before both.
    pub apart: Vec<Apart>,
    /// What may be typed over, as it stands now.
    pub now: Editable,
    /// Cards of the same board it could be merged with: id and title.
    pub like: Vec<(String, String)>,
    /// What its jobs differ in, with the parts it would make: `revision: B (4 jobs), C (3 jobs)`.
    pub divides: Vec<(Divide, String)>,
}

/// One miss.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missed {
    /// Initials.
    pub who: String,
    /// Bench day.
    pub day: String,
    /// Circuit said, empty where none was.
    pub circuit: String,
    /// What was typed, or `said aloud`.
    pub typed: String,
    /// `low`, `fair`, `high`.
    pub sure: String,
}

/// One person's doubt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// Initials.
    pub who: String,
    /// Bench day.
    pub day: String,
    /// In the person's words.
    pub why: String,
}

/// One thing that was changed twice, neither knowing of the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Apart {
    /// Which thing.
    pub field: Field,
    /// What it is called, as narrow as its values allow: `the cards it goes into`.
    pub what: String,
    /// Every value: edit id, who, when, the value in words.
    pub values: Vec<(String, String, String, String)>,
}

/// The values that may be typed over, one line of text each.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Editable {
    /// The question in words.
    pub stem: String,
    /// Right answers: `replace U31; reflow L12 + clean J2`.
    pub answers: String,
    /// Other wordings, separated by semicolons.
    pub also: String,
    /// Why it is so.
    pub why: String,
    /// Hazard ids, separated by commas.
    pub cautions: String,
}

/// What a lead does to a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Act {
    /// Vouches for it as it stands.
    Sign,
    /// Types over one thing; the text is read as [`Editable`] writes it.
    Type(Field, String),
    /// Takes one of the values that were typed apart, by its edit id.
    Settle(Field, String),
    /// Lets it go into another card, by its id.
    Merge(String),
    /// Makes several of it.
    Split(Divide),
    /// Wants more jobs first.
    Evidence(String),
    /// Takes it out of use for everyone.
    TagOut(String),
    /// Brings it back into use and rules out the doubts about it.
    BringBack(String),
    /// Is finished with it.
    Retire(String),
}
