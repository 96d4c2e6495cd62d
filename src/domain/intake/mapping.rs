//! What the columns of a sheet hold.

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
    pub boards: std::collections::BTreeMap<String, String>,
}
