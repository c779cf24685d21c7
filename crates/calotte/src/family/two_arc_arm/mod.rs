//! The two-arc arm: two arcs in series.
//!
//! Parts: [`bars`] (bodies and joints, closed-form configuration).

mod bars;

pub(crate) use bars::{build, configuration};
