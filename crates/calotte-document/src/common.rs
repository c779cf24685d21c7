//! Values that several documents share.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// Three components x, y, z.
pub type Triple = [f64; 3];

/// A direction in the base frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct PolarAzimuth {
    /// From the base axis, °.
    pub polar: f64,
    /// About the base axis, °.
    pub azimuth: f64,
}

/// Compliance shares: how much each kind of part deforms, of 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct EnergyShares {
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

/// Scalars of the translational compliance at the tip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct StiffnessDocument {
    /// Minimum over all directions of the force.
    pub minimum_n_per_m: f64,
    /// Maximum.
    pub maximum_n_per_m: f64,
    /// Arithmetic mean of the principal values.
    pub mean_n_per_m: f64,
    /// Geometric mean.
    pub geometric_mean_n_per_m: f64,
    /// Sum of the principal values.
    pub trace_n_per_m: f64,
    /// Along growing polar angle.
    pub polar_n_per_m: f64,
    /// Along growing azimuth.
    pub azimuth_n_per_m: f64,
    /// Outward.
    pub radial_n_per_m: f64,
    /// Minimum over maximum along the dome, 1.
    pub tangential_isotropy: f64,
    /// Softest direction, local frame: polar, azimuth, radial.
    pub softest_direction: Triple,
}
