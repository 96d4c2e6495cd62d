//! A shop that has grown: 20,000 cards, and four years of one person's reviews, 200,000 lines; or another
//! size that a bench asks for.
//!
//! The cards are those of the practice shop that ask for a fix, over and over, each with an id, a part and jobs of its
//! own, spread over all circuit families. The journal is written by the library's own writer on a disk
//! that does not sync, twenty new cards a day and the rest coming back. Nothing here is random.

use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use benchlore::app::gaps;
use benchlore::app::home;
use benchlore::app::practice;
use benchlore::app::practice::Options;
use benchlore::app::practice::Practice;
use benchlore::app::record;
use benchlore::app::workbench::Workbench;
use benchlore::domain::card::Card;
use benchlore::domain::card::CardKind;
use benchlore::domain::card::Deck;
use benchlore::domain::ids;
use benchlore::domain::price::Prices;
use benchlore::domain::queue;
use benchlore::domain::queue::Aim;
use benchlore::domain::queue::Today;
use benchlore::domain::review::Answered;
use benchlore::domain::review::Event;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Millis;
use benchlore::domain::review::Mode;
use benchlore::domain::review::Sure;
use benchlore::domain::review::Verdict;
use benchlore::store::decks;
use benchlore::store::disk::About;
use benchlore::store::disk::Disk;
use benchlore::store::disk::DiskFile;
use benchlore::store::disk::Locking;
use benchlore::store::disk::RealDisk;
use benchlore::store::journal;
use benchlore::store::journal::Journal;
use benchlore::store::lock::Holder;
use benchlore::store::paths::ShopFolder;
use benchlore::store::sealed;
use chrono::DateTime;
use chrono::TimeDelta;
use chrono::Utc;

use crate::milliseconds;
use crate::report;

/// How big a shop is, and how its one person drills.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Size {
    /// Cards.
    pub(crate) cards: usize,
    /// Journal lines.
    pub(crate) lines: usize,
    /// Of a day.
    pub(crate) lines_a_day: usize,
    /// Cards met for the first time on a day.
    pub(crate) new_a_day: usize,
    /// Benches that the person drills at, a day at one and the next at the other.
    pub(crate) benches: &'static [&'static str],
}

/// The big shop.
pub(crate) const BIG: Size = Size {
    cards: 20_000,
    lines: 200_000,
    lines_a_day: 200,
    new_a_day: 20,
    benches: &["t1"],
};
const ROUNDS: usize = 7;

/// The computer's files, without waiting for the disk: for making data, never for measuring.
#[derive(Debug)]
struct Hasty(RealDisk);

struct HastyFile(Box<dyn DiskFile>);

impl DiskFile for HastyFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }
    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Disk for Hasty {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.0.read(path)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        self.0.list(folder)
    }
    fn exists(&self, path: &Path) -> io::Result<bool> {
        self.0.exists(path)
    }
    fn open_append(&self, path: &Path) -> io::Result<Box<dyn DiskFile>> {
        Ok(Box::new(HastyFile(self.0.open_append(path)?)))
    }
    fn create_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.0.create_new(path, bytes)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.0.rename(from, to)
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.0.sync_folder(folder)
    }
    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        self.0.make_folder(folder)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.0.remove(path)
    }
    fn remove_folder(&self, folder: &Path) -> io::Result<()> {
        self.0.remove_folder(folder)
    }
    fn about(&self, path: &Path) -> io::Result<About> {
        self.0.about(path)
    }
    fn read_part(&self, path: &Path, from: u64, most: usize) -> io::Result<Vec<u8>> {
        self.0.read_part(path, from, most)
    }
    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking> {
        self.0.lock(path, note)
    }
}

/// Makes `n` cards out of those of the shop in `root` and puts them in place of its deck.
fn make_deck(root: &Path, n: usize) -> Vec<Card> {
    let folder = ShopFolder::new(root.to_owned());
    let workbench = open(root);
    let families = workbench.family_ids();
    let like = workbench.decks.iter().find(|deck| deck.deck == "shop");
    let like = like.expect("the practice shop has its deck");
    let of_fixes = like.cards.iter().filter(|c| c.kind == CardKind::Fix);
    let models: Vec<&Card> = of_fixes.collect();
    let mut cards = Vec::with_capacity(n);
    for i in 0..n {
        let mut card = models[i % models.len()].clone();
        let number = i.to_string();
        card.id = ids::long_mark([card.id.as_str(), number.as_str()]);
        card.family.clone_from(&families[i % families.len()]);
        for step in card.answers.iter_mut().flat_map(|a| &mut a.steps) {
            step.part = format!("{}{}", &step.part[..1], 100 + i / 7);
        }
        // The first cards keep their jobs, so that shares differ.
        if models.len() <= i {
            for (k, job) in card.jobs.iter_mut().enumerate() {
                *job = format!("W-{:05}", 10_000 + i * 3 + k);
            }
        }
        cards.push(card);
    }
    let deck = Deck {
        deck: like.deck.clone(),
        name: like.name.clone(),
        from: like.from.clone(),
        cards,
    };
    decks::save_deck(&RealDisk, &folder, &deck).expect("the deck is written");
    deck.cards
}

/// Fills the journals of `person` with answers that end the day before `until`.
fn make_journals(root: &Path, person: &str, size: Size, cards: &[Card], until: DateTime<Utc>) {
    let disk: Arc<dyn Disk> = Arc::new(Hasty(RealDisk));
    let folder = ShopFolder::new(root.to_owned());
    let workbench = open(root);
    let marks: Vec<(String, String)> = cards
        .iter()
        .map(|card| (card.asked_mark(), card.accepted_mark()))
        .collect();
    let days = size.lines / size.lines_a_day;
    // Five days a week.
    let back = |day: usize| i64::try_from((days - day - 1) / 5 * 7 + (days - day - 1) % 5 + 1);
    let holder = Holder {
        who: "the bench".to_owned(),
        since: until,
    };
    let open = |bench: &&str| {
        Journal::open(&disk, &folder, person, bench, &holder)
            .expect("the journal opens")
            .0
    };
    let mut journals: Vec<Journal> = size.benches.iter().map(open).collect();
    let mut chance = 7_u64;
    let mut draw = |below: usize| {
        chance = chance
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(chance >> 33).expect("31 bits") % below
    };
    let mut met = 0;
    for day in 0..days {
        let start = until - TimeDelta::days(back(day).expect("a few years"));
        let at_bench = day % size.benches.len();
        let (bench, journal) = (size.benches[at_bench], &mut journals[at_bench]);
        let sitting = format!("{bench}-{person}-{}", start.format("%Y%m%dT%H%M%S%3f"));
        for n in 0..size.lines_a_day {
            let fresh = n % (size.lines_a_day / size.new_a_day) == 0 && met < cards.len();
            let at = if fresh { met } else { draw(met.max(1)) };
            met += usize::from(fresh);
            let (card, (asked, accepted)) = (&cards[at], &marks[at]);
            let missed = draw(9) == 0;
            let (grade, aloud) = if missed {
                (Grade::Missed, false)
            } else {
                (Grade::ALL[1 + draw(3)], draw(3) != 0)
            };
            let said = if missed && draw(2) == 0 {
                "buck"
            } else {
                &card.family
            };
            let typed = if aloud {
                String::new()
            } else {
                let step = &card.answers[0].steps[0];
                format!("{} {}", step.act, step.part.to_lowercase())
            };
            let event = Event::Answer(Box::new(Answered {
                card: card.id.clone(),
                asked: asked.clone(),
                accepted: accepted.clone(),
                sitting: sitting.clone(),
                mode: if n % 50 == 7 {
                    Mode::SpotCheck
                } else {
                    Mode::Drill
                },
                grade,
                proposed: grade,
                ms: Millis {
                    circuit: 2_000 + draw(3_000) as u64,
                    answer: 3_000 + draw(5_000) as u64,
                    reveal: 1_500 + draw(4_000) as u64,
                },
                circuit: Some((card.family.clone(), said.to_owned())),
                typed,
                aloud,
                sure: Sure::ALL[draw(3)],
                overruled: false,
                verdict: Verdict {
                    circuit: Some(said == card.family),
                    fix: (!aloud).then_some(!missed),
                    unsafe_answer: false,
                },
                next_days: u32::try_from(1 + draw(60)).expect("few"),
                options: 0,
            }));
            let moment = start + TimeDelta::milliseconds(i64::try_from(n * 21_013).expect("small"));
            journal
                .append(event, moment, workbench.day(moment))
                .expect("the line is written");
        }
    }
}

/// Makes the shop in `root` a big one; returns the bytes of its deck and of the journals.
pub(crate) fn grow(root: &Path, person: &str, size: Size, until: DateTime<Utc>) -> (u64, u64) {
    let cards = make_deck(root, size.cards);
    make_journals(root, person, size, &cards, until);
    let folder = ShopFolder::new(root.to_owned());
    let bytes = |path: PathBuf| std::fs::metadata(path).map_or(0, |m| m.len());
    let journal = |bench: &&str| bytes(folder.journal(person, bench).expect("a name"));
    (
        bytes(folder.deck("shop").expect("a name")),
        size.benches.iter().map(journal).sum(),
    )
}

/// Lets the person drill one day more, at the first bench.
pub(crate) fn one_more_day(root: &Path, person: &str, until: DateTime<Utc>) {
    let workbench = open(root);
    let deck = workbench.decks.iter().find(|deck| deck.deck == "shop");
    let cards = &deck.expect("it was made").cards;
    let size = Size {
        lines: 400,
        lines_a_day: 400,
        new_a_day: 50,
        benches: &["t1"],
        ..BIG
    };
    make_journals(root, person, size, cards, until);
}

fn open(root: &Path) -> Workbench {
    let folder = ShopFolder::new(root.to_owned());
    Workbench::open(Arc::new(RealDisk), folder, "t1".to_owned()).expect("the shop opens")
}

fn timed<T>(figures: &mut Vec<f64>, act: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let done = act();
    figures.push(milliseconds(start.elapsed()));
    done
}

/// Prints what each stage of the way to the home screen takes inside one process.
pub(crate) fn stages(root: &Path, person: &str, now: DateTime<Utc>) {
    let folder = ShopFolder::new(root.to_owned());
    let path = folder.journal(person, "t1").expect("a name");
    let mut named: Vec<(&str, Vec<f64>)> = Vec::new();
    for _ in 0..ROUNDS {
        let mut at = 0;
        let mut stage = |name: &'static str| {
            if named.len() <= at {
                named.push((name, Vec::new()));
            }
            at += 1;
            at - 1
        };
        let (read, scan, parse, load, jobs, all, cards_stage, plan, spots, whole, begin, undo) = (
            stage("journal: bytes"),
            stage("journal: lines and sums"),
            stage("journal: all of reading, full lines"),
            stage("shop and deck"),
            stage("jobs"),
            stage("record: read and fold"),
            stage("cards_for"),
            stage("plan"),
            stage("spot checks"),
            stage("home, all of it"),
            stage("a sitting opens"),
            stage("undo of one answer"),
        );
        let bytes = timed(&mut named[read].1, || RealDisk.read(&path).expect("read"));
        timed(&mut named[scan].1, || sealed::scan(&bytes).lines.len());
        drop(bytes);
        drop(timed(&mut named[parse].1, || {
            journal::read_people(&RealDisk, &folder).expect("read")
        }));
        let workbench = timed(&mut named[load].1, || open(root));
        timed(&mut named[jobs].1, || workbench.archive().expect("read"));
        let who = workbench.person(Some(person)).expect("there");
        let record = timed(&mut named[all].1, || {
            record::record(&workbench, person, now).expect("folds")
        });
        let options = Options::default();
        let cards = timed(&mut named[cards_stage].1, || {
            practice::cards_for(&workbench, &record, &who, &options).expect("cards")
        });
        let shares = queue::job_shares(&cards, &[], workbench.day(now), &workbench.shop.incoming);
        let costs = queue::miss_costs(&cards, &[]);
        let prices = Prices::with(&record.history.weights, &record.history.manner.habits());
        timed(&mut named[plan].1, || {
            queue::plan(&Today {
                cards: &cards,
                history: &record.history,
                circuits: &workbench.circuits,
                shares: &shares,
                costs: &costs,
                prices: &prices,
                aim: Aim::Steady,
                first: None,
                day: workbench.day(now),
                target: workbench.shop.target_recall,
                minutes: options.minutes,
                seed: 1,
                only_spot_checks: None,
            })
            .len()
        });
        timed(&mut named[spots].1, || {
            gaps::measured_of_late(&workbench, &record, workbench.day(now))
        });
        drop((cards, record));
        timed(&mut named[whole].1, || {
            home::home(&workbench, &who, &options, 1, now).expect("home")
        });
        let mut practice = timed(&mut named[begin].1, || {
            Practice::open(&workbench, &who, &options, 1, now).expect("opens")
        });
        let family = practice.sitting().card().expect("a card").family.clone();
        practice.say_circuit(&family, 4_000);
        practice.say_fix(&benchlore::domain::sitting::Said::Aloud, Sure::Fair, 8_000);
        practice.keep(1_000, now).expect("kept");
        timed(&mut named[undo].1, || practice.undo(now).expect("undone"));
    }
    for (name, figures) in named {
        report(&format!("  {name}"), figures, None);
    }
}
