//! The examples and laws of `backup.rs`.

use super::*;
use crate::store::backup_file::MANIFEST;
use crate::store::backup_file::manifest;
use crate::store::faulty::FaultyDisk;
use crate::store::faulty::Trouble;
use crate::store::model_disk::Cut;
use crate::store::model_disk::ModelDisk;
use std::sync::Arc;

const SHOP: &[u8] = br#"{"v":1,"name":"Skerry","boards":[]}"#;

fn quiet() -> impl FnMut(&str, usize, usize) {
    |_, _, _| ()
}

fn moment() -> DateTime<Utc> {
    DateTime::from_timestamp(1_775_000_000, 0).unwrap()
}

fn shop() -> ModelDisk {
    let disk = ModelDisk::new();
    disk.put(Path::new("/shop/shop.json"), SHOP);
    disk.put(Path::new("/shop/jobs/a.jsonl"), b"{\"v\":1}\r\nnot json\n");
    disk.put(
        Path::new("/shop/people/mk/b7.jsonl"),
        b"{\"v\":1}\n{\"v\":2}",
    );
    disk.put(Path::new("/shop/people/mk/c1.jsonl"), b"{\"v\":1}\n{\"v");
    disk.put(Path::new("/shop/people/mk/b7.jsonl.lock"), b"mk");
    disk.put(Path::new("/shop/cache/jobs.idx"), b"derived");
    disk.put(Path::new("/shop/decks/.a.json.new"), b"half");
    disk.put(Path::new("/shop/notes/odd \u{e9}.txt"), b"\0\xff");
    disk.put(Path::new("/out/x"), b"");
    disk
}

fn make(disk: &ModelDisk, file: &str) -> Result<Copied, BackupError> {
    let about = ("Skerry", moment());
    let folder = ShopFolder::new("/shop");
    backup(disk, &folder, Path::new(file), about, &mut quiet())
}

fn put_back(disk: &ModelDisk, file: &str, into: &str) -> Result<Restored, BackupError> {
    restore(disk, Path::new(file), Path::new(into), &mut quiet())
}

fn under(disk: &ModelDisk, root: &str) -> Vec<(String, Vec<u8>)> {
    let all = disk.everything().into_iter();
    all.filter_map(|(path, bytes)| {
        let place = path.strip_prefix(root).ok()?.to_str()?.to_owned();
        Some((place, bytes))
    })
    .collect()
}

#[test]
fn a_shop_comes_back_as_it_was_without_cache_locks_and_half_lines() {
    let disk = shop();
    let copied = make(&disk, "/out/shop.tar").unwrap();
    assert_eq!(copied.files, 5);
    assert_eq!(copied.unfinished, [("people/mk/c1.jsonl".to_owned(), 3)]);
    assert_eq!(copied.left_out, []);
    let restored = put_back(&disk, "/out/shop.tar", "/new/place").unwrap();
    assert_eq!(restored.name, "Skerry");
    assert_eq!(restored.made, moment());
    let mut expected = under(&disk, "/shop");
    expected.retain(|(place, _)| !passed_over(place));
    for (place, bytes) in &mut expected {
        bytes.truncate(whole_lines(place, bytes));
    }
    assert_eq!(under(&disk, "/new/place"), expected);
    assert_eq!(
        copied.sha256,
        hash(&disk.read(Path::new("/out/shop.tar")).unwrap())
    );
}

#[test]
fn the_same_shop_and_moment_give_the_same_bytes_and_nothing_is_replaced() {
    let disk = shop();
    make(&disk, "/out/a.tar").unwrap();
    make(&disk, "/out/b.tar").unwrap();
    let read = |path: &str| disk.read(Path::new(path)).unwrap();
    assert_eq!(read("/out/a.tar"), read("/out/b.tar"));
    let refused = make(&disk, "/out/a.tar");
    assert!(matches!(refused, Err(BackupError::AlreadyThere { .. })));
    let refused = make(&disk, "/shop/a.tar");
    assert!(matches!(refused, Err(BackupError::Inside { .. })));
    disk.put(Path::new("/shop/people/tl/going.json"), b"{}");
    let refused = make(&disk, "/out/c.tar");
    assert!(matches!(refused, Err(BackupError::Erasing { person }) if person == "tl"));
}

#[test]
fn every_cut_and_every_flipped_byte_is_noticed() {
    let disk = shop();
    make(&disk, "/out/a.tar").unwrap();
    let whole = disk.read(Path::new("/out/a.tar")).unwrap();
    assert!(unpack(&whole).is_ok());
    for len in 0..whole.len() {
        assert!(unpack(&whole[..len]).is_err(), "cut at {len}");
    }
    for at in 0..whole.len() {
        let mut hit = whole.clone();
        hit[at] ^= 1 << (at % 8);
        assert!(unpack(&hit).is_err(), "byte {at}");
    }
    let mut longer = whole.clone();
    longer.push(0);
    assert!(unpack(&longer).is_err());
    disk.put(Path::new("/out/cut.tar"), &whole[..whole.len() / 2]);
    let refused = put_back(&disk, "/out/cut.tar", "/new");
    assert!(matches!(refused, Err(BackupError::NotWhole { .. })));
    assert!(!disk.exists(Path::new("/new")).unwrap());
}

/// One entry after a list of contents, its name and kind written straight into the header.
fn hostile(name: &[u8], kind: tar::EntryType, claim: u64) -> Vec<u8> {
    let mut out = Vec::new();
    let mut builder = tar::Builder::new(&mut out);
    let contents = Contents {
        name: "x".to_owned(),
        made: moment(),
        pieces: Vec::new(),
    };
    let list = manifest(&contents);
    let mut header = tar::Header::new_gnu();
    header.set_size(list.len() as u64);
    builder
        .append_data(&mut header, MANIFEST, list.as_bytes())
        .unwrap();
    let mut header = tar::Header::new_gnu();
    header.as_old_mut().name[..name.len()].copy_from_slice(name);
    header.set_entry_type(kind);
    if kind == tar::EntryType::Symlink {
        header.set_link_name("/etc").unwrap();
    }
    header.set_size(claim);
    header.set_cksum();
    builder.append(&header, &b"x"[..]).unwrap();
    builder.finish().unwrap();
    drop(builder);
    out
}

#[test]
fn hostile_archives_are_refused_before_anything_is_written() {
    let regular = tar::EntryType::Regular;
    for (name, kind, claim, why) in [
        (&b"../x"[..], regular, 1, "outside"),
        (b"a/../../x", regular, 1, "outside"),
        (b"/etc/x", regular, 1, "outside"),
        (b"c:\\x", regular, 1, "outside"),
        (b"a\\..\\x", regular, 1, "outside"),
        (b"people/./x", regular, 1, "outside"),
        (b"a//x", regular, 1, "outside"),
        (b"link", tar::EntryType::Symlink, 0, "no file"),
        (b"link", tar::EntryType::Link, 0, "no file"),
        (b"pipe", tar::EntryType::Fifo, 0, "no file"),
        (b"folder/", tar::EntryType::Directory, 0, "no file"),
        (b"big", regular, 1 << 62, "larger"),
        (b"big", regular, u64::MAX, ""),
        (b"big", tar::EntryType::GNULongName, 1 << 40, ""),
        (b"big", tar::EntryType::GNUSparse, 1 << 40, ""),
        (b"big", tar::EntryType::XHeader, 1 << 40, ""),
        (b"cache/jobs.idx", regular, 1, "no place"),
        (b"extra", regular, 1, "not in its list"),
    ] {
        let bytes = hostile(name, kind, claim);
        let found = unpack(&bytes).err().expect("it is refused");
        assert!(found.contains(why), "{name:?}: {found}");
        let disk = ModelDisk::new();
        disk.put(Path::new("/out/a.tar"), &bytes);
        assert!(put_back(&disk, "/out/a.tar", "/new").is_err());
        assert_eq!(disk.everything().len(), 1);
    }
}

#[test]
fn only_a_new_or_empty_folder_takes_a_restore_and_an_unfinished_one_goes_on() {
    let disk = shop();
    make(&disk, "/out/a.tar").unwrap();
    let refused = put_back(&disk, "/out/a.tar", "/shop");
    assert!(matches!(refused, Err(BackupError::NotEmpty { .. })));
    disk.power_off_at(14);
    assert!(put_back(&disk, "/out/a.tar", "/new").is_err());
    disk.cut(Cut::Kept);
    let half = under(&disk, "/new");
    assert!(1 < half.len() && !half.iter().any(|(place, _)| place == "shop.json"));
    put_back(&disk, "/out/a.tar", "/new").unwrap();
    let done = under(&disk, "/new");
    assert_eq!(done.len(), 5, "{done:?}");
    disk.put(Path::new("/third/.restore-unfinished"), b"");
    disk.put(Path::new("/third/mine.txt"), b"");
    let refused = put_back(&disk, "/out/a.tar", "/third");
    assert!(matches!(refused, Err(BackupError::NotEmpty { found, .. }) if found == "mine.txt"));
}

#[test]
fn what_does_not_read_back_is_no_backup() {
    let about = ("Skerry", moment());
    let folder = ShopFolder::new("/shop");
    let file = Path::new("/out/a.tar");
    let make = |nth| {
        let disk = shop();
        let faulty = FaultyDisk::new(Arc::new(disk.clone()), nth, Trouble::Error);
        let done = backup(&faulty, &folder, file, about, &mut quiet());
        (disk, faulty, done)
    };
    let (_, counting, _) = make(0);
    assert_eq!(counting.log().last(), Some(&"read"), "the reading back");
    let (disk, _, done) = make(counting.calls());
    assert!(matches!(done, Err(BackupError::NotTheSame { .. })));
    assert!(!disk.exists(file).unwrap());
}

#[test]
fn a_sync_that_lies_costs_the_backup_at_a_power_cut() {
    let disk = shop();
    disk.lie_about_syncs();
    make(&disk, "/out/a.tar").unwrap();
    disk.cut(Cut::Zeros);
    let bytes = disk.read(Path::new("/out/a.tar")).unwrap();
    assert!(unpack(&bytes).is_err());
}
