//! Compares what a person typed with what a card accepts, key point by key point.
//!
//! One answer is right when all its steps are named: the act, and the part by designator or by a
//! description that fits no other part of the board. Leaves out the circuit question and the
//! person's own overruling.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::Step;
use crate::domain::job::Board;
use crate::domain::judge::acts;
use crate::domain::judge::claims;
use crate::domain::judge::claims::Claim;
use crate::domain::judge::parts::Meaning;
use crate::domain::judge::parts::Parts;
use crate::domain::judge::tokens;
use crate::domain::judge::unsafe_acts;
use crate::domain::judge::unsafe_acts::UnsafeAct;
use crate::domain::judge::words::Synonyms;
use crate::domain::wording;

/// How one key point of the best matching answer was met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Point {
    /// Named.
    Right,
    /// Some of several steps.
    Partly,
    /// Another was named.
    Other,
    /// Not named.
    Missing,
    /// Named in words that fit several.
    Unclear,
}

/// The verdict on a typed answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judgement {
    /// The fix is right.
    pub fix: bool,
    /// It would hurt someone: always wrong, never overruled.
    pub unsafe_answer: Option<UnsafeAct>,
    /// Which of the card's answers it names, where it is right.
    pub matched: Option<usize>,
    /// The act.
    pub act: Point,
    /// The part.
    pub part: Point,
    /// The right part was named and denied.
    pub negated: bool,
    /// A few words for the verdict line.
    pub note: String,
}

impl Judgement {
    fn new(act: Point, part: Point, note: &str) -> Self {
        Self {
            fix: false,
            unsafe_answer: None,
            matched: None,
            act,
            part,
            negated: false,
            note: note.to_owned(),
        }
    }
}

/// Judges a typed answer to `card`.
pub fn judge(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Judgement {
    let mut verdict = key_points(typed, card, board, words);
    if let Some(act) = unsafe_acts::unsafe_in_text(typed, board, words) {
        verdict.fix = false;
        verdict.matched = None;
        act.what.clone_into(&mut verdict.note);
        verdict.unsafe_answer = Some(act);
    }
    verdict
}

fn key_points(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Judgement {
    let parts = Parts::new(Some(card), board, words);
    let read = words.apply(&tokens::lex(typed, parts.known()));
    let whole = tokens::normal(&read);
    if gives_up(&whole) {
        return Judgement::new(Point::Missing, Point::Missing, "no answer");
    }
    for (i, answer) in card.answers.iter().enumerate() {
        let same = |also: &String| {
            tokens::normal(&words.apply(&tokens::lex(also, parts.known()))) == whole
        };
        if answer.also.iter().chain(&verbatim(answer)).any(same) {
            return Judgement {
                fix: true,
                matched: Some(i),
                ..Judgement::new(Point::Right, Point::Right, "right part")
            };
        }
    }
    let claims = claims::read(&read, &parts);
    let court = Court {
        card,
        parts: &parts,
        words,
        meant: claims.iter().filter(|c| !c.negated && !c.checked).collect(),
        denied: claims.iter().filter(|c| c.negated).collect(),
    };
    court.verdict()
}

/// Returns the answer in the words of the record itself, which are right whatever a part is called.
fn verbatim(answer: &Answer) -> Vec<String> {
    let join = |say: &dyn Fn(&Step) -> String| {
        answer
            .steps
            .iter()
            .map(say)
            .collect::<Vec<_>>()
            .join(" and ")
    };
    let mut said = vec![
        join(&|s| format!("{} {}", s.act, s.part)),
        join(&|s| format!("{} {}", s.act.replace('-', " "), s.part)),
        join(&|s| format!("{} {}", wording::act_verb(&s.act), s.part)),
    ];
    if answer.steps.iter().all(|s| s.act == "other") {
        said.push(join(&|s| s.part.clone()));
    }
    said
}

fn gives_up(whole: &str) -> bool {
    [
        "",
        "dont know",
        "i dont know",
        "do not know",
        "i do not know",
        "dunno",
        "idk",
        "no idea",
        "pass",
        "not sure",
        "unknown",
        "dk",
        "na",
        "n and a",
        "haven idea",
        "no clue",
    ]
    .contains(&whole)
}

/// How one step was met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Met {
    act: Point,
    part: Point,
}

impl Met {
    fn right(self) -> bool {
        self.part == Point::Right && self.act == Point::Right
    }
}

struct Court<'a> {
    card: &'a Card,
    parts: &'a Parts,
    words: &'a Synonyms,
    meant: Vec<&'a Claim>,
    denied: Vec<&'a Claim>,
}

impl Court<'_> {
    fn verdict(&self) -> Judgement {
        let met: Vec<Vec<Met>> = self
            .card
            .answers
            .iter()
            .map(|a| a.steps.iter().map(|s| self.step(s)).collect())
            .collect();
        let score = |steps: &[Met]| {
            let right = steps.iter().filter(|m| m.right()).count();
            let parts = steps.iter().filter(|m| m.part == Point::Right).count();
            (!steps.is_empty() && right == steps.len(), right, parts)
        };
        let mut best = 0;
        for i in 1..met.len() {
            if score(&met[i]) > score(&met[best]) {
                best = i;
            }
        }
        let Some((answer, steps)) = self.card.answers.get(best).zip(met.get(best)) else {
            return Judgement::new(Point::Missing, Point::Missing, "no answer on the card");
        };
        let act = together(steps.iter().map(|m| m.act));
        let part = together(steps.iter().map(|m| m.part));
        if score(steps).0 {
            return match self.list() {
                Some((act, part, note)) => Judgement::new(act, part, note),
                None => Judgement {
                    fix: true,
                    matched: Some(best),
                    ..Judgement::new(Point::Right, Point::Right, self.right_note(answer))
                },
            };
        }
        let negated = answer.steps.iter().any(|s| self.is_denied(s));
        let mut verdict = Judgement::new(act, part, "");
        verdict.negated = negated && part != Point::Right;
        verdict.note = Self::wrong_note(&verdict, answer, steps);
        verdict
    }

    fn right_note(&self, answer: &Answer) -> &'static str {
        let named = answer
            .steps
            .iter()
            .all(|s| self.about(s).any(|c| !c.acts.is_empty()));
        if named {
            "right part"
        } else {
            "right part, act not named"
        }
    }

    fn wrong_note(verdict: &Judgement, answer: &Answer, steps: &[Met]) -> String {
        if verdict.negated {
            return "right part, ruled out".to_owned();
        }
        let missing: Vec<String> = answer
            .steps
            .iter()
            .zip(steps)
            .filter(|(_, met)| !met.right())
            .map(|(step, _)| wording::step_text(step))
            .collect();
        if missing.len() < steps.len() {
            return format!("part of it; also needed: {}", missing.join("; "));
        }
        match (verdict.part, verdict.act) {
            (Point::Unclear, _) => "which one?",
            (Point::Right, Point::Missing) => "right part, which act?",
            (Point::Right, _) => "right part, other act",
            (Point::Missing, Point::Right) => "right act, part not named",
            (Point::Missing, _) => "no part named",
            (_, Point::Right | Point::Partly) => "other part",
            _ => "other fix",
        }
        .to_owned()
    }

    /// Finds what turns a right answer into a list of guesses.
    fn list(&self) -> Option<(Point, Point, &'static str)> {
        for claim in &self.meant {
            let Meaning::Part(key) = &claim.part else {
                continue;
            };
            let about: Vec<&Step> = self
                .card
                .answers
                .iter()
                .flat_map(|a| &a.steps)
                .filter(|s| self.parts.key(&s.part, self.words) == *key)
                .collect();
            if about.is_empty() {
                return Some((Point::Right, Point::Other, "one fix, not a list"));
            }
            let fits = |act: &str| {
                about.iter().any(|s| acts::same_act(&s.act, act))
                    || act == "clean"
                    || act == "remove" && about.iter().any(|s| s.act.starts_with("replace"))
            };
            if !claim.acts.is_empty() && !claim.acts.iter().any(|a| fits(a)) {
                return Some((Point::Other, Point::Right, "one act, not a list"));
            }
        }
        None
    }

    fn step(&self, step: &Step) -> Met {
        let about: Vec<&Claim> = self.about(step).collect();
        if about.is_empty() {
            return self.not_named(step);
        }
        let right = about
            .iter()
            .any(|c| c.acts.iter().any(|a| acts::same_act(&step.act, a)));
        let silent = about.iter().any(|c| c.acts.is_empty());
        let act = if right || (silent && (step.act == "other" || self.act_is_plain(step))) {
            Point::Right
        } else if silent {
            Point::Missing
        } else {
            Point::Other
        };
        Met {
            act,
            part: Point::Right,
        }
    }

    fn not_named(&self, step: &Step) -> Met {
        let key = self.parts.key(&step.part, self.words);
        let act_named = self
            .meant
            .iter()
            .any(|c| c.acts.iter().any(|a| acts::same_act(&step.act, a)));
        let any_act = self.meant.iter().any(|c| !c.acts.is_empty());
        let act = match (act_named, any_act) {
            (true, _) => Point::Right,
            (false, true) => Point::Other,
            (false, false) => Point::Missing,
        };
        let unclear = self
            .meant
            .iter()
            .any(|c| matches!(&c.part, Meaning::Several(keys) if keys.contains(&key)));
        let other = self
            .meant
            .iter()
            .any(|c| matches!(c.part, Meaning::Part(_) | Meaning::Several(_)));
        let part = if unclear {
            Point::Unclear
        } else if other {
            Point::Other
        } else {
            Point::Missing
        };
        Met { act, part }
    }

    /// Returns the claims about the part of `step`.
    fn about<'a>(&'a self, step: &'a Step) -> impl Iterator<Item = &'a Claim> {
        let key = self.parts.key(&step.part, self.words);
        self.meant
            .iter()
            .copied()
            .filter(move |c| self.is_about(c, step, &key))
    }

    fn is_about(&self, claim: &Claim, step: &Step, key: &str) -> bool {
        match &claim.part {
            Meaning::Part(named) => named == key,
            Meaning::Several(_) => false,
            Meaning::Nothing => {
                let act = claim.acts.iter().any(|a| acts::same_act(&step.act, a));
                let program = step.act == "reprogram-firmware" && self.parts.programmable() <= 1;
                act && (key.is_empty() || program)
            }
        }
    }

    fn is_denied(&self, step: &Step) -> bool {
        let key = self.parts.key(&step.part, self.words);
        self.denied
            .iter()
            .any(|c| matches!(&c.part, Meaning::Part(named) if *named == key))
    }

    /// Tells whether no other fix on the card does something else to the part.
    fn act_is_plain(&self, step: &Step) -> bool {
        let key = self.parts.key(&step.part, self.words);
        self.card
            .answers
            .iter()
            .flat_map(|a| &a.steps)
            .chain(self.card.others.iter().flat_map(|o| &o.steps))
            .filter(|s| self.parts.key(&s.part, self.words) == key)
            .all(|s| acts::same_act(&step.act, &s.act) || acts::same_act(&s.act, &step.act))
    }
}

fn together(points: impl Iterator<Item = Point>) -> Point {
    let points: Vec<Point> = points.collect();
    match points.first() {
        None => Point::Missing,
        Some(first) if points.iter().all(|p| p == first) => *first,
        Some(_) if points.contains(&Point::Right) => Point::Partly,
        Some(first) => *first,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::CardKind;
    use crate::domain::card::OtherFix;
    use crate::domain::card::Share;
    use crate::domain::card::Support;
    use crate::domain::job::Part;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    fn step(act: &str, part: &str) -> Step {
        Step {
            act: act.to_owned(),
            part: part.to_owned(),
            name: None,
        }
    }

    fn answer(steps: &[(&str, &str)]) -> Answer {
        Answer {
            steps: steps.iter().map(|(act, part)| step(act, part)).collect(),
            also: Vec::new(),
        }
    }

    fn card(answers: Vec<Answer>) -> Card {
        Card {
            id: "c".to_owned(),
            kind: CardKind::Fix,
            board: "petrel-p4".to_owned(),
            revs: vec!["C".to_owned()],
            family: "standby".to_owned(),
            contributing: Vec::new(),
            complaint: Vec::new(),
            front: Vec::new(),
            held_back: Vec::new(),
            deciding: Vec::new(),
            answers,
            share: Share {
                k: 7,
                n: 9,
                proved: 6,
                low: 0.453,
                high: 0.937,
            },
            others: Vec::new(),
            bounced: 0,
            support: Support::Supported,
            jobs: Vec::new(),
            last: None,
            why: String::new(),
            cautions: Vec::new(),
            warn: Vec::new(),
            signed: None,
        }
    }

    /// An invented board.
    fn board() -> Board {
        let part = |name: &str, rail: &str| Part {
            name: name.to_owned(),
            rail: Some(rail.to_owned()),
            family: None,
            revs: Vec::new(),
        };
        Board {
            id: "petrel-p4".to_owned(),
            name: "Petrel P4 helm display".to_owned(),
            kind: "display".to_owned(),
            revisions: Vec::new(),
            safety: Vec::new(),
            families: Vec::new(),
            parts: BTreeMap::from([
                ("U31".to_owned(), part("standby switcher", "3V3_SB")),
                ("U9".to_owned(), part("main buck controller", "5V")),
                ("U13".to_owned(), part("display buck", "3V3_DISP")),
                ("C88".to_owned(), part("standby output capacitor", "3V3_SB")),
                (
                    "C90".to_owned(),
                    part("display output capacitor", "3V3_DISP"),
                ),
                ("F1".to_owned(), part("inlet fuse", "12V_IN")),
                ("J2".to_owned(), part("supply connector", "12V_IN")),
                ("U14".to_owned(), part("boot flash", "3V3_SYS")),
                ("Y1".to_owned(), part("processor crystal", "")),
                ("Q5".to_owned(), part("backlight switch", "")),
                ("U40".to_owned(), part("CAN transceiver", "")),
            ]),
            good: Vec::new(),
        }
    }

    fn words() -> Synonyms {
        Synonyms::with_shop(&BTreeMap::from([(
            "housekeeper".to_owned(),
            "always on regulator".to_owned(),
        )]))
    }

    fn verdict(typed: &str, card: &Card) -> Judgement {
        judge(typed, card, Some(&board()), &words())
    }

    #[track_caller]
    fn all(card: &Card, right: &[&str], wrong: &[(&str, &str)]) {
        for typed in right {
            let verdict = verdict(typed, card);
            assert!(verdict.fix, "{typed}: {verdict:?}");
        }
        for (typed, note) in wrong {
            let verdict = verdict(typed, card);
            assert!(!verdict.fix, "{typed}: {verdict:?}");
            assert_eq!(verdict.note, *note, "{typed}");
        }
    }

    #[test]
    fn one_part_is_known_by_designator_or_function_in_any_wording() {
        all(
            &card(vec![answer(&[("replace", "U31")])]),
            &[
                "replace U31",
                "replace u31",
                "REPLACE U 31",
                "swap u31",
                "U31 swapped",
                "u31 needs replacing",
                "U31",
                "IC U31",
                "I'd renew U31.",
                "fit a new U31",
                "new U31",
                "repl. U31, check C88 before power",
                "replace U31 and check C88",
                "check C88 then replace U31",
                "U31 tested bad, replace it",
                "check U31, replace it if low",
                "not U9, replace U31",
                "not U9 replace U31",
                "U31 not U9",
                "replace U31 instead of U9",
                "don't reflow, replace U31",
                "reflow won't last, replace U31",
                "replace U31, not reflow it",
                "remove and replace U31",
                "clean the board and replace U31",
                "clean and replace U31",
                "replace U31 next to U9",
                "replace U31 because C88 is fine",
                "change the standby switcher",
                "replace 3v3 standby reg",
                "swap the always-on regulator",
                "replace the stby reg",
                "replace housekeeper",
                "standby switcher",
                "the dead standby switcher",
                "replace the 3.3 V standby supply",
                "replace U31 on the Petrel P4",
                "probably U31, replace",
            ],
            &[
                ("replace U13", "other part"),
                ("replace U311", "other part"),
                ("replace U31A", "other part"),
                ("replace IC31", "other part"),
                ("replace U3 1", "other part"),
                ("reflow U31", "right part, other act"),
                ("clean U31", "right part, other act"),
                ("U31 reflow", "right part, other act"),
                ("U31 or U9", "one fix, not a list"),
                ("replace U31 or U9", "one fix, not a list"),
                ("replace U31, U9, C88", "one fix, not a list"),
                ("replace U31 and the main buck", "one fix, not a list"),
                ("reflow or replace U31", "one act, not a list"),
                ("don't replace U31", "right part, ruled out"),
                ("U31 should not be replaced", "right part, ruled out"),
                ("never swap the standby switcher", "right part, ruled out"),
                ("replace the 3.3 regulator", "which one?"),
                ("replace the buck", "other part"),
                ("replace the standby capacitor", "other part"),
                ("replace the standby ldo", "right act, part not named"),
                ("replace it", "right act, part not named"),
                ("check U31", "no part named"),
                ("", "no answer"),
                ("don't know", "no answer"),
                ("?", "no answer"),
                ("1V8", "no part named"),
            ],
        );
    }

    #[test]
    fn every_step_of_an_answer_is_needed() {
        let card = card(vec![answer(&[("replace", "U31"), ("clean", "J2")])]);
        all(
            &card,
            &[
                "replace U31 and clean J2",
                "clean J2, replace U31",
                "J2 cleaned, U31 swapped",
                "U31 replaced then J2 washed",
                "clean the supply connector and replace the standby switcher",
            ],
            &[
                ("replace U31", "part of it; also needed: Clean J2"),
                ("clean J2", "part of it; also needed: Replace U31"),
                ("replace U31 and J2", "part of it; also needed: Clean J2"),
                ("replace U9", "other part"),
            ],
        );
        let part = verdict("replace U31", &card);
        assert_eq!((part.act, part.part), (Point::Partly, Point::Partly));
    }

    #[test]
    fn lists_and_ranges_are_several_parts() {
        let set = card(vec![answer(&[
            ("replace", "C12"),
            ("replace", "C13"),
            ("replace", "C15"),
        ])]);
        all(
            &set,
            &[
                "replace C12,13+15",
                "C12, C13 and C15 replaced",
                "swap C15/C13/C12",
            ],
            &[
                ("replace C12-C15", "one fix, not a list"),
                ("replace C12,13", "part of it; also needed: Replace C15"),
            ],
        );
        let range = card(vec![answer(&[
            ("reflow", "R4"),
            ("reflow", "R5"),
            ("reflow", "R6"),
        ])]);
        all(
            &range,
            &["reflow R4-R6", "reflow R4 to R6", "R4..6 touched up"],
            &[],
        );
    }

    #[test]
    fn acts_are_understood_in_their_usual_forms() {
        all(
            &card(vec![answer(&[("replace-connector", "J2")])]),
            &[
                "replace connector J2",
                "replace J2",
                "new supply connector",
                "J2",
            ],
            &[("reseat J2", "right part, other act")],
        );
        all(
            &card(vec![answer(&[("replace", "J2")])]),
            &["replace connector J2", "swap the plug J2"],
            &[],
        );
        all(
            &card(vec![answer(&[("reprogram-firmware", "U14")])]),
            &[
                "reflash U14",
                "reload firmware",
                "reflash the boot flash",
                "flash U14",
                "reprogram",
            ],
            &[
                ("replace U14", "right part, other act"),
                ("replace the boot flash", "right part, other act"),
                ("reflash U9", "other part"),
            ],
        );
        all(
            &card(vec![answer(&[("replace", "U14")])]),
            &["replace the boot flash", "new flash"],
            &[("reflash the boot flash", "right part, other act")],
        );
        all(
            &card(vec![answer(&[("bridge-or-jumper", "R12")])]),
            &[
                "jumper R12",
                "bridge R12 pad with a jumper",
                "wire link across R12",
                "bodge wire at R12",
            ],
            &[("replace R12", "right part, other act")],
        );
        all(
            &card(vec![answer(&[("rebuild-pad-or-trace", "R12")])]),
            &[
                "rebuild pad at R12",
                "repair the trace at R12 with jumper wire",
            ],
            &[],
        );
        all(
            &card(vec![answer(&[("remove", "C88")])]),
            &["pull C88", "C88 lifted", "take off C88"],
            &[],
        );
        all(
            &card(vec![answer(&[("clean", "")])]),
            &["clean the board", "wash it", "clnd"],
            &[("reflow U31", "other fix")],
        );
    }

    #[test]
    fn another_fix_of_the_same_part_makes_the_act_needed() {
        let mut two = card(vec![answer(&[("replace", "U31")])]);
        two.others = vec![OtherFix {
            steps: vec![step("reflow", "U31")],
            k: 2,
        }];
        all(&two, &["replace U31"], &[("U31", "right part, which act?")]);
        let either = card(vec![
            answer(&[("replace", "U31")]),
            answer(&[("replace", "U9")]),
        ]);
        assert_eq!(verdict("replace U9", &either).matched, Some(1));
        all(&either, &["U31 or U9", "replace U31"], &[]);
        assert_eq!(verdict("U31", &either).note, "right part, act not named");
    }

    #[test]
    fn wordings_of_a_lead_count_as_they_stand() {
        let mut given = card(vec![answer(&[("other", "U31")])]);
        given.answers[0].also = vec!["Dry out under U31 shield".to_owned()];
        all(&given, &["dry out under u31 shield.", "U31"], &[]);
    }

    #[test]
    fn a_function_needs_its_whole_name_where_no_board_is_known() {
        let mut bare = card(vec![answer(&[("replace", "U31")])]);
        bare.answers[0].steps[0].name = Some("standby switcher".to_owned());
        let fix = |typed: &str| judge(typed, &bare, None, &words()).fix;
        assert!(fix("swap the stby switcher"));
        assert!(fix("replace the standby regulator"));
        assert!(!fix("replace the regulator"));
        assert!(!fix("replace the display switcher"));
    }

    #[test]
    fn an_unsafe_answer_is_wrong_whatever_else_it_got_right() {
        let card = card(vec![answer(&[("replace", "U31")])]);
        for typed in [
            "replace U31 and bridge the fuse",
            "replace U31, jumper across F1",
            "replace U31, then bake it in the oven wet with IPA",
        ] {
            let verdict = verdict(typed, &card);
            assert!(!verdict.fix && verdict.matched.is_none(), "{typed}");
            assert!(verdict.unsafe_answer.is_some(), "{typed}");
        }
        let mut taught = card.clone();
        taught.answers[0].also = vec!["bridge the fuse".to_owned()];
        assert!(!verdict("bridge the fuse", &taught).fix);
        assert!(verdict("replace U31, don't bridge the fuse", &card).fix);
    }

    #[test]
    fn shouting_changes_nothing() {
        let card = card(vec![answer(&[("replace", "U31"), ("clean", "J2")])]);
        for typed in [
            "replace u31 and clean j2",
            "don't replace u31",
            "stby reg",
            "bridge f1",
        ] {
            assert_eq!(
                verdict(typed, &card),
                verdict(&typed.to_uppercase(), &card),
                "{typed}"
            );
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(96))]

        #[test]
        fn no_text_makes_the_judge_fall_over(
            typed in "\\PC*|[a-zA-Z0-9 ,.+/&'_-]{0,60}|((not|U31|replace|and|or|,|fuse|bridge|it|R4-|C1,2|the) ?){0,14}"
        ) {
            let card = card(vec![answer(&[("replace", "U31")])]);
            let verdict = verdict(&typed, &card);
            prop_assert!(!(verdict.fix && verdict.unsafe_answer.is_some()));
            prop_assert_eq!(verdict.fix, verdict.matched.is_some());
        }

        #[test]
        fn designators_that_differ_never_match(
            asked in "[A-Z]{1,3}[1-9][0-9]{0,3}[A-C]?",
            said in "[A-Z]{1,3}[1-9][0-9]{0,3}[A-C]?",
            known in any::<bool>(),
        ) {
            prop_assume!(asked != said);
            let card = card(vec![answer(&[("replace", &asked)])]);
            let mut board = board();
            if known {
                let part = board.parts["U9"].clone();
                board.parts.insert(said.clone(), part);
            }
            for typed in [format!("replace {said}"), said.to_lowercase(), format!("{said} swapped")] {
                prop_assert!(!judge(&typed, &card, Some(&board), &words()).fix, "{}", typed);
            }
            let typed = format!("replace {}", asked.to_lowercase());
            prop_assert!(judge(&typed, &card, Some(&board), &words()).fix, "{}", typed);
        }

        #[test]
        fn letters_may_be_large_or_small(typed in "[a-zA-Z0-9 ,.+/&'-]{0,50}") {
            let card = card(vec![answer(&[("replace", "U31")])]);
            prop_assert_eq!(verdict(&typed, &card), verdict(&typed.to_ascii_uppercase(), &card));
        }
    }
}
