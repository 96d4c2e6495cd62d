//! What the columns of a sheet hold.

use std::borrow::Cow;
use std::collections::BTreeMap;

/// What one column holds.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Field {
    /// The shop's number of the job.
    Number,
    /// Day the job was closed.
    ClosedOn,
    /// Day the job came in.
    ReceivedOn,
    /// Initials of who closed it.
    ClosedBy,
    /// Board kind.
    Board,
    /// Revision of the board.
    Revision,
    /// Serial of the unit: a mark is made of it, it is never stored.
    Serial,
    /// Customer's words.
    Complaint,
    /// Readings and signs in words.
    Findings,
    /// Draw from the supply.
    Draw,
    /// Readings of one rail, named by the header.
    Rail(String),
    /// Resistance to ground at one place, named by the header.
    Resistance(String),
    /// Diode-mode drop at one place.
    Diode(String),
    /// Circuit family.
    Family,
    /// What fixed it: acts and parts.
    Fix,
    /// The part that was at fault, without the act.
    Part,
    /// The act alone.
    Act,
    /// What was tried in vain.
    Tried,
    /// How it ended.
    Outcome,
    /// Why there was no fix.
    NoFixReason,
    /// What proved the fix.
    Proof,
    /// Where the board had been.
    Environment,
    /// Minutes at the bench.
    Minutes,
    /// Cost of the parts.
    PartsCost,
    /// Worth of the board.
    Value,
    /// Complaint, readings, fix and outcome together in free words.
    Everything,
    /// Kept as it stands, not read.
    Kept,
}

/// The fields that a column has without a name of its own, and the stable word of each.
const PLAIN: [(Field, &str); 24] = [
    (Field::Number, "job"),
    (Field::ClosedOn, "closed-on"),
    (Field::ReceivedOn, "received-on"),
    (Field::ClosedBy, "closed-by"),
    (Field::Board, "board"),
    (Field::Revision, "revision"),
    (Field::Serial, "serial"),
    (Field::Complaint, "complaint"),
    (Field::Findings, "findings"),
    (Field::Draw, "draw"),
    (Field::Family, "family"),
    (Field::Fix, "fix"),
    (Field::Part, "part"),
    (Field::Act, "act"),
    (Field::Tried, "tried"),
    (Field::Outcome, "outcome"),
    (Field::NoFixReason, "no-fix-reason"),
    (Field::Proof, "proof"),
    (Field::Environment, "environment"),
    (Field::Minutes, "minutes"),
    (Field::PartsCost, "parts-cost"),
    (Field::Value, "value"),
    (Field::Everything, "everything"),
    (Field::Kept, "kept"),
];

impl Field {
    /// Returns the stable word of this field, as the map file and the screen write it: `closed-on`,
    /// `rail:5V`.
    pub fn word(&self) -> Cow<'static, str> {
        match self {
            Self::Rail(place) => format!("rail:{place}").into(),
            Self::Resistance(place) => format!("resistance:{place}").into(),
            Self::Diode(place) => format!("diode:{place}").into(),
            plain => PLAIN
                .iter()
                .find(|(field, _)| field == plain)
                .map_or("kept", |(_, word)| word)
                .into(),
        }
    }

    /// Returns what a stable word stands for. The place after a colon is kept exactly as written.
    pub fn from_word(word: &str) -> Option<Self> {
        if let Some((kind, place)) = word.split_once(':') {
            let place = place.trim().to_owned();
            return match kind {
                "rail" if !place.is_empty() => Some(Self::Rail(place)),
                "resistance" => Some(Self::Resistance(place)),
                "diode" => Some(Self::Diode(place)),
                _ => None,
            };
        }
        let found = PLAIN.iter().find(|(_, known)| *known == word)?;
        Some(found.0.clone())
    }

    /// Returns every word that needs no place, in the order of a form.
    pub fn plain_words() -> impl Iterator<Item = &'static str> {
        PLAIN.iter().map(|(_, word)| *word)
    }
}

/// The order of day, month and year in dates written with numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DateOrder {
    /// Nothing in the sheet tells: a date that could be two days needs a person.
    #[default]
    Unknown,
    /// 31/12/2025, 31.12.25.
    DayFirst,
    /// 12/31/2025.
    MonthFirst,
}

impl DateOrder {
    /// Every order.
    pub const ALL: [Self; 3] = [Self::Unknown, Self::DayFirst, Self::MonthFirst];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::DayFirst => "day-first",
            Self::MonthFirst => "month-first",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// What stands between whole and fraction.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DecimalMark {
    /// Nothing tells; a comma between digits is read as one, and flagged.
    #[default]
    Unknown,
    /// `3.3`.
    Point,
    /// `3,3`.
    Comma,
}

impl DecimalMark {
    /// Every mark.
    pub const ALL: [Self; 3] = [Self::Unknown, Self::Point, Self::Comma];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// One column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Header words, those of two header rows joined by a space; empty without a header.
    pub header: String,
    /// What it holds.
    pub field: Field,
    /// A blank cell means the one above (merged cells, names written once).
    pub fill_down: bool,
}

/// What a sheet of one shape holds. Saved, and used again for the next sheet with the same headers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mapping {
    /// Rows before the first row of data (titles and headers), where they were found.
    pub header_rows: Vec<u64>,
    /// The columns from the first.
    pub columns: Vec<Column>,
    /// Order of dates.
    pub dates: DateOrder,
    /// Decimal mark.
    pub decimal: DecimalMark,
    /// Board names of the sheet and the board id that each stands for.
    pub boards: BTreeMap<String, String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_is_found_again_by_its_word() {
        let placed = [
            Field::Rail("5V".to_owned()),
            Field::Resistance("3V3_SB".to_owned()),
            Field::Resistance(String::new()),
            Field::Diode("SDA:1".to_owned()),
        ];
        for field in PLAIN.iter().map(|(f, _)| f.clone()).chain(placed) {
            assert_eq!(Field::from_word(&field.word()), Some(field));
        }
        assert_eq!(Field::Rail("5V".to_owned()).word(), "rail:5V");
        for odd in ["", "rail:", "rail", "volts:5V", "Closed-on"] {
            assert_eq!(Field::from_word(odd), None, "{odd}");
        }
    }

    #[test]
    fn orders_and_marks_are_found_again_by_their_words() {
        for order in DateOrder::ALL {
            assert_eq!(DateOrder::from_word(order.word()), Some(order));
        }
        for mark in DecimalMark::ALL {
            assert_eq!(DecimalMark::from_word(mark.word()), Some(mark));
        }
    }
}
