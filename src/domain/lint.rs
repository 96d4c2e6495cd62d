//! What is wrong with a card that a person edited in its file.
//!
//! The reader of a deck says what is no card at all; here stands what reads well and is not right: a
//! share that does not add up, an answer that the front gives away, an act that hurts someone. Whether
//! the answer is true of the board is for the lead to say.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Share;
use crate::domain::caution;
use crate::domain::circuit::Circuits;
use crate::domain::desk::answers;
use crate::domain::desk::whole;
use crate::domain::generate::fronts::leak;
use crate::domain::job::ACTS;
use crate::domain::job::Board;
use crate::domain::job::UNLOCATED;
use crate::domain::judge::compare::points::judge_points;
use crate::domain::judge::danger::unsafe_acts::unsafe_in_text;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::lint_bounds;
use crate::domain::wording;

/// The most characters of an id; those that a build makes have 16.
const ID_CHARS: usize = 64;
/// How far a written limit may lie from the one that its counts give.
const SLACK: f64 = 1e-6;

/// One thing wrong with a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lint {
    /// Which field, as it is called in the file.
    pub field: &'static str,
    /// What is wrong.
    pub why: String,
    /// What to do.
    pub todo: &'static str,
}

/// What a card is held against.
#[derive(Clone, Copy, Debug)]
pub struct Known<'a> {
    /// Boards of the shop, or those that came with the file.
    pub boards: &'a [Board],
    /// Circuit families of the shop.
    pub circuits: &'a Circuits,
    /// Words of the trade and of the shop.
    pub words: &'a Synonyms,
}

/// Returns everything wrong with `card`; empty for one that may be drilled.
pub fn lint(card: &Card, known: &Known<'_>) -> Vec<Lint> {
    let board = known.boards.iter().find(|b| b.id == card.board);
    let mut found = Found(Vec::new());
    found.names(card, known, board);
    found.evidence(card);
    found.answers(card, known, board);
    found.question(card, known, board);
    found.0.extend(lint_bounds::bounds(card));
    found.0
}

struct Found(Vec<Lint>);

impl Found {
    fn add(&mut self, field: &'static str, why: impl Into<String>, todo: &'static str) {
        let why = why.into();
        self.0.push(Lint { field, why, todo });
    }

    /// Boards, circuits, hazards and revisions that nobody here knows.
    fn names(&mut self, card: &Card, known: &Known<'_>, board: Option<&Board>) {
        let id = card.id.as_str();
        let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
        if id.chars().any(|c| c.is_whitespace() || c.is_control()) {
            self.add("id", "the id holds blanks", "write it without blanks");
        } else if ID_CHARS < id.len() || !id.chars().all(plain) {
            let why = "the id is more than letters, digits, - and _, or too long";
            self.add("id", why, "keep the id that the build gave the card");
        }
        if board.is_none() && !card.board.is_empty() {
            let why = format!("no board is called {:?}", card.board);
            self.add("board", why, "use the id that shop.json gives the board");
        }
        // A rule may be of any circuit, and a job may end before its circuit is found.
        let of_any_circuit = match card.kind {
            CardKind::Rule => card.family.is_empty(),
            CardKind::Stop => card.family == UNLOCATED,
            _ => false,
        };
        let families = [("family", std::slice::from_ref(&card.family))];
        let families = families.into_iter().filter(|_| !of_any_circuit);
        let both = families.chain([("contributing", card.contributing.as_slice())]);
        for (field, ids) in both {
            // A stop card of jobs that were never located has no circuit to name.
            let none = |id: &&String| card.kind == CardKind::Stop && id.as_str() == UNLOCATED;
            let unknown = |id: &&String| known.circuits.get(id).is_none() && !none(id);
            for id in ids.iter().filter(unknown) {
                let why = format!("no circuit family is called {id:?}");
                self.add(field, why, "`families` lists them");
            }
        }
        for id in card
            .cautions
            .iter()
            .filter(|id| caution::caution(id).is_none())
        {
            let all: Vec<&str> = caution::CAUTIONS.iter().map(|c| c.id).collect();
            let why = format!(
                "no hazard is called {id:?}, so its caution cannot be shown; there are {}",
                all.join(", ")
            );
            self.add("cautions", why, "use one of those");
        }
        if let Some(id) = board.and_then(|b| caution::missing(&card.cautions, &b.safety)) {
            let why = format!("the board's hazard {id:?} has no caution on the card");
            self.add("cautions", why, "write it in; cautions are only added");
        }
        if let Some(board) = board.filter(|b| !b.revisions.is_empty()) {
            for rev in card.revs.iter().filter(|r| !board.revisions.contains(r)) {
                let why = format!("the board has no revision {rev:?}");
                self.add("revs", why, "write the revision as shop.json has it");
            }
        }
    }

    /// Counts that cannot be.
    fn evidence(&mut self, card: &Card) {
        let share = &card.share;
        if share.n < share.k {
            let why = format!("{} of {} jobs cannot be", share.k, share.n);
            self.add("share", why, "k is at most n");
        }
        if share.k < share.proved {
            let why = format!("{} of {} cannot be proved", share.proved, share.k);
            self.add("share", why, "proved is at most k");
        }
        let counted = Share::counted(share.k.min(share.n), share.n, share.proved);
        let off = |a: f64, b: f64| a.is_nan() || b.is_nan() || SLACK < (a - b).abs();
        if share.k <= share.n && (off(share.low, counted.low) || off(share.high, counted.high)) {
            let why = format!(
                "the limits {} to {} are not those of {} of {}, {:.4} to {:.4}",
                share.low, share.high, share.k, share.n, counted.low, counted.high
            );
            self.add(
                "share",
                why,
                "a card's counts come from its jobs; change those",
            );
        }
    }

    fn answers(&mut self, card: &Card, known: &Known<'_>, board: Option<&Board>) {
        let needs = matches!(card.kind, CardKind::Fix | CardKind::Caution);
        if needs && card.answers.is_empty() {
            self.add(
                "answers",
                "there is no answer",
                "write what is done to which part",
            );
        }
        let sides = card.sides.iter().map(|s| ("sides", &s.answer));
        let own = card.answers.iter().map(|a| ("answers", a));
        for (field, answer) in own.chain(sides) {
            self.answer(field, answer, known, board);
        }
        self.words(card, known, board);
        self.wordings(card, known, board);
        let asked = matches!(
            card.kind,
            CardKind::Rule | CardKind::Stop | CardKind::Expect
        );
        if asked && card.points.is_empty() {
            self.add(
                "points",
                "nothing says what a right answer is",
                "write the points",
            );
        }
        if asked && card.stem.trim().is_empty() {
            self.add("stem", "there is no question", "write the question");
        }
        if card.kind == CardKind::Rule && card.source.trim().is_empty() {
            self.add(
                "source",
                "nothing says where the rule comes from",
                "name the standard, or write `common practice`",
            );
        }
        if card.kind == CardKind::Contrast && card.sides.len() != 2 {
            self.add(
                "sides",
                "two look-alikes are needed",
                "build the deck again",
            );
        }
        if card.kind == CardKind::Next && card.board.is_empty() != card.tests.is_empty() {
            self.add(
                "tests",
                "nothing says what could be measured",
                "build the deck again",
            );
        }
    }

    /// Whole answers in other words.
    fn wordings(&mut self, card: &Card, known: &Known<'_>, board: Option<&Board>) {
        for wording in &card.also {
            if card.asks_a_repair() {
                let todo = "other wordings of a repair stand at its answer";
                self.add("also", format!("{wording:?} is of no answer"), todo);
            } else if let Some((why, todo)) = whole::wrong(wording, card, board, known.words) {
                self.add("also", format!("{wording:?}: {why}"), todo);
            }
        }
    }

    /// What stands on a back as right or as likely, in words.
    fn words(&mut self, card: &Card, known: &Known<'_>, board: Option<&Board>) {
        let points = card.points.iter().map(|point| ("points", &point.say));
        let suspects = card.suspects.iter().map(|s| ("suspects", &s.what));
        let tests = card.tests.iter().map(|test| ("tests", &test.say));
        for (field, text) in points.chain(suspects).chain(tests) {
            if let Some(act) = unsafe_in_text(text, board, known.words) {
                let why = format!("{text:?} would hurt someone: {}", act.what);
                self.add(field, why, "an unsafe act is never an answer");
            }
        }
    }

    fn answer(
        &mut self,
        field: &'static str,
        answer: &Answer,
        known: &Known<'_>,
        board: Option<&Board>,
    ) {
        if answer.steps.is_empty() {
            self.add(
                field,
                "an answer without a step",
                "write what is done to which part",
            );
        }
        for step in &answer.steps {
            if !ACTS.contains(&step.act.as_str()) {
                let why = format!("no act is called {:?}", step.act);
                self.add(field, why, "use an act of the job records");
            }
            if step.part.trim().is_empty() && step.act != "clean" {
                let why = format!("{} what?", wording::act_verb(&step.act));
                self.add(field, why, "give the designator or the function");
            }
        }
        for wording in &answer.also {
            if let Some(other) = answers::other_part(wording, answer) {
                let why = format!("{wording:?} names {other}, another part than the answer's");
                self.add(field, why, "another fix is an answer of its own");
            }
        }
        let said = std::iter::once(wording::answer_text(answer)).chain(answer.also.clone());
        for text in said {
            if let Some(act) = unsafe_in_text(&text, board, known.words) {
                let why = format!("{text:?} would hurt someone: {}", act.what);
                self.add(field, why, "an unsafe act is never an answer");
            }
        }
    }

    /// A question that answers itself.
    fn question(&mut self, card: &Card, known: &Known<'_>, board: Option<&Board>) {
        let todo = "what gives the answer away goes into held_back";
        let told = match card.kind {
            CardKind::Fix => leak::leak(card, board),
            CardKind::Contrast if !card.given => leak::leak_of_sides(card, board),
            _ => None,
        };
        if let Some(what) = told {
            self.add(
                "front",
                format!("the front gives the answer away: {what}"),
                todo,
            );
        }
        let named = match card.kind {
            CardKind::Fix => leak::leak_of_text(&card.stem, card, board),
            CardKind::Contrast if !card.given => leak::leak_of_text(&card.stem, card, board),
            _ => None,
        };
        if let Some(what) = named {
            self.add(
                "stem",
                format!("the question gives the answer away: {what}"),
                "ask without the words of the answer",
            );
        }
        // A stop card asks "go on or call it", and its answer is one of the two.
        let open = matches!(card.kind, CardKind::Rule | CardKind::Expect);
        if open && !card.points.is_empty() && !card.stem.is_empty() {
            let verdict = judge_points(&card.stem, &card.points, board, known.words);
            if verdict.right {
                self.add(
                    "stem",
                    "the question answers itself",
                    "ask without the words of the answer",
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::KeyPoint;
    use crate::domain::card::Suspect;
    use crate::domain::generate::sample;

    fn fields(card: &Card) -> Vec<&'static str> {
        let boards = [sample::board()];
        let circuits = Circuits::with_shop(&[], false);
        let known = Known {
            boards: &boards,
            circuits: &circuits,
            words: &Synonyms::default(),
        };
        lint(card, &known).into_iter().map(|l| l.field).collect()
    }

    #[test]
    fn a_built_card_is_right() {
        assert_eq!(fields(&sample::card_for_u31()), [""; 0]);
    }

    #[test]
    fn each_fault_is_named_by_its_field() {
        type Spoil = fn(&mut Card);
        let faults: [(&str, Spoil); 11] = [
            ("id", |c| c.id.push(' ')),
            ("board", |c| c.board = "nowhere".to_owned()),
            ("family", |c| c.family = "magic".to_owned()),
            ("cautions", |c| c.cautions = vec!["dragons".to_owned()]),
            ("revs", |c| c.revs = vec!["Z9".to_owned()]),
            ("share", |c| c.share.k = c.share.n + 1),
            ("share", |c| c.share.high = 0.5),
            ("share", |c| c.share.low = f64::NAN),
            ("answers", |c| c.answers.clear()),
            ("answers", |c| c.answers[0].steps[0].act = "pray".to_owned()),
            ("front", |c| c.front = vec![sample::rail("U31", "low")]),
        ];
        for (field, spoil) in faults {
            let mut card = sample::card_for_u31();
            spoil(&mut card);
            assert_eq!(fields(&card).first(), Some(&field), "{card:?}");
        }
    }

    #[test]
    fn only_a_stop_card_may_be_of_no_circuit() {
        let unlocated = |kind| Card {
            kind,
            family: UNLOCATED.to_owned(),
            ..sample::card_for_u31()
        };
        assert!(fields(&unlocated(CardKind::Fix)).contains(&"family"));
        assert!(!fields(&unlocated(CardKind::Stop)).contains(&"family"));
    }

    #[test]
    fn an_id_is_a_short_plain_word() {
        for id in ["../../up", &"x".repeat(65), "\u{1b}[31m", "a/b"] {
            let mut card = sample::card_for_u31();
            id.clone_into(&mut card.id);
            assert_eq!(fields(&card), ["id"], "{id:?}");
        }
    }

    #[test]
    fn what_a_back_says_in_words_is_looked_through_for_acts_that_hurt() {
        type Spoil = fn(&mut Card);
        let say = |say: &str| KeyPoint {
            say: say.to_owned(),
            words: vec![vec!["fuse".to_owned()]],
            needed: true,
        };
        let mut card = sample::card_for_u31();
        card.points = vec![say("find what blew the fuse")];
        assert_eq!(fields(&card), [""; 0]);
        card.points = vec![say("bridge the fuse and go on")];
        assert_eq!(fields(&card), ["points"]);
        let spoil: Spoil = |c| {
            c.suspects = vec![Suspect {
                what: "Bridge or jumper F1".to_owned(),
                chance: 0.5,
                n: 3,
            }];
        };
        let mut card = sample::card_for_u31();
        spoil(&mut card);
        assert_eq!(fields(&card), ["suspects"]);
    }

    #[test]
    fn a_question_typed_over_a_fix_may_not_name_its_part() {
        let mut card = sample::card_for_u31();
        card.stem = "What is first?".to_owned();
        assert_eq!(fields(&card), [""; 0]);
        card.stem = "Replace U31?".to_owned();
        assert_eq!(fields(&card), ["stem"]);
    }

    #[test]
    fn a_hazard_of_the_board_without_its_caution_is_named() {
        let board = Board {
            safety: vec!["mains".to_owned(), "stored-charge".to_owned()],
            ..sample::board()
        };
        let circuits = Circuits::with_shop(&[], false);
        let known = Known {
            boards: &[board],
            circuits: &circuits,
            words: &Synonyms::default(),
        };
        let with = |ids: &[&str]| {
            let mut card = sample::card_for_u31();
            card.cautions = ids.iter().map(|id| (*id).to_owned()).collect();
            let found = lint(&card, &known).into_iter();
            found.map(|l| l.field).collect::<Vec<_>>()
        };
        assert_eq!(with(&["mains", "stored-charge"]), [""; 0]);
        assert_eq!(with(&["mains"]), ["cautions"]);
        assert_eq!(with(&[]), ["cautions"]);
        // However much else is said, the charge behind mains has its own line.
        assert_eq!(
            with(&["mains", "cell-first", "liquid", "alcohol-vapour"]),
            ["cautions"]
        );
    }

    #[test]
    fn a_wording_of_an_answer_may_not_name_another_part() {
        let mut card = sample::card_for_u31();
        card.answers[0].also = vec!["swap u31".to_owned(), "new regulator".to_owned()];
        assert_eq!(fields(&card), [""; 0]);
        card.answers[0].also = vec!["swap U13".to_owned()];
        assert_eq!(fields(&card), ["answers"]);
    }

    #[test]
    fn an_answer_that_would_hurt_someone_is_refused_in_any_wording() {
        let mut card = sample::card_for_u31();
        card.answers[0].also = vec!["bridge the fuse with wire".to_owned()];
        assert_eq!(fields(&card), ["answers"]);
    }
}
