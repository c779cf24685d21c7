//! Bars and joints of a design that differ from one another.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// Every bar with its section and every joint with its level, where any of them differ.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct Differing {
    /// Bars, from the base outward.
    pub bars: Vec<BarSection>,
    /// Joints, from the base outward.
    pub joints: Vec<JointAtLevel>,
}

/// A bar and its section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct BarSection {
    /// Its name.
    pub name: String,
    /// Level of the joints it starts from, 0 at the base.
    pub level: usize,
    /// Its section in words.
    pub section: String,
    /// Overall size across the bar, along the sphere.
    pub tangential_mm: f64,
    /// Overall size along the sphere's radius.
    pub radial_mm: f64,
}

/// A joint and what it is made of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct JointAtLevel {
    /// Its name.
    pub name: String,
    /// Its level, 0 at the base.
    pub level: usize,
    /// Its bearings; null where joints are given by stiffness, or rigid.
    pub bearing: Option<String>,
    /// Distance of the two bearings; null without bearings.
    pub spacing_mm: Option<f64>,
    /// Diameter of its pin; null without bearings.
    pub pin_diameter_mm: Option<f64>,
    /// Stiffness of the pair, or of the joint, along its own axis; null for a rigid joint.
    pub axial_n_per_m: Option<f64>,
    /// Across its own axis; null for a rigid joint.
    pub radial_n_per_m: Option<f64>,
    /// Against tilting; null for a rigid joint.
    pub tilt_nm_per_rad: Option<f64>,
    /// Diameter of its bosses; 0 for none.
    pub boss_diameter_mm: f64,
}
