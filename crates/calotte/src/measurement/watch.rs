//! How far a fit has come, for whoever waits for it, and whether it is still waited for.

use std::fmt;
use std::ops::ControlFlow;

use thiserror::Error;

/// Where a fit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitStage {
    /// The sag by own weight is computed, row by row.
    Sag {
        /// Rows computed.
        done: usize,
        /// Rows there are.
        rows: usize,
    },
    /// The rows are there; the tracker's pose is looked for.
    Pose {
        /// Rows.
        rows: usize,
    },
    /// Parameters are fitted, rows weighed.
    Round {
        /// From 1.
        round: usize,
        /// Rounds there are at most.
        most: usize,
        /// How often the rows were weighed in this round; 0 as it begins.
        step: usize,
        /// Parameters that are free.
        parameters: usize,
        /// Rows looked at.
        rows: usize,
    },
    /// Rows are left out and predicted.
    HoldOut,
    /// Single causes are tried.
    Causes,
}

/// Nobody waits for the fit any longer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("the fit was stopped")]
pub struct Stopped;

/// Whom to tell. It changes no number: a fit goes on to its end, or ends with no result.
#[derive(Clone, Copy, Default)]
pub struct Watch<'a>(Option<&'a dyn Fn(FitStage) -> ControlFlow<()>>);

impl<'a> Watch<'a> {
    /// Nobody.
    pub const NOBODY: Self = Self(None);

    /// Tells a function, in the thread that fits; what it breaks ends there.
    pub fn new(told: &'a dyn Fn(FitStage) -> ControlFlow<()>) -> Self {
        Self(Some(told))
    }

    pub(super) fn tell(self, stage: FitStage) -> Result<(), Stopped> {
        match self.0.map(|told| told(stage)) {
            Some(ControlFlow::Break(())) => Err(Stopped),
            Some(ControlFlow::Continue(())) | None => Ok(()),
        }
    }
}

impl fmt::Debug for Watch<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter) -> fmt::Result {
        let who = if self.0.is_some() { "one" } else { "nobody" };
        write!(formatter, "Watch({who})")
    }
}
