//! The finished cards of one board, as `cache/build.idx` keeps them beside what they were made from.
//!
//! Most builds change the cards of one board and put those of all others into the deck as they are. So
//! the text of the cards stays in the index until somebody asks for it, and nobody reads it but to hand
//! it on.

use std::borrow::Cow;
use std::io;
use std::path::Path;

use crate::domain::generate::input::Skipped;
use crate::domain::generate::kinds::across::sheet::Sheet;
use crate::store::build_sheets;
use crate::store::disk::Disk;
use crate::store::packed::From;
use crate::store::packed::To;

/// What stands between two cards of a deck file.
pub(crate) const BETWEEN: &str = ",\n";

/// The finished cards of one board.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    /// Mark of everything they were made from.
    pub mark: String,
    /// The cards, in order.
    pub cards: Lines,
    /// What got no card, and why.
    pub skipped: Vec<Skipped>,
    /// Circuits that its jobs name.
    pub circuits: Vec<String>,
    /// Its jobs in the words of all boards.
    pub sheet: Sheet,
}

/// Cards as the lines of their deck.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lines {
    /// Circuit families of the cards, each once.
    families: Vec<String>,
    /// Of each card, the number of its family and the length of its line.
    cards: Vec<(u32, u32)>,
    text: Text,
}

/// The lines, with what stands between two of them in a deck.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Text {
    Here(String),
    /// A part of the index with this check sum.
    There {
        at: u64,
        len: usize,
        sum: u32,
    },
}

impl Default for Text {
    fn default() -> Self {
        Self::Here(String::new())
    }
}

impl Lines {
    /// Takes cards, each with its family and as a line.
    pub fn of(cards: impl IntoIterator<Item = (String, String)>) -> Self {
        let (mut lines, mut text) = (Self::default(), String::new());
        for (family, line) in cards {
            if !lines.cards.is_empty() {
                text.push_str(BETWEEN);
            }
            text.push_str(&line);
            let at = lines.families.iter().position(|f| *f == family);
            let at = at.unwrap_or_else(|| {
                lines.families.push(family);
                lines.families.len() - 1
            });
            lines.cards.push((short(at), short(line.len())));
        }
        lines.text = Text::Here(text);
        lines
    }

    /// How many cards there are of these families; of all if none is named.
    pub fn count(&self, families: &[String]) -> usize {
        let of_family = |(at, _): &&(u32, u32)| self.is_of(*at, families);
        self.cards.iter().filter(of_family).count()
    }

    fn is_of(&self, at: u32, families: &[String]) -> bool {
        let family = self.families.get(at as usize);
        families.is_empty() || family.is_some_and(|family| families.contains(family))
    }

    /// Returns the text of all cards; `index` is the file that they may lie in.
    pub fn text(&self, disk: &dyn Disk, index: &Path) -> io::Result<Cow<'_, str>> {
        let (at, len, sum) = match &self.text {
            Text::Here(text) => return Ok(Cow::Borrowed(text)),
            Text::There { at, len, sum } => (*at, *len, *sum),
        };
        let bytes = disk.read_part(index, at, len)?;
        let changed = || io::Error::other("it changed while it was being read");
        if bytes.len() != len || crc32fast::hash(&bytes) != sum {
            return Err(changed());
        }
        let text = String::from_utf8(bytes);
        text.map(Cow::Owned).map_err(|_error| changed())
    }

    /// Reads the text, if it is not here, so that the index may change.
    pub(crate) fn bring_in(&mut self, disk: &dyn Disk, index: &Path) -> io::Result<()> {
        if let Text::There { .. } = self.text {
            let text = self.text(disk, index)?.into_owned();
            self.text = Text::Here(text);
        }
        Ok(())
    }

    /// Returns the lines of these families in their `text`; of all if none is named.
    pub fn lines<'a>(
        &'a self,
        text: &'a str,
        families: &'a [String],
    ) -> impl Iterator<Item = &'a str> {
        let mut at = 0;
        self.cards.iter().filter_map(move |(family, len)| {
            let line = text.get(at..at + *len as usize);
            at += *len as usize + BETWEEN.len();
            line.filter(|_| self.is_of(*family, families))
        })
    }

    /// The text, if it is here; that of an index just read is not.
    pub(crate) fn here(&self) -> &str {
        match &self.text {
            Text::Here(text) => text,
            Text::There { .. } => "",
        }
    }

    /// Notes where in the index the text lies; none where it cannot be that of these cards.
    pub(crate) fn lies_in(&mut self, at: u64, len: usize, sum: u32) -> Option<()> {
        let between = BETWEEN.len() * self.cards.len().saturating_sub(1);
        (self.size() + between as u64 == len as u64).then_some(())?;
        self.text = Text::There { at, len, sum };
        Some(())
    }

    /// How many bytes the cards have.
    pub(crate) fn size(&self) -> u64 {
        let lines = self.cards.iter().map(|(_, len)| u64::from(*len));
        lines.sum()
    }
}

fn short(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Writes a board without the text of its cards.
pub(crate) fn write(to: &mut To, board: &str, kept: &Kept) {
    to.text(board);
    to.text(&kept.mark);
    to.texts(&kept.cards.families);
    to.count(kept.cards.cards.len());
    for (family, len) in &kept.cards.cards {
        to.small(u64::from(*family));
        to.small(u64::from(*len));
    }
    to.count(kept.skipped.len());
    for skipped in &kept.skipped {
        to.text(&skipped.board);
        to.text(&skipped.what);
        to.text(&skipped.why);
    }
    to.texts(&kept.circuits);
    build_sheets::write(to, &kept.sheet);
}

/// Reads what [`write()`] wrote.
pub(crate) fn read(from: &mut From<'_>) -> Option<(String, Kept)> {
    let board = from.text()?.to_owned();
    let mut kept = Kept {
        mark: from.text()?.to_owned(),
        ..Kept::default()
    };
    kept.cards.families = from.texts()?;
    for _ in 0..from.count()? {
        let family = u32::try_from(from.small()?).ok()?;
        let len = u32::try_from(from.small()?).ok()?;
        kept.cards.cards.push((family, len));
    }
    for _ in 0..from.count()? {
        kept.skipped.push(Skipped {
            board: from.text()?.to_owned(),
            what: from.text()?.to_owned(),
            why: from.text()?.to_owned(),
        });
    }
    kept.circuits = from.texts()?;
    kept.sheet = build_sheets::read(from)?;
    Some((board, kept))
}
