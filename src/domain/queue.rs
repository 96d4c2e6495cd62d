//! What to drill today.
//!
//! Cards whose recall has fallen to the target come first, greatest (target − R) × job share first;
//! then cards not met yet, commonest fault first. Four spot checks ride along, drawn evenly over the
//! cards already met, families with the fewest first. The sitting fits its minutes; whoever was away
//! sees one sitting, never a pile. Families new to the person come in a short block, then mix with
//! their look-alikes; no two cards of one fix stand side by side.
//!
//! Bench rules have no jobs. Each weighs as much as a card of the archive does on the mean, and of a
//! day's new cards every fourth is a rule, those about a hazard first: they hold at every board, and
//! nobody should have to wait for them until the archive is through, nor meet nothing else. What tells
//! look-alikes apart, when to stop and what was missed wait until a fix of the board was met; a pattern
//! over several boards, until one of any of them was; which readings a fix shows, until that fix was met
//! on an earlier day.
//!
//! The limits (new cards a day, rules among them, length of a block) are common practice, no source. Mixing look-alikes
//! after a first block follows Brunmair & Richter 2019, Psychological Bulletin 145:1029-1052.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;
use std::collections::VecDeque;

use chrono::Months;
use chrono::NaiveDate;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

use crate::domain::calendar;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Support;
use crate::domain::circuit::Circuits;
use crate::domain::history::CardHistory;
use crate::domain::history::History;
use crate::domain::job::Job;
use crate::domain::review::Mode;
use crate::domain::units::count;

/// Spot checks that ride along in a sitting.
pub const SPOT_CHECKS: usize = 4;
/// New cards a person meets in one day at most.
pub const NEW_A_DAY: usize = 12;
/// Bench rules among them, while other cards wait.
pub const NEW_RULES_A_DAY: usize = 3;
/// Cards of a family new to the person that stand together.
pub const BLOCK: usize = 3;
/// How many months of jobs make the job share.
pub const SHARE_MONTHS: u32 = 24;
/// A new card is often missed and asked again: its share of extra time.
const NEW_CARD_COST: f64 = 1.5;
/// How far down the order the mixing may reach for a better neighbour.
const WINDOW: usize = 6;

/// One card to ask.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// Index into the cards given.
    pub card: usize,
    /// Why it is asked.
    pub mode: Mode,
    /// First of a block of a family new to the person.
    pub opens_family: bool,
    /// Asked again after a miss in this sitting.
    pub again: bool,
}

/// What the queue is made from.
#[derive(Clone, Copy, Debug)]
pub struct Today<'a> {
    /// Cards in use for this person (tagged ones already left out).
    pub cards: &'a [&'a Card],
    /// The person's practice so far.
    pub history: &'a History,
    /// Families and their look-alikes.
    pub circuits: &'a Circuits,
    /// Job share of each card, same order as `cards`.
    pub shares: &'a [f64],
    /// Bench day.
    pub day: NaiveDate,
    /// Target recall.
    pub target: f64,
    /// Minutes for the sitting.
    pub minutes: f64,
    /// Seed of the sitting's chance.
    pub seed: u64,
    /// Ask this many spot checks and nothing else.
    pub only_spot_checks: Option<usize>,
}

/// Returns each card's share of the shop's jobs of the last 24 months, smoothed; they add up to 1.
///
/// Half a job is added to every card, so that a rare fault keeps a small share; `incoming` raises the
/// boards the shop expects. The jobs of two look-alikes count half for the card that tells them apart,
/// and those of a fix for the card that gives it and asks for its readings.
/// A bench rule gets the mean of the other cards (common practice, no source).
pub fn job_shares(
    cards: &[&Card],
    jobs: &[Job],
    as_of: NaiveDate,
    incoming: &BTreeMap<String, f64>,
) -> Vec<f64> {
    let since = as_of
        .checked_sub_months(Months::new(SHARE_MONTHS))
        .unwrap_or(NaiveDate::MIN);
    let recent: HashSet<&str> = jobs
        .iter()
        .filter(|j| since <= j.closed_on && j.closed_on <= as_of)
        .map(|j| j.job.as_str())
        .collect();
    let weight = |card: &Card| {
        let k = card
            .jobs
            .iter()
            .filter(|j| recent.contains(j.as_str()))
            .count();
        // The jobs of two look-alikes, or of several boards, weigh as much as those of one card.
        let looks = match card.kind {
            CardKind::Expect => 2.0,
            _ => count(card.sides.len().max(card.boards.len()).max(1)),
        };
        let raise = incoming.get(&card.board).copied().unwrap_or(1.0).max(0.0);
        (count(k) / looks + 0.5) * raise
    };
    let counted: Vec<f64> = cards
        .iter()
        .filter(|card| card.kind != CardKind::Rule)
        .map(|card| weight(card))
        .collect();
    let mean = if counted.is_empty() {
        1.0
    } else {
        counted.iter().sum::<f64>() / count(counted.len())
    };
    let raw: Vec<f64> = cards
        .iter()
        .map(|card| match card.kind {
            CardKind::Rule => mean,
            _ => weight(card),
        })
        .collect();
    let sum: f64 = raw.iter().sum();
    raw.into_iter()
        .map(|r| if sum > 0.0 { r / sum } else { 0.0 })
        .collect()
}

/// Returns the asks of one sitting, in order.
pub fn plan(today: &Today<'_>) -> Vec<Ask> {
    let mut chance = ChaCha12Rng::seed_from_u64(today.seed);
    let wanted = today.only_spot_checks.unwrap_or(SPOT_CHECKS);
    let known = today.history.of_cards(today.cards);
    let spots = draw_spot_checks(today, &known, wanted, &mut chance);
    if today.only_spot_checks.is_some() {
        return spots
            .into_iter()
            .map(|card| ask(card, Mode::SpotCheck))
            .collect();
    }
    let drawn: BTreeSet<usize> = spots.iter().copied().collect();
    let pace = today.history.pace.seconds();
    let mut left = today.minutes * 60.0 - count(spots.len()) * pace;
    let mut planned = spots.len();
    // However slow the person or short the sitting, one card is always asked.
    let mut fits = |seconds: f64| {
        let fits = planned == 0 || seconds <= left;
        if fits {
            left -= seconds;
            planned += 1;
        }
        fits
    };
    let due: Vec<usize> = due_among(today, &known)
        .into_iter()
        .filter(|card| !drawn.contains(card))
        .take_while(|_| fits(pace))
        .collect();
    let room = NEW_A_DAY.saturating_sub(today.history.met_on(today.day));
    let fresh: Vec<usize> = deal_in_rules(today, &known, unmet_among(today, &known))
        .into_iter()
        .take(room)
        .take_while(|_| fits(pace * NEW_CARD_COST))
        .collect();
    // What someone learned otherwise is put right before anything else is asked.
    let was_corrected = |card: &usize| known[*card].is_some_and(|h| h.corrected);
    let (corrected, due): (Vec<usize>, Vec<usize>) = due.into_iter().partition(was_corrected);
    let first = corrected.into_iter().map(|card| ask(card, Mode::Drill));
    first
        .chain(arrange(today, &known, &due, &spots, &fresh))
        .collect()
}

/// Returns the asks of a refresh before a board: the cards called `ids`, in that order.
pub fn exactly(cards: &[&Card], ids: &[String]) -> Vec<Ask> {
    let mut places: HashMap<&str, usize> = HashMap::new();
    for (at, card) in cards.iter().enumerate() {
        places.entry(&card.id).or_insert(at);
    }
    ids.iter()
        .filter_map(|id| places.get(id.as_str()))
        .map(|card| ask(*card, Mode::Brief))
        .collect()
}

/// What the person did with each card of today, in their order.
type Known<'a> = [Option<&'a CardHistory>];

/// Returns the cards that are due: first those that were corrected since the person learned them, then
/// by how far recall has fallen below the target, times the card's share of the jobs.
fn due_among(today: &Today<'_>, known: &Known<'_>) -> Vec<usize> {
    let mut due: Vec<(bool, f64, usize)> = (0..today.cards.len())
        .filter_map(|i| {
            let card = today.cards[i];
            let history = known[i]?;
            if history.right_on == Some(today.day) {
                return None;
            }
            let recall = if let Some(recall) = today.history.recall_of(history, today.day) {
                let wait = today
                    .history
                    .next_days_of(&card.id, history, today.target)?;
                (wait <= calendar::elapsed(history.reviewed_on?, today.day)).then_some(recall)?
            } else if history.guessed_wrong || history.corrected {
                0.0
            } else {
                return None;
            };
            let worth = (today.target - recall).max(0.0) * today.shares[i];
            Some((history.corrected, worth, i))
        })
        .collect();
    due.sort_by(|a, b| {
        b.0.cmp(&a.0)
            .then_with(|| b.1.total_cmp(&a.1))
            .then_with(|| today.cards[a.2].id.cmp(&today.cards[b.2].id))
    });
    due.into_iter().map(|(_, _, i)| i).collect()
}

/// Puts a rule after every three other new cards, up to the day's number; what is left of them comes
/// when nothing else is new.
fn deal_in_rules(today: &Today<'_>, known: &Known<'_>, fresh: Vec<usize>) -> Vec<usize> {
    let is_rule = |i: &usize| today.cards[*i].kind == CardKind::Rule;
    let met = (0..today.cards.len())
        .filter(is_rule)
        .filter(|&i| known[i].and_then(|h| h.met_on) == Some(today.day))
        .count();
    let (rules, others): (Vec<usize>, Vec<usize>) = fresh.into_iter().partition(is_rule);
    let every = NEW_A_DAY / (NEW_RULES_A_DAY + 1);
    let mut room = NEW_RULES_A_DAY.saturating_sub(met);
    let mut rules = rules.into_iter();
    let mut dealt = Vec::new();
    for (n, card) in others.into_iter().enumerate() {
        if n % every == every - 1 && 0 < room {
            dealt.extend(rules.next());
            room -= 1;
        }
        dealt.push(card);
    }
    dealt.extend(rules);
    dealt
}

/// Returns the cards not met yet, commonest first; better supported ones first among equals, and
/// rules about a hazard before all other rules.
///
/// A card that was only ever answered rightly before a board counts as not met from the next day on:
/// it has no memory yet that could make it due.
fn unmet_among(today: &Today<'_>, known: &Known<'_>) -> Vec<usize> {
    let weight = |i: usize| {
        let trust = match today.cards[i].support {
            Support::Single => 0.5,
            Support::Thin => 0.75,
            Support::Supported => 1.0,
        };
        today.shares[i] * trust
    };
    let hazard = |i: usize| {
        let card = &today.cards[i];
        card.kind == CardKind::Rule && !card.cautions.is_empty()
    };
    let with_fixes = boards_with_fixes(today);
    let ready = ready_boards(today, known);
    let known_fixes = known_fixes(today, known);
    let mut fresh: Vec<usize> = (0..today.cards.len())
        .filter(|&i| {
            known[i].is_none_or(|h| {
                let only_briefed = h.memory.is_none() && !h.guessed_wrong && !h.corrected;
                h.seen_on.is_none() || only_briefed && h.right_on != Some(today.day)
            })
        })
        .filter(|&i| {
            let card = today.cards[i];
            !needs_a_fix_before(card)
                || boards_of(card).any(|board| ready.contains(board))
                || !boards_of(card).any(|board| with_fixes.contains(board))
        })
        .filter(|&i| {
            let card = today.cards[i];
            card.kind != CardKind::Expect || known_fixes.contains(&card.fix_key())
        })
        .collect();
    fresh.sort_by(|&a, &b| {
        weight(b)
            .total_cmp(&weight(a))
            .then_with(|| hazard(b).cmp(&hazard(a)))
            .then_with(|| today.cards[a].id.cmp(&today.cards[b].id))
    });
    fresh
}

/// Tells whether a card makes sense only to someone who has met a fix of its board, or of one of its
/// boards.
fn needs_a_fix_before(card: &Card) -> bool {
    card.is_across()
        || matches!(
            card.kind,
            CardKind::Next | CardKind::Contrast | CardKind::Stop | CardKind::Caution
        )
}

/// Returns the board of a card, or the boards whose jobs a pattern over several rests on.
fn boards_of(card: &Card) -> impl Iterator<Item = &str> {
    let across = card.boards.iter().filter(|s| 0 < s.k);
    let own = Some(card.board.as_str()).filter(|_| !card.is_across());
    own.into_iter().chain(across.map(|s| s.board.as_str()))
}

/// Returns the boards that have a fix to meet.
fn boards_with_fixes<'a>(today: &Today<'a>) -> BTreeSet<&'a str> {
    let fixes = today.cards.iter().filter(|c| c.kind == CardKind::Fix);
    fixes.map(|card| card.board.as_str()).collect()
}

fn met(card: Option<&CardHistory>) -> bool {
    card.is_some_and(|card| card.seen_on.is_some())
}

/// Returns the boards of which the person has met a fix.
fn ready_boards<'a>(today: &Today<'a>, known: &Known<'_>) -> BTreeSet<&'a str> {
    today
        .cards
        .iter()
        .zip(known)
        .filter(|(card, known)| card.kind == CardKind::Fix && met(**known))
        .map(|(card, _)| card.board.as_str())
        .collect()
}

/// Returns the keys of the fixes that the person met before today, and of those that no card asks for.
fn known_fixes(today: &Today<'_>, known: &Known<'_>) -> HashSet<String> {
    let fixes = || {
        let cards = today.cards.iter().zip(known);
        cards.filter(|(card, _)| card.kind == CardKind::Fix)
    };
    let asked: HashSet<String> = fixes().map(|(card, _)| card.fix_key()).collect();
    let before = |card: &CardHistory| card.met_on.is_some_and(|day| day < today.day);
    let mut keys: HashSet<String> = fixes()
        .filter(|(_, known)| known.is_some_and(before))
        .map(|(card, _)| card.fix_key())
        .collect();
    let alone = today.cards.iter().filter(|c| c.kind == CardKind::Expect);
    keys.extend(
        alone
            .map(|c| c.fix_key())
            .filter(|key| !asked.contains(key)),
    );
    keys
}

fn ask(card: usize, mode: Mode) -> Ask {
    Ask {
        card,
        mode,
        opens_family: false,
        again: false,
    }
}

/// Draws up to `n` met cards not seen today: a family with the fewest spot checks first, then any of
/// its cards with equal chance. Spot checks measure circuits: only cards that ask for one are drawn.
fn draw_spot_checks(
    today: &Today<'_>,
    known: &Known<'_>,
    n: usize,
    chance: &mut ChaCha12Rng,
) -> Vec<usize> {
    let mut pools: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, card) in today.cards.iter().enumerate() {
        let met = known[i].is_some_and(|h| h.memory.is_some() && h.seen_on != Some(today.day));
        if met && card.asks_circuit() {
            pools.entry(&card.family).or_default().push(i);
        }
    }
    let mut asked = today.history.spot_checks.clone();
    let mut drawn = Vec::new();
    while drawn.len() < n && !pools.is_empty() {
        let fewest = pools
            .keys()
            .map(|family| asked.get(*family).copied().unwrap_or(0))
            .min()
            .expect("a pool is left");
        let equal: Vec<&str> = pools
            .keys()
            .copied()
            .filter(|family| asked.get(*family).copied().unwrap_or(0) == fewest)
            .collect();
        let family = equal[chance.random_range(0..equal.len())];
        let pool = pools.get_mut(family).expect("the family has a pool");
        drawn.push(pool.swap_remove(chance.random_range(0..pool.len())));
        if pool.is_empty() {
            pools.remove(family);
        }
        *asked.entry(family.to_owned()).or_default() += 1;
    }
    drawn
}

/// Puts the asks in order: due and known families mixed, spot checks spread over them, blocks of new
/// families between.
fn arrange(
    today: &Today<'_>,
    known: &Known<'_>,
    due: &[usize],
    spots: &[usize],
    fresh: &[usize],
) -> Vec<Ask> {
    let known: BTreeSet<&str> = today
        .cards
        .iter()
        .zip(known)
        .filter(|(card, known)| card.asks_circuit() && met(**known))
        .map(|(card, _)| card.family.as_str())
        .collect();
    let (of_known, of_new): (Vec<usize>, Vec<usize>) = fresh.iter().partition(|&&i| {
        let card = &today.cards[i];
        !card.asks_circuit() || known.contains(card.family.as_str())
    });
    let (blocks, rest) = blocks(today, &of_new);
    let mut stream: VecDeque<Ask> = interleave(
        due.iter()
            .chain(&of_known)
            .chain(&rest)
            .map(|&i| ask(i, Mode::Drill))
            .collect(),
        spots.iter().map(|&i| ask(i, Mode::SpotCheck)).collect(),
    )
    .into();
    let mut order: Vec<Ask> = Vec::new();
    let gap = stream.len().div_ceil(blocks.len() + 1);
    let mut blocks = blocks.into_iter().peekable();
    loop {
        for _ in 0..gap.max(1) {
            if let Some(next) = take_best(today, &mut stream, order.last()) {
                order.push(next);
            }
        }
        match blocks.next() {
            Some(block) => order.extend(block),
            None if stream.is_empty() => break,
            None => {}
        }
    }
    keep_fixes_apart(today, order)
}

/// Splits the new cards of new families into blocks; what exceeds a block joins the mix.
fn blocks(today: &Today<'_>, of_new: &[usize]) -> (Vec<Vec<Ask>>, Vec<usize>) {
    let mut families: Vec<(&str, Vec<Ask>)> = Vec::new();
    let mut rest = Vec::new();
    for &i in of_new {
        let family = today.cards[i].family.as_str();
        let at = families
            .iter()
            .position(|(f, _)| *f == family)
            .unwrap_or_else(|| {
                families.push((family, Vec::new()));
                families.len() - 1
            });
        let block = &mut families[at].1;
        if block.len() < BLOCK {
            block.push(Ask {
                opens_family: block.is_empty(),
                ..ask(i, Mode::Drill)
            });
        } else {
            rest.push(i);
        }
    }
    (families.into_iter().map(|(_, block)| block).collect(), rest)
}

fn interleave(asks: Vec<Ask>, spots: Vec<Ask>) -> Vec<Ask> {
    let gap = (asks.len() / (spots.len() + 1)).max(1);
    let mut spots = spots.into_iter();
    let mut all = Vec::new();
    for (i, ask) in asks.into_iter().enumerate() {
        if i % gap == gap - 1 {
            all.extend(spots.next());
        }
        all.push(ask);
    }
    all.extend(spots);
    all
}

/// Takes the next ask: among the first few, one of a look-alike family of the card before, else of
/// another family, else of another fix, else the first.
fn take_best(today: &Today<'_>, stream: &mut VecDeque<Ask>, before: Option<&Ask>) -> Option<Ask> {
    let Some(before) = before else {
        return stream.pop_front();
    };
    let last = today.cards[before.card];
    let look_alikes = today
        .circuits
        .get(&last.family)
        .map_or(&[][..], |f| &f.confused_with);
    let rank = |ask: &Ask| {
        let card = today.cards[ask.card];
        if card.fix_key() == last.fix_key() {
            3
        } else if look_alikes.contains(&card.family) {
            0
        } else if card.family != last.family {
            1
        } else {
            2
        }
    };
    let best = (0..stream.len().min(WINDOW)).min_by_key(|&i| (rank(&stream[i]), i))?;
    stream.remove(best)
}

/// Moves cards so that no two of one fix stand side by side, where another card can be put between.
fn keep_fixes_apart(today: &Today<'_>, order: Vec<Ask>) -> Vec<Ask> {
    let key = |ask: &Ask| today.cards[ask.card].fix_key();
    let mut waiting: VecDeque<Ask> = order.into();
    let mut placed: Vec<Ask> = Vec::new();
    while !waiting.is_empty() {
        let before = placed.last().map(key);
        let at = waiting.iter().position(|a| Some(key(a)) != before);
        if let Some(next) = at.and_then(|i| waiting.remove(i)) {
            placed.push(next);
            continue;
        }
        let stuck = waiting.pop_front().expect("something waits");
        let clash = key(&stuck);
        let slot = (0..=placed.len()).find(|&i| {
            let left = i.checked_sub(1).map(|l| key(&placed[l]));
            let right = placed.get(i).map(key);
            left.as_ref() != Some(&clash) && right.as_ref() != Some(&clash)
        });
        if let Some(slot) = slot {
            placed.insert(slot, stuck);
        }
        // With no slot left the card waits for another day rather than standing beside its like.
    }
    placed
}

#[cfg(test)]
#[path = "queue_tests.rs"]
mod tests;
