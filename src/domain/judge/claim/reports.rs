//! What in a text is told of somebody else, found, refused or taken away again: no act of whoever writes.
//!
//! "Somebody had put foil in the holder, foil out, new F1": the foil is nobody's proposal. "The customer
//! insisted so I bridged it" is one. Word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// Who did it before.
const OTHERS: [&str; 27] = [
    "somebody",
    "someone",
    "customer",
    "customers",
    "owner",
    "previous",
    "earlier",
    "colleague",
    "apprentice",
    "he",
    "she",
    "they",
    "man",
    "guy",
    "bloke",
    "neighbour",
    "son",
    "friend",
    "mate",
    "technician",
    "predecessor",
    "electrician",
    "dealer",
    "yard",
    "skipper",
    "boss",
    "fitter",
];
/// Words of what another did.
const DID: [&str; 18] = [
    "had", "has", "put", "did", "left", "was", "were", "made", "used", "stuck", "bent", "cut",
    "hid", "wound", "been", "got", "wants", "wanted",
];
/// Words after which the writer speaks of their own doing again.
const OWN: [&str; 12] = [
    "i", "we", "id", "ill", "im", "ive", "so", "me", "lets", "now", "because", "leave",
];
/// What an act that is refused is not.
const ACCEPTABLE: [&str; 17] = [
    "repair",
    "fix",
    "way",
    "good",
    "option",
    "solution",
    "answer",
    "ok",
    "okay",
    "allowed",
    "acceptable",
    "idea",
    "safe",
    "thing",
    "fuse",
    "right",
    "how",
];
/// Verbs that take something away again.
const UNDOING: [&str; 13] = [
    "remove", "undo", "clear", "take", "pull", "unsolder", "desolder", "wick", "lift", "find",
    "check", "reverse", "throw",
];
/// What is put where a part belongs.
const STAND_INS: [&str; 24] = [
    "wire",
    "wires",
    "strand",
    "strands",
    "foil",
    "tinfoil",
    "blob",
    "link",
    "jumper",
    "paperclip",
    "coin",
    "staple",
    "braid",
    "nail",
    "screw",
    "bolt",
    "bridge",
    "needle",
    "washer",
    "tape",
    "magnet",
    "tie",
    "wedge",
    "strap",
];

/// Marks what somebody else had done and how it was found.
pub fn told(tokens: &[Token], segments: &[Segment]) -> Vec<bool> {
    let mut out = vec![false; tokens.len()];
    let mut goes_on = false;
    for s in segments {
        let own = |i: &usize| tokens[*i].is_any(&OWN);
        let from = report_in(tokens, *s);
        let from = match from {
            Some(from) => Some(from),
            None if goes_on && s.joint == Kind::And && !(s.from..s.to).any(|i| own(&i)) => {
                Some(s.from)
            }
            None => None,
        };
        goes_on = from.is_some();
        if let Some(from) = from {
            let to = (from + 1..s.to).find(own).unwrap_or(s.to);
            out[from..to].fill(true);
        }
    }
    out
}

/// Returns where a segment begins to tell of another or of what was found.
fn report_in(tokens: &[Token], s: Segment) -> Option<usize> {
    let did = |from: usize| {
        let to = (from + 1..s.to)
            .find(|i| tokens[*i].is_any(&OWN))
            .unwrap_or(s.to);
        (from..to).any(|i| {
            let text = tokens[i].text.as_str();
            let able = [
                "qualified",
                "licensed",
                "authorised",
                "certified",
                "trained",
                "approved",
            ]
            .contains(&text);
            tokens[i].is_any(&DID) || text.len() > 4 && text.ends_with("ed") && !able
        })
    };
    let teller = (s.from..s.to)
        .find(|i| tokens[*i].is_any(&OTHERS))
        .filter(|t| did(*t));
    let found = (s.from..s.to).find(|i| {
        let was = tokens
            .get(i + 1)
            .is_some_and(|t| t.is_any(&["was", "were"]));
        tokens[*i].is("found") || tokens[*i].is("there") && was
    });
    // "the last one did it": the words before the teller belong to the report.
    teller.map(|t| t.saturating_sub(2).max(s.from)).or(found)
}

/// Marks what is refused after it was said, or taken away again.
pub fn refused(tokens: &[Token], segments: &[Segment]) -> Vec<bool> {
    let mut out = vec![false; tokens.len()];
    for s in segments {
        for i in s.from..s.to {
            let opens = i == 0 || tokens[i - 1].is_joint();
            let or = i > 0 && tokens[i - 1].kind == Kind::Or;
            // "a lead from source to drain … nah": all that stands before.
            if tokens[i].is_any(&["nah", "nope", "naw"]) && opens && !or {
                out[..i].fill(true);
            }
            // "wire over the fet is no repair": the clause before.
            let is_no = tokens[i].is_any(&["is", "are", "would", "thats", "its"])
                && tokens
                    .get(i + 1)
                    .is_some_and(|t| t.is_any(&["no", "not", "never"]))
                && tokens[i + 2..]
                    .iter()
                    .take(3)
                    .any(|t| t.is_any(&ACCEPTABLE));
            if is_no {
                out[s.from..i].fill(true);
            }
            // "foil out", but not "link out R9".
            let taken = tokens
                .get(i + 1)
                .is_some_and(|t| t.is_any(&["out", "off", "gone", "away", "removed"]))
                && tokens.get(i + 2).is_none_or(Token::is_joint);
            let cleared = (i + 1..tokens.len().min(i + 9)).any(|j| {
                ["clear", "remove", "undo", "wick"]
                    .iter()
                    .any(|v| words::inflected(&tokens[j].text, v))
                    && tokens
                        .get(j + 1)
                        .is_some_and(|t| t.is_any(&["it", "them", "that", "off"]))
            });
            let undone = (i.saturating_sub(4).max(s.from)..i)
                .any(|j| UNDOING.iter().any(|v| words::inflected(&tokens[j].text, v)));
            if tokens[i].is_any(&STAND_INS) && (taken || undone || cleared) {
                out[i] = true;
            }
        }
    }
    out
}
