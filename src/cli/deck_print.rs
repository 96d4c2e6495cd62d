//! `deck print`: cards on paper, as one HTML file that any browser prints on both sides.

use std::io::Write;
use std::path::PathBuf;

use serde_json::json;

use crate::app::deck_print;
use crate::app::deck_print::Printed;
use crate::app::deck_print::Wanted;
use crate::app::workbench::Workbench;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::text::clean;
use crate::domain::text::number_of;
use crate::report::paper::Edge;
use crate::report::paper::Paper;
use crate::report::paper::Size;

/// How to go on from the file, for the help.
const ON_PAPER: &str = "\
Open the file in a browser and print it at 100 % (not \"fit to page\"), on both sides, turned on the edge that you \
gave. Print one sheet first and hold it against the light: every card bears its number on both sides, and the two \
must be the same.

Pocket cards are 95 by 84 mm, six a sheet, to be cut along the marks, in 9 pt or, where the text is longer, 8 or \
7 pt. Wall cards fill a sheet; their questions and answers are in 28 pt, to be read from 1.5 m, or, where the text \
is longer, 24 or 20 pt; the evidence is smaller. A back that is too long for these goes on on the next card, which \
says that it is a part. What does not fit even so is not printed, and is listed with the reason, as are cards that \
are tagged out or retired. A card that nobody has signed says so.";

/// Make cards for the wall or the pocket, to be printed on both sides
#[derive(clap::Args, Clone, Debug)]
#[command(after_long_help = ON_PAPER)]
pub struct PrintArgs {
    /// Deck to print, as `deck list` names it
    pub deck: String,
    /// Print only this card, by its id or the beginning of it; may be given several times
    #[arg(long, value_name = "CARD")]
    pub card: Vec<String>,
    /// Print only cards of this board
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// Print only cards of this circuit family
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// Print only cards that a lead has signed, and bench rules
    #[arg(long)]
    pub signed: bool,
    /// Paper in the printer
    #[arg(long, value_enum, value_name = "PAPER")]
    pub paper: PaperName,
    /// What the cards are for
    #[arg(long, value_enum, value_name = "SIZE")]
    pub size: SizeName,
    /// Edge on which the printer turns the sheet
    #[arg(long, value_enum, value_name = "EDGE", default_value = "long")]
    pub edge: EdgeName,
    /// Write into this file, outside the shop folder
    #[arg(long, value_name = "FILE")]
    pub into: PathBuf,
    /// Replace the file if it is there
    #[arg(long)]
    pub replace: bool,
    /// Print what was written as JSON
    #[arg(long)]
    pub json: bool,
}

/// Paper, as it is typed.
#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub enum PaperName {
    /// 210 by 297 mm
    A4,
    /// 8.5 by 11 inches
    Letter,
}

/// Size, as it is typed.
#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub enum SizeName {
    /// One card a side
    Wall,
    /// Six cards a side
    Pocket,
}

/// Edge, as it is typed.
#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub enum EdgeName {
    /// As the leaves of a book
    Long,
    /// As the leaves of a calendar on the wall
    Short,
}

/// Runs the command.
pub fn run(
    args: &PrintArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let wanted = wanted(args);
    let printed = deck_print::print(workbench, &wanted, around.clock.now())?;
    let file = around.from_here(&args.into);
    if 0 < printed.cards {
        around.write_outside(workbench, &file, &printed.html, args.replace)?;
    }
    let shown = file.to_string_lossy();
    if args.json {
        output::line(out, &as_json(args, &wanted, &printed, &shown))?;
    } else {
        say(out, &wanted, &printed, &shown)?;
    }
    if printed.cards == 0 {
        let failure = Failure::failed("none of these cards can be printed; nothing was written");
        let hint = match printed.left_out.first() {
            Some((card, why)) => format!("{card}: {why}"),
            None => "the deck has no card that is as asked for; leave out --card, --board, --family or --signed".to_owned(),
        };
        return Err(failure.hint(hint));
    }
    Ok(Exit::Done)
}

fn wanted(args: &PrintArgs) -> Wanted {
    Wanted {
        deck: args.deck.clone(),
        cards: args.card.clone(),
        board: args.board.clone(),
        family: args.family.clone(),
        signed: args.signed,
        paper: match args.paper {
            PaperName::A4 => Paper::A4,
            PaperName::Letter => Paper::Letter,
        },
        size: match args.size {
            SizeName::Wall => Size::Wall,
            SizeName::Pocket => Size::Pocket,
        },
        edge: match args.edge {
            EdgeName::Long => Edge::Long,
            EdgeName::Short => Edge::Short,
        },
    }
}

fn as_json(args: &PrintArgs, wanted: &Wanted, printed: &Printed, file: &str) -> serde_json::Value {
    let pairs = |list: &[(String, String)]| -> Vec<serde_json::Value> {
        list.iter()
            .map(|(card, why)| json!({"card": card, "why": why}))
            .collect()
    };
    let types: Vec<_> = printed
        .types
        .iter()
        .map(|(points, cards)| json!({"points": points, "cards": cards}))
        .collect();
    json!({
        "v": 1, "deck": args.deck, "file": file, "paper": wanted.paper.name(),
        "size": wanted.size.name(), "edge": wanted.edge.name(), "cards": printed.cards,
        "in_parts": printed.in_parts, "sheets": printed.sheets, "pages": 2 * printed.sheets, "types": types,
        "unsigned": printed.unsigned, "left_out": pairs(&printed.left_out),
    })
}

fn say(out: &mut dyn Write, wanted: &Wanted, printed: &Printed, file: &str) -> Result<(), Failure> {
    for (card, why) in &printed.left_out {
        writeln!(out, "  left out: {card}: {why}")?;
    }
    if printed.cards == 0 {
        return Ok(());
    }
    let (cards, sheets) = (
        number_of(printed.cards, "card"),
        number_of(printed.sheets, "sheet"),
    );
    let (paper, edge) = (wanted.paper.name(), wanted.edge.name());
    writeln!(out, "{cards} on {sheets} of {paper}: {}", clean(file))?;
    let used = printed.types.iter().filter(|(_, cards)| 0 < *cards);
    let used: Vec<String> = used
        .map(|(points, cards)| format!("{cards} in {points} pt"))
        .collect();
    writeln!(out, "Type: {}", used.join(", "))?;
    if 0 < printed.in_parts {
        let long = number_of(printed.in_parts, "long one");
        writeln!(out, "{long} on two cards or three, each marked as a part")?;
    }
    if !printed.left_out.is_empty() {
        let left_out = number_of(printed.left_out.len(), "card");
        writeln!(out, "{left_out} left out, with the reasons above")?;
    }
    if 0 < printed.unsigned {
        writeln!(out, "{} not yet signed, and say so", printed.unsigned)?;
    }
    writeln!(
        out,
        "Print at 100 %, on both sides, turned on the {edge} edge; a card has one number on both sides."
    )?;
    Ok(())
}
