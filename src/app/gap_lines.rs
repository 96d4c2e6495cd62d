//! Gaps in words: the same sentences on the screen and in the lines of the command.

use crate::app::gaps::GapLine;
use crate::app::gaps::Gaps;
use crate::app::gaps::promise;
use crate::app::gaps::said_words;
use crate::domain::gaps::order::Against;
use crate::domain::gaps::precision::Precision;
use crate::domain::gaps::row::Confusion;
use crate::domain::gaps::row::Row;
use crate::domain::gaps::row::Share;
use crate::domain::gaps::row::State;

/// One fact: a label and what is so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// What it is about.
    pub label: &'static str,
    /// What is so.
    pub text: String,
}

/// Returns the stretch of days that counts, as `last 90 days` or `all days`.
pub fn span(gaps: &Gaps) -> String {
    match gaps.days {
        0 => "all days".to_owned(),
        1 => "today".to_owned(),
        days => format!("last {days} days"),
    }
}

/// Returns `41 %, 9 of 22, between 23 and 61`, or why no number stands there.
pub fn share(share: Share) -> String {
    match share.told() {
        Some((at, limits)) => format!(
            "{:.0} %, {} of {}, between {:.0} and {:.0}",
            at * 100.0,
            share.right,
            share.asked,
            limits.low * 100.0,
            limits.high * 100.0
        ),
        None => short(share),
    }
}

/// Returns `not enough yet, asked 9`, or `unmeasured`.
pub fn short(share: Share) -> String {
    match share.state() {
        State::Unmeasured => State::Unmeasured.words().to_owned(),
        state => format!("{}, asked {}", state.words(), share.asked),
    }
}

/// Returns everything that is known of one family, most telling first; `name` is the family's, none
/// for all families together.
pub fn facts(row: &Row, name: Option<&str>, buys: Option<&Precision>) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut say = |label: &'static str, text: String| facts.push(Fact { label, text });
    let asked = row.circuit.asked;
    let on = match row.on_cards {
        0 => String::new(),
        1 => "; all on one card".to_owned(),
        n => format!("; on {n} cards"),
    };
    say("Circuit right", format!("{}{on}", share(row.circuit)));
    if 0 < asked && name.is_some() {
        say("Said instead", instead(&row.confused));
    }
    match buys {
        Some(buys) => say(
            "Measuring",
            format!("with {} more {}", buys.more, promise(buys)),
        ),
        None if name.is_some() => say(
            "Measuring",
            "no card can be asked today: none is met, or all were seen today".to_owned(),
        ),
        None => {}
    }
    if 0 < row.fix.asked + row.aloud {
        let aloud = match row.aloud {
            0 => String::new(),
            n => format!("; said aloud {n}, not counted"),
        };
        say("Fix, typed", format!("{}{aloud}", share(row.fix)));
    }
    if 0 < asked {
        say(
            "Sure and wrong",
            match row.sure_and_wrong {
                0 => "never".to_owned(),
                n => format!("{n} of {} answers", row.spots()),
            },
        );
    }
    if let Some(expected) = &row.expected {
        let model = &expected.model;
        say(
            "Memory model",
            format!(
                "expected {:.0} of {} recalled ({:.0} to {:.0} by chance alone); {} were",
                model.mean, model.of, model.low, model.high, expected.recalled
            ),
        );
    }
    if let Some(seconds) = row.seconds {
        say(
            "Time, median",
            format!(
                "{:.0} s to the circuit, {:.0} s to the fix",
                seconds.circuit, seconds.answer
            ),
        );
    }
    facts.extend(held(row));
    facts
}

/// Returns what is held, what was guessed at first, and what qualifies the rest.
fn held(row: &Row) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut say = |label: &'static str, text: String| facts.push(Fact { label, text });
    say("Met", met(row));
    if let Some(now) = &row.held.now {
        say(
            "Would know now",
            format!(
                "{:.0} of {} cards, by the memory model (between {:.0} and {:.0})",
                now.mean, now.of, now.low, now.high
            ),
        );
    }
    if 0 < row.cold_circuit.asked {
        say(
            "Cold, first guess",
            format!(
                "circuit {} of {} right{}",
                row.cold_circuit.right,
                row.cold_circuit.asked,
                match row.cold_fix.asked {
                    0 => String::new(),
                    n => format!("; fix typed, {} of {n} right", row.cold_fix.right),
                }
            ),
        );
    }
    if 0 < row.said_for_others {
        let text = format!(
            "{}, where another circuit was right",
            times(row.said_for_others)
        );
        say("Said for others", text);
    }
    if 0 < row.overruled {
        let text = format!("{}; the person's own verdict counts", times(row.overruled));
        say("Overruled", text);
    }
    if let Some(expected) = &row.expected {
        say(
            "Forecast error",
            format!(
                "{:.2} Brier (0 is perfect, 0.25 is saying fifty-fifty each time)",
                expected.brier
            ),
        );
    }
    facts
}

fn times(n: usize) -> String {
    if n == 1 {
        "once".to_owned()
    } else {
        format!("{n} times")
    }
}

/// Returns `buck 6, processor 4`, or that nothing else was said.
pub fn instead(confused: &[Confusion]) -> String {
    let said: Vec<String> = confused
        .iter()
        .map(|pair| format!("{} {}", said_words(&pair.said), pair.n))
        .collect();
    if said.is_empty() {
        "no other circuit".to_owned()
    } else {
        said.join(", ")
    }
}

/// Returns `12 of 14 cards, 91 % of the jobs like these`.
pub fn met(row: &Row) -> String {
    let held = &row.held;
    match held.coverage {
        None => "no card in use".to_owned(),
        Some(coverage) => format!(
            "{} of {} cards, which stand for {:.0} % of their jobs",
            held.met,
            held.cards,
            coverage * 100.0
        ),
    }
}

/// Returns what is said below families of one standing; none below those that have none. The rest are
/// all other families together.
pub fn standing(line: &GapLine) -> Option<String> {
    let above = match line.in_group {
        1 => "the one above".to_owned(),
        n => format!("the {n} above"),
    };
    line.against.map(|against| match against {
        Against::Lower => format!("{above}: lower than the rest"),
        Against::Alike => format!("{above}: like the rest, so far"),
        Against::Higher => format!("{above}: higher than the rest"),
    })
}
