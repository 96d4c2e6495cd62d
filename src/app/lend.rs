//! Decks that go from shop to shop, as one file each.

use std::collections::BTreeSet;
use std::path::Path;

use chrono::DateTime;
use chrono::Utc;

use crate::app::record;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::ids;
use crate::domain::job::Board;
use crate::domain::lend;
use crate::domain::lend::OwnWords;
use crate::domain::lend::Private;
use crate::domain::lint;
use crate::domain::lint::Known;
use crate::domain::shop::BoardEntry;
use crate::domain::text::clean;
use crate::store::decks;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::lock::Holder;
use crate::store::record::lent;
use crate::store::record::lent::Lent;
use crate::store::shop;

/// How a deck that was borrowed says so in its file.
const BORROWED: &str = "borrowed ";

/// The largest file that is read from another shop, in bytes.
pub const LARGEST: u64 = 64 << 20;

/// Characters of an id that are said where its card stays out; a file may hold an id of any length.
const SHOWN_OF_ID: usize = 32;

/// A deck that was lent.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Given {
    /// Cards in the file.
    pub cards: usize,
    /// Cards that stay at home, and why.
    pub left_out: Vec<(String, String)>,
    /// Free words that go along, each once.
    pub texts: Vec<String>,
    /// What leads typed on the cards in the file; it goes along only if the person said so.
    pub own: Vec<OwnWords>,
    /// The file's text.
    pub text: String,
}

/// A deck that was borrowed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Taken {
    /// Its name here.
    pub deck: String,
    /// The shop it came from.
    pub from: String,
    /// Cards taken.
    pub cards: usize,
    /// Cards refused, and why.
    pub left_out: Vec<(String, String)>,
    /// Boards that this shop did not know.
    pub new_boards: Vec<String>,
    /// Free words of the other shop's people on its cards.
    pub texts: Vec<String>,
    /// It was written; not when the very same was there.
    pub changed: bool,
}

/// Tells whether a deck came from another shop; no build makes such a one.
pub fn is_borrowed(deck: &Deck) -> bool {
    deck.from.starts_with(BORROWED)
}

/// Makes the file of a deck, as it may leave the shop; with `send_own`, what leads typed goes along.
pub fn give(workbench: &Workbench, deck: &str, send_own: bool) -> Result<Given, AppError> {
    let Some(found) = workbench.decks.iter().find(|d| d.deck == deck) else {
        return Err(AppError::Unknown {
            what: "deck",
            id: clean(deck),
            known: workbench.deck_ids(),
        });
    };
    let private = Private::of(&workbench.archive()?.jobs);
    let in_use: BTreeSet<&str> = workbench.cards().iter().map(|c| c.id.as_str()).collect();
    let in_use = |c: &&Card| in_use.contains(c.id.as_str());
    let doubted = record::doubted_by_all(workbench)?;
    let mut given = Given::default();
    let mut cards = Vec::new();
    for card in found.cards.iter().filter(in_use) {
        let mut out = lend::lent(card);
        if doubted.contains(&card.id) {
            let why = "too many here hold it for doubtful, or a lead does";
            given.left_out.push((out.id, why.to_owned()));
            continue;
        }
        let mut bare = out.clone();
        let own = lend::own_words(&mut bare, workbench.edits.built(&card.id));
        if !send_own {
            out = bare;
            if lend::asks_in_own_words(&out) {
                let why = "its question is in no words of this program: build the deck again, or send it \
                           along with what leads typed";
                given.left_out.push((out.id, why.to_owned()));
                continue;
            }
        }
        let board = workbench.boards.iter().find(|b| b.id == out.board);
        if let Some(words) = private.keep_home(&mut out, board) {
            let why = format!(
                "\"{words}\" may be about one customer: hardly a job says it, or it has a number"
            );
            given.left_out.push((out.id, why));
            continue;
        }
        let whole = serde_json::to_string(&crate::store::record::card::to_value(&out));
        if let Some(word) = private.found_in(&whole.unwrap_or_default()) {
            let why = format!("it holds {word}, a number of this shop");
            given.left_out.push((out.id, why));
        } else {
            given.own.extend(own);
            cards.push(out);
        }
    }
    given.cards = cards.len();
    given.texts = texts(&cards, &workbench.boards);
    let of_cards = |b: &&Board| {
        cards
            .iter()
            .any(|c| c.board == b.id || c.boards.iter().any(|s| s.board == b.id))
    };
    given.text = lent::write(&Lent {
        deck: found.deck.clone(),
        name: found.name.clone(),
        from: workbench.shop.name.clone(),
        boards: workbench.boards.iter().filter(of_cards).cloned().collect(),
        cards,
    });
    Ok(given)
}

/// Takes a deck from another shop's file into this one, under `name` or its own.
///
/// Every card is looked through as if a person had written it by hand; what would hurt someone, or
/// gives its answer away, stays out.
pub fn take(
    workbench: &Workbench,
    file: &Path,
    name: Option<&str>,
    who: &str,
    now: DateTime<Utc>,
) -> Result<Taken, AppError> {
    let damaged = |why: &str| {
        AppError::Store(StoreError::Damaged {
            path: file.to_owned(),
            faults: vec![Fault::damage(
                file,
                why,
                "ask the other shop to lend the deck again",
            )],
        })
    };
    let disk = workbench.disk.as_ref();
    let about = disk.about(file).map_err(StoreError::io("look at", file))?;
    if LARGEST < about.len {
        return Err(damaged("larger than 64 MiB, which no deck is"));
    }
    let bytes = disk.read(file).map_err(StoreError::io("read", file))?;
    let Ok(text) = String::from_utf8(bytes) else {
        return Err(damaged("not UTF-8 text"));
    };
    let (lent, problems) = lent::read(&text, &workbench.circuits);
    let Some(mut lent) = lent else {
        return Err(AppError::Store(StoreError::Damaged {
            path: file.to_owned(),
            faults: problems.into_iter().map(|p| p.in_file(file)).collect(),
        }));
    };
    let name = name.map_or_else(|| lent.deck.clone(), str::to_owned);
    may_be_called(workbench, &name)?;
    let mut taken = Taken {
        deck: name.clone(),
        from: clean(&lent.from),
        left_out: problems
            .into_iter()
            .map(|p| (clean(&p.field), clean(&p.why)))
            .collect(),
        ..Taken::default()
    };
    let boards = with_own(workbench, &lent.boards);
    sift(workbench, &mut lent, &boards, &mut taken);
    if lent.cards.is_empty() && !taken.left_out.is_empty() {
        return Err(none_usable(file, &taken.left_out));
    }
    taken.cards = lent.cards.len();
    taken.texts = texts(&lent.cards, &boards);
    add_boards(workbench, &lent, &mut taken, who, now)?;
    let mark = format!("{BORROWED}{}", ids::short_mark([text.as_str()]));
    let deck = lent::as_deck(&lent, &name, &mark);
    taken.changed = decks::save_deck(disk, &workbench.folder, &deck)?;
    Ok(taken)
}

/// Says of each card why it cannot be used here: a deck without a card would only be in the way.
fn none_usable(file: &Path, left_out: &[(String, String)]) -> AppError {
    let todo = "ask the other shop to mend it and lend the deck again";
    let faults = left_out
        .iter()
        .map(|(card, why)| Fault::damage(file, why.as_str(), todo).field(card.as_str()));
    AppError::Store(StoreError::Damaged {
        path: file.to_owned(),
        faults: faults.collect(),
    })
}

/// Refuses a name that another deck of the shop has, unless that was borrowed as well.
fn may_be_called(workbench: &Workbench, name: &str) -> Result<(), AppError> {
    let path = workbench.folder.deck(name).map_err(StoreError::from)?;
    let there = workbench
        .disk
        .exists(&path)
        .map_err(StoreError::io("look for", &path))?;
    let own = workbench.decks.iter().find(|d| d.deck == name);
    if there && !own.is_some_and(is_borrowed) {
        return Err(AppError::OwnDeckInTheWay { deck: clean(name) });
    }
    Ok(())
}

/// Returns the shop's boards, and those of the other shop that it does not know.
fn with_own(workbench: &Workbench, theirs: &[Board]) -> Vec<Board> {
    let mut boards = workbench.boards.clone();
    let new = |b: &&Board| !workbench.boards.iter().any(|own| own.id == b.id);
    boards.extend(theirs.iter().filter(new).cloned());
    boards
}

/// Keeps the cards that may be drilled here.
fn sift(workbench: &Workbench, lent: &mut Lent, boards: &[Board], taken: &mut Taken) {
    let known = Known {
        boards,
        circuits: &workbench.circuits,
        words: &workbench.words,
    };
    let mut ids: Vec<String> = Vec::new();
    let from = lent.from.clone();
    for card in std::mem::take(&mut lent.cards) {
        let card = lend::borrowed(&card, &from);
        let wrong = lint::lint(&card, &known).into_iter().next();
        let why = if card.kind == CardKind::Look {
            Some("photos do not come along".to_owned())
        } else if ids.contains(&card.id) {
            Some("another card of the file has this id".to_owned())
        } else {
            wrong.map(|lint| format!("{}: {}", lint.field, lint.why))
        };
        if let Some(why) = why {
            let id: String = card.id.chars().take(SHOWN_OF_ID).collect();
            taken.left_out.push((clean(&id), clean(&why)));
        } else {
            ids.push(card.id.clone());
            lent.cards.push(card);
        }
    }
}

fn add_boards(
    workbench: &Workbench,
    lent: &Lent,
    taken: &mut Taken,
    who: &str,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    let needed = |b: &&Board| lent.cards.iter().any(|c| c.board == b.id);
    let own = |b: &&Board| workbench.boards.iter().any(|own| own.id == b.id);
    let new: Vec<&Board> = lent
        .boards
        .iter()
        .filter(needed)
        .filter(|b| !own(b))
        .collect();
    if new.is_empty() {
        return Ok(());
    }
    let disk = workbench.disk.as_ref();
    for board in &new {
        shop::save_board(disk, &workbench.folder, board)?;
        taken.new_boards.push(clean(&board.id));
    }
    let holder = Holder {
        who: who.to_owned(),
        since: now,
    };
    shop::change_shop(disk, &workbench.folder, &holder, |record| {
        for board in &new {
            if !record.shop.boards.iter().any(|b| b.id == board.id) {
                record.shop.boards.push(BoardEntry {
                    id: board.id.clone(),
                    name: clean(&board.name),
                    kind: clean(&board.kind),
                    revisions: board.revisions.clone(),
                    safety: board.safety.clone(),
                });
            }
        }
    })?;
    Ok(())
}

fn texts(cards: &[Card], boards: &[Board]) -> Vec<String> {
    let of = |card: &Card| {
        let board = boards.iter().find(|board| board.id == card.board);
        lend::free_texts(card, board)
    };
    let each: BTreeSet<String> = cards.iter().flat_map(of).map(|t| clean(&t)).collect();
    each.into_iter().collect()
}
