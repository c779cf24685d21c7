//! What to measure on a prototype: `calotte measure plan --json`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::common::Triple;
use crate::safety::Safety;

/// One configuration to measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PlannedRow {
    /// Readings to set, °.
    pub readings_deg: [f64; 2],
    /// Where the sensor is expected, base frame, mm.
    pub expected_mm: Triple,
    /// Name shared by repeats; empty for a row measured once.
    pub group: String,
}

/// A parameter that the plan identifies.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PlannedParameter {
    /// Name with its unit.
    pub name: String,
    /// Standard error that the fit is expected to print, in that unit: the median of simulated
    /// campaigns.
    pub expected_error: f64,
}

/// A configuration to hang weights on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PlannedLoad {
    /// Readings to set, °.
    pub readings_deg: [f64; 2],
    /// Polar angle of the tool, °.
    pub polar_deg: f64,
    /// Where the weight pulls, world.
    pub pull: Triple,
    /// Masses in the order of putting them on, kg; none where none is safe.
    pub masses_kg: Vec<f64>,
    /// Weights of a set as sold that make up each of them, kg.
    pub pieces_kg: Vec<Vec<f64>>,
    /// Torque that each drive gives against arm and tool alone, N·m, signed as its reading.
    pub own_weight_torque_nm: [f64; 2],
    /// Torque that each drive gives with each of the masses, own weight included, N·m.
    pub torque_nm: Vec<[f64; 2]>,
    /// Torque that every drive or brake is to hold by the brief, N·m; null where nothing says it.
    pub holding_torque_nm: Option<f64>,
    /// Masses that need more than that, kg.
    pub masses_not_held_kg: Vec<f64>,
    /// Direction of the gauge, world.
    pub gauge_axis: Triple,
    /// Displacement by one newton, µm/N.
    pub displacement_um_per_n: f64,
    /// Minimum safety factor against yield; null where it is not known.
    pub safety_factor_yield: Option<f64>,
    /// Displacement by the smallest weight over the gauge's noise.
    pub signal_to_noise_of_smallest: f64,
}

/// The same of random plans.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct RandomPlans {
    /// Median.
    pub median: f64,
    /// Each plan.
    pub plans: Vec<f64>,
}

/// What an order of rows could mistake a drift in time for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PlanOrder {
    /// What the random order began with.
    pub seed: u32,
    /// Motion of the joints in all over that of the shortest way found once through all
    /// configurations.
    pub motion_over_shortest: f64,
    /// Maximum correlation of the row number with either reading, without sign.
    pub correlation_with_readings: f64,
    /// The same with polar angle and azimuth, their cosines and sines.
    pub correlation_with_directions: f64,
    /// Parameter whose effect goes along most with a steady drift of the tracker.
    pub drift_most_like: Option<String>,
    /// Multiple correlation of that effect with the drift, the tracker's pose free.
    pub correlation_with_drift: Option<f64>,
    /// Whether these correlations are as small as is aimed at.
    pub drift_separable: bool,
}

/// A parameter that a narrow range identifies worse.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct WorseParameter {
    /// Name with its unit.
    pub name: String,
    /// Its standard error over that from the whole range.
    pub times: f64,
}

/// What a range narrower than the linkage's own costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NarrowRange {
    /// Whether the drives' range narrows it.
    pub by_drives: bool,
    /// Whether the brief does.
    pub by_brief: bool,
    /// Parameters that the whole range identifies and this one does not.
    pub not_identifiable: Vec<String>,
    /// Parameters with at least three times the standard error.
    pub worse: Vec<WorseParameter>,
}

/// What `calotte measure plan --json` says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PlanDocument {
    /// Rows in the order of measuring.
    pub rows: Vec<PlannedRow>,
    /// Minimum singular value over the noise, of the parameters in `chosen_for`.
    pub minimum_singular_value: f64,
    /// The same of a regular grid of as many configurations.
    pub minimum_singular_value_of_grid: f64,
    /// The same of random plans of as many.
    pub minimum_singular_value_of_random: RandomPlans,
    /// Parameters that a fit of these rows will call identifiable, in nine of ten campaigns of
    /// prototypes within tolerance.
    pub identifiable: Vec<PlannedParameter>,
    /// Names of those that are not.
    pub not_identifiable: Vec<String>,
    /// Parameters that the configurations are chosen for: their tolerance moves the points by
    /// more than the noise, and nothing else makes up for it.
    pub chosen_for: Vec<String>,
    /// Motion of the joints in all, °.
    pub motion_deg: f64,
    /// How the rows are ordered.
    pub order: PlanOrder,
    /// Ends of the tool's polar angle over all rows, °.
    pub polar_deg: [f64; 2],
    /// What a narrow range costs; null where the range is the linkage's own.
    pub narrow_range: Option<NarrowRange>,
    /// Rows that a straight way of the joints from the row before reaches only nearer to a
    /// keep-out of the brief than it allows.
    pub rows_not_straight: Vec<usize>,
    /// What differs between brief and design, what of the brief is not looked at, and what
    /// takes the mean of left and right.
    pub warnings: Vec<String>,
    /// Weights to hang.
    pub weights: Vec<PlannedLoad>,
    /// What to take care of, at the bench above all.
    pub safety: Safety,
}
