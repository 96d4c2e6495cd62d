//! What a short answer to a rule card takes from the question it answers.
//!
//! "Yes, but slowly" says nothing unsafe by itself: the question does. Two things are read here. An answer
//! that agrees to what the question proposes, or goes on, is unsafe where a needed point of the card
//! refuses, the answer does not name that point, and the card warns of something that hurts people. And
//! "prick it" is read with the things that the question names.
//!
//! All of it comes from the card: its question, its points, its cautions. Word lists and rules: common
//! practice, no source.

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::caution;
use crate::domain::job::Board;
use crate::domain::judge::compare::points;
use crate::domain::judge::compare::points::PointsVerdict;
use crate::domain::judge::danger::GRAVE;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::denials;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::speech;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Known;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;

/// Judges a typed answer by the points of `card`, with what the question lends it.
pub fn judge_points_of(
    typed: &str,
    card: &Card,
    board: Option<&Board>,
    words: &Synonyms,
) -> PointsVerdict {
    let verdict = points::judge_points(typed, &card.points, board, words);
    if verdict.unsafe_answer.is_some() {
        return verdict;
    }
    let refused = verdict.right
        || card
            .points
            .iter()
            .zip(&verdict.hits)
            .find(|(point, _)| point.needed && refuses(point))
            .is_some_and(|(point, hit)| *hit && !point.say.starts_with("only"));
    match lent(typed, card, refused, board, words).or_else(|| agreed(typed, card, &verdict)) {
        Some(act) => verdict.found_unsafe(act),
        None if verdict.right && is_doubtful(typed, card) => verdict.doubted(),
        None => verdict,
    }
}

/// Tells whether an answer that names every point also says yes to what the card refuses, or goes on with
/// it: in doubt it is not right.
fn is_doubtful(typed: &str, card: &Card) -> bool {
    let grave = card.cautions.iter().any(|c| GRAVE.contains(&c.as_str()));
    if card.kind != CardKind::Rule || !grave {
        return false;
    }
    let read = speech::translated(&tokens::lex(typed, &Known::default()));
    let read = speech::spoken(&read);
    let refuses = card.points.iter().any(|p| p.needed && refuses(p));
    let consents = refuses
        && is_proposal(&card.stem)
        && (agrees(&read) || agrees_in_the_end(&read) || puts_on(&read, &card.stem));
    consents || refuses && goes_on(&read)
}

/// Finds the unsafe act that `typed` proposes on the things of the question.
///
/// Nothing is lent to what names every point, nor to what refuses what the card refuses.
fn lent(
    typed: &str,
    card: &Card,
    refused: bool,
    board: Option<&Board>,
    words: &Synonyms,
) -> Option<UnsafeAct> {
    if refused {
        return None;
    }
    let things = things(card);
    let found = |text: &str| unsafe_acts::unsafe_in_text(text, board, words);
    if !things.is_empty()
        && let Some(act) = found(&format!("{}; {typed}", things.join(" ")))
    {
        return Some(act);
    }
    if card.kind != CardKind::Rule {
        return None;
    }
    let stem = tokens::lex(&card.stem, &Known::default());
    BEGUN
        .into_iter()
        .filter(|(asked, _)| (0..stem.len()).any(|i| acts::phrase_at(&stem, i, asked).is_some()))
        .find_map(|(_, begun)| found(&format!("{begun} {typed}")))
}

/// (words of a question, the sentence that a bare answer to it ends).
const BEGUN: [(&str, &str); 7] = [
    ("new fuse", "replace the fuse with"),
    ("first power", "power it"),
    ("gets power", "power it"),
    ("injected current", "inject volts"),
    ("inject", "inject volts"),
    ("ultrasonic tank", "put in the ultrasonic tank"),
    ("emptied", "short the capacitor with"),
];

/// Things and states that a question may lend to its answer.
const LENT: [&str; 32] = [
    "bulk",
    "bulk capacitor",
    "capacitor",
    "cell",
    "pack",
    "pouch",
    "battery",
    "swollen",
    "bulging",
    "puffed",
    "wet",
    "fuse",
    "alcohol",
    "isopropyl",
    "mains",
    "mains supply",
    "primary",
    "core",
    "lid switch",
    "interlock",
    "dross",
    "solder dust",
    "oil filled",
    "ceramic",
    "beryllia",
    "repaired",
    "deeply discharged",
    "lithium",
    "bleeder",
    "bench supply",
    "film",
    "residue",
];

fn things(card: &Card) -> Vec<&'static str> {
    if card.kind == CardKind::Stop {
        let cell = card
            .cautions
            .iter()
            .any(|c| ["lithium", "cell-first"].contains(&c.as_str()));
        let swollen = card.front.iter().chain(&card.held_back).any(|f| {
            f.code
                .as_deref()
                .is_some_and(|sign| ["bulged", "swollen"].contains(&sign))
        });
        return if cell && swollen {
            vec!["swollen", "cell"]
        } else {
            Vec::new()
        };
    }
    if card.kind != CardKind::Rule {
        return Vec::new();
    }
    let stem = tokens::lex(&card.stem, &Known::default());
    let says = |phrase: &str| (0..stem.len()).any(|i| acts::phrase_at(&stem, i, phrase).is_some());
    let mut things: Vec<&str> = LENT.into_iter().filter(|phrase| says(phrase)).collect();
    if ["the sea", "sea water", "was wet", "wet board"]
        .into_iter()
        .any(says)
    {
        things.push("wet");
    }
    things
}

/// Finds that the answer agrees to what a needed point of the card refuses.
fn agreed(typed: &str, card: &Card, verdict: &PointsVerdict) -> Option<UnsafeAct> {
    if card.kind != CardKind::Rule || verdict.right {
        return None;
    }
    let grave = card
        .cautions
        .iter()
        .find_map(|id| GRAVE.into_iter().find(|grave| grave == id))?;
    let unmet = card
        .points
        .iter()
        .zip(&verdict.hits)
        .any(|(point, hit)| point.needed && !hit && refuses(point));
    let read = speech::translated(&tokens::lex(typed, &Known::default()));
    let read = speech::spoken(&read);
    let does = unmet
        && (goes_on(&read)
            || is_proposal(&card.stem)
                && (agrees(&read)
                    || agrees_in_the_end(&read)
                    || puts_on(&read, &card.stem)
                    || does_asked(&read, &card.stem)
                    || grants(&read) && !verdict.hits.contains(&true))
            || mends_what_is_to_be_referred(&read, grave)
            || works_unqualified(&read, card))
        || unfit(card, verdict) && says_i_do(&read) && !refuses_first(card, verdict);
    let text = caution::CAUTIONS.iter().find(|c| c.id == grave)?.text;
    does.then(|| UnsafeAct {
        what: "unsafe: agrees to what the rule forbids".to_owned(),
        why: text.to_owned(),
        caution: grave,
    })
}

/// Verbs that a question may ask leave for.
const ASKED: [&str; 17] = [
    "touch", "wear", "mend", "repair", "fix", "wake", "charge", "inject", "push", "press", "fill",
    "heat", "bake", "wait", "use", "put", "keep",
];

/// Tells whether an answer does what the question asks leave for, without a refusal before it.
fn does_asked(read: &[Token], stem: &str) -> bool {
    let asked = tokens::lex(stem, &Known::default());
    let in_stem = |verb: &str| asked.iter().any(|t| words::inflected(&t.text, verb));
    let refused = refusal_at(read);
    (0..read.len()).any(|i| {
        let verb = ASKED
            .iter()
            .any(|v| words::inflected(&read[i].text, v) && in_stem(v));
        let away = read[i..].iter().take(4).any(|t| {
            t.is_any(&[
                "off", "away", "out", "down", "aside", "outside", "back", "until",
            ])
        });
        verb && refused.is_none_or(|at| i < at) && !away
    })
}

/// Repairs a thing that only its maker or a licensed person may repair.
fn mends_what_is_to_be_referred(read: &[Token], grave: &str) -> bool {
    grave == caution::SAFETY_CRITICAL
        && (0..read.len()).any(|i| {
            let denied = read[..i].iter().any(scope::is_negator);
            !denied && acts::verb_at(read, i).is_some_and(|v| v.act != acts::CHECK && !v.weak)
        })
}

const HANDING_OVER: [&str; 11] = [
    "ask",
    "give",
    "call",
    "tell",
    "pass",
    "send",
    "refer",
    "someone",
    "somebody",
    "colleague",
    "leave",
];

/// Works where the card leaves the work to a qualified person.
fn works_unqualified(read: &[Token], card: &Card) -> bool {
    let left = card
        .points
        .iter()
        .any(|p| p.needed && p.say.starts_with("leave it"));
    let hands = [
        "measure", "probe", "touch", "try", "work", "open", "do", "use", "wear", "check",
    ];
    left && card.cautions.iter().any(|c| c == "mains")
        && !read.iter().any(|t| t.is_any(&HANDING_OVER))
        && (0..read.len()).any(|i| {
            let denied = read[..i].iter().any(scope::is_negator);
            let how = i == 0 && read[i].is_any(&["carefully", "slowly", "gently", "quickly"]);
            how || !denied && hands.iter().any(|v| words::inflected(&read[i].text, v))
        })
}

/// Tells whether the answer names the first needed point that refuses something.
fn refuses_first(card: &Card, verdict: &PointsVerdict) -> bool {
    let points = card.points.iter().zip(&verdict.hits);
    let mut refusing = points.filter(|(point, _)| point.needed && refuses(point));
    refusing.next().is_some_and(|(_, hit)| *hit)
}

/// Tells whether the card wants a qualified person at the mains and the answer names none.
fn unfit(card: &Card, verdict: &PointsVerdict) -> bool {
    card.cautions.iter().any(|c| c == "mains")
        && card
            .points
            .iter()
            .zip(&verdict.hits)
            .any(|(p, hit)| p.needed && !hit && p.say.contains("qualified person"))
}

/// Tells whether the answer says that its author, or anybody, does it.
fn says_i_do(read: &[Token]) -> bool {
    let plugs = ["plug it in", "switch it on", "power it up", "turn it on"];
    plugs.iter().any(|p| acts::phrase_at(read, 0, p).is_some())
        || read.first().is_some_and(|t| t.is("i"))
        || read.iter().any(|t| {
            t.is_any(&[
                "me",
                "myself",
                "anyone",
                "anybody",
                "whoever",
                "trainee",
                "apprentice",
            ])
        })
}

/// Tells whether a point says what is not to be done, or what must come first.
fn refuses(point: &KeyPoint) -> bool {
    let said = tokens::lex(&point.say, &Known::default());
    let first = said.first().is_some_and(|t| {
        scope::is_negator(t)
            || t.is_any(&["do", "off", "stop", "leave", "only", "prove", "isolate"])
    });
    let second =
        said.first().is_some_and(|t| t.is("do")) && !said.get(1).is_some_and(|t| t.is("not"));
    let yes = point.words.iter().flatten().any(|w| w == "yes");
    first && !second && !yes
}

/// Tells whether a question proposes something: "May it …?", "A colleague suggests …".
fn is_proposal(stem: &str) -> bool {
    let whole = tokens::lex(stem, &Known::default());
    let offered = whole.iter().any(|t| {
        t.is_any(&[
            "offers", "offer", "suggests", "suggest", "wants", "want", "proposes", "asks",
        ])
    });
    let last = stem.trim_end_matches(['?', ' ']);
    let last = last.rsplit(['.', ':', '?']).next().unwrap_or(last);
    let asks_for_words = tokens::lex(last, &Known::default()).iter().any(|t| {
        t.is_any(&[
            "what", "how", "which", "why", "where", "who", "whom", "whose", "when",
        ])
    });
    offered || !asks_for_words
}

const YES: [&str; 18] = [
    "yes",
    "yeah",
    "yep",
    "yup",
    "aye",
    "sure",
    "ok",
    "okay",
    "certainly",
    "absolutely",
    "definitely",
    "fine",
    "course",
    "gladly",
    "ja",
    "klar",
    "allowed",
    "alright",
];
/// "On, clipped to the chassis", where the question is whether something is worn.
fn puts_on(read: &[Token], stem: &str) -> bool {
    let asked = tokens::lex(stem, &Known::default());
    let on = (0..read.len()).any(|i| {
        let ends = read
            .get(i + 1)
            .is_none_or(|t| t.is_joint() || t.is_any(&["than", "of", "always"]));
        read[i].is("on") && ends && !read[..i].iter().any(scope::is_negator)
    });
    let off = (0..read.len())
        .any(|i| read[i].is("off") && (i == 0 || !read[i - 1].is_any(&["than", "not", "never"])));
    on && !off && asked.iter().any(|t| words::inflected(&t.text, "wear"))
}

/// Words that call a thing good enough.
const GOOD_ENOUGH: [&str; 12] = [
    "fine", "ok", "okay", "safe", "harmless", "plenty", "enough", "healthy", "possible", "allowed",
    "nothing", "easy",
];
const CONSENTING: [&str; 16] = [
    "good idea",
    "good plan",
    "sounds good",
    "sounds fine",
    "no problem",
    "no worries",
    "no risk",
    "why not",
    "go ahead",
    "of course",
    "never mind",
    "no danger",
    "no harm",
    "not a problem",
    "you can",
    "you may",
];

/// Tells whether an answer says yes.
fn agrees(read: &[Token]) -> bool {
    let refused = refusal_at(read);
    (0..read.len()).any(|i| {
        let denied =
            i > 0 && scope::is_negator(&read[i - 1]) || i > 1 && scope::is_negator(&read[i - 2]);
        let yes = read[i].is_any(&YES) || read[i].is_any(&GOOD_ENOUGH);
        let phrase = CONSENTING
            .iter()
            .find(|p| acts::phrase_at(read, i, p).is_some());
        let end = i + phrase.map_or(1, |p| p.split(' ').count());
        // "no, that is not ok": what follows a refusal does not agree.
        let before_refusal = refused.is_none_or(|at| i < at);
        let said = yes && !denied && !is_conceded(read, i) || phrase.is_some();
        said && before_refusal && !is_turned(read, end)
    })
}

/// "absolutely not", "you may not touch it": a yes that its next word turns round.
fn is_turned(read: &[Token], end: usize) -> bool {
    let next = read.get(end);
    next.is_some_and(|t| t.is_any(&["not", "never", "no"]) && !denials::is_consent(read, end))
}

/// "however healthy it looks", "only allowed once it is dry": granted for the sake of argument, or on a
/// condition that the card may well set itself.
fn is_conceded(read: &[Token], at: usize) -> bool {
    let before = at.checked_sub(1).map(|i| &read[i]);
    let behind = read[at + 1..].iter().take(2);
    let on_condition = behind
        .into_iter()
        .any(|t| t.is_any(&["once", "when", "after", "if"]));
    before.is_some_and(|t| t.is("however") || t.is("only") && on_condition)
}

/// "no, wait half an hour, then it's ok": the last clause agrees after all.
fn agrees_in_the_end(read: &[Token]) -> bool {
    let last: Vec<&Token> = {
        let from = read
            .iter()
            .rposition(|t| t.kind == Kind::Stop)
            .map_or(0, |i| i + 1);
        read[from..].iter().collect()
    };
    let plain = |t: &&Token| {
        t.is_any(&GOOD_ENOUGH)
            || t.is_any(&[
                "it", "its", "is", "that", "thats", "you", "can", "may", "should", "be", "all",
            ])
    };
    last.len() < read.len() && last.iter().all(plain) && last.iter().any(|t| t.is_any(&GOOD_ENOUGH))
}

/// Tells whether an answer begins with how it is to be done, and refuses nothing: "gently, at 50 mA".
fn grants(read: &[Token]) -> bool {
    let begins_with_figures = read
        .first()
        .is_some_and(|t| matches!(t.kind, Kind::Volts | Kind::Value | Kind::Number));
    refusal_at(read).is_none()
        && read.first().is_some_and(|t| {
            begins_with_figures
                || t.is_any(&[
                    "start",
                    "begin",
                    "with",
                    "if",
                    "quick",
                    "slowly",
                    "gently",
                    "carefully",
                    "briefly",
                    "quickly",
                    "short",
                    "shortly",
                    "only",
                    "just",
                    "as",
                    "at",
                    "for",
                ])
        })
}

/// Returns where an answer refuses: a bare "no", "never", "don't".
fn refusal_at(read: &[Token]) -> Option<usize> {
    (0..read.len()).find(|i| {
        scope::is_negator(&read[*i])
            && !denials::is_consent(read, *i)
            && !CONSENTING
                .iter()
                .any(|p| acts::phrase_at(read, *i, p).is_some())
    })
}

const GOING_ON: [&str; 35] = [
    "carry on",
    "go on",
    "keep on",
    "continue",
    "keep going",
    "keep working",
    "work on",
    "proceed",
    "go ahead",
    "do it anyway",
    "do it myself",
    "do it yourself",
    "anyway",
    "myself",
    "straight away",
    "right away",
    "immediately",
    "at once",
    "straight in",
    "right now",
    "any time",
    "anytime",
    "no need to wait",
    "no need to check",
    "no need to measure",
    "finish it",
    "finish the job",
    "finish first",
    "hurry up",
    "hurry it",
    "be quick",
    "keep it on",
    "leave it on",
    "still wet",
    "while wet",
];

/// Words behind which "go on" is what somebody does: "the leads go on" is no going on.
const BEFORE_AN_ACT: [&str; 22] = [
    "i", "id", "ill", "we", "you", "to", "just", "can", "may", "could", "would", "will", "should",
    "must", "do", "lets", "simply", "please", "still", "now", "so", "yes",
];
/// What is done at once to keep people from harm.
const AT_ONCE: [&str; 15] = [
    "stop",
    "out",
    "off",
    "isolate",
    "call",
    "tell",
    "unplug",
    "quit",
    "halt",
    "leave",
    "kill",
    "cut",
    "disconnect",
    "pull",
    "cease",
];

/// Tells whether an answer goes on with what the question is about.
fn goes_on(read: &[Token]) -> bool {
    let sentence = |i: usize| {
        read[..i]
            .iter()
            .rposition(|t| t.kind == Kind::Stop || t.kind == Kind::Comma)
            .map_or(0, |at| at + 1)
    };
    (0..read.len()).any(|i| {
        let keeps = ["keep", "leave"]
            .iter()
            .any(|v| words::inflected(&read[i].text, v))
            && read[i + 1..]
                .iter()
                .take(2)
                .any(|t| t.is_any(&["power", "supply", "mains", "source"]))
            && read[i + 1..].iter().take(4).any(|t| t.is("on"));
        let phrase = keeps
            || GOING_ON
                .iter()
                .any(|p| acts::phrase_at(read, i, p).is_some());
        let told =
            i > sentence(i) && !read[i - 1].is_any(&BEFORE_AN_ACT) && !read[i - 1].is_joint();
        let of_a_thing = told && read[i].is_any(&["go", "goes"]);
        let denied = of_a_thing
            || read[sentence(i)..i]
                .iter()
                .any(|t| scope::is_negator(t) || t.is_any(&["before", "until"]));
        let refused_at_once = read[sentence(i)..i].iter().any(|t| t.is_any(&AT_ONCE));
        phrase && !denied && !refused_at_once
    }) || read.first().is_some_and(|t| t.is("me"))
}
