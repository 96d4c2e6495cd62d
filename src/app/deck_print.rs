//! Cards on paper: which are printed, and what stands on them. The words are those of the drill
//! (`face.rs`); where they lie on the sheet is decided in `report`.

use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::Utc;

use crate::app::card_parts;
use crate::app::desk::list;
use crate::app::desk::page;
use crate::app::face;
use crate::app::view::Back;
use crate::app::view::Front;
use crate::app::view::Reading;
use crate::app::view::TestLine;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::text::clean;
use crate::domain::units::count;
use crate::report::card_face::Block;
use crate::report::card_face::Row;
use crate::report::card_sheet;
use crate::report::card_sheet::Fitted;
use crate::report::card_sheet::Layout;
use crate::report::card_sheet::PrintCard;
use crate::report::card_sheet::TooLong;
use crate::report::interval_svg::Interval;
use crate::report::paper::Edge;
use crate::report::paper::Paper;
use crate::report::paper::STEPS;
use crate::report::paper::Side;
use crate::report::paper::Size;

/// How many of the jobs behind a card are named on it.
const JOBS_NAMED: usize = 4;
/// How much of a card's id stands at its foot.
const MARK: usize = 8;

/// Which cards are printed, and how.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Deck.
    pub deck: String,
    /// Only these cards, by their ids or the beginnings of them; all if none is named.
    pub cards: Vec<String>,
    /// Only cards of this board.
    pub board: Option<String>,
    /// Only cards of this circuit family.
    pub family: Option<String>,
    /// Only cards that someone vouches for.
    pub signed: bool,
    /// Paper.
    pub paper: Paper,
    /// Size.
    pub size: Size,
    /// Edge that the sheet is turned on.
    pub edge: Edge,
}

/// What was made for the printer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Printed {
    /// Cards on it, numbered from 1; a part of one counts as a card.
    pub cards: usize,
    /// Cards whose back is so long that they take more than one.
    pub in_parts: usize,
    /// Sheets it takes, two pages each.
    pub sheets: usize,
    /// Cards in each step of type: the points of the smaller of their two sides, and how many.
    pub types: Vec<(f64, usize)>,
    /// Cards on it that no lead signed.
    pub unsigned: usize,
    /// Cards that are not on it, and why.
    pub left_out: Vec<(String, String)>,
    /// The file's text.
    pub html: String,
}

/// Makes the file of the cards that are wanted; where none is left there are no sheets in it.
pub fn print(
    workbench: &Workbench,
    wanted: &Wanted,
    now: DateTime<Utc>,
) -> Result<Printed, AppError> {
    let mut printed = Printed::default();
    let mut fitted: Vec<Fitted> = Vec::new();
    let out = list::out_of_use(workbench)?;
    for card in chosen(workbench, wanted)? {
        let mut leave = |why: String| printed.left_out.push((named(card), why));
        if out.contains(&card.id) {
            leave("it is tagged out or retired".to_owned());
        } else if !card.kind.is_asked() {
            leave(format!(
                "a card of the kind {} is not asked yet",
                card.kind.word()
            ));
        } else {
            match card_parts::fitted(&on_paper(workbench, card), wanted.size) {
                Ok(parts) => {
                    printed.unsigned += usize::from(!card.is_vouched_for());
                    printed.in_parts += usize::from(parts.len() > 1);
                    fitted.extend(parts);
                }
                Err(too_long) => {
                    let smaller = on_paper(workbench, card);
                    let smaller = card_parts::fitted(&smaller, Size::Pocket).is_ok();
                    leave(does_not_fit(wanted.size, too_long, smaller));
                }
            }
        }
    }
    let day = workbench.day(now).format("%-d %B %Y");
    let (deck, shop) = (clean(&wanted.deck), clean(&workbench.shop.name));
    printed.cards = fitted.len();
    printed.sheets = wanted.size.sheets(fitted.len());
    let steps = wanted.size.steps_pt();
    printed.types = (0..STEPS)
        .map(|step| {
            (
                steps[step],
                fitted.iter().filter(|f| f.step() == step).count(),
            )
        })
        .collect();
    printed.html = card_sheet::html(
        &Layout {
            paper: wanted.paper,
            size: wanted.size,
            edge: wanted.edge,
            title: format!("{shop}: cards of {deck}"),
            printed: format!("Printed {day}; deck {deck}, {shop}."),
        },
        &fitted,
    );
    Ok(printed)
}

/// Returns the cards that are asked for, in the order of the deck, also those out of use.
fn chosen<'w>(workbench: &'w Workbench, wanted: &Wanted) -> Result<Vec<&'w Card>, AppError> {
    let unknown = |what, id: &str, known| AppError::Unknown {
        what,
        id: clean(id),
        known,
    };
    let deck = workbench.decks.iter().find(|d| d.deck == wanted.deck);
    let deck = deck.ok_or_else(|| unknown("deck", &wanted.deck, workbench.deck_ids()))?;
    if let Some(board) = &wanted.board
        && !workbench.boards.iter().any(|b| b.id == *board)
    {
        return Err(unknown("board", board, workbench.board_ids()));
    }
    if let Some(family) = &wanted.family
        && workbench.circuits.get(family).is_none()
    {
        return Err(unknown("circuit family", family, workbench.family_ids()));
    }
    let ids: BTreeSet<&str> = deck.cards.iter().map(|c| c.id.as_str()).collect();
    let mut asked: BTreeSet<&str> = BTreeSet::new();
    for id in &wanted.cards {
        let card = page::card(workbench, id)?;
        if !ids.contains(card.id.as_str()) {
            return Err(AppError::NotOfCard {
                card: clean(id),
                why: format!("it is not in the deck {}", clean(&wanted.deck)),
                todo: "`benchlore deck show` names the cards of a deck".to_owned(),
            });
        }
        asked.insert(&card.id);
    }
    let of_board = |card: &Card, board: &String| {
        card.board == *board || card.boards.iter().any(|on| on.board == *board)
    };
    let mut cards = workbench.all_cards();
    cards.retain(|card| {
        ids.contains(card.id.as_str())
            && (asked.is_empty() || asked.contains(card.id.as_str()))
            && wanted.board.as_ref().is_none_or(|b| of_board(card, b))
            && wanted.family.as_ref().is_none_or(|f| *f == card.family)
            && (!wanted.signed || card.is_vouched_for())
    });
    Ok(cards)
}

fn named(card: &Card) -> String {
    format!("{} ({})", clean(&card.id), card.kind.word())
}

/// Says why a card is not printed; `smaller` tells whether it fits a pocket card, whose type is small.
fn does_not_fit(size: Size, too_long: TooLong, smaller: bool) -> String {
    let smallest = size.steps_pt()[STEPS - 1];
    let todo = match size {
        Size::Pocket => "; print it with --size wall",
        Size::Wall if smaller => "; print it with --size pocket",
        Size::Wall => "; it is read on the screen",
    };
    let parts = match too_long.0 {
        Side::Front => "",
        Side::Back => ", not even in parts",
    };
    format!(
        "its {} does not fit in {smallest} pt, the smallest type here{parts}{todo}",
        too_long.0.name()
    )
}

/// Returns what stands on a card, as plain pieces.
fn on_paper(workbench: &Workbench, card: &Card) -> PrintCard {
    let board = workbench.boards.iter().find(|b| b.id == card.board);
    let mark = face::signature_mark(card);
    let asked = face::front(card, board, mark, false);
    let decided = face::front(card, board, mark, true);
    let back = face::answer_side(card, &workbench.circuits, &workbench.boards);
    PrintCard {
        mark: clean(&card.id).chars().take(MARK).collect(),
        front: front(card, &asked),
        back: behind(&decided, &back),
    }
}

fn cautions(front: &Front) -> Option<Block> {
    let lines = front.cautions.iter().map(|line| format!("Caution: {line}"));
    let lines: Vec<String> = lines.collect();
    (!lines.is_empty()).then_some(Block::Cautions(lines))
}

fn heading(front: &Front) -> String {
    format!("{}, {}", front.board, front.revs)
}

fn front(card: &Card, front: &Front) -> Vec<Block> {
    let mut blocks: Vec<Block> = cautions(front).into_iter().collect();
    let mut head = heading(front);
    if !front.mark.is_empty() {
        head = format!("{head}; {}", front.mark);
    }
    blocks.push(Block::Heading(head));
    if !front.stem.is_empty() {
        blocks.push(Block::Strong(front.stem.clone()));
    }
    if !front.complaint.is_empty() {
        blocks.push(Block::Line(format!("Complaint: {}", front.complaint)));
    }
    blocks.extend(readings(front.readings.iter().map(row)));
    for suspect in &front.suspects {
        let (letter, what, chance) = (&suspect.letter, &suspect.what, &suspect.chance);
        blocks.push(Block::Line(format!("{letter}: {what}; {chance}")));
    }
    for look in &front.looks {
        let (letter, complaint) = (&look.letter, &look.complaint);
        blocks.push(Block::Line(format!("{letter}, complaint: {complaint}")));
        blocks.extend(readings(look.readings.iter().map(row)));
    }
    blocks.push(Block::Strong(face::asks(card).join(" ")));
    blocks
}

fn behind(front: &Front, back: &Back) -> Vec<Block> {
    let mut blocks: Vec<Block> = cautions(front).into_iter().collect();
    blocks.push(Block::Heading(heading(front)));
    if !back.circuit.is_empty() {
        blocks.push(Block::Line(back.circuit.clone()));
    }
    blocks.extend(right(back));
    blocks.extend(deciding(front));
    blocks.extend(evidence(back));
    blocks
}

/// Returns what would have been right.
fn right(back: &Back) -> Vec<Block> {
    let answers = back.answers.iter().map(|a| format!("Answer: {a}"));
    let mut blocks: Vec<Block> = answers.map(Block::Strong).collect();
    for point in &back.points {
        let label = if point.needed {
            "Point"
        } else {
            "Point, extra"
        };
        let line = format!("{label}: {}", point.say);
        // Where the two sides are told apart below, the points say the same once more.
        blocks.push(if !back.looks.is_empty() {
            Block::Small(line)
        } else if point.needed {
            Block::Strong(line)
        } else {
            Block::Line(line)
        });
    }
    if !back.tests.is_empty() {
        blocks.push(Block::Pairs(back.tests.iter().map(test).collect()));
    }
    blocks.extend(back.sums.iter().map(|s| Block::Line(format!("Sum: {s}"))));
    for look in &back.looks {
        let (letter, answer, circuit) = (&look.letter, &look.answer, &look.circuit);
        let has = look.separates.iter().map(|reading| {
            let [name, found] = row(reading);
            [format!("{letter} has {name}"), found]
        });
        blocks.extend(readings(has));
        let line = format!("{letter}, answer: {answer} (circuit {circuit})");
        blocks.push(Block::Strong(line));
    }
    if !back.source.is_empty() {
        blocks.push(Block::Small(format!("Source: {}", back.source)));
    }
    blocks
}

/// Returns what the archive says for it.
fn evidence(back: &Back) -> Vec<Block> {
    let mut blocks = Vec::new();
    let (k, n, low, high) = back.share;
    let mut counted: Vec<String> = Vec::new();
    if 0 < n {
        blocks.push(Block::Interval(Interval { k, n, low, high }));
        counted.push(format!(
            "Evidence: {}; {:.0} % of {n}, between {:.0} and {:.0} %; {}.",
            back.share_text,
            100.0 * count(k) / count(n),
            100.0 * low,
            100.0 * high,
            back.support
        ));
    }
    let listed = |label: &str, list: &[String]| {
        (!list.is_empty()).then(|| format!("{label}{}.", list.join("; ").trim_end_matches('.')))
    };
    counted.extend(listed("On ", &back.boards));
    counted.extend(listed("Other jobs like this: ", &back.others));
    if !back.bounced.is_empty() {
        counted.push(format!("{}.", back.bounced));
    }
    let why: Vec<String> = back.why_lines().map(str::to_owned).collect();
    let held_back: Vec<String> = back
        .held_back
        .iter()
        .map(|r| format!("{} {} {}", r.name, r.value, r.reference))
        .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect();
    let last = listed("To check: ", &back.warn)
        .into_iter()
        .chain(jobs(back));
    let texts = [
        Some(counted.join(" ")),
        listed("Why: ", &why),
        listed("Held back until now: ", &held_back),
        Some(last.collect::<Vec<_>>().join(" ")),
    ];
    let texts = texts.into_iter().flatten().filter(|text| !text.is_empty());
    blocks.extend(texts.map(Block::Small));
    blocks
}

fn jobs(back: &Back) -> Option<String> {
    let named = &back.jobs[..back.jobs.len().min(JOBS_NAMED)];
    let more = match back.jobs.len() - named.len() {
        0 => String::new(),
        1 => " and 1 earlier one".to_owned(),
        more => format!(" and {more} earlier ones"),
    };
    (!named.is_empty()).then(|| format!("Jobs: {}{more}", named.join(", ")))
}

/// Returns one measurement, and what its results would mean.
fn test(test: &TestLine) -> (Vec<String>, Vec<String>) {
    let right = if test.right { "Right: " } else { "" };
    let left = vec![
        format!("{right}{}", test.say),
        format!("{} bits a minute, {} min", test.rate, test.minutes),
    ];
    (left, test.results.clone())
}

/// Returns what decides it among the readings of the front.
fn deciding(front: &Front) -> Option<Block> {
    let own = front.readings.iter().filter(|r| r.decides);
    let own: Vec<String> = own.map(|r| format!("{} {}", r.name, r.value)).collect();
    (!own.is_empty()).then(|| Block::Line(format!("Decides: {}", own.join("; "))))
}

fn row(reading: &Reading) -> Row {
    let (name, value) = (reading.name.clone(), reading.value.clone());
    match reading.reference.as_str() {
        "" => [name, value],
        reference => [name, format!("{value}; {reference}")],
    }
}

fn readings(rows: impl Iterator<Item = Row>) -> Option<Block> {
    let rows: Vec<Row> = rows.collect();
    (!rows.is_empty()).then_some(Block::Readings(rows))
}
