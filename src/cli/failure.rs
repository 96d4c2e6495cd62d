//! What went wrong, as a person reads it, and what the shell is told.

use std::fmt;

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
}

impl Failure {
    /// Returns a failure of the work itself.
    pub fn failed(what: impl Into<String>) -> Self {
        Self { exit: Exit::Failed, what: what.into(), hints: Vec::new() }
    }

    /// Returns a failure of how the command was used.
    pub fn usage(what: impl Into<String>) -> Self {
        Self { exit: Exit::Usage, what: what.into(), hints: Vec::new() }
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
        Self::failed(error.to_string())
    }
}
