//! How findings, acts and evidence read to a person.
//!
//! A reading is always `name  value  reference`. All text that comes from files passes
//! [`clean`](crate::domain::text::clean) here, so that no face has to remember it.

use crate::domain::card::Answer;
use crate::domain::card::Share;
use crate::domain::card::Step;
use crate::domain::job::Action;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Qualifier;
use crate::domain::job::Role;
use crate::domain::job::When;
use crate::domain::text::clean;
use crate::domain::units::si;
use crate::domain::units::volts;

/// One reading as words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Net, place, test.
    pub name: String,
    /// What was found.
    pub value: String,
    /// What a good board shows, or the circumstances.
    pub reference: String,
}

/// Says where a place is that was held back.
pub const HELD_BACK: &str = "place shown with the answer";

/// Returns a finding as `name  value  reference`.
pub fn finding_line(finding: &Finding) -> Line {
    let (value, reference) = match finding.kind {
        FindingKind::Current => current(finding),
        FindingKind::Rail => rail(finding),
        FindingKind::Resistance => resistance(finding),
        FindingKind::Diode => diode(finding),
        FindingKind::Signal => signal(finding),
        FindingKind::Heat => heat(finding),
        FindingKind::Visual => visual(finding),
        FindingKind::Other => (vec![code_words(finding)], Vec::new()),
    };
    let mut reference = reference;
    if let Some(state) = &finding.state
        && finding.kind != FindingKind::Current
    {
        reference.push(state_words(state));
    }
    if finding.kind != FindingKind::Visual {
        match finding.when {
            When::BeforeAction => {}
            When::BeforeCleaning => reference.push("before cleaning".to_owned()),
            When::AfterCleaning => reference.push("after cleaning".to_owned()),
            When::AfterAction => reference.push("after the repair".to_owned()),
        }
    }
    if finding.place.is_empty() && finding.kind != FindingKind::Current {
        reference.push(HELD_BACK.to_owned());
    }
    Line { name: name(finding), value: join(&value), reference: join(&reference) }
}

fn name(finding: &Finding) -> String {
    let given = clean(&finding.place);
    match finding.kind {
        FindingKind::Current if given.is_empty() => "Supply".to_owned(),
        FindingKind::Visual => "Looks".to_owned(),
        FindingKind::Heat if given.is_empty() => "Warmest".to_owned(),
        FindingKind::Rail if given.is_empty() => "A rail".to_owned(),
        FindingKind::Signal if given.is_empty() => "A signal".to_owned(),
        FindingKind::Resistance | FindingKind::Diode if given.is_empty() => "A point".to_owned(),
        FindingKind::Other if given.is_empty() => "A test".to_owned(),
        _ => given,
    }
}

fn join(parts: &[String]) -> String {
    parts.iter().filter(|p| !p.is_empty()).cloned().collect::<Vec<_>>().join(", ")
}

/// Returns a number with its qualifier: `< 0.5 Ω`, `about 40 mA`.
fn qualified(finding: &Finding, text: String) -> String {
    match finding.qualifier {
        Some(Qualifier::Below) => format!("below {text}"),
        Some(Qualifier::Above) => format!("above {text}"),
        Some(Qualifier::About) => format!("about {text}"),
        Some(Qualifier::OverRange | Qualifier::Range) | None => text,
    }
}

/// Returns the measured number or range of a finding; empty if none was taken.
fn measured(finding: &Finding, show: impl Fn(f64) -> String) -> String {
    match (finding.got, finding.low, finding.high) {
        (None, Some(low), Some(high)) => format!("{} to {}", show(low), show(high)),
        (Some(got), ..) => qualified(finding, show(got)),
        _ => String::new(),
    }
}

fn code_words(finding: &Finding) -> String {
    clean(&finding.code.as_deref().unwrap_or_default().replace('_', " "))
}

fn current(finding: &Finding) -> (Vec<String>, Vec<String>) {
    let word = match finding.code.as_deref() {
        Some("zero") => "no draw",
        Some("stuck") => "rises once and stays at",
        Some("cycling") => "cycling",
        Some("stepped-stop") => "climbs in steps, then stops;",
        Some("high") => "high",
        Some("limit") => "in current limit",
        Some("normal-no-function") => "normal draw, nothing works;",
        Some("normal") => "normal",
        Some("not-measured") => "not measured",
        _ => "",
    };
    let amps = match (finding.low, finding.high) {
        (Some(low), Some(high)) if finding.got.is_none() => range(low, high, "A"),
        _ => finding.got.map_or_else(String::new, |a| qualified(finding, si(a, "A"))),
    };
    let mut value = format!("{word} {amps}").trim().trim_end_matches(';').to_owned();
    if amps.is_empty() {
        value = value.trim_end_matches(" at").to_owned();
    }
    let mut values = vec![value];
    if let Some(period) = finding.period_s {
        values.push(format!("every {}", si(period, "s")));
    }
    if let Some(collapsed) = finding.collapsed_v {
        values.push(format!("supply falls to {}", volts(collapsed)));
    }
    let mut reference = Vec::new();
    if let Some(supply) = finding.supply_v {
        reference.push(format!("{} in", volts(supply)));
    }
    if let Some(state) = &finding.state {
        reference.push(state_words(state));
    }
    if let Some(limit) = finding.limit_a {
        reference.push(format!("limit {}", si(limit, "A")));
    }
    if let Some(good) = finding.good {
        reference.push(format!("{} on a good board", si(good, "A")));
    }
    (values, reference)
}

/// Returns `61 to 118 mA` where both ends share a prefix, else both in full.
fn range(low: f64, high: f64, unit: &str) -> String {
    let (from, to) = (si(low, unit), si(high, unit));
    match (from.split_once(' '), to.split_once(' ')) {
        (Some((number, a)), Some((_, b))) if a == b => format!("{number} to {to}"),
        _ => format!("{from} to {to}"),
    }
}

fn rail(finding: &Finding) -> (Vec<String>, Vec<String>) {
    let number = measured(finding, volts);
    let verdict = match finding.code.as_deref() {
        Some("in-band") if !number.is_empty() => String::new(),
        Some("in-band") => "as it should be".to_owned(),
        Some("absent" | "low" | "high") if !number.is_empty() && finding.good.is_some() => {
            String::new()
        }
        _ => code_words(finding),
    };
    let good = finding.good.map(|v| format!("{} on the drawing", volts(v)));
    (vec![number, verdict], good.into_iter().collect())
}

fn resistance(finding: &Finding) -> (Vec<String>, Vec<String>) {
    let number = if finding.qualifier == Some(Qualifier::OverRange) {
        "open (over range)".to_owned()
    } else {
        measured(finding, |ohm| si(ohm, "Ω"))
    };
    let verdict = match finding.code.as_deref() {
        Some("hard-short") => "hard short".to_owned(),
        Some("open") if number.starts_with("open") => String::new(),
        Some("as-reference") => "like a good board".to_owned(),
        _ => code_words(finding),
    };
    let mut values = Vec::new();
    if !number.is_empty() {
        values.push(format!("{number} to ground"));
    }
    values.push(verdict);
    if finding.source_off == Some(true) && finding.state.as_deref() != Some("off") {
        values.push("source off".to_owned());
    }
    let good = finding.good.map(|ohm| format!("{} on a good board", si(ohm, "Ω")));
    (values, good.into_iter().chain(polarity(finding)).collect())
}

fn diode(finding: &Finding) -> (Vec<String>, Vec<String>) {
    let number = if finding.qualifier == Some(Qualifier::OverRange) {
        "open (over range)".to_owned()
    } else {
        measured(finding, volts)
    };
    let verdict = match finding.code.as_deref() {
        Some("OL") if number.starts_with("open") => String::new(),
        Some("OL") => "open (over range)".to_owned(),
        Some("as-reference") => "like a good board".to_owned(),
        _ => code_words(finding),
    };
    let good = finding.good.map(|v| format!("{} on a good board", volts(v)));
    (
        vec![number, verdict, "diode mode".to_owned()],
        good.into_iter().chain(polarity(finding)).collect(),
    )
}

fn polarity(finding: &Finding) -> Option<String> {
    finding.polarity.as_deref().map(|p| clean(&p.replace('-', " ")))
}

fn signal(finding: &Finding) -> (Vec<String>, Vec<String>) {
    let show = |value: f64| if finding.in_hertz { si(value, "Hz") } else { volts(value) };
    let verdict = match finding.code.as_deref() {
        Some(word) => clean(&word.replace('-', " ")),
        None => String::new(),
    };
    let good = finding.good.map(|v| format!("{} on a good board", show(v)));
    (vec![verdict, measured(finding, show)], good.into_iter().collect())
}

fn heat(finding: &Finding) -> (Vec<String>, Vec<String>) {
    let number = measured(finding, |c| si(c, "°C"));
    let number = if number.is_empty() { "the warmest part".to_owned() } else { number };
    let good = finding.good.map(|c| format!("{} on a good board", si(c, "°C")));
    (vec![number], good.into_iter().collect())
}

fn visual(finding: &Finding) -> (Vec<String>, Vec<String>) {
    let sign = match finding.code.as_deref() {
        Some("none-seen") => "nothing to see".to_owned(),
        Some("missing") => "a part is missing".to_owned(),
        Some("earlier-work") => "earlier work".to_owned(),
        Some(sign) => clean(&sign.replace('-', " ")),
        None => "looked at".to_owned(),
    };
    let place = clean(&finding.place);
    let mut value = if place.is_empty() { sign } else { format!("{sign} at {place}") };
    match finding.extent.as_deref() {
        Some("area") => value.push_str(", over an area"),
        Some("board") => value.push_str(", over the whole board"),
        _ => {}
    }
    let when = match finding.when {
        When::BeforeAction => "",
        When::BeforeCleaning => "before cleaning",
        When::AfterCleaning => "after cleaning",
        When::AfterAction => "after the repair",
    };
    (vec![value], vec![when.to_owned()])
}

fn state_words(state: &str) -> String {
    match state {
        "pressed" => "button pressed".to_owned(),
        "battery-only" => "on battery only".to_owned(),
        "loaded" => "under load".to_owned(),
        other => clean(other),
    }
}

/// Returns the customer's words as a person would say them: `no power; liquid got in`.
pub fn complaint_text(complaint: &[String]) -> String {
    complaint.iter().map(|word| complaint_words(word)).collect::<Vec<_>>().join("; ")
}

fn complaint_words(word: &str) -> String {
    match word {
        "starts-then-stops" => "starts, then stops".to_owned(),
        "output-stuck" => "an output is stuck".to_owned(),
        "output-missing" => "an output is missing".to_owned(),
        "trips-or-alarms" => "trips or gives an alarm".to_owned(),
        "noise-or-smell" => "noise or smell".to_owned(),
        "liquid-entry" => "liquid got in".to_owned(),
        "impact" => "dropped or hit".to_owned(),
        "surge-or-miswire" => "surge or wrong wiring".to_owned(),
        "failed-after-earlier-repair" => "failed after an earlier repair".to_owned(),
        "unknown" => "not known".to_owned(),
        other => clean(&other.replace('-', " ")),
    }
}

/// Returns the verb of an act: `Replace`, `Bridge with a wire`.
pub fn act_verb(act: &str) -> String {
    match act {
        "bridge-or-jumper" => "Bridge or wire across".to_owned(),
        "reprogram-firmware" => "Reprogram".to_owned(),
        "replace-connector" => "Replace the connector".to_owned(),
        "rebuild-pad-or-trace" => "Rebuild pad or trace at".to_owned(),
        "none" => "Do nothing to".to_owned(),
        "other" => "Put right".to_owned(),
        other => {
            let mut letters = other.chars();
            let first = letters.next().map(|c| c.to_uppercase().collect::<String>());
            clean(&format!("{}{}", first.unwrap_or_default(), letters.as_str()))
        }
    }
}

/// Returns one step: `Replace U31, the standby switcher`.
pub fn step_text(step: &Step) -> String {
    let part = clean(&step.part);
    match step.name.as_deref() {
        Some(name) if !name.eq_ignore_ascii_case(&step.part) => {
            format!("{} {part}, the {}", act_verb(&step.act), clean(name))
        }
        _ => format!("{} {part}", act_verb(&step.act)),
    }
}

/// Returns a whole answer, its steps joined.
pub fn answer_text(answer: &Answer) -> String {
    answer.steps.iter().map(step_text).collect::<Vec<_>>().join("; ")
}

/// Returns `7 of 9 jobs like this, 6 proved`.
pub fn share_text(share: &Share) -> String {
    let jobs = if share.n == 1 { "job" } else { "jobs" };
    format!("{} of {} {jobs} like this, {} proved", share.k, share.n, share.proved)
}

/// Returns an action of a job with its role: `Reflow L12: tried without effect`.
pub fn action_text(action: &Action) -> String {
    let role = match action.role {
        Role::TheFix => "the fix",
        Role::AlsoDone => "done as well",
        Role::TriedNoEffect => "tried without effect",
        Role::MadeWorse => "made it worse",
    };
    format!("{} {}: {role}", act_verb(&action.act), clean(&action.part))
}

/// Returns how a job ended.
pub fn outcome_text(job: &Job) -> String {
    let how = match job.outcome {
        Outcome::Held => "held",
        Outcome::BouncedSameFault => "came back with the same fault",
        Outcome::BouncedOtherFault => "came back with another fault",
        Outcome::UnknownSoFar => "not known so far",
        Outcome::NoFix => "no fix",
    };
    let why = match job.bounce_cause {
        None => "",
        Some(BounceCause::Diagnosis) => ", the diagnosis was wrong",
        Some(BounceCause::Workmanship) => ", workmanship",
        Some(BounceCause::Part) => ", the new part failed",
        Some(BounceCause::NewDamage) => ", damaged again",
        Some(BounceCause::Unknown) => ", nobody knows why",
    };
    format!("{how}{why}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn reads(finding: &Finding, name: &str, value: &str, reference: &str) {
        let line = finding_line(finding);
        let got = (line.name.as_str(), line.value.as_str(), line.reference.as_str());
        assert_eq!(got, (name, value, reference));
    }

    #[test]
    fn readings_read_as_name_value_reference() {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some("cycling".to_owned());
        (draw.low, draw.high) = (Some(0.061), Some(0.118));
        (draw.supply_v, draw.limit_a) = (Some(12.0), Some(1.0));
        draw.state = Some("standby".to_owned());
        reads(&draw, "Supply", "cycling 61 to 118 mA", "12.0 V in, standby, limit 1 A");

        let mut rail = Finding::new(FindingKind::Rail, "3V3_SB");
        (rail.got, rail.good) = (Some(0.41), Some(3.3));
        rail.code = Some("low".to_owned());
        rail.state = Some("standby".to_owned());
        reads(&rail, "3V3_SB", "0.41 V", "3.30 V on the drawing, standby");

        let mut ohms = Finding::new(FindingKind::Resistance, "3V3_SB");
        (ohms.got, ohms.good, ohms.source_off) = (Some(210.0), Some(1400.0), Some(true));
        reads(&ohms, "3V3_SB", "210 Ω to ground, source off", "1.4 kΩ on a good board");

        let mut drop = Finding::new(FindingKind::Diode, "SDA");
        (drop.got, drop.good) = (Some(0.02), Some(0.45));
        drop.polarity = Some("red-to-ground".to_owned());
        reads(&drop, "SDA", "0.02 V, diode mode", "0.45 V on a good board, red to ground");

        let mut looks = Finding::new(FindingKind::Visual, "");
        looks.code = Some("residue".to_owned());
        looks.when = When::BeforeCleaning;
        reads(&looks, "Looks", "residue", "before cleaning, place shown with the answer");

        let mut open = Finding::new(FindingKind::Resistance, "");
        open.qualifier = Some(Qualifier::OverRange);
        reads(&open, "A point", "open (over range) to ground", "place shown with the answer");

        let mut clock = Finding::new(FindingKind::Signal, "CLK");
        clock.code = Some("wrong-frequency".to_owned());
        (clock.got, clock.good, clock.in_hertz) = (Some(31_000.0), Some(32_768.0), true);
        reads(&clock, "CLK", "wrong frequency, 31 kHz", "32.8 kHz on a good board");
    }

    #[test]
    fn a_stuck_draw_without_a_number_still_reads() {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some("stuck".to_owned());
        reads(&draw, "Supply", "rises once and stays", "");
        draw.got = Some(0.04);
        reads(&draw, "Supply", "rises once and stays at 40 mA", "");
        draw.code = Some("normal-no-function".to_owned());
        reads(&draw, "Supply", "normal draw, nothing works; 40 mA", "");
    }

    #[test]
    fn answers_and_evidence_read_as_sentences() {
        let step = Step {
            act: "replace".to_owned(),
            part: "U31".to_owned(),
            name: Some("standby switcher".to_owned()),
        };
        assert_eq!(step_text(&step), "Replace U31, the standby switcher");
        let share = Share { k: 7, n: 9, proved: 6, low: 0.45, high: 0.94 };
        assert_eq!(share_text(&share), "7 of 9 jobs like this, 6 proved");
        let complaint = ["no-power".to_owned(), "liquid-entry".to_owned()];
        assert_eq!(complaint_text(&complaint), "no power; liquid got in");
    }

    #[test]
    fn text_from_files_cannot_act_on_a_terminal() {
        let mut finding = Finding::new(FindingKind::Other, "x\u{1b}[2J");
        finding.code = Some("y\u{7}".to_owned());
        let line = finding_line(&finding);
        assert!(![line.name, line.value].concat().chars().any(char::is_control));
    }
}
