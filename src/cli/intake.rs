//! The intake desk behind the screen: the session that is open, and the count of what its first rows
//! are worth, which goes on while the person works.

use std::sync::mpsc;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::TryRecvError;
use std::thread;

use chrono::DateTime;
use chrono::Utc;

use crate::app::intake::List;
use crate::app::intake::Session;
use crate::app::intake::decide::Decided;
use crate::app::intake::page::RowPage;
use crate::app::intake::worth::Worth;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::shop::Person;
use crate::tui::msg::Decision;

/// What is open, and what was counted.
#[derive(Debug, Default)]
pub(crate) struct Intake {
    session: Option<(String, Session)>,
    counting: Option<(String, Receiver<Worth>)>,
    counted: Option<(String, Worth)>,
}

impl Intake {
    /// Returns the rows that wait; opens the desk for this person if it is not open.
    pub(crate) fn list(
        &mut self,
        workbench: &Workbench,
        person: &Person,
        now: DateTime<Utc>,
    ) -> Result<List, AppError> {
        if self
            .session
            .as_ref()
            .is_none_or(|(whose, _)| *whose != person.id)
        {
            // The lock of another person's session is let go first.
            self.session = None;
            let session = Session::open(workbench, person, now)?;
            self.session = Some((person.id.clone(), session));
        }
        let session = self.session()?;
        let list = session.list();
        let task = session.task(now);
        let known = [
            self.counted.as_ref().map(|(mark, _)| mark),
            self.counting.as_ref().map(|(mark, _)| mark),
        ];
        if !known.into_iter().flatten().any(|mark| *mark == task.mark) {
            let (sender, receiver) = mpsc::channel();
            self.counting = Some((task.mark.clone(), receiver));
            self.counted = None;
            thread::spawn(move || drop(sender.send(task.count())));
        }
        Ok(list)
    }

    /// Returns what the first rows are worth; none while it is being counted.
    pub(crate) fn worth(&mut self) -> Option<String> {
        if let Some((mark, receiver)) = &self.counting {
            match receiver.try_recv() {
                Ok(worth) => {
                    self.counted = Some((mark.clone(), worth));
                    self.counting = None;
                }
                Err(TryRecvError::Empty) => return None,
                Err(TryRecvError::Disconnected) => {
                    self.counting = None;
                    return Some("What these rows are worth could not be counted.".to_owned());
                }
            }
        }
        self.counted.as_ref().map(|(_, worth)| worth.words())
    }

    /// Returns the open session.
    pub(crate) fn session(&mut self) -> Result<&mut Session, AppError> {
        let open = self.session.as_mut().map(|(_, session)| session);
        open.ok_or_else(|| AppError::NotOfRow {
            row: "the intake desk".to_owned(),
            why: "it is not open".to_owned(),
            todo: "open it again".to_owned(),
        })
    }

    /// Returns a row to work on; none past the end.
    pub(crate) fn row(&mut self, at: usize) -> Result<Option<RowPage>, AppError> {
        let session = self.session()?;
        let last = session.waiting().checked_sub(1);
        let Some(last) = last else { return Ok(None) };
        let key = session.key_at(at.min(last)).map(str::to_owned);
        key.map(|key| session.page(&key)).transpose()
    }

    /// Decides about a row.
    pub(crate) fn decide(
        &mut self,
        key: &str,
        at: usize,
        what: &Decision,
        now: DateTime<Utc>,
    ) -> Result<Decided, AppError> {
        let session = self.session()?;
        match what {
            Decision::Accept => session.accept(key, now),
            Decision::Mend(slot, words) => session.mend(key, *slot, words, now),
            Decision::Take(slot) => session.take(key, *slot, now),
            Decision::Split(sides) => session.split(key, sides, now),
            Decision::SameAs(number) => session.same_as(key, number, now),
            Decision::Skip(why) => session.skip(key, why, now),
            Decision::Undo => session.undo(at, now),
        }
    }

    /// Closes the desk; what was counted is kept.
    pub(crate) fn leave(&mut self) {
        self.session = None;
    }
}
