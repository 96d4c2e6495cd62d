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

/// What of a card an edit changes; edits of different things never meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Field {
    /// The question in words.
    Stem,
    /// Right answers.
    Answers,
    /// Other wordings of what the card accepts.
    Also,
    /// Why it is so.
    Why,
    /// Hazards.
    Cautions,
    /// Whether and where it is in use: tagged out, retired, merged, split.
    Use,
    /// Who vouches for it.
    Signature,
}

impl Field {
    /// Everything an edit may change.
    pub const ALL: [Self; 7] = [
        Self::Stem,
        Self::Answers,
        Self::Also,
        Self::Why,
        Self::Cautions,
        Self::Use,
        Self::Signature,
    ];

    /// Returns the word a person types.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stem => "stem",
            Self::Answers => "answers",
            Self::Also => "also",
            Self::Why => "why",
            Self::Cautions => "cautions",
            Self::Use => "use",
            Self::Signature => "signature",
        }
    }

    /// Returns what it is called in a sentence.
    pub fn label(self) -> &'static str {
        match self {
            Self::Stem => "the question",
            Self::Answers => "the right answers",
            Self::Also => "the other wordings",
            Self::Why => "the why-line",
            Self::Cautions => "the cautions",
            Self::Use => "whether it is in use",
            Self::Signature => "the signature",
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
    /// Other wordings that it accepts.
    Wording {
        /// All of them.
        also: Vec<String>,
        /// Mark of what it accepted then, where no repair is asked: they are of that answer alone. Empty
        /// where they are of a repair, which the card keeps.
        accepted: String,
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
    /// A rebuild changed what the card accepts, and people had learned it: what it was, for them.
    Corrected {
        /// What it accepted before, in words.
        was: String,
        /// Mark of that.
        accepted: String,
        /// The card that is no longer made and whose place it took: what people remember of that one
        /// comes here for as long as it is in no deck. None where it is the card itself.
        from: Option<String>,
    },
    /// What a lead did last is taken back: those edits count for nothing, as if they had not been made.
    Undo {
        /// Ids of the edits of one act.
        of: Vec<String>,
    },
    /// The card is known by another id now; memory follows.
    Alias {
        /// Card id.
        to: String,
    },
}

impl Edit {
    /// Returns what of the card it changes.
    pub fn field(&self) -> Field {
        match self {
            Self::Stem { .. } => Field::Stem,
            Self::Answers { .. } => Field::Answers,
            Self::Wording { .. } => Field::Also,
            Self::Why { .. } => Field::Why,
            Self::Cautions { .. } => Field::Cautions,
            Self::Sign { .. } | Self::Evidence { .. } => Field::Signature,
            Self::Merge { .. }
            | Self::Split { .. }
            | Self::Tag { .. }
            | Self::Untag { .. }
            | Self::Retire { .. }
            | Self::Alias { .. }
            // Nothing of the card: they only tell people what was, and which edits count.
            | Self::Corrected { .. }
            | Self::Undo { .. } => Field::Use,
        }
    }

    /// Tells whether two edits of one thing come to the same; what a lead noted beside does not count,
    /// and neither does how a card stood when two leads signed it.
    pub fn comes_to(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Sign { .. }, Self::Sign { .. })
            | (Self::Evidence { .. }, Self::Evidence { .. })
            | (Self::Tag { .. }, Self::Tag { .. })
            | (Self::Untag { .. }, Self::Untag { .. })
            | (Self::Retire { .. }, Self::Retire { .. }) => true,
            (Self::Wording { also, .. }, Self::Wording { also: other, .. }) => also == other,
            _ => self == other,
        }
    }

    /// Tells whether the card is not asked while this stands.
    pub fn takes_out(&self) -> bool {
        matches!(
            self,
            Self::Tag { .. } | Self::Retire { .. } | Self::Merge { .. }
        )
    }
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
