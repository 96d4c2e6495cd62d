//! One sitting of one person: asks, judges, proposes a grade, takes back.
//!
//! The engine behind all three faces (screen, plain lines, JSON Lines). It holds no files and no
//! clock: the caller says how long each step took, writes what [`Sitting::draft`] holds, and then
//! tells the engine that it was kept.

use crate::domain::card::Card;
use crate::domain::circuit::Circuits;
use crate::domain::history::Pace;
use crate::domain::job::Board;
use crate::domain::judge::keypoints::Judgement;
use crate::domain::judge::keypoints::judge;
use crate::domain::judge::points::judge_points;
use crate::domain::judge::unsafe_acts::UnsafeAct;
use crate::domain::judge::words::Synonyms;
use crate::domain::queue::Ask;
use crate::domain::review::Answered;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Sure;
use crate::domain::review::Verdict;
use crate::domain::sitting_steps::Course;
use crate::domain::sitting_steps::Steps;
use crate::domain::sitting_steps::Tally;

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
    /// Which of the card's points a typed answer named; empty where no points were judged.
    pub hits: Vec<bool>,
    /// More than half of the needed points were named.
    pub partly: bool,
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
    /// Ids of cards met before this sitting.
    pub met: std::collections::BTreeSet<String>,
    /// Ids of cards whose answers changed since the person last saw them.
    pub corrected: std::collections::BTreeSet<String>,
}

/// One sitting.
#[derive(Clone, Debug)]
pub struct Sitting {
    setup: Setup,
    course: Course,
    steps: Steps,
    stage: Stage,
    circuit_ms: u64,
    said_circuit: Option<String>,
}

/// What the program made of an answer.
#[derive(Default)]
struct Heard {
    right: Option<bool>,
    partly: bool,
    hits: Vec<bool>,
    judgement: Option<Judgement>,
    danger: Option<UnsafeAct>,
}

impl Sitting {
    /// Starts a sitting at its first card.
    pub fn new(setup: Setup) -> Self {
        let mut sitting = Self {
            course: Course::new(&setup.asks),
            steps: Steps::default(),
            stage: Stage::Over,
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

    /// Returns the card being asked.
    pub fn card(&self) -> Option<&Card> {
        self.course
            .ask
            .as_ref()
            .map(|ask| &self.setup.cards[ask.card])
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
        self.card()
            .is_some_and(|c| self.setup.corrected.contains(&c.id))
            && self.course.ask.as_ref().is_some_and(|a| !a.again)
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
            Said::Typed(words) => (words.clone(), self.hear(words, card)),
            Said::Aloud => (String::new(), Heard::default()),
        };
        let verdict = Verdict {
            circuit: circuit_right,
            fix: heard.right,
            unsafe_answer: heard.danger.is_some(),
        };
        let ms = Millis {
            circuit: self.circuit_ms,
            answer: ms,
            reveal: 0,
        };
        let median_ms = self.setup.pace.median_right();
        let proposed = propose(&verdict, heard.partly, sure, ms.thinking(), median_ms);
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
        };
        self.stage = Stage::Verdict(Box::new(Shown {
            draft,
            judgement: heard.judgement,
            hits: heard.hits,
            partly: heard.partly,
            danger: heard.danger,
            boundary,
            median_ms,
        }));
    }

    /// Judges typed words: by the card's points where it has any, else as a repair.
    fn hear(&self, typed: &str, card: &Card) -> Heard {
        if card.points.is_empty() {
            let judgement = judge(typed, card, self.board(), &self.setup.words);
            let danger = judgement.unsafe_answer.clone();
            return Heard {
                right: Some(danger.is_none() && judgement.fix),
                danger,
                judgement: Some(judgement),
                ..Heard::default()
            };
        }
        let verdict = judge_points(typed, &card.points, self.board(), &self.setup.words);
        let danger = verdict.unsafe_answer;
        Heard {
            right: Some(danger.is_none() && verdict.right),
            partly: danger.is_none() && verdict.partly,
            hits: verdict.hits,
            danger,
            judgement: None,
        }
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
        self.stage = match self.card() {
            Some(card) if card.kind.asks_circuit() => Stage::Circuit,
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
mod tests {
    use super::*;
    use crate::domain::queue::Ask;
    use crate::domain::review::Mode;
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
        of(cards, minutes)
    }

    fn of(cards: Vec<Card>, minutes: f64) -> Sitting {
        let asks = (0..cards.len())
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
                propose(&verdict, false, sure, ms, median),
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

    /// A sitting that begins with a bench rule, then asks about a fix.
    fn with_a_rule() -> Sitting {
        let cards = vec![samples::rule("r"), samples::card("b", "buck", "U14")];
        of(cards, 15.0)
    }

    #[test]
    fn a_rule_is_asked_without_a_circuit_and_graded_by_its_points() {
        for (typed, sure, fix, grade) in [
            (
                "cell out, photos, microscope",
                Sure::High,
                true,
                Grade::OnSight,
            ),
            (
                "cell out, photos, microscope",
                Sure::Fair,
                true,
                Grade::Named,
            ),
            (
                "photos, then the microscope",
                Sure::High,
                false,
                Grade::Hunted,
            ),
            ("photos", Sure::High, false, Grade::Missed),
        ] {
            let mut sitting = with_a_rule();
            assert_eq!(*sitting.stage(), Stage::Fix);
            sitting.say_circuit("buck", 1000);
            assert_eq!(sitting.said_circuit(), None, "nobody asked");
            sitting.say_fix(&Said::Typed(typed.to_owned()), sure, 4000);
            let draft = sitting.draft(0).expect("a verdict");
            assert_eq!((draft.circuit, draft.verdict.circuit), (None, None));
            assert_eq!(
                (draft.verdict.fix, draft.proposed),
                (Some(fix), grade),
                "{typed}"
            );
        }
    }

    #[test]
    fn the_points_named_are_shown() {
        let mut sitting = with_a_rule();
        sitting.say_fix(&Said::Typed("pictures of it".to_owned()), Sure::Fair, 4000);
        let shown = sitting.shown().expect("a verdict");
        assert_eq!(shown.hits, [false, true, false]);
        assert!(shown.judgement.is_none(), "no repair was judged");
        let mut sitting = with_a_rule();
        sitting.say_fix(&Said::Aloud, Sure::Fair, 4000);
        let shown = sitting.shown().expect("a verdict");
        assert_eq!((shown.draft.verdict.fix, shown.hits.len()), (None, 0));
    }

    #[test]
    fn an_unsafe_answer_in_words_is_missed_and_stays_so() {
        let mut sitting = with_a_rule();
        let typed = "cell out, photos, microscope, then bridge the fuse";
        sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::High, 4000);
        assert_eq!(sitting.draft(0).expect("a verdict").proposed, Grade::Missed);
        assert!(sitting.shown().expect("a verdict").danger.is_some());
        assert!(!sitting.overrule());
        assert!(!sitting.set_grade(Grade::Hunted));
    }

    #[test]
    fn overruling_half_an_answer_makes_it_right_and_back_again() {
        let mut sitting = with_a_rule();
        let typed = Said::Typed("photos, then the microscope".to_owned());
        sitting.say_fix(&typed, Sure::Fair, 4000);
        assert!(sitting.overrule());
        assert_eq!(sitting.draft(0).expect("a verdict").grade, Grade::Named);
        assert!(sitting.overrule());
        assert_eq!(sitting.draft(0).expect("a verdict").grade, Grade::Hunted);
    }

    #[test]
    fn undo_steps_back_through_a_card_without_a_circuit() {
        let mut sitting = with_a_rule();
        assert!(!sitting.back_within_card(), "nothing was said yet");
        assert!(!sitting.can_undo());
        sitting.say_fix(&Said::Aloud, Sure::Fair, 4000);
        assert!(sitting.can_undo());
        assert!(sitting.back_within_card());
        assert_eq!(*sitting.stage(), Stage::Fix);
        assert!(!sitting.back_within_card(), "back at its only question");
        sitting.say_fix(&Said::Aloud, Sure::Fair, 4000);
        let draft = sitting.draft(0).expect("a verdict");
        sitting.kept("mk-b7-1", &draft);
        assert_eq!(*sitting.stage(), Stage::Circuit, "the fix asks for one");
        assert!(!sitting.back_within_card());
        sitting.undone();
        assert_eq!(*sitting.stage(), Stage::Fix);
        assert_eq!(sitting.card().map(|c| c.id.as_str()), Some("r"));
    }
}
