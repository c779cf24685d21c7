//! Why a step stopped.

use std::fmt;

/// A step that did not succeed: what happened, what to do about it, and whether the
/// project is at fault or something is missing on this machine.
#[derive(Debug)]
pub struct Failure {
    message: String,
    hint: Option<String>,
    exit_status: u8,
}

impl Failure {
    /// Exit status when a check ran and did not hold.
    pub const CHECK_FAILED: u8 = 1;
    /// Exit status when a check could not run at all.
    pub const COULD_NOT_RUN: u8 = 2;

    /// A check that ran and did not hold.
    pub fn check(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            hint: None,
            exit_status: Self::CHECK_FAILED,
        }
    }

    /// A check that could not run, for lack of something on this machine.
    pub fn missing(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            hint: None,
            exit_status: Self::COULD_NOT_RUN,
        }
    }

    /// Adds what to try next.
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// The status this program ends with.
    pub fn exit_status(&self) -> u8 {
        self.exit_status
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.message)?;
        match &self.hint {
            Some(hint) => write!(f, "\nhint: {hint}"),
            None => Ok(()),
        }
    }
}
