//! What of a card may go to another shop: its evidence as counts, and nothing of a customer.
//!
//! Job numbers, days, initials, prices, and the words in which jobs were proved stay at home, and so
//! does what hardly a job says in free words ([`crate::domain::free_words`]). What a lead typed may name
//! anyone: it stays too ([`own_words`]) unless the person who lends says otherwise. What is left (a
//! named test, a place in words) is listed, for a person to read before the file is given away.

use std::collections::BTreeSet;

use crate::domain::card::BORROWED;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::free_words;
use crate::domain::free_words::Written;
use crate::domain::generate::backs::remark::small_evidence;
use crate::domain::generate::stems;
use crate::domain::generate::words::phrases::short_fix;
use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::text::clean;

/// Returns `card` as it may leave the shop.
pub fn lent(card: &Card) -> Card {
    let mut out = card.clone();
    out.jobs = Vec::new();
    out.last = None;
    out.signed = None;
    out.sums = Vec::new();
    // Warnings name jobs, and the reason quotes what proved them; a bench rule's reason is its own.
    out.warn = Vec::new();
    if out.kind != CardKind::Rule {
        out.why = String::new();
    }
    for side in &mut out.sides {
        side.jobs = Vec::new();
    }
    // What was held back is there for the archive's own people; a test told in words may hold anything.
    out.held_back.retain(|f| f.kind != FindingKind::Other);
    let sides = out.sides.iter_mut();
    let of_sides = sides.flat_map(|s| s.front.iter_mut().chain(&mut s.separates));
    for finding in out
        .front
        .iter_mut()
        .chain(&mut out.held_back)
        .chain(of_sides)
    {
        finding.raw = None;
    }
    out
}

/// A text that a person typed on a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnWords {
    /// Card id.
    pub card: String,
    /// What it is: `question`, `wording`, `why-line`.
    pub what: &'static str,
    /// The text.
    pub text: String,
}

/// Puts the program's own words in the place of what people typed on a lent card, and returns that;
/// `built` is the card as it was built, where a lead changed its wording. The why-line is a bench rule's:
/// any other stays at home in any case.
pub fn own_words(card: &mut Card, built: Option<&Card>) -> Vec<OwnWords> {
    let mut typed: Vec<(&'static str, String)> = Vec::new();
    if let Some(built) = built {
        if card.stem != built.stem {
            let stem = std::mem::replace(&mut card.stem, built.stem.clone());
            typed.push(("question", stem));
        }
        if card.kind == CardKind::Rule && card.why != built.why {
            let why = std::mem::replace(&mut card.why, built.why.clone());
            typed.push(("why-line", why));
        }
    }
    // A file may have been edited by hand; these kinds ask without words.
    let silent = matches!(card.kind, CardKind::Fix | CardKind::Look);
    if silent && !card.stem.is_empty() {
        typed.push(("question", std::mem::take(&mut card.stem)));
    }
    let sides = card.sides.iter_mut().map(|side| &mut side.answer);
    let of_answers = card.answers.iter_mut().chain(sides);
    let lists = of_answers.map(|answer| &mut answer.also);
    for also in lists.chain([&mut card.also]) {
        let also = std::mem::take(also).into_iter();
        typed.extend(also.map(|wording| ("wording", wording)));
    }
    typed.retain(|(_, text)| !text.trim().is_empty());
    let id = &card.id;
    let own = typed.into_iter().map(|(what, text)| OwnWords {
        card: id.clone(),
        what,
        text,
    });
    own.collect()
}

/// Tells whether what a lent card asks may be in a person's words, though no lead typed it here: the
/// program would not ask so. A first repair that failed is told in the words of its job, and a rule in
/// those of its source.
pub fn asks_in_own_words(card: &Card) -> bool {
    !matches!(card.kind, CardKind::Caution | CardKind::Rule) && !stems::is_made(card)
}

/// Returns the texts of a lent card that a person wrote in free words; `board` is its board, where the
/// shop describes it.
pub fn free_texts(card: &Card, board: Option<&Board>) -> Vec<String> {
    let mut words = free_words::of_card(card, board);
    let mut texts: Vec<String> = Vec::new();
    // A test is read with what it said.
    for test in free_words::findings(card).filter(|f| f.kind == FindingKind::Other) {
        for word in free_words::of_finding(test) {
            words.remove(word);
        }
        let told = test.code.clone().unwrap_or_default();
        texts.push(format!("{}: {told}", test.place));
    }
    texts.extend(words);
    texts.extend(card.answers.iter().flat_map(|a| a.also.clone()));
    texts.extend(card.also.clone());
    if card.kind != CardKind::Rule && !stems::is_made(card) {
        texts.push(card.stem.clone());
    }
    texts.retain(|t| !t.trim().is_empty());
    texts
}

/// Words that only this shop's records hold: numbers of jobs, marks of units.
#[derive(Clone, Debug, Default)]
pub struct Private {
    words: BTreeSet<String>,
    written: Written,
}

impl Private {
    /// Gathers them from the jobs.
    pub fn of(jobs: &[Job]) -> Self {
        let mut words = BTreeSet::new();
        for job in jobs {
            let own = [Some(&job.job), job.unit.as_ref(), job.follows.as_ref()];
            words.extend(own.into_iter().flatten().map(|w| w.to_lowercase()));
        }
        // A bare number such as 210 says nothing, and stands in any reading.
        words.retain(|w| {
            let digits = w.chars().all(|c| c.is_ascii_digit());
            let least = if digits { 5 } else { 3 };
            least <= w.chars().count()
        });
        Self {
            words,
            written: Written::of(jobs),
        }
    }

    /// Takes off a lent card what only its back shows and hardly a job says in free words; returns
    /// such words where the card cannot do without them.
    pub fn keep_home(&self, card: &mut Card, board: Option<&Board>) -> Option<String> {
        if card.kind == CardKind::Rule {
            return None;
        }
        let bare = Card {
            held_back: Vec::new(),
            ..card.clone()
        };
        let mut needed = free_words::of_card(&bare, board).into_iter();
        let mut typed = free_texts(&bare, board).into_iter();
        let number = typed.find(|text| free_words::holds_a_number(text));
        if let Some(text) = needed.find(|text| self.written.is_private(text)).or(number) {
            return Some(text);
        }
        let points = card.points.iter().map(|point| &point.say);
        let tests = card.tests.iter().flat_map(|test| {
            let results = test.results.iter().map(|result| &result.say);
            std::iter::once(&test.say).chain(results)
        });
        let mut told = points.chain(tests);
        if let Some(text) = told.find_map(|text| self.written.private_in(text)) {
            return Some(text.to_owned());
        }
        let all = free_words::of_card(card, board);
        let private = |text: &str| all.contains(text) && self.written.is_private(text);
        card.held_back
            .retain(|finding| !free_words::of_finding(finding).any(private));
        None
    }

    /// Returns a word of `text` that may not leave the shop.
    pub fn found_in(&self, text: &str) -> Option<String> {
        let apart = |c: char| !(c.is_alphanumeric() || matches!(c, '-' | '_' | '/' | '.'));
        let pieces = text.split(apart).map(|w| w.trim_matches(['.', '-', '/']));
        pieces
            .map(str::to_lowercase)
            .find(|w| self.words.contains(w))
    }
}

/// Returns a card that came from the shop `from`, fit to be drilled here: nobody here signed it, and it
/// says where it was counted.
pub fn borrowed(card: &Card, from: &str) -> Card {
    let mut out = lent(card);
    let tidy = |text: &mut String| *text = clean(text);
    tidy(&mut out.stem);
    tidy(&mut out.why);
    tidy(&mut out.source);
    for answer in &mut out.answers {
        answer.also.iter_mut().for_each(tidy);
    }
    out.also.iter_mut().for_each(tidy);
    let counted = if card.kind == CardKind::Rule {
        "written"
    } else {
        "counted"
    };
    out.warn = vec![format!("{BORROWED}{counted} at {}, not here", clean(from))];
    out.warn.extend(weak(card));
    if out.why.trim().is_empty() {
        out.why = counted_elsewhere(card).unwrap_or_default();
    }
    out
}

/// Returns the reason that the counts alone give: another shop's jobs stay with it, and a lead here has
/// to see at least how many there were.
fn counted_elsewhere(card: &Card) -> Option<String> {
    let share = &card.share;
    let of = match share.n {
        0 => return None,
        1 => "1 job".to_owned(),
        n => format!("{n} jobs"),
    };
    let k = share.k;
    let counted = match card.kind {
        CardKind::Fix => format!("{k} of {of} with this pattern ended in this fix"),
        CardKind::Expect => format!("{k} of {of} with this fix showed the first"),
        CardKind::Stop => format!("{k} of {of} like this ended without a fix"),
        CardKind::Contrast => format!("it tells {k} of {of} apart"),
        CardKind::Next if card.boards.is_empty() => {
            format!("{k} of {of} like this ended in one of these")
        }
        CardKind::Next => format!("{k} of {of} like this were of this circuit"),
        CardKind::Caution | CardKind::Rule | CardKind::Look => return None,
    };
    let mut lines = vec![format!("From another shop: {counted}")];
    if matches!(card.kind, CardKind::Fix) {
        if let Some(other) = card.others.first() {
            let pairs = other.steps.iter().map(|s| (s.act.clone(), s.part.clone()));
            let fix = Fix::new(pairs.collect());
            lines.push(format!(
                "most of the rest: {} in {}",
                short_fix(&fix),
                other.k
            ));
        }
        if 0 < card.bounced {
            lines.push(format!("{} with this fix came back", card.bounced));
        }
    }
    Some(lines.join("; "))
}

/// Returns what a lead should mind about the counts of a card from elsewhere.
fn weak(card: &Card) -> Vec<String> {
    let share = &card.share;
    let mut found = Vec::new();
    if card.kind == CardKind::Fix
        && let Some(other) = card.others.first().filter(|other| share.k < other.k)
    {
        found.push(format!(
            "outnumbered: another fix holds {} of the {} jobs like this, this one {}",
            other.k, share.n, share.k
        ));
    }
    if 0 < share.n && matches!(card.kind, CardKind::Fix | CardKind::Expect) {
        found.extend(small_evidence(share));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    fn built() -> (Vec<Job>, Card) {
        let mut jobs = vec![
            sample::job("W-1041", "U31", 1),
            sample::job("W-1042", "L12", 2),
        ];
        jobs[0].proof = Some("Mrs Brandt says it charges".to_owned());
        let built = sample::built(&jobs);
        let own = |c: &Card| c.answers[0].steps[0].part == "U31";
        (
            jobs.clone(),
            built.cards.into_iter().find(own).expect("a card"),
        )
    }

    #[test]
    fn nothing_of_the_jobs_but_their_counts_goes_along() {
        let (jobs, card) = built();
        assert!(format!("{card:?}").contains("W-1041") && card.why.contains("Brandt"));
        let out = lent(&card);
        let text = format!("{out:?}");
        for word in ["W-1041", "Brandt", "2026-"] {
            assert!(!text.contains(word), "{word}: {text}");
        }
        assert_eq!(
            (out.share.clone(), out.others.clone()),
            (card.share, card.others)
        );
        assert_eq!(
            out.accepted_mark(),
            built().1.accepted_mark(),
            "the answer stays"
        );
        assert_eq!(Private::of(&jobs).found_in(&text), None);
    }

    #[test]
    fn a_borrowed_card_has_a_reason_made_of_its_counts_alone() {
        let jobs: Vec<Job> = (0..14)
            .map(|at| {
                let part = if at < 12 { "U31" } else { "L12" };
                let mut job = sample::job(&format!("W-20{at:02}"), part, at);
                job.proof = Some("Mrs Brandt says it charges".to_owned());
                job
            })
            .collect();
        let cards = sample::built(&jobs).cards;
        let of = |kind: CardKind| {
            let own = |c: &&Card| c.kind == kind && c.answers[0].steps[0].part == "U31";
            borrowed(
                &lent(cards.iter().find(own).expect("a card")),
                "Other bench",
            )
        };
        let fix = of(CardKind::Fix);
        assert_eq!(
            fix.why,
            "From another shop: 12 of 14 jobs with this pattern ended in this fix; most of the rest: \
             replace L12 in 2"
        );
        assert_eq!(fix.warn.len(), 1, "nothing to mind: {:?}", fix.warn);
        let mut few = fix.clone();
        few.share = crate::domain::card::Share::counted(1, 8, 1);
        few.others[0].k = 7;
        let few = borrowed(&few, "Other bench");
        assert!(few.warn.iter().any(|w| w.starts_with("outnumbered: ")));
        assert!(few.warn.iter().any(|w| w.starts_with("small evidence: ")));
    }

    #[test]
    fn a_number_in_a_leads_words_is_found_whole() {
        let private = Private::of(&built().0);
        assert_eq!(private.found_in("as on W-1041."), Some("w-1041".to_owned()));
        assert_eq!(private.found_in("as on W-10412"), None);
    }

    #[test]
    fn words_of_a_single_job_stay_at_home_and_the_card_with_them_where_it_needs_them() {
        let (mut jobs, card) = built();
        jobs[0]
            .findings
            .push(sample::sign("sticker 4417 88", "residue"));
        let private = Private::of(&jobs);
        let mut back = lent(&card);
        let before = back.held_back.len();
        back.held_back
            .push(sample::sign("sticker 4417 88", "residue"));
        assert_eq!(private.keep_home(&mut back, None), None);
        assert_eq!(back.held_back.len(), before);
        let mut front = lent(&card);
        front
            .front
            .push(sample::test("as told by Mrs Brandt", "dead"));
        let found = private.keep_home(&mut front, None);
        assert_eq!(found.as_deref(), Some("as told by Mrs Brandt"));
        for at in 0..3 {
            let told = sample::test("as told by Mrs Brandt", "dead");
            jobs.push(sample::job_with(&format!("W-9{at}"), "U31", 3, vec![told]));
        }
        // What many jobs say is the shop's own word: a person reads it before the file goes.
        assert_eq!(Private::of(&jobs).keep_home(&mut front, None), None);
        let listed = free_texts(&front, None);
        assert!(
            listed.contains(&"as told by Mrs Brandt: dead".to_owned()),
            "{listed:?}"
        );
    }

    #[test]
    fn what_a_lead_typed_gives_way_to_the_programs_own_words() {
        let built = built().1;
        let mut card = built.clone();
        card.stem = "As for Halloran: what now?".to_owned();
        card.set_wordings(vec!["as for Halloran".to_owned()]);
        let mut out = lent(&card);
        let own = own_words(&mut out, Some(&built));
        let told: Vec<(&str, &str)> = own.iter().map(|o| (o.what, o.text.as_str())).collect();
        assert_eq!(
            told,
            [
                ("question", "As for Halloran: what now?"),
                ("wording", "as for Halloran")
            ]
        );
        assert_eq!(out, lent(&built));
        assert_eq!(own_words(&mut out, None), []);
        let rule = crate::domain::samples::rule("r");
        let mut typed = rule.clone();
        typed.why = "Halloran's cell swelled".to_owned();
        typed.also = vec!["as Halloran said".to_owned()];
        let mut out = lent(&typed);
        assert_eq!(own_words(&mut out, Some(&rule)).len(), 2);
        assert_eq!(out, lent(&rule));
    }

    #[test]
    fn a_question_that_the_program_would_not_ask_is_a_persons() {
        let mut card = built().1;
        assert!(!asks_in_own_words(&card));
        card.stem = "as for Halloran".to_owned();
        assert!(asks_in_own_words(&card));
        assert!(!asks_in_own_words(&crate::domain::samples::rule("r")));
    }

    #[test]
    fn a_bench_rule_of_another_shop_is_vouched_for_by_nobody_here() {
        let rule = crate::domain::samples::rule("r");
        assert!(rule.is_vouched_for());
        let mut theirs = borrowed(&rule, "Other bench");
        assert!(!theirs.is_vouched_for());
        theirs.signed = Some("tl".to_owned());
        assert!(theirs.is_vouched_for());
    }

    #[test]
    fn a_borrowed_card_says_where_it_was_counted_and_is_signed_by_nobody() {
        let mut card = built().1;
        card.signed = Some("xx".to_owned());
        card.stem = "look\u{1b}[31m".to_owned();
        let card = borrowed(&card, "Other bench");
        assert_eq!(card.signed, None);
        assert_eq!(card.warn[0], "borrowed: counted at Other bench, not here");
        assert!(!card.stem.contains('\u{1b}'));
        assert_eq!(free_texts(&card, None), std::slice::from_ref(&card.stem));
    }
}
