use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::generate::sample;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::judge::compare::expected;
use crate::domain::judge::read::words::Synonyms;

fn draw(code: &str) -> Finding {
    let mut finding = Finding::new(FindingKind::Current, "");
    finding.code = Some(code.to_owned());
    finding
}

fn ohms(place: &str, got: f64) -> Finding {
    let mut finding = sample::resistance(place, got);
    finding.good = Some(510.0);
    finding
}

/// Four jobs in which `part` was replaced.
fn four(part: &str, findings: &[Finding]) -> Vec<Job> {
    several(4, part, findings)
}

/// So many jobs in which `part` was replaced.
fn several(n: u64, part: &str, findings: &[Finding]) -> Vec<Job> {
    let job = |at: u64| {
        let id = format!("{part}-{at}");
        let mut job = sample::job_with(&id, part, at, findings.to_vec());
        job.proof = Some("runs".to_owned());
        job
    };
    (1..=n).map(job).collect()
}

fn lost(n: u64, findings: &[Finding]) -> Vec<Job> {
    let job = |at: u64| {
        let mut job = sample::job_with(&format!("lost-{at}"), "U1", at, findings.to_vec());
        job.actions.clear();
        job.outcome = Outcome::NoFix;
        job.no_fix_reason = Some("processor-or-memory-dead".to_owned());
        job
    };
    (1..=n).map(job).collect()
}

fn card(jobs: &[Vec<Job>], part: &str) -> Option<Card> {
    let cards = sample::built(&jobs.concat()).cards.into_iter();
    let mut own = cards.filter(|c| c.kind == CardKind::Expect && c.stem.contains(part));
    own.next()
}

/// What a card asks for; `!` stands before what must be named.
fn asked(jobs: &[Vec<Job>], part: &str) -> Vec<String> {
    let card = card(jobs, part);
    let points = card.iter().flat_map(|c| &c.points);
    points
        .map(|p| format!("{}{}", if p.needed { "!" } else { "" }, p.say))
        .collect()
}

#[test]
fn a_short_that_nobody_else_read_goes_before_a_draw_that_others_show() {
    let short = four("C9", &[draw("cycling"), ohms("5V0", 0.3)]);
    let other = four("U31", &[draw("cycling"), sample::rail("3V3_SB", "low")]);
    let rest = ["L12", "Q3", "Y1"].map(|part| four(part, &[draw("stuck")]));
    let rest = rest.concat();
    let jobs = [short, other.clone(), rest.clone()];
    assert_eq!(
        asked(&jobs, "C9"),
        ["!5V0 to ground hard short", "draw cycling"]
    );
    let card = card(&jobs, "C9").expect("a card");
    assert!(
        card.why.starts_with(
            "5V0 to ground hard short: 4 of 4 with this fix, recorded with no other; draw cycling: 4 of \
             4 with this fix, 4 of 16 without"
        ),
        "{}",
        card.why
    );
    // Without the short the other fix shows all there is.
    let bare = four("C9", &[draw("cycling")]);
    assert!(asked(&[bare, other, rest], "C9").is_empty());
}

#[test]
fn good_ohms_are_needed_where_they_tell_a_dead_regulator_from_a_short() {
    let absent = || sample::rail("5V0", "absent");
    let mut dead = four("U31", &[absent(), ohms("5V0", 505.0)]);
    let short = four("C9", &[absent(), ohms("5V0", 0.4)]);
    let joint = ["L12", "Q3"].map(|part| four(part, &[sample::rail("5V0", "low")]));
    let joint = joint.concat();
    let jobs = [dead.clone(), short, joint.clone()];
    assert_eq!(
        asked(&jobs, "U31"),
        ["!5V0 absent", "!5V0 to ground as on a good board"]
    );
    assert_eq!(
        asked(&jobs, "C9"),
        ["!5V0 to ground hard short", "5V0 absent"],
        "the rail is the same in both"
    );
    // Where half of the others show the absent rail as well, the good ohms come first.
    assert_eq!(
        asked(&jobs[..2], "U31"),
        ["!5V0 to ground as on a good board", "!5V0 absent"]
    );
    // Counted are the jobs that recorded both.
    dead[0].findings.truncate(1);
    let share = card(&[dead.clone(), jobs[1].clone(), joint.clone()], "U31")
        .expect("a card")
        .share;
    assert_eq!((share.k, share.n), (3, 3));
    // Where no capacitor fails, the rail alone tells.
    assert_eq!(
        asked(&[dead, joint], "U31").first().map(String::as_str),
        Some("!5V0 absent")
    );
}

#[test]
fn a_sign_tells_by_where_it_was_seen() {
    let job = |part: &str, place: &str, level: &str| {
        let sign = sample::sign(place, "cracked-joint");
        four(part, &[sign, sample::rail("3V3_SB", level)])
    };
    let jobs = [
        job("U31", "U31 pin 3", "pulsing"),
        job("L12", "L12", "absent"),
    ];
    assert_eq!(asked(&jobs, "U31")[0], "!cracked joint at U31");
    // At one place it tells nothing.
    let jobs = [
        job("U31", "left edge", "pulsing"),
        job("L12", "left edge", "absent"),
    ];
    assert_eq!(asked(&jobs, "U31"), ["!3V3_SB pulsing"]);
}

#[test]
fn what_a_console_says_is_needed_where_only_it_tells() {
    let says = |text: &str| sample::test("console", text);
    let jobs = [
        four("U17", &[draw("stuck"), says("boot loader only")]),
        four("U2", &[draw("stuck"), says("memory test fails")]),
    ];
    assert_eq!(asked(&jobs, "U17"), ["!console boot loader only"]);
    // What it says on most boards is nothing to go by, and nor is what names the part.
    let jobs = [
        four("U17", &[draw("stuck"), says("boot loader only")]),
        four("U2", &[draw("stuck"), says("boot loader only")]),
        four("U31", &[draw("cycling"), says("boot loader only")]),
    ];
    assert!(asked(&jobs, "U17").is_empty());
    let found = sample::test("injection", "U17 warms first");
    let jobs = [
        four("U17", &[ohms("5V0", 0.3), found]),
        four("U2", &[ohms("5V0", 505.0)]),
    ];
    assert_eq!(asked(&jobs, "U17"), ["!5V0 to ground hard short"]);
}

#[test]
fn an_end_without_a_fix_is_a_look_alike_too() {
    let absent = [sample::rail("VCORE", "absent")];
    let fixes = [
        four("U20", &absent),
        four("L12", &[sample::rail("VCORE", "in-band")]),
    ];
    let with = |n: u64| {
        card(
            &[fixes[0].clone(), fixes[1].clone(), lost(n, &absent)],
            "U20",
        )
    };
    assert!(with(0).expect("a card").warn.is_empty());
    let two = with(2).expect("a card");
    assert_eq!(
        two.warn.first().map(String::as_str),
        Some(
            "look-alike: an end without a fix (processor or memory dead) shows VCORE absent as well"
        )
    );
    assert!(
        two.why
            .starts_with("VCORE absent: 4 of 4 with this fix, 2 of 6 without")
    );
    // More boards are dead than mended by it.
    assert_eq!(with(5), None);
}

#[test]
fn two_points_beside_stand_only_where_they_tell_as_much() {
    let shared = [draw("cycling"), sample::rail("VSYS", "low")];
    let short = [shared.to_vec(), vec![ohms("5V0", 0.3)]].concat();
    let other = [draw("stuck"), sample::rail("VSYS", "in-band")];
    let apart = ["L12", "Q3", "Y1"].map(|part| four(part, &other)).concat();
    let jobs = [four("C9", &short), four("U31", &shared), apart.clone()];
    let beside = asked(&jobs, "C9");
    assert_eq!(beside[0], "!5V0 to ground hard short");
    assert_eq!(beside.len(), 2, "the judge would take both: {beside:?}");
    let jobs = [four("C9", &short), apart];
    assert_eq!(asked(&jobs, "C9").len(), 3);
}

#[test]
fn a_fix_that_came_back_is_as_doubtful_the_other_way_round() {
    let own = four("U31", &[sample::rail("3V3_SB", "low")]);
    let other = four("L12", &[sample::rail("3V3_SB", "in-band")]);
    let mut back = own[0].clone();
    (back.id, back.job) = ("back".to_owned(), "back".to_owned());
    back.outcome = Outcome::BouncedSameFault;
    back.bounce_cause = Some(BounceCause::Diagnosis);
    let jobs = [own.clone(), other.clone(), vec![back]];
    let card = card(&jobs, "U31").expect("a card");
    assert_eq!(card.warn, ["bounced: 1 of 5 with this fix came back"]);
    assert!(mended(&[own, other]).warn.is_empty());
}

fn mended(jobs: &[Vec<Job>]) -> Card {
    card(jobs, "U31").expect("a card")
}

#[test]
fn a_sign_that_another_fix_showed_too_is_named_with_the_reading_that_none_has() {
    let residue = || sample::sign("left edge", "residue");
    let own = several(6, "U31", &[residue(), sample::rail("VCHG", "absent")]);
    let other = [
        sample::sign("L12", "cracked-joint"),
        sample::rail("VCHG", "in-band"),
    ];
    let other = ["L12", "Y1"].map(|part| four(part, &other)).concat();
    let odd = several(1, "Q3", &[residue(), draw("stuck")]);
    assert_eq!(
        asked(&[own.clone(), other.clone(), odd], "U31"),
        ["!VCHG absent", "!residue at left edge"]
    );
    assert_eq!(
        asked(&[own, other], "U31"),
        ["!residue at left edge", "VCHG absent"],
        "nobody else showed it"
    );
}

#[test]
fn a_level_that_others_have_too_is_named_behind_the_sign_that_is_seen_nowhere_else() {
    let low = || sample::rail("VGATE", "low");
    let mut own = several(6, "C9", &[low()]);
    for job in &mut own[..2] {
        job.findings.push(sample::sign("C9", "bulged"));
    }
    let whole = [
        sample::rail("VGATE", "in-band"),
        sample::sign("", "none-seen"),
    ];
    let rest = ["L12", "Y1"].map(|part| four(part, &whole)).concat();
    let rest = [rest, several(3, "U5", &whole)].concat();
    let odd = several(1, "Q3", &[low()]);
    let few = [own.clone(), rest[..3].to_vec(), odd];
    assert_eq!(asked(&few, "C9")[0], "!VGATE low", "few others looked");
    let jobs = [own.clone(), rest.clone(), few[2].clone()];
    assert_eq!(asked(&jobs, "C9"), ["!a part bulged at C9", "!VGATE low"]);
    assert_eq!(
        asked(&[own, rest], "C9"),
        ["!VGATE low", "a part bulged at C9"],
        "nobody else has it"
    );
}

#[test]
fn what_leaves_out_a_look_alike_that_the_needed_ones_leave_stands_beside_them() {
    let wake = |code: &str| {
        let mut finding = Finding::new(FindingKind::Signal, "WAKE");
        finding.code = Some(code.to_owned());
        finding
    };
    let absent = || sample::rail("5V0", "absent");
    let dead = four("U31", &[absent(), ohms("5V0", 505.0), wake("present")]);
    let short = four("C9", &[absent(), ohms("5V0", 0.4), wake("present")]);
    let low = ["Q3", "Y1"].map(|part| four(part, &[sample::rail("5V0", "low")]));
    let mut enable = four("L12", &[wake("stuck-low")]);
    enable[0].findings.push(absent());
    enable[0].findings.push(ohms("5V0", 505.0));
    let jobs = [dead, short, low.concat(), enable];
    let needed = ["!5V0 absent", "!5V0 to ground as on a good board"];
    let all = asked(&jobs, "U31");
    assert_eq!(all[..2], needed);
    assert_eq!(all[2..], ["WAKE present"]);
    let why = card(&jobs, "U31").expect("a card").why;
    let counted = "WAKE present: 4 of 4 with this fix, 4 of 8 without (0 of 4 with replace L12)";
    assert!(why.contains(counted), "{why}");
    // Nobody is left for it to tell from.
    assert_eq!(asked(&jobs[..3], "U31"), needed);
}

#[test]
fn what_tells_as_much_as_the_needed_finding_is_heard_for_it() {
    let diode = || {
        let mut finding = Finding::new(FindingKind::Diode, "AI1");
        finding.code = Some("short".to_owned());
        finding
    };
    let reads = |what: &str| sample::test("loop test", &format!("channel 1 reads {what}"));
    let own = several(6, "U31", &[ohms("AI1", 21.0), diode(), reads("low")]);
    let other = four("L12", &[ohms("AI1", 505.0), reads("full scale")]);
    let jobs = [own.clone(), other.clone()];
    let all = asked(&jobs, "U31");
    assert_eq!(all[0], "!AI1 to ground low");
    assert!(all.contains(&"loop test channel 1 reads low".to_owned()));
    assert!(
        all.contains(&"AI1 in diode mode short".to_owned()),
        "{all:?}"
    );
    let card = card(&jobs, "U31").expect("a card");
    let right = |typed: &str| {
        let board = sample::board();
        expected::judge_expected(typed, &card, Some(&board), &Synonyms::default()).right
    };
    assert!(right("loop test: channel 1 reads low"));
    assert!(right("AI1 low ohms to ground"));
    assert!(!right("loop test: channel 1 reads full scale"));
    // A test that others failed too is not enough by itself, and so is not heard for what is.
    let odd = several(1, "Q3", &[reads("low")]);
    let all = asked(&[own, other, odd], "U31");
    assert!(
        !all.iter().any(|said| said.contains("loop test")),
        "{all:?}"
    );
    // Words that nobody says in the same order are never asked for.
    let jobs = [
        four("U31", &[reads("low")]),
        four("L12", &[reads("full scale")]),
    ];
    assert!(asked(&jobs, "U31").is_empty());
}

#[test]
fn the_counts_are_those_of_the_jobs_on_the_card() {
    let own = several(5, "U31", &[sample::rail("3V3_SB", "low")]);
    let other = four("L12", &[sample::rail("3V3_SB", "in-band")]);
    let starts = |jobs: &[Vec<Job>], line: &str| {
        let card = card(jobs, "U31").expect("a card");
        assert!(card.why.starts_with(line), "{}", card.why);
        assert_eq!(card.jobs.len(), card.share.n);
    };
    starts(
        &[own.clone(), other.clone()],
        "3V3_SB low: 5 of 5 with this fix, 0 of 4 without",
    );
    // It came back and nobody knows why: no answer stands on it.
    let mut back = own;
    back[0].outcome = Outcome::BouncedSameFault;
    back[0].bounce_cause = None;
    starts(
        &[back, other],
        "3V3_SB low: 4 of 4 with this fix, 0 of 4 without",
    );
}

#[test]
fn a_part_that_the_newest_revision_lacks_is_marked_the_other_way_round_too() {
    let jobs = [
        four("U31", &[sample::rail("3V3_SB", "low")]),
        four("L12", &[sample::rail("3V3_SB", "in-band")]),
    ];
    let warn = |revs: &[&str]| {
        let mut board = sample::board();
        let part = board.parts.get_mut("U31").expect("a part");
        part.revs = revs.iter().map(|r| (*r).to_owned()).collect();
        let cards = sample::built_on(board, &jobs.concat()).cards.into_iter();
        let mut own = cards.filter(|c| c.kind == CardKind::Expect && c.stem.contains("U31"));
        own.next().expect("a card").warn
    };
    assert_eq!(warn(&["A", "B"]), ["stale: revision C has no U31"]);
    assert!(warn(&["A", "B", "C"]).is_empty());
}

#[test]
fn of_two_healthy_readings_the_rarer_one_is_needed() {
    let absent = || sample::rail("5V0", "absent");
    let idle = [absent(), ohms("5V0", 505.0), draw("normal-no-function")];
    let short = [absent(), ohms("5V0", 0.4), draw("limit")];
    let low = |part: &str| four(part, &[sample::rail("5V0", "low"), draw("stuck")]);
    let rest = ["Q3", "Y1", "U5"].map(low).concat();
    let good = four("U2", &[ohms("5V0", 505.0), draw("stuck")]);
    let jobs = [four("L12", &idle), four("C9", &short), rest, good];
    assert_eq!(
        asked(&jobs, "L12")[..2],
        ["!5V0 absent", "!draw normal, nothing usable"]
    );
    // Where the draw is the same on many a board it is the ohms.
    let busy = four("R91", &[draw("normal-no-function")]);
    let jobs = [&jobs[..], &[busy]].concat();
    assert_eq!(
        asked(&jobs, "L12")[..2],
        ["!5V0 absent", "!5V0 to ground as on a good board"]
    );
}

#[test]
fn a_fault_that_nobody_else_has_stands_beside_before_what_is_in_order() {
    let own = [
        sample::sign("U31", "cracked-part"),
        sample::rail("5V0", "low"),
        draw("normal"),
    ];
    let near = [sample::rail("5V0", "in-band"), draw("stuck")];
    let jobs = [four("U31", &own), four("L12", &near)];
    assert_eq!(
        asked(&jobs, "U31")[..2],
        ["!cracked part at U31", "5V0 low"]
    );
    // Without it there is room for the draw.
    let own = [own[0].clone(), own[2].clone()];
    let jobs = [four("U31", &own), jobs[1].clone()];
    assert_eq!(asked(&jobs, "U31"), ["!cracked part at U31", "draw normal"]);
}

#[test]
fn a_fault_that_only_the_like_read_is_needed_with_one_that_was_read_otherwise() {
    let own = [ohms("5V0", 0.3), sample::rail("VIN_F", "absent")];
    let blown = [draw("stuck"), sample::rail("VIN_F", "in-band")];
    let rest = ["L12", "Y1"].map(|part| four(part, &blown)).concat();
    let odd = |n: u64| several(n, "Q3", &[ohms("5V0", 0.3)]);
    let jobs = [six(&own), rest.clone(), odd(1)];
    assert_eq!(
        asked(&jobs, "U31")[..2],
        ["!VIN_F absent", "!5V0 to ground hard short"]
    );
    // Nobody else has it: it is enough.
    assert_eq!(asked(&jobs[..2], "U31")[0], "!5V0 to ground hard short");
    assert_eq!(asked(&jobs[..2], "U31")[1], "VIN_F absent");
}

fn six(findings: &[Finding]) -> Vec<Job> {
    several(6, "U31", findings)
}

#[test]
fn a_third_finding_is_needed_where_two_leave_a_look_alike_and_few_others_show_it() {
    let absent = || sample::rail("VCORE", "absent");
    let own = [absent(), ohms("VCORE", 505.0), draw("stepped-stop")];
    let low = four(
        "C9",
        &[absent(), ohms("VCORE", 100.0), draw("stepped-stop")],
    );
    let enable = several(2, "R62", &[absent(), ohms("VCORE", 505.0), draw("stuck")]);
    let rest = |word: &str| {
        let parts = [
            "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "A9", "B1", "B2", "B3",
        ];
        parts
            .map(|part| four(part, &[sample::rail("VCORE", "in-band"), draw(word)]))
            .concat()
    };
    let jobs = [six(&own), low.clone(), enable.clone(), rest("stuck")];
    let all = asked(&jobs, "U31");
    assert_eq!(
        all.iter().filter(|s| s.starts_with('!')).count(),
        3,
        "{all:?}"
    );
    // Where many draw so it tells too little to be asked for.
    let jobs = [six(&own), low, enable, rest("stepped-stop")];
    let all = asked(&jobs, "U31");
    assert_eq!(
        all.iter().filter(|s| s.starts_with('!')).count(),
        2,
        "{all:?}"
    );
}

#[test]
fn a_near_look_alike_that_nobody_measured_for_what_is_needed_is_named_to_a_lead() {
    let own = [
        draw("zero"),
        sample::rail("VIN_F", "in-band"),
        sample::rail("VIN_P", "absent"),
    ];
    let fuse = |drawn: &str| several(7, "L12", &[draw(drawn), sample::rail("VIN_F", "absent")]);
    let rest =
        ["Y1", "Q3"].map(|part| four(part, &[draw("stuck"), sample::rail("VIN_P", "in-band")]));
    let warn = |fuse: Vec<Job>| {
        let mut warn = mended(&[six(&own), fuse, rest.concat()]).warn;
        warn.retain(|line| !line.starts_with("survivors"));
        warn
    };
    assert_eq!(
        warn(fuse("zero")),
        [
            "unread: no job with replace L12 was measured for VIN_P absent; VIN_F in band tells them apart \
          (0 of 7 there)"
        ]
    );
    assert!(warn(fuse("high")).is_empty(), "it shows none of the faults");
}

#[test]
fn a_fault_that_must_be_named_though_half_of_the_others_show_it_is_named_to_a_lead() {
    let absent = || sample::rail("VBAT_F", "absent");
    let own = [absent(), ohms("VBAT_F", 0.3)];
    let other = four("L12", &[absent(), ohms("VBAT_F", 505.0)]);
    let draws = four("Q3", &[draw("stuck")]);
    let shared = |card: &Card| card.warn.iter().any(|w| w.starts_with("shared: "));
    let one = card(&[other.clone(), six(&own), draws.clone()], "L12").expect("a card");
    let line = "shared: VBAT_F absent must be named, and 6 of 6 without this fix show it too";
    assert!(
        one.warn.iter().any(|w| w == line),
        "{:?} {:?}",
        one.warn,
        one.points
    );
    let rest = ["Y1", "U5"].map(|part| four(part, &[sample::rail("VBAT_F", "in-band")]));
    let all = [other, six(&own), draws, rest.concat()];
    assert!(!shared(&card(&all, "L12").expect("a card")));
}
