//! What stops work on a file: a message, a hint, and the kind for programs that ask.

use std::io;
use std::path::Path;

/// What kind of obstacle it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// There is no such file.
    NotThere,
    /// It is a folder, a link, a pipe, a device or something else that is no ordinary file.
    NotOrdinary,
    /// It holds more than may be read.
    TooLong,
    /// It is there and may not be replaced.
    Exists,
    /// It is not what the caller knew.
    Changed,
    /// Another process works on it.
    Busy,
    /// The system refused.
    System,
}

/// Why a file could not be read or written.
#[derive(Debug, thiserror::Error)]
#[error("{message}")]
pub struct FileError {
    /// For programs.
    pub kind: Kind,
    /// For people: what happened, with the path.
    pub message: String,
    /// For people: what to try.
    pub hint: String,
}

impl FileError {
    /// An error of a kind.
    pub fn new(kind: Kind, message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self {
            kind,
            message: message.into(),
            hint: hint.into(),
        }
    }

    /// What the system said about reading.
    pub(crate) fn reading(path: &Path, error: &io::Error) -> Self {
        let kind = match error.kind() {
            io::ErrorKind::NotFound => Kind::NotThere,
            _ => Kind::System,
        };
        Self::new(
            kind,
            format!("cannot read {}: {error}", path.display()),
            "give the path of an existing file that may be read",
        )
    }

    /// What the system said about writing.
    pub(crate) fn writing(path: &Path, error: &io::Error) -> Self {
        Self::new(
            Kind::System,
            format!("cannot write {}: {error}", path.display()),
            "check that its folder exists, may be written and has room",
        )
    }
}
