//! The same people through the program itself: `drill --json`, a sitting a day, files on disk.
//!
//! What the bench reckons inside one process must be what a person gets from the binary: the same
//! queue, spot checks, course of a sitting. A shop is written into a temporary folder, with the deck
//! and the jobs that are there that week. The fix is said aloud and graded by the person, so that no
//! judge of words enters.

#![expect(
    clippy::disallowed_methods,
    reason = "a shop's files are put down and the program is looked at from outside"
)]

use std::io::BufRead;
use std::io::BufReader;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;

use benchlore::domain::card::Deck;
use benchlore::domain::queue::Aim;
use benchlore::domain::units::count;
use benchlore::store::decks;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;
use serde_json::Value;
use serde_json::json;

use crate::simulate::drill;
use crate::simulate::minds::Kind;
use crate::simulate::ours::Ours;
use crate::simulate::person::Person;
use crate::simulate::shop;
use crate::simulate::shop::Shop;
use crate::simulate::shop::Size;

/// Days drilled.
const DAYS: usize = 30;
/// Initials of the person.
const WHO: &str = "MK";

/// Lets one person of each of the first kinds drill for a month in both ways, and prints what came of it.
pub(crate) fn compare(program: &Path, minutes: f64, people: usize) {
    println!(
        "| kind | seed | bench: day {DAYS} | minutes | right | drill --json: day {DAYS} | minutes | right |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    let size = Size {
        days: DAYS,
        ..Size::FULL
    };
    for (kind, seed) in Kind::ALL.into_iter().zip(1_001..).take(people) {
        let shop = Shop::draw(seed, size);
        let inside = drill::run(&shop, kind, seed, minutes, &mut Ours::new(Aim::Steady));
        let outside = Wire::run(program, &shop, kind, seed, minutes);
        println!(
            "| {} | {seed} | {:.1} | {:.1} | {:.3} | {:.1} | {:.1} | {:.3} |",
            kind.word(),
            inside.ready[drill::EARLIER.len()],
            inside.minutes,
            inside.right,
            outside.ready,
            outside.minutes,
            outside.right,
        );
    }
}

/// What came of a month at the binary.
struct Found {
    ready: f64,
    minutes: f64,
    right: f64,
}

struct Wire<'a> {
    program: &'a Path,
    folder: PathBuf,
    shop: &'a Shop,
    person: Person,
    met: Vec<Option<usize>>,
    asked_on: Vec<Option<usize>>,
    reviews: usize,
    right: usize,
}

impl Wire<'_> {
    fn run(program: &Path, shop: &Shop, kind: Kind, seed: u64, minutes: f64) -> Found {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let mut wire = Wire {
            program,
            folder: folder.path().join("shop"),
            shop,
            person: Person::draw(kind, seed, &shop.look_alikes, shop.size.days),
            met: vec![None; shop.cards.len()],
            asked_on: vec![None; shop.cards.len()],
            reviews: 0,
            right: 0,
        };
        wire.set_up();
        let (mut sittings, mut spent) = (0, 0.0);
        for day in 0..DAYS {
            if day % shop::WEEK == 0 {
                wire.new_deck(day);
            }
            if wire.person.drills_on(day) {
                spent += wire.sit(day, seed, minutes);
                sittings += 1;
            }
        }
        let ready: f64 = (0..shop.there_on(DAYS))
            .map(|card| shop.truth[card] * wire.person.recall(card, count(DAYS)))
            .sum();
        Found {
            ready: 100.0 * ready,
            minutes: spent / count(sittings.max(1)),
            right: count(wire.right) / count(wire.reviews.max(1)),
        }
    }

    /// Writes the shop and its jobs, and lets the program make the person.
    fn set_up(&self) {
        for inside in ["jobs", "decks"] {
            std::fs::create_dir_all(self.folder.join(inside)).expect("a folder");
        }
        let shop = json!({
            "v": 1, "name": "Skerry Marine Bench", "zone": "UTC", "day_starts": "05:00",
            "boards": [{ "id": "petrel-p4", "name": "Petrel P4 helm display", "kind": "display",
                "revisions": ["A"], "safety": [] }],
        });
        self.put("shop.json", &shop.to_string());
        let lines: Vec<String> = self
            .shop
            .jobs
            .iter()
            .map(|(job, card)| {
                let card = &self.shop.cards[*card];
                let step = &card.answers[0].steps[0];
                let line = json!({
                    "v": 1, "id": job.id, "job": job.job, "closed_on": job.closed_on.to_string(),
                    "board": job.board, "complaint": ["no-power"], "family": card.family,
                    "findings": [{ "kind": "rail", "where": "3V3_SB", "verdict": "low" }],
                    "actions": [{ "act": step.act, "part": step.part, "role": "the-fix" }],
                    "outcome": "held", "confidence": "proved", "proof": "3V3_SB back",
                });
                format!("{line}\n")
            })
            .collect();
        self.put("jobs/paper.jsonl", &lines.concat());
        let made = self.command(0, 0).args(["people", "add", WHO]).output();
        let made = made.expect("the program starts");
        assert!(
            made.status.success(),
            "{}",
            String::from_utf8_lossy(&made.stderr)
        );
    }

    fn put(&self, name: &str, text: &str) {
        std::fs::write(self.folder.join(name), text).expect("a file");
    }

    fn new_deck(&self, day: usize) {
        let deck = Deck {
            deck: "shop".to_owned(),
            name: "Shop".to_owned(),
            from: String::new(),
            cards: self.shop.cards[..self.shop.there_on(day)].to_vec(),
        };
        let folder = ShopFolder::new(self.folder.clone());
        decks::save_deck(&RealDisk, &folder, &deck).expect("a deck");
    }

    fn command(&self, day: usize, seed: u64) -> Command {
        let mut command = Command::new(self.program);
        command
            .env("BENCHLORE_BENCH", "b7")
            .arg("--shop")
            .arg(&self.folder)
            .args(["--as-of", &format!("{}T08:00:00Z", shop::date(day))])
            .args(["--seed", &seed.wrapping_add(day as u64).to_string()]);
        command
    }

    /// Drills one sitting and returns the minutes that it took.
    fn sit(&mut self, day: usize, seed: u64, minutes: f64) -> f64 {
        let mut command = self.command(day, seed);
        command.args(["drill", "--person", WHO, "--json"]);
        command.args(["--minutes", &minutes.to_string()]);
        let mut talk = Talk::start(command);
        let mut spent = 0.0;
        while let Some(line) = talk.hear() {
            if line["ask"] == "circuit" {
                let card: usize = line["card"].as_str().expect("an id")[1..]
                    .parse()
                    .expect("a number");
                spent += self.answer(&mut talk, card, day, spent);
            }
        }
        talk.child.wait().expect("the program ends");
        spent / 60.0
    }

    /// Answers one card; returns its seconds.
    fn answer(&mut self, talk: &mut Talk, card: usize, day: usize, spent: f64) -> f64 {
        let reply = self.person.ask(card, count(day) + spent / 86_400.0);
        if self.asked_on[card].replace(day) != Some(day)
            && self.met[card].is_some_and(|met| met < day)
        {
            self.reviews += 1;
            self.right += usize::from(reply.grade.recalled());
        }
        self.met[card].get_or_insert(day);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "seconds of one card"
        )]
        let ms = (reply.seconds * 1000.0) as u64;
        let third = ms / 3;
        let family = if reply.grade.recalled() {
            self.shop.cards[card].family.as_str()
        } else {
            ""
        };
        talk.say(&json!({ "circuit": family, "ms": third }));
        talk.hear().expect("the question for the answer");
        talk.say(&json!({ "aloud": true, "sure": 2, "ms": third }));
        talk.hear().expect("the reveal");
        talk.say(&json!({ "grade": reply.grade.word(), "ms": ms - 2 * third }));
        let kept = talk.hear().expect("that it is kept");
        assert!(kept["kept"].is_object(), "{kept}");
        reply.seconds
    }
}

/// A program that asks on one pipe and hears on the other.
struct Talk {
    child: Child,
    from: BufReader<std::process::ChildStdout>,
}

impl Talk {
    fn start(mut command: Command) -> Self {
        let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = piped.spawn().expect("the program starts");
        let from = BufReader::new(child.stdout.take().expect("a pipe"));
        Self { child, from }
    }

    fn hear(&mut self) -> Option<Value> {
        let mut line = String::new();
        self.from
            .read_line(&mut line)
            .expect("the pipe can be read");
        (!line.is_empty()).then(|| serde_json::from_str(&line).expect("a JSON line"))
    }

    fn say(&mut self, line: &Value) {
        let to = self.child.stdin.as_mut().expect("a pipe");
        writeln!(to, "{line}").expect("the line is taken");
    }
}
