//! One sitting of one person: asks, judges, proposes a grade, takes back.
//!
//! The engine behind all three faces (screen, plain lines, JSON Lines). It holds no files and no
//! clock: the caller says how long each step took, writes what [`Sitting::draft`] holds, and then
//! tells the engine that it was kept.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::circuit::Circuits;
use crate::domain::history::Pace;
use crate::domain::job::Board;
use crate::domain::judge::compare::keypoints::Judgement;
use crate::domain::judge::compare::worth::Worth;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::hear::hear;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::options;
use crate::domain::queue::Ask;
use crate::domain::review::Answered;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::Verdict;
use crate::domain::sitting_steps::Course;
use crate::domain::sitting_steps::Steps;
use crate::domain::sitting_steps::Tally;
use crate::domain::stem_order;

/// Where the sitting stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Stage {
    /// Waits for the circuit, where the card asks for one.
    Circuit,
    /// Waits for the fix, or for whatever else the card asks.
    Fix,
    /// Shows the verdict, waits for the grade.
    Verdict(Box<Shown>),
    /// Over.
    Over,
}

/// The verdict on one card, with what the screen says about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// What will be written when the grade is kept.
    pub draft: Answered,
    /// Verdict on a typed repair; none when said aloud, and where the answer is judged by points.
    pub judgement: Option<Judgement>,
    /// Which of the card's points, or else of its measurements, a typed answer named; empty where
    /// nothing of the kind was judged.
    pub hits: Vec<bool>,
    /// More than half of the needed points were named, or a right measurement among others.
    pub partly: bool,
    /// What a trainer would call a typed answer; none when said aloud.
    pub worth: Option<Worth>,
    /// What the judge noticed about an answer that is no repair; empty where the points say it.
    pub note: String,
    /// The sentence of a right answer that was not judged.
    pub unjudged: Option<String>,
    /// What in a typed answer would hurt someone.
    pub danger: Option<UnsafeAct>,
    /// What tells the circuit asked from the one said, when they differ.
    pub boundary: Option<String>,
    /// Median time to a right answer, where time entered the proposal.
    pub median_ms: Option<u64>,
}

/// What the caller says to a fix question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Said {
    /// Typed words.
    Typed(String),
    /// Said aloud: the person judges the fix.
    Aloud,
}

/// What a sitting is made of.
#[derive(Clone, Debug)]
pub struct Setup {
    /// Sitting id.
    pub id: String,
    /// Cards in use; asks point into it.
    pub cards: Vec<Card>,
    /// Boards, for part names and families.
    pub boards: Vec<Board>,
    /// Families.
    pub circuits: Circuits,
    /// Shop's synonyms.
    pub words: Synonyms,
    /// Asks in order.
    pub asks: Vec<Ask>,
    /// Minutes.
    pub minutes: f64,
    /// The person's pace before this sitting.
    pub pace: Pace,
    /// Reviews of each card before this sitting, by id; the order of its readings comes from them.
    pub reviews: std::collections::BTreeMap<String, usize>,
    /// Fixes to choose from, by card id; empty unless the person asked for them.
    pub options: std::collections::BTreeMap<String, Vec<Answer>>,
    /// Ids of the cards for which they stand there at the first asking: not met, or missed last time.
    pub offered: std::collections::BTreeSet<String>,
    /// Ids of cards met before this sitting.
    pub met: std::collections::BTreeSet<String>,
    /// Cards whose answers changed since the person last saw them, by id, with what is said of it.
    pub corrected: std::collections::BTreeMap<String, String>,
}

/// One sitting.
#[derive(Clone, Debug)]
pub struct Sitting {
    setup: Setup,
    course: Course,
    steps: Steps,
    stage: Stage,
    /// The card under way, its readings in the order of this asking.
    turned: Option<Card>,
    circuit_ms: u64,
    said_circuit: Option<String>,
}

impl Sitting {
    /// Starts a sitting at its first card.
    pub fn new(setup: Setup) -> Self {
        let mut sitting = Self {
            course: Course::new(&setup.asks),
            steps: Steps::default(),
            stage: Stage::Over,
            turned: None,
            circuit_ms: 0,
            said_circuit: None,
            setup,
        };
        sitting.advance();
        sitting
    }

    /// Returns the sitting's id.
    pub fn id(&self) -> &str {
        &self.setup.id
    }

    /// Returns where the sitting stands.
    pub fn stage(&self) -> &Stage {
        &self.stage
    }

    /// Returns the card being asked, its readings in the order of this asking.
    pub fn card(&self) -> Option<&Card> {
        self.turned.as_ref()
    }

    /// Returns the card under way as this asking shows it.
    fn turn(&self) -> Option<Card> {
        let ask = self.course.ask.as_ref()?;
        let card = &self.setup.cards[ask.card];
        let before = self.setup.reviews.get(&card.id).copied().unwrap_or(0);
        Some(stem_order::turned(card, before + usize::from(ask.again)))
    }

    /// Returns the ask under way.
    pub fn ask(&self) -> Option<&Ask> {
        self.course.ask.as_ref()
    }

    /// Tells whether the person had not met the card under way before this sitting.
    pub fn is_new(&self) -> bool {
        self.card().is_some_and(|c| !self.setup.met.contains(&c.id))
            && self.course.ask.as_ref().is_some_and(|a| !a.again)
    }

    /// Tells whether what the card under way accepts has changed since the person last saw it.
    pub fn is_corrected(&self) -> bool {
        self.correction().is_some()
    }

    /// Returns what the card under way accepted when the person last saw it, and what it accepts now;
    /// none where that is the same. It tells the answer.
    pub fn correction(&self) -> Option<&str> {
        let said = self.setup.corrected.get(&self.card()?.id)?;
        let first = self.course.ask.as_ref().is_some_and(|a| !a.again);
        first.then_some(said.as_str())
    }

    /// Returns the circuit said to the card under way.
    pub fn said_circuit(&self) -> Option<&str> {
        self.said_circuit.as_deref()
    }

    /// Returns the board of the card being asked, where the shop describes it.
    pub fn board(&self) -> Option<&Board> {
        let card = self.card()?;
        self.setup.boards.iter().find(|b| b.id == card.board)
    }

    /// Returns the boards that the shop describes.
    pub fn boards(&self) -> &[Board] {
        &self.setup.boards
    }

    /// Returns the families.
    pub fn circuits(&self) -> &Circuits {
        &self.setup.circuits
    }

    /// Returns the counts so far.
    pub fn tally(&self) -> &Tally {
        &self.course.tally
    }

    /// Returns the minutes spent.
    pub fn minutes_spent(&self) -> f64 {
        self.course.minutes_spent()
    }

    /// Returns the minutes left of the budget.
    pub fn minutes_left(&self) -> f64 {
        (self.setup.minutes - self.minutes_spent()).max(0.0)
    }

    /// Tells whether something of this sitting can be taken back.
    pub fn can_undo(&self) -> bool {
        self.steps.last_event().is_some() || self.answered_something()
    }

    /// Returns the families to choose from, in the shop's order: those of the board, or all.
    ///
    /// The asked family and its contributors are always among them.
    pub fn choices(&self) -> Vec<String> {
        let Some(card) = self.card() else {
            return Vec::new();
        };
        let of_board = self.board().map_or(&[][..], |b| &b.families);
        self.setup
            .circuits
            .all()
            .iter()
            .map(|f| &f.id)
            .filter(|id| {
                of_board.is_empty()
                    || of_board.contains(id)
                    || **id == card.family
                    || card.contributing.contains(id)
            })
            .cloned()
            .collect()
    }

    /// Returns the fixes to choose from for the card under way; none where the answer is free, as it
    /// always is in a spot check.
    pub fn options(&self) -> &[Answer] {
        let Some(ask) = &self.course.ask else {
            return &[];
        };
        let id = &self.setup.cards[ask.card].id;
        let offered = ask.again || self.setup.offered.contains(id);
        match self.setup.options.get(id) {
            Some(options) if offered && ask.mode != Mode::SpotCheck => options,
            _ => &[],
        }
    }

    /// Returns typed words, the number of a choice as the choice.
    fn chosen(&self, words: &str) -> String {
        let number = words.trim().parse::<usize>().ok();
        let at = number.and_then(|n| n.checked_sub(1));
        let choice = at.and_then(|at| self.options().get(at));
        choice.map_or_else(|| words.to_owned(), options::said)
    }

    /// Takes the circuit said, after `ms`; an empty word means "I don't know".
    pub fn say_circuit(&mut self, family: &str, ms: u64) {
        if self.stage == Stage::Circuit {
            self.said_circuit = Some(family.to_owned());
            self.circuit_ms = ms;
            self.stage = Stage::Fix;
        }
    }

    /// Takes the answer said, judges it and proposes a grade.
    pub fn say_fix(&mut self, said: &Said, sure: Sure, ms: u64) {
        let (Stage::Fix, Some(ask)) = (&self.stage, self.course.ask.clone()) else {
            return;
        };
        let card = &self.setup.cards[ask.card];
        let said_circuit = self.said_circuit.clone();
        let circuit_right = said_circuit
            .as_ref()
            .map(|said| *said == card.family || card.contributing.contains(said));
        let (typed, heard) = match said {
            Said::Typed(words) => {
                let words = self.chosen(words);
                let heard = hear(&words, card, self.board(), &self.setup.words);
                (words, Some(heard))
            }
            Said::Aloud => (String::new(), None),
        };
        let partly = heard.as_ref().is_some_and(|h| h.partly);
        let verdict = Verdict {
            circuit: circuit_right,
            fix: heard.as_ref().map(|h| h.right),
            unsafe_answer: heard.as_ref().is_some_and(|h| h.danger.is_some()),
        };
        let ms = Millis {
            circuit: self.circuit_ms,
            answer: ms,
            reveal: 0,
        };
        let median_ms = self.setup.pace.median_right();
        let proposed = propose(&verdict, partly, sure, ms.thinking(), median_ms);
        let boundary = said_circuit
            .as_ref()
            .filter(|said| **said != card.family)
            .and_then(|said| self.setup.circuits.tell_apart(&card.family, said));
        let draft = Answered {
            card: card.id.clone(),
            asked: card.asked_mark(),
            accepted: card.accepted_mark(),
            sitting: self.setup.id.clone(),
            mode: ask.mode,
            grade: proposed,
            proposed,
            ms,
            circuit: said_circuit.map(|said| (card.family.clone(), said)),
            typed,
            aloud: *said == Said::Aloud,
            sure,
            overruled: false,
            verdict,
            next_days: 0,
            options: self.options().len(),
        };
        let worth = heard.as_ref().map(|h| h.worth);
        let (judgement, hits, note, unjudged, danger) = heard
            .map(|h| (h.judgement, h.hits, h.note, h.unjudged, h.danger))
            .unwrap_or_default();
        self.stage = Stage::Verdict(Box::new(Shown {
            draft,
            judgement,
            hits,
            partly,
            worth,
            note,
            unjudged,
            danger,
            boundary,
            median_ms,
        }));
    }

    /// Turns the verdict on the fix round, as the person's own judgement; false if it may not be.
    ///
    /// An unsafe answer stays wrong. What was said aloud has no verdict of the program to overrule.
    pub fn overrule(&mut self) -> bool {
        let Stage::Verdict(shown) = &mut self.stage else {
            return false;
        };
        let draft = &mut shown.draft;
        if draft.verdict.unsafe_answer || draft.aloud {
            return false;
        }
        draft.verdict.fix = draft.verdict.fix.map(|fix| !fix);
        draft.overruled = !draft.overruled;
        draft.proposed = propose(
            &draft.verdict,
            shown.partly && !draft.overruled,
            draft.sure,
            draft.ms.thinking(),
            shown.median_ms,
        );
        draft.grade = draft.proposed;
        true
    }

    /// Moves the grade; false if it may not be moved (an unsafe answer is `missed`).
    pub fn set_grade(&mut self, grade: Grade) -> bool {
        let Stage::Verdict(shown) = &mut self.stage else {
            return false;
        };
        if shown.draft.verdict.unsafe_answer && grade != Grade::Missed {
            return false;
        }
        shown.draft.grade = grade;
        true
    }

    /// Returns the verdict being shown.
    pub fn shown(&self) -> Option<&Shown> {
        match &self.stage {
            Stage::Verdict(shown) => Some(shown),
            _ => None,
        }
    }

    /// Returns the record to write, with `reveal_ms` spent on the verdict.
    pub fn draft(&self, reveal_ms: u64) -> Option<Answered> {
        let mut draft = self.shown()?.draft.clone();
        draft.ms.reveal = reveal_ms;
        Some(draft)
    }

    /// Goes on after `answered` was written as event `id`.
    pub fn kept(&mut self, id: &str, answered: &Answered) {
        let Some(card) = self.course.ask.as_ref().map(|ask| ask.card) else {
            return;
        };
        let new = self.is_new();
        self.steps.remember(id, &self.course);
        let course = &mut self.course;
        course.spent_ms = course.spent_ms.saturating_add(answered.ms.total());
        course.times.push(answered.ms);
        course.tally.cards += 1;
        if !answered.grade.recalled() {
            course.tally.missed += 1;
            course.ask_again();
        }
        course.tally.new += usize::from(new);
        course.last = Some(card);
        self.advance();
    }

    /// Goes on after the card under way was tagged out by event `id`.
    pub fn tagged(&mut self, id: &str) {
        let Some(card) = self.course.ask.as_ref().map(|ask| ask.card) else {
            return;
        };
        self.steps.remember(id, &self.course);
        self.course.forget(card);
        self.advance();
    }

    /// Takes back an answer that is not kept yet; false if there is none.
    pub fn back_within_card(&mut self) -> bool {
        let within = self.answered_something();
        if within {
            self.begin_card();
        }
        within
    }

    /// Tells whether something was said to the card under way.
    fn answered_something(&self) -> bool {
        matches!(self.stage, Stage::Verdict(_)) || self.said_circuit.is_some()
    }

    /// Returns the event that an undo would take back.
    pub fn last_event(&self) -> Option<&str> {
        self.steps.last_event()
    }

    /// Goes back to before the last kept event, after its undo was written.
    pub fn undone(&mut self) {
        if let Some(course) = self.steps.back() {
            self.course = course;
            self.begin_card();
        }
    }

    /// Ends the sitting here.
    pub fn stop(&mut self) {
        self.course.queue.clear();
        self.course.again.clear();
        self.course.ask = None;
        self.begin_card();
    }

    /// Stands at the first question of the card under way.
    fn begin_card(&mut self) {
        self.said_circuit = None;
        self.circuit_ms = 0;
        self.turned = self.turn();
        self.stage = match self.card() {
            Some(card) if card.asks_circuit() => Stage::Circuit,
            Some(_) => Stage::Fix,
            None => Stage::Over,
        };
    }

    fn advance(&mut self) {
        let pace = self.setup.pace.seconds_with(&self.course.times);
        self.course
            .advance(self.setup.minutes, pace, &self.setup.cards);
        self.begin_card();
    }
}

/// Returns the grade the program proposes.
///
/// `partly`: more than half of the points needed were named. `median_ms` is the person's median time
/// to a right answer, absent while there are too few; then no rule looks at the time.
pub fn propose(
    verdict: &Verdict,
    partly: bool,
    sure: Sure,
    ms: u64,
    median_ms: Option<u64>,
) -> Grade {
    if verdict.unsafe_answer {
        return Grade::Missed;
    }
    if verdict.fix == Some(false) {
        return if partly { Grade::Hunted } else { Grade::Missed };
    }
    let slow = median_ms.is_some_and(|m| m.saturating_mul(2) < ms);
    if verdict.circuit == Some(false) || sure == Sure::Low || slow {
        return Grade::Hunted;
    }
    let quick = median_ms.is_none_or(|m| ms < m);
    if sure == Sure::High && quick {
        Grade::OnSight
    } else {
        Grade::Named
    }
}

#[cfg(test)]
#[path = "sitting_tests.rs"]
mod tests;
