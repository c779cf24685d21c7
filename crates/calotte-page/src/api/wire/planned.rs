//! What to measure on the prototype: what is asked, and what `calotte measure plan` says.

use super::design::PolarAzimuth;
#[cfg(test)]
use super::design::Triple;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

/// A plan asked for.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// Configurations, 8 to 500.
    pub count: usize,
    /// How many of them are measured again.
    pub repeated: usize,
    /// How often each of those is measured in all.
    pub times: usize,
    /// Noise expected of a component of a measured point, mm.
    pub noise_mm: f64,
    /// Noise expected of the gauge at the tip, mm.
    pub gauge_mm: f64,
}

/// A plan.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct PlanAnswer {
    /// Names of the active joints, in the order of readings.
    pub joints: [String; 2],
    /// Where the tool points in each row, in the order of measuring.
    pub directions_deg: Vec<PolarAzimuth>,
    /// The keys of `measure plan --json`.
    #[cfg_attr(test, ts(type = "PlanDocument"))]
    pub plan: serde_json::Map<String, serde_json::Value>,
    /// The file of points to fill in.
    pub points_csv: String,
    /// The file of weights to fill in.
    pub weights_csv: String,
}

/// One configuration to measure.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct PlannedRow {
    /// Readings to set, °.
    pub readings_deg: [f64; 2],
    /// Where the sensor is expected, base frame, mm.
    pub expected_mm: Triple,
    /// Name shared by repeats; empty for a row measured once.
    pub group: String,
}

/// A parameter that the plan tells.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct PlannedTold {
    /// Name with its unit.
    pub name: String,
    /// Standard error expected, in that unit.
    pub expected_error: f64,
}

/// A configuration to hang weights on.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct PlannedLoad {
    /// Readings to set, °.
    pub readings_deg: [f64; 2],
    /// Polar angle of the tool, °.
    pub polar_deg: f64,
    /// Where the weight pulls, world.
    pub pull: Triple,
    /// Masses in the order of putting them on, kg; none where none is safe.
    pub masses_kg: Vec<f64>,
    /// Displacement by one newton, µm/N.
    pub displacement_um_per_n: f64,
    /// Least safety against yield; null where it is not known.
    pub safety_factor_yield: Option<f64>,
    /// Displacement by the smallest weight over the gauge's noise.
    pub signal_to_noise_of_smallest: f64,
}

/// What `calotte measure plan --json` says.
#[cfg(test)]
#[derive(Debug, Serialize, Deserialize, TS)]
pub(crate) struct PlanDocument {
    /// Rows in the order of measuring.
    pub rows: Vec<PlannedRow>,
    /// Least singular value over the noise.
    pub least_singular_value: f64,
    /// The same of a regular grid of as many configurations.
    pub least_singular_value_of_grid: f64,
    /// Parameters told.
    pub told: Vec<PlannedTold>,
    /// Names of those not told.
    pub not_told: Vec<String>,
    /// Motion of the joints in all, °.
    pub motion_deg: f64,
    /// Weights to hang.
    pub weights: Vec<PlannedLoad>,
    /// What to take care of.
    pub cautions: Vec<String>,
}
