//! A step that failed after some of its tests.

use crate::counts::Counts;
use crate::failure::Failure;

/// A failed step, with the numbers of the tests it ran until then.
#[derive(Debug)]
pub struct StepFailure {
    /// Why it stopped.
    pub failure: Failure,
    /// What had run.
    pub counts: Counts,
}

impl From<Failure> for StepFailure {
    fn from(failure: Failure) -> Self {
        Self {
            failure,
            counts: Counts::default(),
        }
    }
}
