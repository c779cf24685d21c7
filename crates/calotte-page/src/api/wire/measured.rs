//! The prototype measured: what is asked, and what `calotte measure fit --json` says.
//!
//! The answer is passed on as the one writer of fits made it; the types of its document are
//! written down for the page alone, and a test reads a fit by them.

#[cfg(test)]
use super::design::{PolarAzimuth, Triple};
#[cfg(test)]
use super::fitted::{FoundParameter, RefusedRowShape, ResidualNumbers};
#[cfg(test)]
use super::weighed::WeightsDocument;
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

/// What the measurements say.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct FitAnswer {
    /// Names of the active joints: rows hold their readings as `NAME_deg`.
    pub joints: [String; 2],
    /// The keys of `measure fit --json` without `run`.
    #[cfg_attr(test, ts(type = "FitDocument"))]
    pub fit: serde_json::Map<String, serde_json::Value>,
}

/// A residual vector in the local frame of its direction, mm.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct LocalResidual {
    /// Along growing polar angle.
    pub polar: f64,
    /// Along growing azimuth.
    pub azimuth: f64,
    /// Outward.
    pub radial: f64,
}

/// One measured row. It holds the readings of the joints as `NAME_deg` too.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct MeasuredRow {
    /// Number of the row in the file, from 1.
    pub row: u32,
    /// Where the design puts the tool for its readings, base frame.
    pub direction_deg: PolarAzimuth,
    /// Measured less the design's.
    pub before_mm: LocalResidual,
    /// Measured less the fit's.
    pub after_mm: LocalResidual,
    /// Measured less the design's, base frame.
    pub before_base_mm: Triple,
    /// Measured less the fit's, base frame.
    pub after_base_mm: Triple,
    /// Whether the fit counts it.
    pub used: bool,
}

/// A parameter that is off.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct OffParameter {
    /// Name with its unit.
    pub name: String,
    /// By how much, in that unit.
    pub by: f64,
    /// The same in errors that workshops leave.
    pub in_typical_errors: f64,
}

/// Whether the prototype is the design.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct PointsVerdict {
    /// Whether it is, within what workshops leave.
    pub agrees_within_typical_errors: bool,
    /// What is off.
    pub off: Vec<OffParameter>,
    /// The same in a sentence.
    pub words: String,
}

/// The squares left when one cause alone is fitted.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct PointsCause {
    /// In words.
    pub cause: String,
    /// Share of the squares it takes away, 0 to 1.
    pub explains: f64,
    /// Its values.
    pub values: Vec<NamedValue>,
    /// How far off it would be, in errors that workshops leave.
    pub in_typical_errors: f64,
}

/// A value by name.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct NamedValue {
    /// Name with its unit.
    pub name: String,
    /// Value in that unit.
    pub value: f64,
}

/// Residuals over a band of polar angles.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct ResidualZone {
    /// From, °.
    pub polar_from_deg: f64,
    /// To, °.
    pub polar_to_deg: f64,
    /// With the design.
    pub before_mm: ResidualNumbers,
    /// With the fit.
    pub after_mm: ResidualNumbers,
}

/// Rows predicted that the fit had not seen.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct HoldOutShape {
    /// In how many parts the rows were left out.
    pub parts: u32,
    /// With the design, mm.
    pub rms_before_mm: f64,
    /// With the fit, mm.
    pub rms_after_mm: f64,
    /// Whether the fit predicts better than the design.
    pub learned: bool,
}

/// A parameter that no points tell.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct NeverTold {
    /// Name with its unit.
    pub name: String,
    /// Why.
    pub reason: String,
}

/// After the fit.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct AfterFit {
    /// Residuals.
    pub residual_mm: ResidualNumbers,
    /// Noise of one component, mm.
    pub noise_mm: f64,
}

/// Configurations measured again and again.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct RepeatedGroup {
    /// Name of the group.
    pub group: String,
    /// Rows.
    pub count: u32,
    /// Distance of the mean from where it should be, mm.
    pub pose_accuracy_mm: f64,
    /// Scatter about the mean, mm.
    pub pose_repeatability_mm: f64,
}

/// Angles by which orientations miss, °.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct OrientationAngles {
    /// Of the whole turn.
    pub angle_deg: ResidualNumbers,
    /// About the tool.
    pub roll_deg: ResidualNumbers,
    /// Of the tool's direction.
    pub direction_deg: ResidualNumbers,
}

/// What measured orientations say of the fit, which has not seen them.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
#[serde(untagged)]
pub(crate) enum OrientationShape {
    /// They say something.
    Found {
        /// Rows with an orientation.
        rows: u32,
        /// Rows plainly off.
        off_rows: Vec<u32>,
        /// With the design.
        before: Box<OrientationAngles>,
        /// With the fit.
        after: Box<OrientationAngles>,
        /// Standard error of how the sensor sits, °.
        sensor_standard_error_deg: f64,
        /// Whether they agree better with the fit than with the design.
        fit_made_them_agree: String,
    },
    /// They cannot be judged.
    Reason {
        /// Why.
        reason: String,
    },
}

/// What `calotte measure fit --json` says, without `run`.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct FitDocument {
    /// Residuals with the design.
    pub residual_mm: ResidualNumbers,
    /// After the fit.
    pub after: AfterFit,
    /// The verdict.
    pub verdict: PointsVerdict,
    /// Parameters, told and held.
    pub parameters: Vec<FoundParameter>,
    /// What no points tell.
    pub never_told: NeverTold,
    /// Rows far off.
    pub outlier_rows: Vec<u32>,
    /// Rows out of the linkage's reach.
    pub unreachable_rows: Vec<u32>,
    /// Rows not used.
    pub refused_rows: Vec<RefusedRowShape>,
    /// Rows counted.
    pub rows_used: u32,
    /// Every row that the design reaches.
    pub rows: Vec<MeasuredRow>,
    /// Rows predicted unseen; null where there are too few.
    pub hold_out: Option<HoldOutShape>,
    /// Causes, the one that explains most first.
    pub causes: Vec<PointsCause>,
    /// Residuals by polar angle.
    pub zones: Vec<ResidualZone>,
    /// Repeated configurations.
    pub groups: Vec<RepeatedGroup>,
    /// Remarks on the file.
    pub notes: Vec<String>,
    /// What orientations say; null where none was measured.
    pub orientation: Option<OrientationShape>,
    /// What the weights say; null without them.
    pub weights: Option<WeightsDocument>,
}
