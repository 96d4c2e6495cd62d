//! The order in which repairs are looked at, and what the repair is then expected to cost.
//!
//! Symbols: `p_i` chance that repair `i` is the one (0 to 1, all of them together at most 1), `o_i`
//! what it costs to observe whether it is, `r_i` what it costs to carry it out, in one currency
//! (money, or minutes).
//!
//! - expected cost of repair: `ECR = Σ_i [(1 - Σ_{j<i} p_j) o_i + p_i r_i]`;
//! - the cheapest order is that of falling `p_i / o_i`.
//!
//! Sources: the formula, D. Heckerman, J. Breese & K. Rommelse (1995), Communications of the ACM
//! 38(3):49-57, from memory; the order is credited to J. Kadane & H. Simon (1977) by later papers,
//! e.g. T. Ottosen & F. Jensen (2010).

/// One repair that may be the one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repair {
    /// Chance that it is the one, 0 to 1.
    pub chance: f64,
    /// Cost to observe whether it is.
    pub observe: f64,
    /// Cost to carry it out, once it is known to be the one.
    pub repair: f64,
}

/// Returns the expected cost of repair in the order `order` (indices into `repairs`).
pub fn expected_cost(repairs: &[Repair], order: &[usize]) -> f64 {
    let mut left = 1.0;
    let mut cost = 0.0;
    for at in order {
        let one = repairs[*at];
        cost += left * one.observe + one.chance * one.repair;
        left -= one.chance;
    }
    cost
}

/// Returns the cheapest order: falling chance over the cost to observe; ties keep their place.
pub fn cheapest_order(repairs: &[Repair]) -> Vec<usize> {
    let pairs: Vec<(f64, f64)> = repairs.iter().map(|r| (r.chance, r.observe)).collect();
    by_chance_over_cost(&pairs)
}

/// Returns indices of (chance, cost) by falling chance over cost; ties keep their place.
///
/// Compared crosswise, so that what costs nothing comes first and nothing is divided by zero.
pub fn by_chance_over_cost(pairs: &[(f64, f64)]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..pairs.len()).collect();
    order.sort_by(|a, b| {
        let ((pa, ca), (pb, cb)) = (pairs[*a], pairs[*b]);
        (pb * ca).total_cmp(&(pa * cb))
    });
    order
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Returns every order of every choice out of `0..n`, the empty one first.
    pub(in crate::domain::decide) fn plans(n: usize) -> Vec<Vec<usize>> {
        let mut found: Vec<Vec<usize>> = vec![Vec::new()];
        let mut at = 0;
        while at < found.len() {
            let begun = found[at].clone();
            let more = (0..n).filter(|i| !begun.contains(i));
            let longer: Vec<Vec<usize>> = more.map(|i| [&begun[..], &[i]].concat()).collect();
            found.extend(longer);
            at += 1;
        }
        found
    }

    /// Our own example: A to D, computed apart from this code.
    fn four() -> Vec<Repair> {
        [
            (0.45, 12.0, 30.0),
            (0.25, 3.0, 10.0),
            (0.20, 8.0, 25.0),
            (0.10, 1.5, 5.0),
        ]
        .map(|(chance, observe, repair)| Repair {
            chance,
            observe,
            repair,
        })
        .to_vec()
    }

    #[track_caller]
    fn near(got: f64, expected: f64) {
        assert!((got - expected).abs() < 1e-8, "{got} is not {expected}");
    }

    #[test]
    fn chance_over_cost_gives_the_cheapest_of_all_orders() {
        let repairs = four();
        let of =
            |word: &str| -> Vec<usize> { word.bytes().map(|b| usize::from(b - b'A')).collect() };
        assert_eq!(cheapest_order(&repairs), of("BDAC"));
        for (running, cost) in [("B", 5.5), ("BD", 7.125), ("BDA", 28.425), ("BDAC", 35.025)] {
            near(expected_cost(&repairs, &of(running)), cost);
        }
        for (order, cost) in [
            ("DBAC", 35.1),
            ("ABCD", 37.7),
            ("DBCA", 36.3),
            ("CADB", 40.375),
        ] {
            near(expected_cost(&repairs, &of(order)), cost);
        }
        let whole: Vec<f64> = plans(4)
            .iter()
            .filter(|plan| plan.len() == 4)
            .map(|plan| expected_cost(&repairs, plan))
            .collect();
        assert_eq!(whole.len(), 24);
        near(whole.iter().copied().fold(f64::INFINITY, f64::min), 35.025);
        near(whole.iter().copied().fold(0.0, f64::max), 40.375);
        near(whole.iter().sum::<f64>() / 24.0, 37.7);
    }

    #[test]
    fn what_costs_nothing_is_looked_at_first() {
        let order = by_chance_over_cost(&[(0.5, 1.0), (0.1, 0.0), (0.0, 3.0)]);
        assert_eq!(order, [1, 0, 2]);
        assert_eq!(expected_cost(&[], &[]).to_bits(), 0.0_f64.to_bits());
    }

    proptest! {
        #[test]
        fn no_order_is_cheaper(raw in prop::collection::vec((1_u32..100, 1_u32..100, 0_u32..100), 1..6)) {
            let all: f64 = raw.iter().map(|(p, _, _)| f64::from(*p)).sum();
            let repairs: Vec<Repair> = raw
                .iter()
                .map(|(p, o, r)| Repair {
                    chance: f64::from(*p) / all,
                    observe: f64::from(*o),
                    repair: f64::from(*r),
                })
                .collect();
            let best = expected_cost(&repairs, &cheapest_order(&repairs));
            for order in plans(repairs.len()).iter().filter(|o| o.len() == repairs.len()) {
                prop_assert!(best <= expected_cost(&repairs, order) + 1e-9);
            }
        }
    }
}
