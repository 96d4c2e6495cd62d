//! Laws of the record formats: what is written reads back the same.

use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;
use proptest::collection::vec;
use proptest::option::of;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyOverride;
use crate::domain::edit::Divide;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::job::ACTS;
use crate::domain::job::Action;
use crate::domain::job::BounceCause;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::Confidence;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Flag;
use crate::domain::job::Job;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::Outcome;
use crate::domain::job::Qualifier;
use crate::domain::job::Role;
use crate::domain::job::STATES;
use crate::domain::job::When;
use crate::domain::memory::BOUNDS;
use crate::domain::review::Answered;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::review::Verdict;
use crate::store::fault::Weight;
use crate::store::record::edit;
use crate::store::record::finding::EXTENTS;
use crate::store::record::finding::POLARITIES;
use crate::store::record::job;
use crate::store::record::job::JobRecord;
use crate::store::record::job::JobRules;
use crate::store::record::problem::Problem;
use crate::store::record::review;

const FAMILIES: [&str; 2] = ["standby", "buck"];

/// Changes bytes at one place, as by hand or by chance: one is another, put in or left out, or a piece of
/// `n` is left out or taken twice.
pub(super) fn mangle(bytes: &mut Vec<u8>, (at, how, n): (usize, u8, usize), new: u8) {
    let end = (at + n).min(bytes.len());
    match how {
        0 => bytes[at] = new,
        1 => bytes.insert(at, new),
        2 => {
            bytes.remove(at);
        }
        3 => {
            bytes.drain(at..end);
        }
        _ => {
            let piece = bytes[at..end].to_vec();
            bytes.splice(at..at, piece);
        }
    }
}

fn text() -> impl Strategy<Value = String> {
    "\\PC{1,8}|[a-zA-Z0-9 \\t\\n\"\\\\/µΩ]{0,7}x"
}

fn day() -> impl Strategy<Value = NaiveDate> {
    (0..20_000_i32).prop_map(|n| NaiveDate::from_epoch_days(n).expect("in range"))
}

fn word(all: &'static [&'static str]) -> impl Strategy<Value = String> {
    select(all).prop_map(str::to_owned)
}

prop_compose! {
    pub(super) fn finding()(
        (kind, place, when) in (select(&FindingKind::ALL[..]), text(), select(&When::ALL[..])),
        (state, code, qualifier) in (of(word(&STATES)), any::<prop::sample::Index>(), of(select(&Qualifier::ALL[..]))),
        numbers in vec(of(0.0..1e9_f64), 8),
        (polarity, source_off, extent) in (of(word(&POLARITIES)), of(any::<bool>()), of(word(&EXTENTS))),
        (raw, in_hertz, value) in (of(text()), any::<bool>(), text()),
    ) -> Finding {
        let mut finding = Finding::new(kind, &place);
        finding.when = when;
        finding.state = state;
        finding.qualifier = qualifier;
        finding.raw = raw;
        let codes = kind.codes();
        finding.code = match kind {
            FindingKind::Heat => None,
            FindingKind::Other => Some(value),
            _ => Some(codes[code.index(codes.len())].to_owned()),
        };
        if !matches!(kind, FindingKind::Visual | FindingKind::Other) {
            finding.got = numbers[0];
            finding.good = numbers[1];
            finding.low = numbers[2];
            finding.high = numbers[3].map(|high| high + finding.low.unwrap_or(0.0));
        }
        match kind {
            FindingKind::Current => {
                finding.supply_v = numbers[4];
                finding.limit_a = numbers[5];
                finding.period_s = numbers[6];
                finding.collapsed_v = numbers[7];
            }
            FindingKind::Resistance => {
                finding.polarity = polarity;
                finding.source_off = source_off;
            }
            FindingKind::Diode => finding.polarity = polarity,
            FindingKind::Visual => finding.extent = extent,
            FindingKind::Signal => finding.in_hertz = in_hertz && finding.got.is_some(),
            _ => {}
        }
        finding
    }
}

fn action(role: impl Strategy<Value = Role>) -> impl Strategy<Value = Action> {
    (word(&ACTS), text(), role).prop_map(|(act, part, role)| Action { act, part, role })
}

fn flag() -> impl Strategy<Value = Flag> {
    (text(), text(), text()).prop_map(|(field, why, raw)| Flag { field, why, raw })
}

prop_compose! {
    pub(super) fn job()(
        (id, number, closed_on, board) in (text(), text(), day(), text()),
        [closed_by, rev, unit, follows] in [of(text()), of(text()), of(text()), of(text())],
        [corrects, proof, source] in [of(text()), of(text()), of(text())],
        complaint in vec(word(&COMPLAINTS), 1..3),
        findings in vec(finding(), 1..5),
        (family, contributing) in (word(&FAMILIES), vec(word(&FAMILIES), 0..2)),
        tried in vec(action(select(&[Role::AlsoDone, Role::TriedNoEffect, Role::MadeWorse][..])), 0..3),
        fix in action(Just(Role::TheFix)),
        reason in word(&NO_FIX_REASONS),
        (outcome, cause) in (select(&Outcome::ALL[..]), of(select(&BounceCause::ALL[..]))),
        (confidence, environment) in (of(select(&Confidence::ALL[..])), vec(word(&job::ENVIRONMENTS), 0..2)),
        flags in vec(flag(), 0..2),
    ) -> Job {
        let no_fix = outcome == Outcome::NoFix;
        let mut actions = tried;
        if !no_fix {
            actions.push(fix);
        }
        Job {
            id, job: number, closed_on, closed_by, board, rev, unit, follows, corrects, withdrawn: false, complaint,
            findings, family: (!no_fix).then_some(family), contributing, actions,
            no_fix_reason: no_fix.then_some(reason), outcome, bounce_cause: cause, confidence,
            proof, environment, source, flags, effort: job_effort(),
        }
    }
}

/// Time and money are read only: a line that is written keeps what it had.
fn job_effort() -> crate::domain::job::Effort {
    crate::domain::job::Effort::default()
}

fn read_job(text: &str) -> (Option<JobRecord>, Vec<Problem>) {
    let families = FAMILIES.map(|id| FamilyOverride {
        id: id.to_owned(),
        ..FamilyOverride::default()
    });
    let circuits = Circuits::with_shop(&families, true);
    let boards = BTreeSet::new();
    let rules = JobRules {
        circuits: &circuits,
        boards: &boards,
    };
    job::read(text, rules)
}

/// Puts a field that no program knows into every object.
fn salted(value: &Value, n: &mut u64) -> Value {
    match value {
        Value::Array(list) => list.iter().map(|item| salted(item, n)).collect(),
        Value::Object(map) => {
            let mut out = Map::new();
            for (key, value) in map {
                *n += 1;
                out.insert(format!("x{n}"), json!({"deep": [*n, null, "µ"]}));
                out.insert(key.clone(), salted(value, n));
            }
            Value::Object(out)
        }
        other => other.clone(),
    }
}

fn event() -> impl Strategy<Value = Event> {
    prop_oneof![
        answered().prop_map(|a| Event::Answer(Box::new(a))),
        text().prop_map(|of| Event::Undo { of }),
        (text(), select(&TagReason::ALL[..]), text()).prop_map(|(card, reason, note)| Event::Tag {
            card,
            reason,
            note
        }),
        (text(), text()).prop_map(|(card, note)| Event::Untag { card, note }),
        (text(), text()).prop_map(|(sitting, to)| Event::Move { sitting, to }),
        prop::array::uniform21(0.0..=1.0_f64).prop_map(|at| Event::Weights {
            weights: Box::new(std::array::from_fn(|i| {
                let (low, high) = BOUNDS[i];
                (low + (high - low) * at[i]).min(high)
            }))
        }),
    ]
}

prop_compose! {
    fn answered()(
        [card, asked, accepted, sitting] in [text(), text(), text(), text()],
        (mode, grade, proposed) in (select(&Mode::ALL[..]), select(&Grade::ALL[..]), select(&Grade::ALL[..])),
        [circuit, answer, reveal] in any::<[u64; 3]>(),
        (said, typed, sure) in (of((text(), text())), "\\PC{0,9}", select(&Sure::ALL[..])),
        [aloud, overruled, fix, unsafe_answer] in any::<[bool; 4]>(),
        (right, next_days, options) in (of(any::<bool>()), any::<u32>(), 0..6_usize),
    ) -> Answered {
        Answered {
            card, asked, accepted, sitting, mode, grade, proposed,
            ms: Millis { circuit, answer, reveal },
            circuit: said, typed, aloud, sure, overruled,
            verdict: Verdict { circuit: right, fix: (!aloud).then_some(fix), unsafe_answer },
            next_days, options,
        }
    }
}

fn moment() -> impl Strategy<Value = DateTime<Utc>> {
    (0..4_102_444_800_000_i64)
        .prop_map(|ms| DateTime::from_timestamp_millis(ms).expect("before 2100"))
}

fn an_edit() -> impl Strategy<Value = Edit> {
    prop_oneof![
        (text(), text()).prop_map(|(asked, accepted)| Edit::Sign { asked, accepted }),
        text().prop_map(|stem| Edit::Stem { stem }),
        text().prop_map(|note| Edit::Evidence { note }),
        (vec(text(), 0..3), text()).prop_map(|(also, accepted)| Edit::Wording { also, accepted }),
        text().prop_map(|why| Edit::Why { why }),
        vec(text(), 0..3).prop_map(|cautions| Edit::Cautions { cautions }),
        text().prop_map(|into| Edit::Merge { into }),
        (
            proptest::option::of(proptest::sample::select(&Divide::ALL[..])),
            vec(text(), 0..3)
        )
            .prop_map(|(by, into)| Edit::Split { by, into }),
        (select(&TagReason::ALL[..]), text()).prop_map(|(reason, note)| Edit::Tag { reason, note }),
        text().prop_map(|note| Edit::Untag { note }),
        text().prop_map(|note| Edit::Retire { note }),
        (text(), text(), proptest::option::of(text())).prop_map(|(was, accepted, from)| {
            Edit::Corrected {
                was,
                accepted,
                from,
            }
        }),
        vec(text(), 0..3).prop_map(|of| Edit::Undo { of }),
        text().prop_map(|to| Edit::Alias { to }),
    ]
}

fn says_something(text: &str) -> bool {
    !text.trim().is_empty()
}

fn costs(problems: &[Problem]) -> Vec<&Problem> {
    let costly = problems.iter().filter(|p| p.weight == Weight::Damage);
    costly.collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_job_reads_back_as_it_was(job in job()) {
        // A mark of nothing but blanks is no mark.
        prop_assume!(job.unit.as_deref().is_none_or(|unit| !unit.trim().is_empty()));
        prop_assume!(says_something(&job.job) && says_something(&job.board));
        prop_assume!(job.findings.iter().all(|f| says_something(&f.place)));
        prop_assume!(job.findings.iter().all(|f| f.code.as_deref().is_none_or(says_something)));
        prop_assume!(job.flags.iter().all(|f| says_something(&f.why)));
        let line = JobRecord::new(job.clone()).to_line().unwrap();
        prop_assert!(!line.contains('\n'));
        let (record, problems) = read_job(&line);
        prop_assert!(costs(&problems).is_empty(), "{:?}", problems);
        let record = record.unwrap();
        prop_assert_eq!(&record.job, &job);
        prop_assert_eq!(record.to_line().unwrap(), line.clone());
        // Unknown fields, wherever they stand, survive in their order.
        let salted = salted(&serde_json::from_str(&line).unwrap(), &mut 0).to_string();
        let (record, problems) = read_job(&salted);
        prop_assert!(costs(&problems).is_empty(), "{:?}", problems);
        let record = record.unwrap();
        prop_assert_eq!(&record.job, &job);
        prop_assert_eq!(record.to_line().unwrap(), salted);
    }

    #[test]
    fn a_review_reads_back_as_it_was(event in event(), at in moment(), day in day(), seq in 1..u64::MAX) {
        let line = review::unsealed("mk-b7-1", seq, at, day, &event);
        let entry = review::read(&line, "b7").unwrap();
        prop_assert_eq!(entry.event, event);
        prop_assert_eq!((entry.at, entry.day, entry.seq), (at, day, seq));
    }

    #[test]
    fn an_edit_reads_back_as_it_was(edit in an_edit(), at in moment(), by in text(), card in text(), after in proptest::option::of(vec(text(), 0..3))) {
        let entry = EditEntry {
            id: "edit-b7-4".to_owned(),
            bench: "b7".to_owned(),
            seq: 4,
            at,
            by,
            card,
            after,
            edit,
        };
        let (read, problems) = edit::read(&edit::unsealed(&entry, &entry.id, 4), "b7");
        // What says nothing but blanks is refused.
        if let Some(problem) = problems.first() {
            prop_assert_eq!(&problem.why, "empty");
        } else {
            prop_assert_eq!(read, Some(entry));
        }
    }

    #[test]
    fn no_text_stops_the_reader(text in "\\PC{0,40}|[{}\\[\\]\",:a-z0-9]{0,40}") {
        let (record, problems) = read_job(&text);
        prop_assert_eq!(record.is_none(), !costs(&problems).is_empty());
    }
}
