//! What the desk knows of every card: read once from archive, journals and edits.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashSet;

use chrono::DateTime;
use chrono::Months;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::record;
use crate::app::workbench::AppError;
use crate::app::workbench::Archive;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::desk::divide;
use crate::domain::desk::doubts;
use crate::domain::desk::doubts::Doubt;
use crate::domain::desk::missed;
use crate::domain::desk::missed::Missing;
use crate::domain::desk::pattern::Patterns;
use crate::domain::gaps::spots;
use crate::domain::gaps::spots::Lines;
use crate::domain::gaps::spots::Review;
use crate::domain::gaps::spots::Window;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::tier;
use crate::domain::generate::weigh::shelf;
use crate::domain::history::CardFacts as _;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;
use crate::domain::review::Event;
use crate::domain::tape;
use crate::domain::tape::Tape;
use crate::domain::tape::What;
use crate::domain::text::clean;
use crate::store::fault::Fault;

/// Months of jobs that count as what the shop meets.
const MET_MONTHS: u32 = 24;

/// What the desk knows.
pub(crate) struct Gathered {
    pub(crate) archive: Archive,
    pub(crate) day: NaiveDate,
    pub(crate) doubts: BTreeMap<String, Vec<Doubt>>,
    pub(crate) out: BTreeSet<String>,
    pub(crate) missing: BTreeMap<String, Missing>,
    pub(crate) asked: BTreeMap<String, BTreeSet<String>>,
    pub(crate) initials: BTreeMap<String, String>,
    pub(crate) faults: Vec<Fault>,
    patterns: Patterns,
    lineage: Lineage,
    met_since: NaiveDate,
    /// Numbers of the jobs whose unit came again; asked for where something speaks against a card.
    came_again: OnceCell<BTreeSet<String>>,
    /// Jobs that came back for their diagnosis, by the card that their fix is of.
    misled: OnceCell<BTreeMap<String, Vec<usize>>>,
}

impl Gathered {
    /// Reads everything that the desk says about `cards`.
    pub(crate) fn of(
        workbench: &Workbench,
        cards: &[&Card],
        now: DateTime<Utc>,
    ) -> Result<Self, AppError> {
        let (people, archive) = workbench.beside_archive(|| People::read(workbench, now));
        let (people, archive) = (people?, archive?);
        let day = workbench.day(now);
        let patterns = Patterns::of(cards, &archive.jobs, &workbench.boards);
        let mut faults = people.faults;
        faults.extend(archive.faults.iter().chain(&archive.unread).cloned());
        let mut by_card: BTreeMap<String, Vec<Doubt>> = BTreeMap::new();
        let out = doubts::out_for_all(&people.doubts, &workbench.leads()?);
        for doubt in people.doubts {
            by_card.entry(doubt.card.clone()).or_default().push(doubt);
        }
        Ok(Self {
            day,
            doubts: by_card,
            out,
            missing: people.missing,
            asked: people.asked,
            initials: people.initials,
            faults,
            patterns,
            lineage: Lineage::standing(&workbench.edits),
            met_since: day
                .checked_sub_months(Months::new(MET_MONTHS))
                .unwrap_or(NaiveDate::MIN),
            came_again: OnceCell::new(),
            misled: OnceCell::new(),
            archive,
        })
    }

    /// Returns the jobs that show the pattern of `card`.
    ///
    /// Of a part that a lead split off, only jobs that say what the part is of. A pattern over several
    /// boards is told in functions, not in the places of a board, and a card that gives the fix shows
    /// none: of these the jobs that they rest on.
    pub(crate) fn jobs_like(&self, workbench: &Workbench, card: &Card) -> Vec<usize> {
        if card.is_across() || card.kind == CardKind::Expect {
            let own: HashSet<&str> = card.jobs.iter().map(String::as_str).collect();
            let jobs = self.archive.jobs.iter().enumerate();
            let own = jobs.filter(|(_, job)| own.contains(job.job.as_str()));
            return own.map(|(at, _)| at).collect();
        }
        let found = self.patterns.jobs(card, &workbench.boards).into_iter();
        let of_the_part = |at: &usize| {
            let job = &self.archive.jobs[*at];
            self.lineage
                .may_stand_for(&card.id, &|by| divide::value(job, by))
        };
        found.filter(of_the_part).collect()
    }

    /// Returns the jobs of a card's fix that came back for their diagnosis, whatever else they read: one
    /// that the card showed once may show other findings than it does since.
    pub(crate) fn misled(&self, workbench: &Workbench, card: &Card) -> &[usize] {
        let of_fixes = || {
            let mut found: BTreeMap<String, Vec<usize>> = BTreeMap::new();
            for (at, job) in self.archive.jobs.iter().enumerate() {
                if !tier::misdiagnosed(job) {
                    continue;
                }
                let board = workbench.boards.iter().find(|b| b.id == job.board);
                let variant = band::variant(job, board);
                let own = shelf::group_id(&job.board, &job.fix(), variant);
                let place = self.lineage.place(&own, &|by| divide::value(job, by));
                if let Some(place) = place {
                    found.entry(place.card).or_default().push(at);
                }
            }
            found
        };
        let found = self.misled.get_or_init(of_fixes);
        found.get(&card.id).map_or(&[], Vec::as_slice)
    }

    /// Tells whether the unit of a job was in the shop again later.
    pub(crate) fn came_again(&self, job: &Job) -> bool {
        let again = self.came_again.get_or_init(|| {
            let all: Vec<&Job> = self.archive.jobs.iter().collect();
            let history = tier::History::of(&all);
            let again = all.into_iter().filter(|job| history.came_again(job));
            again.map(|job| job.job.clone()).collect()
        });
        again.contains(&job.job)
    }

    /// Tells how many of these jobs the shop met lately.
    pub(crate) fn met_lately(&self, jobs: &[usize]) -> usize {
        let lately = |at: &&usize| {
            let closed = self.archive.jobs[**at].closed_on;
            self.met_since <= closed && closed <= self.day
        };
        jobs.iter().filter(lately).count()
    }

    /// Returns the initials of a person, fit for a line.
    pub(crate) fn who(&self, person: &str) -> String {
        clean(self.initials.get(person).map_or(person, String::as_str))
    }
}

/// What everyone's journals say about the cards.
struct People {
    doubts: Vec<Doubt>,
    missing: BTreeMap<String, Missing>,
    asked: BTreeMap<String, BTreeSet<String>>,
    initials: BTreeMap<String, String>,
    faults: Vec<Fault>,
}

impl People {
    fn read(workbench: &Workbench, now: DateTime<Utc>) -> Result<Self, AppError> {
        let mut journals = Vec::new();
        let mut faults = Vec::new();
        let mut folders = BTreeSet::new();
        let disk = workbench.disk.as_ref();
        for person in workbench.tapes.read_people(disk, &workbench.folder)? {
            folders.insert(person.person);
            faults.extend(person.faults);
            journals.extend(person.journals);
        }
        let tapes: Vec<&Tape> = journals.iter().map(|read| &read.tape).collect();
        let facts = Facts::ids(workbench);
        let moved = tapes.iter().flat_map(|t| &t.lines).any(|line| {
            let What::Other(event) = &line.what else {
                return false;
            };
            matches!(event.as_ref(), Event::Move { .. })
        });
        let window = Window::last(missed::DAYS, workbench.day(now));
        let mut reviews: Vec<(&str, Review)> = Vec::new();
        let mut asked: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for person in &folders {
            // Only a sitting that was moved makes the journals of others matter.
            let own: Vec<&Tape> = tapes
                .iter()
                .copied()
                .filter(|tape| moved || tape.person == *person)
                .collect();
            let (places, _) = tape::lines_of(person, &own);
            for card in cards_in(&places, &own) {
                let card = facts.current_id(card).to_owned();
                asked.entry(card).or_default().insert(person.clone());
            }
            let lines = Lines {
                places: &places,
                tapes: &own,
            };
            let of_person = spots::reviews(lines, &facts, window);
            reviews.extend(of_person.into_iter().map(|r| (person.as_str(), r)));
        }
        let mut by_card: BTreeMap<&str, Vec<(&str, &Review)>> = BTreeMap::new();
        for (person, review) in &reviews {
            by_card
                .entry(&review.card)
                .or_default()
                .push((person, review));
        }
        let missing = by_card.into_iter().map(|(card, reviews)| {
            let counted = missed::counted(&reviews);
            (card.to_owned(), counted)
        });
        let people = workbench.people()?.into_iter();
        Ok(Self {
            missing: missing.collect(),
            doubts: record::standing_doubts(workbench, &tapes, &facts),
            asked,
            initials: people.map(|p| (p.id, p.initials)).collect(),
            faults,
        })
    }
}

/// Returns the cards that these lines answer, each once a journal.
fn cards_in<'a>(places: &[tape::Spot], tapes: &[&'a Tape]) -> BTreeSet<&'a str> {
    let numbers: BTreeSet<(usize, u32)> = places
        .iter()
        .filter_map(|place| match &tapes[place.tape].lines[place.line].what {
            What::Answer(short) => Some((place.tape, short.card)),
            What::Other(_) => None,
        })
        .collect();
    let names = numbers.into_iter();
    names
        .map(|(tape, card)| tapes[tape].names.get(card))
        .collect()
}
