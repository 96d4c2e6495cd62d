//! `gaps` and the longer measurement, on the practice shop, through the real binary.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::common::Bench;
use crate::common::deck;
use crate::common::text;

/// Plays a sitting; the card's place and family say whether it is answered rightly. Returns what was
/// announced before the first question, and how many cards were asked as spot checks.
fn sit(bench: &Bench, more: &[&str], right: impl Fn(usize, &str) -> bool) -> (Value, usize) {
    let cards = deck(bench);
    let mut drill = bench.drill(more);
    let (mut measure, mut n, mut checks) = (Value::Null, 0, 0);
    loop {
        let line = drill.hear();
        if !line["done"].is_null() {
            return (measure, checks);
        }
        if !line["measure"].is_null() {
            measure = line["measure"].clone();
            continue;
        }
        let id = line["card"].as_str().expect("an id");
        let card = crate::common::find(&cards, id);
        let family = card["family"].as_str().expect("a family");
        checks += usize::from(line["mode"] == "spot-check");
        drill.card(&line, &cards, right(n, family));
        n += 1;
    }
}

/// Returns a bench where `mk` drilled for some days and was measured on two, weak in what was typed.
fn measured() -> Bench {
    measured_by("40")
}

/// The same, by so many spot checks on each of the two days.
fn measured_by(spot_checks: &str) -> Bench {
    let bench = Bench::practice();
    for day in 21..=26 {
        let at = format!("2026-11-{day}T08:00:00Z");
        sit(&bench, &["--as-of", &at, "--minutes", "30"], |n, _| {
            n % 4 != 1
        });
    }
    for day in 27..=28 {
        let at = format!("2026-11-{day}T08:00:00Z");
        let more = [
            "--as-of",
            &at,
            "--spot-check",
            spot_checks,
            "--minutes",
            "60",
        ];
        sit(&bench, &more, |n, family| family != "buck" && n % 3 != 0);
    }
    bench
}

const AFTER: &str = "2026-11-29T08:00:00Z";

fn lines(bench: &Bench, args: &[&str]) -> Vec<Value> {
    let run = bench.run(args);
    assert!(run.status.success(), "{}", text(&run.stderr));
    text(&run.stdout)
        .lines()
        .map(|line| serde_json::from_str(line).expect("a JSON line"))
        .collect()
}

#[test]
fn gaps_hold_what_the_journal_holds_of_spot_checks_and_nothing_else() {
    let bench = measured();
    let found = &lines(&bench, &["gaps", "--json", "--as-of", AFTER])[0];
    let journal = bench.journal("mk");
    let checks: Vec<&Value> = journal
        .iter()
        .filter(|l| l["mode"] == "spot-check")
        .collect();
    assert!(80 < checks.len() && checks.len() < journal.len());
    let n = |test: &dyn Fn(&Value) -> bool| checks.iter().filter(|l| test(l)).count();
    assert_eq!(found["all"]["circuit"]["asked"], checks.len());
    assert_eq!(found["all"]["fix"]["asked"], checks.len());
    let fix_right = n(&|l| l["verdict"]["fix"] == true);
    assert_eq!(found["all"]["fix"]["right"], fix_right);
    assert!(0 < fix_right && fix_right < checks.len());
    for family in found["families"].as_array().expect("families") {
        let of = |l: &Value| l["circuit"]["asked"] == family["id"];
        assert_eq!(family["circuit"]["asked"], n(&of), "{family}");
        let right = n(&|l| of(l) && l["verdict"]["fix"] == true);
        assert_eq!(family["fix"]["right"], right, "{family}");
        let told = family["fix"]["share"].is_number();
        assert_eq!(told, family["fix"]["state"] == "measured", "{family}");
    }
    // The first guesses of all cards met stand apart, those of cards that ask for a circuit by it.
    let mut met = BTreeSet::new();
    let first = |l: &&Value| met.insert(l["card"].to_string());
    let answers = journal.iter().filter(|l| l["ev"] == "answer");
    let guesses: Vec<&Value> = answers.filter(first).collect();
    let by_circuit = guesses.iter().filter(|l| !l["circuit"].is_null()).count();
    assert!(0 < by_circuit && by_circuit < guesses.len());
    assert_eq!(found["all"]["cold"]["circuit"]["asked"], by_circuit);
    assert_eq!(found["all"]["held"]["met"], guesses.len());
    let expected = &found["all"]["expected"];
    assert_eq!(expected["of"], checks.len());
    assert!(
        expected["brier"]
            .as_f64()
            .is_some_and(|b| 0.0 < b && b < 1.0)
    );
    // A window without an answer is unmeasured, never weak.
    let later = [
        "gaps",
        "--json",
        "--days",
        "3",
        "--as-of",
        "2027-03-01T08:00:00Z",
    ];
    let before = &lines(&bench, &later)[0]["all"];
    assert_eq!(before["state"], "unmeasured");
    assert_eq!(before["circuit"]["share"], Value::Null);
}

#[test]
fn a_measurement_says_beforehand_what_it_buys_and_keeps_to_it() {
    let bench = measured();
    let asked = |bench: &Bench, at: &str| {
        let args = ["gaps", "--json", "--family", "inlet", "--as-of", at];
        let found = &lines(bench, &args)[0]["families"][0]["circuit"];
        (
            found["right"].as_u64().expect("a number"),
            found["asked"].as_u64().expect("a number"),
        )
    };
    let before = asked(&bench, AFTER);
    let more = [
        "--as-of",
        AFTER,
        "--spot-check",
        "50",
        "--family",
        "inlet",
        "--minutes",
        "90",
    ];
    let (measure, checks) = sit(&bench, &more, |_, _| true);
    assert_eq!(measure["wanted"], 50);
    assert_eq!(measure["can_ask"], checks, "{measure}");
    assert_eq!(measure["asked"], before.1);
    assert_eq!(measure["right"], before.0);
    let width = |name: &str| measure[name].as_f64().expect("a number");
    assert!(width("width_expected") <= width("width_worst"));
    let after = asked(&bench, "2026-11-29T20:00:00Z");
    assert_eq!(after.1, before.1 + u64::try_from(checks).expect("a number"));
    let count = |n: u64| usize::try_from(n).expect("a number");
    let limits = benchlore::domain::interval::wilson(count(after.0), count(after.1));
    assert!(limits.is_some_and(|l| l.width() <= width("width_worst") + 1e-12));
    // Everything of that circuit was seen today: nothing is left to measure with.
    let (measure, checks) = sit(&bench, &more, |_, _| true);
    assert_eq!((checks, &measure["can_ask"]), (0, &Value::from(0)));
    assert_eq!(measure["width_expected"], Value::Null);
    let plain = [
        "drill",
        "--plain",
        "--person",
        "mk",
        "--spot-check",
        "9",
        "--family",
        "inlet",
    ];
    let mut plain = plain.to_vec();
    plain.extend(["--as-of", "2026-11-30T08:00:00Z"]);
    let said = text(&bench.run_with(&plain, "/stop\n").stdout);
    assert!(
        said.contains("spot checks on inlet: the interval will be about"),
        "{said}"
    );
}

#[test]
fn text_and_table_show_the_same_families_and_everyone_stands_side_by_side() {
    let bench = measured_by("10");
    let said = text(&bench.run(&["gaps", "--as-of", AFTER]).stdout);
    assert!(
        said.starts_with("Gaps: MK, last 90 days, spot checks only"),
        "{said}"
    );
    assert!(said.contains("not enough yet, asked"), "{said}");
    assert!(said.contains("Memory model: expected"), "{said}");
    let table = text(&bench.run(&["gaps", "--csv", "--as-of", AFTER]).stdout);
    let rows: Vec<&str> = table.lines().collect();
    assert!(rows[0].starts_with("person,family,state,circuit right (n),circuit asked (n),"));
    let found = &lines(&bench, &["gaps", "--json", "--as-of", AFTER])[0];
    let families = found["families"].as_array().expect("families");
    assert_eq!(rows.len(), families.len() + 2, "a header, families, all");
    for (row, family) in rows[1..].iter().zip(families) {
        let head = format!(
            "mk,{},{},{},{},",
            family["id"].as_str().expect("an id"),
            family["state"].as_str().expect("a state"),
            family["circuit"]["right"],
            family["circuit"]["asked"]
        );
        assert!(row.starts_with(&head), "{row} for {head}");
    }
    assert!(bench.run(&["people", "add", "TL"]).status.success());
    let said = text(&bench.run(&["gaps", "--everyone", "--as-of", AFTER]).stdout);
    assert!(said.contains("no ranking"), "{said}");
    assert!(said.contains("\n  TL    unmeasured\n"), "{said}");
}

#[test]
fn names_that_are_not_there_are_answered_with_those_that_are() {
    let bench = Bench::practice();
    for (args, named) in [
        (["gaps", "--person", "nobody"], "there is only mk"),
        (["gaps", "--family", "flux"], "inlet, isolated"),
    ] {
        let run = bench.run(&args);
        assert_eq!(run.status.code(), Some(2), "{args:?}");
        assert!(text(&run.stderr).contains(named), "{}", text(&run.stderr));
    }
    assert!(bench.run(&["people", "add", "TL"]).status.success());
    let run = bench.run(&["gaps"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(text(&run.stderr).contains("the shop knows mk, tl"));
}

#[test]
fn a_damaged_journal_is_named_and_the_rest_still_counts() {
    let bench = measured();
    let all = |bench: &Bench| {
        let run = bench.run(&["gaps", "--json", "--as-of", AFTER]);
        let found: Value = serde_json::from_str(&text(&run.stdout)).expect("JSON");
        let asked = found["all"]["circuit"]["asked"].as_u64().expect("a number");
        (asked, run.status.code(), text(&run.stderr))
    };
    let (whole, code, _) = all(&bench);
    assert_eq!(code, Some(0));
    let journal = bench.read("people/mk/b7.jsonl");
    let at = journal
        .find("\"mode\":\"spot-check\"")
        .expect("a spot check");
    let mut flipped = journal.into_bytes();
    flipped[at + 9] ^= 1;
    bench.put(
        "people/mk/b7.jsonl",
        &String::from_utf8(flipped).expect("text"),
    );
    let (rest, code, said) = all(&bench);
    assert_eq!((rest, code), (whole - 1, Some(3)), "{said}");
    assert!(said.contains("people/mk/b7.jsonl"), "{said}");
}
