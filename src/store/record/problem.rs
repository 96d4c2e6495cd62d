//! What is wrong with one record, before it is known in which file and line it stands.

use std::path::Path;

use crate::store::fault::Fault;
use crate::store::fault::Weight;

/// One thing wrong with a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Which field; empty when it is about the whole record.
    pub field: String,
    /// What is wrong.
    pub why: String,
    /// What to do next.
    pub todo: String,
    /// What it costs.
    pub weight: Weight,
}

impl Problem {
    /// Returns a problem that costs the record.
    pub fn damage(
        field: impl Into<String>,
        why: impl Into<String>,
        todo: impl Into<String>,
    ) -> Self {
        Self {
            field: field.into(),
            why: why.into(),
            todo: todo.into(),
            weight: Weight::Damage,
        }
    }

    /// Returns a problem that costs nothing yet.
    pub fn warning(
        field: impl Into<String>,
        why: impl Into<String>,
        todo: impl Into<String>,
    ) -> Self {
        Self {
            weight: Weight::Warning,
            ..Self::damage(field, why, todo)
        }
    }

    /// Returns the fault it is at `line` of `path`.
    pub fn at(self, path: &Path, line: u64) -> Fault {
        Fault {
            line: Some(line),
            ..self.in_file(path)
        }
    }

    /// Returns the fault it is in `path` as a whole.
    pub fn in_file(self, path: &Path) -> Fault {
        Fault {
            path: path.to_owned(),
            line: None,
            field: (!self.field.is_empty()).then_some(self.field),
            why: self.why,
            todo: self.todo,
            weight: self.weight,
        }
    }
}
