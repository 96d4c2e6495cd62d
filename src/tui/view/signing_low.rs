//! Below a card on the lead's desk: how it stands, or the line or choice of what is being done to it.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::desk::view::DeskPage;
use crate::app::desk::view::Field;
use crate::domain::caution;
use crate::domain::text::clean;
use crate::tui::entry::Entry;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::signing;
use crate::tui::signing::CardWork;
use crate::tui::signing::Doing;
use crate::tui::signing::FIELDS;
use crate::tui::signing::Side;
use crate::tui::theme;
use crate::tui::view::jobs::window;
use crate::tui::view::parts;
use crate::tui::view::signing::in_two;
use crate::tui::view::signing::standing_words;

/// Rows from which lines that only help stand below a card.
const ROOMY: u16 = 22;
/// Lines of a choice that are shown below a card at most.
const CHOICES: usize = 5;

type Low = (Vec<Line<'static>>, Option<(usize, usize)>);

/// What is being done, or how the card stands.
pub(super) fn low(work: &CardWork, columns: usize, height: u16) -> Low {
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

/// From so many columns on the line of keys names every act.
const WIDE: usize = 120;

/// Its place on the desk, and its sides, the one that is shown in brackets.
fn sides(work: &CardWork, columns: usize) -> Line<'static> {
    let page = &work.page;
    let place = format!("{} of {}  ", work.at + 1, work.of);
    let mut spans = vec![
        Span::styled(place, theme::quiet()),
        Span::styled("Tab ", theme::strong()),
    ];
    for side in Side::ALL {
        let name = match side {
            Side::Front => "front",
            Side::Back => "front and back",
            Side::Why => "why here",
        };
        spans.push(parts::choice(name, side == work.side));
    }
    // In a narrow window the line of keys has no room for it.
    if columns < WIDE && !page.jobs.is_empty() {
        spans.push(Span::styled("  e ", theme::strong()));
        spans.push(Span::raw("jobs"));
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
                    "Other words for its whole answer, with semicolons between.".to_owned()
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
