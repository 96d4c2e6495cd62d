//! `drill`: one sitting, on the screen, line by line, or as JSON Lines.

use std::io::BufReader;
use std::io::Write;

use chrono::NaiveDate;

use crate::app::goal;
use crate::app::practice::Options;
use crate::app::practice::Practice;
use crate::app::workbench::Workbench;
use crate::cli::at_least_one;
use crate::cli::drill_json;
use crate::cli::drill_plain;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::screen;
use crate::domain::goal::Goal;
use crate::domain::queue::aim::Aim;
use crate::domain::shop::Person;

/// Drill one person for a quarter of an hour
///
/// The screen opens unless --plain or --json is given. Every answer is on the disk before the next
/// card is asked, so you can stop anywhere.
#[derive(clap::Args, Clone, Debug)]
pub struct DrillArgs {
    /// Drill this person, as `people list` names them; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Fit the sitting into this many minutes, 0.1 to 600
    #[arg(long, value_name = "MINUTES", default_value_t = 15.0, value_parser = parse_minutes, allow_negative_numbers = true)]
    pub minutes: f64,
    /// Ask only cards of this deck
    #[arg(long, value_name = "DECK")]
    pub deck: Option<String>,
    /// Ask only cards of this board
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// Ask only cards of this circuit family
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// Ask only N spot checks, drawn from the cards already met, due or not
    ///
    /// Before the first question it says how many can be asked and how narrow the interval of what
    /// you know will become.
    #[arg(long, value_name = "N", value_parser = at_least_one)]
    pub spot_check: Option<usize>,
    /// Offer fixes to choose from, on cards you have not met or missed the last time
    ///
    /// Three to five fixes that mended that board in other jobs; never near mains, stored charge or a
    /// lithium hazard, never for a cell or a safety part, and never in a spot check. Naming the fix yourself teaches more.
    #[arg(long)]
    pub options: bool,
    /// What the day aims at: steady (about three reviews in four right) or readiness
    ///
    /// Readiness asks more at the edge of forgetting and meets more new cards: about a third of the
    /// reviews fail, and a little more is known at the bench for the same minutes. Without it the
    /// person's own setting counts, then the shop's.
    #[arg(long, value_name = "AIM", value_parser = parse_aim)]
    pub aim: Option<Aim>,
    /// Begin with what brings the best mean recall on this day, of the cards that may be asked
    ///
    /// For this sitting, in place of the day that `people prefer` keeps; --deck, --board and --family
    /// say which cards.
    #[arg(long, value_name = "DATE", conflicts_with = "spot_check")]
    pub ready_by: Option<NaiveDate>,
    /// Ask line by line, for a screen reader, a pipe or a slow link
    #[arg(long, conflicts_with = "json")]
    pub plain: bool,
    /// Ask and take answers in JSON, one object a line
    #[arg(long)]
    pub json: bool,
}

fn parse_minutes(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|m| m.is_finite() && (0.1..=600.0).contains(m))
        .ok_or_else(|| "minutes go from 0.1 to 600".to_owned())
}

fn parse_aim(text: &str) -> Result<Aim, String> {
    Aim::from_word(text).ok_or_else(|| "the aim is steady or readiness".to_owned())
}

/// Runs one sitting.
pub fn run(args: &DrillArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let options = Options {
        minutes: args.minutes,
        deck: args.deck.clone(),
        board: args.board.clone(),
        family: args.family.clone(),
        only_spot_checks: args.spot_check,
        brief: None,
        options: args.options,
        aim: args.aim,
        goal: args.ready_by.map(|date| Goal {
            date,
            deck: args.deck.clone(),
            board: args.board.clone(),
            family: args.family.clone(),
            minutes: None,
        }),
    };
    let plain = args.plain || !around.environment.output_is_terminal;
    if !args.json && !plain {
        let person = args.person.clone();
        let (by, now) = (options.goal.clone(), around.clock.now());
        let who = move |shop: &Workbench| {
            if let Some(by) = &by {
                goal::check(shop, by, shop.day(now))?;
            }
            shop.person(person.as_deref()).map(Some)
        };
        return screen::open_at(who, options, around);
    }
    let workbench = around.workbench_for_drill()?;
    let person = workbench.person(args.person.as_deref())?;
    line_by_line(&workbench, &person, &options, args.json, (around, out))
}

/// Runs one sitting over standard input and output: JSON Lines, or plain lines.
pub fn line_by_line(
    workbench: &Workbench,
    person: &Person,
    options: &Options,
    json: bool,
    (around, out): (&Around<'_>, &mut dyn Write),
) -> Result<Exit, Failure> {
    let mut clock = around.clock;
    if let Some(goal) = &options.goal {
        goal::check(workbench, goal, workbench.day(clock.now()))?;
    }
    let mut practice = Practice::open(workbench, person, options, around.seed(), clock.now())?;
    for line in practice.to_mend() {
        environment::complain(&line);
    }
    let mut input = BufReader::new(std::io::stdin().lock());
    if json {
        drill_json::run(&mut practice, &mut clock, &mut input, out)?;
    } else {
        let echo = !around.environment.input_is_terminal;
        drill_plain::run(&mut practice, &mut clock, &mut input, out, echo)?;
    }
    Ok(Exit::Done)
}
