//! One sitting of one person: asks, judges, proposes a grade, takes back.
//!
//! The engine behind all three faces (screen, plain lines, JSON Lines). It holds no files and no
//! clock: the caller says how long each step took, writes what [`Sitting::draft`] holds, and then
//! tells the engine that it was kept.

use std::collections::VecDeque;

use crate::domain::card::Card;
use crate::domain::circuit::Circuits;
use crate::domain::history::Pace;
use crate::domain::job::Board;
use crate::domain::judge::keypoints::Judgement;
use crate::domain::judge::keypoints::judge;
use crate::domain::judge::words::Synonyms;
use crate::domain::queue::Ask;
use crate::domain::review::Answered;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::Verdict;
use crate::domain::units::count;

/// Where the sitting stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Stage {
    /// Waits for the circuit.
    Circuit,
    /// Waits for the fix.
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
    /// Key-point verdict on the typed fix; none when said aloud.
    pub judgement: Option<Judgement>,
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

/// Something that can be taken back.
#[derive(Clone, Debug, PartialEq)]
struct Step {
    event: String,
    queue: VecDeque<Ask>,
    again: VecDeque<Ask>,
    ask: Ask,
    spent_ms: u64,
    tally: Tally,
    times: Vec<Millis>,
    last: Option<usize>,
}

/// Counts of a sitting.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Cards answered.
    pub cards: usize,
    /// Of them missed.
    pub missed: usize,
    /// Cards met for the first time.
    pub new: usize,
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
    /// Ids of cards met before this sitting.
    pub met: std::collections::BTreeSet<String>,
    /// Ids of cards whose answers changed since the person last saw them.
    pub corrected: std::collections::BTreeSet<String>,
}

/// One sitting.
#[derive(Clone, Debug)]
pub struct Sitting {
    setup: Setup,
    queue: VecDeque<Ask>,
    again: VecDeque<Ask>,
    ask: Option<Ask>,
    stage: Stage,
    circuit_ms: u64,
    said_circuit: Option<String>,
    spent_ms: u64,
    tally: Tally,
    times: Vec<Millis>,
    steps: Vec<Step>,
    last: Option<usize>,
}

impl Sitting {
    /// Starts a sitting at its first card.
    pub fn new(setup: Setup) -> Self {
        let mut sitting = Self {
            queue: setup.asks.iter().cloned().collect(),
            again: VecDeque::new(),
            ask: None,
            stage: Stage::Over,
            circuit_ms: 0,
            said_circuit: None,
            spent_ms: 0,
            tally: Tally::default(),
            times: Vec::new(),
            steps: Vec::new(),
            last: None,
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

    /// Returns the card being asked.
    pub fn card(&self) -> Option<&Card> {
        self.ask.as_ref().map(|ask| &self.setup.cards[ask.card])
    }

    /// Returns the ask under way.
    pub fn ask(&self) -> Option<&Ask> {
        self.ask.as_ref()
    }

    /// Tells whether the person had not met the card under way before this sitting.
    pub fn is_new(&self) -> bool {
        self.card().is_some_and(|c| !self.setup.met.contains(&c.id))
            && self.ask.as_ref().is_some_and(|a| !a.again)
    }

    /// Tells whether what the card under way accepts has changed since the person last saw it.
    pub fn is_corrected(&self) -> bool {
        self.card()
            .is_some_and(|c| self.setup.corrected.contains(&c.id))
            && self.ask.as_ref().is_some_and(|a| !a.again)
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

    /// Returns the families.
    pub fn circuits(&self) -> &Circuits {
        &self.setup.circuits
    }

    /// Returns the counts so far.
    pub fn tally(&self) -> &Tally {
        &self.tally
    }

    /// Returns the minutes spent.
    pub fn minutes_spent(&self) -> f64 {
        minutes(self.spent_ms)
    }

    /// Returns the minutes left of the budget.
    pub fn minutes_left(&self) -> f64 {
        (self.setup.minutes - self.minutes_spent()).max(0.0)
    }

    /// Tells whether something of this sitting can be taken back.
    pub fn can_undo(&self) -> bool {
        !self.steps.is_empty() || self.said_circuit.is_some()
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

    /// Takes the circuit said, after `ms`; an empty word means "I don't know".
    pub fn say_circuit(&mut self, family: &str, ms: u64) {
        if self.stage == Stage::Circuit {
            self.said_circuit = Some(family.to_owned());
            self.circuit_ms = ms;
            self.stage = Stage::Fix;
        }
    }

    /// Takes the fix said, judges it and proposes a grade.
    pub fn say_fix(&mut self, said: &Said, sure: Sure, ms: u64) {
        let (Stage::Fix, Some(ask), Some(said_circuit)) =
            (&self.stage, self.ask.clone(), self.said_circuit.clone())
        else {
            return;
        };
        let card = &self.setup.cards[ask.card];
        let circuit_right =
            said_circuit == card.family || card.contributing.contains(&said_circuit);
        let (typed, aloud) = match said {
            Said::Typed(words) => (words.clone(), false),
            Said::Aloud => (String::new(), true),
        };
        let judgement = (!aloud).then(|| judge(&typed, card, self.board(), &self.setup.words));
        let unsafe_answer = judgement
            .as_ref()
            .is_some_and(|j| j.unsafe_answer.is_some());
        let verdict = Verdict {
            circuit: Some(circuit_right),
            fix: judgement.as_ref().map(|j| !unsafe_answer && j.fix),
            unsafe_answer,
        };
        let ms = Millis {
            circuit: self.circuit_ms,
            answer: ms,
            reveal: 0,
        };
        let median_ms = self.setup.pace.median_right();
        let proposed = propose(&verdict, sure, ms.thinking(), median_ms);
        let boundary = (said_circuit != card.family)
            .then(|| self.setup.circuits.tell_apart(&card.family, &said_circuit))
            .flatten();
        let draft = Answered {
            card: card.id.clone(),
            asked: card.asked_mark(),
            accepted: card.accepted_mark(),
            sitting: self.setup.id.clone(),
            mode: ask.mode,
            grade: proposed,
            proposed,
            ms,
            circuit: Some((card.family.clone(), said_circuit)),
            typed,
            aloud,
            sure,
            overruled: false,
            verdict,
            next_days: 0,
        };
        self.stage = Stage::Verdict(Box::new(Shown {
            draft,
            judgement,
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
        let Some(ask) = self.ask.clone() else {
            return;
        };
        self.remember(id, &ask);
        self.spent_ms = self.spent_ms.saturating_add(answered.ms.total());
        self.times.push(answered.ms);
        self.tally.cards += 1;
        if !answered.grade.recalled() {
            self.tally.missed += 1;
            if !ask.again {
                let mode = if ask.mode == Mode::Brief {
                    Mode::Brief
                } else {
                    Mode::Drill
                };
                self.again.push_back(Ask {
                    card: ask.card,
                    mode,
                    opens_family: false,
                    again: true,
                });
            }
        }
        if self.is_new() {
            self.tally.new += 1;
        }
        self.last = Some(ask.card);
        self.advance();
    }

    /// Goes on after the card under way was tagged out by event `id`.
    pub fn tagged(&mut self, id: &str) {
        let Some(ask) = self.ask.clone() else {
            return;
        };
        self.remember(id, &ask);
        self.queue.retain(|a| a.card != ask.card);
        self.again.retain(|a| a.card != ask.card);
        self.advance();
    }

    /// Takes back an answer that is not kept yet; false if there is none.
    pub fn back_within_card(&mut self) -> bool {
        let within = matches!(self.stage, Stage::Fix | Stage::Verdict(_));
        if within {
            self.begin_card();
        }
        within
    }

    /// Returns the event that an undo would take back.
    pub fn last_event(&self) -> Option<&str> {
        self.steps.last().map(|step| step.event.as_str())
    }

    /// Goes back to before the last kept event, after its undo was written.
    pub fn undone(&mut self) {
        if let Some(step) = self.steps.pop() {
            self.queue = step.queue;
            self.again = step.again;
            self.ask = Some(step.ask);
            self.spent_ms = step.spent_ms;
            self.tally = step.tally;
            self.times = step.times;
            self.last = step.last;
            self.begin_card();
        }
    }

    /// Ends the sitting here.
    pub fn stop(&mut self) {
        self.queue.clear();
        self.again.clear();
        self.ask = None;
        self.stage = Stage::Over;
    }

    fn remember(&mut self, event: &str, ask: &Ask) {
        self.steps.push(Step {
            event: event.to_owned(),
            queue: self.queue.clone(),
            again: self.again.clone(),
            ask: ask.clone(),
            spent_ms: self.spent_ms,
            tally: self.tally.clone(),
            times: self.times.clone(),
            last: self.last,
        });
    }

    fn begin_card(&mut self) {
        self.said_circuit = None;
        self.circuit_ms = 0;
        self.stage = if self.ask.is_some() {
            Stage::Circuit
        } else {
            Stage::Over
        };
    }

    /// Chooses the next card: missed ones come back once the time left is what they need, or one card
    /// before the end.
    fn advance(&mut self) {
        let pace = self.setup.pace.seconds_with(&self.times);
        let left = self.setup.minutes * 60.0 - minutes(self.spent_ms) * 60.0;
        let started = self.tally.cards > 0;
        let room = left - count(self.again.len()) * pace;
        let main_fits = !started || pace <= room;
        let near_end = self.queue.len() <= 1 || !main_fits;
        self.ask = None;
        if near_end && 0.0 < left {
            self.ask = self.take_again();
        }
        if self.ask.is_none() && main_fits {
            self.ask = self.queue.pop_front();
        }
        if self.ask.is_none() && 0.0 < left {
            self.ask = self.again.pop_front();
        }
        self.begin_card();
    }

    /// Takes a missed card whose fix differs from the one just asked.
    fn take_again(&mut self) -> Option<Ask> {
        let last = self.last.map(|i| self.setup.cards[i].fix_key());
        let at = self
            .again
            .iter()
            .position(|a| Some(self.setup.cards[a.card].fix_key()) != last)?;
        self.again.remove(at)
    }
}

fn minutes(ms: u64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "milliseconds of one sitting")]
    let ms = ms as f64;
    ms / 60_000.0
}

/// Returns the grade the program proposes.
///
/// `median_ms` is the person's median time to a right answer, absent while there are too few; then no
/// rule looks at the time.
pub fn propose(verdict: &Verdict, sure: Sure, ms: u64, median_ms: Option<u64>) -> Grade {
    if verdict.unsafe_answer || verdict.fix == Some(false) {
        return Grade::Missed;
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
mod tests {
    use super::*;
    use crate::domain::samples;
    use std::collections::BTreeMap;
    use std::collections::BTreeSet;

    /// A sitting over cards of three parts, two of them of one family.
    fn sitting(minutes: f64) -> Sitting {
        let cards = vec![
            samples::card("a", "standby", "U31"),
            samples::card("b", "buck", "U14"),
            samples::card("c", "standby", "U9"),
        ];
        let asks = (0..3)
            .map(|card| Ask {
                card,
                mode: Mode::Drill,
                opens_family: false,
                again: false,
            })
            .collect();
        Sitting::new(Setup {
            id: "b7-mk-1".to_owned(),
            cards,
            boards: Vec::new(),
            circuits: Circuits::with_shop(&[], false),
            words: Synonyms::with_shop(&BTreeMap::new()),
            asks,
            minutes,
            pace: Pace::default(),
            met: BTreeSet::new(),
            corrected: BTreeSet::new(),
        })
    }

    fn answer(sitting: &mut Sitting, circuit: &str, typed: &str, ms: u64) -> Answered {
        sitting.say_circuit(circuit, ms / 2);
        sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::High, ms / 2);
        let draft = sitting.draft(0).expect("a verdict is shown");
        let id = format!("mk-b7-{}", sitting.tally().cards + 1);
        sitting.kept(&id, &draft);
        draft
    }

    #[test]
    fn grades_follow_circuit_fix_sureness_and_time() {
        let right = Verdict {
            circuit: Some(true),
            fix: Some(true),
            unsafe_answer: false,
        };
        let lost = Verdict {
            circuit: Some(false),
            ..right
        };
        let wrong = Verdict {
            fix: Some(false),
            ..right
        };
        let unsafe_answer = Verdict {
            unsafe_answer: true,
            ..right
        };
        for (verdict, sure, ms, median, grade) in [
            (right, Sure::High, 4000, Some(5000), Grade::OnSight),
            (right, Sure::High, 5000, Some(5000), Grade::Named),
            (right, Sure::Fair, 4000, Some(5000), Grade::Named),
            (right, Sure::Low, 4000, Some(5000), Grade::Hunted),
            (right, Sure::High, 10_001, Some(5000), Grade::Hunted),
            (right, Sure::High, 10_000, Some(5000), Grade::Named),
            (lost, Sure::High, 4000, Some(5000), Grade::Hunted),
            (wrong, Sure::High, 4000, Some(5000), Grade::Missed),
            (unsafe_answer, Sure::High, 4000, Some(5000), Grade::Missed),
            (right, Sure::High, 900_000, None, Grade::OnSight),
            (right, Sure::Fair, 900_000, None, Grade::Named),
        ] {
            assert_eq!(
                propose(&verdict, sure, ms, median),
                grade,
                "{verdict:?} {sure:?} {ms}"
            );
        }
    }

    #[test]
    fn a_missed_card_comes_back_once_near_the_end() {
        let mut sitting = sitting(15.0);
        assert_eq!(
            answer(&mut sitting, "standby", "replace U13", 8000).grade,
            Grade::Missed
        );
        let mut asked = Vec::new();
        while let Some(card) = sitting.card().cloned() {
            asked.push((card.id.clone(), sitting.ask().expect("an ask").again));
            let part = card.answers[0].steps[0].part.clone();
            let typed = if card.id == "a" {
                "U99".to_owned()
            } else {
                format!("replace {part}")
            };
            answer(&mut sitting, &card.family, &typed, 8000);
        }
        let expected = [("b", false), ("a", true), ("c", false)];
        assert_eq!(asked, expected.map(|(id, again)| (id.to_owned(), again)));
    }

    #[test]
    fn a_sitting_ends_when_its_minutes_are_out() {
        let mut sitting = sitting(1.0);
        answer(&mut sitting, "standby", "replace U31", 58_000);
        assert_eq!(*sitting.stage(), Stage::Over);
        assert_eq!(sitting.tally().cards, 1);
    }

    #[test]
    fn a_contributing_circuit_counts_as_right() {
        let mut sitting = sitting(15.0);
        sitting.setup.cards[0]
            .contributing
            .push("interconnect".to_owned());
        let draft = answer(&mut sitting, "interconnect", "replace U31", 8000);
        assert_eq!(draft.verdict.circuit, Some(true));
        assert_eq!(
            draft.circuit,
            Some(("standby".to_owned(), "interconnect".to_owned()))
        );
    }

    #[test]
    fn an_unsafe_answer_stays_missed_whatever_is_tried() {
        let mut sitting = sitting(15.0);
        sitting.say_circuit("standby", 1000);
        let typed = Said::Typed("replace U31 and bridge the fuse".to_owned());
        sitting.say_fix(&typed, Sure::High, 1000);
        assert!(!sitting.overrule());
        assert!(!sitting.set_grade(Grade::Named));
        let draft = sitting.draft(0).expect("a verdict");
        assert!(draft.verdict.unsafe_answer);
        assert_eq!(
            (draft.grade, draft.verdict.fix),
            (Grade::Missed, Some(false))
        );
    }

    #[test]
    fn a_person_may_overrule_a_verdict_and_that_is_recorded() {
        let mut sitting = sitting(15.0);
        sitting.say_circuit("standby", 1000);
        sitting.say_fix(
            &Said::Typed("the chip in the corner".to_owned()),
            Sure::Fair,
            1000,
        );
        assert_eq!(sitting.draft(0).expect("a verdict").grade, Grade::Missed);
        assert!(sitting.overrule());
        let draft = sitting.draft(0).expect("a verdict");
        assert_eq!((draft.grade, draft.overruled), (Grade::Named, true));
    }

    #[test]
    fn said_aloud_the_person_judges_the_fix_and_the_program_the_circuit() {
        let mut sitting = sitting(15.0);
        sitting.say_circuit("buck", 1000);
        sitting.say_fix(&Said::Aloud, Sure::High, 1000);
        let shown = sitting.shown().expect("a verdict").clone();
        assert_eq!(shown.draft.verdict.circuit, Some(false));
        assert_eq!(shown.draft.proposed, Grade::Hunted);
        assert!(shown.boundary.is_some(), "standby against buck has a rule");
        assert!(sitting.set_grade(Grade::Missed));
        let draft = sitting.draft(0).expect("a verdict");
        assert!(draft.aloud);
        assert_eq!(draft.verdict.fix, None, "the program judged nothing");
    }

    #[test]
    fn circuits_without_a_rule_of_their_own_are_told_apart_by_their_signs() {
        for (said, signs) in [
            ("sensing", &["standby:", "sensing:"][..]),
            ("", &["standby:"]),
        ] {
            let mut sitting = sitting(15.0);
            sitting.say_circuit(said, 1000);
            sitting.say_fix(&Said::Aloud, Sure::High, 1000);
            let shown = sitting.shown().expect("a verdict");
            let boundary = shown.boundary.as_deref().unwrap_or_default();
            assert!(signs.iter().all(|s| boundary.contains(s)), "{boundary}");
        }
    }

    #[test]
    fn undo_goes_back_step_by_step_to_the_start() {
        let mut sitting = sitting(15.0);
        let start = sitting.card().cloned();
        answer(&mut sitting, "standby", "replace U13", 8000);
        answer(&mut sitting, "buck", "replace U14", 8000);
        assert_eq!(sitting.last_event(), Some("mk-b7-2"));
        sitting.undone();
        assert_eq!(sitting.card().map(|c| c.id.as_str()), Some("b"));
        assert_eq!(sitting.tally().missed, 1);
        sitting.undone();
        assert_eq!(sitting.card().cloned(), start);
        assert_eq!(*sitting.tally(), Tally::default());
        assert_eq!(sitting.last_event(), None);
        assert!(!sitting.can_undo());
    }

    #[test]
    fn a_tagged_card_does_not_come_back() {
        let mut sitting = sitting(15.0);
        answer(&mut sitting, "standby", "replace U13", 8000);
        sitting.tagged("mk-b7-2");
        let asked = |sitting: &Sitting| sitting.card().map(|c| c.id.clone());
        assert_eq!(
            asked(&sitting).as_deref(),
            Some("c"),
            "b is gone, a was asked just now"
        );
        answer(&mut sitting, "standby", "replace U9", 8000);
        assert_eq!(
            asked(&sitting).as_deref(),
            Some("a"),
            "missed, so asked again"
        );
        sitting.tagged("mk-b7-4");
        assert_eq!(*sitting.stage(), Stage::Over);
    }
}
