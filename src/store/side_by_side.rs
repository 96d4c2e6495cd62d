//! The same work on several pieces, on as many threads as the computer has processors, up to four.

use std::num::NonZeroUsize;
use std::thread;

use crate::domain::side_by_side;

/// More would not wait less: memory is what they share.
const MOST: usize = 4;

/// Smallest piece that is worth a thread.
const PIECE: usize = 1 << 20;

/// Returns how many threads work at a time.
pub(crate) fn threads() -> usize {
    let threads = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    threads.min(MOST)
}

/// Returns what `work` makes of each piece, in their order.
pub(crate) fn map<P: Send, R: Send>(pieces: Vec<P>, work: impl Fn(P) -> R + Sync) -> Vec<R> {
    side_by_side::map(threads(), pieces, work)
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
