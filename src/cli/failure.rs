//! What went wrong, as a person reads it, and what the shell is told.

use std::fmt;

use crate::app::workbench::AppError;
use crate::app::workbench::chain;
use crate::domain::text::clean;
use crate::store::backup::BackupError;
use crate::store::error::StoreError;
use crate::store::export_file::ExportError;

/// Stands in for the id of a bench that can keep none: no file can be written under such a name.
pub const NO_BENCH: &str = "no bench id";

/// Every exit code of the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Done.
    Done = 0,
    /// Failed.
    Failed = 1,
    /// Wrong usage.
    Usage = 2,
    /// Done, and it found something to mend.
    ToMend = 3,
}

/// A failure with what to do next.
#[derive(Debug)]
pub struct Failure {
    /// What the shell is told.
    pub exit: Exit,
    /// What, and where.
    pub what: String,
    /// What to do next.
    pub hints: Vec<String>,
    /// Nobody is left to tell (the reader of a pipe went away): end without a word.
    pub quiet: bool,
}

impl Failure {
    /// Returns a failure of the work itself.
    pub fn failed(what: impl Into<String>) -> Self {
        Self {
            exit: Exit::Failed,
            what: what.into(),
            hints: Vec::new(),
            quiet: false,
        }
    }

    /// Returns a failure of how the command was used.
    pub fn usage(what: impl Into<String>) -> Self {
        Self {
            exit: Exit::Usage,
            what: what.into(),
            hints: Vec::new(),
            quiet: false,
        }
    }

    /// Adds what to do next.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "benchlore: {}", clean(&self.what))?;
        for hint in &self.hints {
            write!(f, "\n  {}", clean(hint))?;
        }
        Ok(())
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        let quiet = error.kind() == std::io::ErrorKind::BrokenPipe;
        Self {
            quiet,
            ..Self::failed(error.to_string())
        }
    }
}

impl From<AppError> for Failure {
    fn from(error: AppError) -> Self {
        let failure = Self::failed(chain(&error));
        match &error {
            AppError::NoPerson { id } => failure.hint(format!(
                "`benchlore people add {}` makes one",
                id.to_uppercase()
            )),
            AppError::WhichPerson { known } if known.is_empty() => Self {
                exit: Exit::Usage,
                ..failure
            }
            .hint("nobody is here yet: `benchlore people add MK` makes a person"),
            AppError::WhichPerson { known } => Self {
                exit: Exit::Usage,
                ..failure
            }
            .hint(format!("the shop knows {}", known.join(", "))),
            AppError::BadInitials { .. } => Self {
                exit: Exit::Usage,
                ..failure
            }
            .hint("initials are one to four letters or digits, such as MK"),
            AppError::Unknown { known, .. } => Self {
                exit: Exit::Usage,
                ..failure
            }
            .hint(match known.as_slice() {
                [] => "there is none".to_owned(),
                [one] => format!("there is only {}", clean(one)),
                known => format!("there are {}", clean(&known.join(", "))),
            }),
            AppError::BadDate { .. } => Self {
                exit: Exit::Usage,
                ..failure
            }
            .hint("name a day after today, such as 2026-06-30; at most 730 days ahead"),
            AppError::BadGoal { .. } => Self {
                exit: Exit::Usage,
                ..failure
            },
            AppError::NoLead { leads, .. } => failure.hint(format!(
                "name a lead ({}), or leave --person out",
                leads.join(", ")
            )),
            AppError::Backup(error) => failure.hint(of_backup(error)),
            AppError::Export(error) => failure.hint(of_export(error)),
            AppError::NotEmpty { .. } => failure.hint("name a folder that is empty or not there yet"),
            AppError::NoCards { .. } => {
                failure.hint("`benchlore deck build` makes cards from the closed jobs")
            }
            AppError::ReadOnly { .. } => failure.hint("end the other drill first"),
            AppError::OwnDeckInTheWay { .. } => failure.hint("give it another name with --as"),
            AppError::DeckOfRules { .. } | AppError::BorrowedDeck { .. } => {
                failure.hint("build under another name, such as shop or harbour-2026")
            }
            AppError::DeckInTheWay { .. } => failure.hint(
                "the shop may have changed it on purpose; to have the shipped one, rename the file and add again",
            ),
            AppError::NotOfJob { todo, .. }
            | AppError::NotOfRow { todo, .. }
            | AppError::NotOfCard { todo, .. } => failure.hint(todo),
            AppError::Store(StoreError::Damaged { faults, .. }) => faults
                .iter()
                .fold(failure, |failure, fault| failure.hint(fault.to_string())),
            AppError::Store(StoreError::Name(bad)) if bad.name == NO_BENCH => {
                Self::failed("this bench can keep no id of its own, so nothing can be written")
                    .hint("set BENCHLORE_BENCH to a short name of this bench, such as b7")
            }
            AppError::Store(StoreError::Name(_)) => Self {
                exit: Exit::Usage,
                ..failure
            }
            .hint("choose another name, such as b7"),
            AppError::Store(StoreError::NotKept { .. }) => failure
                .hint("everything kept before is safe; make room on the disk or see to the folder's rights, and go on"),
            AppError::Store(StoreError::Io { .. }) => {
                failure.hint("see that the disk has room and that you may read and write there")
            }
            AppError::Store(StoreError::Busy { .. }) => failure.hint("end the other copy first"),
            AppError::Store(StoreError::Vanished { .. }) => {
                failure.hint("find out who changed the file; a backup or another bench may hold the lines")
            }
            AppError::Store(StoreError::Newer { .. }) => failure.hint("update this program"),
            AppError::Abandoned | AppError::FormOpen { .. } | AppError::Store(StoreError::Unwritable { .. }) => failure,
        }
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        AppError::from(error).into()
    }
}

/// Returns what to do about a backup that was not made or not restored.
fn of_backup(error: &BackupError) -> String {
    match error {
        BackupError::AlreadyThere { .. } => "name a file that is not there yet".to_owned(),
        BackupError::Inside { .. } => "name a file elsewhere, best on another disk".to_owned(),
        BackupError::Erasing { person } => {
            format!("`benchlore people forget {person}` finishes it")
        }
        BackupError::NotTheSame { .. } => {
            "the disk may be failing: make the backup on another one".to_owned()
        }
        BackupError::NotWhole { .. } => "nothing was written; take another backup".to_owned(),
        BackupError::NotEmpty { .. } => "name a folder that is empty or not there yet".to_owned(),
        BackupError::TooLarge { .. } => "copy the folder itself while no program runs".to_owned(),
        BackupError::Store(_) => {
            "see that the disk has room and that you may read and write there".to_owned()
        }
    }
}

/// Returns what to do about an export that was not written.
fn of_export(error: &ExportError) -> &'static str {
    match error {
        ExportError::AlreadyThere { .. } => "name another file, or say --replace",
        ExportError::Inside { .. } | ExportError::NotThis { .. } => "name a file elsewhere",
        ExportError::Store(_) => "see that the disk has room and that you may write there",
    }
}
