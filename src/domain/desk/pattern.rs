//! Which jobs show a card's pattern.
//!
//! A job shows it when, for every finding on the front, it recorded the same thing in the same band
//! before its repair. Places that the front holds back count as any place. Looks only at jobs of the
//! card's boards.

use std::collections::BTreeSet;
use std::collections::HashMap;

use crate::domain::card::Card;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::tier;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;

/// The jobs of an archive by what they show, as far as some cards ask for it.
#[derive(Debug, Default)]
pub struct Patterns {
    /// By board and what was seen: places of jobs, rising.
    seen: HashMap<String, HashMap<String, Vec<usize>>>,
}

impl Patterns {
    /// Goes through `jobs` once, for the fronts of `cards`.
    pub fn of(cards: &[&Card], jobs: &[Job], boards: &[Board]) -> Self {
        let board_of = |id: &str| boards.iter().find(|b| b.id == id);
        let mut seen: HashMap<String, HashMap<String, Vec<usize>>> = HashMap::new();
        for card in cards {
            for id in boards_of(card) {
                let board = board_of(id);
                let wanted = seen.entry(id.to_owned()).or_default();
                for front in fronts(card) {
                    for key in front.iter().filter_map(|f| asked(f, board)) {
                        wanted.entry(key).or_default();
                    }
                }
            }
        }
        for (at, job) in jobs.iter().enumerate() {
            let Some(wanted) = seen.get_mut(&job.board) else {
                continue;
            };
            let board = board_of(&job.board);
            for finding in job.findings.iter().filter(|f| tier::is_before_repair(f)) {
                for key in shown(finding, board) {
                    if let Some(list) = wanted.get_mut(&key)
                        && list.last() != Some(&at)
                    {
                        list.push(at);
                    }
                }
            }
        }
        Self { seen }
    }

    /// Returns the places of the jobs that show the pattern of `card`.
    pub fn jobs(&self, card: &Card, boards: &[Board]) -> BTreeSet<usize> {
        let mut found = BTreeSet::new();
        for id in boards_of(card) {
            let (Some(seen), board) = (self.seen.get(id), boards.iter().find(|b| b.id == id))
            else {
                continue;
            };
            for front in fronts(card) {
                let keys: BTreeSet<String> = front.iter().filter_map(|f| asked(f, board)).collect();
                let mut lists = keys.iter().map(|key| seen.get(key));
                let Some(Some(first)) = lists.next() else {
                    continue;
                };
                let mut with: BTreeSet<usize> = first.iter().copied().collect();
                for list in lists {
                    let list = list.map_or(&[][..], Vec::as_slice);
                    with.retain(|at| list.binary_search(at).is_ok());
                }
                found.extend(with);
            }
        }
        found
    }
}

fn boards_of(card: &Card) -> Vec<&str> {
    if card.board.is_empty() {
        card.boards.iter().map(|b| b.board.as_str()).collect()
    } else {
        vec![&card.board]
    }
}

fn fronts(card: &Card) -> Vec<&[Finding]> {
    if card.sides.is_empty() {
        vec![&card.front]
    } else {
        card.sides
            .iter()
            .map(|side| side.front.as_slice())
            .collect()
    }
}

/// Returns what a finding of a front asks a job to show.
fn asked(finding: &Finding, board: Option<&Board>) -> Option<String> {
    let held = finding.place.is_empty() && finding.kind != FindingKind::Current;
    let band = band::band(finding, board)?;
    Some(key(&Name::of(finding), held, &band))
}

/// Returns everything that a front could ask for and this finding of a job shows.
fn shown(finding: &Finding, board: Option<&Board>) -> Vec<String> {
    let Some(band) = band::band(finding, board) else {
        return Vec::new();
    };
    let name = Name::of(finding);
    if name.held {
        return vec![key(&name, true, &band)];
    }
    vec![key(&name, false, &band), key(&name, true, &band)]
}

fn key(name: &Name, held: bool, band: &str) -> String {
    let place = if held { "*" } else { &name.place };
    format!(
        "{}\u{1f}{place}\u{1f}{}\u{1f}{:?}\u{1f}{}\u{1f}{band}",
        name.kind.word(),
        name.state.as_deref().unwrap_or_default(),
        name.when,
        name.polarity.as_deref().unwrap_or_default(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[test]
    fn the_jobs_a_card_was_made_from_show_its_pattern_and_others_do_not() {
        let mut jobs = vec![
            sample::job("1", "U31", 1),
            sample::job("2", "U31", 2),
            sample::job("3", "L12", 3),
        ];
        jobs[2].findings = vec![sample::rail("5V0", "missing")];
        let built = sample::built(&jobs);
        let boards = [sample::board()];
        let cards: Vec<&Card> = built.cards.iter().collect();
        let own = |c: &&Card| c.answers.iter().any(|a| a.steps[0].part == "U31");
        let card = cards.iter().copied().find(own).expect("a card for U31");
        let patterns = Patterns::of(&cards, &jobs, &boards);
        let found: Vec<&str> = patterns
            .jobs(card, &boards)
            .into_iter()
            .map(|at| jobs[at].job.as_str())
            .collect();
        assert!(!found.is_empty());
        assert!(
            found.iter().all(|job| card.jobs.iter().any(|j| j == job)),
            "{found:?}"
        );
    }
}
