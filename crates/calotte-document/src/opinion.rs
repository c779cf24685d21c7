//! The virtual joint model beside the reference.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// The virtual joint model and the hand estimate beside the reference, rigid joints.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct CrossCheck {
    /// Entries of the compliance.
    pub entries: Vec<CrossCheckEntry>,
    /// Check of assembly, 1.
    pub assembly_difference: f64,
    /// What the numbers say.
    pub explanation: String,
}

/// One entry of the compliance by three models.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct CrossCheckEntry {
    /// Which.
    pub entry: String,
    /// By the reference.
    pub reference_rigid_joints_m_per_n: f64,
    /// By virtual joints.
    pub virtual_joints_m_per_n: f64,
    /// Their difference over the reference; null where that is nought.
    pub virtual_joints_relative_difference: Option<f64>,
    /// By the hand estimate; null where it has none.
    pub hand_estimate_m_per_n: Option<f64>,
    /// Why it has none.
    pub hand_estimate_reason: Option<String>,
    /// Its difference over the reference.
    pub hand_estimate_relative_difference: Option<f64>,
}
