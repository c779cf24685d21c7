//! Needed against got, and how many stages are stiffest.

use calotte_document::analysis::{JointLoad, Requirement};
use calotte_document::safety::Safety;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

/// A requirement as `calotte analyse --json` has it; its numbers again under names that hold
/// for any unit, and in words.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct RequirementRow {
    /// As the document has it.
    pub requirement: Requirement,
    /// Name, as the terminal prints it.
    pub name: String,
    /// Unit of the numbers below; empty for none.
    pub unit: String,
    /// Required; null without a limit.
    pub required: Option<f64>,
    /// Predicted; null with a reason.
    pub predicted: Option<f64>,
    /// Range over the stated uncertainty.
    pub band: Option<[f64; 2]>,
    /// Required, in words.
    pub required_words: String,
    /// Predicted, in words.
    pub predicted_words: String,
    /// Margin, in words.
    pub margin_words: String,
    /// Predicted for the ideal linkage, with rigid joints and all bars on one sphere; null
    /// where nothing is built or it has no value.
    pub ideal: Option<f64>,
    /// The same in words.
    pub ideal_words: Option<String>,
}

/// A polar angle.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct RingRow {
    /// Polar angle, °.
    pub polar_deg: f64,
    /// Shares of the compliance along the softest direction: arcs, joints, pins, drives, base.
    pub causes: [f64; 5],
}

/// A figure of curves along the polar angle.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct CurveFigure {
    /// What a list of choices calls it.
    pub choice: String,
    /// Label of its scale.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Its curves; none where each load case has its own and there is no load case.
    pub curves: Vec<CurveShape>,
}

/// One curve of a figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct CurveShape {
    /// Its name.
    pub name: String,
    /// The worst around the axis at each ring, in their order; null without a value.
    pub values: Vec<Option<f64>>,
}

/// The whole analysis.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct AnalysisAnswer {
    /// Whether what was asked is met; null if nothing is required.
    pub met: Option<bool>,
    /// The verdict in words.
    pub verdict: String,
    /// Requirements with a limit first, then what is worth knowing.
    pub rows: Vec<RequirementRow>,
    /// Both types of singularity, in words.
    pub singular_words: String,
    /// Cautions that follow from the numbers.
    pub cautions: Vec<String>,
    /// What can hurt someone.
    pub safety: Safety,
    /// Polar angles over the covered directions, ascending.
    pub rings: Vec<RingRow>,
    /// Quantities along them, by figures.
    pub figures: Vec<CurveFigure>,
    /// Names of the load cases.
    pub loads: Vec<String>,
    /// Greatest load on each joint.
    pub joint_loads: Vec<JointLoad>,
    /// Polar angle at which the least stiffness lies, °.
    pub softest_polar_deg: Option<f64>,
    /// Shares of the compliance by cause where the ideal linkage of a built design is
    /// softest, as in the rings; null where nothing is built.
    pub ideal_causes: Option<[f64; 5]>,
    /// What layers, bosses and pins leave of the motion; null where nothing is built.
    pub clearing: Option<ClearingShape>,
}

/// What layers, bosses and pins leave of the motion.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ClearingShape {
    /// Number of layers.
    pub layers: u32,
    /// Distance that parts keep, mm.
    pub clearance_mm: f64,
    /// Least and greatest polar angle of the working range, °; null without one.
    pub polar_deg: Option<[f64; 2]>,
    /// The same if no parts were in each other's way.
    pub ideal_polar_deg: Option<[f64; 2]>,
    /// Pairs that end the working range.
    pub ends: Vec<PairShape>,
    /// The pairs that come nearest within it, without those that end it and without
    /// pairs whose distance no motion changes; nearest first.
    pub nearest: Vec<PairShape>,
}

/// Two parts where they come nearest.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct PairShape {
    /// Names of the two parts.
    pub names: [String; 2],
    /// Their distance, mm; negative where they pass through one another.
    pub distance_mm: f64,
    /// Polar angle of the tool there, °.
    pub polar_deg: f64,
    /// Active joint angles there, °, with the first turn as near to 0 as it may be.
    pub joints_deg: [f64; 2],
}

/// How many stages are stiffest at equal total arc.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct StagesAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The brief.
    #[serde(default)]
    pub brief: Option<String>,
    /// Up to how many.
    pub stages_max: u32,
}

/// Least stiffness by number of stages.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct StagesAnswer {
    /// One row each.
    pub rows: Vec<StageRow>,
    /// Stiffest with rigid joints.
    pub best_rigid: Option<u32>,
    /// Stiffest with the design's joints.
    pub best_real: Option<u32>,
}

/// One number of stages.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct StageRow {
    /// Number of stages.
    pub stages: u32,
    /// Least stiffness with rigid joints, N/mm.
    pub rigid_n_per_mm: Option<f64>,
    /// Least stiffness with the design's joints, N/mm.
    pub real_n_per_mm: Option<f64>,
}
