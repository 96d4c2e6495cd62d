//! Job lines in the layout in which programs write them: no blanks between their parts, no escapes in
//! their texts; fields may stand in any order.
//!
//! A line that differs, or with which anything at all is wrong, is left to [`job::read`], which says
//! what. So the job and its problems are always those of the tolerant reader; laws at the end say so.
//! Left out: what a rewrite of the line would need. A build reads every line of an archive twice.

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
use crate::domain::job::Role;
use crate::domain::job::UNLOCATED;
use crate::store::record::card_fast;
use crate::store::record::job;
use crate::store::record::job::JobRules;
use crate::store::record::problem::Problem;
use crate::store::record::rest::Rest;

/// Values that a program does not know may lie in each other so deep.
const DEEP: usize = 8;

/// Reads one line; the job is there unless a problem costs it.
pub(crate) fn read(text: &str, rules: JobRules<'_>) -> (Option<Job>, Vec<Problem>) {
    if let Some(job) = as_written(text, rules) {
        return (Some(job), Vec::new());
    }
    let (record, problems) = job::read(text, rules);
    (record.map(|record| record.job), problems)
}

/// Returns the job where nothing is wrong with its line.
fn as_written(text: &str, rules: JobRules<'_>) -> Option<Job> {
    let mut rest = Rest::new(text);
    let fields = Fields::read(&mut rest)?;
    let job = rest.is_empty().then(|| fields.job())??;
    is_in_order(&job, rules).then_some(job)
}

/// What a line has said so far; a field that says null has said nothing.
struct Fields {
    job: Job,
    id: Option<String>,
    number: Option<String>,
    board: Option<String>,
    closed_on: bool,
    outcome: bool,
}

impl Fields {
    /// Reads an object, each field of which may stand there once.
    fn read(rest: &mut Rest<'_>) -> Option<Self> {
        let mut fields = Self {
            job: Job::empty("", "", Outcome::UnknownSoFar),
            id: None,
            number: None,
            board: None,
            closed_on: false,
            outcome: false,
        };
        let mut keys = Keys(Vec::with_capacity(32));
        rest.take("{\"")?;
        loop {
            let key = rest.text()?;
            keys.add(key)?;
            rest.take(":")?;
            if rest.take("null").is_none() {
                fields.field(key, rest)?;
            }
            if rest.take("}").is_some() {
                return Some(fields);
            }
            rest.take(",\"")?;
        }
    }

    /// Reads the value of one field.
    fn field(&mut self, key: &str, rest: &mut Rest<'_>) -> Option<()> {
        let job = &mut self.job;
        match key {
            "v" => {
                let v: u64 = rest.number()?.parse().ok()?;
                (v <= job::VERSION).then_some(())?;
            }
            "id" => self.id = Some(text(rest)?),
            "job" => self.number = Some(text(rest)?),
            "board" => self.board = Some(text(rest)?),
            "closed_on" => {
                rest.take("\"")?;
                job.closed_on = card_fast::date(rest.text()?)?;
                self.closed_on = true;
            }
            "closed_by" => job.closed_by = Some(text(rest)?),
            "rev" => job.rev = Some(text(rest)?),
            "unit" => job.unit = Some(text(rest)?).filter(|unit| !unit.trim().is_empty()),
            "follows" => job.follows = Some(text(rest)?),
            "corrects" => job.corrects = Some(text(rest)?),
            "withdrawn" => job.withdrawn = rest.flag()?,
            "complaint" => job.complaint = words(rest, &COMPLAINTS)?,
            "findings" => {
                rest.take("[")?;
                job.findings = rest.list(finding)?;
            }
            "family" => job.family = Some(text(rest)?),
            "contributing" => job.contributing = words(rest, &[])?,
            "actions" => {
                rest.take("[")?;
                job.actions = rest.list(action)?;
            }
            "no_fix_reason" => job.no_fix_reason = Some(word(rest, &NO_FIX_REASONS)?.to_owned()),
            "outcome" => {
                job.outcome = meaning(rest, Outcome::from_word)?;
                self.outcome = true;
            }
            "bounce_cause" => job.bounce_cause = Some(meaning(rest, BounceCause::from_word)?),
            "confidence" => job.confidence = Some(meaning(rest, Confidence::from_word)?),
            "proof" => job.proof = Some(text(rest)?),
            "environment" => job.environment = words(rest, &job::ENVIRONMENTS)?,
            "source" => job.source = Some(text(rest)?),
            "flags" => {
                rest.take("[")?;
                job.flags = rest.list(flag)?;
            }
            "minutes_to_find" => job.effort.minutes_to_find = Some(from_zero(rest)?),
            "minutes" => job.effort.minutes = Some(from_zero(rest)?),
            "value" => job.effort.value = Some(from_zero(rest)?),
            "parts_cost" => job.effort.parts_cost = Some(from_zero(rest)?),
            _ => pass_over(rest, DEEP)?,
        }
        Some(())
    }

    /// Returns the job, if the line said what every line has to.
    fn job(self) -> Option<Job> {
        (self.closed_on && self.outcome).then_some(())?;
        let number = self.number?;
        Some(Job {
            id: self.id.unwrap_or_else(|| number.clone()),
            job: number,
            board: self.board?,
            ..self.job
        })
    }
}

/// Tells whether the tolerant reader would find nothing to say about a job.
fn is_in_order(job: &Job, rules: JobRules<'_>) -> bool {
    let known = |family: &String| rules.circuits.get(family).is_some();
    let no_fix = job.outcome == Outcome::NoFix;
    let family = match &job.family {
        None => no_fix,
        Some(family) if family == UNLOCATED => no_fix,
        Some(family) => known(family),
    };
    let fixed = job.actions.iter().any(|a| a.role == Role::TheFix);
    let ending = (fixed, job.no_fix_reason.is_some()) == (!no_fix, no_fix);
    let bounced = matches!(
        job.outcome,
        Outcome::BouncedSameFault | Outcome::BouncedOtherFault
    );
    !job.job.trim().is_empty()
        && rules.boards.contains(&job.board)
        && !job.board.trim().is_empty()
        && !job.complaint.is_empty()
        && !job.findings.is_empty()
        && family
        && job.contributing.iter().all(known)
        && job.contributing.len() <= 2
        && ending
        && (bounced || job.bounce_cause.is_none())
}

/// The names of an object's fields.
#[derive(Default)]
struct Keys<'a>(Vec<&'a str>);

impl<'a> Keys<'a> {
    /// Adds one; none where it is there.
    fn add(&mut self, key: &'a str) -> Option<()> {
        (!self.0.contains(&key)).then(|| self.0.push(key))
    }
}

fn text(rest: &mut Rest<'_>) -> Option<String> {
    rest.take("\"")?;
    rest.text().map(str::to_owned)
}

/// Returns a word of `vocabulary`.
fn word<'a>(rest: &mut Rest<'a>, vocabulary: &[&str]) -> Option<&'a str> {
    rest.take("\"")?;
    rest.text().filter(|word| vocabulary.contains(word))
}

/// Returns what a word stands for.
fn meaning<T>(rest: &mut Rest<'_>, from_word: impl Fn(&str) -> Option<T>) -> Option<T> {
    rest.take("\"")?;
    from_word(rest.text()?)
}

/// Returns a list of words of `vocabulary`; an empty vocabulary takes any.
fn words(rest: &mut Rest<'_>, vocabulary: &[&str]) -> Option<Vec<String>> {
    rest.take("[")?;
    rest.list(|rest| {
        if vocabulary.is_empty() {
            text(rest)
        } else {
            word(rest, vocabulary).map(str::to_owned)
        }
    })
}

fn from_zero(rest: &mut Rest<'_>) -> Option<f64> {
    rest.real().filter(|number| 0.0 <= *number)
}

/// Reads one finding; all kinds but two say where.
fn finding(rest: &mut Rest<'_>) -> Option<Finding> {
    let found = card_fast::shown(rest)?;
    let may_lack = matches!(found.kind, FindingKind::Current | FindingKind::Visual);
    (may_lack || !found.place.trim().is_empty()).then_some(found)
}

/// Reads the texts of a small object that has these fields and no others.
fn texts_of<'a, const N: usize>(
    rest: &mut Rest<'a>,
    names: [&str; N],
) -> Option<[Option<&'a str>; N]> {
    let mut found = [None; N];
    rest.take("{\"")?;
    loop {
        let key = rest.text()?;
        let at = names.iter().position(|name| *name == key)?;
        rest.take(":\"")?;
        let text = rest.text()?;
        if found[at].replace(text).is_some() {
            return None;
        }
        if rest.take("}").is_some() {
            return Some(found);
        }
        rest.take(",\"")?;
    }
}

fn action(rest: &mut Rest<'_>) -> Option<Action> {
    let [act, part, role] = texts_of(rest, ["act", "part", "role"])?;
    let act = act.filter(|act| ACTS.contains(act))?;
    let (part, role) = (part.unwrap_or_default(), Role::from_word(role?)?);
    let names_none = role == Role::TheFix && part.trim().is_empty() && act != "none";
    (!names_none).then(|| Action {
        act: act.to_owned(),
        part: part.to_owned(),
        role,
    })
}

fn flag(rest: &mut Rest<'_>) -> Option<Flag> {
    let [field, why, raw] = texts_of(rest, ["field", "why", "raw"])?;
    Some(Flag {
        field: field.unwrap_or_default().to_owned(),
        why: why.filter(|why| !why.trim().is_empty())?.to_owned(),
        raw: raw.unwrap_or_default().to_owned(),
    })
}

/// Passes over any value; none where it is no JSON, lies too deep, or has two fields of one name.
fn pass_over(rest: &mut Rest<'_>, deep: usize) -> Option<()> {
    if rest.take("\"").is_some() {
        return rest.text().map(|_| ());
    }
    if rest.take("null").is_some() || rest.flag().is_some() {
        return Some(());
    }
    let deeper = deep.checked_sub(1)?;
    if rest.take("[").is_some() {
        return rest.list(|rest| pass_over(rest, deeper)).map(|_| ());
    }
    if rest.take("{").is_none() {
        return rest.real().map(|_| ());
    }
    if rest.take("}").is_some() {
        return Some(());
    }
    let mut keys = Keys::default();
    rest.take("\"")?;
    loop {
        keys.add(rest.text()?)?;
        rest.take(":")?;
        pass_over(rest, deeper)?;
        if rest.take("}").is_some() {
            return Some(());
        }
        rest.take(",\"")?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::circuit::Circuits;
    use crate::store::record::job::JobRecord;
    use crate::store::record::laws;
    use proptest::prelude::*;
    use proptest::sample::Index;
    use proptest::sample::select;
    use std::collections::BTreeSet;

    /// Reads a line both ways under the rules of a shop that has `board`.
    #[track_caller]
    fn alike(text: &str, board: &str) -> Option<Job> {
        let circuits = Circuits::with_shop(&[], false);
        let boards = BTreeSet::from([board.to_owned()]);
        let rules = JobRules {
            circuits: &circuits,
            boards: &boards,
        };
        let (record, problems) = job::read(text, rules);
        let slow = (record.map(|record| record.job), problems);
        assert_eq!(read(text, rules), slow, "{text}");
        as_written(text, rules)
    }

    #[test]
    fn the_jobs_of_the_practice_shop_need_no_tolerant_reader() {
        let text = include_str!("../../../demo-data/jobs/practice.jsonl");
        let board = |line: &str| {
            let rest = line.split("\"board\":\"").nth(1).unwrap_or_default();
            rest.split('"').next().unwrap_or_default().to_owned()
        };
        let lines: Vec<&str> = text.lines().filter(|l| !l.contains('\\')).collect();
        let read = lines.iter().filter_map(|line| alike(line, &board(line)));
        let n = read.count();
        assert!(500 < n && n == lines.len(), "{n} of {}", lines.len());
    }

    #[test]
    fn values_that_no_program_knows_are_passed_over_if_they_are_json() {
        let whole = |value: &str| {
            let text = format!(
                "{{\"job\":\"W-1\",\"closed_on\":\"2026-03-14\",\"board\":\"p4\",\"x\":{value},\
                 \"complaint\":[\"no-power\"],\"findings\":[{{\"kind\":\"heat\",\"where\":\"U3\",\
                 \"got_c\":81}}],\"family\":\"standby\",\"actions\":[{{\"act\":\"reflow\",\
                 \"part\":\"U3\",\"role\":\"the-fix\"}}],\"outcome\":\"held\"}}"
            );
            alike(&text, "p4").is_some()
        };
        for plain in [
            "null",
            "true",
            "-1.5e3",
            "\"µ\"",
            "[]",
            "{}",
            "[1,{\"a\":[null]}]",
        ] {
            assert!(whole(plain), "{plain}");
        }
        for odd in [
            "",
            "nul",
            "01",
            "1.",
            "[1,]",
            "{\"a\":1,\"a\":2}",
            "{\"a\"}",
            "[1 ]",
            "\"\\n\"",
        ] {
            assert!(!whole(odd), "{odd}");
        }
        assert!(!whole(&format!("{}{}", "[".repeat(200), "]".repeat(200))));
    }

    proptest! {
        /// A line that was changed by hand or by chance gives the same job and the same problems.
        #[test]
        fn a_line_is_read_as_the_tolerant_reader_reads_it(
            job in laws::job(),
            fields in prop::collection::vec((select(&FIELDS[..]), select(&VALUES[..])), 0..2),
            cuts in prop::collection::vec((any::<Index>(), 0..5_u8, 0..24_usize), 0..3),
        ) {
            let board = job.board.clone();
            let mut line = JobRecord::new(job).to_line().expect("it is of this format");
            alike(&line, &board);
            for (field, value) in fields {
                line.pop();
                line.push_str(&[",\"", field, "\":", value, "}"].concat());
            }
            alike(&line, &board);
            let mut bytes = line.into_bytes();
            for (at, how, n) in cuts {
                let at = at.index(bytes.len());
                let new = b"0123456789\"\\,:{}[e.-ntf "[n];
                laws::mangle(&mut bytes, (at, how, n), new);
                if bytes.is_empty() { return Ok(()) }
            }
            if let Ok(text) = String::from_utf8(bytes) {
                alike(&text, &board);
            }
        }
    }

    const FIELDS: [&str; 14] = [
        "v",
        "unit",
        "minutes",
        "value",
        "withdrawn",
        "bounce_cause",
        "no_fix_reason",
        "family",
        "flags",
        "contributing",
        "environment",
        "actions",
        "follows",
        "x",
    ];
    const VALUES: [&str; 16] = [
        "null",
        "1",
        "3",
        "-0",
        "-1",
        "1e400",
        "\" \"",
        "\"unlocated\"",
        "\"diagnosis\"",
        "\"not-located-in-time-box\"",
        "[\"salt-water\"]",
        "[\"buck\",\"buck\",\"buck\"]",
        "[{\"act\":\"clean\",\"role\":\"the-fix\"}]",
        "[{\"why\":\"which\",\"field\":\"rev\"}]",
        "[]",
        "true",
    ];
}
