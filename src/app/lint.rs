//! Deck files looked through for what a person's hand got wrong.

use std::path::Path;
use std::path::PathBuf;

use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::lint;
use crate::domain::lint::Known;
use crate::domain::text::clean;
use crate::store::deck_file;
use crate::store::decks;
use crate::store::fault::Fault;

/// What looking the files through came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Linted {
    /// Files read.
    pub files: usize,
    /// Cards that could be read.
    pub cards: usize,
    /// What is wrong, by file and line.
    pub found: Vec<Fault>,
}

/// Looks through the deck files named, or all of the shop's; a name that is no deck of the shop is a
/// path.
pub fn lint(workbench: &Workbench, which: &[String]) -> Result<Linted, AppError> {
    let mut linted = Linted::default();
    for path in paths(workbench, which)? {
        let file = deck_file::read(workbench.disk.as_ref(), &path)?;
        linted.files += 1;
        let mut found = file.faults.clone();
        let cards = file.deck.iter().flat_map(|deck| &deck.cards);
        let known = Known {
            boards: &workbench.boards,
            circuits: &workbench.circuits,
            words: &workbench.words,
        };
        let mut seen: Vec<&str> = Vec::new();
        for card in cards {
            linted.cards += 1;
            let before = seen.iter().filter(|id| **id == card.id).count();
            let place = |fault: Fault, field: &str| match file.line_of(&card.id, field, before) {
                Some(line) => fault.at(line),
                None => fault,
            };
            let named = |field: &str| format!("card {} {field}", clean(&card.id));
            for wrong in lint::lint(card, &known) {
                let fault = Fault::damage(&path, wrong.why, wrong.todo).field(named(wrong.field));
                found.push(place(fault, wrong.field));
            }
            if 0 < before {
                let why = "another card of the file has this id";
                let fault = Fault::damage(&path, why, "leave one of them out").field(named("id"));
                found.push(place(fault, "id"));
            }
            seen.push(&card.id);
        }
        found.sort_by_key(|fault| fault.line);
        linted.found.append(&mut found);
    }
    Ok(linted)
}

fn paths(workbench: &Workbench, which: &[String]) -> Result<Vec<PathBuf>, AppError> {
    if which.is_empty() {
        return Ok(decks::paths(workbench.disk.as_ref(), &workbench.folder)?);
    }
    which
        .iter()
        .map(|name| {
            // A deck that cannot be read at all is still a file of the shop.
            if let Ok(path) = workbench.folder.deck(name)
                && workbench.disk.exists(&path).unwrap_or(false)
            {
                return Ok(path);
            }
            let path = Path::new(name);
            if workbench.disk.exists(path).unwrap_or(false) {
                return Ok(path.to_owned());
            }
            Err(AppError::Unknown {
                what: "deck or file",
                id: clean(name),
                known: workbench.deck_ids(),
            })
        })
        .collect()
}
