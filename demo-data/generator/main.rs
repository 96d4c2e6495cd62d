//! Makes the jobs and the people of the practice shop again:
//! `cargo run --example practice-shop -- --into DIR`.
//!
//! Writes `DIR/jobs/practice.jsonl` and what lies in `DIR/people`. The same sources give the same bytes on every machine.

mod people;
mod practice;

use std::path::Path;
use std::path::PathBuf;
use std::process::ExitCode;

#[expect(
    clippy::disallowed_methods,
    reason = "a tool beside the program: it makes files and shares none of its stores"
)]
fn write(path: &Path, text: &str) -> std::io::Result<()> {
    std::fs::create_dir_all(path.parent().unwrap_or(path))?;
    std::fs::write(path, text)
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
    let folder = PathBuf::from(folder);
    let jobs = practice::jobs();
    let mut files = people::people(&jobs);
    files.push(("jobs/practice.jsonl".to_owned(), jobs));
    for (place, text) in files {
        if let Err(error) = write(&folder.join(&place), &text) {
            eprintln!("{place}: not written: {error}");
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}
