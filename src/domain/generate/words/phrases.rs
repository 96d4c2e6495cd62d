//! How the builder writes a name, a reading, a fix and a count on a card.
//!
//! For whoever reads; the words by which an answer is known are in [`crate::domain::generate::words::say`].

use std::collections::BTreeSet;

use crate::domain::card::Step;
use crate::domain::generate::coded::table::Name;
use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::When;
use crate::domain::wording;

/// Returns `1 job`, `2 jobs`.
pub(in crate::domain::generate) fn jobs_text(n: usize) -> String {
    if n == 1 {
        "1 job".to_owned()
    } else {
        format!("{n} jobs")
    }
}

pub(in crate::domain::generate) fn steps(fix: &Fix, board: Option<&Board>) -> Vec<Step> {
    fix.pairs()
        .iter()
        .map(|(act, part)| Step {
            act: act.clone(),
            part: part.clone(),
            name: board
                .and_then(|b| b.parts.get(part))
                .map(|p| p.name.clone())
                .filter(|name| !name.is_empty()),
        })
        .collect()
}

pub(in crate::domain::generate) fn sorted<'a>(
    words: impl Iterator<Item = &'a String>,
) -> Vec<String> {
    let set: BTreeSet<&String> = words.collect();
    set.into_iter().cloned().collect()
}

/// Returns a name as a person would say it: `3V3_SB (standby)`, `draw`, `SDA in diode mode`.
pub fn spoken(name: &Name) -> String {
    let hidden = name.held || name.place.is_empty();
    let place = if hidden {
        "a place held back"
    } else {
        name.place.as_str()
    };
    let mut text = match name.kind {
        FindingKind::Current if name.place.is_empty() && !name.held => "draw".to_owned(),
        FindingKind::Current => format!("draw at {place}"),
        FindingKind::Rail if hidden => "a rail held back".to_owned(),
        FindingKind::Signal if hidden => "a signal held back".to_owned(),
        FindingKind::Other if hidden => "a test held back".to_owned(),
        FindingKind::Rail | FindingKind::Signal | FindingKind::Other => place.to_owned(),
        FindingKind::Resistance if hidden => "ohms held back".to_owned(),
        FindingKind::Resistance if wording::between_points(place) => format!("ohms {place}"),
        FindingKind::Resistance => format!("{place} to ground"),
        FindingKind::Diode => format!("{place} in diode mode"),
        FindingKind::Heat => "heat".to_owned(),
        FindingKind::Visual => "signs".to_owned(),
    };
    let beside = beside(name);
    if !beside.is_empty() {
        text = format!("{text} ({beside})");
    }
    text
}

fn beside(name: &Name) -> String {
    let when = match name.when {
        When::BeforeAction => None,
        When::BeforeCleaning => Some("before cleaning"),
        When::AfterCleaning => Some("after cleaning"),
        When::AfterAction => Some("after the repair"),
    };
    let beside: Vec<&str> = name.state.as_deref().into_iter().chain(when).collect();
    beside.join(", ")
}

/// Returns a name with what it showed: `3V3_SB (standby) low`, `cracked joint (before cleaning)`.
///
/// `word` is the band's word; of several held places it holds several, joined by "and".
pub fn read_as(name: &Name, word: &str) -> String {
    if name.kind != FindingKind::Visual {
        return format!("{} {}", spoken(name), wording::phrase(word));
    }
    let signs: Vec<String> = word.split(" and ").map(wording::sign).collect();
    let signs = signs.join(" and ");
    match beside(name) {
        beside if beside.is_empty() => signs,
        beside => format!("{signs} ({beside})"),
    }
}

/// Joins the lines of a reason; the faces part them again.
pub fn joined(lines: &[String]) -> String {
    let whole = |line: &String| line.replace(';', ",");
    lines.iter().map(whole).collect::<Vec<_>>().join("; ")
}

/// Returns a fix in lower case, without what its parts do: `replace F3 and Q15`.
pub fn short_fix(fix: &Fix) -> String {
    let mut by_act: Vec<(&str, Vec<&str>)> = Vec::new();
    for (act, part) in fix.pairs() {
        match by_act.last_mut() {
            Some((same, parts)) if *same == act && !part.is_empty() => parts.push(part),
            _ => by_act.push((act, vec![part])),
        }
    }
    let steps: Vec<String> = by_act
        .iter()
        .map(|(act, parts)| {
            let parts = match parts.as_slice() {
                [most @ .., last] if !most.is_empty() => {
                    format!("{} and {last}", most.join(", "))
                }
                parts => parts.concat(),
            };
            wording::done_to(act, &parts).trim().to_owned()
        })
        .collect();
    steps.join(" and ")
}
