//! Keeping a shop: looked through, backed up, moved to another machine, a person erased.

use std::collections::BTreeMap;
use std::path::Path;

use benchlore::store::sealed;
use serde_json::Value;
use serde_json::json;

use crate::common;
use crate::common::Bench;
use crate::common::text;

/// Every file of a folder by its place, without cache, locks and half-written ones.
fn files(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![root.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            let place = path.strip_prefix(root).expect("inside").to_string_lossy();
            if path.is_dir() {
                if place != "cache" {
                    folders.push(path);
                }
            } else if !place.ends_with(".lock") {
                found.insert(place.into_owned(), std::fs::read(&path).expect("a file"));
            }
        }
    }
    found
}

/// Answers `n` cards rightly as `person` on `bench`, from `seed`.
fn practise(shop: &Bench, person: &str, bench: &str, n: usize) -> String {
    let deck = common::deck(shop);
    let mut command = shop.command(&["drill", "--json", "--person", person]);
    command.env("BENCHLORE_BENCH", bench);
    let mut drill = common::Drill::start(command);
    for _ in 0..n {
        let question = drill.hear();
        let kept = drill.card(&question, &deck, true);
        assert!(kept["kept"]["id"].is_string(), "{kept}");
    }
    let rest = drill.finish();
    let done = rest.last().expect("the sitting ends");
    done["done"]["sitting"]
        .as_str()
        .expect("a sitting")
        .to_owned()
}

fn json_lines(bytes: &[u8]) -> Vec<Value> {
    text(bytes)
        .lines()
        .map(|line| serde_json::from_str(line).expect("a JSON line"))
        .collect()
}

/// Runs `inspect --json` and returns what it found and the exit code.
fn inspected(bench: &Bench) -> (Vec<Value>, Value, i32) {
    let done = bench.run(&["inspect", "--json", "--as-of", "2026-11-20T12:00:00Z"]);
    let mut lines = json_lines(&done.stdout);
    let last = lines.pop().expect("the counts");
    assert_eq!(last["to_mend"], lines.len(), "{last}");
    (lines, last, done.status.code().expect("an exit code"))
}

fn rewrite(bench: &Bench, place: &str, change: impl FnOnce(String) -> String) {
    let new = change(bench.read(place));
    bench.put(place, &new);
}

#[test]
fn a_healthy_shop_has_nothing_to_mend_and_inspecting_changes_nothing() {
    let bench = Bench::practice();
    practise(&bench, "mk", "b7", 3);
    let before = files(&bench.shop());
    let (found, last, code) = inspected(&bench);
    assert_eq!((found, code), (vec![], 0));
    assert_eq!(last["counts"]["reviews"], 3);
    assert_eq!(last["counts"]["people"], 1);
    assert!(last["counts"]["jobs"].as_u64() > Some(50), "{last}");
    assert_eq!(files(&bench.shop()), before);
    let plain = bench.run(&["inspect", "--as-of", "2026-11-20T12:00:00Z"]);
    assert!(text(&plain.stdout).ends_with("Nothing to mend\n"));
    assert_eq!(plain.stderr, b"", "no progress where there is no terminal");
}

#[test]
fn every_kind_of_harm_is_named_with_its_file_and_what_to_do() {
    let bench = Bench::practice();
    practise(&bench, "mk", "b7", 4);
    rewrite(&bench, "people/mk/b7.jsonl", |text| {
        let lines: Vec<&str> = text.lines().collect();
        let late = lines[3].split(",\"sum\"").next().expect("a line");
        let late = late.replace("2026-11-20T", "2031-11-20T");
        let late = sealed::seal(&format!("{late}}}"));
        let moved = r#"{"v":1,"id":"mk-b7-9","seq":9,"at":"2026-11-20T08:30:00.000Z","day":"2026-11-20","ev":"move","sitting":"b7-x","to":"zz"}"#;
        let tag = r#"{"v":1,"id":"mk-b7-10","seq":10,"at":"2026-11-20T08:31:00.000Z","day":"2026-11-20","ev":"tag","card":"nosuch","reason":"doubtful","note":""}"#;
        let hit = lines[1].replacen("drill", "drull", 1);
        let all = [
            lines[0],
            &hit,
            lines[2],
            &late,
            &sealed::seal(moved),
            &sealed::seal(tag),
        ];
        all.join("\n") + "\n{\"v\":1,\"id\":\"torn"
    });
    let journal = bench.read("people/mk/b7.jsonl");
    bench.put(
        "people/mk/c9.jsonl",
        &(journal.lines().next().expect("a line").to_owned() + "\n"),
    );
    bench.put("people/tl/b7.jsonl", "");
    bench.put("people/tl/b7.jsonl", &journal);
    bench.put("people/vv/person.json", "{\"v\":1,");
    bench.put("people/ww/going.json", "{}");
    bench.put("jobs/extra.jsonl", "not a job\n");
    bench.put("decks/.shop.json.new", "half");
    bench.put(".restore-unfinished", "");
    bench.put("boards/nosuch.json", "{}");
    let (found, _, code) = inspected(&bench);
    assert_eq!(code, 3);
    for (file, line, what) in [
        ("people/mk/b7.jsonl", Some(2), "check sum does not fit"),
        ("people/mk/b7.jsonl", Some(7), "incomplete"),
        ("people/mk/b7.jsonl", Some(5), "4 missing"),
        ("people/mk/b7.jsonl", None, "later than now"),
        ("people/mk/b7.jsonl", None, "more than a day out of order"),
        ("people/mk/b7.jsonl", None, "given to zz, who is not here"),
        (
            "people/mk/b7.jsonl",
            None,
            "the card nosuch is tagged out and is in no deck",
        ),
        (
            "people/mk/c9.jsonl",
            None,
            "1 line written by another bench",
        ),
        ("people/tl", None, "reviews without a person.json"),
        ("people/vv/person.json", None, "not JSON"),
        (
            "people/ww/going.json",
            None,
            "erasure of ww is not finished",
        ),
        ("jobs/extra.jsonl", Some(1), "not JSON"),
        ("decks/.shop.json.new", None, "half-written"),
        (".restore-unfinished", None, "restore was cut short"),
        ("boards/nosuch.json", None, "no such board"),
    ] {
        let hit = found.iter().any(|f| {
            f["file"] == file
                && f["line"] == json!(line)
                && f["what"].as_str().is_some_and(|w| w.contains(what))
                && f["todo"].as_str().is_some_and(|t| !t.is_empty())
        });
        assert!(hit, "{file} {line:?} {what}: {found:#?}");
    }
}

#[test]
fn two_benches_with_one_id_and_a_stale_deck_are_named() {
    let bench = Bench::practice();
    practise(&bench, "mk", "b7", 2);
    let first = bench.read("people/mk/b7.jsonl");
    std::fs::remove_file(bench.shop().join("people/mk/b7.jsonl")).expect("it is there");
    let mut command = bench.command(&["drill", "--json", "--person", "mk", "--seed", "5"]);
    command.env("BENCHLORE_BENCH", "b7");
    let mut drill = common::Drill::start(command);
    let question = drill.hear();
    drill.card(&question, &common::deck(&bench), false);
    drill.finish();
    rewrite(&bench, "people/mk/b7.jsonl", |second| first + &second);
    let jobs = bench.read("jobs/practice.jsonl");
    let last = jobs.trim_end().rfind('\n').expect("several lines");
    bench.put("jobs/practice.jsonl", &jobs[..=last]);
    let (found, _, code) = inspected(&bench);
    assert_eq!(code, 3);
    let text = format!("{found:?}");
    for what in [
        "two benches may share one bench id",
        "built from other jobs",
    ] {
        assert!(text.contains(what), "{text}");
    }
    assert!(bench.run(&["deck", "build"]).status.success());
    let (found, ..) = inspected(&bench);
    assert!(!format!("{found:?}").contains("built from other jobs"));
}

#[test]
fn a_shop_whose_settings_are_broken_is_looked_through_all_the_same() {
    let bench = Bench::practice();
    practise(&bench, "mk", "b7", 1);
    bench.put(
        "shop.json",
        "{\"v\":1,\"name\":\"X\",\"zone\":\"Mars\",\"boards\":[]}",
    );
    rewrite(&bench, "people/mk/b7.jsonl", |text| text + "torn");
    let (found, last, code) = inspected(&bench);
    assert_eq!(code, 3);
    assert_eq!(last["counts"]["reviews"], 1);
    let files: Vec<&str> = found.iter().filter_map(|f| f["file"].as_str()).collect();
    assert_eq!(files, ["people/mk/b7.jsonl", "shop.json"]);
}

#[test]
fn a_restored_shop_is_the_same_shop_and_a_damaged_backup_restores_nothing() {
    let bench = Bench::practice();
    practise(&bench, "mk", "b7", 3);
    rewrite(&bench, "people/mk/b7.jsonl", |text| {
        text + "{\"v\":1,\"half"
    });
    let done = bench.run(&["inspect", "--backup", "shop.tar"]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    assert!(text(&done.stdout).contains("read back and found the same"));
    assert!(text(&done.stdout).contains("the last 12 bytes are no whole line"));
    let again = bench.run(&["inspect", "--backup", "shop.tar"]);
    assert_eq!(again.status.code(), Some(1));
    let inside = bench.run(&["inspect", "--backup", "shop/../shop/in.tar"]);
    assert_eq!(inside.status.code(), Some(1));

    let place = bench.shop().with_file_name("moved");
    let restore = |file: &str, into: &Path| {
        bench.run(&[
            "inspect",
            "--restore",
            file,
            "--into",
            &into.to_string_lossy(),
        ])
    };
    let done = restore("shop.tar", &place);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let mut expected = files(&bench.shop());
    let journal = expected.get_mut("people/mk/b7.jsonl").expect("a journal");
    journal.truncate(journal.len() - 12);
    assert_eq!(files(&place), expected);
    assert_eq!(
        restore("shop.tar", &place).status.code(),
        Some(1),
        "not empty"
    );

    let tar = bench.shop().with_file_name("shop.tar");
    let whole = std::fs::read(&tar).expect("the backup");
    let damaged = bench.shop().with_file_name("damaged.tar");
    let nowhere = bench.shop().with_file_name("nowhere");
    let mut flipped = whole.clone();
    flipped[whole.len() / 2] ^= 4;
    for bytes in [&whole[..whole.len() - 512], &whole[..700], &flipped, b""] {
        std::fs::write(&damaged, bytes).expect("written");
        let done = restore("damaged.tar", &nowhere);
        assert_eq!(done.status.code(), Some(1));
        assert!(
            text(&done.stderr).contains("is not restored"),
            "{}",
            text(&done.stderr)
        );
        assert!(!nowhere.exists());
    }
}

#[test]
fn any_tar_program_can_list_a_backup() {
    let bench = Bench::practice();
    assert!(
        bench
            .run(&["inspect", "--backup", "shop.tar"])
            .status
            .success()
    );
    let tar = std::fs::File::open(bench.shop().with_file_name("shop.tar")).expect("it is there");
    let mut archive = tar::Archive::new(tar);
    let names: Vec<String> = archive
        .entries()
        .expect("entries")
        .map(|e| {
            e.expect("an entry")
                .path()
                .expect("a name")
                .display()
                .to_string()
        })
        .collect();
    assert_eq!(names[0], "manifest.jsonl");
    assert_eq!(names.len(), files(&bench.shop()).len() + 1);
}

/// What the program says about a person's practice: the whole of it that a drill shows first.
fn history(bench: &Bench, shop: &Path, person: &str) -> benchlore::domain::history::History {
    use benchlore::app::practice;
    use benchlore::app::workbench::Workbench;
    use benchlore::store::disk::RealDisk;
    use benchlore::store::paths::ShopFolder;
    drop(bench.data());
    let disk = std::sync::Arc::new(RealDisk);
    let workbench = Workbench::open(disk, ShopFolder::new(shop), "x".to_owned()).expect("it opens");
    let now = "2026-11-21T08:00:00Z".parse().expect("a moment");
    practice::record(&workbench, person, now)
        .expect("it reads")
        .history
}

#[test]
fn a_shop_moved_to_another_machine_goes_on_in_a_journal_of_its_own() {
    let bench = Bench::practice();
    practise(&bench, "mk", "b7", 3);
    assert!(
        bench
            .run(&["inspect", "--backup", "shop.tar"])
            .status
            .success()
    );
    let place = bench.shop().with_file_name("moved");
    let into = place.to_string_lossy().into_owned();
    assert!(
        bench
            .run(&["inspect", "--restore", "shop.tar", "--into", &into])
            .status
            .success()
    );
    assert_eq!(
        history(&bench, &place, "mk"),
        history(&bench, &bench.shop(), "mk")
    );
    let before = std::fs::read(place.join("people/mk/b7.jsonl")).expect("the old lines");
    let mut command = bench.command(&[
        "drill",
        "--json",
        "--person",
        "mk",
        "--shop",
        &into,
        "--as-of",
        "2026-11-21T08:00:00Z",
    ]);
    command.env("BENCHLORE_BENCH", "c1");
    let mut drill = common::Drill::start(command);
    let deck = common::deck(&bench);
    for _ in 0..2 {
        let question = drill.hear();
        drill.card(&question, &deck, true);
    }
    drill.finish();
    let after = std::fs::read(place.join("people/mk/b7.jsonl")).expect("the old lines");
    assert_eq!(after, before, "the old bench's lines stay as they were");
    let new = std::fs::read_to_string(place.join("people/mk/c1.jsonl")).expect("new lines");
    assert_eq!(new.lines().count(), 2);
    // Both machines' lines together, whichever folder they meet in.
    std::fs::copy(
        place.join("people/mk/c1.jsonl"),
        bench.shop().join("people/mk/c1.jsonl"),
    )
    .expect("copied");
    let here = history(&bench, &bench.shop(), "mk");
    assert_eq!(history(&bench, &place, "mk"), here);
    let reviews: u32 = here.cards.values().map(|c| c.reviews).sum();
    let guessed = here.cards.values().filter(|c| c.guessed_wrong).count();
    assert_eq!(usize::try_from(reviews).expect("few") + guessed, 5);
}

/// A shop in which MK closed jobs, signed a card, gave a sitting away and was given one.
fn with_a_leaver() -> Bench {
    let bench = Bench::practice();
    for who in ["TL", "RS"] {
        assert!(bench.run(&["people", "add", who]).status.success());
    }
    practise(&bench, "mk", "b7", 2);
    let given = practise(&bench, "mk", "c1", 3);
    let got = practise(&bench, "tl", "b7", 2);
    practise(&bench, "rs", "b7", 1);
    for (sitting, from, to) in [(&given, "mk", "tl"), (&got, "tl", "mk")] {
        let args = [
            "people",
            "give-sitting",
            sitting,
            "--from",
            from,
            "--to",
            to,
        ];
        assert!(bench.run(&args).status.success());
    }
    rewrite(&bench, "jobs/practice.jsonl", |jobs| {
        let mut lines: Vec<String> = jobs.lines().map(str::to_owned).collect();
        for line in &mut lines[..4] {
            let mut job: Value = serde_json::from_str(line).expect("a job");
            job["closed_by"] = json!("mk");
            job["with"] = json!("TL, MK");
            job["house_field"] = json!({"x": 1.50});
            job["note"] = json!("MK swears by it");
            *line = job.to_string();
        }
        lines.join("\r\n") + "\r\n"
    });
    let card = common::deck(&bench)[0]["id"]
        .as_str()
        .expect("an id")
        .to_owned();
    let edit = format!(
        r#"{{"v":1,"id":"edit-b7-1","seq":1,"at":"2026-11-19T08:00:00.000Z","by":"MK","card":"{card}","ev":"sign"}}"#
    );
    bench.put("edits/b7.jsonl", &(sealed::seal(&edit) + "\n"));
    let built = bench.run(&["deck", "build"]);
    assert!(built.status.success());
    bench
}

#[test]
fn an_erased_person_is_gone_and_what_they_did_for_the_shop_stays() {
    let bench = with_a_leaver();
    let tl = history(&bench, &bench.shop(), "tl");
    let rs = history(&bench, &bench.shop(), "rs");
    let before = files(&bench.shop());
    let asked = bench.run(&["people", "forget", "MK"]);
    assert_eq!(asked.status.code(), Some(2), "nobody is here to confirm it");
    assert_eq!(files(&bench.shop()), before);
    let told = text(&asked.stdout);
    let jobs = text(&before["jobs/practice.jsonl"]);
    let named: Vec<&str> = jobs
        .lines()
        .filter(|line| ["\"mk\"", "TL, MK"].iter().any(|word| line.contains(word)))
        .collect();
    assert!(named.len() > 20);
    for line in [
        "people/mk/b7.jsonl",
        "people/mk/c1.jsonl",
        "people/mk/person.json",
        &format!("{} job lines and 1 edit", named.len()),
        "3 answers of sittings that were given to tl",
        "1 sitting that others had given to MK",
        "4 lines with MK in a note or raw text, the first jobs/practice.jsonl:1",
        "Not reached: backups",
    ] {
        assert!(told.contains(line), "{line}: {told}");
    }
    let done = bench.run(&["people", "forget", "MK", "--yes"]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    assert!(!bench.shop().join("people/mk").exists());
    let after = files(&bench.shop());
    for (place, bytes) in &after {
        let content = text(bytes);
        let rest = content.replace("MK swears by it", "");
        for word in ["\"mk\"", "\"MK\"", "mk-b7-", "-mk-", "TL, MK"] {
            assert!(!rest.contains(word), "{place} still says {word}");
        }
    }
    let jobs = text(&before["jobs/practice.jsonl"])
        .replace("\"mk\"", "\"former-1\"")
        .replace("TL, MK", "TL, former-1");
    assert_eq!(
        text(&after["jobs/practice.jsonl"]),
        jobs,
        "only those fields changed"
    );
    let edit = text(&after["edits/b7.jsonl"]);
    assert!(
        edit.contains("\"by\":\"former-1\"")
            && sealed::unseal(edit.trim_end().as_bytes()).is_some()
    );
    assert_eq!(
        history(&bench, &bench.shop(), "tl"),
        tl,
        "a sitting given away stays"
    );
    assert_eq!(history(&bench, &bench.shop(), "rs"), rs);
    let (found, last, _) = inspected(&bench);
    assert_eq!(found, Vec::<Value>::new(), "the deck is as fresh as before");
    assert_eq!(last["counts"]["people"], 2);
    let gone = bench.run(&["people", "forget", "MK", "--yes"]);
    assert_eq!(gone.status.code(), Some(1));
    // Someone new may have the initials, and begins with nothing.
    assert!(bench.run(&["people", "add", "MK"]).status.success());
    assert!(history(&bench, &bench.shop(), "mk").cards.is_empty());
}

#[test]
fn while_the_person_drills_nothing_is_erased() {
    let bench = with_a_leaver();
    let mut drill = bench.drill(&[]);
    drill.hear();
    let before = files(&bench.shop());
    let refused = bench.run(&["people", "forget", "mk", "--yes"]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(
        text(&refused.stderr).contains("in use by MK, drill"),
        "{}",
        text(&refused.stderr)
    );
    assert_eq!(files(&bench.shop()), before);
    drill.finish();
    assert!(
        bench
            .run(&["people", "forget", "mk", "--yes"])
            .status
            .success()
    );
}

#[test]
fn a_list_from_the_index_reads_as_one_from_the_files() {
    let bench = Bench::practice();
    let index = bench.shop().join("cache/jobs.idx");
    let list = || {
        let done = bench.run(&["jobs", "list", "--json"]);
        (text(&done.stdout), text(&done.stderr), done.status.code())
    };
    let first = list();
    assert!(first.0.lines().count() > 50, "{first:?}");
    assert!(index.exists(), "the index is kept");
    // As on any later day: the files are older than the index.
    let past = std::time::SystemTime::now() - std::time::Duration::from_secs(60);
    let folder = std::fs::read_dir(bench.shop().join("jobs")).expect("the jobs");
    let files = folder.map(|entry| entry.expect("an entry").path());
    for path in files.chain([bench.shop().join("shop.json")]) {
        let file = std::fs::File::options().write(true).open(path);
        file.and_then(|f| f.set_modified(past))
            .expect("the time is set");
    }
    assert_eq!(list(), first, "made anew");
    assert_eq!(list(), first, "from the index");
    std::fs::write(&index, b"nonsense").expect("written");
    assert_eq!(list(), first, "a damaged index is not believed");
}
