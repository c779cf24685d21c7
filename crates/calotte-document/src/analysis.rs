//! Everything about one design over the required region: `calotte analyse --json`.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::built::{Arrangement, Clearing, Surroundings};
use crate::common::{EnergyShares, PolarAzimuth, StiffnessDocument};
use crate::configuration::ConfigurationDocument;
use crate::differing::Differing;
use crate::opinion::CrossCheck;
use crate::releases::Releases;
use crate::run::{AnalysisRun, Run};
use crate::safety::Safety;

/// One design over the required region.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Analysis {
    /// Title of the design.
    pub title: String,
    /// Kind of linkage.
    pub family: String,
    /// Whether what was asked is met: over the stated uncertainty, or at nominal values where
    /// the brief asks for no more.
    pub met: bool,
    /// The verdict in words: met over the stated uncertainty, met at nominal values only, not
    /// met, or no limits given.
    pub verdict: String,
    /// What a reader must know beside it: limits that hold for nominal values or rigid drives
    /// and ground alone, walls thinner than usual, where the model holds no longer.
    pub cautions: Vec<String>,
    /// What the tool reaches.
    pub reach: Reach,
    /// The limits that bound the working range; they hold in all of it.
    pub boundaries: BTreeMap<String, f64>,
    /// How evenly the drives move the tool.
    pub conditioning: Conditioning,
    /// Conditioning under each load case.
    pub conditioning_under_load: Vec<UnderLoad>,
    /// How far singular configurations are.
    pub singularity: Singularity,
    /// Minimum stiffness with rigid joints and all bars on one sphere; null where nothing is built.
    pub ideal_minimum_stiffness_n_per_mm: Option<f64>,
    /// What layers, bosses and pins leave of the motion; null without layers.
    pub clearing: Option<Clearing>,
    /// What keep-outs leave; null without any.
    pub surroundings: Option<Surroundings>,
    /// Freedoms by rank and by counting.
    pub mobility: Mobility,
    /// What is required beside what is predicted.
    pub requirements: Vec<Requirement>,
    /// The base axis and how far it stands from vertical.
    pub base_axis: BaseAxis,
    /// Roll of the tool over the covered directions; null where nothing is covered.
    pub tool_roll: Option<ToolRoll>,
    /// What changes with usual drives and a usual ground in place of rigid ones; null where the
    /// design gives its own.
    pub with_typical_supports: Option<WithTypicalSupports>,
    /// Walls and lands of parts that are thinner than their process usually makes.
    pub thin_walls: Vec<ThinWall>,
    /// Where the tip is softest.
    pub stiffness: Stiffness,
    /// The virtual joint model at the softest direction; null where it has no answer.
    pub cross_check_at_worst: Option<CrossCheck>,
    /// Mass that moves.
    pub moving_mass_kg: f64,
    /// Every bar and joint with what it has; absent where all are alike.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub differing: Option<Differing>,
    /// Maximum load on each joint.
    pub joint_loads_max: Vec<JointLoad>,
    /// Where the model holds.
    pub validity: Validity,
    /// Where it was evaluated.
    pub grid: Grid,
    /// Values along the polar angle; absent where one configuration is asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub rings: Option<Vec<Ring>>,
    /// Configurations listed; absent in comparisons.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub configurations: Option<Vec<ConfigurationDocument>>,
}

/// How the base axis stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct BaseAxis {
    /// Its direction in the world, of length 1; gravity is along -z.
    pub world: [f64; 3],
    /// Its angle from the vertical, up or down.
    pub from_vertical_deg: f64,
}

/// Roll of the tool about its own direction, against the meridian of the base axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct ToolRoll {
    /// Minimum.
    pub minimum_deg: f64,
    /// Maximum; above the minimum by as much as the tool turns.
    pub maximum_deg: f64,
    /// Configurations it is sampled at.
    pub samples: usize,
}

/// The design on usual drives and a usual ground where it gives none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct WithTypicalSupports {
    /// Stiffness put in for each drive, in the order of the active joints; null where the
    /// design gives it.
    pub drive_stiffness_nm_per_rad: [Option<f64>; 2],
    /// Ground put in, at the joint radius on the base axis; null where the design gives it.
    pub ground: Option<TypicalGround>,
    /// Where the values come from.
    pub source: String,
    /// The requirements whose value changes, at nominal values.
    pub rows: Vec<TypicalRow>,
}

/// A usual ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct TypicalGround {
    /// Along and across the base axis.
    pub axial_and_lateral_n_per_m: f64,
    /// About and across the base axis.
    pub tilt_and_twist_nm_per_rad: f64,
}

/// A requirement with usual drives and a usual ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct TypicalRow {
    /// Name of the quantity.
    pub quantity: String,
    /// The load case, where each has a value of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub load: Option<String>,
    /// Predicted, with its unit in the name; null without a value.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(skip))]
    pub values: BTreeMap<String, Option<f64>>,
    /// Whether the limit is met at nominal values; null without a limit.
    pub met_at_nominal: Option<bool>,
}

/// A wall around a hole or void, or a land between two holes, thinner than usual.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct ThinWall {
    /// The part.
    pub part: String,
    /// Where it is, in words.
    pub place: String,
    /// Its thickness.
    pub thickness_mm: f64,
    /// The thinnest that the process usually makes.
    pub usual_minimum_mm: f64,
    /// How the part is made.
    pub process: String,
    /// Where the usual minimum comes from.
    pub source: String,
    /// Keys of the design file that change it.
    pub change: String,
}

/// What the tool reaches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(untagged)]
pub enum Reach {
    /// There is a working range.
    Range(ReachedRange),
    /// There is one, known in cells of directions alone.
    Sampled(Box<SampledReach>),
    /// There is none.
    None(NoRange),
}

/// A working range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ReachedRange {
    /// Minimum polar angle.
    pub polar_min_deg: f64,
    /// Maximum polar angle.
    pub polar_max_deg: f64,
    /// What the stages turn, counted on from the base axis, where the tool has run round beyond
    /// 180° and points back from the other side; null where it has not.
    pub turned_beyond_180_deg: Option<[f64; 2]>,
    /// Ends of the second mechanism angle.
    pub second_mechanism_angle_deg: [f64; 2],
    /// What ends the range there.
    pub limited_by: [String; 2],
    /// Share of the region covered.
    pub coverage_fraction: f64,
}

/// A working range in cells of directions, of a linkage that turns about no fixed first axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SampledReach {
    /// Minimum polar angle, to half a cell.
    pub polar_min_deg: f64,
    /// Maximum polar angle, to half a cell.
    pub polar_max_deg: f64,
    /// Share of the region covered.
    pub coverage_fraction: f64,
    /// How it was sampled.
    pub sampled: Cells,
}

/// Cells of directions, and what is not known between them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Cells {
    /// Longest side of a cell.
    pub cell_deg: f64,
    /// Cells covered.
    pub cells: usize,
    /// What the coverage may be off by, 1.
    pub coverage_error: f64,
    /// What the GCI may be off by, 1.
    pub gci_error: f64,
    /// Parts without connection that have the margins; the one that covers most is used.
    pub separate_parts: usize,
}

/// No working range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NoRange {
    /// Null.
    pub polar_min_deg: Option<f64>,
    /// Null.
    pub polar_max_deg: Option<f64>,
    /// Why there is none.
    pub reason: String,
    /// Share of the region covered.
    pub coverage_fraction: f64,
}

/// How evenly the drives move the tool.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Conditioning {
    /// Mean over the region, unreached directions counted 0.
    pub gci: f64,
    /// Mean over the part reached.
    pub gci_reached: f64,
    /// Mean with the weight of the joint space.
    pub gci_joint_weight: f64,
    /// Minimum local conditioning index.
    pub lci_min: f64,
    /// Polar angle where it lies.
    pub lci_min_polar_deg: f64,
    /// Azimuth where it lies; absent where it is the same all around.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub lci_min_azimuth_deg: Option<f64>,
    /// Weight of the first mean.
    pub weight: String,
    /// How the drives are arranged.
    pub drive_layout: String,
    /// Ratio between each drive and its joint.
    pub drive_ratio: [f64; 2],
}

/// How far singular configurations are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(untagged)]
pub enum Singularity {
    /// There is a working range.
    Margins(Box<SingularityMargins>),
    /// There is one, known in cells of directions alone.
    Sampled(Box<SampledMargins>),
    /// There is none.
    None(NoSingularity),
}

/// Margins from both types of singularity over the part of the working range that is required.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SingularityMargins {
    /// Polar angle from the covered part of the required region to the nearest of type 1.
    pub type_1_distance_deg: f64,
    /// What that one is.
    pub type_1_kind: String,
    /// From the nearest of type 2; null where there is none in this mode.
    pub type_2_distance_second_mechanism_angle_deg: Option<f64>,
    /// Minimum transmission angle; null in families without type 2.
    pub transmission_angle_min_deg: Option<f64>,
    /// Stage where it lies, from 1.
    pub transmission_angle_min_stage: Option<usize>,
    /// Polar angle where it lies.
    pub transmission_angle_min_polar_deg: Option<f64>,
    /// Bound that holds between samples.
    pub transmission_angle_lower_bound_deg: Option<f64>,
    /// The same over the whole working range.
    pub working_range: WorkingRangeMargins,
    /// Why there is no transmission angle.
    pub transmission_reason: Option<String>,
    /// Whether both types are excluded strictly inside the range.
    pub free_between_samples: bool,
    /// How that was proved.
    pub bound: String,
    /// Evaluations of the proof.
    pub proof_evaluations: usize,
}

/// Margins from both types of singularity over the whole working range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct WorkingRangeMargins {
    /// Polar angle from the nearest of type 1.
    pub type_1_distance_deg: f64,
    /// From the nearest of type 2; null where there is none in this mode.
    pub type_2_distance_second_mechanism_angle_deg: Option<f64>,
    /// Minimum transmission angle; null in families without type 2.
    pub transmission_angle_min_deg: Option<f64>,
}

/// Margins from both types of singularity, sampled in cells of directions; nothing between
/// the samples is proved.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SampledMargins {
    /// Minimum angle sampled between a chain and its being in line; null where nothing is covered.
    pub type_1_distance_deg: Option<f64>,
    /// Where it was met.
    pub type_1_at_deg: Option<PolarAzimuth>,
    /// What that one is.
    pub type_1_kind: String,
    /// Minimum transmission angle sampled; null where nothing is covered.
    pub transmission_angle_min_deg: Option<f64>,
    /// Where it was met.
    pub transmission_angle_min_at_deg: Option<PolarAzimuth>,
    /// How it is known.
    pub bound: String,
}

/// No margins.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NoSingularity {
    /// Null.
    pub type_1_distance_deg: Option<f64>,
    /// Why there are none.
    pub reason: String,
}

/// Freedoms of the linkage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(untagged)]
pub enum Mobility {
    /// There is a configuration to take them at.
    Counted(Freedoms),
    /// There is none.
    None(NoFreedoms),
}

/// Freedoms by rank and by counting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Freedoms {
    /// By rank, on the sphere.
    pub by_rank: usize,
    /// By counting, on the sphere.
    pub by_counting: i64,
    /// By counting, in space.
    pub in_space_by_counting: i64,
    /// By rank, in space.
    pub in_space_by_rank: usize,
    /// Redundant constraints in space.
    pub redundant_constraints_in_space: usize,
    /// Bodies, ground included.
    pub bodies: usize,
    /// Joints.
    pub joints: usize,
}

/// No freedoms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NoFreedoms {
    /// Null.
    pub by_rank: Option<usize>,
    /// Why there are none.
    pub reason: String,
}

/// A value of a requirement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(untagged)]
pub enum RequirementValue {
    /// One number; null with a reason beside it.
    One(Option<f64>),
    /// Low and high end.
    Band([Option<f64>; 2]),
}

/// LCI and GCI with a load on the linkage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct UnderLoad {
    /// The load case.
    pub load: String,
    /// Whether the load turns with the tool or stays in the world while the linkage moves.
    pub direction: String,
    /// By the structure of the design.
    pub structure: IndexUnderLoad,
    /// By virtual joints in the middle of every arc, joints rigid.
    pub virtual_joints: IndexUnderLoad,
}

/// LCI and GCI with a load on the linkage, or why there are none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct IndexUnderLoad {
    /// Area-weighted mean over the required region; null with a reason.
    pub gci: Option<f64>,
    /// Minimum over the directions looked at; null with a reason.
    pub lci_min: Option<f64>,
    /// Where that is.
    pub lci_min_at_deg: Option<PolarAzimuth>,
    /// Why there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub reason: Option<String>,
}

/// What is required beside what is predicted. The numbers stand as `required`, `predicted`, `ideal`, `over_region`
/// (minimum and maximum over the covered directions) and `band` with the unit of the quantity behind the name, as in `predicted_mm`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Requirement {
    /// Name of the quantity.
    pub quantity: String,
    /// The load case, where each has a value of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub load: Option<String>,
    /// At least or at most.
    pub sense: String,
    /// Required (null without a limit), predicted (null with a reason), with the ideal linkage, and over the bands.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(skip))]
    pub values: BTreeMap<String, RequirementValue>,
    /// Why there is no value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub reason: Option<String>,
    /// Whether the limit is met at the value it is judged by; null without a limit.
    pub met: Option<bool>,
    /// Whether it is met at nominal values; null without a limit.
    pub met_at_nominal: Option<bool>,
    /// Whether it is met over the bands too; null without a limit or bands.
    pub band_met: Option<bool>,
    /// Inputs that give the lower and the upper end of the band, all other numbers at their
    /// nominal values; absent without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub band_inputs: Option<[Vec<InputValue>; 2]>,
    /// Whether it is missed over the bands only because beam theory does not say how stiff short
    /// bars are.
    pub hangs_on_short_bars: bool,
    /// What each uncertain number does to a limited value by itself, all others at their nominal
    /// values; empty without a limit or where nothing uncertain changes it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub each_alone: Vec<AloneValue>,
    /// Each uncertain number that makes the limit hold by itself, where it is met at nominal
    /// values and not over the stated uncertainty; empty where none does.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub each_suffices: Vec<Sufficient>,
    /// Margin over the limit, 1; null without a limit.
    pub relative_margin: Option<f64>,
    /// Where it is worst.
    pub worst_at_deg: Option<PolarAzimuth>,
    /// What governs.
    pub note: String,
}

/// An uncertain number of a design at a value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct InputValue {
    /// Key in the design file, from its top.
    pub key: String,
    /// Value as the file writes it.
    pub value: f64,
}

/// An uncertain number by which alone a limit holds, all others at their worst end for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Sufficient {
    /// Key in the design file, from its top.
    pub key: String,
    /// The limit holds from here on, as the file writes it.
    pub from: f64,
    /// Up to the end of the stated range away from the worst one.
    pub to: f64,
}

/// One uncertain number at its worse end, all others at their nominal values.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct AloneValue {
    /// Key in the design file, from its top.
    pub key: String,
    /// Value as the file writes it.
    pub value: f64,
    /// What is predicted then, in the unit of the row's `predicted`.
    pub predicted: f64,
    /// Whether the limit is met then.
    pub met: bool,
}

/// Where the tip is softest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(untagged)]
pub enum Stiffness {
    /// There is an elastic answer.
    Worst(Box<SoftestPlace>),
    /// There is none.
    None(NoStiffness),
}

/// Where the tip is softest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SoftestPlace {
    /// Polar angle.
    pub worst_polar_deg: f64,
    /// Azimuth; absent where it is the same all around.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub worst_azimuth_deg: Option<f64>,
    /// Stiffness there.
    pub at_worst: StiffnessDocument,
    /// Shares of the strain energy there, along the softest direction.
    pub energy_shares_at_worst: EnergyShares,
}

/// No elastic answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NoStiffness {
    /// Null.
    pub at_worst: Option<StiffnessDocument>,
    /// Why there is none.
    pub reason: String,
}

/// The maximum load on a joint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct JointLoad {
    /// The joint.
    pub joint: String,
    /// Along its own axis.
    pub axial_n: f64,
    /// Across it.
    pub radial_n: f64,
    /// Tilting it.
    pub tilt_nm: f64,
}

/// Where the model holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Validity {
    /// What to look at.
    pub notes: Vec<String>,
    /// Geometric over elastic stiffness, 1.
    pub geometric_over_elastic_stiffness: f64,
    /// Whether that is too much for a linear model.
    pub loads_too_large_for_linear_model: bool,
}

/// Where it was evaluated.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Grid {
    /// Polar angles.
    pub rings: usize,
    /// Directions.
    pub directions: usize,
    /// Configurations listed.
    pub listed_configurations: usize,
    /// Whether the worst azimuths were found by their equations; sampled otherwise.
    pub exact_over_azimuth: bool,
    /// Share by which a worst value may be exceeded between the polar angles, 1, an estimate;
    /// null where nothing was looked at between them.
    pub between_polar_angles_at_most: Option<f64>,
}

/// Values at one polar angle, or at one direction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Ring {
    /// Polar angle.
    pub polar_deg: f64,
    /// Azimuth of the one direction; absent for a ring.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub azimuth_deg: Option<f64>,
    /// Second mechanism angle.
    pub second_mechanism_angle_deg: f64,
    /// Local conditioning index.
    pub lci: f64,
    /// Minimum transmission angle; null in families without.
    pub transmission_angle_deg: Option<f64>,
    /// Stiffness at the tip.
    pub stiffness: StiffnessDocument,
    /// Shares of the strain energy: arcs, joints, pins, drives, base.
    pub energy_shares: [f64; 5],
    /// Maximum contact deflection; null without a load.
    pub contact_deflection_max_mm: Option<f64>,
    /// Maximum distance by which the tool's line misses the remote centre under a load; null
    /// without a load.
    pub centre_shift_max_mm: Option<f64>,
    /// Maximum tilt of the tool's line under a load; null without a load.
    pub tool_tilt_max_deg: Option<f64>,
    /// Maximum sag.
    pub sag_max_mm: f64,
    /// Maximum distance by which the tool's line misses the remote centre by own weight.
    pub sag_centre_shift_max_mm: f64,
    /// Maximum holding torque of either drive.
    pub holding_torque_max_nm: f64,
    /// Azimuths evaluated.
    pub azimuths: usize,
}

/// One design as `calotte analyse --json` answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct AnalysisDocument {
    /// The analysis.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(flatten))]
    pub analysis: Analysis,
    /// Arrangements of the layers, where asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub arrangements: Option<Vec<Arrangement>>,
    /// Joints that may be released, where asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub releases: Option<Releases>,
    /// The direction asked for, where it is out of reach.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub direction_deg: Option<PolarAzimuth>,
    /// False where the direction asked for is out of reach.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub reachable: Option<bool>,
    /// What is nearest to it, or null with a reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub nearest: Option<Nearest>,
    /// Why nothing is near.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub nearest_reason: Option<String>,
    /// What it was made of.
    pub run: Run<AnalysisRun>,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}

/// What is nearest to a direction out of reach.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(untagged)]
pub enum Nearest {
    /// A configuration.
    Configuration(NearestConfiguration),
    /// There is none.
    None(()),
}

/// The nearest configuration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NearestConfiguration {
    /// From the base axis, °.
    pub polar: f64,
    /// About the base axis, °.
    pub azimuth: f64,
    /// Angle to the direction asked for.
    pub distance_deg: f64,
    /// Active joint angles.
    pub joints_deg: [f64; 2],
}
