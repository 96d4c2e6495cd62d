use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::generate::sample;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;

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
    let job = |at: u64| {
        let id = format!("{part}-{at}");
        let mut job = sample::job_with(&id, part, at, findings.to_vec());
        job.proof = Some("runs".to_owned());
        job
    };
    (1..=4).map(job).collect()
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
    let joint = four("L12", &[sample::rail("5V0", "low")]);
    let jobs = [dead.clone(), short, joint.clone()];
    assert_eq!(
        asked(&jobs, "U31"),
        ["!5V0 absent", "!5V0 to ground as on a good board"]
    );
    assert_eq!(
        asked(&jobs, "C9"),
        ["!5V0 to ground hard short"],
        "the rail is the same in both"
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
