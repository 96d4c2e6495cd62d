//! The card of a pattern over several boards.
//!
//! Its front says only what means the same everywhere; its back says which boards and how often. A
//! hazard of any of its boards, or of the circuit, stands first: nobody knows which of them it is.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Standing;
use crate::domain::card::Support;
use crate::domain::caution;
use crate::domain::charge;
use crate::domain::generate::backs::remark;
use crate::domain::generate::fronts::leak;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::kinds::across::first;
use crate::domain::generate::kinds::across::general;
use crate::domain::generate::kinds::across::general::Mark;
use crate::domain::generate::kinds::across::patterns;
use crate::domain::generate::kinds::across::patterns::Found;
use crate::domain::generate::kinds::across::patterns::OnBoard;
use crate::domain::generate::kinds::across::sheet::Sheet;
use crate::domain::generate::weigh::agreed;
use crate::domain::generate::words::phrases;
use crate::domain::ids;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::units::count;
use crate::domain::wording;

/// The question of every card over several boards.
pub const STEM: &str = "Board not known. Which circuit, and what do you measure first?";
/// A board with this part of the jobs makes the pattern nearly its own.
pub const NEARLY_ALL: f64 = 0.75;
/// A board with so many jobs like it and few of the circuit is named as one where it does not hold.
pub const AGAINST: usize = 2;

/// Makes the cards of the patterns that hold on several boards.
pub fn cards(input: &BuildInput<'_>, sheets: &[&Sheet], threads: usize) -> Vec<Card> {
    let found = patterns::find(sheets, threads);
    let mut cards: Vec<Card> = found
        .iter()
        .filter_map(|found| {
            let family = input.circuits.get(found.family)?;
            let mut points = first::points(family);
            if points.is_empty() {
                return None;
            }
            if asks_a_shown_level(found, &points) {
                points.push(first::line_to_ground());
            }
            let card = card(input, found, points);
            leak::leak_across(&card, family).is_none().then_some(card)
        })
        .collect();
    cards.sort_by(|a, b| a.family.cmp(&b.family).then_with(|| a.id.cmp(&b.id)));
    cards
}

fn card(input: &BuildInput<'_>, found: &Found<'_>, points: Vec<KeyPoint>) -> Card {
    let mut marks: Vec<(usize, (Mark<'_>, &str))> =
        found.marks.iter().copied().enumerate().collect();
    marks.sort_by_key(|(_, (mark, _))| *mark);
    let shown: Vec<(usize, Finding)> = marks
        .iter()
        .filter_map(|(rank, (mark, value))| Some((*rank, general::shown(mark, value)?)))
        .collect();
    let mut deciding: Vec<usize> = (0..shown.len()).collect();
    deciding.sort_by_key(|at| shown[*at].0);
    deciding.truncate(2);
    let spoken = marks.iter().filter(|(_, (mark, _))| mark.kind.is_none());
    let mut complaint: Vec<String> = spoken.map(|(_, (m, _))| m.place.to_owned()).collect();
    complaint.sort();

    let jobs = &found.ended;
    let proved = jobs.iter().filter(|job| job.row.proved).count();
    let share = Share::counted(found.ended.len(), found.n(), proved);
    let runner_up = found.others.first().map_or(0, |(_, n)| *n);
    let support = match Support::of_jobs(share.n) {
        Support::Supported if share.k <= 2 * runner_up => Support::Thin,
        support => support,
    };
    let decided = decided(found);
    let kind = CardKind::Next;
    Card {
        id: ids::long_mark([kind.word(), "", found.family, &found.key()]),
        family: found.family.to_owned(),
        contributing: contributing(found),
        stem: STEM.to_owned(),
        warn: warnings(input, found, &share, &points),
        points,
        boards: found.boards.iter().map(standing).collect(),
        front: shown.into_iter().map(|(_, finding)| finding).collect(),
        held_back: decided.iter().map(|d| d.finding.clone()).collect(),
        deciding,
        support,
        bounced: jobs.iter().filter(|job| job.row.bounced).count(),
        jobs: jobs.iter().map(|job| job.job().to_owned()).collect(),
        last: jobs.first().map(|job| job.row.closed_on),
        why: why(input, found, decided.as_ref()),
        cautions: cautions(input, found, &complaint),
        complaint,
        share,
        ..Card::blank(kind)
    }
}

fn standing(board: &OnBoard<'_>) -> Standing {
    Standing {
        board: board.board.to_owned(),
        k: board.k,
        n: board.n,
    }
}

/// Returns the other circuits that enough of the jobs had for them to be right as well.
fn contributing(found: &Found<'_>) -> Vec<String> {
    let n = count(found.n());
    let right = |k: usize| agreed::ALSO_RIGHT_JOBS <= k && agreed::ALSO_RIGHT_SHARE * n <= count(k);
    found
        .others
        .iter()
        .filter(|(_, k)| right(*k))
        .map(|(family, _)| (*family).to_owned())
        .collect()
}

/// The reading of the circuit itself that its jobs were decided by: it cannot stand on the front.
///
/// It is told with the answer and is no part of what is accepted: that would change with every job.
struct Decided {
    finding: Finding,
    k: usize,
    n: usize,
}

impl Decided {
    fn text(&self) -> String {
        let line = wording::finding_line(&self.finding);
        format!("{}: {}", line.name, line.value)
    }
}

/// Returns what of the circuit's own readings was wrong most often; none where too few jobs read any.
fn decided(found: &Found<'_>) -> Option<Decided> {
    let mut seen: BTreeMap<(Mark<'_>, &str), usize> = BTreeMap::new();
    let mut read: BTreeMap<Mark<'_>, usize> = BTreeMap::new();
    // Counted by number first: the jobs of a board show the same few facts.
    let mut sheets: HashMap<*const Sheet, (&Sheet, Vec<usize>)> = HashMap::new();
    for job in &found.ended {
        let sheet = job.sheet();
        let of_sheet = sheets.entry(std::ptr::from_ref(sheet));
        let (_, counts) = of_sheet.or_insert_with(|| (sheet, vec![0; sheet.facts.len()]));
        for fact in job.numbers() {
            if let Some(count) = counts.get_mut(*fact as usize) {
                *count += 1;
            }
        }
    }
    let facts = sheets
        .values()
        .flat_map(|(sheet, n)| sheet.facts.iter().zip(n));
    for (fact, n) in facts.filter(|(_, n)| 0 < **n) {
        let (mark, value) = (fact.mark(), fact.value.as_str());
        if mark.kind.is_some() && mark.placed && mark.tells.contains(&found.family) {
            *read.entry(mark).or_default() += n;
            if general::is_wrong(&mark, value) {
                *seen.entry((mark, value)).or_default() += n;
            }
        }
    }
    let best = seen
        .into_iter()
        .max_by(|a, b| a.1.cmp(&b.1).then_with(|| b.0.cmp(&a.0)));
    let ((mark, value), k) = best?;
    let finding = general::shown(&mark, value)?;
    let n = read.get(&mark).copied().unwrap_or(k);
    (found.ended.len() <= 2 * k).then_some(Decided { finding, k, n })
}

fn name_of(input: &BuildInput<'_>, id: &str) -> String {
    let board = input.boards.iter().find(|b| b.id == id);
    let name = board.map_or(id, |b| b.name.trim());
    if name.is_empty() { id } else { name }.to_owned()
}

/// Says on how many boards it holds, where least, and how often the circuit is met at all; each board's
/// own counts stand beside it on the card ([`Card::boards`]).
fn why(input: &BuildInput<'_>, found: &Found<'_>, decided: Option<&Decided>) -> String {
    let bearing: Vec<&OnBoard<'_>> = found.boards.iter().filter(|b| b.bears()).collect();
    let mut parts = vec![match found.boards.len() {
        all if all == bearing.len() => format!("{}: all {all} boards bear it out", found.family),
        all => {
            let holds = bearing.len();
            format!("{}: {holds} of the {all} boards bear it out", found.family)
        }
    }];
    let least = bearing
        .iter()
        .min_by(|a, b| a.share.total_cmp(&b.share).then(a.board.cmp(b.board)));
    // Where every job of that board ended so, it is only the one with fewest jobs.
    if let Some(least) = least.filter(|b| b.k < b.n) {
        parts.push(format!(
            "of these it holds least on {}: {} of {}, counted as if {:.0} jobs of its kind stood beside them",
            name_of(input, least.board),
            least.k,
            least.n,
            found.strength
        ));
    }
    let (own, all) = found.of_all;
    parts.push(format!(
        "of all {all} jobs counted {own} ended in this circuit"
    ));
    if let Some(decided) = decided {
        parts.push(format!(
            "decided by {} in {} of {} that read it",
            decided.text(),
            decided.k,
            decided.n
        ));
    }
    if !found.others.is_empty() {
        let others = found.others.iter().map(|(f, n)| format!("{f} in {n}"));
        let others: Vec<String> = others.collect();
        parts.push(format!("the rest was {}", others.join(", ")));
    }
    if 0 < found.barred {
        let jobs = phrases::jobs_text(found.barred);
        parts.push(format!("in {jobs} more the recorded repair was unsafe"));
    }
    parts.join("; ")
}

/// Returns the hazards of the circuit on any board that has it, gravest first: whoever is asked does not know the
/// board, and it may be one whose jobs are not among these.
fn cautions(input: &BuildInput<'_>, found: &Found<'_>, complaint: &[String]) -> Vec<String> {
    let words = found.ended.iter().flat_map(|job| job.environment());
    let words: BTreeSet<&str> = words.collect();
    let environment: Vec<String> = words.into_iter().map(str::to_owned).collect();
    let mut all: BTreeSet<String> = BTreeSet::new();
    let named = found.boards.iter().map(|board| board.board);
    let has = |b: &&Board| b.families.is_empty() || b.families.iter().any(|f| f == found.family);
    let having = input.boards.iter().filter(has).map(|b| b.id.as_str());
    let ids: BTreeSet<&str> = named.chain(having).collect();
    for id in ids {
        let board = input.boards.iter().find(|b| b.id == id);
        if charge::in_circuit(found.family, board) {
            all.insert(charge::STORED.to_owned());
        }
        all.extend((input.cautions)(&Hazards {
            board,
            family: found.family,
            complaint,
            environment: &environment,
            acts: &[],
        }));
    }
    caution::together(&all)
}

fn warnings(
    input: &BuildInput<'_>,
    found: &Found<'_>,
    share: &Share,
    points: &[KeyPoint],
) -> Vec<String> {
    let mut warn: Vec<String> = remark::small_evidence(share).into_iter().collect();
    let thin = found.boards.iter().filter(|b| b.bears() && b.n < 3);
    let thin: Vec<String> = thin.map(|b| name_of(input, b.board)).collect();
    if !thin.is_empty() {
        warn.push(format!("only 2 jobs on {}", thin.join(" and on ")));
    }
    let against = found
        .boards
        .iter()
        .filter(|b| AGAINST <= b.n && 2 * b.k <= b.n);
    for board in against {
        warn.push(format!(
            "not most of the jobs on {}: {} of {}",
            name_of(input, board.board),
            board.k,
            board.n
        ));
    }
    warn.extend(shown_first(found));
    if asks_a_shown_level(found, points) {
        warn.push(
            "order: the level of a line is on the front; what is left is ohms of that line to ground, source \
             off"
                .to_owned(),
        );
    }
    let most = found.boards.iter().max_by_key(|b| b.k);
    if let Some(most) = most.filter(|b| NEARLY_ALL * count(share.k) <= count(b.k)) {
        warn.push(format!(
            "{} of its {} jobs are of {}",
            most.k,
            share.k,
            name_of(input, most.board)
        ));
    }
    warn
}

/// Returns what on the front makes the usual first measurement an odd one: ohms that it would take are
/// shown, or a dead short after which the supply stays off (common practice, no source).
fn shown_first(found: &Found<'_>) -> Option<String> {
    let is_short = |(mark, value): &(Mark<'_>, &str)| match mark.kind {
        Some(FindingKind::Resistance) => *value == "hard-short",
        Some(FindingKind::Diode) => *value == "short",
        _ => false,
    };
    let mut marks = found.marks.iter();
    let ohms = |(mark, _): &(Mark<'_>, &str)| mark.kind == Some(FindingKind::Resistance);
    if found.marks.iter().any(is_short) {
        let order =
            "order: a dead short is on the front; whatever needs the supply on comes after it";
        return Some(order.to_owned());
    }
    marks.any(ohms).then(|| {
        "order: ohms are on the front; a first measurement of the same tells nothing new".to_owned()
    })
}

/// Tells whether the front shows that a line's level is wrong and the usual first measurement is of levels,
/// with no ohms on the front yet.
fn asks_a_shown_level(found: &Found<'_>, points: &[KeyPoint]) -> bool {
    let is = |kind: FindingKind| found.marks.iter().any(move |(m, _)| m.kind == Some(kind));
    let stuck = |value: &str| ["stuck-low", "stuck-high", "mid-level"].contains(&value);
    let level = found
        .marks
        .iter()
        .any(|(mark, value)| mark.kind == Some(FindingKind::Signal) && stuck(value));
    let asked = points.iter().filter(|p| p.needed);
    let of_levels = |p: &KeyPoint| first::is_of_levels(&p.say);
    level && !is(FindingKind::Resistance) && asked.into_iter().any(of_levels)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found<'a>(family: &'a str, marks: Vec<(Mark<'a>, &'a str)>) -> Found<'a> {
        Found {
            family,
            marks,
            boards: Vec::new(),
            strength: 2.0,
            base: 0.1,
            of_all: (1, 10),
            ended: Vec::new(),
            barred: 0,
            others: Vec::new(),
        }
    }

    fn mark(kind: FindingKind, place: &'static str) -> Mark<'static> {
        Mark {
            kind: Some(kind),
            place,
            state: "",
            placed: false,
            tells: &[],
        }
    }

    #[test]
    fn ohms_or_a_dead_short_on_the_front_are_named_beside_the_usual_first_measurement() {
        let warned = |kind: FindingKind, value: &'static str| {
            shown_first(&found("buck", vec![(mark(kind, "A rail"), value)]))
        };
        let says = |value: &'static str, word: &str| {
            let warn = warned(FindingKind::Resistance, value);
            warn.is_some_and(|w| w.contains(word))
        };
        assert!(says("as-reference", "ohms are on the front"));
        assert!(says("hard-short", "dead short"));
        let diode = |value| warned(FindingKind::Diode, value);
        assert!(diode("short").is_some_and(|w| w.contains("dead short")));
        assert_eq!(diode("low"), None, "its level tells more");
        assert_eq!(warned(FindingKind::Rail, "absent"), None);
    }

    #[test]
    fn a_stuck_line_on_the_front_leaves_ohms_to_ground_to_be_measured() {
        let with = |family: &'static str, marks: Vec<(Mark<'static>, &'static str)>| {
            let found = found(family, marks);
            let all = crate::domain::families::built_in();
            let own = all.into_iter().find(|f| f.id == family).expect("built in");
            asks_a_shown_level(&found, &first::points(&own))
        };
        let stuck = (mark(FindingKind::Signal, general::SIGNAL), "stuck-low");
        let ohms = (mark(FindingKind::Resistance, general::LINE), "low");
        assert!(with("bus", vec![stuck]));
        assert!(
            !with("bus", vec![stuck, ohms]),
            "ohms have their own warning"
        );
        let missing = (mark(FindingKind::Signal, general::SIGNAL), "missing");
        assert!(!with("bus", vec![missing]), "nothing is known of its level");
        assert!(!with("inlet", vec![stuck]), "no level is asked for");
    }
}
