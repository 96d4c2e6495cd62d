//! Damage found while reading: a result, not a failure.

use std::fmt;
use std::path::Path;
use std::path::PathBuf;

use crate::domain::text;

/// What a fault costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// What it names was left out.
    Damage,
    /// What it names is used all the same; a person should look.
    Warning,
}

/// Something wrong in a file: where, why, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Which file.
    pub path: PathBuf,
    /// Which line, from 1; absent when it is about the whole file.
    pub line: Option<u64>,
    /// Which field: `findings[2].got_v`.
    pub field: Option<String>,
    /// What is wrong.
    pub why: String,
    /// What to do next.
    pub todo: String,
    /// What it costs.
    pub weight: Weight,
}

impl Fault {
    /// Returns a fault that costs what it names.
    pub fn damage(path: &Path, why: impl Into<String>, todo: impl Into<String>) -> Self {
        Self {
            path: path.to_owned(),
            line: None,
            field: None,
            why: why.into(),
            todo: todo.into(),
            weight: Weight::Damage,
        }
    }

    /// Returns a fault that costs nothing yet.
    pub fn warning(path: &Path, why: impl Into<String>, todo: impl Into<String>) -> Self {
        Self {
            weight: Weight::Warning,
            ..Self::damage(path, why, todo)
        }
    }

    /// Adds the line.
    #[must_use]
    pub fn at(mut self, line: u64) -> Self {
        self.line = Some(line);
        self
    }

    /// Adds the field.
    #[must_use]
    pub fn field(mut self, field: impl Into<String>) -> Self {
        self.field = Some(field.into());
        self
    }
}

impl fmt::Display for Fault {
    /// Writes `jobs/a.jsonl:12: findings[2].got_v: not a number; write the volts as a number`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", text::clean(&self.path.to_string_lossy()))?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
        }
        write!(f, ": ")?;
        if let Some(field) = &self.field {
            write!(f, "{}: ", text::clean(field))?;
        }
        write!(f, "{}", text::clean(&self.why))?;
        if !self.todo.is_empty() {
            write!(f, "; {}", text::clean(&self.todo))?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_reads_where_why_what_to_do() {
        let path = Path::new("jobs/a.jsonl");
        let fault = Fault::damage(path, "a\u{1b}[31m is no number", "write 3.3")
            .at(12)
            .field("findings[2].got_v");
        assert_eq!(
            fault.to_string(),
            "jobs/a.jsonl:12: findings[2].got_v: a\u{fffd}[31m is no number; write 3.3"
        );
    }
}
