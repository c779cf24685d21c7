//! What is wrong with a file: every problem at once, each with its place.

use std::fmt;

use thiserror::Error;

/// One problem of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters, counted from 1.
    pub column: usize,
    /// The key with the tables it lies in, such as `load[2].force_n`; entries of
    /// arrays of tables are counted from 1. Empty where there is none.
    pub key: String,
    /// The value as written, on one line and shortened; empty where there is none.
    pub value: String,
    /// What is wrong.
    pub message: String,
    /// What is allowed; empty where that goes without saying.
    pub allowed: String,
    /// What to try.
    pub hint: String,
}

/// A file that could not be read, with everything that is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub struct FormatError {
    /// The problems in the order of the file; at least one.
    pub problems: Vec<Problem>,
}

impl FormatError {
    /// The problems as printed, with the name of the file they are in.
    pub fn in_file<'a>(&'a self, file: &'a str) -> InFile<'a> {
        InFile { error: self, file }
    }
}

impl fmt::Display for FormatError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.in_file("").fmt(f)
    }
}

/// A [`FormatError`] with the name of its file, to be printed.
#[derive(Debug, Clone, Copy)]
pub struct InFile<'a> {
    error: &'a FormatError,
    file: &'a str,
}

impl fmt::Display for InFile<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.error.problems.iter().enumerate() {
            if index > 0 {
                f.write_str("\n\n")?;
            }
            problem.write(f, self.file)?;
        }
        Ok(())
    }
}

impl Problem {
    /// Writes message, place, what is allowed and hint, a line each.
    fn write(&self, f: &mut fmt::Formatter<'_>, file: &str) -> fmt::Result {
        write!(f, "error: {}\n  in ", self.message)?;
        if !file.is_empty() {
            write!(f, "{file}, ")?;
        }
        write!(f, "line {}, column {}", self.line, self.column)?;
        let name = self.key.rsplit('.').next().unwrap_or("");
        match (name.is_empty(), self.value.is_empty()) {
            (true, true) => {}
            (true, false) => write!(f, ": {}", self.value)?,
            (false, true) => write!(f, ": {name}")?,
            (false, false) => write!(f, ": {name} = {}", self.value)?,
        }
        if !self.allowed.is_empty() {
            write!(f, "\n  allowed: {}", self.allowed)?;
        }
        if !self.hint.is_empty() {
            write!(f, "\nhint: {}", self.hint)?;
        }
        Ok(())
    }
}
