//! `plan`: what the coming weeks bring at so many minutes a day, and what is reachable by a date.

use std::io::Write;
use std::sync::Mutex;
use std::sync::PoisonError;

use chrono::NaiveDate;
use serde_json::Value;
use serde_json::json;

use crate::app::gap_lines::Fact;
use crate::app::gaps;
use crate::app::people;
use crate::app::plan;
use crate::app::plan::Ask;
use crate::app::plan::Plan;
use crate::app::plan_lines;
use crate::app::practice;
use crate::app::practice::Options;
use crate::app::ready_by;
use crate::app::ready_by::ReadyBy;
use crate::app::way_back::Recovery;
use crate::app::workbench::Workbench;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::cli::people::parse_goal_minutes;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::outlook::Covered;
use crate::domain::ahead::picture;
use crate::domain::goal::Goal;
use crate::domain::shop::Person;
use crate::domain::text::clean;

/// What `--json` holds, for the help.
const SHAPES: &str = "\
A band is {\"low\", \"mid\", \"high\"}: a tenth, half and nine tenths of the simulated runs gave less. \
Shares go from 0 to 1, days are counted from today.

--json prints {\"v\":1, \"person\", \"scope\" (null for all cards), \"day\", \"until\", \"days\", \"minutes\", \"sittings_a_week\", \"cards\", \
\"met\", \"answers\", \"runs\", \"expected\" (of the spot checks of 90 days: {\"of\", \"recalled_expected\", \"low\", \"high\", \"recalled\"} or null), \"ready\" [{\"day\", then a band: job-weighted recall that morning, a card never \
met counting as none}], \"undrilled\", \"covered\" {\"days\" [three, null where later], \"share\"}, \
\"new_a_sitting\", \"right\" (band or null), \"families\" [{\"id\", \"cards\", \"met\", \"now\", \"then\"}], \
\"budgets\" [{\"minutes\", \"ready\", \"met\", \"covered\", \"new_a_sitting\", \"right\"}], \"targets\" \
[{\"recall\", \"forecast_days\", \"now\", \"then\"}], \"recovery\" null or {\"away\", \"before\", \"now\", \
\"sittings\" (band or null), \"days\" (in which those are expected, or null), \"lost\" [{\"family\", \"jobs\"}], \"first\" [{\"families\", \"after\"}]}}.

With --ready-by it prints {\"v\":1, \"person\", \"scope\", \"day\", \"date\", \"minutes\", \"target\", \"cards\", \"met\", \
\"answers\", \"runs\", \"now\", \"undrilled\", \"usual\", \"reached\", \"mean\", \"above\", \"is_reached\", \
\"minutes_needed\" (null where reached, or where 120 are too few), \"beside\" (null where no other cards are drilled, or \
{\"cards\", \"minutes\", \"with\", \"with_mean\", \"usual\", \"usual_mean\"}: job-weighted recall of the others), \"kept\", \"days\" [{\"day\", \"cards\" (ids), \"new\", \
\"minutes\"}]}; here recall is the plain mean over the cards.

Exit codes: 0 done, 1 failed, 2 wrong usage, 3 done and something is there to mend.";

/// Show what the coming weeks bring at so many minutes a day
///
/// The days ahead are simulated many times over in the very order of the daily drill, from where the
/// person's memory stands: how much will be known, when all cards will have been met, what five minutes
/// more or less would change. With --ready-by it plans backwards from a date instead.
#[derive(clap::Args, Clone, Debug)]
#[command(after_long_help = SHAPES)]
pub struct PlanArgs {
    /// Plan for this person, as `people list` names them; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Look this many days ahead, 1 to 730
    #[arg(long, value_name = "N", default_value_t = plan::DAYS, value_parser = parse_days, conflicts_with = "ready_by")]
    pub days: u32,
    /// Drill this many minutes a day, 0 to 600
    #[arg(long, value_name = "M", default_value_t = practice::MINUTES, value_parser = parse_minutes)]
    pub minutes: f64,
    /// Recall that counts as kept, between 0 and 1; without it the shop's target
    ///
    /// The order of the day does not ask for it: it changes forecasts and what is counted.
    #[arg(long, value_name = "R", value_parser = parse_target)]
    pub target: Option<f64>,
    /// Plan backwards from this day: the best mean recall that the minutes until then can buy
    ///
    /// It says which cards to ask on which days, what that reaches, and how many minutes a day would
    /// reach the target where these do not.
    #[arg(long, value_name = "DATE")]
    pub ready_by: Option<NaiveDate>,
    /// Keep that day: from now on the daily drill begins with what it needs
    ///
    /// With --minutes it gives it at most so many minutes of a sitting. `people prefer PERSON` shows it,
    /// `people prefer PERSON --ready-by none` drops it; it ends by itself on its day.
    #[arg(long, requires = "ready_by")]
    pub keep: bool,
    /// Only cards of this deck
    #[arg(long, value_name = "DECK")]
    pub deck: Option<String>,
    /// Only cards of this board
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// Only cards of this circuit family
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

fn parse_days(text: &str) -> Result<u32, String> {
    let (least, most) = plan::DAYS_BOUNDS;
    text.parse::<u32>()
        .ok()
        .filter(|days| (least..=most).contains(days))
        .ok_or_else(|| format!("days go from {least} to {most}"))
}

fn parse_minutes(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|m| m.is_finite() && (0.0..=600.0).contains(m))
        .ok_or_else(|| "minutes go from 0 to 600".to_owned())
}

fn parse_target(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|r| 0.0 < *r && *r < 1.0)
        .ok_or_else(|| "a target recall lies between 0 and 1, such as 0.9".to_owned())
}

/// Prints the plan.
pub fn run(args: &PlanArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let person = gaps::person(&workbench, args.person.as_deref())?;
    let goal = match args.ready_by.filter(|_| args.keep) {
        Some(date) => Some(kept(args, date)?),
        None => None,
    };
    let ask = Ask {
        options: Options {
            goal: goal.clone(),
            minutes: args.minutes,
            deck: args.deck.clone(),
            board: args.board.clone(),
            family: args.family.clone(),
            ..Options::default()
        },
        days: args.days,
        target: args.target,
        seed: around.given_seed(),
    };
    let meter = Mutex::new(environment::late_progress());
    let step = |what: &'static str| {
        let meter = &meter;
        move |done: u64, all: u64| {
            let mut meter = meter.lock().unwrap_or_else(PoisonError::into_inner);
            meter.bar(what, done, all);
            true
        }
    };
    let end = || {
        let mut meter = meter.lock().unwrap_or_else(PoisonError::into_inner);
        meter.end();
    };
    let faults = if let Some(date) = args.ready_by {
        let asked = (&ask, date);
        let now = around.clock.now();
        let planning = step("planning");
        let tell = |done: u64, all: u64| {
            planning(done, all);
        };
        let found = ready_by::ready_by(&workbench, &person, asked, now, &tell);
        end();
        let found = found?;
        if let Some(goal) = goal {
            people::be_ready_by(&workbench, &person.id, Some(goal), workbench.day(now))?;
        }
        if args.json {
            output::line(out, &ready_value(&found, args.keep))?;
        } else {
            write_ready(&found, out)?;
            if args.keep {
                writeln!(out, "{}", plan_lines::KEPT)?;
            }
        }
        found.faults
    } else {
        let found = made(&workbench, &person, &ask, around, &step("simulating"));
        end();
        let found = found?;
        if args.json {
            output::line(out, &plan_value(&found))?;
        } else {
            write_plan(&found, out)?;
        }
        found.faults
    };
    let faults: Vec<&String> = faults.iter().collect();
    Ok(environment::mend(&faults))
}

/// Returns the day to keep; minutes that were not said leave it the whole sitting.
fn kept(args: &PlanArgs, date: NaiveDate) -> Result<Goal, Failure> {
    let usual = (args.minutes - practice::MINUTES).abs() < 1e-9;
    let minutes = if usual {
        None
    } else {
        let read = parse_goal_minutes(&args.minutes.to_string());
        Some(read.map_err(|why| {
            Failure::usage(format!("a day that is kept takes {why}"))
                .hint("leave --minutes out to give it the whole sitting")
        })?)
    };
    Ok(Goal {
        date,
        deck: args.deck.clone(),
        board: args.board.clone(),
        family: args.family.clone(),
        minutes,
    })
}

fn made(
    workbench: &Workbench,
    person: &Person,
    ask: &Ask,
    around: &Around<'_>,
    step: &(dyn Fn(u64, u64) -> bool + Sync),
) -> Result<Plan, Failure> {
    Ok(plan::plan(
        workbench,
        person,
        ask,
        around.clock.now(),
        step,
    )?)
}

/// Columns of the picture in lines.
const COLUMNS: usize = 68;

fn write_plan(plan: &Plan, out: &mut dyn Write) -> Result<(), Failure> {
    let scope = scope(plan.scope.as_deref());
    writeln!(
        out,
        "Plan: {}, {}{scope}",
        plan.initials,
        plan_lines::span(plan)
    )?;
    writeln!(out, "{}", plan_lines::picture(plan))?;
    let until = plan_lines::date(plan.until, plan.day);
    for line in picture::band(&plan.at, &plan.ready, ("today", &until), COLUMNS) {
        writeln!(out, "{line}")?;
    }
    writeln!(out)?;
    write_facts(&plan_lines::facts(plan), out)?;
    writeln!(out)?;
    write_table(&plan_lines::budgets(plan, false), out)?;
    writeln!(out)?;
    write_table(&plan_lines::families(plan), out)?;
    writeln!(out)?;
    write_table(&plan_lines::targets(plan), out)?;
    writeln!(out, "{}", plan_lines::TARGET_CHANGES)?;
    writeln!(out)?;
    writeln!(out, "{}", plan_lines::LEFT_OUT)?;
    Ok(())
}

/// Days of a plan that are printed one by one.
const DAYS_PRINTED: usize = 14;

fn write_ready(found: &ReadyBy, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(
        out,
        "Ready by {}: {}, {} a day{}",
        found.date,
        found.initials,
        plan_lines::minutes(found.minutes),
        scope(found.scope.as_deref())
    )?;
    write_facts(&plan_lines::ready_by(found), out)?;
    writeln!(out)?;
    for day in found.days.iter().take(DAYS_PRINTED) {
        writeln!(out, "{}", plan_lines::day(day))?;
    }
    if let Some(more) = found
        .days
        .len()
        .checked_sub(DAYS_PRINTED)
        .filter(|n| 0 < *n)
    {
        writeln!(
            out,
            "… and {more} more days; --json names the cards of each"
        )?;
    }
    writeln!(out)?;
    writeln!(out, "{}", plan_lines::DAYS_EXPECTED)?;
    writeln!(out, "{}", plan_lines::LEFT_OUT)?;
    Ok(())
}

fn scope(scope: Option<&str>) -> String {
    scope.map_or_else(String::new, |scope| format!(", {scope}"))
}

fn write_facts(facts: &[Fact], out: &mut dyn Write) -> Result<(), Failure> {
    for fact in facts {
        match fact.label {
            "" => writeln!(out, "  {}", fact.text)?,
            label => writeln!(out, "{label}: {}", fact.text)?,
        }
    }
    Ok(())
}

fn write_table<const N: usize>(rows: &[[String; N]], out: &mut dyn Write) -> Result<(), Failure> {
    for line in plan_lines::in_columns(rows) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}

fn band(band: Band) -> Value {
    json!({ "low": band.low, "mid": band.mid, "high": band.high })
}

fn covered(covered: Covered) -> Value {
    json!({ "days": covered.days, "share": covered.share })
}

fn plan_value(plan: &Plan) -> Value {
    let ready: Vec<Value> = plan
        .at
        .iter()
        .zip(&plan.ready)
        .map(|(day, on)| json!({ "day": day, "low": on.low, "mid": on.mid, "high": on.high }))
        .collect();
    let families: Vec<Value> = plan
        .families
        .iter()
        .map(|f| {
            json!({ "id": f.id, "cards": f.cards, "met": f.met, "now": f.now, "then": band(f.then) })
        })
        .collect();
    let budgets: Vec<Value> = plan
        .budgets
        .iter()
        .map(|b| {
            json!({
                "minutes": b.minutes, "ready": band(b.ready), "met": band(b.met),
                "covered": covered(b.covered), "new_a_sitting": b.new_a_sitting,
                "right": b.right.map(band),
            })
        })
        .collect();
    let targets: Vec<Value> = plan
        .targets
        .iter()
        .map(|t| {
            json!({ "recall": t.recall, "forecast_days": t.days, "now": t.now, "then": band(t.then) })
        })
        .collect();
    json!({
        "v": 1,
        "person": plan.person,
        "scope": plan.scope,
        "day": plan.day.to_string(),
        "until": plan.until.to_string(),
        "days": plan.days,
        "minutes": plan.minutes,
        "sittings_a_week": plan.sittings_a_week,
        "cards": plan.cards,
        "met": plan.met,
        "answers": plan.answers,
        "runs": plan.runs,
        "expected": plan.expected.map(|e| json!({
            "of": e.model.of, "recalled_expected": e.model.mean, "low": e.model.low,
            "high": e.model.high, "recalled": e.recalled,
        })),
        "ready": ready,
        "undrilled": plan.undrilled,
        "covered": covered(plan.covered),
        "new_a_sitting": plan.new_a_sitting,
        "right": plan.right.map(band),
        "families": families,
        "budgets": budgets,
        "targets": targets,
        "recovery": plan.recovery.as_ref().map(recovery_value),
    })
}

fn recovery_value(recovery: &Recovery) -> Value {
    let lost: Vec<Value> = recovery
        .lost
        .iter()
        .map(|(family, jobs)| json!({ "family": family, "jobs": jobs }))
        .collect();
    let first: Vec<Value> = recovery
        .first
        .iter()
        .map(|(families, after)| json!({ "families": families, "after": band(*after) }))
        .collect();
    json!({
        "away": recovery.away,
        "before": recovery.before,
        "now": recovery.now,
        "sittings": recovery.sittings.map(band),
        "days": recovery.days,
        "lost": lost,
        "first": first,
    })
}

fn ready_value(found: &ReadyBy, kept: bool) -> Value {
    let days: Vec<Value> = found
        .days
        .iter()
        .map(|day| {
            let cards: Vec<String> = day.cards.iter().map(|card| clean(card)).collect();
            json!({
                "day": day.day.to_string(), "cards": cards, "new": day.new, "minutes": day.minutes,
            })
        })
        .collect();
    json!({
        "v": 1,
        "person": found.person,
        "scope": found.scope,
        "day": found.day.to_string(),
        "date": found.date.to_string(),
        "minutes": found.minutes,
        "target": found.target,
        "cards": found.cards,
        "met": found.met,
        "answers": found.answers,
        "runs": found.runs,
        "now": found.now,
        "undrilled": found.undrilled,
        "usual": band(found.usual),
        "reached": band(found.reached),
        "mean": found.mean,
        "above": band(found.above),
        "is_reached": found.is_reached(),
        "minutes_needed": found.needs,
        "beside": found.beside.as_ref().map(|beside| json!({
            "cards": beside.cards,
            "minutes": beside.minutes,
            "with": band(beside.with),
            "with_mean": beside.with_mean,
            "usual": band(beside.usual),
            "usual_mean": beside.usual_mean,
        })),
        "kept": kept,
        "days": days,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_out_of_bounds_are_refused_with_their_bounds() {
        assert_eq!(parse_days("90"), Ok(90));
        for text in ["0", "-1", "731", "x", ""] {
            assert!(
                parse_days(text).is_err_and(|why| why.contains("1 to 730")),
                "{text}"
            );
        }
        assert!(parse_minutes("0").is_ok() && parse_minutes("7.5").is_ok());
        for text in ["-1", "601", "NaN", "inf", ""] {
            assert!(parse_minutes(text).is_err(), "{text}");
        }
        assert!(parse_target("0.85").is_ok());
        for text in ["0", "1", "90", "NaN", "-0.5"] {
            assert!(
                parse_target(text).is_err_and(|why| why.contains("0.9")),
                "{text}"
            );
        }
    }
}
