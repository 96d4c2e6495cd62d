//! Laws of reading journals as tapes: nothing may differ from the reader of full lines.

use std::path::Path;
use std::path::PathBuf;

use proptest::prelude::*;

use crate::domain::review::Answered;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::samples;
use crate::domain::tape::Tape;
use crate::store::disk::Disk as _;
use crate::store::disk::RealDisk;
use crate::store::journal;
use crate::store::journal_read::JournalRead;
use crate::store::journal_read::Part;
use crate::store::journal_read::Take;
use crate::store::paths::ShopFolder;
use crate::store::record::review;
use crate::store::sealed;
use crate::store::side_by_side::cut;
use crate::store::tapes::Tapes;

/// What a line of a made-up journal may be: mostly answers, the rest whatever a file can hold.
fn line(seq: u64, kind: u8, id: usize) -> Vec<u8> {
    let card = samples::card(["a", "b"][id % 2], "standby", "U31");
    let mut answered = samples::answered(&card, Grade::ALL[id % 4]);
    let event = match kind {
        0..=7 => Event::Answer(Box::new(answered)),
        8 => {
            "say \"u31\"".clone_into(&mut answered.typed);
            Event::Answer(Box::new(Answered { ..answered }))
        }
        _ => Event::Undo {
            of: format!("mk-b7-{id}"),
        },
    };
    let name = match kind {
        10 => format!("mk-b7-0{seq}"),
        11 => "mk-b9-1".to_owned(),
        _ => format!("mk-b7-{seq}"),
    };
    let on = i64::try_from(seq).expect("small");
    let text = review::unsealed(&name, seq, samples::at(on), samples::day(on), &event);
    let mut text = match kind {
        12 => sealed::seal(&text.replace("\"ev\"", "\"event\"")),
        13 => sealed::seal(&text.replace("{\"v\":1", "{\"v\":7")),
        _ => sealed::seal(&text),
    };
    match kind {
        14 => text.clear(),
        15 => text.push('\r'),
        16 => text = text.replace("\"day\":\"20", "\"day\":\"21"),
        17 => text.truncate(text.len() / 2),
        _ => {}
    }
    let mut bytes = text.into_bytes();
    bytes.push(if kind == 18 { b'\x0b' } else { b'\n' });
    bytes
}

fn file(kinds: &[(u8, usize, bool)], marked: bool, torn: usize) -> Vec<u8> {
    let mut bytes = if marked {
        b"\xef\xbb\xbf".to_vec()
    } else {
        Vec::new()
    };
    let mut seq = 0;
    for &(kind, id, jump) in kinds {
        // Numbers rise as a rule; now and then one is missing or comes again.
        seq = match (jump, kind) {
            (true, 0) => 1.max(seq),
            (true, _) => seq + 3,
            _ => seq + 1,
        };
        bytes.extend(line(seq, kind, id));
    }
    bytes.truncate(bytes.len().saturating_sub(torn));
    bytes
}

fn kinds() -> impl Strategy<Value = Vec<(u8, usize, bool)>> {
    let kind = prop_oneof![6 => 0..9_u8, 2 => 9..19_u8];
    let jump = prop::bool::weighted(0.05);
    prop::collection::vec((kind, 0..50_usize, jump), 0..30)
}

fn on_disk(bytes: &[u8]) -> (tempfile::TempDir, ShopFolder, PathBuf) {
    let root = tempfile::tempdir().expect("a folder");
    let shop = ShopFolder::new(root.path().to_owned());
    let path = shop.journal("mk", "b7").expect("a name");
    RealDisk
        .make_folder(path.parent().expect("a folder"))
        .expect("made");
    RealDisk.create_new(&path, bytes).expect("written");
    (root, shop, path)
}

proptest! {
    /// Whatever a file holds: the same lines, the same damage in the same words and order, and the
    /// same next number as from the reader of full lines, in one piece or in several.
    #[test]
    fn tapes_hold_what_full_journals_hold(
        kinds in kinds(), marked in any::<bool>(), torn in 0..40_usize, cuts in 0..4_usize,
    ) {
        let bytes = file(&kinds, marked, torn * usize::from(torn < 20));
        let (_root, shop, path) = on_disk(&bytes);
        let full = journal::read_person(&RealDisk, &shop, "mk").expect("it is read");
        let people = Tapes::default().read_people(&RealDisk, &shop).expect("it is read");
        prop_assert_eq!(&people[0].faults, &full.faults);
        let mut expected = Tape::new("mk", "b7");
        full.journals[0].iter().cloned().for_each(|entry| expected.push(entry));
        let lines = |tape: &Tape| -> Vec<String> {
            let told = tape.lines.iter().enumerate();
            told.map(|(at, line)| format!("{} {:?} {} {}", tape.id(at), line.at, line.day, line.seq))
                .collect()
        };
        prop_assert_eq!(lines(&people[0].journals[0].tape), lines(&expected));

        let scan = sealed::scan(&bytes);
        let seqs = scan.lines.iter().filter_map(|l| review::read(l.text, "b7").ok());
        let highest = seqs.map(|entry| entry.seq).max().unwrap_or(0);
        let tapes = Tapes::default();
        let whole = tapes.take_in(&path, "mk", "b7", &bytes);
        prop_assert_eq!(whole.next_seq, sealed::next_seq(highest, &scan.damage));
        prop_assert_eq!(whole.ends_fresh, scan.ends_fresh);

        // The file as it was at some earlier time, then as it is now.
        let ends = memchr::memchr_iter(b'\n', &bytes).map(|end| end + 1);
        let ends: Vec<usize> = std::iter::once(0).chain(ends).collect();
        let grown = Tapes::default();
        grown.take_in(&path, "mk", "b7", &bytes[..ends[cuts * ends.len() / 4]]);
        let later = grown.take_in(&path, "mk", "b7", &bytes);
        prop_assert_eq!(&*later, &*whole);
        prop_assert_eq!(&*grown.take_in(&path, "mk", "b7", &bytes), &*whole);
    }

    /// A file read in ranges that begin and end anywhere, in steps of any size, is the file read at
    /// one go.
    #[test]
    fn ranges_and_steps_change_nothing(
        kinds in kinds(), marked in any::<bool>(), torn in 0..40_usize,
        cuts in prop::collection::vec(any::<prop::sample::Index>(), 0..6),
        step in prop_oneof![1..9_usize, 100..900_usize],
    ) {
        // A byte order mark comes in one step: no file is read in steps of three bytes.
        let step = if marked { step + 3 } else { step };
        let bytes = file(&kinds, marked, torn * usize::from(torn < 20));
        if bytes.is_empty() { return Ok(()) }
        let path = Path::new("people/mk/b7.jsonl");
        let whole = Tapes::default().take_in(path, "mk", "b7", &bytes);
        // No range ends at the mark: each is far longer.
        let least = if marked { 4.min(bytes.len()) } else { 0 };
        let mut cuts: Vec<u64> =
            cuts.iter().map(|at| at.index(bytes.len()).max(least) as u64).collect();
        cuts.extend([0, bytes.len() as u64]);
        cuts.sort_unstable();
        let steps = |at: u64, take: &mut Take<'_>| {
            let rest = &bytes[usize::try_from(at).expect("small")..];
            let mut pieces = rest.chunks(step);
            while pieces.next().is_some_and(&mut *take) {}
            Ok(())
        };
        let length = bytes.len() as u64;
        let parts: Vec<Part> = cuts
            .windows(2)
            .filter(|ends| ends[0] < ends[1])
            .map(|ends| {
                Part::read_range(&steps, path, ends[0]..ends[1], length, ("mk", "b7"))
                    .expect("nothing fails")
            })
            .collect();
        prop_assert_eq!(parts.iter().map(|part| part.bytes).sum::<u64>(), length);
        let mut read = JournalRead::new("mk", "b7");
        let sum = read.join_all(parts, path);
        read.ends_fresh = whole.ends_fresh;
        prop_assert_eq!(&read, &*whole);
        prop_assert_eq!(sum.finalize(), crc32fast::hash(&bytes));
    }

    /// A byte that changes in what was read before is found: nothing old is believed then.
    #[test]
    fn a_changed_byte_in_the_old_part_is_seen(
        kinds in kinds(), at in any::<prop::sample::Index>(),
    ) {
        let mut bytes = file(&kinds, false, 0);
        if bytes.is_empty() { return Ok(()) }
        let path = Path::new("people/mk/b7.jsonl");
        let tapes = Tapes::default();
        tapes.take_in(path, "mk", "b7", &bytes);
        let at = at.index(bytes.len());
        bytes[at] ^= 1;
        let again = tapes.take_in(path, "mk", "b7", &bytes);
        prop_assert_eq!(&*again, &*Tapes::default().take_in(path, "mk", "b7", &bytes));
    }
}

#[test]
fn what_was_read_ahead_is_handed_out_once_and_only_while_the_file_has_not_grown() {
    let (_root, shop, path) = on_disk(&file(&[(0, 0, false)], false, 0));
    let lines = |tapes: &Tapes| {
        let people = tapes.read_people(&RealDisk, &shop).expect("it is read");
        people[0].journals[0].tape.lines.len()
    };
    let tapes = Tapes::default();
    tapes.read_ahead(&RealDisk, &shop);
    RealDisk
        .open_append(&path)
        .expect("open")
        .write(&line(2, 0, 1))
        .expect("written");
    assert_eq!(lines(&tapes), 2);
    tapes.read_ahead(&RealDisk, &shop);
    assert_eq!([lines(&tapes), lines(&tapes)], [2, 2]);
}

#[test]
fn a_long_file_is_cut_at_line_breaks_and_numbered_through() {
    let mut bytes = Vec::new();
    for seq in 1..=9_000 {
        bytes.extend(line(seq, if seq == 8_000 { 16 } else { 0 }, 3));
    }
    assert!(cut(&bytes).len() > 2, "several pieces");
    assert!(cut(&bytes).iter().all(|piece| piece.ends_with(b"\n")));
    let path = Path::new("people/mk/b7.jsonl");
    let read = Tapes::default().take_in(path, "mk", "b7", &bytes);
    assert_eq!(read.tape.lines.len(), 8_999);
    let lines: Vec<Option<u64>> = read.faults.iter().map(|fault| fault.line).collect();
    assert_eq!(lines, [Some(8_000), Some(8_001)]);
}
