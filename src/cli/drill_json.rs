//! `drill --json`: the program asks on one stream, the caller answers on the other, a JSON object a
//! line.
//!
//! `kept` is printed only after the review is on disk. A line that cannot be used is answered with
//! `error` and the question is asked again. The end of the input stops the sitting.

use std::io::BufRead;
use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::face;
use crate::app::practice::Practice;
use crate::cli::clock::Clock;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::domain::sitting::Said;
use crate::domain::sitting::Stage;

/// What the caller answered.
enum Reply {
    /// An object that is an answer to the question.
    Answer(Value),
    /// Take back.
    Undo,
    /// Tag the card out.
    Tag(String),
    /// Stop.
    Stop,
}

/// Drills over a pair of streams until the sitting is over.
pub fn run(
    practice: &mut Practice,
    clock: &mut Clock,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    if let Some(holder) = practice.read_only() {
        output::line(out, &json!({ "read_only": holder }))?;
    }
    if let Some(measure) = practice.measure() {
        output::line(out, &output::measure(measure))?;
    }
    if let Some(told) = practice.ready_by() {
        output::line(out, &output::ready_by(told))?;
    }
    loop {
        let question = match practice.sitting().stage() {
            Stage::Circuit => output::ask_circuit(practice),
            Stage::Fix => output::ask_answer(practice),
            Stage::Verdict(_) => output::reveal(practice),
            Stage::Over => break,
        };
        output::line(out, &question)?;
        let asked_at = clock.now();
        let (reply, given) = match read_reply(input)? {
            Ok(read) => read,
            Err(why) => {
                output::line(out, &json!({ "error": why, "asked_again": true }))?;
                continue;
            }
        };
        let ms = clock.took(asked_at, given);
        match reply {
            Reply::Undo => {
                let undone = practice.undo(clock.now())?;
                output::line(out, &json!({ "undone": undone }))?;
            }
            Reply::Tag(why) => {
                let reason = face::tag_reason(&why);
                let id = practice.tag(reason, &why, clock.now())?;
                output::line(
                    out,
                    &json!({ "tagged": { "id": id, "reason": reason.word() } }),
                )?;
            }
            Reply::Stop => {
                if let Some(kept) = practice.stop(ms, clock.now())? {
                    output::line(out, &output::kept(&kept))?;
                }
            }
            Reply::Answer(answer) => {
                if let Err(why) = answer_question(practice, clock, &answer, ms, out)? {
                    output::line(out, &json!({ "error": why, "asked_again": true }))?;
                }
            }
        }
    }
    output::line(out, &output::done(practice))
}

/// Hands the answer to the sitting; the inner error is the caller's mistake.
fn answer_question(
    practice: &mut Practice,
    clock: &mut Clock,
    answer: &Value,
    ms: u64,
    out: &mut dyn Write,
) -> Result<Result<(), String>, Failure> {
    match practice.sitting().stage() {
        Stage::Circuit => {
            let Some(family) = answer.get("circuit").and_then(Value::as_str) else {
                return Ok(Err(
                    "`circuit` must be a family id, or \"\" for not known".to_owned()
                ));
            };
            if !family.is_empty() && practice.sitting().circuits().get(family).is_none() {
                return Ok(Err(format!("no circuit family is called {family:?}")));
            }
            practice.say_circuit(family, ms);
        }
        Stage::Fix => {
            let sure = match answer.get("sure") {
                None | Some(Value::Null) => Sure::default(),
                Some(level) => {
                    let level = level
                        .as_u64()
                        .and_then(|n| u8::try_from(n).ok())
                        .and_then(Sure::from_number);
                    let Some(level) = level else {
                        return Ok(Err("`sure` must be 1, 2 or 3".to_owned()));
                    };
                    level
                }
            };
            let said = if answer.get("aloud").and_then(Value::as_bool) == Some(true) {
                Said::Aloud
            } else if let Some(typed) = answer.get("typed").and_then(Value::as_str) {
                Said::Typed(typed.to_owned())
            } else {
                return Ok(Err("`typed` must be text, or `aloud` true".to_owned()));
            };
            practice.say_fix(&said, sure, ms);
        }
        Stage::Verdict(_) => {
            let grade = match answer.get("grade") {
                None | Some(Value::Null) => None,
                Some(word) => {
                    let Some(grade) = word.as_str().and_then(Grade::from_word) else {
                        return Ok(Err(
                            "`grade` must be missed, hunted, named or on-sight".to_owned()
                        ));
                    };
                    Some(grade)
                }
            };
            let mut refused = Vec::new();
            if answer.get("overrule").and_then(Value::as_bool) == Some(true) && !practice.overrule()
            {
                refused.push(face::MAY_NOT_OVERRULE);
            }
            if let Some(grade) = grade
                && !practice.set_grade(grade)
            {
                refused.push(face::MAY_NOT_MOVE);
            }
            if !refused.is_empty() {
                output::line(out, &json!({ "refused": refused.join("; ") }))?;
            }
            let kept = practice.keep(ms, clock.now())?;
            output::line(out, &output::kept(&kept))?;
        }
        Stage::Over => {}
    }
    Ok(Ok(()))
}

/// Reads one line and the time it gives; the inner error says why it cannot be used.
fn read_reply(input: &mut dyn BufRead) -> Result<Result<(Reply, Option<u64>), String>, Failure> {
    let mut bytes = Vec::new();
    loop {
        bytes.clear();
        if input.read_until(b'\n', &mut bytes)? == 0 {
            return Ok(Ok((Reply::Stop, None)));
        }
        if !bytes.trim_ascii().is_empty() {
            break;
        }
    }
    let value: Value = match serde_json::from_slice(&bytes) {
        Ok(value) => value,
        Err(error) => return Ok(Err(format!("not JSON: {error}"))),
    };
    let Some(object) = value.as_object() else {
        return Ok(Err("an answer is a JSON object".to_owned()));
    };
    let ms = match object.get("ms") {
        None | Some(Value::Null) => None,
        Some(ms) => match ms.as_u64() {
            Some(ms) => Some(ms),
            None => {
                return Ok(Err("`ms` must be a whole number of milliseconds".to_owned()));
            }
        },
    };
    let is_true = |key: &str| object.get(key).and_then(Value::as_bool) == Some(true);
    let reply = if is_true("undo") {
        Reply::Undo
    } else if is_true("stop") {
        Reply::Stop
    } else if let Some(why) = object.get("tag") {
        match why.as_str() {
            Some(why) => Reply::Tag(why.to_owned()),
            None => return Ok(Err("`tag` must be the reason as text".to_owned())),
        }
    } else {
        Reply::Answer(value)
    };
    Ok(Ok((reply, ms)))
}
