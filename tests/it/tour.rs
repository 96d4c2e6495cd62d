//! The tour in README.md, taken for real: what it says to type is typed, what it shows is there.
//!
//! Two kinds of block are replayed, in the order of the page and in one practice shop:
//! - a `text` block whose first line begins with `$ `: its commands run in a shell, and a line that asks
//!   something is answered with what stands behind its colon;
//! - a `text` block after a comment `<!-- tour: … -->`: the comment's keys are pressed in a window of 80
//!   by 24 (words in quotes are typed, the rest are names of keys), and the block is looked for on the
//!   screen. A comment `<!-- tour: open -->` first opens the program anew.
//!
//! `…` on a line of its own stands for lines left out; seconds and what follows `…` in a line are not
//! compared.

use std::process::Command;
use std::process::Stdio;

use portable_pty::CommandBuilder;

use crate::common::Bench;
use crate::common::NOW;
use crate::common::text;
use crate::terminal::Desk;

const README: &str = include_str!("../../README.md");

/// Beginnings of the lines at which `drill --plain` waits for an answer.
const ASKS: [&str; 4] = ["Which circuit", "Name the fix", "How sure", "Say it in"];

/// One block of the page.
#[derive(Debug)]
enum Block {
    /// A shell session.
    Session(Vec<String>),
    /// What to press, and what the screen then shows.
    Screen(String, Vec<String>),
}

fn blocks() -> Vec<Block> {
    let mut found = Vec::new();
    let mut told: Option<String> = None;
    let mut lines = README.lines();
    while let Some(line) = lines.next() {
        let comment = line.strip_prefix("<!-- tour: ");
        if let Some(keys) = comment.and_then(|line| line.strip_suffix(" -->")) {
            told = Some(keys.to_owned());
        } else if line == "```text" {
            let block: Vec<String> = lines
                .by_ref()
                .take_while(|line| *line != "```")
                .map(str::to_owned)
                .collect();
            if let Some(keys) = told.take() {
                found.push(Block::Screen(keys, block));
            } else if block.first().is_some_and(|line| line.starts_with("$ ")) {
                found.push(Block::Session(block));
            }
        }
    }
    found
}

/// Returns a line without its trailing blanks, its seconds and what was left out of it.
fn comparable(line: &str) -> String {
    let line = line.split(" …").next().unwrap_or_default().trim_end();
    let words: Vec<&str> = line.split(' ').collect();
    let seconds = |i: usize| {
        words[i].parse::<u64>().is_ok() && words.get(i + 1).is_some_and(|w| w.starts_with("s,"))
    };
    let shown: Vec<&str> = (0..words.len())
        .map(|i| if seconds(i) { "0" } else { words[i] })
        .collect();
    shown.join(" ")
}

/// Looks for `wanted` among `seen`, in order and without a gap but where `…` stands.
fn look_for(wanted: &[String], seen: &[String]) -> Result<(), String> {
    let mut at = 0;
    let mut gap = true;
    for line in wanted {
        if line.trim() == "…" {
            gap = true;
            continue;
        }
        let (cut, line) = (line.contains(" …"), comparable(line));
        let same = |other: &String| {
            let other = comparable(other);
            other == line || cut && other.starts_with(&line)
        };
        let place = seen[at..].iter().position(same);
        match place {
            Some(0) => at += 1,
            Some(n) if gap => at += n + 1,
            _ => {
                return Err(format!(
                    "not there: {line}\nwhat is there:\n{}",
                    seen[at..].join("\n")
                ));
            }
        }
        gap = false;
    }
    Ok(())
}

/// A folder with the program under its own name, at the tests' moment.
fn on_the_path(bench: &Bench) -> std::path::PathBuf {
    let folder = bench.data().with_file_name("bin");
    std::fs::create_dir_all(&folder).expect("the folder is made");
    let script = folder.join("benchlore");
    let binary = env!("CARGO_BIN_EXE_benchlore");
    let text = format!("#!/bin/sh\nexec '{binary}' \"$@\" --as-of {NOW} --seed 1\n");
    std::fs::write(&script, text).expect("the script is written");
    let mark = Command::new("chmod").arg("+x").arg(&script).status();
    assert!(mark.expect("chmod runs").success());
    folder
}

/// Runs the commands of a session and compares what they print.
fn session(bench: &Bench, block: &[String]) -> Result<(), String> {
    let starts: Vec<usize> = (0..block.len())
        .filter(|&i| block[i].starts_with("$ "))
        .collect();
    for (n, &start) in starts.iter().enumerate() {
        let end = starts.get(n + 1).copied().unwrap_or(block.len());
        let typed = block[start].trim_start_matches("$ ");
        let wanted = &block[start + 1..end];
        let mut input = String::new();
        for line in wanted {
            let asks = ASKS.iter().any(|asks| line.starts_with(asks));
            if let Some((_, answer)) = line.rsplit_once(": ").filter(|_| asks) {
                input.push_str(answer);
                input.push('\n');
            }
        }
        let seen = in_a_shell(bench, typed, &input);
        look_for(wanted, &seen).map_err(|why| format!("$ {typed}\n{why}"))?;
    }
    Ok(())
}

/// Runs a line in a shell and returns what it printed, standard output first.
fn in_a_shell(bench: &Bench, line: &str, input: &str) -> Vec<String> {
    use std::io::Write;
    let path = std::env::var("PATH").unwrap_or_default();
    let mut child = Command::new("sh")
        .args(["-c", line])
        .env("PATH", format!("{}:{path}", on_the_path(bench).display()))
        .env("BENCHLORE_SHOP", bench.shop())
        .env("BENCHLORE_BENCH", "b7")
        .env("XDG_DATA_HOME", bench.data())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a shell starts");
    let mut to = child.stdin.take().expect("a pipe");
    // A command that reads nothing may be gone before its input is.
    drop(to.write_all(input.as_bytes()));
    drop(to);
    let out = child.wait_with_output().expect("the shell ends");
    let all = format!("{}{}", text(&out.stdout), text(&out.stderr));
    all.lines().map(str::to_owned).collect()
}

/// Returns the bytes that a comment's keys send.
fn keys(told: &str) -> String {
    let mut bytes = String::new();
    let mut rest = told.trim();
    while !rest.is_empty() {
        let (one, after) = match rest.strip_prefix('"') {
            Some(quoted) => {
                let (typed, after) = quoted.split_once('"').expect("a closing quote");
                bytes.push_str(typed);
                rest = after.trim_start();
                continue;
            }
            None => rest.split_once(' ').unwrap_or((rest, "")),
        };
        bytes.push_str(match one {
            "Enter" => "\r",
            "Esc" => "\x1b",
            "Tab" => "\t",
            "Up" => "\x1b[A",
            "Down" => "\x1b[B",
            other => panic!("{other} is no key of the tour"),
        });
        rest = after.trim_start();
    }
    bytes
}

fn open(bench: &Bench) -> Desk {
    let mut command = CommandBuilder::new(on_the_path(bench).join("benchlore"));
    command.env("BENCHLORE_SHOP", bench.shop());
    command.env("BENCHLORE_BENCH", "b7");
    command.env("XDG_DATA_HOME", bench.data());
    command.env("TERM", "xterm-256color");
    Desk::start(tempfile::tempdir().expect("a folder"), command)
}

#[test]
fn the_tour_of_the_readme_is_as_it_says() {
    let bench = Bench::shipped();
    let mut desk: Option<Desk> = None;
    let (mut sessions, mut screens) = (0, 0);
    for block in blocks() {
        match block {
            Block::Session(lines) => {
                sessions += 1;
                if let Err(why) = session(&bench, &lines) {
                    panic!("{why}");
                }
            }
            Block::Screen(told, wanted) => {
                screens += 1;
                let (anew, told) = match told.strip_prefix("open") {
                    Some(rest) => (true, rest),
                    None => (false, told.as_str()),
                };
                if anew {
                    desk = Some(open(&bench));
                }
                let desk = desk
                    .as_mut()
                    .expect("the first screen of the tour says open");
                if anew {
                    desk.shows("Your initials");
                }
                desk.press(&keys(told));
                desk.comes_to(|screen| {
                    let seen: Vec<String> = screen.lines().map(str::to_owned).collect();
                    look_for(&wanted, &seen)
                });
            }
        }
    }
    assert!(2 <= sessions, "{sessions} sessions");
    assert!(2 <= screens, "{screens} screens");
}

#[test]
fn a_line_that_is_not_there_is_missed() {
    let lines = |text: &str| -> Vec<String> { text.lines().map(str::to_owned).collect() };
    let seen = lines("a\nb\nright; 3 s, sure\nc");
    assert_eq!(look_for(&lines("b\nright; 8 s, sure"), &seen), Ok(()));
    assert_eq!(look_for(&lines("a\n…\nc"), &seen), Ok(()));
    assert!(look_for(&lines("a\nc"), &seen).is_err(), "b stands between");
    assert!(
        look_for(&lines("b\na"), &seen).is_err(),
        "the order is another"
    );
    assert!(look_for(&lines("right; 3 s, fair"), &seen).is_err());
}
