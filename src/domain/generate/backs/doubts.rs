//! What a lead should doubt of a fix though the front tells it: that a bad joint is all that was seen at a part
//! that was not soldered, and that parts of the same function stand beside the answer's and nothing read says which.
//!
//! Left out is what the front does not tell at all ([`crate::domain::generate::fronts::rival`]). Limits: common
//! practice, no source.

use std::collections::BTreeSet;

use crate::domain::generate::coded::mask;
use crate::domain::generate::coded::tier;
use crate::domain::generate::weigh::shelf::Case;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::wording;

/// Signs of a joint, which solder mends.
const JOINTS: [&str; 2] = ["cracked-joint", "dull-joint"];
/// Acts that mend a joint.
const SOLDERS: [&str; 2] = ["reflow", "reball"];
/// A word behind a number that is no longer than this is a unit.
const UNIT: usize = 3;

/// Returns both warnings; `shown` is the job that the card shows, and `faces` all that its two sides show.
pub(in crate::domain::generate) fn warnings<'a>(
    shelf: &Shelf<'_>,
    group: &Group,
    shown: usize,
    faces: impl Iterator<Item = &'a Finding>,
) -> Vec<String> {
    let act = another_act(shelf, group, &shelf.cases[shown]);
    let beside = siblings(shelf, group, faces);
    act.into_iter().chain(beside).collect()
}

/// Returns the signs that a job saw at parts that it mended, each with what was done there.
fn mended<'a>(case: &'a Case<'_>) -> BTreeSet<(&'a str, &'a str)> {
    let pairs = case.fix.pairs().iter();
    let at = |place: &str, part: &str| mask::tokens(place).any(|w| w == part.to_uppercase());
    let of_part = |(act, part): &'a (String, String)| {
        let signs = case.job.findings.iter().filter(move |f| {
            f.kind == FindingKind::Visual
                && tier::is_before_repair(f)
                && !part.is_empty()
                && at(&f.place, part)
        });
        let signs = signs.filter_map(|f| f.code.as_deref());
        signs.map(|sign| (sign, act.as_str()))
    };
    pairs.flat_map(of_part).collect()
}

/// Warns of a bad joint as the sign at a part that the answer does not solder, where others on this board were
/// mended by that.
fn another_act(shelf: &Shelf<'_>, group: &Group, shown: &Case<'_>) -> Option<String> {
    let joint = |(sign, _): &(&str, &str)| JOINTS.contains(sign);
    let (sign, own) = mended(shown).into_iter().find(joint)?;
    let mut pairs = group.fixes().flat_map(Fix::pairs);
    if pairs.any(|(act, _)| SOLDERS.contains(&act.as_str())) {
        return None;
    }
    let counts = shelf.cases.iter().filter(|c| c.tier.counts() && !c.barred);
    let (mut soldered, mut alike) = (0, 0);
    for (_, act) in counts.flat_map(mended).filter(|(other, _)| *other == sign) {
        soldered += usize::from(SOLDERS.contains(&act));
        alike += usize::from(act == own);
    }
    (0 < soldered).then(|| {
        format!(
            "another act: {} at the part that was mended: {} with this act, {} by solder alone",
            wording::sign(sign),
            phrases::jobs_text(alike),
            phrases::jobs_text(soldered)
        )
    })
}

/// Warns of parts of the same function as one of the answer's, where nothing shown stands at it or at its like.
fn siblings<'a>(
    shelf: &Shelf<'_>,
    group: &Group,
    mut faces: impl Iterator<Item = &'a Finding>,
) -> Option<String> {
    let board = shelf.board?;
    let parts = group.fix.pairs().iter().map(|(_, part)| part.as_str());
    let (part, mark, beside) = parts.into_iter().find_map(|part| {
        let (mark, beside) = like(board, part);
        (!beside.is_empty()).then_some((part, mark, beside))
    })?;
    let pairs = group.fix.pairs().iter();
    let own: BTreeSet<&str> = pairs.map(|(_, part)| part.as_str()).collect();
    let rail = |part: &str| board.parts.get(part).and_then(|p| p.rail.as_deref());
    // A rail of the siblings as well says nothing of which.
    let shared = |rail_of: &&str| beside.iter().any(|other| rail(other) == Some(*rail_of));
    let there = rail(part).filter(|rail| !shared(rail));
    let says = |f: &Finding| {
        let mut words = mask::tokens(&f.place);
        there == Some(f.place.trim()) || words.any(|w| own.contains(w.as_str()) || w == mark)
    };
    if faces.any(says) {
        return None;
    }
    let does = |case: &Case<'_>| {
        let mut pairs = case.fix.pairs().iter();
        pairs.any(|(_, part)| beside.contains(&part.as_str()))
    };
    let jobs = |does: &dyn Fn(&Case<'_>) -> bool| {
        let counts = shelf.cases.iter().filter(|c| c.tier.counts());
        counts.filter(|c| does(c)).count()
    };
    let n = jobs(&|case| group.has_fix(&case.fix));
    Some(format!(
        "siblings: nothing read here stands at {part} or tells it from {}, of the same function; {} \
         ended in this fix, {} in theirs",
        beside.join(" and "),
        phrases::jobs_text(n),
        phrases::jobs_text(jobs(&does))
    ))
}

/// Returns the word that sets a part apart from others of the same function, a letter or a number, and those.
fn like<'a>(board: &'a Board, part: &str) -> (String, Vec<&'a str>) {
    let words = |name: &str| mask::tokens(name).collect::<Vec<String>>();
    let Some(own) = board.parts.get(part).map(|p| words(&p.name)) else {
        return (String::new(), Vec::new());
    };
    // A number before a unit is a rating.
    let unit = |at: usize| own.get(at + 1).is_some_and(|next| next.len() <= UNIT);
    let is_mark = |word: &str, at: usize| {
        let number = word.chars().all(|c| c.is_ascii_digit());
        if number { !unit(at) } else { word.len() == 1 }
    };
    let mut mark = String::new();
    let mut beside = Vec::new();
    for (designator, other) in board.parts.iter().filter(|(d, _)| *d != part) {
        let other = words(&other.name);
        let differs = |at: &usize| own[*at] != other[*at];
        if own.len() != other.len() {
            continue;
        }
        let differ: Vec<usize> = (0..own.len()).filter(differs).collect();
        let [at] = differ.as_slice() else {
            continue;
        };
        if is_mark(&own[*at], *at) && is_mark(&other[*at], *at) {
            mark.clone_from(&own[*at]);
            beside.push(designator.as_str());
        }
    }
    (mark, beside)
}

#[cfg(test)]
mod tests {
    use crate::domain::card::Card;
    use crate::domain::card::CardKind;
    use crate::domain::generate::sample;
    use crate::domain::job::Board;
    use crate::domain::job::Finding;
    use crate::domain::job::Job;
    use crate::domain::job::Part;
    use crate::domain::job::Role;

    /// `n` jobs that did `act` to `part`.
    fn jobs(act: &str, part: &str, n: u64, findings: &[Finding]) -> Vec<Job> {
        let job = |at: u64| {
            let id = format!("{act}-{part}-{at}");
            let mut job = sample::job_with(&id, part, at, findings.to_vec());
            job.actions = vec![sample::action(act, part, Role::TheFix)];
            job
        };
        (1..=n).map(job).collect()
    }

    fn warned(board: Board, jobs: &[Job], part: &str, word: &str) -> Option<String> {
        let cards = sample::built_on(board, jobs).cards;
        let own = |c: &&Card| c.kind == CardKind::Fix && c.answers[0].steps[0].part == part;
        let card = cards.iter().find(own).expect("a fix card");
        card.warn.iter().find(|w| w.starts_with(word)).cloned()
    }

    #[test]
    fn a_bad_joint_at_a_part_that_was_replaced_is_doubted_where_others_were_soldered() {
        let seen = |part: &str, sign: &str| {
            let field = if part == "J9" { "weak" } else { "none" };
            [sample::sign(part, sign), sample::test("field", field)]
        };
        let all = |sign: &str, act: &str| {
            [
                jobs("replace-connector", "J9", 4, &seen("J9", sign)),
                jobs(act, "L12", 3, &seen("L12", sign)),
            ]
            .concat()
        };
        let told = |jobs: &[Job], part: &str| warned(sample::board(), jobs, part, "another act");
        let soldered = all("cracked-joint", "reflow");
        assert_eq!(
            told(&soldered, "J9").as_deref(),
            Some(
                "another act: cracked joint at the part that was mended: 4 jobs with this act, 3 jobs by \
                 solder alone"
            )
        );
        assert_eq!(
            told(&soldered, "L12"),
            None,
            "solder is what a joint asks for"
        );
        assert_eq!(told(&all("cracked-joint", "replace"), "J9"), None);
        assert_eq!(
            told(&all("burnt", "reflow"), "J9"),
            None,
            "no sign of a joint"
        );
    }

    /// A board with a low side switch for each of two phases.
    fn drive(names: [&str; 2]) -> Board {
        let mut board = sample::board();
        for (part, name) in ["Q3", "Q7"].iter().zip(names) {
            let part_of = Part {
                name: name.to_owned(),
                rail: Some("VBUS".to_owned()),
                family: Some("drive".to_owned()),
                revs: Vec::new(),
            };
            board.parts.insert((*part).to_owned(), part_of);
        }
        board
    }

    #[test]
    fn a_part_that_nothing_read_tells_from_its_like_is_doubted() {
        let low = || sample::rail("VGATE", "low");
        let all = |own: &[Finding]| {
            [
                jobs("replace", "Q3", 4, own),
                jobs("replace", "U5", 4, &[sample::rail("VGATE", "in-band")]),
            ]
            .concat()
        };
        let phases = ["phase A low-side switch", "phase C low-side switch"];
        let told =
            |names: [&str; 2], own: &[Finding]| warned(drive(names), &all(own), "Q3", "siblings");
        assert_eq!(
            told(phases, &[low()]).as_deref(),
            Some(
                "siblings: nothing read here stands at Q3 or tells it from Q7, of the same function; 4 jobs \
                 ended in this fix, 0 jobs in theirs"
            )
        );
        let at_phase = [low(), sample::resistance("PHASE_A", 0.2)];
        assert_eq!(told(phases, &at_phase), None, "read at its own phase");
        assert_eq!(
            told(["5 V buck", "3 V buck"], &[low()]),
            None,
            "a rating is no twin"
        );
        assert_eq!(told(["gate driver", "fan switch"], &[low()]), None);
    }
}
