//! `jobs backlog` and the intake desk behind the screen: what is decided is on disk, counts, and can be
//! taken back on any day and any bench.

use std::path::Path;
use std::sync::Arc;

use benchlore::app::archive;
use benchlore::app::demo;
use benchlore::app::intake::Session;
use benchlore::app::intake::report;
use benchlore::app::workbench::AppError;
use benchlore::app::workbench::Workbench;
use benchlore::domain::circuit::Circuits;
use benchlore::domain::intake::draft::Draft;
use benchlore::domain::intake::draft::Suggested;
use benchlore::domain::intake::repair;
use benchlore::domain::intake::repair::Side;
use benchlore::domain::intake::repair::Slot;
use benchlore::domain::job::Flag;
use benchlore::store::disk::RealDisk;
use benchlore::store::intake::rows_file;
use benchlore::store::intake::rows_file::Head;
use benchlore::store::intake::rows_file::WaitingRow;
use benchlore::store::paths::ShopFolder;
use benchlore::store::record::job;
use benchlore::store::record::job::JobRules;
use chrono::DateTime;
use chrono::Utc;
use serde_json::Value;

use crate::common::Bench;
use crate::common::NOW;
use crate::common::text;

fn now() -> DateTime<Utc> {
    NOW.parse().expect("a moment")
}

fn open_as(bench: &Bench, name: &str) -> Workbench {
    let folder = ShopFolder::new(bench.shop());
    Workbench::open(Arc::new(RealDisk), folder, name.to_owned()).expect("the shop opens")
}

fn open(bench: &Bench) -> Workbench {
    open_as(bench, "b7")
}

fn session_of(workbench: &Workbench, person: &str) -> Session {
    let person = workbench.person(Some(person)).expect("the person is there");
    Session::open(workbench, &person, now()).expect("the desk opens")
}

fn session(bench: &Bench) -> Session {
    session_of(&open(bench), "mk")
}

/// Turns a job into a row: what fixed it and how it ended are only suggested.
fn row_of(line: &str, number: usize) -> WaitingRow {
    let circuits = Circuits::with_shop(&[], false);
    let boards = std::collections::BTreeSet::new();
    let rules = JobRules {
        circuits: &circuits,
        boards: &boards,
    };
    let (record, _) = job::read(line, rules);
    let mut facts = Draft::of_job(&record.expect("a job of the practice shop").job);
    facts.unit = None;
    facts.follows = None;
    facts.source = None;
    let maybe = Draft {
        actions: std::mem::take(&mut facts.actions),
        outcome: facts.outcome.take(),
        ..Draft::default()
    };
    facts.flags = vec![Flag {
        field: "actions".to_owned(),
        why: "which-regulator".to_owned(),
        raw: "swapped reg".to_owned(),
    }];
    WaitingRow {
        mark: format!("{number:016x}"),
        source: format!("old-bay.csv:{number}"),
        why: Vec::new(),
        cells: vec![
            ("No".to_owned(), facts.number.clone().unwrap_or_default()),
            (
                "What".to_owned(),
                "no power, swapped reg, all gd".to_owned(),
            ),
        ],
        suggestion: Suggested { facts, maybe },
    }
}

/// The practice shop, where some jobs of one board are rows of an old sheet instead.
fn with_rows(n: usize) -> Bench {
    let bench = Bench::practice();
    assert!(bench.run(&["people", "add", "TL"]).status.success());
    let place = std::fs::read_dir(bench.shop().join("jobs"))
        .expect("there are jobs")
        .map(|entry| entry.expect("an entry").path())
        .find(|path| path.extension().is_some_and(|e| e == "jsonl"))
        .expect("a file of jobs");
    let jobs = std::fs::read_to_string(&place).expect("the jobs are read");
    let is_row = |line: &str| {
        let plain = ["follows", "corrects", "bounced", "no-fix"];
        line.contains("\"board\":\"petrel-p4\"") && plain.iter().all(|w| !line.contains(w))
    };
    let (rows, rest): (Vec<&str>, Vec<&str>) = jobs.lines().partition(|line| is_row(line));
    let (rows, back) = rows.split_at(n.min(rows.len()));
    // One board is enough, and a deck of it is built in a moment.
    let of_board = |line: &&str| line.contains("\"board\":\"petrel-p4\"");
    let rest = rest.into_iter().filter(of_board);
    let kept: Vec<&str> = rest.chain(back.iter().copied()).collect();
    std::fs::write(&place, kept.join("\n") + "\n").expect("the jobs are written");
    let rows: Vec<WaitingRow> = (17..).zip(rows).map(|(i, line)| row_of(line, i)).collect();
    put_sheet(&bench, &rows);
    bench
}

fn put_sheet(bench: &Bench, rows: &[WaitingRow]) {
    let head = Head {
        sheet: "old-bay.csv".to_owned(),
        shape: "s1".to_owned(),
        content: "c1".to_owned(),
        rows: 40 + rows.len() as u64,
        taken: 31,
        needs_person: rows.len() as u64,
        skipped: 9,
        at: now(),
        by: Some("mk".to_owned()),
    };
    let lines = std::iter::once(rows_file::write_head(&head));
    let lines: Vec<String> = lines.chain(rows.iter().map(rows_file::write_row)).collect();
    bench.put("intake/old-bay-1f0c.rows.jsonl", &(lines.join("\n") + "\n"));
}

fn first_key(session: &Session) -> String {
    session.key_at(0).expect("a row waits").to_owned()
}

/// Takes everything that is suggested for the first row and accepts it; returns its key.
fn accept_first(session: &mut Session) -> String {
    let key = first_key(session);
    session
        .take(&key, None, now())
        .expect("suggestions are taken");
    session.accept(&key, now()).expect("it is accepted");
    key
}

fn sheet_of(bench: &Bench) -> report::SheetLine {
    let mut found = report::report(&open(bench), now()).expect("the backlog is read");
    assert_eq!(found.faults, Vec::<String>::new());
    found.sheets.remove(0)
}

fn counts(bench: &Bench) -> (usize, usize, usize) {
    let sheet = sheet_of(bench);
    (sheet.waiting, sheet.done, sheet.passed)
}

fn numbers(bench: &Bench) -> Vec<String> {
    let jobs = open(bench).archive().expect("the jobs are read").jobs;
    jobs.into_iter().map(|job| job.job).collect()
}

fn cards(bench: &Bench) -> i64 {
    let built = archive::build(&open(bench), &demo::deck(), now()).expect("a deck is built");
    i64::try_from(built.cards).expect("few cards")
}

#[track_caller]
fn refused(result: Result<impl std::fmt::Debug, AppError>, why: &str) {
    let error = result.expect_err("it is refused").to_string();
    assert!(error.contains(why), "{error}");
}

#[test]
fn what_rows_are_worth_is_what_a_later_build_makes_of_them() {
    for n in [6, 60] {
        let bench = with_rows(n);
        let before = cards(&bench);
        let mut session = session(&bench);
        let worth = session.task(now()).count();
        assert_eq!((worth.rows, worth.whole), (n.min(50), n.min(50)));
        for _ in 0..worth.rows {
            accept_first(&mut session);
        }
        drop(session);
        assert_eq!(worth.cards, Some(cards(&bench) - before), "{n} rows");
        assert_ne!(
            worth.cards,
            Some(0),
            "{n} rows: a count that says something"
        );
    }
}

#[test]
fn an_accepted_row_is_a_job_that_names_its_row_its_cells_and_who_entered_it() {
    let bench = with_rows(3);
    let mut session = session(&bench);
    let key = accept_first(&mut session);
    assert_eq!(session.waiting(), 2);
    drop(session);
    let line = bench.read("jobs/b7.jsonl");
    let job: Value = serde_json::from_str(line.trim()).expect("one line of JSON");
    assert_eq!(job["row"], key.as_str());
    assert_eq!(job["entered_by"], "mk");
    assert_eq!(job["entered_on"], "2026-11-20");
    assert_eq!(job["raw"]["What"], "no power, swapped reg, all gd");
    assert!(
        job["source"]
            .as_str()
            .expect("a source")
            .starts_with("old-bay.csv:")
    );
    assert_eq!(job.get("flags"), None, "its doubt was settled");
    assert_eq!(counts(&bench), (2, 1, 0));
    let journal = bench.read("intake/b7.jsonl");
    assert_eq!(journal.lines().count(), 2, "one mended, one accepted");
}

#[test]
fn what_is_required_and_missing_and_a_number_that_is_taken_stand_in_the_way() {
    let bench = with_rows(2);
    let mut session = session(&bench);
    let key = first_key(&session);
    refused(session.accept(&key, now()), "nothing named that fixed it");
    session
        .take(&key, None, now())
        .expect("suggestions are taken");
    let taken = numbers(&bench).remove(0);
    session
        .mend(&key, Slot::Number, &taken, now())
        .expect("a number");
    refused(session.accept(&key, now()), "is in the archive already");
    refused(
        session.same_as(&key, "W-99999", now()),
        "no job has the number",
    );
    refused(session.skip(&key, "  ", now()), "no reason was given");
    session
        .same_as(&key, &taken, now())
        .expect("it is that job");
    drop(session);
    assert_eq!(counts(&bench), (1, 1, 0));
    assert!(
        !bench.shop().join("jobs/b7.jsonl").exists(),
        "no job was written"
    );
}

#[test]
fn every_decision_can_be_taken_back_on_another_day_and_made_again() {
    let bench = with_rows(4);
    let before = numbers(&bench);
    let mut desk = session(&bench);
    let key = accept_first(&mut desk);
    let skipped = first_key(&desk);
    desk.skip(&skipped, "a list of parts", now())
        .expect("passed over");
    drop(desk);
    assert_eq!(counts(&bench), (2, 1, 1));
    assert_eq!(numbers(&bench).len(), before.len() + 1);
    let later = now() + chrono::Days::new(40);
    let workbench = open(&bench);
    let mk = workbench.person(Some("mk")).expect("mk");
    let mut desk = Session::open(&workbench, &mk, later).expect("the desk opens");
    let said = desk.undo(0, later).expect("the skip is taken back");
    assert!(said.now.contains("a list of parts"), "{}", said.now);
    desk.undo(0, later).expect("the job is taken back");
    drop(desk);
    assert_eq!(counts(&bench), (4, 0, 0));
    assert_eq!(numbers(&bench), before);
    let mut desk = session(&bench);
    assert!(
        desk.page(&key)
            .expect("it waits")
            .fields
            .iter()
            .all(|f| f.missing.is_none())
    );
    desk.accept(&key, now()).expect("the same number again");
    drop(desk);
    assert_eq!(numbers(&bench).len(), before.len() + 1);
    let check = bench.run(&["jobs", "check", "--only", "double"]);
    assert_eq!(check.status.code(), Some(0), "{}", text(&check.stdout));
}

#[test]
fn a_split_row_becomes_two_jobs_and_one_row_again() {
    let bench = with_rows(1);
    let before = numbers(&bench);
    let mut desk = session(&bench);
    let key = first_key(&desk);
    let things = desk.page(&key).expect("a page").items.len();
    desk.split(&key, &vec![Side::Both; things], now())
        .expect("split");
    assert_eq!(desk.waiting(), 2);
    let first = accept_first(&mut desk);
    let second = first_key(&desk);
    assert_ne!(first, second);
    assert!(second.starts_with(&key));
    desk.take(&second, None, now())
        .expect("its number is suggested");
    refused(desk.accept(&second, now()), "no outcome");
    desk.mend(&second, Slot::Outcome, "held", now())
        .expect("an outcome");
    desk.mend(&second, Slot::Family, "buck", now())
        .expect("a circuit");
    desk.accept(&second, now()).expect("the second job");
    drop(desk);
    assert_eq!(counts(&bench), (0, 1, 0));
    let made: Vec<String> = numbers(&bench)
        .into_iter()
        .filter(|n| !before.contains(n))
        .collect();
    assert_eq!(made.len(), 2);
    assert!(made.contains(&format!("{}-2", made[0])) || made.contains(&format!("{}-2", made[1])));
    let split = report::report(&open(&bench), now())
        .expect("the backlog")
        .decisions;
    let split = split
        .iter()
        .find(|d| d.words.contains("split"))
        .expect("the split");
    let undo = bench.run(&["jobs", "backlog", "undo", &split.id, "--person", "mk"]);
    assert!(undo.status.success(), "{}", text(&undo.stderr));
    assert_eq!(counts(&bench), (1, 0, 0));
    assert_eq!(numbers(&bench), before);
    let mut desk = session(&bench);
    desk.split(&key, &vec![Side::Both; things], now())
        .expect("split again");
    assert_eq!(desk.waiting(), 2, "nothing of the first split comes back");
}

#[test]
fn a_row_entered_on_two_benches_is_named_and_merged_by_a_person() {
    for other_number in [None, Some("W-9940")] {
        let bench = with_rows(2);
        let before = numbers(&bench);
        let (b7, c1) = (open_as(&bench, "b7"), open_as(&bench, "c1"));
        let mut here = session_of(&b7, "mk");
        let mut there = session_of(&c1, "tl");
        let key = accept_first(&mut here);
        if let Some(number) = other_number {
            there
                .mend(&key, Slot::Number, number, now())
                .expect("a number");
        }
        there.take(&key, None, now()).expect("suggestions");
        // The second bench has not got the files of the first yet.
        let away = bench.shop().join("jobs/b7.jsonl");
        let lines = std::fs::read(&away).expect("the job of the first bench");
        std::fs::remove_file(&away).expect("it is away");
        there.accept(&key, now()).expect("accepted there too");
        std::fs::write(&away, lines).expect("it arrives");
        drop((here, there));
        let shown = bench.run(&["jobs", "backlog"]);
        assert_eq!(shown.status.code(), Some(3), "{}", text(&shown.stdout));
        assert!(
            text(&shown.stdout).contains("entered twice: "),
            "{}",
            text(&shown.stdout)
        );
        let mut desk = session(&bench);
        assert_eq!(first_key(&desk), key, "it comes first");
        let page = desk.page(&key).expect("a page");
        assert!(page.clash.is_some());
        refused(desk.accept(&key, now()), "merge them");
        desk.same_as(&key, &page.alike[0], now()).expect("merged");
        drop(desk);
        assert_eq!(numbers(&bench).len(), before.len() + 1);
        assert_eq!(bench.run(&["jobs", "backlog"]).status.code(), Some(0));
        let mut desk = session(&bench);
        desk.undo(0, now()).expect("the merge is taken back");
        drop(desk);
        let shown = bench.run(&["jobs", "backlog"]);
        assert_eq!(shown.status.code(), Some(3), "{}", text(&shown.stdout));
    }
}

#[test]
fn the_power_gone_between_job_and_entry_leaves_the_row_accepted_and_its_entry_is_written_later() {
    let bench = with_rows(2);
    let mut desk = session(&bench);
    accept_first(&mut desk);
    drop(desk);
    let journal = bench.read("intake/b7.jsonl");
    let first: Vec<&str> = journal.lines().take(1).collect();
    bench.put("intake/b7.jsonl", &(first[0].to_owned() + "\n"));
    assert_eq!(counts(&bench), (1, 1, 0));
    let mut desk = session(&bench);
    assert_eq!(desk.waiting(), 1);
    desk.undo(0, now()).expect("it can be taken back");
    drop(desk);
    assert_eq!(counts(&bench), (2, 0, 0));
}

#[test]
fn the_desk_goes_on_where_the_person_stopped_and_begins_with_their_stretch() {
    let bench = with_rows(12);
    let mut desk = session(&bench);
    let order: Vec<String> = desk.list().rows.into_iter().map(|r| r.key).collect();
    for at in [3, 4] {
        desk.skip(&order[at], "not a job", now())
            .expect("passed over");
    }
    drop(desk);
    let desk = session(&bench);
    let list = desk.list();
    assert_eq!(list.rows[list.at].key, order[5]);
    drop(desk);
    let take = ["jobs", "backlog", "take", "old-bay.csv", "--rows", "20-22"];
    let until = ["--until", "2026-12-01", "--person", "mk"];
    assert!(
        bench
            .run(&[&take[..], &until[..]].concat())
            .status
            .success()
    );
    let theirs = [
        "jobs",
        "backlog",
        "take",
        "old-bay.csv",
        "--rows",
        "23-26",
        "--person",
        "tl",
    ];
    assert!(bench.run(&theirs).status.success());
    let list = session(&bench).list();
    let row = |i: usize| list.rows[i].source.clone();
    let own: Vec<String> = (0..3).map(row).collect();
    for source in own {
        let n: u32 = source["old-bay.csv:".len()..].parse().expect("a row");
        assert!((20..=22).contains(&n) || list.rows.len() < 10, "{source}");
    }
    assert_eq!(list.rows.last().expect("rows").note, "tl");
    assert!(list.notes[0].contains("stretch of tl"), "{:?}", list.notes);
}

#[test]
fn a_second_copy_on_this_bench_reads_and_says_who_decides() {
    let bench = with_rows(2);
    let one = session(&bench);
    let mut two = session(&bench);
    assert!(
        two.read_only
            .as_ref()
            .is_some_and(|why| why.contains("MK, intake"))
    );
    let key = first_key(&two);
    refused(two.skip(&key, "not a job", now()), "in use by");
    let add = ["jobs", "backlog", "add", "Notebook", "--person", "mk"];
    let busy = bench.run(&add);
    assert_eq!(busy.status.code(), Some(1));
    assert!(
        text(&busy.stderr).contains("in use by MK, intake"),
        "{}",
        text(&busy.stderr)
    );
    drop(one);
    assert!(bench.run(&add).status.success());
}

#[test]
fn sources_are_added_taken_let_go_and_done() {
    let bench = with_rows(1);
    let as_mk = |args: &[&str]| {
        let all: Vec<&str> = ["jobs", "backlog"].iter().chain(args).copied().collect();
        bench.run(&[&all[..], &["--person", "mk"][..]].concat())
    };
    let list = bench.shop().join("tickets.txt");
    std::fs::write(&list, "Ticket 118\n\nTicket 119\r\nTicket 118\n").expect("a list");
    let add = as_mk(&["add", "Notebook 2019", "--where", "shelf 3"]);
    assert_eq!(text(&add.stdout), "Added Notebook 2019\n");
    let add = as_mk(&["add", "--from", &list.to_string_lossy()]);
    assert_eq!(text(&add.stdout), "Added Ticket 118\nAdded Ticket 119\n");
    assert!(text(&as_mk(&["add", "Ticket 118"]).stdout).contains("1 there already"));
    assert!(
        as_mk(&["take", "notebook 2019", "--until", "2026-12-01"])
            .status
            .success()
    );
    let past = as_mk(&["take", "Ticket 118", "--until", "2026-11-01"]);
    assert!(
        text(&past.stderr).contains("that day is over"),
        "{}",
        text(&past.stderr)
    );
    let number = numbers(&bench).remove(0);
    assert!(
        as_mk(&["done", "Ticket 118", "--job", &number])
            .status
            .success()
    );
    assert_eq!(
        as_mk(&["done", "Ticket 119", "--job", "W-99999"])
            .status
            .code(),
        Some(1)
    );
    assert_eq!(as_mk(&["done", "Ticket 7"]).status.code(), Some(2));
    let shown = text(&bench.run(&["jobs", "backlog"]).stdout);
    for line in [
        "old-bay.csv",
        "  a person: 1 waiting, 0 done, 0 passed over",
        "Notebook 2019  (shelf 3)",
        "  mk has all of it until 2026-12-01",
        &format!("  done; entered as {number}"),
    ] {
        assert!(shown.lines().any(|l| l == line), "{line}\n{shown}");
    }
    let json = text(&bench.run(&["jobs", "backlog", "--json"]).stdout);
    let lines: Vec<Value> = json
        .lines()
        .map(|l| serde_json::from_str(l).expect("JSON"))
        .collect();
    let notebook = lines
        .iter()
        .find(|l| l["source"] == "Notebook 2019")
        .expect("a line");
    assert_eq!(notebook["stretches"][0]["until"], "2026-12-01");
    assert!(
        lines
            .iter()
            .any(|l| l["decision"].is_string() && l["by"] == "mk")
    );
    let gone = as_mk(&["release"]);
    assert!(
        text(&gone.stdout).contains("mk had all of it"),
        "{}",
        text(&gone.stdout)
    );
    assert!(!text(&bench.run(&["jobs", "backlog"]).stdout).contains("until"));
}

#[test]
fn words_from_a_sheet_cannot_steer_the_terminal() {
    let bench = with_rows(1);
    let hostile = "pile \u{1b}[2J\u{202e}x";
    let add = bench.run(&["jobs", "backlog", "add", hostile, "--person", "mk"]);
    let shown = bench.run(&["jobs", "backlog"]);
    let json = bench.run(&["jobs", "backlog", "--json"]);
    for out in [add.stdout, shown.stdout, json.stdout] {
        let out = text(&out);
        assert!(!out.chars().any(|c| c.is_control() && c != '\n'), "{out:?}");
        assert!(!out.contains('\u{202e}'));
    }
}

#[test]
fn suggestions_left_alone_are_told_when_a_row_is_accepted() {
    let bench = with_rows(1);
    let mut desk = session(&bench);
    let key = first_key(&desk);
    desk.mend(&key, Slot::Outcome, "held", now())
        .expect("an outcome");
    desk.take(&key, Some(Slot::Actions), now())
        .expect("the fix");
    let said = desk.accept(&key, now()).expect("accepted");
    assert!(!said.now.contains("without"), "{}", said.now);
    assert!(repair::names_a_fix(&Draft::of_job(
        open(&bench)
            .archive()
            .expect("jobs")
            .jobs
            .last()
            .expect("a job")
    )));
    assert!(Path::new(&bench.shop().join("intake/b7.jsonl")).exists());
}
