//! The prototype measured: what is asked, and what `calotte measure fit` says.

use calotte_document::measured::FitDocument;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

/// What the measurements are asked for.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct FitAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The text of a file of points.
    pub points: String,
    /// The text of a file of weights.
    #[serde(default)]
    pub weights: Option<String>,
    /// Parameters that stay at the design's values, by name.
    #[serde(default)]
    pub hold: Vec<String>,
    /// Whether to add the sag that the elastic model gives.
    #[serde(default)]
    pub sag: bool,
}

/// How far a fit has come.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct FitPart {
    /// Usable rows of the points; 0 as long as they are not read.
    pub rows: usize,
    /// Where the fit is, as `calotte measure fit` says it.
    pub words: String,
    /// How often the rows were weighed in this round.
    pub weighed: usize,
}

/// What the measurements say.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct FitAnswer {
    /// Names of the active joints: rows hold their readings as `NAME_deg`.
    pub joints: [String; 2],
    /// What `measure fit --json` says, without `run`.
    pub fit: FitDocument,
}
