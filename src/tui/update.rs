//! What happens when something happens: one message in, the state changed, effects out.

use crate::app::view::DrillView;
use crate::app::view::Home;
use crate::app::view::Step;
use crate::domain::intake::form::Purpose;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::tui::add;
use crate::tui::brief;
use crate::tui::entry::Entry;
use crate::tui::gaps;
use crate::tui::intake;
use crate::tui::jobs;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::open as open_jobs;
use crate::tui::plan;
use crate::tui::ready;
use crate::tui::signing;
use crate::tui::state::Base;
use crate::tui::state::Drill;
use crate::tui::state::Greeting;
use crate::tui::state::INITIALS;
use crate::tui::state::LINE;
use crate::tui::state::Layer;
use crate::tui::state::Notice;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::state::Tagging;
use crate::tui::view::screen;

/// Applies one message and returns what to do outside.
pub fn update(state: &mut State, msg: &Msg) -> Vec<Effect> {
    if matches!(msg, Msg::Act(_) | Msg::Type(_)) {
        state.notice = None;
    }
    let effects = match msg {
        Msg::Act(act) => on_act(state, *act),
        Msg::Type(c) => {
            let taken = intake::on_type(state, *c).or_else(|| add::on_type(state, *c));
            taken.unwrap_or_else(|| {
                on_type(state, *c);
                Vec::new()
            })
        }
        Msg::Resize(columns, rows) => {
            state.size = (*columns, *rows);
            Vec::new()
        }
        answer => on_answer(state, answer),
    };
    hold_scroll(state);
    effects
}

fn on_answer(state: &mut State, msg: &Msg) -> Vec<Effect> {
    match msg {
        Msg::People(people) => {
            state.people.clone_from(people);
            let alone = state.people.len() == 1;
            if let Base::Greeting(greeting) = &mut state.base {
                greeting.mark = (alone && greeting.entry.is_blank()).then_some(0);
            }
        }
        Msg::Added(Ok(person)) => return vec![Effect::Home(person.clone())],
        Msg::Home(Ok(home)) => go_home(state, home),
        Msg::Given(Ok(home)) => {
            go_home(state, home);
            say(state, "The sitting counts for them now.");
        }
        Msg::Drill(Ok(drill)) => {
            show(state, drill);
            // Whoever came since may be the one whose sitting it was.
            if matches!(drill.step, Step::Over(_)) {
                return vec![Effect::People];
            }
        }
        Msg::Added(Err(why))
        | Msg::Home(Err(why))
        | Msg::Given(Err(why))
        | Msg::Drill(Err(why))
        | Msg::Gaps(Err(why)) => {
            warn(state, why.clone());
        }
        Msg::NotKept(why) => warn(state, format!("NOT kept: {why}")),
        Msg::Family(Some(family)) => open(state, Page::Family(family.clone())),
        Msg::Family(None) => say(state, "The shop says nothing about this circuit."),
        Msg::Families(families) => {
            let at = state.circuit_at_hand();
            let mark = families.iter().position(|f| Some(&f.id) == at.as_ref());
            open(
                state,
                Page::Families(families.clone(), mark.unwrap_or_default()),
            );
        }
        Msg::Evidence(jobs) => open(state, Page::Evidence(jobs.clone())),
        Msg::Gaps(Ok(found)) => gaps::open(state, found),
        Msg::Plan(answer) => plan::on_answer(state, answer),
        Msg::ReadyBy(said) => ready::on_answer(state, said),
        Msg::Act(_) | Msg::Type(_) | Msg::Resize(..) => {}
        Msg::Boards(boards) => brief::opened(state, boards),
        Msg::Brief(Ok(found)) => brief::shown(state, found),
        Msg::Brief(Err(why)) => warn(state, why.clone()),
        Msg::WholeJob(Some(job)) => open(state, Page::WholeJob(job.clone())),
        Msg::WholeJob(None) => say(state, "This job cannot be read any more."),
        Msg::Archive(_)
        | Msg::FoundJobs(..)
        | Msg::Job(_)
        | Msg::FollowUp(_)
        | Msg::LaterJobs(..)
        | Msg::JobSaid(_)
        | Msg::JobsTakenBack(_) => return jobs::on_answer(state, msg),
        Msg::Intake(_)
        | Msg::IntakeWorth(_)
        | Msg::IntakeRow(_)
        | Msg::IntakeDecided(_)
        | Msg::IntakeRead(_)
        | Msg::IntakeNumbers(_) => return intake::on_answer(state, msg),
        Msg::Form(_)
        | Msg::FormRead(_)
        | Msg::UnitMarked(_)
        | Msg::FormSaved(_)
        | Msg::FormLeft(_)
        | Msg::DraftNotKept(_) => return add::on_answer(state, msg),
        Msg::OpenJobs(_) | Msg::OpenSaid(_) => return open_jobs::on_answer(state, msg),
        Msg::Signing(_) | Msg::SigningCard(_) | Msg::SigningDone(_) | Msg::SigningUndone(_) => {
            return signing::on_answer(state, msg);
        }
    }
    Vec::new()
}

fn on_act(state: &mut State, act: Act) -> Vec<Effect> {
    match act {
        Act::Leave => {
            state.ended = true;
            return Vec::new();
        }
        Act::Suspend => return vec![Effect::Suspend],
        Act::Redraw => return vec![Effect::Redraw],
        Act::Help => {
            let place = state.place();
            open(state, Page::Help(place));
            return Vec::new();
        }
        _ => {}
    }
    match state.place() {
        Place::Greeting => on_greeting(state, act),
        Place::Home => on_home(state, act),
        Place::Circuit => on_circuit(state, act),
        Place::Fix => on_fix(state, act),
        Place::Verdict => on_verdict(state, act),
        Place::Tag | Place::Reason => on_tag(state, act),
        Place::Over => on_over(state, act),
        Place::Families | Place::GiveTo => on_choosing(state, act),
        Place::Plan if act == Act::ReadyBy => {
            ready::open(state);
            Vec::new()
        }
        Place::ReadyBy => ready::on_act(state, act),
        Place::Reading | Place::Plan => {
            if act == Act::Back {
                let left = state.layers.pop();
                return plan::after(left).into_iter().collect();
            }
            scroll(state, act);
            Vec::new()
        }
        Place::Gaps => gaps::on_gaps(state, act),
        Place::BriefBoard | Place::BriefWords | Place::Brief => brief::on_act(state, act),
        Place::Archive
        | Place::ArchiveSearch
        | Place::Job
        | Place::FollowUp
        | Place::ReturnedAs
        | Place::ReturnCause => jobs::on_act(state, act),
        Place::Intake
        | Place::IntakeRow
        | Place::IntakeMend
        | Place::IntakeSame
        | Place::IntakeSkip
        | Place::IntakeSplit => intake::on_act(state, act),
        Place::Form => add::on_form(state, act),
        Place::Written => add::on_written(state, act),
        Place::OpenJobs | Place::OpenLine => open_jobs::on_act(state, act),
        Place::Signing
        | Place::SigningCard
        | Place::SigningField
        | Place::SigningLine
        | Place::SigningPick
        | Place::SigningApart => signing::on_act(state, act),
    }
}

fn on_type(state: &mut State, c: char) {
    let page = jobs::on_type(state, c) || open_jobs::on_type(state, c);
    if page || signing::on_type(state, c) || ready::on_type(state, c) {
        return;
    }
    if let Base::Greeting(greeting) = &mut state.base {
        if state.layers.is_empty() && c.is_alphabetic() {
            greeting.entry.insert(c);
            greeting.mark = None;
        }
        return;
    }
    if !state.place().takes_text() {
        return;
    }
    if let Base::Brief(before) = &mut state.base {
        brief::on_type(before, c);
        return;
    }
    let circuit = state.place() == Place::Circuit;
    let Some(drill) = state.drill_mut() else {
        return;
    };
    match &mut drill.tagging {
        Some(Tagging::Reason { entry, .. }) => entry.insert(c),
        _ => drill.entry.insert(c),
    }
    if circuit {
        remark(drill);
    }
}

/// Marks the best match once something is typed, and nothing before.
fn remark(drill: &mut Drill) {
    let any = !drill.entry.is_blank() && !drill.picks().is_empty();
    drill.mark = any.then_some(0);
}

fn on_greeting(state: &mut State, act: Act) -> Vec<Effect> {
    let n_people = state.people.len();
    let Base::Greeting(greeting) = &mut state.base else {
        return Vec::new();
    };
    match act {
        Act::Take => return sit_down(state),
        Act::Back => state.ended = true,
        Act::Up | Act::Previous => {
            greeting.entry.clear();
            greeting.mark = step_round(greeting.mark, n_people, false);
        }
        Act::Down | Act::Next => {
            greeting.entry.clear();
            greeting.mark = step_round(greeting.mark, n_people, true);
        }
        Act::Edit(edit) => greeting.entry.edit(edit),
        _ => {}
    }
    Vec::new()
}

fn sit_down(state: &mut State) -> Vec<Effect> {
    let Base::Greeting(greeting) = &state.base else {
        return Vec::new();
    };
    let typed = greeting.entry.text().trim().to_owned();
    let known = match greeting.mark {
        Some(mark) => state.people.get(mark),
        None => state
            .people
            .iter()
            .find(|p| p.initials.to_lowercase() == typed.to_lowercase()),
    };
    if let Some(person) = known {
        return vec![Effect::Home(person.id.clone())];
    }
    if typed.is_empty() {
        say(state, "Type your initials first: one to four letters.");
        return Vec::new();
    }
    vec![Effect::AddPerson(typed)]
}

fn on_home(state: &mut State, act: Act) -> Vec<Effect> {
    let n_families = state.meters().len();
    let rows = usize::from(state.size.1 / 2);
    let Base::Home(mark) = &mut state.base else {
        return Vec::new();
    };
    match act {
        Act::Up => *mark = mark.saturating_sub(1),
        Act::Down => *mark = (*mark + 1).min(n_families.saturating_sub(1)),
        Act::PageUp => *mark = mark.saturating_sub(rows),
        Act::PageDown => *mark = (*mark + rows).min(n_families.saturating_sub(1)),
        Act::Take => {
            if state.home.as_ref().is_some_and(|home| home.planned == 0) {
                say(state, "Nothing is left to drill today.");
                return Vec::new();
            }
            return vec![Effect::Begin(state.person.clone())];
        }
        Act::Families => return vec![Effect::Families],
        Act::Gaps => return vec![Effect::Gaps(state.person.clone())],
        Act::Plan => return vec![Effect::Plan(state.person.clone())],
        Act::BeforeBoard => return vec![Effect::Boards],
        Act::Faults => open(state, Page::Faults),
        Act::SomeoneElse => {
            state.person.clear();
            state.home = None;
            state.scroll = None;
            state.base = Base::Greeting(Greeting {
                entry: Entry::new(INITIALS),
                mark: None,
            });
            return vec![Effect::People];
        }
        Act::Back => state.ended = true,
        Act::Archive => return vec![Effect::Archive],
        Act::Intake => return vec![Effect::Intake(state.person.clone())],
        Act::NewJob => return new_job(state),
        Act::OpenJobs => return vec![Effect::OpenJobs],
        Act::LeadsDesk => return vec![Effect::Signing],
        _ => {}
    }
    Vec::new()
}

/// Opens the form of a new job.
pub(super) fn new_job(state: &State) -> Vec<Effect> {
    vec![Effect::OpenForm {
        person: state.person.clone(),
        purpose: Purpose::Add,
    }]
}

fn on_circuit(state: &mut State, act: Act) -> Vec<Effect> {
    let next_row = state
        .drill()
        .and_then(|drill| drill.mark)
        .map(|mark| screen::pick_in_next_row(state, mark, act == Act::Down));
    let Some(drill) = state.drill_mut() else {
        return Vec::new();
    };
    let picks = drill.picks();
    match act {
        Act::Take => {
            let Some(pick) = drill.mark.and_then(|mark| picks.get(mark)) else {
                let why = if picks.is_empty() {
                    "No circuit begins so: Backspace, or Ctrl-U for a clear line."
                } else {
                    "Type the first letters, or move to one; the last says that you don't know."
                };
                say(state, why);
                return Vec::new();
            };
            return vec![Effect::SayCircuit(pick.id.clone())];
        }
        Act::Back => {
            if drill.entry.text().is_empty() && drill.mark.is_none() {
                return vec![Effect::Stop];
            }
            drill.entry.clear();
            drill.mark = None;
        }
        Act::Left | Act::Previous => drill.mark = step_round(drill.mark, picks.len(), false),
        Act::Right | Act::Next => drill.mark = step_round(drill.mark, picks.len(), true),
        Act::Up | Act::Down => {
            drill.mark = match drill.mark {
                None => step_round(None, picks.len(), act == Act::Down),
                Some(_) => next_row,
            };
        }
        Act::Edit(edit) => {
            let before = drill.entry.text().to_owned();
            drill.entry.edit(edit);
            if drill.entry.text() != before {
                remark(drill);
            }
        }
        Act::Undo => return vec![Effect::Undo],
        Act::TagOut => drill.tagging = Some(Tagging::Asking),
        Act::Family => return family_page(state),
        other => scroll(state, other),
    }
    Vec::new()
}

fn on_fix(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(drill) = state.drill_mut() else {
        return Vec::new();
    };
    match act {
        Act::Take => {
            let typed = (!drill.entry.is_blank()).then(|| drill.entry.text().trim().to_owned());
            return vec![Effect::SayFix {
                typed,
                sure: drill.sure,
            }];
        }
        Act::Back if drill.is_only_question() && drill.entry.text().is_empty() => {
            return vec![Effect::Stop];
        }
        Act::Back if drill.is_only_question() => drill.entry.clear(),
        Act::Back => return vec![Effect::BackToCircuit],
        Act::Undo => return vec![Effect::Undo],
        Act::Next => drill.sure = turn(drill.sure, 1),
        Act::Previous => drill.sure = turn(drill.sure, 2),
        Act::Edit(edit) => drill.entry.edit(edit),
        Act::TagOut => drill.tagging = Some(Tagging::Asking),
        Act::Family => return family_page(state),
        other => scroll(state, other),
    }
    Vec::new()
}

fn turn(sure: Sure, by: usize) -> Sure {
    let at = Sure::ALL.iter().position(|s| *s == sure).unwrap_or(0);
    Sure::ALL[(at + by) % Sure::ALL.len()]
}

fn on_verdict(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(drill) = state.drill_mut() else {
        return Vec::new();
    };
    let Step::Verdict {
        grade, grade_fixed, ..
    } = &drill.view.step
    else {
        return Vec::new();
    };
    match act {
        Act::Take => vec![Effect::Keep],
        Act::Back => vec![Effect::Stop],
        Act::Up | Act::Down => {
            let number = grade.number();
            let wanted = if act == Act::Up {
                Grade::from_number(number + 1)
            } else {
                Grade::from_number(number - 1)
            };
            match wanted {
                Some(wanted) if !grade_fixed => vec![Effect::SetGrade(wanted)],
                _ => Vec::new(),
            }
        }
        Act::Overrule => vec![Effect::Overrule],
        Act::Undo => vec![Effect::Undo],
        Act::Evidence => vec![Effect::Evidence],
        Act::Family => family_page(state),
        Act::TagOut => {
            drill.tagging = Some(Tagging::Asking);
            Vec::new()
        }
        other => {
            scroll(state, other);
            Vec::new()
        }
    }
}

fn on_tag(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(drill) = state.drill_mut() else {
        return Vec::new();
    };
    let reason = |doubtful| {
        Some(Tagging::Reason {
            doubtful,
            entry: Entry::new(LINE),
        })
    };
    match (&mut drill.tagging, act) {
        (Some(Tagging::Asking), Act::Doubtful) => drill.tagging = reason(true),
        (Some(Tagging::Asking), Act::NotForMe) => drill.tagging = reason(false),
        (Some(Tagging::Asking), Act::Back) => drill.tagging = None,
        (Some(Tagging::Reason { .. }), Act::Back) => drill.tagging = Some(Tagging::Asking),
        (Some(Tagging::Reason { entry, .. }), Act::Edit(edit)) => entry.edit(edit),
        (Some(Tagging::Reason { doubtful, entry }), Act::Take) => {
            return vec![Effect::Tag {
                doubtful: *doubtful,
                note: entry.text().trim().to_owned(),
            }];
        }
        (_, other) => scroll(state, other),
    }
    Vec::new()
}

fn on_over(state: &mut State, act: Act) -> Vec<Effect> {
    match act {
        Act::Take | Act::Back => vec![Effect::Home(state.person.clone())],
        Act::Undo => vec![Effect::Undo],
        Act::NotMine => {
            if !state.others().is_empty() {
                open(state, Page::GiveTo(0));
            }
            Vec::new()
        }
        other => {
            scroll(state, other);
            Vec::new()
        }
    }
}

fn on_choosing(state: &mut State, act: Act) -> Vec<Effect> {
    let n_others = state.others().len();
    let rows = usize::from(state.size.1 / 2);
    let Some(layer) = state.layers.last_mut() else {
        return Vec::new();
    };
    let (mark, n) = match &mut layer.page {
        Page::Families(families, mark) => (mark, families.len()),
        Page::GiveTo(mark) => (mark, n_others),
        _ => return Vec::new(),
    };
    match act {
        Act::Up => *mark = mark.saturating_sub(1),
        Act::Down => *mark = (*mark + 1).min(n.saturating_sub(1)),
        Act::PageUp => *mark = mark.saturating_sub(rows),
        Act::PageDown => *mark = (*mark + rows).min(n.saturating_sub(1)),
        Act::Back => {
            state.layers.pop();
        }
        Act::Take => return take_marked(state),
        _ => {}
    }
    Vec::new()
}

fn take_marked(state: &mut State) -> Vec<Effect> {
    match state.layers.last().map(|layer| &layer.page) {
        Some(Page::Families(families, mark)) => families
            .get(*mark)
            .map(|family| Effect::Family(family.id.clone()))
            .into_iter()
            .collect(),
        Some(Page::GiveTo(mark)) => {
            let person = state.others().get(*mark).map(|p| p.id.clone());
            let sitting = match state.drill().map(|d| &d.view.step) {
                Some(Step::Over(summary)) => Some(summary.sitting.clone()),
                _ => None,
            };
            state.layers.pop();
            person
                .zip(sitting)
                .map(|(person, sitting)| Effect::GiveTo { sitting, person })
                .into_iter()
                .collect()
        }
        _ => Vec::new(),
    }
}

fn family_page(state: &State) -> Vec<Effect> {
    state
        .circuit_at_hand()
        .map(Effect::Family)
        .into_iter()
        .collect()
}

fn go_home(state: &mut State, home: &Home) {
    state.person.clone_from(&home.person);
    state.home = Some(home.clone());
    state.base = Base::Home(0);
    state.scroll = None;
    state.layers.clear();
}

/// Shows the sitting; a verdict that only changed its grade stays where it was scrolled.
fn show(state: &mut State, view: &DrillView) {
    let same_verdict = state.drill().is_some_and(|drill| {
        drill.view.front == view.front
            && matches!(drill.view.step, Step::Verdict { .. })
            && matches!(view.step, Step::Verdict { .. })
    });
    if !same_verdict {
        state.scroll = None;
    }
    state.layers.clear();
    state.base = Base::Drill(Box::new(Drill::new(view.clone())));
}

pub(super) fn open(state: &mut State, page: Page) {
    state.layers.push(Layer { page, scroll: None });
}

pub(super) fn say(state: &mut State, text: &str) {
    state.notice = Some(Notice {
        text: text.to_owned(),
        grave: false,
    });
}

pub(super) fn warn(state: &mut State, text: String) {
    state.notice = Some(Notice { text, grave: true });
}

fn step_round(mark: Option<usize>, n: usize, forward: bool) -> Option<usize> {
    match (mark, forward) {
        _ if n == 0 => None,
        (None, true) => Some(0),
        (None, false) => Some(n - 1),
        (Some(at), true) => Some((at + 1) % n),
        (Some(at), false) => Some((at + n - 1) % n),
    }
}

pub(super) fn scroll(state: &mut State, act: Act) {
    let extent = screen::extent(state);
    let page = extent.rows.saturating_sub(1).max(1);
    let at = extent.at;
    let wanted = match act {
        Act::Up => at.saturating_sub(1),
        Act::Down => at + 1,
        Act::PageUp => at.saturating_sub(page),
        Act::PageDown => at + page,
        _ => return,
    };
    *slot(state) = Some(wanted.min(extent.last));
}

/// Keeps the scroll within what there is to show, also after the window changed.
fn hold_scroll(state: &mut State) {
    if slot(state).is_some() {
        let last = screen::extent(state).last;
        let held = slot(state);
        *held = held.map(|at| at.min(last));
    }
}

fn slot(state: &mut State) -> &mut Option<usize> {
    match state.layers.last_mut() {
        Some(layer) => &mut layer.scroll,
        None => &mut state.scroll,
    }
}
