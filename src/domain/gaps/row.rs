//! One circuit family of one person: what was asked, what was said, what is held.
//!
//! Circuit and fix are counted apart, and the fix only where it was typed: what was said aloud the
//! program did not hear. A verdict that the person overruled counts as recorded, and is counted.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::circuit::FamilyId;
use crate::domain::gaps::WIDEST;
use crate::domain::gaps::forecast;
use crate::domain::gaps::forecast::Recalled;
use crate::domain::gaps::spots::Answers;
use crate::domain::gaps::spots::Spot;
use crate::domain::history;
use crate::domain::interval;
use crate::domain::interval::Interval;
use crate::domain::units::count;

/// How much a number of answers says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Never asked: nothing is known, good or bad.
    Unmeasured,
    /// The interval is wider than 40 points.
    NotEnough,
    /// The interval is narrow enough to be shown.
    Measured,
}

impl State {
    /// Returns the words a person reads; none where a number stands.
    pub fn words(self) -> &'static str {
        match self {
            Self::Unmeasured => "unmeasured",
            Self::NotEnough => "not enough yet",
            Self::Measured => "measured",
        }
    }

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::NotEnough => "not-enough",
            other => other.words(),
        }
    }
}

/// So many right out of so many.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Share {
    /// Right.
    pub right: usize,
    /// Asked.
    pub asked: usize,
}

impl Share {
    /// Counts the verdicts that there are.
    fn of(verdicts: impl Iterator<Item = Option<bool>>) -> Self {
        verdicts
            .flatten()
            .fold(Self::default(), |share, right| Self {
                right: share.right + usize::from(right),
                asked: share.asked + 1,
            })
    }

    /// Returns the Wilson 95 % interval; none without any.
    pub fn limits(self) -> Option<Interval> {
        interval::wilson(self.right, self.asked)
    }

    /// Tells how much it says.
    pub fn state(self) -> State {
        match self.limits() {
            None => State::Unmeasured,
            Some(limits) if WIDEST < limits.width() => State::NotEnough,
            Some(_) => State::Measured,
        }
    }

    /// Returns share and limits where they may be told: measured, not less.
    pub fn told(self) -> Option<(f64, Interval)> {
        let limits = self.limits()?;
        (self.state() == State::Measured).then(|| (count(self.right) / count(self.asked), limits))
    }
}

/// What the memory model expected of the spot checks that it had a forecast for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Expected number recalled, with what chance alone does to it.
    pub model: Recalled,
    /// Number recalled, by the grades kept.
    pub recalled: usize,
    /// Brier score.
    pub brier: f64,
    /// Log loss, in nats.
    pub log_loss: f64,
}

/// Median seconds from the card's appearance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seconds {
    /// To the circuit.
    pub circuit: f64,
    /// To the fix, the circuit included.
    pub answer: f64,
}

/// One card in use for the person.
#[derive(Clone, Debug, PartialEq)]
pub struct Holding {
    /// Family.
    pub family: FamilyId,
    /// Share of the shop's jobs.
    pub share: f64,
    /// Met.
    pub met: bool,
    /// Chance of recall today, once it has a memory.
    pub recall: Option<f64>,
    /// A spot check may ask it today: it has a memory and was not seen today.
    pub askable: bool,
}

/// What a person holds of one family's cards.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Held {
    /// Cards in use.
    pub cards: usize,
    /// Of them met.
    pub met: usize,
    /// Share of this family's jobs that the met cards stand for; none where there are no cards.
    pub coverage: Option<f64>,
    /// Met cards that would be recalled now; none where none has a memory.
    pub now: Option<Recalled>,
    /// Cards that a spot check may ask today.
    pub askable: usize,
}

/// One circuit that was taken for another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Confusion {
    /// Circuit asked for.
    pub asked: FamilyId,
    /// Circuit said; empty for not known.
    pub said: FamilyId,
    /// How often.
    pub n: usize,
}

/// Everything about one family, or about all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Circuit right, in spot checks.
    pub circuit: Share,
    /// Fix right where typed, in spot checks.
    pub fix: Share,
    /// Different cards asked.
    pub on_cards: usize,
    /// Spot checks whose fix was said aloud.
    pub aloud: usize,
    /// Spot checks whose verdict the person overruled.
    pub overruled: usize,
    /// What was said instead, most often first.
    pub confused: Vec<Confusion>,
    /// How often this family was said where another was asked.
    pub said_for_others: usize,
    /// Spot checks answered surely and wrongly.
    pub sure_and_wrong: usize,
    /// What the memory model expected; none where it had no forecast.
    pub expected: Option<Expected>,
    /// Median seconds; none without a spot check.
    pub seconds: Option<Seconds>,
    /// First meetings: circuit guessed right.
    pub cold_circuit: Share,
    /// First meetings: fix guessed right where typed.
    pub cold_fix: Share,
    /// Cards.
    pub held: Held,
}

impl Row {
    /// Returns the number of spot checks whose circuit or fix was judged.
    pub fn spots(&self) -> usize {
        self.circuit.asked.max(self.fix.asked + self.aloud)
    }
}

/// Returns the row of `family`, or of all families together.
pub fn row(family: Option<&str>, answers: &Answers, holdings: &[Holding]) -> Row {
    let is_of = |of: &str| family.is_none_or(|family| family == of);
    let spots: Vec<&Spot> = answers.spots.iter().filter(|s| is_of(&s.family)).collect();
    let cold: Vec<&Spot> = answers.cold.iter().filter(|s| is_of(&s.family)).collect();
    let n = |test: &dyn Fn(&Spot) -> bool| spots.iter().filter(|s| test(s)).count();
    Row {
        circuit: Share::of(spots.iter().map(|s| s.circuit)),
        fix: Share::of(spots.iter().map(|s| s.fix)),
        on_cards: spots
            .iter()
            .map(|s| s.card.as_str())
            .collect::<BTreeSet<&str>>()
            .len(),
        aloud: n(&|s| s.aloud),
        overruled: n(&|s| s.overruled),
        confused: confused(spots.iter().copied()),
        said_for_others: family.map_or(0, |family| {
            let taken = |s: &&Spot| s.circuit == Some(false) && s.said.as_deref() == Some(family);
            answers.spots.iter().filter(taken).count()
        }),
        sure_and_wrong: n(&Spot::sure_and_wrong),
        expected: expected(&spots),
        seconds: seconds(&spots),
        cold_circuit: Share::of(cold.iter().map(|s| s.circuit)),
        cold_fix: Share::of(cold.iter().map(|s| s.fix)),
        held: held(holdings.iter().filter(|h| is_of(&h.family))),
    }
}

/// Returns every wrong circuit said, most often first; a contributing circuit is right.
pub fn confused<'a>(spots: impl Iterator<Item = &'a Spot>) -> Vec<Confusion> {
    let mut pairs: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for spot in spots.filter(|s| s.circuit == Some(false)) {
        if let Some(said) = &spot.said {
            *pairs.entry((&spot.family, said)).or_default() += 1;
        }
    }
    let mut found: Vec<Confusion> = pairs
        .into_iter()
        .map(|((asked, said), n)| Confusion {
            asked: asked.to_owned(),
            said: said.to_owned(),
            n,
        })
        .collect();
    found.sort_by_key(|pair| std::cmp::Reverse(pair.n));
    found
}

fn expected(spots: &[&Spot]) -> Option<Expected> {
    let forecasts: Vec<(f64, bool)> = spots
        .iter()
        .filter_map(|s| Some((s.expected?, s.recalled)))
        .collect();
    let chances: Vec<f64> = forecasts.iter().map(|(p, _)| *p).collect();
    Some(Expected {
        model: forecast::recalled(&chances)?,
        recalled: forecasts.iter().filter(|(_, recalled)| *recalled).count(),
        brier: forecast::brier(&forecasts)?,
        log_loss: forecast::log_loss(&forecasts)?,
    })
}

fn seconds(spots: &[&Spot]) -> Option<Seconds> {
    if spots.is_empty() {
        return None;
    }
    let median = |times: Vec<u64>| {
        #[expect(clippy::cast_precision_loss, reason = "milliseconds of one card")]
        let ms = history::median(&times) as f64;
        ms / 1000.0
    };
    Some(Seconds {
        circuit: median(spots.iter().map(|s| s.ms.circuit).collect()),
        answer: median(spots.iter().map(|s| s.ms.thinking()).collect()),
    })
}

fn held<'a>(holdings: impl Iterator<Item = &'a Holding>) -> Held {
    let mut found = Held::default();
    let (mut all, mut met) = (0.0, 0.0);
    let mut chances = Vec::new();
    for holding in holdings {
        found.cards += 1;
        found.met += usize::from(holding.met);
        found.askable += usize::from(holding.askable);
        all += holding.share;
        met += if holding.met { holding.share } else { 0.0 };
        chances.extend(holding.recall);
    }
    // Where the shop weighs a whole family with nothing, its cards count alike.
    found.coverage = if 0.0 < all {
        Some((met / all).min(1.0))
    } else {
        (0 < found.cards).then(|| count(found.met) / count(found.cards))
    };
    found.now = forecast::recalled(&chances);
    found
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::domain::review::Millis;
    use crate::domain::review::Sure;
    use crate::domain::samples::day;

    /// Returns a spot check of `asked` where `said` was said; wrong unless they are the same.
    pub(crate) fn spot(asked: &str, said: &str) -> Spot {
        Spot {
            card: format!("card of {asked}"),
            family: asked.to_owned(),
            day: day(1),
            said: Some(said.to_owned()),
            circuit: Some(asked == said),
            fix: Some(asked == said),
            aloud: false,
            overruled: false,
            sure: Sure::Fair,
            recalled: asked == said,
            ms: Millis {
                circuit: 3000,
                answer: 4000,
                reveal: 9000,
            },
            expected: Some(0.9),
        }
    }

    fn of(spots: Vec<Spot>) -> Answers {
        Answers {
            spots,
            cold: Vec::new(),
        }
    }

    fn n(row: &Row, said: &str) -> usize {
        let pair = row.confused.iter().find(|c| c.said == said);
        pair.map_or(0, |pair| pair.n)
    }

    /// Returns spot checks that fill a matrix, rows asked and columns said.
    fn matrix(names: &[&str], cells: &[&[usize]]) -> Answers {
        let mut spots = Vec::new();
        for (asked, row) in names.iter().zip(cells) {
            for (said, n) in names.iter().zip(*row) {
                spots.extend((0..*n).map(|_| spot(asked, said)));
            }
        }
        of(spots)
    }

    #[test]
    fn pairs_are_the_confusion_matrix_of_the_librarys_documentation() {
        // scikit-learn, documentation of confusion_matrix: true [2,0,2,2,0,1], predicted
        // [0,0,2,2,0,2] gives [[2,0,0],[0,0,1],[1,0,2]].
        let pairs = ["20", "00", "22", "22", "00", "12"];
        let spots = pairs.iter().map(|p| spot(&p[..1], &p[1..])).collect();
        let answers = of(spots);
        let expected: [[usize; 3]; 3] = [[2, 0, 0], [0, 0, 1], [1, 0, 2]];
        for (asked, line) in ["0", "1", "2"].iter().zip(expected) {
            let row = row(Some(asked), &answers, &[]);
            for (said, cell) in ["0", "1", "2"].iter().zip(line) {
                let found = if said == asked {
                    row.circuit.right
                } else {
                    n(&row, said)
                };
                assert_eq!(found, cell, "asked {asked}, said {said}");
            }
        }
        assert_eq!(row(None, &answers, &[]).confused.len(), 2);
    }

    #[test]
    fn hits_and_false_alarms_agree_with_a_general_library() {
        // Own table of sixty answers; accuracy, recall and precision by scikit-learn 1.9.1.
        let names = ["buck", "core", "inlet", "clock"];
        let cells: [&[usize]; 4] = [
            &[14, 2, 0, 1],
            &[3, 11, 1, 0],
            &[0, 2, 9, 1],
            &[1, 0, 2, 13],
        ];
        let answers = matrix(&names, &cells);
        let share = |share: Share| count(share.right) / count(share.asked);
        let whole = row(None, &answers, &[]);
        assert!((share(whole.circuit) - 0.783_333_33).abs() < 6e-9);
        let recall = [0.823_529_41, 0.733_333_33, 0.75, 0.812_5];
        let precision = [0.777_777_78, 0.733_333_33, 0.75, 0.866_666_67];
        for ((name, recall), precision) in names.iter().zip(recall).zip(precision) {
            let row = row(Some(name), &answers, &[]);
            assert!((share(row.circuit) - recall).abs() < 6e-9, "{name}");
            let said = count(row.circuit.right + row.said_for_others);
            let found = count(row.circuit.right) / said;
            assert!((found - precision).abs() < 6e-9, "{name}");
        }
    }

    #[test]
    fn a_contributing_circuit_is_right_and_no_confusion() {
        let mut contributing = spot("buck", "interconnect");
        contributing.circuit = Some(true);
        let row = row(Some("buck"), &of(vec![contributing]), &[]);
        assert_eq!(row.circuit, Share { right: 1, asked: 1 });
        assert!(row.confused.is_empty());
    }

    #[test]
    fn fixes_count_only_where_typed_and_overruled_ones_are_counted() {
        let mut aloud = spot("buck", "buck");
        aloud.fix = None;
        aloud.aloud = true;
        let mut overruled = spot("buck", "buck");
        overruled.overruled = true;
        let answers = of(vec![aloud, overruled, spot("buck", "core")]);
        let row = row(Some("buck"), &answers, &[]);
        assert_eq!(row.circuit, Share { right: 2, asked: 3 });
        assert_eq!(row.fix, Share { right: 1, asked: 2 });
        assert_eq!((row.aloud, row.overruled), (1, 1));
    }

    #[test]
    fn a_share_says_nothing_before_its_interval_is_narrow_enough() {
        let state = |right, asked| Share { right, asked }.state();
        assert_eq!(state(0, 0), State::Unmeasured);
        // Widths by statsmodels 0.15.0: 7/10 0.4954, 17/20 0.3081, 0/5 0.4345, 9/10 0.3863.
        assert_eq!(state(7, 10), State::NotEnough);
        assert_eq!(state(0, 5), State::NotEnough);
        assert_eq!(state(9, 10), State::Measured);
        assert_eq!(state(17, 20), State::Measured);
        assert_eq!(
            Share {
                right: 7,
                asked: 10
            }
            .told(),
            None
        );
    }

    #[test]
    fn the_model_is_held_against_what_happened() {
        let mut spots = vec![spot("buck", "buck"), spot("buck", "core")];
        spots[0].expected = Some(0.9);
        spots[1].expected = Some(0.8);
        spots.push(Spot {
            expected: None,
            ..spot("buck", "buck")
        });
        let row = row(Some("buck"), &of(spots), &[]);
        let expected = row.expected.expect("two forecasts");
        assert_eq!((expected.model.of, expected.recalled), (2, 1));
        assert!((expected.model.mean - 1.7).abs() < 1e-12);
        // (0.1² + 0.8²) / 2, by hand.
        assert!((expected.brier - 0.325).abs() < 1e-12);
    }

    #[test]
    fn coverage_weighs_cards_by_their_jobs() {
        let card = |share, met, recall| Holding {
            family: "buck".to_owned(),
            share,
            met,
            recall,
            askable: met,
        };
        let holdings = [
            card(0.3, true, Some(0.9)),
            card(0.1, true, None),
            card(0.1, false, None),
            Holding {
                family: "core".to_owned(),
                ..card(0.5, false, None)
            },
        ];
        let answers = Answers::default();
        let buck = row(Some("buck"), &answers, &holdings).held;
        assert_eq!((buck.cards, buck.met, buck.askable), (3, 2, 2));
        assert!(buck.coverage.is_some_and(|c| (c - 0.8).abs() < 1e-12));
        assert_eq!(buck.now.map(|now| now.of), Some(1));
        let all = row(None, &answers, &holdings).held;
        assert!(all.coverage.is_some_and(|c| (c - 0.4).abs() < 1e-12));
        assert_eq!(
            row(Some("inlet"), &answers, &holdings).held,
            Held::default()
        );
    }

    #[test]
    fn seconds_are_medians_from_the_cards_appearance() {
        let mut spots = vec![
            spot("buck", "buck"),
            spot("buck", "buck"),
            spot("buck", "buck"),
        ];
        spots[1].ms.circuit = 5000;
        spots[2].ms.circuit = 600_000;
        let seconds = row(Some("buck"), &of(spots), &[]).seconds.expect("answers");
        assert!((seconds.circuit - 5.0).abs() < 1e-12);
        assert!((seconds.answer - 9.0).abs() < 1e-12);
    }
}
