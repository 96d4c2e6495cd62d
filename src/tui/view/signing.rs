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
use crate::domain::caution;
use crate::domain::text::clean;
use crate::domain::text::number_of;
use crate::tui::entry::Entry;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::signing;
use crate::tui::signing::CardWork;
use crate::tui::signing::Doing;
use crate::tui::signing::FIELDS;
use crate::tui::signing::Side;
use crate::tui::signing::SigningList;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::card;
use crate::tui::view::jobs::cell;
use crate::tui::view::jobs::room;
use crate::tui::view::jobs::window;
use crate::tui::view::parts;
use crate::tui::view::verdict;

/// Columns from which two values stand side by side.
const SIDE_BY_SIDE: usize = 70;
/// Columns of the marks between them.
const BETWEEN: usize = 3;
/// Rows from which lines that only help stand below a card.
const ROOMY: u16 = 22;
/// Lines of a choice that are shown below a card at most.
const CHOICES: usize = 5;

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
fn in_two(text: &str, columns: usize, style: Style) -> Vec<Line<'static>> {
    let wrapped = measure::wrap(text, columns);
    let mut lines = vec![parts::line(wrapped[0].clone(), style)];
    if 1 < wrapped.len() {
        let second = measure::shorten(&wrapped[1..].join(" "), columns);
        lines.push(parts::line(second, style));
    }
    lines
}

/// Returns how a card stands, why it lies here, and what stands behind it.
fn standing_words(row: &DeskRow) -> String {
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
    let (low, cursor) = low(work, columns, height);
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

fn apart_top(page: &DeskPage, apart: &Apart, columns: usize) -> Vec<Line<'static>> {
    let left = match page.apart.len() {
        1 => String::new(),
        n => format!(" ({} more after this)", n - 1),
    };
    let text = format!(
        "Edited apart: the {}{left}. Neither saw the other's; until one is taken, the card stands as \
         before both.",
        signing::label(apart.field)
    );
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
        let label = signing::label(apart.field);
        format!("{label}: {}; d shows them", who.join(", "))
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

type Low = (Vec<Line<'static>>, Option<(usize, usize)>);

/// What is being done, or how the card stands.
fn low(work: &CardWork, columns: usize, height: u16) -> Low {
    let page = &work.page;
    match &work.doing {
        None => (standing(work, columns), None),
        Some(Doing::Field(mark)) => (fields(page, *mark, columns), None),
        Some(Doing::Line(what, entry)) => typing(work, *what, entry, (columns, height)),
        Some(Doing::Merge(mark)) => {
            let names: Vec<String> = page.like.iter().map(|like| name_of(page, like)).collect();
            let ask = "Merge: into which card of this board does this one go?";
            (picks(ask, &names, *mark, columns), None)
        }
        Some(Doing::Split(mark)) => {
            let names: Vec<String> = page.divides.iter().map(|(_, text)| text.clone()).collect();
            let ask = "Split by what? The cards that it makes stand beside.";
            (picks(ask, &names, *mark, columns), None)
        }
        Some(Doing::Apart(_)) => (Vec::new(), None),
    }
}

/// Characters of an id that tell cards of one title apart.
const ID: usize = 6;

/// Returns what a card is called among those like it: with its id where another is called the same.
fn name_of(page: &DeskPage, (card, title): &(String, String)) -> String {
    let same = page.like.iter().filter(|(_, other)| other == title).count();
    if same < 2 && *title != page.row.title {
        return title.clone();
    }
    let id: String = card.chars().take(ID).collect();
    format!("{title}   (card {id})")
}

/// Why it lies here in short, how it stands, and its sides.
fn standing(work: &CardWork, columns: usize) -> Vec<Line<'static>> {
    let row = &work.page.row;
    let mut lines = Vec::new();
    if work.side != Side::Why {
        lines.extend(in_two(&standing_words(row), columns, theme::strong()));
    } else if row.out {
        lines.push(parts::line("OUT OF USE for everyone.", theme::strong()));
    }
    lines.push(sides(work, columns));
    lines
}

/// Its place on the desk, and its sides, the one that is shown in brackets.
fn sides(work: &CardWork, columns: usize) -> Line<'static> {
    let page = &work.page;
    let place = format!("{} of {}  ", work.at + 1, work.of);
    let mut spans = vec![Span::styled(place, theme::quiet())];
    for side in Side::ALL {
        let name = match side {
            Side::Front => "front",
            Side::Back => "front and back",
            Side::Why => "why here",
        };
        spans.push(parts::choice(name, side == work.side));
    }
    let more = [
        (page.apart.len(), "edited apart"),
        (page.doubts.len(), "doubts"),
        (page.warnings.len(), "to check"),
        (page.missed.len(), "missed"),
    ];
    let told: Vec<String> = more
        .iter()
        .filter(|(n, _)| 0 < *n)
        .map(|(n, what)| match (n, *what) {
            (1, "doubts") => "1 doubt".to_owned(),
            (n, what) => format!("{n} {what}"),
        })
        .collect();
    let used: usize = spans.iter().map(|s| measure::width(&s.content)).sum();
    let room = columns.saturating_sub(used + 2);
    if !told.is_empty() && 8 < room {
        let text = measure::shorten(&told.join(", "), room);
        spans.push(Span::raw(format!("  {text}")));
    }
    Line::from(spans)
}

/// Columns of the name of a thing that is typed over.
const NAME: usize = 20;

fn fields(page: &DeskPage, mark: usize, columns: usize) -> Vec<Line<'static>> {
    let mut lines = sheet::prose(
        "Type over what? Its letter takes it, or Enter the one marked.",
        columns,
        theme::strong(),
    );
    for (i, field) in FIELDS.into_iter().enumerate() {
        let name = parts::choice(signing::label(field), i == mark);
        let now = clean(signing::text_of(&page.now, field));
        let now = if now.is_empty() { "-" } else { &now };
        let gap = NAME.saturating_sub(name.width());
        lines.push(Line::from(vec![
            Span::styled(format!("{} ", letter_of(field)), theme::strong()),
            name,
            Span::raw(" ".repeat(gap)),
            Span::raw(measure::shorten(now, columns.saturating_sub(NAME + 2))),
        ]));
    }
    lines
}

/// The key of a thing that is typed over, as the table of keys has it.
fn letter_of(field: Field) -> &'static str {
    match field {
        Field::Stem => "q",
        Field::Answers => "a",
        Field::Also => "o",
        Field::Why => "w",
        Field::Cautions => "h",
        Field::Use | Field::Signature => " ",
    }
}

fn picks(ask: &str, names: &[String], mark: usize, columns: usize) -> Vec<Line<'static>> {
    let mut lines = sheet::prose(ask, columns, theme::strong());
    let (from, n) = window(names.len(), mark, CHOICES);
    for (i, name) in names.iter().enumerate().skip(from).take(n) {
        let name = measure::shorten(&clean(name), columns.saturating_sub(2));
        lines.push(Line::from(parts::choice(&name, i == mark)));
    }
    if n < names.len() {
        let text = format!("{} of {}", mark + 1, names.len());
        lines.push(parts::line(text, theme::quiet()));
    }
    lines
}

/// Returns what is asked, how it is written, and the head of the line.
fn asking(what: signing::Line, out: bool) -> (String, String, String) {
    let (ask, help, head) = match what {
        signing::Line::Over(field) => {
            let help = match field {
                Field::Stem => "Empty where the kind of card says it all.".to_owned(),
                Field::Answers => {
                    "The card's own first: replace U31; reflow L12 + clean J2".to_owned()
                }
                Field::Also => {
                    "Other words for its own answer, with semicolons between.".to_owned()
                }
                Field::Cautions => {
                    let ids: Vec<&str> = caution::CAUTIONS.iter().map(|c| c.id).collect();
                    format!("With commas between, of: {}", ids.join(", "))
                }
                _ => "Why it is so, in a sentence or two.".to_owned(),
            };
            let name = signing::label(field);
            return (
                String::new(),
                help,
                format!("{}{} > ", name[..1].to_uppercase(), &name[1..]),
            );
        }
        signing::Line::MoreJobs => (
            "More jobs are wanted before anyone vouches for it. What should they show?",
            "",
            "Wanted > ",
        ),
        signing::Line::TagOut => (
            "Tag it out for everyone. Why?",
            "It is asked of nobody until a lead brings it back.",
            "Because > ",
        ),
        signing::Line::BringBack if out => (
            "Bring it back: everyone is asked it again. Why? (may stay empty)",
            "",
            "Because > ",
        ),
        signing::Line::BringBack => (
            "Rule the doubts out: those who doubted it are asked it again. Why? (may stay empty)",
            "",
            "Because > ",
        ),
        signing::Line::Retire => (
            "RETIRE it for good? Enter does it, Esc leaves the card as it is. Why?",
            "",
            "Because > ",
        ),
    };
    (ask.to_owned(), help.to_owned(), head.to_owned())
}

fn typing(work: &CardWork, what: signing::Line, entry: &Entry, size: (usize, u16)) -> Low {
    let (columns, height) = size;
    let (ask, help, head) = asking(what, work.page.row.out);
    let mut lines = Vec::new();
    if !ask.is_empty() {
        lines.extend(sheet::prose(&ask, columns, theme::strong()));
    }
    let must_know = matches!(
        what,
        signing::Line::Over(Field::Cautions | Field::Answers) | signing::Line::TagOut
    );
    if !help.is_empty() && (ROOMY <= height || must_know) {
        lines.extend(sheet::prose(&help, columns, theme::quiet()));
    }
    // A text that does not fit its line stands whole above it.
    let fits = measure::width(&head) + measure::width(entry.text()) < columns;
    if !fits {
        let whole = measure::wrap(entry.text(), columns.saturating_sub(2));
        let most = if ROOMY <= height { 6 } else { 4 };
        let hidden = whole.len().saturating_sub(most);
        if 0 < hidden {
            lines.push(parts::line("  …", theme::quiet()));
        }
        let shown = whole.into_iter().skip(hidden);
        lines.extend(shown.map(|line| parts::line(format!("  {line}"), theme::plain())));
    }
    let (line, column) = parts::prompt(&head, entry, columns, "");
    lines.push(line);
    let at = lines.len() - 1;
    (lines, Some((at, column)))
}
