//! What the main job found: results.json of `calotte design`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::analysis::Analysis;
use crate::certificate::Certificates;
use crate::comparison::PointingErrorDocument;
use crate::run::{Run, SearchRun};
use crate::safety::Safety;

/// What the main job found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct DesignDocument {
    /// The chosen design.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(flatten))]
    pub analysis: Analysis,
    /// Why this one.
    pub choice: Choice,
    /// What stands behind each requirement, in the order of the requirements.
    pub evidence: Vec<Evidence>,
    /// What no search can mend.
    pub precheck: Precheck,
    /// What was proved, beside what was searched.
    pub certificates: Certificates,
    /// How many stages are stiffest.
    pub stages_at_equal_reach: StagesAtEqualReach,
    /// The prototype that this one follows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub follows: Option<Follows>,
    /// What it was made of.
    pub run: Run<SearchRun>,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}

/// What stands behind one requirement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// Name of the quantity.
    pub quantity: String,
    /// The load case, for a contact deflection.
    pub load: Option<String>,
    /// Who set the limit, or the process whose parts it is usual for; null where the brief does
    /// not say, or without a limit.
    pub set_by: Option<String>,
    /// Unit of required, predicted, range and measured; empty for pure numbers.
    pub unit: String,
    /// The limit; null without one.
    pub required: Option<f64>,
    /// The limit that bounds the working range, in which it cannot be missed; null where it is
    /// no such limit.
    pub bounds_the_range: Option<f64>,
    /// The value of the model; null where there is none.
    pub predicted: Option<f64>,
    /// Its ends over the stated uncertainty; null where no input of it is uncertain.
    pub range: Option<[f64; 2]>,
    /// What the value takes for granted.
    pub assumptions: Vec<String>,
    /// Ids of the shipped checks of its formulas, rows of `calotte verify`.
    pub checks: Vec<String>,
    /// What was measured; null where nothing was.
    pub measured: Option<MeasuredEvidence>,
}

/// A measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct MeasuredEvidence {
    /// The value.
    pub value: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// What it was measured on.
    pub what: String,
}

/// Why this one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Choice {
    /// Its number in the list.
    pub candidate: usize,
    /// Combinations judged.
    pub combinations: usize,
    /// Of which meet every limit as the search looks at them: over its few polar angles, at
    /// nominal values and, where limits hold over the stated uncertainty, at a corner of it.
    pub feasible: usize,
    /// Of these, how many were judged by the whole analysis too and meet every limit.
    pub feasible_by_analysis: usize,
    /// Numbers of those, all judged by the whole analysis, for which no other is at least as good in every objective and better in one.
    pub not_dominated: Vec<usize>,
    /// Distance to the ideal point; null where nothing is feasible.
    pub distance_to_ideal_point: Option<f64>,
    /// Objectives.
    pub objectives: Vec<ObjectiveDocument>,
    /// The same in sentences.
    pub words: Vec<String>,
    /// Alternatives rejected.
    pub rejected: Vec<String>,
}

/// An objective.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ObjectiveDocument {
    /// Its quantity.
    pub quantity: String,
    /// Maximise or minimise.
    pub sense: String,
}

/// What no search can mend.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Precheck {
    /// Whether the base axis pierces the region.
    pub base_axis_pierces_region: Vec<PiercingTilt>,
    /// The hole about the base axis that families leave.
    pub smallest_hole_of_coarse_sweep: Vec<SmallestHole>,
    /// No allowed linkage points farther from its base axis.
    pub reach_bound_deg: f64,
    /// The same in sentences.
    pub words: Vec<String>,
}

/// A tilt of the mount.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PiercingTilt {
    /// The tilt.
    pub mount_tilt_deg: f64,
    /// Whether the base axis pierces the region.
    pub pierces: bool,
    /// Share of the region lost to the smallest hole.
    pub share_lost_to_smallest_hole: f64,
}

/// The hole about the base axis that a family leaves.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SmallestHole {
    /// The family.
    pub family: String,
    /// Its minimum half-angle; null where no combination works.
    pub hole_deg: Option<f64>,
    /// Combinations tried.
    pub combinations: usize,
}

/// Minimum stiffness by number of stages at equal reach.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct StagesAtEqualReach {
    /// One for each number.
    pub minimum_stiffness: Vec<StageStiffness>,
    /// Stiffest with rigid joints.
    pub best_rigid_joints: Option<usize>,
    /// Stiffest with these joints.
    pub best_these_joints: Option<usize>,
    /// Stiffest with bearings one size smaller.
    pub best_one_size_down: Option<usize>,
    /// That bearing; null where there is none.
    pub one_size_down: Option<String>,
}

/// Minimum stiffness with one number of stages.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct StageStiffness {
    /// Number of stages.
    pub stages: usize,
    /// With rigid joints.
    pub rigid_joints_n_per_mm: Option<f64>,
    /// With these joints.
    pub these_joints_n_per_mm: Option<f64>,
    /// With bearings one size smaller.
    pub one_size_down_n_per_mm: Option<f64>,
}

/// The prototype that a design follows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Follows {
    /// Parts that stay.
    pub kept: Vec<String>,
    /// Whether mount and drives stay.
    pub ground_kept: bool,
    /// What points identified; null where nothing was measured.
    pub measured_by_points: Option<Vec<String>>,
    /// What weights identified.
    pub measured_by_weights: Vec<MeasuredValue>,
    /// Pointing error against its own model; null where that is not known.
    pub pointing_error: Option<PointingErrorDocument>,
}

/// A value that was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MeasuredValue {
    /// Name with its unit.
    pub name: String,
    /// Value.
    pub value: f64,
    /// One standard error.
    pub standard_error: f64,
}
