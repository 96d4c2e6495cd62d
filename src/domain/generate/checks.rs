//! Machine tests of bad cards, over a whole deck.
//!
//! Where each fault of a card from cases is looked for: leak and post-hoc in
//! [`crate::domain::generate::fronts::leak`] (a card that has one is not made); ambiguous, small evidence,
//! stale and folklore in [`crate::domain::generate::backs::remark`]; bounced in
//! [`crate::domain::generate::coded::tier`] (such a job speaks for no answer) and once more here; many fixes
//! on one pattern, near-duplicates, twins, no-fix and survivor bias here. What is found is written on
//! the card for a lead; nothing is merged or removed by itself. Limits: common practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Step;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::tier;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::Fix;
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
    /// The same fix, and all jobs of one are among those of the other: candidates for a merge.
    SameJobs,
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
    let common = a.intersection(b).count();
    let all = a.len() + b.len() - common;
    if all == 0 {
        return 0.0;
    }
    count(common) / count(all)
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
    let same_fix = a.0.fix_key() == b.0.fix_key();
    if score < ALIKE {
        (same_fix && same_jobs(a.0, b.0)).then_some(Kinship::SameJobs)
    } else if same_fix {
        Some(Kinship::Twins)
    } else if a.1 == b.1 {
        Some(Kinship::OnePattern)
    } else {
        Some(Kinship::Interfering)
    }
}

/// Tells whether the jobs of one of two cards are all among those of the other.
fn same_jobs(a: &Card, b: &Card) -> bool {
    let among = |few: &Card, many: &Card| {
        !few.jobs.is_empty() && few.jobs.iter().all(|job| many.jobs.contains(job))
    };
    among(a, b) || among(b, a)
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
    let answers: Vec<Fix> = card.answers.iter().map(Answer::fix).collect();
    let wrong = |job: &&&Job| tier::misdiagnosed(job) && answers.contains(&job.fix());
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
    let unfixed = jobs.iter().filter(|j| j.outcome == Outcome::NoFix).count();
    survivors_of(jobs.len(), unfixed, ledger)
}

/// Returns the same of `n` jobs of which `unfixed` ended without a fix.
pub fn survivors_of(n: usize, unfixed: usize, ledger: Option<f64>) -> Option<String> {
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

/// Writes what is found on the cards of one board; `jobs` are all of that board, and `survivors` the
/// warning of the whole archive.
pub fn mark(board: Option<&Board>, jobs: &[&Job], survivors: Option<&str>, cards: &mut [Card]) {
    let jobs: BTreeMap<&str, &Job> = jobs.iter().map(|j| (j.job.as_str(), *j)).collect();
    let kin = kin(board, cards);
    let twice = asked_twice(cards);
    for (i, card) in cards.iter_mut().enumerate() {
        card.warn.extend(kin.get(&i).into_iter().flatten().cloned());
        card.warn.extend(twice.get(&i).cloned());
        card.warn.extend(post_hoc(card));
        card.warn.extend(bounced(card, &jobs));
        card.warn.extend(no_fix(card, &jobs));
        if 0 < card.share.n {
            card.warn.extend(survivors.map(str::to_owned));
        }
    }
}

/// Returns, for each card that asks whether to go on, another that asks it of much the same jobs: half of
/// the jobs of one are among those of the other.
fn asked_twice(cards: &[Card]) -> BTreeMap<usize, String> {
    let stops = |(_, card): &(usize, &Card)| card.kind == CardKind::Stop && !card.jobs.is_empty();
    let stops: Vec<(usize, &Card)> = cards.iter().enumerate().filter(stops).collect();
    let much_the_same = |a: &Card, b: &Card| {
        let common = a.jobs.iter().filter(|job| b.jobs.contains(job)).count();
        a.jobs.len().min(b.jobs.len()) <= 2 * common
    };
    let mut marks = BTreeMap::new();
    for (at, one) in &stops {
        let other = stops.iter().find(|(other, card)| {
            other != at && one.points.first() == card.points.first() && much_the_same(one, card)
        });
        if let Some((_, other)) = other {
            let text = format!("near-duplicate: card {} asks much the same", other.id);
            marks.insert(*at, text);
        }
    }
    marks
}

/// Returns what to write on each card about the cards like it.
fn kin(board: Option<&Board>, cards: &[Card]) -> BTreeMap<usize, Vec<String>> {
    let fixes = |(_, card): &(usize, &Card)| card.kind == CardKind::Fix;
    let members: Vec<(usize, &Card)> = cards.iter().enumerate().filter(fixes).collect();
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
    let words: Vec<BTreeSet<String>> = members.iter().map(|(_, c)| words(c, board)).collect();
    let mut marks: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for (x, (at, one)) in members.iter().enumerate() {
        for (y, (_, other)) in members.iter().enumerate() {
            if x == y {
                continue;
            }
            if let Some(kinship) = between((one, &words[x]), (other, &words[y])) {
                let text = kin_text(kinship, one, other, &separated);
                marks.entry(*at).or_default().push(text);
            }
        }
    }
    marks
}

/// Says on card `one` how `other` stands to it; `separated` are the fixes that contrast cards tell apart.
fn kin_text(
    kinship: Kinship,
    one: &Card,
    other: &Card,
    separated: &BTreeSet<BTreeSet<(&str, &str)>>,
) -> String {
    let name = other
        .answers
        .first()
        .map_or(String::new(), wording::answer_text);
    match kinship {
        Kinship::Twins => format!("twins: card {} has this front and this fix", other.id),
        Kinship::SameJobs => format!(
            "twins: card {} asks for this fix too, from the same jobs",
            other.id
        ),
        Kinship::OnePattern => format!("many fixes: {name} has this very front"),
        Kinship::Interfering => {
            let first = [one, other].into_iter().filter_map(|c| c.answers.first());
            let both: BTreeSet<(&str, &str)> = first.flat_map(|a| pairs(&a.steps)).collect();
            let told = if separated.contains(&both) {
                "a contrast card tells them apart"
            } else {
                "no card tells them apart"
            };
            format!("near-duplicate: {name} looks much like it; {told}")
        }
    }
}

/// One failing and one passing example for every fault of a card from cases; faults and treatments are
/// common practice, no source.
#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::CardKind;
    use crate::domain::generate::fronts::leak;
    use crate::domain::generate::input::BuildInput;
    use crate::domain::generate::input::Built;
    use crate::domain::generate::sample;
    use crate::domain::generate::weigh::shelf;
    use crate::domain::job::BounceCause;
    use crate::domain::job::Confidence;
    use crate::domain::lineage::Lineage;

    /// `n` jobs replacing `part` with these findings.
    fn jobs(part: &str, n: u64, findings: &[Finding]) -> Vec<Job> {
        (1..=n)
            .map(|at| sample::job_with(&format!("{part}-{at}"), part, at, findings.to_vec()))
            .collect()
    }

    fn low() -> Vec<Finding> {
        vec![sample::rail("3V3_SB", "low"), sample::rail("VSYS", "low")]
    }

    fn fix<'a>(built: &'a Built, part: &str) -> &'a Card {
        let own = |c: &&Card| c.kind == CardKind::Fix && c.answers[0].steps[0].part == part;
        built.cards.iter().find(own).expect("a fix card")
    }

    fn warned(card: &Card, word: &str) -> bool {
        card.warn.iter().any(|w| w.starts_with(word))
    }

    fn by_number(jobs: &[Job]) -> BTreeMap<&str, &Job> {
        jobs.iter().map(|j| (j.job.as_str(), j)).collect()
    }

    #[test]
    fn one_fix_asked_for_twice_from_the_same_jobs() {
        let built = sample::built(&jobs("U31", 3, &low()));
        let one = fix(&built, "U31").clone();
        let with = |front: &[Finding], jobs: &[&str]| Card {
            id: "other".to_owned(),
            front: front.to_vec(),
            jobs: jobs.iter().map(|j| (*j).to_owned()).collect(),
            ..one.clone()
        };
        let other_front = [sample::rail("VCORE", "absent")];
        let kin = |card: &Card| kinship(&one, card, Some(&sample::board()));
        assert_eq!(
            kin(&with(&other_front, &["U31-1", "U31-2"])),
            Some(Kinship::SameJobs)
        );
        assert_eq!(kin(&with(&other_front, &["U31-1", "W-9"])), None);
        assert_eq!(kin(&with(&other_front, &[])), None);
    }

    #[test]
    fn going_on_asked_twice_of_much_the_same_jobs() {
        let built = sample::built(&jobs("U31", 3, &low()));
        let stop = |id: &str, jobs: &[&str]| Card {
            id: id.to_owned(),
            kind: CardKind::Stop,
            jobs: jobs.iter().map(|j| (*j).to_owned()).collect(),
            ..fix(&built, "U31").clone()
        };
        let marks = asked_twice(&[
            stop("a", &["1", "2", "3", "4"]),
            stop("b", &["3", "4", "5", "6"]),
            stop("c", &["6", "7", "8"]),
        ]);
        assert_eq!(marks.keys().collect::<Vec<_>>(), [&0, &1]);
        assert!(marks[&0].starts_with("near-duplicate: card b"), "{marks:?}");
    }

    #[test]
    fn leak() {
        let built = sample::built(&jobs("U31", 3, &low()));
        let good = fix(&built, "U31").clone();
        let bad = Card {
            front: vec![sample::rail("pin of U31", "low")],
            ..good.clone()
        };
        assert!(leak::leak(&bad, Some(&sample::board())).is_some());
        assert_eq!(leak::leak(&good, Some(&sample::board())), None);
    }

    #[test]
    fn ambiguous() {
        let alone = jobs("U31", 4, &low());
        assert!(!warned(fix(&sample::built(&alone), "U31"), "ambiguous"));
        let both = [alone, jobs("C40", 3, &low())].concat();
        assert!(warned(fix(&sample::built(&both), "U31"), "ambiguous"));
    }

    #[test]
    fn many_fixes_on_one_pattern() {
        let both = [jobs("U31", 4, &low()), jobs("C40", 3, &low())].concat();
        let built = sample::built(&both);
        assert!(warned(fix(&built, "U31"), "many fixes"));
        let apart = [
            jobs("U31", 4, &low()),
            jobs("C40", 3, &[sample::rail("VCORE", "absent")]),
        ]
        .concat();
        assert!(!warned(fix(&sample::built(&apart), "U31"), "many fixes"));
    }

    #[test]
    fn small_evidence() {
        // Wilson 1927 lower limits: 1 of 1 is 0.207, 5 of 5 is 0.566.
        let one = sample::built(&jobs("U31", 1, &low()));
        let five = sample::built(&jobs("U31", 5, &low()));
        assert!(warned(fix(&one, "U31"), "small evidence"));
        assert!(!warned(fix(&five, "U31"), "small evidence"));
    }

    #[test]
    fn a_card_whose_jobs_mostly_failed_otherwise() {
        let short = [low(), vec![sample::resistance("3V3_SB", 0.3)]].concat();
        let mut all = jobs("U31", 4, &short);
        let mut bare = sample::job_with("bare", "U31", 9, low());
        bare.proof = Some("3V3_SB back".to_owned());
        all.push(bare);
        let built = sample::built(&all);
        let replaced = Fix::new(vec![("replace".to_owned(), "U31".to_owned())]);
        let of = |variant: band::Variant| {
            let id = shelf::group_id("petrel-p4", &replaced, variant);
            let found = built.cards.iter().find(|c| c.id == id);
            found.expect("a card for each way")
        };
        let (short, other) = (of(band::Variant::Short), of(band::Variant::Other));
        assert!(
            warned(other, "another way: 1 of the 5 jobs"),
            "{:?}",
            other.warn
        );
        assert!(!warned(short, "another way"), "{:?}", short.warn);
    }

    #[test]
    fn near_duplicates_interfere_unless_a_contrast_card_tells_them_apart() {
        let built = sample::built(&jobs("U31", 3, &low()));
        let one = fix(&built, "U31").clone();
        let findings = |last: &str| -> Vec<Finding> {
            let mut all: Vec<Finding> = (0..9)
                .map(|n| sample::rail(&format!("NET{n}"), "low"))
                .collect();
            all.push(sample::rail("VSYS", last));
            all
        };
        let card = |part: &str, last: &str| {
            let mut card = Card {
                front: findings(last),
                ..one.clone()
            };
            card.answers[0].steps[0].part = part.to_owned();
            card
        };
        let (a, b) = (card("U31", "low"), card("C40", "high"));
        assert_eq!(kinship(&a, &b, None), Some(Kinship::Interfering));
        let other = Card {
            front: vec![sample::rail("VSYS", "high")],
            ..b
        };
        assert_eq!(kinship(&a, &other, None), None);
    }

    #[test]
    fn twins() {
        let built = sample::built(&jobs("U31", 3, &low()));
        let one = fix(&built, "U31").clone();
        let same = Card {
            id: "another".to_owned(),
            ..one.clone()
        };
        assert_eq!(kinship(&one, &same, None), Some(Kinship::Twins));
        let elsewhere = Card {
            board: "tern-h3".to_owned(),
            ..same
        };
        assert_eq!(kinship(&one, &elsewhere, None), None, "another board");
    }

    #[test]
    fn post_hoc() {
        let mut late = sample::rail("VSYS", "in-band");
        late.when = When::AfterAction;
        let findings = [low(), vec![late.clone()]].concat();
        let built = sample::built(&jobs("U31", 3, &findings));
        let good = fix(&built, "U31").clone();
        assert_eq!(super::post_hoc(&good), None, "it was dropped");
        let bad = Card {
            front: vec![late],
            ..good
        };
        assert!(super::post_hoc(&bad).is_some());
    }

    #[test]
    fn bounced() {
        let mut all = jobs("U31", 3, &low());
        all[0].outcome = Outcome::BouncedSameFault;
        all[0].bounce_cause = Some(BounceCause::Diagnosis);
        let built = sample::built(&all);
        let good = fix(&built, "U31").clone();
        assert_eq!(super::bounced(&good, &by_number(&all)), None, "not cited");
        let bad = Card {
            jobs: vec![all[0].job.clone()],
            ..good
        };
        assert!(super::bounced(&bad, &by_number(&all)).is_some());
    }

    /// Two jobs of one pattern that ended without a fix; `C72` was tried in vain.
    fn unfixed() -> Vec<Job> {
        let mut all = jobs("C72", 2, &low());
        for job in &mut all {
            job.outcome = Outcome::NoFix;
            job.no_fix_reason = Some("processor-or-memory-dead".to_owned());
            job.actions = vec![sample::action("replace", "C72", Role::TriedNoEffect)];
        }
        all
    }

    #[test]
    fn no_fix_never_teaches_what_was_tried_last() {
        let all = unfixed();
        let built = sample::built(&all);
        let stop = built.cards.iter().find(|c| c.kind == CardKind::Stop);
        let good = stop.expect("a stop card").clone();
        assert_eq!((good.share.k, good.share.n), (2, 2));
        assert_eq!(super::no_fix(&good, &by_number(&all)), None);
        let mut bad = good;
        bad.points[0].words[0].push("c72".to_owned());
        assert!(super::no_fix(&bad, &by_number(&all)).is_some());
    }

    #[test]
    fn stale() {
        let all = jobs("U31", 3, &low());
        let built = |revs: &[&str]| {
            let mut board = sample::board();
            let part = board.parts.get_mut("U31").expect("a part");
            part.revs = revs.iter().map(|r| (*r).to_owned()).collect();
            crate::domain::generate::build::build(&BuildInput {
                lineage: &Lineage::default(),
                jobs: &all,
                boards: &[board],
                circuits: &crate::domain::circuit::Circuits::with_shop(&[], false),
                as_of: sample::day_one(),
                warranty_days: 90,
                rate_per_hour: Some(60.0),
                minutes: &BTreeMap::new(),
                contradictory: &BTreeSet::new(),
                unsafe_fix: &|_, _| false,
                cautions: &|_| Vec::new(),
            })
        };
        assert!(warned(fix(&built(&["A", "B"]), "U31"), "stale"));
        assert!(!warned(fix(&built(&["B", "C"]), "U31"), "stale"));
    }

    #[test]
    fn folklore() {
        let mut all = jobs("U31", 5, &low());
        assert!(!warned(fix(&sample::built(&all), "U31"), "folklore"));
        for job in &mut all[..3] {
            job.confidence = Some(Confidence::Likely);
        }
        for job in &mut all[..2] {
            job.outcome = Outcome::BouncedSameFault;
            job.bounce_cause = Some(BounceCause::Workmanship);
        }
        assert!(warned(fix(&sample::built(&all), "U31"), "folklore"));
    }

    #[test]
    fn survivor_bias() {
        let mut all = jobs("U31", 20, &low());
        assert!(super::survivors(&all, None).is_some());
        let built = sample::built(&all);
        assert_eq!(built.warn.len(), 1, "the deck says so");
        assert!(
            warned(fix(&built, "U31"), "survivors"),
            "and every percentage"
        );
        all[0].outcome = Outcome::NoFix;
        assert_eq!(super::survivors(&all, None), None);
        // One of twenty is 5 %: far below a ledger of 12 %, not below one of 8 %.
        assert!(super::survivors(&all, Some(0.12)).is_some());
        assert_eq!(super::survivors(&all, Some(0.08)), None);
        assert_eq!(super::survivors(&all[1..10], None), None, "too few to say");
    }
}
