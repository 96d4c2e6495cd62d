//! Why a job ended without a fix: the words for it, and whether a front tells it.
//!
//! What the repair would have cost, that a part cannot be had and that the time ran out are judgements that
//! no reading shows: they are never asked for. The others are asked for only where the finding that tells
//! them is on the front. Limits are common practice, no source.

use crate::domain::card::KeyPoint;
use crate::domain::caution::SAFETY_CRITICAL;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask;
use crate::domain::generate::kinds::stop::scene;
use crate::domain::generate::words::say;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;

/// The reason that makes a card of a single job.
pub const UNSAFE: &str = "unsafe-or-safety-critical";
/// The reason that says of itself that nothing was found: no card teaches it where a repair fits.
pub const UNLOCATED_IN_TIME: &str = "not-located-in-time-box";
/// Nothing lives without its processor.
const DEAD: &str = "processor-or-memory-dead";
/// Nothing can be built upon burnt laminate.
const DESTROYED: &str = "laminate-destroyed";
/// A part that nobody sells is no reading.
pub const UNOBTAINABLE: &str = "part-unobtainable";

/// Tells whether what a card shows tells the reason: what points to it stands on the front, and nothing
/// that names it is held back.
pub fn is_told(
    reason: &str,
    (front, held_back): (&[Finding], &[Finding]),
    cautions: &[String],
    board: Option<&Board>,
) -> bool {
    let names_it = |f: &Finding| is_named(reason, f);
    let grave = |c: &String| c == SAFETY_CRITICAL || c == "mains";
    (front.iter().any(|f| tells(reason, f, board)) && !held_back.iter().any(names_it))
        || (reason == UNSAFE && cautions.iter().any(grave))
}

/// Tells whether neither the front nor what is held back shows anything of a reason that is a state of the
/// board: burnt or delaminated, or its processor dead.
pub fn is_unseen(
    reason: &str,
    (front, held_back): (&[Finding], &[Finding]),
    board: Option<&Board>,
) -> bool {
    let burnt = |f: &Finding| reason == DESTROYED && f.code.as_deref() == Some("burnt");
    // Any sign at a processor, or a test named after it, speaks of it.
    let there = |f: &Finding| {
        let looked = matches!(f.kind, FindingKind::Visual | FindingKind::Other);
        reason == DEAD && looked && names_a_processor(&f.place, board)
    };
    let shows =
        |f: &Finding| tells(reason, f, board) || burnt(f) || there(f) || is_named(reason, f);
    is_a_state(reason) && !front.iter().chain(held_back).any(shows)
}

/// Tells whether a named test says a reason in its words.
fn is_named(reason: &str, finding: &Finding) -> bool {
    let (_, words) = reason_words(reason);
    let code = finding.code.as_deref().unwrap_or_default();
    let text = format!("{} {code}", finding.place).to_lowercase();
    finding.kind == FindingKind::Other && words.iter().any(|word| text.contains(word))
}

/// Tells whether a reason is a state of the board, which somebody saw or measured.
pub fn is_a_state(reason: &str) -> bool {
    [DEAD, DESTROYED].contains(&reason)
}

/// Tells whether a finding points to any reason.
pub fn tells_any(finding: &Finding, board: Option<&Board>) -> bool {
    let mut reasons = [UNSAFE, DEAD, DESTROYED].into_iter();
    reasons.any(|reason| tells(reason, finding, board))
}

/// Tells whether a finding points to a reason.
fn tells(reason: &str, finding: &Finding, board: Option<&Board>) -> bool {
    match reason {
        UNSAFE => scene::is_swollen_cell(finding, board),
        DEAD => is_at_processor(finding, board),
        DESTROYED => is_burnt_area(finding, board),
        _ => false,
    }
}

/// Heat, or a sign of a dead part, at a part that is a processor or a memory.
fn is_at_processor(finding: &Finding, board: Option<&Board>) -> bool {
    let seen = match finding.kind {
        FindingKind::Heat => band::band(finding, board).as_deref() != Some(band::HEAT[0]),
        FindingKind::Visual => {
            let code = finding.code.as_deref();
            code.is_some_and(|c| ["burnt", "cracked-part", "bulged"].contains(&c))
        }
        _ => false,
    };
    let part = board.and_then(|b| b.parts.get(finding.place.trim()));
    let family = part.and_then(|p| p.family.as_deref());
    let name = part.map_or(finding.place.as_str(), |p| &p.name);
    let is_word = |word: String| PROCESSORS.contains(&word.to_lowercase().as_str());
    seen && (family == Some("processor") || mask::tokens(name).any(is_word))
}

/// Tells whether one of the words of a place is a processor or a memory of the board.
fn names_a_processor(place: &str, board: Option<&Board>) -> bool {
    let parts = board.map(|b| &b.parts);
    let mut words = place.split_whitespace();
    words.any(|word| {
        let part = parts.and_then(|parts| parts.get(word));
        let name = part.map_or(word, |part| &part.name);
        part.is_some_and(|part| part.family.as_deref() == Some("processor"))
            || mask::tokens(name).any(|w| PROCESSORS.contains(&w.to_lowercase().as_str()))
    })
}

/// Words of parts without which no board lives (common practice, no source).
const PROCESSORS: [&str; 8] = [
    "processor",
    "cpu",
    "soc",
    "mcu",
    "memory",
    "ram",
    "dram",
    "microcontroller",
];

/// A burn that is not at one part but on the board.
fn is_burnt_area(finding: &Finding, board: Option<&Board>) -> bool {
    let place = finding.place.trim();
    let is_part = board.is_some_and(|b| b.parts.contains_key(place)) || mask::is_designator(place);
    finding.kind == FindingKind::Visual
        && finding.code.as_deref() == Some("burnt")
        && !place.is_empty()
        && !is_part
}

/// Returns the reason as a person reads it, and the words it is known by.
pub fn reason_words(reason: &str) -> (&'static str, &'static [&'static str]) {
    match reason {
        "value-exceeded" => (
            "the repair would cost more than the board is worth",
            &[
                "worth",
                "value",
                "cost",
                "expensive",
                "uneconomical",
                "economic",
                "price",
                "money",
            ],
        ),
        "part-unobtainable" => (
            "the part cannot be had",
            &[
                "unobtainable",
                "obsolete",
                "unavailable",
                "no part",
                "cannot get",
                "not available",
                "part",
            ],
        ),
        DEAD => (
            "the processor or its memory is dead",
            &[
                "processor",
                "cpu",
                "soc",
                "memory",
                "ram",
                "mcu",
                "controller",
            ],
        ),
        DESTROYED => (
            "the board itself is destroyed: burnt or delaminated",
            &[
                "laminate",
                "burnt",
                "charred",
                "carbon",
                "delaminated",
                "pcb",
                "board destroyed",
                "tracks",
            ],
        ),
        UNSAFE => (
            "the work is unsafe here or the gear is safety-critical: maker-approved or licensed repair only",
            &[
                "unsafe",
                "safety",
                "dangerous",
                "danger",
                "licensed",
                "qualified",
                "approved",
                "maker",
                "mains",
                "critical",
                "not allowed",
                "manufacturer",
                "safe",
                "isolate",
                "swollen",
                "bulged",
                "bulging",
                "lithium",
            ],
        ),
        _ => (
            "not located within the time that was set",
            &[
                "time",
                "time box",
                "hours",
                "not located",
                "not found",
                "could not find",
                "cannot find",
                "cannot be found",
                "no fault found",
                "unlocated",
                "too long",
            ],
        ),
    }
}

/// Returns the point beside the answer of what is done with a swollen cell (common practice, no source; the
/// words of the bench safety deck).
pub fn swollen_point() -> KeyPoint {
    say::one_of(
        "a swollen cell: do not puncture it, do not press it, do not heat it, do not charge it; move it \
         outdoors or to the fire-safe place, away from anything that burns; hand it to who takes damaged \
         lithium cells, by its maker's instructions and local rules",
        &[
            "puncture",
            "pierce",
            "press",
            "not charge",
            "no charge",
            "outdoors",
            "outside",
            "fire safe",
            "safe place",
            "isolate",
            "quarantine",
            "sand",
            "damaged cells",
            "maker",
            "local rules",
        ],
        false,
    )
}

/// Returns the point that names a reason.
pub fn reason_point(reason: &str) -> KeyPoint {
    let (say, words) = reason_words(reason);
    say::one_of(say, words, true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::danger::unsafe_acts;
    use crate::domain::judge::read::words::Synonyms;

    #[test]
    fn what_is_said_of_a_swollen_cell_reads_as_no_unsafe_act() {
        let say = swollen_point().say;
        let found = unsafe_acts::unsafe_in_text(&say, None, &Synonyms::default());
        assert_eq!(found, None, "{say}");
    }
}
