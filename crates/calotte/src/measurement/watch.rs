//! How far a fit has come, for whoever waits for it.

use std::fmt;

/// Where a fit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitStage {
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

/// Whom to tell. It changes no number.
#[derive(Clone, Copy, Default)]
pub struct Watch<'a>(Option<&'a dyn Fn(FitStage)>);

impl<'a> Watch<'a> {
    /// Nobody.
    pub const NOBODY: Self = Self(None);

    /// Tells a function, in the thread that fits.
    pub fn new(told: &'a dyn Fn(FitStage)) -> Self {
        Self(Some(told))
    }

    pub(super) fn tell(self, stage: FitStage) {
        if let Some(told) = self.0 {
            told(stage);
        }
    }
}

impl fmt::Debug for Watch<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter) -> fmt::Result {
        let who = if self.0.is_some() { "one" } else { "nobody" };
        write!(formatter, "Watch({who})")
    }
}
