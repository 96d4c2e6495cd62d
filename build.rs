//! Gives the program a mark of its own sources.
//!
//! An index in a shop's `cache/` depends on the rules it was made by: how words are cut, what band a
//! reading lies in. Those are all over `src/domain`; a number that somebody has to remember to raise
//! would be forgotten, and then searches would miss jobs. So an index names the sources of the
//! program that made it, and another program makes its own.
#![expect(
    clippy::disallowed_methods,
    reason = "a build script reads the sources, not a shop"
)]

use std::fs;
use std::path::Path;
use std::path::PathBuf;

fn main() {
    println!("cargo::rerun-if-changed=src");
    let mut files = Vec::new();
    collect(Path::new("src"), &mut files);
    files.sort();
    // FNV-1a, 64 bits: Fowler, Noll, Vo; constants from RFC 9923 (from memory).
    let mut mark = 0xcbf2_9ce4_8422_2325_u64;
    for file in files {
        let bytes = fs::read(&file).expect("a source file can be read");
        let name = file.to_string_lossy().replace('\\', "/");
        for byte in name.bytes().chain(bytes) {
            mark = (mark ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
    println!("cargo::rustc-env=BENCHLORE_SOURCES={mark:016x}");
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the source folder is there") {
        let path = entry.expect("its entries can be read").path();
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
}
