//! What leads did to cards. Edits are kept apart from decks, so that a rebuild loses none.

use chrono::DateTime;
use chrono::Utc;

use crate::domain::card::Answer;
use crate::domain::review::TagReason;

/// One change to a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// A lead vouches for it.
    Sign,
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
    /// The card becomes several.
    Split {
        /// Card ids.
        into: Vec<String>,
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
    /// What.
    pub edit: Edit,
}
