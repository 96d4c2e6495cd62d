//! The bytes of a backup: a tar archive whose first entry lists the others, made and checked.
//!
//! Texts and bytes in, texts and bytes out; no file is touched here. Where a backup comes from and
//! goes to is in [`crate::store::backup`].

use std::io;
use std::io::Read as _;
use std::io::Write;

use chrono::DateTime;
use chrono::SecondsFormat;
use chrono::Utc;
use serde_json::Value;
use serde_json::json;
use sha2::Digest as _;
use sha2::Sha256;

/// First entry of every backup.
pub(crate) const MANIFEST: &str = "manifest.jsonl";
/// Lies in a folder while a restore is under way.
pub const UNFINISHED: &str = ".restore-unfinished";

/// One file of a shop.
pub(crate) struct Piece {
    /// Its place in the shop folder, with `/`.
    pub(crate) path: String,
    /// What is in it.
    pub(crate) bytes: Vec<u8>,
}

/// Everything that a backup holds.
pub(crate) struct Contents {
    /// The shop's name.
    pub(crate) name: String,
    /// When the backup was made.
    pub(crate) made: DateTime<Utc>,
    /// The files, by place.
    pub(crate) pieces: Vec<Piece>,
}

/// Writes the archive of `contents`; `progress` hears the step, how many of how many.
pub(crate) fn pack(
    contents: &Contents,
    out: &mut dyn Write,
    progress: &mut dyn FnMut(&str, usize, usize),
) -> io::Result<()> {
    let mut builder = tar::Builder::new(out);
    let stamp = u64::try_from(contents.made.timestamp()).unwrap_or(0);
    let mut add = |path: &str, bytes: &[u8]| {
        let mut header = tar::Header::new_gnu();
        header.set_size(bytes.len() as u64);
        header.set_mode(0o644);
        header.set_mtime(stamp);
        builder.append_data(&mut header, path, bytes)
    };
    add(MANIFEST, manifest(contents).as_bytes())?;
    for (n, piece) in contents.pieces.iter().enumerate() {
        progress("writing", n, contents.pieces.len());
        add(&piece.path, &piece.bytes)?;
    }
    builder.finish()
}

/// Returns the list of contents: a head, a line a file, a close with the sum of all before it.
pub(crate) fn manifest(contents: &Contents) -> String {
    let made = contents.made.to_rfc3339_opts(SecondsFormat::Secs, true);
    let head = json!({ "v": 1, "backup": "benchlore", "made": made, "name": contents.name });
    let mut text = format!("{head}\n");
    for piece in &contents.pieces {
        let line = json!({
            "path": piece.path, "size": piece.bytes.len(), "sha256": hash(&piece.bytes),
        });
        text.push_str(&line.to_string());
        text.push('\n');
    }
    let close = json!({ "sha256": hash(text.as_bytes()) });
    text.push_str(&close.to_string());
    text.push('\n');
    text
}

/// Returns the SHA-256 of `bytes` as hexadecimal digits.
pub(crate) fn hash(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Returns bytes as lower-case hexadecimal digits.
pub(crate) fn hex(digest: &[u8]) -> String {
    let digits = digest.iter().flat_map(|byte| [byte >> 4, byte & 15]);
    digits
        .filter_map(|digit| char::from_digit(u32::from(digit), 16))
        .collect()
}

/// Reads a backup and finds it right, or says what is wrong with it.
pub(crate) fn unpack(bytes: &[u8]) -> Result<Contents, String> {
    let early = |error: io::Error| format!("it ends too early or was altered ({error})");
    let mut archive = tar::Archive::new(bytes);
    let mut list = None;
    let mut pieces: Vec<Piece> = Vec::new();
    for entry in archive.entries().map_err(early)? {
        let mut entry = entry.map_err(early)?;
        let name = entry.path_bytes().into_owned();
        let path =
            String::from_utf8(name).map_err(|_error| "a name in it is not UTF-8".to_owned())?;
        if entry.header().entry_type() != tar::EntryType::Regular {
            return Err(format!(
                "{path:?} in it is a link, a folder or a device, no file"
            ));
        }
        if path.starts_with('/') || !is_portable(&path) {
            return Err(format!("{path:?} in it would lie outside the folder"));
        }
        if entry.size() > bytes.len() as u64 {
            return Err(format!(
                "{path:?} in it claims to be larger than the backup"
            ));
        }
        let mut content = Vec::new();
        entry.read_to_end(&mut content).map_err(early)?;
        if content.len() as u64 != entry.size() {
            return Err(format!("it ends in the middle of {path:?}"));
        }
        if list.is_none() {
            if path != MANIFEST {
                return Err("it does not begin with its list of contents".to_owned());
            }
            list = Some(content);
            continue;
        }
        if passed_over(&path) {
            return Err(format!("{path:?} has no place in a backup"));
        }
        pieces.push(Piece {
            path,
            bytes: content,
        });
    }
    let list = list.ok_or("there is nothing in it")?;
    let (name, made) = check_list(&list, &pieces)?;
    let contents = Contents { name, made, pieces };
    let mut again = Vec::with_capacity(bytes.len());
    pack(&contents, &mut again, &mut |_, _, _| ()).map_err(early)?;
    if again != bytes {
        let at = again.iter().zip(bytes).position(|(a, b)| a != b);
        let at = at.unwrap_or_else(|| again.len().min(bytes.len()));
        return Err(format!("it was altered or cut at byte {at}"));
    }
    Ok(contents)
}

/// Compares the list of contents with what there is; returns the shop's name and the moment.
fn check_list(list: &[u8], pieces: &[Piece]) -> Result<(String, DateTime<Utc>), String> {
    let damaged = || "its list of contents is damaged".to_owned();
    let text = std::str::from_utf8(list).map_err(|_error| damaged())?;
    let body = text.strip_suffix('\n').ok_or_else(damaged)?;
    let (lines, close) = body.rsplit_once('\n').ok_or_else(damaged)?;
    let value = |line: &str| serde_json::from_str::<Value>(line).map_err(|_error| damaged());
    if value(close)?["sha256"] != hash(format!("{lines}\n").as_bytes()) {
        return Err(damaged());
    }
    let mut lines = lines.lines();
    let head = value(lines.next().ok_or_else(damaged)?)?;
    if head["v"] != 1 {
        return Err(format!("its format {} is not known here", head["v"]));
    }
    let made = head["made"].as_str().ok_or_else(damaged)?;
    let made = DateTime::parse_from_rfc3339(made).map_err(|_error| damaged())?;
    let name = head["name"].as_str().ok_or_else(damaged)?.to_owned();
    let mut left = pieces.iter();
    let mut before: Option<&str> = None;
    for line in lines {
        let line = value(line)?;
        let path = line["path"].as_str().ok_or_else(damaged)?;
        let piece = left.next().ok_or_else(|| format!("{path:?} is missing"))?;
        if piece.path != path {
            return Err(format!("{:?} stands where {path:?} should", piece.path));
        }
        if line["size"] != piece.bytes.len() || line["sha256"] != hash(&piece.bytes) {
            return Err(format!("{path:?} in it was altered"));
        }
        if before.is_some_and(|before| before >= piece.path.as_str()) {
            return Err(format!("{path:?} stands in it twice or out of order"));
        }
        before = Some(&piece.path);
    }
    if let Some(piece) = left.next() {
        return Err(format!("{:?} is in it and not in its list", piece.path));
    }
    if !pieces.iter().any(|piece| piece.path == "shop.json") {
        return Err("no shop is in it".to_owned());
    }
    Ok((name, made.to_utc()))
}

/// Tells whether a backup leaves a file out silently: derived, a lock, or half-written.
pub(crate) fn passed_over(place: &str) -> bool {
    let name = place.rsplit('/').next().unwrap_or_default();
    place == "cache"
        || place.starts_with("cache/")
        || name.strip_suffix(".lock").is_some()
        || (name.starts_with('.') && name.strip_suffix(".new").is_some())
        || name == UNFINISHED
}

/// Tells whether a place stays inside the folder it is put into, on every system.
pub(crate) fn is_portable(place: &str) -> bool {
    let good = |name: &str| {
        !name.is_empty()
            && name.len() <= 200
            && !name.chars().all(|c| c == '.')
            && !name.ends_with([' ', '.'])
            && !name
                .chars()
                .any(|c| c.is_control() || r#"\:*?"<>|"#.contains(c))
    };
    place.len() <= 1000 && place.split('/').all(good)
}
