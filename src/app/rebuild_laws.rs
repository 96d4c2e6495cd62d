//! Laws of the rebuild over a whole shop on a disk in memory: whatever came in between, the deck is
//! what one build of the final jobs and edits gives, and no review, edit or tag is lost.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;

use chrono::DateTime;
use chrono::TimeDelta;
use chrono::Utc;
use proptest::prelude::*;

use crate::app::archive;
use crate::app::archive::BuildOptions;
use crate::app::archive::Built;
use crate::app::demo;
use crate::app::people;
use crate::app::record;
use crate::app::workbench::Workbench;
use crate::domain::desk::divide;
use crate::domain::desk::overlay;
use crate::domain::edit::Divide;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::generate::sample;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::review::Answered;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::review::Verdict;
use crate::domain::shop::Post;
use crate::store::decks;
use crate::store::disk::Disk;
use crate::store::edits;
use crate::store::journal::Journal;
use crate::store::lock::Holder;
use crate::store::model_disk::ModelDisk;
use crate::store::paths::ShopFolder;
use crate::store::record::job::JobRecord;

const SHOP: &str = r#"{"v":1,"name":"Sample","zone":"Europe/Dublin","boards":[{"id":"petrel-p4","name":"Petrel P4","kind":"display"}]}"#;
const PARTS: [&str; 3] = ["U31", "L12", "R7"];
const PEOPLE: [&str; 2] = ["mk", "rs"];

/// What happens in the shop.
#[derive(Clone, Debug)]
enum Op {
    /// Jobs like this are closed.
    Jobs(Wanted, u64),
    /// A job turns out to be another part's.
    Correct(usize, usize),
    /// A job came back, or it is known that it held.
    Outcome(usize, Outcome),
    /// A job is taken out.
    Withdraw(usize),
    /// Someone answers a card.
    Review(usize, usize, Grade),
    /// Someone tags a card out, or in again.
    Tag(usize, usize, bool),
    /// A lead writes why.
    Why(usize, u8),
    /// A lead signs.
    Sign(usize),
    /// A lead tags a card out for all, or in again.
    TagForAll(usize, bool),
    /// A lead merges two cards.
    Merge(usize, usize),
    /// A lead splits a card.
    Split(usize, Divide),
    /// The deck is built.
    Build,
}

#[derive(Clone, Debug)]
struct Wanted {
    part: usize,
    rail: &'static str,
    draw: Option<&'static str>,
    rev: Option<&'static str>,
    complaint: &'static str,
    proved: bool,
}

fn wanted() -> impl Strategy<Value = Wanted> {
    let rail = prop::sample::select(vec!["low", "in-band"]);
    let draw = prop::option::of(prop::sample::select(vec!["cycling", "zero"]));
    let rev = prop::option::of(prop::sample::select(vec!["B", "C"]));
    let complaint = prop::sample::select(vec!["no-power", "dead"]);
    let proved = prop::bool::weighted(0.9);
    (0..PARTS.len(), rail, draw, rev, complaint, proved).prop_map(
        |(part, rail, draw, rev, complaint, proved)| Wanted {
            part,
            rail,
            draw,
            rev,
            complaint,
            proved,
        },
    )
}

fn op() -> impl Strategy<Value = Op> {
    let at = 0_usize..100;
    let outcome = prop::sample::select(vec![
        Outcome::Held,
        Outcome::UnknownSoFar,
        Outcome::BouncedSameFault,
    ]);
    let grade = prop::sample::select(vec![Grade::Missed, Grade::Named, Grade::OnSight]);
    let by = prop::sample::select(Divide::ALL.to_vec());
    prop_oneof![
        6 => (wanted(), 1_u64..4).prop_map(|(job, n)| Op::Jobs(job, n)),
        2 => (at.clone(), 0..PARTS.len()).prop_map(|(at, part)| Op::Correct(at, part)),
        2 => (at.clone(), outcome).prop_map(|(at, outcome)| Op::Outcome(at, outcome)),
        1 => at.clone().prop_map(Op::Withdraw),
        9 => (0..PEOPLE.len(), at.clone(), grade).prop_map(|(who, at, g)| Op::Review(who, at, g)),
        1 => (0..PEOPLE.len(), at.clone(), any::<bool>()).prop_map(|(who, at, out)| Op::Tag(who, at, out)),
        1 => (at.clone(), any::<u8>()).prop_map(|(at, n)| Op::Why(at, n)),
        1 => at.clone().prop_map(Op::Sign),
        1 => (at.clone(), any::<bool>()).prop_map(|(at, out)| Op::TagForAll(at, out)),
        2 => (at.clone(), at.clone()).prop_map(|(a, b)| Op::Merge(a, b)),
        2 => (at, by).prop_map(|(at, by)| Op::Split(at, by)),
        4 => Just(Op::Build),
    ]
}

/// A shop, and what was done in it.
struct World {
    disk: Arc<dyn Disk>,
    model: ModelDisk,
    now: DateTime<Utc>,
    /// Every line of jobs ever written.
    lines: Vec<String>,
    /// The jobs that count.
    jobs: Vec<Job>,
    made: u64,
    /// Answers by person: the card as it was called then, and what it accepted.
    reviews: Vec<(String, String, String)>,
    /// Tags by person, the last for each card as it was called then.
    tags: Vec<(String, String, bool)>,
    edits: usize,
}

fn shop() -> ShopFolder {
    ShopFolder::new("/shop")
}

fn holder(now: DateTime<Utc>) -> Holder {
    Holder {
        who: "a test".to_owned(),
        since: now,
    }
}

impl World {
    fn new() -> Self {
        let model = ModelDisk::new();
        model.put(&shop().shop_json(), SHOP.as_bytes());
        let world = Self {
            disk: Arc::new(model.clone()),
            model,
            now: "2026-06-01T08:00:00Z".parse().expect("a moment"),
            lines: Vec::new(),
            jobs: Vec::new(),
            made: 0,
            reviews: Vec::new(),
            tags: Vec::new(),
            edits: 0,
        };
        for initials in ["MK", "RS"] {
            people::add(&world.open(), initials, Post::Technician).expect("a person");
        }
        world
    }

    fn open(&self) -> Workbench {
        Workbench::open(Arc::clone(&self.disk), shop(), "b7".to_owned()).expect("a shop")
    }

    fn deck(&self) -> Option<Vec<u8>> {
        let path: PathBuf = shop().deck(archive::DEFAULT_DECK).expect("a name");
        self.model.everything().remove(&path)
    }

    fn edit_lines(&self) -> Vec<u8> {
        let path = shop().edits_of("b7").expect("a name");
        self.model.everything().remove(&path).unwrap_or_default()
    }

    fn build(&self, apply: bool) -> Built {
        let options = BuildOptions {
            apply,
            ..demo::deck()
        };
        archive::build(&self.open(), &options, self.now).expect("a deck")
    }

    fn write_jobs(&mut self, job: Job) {
        let line = JobRecord::new(job.clone()).to_line().expect("a line");
        self.lines.push(line);
        if let Some(corrected) = &job.corrects {
            self.jobs.retain(|j| j.id != *corrected);
        }
        if !job.withdrawn {
            self.jobs.push(job);
        }
        let text = self.lines.join("\n") + "\n";
        let path = shop().jobs().join("old.jsonl");
        self.model.put(&path, text.as_bytes());
    }

    fn next_id(&mut self) -> String {
        self.made += 1;
        format!("j-{}", self.made)
    }

    fn close(&mut self, wanted: &Wanted, n: u64) {
        for _ in 0..n {
            let id = self.next_id();
            let mut findings = vec![sample::rail("3V3_SB", wanted.rail)];
            if let Some(code) = wanted.draw {
                let mut draw = Finding::new(FindingKind::Current, "");
                draw.code = Some(code.to_owned());
                draw.state = Some("standby".to_owned());
                findings.push(draw);
            }
            let mut job = sample::job_with(&id, PARTS[wanted.part], self.made, findings);
            job.job = format!("W-{}", self.made);
            job.rev = wanted.rev.map(str::to_owned);
            job.unit = Some(format!("{:08x}", self.made));
            job.complaint = vec![wanted.complaint.to_owned()];
            job.proof = wanted.proved.then(|| "rail back".to_owned());
            if !wanted.proved {
                job.confidence = None;
            }
            self.write_jobs(job);
        }
    }

    fn correct(&mut self, at: usize, change: impl FnOnce(&mut Job)) {
        if self.jobs.is_empty() {
            return;
        }
        let mut job = self.jobs[at % self.jobs.len()].clone();
        job.corrects = Some(job.id.clone());
        job.id = self.next_id();
        change(&mut job);
        self.write_jobs(job);
    }

    fn edit(&mut self, card: &str, edit: Edit) {
        let holder = holder(self.now);
        let said = ("TL", card, edit);
        let when = (self.now, None);
        edits::append_edit(&self.disk, &shop(), "b7", &holder, said, when).expect("an edit");
        self.edits += 1;
    }

    fn say(&self, person: &str, event: Event) {
        let holder = holder(self.now);
        let opened = Journal::open(&self.disk, &shop(), person, "b7", &holder);
        let (mut journal, _, _) = opened.expect("a journal");
        let day = self.open().day(self.now);
        journal.append(event, self.now, day).expect("kept");
    }

    /// Does `op`; what is about cards is about those in use.
    fn play(&mut self, op: &Op) {
        self.now += TimeDelta::hours(7);
        let workbench = self.open();
        let cards = workbench.cards();
        let card = |at: usize| cards.get(at % cards.len().max(1)).copied();
        match op {
            Op::Jobs(wanted, n) => self.close(wanted, *n),
            Op::Correct(at, part) => self.correct(*at, |job| {
                PARTS[*part].clone_into(&mut job.actions[0].part);
            }),
            Op::Outcome(at, outcome) => self.correct(*at, |job| {
                job.outcome = *outcome;
                let back = *outcome == Outcome::BouncedSameFault;
                job.bounce_cause = back.then_some(BounceCause::Diagnosis);
            }),
            Op::Withdraw(at) => self.correct(*at, |job| job.withdrawn = true),
            Op::Review(who, at, grade) => {
                if let Some(card) = card(*at) {
                    let person = PEOPLE[*who].to_owned();
                    let accepted = card.accepted_mark();
                    self.say(&person, answer(&card.id, &accepted, *grade));
                    self.reviews.push((person, card.id.clone(), accepted));
                }
            }
            Op::Tag(who, at, out) => {
                if let Some(card) = card(*at) {
                    let note = String::new();
                    let id = card.id.clone();
                    let event = if *out {
                        Event::Tag {
                            card: id.clone(),
                            reason: TagReason::NotForMe,
                            note,
                        }
                    } else {
                        Event::Untag {
                            card: id.clone(),
                            note,
                        }
                    };
                    self.say(PEOPLE[*who], event);
                    self.tags.push((PEOPLE[*who].to_owned(), id, *out));
                }
            }
            Op::Build => self.build_both_ways(),
            Op::Why(..) | Op::Sign(_) | Op::TagForAll(..) | Op::Merge(..) | Op::Split(..) => {
                if let Some((id, edit)) = self.decided(op, &workbench) {
                    self.edit(&id, edit);
                }
            }
        }
    }

    /// Returns what a lead does to which card.
    fn decided(&self, op: &Op, workbench: &Workbench) -> Option<(String, Edit)> {
        let cards = workbench.cards();
        let card = |at: usize| cards.get(at % cards.len().max(1)).copied();
        let (at, edit) = match op {
            Op::Why(at, n) => (
                at,
                Edit::Why {
                    why: format!("why {n}"),
                },
            ),
            Op::Sign(at) => {
                let card = card(*at)?;
                let (asked, accepted) = (card.asked_mark(), card.accepted_mark());
                (at, Edit::Sign { asked, accepted })
            }
            Op::TagForAll(at, true) => {
                let (reason, note) = (TagReason::Doubtful, String::new());
                (at, Edit::Tag { reason, note })
            }
            Op::TagForAll(at, false) => (
                at,
                Edit::Untag {
                    note: String::new(),
                },
            ),
            Op::Merge(at, other) => {
                let (from, into) = (card(*at)?, card(*other)?);
                // The desk refuses anything else.
                let alike = from.kind == into.kind && from.board == into.board;
                let into = alike.then(|| into.id.clone())?;
                (at, Edit::Merge { into })
            }
            Op::Split(at, by) => {
                let card = card(*at)?;
                let cited = self.jobs.iter().filter(|job| card.jobs.contains(&job.job));
                let parts = divide::parts(cited, *by).into_iter();
                let into: Vec<String> = parts
                    .map(|part| divide::part_id(&card.id, *by, &part.value))
                    .collect();
                (!into.is_empty()).then_some((
                    at,
                    Edit::Split {
                        by: Some(*by),
                        into,
                    },
                ))?
            }
            _ => return None,
        };
        Some((card(*at)?.id.clone(), edit))
    }

    /// Builds without and then with the word that learned answers may change.
    fn build_both_ways(&self) {
        let (deck, edits) = (self.deck(), self.edit_lines());
        let first = self.build(false);
        if first.waits {
            assert_eq!(
                self.deck(),
                deck,
                "nothing is written before anyone says so"
            );
            assert_eq!(self.edit_lines(), edits);
            let applied = self.build(true);
            assert_eq!(applied.rebuild, first.rebuild);
            self.told(&applied);
        }
        let again = self.build(false);
        assert!(!again.waits && !again.changed, "{:?}", again.rebuild);
        assert_eq!(again.rebuild.changes, []);
        assert_eq!(again.rebuild.losses, []);
    }

    /// Everyone who had learned a card that accepts something else now is told what it was.
    fn told(&self, built: &Built) {
        let workbench = self.open();
        for loss in built
            .rebuild
            .losses
            .iter()
            .filter(|l| l.now.is_some() && !l.kept)
        {
            let was = workbench.corrections.was(&loss.known_as, &loss.accepted);
            assert_eq!(was, Some(loss.was.as_str()), "{loss:?}");
        }
    }

    /// Returns the same jobs and edits in a shop where nobody built or answered anything, the jobs in
    /// another order and in two files.
    fn anew(&self) -> Self {
        let mut other = Self::new();
        other.now = self.now;
        let lines: Vec<&String> = self.lines.iter().rev().collect();
        for (name, half) in ["a", "b"]
            .iter()
            .zip(lines.chunks(lines.len().div_ceil(2).max(1)))
        {
            let half: Vec<&str> = half.iter().map(|line| line.as_str()).collect();
            let text = half.join("\n") + "\n";
            let path = shop().jobs().join(format!("{name}.jsonl"));
            other.model.put(&path, text.as_bytes());
        }
        for entry in self.open().edits.all() {
            if !matches!(entry.edit, Edit::Corrected { .. }) {
                other.now = entry.at;
                other.edit(&entry.card, entry.edit.clone());
            }
        }
        other.now = self.now;
        other
    }
}

fn answer(card: &str, accepted: &str, grade: Grade) -> Event {
    Event::Answer(Box::new(Answered {
        card: card.to_owned(),
        asked: "1f0c22aa".to_owned(),
        accepted: accepted.to_owned(),
        sitting: "s".to_owned(),
        mode: Mode::Drill,
        grade,
        proposed: grade,
        ms: Millis::default(),
        circuit: None,
        typed: String::new(),
        aloud: true,
        sure: Sure::default(),
        overruled: false,
        verdict: Verdict::default(),
        next_days: 0,
        options: 0,
    }))
}

/// Holds what the shop remembers of `person` against what was done.
fn nothing_is_lost(world: &World, workbench: &Workbench, person: &str) {
    let (record, lines) = record::in_full(workbench, person, world.now).expect("a record");
    let now = |id: &str| overlay::current(workbench.edits.aliases(), id).to_owned();
    let mine: Vec<_> = world
        .reviews
        .iter()
        .filter(|(who, ..)| who == person)
        .collect();
    assert_eq!(lines.answers().count(), mine.len(), "no review is lost");
    let mut last: BTreeMap<String, &str> = BTreeMap::new();
    for (_, card, accepted) in &mine {
        last.insert(now(card), accepted);
    }
    let known: BTreeSet<&str> = record.history.cards.keys().collect();
    let counted = last.keys().map(String::as_str);
    assert_eq!(known, counted.collect(), "each counts for its card");
    let marks: BTreeMap<String, String> = workbench
        .cards()
        .iter()
        .map(|card| (card.id.clone(), card.accepted_mark()))
        .collect();
    for (id, accepted) in last {
        let card = &record.history.cards[&id];
        let same = marks.get(&id).is_none_or(|mark| mark == accepted);
        assert_eq!(card.corrected, !same, "{id}");
        assert_eq!(card.memory.is_some() || card.guessed_wrong, same, "{id}");
    }
    let mut tags: BTreeSet<String> = BTreeSet::new();
    for (_, card, out) in world.tags.iter().filter(|(who, ..)| who == person) {
        if *out {
            tags.insert(now(card));
        } else {
            tags.remove(&now(card));
        }
    }
    assert_eq!(
        record.history.tags.keys().cloned().collect::<BTreeSet<_>>(),
        tags
    );
}

/// Holds the leads' edits against the cards they lie on.
fn no_edit_is_lost(world: &World, workbench: &Workbench) {
    let (lines, faults) = edits::load_edits(world.disk.as_ref(), &shop()).expect("edits");
    assert_eq!(faults, []);
    let own = lines
        .iter()
        .filter(|e| !matches!(e.edit, Edit::Corrected { .. }));
    assert_eq!(own.count(), world.edits);
    let last = |card: &str, is: &dyn Fn(&Edit) -> bool| {
        let of_card = |entry: &&EditEntry| entry.card == card && is(&entry.edit);
        lines.iter().rev().find(of_card).map(|entry| &entry.edit)
    };
    for card in workbench.decks.iter().flat_map(|deck| &deck.cards) {
        if let Some(Edit::Why { why }) = last(&card.id, &|e| matches!(e, Edit::Why { .. })) {
            assert_eq!(card.why, *why);
        }
        let stands = match last(&card.id, &|e| matches!(e, Edit::Sign { .. })) {
            Some(Edit::Sign { asked, accepted }) => {
                *asked == card.asked_mark() && *accepted == card.accepted_mark()
            }
            _ => false,
        };
        assert_eq!(card.signed.is_some(), stands, "{}", card.id);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn builds_in_between_change_nothing_and_lose_nothing(
        begin in prop::collection::vec(wanted(), 3..6),
        ops in prop::collection::vec(op(), 1..28),
    ) {
        let mut world = World::new();
        for job in begin {
            world.play(&Op::Jobs(job, 2));
        }
        world.play(&Op::Build);
        for op in &ops {
            world.play(op);
        }
        world.build_both_ways();
        let workbench = world.open();
        let anew = world.anew();
        anew.build(true);
        let text = |world: &World| String::from_utf8(world.deck().expect("a deck")).expect("text");
        prop_assert_eq!(text(&world), text(&anew));
        let (built, _) = decks::load_decks(world.disk.as_ref(), &shop()).expect("decks");
        prop_assert_eq!(built.len(), 1);
        for person in PEOPLE {
            nothing_is_lost(&world, &workbench, person);
        }
        no_edit_is_lost(&world, &workbench);
    }
}
