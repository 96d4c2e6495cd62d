//! Judges an answer that names a measurement: a place and a kind, "ohms of `3V3_SB` to ground".
//!
//! One measurement is asked for, not a list: right is an answer that names at most
//! [`MOST_NAMED`], every one of them among the right ones. A place alone is enough where the card
//! knows one kind of reading there; else the kind must be said. Joints part an answer into pieces;
//! a piece without a kind takes it from the piece beside it ("`3V3_SB` and `VIN_P`, ohms"). What
//! follows "because", "means" and their like is a reason, and names nothing. Denied words count as
//! little as in [`crate::domain::judge::compare::points`], which finds the words; places are compared exactly.
//! What is unsafe is looked for in the whole answer.
//!
//! Leaves out what was not weighed: a place of the board that no measurement of the card has makes an
//! answer one of the wrong ones. Rules and word lists: common practice, no source.

use std::collections::BTreeSet;

use crate::domain::card::KeyPoint;
use crate::domain::card::Test;
use crate::domain::generate::words::measure;
use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::judge::compare::keypoints;
use crate::domain::judge::compare::points;
use crate::domain::judge::danger::precautions;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::judge::readings::net_words::Nets;

/// Measurements that a right answer may name.
pub const MOST_NAMED: usize = 2;

/// The verdict on a measurement in words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TestsVerdict {
    /// For each measurement of the card, whether the answer names it.
    pub named: Vec<bool>,
    /// One or two are named, and every one of them is right.
    pub right: bool,
    /// Not right, but a right one is among few, or its place is named without the kind.
    pub partly: bool,
    /// It would hurt someone: always wrong, never overruled.
    pub unsafe_answer: Option<UnsafeAct>,
    /// A few words for the verdict line.
    pub note: String,
}

/// Begins a reason: what follows says why, or what a result would mean.
const REASONS: [&str; 16] = [
    "because",
    "since",
    "means",
    "mean",
    "meaning",
    "would",
    "tells",
    "tell",
    "shows",
    "show",
    "separates",
    "separate",
    "splits",
    "whether",
    "if",
    "points",
];

/// Judges a typed answer by the measurements of a card.
pub fn judge_tests(
    typed: &str,
    tests: &[Test],
    board: Option<&Board>,
    words: &Synonyms,
) -> TestsVerdict {
    let reader = Reader {
        tests,
        board,
        words,
        parts: Parts::new(None, board, words),
    };
    let unsafe_answer = unsafe_acts::unsafe_in_text(typed, board, words);
    let own: Vec<&str> = tests.iter().filter_map(place_of).collect();
    let nets = Nets::new(&own, &[], board);
    let mut verdict = reader.read(&nets.written_out(&precautions::left_out(typed)));
    if let Some(act) = unsafe_answer {
        verdict.right = false;
        verdict.partly = false;
        verdict.note.clone_from(&act.what);
        verdict.unsafe_answer = Some(act);
    }
    verdict
}

struct Reader<'a> {
    tests: &'a [Test],
    board: Option<&'a Board>,
    words: &'a Synonyms,
    parts: Parts,
}

/// One piece of an answer, between two joints.
#[derive(Clone, Debug, Default)]
struct Piece {
    text: String,
    /// Places of tests that it names, each by the words of the place.
    places: BTreeSet<String>,
    /// Places of the board that no test has.
    strange: BTreeSet<String>,
    kinds: BTreeSet<FindingKind>,
}

impl Reader<'_> {
    fn read(&self, typed: &str) -> TestsVerdict {
        let read = self.words.apply(&tokens::lex(typed, self.parts.known()));
        let mut verdict = TestsVerdict {
            named: vec![false; self.tests.len()],
            note: "no measurement named".to_owned(),
            ..TestsVerdict::default()
        };
        if keypoints::gives_up(&tokens::normal(&read)) {
            return verdict;
        }
        let mut pieces: Vec<Piece> = self.pieces(&read);
        lend_kinds(&mut pieces);
        let mut vague: BTreeSet<String> = BTreeSet::new();
        let mut strange: BTreeSet<String> = BTreeSet::new();
        for piece in &pieces {
            strange.extend(piece.strange.iter().cloned());
            self.name(piece, &mut verdict.named, &mut vague, &mut strange);
        }
        self.conclude(verdict, &vague, &strange)
    }

    /// Returns the pieces of an answer, as far as it names rather than reasons.
    fn pieces(&self, read: &[Token]) -> Vec<Piece> {
        let mut pieces = Vec::new();
        let mut text: Vec<&str> = Vec::new();
        let mut between = false;
        let mut said = false;
        let mut close = |text: &mut Vec<&str>| -> bool {
            if text.is_empty() {
                return false;
            }
            let piece = self.piece(&text.join(" "));
            text.clear();
            let says = !piece.places.is_empty() || !piece.strange.is_empty();
            pieces.push(piece);
            says
        };
        for token in read {
            between |= token.is_any(&["between", "from", "across"]);
            if token.is_any(&REASONS) {
                said |= close(&mut text);
                if said {
                    break;
                }
            } else if token.kind == Kind::And && between {
                between = false;
            } else if token.is_joint() {
                said |= close(&mut text);
                between = false;
            } else {
                text.push(&token.text);
            }
        }
        close(&mut text);
        pieces
    }

    fn piece(&self, text: &str) -> Piece {
        let holds = |phrase: &str| self.holds(text, phrase);
        let mut places: BTreeSet<String> = self
            .places()
            .into_iter()
            .filter(|place| holds(place))
            .collect();
        let mut strange: BTreeSet<String> = self
            .board_places()
            .into_iter()
            .filter(|place| !places.contains(place) && holds(place))
            .collect();
        // CANH-CANL holds CANH as well: the longer place is meant.
        let all: Vec<String> = places.iter().chain(&strange).cloned().collect();
        let inside = |one: &String| {
            let longer = all.iter().filter(|other| other.len() > one.len());
            longer.into_iter().any(|other| self.holds(other, one))
        };
        places.retain(|place| !inside(place));
        strange.retain(|place| !inside(place));
        Piece {
            kinds: kinds(|phrase| self.holds(text, phrase)),
            text: text.to_owned(),
            places,
            strange,
        }
    }

    fn holds(&self, text: &str, phrase: &str) -> bool {
        let point = KeyPoint {
            say: String::new(),
            words: vec![vec![phrase.to_owned()]],
            needed: true,
        };
        let point = std::slice::from_ref(&point);
        points::hits(text, point, &self.parts, self.board, self.words) == [true]
    }

    /// Returns the places of the tests.
    fn places(&self) -> BTreeSet<String> {
        let tests = self.tests.iter();
        tests
            .filter_map(|t| place_of(t).map(str::to_owned))
            .collect()
    }

    /// Returns the nets that the board's description names.
    fn board_places(&self) -> BTreeSet<String> {
        let board = || self.board.into_iter();
        let rails = board().flat_map(|b| b.parts.values().filter_map(|p| p.rail.clone()));
        let good = board().flat_map(|b| b.good.iter().map(|g| g.place.clone()));
        let mut places: BTreeSet<String> = rails.chain(good).collect();
        let own = self.places();
        places.retain(|place| !place.trim().is_empty() && !own.contains(place));
        places
    }

    /// Marks the tests that a piece names; what stays open goes to `vague`, what is none of them to
    /// `strange`.
    fn name(
        &self,
        piece: &Piece,
        named: &mut [bool],
        vague: &mut BTreeSet<String>,
        strange: &mut BTreeSet<String>,
    ) {
        for place in &piece.places {
            let here: Vec<usize> = (0..self.tests.len())
                .filter(|at| place_of(&self.tests[*at]) == Some(place))
                .collect();
            let of_kind = |at: &&usize| {
                let kind = kind_of(&self.tests[**at]);
                piece.kinds.is_empty() || kind.is_none_or(|kind| piece.kinds.contains(&kind))
            };
            let meant: Vec<usize> = here.iter().filter(of_kind).copied().collect();
            let kinds: BTreeSet<Option<FindingKind>> =
                meant.iter().map(|at| kind_of(&self.tests[*at])).collect();
            if meant.is_empty() {
                strange.insert(place.clone());
            } else if piece.kinds.is_empty() && 1 < kinds.len() {
                vague.insert(place.clone());
            } else {
                for at in self.in_state(piece, meant) {
                    named[at] = true;
                }
            }
        }
        if piece.places.is_empty() && piece.strange.is_empty() {
            let placeless: Vec<usize> = (0..self.tests.len())
                .filter(|at| place_of(&self.tests[*at]).is_none())
                .filter(|at| kind_of(&self.tests[*at]).is_some_and(|k| piece.kinds.contains(&k)))
                .collect();
            for at in self.in_state(piece, placeless) {
                named[at] = true;
            }
        }
    }

    /// Keeps of measurements that differ in the state alone those whose state was said, if any was.
    fn in_state(&self, piece: &Piece, meant: Vec<usize>) -> Vec<usize> {
        let said = |at: &usize| {
            let state = state_words(&self.tests[*at]);
            state.iter().any(|word| self.holds(&piece.text, word))
        };
        let told: Vec<usize> = meant.iter().copied().filter(said).collect();
        if told.is_empty() { meant } else { told }
    }

    fn conclude(
        &self,
        mut verdict: TestsVerdict,
        vague: &BTreeSet<String>,
        strange: &BTreeSet<String>,
    ) -> TestsVerdict {
        // One place and kind in two states is one measurement; it is right if either is.
        let mut meant: Vec<(&[Vec<String>], bool)> = Vec::new();
        for (test, named) in self.tests.iter().zip(&verdict.named) {
            if !named {
                continue;
            }
            let key = &test.words[..test.words.len().min(2)];
            match meant.iter_mut().find(|(other, _)| *other == key) {
                Some((_, right)) => *right |= test.right,
                None => meant.push((key, test.right)),
            }
        }
        let n = meant.len() + strange.len() + vague.len();
        let n_right = meant.iter().filter(|(_, right)| *right).count();
        let right_place = |place: &String| {
            let here = self.tests.iter().filter(|t| t.right);
            here.into_iter().any(|t| place_of(t) == Some(place))
        };
        verdict.right = 0 < n && n <= MOST_NAMED && n_right == n;
        verdict.partly =
            !verdict.right && n <= MOST_NAMED + 1 && (0 < n_right || vague.iter().any(right_place));
        verdict.note = if verdict.right {
            "tells most for its time".to_owned()
        } else if n == 0 {
            "no measurement of this card named".to_owned()
        } else if MOST_NAMED < n {
            format!("{n} named: one measurement, not a list")
        } else if let Some(place) = vague.first() {
            format!("{place}: say which kind of reading")
        } else if let Some(place) = strange.first() {
            format!("{place}: not among what was weighed")
        } else if 0 < n_right {
            "one of those named tells less for its time".to_owned()
        } else {
            "another tells more for its time".to_owned()
        };
        verdict
    }
}

/// Gives a piece that names a place without a kind the kinds of the next piece that has some, else of
/// the last before it.
fn lend_kinds(pieces: &mut [Piece]) {
    let own: Vec<(bool, BTreeSet<FindingKind>)> = pieces
        .iter()
        .map(|p| {
            (
                !p.places.is_empty() || !p.strange.is_empty(),
                p.kinds.clone(),
            )
        })
        .collect();
    for (at, piece) in pieces.iter_mut().enumerate() {
        // "5V0 rail, ohms to ground": the rail is the place.
        let rail = own[at].1.iter().all(|kind| *kind == FindingKind::Rail)
            && piece.text.contains("rail")
            && own
                .get(at + 1)
                .is_some_and(|(has, kinds)| !has && !kinds.is_empty());
        if !own[at].0 || !own[at].1.is_empty() && !rail {
            continue;
        }
        let next = own[at + 1..].iter().find(|(_, kinds)| !kinds.is_empty());
        let before = own[..at].iter().rev().find(|(_, kinds)| !kinds.is_empty());
        if let Some((_, kinds)) = next.or(before) {
            piece.kinds.clone_from(kinds);
        }
    }
    // A kind on its own has been lent, and names nothing more.
    let any_place = own.iter().any(|(has, _)| *has);
    for (at, piece) in pieces.iter_mut().enumerate() {
        if any_place && !own[at].0 {
            piece.kinds.clear();
        }
    }
}

/// Words that mean a kind only where no other kind is said.
const WEAK: [&str; 4] = ["rail", "level", "short", "drop"];

/// Returns the kinds that a piece speaks of.
fn kinds(holds: impl Fn(&str) -> bool) -> BTreeSet<FindingKind> {
    let of = |weak: bool| -> BTreeSet<FindingKind> {
        let named = |kind: &FindingKind| {
            let words = measure::kind_words(*kind).iter().chain(said_too(*kind));
            words.filter(|w| WEAK.contains(w) == weak).any(|w| holds(w))
        };
        FindingKind::ALL.into_iter().filter(named).collect()
    };
    let strong = of(false);
    if strong.is_empty() { of(true) } else { strong }
}

/// Returns more words of a kind, which the words of no card hold.
fn said_too(kind: FindingKind) -> &'static [&'static str] {
    match kind {
        FindingKind::Signal => &["frequency", "freq", "counter", "hertz", "trace"],
        FindingKind::Resistance => &["meter to ground", "beep", "ohming", "impedance"],
        FindingKind::Diode => &["diode check", "junction"],
        _ => &[],
    }
}

/// Returns the place of a measurement; none for one known by its kind alone.
fn place_of(test: &Test) -> Option<&str> {
    let first = test.words.first()?;
    match first.as_slice() {
        [place] => Some(place),
        _ => None,
    }
}

/// Returns the kind of a measurement; none for a test known by its name.
fn kind_of(test: &Test) -> Option<FindingKind> {
    let is = |group: &Vec<String>, kind: FindingKind| {
        let words = measure::kind_words(kind);
        !words.is_empty() && group.iter().map(String::as_str).eq(words.iter().copied())
    };
    FindingKind::ALL
        .into_iter()
        .find(|kind| test.words.iter().any(|group| is(group, *kind)))
}

/// Returns the words of the state in which it is taken, where the card tells two states apart.
fn state_words(test: &Test) -> &[String] {
    let at = usize::from(place_of(test).is_some()) + usize::from(kind_of(test).is_some());
    test.words.get(at).map_or(&[], Vec::as_slice)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::coded::table::Name;
    use crate::domain::generate::sample;
    use crate::domain::job::Finding;

    fn test(kind: FindingKind, place: &str, state: Option<&str>, right: bool) -> Test {
        let mut finding = Finding::new(kind, place);
        finding.state = state.map(str::to_owned);
        let name = Name::of(&finding);
        Test {
            say: measure::say(&name, false),
            words: measure::words(&name, place == "VGATE"),
            minutes: 1.0,
            bits: if right { 0.5 } else { 0.1 },
            right,
            results: Vec::new(),
        }
    }

    /// Right: ohms of the standby rail, and the gate supply under load.
    fn tests() -> Vec<Test> {
        use FindingKind::Current;
        use FindingKind::Diode;
        use FindingKind::Other;
        use FindingKind::Rail;
        use FindingKind::Resistance;
        use FindingKind::Signal;
        vec![
            test(Resistance, "3V3_SB", None, true),
            test(Rail, "VGATE", Some("loaded"), true),
            test(Rail, "3V3_SB", Some("standby"), false),
            test(Rail, "VGATE", Some("running"), false),
            test(Signal, "WAKE_N", Some("standby"), false),
            test(Current, "", Some("pressed"), false),
            test(Resistance, "CANH-CANL", None, false),
            test(Signal, "CANH", None, false),
            test(Diode, "SDA", None, false),
            test(Other, "flex test", None, false),
        ]
    }

    #[track_caller]
    fn check(typed: &str, right: bool, partly: bool) {
        let verdict = judge_tests(
            typed,
            &tests(),
            Some(&sample::board()),
            &Synonyms::default(),
        );
        assert_eq!(
            (verdict.right, verdict.partly),
            (right, partly),
            "{typed:?}: {:?} {}",
            verdict.named,
            verdict.note
        );
    }

    #[test]
    fn a_place_with_its_kind_is_a_measurement() {
        for typed in [
            "ohms of 3V3_SB to ground",
            "resistance 3v3_sb to ground, source off",
            "3V3_SB ohms",
            "source off, measure resistance at 3V3_SB",
            "3V3_SB to ground with the meter, power off",
            "I would measure the resistance of the 3V3_SB rail",
            "check 3V3_SB for a short to ground",
            "continuity 3V3_SB to ground",
            "3V3_SB: ohms to ground because a short means L12",
            "ohms on 3V3_SB since the draw cycles",
            "ohms at 3V3_SB, low means the capacitor, as good means U31",
            "not the volts but the ohms of 3V3_SB",
            "volts at VGATE under load",
            "VGATE voltage, loaded",
            "measure VGATE, volts",
            "VGATE",
            "VGATE under load",
            "ohms from the standby rail to ground, caps bled first",
            "resistance of the 3.3 standby to deck",
            "gate supply volts, loaded",
        ] {
            check(typed, true, false);
        }
    }

    #[test]
    fn another_measurement_is_not_right() {
        for typed in [
            "volts at 3V3_SB",
            "voltage on the 3V3_SB rail in standby",
            "3V3_SB rail",
            "WAKE_N signal",
            "scope WAKE_N",
            "draw with the button pressed",
            "current",
            "SDA in diode mode",
            "flex test",
            "do a flex test",
            "resistance between CANH and CANL",
            "CANH-CANL ohms",
            "volts at VGATE running",
            "ohms at VGATE",
            "VSYS volts",
            "replace U31",
            "3V3 ohms",
            "3V3_SBX ohms",
            "",
            "no idea",
            "measure something",
        ] {
            check(typed, false, false);
        }
    }

    #[test]
    fn a_right_one_among_others_or_a_place_without_its_kind_is_partly_right() {
        for typed in [
            "3V3_SB",
            "measure at 3V3_SB",
            "3V3_SB ohms and WAKE_N signal",
            "ohms of 3V3_SB, then volts of VSYS",
            "3V3_SB ohms, then SDA diode mode, then a flex test",
        ] {
            check(typed, false, true);
        }
        // One measurement, not a list.
        check(
            "ohms of 3V3_SB, WAKE_N signal, SDA diode, flex test",
            false,
            false,
        );
        // Two that are both right may both be named.
        check("ohms of 3V3_SB and volts of VGATE under load", true, false);
    }

    #[test]
    fn what_would_hurt_is_wrong_whatever_it_names() {
        let typed = "bridge the fuse and measure ohms at 3V3_SB";
        let verdict = judge_tests(typed, &tests(), None, &Synonyms::default());
        assert!(verdict.unsafe_answer.is_some() && !verdict.right && !verdict.partly);
    }

    #[test]
    fn the_longer_place_is_meant() {
        let named = |typed: &str| {
            let verdict = judge_tests(typed, &tests(), None, &Synonyms::default());
            (0..tests().len())
                .filter(|at| verdict.named[*at])
                .collect::<Vec<_>>()
        };
        assert_eq!(named("ohms CANH-CANL"), [6]);
        assert_eq!(named("resistance between CANH and CANL"), [6]);
        assert_eq!(named("CANH signal"), [7]);
        assert_eq!(named("ohms 3V3_SB; it tells U31 from CANH"), [0]);
    }
}
