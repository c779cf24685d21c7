//! Designs side by side: `calotte compare --json`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::analysis::Analysis;
use crate::common::{PolarAzimuth, Triple};
use crate::run::{NoOptions, Run};
use crate::safety::Safety;

/// Designs side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ComparisonDocument {
    /// The designs.
    pub designs: Vec<ComparedDesign>,
    /// What it was made of.
    pub run: Run<NoOptions>,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}

/// One design of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ComparedDesign {
    /// Its analysis.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(flatten))]
    pub analysis: Analysis,
    /// Its file.
    pub file: String,
    /// What measuring says of it, where a prototype was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub measuring: Option<Measuring>,
}

/// What measuring says of a design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Measuring {
    /// Predicted or measured.
    pub role: String,
    /// Residual of the points, root mean square.
    pub residual_rms_mm: Option<f64>,
    /// Maximum residual.
    pub residual_max_mm: Option<f64>,
    /// Pointing error against its own model; null where that is not known.
    pub pointing_error: Option<PointingErrorDocument>,
    /// Play.
    pub play_mm: Option<f64>,
    /// Width of the friction hysteresis.
    pub friction_hysteresis_mm: Option<f64>,
    /// Stiffness where weights were hung.
    pub stiffness_at: Vec<StationStiffness>,
}

/// Stiffness at one configuration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct StationStiffness {
    /// Readings at which it was measured.
    pub measured_at_deg: [f64; 2],
    /// What was pulled on.
    pub place: String,
    /// Direction of the pull.
    pub pull: Triple,
    /// Stiffness; null with a reason.
    pub n_per_mm: Option<f64>,
    /// One standard error, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub standard_error_n_per_mm: Option<f64>,
    /// Soft end of the band, where it is predicted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub soft_n_per_mm: Option<f64>,
    /// Stiff end of the band, where it is predicted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub stiff_n_per_mm: Option<f64>,
    /// Why there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub reason: Option<String>,
}

/// Pointing error of a linkage against its own model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PointingErrorDocument {
    /// Configurations looked at.
    pub configurations: usize,
    /// At the tip, root mean square.
    pub rms_mm: f64,
    /// At the tip, maximum.
    pub max_mm: f64,
    /// As an angle, root mean square.
    pub rms_deg: f64,
    /// As an angle, maximum.
    pub max_deg: f64,
    /// Where it is maximum.
    pub worst_at_deg: PolarAzimuth,
}
