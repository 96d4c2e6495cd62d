//! `drill --plain`: one fact a line, label before value, prompts that end in a colon; for a screen
//! reader, a pipe, a slow link. The words are those of the screen.

use std::io::BufRead;
use std::io::Write;

use chrono::DateTime;
use chrono::Utc;

use crate::app::face;
use crate::app::practice::Practice;
use crate::app::view::Back;
use crate::app::view::Choice;
use crate::app::view::DrillView;
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

/// How many of the jobs behind a card a line names.
const JOBS_NAMED: usize = 12;

const HELP: &str = "\
/undo takes the last answer back, as far as the start of the sitting
/tag REASON tags the card out as doubtful: of your own drill at once, of everyone's when a second
  person or the lead agrees; /tag not-for-me leaves it out for you alone
/stop ends the sitting; everything kept stays kept
/help shows these lines";

/// Drills line by line until the sitting is over; `echo` writes the answers out as well, for a pipe.
pub fn run(
    practice: &mut Practice,
    clock: &mut Clock,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    echo: bool,
) -> Result<(), Failure> {
    let mut lines = Lines {
        practice,
        clock,
        input,
        out,
        asked_at: DateTime::default(),
        echo,
        cautions: Vec::new(),
    };
    lines.greet()?;
    while lines.step()? {}
    Ok(())
}

/// One drill over lines of text.
struct Lines<'a> {
    practice: &'a mut Practice,
    clock: &'a mut Clock,
    input: &'a mut dyn BufRead,
    out: &'a mut dyn Write,
    asked_at: DateTime<Utc>,
    /// What was answered is written out, because no terminal does it.
    echo: bool,
    /// The cautions that stood above the question under way.
    cautions: Vec<String>,
}

impl Lines<'_> {
    fn greet(&mut self) -> Result<(), Failure> {
        if let Some(holder) = self.practice.read_only() {
            writeln!(
                self.out,
                "Read only: {}. Nothing here is kept.",
                clean(holder)
            )?;
        }
        writeln!(
            self.out,
            "At any question: /undo, /tag REASON, /stop, /help."
        )?;
        Ok(())
    }

    /// Plays one question; false once the sitting is over.
    fn step(&mut self) -> Result<bool, Failure> {
        let view = self.practice.view();
        if !view.notice.is_empty() {
            writeln!(self.out, "Note: {}", view.notice)?;
        }
        self.asked_at = self.clock.now();
        match &view.step {
            Step::Over(summary) => {
                writeln!(
                    self.out,
                    "Done: {}, {:.1} minutes, {} missed, {} new to you.",
                    cards(summary.cards),
                    summary.minutes,
                    summary.missed,
                    summary.new
                )?;
                if let Some(line) = summary.fit_line() {
                    writeln!(self.out, "{line}")?;
                }
                writeln!(self.out, "Sitting: {}", summary.sitting)?;
                return Ok(false);
            }
            Step::Circuit { choices } => {
                self.card(&view)?;
                self.circuit(choices)?;
            }
            Step::Fix {
                circuit,
                prompt,
                options,
            } => {
                if circuit.is_none() {
                    self.card(&view)?;
                }
                for (i, option) in options.iter().enumerate() {
                    writeln!(self.out, "{}: {option}", i + 1)?;
                }
                self.fix(prompt)?;
            }
            Step::Verdict {
                back,
                proposed,
                grade_fixed,
                may_overrule,
                ..
            } => {
                if let Some(decided) = &view.front {
                    write_cautions_behind(self.out, decided, &self.cautions)?;
                }
                write_back(self.out, back)?;
                for reading in view
                    .front
                    .iter()
                    .flat_map(|f| &f.readings)
                    .filter(|r| r.decides)
                {
                    write_reading(self.out, reading)?;
                }
                writeln!(self.out, "Grade proposed: {}", proposed.label())?;
                self.verdict(*grade_fixed, *may_overrule)?;
            }
        }
        Ok(true)
    }

    /// Writes the front of the card under way.
    fn card(&mut self, view: &DrillView) -> Result<(), Failure> {
        let Some(front) = &view.front else {
            return Ok(());
        };
        let number = self.practice.sitting().tally().cards + 1;
        writeln!(self.out)?;
        writeln!(
            self.out,
            "Card {number}, about {:.0} minutes left",
            view.minutes_left
        )?;
        self.cautions.clone_from(&front.cautions);
        write_front(self.out, front)
    }

    /// Asks for the circuit until it is said, or something else is wanted.
    fn circuit(&mut self, choices: &[Choice]) -> Result<(), Failure> {
        for (n, choice) in choices.iter().enumerate() {
            writeln!(self.out, "  {}. {}: {}", n + 1, choice.id, choice.name)?;
        }
        loop {
            match self.ask("Which circuit, by name or number, or empty if not known: ")? {
                Line::Words(words) => match face::choose(choices, &words) {
                    Ok(family) => {
                        let ms = self.took();
                        self.practice.say_circuit(&family, ms);
                        return Ok(());
                    }
                    Err(why) => writeln!(self.out, "{why}")?,
                },
                Line::Help => self.command(&Line::Help)?,
                other => return self.command(&other),
            }
        }
    }

    fn fix(&mut self, prompt: &str) -> Result<(), Failure> {
        let said = match self.ask(&format!("{prompt}, or empty to say it aloud: "))? {
            Line::Words(words) if words.is_empty() => Said::Aloud,
            Line::Words(words) => Said::Typed(words),
            other => return self.command(&other),
        };
        loop {
            match self.ask("How sure, 1 low, 2 fair, 3 high, empty for fair: ")? {
                Line::Words(level) => {
                    if let Some(sure) = sure_of(&level) {
                        let ms = self.took();
                        self.practice.say_fix(&said, sure, ms);
                        return Ok(());
                    }
                    writeln!(self.out, "Answer 1, 2 or 3.")?;
                }
                other => return self.command(&other),
            }
        }
    }

    fn verdict(&mut self, grade_fixed: bool, may_overrule: bool) -> Result<(), Failure> {
        let prompt = match (grade_fixed, may_overrule) {
            (true, _) => "Empty keeps it; an unsafe answer stays missed: ",
            (false, true) => {
                "Empty keeps it; missed, hunted, named or on-sight moves it; overrule turns the fix round: "
            }
            (false, false) => "Empty keeps it; missed, hunted, named or on-sight moves it: ",
        };
        let words = match self.ask(prompt)? {
            Line::Words(words) => words,
            other => return self.command(&other),
        };
        if words == "overrule" {
            let line = if self.practice.overrule() {
                "Overruled: your own judgement counts, and is recorded as yours."
            } else {
                face::MAY_NOT_OVERRULE
            };
            writeln!(self.out, "{line}")?;
            return Ok(());
        }
        if !words.is_empty() {
            let Some(grade) = Grade::from_word(&words.replace(' ', "-")) else {
                writeln!(self.out, "No grade is called {words}.")?;
                return Ok(());
            };
            if !self.practice.set_grade(grade) {
                writeln!(self.out, "{}", face::MAY_NOT_MOVE)?;
                return Ok(());
            }
        }
        let ms = self.took();
        let kept = self.practice.keep(ms, self.clock.now())?;
        let days = match kept.next_days {
            Some(1) => "; again in about 1 day".to_owned(),
            Some(days) => format!("; again in about {days} days"),
            None => String::new(),
        };
        if kept.id.is_some() {
            writeln!(self.out, "Kept: {}{days}", kept.grade.label())?;
        } else {
            writeln!(self.out, "Not kept: read only.")?;
        }
        Ok(())
    }

    fn command(&mut self, line: &Line) -> Result<(), Failure> {
        match line {
            Line::Undo => {
                let line = if self.practice.undo(self.clock.now())? {
                    "Taken back."
                } else {
                    "Nothing of this sitting is left to take back."
                };
                writeln!(self.out, "{line}")?;
            }
            Line::Tag(why) => {
                let reason = face::tag_reason(why);
                self.practice.tag(reason, why, self.clock.now())?;
                let line = match reason {
                    TagReason::Doubtful => "Tagged out as doubtful; the lead will see it.",
                    TagReason::NotForMe => "Tagged out for you alone.",
                };
                writeln!(self.out, "{line}")?;
            }
            Line::Stop => {
                let ms = self.took();
                if self.practice.stop(ms, self.clock.now())?.is_some() {
                    writeln!(self.out, "Kept as proposed.")?;
                }
            }
            Line::Help => writeln!(self.out, "{HELP}")?,
            Line::Words(_) => {}
        }
        Ok(())
    }

    fn took(&mut self) -> u64 {
        self.clock.took(self.asked_at, None)
    }

    fn ask(&mut self, prompt: &str) -> Result<Line, Failure> {
        write!(self.out, "{prompt}")?;
        self.out.flush()?;
        let mut bytes = Vec::new();
        let ended = self.input.read_until(b'\n', &mut bytes)? == 0;
        let words = clean(String::from_utf8_lossy(&bytes).trim());
        if self.echo || ended {
            writeln!(self.out, "{words}")?;
        }
        Ok(if ended { Line::Stop } else { line_of(words) })
    }
}

fn cards(n: usize) -> String {
    if n == 1 {
        "1 card".to_owned()
    } else {
        format!("{n} cards")
    }
}

fn line_of(words: String) -> Line {
    let (first, rest) = words.split_once(' ').unwrap_or((&words, ""));
    match first {
        "/undo" => Line::Undo,
        "/stop" => Line::Stop,
        "/help" => Line::Help,
        "/tag" => Line::Tag(rest.trim().to_owned()),
        _ => Line::Words(words),
    }
}

fn sure_of(words: &str) -> Option<Sure> {
    if words.is_empty() {
        return Some(Sure::default());
    }
    Sure::ALL
        .into_iter()
        .find(|s| s.word() == words || s.number().to_string() == words)
}

pub(crate) fn write_front(out: &mut dyn Write, front: &Front) -> Result<(), Failure> {
    for caution in &front.cautions {
        writeln!(out, "Caution: {caution}")?;
    }
    writeln!(out, "Board: {}, {}", front.board, front.revs)?;
    if !front.mark.is_empty() {
        writeln!(out, "This card: {}", front.mark)?;
    }
    if !front.stem.is_empty() {
        writeln!(out, "Question: {}", front.stem)?;
    }
    if !front.complaint.is_empty() {
        writeln!(out, "Complaint: {}", front.complaint)?;
    }
    for reading in &front.readings {
        write_reading(out, reading)?;
    }
    for suspect in &front.suspects {
        let (letter, what, chance) = (&suspect.letter, &suspect.what, &suspect.chance);
        writeln!(out, "Suspect {letter}: {what}; {chance}")?;
    }
    for look in &front.looks {
        writeln!(out, "{}, complaint: {}", look.letter, look.complaint)?;
        for reading in &look.readings {
            write!(out, "{}, ", look.letter)?;
            write_reading(out, reading)?;
        }
    }
    Ok(())
}

/// Writes the cautions that come with the answer: those of the repair, and those that would be it.
pub(crate) fn write_cautions_behind(
    out: &mut dyn Write,
    decided: &Front,
    in_front: &[String],
) -> Result<(), Failure> {
    let new = decided.cautions.iter().filter(|c| !in_front.contains(c));
    for caution in new {
        writeln!(out, "Caution: {caution}")?;
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

/// Writes what could be measured next, and the sum behind a decision.
fn write_tests(out: &mut dyn Write, back: &Back) -> Result<(), Failure> {
    for test in &back.tests {
        let right = if test.right { "Right" } else { "Measurement" };
        let named = if test.said == Some(true) {
            " (named)"
        } else {
            ""
        };
        let (say, rate, minutes) = (&test.say, &test.rate, &test.minutes);
        writeln!(
            out,
            "{right}: {say}{named}; {rate} bits a minute, {minutes} min"
        )?;
        for result in &test.results {
            writeln!(out, "  {result}")?;
        }
    }
    for line in &back.sums {
        writeln!(out, "Sum: {line}")?;
    }
    Ok(())
}

pub(crate) fn write_back(out: &mut dyn Write, back: &Back) -> Result<(), Failure> {
    if let Some(danger) = &back.danger {
        writeln!(out, "Danger: {danger}")?;
    }
    if let Some(corrected) = &back.corrected {
        writeln!(out, "{corrected}")?;
    }
    if !back.verdict.is_empty() {
        writeln!(out, "Verdict: {}", back.verdict)?;
    }
    if !back.note.is_empty() {
        writeln!(out, "Judged: {}", back.note)?;
    }
    if let Some(unjudged) = &back.unjudged {
        writeln!(out, "Not judged: {unjudged}")?;
    }
    if !back.circuit.is_empty() {
        writeln!(out, "{}", back.circuit)?;
    }
    if let Some(rule) = &back.boundary {
        writeln!(out, "How to tell: {rule}")?;
    }
    write_right(out, back)?;
    write_evidence(out, back)
}

/// Writes what would have been right.
fn write_right(out: &mut dyn Write, back: &Back) -> Result<(), Failure> {
    for answer in &back.answers {
        writeln!(out, "Answer: {answer}")?;
    }
    for point in &back.points {
        let said = match point.said {
            Some(true) => " (said)",
            Some(false) => " (not said)",
            None => "",
        };
        let label = if point.needed {
            "Point"
        } else {
            "Point, not needed"
        };
        writeln!(out, "{label}: {}{said}", point.say)?;
    }
    write_tests(out, back)?;
    for look in &back.looks {
        for reading in &look.separates {
            write!(out, "{} has ", look.letter)?;
            write_reading(out, reading)?;
        }
        writeln!(
            out,
            "{}, answer: {} (circuit {})",
            look.letter, look.answer, look.circuit
        )?;
    }
    if !back.source.is_empty() {
        writeln!(out, "Source: {}", back.source)?;
    }
    Ok(())
}

/// Writes what the archive says for it.
fn write_evidence(out: &mut dyn Write, back: &Back) -> Result<(), Failure> {
    let (k, n, low, high) = back.share;
    if 0 < n {
        writeln!(
            out,
            "Evidence: {}; {:.0} % of {n}, between {:.0} and {:.0} %; {}",
            back.share_text,
            100.0 * count(k) / count(n),
            100.0 * low,
            100.0 * high,
            back.support
        )?;
    }
    for board in &back.boards {
        writeln!(out, "On {board}")?;
    }
    for other in &back.others {
        writeln!(out, "Other jobs like this: {other}")?;
    }
    if !back.bounced.is_empty() {
        writeln!(out, "Evidence: {}", back.bounced)?;
    }
    for why in back.why_lines() {
        writeln!(out, "Why: {why}")?;
    }
    for reading in &back.held_back {
        write!(out, "Held back until now, ")?;
        write_reading(out, reading)?;
    }
    if let Some(signs) = &back.first_signs {
        writeln!(out, "{signs}")?;
    }
    for warning in &back.warn {
        writeln!(out, "To check: {warning}")?;
    }
    if back.jobs.is_empty() {
        return Ok(());
    }
    let named = &back.jobs[..back.jobs.len().min(JOBS_NAMED)];
    let more = back.jobs.len() - named.len();
    let more = match more {
        0 => String::new(),
        1 => " and 1 earlier one".to_owned(),
        more => format!(" and {more} earlier ones"),
    };
    writeln!(out, "Jobs: {}{more}", named.join(", "))?;
    Ok(())
}
