//! `deck desk` and what a lead does to cards: `deck sign`, `deck why`, `deck merge` and so on.

use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::desk::act;
use crate::app::desk::list;
use crate::app::desk::page;
use crate::app::desk::undo;
use crate::app::desk::view::Act;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskPage;
use crate::app::desk::view::DeskRow;
use crate::app::desk::view::Field;
use crate::app::workbench::Workbench;
use crate::cli::at_least_one;
use crate::cli::drill_plain;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::cli::screen;
use crate::domain::edit::Divide;
use crate::domain::text::number_of;

/// Cards that the list names unless told otherwise: as many as a lead gets through in one go.
const LISTED: usize = 20;

/// The lead's desk.
#[derive(clap::Subcommand, Clone, Debug)]
pub enum DeskCommand {
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Desk(DeskArgs),
    /// Sign cards as they stand
    ///
    /// A signature holds until what the card asks or accepts changes.
    Sign {
        /// Cards, by their id or its beginning
        #[arg(required = true, value_name = "CARD")]
        cards: Vec<String>,
        #[command(flatten)]
        #[expect(missing_docs, reason = "its help is written at its fields")]
        by: By,
    },
    /// Type over why a card's answer is so
    Why(TypedArgs),
    /// Type over the question of a card
    ///
    /// A question that gives the answer away is refused.
    Stem(TypedArgs),
    /// Type over the right answers of a card, its own first
    ///
    /// Write them as: replace U31; reflow L12 + clean J2. Acts are those of the shop's jobs; an unsafe
    /// act is refused, and so is an answer that the front would give away.
    Answers(TypedArgs),
    /// Type over the other wordings that a card accepts
    ///
    /// Separate them with semicolons. Of a repair they say its own answer in other words; on any other card
    /// each is a whole answer, right when someone types just that (write a comma where the answer had a
    /// semicolon). They hold while the card's answer is the
    /// same; an unsafe one is refused.
    Also(TypedArgs),
    /// Type over the hazards of a card
    ///
    /// Separate their ids with commas. What the board and its jobs bring stays: cautions are only added.
    Cautions(TypedArgs),
    /// Let a card go into another one of its kind and board
    Merge {
        /// Card that goes, by its id or the beginning of it
        card: String,
        /// Card that stays
        into: String,
        #[command(flatten)]
        #[expect(missing_docs, reason = "its help is written at its fields")]
        by: By,
    },
    /// Make several cards of one, with the next build of its deck
    Split {
        /// Card, by its id or the beginning of it
        card: String,
        /// Split it by this: revision, complaint or draw
        #[arg(long = "by", value_name = "WHAT", value_parser = divide)]
        what: Divide,
        #[command(flatten)]
        #[expect(missing_docs, reason = "its help is written at its fields")]
        by: By,
    },
    /// Ask for more jobs before a card is signed
    Evidence(NoteArgs),
    /// Tag a card out of use for everyone
    Tag(NoteArgs),
    /// Bring a card back into use, and rule out the doubts about it
    Untag(NoteArgs),
    /// Retire a card: out of use, and off the desk
    Retire(NoteArgs),
    /// Take back what you did last at this bench
    ///
    /// One act at a time, on whatever day it was done: a signature, something typed, a merge. Nothing is
    /// removed: the edits get a line that says so. What other leads did since stays.
    Undo {
        #[command(flatten)]
        #[expect(missing_docs, reason = "its help is written at its fields")]
        by: By,
    },
    /// Take one of the values that two leads typed apart from each other
    ///
    /// `deck desk CARD` names them.
    Settle {
        /// Card, by its id or the beginning of it
        card: String,
        /// Thing that was edited apart: stem, answers, also, why, cautions, use or signature
        #[arg(value_parser = field)]
        field: Field,
        /// Edit whose value is taken, as `deck desk CARD` names it
        edit: String,
        #[command(flatten)]
        #[expect(missing_docs, reason = "its help is written at its fields")]
        by: By,
    },
}

/// List the cards that want a lead's look, or show one of them
///
/// First what someone doubts, what two leads edited apart, and what newer jobs contradict; then cards
/// that people miss more than they should, changed cards, and cards not signed yet: those that many
/// people are asked, and those that the shop meets often.
///
/// JSON of the list: one object a card {"v","card","kind","board","title","reasons":[],"said":[],
/// "people","jobs","out","signed"}, then {"v","desk":{"waiting","signed","cards"}}. Reasons: doubted,
/// edited-apart, contradicted, bounced-since-signed, missed-more, changed-since-signed, seen, new, waits.
///
/// JSON of one card: {"v","row","card","mark","warnings":[],"missed":[{"who","day","circuit","typed",
/// "sure"}],"doubts":[{"who","day","why"}],"history":[],"apart":[{"field","values":[{"edit","by","on",
/// "value"}]}],"now":{"stem","answers","also","why","cautions"},"like":[{"card","title"}],
/// "divides":[{"by","parts"}]}.
#[derive(clap::Args, Clone, Debug)]
pub struct DeskArgs {
    /// Show this card, by its id or the beginning of it
    pub card: Option<String>,
    /// List every card that wants a look
    #[arg(long, conflicts_with_all = ["limit", "card"])]
    pub all: bool,
    /// List this many cards at most
    #[arg(long, value_name = "N", default_value_t = LISTED, value_parser = at_least_one)]
    pub limit: usize,
    /// Work at the desk on the screen as this person, where there is a terminal
    #[arg(long, value_name = "PERSON", conflicts_with_all = ["card", "all", "limit", "json"])]
    pub person: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// Who does it, and how it is told.
#[derive(clap::Args, Clone, Debug)]
pub struct By {
    /// Sign it as this person, a lead; may be left out where there is only one person
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Print what was done as JSON: {"v","card","said","edits":[]}
    #[arg(long)]
    pub json: bool,
}

/// A card and what is typed.
#[derive(clap::Args, Clone, Debug)]
pub struct TypedArgs {
    /// Card, by its id or the beginning of it
    pub card: String,
    /// What it says from now on
    #[arg(required = true)]
    pub words: Vec<String>,
    #[command(flatten)]
    #[expect(missing_docs, reason = "its help is written at its fields")]
    pub by: By,
}

/// A card and why.
#[derive(clap::Args, Clone, Debug)]
pub struct NoteArgs {
    /// Card, by its id or the beginning of it
    pub card: String,
    /// Say why
    pub words: Vec<String>,
    #[command(flatten)]
    #[expect(missing_docs, reason = "its help is written at its fields")]
    pub by: By,
}

fn divide(text: &str) -> Result<Divide, String> {
    let found = Divide::ALL.into_iter().find(|by| by.word() == text);
    found.ok_or_else(|| "write revision, complaint or draw".to_owned())
}

fn field(text: &str) -> Result<Field, String> {
    let found = Field::ALL.into_iter().find(|field| field.word() == text);
    found.ok_or_else(|| {
        let all: Vec<&str> = Field::ALL.into_iter().map(Field::word).collect();
        format!("write one of {}", all.join(", "))
    })
}

/// Runs one of the commands.
pub fn run(
    command: &DeskCommand,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let typed = |args: &TypedArgs, field| {
        let act = Act::Type(field, args.words.join(" "));
        (vec![args.card.clone()], act, args.by.clone())
    };
    let noted = |args: &NoteArgs, act: fn(String) -> Act| {
        let act = act(args.words.join(" "));
        (vec![args.card.clone()], act, args.by.clone())
    };
    let (cards, act, by) = match command {
        DeskCommand::Desk(args) => return desk(args, around, out),
        DeskCommand::Undo { by } => return take_back(by, around, out),
        DeskCommand::Sign { cards, by } => (cards.clone(), Act::Sign, by.clone()),
        DeskCommand::Why(args) => typed(args, Field::Why),
        DeskCommand::Stem(args) => typed(args, Field::Stem),
        DeskCommand::Answers(args) => typed(args, Field::Answers),
        DeskCommand::Also(args) => typed(args, Field::Also),
        DeskCommand::Cautions(args) => typed(args, Field::Cautions),
        DeskCommand::Merge { card, into, by } => {
            (vec![card.clone()], Act::Merge(into.clone()), by.clone())
        }
        DeskCommand::Split { card, what, by } => {
            (vec![card.clone()], Act::Split(*what), by.clone())
        }
        DeskCommand::Evidence(args) => noted(args, Act::Evidence),
        DeskCommand::Tag(args) => noted(args, Act::TagOut),
        DeskCommand::Untag(args) => noted(args, Act::BringBack),
        DeskCommand::Retire(args) => noted(args, Act::Retire),
        DeskCommand::Settle {
            card,
            field,
            edit,
            by,
        } => {
            let act = Act::Settle(*field, edit.clone());
            (vec![card.clone()], act, by.clone())
        }
    };
    carry_out(&cards, &act, &by, around, out)
}

fn take_back(by: &By, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let person = workbench.person(by.person.as_deref())?;
    let undone = undo::undo(&workbench, &person, around.clock.now())?;
    let done = undone.done;
    if by.json {
        let line = json!({"v": 1, "card": undone.card, "said": done.said, "edits": done.edits});
        output::line(out, &line)?;
    } else {
        writeln!(out, "{}", done.said)?;
    }
    let workbench = done.workbench;
    Ok(environment::mend(&workbench.fault_lines(&workbench.faults)))
}

fn carry_out(
    cards: &[String],
    act: &Act,
    by: &By,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let mut workbench = around.workbench()?;
    let person = workbench.person(by.person.as_deref())?;
    for card in cards {
        let now = around.clock.now();
        let done = act::act(&workbench, &person, card, act.clone(), now)?;
        workbench = done.workbench;
        if by.json {
            let line = json!({"v": 1, "card": card, "said": done.said, "edits": done.edits});
            output::line(out, &line)?;
        } else {
            let which = if cards.len() > 1 {
                format!("{}: ", crate::domain::text::clean(card))
            } else {
                String::new()
            };
            writeln!(out, "{which}{}", done.said)?;
        }
    }
    Ok(environment::mend(&workbench.fault_lines(&workbench.faults)))
}

fn desk(args: &DeskArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    if let Some(person) = &args.person
        && around.environment.output_is_terminal
    {
        return screen::desk(person, around);
    }
    let workbench = around.workbench()?;
    let now = around.clock.now();
    if let Some(card) = &args.card {
        let shown = page::page(&workbench, card, now)?;
        if args.json {
            output::line(out, &page_shape(&workbench, &shown)?)?;
        } else {
            write_page(out, &shown)?;
        }
        return Ok(environment::mend(&workbench.fault_lines(&workbench.faults)));
    }
    let list = list::list(&workbench, now)?;
    let limit = if args.all { usize::MAX } else { args.limit };
    if args.json {
        for row in list.rows.iter().take(limit) {
            let mut shape = row_shape(row);
            shape["v"] = json!(1);
            output::line(out, &shape)?;
        }
        let (waiting, signed, cards) = (list.rows.len(), list.signed, list.cards);
        let whole = json!({"waiting": waiting, "signed": signed, "cards": cards});
        output::line(out, &json!({"v": 1, "desk": whole}))?;
    } else {
        write_list(out, &list, limit)?;
    }
    Ok(environment::mend(&list.faults))
}

fn row_shape(row: &DeskRow) -> Value {
    let reasons: Vec<&str> = row.reasons.iter().map(|reason| reason.word()).collect();
    json!({
        "card": row.card, "kind": row.kind, "board": row.board, "title": row.title,
        "reasons": reasons, "said": row.said, "people": row.people, "jobs": row.jobs,
        "out": row.out, "signed": row.signed,
    })
}

fn write_list(out: &mut dyn Write, list: &DeskList, limit: usize) -> Result<(), Failure> {
    writeln!(
        out,
        "The desk: {} to look at; {} of {} in use are signed",
        number_of(list.rows.len(), "card"),
        list.signed,
        number_of(list.cards, "card"),
    )?;
    for row in list.rows.iter().take(limit) {
        let board = match row.board.as_str() {
            "" => String::new(),
            board => format!("{board}: "),
        };
        writeln!(out, "{}  {board}{}", row.card, row.title)?;
        let mut said = row.said.clone();
        said.push(format!(
            "{} like it in 24 months",
            number_of(row.jobs, "job")
        ));
        if row.out {
            said.push("out of everyone's drill".to_owned());
        }
        writeln!(out, "  {}", said.join("; "))?;
    }
    let more = list.rows.len().saturating_sub(limit);
    if more > 0 {
        writeln!(out, "{more} more: --all lists them.")?;
    }
    if !list.rows.is_empty() {
        writeln!(out, "Look at one with: benchlore deck desk CARD")?;
    }
    Ok(())
}

fn write_page(out: &mut dyn Write, page: &DeskPage) -> Result<(), Failure> {
    let row = &page.row;
    writeln!(out, "Card: {}", row.card)?;
    for said in &row.said {
        writeln!(out, "On the desk: {said}")?;
    }
    if row.out {
        writeln!(out, "It is out of everyone's drill.")?;
    }
    if !row.signed.is_empty() {
        writeln!(out, "Signed: {}", row.signed)?;
    }
    writeln!(out, "Front:")?;
    drill_plain::write_front(out, &page.front)?;
    writeln!(out, "Back:")?;
    drill_plain::write_cautions_behind(out, &page.above, &page.front.cautions)?;
    drill_plain::write_back(out, &page.back)?;
    if !page.now.also.is_empty() {
        writeln!(out, "Right in these words too: {}", page.now.also)?;
    }
    let beside = page.warnings.iter();
    for warning in beside.filter(|warning| !page.back.warn.contains(warning)) {
        writeln!(out, "To check: {warning}")?;
    }
    for doubt in &page.doubts {
        let why = if doubt.why.is_empty() {
            "no reason given"
        } else {
            &doubt.why
        };
        writeln!(out, "Doubted: {}, {}: {why}", doubt.day, doubt.who)?;
    }
    for missed in &page.missed {
        let circuit = if missed.circuit.is_empty() {
            String::new()
        } else {
            format!("circuit {}, ", missed.circuit)
        };
        writeln!(
            out,
            "Missed: {}, {}: {circuit}{} (sure: {})",
            missed.day, missed.who, missed.typed, missed.sure
        )?;
    }
    for apart in &page.apart {
        writeln!(out, "Edited apart, {}:", apart.what)?;
        for (edit, by, day, value) in &apart.values {
            writeln!(out, "  {day}, {by}: {value}")?;
            writeln!(
                out,
                "    take it: benchlore deck settle {} {} {edit}",
                row.card,
                apart.field.word()
            )?;
        }
    }
    for (by, parts) in &page.divides {
        writeln!(out, "Could be split by {parts} (--by {})", by.word())?;
    }
    for (id, title) in &page.like {
        writeln!(out, "Could go into: {id}  {title}")?;
    }
    for line in &page.history {
        writeln!(out, "History: {line}")?;
    }
    Ok(())
}

fn page_shape(workbench: &Workbench, page: &DeskPage) -> Result<Value, Failure> {
    let card = page::card(workbench, &page.row.card)?;
    let missed: Vec<Value> = page
        .missed
        .iter()
        .map(|m| {
            json!({"who": m.who, "day": m.day, "circuit": m.circuit, "typed": m.typed, "sure": m.sure})
        })
        .collect();
    let doubts = page.doubts.iter();
    let doubts: Vec<Value> = doubts
        .map(|d| json!({"who": d.who, "day": d.day, "why": d.why}))
        .collect();
    let apart: Vec<Value> = page
        .apart
        .iter()
        .map(|apart| {
            let values = apart.values.iter();
            let values: Vec<Value> = values
                .map(|(edit, by, on, value)| {
                    json!({"edit": edit, "by": by, "on": on, "value": value})
                })
                .collect();
            json!({"field": apart.field.word(), "values": values})
        })
        .collect();
    let like = page.like.iter();
    let like: Vec<Value> = like
        .map(|(card, title)| json!({"card": card, "title": title}))
        .collect();
    let divides = page.divides.iter();
    let divides: Vec<Value> = divides
        .map(|(by, parts)| json!({"by": by.word(), "parts": parts}))
        .collect();
    let now = &page.now;
    Ok(json!({
        "v": 1,
        "row": row_shape(&page.row),
        "card": output::whole_card(card),
        "mark": page.front.mark,
        "warnings": page.warnings,
        "missed": missed,
        "doubts": doubts,
        "history": page.history,
        "apart": apart,
        "now": {
            "stem": now.stem, "answers": now.answers, "also": now.also, "why": now.why,
            "cautions": now.cautions,
        },
        "like": like,
        "divides": divides,
    }))
}
