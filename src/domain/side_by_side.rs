//! The same work on several pieces at a time; how many threads there may be is for the caller to say.

use std::sync::Mutex;
use std::sync::PoisonError;
use std::thread;

/// Returns what `work` makes of each piece, in their order, whatever the number of threads.
pub fn map<P: Send, R: Send>(
    threads: usize,
    pieces: Vec<P>,
    work: impl Fn(P) -> R + Sync,
) -> Vec<R> {
    let threads = threads.min(pieces.len());
    if threads <= 1 {
        return pieces.into_iter().map(work).collect();
    }
    let pieces = Mutex::new(pieces.into_iter().enumerate());
    let done = Mutex::new(Vec::new());
    let run = || {
        loop {
            let next = pieces.lock().unwrap_or_else(PoisonError::into_inner).next();
            let Some((at, piece)) = next else { break };
            let made = work(piece);
            let mut done = done.lock().unwrap_or_else(PoisonError::into_inner);
            done.push((at, made));
        }
    };
    thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(run);
        }
        run();
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, made)| made).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_their_pieces() {
        for threads in [0, 1, 4, 200] {
            let doubled = map(threads, (0..100).collect(), |n: u32| n * 2);
            assert_eq!(doubled, (0..100).map(|n| n * 2).collect::<Vec<_>>());
            assert_eq!(map(threads, Vec::<u32>::new(), |n| n), Vec::<u32>::new());
        }
    }
}
