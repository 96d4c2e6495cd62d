//! A job's findings and actions as a person would jot them into one cell of a sheet.
//!
//! Unlike [`crate::domain::wording`] nothing is rounded and no word is changed: what is written here is
//! meant to be read back ([`crate::domain::bench_read`]). Findings stand apart by `; `, what belongs to one by `, `. The exact record is
//! the job line itself.

use crate::domain::job::Action;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Qualifier;
use crate::domain::job::Role;
use crate::domain::job::When;

/// Returns all findings of a job: `3V3_SB 0.41 V, should be 3.3 V, low; residue at U31`.
pub fn findings(job: &Job) -> String {
    let notes: Vec<String> = job.findings.iter().map(finding).collect();
    notes.join("; ")
}

/// Returns the actions with one of `roles`: `replace U31; clean J2`.
pub fn actions(job: &Job, roles: &[Role]) -> String {
    action_words(job.actions.iter().filter(|a| roles.contains(&a.role)))
}

/// Returns actions, each with what it was for.
pub fn action_words<'a>(actions: impl Iterator<Item = &'a Action>) -> String {
    let notes: Vec<String> = actions
        .map(|a| {
            let effect = match a.role {
                Role::TheFix => "",
                Role::AlsoDone => "also ",
                Role::TriedNoEffect => "no effect: ",
                Role::MadeWorse => "made it worse: ",
            };
            format!("{effect}{} {}", a.act, a.part)
                .trim_end()
                .to_owned()
        })
        .collect();
    notes.join("; ")
}

/// Returns one finding.
pub fn finding(finding: &Finding) -> String {
    let unit = unit(finding);
    let place = finding.place.trim();
    let code = finding.code.as_deref().unwrap_or_default();
    let mut parts = vec![match finding.kind {
        FindingKind::Visual if place.is_empty() => code.to_owned(),
        FindingKind::Visual => format!("{code} at {place}"),
        FindingKind::Other => format!("{place}: {code}"),
        FindingKind::Current => words(&["draw", place, &value(finding, unit)]),
        FindingKind::Resistance => words(&[place, &value(finding, unit), "to ground"]),
        FindingKind::Diode => words(&["diode", place, &value(finding, unit)]),
        FindingKind::Heat => words(&["heat", place, &value(finding, unit)]),
        FindingKind::Rail | FindingKind::Signal => words(&[place, &value(finding, unit)]),
    }];
    if let Some(good) = finding.good {
        parts.push(format!("should be {good} {unit}"));
    }
    if !matches!(finding.kind, FindingKind::Visual | FindingKind::Other) {
        parts.push(code.to_owned());
    }
    parts.extend(finding.period_s.map(|v| format!("every {v} s")));
    parts.extend(finding.supply_v.map(|v| format!("supply {v} V")));
    parts.extend(finding.limit_a.map(|v| format!("limit {v} A")));
    parts.extend(finding.collapsed_v.map(|v| format!("down to {v} V")));
    parts.extend(finding.state.clone());
    parts.extend(finding.polarity.clone());
    if let Some(off) = finding.source_off {
        parts.push(if off { "source off" } else { "source on" }.to_owned());
    }
    parts.extend(finding.extent.as_ref().map(|e| format!("extent {e}")));
    if finding.when != When::BeforeAction {
        parts.push(finding.when.word().replace('-', " "));
    }
    parts.retain(|part| !part.is_empty());
    parts.join(", ")
}

fn unit(finding: &Finding) -> &'static str {
    match finding.kind {
        FindingKind::Current => "A",
        FindingKind::Resistance => "ohm",
        FindingKind::Signal if finding.in_hertz => "Hz",
        FindingKind::Rail | FindingKind::Diode | FindingKind::Signal => "V",
        FindingKind::Heat => "°C",
        FindingKind::Visual | FindingKind::Other => "",
    }
}

/// Returns the value with its qualifier: `0.41 V`, `<1 ohm`, `0.061-0.118 A`, `OL`.
fn value(finding: &Finding, unit: &str) -> String {
    let qualifier = match finding.qualifier {
        Some(Qualifier::OverRange) => return "OL".to_owned(),
        Some(Qualifier::Range) | None => "",
        Some(other) => other.word(),
    };
    match (finding.got, finding.low, finding.high) {
        (Some(got), _, _) => format!("{qualifier}{got} {unit}"),
        (None, Some(low), Some(high)) => format!("{low}-{high} {unit}"),
        (None, Some(one), None) | (None, None, Some(one)) => format!("{qualifier}{one} {unit}"),
        (None, None, None) => String::new(),
    }
}

fn words(words: &[&str]) -> String {
    let said: Vec<&str> = words.iter().copied().filter(|w| !w.is_empty()).collect();
    said.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::Outcome;

    #[test]
    fn findings_are_written_with_all_their_digits() {
        let of = |kind, place: &str| Finding::new(kind, place);
        let job = Job {
            findings: vec![
                Finding {
                    code: Some("cycling".to_owned()),
                    state: Some("standby".to_owned()),
                    low: Some(0.061),
                    high: Some(0.118),
                    supply_v: Some(12.0),
                    limit_a: Some(1.0),
                    ..of(FindingKind::Current, "")
                },
                Finding {
                    got: Some(0.4125),
                    good: Some(3.3),
                    code: Some("low".to_owned()),
                    ..of(FindingKind::Rail, "3V3_SB")
                },
                Finding {
                    got: Some(1.0),
                    qualifier: Some(Qualifier::Below),
                    source_off: Some(true),
                    ..of(FindingKind::Resistance, "VSYS")
                },
                Finding {
                    qualifier: Some(Qualifier::OverRange),
                    ..of(FindingKind::Diode, "SDA")
                },
                Finding {
                    code: Some("residue".to_owned()),
                    when: When::BeforeCleaning,
                    ..of(FindingKind::Visual, "U31")
                },
                Finding {
                    code: Some("picture visible".to_owned()),
                    ..of(FindingKind::Other, "torch test")
                },
            ],
            ..Job::empty("W-1", "x", Outcome::Held)
        };
        assert_eq!(
            findings(&job),
            "draw 0.061-0.118 A, cycling, supply 12 V, limit 1 A, standby; \
             3V3_SB 0.4125 V, should be 3.3 V, low; VSYS <1 ohm to ground, source off; diode SDA OL; \
             residue at U31, before cleaning; torch test: picture visible"
        );
    }

    #[test]
    fn actions_say_what_they_were_for() {
        let action = |act: &str, part: &str, role| Action {
            act: act.to_owned(),
            part: part.to_owned(),
            role,
        };
        let job = Job {
            actions: vec![
                action("reflow", "L12", Role::TriedNoEffect),
                action("replace", "U31", Role::TheFix),
                action("clean", "", Role::AlsoDone),
            ],
            ..Job::empty("W-1", "x", Outcome::Held)
        };
        let done = [Role::TheFix, Role::AlsoDone];
        assert_eq!(actions(&job, &done), "replace U31; also clean");
        assert_eq!(
            actions(&job, &[Role::TriedNoEffect, Role::MadeWorse]),
            "no effect: reflow L12"
        );
    }
}
