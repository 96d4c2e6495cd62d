//! What a rebuilt deck changed, as lines for a person and as JSON.

use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::archive::Built;
use crate::app::rebuild;
use crate::app::workbench::Workbench;
use crate::cli::deck::BuildArgs;
use crate::cli::failure::Failure;
use crate::domain::job::Fix;
use crate::domain::rebuild::diff::Change;
use crate::domain::rebuild::diff::What;
use crate::domain::text::clean;
use crate::domain::wording;

/// Cards of one group that are named; of what is only asked otherwise the count is enough.
const NAMED: usize = 20;

/// Writes what changed: counts, the cards group by group, who had learned what, units at risk, and
/// what to do next.
pub fn write(
    workbench: &Workbench,
    args: &BuildArgs,
    built: &Built,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let changes = &built.rebuild.changes;
    if !changes.is_empty() {
        let of = |what: What| changes.iter().filter(move |c| c.what == what);
        let counts: Vec<String> = What::ALL
            .into_iter()
            .map(|what| (of(what).count(), what.word()))
            .filter(|(n, _)| 0 < *n)
            .map(|(n, word)| format!("{n} {word}"))
            .collect();
        writeln!(out, "Changed: {}", counts.join(", "))?;
        for what in What::ALL {
            group(what, &of(what).collect::<Vec<_>>(), out)?;
        }
    }
    at_risk(built, out)?;
    learned(workbench, args, built, out)
}

fn group(what: What, changes: &[&Change], out: &mut dyn Write) -> Result<(), Failure> {
    if changes.is_empty() || what == What::Reshown {
        return Ok(());
    }
    writeln!(
        out,
        "{} ({}):",
        wording::capital(what.word()),
        changes.len()
    )?;
    for change in changes.iter().take(NAMED) {
        let id: String = change.card.chars().take(8).collect();
        write!(out, "  {}  {}", clean(&id), change.name)?;
        if change.why.is_empty() {
            writeln!(out)?;
        } else {
            writeln!(out, ": {}", change.why)?;
        }
    }
    if NAMED < changes.len() {
        writeln!(
            out,
            "  and {} more; --json lists them all",
            changes.len() - NAMED
        )?;
    }
    Ok(())
}

fn at_risk(built: &Built, out: &mut dyn Write) -> Result<(), Failure> {
    for (change, jobs) in &built.rebuild.at_risk {
        let fixes: Vec<String> = change.discredited.iter().map(done).collect();
        writeln!(
            out,
            "Still under warranty, {}: {}:",
            clean(&change.board),
            fixes.join(" or ")
        )?;
        for job in jobs {
            let (number, day) = (clean(&job.job), job.closed_on.format("%-d %b %Y"));
            writeln!(out, "  {number}, closed {day}, {} days left", job.days_left)?;
        }
    }
    Ok(())
}

fn done(fix: &Fix) -> String {
    let steps = fix.pairs().iter();
    let steps: Vec<String> = steps
        .map(|(act, part)| wording::done_to(act, &clean(part)))
        .collect();
    steps.join(" and ")
}

fn learned(
    workbench: &Workbench,
    args: &BuildArgs,
    built: &Built,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let losses = &built.rebuild.losses;
    if built.rebuild.unread && built.waits {
        writeln!(
            out,
            "The deck before cannot be read, and people have answered cards: nobody can tell what\n\
             they would find otherwise. Nothing was written. Bring the file back from a backup to see\n\
             what changed, or:"
        )?;
        writeln!(out, "  benchlore deck build {} --apply", command(args))?;
        return Ok(());
    }
    if losses.is_empty() {
        return Ok(());
    }
    writeln!(out, "Learned by people ({}):", losses.len())?;
    for loss in losses {
        let id: String = loss.card.chars().take(8).collect();
        let who = rebuild::initials(workbench, &loss.who)?.join(", ");
        write!(out, "  {}  learned by {who}: {}", clean(&id), loss.name)?;
        match &loss.now {
            Some(_) if loss.kept => writeln!(out, "; memory goes along")?,
            Some(now) => writeln!(out, "; now {now}")?,
            None => writeln!(out, "; no longer made")?,
        }
    }
    if built.waits {
        writeln!(out, "Nothing was written. Look at these cards, then:")?;
        writeln!(out, "  benchlore deck build {} --apply", command(args))?;
    } else if losses.iter().any(|loss| !loss.kept && loss.now.is_some()) {
        writeln!(
            out,
            "They are shown what was corrected in their next sitting; their reviews stay."
        )?;
    }
    Ok(())
}

/// Returns the arguments of the build, to say it again.
fn command(args: &BuildArgs) -> String {
    let mut said = vec![clean(&args.deck)];
    let mut put = |option: &str, value: &str| {
        let plain = |c: char| c.is_alphanumeric() || "-_.".contains(c);
        let value = clean(value);
        said.push(if value.chars().all(plain) {
            format!("{option} {value}")
        } else {
            format!("{option} {value:?}")
        });
    };
    if let Some(name) = &args.name {
        put("--name", name);
    }
    args.board.iter().for_each(|board| put("--board", board));
    args.family
        .iter()
        .for_each(|family| put("--family", family));
    said.join(" ")
}

/// Returns what was built and what changed.
pub fn as_json(workbench: &Workbench, args: &BuildArgs, built: &Built) -> Result<Value, Failure> {
    let left_out: Vec<Value> = built
        .left_out
        .iter()
        .map(|(what, why)| json!({ "what": what, "why": why }))
        .collect();
    let changes: Vec<Value> = built.rebuild.changes.iter().map(change).collect();
    let mut learned = Vec::new();
    for loss in &built.rebuild.losses {
        learned.push(json!({
            "card": loss.card, "known_as": loss.known_as, "name": loss.name,
            "who": rebuild::initials(workbench, &loss.who)?,
            "was": loss.was, "now": loss.now, "kept": loss.kept,
        }));
    }
    let at_risk = built.rebuild.at_risk.iter().flat_map(|(change, jobs)| {
        jobs.iter().map(|job| {
            json!({
                "card": change.card, "job": job.job,
                "closed_on": job.closed_on.to_string(), "days_left": job.days_left,
            })
        })
    });
    let at_risk: Vec<Value> = at_risk.collect();
    Ok(json!({
        "v": 1, "deck": args.deck, "jobs": built.jobs, "cards": built.cards,
        "changed": built.changed, "from": built.from, "left_out": left_out, "warn": built.warn,
        "first": built.rebuild.first, "unread": built.rebuild.unread, "changes": changes, "learned": learned,
        "at_risk": at_risk, "waits": built.waits,
    }))
}

fn change(change: &Change) -> Value {
    let (was, now) = change.answer.clone().unzip();
    json!({
        "what": change.what.word(), "card": change.card, "board": change.board,
        "name": change.name, "why": change.why, "was": was, "now": now,
    })
}
