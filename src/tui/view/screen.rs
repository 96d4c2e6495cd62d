//! From the state to the sheet that stands on the screen.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;

use crate::tui::keymap;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Extent;
use crate::tui::sheet::Sheet;
use crate::tui::state::Base;
use crate::tui::state::Drill;
use crate::tui::state::Page;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::add;
use crate::tui::view::brief;
use crate::tui::view::card;
use crate::tui::view::choosing;
use crate::tui::view::evidence;
use crate::tui::view::family;
use crate::tui::view::gaps;
use crate::tui::view::greeting;
use crate::tui::view::help;
use crate::tui::view::home;
use crate::tui::view::intake;
use crate::tui::view::jobs;
use crate::tui::view::plan;
use crate::tui::view::signing;

/// Draws the state.
pub fn draw(state: &State, frame: &mut Frame<'_>) {
    let area = frame.area();
    let (columns, rows) = sheet::SMALLEST;
    if area.width < columns || area.height < rows {
        return too_small(frame, area);
    }
    let keys = keymap::line(state, sheet::columns(area.width));
    sheet(state).paint(frame, scroll(state), &keys);
}

/// Returns how much of the part that scrolls is in sight.
pub fn extent(state: &State) -> Extent {
    sheet(state).extent(state.size.1, scroll(state))
}

/// Returns the circuit that stands nearest to `mark` in the row below, or above.
pub fn pick_in_next_row(state: &State, mark: usize, down: bool) -> usize {
    let columns = sheet::columns(state.size.0);
    let picks = state.drill().map(Drill::picks).unwrap_or_default();
    card::pick_in_next_row(&picks, columns, mark, down)
}

fn scroll(state: &State) -> Option<usize> {
    match state.layers.last() {
        Some(layer) => layer.scroll,
        None => state.scroll,
    }
}

fn sheet(state: &State) -> Sheet {
    let columns = sheet::columns(state.size.0);
    let mut sheet = match state.layers.last().map(|layer| &layer.page) {
        Some(Page::Help(place)) => help::sheet(*place, columns),
        Some(Page::Families(families, mark)) => choosing::families(families, *mark, columns),
        Some(Page::Family(family)) => family::sheet(family, columns),
        Some(Page::Evidence(jobs)) => evidence::sheet(jobs, columns),
        Some(Page::Faults) => home::faults(state, columns),
        Some(Page::GiveTo(mark)) => choosing::people(state, *mark, columns),
        Some(Page::Gaps(found, mark)) => gaps::sheet(found, *mark, columns, state.size.1),
        Some(Page::Plan(found)) => plan::sheet(found, columns),
        Some(Page::Planning(done, all)) => plan::under_way(*done, *all, columns),
        Some(Page::ReadyBy(entry)) => plan::ready_by(state, entry, columns),
        Some(Page::GapCards(line)) => gaps::cards(line, columns),
        Some(Page::GapPairs(pairs)) => gaps::pairs(pairs, columns),
        Some(Page::WholeJob(job)) => evidence::whole(job, columns),
        Some(Page::Archive(list)) => jobs::archive(state, list, columns),
        Some(Page::Job(page)) => jobs::job(state, page, columns),
        Some(Page::FollowUp(list)) => jobs::follow_up(state, list, columns),
        Some(Page::Returned(form)) => jobs::returned(form, columns),
        Some(Page::Intake(list)) => intake::list(state, list, columns),
        Some(Page::IntakeRow(work)) => intake::row(work, columns, state.size.1),
        Some(Page::Form(page)) => add::form(page, columns),
        Some(Page::Written(written)) => add::written(written, columns),
        Some(Page::OpenJobs(list)) => add::open_jobs(list, columns),
        Some(Page::Signing(list)) => signing::list(state, list, columns),
        Some(Page::SigningCard(work)) => signing::card(work, columns, state.size.1),
        None => match &state.base {
            Base::Greeting(greeting) => greeting::sheet(state, greeting, columns),
            Base::Home(mark) => home::sheet(state, *mark, columns),
            Base::Drill(drill) => card::sheet(drill, columns, state.size.1),
            Base::Brief(before) => brief::sheet(before, columns, state.size.1),
        },
    };
    let mut said: Vec<Line<'static>> = Vec::new();
    if let Some(drill) = state.drill() {
        if let Some(why) = &drill.view.read_only {
            let text = format!("Read only: {why}");
            said.extend(sheet::prose(&text, columns, theme::grave()));
        }
        if !drill.view.notice.is_empty() && state.layers.is_empty() {
            said.extend(sheet::prose(&drill.view.notice, columns, theme::strong()));
        }
    }
    if let Some(notice) = &state.notice {
        let style = if notice.grave {
            theme::grave()
        } else {
            theme::strong()
        };
        said.extend(sheet::prose(&notice.text, columns, style));
    }
    if let Some((line, _)) = &mut sheet.cursor {
        *line += said.len();
    }
    said.append(&mut sheet.low);
    sheet.low = said;
    sheet.settled(state.size.1)
}

fn too_small(frame: &mut Frame<'_>, area: Rect) {
    let (columns, rows) = sheet::SMALLEST;
    let text = format!("Benchlore needs at least {columns} by {rows}; Ctrl-C leaves.");
    let lines = measure::wrap(&text, usize::from(area.width));
    for (line, y) in lines.into_iter().zip(area.top()..area.bottom()) {
        let place = Rect {
            y,
            height: 1,
            ..area
        };
        frame.render_widget(Line::from(line), place);
    }
}
