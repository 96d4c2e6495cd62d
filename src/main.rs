//! Starts the program; everything else is in the library.

use std::process::ExitCode;

/// Memory for long journals and decks comes in many small pieces; the system's own allocator hands
/// them out and takes them back more slowly (see the figures in DEVELOPERS.md).
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    benchlore::cli::main()
}
