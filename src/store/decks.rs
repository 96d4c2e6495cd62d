//! Built decks: `decks/<deck>.json`.

use serde::Deserialize;

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

/// Reads all decks, by file name; what cannot be used is named and left out.
pub fn load_decks(
    disk: &dyn Disk,
    folder: &ShopFolder,
) -> Result<(Vec<Deck>, Vec<Fault>), StoreError> {
    let mut decks = Vec::new();
    let mut faults = Vec::new();
    let mut paths = journal::list_or_empty(disk, &folder.decks())?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "json"));
    for path in paths {
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

/// Writes a deck that differs from what is there and tells whether it did; a reader sees the old one
/// or the new one. One of a newer format is left alone.
pub fn save_deck(disk: &dyn Disk, folder: &ShopFolder, deck: &Deck) -> Result<bool, StoreError> {
    let path = folder.deck(&deck.deck)?;
    let text = card::write_deck(deck);
    if disk
        .exists(&path)
        .map_err(StoreError::io("look for", &path))?
    {
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        if let Ok(Head { v }) = serde_json::from_slice(&bytes)
            && v > card::VERSION
        {
            return Err(StoreError::Newer { path, v });
        }
        if bytes == text.as_bytes() {
            return Ok(false);
        }
    }
    disk::replace(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))?;
    Ok(true)
}
