//! The lead's desk: the cards that want a lead, and one card as a trainee sees it, with why it lies
//! here.
//!
//! Front and back are drawn by the files that draw them in a drill, so a lead signs what is asked.

use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::desk::view::Apart;
use crate::app::desk::view::DeskPage;
use crate::app::desk::view::DeskRow;
use crate::app::desk::view::Field;
use crate::app::desk::view::Reason;
use crate::domain::text::clean;
use crate::domain::text::number_of;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::signing;
use crate::tui::signing::CardWork;
use crate::tui::signing::Doing;
use crate::tui::signing::Side;
use crate::tui::signing::SigningList;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::card;
use crate::tui::view::jobs::cell;
use crate::tui::view::jobs::room;
use crate::tui::view::jobs::window;
use crate::tui::view::parts;
use crate::tui::view::signing_low;
use crate::tui::view::verdict;

/// Columns from which two values stand side by side.
const SIDE_BY_SIDE: usize = 70;
/// Columns of the marks between them.
const BETWEEN: usize = 3;

/// The columns of the list: the card takes what is left.
struct Widths {
    card: usize,
    board: usize,
    why: usize,
    people: usize,
    jobs: usize,
}

/// Columns of who signed it.
const SIGNED: usize = 6;

impl Widths {
    fn of(columns: usize) -> Self {
        let (board, people) = if 70 <= columns {
            (columns * 2 / 13, 6)
        } else {
            (0, 0)
        };
        let (why, jobs) = (17, 5);
        let rest = board + why + people + jobs + SIGNED;
        Self {
            card: columns.saturating_sub(rest).max(12),
            board,
            why,
            people,
            jobs,
        }
    }
}

/// Returns the cards that want a lead.
pub(super) fn list(state: &State, list: &SigningList, columns: usize) -> Sheet {
    let counts = format!(
        "{} of {} signed; {} a look.",
        list.signed,
        number_of(list.cards, "card"),
        match list.rows.len() {
            1 => "1 wants".to_owned(),
            n => format!("{n} want"),
        }
    );
    let mut top = sheet::prose(&counts, columns, theme::strong());
    if !list.faults.is_empty() {
        let places = number_of(list.faults.len(), "place");
        let text = format!(
            "Read with damage in {places}: {}",
            clean(&list.faults.join("; "))
        );
        let lines = measure::wrap(&text, columns);
        top.push(parts::line(
            measure::shorten(&lines.join(" "), columns),
            theme::strong(),
        ));
    }
    let widths = Widths::of(columns);
    let mut low = Vec::new();
    if list.rows.is_empty() {
        let text = "Nothing lies here: every card is signed as it stands, nobody doubts one, and no \
                    newer job speaks against one.";
        return Sheet {
            title: "The lead's desk".to_owned(),
            top,
            body: sheet::prose(text, columns, theme::plain()),
            ..Sheet::default()
        };
    }
    top.push(head(&widths));
    if let Some(marked) = list.rows.get(list.mark) {
        low.extend(marked_words(marked, columns));
    }
    // The height of the list does not depend on which card is marked.
    low.resize(3, Line::default());
    let taken = top.len() + low.len();
    let (from, n) = window(list.rows.len(), list.mark, room(state, taken, columns));
    let shown = list.rows.iter().enumerate().skip(from).take(n);
    let body = shown
        .map(|(i, row)| list_line(row, i == list.mark, &widths))
        .collect();
    Sheet {
        title: "The lead's desk, most worth a look first".to_owned(),
        aside: format!("{} of {}", list.mark + 1, list.rows.len()),
        top,
        body,
        low,
        ..Sheet::default()
    }
}

fn head(widths: &Widths) -> Line<'static> {
    let mut head = cell(" card", widths.card);
    if 0 < widths.board {
        head.push_str(&cell("board", widths.board));
    }
    head.push_str(&cell("why here", widths.why));
    if 0 < widths.people {
        head.push_str(&cell("asked", widths.people));
    }
    head.push_str(&cell("jobs", widths.jobs));
    head.push_str("signed");
    Line::styled(head, theme::quiet())
}

/// Returns who signed a card, or what stands in the way.
fn signed(row: &DeskRow) -> String {
    if row.out {
        "OUT".to_owned()
    } else if row.signed.is_empty() {
        "no".to_owned()
    } else {
        clean(&row.signed)
    }
}

fn list_line(row: &DeskRow, marked: bool, widths: &Widths) -> Line<'static> {
    let title = measure::shorten(&clean(&row.title), widths.card.saturating_sub(3));
    let gap = widths.card.saturating_sub(measure::width(&title) + 2);
    let mut rest = String::new();
    if 0 < widths.board {
        rest.push_str(&cell(&clean(&row.board), widths.board));
    }
    rest.push_str(&cell(&in_short(row), widths.why));
    if 0 < widths.people {
        rest.push_str(&cell(&row.people.to_string(), widths.people));
    }
    rest.push_str(&cell(&row.jobs.to_string(), widths.jobs));
    rest.push_str(&measure::shorten(&signed(row), SIGNED));
    Line::from(vec![
        parts::choice(&title, marked),
        Span::raw(" ".repeat(gap)),
        Span::raw(rest.trim_end().to_owned()),
    ])
}

fn why_here(row: &DeskRow) -> String {
    clean(&row.said.join("; "))
}

/// The weightiest reason in a word or two, and how many more there are.
fn in_short(row: &DeskRow) -> String {
    let first = match row.reasons.first() {
        Some(Reason::Doubted) => "doubted",
        Some(Reason::EditedApart) => "edited apart",
        Some(Reason::Contradicted) => "contradicted",
        Some(Reason::BouncedSinceSigned) => "came back",
        Some(Reason::MissedMore) => "missed more",
        Some(Reason::ChangedSinceSigned) => "changed since",
        Some(Reason::Seen) => "not signed",
        Some(Reason::New) => "new",
        Some(Reason::Waits) => "wants jobs",
        None => "",
    };
    let own = |reason: &&Reason| !matches!(reason, Reason::Seen | Reason::New);
    match row.reasons.iter().skip(1).filter(own).count() {
        0 => first.to_owned(),
        n => format!("{first} +{n}"),
    }
}

/// The marked card whole, in three lines at most.
fn marked_words(row: &DeskRow, columns: usize) -> Vec<Line<'static>> {
    let title = if row.board.is_empty() {
        clean(&row.title)
    } else {
        clean(&format!("{}: {}", row.board, row.title))
    };
    let mut lines = vec![parts::line(
        measure::shorten(&title, columns),
        theme::strong(),
    )];
    lines.extend(in_two(&standing_words(row), columns, theme::plain()));
    lines
}

/// Returns a text in two lines at most.
pub(super) fn in_two(text: &str, columns: usize, style: Style) -> Vec<Line<'static>> {
    let wrapped = measure::wrap(text, columns);
    let mut lines = vec![parts::line(wrapped[0].clone(), style)];
    if 1 < wrapped.len() {
        let second = measure::shorten(&wrapped[1..].join(" "), columns);
        lines.push(parts::line(second, style));
    }
    lines
}

/// Returns how a card stands, why it lies here, and what stands behind it.
pub(super) fn standing_words(row: &DeskRow) -> String {
    let standing = match (row.out, row.signed.is_empty()) {
        (true, _) => "OUT OF USE for everyone. ".to_owned(),
        (false, true) => String::new(),
        (false, false) => format!("Signed by {}. ", clean(&row.signed)),
    };
    let jobs = format!("{} in 24 months", number_of(row.jobs, "job"));
    format!("{standing}Here because: {}; {jobs}.", why_here(row))
}

/// Returns one card.
pub(super) fn card(work: &CardWork, columns: usize, height: u16) -> Sheet {
    let page = &work.page;
    let (low, cursor) = signing_low::low(work, columns, height);
    let (title, mark) = card::heading(&page.front, "", columns);
    let mut sheet = Sheet {
        title,
        low,
        cursor,
        ..Sheet::default()
    };
    if let Some((apart, mark)) = deciding(work) {
        sheet.top = apart_top(page, apart, columns);
        sheet.body = apart_lines(apart, mark, columns);
        return sheet;
    }
    match work.side {
        Side::Front => {
            sheet.top = card::cautions(&page.front, columns);
            let table = card::table(&page.front, columns);
            sheet.body = mark;
            sheet.body.extend(card::readings(&page.front, table));
            sheet.body.push(Line::default());
            let asks = page.asks.join("  Then: ");
            let label = table.label();
            sheet.body.extend(sheet::labelled(
                "Asked",
                &asks,
                label,
                columns,
                theme::strong(),
            ));
        }
        Side::Back => {
            sheet.top = card::cautions(&page.above, columns);
            (sheet.body, sheet.must) = verdict::told(&page.above, &page.back, columns);
        }
        Side::Why => sheet.body = why_lines(page, columns),
    }
    sheet
}

fn deciding(work: &CardWork) -> Option<(&Apart, usize)> {
    match work.doing {
        Some(Doing::Apart(mark)) => Some((work.apart()?, mark)),
        _ => None,
    }
}

/// Returns what was edited apart as a sentence names it.
fn called(apart: &Apart) -> String {
    match apart.field {
        Field::Use => clean(&apart.what),
        field => format!("the {}", signing::label(field)),
    }
}

fn apart_top(page: &DeskPage, apart: &Apart, columns: usize) -> Vec<Line<'static>> {
    let left = match page.apart.len() {
        1 => String::new(),
        n => format!(" ({} more after this)", n - 1),
    };
    let until = match apart.field {
        Field::Cautions => "all of them stand on the card.",
        _ => "the card stands as before both.",
    };
    let what = called(apart);
    let text =
        format!("Edited apart: {what}{left}. Neither saw the other's; until one is taken, {until}");
    let mut lines = sheet::prose(&text, columns, theme::strong());
    let now = signing::text_of(&page.now, apart.field);
    if !now.is_empty() {
        let now = clean(now);
        lines.extend(sheet::labelled("Now", &now, 5, columns, theme::quiet()));
    }
    lines.push(Line::default());
    lines
}

/// Every value that was typed: two side by side where there is room, else one below the other.
fn apart_lines(apart: &Apart, mark: usize, columns: usize) -> Vec<Line<'static>> {
    let beside = SIDE_BY_SIDE <= columns && apart.values.len() == 2;
    let width = if beside {
        (columns - BETWEEN) / 2
    } else {
        columns
    };
    let blocks: Vec<Vec<Line<'static>>> = apart
        .values
        .iter()
        .enumerate()
        .map(|(i, (_, who, when, value))| {
            let head = format!("{}  {} on {}", i + 1, clean(who), clean(when));
            let mut block = vec![Line::from(parts::choice(
                &measure::shorten(&head, width.saturating_sub(2)),
                i == mark,
            ))];
            let value = match clean(value) {
                empty if empty.trim().is_empty() => "(nothing)".to_owned(),
                value => value,
            };
            for line in measure::wrap(&value, width.saturating_sub(1)) {
                block.push(Line::raw(format!(" {line}")));
            }
            block
        })
        .collect();
    if !beside {
        return blocks.join(&Line::default());
    }
    let rows = blocks.iter().map(Vec::len).max().unwrap_or(0);
    (0..rows)
        .map(|row| {
            let mut spans = Vec::new();
            for (i, block) in blocks.iter().enumerate() {
                let line = block.get(row).cloned().unwrap_or_default();
                let gap = width.saturating_sub(line.width());
                if 0 < i {
                    spans.push(Span::styled(" │ ", theme::quiet()));
                }
                spans.extend(line.spans);
                spans.push(Span::raw(" ".repeat(gap)));
            }
            Line::from(spans)
        })
        .collect()
}

/// Why a card lies here, and what was done to it.
fn why_lines(page: &DeskPage, columns: usize) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    let mut part = |head: &str, texts: Vec<String>| {
        if texts.is_empty() {
            return;
        }
        if !lines.is_empty() {
            lines.push(Line::default());
        }
        lines.push(parts::line(head.to_owned(), theme::strong()));
        for text in texts {
            lines.extend(sheet::labelled(
                "-",
                &clean(&text),
                2,
                columns,
                theme::plain(),
            ));
        }
    };
    part("Why it lies here", page.row.said.clone());
    let apart = page.apart.iter().map(|apart| {
        let who: Vec<String> = apart
            .values
            .iter()
            .map(|(_, who, when, _)| format!("{who} on {when}"))
            .collect();
        let called = called(apart);
        format!("{called}: {}; d shows them", who.join(", "))
    });
    part("Edited apart from each other", apart.collect());
    part("To check, says the program", page.warnings.clone());
    let doubts = page.doubts.iter().map(|doubt| {
        let why = if doubt.why.trim().is_empty() {
            "gave no reason"
        } else {
            &doubt.why
        };
        format!("{}, {}: {why}", doubt.who, doubt.day)
    });
    part("Doubted", doubts.collect());
    let also = Some(page.now.also.clone()).filter(|also| !also.is_empty());
    part("Right in these words too", also.into_iter().collect());
    let missed = page.missed.iter().map(|missed| {
        let circuit = if missed.circuit.is_empty() {
            String::new()
        } else {
            format!("said {}; ", missed.circuit)
        };
        format!(
            "{}{}: {circuit}{}; sure: {}",
            cell(&missed.who, 5),
            missed.day,
            missed.typed,
            missed.sure
        )
    });
    part("Missed, latest first", missed.collect());
    part("What leads did, latest first", page.history.clone());
    let jobs = if page.jobs.is_empty() {
        Vec::new()
    } else {
        vec![format!("{}; e opens them", page.jobs.join(", "))]
    };
    part("Jobs behind it, latest first", jobs);
    let signed = if page.row.signed.is_empty() {
        "not yet signed".to_owned()
    } else {
        format!("signed by {}", page.row.signed)
    };
    let asked = match page.row.people {
        0 => "nobody yet".to_owned(),
        1 => "1 person".to_owned(),
        n => format!("{n} people"),
    };
    let jobs = number_of(page.row.jobs, "job");
    let about = [
        format!("{signed}; asked of {asked}; {jobs} like it in 24 months"),
        format!("kind {}, known as {}", page.row.kind, page.row.card),
    ];
    part("The card", about.to_vec());
    lines
}
