//! The spot checks that ride along: drawn regardless of the order, to measure.

use rand::RngExt;
use rand::rngs::ChaCha12Rng;

use crate::domain::queue::glance::Glance;
use crate::domain::queue::today::Today;

/// Draws up to `n` met cards not seen today: a family with the fewest spot checks first, then any of
/// its cards with equal chance. Spot checks measure circuits: only cards that ask for one are drawn.
pub(super) fn draw(
    today: &Today<'_>,
    glances: &[Glance],
    n: usize,
    chance: &mut ChaCha12Rng,
) -> Vec<usize> {
    let mut pools = pools(today, glances);
    // By name, so that chance does not hang on which family comes first in the deck.
    pools.sort_unstable_by_key(|pool| pool.family);
    let mut drawn = Vec::new();
    while drawn.len() < n {
        let Some(fewest) = pools.iter().map(|pool| pool.asked).min() else {
            break;
        };
        let equal: Vec<usize> = (0..pools.len())
            .filter(|i| pools[*i].asked == fewest)
            .collect();
        let at = equal[chance.random_range(0..equal.len())];
        let pool = &mut pools[at];
        let card = chance.random_range(0..pool.cards.len());
        drawn.push(pool.cards.swap_remove(card));
        pool.asked += 1;
        if pool.cards.is_empty() {
            pools.remove(at);
        }
    }
    drawn
}

/// The cards of one family that may be drawn.
struct Pool<'a> {
    family: &'a str,
    /// Spot checks that the person answered to it.
    asked: usize,
    cards: Vec<usize>,
}

fn pools<'a>(today: &Today<'a>, glances: &[Glance]) -> Vec<Pool<'a>> {
    let mut pools: Vec<Pool<'a>> = Vec::new();
    let mut last = 0;
    for (i, glance) in glances.iter().enumerate() {
        if glance.memory.is_none() || glance.seen_today || !glance.asks_circuit {
            continue;
        }
        let card = today.cards[i];
        // Cards of one family stand together as a rule.
        if pools
            .get(last)
            .is_none_or(|pool| pool.family != card.family)
        {
            let there = pools.iter().position(|pool| pool.family == card.family);
            last = there.unwrap_or_else(|| {
                pools.push(Pool {
                    family: &card.family,
                    asked: today
                        .history
                        .spot_checks
                        .get(&card.family)
                        .copied()
                        .unwrap_or(0),
                    cards: Vec::new(),
                });
                pools.len() - 1
            });
        }
        pools[last].cards.push(i);
    }
    pools
}
