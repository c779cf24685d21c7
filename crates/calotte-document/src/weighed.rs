//! What weights say of a prototype: the key `weights` of `measure fit --json`.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::common::{EnergyShares, Triple};
use crate::fitted::{CorrelationDocument, FoundParameter, RefusedRowShape, ResidualNumbers};

/// After the fit of weights.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct AfterWeights {
    /// Residuals.
    pub residual_mm: ResidualNumbers,
}

/// A value with its error.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SeenValue {
    /// Value.
    pub value: f64,
    /// One standard error.
    pub standard_error: f64,
}

/// How a measured stiffness stands to the predicted range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(rename_all = "lowercase")]
pub enum StiffnessStanding {
    /// Within.
    Within,
    /// Below.
    Below,
    /// Above.
    Above,
}

/// One configuration loaded. It holds the readings of the joints as `NAME_deg` too.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct LoadedConfiguration {
    /// What the weight pulls on.
    pub place: String,
    /// Direction of the pull.
    pub pull: Triple,
    /// Direction of the gauge; null where all three components were read.
    pub gauge: Option<Triple>,
    /// Its rows in the file.
    pub rows: Vec<usize>,
    /// Along the gauge.
    pub measured_stiffness_n_per_mm: Option<SeenValue>,
    /// The design's.
    pub nominal_stiffness_n_per_mm: Option<f64>,
    /// Lower end of the predicted range.
    pub soft_stiffness_n_per_mm: Option<f64>,
    /// Upper end of the predicted range.
    pub stiff_stiffness_n_per_mm: Option<f64>,
    /// Of the fitted model.
    pub fitted_stiffness_n_per_mm: Option<f64>,
    /// Against the band.
    pub standing: Option<StiffnessStanding>,
    /// Compliance shares of the fitted model.
    pub compliance_shares: Option<EnergyShares>,
    /// Play as seen here.
    pub play_mm: Option<SeenValue>,
    /// Width of the friction hysteresis as seen here.
    pub friction_hysteresis_mm: Option<SeenValue>,
    /// Readings of the joints by name, °.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(skip))]
    pub readings: BTreeMap<String, f64>,
}

/// Whether weights were being put on or taken off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(rename_all = "lowercase")]
pub enum LoadCourse {
    /// Put on.
    Loading,
    /// Taken off.
    Unloading,
}

/// One reading of the gauge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct GaugeReading {
    /// Number of the row, from 1.
    pub row: usize,
    /// What hangs, kg.
    pub mass_kg: f64,
    /// Along the gauge, or along the pull where all three components were read.
    pub displacement_mm: f64,
    /// Direction of the gauge; null where all three components were read.
    pub gauge: Option<Triple>,
    /// Put on or taken off.
    pub course: LoadCourse,
}

/// What a row of the weights misses after the fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct GaugeResidual {
    /// Number of the row, from 1.
    pub row: usize,
    /// Measured less fitted: along the gauge in x, or all three components.
    pub residual_mm: Triple,
}

/// Whether the prototype is as stiff as the design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct WeightsVerdict {
    /// Whether it is, within the bands.
    pub agrees_within_bands: bool,
    /// Whether the model explains the readings, so that they are used.
    pub believed: bool,
    /// Configurations below the predicted range.
    pub below: usize,
    /// Configurations above it.
    pub above: usize,
    /// Configurations judged.
    pub judged: usize,
    /// Unknowns that are off.
    pub off: Vec<OffWeight>,
    /// What would explain the stiffness; null where nothing deviates.
    pub cause_of_stiffness: Option<String>,
    /// Which parts these weights judge, which are taken as designed, and which no weight judges.
    #[serde(default)]
    pub scope: String,
    /// The verdict in a sentence.
    pub words: String,
}

/// An unknown of the weights that deviates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct OffWeight {
    /// Name with its unit.
    pub name: String,
    /// By how much, in standard errors.
    pub in_standard_errors: f64,
}

/// An unknown of the weights fitted alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct WeightsCause {
    /// In words.
    pub cause: String,
    /// Name with its unit.
    pub name: String,
    /// Share of the squares it takes away, 0 to 1.
    pub explains: f64,
    /// Its value.
    pub value: f64,
}

/// What the weights say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct WeightsDocument {
    /// Unknowns.
    pub parameters: Vec<FoundParameter>,
    /// Noise of one reading, mm.
    pub noise_mm: f64,
    /// Scatter about each configuration's own line, mm.
    pub scatter_mm: Option<f64>,
    /// Whether the model explains the readings; null where that is not decided.
    pub explained: Option<bool>,
    /// The verdict.
    pub verdict: WeightsVerdict,
    /// Residuals as designed.
    pub residual_mm: ResidualNumbers,
    /// After the fit.
    pub after: AfterWeights,
    /// What each row misses after the fit.
    pub rows: Vec<GaugeResidual>,
    /// What was read.
    pub readings: Vec<GaugeReading>,
    /// Rows counted.
    pub rows_used: usize,
    /// Rows far off.
    pub outlier_rows: Vec<usize>,
    /// Rows out of the linkage's reach.
    pub unreachable_rows: Vec<usize>,
    /// Rows whose gauge looks across the motion.
    pub across_rows: Vec<usize>,
    /// Rows not used.
    pub refused_rows: Vec<RefusedRowShape>,
    /// Whether any weight was taken off again.
    pub unloaded_again: bool,
    /// Correlations of the fitted unknowns.
    pub correlation: CorrelationDocument,
    /// Causes, the one that explains most first.
    pub causes: Vec<WeightsCause>,
    /// Configurations.
    pub configurations: Vec<LoadedConfiguration>,
    /// Remarks on the file.
    pub notes: Vec<String>,
}
