//! What leads did to cards. Edits are kept apart from decks, so that a rebuild loses none.

use chrono::DateTime;
use chrono::Utc;

use crate::domain::card::Answer;
use crate::domain::review::TagReason;

/// What a card is split by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Divide {
    /// The revision of the board.
    Revision,
    /// The customer's words.
    Complaint,
    /// How the supply current behaves.
    Draw,
}

impl Divide {
    /// Everything a card may be split by.
    pub const ALL: [Self; 3] = [Self::Revision, Self::Complaint, Self::Draw];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Revision => "revision",
            Self::Complaint => "complaint",
            Self::Draw => "draw",
        }
    }
}

/// One change to a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// A lead vouches for it, as it stands.
    Sign {
        /// Mark of what it asked then; empty in a line that did not say.
        asked: String,
        /// Mark of what it accepted then; empty in a line that did not say.
        accepted: String,
    },
    /// New words for the question.
    Stem {
        /// The text.
        stem: String,
    },
    /// Other wordings that its own answer accepts.
    Wording {
        /// All of them.
        also: Vec<String>,
    },
    /// New right answers, in place of the derived ones.
    Answers {
        /// All of them, the card's own first.
        answers: Vec<Answer>,
    },
    /// New text for why it is so.
    Why {
        /// The text.
        why: String,
    },
    /// New list of hazards.
    Cautions {
        /// All of them.
        cautions: Vec<String>,
    },
    /// The card goes into another.
    Merge {
        /// Card id.
        into: String,
    },
    /// The card becomes several, one for each value of something its jobs differ in.
    Split {
        /// What they differ in; none in a line that did not say.
        by: Option<Divide>,
        /// Ids of the parts; what people remember of the card goes with the first.
        into: Vec<String>,
    },
    /// More jobs are wanted before anyone vouches for it.
    Evidence {
        /// What to look out for, in the lead's words.
        note: String,
    },
    /// The card leaves use for everyone.
    Tag {
        /// Why.
        reason: TagReason,
        /// In the lead's words.
        note: String,
    },
    /// The card returns to use.
    Untag {
        /// In the lead's words.
        note: String,
    },
    /// The card is finished with.
    Retire {
        /// In the lead's words.
        note: String,
    },
    /// The card is known by another id now; memory follows.
    Alias {
        /// Card id.
        to: String,
    },
}

/// One line of an edit journal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EditEntry {
    /// Id, unique in the shop.
    pub id: String,
    /// Bench that wrote it.
    pub bench: String,
    /// Place in its journal.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// Initials of the lead.
    pub by: String,
    /// Card id.
    pub card: String,
    /// Ids of the edits of the same thing of the same card that the lead saw when making this one;
    /// none in a line that did not say, which then saw whatever took effect before it.
    pub after: Option<Vec<String>>,
    /// What.
    pub edit: Edit,
}
