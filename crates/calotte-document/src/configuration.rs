//! One configuration of the agreed list.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::built::{PartDistance, Parts};
use crate::common::{PolarAzimuth, StiffnessDocument};
use crate::opinion::CrossCheck;

/// One configuration of the agreed list of `analyse --json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ConfigurationDocument {
    /// Active joint angles.
    pub joints_deg: [f64; 2],
    /// Tool direction, base frame.
    pub direction_deg: PolarAzimuth,
    /// Passive joint angles by name.
    pub passive_deg: BTreeMap<String, f64>,
    /// Roll of the tool.
    pub roll_deg: f64,
    /// Local conditioning index.
    pub lci: f64,
    /// Minimum transmission angle; null for families without.
    pub transmission_angle_deg: Option<f64>,
    /// 6×6, SI, local frame polar, azimuth, radial at the tip.
    pub compliance: Option<Vec<Vec<f64>>>,
    /// Why there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub compliance_reason: Option<String>,
    /// How many digits of it are sure, where they are few, and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub precision: Option<String>,
    /// Its scalars.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub stiffness: Option<StiffnessDocument>,
    /// Torque the drives give against weight.
    pub holding_torque_nm: Option<[f64; 2]>,
    /// Why there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub holding_torque_reason: Option<String>,
    /// The virtual joint model, where one configuration is asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub cross_check: Option<CrossCheck>,
    /// Centre lines of the parts, where they are built.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub parts: Option<Parts>,
    /// Distances of parts, where they are built.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub clearing: Option<Vec<PartDistance>>,
}
