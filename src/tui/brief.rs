//! Before a board: choose it, say what you see, read what the shop knows, drill its cards.

use crate::app::brief;
use crate::app::brief::BoardChoice;
use crate::app::brief::Brief;
use crate::tui::entry::Entry;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::state::Base;
use crate::tui::state::LINE;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::update;

/// How far the way to a brief has come.
#[derive(Clone, Debug, PartialEq)]
pub enum Stage {
    /// Which board?
    Board {
        /// Letters that narrow the list.
        entry: Entry,
        /// Which of [`Before::fits`] Enter takes.
        mark: usize,
    },
    /// What do you see?
    Words,
    /// The brief, with the job that is marked.
    Page(Box<Brief>, Option<usize>),
}

/// The way to a brief: boards, the board taken, the words, the page.
#[derive(Clone, Debug, PartialEq)]
pub struct Before {
    /// Boards of the shop.
    pub boards: Vec<BoardChoice>,
    /// The board taken.
    pub board: Option<BoardChoice>,
    /// What the person sees, as typed.
    pub words: Entry,
    /// Where the person is.
    pub stage: Stage,
}

impl Before {
    /// Returns the choice among `boards`.
    pub fn new(boards: Vec<BoardChoice>) -> Self {
        Self {
            boards,
            board: None,
            words: Entry::new(LINE),
            stage: choosing(),
        }
    }

    /// Returns the boards that the letters typed so far leave.
    pub fn fits(&self) -> Vec<&BoardChoice> {
        let typed = match &self.stage {
            Stage::Board { entry, .. } => entry.text().trim().to_lowercase(),
            _ => String::new(),
        };
        self.boards
            .iter()
            .filter(|b| brief::begins(&b.id, &b.name, &typed))
            .collect()
    }

    /// Returns where the person is.
    pub fn place(&self) -> Place {
        match self.stage {
            Stage::Board { .. } => Place::BriefBoard,
            Stage::Words => Place::BriefWords,
            Stage::Page(..) => Place::Brief,
        }
    }

    /// Returns the brief, once it is shown.
    pub fn brief(&self) -> Option<&Brief> {
        match &self.stage {
            Stage::Page(brief, _) => Some(brief),
            _ => None,
        }
    }
}

fn choosing() -> Stage {
    Stage::Board {
        entry: Entry::new(LINE),
        mark: 0,
    }
}

/// Opens the choice of a board over the home screen.
pub(super) fn opened(state: &mut State, boards: &[BoardChoice]) {
    state.base = Base::Brief(Box::new(Before::new(boards.to_vec())));
    state.scroll = None;
}

/// Shows a brief.
pub(super) fn shown(state: &mut State, brief: &Brief) {
    state.scroll = None;
    if let Base::Brief(before) = &mut state.base {
        before.stage = Stage::Page(Box::new(brief.clone()), None);
    }
}

/// A letter of the board's name, or of the words.
pub(super) fn on_type(before: &mut Before, c: char) {
    match &mut before.stage {
        Stage::Board { entry, mark } => {
            entry.insert(c);
            *mark = 0;
        }
        Stage::Words => before.words.insert(c),
        Stage::Page(..) => {}
    }
}

/// What a key does on the way to a brief, and on it.
pub(super) fn on_act(state: &mut State, act: Act) -> Vec<Effect> {
    let Base::Brief(before) = &mut state.base else {
        return Vec::new();
    };
    match before.stage {
        Stage::Board { .. } => on_board(state, act),
        Stage::Words => on_words(state, act),
        Stage::Page(..) => on_page(state, act),
    }
}

fn on_board(state: &mut State, act: Act) -> Vec<Effect> {
    let rows = usize::from(state.size.1 / 2);
    let Base::Brief(before) = &mut state.base else {
        return Vec::new();
    };
    let fits: Vec<BoardChoice> = before.fits().into_iter().cloned().collect();
    let last = fits.len().saturating_sub(1);
    let Stage::Board { entry, mark } = &mut before.stage else {
        return Vec::new();
    };
    match act {
        Act::Up => *mark = mark.saturating_sub(1),
        Act::Down => *mark = (*mark + 1).min(last),
        Act::PageUp => *mark = mark.saturating_sub(rows),
        Act::PageDown => *mark = (*mark + rows).min(last),
        Act::Edit(edit) => {
            entry.edit(edit);
            *mark = 0;
        }
        Act::Back if !entry.text().is_empty() => {
            entry.clear();
            *mark = 0;
        }
        Act::Back => {
            state.base = Base::Home(0);
            state.scroll = None;
        }
        Act::Take => {
            if let Some(board) = fits.get(*mark) {
                before.board = Some(board.clone());
                before.stage = Stage::Words;
            } else {
                let why = "No board begins so: Backspace, or Ctrl-U for a clear line.";
                update::say(state, why);
            }
        }
        _ => {}
    }
    Vec::new()
}

fn on_words(state: &mut State, act: Act) -> Vec<Effect> {
    let Base::Brief(before) = &mut state.base else {
        return Vec::new();
    };
    match act {
        Act::Take => {
            let board = before.board.as_ref().map(|b| b.id.clone());
            let words = before.words.text().trim().to_owned();
            return board
                .map(|board| Effect::Brief { board, words })
                .into_iter()
                .collect();
        }
        Act::Back => before.stage = choosing(),
        Act::Edit(edit) => before.words.edit(edit),
        other => update::scroll(state, other),
    }
    Vec::new()
}

fn on_page(state: &mut State, act: Act) -> Vec<Effect> {
    let person = state.person.clone();
    let Base::Brief(before) = &mut state.base else {
        return Vec::new();
    };
    let Stage::Page(brief, mark) = &mut before.stage else {
        return Vec::new();
    };
    let n = brief.jobs.len();
    match act {
        Act::Down if 0 < n => {
            *mark = Some(mark.map_or(0, |at| (at + 1).min(n - 1)));
            state.scroll = None;
        }
        Act::Up if 0 < n => {
            *mark = mark.and_then(|at| at.checked_sub(1));
            state.scroll = None;
        }
        Act::Take => {
            let job = mark.and_then(|at| brief.jobs.get(at));
            if let Some(job) = job {
                return vec![Effect::WholeJob(job.job.clone())];
            }
            update::say(state, "Move to a job first: ↓, then Enter opens it.");
        }
        Act::Quiz => {
            let cards = brief.card_ids();
            if cards.is_empty() {
                update::say(state, "No card matches: there is nothing to drill here.");
                return Vec::new();
            }
            return vec![Effect::BeginBrief { person, cards }];
        }
        Act::Back => {
            before.stage = Stage::Words;
            state.scroll = None;
        }
        other => update::scroll(state, other),
    }
    Vec::new()
}
