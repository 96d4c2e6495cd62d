//! Built decks: `decks/<deck>.json`.

use std::io;
use std::path::PathBuf;

use crc32fast::Hasher;
use serde::Deserialize;

use crate::domain::card::Card;
use crate::domain::card::Deck;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::paths::ShopFolder;
use crate::store::record::card;
use crate::store::record::card_fast;
use crate::store::shop::read_text;

#[derive(Deserialize)]
struct Head {
    v: u64,
}

/// Returns the deck files of the shop.
pub fn paths(disk: &dyn Disk, folder: &ShopFolder) -> Result<Vec<PathBuf>, StoreError> {
    let mut paths = journal::list_or_empty(disk, &folder.decks())?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "json"));
    Ok(paths)
}

/// Reads all decks, by file name; what cannot be used is named and left out.
pub fn load_decks(
    disk: &dyn Disk,
    folder: &ShopFolder,
) -> Result<(Vec<Deck>, Vec<Fault>), StoreError> {
    load_decks_but(disk, folder, None)
}

/// Reads all decks but the one called `deck`.
pub(crate) fn load_decks_but(
    disk: &dyn Disk,
    folder: &ShopFolder,
    deck: Option<&str>,
) -> Result<(Vec<Deck>, Vec<Fault>), StoreError> {
    let mut decks = Vec::new();
    let mut faults = Vec::new();
    let asked = |path: &PathBuf| deck != Some(journal::stem(path).as_ref());
    for path in paths(disk, folder)?.into_iter().filter(asked) {
        let (deck, found) = read_text(disk, &path, card_fast::read_deck)?;
        faults.extend(found);
        if let Some(deck) = deck.flatten() {
            if deck.deck == journal::stem(&path) {
                decks.push(deck);
            } else {
                let why = format!("the file says it is the deck {:?}", deck.deck);
                let todo = "rename the file, or build the deck again";
                faults.push(Fault::damage(&path, why, todo).field("deck"));
            }
        }
    }
    Ok((decks, faults))
}

/// Returns the text of a deck file; none where there is no such file.
pub(crate) fn text_of(
    disk: &dyn Disk,
    folder: &ShopFolder,
    deck: &str,
) -> Result<Option<String>, StoreError> {
    let path = folder.deck(deck)?;
    if !disk
        .exists(&path)
        .map_err(StoreError::io("look for", &path))?
    {
        return Ok(None);
    }
    let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
    Ok(String::from_utf8(bytes).ok())
}

/// Returns the lines of the cards of a deck file; none where it is not laid out as written.
pub(crate) fn lines_of(text: &str) -> Option<Vec<&str>> {
    let (head, rest) = text.split_once('\n')?;
    head.strip_suffix(",\"cards\":[")?;
    let mut lines = Vec::new();
    for line in rest.strip_suffix("\n]}\n")?.split(",\n") {
        // Every card of ours begins with its id; what else lies between two breaks is no card.
        if !line.starts_with("{\"id\":") || line.contains('\n') {
            return None;
        }
        lines.push(line);
    }
    Some(lines)
}

/// Returns the cards that these lines are; one that cannot be used is left out.
pub(crate) fn cards_of(lines: &[&str]) -> Vec<Card> {
    let text = card::deck_text("cards", "cards", "", lines);
    let (deck, _) = card_fast::read_deck(&text);
    deck.map_or_else(Vec::new, |deck| deck.cards)
}

/// Writes a deck that differs from what is there and tells whether it did; a reader sees the old one
/// or the new one. One of a newer format is left alone.
pub fn save_deck(disk: &dyn Disk, folder: &ShopFolder, deck: &Deck) -> Result<bool, StoreError> {
    let text = card::write_deck(deck);
    let saved = save_pieces(disk, folder, &deck.deck, &mut |take| take(text.as_bytes()))?;
    Ok(saved.0)
}

/// Takes the next bytes of a file.
pub(crate) type Take<'a> = &'a mut dyn FnMut(&[u8]) -> io::Result<()>;

/// Hands out the bytes of a file from its beginning; asked again, the same.
pub(crate) type Give<'a> = disk::Pieces<'a>;

/// Length and check sum of the bytes handed out.
#[derive(Default)]
pub(crate) struct Whole {
    pub(crate) len: u64,
    pub(crate) sum: Hasher,
}

impl Whole {
    pub(crate) fn add(&mut self, bytes: &[u8]) {
        self.len += bytes.len() as u64;
        self.sum.update(bytes);
    }
}

/// Writes the bytes of a deck in the same way.
pub(crate) fn save_pieces(
    disk: &dyn Disk,
    folder: &ShopFolder,
    deck: &str,
    give: Give<'_>,
) -> Result<(bool, Whole), StoreError> {
    let path = folder.deck(deck)?;
    if disk
        .exists(&path)
        .map_err(StoreError::io("look for", &path))?
    {
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        let mut whole = Whole::default();
        let mut rest = Some(bytes.as_slice());
        let given = give(&mut |piece| {
            whole.add(piece);
            rest = rest.and_then(|rest| rest.strip_prefix(piece));
            Ok(())
        });
        given.map_err(StoreError::io("write", &path))?;
        if rest.is_some_and(<[u8]>::is_empty) {
            return Ok((false, whole));
        }
        // What begins as we write it is of our format; anything else is read to see.
        let ours = format!("{{\"v\":{},\"deck\":", card::VERSION);
        if !bytes.starts_with(ours.as_bytes())
            && let Ok(Head { v }) = serde_json::from_slice(&bytes)
            && v > card::VERSION
        {
            return Err(StoreError::Newer { path, v });
        }
    }
    Ok((true, put_pieces(disk, folder, deck, give)?))
}

/// Writes the bytes of a deck over what is there.
pub(crate) fn put_pieces(
    disk: &dyn Disk,
    folder: &ShopFolder,
    deck: &str,
    give: Give<'_>,
) -> Result<Whole, StoreError> {
    let path = folder.deck(deck)?;
    let mut whole = Whole::default();
    let done = disk::replace_in_pieces(disk, &path, &mut |take| {
        whole = Whole::default();
        give(&mut |piece| {
            whole.add(piece);
            take(piece)
        })
    });
    done.map_err(StoreError::io("write", &path))?;
    Ok(whole)
}
