//! What weights say of a prototype: types of the key `weights` of `measure fit --json`, for
//! the page alone.

use super::design::Triple;
use super::fitted::{FoundParameter, RefusedRowShape, ResidualNumbers};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// After the fit of weights.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct AfterWeights {
    /// Residuals.
    pub residual_mm: ResidualNumbers,
}

/// A value with its error.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct SeenValue {
    /// Value.
    pub value: f64,
    /// One standard error.
    pub standard_error: f64,
}

/// Where the fitted model gives way, shares of 1.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct CauseShares {
    /// Arcs.
    pub arcs: f64,
    /// Joints.
    pub joints: f64,
    /// Pins.
    pub pins: f64,
    /// Drives.
    pub drives: f64,
    /// Base.
    pub base: f64,
}

/// How a measured stiffness stands to the design's band.
#[derive(Debug, Serialize, Deserialize, TS)]
#[serde(rename_all = "lowercase")]
pub(crate) enum StiffnessStanding {
    /// Within.
    Within,
    /// Below.
    Softer,
    /// Above.
    Stiffer,
}

/// One configuration loaded. It holds the readings of the joints as `NAME_deg` too.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct LoadedConfiguration {
    /// What the weight pulls on.
    pub place: String,
    /// Direction of the pull.
    pub pull: Triple,
    /// Direction of the gauge; null where all three components were read.
    pub gauge: Option<Triple>,
    /// Its rows in the file.
    pub rows: Vec<u32>,
    /// Along the gauge.
    pub measured_stiffness_n_per_mm: Option<SeenValue>,
    /// The design's.
    pub nominal_stiffness_n_per_mm: Option<f64>,
    /// Soft end of the design's band.
    pub soft_stiffness_n_per_mm: Option<f64>,
    /// Stiff end of the design's band.
    pub stiff_stiffness_n_per_mm: Option<f64>,
    /// Of the fitted model.
    pub fitted_stiffness_n_per_mm: Option<f64>,
    /// Against the band.
    pub standing: Option<StiffnessStanding>,
    /// Where the fitted model gives way.
    pub compliance_shares: Option<CauseShares>,
    /// Play as seen here.
    pub play_mm: Option<SeenValue>,
    /// Width of the friction loop as seen here.
    pub friction_loop_mm: Option<SeenValue>,
}

/// Whether weights were being put on or taken off.
#[derive(Debug, Serialize, Deserialize, TS)]
#[serde(rename_all = "lowercase")]
pub(crate) enum LoadCourse {
    /// Put on.
    Loading,
    /// Taken off.
    Unloading,
}

/// One reading of the gauge.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct GaugeReading {
    /// Number of the row, from 1.
    pub row: u32,
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
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct GaugeResidual {
    /// Number of the row, from 1.
    pub row: u32,
    /// Measured less fitted: along the gauge in x, or all three components.
    pub residual_mm: Triple,
}

/// Whether the prototype is as stiff as the design.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct WeightsVerdict {
    /// Whether it is, within the bands.
    pub agrees_within_bands: bool,
    /// Unknowns that are off.
    pub off: Vec<OffWeight>,
    /// The same in a sentence.
    pub words: String,
}

/// An unknown of the weights that is off.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct OffWeight {
    /// Name with its unit.
    pub name: String,
    /// By how much, in standard errors.
    pub in_standard_errors: f64,
}

/// An unknown of the weights fitted alone.
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct WeightsCause {
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
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct WeightsDocument {
    /// Unknowns.
    pub parameters: Vec<FoundParameter>,
    /// Noise of one reading, mm.
    pub noise_mm: f64,
    /// Scatter about each configuration's own line, mm.
    pub scatter_mm: Option<f64>,
    /// Whether the model explains the readings; null where that cannot be told.
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
    pub rows_used: u32,
    /// Rows far off.
    pub outlier_rows: Vec<u32>,
    /// Rows out of the linkage's reach.
    pub unreachable_rows: Vec<u32>,
    /// Rows whose gauge looks across the motion.
    pub across_rows: Vec<u32>,
    /// Rows not used.
    pub refused_rows: Vec<RefusedRowShape>,
    /// Whether any weight was taken off again.
    pub unloaded_again: bool,
    /// Causes, the one that explains most first.
    pub causes: Vec<WeightsCause>,
    /// Configurations.
    pub configurations: Vec<LoadedConfiguration>,
    /// Remarks on the file.
    pub notes: Vec<String>,
}
