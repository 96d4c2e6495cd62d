//! `deck`: build decks from closed jobs, list them, show cards; what a lead does to cards is in `desk.rs`.

use std::io::Write;
use std::sync::Mutex;
use std::sync::PoisonError;

use serde_json::json;

use crate::app::archive;
use crate::app::archive::BuildOptions;
use crate::app::face;
use crate::app::shipped;
use crate::app::workbench::Workbench;
use crate::cli::deck_files;
use crate::cli::deck_files::BorrowArgs;
use crate::cli::deck_files::LendArgs;
use crate::cli::deck_files::LintArgs;
use crate::cli::deck_print;
use crate::cli::deck_print::PrintArgs;
use crate::cli::desk;
use crate::cli::desk::DeskCommand;
use crate::cli::drill_plain;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::cli::rebuilt;
use crate::domain::text::clean;
use crate::domain::text::number_of;

/// Build decks of cards from closed jobs, list and show them, sign and mend cards
#[derive(clap::Subcommand, Clone, Debug)]
pub enum DeckCommand {
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Build(BuildArgs),
    /// List the decks: those of the shop, and those that ship with the program
    List {
        /// Print JSON, one object a deck
        #[arg(long)]
        json: bool,
    },
    /// Show the cards of a deck, front and back
    Show {
        /// Deck to show, as `deck list` names it
        #[arg(default_value = archive::DEFAULT_DECK)]
        deck: String,
        /// Show only this card, by its id or the beginning of it
        #[arg(long, value_name = "CARD")]
        card: Option<String>,
        /// Print JSON, one object a card
        #[arg(long)]
        json: bool,
    },
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Lint(LintArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Lend(LendArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Borrow(BorrowArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Print(PrintArgs),
    /// Put a deck that ships with the program into the shop
    ///
    /// `bench-rules` teaches the order of work at the bench, `bench-safety` its hazards. A file that is
    /// there is never written over.
    Add {
        /// Deck to add, as `deck list` names it
        deck: String,
        /// Print what was added as JSON
        #[arg(long)]
        json: bool,
    },
    #[command(flatten)]
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Lead(DeskCommand),
}

/// Build a deck from the closed jobs
///
/// Jobs are grouped by board, by what fixed it, and by how the part had failed. A card shows the fewest
/// findings that tell its fix from the board's other fixes. The same jobs give the same deck, byte for
/// byte.
///
/// Of a deck that was there before, what changed is listed card by card. Where someone has learned a
/// card whose answer would change, or that would no longer be made, nothing is written until you say
/// --apply, and the command ends with 3; so it does where cards were answered and the deck before cannot
/// be read. Everyone who had learned such a card is then shown it first, with what it was and what it is
/// now; their memory of it starts again, and the reviews stay.
#[derive(clap::Args, Clone, Debug)]
pub struct BuildArgs {
    /// File name of the deck, without ending; an existing deck of that name is built anew
    #[arg(default_value = archive::DEFAULT_DECK)]
    pub deck: String,
    /// Give the deck a name that people read
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// Take only jobs of this board; may be given several times
    #[arg(long, value_name = "BOARD")]
    pub board: Vec<String>,
    /// Take only jobs of this circuit family; may be given several times
    #[arg(long, value_name = "FAMILY")]
    pub family: Vec<String>,
    /// Write the deck also where that changes the answer of a card that someone has learned, or takes
    /// the card away
    #[arg(long)]
    pub apply: bool,
    /// Put these initials under the corrections that people are shown; the only lead's unless given
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Print what was built as JSON
    #[arg(long)]
    pub json: bool,
}

/// Runs one of the commands.
pub fn run(
    command: &DeckCommand,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let workbench = || around.workbench();
    match command {
        DeckCommand::Build(args) => {
            build(args, &around.workbench_to_build(&args.deck)?, around, out)
        }
        DeckCommand::Lint(args) => deck_files::lint(args, &workbench()?, out),
        DeckCommand::Lend(args) => deck_files::lend(args, &workbench()?, around, out),
        DeckCommand::Borrow(args) => deck_files::borrow(args, &workbench()?, around, out),
        DeckCommand::Print(args) => deck_print::run(args, &workbench()?, around, out),
        DeckCommand::List { json } => list(*json, &workbench()?, out),
        DeckCommand::Show { deck, card, json } => {
            show(deck, card.as_deref(), *json, &workbench()?, out)
        }
        DeckCommand::Add { deck, json } => add(deck, *json, &workbench()?, out),
        DeckCommand::Lead(command) => desk::run(command, around, out),
    }
}

fn build(
    args: &BuildArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let options = BuildOptions {
        deck: args.deck.clone(),
        name: args.name.clone(),
        boards: args.board.clone(),
        families: args.family.clone(),
        apply: args.apply,
        person: args.person.clone(),
    };
    let meter = Mutex::new(environment::late_progress());
    let tell = |what: &str, n, all| {
        let mut meter = meter.lock().unwrap_or_else(PoisonError::into_inner);
        meter.bar(what, n, all);
    };
    let built = archive::build_telling(workbench, &options, around.clock.now(), &tell);
    let mut meter = meter.into_inner().unwrap_or_else(PoisonError::into_inner);
    meter.end();
    let built = built?;
    let mut exit = environment::mend(&built.faults);
    if built.waits {
        exit = Exit::ToMend;
    }
    if args.json {
        output::line(out, &rebuilt::as_json(workbench, args, &built)?)?;
        return Ok(exit);
    }
    let deck = clean(&args.deck);
    let (cards, jobs) = (number_of(built.cards, "card"), number_of(built.jobs, "job"));
    writeln!(out, "{deck}: {cards} from {jobs}")?;
    if !built.changed && !built.waits {
        writeln!(out, "The deck is as it was; nothing was written.")?;
    }
    for warning in &built.warn {
        writeln!(out, "To check: {}", clean(warning))?;
    }
    for (what, why) in &built.left_out {
        writeln!(out, "  no card: {}: {}", clean(what), clean(why))?;
    }
    rebuilt::write(workbench, args, &built, out)?;
    Ok(exit)
}

fn list(json: bool, workbench: &Workbench, out: &mut dyn Write) -> Result<Exit, Failure> {
    for deck in workbench.decks.iter() {
        if json {
            output::line(
                out,
                &json!({
                    "v": 1, "deck": deck.deck, "name": deck.name, "cards": deck.cards.len(),
                    "from": deck.from, "in_shop": true,
                }),
            )?;
        } else {
            let (id, name) = (clean(&deck.deck), clean(&deck.name));
            let cards = number_of(deck.cards.len(), "card");
            writeln!(out, "{id}: {name}, {cards}")?;
        }
    }
    for deck in shipped::decks(workbench)? {
        let (id, name, cards) = (&deck.deck, &deck.name, deck.cards);
        if deck.in_shop {
            continue;
        }
        if json {
            output::line(
                out,
                &json!({"v": 1, "deck": id, "name": name, "cards": cards, "from": "", "in_shop": false}),
            )?;
        } else {
            writeln!(out, "{id}: {name}, {cards} cards; not in the shop yet")?;
            writeln!(out, "  ships with the program: benchlore deck add {id}")?;
        }
    }
    Ok(mend(workbench))
}

fn show(
    deck: &str,
    card: Option<&str>,
    json: bool,
    workbench: &Workbench,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let found = workbench
        .decks
        .iter()
        .find(|d| d.deck == deck)
        .ok_or_else(|| {
            Failure::failed(format!("no deck is called {deck:?}"))
                .hint("`benchlore deck list` names them; `benchlore deck build` makes one")
        })?;
    let wanted: Vec<_> = found
        .cards
        .iter()
        .filter(|c| card.is_none_or(|id| c.id.starts_with(id)))
        .collect();
    if let Some(id) = card
        && wanted.is_empty()
    {
        return Err(
            Failure::failed(format!("no card of this deck begins with {id:?}"))
                .hint(format!("`benchlore deck show {deck}` shows them all")),
        );
    }
    for shown in wanted {
        if json {
            output::line(out, &output::whole_card(shown))?;
        } else {
            let board = workbench.boards.iter().find(|b| b.id == shown.board);
            writeln!(out, "Card: {}", shown.id)?;
            drill_plain::write_front(out, &face::front(shown, board, "", true))?;
            let back = face::answer_side(shown, &workbench.circuits, &workbench.boards);
            drill_plain::write_back(out, &back)?;
            if !shown.wordings().is_empty() {
                let also = clean(&shown.wordings().join("; "));
                writeln!(out, "Right in these words too: {also}")?;
            }
            writeln!(out)?;
        }
    }
    Ok(mend(workbench))
}

fn add(
    deck: &str,
    json: bool,
    workbench: &Workbench,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let (shipped, new) = shipped::add(workbench, deck)?;
    if json {
        output::line(
            out,
            &json!({"v": 1, "deck": shipped.deck, "name": shipped.name, "cards": shipped.cards, "added": new}),
        )?;
    } else if new {
        let (name, cards) = (&shipped.name, shipped.cards);
        writeln!(out, "Added {}: {name}, {cards} cards", shipped.deck)?;
    } else {
        writeln!(
            out,
            "{} is in the shop already; nothing was written.",
            shipped.deck
        )?;
    }
    Ok(mend(workbench))
}

/// Names what is damaged in the shop, and says so with the exit code.
fn mend(workbench: &Workbench) -> Exit {
    environment::mend(&workbench.fault_lines(&workbench.faults))
}
