//! What points say of a prototype: `calotte measure fit --json`.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::common::{PolarAzimuth, Triple};
use crate::fitted::{CorrelationDocument, FoundParameter, RefusedRowShape, ResidualNumbers};
use crate::run::{FitRun, Run};
use crate::safety::Safety;
use crate::weighed::WeightsDocument;

/// A residual vector in the local frame of its direction, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct LocalResidual {
    /// Along growing polar angle.
    pub polar: f64,
    /// Along growing azimuth.
    pub azimuth: f64,
    /// Outward.
    pub radial: f64,
}

/// One measured row. It holds the readings of the joints as `NAME_deg` too.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MeasuredRow {
    /// Number of the row in the file, from 1.
    pub row: usize,
    /// Where the design puts the tool for its readings, base frame.
    pub direction_deg: PolarAzimuth,
    /// Where the sensor was, base frame.
    pub measured_mm: Triple,
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
    /// Readings of the joints by name, °.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(skip))]
    pub readings: BTreeMap<String, f64>,
}

/// A parameter that deviates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct OffParameter {
    /// Name with its unit.
    pub name: String,
    /// By how much, in that unit: of the verdict the value found less the design's; of an
    /// explanation what it would be by that explanation.
    pub by: f64,
    /// Standard error of it; absent for a parameter that is held, and in an explanation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub standard_error: Option<f64>,
    /// The same in errors that workshops leave.
    pub in_assumed_tolerances: f64,
}

/// Parts that together explain the points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PointsExplanation {
    /// The parts; none where all is within tolerance.
    pub parts: Vec<String>,
    /// How probable it is, 0 to 1.
    pub probability: f64,
    /// What is beyond tolerance then.
    pub off: Vec<OffParameter>,
}

/// Parameters that the points identify together although none alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PointsCombination {
    /// Each by name with unit, and how often it counts.
    pub terms: Vec<NamedValue>,
    /// The sum found less the design's, in the unit of the first.
    pub by: f64,
    /// One standard error of it.
    pub standard_error: f64,
    /// The same in a line.
    pub words: String,
}

/// The configuration in which the two most probable explanations differ most.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MeasureNext {
    /// Readings of the active joints, °.
    pub joints_deg: [f64; 2],
    /// How far apart the two put the sensor there, mm.
    pub distance_mm: f64,
    /// How often it is to be measured; null if no point separates them, only the parts by
    /// themselves.
    pub times: Option<usize>,
    /// The parts of either explanation; none where all is within tolerance.
    #[serde(default)]
    pub separates: Vec<Vec<String>>,
    /// The same in a sentence.
    pub words: String,
}

/// Whether the prototype is the design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PointsVerdict {
    /// agrees, deviates, lack of fit, undecided, or not of this design.
    #[serde(default)]
    pub outcome: String,
    /// Whether there is no deviation beyond workshop tolerance, and a fault would have been
    /// seen.
    pub agrees_within_assumed_tolerances: bool,
    /// Probability that every part is within tolerance, 0 to 1.
    #[serde(default)]
    pub within_tolerance_probability: f64,
    /// Sets of parts of which each explains the points, most probable first; one is certain,
    /// several are not separable. Empty where most probably nothing is beyond tolerance.
    #[serde(default)]
    pub explanations: Vec<PointsExplanation>,
    /// What to measure next to separate the most probable explanations; null where there is
    /// one alone.
    #[serde(default)]
    pub measure_next: Option<MeasureNext>,
    /// How the file may have been misread, likeliest first; empty where nothing hints at it.
    #[serde(default)]
    pub perhaps: Vec<String>,
    /// Parts whose faults these points would not have shown, by a parameter of each.
    #[serde(default)]
    pub not_judged: Vec<String>,
    /// What deviates.
    pub off: Vec<OffParameter>,
    /// What the verdict leaves open: parts of which it is not decided whether they are at fault,
    /// and parts that are not judged.
    #[serde(default)]
    pub open: Vec<String>,
    /// What to change on the controller, its sense and how to check it; empty where nothing is.
    #[serde(default)]
    pub controller: Vec<String>,
    /// What to do about the parts that are at fault for certain; null without.
    pub remedy: Option<String>,
    /// Share of the squares that the first of the causes takes away by itself.
    pub remedy_explains: f64,
    /// Whether these can be points of this design.
    pub of_this_design: bool,
    /// Parts of which the points do not separate which is at fault.
    pub rivals: Vec<String>,
    /// The same in a sentence.
    pub words: String,
}

/// The squares left when one cause alone is fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PointsCause {
    /// In words.
    pub cause: String,
    /// Probability that something of it is beyond tolerance.
    #[serde(default)]
    pub probability: f64,
    /// Share of the squares it takes away, 0 to 1.
    pub explains: f64,
    /// Its values.
    pub values: Vec<NamedValue>,
    /// Deviation it would be, in errors that workshops leave.
    pub in_assumed_tolerances: f64,
}

/// A value by name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NamedValue {
    /// Name with its unit.
    pub name: String,
    /// Value in that unit.
    pub value: f64,
}

/// Residuals over a band of polar angles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ResidualZone {
    /// From, °.
    pub polar_from_deg: f64,
    /// To, °.
    pub polar_to_deg: f64,
    /// With the design.
    pub before_mm: ResidualNumbers,
    /// With the fit.
    pub after_mm: ResidualNumbers,
}

/// Withheld rows, predicted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct HoldOutShape {
    /// In how many parts the rows were left out.
    pub parts: usize,
    /// With the design, mm.
    pub rms_before_mm: f64,
    /// With the fit, mm.
    pub rms_after_mm: f64,
    /// Whether the fit predicts better than the design.
    pub learned: bool,
}

/// A parameter that no points identify.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NeverIdentifiable {
    /// Name with its unit.
    pub name: String,
    /// Why.
    pub reason: String,
}

/// The sphere of the points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SphereDocument {
    /// Its centre, in the frame of the points.
    pub centre_mm: Triple,
    /// Its radius.
    pub radius_mm: f64,
    /// Distance of the points from it, root mean square.
    pub rms_mm: f64,
}

/// How the tracker's frame lies to the base.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct RegistrationDocument {
    /// Rotation, row by row.
    pub rotation: [Triple; 3],
    /// Translation.
    pub translation_mm: Triple,
}

/// After the fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct AfterFit {
    /// Residuals.
    pub residual_mm: ResidualNumbers,
    /// How the tracker's frame lies.
    pub registration: RegistrationDocument,
    /// Noise of one component, mm.
    pub noise_mm: f64,
}

/// Configurations measured again and again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct RepeatedGroup {
    /// Name of the group.
    pub group: String,
    /// Rows.
    pub count: usize,
    /// Distance of the mean from where it should be, mm.
    pub pose_accuracy_mm: f64,
    /// Scatter about the mean, mm.
    pub pose_repeatability_mm: f64,
}

/// Angles by which orientations miss, °.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct OrientationAngles {
    /// Of the whole turn.
    pub angle_deg: ResidualNumbers,
    /// About the tool.
    pub roll_deg: ResidualNumbers,
    /// Of the tool's direction.
    pub direction_deg: ResidualNumbers,
    /// How the sensor sits on the tool, unit quaternion.
    pub sensor_on_tool_wxyz: [f64; 4],
}

/// What measured orientations say of the fit, which does not use them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(untagged)]
pub enum OrientationShape {
    /// They say something.
    Found(Box<OrientationsFound>),
    /// They cannot be judged.
    Reason(OrientationReason),
}

/// Orientations beside the fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct OrientationsFound {
    /// Rows with an orientation.
    pub rows: usize,
    /// Rows with large deviations.
    pub off_rows: Vec<usize>,
    /// With the design.
    pub before: OrientationAngles,
    /// With the fit.
    pub after: OrientationAngles,
    /// Standard error of how the sensor sits, °.
    pub sensor_standard_error_deg: f64,
    /// Whether they agree better with the fit than with the design.
    pub fit_made_them_agree: String,
}

/// Orientations that cannot be judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct OrientationReason {
    /// Why.
    pub reason: String,
}

/// Residuals tested against one thing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct LackTestShape {
    /// Against what.
    pub name: String,
    /// Ratio of variances; null where it cannot be tested.
    pub statistic: Option<f64>,
    /// Degrees of freedom of numerator and denominator; null for a known noise.
    pub degrees: Option<[Option<f64>; 2]>,
    /// Probability of a ratio as great by noise alone.
    pub p_value: Option<f64>,
    /// Level of this test, its share of that of all.
    pub level: Option<f64>,
    /// Root mean square length of what it explains, mm.
    pub effect_mm: Option<f64>,
    /// Whether the probability is below its level.
    pub found: bool,
    /// Why it cannot be tested with these points; null where it was.
    pub not_tested_because: Option<String>,
}

/// Rows with something in common that are all outliers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct RejectedShape {
    /// Their numbers.
    pub rows: Vec<usize>,
    /// Name of their group; empty without.
    pub group: String,
    /// Probability that it happens by chance.
    pub by_chance: f64,
    /// Whether that is less than chance is allowed.
    pub found: bool,
    /// The same in a sentence.
    pub words: String,
}

/// Whether what the fit leaves is noise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct LackDocument {
    /// Probability that any test finds something where there is only noise.
    pub level: f64,
    /// Even drift from the first row to the last that nine of ten such campaigns would have
    /// shown, mm; null where none is separable from a turn of the tracker.
    pub minimum_drift_seen_mm: Option<f64>,
    /// Whether anything was found.
    pub found: bool,
    /// What was found, the surest first.
    pub words: Vec<String>,
    /// Every test.
    pub tests: Vec<LackTestShape>,
    /// Configurations and readings of which no row counts.
    pub rejected: Vec<RejectedShape>,
    /// Outliers as share of all rows.
    pub outlier_share: f64,
}

/// What `calotte measure fit --json` says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct FitDocument {
    /// The sphere of the points.
    pub sphere: SphereDocument,
    /// How the tracker's frame lies with the design's values.
    pub registration: RegistrationDocument,
    /// Residuals with the design.
    pub residual_mm: ResidualNumbers,
    /// After the fit.
    pub after: AfterFit,
    /// The verdict.
    pub verdict: PointsVerdict,
    /// Parameters, identified and fixed at nominal.
    pub parameters: Vec<FoundParameter>,
    /// What no points identify.
    pub never_identifiable: NeverIdentifiable,
    /// Singular values over the noise, those of the fitted parameters.
    pub singular_values_over_noise: Vec<f64>,
    /// Correlations of the fitted parameters.
    pub correlation: CorrelationDocument,
    /// Rows far off.
    pub outlier_rows: Vec<usize>,
    /// Rows out of the linkage's reach.
    pub unreachable_rows: Vec<usize>,
    /// Rows not used.
    pub refused_rows: Vec<RefusedRowShape>,
    /// Rows counted.
    pub rows_used: usize,
    /// Every row that the design reaches.
    pub rows: Vec<MeasuredRow>,
    /// Withheld rows, predicted; null where there are too few.
    pub hold_out: Option<HoldOutShape>,
    /// Causes, the one most probably at fault first, then by what each explains alone.
    pub causes: Vec<PointsCause>,
    /// Whether what the fit leaves is noise; null in fits of older programs.
    #[serde(default)]
    pub lack_of_fit: Option<LackDocument>,
    /// What the points identify of parameters together.
    #[serde(default)]
    pub combinations: Vec<PointsCombination>,
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
    /// What it was made of; absent on the page.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(skip))]
    pub run: Option<Run<FitRun>>,
    /// What to know before anything is built, fitted or used; empty in fits of older programs.
    #[serde(default)]
    pub safety: Safety,
}
