//! In which order the chosen cards of a sitting stand.
//!
//! Families new to the person come in a short block, then mix with their look-alikes: after Brunmair &
//! Richter 2019, Psychological Bulletin 145:1029-1052. No two cards of one fix stand side by side. The
//! length of a block is common practice, no source.

use std::collections::BTreeSet;
use std::collections::VecDeque;

use crate::domain::queue::glance::Glance;
use crate::domain::queue::today::Ask;
use crate::domain::queue::today::Today;
use crate::domain::queue::today::ask;
use crate::domain::review::Mode;

/// Cards of a family new to the person that stand together.
pub(super) const BLOCK: usize = 3;
/// How far down the order the mixing may reach for a better neighbour.
const WINDOW: usize = 6;

/// Puts the asks in order: the chosen cards as they come, look-alikes side by side, spot checks spread
/// over them, blocks of families new to the person between; those of a day to be ready by before all
/// others, since a sitting may be cut short.
pub(super) fn arrange(
    today: &Today<'_>,
    glances: &[Glance],
    chosen: &[usize],
    spots: &[usize],
) -> Vec<Ask> {
    let goes_first = |i: &&usize| today.first.is_some_and(|first| 0.0 < first.rates[**i]);
    let (first, rest) = chosen.split_at(chosen.iter().take_while(goes_first).count());
    let beside = spots.len() * first.len() / chosen.len().max(1);
    let (with_first, with_rest) = spots.split_at(beside);
    let mut known = known_families(today, glances);
    let mut order: Vec<Ask> = Vec::new();
    for (cards, spots) in [(first, with_first), (rest, with_rest)] {
        mix(today, (glances, &known), (cards, spots), &mut order);
        known.extend(cards.iter().map(|i| today.cards[*i].family.as_str()));
    }
    keep_fixes_apart(today, order)
}

/// Puts these cards and spot checks in order behind what stands already.
fn mix(
    today: &Today<'_>,
    (glances, known_families): (&[Glance], &BTreeSet<&str>),
    (chosen, spots): (&[usize], &[usize]),
    order: &mut Vec<Ask>,
) {
    let opens = |i: usize| {
        let card = today.cards[i];
        !glances[i].met && card.asks_circuit() && !known_families.contains(card.family.as_str())
    };
    let of_new: Vec<usize> = chosen.iter().copied().filter(|i| opens(*i)).collect();
    let (blocks, rest) = blocks(today, &of_new);
    let mixed = chosen.iter().filter(|i| !opens(**i)).chain(&rest);
    let mut stream: VecDeque<Ask> = interleave(
        mixed.map(|&i| ask(i, Mode::Drill)).collect(),
        spots.iter().map(|&i| ask(i, Mode::SpotCheck)).collect(),
    )
    .into();
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
}

/// Returns the families of which the person has met a card that asks for the circuit.
fn known_families<'a>(today: &Today<'a>, glances: &[Glance]) -> BTreeSet<&'a str> {
    let mut families = BTreeSet::new();
    let mut last = None;
    for (card, glance) in today.cards.iter().zip(glances) {
        if !glance.met || !glance.asks_circuit {
            continue;
        }
        // Cards of one family stand together as a rule.
        if last != Some(&card.family) {
            families.insert(card.family.as_str());
            last = Some(&card.family);
        }
    }
    families
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
pub(super) fn keep_fixes_apart(today: &Today<'_>, order: Vec<Ask>) -> Vec<Ask> {
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
