//! `deck lint`, `deck lend`, `deck borrow`: decks as files, looked through and exchanged.

use std::io::Write;
use std::path::PathBuf;

use serde_json::json;

use crate::app::lend;
use crate::app::lend::Given;
use crate::app::lint;
use crate::app::workbench::Workbench;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::text::clean;
use crate::domain::text::number_of;

/// The hazards that a card may name, for the help.
const HAZARDS: &str = "\
Looked for: what is no card at all; a share that does not add up or whose limits are not those of its counts; \
circuits, boards, revisions, acts and hazards that nobody here knows; an answer that would hurt someone, in \
any of its wordings, or a wording that names another part; a front or a question that gives the answer away; \
complaints that no job has, chances and counts that cannot be; texts and lists that no screen shows; one id on \
two cards.

With --json each fault is one line: {\"v\":1,\"file\",\"line\",\"field\",\"why\",\"todo\"}; line is null where \
the fault is about the file as a whole. Nothing is ever written.";

/// What the lent file holds, for the help.
const LENT: &str = "\
The file holds the cards in use with their counts (so many of so many jobs, with the interval), and the parts \
and hazards of their boards. Job numbers, days, initials, prices, the words in which jobs were proved, and what \
leads signed stay at home, and so does what fewer than three jobs say in free words (a test or a place that is \
no designator and no net) or what looks like a serial, a telephone number or an address: a card whose question needs such words is left out.

What leads typed (questions, other wordings, a bench rule's why-line) may name a customer, and no program can \
tell: it stays here too, with the program's own words in its place, unless you say --own-words. A why-line of \
any other card never goes. --dry-run writes nothing and lists what leads typed, and the free words of jobs \
(named tests, places in words) that go along: read them before you write the file.

JSON: {\"v\",\"deck\",\"file\",\"cards\",\"left_out\":[{\"card\",\"why\"}],\"free_words\":[], \
\"own_words\":[{\"card\",\"what\",\"text\"}],\"own_words_sent\"}; file is null with --dry-run.";

/// Look deck files through for what a person's hand got wrong
#[derive(clap::Args, Clone, Debug)]
#[command(after_long_help = HAZARDS)]
pub struct LintArgs {
    /// Decks by name, or files; all decks of the shop if none is named
    pub which: Vec<String>,
    /// Print one JSON line a fault
    #[arg(long)]
    pub json: bool,
}

/// Write a deck into one file for another shop
#[derive(clap::Args, Clone, Debug)]
#[command(after_long_help = LENT)]
#[expect(clippy::struct_excessive_bools, reason = "switches of a command line")]
pub struct LendArgs {
    /// Deck to lend, as `deck list` names it
    pub deck: String,
    /// Write into this file, outside the shop folder
    #[arg(long, value_name = "FILE", required_unless_present = "dry_run")]
    pub into: Option<PathBuf>,
    /// Write nothing: list what would go along and what leads typed
    #[arg(long)]
    pub dry_run: bool,
    /// Let what leads typed go along, after you have read it with --dry-run
    #[arg(long)]
    pub own_words: bool,
    /// Replace the file if it is there
    #[arg(long)]
    pub replace: bool,
    /// Print what was written as JSON
    #[arg(long)]
    pub json: bool,
}

/// Take a deck from a file that another shop lent
///
/// What comes from outside is looked through first: a card that would hurt someone, gives its answer away
/// or names a circuit this shop does not have stays out, with the reason. Nobody here has signed such a
/// card, and it says that it was counted elsewhere. Boards that the shop does not know are added; one that
/// it knows stays as it is. Borrowing the deck again, from a newer file, takes the place of the older.
#[derive(clap::Args, Clone, Debug)]
pub struct BorrowArgs {
    /// The other shop's file
    pub file: PathBuf,
    /// Name of the deck here; its own if none is given
    #[arg(long = "as", value_name = "NAME")]
    pub name: Option<String>,
    /// Print what was taken as JSON
    #[arg(long)]
    pub json: bool,
}

/// Runs `deck lint`; finding something ends with 3.
pub fn lint(args: &LintArgs, workbench: &Workbench, out: &mut dyn Write) -> Result<Exit, Failure> {
    let linted = lint::lint(workbench, &args.which)?;
    for fault in &linted.found {
        let mut shown = fault.clone();
        if let Ok(inside) = fault.path.strip_prefix(workbench.folder.root()) {
            inside.clone_into(&mut shown.path);
        }
        if args.json {
            output::line(
                out,
                &json!({
                    "v": 1, "file": shown.path.to_string_lossy(), "line": shown.line,
                    "field": shown.field, "why": shown.why, "todo": shown.todo,
                }),
            )?;
        } else {
            writeln!(out, "{shown}")?;
        }
    }
    if !args.json {
        let (cards, files) = (
            number_of(linted.cards, "card"),
            number_of(linted.files, "file"),
        );
        match linted.found.len() {
            0 => writeln!(out, "{cards} in {files}, nothing to mend")?,
            n => writeln!(out, "{cards} in {files}, {} to mend", number_of(n, "fault"))?,
        }
    }
    Ok(if linted.found.is_empty() {
        Exit::Done
    } else {
        Exit::ToMend
    })
}

/// Runs `deck lend`.
pub fn lend(
    args: &LendArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let given = lend::give(workbench, &args.deck, args.own_words)?;
    let into = args.into.as_ref().filter(|_| !args.dry_run);
    let file = into.map(|into| around.from_here(into));
    if let Some(file) = &file {
        around.write_outside(workbench, file, &given.text, args.replace)?;
    }
    let shown = file.map(|file| file.to_string_lossy().into_owned());
    if args.json {
        let own = given.own.iter();
        let own: Vec<serde_json::Value> = own
            .map(|own| json!({"card": own.card, "what": own.what, "text": own.text}))
            .collect();
        output::line(
            out,
            &json!({
                "v": 1, "deck": args.deck, "file": shown, "cards": given.cards,
                "left_out": pairs(&given.left_out), "free_words": given.texts,
                "own_words": own, "own_words_sent": args.own_words,
            }),
        )?;
        return Ok(Exit::Done);
    }
    let cards = number_of(given.cards, "card");
    match &shown {
        Some(file) => writeln!(out, "{cards} in {}", clean(file))?,
        None => writeln!(out, "{cards} would go along; nothing was written.")?,
    }
    writeln!(
        out,
        "Evidence goes along as counts; job numbers, days, initials, prices and proofs stay here."
    )?;
    left_out(out, &given.left_out)?;
    own_words(out, &given, args)?;
    free_words(out, &given.texts)?;
    Ok(Exit::Done)
}

/// Says what leads typed, or how much of it stays here.
fn own_words(out: &mut dyn Write, given: &Given, args: &LendArgs) -> Result<(), Failure> {
    if given.own.is_empty() {
        return Ok(());
    }
    let texts = number_of(given.own.len(), "text");
    let (stay, go) = match given.own.len() {
        1 => ("stays", "goes"),
        _ => ("stay", "go"),
    };
    if args.own_words {
        writeln!(out, "{texts} that leads typed {go} along:")?;
    } else if args.dry_run {
        writeln!(
            out,
            "{texts} that leads typed {stay} here without --own-words:"
        )?;
    } else {
        return Ok(writeln!(
            out,
            "{texts} that leads typed {stay} here: --dry-run lists what, --own-words sends it along."
        )?);
    }
    for own in &given.own {
        let (card, text) = (clean(&own.card), clean(&own.text));
        writeln!(out, "  {card}, {}: {text}", own.what)?;
    }
    Ok(())
}

/// Runs `deck borrow`.
pub fn borrow(
    args: &BorrowArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let (file, now) = (around.from_here(&args.file), around.clock.now());
    let taken = lend::take(workbench, &file, args.name.as_deref(), "deck borrow", now)?;
    if args.json {
        output::line(
            out,
            &json!({
                "v": 1, "deck": taken.deck, "from": taken.from, "cards": taken.cards,
                "new_boards": taken.new_boards, "left_out": pairs(&taken.left_out),
                "free_words": taken.texts, "changed": taken.changed,
            }),
        )?;
        return Ok(Exit::Done);
    }
    let cards = number_of(taken.cards, "card");
    writeln!(out, "{}: {cards} from {}", clean(&taken.deck), taken.from)?;
    if !taken.changed {
        writeln!(out, "The deck is as it was; nothing was written.")?;
    }
    for board in &taken.new_boards {
        writeln!(out, "  new board: {board}")?;
    }
    left_out(out, &taken.left_out)?;
    free_words(out, &taken.texts)?;
    writeln!(
        out,
        "Nobody here has signed these cards; each says where it was counted."
    )?;
    Ok(Exit::Done)
}

fn pairs(list: &[(String, String)]) -> Vec<serde_json::Value> {
    list.iter()
        .map(|(card, why)| json!({"card": card, "why": why}))
        .collect()
}

fn left_out(out: &mut dyn Write, list: &[(String, String)]) -> Result<(), Failure> {
    for (card, why) in list {
        writeln!(out, "  left out: {}: {}", clean(card), clean(why))?;
    }
    Ok(())
}

fn free_words(out: &mut dyn Write, texts: &[String]) -> Result<(), Failure> {
    if !texts.is_empty() {
        writeln!(out, "Free words on the cards, for a person to read:")?;
    }
    for text in texts {
        writeln!(out, "  {}", clean(text))?;
    }
    Ok(())
}
