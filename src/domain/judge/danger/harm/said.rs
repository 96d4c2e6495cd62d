//! What is said of an act in the words after it: taken back, or put in its place.
//!
//! Word lists: common practice, no source.

use crate::domain::judge::danger::harm::reading::Reading;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

/// Words by which somebody takes back what they said.
const TAKING_BACK: [&str; 9] = [
    "sorry",
    "wait",
    "scratch",
    "rather",
    "correction",
    "nonsense",
    "wrong",
    "oops",
    "mean",
];

/// What is said of an act that somebody asks about and answers.
const BLAME: [&str; 12] = [
    "lose",
    "burn",
    "burns",
    "cook",
    "kill",
    "kills",
    "daft",
    "mad",
    "stupid",
    "fool",
    "fools",
    "dangerous",
];

/// Tells whether what is said up to token `at` is taken back right after it: "with petrol, no, with alcohol",
/// "petrol? never".
pub(super) fn is_put_right(reading: &Reading<'_>, at: usize) -> bool {
    let tokens = &reading.scene.tokens;
    let Some(joint) = (at..tokens.len()).find(|i| tokens[*i].is_joint()) else {
        return false;
    };
    let from = joint + 1;
    let Some(first) = tokens.get(from) else {
        return false;
    };
    let ends = |i: usize| tokens.get(i).is_none_or(Token::is_joint);
    let bare = scope::is_negator(first) && ends(from + 1);
    let forbids = (from..tokens.len().min(from + 4))
        .take_while(|i| !tokens[*i].is_joint())
        .any(|i| tokens[i].is_any(&["forbidden", "banned", "verboten", "taboo"]))
        || first.is_any(&["never", "not"]) && (from + 1..from + 4).any(ends);
    let question = tokens[joint].kind == Kind::Stop && tokens[joint].text == "?";
    let back = (from..tokens.len().min(from + 4)).any(|i| tokens[i].is_any(&TAKING_BACK));
    let clause = || (from..tokens.len()).take_while(|i| !tokens[*i].is_joint());
    // "winding the limit up? that's how you lose a track".
    let blamed = (question || first.is_any(&["thats", "that"]))
        && clause().any(|i| tokens[i].is_any(&BLAME))
        || question && clause().any(|i| scope::is_negator(&tokens[i]));
    bare || back || blamed || forbids && first.is("never")
}

/// Tells whether a negator stands before token `at` in what is not yet joined to something else.
pub(super) fn is_forbidden(reading: &Reading<'_>, at: usize) -> bool {
    let tokens = &reading.scene.tokens;
    (0..at)
        .rev()
        .take_while(|i| !tokens[*i].is_joint())
        .any(|i| scope::is_negator(&tokens[i]) && !tokens[i].is("no"))
}
