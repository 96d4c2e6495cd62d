//! `drill`: one sitting, on the screen, line by line, or as JSON Lines.

use std::io::BufReader;
use std::io::Write;

use crate::app::practice::Options;
use crate::app::practice::Practice;
use crate::cli::drill_json;
use crate::cli::drill_plain;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::screen;

/// Drill one person for a quarter of an hour
#[derive(clap::Args, Clone, Debug)]
pub struct DrillArgs {
    /// Whose drill it is; may be left out where the shop knows one person
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Minutes the sitting may take
    #[arg(long, value_name = "MINUTES", default_value_t = 15.0, value_parser = parse_minutes)]
    pub minutes: f64,
    /// Only cards of this deck
    #[arg(long, value_name = "DECK")]
    pub deck: Option<String>,
    /// Only cards of this board
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// Only cards of this circuit family
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// Only N spot checks, drawn regardless of schedule from the cards already met
    #[arg(long, value_name = "N")]
    pub spot_check: Option<usize>,
    /// Ask line by line, for a screen reader, a pipe or a slow link
    #[arg(long, conflicts_with = "json")]
    pub plain: bool,
    /// Ask and answer as JSON Lines
    #[arg(long)]
    pub json: bool,
}

fn parse_minutes(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|m| m.is_finite() && (0.1..=600.0).contains(m))
        .ok_or_else(|| "minutes go from 0.1 to 600".to_owned())
}

/// Runs one sitting.
pub fn run(args: &DrillArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let person = workbench.person(args.person.as_deref())?;
    let options = Options {
        minutes: args.minutes,
        deck: args.deck.clone(),
        board: args.board.clone(),
        family: args.family.clone(),
        only_spot_checks: args.spot_check,
    };
    let plain = args.plain || !around.environment.output_is_terminal;
    if !args.json && !plain {
        return screen::drill(workbench, &person, options, around);
    }
    let mut clock = around.clock;
    let mut practice = Practice::open(&workbench, &person, &options, around.seed(), clock.now())?;
    for line in practice.to_mend() {
        environment::complain(&line);
    }
    let mut input = BufReader::new(std::io::stdin().lock());
    if args.json {
        drill_json::run(&mut practice, &mut clock, &mut input, out)?;
    } else {
        let echo = !around.environment.input_is_terminal;
        drill_plain::run(&mut practice, &mut clock, &mut input, out, echo)?;
    }
    Ok(Exit::Done)
}
