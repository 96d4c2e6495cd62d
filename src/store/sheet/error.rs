//! Why a sheet cannot be read, and what a person does about it.

use std::fmt;
use std::io;
use std::path::Path;

use crate::domain::text::clean;

/// A sheet that cannot be read: which file, which worksheet and row where there is one, and why.
#[derive(Debug, thiserror::Error)]
pub struct SheetError {
    /// The file as it was named, fit for a terminal.
    pub file: String,
    /// Which worksheet, fit for a terminal.
    pub sheet: Option<String>,
    /// Which row, from 1.
    pub row: Option<u64>,
    /// What is wrong.
    #[source]
    pub why: SheetProblem,
}

impl fmt::Display for SheetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "cannot read the sheet {}", self.file)?;
        if let Some(sheet) = &self.sheet {
            write!(f, ", worksheet {sheet}")?;
        }
        if let Some(row) = self.row {
            write!(f, ", row {row}")?;
        }
        Ok(())
    }
}

/// What can be wrong with a sheet file.
#[derive(Debug, thiserror::Error)]
pub enum SheetProblem {
    /// Nothing is there.
    #[error("there is no such file")]
    Missing,
    /// A folder, a device or a pipe.
    #[error("it is not a file")]
    NotAFile,
    /// The disk refused.
    #[error("the disk refused")]
    Io(#[source] io::Error),
    /// No bytes, or nothing but a byte order mark.
    #[error("the file is empty")]
    Empty,
    /// More than is read at once.
    #[error("it has {has} MB, and sheets are read up to {most} MB")]
    TooLarge {
        /// Its size, in units of a million bytes.
        has: u64,
        /// The limit, in the same unit.
        most: u64,
    },
    /// An encoding that is not read.
    #[error("its text is in {0}, which is not read")]
    Encoding(&'static str),
    /// A workbook that is cut short or damaged.
    #[error("the workbook is cut short or damaged: {0}")]
    Broken(String),
    /// A workbook that would fill the memory once unpacked.
    #[error("unpacked it holds more than a sheet does: {0}")]
    Swollen(String),
    /// A workbook with a password.
    #[error("it is protected by a password")]
    Locked,
    /// Not a sheet of a kind that is read.
    #[error("it is {0}, not a sheet that is read here")]
    Kind(&'static str),
}

impl SheetProblem {
    /// Returns what a person does next.
    pub fn todo(&self) -> &'static str {
        match self {
            Self::Missing => "check the name and the folder",
            Self::NotAFile => "name the sheet file itself",
            Self::Io(_) => "check that the file may be read and that its drive is there",
            Self::Empty => "export the sheet again, or check that it is the right file",
            Self::TooLarge { .. } => "split the sheet into smaller files, by year for example",
            Self::Broken(_) => {
                "fetch or export it again; if it opens where it came from, save it as CSV (UTF-8)"
            }
            Self::Swollen(_) => {
                "do not trust a file that someone sent; one of your own, save as CSV (UTF-8), sheet by sheet"
            }
            Self::Locked => "save a copy without the password, or as CSV (UTF-8)",
            Self::Encoding(_) => "save the sheet again as CSV in UTF-8",
            Self::Kind(_) => {
                "open it where it came from and save it as CSV (UTF-8), XLSX or ODS, without a password"
            }
        }
    }

    /// Returns the error that names the whole file.
    pub(crate) fn whole(self) -> Misread {
        Misread {
            sheet: None,
            row: None,
            why: self,
        }
    }
}

/// A problem and where in the file it is, before the file's name is known.
#[derive(Debug)]
pub(crate) struct Misread {
    /// Which worksheet, fit for a terminal.
    pub(crate) sheet: Option<String>,
    /// Which row, from 1.
    pub(crate) row: Option<u64>,
    /// What is wrong.
    pub(crate) why: SheetProblem,
}

impl From<SheetProblem> for Misread {
    fn from(why: SheetProblem) -> Self {
        why.whole()
    }
}

impl Misread {
    /// Returns the error that names `path`.
    pub(crate) fn of(self, path: &Path) -> SheetError {
        SheetError {
            file: clean(&path.display().to_string()),
            sheet: self.sheet,
            row: self.row,
            why: self.why,
        }
    }
}

impl SheetError {
    /// Returns what a person does next.
    pub fn todo(&self) -> &'static str {
        self.why.todo()
    }
}
