//! `kill -9` of a real process at random moments: what it acknowledged is on the disk.

use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::process::Command;
use std::process::Stdio;
use std::sync::Arc;

use benchlore::domain::review::Entry;
use benchlore::store::disk::Disk;
use benchlore::store::disk::RealDisk;
use benchlore::store::journal;
use benchlore::store::journal::Journal;
use benchlore::store::paths::ShopFolder;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

use crate::damage;

const FOLDER: &str = "BENCHLORE_TEST_KILL_FOLDER";
const ROUNDS: usize = 40;

/// Starts `command`, which prints `ack <id>` once a review is kept, kills it after a random number of
/// bytes, and returns the ids of the whole lines that came out.
fn acknowledged(mut command: Command, chance: &mut ChaCha12Rng) -> Vec<String> {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    let mut pipe = child.stdout.take().expect("it is piped");
    let mut out = vec![0; chance.random_range(60..1000)];
    pipe.read_exact(&mut out)
        .expect("it goes on until it is killed");
    child.kill().expect("it runs");
    child.wait().expect("it ends");
    // What it printed before it died counts too.
    pipe.read_to_end(&mut out).expect("the pipe closes");
    let text = String::from_utf8(out).expect("it prints text");
    let whole = text.rsplit_once('\n').map_or("", |(whole, _)| whole);
    let acks = whole.lines().filter_map(|line| line.strip_prefix("ack "));
    acks.map(str::to_owned).collect()
}

/// Kills `command` again and again over one shop; after each kill all that was acknowledged so far
/// must be readable, in order and once, and all damage named. Returns how many were acknowledged, or
/// what is wrong.
fn survives_kills(
    shop: &ShopFolder,
    rounds: usize,
    command: impl Fn(&Path) -> Command,
) -> Result<usize, String> {
    let mut chance = ChaCha12Rng::seed_from_u64(29);
    let mut acks: Vec<String> = Vec::new();
    let path = shop.journal("mk", "b7").expect("safe names");
    for round in 0..rounds {
        acks.extend(acknowledged(command(shop.root()), &mut chance));
        let bytes = RealDisk.read(&path).expect("something was kept");
        let (read, faults) = journal::read_all(&RealDisk, &path).expect("it reads");
        let mut kept: Vec<Entry> = Vec::new();
        for id in &acks {
            match read.iter().find(|entry| entry.id == *id) {
                Some(entry) => kept.push(entry.clone()),
                None => return Err(format!("{id} is lost in round {round}")),
            }
        }
        let wrong = damage::losses(&kept, &read, &faults, &bytes);
        if !wrong.is_empty() {
            return Err(format!("round {round}: {}", wrong.join(", ")));
        }
    }
    Ok(acks.len())
}

fn folder_of_child() -> Option<String> {
    std::env::var(FOLDER).ok()
}

/// Appends reviews without end, saying which are kept; a hasty one says so beforehand.
fn append_for_ever(folder: &str, hasty: bool) -> ! {
    let disk: Arc<dyn Disk> = Arc::new(RealDisk);
    let shop = ShopFolder::new(folder);
    let (mut journal, before, _) =
        Journal::open(&disk, &shop, "mk", "b7", &damage::holder()).expect("the lock is free");
    let mut out = std::io::stdout();
    let mut say = |id: &str| {
        // The break first ends whatever the test runner has on the line.
        write!(out, "\nack {id}\n").expect("the pipe is open");
        out.flush().expect("the pipe is open");
    };
    let mut n = before.last().map_or(0, |entry| entry.seq);
    loop {
        n += 1;
        if hasty {
            say(&format!("mk-b7-{n}"));
        }
        let at = damage::moment(n);
        let kept = journal.append(damage::answer(n), at, at.date_naive());
        let kept = kept.expect("the disk is healthy");
        if !hasty {
            say(&kept.id);
        }
    }
}

fn kill_this_test(name: &str, folder: &Path) -> Result<usize, String> {
    survives_kills(&ShopFolder::new(folder), ROUNDS, |folder| {
        let mut command = Command::new(std::env::current_exe().expect("this test runs"));
        command.args(["--exact", name, "--nocapture"]);
        command.env(FOLDER, folder);
        command
    })
}

#[test]
fn killed_at_any_moment_a_process_loses_nothing_it_acknowledged() {
    if let Some(folder) = folder_of_child() {
        append_for_ever(&folder, false);
    }
    let folder = tempfile::tempdir().unwrap();
    let name = "kill::killed_at_any_moment_a_process_loses_nothing_it_acknowledged";
    let n = kill_this_test(name, folder.path()).unwrap();
    assert!(
        n > ROUNDS,
        "only {n} were acknowledged: the test shows nothing"
    );
}

#[test]
fn a_process_that_acknowledges_before_writing_is_caught() {
    if let Some(folder) = folder_of_child() {
        append_for_ever(&folder, true);
    }
    let folder = tempfile::tempdir().unwrap();
    let name = "kill::a_process_that_acknowledges_before_writing_is_caught";
    let wrong = kill_this_test(name, folder.path()).unwrap_err();
    assert!(wrong.contains("is lost"), "{wrong}");
}
