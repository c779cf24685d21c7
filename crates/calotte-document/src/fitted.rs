//! What fits of points and of weights share.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// Statistics of residuals, in the unit of the key that holds them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ResidualNumbers {
    /// Rows counted.
    pub count: usize,
    /// Mean length.
    pub mean: f64,
    /// Root mean square.
    pub rms: f64,
    /// 95 % of the rows miss by less.
    pub p95: f64,
    /// Maximum.
    pub max: f64,
}

/// What a parameter fixed at nominal is not separable from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NotSeparable {
    /// The other parameter, with its unit.
    pub name: String,
    /// So much of the other for one of this, in their units; only of points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub for_one: Option<f64>,
    /// So many assumed tolerances (1σ) of the other for one of this; only of weights.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub assumed_tolerances_for_one: Option<f64>,
}

/// One parameter of the real linkage, or one unknown of the weights.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct FoundParameter {
    /// Name with its unit.
    pub name: String,
    /// Found; the design's where it is held.
    pub value: f64,
    /// The design's.
    pub nominal: f64,
    /// One standard error, with what is held; null where it is held itself. Of points with all
    /// that they cannot separate from it too.
    pub standard_error: Option<f64>,
    /// Part of it that the noise makes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub standard_error_by_noise: Option<f64>,
    /// Tolerance that workshops are assumed to keep; only of points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub assumed_tolerance: Option<f64>,
    /// The minimum fault that would have been seen in nine of ten such campaigns; absent if none
    /// would. Only of points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub minimum_fault_seen: Option<f64>,
    /// Whether the measurements identify it.
    pub identifiable: bool,
    /// Whether it stands at a limit; only of weights.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub at_bound: Option<bool>,
    /// What its assumed tolerance moves all rows by, over the noise.
    pub signal_to_noise: f64,
    /// What it is not separable from.
    pub held_because_not_separable_from: Vec<NotSeparable>,
}

/// A row that was not used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct RefusedRowShape {
    /// Number of the row, from 1.
    pub row: usize,
    /// Line of the file, from 1.
    pub line: usize,
    /// Why.
    pub reason: String,
}

/// Correlations of the fitted parameters.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct CorrelationDocument {
    /// Their names, with unit.
    pub names: Vec<String>,
    /// Row by row.
    pub matrix: Vec<Vec<f64>>,
}
