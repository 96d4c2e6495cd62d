//! The shop that ships: it loads without a fault, its parts exist, and no job says what physics forbids.
//!
//! The limits of the bands are written down here once more rather than taken from the program.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use benchlore::app::workbench::Archive;
use benchlore::app::workbench::Workbench;
use benchlore::domain::job::Board;
use benchlore::domain::job::Finding;
use benchlore::domain::job::FindingKind;
use benchlore::domain::job::Job;
use benchlore::domain::job::Outcome;
use benchlore::domain::job::UNLOCATED;
use benchlore::domain::job::When;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;

pub(crate) fn shipped() -> (Workbench, Archive) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let shop = ShopFolder::new(folder);
    let bench = Workbench::open(Arc::new(RealDisk), shop, "t1".to_owned()).expect("it opens");
    let archive = bench.archive().expect("the jobs can be read");
    (bench, archive)
}

fn board<'a>(bench: &'a Workbench, job: &Job) -> &'a Board {
    let found = bench.boards.iter().find(|b| b.id == job.board);
    found.expect("the job's board is described")
}

#[test]
fn it_loads_with_no_fault_and_no_warning() {
    let (bench, archive) = shipped();
    assert_eq!(bench.fault_lines(&bench.faults), Vec::<String>::new());
    assert_eq!(bench.fault_lines(&archive.faults), Vec::<String>::new());
    assert!(3 <= bench.boards.len(), "{} boards", bench.boards.len());
    assert!(60 <= archive.jobs.len(), "{} jobs", archive.jobs.len());
}

/// A reading means something only with how it was taken: common practice, no source.
#[test]
fn every_board_has_parts_and_good_readings_that_say_how_they_were_taken() {
    let (bench, _) = shipped();
    for board in &bench.boards {
        assert!(!board.parts.is_empty(), "{}", board.id);
        for kind in [
            FindingKind::Current,
            FindingKind::Rail,
            FindingKind::Resistance,
        ] {
            let there = board.good.iter().any(|g| g.kind == kind);
            assert!(there, "{}: no good reading of {kind:?}", board.id);
        }
        for good in &board.good {
            let said = match good.kind {
                FindingKind::Current | FindingKind::Rail | FindingKind::Signal => {
                    good.state.is_some()
                }
                FindingKind::Resistance => good.source_off == Some(true),
                FindingKind::Diode => good.polarity.is_some(),
                FindingKind::Heat | FindingKind::Visual | FindingKind::Other => true,
            };
            assert!(said, "{}: {:?} {}", board.id, good.kind, good.place);
        }
    }
}

/// One to four capitals and a number, `C41`: the reference designators in common use.
fn is_designator(word: &str) -> bool {
    let letters = word.bytes().take_while(u8::is_ascii_uppercase).count();
    let number = &word[letters..];
    (1..=4).contains(&letters) && !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit())
}

fn nets(board: &Board) -> BTreeSet<&str> {
    let rails = board.parts.values().filter_map(|part| part.rail.as_deref());
    let read = board.good.iter().map(|good| good.place.as_str());
    rails.chain(read).collect()
}

/// Returns why `part` cannot have been worked on; none if it can.
fn no_such_part(part: &str, rev: Option<&str>, board: &Board) -> Option<String> {
    if is_designator(part) {
        let Some(found) = board.parts.get(part) else {
            return Some(format!("{} has no {part}", board.id));
        };
        let fits =
            rev.is_none_or(|rev| found.revs.is_empty() || found.revs.iter().any(|r| r == rev));
        return (!fits).then(|| format!("revision {rev:?} of {} has no {part}", board.id));
    }
    // A via, pad or trace of a net; else words for a place, such as `lower edge`.
    let first = part.split(' ').next().unwrap_or_default();
    let names_a_net = first.len() > 1
        && first
            .bytes()
            .all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'_');
    (names_a_net && !nets(board).contains(first))
        .then(|| format!("{} has no net {first}", board.id))
}

#[test]
fn every_part_that_a_job_worked_on_or_looked_at_is_on_its_board() {
    let (bench, archive) = shipped();
    for job in &archive.jobs {
        let board = board(&bench, job);
        let seen = job
            .findings
            .iter()
            .filter(|f| f.kind != FindingKind::Signal);
        let seen = seen.map(|f| f.place.as_str());
        let seen = seen.filter(|place| is_designator(place) && !nets(board).contains(place));
        for part in job.actions.iter().map(|a| a.part.as_str()).chain(seen) {
            let wrong = no_such_part(part, job.rev.as_deref(), board);
            assert_eq!(wrong, None, "{}", job.job);
        }
        let family = job.family.as_deref().unwrap_or(UNLOCATED);
        let there = family == UNLOCATED || board.families.iter().any(|f| f == family);
        assert!(there, "{}: {} has no {family}", job.job, board.id);
    }
}

#[test]
fn a_part_that_is_not_there_is_noticed() {
    let (bench, _) = shipped();
    let board = bench.boards.iter().find(|b| b.id == "petrel-p4").unwrap();
    assert_eq!(no_such_part("U31", Some("B"), board), None);
    assert_eq!(no_such_part("VIN_P via", None, board), None);
    assert_eq!(no_such_part("lower edge", None, board), None);
    assert!(no_such_part("U31", Some("A"), board).is_some());
    assert!(no_such_part("U131", None, board).is_some());
    assert!(no_such_part("9V9 via", None, board).is_some());
}

/// Slack for limits that a reading meets exactly.
const SLACK: f64 = 1e-9;

/// A rail: under 5 % absent, under 95 % low, up to 105 % in its band. Common practice, no source.
fn rail_is(word: &str, ratio: f64) -> bool {
    match word {
        "absent" => ratio < 0.05,
        "low" => (0.05..0.95).contains(&(ratio + SLACK)),
        "in-band" => (0.95 - SLACK..=1.05 + SLACK).contains(&ratio),
        "high" => 1.05 < ratio,
        // What a rail does in time is in no single number.
        "pulsing" | "noisy" => true,
        _ => false,
    }
}

/// A resistance to ground: under 1 Ω a hard short (on a core rail, or where less is right, only low),
/// to half of a good one low, from twice of it high. Common practice, no source.
fn resistance_is(word: &str, ohms: f64, good: Option<f64>, core: bool) -> bool {
    let ratio = good.map(|good| ohms / good);
    let may_be_small = core || good.is_some_and(|good| good < 1.0);
    match word {
        "hard-short" => ohms < 1.0 && !may_be_small,
        "low" => (may_be_small || 1.0 <= ohms) && ratio.is_none_or(|r| r <= 0.5),
        "as-reference" => ratio.is_none_or(|r| (0.5..=2.0).contains(&r)),
        "high" => ratio.is_none_or(|r| 2.0 <= r),
        _ => false,
    }
}

/// A diode drop: under 0.05 V short, to nine tenths of a good one low, from eleven tenths high.
/// Common practice, no source.
fn diode_is(word: &str, volts: f64, good: Option<f64>) -> bool {
    let ratio = good.map(|good| volts / good);
    match word {
        "short" => volts < 0.05,
        "low" => 0.05 <= volts && ratio.is_none_or(|r| r <= 0.9 + SLACK),
        "as-reference" => ratio.is_none_or(|r| (0.9 - SLACK..=1.1 + SLACK).contains(&r)),
        "high" => ratio.is_none_or(|r| 1.1 - SLACK <= r),
        _ => false,
    }
}

/// Tells whether the word a person gave fits the number beside it.
fn word_fits(finding: &Finding, board: &Board) -> bool {
    let (Some(word), Some(got)) = (finding.code.as_deref(), finding.got) else {
        return true;
    };
    match finding.kind {
        FindingKind::Rail => finding.good.is_none_or(|good| rail_is(word, got / good)),
        FindingKind::Resistance => {
            let core = board.parts.values().any(|part| {
                part.rail.as_deref() == Some(finding.place.as_str())
                    && part.family.as_deref() == Some("core")
            });
            resistance_is(word, got, finding.good, core)
        }
        FindingKind::Diode => diode_is(word, got, finding.good),
        FindingKind::Current => (word == "zero") == (got < RESOLUTION_A),
        _ => true,
    }
}

/// The least that a bench supply shows; less reads as nothing. Common practice, no source.
const RESOLUTION_A: f64 = 0.001;

/// What the supply gives: volts at its terminals and amperes, in current limit as collapsed.
fn supply(draw: &Finding) -> Option<(f64, f64)> {
    let limited = draw.code.as_deref() == Some("limit");
    let limit = draw.limit_a.filter(|_| limited);
    let amperes = [draw.got, draw.high, limit].into_iter().flatten();
    let most = amperes.fold(f64::NEG_INFINITY, f64::max);
    let volts = draw.collapsed_v.filter(|_| limited).or(draw.supply_v)?;
    most.is_finite().then_some((volts, most.max(RESOLUTION_A)))
}

/// Returns what `job` says that cannot be, each with the rule that it breaks.
fn contradictions(job: &Job, board: &Board) -> Vec<String> {
    let mut found = Vec::new();
    let before: Vec<&Finding> = job
        .findings
        .iter()
        .filter(|f| f.when != When::AfterAction)
        .collect();
    let of_kind = |kind| before.iter().copied().filter(move |f| f.kind == kind);
    for finding in &job.findings {
        if !word_fits(finding, board) {
            found.push(format!(
                "bands (common practice, no source): {} {:?} is not {:?}",
                finding.place, finding.got, finding.code
            ));
        }
        // A meter's ohms are measured with the board's source off: common practice, no source.
        if finding.kind == FindingKind::Resistance && finding.source_off != Some(true) {
            found.push(format!("ohms of {} with the source on", finding.place));
        }
        let most = [finding.got, finding.high].into_iter().flatten();
        if let Some(limit) = finding.limit_a
            && most.fold(0.0, f64::max) > limit * 1.02
        {
            found
                .push("a supply in limit gives no more than its limit (its definition)".to_owned());
        }
    }
    for draw in of_kind(FindingKind::Current) {
        let Some((volts, amperes)) = supply(draw) else {
            continue;
        };
        let same_state = |f: &&Finding| f.state == draw.state;
        for rail in of_kind(FindingKind::Rail).filter(same_state) {
            let Some(on_rail) = rail.got else { continue };
            for short in of_kind(FindingKind::Resistance).filter(|r| r.place == rail.place) {
                // Ohm's law and the conservation of energy; the factor 2 for meters and for loads
                // that are no resistors (common practice, no source).
                if let Some(ohms) = short.got
                    && on_rail * on_rail / ohms > 2.0 * volts * amperes
                {
                    found.push(format!(
                        "Ohm's law: {on_rail} V across {ohms} Ω at {} from {volts} V, {amperes} A",
                        rail.place
                    ));
                }
            }
            // Conservation of energy, boards that do not store: nothing is above a collapsed supply.
            if draw.code.as_deref() == Some("limit") && on_rail > volts * 1.05 {
                found.push(format!("{} stands above its collapsed supply", rail.place));
            }
        }
        if draw.code.as_deref() == Some("limit") {
            // Ohm's law: the supply collapses to limit x short, and what the leads add.
            let shorts = of_kind(FindingKind::Resistance).filter_map(|r| r.got);
            for ohms in shorts.filter(|ohms| *ohms < 10.0) {
                let across = amperes * ohms;
                if !(across <= volts * 1.05 && volts <= across * 2.0) {
                    found.push(format!(
                        "Ohm's law: {amperes} A through {ohms} Ω is not {volts} V"
                    ));
                }
            }
            if draw.supply_v.is_none_or(|set| set <= volts) {
                found
                    .push("a supply in limit stands below its setting (its definition)".to_owned());
            }
        }
    }
    for short in
        of_kind(FindingKind::Resistance).filter(|r| r.code.as_deref() == Some("hard-short"))
    {
        // Ohm's law: no supply of the bench holds a rail up against less than an ohm.
        for rail in of_kind(FindingKind::Rail).filter(|r| r.place == short.place) {
            if !matches!(rail.code.as_deref(), Some("absent" | "low")) {
                found.push(format!("Ohm's law: {} is up on a hard short", rail.place));
            }
        }
    }
    // A repair that held left its rails in their bands: common practice, no source.
    for proof in job.findings.iter().filter(|f| f.when == When::AfterAction) {
        let in_band = proof.code.as_deref() == Some("in-band");
        if proof.kind == FindingKind::Rail && job.outcome == Outcome::Held && !in_band {
            found.push(format!("held, and {} is not in its band", proof.place));
        }
    }
    found
}

#[test]
fn no_job_says_what_cannot_be() {
    let (bench, archive) = shipped();
    let mut wrong = Vec::new();
    let (mut limits, mut shorts) = (0, 0);
    for job in &archive.jobs {
        let said = contradictions(job, board(&bench, job));
        wrong.extend(said.into_iter().map(|why| format!("{}: {why}", job.job)));
        let has = |code| usize::from(job.findings.iter().any(|f| f.code.as_deref() == Some(code)));
        limits += has("limit");
        shorts += has("hard-short");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(
        2 < limits && 20 < shorts,
        "{limits} in limit, {shorts} shorts"
    );
}

/// Something to do to a job.
type Change = fn(&mut Job);

/// One job text is good; each change to it breaks one rule.
#[test]
fn a_job_that_cannot_be_is_noticed() {
    let (bench, _) = shipped();
    let petrel = bench.boards.iter().find(|b| b.id == "petrel-p4").unwrap();
    let finding = |kind, place, code: &str, got, good| {
        let mut made = Finding::new(kind, place);
        made.code = Some(code.to_owned());
        made.got = got;
        made.good = good;
        made.state = Some("pressed".to_owned());
        made.source_off = Some(true);
        made
    };
    let good = || {
        let mut job = Job::empty("W-1", "petrel-p4", Outcome::Held);
        let mut draw = finding(FindingKind::Current, "", "limit", None, None);
        draw.supply_v = Some(12.0);
        draw.limit_a = Some(1.0);
        draw.collapsed_v = Some(0.9);
        job.findings = vec![
            draw,
            finding(
                FindingKind::Resistance,
                "VIN_P",
                "hard-short",
                Some(0.8),
                Some(18e3),
            ),
            finding(FindingKind::Rail, "VIN_P", "low", Some(0.85), Some(12.0)),
            finding(FindingKind::Diode, "3V3", "low", Some(0.2), Some(0.38)),
        ];
        job
    };
    assert_eq!(contradictions(&good(), petrel), Vec::<String>::new());
    let changes: [(&str, Change); 11] = [
        ("is not", |job| {
            job.findings[2].code = Some("in-band".to_owned());
        }),
        ("is not", |job| {
            job.findings[1].code = Some("as-reference".to_owned());
        }),
        ("is not", |job| {
            job.findings[3].code = Some("short".to_owned());
        }),
        ("source on", |job| job.findings[1].source_off = None),
        ("no more than its limit", |job| {
            job.findings[0].high = Some(1.3);
        }),
        ("above its collapsed", |job| job.findings[2].got = Some(3.3)),
        ("is not 9 V", |job| job.findings[0].collapsed_v = Some(9.0)),
        ("below its setting", |job| {
            job.findings[0].supply_v = Some(0.9);
        }),
        ("is not in its band", |job| {
            job.findings[2].when = When::AfterAction;
        }),
        ("is up on a hard short", |job| {
            job.findings[2].got = Some(12.0);
            job.findings[2].code = Some("in-band".to_owned());
        }),
        // 118 mA at 12 V cannot feed 3 Ω at 12 V.
        ("12 V across 3 Ω", |job| {
            job.findings[0].code = Some("stuck".to_owned());
            job.findings[0].got = Some(0.118);
            job.findings[1].got = Some(3.0);
            job.findings[1].code = Some("low".to_owned());
            job.findings[2].got = Some(12.0);
            job.findings[2].code = Some("in-band".to_owned());
        }),
    ];
    for (why, change) in changes {
        let mut job = good();
        change(&mut job);
        let said = contradictions(&job, petrel);
        assert!(said.iter().any(|s| s.contains(why)), "{why}: {said:?}");
    }
}
