//! An open shop: everything the screens and commands read, loaded once.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;
use std::path::Path;
use std::sync::Arc;
use std::sync::OnceLock;
use std::thread;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::lend;
use crate::app::priced::Priced;
use crate::domain::calendar::Calendar;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::circuit::Circuits;
use crate::domain::corrections::Corrections;
use crate::domain::desk::overlay;
use crate::domain::desk::overlay::Overlay;
use crate::domain::edit::EditEntry;
use crate::domain::history::CardFacts;
use crate::domain::job::Board;
use crate::domain::job::Job;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::names::Names;
use crate::domain::shop::Person;
use crate::domain::shop::Post;
use crate::domain::shop::Shop;
use crate::domain::text::clean;
use crate::store::backup::BackupError;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::export_file::ExportError;
use crate::store::fault::Fault;
use crate::store::paths::ShopFolder;
use crate::store::standing_deck::Standing;
use crate::store::tapes::Tapes;

/// Why a job could not be done.
#[derive(Debug, thiserror::Error)]
pub enum AppError {
    /// The files did not play along.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The person is not known here.
    #[error("no person is called {id:?}")]
    NoPerson {
        /// Folder name asked for.
        id: String,
    },
    /// Nobody was named and there is not exactly one person.
    #[error("say who it is with --person")]
    WhichPerson {
        /// Those there are.
        known: Vec<String>,
    },
    /// Initials that cannot be used.
    #[error("{initials:?} cannot be initials: {why}")]
    BadInitials {
        /// As given.
        initials: String,
        /// Why not.
        why: &'static str,
    },
    /// There are no cards to ask.
    #[error("there are no cards: {why}")]
    NoCards {
        /// Why not.
        why: String,
    },
    /// Something named does not exist.
    #[error("no {what} is called {id:?}")]
    Unknown {
        /// Kind of thing.
        what: &'static str,
        /// Its name.
        id: String,
        /// Names there are.
        known: Vec<String>,
    },
    /// Nothing can be planned for this date.
    #[error("nothing can be planned for {date}: {why}")]
    BadDate {
        /// As given.
        date: NaiveDate,
        /// Why not.
        why: String,
    },
    /// A day to be ready by that cannot be read.
    #[error("{word:?}: {why}")]
    BadGoal {
        /// The word.
        word: String,
        /// Why not.
        why: String,
    },
    /// Nobody waits for a plan any more.
    #[error("the plan was left before it was made")]
    Abandoned,
    /// There is something else in the folder.
    #[error("{folder} is not empty and holds no shop")]
    NotEmpty {
        /// The folder.
        folder: String,
    },
    /// The drill is read-only.
    #[error("nothing can be written: {holder}")]
    ReadOnly {
        /// Who holds the journal.
        holder: String,
    },
    /// A form of this person is open elsewhere at this bench.
    #[error(
        "a job is being entered in another window ({holder}); write it or leave it there first"
    )]
    FormOpen {
        /// Who entered it and since when.
        holder: String,
    },
    /// A build would take the place of bench rules, which no build makes.
    #[error("{deck:?} is a deck of bench rules, and no build makes those")]
    DeckOfRules {
        /// Its name.
        deck: String,
    },
    /// A build would take the place of a deck that came from another shop.
    #[error("{deck:?} was borrowed from another shop, and no build makes it")]
    BorrowedDeck {
        /// Its name.
        deck: String,
    },
    /// A borrowed deck would take the place of one of the shop's own.
    #[error("decks/{deck}.json is there already and was not borrowed; it stays as it is")]
    OwnDeckInTheWay {
        /// Its name.
        deck: String,
    },
    /// The shop has another file under the name of a shipped deck.
    #[error("decks/{deck}.json is there already and is not the deck that ships; it stays as it is")]
    DeckInTheWay {
        /// Its name.
        deck: String,
    },
    /// A job is not there, or what was to be written of it would not be true.
    #[error("job {job}: {why}")]
    NotOfJob {
        /// Its number.
        job: String,
        /// Why not.
        why: String,
        /// What to do instead.
        todo: String,
    },
    /// A card cannot be had, or what was to be done to it would not be right.
    #[error("card {card}: {why}")]
    NotOfCard {
        /// Its id, or what was given for it.
        card: String,
        /// Why not.
        why: String,
        /// What to do instead.
        todo: String,
    },
    /// Only a lead may put their name under this.
    #[error("{who} is no lead, and a correction holds for everyone")]
    NoLead {
        /// Initials given.
        who: String,
        /// Initials of the leads.
        leads: Vec<String>,
    },
    /// An export was not written.
    #[error(transparent)]
    Export(#[from] ExportError),
    /// A row of a sheet, or a source of the backlog, cannot be decided about so.
    #[error("{row}: {why}")]
    NotOfRow {
        /// The row as it is called, such as `old-bay.csv:17`.
        row: String,
        /// Why not.
        why: String,
        /// What to do instead.
        todo: String,
    },
    /// A backup was not made or not restored.
    #[error(transparent)]
    Backup(#[from] BackupError),
}

/// Returns an error with its causes, as one line fit for a terminal.
pub fn chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text.push_str(": ");
        text.push_str(&inner.to_string());
        cause = inner.source();
    }
    clean(&text)
}

/// An open shop.
#[derive(Clone)]
pub struct Workbench {
    /// The disk it lies on.
    pub disk: Arc<dyn Disk>,
    /// Its folder.
    pub folder: ShopFolder,
    /// This computer.
    pub bench: String,
    /// Settings.
    pub shop: Shop,
    /// Bench days.
    pub calendar: Calendar,
    /// Families.
    pub circuits: Circuits,
    /// Words of the trade and of the shop.
    pub words: Synonyms,
    /// Boards, with parts and good readings where described.
    pub boards: Vec<Board>,
    /// Built decks with the leads' edits applied.
    pub decks: Arc<Vec<Deck>>,
    /// What leads did to cards, as it stands: also which are out of use and which go on as another.
    pub edits: Arc<Overlay>,
    /// What cards accepted before, for those who had learned them so.
    pub corrections: Corrections,
    /// Damage found so far.
    pub faults: Vec<Fault>,
    /// What was read of the journals so far; reading again reads what is new.
    pub tapes: Arc<Tapes>,
    /// The price tables made so far.
    pub prices: Arc<Priced>,
    /// A deck that was left out of `decks`, since it stands as the last build wrote it.
    pub standing: Option<Arc<Standing>>,
}

impl std::fmt::Debug for Workbench {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Workbench")
            .field("folder", &self.folder)
            .finish_non_exhaustive()
    }
}

/// The jobs of a shop that count: corrections applied, those that contradict each other left out.
#[derive(Clone, Debug, Default)]
pub struct Archive {
    /// The jobs.
    pub jobs: Vec<Job>,
    /// Mark of the jobs, whatever files they lie in.
    pub fingerprint: String,
    /// Damage found.
    pub faults: Vec<Fault>,
    /// Files of jobs that could not be read at all.
    pub unread: Vec<Fault>,
}

impl Workbench {
    /// Opens the shop in `folder`: settings, boards, decks and edits (jobs and journals later, when
    /// something needs them).
    pub fn open(disk: Arc<dyn Disk>, folder: ShopFolder, bench: String) -> Result<Self, AppError> {
        Self::opened(disk, folder, bench, None)
    }

    /// Opens the shop to build a deck: where that stands as the last build wrote it and no lead has
    /// edited a card, its cards are not read.
    pub fn open_to_build(
        disk: Arc<dyn Disk>,
        folder: ShopFolder,
        bench: String,
        deck: &str,
    ) -> Result<Self, AppError> {
        let (edits, found) = crate::store::edits::load_edits(disk.as_ref(), &folder)?;
        let untouched = edits.is_empty() && found.is_empty();
        let standing = untouched.then(|| Standing::load(disk.as_ref(), &folder, deck));
        Self::opened(disk, folder, bench, standing.flatten())
    }

    fn opened(
        disk: Arc<dyn Disk>,
        folder: ShopFolder,
        bench: String,
        standing: Option<Standing>,
    ) -> Result<Self, AppError> {
        let mut faults = Vec::new();
        let (record, found) = crate::store::shop::load_shop(disk.as_ref(), &folder)?;
        faults.extend(found);
        let shop = record.shop;
        let circuits = shop.circuits();
        let (boards, found) =
            crate::store::shop::load_boards(disk.as_ref(), &folder, &shop, &circuits)?;
        faults.extend(found);
        let but = standing.as_ref().map(|standing| standing.deck.as_str());
        let (mut decks, found) = crate::store::decks::load_decks_but(disk.as_ref(), &folder, but)?;
        faults.extend(found);
        let (edits, found) = crate::store::edits::load_edits(disk.as_ref(), &folder)?;
        faults.extend(found);
        let calendar = Calendar {
            zone: shop.zone,
            day_starts: shop.day_starts,
        };
        let words = Synonyms::with_shop(&shop.synonyms);
        let (edits, corrections) = lay_over(&mut decks, edits);
        Ok(Self {
            disk,
            folder,
            bench,
            shop,
            calendar,
            circuits,
            words,
            boards,
            decks: Arc::new(decks),
            edits: Arc::new(edits),
            corrections,
            faults,
            tapes: Arc::default(),
            prices: Arc::default(),
            standing: standing.map(Arc::new),
        })
    }

    /// Returns the shop as it would be with these decks, on which no edits lie yet.
    #[must_use]
    pub fn with_decks(&self, mut decks: Vec<Deck>) -> Self {
        let edits = self.edits.all().cloned().collect();
        let (edits, corrections) = lay_over(&mut decks, edits);
        Self {
            decks: Arc::new(decks),
            edits: Arc::new(edits),
            corrections,
            standing: None,
            ..self.clone()
        }
    }

    /// Opens the shop like [`Self::open`] and reads everyone's journals meanwhile, for what asks for a
    /// person's record next. `tapes` takes what is read, and tells others how far that has come.
    pub fn open_with_journals(
        disk: Arc<dyn Disk>,
        folder: ShopFolder,
        bench: String,
        tapes: Arc<Tapes>,
    ) -> Result<Self, AppError> {
        let (reading, people) = (Arc::clone(&disk), folder.clone());
        let opened = thread::scope(|scope| {
            scope.spawn(|| tapes.read_ahead(reading.as_ref(), &people));
            Self::open(disk, folder, bench)
        })?;
        Ok(Self { tapes, ..opened })
    }

    /// Opens the shop again, as its files are now; what was read of the journals stays read.
    pub fn anew(&self) -> Result<Self, AppError> {
        let (disk, folder) = (Arc::clone(&self.disk), self.folder.clone());
        Ok(Self {
            tapes: Arc::clone(&self.tapes),
            prices: Arc::clone(&self.prices),
            ..Self::open(disk, folder, self.bench.clone())?
        })
    }

    /// Does `other` while the jobs are being read.
    pub fn beside_archive<T>(&self, other: impl FnOnce() -> T) -> (T, Result<Archive, AppError>) {
        thread::scope(|scope| {
            let archive = scope.spawn(|| self.archive());
            let done = other();
            match archive.join() {
                Ok(archive) => (done, archive),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        })
    }

    /// Returns the boards' ids.
    pub fn board_ids(&self) -> Vec<String> {
        self.boards.iter().map(|b| b.id.clone()).collect()
    }

    /// Returns the circuit families' ids.
    pub fn family_ids(&self) -> Vec<String> {
        self.circuits.all().iter().map(|f| f.id.clone()).collect()
    }

    /// Returns the decks' names.
    pub fn deck_ids(&self) -> Vec<String> {
        self.decks.iter().map(|d| d.deck.clone()).collect()
    }

    /// Returns the bench day of `now`.
    pub fn day(&self, now: DateTime<Utc>) -> NaiveDate {
        self.calendar.bench_day(now)
    }

    /// Reads the jobs.
    pub fn archive(&self) -> Result<Archive, AppError> {
        let loaded = crate::store::jobs::load_jobs(
            self.disk.as_ref(),
            &self.folder,
            &self.shop,
            &self.circuits,
        )?;
        Ok(Archive {
            jobs: loaded.jobs.into_iter().map(|record| record.job).collect(),
            faults: loaded.faults,
            unread: loaded.unread,
            fingerprint: loaded.fingerprint,
        })
    }

    /// Returns every card in use, each once, in the order of decks and their cards.
    pub fn cards(&self) -> Vec<&Card> {
        let mut cards = self.all_cards();
        cards.retain(|card| !self.edits.out().contains(&card.id));
        cards
    }

    /// Returns every card that goes on under its own id, also those out of use, each once. A card
    /// that the shop made itself stands before the same card borrowed from another shop.
    pub fn all_cards(&self) -> Vec<&Card> {
        let mut seen = Names::default();
        self.decks
            .iter()
            .flat_map(|deck| &deck.cards)
            .filter(|card| !self.edits.aliases().contains_key(&card.id))
            .filter(|card| {
                let before = seen.len();
                seen.number(&card.id) as usize == before
            })
            .collect()
    }

    /// Returns what is damaged among the people's own files.
    pub fn people_faults(&self) -> Result<Vec<Fault>, AppError> {
        let (_, faults) = crate::store::people::list_people(self.disk.as_ref(), &self.folder)?;
        Ok(faults)
    }

    /// Returns the people of the shop.
    pub fn people(&self) -> Result<Vec<Person>, AppError> {
        let (records, _) = crate::store::people::list_people(self.disk.as_ref(), &self.folder)?;
        Ok(records.into_iter().map(|record| record.person).collect())
    }

    /// Returns the folders of those who answer for the cards.
    pub fn leads(&self) -> Result<BTreeSet<String>, AppError> {
        let people = self.people()?.into_iter();
        let leads = people.filter(|person| person.post == Post::Lead);
        Ok(leads.map(|person| person.id).collect())
    }

    /// Returns the person named, or the only one there is.
    pub fn person(&self, id: Option<&str>) -> Result<Person, AppError> {
        let mut people = self.people()?;
        if let Some(id) = id {
            let at = people
                .iter()
                .position(|p| p.id == id || p.initials.eq_ignore_ascii_case(id));
            if let Some(at) = at {
                return Ok(people.swap_remove(at));
            }
            let id = id.to_lowercase();
            if let Ok(path) = self.folder.person_json(&id) {
                let load = crate::store::people::load_person;
                let (_, faults) = load(self.disk.as_ref(), &self.folder, &id)?;
                if !faults.is_empty() {
                    return Err(StoreError::Damaged { path, faults }.into());
                }
            }
            return Err(AppError::NoPerson { id });
        }
        match (people.pop(), people.is_empty()) {
            (Some(only), true) => Ok(only),
            (last, _) => Err(AppError::WhichPerson {
                known: people.into_iter().chain(last).map(|p| p.id).collect(),
            }),
        }
    }

    /// Returns the lines that tell what is damaged, with paths as seen from the shop folder.
    pub fn fault_lines(&self, faults: &[Fault]) -> Vec<String> {
        faults
            .iter()
            .map(|fault| {
                let mut shown = fault.clone();
                if let Ok(inside) = fault.path.strip_prefix(self.folder.root()) {
                    Path::new(inside).clone_into(&mut shown.path);
                }
                shown.to_string()
            })
            .collect()
    }
}

/// What the fold of reviews asks about cards.
#[derive(Debug)]
pub struct Facts<'a> {
    aliases: &'a BTreeMap<String, String>,
    ids: Names,
    /// Each card by the number of its id, with its mark, made when it is first asked for.
    accepted: Vec<(&'a Card, OnceLock<String>)>,
}

impl<'a> Facts<'a> {
    /// Returns the facts about the cards of `workbench`.
    pub fn of(workbench: &'a Workbench) -> Self {
        let mut ids = Names::default();
        let cards = workbench.cards().into_iter();
        let accepted = cards
            .map(|card| {
                ids.number(&card.id);
                (card, OnceLock::new())
            })
            .collect();
        Self {
            aliases: workbench.edits.aliases(),
            ids,
            accepted,
        }
    }
}

impl<'a> Facts<'a> {
    /// Returns facts that know only the current ids, which is all that one more event needs.
    pub fn ids(workbench: &'a Workbench) -> Self {
        Self {
            aliases: workbench.edits.aliases(),
            ids: Names::default(),
            accepted: Vec::new(),
        }
    }
}

impl<'a> Facts<'a> {
    /// Returns facts that know what these cards accept, by their current ids.
    pub(crate) fn among(workbench: &'a Workbench, wanted: &HashSet<&str>) -> Self {
        let mut facts = Self::ids(workbench);
        if wanted.is_empty() {
            return facts;
        }
        let out = workbench.edits.out();
        for card in workbench.decks.iter().flat_map(|deck| &deck.cards) {
            let id = card.id.as_str();
            let asked = wanted.contains(id) && !facts.aliases.contains_key(id) && !out.contains(id);
            if asked && facts.ids.find(id).is_none() {
                facts.ids.number(id);
                facts.accepted.push((card, OnceLock::new()));
            }
        }
        facts
    }
}

impl Facts<'_> {
    /// Returns how many cards they know of.
    pub(crate) fn len(&self) -> usize {
        self.accepted.len()
    }

    /// Works out what every card accepts; who asks for one meanwhile works it out or waits for it.
    pub(crate) fn work_out_accepted(&self) {
        for (card, mark) in &self.accepted {
            mark.get_or_init(|| card.accepted_mark());
        }
    }
}

impl CardFacts for Facts<'_> {
    fn current_id<'b>(&'b self, id: &'b str) -> &'b str {
        overlay::current(self.aliases, id)
    }

    fn accepted(&self, id: &str) -> Option<&str> {
        let (card, mark) = self.accepted.get(self.ids.find(id)? as usize)?;
        Some(mark.get_or_init(|| card.accepted_mark()))
    }
}

/// Lays the leads' edits over the cards and returns how they stand, and what cards accepted before.
///
/// Decks that were borrowed go behind the shop's own: two shops that made a card of one fix gave it
/// one id, and what counts here is what was counted here.
fn lay_over(decks: &mut [Deck], edits: Vec<EditEntry>) -> (Overlay, Corrections) {
    decks.sort_by_key(lend::is_borrowed);
    if edits.is_empty() {
        return (Overlay::default(), Corrections::default());
    }
    let mut known: HashMap<String, (CardKind, String)> = HashMap::new();
    for card in decks.iter().flat_map(|deck| &deck.cards) {
        let of = (card.kind, card.board.clone());
        known.entry(card.id.clone()).or_insert(of);
    }
    let fits = |from: &str, into: &str| match (known.get(from), known.get(into)) {
        (Some(from), Some(into)) => from == into,
        _ => true,
    };
    let mut overlay = Overlay::fold_fitting(edits, &|id| known.contains_key(id), &fits);
    let corrections = Corrections::of(decks, &overlay);
    overlay.apply(decks);
    (overlay, corrections)
}
