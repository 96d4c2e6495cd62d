//! Holds the import rule: each layer names only the layers the table in DEVELOPERS.md allows.
//! The tests at the end of a file may use what they like.

use std::path::Path;
use std::path::PathBuf;

/// Layer, layers it may name besides itself, crates it must not name.
const TABLE: [(&str, &[&str], &[&str]); 6] = [
    (
        "domain",
        &[],
        &[
            "serde",
            "serde_json",
            "clap",
            "ratatui",
            "std::fs",
            "std::io",
            "std::env",
            "std::time",
            "etcetera",
        ],
    ),
    ("store", &["domain"], &["clap", "ratatui", "tui_input"]),
    (
        "report",
        &["domain"],
        &[
            "serde",
            "serde_json",
            "clap",
            "ratatui",
            "std::fs",
            "std::io",
            "std::env",
            "std::time",
        ],
    ),
    (
        "app",
        &["domain", "store", "report"],
        &["clap", "ratatui", "tui_input", "std::fs"],
    ),
    (
        "tui",
        &["domain", "app"],
        &["clap", "std::fs", "serde_json"],
    ),
    ("cli", &["domain", "store", "report", "app", "tui"], &[]),
];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the source folder is there") {
        let path = entry.expect("the entry can be read").path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}

/// Returns what a source line names that its layer may not.
fn broken_rule(layer: &str, line: &str) -> Option<String> {
    let (_, allowed, banned) = TABLE.iter().find(|(name, ..)| *name == layer)?;
    let code = line.split("//").next().unwrap_or_default();
    if code.contains("crate::{") {
        return Some("`crate::{`: import one path a line".to_owned());
    }
    if code.contains("super::super") {
        return Some("`super::super`: name the path from the crate".to_owned());
    }
    for (name, ..) in TABLE {
        if name != layer && !allowed.contains(&name) && code.contains(&format!("crate::{name}::")) {
            return Some(format!("`{layer}` may not name `{name}`"));
        }
    }
    banned
        .iter()
        .find(|word| code.contains(&format!("use {word}")) || code.contains(&format!("{word}::")))
        .map(|word| format!("`{layer}` may not touch `{word}`"))
}

#[test]
fn imports_run_one_way() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut broken = Vec::new();
    let mut read = 0;
    for (layer, ..) in TABLE {
        for path in sources(&src.join(layer)) {
            let text = std::fs::read_to_string(&path).expect("the source can be read");
            read += 1;
            let shipped = text.lines().take_while(|line| *line != "#[cfg(test)]");
            for (n, line) in shipped.enumerate() {
                if let Some(why) = broken_rule(layer, line) {
                    broken.push(format!("{}:{}: {why}", path.display(), n + 1));
                }
            }
        }
    }
    assert!(20 < read, "only {read} sources were read");
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

/// Rooms of the judge, in the order of its module documentation: each names only those before it.
const ROOMS: [&str; 5] = ["read", "readings", "claim", "danger", "compare"];

/// Returns the room that a line names though it stands behind `room`.
fn later_room(room: &str, line: &str) -> Option<&'static str> {
    let code = line.split("//").next().unwrap_or_default();
    let later = ROOMS.into_iter().skip_while(|name| *name != room).skip(1);
    later
        .into_iter()
        .find(|name| code.contains(&format!("domain::judge::{name}::")))
}

/// Tells whether a file holds tests alone: its folder names it so.
fn is_of_tests(path: &Path) -> bool {
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    let folder = std::fs::read_to_string(path.with_file_name("mod.rs")).unwrap_or_default();
    folder.contains(&format!("#[cfg(test)]\nmod {name};"))
}

#[test]
fn rooms_of_the_judge_name_only_those_before_them() {
    let judge = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/domain/judge");
    let mut broken = Vec::new();
    for room in ROOMS {
        let files = sources(&judge.join(room));
        assert!(5 < files.len(), "{room} has {} files", files.len());
        for path in files.iter().filter(|path| !is_of_tests(path)) {
            let text = std::fs::read_to_string(path).expect("the source can be read");
            let shipped = text.lines().take_while(|line| *line != "#[cfg(test)]");
            for line in shipped {
                if let Some(later) = later_room(room, line) {
                    broken.push(format!("{}: {later}", path.display()));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    let wrong = "use crate::domain::judge::compare::points;";
    assert_eq!(later_room("claim", wrong), Some("compare"));
    assert_eq!(later_room("compare", wrong), None);
}

#[test]
fn a_wrong_import_is_noticed() {
    for (layer, line) in [
        ("domain", "use crate::store::journal::Journal;"),
        ("domain", "let now = std::time::SystemTime::now();"),
        ("tui", "use crate::store::shop::load;"),
        ("store", "use crate::{domain::job::Job};"),
        ("app", "use super::super::x;"),
        ("store", "use crate::app::bench::Bench;"),
        ("store", "use crate::report::html;"),
        ("report", "use crate::app::face;"),
        ("report", "use std::fs;"),
        ("tui", "use crate::report::html;"),
    ] {
        assert!(broken_rule(layer, line).is_some(), "{layer}: {line}");
    }
    assert_eq!(broken_rule("tui", "use crate::domain::card::Card;"), None);
    assert_eq!(
        broken_rule("domain", "// crate::store:: is out of bounds"),
        None
    );
}
