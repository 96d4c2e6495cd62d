//! Tests of fits that are tried: people whose memory is known are made up by chance from a seed.

use super::*;
use crate::domain::fit::histories::Review;
use crate::domain::memory;
use crate::domain::review::Grade;
use rand::Rng;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

/// Someone who forgets `times` as fast as the published model says.
fn someone(times: f64) -> Weights {
    let mut p = *Weights::published().get();
    for stability in &mut p[..4] {
        *stability /= times;
    }
    p[8] -= 0.4 * times.ln();
    Weights::new(p).unwrap()
}

/// Reviews of `cards` cards over `days` days by someone with `truth`, asked again when recall is near 0.8.
fn practised(truth: &Weights, cards: u32, days: i32, seed: u64) -> OwnReviews {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    let mut all = Vec::new();
    for card in 0..cards {
        let (mut day, mut state, mut last) = (rng.random_range(0..10), None, 0_i32);
        while day < days {
            let elapsed = u32::try_from(day - last).unwrap();
            let recall = state.map_or(0.8, |memory: memory::Memory| {
                memory::recall(truth, memory.stability, f64::from(elapsed))
            });
            let grade = drawn(&mut rng, recall);
            let counts = state.is_some() || grade.recalled();
            if counts {
                let gap = if state.is_some() { elapsed } else { 0 };
                let scored = state.is_some() && 0 < gap;
                state = Some(memory::after(truth, state, gap, grade));
                all.push((day, card, grade, scored));
                last = day;
            }
            let wait = state.map_or(1.0, |memory| {
                memory::interval_exact(truth, memory.stability, 0.8)
            });
            let spread = rng.random_range(0.5..1.5);
            day += i32::try_from(memory::whole_days((wait * spread).max(1.0))).unwrap();
        }
    }
    all.sort_by_key(|(day, card, ..)| (*day, *card));
    let mut own = OwnReviews::default();
    for (at, (day, card, grade, scored)) in all.into_iter().enumerate() {
        if scored {
            own.scored.push(at);
        }
        own.reviews.push(Review {
            card,
            at: i64::try_from(at).unwrap(),
            day,
            grade,
            scored: true,
        });
    }
    own
}

fn drawn(rng: &mut impl Rng, recall: f64) -> Grade {
    if recall < rng.random_range(0.0..1.0) {
        return Grade::Missed;
    }
    Grade::ALL[rng.random_range(1..4)]
}

fn on_published(own: &OwnReviews) -> Refit {
    let published = Weights::published();
    let grounds = Grounds {
        in_force: &published,
        shop: &published,
    };
    refit(own, own.scored.len(), grounds)
}

#[test]
fn whoever_forgets_otherwise_than_published_gets_parameters_of_their_own() {
    for (times, cards, seed) in [(4.0, 80, 1), (0.25, 600, 2)] {
        let own = practised(&someone(times), cards, 60, seed);
        let tried = on_published(&own);
        let Verdict::Takes(weights, test) = &tried.verdict else {
            panic!("{times}: {:?}", tried.verdict);
        };
        assert_eq!(tried.scored, own.scored.len());
        assert_eq!(test.held, own.scored.len() / HELD_OF);
        assert!(test.after < test.before);
        let quicker = weights.get()[2] < Weights::published().get()[2];
        assert_eq!(quicker, 1.0 < times, "{:?}", weights.get());
    }
}

#[test]
fn a_fit_that_foretells_no_better_is_refused() {
    let own = practised(&someone(4.0), 80, 60, 1);
    let Verdict::Takes(seen_all, _) = on_published(&own).verdict else {
        panic!("the first fit takes effect");
    };
    let grounds = Grounds {
        in_force: &seen_all,
        shop: &Weights::published(),
    };
    let tried = refit(&own, own.scored.len(), grounds);
    let Verdict::NoBetter(test) = tried.verdict else {
        panic!("what was made from the held-out ones foretells them better: {tried:?}");
    };
    assert!(test.before <= test.after, "{test:?}");
}

#[test]
fn reviews_after_those_looked_at_change_nothing() {
    let own = practised(&someone(4.0), 80, 60, 3);
    let cut = own.scored.len() - 40;
    let published = Weights::published();
    let grounds = Grounds {
        in_force: &published,
        shop: &published,
    };
    let mut earlier = own.clone();
    earlier.reviews.truncate(own.scored[cut]);
    earlier.scored.truncate(cut);
    assert_eq!(refit(&own, cut, grounds), refit(&earlier, cut, grounds));
}

#[test]
fn what_makes_no_fit_is_named_and_leaves_all_as_it_is() {
    let why = |own: &OwnReviews| match on_published(own).verdict {
        Verdict::Idle(idle) => idle.to_string(),
        other => panic!("{other:?}"),
    };
    assert_eq!(why(&OwnReviews::default()), "there is no review");
    let truth = Weights::published();
    let mut few = practised(&truth, 10, 12, 4);
    few.scored.truncate(49);
    few.reviews
        .truncate(few.scored.last().map_or(0, |at| at + 1));
    let n = few.scored.len();
    assert_eq!(
        why(&few),
        format!("{n} scored reviews, and a fit that is tested takes at least 50")
    );
    let mut same_day = practised(&truth, 40, 60, 5);
    for review in &mut same_day.reviews {
        review.day = 1;
    }
    same_day.scored.clear();
    assert!(why(&same_day).starts_with("none of "), "{}", why(&same_day));
    let mut easy = practised(&truth, 40, 60, 6);
    for review in &mut easy.reviews {
        review.grade = Grade::Named;
    }
    assert!(why(&easy).ends_with("were recalled"), "{}", why(&easy));
}

#[test]
fn a_fit_is_judged_on_what_the_one_before_it_has_not_seen() {
    let mut own = practised(&someone(4.0), 80, 60, 7);
    let n = own.scored.len();
    own.at_fit = Some(n - 18);
    assert_eq!(
        on_published(&own).verdict,
        Verdict::Idle(Idle::NothingNew { new: 18 })
    );
    own.at_fit = Some(n - 40);
    let tried = on_published(&own);
    let (Verdict::Takes(_, test) | Verdict::NoBetter(test)) = tried.verdict else {
        panic!("{tried:?}");
    };
    assert_eq!(test.held, 20);
}

#[test]
fn a_fit_is_due_a_fifth_more_reviews_after_the_last_and_a_refused_one_a_fifth_later() {
    let at = |reviews, at_fit| due(Scored { reviews, at_fit });
    assert_eq!(at(63, None), None);
    assert_eq!(at(64, None), Some(64));
    assert_eq!(at(76, None), Some(64));
    assert_eq!(at(77, None), Some(77));
    assert_eq!(at(1199, Some(1000)), None);
    assert_eq!(at(1200, Some(1000)), Some(1200));
    assert_eq!(at(1439, Some(1000)), Some(1200));
    assert_eq!(at(1440, Some(1000)), Some(1440));
}
