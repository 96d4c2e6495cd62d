//! Words that a person typed freely where the program knows no list: places, parts, revisions, tests.
//!
//! A designator or a net is one short word with few digits; anything else may hold a name or a number
//! that is nobody else's business. Nothing here can tell a customer from a connector: what only one or
//! two jobs say counts as private, and the rest is listed for a person to read. Limits: common
//! practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Card;
use crate::domain::card::Step;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;

/// Words that so many jobs wrote alike are the shop's own, and no single customer's.
pub const SHARED_BY: usize = 3;
/// Characters of a designator, a net or a revision at most.
const SHORT: usize = 16;
/// So many digits together are a number, and no designator.
const DIGITS: usize = 5;
/// Letters of a unit at most.
const UNIT: usize = 3;
/// Units that stand apart from a number of many digits.
const UNITS: [&str; 18] = [
    "ohm", "ohms", "Ω", "kΩ", "Hz", "kHz", "MHz", "V", "mV", "A", "mA", "W", "s", "ms", "h", "rpm",
    "cycles", "hours",
];
/// So many digits in one text are a number in groups.
const TELEPHONE: usize = 8;

/// Stands for words of a job that are no business of a card.
const IN_THE_JOB: &str = "as its job says";

/// Returns what a card's findings, answers and revisions say in free words; `board` is what the shop
/// wrote down of the card's board, once for all jobs.
pub fn of_card(card: &Card, board: Option<&Board>) -> BTreeSet<String> {
    let own = known(board);
    let mut found: BTreeSet<String> = BTreeSet::new();
    for finding in findings(card) {
        // Of a pattern over several boards the places are functions, in the program's own words.
        if !(card.is_across() && finding.kind != FindingKind::Other) {
            found.extend(of_finding(finding).map(str::to_owned));
        }
    }
    let sides = card.sides.iter().map(|s| &s.answer);
    let answers = card.answers.iter().chain(sides).flat_map(|a| &a.steps);
    let others = card.others.iter().flat_map(|other| &other.steps);
    found.extend(answers.chain(others).filter_map(of_step));
    let revs = card.revs.iter().filter(|rev| !is_short(rev));
    found.extend(revs.map(|rev| rev.trim().to_owned()));
    found.retain(|text| !own.contains(text.as_str()));
    found
}

/// Returns every finding of a card, front and back.
pub fn findings(card: &Card) -> impl Iterator<Item = &Finding> {
    let sides = card.sides.iter();
    let of_sides = sides.flat_map(|s| s.front.iter().chain(&s.separates));
    card.front.iter().chain(&card.held_back).chain(of_sides)
}

/// Returns what a finding says in free words.
pub fn of_finding(finding: &Finding) -> impl Iterator<Item = &str> {
    let test = finding.kind == FindingKind::Other;
    let place = finding.place.trim();
    let place = (test || !is_short(place)).then_some(place);
    let told = finding.code.as_deref().filter(|_| test).map(str::trim);
    let both = [place, told].into_iter().flatten();
    both.filter(|text| !text.is_empty())
}

fn of_step(step: &Step) -> Option<String> {
    let part = step.part.trim();
    (!is_short(part) && !part.is_empty()).then(|| part.to_owned())
}

/// Tells whether a text is as short as a designator, a net or a revision, and no long number.
fn is_short(text: &str) -> bool {
    let digits = text.chars().filter(char::is_ascii_digit).count();
    let plain = |c: char| c.is_alphanumeric() || "_+-./#".contains(c);
    text.chars().count() <= SHORT && text.chars().all(plain) && digits < DIGITS
}

/// Tells whether a text holds what looks like a serial, a telephone number or an address for mail.
///
/// A reading is none: it has a decimal point or a unit.
pub fn holds_a_number(text: &str) -> bool {
    let digits = |text: &str| text.chars().filter(char::is_ascii_digit).count();
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut in_a_row = 0;
    words.iter().enumerate().any(|(at, word)| {
        let bare = |c: char| c.is_ascii_digit() || "+()-/".contains(c);
        in_a_row = if word.chars().all(bare) {
            in_a_row + digits(word)
        } else {
            0
        };
        let long = DIGITS <= digits(word) && !is_a_reading(word, words.get(at + 1).copied());
        long || TELEPHONE <= in_a_row || word.contains('@')
    })
}

/// Tells whether a word is a measured number: `25.000`, `18200R`, or `32768` before `Hz`.
fn is_a_reading(word: &str, next: Option<&str>) -> bool {
    let word = word.trim_matches(|c: char| "(),;:.~<>=+-".contains(c));
    let unit = word.trim_start_matches(|c: char| c.is_ascii_digit() || ".,".contains(c));
    let number = &word[..word.len() - unit.len()];
    let points = number.chars().filter(|c| ".,".contains(*c)).count();
    let is_unit = |text: &str| {
        let text = text.trim_end_matches(|c: char| ",;:.)".contains(c));
        text.chars().count() <= UNIT && text.chars().all(|c| c.is_alphabetic() || "%°".contains(c))
    };
    if number.is_empty() || 1 < points {
        return false;
    }
    if unit.is_empty() {
        1 == points
            || next.is_some_and(|next| UNITS.contains(&next.trim_end_matches([',', ';', '.'])))
    } else {
        is_unit(unit)
    }
}

/// Returns a job without such numbers in the free words that cards are made of; none where it has none.
///
/// Who wrote a serial where a place or a proof belongs did not mean it for everyone who drills.
pub fn without_numbers(job: &Job) -> Option<Job> {
    let told = |finding: &Finding| of_finding(finding).any(holds_a_number);
    let rev = job.rev.as_deref().is_some_and(holds_a_number);
    let proof = job.proof.as_deref().is_some_and(holds_a_number);
    if !rev && !proof && !job.findings.iter().any(told) {
        return None;
    }
    let mut out = job.clone();
    out.rev = out.rev.filter(|_| !rev);
    if proof {
        out.proof = Some(IN_THE_JOB.to_owned());
    }
    let seen = |f: &Finding| matches!(f.kind, FindingKind::Visual | FindingKind::Heat);
    out.findings
        .retain(|finding| !told(finding) || seen(finding));
    for finding in out.findings.iter_mut().filter(|finding| told(finding)) {
        finding.place.clear();
    }
    Some(out)
}

/// Returns what the shop wrote of the board for all its jobs.
fn known(board: Option<&Board>) -> BTreeSet<&str> {
    let boards = board.into_iter();
    boards
        .flat_map(|board| {
            let parts = board.parts.iter();
            let named = parts.flat_map(|(id, part)| [Some(id.as_str()), part.rail.as_deref()]);
            let good = board.good.iter().map(|f| Some(f.place.as_str()));
            let revs = board.revisions.iter().map(|rev| Some(rev.as_str()));
            named.chain(good).chain(revs).flatten()
        })
        .collect()
}

/// In how many jobs each free text stands.
#[derive(Clone, Debug, Default)]
pub struct Written {
    jobs: BTreeMap<String, usize>,
}

impl Written {
    /// Counts them.
    pub fn of(jobs: &[Job]) -> Self {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for job in jobs {
            let findings = job.findings.iter().flat_map(of_finding);
            let parts = job.actions.iter().map(|action| action.part.as_str());
            let own = findings.chain(parts).chain(job.rev.as_deref());
            let own: BTreeSet<&str> = own.map(str::trim).collect();
            for text in own {
                *counts.entry(text.to_owned()).or_default() += 1;
            }
        }
        Self { jobs: counts }
    }

    /// Returns a text of several words that hardly a job says and that `text` holds.
    pub fn private_in(&self, text: &str) -> Option<&str> {
        let text = text.to_lowercase();
        let several = self.jobs.keys().filter(|said| said.contains(' '));
        let mut within = several.filter(|said| text.contains(&said.to_lowercase()));
        within
            .find(|said| self.is_private(said))
            .map(String::as_str)
    }

    /// Tells whether hardly a job says so, or it holds a number as serials, telephones and mail have it.
    pub fn is_private(&self, text: &str) -> bool {
        holds_a_number(text) || self.jobs.get(text.trim()).is_none_or(|n| *n < SHARED_BY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[test]
    fn designators_nets_and_revisions_are_no_free_words() {
        for plain in [
            "U31", "3V3_SB", "RS485_A", "R1", "1.0", "C115", "J2-A", "+5V", "",
        ] {
            assert!(is_short(plain), "{plain}");
        }
        for free in [
            "sticker 4417",
            "HLR-99-00417",
            "087 555 0134",
            "the board of Mrs Brandt",
        ] {
            assert!(!is_short(free), "{free}");
        }
    }

    #[test]
    fn what_a_board_s_file_calls_a_place_is_the_shop_s_own_word() {
        let mut card = crate::domain::samples::card("a", "standby", "U31");
        card.answers[0].steps[0].part = "shield by the plug".to_owned();
        assert_eq!(of_card(&card, None).len(), 1);
        let mut board = sample::board();
        let part = board.parts["U31"].clone();
        board.parts.insert("shield by the plug".to_owned(), part);
        assert_eq!(of_card(&card, Some(&board)).len(), 0);
    }

    #[test]
    fn serials_and_telephone_numbers_of_a_job_are_no_words_of_a_card() {
        let sticker = "sticker HLR-99-0041788";
        let mut job = sample::job_with("1", "U31", 1, vec![sample::rail("3V3_SB", "low")]);
        assert_eq!(without_numbers(&job), None);
        job.findings.push(sample::sign(sticker, "residue"));
        job.findings.push(sample::test("call", "087 555 0134"));
        job.proof = Some("ring 087 555 0134".to_owned());
        job.rev = Some("HLR-99-0041788".to_owned());
        let told = without_numbers(&job).expect("four of them");
        let text = format!("{:?} {:?} {:?}", told.findings, told.proof, told.rev);
        assert!(
            !text.contains("0041788") && !text.contains("0134"),
            "{text}"
        );
        assert_eq!(told.findings.len(), 2, "the sign stays, without its place");
        assert!(told.proof.is_some(), "it was proved all the same");
        let cards = sample::built(&[job]).cards;
        assert!(!cards.is_empty());
        let text = format!("{cards:?}");
        assert!(
            !text.contains("0041788") && !text.contains("0134"),
            "{text}"
        );
    }

    #[test]
    fn words_of_few_jobs_are_private_and_those_of_many_are_not() {
        let at = |id: &str, name: &str| {
            let told = sample::test(name, "as sold");
            sample::job_with(id, "U31", 1, vec![told])
        };
        let jobs = [at("1", "a"), at("2", "a"), at("3", "a"), at("4", "Brandt")];
        let written = Written::of(&jobs);
        assert!(!written.is_private("a"));
        assert!(!written.is_private("as sold"));
        assert!(written.is_private("Brandt"));
        assert!(written.is_private("never written"));
        for number in [
            "087 555 0134",
            "HLR-99-00417",
            "call me@x.example",
            "unit 4417882 again",
            "SN20417XZ",
        ] {
            assert!(holds_a_number(number), "{number}");
        }
        for plain in [
            "3V3_SB back at 3.31 V, 1.100 A, 2 h",
            "25.000 MHz, link lamp lights",
            "32768 Hz, right after a night",
            "18200 ohm at the input again",
            "100000R to ground",
            "channel 1 reads 4.00 and 20.0 mA",
            "8 A with no load",
            "10 kg test",
        ] {
            assert!(!holds_a_number(plain), "{plain}");
        }
    }
}
