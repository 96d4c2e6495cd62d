//! `fit`: the memory model's 21 parameters, fitted to people's reviews or to a bare list of them.

use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::fit;
use crate::app::fit::Fitted;
use crate::app::fit_show;
use crate::app::fit_show::Change;
use crate::app::fit_show::Named;
use crate::app::workbench::AppError;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::fit_log;
use crate::cli::output;
use crate::domain::in_force::Source;
use crate::domain::refit::Test;
use crate::domain::refit::Verdict;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::text::number_of;

/// Fit the memory model to a person's reviews, or to a list of them
///
/// The last fifth of the scored reviews is held out; a fit to those before them takes effect only where
/// it foretells the held-out ones better than what is in force. It is then made from all of them, kept in
/// the person's journal, and counts from the next card on; nothing that was kept before changes. Where
/// there is too little to fit, the shop's parameters stand (the mean of everyone's fits) or the published
/// ones. A drill does this by itself, whenever there are a fifth more scored reviews than at the last fit.
///
/// With --log it reads one JSON object a line instead: {"card":1,"t":1775115065,"grade":3}. The card is a
/// whole number or a text, t is seconds since 1970, the grade is 1 to 4 or missed, hunted, named,
/// on-sight. Days are UTC days, and nothing is kept.
///
/// Reviews on the day of the one before move memory and are not scored.
///
/// JSON: {"v", "people": [{"person", "initials", "scored", "held_out", "log_loss_before",
/// "log_loss_after", "took_effect", "verdict", "in_force", "weights", "kept"}]}. in_force is own, shop or
/// published; kept is the journal line. --show adds "today", null where nothing would change: {"come_in",
/// "go_out", "cards_before", "cards_after", "minutes_before", "minutes_after", "recall_before",
/// "recall_after", "moved": [{"card", "recall_before", "recall_after"}]}.
#[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
#[derive(clap::Args, Clone, Debug)]
pub struct FitArgs {
    /// Fit this person, as `people list` names them; may be left out where there is only one
    #[arg(long, value_name = "PERSON", conflicts_with_all = ["all", "log"])]
    pub person: Option<String>,
    /// Fit everyone, one after the other
    #[arg(long, conflicts_with = "log")]
    pub all: bool,
    /// Only say how today's sitting would change; nothing is kept
    #[arg(long, conflicts_with = "log")]
    pub show: bool,
    /// Fit a file of reviews instead, one JSON object a line; - reads standard input
    #[arg(long, value_name = "FILE")]
    pub log: Option<String>,
    /// Look at the reviews before this moment only, in seconds since 1970
    #[arg(
        long,
        value_name = "UNIX_SECONDS",
        allow_negative_numbers = true,
        requires = "log"
    )]
    pub before: Option<i64>,
    /// Print JSON; with --log: weights, scored, log_loss, cpu_ms, and fallback when nothing was fitted
    #[arg(long)]
    pub json: bool,
}

/// Fits and prints.
pub fn run(args: &FitArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    if let Some(file) = &args.log {
        return fit_log::run(file, args.before, args.json, out);
    }
    let workbench = if args.show {
        around.workbench()?
    } else {
        around.workbench_for_drill()?
    };
    let people: Vec<Person> = if args.all {
        workbench.people()?
    } else {
        vec![workbench.person(args.person.as_deref())?]
    };
    for line in workbench.fault_lines(&workbench.faults) {
        environment::complain(&line);
    }
    let now = around.clock.now();
    let mut exit = Exit::Done;
    let mut each = Vec::new();
    for person in &people {
        let done = if args.show {
            fit_show::show(&workbench, person, around.seed(), now)
        } else {
            fit::fit(&workbench, person, now).map(|fitted| (fitted, None))
        };
        match done {
            Ok((fitted, change)) => {
                for line in workbench.fault_lines(&fitted.faults) {
                    environment::complain(&line);
                }
                if args.json {
                    let mut line = as_json(&fitted, args.show);
                    if args.show {
                        line["today"] = change.as_ref().map_or(Value::Null, change_json);
                    }
                    each.push(line);
                } else {
                    print(&fitted, args.show, change.as_ref(), out)?;
                }
            }
            // One who drills just now is no reason to leave out the others.
            Err(AppError::Store(error)) if args.all => {
                let who = clean(&person.initials);
                environment::complain(&format!("{who}: {}", Failure::from(error)));
                exit = Exit::Failed;
            }
            Err(error) => return Err(error.into()),
        }
    }
    if args.json {
        output::line(out, &json!({ "v": 1, "people": each }))?;
    } else if people.is_empty() {
        writeln!(
            out,
            "Nobody is here yet: `benchlore people add MK` makes a person."
        )?;
    }
    Ok(exit)
}

/// Says whose parameters are in force.
fn whose(source: Source) -> String {
    match source {
        Source::Own => "the person's own".to_owned(),
        Source::Shop(people) => {
            let fits = number_of(people, "fit");
            format!("the shop's, the mean of {fits} of others and the published ones")
        }
        Source::Published => "the published ones".to_owned(),
    }
}

fn word(source: Source) -> &'static str {
    match source {
        Source::Own => "own",
        Source::Shop(_) => "shop",
        Source::Published => "published",
    }
}

/// Says what came of a fit in one sentence.
fn verdict(fitted: &Fitted, show: bool) -> String {
    let stay = format!("The parameters in force stay: {}.", whose(fitted.source));
    match &fitted.refit.verdict {
        Verdict::Takes(..) if show => {
            "It foretells the held-out reviews better: it would take effect.".to_owned()
        }
        Verdict::Takes(..) => {
            "It foretells the held-out reviews better and counts from now on.".to_owned()
        }
        Verdict::NoBetter(_) => {
            format!("It foretells the held-out reviews no better and is not used. {stay}")
        }
        Verdict::Idle(why) => format!("Nothing was fitted: {why}. {stay}"),
    }
}

fn test(verdict: &Verdict) -> Option<&Test> {
    match verdict {
        Verdict::Takes(_, test) | Verdict::NoBetter(test) => Some(test),
        Verdict::Idle(_) => None,
    }
}

fn print(
    fitted: &Fitted,
    show: bool,
    change: Option<&Change>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let scored = number_of(fitted.refit.scored, "scored review");
    writeln!(out, "{}: {scored}.", clean(&fitted.initials))?;
    if let Some(test) = test(&fitted.refit.verdict) {
        writeln!(
            out,
            "The last {} were held out: mean log loss {:.4} with what was in force, {:.4} with a fit to \
             those before.",
            test.held, test.before, test.after
        )?;
    }
    writeln!(out, "{}", verdict(fitted, show))?;
    if show {
        match change {
            Some(change) => print_change(change, out)?,
            None => writeln!(out, "Today's sitting would stay as it is.")?,
        }
    } else if fitted.kept.is_some() {
        fit_log::parameters(&fitted.weights, out)?;
    }
    Ok(())
}

fn print_change(change: &Change, out: &mut dyn Write) -> Result<(), Failure> {
    let (cards, minutes) = (change.cards, change.minutes);
    writeln!(
        out,
        "Today's sitting: {} in {:.1} minutes, {} in {:.1} after it.",
        number_of(cards.0, "card"),
        minutes.0,
        cards.1,
        minutes.1
    )?;
    if let Some((before, after)) = change.recall {
        writeln!(
            out,
            "Mean chance of recall today over the cards met: {before:.2}, {after:.2} after it (forecast)."
        )?;
    }
    for (label, cards) in [("Comes in", &change.come_in), ("Goes out", &change.go_out)] {
        for card in cards {
            writeln!(out, "{label}: {}", card.name)?;
        }
    }
    if change.come_in.is_empty() && change.go_out.is_empty() {
        writeln!(out, "No card comes in or goes out.")?;
    }
    for moved in &change.moved {
        let (before, after) = (moved.before, moved.after);
        let name = &moved.card.name;
        writeln!(out, "Recall {before:.2}, {after:.2} after it: {name}")?;
    }
    Ok(())
}

/// Returns one person's fit.
fn as_json(fitted: &Fitted, show: bool) -> Value {
    let test = test(&fitted.refit.verdict);
    json!({
        "person": fitted.person,
        "initials": fitted.initials,
        "scored": fitted.refit.scored,
        "held_out": test.map_or(0, |test| test.held),
        "log_loss_before": test.map(|test| test.before),
        "log_loss_after": test.map(|test| test.after),
        "took_effect": fitted.kept.is_some(),
        "verdict": verdict(fitted, show),
        "in_force": word(fitted.source),
        "weights": fitted.weights.get(),
        "kept": fitted.kept,
    })
}

fn change_json(change: &Change) -> Value {
    let ids = |cards: &[Named]| {
        cards
            .iter()
            .map(|named| named.card.clone())
            .collect::<Vec<_>>()
    };
    let moved = change.moved.iter().map(|moved| {
        json!({ "card": moved.card.card, "recall_before": moved.before, "recall_after": moved.after })
    });
    json!({
        "come_in": ids(&change.come_in),
        "go_out": ids(&change.go_out),
        "cards_before": change.cards.0,
        "cards_after": change.cards.1,
        "minutes_before": change.minutes.0,
        "minutes_after": change.minutes.1,
        "recall_before": change.recall.map(|recall| recall.0),
        "recall_after": change.recall.map(|recall| recall.1),
        "moved": moved.collect::<Vec<_>>(),
    })
}
