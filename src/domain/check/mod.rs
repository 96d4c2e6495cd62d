//! What a lead should mend in the archive of closed jobs.
//!
//! One file a rule or group of rules; each takes the jobs that count and returns what it found.
//! Nothing is ever changed here, and nothing is merged: a rule names jobs, says why, and says what a
//! person may do about it. What the reading of the files found (format, words outside the lists, two
//! lines of one job) is added by the caller.

pub mod chain;
pub mod clash;
pub mod coders;
pub mod days;
pub mod follow_up;
pub mod places;
pub mod practice;
pub mod readings;
pub mod shares;
pub mod slips;
pub mod standing;
pub mod twins;

use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::circuit::Circuits;
use crate::domain::job::Board;
use crate::domain::job::Job;
use crate::domain::text::clean;

/// How bad one thing to mend is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// It can hurt someone.
    Danger,
    /// It cannot be as it is written.
    Wrong,
    /// Something that is needed was not written down.
    Missing,
    /// It may be right; a person should look.
    Doubtful,
    /// Good to know; nothing has to be done.
    Note,
}

impl Severity {
    /// Every severity, the worst first.
    pub const ALL: [Self; 5] = [
        Self::Danger,
        Self::Wrong,
        Self::Missing,
        Self::Doubtful,
        Self::Note,
    ];

    /// Returns the word for commands and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Danger => "danger",
            Self::Wrong => "wrong",
            Self::Missing => "missing",
            Self::Doubtful => "doubtful",
            Self::Note => "note",
        }
    }
}

/// What kind of thing is to be mended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A line or file that could not be read as it should.
    Format,
    /// A field that a job needs and that is not there.
    Missing,
    /// A word that is in none of the lists.
    Word,
    /// Several lines of one job, and none corrects another.
    Double,
    /// A recorded act that can hurt someone.
    Unsafe,
    /// A number that cannot be, or not beside another.
    Number,
    /// A closing day that cannot be.
    Day,
    /// A designator that may be a slip of the pen.
    Designator,
    /// Jobs that look the same and were proved to be different faults.
    Contradiction,
    /// One repair that different people put into different circuits.
    Coding,
    /// One case that seems to stand twice.
    Twin,
    /// A unit that came again without a link between its jobs.
    Return,
    /// A link that points nowhere, or to the wrong job.
    Link,
    /// Past the warranty days, and nobody has said whether it held.
    FollowUp,
    /// A card whose answer came back as a wrong diagnosis.
    Card,
    /// A board that the shop does not list.
    Board,
    /// A part that its board's list does not have.
    Part,
    /// A revision that the shop does not know.
    Revision,
    /// A fix without a proof.
    Proof,
    /// An archive in which next to every job was fixed.
    OnlyFixed,
    /// Circuit families that no job is in.
    Unused,
}

impl Kind {
    /// Every kind, in the order in which they are told.
    pub const ALL: [Self; 21] = [
        Self::Format,
        Self::Missing,
        Self::Word,
        Self::Double,
        Self::Unsafe,
        Self::Number,
        Self::Day,
        Self::Designator,
        Self::Contradiction,
        Self::Coding,
        Self::Twin,
        Self::Return,
        Self::Link,
        Self::FollowUp,
        Self::Card,
        Self::Board,
        Self::Part,
        Self::Revision,
        Self::Proof,
        Self::OnlyFixed,
        Self::Unused,
    ];

    /// Returns the word for commands and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Format => "format",
            Self::Missing => "missing",
            Self::Word => "word",
            Self::Double => "double",
            Self::Unsafe => "unsafe",
            Self::Number => "number",
            Self::Day => "day",
            Self::Designator => "designator",
            Self::Contradiction => "contradiction",
            Self::Coding => "coding",
            Self::Twin => "twin",
            Self::Return => "return",
            Self::Link => "link",
            Self::FollowUp => "follow-up",
            Self::Card => "card",
            Self::Board => "board",
            Self::Part => "part",
            Self::Revision => "revision",
            Self::Proof => "proof",
            Self::OnlyFixed => "only-fixed",
            Self::Unused => "unused",
        }
    }

    /// Returns the kind that a word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.word() == word)
    }

    /// Returns the heading over the list of this kind.
    pub fn heading(self) -> &'static str {
        match self {
            Self::Format => "Lines that cannot be read as they stand",
            Self::Missing => "Fields that a job needs and that are not there",
            Self::Word => "Words that are in none of the lists",
            Self::Double => "Several lines of one job",
            Self::Unsafe => "Recorded acts that can hurt someone",
            Self::Number => "Numbers that cannot be, or not together",
            Self::Day => "Closing days that cannot be",
            Self::Designator => "Designators that may be a slip of the pen",
            Self::Contradiction => "Jobs that look the same and had different fixes",
            Self::Coding => "Repairs that different people put into different circuits",
            Self::Twin => "Cases that seem to stand twice",
            Self::Return => "Units that came again, not linked",
            Self::Link => "Links that point nowhere or to the wrong job",
            Self::FollowUp => "Past the warranty days, and nobody has said whether it held",
            Self::Card => "Cards whose answer came back as a wrong diagnosis",
            Self::Board => "Boards that shop.json does not list",
            Self::Part => "Parts that the board's list does not have",
            Self::Revision => "Revisions that the shop does not know",
            Self::Proof => "Fixes without a proof",
            Self::OnlyFixed => "Too few jobs that ended without a fix",
            Self::Unused => "Circuit families without a job",
        }
    }
}

/// One thing to mend.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToMend {
    /// What kind.
    pub kind: Kind,
    /// How bad it is.
    pub severity: Severity,
    /// Numbers of the jobs it is about, in order; none where it is about the archive.
    pub jobs: Vec<String>,
    /// Field of the job line where it stands: `findings[2].got_v`; empty where it is about no field.
    pub field: String,
    /// What it is.
    pub what: String,
    /// Why it matters, or how it was found.
    pub why: String,
    /// What to do.
    pub todo: String,
    /// The command that mends it, where there is one.
    pub mend: Option<String>,
}

/// What the rules look at.
#[derive(Clone, Copy, Debug)]
pub struct Look<'a> {
    /// The jobs that count, by closing day.
    pub jobs: &'a [Job],
    /// The shop's boards.
    pub boards: &'a [Board],
    /// The shop's circuit families.
    pub circuits: &'a Circuits,
    /// The cards in use.
    pub cards: &'a [&'a Card],
    /// The bench day.
    pub as_of: NaiveDate,
    /// After this many days without a return a repair counts as held.
    pub warranty_days: u32,
}

impl Look<'_> {
    /// Returns the board called `id`.
    pub fn board(&self, id: &str) -> Option<&Board> {
        self.boards.iter().find(|b| b.id == id)
    }
}

/// Returns everything that the rules find, kind by kind.
pub fn check(look: &Look<'_>) -> Vec<ToMend> {
    let slips = slips::slips(look);
    let mut found = readings::nothing_before(look);
    found.extend(practice::unsafe_acts(look));
    found.extend(readings::numbers(look));
    found.extend(days::minutes(look));
    found.extend(days::closing(look));
    found.extend(slips.iter().map(slips::Slip::to_mend));
    found.extend(clash::contradictions(look));
    found.extend(coders::coders(look));
    found.extend(twins::twins(look));
    found.extend(chain::returns(look));
    found.extend(chain::unexplained(look));
    found.extend(chain::links(look));
    found.extend(follow_up::to_mend(look));
    found.extend(standing::cards(look));
    found.extend(places::boards(look));
    found.extend(places::parts(look, &slips));
    found.extend(places::revisions(look));
    found.extend(practice::without_proof(look));
    found.extend(shares::only_fixed(look));
    found.extend(shares::unused(look));
    found
}

/// Returns a command line about `jobs` to be typed as it stands: `benchlore jobs held W-0412`.
///
/// A number that a shell would take apart stands in quotes; with a number that cannot be typed there
/// is no command.
pub fn command(verb: &str, jobs: &[&str]) -> Option<String> {
    let mut line = format!("benchlore {verb}");
    for job in jobs {
        if job.chars().any(char::is_control) || clean(job) != **job || job.starts_with('-') {
            return None;
        }
        let plain = |c: char| c.is_alphanumeric() || "-_./".contains(c);
        if !job.is_empty() && job.chars().all(plain) {
            line.push(' ');
            line.push_str(job);
        } else {
            line.push_str(" '");
            line.push_str(&job.replace('\'', "'\\''"));
            line.push('\'');
        }
    }
    Some(line)
}

/// Returns the command that corrects one job.
pub fn correct(job: &str) -> Option<String> {
    command("jobs correct", &[job])
}

/// Returns up to eight numbers as words: `W-1, W-2 and 3 more`.
pub fn numbers(jobs: &[String]) -> String {
    const SHOWN: usize = 8;
    if jobs.len() <= SHOWN + 1 {
        return jobs.join(", ");
    }
    let rest = jobs.len() - SHOWN;
    format!("{} and {rest} more", jobs[..SHOWN].join(", "))
}

#[cfg(test)]
pub(crate) mod example {
    //! Jobs for the examples of the rules (invented).

    use std::collections::BTreeMap;
    use std::sync::OnceLock;

    use chrono::NaiveDate;

    use crate::domain::check::Look;
    use crate::domain::circuit::Circuits;
    use crate::domain::job::Action;
    use crate::domain::job::Board;
    use crate::domain::job::Confidence;
    use crate::domain::job::Finding;
    use crate::domain::job::FindingKind;
    use crate::domain::job::Job;
    use crate::domain::job::Outcome;
    use crate::domain::job::Part;
    use crate::domain::job::Role;

    /// Returns a reading of a 3.3 V rail in standby.
    pub(crate) fn rail(place: &str, volts: f64) -> Finding {
        Finding {
            state: Some("standby".to_owned()),
            got: Some(volts),
            good: Some(3.3),
            ..Finding::new(FindingKind::Rail, place)
        }
    }

    /// Returns a good job closed `n` days after 1 January 2026: `part` was replaced, it held.
    pub(crate) fn job(number: &str, part: &str, n: u64) -> Job {
        Job {
            closed_on: day(n),
            rev: Some("B".to_owned()),
            complaint: vec!["no-power".to_owned()],
            findings: vec![
                rail("3V3_SB", 0.41),
                Finding {
                    got: Some(210.0),
                    good: Some(1400.0),
                    source_off: Some(true),
                    ..Finding::new(FindingKind::Resistance, "3V3_SB")
                },
                Finding {
                    code: Some("cycling".to_owned()),
                    low: Some(0.061),
                    high: Some(0.118),
                    ..Finding::new(FindingKind::Current, "")
                },
            ],
            family: Some("standby".to_owned()),
            actions: vec![Action {
                act: "replace".to_owned(),
                part: part.to_owned(),
                role: Role::TheFix,
            }],
            confidence: Some(Confidence::Proved),
            ..Job::empty(number, "petrel-p4", Outcome::Held)
        }
    }

    /// Returns a board with one part and two revisions.
    pub(crate) fn board() -> Board {
        let part = Part {
            name: "standby switcher".to_owned(),
            rail: Some("3V3_SB".to_owned()),
            family: Some("standby".to_owned()),
            revs: vec!["B".to_owned()],
        };
        Board {
            id: "petrel-p4".to_owned(),
            name: "Petrel P4 helm display".to_owned(),
            kind: "display".to_owned(),
            revisions: vec!["A".to_owned(), "B".to_owned()],
            safety: Vec::new(),
            families: Vec::new(),
            parts: BTreeMap::from([("U31".to_owned(), part)]),
            good: Vec::new(),
        }
    }

    /// Returns the day `n` days after 1 January 2026.
    pub(crate) fn day(n: u64) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day") + chrono::Days::new(n)
    }

    /// Returns the built-in circuit families.
    pub(crate) fn circuits() -> &'static Circuits {
        static BUILT_IN: OnceLock<Circuits> = OnceLock::new();
        BUILT_IN.get_or_init(|| Circuits::with_shop(&[], false))
    }

    /// Looks at `jobs` on day 400.
    pub(crate) fn look<'a>(jobs: &'a [Job], boards: &'a [Board]) -> Look<'a> {
        Look {
            jobs,
            boards,
            circuits: circuits(),
            cards: &[],
            as_of: day(400),
            warranty_days: 90,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_word_of_its_own() {
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(kind));
            assert!(!kind.heading().is_empty());
        }
        assert_eq!(Kind::from_word("mistake"), None);
    }

    #[test]
    fn a_command_can_be_typed_as_it_stands() {
        let held = |job: &str| command("jobs held", &[job]);
        assert_eq!(
            held("W-0412").as_deref(),
            Some("benchlore jobs held W-0412")
        );
        assert_eq!(
            held("W 1; rm -r $HOME").as_deref(),
            Some("benchlore jobs held 'W 1; rm -r $HOME'")
        );
        assert_eq!(
            held("O'Neil 3").as_deref(),
            Some("benchlore jobs held 'O'\\''Neil 3'")
        );
        for odd in ["a\nb", "a\u{1b}[2J", "--person"] {
            assert_eq!(held(odd), None, "{odd:?}");
        }
    }

    #[test]
    fn many_numbers_are_counted_rather_than_listed() {
        let jobs: Vec<String> = (1..=10).map(|n| format!("W-{n}")).collect();
        assert_eq!(numbers(&jobs[..2]), "W-1, W-2");
        assert!(numbers(&jobs[..9]).ends_with("W-9"));
        assert!(numbers(&jobs).ends_with("W-8 and 2 more"));
    }
}
