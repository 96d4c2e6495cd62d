//! The same work on several pieces, on as many threads as the computer has processors, up to four.

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::thread;

/// More would not wait less: memory is what they share.
const MOST: usize = 4;

/// Smallest piece that is worth a thread.
const PIECE: usize = 1 << 20;

/// Returns what `work` makes of each piece, in their order.
pub(crate) fn map<P: Send, R: Send>(pieces: Vec<P>, work: impl Fn(P) -> R + Sync) -> Vec<R> {
    let threads = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let threads = threads.min(MOST).min(pieces.len());
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

/// Cuts bytes at line breaks into pieces of about [`PIECE`] or more.
pub(crate) fn cut(bytes: &[u8]) -> Vec<&[u8]> {
    let size = (bytes.len() / 8).max(PIECE);
    let mut pieces = Vec::new();
    let mut rest = bytes;
    while rest.len() > size {
        let Some(end) = memchr::memchr(b'\n', &rest[size..]) else {
            break;
        };
        let (piece, after) = rest.split_at(size + end + 1);
        pieces.push(piece);
        rest = after;
    }
    if !rest.is_empty() {
        pieces.push(rest);
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_their_pieces() {
        let doubled = map((0..100).collect(), |n: u32| n * 2);
        assert_eq!(doubled, (0..100).map(|n| n * 2).collect::<Vec<_>>());
        assert_eq!(map(Vec::<u32>::new(), |n| n), Vec::<u32>::new());
    }
}
