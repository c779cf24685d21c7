//! What points and weights say alike: types of `measure fit --json`, for the page alone.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Lengths of residuals, mm.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct ResidualNumbers {
    /// Rows counted.
    pub count: u32,
    /// Mean length.
    pub mean: f64,
    /// Root mean square.
    pub rms: f64,
    /// 95 % of the rows miss by less.
    pub p95: f64,
    /// Greatest.
    pub max: f64,
}

/// What a held parameter looks like.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct LooksLike {
    /// The other parameter, with its unit.
    pub name: String,
}

/// One parameter of the real linkage, or one unknown of the weights.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct FoundParameter {
    /// Name with its unit.
    pub name: String,
    /// Found; the design's where it is held.
    pub value: f64,
    /// The design's.
    pub nominal: f64,
    /// One standard error; null where it is held.
    pub standard_error: Option<f64>,
    /// The same with what held parameters may do.
    pub standard_error_with_held: Option<f64>,
    /// Whether the measurements tell it.
    pub identifiable: bool,
    /// Whether it stands at a limit; only of weights.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub at_bound: Option<bool>,
    /// What its typical error moves all rows by, over the noise.
    pub signal_to_noise: f64,
    /// What it cannot be told from.
    pub held_because_it_looks_like: Vec<LooksLike>,
}

/// A row that was not used.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct RefusedRowShape {
    /// Number of the row, from 1.
    pub row: u32,
    /// Line of the file, from 1.
    pub line: u32,
    /// Why.
    pub reason: String,
}
