//! Three invented people and their practice: 120 days of drill, sat through the program's own queue,
//! judge and journal.
//!
//! What is invented is the mind: how well somebody holds a card, which circuits somebody mixes up, how
//! sure and how fast somebody is. It is a simpler rule than the program's memory model on purpose, so
//! that what the model expects and what happens here are two different things. None of it was measured
//! on a person. Only arithmetic that is the same on every machine is used.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use benchlore::app::archive;
use benchlore::app::demo;
use benchlore::app::practice;
use benchlore::app::practice::Options;
use benchlore::app::practice::Record;
use benchlore::app::workbench::Archive;
use benchlore::app::workbench::Facts;
use benchlore::app::workbench::Workbench;
use benchlore::domain::card::Card;
use benchlore::domain::review::Event;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Sure;
use benchlore::domain::shop::Assigned;
use benchlore::domain::shop::Person;
use benchlore::domain::shop::Post;
use benchlore::domain::sitting::Said;
use benchlore::domain::sitting::Setup;
use benchlore::domain::sitting::Sitting;
use benchlore::domain::sitting::Stage;
use benchlore::store::disk::Disk;
use benchlore::store::journal::Journal;
use benchlore::store::lock::Holder;
use benchlore::store::model_disk::ModelDisk;
use benchlore::store::paths::ShopFolder;
use benchlore::store::record::person::PersonRecord;
use chrono::DateTime;
use chrono::Datelike;
use chrono::NaiveDate;
use chrono::NaiveTime;
use chrono::TimeDelta;
use chrono::TimeZone;
use chrono::Utc;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

/// Days of practice.
const DAYS: i64 = 120;
/// The deck is built again so often, as a shop would.
const BUILT_EVERY: i64 = 30;
/// Minutes of a sitting.
const MINUTES: f64 = 12.0;
/// Spot checks that a lead asks for to measure a weak circuit, and on which days.
const MEASURE: usize = 20;
const MEASURED_ON: [i64; 2] = [74, 102];
/// Seed of everything below.
const SEED: u64 = 20_261_119;

/// What is invented about one person.
struct Mind {
    id: &'static str,
    post: Post,
    /// Chance of knowing a card at its first meeting.
    at_first: f64,
    /// How much a right answer lengthens the days a card is held.
    growth: f64,
    /// Circuits that stay hard, each with the one it is taken for.
    weak: &'static [(&'static str, &'static str)],
    /// Chance of being sure of a wrong answer.
    over_sure: f64,
    /// Milliseconds that the first look takes at least.
    pace: u64,
    /// Chance of sitting down on a working day.
    comes: f64,
    /// Days away: first and last, counted from the first day of practice.
    away: Option<(i64, i64)>,
    /// Chance of saying a fix aloud rather than typing it.
    aloud: f64,
}

const MINDS: [Mind; 3] = [
    Mind {
        id: "jo",
        post: Post::Technician,
        at_first: 0.7,
        growth: 2.9,
        weak: &[],
        over_sure: 0.15,
        pace: 2600,
        comes: 0.93,
        away: None,
        aloud: 0.1,
    },
    Mind {
        id: "pd",
        post: Post::Trainee,
        at_first: 0.35,
        growth: 2.1,
        weak: &[("buck", "core"), ("standby", "sequence")],
        over_sure: 0.65,
        pace: 3400,
        comes: 0.9,
        away: None,
        aloud: 0.2,
    },
    Mind {
        id: "sv",
        post: Post::Trainee,
        at_first: 0.45,
        growth: 2.4,
        weak: &[],
        over_sure: 0.2,
        pace: 4200,
        comes: 0.88,
        away: Some((62, 82)),
        aloud: 0.3,
    },
];

/// How a card is held: days until the chance of knowing it has fallen to nine in ten, and since when.
struct Hold {
    days: f64,
    since: NaiveDate,
}

/// The shop's files but its jobs and people.
const FILES: [(&str, &str); 9] = [
    ("shop.json", include_str!("../shop.json")),
    (
        "boards/petrel-p4.json",
        include_str!("../boards/petrel-p4.json"),
    ),
    (
        "boards/skua-e6.json",
        include_str!("../boards/skua-e6.json"),
    ),
    (
        "boards/tern-h3.json",
        include_str!("../boards/tern-h3.json"),
    ),
    (
        "boards/dunlin-s20.json",
        include_str!("../boards/dunlin-s20.json"),
    ),
    (
        "boards/gannet-a2.json",
        include_str!("../boards/gannet-a2.json"),
    ),
    (
        "boards/fulmar-g5.json",
        include_str!("../boards/fulmar-g5.json"),
    ),
    (
        "decks/bench-rules.json",
        include_str!("../../decks/bench-rules.json"),
    ),
    (
        "decks/bench-safety.json",
        include_str!("../../decks/bench-safety.json"),
    ),
];

/// Returns the files of `people/` as place and content, made by drilling in the shop with `jobs`.
pub(crate) fn people(jobs: &str) -> Vec<(String, String)> {
    let disk = ModelDisk::new();
    let folder = ShopFolder::new(Path::new("/shop"));
    for (place, content) in FILES {
        disk.put(&folder.root().join(place), content.as_bytes());
    }
    for mind in &MINDS {
        let record = PersonRecord::new(person(mind));
        let text = record.to_text().expect("a new record can be written");
        let path = folder.person_json(mind.id).expect("a plain name");
        disk.put(&path, text.as_bytes());
    }
    let first = NaiveDate::from_ymd_opt(2026, 7, 23).expect("a date");
    let mut lives: Vec<Life> = MINDS.iter().map(Life::new).collect();
    let mut bench = None;
    for n in 0..DAYS {
        let day = first + TimeDelta::days(n);
        if n % BUILT_EVERY == 0 {
            let built = Bench::build(&disk, &folder, jobs, day);
            for life in &mut lives {
                life.read_again(&built, day);
            }
            bench = Some(built);
        }
        let bench = bench.as_ref().expect("built on the first day");
        for life in &mut lives {
            life.live(bench, n, day);
        }
    }
    drop(lives);
    let mut found = Vec::new();
    for mind in &MINDS {
        let place = folder.person(mind.id).expect("a plain name");
        for path in disk.list(&place).expect("the folder is there") {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            if name.ends_with(".json") || name.ends_with(".jsonl") {
                let text = String::from_utf8(disk.read(&path).expect("the file is there"));
                let place = format!("people/{}/{name}", mind.id);
                found.push((place, text.expect("the program writes UTF-8")));
            }
        }
    }
    found
}

fn person(mind: &Mind) -> Person {
    Person {
        id: mind.id.to_owned(),
        initials: mind.id.to_uppercase(),
        post: mind.post,
        assigned: Assigned::default(),
        options: false,
        aim: None,
        goal: None,
    }
}

/// The shop as it was on the day its deck was built.
struct Bench {
    disk: Arc<dyn Disk>,
    workbench: Workbench,
    archive: Archive,
}

impl Bench {
    fn build(disk: &ModelDisk, folder: &ShopFolder, jobs: &str, day: NaiveDate) -> Self {
        let closed: Vec<&str> = jobs.lines().filter(|l| closed_on(l) < day).collect();
        let text = format!("{}\n", closed.join("\n"));
        disk.put(&folder.root().join("jobs/practice.jsonl"), text.as_bytes());
        let shared: Arc<dyn Disk> = Arc::new(disk.clone());
        let open = || Workbench::open(Arc::clone(&shared), folder.clone(), "b1".to_owned());
        let workbench = open().expect("the shop opens");
        let at = workbench
            .calendar
            .zone
            .from_utc_datetime(&day.and_time(NaiveTime::MIN));
        archive::build(&workbench, &demo::deck(), at.to_utc()).expect("the deck is built");
        let workbench = open().expect("the shop opens");
        let archive = workbench.archive().expect("the jobs can be read");
        Self {
            disk: shared,
            workbench,
            archive,
        }
    }
}

/// Returns the closing day of a job's line.
fn closed_on(line: &str) -> NaiveDate {
    let job: serde_json::Value = serde_json::from_str(line).expect("a job's line");
    let day = job["closed_on"].as_str().unwrap_or_default();
    day.parse().expect("a closing day")
}

/// One person's practice as it goes on.
struct Life {
    mind: &'static Mind,
    chance: ChaCha12Rng,
    holds: BTreeMap<String, Hold>,
    journals: BTreeMap<&'static str, Journal>,
    record: Option<Record>,
}

impl Life {
    fn new(mind: &'static Mind) -> Self {
        let who = mind.id.bytes().fold(SEED, |sum, b| sum * 31 + u64::from(b));
        Self {
            mind,
            chance: ChaCha12Rng::seed_from_u64(who),
            holds: BTreeMap::new(),
            journals: BTreeMap::new(),
            record: None,
        }
    }

    fn read_again(&mut self, bench: &Bench, day: NaiveDate) {
        let now = day.and_time(NaiveTime::MIN).and_utc();
        let record = practice::record(&bench.workbench, self.mind.id, now);
        self.record = Some(record.expect("the journals can be read"));
    }

    fn chance(&mut self, share: f64) -> bool {
        self.chance.random::<f64>() < share
    }

    fn between(&mut self, low: u64, high: u64) -> u64 {
        self.chance.random_range(low..high)
    }

    /// Lives through one day: perhaps one sitting.
    fn live(&mut self, bench: &Bench, n: i64, day: NaiveDate) {
        let weekend = 5 <= day.weekday().num_days_from_monday();
        let away = self.mind.away.is_some_and(|(a, b)| a <= n && n <= b);
        let comes = self.chance(self.mind.comes);
        let minute = i64::try_from(self.between(0, 480)).expect("minutes of a day");
        if weekend || away || !comes {
            return;
        }
        let zone = bench.workbench.calendar.zone;
        let start = day.and_hms_opt(7, 40, 0).expect("a time") + TimeDelta::minutes(minute);
        let start = zone.from_local_datetime(&start).earliest();
        let start = start.expect("no clock change at work").to_utc();
        // The bench in the back room is taken now and then.
        let at = if self.chance(0.15) { "b3" } else { "b1" };
        self.sit(bench, at, day, start, &Options::default());
        if MEASURED_ON.contains(&n) {
            for (hours, (family, _)) in (1..).zip(self.mind.weak) {
                let options = Options {
                    family: Some((*family).to_owned()),
                    only_spot_checks: Some(MEASURE),
                    ..Options::default()
                };
                let later = start + TimeDelta::hours(hours);
                self.sit(bench, at, day, later, &options);
            }
        }
    }

    fn sit(
        &mut self,
        bench: &Bench,
        at: &'static str,
        day: NaiveDate,
        start: DateTime<Utc>,
        options: &Options,
    ) {
        let workbench = &bench.workbench;
        let person = person(self.mind);
        let mut record = self.record.take().expect("read before the first day");
        let cards =
            practice::cards_for(workbench, &record, &person, options).expect("there are cards");
        let asks = practice::asks(
            workbench,
            (&person, &record),
            (&cards, &bench.archive.jobs),
            (
                &Options {
                    minutes: MINUTES,
                    ..options.clone()
                },
                None,
            ),
            (self.chance.random(), day),
        );
        let corrected = record.history.cards.iter().filter(|(_, c)| c.corrected);
        let mut sitting = Sitting::new(Setup {
            id: format!("{at}-{}-{}", self.mind.id, start.format("%Y%m%dT%H%M%S%3f")),
            met: record.history.cards.keys().map(str::to_owned).collect(),
            corrected: corrected
                .map(|(id, _)| (id.to_owned(), String::new()))
                .collect(),
            reviews: BTreeMap::new(),
            options: BTreeMap::new(),
            offered: BTreeSet::new(),
            pace: record.history.pace.clone(),
            boards: workbench.boards.clone(),
            circuits: workbench.circuits.clone(),
            words: workbench.words.clone(),
            minutes: MINUTES,
            cards: cards.iter().copied().cloned().collect(),
            asks,
        });
        let mut now = start;
        let breaks_off = if self.chance(0.04) {
            usize::try_from(self.between(3, 9)).expect("a few cards")
        } else {
            usize::MAX
        };
        while *sitting.stage() != Stage::Over && sitting.tally().cards < breaks_off {
            let took = self.answer(&mut sitting, &cards, day);
            let reveal = self.between(900, 5200);
            now += TimeDelta::milliseconds(i64::try_from(took + reveal).expect("seconds"));
            self.keep(bench, at, (&mut sitting, &mut record), reveal, (now, day));
            now += TimeDelta::milliseconds(i64::try_from(self.between(40, 400)).expect("a moment"));
        }
        self.record = Some(record);
    }

    /// Answers the card under way up to its verdict; returns the milliseconds taken.
    fn answer(&mut self, sitting: &mut Sitting, cards: &[&Card], day: NaiveDate) -> u64 {
        let card = sitting.card().expect("a card is asked").clone();
        let knows = self.knows(&card, day);
        let weak = self
            .mind
            .weak
            .iter()
            .find(|(family, _)| *family == card.family);
        let mut circuit_ms = 0;
        if *sitting.stage() == Stage::Circuit {
            let said = self.circuit(sitting, &card, knows, weak.map(|(_, other)| *other));
            circuit_ms = self.think(knows, if weak.is_some() { 2 } else { 1 });
            sitting.say_circuit(&said, circuit_ms);
        }
        let answer_ms = self.think(knows, 1) + 1500;
        let sure = self.sure(knows);
        let said = self.says(&card, cards, knows);
        let aloud = said == Said::Aloud;
        sitting.say_fix(&said, sure, answer_ms);
        if aloud && !knows && self.chance(0.9) {
            sitting.set_grade(Grade::Missed);
        }
        let judged_wrong = |s: &Sitting| {
            s.shown()
                .is_some_and(|v| v.draft.verdict.fix == Some(false))
        };
        if knows && judged_wrong(sitting) && self.chance(0.6) {
            sitting.overrule();
        }
        circuit_ms + answer_ms
    }

    /// Decides whether the card is known today, and what that does to how it is held.
    fn knows(&mut self, card: &Card, day: NaiveDate) -> bool {
        let weak = self
            .mind
            .weak
            .iter()
            .any(|(family, _)| *family == card.family);
        let (share, held) = match self.holds.get(&card.id) {
            Some(hold) => {
                #[expect(clippy::cast_precision_loss, reason = "days of practice")]
                let days = (day - hold.since).num_days() as f64;
                // Nine in ten after `days`, as a straight line of logarithms: 0.9 to the power of t/S.
                (libm::pow(0.9, days / hold.days) * 0.985, hold.days)
            }
            None => (self.mind.at_first, 0.0),
        };
        let share = if weak { share * 0.8 } else { share };
        let knows = self.chance(share);
        let growth = if weak {
            1.0 + (self.mind.growth - 1.0) * 0.6
        } else {
            self.mind.growth
        };
        let days = if held == 0.0 {
            if knows { 4.0 } else { 1.2 }
        } else if knows {
            (held * growth).min(200.0)
        } else {
            (held * 0.35).max(1.0)
        };
        self.holds
            .insert(card.id.clone(), Hold { days, since: day });
        knows
    }

    fn circuit(
        &mut self,
        sitting: &Sitting,
        card: &Card,
        knows: bool,
        taken_for: Option<&str>,
    ) -> String {
        let slips = match (knows, taken_for) {
            (true, None) => 0.02,
            (true, Some(_)) => 0.42,
            (false, None) => 0.45,
            (false, Some(_)) => 0.75,
        };
        if !self.chance(slips) {
            return card.family.clone();
        }
        let choices = sitting.choices();
        if let Some(other) = taken_for
            && choices.iter().any(|c| c == other)
            && self.chance(0.7)
        {
            return other.to_owned();
        }
        if !knows && self.chance(0.15) {
            return String::new();
        }
        let alike: Vec<String> = sitting
            .circuits()
            .get(&card.family)
            .map_or_else(Vec::new, |family| family.confused_with.clone())
            .into_iter()
            .filter(|id| choices.contains(id))
            .collect();
        let from = if alike.is_empty() || self.chance(0.3) {
            choices
        } else {
            alike
        };
        let others: Vec<String> = from.into_iter().filter(|id| *id != card.family).collect();
        match others.len() {
            0 => String::new(),
            n => others[self.chance.random_range(0..n)].clone(),
        }
    }

    fn says(&mut self, card: &Card, cards: &[&Card], knows: bool) -> Said {
        if self.chance(self.mind.aloud) {
            return Said::Aloud;
        }
        if !card.points.is_empty() {
            return Said::Typed(if knows {
                in_words(card)
            } else {
                "not sure any more".to_owned()
            });
        }
        let from = if knows {
            card
        } else {
            let others: Vec<&Card> = cards
                .iter()
                .copied()
                .filter(|c| c.board == card.board && c.id != card.id && !c.answers.is_empty())
                .collect();
            match others.len() {
                0 => return Said::Aloud,
                n => others[self.chance.random_range(0..n)],
            }
        };
        let Some(answer) = from.answers.first() else {
            return Said::Aloud;
        };
        let by_name = self.chance(0.2);
        let steps: Vec<String> = answer
            .steps
            .iter()
            .map(|step| match (&step.name, by_name) {
                (Some(name), true) => format!("{} the {name}", step.act),
                _ => format!("{} {}", step.act, step.part),
            })
            .collect();
        let text = steps.join(", ");
        Said::Typed(if self.chance(0.3) {
            text.to_lowercase()
        } else {
            text
        })
    }

    fn sure(&mut self, knows: bool) -> Sure {
        let (high, fair) = if knows {
            (0.6, 0.9)
        } else {
            (self.mind.over_sure, 0.8)
        };
        let drawn: f64 = self.chance.random();
        if drawn < high {
            Sure::High
        } else if drawn < fair {
            Sure::Fair
        } else {
            Sure::Low
        }
    }

    fn think(&mut self, knows: bool, times: u64) -> u64 {
        let pace = self.mind.pace;
        let slow = if knows { 1 } else { 2 };
        // The larger of the draws is rare: most answers come quickly, a few take long.
        let long = self.between(0, pace * 2).min(self.between(0, pace * 2));
        (pace + long + self.between(0, pace / 2)) * slow * times
    }

    fn keep(
        &mut self,
        bench: &Bench,
        at: &'static str,
        (sitting, record): (&mut Sitting, &mut Record),
        reveal_ms: u64,
        (now, day): (DateTime<Utc>, NaiveDate),
    ) {
        let mut answered = sitting.draft(reveal_ms).expect("a verdict is shown");
        let facts = Facts::ids(&bench.workbench);
        let mut after = record.history.only(&answered.card);
        after.apply(&Event::Answer(Box::new(answered.clone())), day, &facts);
        let target = bench.workbench.shop.target_recall;
        let load = record.history.load(day, target, Some(&answered.card));
        let next_days = after.next_days(&answered.card, target, &load);
        answered.next_days = next_days.unwrap_or(0);
        let event = Event::Answer(Box::new(answered.clone()));
        let entry = self.journal(bench, at, now).append(event.clone(), now, day);
        let id = entry.expect("a disk in memory keeps everything").id;
        record.history.apply(&event, day, &facts);
        sitting.kept(&id, &answered);
        if self.chance(0.004) {
            let undo = Event::Undo { of: id };
            let kept = self.journal(bench, at, now).append(undo, now, day);
            kept.expect("a disk in memory keeps everything");
            sitting.undone();
            let again = practice::record(&bench.workbench, self.mind.id, now);
            *record = again.expect("the journals can be read");
        }
    }

    fn journal(&mut self, bench: &Bench, at: &'static str, now: DateTime<Utc>) -> &mut Journal {
        self.journals.entry(at).or_insert_with(|| {
            let holder = Holder {
                who: format!("{}, drill", self.mind.id),
                since: now,
            };
            let folder = &bench.workbench.folder;
            let opened = Journal::open(&bench.disk, folder, self.mind.id, at, &holder);
            opened.expect("nobody else has it").0
        })
    }
}

/// Returns an answer in words that names every key point that is needed.
fn in_words(card: &Card) -> String {
    let said: Vec<String> = card
        .points
        .iter()
        .zip('A'..='Z')
        .filter(|(point, _)| point.needed)
        .map(|(point, letter)| {
            let words: Vec<&str> = point
                .words
                .iter()
                .filter_map(|group| group.first())
                .map(String::as_str)
                .collect();
            let side = if card.given {
                format!("{letter}: ")
            } else {
                String::new()
            };
            format!("{side}{}", words.join(" "))
        })
        .collect();
    said.join(", ")
}
