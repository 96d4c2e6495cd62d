//! What the last build wrote into a deck file, kept ready in `cache/<deck>.built`: derived, safe to
//! delete, never trusted over the file.
//!
//! It holds the check sum of the whole file and the marks of what its cards were made from. While the
//! file has that sum, its cards are those that the index of builds keeps, and nobody has to read them
//! again to see what a new build changes. Left out: decks of some circuits only, which are read.

use std::io;

use crc32fast::Hasher;

use crate::store::decks::Whole;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::paths::ShopFolder;
use crate::store::side_by_side;
use crate::store::sources;
use crate::store::tapes;

/// Begins every note; the number rises with the format.
const MAGIC: &[u8] = b"benchlore built 1\n";

/// A deck file as a build wrote it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// File name without ending.
    pub deck: String,
    /// The text of the file without its cards.
    pub head: String,
    /// Boards in the order of the file, each with the mark of what its cards were made from; under no
    /// name, those over several boards.
    pub boards: Vec<(String, String)>,
    len: u64,
    sum: u32,
}

impl Standing {
    /// Notes that `whole` is now the deck.
    pub(crate) fn of(
        deck: &str,
        head: String,
        boards: Vec<(String, String)>,
        whole: Whole,
    ) -> Self {
        Self {
            deck: deck.to_owned(),
            head,
            boards,
            len: whole.len,
            sum: whole.sum.finalize(),
        }
    }

    /// Returns the note of a deck if it is true of the file.
    pub fn load(disk: &dyn Disk, folder: &ShopFolder, deck: &str) -> Option<Self> {
        let note = read(&disk.read(&folder.built(deck).ok()?).ok()?)?;
        let path = folder.deck(deck).ok()?;
        let same = note.deck == deck && disk.length(&path).ok()? == note.len;
        let pieces = same.then(|| tapes::ranges(0, note.len))?;
        let pieces = side_by_side::map(pieces, |range| tapes::sum_of(disk, &path, range));
        let mut sum = Hasher::new();
        for piece in pieces {
            sum.combine(&piece.ok()?);
        }
        (sum.finalize() == note.sum).then_some(note)
    }

    /// Puts the note on the disk; failing to is no failure, since half a note is not believed.
    pub fn save(&self, disk: &dyn Disk, folder: &ShopFolder) {
        drop(self.put(disk, folder));
    }

    fn put(&self, disk: &dyn Disk, folder: &ShopFolder) -> io::Result<()> {
        let path = folder.built(&self.deck).map_err(io::Error::other)?;
        disk::make_folders(disk, &folder.cache())?;
        if disk.exists(&path)? {
            disk.remove(&path)?;
        }
        let bytes = self.written();
        let mut file = disk.open_append(&path)?;
        let mut rest = bytes.as_slice();
        while !rest.is_empty() {
            let n = file.write(rest)?;
            rest = &rest[n..];
        }
        Ok(())
    }

    fn written(&self) -> Vec<u8> {
        let mut to = To::default();
        to.text(sources::RULES);
        to.text(&self.deck);
        to.text(&self.head);
        to.number(self.len);
        to.short(self.sum);
        to.count(self.boards.len());
        for (board, mark) in &self.boards {
            to.text(board);
            to.text(mark);
        }
        let mut bytes = MAGIC.to_vec();
        bytes.extend(crc32fast::hash(&to.bytes).to_le_bytes());
        bytes.extend(to.bytes);
        bytes
    }
}

fn read(bytes: &[u8]) -> Option<Standing> {
    let mut from = From { bytes };
    (from.take(MAGIC.len())? == MAGIC).then_some(())?;
    let sum = from.short()?;
    (crc32fast::hash(from.bytes) == sum).then_some(())?;
    (from.text()? == sources::RULES).then_some(())?;
    let mut note = Standing {
        deck: from.text()?.to_owned(),
        head: from.text()?.to_owned(),
        len: from.number()?,
        sum: from.short()?,
        boards: Vec::new(),
    };
    for _ in 0..from.count()? {
        note.boards
            .push((from.text()?.to_owned(), from.text()?.to_owned()));
    }
    from.bytes.is_empty().then_some(note)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;
    use std::path::Path;

    const DECK: &str = "/shop/decks/shop.json";

    fn shop(text: &str) -> (ModelDisk, ShopFolder, Standing) {
        let (disk, folder) = (ModelDisk::new(), ShopFolder::new("/shop"));
        disk.put(Path::new(DECK), text.as_bytes());
        let boards = vec![("petrel-p4".to_owned(), "1f".to_owned())];
        let mut whole = Whole::default();
        whole.add(text.as_bytes());
        let note = Standing::of("shop", "head".to_owned(), boards, whole);
        note.save(&disk, &folder);
        (disk, folder, note)
    }

    #[test]
    fn a_note_is_believed_while_the_file_is_what_was_written() {
        let (disk, folder, note) = shop("a deck");
        assert_eq!(Standing::load(&disk, &folder, "shop"), Some(note.clone()));
        note.save(&disk, &folder);
        assert_eq!(Standing::load(&disk, &folder, "shop"), Some(note));
        for other in ["a dusk", "a deck\n", ""] {
            disk.put(Path::new(DECK), other.as_bytes());
            assert_eq!(Standing::load(&disk, &folder, "shop"), None, "{other:?}");
        }
    }

    #[test]
    fn a_note_with_any_byte_changed_or_missing_is_not_believed() {
        let (disk, folder, note) = shop("a deck");
        let path = folder.built("shop").unwrap();
        let bytes = note.written();
        for at in 0..bytes.len() {
            disk.put(&path, &bytes[..at]);
            assert_eq!(Standing::load(&disk, &folder, "shop"), None, "cut at {at}");
            let mut other = bytes.clone();
            other[at] ^= 1;
            disk.put(&path, &other);
            assert_eq!(Standing::load(&disk, &folder, "shop"), None, "byte {at}");
        }
    }
}
