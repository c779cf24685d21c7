//! What stops a command: a message, a hint and exit status 2.

use std::fmt;
use std::path::Path;

/// Why a command could not compute.
#[derive(Debug)]
pub struct Failure {
    text: String,
    hint: Option<String>,
}

impl Failure {
    /// A failure with its message.
    pub fn new(message: impl fmt::Display) -> Self {
        Self {
            text: format!("error: {message}"),
            hint: None,
        }
    }

    /// All problems of a file.
    pub fn format(error: &calotte_format::FormatError, path: &Path) -> Self {
        Self {
            text: error.in_file(&path.display().to_string()).to_string(),
            hint: None,
        }
    }

    /// Adds what to try.
    pub fn hint(mut self, hint: impl fmt::Display) -> Self {
        self.hint = Some(hint.to_string());
        self
    }
}

impl From<calotte_format::map_request::RequestError> for Failure {
    fn from(error: calotte_format::map_request::RequestError) -> Self {
        Failure::new(&error.message).hint(&error.hint)
    }
}

impl From<calotte_report::ReportError> for Failure {
    fn from(error: calotte_report::ReportError) -> Self {
        let failure = Failure::new(&error.message);
        match &error.hint {
            Some(hint) => failure.hint(hint),
            None => failure,
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)?;
        if let Some(hint) = &self.hint {
            write!(f, "\nhint: {hint}")?;
        }
        Ok(())
    }
}
