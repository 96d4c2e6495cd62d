//! Keys: one table a place. The help page and the line of keys are drawn from the same table.
//!
//! Where a line of text is being typed, letters are text: commands there are Esc, Enter, Tab, arrows,
//! or Ctrl with a letter. Ctrl-Z stays suspend and Ctrl-C stays the way out, everywhere.

use ratatui::crossterm::event::KeyCode;
use ratatui::crossterm::event::KeyEvent;
use ratatui::crossterm::event::KeyEventKind;
use ratatui::crossterm::event::KeyModifiers;

use crate::app::view::Step;
use crate::tui::entry::Edit;
use crate::tui::measure;
use crate::tui::msg::Act;
use crate::tui::msg::Msg;
use crate::tui::state::Drill;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;

mod signing;

/// One key of one place.
#[derive(Clone, Copy, Debug)]
pub struct Binding {
    code: KeyCode,
    ctrl: bool,
    act: Act,
    /// How the key is written; empty where the row above it names both.
    pub show: &'static str,
    /// What it does, in a word or two.
    pub label: &'static str,
    /// Place in the line of keys when there is too little room: higher stays longer, 0 never shows.
    pub rank: u8,
    /// What it does, in the help; empty where the label says it all.
    pub means: &'static str,
    when: fn(&State) -> bool,
}

const fn key(
    code: KeyCode,
    act: Act,
    show: &'static str,
    label: &'static str,
    rank: u8,
) -> Binding {
    Binding {
        code,
        ctrl: false,
        act,
        show,
        label,
        rank,
        means: "",
        when: always,
    }
}

const fn letter(c: char, act: Act, show: &'static str, label: &'static str, rank: u8) -> Binding {
    key(KeyCode::Char(c), act, show, label, rank)
}

const fn ctrl(c: char, act: Act, show: &'static str, label: &'static str, rank: u8) -> Binding {
    Binding {
        ctrl: true,
        ..letter(c, act, show, label, rank)
    }
}

const fn also(code: KeyCode, act: Act) -> Binding {
    key(code, act, "", "", 0)
}

impl Binding {
    const fn means(self, means: &'static str) -> Self {
        Self { means, ..self }
    }

    const fn when(self, when: fn(&State) -> bool) -> Self {
        Self { when, ..self }
    }

    /// Returns what the key does, as the help says it.
    pub fn text(&self) -> &'static str {
        if self.means.is_empty() {
            self.label
        } else {
            self.means
        }
    }

    /// Tells whether the key does something now.
    pub fn works(&self, state: &State) -> bool {
        (self.when)(state)
    }

    fn matches(&self, event: KeyEvent) -> bool {
        let code = match event.code {
            KeyCode::Char(c) => KeyCode::Char(c.to_ascii_lowercase()),
            other => other,
        };
        code == self.code && event.modifiers.contains(KeyModifiers::CONTROL) == self.ctrl
    }
}

fn always(_: &State) -> bool {
    true
}

fn can_undo(state: &State) -> bool {
    state.drill().is_some_and(|drill| drill.view.can_undo)
}

fn may_overrule(state: &State) -> bool {
    matches!(
        state.drill().map(|d| &d.view.step),
        Some(Step::Verdict {
            may_overrule: true,
            ..
        })
    )
}

fn grade_moves(state: &State) -> bool {
    matches!(
        state.drill().map(|d| &d.view.step),
        Some(Step::Verdict {
            grade_fixed: false,
            ..
        })
    )
}

fn circuit_at_hand(state: &State) -> bool {
    state.circuit_at_hand().is_some()
}

fn only_question(state: &State) -> bool {
    state.drill().is_some_and(Drill::is_only_question)
}

fn circuit_said(state: &State) -> bool {
    !only_question(state)
}

fn only_question_undo(state: &State) -> bool {
    only_question(state) && can_undo(state)
}

fn has_jobs(state: &State) -> bool {
    matches!(
        state.drill().map(|d| &d.view.step),
        Some(Step::Verdict { back, .. }) if !back.jobs.is_empty()
    )
}

fn has_faults(state: &State) -> bool {
    state.home.as_ref().is_some_and(|h| !h.faults.is_empty())
}

fn others_here(state: &State) -> bool {
    !state.others().is_empty()
}

fn has_work(state: &State) -> bool {
    state.home.as_ref().is_some_and(|home| 0 < home.planned)
}

fn read_only(state: &State) -> bool {
    state.drill().is_some_and(|d| d.view.read_only.is_some())
}

fn kept(state: &State) -> bool {
    !read_only(state)
}

fn sitting_kept(state: &State) -> bool {
    let answered = matches!(
        state.drill().map(|d| &d.view.step),
        Some(Step::Over(summary)) if 0 < summary.cards
    );
    others_here(state) && kept(state) && answered
}

static GREETING: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "sit down", 9)
        .means("goes on as the person marked, or as the initials typed"),
    key(KeyCode::Down, Act::Down, "↑ ↓ Tab", "someone known here", 7)
        .means("moves to someone known here")
        .when(others_here),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Tab, Act::Next),
    also(KeyCode::BackTab, Act::Previous),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 5),
    key(KeyCode::Esc, Act::Back, "Esc", "leave", 8),
];

static HOME: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "drill", 9)
        .when(has_work)
        .means("begins today's sitting"),
    also(KeyCode::Enter, Act::Take),
    key(KeyCode::Down, Act::Down, "↑ ↓", "circuit", 3).means("moves over the circuits"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    letter('b', Act::BeforeBoard, "b", "before a board", 6)
        .means("looks up what the shop knows before a tricky board"),
    letter('f', Act::Families, "f", "circuits", 5)
        .means("lists all circuits; Enter opens the page of one"),
    letter('g', Act::Gaps, "g", "gaps", 6).means("shows what spot checks say, circuit by circuit"),
    letter('p', Act::Plan, "p", "plan", 5)
        .means("shows what the coming weeks bring at so many minutes a day"),
    letter('j', Act::Archive, "j", "jobs", 5)
        .means("lists the closed jobs, to read, to search and to follow up"),
    letter('i', Act::Intake, "i", "intake", 4)
        .means("works through rows of old sheets that need a person"),
    letter('n', Act::NewJob, "n", "new job", 4).means("enters a closed job"),
    letter('o', Act::OpenJobs, "o", "open jobs", 2).means("lists the jobs still on a bench"),
    letter('l', Act::LeadsDesk, "l", "lead's desk", 6)
        .means("lays out the cards that want a lead: to sign, mend or retire")
        .when(signing::is_lead),
    also(KeyCode::Char('l'), Act::LeadsDesk),
    letter('d', Act::Faults, "d", "damage found", 6)
        .means("lists the damage found while reading the shop")
        .when(has_faults),
    key(KeyCode::Tab, Act::SomeoneElse, "Tab", "someone else", 4)
        .means("lets someone else sit down"),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "leave", 8),
];

static CIRCUIT: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "take", 9).means("takes the circuit that is marked"),
    key(KeyCode::Down, Act::Down, "arrows", "choose", 6)
        .means("move from one circuit to the next; so does Tab"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Left, Act::Left),
    also(KeyCode::Right, Act::Right),
    also(KeyCode::Tab, Act::Next),
    also(KeyCode::BackTab, Act::Previous),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 1)
        .means("scrolls a card that does not fit"),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('f', Act::Family, "Ctrl-F", "this circuit", 2)
        .means("opens the page of the circuit that is marked")
        .when(circuit_at_hand),
    ctrl('t', Act::TagOut, "Ctrl-T", "tag out", 4)
        .means("takes this card out of use, with a reason"),
    ctrl('r', Act::Undo, "Ctrl-R", "undo", 3)
        .means("takes the last kept answer back")
        .when(can_undo),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "stop", 8)
        .means("clears the letters; then stops, and what is kept stays kept"),
];

static FIX: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "answer", 9)
        .means("answers; with nothing typed, you said it aloud"),
    key(KeyCode::Tab, Act::Next, "Tab", "how sure", 6)
        .means("changes how sure you are; so do the arrows up and down"),
    also(KeyCode::BackTab, Act::Previous),
    also(KeyCode::Up, Act::Next),
    also(KeyCode::Down, Act::Previous),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 1)
        .means("scrolls a card that does not fit"),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('f', Act::Family, "Ctrl-F", "this circuit", 2)
        .means("opens the page of the circuit you said")
        .when(circuit_at_hand),
    ctrl('t', Act::TagOut, "Ctrl-T", "tag out", 4)
        .means("takes this card out of use, with a reason"),
    ctrl('r', Act::Undo, "Ctrl-R", "undo", 3)
        .means("takes the last kept answer back")
        .when(only_question_undo),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8)
        .means("goes back to the circuit")
        .when(circuit_said),
    key(KeyCode::Esc, Act::Back, "Esc", "stop", 8)
        .means("where no circuit is asked: clears the line; then stops")
        .when(only_question),
];

static VERDICT: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "keep", 9)
        .when(kept)
        .means("keeps the answer with this grade"),
    key(KeyCode::Enter, Act::Take, "Enter", "go on, unkept", 9)
        .when(read_only)
        .means("where nothing is kept: goes on"),
    key(KeyCode::Up, Act::Up, "↑ ↓", "grade", 1)
        .means("moves the grade up or down")
        .when(grade_moves),
    also(KeyCode::Down, Act::Down).when(grade_moves),
    also(KeyCode::Right, Act::Up).when(grade_moves),
    also(KeyCode::Left, Act::Down).when(grade_moves),
    letter('o', Act::Overrule, "o", "overrule", 6)
        .means("turns the verdict on the fix over; that is written down")
        .when(may_overrule),
    letter('e', Act::Evidence, "e", "jobs", 4)
        .means("shows the jobs behind this card")
        .when(has_jobs),
    letter('f', Act::Family, "f", "circuit", 3)
        .means("opens the page of this circuit")
        .when(circuit_at_hand),
    letter('t', Act::TagOut, "t", "tag out", 5).means("takes this card out of use, with a reason"),
    letter('u', Act::Undo, "u", "undo", 2)
        .means("takes the last kept answer back")
        .when(can_undo),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0)
        .means("scrolls what does not fit"),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "stop", 8).means("stops; what is kept stays kept"),
];

static TAG: &[Binding] = &[
    letter('d', Act::Doubtful, "d", "doubtful", 9)
        .means("it may be wrong: the lead will look at it"),
    letter('n', Act::NotForMe, "n", "not for me", 8).means("it stays in use for everyone else"),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 6),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 7),
];

static REASON: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "tag out", 9),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
];

static OVER: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "home", 9),
    letter('m', Act::NotMine, "m", "it was someone else's", 5)
        .means("moves the whole sitting to the person it belongs to")
        .when(sitting_kept),
    letter('u', Act::Undo, "u", "undo", 4)
        .means("takes the last kept answer back")
        .when(can_undo),
    letter('?', Act::Help, "?", "keys", 6),
    key(KeyCode::Esc, Act::Back, "Esc", "home", 0),
];

static CHOOSING: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "take", 9),
    key(KeyCode::Down, Act::Down, "↑ ↓", "choose", 7),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 6),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
];

static BRIEF_BOARD: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "take", 9).means("takes the board that is marked"),
    key(KeyCode::Down, Act::Down, "↑ ↓", "choose", 6),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("clears the letters; then goes home"),
];

static BRIEF_WORDS: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "look it up", 9)
        .means("looks up the jobs and cards that match"),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "other board", 8).means("goes back to the boards"),
];

static BRIEF: &[Binding] = &[
    letter('d', Act::Quiz, "d", "drill these", 9)
        .means("drills exactly the cards of this page; a right answer leaves memory as it is"),
    key(KeyCode::Down, Act::Down, "↑ ↓", "job", 5).means("moves from one job to the next"),
    also(KeyCode::Up, Act::Up),
    key(KeyCode::Enter, Act::Take, "Enter", "whole job", 6).means("opens the job that is marked"),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "page", 4),
    also(KeyCode::PageUp, Act::PageUp),
    letter(' ', Act::PageDown, "", "", 0),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "other words", 8).means("goes back to the line of words"),
];

static READING: &[Binding] = &[
    key(KeyCode::Down, Act::Down, "↑ ↓", "line", 7),
    also(KeyCode::Up, Act::Up),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "page", 6),
    also(KeyCode::PageUp, Act::PageUp),
    letter(' ', Act::PageDown, "", "", 0),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
    also(KeyCode::Enter, Act::Back),
];

static PLAN: &[Binding] = &[
    key(KeyCode::Down, Act::Down, "↑ ↓", "line", 4),
    also(KeyCode::Up, Act::Up),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "page", 6),
    also(KeyCode::PageUp, Act::PageUp),
    letter(' ', Act::PageDown, "", "", 0),
    letter('r', Act::ReadyBy, "r", "ready by", 7)
        .means("sets a day to be ready by, which the daily drill then follows, or drops it"),
    letter('?', Act::Help, "?", "keys", 5),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
    also(KeyCode::Enter, Act::Back),
];

static READY_BY: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "set it", 9),
    ctrl('x', Act::DropDay, "Ctrl-X", "drop it", 6)
        .means("drops the day that stands: the usual order has the whole sitting again"),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
];

static GAPS: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "cards", 9)
        .means("all that is known of the circuit marked, and its cards"),
    key(KeyCode::Down, Act::Down, "↑ ↓", "circuit", 4),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    letter('m', Act::Pairs, "m", "mix-ups", 5).means("shows which circuit was taken for which"),
    letter('s', Act::Measure, "s", "measure", 6)
        .means("asks up to 20 spot checks on the circuit marked"),
    letter('f', Act::Family, "f", "this circuit", 3).means("opens the page of the circuit marked"),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
];

static ARCHIVE: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "open", 9).means("opens the job that is marked"),
    key(KeyCode::Down, Act::Down, "↑ ↓ PgUp PgDn", "move", 3)
        .means("moves over the jobs; Home and End go to the first and the last"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    also(KeyCode::Home, Act::Edit(Edit::Start)),
    also(KeyCode::End, Act::Edit(Edit::End)),
    letter('s', Act::Search, "s", "search", 6)
        .means("searches by words and readings: u31, no charge, 3V3_SB low"),
    letter('n', Act::NewJob, "n", "new job", 5).means("enters a closed job"),
    letter('o', Act::OpenJobs, "o", "open jobs", 2).means("lists the jobs still on a bench"),
    letter('h', Act::FollowUp, "h", "follow up", 5)
        .means("lists the jobs past their warranty days that nobody has confirmed"),
    letter('i', Act::Intake, "i", "intake", 4)
        .means("works through rows of old sheets that need a person"),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("shows all jobs again, then goes back"),
];

static ARCHIVE_SEARCH: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "search", 9).means("searches; nothing shows all jobs"),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "clear", 8).means("clears the line, then closes it"),
];

static JOB: &[Binding] = &[
    key(KeyCode::Right, Act::Right, "← →", "job before, after", 7)
        .means("opens the job before or after this one in the list"),
    also(KeyCode::Left, Act::Left),
    letter('c', Act::Correct, "c", "correct", 6)
        .means("opens the job to be put right; what stood there stays in its history"),
    key(KeyCode::Down, Act::Down, "↑ ↓", "line", 5),
    also(KeyCode::Up, Act::Up),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "page", 4),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 6),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
    also(KeyCode::Enter, Act::Back),
];

static FORM: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "on", 9)
        .means("takes what is proposed here and goes on to what is still asked for"),
    key(KeyCode::Tab, Act::Next, "Tab", "next field", 6)
        .means("takes the word that is offered, else goes to the next field; Shift-Tab goes back"),
    also(KeyCode::BackTab, Act::Previous),
    key(KeyCode::Down, Act::Down, "↑ ↓", "choose", 2)
        .means("moves over the words offered, else over the fields"),
    also(KeyCode::Up, Act::Up),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0)
        .means("scrolls what does not fit"),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('s', Act::Save, "Ctrl-S", "write", 9).means("writes the job"),
    ctrl('t', Act::Turn, "Ctrl-T", "when, what for", 3)
        .means("turns when a reading was taken, or what an act was for"),
    ctrl('d', Act::Drop, "Ctrl-D", "take out", 3)
        .means("takes a reading or an act out, or empties the field"),
    ctrl('n', Act::NewLine, "Ctrl-N", "new line", 1).means("begins a new line in the free words"),
    ctrl('x', Act::ThrowAway, "Ctrl-X", "throw away", 2)
        .means("throws the form away; it is asked once more"),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "later", 8)
        .means("leaves; what was typed is kept for the next time"),
];

static WRITTEN: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "done", 9),
    letter('n', Act::NewJob, "n", "next job", 7).means("enters another job"),
    letter('r', Act::CameBack, "r", "what became of the earlier job", 6)
        .means("says what this job means for the earlier one of its unit")
        .when(unit_was_here),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 5),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
];

static OPEN_JOBS: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "log a line", 9)
        .means("logs what was seen or done on the job that is marked"),
    letter('c', Act::CloseJob, "c", "close", 7)
        .means("opens the form with everything that was logged, in order"),
    letter('h', Act::HandOn, "h", "hand on", 6).means("hands it to a person or to another bench"),
    key(KeyCode::Down, Act::Down, "↑ ↓", "move", 3).means("moves over the jobs"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 5),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8),
];

static OPEN_LINE: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "write", 9).means("writes the line down"),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

fn unit_was_here(state: &State) -> bool {
    matches!(state.layers.last().map(|l| &l.page), Some(Page::Written(w)) if w.earlier.is_some())
}

static FOLLOW_UP: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "open", 6).means("opens the job that is marked"),
    letter('y', Act::Held, "y", "held", 9).means("writes down that the repair held"),
    letter('r', Act::CameBack, "r", "came back", 8)
        .means("writes down as which job it came back, and why"),
    letter('u', Act::Undo, "u", "undo", 5)
        .means("takes back what was written last here")
        .when(wrote_of_jobs),
    key(KeyCode::Down, Act::Down, "↑ ↓ PgUp PgDn", "move", 2).means("moves over the jobs"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    also(KeyCode::Home, Act::Edit(Edit::Start)),
    also(KeyCode::End, Act::Edit(Edit::End)),
    letter('?', Act::Help, "?", "keys", 4),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 7),
];

static RETURNED_AS: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "take", 9)
        .means("takes the job that is marked, or the number typed"),
    key(KeyCode::Down, Act::Down, "↑ ↓ Tab", "later job", 6)
        .means("moves over the later jobs of this unit")
        .when(later_jobs_known),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Tab, Act::Next),
    also(KeyCode::BackTab, Act::Previous),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

static INTAKE: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "work on it", 9)
        .means("opens the row that is marked, to decide about it"),
    key(KeyCode::Down, Act::Down, "↑ ↓ PgUp PgDn", "move", 3)
        .means("moves over the rows; Home and End go to the first and the last"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    also(KeyCode::Home, Act::Edit(Edit::Start)),
    also(KeyCode::End, Act::Edit(Edit::End)),
    letter('u', Act::Undo, "u", "undo", 5)
        .means("takes your last decision back, on whatever day it was made"),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; every decision is kept"),
];

static INTAKE_ROW: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "accept", 9)
        .means("takes the row as a job, when nothing required is missing"),
    letter('t', Act::Suggestion, "t", "take", 8)
        .means("takes what may be meant in the field marked as fact"),
    letter('a', Act::AllSuggestions, "a", "take all", 7).means("takes every suggestion as fact"),
    letter('r', Act::Repair, "r", "mend", 8).means("says the field marked in your own words"),
    letter('m', Act::SameJob, "m", "same job", 5)
        .means("marks the row as a job that is in the archive; merges what was entered twice"),
    letter('x', Act::Split, "x", "split", 4).means("splits the row into two jobs"),
    letter('s', Act::PassOver, "s", "skip", 5).means("passes the row over, with a reason"),
    letter('u', Act::Undo, "u", "undo", 5)
        .means("takes your last decision back, on whatever day it was made"),
    key(KeyCode::Right, Act::Right, "← →", "row", 3)
        .means("goes to the row before or after this one"),
    also(KeyCode::Left, Act::Left),
    key(KeyCode::Down, Act::Down, "↑ ↓", "field", 2)
        .means("moves over the fields; Tab goes to the next one that is open"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Tab, Act::Next),
    also(KeyCode::BackTab, Act::Previous),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0)
        .means("scrolls what does not fit"),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 6),
    key(KeyCode::Esc, Act::Back, "Esc", "list", 8).means("goes back to the list"),
];

static INTAKE_MEND: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "keep", 9)
        .means("keeps the field as it is read; a lone - empties it"),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

static INTAKE_SAME: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "same job", 9)
        .means("marks the row as the job that is marked, or whose number is typed"),
    key(KeyCode::Down, Act::Down, "↑ ↓ Tab", "choose", 6),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Tab, Act::Next),
    also(KeyCode::BackTab, Act::Previous),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

static INTAKE_SKIP: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "skip", 9)
        .means("passes the row over, for the reason typed or chosen"),
    key(KeyCode::Tab, Act::Next, "Tab", "usual reasons", 6)
        .means("puts one of the usual reasons into the line"),
    also(KeyCode::BackTab, Act::Previous),
    also(KeyCode::Down, Act::Next),
    also(KeyCode::Up, Act::Previous),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

static INTAKE_SPLIT: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "split", 9).means("splits the row as shown"),
    letter('1', Act::ToFirst, "1", "first job", 7),
    letter('2', Act::ToSecond, "2", "second job", 7),
    letter('b', Act::ToBoth, "b", "both", 6).means("belongs to both jobs"),
    key(KeyCode::Down, Act::Down, "↑ ↓", "choose", 5),
    also(KeyCode::Up, Act::Up),
    letter('?', Act::Help, "?", "keys", 6),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

fn later_jobs_known(state: &State) -> bool {
    matches!(state.layers.last().map(|l| &l.page), Some(Page::Returned(form)) if !form.choices.is_empty())
}

fn wrote_of_jobs(state: &State) -> bool {
    matches!(state.layers.last().map(|l| &l.page), Some(Page::FollowUp(list)) if !list.written.is_empty())
}

/// Keys of a line of text, wherever one is typed.
pub static TYPING: &[Binding] = &[
    key(
        KeyCode::Backspace,
        Act::Edit(Edit::Backspace),
        "Backspace Del",
        "removes a letter",
        0,
    ),
    also(KeyCode::Delete, Act::Edit(Edit::Delete)),
    ctrl(
        'u',
        Act::Edit(Edit::EraseLine),
        "Ctrl-U",
        "clears the line",
        0,
    ),
    ctrl(
        'w',
        Act::Edit(Edit::EraseWord),
        "Ctrl-W",
        "removes a word",
        0,
    ),
    key(
        KeyCode::Left,
        Act::Edit(Edit::Left),
        "← →",
        "moves in the line",
        0,
    ),
    also(KeyCode::Right, Act::Edit(Edit::Right)),
    key(
        KeyCode::Home,
        Act::Edit(Edit::Start),
        "Home End",
        "to its ends",
        0,
    ),
    also(KeyCode::End, Act::Edit(Edit::End)),
];

/// Keys that work everywhere.
pub static EVERYWHERE: &[Binding] = &[
    ctrl(
        'c',
        Act::Leave,
        "Ctrl-C",
        "leaves at once; what was kept stays kept",
        0,
    ),
    ctrl(
        'z',
        Act::Suspend,
        "Ctrl-Z",
        "back to the shell; fg returns here",
        0,
    ),
    ctrl('l', Act::Redraw, "Ctrl-L", "draws the screen anew", 0),
];

/// Returns the keys of one place.
pub fn table(place: Place) -> &'static [Binding] {
    match place {
        Place::Greeting => GREETING,
        Place::Home => HOME,
        Place::Circuit => CIRCUIT,
        Place::Fix => FIX,
        Place::Verdict => VERDICT,
        Place::Tag => TAG,
        Place::Reason => REASON,
        Place::Over => OVER,
        Place::Families | Place::GiveTo | Place::ReturnCause => CHOOSING,
        Place::Reading => READING,
        Place::Gaps => GAPS,
        Place::Plan => PLAN,
        Place::ReadyBy => READY_BY,
        Place::BriefBoard => BRIEF_BOARD,
        Place::BriefWords => BRIEF_WORDS,
        Place::Brief => BRIEF,
        Place::Archive => ARCHIVE,
        Place::ArchiveSearch => ARCHIVE_SEARCH,
        Place::Job => JOB,
        Place::FollowUp => FOLLOW_UP,
        Place::ReturnedAs => RETURNED_AS,
        Place::Intake => INTAKE,
        Place::IntakeRow => INTAKE_ROW,
        Place::IntakeMend => INTAKE_MEND,
        Place::IntakeSame => INTAKE_SAME,
        Place::IntakeSkip => INTAKE_SKIP,
        Place::IntakeSplit => INTAKE_SPLIT,
        Place::Form => FORM,
        Place::Written => WRITTEN,
        Place::OpenJobs => OPEN_JOBS,
        Place::OpenLine => OPEN_LINE,
        Place::Signing => signing::LIST,
        Place::SigningCard => signing::CARD,
        Place::SigningField => signing::FIELD,
        Place::SigningLine => signing::LINE,
        Place::SigningPick => signing::PICK,
        Place::SigningApart => signing::APART,
    }
}

/// Tells whether a key is the way out that holds everywhere, Ctrl-C.
pub fn leaves(event: KeyEvent) -> bool {
    let c = matches!(event.code, KeyCode::Char('c' | 'C'));
    c && event.modifiers.contains(KeyModifiers::CONTROL) && event.kind != KeyEventKind::Release
}

/// Returns what a key means where the person is, if anything.
pub fn message(state: &State, event: KeyEvent) -> Option<Msg> {
    if event.kind == KeyEventKind::Release {
        return None;
    }
    let place = state.place();
    let tables = [
        EVERYWHERE,
        table(place),
        if place.takes_text() { TYPING } else { &[] },
    ];
    let found = tables
        .into_iter()
        .flatten()
        .find(|binding| binding.matches(event) && binding.works(state));
    if let Some(binding) = found {
        return Some(Msg::Act(binding.act));
    }
    match event.code {
        KeyCode::Char(c)
            if place.takes_text()
                && !event
                    .modifiers
                    .intersects(KeyModifiers::CONTROL | KeyModifiers::ALT) =>
        {
            Some(Msg::Type(c))
        }
        _ => None,
    }
}

/// Returns the line of keys for `columns`: what matters most, in the order of the table.
pub fn line(state: &State, columns: usize) -> Vec<&'static Binding> {
    let mut shown: Vec<&Binding> = table(state.place())
        .iter()
        .filter(|b| 0 < b.rank && b.works(state))
        .collect();
    while columns < line_width(&shown) {
        let Some(least) = (0..shown.len()).min_by_key(|i| shown[*i].rank) else {
            break;
        };
        shown.remove(least);
    }
    shown
}

fn line_width(shown: &[&Binding]) -> usize {
    let words: usize = shown
        .iter()
        .map(|b| measure::width(b.show) + 1 + measure::width(b.label))
        .sum();
    words + shown.len().saturating_sub(1) * 2
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLACES: [Place; 39] = [
        Place::Greeting,
        Place::Home,
        Place::Circuit,
        Place::Fix,
        Place::Verdict,
        Place::Tag,
        Place::Reason,
        Place::Over,
        Place::Families,
        Place::GiveTo,
        Place::Reading,
        Place::Gaps,
        Place::Plan,
        Place::ReadyBy,
        Place::BriefBoard,
        Place::BriefWords,
        Place::Brief,
        Place::Archive,
        Place::ArchiveSearch,
        Place::Job,
        Place::FollowUp,
        Place::ReturnedAs,
        Place::ReturnCause,
        Place::Intake,
        Place::IntakeRow,
        Place::IntakeMend,
        Place::IntakeSame,
        Place::IntakeSkip,
        Place::IntakeSplit,
        Place::Form,
        Place::Written,
        Place::OpenJobs,
        Place::OpenLine,
        Place::Signing,
        Place::SigningCard,
        Place::SigningField,
        Place::SigningLine,
        Place::SigningPick,
        Place::SigningApart,
    ];

    #[test]
    fn where_text_is_typed_no_letter_is_a_command() {
        for place in PLACES.into_iter().filter(|p| p.takes_text()) {
            for binding in table(place).iter().chain(TYPING) {
                let letter = matches!(binding.code, KeyCode::Char(_));
                assert!(!letter || binding.ctrl, "{place:?} {}", binding.show);
            }
        }
    }

    #[test]
    fn a_key_means_one_thing_in_a_place() {
        for place in PLACES {
            let mut seen: Vec<&Binding> = Vec::new();
            for b in table(place).iter().chain(EVERYWHERE) {
                let other = seen
                    .iter()
                    .find(|s| (s.code, s.ctrl) == (b.code, b.ctrl) && s.act != b.act);
                assert!(other.is_none(), "{place:?} {}", b.show);
                seen.push(b);
            }
        }
    }

    #[test]
    fn every_place_shows_a_way_on_and_a_way_out() {
        for place in PLACES {
            let shown: Vec<&Binding> = table(place).iter().filter(|b| 0 < b.rank).collect();
            let way_out = shown
                .iter()
                .any(|b| b.act == Act::Back || place == Place::Over && b.act == Act::Take);
            assert!(way_out, "{place:?}");
            assert!(table(place).iter().any(|b| b.code == KeyCode::Esc));
        }
    }

    #[test]
    fn a_row_without_a_name_follows_one_that_names_it() {
        for place in PLACES {
            assert!(!table(place)[0].show.is_empty());
            for b in table(place) {
                assert_eq!(b.show.is_empty(), b.label.is_empty());
            }
        }
    }
}
