//! Joints that may be released, each set with what it costs.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// Redundant constraints and what releases of joints do to them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Releases {
    /// Redundant constraints in space.
    pub redundant: usize,
    /// Minimum number of releases that removes them.
    pub releases_min: usize,
    /// Sets looked at.
    pub options: Vec<ReleaseSet>,
    /// Index of the one proposed.
    pub proposal: Option<usize>,
    /// Whether every set was looked at.
    pub all_sets_searched: bool,
}

/// A set of releases.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ReleaseSet {
    /// How it was found.
    pub set: String,
    /// Its releases.
    pub releases: Vec<Release>,
    /// Redundant constraints that stay.
    pub redundant_left: usize,
    /// Freedoms with it.
    pub mobility: usize,
    /// Whether it frees a motion.
    pub frees_a_motion: bool,
    /// Minimum stiffness; null without an elastic answer.
    pub minimum_stiffness_n_per_mm: Option<f64>,
    /// Share of the stiffness lost.
    pub loss: Option<f64>,
}

/// A release at a joint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Release {
    /// The joint.
    pub joint: String,
    /// Whether it floats along its axis.
    pub axial: bool,
    /// Whether it aligns itself.
    pub tilt: bool,
}
