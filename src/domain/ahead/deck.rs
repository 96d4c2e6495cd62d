//! From cards and a person's history to the plain numbers of a simulation.

use std::collections::BTreeMap;
use std::collections::HashMap;
use std::collections::HashSet;

use chrono::NaiveDate;

use crate::domain::ahead::person::CardAhead;
use crate::domain::calendar;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::history;
use crate::domain::history::CardHistory;
use crate::domain::history::History;
use crate::domain::queue::choice;
use crate::domain::queue::waiting;
use crate::domain::spread;
use crate::domain::spread::Spans;

/// Names of families by number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Families(Vec<String>);

impl Families {
    /// Returns the families of these cards and of what was spot-checked, in the order of their names.
    pub fn of(cards: &[&Card], history: &History) -> Self {
        let named = cards.iter().map(|card| card.family.clone());
        let mut all: Vec<String> = named.chain(history.spot_checks.keys().cloned()).collect();
        all.sort_unstable();
        all.dedup();
        Self(all)
    }

    /// Returns the number of a family.
    pub fn number(&self, family: &str) -> u16 {
        let place = self.0.binary_search_by(|other| other.as_str().cmp(family));
        u16::try_from(place.unwrap_or(0)).unwrap_or(u16::MAX)
    }

    /// Returns all names by number.
    pub fn names(&self) -> &[String] {
        &self.0
    }

    /// Returns how many spot checks each family had, by number.
    pub fn spot_checks(&self, history: &History) -> Vec<usize> {
        let asked = self.0.iter().map(|f| history.spot_checks.get(f));
        asked.map(|n| n.copied().unwrap_or(0)).collect()
    }
}

/// What a card waits for: a fix of one of these boards, or this very fix.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Gate<'a> {
    Boards(Vec<&'a str>),
    Fix(String),
}

/// Gates by number, and those that a fix of each board opens.
#[derive(Default)]
struct Gates<'a> {
    numbers: BTreeMap<Gate<'a>, u32>,
    of_board: HashMap<&'a str, Vec<u32>>,
}

impl<'a> Gates<'a> {
    /// Looks through the cards; a gate that no card could open is none.
    fn of(cards: &[&'a Card]) -> Self {
        let mut gates = Self::default();
        let fixes = || cards.iter().filter(|card| card.kind == CardKind::Fix);
        let boards: HashSet<&str> = fixes().map(|card| card.board.as_str()).collect();
        let keys: HashSet<String> = fixes().map(|card| card.fix_key()).collect();
        for card in cards {
            let Some(gate) = wanted(card) else { continue };
            let opens = match &gate {
                Gate::Boards(of) => of.iter().any(|board| boards.contains(board)),
                Gate::Fix(key) => keys.contains(key),
            };
            if opens && !gates.numbers.contains_key(&gate) {
                let next = u32::try_from(gates.numbers.len()).unwrap_or(u32::MAX);
                if let Gate::Boards(of) = &gate {
                    for board in of {
                        gates.of_board.entry(board).or_default().push(next);
                    }
                }
                gates.numbers.insert(gate, next);
            }
        }
        gates
    }

    fn before(&self, card: &'a Card) -> Option<u32> {
        self.numbers.get(&wanted(card)?).copied()
    }

    fn opened_by(&self, card: &Card) -> Vec<u32> {
        if card.kind != CardKind::Fix {
            return Vec::new();
        }
        let of_board = self.of_board.get(card.board.as_str());
        let of_fix = self.numbers.get(&Gate::Fix(card.fix_key()));
        of_board
            .into_iter()
            .flatten()
            .chain(of_fix)
            .copied()
            .collect()
    }
}

/// Returns what a card waits for by its kind.
fn wanted(card: &Card) -> Option<Gate<'_>> {
    if card.kind == CardKind::Expect {
        return Some(Gate::Fix(card.fix_key()));
    }
    waiting::needs_a_fix_before(card).then(|| {
        let mut boards: Vec<&str> = waiting::boards_of(card).collect();
        boards.sort_unstable();
        Gate::Boards(boards)
    })
}

/// Returns the cards of a simulation that begins on a day and levels by a target recall, with the job
/// share and the cost of a miss of each, in their order.
pub fn cards(
    cards: &[&Card],
    history: &History,
    (shares, costs): (&[f64], &[f64]),
    families: &Families,
    (day, target): (NaiveDate, f64),
) -> Vec<CardAhead> {
    let gates = Gates::of(cards);
    let known = history.of_cards(cards);
    let paces = [false, true].map(|asks| history.manner.seconds(asks));
    let spans = Spans::new(&history.weights, target);
    let mut fixes: HashMap<String, u32> = HashMap::new();
    let all = cards.iter().zip(known).zip(shares.iter().zip(costs));
    all.map(|((card, known), (share, cost))| {
        let next = u32::try_from(fixes.len()).unwrap_or(u32::MAX);
        let met = known.is_some_and(counts_as_met);
        let elapsed = known
            .and_then(|k| k.reviewed_on)
            .map_or(0, |on| calendar::elapsed(on, day));
        CardAhead {
            share: *share,
            factor: cost * choice::trust(card.support),
            seconds: paces[usize::from(card.asks_circuit())],
            family: families.number(&card.family),
            memory: known.and_then(|k| k.memory),
            reviewed: -i32::try_from(elapsed).unwrap_or(i32::MAX),
            drawn: known.and_then(|k| {
                let window = spans.window(k.memory?.stability);
                spread::drawn(window, history::spread_seed(&card.id, k))
            }),
            met,
            seen_today: known.is_some_and(|k| k.right_on == Some(day)),
            spot: card.asks_circuit(),
            rule: card.kind == CardKind::Rule,
            fix: *fixes.entry(card.fix_key()).or_insert(next),
            gate: gates.before(card),
            opens: gates.opened_by(card),
        }
    })
    .collect()
}

/// Tells whether the queue counts a card as met; one that was only ever answered rightly before a board
/// has no memory yet and counts as new.
fn counts_as_met(known: &CardHistory) -> bool {
    known.memory.is_some() || known.guessed_wrong || known.corrected
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::ahead::goal;
    use crate::domain::ahead::outlook;
    use crate::domain::ahead::outlook::Followed;
    use crate::domain::ahead::person::Person;
    use crate::domain::ahead::person::Sittings;
    use crate::domain::card::Support;
    use crate::domain::circuit::Circuits;
    use crate::domain::history::JournalLines;
    use crate::domain::history::lines_of;
    use crate::domain::memory::Weights;
    use crate::domain::price::Prices;
    use crate::domain::queue::Aim;
    use crate::domain::queue::First;
    use crate::domain::queue::Today;
    use crate::domain::queue::plan;
    use crate::domain::review::Event;
    use crate::domain::review::Grade;
    use crate::domain::review::Mode;
    use crate::domain::samples;
    use crate::domain::samples::Facts;
    use crate::domain::samples::day;
    use proptest::prelude::*;
    use std::collections::BTreeSet;
    use std::sync::LazyLock;

    static PRICES: LazyLock<Prices> = LazyLock::new(|| Prices::new(&Weights::published()));

    /// Forty cards on two boards, two of each fix; kinds that wait and bench rules among them.
    fn deck() -> Vec<Card> {
        let families = ["standby", "sequence", "buck", "core", "clock"];
        (0..40)
            .map(|i: usize| {
                let part = format!("U{}", i / 2);
                let mut card = samples::card(&format!("c{i:03}"), families[i % 5], &part);
                card.board = ["petrel-p4", "skua-e6"][i / 4 % 2].to_owned();
                card.kind = match i % 8 {
                    3 => CardKind::Expect,
                    5 => CardKind::Stop,
                    7 => CardKind::Rule,
                    _ => CardKind::Fix,
                };
                card.support = [Support::Single, Support::Thin, Support::Supported][i % 3];
                card
            })
            .collect()
    }

    fn history(cards: &[Card], answers: &[(usize, i64, Grade)]) -> History {
        let entries = answers.iter().zip(1..).map(|(&(card, on, grade), seq)| {
            let answered = samples::answered(&cards[card], grade);
            samples::entry(seq, on, Event::Answer(Box::new(answered)))
        });
        let journal = JournalLines {
            person: "mk".to_owned(),
            bench: "b7".to_owned(),
            entries: entries.collect(),
        };
        History::fold(&lines_of("mk", &[journal]).0, &Facts::of(cards))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        #[test]
        fn a_simulated_day_holds_the_very_cards_of_the_daily_queue(
            answers in proptest::collection::vec((0..40_usize, 0..20_i64, 0..4_usize), 0..90),
            minutes in 1.0..25.0,
            target in 0.8..0.97,
            steady: bool,
            date in 0..40_u32,
            every in 1..4_usize,
            most in 0.5..20.0,
        ) {
            let deck = deck();
            let mut answers: Vec<(usize, i64, Grade)> = answers
                .into_iter()
                .map(|(card, on, grade)| (card, on, Grade::ALL[grade]))
                .collect();
            answers.sort_by_key(|(_, on, _)| *on);
            let history = history(&deck, &answers);
            let all: Vec<&Card> = deck.iter().collect();
            // No two are worth the same, so that ties are nobody's choice.
            let shares: Vec<f64> = (0..40).map(|i| 1.0 / f64::from(i * 7 % 40 + 3)).collect();
            let costs = vec![1.0; all.len()];
            let aim = if steady { Aim::Steady } else { Aim::Readiness };
            let today = day(21);
            let families = Families::of(&all, &history);
            let person = Person {
                cards: cards(&all, &history, (&shares, &costs), &families, (today, target)),
                spot_checks: families.spot_checks(&history),
                spots: 4,
                weights: history.weights.clone(),
                answers: history.manner.habits(),
                manner: history.manner,
                aim,
                target,
                sittings: Sittings { minutes, chance: [1.0; 7], sat_today: false },
            };
            // On half of them there is a day to be ready by, for all cards or some.
            let mut outset = (20 < date).then(|| goal::outset(&person, date - 20));
            let seconds = if every == 1 { f64::INFINITY } else { most * 60.0 };
            let is_meant = |at: usize| at.is_multiple_of(every);
            if let Some(outset) = &mut outset {
                for (at, rate) in outset.rates.iter_mut().enumerate() {
                    *rate = if is_meant(at) { *rate } else { 0.0 };
                }
            }
            let asks = plan(&Today {
                cards: &all,
                history: &history,
                circuits: &Circuits::with_shop(&[], false),
                shares: &shares,
                costs: &costs,
                prices: &PRICES,
                aim,
                first: outset.as_ref().map(|outset| First {
                    rates: &outset.rates,
                    seconds,
                }),
                day: today,
                target,
                minutes,
                seed: 1,
                only_spot_checks: None,
            });
            let of_mode = |spot: bool| -> BTreeSet<u32> {
                let asks = asks.iter().filter(|ask| (ask.mode == Mode::SpotCheck) == spot);
                asks.map(|ask| u32::try_from(ask.card).expect("few")).collect()
            };
            let spots: Vec<u32> = of_mode(true).into_iter().collect();
            let planned = outset.map(|outset| Followed {
                days: outset
                    .days
                    .into_iter()
                    .enumerate()
                    .map(|(at, days)| is_meant(at).then_some(days))
                    .collect(),
                seconds,
            });
            let planned = planned.as_ref().map(|plan| (plan, date - 20));
            let chosen = outlook::first_sitting(&person, &PRICES, &spots, planned);
            prop_assert_eq!(chosen, of_mode(false));
        }
    }

    #[test]
    fn what_waits_is_behind_a_gate_that_its_fix_opens() {
        let deck = deck();
        let all: Vec<&Card> = deck.iter().collect();
        let history = history(&deck, &[]);
        let shares = vec![1.0 / 40.0; 40];
        let families = Families::of(&all, &history);
        let found = cards(&all, &history, (&shares, &shares), &families, (day(1), 0.9));
        let gate = found[5]
            .gate
            .expect("a stop card waits for a fix of its board");
        assert!(found[4].opens.contains(&gate) && !found[0].opens.contains(&gate));
        let of_fix = found[3].gate.expect("what a fix shows waits for that fix");
        assert!(found[2].opens.contains(&of_fix) && !found[4].opens.contains(&of_fix));
        assert!(found[0].gate.is_none() && found[7].gate.is_none());
        assert_eq!(families.names().len(), 5);
        assert!(found[2].fix == found[3].fix && found[2].fix != found[4].fix);
    }
}
