//! Whole plans with a stop: what to try, in which order, and when to call it.
//!
//! Symbols: `p_i` chance that try `i` mends the board (0 to 1, together at most 1; what is missing to
//! 1 is "none of them"), `c_i` what the try costs whether it helps or not, `V` what the mended board
//! is worth, all money in one currency. Stopping costs nothing.
//!
//! - expected cost of a plan: `Σ_i (1 - Σ_{j<i} p_j) c_i`;
//! - its net: `V Σ p_i` less that cost; the empty plan nets 0;
//! - break-even value of the next try after failures: `c_i (1 - Σ_{j<i} p_j) / p_i`.
//!
//! The break-even values along an order need not rise, so that looking one step ahead can be wrong:
//! whole plans are compared. Up to [`ALL_UP_TO`] candidates every order of every choice of them is
//! (exact by definition); for more the order of falling `p/c` is cut where its net is highest. Under
//! the suppositions of this folder that is exact as well: two neighbours of a plan are best in that
//! order, and where a try is worth its cost, one with more chance for its cost would be so before it;
//! a law holds the cut to the count of all plans.
//!
//! Source: try-and-see troubleshooting, D. Heckerman, J. Breese & K. Rommelse (1995), from memory; the
//! stop and its value are our own arithmetic on it.

use crate::domain::decide::order;

/// Up to so many candidates, all plans are compared one by one (1,957 of them).
pub const ALL_UP_TO: usize = 6;

/// Something that could be tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Try {
    /// Chance that it mends the board, 0 to 1.
    pub chance: f64,
    /// What it costs, whether it helps or not.
    pub cost: f64,
}

/// How a plan was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// Every order of every choice was compared.
    AllPlans,
    /// The order of falling chance over cost was cut where its net is highest.
    BestCut,
}

/// What to try, in order; empty means: stop at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Indices of the tries.
    pub order: Vec<usize>,
    /// Chance that one of them mends the board.
    pub chance: f64,
    /// Expected cost.
    pub cost: f64,
    /// Value times chance, less the cost.
    pub net: f64,
    /// How it was found.
    pub found: Found,
}

/// Returns the expected cost of trying `order` until something helps.
pub fn expected_cost(tries: &[Try], order: &[usize]) -> f64 {
    let mut left = 1.0;
    let mut cost = 0.0;
    for at in order {
        cost += left * tries[*at].cost;
        left -= tries[*at].chance;
    }
    cost
}

/// Returns the plan with the highest net for a board worth `value`; of equals the shortest, then the
/// first in the order of the candidates.
pub fn best(tries: &[Try], value: f64) -> Plan {
    if tries.len() <= ALL_UP_TO {
        let mut best = weighed(tries, Vec::new(), value, Found::AllPlans);
        every(tries, &mut Vec::new(), value, &mut best);
        best
    } else {
        cut(tries, value)
    }
}

/// Returns the best cut of the order of falling chance over cost.
pub fn cut(tries: &[Try], value: f64) -> Plan {
    let pairs: Vec<(f64, f64)> = tries.iter().map(|t| (t.chance, t.cost)).collect();
    let order = order::by_chance_over_cost(&pairs);
    let mut best = weighed(tries, Vec::new(), value, Found::BestCut);
    for n in 1..=order.len() {
        let plan = weighed(tries, order[..n].to_vec(), value, Found::BestCut);
        if better(&plan, &best) {
            best = plan;
        }
    }
    best
}

/// Returns the value from which the try that follows `failed` is worth its cost on its own; none
/// where it cannot help.
pub fn break_even(tries: &[Try], failed: &[usize], next: usize) -> Option<f64> {
    let left = 1.0 - failed.iter().map(|at| tries[*at].chance).sum::<f64>();
    let one = tries[next];
    (0.0 < one.chance && 0.0 < left).then(|| one.cost * left / one.chance)
}

/// Two nets that differ by less than this part are the same but for rounding.
const SLACK: f64 = 1e-9;

fn better(plan: &Plan, best: &Plan) -> bool {
    best.net + SLACK * (1.0 + best.net.abs()) < plan.net
}

fn weighed(tries: &[Try], order: Vec<usize>, value: f64, found: Found) -> Plan {
    let chance: f64 = order.iter().map(|at| tries[*at].chance).sum();
    let cost = expected_cost(tries, &order);
    Plan {
        order,
        chance,
        cost,
        net: value * chance - cost,
        found,
    }
}

fn every(tries: &[Try], begun: &mut Vec<usize>, value: f64, best: &mut Plan) {
    for next in 0..tries.len() {
        if begun.contains(&next) {
            continue;
        }
        begun.push(next);
        let plan = weighed(tries, begun.clone(), value, Found::AllPlans);
        if better(&plan, best) {
            *best = plan;
        }
        every(tries, begun, value, best);
        begun.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::decide::order::tests::plans;
    use proptest::prelude::*;

    /// Our own example: A reflow, B replace IC, C remove capacitor, D clean connector; computed apart
    /// from this code.
    fn four() -> Vec<Try> {
        [(0.40, 20.0), (0.30, 6.0), (0.15, 4.0), (0.10, 10.0)]
            .map(|(chance, cost)| Try { chance, cost })
            .to_vec()
    }

    fn of(word: &str) -> Vec<usize> {
        word.bytes().map(|b| usize::from(b - b'A')).collect()
    }

    #[track_caller]
    fn near(got: f64, expected: f64) {
        assert!((got - expected).abs() < 1e-8, "{got} is not {expected}");
    }

    #[test]
    fn all_tried_costs_what_the_example_says() {
        for (order, cost) in [
            ("BCAD", 21.3),
            ("CBAD", 21.6),
            ("ABCD", 26.3),
            ("DACB", 32.1),
        ] {
            near(expected_cost(&four(), &of(order)), cost);
        }
        let whole = plans(4).into_iter().filter(|p| p.len() == 4);
        let costs: Vec<f64> = whole.map(|p| expected_cost(&four(), &p)).collect();
        near(costs.iter().copied().fold(f64::INFINITY, f64::min), 21.3);
        near(costs.iter().copied().fold(0.0, f64::max), 32.1);
    }

    #[test]
    fn the_plan_shrinks_with_the_value_of_the_board() {
        for (value, order, net) in [
            (100.0, "BCAD", 73.7),
            (60.0, "BCAD", 35.7),
            (40.0, "BCAD", 16.7),
            (25.0, "BC", 2.45),
            (20.0, "BC", 0.2),
            (15.0, "", 0.0),
        ] {
            let plan = best(&four(), value);
            assert_eq!(
                (plan.order.clone(), plan.found),
                (of(order), Found::AllPlans),
                "{value}"
            );
            near(plan.net, net);
            let cut = cut(&four(), value);
            assert_eq!((cut.order, cut.found), (plan.order, Found::BestCut));
        }
    }

    #[test]
    fn break_even_does_not_rise_along_the_order() {
        let order = of("BCAD");
        let expected = [20.0, 18.666_666_67, 27.5, 15.0];
        for (at, value) in expected.into_iter().enumerate() {
            let got = break_even(&four(), &order[..at], order[at]).unwrap();
            assert!((got - value).abs() < 1e-8, "step {at}: {got}");
        }
        // One step ahead, 19 is not enough for B; nor is it for any whole plan. At 19.6 one step says
        // no as well, and B with C is worth it.
        near(best(&four(), 19.0).net, 0.0);
        assert!(19.6 < break_even(&four(), &[], 1).unwrap());
        assert_eq!(best(&four(), 19.6).order, of("BC"));
        assert_eq!(
            break_even(
                &[Try {
                    chance: 0.0,
                    cost: 1.0
                }],
                &[],
                0
            ),
            None
        );
    }

    #[test]
    fn more_candidates_than_can_be_compared_are_cut() {
        let many = vec![
            Try {
                chance: 0.1,
                cost: 1.0
            };
            ALL_UP_TO + 2
        ];
        let plan = best(&many, 30.0);
        assert_eq!(plan.found, Found::BestCut);
        assert_eq!(plan.order.len(), many.len());
        assert!(best(&many, 5.0).order.is_empty());
        assert!(best(&[], 5.0).order.is_empty());
    }

    proptest! {
        #[test]
        fn the_cut_is_as_good_as_the_best_of_all_plans(
            raw in prop::collection::vec((1_u32..100, 1_u32..100), 1..6),
            rest in 0_u32..100,
            value in 0_u32..2_000,
        ) {
            let all: f64 = raw.iter().map(|(p, _)| f64::from(*p)).sum::<f64>() + f64::from(rest);
            let tries: Vec<Try> = raw
                .iter()
                .map(|(p, c)| Try { chance: f64::from(*p) / all, cost: f64::from(*c) })
                .collect();
            let value = f64::from(value);
            let by_hand = plans(tries.len())
                .iter()
                .map(|order| {
                    let chance: f64 = order.iter().map(|at| tries[*at].chance).sum();
                    value * chance - expected_cost(&tries, order)
                })
                .fold(f64::NEG_INFINITY, f64::max);
            prop_assert!((best(&tries, value).net - by_hand).abs() < 1e-6);
            prop_assert!((cut(&tries, value).net - by_hand).abs() < 1e-6);
        }
    }
}
