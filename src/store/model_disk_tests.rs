//! The examples and laws of `model_disk.rs`.

use super::*;

#[test]
fn a_cut_takes_what_was_not_synced_and_nothing_else() {
    let path = Path::new("/shop/a.jsonl");
    for (cut, left) in [
        (Cut::Lost, &b"one\n"[..]),
        (Cut::Half, b"one\ntw"),
        (Cut::Zeros, b"one\n\0\0\0\0"),
        (Cut::Kept, b"one\ntwo\n"),
    ] {
        let disk = ModelDisk::new();
        disk.make_folder(Path::new("/shop")).unwrap();
        disk.sync_folder(Path::new("/")).unwrap();
        let mut file = disk.open_append(path).unwrap();
        file.write(b"one\n").unwrap();
        file.sync().unwrap();
        disk.sync_folder(Path::new("/shop")).unwrap();
        file.write(b"two\n").unwrap();
        disk.cut(cut);
        assert_eq!(disk.read(path).unwrap(), left, "{cut:?}");
    }
}

#[test]
fn a_name_lasts_only_after_its_folder_was_synced() {
    let disk = ModelDisk::new();
    disk.make_folder(Path::new("/shop")).unwrap();
    disk.create_new(Path::new("/shop/a"), b"x").unwrap();
    disk.sync_folder(Path::new("/shop")).unwrap();
    disk.cut(Cut::Lost);
    assert!(
        !disk.exists(Path::new("/shop/a")).unwrap(),
        "its folder was never synced"
    );
}

#[test]
fn a_later_write_may_survive_an_earlier_one() {
    let path = Path::new("/shop/a.jsonl");
    let disk = ModelDisk::new();
    disk.put(path, b"one\n");
    let mut file = disk.open_append(path).unwrap();
    file.write(b"two\n").unwrap();
    file.write(b"six\n").unwrap();
    disk.create_new(Path::new("/shop/b"), b"x").unwrap();
    disk.create_new(Path::new("/shop/c"), b"y").unwrap();
    disk.cut(Cut::Latest);
    assert_eq!(disk.read(path).unwrap(), b"one\n\0\0\0\0six\n");
    assert!(!disk.exists(Path::new("/shop/b")).unwrap());
    assert_eq!(disk.read(Path::new("/shop/c")).unwrap(), b"y");
}

#[test]
fn chance_keeps_loses_and_tears_whole_sectors_only() {
    let path = Path::new("/shop/a");
    let (mut seen, mut lengths) = (BTreeSet::new(), BTreeSet::new());
    for seed in 0..200 {
        let disk = ModelDisk::new();
        disk.put(path, &[b'o'; 700]);
        let mut file = disk.open_append(path).unwrap();
        file.write(&[b'n'; 1000]).unwrap();
        disk.cut(Cut::Any {
            sector: 512,
            noise: false,
            seed,
        });
        let bytes = disk.read(path).unwrap();
        assert!(bytes[..700].iter().all(|b| *b == b'o'), "synced bytes stay");
        lengths.insert(bytes.len());
        let pieces = [700..1024, 1024..1536, 1536..1700];
        for piece in pieces.clone().into_iter().filter(|p| p.end <= bytes.len()) {
            let first = bytes[piece.start];
            assert!(bytes[piece].iter().all(|b| *b == first));
        }
        seen.insert(pieces.map(|p| bytes.get(p.start).copied()));
    }
    assert_eq!(lengths, BTreeSet::from([700, 1024, 1536, 1700]));
    assert!(seen.len() > 8, "{seen:?}");
}

#[test]
fn after_the_power_went_nothing_happens_until_it_is_back() {
    let path = Path::new("/shop/a");
    let disk = ModelDisk::new();
    disk.put(Path::new("/shop/shop.json"), b"{}");
    disk.power_off_at(2);
    // Its name is step 1, its bytes are step 2, its sync would be step 3.
    assert!(disk.create_new(path, b"x").is_err());
    assert!(disk.is_off());
    assert!(disk.read(Path::new("/shop/shop.json")).is_err());
    disk.cut(Cut::Kept);
    assert_eq!(disk.read(path).unwrap(), b"x", "the write was under way");
}
