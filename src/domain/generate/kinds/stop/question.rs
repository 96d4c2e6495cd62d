//! The question of a stop card: what was tried, how long it took, what the board is worth.

use crate::domain::generate::coded::mask;
use crate::domain::job::ACTS;
use crate::domain::job::Job;
use crate::domain::job::Role;
use crate::domain::wording;
/// Returns the question with what was known of time and money, as bands.
///
/// What the parts would cost is left out: it is on record for most repairs and for few jobs without
/// one, so that its being there would answer.
pub(super) fn stem(job: &Job, spent: Option<f64>, rate_per_hour: Option<f64>) -> String {
    let worth = job.effort.value.zip(rate_per_hour);
    let worth = worth.and_then(|(value, rate)| worth_band(value, rate));
    let question = worded(spent.map(time_band), worth);
    let mut told: Vec<String> = Vec::new();
    for (act, part) in tried(job) {
        let verb = wording::act_verb(&act);
        // Places in free words may hold anything: a deck that is lent is read by its questions.
        let text = if is_part(&part) {
            format!("{verb} {part}")
        } else {
            verb.to_owned()
        };
        if !told.contains(&text) {
            told.push(text);
        }
    }
    if told.is_empty() {
        return question;
    }
    format!("{TRIED}{}. {question}", told.join("; "))
}

/// Opens a question with what did not help.
const TRIED: &str = "Tried without effect: ";

/// Returns the acts of a job that did not help, each with its part.
pub(super) fn tried(job: &Job) -> Vec<(String, String)> {
    let tried = job.actions.iter();
    let tried = tried.filter(|a| a.role == Role::TriedNoEffect && a.act != "none");
    tried.map(|a| (a.act.clone(), a.part.clone())).collect()
}

/// Tells whether a text is one designator and nothing else.
fn is_part(text: &str) -> bool {
    mask::is_designator(text) && text.chars().all(|c| c.is_ascii_alphanumeric())
}

fn worded(time: Option<&str>, worth: Option<&str>) -> String {
    let known: Vec<&str> = [time, worth].into_iter().flatten().collect();
    let mut stem = known.join("; ");
    if let Some(first) = stem.get(..1).map(str::to_uppercase) {
        stem.replace_range(..1, &first);
        stem.push_str(". ");
    }
    stem.push_str("Go on, or call it?");
    stem
}

/// Tells whether [`cards`](crate::domain::generate::kinds::stop::patterns::cards) ask so.
pub fn asks(stem: &str) -> bool {
    let mut asked = stem;
    if let Some((told, rest)) = stem.strip_prefix(TRIED).and_then(|s| s.split_once(". ")) {
        let made = |text: &str| {
            let verb = |act: &&str| {
                let rest = text.strip_prefix(wording::act_verb(act));
                rest.is_some_and(|rest| {
                    rest.is_empty() || rest.strip_prefix(' ').is_some_and(is_part)
                })
            };
            ACTS.iter().any(verb)
        };
        if !told.split("; ").all(made) {
            return false;
        }
        asked = rest;
    }
    let times = [30.0, 60.0, 120.0, 121.0].map(|minutes| Some(time_band(minutes)));
    let worths = [1.0, 4.0, 9.0].map(|hours| worth_band(hours, 1.0));
    let times = times.into_iter().chain([None]);
    times
        .flat_map(|time| {
            worths
                .into_iter()
                .chain([None])
                .map(move |worth| (time, worth))
        })
        .any(|(time, worth)| worded(time, worth) == asked)
}

/// Returns minutes as a band.
pub fn time_band(minutes: f64) -> &'static str {
    match minutes {
        m if m <= 30.0 => "half an hour at most on the bench so far",
        m if m <= 60.0 => "up to an hour on the bench so far",
        m if m <= 120.0 => "between one and two hours on the bench so far",
        _ => "more than two hours on the bench so far",
    }
}

/// Returns the board's value in hours at the bench, as a band; none where the rate says nothing.
pub fn worth_band(value: f64, rate_per_hour: f64) -> Option<&'static str> {
    (0.0 < rate_per_hour).then(|| match value / rate_per_hour {
        hours if hours < 3.0 => "the board is worth less than three hours at the bench",
        hours if hours < 8.0 => "the board is worth three to eight hours at the bench",
        _ => "the board is worth more than a day at the bench",
    })
}

/// Returns the same band as the sum names it, of hours at the bench.
pub fn worth_in_sum(hours: f64) -> &'static str {
    let band = worth_band(hours, 1.0).unwrap_or_default();
    band.strip_prefix("the board is ").unwrap_or(band)
}
