//! Bytes of the indexes in `cache/`: numbers, texts, rows and faults, written and read back.
//!
//! Whatever is read may be damaged: nothing here trusts a length or stops the program.

use std::collections::BTreeMap;
use std::path::PathBuf;

use chrono::Datelike;
use chrono::NaiveDate;

use crate::domain::generate::coded::tier::Against;
use crate::domain::generate::coded::tier::Missing;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::job::BounceCause;
use crate::domain::job::FindingKind;
use crate::domain::job::Outcome;
use crate::domain::job_row::IndexRow;
use crate::store::fault::Fault;
use crate::store::fault::Weight;

const TIERS: [Tier; 9] = [
    Tier::A,
    Tier::B(Missing::Proof),
    Tier::B(Missing::Reading),
    Tier::B(Missing::Held),
    Tier::C,
    Tier::X(Against::Diagnosis),
    Tier::X(Against::Guessed),
    Tier::X(Against::Contradictory),
    Tier::NoFix,
];

fn place<T: PartialEq>(all: &[T], value: &T) -> u8 {
    let at = all.iter().position(|v| v == value).unwrap_or(usize::MAX);
    u8::try_from(at).unwrap_or(u8::MAX)
}

/// Returns the number that stands for a kind of finding.
pub(crate) fn kind(kind: FindingKind) -> u8 {
    place(&FindingKind::ALL, &kind)
}

/// Returns the kind of finding that a number stands for.
pub(crate) fn kind_of(number: u8) -> Option<FindingKind> {
    FindingKind::ALL.get(usize::from(number)).copied()
}

/// Writes numbers as little-endian bytes, texts after their length, and words that come again and
/// again as numbers.
#[derive(Default)]
pub(crate) struct To {
    /// What was written.
    pub(crate) bytes: Vec<u8>,
    words: BTreeMap<String, u32>,
    /// Words that stand as numbers, by number.
    pub(crate) list: Vec<String>,
}

impl To {
    pub(crate) fn byte(&mut self, n: u8) {
        self.bytes.push(n);
    }

    pub(crate) fn number(&mut self, n: u64) {
        self.bytes.extend(n.to_le_bytes());
    }

    pub(crate) fn short(&mut self, n: u32) {
        self.bytes.extend(n.to_le_bytes());
    }

    pub(crate) fn count(&mut self, n: usize) {
        self.short(u32::try_from(n).unwrap_or(u32::MAX));
    }

    /// Seven bits a byte, the lowest first; all but the last have the eighth bit.
    pub(crate) fn small(&mut self, mut n: u64) {
        while n > 0x7f {
            self.byte(0x80 | u8::try_from(n & 0x7f).unwrap_or(0));
            n >>= 7;
        }
        self.byte(u8::try_from(n).unwrap_or(0));
    }

    pub(crate) fn text(&mut self, text: &str) {
        self.count(text.len());
        self.bytes.extend(text.as_bytes());
    }

    pub(crate) fn texts(&mut self, texts: &[String]) {
        self.count(texts.len());
        for text in texts {
            self.text(text);
        }
    }

    pub(crate) fn maybe(&mut self, text: Option<&str>) {
        self.byte(u8::from(text.is_some()));
        if let Some(text) = text {
            self.text(text);
        }
    }

    pub(crate) fn word(&mut self, word: &str) {
        let at = self.words.get(word).copied().unwrap_or_else(|| {
            let at = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
            self.list.push(word.to_owned());
            self.words.insert(word.to_owned(), at);
            at
        });
        self.short(at);
    }

    pub(crate) fn fault(&mut self, fault: &Fault) {
        self.text(&fault.path.to_string_lossy());
        self.number(fault.line.unwrap_or(0));
        self.maybe(fault.field.as_deref());
        self.text(&fault.why);
        self.text(&fault.todo);
        self.byte(u8::from(fault.weight == Weight::Warning));
    }

    pub(crate) fn row(&mut self, row: &IndexRow) {
        self.text(&row.job);
        // Most lines have the number for an id or an id of their own.
        self.maybe(Some(row.id.as_str()).filter(|id| *id != row.job));
        self.bytes
            .extend(row.closed_on.num_days_from_ce().to_le_bytes());
        self.word(&row.board);
        self.word(row.rev.as_deref().unwrap_or("\0"));
        self.word(row.family.as_deref().unwrap_or("\0"));
        self.count(row.complaint.len());
        row.complaint.iter().for_each(|word| self.word(word));
        self.count(row.fix.len());
        for (act, part) in &row.fix {
            self.word(act);
            self.word(part);
        }
        self.word(row.no_fix_reason.as_deref().unwrap_or("\0"));
        self.byte(place(&Outcome::ALL, &row.outcome));
        let cause = row
            .bounce_cause
            .map(|cause| place(&BounceCause::ALL, &cause));
        self.byte(cause.unwrap_or(u8::MAX));
        self.maybe(row.follows.as_deref());
        self.byte(u8::from(row.unit_known) | (u8::from(row.came_again) << 1));
        self.count(row.flags);
        self.byte(place(&TIERS, &row.tier_if_held));
        self.byte(place(&TIERS, &row.tier_if_not));
    }
}

/// Reads what [`To`] wrote; anything else gives none.
pub(crate) struct From<'a> {
    /// What is still to read.
    pub(crate) bytes: &'a [u8],
}

impl<'a> From<'a> {
    pub(crate) fn take(&mut self, n: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.bytes.split_at_checked(n)?;
        self.bytes = rest;
        Some(taken)
    }

    pub(crate) fn byte(&mut self) -> Option<u8> {
        Some(self.take(1)?[0])
    }

    pub(crate) fn number(&mut self) -> Option<u64> {
        Some(u64::from_le_bytes(self.take(8)?.try_into().ok()?))
    }

    pub(crate) fn short(&mut self) -> Option<u32> {
        Some(u32::from_le_bytes(self.take(4)?.try_into().ok()?))
    }

    pub(crate) fn small(&mut self) -> Option<u64> {
        let mut n = 0_u64;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            n |= u64::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                return Some(n);
            }
        }
        None
    }

    /// A number of things still to come, each at least a byte long.
    pub(crate) fn count(&mut self) -> Option<usize> {
        let n = usize::try_from(self.short()?).ok()?;
        (n <= self.bytes.len()).then_some(n)
    }

    pub(crate) fn text(&mut self) -> Option<&'a str> {
        let len = self.count()?;
        std::str::from_utf8(self.take(len)?).ok()
    }

    pub(crate) fn texts(&mut self) -> Option<Vec<String>> {
        let mut texts = Vec::new();
        for _ in 0..self.count()? {
            texts.push(self.text()?.to_owned());
        }
        Some(texts)
    }

    #[expect(
        clippy::option_option,
        reason = "a text that may be absent, in a file that may be damaged"
    )]
    pub(crate) fn maybe(&mut self) -> Option<Option<&'a str>> {
        Some(match self.byte()? {
            0 => None,
            _ => Some(self.text()?),
        })
    }

    pub(crate) fn word(&mut self, words: &[&'a str]) -> Option<&'a str> {
        words.get(usize::try_from(self.short()?).ok()?).copied()
    }

    pub(crate) fn fault(&mut self) -> Option<Fault> {
        Some(Fault {
            path: PathBuf::from(self.text()?),
            line: Some(self.number()?).filter(|n| *n > 0),
            field: self.maybe()?.map(str::to_owned),
            why: self.text()?.to_owned(),
            todo: self.text()?.to_owned(),
            weight: if self.byte()? == 0 {
                Weight::Damage
            } else {
                Weight::Warning
            },
        })
    }

    pub(crate) fn row(&mut self, words: &[&'a str]) -> Option<IndexRow> {
        let job = self.text()?.to_owned();
        let id = self.maybe()?.map_or_else(|| job.clone(), str::to_owned);
        let day = i32::from_le_bytes(self.take(4)?.try_into().ok()?);
        let closed_on = NaiveDate::from_num_days_from_ce_opt(day)?;
        let board = self.word(words)?.to_owned();
        let some = |word: &str| (word != "\0").then(|| word.to_owned());
        let rev = some(self.word(words)?);
        let family = some(self.word(words)?);
        let complaints = self.count()?;
        let mut complaint = Vec::with_capacity(complaints);
        for _ in 0..complaints {
            complaint.push(self.word(words)?.to_owned());
        }
        let fixes = self.count()?;
        let mut fix = Vec::with_capacity(fixes);
        for _ in 0..fixes {
            fix.push((self.word(words)?.to_owned(), self.word(words)?.to_owned()));
        }
        let no_fix_reason = some(self.word(words)?);
        let outcome = *Outcome::ALL.get(usize::from(self.byte()?))?;
        let bounce_cause = match self.byte()? {
            u8::MAX => None,
            at => Some(*BounceCause::ALL.get(usize::from(at))?),
        };
        let follows = self.maybe()?.map(str::to_owned);
        let bits = self.byte()?;
        Some(IndexRow {
            job,
            id,
            closed_on,
            board,
            rev,
            complaint,
            family,
            fix,
            no_fix_reason,
            outcome,
            bounce_cause,
            follows,
            unit_known: bits & 1 > 0,
            came_again: bits & 2 > 0,
            flags: usize::try_from(self.short()?).ok()?,
            tier_if_held: *TIERS.get(usize::from(self.byte()?))?,
            tier_if_not: *TIERS.get(usize::from(self.byte()?))?,
        })
    }
}
