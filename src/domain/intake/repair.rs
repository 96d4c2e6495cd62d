//! Mending a draft: a suggestion taken as fact, a field given in free words, one row split into two.
//!
//! The words of a field are read by the parser that read the sheet, and the shop's own vocabulary
//! is understood beside it: board ids and names, circuits, outcomes. What the words do not plainly
//! say becomes a suggestion with its flag, as in an import.

use chrono::NaiveDate;

use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading;
use crate::domain::intake::reading::Got;
use crate::domain::intake::reading::Known;
use crate::domain::intake::reading::Reading;
use crate::domain::intake::words::Words;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::Flag;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::Outcome;
use crate::domain::job::Role;

/// A field of a draft that a person mends, in the order of a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Slot {
    /// The shop's number.
    Number,
    /// Day it was closed.
    ClosedOn,
    /// Board.
    Board,
    /// Customer's words.
    Complaint,
    /// What was seen and measured.
    Findings,
    /// Acts of repair.
    Actions,
    /// Circuit.
    Family,
    /// How it ended.
    Outcome,
    /// Why there was no fix.
    NoFixReason,
    /// What proved it.
    Proof,
    /// Revision.
    Rev,
    /// Who closed it.
    ClosedBy,
    /// Where the board had been.
    Environment,
}

impl Slot {
    /// Every one.
    pub const ALL: [Self; 13] = [
        Self::Number,
        Self::ClosedOn,
        Self::Board,
        Self::Complaint,
        Self::Findings,
        Self::Actions,
        Self::Family,
        Self::Outcome,
        Self::NoFixReason,
        Self::Proof,
        Self::Rev,
        Self::ClosedBy,
        Self::Environment,
    ];

    /// Returns the field's name in files, which flags and missing fields use.
    pub fn field(self) -> &'static str {
        match self {
            Self::Number => "job",
            Self::ClosedOn => "closed_on",
            Self::Board => "board",
            Self::Complaint => "complaint",
            Self::Findings => "findings",
            Self::Actions => "actions",
            Self::Family => "family",
            Self::Outcome => "outcome",
            Self::NoFixReason => "no_fix_reason",
            Self::Proof => "proof",
            Self::Rev => "rev",
            Self::ClosedBy => "closed_by",
            Self::Environment => "environment",
        }
    }

    /// Returns what the parser is told that the words hold.
    fn column(self) -> Field {
        match self {
            Self::Number => Field::Number,
            Self::ClosedOn => Field::ClosedOn,
            Self::Board => Field::Board,
            Self::Complaint => Field::Complaint,
            Self::Findings => Field::Findings,
            Self::Actions => Field::Fix,
            Self::Family => Field::Family,
            Self::Outcome => Field::Outcome,
            Self::NoFixReason => Field::NoFixReason,
            Self::Proof => Field::Proof,
            Self::Rev => Field::Revision,
            Self::ClosedBy => Field::ClosedBy,
            Self::Environment => Field::Environment,
        }
    }
}

/// What is known when words are read.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    /// Words of the bench and of the shop.
    pub words: &'a Words,
    /// The row's board, where it is known.
    pub board: Option<&'a BoardFacts>,
    /// The shop's boards: id and name.
    pub boards: &'a [(String, String)],
    /// The shop's circuits: id and name.
    pub circuits: &'a [(String, String)],
    /// Words for where a board had been.
    pub environments: &'a [&'a str],
}

/// Takes what may be meant in one field as fact, where something may be.
pub fn take(suggested: &mut Suggested, slot: Slot) -> bool {
    let maybe = std::mem::take(&mut suggested.maybe);
    let (facts, mut left) = (&mut suggested.facts, maybe.clone());
    match slot {
        Slot::Number => one(&mut facts.number, &mut left.number),
        Slot::ClosedOn => one(&mut facts.closed_on, &mut left.closed_on),
        Slot::Board => one(&mut facts.board, &mut left.board),
        Slot::Complaint => many(&mut facts.complaint, &mut left.complaint),
        Slot::Findings => many(&mut facts.findings, &mut left.findings),
        Slot::Actions => many(&mut facts.actions, &mut left.actions),
        Slot::Family => {
            one(&mut facts.family, &mut left.family);
            many(&mut facts.contributing, &mut left.contributing);
        }
        Slot::Outcome => {
            one(&mut facts.outcome, &mut left.outcome);
            one(&mut facts.bounce_cause, &mut left.bounce_cause);
        }
        Slot::NoFixReason => one(&mut facts.no_fix_reason, &mut left.no_fix_reason),
        Slot::Proof => {
            one(&mut facts.proof, &mut left.proof);
            one(&mut facts.confidence, &mut left.confidence);
        }
        Slot::Rev => one(&mut facts.rev, &mut left.rev),
        Slot::ClosedBy => one(&mut facts.closed_by, &mut left.closed_by),
        Slot::Environment => many(&mut facts.environment, &mut left.environment),
    }
    let taken = left != maybe;
    if taken {
        settled(facts, slot);
    }
    suggested.maybe = left;
    taken
}

/// Returns the draft with everything that may be meant taken as fact.
pub fn take_all(suggested: &Suggested) -> Suggested {
    let mut all = suggested.clone();
    for slot in Slot::ALL {
        take(&mut all, slot);
    }
    let (facts, left) = (&mut all.facts, &mut all.maybe);
    one(&mut facts.unit, &mut left.unit);
    one(&mut facts.follows, &mut left.follows);
    one(&mut facts.note, &mut left.note);
    one(&mut facts.source, &mut left.source);
    let effort = &mut left.effort;
    one(
        &mut facts.effort.minutes_to_find,
        &mut effort.minutes_to_find,
    );
    one(&mut facts.effort.minutes, &mut effort.minutes);
    one(&mut facts.effort.value, &mut effort.value);
    one(&mut facts.effort.parts_cost, &mut effort.parts_cost);
    all
}

fn one<T>(fact: &mut Option<T>, maybe: &mut Option<T>) {
    if let Some(meant) = maybe.take() {
        *fact = Some(meant);
    }
}

fn many<T: PartialEq>(facts: &mut Vec<T>, maybe: &mut Vec<T>) {
    for meant in maybe.drain(..) {
        if !facts.contains(&meant) {
            facts.push(meant);
        }
    }
}

/// Drops the flags of a field that a person has decided.
fn settled(facts: &mut Draft, slot: Slot) {
    facts.flags.retain(|flag| flag.field != slot.field());
}

/// Returns the draft with one field said anew in free words; a lone `-` empties the field.
///
/// What stood in the field, as fact or suggestion, makes room. Words that say nothing of this field
/// are an error with a hint of what would.
pub fn mend(
    suggested: &Suggested,
    slot: Slot,
    words: &str,
    around: &Around<'_>,
) -> Result<Suggested, String> {
    let words = words.trim();
    let mut new = suggested.clone();
    clear(&mut new.facts, slot);
    clear(&mut new.maybe, slot);
    settled(&mut new.facts, slot);
    if words == "-" {
        return Ok(new);
    }
    if words.is_empty() {
        return Err("type what it is; a lone - empties the field".to_owned());
    }
    let known = Known {
        words: around.words,
        board: around.board,
        field: &slot.column(),
        dates: DateOrder::Unknown,
        decimal: DecimalMark::Unknown,
    };
    let read = reading::read(words, &known);
    let flags = read.flags.clone();
    let found = put(&mut new, slot, words, read, around);
    if !found {
        return Err(hint(slot).to_owned());
    }
    let about = flags.into_iter().filter(|flag| flag.field == slot.field());
    new.facts.flags.extend(about);
    Ok(new)
}

fn clear(draft: &mut Draft, slot: Slot) {
    match slot {
        Slot::Number => draft.number = None,
        Slot::ClosedOn => draft.closed_on = None,
        Slot::Board => draft.board = None,
        Slot::Complaint => draft.complaint.clear(),
        Slot::Findings => draft.findings.clear(),
        Slot::Actions => draft.actions.clear(),
        Slot::Family => draft.family = None,
        Slot::Outcome => draft.outcome = None,
        Slot::NoFixReason => draft.no_fix_reason = None,
        Slot::Proof => draft.proof = None,
        Slot::Rev => draft.rev = None,
        Slot::ClosedBy => draft.closed_by = None,
        Slot::Environment => draft.environment.clear(),
    }
}

fn hint(slot: Slot) -> &'static str {
    match slot {
        Slot::ClosedOn => "write the day as 2026-03-14",
        Slot::Board => "no board of the shop begins with that, or several do",
        Slot::Complaint => {
            "no complaint is understood in that; say one such as no power, no display, unknown"
        }
        Slot::Findings => {
            "nothing seen is understood in that; say it such as 3V3_SB 0.41 V, residue at U31"
        }
        Slot::Actions => {
            "no act is understood in that; say it such as replaced U31, reflow L12 no help"
        }
        Slot::Family => "no circuit begins with that, or several do",
        Slot::Outcome => "say held, came back, no fix, or not known",
        Slot::NoFixReason => {
            "no such reason; say one such as value exceeded, part unobtainable, unsafe"
        }
        Slot::Environment => "say salt water, fresh water, sugar, oil, heat or impact",
        Slot::Number | Slot::Proof | Slot::Rev | Slot::ClosedBy => "type what it is",
    }
}

/// Puts what was read into one field; tells whether there was anything.
fn put(new: &mut Suggested, slot: Slot, words: &str, read: Reading, around: &Around<'_>) -> bool {
    let Suggested { facts, maybe } = new;
    let text = || Some(words.to_owned());
    match slot {
        Slot::Number => facts.number = text(),
        Slot::Proof => facts.proof = text(),
        Slot::Rev => facts.rev = text(),
        Slot::ClosedBy => facts.closed_by = Some(words.to_lowercase()),
        Slot::ClosedOn => {
            let plain = words.parse::<NaiveDate>().ok();
            facts.closed_on = plain.filter(|day| day.to_string() == words);
            let day = read.days.into_iter().next();
            if facts.closed_on.is_none() {
                either(&mut facts.closed_on, &mut maybe.closed_on, day);
            }
            return facts.closed_on.is_some() || maybe.closed_on.is_some();
        }
        Slot::Board => {
            facts.board = only(words, around.boards);
            return facts.board.is_some();
        }
        Slot::Family => {
            facts.family = only(words, around.circuits);
            if facts.family.is_none() {
                either(&mut facts.family, &mut maybe.family, read.family);
            }
            return facts.family.is_some() || maybe.family.is_some();
        }
        Slot::Complaint => {
            each(&mut facts.complaint, &mut maybe.complaint, read.complaint);
            many(&mut facts.complaint, &mut listed(words, &COMPLAINTS));
            return !facts.complaint.is_empty() || !maybe.complaint.is_empty();
        }
        Slot::Findings => {
            each(&mut facts.findings, &mut maybe.findings, read.findings);
            return !facts.findings.is_empty() || !maybe.findings.is_empty();
        }
        Slot::Actions => {
            each(&mut facts.actions, &mut maybe.actions, read.actions);
            return !facts.actions.is_empty() || !maybe.actions.is_empty();
        }
        Slot::Outcome => {
            facts.outcome = outcome(words);
            if facts.outcome.is_none() {
                either(&mut facts.outcome, &mut maybe.outcome, read.outcome);
            }
            return facts.outcome.is_some() || maybe.outcome.is_some();
        }
        Slot::NoFixReason => {
            facts.no_fix_reason = begins(words, &NO_FIX_REASONS);
            if facts.no_fix_reason.is_none() {
                let (fact, meant) = (&mut facts.no_fix_reason, &mut maybe.no_fix_reason);
                either(fact, meant, read.no_fix_reason);
            }
            return facts.no_fix_reason.is_some() || maybe.no_fix_reason.is_some();
        }
        Slot::Environment => {
            each(
                &mut facts.environment,
                &mut maybe.environment,
                read.environment,
            );
            many(
                &mut facts.environment,
                &mut listed(words, around.environments),
            );
            return !facts.environment.is_empty() || !maybe.environment.is_empty();
        }
    }
    true
}

fn either<T>(fact: &mut Option<T>, maybe: &mut Option<T>, got: Option<Got<T>>) {
    match got {
        Some(got) if got.sure => *fact = Some(got.what),
        Some(got) => *maybe = Some(got.what),
        None => {}
    }
}

fn each<T: PartialEq>(facts: &mut Vec<T>, maybe: &mut Vec<T>, got: Vec<Got<T>>) {
    for got in got {
        let list = if got.sure { &mut *facts } else { &mut *maybe };
        if !list.contains(&got.what) {
            list.push(got.what);
        }
    }
}

/// Returns the id whose id or name is `words`, else the only one that begins so.
fn only(words: &str, all: &[(String, String)]) -> Option<String> {
    let words = words.to_lowercase();
    let is = |text: &str| text.to_lowercase() == words;
    let begins = |text: &str| text.to_lowercase().starts_with(&words);
    if let Some((id, _)) = all.iter().find(|(id, name)| is(id) || is(name)) {
        return Some(id.clone());
    }
    let mut found = all.iter().filter(|(id, name)| begins(id) || begins(name));
    match (found.next(), found.next()) {
        (Some((id, _)), None) => Some(id.clone()),
        _ => None,
    }
}

fn spoken(code: &str) -> String {
    code.replace('-', " ")
}

/// Returns the words of a vocabulary that are named, parted by commas.
fn listed(words: &str, vocabulary: &[&str]) -> Vec<String> {
    let named = words
        .split([',', ';'])
        .map(|w| spoken(w.trim()).to_lowercase());
    named
        .filter_map(|word| {
            let known = vocabulary.iter().find(|code| spoken(code) == word)?;
            Some((*known).to_owned())
        })
        .collect()
}

/// Returns the only word of a vocabulary that is named or begins so.
fn begins(words: &str, vocabulary: &[&str]) -> Option<String> {
    let words = spoken(words).to_lowercase();
    if let Some(code) = vocabulary.iter().find(|code| spoken(code) == words) {
        return Some((*code).to_owned());
    }
    let mut found = vocabulary.iter().filter(|c| spoken(c).starts_with(&words));
    match (found.next(), found.next()) {
        (Some(code), None) => Some((*code).to_owned()),
        _ => None,
    }
}

fn outcome(words: &str) -> Option<Outcome> {
    let words = spoken(words).to_lowercase();
    Outcome::ALL
        .into_iter()
        .find(|o| spoken(o.word()) == words)
        .or(match words.as_str() {
            "unknown" | "not known" => Some(Outcome::UnknownSoFar),
            "came back" | "bounced" => Some(Outcome::BouncedSameFault),
            _ => None,
        })
}

/// Where one thing of a split row goes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// To the first job.
    #[default]
    First,
    /// To the second.
    Second,
    /// To both.
    Both,
}

/// What can be told apart when a row is split, in order: customer's words, findings, acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Item {
    /// One of the customer's words; its place in the list.
    Complaint(usize),
    /// One finding.
    Finding(usize),
    /// One act.
    Action(usize),
}

/// Returns the things of a draft that a split divides; suggestions count among them.
pub fn items(suggested: &Suggested) -> Vec<Item> {
    let (facts, maybe) = (&suggested.facts, &suggested.maybe);
    let complaint = facts.complaint.len() + maybe.complaint.len();
    let findings = facts.findings.len() + maybe.findings.len();
    let actions = facts.actions.len() + maybe.actions.len();
    (0..complaint)
        .map(Item::Complaint)
        .chain((0..findings).map(Item::Finding))
        .chain((0..actions).map(Item::Action))
        .collect()
}

/// Splits a draft into two; `sides` says where each of [`items`] goes.
///
/// Board, day and people stand on both. The second has no number of its own yet: one is suggested.
/// Circuit, outcome, proof and time are the first's alone, because one row said them once.
pub fn split(suggested: &Suggested, sides: &[Side]) -> [Suggested; 2] {
    let mut first = suggested.clone();
    let mut second = suggested.clone();
    for draft in [&mut second.facts, &mut second.maybe] {
        *draft = Draft {
            closed_on: draft.closed_on,
            closed_by: draft.closed_by.take(),
            board: draft.board.take(),
            rev: draft.rev.take(),
            complaint: std::mem::take(&mut draft.complaint),
            findings: std::mem::take(&mut draft.findings),
            actions: std::mem::take(&mut draft.actions),
            environment: std::mem::take(&mut draft.environment),
            source: draft.source.take(),
            raw: std::mem::take(&mut draft.raw),
            flags: std::mem::take(&mut draft.flags),
            ..Draft::default()
        };
    }
    if let Some(number) = suggested
        .facts
        .number
        .as_ref()
        .or(suggested.maybe.number.as_ref())
    {
        second.maybe.number = Some(format!("{number}-2"));
        second.facts.flags.push(Flag {
            field: Slot::Number.field().to_owned(),
            why: "second-job-of-one-row".to_owned(),
            raw: number.clone(),
        });
    }
    keep(&mut first, sides, Side::First);
    keep(&mut second, sides, Side::Second);
    [first, second]
}

fn keep(part: &mut Suggested, sides: &[Side], mine: Side) {
    let mut sides = sides.iter();
    let mut stays = || sides.next().is_none_or(|s| *s == mine || *s == Side::Both);
    let Suggested { facts, maybe } = part;
    facts.complaint.retain(|_| stays());
    maybe.complaint.retain(|_| stays());
    facts.findings.retain(|_| stays());
    maybe.findings.retain(|_| stays());
    facts.actions.retain(|_| stays());
    maybe.actions.retain(|_| stays());
}

/// Tells whether a draft names something that fixed the board.
pub fn names_a_fix(draft: &Draft) -> bool {
    draft.actions.iter().any(|a| a.role == Role::TheFix)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::Action;
    use crate::domain::job::Finding;
    use crate::domain::job::FindingKind;

    fn boards() -> Vec<(String, String)> {
        [
            ("petrel-p4", "Petrel P4 helm display"),
            ("skua-e6", "Skua E6"),
        ]
        .map(|(id, name)| (id.to_owned(), name.to_owned()))
        .to_vec()
    }

    #[track_caller]
    fn mended(from: &Suggested, slot: Slot, words: &str) -> Result<Suggested, String> {
        let boards = boards();
        let circuits = [("buck".to_owned(), "Step-down converters".to_owned())];
        let words_known = Words::default();
        let around = Around {
            words: &words_known,
            board: None,
            boards: &boards,
            circuits: &circuits,
            environments: &["salt-water", "oil"],
        };
        mend(from, slot, words, &around)
    }

    fn act(part: &str) -> Action {
        Action {
            act: "replace".to_owned(),
            part: part.to_owned(),
            role: Role::TheFix,
        }
    }

    fn flag(field: &str) -> Flag {
        Flag {
            field: field.to_owned(),
            why: "ambiguous".to_owned(),
            raw: "x".to_owned(),
        }
    }

    #[test]
    fn a_suggestion_taken_is_fact_and_its_flags_go() {
        let mut row = Suggested::default();
        row.maybe.actions = vec![act("U31")];
        row.maybe.outcome = Some(Outcome::Held);
        row.facts.flags = vec![flag("actions"), flag("outcome")];
        assert!(take(&mut row, Slot::Actions));
        assert_eq!(row.facts.actions, [act("U31")]);
        assert_eq!(row.facts.flags, [flag("outcome")]);
        assert!(!take(&mut row, Slot::Actions), "there is no other");
        let all = take_all(&row);
        assert_eq!(all.facts.outcome, Some(Outcome::Held));
        assert_eq!(all.maybe, Draft::default());
        assert_eq!(all.facts.flags, []);
    }

    #[test]
    fn words_of_the_shop_are_understood_and_others_say_what_would_be() {
        let none = Suggested::default();
        let get = |slot, words: &str| mended(&none, slot, words).map(|s| s.facts);
        assert_eq!(get(Slot::Board, "skua").unwrap().board.unwrap(), "skua-e6");
        assert_eq!(get(Slot::Family, "Buck").unwrap().family.unwrap(), "buck");
        assert_eq!(
            get(Slot::Outcome, "unknown so far").unwrap().outcome,
            Some(Outcome::UnknownSoFar)
        );
        assert_eq!(
            get(Slot::Complaint, "no power, Impact").unwrap().complaint,
            ["no-power", "impact"]
        );
        assert_eq!(
            get(Slot::ClosedOn, "2026-02-28").unwrap().closed_on,
            NaiveDate::from_ymd_opt(2026, 2, 28)
        );
        assert!(get(Slot::ClosedOn, "2026-02-30").is_err());
        assert!(get(Slot::Board, "s k").is_err());
        assert!(get(Slot::NoFixReason, "p").is_err(), "two begin so");
    }

    #[test]
    fn a_board_is_never_one_that_only_looks_alike() {
        assert!(mended(&Suggested::default(), Slot::Board, "petrel-p5").is_err());
        assert!(mended(&Suggested::default(), Slot::Board, "petral").is_err());
    }

    #[test]
    fn a_hyphen_empties_a_field_and_its_suggestion() {
        let mut row = Suggested::default();
        row.facts.rev = Some("C".to_owned());
        row.maybe.rev = Some("D".to_owned());
        let new = mended(&row, Slot::Rev, " - ").unwrap();
        assert_eq!((new.facts.rev, new.maybe.rev), (None, None));
    }

    #[test]
    fn a_split_loses_nothing_and_doubles_only_what_is_meant_for_both() {
        let mut row = Suggested::default();
        row.facts.number = Some("W-7".to_owned());
        row.facts.board = Some("skua-e6".to_owned());
        row.facts.outcome = Some(Outcome::Held);
        row.facts.findings = vec![
            Finding::new(FindingKind::Rail, "5V0"),
            Finding::new(FindingKind::Rail, "3V3"),
        ];
        row.facts.actions = vec![act("U1")];
        row.maybe.actions = vec![act("U2")];
        assert_eq!(items(&row).len(), 4);
        let sides = [Side::First, Side::Both, Side::First, Side::Second];
        let [first, second] = split(&row, &sides);
        assert_eq!(first.facts.findings.len(), 2);
        assert_eq!(
            second.facts.findings,
            [Finding::new(FindingKind::Rail, "3V3")]
        );
        assert_eq!(first.facts.actions, [act("U1")]);
        assert_eq!(first.maybe.actions, []);
        assert_eq!(second.maybe.actions, [act("U2")]);
        assert_eq!(second.facts.board, row.facts.board);
        assert_eq!((second.facts.number, second.facts.outcome), (None, None));
        assert_eq!(second.maybe.number.as_deref(), Some("W-7-2"));
    }
}
