//! The scissor linkage: crossing bars between apexes on one great circle.
//!
//! Parts: [`bars`] (bodies and joints, closed-form configuration).

mod bars;

pub(crate) use bars::{build, configuration};
