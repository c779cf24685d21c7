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
    /// Standard error expected, in that unit.
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

/// What `calotte measure plan --json` says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PlanDocument {
    /// Rows in the order of measuring.
    pub rows: Vec<PlannedRow>,
    /// Minimum singular value over the noise.
    pub minimum_singular_value: f64,
    /// The same of a regular grid of as many configurations.
    pub minimum_singular_value_of_grid: f64,
    /// The same of random plans of as many.
    pub minimum_singular_value_of_random: RandomPlans,
    /// Parameters that are identifiable.
    pub identifiable: Vec<PlannedParameter>,
    /// Names of those that are not.
    pub not_identifiable: Vec<String>,
    /// Motion of the joints in all, °.
    pub motion_deg: f64,
    /// Weights to hang.
    pub weights: Vec<PlannedLoad>,
    /// What to take care of, at the bench above all.
    pub safety: Safety,
}
