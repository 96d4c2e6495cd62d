//! `people`: who drills what, and two repairs of a mistake: a sitting under the wrong name, a card
//! tagged out.

use std::io::Write;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;
use serde_json::Value;
use serde_json::json;

use crate::app::forget;
use crate::app::people;
use crate::app::workbench::Workbench;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::goal::Goal;
use crate::domain::goal::MINUTES;
use crate::domain::shop::Assigned;
use crate::domain::shop::Post;
use crate::domain::text::clean;
use crate::domain::text::number_of;

/// Add and list the people who drill, and repair mix-ups
#[derive(clap::Subcommand, Clone, Debug)]
pub enum PeopleCommand {
    /// Add a person by initials
    Add {
        /// Initials, one to four letters or digits
        initials: String,
        /// Add the person as trainee, technician or lead
        #[arg(long, value_name = "ROLE", default_value = "trainee", value_parser = parse_post)]
        role: Post,
    },
    /// List the people
    List {
        /// Print JSON, one object a person
        #[arg(long)]
        json: bool,
    },
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Assign(AssignArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Prefer(PreferArgs),
    /// Give a sitting taken under the wrong name to the person whose it was
    GiveSitting {
        /// Sitting to give, as `drill --plain` prints it at its end
        sitting: String,
        /// Take it from this person, under whose name it was kept
        #[arg(long, value_name = "PERSON")]
        from: String,
        /// Give it to this person, whose it was
        #[arg(long, value_name = "PERSON")]
        to: String,
    },
    /// Put a card back into use that a person had tagged out
    Untag {
        /// Card to put back, by its whole id
        card: String,
        /// Put it back for this person, who had tagged it
        #[arg(long, value_name = "PERSON")]
        person: String,
        /// Note why it may return
        #[arg(
            long,
            value_name = "WORDS",
            default_value = "",
            hide_default_value = true
        )]
        why: String,
    },
    /// Erase a person; their jobs keep counting, without initials
    ///
    /// Journals, name and folder go. In jobs and edits a neutral mark such as former-1 stands in place
    /// of the initials. Sittings given to others stay with them. What goes is said first. If a run is
    /// cut short, the same command finishes it. Backups and copies elsewhere are not reached.
    Forget {
        /// Person to erase, by initials
        person: String,
        /// Do not ask for the initials again
        #[arg(long)]
        yes: bool,
        /// Only say what would go
        #[arg(long, conflicts_with = "yes")]
        dry_run: bool,
    },
}

/// Give a person decks, boards or circuit families to drill
///
/// What is named comes on top of what the person has; a drill then asks what belongs to any of it.
/// Whoever has nothing in particular drills the shop's usual mix: every card, by how often its fault was
/// repaired in the last 24 months and by the boards on their way in (`incoming` in shop.json). A deck,
/// board or family named at the drill itself comes before all this. Without options it says what the
/// person has.
#[derive(clap::Args, Clone, Debug)]
pub struct AssignArgs {
    /// Person to give them to
    pub person: String,
    /// Give this deck; may be given several times
    #[arg(long, value_name = "DECK")]
    pub deck: Vec<String>,
    /// Give this board; may be given several times
    #[arg(long, value_name = "BOARD")]
    pub board: Vec<String>,
    /// Give this circuit family; may be given several times
    #[arg(long, value_name = "FAMILY")]
    pub family: Vec<String>,
    /// Drop what the person has first; alone, this brings back the usual mix
    #[arg(long)]
    pub instead: bool,
}

/// Say how a person likes to be asked, and a day to be ready by
///
/// It holds for every drill of that person, on the screen as well. Fixes are offered on cards not met
/// yet or missed the last time, never in a spot check or a brief; a free answer teaches more, so this
/// is for the first weeks, or for gloved hands.
///
/// With a day to be ready by, each sitting begins with the cards that bring the best mean recall on the
/// morning of that day, planned anew from where the person stands; the usual order has the minutes that
/// are left. It ends by itself on its day. Without options it says what the person has chosen.
#[derive(clap::Args, Clone, Debug)]
pub struct PreferArgs {
    /// Person it is about
    pub person: String,
    /// Offer 3 to 5 fixes of the board to choose from, as `drill --options` does for one sitting
    #[arg(long, value_name = "YES|NO", value_parser = parse_yes)]
    pub options: Option<bool>,
    /// Be ready by this day, after today; none drops the one that stands
    #[arg(long, value_name = "DATE|NONE", value_parser = parse_day)]
    pub ready_by: Option<ReadyDay>,
    /// Be ready for the cards of this deck; without deck, board and family for all
    #[arg(long, value_name = "DECK", requires = "ready_by")]
    pub deck: Option<String>,
    /// Be ready for the cards of this board
    #[arg(long, value_name = "BOARD", requires = "ready_by")]
    pub board: Option<String>,
    /// Be ready for the cards of this circuit family
    #[arg(long, value_name = "FAMILY", requires = "ready_by")]
    pub family: Option<String>,
    /// Give it at most so many minutes of a day, 1 to 600; without it the whole sitting
    #[arg(long, value_name = "M", requires = "ready_by", value_parser = parse_goal_minutes, allow_negative_numbers = true)]
    pub minutes: Option<u32>,
}

/// A day to be ready by, or none any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReadyDay(pub Option<NaiveDate>);

fn parse_day(text: &str) -> Result<ReadyDay, String> {
    if text == "none" {
        return Ok(ReadyDay(None));
    }
    let day = text.parse().ok();
    day.map(|day| ReadyDay(Some(day)))
        .ok_or_else(|| "a day is written 2026-12-20; none drops it".to_owned())
}

/// Reads the minutes of a day that go to a day to be ready by.
pub(crate) fn parse_goal_minutes(text: &str) -> Result<u32, String> {
    let (least, most) = MINUTES;
    text.parse::<u32>()
        .ok()
        .filter(|minutes| (least..=most).contains(minutes))
        .ok_or_else(|| format!("whole minutes from {least} to {most}"))
}

fn parse_post(text: &str) -> Result<Post, String> {
    Post::from_word(text).ok_or_else(|| "trainee, technician or lead".to_owned())
}

fn parse_yes(text: &str) -> Result<bool, String> {
    match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("yes or no".to_owned()),
    }
}

/// Runs one of the commands.
pub fn run(
    command: &PeopleCommand,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let now = around.clock.now();
    match command {
        PeopleCommand::Forget {
            person,
            yes,
            dry_run,
        } => return forget(&workbench, around, (person, *yes, *dry_run), out),
        PeopleCommand::Add { initials, role } => {
            let id = people::add(&workbench, initials, *role)?;
            writeln!(out, "Added {id}: {}", role.word())?;
        }
        PeopleCommand::List { json } => {
            for person in people::list(&workbench)? {
                if *json {
                    let assigned = &person.assigned;
                    let line = json!({
                        "v": 1, "id": person.id, "initials": person.initials, "role": person.role,
                        "assigned": {
                            "decks": assigned.decks, "boards": assigned.boards,
                            "families": assigned.families,
                        },
                        "options": person.options,
                        "ready_by": goal_value(person.goal.as_ref()),
                    });
                    output::line(out, &line)?;
                } else {
                    writeln!(
                        out,
                        "{}: {}, {}, {}{}{}",
                        person.id,
                        clean(&person.initials),
                        person.role,
                        drills(&person.assigned),
                        if person.options {
                            ", fixes to choose from"
                        } else {
                            ""
                        },
                        person
                            .goal
                            .as_ref()
                            .map_or_else(String::new, |goal| format!(", {}", ready_by(goal)))
                    )?;
                }
            }
            let faults = workbench.fault_lines(&workbench.people_faults()?);
            return Ok(environment::mend(&faults));
        }
        PeopleCommand::Assign(args) => assign(args, &workbench, out)?,
        PeopleCommand::Prefer(args) => prefer(args, (&workbench, now), out)?,
        PeopleCommand::GiveSitting { sitting, from, to } => {
            people::give_sitting(&workbench, sitting, from, to, now)?;
            writeln!(
                out,
                "Sitting {} now counts for {}",
                clean(sitting),
                clean(to)
            )?;
        }
        PeopleCommand::Untag { card, person, why } => {
            people::untag(&workbench, person, card, why, now)?;
            writeln!(
                out,
                "Card {} is back in use for {}",
                clean(card),
                clean(person)
            )?;
        }
    }
    Ok(Exit::Done)
}

fn prefer(
    args: &PreferArgs,
    (workbench, now): (&Workbench, DateTime<Utc>),
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let scope = [&args.deck, &args.board, &args.family];
    let more = args.minutes.is_some() || scope.into_iter().any(Option::is_some);
    if args.ready_by == Some(ReadyDay(None)) && more {
        return Err(
            Failure::usage("`--ready-by none` drops the day and takes nothing else")
                .hint("leave --deck, --board, --family and --minutes out"),
        );
    }
    if let Some(offer) = args.options {
        people::offer_fixes(workbench, &args.person, offer)?;
    }
    if let Some(ReadyDay(day)) = args.ready_by {
        let goal = day.map(|date| Goal {
            date,
            deck: args.deck.clone(),
            board: args.board.clone(),
            family: args.family.clone(),
            minutes: args.minutes,
        });
        people::be_ready_by(workbench, &args.person, goal, workbench.day(now))?;
    }
    let person = workbench.person(Some(&args.person))?;
    let says = |asked: bool| asked || args.options.is_none() && args.ready_by.is_none();
    if says(args.options.is_some()) {
        let how = if person.options {
            "to choose from"
        } else {
            "free"
        };
        writeln!(out, "{}: fixes are {how}", clean(&person.id))?;
    }
    if says(args.ready_by.is_some()) {
        let goal = person.goal.as_ref();
        let by = goal.map_or_else(|| "no day to be ready by".to_owned(), ready_by);
        writeln!(out, "{}: {by}", clean(&person.id))?;
    }
    Ok(())
}

/// Says a day to be ready by in words: `ready by 2026-12-20, board petrel-p4, at most 10 minutes a day`.
pub(crate) fn ready_by(goal: &Goal) -> String {
    let minutes = goal.minutes.map_or_else(String::new, |minutes| {
        let minutes = number_of(minutes as usize, "minute");
        format!(", at most {minutes} a day")
    });
    format!("ready by {}, {}{minutes}", goal.date, clean(&goal.scope()))
}

/// Returns a day to be ready by as JSON; null without one.
pub(crate) fn goal_value(goal: Option<&Goal>) -> Value {
    goal.map_or(Value::Null, |goal| {
        let name = |id: &Option<String>| id.as_deref().map(clean);
        json!({
            "date": goal.date.to_string(), "deck": name(&goal.deck), "board": name(&goal.board),
            "family": name(&goal.family), "minutes": goal.minutes,
        })
    })
}

fn assign(args: &AssignArgs, workbench: &Workbench, out: &mut dyn Write) -> Result<(), Failure> {
    let more = Assigned {
        decks: args.deck.clone(),
        boards: args.board.clone(),
        families: args.family.clone(),
    };
    let has = people::assign(workbench, &args.person, &more, args.instead)?;
    writeln!(out, "{}: {}", clean(&args.person), drills(&has))?;
    Ok(())
}

/// Says what a person drills, in words.
fn drills(assigned: &Assigned) -> String {
    if assigned.is_usual_mix() {
        return "the shop's usual mix".to_owned();
    }
    let named = [
        ("deck", &assigned.decks),
        ("board", &assigned.boards),
        ("circuit", &assigned.families),
    ];
    let parts: Vec<String> = named
        .into_iter()
        .filter(|(_, ids)| !ids.is_empty())
        .map(|(what, ids)| format!("{what} {}", clean(&ids.join(", "))))
        .collect();
    format!("drills {}", parts.join("; "))
}

fn forget(
    workbench: &Workbench,
    around: &Around<'_>,
    (person, yes, dry_run): (&str, bool, bool),
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let plan = forget::plan(workbench, person)?;
    let initials = clean(&plan.leaving.initials);
    say_what_goes(&plan, &initials, out)?;
    if dry_run {
        return Ok(Exit::Done);
    }
    if !yes {
        if !around.environment.input_is_terminal {
            return Err(
                Failure::usage("nothing was erased: nobody is here to confirm it")
                    .hint("in a script, say --yes"),
            );
        }
        write!(out, "This cannot be taken back. Type {initials} to go on: ")?;
        out.flush()?;
        if !forget::confirms(&plan, &environment::typed_line()?) {
            return Err(Failure::failed(
                "nothing was erased: those are not the initials",
            ));
        }
    }
    forget::carry_out(workbench, &plan, around.clock.now())?;
    writeln!(out, "{initials} is erased")?;
    Ok(Exit::Done)
}

fn say_what_goes(plan: &forget::Plan, initials: &str, out: &mut dyn Write) -> Result<(), Failure> {
    let mark = clean(&plan.leaving.mark);
    if plan.begun {
        writeln!(out, "An erasure was begun; it is finished now.")?;
    }
    writeln!(
        out,
        "What goes: {} in {}",
        number_of(plan.reviews, "review line"),
        number_of(plan.files.len(), "file")
    )?;
    for file in &plan.files {
        writeln!(out, "  {}", clean(file))?;
    }
    writeln!(out, "What stays, with {mark} in place of {initials}:")?;
    writeln!(
        out,
        "  {} and {}",
        number_of(plan.jobs, "job line"),
        number_of(plan.edits, "edit")
    )?;
    if plan.intake > 0 {
        writeln!(out, "  {} of the backlog", number_of(plan.intake, "line"))?;
    }
    if plan.open > 0 {
        let lines = number_of(plan.open, "line");
        writeln!(out, "  {lines} about jobs still on a bench")?;
    }
    for (person, n) in &plan.given {
        let answers = number_of(*n, "answer");
        writeln!(
            out,
            "  {answers} of sittings that were given to {}",
            clean(person)
        )?;
    }
    if plan.moves > 0 {
        let moves = number_of(plan.moves, "sitting");
        writeln!(
            out,
            "  {moves} that others had given to {initials}: nobody's now"
        )?;
    }
    if !plan.freed.is_empty() {
        let cards = clean(&plan.freed.join(", "));
        writeln!(
            out,
            "Back in use, since too few hold them for doubtful without {initials}: {cards}"
        )?;
    }
    if !plan.mentions.is_empty() {
        let n = number_of(plan.mentions.len(), "line");
        let first = clean(&plan.mentions[0]);
        writeln!(
            out,
            "Not touched: {n} with {initials} in a note or raw text, the first {first}"
        )?;
    }
    if let Some(first) = plan.unread.first() {
        let n = number_of(plan.unread.len(), "line");
        writeln!(
            out,
            "Not touched: {n} that cannot be read, the first {}",
            clean(first)
        )?;
    }
    writeln!(
        out,
        "Not reached: backups, copies of this folder on other benches, and printed pages."
    )?;
    Ok(())
}
