//! The last look at a typed answer: does something in it hurt somebody, whatever else it gets right?
//!
//! A small grammar of classes. A row of [`rows`] says which classes of words, meant and near each other,
//! make an unsafe act: something that protects and something that conducts, hands and a live board, a
//! time and "is enough" where a charge is to be proved gone. [`reading`] says what is meant: a thing that
//! somebody else had done, that is refused or that is taken away again is not. For how long an act is
//! meant ("till monday", "just for a test") changes nothing, and asking leave for it is proposing it.
//! [`protections`] knows what protects, by designator, by the board's own names and by the card, and what
//! is done to it that no row can say: left out for good, or fitted above its rating. [`leave`] reads answers that
//! refuse and then allow after all. [`guards`] leaves out what protects where it is used. [`cleaners`], [`sources`] and [`plain_acts`] know what is unsafe however the rest
//! of it sounds: for these no weight is asked.
//!
//! [`evidence`] is the second net: how much the words of a sentence tell that it hurts somebody, by weights
//! fitted to what trainers said of others; [`strange`] knows which words no safe answer said. Word lists and rows: common practice, no source. Text that passes is
//! not thereby safe to do.

pub mod classes;
pub mod cleaners;
pub mod evidence;
#[cfg(test)]
mod grammar;
pub mod guards;
pub mod leave;
pub mod plain_acts;
#[cfg(test)]
mod plain_sentences;
pub mod protections;
pub mod reading;
pub mod row_words;
pub mod rows;
mod said;
pub mod sources;
pub mod strange;
pub mod work;

use std::collections::BTreeSet;

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::judge::danger::hazards::dangers;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::speech;
use crate::domain::judge::read::tokens;
use reading::Reading;

/// What the last look at an answer found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Look {
    /// Nothing.
    Nothing,
    /// It sounds like answers that hurt somebody: it must not be right.
    Doubtful,
    /// Nothing in it hurts, but it must not be right, and why: a cleaner that a board does not stand, a
    /// resistance read under power.
    Questioned(&'static str),
    /// This sentence of it is not like those of safe answers: nobody may take it as judged.
    Unjudged(String),
    /// An unsafe act.
    Harms(UnsafeAct),
}

/// Looks at an answer to `card`, typed on a bench with this board; `sourceless` tells that what it names is
/// measured with every source off.
pub fn look(
    typed: &str,
    card: &Card,
    board: Option<&Board>,
    parts: &Parts,
    sourceless: bool,
) -> Look {
    let scene = scene_of(typed, board, parts);
    let reading = Reading::new(&scene, card, board);
    match hurt(typed, &reading, board, parts) {
        look @ (Look::Harms(_) | Look::Doubtful) => look,
        other => questioned(&reading, sourceless).map_or(other, Look::Questioned),
    }
}

/// Looks for what hurts somebody.
fn hurt(typed: &str, reading: &Reading<'_>, board: Option<&Board>, parts: &Parts) -> Look {
    let card = reading.card;
    if is_what_the_card_says(typed, card) {
        return Look::Nothing;
    }
    if let Some(danger) = plain_acts::found(reading) {
        return Look::Harms(UnsafeAct::from(danger));
    }
    let harm = rows::ROWS
        .iter()
        .find(|row| row.happens(reading))
        .map(|row| row.danger)
        .or_else(|| protections::harmed(reading))
        .or_else(|| leave::given(reading));
    let rest = guards::left_out(typed);
    if harm.is_none() && names_parts_alone(rest.as_deref().unwrap_or(typed), card) {
        return Look::Nothing;
    }
    let (mut odds, worst) = evidence::weighed(&evidence::traits(reading, typed));
    if let Some(rest) = rest {
        let scene = scene_of(&rest, board, parts);
        let reading = Reading::new(&scene, card, board);
        odds = odds.min(evidence::weighed(&evidence::traits(&reading, &rest)).0);
    }
    match harm {
        Some(danger) if evidence::UNLIKE < odds => Look::Harms(UnsafeAct::from(danger)),
        None if evidence::TOLD < odds => Look::Harms(UnsafeAct::from(dangers::DOUBTFUL_WAY)),
        Some(_) => Look::Doubtful,
        None if evidence::DOUBTED < odds || protections::is_passed(reading) => Look::Doubtful,
        None => {
            let worst = evidence::sentences(typed).nth(worst);
            let like_none = worst.filter(|_| evidence::UNJUDGED < odds);
            like_none
                .or_else(|| strange::sentence(typed, card, parts))
                .map_or(Look::Nothing, |text| Look::Unjudged(text.trim().to_owned()))
        }
    }
}

/// Returns why an answer that is right as far as read is not right after all, though nothing in it hurts.
fn questioned(reading: &Reading<'_>, sourceless: bool) -> Option<&'static str> {
    if sourceless && sources::reads_under_power(reading) {
        return Some(sources::SOURCE_ON);
    }
    cleaners::cleans_unfitly(reading).then_some(cleaners::NOT_A_CLEANER)
}

/// Returns what has a weight in an answer, sentence by sentence: see [`evidence`].
pub fn traits(
    typed: &str,
    card: &Card,
    board: Option<&Board>,
    parts: &Parts,
) -> Vec<BTreeSet<String>> {
    let scene = scene_of(typed, board, parts);
    evidence::traits(&Reading::new(&scene, card, board), typed)
}

fn scene_of<'a>(typed: &str, board: Option<&'a Board>, parts: &Parts) -> Scene<'a> {
    Scene::new(
        speech::translated(&tokens::lex(typed, parts.known())),
        board,
    )
}

/// Tells whether an answer is the card's points word for word, in any order: what its back says, anybody
/// may say.
fn is_what_the_card_says(typed: &str, card: &Card) -> bool {
    let typed = evidence::words_of(typed);
    let says: Vec<Vec<String>> = card
        .points
        .iter()
        .map(|point| evidence::words_of(&point.say))
        .filter(|say| !say.is_empty())
        .collect();
    let mut rest = typed.as_slice();
    while let Some(say) = says.iter().find(|say| rest.starts_with(say)) {
        rest = &rest[say.len()..];
    }
    !typed.is_empty() && rest.is_empty()
}

/// Tells whether an answer is the parts of an accepted fix, by designator and by their own names, and nothing else.
fn names_parts_alone(text: &str, card: &Card) -> bool {
    let said = evidence::words_of(text);
    !said.is_empty()
        && card.answers.iter().any(|answer| {
            let names = answer
                .steps
                .iter()
                .flat_map(|step| [Some(step.part.as_str()), step.name.as_deref()]);
            let own: Vec<String> = names.flatten().flat_map(evidence::words_of).collect();
            said.iter()
                .all(|word| own.contains(word) || ["and", "the", "plus"].contains(&word.as_str()))
        })
}
