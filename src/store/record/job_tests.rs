//! What a job line may say, and what is said of one that may not.

use std::collections::BTreeSet;

use serde_json::json;

use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyOverride;
use crate::store::fault::Weight;
use crate::store::record::job::JobRecord;
use crate::store::record::job::JobRules;
use crate::store::record::job::NewerRecord;
use crate::store::record::job::read;
use crate::store::record::problem::Problem;

/// The example of the format's description, on one line, with fields that no program knows.
const EXAMPLE: &str = r#"{"v":1,"id":"b7-0412","job":"W-0412","shelf":"R3","closed_on":"2026-03-14","closed_by":"mk","with":"tl","board":"petrel-p4","rev":"C","unit":"5f2a90c1","follows":null,"complaint":["no-power"],"findings":[{"kind":"current","state":"standby","draw":"cycling","low_a":0.061,"high_a":0.118,"supply_v":12.0,"limit_a":1.0,"raw":"61-118mA up/down"},{"kind":"rail","where":"3V3_SB","probe":"x10","state":"standby","expect_v":3.3,"got_v":0.41,"verdict":"low"},{"kind":"resistance","where":"3V3_SB","got_ohm":210,"good_ohm":1400,"source_off":true},{"kind":"diode","where":"SDA","got_v":0.02,"good_v":0.45,"polarity":"red-to-ground"},{"kind":"signal","signal":"power-good","where":"PGOOD","verdict":"missing"},{"kind":"heat","where":"U31","got_c":81},{"kind":"visual","when":"before-cleaning","where":"U31","sign":"residue"},{"kind":"other","name":"torch test","value":"picture visible"},{"kind":"rail","where":"3V3_SB","got_v":3.31,"when":"after-action"}],"family":"standby","contributing":["interconnect"],"actions":[{"act":"reflow","part":"L12","role":"tried-no-effect"},{"act":"replace","part":"U31","maker":"n/a","role":"the-fix"}],"outcome":"unknown-so-far","bounce_cause":null,"confidence":"proved","proof":"3V3_SB back at 3.31 V","minutes_to_find":35,"minutes":70,"value":240,"parts_cost":6,"environment":["salt-water"],"entered_by":"mk","entered_on":"2026-03-14","source":"ticket","flags":[],"photos":[],"note":""}"#;

fn read_it(text: &str) -> (Option<JobRecord>, Vec<Problem>) {
    let families = ["standby", "interconnect"].map(|id| FamilyOverride {
        id: id.to_owned(),
        ..FamilyOverride::default()
    });
    let circuits = Circuits::with_shop(&families, true);
    let boards = BTreeSet::from(["petrel-p4".to_owned()]);
    read(
        text,
        JobRules {
            circuits: &circuits,
            boards: &boards,
        },
    )
}

#[test]
fn the_example_is_read_without_a_problem_and_comes_back_byte_for_byte() {
    let (record, problems) = read_it(EXAMPLE);
    assert_eq!(problems, []);
    let record = record.unwrap();
    assert_eq!(record.job.findings.len(), 9);
    assert_eq!(record.job.fix().key(), "replace U31");
    assert_eq!(record.extra("minutes"), Some(&json!(70)));
    assert_eq!(record.extra("job"), None);
    assert_eq!(record.to_line().unwrap(), EXAMPLE);
}

#[test]
fn a_change_is_written_and_unknown_fields_stay() {
    let mut record = read_it(EXAMPLE).0.unwrap();
    record.job.findings.remove(0);
    record.job.findings[0].got = Some(0.5);
    record.job.proof = None;
    record.job.actions.swap(0, 1);
    let line = record.to_line().unwrap();
    assert!(line.contains(r#""probe":"x10","state":"standby","expect_v":3.3,"got_v":0.5,"#));
    assert!(line.contains(r#"[{"act":"replace","part":"U31","maker":"n/a","role":"the-fix"},"#));
    assert!(line.contains(r#""shelf":"R3""#) && !line.contains("back at"));
    assert_eq!(read_it(&line).0.unwrap().job, record.job);
}

#[test]
fn a_newer_line_is_read_and_not_rewritten() {
    let (record, problems) = read_it(&EXAMPLE.replacen("\"v\":1", "\"v\":3", 1));
    let record = record.unwrap();
    assert_eq!(problems[0].field, "v");
    assert_eq!(problems[0].weight, Weight::Warning);
    assert_eq!(record.to_line(), Err(NewerRecord { v: 3 }));
}

#[test]
fn the_id_is_the_number_where_the_line_has_none() {
    let text = EXAMPLE.replacen("\"id\":\"b7-0412\",", "", 1);
    let record = read_it(&text).0.unwrap();
    assert_eq!(record.job.id, "W-0412");
    assert_eq!(record.to_line().unwrap(), text);
}

#[track_caller]
fn check(from: &str, to: &str, field: &str, weight: Weight) {
    let text = EXAMPLE.replacen(from, to, 1);
    assert_ne!(text, EXAMPLE, "{from}");
    let (record, problems) = read_it(&text);
    let found: Vec<(&str, Weight)> = problems
        .iter()
        .map(|p| (p.field.as_str(), p.weight))
        .collect();
    assert_eq!(found, [(field, weight)], "{to}: {problems:?}");
    assert_eq!(record.is_some(), weight == Weight::Warning);
    assert!(!problems[0].why.is_empty() && !problems[0].todo.is_empty());
}

#[test]
fn each_mistake_that_costs_the_job_is_named_with_its_field() {
    let fix = r#""role":"the-fix"}],"outcome":"unknown-so-far""#;
    for (from, to, field) in [
        (r#""job":"W-0412","#, "", "job"),
        (r#""job":"W-0412""#, r#""job":412"#, "job"),
        (r#""closed_on":"2026-03-14","#, "", "closed_on"),
        ("2026-03-14", "2026-02-30", "closed_on"),
        ("2026-03-14", "14/3/26", "closed_on"),
        ("2026-03-14", "2026-3-14", "closed_on"),
        (r#""board":"petrel-p4","#, "", "board"),
        (r#""complaint":["no-power"],"#, "", "complaint"),
        (r#"["no-power"]"#, "[]", "complaint"),
        (r#"["no-power"]"#, r#""no-power""#, "complaint"),
        (r#"["no-power"]"#, r#"["dead"]"#, "complaint[0]"),
        (r#""got_v":0.41"#, r#""got_v":"0.41""#, "findings[1].got_v"),
        (
            r#""got_ohm":210"#,
            r#""got_ohm":-210"#,
            "findings[2].got_ohm",
        ),
        (
            r#""verdict":"missing""#,
            r#""verdict":"dead""#,
            "findings[4].verdict",
        ),
        (
            r#"{"kind":"heat","where":"U31","got_c":81}"#,
            "81",
            "findings[5]",
        ),
        (r#""family":"standby","#, "", "family"),
        (r#""family":"standby""#, r#""family":"warp""#, "family"),
        (r#""family":"standby""#, r#""family":"unlocated""#, "family"),
        (r#"["interconnect"]"#, r#"["warp"]"#, "contributing[0]"),
        (r#""act":"reflow""#, r#""act":"heat""#, "actions[0].act"),
        (
            r#""role":"tried-no-effect""#,
            r#""role":"tried""#,
            "actions[0].role",
        ),
        (fix, r#""role":"also-done"}],"outcome":"held""#, "actions"),
        (
            fix,
            r#""role":"also-done"}],"outcome":"no-fix""#,
            "no_fix_reason",
        ),
        (
            fix,
            r#""role":"also-done"}],"outcome":"no-fix","no_fix_reason":"tired""#,
            "no_fix_reason",
        ),
        (
            fix,
            r#""role":"the-fix"}],"outcome":"no-fix","no_fix_reason":"value-exceeded""#,
            "actions",
        ),
        (r#""outcome":"unknown-so-far","#, "", "outcome"),
        ("unknown-so-far", "fixed", "outcome"),
        (
            r#""confidence":"proved""#,
            r#""confidence":"sure""#,
            "confidence",
        ),
        (r#""job":"W-0412""#, r#""job":"W-0412","job":"W-0413""#, ""),
        (r#""note":""}"#, r#""note":"""#, ""),
    ] {
        check(from, to, field, Weight::Damage);
    }
}

#[test]
fn what_only_needs_a_look_costs_nothing() {
    for (from, to, field) in [
        (r#""board":"petrel-p4""#, r#""board":"osprey""#, "board"),
        (r#"["salt-water"]"#, r#"["beer"]"#, "environment[0]"),
        (r#""minutes":70"#, r#""minutes":"70""#, "minutes"),
        (
            r#""bounce_cause":null"#,
            r#""bounce_cause":"part""#,
            "bounce_cause",
        ),
        (r#""part":"U31""#, r#""part":"""#, "actions[1].part"),
        (
            r#""outcome":"unknown-so-far""#,
            r#""outcome":"held","no_fix_reason":"value-exceeded""#,
            "no_fix_reason",
        ),
    ] {
        check(from, to, field, Weight::Warning);
    }
}

#[test]
fn a_job_without_a_fix_needs_no_family() {
    let text = r#"{"job":"W-1","closed_on":"2026-03-14","board":"petrel-p4","complaint":["unknown"],"findings":[{"kind":"visual","sign":"burnt"}],"outcome":"no-fix","no_fix_reason":"laminate-destroyed"}"#;
    let (record, problems) = read_it(text);
    assert_eq!(problems, []);
    assert!(record.unwrap().job.fix().is_empty());
}
