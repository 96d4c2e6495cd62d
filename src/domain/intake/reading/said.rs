//! A reading as a value, and the way in.

use std::ops::Range;

use chrono::NaiveDate;

use crate::domain::circuit::FamilyId;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::items;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::scan::Scan;
use crate::domain::intake::words::Words;
use crate::domain::job::Action;
use crate::domain::job::Finding;
use crate::domain::job::Flag;
use crate::domain::job::Outcome;

/// Something found in the words.
#[derive(Clone, Debug, PartialEq)]
pub struct Got<T> {
    /// What they say.
    pub what: T,
    /// Which words: bytes of the text.
    pub words: Range<usize>,
    /// They plainly mean it; otherwise it is a suggestion, and a flag says why.
    pub sure: bool,
}

/// Everything found in one text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    /// Customer's words.
    pub complaint: Vec<Got<String>>,
    /// Readings and signs; [`Finding::raw`] holds their source words.
    pub findings: Vec<Got<Finding>>,
    /// Acts of repair with their roles.
    pub actions: Vec<Got<Action>>,
    /// How it ended.
    pub outcome: Option<Got<Outcome>>,
    /// Why there was no fix.
    pub no_fix_reason: Option<Got<String>>,
    /// The circuit that the words name.
    pub family: Option<Got<FamilyId>>,
    /// Where the board had been.
    pub environment: Vec<Got<String>>,
    /// A revision that is named.
    pub revision: Option<Got<String>>,
    /// Days that are named, in their order.
    pub days: Vec<Got<NaiveDate>>,
    /// What proved the fix.
    pub proof: Option<Got<String>>,
    /// What a person has to decide: field, why (a word of [`Doubt`]), source words.
    pub flags: Vec<Flag>,
    /// Words that were not understood.
    pub unread: Vec<Range<usize>>,
}

/// What the reader of a text knows beforehand.
#[derive(Clone, Copy, Debug)]
pub struct Known<'a> {
    /// Words of the bench and of the shop.
    pub words: &'a Words,
    /// The board, where it is known.
    pub board: Option<&'a BoardFacts>,
    /// What the column holds; [`Field::Everything`] for free words.
    pub field: &'a Field,
    /// Order of dates.
    pub dates: DateOrder,
    /// Decimal mark.
    pub decimal: DecimalMark,
}

/// Bytes of a text that are read; what a person writes into one cell is far shorter.
const LONGEST: usize = 16 * 1024;

/// Reads `text`. Only its first 16 KiB are read; more is listed as unread, with a flag.
pub fn read(text: &str, known: &Known<'_>) -> Reading {
    let mut end = text.len().min(LONGEST);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let head = &text[..end];
    let scan = Scan::new(head, known.decimal, known.board);
    let items = items::items(&scan, known.words, known.board);
    let mut reading = Reader::new(head, items, known).read();
    if end < text.len() {
        reading.unread.push(end..text.len());
        reading.flags.push(Flag {
            field: "text".to_owned(),
            why: Doubt::TooLong.word().to_owned(),
            raw: String::new(),
        });
    }
    reading
}

/// Returns the findings that `text` plainly states, for a search or a line being typed.
pub fn as_findings(text: &str, known: &Known<'_>) -> Vec<Finding> {
    let found = read(text, known).findings;
    found
        .into_iter()
        .filter(|f| f.sure)
        .map(|f| f.what)
        .collect()
}
