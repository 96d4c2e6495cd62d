//! What a card looks like to a person, as words without layout.

use crate::app::view::Back;
use crate::app::view::Choice;
use crate::app::view::DrillView;
use crate::app::view::Front;
use crate::app::view::Look;
use crate::app::view::LookBack;
use crate::app::view::PointLine;
use crate::app::view::Reading;
use crate::app::view::Step;
use crate::app::view::Summary;
use crate::app::view::SuspectLine;
use crate::app::view::TestLine;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Side;
use crate::domain::card::Suspect;
use crate::domain::card::TestResult;
use crate::domain::caution;
use crate::domain::circuit::Circuits;
use crate::domain::circuit::Family;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::judge::compare::points::judge_points;
use crate::domain::judge::compare::worth::Worth;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::sitting::Shown;
use crate::domain::sitting::Sitting;
use crate::domain::sitting::Stage;
use crate::domain::text::clean;
use crate::domain::text::shortened;
use crate::domain::wording;

/// Returns the front of `card`; `decided` marks the deciding readings.
pub fn front(card: &Card, board: Option<&Board>, mark: &str, decided: bool) -> Front {
    let readings = card
        .front
        .iter()
        .enumerate()
        .map(|(i, finding)| Reading {
            decides: decided && card.deciding.contains(&i),
            ..reading(finding)
        })
        .collect();
    let rule = card.kind == CardKind::Rule;
    let across = card.is_across();
    let of_any_board = card.board.is_empty();
    Front {
        board: if across {
            "Board not known".to_owned()
        } else if of_any_board {
            "Bench rule".to_owned()
        } else {
            clean(board.map_or(card.board.as_str(), |b| &b.name))
        },
        revs: if across {
            "a pattern of several boards".to_owned()
        } else if of_any_board {
            "for every board".to_owned()
        } else if rule && card.revs.is_empty() {
            "bench rule".to_owned()
        } else if card.revs.is_empty() {
            "revision not recorded".to_owned()
        } else {
            clean(&format!("rev {}", card.revs.join(", ")))
        },
        stem: clean(&card.stem),
        cautions: caution_lines(card, decided),
        complaint: if card.complaint.is_empty() && (rule || across || !card.sides.is_empty()) {
            String::new()
        } else {
            wording::complaint_text(&card.complaint)
        },
        readings,
        looks: letters()
            .zip(&card.sides)
            .map(|(letter, side)| Look {
                letter,
                complaint: wording::complaint_text(&side.complaint),
                readings: look(card, side, decided),
            })
            .collect(),
        suspects: letters()
            .zip(&card.suspects)
            .map(|(letter, suspect)| SuspectLine {
                letter,
                what: clean(&suspect.what),
                chance: chance_text(suspect),
            })
            .collect(),
        mark: mark.to_owned(),
    }
}

/// Returns `likely, 27 jobs`: a band, since no archive of a shop bears percents here.
fn chance_text(suspect: &Suspect) -> String {
    let jobs = if suspect.n == 1 { "job" } else { "jobs" };
    format!(
        "{}, {} {jobs}",
        wording::chance_word(suspect.chance),
        suspect.n
    )
}

/// Returns the measurements of a card; `named` is empty where nothing was judged.
fn tests(card: &Card, named: &[bool]) -> Vec<TestLine> {
    card.tests
        .iter()
        .enumerate()
        .map(|(i, test)| TestLine {
            say: clean(&test.say),
            rate: if 0.0 < test.minutes {
                format!("{:.2}", test.bits / test.minutes)
            } else {
                String::new()
            },
            minutes: format!("{}", test.minutes),
            right: test.right,
            said: named.get(i).copied(),
            results: test.results.iter().map(|r| meaning(card, r)).collect(),
        })
        .collect()
}

/// Returns `low: A likely, B possible`; a suspect that the front does not name stands in words.
fn meaning(card: &Card, result: &TestResult) -> String {
    let points: Vec<String> = result
        .points_to
        .iter()
        .map(|suspect| {
            let mut known = letters().zip(&card.suspects);
            let known = known.find(|(_, s)| s.what == suspect.what);
            let who = known.map_or_else(|| clean(&suspect.what), |(letter, _)| letter);
            format!("{who} {}", wording::chance_word(suspect.chance))
        })
        .collect();
    let points = if points.is_empty() {
        "none of them more than before".to_owned()
    } else {
        points.join(", ")
    };
    format!("{}: {points}", clean(&result.say))
}

/// Returns the readings of one look-alike; what separates it is marked once it is decided.
fn look(card: &Card, side: &Side, decided: bool) -> Vec<Reading> {
    let separates = |finding: &Finding| side.separates.contains(finding);
    let shown = side.shown(card.given);
    let line = |finding: &Finding| Reading {
        decides: decided && separates(finding),
        ..reading(finding)
    };
    shown.iter().map(line).collect()
}

/// Returns the lines that stand first on a card: before the answer without those that would be it.
fn caution_lines(card: &Card, decided: bool) -> Vec<String> {
    let line = |id: &String| caution::caution(id).map_or_else(|| clean(id), |c| c.line.to_owned());
    if decided {
        return card.cautions.iter().map(line).collect();
    }
    let front = cautions_in_front(card);
    let mut lines: Vec<String> = front.cautions.iter().map(line).collect();
    if front.withheld {
        lines.push(CAUTION_WITH_ANSWER.to_owned());
    }
    lines
}

/// Returns `A`, `B` and so on, by which look-alikes are called.
fn letters() -> impl Iterator<Item = String> {
    ('A'..='Z').map(String::from)
}

/// Stands above a question whose caution would answer it, until the answer is given.
pub const CAUTION_WITH_ANSWER: &str =
    "Hazard: maker's instructions, local codes and licensed people come first.";

/// The hazards above a question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InFront {
    /// Those whose caution stands there: all but those that only the repair brings, which would name
    /// it, and those whose caution is itself the answer.
    pub cautions: Vec<String>,
    /// A caution is kept for the answer, because it would be the answer.
    pub withheld: bool,
}

/// Returns the hazards above the question of `card`.
pub fn cautions_in_front(card: &Card) -> InFront {
    const OF_THE_REPAIR: [&str; 3] = ["alcohol-vapour", "fume", "esd"];
    let rule = card.kind == CardKind::Rule;
    let (answers, mut cautions): (Vec<String>, Vec<String>) = card
        .cautions
        .iter()
        .cloned()
        .partition(|id| answers_the_question(card, id));
    let withheld = !answers.is_empty();
    // Two cautions of one rule often say the same: none of them stands there alone.
    let shown = |id: &str| {
        if rule {
            !withheld
        } else {
            !OF_THE_REPAIR.contains(&id)
        }
    };
    cautions.retain(|id| shown(id));
    InFront { cautions, withheld }
}

/// That a board is safety-critical answers whether to go on; what a caution says may be all the points
/// of a bench rule.
fn answers_the_question(card: &Card, id: &str) -> bool {
    match card.kind {
        CardKind::Stop => id == "safety-critical",
        CardKind::Rule => caution::caution(id).is_some_and(|caution| {
            let said = judge_points(caution.line, &card.points, None, &Synonyms::default());
            said.hits.contains(&true)
        }),
        _ => false,
    }
}

/// Returns a finding as name, value and reference.
pub fn reading(finding: &Finding) -> Reading {
    let line = wording::finding_line(finding);
    Reading {
        name: line.name,
        value: line.value,
        reference: line.reference,
        decides: false,
    }
}

/// Stands on a card that no lead signed as it stands.
pub const NOT_SIGNED: &str = "not yet signed";

/// Returns what stands on a card about its signature; nothing where someone vouches for it.
pub fn signature_mark(card: &Card) -> &'static str {
    if card.is_vouched_for() {
        ""
    } else {
        NOT_SIGNED
    }
}

/// Returns what stands beside the board's name for the card under way.
pub fn mark(sitting: &Sitting) -> String {
    let asked = match sitting.ask() {
        Some(ask) if ask.again => "asked again",
        Some(_) if sitting.is_corrected() => "corrected since you saw it",
        Some(ask) if ask.mode == Mode::SpotCheck => "spot check",
        Some(ask) if ask.mode == Mode::Brief => "before a board",
        Some(_) if sitting.is_new() => "new to you",
        _ => "",
    };
    let signed = sitting.card().map_or("", signature_mark);
    let said = [asked, signed].into_iter().filter(|mark| !mark.is_empty());
    said.collect::<Vec<_>>().join("; ")
}

/// Returns the back of the card under way, once its verdict is shown.
pub fn back(sitting: &Sitting) -> Option<Back> {
    let card = sitting.card()?;
    let shown = sitting.shown()?;
    let judgement = shown.judgement.as_ref();
    let first_family = sitting
        .ask()
        .filter(|ask| ask.opens_family)
        .and_then(|_| sitting.circuits().get(&card.family));
    Some(Back {
        corrected: sitting.correction().map(str::to_owned),
        verdict: verdict_line(card, shown),
        note: clean(judgement.map_or(&shown.note, |j| &j.note)),
        unjudged: shown.unjudged.as_deref().map(unjudged_line),
        danger: shown.danger.as_ref().map(|danger| {
            let caution = caution::caution(danger.caution).map_or("", |c| c.text);
            format!("{} {caution}", danger.why).trim().to_owned()
        }),
        points: points(card, &shown.hits),
        tests: tests(
            card,
            if card.points.is_empty() {
                &shown.hits
            } else {
                &[]
            },
        ),
        boundary: shown.boundary.as_deref().map(clean),
        first_signs: first_family.map(signs_line),
        ..answer_side(card, sitting.circuits(), sitting.boards())
    })
}

/// The most of an unjudged sentence that is shown, in letters.
const SHOWN_OF_SENTENCE: usize = 120;

/// Returns what is said of a sentence that was not judged.
fn unjudged_line(sentence: &str) -> String {
    let shown = shortened(&clean(sentence), SHOWN_OF_SENTENCE);
    format!("whether this is safe: \"{shown}\". Right is said of what was asked.")
}

/// Returns the back of a card that nobody answered, its boards by their names among `boards`.
pub fn answer_side(card: &Card, circuits: &Circuits, boards: &[Board]) -> Back {
    let share = &card.share;
    Back {
        corrected: None,
        verdict: String::new(),
        note: String::new(),
        unjudged: None,
        danger: None,
        boundary: None,
        circuit: if card.asks_circuit() {
            circuit_line(circuits, card)
        } else {
            String::new()
        },
        answers: answers(card),
        points: points(card, &[]),
        // Where the front marks what separates the sides, their points say the rest.
        looks: letters()
            .zip(&card.sides)
            .filter(|_| !card.given)
            .map(|(letter, side)| LookBack {
                letter,
                circuit: clean(&side.family),
                separates: side.separates.iter().map(reading).collect(),
                answer: wording::answer_text(&side.answer),
            })
            .collect(),
        tests: tests(card, &[]),
        sums: card.sums.iter().map(|line| clean(line)).collect(),
        source: source_line(card),
        boards: standings(card, boards),
        share: (share.k, share.n, share.low, share.high),
        share_text: match card.kind {
            _ if share.n == 0 => String::new(),
            CardKind::Stop => wording::ended_text(share),
            CardKind::Expect => wording::showed_text(share),
            CardKind::Contrast => wording::separated_text(share),
            CardKind::Next if card.points.is_empty() => wording::among_text(share),
            _ => wording::share_text(share),
        },
        support: if share.n == 0 {
            String::new()
        } else {
            card.support.word().to_owned()
        },
        bounced: match card.bounced {
            0 => String::new(),
            n => format!("{n} came back"),
        },
        others: card
            .others
            .iter()
            .map(|other| {
                let steps: Vec<String> = other.steps.iter().map(wording::step_text).collect();
                format!("{} in {}", steps.join(" and "), other.k)
            })
            .collect(),
        why: clean(&card.why),
        held_back: card.held_back.iter().map(reading).collect(),
        jobs: card.jobs.iter().map(|j| clean(j)).collect(),
        last: card
            .last
            .map_or_else(String::new, |day| day.format("%-d %B %Y").to_string()),
        warn: card
            .warn
            .iter()
            .map(|w| clean(w))
            .chain((!card.is_vouched_for()).then(|| NOT_SIGNED.to_owned()))
            .collect(),
        first_signs: None,
    }
}

/// Returns how a pattern stands on each of its boards, by the names of those among `boards`.
fn standings(card: &Card, boards: &[Board]) -> Vec<String> {
    card.boards
        .iter()
        .map(|on| {
            let known = boards.iter().find(|b| b.id == on.board);
            let name = known.map_or(on.board.as_str(), |b| &b.name);
            clean(&format!("{name}: {} of {}", on.k, on.n))
        })
        .collect()
}

/// Returns the right answers; the fix that a question gives is none.
fn answers(card: &Card) -> Vec<String> {
    let own = card
        .answers
        .iter()
        .filter(|_| card.kind != CardKind::Expect);
    own.map(wording::answer_text).collect()
}

/// Returns the points of a card; `hits` is empty where nothing was judged.
fn points(card: &Card, hits: &[bool]) -> Vec<PointLine> {
    card.points
        .iter()
        .enumerate()
        .map(|(i, point)| PointLine {
            say: clean(&of_side(card, i, &point.say)),
            said: hits.get(i).copied(),
            needed: point.needed,
        })
        .collect()
}

/// Returns the words of a point, with side and circuit where every side has its own point.
fn of_side(card: &Card, at: usize, say: &str) -> String {
    let mut sides = letters().zip(&card.sides).filter(|_| card.given);
    match sides.nth(at) {
        Some((letter, side)) => format!("{letter}, {say} (circuit {})", side.family),
        None => say.to_owned(),
    }
}

fn source_line(card: &Card) -> String {
    match (card.kind, card.source.trim()) {
        (CardKind::Rule, "" | "common practice") => "common practice, no source".to_owned(),
        (_, source) => clean(source),
    }
}

/// Returns what to type in answer to a card, as an instruction without a full stop.
pub fn prompt(card: &Card) -> &'static str {
    match card.kind {
        CardKind::Contrast if card.given => "Name the fix of each, as in A: ..., B: ...",
        CardKind::Expect => "Name the readings or signs, and what each showed",
        CardKind::Contrast => "Name the finding that separates A from B, and what fixed each",
        CardKind::Stop => "Go on or call it: say which, and why",
        CardKind::Next if card.is_across() => "Name the first measurement",
        CardKind::Next => "Name one measurement: where, and of what kind",
        CardKind::Caution if card.points.is_empty() => "Name the repair that was missed",
        CardKind::Caution => "Say what was missed",
        CardKind::Rule => "Say it in a few words",
        _ => "Name the fix",
    }
}

/// Returns what is asked of a card, one question after the other.
pub fn asks(card: &Card) -> Vec<&'static str> {
    let circuit = card.asks_circuit().then_some("Which circuit?");
    circuit.into_iter().chain([prompt(card)]).collect()
}

/// Returns what to type in answer to the card under way.
fn fix_prompt(sitting: &Sitting) -> String {
    let prompt = sitting.card().map_or("", prompt);
    if sitting.options().is_empty() {
        prompt.to_owned()
    } else {
        format!("{prompt}, or its number")
    }
}

/// Returns the fixes to choose from for the card under way, as a person reads them.
pub fn options(sitting: &Sitting) -> Vec<String> {
    let options = sitting.options().iter();
    options.map(wording::answer_text).collect()
}

fn circuit_line(circuits: &Circuits, card: &Card) -> String {
    let name = circuits
        .get(&card.family)
        .map_or(card.family.as_str(), |f| &f.name);
    let mut line = if name == card.family {
        format!("The circuit is {}.", clean(name))
    } else {
        format!("The circuit is {}: {}.", clean(&card.family), clean(name))
    };
    // Those with damage, those of other answers, and those of the board's own list.
    if !card.contributing.is_empty() {
        line.push_str(&format_list(" Right too: ", &card.contributing, "."));
    }
    line
}

fn format_list(before: &str, items: &[String], after: &str) -> String {
    format!("{before}{}{after}", clean(&items.join(", ")))
}

fn signs_line(family: &Family) -> String {
    format!(
        "Signs of {}: {}",
        clean(&family.id),
        clean(&family.signs.join(" "))
    )
}

/// Returns `right circuit, right fix; 8 s, fair`, or `2 of 3 points; 8 s, sure`.
fn verdict_line(card: &Card, shown: &Shown) -> String {
    let draft = &shown.draft;
    let circuit = match draft.verdict.circuit {
        Some(true) => "right circuit, ",
        Some(false) => "other circuit, ",
        None => "",
    };
    let needed = || card.points.iter().filter(|p| p.needed).count();
    let named = || {
        let hits = card.points.iter().zip(&shown.hits);
        hits.filter(|(p, hit)| p.needed && **hit).count()
    };
    let partly = shown.worth == Some(Worth::Partly) && !draft.overruled;
    let fix = if draft.verdict.unsafe_answer {
        "unsafe answer".to_owned()
    } else if partly && (card.points.is_empty() || card.given || named() == 0) {
        "partly right".to_owned()
    } else if draft.aloud && card.kind == CardKind::Fix {
        "fix said aloud: you judge it".to_owned()
    } else if draft.aloud {
        "said aloud: you judge it".to_owned()
    } else if !shown.hits.is_empty() && card.points.is_empty() {
        match draft.verdict.fix {
            Some(true) => "right measurement",
            _ => "other measurement",
        }
        .to_owned()
    } else if draft.verdict.fix == Some(true) && card.given {
        "each its fix".to_owned()
    } else if draft.verdict.fix == Some(true) && card.kind == CardKind::Expect {
        "what it shows".to_owned()
    } else if !shown.hits.is_empty() && named() == needed() && draft.verdict.fix == Some(true) {
        "every point needed".to_owned()
    } else if !shown.hits.is_empty() {
        let points = if needed() == 1 { "point" } else { "points" };
        let partly = if partly { "partly: " } else { "" };
        format!("{partly}{} of {} {points} needed", named(), needed())
    } else if draft.verdict.fix == Some(true) {
        "right fix".to_owned()
    } else {
        "other fix".to_owned()
    };
    let overruled = if draft.overruled { ", overruled" } else { "" };
    let sure = match draft.sure {
        Sure::Low => "not sure",
        Sure::Fair => "fairly sure",
        Sure::High => "sure",
    };
    let seconds = draft.ms.thinking().div_ceil(1000);
    format!("{circuit}{fix}{overruled}; {seconds} s, {sure}")
}

/// Returns the sitting as a person sees it now.
pub fn drill_view(sitting: &Sitting, read_only: Option<&str>, notice: &str) -> DrillView {
    let over = || {
        Step::Over(Summary {
            sitting: sitting.id().to_owned(),
            cards: sitting.tally().cards,
            minutes: sitting.minutes_spent(),
            missed: sitting.tally().missed,
            new: sitting.tally().new,
            fitted: None,
        })
    };
    let step = match sitting.stage() {
        Stage::Circuit => Step::Circuit {
            choices: choices(sitting),
        },
        Stage::Fix => Step::Fix {
            circuit: sitting.said_circuit().map(str::to_owned),
            prompt: fix_prompt(sitting),
            options: options(sitting),
        },
        Stage::Verdict(shown) => back(sitting).map_or_else(over, |back| Step::Verdict {
            back: Box::new(back),
            proposed: shown.draft.proposed,
            grade: shown.draft.grade,
            grade_fixed: shown.draft.verdict.unsafe_answer,
            may_overrule: !shown.draft.verdict.unsafe_answer && !shown.draft.aloud,
        }),
        Stage::Over => over(),
    };
    let decided = matches!(step, Step::Verdict { .. });
    DrillView {
        front: sitting
            .card()
            .map(|card| front(card, sitting.board(), &mark(sitting), decided)),
        family: sitting
            .card()
            .map_or_else(String::new, |c| c.family.clone()),
        step,
        minutes_left: sitting.minutes_left(),
        can_undo: sitting.can_undo(),
        read_only: read_only.map(clean),
        notice: clean(notice),
    }
}

fn choices(sitting: &Sitting) -> Vec<Choice> {
    sitting
        .choices()
        .into_iter()
        .map(|id| {
            let name = sitting
                .circuits()
                .get(&id)
                .map_or_else(|| clean(&id), |f| clean(&f.name));
            Choice { id, name }
        })
        .collect()
}

/// Says that a verdict may not be overruled.
pub const MAY_NOT_OVERRULE: &str =
    "an unsafe answer, or one said aloud, has no verdict to overrule";
/// Says that a grade may not be moved.
pub const MAY_NOT_MOVE: &str = "an unsafe answer stays missed";

/// Returns the family that `words` mean among `choices`: a number, an id, or the only one whose id or
/// name begins so. No words mean "not known".
pub fn choose(choices: &[Choice], words: &str) -> Result<String, String> {
    let words = words.trim().to_lowercase();
    if words.is_empty() {
        return Ok(String::new());
    }
    if let Ok(n) = words.parse::<usize>()
        && let Some(choice) = n.checked_sub(1).and_then(|i| choices.get(i))
    {
        return Ok(choice.id.clone());
    }
    if let Some(choice) = choices.iter().find(|c| c.id.to_lowercase() == words) {
        return Ok(choice.id.clone());
    }
    let fits: Vec<&Choice> = choices
        .iter()
        .filter(|c| {
            c.id.to_lowercase().starts_with(&words) || c.name.to_lowercase().starts_with(&words)
        })
        .collect();
    match fits.as_slice() {
        [one] => Ok(one.id.clone()),
        [] => Err(format!("No circuit begins with {}.", clean(&words))),
        several => {
            let ids: Vec<&str> = several.iter().map(|c| c.id.as_str()).collect();
            Err(format!("Which of {}?", ids.join(", ")))
        }
    }
}

/// Returns the reason a tag's words stand for: `not-for-me`, else doubtful.
pub fn tag_reason(words: &str) -> TagReason {
    if words.trim().to_lowercase().replace(' ', "-") == TagReason::NotForMe.word() {
        TagReason::NotForMe
    } else {
        TagReason::Doubtful
    }
}
