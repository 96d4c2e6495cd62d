//! A job being entered on the screen: the free line on top, a line for each field, one of them typed at.
//!
//! What the words mean is read elsewhere at each key. Letters are text here; Enter takes what is
//! proposed and goes on to what is still asked for. A serial is shown only while it is typed.

use crate::app::entry::look::At;
use crate::app::entry::look::FormLine;
use crate::app::entry::look::FormView;
use crate::app::entry::save::Written;
use crate::app::entry::session::Begun;
use crate::domain::intake::form::Change;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::form::Slot;
use crate::domain::intake::form::Standing;
use crate::domain::job::Role;
use crate::domain::job::When;
use crate::tui::entry::Edit;
use crate::tui::entry::Entry;
use crate::tui::jobs::ReturnForm;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::state::LINE;
use crate::tui::state::Page;
use crate::tui::state::State;
use crate::tui::update;

/// Characters that the free line takes.
pub const WORDS: usize = 4000;
/// Suggestions that are shown at most.
pub const SUGGESTED: usize = 8;

/// The form on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct FormPage {
    /// What was typed and decided.
    pub form: Form,
    /// What it says.
    pub view: FormView,
    /// Which line is typed at.
    pub at: At,
    /// The text being typed there.
    pub entry: Entry,
    /// The entry holds what stood there: the first letter takes its place.
    pub fresh: bool,
    /// Which suggestion was chosen.
    pub chosen: Option<usize>,
    /// The person was asked whether the form is to be thrown away.
    pub throwing: bool,
}

impl FormPage {
    /// Returns the page of a form that was just opened.
    pub fn new(begun: &Begun, view: FormView) -> Self {
        let mut page = Self {
            form: begun.form.clone(),
            view,
            at: At::Words,
            entry: Entry::new(WORDS),
            fresh: false,
            chosen: None,
            throwing: false,
        };
        page.go(At::Words);
        page
    }

    /// Returns the line that is typed at; none for the free line.
    pub fn line(&self) -> Option<&FormLine> {
        self.view.lines.iter().find(|l| l.at == self.at)
    }

    /// Returns the words that what is typed begins, exact letters, large or small.
    pub fn suggestions(&self) -> Vec<String> {
        let (typed, words) = match &self.at {
            At::Words | At::Slot(Slot::Seen | Slot::Done | Slot::Proof) => {
                let typed = last_word(self.entry.before_cursor());
                if typed.is_empty() {
                    return Vec::new();
                }
                (typed, self.view.places.to_vec())
            }
            At::Slot(slot) => {
                let before = self.entry.before_cursor();
                let typed = match slot {
                    Slot::Complaint | Slot::Environment => {
                        before.rsplit(',').next().unwrap_or_default().trim_start()
                    }
                    _ => before,
                };
                let typed = if self.fresh { "" } else { typed };
                (
                    typed,
                    self.line().map_or_else(Vec::new, |l| l.choices.clone()),
                )
            }
            _ => return Vec::new(),
        };
        let typed = typed.to_lowercase();
        let begins = |word: &&String| {
            let word = word.to_lowercase();
            word.starts_with(&typed) && word != typed
        };
        words
            .iter()
            .filter(begins)
            .take(SUGGESTED)
            .cloned()
            .collect()
    }

    /// Returns the suggestion that Tab takes: the one chosen, else the first for a word that is none yet.
    pub fn offered(&self) -> Option<usize> {
        let all = self.suggestions();
        if let Some(chosen) = self.chosen {
            return (chosen < all.len()).then_some(chosen);
        }
        let typed = last_word(self.entry.before_cursor());
        let known = self
            .view
            .places
            .iter()
            .any(|p| p.eq_ignore_ascii_case(typed));
        let any = !self.fresh && typed.chars().count() > 1 && !known;
        (any && !all.is_empty()).then_some(0)
    }

    /// Goes to a line; what is typed there begins with what stands there.
    fn go(&mut self, at: At) {
        let text = match &at {
            At::Words => self.form.words.clone(),
            At::Slot(slot) => match self.form.typed.get(slot) {
                Some(typed) => typed.clone(),
                None => self
                    .view
                    .lines
                    .iter()
                    .find(|l| l.at == at)
                    .map_or_else(String::new, |l| l.edit.clone()),
            },
            _ => String::new(),
        };
        self.fresh = at != At::Words && !text.is_empty();
        let limit = if at == At::Words { WORDS } else { LINE };
        self.entry = Entry::new(limit);
        self.entry.put(&text);
        self.at = at;
        self.chosen = None;
    }

    fn place(&self) -> Option<usize> {
        self.view.lines.iter().position(|l| l.at == self.at)
    }

    fn step(&mut self, forward: bool) {
        let n = self.view.lines.len();
        let next = match (self.place(), forward) {
            (None, true) => Some(0),
            (None, false) => n.checked_sub(1),
            (Some(at), true) => (at + 1 < n).then_some(at + 1),
            (Some(at), false) => at.checked_sub(1),
        };
        let at = next.map_or(At::Words, |i| self.view.lines[i].at.clone());
        self.go(at);
    }

    /// Goes to the next line that waits for someone; false where none does.
    fn on_to_what_waits(&mut self) -> bool {
        let from = self.place().map_or(0, |at| at + 1);
        let lines = &self.view.lines;
        let after = lines.iter().skip(from).find(|l| l.waits());
        let any = after.or_else(|| lines.iter().find(|l| l.waits() && l.at != self.at));
        match any.map(|l| l.at.clone()) {
            Some(at) => {
                self.go(at);
                true
            }
            None => false,
        }
    }

    /// Takes over what was typed; true where it changed.
    fn sync(&mut self) -> bool {
        match &self.at {
            At::Words if self.form.words != self.entry.text() => {
                self.entry.text().clone_into(&mut self.form.words);
                true
            }
            At::Slot(slot) if !self.fresh => {
                let typed = self.entry.text().to_owned();
                let stood = self.form.typed.get(slot);
                if stood == Some(&typed) || (stood.is_none() && typed.is_empty()) {
                    return false;
                }
                self.form.typed.insert(*slot, typed);
                true
            }
            _ => false,
        }
    }

    fn change(&mut self, key: &str) -> &mut Change {
        self.form.changes.entry(key.to_owned()).or_default()
    }
}

/// The word that ends at the cursor, as nets and designators are written.
fn last_word(text: &str) -> &str {
    text.rsplit(|c: char| c.is_whitespace() || ",;/+()=".contains(c))
        .next()
        .unwrap_or_default()
}

/// Returns the form that lies on top.
fn form_mut(state: &mut State) -> Option<&mut FormPage> {
    match state.layers.last_mut().map(|l| &mut l.page) {
        Some(Page::Form(page)) => Some(page),
        _ => None,
    }
}

fn read(page: &FormPage) -> Vec<Effect> {
    vec![Effect::ReadForm(Box::new(page.form.clone()))]
}

/// Takes an answer about the form.
pub fn on_answer(state: &mut State, msg: &Msg) -> Vec<Effect> {
    match msg {
        Msg::Form(Ok(opened)) => {
            let (begun, view) = &**opened;
            let page = FormPage::new(begun, view.clone());
            update::open(state, Page::Form(Box::new(page)));
            if begun.kept {
                update::say(
                    state,
                    "This was left unfinished: go on with it, or Ctrl-X throws it away.",
                );
            }
        }
        Msg::FormRead(view) => {
            if let Some(page) = form_mut(state) {
                page.view.clone_from(view);
                if page.at != At::Words && page.line().is_none() {
                    page.go(At::Words);
                }
            }
        }
        Msg::UnitMarked(Ok(mark)) => {
            if let Some(page) = form_mut(state) {
                page.form.unit.clone_from(mark);
                return read(page);
            }
        }
        Msg::FormSaved(Ok(written)) => {
            state.layers.pop();
            // The page of the job below tells what was.
            if matches!(state.layers.last().map(|l| &l.page), Some(Page::Job(_))) {
                state.layers.pop();
            }
            update::open(state, Page::Written(written.clone()));
        }
        Msg::FormLeft(Ok(())) => {
            state.layers.pop();
        }
        Msg::FormSaved(Err(why)) => update::warn(state, format!("NOT written: {why}")),
        Msg::DraftNotKept(why) => update::warn(state, format!("Draft NOT kept: {why}")),
        Msg::Form(Err(why)) | Msg::UnitMarked(Err(why)) | Msg::FormLeft(Err(why)) => {
            update::warn(state, why.clone());
        }
        _ => {}
    }
    Vec::new()
}

/// Takes a letter; none where no form is open.
pub fn on_type(state: &mut State, c: char) -> Option<Vec<Effect>> {
    let page = form_mut(state)?;
    page.throwing = false;
    page.chosen = None;
    if let At::Finding(key) | At::Action(key) = page.at.clone() {
        // Typed over, a row goes and the letter begins what takes its place.
        page.change(&key).gone = true;
        let slot = if matches!(page.at, At::Finding(_)) {
            Slot::Seen
        } else {
            Slot::Done
        };
        let before = page.form.typed.get(&slot).cloned().unwrap_or_default();
        page.at = At::Slot(slot);
        page.entry = Entry::new(LINE);
        page.entry.put(&before);
        if !before.trim().is_empty() {
            page.entry.put(", ");
        }
        page.fresh = false;
    }
    if page.fresh {
        page.entry.clear();
        page.fresh = false;
    }
    page.entry.insert(c);
    Some(if page.sync() { read(page) } else { Vec::new() })
}

/// Takes a key at the form.
pub fn on_form(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(page) = form_mut(state) else {
        return Vec::new();
    };
    if page.throwing {
        page.throwing = false;
        return match act {
            Act::ThrowAway => vec![Effect::LeaveForm {
                form: Box::new(page.form.clone()),
                throw: true,
            }],
            _ => Vec::new(),
        };
    }
    match act {
        Act::Take => return take(state),
        Act::Back => {
            let form = Box::new(page.form.clone());
            return vec![Effect::LeaveForm { form, throw: false }];
        }
        Act::Next if page.offered().is_some() => return complete(page),
        Act::Next | Act::Previous => {
            let effects = leave_serial(page);
            page.step(act == Act::Next);
            return effects;
        }
        Act::Up | Act::Down => {
            let n = page.suggestions().len();
            let choosing = n > 0 && (page.chosen.is_some() || page.offered().is_some());
            if choosing && !(act == Act::Up && page.chosen == Some(0)) {
                page.chosen = match (page.chosen, act) {
                    (Some(at), Act::Down) => Some((at + 1).min(n - 1)),
                    (Some(at), _) => at.checked_sub(1),
                    (None, Act::Down) => Some(usize::from(page.offered().is_some() && n > 1)),
                    (None, _) => None,
                };
                return Vec::new();
            }
            let effects = leave_serial(page);
            page.step(act == Act::Down);
            return effects;
        }
        Act::Edit(edit) => {
            if page.fresh && edit == Edit::Backspace {
                page.entry.clear();
            } else {
                page.entry.edit(edit);
            }
            let moved = matches!(edit, Edit::Left | Edit::Right | Edit::Start | Edit::End);
            page.fresh = false;
            page.chosen = None;
            if !moved && page.sync() {
                return read(page);
            }
        }
        Act::NewLine if page.at == At::Words => {
            page.entry.break_line();
            if page.sync() {
                return read(page);
            }
        }
        Act::Turn => return turn(state),
        Act::Drop => return drop_line(page),
        Act::ThrowAway => {
            page.throwing = true;
            update::say(
                state,
                "Throw this form away? Ctrl-X once more does it; any other key keeps it.",
            );
        }
        Act::Save => return save(state),
        other => update::scroll(state, other),
    }
    Vec::new()
}

/// A serial that was typed becomes a mark as soon as its line is left.
fn leave_serial(page: &mut FormPage) -> Vec<Effect> {
    if page.at != At::Serial || page.entry.is_blank() {
        return Vec::new();
    }
    let serial = page.entry.text().to_owned();
    page.entry.clear();
    vec![Effect::MarkUnit(serial)]
}

fn complete(page: &mut FormPage) -> Vec<Effect> {
    let all = page.suggestions();
    let Some(word) = page.offered().and_then(|at| all.get(at)) else {
        return Vec::new();
    };
    let typed = match page.at {
        At::Words | At::Slot(Slot::Seen | Slot::Done | Slot::Proof) => {
            last_word(page.entry.before_cursor()).chars().count()
        }
        At::Slot(Slot::Complaint | Slot::Environment) => {
            let before = page.entry.before_cursor();
            let last = before.rsplit(',').next().unwrap_or_default();
            last.trim_start().chars().count()
        }
        _ => page.entry.before_cursor().chars().count(),
    };
    if page.fresh {
        page.entry.clear();
    } else {
        for _ in 0..typed {
            page.entry.edit(Edit::Backspace);
        }
    }
    page.fresh = false;
    page.entry.put(word);
    page.chosen = None;
    if page.sync() { read(page) } else { Vec::new() }
}

/// Enter: takes what is proposed here, then goes on to what is still asked for.
fn take(state: &mut State) -> Vec<Effect> {
    let Some(page) = form_mut(state) else {
        return Vec::new();
    };
    if page.chosen.is_some() {
        let effects = complete(page);
        return effects;
    }
    let mut effects = leave_serial(page);
    let line = page.line().cloned();
    if let Some(line) = &line
        && matches!(line.standing, Standing::Proposed(_))
    {
        match &line.at {
            At::Finding(key) | At::Action(key) => page.change(key).taken = true,
            At::Slot(slot) if page.fresh || page.entry.is_blank() => {
                page.form.typed.insert(*slot, line.edit.clone());
            }
            _ => {}
        }
        effects.extend(read(page));
    }
    let waits_here = line.is_some_and(|l| matches!(l.standing, Standing::Bad(_)));
    if waits_here {
        let why = page.line().map_or_else(String::new, |l| l.beside.clone());
        update::say(state, &format!("That cannot be used here: {why}"));
        return effects;
    }
    if !page.on_to_what_waits() {
        if page.at == At::Words {
            page.step(true);
        }
        update::say(state, "Nothing more is asked for: Ctrl-S writes the job.");
    }
    effects
}

/// Turns when a finding was seen, or what an act was for.
fn turn(state: &mut State) -> Vec<Effect> {
    let Some(page) = form_mut(state) else {
        return Vec::new();
    };
    match page.at.clone() {
        At::Finding(key) => {
            let change = page.form.changes.get(&key).and_then(|c| c.when);
            let at = When::ALL.iter().position(|w| Some(*w) == change);
            let next = When::ALL[at.map_or(1, |at| (at + 1) % When::ALL.len())];
            page.change(&key).when = Some(next);
            read(page)
        }
        At::Action(key) => {
            let change = page.form.changes.get(&key).and_then(|c| c.role);
            let at = Role::ALL.iter().position(|r| Some(*r) == change);
            let next = Role::ALL[at.map_or(0, |at| (at + 1) % Role::ALL.len())];
            page.change(&key).role = Some(next);
            read(page)
        }
        _ => {
            update::say(
                state,
                "Ctrl-T turns when something was seen, or what an act was for: go to its line.",
            );
            Vec::new()
        }
    }
}

/// Takes a row out of the job, or empties a field.
fn drop_line(page: &mut FormPage) -> Vec<Effect> {
    match page.at.clone() {
        At::Finding(key) | At::Action(key) => {
            page.step(true);
            page.change(&key).gone = true;
        }
        At::Slot(slot) => {
            page.form.typed.insert(slot, String::new());
            page.entry.clear();
            page.fresh = false;
        }
        At::Serial => {
            page.form.unit = None;
            page.entry.clear();
        }
        At::Words => return Vec::new(),
    }
    read(page)
}

fn save(state: &mut State) -> Vec<Effect> {
    let Some(page) = form_mut(state) else {
        return Vec::new();
    };
    let effects = leave_serial(page);
    if !effects.is_empty() {
        update::say(
            state,
            "The unit is marked now: Ctrl-S once more writes the job.",
        );
        return effects;
    }
    if let Some(bad) = page
        .view
        .lines
        .iter()
        .find(|l| matches!(l.standing, Standing::Bad(_)))
    {
        let text = format!("{} cannot stay so: {}", bad.label, bad.beside);
        page.go(bad.at.clone());
        update::say(state, &text);
        return Vec::new();
    }
    if page.view.missing.is_empty() {
        return vec![Effect::SaveForm(Box::new(page.form.clone()))];
    }
    let words: Vec<&str> = page.view.missing.iter().map(|m| m.words()).collect();
    let text = format!("Not written yet: {}.", words.join(", "));
    let waiting = page
        .view
        .lines
        .iter()
        .find(|l| l.standing == Standing::Missing)
        .or_else(|| page.view.lines.iter().find(|l| l.waits()));
    if let Some(at) = waiting.map(|l| l.at.clone()) {
        page.go(at);
    }
    update::say(state, &text);
    Vec::new()
}

/// Takes a key at the page that tells what was written.
pub fn on_written(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(Page::Written(written)) = state.layers.last().map(|l| &l.page) else {
        return Vec::new();
    };
    let written: Written = (**written).clone();
    match act {
        Act::Take | Act::Back => {
            state.layers.pop();
            after(state)
        }
        Act::NewJob => {
            state.layers.pop();
            let person = state.person.clone();
            let purpose = Purpose::Add;
            vec![Effect::OpenForm { person, purpose }]
        }
        Act::CameBack => {
            if let Some(earlier) = written.earlier {
                state.layers.pop();
                let same = crate::app::jobs::word::same_fault(&earlier, &written.row).map(Some);
                let form = ReturnForm {
                    of: earlier,
                    choices: Vec::new(),
                    mark: Some(0),
                    entry: Entry::new(LINE),
                    by: Some(written.number),
                    same,
                };
                update::open(state, Page::Returned(Box::new(form)));
            }
            Vec::new()
        }
        other => {
            update::scroll(state, other);
            Vec::new()
        }
    }
}

/// What lies below may list jobs: it is read again.
fn after(state: &State) -> Vec<Effect> {
    match state.layers.last().map(|l| &l.page) {
        Some(Page::Archive(list)) if list.searched.is_empty() => vec![Effect::Archive],
        Some(Page::Archive(list)) => vec![Effect::FindJobs(list.searched.clone())],
        Some(Page::OpenJobs(_)) => vec![Effect::OpenJobs],
        _ => Vec::new(),
    }
}
