//! Judges an answer in words by the points that it must name.
//!
//! A point is named when the answer holds, of every group of its words, at least one alternative.
//! An alternative of several words holds where they stand in this order in one clause, with small
//! words and up to three others between them; elsewhere the order of an answer does not count. A
//! "then" in an alternative means a later clause. What the answer denies does not count, except
//! for an alternative that itself denies ("never bridge", "power not on"): there the words after
//! its negator must stand denied. In a point with a group of only such alternatives, the other
//! groups say what is forbidden, and count denied or not.
//!
//! Designators, nets and values are compared exactly, words after mending slips ([`slips`]) and folding
//! synonyms and English endings; a designator is named as well by words that fit no other part. Plain words of an
//! alternative may be said in the other ways of [`crate::domain::judge::compare::also_said`]. Leaves out the
//! person's own overruling. Rules and word lists: common practice, no source.

use crate::domain::card::KeyPoint;
use crate::domain::job::Board;
use crate::domain::judge::claim::second_reading;
use crate::domain::judge::compare::keypoints;
use crate::domain::judge::compare::phrases;
use crate::domain::judge::compare::phrases::Need;
use crate::domain::judge::compare::phrases::Phrase;
use crate::domain::judge::compare::phrases::Slot;
use crate::domain::judge::compare::phrases::Wanted;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::denials;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::slips;
use crate::domain::judge::read::slips::Vocabulary;
use crate::domain::judge::read::speech;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;

/// The verdict on an answer in words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PointsVerdict {
    /// For each point of the card, whether the answer names it.
    pub hits: Vec<bool>,
    /// Every needed point is named, and nothing unsafe is proposed.
    pub right: bool,
    /// Not right, but more than half of the needed points are named and nothing unsafe is proposed.
    pub partly: bool,
    /// It would hurt someone: always wrong, never overruled.
    pub unsafe_answer: Option<UnsafeAct>,
    /// A few words for the verdict line.
    pub note: String,
}

impl PointsVerdict {
    /// Returns this verdict as one that is in doubt: no more than partly right.
    #[must_use]
    pub fn doubted(self) -> Self {
        Self {
            right: false,
            partly: true,
            note: "every point named; something in it may hurt someone".to_owned(),
            ..self
        }
    }

    /// Returns this verdict with an unsafe act found after all.
    #[must_use]
    pub fn found_unsafe(self, act: UnsafeAct) -> Self {
        Self {
            right: false,
            partly: false,
            note: act.what.clone(),
            unsafe_answer: Some(act),
            ..self
        }
    }
}

/// Judges a typed answer by `points`; the unsafe acts are always looked for.
pub fn judge_points(
    typed: &str,
    points: &[KeyPoint],
    board: Option<&Board>,
    words: &Synonyms,
) -> PointsVerdict {
    let hits = hits(typed, points, &Parts::new(None, board, words), board, words);
    verdict(
        points,
        hits,
        unsafe_acts::unsafe_in_text(typed, board, words),
    )
}

/// Returns which points a text names, whatever else it says; `parts` are those of the board.
pub(super) fn hits(
    typed: &str,
    points: &[KeyPoint],
    parts: &Parts,
    board: Option<&Board>,
    words: &Synonyms,
) -> Vec<bool> {
    let read = speech::spoken(&speech::translated(&tokens::lex(typed, parts.known())));
    let asked = points.iter().flat_map(|point| &point.words).flatten();
    let asked = asked.flat_map(|said| said.split([' ', '|', '_']));
    let asked = asked.filter(|word| !word.starts_with('='));
    let vocabulary = Vocabulary::new(parts, asked);
    let read = words.apply(&slips::mended_by(&read, parts, &vocabulary));
    let read = phrases::spelled_out(&read);
    if keypoints::gives_up(&tokens::normal(&read)) {
        return vec![false; points.len()];
    }
    let said: Vec<Token> = read.clone();
    let mut text = Text::new(read, board);
    text.told = second_reading::told(&said, parts, &[]);
    points
        .iter()
        .map(|point| names(&text, point, parts, words))
        .collect()
}

fn verdict(
    points: &[KeyPoint],
    hits: Vec<bool>,
    unsafe_answer: Option<UnsafeAct>,
) -> PointsVerdict {
    let needed: Vec<(&KeyPoint, bool)> = points
        .iter()
        .zip(hits.iter().copied())
        .filter(|(point, _)| point.needed)
        .collect();
    let named = needed.iter().filter(|(_, hit)| *hit).count();
    let whole = named == needed.len() && hits.contains(&true);
    let safe = unsafe_answer.is_none();
    let note = match &unsafe_answer {
        Some(act) => act.what.clone(),
        None if whole => "every needed point named".to_owned(),
        None if named == 0 => "no point named".to_owned(),
        None => {
            let missing: Vec<&str> = needed
                .iter()
                .filter(|(_, hit)| !hit)
                .map(|(point, _)| point.say.as_str())
                .collect();
            format!(
                "{named} of {} points; missing: {}",
                needed.len(),
                missing.join("; ")
            )
        }
    };
    PointsVerdict {
        right: safe && whole,
        partly: safe && !whole && needed.len() < 2 * named,
        hits,
        unsafe_answer,
        note,
    }
}

/// A typed answer, ready to be searched.
struct Text {
    tokens: Vec<Token>,
    stems: Vec<String>,
    /// Denied.
    off: Vec<bool>,
    /// Denied, or called dangerous or forbidden by what follows.
    forbidden: Vec<bool>,
    /// Called needless by what follows.
    dismissed: Vec<bool>,
    /// Parts that its descriptions mean.
    told: Vec<Meaning>,
}

impl Text {
    fn new(read: Vec<Token>, board: Option<&Board>) -> Self {
        let scene = Scene::new(read, board);
        let tokens = scene.tokens.clone();
        let mut off = scene.denied.clone();
        denials::end_at_boundaries(&tokens, &mut off);
        denials::leave_out(&tokens, &mut off);
        denials::drop_the_lesser(&tokens, &mut off);
        let forbidden = (0..tokens.len())
            .map(|i| off[i] || scene.condemned(i))
            .collect();
        let dismissed = (0..tokens.len())
            .map(|i| denials::is_needless(&tokens, i))
            .collect();
        Self {
            stems: tokens.iter().map(phrases::folded).collect(),
            tokens,
            off,
            forbidden,
            dismissed,
            told: Vec::new(),
        }
    }
}

/// Tells whether the answer names the point.
fn names(text: &Text, point: &KeyPoint, parts: &Parts, synonyms: &Synonyms) -> bool {
    let known = parts.known();
    let groups: Vec<Vec<Phrase>> = point
        .words
        .iter()
        .map(|group| {
            let lines: Vec<String> = group.iter().filter_map(|p| line_of(p)).collect();
            let said = group.iter().chain(&lines);
            said.flat_map(|p| Phrase::all(p, known, synonyms)).collect()
        })
        .collect();
    let forbids = groups
        .iter()
        .any(|group: &Vec<Phrase>| !group.is_empty() && group.iter().all(|p| p.denies));
    !groups.is_empty()
        && groups.iter().zip(&point.words).all(|(group, said)| {
            group.iter().any(|phrase| holds(text, phrase, forbids))
                || said
                    .iter()
                    .any(|part| describes(text, part, parts, synonyms))
        })
}

/// Tells whether an alternative is a designator, and the answer describes that part and no other.
fn describes(text: &Text, part: &str, parts: &Parts, synonyms: &Synonyms) -> bool {
    let designator =
        matches!(&tokens::lex(part, parts.known())[..], [one] if one.kind == Kind::Part);
    designator
        && text
            .told
            .contains(&Meaning::Part(parts.key(part, synonyms)))
}

/// Returns the plain word in the name of an active-low net, which a bench says for it: "reset" for
/// `RESET_N`. Only a word of the trade stands so, and no number is dropped.
fn line_of(net: &str) -> Option<String> {
    let line = net.strip_suffix("_N").or_else(|| net.strip_suffix("_L"))?;
    let plain = line.to_lowercase();
    (line == line.to_uppercase() && words::is_trade(&plain)).then_some(plain)
}

/// Tells whether the phrase stands in the answer.
fn holds(text: &Text, phrase: &Phrase, forbids: bool) -> bool {
    let search = Search { text, forbids };
    (0..text.tokens.len()).any(|at| search.slots(at, &phrase.slots))
}

/// At most so many words that say something stand between two words of an alternative.
const MOST_BETWEEN: usize = 3;
/// Words that belong to the word before them: only small words come between.
const PARTICLES: [&str; 12] = [
    "it", "off", "up", "on", "out", "in", "down", "away", "to", "by", "at", "of",
];

/// Looks for an alternative in an answer.
struct Search<'a> {
    text: &'a Text,
    forbids: bool,
}

impl Search<'_> {
    /// Tells whether the slots stand from `at` on.
    fn slots(&self, at: usize, slots: &[Slot]) -> bool {
        let Some((slot, rest)) = slots.split_first() else {
            return true;
        };
        slot.said.iter().any(|words| self.words(at, words, rest))
    }

    /// Tells whether the words of one slot stand from `at` on, and the other slots behind them.
    fn words(&self, at: usize, words: &[Wanted], slots: &[Slot]) -> bool {
        let Some((first, rest)) = words.split_first() else {
            return false;
        };
        if !self.fits(at, first) {
            return false;
        }
        if !rest.is_empty() {
            return self.behind(at, true, &|i| self.words(i, rest, slots));
        }
        let Some(next) = slots.first() else {
            return true;
        };
        if next.is_later() {
            let tokens = &self.text.tokens;
            let stop = (at + 1..tokens.len()).find(|i| denials::is_break(&tokens[*i]));
            return stop
                .is_some_and(|stop| (stop + 1..tokens.len()).any(|i| self.slots(i, &slots[1..])));
        }
        // Only where every choice is a particle must it stand beside its word.
        let words = next.said.iter().filter_map(|words| words.first());
        let particle = words.clone().all(|w| PARTICLES.contains(&w.word.as_str()));
        self.behind(at, particle, &|i| self.slots(i, slots))
    }

    /// Tells whether something holds in the clause behind `at`, near enough; `beside` lets only small words
    /// stand between.
    fn behind(&self, at: usize, beside: bool, holds: &dyn Fn(usize) -> bool) -> bool {
        let tokens = &self.text.tokens;
        let mut between = 0;
        for (i, token) in tokens.iter().enumerate().skip(at + 1) {
            if denials::is_break(token) {
                return false;
            }
            if holds(i) {
                return true;
            }
            let small = token.is_any(&denials::SMALL) || token.is_joint();
            if !small {
                between += 1;
            }
            if between > MOST_BETWEEN || between > 0 && beside {
                return false;
            }
        }
        false
    }

    fn fits(&self, at: usize, wanted: &Wanted) -> bool {
        let text = self.text;
        let same = match wanted.word.strip_prefix('=') {
            Some(word) => text.tokens[at].is(word),
            None => text.stems[at] == wanted.word,
        };
        same && match wanted.need {
            Need::Meant => self.forbids || !(text.off[at] || text.dismissed[at]),
            Need::Denied => text.forbidden[at],
            Need::Said => !denials::is_consent(&text.tokens, at),
            Need::Later => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    fn point(say: &str, words: &[&[&str]]) -> KeyPoint {
        let group = |group: &&[&str]| group.iter().map(|w| (*w).to_owned()).collect();
        KeyPoint {
            say: say.to_owned(),
            words: words.iter().map(group).collect(),
            needed: true,
        }
    }

    fn judged(typed: &str, points: &[KeyPoint]) -> PointsVerdict {
        judge_points(typed, points, None, &Synonyms::default())
    }

    #[track_caller]
    fn check(words: &[&[&str]], named: &[&str], not_named: &[&str]) {
        let points = [point("the point", words)];
        for typed in named {
            let verdict = judged(typed, &points);
            assert!(verdict.hits[0], "{typed:?} names {words:?}");
        }
        for typed in not_named {
            let verdict = judged(typed, &points);
            assert!(!verdict.hits[0], "{typed:?} does not name {words:?}");
        }
    }

    #[test]
    fn a_word_is_known_in_its_endings_and_not_by_its_beginning() {
        check(
            &[&["discharge"]],
            &["discharged", "discharging it", "DISCHARGES", "dischrge"],
            &["charge", "dischargeable", ""],
        );
        check(&[&["dry"]], &["dried", "let it dry", "drying"], &["drain"]);
        check(&[&["note"]], &["notes", "noted"], &["not", "nothing"]);
        check(&[&["swap"]], &["swapped", "swapping it"], &["swab"]);
        check(&[&["press"]], &["pressed", "pressing"], &["pressure"]);
        check(&[&["battery"]], &["batteries", "the batt"], &["bat"]);
    }

    #[test]
    fn every_group_must_be_met_in_any_order() {
        check(
            &[
                &["photo", "photograph", "picture"],
                &["both sides", "front and back"],
            ],
            &[
                "photos of both sides",
                "both sides: take pictures",
                "front and back, photographed",
            ],
            &["photos", "both sides", "photo of one side, then the other"],
        );
    }

    #[test]
    fn words_of_an_alternative_stand_in_order_in_one_clause() {
        check(
            &[&["look before clean", "photo first"]],
            &[
                "look at it before cleaning",
                "take photos of the whole board first",
                "look under the shield before you clean",
            ],
            &[
                "clean before looking",
                "clean first, then photos",
                "look. before that, clean",
            ],
        );
        check(
            &[&["call it"]],
            &["call it", "I'd call it", "call it a day"],
            &["call the owner about it", "it calls"],
        );
        check(
            &[&["photo then clean"]],
            &["photos, then clean", "photos; then I would clean"],
            &["clean then photos", "clean, photos"],
        );
    }

    #[test]
    fn what_is_denied_is_not_named() {
        check(
            &[&["look first", "look before"]],
            &[
                "look first",
                "don't clean, look first",
                "don't forget to look first",
                "never skip it: look first",
                "don't, look at it first",
                "wet or not, look first",
            ],
            &[
                "don't look first",
                "do not look first",
                "do not, ever, look first",
                "no need to look first",
                "skip the look first idea",
                "look first is not needed",
                "clean instead of look first",
            ],
        );
        check(
            &[&["dry"]],
            &[
                "don't power it until it is dry",
                "no power before it is dry",
                "never without drying it",
            ],
            &["no drying", "skip the drying", "drying is unnecessary"],
        );
    }

    #[test]
    fn a_denial_ends_with_what_it_is_said_of() {
        check(
            &[&["ask"]],
            &["I don't open it and I ask", "the lid isn't on it and ask"],
            &["don't open it or ask", "I don't ask"],
        );
        check(
            &[&["label"]],
            &["no more than the label says", "not above the label"],
            &["no label", "never read the label"],
        );
        check(
            &[&["no press"]],
            &["what I don't do: press it", "refrain from pressing it"],
            &["what I do: press it", "press it"],
        );
        check(
            &[&["found", "used"]],
            &["the values as they were found", "what somebody used"],
            &["not found"],
        );
    }

    #[test]
    fn not_knowing_refuses_nothing() {
        check(
            &[&["no", "not", "never", "dont"]],
            &["nope", "nah, leave it", "never do that"],
            &[
                "I don't know",
                "never had one of those",
                "I don't remember that rule",
            ],
        );
    }

    #[test]
    fn an_alternative_that_denies_asks_for_the_denial() {
        check(
            &[&["never bridge", "no bridging"], &["fuse", "F1"]],
            &[
                "never bridge the fuse",
                "don't bridge F1",
                "do not, ever, bridge the fuse",
                "bridging a fuse is dangerous",
                "the fuse must not be bridged",
                "fit the right fuse instead of bridging it",
            ],
            &[
                "bridge the fuse",
                "fuse",
                "never bridge R12",
                "don't forget to bridge the fuse",
            ],
        );
        check(
            &[&["do not power", "leave off", "no power"]],
            &[
                "don't power it",
                "leave it off",
                "no power to it",
                "not powered",
            ],
            &["power it", "power it, no worries"],
        );
        check(
            &[&["not before dry", "not until dry"]],
            &["not before it's dry", "not until it dries"],
            &[
                "before it is dry",
                "until it is dry",
                "not before noon",
                "dry, not before",
            ],
        );
        check(
            &[&["fuse not the cause"]],
            &["the fuse is not the cause", "a fuse isn't the root cause"],
            &["the fuse is the cause", "not the fuse but its cause"],
        );
        check(
            &[&["never", "no", "not"]],
            &["never", "No.", "no, stop", "that is not safe"],
            &[
                "yes",
                "nothing",
                "no problem",
                "yes, never mind",
                "yes, no doubt",
                "why not",
                "never mind",
                "not a bad idea",
            ],
        );
    }

    #[test]
    fn designators_and_values_are_exact_and_synonyms_fold() {
        check(&[&["U31"]], &["u31", "replace U31"], &["U13", "U311", "u3"]);
        check(&[&["3V3"]], &["3.3 V", "3,3V"], &["3V", "33 V", "3v0"]);
        check(&[&["capacitor"]], &["the caps", "cap"], &["capacity"]);
        let words = Synonyms::with_shop(&BTreeMap::from([(
            "snap".to_owned(),
            "photograph".to_owned(),
        )]));
        let points = [point("photos", &[&["photograph"]])];
        assert!(judge_points("snap it", &points, None, &words).right);
        assert!(!judged("snap it", &points).right);
    }

    #[test]
    fn right_partly_and_unsafe_are_told_apart() {
        let mut points = [
            point("source off", &[&["unplug", "source off"]]),
            point("wait", &[&["wait"]]),
            point("prove it with a meter", &[&["meter"], &["prove", "check"]]),
            point("at the capacitor", &[&["capacitor"]]),
        ];
        points[3].needed = false;
        let right = judged("unplug, wait, prove it with a meter", &points);
        assert!(right.right && !right.partly);
        assert_eq!(right.hits, [true, true, true, false]);
        let partly = judged("unplug and wait", &points);
        assert!(!partly.right && partly.partly);
        assert_eq!(partly.note, "2 of 3 points; missing: prove it with a meter");
        let little = judged("wait", &points);
        assert!(!little.right && !little.partly);
        assert_eq!(judged("don't know", &points).note, "no point named");
        let bad = judged(
            "unplug, wait, prove it with a meter, then bridge the fuse",
            &points,
        );
        assert!(!bad.right && !bad.partly);
        assert_eq!(bad.hits, [true, true, true, false]);
        assert_eq!(bad.note, "unsafe: defeats a fuse");
        let forbidding = judged(
            "unplug, wait, prove it with a meter, never bridge the fuse",
            &points,
        );
        assert!(forbidding.right);
    }

    #[test]
    fn no_words_name_nothing() {
        let optional = KeyPoint {
            needed: false,
            ..point("x", &[&["x"]])
        };
        for typed in ["", "  ", "?", "i don't know", "pass"] {
            let verdict = judged(typed, std::slice::from_ref(&optional));
            assert!(!verdict.right && !verdict.partly && !verdict.hits[0]);
        }
        assert!(!judged("anything", &[]).right);
        assert!(!judged("", &[point("empty", &[])]).right);
        assert!(!judged("", &[point("empty", &[&[""]])]).right);
    }

    const CLAUSES: [&str; 7] = [
        "unplug it",
        "wait a minute",
        "prove it with the meter at the bulk cap",
        "never bridge the fuse",
        "take photos of both sides before cleaning",
        "don't power it until it is dry",
        "U31 reads 3V3",
    ];

    fn law_points() -> Vec<KeyPoint> {
        vec![
            point("off", &[&["unplug"]]),
            point("wait", &[&["wait"]]),
            point("prove", &[&["prove"], &["meter"], &["capacitor"]]),
            point("fuse", &[&["never bridge"], &["fuse"]]),
            point("look", &[&["photo before clean"]]),
            point("dry", &[&["no power"], &["dry"]]),
            point("part", &[&["U31"], &["3.3 V"]]),
        ]
    }

    #[test]
    fn each_clause_of_the_laws_names_its_point() {
        for (i, clause) in CLAUSES.iter().enumerate() {
            let hits = judged(clause, &law_points()).hits;
            let expected: Vec<bool> = (0..hits.len()).map(|at| at == i).collect();
            assert_eq!(hits, expected, "{clause}");
        }
    }

    proptest! {
        #[test]
        fn neither_case_nor_order_of_clauses_counts(
            said in proptest::sample::subsequence(CLAUSES.to_vec(), 0..=7).prop_shuffle(),
            upper in any::<bool>(),
        ) {
            let mut typed = said.join(". ");
            if upper {
                typed = typed.to_uppercase();
            }
            let hits = judged(&typed, &law_points()).hits;
            let expected: Vec<bool> = CLAUSES.iter().map(|c| said.contains(c)).collect();
            prop_assert_eq!(hits, expected);
        }

        #[test]
        fn further_words_lose_no_hit(
            said in proptest::sample::subsequence(CLAUSES.to_vec(), 1..=7),
            extra in "[a-z]{1,9}( [a-z0-9]{1,9}){0,4}",
            front in any::<bool>(),
        ) {
            let plain = said.join("; ");
            let longer = if front { format!("{extra}; {plain}") } else { format!("{plain}; {extra}") };
            let before = judged(&plain, &law_points()).hits;
            let after = judged(&longer, &law_points()).hits;
            prop_assert!(before.iter().zip(&after).all(|(b, a)| !b || *a), "{}", longer);
        }

        #[test]
        fn any_text_is_judged(typed in "\\PC{0,60}") {
            let verdict = judged(&typed, &law_points());
            prop_assert_eq!(verdict.hits.len(), 7);
            prop_assert!(!(verdict.right && verdict.partly));
            prop_assert!(!verdict.right || verdict.unsafe_answer.is_none());
        }
    }
}
