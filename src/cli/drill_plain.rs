//! `drill --plain`: one fact a line, label before value, prompts that end in a colon; for a screen
//! reader, a pipe, a slow link. The words are those of the screen.

use std::io::BufRead;
use std::io::Write;

use crate::app::face;
use crate::app::practice::Practice;
use crate::app::view::Back;
use crate::app::view::Front;
use crate::app::view::Reading;
use crate::app::view::Step;
use crate::cli::clock::Clock;
use crate::cli::failure::Failure;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::sitting::Said;
use crate::domain::text::clean;
use crate::domain::units::count;

/// What a person typed at a prompt.
enum Line {
    /// Words for the question.
    Words(String),
    /// `/undo`.
    Undo,
    /// `/tag reason`.
    Tag(String),
    /// `/stop`, or the end of the input.
    Stop,
    /// `/help`.
    Help,
}

const HELP: &str = "\
/undo takes the last answer back, as far as the start of the sitting
/tag REASON tags the card out as doubtful; /tag not-for-me leaves it out for you alone
/stop ends the sitting; everything kept stays kept
/help shows these lines";

/// Drills line by line until the sitting is over.
pub fn run(
    practice: &mut Practice,
    clock: &mut Clock,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    if let Some(holder) = practice.read_only() {
        writeln!(out, "Read only: {}. Nothing here is kept.", clean(holder))?;
    }
    writeln!(out, "At any question: /undo, /tag REASON, /stop, /help.")?;
    let mut shown: Option<usize> = None;
    loop {
        let view = practice.view();
        if !view.notice.is_empty() {
            writeln!(out, "Note: {}", view.notice)?;
        }
        let asked_at = clock.now();
        let number = practice.sitting().tally().cards;
        match &view.step {
            Step::Over(summary) => {
                writeln!(
                    out,
                    "Done: {} cards, {:.1} minutes, {} missed, {} new to you.",
                    summary.cards, summary.minutes, summary.missed, summary.new
                )?;
                writeln!(out, "Sitting: {}", summary.sitting)?;
                return Ok(());
            }
            Step::Circuit { choices } => {
                if shown != Some(number)
                    && let Some(front) = &view.front
                {
                    writeln!(out)?;
                    writeln!(out, "Card {}, about {:.0} minutes left", number + 1, view.minutes_left)?;
                    write_front(out, front)?;
                }
                shown = None;
                for (n, choice) in choices.iter().enumerate() {
                    writeln!(out, "  {}. {}: {}", n + 1, choice.id, choice.name)?;
                }
                let line = ask(
                    input,
                    out,
                    "Which circuit, by name or number, or empty if not known: ",
                )?;
                match line {
                    Line::Words(words) => match face::choose(choices, &words) {
                        Ok(family) => {
                            let ms = clock.took(asked_at, None);
                            practice.say_circuit(&family, ms);
                        }
                        Err(why) => {
                            writeln!(out, "{why}")?;
                            shown = Some(number);
                        }
                    },
                    other => command(practice, clock, &other, asked_at, out)?,
                }
            }
            Step::Fix { .. } => {
                match ask(input, out, "Name the fix, or empty to say it aloud: ")? {
                    Line::Words(words) => {
                        let said = if words.is_empty() {
                            Said::Aloud
                        } else {
                            Said::Typed(words)
                        };
                        let sure = ask(
                            input,
                            out,
                            "How sure, 1 low, 2 fair, 3 high, empty for fair: ",
                        )?;
                        match sure {
                            Line::Words(level) => match sure_of(&level) {
                                Some(sure) => {
                                    let ms = clock.took(asked_at, None);
                                    practice.say_fix(&said, sure, ms);
                                }
                                None => writeln!(out, "1, 2 or 3. Once more from the fix.")?,
                            },
                            other => command(practice, clock, &other, asked_at, out)?,
                        }
                    }
                    other => command(practice, clock, &other, asked_at, out)?,
                }
            }
            Step::Verdict {
                back,
                proposed,
                grade_fixed,
                may_overrule,
                ..
            } => {
                if let Some(front) = &view.front {
                    for reading in front.readings.iter().filter(|r| r.decides) {
                        write_reading(out, reading)?;
                    }
                    write_back(out, back)?;
                }
                writeln!(out, "Grade proposed: {}", proposed.label())?;
                let prompt = match (grade_fixed, may_overrule) {
                    (true, _) => "Empty keeps it; an unsafe answer stays missed: ",
                    (false, true) => {
                        "Empty keeps it; missed, hunted, named or on-sight moves it; overrule turns the fix round: "
                    }
                    (false, false) => {
                        "Empty keeps it; missed, hunted, named or on-sight moves it: "
                    }
                };
                match ask(input, out, prompt)? {
                    Line::Words(words) => {
                        verdict(practice, clock, &words, asked_at, out)?;
                    }
                    other => command(practice, clock, &other, asked_at, out)?,
                }
            }
        }
    }
}

fn verdict(
    practice: &mut Practice,
    clock: &mut Clock,
    words: &str,
    asked_at: chrono::DateTime<chrono::Utc>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    if words == "overrule" {
        let line = if practice.overrule() {
            "Overruled: your own judgement counts, and is recorded as yours."
        } else {
            face::MAY_NOT_OVERRULE
        };
        writeln!(out, "{line}")?;
        return Ok(());
    }
    if !words.is_empty() {
        let word = words.replace(' ', "-");
        let Some(grade) = Grade::from_word(&word) else {
            writeln!(out, "No grade is called {}.", clean(words))?;
            return Ok(());
        };
        if !practice.set_grade(grade) {
            writeln!(out, "{}", face::MAY_NOT_MOVE)?;
            return Ok(());
        }
    }
    let ms = clock.took(asked_at, None);
    let kept = practice.keep(ms, clock.now())?;
    let days = kept
        .next_days
        .map_or_else(String::new, |days| format!("; again in about {days} days"));
    if kept.id.is_some() {
        writeln!(out, "Kept: {}{days}", kept.grade.label())?;
    } else {
        writeln!(out, "Not kept: read only.")?;
    }
    writeln!(out)?;
    Ok(())
}

fn command(
    practice: &mut Practice,
    clock: &mut Clock,
    line: &Line,
    asked_at: chrono::DateTime<chrono::Utc>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    match line {
        Line::Undo => {
            let undone = practice.undo(clock.now())?;
            writeln!(
                out,
                "{}",
                if undone {
                    "Taken back."
                } else {
                    "Nothing of this sitting is left to take back."
                }
            )?;
        }
        Line::Tag(why) => {
            let reason = face::tag_reason(why);
            practice.tag(reason, why, clock.now())?;
            let what = match reason {
                TagReason::Doubtful => "Tagged out as doubtful; the lead will see it.",
                TagReason::NotForMe => "Tagged out for you alone.",
            };
            writeln!(out, "{what}")?;
        }
        Line::Stop => {
            let ms = clock.took(asked_at, None);
            if practice.stop(ms, clock.now())?.is_some() {
                writeln!(out, "Kept as proposed.")?;
            }
        }
        Line::Help => writeln!(out, "{HELP}")?,
        Line::Words(_) => {}
    }
    Ok(())
}

fn ask(input: &mut dyn BufRead, out: &mut dyn Write, prompt: &str) -> Result<Line, Failure> {
    write!(out, "{prompt}")?;
    out.flush()?;
    let mut bytes = Vec::new();
    if input.read_until(b'\n', &mut bytes)? == 0 {
        writeln!(out)?;
        return Ok(Line::Stop);
    }
    let words = clean(String::from_utf8_lossy(&bytes).trim());
    Ok(
        match words
            .split_once(' ')
            .map_or((words.as_str(), ""), |(a, b)| (a, b.trim()))
        {
            ("/undo", _) => Line::Undo,
            ("/stop", _) => Line::Stop,
            ("/help", _) => Line::Help,
            ("/tag", why) => Line::Tag(why.to_owned()),
            _ => Line::Words(words),
        },
    )
}

fn sure_of(words: &str) -> Option<Sure> {
    if words.is_empty() {
        return Some(Sure::default());
    }
    Sure::ALL
        .into_iter()
        .find(|s| s.word() == words || s.number().to_string() == words)
}

pub(crate) fn write_front(
    out: &mut dyn Write,
    front: &Front,
) -> Result<(), Failure> {
    for caution in &front.cautions {
        writeln!(out, "Caution: {caution}")?;
    }
    writeln!(out, "Board: {}, {}", front.board, front.revs)?;
    if !front.mark.is_empty() {
        writeln!(out, "This card: {}", front.mark)?;
    }
    writeln!(out, "Complaint: {}", front.complaint)?;
    for reading in &front.readings {
        write_reading(out, reading)?;
    }
    Ok(())
}

fn write_reading(out: &mut dyn Write, reading: &Reading) -> Result<(), Failure> {
    let decides = if reading.decides {
        " (this decides)"
    } else {
        ""
    };
    if reading.reference.is_empty() {
        writeln!(out, "{}: {}{decides}", reading.name, reading.value)?;
    } else {
        writeln!(
            out,
            "{}: {}; {}{decides}",
            reading.name, reading.value, reading.reference
        )?;
    }
    Ok(())
}

pub(crate) fn write_back(out: &mut dyn Write, back: &Back) -> Result<(), Failure> {
    if let Some(danger) = &back.danger {
        writeln!(out, "Danger: {danger}")?;
    }
    if !back.verdict.is_empty() {
        writeln!(out, "Verdict: {}", back.verdict)?;
    }
    if !back.note.is_empty() {
        writeln!(out, "Judged: {}", back.note)?;
    }
    writeln!(out, "{}", back.circuit)?;
    if let Some(rule) = &back.boundary {
        writeln!(out, "How to tell: {rule}")?;
    }
    for answer in &back.answers {
        writeln!(out, "Answer: {answer}")?;
    }
    let (k, n, low, high) = back.share;
    writeln!(
        out,
        "Evidence: {}; {:.0} % of {n}, between {:.0} and {:.0} %; {}",
        back.share_text,
        100.0 * count(k) / count(n.max(1)),
        100.0 * low,
        100.0 * high,
        back.support
    )?;
    for other in &back.others {
        writeln!(out, "Other jobs like this: {other}")?;
    }
    if !back.bounced.is_empty() {
        writeln!(out, "Came back: {}", back.bounced)?;
    }
    if !back.why.is_empty() {
        writeln!(out, "Why: {}", back.why)?;
    }
    for reading in &back.held_back {
        writeln!(
            out,
            "Held back until now: {} {} {}",
            reading.name, reading.value, reading.reference
        )?;
    }
    if let Some(signs) = &back.first_signs {
        writeln!(out, "{signs}")?;
    }
    for warning in &back.warn {
        writeln!(out, "Mind: {warning}")?;
    }
    writeln!(out, "Jobs: {}", back.jobs.join(", "))?;
    Ok(())
}
