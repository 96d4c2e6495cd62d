//! What an answer in words denies, beyond the clause rules of [`scope`]: reasons and conditions behind a
//! denial, things left out, things called needless, and a "no" that means yes.
//!
//! Rules and word lists: common practice, no source.

use crate::domain::judge::read::acts;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// Where a denial ends although no comma stands there: what follows says when, if or why.
pub const BOUNDARIES: [&str; 16] = [
    "until",
    "till",
    "before",
    "unless",
    "except",
    "without",
    "because",
    "since",
    "so",
    "if",
    "when",
    "while",
    "otherwise",
    "whilst",
    "once",
    "after",
];
/// Verbs of leaving out: what follows is not done.
const OMITTING: [&str; 7] = [
    "skip", "omit", "ignore", "forget", "neglect", "bypass", "postpone",
];
/// Words that call what stands before them needless, after "not" or alone.
const NEEDLESS: [&str; 6] = [
    "needed",
    "necessary",
    "required",
    "important",
    "worth",
    "allowed",
];
const USELESS: [&str; 4] = ["unnecessary", "pointless", "useless", "needless"];

/// Small words, not counted.
pub const SMALL: [&str; 44] = [
    "a", "an", "the", "this", "that", "these", "those", "its", "it", "them", "is", "are", "be",
    "been", "was", "were", "to", "of", "on", "at", "in", "for", "with", "all", "any", "my", "your",
    "you", "i", "we", "must", "should", "has", "have", "each", "every", "both", "very", "really",
    "just", "also", "always", "only", "still",
];

/// "don't power it until it is dry": the drying is meant. "powered or not" denies nothing after it.
pub fn end_at_boundaries(tokens: &[Token], off: &mut [bool]) {
    let mut ended = false;
    for i in 0..tokens.len() {
        if !off[i] {
            ended = false;
            continue;
        }
        let goes_on = i > 0 && off[i - 1];
        let or_not = tokens[i].is("not") && i > 0 && tokens[i - 1].kind == Kind::Or;
        if tokens[i].is_any(&BOUNDARIES) && (goes_on || ended)
            || or_not
            || is_answer(tokens, i)
            || is_afresh(tokens, i)
            || is_compared(tokens, off, i)
        {
            ended = true;
            // "not until": the word itself stays denied, so that it can be asked for.
            continue;
        } else if scope::is_negator(&tokens[i]) {
            ended = false;
        }
        if ended {
            off[i] = false;
        }
    }
}

/// "no more than the label says", "not above nominal": what is compared with is meant.
fn is_compared(tokens: &[Token], off: &[bool], at: usize) -> bool {
    const ABOVE: [&str; 5] = ["above", "over", "beyond", "exceed", "exceeding"];
    let denied = tokens[..at].iter().zip(off).rev();
    let mut denied = denied.take_while(|(t, off)| **off && !is_break(t));
    let more =
        |t: &Token| t.is_any(&["more", "less"]) || 4 < t.text.len() && t.text.ends_with("er");
    let negator_before = at > 0 && scope::is_negator(&tokens[at - 1]);
    tokens[at].is("than") && denied.any(|(t, _)| more(t))
        || tokens[at].is_any(&ABOVE) && negator_before
}

/// "I don't touch it and I ask", "the rail that isn't there, and put the meter on it": another clause.
fn is_afresh(tokens: &[Token], at: usize) -> bool {
    const INDICATIVE: [&str; 8] = [
        "isnt", "arent", "wasnt", "werent", "doesnt", "didnt", "hasnt", "havent",
    ];
    const ASKED_FOR: [&str; 17] = [
        "put",
        "take",
        "measure",
        "meter",
        "check",
        "probe",
        "note",
        "write",
        "record",
        "look",
        "read",
        "ask",
        "call",
        "tell",
        "hand",
        "photograph",
        "mark",
    ];
    let next = tokens.get(at + 1);
    let somebody = next.is_some_and(|t| t.is_any(&["i", "we", "ill", "id", "then"]));
    let told = next.is_some_and(|t| t.is_any(&ASKED_FOR));
    let clause = tokens[..at].iter().rev().take_while(|t| !is_break(t));
    let negator = clause.into_iter().find(|t| scope::is_negator(t));
    let said_of_a_thing = negator.is_some_and(|t| t.is_any(&INDICATIVE));
    tokens[at].kind == Kind::And && (somebody || told && said_of_a_thing)
}

/// "don't, look it up first": the comma at `at` ends an answer of one word, unless an "ever" follows.
fn is_answer(tokens: &[Token], at: usize) -> bool {
    let alone =
        at > 0 && scope::is_negator(&tokens[at - 1]) && (at == 1 || is_break(&tokens[at - 2]));
    let more = tokens[at + 1..]
        .iter()
        .take_while(|t| !is_break(t))
        .filter(|t| !t.is_any(&SMALL))
        .count();
    tokens[at].kind == Kind::Comma && alone && 2 <= more
}

/// "skip the photos" denies them, "never skip the photos" asks for them.
pub fn leave_out(tokens: &[Token], off: &mut [bool]) {
    for i in 0..tokens.len() {
        let omits = tokens[i].kind == Kind::Word
            && OMITTING
                .iter()
                .any(|verb| words::stem(&tokens[i].text) == words::stem(verb));
        if !omits {
            continue;
        }
        let start = tokens[..i]
            .iter()
            .rposition(|t| matches!(t.kind, Kind::Stop | Kind::Comma))
            .map_or(0, |at| at + 1);
        let turned = tokens[start.max(i.saturating_sub(4))..i]
            .iter()
            .any(scope::is_negator);
        for j in i + 1..tokens.len() {
            let new_verb = tokens[j].is_joint() && acts::verb_at(tokens, j + 1).is_some();
            let ends = matches!(tokens[j].kind, Kind::Stop | Kind::Comma)
                || tokens[j].is_any(&BOUNDARIES)
                || new_verb;
            if ends {
                break;
            }
            off[j] = !turned;
        }
    }
}

/// "My colleague wanted to bridge it, I said no", "somebody bridged it, take that off": what another
/// proposed or did and the answer refuses or undoes.
pub fn refuse_reports(tokens: &[Token], off: &mut [bool]) {
    const OTHERS: [&str; 14] = [
        "colleague",
        "customer",
        "owner",
        "boss",
        "mate",
        "someone",
        "somebody",
        "he",
        "she",
        "they",
        "apprentice",
        "guy",
        "neighbour",
        "friend",
    ];
    const PROPOSING: [&str; 9] = [
        "want", "suggest", "say", "said", "ask", "propose", "offer", "tell", "told",
    ];
    const REFUSING: [&[&str]; 9] = [
        &["i", "said", "no"],
        &["i", "say", "no"],
        &["i", "refused"],
        &["i", "refuse"],
        &["no", "way"],
        &["not", "with", "me"],
        &["forget", "it"],
        &["i", "wont"],
        &["i", "didnt"],
    ];
    const UNDOING: [&str; 12] = [
        "take", "remove", "undo", "clear", "new", "replace", "renew", "out", "off", "unsolder",
        "wick", "desolder",
    ];
    for at in 0..tokens.len() {
        // "somebody bridged F1, take it off": a deed that was found and is undone.
        let others = tokens[at].is_any(&OTHERS)
            && tokens.get(at + 1).is_some_and(|t| t.text.ends_with("ed"));
        let end = tokens[at..]
            .iter()
            .position(is_break)
            .map_or(tokens.len(), |n| at + n);
        let undone = tokens[end..]
            .iter()
            .any(|t| UNDOING.iter().any(|v| words::inflected(&t.text, v)));
        if others && undone {
            off[at..end].fill(true);
        }
    }
    let refusal = (0..tokens.len()).rev().find(|i| {
        REFUSING.iter().any(|phrase| {
            let said = tokens[*i..].iter().take(phrase.len());
            said.clone().count() == phrase.len() && said.zip(*phrase).all(|(t, w)| t.is(w))
        })
    });
    let Some(refusal) = refusal else { return };
    let proposal = (0..refusal).rev().find(|i| {
        tokens[*i].is_any(&OTHERS)
            && tokens[i + 1..refusal]
                .iter()
                .take(4)
                .any(|t| PROPOSING.iter().any(|v| words::inflected(&t.text, v)))
    });
    if let Some(from) = proposal {
        off[from..refusal].fill(true);
    }
}

/// "Better off than on": what stands behind "than" is not chosen.
pub fn drop_the_lesser(tokens: &[Token], off: &mut [bool]) {
    for at in 1..tokens.len() {
        let chosen = tokens[..at]
            .iter()
            .rev()
            .take(4)
            .any(|t| t.is_any(&["better", "safer", "sooner", "rather"]));
        if tokens[at].is("than") && chosen {
            let end = tokens[at..]
                .iter()
                .position(is_break)
                .map_or(tokens.len(), |n| at + n);
            off[at..end].fill(true);
        }
    }
}

/// Tells whether the clause calls what stands at `at` needless: "photos are not needed".
pub fn is_needless(tokens: &[Token], at: usize) -> bool {
    let clause = tokens[at..]
        .iter()
        .take_while(|t| !matches!(t.kind, Kind::Stop | Kind::Comma));
    let clause: Vec<&Token> = clause.collect();
    (1..clause.len()).any(|i| {
        clause[i].is_any(&USELESS)
            || clause[i].is_any(&NEEDLESS)
                && clause[i - 1].is_any(&["not", "isnt", "arent", "never", "hardly"])
    })
}

/// "no problem", "why not", "not dangerous", "yes, never mind", "I don't know", "never had one": a denial in
/// form that refuses nothing.
pub fn is_consent(tokens: &[Token], at: usize) -> bool {
    let to = tokens.len().min(at + 4);
    let clause = tokens[at + 1..to].iter().take_while(|t| !is_break(t));
    let harmless = clause.into_iter().any(|t| {
        t.is_any(&[
            "problem",
            "problems",
            "worry",
            "worries",
            "harm",
            "doubt",
            "issue",
            "matter",
            "risk",
            "danger",
            "mind",
            "bad",
            "wrong",
            "hurt",
            "objection",
            "reason",
            "only",
            "hurry",
            "know",
            "remember",
            "recall",
            "idea",
            "clue",
        ])
    });
    let unseen = tokens[at].is("never")
        && tokens
            .get(at + 1)
            .is_some_and(|t| t.is_any(&["had", "seen", "heard", "tried", "met", "came"]));
    let yes = tokens[0].is_any(&["yes", "yeah", "yep", "ok", "okay", "sure", "fine"]);
    let turned = at > 0 && (tokens[at - 1].is("why") || scope::is_negator(&tokens[at - 1]));
    harmless || unseen || yes || turned
}

/// Tells whether `token` separates clauses.
pub fn is_break(token: &Token) -> bool {
    matches!(token.kind, Kind::Stop | Kind::Comma)
}
