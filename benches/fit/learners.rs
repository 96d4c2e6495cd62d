//! Invented learners: people whose memory is the 21-parameter model with parameters drawn by chance.
//!
//! A third has the published parameters, the others lie off by half, or all, of the widths that the
//! reference library's own fit takes for people (crate `fsrs` 6.6.2); stabilities by a factor, most of
//! it one factor for all four. Each day's reviews and new cards fill a budget. The day a card comes up
//! is decided by other parameters and chance, so that a log carries outcomes away from one recall.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use benchlore::domain::fit::histories::Review;
use benchlore::domain::memory;
use benchlore::domain::memory::BOUNDS;
use benchlore::domain::memory::COUNT;
use benchlore::domain::memory::Memory;
use benchlore::domain::memory::Weights;
use benchlore::domain::review::Grade;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

/// How far people's `p4..p20` lie from the published ones.
const WIDTHS: [f64; COUNT] = [
    0.0, 0.0, 0.0, 0.0, 0.57, 0.28, 0.6, 0.0, 0.39, 0.18, 0.33, 0.3, 0.09, 0.16, 0.57, 0.25, 1.03,
    0.31, 0.32, 0.14, 0.27,
];

const DAY: i64 = 86_400;

fn normal(chance: &mut ChaCha12Rng) -> f64 {
    let (u, v): (f64, f64) = (chance.random_range(1e-12..1.0), chance.random());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// Draws the true parameters of a learner.
pub(crate) fn truth(seed: u64) -> Weights {
    let chance = &mut ChaCha12Rng::seed_from_u64(seed);
    let far = [0.0, 0.5, 1.0][usize::try_from(seed % 3).expect("small")];
    let published = *Weights::published().get();
    if far == 0.0 {
        return Weights::published();
    }
    let mut p = published;
    for i in 4..COUNT {
        let (low, high) = BOUNDS[i];
        let room = high - low;
        for _ in 0..100 {
            let drawn = published[i] + far * WIDTHS[i] * normal(chance);
            if low + 0.01 * room < drawn && drawn < high - 0.05 * room {
                p[i] = drawn;
                break;
            }
        }
    }
    p[7] = 0.001 - 0.03 * far * chance.random_range(1e-6_f64..1.0).ln();
    let all = 0.7 * normal(chance);
    for first in &mut p[..4] {
        let off = far * (all + 0.4 * normal(chance));
        *first = (*first * off.exp()).clamp(0.01, 90.0);
    }
    p[..4].sort_by(f64::total_cmp);
    Weights::new(p).expect("drawn within the bounds")
}

struct Card {
    last: i32,
    own: Memory,
    planned: Memory,
}

struct Learner<'a> {
    truth: &'a Weights,
    planner: Weights,
    chance: ChaCha12Rng,
    cards: Vec<Card>,
    due: BinaryHeap<Reverse<(i32, usize)>>,
    reviews: Vec<Review>,
    day: i32,
    at: i64,
}

impl Learner<'_> {
    fn grade(&mut self, recalled: f64) -> Grade {
        if !self.chance.random_bool(recalled.clamp(0.0, 1.0)) {
            return Grade::Missed;
        }
        match self.chance.random_range(0..100) {
            0..20 => Grade::Hunted,
            20..85 => Grade::Named,
            _ => Grade::OnSight,
        }
    }

    /// Reviews a card until it is recalled, or dropped for the day; then plans the next day.
    fn review(&mut self, card: usize) {
        loop {
            self.at += self.chance.random_range(5..200);
            let Card { last, own, planned } = self.cards[card];
            let gap = (self.day - last).unsigned_abs();
            let recall = memory::recall(self.truth, own.stability, f64::from(gap));
            let grade = self.grade(if gap == 0 { 0.85 } else { recall });
            self.cards[card] = Card {
                last: self.day,
                own: memory::next(self.truth, own, gap, grade),
                planned: memory::next(&self.planner, planned, gap, grade),
            };
            self.note(card, grade);
            if grade.recalled() || self.chance.random_bool(0.3) {
                break;
            }
        }
        self.plan(card);
    }

    fn meet(&mut self) {
        self.at += self.chance.random_range(5..60);
        let grade = match self.chance.random_range(0..100) {
            0..30 => Grade::Missed,
            30..45 => Grade::Hunted,
            45..85 => Grade::Named,
            _ => Grade::OnSight,
        };
        self.cards.push(Card {
            last: self.day,
            own: memory::first(self.truth, grade),
            planned: memory::first(&self.planner, grade),
        });
        let card = self.cards.len() - 1;
        self.note(card, grade);
        self.plan(card);
    }

    fn note(&mut self, card: usize, grade: Grade) {
        self.reviews.push(Review {
            card: u32::try_from(card).expect("few cards"),
            at: self.at,
            day: self.day,
            grade,
            scored: true,
        });
    }

    fn plan(&mut self, card: usize) {
        let target = self.chance.random_range(0.7..0.95);
        let stability = self.cards[card].planned.stability;
        let days = memory::interval_exact(&self.planner, stability, target);
        let days = memory::whole_days(days * (0.35 * normal(&mut self.chance)).exp()).min(400);
        self.due
            .push(Reverse((self.day + days.cast_signed(), card)));
    }
}

/// Makes a log of so many reviews, in the order of time.
pub(crate) fn log(truth: &Weights, reviews: usize, seed: u64) -> Vec<Review> {
    let mut chance = ChaCha12Rng::seed_from_u64(seed);
    let planner = std::array::from_fn(|i| {
        let (low, high) = BOUNDS[i];
        let off = (0.3 * normal(&mut chance)).exp();
        (Weights::published().get()[i] * off).clamp(low, high)
    });
    let days = match reviews {
        0..=5000 => 150,
        5001..=50_000 => 420,
        _ => 1000,
    };
    let budget = reviews.div_ceil(days);
    let mut learner = Learner {
        truth,
        planner: Weights::new(planner).expect("held within the bounds"),
        chance,
        cards: Vec::new(),
        due: BinaryHeap::new(),
        reviews: Vec::new(),
        day: 19_676,
        at: 0,
    };
    while learner.reviews.len() < reviews {
        learner.at = i64::from(learner.day) * DAY + 8 * 3600;
        let begun = learner.reviews.len();
        let mut new = 0;
        while learner.reviews.len() - begun < budget * 3 / 2 {
            let due = learner.due.peek().filter(|due| due.0.0 <= learner.day);
            if due.is_some() {
                let Some(Reverse((_, card))) = learner.due.pop() else {
                    break;
                };
                learner.review(card);
            } else if new < budget {
                new += 1;
                learner.meet();
            } else {
                break;
            }
        }
        learner.day += 1;
    }
    learner.reviews.truncate(reviews);
    learner.reviews
}
