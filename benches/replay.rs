//! How fast are histories replayed into memory states, beside the reference library?
//!
//! 20,000 cards with about 10 reviews each, drawn from a seed; both replay the same histories in one
//! thread, in turn. The library (crate `fsrs` 6.6.2, 32-bit floats) takes one card's history at a
//! time and by value, so they are copied before the clock starts. Our model is timed in two ways:
//! card after card, as the library goes, and by `memory::replay`, which walks cards side by side.
//! Once all cards have 10 reviews, once 1 to 19. Printed: median reviews per second, the ratio to the
//! library, and how far the two ways of our own lie apart.
//! Run by `cargo bench --bench replay`.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a bench reads the clock")]

use std::hint::black_box;
use std::time::Instant;

use benchlore::domain::memory;
use benchlore::domain::memory::Weights;
use benchlore::domain::review::Grade;
use benchlore::domain::units;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

const CARDS: usize = 20_000;
const REVIEWS: usize = 10;
const ROUNDS: usize = 15;

type History = Vec<(u32, Grade)>;

fn histories(even: bool) -> Vec<History> {
    let mut chance = ChaCha12Rng::seed_from_u64(1);
    let mut history = || -> History {
        let reviews = if even {
            REVIEWS
        } else {
            chance.random_range(1..2 * REVIEWS)
        };
        (0..reviews)
            .map(|i| {
                let longest = [0, 3, 10, 30, 100, 400][chance.random_range(0..6)];
                let gap = if i == 0 {
                    0
                } else {
                    chance.random_range(0..=longest)
                };
                let grade = match chance.random_range(0..20) {
                    0..3 => Grade::Missed,
                    3..7 => Grade::Hunted,
                    7..17 => Grade::Named,
                    _ => Grade::OnSight,
                };
                (gap, grade)
            })
            .collect()
    };
    (0..CARDS).map(|_| history()).collect()
}

fn item(history: &History) -> fsrs::FSRSItem {
    let reviews = history
        .iter()
        .map(|(gap, grade)| fsrs::FSRSReview {
            rating: u32::from(grade.number()),
            delta_t: *gap,
        })
        .collect();
    fsrs::FSRSItem { reviews }
}

fn card_after_card(weights: &Weights, histories: &[History]) -> (f64, f64) {
    let start = Instant::now();
    let sum = black_box(histories)
        .iter()
        .filter_map(|history| {
            let (first, later) = history.split_first()?;
            let start = memory::first(weights, first.1);
            Some(later.iter().fold(start, |state, (days, grade)| {
                memory::next(weights, state, *days, *grade)
            }))
        })
        .map(|state| state.stability)
        .sum();
    (start.elapsed().as_secs_f64(), black_box(sum))
}

fn side_by_side(weights: &Weights, histories: &[History]) -> (f64, f64) {
    let start = Instant::now();
    let sum = memory::replay(weights, black_box(histories))
        .into_iter()
        .flatten()
        .map(|state| state.stability)
        .sum();
    (start.elapsed().as_secs_f64(), black_box(sum))
}

fn library_round(library: &fsrs::FSRS, histories: &[History]) -> (f64, f64) {
    let items: Vec<fsrs::FSRSItem> = histories.iter().map(item).collect();
    let start = Instant::now();
    let sum = black_box(items)
        .into_iter()
        .map(|item| library.memory_state(item, None).expect("a valid history"))
        .map(|state| f64::from(state.stability))
        .sum();
    (start.elapsed().as_secs_f64(), black_box(sum))
}

fn median(mut seconds: Vec<f64>) -> f64 {
    seconds.sort_by(f64::total_cmp);
    seconds[seconds.len() / 2]
}

/// Returns the widest relative difference between the two ways of our own.
fn apart(weights: &Weights, histories: &[History]) -> f64 {
    let together = memory::replay(weights, histories);
    let one_by_one = histories.iter().map(|history| {
        history.iter().fold(None, |state, (days, grade)| {
            Some(memory::after(weights, state, *days, *grade))
        })
    });
    let pairs = together.into_iter().zip(one_by_one);
    let off = pairs.filter_map(|(a, b)| {
        let (a, b) = (a?, b?);
        let stability = (a.stability / b.stability - 1.0).abs();
        Some(stability.max((a.difficulty / b.difficulty - 1.0).abs()))
    });
    off.fold(0.0, f64::max)
}

fn table(even: bool) {
    let histories = histories(even);
    let weights = Weights::published();
    let library = fsrs::FSRS::default();
    let mut seconds = [Vec::new(), Vec::new(), Vec::new()];
    for round in 0..=ROUNDS {
        let found = [
            library_round(&library, &histories),
            card_after_card(&weights, &histories),
            side_by_side(&weights, &histories),
        ];
        for (seconds, (time, sum)) in seconds.iter_mut().zip(found) {
            let off = (sum / found[0].1 - 1.0).abs();
            assert!(off < 1e-4, "all must reach the same memory, not {off} off");
            // The first round warms the caches and is not counted.
            if 0 < round {
                seconds.push(time);
            }
        }
    }
    let [library, alone, together] = seconds.map(median);
    let reviews = units::count(histories.iter().map(Vec::len).sum());
    let lengths = if even { "10 each" } else { "1 to 19 each" };
    println!("{CARDS} cards, {reviews} reviews, {lengths}; median of {ROUNDS} rounds, one thread");
    for (name, seconds) in [
        ("fsrs crate", library),
        ("own, card after card", alone),
        ("own, side by side", together),
    ] {
        let rate = reviews / seconds / 1e6;
        let ratio = library / seconds;
        println!("{name:<22}{rate:>6.1} million reviews/s, ratio {ratio:.2}");
    }
    let off = apart(&weights, &histories);
    println!("side by side lies at most {off:.1e} of a number from card after card");
}

fn main() {
    table(true);
    table(false);
}
