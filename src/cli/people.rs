//! `people`: who drills, and two repairs of a mistake: a sitting under the wrong name, a card tagged
//! out.

use std::io::Write;

use serde_json::json;

use crate::app::people;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::shop::Post;
use crate::domain::text::clean;

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
}

fn parse_post(text: &str) -> Result<Post, String> {
    Post::from_word(text).ok_or_else(|| "trainee, technician or lead".to_owned())
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
        PeopleCommand::Add { initials, role } => {
            let id = people::add(&workbench, initials, *role)?;
            writeln!(out, "Added {id}: {}", role.word())?;
        }
        PeopleCommand::List { json } => {
            for person in people::list(&workbench)? {
                if *json {
                    let line = json!({
                        "v": 1, "id": person.id, "initials": person.initials, "role": person.role,
                    });
                    output::line(out, &line)?;
                } else {
                    writeln!(
                        out,
                        "{}: {}, {}",
                        person.id,
                        clean(&person.initials),
                        person.role
                    )?;
                }
            }
            let faults = workbench.fault_lines(&workbench.people_faults()?);
            for fault in &faults {
                environment::complain(fault);
            }
            if !faults.is_empty() {
                return Ok(Exit::ToMend);
            }
        }
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
