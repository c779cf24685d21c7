//! What could not be composed.

use thiserror::Error;

/// A figure, table or page that cannot be made of these results.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct ReportError {
    /// What is wrong.
    pub message: String,
    /// What to try, where something helps.
    pub hint: Option<String>,
}

impl ReportError {
    /// An error with its message.
    pub fn new(message: impl std::fmt::Display) -> Self {
        Self {
            message: message.to_string(),
            hint: None,
        }
    }

    /// Adds what to try.
    pub fn hint(mut self, hint: impl std::fmt::Display) -> Self {
        self.hint = Some(hint.to_string());
        self
    }
}
