//! What [`crate::domain::bench_note`] writes, read back: findings and actions in one cell of an export.
//!
//! All of a cell is understood to the letter or nothing is: what is read is written again and has to be
//! the same. Words of people are read elsewhere.

use crate::domain::bench_note;
use crate::domain::job::ACTS;
use crate::domain::job::Action;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;
use crate::domain::job::Role;
use crate::domain::job::STATES;
use crate::domain::job::When;

const EXTENTS: [&str; 4] = ["point", "part", "area", "board"];

/// Returns the findings of a cell, each with its own words as `raw`.
pub fn findings(text: &str) -> Option<Vec<Finding>> {
    let pieces = text.split("; ").filter(|piece| !piece.is_empty());
    let findings: Vec<Finding> = pieces.map(finding).collect::<Option<_>>()?;
    let again: Vec<&str> = findings.iter().filter_map(|f| f.raw.as_deref()).collect();
    (again.join("; ") == text).then_some(findings)
}

/// Returns the actions of a cell.
pub fn actions(text: &str) -> Option<Vec<Action>> {
    let pieces = text.split("; ").filter(|piece| !piece.is_empty());
    pieces.map(action).collect()
}

fn action(text: &str) -> Option<Action> {
    const ROLES: [(&str, Role); 3] = [
        ("also ", Role::AlsoDone),
        ("no effect: ", Role::TriedNoEffect),
        ("made it worse: ", Role::MadeWorse),
    ];
    let said = ROLES
        .iter()
        .find_map(|(lead, role)| Some((text.strip_prefix(lead)?, *role)));
    let (text, role) = said.unwrap_or((text, Role::TheFix));
    let (act, part) = text.split_once(' ').unwrap_or((text, ""));
    ACTS.contains(&act).then(|| Action {
        act: act.to_owned(),
        part: part.to_owned(),
        role,
    })
}

fn finding(text: &str) -> Option<Finding> {
    let mut parts = text.split(", ");
    let mut finding = head(parts.next()?)?;
    for part in parts {
        detail(&mut finding, part)?;
    }
    if matches!(finding.kind, FindingKind::Rail) && finding.code.is_none() {
        // Without its word a rail reading looks like the level of a signal.
        return None;
    }
    if bench_note::finding(&finding) != text {
        return None;
    }
    finding.raw = Some(text.to_owned());
    Some(finding)
}

/// Reads what stands before the first comma: kind, place and value.
fn head(text: &str) -> Option<Finding> {
    if let Some((name, value)) = text.split_once(": ") {
        let mut finding = Finding::new(FindingKind::Other, name);
        finding.code = (!value.is_empty()).then(|| value.to_owned());
        return Some(finding);
    }
    let signs = FindingKind::Visual.codes();
    let (sign, place) = text.split_once(" at ").unwrap_or((text, ""));
    if signs.contains(&sign) {
        let mut finding = Finding::new(FindingKind::Visual, place);
        finding.code = Some(sign.to_owned());
        return Some(finding);
    }
    let leads = [
        ("draw", FindingKind::Current),
        ("diode", FindingKind::Diode),
        ("heat", FindingKind::Heat),
    ];
    let led = leads.iter().find_map(|(lead, kind)| {
        let rest = text.strip_prefix(lead)?;
        (rest.is_empty() || rest.starts_with(' ')).then_some((*kind, rest.trim_start()))
    });
    let (kind, rest) = match led {
        Some(led) => led,
        None => match text.strip_suffix("to ground") {
            Some(rest) => (FindingKind::Resistance, rest.trim_end()),
            None if text.ends_with(" Hz") => (FindingKind::Signal, text),
            None => (FindingKind::Rail, text),
        },
    };
    let mut finding = Finding::new(kind, "");
    finding.in_hertz = kind == FindingKind::Signal;
    finding.place = value(&mut finding, rest)?.to_owned();
    Some(finding)
}

/// Reads the value at the end of `text`, where there is one, and returns what stands before it.
fn value<'a>(finding: &mut Finding, text: &'a str) -> Option<&'a str> {
    let cut = |text: &'a str| text.rsplit_once(' ').unwrap_or(("", text));
    let (place, last) = cut(text);
    if last == "OL" {
        finding.qualifier = Some(Qualifier::OverRange);
        return Some(place);
    }
    if !["A", "ohm", "Hz", "V", "°C"].contains(&last) {
        return Some(text);
    }
    let (place, number) = cut(place);
    let marks = [Qualifier::Below, Qualifier::Above, Qualifier::About];
    let marked = marks
        .into_iter()
        .find_map(|mark| Some((mark, number.strip_prefix(mark.word())?)));
    if let Some((mark, number)) = marked {
        finding.qualifier = Some(mark);
        finding.got = Some(read_number(number)?);
        return Some(place);
    }
    // The dash of a range is the first that is no sign.
    let dash = number.get(1..).and_then(|rest| rest.find('-'));
    if let Some(at) = dash {
        finding.low = Some(read_number(&number[..=at])?);
        finding.high = Some(read_number(&number[at + 2..])?);
        if finding.kind != FindingKind::Current {
            finding.qualifier = Some(Qualifier::Range);
        }
        return Some(place);
    }
    finding.got = Some(read_number(number)?);
    Some(place)
}

fn read_number(text: &str) -> Option<f64> {
    let number: f64 = text.parse().ok()?;
    number.is_finite().then_some(number)
}

/// Reads one of what stands behind the commas.
fn detail(finding: &mut Finding, part: &str) -> Option<()> {
    let number = |lead: &str, unit: &str| {
        let rest = part.strip_prefix(lead)?.strip_suffix(unit)?;
        read_number(rest.trim_end())
    };
    let signal = FindingKind::Signal;
    if finding.kind.codes().contains(&part) && finding.code.is_none() {
        finding.code = Some(part.to_owned());
    } else if finding.kind == FindingKind::Rail && signal.codes().contains(&part) {
        finding.kind = signal;
        finding.code = Some(part.to_owned());
    } else if part.starts_with("should be ") {
        let unit = part.rsplit_once(' ')?.1;
        finding.good = Some(number("should be ", unit)?);
    } else if part.starts_with("every ") {
        finding.period_s = Some(number("every ", "s")?);
    } else if part.starts_with("supply ") {
        finding.supply_v = Some(number("supply ", "V")?);
    } else if part.starts_with("limit ") {
        finding.limit_a = Some(number("limit ", "A")?);
    } else if part.starts_with("down to ") {
        finding.collapsed_v = Some(number("down to ", "V")?);
    } else if STATES.contains(&part) {
        finding.state = Some(part.to_owned());
    } else if ["red-to-ground", "black-to-ground"].contains(&part) {
        finding.polarity = Some(part.to_owned());
    } else if let Some(off) = part.strip_prefix("source ") {
        finding.source_off = Some(match off {
            "off" => true,
            "on" => false,
            _ => return None,
        });
    } else if let Some(extent) = part.strip_prefix("extent ") {
        if !EXTENTS.contains(&extent) {
            return None;
        }
        finding.extent = Some(extent.to_owned());
    } else {
        finding.when = When::from_word(&part.replace(' ', "-"))?;
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_note_says_is_read_back_to_the_letter() {
        let text = "draw 0.061-0.118 A, cycling, supply 12 V, limit 1 A, standby; \
             3V3_SB 0.4125 V, should be 3.3 V, low; VSYS <1 ohm to ground, source off; diode SDA OL; \
             residue at U31, before cleaning; torch test: picture visible; \
             RLY_DRV 24 V, should be 24 V, present, running, after action; \
             CLK8 8000000 Hz, should be 8000000 Hz, present; heat U25 26 °C, running; \
             -12V -11.8--0.5 V, pulsing; draw, not-measured; burnt at phase A corner, extent area";
        let found = findings(text).expect("read");
        let again: Vec<String> = found.iter().map(bench_note::finding).collect();
        assert_eq!(again.join("; "), text);
        assert_eq!(found[0].qualifier, None);
        assert_eq!((found[0].low, found[0].high), (Some(0.061), Some(0.118)));
        assert_eq!(found[6].kind, FindingKind::Signal);
        assert_eq!(found[6].when, When::AfterAction);
        assert!(found[7].in_hertz);
        assert_eq!((found[9].low, found[9].high), (Some(-11.8), Some(-0.5)));
        assert_eq!(found[9].qualifier, Some(Qualifier::Range));
    }

    #[test]
    fn words_of_people_are_not_taken_for_a_note() {
        for text in [
            "residue under U31",
            "3V3_SB 0.41",
            "VBUS 5 V",
            "3V3_SB 0,41 V, low",
            "3V3_SB low",
            "3V3 1e999 V, low",
            "VSYS 1 ohm to ground, cold",
            "3V3_SB 0.410 V, low",
            "burnt at R4, extent huge",
        ] {
            let read = findings(text);
            let plain = read.as_ref().is_none_or(|found| {
                let again: Vec<String> = found.iter().map(bench_note::finding).collect();
                again.join("; ") == text
            });
            assert!(plain, "{text}: {read:?}");
        }
        for text in [
            "residue under U31",
            "3V3_SB 0.41",
            "VBUS 5 V",
            "3V3_SB 0.410 V, low",
        ] {
            assert_eq!(findings(text), None, "{text}");
        }
    }

    #[test]
    fn actions_are_read_back_with_their_roles() {
        let of = |act: &str, part: &str, role| Action {
            act: act.to_owned(),
            part: part.to_owned(),
            role,
        };
        assert_eq!(
            actions("replace U31; also clean"),
            Some(vec![
                of("replace", "U31", Role::TheFix),
                of("clean", "", Role::AlsoDone)
            ])
        );
        assert_eq!(
            actions("no effect: reflow L12; made it worse: clean standby corner"),
            Some(vec![
                of("reflow", "L12", Role::TriedNoEffect),
                of("clean", "standby corner", Role::MadeWorse)
            ])
        );
        assert_eq!(actions("swapped U31"), None);
        assert_eq!(actions(""), Some(Vec::new()));
    }
}
