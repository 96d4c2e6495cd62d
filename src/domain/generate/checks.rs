//! Machine tests of bad cards, over a whole deck.
//!
//! Where each fault of a card from cases is looked for: leak and post-hoc in
//! [`crate::domain::generate::leak`] (a card that has one is not made); ambiguous, small evidence,
//! stale and folklore in [`crate::domain::generate::remark`]; bounced in
//! [`crate::domain::generate::tier`] (such a job speaks for no answer) and once more here; many fixes
//! on one pattern, near-duplicates, twins, no-fix and survivor bias here. What is found is written on
//! the card for a lead; nothing is merged or removed by itself. Limits: common practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Step;
use crate::domain::generate::band;
use crate::domain::generate::build::BuildInput;
use crate::domain::generate::build::Built;
use crate::domain::job::Board;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::When;
use crate::domain::units::count;
use crate::domain::wording;

/// Two fronts are alike from this score.
pub const ALIKE: f64 = 0.8;
/// Closed jobs from which an archive without any no-fix job is suspicious.
pub const ENOUGH_JOBS: usize = 20;
/// A share without a fix below this part of what the ledger says is far below it.
pub const FAR_BELOW: f64 = 0.5;

/// How two cards of one board stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kinship {
    /// The same front and complaint, another fix: one pattern with many fixes.
    OnePattern,
    /// Fronts that are alike, another fix: they interfere.
    Interfering,
    /// Fronts that are alike, the same fix: candidates for a merge.
    Twins,
}

/// Returns the words of a front: complaint, and each finding with its band.
pub fn words(card: &Card, board: Option<&Board>) -> BTreeSet<String> {
    let finding = |f: &Finding| {
        let band = band::band(f, board).unwrap_or_default();
        let state = f.state.as_deref().unwrap_or_default();
        format!(
            "{} {} {state} {band}",
            f.kind.word(),
            f.place.to_uppercase()
        )
    };
    let complaint = card.complaint.iter().cloned();
    complaint.chain(card.front.iter().map(finding)).collect()
}

/// Returns how alike two fronts are: the words in common over all words (Jaccard 1901), 0 to 1.
pub fn alike(a: &BTreeSet<String>, b: &BTreeSet<String>) -> f64 {
    let all = a.union(b).count();
    if all == 0 {
        return 0.0;
    }
    count(a.intersection(b).count()) / count(all)
}

/// Tells how two fix cards of one board stand to each other; none where they are well apart.
pub fn kinship(a: &Card, b: &Card, board: Option<&Board>) -> Option<Kinship> {
    between((a, &words(a, board)), (b, &words(b, board)))
}

fn between(a: (&Card, &BTreeSet<String>), b: (&Card, &BTreeSet<String>)) -> Option<Kinship> {
    let fixes = a.0.kind == CardKind::Fix && b.0.kind == CardKind::Fix;
    if !fixes || a.0.board != b.0.board {
        return None;
    }
    let score = alike(a.1, b.1);
    if score < ALIKE {
        None
    } else if a.0.fix_key() == b.0.fix_key() {
        Some(Kinship::Twins)
    } else if a.1 == b.1 {
        Some(Kinship::OnePattern)
    } else {
        Some(Kinship::Interfering)
    }
}

/// Returns what a front shows that was seen only after the repair.
pub fn post_hoc(card: &Card) -> Option<String> {
    let sides = card.sides.iter().flat_map(|s| &s.front);
    let late = card.front.iter().chain(sides);
    let late = late.into_iter().find(|f| f.when == When::AfterAction)?;
    Some(format!(
        "post-hoc: {} was taken after the repair",
        late.place
    ))
}

/// Returns the cited job that came back because its diagnosis, the card's answer, was wrong.
pub fn bounced(card: &Card, jobs: &BTreeMap<&str, &Job>) -> Option<String> {
    let answers: Vec<BTreeSet<(&str, &str)>> =
        card.answers.iter().map(|a| pairs(&a.steps)).collect();
    let wrong = |job: &&&Job| {
        let fix = job.fix();
        let fix: BTreeSet<(&str, &str)> = fix
            .pairs()
            .iter()
            .map(|(a, p)| (a.as_str(), p.as_str()))
            .collect();
        job.outcome == Outcome::BouncedSameFault
            && job.bounce_cause == Some(BounceCause::Diagnosis)
            && answers.contains(&fix)
    };
    let cited = card.jobs.iter().filter_map(|j| jobs.get(j.as_str()));
    let job = cited.into_iter().find(wrong)?;
    Some(format!(
        "bounced: {} came back, this answer was wrong there",
        job.job
    ))
}

fn pairs(steps: &[Step]) -> BTreeSet<(&str, &str)> {
    steps
        .iter()
        .map(|s| (s.act.as_str(), s.part.as_str()))
        .collect()
}

/// Returns what a stop card would teach that was only tried in vain.
pub fn no_fix(card: &Card, jobs: &BTreeMap<&str, &Job>) -> Option<String> {
    if card.kind != CardKind::Stop {
        return None;
    }
    let taught: Vec<String> = card
        .points
        .iter()
        .flat_map(|p| p.words.iter().flatten().chain([&p.say]))
        .map(|text| text.to_uppercase())
        .collect();
    let unfixed = card
        .jobs
        .iter()
        .filter_map(|j| jobs.get(j.as_str()))
        .filter(|j| j.outcome == Outcome::NoFix);
    unfixed
        .flat_map(|job| &job.actions)
        .filter(|a| a.role != Role::TheFix && !a.part.trim().is_empty())
        .find(|a| taught.contains(&a.part.to_uppercase()))
        .map(|a| {
            format!(
                "no-fix: {} {} was tried in vain",
                wording::act_verb(&a.act),
                a.part
            )
        })
}

/// Returns the warning of an archive that holds mostly what could be mended: none without a fix among
/// twenty jobs or more, or far fewer than the ledger's share.
pub fn survivors(jobs: &[Job], ledger: Option<f64>) -> Option<String> {
    let n = jobs.len();
    let unfixed = jobs.iter().filter(|j| j.outcome == Outcome::NoFix).count();
    if n < ENOUGH_JOBS {
        return None;
    }
    let share = count(unfixed) / count(n);
    match ledger {
        Some(told) if share < FAR_BELOW * told => Some(format!(
            "survivors: {unfixed} of {n} jobs ended without a fix, the ledger says {:.0} %; every \
             percentage here is too kind",
            100.0 * told
        )),
        None if unfixed == 0 => Some(format!(
            "survivors: none of {n} jobs ended without a fix; every percentage here is too kind"
        )),
        _ => None,
    }
}

/// Writes what is found on the cards and on the deck.
pub fn mark(input: &BuildInput<'_>, built: &mut Built) {
    let jobs: BTreeMap<&str, &Job> = input.jobs.iter().map(|j| (j.job.as_str(), j)).collect();
    let kin = kin(input, &built.cards);
    let survivors = survivors(input.jobs, None);
    for (i, card) in built.cards.iter_mut().enumerate() {
        card.warn.extend(kin.get(&i).into_iter().flatten().cloned());
        card.warn.extend(post_hoc(card));
        card.warn.extend(bounced(card, &jobs));
        card.warn.extend(no_fix(card, &jobs));
        if 0 < card.share.n {
            card.warn.extend(survivors.clone());
        }
    }
    built.warn.extend(survivors);
}

/// Returns what to write on each card about the cards like it.
fn kin(input: &BuildInput<'_>, cards: &[Card]) -> BTreeMap<usize, Vec<String>> {
    let mut by_board: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, card) in cards.iter().enumerate() {
        if card.kind == CardKind::Fix {
            by_board.entry(&card.board).or_default().push(i);
        }
    }
    let separated: BTreeSet<BTreeSet<(&str, &str)>> = cards
        .iter()
        .filter(|c| c.kind == CardKind::Contrast)
        .map(|c| {
            c.sides
                .iter()
                .flat_map(|s| pairs(&s.answer.steps))
                .collect()
        })
        .collect();
    let mut marks: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for (board, members) in by_board {
        let board = input.boards.iter().find(|b| b.id == board);
        let words: Vec<BTreeSet<String>> =
            members.iter().map(|i| words(&cards[*i], board)).collect();
        for (x, a) in members.iter().enumerate() {
            for (y, b) in members.iter().enumerate() {
                let (one, other) = (&cards[*a], &cards[*b]);
                if x == y {
                    continue;
                }
                let Some(kinship) = between((one, &words[x]), (other, &words[y])) else {
                    continue;
                };
                let name = other
                    .answers
                    .first()
                    .map_or(String::new(), wording::answer_text);
                let text = match kinship {
                    Kinship::Twins => {
                        format!("twins: card {} has this front and this fix", other.id)
                    }
                    Kinship::OnePattern => format!("many fixes: {name} has this very front"),
                    Kinship::Interfering => {
                        let first = [one, other].into_iter().filter_map(|c| c.answers.first());
                        let both: BTreeSet<(&str, &str)> =
                            first.flat_map(|a| pairs(&a.steps)).collect();
                        let told = if separated.contains(&both) {
                            "a contrast card tells them apart"
                        } else {
                            "no card tells them apart"
                        };
                        format!("near-duplicate: {name} looks much like it; {told}")
                    }
                };
                marks.entry(*a).or_default().push(text);
            }
        }
    }
    marks
}
