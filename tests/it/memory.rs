//! The memory model against two reference libraries.
//!
//! The check values of `memory-vectors.json` come from the 64-bit library (see `tests/data/README.md`);
//! the 32-bit one, the crate `fsrs` 6.6.2, is called here directly on random histories.

use benchlore::domain::memory;
use benchlore::domain::memory::BOUNDS;
use benchlore::domain::memory::Memory;
use benchlore::domain::memory::Weights;
use benchlore::domain::review::Grade;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;
use serde::Deserialize;

const VECTORS: &str = include_str!("../data/memory-vectors.json");

#[derive(Deserialize)]
struct Vectors {
    targets: Vec<f64>,
    sets: Vec<Set>,
    histories: Vec<History>,
}

#[derive(Deserialize)]
struct Set {
    name: String,
    w: Vec<f64>,
}

#[derive(Deserialize)]
struct History {
    set: usize,
    steps: Vec<Step>,
}

#[derive(Deserialize)]
struct Step {
    gap: u32,
    grade: u8,
    s_capped: f64,
    d: f64,
    r_before: Option<f64>,
    r_10d_later: f64,
    days: Vec<u32>,
    days_raw: Vec<f64>,
}

#[track_caller]
fn close(found: f64, expected: f64, relative: f64, what: &str) {
    let off = (found - expected).abs();
    assert!(
        off <= relative * expected.abs(),
        "{what}: {found} instead of {expected}, {:e} off",
        off / expected.abs()
    );
}

#[test]
fn every_step_agrees_with_the_64_bit_reference() {
    const TOLERANCE: f64 = 1e-10;
    let vectors: Vectors = serde_json::from_str(VECTORS).expect("JSON");
    let (mut steps, mut whole) = (0, 0);
    for (number, history) in vectors.histories.iter().enumerate() {
        let set = &vectors.sets[history.set];
        let weights = Weights::from_slice(&set.w).unwrap();
        let mut state: Option<Memory> = None;
        for (i, step) in history.steps.iter().enumerate() {
            let what = format!("history {number} ({}), review {i}", set.name);
            let grade = Grade::from_number(step.grade).unwrap();
            let after = match state {
                None => {
                    assert_eq!(step.r_before, None, "{what}");
                    memory::first(&weights, grade)
                }
                Some(before) => {
                    let recall = memory::recall(&weights, before.stability, f64::from(step.gap));
                    close(recall, step.r_before.unwrap(), TOLERANCE, &what);
                    memory::next(&weights, before, step.gap, grade)
                }
            };
            close(after.stability, step.s_capped, TOLERANCE, &what);
            close(after.difficulty, step.d, TOLERANCE, &what);
            let later = memory::recall(&weights, after.stability, 10.0);
            close(later, step.r_10d_later, TOLERANCE, &what);
            for (t, target) in vectors.targets.iter().enumerate() {
                let exact = memory::interval_exact(&weights, after.stability, *target);
                close(exact, step.days_raw[t], TOLERANCE, &what);
                // Two right computations may round apart only within the tolerance of half a day.
                // No value of the file lies there, so the whole days must be the same.
                let to_half = (step.days_raw[t].fract() - 0.5).abs();
                assert!(
                    TOLERANCE * step.days_raw[t] < to_half,
                    "{what}: at half a day"
                );
                assert_eq!(memory::whole_days(exact), step.days[t], "{what}, {target}");
                whole += 1;
            }
            steps += 1;
            state = Some(after);
        }
    }
    assert_eq!((steps, whole), (863, 3 * 863), "the whole file was walked");
}

/// Parameters as the 32-bit library holds them, so that both models have the very same ones.
fn rounded(p: [f64; memory::COUNT]) -> ([f32; memory::COUNT], Weights) {
    let short: [f32; memory::COUNT] = std::array::from_fn(|i| {
        let (low, high) = BOUNDS[i];
        #[expect(clippy::cast_possible_truncation, reason = "rounding is the point")]
        let short = p[i] as f32;
        let inside = (low..=high).contains(&f64::from(short));
        match (inside, f64::from(short) < low) {
            (true, _) => short,
            (false, true) => short.next_up(),
            (false, false) => short.next_down(),
        }
    });
    (
        short,
        Weights::new(short.map(f64::from)).expect("within the bounds"),
    )
}

fn history(chance: &mut ChaCha12Rng) -> Vec<(u32, Grade)> {
    let length = chance.random_range(1..=25);
    (0..length)
        .map(|i| {
            let longest = [0, 1, 3, 10, 30, 100, 400][chance.random_range(0..7)];
            let gap = if i == 0 {
                0
            } else {
                chance.random_range(0..=longest)
            };
            (gap, Grade::ALL[chance.random_range(0..4)])
        })
        .collect()
}

const SINGLE: f64 = 1e-4;

/// One step of both models: the state before, what came, and the states after.
struct Pair {
    what: String,
    weights: Weights,
    short: [f32; memory::COUNT],
    before: Option<fsrs::MemoryState>,
    gap: u32,
    grade: Grade,
    theirs: fsrs::MemoryState,
}

/// Replays one random history with the 32-bit library and shows every step to `check`.
fn replay(chance: &mut ChaCha12Rng, p: [f64; memory::COUNT], mut check: impl FnMut(&Pair)) {
    let (short, weights) = rounded(p);
    let library = fsrs::FSRS::new(&short).expect("valid parameters");
    let history = history(chance);
    let reviews = history
        .iter()
        .map(|(gap, grade)| fsrs::FSRSReview {
            rating: u32::from(grade.number()),
            delta_t: *gap,
        })
        .collect();
    let states = library
        .historical_memory_states(fsrs::FSRSItem { reviews }, None)
        .expect("a valid history");
    assert_eq!(states.len(), history.len());
    for (i, (gap, grade)) in history.iter().enumerate() {
        check(&Pair {
            what: format!("review {i} of {history:?} with {short:?}"),
            weights: weights.clone(),
            short,
            before: i.checked_sub(1).map(|before| states[before]),
            gap: *gap,
            grade: *grade,
            theirs: states[i],
        });
    }
}

fn own_state(theirs: fsrs::MemoryState) -> Memory {
    Memory {
        stability: f64::from(theirs.stability),
        difficulty: f64::from(theirs.difficulty),
    }
}

/// Returns what 32-bit floats lose in one step where two nearly equal numbers are subtracted.
///
/// After a failure that is `(S+1)^p13 - 1`, at small `S` and small `p13`; after a recall it is
/// `exp(p10 q) - 1` at small `q`, multiplied by a large growth. Four units in the last place of the
/// larger number, carried to a share of the new stability.
fn lost_in_single(pair: &Pair) -> f64 {
    let unit = 4.0 * f64::from(f32::EPSILON);
    let Some(before) = pair.before.map(own_state) else {
        return 0.0;
    };
    if pair.gap == 0 {
        return 0.0;
    }
    let p = pair.weights.get();
    let power = (before.stability + 1.0).powf(p[13]);
    if pair.grade == Grade::Missed {
        return unit * power / (power - 1.0);
    }
    let bonus = [0.0, p[15], 1.0, p[16]][usize::from(pair.grade.number()) - 1];
    let factor = p[8].exp() * (11.0 - before.difficulty) * before.stability.powf(-p[9]) * bonus;
    let forgotten = 1.0 - memory::recall(&pair.weights, before.stability, f64::from(pair.gap));
    let rise = (p[10] * forgotten).exp();
    unit * factor * rise * p[10].max(1.0) / (1.0 + factor * (rise - 1.0))
}

fn near_published(chance: &mut ChaCha12Rng) -> [f64; memory::COUNT] {
    let published = *Weights::published().get();
    std::array::from_fn(|i| {
        let (low, high) = BOUNDS[i];
        (published[i] * chance.random_range(0.7..1.4)).clamp(low, high)
    })
}

#[test]
fn random_histories_agree_with_the_32_bit_reference_to_their_end() {
    let mut chance = ChaCha12Rng::seed_from_u64(20_260_402);
    for round in 0..4000 {
        let p = if round % 2 == 0 {
            *Weights::published().get()
        } else {
            near_published(&mut chance)
        };
        let mut state: Option<Memory> = None;
        replay(&mut chance, p, |pair| {
            let after = match state {
                None => memory::first(&pair.weights, pair.grade),
                Some(before) => memory::next(&pair.weights, before, pair.gap, pair.grade),
            };
            let theirs = own_state(pair.theirs);
            close(after.stability, theirs.stability, SINGLE, &pair.what);
            close(after.difficulty, theirs.difficulty, SINGLE, &pair.what);
            state = Some(after);
        });
    }
}

#[test]
fn any_parameters_within_bounds_agree_with_the_32_bit_reference_step_by_step() {
    let mut chance = ChaCha12Rng::seed_from_u64(20_260_403);
    let (mut steps, mut loose) = (0, 0);
    for _ in 0..4000 {
        let p = std::array::from_fn(|i| chance.random_range(BOUNDS[i].0..=BOUNDS[i].1));
        replay(&mut chance, p, |pair| {
            let after = match pair.before {
                None => memory::first(&pair.weights, pair.grade),
                Some(before) => {
                    memory::next(&pair.weights, own_state(before), pair.gap, pair.grade)
                }
            };
            let theirs = own_state(pair.theirs);
            let tolerance = SINGLE + lost_in_single(pair);
            close(after.stability, theirs.stability, tolerance, &pair.what);
            close(after.difficulty, theirs.difficulty, SINGLE, &pair.what);
            steps += 1;
            if SINGLE < (after.stability / theirs.stability - 1.0).abs() {
                loose += 1;
            }
        });
    }
    assert!(30_000 < steps);
    assert!(
        loose * 1000 < steps,
        "{loose} of {steps} steps needed more than 1e-4"
    );
}

#[test]
fn recall_and_intervals_agree_with_the_32_bit_reference() {
    let mut chance = ChaCha12Rng::seed_from_u64(20_260_404);
    for _ in 0..400 {
        let p = std::array::from_fn(|i| chance.random_range(BOUNDS[i].0..=BOUNDS[i].1));
        replay(&mut chance, p, |pair| {
            let library = fsrs::FSRS::new(&pair.short).unwrap();
            let stability = f64::from(pair.theirs.stability);
            for days in [0u16, 1, 7, 100, 1000] {
                let found = memory::recall(&pair.weights, stability, f64::from(days));
                let theirs =
                    fsrs::current_retrievability(pair.theirs, f32::from(days), pair.short[20]);
                close(found, f64::from(theirs), SINGLE, &pair.what);
            }
            for target in [0.7f32, 0.8, 0.9, 0.95] {
                let found = memory::interval_exact(&pair.weights, stability, f64::from(target));
                let theirs = library.next_interval(Some(pair.theirs.stability), target, 3);
                close(found, f64::from(theirs), SINGLE, &pair.what);
            }
        });
    }
}
