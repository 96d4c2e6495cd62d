//! What went wrong, as a person reads it, and what the shell is told.

use std::fmt;

use crate::app::workbench::AppError;
use crate::domain::text::clean;
use crate::store::error::StoreError;

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
        write!(f, "benchlore: {}", self.what)?;
        for hint in &self.hints {
            write!(f, "\n  {hint}")?;
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
            AppError::BadInitials { .. } | AppError::Unknown { .. } => Self {
                exit: Exit::Usage,
                ..failure
            },
            AppError::NoCards { .. } => {
                failure.hint("`benchlore deck build` makes cards from the closed jobs")
            }
            AppError::ReadOnly { .. } => failure.hint("end the other drill first"),
            AppError::Store(StoreError::Damaged { faults, .. }) => faults
                .iter()
                .fold(failure, |failure, fault| failure.hint(fault.to_string())),
            AppError::Store(_) => failure,
        }
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        AppError::from(error).into()
    }
}

/// Returns an error with its causes, as one line fit for a terminal.
pub fn chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text.push_str(": ");
        text.push_str(&inner.to_string());
        cause = inner.source();
    }
    clean(&text)
}
