//! What may be asked of a board: fronts under which several suspects remain, and the measurements weighed.
//!
//! Laid out and chosen here, written in [`crate::domain::generate::kinds::next::card`], whose documentation
//! says what is never asked; the limits are common practice, no source.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashSet;

use crate::domain::caution;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::kinds::next::field::Field;
use crate::domain::generate::kinds::next::field::Prospect;
use crate::domain::generate::weigh::choices;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::measure;
use crate::domain::generate::words::measure::Place;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::judge::danger::unsafe_acts::OnBoard;

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
pub(super) struct Known {
    pub(super) complaint: usize,
    pub(super) front: Vec<(usize, usize)>,
}

/// A front with its suspects and measurements.
pub(super) struct Question {
    pub(super) known: Known,
    /// Fix and its chance among all fixes, the likeliest first.
    pub(super) suspects: Vec<(usize, f64)>,
    /// Cases like the front, oldest first.
    pub(super) like: Vec<usize>,
    /// Of them, those that ended in a suspect.
    pub(super) among: Vec<usize>,
    /// Measurements with their minutes, the best first.
    pub(super) tests: Vec<(Prospect, f64)>,
}

/// One board's fixes, and what may be asked of it.
pub(super) struct Bench<'a> {
    input: &'a BuildInput<'a>,
    pub(super) shelf: &'a Shelf<'a>,
    pub(super) field: Field,
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
    pub(super) fn of(input: &'a BuildInput<'a>, shelf: &'a Shelf<'a>) -> Option<Self> {
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
    pub(super) fn hazards(&self, family: &str, complaint: &[String]) -> Vec<String> {
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
    pub(super) fn fronts(&self) -> BTreeSet<Known> {
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
                    for mut names in choices::subsets(&early, n) {
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
    pub(super) fn question(&self, known: Known) -> Option<Question> {
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
    pub(super) fn key(&self, known: &Known) -> String {
        let names = known.front.iter().map(|(name, value)| {
            let word = self.field.table.word(*name, *value);
            format!("{:?} {word}", self.field.table.names()[*name])
        });
        names.collect::<Vec<_>>().join(" | ")
    }
}

/// Tells whether bits a minute come within 10 % of the best.
pub fn is_right(rate: f64, best: f64) -> bool {
    (1.0 - WITHIN) * best <= rate
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
