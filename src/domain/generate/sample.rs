//! Small jobs and a board for the tests of this folder (invented).

use std::collections::BTreeMap;

use chrono::Days;
use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::circuit::Circuits;
use crate::domain::generate::build;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Built;
use crate::domain::generate::input::Hazards;
use crate::domain::job::Action;
use crate::domain::job::Board;
use crate::domain::job::Confidence;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Part;
use crate::domain::job::Role;
use crate::domain::lineage::Lineage;

/// The first day of the invented archive.
pub(crate) fn day_one() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 1).expect("a real day")
}

/// A rail reading with a verdict.
pub(crate) fn rail(place: &str, verdict: &str) -> Finding {
    let mut finding = Finding::new(FindingKind::Rail, place);
    finding.code = Some(verdict.to_owned());
    finding
}

/// A resistance to ground.
pub(crate) fn resistance(place: &str, ohms: f64) -> Finding {
    let mut finding = Finding::new(FindingKind::Resistance, place);
    finding.got = Some(ohms);
    finding
}

/// A visual sign.
pub(crate) fn sign(place: &str, sign: &str) -> Finding {
    let mut finding = Finding::new(FindingKind::Visual, place);
    finding.code = Some(sign.to_owned());
    finding
}

/// A named test.
pub(crate) fn test(name: &str, value: &str) -> Finding {
    let mut finding = Finding::new(FindingKind::Other, name);
    finding.code = Some(value.to_owned());
    finding
}

/// An action.
pub(crate) fn action(act: &str, part: &str, role: Role) -> Action {
    Action {
        act: act.to_owned(),
        part: part.to_owned(),
        role,
    }
}

/// A tier A job on the board `petrel-p4`: `part` was replaced; the 3.3 V standby rail was low.
pub(crate) fn job(id: &str, part: &str, day: u64) -> Job {
    Job {
        id: id.to_owned(),
        job: id.to_owned(),
        closed_on: day_one() + Days::new(day),
        closed_by: Some("mk".to_owned()),
        board: "petrel-p4".to_owned(),
        rev: Some("B".to_owned()),
        unit: None,
        follows: None,
        corrects: None,
        withdrawn: false,
        complaint: vec!["no-power".to_owned()],
        findings: vec![rail("3V3_SB", "low")],
        family: Some("standby".to_owned()),
        contributing: Vec::new(),
        actions: vec![action("replace", part, Role::TheFix)],
        no_fix_reason: None,
        outcome: Outcome::Held,
        bounce_cause: None,
        confidence: Some(Confidence::Proved),
        proof: None,
        environment: Vec::new(),
        source: None,
        flags: Vec::new(),
        effort: crate::domain::job::Effort::default(),
    }
}

/// The same with other findings.
pub(crate) fn job_with(id: &str, part: &str, day: u64, findings: Vec<Finding>) -> Job {
    Job {
        findings,
        ..job(id, part, day)
    }
}

/// A board with three parts, one of them on the core rail.
pub(crate) fn board() -> Board {
    let part = |name: &str, rail: &str, family: &str| Part {
        name: name.to_owned(),
        rail: Some(rail.to_owned()),
        family: Some(family.to_owned()),
        revs: Vec::new(),
    };
    let mut good = Finding::new(FindingKind::Rail, "VSYS");
    good.got = Some(8.4);
    Board {
        id: "petrel-p4".to_owned(),
        name: "Petrel P4 helm display".to_owned(),
        kind: "display".to_owned(),
        revisions: vec!["A".to_owned(), "B".to_owned(), "C".to_owned()],
        safety: Vec::new(),
        families: Vec::new(),
        parts: BTreeMap::from([
            (
                "U31".to_owned(),
                part("standby switcher", "3V3_SB", "standby"),
            ),
            ("L12".to_owned(), part("system coil", "VSYS", "buck")),
            ("U5".to_owned(), part("core phase driver", "VCORE", "core")),
        ]),
        good: vec![good],
    }
}

fn no_cautions(_: &Hazards<'_>) -> Vec<String> {
    Vec::new()
}

/// Builds cards of the sample board.
pub(crate) fn built_with(
    jobs: &[Job],
    contradictory: &[&str],
    unsafe_fix: &(dyn Fn(&Fix, &Job) -> bool + Sync),
) -> Built {
    built_as(
        jobs,
        board(),
        contradictory,
        unsafe_fix,
        &Lineage::default(),
        &no_cautions,
    )
}

/// The same with cards that leads merged and split.
pub(crate) fn led(jobs: &[Job], lineage: &Lineage) -> Built {
    built_as(jobs, board(), &[], &|_, _| false, lineage, &no_cautions)
}

/// The same on another board.
pub(crate) fn built_on(board: Board, jobs: &[Job]) -> Built {
    let lineage = Lineage::default();
    built_as(jobs, board, &[], &|_, _| false, &lineage, &no_cautions)
}

/// The same of gear whose every card bears a caution.
pub(crate) fn built_at_risk(jobs: &[Job], caution: &str) -> Built {
    let cautions = |_: &Hazards<'_>| vec![caution.to_owned()];
    let lineage = Lineage::default();
    built_as(jobs, board(), &[], &|_, _| false, &lineage, &cautions)
}

fn built_as(
    jobs: &[Job],
    board: Board,
    contradictory: &[&str],
    unsafe_fix: &(dyn Fn(&Fix, &Job) -> bool + Sync),
    lineage: &Lineage,
    cautions: &(dyn Fn(&Hazards<'_>) -> Vec<String> + Sync),
) -> Built {
    let contradictory = contradictory.iter().map(|id| (*id).to_owned()).collect();
    build::build(&BuildInput {
        lineage,
        jobs,
        boards: &[board],
        circuits: &Circuits::with_shop(&[], false),
        as_of: day_one(),
        warranty_days: 90,
        rate_per_hour: Some(60.0),
        minutes: &BTreeMap::new(),
        contradictory: &contradictory,
        unsafe_fix,
        cautions,
    })
}

/// The same without contradictions and unsafe acts.
pub(crate) fn built(jobs: &[Job]) -> Built {
    built_with(jobs, &[], &|_, _| false)
}

/// Returns a built card whose answer is to replace `U31`.
pub(crate) fn card_for_u31() -> Card {
    let jobs = [job("1", "U31", 1), job("2", "L12", 2)];
    let own = |c: &Card| c.answers[0].steps[0].part == "U31";
    built(&jobs)
        .cards
        .into_iter()
        .find(own)
        .expect("a card for U31")
}
