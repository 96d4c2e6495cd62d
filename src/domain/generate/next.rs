//! Next cards: several suspects remain; which single measurement now?
//!
//! The front holds what is known early: the complaint and one to three cheap findings of a typical job,
//! under which two to four fixes of the board keep a real chance ([`crate::domain::generate::field`]).
//! The suspects are shown, since the question is the measurement and not the fix; so nothing of the
//! front is masked but the places of signs. Whoever has read a rail has seen the draw: a front with a
//! live reading shows the draw that its job recorded, and no draw is asked for after it. Every measurement that the board's jobs recorded often
//! enough with each suspect is weighed: information expected, in bits, over its minutes. Right are
//! those within 10 % of the best. A further fix that shows the front too is named to the lead
//! ([`crate::domain::generate::third`]).
//!
//! Looks and heat are not weighed: what they find is a place, and a place that shows it is the answer
//! itself. Never offered: a live reading where a dead short is known already, a live reading where mains or more than [`TOUCHABLE`] volts may be, and any
//! card of a safety-critical board. What a measurement costs is the shop's `minutes` by kind of
//! finding; the minutes taken where it says nothing, and all limits, are common practice, no source.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::card::Suspect;
use crate::domain::card::Test;
use crate::domain::card::TestResult;
use crate::domain::caution;
use crate::domain::charge;
use crate::domain::generate::build;
use crate::domain::generate::build::BuildInput;
use crate::domain::generate::build::Hazards;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::field::Field;
use crate::domain::generate::field::Prospect;
use crate::domain::generate::front;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::measure;
use crate::domain::generate::measure::Place;
use crate::domain::generate::remark;
use crate::domain::generate::standing;
use crate::domain::generate::stop;
use crate::domain::generate::third;
use crate::domain::generate::third::Scene;
use crate::domain::generate::third::Third;
use crate::domain::ids;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::judge::danger::unsafe_acts::OnBoard;
use crate::domain::units::count;
use crate::domain::wording;

pub use crate::domain::generate::measure::TOUCHABLE;

/// A fix is a suspect from this chance …
pub const REAL: f64 = 0.1;
/// … and this many jobs.
pub const JOBS: usize = 2;
/// Suspects of a card.
pub const SUSPECTS: std::ops::RangeInclusive<usize> = 2..=4;
/// Together they hold at least this chance.
pub const COVER: f64 = 0.7;
/// Jobs like the front that ended in one of the suspects.
pub const LIKE: usize = 3;
/// Jobs of each suspect that recorded a measurement.
pub const RECORDED: usize = 2;
/// Bits that the best measurement tells at least.
pub const WORTH: f64 = 0.2;
/// Right is what comes within this part of the best.
pub const WITHIN: f64 = 0.1;
/// Measurements of a card at most.
pub const TESTS: usize = 6;
/// Next cards of one board at most, the best founded.
pub const MOST: usize = 4;
/// Questions of one board that are looked at for further fixes.
const TRIED: usize = 60;
/// A suspect is likely from this chance (as [`wording::chance_word`] says it).
const LIKELY: f64 = 0.6;
/// Findings of a front at most, beside the complaint.
const NAMES: usize = 3;
/// Early findings of a job, among which the front is chosen.
const CHOICE: usize = 5;
/// Latest jobs of each fix that are looked at for fronts.
const LATEST: usize = 40;
/// A finding is early up to this many minutes.
const EARLY: f64 = 2.0;

/// A front: what is known, and the job that shows it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Known {
    complaint: usize,
    front: Vec<(usize, usize)>,
}

/// A front with its suspects and measurements.
struct Question {
    known: Known,
    /// Fix and its chance among all fixes, the likeliest first.
    suspects: Vec<(usize, f64)>,
    /// Cases like the front, oldest first.
    like: Vec<usize>,
    /// Of them, those that ended in a suspect.
    among: Vec<usize>,
    /// Measurements with their minutes, the best first.
    tests: Vec<(Prospect, f64)>,
}

/// Makes the next cards of one board.
pub fn cards(input: &BuildInput<'_>, shelf: &Shelf<'_>) -> Vec<Card> {
    let Some(board) = Bench::of(input, shelf) else {
        return Vec::new();
    };
    let mut questions: Vec<Question> = board
        .fronts()
        .into_iter()
        .filter_map(|known| board.question(known))
        .collect();
    questions.sort_by(|a, b| {
        let bits = |q: &Question| q.tests[0].0.bits;
        b.among
            .len()
            .cmp(&a.among.len())
            .then(b.known.front.len().cmp(&a.known.front.len()))
            .then(bits(b).total_cmp(&bits(a)))
            .then_with(|| board.key(&a.known).cmp(&board.key(&b.known)))
    });
    let mut taken: Vec<BTreeSet<usize>> = Vec::new();
    let mut tried = 0;
    questions.retain(|question| {
        let set: BTreeSet<usize> = question.suspects.iter().map(|(fix, _)| *fix).collect();
        let alike = |other: &BTreeSet<usize>| set.is_subset(other) || other.is_subset(&set);
        if MOST <= taken.len() || TRIED <= tried || taken.iter().any(alike) {
            return false;
        }
        tried += 1;
        let fresh = !board.is_outnumbered(question);
        if fresh {
            taken.push(set);
        }
        fresh
    });
    questions.iter().filter_map(|q| board.card(q)).collect()
}

/// One board's fixes, and what may be asked of it.
struct Bench<'a> {
    input: &'a BuildInput<'a>,
    shelf: &'a Shelf<'a>,
    field: Field,
    /// Fixes that are unsafe in any job.
    barred: BTreeSet<usize>,
    /// Evidence cases by complaint, oldest first.
    by_complaint: BTreeMap<usize, Vec<usize>>,
    /// Names of early findings, draw and look first, then the most recorded.
    early: Vec<usize>,
    /// Names of draws.
    draws: Vec<usize>,
    /// Mains may be on the board.
    mains: bool,
    reader: OnBoard<'a>,
    /// Of each name, whether it may be measured at all: asked only where it would be worth it.
    allowed: Vec<OnceCell<bool>>,
}

impl<'a> Bench<'a> {
    /// Lays out a board; none whose repair belongs to its maker or a licensed person.
    fn of(input: &'a BuildInput<'a>, shelf: &'a Shelf<'a>) -> Option<Self> {
        let field = Field::of(shelf);
        let unsafe_fixes = shelf.barred();
        let fixes = field.fixes.iter().enumerate();
        let barred = fixes.filter(|(_, f)| unsafe_fixes.contains(f));
        let barred = barred.map(|(at, _)| at).collect();
        let mut by_complaint: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (at, case) in shelf.cases.iter().enumerate() {
            if case.tier.is_evidence() {
                by_complaint
                    .entry(field.complaint[at])
                    .or_default()
                    .push(at);
            }
        }
        let names = field.table.names().iter().enumerate();
        let draws = names.filter(|(_, name)| name.kind == FindingKind::Current);
        let mut bench = Self {
            input,
            shelf,
            barred,
            by_complaint,
            early: Vec::new(),
            draws: draws.map(|(at, _)| at).collect(),
            mains: false,
            reader: OnBoard::of_trade(shelf.board),
            allowed: vec![OnceCell::new(); field.table.names().len()],
            field,
        };
        let hazards = bench.hazards("", &[]);
        if hazards.iter().any(|c| c == caution::SAFETY_CRITICAL) {
            return None;
        }
        bench.mains = hazards.iter().any(|c| c == "mains");
        bench.early = bench.early_names();
        Some(bench)
    }

    fn minutes(&self, kind: FindingKind) -> f64 {
        measure::minutes(self.input.minutes, kind)
    }

    /// Returns the hazards of one circuit of the board.
    fn hazards(&self, family: &str, complaint: &[String]) -> Vec<String> {
        (self.input.cautions)(&Hazards {
            board: self.shelf.board,
            family,
            complaint,
            environment: &[],
            acts: &[],
        })
    }

    fn early_names(&self) -> Vec<usize> {
        let table = &self.field.table;
        let first = |kind: FindingKind| !matches!(kind, FindingKind::Current | FindingKind::Visual);
        let mut names: Vec<usize> = (0..table.names().len())
            .filter(|name| {
                let kind = table.names()[*name].kind;
                !matches!(kind, FindingKind::Heat | FindingKind::Other)
                    && self.minutes(kind) <= EARLY
            })
            .collect();
        names.sort_by_cached_key(|name| {
            let kind = table.names()[*name].kind;
            let recorded = std::cmp::Reverse(table.n_recorded(*name));
            (first(kind), recorded, *name)
        });
        names
    }

    /// Returns the early findings of a case, draw and look first, then the most recorded.
    fn early(&self, case: usize) -> Vec<usize> {
        let recorded = |name: &&usize| self.field.table.value(**name, case).is_some();
        let names = self.early.iter().filter(recorded);
        names.take(CHOICE).copied().collect()
    }

    /// Returns every front of the latest jobs of each fix.
    fn fronts(&self) -> BTreeSet<Known> {
        let table = &self.field.table;
        let mut fronts = BTreeSet::new();
        // Cases that show the same have the same fronts.
        let mut seen: HashSet<(Known, Vec<bool>)> = HashSet::new();
        for group in &self.shelf.groups {
            for case in group.evidence.iter().rev().take(LATEST) {
                let early = self.early(*case);
                let values = early.iter().map(|name| (*name, table.column(*name)[*case]));
                let draws = self.draws.iter().map(|d| table.value(*d, *case).is_some());
                let complaint = self.field.complaint[*case];
                let all = Known {
                    complaint,
                    front: values.collect(),
                };
                if !seen.insert((all, draws.collect())) {
                    continue;
                }
                for n in 1..=NAMES {
                    for mut names in stop::subsets(&early, n) {
                        if self.hides_a_draw(*case, &names) {
                            continue;
                        }
                        names.sort_unstable();
                        let value = |n: usize| Some((n, table.value(n, *case)?));
                        fronts.insert(Known {
                            complaint,
                            front: names.into_iter().filter_map(value).collect(),
                        });
                    }
                }
            }
        }
        fronts
    }

    /// Tells whether the case recorded a draw in the state of a live reading, and the draw is not
    /// among the names.
    fn hides_a_draw(&self, case: usize, chosen: &[usize]) -> bool {
        let table = &self.field.table;
        let names = table.names();
        let seen = |state: &Option<String>| {
            let of_state =
                |at: &&usize| names[**at].state == *state && table.value(**at, case).is_some();
            self.draws.iter().find(of_state).copied()
        };
        chosen.iter().any(|name| {
            let name = &names[*name];
            let live = is_powered(name.kind) && name.kind != FindingKind::Current;
            live && seen(&name.state).is_some_and(|draw| !chosen.contains(&draw))
        })
    }

    /// Returns the question of a front; none where it would teach nothing.
    fn question(&self, known: Known) -> Option<Question> {
        let like = self.like(&known);
        if like.len() < LIKE {
            return None;
        }
        let chances = self.field.chances(known.complaint, &known.front, &like);
        let mut suspects: Vec<(usize, f64)> = chances
            .iter()
            .copied()
            .enumerate()
            .filter(|(fix, p)| REAL <= *p && JOBS <= self.field.jobs[*fix])
            .filter(|(fix, _)| !self.barred.contains(fix))
            .collect();
        suspects.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        // Parts of different revisions are no suspects of one board in hand.
        let fixes: Vec<&Fix> = suspects
            .iter()
            .map(|(f, _)| &self.field.fixes[*f])
            .collect();
        if !self.shelf.share_a_revision(&fixes) {
            return None;
        }
        let sum: f64 = suspects.iter().map(|(_, p)| p).sum();
        if !SUSPECTS.contains(&suspects.len()) || sum < COVER {
            return None;
        }
        let is = |case: &usize, fix: usize| self.field.of_case[*case] == Some(fix);
        let among: Vec<usize> = like
            .iter()
            .copied()
            .filter(|case| suspects.iter().any(|(fix, _)| is(case, *fix)))
            .collect();
        let met = suspects
            .iter()
            .filter(|(fix, _)| among.iter().any(|c| is(c, *fix)));
        if among.len() < LIKE || met.count() < 2 {
            return None;
        }
        let mut tests = self.tests(&known, &suspects, sum);
        let best = tests
            .first()
            .map(|(p, minutes)| (p.bits, p.bits / minutes))?;
        let right = |(p, minutes): &(Prospect, f64)| is_right(p.bits / minutes, best.1);
        if best.0 < WORTH || tests.iter().all(right) {
            return None;
        }
        let n_right = tests.iter().filter(|t| right(t)).count();
        // A card that accepts most of what could be measured asks nothing.
        if tests.len() < 2 * n_right {
            return None;
        }
        tests.truncate(TESTS.max(n_right + 1));
        Some(Question {
            known,
            suspects,
            like,
            among,
            tests,
        })
    }

    /// Returns the evidence jobs with this complaint and these values.
    fn like(&self, known: &Known) -> Vec<usize> {
        let table = &self.field.table;
        let cases = self.by_complaint.get(&known.complaint);
        cases
            .into_iter()
            .flatten()
            .copied()
            .filter(|case| {
                let same = |(name, value): &(usize, usize)| table.column(*name)[*case] == *value;
                known.front.iter().all(same)
            })
            .collect()
    }

    /// Weighs every measurement that may be taken now, the most bits a minute first.
    fn tests(&self, known: &Known, suspects: &[(usize, f64)], sum: f64) -> Vec<(Prospect, f64)> {
        let fixes: Vec<usize> = suspects.iter().map(|(fix, _)| *fix).collect();
        let chances: Vec<f64> = suspects.iter().map(|(_, p)| p / sum).collect();
        let names = 0..self.allowed.len();
        let shorted = self.shows_a_short(known);
        let mut tests: Vec<(Prospect, f64)> = names
            .filter(|name| !known.front.iter().any(|(n, _)| n == name))
            .filter(|name| !self.is_known_already(*name, known))
            .filter(|name| !shorted || !is_live(self.field.table.names()[*name].kind))
            .filter(|name| {
                let recorded = self.field.recorded(*name, &fixes);
                recorded.iter().all(|n| RECORDED <= *n)
            })
            .filter(|name| *self.allowed[*name].get_or_init(|| self.may_be_taken(*name)))
            .map(|name| {
                let minutes = self.minutes(self.field.table.names()[name].kind);
                (self.field.prospect(name, &fixes, &chances), minutes)
            })
            .collect();
        tests.sort_by(|(a, am), (b, bm)| {
            (b.bits / bm)
                .total_cmp(&(a.bits / am))
                .then(a.name.cmp(&b.name))
        });
        tests
    }

    /// Tells whether a draw was seen while something else of the front was read.
    fn is_known_already(&self, name: usize, known: &Known) -> bool {
        let names = self.field.table.names();
        let draw = &names[name];
        draw.kind == FindingKind::Current
            && known.front.iter().any(|(other, _)| {
                let other = &names[*other];
                is_powered(other.kind) && other.state == draw.state
            })
    }

    /// Tells whether a dead short is among what is known: whoever has found one leaves the supply off
    /// (common practice, no source).
    fn shows_a_short(&self, known: &Known) -> bool {
        let table = &self.field.table;
        known.front.iter().any(|(name, value)| {
            let dead: &[&str] = match table.names()[*name].kind {
                FindingKind::Resistance => &["hard-short"],
                FindingKind::Diode => &["short"],
                _ => &[],
            };
            dead.contains(&table.word(*name, *value))
        })
    }

    fn may_be_taken(&self, name: usize) -> bool {
        let name = &self.field.table.names()[name];
        if name.held || matches!(name.kind, FindingKind::Visual | FindingKind::Heat) {
            return false;
        }
        let place = Place {
            name,
            board: self.shelf.board,
            mains: self.mains,
        };
        let spoken = measure::say(name, false);
        place.is_safe() && self.reader.unsafe_in_text(&spoken).is_none()
    }

    /// Returns what a front is known by.
    fn key(&self, known: &Known) -> String {
        let names = known.front.iter().map(|(name, value)| {
            let word = self.field.table.word(*name, *value);
            format!("{:?} {word}", self.field.table.names()[*name])
        });
        names.collect::<Vec<_>>().join(" | ")
    }

    fn names_key(&self, known: &Known) -> String {
        let names = known.front.iter();
        let names = names.map(|(name, _)| format!("{:?}", self.field.table.names()[*name]));
        names.collect::<Vec<_>>().join(" | ")
    }

    fn answer(&self, fix: usize) -> Answer {
        Answer {
            steps: build::steps(&self.field.fixes[fix], self.shelf.board),
            also: Vec::new(),
        }
    }

    fn jobs_of(&self, cases: &[usize]) -> Vec<&Job> {
        cases.iter().map(|at| self.shelf.cases[*at].job).collect()
    }

    fn card(&self, question: &Question) -> Option<Card> {
        let first = question.suspects[0].0;
        let is_first = |case: &&usize| self.field.of_case[**case] == Some(first);
        let speaks = |case: &&usize| self.shelf.cases[**case].speaks();
        let shown = *question
            .among
            .iter()
            .rev()
            .filter(speaks)
            .find(is_first)
            .or_else(|| question.among.iter().rev().find(speaks))?;
        let job = self.shelf.cases[shown].job;
        let draft = Draft {
            table: self.field.table.clone(),
            sides: Vec::new(),
            names: question.known.front.iter().map(|(name, _)| *name).collect(),
            shown,
            matching: Vec::new(),
        };
        let (front, held_back) = front::faces(job, &draft, &Mask::default(), self.shelf.board);
        if front.is_empty() {
            return None;
        }
        let among = self.jobs_of(&question.among);
        let families: BTreeMap<usize, Option<String>> = question
            .suspects
            .iter()
            .map(|(fix, _)| (*fix, build::family_of(&self.cases_of(*fix))))
            .collect();
        let family = families[&first].clone()?;
        let mut cautions: Vec<String> = Vec::new();
        for family in question
            .suspects
            .iter()
            .filter_map(|(f, _)| families[f].as_ref())
        {
            for caution in self.hazards(family, &job.complaint) {
                if !cautions.contains(&caution) {
                    cautions.push(caution);
                }
            }
        }
        let charged = |c: &String| c == "mains" || c == charge::STORED;
        let is_charged = cautions.iter().any(charged) || self.meets_charge(question, &families);
        let proved = question
            .among
            .iter()
            .filter(|at| self.shelf.cases[**at].proved);
        let share = Share::counted(among.len(), question.like.len(), proved.count());
        let warn = self.warnings(question, &job.complaint, &share);
        let mut keys: Vec<String> = question
            .suspects
            .iter()
            .map(|(fix, _)| self.field.fixes[*fix].key())
            .collect();
        keys.sort_unstable();
        let names_key = self.names_key(&question.known);
        let kind = CardKind::Next;
        Some(Card {
            id: ids::long_mark([kind.word(), self.shelf.id, &keys.join(" | "), &names_key]),
            kind,
            board: self.shelf.id.to_owned(),
            revs: build::sorted(among.iter().filter_map(|j| j.rev.as_ref())),
            family,
            contributing: Vec::new(),
            complaint: job.complaint.clone(),
            stem: stem(question.suspects.len()),
            points: Vec::new(),
            source: String::new(),
            sides: Vec::new(),
            given: false,
            tests: self.shown_tests(question, is_charged),
            suspects: self.shown_suspects(question),
            boards: Vec::new(),
            sums: Vec::new(),
            also: Vec::new(),
            front: front.into_iter().map(|(_, finding)| finding).collect(),
            held_back,
            deciding: Vec::new(),
            answers: Vec::new(),
            share,
            others: Vec::new(),
            bounced: 0,
            support: Support::of_jobs(
                question.tests[0]
                    .0
                    .recorded
                    .iter()
                    .copied()
                    .min()
                    .unwrap_or(0),
            ),
            jobs: among.iter().rev().map(|j| j.job.clone()).collect(),
            last: among.iter().map(|j| j.closed_on).max(),
            why: self.why(question),
            cautions,
            warn,
            signed: None,
        })
    }

    /// Tells whether volts whose charge is a hazard are known, may be measured, or are in a suspect's
    /// circuit.
    fn meets_charge(
        &self,
        question: &Question,
        families: &BTreeMap<usize, Option<String>>,
    ) -> bool {
        let known = question.known.front.iter().map(|(name, _)| *name);
        let names = known.chain(question.tests.iter().map(|(test, _)| test.name));
        let board = self.shelf.board;
        let places = names.map(|name| &self.field.table.names()[name].place);
        places.into_iter().any(|place| charge::at(place, board))
            || families
                .values()
                .flatten()
                .any(|family| charge::in_circuit(family, board))
    }

    /// Returns the fixes that show the front and are no suspects.
    fn thirds(&self, question: &Question, complaint: &[String]) -> Vec<Third<'_>> {
        let suspects = question.suspects.iter().map(|(fix, _)| *fix);
        let named: Vec<&Fix> = suspects.map(|fix| &self.field.fixes[fix]).collect();
        let scene = Scene {
            table: &self.field.table,
            complaint,
            front: &[],
            telling: &question.known.front,
        };
        third::fitting(self.shelf, scene, &named)
    }

    /// Tells whether fixes that are no suspects show the front in more jobs than all suspects do.
    fn is_outnumbered(&self, question: &Question) -> bool {
        let Some(first) = question.among.first() else {
            return true;
        };
        let complaint = &self.shelf.cases[*first].job.complaint;
        let thirds = self.thirds(question, complaint);
        question.among.len() < thirds.iter().map(|third| third.jobs).sum()
    }

    /// Returns what a lead should look at: what the measurement leaves open, whom the card does not
    /// suspect, and how its suspects stand.
    fn warnings(&self, question: &Question, complaint: &[String], share: &Share) -> Vec<String> {
        let mut warn: Vec<String> = remark::small_evidence(share).into_iter().collect();
        warn.extend(open_questions(question));
        let thirds = self.thirds(question, complaint);
        let thirds: Vec<String> = thirds.iter().map(|third| third.say(third.jobs)).collect();
        if !thirds.is_empty() {
            let all = if thirds.len() == 1 { "shows" } else { "show" };
            warn.push(format!(
                "one more fits: {} {all} the front too",
                thirds.join(" and ")
            ));
        }
        for (fix, _) in &question.suspects {
            let own = &self.field.fixes[*fix];
            warn.extend(standing::few(own, self.field.jobs[*fix]));
            warn.extend(standing::returns(self.shelf, own));
        }
        warn
    }

    fn cases_of(&self, fix: usize) -> Vec<&Job> {
        let cases = 0..self.shelf.cases.len();
        let own: Vec<usize> = cases
            .filter(|case| self.field.of_case[*case] == Some(fix))
            .collect();
        self.jobs_of(&own)
    }

    fn shown_suspects(&self, question: &Question) -> Vec<Suspect> {
        let all = question.suspects.iter();
        all.map(|(fix, chance)| Suspect {
            what: wording::answer_text(&self.answer(*fix)),
            chance: rounded(*chance),
            n: self.field.jobs[*fix],
        })
        .collect()
    }

    fn shown_tests(&self, question: &Question, discharge: bool) -> Vec<Test> {
        let (best, minutes) = &question.tests[0];
        let best = best.bits / minutes;
        let names = self.field.table.names();
        let twins = |at: usize| {
            let (one, _) = &question.tests[at];
            let same = |other: usize| {
                let (a, b) = (&names[one.name], &names[other]);
                one.name != other && a.kind == b.kind && a.place == b.place
            };
            question.tests.iter().any(|(p, _)| same(p.name))
                || question.known.front.iter().any(|(n, _)| same(*n))
        };
        (0..question.tests.len())
            .map(|at| {
                let (prospect, minutes) = &question.tests[at];
                let name = &names[prospect.name];
                Test {
                    say: measure::say(name, discharge),
                    words: measure::words(name, twins(at)),
                    minutes: *minutes,
                    bits: rounded(prospect.bits),
                    right: is_right(prospect.bits / minutes, best),
                    results: self.results(prospect, question),
                }
            })
            .collect()
    }

    fn results(&self, prospect: &Prospect, question: &Question) -> Vec<TestResult> {
        let outcomes = prospect.outcomes.iter();
        // What no suspect has shown says nothing worth a line.
        let outcomes = outcomes.filter_map(|o| Some((o.value?, o)));
        outcomes
            .map(|(value, outcome)| {
                let word = self.field.table.word(prospect.name, value);
                let mut points_to: Vec<Suspect> = question
                    .suspects
                    .iter()
                    .zip(outcome.after.iter().zip(&outcome.seen))
                    .filter(|(_, (after, _))| REAL <= **after)
                    .map(|((fix, _), (after, seen))| Suspect {
                        what: wording::answer_text(&self.answer(*fix)),
                        chance: rounded(*after),
                        n: *seen,
                    })
                    .collect();
                points_to.sort_by(|a, b| b.chance.total_cmp(&a.chance));
                TestResult {
                    say: wording::phrase(word),
                    chance: rounded(outcome.chance),
                    points_to,
                }
            })
            .collect()
    }

    fn why(&self, question: &Question) -> String {
        let (best, minutes) = &question.tests[0];
        let name = measure::say(&self.field.table.names()[best.name], false);
        let of_suspects: Vec<String> = question
            .suspects
            .iter()
            .enumerate()
            .filter_map(|(s, (fix, _))| {
                let most = best
                    .outcomes
                    .iter()
                    .filter(|o| o.value.is_some())
                    .max_by_key(|o| (o.seen[s], std::cmp::Reverse(o.value)))?;
                let word = wording::phrase(self.field.table.word(best.name, most.value?));
                let what = remark::short_fix(&self.field.fixes[*fix]);
                Some(format!(
                    "{word} in {} of {} that ended in: {what}",
                    most.seen[s], best.recorded[s]
                ))
            })
            .collect();
        let rate = best.bits / minutes;
        let next = question
            .tests
            .iter()
            .find(|(p, m)| !is_right(p.bits / m, rate));
        let against = next.map_or_else(String::new, |(next, m)| {
            let other = measure::say(&self.field.table.names()[next.name], false);
            let bits = next.bits / m;
            format!(
                "; doubt taken away: {rate:.2} bits a minute, {bits:.2} by the next best, {other}"
            )
        });
        format!("{name}: {}{against}", of_suspects.join("; "))
    }
}

/// Tells whether bits a minute come within 10 % of the best.
pub fn is_right(rate: f64, best: f64) -> bool {
    (1.0 - WITHIN) * best <= rate
}

/// Rounds for the file: four places say more than the counts behind them.
fn rounded(x: f64) -> f64 {
    libm::round(x * 1e4) / 1e4
}

/// Tells whether such a reading is taken with the supply on, so that its draw is seen.
fn is_powered(kind: FindingKind) -> bool {
    matches!(
        kind,
        FindingKind::Current | FindingKind::Rail | FindingKind::Signal
    )
}

/// Tells whether a reading needs the supply on; a named test may.
fn is_live(kind: FindingKind) -> bool {
    is_powered(kind) || kind == FindingKind::Other
}

/// Returns the question where `n` suspects remain.
pub(super) fn stem(n: usize) -> String {
    let words = ["Two", "Three", "Four"];
    let n = words.get(n.saturating_sub(2)).copied().unwrap_or("Several");
    format!("{n} suspects remain. Which single measurement now?")
}

fn open_questions(question: &Question) -> Vec<String> {
    let mut warn = Vec::new();
    let best = &question.tests[0].0;
    let fewest = best.recorded.iter().copied().min().unwrap_or(0);
    if fewest < 3 {
        warn.push(format!(
            "small evidence: one suspect has the best measurement in only {} on record",
            build::jobs_text(fewest)
        ));
    }
    let open = best.outcomes.iter().filter(|outcome| {
        let likely = |after: &f64| LIKELY <= *after;
        outcome.value.is_some() && !outcome.after.iter().any(likely)
    });
    let open = open.count();
    if 0 < open {
        warn.push(format!(
            "open: after {open} of the results of the best measurement no suspect is likely"
        ));
    }
    let held: f64 = question.suspects.iter().map(|(_, p)| p).sum();
    let n = question.like.len();
    if question.among.len() < n && count(question.among.len()) < COVER * count(n) {
        warn.push(format!(
            "suspects: {} of {n} like jobs ended in none of them",
            n - question.among.len()
        ));
    } else if held < 0.8 {
        warn.push("suspects: other fixes keep a fifth of the chance or more".to_owned());
    }
    warn
}

#[cfg(test)]
#[path = "next_tests.rs"]
mod tests;
