//! Why something read is not taken as said.
//!
//! The first group are the words of the trade's list of messy cells (common practice, no source); the
//! others are ours. Where nothing but the flag tells that something is amiss, it keeps the row from being
//! taken. A doubt about one reading or act need not: what is in doubt is no fact, so a row that has nothing
//! else still lacks it; its flag stays with the job.

/// A doubt about what words mean, or a remark on how they were read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Doubt {
    /// A verdict without its number.
    NoNumber,
    /// A comma was read as the decimal mark.
    DecimalComma,
    /// Two observations in one.
    TwoObservations,
    /// Three observations in one.
    ThreeObservations,
    /// A cycling draw without its period.
    PeriodMissing,
    /// The unit was not written.
    UnitAssumed,
    /// May mean two things.
    Ambiguous,
    /// Cycling, or climbing and stopping.
    CyclingOrSteppedStop,
    /// A range was written out.
    ExpandRange,
    /// Nothing shows which act, or which part, mended it.
    CauseNotProved,
    /// A reading that says nothing without a good board's.
    NeedsReference,
    /// The leads of a diode reading.
    PolarityMissing,
    /// Ohms or diode mode.
    ModeMissing,
    /// A value rather than a designator.
    ValueNotRefdes,
    /// A part without its designator.
    RefdesMissing,
    /// Which regulator.
    WhichRegulator,
    /// Nothing was measured.
    NoMeasurement,
    /// A job that came back is no right answer.
    TierX,
    /// It came back; with what.
    WhatFault,
    /// No fault found is not the same as no fix.
    MapExplicitly,
    /// What shows that it is dead.
    Proof,
    /// The words are in another row.
    NeighbourRow,
    /// A side or corner in free words.
    FreePlace,
    /// A misspelled word of the table.
    Spelling,
    /// Letters that mean two things.
    TokenCollision,
    /// Work on the mains side.
    SafetyMains,
    /// An unsafe act that may still be there.
    UnsafeOpen,
    /// Numbers of a version.
    VersionsNotVolts,
    /// Day or month first.
    DateOrder,
    /// A date without its year.
    YearMissing,
    /// A number that a sheet has changed.
    SheetDamage,
    /// A date that a sheet has made.
    SheetDateDamage,
    /// Two statements that differ.
    KeepBoth,
    /// An act without its part.
    WhichPart,
    /// A part without what was done to it.
    ActNotSaid,
    /// The circuit was told from the words alone.
    CircuitFromWords,
    /// Before or after the repair.
    BeforeOrAfter,
    /// A number that cannot be.
    Impossible,
    /// Too long to be read to its end.
    TooLong,
}

/// (doubt, word in files, sentence for a person, it keeps a row from being taken).
const TABLE: [(Doubt, &str, &str, bool); 39] = [
    (
        Doubt::NoNumber,
        "no-number",
        "A verdict without its number: what did the meter show?",
        false,
    ),
    (
        Doubt::DecimalComma,
        "decimal-comma",
        "The comma was read as the decimal mark.",
        false,
    ),
    (
        Doubt::TwoObservations,
        "two-observations",
        "Two observations stand together; both were taken.",
        false,
    ),
    (
        Doubt::ThreeObservations,
        "three-observations",
        "Three observations stand together; all were taken.",
        false,
    ),
    (
        Doubt::PeriodMissing,
        "period-missing",
        "The draw cycles; how long one turn takes was not written.",
        false,
    ),
    (
        Doubt::UnitAssumed,
        "unit-assumed",
        "The unit was not written and was taken from the words beside it.",
        false,
    ),
    (
        Doubt::Ambiguous,
        "ambiguous",
        "These words can mean two things: which one?",
        false,
    ),
    (
        Doubt::CyclingOrSteppedStop,
        "ask: cycling or stepped-stop",
        "Does the draw cycle, or does it climb once and stop?",
        false,
    ),
    (
        Doubt::ExpandRange,
        "expand-range",
        "The range of designators was written out.",
        false,
    ),
    (
        Doubt::CauseNotProved,
        "cause-not-proved",
        "Nothing here shows which act, or which part, mended it.",
        true,
    ),
    (
        Doubt::NeedsReference,
        "needs-reference",
        "What does a good board read here?",
        false,
    ),
    (
        Doubt::PolarityMissing,
        "polarity-missing",
        "Which lead was on ground?",
        false,
    ),
    (
        Doubt::ModeMissing,
        "mode-missing",
        "Was this in ohms or in diode mode?",
        false,
    ),
    (
        Doubt::ValueNotRefdes,
        "value-not-refdes",
        "This is a value, not a designator: which part?",
        false,
    ),
    (
        Doubt::RefdesMissing,
        "refdes-missing",
        "Which part is it? The designator was not written.",
        false,
    ),
    (
        Doubt::WhichRegulator,
        "which-regulator",
        "Which regulator?",
        false,
    ),
    (
        Doubt::NoMeasurement,
        "no-measurement",
        "Nothing was measured.",
        false,
    ),
    (
        Doubt::TierX,
        "tier-X",
        "It came back: this job is no right answer.",
        false,
    ),
    (
        Doubt::WhatFault,
        "what-fault",
        "It came back: with the same fault or another?",
        true,
    ),
    (
        Doubt::MapExplicitly,
        "map-explicitly",
        "No fault found is not the same as no fix: how did the job end?",
        true,
    ),
    (
        Doubt::Proof,
        "proof?",
        "What shows that this part is dead?",
        true,
    ),
    (
        Doubt::NeighbourRow,
        "reference-to-neighbour-row",
        "The words are in another row.",
        true,
    ),
    (
        Doubt::FreePlace,
        "side/corner free text",
        "The place is a side or corner in free words.",
        false,
    ),
    (
        Doubt::Spelling,
        "spelling",
        "A misspelled word was read by the table.",
        false,
    ),
    (
        Doubt::TokenCollision,
        "token-collision",
        "These letters can be a unit or a name.",
        false,
    ),
    (
        Doubt::SafetyMains,
        "safety-mains",
        "Work on the mains side: only a qualified person, proved discharged.",
        false,
    ),
    (
        Doubt::UnsafeOpen,
        "unsafe-action-open",
        "An unsafe act that may still be on the board. It is never the fix.",
        true,
    ),
    (
        Doubt::VersionsNotVolts,
        "versions-not-volts",
        "These numbers are versions, not volts.",
        false,
    ),
    (Doubt::DateOrder, "date-order", "Day or month first?", true),
    (Doubt::YearMissing, "year-missing", "Which year?", true),
    (
        Doubt::SheetDamage,
        "sheet-damage",
        "A sheet may have changed a designator into this number.",
        true,
    ),
    (
        Doubt::SheetDateDamage,
        "sheet-date-damage",
        "A sheet may have changed a designator into this date.",
        true,
    ),
    (
        Doubt::KeepBoth,
        "conflict-keep-both",
        "Two statements differ; both were kept.",
        false,
    ),
    (
        Doubt::WhichPart,
        "which-part",
        "An act without its part: which one?",
        true,
    ),
    (
        Doubt::ActNotSaid,
        "act-not-said",
        "The part is named, but not what was done to it.",
        true,
    ),
    (
        Doubt::CircuitFromWords,
        "circuit-from-words",
        "The circuit was told from the words alone.",
        false,
    ),
    (
        Doubt::BeforeOrAfter,
        "before-or-after",
        "Was this read before or after the repair?",
        false,
    ),
    (
        Doubt::Impossible,
        "impossible-number",
        "A number that cannot be.",
        false,
    ),
    (
        Doubt::TooLong,
        "too-long",
        "The text is too long; its end was not read.",
        true,
    ),
];

impl Doubt {
    /// Every doubt.
    pub const ALL: [Self; TABLE.len()] = {
        let mut all = [Self::NoNumber; TABLE.len()];
        let mut i = 0;
        while i < TABLE.len() {
            all[i] = TABLE[i].0;
            i += 1;
        }
        all
    };

    fn row(self) -> &'static (Self, &'static str, &'static str, bool) {
        TABLE
            .iter()
            .find(|row| row.0 == self)
            .expect("every doubt has its row, as a test holds")
    }

    /// Returns the word that stands in a flag's `why`.
    pub fn word(self) -> &'static str {
        self.row().1
    }

    /// Returns what it asks of a person, in plain words.
    pub fn sentence(self) -> &'static str {
        self.row().2
    }

    /// Tells whether it keeps a row from being taken; a remark does not.
    pub fn blocks(self) -> bool {
        self.row().3
    }

    /// Returns what a flag's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        TABLE.iter().find(|row| row.1 == word).map(|row| row.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_doubts_are_one_to_one_and_every_doubt_asks_something() {
        // The discriminants are dense, so the last one counts the variants.
        assert_eq!(Doubt::TooLong as usize + 1, TABLE.len());
        for doubt in Doubt::ALL {
            assert_eq!(Doubt::from_word(doubt.word()), Some(doubt));
            assert!(doubt.sentence().ends_with(['.', '?']), "{doubt:?}");
        }
        assert_eq!(Doubt::from_word("no number"), None);
    }

    #[test]
    fn a_remark_lets_a_row_pass_and_a_doubt_about_the_fix_does_not() {
        for remark in [Doubt::DecimalComma, Doubt::TwoObservations, Doubt::TierX] {
            assert!(!remark.blocks(), "{remark:?}");
        }
        for doubt in [Doubt::CauseNotProved, Doubt::WhatFault, Doubt::UnsafeOpen] {
            assert!(doubt.blocks(), "{doubt:?}");
        }
    }
}
