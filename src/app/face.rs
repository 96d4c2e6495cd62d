//! What a card looks like to a person, as words without layout.

use crate::app::view::Back;
use crate::app::view::Choice;
use crate::app::view::DrillView;
use crate::app::view::Front;
use crate::app::view::Reading;
use crate::app::view::Step;
use crate::app::view::Summary;
use crate::domain::card::Card;
use crate::domain::caution;
use crate::domain::circuit::Circuits;
use crate::domain::circuit::Family;
use crate::domain::job::Board;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::sitting::Shown;
use crate::domain::sitting::Sitting;
use crate::domain::sitting::Stage;
use crate::domain::text::clean;
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
    Front {
        board: clean(board.map_or(card.board.as_str(), |b| &b.name)),
        revs: if card.revs.is_empty() {
            "revision not recorded".to_owned()
        } else {
            clean(&format!("rev {}", card.revs.join(", ")))
        },
        cautions: (if decided {
            card.cautions.clone()
        } else {
            cautions_in_front(card)
        })
        .iter()
        .map(|id| caution::caution(id).map_or_else(|| clean(id), |c| c.line.to_owned()))
        .collect(),
        complaint: wording::complaint_text(&card.complaint),
        readings,
        mark: mark.to_owned(),
    }
}

/// Returns the hazards whose caution stands above the question: all but those that only the repair
/// brings, which would name it.
pub fn cautions_in_front(card: &Card) -> Vec<String> {
    const OF_THE_REPAIR: [&str; 3] = ["alcohol-vapour", "fume", "esd"];
    card.cautions
        .iter()
        .filter(|id| !OF_THE_REPAIR.contains(&id.as_str()))
        .cloned()
        .collect()
}

fn reading(finding: &crate::domain::job::Finding) -> Reading {
    let line = wording::finding_line(finding);
    Reading {
        name: line.name,
        value: line.value,
        reference: line.reference,
        decides: false,
    }
}

/// Returns what stands beside the board's name for the card under way.
pub fn mark(sitting: &Sitting) -> &'static str {
    match sitting.ask() {
        Some(ask) if ask.again => "asked again",
        Some(_) if sitting.is_corrected() => "corrected since you saw it",
        Some(ask) if ask.mode == Mode::SpotCheck => "spot check",
        Some(ask) if ask.mode == Mode::Brief => "before a board",
        Some(_) if sitting.is_new() => "new to you",
        _ => "",
    }
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
        verdict: verdict_line(shown),
        note: judgement.map_or_else(String::new, |j| clean(&j.note)),
        danger: judgement
            .and_then(|j| j.unsafe_answer.as_ref())
            .map(|danger| {
                let caution = caution::caution(danger.caution).map_or("", |c| c.text);
                format!("{} {caution}", danger.why).trim().to_owned()
            }),
        boundary: shown.boundary.as_deref().map(clean),
        first_signs: first_family.map(signs_line),
        ..answer_side(card, sitting.circuits())
    })
}

/// Returns the back of a card that nobody answered.
pub fn answer_side(card: &Card, circuits: &Circuits) -> Back {
    let share = &card.share;
    Back {
        verdict: String::new(),
        note: String::new(),
        danger: None,
        boundary: None,
        circuit: circuit_line(circuits, card),
        answers: card.answers.iter().map(wording::answer_text).collect(),
        share: (share.k, share.n, share.low, share.high),
        share_text: wording::share_text(share),
        support: card.support.word().to_owned(),
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
        warn: card.warn.iter().map(|w| clean(w)).collect(),
        first_signs: None,
    }
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
    if !card.contributing.is_empty() {
        line.push_str(&format_list(" Damage in ", &card.contributing, " as well."));
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

/// Returns `right circuit, right part; 8 s, fair`.
fn verdict_line(shown: &Shown) -> String {
    let draft = &shown.draft;
    let circuit = match draft.verdict.circuit {
        Some(true) => "right circuit",
        Some(false) => "other circuit",
        None => "circuit not asked",
    };
    let fix = if draft.verdict.unsafe_answer {
        "unsafe answer"
    } else if draft.aloud {
        "fix said aloud: you judge it"
    } else if draft.verdict.fix == Some(true) {
        "right fix"
    } else {
        "other fix"
    };
    let overruled = if draft.overruled { ", overruled" } else { "" };
    let sure = match draft.sure {
        Sure::Low => "not sure",
        Sure::Fair => "fairly sure",
        Sure::High => "sure",
    };
    let seconds = draft.ms.thinking().div_ceil(1000);
    format!("{circuit}, {fix}{overruled}; {seconds} s, {sure}")
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
        })
    };
    let step = match sitting.stage() {
        Stage::Circuit => Step::Circuit {
            choices: choices(sitting),
        },
        Stage::Fix => Step::Fix {
            circuit: sitting.said_circuit().unwrap_or_default().to_owned(),
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
            .map(|card| front(card, sitting.board(), mark(sitting), decided)),
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
