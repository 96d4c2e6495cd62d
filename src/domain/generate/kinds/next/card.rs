//! Next cards: several suspects remain; which single measurement now?
//!
//! The front holds what is known early: the complaint and one to three cheap findings of a typical job,
//! under which two to four fixes of the board keep a real chance ([`crate::domain::generate::kinds::next::field`]).
//! The suspects are shown, since the question is the measurement and not the fix; so nothing of the
//! front is masked but the places of signs. Whoever has read a rail has seen the draw: a front with a
//! live reading shows the draw that its job recorded, and no draw is asked for after it. Every measurement that the board's jobs recorded often
//! enough with each suspect is weighed: information expected, in bits, over its minutes. Right are
//! those within 10 % of the best. A further fix that shows the front too is named to the lead
//! ([`crate::domain::generate::fronts::third`]).
//!
//! Looks and heat are not weighed: what they find is a place, and a place that shows it is the answer
//! itself. Never offered: a live reading where a dead short is known already, a live reading where mains or more than [`TOUCHABLE`] volts may be, and any
//! card of a safety-critical board. What a measurement costs is the shop's `minutes` by kind of
//! finding; the minutes taken where it says nothing, and all limits, are common practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::card::Suspect;
use crate::domain::card::Test;
use crate::domain::card::TestResult;
use crate::domain::charge;
use crate::domain::generate::backs::remark;
use crate::domain::generate::backs::standing;
use crate::domain::generate::coded::circuits;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::fronts::front;
use crate::domain::generate::fronts::third;
use crate::domain::generate::fronts::third::Scene;
use crate::domain::generate::fronts::third::Third;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::kinds::next::field::Prospect;
use crate::domain::generate::kinds::next::questions;
use crate::domain::generate::kinds::next::questions::Bench;
use crate::domain::generate::kinds::next::questions::COVER;
use crate::domain::generate::kinds::next::questions::Known;
use crate::domain::generate::kinds::next::questions::Question;
use crate::domain::generate::kinds::next::questions::REAL;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::measure;
use crate::domain::generate::words::phrases;
use crate::domain::ids;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::units::count;
use crate::domain::wording;

pub use crate::domain::generate::words::measure::TOUCHABLE;

/// Next cards of one board at most, the best founded.
pub const MOST: usize = 4;
/// Questions of one board that are looked at for further fixes.
const TRIED: usize = 60;
/// A suspect is likely from this chance (as [`wording::chance_word`] says it).
const LIKELY: f64 = 0.6;

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

impl Bench<'_> {
    fn names_key(&self, known: &Known) -> String {
        let names = known.front.iter();
        let names = names.map(|(name, _)| format!("{:?}", self.field.table.names()[*name]));
        names.collect::<Vec<_>>().join(" | ")
    }

    fn answer(&self, fix: usize) -> Answer {
        Answer {
            steps: phrases::steps(&self.field.fixes[fix], self.shelf.board),
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
            .map(|(fix, _)| (*fix, circuits::family_of(&self.cases_of(*fix))))
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
            board: self.shelf.id.to_owned(),
            revs: phrases::sorted(among.iter().filter_map(|j| j.rev.as_ref())),
            family,
            complaint: job.complaint.clone(),
            stem: stem(question.suspects.len()),
            tests: self.shown_tests(question, is_charged),
            suspects: self.shown_suspects(question),
            front: front.into_iter().map(|(_, finding)| finding).collect(),
            held_back,
            share,
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
            ..Card::blank(kind)
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
                    right: questions::is_right(prospect.bits / minutes, best),
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
                let what = phrases::short_fix(&self.field.fixes[*fix]);
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
            .find(|(p, m)| !questions::is_right(p.bits / m, rate));
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

/// Rounds for the file: four places say more than the counts behind them.
fn rounded(x: f64) -> f64 {
    libm::round(x * 1e4) / 1e4
}

/// Returns the question where `n` suspects remain.
pub(in crate::domain::generate) fn stem(n: usize) -> String {
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
            phrases::jobs_text(fewest)
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
