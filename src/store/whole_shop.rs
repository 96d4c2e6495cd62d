//! A whole shop folder read and written, on the disk in memory.

use std::path::Path;
use std::sync::Arc;

use chrono::DateTime;
use chrono::Utc;

use crate::domain::card::Deck;
use crate::domain::edit::Edit;
use crate::domain::goal::Goal;
use crate::domain::queue::aim::Aim;
use crate::domain::shop::Assigned;
use crate::domain::shop::Person;
use crate::domain::shop::Post;
use crate::store::decks;
use crate::store::disk::Disk;
use crate::store::edits;
use crate::store::edits::EditJournal;
use crate::store::error::StoreError;
use crate::store::fault::Weight;
use crate::store::jobs;
use crate::store::jobs::Archive;
use crate::store::lock::Holder;
use crate::store::model_disk::ModelDisk;
use crate::store::paths::ShopFolder;
use crate::store::people;
use crate::store::record::person::PersonRecord;
use crate::store::shop;

const SHOP: &str = r#"{"v":1,"name":"Skerry","families_only":true,"families":[{"id":"standby"}],"boards":[{"id":"petrel-p4"},{"id":"osprey"}]}"#;

fn line(id: &str, job: &str, more: &str) -> String {
    format!(
        r#"{{"v":1,"id":"{id}","job":"{job}","closed_on":"2026-03-14","board":"petrel-p4","complaint":["no-power"],"findings":[{{"kind":"rail","where":"5V","got_v":0.1}}],"family":"standby","actions":[{{"act":"replace","part":"U31","role":"the-fix"}}],"outcome":"held"{more}}}"#
    )
}

fn folder() -> ShopFolder {
    ShopFolder::new("/shop")
}

fn disk() -> ModelDisk {
    let disk = ModelDisk::new();
    disk.put(Path::new("/shop/shop.json"), SHOP.as_bytes());
    disk
}

fn load(disk: &ModelDisk) -> Archive {
    let (record, faults) = shop::load_shop(disk, &folder()).unwrap();
    assert_eq!(faults, []);
    jobs::load_jobs(disk, &folder(), &record.shop, &record.shop.circuits()).unwrap()
}

fn holder(n: i64) -> Holder {
    Holder {
        who: "tl, cards".to_owned(),
        since: moment(n),
    }
}

fn moment(n: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_775_000_000 + n, 0).unwrap()
}

#[test]
fn good_lines_load_bad_ones_are_named_and_nothing_is_rewritten() {
    let disk = disk();
    let path = Path::new("/shop/jobs/a.jsonl");
    let text = [
        line("a-1", "W-1", ""),
        "not a job".to_owned(),
        String::new(),
        line("a-2", "W-2", r#","follows":"W-9""#),
        line("a-3", "W-3", "").replace("\"got_v\":0.1", "\"got_v\":\"0,1\""),
        line("a-4", "W-4", "").replace("petrel-p4", "heron"),
    ]
    .join("\r\n");
    let bytes = [&b"\xef\xbb\xbf"[..], text.as_bytes(), b"\r\n\0\0\n\xff\n"].concat();
    disk.put(path, &bytes);
    let archive = load(&disk);
    let numbers: Vec<&str> = archive.jobs.iter().map(|r| r.job.job.as_str()).collect();
    assert_eq!(numbers, ["W-1", "W-2", "W-4"]);
    let named: Vec<(u64, &str, Weight)> = archive
        .faults
        .iter()
        .map(|f| (f.line.unwrap(), f.field.as_deref().unwrap_or(""), f.weight))
        .collect();
    assert_eq!(
        named,
        [
            (2, "", Weight::Damage),
            (4, "follows", Weight::Warning),
            (5, "findings[0].got_v", Weight::Damage),
            (6, "board", Weight::Warning),
            (7, "", Weight::Damage),
            (8, "", Weight::Damage),
        ]
    );
    assert_eq!(
        archive.faults[2].to_string(),
        "/shop/jobs/a.jsonl:5: findings[0].got_v: expected a number, found \"0,1\"; write it as a plain number of volts"
    );
    assert_eq!(disk.read(path).unwrap(), bytes);
}

#[test]
fn the_archive_does_not_depend_on_which_file_a_line_is_in() {
    let lines = [
        line("a-1", "W-1", ""),
        line("a-2", "W-2", ""),
        line("b-1", "W-1", r#","corrects":"a-1""#),
    ];
    let mut found = Vec::new();
    for split in 0..=3 {
        let disk = disk();
        disk.put(
            Path::new("/shop/jobs/a.jsonl"),
            lines[split..].join("\n").as_bytes(),
        );
        disk.put(
            Path::new("/shop/jobs/b.jsonl"),
            lines[..split].join("\n").as_bytes(),
        );
        let archive = load(&disk);
        assert_eq!(archive.faults, []);
        assert_eq!(archive.replaced.len(), 1);
        found.push((archive.jobs, archive.fingerprint));
    }
    assert!(found.iter().all(|f| *f == found[0]));
    assert_eq!(found[0].0.len(), 2);
}

#[test]
fn two_lines_of_one_job_are_named_and_neither_counts() {
    let disk = disk();
    disk.put(
        Path::new("/shop/jobs/a.jsonl"),
        line("a-1", "W-1", "").as_bytes(),
    );
    disk.put(
        Path::new("/shop/jobs/b.jsonl"),
        line("b-1", "W-1", "").as_bytes(),
    );
    let archive = load(&disk);
    assert_eq!((archive.jobs.len(), archive.disputed.len()), (0, 2));
    let why = &archive.faults[0].why;
    assert!(why.contains("a.jsonl:1, b.jsonl:1"), "{why}");
}

#[test]
fn appended_jobs_start_on_a_fresh_line() {
    let disk = disk();
    let path = Path::new("/shop/jobs/b7.jsonl");
    disk.put(path, line("a-1", "W-1", "").as_bytes());
    let mut record = load(&disk).jobs.remove(0);
    record.job.id = "a-2".to_owned();
    record.job.job = "W-2".to_owned();
    let two = [record.clone(), record];
    jobs::append_jobs(&disk, &folder(), "b7", &holder(0), &two).unwrap();
    let archive = load(&disk);
    assert_eq!(archive.jobs.len(), 2);
    assert_eq!(archive.faults.len(), 1, "the same line twice is named");
    assert!(
        disk.read(path)
            .unwrap()
            .starts_with(line("a-1", "W-1", "").as_bytes())
    );
}

#[test]
fn a_shop_with_a_mistake_in_it_stops_with_every_mistake_named() {
    let disk = disk();
    disk.put(
        Path::new("/shop/shop.json"),
        br#"{"v":1,"name":"X","zone":"Mars","boards":[{"id":"A"}]}"#,
    );
    let Err(StoreError::Damaged { faults, .. }) = shop::load_shop(&disk, &folder()) else {
        panic!("it loads");
    };
    let mut fields: Vec<_> = faults.iter().filter_map(|f| f.field.as_deref()).collect();
    fields.sort_unstable();
    assert_eq!(fields, ["boards[0].id", "zone"]);
}

#[test]
fn boards_load_with_and_without_a_file() {
    let disk = disk();
    let (record, _) = shop::load_shop(&disk, &folder()).unwrap();
    let circuits = record.shop.circuits();
    let text =
        br#"{"v":1,"board":"petrel-p4","parts":{"U31":{"name":"standby switcher"}},"good":[]}"#;
    disk.put(Path::new("/shop/boards/petrel-p4.json"), text);
    disk.put(Path::new("/shop/boards/heron.json"), text);
    let (boards, faults) = shop::load_boards(&disk, &folder(), &record.shop, &circuits).unwrap();
    assert_eq!(boards.len(), 2);
    assert_eq!(boards[0].parts.len(), 1);
    assert_eq!(boards[1].parts.len(), 0);
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].path, Path::new("/shop/boards/heron.json"));
    shop::save_board(&disk, &folder(), &boards[0]).unwrap();
    let (again, _) = shop::load_boards(&disk, &folder(), &record.shop, &circuits).unwrap();
    assert_eq!(again, boards);
}

#[test]
fn a_deck_of_a_newer_format_is_left_alone() {
    let disk = disk();
    let deck = Deck {
        deck: "petrel-p4".to_owned(),
        name: "Petrel".to_owned(),
        from: "x".to_owned(),
        cards: Vec::new(),
    };
    decks::save_deck(&disk, &folder(), &deck).unwrap();
    let (read, faults) = decks::load_decks(&disk, &folder()).unwrap();
    assert_eq!((read, faults), (vec![deck.clone()], vec![]));
    let newer = br#"{"v":2,"deck":"petrel-p4","cards":[]}"#;
    disk.put(Path::new("/shop/decks/petrel-p4.json"), newer);
    let refused = decks::save_deck(&disk, &folder(), &deck);
    assert!(matches!(refused, Err(StoreError::Newer { v: 2, .. })));
    disk.put(Path::new("/shop/decks/other.json"), newer);
    let (read, faults) = decks::load_decks(&disk, &folder()).unwrap();
    assert_eq!(read.len(), 1);
    assert!(faults.iter().any(|f| f.field.as_deref() == Some("deck")));
}

#[test]
fn people_come_back_with_what_this_program_does_not_know() {
    let disk = disk();
    let person = Person {
        id: "mk".to_owned(),
        initials: "MK".to_owned(),
        post: Post::Trainee,
        assigned: Assigned {
            boards: vec!["petrel-p4".to_owned()],
            ..Assigned::default()
        },
        options: true,
        aim: Some(Aim::Readiness),
        goal: Some(Goal {
            date: chrono::NaiveDate::from_ymd_opt(2026, 12, 20).expect("a date"),
            deck: None,
            board: Some("petrel-p4".to_owned()),
            family: None,
            minutes: Some(10),
        }),
    };
    people::save_person(&disk, &folder(), &PersonRecord::new(person.clone())).unwrap();
    let text = br#"{"v":1,"id":"tl","initials":"TL","role":"lead","bench":"window","assigned":{"shift":2}}"#;
    disk.put(Path::new("/shop/people/tl/person.json"), text);
    disk.put(Path::new("/shop/people/Bad Name/person.json"), text);
    let (found, faults) = people::list_people(&disk, &folder()).unwrap();
    assert_eq!(faults.len(), 1);
    assert_eq!(found[0].person, person);
    let mut lead = found[1].clone();
    lead.person.initials = "TLX".to_owned();
    people::save_person(&disk, &folder(), &lead).unwrap();
    let text = disk.read(Path::new("/shop/people/tl/person.json")).unwrap();
    assert_eq!(
        String::from_utf8(text).unwrap(),
        "{\"v\":1,\"id\":\"tl\",\"initials\":\"TLX\",\"role\":\"lead\",\"bench\":\"window\",\"assigned\":{\"shift\":2,\"decks\":[],\"boards\":[],\"families\":[]}}\n"
    );
    assert_eq!(
        people::load_person(&disk, &folder(), "nobody").unwrap(),
        (None, vec![])
    );
    assert!(people::load_person(&disk, &folder(), "../x").is_err());
}

#[test]
fn edits_of_all_benches_come_in_the_order_they_took_effect() {
    let disk = disk();
    let shared: Arc<dyn Disk> = Arc::new(disk.clone());
    let why = |text: &str| Edit::Why {
        why: text.to_owned(),
    };
    let add = |bench: &str, n: i64, text: &str| {
        let what = ("tl", "card-1", why(text));
        edits::append_edit(
            &shared,
            &folder(),
            bench,
            &holder(n),
            what,
            (moment(n), None),
        )
        .unwrap()
    };
    let first = add("b7", 10, "one");
    // The clock of that bench was set back: its order stands all the same.
    add("b7", 2, "two");
    add("c1", 5, "zero");
    let last = add("c1", 11, "three");
    assert_eq!((first.id.as_str(), last.seq), ("edit-b7-1", 2));
    let (found, faults) = edits::load_edits(&disk, &folder()).unwrap();
    assert_eq!(faults, []);
    let texts: Vec<Edit> = found.into_iter().map(|e| e.edit).collect();
    assert_eq!(texts, ["zero", "one", "two", "three"].map(why));
    let open = EditJournal::open(&shared, &folder(), "b7", &holder(0)).unwrap();
    let what = ("tl", "card-1", why("four"));
    let busy = edits::append_edit(
        &shared,
        &folder(),
        "b7",
        &holder(1),
        what,
        (moment(1), None),
    );
    assert!(matches!(busy, Err(StoreError::Busy { .. })));
    drop(open);
    let path = Path::new("/shop/edits/b7.jsonl");
    let bytes = String::from_utf8(disk.read(path).unwrap()).unwrap();
    disk.put(path, bytes.replace("one", "won").as_bytes());
    let (found, faults) = edits::load_edits(&disk, &folder()).unwrap();
    assert_eq!(found.len(), 3);
    assert!(
        faults
            .iter()
            .any(|f| f.line == Some(1) && f.weight == Weight::Damage)
    );
}
