//! What every line of a journal of a shop begins with: its id, its number, when, and by whom.

use chrono::DateTime;
use chrono::Utc;

use crate::store::record::reader::Reader;

/// What a line without it is worth.
pub(crate) const LOST: &str = "the line does not count";

/// The head of one line; what is not there has been named.
pub(crate) struct Head {
    pub(crate) id: Option<String>,
    pub(crate) seq: Option<u64>,
    pub(crate) at: Option<DateTime<Utc>>,
    pub(crate) by: Option<String>,
}

/// Reads the head of a line.
pub(crate) fn read(from: &mut Reader<'_, '_>) -> Head {
    let id = from.need_text("id", LOST);
    let seq = from.count("seq").filter(|seq| *seq > 0);
    if seq.is_none() {
        from.missing("seq", LOST);
    }
    let at = from.need_text("at", LOST);
    let at = at.and_then(|at| match DateTime::parse_from_rfc3339(&at) {
        Ok(at) => Some(at.with_timezone(&Utc)),
        Err(error) => {
            from.damage("at", format!("{at:?} is no moment: {error}"), LOST);
            None
        }
    });
    let by = from.need_text("by", LOST);
    Head { id, seq, at, by }
}
