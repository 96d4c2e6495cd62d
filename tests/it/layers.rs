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

/// Parts of `domain` with rooms, in the order of their module documentation: each room names only those
/// before it. What is in no list, such as examples, is not asked.
const ROOMS: [(&str, &[&str]); 2] = [
    ("judge", &["read", "readings", "claim", "danger", "compare"]),
    (
        "generate",
        &[
            "input", "coded", "words", "weigh", "fronts", "backs", "kinds", "checks", "stems",
            "build",
        ],
    ),
];

/// Tells whether the code of a line names a module or something in it.
fn names(line: &str, module: &str) -> bool {
    let code = line.split("//").next().unwrap_or_default();
    code.match_indices(module).any(|(at, _)| {
        let next = code[at + module.len()..].chars().next();
        next.is_none_or(|c| !c.is_alphanumeric() && c != '_')
    })
}

/// Returns the room of `part` that a line names though it stands behind `room`.
fn later_room(part: &str, room: &str, line: &str) -> Option<&'static str> {
    let (_, rooms) = ROOMS.iter().find(|(name, _)| *name == part)?;
    let mut later = rooms.iter().skip_while(|name| **name != room).skip(1);
    let named = later.find(|name| names(line, &format!("domain::{part}::{name}")));
    named.copied()
}

/// Tells whether a file holds tests alone: its folder or its own name says so.
fn is_of_tests(path: &Path) -> bool {
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    let folder = std::fs::read_to_string(path.with_file_name("mod.rs")).unwrap_or_default();
    name.ends_with("_tests") || folder.contains(&format!("#[cfg(test)]\nmod {name};"))
}

/// Returns the lines of a room, or of a file that stands as one, that are not tests; each with its file.
fn shipped_lines(room: &Path) -> Vec<(PathBuf, String)> {
    let files = if room.is_dir() {
        sources(room)
    } else {
        vec![room.with_extension("rs")]
    };
    let mut lines = Vec::new();
    for path in files.into_iter().filter(|path| !is_of_tests(path)) {
        let text = std::fs::read_to_string(&path).expect("the source can be read");
        let shipped = text.lines().take_while(|line| *line != "#[cfg(test)]");
        lines.extend(shipped.map(|line| (path.clone(), line.to_owned())));
    }
    lines
}

#[test]
fn rooms_name_only_those_before_them() {
    let domain = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/domain");
    let mut broken = Vec::new();
    for (part, rooms) in ROOMS {
        for room in rooms {
            let lines = shipped_lines(&domain.join(part).join(room));
            assert!(20 < lines.len(), "{room} has {} lines", lines.len());
            for (path, line) in lines {
                if let Some(later) = later_room(part, room, &line) {
                    broken.push(format!("{}: {later}", path.display()));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    let wrong = "use crate::domain::judge::compare::points;";
    assert_eq!(later_room("judge", "claim", wrong), Some("compare"));
    assert_eq!(later_room("judge", "compare", wrong), None);
    let wrong = "use crate::domain::generate::build;";
    assert_eq!(later_room("generate", "kinds", wrong), Some("build"));
    let other = "use crate::domain::generate::words_of_others;";
    assert_eq!(later_room("generate", "coded", other), None);
}

#[test]
fn every_room_has_its_place_in_the_order() {
    let domain = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/domain");
    for (part, rooms) in ROOMS {
        for entry in std::fs::read_dir(domain.join(part)).expect("the part is there") {
            let path = entry.expect("the entry can be read").path();
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let known = rooms.iter().any(|room| *room == name);
            let room = path.is_dir() && !sources(&path).is_empty();
            assert!(!room || known, "{part}/{name} is in no order");
        }
    }
}

#[test]
fn no_kind_of_card_names_another() {
    let kinds = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/domain/generate/kinds");
    let entries = std::fs::read_dir(&kinds).expect("the room is there");
    let stem = |path: &Path| path.file_stem().unwrap_or_default().display().to_string();
    let all: Vec<String> = entries
        .map(|entry| stem(&entry.expect("the entry can be read").path()))
        .filter(|kind| kind != "mod")
        .collect();
    assert!(5 < all.len(), "{all:?}");
    for kind in &all {
        for (path, line) in shipped_lines(&kinds.join(kind)) {
            let other = |other: &&String| {
                *other != kind && names(&line, &format!("domain::generate::kinds::{other}"))
            };
            let named = all.iter().find(other);
            assert!(named.is_none(), "{}: {line}", path.display());
        }
    }
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
