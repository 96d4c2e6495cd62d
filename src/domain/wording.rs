//! Findings, complaints, answers and evidence in a person's words, for screens and plain text.
//!
//! A reading is always name, value, reference. Text of a shop's files passes [`clean`] here. Layout
//! (columns, marks, wrapping) is left to the screens.

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
use crate::domain::units;

/// One reading as three columns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What was looked at: `Supply`, `3V3_SB`, `Looks`.
    pub name: String,
    /// What it showed.
    pub value: String,
    /// What to hold it against, and how it was taken; may be empty.
    pub reference: String,
}

const HELD_BACK: &str = "place shown with the answer";

/// Returns one finding as a line.
pub fn finding_line(finding: &Finding) -> Line {
    let mut line = match finding.kind {
        FindingKind::Current => current(finding),
        FindingKind::Rail => rail(finding),
        FindingKind::Resistance => resistance(finding),
        FindingKind::Diode => diode(finding),
        FindingKind::Signal => signal(finding),
        FindingKind::Heat => heat(finding),
        FindingKind::Visual => visual(finding),
        FindingKind::Other => other(finding),
    };
    if finding.kind != FindingKind::Visual
        && let Some(when) = when_words(finding.when)
    {
        add(&mut line.reference, when);
    }
    Line {
        name: clean(&line.name),
        value: clean(&line.value),
        reference: clean(&line.reference),
    }
}

/// Returns findings as one text, for a list: `Supply cycling, 3V3_SB 0.41 V`.
pub fn pattern_text(findings: &[Finding]) -> String {
    let told = |finding: &Finding| {
        let line = finding_line(finding);
        let words = format!("{} {}", line.name, line.value);
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    findings.iter().map(told).collect::<Vec<_>>().join(", ")
}

fn current(finding: &Finding) -> Line {
    let amps = reading(finding, |v| units::si(v, "A"));
    let mut value = phrase(finding.code.as_deref().unwrap_or_default());
    if let Some(amps) = amps {
        if !value.is_empty() {
            value.push_str("  ");
        }
        value.push_str(&amps);
    }
    if let Some(period) = finding.period_s {
        add(&mut value, &format!("every {}", units::si(period, "s")));
    }
    if let Some(volts) = finding.collapsed_v {
        add(&mut value, &format!("down to {}", units::volts(volts)));
    }
    let mut reference = String::new();
    if let Some(volts) = finding.supply_v {
        add(&mut reference, &format!("{} in", units::volts(volts)));
    }
    add(&mut reference, &state(finding));
    if let Some(limit) = finding.limit_a {
        add(&mut reference, &format!("limit {}", units::si(limit, "A")));
    }
    if let Some(good) = finding.good {
        add(
            &mut reference,
            &format!("{} on a good board", units::si(good, "A")),
        );
    }
    let place = finding.place.trim();
    Line {
        name: if place.is_empty() { "Supply" } else { place }.to_owned(),
        value: or_recorded(value),
        reference,
    }
}

fn rail(finding: &Finding) -> Line {
    let mut line = Line {
        name: named(finding, "A rail"),
        value: or_recorded(with_code(finding, units::volts, &["pulsing", "noisy"])),
        reference: String::new(),
    };
    if let Some(good) = finding.good {
        line.reference = format!("{} on the drawing", units::volts(good));
    }
    add(&mut line.reference, &state(finding));
    held_back(finding, &mut line.reference);
    line
}

fn resistance(finding: &Finding) -> Line {
    let mut value = with_code(finding, |v| units::si(v, "Ω"), &[]);
    // What it was read against would be a guess where the place is held back.
    if !value.is_empty() && !finding.place.trim().is_empty() {
        value.push_str(if between_points(&finding.place) {
            " across it"
        } else {
            " to ground"
        });
    }
    match finding.source_off {
        Some(true) => add(&mut value, "off"),
        Some(false) => add(&mut value, "source on"),
        None => {}
    }
    let mut line = Line {
        name: named(finding, "A resistance"),
        value: or_recorded(value),
        reference: String::new(),
    };
    good(finding, &mut line.reference, |v| units::si(v, "Ω"));
    if finding.source_off.is_none() {
        add(&mut line.reference, &state(finding));
    }
    if let Some(polarity) = &finding.polarity {
        add(&mut line.reference, &phrase(polarity));
    }
    held_back(finding, &mut line.reference);
    line
}

/// Tells whether a place names two points, as `CANH-CANL` or `IGN to WAKE`, or a part with two ends, as
/// `R33` or `F1`: a resistance is then read across, not to ground.
pub fn between_points(place: &str) -> bool {
    let lower = place.to_lowercase();
    let joined = [" to ", " through ", " across "];
    let names = |half: &str| half.trim().starts_with(|c: char| c.is_ascii_alphabetic());
    let number = place.trim().strip_prefix(['R', 'F']).unwrap_or_default();
    let part = !number.is_empty() && number.chars().all(|c| c.is_ascii_digit());
    part || joined.iter().any(|word| lower.contains(word))
        || place
            .split_once('-')
            .is_some_and(|(a, b)| names(a) && names(b))
}

fn diode(finding: &Finding) -> Line {
    let mut value = with_code(finding, units::volts, &[]);
    if !value.is_empty() {
        value.push_str(if value == "OL" {
            " in diode mode"
        } else {
            " diode drop"
        });
    }
    if let Some(polarity) = &finding.polarity {
        add(&mut value, &phrase(polarity));
    }
    let mut line = Line {
        name: named(finding, "A part"),
        value: or_recorded(value),
        reference: String::new(),
    };
    good(finding, &mut line.reference, units::volts);
    held_back(finding, &mut line.reference);
    line
}

fn signal(finding: &Finding) -> Line {
    let hertz = |v: f64| units::si(v, "Hz");
    // Off by less than the usual digits show is off all the same.
    let close = finding
        .got
        .zip(finding.good)
        .is_some_and(|(got, good)| got.total_cmp(&good).is_ne() && hertz(got) == hertz(good));
    let unit = |v: f64| match (finding.in_hertz, close) {
        (true, true) => units::si_to(v, "Hz", CLOSE_DECIMALS),
        (true, false) => hertz(v),
        (false, _) => units::volts(v),
    };
    let every = [
        "missing",
        "stuck-high",
        "stuck-low",
        "mid-level",
        "wrong-frequency",
        "present",
    ];
    let mut line = Line {
        name: named(finding, "A signal"),
        value: or_recorded(with_code(finding, unit, &every)),
        reference: String::new(),
    };
    good(finding, &mut line.reference, unit);
    add(&mut line.reference, &state(finding));
    held_back(finding, &mut line.reference);
    line
}

/// Decimals of two frequencies that lie close together.
const CLOSE_DECIMALS: usize = 4;

fn heat(finding: &Finding) -> Line {
    let mut value = reading(finding, |v| units::si(v, "°C")).unwrap_or_default();
    if let Some(code) = &finding.code {
        let code = phrase(code);
        value = if value.is_empty() {
            code
        } else {
            format!("{value}  {code}")
        };
    }
    let place = finding.place.trim();
    if !place.is_empty() {
        value.push_str(if value.is_empty() { "at " } else { " at " });
        value.push_str(place);
    }
    let mut line = Line {
        name: "Hottest".to_owned(),
        value: or_recorded(value),
        reference: String::new(),
    };
    good(finding, &mut line.reference, |v| units::si(v, "°C"));
    add(&mut line.reference, &state(finding));
    held_back(finding, &mut line.reference);
    line
}

fn visual(finding: &Finding) -> Line {
    let code = finding.code.as_deref().unwrap_or_default();
    let none = code == "none-seen";
    let mut value = sign(code);
    let place = finding.place.trim();
    // A place that is named says itself how small it is; a sign of a part, that it is one.
    let named = !place.is_empty() || value.contains(" part");
    if let Some(extent) = &finding.extent {
        value.push_str(match extent.as_str() {
            "point" if place.is_empty() => " at one point",
            "part" if !named => " at one part",
            "area" => " over an area",
            "board" => " over the whole board",
            _ => "",
        });
    }
    if !place.is_empty() && place != "whole board" {
        let first = place.split(' ').next().unwrap_or_default();
        // "under both shields" says itself where.
        value.push_str(if WHERE.contains(&first) { " " } else { " at " });
        value.push_str(place);
    }
    if let Some(when) = when_words(finding.when) {
        value.push_str(if place.is_empty() { " " } else { ", " });
        value.push_str(when);
    }
    let reference = if place.is_empty() && !none && finding.extent.as_deref() != Some("board") {
        "places are shown with the answer"
    } else {
        ""
    };
    Line {
        name: "Looks".to_owned(),
        value,
        reference: reference.to_owned(),
    }
}

/// Words with which a place says itself where it is.
const WHERE: [&str; 10] = [
    "at", "behind", "below", "beside", "between", "in", "near", "on", "over", "under",
];

/// Returns a sign as a person says it: `missing` is "a part missing".
pub fn sign(code: &str) -> String {
    match code {
        "" => "something seen".to_owned(),
        "none-seen" => "nothing to see".to_owned(),
        "missing" => "a part missing".to_owned(),
        "lifted" => "a pad or part lifted".to_owned(),
        "bulged" => "a part bulged".to_owned(),
        code => phrase(code),
    }
}

fn other(finding: &Finding) -> Line {
    let place = finding.place.trim();
    let code = finding.code.as_deref().unwrap_or_default().trim();
    let mut line = Line {
        name: if place.is_empty() {
            "A test".to_owned()
        } else {
            capital(place)
        },
        value: or_recorded(code.to_owned()),
        reference: state(finding),
    };
    held_back(finding, &mut line.reference);
    line
}

/// Returns the number with its qualifier, if there is one.
fn reading(finding: &Finding, unit: impl Fn(f64) -> String) -> Option<String> {
    if finding.qualifier == Some(Qualifier::OverRange) {
        return Some("OL".to_owned());
    }
    if let (Some(low), Some(high)) = (finding.low, finding.high) {
        return Some(span(&unit(low), &unit(high)));
    }
    let got = unit(finding.got?);
    Some(match finding.qualifier {
        Some(Qualifier::Below) => format!("below {got}"),
        Some(Qualifier::Above) => format!("above {got}"),
        Some(Qualifier::About) => format!("about {got}"),
        _ => got,
    })
}

/// Returns "61 to 118 mA": the unit once where both share it.
fn span(low: &str, high: &str) -> String {
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => format!("{number} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// Returns the number; the word stands before it where the number does not say it, or alone.
fn with_code(finding: &Finding, unit: impl Fn(f64) -> String, kept: &[&str]) -> String {
    let code = finding.code.as_deref().unwrap_or_default();
    match reading(finding, unit) {
        Some(number) if kept.contains(&code) => format!("{}  {number}", phrase(code)),
        Some(number) => number,
        None => phrase(code),
    }
}

fn good(finding: &Finding, reference: &mut String, unit: impl Fn(f64) -> String) {
    if let Some(good) = finding.good {
        add(reference, &format!("{} on a good board", unit(good)));
    }
}

fn held_back(finding: &Finding, reference: &mut String) {
    if finding.place.trim().is_empty() {
        add(reference, HELD_BACK);
    }
}

fn named(finding: &Finding, held_back: &str) -> String {
    match finding.place.trim() {
        "" => held_back.to_owned(),
        place => place.to_owned(),
    }
}

fn state(finding: &Finding) -> String {
    phrase(finding.state.as_deref().unwrap_or_default())
}

fn when_words(when: When) -> Option<&'static str> {
    match when {
        When::BeforeAction => None,
        When::BeforeCleaning => Some("before cleaning"),
        When::AfterCleaning => Some("after cleaning"),
        When::AfterAction => Some("after the repair"),
    }
}

fn or_recorded(value: String) -> String {
    if value.is_empty() {
        "no value recorded".to_owned()
    } else {
        value
    }
}

fn add(text: &mut String, more: &str) {
    if more.is_empty() {
        return;
    }
    if !text.is_empty() {
        text.push_str(", ");
    }
    text.push_str(more);
}

/// Returns a word of a vocabulary as a person writes it: `stuck-low` is "stuck low".
pub fn phrase(code: &str) -> String {
    match code {
        "normal-no-function" => "normal, nothing usable".to_owned(),
        "limit" => "in current limit".to_owned(),
        "stepped-stop" => "climbs in steps, then stops".to_owned(),
        "as-reference" => "as on a good board".to_owned(),
        "in-band" => "in band".to_owned(),
        "battery-only" => "on battery only".to_owned(),
        "earlier-work" => "signs of earlier work".to_owned(),
        code => {
            let plain = code.trim().replace('-', " ");
            // Low ohms that a board's own readings part further: `low 1 to 50 Ω`.
            match plain.strip_prefix("low ") {
                Some(limits) => format!("low, {limits}"),
                None => plain,
            }
        }
    }
}

/// Returns the text with a small first letter, as it goes on after a colon.
pub fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}

/// Returns a text with its first letter large.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// Returns the customer's words as one phrase: "no power; went under, liquid".
pub fn complaint_text(complaint: &[String]) -> String {
    let words: Vec<String> = complaint
        .iter()
        .map(|word| match word.as_str() {
            "no-power" => "no power".to_owned(),
            "no-charge" => "does not charge".to_owned(),
            "no-start" => "does not start".to_owned(),
            "starts-then-stops" => "starts, then stops".to_owned(),
            "restarts" => "restarts by itself".to_owned(),
            "no-display" => "no display".to_owned(),
            "no-link" => "no link".to_owned(),
            "wrong-reading" => "reads wrong".to_owned(),
            "output-stuck" => "an output is stuck".to_owned(),
            "output-missing" => "an output is missing".to_owned(),
            "trips-or-alarms" => "trips or alarms".to_owned(),
            "intermittent" => "comes and goes".to_owned(),
            "noise-or-smell" => "noise or smell".to_owned(),
            "liquid-entry" => "went under, liquid".to_owned(),
            "impact" => "took a knock".to_owned(),
            "surge-or-miswire" => "surge or wrong wiring".to_owned(),
            "failed-after-earlier-repair" => "failed again after a repair".to_owned(),
            "unknown" => "not known".to_owned(),
            word => clean(&word.replace('-', " ")),
        })
        .collect();
    if words.is_empty() {
        "none recorded".to_owned()
    } else {
        words.join("; ")
    }
}

/// Returns an act as a verb that a part can follow.
pub fn act_verb(act: &str) -> &'static str {
    match act {
        "replace" => "replace",
        "reflow" => "reflow",
        "reball" => "reball",
        "bridge-or-jumper" => "bridge or jumper",
        "remove" => "remove",
        "clean" => "clean",
        "reseat" => "reseat",
        "reprogram-firmware" => "reload the firmware of",
        "replace-connector" => "replace connector",
        "rebuild-pad-or-trace" => "rebuild the pad or trace at",
        "recalibrate" => "recalibrate",
        "none" => "leave as it is:",
        _ => "other work on",
    }
}

/// Returns a step as an instruction: "Replace U31, the standby switcher".
pub fn step_text(step: &Step) -> String {
    capital(&step_words(step))
}

fn step_words(step: &Step) -> String {
    let part = clean(step.part.trim());
    let mut text = done_to(&step.act, &part);
    let name = step
        .name
        .as_deref()
        .map(|n| clean(n.trim()))
        .unwrap_or_default();
    if !name.is_empty() && !part.is_empty() && !name.eq_ignore_ascii_case(&part) {
        let article = if name.starts_with("the ") { "" } else { "the " };
        add(&mut text, &format!("{article}{name}"));
    }
    text
}

/// Returns what is done to a part, in lower case: "replace U31".
pub fn done_to(act: &str, part: &str) -> String {
    if act == "none" && part.is_empty() {
        return "no repair".to_owned();
    }
    let part = if part.is_empty() { "the board" } else { part };
    format!("{} {part}", act_verb(act))
}

/// Returns an answer with all its steps: "Replace U31, the standby switcher; clean J2".
pub fn answer_text(answer: &Answer) -> String {
    let steps: Vec<String> = answer.steps.iter().map(step_words).collect();
    capital(&steps.join("; "))
}

/// Returns the evidence as counts: "7 of 9 jobs like this, 6 proved".
pub fn share_text(share: &Share) -> String {
    let jobs = if share.n == 1 { "job" } else { "jobs" };
    format!(
        "{} of {} {jobs} like this, {} proved",
        share.k, share.n, share.proved
    )
}

/// Returns the evidence of a stop card: "4 of 6 jobs like this ended without a fix".
pub fn ended_text(share: &Share) -> String {
    let jobs = if share.n == 1 { "job" } else { "jobs" };
    format!(
        "{} of {} {jobs} like this ended without a fix",
        share.k, share.n
    )
}

/// Returns the evidence of a contrast card: "11 of 12 jobs are told apart by it".
pub fn separated_text(share: &Share) -> String {
    let jobs = if share.n == 1 { "job is" } else { "jobs are" };
    format!("{} of {} {jobs} told apart by it", share.k, share.n)
}

/// Returns the evidence of a next card: "9 of 10 jobs like this ended in one of these".
pub fn among_text(share: &Share) -> String {
    let jobs = if share.n == 1 { "job" } else { "jobs" };
    format!(
        "{} of {} {jobs} like this ended in one of these",
        share.k, share.n
    )
}

/// Returns the evidence of a card that gives the fix: "12 of 13 jobs with this fix showed the first".
pub fn showed_text(share: &Share) -> String {
    let jobs = if share.n == 1 { "job" } else { "jobs" };
    format!(
        "{} of {} {jobs} with this fix showed the first",
        share.k, share.n
    )
}

/// Returns a chance as a band: under a few hundred jobs percents would say more than is known.
///
/// The limits are common practice, no source.
pub fn chance_word(chance: f64) -> &'static str {
    if 0.6 <= chance {
        "likely"
    } else if 0.25 <= chance {
        "possible"
    } else {
        "unlikely"
    }
}

/// Returns an action of a job and what came of it: "Reflow L12: tried, no effect".
pub fn action_text(action: &Action) -> String {
    let role = match action.role {
        Role::TheFix => "the fix",
        Role::AlsoDone => "done as well",
        Role::TriedNoEffect => "tried, no effect",
        Role::MadeWorse => "made it worse",
    };
    let done = done_to(&action.act, &clean(action.part.trim()));
    format!("{}: {role}", capital(&done))
}

/// Returns how a job ended, as written: "came back with the same fault (workmanship)".
pub fn outcome_text(job: &Job) -> String {
    let outcome = match job.outcome {
        Outcome::Held => "held",
        Outcome::BouncedSameFault => "came back with the same fault",
        Outcome::BouncedOtherFault => "came back with another fault",
        Outcome::UnknownSoFar => "not known so far",
        Outcome::NoFix => "no fix",
    };
    let cause = job.bounce_cause.map(|cause| match cause {
        BounceCause::Diagnosis => "diagnosis",
        BounceCause::Workmanship => "workmanship",
        BounceCause::Part => "the new part",
        BounceCause::NewDamage => "new damage",
        BounceCause::Unknown => "cause unknown",
    });
    cause.map_or_else(
        || outcome.to_owned(),
        |cause| format!("{outcome} ({cause})"),
    )
}

#[cfg(test)]
#[path = "wording_tests.rs"]
mod tests;
