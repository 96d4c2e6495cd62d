//! Makes the jobs of the practice shop again: `cargo run --example practice-shop -- --into DIR`.
//!
//! Writes `DIR/jobs/practice.jsonl`. The same sources give the same bytes on every machine.

mod practice;

use std::path::PathBuf;
use std::process::ExitCode;

#[expect(
    clippy::disallowed_methods,
    reason = "a tool beside the program: it makes one file and shares none of its stores"
)]
fn write(folder: &PathBuf, text: &str) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    std::fs::write(folder.join("practice.jsonl"), text)
}

#[expect(
    clippy::print_stderr,
    reason = "a tool beside the program: it has no screen"
)]
fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [flag, folder] = words.as_slice() else {
        eprintln!("usage: practice-shop --into DIR");
        return ExitCode::from(2);
    };
    if flag != "--into" {
        eprintln!("unknown option {flag:?}; usage: practice-shop --into DIR");
        return ExitCode::from(2);
    }
    let folder = PathBuf::from(folder).join("jobs");
    match write(&folder, &practice::jobs()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{}: not written: {error}", folder.display());
            ExitCode::FAILURE
        }
    }
}
